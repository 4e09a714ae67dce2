"""
The one-line answer: when to sell, what to ask, when to stop, and the cautions beside it.

Rules without another note are common practice, no source.
"""

from decimal import Decimal

from bench_jobs import CASE, MINUS, PLUS, TWELVE, coils, finding, job, marking, wires
from bench_parts import DEMO, DYNAMO, SWITCHED, TEN_AMPS, THREE_PHASE, TWO_WIRES, box, shelf

from ampwright.desk.cases.suit import suit_job
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
    assert answer.read_aloud == "There is no charging box or dynamo regulator in stock."


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


def test_what_can_be_seen_at_the_same_look_is_asked_together():
    answer = suit_job(job(CASE, wires(2), marking("16 A", Source.IN_HAND)), DEMO)
    asked = {answer.ask_next.finding, *(check.finding for check in answer.ask_also)}
    # one look under the seat shows both the voltage and the post
    assert {"battery_voltage_V", "frame_post"} <= asked
    assert all(check.opens in (answer.ask_next.opens, "nothing") for check in answer.ask_also)


def test_nothing_is_asked_when_no_answer_changes_a_part():
    settled = suit_job(job(*TWO_WIRES, PLUS, TEN_AMPS), DEMO)
    assert settled.ask_next is None
    assert settled.ask_also == ()


def test_who_can_say_nothing_is_sold_nothing_and_told_so():
    every = ("position", "thick_wires", "coils", "marking", "frame_post", "battery_voltage_V", "ignition", "pair_volts")
    answer = suit_job(job(cannot_say=list(every)), DEMO)
    assert answer.advice is Advice.ASK_FIRST
    assert (answer.ask_next, answer.safe_codes) == (None, ())
    assert answer.read_aloud.startswith("Sell nothing on this.")


def test_a_doubtful_finding_is_asked_again_before_anything_else():
    torn = (CASE, wires(2, Source.MEMORY), coils(9, Source.LOOKING), TWELVE, MINUS)
    # the count from memory is the odd one out, and a photo of the wires is a better look
    assert suit_job(job(*torn), DEMO).ask_next.finding == "thick_wires"


def test_what_cannot_be_found_out_better_is_not_asked_again():
    told = wires(2, Source.MEMORY)
    assert suit_job(job(CASE, told, cannot_say=["thick_wires"]), DEMO).ask_next.finding != "thick_wires"
