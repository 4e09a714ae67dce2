"""The owner's card: on one side of A6 for every demo job it applies to, its words by laws, its figures by hand."""

import datetime
import math
import re
import zlib
from dataclasses import replace

import pytest
from pdf_reading import facts_of, pages_of, squeezed

from ampwright.bike.job import job_from
from ampwright.bike.ride import Leg, Ride
from ampwright.desk.cases import normal_card as words
from ampwright.desk.cases import papers as case
from ampwright.desk.cases.answer import answer_workup
from ampwright.desk.cases.balance import SpeedBand
from ampwright.desk.cases.jobs import demo_names, open_demo
from ampwright.desk.cases.normal_card import Kept, Normal, ShellHeat
from ampwright.desk.cases.normal_ride import normal_of, rides_told, samples_for
from ampwright.desk.cases.ride import USUAL_RIDE
from ampwright.desk.cases.ride_legs import Band
from ampwright.desk.cases.ride_setup import SAMPLES, ridable_bikes
from ampwright.desk.cases.workup import work_up
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.shelf import demo_shelf
from ampwright.stock.shop import ShopDetails
from ampwright.terms import Advice, Ignition

SHOP = ShopDetails(name="The Corner Shop", phone="01234 5678")
DAY = datetime.date(2026, 3, 4)
# 12 V and 6 V, box, Zener, two dynamos, a battery and none, own rides and the usual one
APPLIES = (
    "all-readings-taken",
    "commute-in-december",
    "custom-without-battery",
    "dynamo-positive-earth",
    "dynamo-to-twelve-volts",
    "five-readings-going-flat",
    "parade-in-august",
    "rotor-after-a-rebuild",
    "three-phase-box-for-two-wires",
    "three-wires-by-phone",
    "three-wires-six-volt",
    "two-wires-unmarked",
)
each_job = pytest.mark.parametrize("name", APPLIES)


def worked(name):
    workup = work_up(open_demo(name))
    return workup, answer_workup(workup, demo_shelf())


def normal_for(name) -> Normal:
    workup, answer = worked(name)
    return normal_of(workup, answer.balance.rows[0], answer.balance.road_unit)


def band(low, likely, high, unit_per_rpm=0.0157):
    """A speed band with its road speeds; its own words are not used by the card."""
    return SpeedBand(low, likely, high, low * unit_per_rpm, likely * unit_per_rpm, high * unit_per_rpm, "")


KEPT = Kept(
    is_lithium=False,
    started_by="kick",
    tick_over_A=Band(3.0, 5.0, 6.0),
    tick_over_V=11.9,
    taken_Ah=Band(0.6, 0.8, 1.0),
    gain_Ah=Band(0.1, 0.4, 0.6),
    ride="A ride",
    ride_minutes=32.0,
)
NORMAL = Normal(
    generator="a generator",
    system_voltage_V=12,
    chance="about 2 in 3",
    earth="positive earth settled",
    held_by=("charging box",),
    lights_on=band(1350.0, 1800.0, 2300.0),
    lights_off=band(850.0, 1150.0, 1450.0),
    road_unit="mph",
    kept=KEPT,
    heat=ShellHeat("charging box", Band(62.0, 74.0, 79.0), 85.0),
    assumed=("a battery of 9 Ah",),
)


def said(normal) -> dict[str, str]:
    return {line.name: line.text for line in words.normal_lines(normal)}


# --- the paper of every demo job --------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", demo_names())
def test_the_list_offers_the_card_where_the_bike_may_be_ridden_and_says_why_where_not(name) -> None:
    _, answer = worked(name)
    why = {paper.key: paper.why_not(answer) for paper in case.PAPERS}["normal"]
    assert (why == "") == (name in APPLIES)
    if answer.suit.advice is Advice.STOP:
        assert why.startswith("a danger stops the job")


def test_of_a_bike_of_which_nothing_is_told_nothing_is_normal() -> None:
    answer = answer_workup(work_up(job_from({"format": 1, "number": "1"}, "a test")), demo_shelf())
    assert "normal" not in case.that_apply(answer)


@each_job
def test_the_card_is_one_side_of_a6_in_readable_letters_with_all_it_has_to_say(name, poppler) -> None:
    pytest.importorskip("typst")
    workup, answer = worked(name)
    card = case.normal_card(answer, None, SHOP, workup, day=DAY)
    pdf = case.papers(answer, None, SHOP, None, ["normal"], workup=workup, day=DAY)
    (text,) = pages_of(pdf)
    # ISO 216: A6 is 105 by 148 mm, of 72 points to 25.4 mm
    size_mm = [float(side) * 25.4 / 72 for side in re.findall(r"[\d.]+", facts_of(pdf)["Page size"])[:2]]
    assert size_mm == pytest.approx([105.0, 148.0], abs=0.1)
    for line in (*card.lines, *card.come_back, *card.cautions, card.based_on, f"Job {answer.number}", "4 March 2026"):
        told = line if isinstance(line, str) else f"{line.name}. {line.text}"
        assert squeezed(told) in text
    assert "!" + squeezed(usual_cautions()["always"]) in text
    assert 1 <= text.count("!") <= 4
    assert "Assumed:" in text
    assert least_letter_pt(pdf) >= 7.0 - 0.01


def least_letter_pt(pdf: bytes) -> float:
    """The size of the smallest letters, as the page itself sets them (PDF: a size before each Tf)."""
    streams = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.S)
    opened = b" ".join(zlib.decompress(stream) for stream in streams if stream[:1] == b"\x78")
    return min(float(size) for size in re.findall(rb"/\w+ ([\d.]+) Tf", opened))


@each_job
def test_the_card_is_of_the_bike_that_the_balance_names_first(name) -> None:
    workup, answer = worked(name)
    system = ridable_bikes(workup, samples=2)[0].system
    row = answer.balance.rows[0]
    # the rule: one bike on one card, whichever of its figures is looked at
    assert (system.generator.name, system.system_voltage_V) == (row.generator, row.system_voltage_V)


@each_job
def test_amps_at_tick_over_are_those_of_the_balance_but_for_the_stop_lamp(name) -> None:
    workup, answer = worked(name)
    row = answer.balance.rows[0]
    kept = normal_of(workup, row, "mph").kept
    if kept is None:
        assert "no battery" in case.normal_card(answer, None, SHOP, workup).lines[1].text
        return
    # second method: the balance holds 13.5 V and knows no stop lamp, which takes 21 W of 12 V or 18 W of 6 V
    stop_lamp_A = {6: 18.0 / 6.0, 12: 21.0 / 12.0}[row.system_voltage_V]
    assert kept.tick_over_A.likely == pytest.approx(-row.tick_over_A, abs=stop_lamp_A)
    assert kept.tick_over_A.low <= kept.tick_over_A.likely <= kept.tick_over_A.high
    # law: ampere-hours are amps times hours; a start takes something beside, and by a magneto nothing
    start_Ah = kept.taken_Ah.likely - kept.tick_over_A.likely * words.TICK_OVER_MINUTES / 60.0
    assert (start_Ah > 0.001) == (ridable_bikes(workup, samples=2)[0].ignition is not Ignition.MAGNETO)
    assert start_Ah == pytest.approx(0.0, abs=0.06)


@each_job
def test_the_volts_that_the_model_holds_are_within_what_the_card_calls_normal(name) -> None:
    workup, _ = worked(name)
    held, normal = ridable_bikes(workup, samples=2)[0].held, normal_for(name)
    volts = words.volts_range(normal.held_by[0], normal.system_voltage_V)
    if held.held_V is None:
        assert volts is None
        return
    low, high = volts
    # the rule: what the card calls normal is no narrower than what sound parts hold
    assert low <= held.held_V - held.spread_V
    assert held.held_V + held.spread_V <= high + 0.01


def test_a_card_needs_a_job_to_ride() -> None:
    _, answer = worked("two-wires-unmarked")
    with pytest.raises(ValueError, match="needs one to ride"):
        case.normal_card(answer, None, SHOP, None)


def test_the_same_job_gives_the_same_card() -> None:
    assert normal_for("two-wires-unmarked") == normal_for("two-wires-unmarked")


# --- the rides --------------------------------------------------------------------------------------------------------


def ride_of(minutes, **more):
    return Ride(name=f"{minutes} minutes", legs=(Leg(kind="town", minutes=float(minutes)),), rest_hours=8.0, **more)


@pytest.mark.parametrize(
    ("minutes", "ridden"),
    # by hand: 50 + 60 = 110 minutes go into two hours and 50 + 60 + 20 = 130 do not; the first is ridden in any case
    [((), (32,)), ((50, 60, 20), (50, 60)), ((600, 5), (600,)), ((60, 60), (60, 60))],
)
def test_a_jobs_own_rides_are_ridden_once_up_to_two_hours_else_the_usual_one(minutes, ridden) -> None:
    job = open_demo("two-wires-unmarked")
    told = rides_told(job.model_copy(update={"rides": tuple(ride_of(each, repeats=5) for each in minutes)}))
    assert tuple(sum(leg.minutes for leg in ride.legs) for ride in told) == ridden
    assert [ride.repeats for ride in told] == [1] * len(told)
    assert told[-1].rest_hours == 0.0


@pytest.mark.parametrize(
    # by hand: up to an hour all, of 120 minutes half, of 24 h 200 * 60 / 1440 = 8, and no fewer than 20
    ("minutes", "bikes"),
    [(32, SAMPLES), (60, SAMPLES), (120, SAMPLES // 2), (1440, 20)],
)
def test_long_rides_are_ridden_by_fewer_bikes(minutes, bikes) -> None:
    assert samples_for([ride_of(minutes)]) == bikes


def test_the_usual_ride_is_described_as_it_is() -> None:
    minutes = {leg.kind: leg.minutes for leg in USUAL_RIDE.legs}
    # by hand: half an hour of the two, and two minutes
    assert (minutes["town"] + minutes["lanes"], minutes["tick-over"]) == (30.0, 2.0)
    assert (
        "Half an hour of town and lanes and two minutes at tick-over, lights on"
        in said(normal_for("two-wires-unmarked"))["Your ride"]
    )


# --- minutes to put it back -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("taken_Ah", "gain_Ah", "ride_minutes", "minutes"),
    # by hand: 0.4 Ah in 32 minutes are 0.0125 Ah a minute, and 0.8 / 0.0125 = 64
    [(0.8, 0.4, 32.0, 64.0), (0.0, 0.4, 32.0, 0.0), (0.8, 0.0, 32.0, math.inf), (0.8, -0.2, 32.0, math.inf)],
)
def test_minutes_to_put_back_are_what_was_taken_over_the_mean_gain(taken_Ah, gain_Ah, ride_minutes, minutes) -> None:
    assert words.minutes_to_replace(taken_Ah, gain_Ah, ride_minutes) == pytest.approx(minutes)


def test_a_weak_machine_takes_longer_and_minutes_are_rounded_up() -> None:
    text = words.replace_words(KEPT)
    # by hand: 64 minutes go up to 65; 1.0 Ah at 0.1 Ah in 32 minutes are 320 minutes, over four hours
    assert "take 0.8 Ah. Put back: in about 65 minutes, with a weak machine only in more than 4 hours." in text
    never = words.replace_words(replace(KEPT, gain_Ah=Band(-0.4, 0.4, 0.6)))
    assert "in about 65 minutes, with a weak machine not on this ride." in never


def test_where_no_machine_gains_it_is_said_once() -> None:
    text = words.replace_words(replace(KEPT, gain_Ah=Band(-0.4, -0.2, -0.1)))
    assert text.count("not on this ride") == 1
    assert "minutes, with" not in text


@pytest.mark.parametrize(
    ("likely", "verb", "charger"),
    [(0.2, "gains 0.2 Ah", False), (0.01, "stays as it is", False), (-0.2, "loses 0.2 Ah", True)],
)
def test_a_ride_that_costs_charge_says_so_and_asks_for_a_charger(likely, verb, charger) -> None:
    text = words.ride_words(replace(KEPT, gain_Ah=Band(-0.5, likely, 0.6)))
    assert f"the battery {verb} (with a weak machine loses 0.5 Ah, with a strong one gains 0.6 Ah)" in text
    # the rule: what goes out on every ride has to come back at home
    assert ("Put it on a charger" in text) == charger


# --- volts and amps ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", words.RANGES_12V)
def test_volts_on_six_are_half_of_those_on_twelve_to_the_tenth(name) -> None:
    on_12, on_6 = words.volts_range(name, 12), words.volts_range(name, 6)
    # law: half the cells have half the volts; what is stated to a tenth is within one of it
    assert on_6 == pytest.approx([volts / 2.0 for volts in on_12], abs=0.101)


def test_lithium_is_never_told_of_more_than_it_bears() -> None:
    # the caution for lithium: over 14.6 V harms it
    assert words.volts_range("charging box", 12, is_lithium=True) == (13.8, 14.6)
    lithium = replace(NORMAL, kept=replace(KEPT, is_lithium=True))
    assert words.come_back(lithium)[1].startswith("Over 14.6 V at the posts: engine off")
    assert "lithium charger" in words.ride_words(replace(KEPT, is_lithium=True, gain_Ah=Band(-0.5, -0.2, 0.1)))


def test_a_zener_over_fifteen_volts_is_normal_in_the_first_minutes_only() -> None:
    volts = said(replace(NORMAL, held_by=("Zener",)))["Volts"]
    assert "13.5 to 15.2 V with a Zener (over 15.0 V in the first five minutes only)" in volts
    assert "five minutes only" not in said(NORMAL)["Volts"]


def test_where_nothing_holds_the_volts_down_no_range_is_called_normal() -> None:
    volts = said(replace(NORMAL, held_by=("nothing",)))["Volts"]
    assert "nothing holds them down" in volts
    assert "Riding" not in volts


def test_amps_out_at_tick_over_are_called_normal_and_none_are_not_told_as_some() -> None:
    assert "Tick-over, lights on: 3 to 6 A out" in said(NORMAL)["Ammeter"]
    assert "That is normal on these machines." in said(NORMAL)["Ammeter"]
    charging = replace(NORMAL, kept=replace(KEPT, tick_over_A=Band(-2.0, -1.0, 0.5)))
    assert "about nothing" in said(charging)["Ammeter"]


def test_speeds_go_from_the_strong_to_the_weak_and_never_is_a_word() -> None:
    assert (
        words.speed_words(NORMAL.lights_on, "mph")
        == "above about 1800 rpm, 28 mph in top (strong 1350 rpm, weak 2300 rpm)"
    )
    assert "weak never" in words.speed_words(band(1350.0, 1800.0, math.inf), "mph")
    assert words.speed_words(band(1350.0, math.inf, math.inf), "mph") == "at no speed; a strong one above 1350 rpm"
    assert words.speed_words(band(math.inf, math.inf, math.inf), "mph") == "at no speed looked at"


# --- warm -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("degC", "told", "untold"),
    [
        (Band(62.0, 74.0, 79.0), "60 to 80 °C: that is normal", "too hot"),
        (Band(62.0, 74.0, 92.0), "60 to 95 °C; over 85 °C is too hot, so come back", "normal"),
        (Band(62.0, 90.0, 120.0), "it passes 85 °C within 20 minutes. Don't let it.", "normal"),
    ],
)
def test_what_passes_its_limit_is_never_called_normal_and_nobody_touches_it(degC, told, untold) -> None:
    text = words.heat_words(ShellHeat("charging box", degC, 85.0))
    assert told in text
    assert untold not in text
    assert text.endswith("It can burn: no hand on it.")


# --- when to come back ------------------------------------------------------------------------------------------------


def test_what_stops_it_stands_first_then_the_volts_then_the_needle() -> None:
    stop, over, needle = words.come_back(NORMAL)
    assert stop.startswith("Battery hot, hissing or swollen: STOP.")
    # common practice, no source: over 15 V, and 7.6 V on 6 V
    assert over.startswith("Over 15.0 V at the posts, engine warm, five minutes after starting")
    assert words.come_back(replace(NORMAL, system_voltage_V=6))[1].startswith("Over 7.6 V")
    # the rule: at the weak end, so that no sound machine is sent back
    assert needle == "The ammeter always shows discharge above 2300 rpm (36 mph), lights on: ring us."


def test_a_weak_machine_that_never_carries_the_lights_is_judged_with_them_off_or_not_at_all() -> None:
    never = replace(NORMAL, lights_on=band(1350.0, 1800.0, math.inf))
    assert "above 1450 rpm (23 mph), lights off" in words.come_back(never)[2]
    assert len(words.come_back(replace(never, lights_off=band(850.0, 1150.0, math.inf)))) == 2


def test_without_a_battery_nothing_is_said_of_one() -> None:
    without = replace(NORMAL, kept=None)
    lines = said(without)
    assert set(lines) == {"What it is", "Lamps", "Volts", "Warm"}
    assert "posts" not in " ".join((*lines.values(), *words.come_back(without)))
    assert "charges" not in lines["Lamps"]
    assert "carries it all above about 1800 rpm" in lines["Lamps"]
