"""Rides and heat as pictures: what happened along them on one axis of time, and how hot the box gets."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from ampwright.desk.cases.heat_map import HeatMapAnswer
from ampwright.desk.cases.ride import BAD_END, RideWork
from ampwright.desk.cases.ride_legs import HIGH_SHARE, LOW_SHARE, KEPT_EVERY_s, Outing
from ampwright.electrics.arrays import FloatArray
from ampwright.errors import OutsideModel
from ampwright.identify.system import road_speed
from ampwright.operation.trace import M_S_OF
from ampwright.storage.files import write_file

if TYPE_CHECKING:
    from ampwright.documents.heat_picture import HeatPicture
    from ampwright.documents.ride_picture import RideLine, RidePanel, RidePicture

# What is drawn of rides that are ridden many times.
_MOST_OUTINGS = 14
ENDINGS = ("svg", "png", "csv")
# Panels that are drawn in letters.
_IN_LETTERS = ("charge", "volts", "temperature")


def ride_picture(work: RideWork) -> "RidePicture":
    """The chart of rides: speeds, charge, volts, amps, watts and heat over one axis of time, rests left out."""
    from ampwright.documents.ride_picture import RidePicture

    shown = work.outings[:_MOST_OUTINGS]
    starts_s = np.concatenate([[0.0], np.cumsum([outing.told.trace.time_s[-1] + 1.0 for outing in shown])])
    time_min = np.concatenate([start + _seconds(outing) for start, outing in zip(starts_s[:-1], shown, strict=True)])
    marks = tuple((float(start) / 60.0, outing.ride.name) for start, outing in zip(starts_s[:-1], shown, strict=True))
    notes = [BAD_END]
    if len(shown) < len(work.outings):
        notes.append(f"The first {len(shown)} of {len(work.outings)} rides are shown.")
    if any(outing.ride.rest_hours > 0.0 for outing in shown[:-1]):
        notes.append("The rests between rides are left out.")
    return RidePicture(
        title=f"Your ride. Job {work.workup.job.number}: {work.bike.system.generator.name}",
        time_min=_floats(time_min / 60.0),
        panels=_panels(work, shown),
        marks=marks if len(shown) > 1 else (),
        notes=tuple(notes),
    )


def heat_picture(found: HeatMapAnswer) -> "HeatPicture":
    """The heat map as a picture: a hot one's shell over speed and air, lights off and on."""
    from ampwright.documents.heat_picture import HeatGrid, HeatPicture

    return HeatPicture(
        title=f"Will it cook? Job {found.number}: {found.held_by}",
        part=found.part,
        speeds_rpm=found.speeds_rpm,
        road_speeds=found.road_speeds,
        road_speed_unit=found.road_unit,
        ambients_degC=found.ambients_degC,
        grids=tuple(HeatGrid(grid.demand, grid.hot_degC) for grid in found.grids),
        limit_degC=found.limit_degC,
        notes=("After an hour at each speed; a hot one, the 90th of a hundred.", *found.notes),
    )


def ride_text(work: RideWork, width: int, *, colour: bool) -> str:
    """Charge and temperatures of the chart as text for a terminal: all of it would fill two screens."""
    from ampwright.documents import ride_picture as drawing

    picture = ride_picture(work)
    shown = tuple(panel for panel in picture.panels if panel.title_with_unit.startswith(_IN_LETTERS))
    return drawing.terminal_text(replace(picture, panels=shown), width, colour=colour)


def ride_svg(work: RideWork, width_px: int = 760) -> str:
    """The chart of rides as SVG."""
    from ampwright.documents import ride_picture as drawing

    return drawing.svg(ride_picture(work), width_px)


def heat_svg(found: HeatMapAnswer, width_px: int = 760) -> str:
    """The heat map as SVG."""
    from ampwright.documents import heat_picture as drawing

    return drawing.svg(heat_picture(found), width_px)


def write_ride_chart(work: RideWork, path: str) -> None:
    """Write the chart of rides as a file whose ending says what it is."""
    from ampwright.documents import ride_picture as drawing

    picture = ride_picture(work)
    _write(path, lambda: drawing.svg(picture), lambda: drawing.png(picture), lambda: drawing.csv_text(picture))


def write_heat_map(found: HeatMapAnswer, path: str) -> None:
    """Write the heat map as a file whose ending says what it is."""
    from ampwright.documents import heat_picture as drawing

    picture = heat_picture(found)
    _write(path, lambda: drawing.svg(picture), lambda: drawing.png(picture), lambda: drawing.csv_text(picture))


def check_ending(path: str) -> None:
    """Refuse a file that no picture can be written as, before anything is ridden."""
    if path.lower().rpartition(".")[2] not in ENDINGS:
        raise OutsideModel(f"{path}: it can be written as .svg, .png or .csv. Give the file one of these endings.")


def _write(path: str, svg: Callable[[], str], png: Callable[[], bytes], csv: Callable[[], str]) -> None:
    made: dict[str, Callable[[], str | bytes]] = {"svg": svg, "png": png, "csv": csv}
    check_ending(path)
    write_file(path, made[path.lower().rpartition(".")[2]]())


def _panels(work: RideWork, shown: Sequence[Outing]) -> "tuple[RidePanel, ...]":
    from ampwright.documents.ride_picture import RideLine, RidePanel

    def middle(name: str, times: float = 1.0) -> tuple[float, ...]:
        return _floats(times * np.concatenate([getattr(outing.middle.along, name)[0] for outing in shown]))

    def banded(label: str, name: str, times: float = 1.0) -> "RideLine":
        low, high = (_end(shown, name, share, times) for share in (LOW_SHARE, HIGH_SHARE))
        return RideLine(label, middle(name, times), low, high)

    road, bike = road_speed(work.workup.job), work.bike
    speed = np.concatenate([outing.told.trace.speed_m_s for outing in shown]) / M_S_OF[road.unit]
    rpm = np.concatenate([outing.told.road.engine_rpm for outing in shown])
    amps = [RideLine("generator", middle("generator_A")), RideLine("lamps and ignition", middle("load_A"))]
    heat = [banded("winding", "winding_degC")]
    watts = [RideLine("winding", middle("winding_W"))]
    if bike.held.by != "field":
        name = "rectifier" if bike.held.by in ("nothing", "Zener") else "charging box"
        heat.append(banded(name, "box_degC"))
        watts.append(RideLine(name, middle("box_W")))
    if bike.held.by == "Zener":
        heat.append(banded("Zener", "zener_degC"))
        watts.append(RideLine("Zener", middle("zener_W")))
    panels = [
        RidePanel(f"road speed, {road.unit}", (RideLine("road speed", _floats(speed)),), least=0.0),
        RidePanel("engine, rpm", (RideLine("engine", _floats(rpm)),), least=0.0),
    ]
    if bike.battery is not None:
        amps.append(RideLine("into the battery", middle("battery_A")))
        panels.append(RidePanel("charge, %", (banded("charge", "charge", 100.0),), least=0.0, most=100.0))
    limits = [("shell limit", bike.settings.shell_limit_degC)] if len(heat) > 1 else []
    limits += [("Zener limit", bike.settings.zener_limit_degC)] if bike.held.by == "Zener" else []
    return (
        *panels,
        RidePanel("volts at the battery", (banded("volts", "bus_V"),)),
        RidePanel("amps", tuple(amps)),
        RidePanel("heat, W", tuple(watts), least=0.0),
        RidePanel("temperature, °C", tuple(heat), limits=tuple(limits)),
    )


def _end(shown: Sequence[Outing], name: str, share: float, times: float) -> tuple[float, ...]:
    """One end of a band along all rides, from what was kept of many, second by second."""
    ends = []
    for outing in shown:
        kept = np.quantile(getattr(outing.many.along, name), share, axis=0)
        seconds = np.arange(outing.told.trace.time_s.size, dtype=float)
        line = np.interp(seconds, np.arange(kept.size) * KEPT_EVERY_s, kept)
        middle = getattr(outing.middle.along, name)[0]
        ends.append(np.minimum(line, middle) if share < 0.5 else np.maximum(line, middle))
    return _floats(times * np.concatenate(ends))


def _seconds(outing: Outing) -> FloatArray:
    return np.asarray(outing.told.trace.time_s)


def _floats(values: FloatArray) -> tuple[float, ...]:
    return tuple(values.tolist())
