"""
Charging boxes where there is no battery, or none is wanted.

Rules without another note are common practice, no source.
"""

import pytest
from bench_jobs import (
    ELECTRONIC,
    MINUS,
    PLUS,
    finding,
    job,
)
from bench_parts import (
    DONT_FIT,
    FITS,
    FITS_IF,
    SWITCHED,
    TEN_AMPS,
    THREE_PHASE,
    TWO_WIRES,
    box,
    row,
    shelf,
    without,
)

from ampwright.desk.cases.suit import suit_job
from ampwright.terms import Advice, Source


def test_without_a_battery_electronic_ignition_needs_a_box_made_for_it():
    wish = {"wishes": {"no_battery": True}}
    made = box(phases=3, without_battery="points and electronic", capacitor_inside=True, no_load_V=14.4)
    points_only = box(phases=3, without_battery="points", capacitor_inside=True, no_load_V=14.4)
    assert row(made, *THREE_PHASE, MINUS, ELECTRONIC, **wish).verdict is FITS
    assert row(points_only, *THREE_PHASE, MINUS, ELECTRONIC, **wish).verdict is FITS_IF
    assert row(box(phases=3), *THREE_PHASE, MINUS, ELECTRONIC, **wish).verdict is DONT_FIT
    # a box made for both is right whatever makes the spark, one for points alone only if it is points
    assert row(made, *THREE_PHASE, MINUS, **wish).verdict is FITS
    assert row(points_only, *THREE_PHASE, MINUS, **wish).verdict is FITS_IF


NO_BATTERY = (*without(TWO_WIRES, "battery_kind"), finding("battery_kind", "none", Source.IN_HAND), PLUS, TEN_AMPS)


@pytest.mark.parametrize(
    ("made", "condition"),
    [
        ({}, "a battery is fitted with it: its maker does not allow running without one"),
        (
            {"without_battery": "points"},
            "a battery is fitted with it, or points make the spark and a capacitor stands beside it",
        ),
        (
            {"without_battery": "points", "capacitor_inside": True},
            "a battery is fitted with it, or points make the spark",
        ),
        ({"without_battery": "points and electronic"}, "a battery or a capacitor is fitted with it"),
        ({"without_battery": "points and electronic", "capacitor_inside": True}, None),
    ],
)
def test_where_no_battery_was_found_one_is_fitted_unless_the_maker_needs_none(made, condition):
    found = row(box(**made, no_load_V=14.4), *without(NO_BATTERY, "ignition"), ELECTRONIC)
    assert found.conditions == (() if condition is None else (condition,))


def test_what_a_box_rises_to_without_a_battery_is_asked_for_where_its_maker_does_not_say():
    made = box(without_battery="points and electronic", capacitor_inside=True)
    wished = row(made, *TWO_WIRES, PLUS, TEN_AMPS, wishes={"no_battery": True})
    assert (wished.verdict, wished.conditions) == (
        FITS_IF,
        ("its maker names what it rises to without a battery",),
    )
    assert (
        suit_job(job(*TWO_WIRES, PLUS, TEN_AMPS, wishes={"no_battery": True}), shelf(made)).advice
        is not Advice.SELL_NOW
    )
    assert row(made, *NO_BATTERY).conditions == (
        "a battery is fitted with it: its maker does not say what it rises to without one",
    )


@pytest.mark.parametrize(("alone_V", "too_many"), [(15.0, False), (15.1, True), (18.0, True)])
def test_a_box_that_rises_over_fifteen_volts_alone_is_not_run_without_a_battery(alone_V, too_many):
    made = box(no_load_V=alone_V, without_battery="points and electronic", capacitor_inside=True)
    wished = row(made, *TWO_WIRES, PLUS, TEN_AMPS, wishes={"no_battery": True})
    assert wished.verdict is (DONT_FIT if too_many else FITS)
    found = row(made, *NO_BATTERY)
    assert found.conditions == (
        (f"a battery is fitted with it: without one it rises to {alone_V:g} V",) if too_many else ()
    )


def test_a_six_volt_box_without_a_battery_is_held_to_half_of_fifteen_volts():
    six = {"system_voltage_V": 6, "set_point_V": 7.1, "without_battery": "points", "capacitor_inside": True}
    # by hand: half of 15 V is 7.5 V
    for alone_V, refused in ((7.5, False), (7.6, True)):
        judged = row(box(**six, no_load_V=alone_V), *SWITCHED, MINUS, wishes={"no_battery": True})
        assert (judged.verdict is DONT_FIT) is refused
    # law: with no load it holds its set-point at least
    held = row(box(**six | {"set_point_V": 7.6}), *SWITCHED, MINUS, wishes={"no_battery": True})
    assert held.verdict is DONT_FIT
