"""Charts as a page shows them: drawn for a desk and for a phone, with the numbers that are read off them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ampwright.desk.cases.balance import BalanceWork, balance_picture
from ampwright.desk.cases.no_picture import NoPicture
from ampwright.desk.cases.suit import suit_answer
from ampwright.desk.cases.workup import work_up
from ampwright.errors import AmpwrightError
from ampwright.stock.parts import ChargingBox
from ampwright.stock.shelf import Shelf
from ampwright.storage.kept import KeptJob

#: The layouts of a chart by the width they are drawn at, in px: for a desk, and for a phone.
LAYOUTS: Mapping[str, int] = {"wide": 760, "narrow": 340}


@dataclass(frozen=True)
class Drawn:
    """One layout of a chart: its SVG, and the JSON by which it is read under a finger; empty where it is not."""

    layout: str
    svg: str
    numbers: str


@dataclass(frozen=True)
class Chart:
    """A chart in both layouts, its scale, and its values as a table for those who cannot see it."""

    drawn: tuple[Drawn, ...]
    low_rpm: float
    high_rpm: float
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class WaveView:
    """The wave of a bike at a speed, in both layouts."""

    drawn: tuple[Drawn, ...]


def balance_chart(curves: BalanceWork, layouts: Sequence[str] = tuple(LAYOUTS)) -> Chart | NoPicture:
    """The balance chart of a job in the layouts asked for, or why there is none."""
    from ampwright.documents.balance_chart import svg
    from ampwright.documents.chart_reader import as_page_json, reader_of, value_table

    picture = balance_picture(curves)
    if isinstance(picture, NoPicture):
        return picture
    table = value_table(picture)
    try:
        drawn = tuple(
            Drawn(layout, svg(picture, width_px=LAYOUTS[layout]), as_page_json(reader_of(picture, LAYOUTS[layout])))
            for layout in layouts
        )
    except AmpwrightError as fault:
        return NoPicture(str(fault))
    return Chart(drawn, picture.speed_rpm[0], picture.speed_rpm[-1], table.headings, table.rows, picture.notes)


def wave_view(kept: KeptJob, shelf: Shelf, speed_rpm: float, *, lights_on: bool = True) -> WaveView | NoPicture:
    """What an oscilloscope would show on the bike with the box to be fitted, or why there is nothing to show."""
    from ampwright.desk.cases.job_wave import job_wave
    from ampwright.documents.wave_picture import svg

    workup = work_up(kept.job)
    set_point_V = _set_point_V(suit_answer(workup, shelf).safe_codes, shelf)
    picture = job_wave(workup, speed_rpm, set_point_V=set_point_V, lights_on=lights_on)
    if isinstance(picture, NoPicture):
        return picture
    try:
        drawn = tuple(Drawn(layout, svg(picture, width), "") for layout, width in LAYOUTS.items())
    except AmpwrightError as fault:
        return NoPicture(str(fault))
    return WaveView(drawn)


def _set_point_V(codes: Sequence[str], shelf: Shelf) -> float | None:
    """The set-point of the first of these parts that is a charging box."""
    boxes = {part.code: part.set_point_V for part in shelf.parts if isinstance(part, ChargingBox)}
    return next((boxes[code] for code in codes if code in boxes), None)
