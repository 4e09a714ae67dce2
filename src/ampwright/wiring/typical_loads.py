"""What a typical loom feeds: ignition, lamps with their switches, horn, indicators, and whatever else a job lists."""

import re

from ampwright.bike.load import ElectronicLoad, FilamentLoad, HeaterLoad, LedLoad, Load, PointsCoilLoad
from ampwright.identify.system import usual_ignition
from ampwright.stock.parts import BoxEarth
from ampwright.terms import Earth, Ignition
from ampwright.wiring.building import LoomBuilder
from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Component, Terminal, Traits
from ampwright.wiring.outfit import Outfit, is_headlamp, is_ignition, is_lamp

_FRAME, _ENGINE = Terminal("frame", "frame"), Terminal("engine", "case")


def lay_ignition(b: LoomBuilder, outfit: Outfit, feed: Terminal) -> None:
    """Coils with points, or an electronic ignition with its coil; a magneto has nothing in this loom."""
    told = [load for load in outfit.loads if is_ignition(load)]
    points = [load for load in told if isinstance(load, PointsCoilLoad)]
    steady = [load for load in told if isinstance(load, ElectronicLoad)]
    if outfit.ignition is Ignition.MAGNETO:
        return
    if steady or (not points and outfit.ignition is Ignition.ELECTRONIC):
        _electronic(b, outfit, feed, steady[0] if steady else None)
        return
    usual = [one for one in usual_ignition(outfit.system_voltage_V, Ignition.POINTS) if isinstance(one, PointsCoilLoad)]
    for load in points or usual:
        for number in range(1, load.coils + 1):
            _coil_with_points(b, outfit, feed, load, number)


def _coil_with_points(b: LoomBuilder, outfit: Outfit, feed: Terminal, load: PointsCoilLoad, number: int) -> None:
    last = "" if number == 1 else f"-{number}"
    nth = "" if load.coils == 1 else f" {number}"
    traits = Traits(system_voltage_V=outfit.system_voltage_V, resistance_ohm=load.resistance_ohm)
    coil = b.part(f"coil{last}", Kind.COIL, f"Ignition coil{nth}", traits)
    points = b.part(f"points{last}", Kind.POINTS, f"Points{nth}")
    b.wire(feed, coil.at("feed"), "ignition")
    b.wire(coil.at("points"), points.at("contact"), "points")
    b.mount(points.at("body"), _ENGINE)


def _electronic(b: LoomBuilder, outfit: Outfit, feed: Terminal, load: ElectronicLoad | None) -> None:
    amps = load.current_A if load else None
    box = b.part(
        "ignition-box",
        Kind.IGNITION_BOX,
        "Electronic ignition",
        Traits(
            system_voltage_V=outfit.system_voltage_V,
            current_A=amps,
            polarity=True,
            minds_earth=_this_earth(b) if outfit.extras.minds_earth else None,
        ),
    )
    coil = b.part("coil", Kind.COIL, "Ignition coil", Traits(system_voltage_V=outfit.system_voltage_V))
    b.wire(feed, box.at(b.live), "ignition")
    b.wire(feed, coil.at("feed"), "ignition")
    b.wire(coil.at("points"), box.at("coil"), "points")
    b.wire(box.at(b.earthed), _FRAME, "earth", "bullet", "ring")


def lay_loads(b: LoomBuilder, outfit: Outfit, feed: Terminal, switched: Terminal) -> None:
    """
    Lamps on the lighting switch and everything else on the ignition switch.

    ``feed`` is where the lighting switch hangs and ``switched`` what the key switches; without a battery both are
    wires of the stator.
    """
    lamps = [load for load in outfit.loads if is_lamp(load)]
    heads = [load for load in lamps if is_headlamp(load)]
    stops = [load for load in lamps if load not in heads and "stop" in load.name.lower()]
    small = [load for load in lamps if load not in heads and load not in stops and load.when == "lights on"]
    lighting = _lighting_switch(b, feed) if heads or small else None
    if lighting is not None:
        _headlamp(b, outfit, lighting, heads)
        for load in small:
            lamp = _lamp(b, outfit, load)
            b.wire(lighting.at("tail"), lamp.at("feed"), "tail")
            b.mount(lamp.at("return"), _FRAME)
    _stop_lamp(b, outfit, switched, stops)
    for load in outfit.loads:
        if is_ignition(load) or load in heads or load in small or load in stops:
            continue
        _accessory(b, outfit, load, switched)
    if outfit.has_dc:
        _extras(b, outfit, feed, switched)


def _lighting_switch(b: LoomBuilder, feed: Terminal) -> Component:
    switch = b.part("lighting-switch", Kind.LIGHTING_SWITCH, "Lighting switch")
    b.wire(feed, switch.at("feed"), "battery live")
    return switch


def _headlamp(b: LoomBuilder, outfit: Outfit, lighting: Component, heads: list[Load]) -> None:
    if not heads:
        return
    watts = [float(getattr(load, "power_W", 0.0)) for load in heads]
    traits = _lamp_traits(b, outfit, heads[0])
    main_W, dip_W = (max(watts), min(watts)) if len(watts) > 1 else (watts[0], watts[0])
    lamp = b.part(
        "headlamp",
        Kind.HEADLAMP,
        "Headlamp" + (", LED" if isinstance(heads[0], LedLoad) else ""),
        Traits(**(vars(traits) | {"power_W": main_W, "second_power_W": dip_W})),
    )
    dip = b.part("dip-switch", Kind.DIP_SWITCH, "Dip switch")
    b.wire(lighting.at("head"), dip.at("feed"), "headlamp switch")
    b.wire(dip.at("main"), lamp.at("main"), "main beam")
    b.wire(dip.at("dip"), lamp.at("dip"), "dip beam")
    b.mount(lamp.at("return"), _FRAME)


def _stop_lamp(b: LoomBuilder, outfit: Outfit, switched: Terminal, stops: list[Load]) -> None:
    if not stops:
        return
    switch = b.part("stop-switch", Kind.STOP_SWITCH, "Stop switch")
    b.wire(_stop_feed(b, switched), switch.at("in"), "switched feed")
    for load in stops:
        lamp = _lamp(b, outfit, load)
        b.wire(switch.at("out"), lamp.at("feed"), "stop")
        b.mount(lamp.at("return"), _FRAME)


def _stop_feed(b: LoomBuilder, switched: Terminal) -> Terminal:
    """An energy-transfer stator has a wire of its own for the stop lamp."""
    is_stator = switched.name == "tail" and switched.component == "alternator"
    return Terminal(switched.component, "stop") if is_stator else switched


def _accessory(b: LoomBuilder, outfit: Outfit, load: Load, switched: Terminal) -> None:
    """Anything else a job lists: on the ignition switch, so that nothing is drawn with the key off."""
    id_, name = _slug(b, load.name), _named(load.name)
    if is_lamp(load):
        part = _lamp(b, outfit, load)
    else:
        watts = load.power_W if isinstance(load, HeaterLoad) else None
        amps = load.current_A if isinstance(load, ElectronicLoad) else None
        volts = load.rated_V if isinstance(load, HeaterLoad) else None
        part = b.part(id_, Kind.ACCESSORY, name, Traits(power_W=watts, current_A=amps, rated_V=volts))
    b.wire(switched, part.at("feed"), "switched feed")
    b.mount(part.at("return"), _FRAME)


def _extras(b: LoomBuilder, outfit: Outfit, feed: Terminal, switched: Terminal) -> None:
    usual, volts = b.settings.usual, outfit.system_voltage_V
    if outfit.extras.horn:
        amps = usual.horn_A_12V if volts == 12 else usual.horn_A_6V
        horn = b.part("horn", Kind.HORN, "Horn", Traits(system_voltage_V=volts, current_A=amps))
        push = b.part("horn-push", Kind.HORN_PUSH, "Horn push")
        b.wire(feed, horn.at("feed"), "horn")
        b.wire(horn.at("return"), push.at("in"), "horn push")
        b.mount(push.at("out"), _FRAME)
    if outfit.extras.indicators:
        _indicators(b, outfit, switched)
    if outfit.extras.charge_lamp:
        _charge_lamp(b, outfit, switched)


def _indicators(b: LoomBuilder, outfit: Outfit, switched: Terminal) -> None:
    flasher = b.part("flasher", Kind.FLASHER, "Flasher", Traits(system_voltage_V=outfit.system_voltage_V))
    switch = b.part("indicator-switch", Kind.INDICATOR_SWITCH, "Indicator switch")
    b.wire(switched, flasher.at("in"), "switched feed")
    b.wire(flasher.at("out"), switch.at("feed"), "flasher")
    traits = Traits(
        rated_V=float(outfit.system_voltage_V),
        system_voltage_V=outfit.system_voltage_V,
        power_W=b.settings.usual.indicator_W,
    )
    for side in ("left", "right"):
        for end, place in (("front", "headlamp"), ("rear", "rear")):
            lamp = b.part(f"indicator-{side}-{end}", Kind.LAMP, f"Indicator, {side} {end}", traits, place)
            b.wire(switch.at(side), lamp.at("feed"), side)
            b.mount(lamp.at("return"), _FRAME)


def _charge_lamp(b: LoomBuilder, outfit: Outfit, switched: Terminal) -> None:
    """A warning lamp from the key to the box's own lead; an old unit takes it to earth while the stator is still."""
    traits = Traits(system_voltage_V=outfit.system_voltage_V, power_W=2.0, rated_V=float(outfit.system_voltage_V))
    lamp = b.part("charge-lamp", Kind.LAMP, "Charge warning lamp", traits)
    b.wire(switched, lamp.at("feed"), "ignition")
    if outfit.regulating.lead_lamp and b.has("charging-box"):
        b.wire(lamp.at("return"), Terminal("charging-box", "lamp"), "warning")
        return
    if b.has("control-box") or b.has("dynamo-regulator"):
        box = "control-box" if b.has("control-box") else "dynamo-regulator"
        b.wire(lamp.at("return"), Terminal(box, "D"), "warning")
        return
    unit = b.part("warning-unit", Kind.WARNING_UNIT, "Charge warning unit")
    generator_lead = "common" if outfit.family.value.startswith("switched") else "ac1"
    b.wire(Terminal("alternator", generator_lead), unit.at("ac"), "stator 1")
    b.wire(lamp.at("return"), unit.at("lamp"), "warning")
    b.mount(unit.at("body"), _FRAME)


def _lamp(b: LoomBuilder, outfit: Outfit, load: Load) -> Component:
    place = "rear" if re.search(r"tail|stop|plate", load.name.lower()) else "headlamp"
    name = _named(load.name) + (", LED" if isinstance(load, LedLoad) and "led" not in load.name.lower() else "")
    return b.part(_slug(b, load.name), Kind.LAMP, name, _lamp_traits(b, outfit, load), place)


def _lamp_traits(b: LoomBuilder, outfit: Outfit, load: Load) -> Traits:
    if isinstance(load, FilamentLoad):
        return Traits(power_W=load.power_W, rated_V=load.rated_V)
    # Which way round an LED works stands on it; as found it is on the earth of the bike, or it would be dark.
    return Traits(power_W=float(getattr(load, "power_W", 0.0)), polarity=True, system_voltage_V=outfit.system_voltage_V)


def _this_earth(b: LoomBuilder) -> BoxEarth:
    return BoxEarth.POSITIVE_ONLY if b.earth is Earth.POSITIVE else BoxEarth.NEGATIVE_ONLY


def _named(words: str) -> str:
    plain = re.sub(r"\s*\(.*?\)", "", words).strip() or words
    return plain[:1].upper() + plain[1:]


def _slug(b: LoomBuilder, words: str) -> str:
    base = re.sub(r"[^a-z0-9]+", "-", re.sub(r"\(.*?\)", "", words.lower())).strip("-") or "load"
    taken, number = base, 2
    while b.has(taken):
        taken, number = f"{base}-{number}", number + 1
    return taken
