"""
What shop it is: a part of the demo's shelf, boxes of the shop's own that nobody else has, and the caller's job.
"""

import random
from decimal import Decimal
from typing import Any

from ampwright.stock.parts import AnyPart, ChargingBox, DynamoRegulator, FieldRegulator, LightingRegulator, Zener
from ampwright.stock.shelf import demo_shelf
from ampwright.terms import BatteryKind, RegulatedBy
from simulated.machines import Bike

_LEAST_FROM_THE_DEMO, _MOST_FROM_THE_DEMO = 8, 40
_SOURCES = {"standing": "demo", "source": "invented for a simulated shop"}


def any_stock(chance: random.Random) -> tuple[AnyPart, ...]:
    """Some of the demo's parts of all kinds, and one to five boxes and regulators of this shop's own."""
    demo = demo_shelf().parts
    count = min(len(demo), chance.randint(_LEAST_FROM_THE_DEMO, _MOST_FROM_THE_DEMO))
    own = [_own_part(number, chance) for number in range(chance.randint(1, 5))]
    return (*chance.sample(demo, count), *own)


def _own_part(number: int, chance: random.Random) -> AnyPart:
    kind = chance.random()
    if kind < 0.7:
        return _own_box(number, chance)
    return _own_regulator(number, chance) if kind < 0.86 else _own_other(number, chance)


def _own_other(number: int, chance: random.Random) -> AnyPart:
    """A field regulator, a lighting regulator or a Zener."""
    base = {"code": f"OWN-{number}", "name": "Part of the shop's own", "price": chance.randint(10, 80), "in_stock": 2}
    kind = chance.choice((FieldRegulator, LightingRegulator, Zener))
    if kind is Zener:
        earth = chance.choice(("positive earth only", "negative earth only"))
        own: dict[str, Any] = {
            "kind": "zener",
            "zener_V": 14.7,
            "rated_W": chance.choice((70, 120, 250)),
            "earth": earth,
        }
        return kind.model_validate(base | own | _SOURCES)
    volts = chance.choice((6, 12))
    if kind is LightingRegulator:
        winding = chance.choice(("one end earthed", "floating"))
        own = {"kind": "lighting_regulator", "rated_W": chance.choice((25, 50, 100)), "winding": winding}
    else:
        own = {"kind": "field_regulator", "rated_field_A": chance.choice((3, 5)), "earth": _earth(chance)}
        own["set_point_V"] = _set_point_V(volts, chance)
    return kind.model_validate(base | own | {"system_voltage_V": volts} | _SOURCES)


def _own_box(number: int, chance: random.Random) -> ChargingBox:
    volts, phases = (12 if chance.random() < 0.9 else 6), chance.choice((1, 1, 3))
    rated_A = chance.choice((8.0, 10.0, 10.5, 12.0, 14.5, 15.0, 16.0, 18.0, 20.0, 25.0, 30.0))
    label: dict[str, Any] = {"rated_A": rated_A} if chance.random() < 0.5 else {"rated_W": 12.0 * rated_A}
    if chance.random() < 0.3:
        named_A = chance.choice((10.5, 14.5, 16.0))
        if named_A <= 1.1 * rated_A:
            label["pairings"] = ({"phases": phases, "up_to_A": named_A, "words": f"for {named_A:g} A stators"},)
    series = chance.random() < 0.12
    return ChargingBox.model_validate(
        dict(
            kind="charging_box",
            code=f"OWN-{number}-{chance.randrange(10**9)}",
            name="Charging box of the shop's own",
            price=Decimal(chance.randint(25, 150)),
            in_stock=0 if chance.random() < 0.1 else chance.randint(1, 9),
            phases=phases,
            earth=_earth(chance),
            system_voltage_V=volts,
            set_point_V=_set_point_V(volts, chance),
            no_load_V=15.0 if volts == 12 and chance.random() < 0.1 else None,
            bi_phase=phases == 1 and chance.random() < 0.2,
            topology="series" if series else chance.choice(("thyristor shunt", "MOSFET shunt")),
            input_limit_V=chance.choice((60.0, 100.0, 200.0, 400.0)) if series and chance.random() < 0.7 else None,
            capacitor_inside=chance.random() < 0.15,
            without_battery=chance.choice(("no", "no", "no", "points", "points and electronic")),
            charge_lamp=chance.random() < 0.15,
            lighting_delay=chance.random() < 0.1,
            leads=phases + 3,
            finned=chance.random() < 0.6,
            **label,
            **_SOURCES,
        )
    )


def _own_regulator(number: int, chance: random.Random) -> DynamoRegulator:
    volts = chance.choice((6, 6, 12))
    return DynamoRegulator.model_validate(
        dict(
            kind="dynamo_regulator",
            code=f"OWN-{number}-{chance.randrange(10**9)}",
            name="Dynamo regulator of the shop's own",
            price=Decimal(chance.randint(35, 110)),
            in_stock=0 if chance.random() < 0.1 else chance.randint(1, 5),
            system_voltage_V=volts,
            earth=_earth(chance),
            rated_A=chance.choice((4.0, 5.0, 6.0, 9.0, 11.0)),
            set_point_V=_set_point_V(volts, chance),
            **_SOURCES,
        )
    )


def _earth(chance: random.Random) -> str:
    words = ("either", "not stated", "shell is minus", "positive earth only", "negative earth only")
    return chance.choices(words, [45, 15, 15, 12, 13])[0]


def _set_point_V(volts: int, chance: random.Random) -> float:
    middle, spread, least, most = (14.25, 0.25, 13.3, 14.9) if volts == 12 else (7.1, 0.12, 6.7, 7.5)
    return round(min(most, max(least, chance.gauss(middle, spread))), 1)


def any_job(bike: Bike, chance: random.Random) -> dict[str, Any]:
    """What a job holds beside its findings: why they ring, what they wish, how far they are ready to go."""
    job: dict[str, Any] = {"wishes": _wishes(chance)}
    why = _why(bike, chance)
    if why is not None:
        job["why"] = why
    job["who"] = chance.choices(("workshop", "home", "caller"), (70, 27, 3))[0]
    return job


def _wishes(chance: random.Random) -> dict[str, Any]:
    """What the owner would like; most want nothing in particular."""
    wishes: dict[str, Any] = {}
    for wish, often in (
        ("no_battery", 0.07),
        ("charge_warning_lamp", 0.1),
        ("lights_on_a_delay", 0.04),
        ("keep_it_looking_original", 0.1),
    ):
        if chance.random() < often:
            wishes[wish] = True
    if chance.random() < 0.15:
        wishes["budget"] = chance.randint(30, 120)
    return wishes


def _why(bike: Bike, chance: random.Random) -> str | None:
    """Why they ring: by what ails the bike two times in three, else anything."""
    if chance.random() < 0.25:
        return None
    likely: str | None = None
    if bike.has_magnets and (bike.magnet < 0.8 or not bike.matched):
        likely = "flat battery"
    elif bike.running_V == 12 and bike.regulated_by in (RegulatedBy.NOTHING, RegulatedBy.RECTIFIER_ALONE):
        likely = "overcharging"
    elif bike.running_V == 6 and bike.battery is not BatteryKind.NONE:
        likely = "6 to 12 V"
    if likely and chance.random() < (0.65 if likely != "6 to 12 V" else 0.3):
        return likely
    return chance.choice(("flat battery", "needs a box", "more light", "what have I got", "part came back"))
