"""
Verdicts over everything still possible: one verdict that is right whatever the bike is.

Rules without another note are common practice, no source.
"""

from bench_jobs import CASE, MINUS, PLUS, TWELVE, coils, job, marking, pair_volts, wires
from bench_parts import (
    CANT_SAY,
    DEMO,
    DONT_FIT,
    DYNAMO,
    FITS,
    FITS_IF,
    HIGH_OUTPUT,
    SWITCHED,
    TEN_AMPS,
    THREE_PHASE,
    TWO_WIRES,
    box,
    row,
    shelf,
)
from hypothesis import given, settings
from hypothesis import strategies as st

from ampwright.desk.cases.suit import suit_job
from ampwright.selection.kinds import REGULATING


def test_a_condition_of_some_possibilities_says_which():
    told = (CASE, wires(2), TWELVE, PLUS, marking("none"))
    unvolted = [found for found in told if found["what"] != "battery_voltage_V"]
    conditions = row(box(), *unvolted).conditions
    assert any(condition.startswith("running at 6 V: the whole bike is changed to 12 V") for condition in conditions)


SETS = st.lists(
    st.sampled_from((*TWO_WIRES, *THREE_PHASE, *SWITCHED, *DYNAMO, PLUS, MINUS, TEN_AMPS, HIGH_OUTPUT)), max_size=9
)


@settings(max_examples=15)
@given(SETS)
def test_every_stock_gets_a_verdict_with_a_reason_whatever_is_told(findings):
    answer = suit_job(job(*findings), DEMO)
    assert len(answer.rows) == len(DEMO.parts)
    assert all(verdict.reason for verdict in answer.rows)
    assert all(verdict.conditions for verdict in answer.rows if verdict.verdict is FITS_IF)


@settings(max_examples=40)
@given(SETS)
def test_a_part_that_minds_the_earth_never_fits_both_earths(findings):
    boxes = shelf(box(code="A", earth="positive earth only"), box(code="B", earth="shell is minus"))
    answer = suit_job(job(*findings), boxes)
    assert sum(verdict.verdict in (FITS, FITS_IF) for verdict in answer.rows) < 2


def test_nothing_is_joined_while_three_phases_are_possible():
    torn = (CASE, wires(3), coils(9), pair_volts(13.0, 12.8, 0.2), TWELVE, MINUS)
    # on three phases two wires joined are a shorted winding
    answer = suit_job(job(*torn), DEMO)
    assert not any("are joined" in condition for one in answer.rows for condition in one.conditions)


def test_what_regulates_is_listed_before_all_else_and_the_best_of_each_first():
    answer = suit_job(job(*TWO_WIRES, PLUS, TEN_AMPS), DEMO)
    regulates = [row.kind in REGULATING for row in answer.rows]
    # our own rule: the part that the job turns on is looked for first, also where none fits
    assert regulates == sorted(regulates, reverse=True)
    order = (FITS, FITS_IF, CANT_SAY, DONT_FIT)
    for wanted in (True, False):
        places = [order.index(row.verdict) for row, own in zip(answer.rows, regulates, strict=True) if own is wanted]
        assert places == sorted(places)
