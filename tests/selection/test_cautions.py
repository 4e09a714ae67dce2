"""
The cautions beside an answer: by what the bike could still be, and not by what is believed of it.

Cautions are common practice, no source; that they follow what is possible is our own rule.
"""

import pytest
from bench_jobs import CASE, FLOODED, MINUS, PLUS, finding, identified, job, marking, wires
from bench_parts import DEMO, DYNAMO, ENERGY_TRANSFER, TEN_AMPS, THREE_PHASE, TWO_WIRES, box, part, shelf, without

from ampwright.desk.cases.suit import ask_job, suit_job
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.checks import usual_checks
from ampwright.terms import Family, Source

TEXTS = usual_cautions()
SURE = (*TWO_WIRES, PLUS, TEN_AMPS)
BIKES = {
    "nothing told": (),
    "case": (CASE,),
    "two wires told": (wires(2, Source.MEMORY),),
    "two wires": (CASE, wires(2)),
    "three wires": (CASE, wires(3)),
    "five wires": (CASE, wires(5)),
    "sure": SURE,
    "dynamo": (*DYNAMO, PLUS),
    "three-phase": (*THREE_PHASE, MINUS),
    "energy transfer": ENERGY_TRANSFER,
}
OF_FAMILY = {
    "energy transfer": Family.ENERGY_TRANSFER,
    "direct lighting": Family.DIRECT_LIGHTING,
    "wound field": Family.WOUND_FIELD,
    "dynamo": Family.DYNAMO,
}


@pytest.mark.parametrize("name", BIKES)
def test_a_family_brings_its_caution_just_as_long_as_it_is_possible(name):
    bike = BIKES[name]
    possible = identified(*bike).possible_families
    cautions = suit_job(job(*bike), DEMO).cautions
    for when, family in OF_FAMILY.items():
        assert (TEXTS[when] in cautions) is (family in possible), when
    # over 50 V AC: whatever is no dynamo may give it
    assert (TEXTS["alternator"] in cautions) is (possible != {Family.DYNAMO})


@pytest.mark.parametrize(("post", "earth"), [(PLUS, "positive earth"), (MINUS, "negative earth")])
def test_whichever_earth_is_settled_the_posts_are_checked_before_every_connection(post, earth):
    cautions = suit_job(job(*TWO_WIRES, post), DEMO).cautions
    assert TEXTS[earth] in cautions
    assert "Check the posts before every connection" in TEXTS[earth]
    assert TEXTS["earth not known"] not in cautions


def test_lithium_told_possible_or_for_sale_brings_its_caution():
    unread = without(SURE, "battery_kind")
    only_a_box = shelf(box())
    lithium = part("battery", code="L1", system_voltage_V=12, chemistry="LiFePO4", capacity_Ah=8)
    assert TEXTS["lithium"] not in suit_job(job(*SURE), only_a_box).cautions
    assert TEXTS["lithium"] in suit_job(job(*SURE), shelf(box(), lithium)).cautions
    assert TEXTS["lithium"] in suit_job(job(*unread), only_a_box).cautions
    told = finding("battery_kind", "LiFePO4", Source.MEMORY)
    assert TEXTS["lithium"] in suit_job(job(*unread, FLOODED, told), only_a_box).cautions


BOXED = finding("regulated_by", "charging box", Source.IN_HAND)
ZENER = finding("regulated_by", "one Zener", Source.IN_HAND)


@pytest.mark.parametrize(
    ("told", "fitted", "applies"),
    [
        ((), [], True),  # nobody said what regulates it
        ((BOXED,), [], True),
        ((ZENER,), [], False),
        ((ZENER,), [{"kind": "charging box", "source": "in our hands", "identified": True}], True),
        ((ZENER,), [{"kind": "dynamo control box", "source": "in our hands"}], True),
    ],
    ids=["not told", "told", "a Zener", "fitted beside", "control box beside"],
)
def test_a_box_that_is_on_it_or_may_be_brings_its_caution(told, fitted, applies):
    bike = job(*SURE, *told, fitted=fitted)
    assert (TEXTS["box already fitted"] in suit_job(bike, DEMO).cautions) is applies


def test_an_ammeter_is_held_against_the_amps_at_the_volts_still_possible():
    # by hand: 150 W is 25 A at 6 V and 12.5 A at 12 V; a regulated 6 V dynamo charges at 7.1 V, so 21 A
    dynamo = (*DYNAMO, PLUS, marking("150 W", Source.IN_HAND))
    assert TEXTS["ammeter"] in suit_job(job(*dynamo, wishes={"ammeter_range_A": 15}), DEMO).cautions
    assert TEXTS["ammeter"] not in suit_job(job(*dynamo, wishes={"ammeter_range_A": 30}), DEMO).cautions


def test_a_needle_looked_at_again_ends_the_caution_of_a_reversed_battery():
    swung = finding("needle", "to charge", Source.LOOKING)
    assert TEXTS["battery reversed"] in suit_job(job(*SURE, swung), DEMO).cautions
    again = finding("needle", "to discharge")
    assert TEXTS["battery reversed"] not in suit_job(job(*SURE, swung, again), DEMO).cautions


def test_a_lithium_battery_that_is_refused_brings_no_caution():
    lithium = part("battery", code="L1", system_voltage_V=12, chemistry="LiFePO4", capacity_Ah=8)
    dynamo = (*DYNAMO, PLUS)
    assert TEXTS["lithium"] not in suit_job(job(*dynamo), shelf(lithium)).cautions


def test_the_counters_short_answer_has_the_cautions_of_the_bike():
    for bike in BIKES.values():
        short, whole = ask_job(job(*bike), DEMO).cautions, suit_job(job(*bike), DEMO).cautions
        assert set(whole) - set(short) <= {TEXTS["lithium"]}  # a lithium battery for sale is no part the job turns on
        assert list(short) == [text for text in whole if text in short]


def test_every_check_that_can_hurt_says_so_in_the_text_that_is_sent():
    hurts = {
        "AC volts between pairs": ("Clips on FIRST", "Shock"),
        "AC volts across 1 ohm": ("Clips on FIRST", "shock", "hot resistor"),
        "wires to the engine": ("engine off",),
        "ohms between pairs": ("Engine off",),
        "coils, poles and diameter": ("engine cold",),
        "bulbs": ("cool",),
        "ran without a battery": ("Do NOT try",),
    }
    by_name = {check.name: check.message for check in usual_checks().checks}
    for name, words in hurts.items():
        for word in words:
            assert word in by_name[name], name


def test_a_look_at_hot_metal_is_sent_with_the_engine_off_and_cool():
    asked = ask_job(job(CASE, wires(2, Source.MEMORY)), DEMO).ask
    hot = [check for check in asked.checks if check.risk in ("hot exhaust", "hot metal")]
    assert hot
    assert asked.message.count("Engine off and cool.") == 1
