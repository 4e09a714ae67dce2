"""Readings as callers give them: what the bike really does, through their meter, at a speed they guess."""

import random
from typing import Any

from ampwright.terms import BatteryKind, Family, RegulatedBy
from simulated import meters
from simulated.machines import Bike
from simulated.meters import Meter, Pair

KINDS = ("pair_volts", "pair_ohms", "one_ohm_volts", "battery_volts", "battery_amps")

TICK_OVER_RPM = (700.0, 1500.0)
FAST_RPM = (2400.0, 3600.0)
# What is left of a wound field's volts by its iron alone.
REMANENCE = 0.04
# Who is asked to unplug every wire mostly says so, and now and then a field's own plug was overlooked.
SAYS_ALL_OFF, ALL_OFF_THOUGH_NOT = 0.85, 0.08


def document(
    kind: str, bike: Bike, meter: Meter, *, asked: bool, about: bool, slips: bool, chance: random.Random
) -> tuple[dict[str, Any] | None, bool]:
    """
    One reading as a job file holds it, its source left to be said, and whether what is said with it is true.

    There is none where it cannot be made.
    """
    if kind == "pair_ohms":
        return _ohms(bike, meter, about, slips, chance), True
    if kind in ("battery_volts", "battery_amps"):
        return _battery(kind, bike, meter, about, slips, chance), True
    says_off = asked and kind == "pair_volts" and chance.random() < SAYS_ALL_OFF
    really_off = says_off and chance.random() >= ALL_OFF_THOUGH_NOT
    found = _pair_volts(kind, bike, meter, about, slips, chance, fed=bike.field_stays_fed and not really_off)
    return found | ({"all_wires_off": True} if says_off else {}), really_off or not says_off


def _said(values: list[float], about: bool) -> list[float]:
    return [meters.said_about(value) if about else round(value, 1) for value in values]


def _pair_volts(
    kind: str, bike: Bike, meter: Meter, about: bool, slips: bool, chance: random.Random, *, fed: bool
) -> dict[str, Any]:
    part = 1.0 if fed or bike.family is not Family.WOUND_FIELD else REMANENCE
    loaded = kind == "one_ohm_volts"
    fast = loaded and chance.random() < 0.8
    speed_rpm = chance.uniform(*(FAST_RPM if fast else TICK_OVER_RPM))
    volts = []
    for pair in bike.pairs:
        true_V = meters.loaded_volts(pair, speed_rpm, 1.0) if loaded else meters.open_volts(pair, speed_rpm)
        shown_V = meters.read_volts(part * true_V, pair, meter, loaded=loaded, chance=chance)
        volts.append(min(shown_V, 39.0 if loaded else 290.0))
    volts = meters.slipped(volts, chance) if slips else volts
    chance.shuffle(volts)
    found: dict[str, Any] = {"what": kind, "answer": _said(volts, about), "about": about}
    return found | _speed(bike, speed_rpm, fast, chance)


def _speed(bike: Bike, speed_rpm: float, fast: bool, chance: random.Random) -> dict[str, Any]:
    """The speed as it is told: a word mostly, sometimes the meter's Hz or a guessed figure, sometimes nothing."""
    told = chance.random()
    if told < 0.15:
        return {"frequency_Hz": round(bike.kind.habit.poles / 2 * speed_rpm / 60.0, 1)}
    if told < 0.25:
        return {"speed_rpm": float(round(speed_rpm * chance.gauss(1.0, 0.12), -2))}
    return {"speed": "fast" if fast else "tick-over"} if told < 0.85 else {}


def _ohms(bike: Bike, meter: Meter, about: bool, slips: bool, chance: random.Random) -> dict[str, Any]:
    ohms = [meters.read_ohms(pair, meter, chance) for pair in bike.pairs]
    found: dict[str, Any] = {"what": "pair_ohms", "about": about}
    if chance.random() < 0.4:
        found["lead_ohm"] = round(meter.lead_ohm, 1)
    if slips:
        ohms[chance.randrange(len(ohms))] = 1000.0
    least = found.get("lead_ohm", 0.0)
    chance.shuffle(ohms)
    return found | {"answer": [max(ohm, least) for ohm in _said(ohms, about)]}


def _battery(
    kind: str, bike: Bike, meter: Meter, about: bool, slips: bool, chance: random.Random
) -> dict[str, Any] | None:
    """Volts or amps at the battery, engine off, at tick-over or fast."""
    if bike.battery is BatteryKind.NONE:
        return None
    rest_V = chance.gauss(12.6, 0.25) if bike.running_V == 12 else chance.gauss(6.3, 0.1)
    state = chance.choices(
        ["engine off", "tick-over", "fast"], [30, 25, 45] if kind == "battery_volts" else [5, 25, 70]
    )[0]
    lights = chance.random() < 0.4
    volts, amps = rest_V, -(6.0 if lights else 0.0)
    if state != "engine off":
        speed_rpm = chance.uniform(*(FAST_RPM if state == "fast" else TICK_OVER_RPM))
        volts, amps = _charging(bike, rest_V, speed_rpm, 6.0 if lights else 2.0, chance)
    # A clip that is off a post reads next to nothing.
    shown = (volts if kind == "battery_volts" else amps) * meter.gain * (0.1 if slips else 1.0)
    shown *= chance.uniform(0.8, 1.3) if meter.noisy else 1.0
    found: dict[str, Any] = {"what": kind, "about": about, "speed": state, "lights": "on" if lights else "off"}
    if chance.random() < 0.3 and state != "engine off":
        found["rest_V"] = round(rest_V, 1)
    answer = round(shown, 1) if not about or kind == "battery_volts" else meters.said_about(shown)
    return found | {"answer": answer}


def _charging(bike: Bike, rest_V: float, speed_rpm: float, load_A: float, chance: random.Random) -> tuple[float, float]:
    """Volts at the posts and amps into the battery, by what the generator gives and what holds it down."""
    spare_A = _generated_A(bike, speed_rpm, all_coils=bike.joined or load_A > 4.0) - load_A
    if spare_A <= 0.0:
        return rest_V + 0.04 * spare_A * bike.running_V / 12.0, spare_A
    free_V = rest_V + (0.25 * spare_A + 0.8) * bike.running_V / 12.0
    held_V = {
        RegulatedBy.NOTHING: 99.0,
        RegulatedBy.RECTIFIER_ALONE: 99.0,
        RegulatedBy.ONE_ZENER: chance.uniform(13.5, 15.2),
        RegulatedBy.TWO_ZENERS: chance.uniform(13.5, 15.0),
        RegulatedBy.CHARGING_BOX: bike.set_point_V,
        RegulatedBy.DYNAMO_CONTROL_BOX: chance.uniform(13.6, 14.8) * bike.running_V / 12.0,
        RegulatedBy.FIELD_REGULATOR: chance.uniform(13.8, 14.6),
    }[bike.regulated_by]
    volts = min(free_V, held_V, 1.5 * bike.running_V)
    taken_A = max(0.1, (volts - rest_V - 0.4) / 0.25)
    return volts, min(spare_A, taken_A)


def _generated_A(bike: Bike, speed_rpm: float, *, all_coils: bool) -> float:
    """Amps from the generator, a switched one by the coils in use: one pair of three, or all."""
    if bike.family in (Family.DYNAMO, Family.WOUND_FIELD):
        reach = (speed_rpm - 900.0 * bike.running_V / bike.kind.volts) / 900.0
        return bike.kind.amps * min(1.0, max(0.0, reach))
    # The outer wires of a bi-phase one; of all others the first pair.
    pair: Pair = bike.pairs[-1] if bike.family is Family.BI_PHASE else bike.pairs[0]
    times = 1.5 if bike.family is Family.THREE_PHASE else 1.0
    if bike.family is Family.SWITCHED_SINGLE_PHASE and bike.thick == 3 and all_coils:
        times = 3.0
    return times * meters.charging_A(pair, speed_rpm, float(bike.running_V) * 1.12)
