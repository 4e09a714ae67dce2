"""What a ride decides: whether it starts again, whether the volts held suit battery and riding, what LEDs gain."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ampwright.electrics.arrays import FloatArray
from ampwright.electrics.battery import Battery, compensated_V, rows_of
from ampwright.electrics.load import PointsCoil
from ampwright.operation.ride_bike import Start
from ampwright.stock.battery_kinds import BatteryKindRecord
from ampwright.stock.ride_settings import RideSettings
from ampwright.terms import Ignition

# Long rides are over this; then a flooded battery is better held lower. Common practice, no source.
LONG_RIDE_MINUTES = 120.0
_LONG_LOW_12V_V, _LONG_HIGH_12V_V = 14.0, 14.2
#: Over this a battery of 12 V is ruined (common practice, no source).
STOP_12V_V = 15.0
#: Over this harms lithium, on 12 V.
LITHIUM_MOST_V = 14.6
# Beyond a window by so much is high or low; and what rounding leaves of two sums of decimals.
_HIGH_BY_12V_V, _ROUNDING_V = 0.05, 1e-6
# Compensation by temperature is told about this, from here to there, and where it comes to something.
_RULE_degC, _RULE_FROM_degC, _RULE_TO_degC, _SEASON_K = 25.0, 0.0, 45.0, 10.0


@dataclass(frozen=True)
class Restart:
    """Share of bikes that start again, by what starts them; none: it needs no battery to start."""

    by: str
    share: float | None
    needs: str


def restarts(
    battery: Battery,
    after: Start,
    air_degC: float,
    ignition: Ignition | None,
    starter: str,
    settings: RideSettings,
    system_voltage_V: int,
    coil: PointsCoil | None = None,
) -> Restart:
    """
    Whether bikes that stand as they do start again: under the load of a start the volts must do for a spark.

    With points a coil's current with the contacts shut is drawn, with an electronic ignition its own; an electric
    starter draws its own beside. A magneto and energy transfer want no battery for a kick. An ignition that was not
    told is judged as the one that wants more volts.
    """
    by_hand = starter != "electric"
    if by_hand and ignition in (Ignition.MAGNETO, Ignition.ENERGY_TRANSFER):
        return Restart("kick", None, "its ignition makes its own current")
    of_12V = system_voltage_V / 12.0
    least_V = least_running_V(ignition, system_voltage_V, settings) or 0.0
    coil_ohm = float(coil.resistance_ohm) if coil is not None else of_12V * settings.coil_12V_ohm
    amps = system_voltage_V / coil_ohm if ignition is Ignition.POINTS else settings.electronic_A
    if not by_hand:
        amps, least_V = amps + settings.starter_A, max(least_V, of_12V * settings.starter_least_V)
    volts = volts_under(battery, after, air_degC, amps, settings.start_s)
    # A flat battery may show volts for a moment and then has nothing to run on.
    within_reach = np.ravel(after.charge) - np.ravel(after.unreachable) >= settings.starts_from_charge
    needs = f"{least_V:.1f} V while {amps:.0f} A are drawn, and {100.0 * settings.starts_from_charge:.0f} % of charge"
    share = float(np.mean((volts >= least_V) & within_reach))
    return Restart("electric starter" if not by_hand else "kick", share, needs)


def least_running_V(ignition: Ignition | None, system_voltage_V: int, settings: RideSettings) -> float | None:
    """Volts under which the engine stops for want of a spark; none where its ignition makes its own current."""
    if ignition in (Ignition.MAGNETO, Ignition.ENERGY_TRANSFER):
        return None
    points = ignition is Ignition.POINTS
    least_V = settings.points_least_12V_V if points else settings.electronic_least_12V_V
    return least_V * system_voltage_V / 12.0


def volts_under(battery: Battery, after: Start, air_degC: float, current_A: float, seconds: float) -> FloatArray:
    """Volts at the posts some seconds into a heavy current: what is there at once, and the slow part as it grows."""
    from ampwright.operation.ride import at_the_posts

    rows, table = rows_of(battery, air_degC)
    return at_the_posts(rows, table, after, -current_A, seconds)


def set_point_words(
    held_V: float | None,
    spread_V: float,
    record: BatteryKindRecord,
    system_voltage_V: int,
    airs_degC: Sequence[float],
    longest_minutes: float,
    *,
    is_assumed: bool,
) -> tuple[str, ...]:
    """
    Whether the volts held suit the battery, the length of the rides and the season, as sentences.

    Volts that nobody told are not judged; those of a box that strays by ``spread_V`` are judged at both ends.
    """
    share = system_voltage_V / 12.0
    if held_V is None:
        return ("Nothing holds the volts down: with the lights off a full battery is overcharged.",)
    low_V, high_V = share * record.set_low_12V_V, share * record.set_high_12V_V
    is_flooded, is_long = record.kind == "flooded", longest_minutes > LONG_RIDE_MINUTES
    if is_flooded and is_long:
        low_V, high_V = share * _LONG_LOW_12V_V, share * _LONG_HIGH_12V_V
    rides = "long rides" if is_long else "rides of this length"
    said = [f"{low_V:.1f} to {high_V:.1f} V at 25 °C suit {record.kind} on {rides}"]
    if is_assumed:
        said[0] += "; what is held here is assumed: read the posts, warm battery, lights off, five minutes at 3000 rpm."
        return (*said, *_season(record, share, airs_degC))
    said[0] += _judged(held_V, spread_V, low_V, high_V)
    most_V = held_V + spread_V
    if record.kind == "LiFePO4" and most_V > share * LITHIUM_MOST_V + _ROUNDING_V:
        said.append(f"Over {share * LITHIUM_MOST_V:.1f} V harms lithium, and it may burn: not with this.")
    elif most_V > high_V + share * _HIGH_BY_12V_V:
        what = "look at the acid every month" if is_flooded else "it dries out, and is not topped up"
        said.append(f"Held that high for hours it loses water: {what}.")
    if most_V > share * STOP_12V_V:
        said.append(f"Over {share * STOP_12V_V:.1f} V for hours ruins it.")
    return (*said, *_season(record, share, airs_degC))


def _judged(held_V: float, spread_V: float, low_V: float, high_V: float) -> str:
    if held_V - spread_V < low_V - _HIGH_BY_12V_V:
        return f"; {held_V:.1f} V, or somewhat less as such parts stray, is low: it never gets quite full."
    if held_V + spread_V > high_V + _HIGH_BY_12V_V:
        return f"; {held_V:.1f} V, or somewhat more as such parts stray, is high."
    return f"; {held_V:.1f} V is as it should be."


def _season(record: BatteryKindRecord, share: float, airs_degC: Sequence[float]) -> tuple[str, ...]:
    """What the coldest and the hottest ride would ask for, where the rule holds and no fixed box may be set to it."""
    far = [air for air in (min(airs_degC), max(airs_degC)) if abs(air - _RULE_degC) >= _SEASON_K]
    if not record.set_per_K_12V_V or not far:
        return ()
    air = max(far, key=lambda each: abs(each - _RULE_degC))
    more = abs(float(compensated_V(0.0, air, share * record.set_per_K_12V_V)))
    way = "more" if air < _RULE_degC else "less"
    if not _RULE_FROM_degC <= air <= _RULE_TO_degC:
        return (f"At {air:.0f} °C it would like {way} still; how much is not known there. Leave a box as it is set.",)
    return (f"At {air:.0f} °C it would like about {more:.1f} V {way}. A box that does not follow stays as it is set.",)
