"""
Regulators for dynamos, wound fields and direct lighting: one test a rule.

Rules without another note are common practice, no source.
"""

import pytest
from bench_jobs import (
    CASE,
    FLOODED,
    MINUS,
    PLUS,
    SIX,
    TWELVE,
    coils,
    finding,
    marking,
    wires,
)
from bench_parts import (
    BI_PHASE,
    CANT_SAY,
    DIRECT_LIGHTING,
    DONT_FIT,
    DYNAMO,
    ENERGY_TRANSFER,
    FITS,
    FITS_IF,
    SWITCHED,
    TEN_AMPS,
    THREE_PHASE,
    TWO_WIRES,
    WOUND_FIELD,
    box,
    field_regulator,
    lighting_regulator,
    regulator,
    row,
    without,
)

from ampwright.terms import Source


def test_a_charging_box_is_not_for_a_dynamo_nor_a_dynamo_regulator_for_an_alternator():
    assert row(box(), *DYNAMO, PLUS).verdict is DONT_FIT
    assert row(regulator(), *TWO_WIRES, PLUS, TEN_AMPS).verdict is DONT_FIT


def test_a_dynamo_regulator_is_for_one_earth():
    positive = regulator(earth="positive earth only")
    assert row(positive, *DYNAMO, PLUS).verdict is FITS
    assert row(positive, *DYNAMO, MINUS).verdict is DONT_FIT


def test_a_twelve_volt_regulator_on_a_six_volt_dynamo_means_changing_the_bike():
    changed = row(regulator(system_voltage_V=12, set_point_V=14.1, rated_A=5), *DYNAMO, PLUS)
    assert changed.verdict is FITS_IF
    assert changed.conditions == (
        "the whole bike is changed to 12 V: battery, every bulb, coil, horn and flasher",
        "it is known that it then charges from a higher speed",
    )


def test_a_bigger_dynamo_takes_a_bigger_regulator():
    # the battery was looked at: an unread one may be lithium, which is a condition of its own
    big = (*DYNAMO, PLUS, marking("6V 75W", Source.IN_HAND))
    # by hand: 75 W at the 7 V it charges at are 10.7 A
    assert row(regulator(rated_A=9), *big).verdict is DONT_FIT
    assert row(regulator(rated_A=13), *big).verdict is FITS


def test_a_dynamos_rating_from_memory_counts_upwards_until_one_is_read_off_it():
    told = marking("150 W", Source.MEMORY)
    # by hand: 150 W over 7 V is 21.4 A, the usual 60 W 8.6 A
    assert row(regulator(rated_A=9), *DYNAMO, PLUS, told).verdict is DONT_FIT
    assert row(regulator(rated_A=22), *DYNAMO, PLUS, told).verdict is FITS
    assert row(regulator(rated_A=9), *DYNAMO, PLUS, told, marking("60 W")).verdict is FITS
    assert row(regulator(rated_A=5), *DYNAMO, PLUS, marking("36 W", Source.MEMORY)).verdict is not FITS


def test_a_dynamo_regulator_waits_until_somebody_has_read_the_battery():
    unread = row(regulator(), *without(DYNAMO, "battery_kind"), PLUS)
    # stricter than it was: what kind the battery is counts too, and an unread one may be lithium
    assert unread.verdict is FITS_IF
    assert unread.conditions == (
        "LiFePO4: the lithium battery gives way to a lead one, or the regulator's maker allows lithium in writing",
    )


@pytest.mark.parametrize(
    ("kind", "volts", "verdict"),
    [
        ("flooded", 7.3, FITS),
        ("flooded", 7.5, FITS_IF),
        ("flooded", 6.8, FITS_IF),
        ("gel", 7.1, FITS),
        ("gel", 7.22, FITS_IF),  # half of 14.4 V: the 0.05 V more is for flooded alone
        ("gel", 7.4, CANT_SAY),  # over half of 14.7 V; but gel and AGM are taken for each other
        ("LiFePO4", 7.1, FITS_IF),
    ],
)
def test_on_six_volts_a_set_point_is_held_to_half_of_what_a_twelve_volt_battery_stands(kind, volts, verdict):
    bike = (*without(DYNAMO, "battery_kind"), finding("battery_kind", kind), PLUS)
    # gel and lithium from memory; 7.3 V still right on a flooded 6 V battery
    assert row(regulator(set_point_V=volts), *bike).verdict is verdict


def test_a_wound_field_is_refused_by_every_box_and_takes_a_field_regulator():
    refused = row(box(), *WOUND_FIELD, MINUS)
    assert refused.verdict is DONT_FIT
    assert refused.reason.endswith("an alternator with a wound field needs its field fed and controlled.")
    assert row(box(phases=3), *WOUND_FIELD, MINUS).verdict is DONT_FIT
    fed = row(field_regulator(), *WOUND_FIELD, MINUS)
    assert fed.verdict is FITS_IF
    # by hand: 12 V over 4 A is 3 ohm
    assert fed.conditions == (
        "the field measures 3.0 ohm or more, and its maker names the same end of the field as switched",
    )


def test_a_field_regulator_minds_earth_and_voltage_as_others_do():
    assert row(field_regulator(earth="positive earth only"), *WOUND_FIELD, MINUS).verdict is DONT_FIT
    assert row(field_regulator(system_voltage_V=6, set_point_V=7.1), *WOUND_FIELD, MINUS).verdict is DONT_FIT


@pytest.mark.parametrize("bike", [TWO_WIRES, SWITCHED, DYNAMO, BI_PHASE, ENERGY_TRANSFER, DIRECT_LIGHTING])
def test_a_field_regulator_feeds_nothing_but_a_wound_field(bike):
    assert row(field_regulator(), *bike, MINUS).verdict is DONT_FIT


def test_direct_lighting_is_refused_by_every_box_and_takes_a_lighting_regulator():
    for one_box in (box(), box(phases=3), box(bi_phase=True)):
        refused = row(one_box, *DIRECT_LIGHTING, MINUS)
        assert refused.verdict is DONT_FIT
        assert refused.reason.startswith("Direct lighting mostly has one end of its winding on the engine")
    held = row(lighting_regulator(), *DIRECT_LIGHTING, SIX, MINUS)
    assert held.verdict is FITS_IF
    assert "all lamps together take at most 60 W" in held.conditions[0]


def test_a_lighting_regulator_of_twelve_volts_changes_every_bulb():
    changed = row(lighting_regulator(system_voltage_V=12), *DIRECT_LIGHTING, SIX, MINUS)
    assert changed.verdict is FITS_IF
    assert any("every bulb" in condition for condition in changed.conditions)


@pytest.mark.parametrize("bike", [TWO_WIRES, THREE_PHASE, SWITCHED, DYNAMO, BI_PHASE, ENERGY_TRANSFER, WOUND_FIELD])
def test_a_lighting_regulator_holds_nothing_but_direct_lighting(bike):
    assert row(lighting_regulator(), *bike, MINUS).verdict is DONT_FIT


def test_nothing_is_fitted_to_a_generator_that_nobody_can_name():
    unknown = (CASE, wires(8, Source.IN_HAND), coils(17, Source.IN_HAND), TWELVE, FLOODED, MINUS)
    for one_part in (box(), box(phases=3, bi_phase=True), regulator(), field_regulator(), lighting_regulator()):
        assert row(one_part, *unknown).verdict in (DONT_FIT, CANT_SAY)
