"""
The one-line answer: when to sell, what to ask, when to stop, and the cautions beside it.

Rules without another note are common practice, no source.
"""

from decimal import Decimal

import pytest
from bench_jobs import CASE, MINUS, PLUS, finding, job, wires
from bench_parts import (
    DEMO,
    DIRECT_LIGHTING,
    DYNAMO,
    ENERGY_TRANSFER,
    SWITCHED,
    TEN_AMPS,
    THREE_PHASE,
    TWO_WIRES,
    WOUND_FIELD,
    box,
    shelf,
)

from ampwright.bike.finding import FINDING_KINDS
from ampwright.desk.cases.suit import ask_job, suit_job
from ampwright.terms import Advice, Source


def test_running_without_a_battery_is_answered_with_the_better_choice():
    answer = suit_job(job(*THREE_PHASE, MINUS, finding("ignition", "electronic"), wishes={"no_battery": True}), DEMO)
    assert any("A battery is the better choice" in caution for caution in answer.cautions)


def test_danger_is_asked_for_until_it_was():
    assert "hot, smoking" in suit_job(job(CASE), DEMO).danger_not_asked
    assert suit_job(job(CASE, finding("danger", "nothing")), DEMO).danger_not_asked == ""


def test_nothing_suits_is_an_answer():
    answer = suit_job(job(*DYNAMO, PLUS), shelf(box()))
    assert answer.advice is Advice.STOP
    assert answer.why == "Nothing in stock suits: see each part's reason."


def test_an_empty_stock_is_an_answer():
    answer = suit_job(job(*DYNAMO, PLUS), shelf())
    assert answer.rows == ()
    assert answer.read_aloud == "There is no charging box or other regulator in stock."


def test_danger_stops_everything():
    answer = suit_job(job(*TWO_WIRES, PLUS, TEN_AMPS, finding("danger", "hot or smoking", Source.MEMORY)), DEMO)
    assert answer.advice is Advice.STOP
    assert answer.safe_codes == ()


def test_the_right_part_out_of_stock_is_to_be_ordered_not_sold():
    answer = suit_job(job(*TWO_WIRES, PLUS, TEN_AMPS), shelf(box(in_stock=0)))
    assert answer.advice is Advice.ASK_FIRST
    assert answer.why == "The right part is not in stock: order it."


def test_the_earth_lead_caution_stands_on_every_answer():
    for findings in ((), TWO_WIRES, DYNAMO, THREE_PHASE, SWITCHED):
        assert suit_job(job(*findings), DEMO).cautions[0].startswith("Battery earth lead off first and on last")


def test_rectifier_and_zener_are_unhooked_after_a_box_goes_in():
    fitted = [{"kind": "Zener", "source": "photo"}, {"kind": "plate rectifier", "source": "photo"}]
    answer = suit_job(job(*TWO_WIRES, PLUS, TEN_AMPS, fitted=fitted), DEMO)
    assert any("unhooked" in caution and "insulated" in caution for caution in answer.cautions)


def test_wishes_rank_parts_that_fit():
    plain, delayed = box(code="A", price=Decimal(20)), box(code="B", price=Decimal(30), lighting_delay=True)
    wish = job(*TWO_WIRES, PLUS, TEN_AMPS, wishes={"lights_on_a_delay": True})
    assert [fit.code for fit in suit_job(wish, shelf(plain, delayed)).rows] == ["B", "A"]


def test_who_can_say_nothing_is_sold_nothing_and_told_so():
    answer = suit_job(job(cannot_say=list(FINDING_KINDS)), DEMO)
    assert answer.advice is Advice.ASK_FIRST
    assert (answer.ask, answer.safe_codes) == (None, ())
    assert answer.read_aloud.startswith("Sell nothing on this.")


def test_the_counters_short_answer_is_that_of_the_whole_stock():
    for findings in ((CASE, wires(2)), (*TWO_WIRES, PLUS, TEN_AMPS), DYNAMO, (*SWITCHED, PLUS)):
        told = job(*findings)
        short, whole = ask_job(told, DEMO), suit_job(told, DEMO)
        # second method: parts that hold no volts neither sell nor ask for anything by themselves
        assert (short.advice, short.read_aloud) == (whole.advice, whole.read_aloud)
        assert short.ask == whole.ask


@pytest.mark.parametrize(
    ("bike", "more", "words"),
    [
        (ENERGY_TRANSFER, {}, "energy-transfer"),
        (DIRECT_LIGHTING, {}, "direct lighting"),
        (WOUND_FIELD, {}, "wound field"),
        ((*TWO_WIRES, finding("needle", "to charge")), {}, "wrong way round"),
        (TWO_WIRES, {"fitted": [{"kind": "charge warning lamp", "source": "photo"}]}, "warning lamp"),
        (TWO_WIRES, {"wishes": {"ammeter_range_A": 8}}, "ammeter"),
    ],
    ids=["energy transfer", "direct lighting", "wound field", "needle to charge", "warning lamp", "ammeter"],
)
def test_what_is_special_about_a_bike_brings_its_own_caution(bike, more, words):
    with_it = suit_job(job(*bike, TEN_AMPS, **more), DEMO).cautions
    plain = suit_job(job(*TWO_WIRES, TEN_AMPS), DEMO).cautions
    added = [caution for caution in with_it if caution not in plain]
    assert any(words in caution.lower() for caution in added)
