"""Parts and stocks for tests, and the findings of some bikes that are known."""

from decimal import Decimal

from bench_jobs import BODY, CASE, POINTS, SIX, TWELVE, coils, finding, job, marking, pair_volts, wires

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


def row(one_part, *findings, **more):
    return suit_job(job(*findings, **more), shelf(one_part)).rows[0]


TWO_WIRES = (CASE, wires(2, Source.IN_HAND), coils(6, Source.IN_HAND), TWELVE, POINTS)
TEN_AMPS = marking("120 W", Source.IN_HAND)
HIGH_OUTPUT = marking("16 A", Source.IN_HAND)
THREE_PHASE = (CASE, wires(3), coils(9), TWELVE, pair_volts(11.0, 11.2, 10.9), marking("14.5 A", Source.IN_HAND))
SWITCHED = (CASE, wires(3), coils(6), SIX, pair_volts(13.0, 12.7, 0.3))
DYNAMO = (BODY, SIX, finding("ignition", "magneto"))
