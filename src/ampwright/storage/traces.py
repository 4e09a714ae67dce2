"""
Rides that were recorded: speed against time out of a GPX 1.1 track or a CSV file.

Where somebody rides, and when, is his own affair. Positions and times of day are read to get at the speed and are then
dropped; what is given back is speed against time from 0 on, and nothing else of the file is kept.
"""

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ampwright.electrics.arrays import FloatArray
from ampwright.errors import BadRecord, Fault
from ampwright.operation.trace import FASTEST_M_S, LONGEST_S, M_S_OF, resampled
from ampwright.storage.archive import refused
from ampwright.storage.files import read_bytes
from ampwright.storage.track import track_points, track_speeds

MOST_BYTES = 10_000_000
MOST_POINTS = 200_000
LEAST_S = 30.0
#: As many faults of one file are told; the rest is counted.
MOST_TOLD = 10

_TIME = "time_s"
_SPEEDS = {"speed_m_s": 1.0, "speed_km_h": M_S_OF["km/h"], "speed_mph": M_S_OF["mph"]}
_NUMBER = re.compile(r"[+-]?[0-9]{1,15}(?:[.,][0-9]{0,15})?(?:[eE][+-]?[0-9]{1,2})?")
_LONGEST_SHOWN = 40


@dataclass(frozen=True)
class RecordedTrace:
    """Speed each second from 0 on [s], [m/s], and what was left out or made of the file, in sentences."""

    time_s: FloatArray
    speed_m_s: FloatArray
    notes: tuple[str, ...]


def read_trace(path: str) -> RecordedTrace:
    """Read a recorded ride from a file: GPX 1.1 or CSV. Only speed against time is kept of it."""
    return trace_in(read_bytes(path, MOST_BYTES), path)


def trace_in(data: bytes, filename: str) -> RecordedTrace:
    """
    Read a recorded ride that was sent, by what it holds; the name is only said in what is wrong with it.

    Only speed against time is kept of it: no position, no time of day, no name and no pulse.
    """
    text = _text(data, filename)
    if text.lstrip().startswith("<"):
        points = track_points(text, filename, MOST_POINTS)
        _check_length(points.time_s, filename)
        time_s, speed_m_s, notes = track_speeds(points, filename)
    else:
        time_s, speed_m_s, notes = _columns(text, filename)
        _check_length(time_s, filename)
        trace = resampled(time_s, speed_m_s)
        time_s, speed_m_s = trace.time_s, trace.speed_m_s
    # A centimetre a second is far below what any recorder knows, and keeps a kept ride short.
    return RecordedTrace(time_s, np.round(speed_m_s, 2), notes)


def _text(data: bytes, filename: str) -> str:
    if len(data) > MOST_BYTES:
        raise refused(filename, f"is larger than {MOST_BYTES // 1_000_000} MB. Send one ride at a time.")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        # Only names can hold letters that differ between codes, and names are not read.
        text = data.decode("latin-1")
    if not text.strip():
        raise refused(filename, "is empty. Choose another.")
    if "\0" in text:
        raise refused(filename, "is not text in UTF-8. Send a GPX track, or CSV with a heading line.")
    return text


def _check_length(time_s: FloatArray, filename: str) -> None:
    length_s = float(time_s[-1] - time_s[0])
    if length_s < LEAST_S:
        raise refused(filename, f"covers {length_s:g} s; {LEAST_S:g} s at least. Record a longer ride.")
    if length_s > LONGEST_S:
        raise refused(filename, f"covers {length_s / 3600:.1f} h; 24 h at most. Send one ride at a time.")


# --- columns ---------------------------------------------------------------------------------------------------------


def _columns(text: str, filename: str) -> tuple[FloatArray, FloatArray, tuple[str, ...]]:
    head = next(line for line in text.splitlines() if line.strip())
    separator = next((one for one in ";\t" if one in head), ",")
    rows = _rows(text, separator, filename)
    _, headings = next(rows, (0, []))
    at_time, at_speed, factor, notes = _headed([heading.strip().lower() for heading in headings], filename)
    numbers, faults = [], []
    for count, (line, row) in enumerate(rows):
        if count >= MOST_POINTS:
            raise refused(filename, f"holds more than {MOST_POINTS:,} rows. Send one ride at a time.")
        found = _row(row, (at_time, at_speed), len(headings))
        if isinstance(found, str):
            faults.append(Fault(f"line {line}", found))
            continue
        numbers.append((line, found[0], found[1] * factor))
    faults += _faults_of_rows(numbers)
    if faults:
        raise BadRecord(filename, _first(faults))
    kept = [
        (time, speed)
        for before, (_, time, speed) in zip([None, *numbers], numbers, strict=False)
        if before is None or before[1] < time
    ]
    if len(kept) < 2:
        raise refused(filename, "has under two rows of numbers. Send the whole recording.")
    if len(kept) < len(numbers):
        notes = (*notes, f"{len(numbers) - len(kept)} rows of a time that was there already are left out.")
    time_s, speed_m_s = np.array(kept, dtype=float).T
    return time_s, speed_m_s, notes


def _rows(text: str, separator: str, filename: str) -> Iterator[tuple[int, list[str]]]:
    """Every row that is not blank, with the number of its line."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                yield reader.line_num, row
    except csv.Error as fault:
        raise refused(filename, f"is no CSV: {fault}. Save it again as CSV in UTF-8.") from None


def _headed(headings: list[str], filename: str) -> tuple[int, int, float, tuple[str, ...]]:
    """Where time and speed stand, what a speed is multiplied by, and a note on what is not read."""
    speeds = [heading for heading in headings if heading in _SPEEDS]
    wanted = f"Head one column {_TIME} and one speed_m_s, speed_km_h or speed_mph."
    faults = []
    if headings.count(_TIME) != 1:
        given = "no column is" if _TIME not in headings else f"{headings.count(_TIME)} columns are"
        faults.append(Fault("the heading", f"{given} headed {_TIME}. {wanted}"))
    if len(speeds) != 1:
        given = "no column is headed as a speed" if not speeds else f"speed stands in {len(speeds)} columns"
        faults.append(Fault("the heading", f"{given}. {wanted}"))
    if faults:
        raise BadRecord(filename, faults)
    others = len([heading for heading in headings if heading not in (_TIME, *speeds)])
    notes = () if not others else (f"{others} other column{'s were' if others > 1 else ' was'} not read.",)
    return headings.index(_TIME), headings.index(speeds[0]), _SPEEDS[speeds[0]], notes


def _row(row: list[str], places: tuple[int, int], width: int) -> tuple[float, float] | str:
    """Time and speed of a row, or what is wrong with it."""
    if len(row) > width and any(cell.strip() for cell in row[width:]):
        return f"has {len(row)} cells under {width} headings. With decimal commas, put semicolons between the columns."
    if len(row) <= max(places):
        return f"has {len(row)} cells under {width} headings. Complete it or take it out."
    cells = [row[place].strip() for place in places]
    for cell in cells:
        if _NUMBER.fullmatch(cell) is None:
            shown = repr(cell if len(cell) <= _LONGEST_SHOWN else f"{cell[:_LONGEST_SHOWN]}...")
            return f"{shown} is no number. Write it in digits, such as 12.5."
    time, speed = (float(cell.replace(",", ".")) for cell in cells)
    return time, speed


def _faults_of_rows(numbers: list[tuple[int, float, float]]) -> list[Fault]:
    faults = []
    for (_, before, _), (line, time, _) in pairwise(numbers):
        if time < before:
            sentence = f"time runs backwards, from {before:g} to {time:g} s. Put the rows in order."
            faults.append(Fault(f"line {line}", sentence))
    for line, _, speed in numbers:
        if not 0.0 <= speed <= FASTEST_M_S:
            sentence = f"the speed is {speed:.4g} m/s; from 0 to {FASTEST_M_S:g} m/s can be right. Take the row out."
            faults.append(Fault(f"line {line}", sentence))
    return faults


def _first(faults: list[Fault]) -> list[Fault]:
    """All faults, but for a flood of them, which is counted."""
    if len(faults) <= MOST_TOLD:
        return faults
    return [*faults[:MOST_TOLD], Fault("the file", f"has {len(faults) - MOST_TOLD} more faults like these.")]
