"""
The look that is asked for: what goes together, who can do it, and when nothing is asked.

That a look is worth the sale it makes possible, and what it costs, is our own rule.
"""

import itertools

import pytest
from bench_jobs import (
    BODY,
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
from bench_parts import (
    CANT_SAY,
    DEMO,
    DYNAMO,
    SWITCHED,
    TEN_AMPS,
    THREE_PHASE,
    TWO_WIRES,
    WOUND_FIELD,
    box,
    row,
    shelf,
    without,
)

from ampwright.bike.finding import FINDING_KINDS
from ampwright.desk.cases.jobs import demo_names, open_demo
from ampwright.desk.cases.suit import ask_job, judge_regulating, suit_job
from ampwright.desk.cases.workup import work_up
from ampwright.identify.explanation import doubtful
from ampwright.identify.grid import spread_over
from ampwright.identify.guards import LIFTED_BY_AXIS, LIFTED_BY_FAMILY
from ampwright.identify.outcomes import outcome_shares
from ampwright.selection.message import MOST_CHARACTERS, message_for
from ampwright.selection.verdicts import CANT_SAY as CANT_SAY_CODE
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
    # by hand: asking, each opening once, and each check's own minutes
    assert len(beside) > 1
    opening = sum(settings.opening_minutes[place] for place in {check.opens for check in asked.checks})
    assert asked.minutes == pytest.approx(
        settings.asking_minutes + opening + sum(check.minutes for check in asked.checks)
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


# A dynamo seen and all but known: 6 V is left open by a hair on one of the two classes.
ALL_BUT_KNOWN = (BODY, wires(2), TWELVE, FLOODED, PLUS, finding("regulated_by", "dynamo control box"))


@pytest.mark.parametrize("who", WHO)
@pytest.mark.parametrize(
    "findings",
    [(), (CASE,), THREE_WIRES, ALL_BUT_KNOWN, DYNAMO, (*SWITCHED, PLUS), TWO_WIRES, (CASE, wires(5)), WOUND_FIELD],
    ids=["none", "case", "three", "all but known", "dynamo", "6 V", "two", "five", "wound field"],
)
def test_every_check_of_a_look_could_change_a_part_or_lift_a_guard(findings, who):
    workup = work_up(job(*findings, who=who))
    asked, verdicts = ask_job(workup.job, DEMO).ask, judge_regulating(workup, DEMO)
    lifting = {kind for kinds in (*LIFTED_BY_FAMILY.values(), *LIFTED_BY_AXIS.values()) for kind in kinds}
    named = lifting.union(*(verdict.settled_by for verdict in verdicts))
    for check in asked.checks if asked else ():
        kinds = set(check.brings)
        assert kinds & named or any(changes(kind, check.source_reached, workup, verdicts) for kind in kinds), check.name


def changes(kind, source, workup, verdicts):
    """Whether any answer to one finding changes how likely any part is to be right."""
    grid, belief = workup.identification.grid, workup.identification.belief
    found = outcome_shares(kind, source, grid)
    if found is None:
        return False
    axes, shares = found
    after = [belief * spread_over(axes, share) for share in shares if share.any()]
    for verdict in verdicts:
        # second method: the whole belief weighed by each answer in turn, with no planner
        right = [float((each * (verdict.codes < CANT_SAY_CODE)).sum() / each.sum()) for each in (belief, *after)]
        if max(right) - min(right) > 1e-6:
            return True
    return False


def test_what_was_worked_on_last_is_not_asked_where_there_is_no_rotor_of_magnets():
    for who in WHO:
        asked = look(*ALL_BUT_KNOWN, who=who)
        assert asked is None or "last_touched" not in brought(asked)


def test_a_sale_that_stands_already_is_not_counted_as_saved_by_a_check():
    asked = look(*ALL_BUT_KNOWN, who="home")
    # by hand: nothing but bits is to be saved, and a sale counts as 60 minutes
    assert asked is None or asked.saving_minutes < identified().grid.evidence.settings.asking.lost_sale_minutes


WIRES_OF_A_FIELD = (wires(3), finding("thin_wires", 1), finding("wire_colours", "faded"))
FIELD_REGULATOR = (finding("regulated_by", "field regulator"), finding("terminal_letters", "DF 61"))
NO_BATTERY = (TWELVE, finding("battery_kind", "none"), finding("regulated_by", "nothing"), wires(2))


@pytest.mark.parametrize(
    "findings",
    [
        (TWELVE, FLOODED, MINUS, *WIRES_OF_A_FIELD, *FIELD_REGULATOR, finding("starter", "electric")),
        (*NO_BATTERY, PLUS, finding("thin_wires", 1), finding("ignition", "magneto")),
        (*without(ALL_BUT_KNOWN, "position", "battery_kind"), finding("battery_kind", "LiFePO4")),
    ],
    ids=["wound field", "direct lighting", "dynamo with lithium"],
)
def test_where_a_guard_alone_stands_against_a_part_on_a_condition_what_lifts_it_is_asked_for(findings):
    answer = ask_job(job(*findings, cannot_say=["pair_volts"]), DEMO)
    # law: nobody is told that no check is left while a minute's look would name a part
    assert answer.ask is not None or answer.safe_codes


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
        fault_first = answer.why.startswith("Why it doesn't comes before what to fit.")
        assert answer.ask is not None or answer.safe_codes or (fault_first and answer.read_aloud)


def test_every_message_that_a_look_can_be_is_short():
    longest = job(number="X" * 12)
    for check in CHECKS:
        assert len(message_for(longest, [check])) < MOST_CHARACTERS
    for findings, who in itertools.product(((), (CASE,), (wires(3),), THREE_WIRES, (CASE, wires(5)), SWITCHED), WHO):
        asked = ask_job(longest.model_copy(update={"findings": job(*findings).findings, "who": who}), DEMO).ask
        # a plain message of 400 characters is taken by any telephone, in parts
        assert asked is None or len(asked.message) < MOST_CHARACTERS


def test_the_case_is_not_opened_while_counting_wires_may_let_ac_volts_be_read():
    told = tuple(one | {"source": "told from memory"} for one in (CASE, wires(3), TWELVE, MINUS))
    first = look(*told)
    assert "pair_volts" not in brought(first)
    assert "thick_wires" in brought(first)
    assert "primary case" not in first.opens
    # with the case open already nothing keeps from looking into it
    assert "coils" in brought(look(*told, opened=["primary case"]))


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


def test_with_the_battery_perhaps_reversed_the_posts_are_asked_for_and_nothing_that_needs_the_engine():
    needle = finding("needle", "to charge")
    asked = look(CASE, wires(3), needle)
    # own rule: the posts decide, and a running engine would drive a reversed battery further
    assert "frame_post" in asked.checks[0].brings
    assert asked.message.startswith("Do NOT start it.")
    running = {"pair_volts", "one_ohm_volts", "battery_volts", "battery_amps", "runs_without_battery"}
    assert running.isdisjoint(kind for check in asked.checks for kind in check.brings)
    assert "Do NOT start it." not in look(CASE, wires(3)).message


def test_what_needs_the_engine_running_comes_last_in_a_look():
    # limit case: what can be seen and AC volts are asked for together
    asked = [check.brings for check in look(CASE, wires(3)).checks]
    assert len(asked) > 1
    assert asked[-1] == ("pair_volts",)
