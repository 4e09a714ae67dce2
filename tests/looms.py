"""Looms that many tests share: sound originals by name, and outfits drawn at random."""

import random
from collections.abc import Iterator
from dataclasses import replace

from ampwright.bike.load import ElectronicLoad, FilamentLoad, HeaterLoad, LedLoad, Load, PointsCoilLoad
from ampwright.stock.parts import BoxEarth
from ampwright.terms import BatteryKind, Earth, Family, Ignition, RegulatedBy
from ampwright.wiring.loom import Loom
from ampwright.wiring.outfit import Extras, Outfit, Regulating
from ampwright.wiring.typical import loom_of

ALTERNATORS = (Family.SINGLE_PHASE, Family.SWITCHED_SINGLE_PHASE, Family.THREE_PHASE, Family.BI_PHASE)


def lamps(volts: int, *, led: bool = False, head_W: float | None = None) -> tuple[Load, ...]:
    """A headlamp with two filaments, tail, stop and speedometer lamp."""
    if led:
        sizes = (("headlamp", 18.0), ("tail lamp", 1.0), ("speedometer lamp", 0.5))
        return tuple(LedLoad(kind="LED", name=name, when="lights on", power_W=watts) for name, watts in sizes)
    main_W = head_W or (45.0 if volts == 12 else 30.0)
    dip_W = head_W or (40.0 if volts == 12 else 24.0)
    sizes = (("headlamp main", main_W), ("headlamp dip", dip_W), ("tail lamp", 5.0), ("speedometer lamp", 2.0))
    lit = [_filament(name, "lights on", watts, volts) for name, watts in sizes]
    return (*lit, _filament("stop lamp", "always", 21.0 if volts == 12 else 18.0, volts, duty=0.05))


def _filament(name: str, when: str, watts: float, volts: int, duty: float = 1.0) -> FilamentLoad:
    return FilamentLoad.model_validate(
        {"kind": "filament", "name": name, "when": when, "power_W": watts, "rated_V": volts, "duty": duty}
    )


def points_coil(volts: int, coils: int = 1) -> PointsCoilLoad:
    """A battery coil of the kind."""
    ohm, henry = (1.5, 0.005) if volts == 6 else (3.5, 0.008)
    return PointsCoilLoad(
        kind="points coil",
        name="points and coil",
        when="always",
        resistance_ohm=ohm,
        inductance_H=henry,
        dwell=0.5,
        sparks_per_rev=1.0,
        coils=coils,
    )


def electronic(amps: float = 1.5) -> ElectronicLoad:
    """An electronic ignition."""
    return ElectronicLoad(kind="steady current", name="electronic ignition", when="always", current_A=amps)


def zener_twin(earth: Earth = Earth.POSITIVE, **changes: object) -> Outfit:
    """A twin with plate rectifier and Zener, points and two coils, ammeter: as many left the works."""
    outfit = Outfit(
        family=Family.SINGLE_PHASE,
        system_voltage_V=12,
        earth=earth,
        ignition=Ignition.POINTS,
        regulating=Regulating(by=RegulatedBy.ONE_ZENER, make="plate"),
        loads=(*lamps(12), points_coil(12, 2)),
        capacity_Ah=9.0,
        nameplate_A=10.5,
        extras=Extras(ammeter=True, ammeter_end_A=8.0),
    )
    return replace(outfit, **changes)  # type: ignore[arg-type]


def six_volt_single(earth: Earth = Earth.POSITIVE, **changes: object) -> Outfit:
    """A 6 V single with the three-wire stator that the lighting switch regulates, and a plate rectifier."""
    outfit = Outfit(
        family=Family.SWITCHED_SINGLE_PHASE,
        system_voltage_V=6,
        earth=earth,
        ignition=Ignition.POINTS,
        regulating=Regulating(by=RegulatedBy.RECTIFIER_ALONE, make="plate"),
        loads=(*lamps(6), points_coil(6)),
        capacity_Ah=12.0,
        nameplate_A=9.2,
        extras=Extras(ammeter=True, ammeter_end_A=8.0),
    )
    return replace(outfit, **changes)  # type: ignore[arg-type]


def dynamo_magneto(earth: Earth = Earth.POSITIVE, volts: int = 6, **changes: object) -> Outfit:
    """A dynamo with its control box, and a magneto."""
    outfit = Outfit(
        family=Family.DYNAMO,
        system_voltage_V=volts,
        earth=earth,
        ignition=Ignition.MAGNETO,
        regulating=Regulating(by=RegulatedBy.DYNAMO_CONTROL_BOX),
        loads=lamps(volts),
        capacity_Ah=12.0 if volts == 6 else 9.0,
        extras=Extras(ammeter=True, ammeter_end_A=8.0),
    )
    return replace(outfit, **changes)  # type: ignore[arg-type]


def three_phase_box(earth: Earth = Earth.NEGATIVE, **changes: object) -> Outfit:
    """A three-phase machine with a charging box and electronic ignition."""
    outfit = Outfit(
        family=Family.THREE_PHASE,
        system_voltage_V=12,
        earth=earth,
        ignition=Ignition.ELECTRONIC,
        regulating=Regulating(by=RegulatedBy.CHARGING_BOX, phases=3, minds_earth=BoxEarth.EITHER, set_point_V=14.2),
        loads=(*lamps(12, head_W=55.0), electronic()),
        capacity_Ah=9.0,
        nameplate_A=14.5,
        box_fuse=True,
    )
    return replace(outfit, **changes)  # type: ignore[arg-type]


def energy_transfer(earth: Earth = Earth.NEGATIVE, **changes: object) -> Outfit:
    """A competition single without a battery."""
    outfit = Outfit(
        family=Family.ENERGY_TRANSFER,
        system_voltage_V=6,
        earth=earth,
        ignition=Ignition.ENERGY_TRANSFER,
        regulating=Regulating(by=RegulatedBy.NOTHING),
        loads=lamps(6),
        battery=BatteryKind.NONE,
    )
    return replace(outfit, **changes)  # type: ignore[arg-type]


def direct_lighting(earth: Earth = Earth.NEGATIVE, **changes: object) -> Outfit:
    """A lightweight with flywheel lighting."""
    return replace(energy_transfer(earth), family=Family.DIRECT_LIGHTING, ignition=Ignition.MAGNETO, **changes)  # type: ignore[arg-type]


def bi_phase_box(earth: Earth = Earth.NEGATIVE, **changes: object) -> Outfit:
    """A centre-tapped machine with a box made for it."""
    return replace(
        three_phase_box(earth),
        family=Family.BI_PHASE,
        regulating=Regulating(
            by=RegulatedBy.CHARGING_BOX, bi_phase=True, minds_earth=BoxEarth.EITHER, set_point_V=14.2
        ),
        **changes,  # type: ignore[arg-type]
    )


def wound_field(earth: Earth = Earth.NEGATIVE, **changes: object) -> Outfit:
    """A wound-field alternator with its rectifier and field regulator."""
    return replace(
        three_phase_box(earth),
        family=Family.WOUND_FIELD,
        regulating=Regulating(by=RegulatedBy.FIELD_REGULATOR, phases=3, set_point_V=14.2),
        box_fuse=False,
        **changes,  # type: ignore[arg-type]
    )


def sound_outfits() -> dict[str, Outfit]:
    """Outfits as they left the works, or as a careful shop makes them, on both earths."""
    made = {
        "zener twin": zener_twin,
        "six volt single": six_volt_single,
        "dynamo and magneto": dynamo_magneto,
        "three-phase box": three_phase_box,
        "energy transfer": energy_transfer,
        "direct lighting": direct_lighting,
        "bi-phase box": bi_phase_box,
        "wound field": wound_field,
    }
    return {f"{name}, {earth.value}": make(earth) for name, make in made.items() for earth in Earth}


def sound_originals() -> dict[str, Loom]:
    """The looms of these, as found."""
    return {name: loom_of(outfit, old=True) for name, outfit in sound_outfits().items()}


def drawn_outfits(seed: int, count: int) -> Iterator[Outfit]:
    """Outfits drawn at random, each one sound of its kind."""
    rng = random.Random(seed)
    for _ in range(count):
        yield drawn_outfit(rng)


def drawn_outfit(rng: random.Random) -> Outfit:
    """One outfit at random."""
    earth = rng.choice(tuple(Earth))
    base = rng.choice(tuple(sound_outfits().values()))
    outfit = replace(base, earth=earth)
    if outfit.has_dc:
        outfit = replace(
            outfit,
            extras=Extras(
                ammeter=rng.random() < 0.5,
                ammeter_end_A=rng.choice((8.0, 12.0, 20.0)),
                charge_lamp=rng.random() < 0.3,
                indicators=rng.random() < 0.4,
                horn=rng.random() < 0.8,
            ),
            main_fuse=rng.choice(("live", "live", "live", "none")),
            # A dead short at the end of a thin old wire must still blow it: on 6 V, and on a small battery, no more.
            main_fuse_A=rng.choice((None, 8.0, 10.0) if outfit.system_voltage_V == 6 else (None, 10.0, 15.0)),
            capacity_Ah=rng.choice((7.0, 9.0, 14.0)),
        )
    if outfit.family in ALTERNATORS:
        outfit = _other_regulation(rng, outfit)
    volts = outfit.system_voltage_V
    lit = lamps(volts, led=volts == 12 and rng.random() < 0.3)
    more = (
        (HeaterLoad(kind="resistance", name="heated grips", when="always", power_W=30.0, rated_V=12.0),)
        if volts == 12 and outfit.has_dc and rng.random() < 0.3
        else ()
    )
    return replace(outfit, loads=(*lit, *_spark(rng, outfit), *more))


def _spark(rng: random.Random, outfit: Outfit) -> tuple[Load, ...]:
    if outfit.ignition is Ignition.ELECTRONIC:
        return (electronic(),)
    if outfit.ignition is Ignition.POINTS:
        return (points_coil(outfit.system_voltage_V, rng.choice((1, 2))),)
    return ()


def _other_regulation(rng: random.Random, outfit: Outfit) -> Outfit:
    volts = outfit.system_voltage_V
    phases = 3 if outfit.family is Family.THREE_PHASE else 1
    by = rng.choice((RegulatedBy.CHARGING_BOX, RegulatedBy.CHARGING_BOX, RegulatedBy.ONE_ZENER))
    if volts == 6 or outfit.family is Family.SWITCHED_SINGLE_PHASE:
        by = rng.choice((RegulatedBy.CHARGING_BOX, RegulatedBy.RECTIFIER_ALONE))
    box = by is RegulatedBy.CHARGING_BOX
    regulating = Regulating(
        by=by,
        phases=3 if box and rng.random() < 0.2 else phases,
        minds_earth=BoxEarth.EITHER if box else None,
        set_point_V=(14.2 if volts == 12 else 7.1) if box else None,
        make="" if box else rng.choice(("plate", "silicon")),
        lead_lamp=rng.random() < 0.3,
        bi_phase=outfit.family is Family.BI_PHASE,
    )
    battery = BatteryKind.NONE if box and volts == 12 and rng.random() < 0.2 else BatteryKind.FLOODED
    return replace(
        outfit,
        regulating=regulating,
        battery=battery,
        capacitor=battery is BatteryKind.NONE,
        capacitor_uF=4700.0 if battery is BatteryKind.NONE else None,
        capacitor_V=63.0 if battery is BatteryKind.NONE else None,
        capacitor_ripple_A=8.5 if battery is BatteryKind.NONE else None,
        box_fuse=box and rng.random() < 0.7,
    )
