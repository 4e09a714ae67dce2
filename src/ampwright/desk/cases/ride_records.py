"""What comes of rides, as records that page, interface and terminal read."""

from dataclasses import dataclass

from ampwright.desk.cases.ride_legs import Band
from ampwright.desk.cases.ride_parts import HeatRow, LedRow, LightRow


@dataclass(frozen=True)
class RideRow:
    """
    One ride, all the times it was ridden, and what came of it; charges in per cent.

    ``gain`` is one bike's, from before the first time to after the last rest; ``starts`` the chance to start then.
    ``stops_after_minutes`` is when a usual one would stop for want of volts, the time that ``stops_in_time`` counts;
    ``stops_share`` is the share of all
    that would stop sometime; what is told of them after that no longer holds.
    """

    name: str
    times: int
    minutes: float
    distance: float
    lights: str
    air_degC: float
    charge_before: Band
    charge_after: Band
    charge_rested: Band
    least_charge: Band
    gain: Band
    into_battery_Ah: Band
    tick_over_A: float | None
    least_V: float
    most_V: float
    flat_after_minutes: float | None
    stops_after_minutes: float | None
    stops_in_time: int | None
    stops_share: float
    too_fast_minutes: float
    starts: str


@dataclass(frozen=True)
class OtherRow:
    """Another generator that is still possible, and what charge the rides leave it."""

    generator: str
    system_voltage_V: int
    chance: str
    charge_after: Band


@dataclass(frozen=True)
class RideAnswer:
    """
    What comes of the rides, decided for a weak bike of the kind; charges in per cent.

    ``starts_share`` of bikes like it start again; none where no battery is needed for it.
    """

    number: str
    title: str
    stop_first: str
    battery_line: str
    generator: str
    system_voltage_V: int
    chance: str
    held_by: str
    battery: str
    in_short: str
    refused: bool
    road_unit: str
    rows: tuple[RideRow, ...]
    restart: str
    starts_share: float | None
    water_g: Band | None
    set_point: tuple[str, ...]
    heat: tuple[HeatRow, ...]
    light: tuple[LightRow, ...]
    leds: tuple[LedRow, ...]
    others: tuple[OtherRow, ...]
    sharpened_by: tuple[str, ...]
    assumed: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
