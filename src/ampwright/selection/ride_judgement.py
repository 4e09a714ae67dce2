"""What a ride decides: whether it starts again, whether the volts held suit battery and riding, what LEDs gain."""

from dataclasses import dataclass

import numpy as np

from ampwright.electrics.arrays import FloatArray
from ampwright.electrics.battery import Battery, cold_share, compensated_V, rows_of
from ampwright.electrics.load import PointsCoil
from ampwright.stock.battery_kinds import BatteryKindRecord
from ampwright.stock.ride_settings import RideSettings
from ampwright.terms import Ignition

# Long rides are over this; then a flooded battery is better held lower. Common practice, no source.
LONG_RIDE_MINUTES = 120.0
_LONG_LOW_12V_V, _LONG_HIGH_12V_V = 14.0, 14.2
# Over this held for hours, a flooded battery wants water every month (common practice, no source).
_TOP_UP_12V_V, _STOP_12V_V = 14.4, 15.0
_LITHIUM_MOST_V = 14.6
# A kick takes one spark's current out of the battery, a starter its own for a second or two.
_STARTS_S = 2.0


@dataclass(frozen=True)
class Restart:
    """Share of bikes that start again, by what starts them; none: it needs no battery to start."""

    by: str
    share: float | None
    needs: str


def restarts(
    battery: Battery,
    charge: FloatArray,
    polarisation_V: FloatArray,
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
    starter draws its own beside. A magneto and energy transfer want no battery for a kick.
    """
    by_hand = starter != "electric"
    if by_hand and ignition in (Ignition.MAGNETO, Ignition.ENERGY_TRANSFER):
        return Restart("kick", None, "no battery: the ignition makes its own current")
    share = system_voltage_V / 12.0
    least_V = least_running_V(ignition, system_voltage_V, settings) or 0.0
    amps = (
        2.0
        if ignition is Ignition.ELECTRONIC
        else share * 12.0 / float(coil.resistance_ohm if coil is not None else 3.5)
    )
    if not by_hand:
        amps, least_V = amps + settings.starter_A, max(least_V, share * settings.starter_least_V)
    volts = volts_under(battery, charge, polarisation_V, air_degC, amps)
    # A flat battery may show volts for a moment and then has nothing to run on.
    within_reach = charge - cold_share(battery.law, air_degC) >= settings.starts_from_charge
    needs = f"{least_V:.1f} V while {amps:.0f} A are drawn, and {100.0 * settings.starts_from_charge:.0f} % of charge"
    share = float(np.mean((volts >= least_V) & within_reach))
    return Restart("electric starter" if not by_hand else "kick", share, needs)


def least_running_V(ignition: Ignition | None, system_voltage_V: int, settings: RideSettings) -> float | None:
    """Volts under which the engine stops for want of a spark; none where its ignition makes its own current."""
    if ignition in (Ignition.MAGNETO, Ignition.ENERGY_TRANSFER):
        return None
    electronic = ignition is Ignition.ELECTRONIC
    least_V = settings.electronic_least_12V_V if electronic else settings.points_least_12V_V
    return least_V * system_voltage_V / 12.0


def volts_under(
    battery: Battery, charge: FloatArray, polarisation_V: FloatArray, air_degC: float, current_A: float
) -> FloatArray:
    """Volts at the posts some seconds into a heavy current: what is there at once, and the slow part as it grows."""
    from ampwright.operation.ride import at_the_posts

    rows, table = rows_of(battery, air_degC)
    return at_the_posts(rows, table, charge, polarisation_V, -current_A, _STARTS_S)


def set_point_words(
    held_V: float | None, record: BatteryKindRecord, system_voltage_V: int, air_degC: float, longest_minutes: float
) -> tuple[str, ...]:
    """Whether the volts held suit the battery, the length of the rides and the season, as sentences."""
    share = system_voltage_V / 12.0
    if held_V is None:
        return ("Nothing holds the volts down: with the lights off a full battery is overcharged.",)
    low_V, high_V = share * record.set_low_12V_V, share * record.set_high_12V_V
    is_flooded = record.kind == "flooded"
    if is_flooded and longest_minutes > LONG_RIDE_MINUTES:
        low_V, high_V = share * _LONG_LOW_12V_V, share * _LONG_HIGH_12V_V
    said = [_window_words(held_V, low_V, high_V, record.kind, longest_minutes)]
    if record.set_per_K_12V_V and abs(air_degC - 25.0) >= 10.0:
        ends = [compensated_V(volts, air_degC, share * record.set_per_K_12V_V) for volts in (low_V, high_V)]
        said.append(f"At {air_degC:.0f} °C it would like {float(ends[0]):.1f} to {float(ends[1]):.1f} V.")
    if record.kind == "LiFePO4" and held_V > share * _LITHIUM_MOST_V:
        said.append("Over 14.6 V harms lithium, and it may burn: not with this.")
    if is_flooded and held_V > share * _TOP_UP_12V_V:
        said.append("Held that high for hours it loses water: look at the acid every month.")
    if held_V > share * _STOP_12V_V:
        said.append("Over 15.0 V (7.5 V on 6 V) for hours ruins it.")
    return tuple(said)


def _window_words(held_V: float, low_V: float, high_V: float, kind: str, longest_minutes: float) -> str:
    rides = "long rides" if longest_minutes > LONG_RIDE_MINUTES else "rides of this length"
    suits = f"{low_V:.1f} to {high_V:.1f} V at 25 °C suit {kind} on {rides}"
    if held_V < low_V - 0.05:
        return f"{suits}; {held_V:.1f} V is low: it never gets quite full."
    if held_V > high_V + 0.05:
        return f"{suits}; {held_V:.1f} V is high."
    return f"{suits}; {held_V:.1f} V is as it should be."
