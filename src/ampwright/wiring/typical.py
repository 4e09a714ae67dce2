"""
The typical loom of a bike, from what it is wired with.

As found it follows the old practice: charge runs by way of the ammeter, parts earth by how they are bolted on. A loom
to be made gives the box a fused lead of its own, so that no blown fuse leaves box and lamps without the battery.
Common practice, no source.
"""

from ampwright.stock.parts import BoxEarth
from ampwright.terms import BatteryKind, Earth, Family, Ignition, RegulatedBy
from ampwright.wiring.building import LoomBuilder
from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Component, Loom, Terminal, Traits
from ampwright.wiring.outfit import Outfit, Regulating
from ampwright.wiring.typical_loads import lay_ignition, lay_loads

_GENERATORS = {
    Family.SINGLE_PHASE: (Kind.ALTERNATOR, "Alternator, single-phase"),
    Family.SWITCHED_SINGLE_PHASE: (Kind.SWITCHED_ALTERNATOR, "Alternator, three wires, switched"),
    Family.THREE_PHASE: (Kind.THREE_PHASE_ALTERNATOR, "Alternator, three-phase"),
    Family.BI_PHASE: (Kind.BI_PHASE_ALTERNATOR, "Alternator, bi-phase, centre-tapped"),
    Family.WOUND_FIELD: (Kind.WOUND_FIELD_ALTERNATOR, "Alternator, wound field"),
    Family.ENERGY_TRANSFER: (Kind.ENERGY_TRANSFER_STATOR, "Stator, energy transfer"),
    Family.DIRECT_LIGHTING: (Kind.DIRECT_LIGHTING_STATOR, "Stator, direct lighting"),
    Family.DYNAMO: (Kind.DYNAMO, "Dynamo"),
    Family.UNLISTED: (Kind.ALTERNATOR, "Generator of a kind not listed"),
}
# Runs of the stator's wires, in the order of the terminals.
_STATOR_RUNS = {
    Kind.ALTERNATOR: ("stator 1", "stator 2"),
    Kind.THREE_PHASE_ALTERNATOR: ("stator 1", "stator 2", "stator 3"),
    Kind.BI_PHASE_ALTERNATOR: ("bi-phase", "bi-phase"),
    Kind.WOUND_FIELD_ALTERNATOR: ("three alike", "three alike", "three alike"),
}


def loom_of(outfit: Outfit, *, old: bool = True, title: str = "") -> Loom:
    """Lay out the typical loom of an outfit; ``old`` is as it is found, else every wire is new and not yet sized."""
    b = LoomBuilder(outfit.earth, outfit.system_voltage_V, old=old)
    frame = b.part("frame", Kind.FRAME, "Frame")
    engine = b.part("engine", Kind.ENGINE, "Engine")
    kind, name = _GENERATORS[outfit.family]
    generator = b.part(
        "dynamo" if kind is Kind.DYNAMO else "alternator",
        kind,
        name,
        Traits(nameplate_A=outfit.nameplate_A, part_code=outfit.generator_code, wires=outfit.thick_wires),
    )
    if outfit.has_dc:
        feed = _battery_side(b, outfit)
        _charging(b, outfit, generator, feed)
        switched = _switched(b, outfit, feed)
        if b.has("field-regulator"):
            b.wire(switched, Terminal("field-regulator", b.live), "switched feed")
        lay_ignition(b, outfit, switched)
        lay_loads(b, outfit, feed, switched)
        if b.has("charging-box") and outfit.regulating.lead_lamp and not outfit.extras.charge_lamp:
            b.insulate(Terminal("charging-box", "lamp"), "Lead for a warning lamp")
        _earths(b, outfit)
    else:
        _without_dc(b, outfit, generator)
    b.wire(engine.at("case"), frame.at("frame"), "earth", "ring", "ring")
    return b.loom(title or _title(outfit))


def _switched(b: LoomBuilder, outfit: Outfit, feed: Terminal) -> Terminal:
    """What the key switches; a magneto has no key in this loom, and what hangs on one elsewhere hangs on the feed."""
    if outfit.ignition is Ignition.MAGNETO:
        return feed
    key = b.part("ignition-switch", Kind.IGNITION_SWITCH, "Ignition switch")
    b.wire(feed, key.at("feed"), "ammeter" if outfit.extras.ammeter else "battery live")
    return key.at("ignition")


def _title(outfit: Outfit) -> str:
    by = outfit.regulating.by
    held = outfit.regulating.name or ("nothing that regulates" if by is RegulatedBy.NOTHING else by.value)
    return f"{_GENERATORS[outfit.family][1]}, {held}, {outfit.system_voltage_V} V, {outfit.earth.value}"


def _battery_side(b: LoomBuilder, outfit: Outfit) -> Terminal:
    """Battery or capacitor, fuse and ammeter; answers the point where the loom is fed from."""
    store = _rectifying(b, outfit) if outfit.stands_by_the_box else _store(b, outfit)
    point = store.at(b.live)
    if outfit.main_fuse == "live":
        fuse = b.part("main-fuse", Kind.FUSE, "Main fuse", Traits(rated_A=outfit.main_fuse_A))
        b.wire(point, fuse.at("in"), "battery live", "ring", "spade")
        point = fuse.at("out")
    if outfit.extras.ammeter:
        end_A = outfit.extras.ammeter_end_A
        ammeter = b.part("ammeter", Kind.AMMETER, "Ammeter", Traits(rated_A=end_A))
        b.wire(point, ammeter.at("in"), "battery live")
        point = ammeter.at("out")
    return point


def _store(b: LoomBuilder, outfit: Outfit) -> Component:
    volts = outfit.system_voltage_V
    battery = None
    if outfit.has_battery:
        name = "Battery" if outfit.battery is BatteryKind.FLOODED else f"Battery, {outfit.battery.value}"
        battery = b.part(
            "battery",
            Kind.BATTERY,
            name,
            Traits(
                system_voltage_V=volts,
                capacity_Ah=outfit.capacity_Ah,
                chemistry=outfit.battery.value,
                part_code=outfit.battery_code,
            ),
        )
    if battery is not None and not outfit.capacitor:
        return battery
    capacitor = b.part(
        "capacitor",
        Kind.CAPACITOR,
        "Capacitor",
        Traits(
            capacitance_uF=outfit.capacitor_uF,
            rated_V=outfit.capacitor_V,
            ripple_A=outfit.capacitor_ripple_A,
            part_code=outfit.capacitor_code,
        ),
    )
    if battery is None:
        return capacitor
    fuse = b.part("capacitor-fuse", Kind.FUSE, "Capacitor fuse", Traits())
    b.wire(battery.at(b.live), fuse.at("in"), "battery live", "ring", "spade")
    b.wire(fuse.at("out"), capacitor.at(b.live), "battery live", "spade", "spade")
    b.wire(capacitor.at(b.earthed), battery.at(b.earthed), "earth", "spade", "ring")
    return battery


def _charging(b: LoomBuilder, outfit: Outfit, generator: Component, feed: Terminal) -> None:
    """What rectifies and what holds the volts, between the generator and the battery."""
    if outfit.family is Family.DYNAMO:
        _dynamo(b, outfit, generator, feed)
        return
    rectifying = _rectifying(b, outfit)
    _stator_wires(b, outfit, generator, rectifying)
    _live_lead(b, outfit, rectifying.at(b.live), feed)
    _zeners(b, outfit, rectifying.at(b.live))
    if outfit.regulating.by is RegulatedBy.FIELD_REGULATOR:
        _field(b, outfit, generator)


def _rectifying(b: LoomBuilder, outfit: Outfit) -> Component:
    """The box or rectifier; one and the same however often it is asked for."""
    box = outfit.regulating.by is RegulatedBy.CHARGING_BOX
    id_ = "charging-box" if box else "rectifier"
    return b.find(id_) or b.part(
        id_,
        Kind.CHARGING_BOX if box else Kind.RECTIFIER,
        (outfit.regulating.name or "Charging box") if box else _rectifier_name(outfit),
        _regulating_traits(outfit),
    )


def _rectifier_name(outfit: Outfit) -> str:
    held = _rectifies(outfit)
    return held.name or f"{'Plate' if held.make == 'plate' else 'Silicon'} rectifier"


def _rectifies(outfit: Outfit) -> Regulating:
    """What is told of the part that rectifies; beside a field regulator all but make and phases is of that one."""
    held = outfit.regulating
    return Regulating(held.by, phases=held.phases, make=held.make) if held.by is RegulatedBy.FIELD_REGULATOR else held


def _regulating_traits(outfit: Outfit) -> Traits:
    held = _rectifies(outfit)
    is_box = held.by is RegulatedBy.CHARGING_BOX
    return Traits(
        system_voltage_V=outfit.system_voltage_V if is_box else None,
        phases=max(held.phases, outfit.phases),
        minds_earth=held.minds_earth,
        part_code=held.part_code,
        rated_A=held.rated_A,
        set_point_V=held.set_point_V if is_box else None,
        topology=held.topology,
        lead_lamp=held.lead_lamp and is_box,
        bi_phase=is_box and (held.bi_phase or outfit.family is Family.BI_PHASE),
        make=held.make,
        capacitor_inside=held.capacitor_inside,
    )


def _stator_wires(b: LoomBuilder, outfit: Outfit, generator: Component, into: Component) -> None:
    phases = into.traits.phases or 1
    if outfit.family is Family.SWITCHED_SINGLE_PHASE:
        _switched_stator(b, outfit, generator, into)
    elif outfit.family is Family.BI_PHASE:
        for terminal in ("ac1", "ac2"):
            b.wire(generator.at(terminal), into.at(terminal), "bi-phase", "plug", "bullet")
        # A bridge alone has no place for the tap; both halves in series then charge, the tap is closed off.
        if into.kind is Kind.CHARGING_BOX:
            b.wire(generator.at("tap"), into.at("tap"), "tap", "plug", "bullet")
        else:
            b.insulate(generator.at("tap"), "Centre tap")
    else:
        runs = _STATOR_RUNS[generator.kind]
        for terminal, run in zip(("ac1", "ac2", "ac3"), runs, strict=False):
            b.wire(generator.at(terminal), into.at(terminal), run, "bullet", "bullet")
    if phases == 3 and outfit.phases == 1:
        b.insulate(into.at("ac3"), "Third AC lead")
    if into.traits.bi_phase and outfit.family is not Family.BI_PHASE:
        b.insulate(into.at("tap"), "Lead for a centre tap")


def _switched_stator(b: LoomBuilder, outfit: Outfit, generator: Component, into: Component) -> None:
    """Three wires of one phase: the switch brings the third in with the lamp; joined, both outputs go to one lead."""
    b.wire(generator.at("common"), into.at("ac1"), "stator 1")
    b.wire(generator.at("low"), into.at("ac2"), "stator 3")
    if outfit.branches_joined:
        b.wire(generator.at("high"), into.at("ac2"), "stator 2")
    elif outfit.regulating.by is RegulatedBy.CHARGING_BOX:
        b.insulate(generator.at("high"), "Second output")
    else:
        contacts = b.part("stator-contacts", Kind.STATOR_CONTACTS, "Lighting switch, stator contacts")
        b.wire(generator.at("high"), contacts.at("in"), "stator 2")
        b.wire(contacts.at("out"), into.at("ac2"), "stator 3")


def _live_lead(b: LoomBuilder, outfit: Outfit, live: Terminal, feed: Terminal) -> None:
    """The charge lead: by way of ammeter and main fuse as of old, or by a fused lead of its own to the battery."""
    if outfit.stands_by_the_box:
        # The box is its own store, and the loom is fed from its lead.
        return
    if not outfit.box_fuse:
        b.wire(live, feed, "ammeter" if outfit.extras.ammeter else "charge")
        return
    store = Terminal("battery" if b.has("battery") else "capacitor", b.live)
    if store.component == "capacitor":
        # Without a battery nothing feeds a short but the generator, and a blown fuse would leave it without a load.
        b.wire(live, store, "charge")
        return
    fuse = b.part("box-fuse", Kind.FUSE, "Fuse of the charge lead", Traits(rated_A=outfit.box_fuse_A))
    b.wire(live, fuse.at("in"), "charge", "bullet", "spade")
    b.wire(fuse.at("out"), store, "charge", "spade", "ring")


def _zeners(b: LoomBuilder, outfit: Outfit, live: Terminal) -> None:
    count = {RegulatedBy.ONE_ZENER: 1, RegulatedBy.TWO_ZENERS: 2}.get(outfit.regulating.by, 0)
    stud = BoxEarth.POSITIVE_ONLY if outfit.earth is Earth.POSITIVE else BoxEarth.NEGATIVE_ONLY
    for number in range(count):
        zener = b.part("zener" if number == 0 else "zener-2", Kind.ZENER, "Zener", Traits(minds_earth=stud))
        b.wire(live, zener.at(b.live), "ammeter", "bullet", "spade")
        b.mount(zener.at(b.earthed), Terminal("frame", "frame"))


def _field(b: LoomBuilder, outfit: Outfit, generator: Component) -> None:
    held = outfit.regulating
    regulator = b.part(
        "field-regulator",
        Kind.FIELD_REGULATOR,
        "Field regulator",
        Traits(
            system_voltage_V=outfit.system_voltage_V,
            minds_earth=held.minds_earth,
            set_point_V=held.set_point_V,
            part_code=held.part_code,
            topology=held.topology,
        ),
    )
    b.wire(regulator.at("field"), generator.at("field1"), "field")
    b.mount(generator.at("field2"), Terminal("engine", "case"))


def _dynamo(b: LoomBuilder, outfit: Outfit, dynamo: Component, feed: Terminal) -> None:
    held = outfit.regulating
    new_kind = held.topology == "solid state"
    box = b.part(
        "dynamo-regulator" if new_kind else "control-box",
        Kind.DYNAMO_REGULATOR if new_kind else Kind.CONTROL_BOX,
        held.name or ("Dynamo regulator" if new_kind else "Control box"),
        Traits(
            system_voltage_V=outfit.system_voltage_V,
            minds_earth=held.minds_earth,
            rated_A=held.rated_A,
            set_point_V=held.set_point_V,
            part_code=held.part_code,
            topology=held.topology,
        ),
    )
    b.wire(dynamo.at("D"), box.at("D"), "dynamo", "ring", "ring")
    b.wire(dynamo.at("F"), box.at("F"), "field", "ring", "ring")
    _live_lead(b, outfit, box.at("A"), feed)
    b.wire(box.at("E"), Terminal("frame", "frame"), "earth", "ring", "ring")
    b.mount(dynamo.at("body"), Terminal("engine", "case"))


def _earths(b: LoomBuilder, outfit: Outfit) -> None:
    frame = Terminal("frame", "frame")
    if outfit.stands_by_the_box:
        b.wire(Terminal("charging-box", b.earthed), frame, "earth", "bullet", "ring")
        b.wire(Terminal("charging-box", b.earthed), Terminal("engine", "case"), "earth", "bullet", "ring")
        return
    store = Terminal("battery" if b.has("battery") else "capacitor", b.earthed)
    if outfit.main_fuse == "earthed":
        fuse = b.part("main-fuse", Kind.FUSE, "Main fuse", Traits(rated_A=outfit.main_fuse_A))
        b.wire(store, fuse.at("in"), "earth", "ring", "spade")
        b.wire(fuse.at("out"), frame, "earth", "spade", "ring")
    else:
        b.wire(store, frame, "earth", "ring", "ring")
    if b.has("charging-box") and outfit.box_fuse:
        b.wire(Terminal("charging-box", b.earthed), store, "earth", "bullet", "ring")
        b.wire(store, Terminal("engine", "case"), "earth", "ring", "ring")
    elif b.has("charging-box"):
        b.wire(Terminal("charging-box", b.earthed), frame, "earth", "bullet", "ring")
    elif b.has("rectifier"):
        _rectifier_earth(b, outfit)
    if b.has("field-regulator"):
        b.wire(Terminal("field-regulator", b.earthed), frame, "earth", "bullet", "ring")


def _rectifier_earth(b: LoomBuilder, outfit: Outfit) -> None:
    """A plate rectifier's clamp bolt is its earthed pole; a bridge has a lead for it."""
    post, frame = Terminal("rectifier", b.earthed), Terminal("frame", "frame")
    if outfit.regulating.make == "plate":
        b.mount(post, frame)
    else:
        b.wire(post, frame, "earth", "bullet", "ring")


def _without_dc(b: LoomBuilder, outfit: Outfit, generator: Component) -> None:
    """Lamps on AC straight from the winding, with no battery."""
    engine = Terminal("engine", "case")
    if outfit.family is Family.ENERGY_TRANSFER:
        coil = b.part("energy-transfer-coil", Kind.ENERGY_TRANSFER_COIL, "Energy-transfer coil")
        points = b.part("points", Kind.POINTS, "Points")
        b.wire(generator.at("ignition"), coil.at("feed"), "energy transfer")
        b.wire(coil.at("feed"), points.at("contact"), "points")
        b.mount(points.at("body"), engine)
        b.mount(coil.at("body"), Terminal("frame", "frame"))
        b.mount(generator.at("common"), engine)
        lay_loads(b, outfit, generator.at("head"), generator.at("tail"))
        for name in ("head", "tail", "stop"):
            if not b.is_used(generator.at(name)):
                b.insulate(generator.at(name), f"Stator lead, {name}")
        return
    b.mount(generator.at("body"), engine)
    if outfit.extras.lighting_regulator:
        held = outfit.regulating
        regulator = b.part(
            "lighting-regulator",
            Kind.LIGHTING_REGULATOR,
            held.name or "Lighting regulator, AC",
            Traits(system_voltage_V=outfit.system_voltage_V, part_code=held.part_code),
        )
        b.wire(generator.at("lighting"), regulator.at("ac"), "direct lighting")
        b.mount(regulator.at("body"), Terminal("frame", "frame"))
    # Its ignition is fed by a winding of its own inside the flywheel, which is no part of this loom.
    lay_loads(b, outfit, generator.at("lighting"), generator.at("lighting"))
