"""
The referee: what a part would do to the bike as it really is.

Its rules are written from first principles and imported from nowhere: the current a part must
carry, the volts it must stand, the pole that is on the frame, and what the generator is. It
knows the true machine, so it needs no guard and no margin for doubt.
"""

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

from ampwright.terms import BatteryKind, Family, Ignition, RegulatedBy
from simulated.machines import Bike
from simulated.rulings import NEWER_IS_SAID, THIRD_BRUSH_IS_SAID, Harm, Needs, Ruling, Wanted

# A part carries a machine from this share of the nameplate, and with something in hand from the next.
CARRIES_FROM, IN_HAND_FROM = 0.95, 1.10
TWO_OF_THREE_LEGS = 2.0 / 3.0
# A battery charges at 14.4 V where 12 V are named, and at half of that where 6 V are.
CHARGING_OVER_NAMED = 14.4 / 12.0
# Lithium is harmed above (common practice, no source).
LITHIUM_MOST_V = 14.6
# A smoothing capacitor on 12 V sees switching peaks (common practice, no source).
CAPACITOR_LEAST_V = 25.0
# Peak of the open wave over its rms: 30 V on 13.5 V (owners' test-rig paper); fastest any engine here turns.
PEAK_OVER_RMS, TOP_RPM = 30.0 / 13.5, 7000.0

# What points draw, their contacts shut half of the time, and the most they stand shut (common practice, no source).
IGNITION_A, POINTS_MOST_A = 2.0, 5.0
# Machines in no list of this many amps and more are of a kind that shows: more coils, more wires, another maker's look.
NEWER_FROM_A = 20.0

REGULATING = frozenset({"charging_box", "dynamo_regulator", "field_regulator", "lighting_regulator"})


_SUITS, _FITTING_WORK, _ON_CONDITION = Ruling(), Ruling(needs=Needs.FITTING_WORK), Ruling(needs=Needs.A_CONDITION)
_TO_BE_MEASURED = Ruling(Harm.WRONG_EARTH, Needs.A_CONDITION, mendable=True)
_TO_BE_CONVERTED = Ruling(Harm.WRONG_VOLTAGE, Needs.A_CONDITION, mendable=True)
_BEING_CONVERTED = Ruling(Harm.WRONG_VOLTAGE, Needs.FITTING_WORK, mendable=True)


def rule(part: Any, bike: Bike, wanted: Wanted) -> Ruling:
    """Judge one part on the true bike."""
    return _RULES[part.kind](part, bike, wanted)


def _together(*rulings: Ruling | Harm | None) -> Ruling:
    """The first harm that nothing mends, else the first that is mendable; the greatest need of all."""
    every = [Ruling(one) if isinstance(one, Harm) else one or _SUITS for one in rulings]
    needs = max(one.needs for one in every)
    harmful = sorted((one for one in every if one.harm), key=lambda one: (one.mendable, bool(one.caught_by)))
    return replace(harmful[0], needs=needs) if harmful else Ruling(needs=needs)


def _earth(part: Any, bike: Bike) -> Ruling | Harm | None:
    """Silence of the maker may be a shell that is minus: a short on a frame that is plus."""
    match str(part.earth):
        case "shell is minus" | "negative earth only":
            return Harm.WRONG_EARTH if bike.positive_earth else None
        case "positive earth only":
            return None if bike.positive_earth else Harm.WRONG_EARTH
        case "not stated":
            return _TO_BE_MEASURED if bike.positive_earth else _ON_CONDITION
        case _:
            return None


def _volts(part: Any, bike: Bike, wanted: Wanted) -> Ruling | Harm | None:
    """
    A 12 V part on a 6 V bike suits once the whole bike is changed over; the other way nothing mends it.

    A 6 V part suits an owner who wants 12 V only if he gives the change up.
    """
    if part.system_voltage_V == bike.running_V:
        return _ON_CONDITION if bike.running_V == 6 and wanted.to_12_V else None
    if bike.running_V == 12:
        return Harm.WRONG_VOLTAGE
    return _BEING_CONVERTED if wanted.to_12_V else _TO_BE_CONVERTED


def _carries(part_A: float, bike: Bike, *, at_work_A: float | None = None) -> Ruling | Harm | None:
    """Whether a label's amps carry the generator; in hand at the volts it works at, or its maker has to be asked."""
    if part_A < CARRIES_FROM * bike.kind.amps:
        return _overrun(bike)
    in_hand_A = part_A if at_work_A is None else at_work_A
    return None if in_hand_A >= IN_HAND_FROM * bike.kind.amps else _ON_CONDITION


def _overrun(bike: Bike) -> Ruling:
    """Too small; of a newer machine whoever fits it sees that, if he was told to look."""
    newer = not bike.kind.listed and bike.kind.amps >= NEWER_FROM_A
    return Ruling(Harm.OVERRUN, caught_by=NEWER_IS_SAID if newer else "")


def _box_rating(part: Any, bike: Bike) -> Ruling | Harm | None:
    """The maker's written word on such a winding first, then amps, then watts over the volts of the system it holds."""
    phases = {Family.THREE_PHASE: 3, Family.BI_PHASE: 2}.get(bike.family, 1)
    named = [pairing.up_to_A for pairing in part.pairings if pairing.phases == phases]
    if any(amps >= CARRIES_FROM * bike.kind.amps for amps in named):
        return None
    share = TWO_OF_THREE_LEGS if part.phases == 3 and phases != 3 else 1.0
    if part.rated_A:
        return _carries(part.rated_A * share, bike)
    label_A = (part.rated_W or 0.0) / part.system_voltage_V * share
    return _carries(label_A, bike, at_work_A=label_A / CHARGING_OVER_NAMED)


def _box_family(part: Any, bike: Bike) -> Ruling | Harm | None:
    match bike.family:
        case Family.THREE_PHASE:
            return Harm.WRONG_PHASES if part.phases != 3 else None
        case Family.BI_PHASE:
            return None if part.bi_phase else Harm.WRONG_FAMILY
        case Family.SINGLE_PHASE:
            return _FITTING_WORK if part.phases == 3 else None
        case Family.SWITCHED_SINGLE_PHASE:
            # Where two of three wires are joined already, that is done again at the new box's leads.
            return _FITTING_WORK if part.phases == 3 or bike.thick == 3 else None
        case Family.DIRECT_LIGHTING:
            # A full bridge on a winding with one end in the engine shorts every other half wave.
            return Harm.WRONG_FAMILY if bike.one_end_earthed else _ON_CONDITION
        case _:
            return Harm.WRONG_FAMILY


def _series_volts(part: Any, bike: Bike) -> Ruling | Harm | None:
    """A series box stands off the open volts of the winding at the fastest the engine turns."""
    if part.topology != "series":
        return None
    if part.input_limit_V is None:
        return _ON_CONDITION
    peak_V = PEAK_OVER_RMS * max(pair.emf_V for pair in bike.pairs) * TOP_RPM / 1000.0
    return Harm.TOO_MANY_VOLTS if part.input_limit_V < peak_V else None


def _battery_held(part: Any, bike: Bike) -> Ruling | Harm | None:
    """Whether the battery that is fitted stands what the part holds, and comes near on a full battery."""
    if bike.battery is BatteryKind.LITHIUM:
        return Harm.TOO_MANY_VOLTS if part.set_point_V > LITHIUM_MOST_V else _ON_CONDITION
    low, high = (14.0, 14.5) if part.system_voltage_V == 12 else (6.9, 7.3)
    most_V = max(part.set_point_V, getattr(part, "no_load_V", None) or 0.0)
    return None if low <= part.set_point_V and most_V <= high else _ON_CONDITION


def _charging_box(part: Any, bike: Bike, wanted: Wanted) -> Ruling:
    family = _box_family(part, bike)
    if isinstance(family, Harm):
        return Ruling(family)
    return _together(
        family,
        _earth(part, bike),
        _volts(part, bike, wanted),
        _box_rating(part, bike),
        _series_volts(part, bike),
        None if wanted.no_battery else _battery_held(part, bike),
        _without_battery(part, bike, wanted),
    )


def _without_battery(part: Any, bike: Bike, wanted: Wanted) -> Ruling | Harm | None:
    """
    With nothing to hold its output a box that needs a battery lets the volts fly.

    Where none is fitted and running so is no wish, a battery fitted with it mends that. What a maker does
    not say of the volts without one has to be asked, or a battery is fitted.
    """
    if not (wanted.no_battery or bike.battery is BatteryKind.NONE):
        return None
    if part.without_battery == "no":
        return Ruling(Harm.NEEDS_A_BATTERY, Needs.A_CONDITION, mendable=not wanted.no_battery)
    if part.no_load_V is None:
        return _ON_CONDITION if wanted.no_battery else _FITTING_WORK
    if part.without_battery == "points" and bike.ignition is Ignition.ELECTRONIC:
        return _ON_CONDITION
    return None if part.capacitor_inside else _FITTING_WORK


def _dynamo_regulator(part: Any, bike: Bike, wanted: Wanted) -> Ruling:
    """
    Made for two brushes: on a third-brush dynamo, as on anything that is no dynamo, it does not belong.
    A third brush is seen by whoever fits it and was told to count them.

    A dynamo gives the same watts at either voltage, so its amps go with the voltage that is held.
    """
    if not (bike.is_dynamo and bike.kind.listed):
        return Ruling(Harm.WRONG_FAMILY, caught_by=THIRD_BRUSH_IS_SAID if bike.is_dynamo else "")
    dynamo_A = bike.kind.amps * bike.kind.volts / part.system_voltage_V
    limit = _ON_CONDITION if part.rated_A < dynamo_A else None
    small = Harm.OVERRUN if part.rated_A < CARRIES_FROM * dynamo_A else limit
    held = _on_a_dynamo(part, bike, wanted)
    return _together(_earth(part, bike), _volts(part, bike, wanted), small, held)


def _on_a_dynamo(part: Any, bike: Bike, wanted: Wanted) -> Ruling | Harm | None:
    """What the battery stands; without one its maker has to be asked what it rises to, or a battery is fitted."""
    if wanted.no_battery:
        return _ON_CONDITION
    return _FITTING_WORK if bike.battery is BatteryKind.NONE else _battery_held(part, bike)


def _field_regulator(part: Any, bike: Bike, wanted: Wanted) -> Ruling:
    """It carries the field's current, and the field has one end that is switched: both must be asked."""
    if bike.family is not Family.WOUND_FIELD:
        return Ruling(Harm.WRONG_FAMILY)
    overrun = Ruling(Harm.OVERRUN, Needs.A_CONDITION, mendable=True)
    carries = _ON_CONDITION if part.rated_field_A * bike.field_ohm >= bike.running_V else overrun
    return _together(_earth(part, bike), _volts(part, bike, wanted), carries, _battery_held(part, bike))


def _lighting_regulator(part: Any, bike: Bike, wanted: Wanted) -> Ruling:
    """It burns what the lamps leave of the winding's watts, and is made for one way of earthing the winding."""
    if bike.family is not Family.DIRECT_LIGHTING:
        return Ruling(Harm.WRONG_FAMILY)
    other_winding = (part.winding == "one end earthed") != bike.one_end_earthed
    watts = bike.kind.amps * bike.kind.volts
    overrun = Ruling(Harm.OVERRUN, Needs.A_CONDITION, mendable=True)
    carries = _ON_CONDITION if part.rated_W >= CARRIES_FROM * watts else overrun
    shorted = Ruling(Harm.WRONG_FAMILY, Needs.A_CONDITION, mendable=True) if other_winding else None
    return _together(_volts(part, bike, wanted), carries, shorted)


def _zener(part: Any, bike: Bike, wanted: Wanted) -> Ruling:
    """A fixed stud, 12 V, and as heat all that the ignition's amps leave with the lights off."""
    if not _makes_dc(bike):
        return Ruling(Harm.WRONG_FAMILY)
    left_W = part.zener_V * (bike.kind.amps - IGNITION_A)
    return _together(
        _earth(part, bike),
        Harm.WRONG_VOLTAGE if bike.running_V == 6 else None,
        Harm.OVERRUN if part.rated_W < CARRIES_FROM * left_W else None,
        Harm.TOO_MANY_VOLTS if bike.battery is BatteryKind.LITHIUM else None,
        _FITTING_WORK,
    )


def _makes_dc(bike: Bike) -> bool:
    """Whether magnets feed a DC side through a rectifier."""
    return bike.has_magnets and bike.family not in (Family.ENERGY_TRANSFER, Family.DIRECT_LIGHTING)


def _rectifier(part: Any, bike: Bike, wanted: Wanted) -> Ruling:
    """It holds nothing down: without a Zener behind it the volts climb until the battery boils."""
    if not _makes_dc(bike) or bike.family is Family.BI_PHASE:
        return Ruling(Harm.WRONG_FAMILY)
    three = bike.family is Family.THREE_PHASE
    zener = bike.regulated_by in (RegulatedBy.ONE_ZENER, RegulatedBy.TWO_ZENERS)
    as_built = bike.needs_joining and bike.running_V == 6
    return _together(
        Harm.WRONG_PHASES if three and part.phases == 1 else None,
        _carries(part.rated_A * (TWO_OF_THREE_LEGS if part.phases == 3 and not three else 1.0), bike),
        None if zener or as_built else Harm.TOO_MANY_VOLTS,
        Harm.TOO_MANY_VOLTS if bike.battery is BatteryKind.LITHIUM else None,
        _earth(part, bike),
        _ON_CONDITION,
    )


def _capacitor(part: Any, bike: Bike, wanted: Wanted) -> Ruling:
    """AC ruins an electrolytic; on a dynamo it is idle but comes to no harm."""
    if bike.family in (Family.ENERGY_TRANSFER, Family.DIRECT_LIGHTING):
        return Ruling(Harm.WRONG_FAMILY)
    if bike.running_V == 12 and part.rated_V < CAPACITOR_LEAST_V:
        return Ruling(Harm.TOO_MANY_VOLTS)
    loose = bike.has_magnets and bike.regulated_by is not RegulatedBy.CHARGING_BOX
    if bike.running_V == 12 and loose and part.rated_V < 35.0:
        return Ruling(Harm.TOO_MANY_VOLTS)
    # Half of the DC amps ripple in it (own derivation from a rectified sine, rounded).
    small = bike.has_magnets and part.ripple_A is not None and part.ripple_A < 0.45 * bike.kind.amps
    # Its marked polarity is whoever fits it to get right.
    return _together(_overrun(bike) if small else None, _FITTING_WORK)


def _battery(part: Any, bike: Bike, wanted: Wanted) -> Ruling:
    if _feeds_ac(bike):
        return Ruling(Harm.WRONG_FAMILY)
    held: Ruling | Harm | None = None
    if part.chemistry == "LiFePO4":
        boxed = bike.regulated_by is RegulatedBy.CHARGING_BOX and bike.set_point_V <= LITHIUM_MOST_V
        held = _ON_CONDITION if boxed else Harm.TOO_MANY_VOLTS
    return _together(_volts(part, bike, wanted), held)


def _feeds_ac(bike: Bike) -> bool:
    return bike.family in (Family.ENERGY_TRANSFER, Family.DIRECT_LIGHTING) and bike.battery is BatteryKind.NONE


def _bulb(part: Any, bike: Bike, wanted: Wanted) -> Ruling:
    if _feeds_ac(bike):
        return _together(_volts(part, bike, wanted), Harm.TOO_MANY_VOLTS if part.light == "LED" else _ON_CONDITION)
    return _together(_volts(part, bike, wanted), _earth(part, bike))


def _coil(part: Any, bike: Bike, wanted: Wanted) -> Ruling:
    """
    A coil fed with AC from the stator, a coil on a battery, and a magneto that has its own.

    Points that stand shut carry the volts over the coil's ohms.
    """
    transfer = part.use == "energy transfer"
    if transfer != (bike.ignition is Ignition.ENERGY_TRANSFER) or bike.ignition is Ignition.MAGNETO:
        return Ruling(Harm.WRONG_FAMILY)
    burnt = bike.ignition is Ignition.POINTS and part.system_voltage_V / part.primary_ohm > POINTS_MOST_A
    # A resistor in series mends it.
    points = Ruling(Harm.OVERRUN, Needs.A_CONDITION, mendable=True) if burnt else None
    return _SUITS if transfer else _together(_volts(part, bike, wanted), points, _ON_CONDITION)


def _horn(part: Any, bike: Bike, wanted: Wanted) -> Ruling:
    """A winding feeds lamps and horn with AC; where it was changed for a battery either may feed the horn."""
    if bike.family in (Family.ENERGY_TRANSFER, Family.DIRECT_LIGHTING) and not _feeds_ac(bike):
        fed = Ruling(Harm.WRONG_FAMILY, Needs.A_CONDITION, mendable=True)
    else:
        fed = Ruling(Harm.WRONG_FAMILY) if (part.supply == "AC") != _feeds_ac(bike) else _SUITS
    return _together(fed, _volts(part, bike, wanted))


def _flasher(part: Any, bike: Bike, wanted: Wanted) -> Ruling:
    if _feeds_ac(bike):
        return Ruling(Harm.WRONG_FAMILY)
    return _together(_volts(part, bike, wanted), _earth(part, bike), _ON_CONDITION)


def _rotor(part: Any, bike: Bike, wanted: Wanted) -> Ruling:
    fits = bike.has_magnets and part.diameter_mm == bike.kind.rotor_mm
    return _ON_CONDITION if fits else Ruling(Harm.WRONG_FAMILY)


def _stator(part: Any, bike: Bike, wanted: Wanted) -> Ruling:
    fits = bike.has_magnets and part.rotor_diameter_mm == bike.rotor_mm
    return _ON_CONDITION if fits else Ruling(Harm.WRONG_FAMILY)


def _cable(part: Any, bike: Bike, wanted: Wanted) -> Ruling:
    return _overrun(bike) if part.rated_A < CARRIES_FROM * bike.kind.amps else _ON_CONDITION


_RULES: dict[str, Callable[[Any, Bike, Wanted], Ruling]] = {
    "charging_box": _charging_box,
    "dynamo_regulator": _dynamo_regulator,
    "field_regulator": _field_regulator,
    "lighting_regulator": _lighting_regulator,
    "rectifier": _rectifier,
    "zener": _zener,
    "capacitor": _capacitor,
    "battery": _battery,
    "bulb": _bulb,
    "coil": _coil,
    "horn": _horn,
    "flasher": _flasher,
    "rotor": _rotor,
    "stator": _stator,
    "cable": _cable,
    "fuse": lambda part, bike, wanted: _ON_CONDITION,
}


def least_need(parts: Iterable[Any], bike: Bike, wanted: Wanted) -> Needs | None:
    """
    The least that any regulating part there to be sold needs to suit this bike; None where none suits.

    A generator with nothing printed on it is judged as the trade does, at the high output of its kind: that a small
    box would do can then not be known.
    """
    judged = _as_the_trade_judges(bike)
    rulings = [rule(part, judged, wanted) for part in parts if part.kind in REGULATING and part.in_stock > 0]
    return min((ruling.needs for ruling in rulings if ruling.suits), default=None)


# Amps at which a generator with no marking is judged (common practice, no source).
_UNMARKED_A = {Family.SINGLE_PHASE: 16.0, Family.THREE_PHASE: 16.0, Family.BI_PHASE: 16.0}


def _as_the_trade_judges(bike: Bike) -> Bike:
    if bike.marking != "none":
        return bike
    amps = max(bike.kind.amps, _UNMARKED_A.get(bike.family, 0.0))
    return replace(bike, kind=replace(bike.kind, amps=amps))
