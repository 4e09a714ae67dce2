"""
What is read aloud and what is sent: conditions as plain sentences, and messages that no telephone cuts off.

The length of a message is our own rule; what is seen to in fitting is common practice, no source.
"""

import pytest
from bench_jobs import CASE, FLOODED, MINUS, PLUS, POINTS, finding, job, wires
from bench_parts import DEMO, DYNAMO, TEN_AMPS, THREE_PHASE, TWO_WIRES, box, shelf, without

from ampwright.bike.finding import FINDING_KINDS
from ampwright.desk.cases.jobs import demo_names, open_demo
from ampwright.desk.cases.suit import ask_job, suit_job
from ampwright.selection.aloud import see_to
from ampwright.selection.message import MOST_CHARACTERS, short_message
from ampwright.terms import Advice, Source, Verdict

SURE = (*TWO_WIRES, PLUS, TEN_AMPS)
EARTHS = {"+": PLUS, "-": MINUS, "told": finding("frame_post", "-", Source.LOOKING)}


@pytest.mark.parametrize(
    ("condition", "sentence"),
    [
        ("its spare AC lead is insulated", "See that its spare AC lead is insulated."),
        ("mismatched rotor: the rotor is measured", "See that the rotor is measured."),
        (
            "no battery: a battery is fitted with it: it needs one",
            "If there is no battery, see that a battery is fitted with it: it needs one.",
        ),
        ("it is known that it charges later", "Mind that it charges later."),
        ("running at 6 V: it is known that it charges later", "If it runs at 6 V, mind that it charges later."),
        ("AGM or gel: it is low", "With an AGM battery or with a gel battery, see that it is low."),
        ("points and battery coils: it is low", "With points and battery coils, see that it is low."),
        ("running at 6 V and AGM: it is low", "If it runs at 6 V and with an AGM battery, see that it is low."),
        (
            "single-phase alternator, 10 to 10.5 A (120 W) or another still possible: it is low",
            "On a single-phase alternator, 10 to 10.5 A (120 W) or something else that is still possible, see that it"
            " is low.",
        ),
        ("one Zener: it is low", "Where it is regulated by one Zener, see that it is low."),
        # what stands before the colon names nothing that a bike could be
        ("the whole bike is changed: battery, bulbs", "See that the whole bike is changed: battery, bulbs."),
    ],
)
def test_a_condition_is_one_plain_sentence(condition, sentence):
    assert see_to(condition) == sentence


@pytest.mark.parametrize("name", demo_names())
def test_every_condition_of_every_story_reads_as_a_sentence(name):
    rows = suit_job(open_demo(name), DEMO).rows
    for row in rows:
        assert len(row.see_that) == len(row.conditions)
        for sentence in row.see_that:
            assert sentence.endswith(".")
            assert "it is known that" not in sentence
            assert not sentence.startswith(("See that mismatched rotor", "See that no battery", "See that running"))


STOPS = (
    (),
    (finding("danger", "hot or smoking"),),
    (finding("danger", "battery hissing or swollen"),),
    (finding("danger", "over 15 V (7.6 V on 6 V) at the battery"),),
    (finding("battery_volts", 15.3, Source.MEASURED),),
    (finding("battery_volts", 9.0, Source.MEASURED, speed="fast"),),
)


@pytest.mark.parametrize("who", ["caller", "home", "workshop"])
@pytest.mark.parametrize("name", demo_names())
def test_no_message_is_cut_off(name, who):
    story = open_demo(name).model_copy(update={"who": who})
    for why in (None, "flat battery", "part came back", "what have I got", "6 to 12 V"):
        answer = ask_job(story.model_copy(update={"why": why}), DEMO)
        assert 0 < len(answer.message) < MOST_CHARACTERS
        assert story.number in answer.message


@pytest.mark.parametrize("danger", STOPS)
def test_what_stops_a_job_is_sent_whole(danger):
    # a stop that lost its end could lose what not to do
    answer = ask_job(job(CASE, wires(2), FLOODED, *danger), DEMO)
    if danger:
        assert answer.message == f"Job T1: STOP. {answer.read_aloud}"
    assert len(answer.message) < MOST_CHARACTERS


@pytest.mark.parametrize("part", DEMO.parts, ids=lambda part: part.code)
@pytest.mark.parametrize("bike", [SURE, (*THREE_PHASE, MINUS), (*DYNAMO, PLUS)], ids=["two", "three", "dynamo"])
def test_whatever_is_sold_is_sent_with_all_its_conditions_or_none_is_fitted(bike, part):
    told = job(*bike, wishes={"ammeter_range_A": 8}, fitted=[{"kind": "charge warning lamp", "source": "photo"}])
    answer = ask_job(told, DEMO.model_copy(update={"parts": (part,)}))
    assert len(answer.message) < MOST_CHARACTERS
    if answer.advice is Advice.SELL_NOW:
        assert part.code in answer.message
        assert f"{part.price:.2f}" in answer.message
        row = suit_job(told, DEMO.model_copy(update={"parts": (part,)})).rows[0]
        assert "Fit nothing before you rang" in answer.message or all(one in answer.message for one in row.see_that)


def test_a_sale_is_sent_with_number_currency_kind_and_what_is_seen_to_in_fitting():
    lamp = [{"kind": "charge warning lamp", "source": "photo"}]
    message = ask_job(job(*SURE, fitted=lamp), shelf(box(code="B-9", price="62.50"))).message
    assert message.startswith("Job T1: B-9 (charging box, GBP 62.50).")
    assert "In fitting: See that the old charge warning lamp's unit is taken off the stator" in message


def test_what_is_sold_is_sent_with_the_earth_and_with_what_is_unhooked():
    # own rule: whoever fits it has the message and no sheet; the posts are common practice, no source
    regulated = finding("regulated_by", "one Zener", Source.IN_HAND)
    sent = {post: ask_job(job(*TWO_WIRES, TEN_AMPS, post_seen), DEMO).message for post, post_seen in EARTHS.items()}
    assert "Frame is battery +: check both posts first." in sent["+"]
    assert "Frame is battery -: check both posts first." in sent["-"]
    assert "Connect nothing before both posts are on a photo." in sent["told"]
    assert "Frame is" not in sent["told"]
    assert "Unhook any old Zener; insulate each wire." in ask_job(job(*SURE, regulated), DEMO).message
    beside = [{"kind": "charging box", "source": "photo"}, {"kind": "plate rectifier", "source": "photo"}]
    assert "old Zener/rectifier/box;" in ask_job(job(*SURE, regulated, fitted=beside), DEMO).message
    # a dynamo has no rectifier
    assert "rectifier" not in ask_job(job(*DYNAMO, PLUS), DEMO).message


def test_a_text_too_long_to_send_says_that_there_is_more():
    said = short_message(job(), "First sentence. " + "Another one of some length here. " * 20)
    assert len(said) < MOST_CHARACTERS
    assert said.startswith("Job T1: First sentence.")
    assert said.endswith("There is more: ring before you do anything.")


def test_danger_is_asked_in_what_is_sent_until_it_was():
    asked = "Hot, smoking, hissing, swollen, over 15 V?"
    assert ask_job(job(CASE), DEMO).message.startswith(asked)
    assert asked not in ask_job(job(CASE, finding("danger", "nothing")), DEMO).message
    # and in what is sent with a sale
    sold = ask_job(job(*SURE), DEMO)
    assert sold.advice is Advice.SELL_NOW
    assert asked in sold.message
    assert asked not in ask_job(job(*SURE, finding("danger", "nothing")), DEMO).message


def test_who_has_no_battery_is_asked_for_no_posts():
    told = (CASE, wires(3), finding("battery_kind", "none"), POINTS)
    checks = [check for check in ask_job(job(*told), DEMO).ask.checks if "frame_post" in check.brings]
    answer = suit_job(job(*told), DEMO)
    settling = [row.settled_by for row in answer.rows if row.settled_by and "frame_post" in row.settled_by.brings]
    assert settling
    for check in (*checks, *settling):
        assert "capacitor" in check.ask
    assert any("no posts" in caution for caution in answer.cautions)
    with_one = suit_job(job(CASE, wires(3), FLOODED, POINTS), DEMO)
    assert not any("capacitor" in caution and "no posts" in caution for caution in with_one.cautions)


def test_what_cannot_be_said_yet_says_in_one_line_what_the_bike_must_be():
    told = (*without(TWO_WIRES, "thick_wires", "coils"), TEN_AMPS)
    row = suit_job(job(*told), shelf(box(earth="shell is minus"))).rows[0]
    assert row.verdict is Verdict.CANT_SAY
    # law: on a positive-earth frame a shell that is minus is a dead short
    assert "negative earth" in row.right_if.split("; ")
    assert row.right_if.count("negative earth") == 1


def test_a_job_without_a_number_asks_nobody_to_quote_one():
    asked = ask_job(job(CASE, number="new"), DEMO)
    assert asked.ask.message.endswith("Then ring back.")
    assert "new" not in asked.ask.message.split()


def test_what_fits_on_a_condition_is_sent_with_the_earth_and_the_danger_that_was_not_asked():
    told = (*TWO_WIRES, finding("frame_post", "+", Source.MEMORY), TEN_AMPS)
    proved = shelf(box(code="B-9", set_point_V=14.9))
    answer = ask_job(job(*told, cannot_say=list(FINDING_KINDS[1:])), proved)
    assert (answer.advice, answer.ask) == (Advice.ASK_FIRST, None)
    assert "B-9" in answer.message
    # own rule: whoever might buy it on his own word has this text and no sheet
    assert "Connect nothing before both posts are on a photo." in answer.message
    assert "Hot, smoking, hissing, swollen, over 15 V?" in answer.message
