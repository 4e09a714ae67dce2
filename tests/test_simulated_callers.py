"""The simulator of callers is held to hand-made cases, to physics, and to its own rates."""

import math
import random
from dataclasses import replace
from typing import Any

import callers
import numpy as np
import pytest
from bench_bikes import SIX, SOUND_METER, TEN, WOUND
from pydantic import TypeAdapter
from simulated import machines, meters, readings, stocks, telling
from simulated.meters import Pair

from ampwright.bike.finding import FINDING_KINDS, Finding
from ampwright.terms import Source


def test_a_danger_that_is_there_and_told_of_is_known_from_one_that_is_not() -> None:
    def told(what: str, answer: Any, *, true: bool = True) -> telling.Told:
        return telling.Told({"what": what, "answer": answer, "source": "looking at it now"}, true)

    # by hand: 15 V on 12 V and 7.6 V on 6 V are the most (common practice, no source)
    assert telling.tells_of_danger(told("battery_volts", 15.2), TEN)
    assert not telling.tells_of_danger(told("battery_volts", 14.9), TEN)
    assert telling.tells_of_danger(told("battery_volts", 7.8), SIX)
    assert telling.tells_of_danger(told("danger", "hot or smoking"), TEN)
    assert not telling.tells_of_danger(told("danger", "hot or smoking", true=False), TEN)
    assert not telling.tells_of_danger(told("danger", "nothing"), TEN)


def test_a_wound_field_gives_its_irons_volts_alone_once_nothing_feeds_it() -> None:
    pairs = (Pair(13.5, 0.4, 1.5e-3, peaky=False),) * 3
    fed, meter = replace(WOUND, pairs=pairs, field_stays_fed=True), SOUND_METER
    said, volts = [], []
    for seed in range(200):
        found, true = readings.document(
            "pair_volts", fed, meter, asked=True, about=False, slips=False, chance=random.Random(seed)
        )
        assert found is not None
        # where a plug was overlooked what is said is wrong, and so it is marked
        said.append(found.get("all_wires_off", False))
        volts.append((max(found["answer"]), true and said[-1]))
    # by hand: 13.5 V x 0.7 at the slowest, and 4 % of 13.5 V x 1.5 at the fastest tick-over, with 0.6 V of pick-up
    assert all(most < 0.04 * 13.5 * 1.5 + 0.6 if off else most > 13.5 * 0.7 * 0.9 for most, off in volts)
    # by hand: four standard deviations of a count of 200
    rate = readings.SAYS_ALL_OFF
    assert sum(said) / len(said) == pytest.approx(rate, abs=4 * math.sqrt(rate * (1 - rate) / len(said)))


def test_an_averaging_meter_reads_low_on_a_peaky_wave() -> None:
    # by hand: sin^3 x = (3 sin x - sin 3x)/4, mean 4/(3 pi), rms sqrt(5/16), times pi/(2 sqrt 2): 16 % low
    by_hand = math.pi / (2 * math.sqrt(2)) * 4 / (3 * math.pi) / math.sqrt(5 / 16)
    assert meters.average_over_rms(1 / 3) == pytest.approx(by_hand, abs=1e-12)
    # other method: the wave summed
    turn = np.linspace(0.0, np.pi, 20_001)
    wave = np.sin(turn) - 0.2 * np.sin(3 * turn)
    shown = np.pi / (2 * np.sqrt(2)) * np.abs(wave).mean() / np.sqrt((wave**2).mean())
    assert meters.average_over_rms(0.2) == pytest.approx(shown, abs=1e-4)


def test_one_ohm_volts_follow_from_the_winding() -> None:
    # by hand: E = 13.5 n/1000, X = 2 pi (n/20) 3.9 mH, V = E / |1.6 + jX|
    shown = [meters.loaded_volts(Pair(13.5, 0.6, 3.9e-3), speed_rpm, 1.0) for speed_rpm in (1000, 2000, 3000)]
    assert shown == pytest.approx([6.7, 9.2, 10.1], abs=0.05)


def test_charging_amps_reach_the_shorted_current_at_high_speed_and_are_nothing_below_cut_in() -> None:
    pair = Pair(13.5, 0.6, 3.9e-3)
    # limit case: DC = (2 sqrt 2/pi) E/X, and E/X is the same at any speed
    shorted_A = 2 * math.sqrt(2) / math.pi * 13.5 / (2 * math.pi * 50 * 3.9e-3)
    assert meters.charging_A(pair, 1e6, 13.5) == pytest.approx(shorted_A, rel=1e-3)
    # by hand: at 900 rpm E = 12.15 V, under (2 sqrt 2/pi)(13.5 + 1.9) = 13.9 V
    assert meters.charging_A(pair, 900, 13.5) == 0.0


def test_every_kind_of_finding_can_be_told_and_is_a_valid_record() -> None:
    finding: TypeAdapter[Any] = TypeAdapter(Finding)
    assert set(telling.KINDS_TOLD) == set(FINDING_KINDS)
    told_of = set()
    for seed in range(60):
        chance = random.Random(seed)
        one = machines.draw(chance)
        for kind in FINDING_KINDS:
            told = telling.tell(kind, one, chance.choice(list(Source)), chance)
            if told is not None:
                told_of.add(finding.validate_python(told.document).what)
    assert told_of == set(FINDING_KINDS)


@pytest.mark.parametrize(("kind", "rate"), [("thick_wires", 0.10), ("frame_post", 0.05)])
def test_one_wire_count_in_ten_and_one_polarity_in_twenty_are_wrong_of_what_is_told_unasked(
    kind: str, rate: float
) -> None:
    chance = random.Random(3)
    told = [one for _ in range(6000) for one in telling.first_told(TEN, chance) if one.kind == kind]
    wrong = sum(not one.true for one in told) / len(told)
    # four standard deviations of such a count
    assert wrong == pytest.approx(rate, abs=4 * math.sqrt(rate * (1 - rate) / len(told)))


def test_what_is_told_true_is_the_truth() -> None:
    chance = random.Random(4)
    for _ in range(200):
        told = telling.tell("thick_wires", TEN, Source.MEMORY, chance)
        assert told is not None
        assert told.true == (told.document["answer"] == TEN.thick)


def test_a_longer_look_is_refused_oftener_and_one_for_a_workshop_most() -> None:
    def refused(minutes: float, who: str) -> int:
        chance = random.Random(5)
        asked = telling.Asked(("coils",), Source.PHOTO, minutes, "nothing", who)
        return sum(telling.refuses([asked], chance) for _ in range(2000))

    assert refused(1.0, "caller") < refused(20.0, "caller") < refused(20.0, "workshop") < refused(90.0, "workshop")


def test_what_is_opened_for_two_checks_is_counted_once() -> None:
    asked = telling.Asked(("thick_wires",), Source.PHOTO, 3.0, "seat", "caller")
    # by hand: 3 + 2 and 3 + 3 + 2, two minutes for the seat
    assert telling.minutes_of([asked]) == 5.0
    assert telling.minutes_of([asked, asked]) == 8.0


def test_the_same_seed_draws_the_same_bike_and_the_same_shop() -> None:
    assert machines.draw(random.Random(9)) == machines.draw(random.Random(9))
    assert stocks.any_stock(random.Random(9)) == stocks.any_stock(random.Random(9))


def test_calibration_sets_odds_stated_against_odds_met() -> None:
    # by hand: ten bins of two; in each the odds stated are 0.5 and one of the two is right
    assert callers.calibration([0.5] * 20, [True, False] * 10) == [(0.5, 0.5)] * 10


def test_sixty_callers_who_tell_the_truth_are_sold_nothing_harmful() -> None:
    calls = callers.calls_of(range(60))
    assert sum(call.told_true for call in calls) > 20
    assert [call.harms + call.harms_named for call in calls if call.told_true and call.harms + call.harms_named] == []
