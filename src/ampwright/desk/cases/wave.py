"""The waves of a bare circuit, as numbers and as a picture."""

from typing import Any

from ampwright.bench.record import circuit_record
from ampwright.desk.cases.bench_cautions import bench_cautions
from ampwright.desk.cases.circuit_model import circuit_of
from ampwright.documents.wave_picture import Line, WavePicture, csv_text, png, svg, terminal_text
from ampwright.errors import BadReading
from ampwright.operation.wave import PANELS, Wave, wave
from ampwright.storage.files import read_json, write_file

LEAST_PERIODS, MOST_PERIODS = 0.5, 500.0


def open_wave(path: str, periods: float) -> tuple[Wave, str, tuple[str, ...]]:
    """Solve the one circuit of a file and give its wave, a title, and the cautions it calls for."""
    check_periods(periods)
    document = read_json(path)
    if isinstance(document, list):
        if len(document) != 1:
            raise BadReading(
                f"{path} holds {len(document)} circuits; a wave is shown of one. Take one out of the list."
            )
        document = document[0]
    return wave_in(document, periods, path)


def check_periods(periods: float) -> None:
    """Refuse a span that cannot be shown."""
    if not LEAST_PERIODS <= periods <= MOST_PERIODS:
        raise BadReading(f"{periods:g} periods cannot be shown. Ask for {LEAST_PERIODS:g} to {MOST_PERIODS:g}.")


def wave_in(document: object, periods: float, where: str = "the circuit") -> tuple[Wave, str, tuple[str, ...]]:
    """Solve one circuit that another program holds and give its wave, a title, and the cautions it calls for."""
    check_periods(periods)
    record = circuit_record(document, where)
    name = where if record.id is None else str(record.id)
    return wave(circuit_of(record), periods), f"{name} at {record.speed_rpm:g} rpm", bench_cautions(record)


def picture_of(found: Wave, title: str, panels: tuple[str, ...] = PANELS) -> WavePicture:
    """The picture of a wave; lines that carry nothing stay away."""
    lines = [
        Line(trace.panel, trace.name, tuple(map(float, trace.values)))
        for panel in panels
        for trace in found.traces
        if trace.panel == panel and (trace.panel == "comparator" or abs(trace.values).max() > 1e-6)
    ]
    return WavePicture(title, tuple(1e3 * float(moment) for moment in found.time_s), tuple(lines))


def write_wave(found: Wave, title: str, path: str) -> None:
    """Write a wave as a file whose ending says what it is: .svg, .png or .csv."""
    drawn = picture_of(found, title)
    ending = path.lower().rpartition(".")[2]
    if ending == "svg":
        write_file(path, svg(drawn))
    elif ending == "png":
        write_file(path, png(drawn))
    elif ending == "csv":
        write_file(path, csv_text(drawn))
    else:
        raise BadReading(f"{path}: a wave can be written as .svg, .png or .csv. Give the file one of these endings.")


def wave_text(found: Wave, title: str, width: int, *, colour: bool) -> str:
    """The wave for a terminal."""
    return terminal_text(picture_of(found, title), width, colour=colour)


def as_document(found: Wave) -> dict[str, Any]:
    """The wave for other programs: moments, and every trace by panel and name."""
    traces = [{"panel": each.panel, "name": each.name, "values": each.values.tolist()} for each in found.traces]
    return {"time_s": found.time_s.tolist(), "traces": traces}
