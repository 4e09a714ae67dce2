"""
Batteries, bulbs, coils, horns, flashers, fuses and cable: one test a rule.

Rules without another note are common practice, no source.
"""

import pytest
from bench_jobs import (
    BODY,
    ELECTRONIC,
    MAGNETO,
    MINUS,
    PLUS,
    POINTS,
    SIX,
    TWELVE,
    finding,
    marking,
)
from bench_parts import (
    CANT_SAY,
    DIRECT_LIGHTING,
    DONT_FIT,
    DYNAMO,
    ENERGY_TRANSFER,
    FITS,
    FITS_IF,
    HIGH_OUTPUT,
    SWITCHED,
    TEN_AMPS,
    THREE_PHASE,
    TWO_WIRES,
    WOUND_FIELD,
    coil,
    part,
    row,
    without,
)

from ampwright.terms import Source


def test_lithium_never_simply_fits():
    lithium = part("battery", system_voltage_V=12, chemistry="LiFePO4", capacity_Ah=12)
    assert row(lithium, *TWO_WIRES, PLUS, TEN_AMPS).verdict is FITS_IF
    on_dynamo = (BODY, TWELVE, finding("ignition", "magneto"))
    assert row(lithium, *on_dynamo, PLUS).verdict is DONT_FIT


def test_a_six_volt_part_never_goes_on_twelve_volts():
    for six in (
        part("bulb", system_voltage_V=6, power_W=24, light="filament", use="headlamp"),
        part("coil", system_voltage_V=6, primary_ohm=1.5, use="points"),
        part("horn", system_voltage_V=6, current_A=3, supply="DC"),
        part("battery", system_voltage_V=6, chemistry="flooded", capacity_Ah=11),
    ):
        assert row(six, *TWO_WIRES, PLUS, TEN_AMPS).verdict is DONT_FIT


def test_an_energy_transfer_coil_must_not_go_on_a_battery():
    coil = part("coil", system_voltage_V=12, primary_ohm=0.5, use="energy transfer")
    assert row(coil, *TWO_WIRES, PLUS, TEN_AMPS).reason == "An energy-transfer coil must not go on a battery."


def test_a_fuse_carries_a_quarter_more_than_all_that_stays_on():
    loads = [{"name": "lamp", "kind": "resistance", "power_W": 270, "rated_V": 13.5, "when": "lights on"}]
    # by hand: 270 W at 13.5 V is 20 A, so 25 A is wanted
    small = row(part("fuse", rated_A=20, style="blade"), *TWO_WIRES, PLUS, TEN_AMPS, loads=loads)
    large = row(part("fuse", rated_A=30, style="blade"), *TWO_WIRES, PLUS, TEN_AMPS, loads=loads)
    assert (small.verdict, large.verdict) == (DONT_FIT, FITS_IF)
    assert large.figures == ("20.0 A lasting, 25.0 A wanted, fuse 30 A",)


@pytest.mark.parametrize(("rating", "fuse_A"), [(TEN_AMPS, 15), (HIGH_OUTPUT, 20)])
def test_the_main_fuse_carries_what_the_generator_gives(rating, fuse_A):
    loads = [{"name": "tail", "kind": "LED", "power_W": 1, "when": "lights on"}]
    fitting = [
        size
        for size in (5, 10, 15, 20, 25)
        if row(part("fuse", rated_A=size, style="blade"), *TWO_WIRES, PLUS, rating, loads=loads).verdict is FITS_IF
    ]
    # common practice, no source: 15 A for the 10 A single-phase, 20 A for the 16 A
    assert min(fitting) == fuse_A


def test_points_at_rest_take_their_full_current_through_the_fuse():
    coil = {"name": "coil", "kind": "points coil", "resistance_ohm": 0.5, "inductance_H": 0.002, "dwell": 0.5}
    loads = [coil | {"sparks_per_rev": 0.5, "when": "always"}]
    fuse = row(part("fuse", rated_A=20, style="blade"), *DYNAMO, PLUS, loads=loads)
    # by hand: contacts shut, 6.75 V over 0.5 ohm = 13.5 A, more than the dynamo gives
    assert fuse.figures == ("13.5 A lasting, 16.9 A wanted, fuse 20 A",)


def test_fuse_and_cable_follow_the_rating_that_was_read():
    big = (*without(THREE_PHASE, "marking"), MINUS, marking("16 A", Source.IN_HAND))
    # by hand: 1.25 x 16 = 20 A
    assert row(part("fuse", rated_A=15, style="blade"), *big).verdict is DONT_FIT
    assert row(part("fuse", rated_A=20, style="blade"), *big).verdict is FITS_IF
    strands = {"copper_area_mm2": 2.0, "strands": 28, "strand_diameter_mm": 0.3, "insulation": "PVC"}
    assert row(part("cable", rated_A=17.5, **strands), *big).verdict is DONT_FIT
    assert row(part("cable", rated_A=25, **strands), *big).verdict is FITS_IF
    uncounted = without(big, "coils", "marking")
    newer = "it is no newer machine of 20 A and more (18 coils)"
    assert any(newer in text for text in row(part("cable", rated_A=25, **strands), *uncounted).conditions)
    assert row(part("cable", rated_A=25, **strands), *big).conditions == ("its fuse is no larger than 25 A",)


BOXED = finding("regulated_by", "charging box", Source.IN_HAND)
ON_A_ZENER = finding("regulated_by", "one Zener", Source.IN_HAND)
UNREGULATED = finding("regulated_by", "a rectifier alone", Source.IN_HAND)


def battery(chemistry, **more):
    return part("battery", **({"system_voltage_V": 12, "chemistry": chemistry, "capacity_Ah": 12} | more))


@pytest.mark.parametrize(
    ("chemistry", "regulated", "verdict", "words"),
    [
        ("flooded", BOXED, FITS, ""),
        ("flooded", UNREGULATED, FITS_IF, "a regulator is fitted first"),
        ("AGM", BOXED, FITS, ""),
        ("AGM", ON_A_ZENER, FITS_IF, "the posts stay under 14.7 V"),
        ("AGM", UNREGULATED, FITS_IF, "a regulator is fitted first"),
        # boxes hold up to 14.7 V; gel stands 14.4 V, from memory
        ("gel", BOXED, FITS_IF, "it measures no more than 14.4 V at the posts, lights off"),
        ("gel", ON_A_ZENER, FITS_IF, "the posts stay under 14.4 V"),
        ("gel", UNREGULATED, FITS_IF, "a regulator is fitted first"),
        ("LiFePO4", BOXED, FITS_IF, "the charging box is proved to hold"),
        ("LiFePO4", ON_A_ZENER, FITS_IF, "a charging box takes over from what regulates now"),
        ("LiFePO4", UNREGULATED, FITS_IF, "a charging box takes over from what regulates now"),
    ],
)
def test_the_kind_of_battery_goes_by_what_regulates(chemistry, regulated, verdict, words):
    found = row(battery(chemistry), *TWO_WIRES, PLUS, TEN_AMPS, regulated)
    assert found.verdict is verdict
    assert words in " ".join(found.conditions)


ON_A_CONTROL_BOX = finding("regulated_by", "dynamo control box", Source.IN_HAND)


@pytest.mark.parametrize(
    ("chemistry", "most_V", "regulated", "words"),
    [
        ("AGM", 13.6, BOXED, "it measures no more than 13.6 V at the posts, lights off"),
        ("gel", 14.6, BOXED, "it measures no more than 14.6 V at the posts, lights off"),
        ("flooded", 14.6, BOXED, "it measures no more than 14.6 V at the posts, lights off"),
        ("AGM", 14.7, BOXED, ""),  # boxes hold up to 14.7 V
        ("flooded", 14.6, ON_A_ZENER, "the posts stay under 14.6 V lights off"),
        ("flooded", 14.7, ON_A_ZENER, ""),
        ("gel", 14.8, ON_A_ZENER, "the posts stay under 14.8 V lights off"),
    ],
)
def test_the_most_that_a_maker_allows_a_battery_is_measured_where_it_may_be_passed(chemistry, most_V, regulated, words):
    found = row(battery(chemistry, charge_most_V=most_V), *TWO_WIRES, PLUS, TEN_AMPS, regulated)
    assert found.verdict is (FITS_IF if words else FITS)
    assert words in " ".join(found.conditions)


def test_a_flooded_six_volt_battery_on_an_old_dynamo_simply_fits():
    six = battery("flooded", system_voltage_V=6, charge_most_V=7.35)
    # by hand: 7.35 V is half of 14.7 V
    assert row(six, *DYNAMO, PLUS, ON_A_CONTROL_BOX).verdict is FITS
    # 6 V machines were made with a rectifier and no regulator
    assert row(six, *SWITCHED, PLUS, UNREGULATED).verdict is FITS


@pytest.mark.parametrize("bike", [ENERGY_TRANSFER, DIRECT_LIGHTING])
def test_no_battery_is_charged_by_energy_transfer_or_direct_lighting(bike):
    assert row(battery("flooded"), *bike, PLUS).verdict is DONT_FIT


def test_lithium_goes_on_no_wound_field_nor_a_generator_without_a_name():
    assert row(battery("LiFePO4"), *WOUND_FIELD, PLUS).verdict is DONT_FIT


def test_a_small_battery_is_charged_on_the_bench_after_it_was_flat():
    small = row(battery("flooded", capacity_Ah=8), *TWO_WIRES, PLUS, TEN_AMPS, BOXED)
    # 8 Ah stand 8 A, the generator gives 10
    assert small.conditions == ("it is charged on the bench after it was ever flat",)


def test_a_battery_where_none_is_wanted_gives_the_wish_up():
    unwanted = row(battery("flooded"), *TWO_WIRES, PLUS, TEN_AMPS, BOXED, wishes={"no_battery": True})
    assert unwanted.conditions == ("the wish to run without one is given up",)


SEEN_POINTS, SEEN_ELECTRONIC, SEEN_MAGNETO = (
    told | {"source": "in our hands"} for told in (POINTS, ELECTRONIC, MAGNETO)
)


@pytest.mark.parametrize(
    ("use", "ignition", "verdict"),
    [
        ("points", SEEN_POINTS, FITS),
        ("points", SEEN_ELECTRONIC, DONT_FIT),
        ("electronic", SEEN_POINTS, DONT_FIT),
        ("electronic", SEEN_ELECTRONIC, FITS_IF),
        ("energy transfer", SEEN_POINTS, DONT_FIT),
    ],
)
def test_a_coil_goes_by_what_makes_the_spark(use, ignition, verdict):
    bike = (*without(TWO_WIRES, "ignition"), PLUS, TEN_AMPS, ignition)
    assert row(coil(use=use), *bike).verdict is verdict


@pytest.mark.parametrize(
    ("volts", "ohm", "verdict"),
    [
        (12, 3.0, FITS),
        (12, 2.8, FITS),
        (12, 1.5, FITS_IF),  # a ballast brings it to 2.8 ohm
        (12, 0.7, DONT_FIT),  # under half: it is a coil for electronic ignition whatever its label says
        (6, 1.5, FITS),
        (6, 1.2, FITS),
        (6, 0.8, FITS_IF),
        (6, 0.5, DONT_FIT),
    ],
)
def test_points_stand_a_coil_of_many_ohms_only(volts, ohm, verdict):
    bike = TWO_WIRES if volts == 12 else SWITCHED
    seen = (*without(bike, "ignition"), PLUS, SEEN_POINTS, *((TEN_AMPS,) if volts == 12 else ()))
    # common practice, no source: about 2.8 ohm at 12 V and 1.2 ohm at 6 V
    judged = row(coil(system_voltage_V=volts, primary_ohm=ohm), *seen)
    assert judged.verdict is verdict
    assert any("a ballast resistor" in text for text in judged.conditions) is (verdict is FITS_IF)


def test_a_magneto_needs_no_battery_coil():
    bike = (*without(DYNAMO, "ignition", "battery_voltage_V"), TWELVE, SEEN_MAGNETO, PLUS)
    assert row(coil(), *bike).reason == "A magneto makes its own spark and needs no battery coil."


def test_a_coil_waits_until_somebody_has_seen_the_ignition():
    unsure = row(coil(), *without(TWO_WIRES, "ignition"), PLUS, TEN_AMPS)
    assert unsure.verdict is CANT_SAY
    assert "ignition" in unsure.settled_by.brings


def test_a_twelve_volt_coil_on_a_six_volt_bike_changes_the_bike():
    changed = row(coil(), *SWITCHED, SEEN_POINTS, PLUS)
    assert any("changed to 12 V" in condition for condition in changed.conditions)
    assert row(coil(system_voltage_V=6), *TWO_WIRES, PLUS, TEN_AMPS).verdict is DONT_FIT


def test_a_battery_coil_gives_no_spark_on_energy_transfer():
    assert row(coil(), *ENERGY_TRANSFER, TWELVE, PLUS).verdict is DONT_FIT
    assert row(coil(use="energy transfer"), *ENERGY_TRANSFER, TWELVE, PLUS).verdict in (FITS, CANT_SAY)


def test_lamps_and_horns_on_a_winding_are_fed_with_alternating_current():
    lamp = part("bulb", system_voltage_V=6, power_W=24, light="filament", use="headlamp")
    fed = row(lamp, *DIRECT_LIGHTING, SIX, PLUS)
    assert fed.verdict is FITS_IF
    assert "all lamps together take the watts the lighting winding was made for" in fed.conditions[0]
    for supply, bike, verdict in (("DC", DIRECT_LIGHTING, DONT_FIT), ("AC", DIRECT_LIGHTING, FITS)):
        horn = part("horn", system_voltage_V=6, current_A=3, supply=supply)
        assert row(horn, *bike, SIX, PLUS).verdict is verdict
    assert row(part("horn", system_voltage_V=12, current_A=3, supply="AC"), *TWO_WIRES, PLUS).verdict is DONT_FIT
    # two wires may be a lighting winding that nobody has told from a charging one
    fed = row(part("horn", system_voltage_V=12, current_A=3, supply="DC"), *TWO_WIRES, PLUS)
    assert (fed.verdict, fed.conditions) == (FITS_IF, ("the horn's wire comes from the battery side",))


@pytest.mark.parametrize(
    ("light", "earth", "verdict"),
    [
        ("filament", None, FITS),
        ("LED", None, FITS_IF),
        ("LED", "either", FITS),
        ("LED", "negative earth only", DONT_FIT),
        ("LED", "positive earth only", FITS),
    ],
)
def test_an_led_minds_the_earth_until_its_maker_says_otherwise(light, earth, verdict):
    stated = {} if earth is None else {"earth": earth}
    lamp = part("bulb", system_voltage_V=12, power_W=5, light=light, use="tail", **stated)
    assert row(lamp, *TWO_WIRES, PLUS, TEN_AMPS).verdict is verdict


def test_an_led_for_one_earth_waits_until_the_post_was_seen():
    lamp = part("bulb", system_voltage_V=12, power_W=5, light="LED", use="tail", earth="positive earth only")
    assert row(lamp, *TWO_WIRES, TEN_AMPS).verdict is CANT_SAY


def test_a_flasher_wants_a_battery_its_earth_and_its_watts():
    unit = {"system_voltage_V": 12, "least_W": 21, "most_W": 46}
    either = row(part("flasher", earth="either", **unit), *TWO_WIRES, PLUS, TEN_AMPS)
    assert either.conditions == ("the indicators on one side take 21 to 46 W together",)
    assert row(part("flasher", earth="negative earth only", **unit), *TWO_WIRES, PLUS, TEN_AMPS).verdict is DONT_FIT
    assert row(part("flasher", earth="either", **unit), *DIRECT_LIGHTING, TWELVE, PLUS).verdict is DONT_FIT
    unstated = row(part("flasher", earth="not stated", **unit), *TWO_WIRES, PLUS, TEN_AMPS)
    assert "its maker says that it suits either earth" in unstated.conditions
