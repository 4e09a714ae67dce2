"""Rules for what regulates against the battery it charges, or against there being none."""

from ampwright.selection.facts import Facts
from ampwright.selection.judgement import (
    NOT_JUDGED_HERE,
    Judgement,
    all_of,
    dont_fit,
    fits,
    fits_if,
    fits_when_fitted_so,
)
from ampwright.stock.parts import ChargingBox, DynamoRegulator, FieldRegulator, Rectifier, Zener
from ampwright.terms import BatteryKind, Ignition

# Volts at the posts at 25 C that suit a battery kept so for hours, at 12 V; half of it at 6 V
# (common practice, no source; gel from memory). Lithium is harmed above 14.6 V, gel dries out.
SUITING_V = {
    BatteryKind.FLOODED: (14.0, 14.5),
    BatteryKind.AGM: (13.8, 14.6),
    BatteryKind.GEL: (13.8, 14.4),
    BatteryKind.LITHIUM: (13.8, 14.4),
}
MOST_V = {BatteryKind.GEL: 14.7, BatteryKind.LITHIUM: 14.6}
# 7.3 V is still right on a flooded 6 V battery (common practice, no source).
_MORE_ON_FLOODED_6_V = 0.05
# More is danger at 12 V, with a battery or without; half of it at 6 V (common practice, no source).
DANGER_V = 15.0
_UNSTATED = "its maker does not say what it rises to without one"


def set_point(
    part: ChargingBox | DynamoRegulator | FieldRegulator, facts: Facts, running_V: int, battery: BatteryKind
) -> Judgement:
    """Judge a set-point against what the battery fitted stands for hours, at the posts and 25 C."""
    if facts.no_battery or battery is BatteryKind.NONE:
        return _rises_alone(part, facts)
    if part.system_voltage_V != running_V:  # then the battery is changed too
        return NOT_JUDGED_HERE
    share = part.system_voltage_V / 12.0
    low_V, high_V = (volts * share for volts in SUITING_V[battery])
    if part.system_voltage_V == 6 and battery is BatteryKind.FLOODED:
        high_V = round(high_V + _MORE_ON_FLOODED_6_V, 2)
    no_load_V = _no_load_V(part)
    figure = f"holds {part.set_point_V:g} V" + (f", {no_load_V:g} V without a battery" if no_load_V else "")
    most_V = max(part.set_point_V, no_load_V or 0.0)
    if part.set_point_V > MOST_V.get(battery, 99.0) * share:
        return dont_fit(f"It holds too many volts for a battery of the kind {battery.value}.", figure)
    if most_V > high_V:
        return fits_if(f"it measures under {high_V:g} V at the posts, battery on", "Its volts are high.", figure)
    if part.set_point_V < low_V:
        return fits_if(f"it measures {low_V:g} V or more at the posts", "Its volts are too low.", figure)
    return fits("It holds the right volts.")


def _no_load_V(part: ChargingBox | DynamoRegulator | FieldRegulator) -> float | None:
    """What it rises to without battery or load, where its maker says so."""
    return part.no_load_V if isinstance(part, ChargingBox) else None


def _rises_alone(part: ChargingBox | DynamoRegulator | FieldRegulator, facts: Facts) -> Judgement:
    """What it gives with no battery to hold it: its set-point at least, and more where it rises."""
    no_load_V = _no_load_V(part)
    most_V = max(part.set_point_V, no_load_V or 0.0)
    figure = f"{most_V:g} V without a battery"
    if most_V > DANGER_V * part.system_voltage_V / 12.0:
        if facts.no_battery:
            return dont_fit("Without a battery it rises to more volts than lamps and ignition stand.", figure)
        return fits_when_fitted_so(
            f"a battery is fitted with it: without one it rises to {most_V:g} V", "There may be no battery.", figure
        )
    if no_load_V is not None:
        return NOT_JUDGED_HERE
    if facts.no_battery:
        return fits_if("its maker names what it rises to without a battery", "Without one it may rise to any volts.")
    if isinstance(part, ChargingBox):  # its own rule says when a battery is fitted with it
        return NOT_JUDGED_HERE
    return fits_when_fitted_so(f"a battery is fitted with it: {_UNSTATED}", "There may be no battery.")


def battery_on_it(box: ChargingBox, facts: Facts, running_V: int, battery: BatteryKind) -> Judgement:
    """A battery that is not there, or one that may disconnect itself."""
    if facts.no_battery:  # judged by the spark, for every battery
        return NOT_JUDGED_HERE
    if battery is BatteryKind.NONE:
        return _none_on_it(box)
    if battery is not BatteryKind.LITHIUM or box.lithium_safe or box.system_voltage_V != running_V:
        return fits("With this battery.")
    return fits_if(
        "its maker says that it stands a lithium battery, which may disconnect itself at speed",
        "A lithium battery's own protection may open with the engine running.",
    )


def _none_on_it(box: ChargingBox) -> Judgement:
    """With no battery found and none wished away, one is fitted with it unless the maker needs none."""
    with_capacitor = "" if box.capacitor_inside else " and a capacitor stands beside it"
    match box.without_battery:
        case "no":
            condition = "a battery is fitted with it: its maker does not allow running without one"
        case _ if box.no_load_V is None:
            condition = f"a battery is fitted with it: {_UNSTATED}"
        case "points":
            condition = f"a battery is fitted with it, or points make the spark{with_capacitor}"
        case _ if with_capacitor:
            condition = "a battery or a capacitor is fitted with it"
        case _:
            return fits("It runs without a battery.")
    return fits_when_fitted_so(condition, "There may be no battery.")


def without_battery(box: ChargingBox, facts: Facts, ignition: Ignition) -> Judgement:
    """Running without a battery, as is wished, by what makes the spark."""
    if box.without_battery == "no":
        return dont_fit("No battery is wanted, and its maker does not allow running without one.")
    held = fits("It runs without a battery.")
    if not box.capacitor_inside:
        held = fits_when_fitted_so(
            "a capacitor is fitted beside it", "Without a battery something must smooth its output."
        )
    if ignition is Ignition.ELECTRONIC and box.without_battery == "points":
        return all_of(
            held,
            fits_if(
                "the charging system is in top condition, stator and rotor renewed, or a battery is kept",
                "Its maker allows running without a battery on points only.",
            ),
        )
    return held


def lithium_on_control(
    part: DynamoRegulator | FieldRegulator, facts: Facts, running_V: int, battery: BatteryKind
) -> Judgement:
    """A lithium battery on the control of a dynamo or a wound field."""
    if battery is not BatteryKind.LITHIUM or facts.no_battery or part.system_voltage_V != running_V:
        return fits("With this battery.")
    return fits_if(
        "the lithium battery gives way to a lead one, or the regulator's maker allows lithium in writing",
        "Lithium is harmed above 14.6 V, and is not put on a control that its maker has not named for it.",
    )


def battery_on_a_zener(zener: Zener, facts: Facts, battery: BatteryKind) -> Judgement:
    """What a Zener may let a battery rise to: more than a box would, and more the fewer lamps are on."""
    if facts.no_battery or battery is BatteryKind.NONE:
        return NOT_JUDGED_HERE
    if battery is BatteryKind.LITHIUM:
        return dont_fit("Lithium is harmed above 14.6 V, at which a Zener does not stop.")
    figure = "volts at 2 A not stated" if zener.zener_V is None else f"{zener.zener_V:g} V at 2 A"
    if zener.zener_V is not None and zener.zener_V > MOST_V.get(battery, 99.0):
        return dont_fit(f"It holds too many volts for a battery of the kind {battery.value}.", figure)
    if battery is BatteryKind.FLOODED and (zener.zener_V is None or zener.zener_V <= DANGER_V):
        return fits("A flooded battery stands it.")
    high_V = DANGER_V if battery is BatteryKind.FLOODED else SUITING_V[battery][1]
    return fits_if(
        f"it measures under {high_V:g} V at the posts, lights off", "A Zener keeps its volts but loosely.", figure
    )


def battery_on_a_rectifier(rectifier: Rectifier, facts: Facts, running_V: int, battery: BatteryKind) -> Judgement:
    """What a battery rises to where the rectifier alone, which holds no volts, would be what stands before it."""
    if facts.no_battery or battery in (BatteryKind.NONE, BatteryKind.FLOODED):
        return NOT_JUDGED_HERE
    if battery is BatteryKind.LITHIUM:
        return dont_fit("Lithium is harmed above 14.6 V, and a rectifier holds no volts down.")
    high_V = SUITING_V[battery][1] * running_V / 12.0
    return fits_if(f"it measures under {high_V:g} V at the posts, lights off", "A rectifier holds no volts down.")
