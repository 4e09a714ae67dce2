"""
From the bike found and the parts chosen to the loom wanted.

What stays on the bike keeps its wires; what is new gets new ones, and a charging part that is new gets a fused lead of
its own to the battery. A main fuse in the earthed lead, or none, becomes one in the live lead.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from ampwright.bike.load import Load, PointsCoilLoad
from ampwright.identify.system import for_volts
from ampwright.stock.loom_settings import usual_loom
from ampwright.stock.parts import (
    AnyPart,
    Battery,
    BoxEarth,
    Capacitor,
    ChargingBox,
    Coil,
    DynamoRegulator,
    FieldRegulator,
    LightingRegulator,
    Rectifier,
    Stator,
    Zener,
)
from ampwright.terms import BatteryKind, Earth, Family, Ignition, RegulatedBy
from ampwright.wiring.loom import Loom, Wire
from ampwright.wiring.outfit import INSIDE_CONTROL_BOX, WITHOUT_DC, Outfit, Regulating
from ampwright.wiring.typical import loom_of

_AMMETER = (
    "The charge has a fused lead of its own to the battery, so the ammeter shows what is drawn and no longer what is"
    " charged. Tell the owner, or he thinks it does not charge."
)
_WARNING_UNIT = (
    "The charge warning unit hangs on the stator and does not survive a new box: it comes off. A box with a lead for a"
    " lamp keeps the lamp."
)
_OTHER_IGNITION = (
    "Battery coils take the place of energy transfer: timing, advance, condenser and plug gap are as the maker of that"
    " ignition says, and no energy-transfer coil goes on a battery."
)


@dataclass(frozen=True)
class Wanted:
    """What is to come: the outfit, and what has to be said of it."""

    outfit: Outfit
    notes: tuple[str, ...] = ()


def with_parts(
    found: Outfit,
    parts: Sequence[AnyPart],
    loads: Sequence[Load] | None = None,
    *,
    join_pair_read: bool = False,
    without_battery: bool = False,
) -> Wanted:
    """
    What a bike is wired with once these parts are on it.

    ``loads`` are those that it then has, bulbs exchanged and all at its volts; without them they stay. The two outputs
    of a switched single-phase stator are joined only where ``join_pair_read`` says that the pair read nothing, or where
    they are joined on the bike already.
    """
    outfit = found if loads is None else found.changed(loads=tuple(loads))
    # The generator first: what regulates depends on it.
    for part in sorted(parts, key=lambda part: not isinstance(part, Stator)):
        outfit = _with(outfit, part)
    if without_battery:
        outfit = _on_its_store(outfit)
    return made_sound(found, outfit, join_pair_read=join_pair_read)


def _on_its_store(outfit: Outfit) -> Outfit:
    """Without a battery: on a capacitor that is fitted, else on the one inside the box."""
    own = outfit.regulating.capacitor_inside and not outfit.capacitor_code
    return outfit.changed(battery=BatteryKind.NONE, capacity_Ah=None, battery_code="", capacitor=not own, box_fuse=True)


def wanted_loom(found: Loom, outfit: Outfit) -> Loom:
    """
    The loom wanted: laid out new, with every wire that is there already kept as it is.

    On the other earth what hung on a post is laid new, since an old colour would lie about which side it is.
    """
    kept = {wire.ends: wire for wire in found.wires}
    fresh = loom_of(outfit, old=False, title="As it will be")
    wires = tuple(_kept_or_new(kept.get(wire.ends), wire) for wire in fresh.wires)
    return fresh.with_wires(wires)


def _kept_or_new(there: Wire | None, wire: Wire) -> Wire:
    if there is None or there.kind != wire.kind:
        return wire
    return replace(there, start=wire.start, end=wire.end)


def _with(outfit: Outfit, part: AnyPart) -> Outfit:
    match part:
        case Stator():
            return _with_stator(outfit, part)
        case ChargingBox():
            return _charged_by(outfit, _box(part), part.system_voltage_V)
        case DynamoRegulator():
            held = Regulating(
                by=RegulatedBy.DYNAMO_CONTROL_BOX,
                name=part.name,
                part_code=part.code,
                minds_earth=part.earth,
                rated_A=part.rated_A,
                set_point_V=part.set_point_V,
                topology=INSIDE_CONTROL_BOX if part.hides_in_control_box else "solid state",
            )
            if part.hides_in_control_box:
                # It takes the place of the old contacts, and every wire stays where it is.
                return at_volts(outfit.changed(regulating=held), part.system_voltage_V)
            return _charged_by(outfit, held, part.system_voltage_V)
        case FieldRegulator():
            held = replace(
                outfit.regulating,
                by=RegulatedBy.FIELD_REGULATOR,
                minds_earth=part.earth,
                set_point_V=part.set_point_V,
                part_code=part.code,
                topology="solid state",
            )
            return outfit.changed(regulating=held)
        case Rectifier():
            return _with_rectifier(outfit, part)
        case Zener():
            return outfit.changed(regulating=replace(outfit.regulating, by=RegulatedBy.ONE_ZENER))
        case LightingRegulator():
            held = replace(outfit.regulating, name=part.name, part_code=part.code)
            return outfit.changed(regulating=held, extras=replace(outfit.extras, lighting_regulator=True))
        case Battery():
            return outfit.changed(
                battery=BatteryKind(part.chemistry),
                capacity_Ah=part.capacity_Ah,
                battery_code=part.code,
                system_voltage_V=part.system_voltage_V,
                capacitor=_beside(outfit),
            )
        case Capacitor():
            return outfit.changed(
                capacitor=True,
                capacitor_uF=part.capacitance_uF,
                capacitor_V=part.rated_V,
                capacitor_ripple_A=part.ripple_A,
                capacitor_code=part.code,
            )
        case Coil():
            return outfit.changed(loads=tuple(_with_coil(load, part) for load in outfit.loads))
        case _:
            return outfit


def _with_stator(outfit: Outfit, part: Stator) -> Outfit:
    outfit = outfit.changed(
        family=part.family,
        nameplate_A=part.nameplate_A,
        generator_code=part.code,
        thick_wires=part.wires,
        system_voltage_V=part.system_voltage_V,
        branches_joined=False,
    )
    if outfit.ignition is Ignition.ENERGY_TRANSFER:
        # Its coils go with the old stator; what sparks then hangs on the battery.
        outfit = outfit.changed(ignition=Ignition.POINTS)
    return outfit


def _box(part: ChargingBox) -> Regulating:
    return Regulating(
        by=RegulatedBy.CHARGING_BOX,
        name="Charging box",
        part_code=part.code,
        phases=part.phases,
        minds_earth=part.earth,
        # The trade divides a box's watts by its volts; to a tenth, as it stands on a drawing.
        rated_A=part.rated_A or (round(part.rated_W / part.system_voltage_V, 1) if part.rated_W else None),
        set_point_V=part.set_point_V,
        topology=part.topology,
        lead_lamp=part.charge_lamp,
        bi_phase=part.bi_phase,
        capacitor_inside=part.capacitor_inside,
    )


def _charged_by(outfit: Outfit, held: Regulating, system_voltage_V: int) -> Outfit:
    return at_volts(outfit.changed(regulating=held, box_fuse=True), system_voltage_V)


def at_volts(outfit: Outfit, system_voltage_V: int) -> Outfit:
    """The same bike at other volts; a dynamo gives the same watts, and so fewer amps (specialists' article)."""
    rated_A = outfit.nameplate_A
    if outfit.family is Family.DYNAMO and rated_A is not None:
        rated_A = round(rated_A * outfit.system_voltage_V / system_voltage_V, 2)
    return outfit.changed(system_voltage_V=system_voltage_V, nameplate_A=rated_A)


def _with_rectifier(outfit: Outfit, part: Rectifier) -> Outfit:
    by = outfit.regulating.by
    if by is RegulatedBy.FIELD_REGULATOR:
        return outfit.changed(regulating=replace(outfit.regulating, make=part.make))
    held = Regulating(
        by=by if by is not RegulatedBy.CHARGING_BOX else RegulatedBy.RECTIFIER_ALONE,
        part_code=part.code,
        phases=part.phases,
        minds_earth=part.earth,
        rated_A=part.rated_A,
        make=part.make,
    )
    return outfit.changed(regulating=held)


def _with_coil(load: Load, part: Coil) -> Load:
    if not isinstance(load, PointsCoilLoad) or part.use != "points":
        return load
    return load.model_copy(update={"resistance_ohm": part.primary_ohm})


def made_sound(found: Outfit, outfit: Outfit, *, join_pair_read: bool = False) -> Wanted:
    """What is wanted, with its fuse in the live lead, a store for a box, and no branch joined that nobody read."""
    notes: list[str] = []
    if outfit.family not in WITHOUT_DC:
        # Of what rating it has to be the loads say, whatever was in its holder.
        outfit = outfit.changed(main_fuse="live", main_fuse_A=None)
    if not outfit.has_battery and outfit.has_dc and not outfit.regulating.capacitor_inside:
        outfit = outfit.changed(capacitor=True)
    switched = outfit.family is Family.SWITCHED_SINGLE_PHASE
    if switched and outfit.system_voltage_V == 12 and outfit.regulating.by is RegulatedBy.CHARGING_BOX:
        outfit = outfit.changed(branches_joined=join_pair_read or outfit.branches_joined)
        if not outfit.branches_joined:
            notes.append(
                "The two outputs of this stator are not joined here: nobody read the pair between them. Joined, a pair"
                " with volts across it is a shorted winding. Until it reads about 0 V AC, one output stays insulated."
            )
    if outfit.family in WITHOUT_DC:
        outfit = outfit.changed(box_fuse=False)
    if outfit.box_fuse and not found.box_fuse and outfit.extras.ammeter:
        notes.append(_AMMETER)
    boxed = outfit.regulating.by is RegulatedBy.CHARGING_BOX
    if (
        boxed
        and outfit.regulating != found.regulating
        and outfit.extras.charge_lamp
        and not outfit.regulating.lead_lamp
    ):
        outfit = outfit.changed(extras=replace(outfit.extras, charge_lamp=False))
        notes.append(_WARNING_UNIT)
    if found.ignition is Ignition.ENERGY_TRANSFER and outfit.ignition is not found.ignition:
        notes.append(_OTHER_IGNITION)
    if found.main_fuse == "none" and outfit.main_fuse == "live" and outfit.has_battery:
        # A fuse that is new in the battery's lead must not leave what charges with the lamps alone when it blows.
        outfit = outfit.changed(box_fuse=True)
    return Wanted(outfit, tuple(notes))


def earth_reversed(outfit: Outfit) -> Outfit:
    """The same bike with its other post earthed; what minds which is to be exchanged or turned round."""
    held, other = outfit.regulating, outfit.earth.other
    minds = held.minds_earth
    if minds is not None and minds is not BoxEarth.NOT_STATED and minds.refused_on(other):
        held = replace(held, minds_earth=_only(other), part_code="", name="")
    return outfit.changed(earth=other, regulating=held)


def _only(earth: Earth) -> BoxEarth:
    return BoxEarth.POSITIVE_ONLY if earth is Earth.POSITIVE else BoxEarth.NEGATIVE_ONLY


def battery_off(outfit: Outfit) -> Outfit:
    """Without a battery, on a capacitor; only a magnet alternator runs so."""
    # 4700 uF for electronic ignitions and magnetos, 10,000 for points, 35 V behind a box and 63 V behind nothing but a
    # Zener: common practice, no source.
    farads = 10_000.0 if outfit.ignition is Ignition.POINTS else 4700.0
    volts = 35.0 if outfit.regulating.by is RegulatedBy.CHARGING_BOX else 63.0
    return outfit.changed(
        battery=BatteryKind.NONE,
        capacitor=True,
        capacitor_uF=farads,
        capacitor_V=volts,
        battery_code="",
        capacity_Ah=None,
        box_fuse=True,
    )


def battery_back(outfit: Outfit) -> Outfit:
    """With a lead battery again."""
    box = outfit.regulating.by is RegulatedBy.CHARGING_BOX
    return outfit.changed(
        battery=BatteryKind.FLOODED, capacitor=False, capacitor_code="", box_fuse=outfit.box_fuse or box
    )


def lithium(outfit: Outfit) -> Outfit:
    """With a lithium battery in the place of lead."""
    return outfit.changed(battery=BatteryKind.LITHIUM, battery_code="", capacitor=_beside(outfit), box_fuse=True)


def _beside(outfit: Outfit) -> bool:
    """Whether a capacitor stays when the battery is exchanged; one in the place of a battery goes when there is one."""
    return outfit.capacitor and outfit.has_battery


def charging_box(outfit: Outfit) -> Outfit:
    """With a charging box in the place of rectifier and Zener; which one is for the choice to say."""
    held = Regulating(
        by=RegulatedBy.CHARGING_BOX, phases=outfit.phases, bi_phase=outfit.family is Family.BI_PHASE, topology="shunt"
    )
    return outfit.changed(regulating=held, box_fuse=True)


def silicon_rectifier(outfit: Outfit) -> Outfit:
    """With a silicon bridge in the place of plates, and whatever held the volts before."""
    held = replace(outfit.regulating, make="silicon")
    if held.by is not RegulatedBy.FIELD_REGULATOR:
        held = replace(held, part_code="", name="")
    return outfit.changed(regulating=held)


def solid_state_control(outfit: Outfit) -> Outfit:
    """A dynamo with an electronic regulator in the place of its control box."""
    held = Regulating(by=RegulatedBy.DYNAMO_CONTROL_BOX, topology="solid state", minds_earth=_only(outfit.earth))
    return outfit.changed(regulating=held, box_fuse=True)


def field_regulator(outfit: Outfit) -> Outfit:
    """A wound field with an electronic regulator in the place of what fed it; which one is for the choice to say."""
    held = Regulating(by=RegulatedBy.FIELD_REGULATOR, phases=3, make=outfit.regulating.make, topology="solid state")
    return outfit.changed(regulating=held)


def lighting_regulator(outfit: Outfit) -> Outfit:
    """Lamps on AC with a regulator that keeps them from blowing."""
    return outfit.changed(extras=replace(outfit.extras, lighting_regulator=True))


def three_phase(outfit: Outfit) -> Outfit:
    """With a three-phase stator and a box for it."""
    usual = usual_loom().usual
    changed = outfit.changed(
        family=Family.THREE_PHASE,
        nameplate_A=14.5,
        generator_code="",
        branches_joined=False,
        system_voltage_V=12,
        loads=tuple(for_volts(load, 12) for load in outfit.loads),
        capacity_Ah=outfit.capacity_Ah or usual.battery_Ah_12V,
    )
    if changed.ignition is Ignition.ENERGY_TRANSFER:
        changed = changed.changed(ignition=Ignition.POINTS, battery=BatteryKind.FLOODED)
    return charging_box(changed)


def single_phase(outfit: Outfit) -> Outfit:
    """With a single-phase two-wire stator and a box for it."""
    changed = three_phase(outfit).changed(family=Family.SINGLE_PHASE, nameplate_A=10.5)
    return charging_box(changed)


#: Changes that somebody may ask for by name, whatever parts are in stock.
CHANGES: Mapping[str, Callable[[Outfit], Outfit]] = {
    "earth reversed": earth_reversed,
    "charging box": charging_box,
    "silicon rectifier": silicon_rectifier,
    "solid-state dynamo regulator": solid_state_control,
    "field regulator": field_regulator,
    "lighting regulator": lighting_regulator,
    "three-phase": three_phase,
    "single-phase": single_phase,
    "battery off": battery_off,
    "battery back": battery_back,
    "lithium battery": lithium,
}


def why_not(change: str, outfit: Outfit) -> str:
    """Why a change makes no sense on a bike; empty where it does."""
    dynamo, no_dc = outfit.family is Family.DYNAMO, outfit.family in WITHOUT_DC
    needs_alternator = change in ("charging box", "silicon rectifier", "battery off", "three-phase", "single-phase")
    if dynamo and needs_alternator:
        return "A dynamo has no alternating current to rectify, and does not run without a battery."
    if change == "solid-state dynamo regulator" and not dynamo:
        return "There is no dynamo on this bike."
    if change == "field regulator" and outfit.family is not Family.WOUND_FIELD:
        return "Its generator has magnets, and no field that a regulator could feed."
    if change == "lighting regulator" and outfit.family is not Family.DIRECT_LIGHTING:
        return "Its lamps do not hang on a winding of their own; whatever regulates its battery holds them too."
    if no_dc and change in ("charging box", "silicon rectifier", "battery off", "lithium battery", "battery back"):
        return "Its stator feeds the lamps with alternating current; a battery wants another stator first."
    if change == "charging box" and outfit.family is Family.WOUND_FIELD:
        return "Its field has to be regulated: it keeps a field regulator, and a box for magnet alternators ruins it."
    if change == "battery off" and outfit.family is Family.WOUND_FIELD:
        return "Its field is fed from the battery: without one it gives nothing."
    if outfit.family is Family.DIRECT_LIGHTING and change in ("three-phase", "single-phase"):
        return (
            "Its flywheel and stator are made for each other: another generator means another flywheel. Ask for a kit."
        )
    if change == "battery back" and outfit.has_battery:
        return "It has its battery."
    if change == "battery off" and not outfit.has_battery:
        return "It has no battery."
    boxed = outfit.regulating.by is RegulatedBy.CHARGING_BOX
    if (
        outfit.battery is BatteryKind.LITHIUM
        and not boxed
        and change not in ("charging box", "three-phase", "single-phase")
    ):
        return (
            "Its battery is lithium, and what holds the volts is no box: a charging box comes first, or a lead battery."
        )
    if change == "lithium battery" and outfit.regulating.by is not RegulatedBy.CHARGING_BOX:
        return (
            "Only a charging box whose set-point was measured suits a lithium battery. Fit and measure the box first."
        )
    return ""
