"""Parts and stocks for tests, and the findings of some bikes that are known."""

from decimal import Decimal

from bench_jobs import (
    BODY,
    CASE,
    FLOODED,
    MAGNETO,
    POINTS,
    SIX,
    TWELVE,
    coils,
    finding,
    job,
    marking,
    pair_volts,
    wires,
)

from ampwright.desk.cases.suit import suit_job
from ampwright.stock.shelf import demo_shelf, shelf_from
from ampwright.terms import Source, Verdict

FITS, FITS_IF, DONT_FIT, CANT_SAY = Verdict.FITS, Verdict.FITS_IF, Verdict.DONT_FIT, Verdict.CANT_SAY
DEMO = demo_shelf()


def shelf(*parts):
    return shelf_from({"format": 1, "currency": "GBP", "parts": list(parts)}, "test stock")


def part(kind, **more):
    base = {"kind": kind, "code": "P1", "name": "part", "price": Decimal(10), "in_stock": 1}
    return base | {"source": "invented for a test", "standing": "demo"} | more


def box(**more):
    usual = {"phases": 1, "rated_A": 20, "earth": "either", "system_voltage_V": 12, "set_point_V": 14.2}
    return part("charging_box", **(usual | {"topology": "thyristor shunt", "leads": 5, "finned": True} | more))


def regulator(**more):
    usual = {"system_voltage_V": 6, "earth": "either", "rated_A": 9, "set_point_V": 7.1}
    return part("dynamo_regulator", **(usual | more))


def zener(**more):
    return part("zener", **({"earth": "positive earth only", "rated_W": 140} | more))


def field_regulator(**more):
    usual = {"system_voltage_V": 12, "earth": "either", "rated_field_A": 4, "set_point_V": 14.2}
    return part("field_regulator", **(usual | more))


def lighting_regulator(**more):
    return part("lighting_regulator", **({"system_voltage_V": 6, "rated_W": 60, "winding": "one end earthed"} | more))


def rectifier(**more):
    return part("rectifier", **({"phases": 1, "rated_A": 25, "make": "silicon", "earth": "either"} | more))


def capacitor(**more):
    usual = {"capacitance_uF": 10_000, "rated_V": 63, "ripple_A": 8.5, "rated_degC": 105}
    return part("capacitor", **(usual | more))


def coil(**more):
    return part("coil", **({"system_voltage_V": 12, "primary_ohm": 3.5, "use": "points"} | more))


def fitted(*kinds):
    """Parts that are on the bike now, seen on a photo."""
    return {"fitted": [{"kind": kind, "source": "photo"} for kind in kinds]}


def row(one_part, *findings, **more):
    return suit_job(job(*findings, **more), shelf(one_part)).rows[0]


def without(findings, *kinds):
    """These findings without those of some kinds."""
    return tuple(found for found in findings if found["what"] not in kinds)


# Three wires with AC on them may also be a wound field whose key was on: a rotor that pulls steel rules it out.
PULLS = finding("magnetism", "pulls steel", Source.IN_HAND)

# Somebody looked at each battery: a lithium or gel one would make conditions that are tested by themselves.
TWO_WIRES = (CASE, wires(2, Source.IN_HAND), coils(6, Source.IN_HAND), TWELVE, FLOODED, POINTS)
TEN_AMPS = marking("120 W", Source.IN_HAND)
HIGH_OUTPUT = marking("16 A", Source.IN_HAND)
THREE_PHASE = (
    CASE,
    wires(3),
    coils(9),
    TWELVE,
    FLOODED,
    pair_volts(11.0, 11.2, 10.9),
    marking("14.5 A", Source.IN_HAND),
    PULLS,
)
SWITCHED = (CASE, wires(3), coils(6), SIX, FLOODED, pair_volts(13.0, 12.7, 0.3), PULLS)
# We had the brushes in hand, and so counted two; what nobody has counted is a condition of its own.
TWO_BRUSHES = finding("brushes", "brushes on a commutator", Source.IN_HAND)
DYNAMO = (BODY, SIX, FLOODED, MAGNETO, TWO_BRUSHES)
BI_PHASE = (CASE, wires(3), pair_volts(7.0, 7.1, 14.1), TWELVE, FLOODED, PULLS)
ENERGY_TRANSFER = (
    CASE,
    wires(5, Source.IN_HAND),
    finding("ignition", "energy transfer", Source.IN_HAND),
    finding("battery_kind", "none"),
)
DIRECT_LIGHTING = (
    CASE,
    wires(1, Source.IN_HAND),
    finding("poles", 4, Source.IN_HAND),
    finding("wires_to_engine", "all beep", Source.MEASURED),
    MAGNETO,
    finding("battery_kind", "none"),
    finding("bulb_voltage_V", 6),
)
WOUND_FIELD = (
    CASE,
    wires(3),
    finding("thin_wires", 2),
    finding("brushes", "brushes on slip rings", Source.IN_HAND),
    finding("magnetism", "does not pull", Source.IN_HAND),
    finding("poles", 12, Source.IN_HAND),
    TWELVE,
    FLOODED,
)
