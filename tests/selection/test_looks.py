"""
The look that is asked for: what goes together, who can do it, and when nothing is asked.

That a look is worth the sale it makes possible, and what it costs, is our own rule.
"""

import itertools

import pytest
from bench_jobs import (
    CASE,
    FLOODED,
    MINUS,
    PLUS,
    POINTS,
    TWELVE,
    coils,
    finding,
    identified,
    job,
    marking,
    wires,
)
from bench_parts import CANT_SAY, DEMO, DYNAMO, SWITCHED, TEN_AMPS, THREE_PHASE, TWO_WIRES, box, row, shelf, without

from ampwright.bike.finding import FINDING_KINDS
from ampwright.desk.cases.jobs import demo_names, open_demo
from ampwright.desk.cases.suit import ask_job, suit_job
from ampwright.identify.explanation import doubtful
from ampwright.identify.guards import LIFTED_BY_AXIS, LIFTED_BY_FAMILY
from ampwright.selection.message import MOST_CHARACTERS, message_for
from ampwright.stock.checks import usual_checks
from ampwright.terms import Advice, Source

CHECKS = usual_checks().checks
WHO = ("caller", "home", "workshop")
THREE_WIRES = (CASE, wires(3), TWELVE, FLOODED, PLUS)


def look(*findings, stock=DEMO, **more):
    return ask_job(job(*findings, **more), stock).ask


def brought(asked):
    return {kind for check in asked.checks for kind in check.brings}


def names(asked):
    return {check.name for check in asked.checks}


def test_what_can_be_seen_at_the_same_look_is_asked_together():
    # one look under the seat shows voltage, kind and post
    assert {"battery_voltage_V", "battery_kind", "frame_post"} <= brought(
        look(CASE, wires(2), marking("16 A", Source.IN_HAND))
    )


def test_an_opening_is_paid_for_once():
    asked = look(CASE, wires(2, Source.MEMORY), coils(9, Source.LOOKING), TWELVE, MINUS)
    beside = [check for check in asked.checks if check.opens == "side panel"]
    settings = identified().grid.evidence.settings.asking
    # by hand: asking, one opening, and each check's own minutes
    assert len(beside) > 1
    assert asked.minutes == pytest.approx(
        settings.asking_minutes + settings.opening_minutes["side panel"] + sum(check.minutes for check in asked.checks)
    )
    assert usual_checks().for_finding("thick_wires") in asked.checks


def test_what_is_open_already_costs_no_opening():
    asking = identified().grid.evidence.settings.asking
    opened = look(CASE, opened=["side panel", "plug", "seat", "primary case"])
    assert {check.opens for check in opened.checks} - {"nothing"}
    # by hand: asking and the checks' own minutes, no place left to be opened
    assert opened.minutes == pytest.approx(asking.asking_minutes + sum(check.minutes for check in opened.checks))


def test_the_case_is_opened_when_much_is_told_there_and_nothing_cheaper_tells():
    cheaper = ["pair_volts", "marking", "pair_ohms", "one_ohm_volts", "wires_to_engine", "wire_colours"]
    asked = look(*THREE_WIRES, POINTS, cannot_say=cheaper)
    assert "primary case" in {check.opens for check in asked.checks}
    # with a meter to hand the case stays shut
    assert "primary case" not in {check.opens for check in look(*THREE_WIRES, POINTS).checks}


def test_a_case_that_stands_open_is_looked_into():
    shut = look(*THREE_WIRES, cannot_say=["pair_volts"], who="workshop")
    stands_open = look(*THREE_WIRES, cannot_say=["pair_volts"], opened=["primary case"])
    assert "coils" in brought(stands_open)
    assert stands_open.minutes < shut.minutes or "coils" not in brought(shut)


@pytest.mark.parametrize("who", WHO)
@pytest.mark.parametrize(
    "findings", [(), (CASE,), THREE_WIRES, (*SWITCHED, PLUS)], ids=["none", "case", "three", "6 V"]
)
def test_nobody_is_asked_for_more_than_he_can_do(who, findings):
    asked = look(*findings, who=who)
    assert asked is None or all(WHO.index(check.who) <= WHO.index(who) for check in asked.checks)


def test_nothing_is_asked_when_no_answer_changes_a_part():
    settled = suit_job(job(*TWO_WIRES, PLUS, TEN_AMPS), DEMO)
    assert settled.advice is Advice.SELL_NOW
    assert settled.ask is None
    refused = suit_job(job(*DYNAMO, PLUS), shelf(box()))
    # every box is refused on a dynamo, whatever else is found out
    assert refused.ask is None


def test_nothing_is_asked_in_danger():
    assert look(finding("danger", "hot or smoking")) is None


def test_what_cannot_be_found_out_is_not_asked_for():
    for kind in ("thick_wires", "pair_volts", "frame_post", "position"):
        asked = look(cannot_say=[kind])
        assert all(set(check.brings) != {kind} for check in asked.checks)
    assert look(cannot_say=list(FINDING_KINDS)) is None


def test_what_cannot_be_found_out_better_is_not_asked_again():
    told = wires(2, Source.MEMORY)
    asked = look(CASE, told, cannot_say=["thick_wires", "thin_wires", "wire_colours"])
    assert "thick_wires" not in brought(asked)


def test_what_is_known_as_well_as_the_check_reaches_is_not_asked_again():
    for asked in (look(*THREE_WIRES), look(*TWO_WIRES), look(*without(THREE_PHASE, "marking"))):
        # the battery was seen on a photo: its label, kind and post are known
        assert asked is None or "battery photo" not in names(asked)


def test_a_doubtful_finding_is_asked_again_before_anything_else():
    # the count from memory is the odd one out, and a photo of the wires is a better look
    torn = (CASE, wires(2, Source.MEMORY), coils(9, Source.LOOKING), TWELVE, MINUS)
    assert doubtful(identified(*torn)) == "thick_wires"
    assert "thick_wires" in look(*torn).checks[0].brings


def test_two_looks_that_differ_are_settled_by_a_photo():
    looks = finding("frame_post", "+", Source.LOOKING), finding("frame_post", "-", Source.LOOKING)
    minds_earth = shelf(box(earth="shell is minus"))
    assert "frame_post" in look(*TWO_WIRES, TEN_AMPS, *looks, stock=minds_earth).checks[0].brings


@pytest.mark.parametrize("count", [4, 5])
def test_where_energy_transfer_is_likely_the_ignition_is_asked_for(count):
    # nothing is sold on it, but a photo of the coils tells whether that is so
    asked = look(CASE, wires(count), cannot_say=["battery_voltage_V"])
    assert asked is not None
    assert "ignition" in brought(asked)


def test_before_a_rating_was_looked_for_the_marking_is_asked_for():
    asked = suit_job(job(*TWO_WIRES, PLUS), shelf(box(rated_A=None, rated_W=180))).ask
    assert "marking" in brought(asked)


def test_a_look_pays_for_itself_where_a_sale_waits_for_it():
    for findings in ((), (CASE,), THREE_WIRES):
        asked = look(*findings)
        # own rule: it saves more of the shop's time than it takes
        assert asked.saving_minutes > asked.minutes


@pytest.mark.parametrize("name", demo_names())
def test_every_demo_job_is_sold_stopped_or_asked_for_something(name):
    answer = suit_job(open_demo(name), DEMO)
    if answer.advice is Advice.ASK_FIRST:
        assert answer.ask is not None or answer.safe_codes


def test_every_message_that_a_look_can_be_is_short():
    longest = job(number="X" * 12)
    for check in CHECKS:
        assert len(message_for(longest, [check])) < MOST_CHARACTERS
    for findings, who in itertools.product(((), (CASE,), (wires(3),), THREE_WIRES, (CASE, wires(5)), SWITCHED), WHO):
        asked = ask_job(longest.model_copy(update={"findings": job(*findings).findings, "who": who}), DEMO).ask
        # a plain message of 400 characters is taken by any telephone, in parts
        assert asked is None or len(asked.message) < MOST_CHARACTERS


def test_a_message_says_what_to_look_for_and_to_ring_back():
    asked = look(CASE)
    assert all(check.message in asked.message for check in asked.checks)
    assert asked.message.endswith("Then ring back: job T1.")
    assert asked.message.isascii()


def test_every_check_brings_findings_that_exist_and_every_kind_can_be_asked_for():
    brings = [kind for check in CHECKS for kind in check.brings]
    assert set(brings) <= set(FINDING_KINDS)
    # the readings of a charging fault are brought by the fault's own sheet, not by a call
    assert set(FINDING_KINDS) - set(brings) <= {"battery_volts", "battery_amps"}


def test_what_a_guard_waits_for_can_be_asked_for():
    wanted = {kind for kinds in (*LIFTED_BY_FAMILY.values(), *LIFTED_BY_AXIS.values()) for kind in kinds}
    assert wanted <= {kind for check in CHECKS for kind in check.brings}


@pytest.mark.parametrize(
    ("findings", "one_part", "kind"),
    [
        (
            (*without(TWO_WIRES, "battery_voltage_V"), PLUS, TEN_AMPS),
            box(system_voltage_V=6, set_point_V=7.1),
            "battery_voltage_V",
        ),
        ((*TWO_WIRES, TEN_AMPS), box(earth="shell is minus"), "frame_post"),
        ((*TWO_WIRES, PLUS), box(rated_A=None, rated_W=180), "marking"),
        ((*without(SWITCHED, "pair_volts"), PLUS), box(), "pair_volts"),
    ],
    ids=["voltage", "earth", "rating", "join"],
)
def test_each_part_that_waits_names_the_check_that_settles_it(findings, one_part, kind):
    waits = row(one_part, *findings)
    assert waits.verdict is CANT_SAY
    assert kind in waits.settled_by.brings
