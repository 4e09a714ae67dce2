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
    job,
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
    TWO_BRUSHES,
    TWO_WIRES,
    WOUND_FIELD,
    box,
    field_regulator,
    lighting_regulator,
    regulator,
    row,
    shelf,
    without,
)

from ampwright.desk.cases.suit import suit_job
from ampwright.terms import Advice, Source


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


@pytest.mark.parametrize(
    ("words", "volts", "amps"),
    [
        ("6V 75W", 6, 10.71),
        ("75 W", 6, 10.71),
        ("12V 150W", 6, 21.43),
        ("6 V 75 W", 12, 5.36),
        ("12V 10A", 6, 20.0),
        ("6V 10A", 6, 10.0),
        ("6V 10A", 12, 10.0),  # fewer volts printed make it no smaller
    ],
)
def test_a_dynamos_watts_go_over_the_volts_it_charges_at_whatever_volts_stand_beside_them(words, volts, amps):
    # by hand: 75 / 7 = 10.71, 150 / 7 = 21.43, 75 / 14 = 5.36; 10 A at 14 V are 20 A at 7 V
    held = {"system_voltage_V": volts, "set_point_V": {6: 7.1, 12: 14.1}[volts]}
    for carried_A, fits in ((1.01 * amps, True), (0.94 * amps, False)):
        judged = row(regulator(rated_A=carried_A, **held), *DYNAMO, PLUS, marking(words, Source.IN_HAND))
        assert (judged.verdict is not DONT_FIT) is fits


@pytest.mark.parametrize(("rated_A", "verdict"), [(8.6, FITS), (8.5, FITS_IF), (8.2, FITS_IF), (8.1, CANT_SAY)])
def test_a_dynamo_regulator_at_its_limit_wants_its_makers_word(rated_A, verdict):
    # by hand: 60 W over 7 V is 8.57 A: 8.6 A is 1.00 of it, 8.5 and 8.2 A 0.99 and 0.96, 8.1 A 0.945, which
    # carries the small dynamo alone
    judged = row(regulator(rated_A=rated_A), *DYNAMO, PLUS)
    assert judged.verdict is verdict
    asked = any("its maker says in writing that it suits a dynamo of 8.6 A" in text for text in judged.conditions)
    assert asked is (verdict is FITS_IF)


@pytest.mark.parametrize(
    ("seen", "known"),
    [
        (None, False),
        (TWO_BRUSHES, True),
        # a photo may not show a third, and a caller's look takes three for two
        (TWO_BRUSHES | {"source": "photo"}, False),
        (TWO_BRUSHES | {"source": "looking at it now"}, False),
        (TWO_BRUSHES | {"source": "told from memory"}, False),
    ],
)
def test_a_dynamo_regulator_is_sold_with_a_count_of_the_brushes(seen, known):
    bike = (*without(DYNAMO, "brushes"), *([seen] if seen else []), PLUS)
    judged = row(regulator(), *bike)
    assert judged.conditions == (() if known else ("the dynamo has two brushes, not a third on a slider",))
    assert suit_job(job(*bike), shelf(regulator())).advice is Advice.SELL_NOW


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
        "no battery: a battery is fitted with it: its maker does not say what it rises to without one",
        "LiFePO4: the lithium battery gives way to a lead one, or the regulator's maker allows lithium in writing",
    )


@pytest.mark.parametrize(
    ("more", "scale_A", "overrun"),
    [
        ({}, 8, True),
        ({}, 9, False),
        # the same watts at 12 V, and the voltage is the one that the regulator holds
        ({"system_voltage_V": 12, "set_point_V": 14.1}, 5, False),
        ({"system_voltage_V": 12, "set_point_V": 14.1}, 4, True),
    ],
)
def test_an_ammeter_that_the_dynamo_overruns_is_bypassed(more, scale_A, overrun):
    # by hand: 60 W over 7 V are 8.6 A, over 14 V 4.3 A
    judged = row(regulator(**more), *DYNAMO, PLUS, marking("60 W", Source.IN_HAND), wishes={"ammeter_range_A": scale_A})
    bypassed = any(f"the ammeter of {scale_A} A is bypassed or given a shunt" in text for text in judged.conditions)
    assert bypassed is overrun


def test_what_a_dynamo_regulator_rises_to_without_a_battery_is_its_makers_word():
    wished = row(regulator(), *DYNAMO, PLUS, wishes={"no_battery": True})
    assert (wished.verdict, wished.conditions) == (FITS_IF, ("its maker names what it rises to without a battery",))


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
    assert held.conditions == ("the winding gives at most 60 W and is one end earthed",)


@pytest.mark.parametrize(("words", "refused"), [("6V 25W", False), ("12V 65W", True)])
def test_a_lighting_regulator_carries_the_watts_that_were_read_off_the_winding(words, refused):
    judged = row(lighting_regulator(), *DIRECT_LIGHTING, SIX, MINUS, marking(words, Source.IN_HAND))
    # law: what the lamps leave, all of it with none lit, is burnt in the regulator; this one carries 60 W
    assert (judged.verdict is DONT_FIT) is refused
    assert refused or judged.conditions == ("the winding is one end earthed",)
    told = row(lighting_regulator(), *DIRECT_LIGHTING, SIX, MINUS, marking(words, Source.MEMORY))
    assert told.conditions == ("the winding gives at most 60 W and is one end earthed",)


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
