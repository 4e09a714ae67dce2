"""
The track of a GPX 1.1 file as road speed: points are read without keeping the file, and end here.

A document type or an entity is refused before anything is parsed; nesting and length are held to what a track needs.
"""

import datetime
import re
from dataclasses import dataclass, field
from xml.etree import ElementTree

import numpy as np

from ampwright.electrics.arrays import BoolArray, FloatArray
from ampwright.errors import BadRecord, Fault
from ampwright.operation.trace import FASTEST_M_S, SILENT_S, STANDING_M_S
from ampwright.storage.archive import refused

#: Mean radius of the earth, (2 a + b) / 3 of the ellipsoid that positions refer to (WGS 84).
EARTH_RADIUS_m = 6_371_008.8
#: Speed is what was covered in so long about a second: positions are good to metres, not to decimetres. Assumed.
SMOOTHED_OVER_s = 5.0
#: A recording in which more than one point of so many is out of place is not to be believed. Assumed.
MOST_ASTRAY = 20
#: Points further apart than this lose starts and stops.
SPARSE_s = 5.0
_MOST_DEPTH, _LONGEST_TIME, _MOST_TOLD = 30, 64, 10
# What begins a document type, an entity or any other declaration; comments and plain text sections are let through.
_DECLARATION = re.compile(r"<!(?!--|\[CDATA\[)")


@dataclass(frozen=True)
class TrackPoints:
    """Points of a track in order: seconds after the first, degrees north and east; and notes on those left out."""

    time_s: FloatArray
    latitude_deg: FloatArray
    longitude_deg: FloatArray
    notes: tuple[str, ...]


def track_points(text: str, filename: str, most_points: int) -> TrackPoints:
    """The points of a GPX file that have a place and a time, in one line of time; all faults at once."""
    if _DECLARATION.search(text):
        raise refused(filename, "declares a document type or an entity, which no track needs. Export it again as GPX.")
    reader = _Reader(filename, most_points)
    parser = ElementTree.XMLParser(target=reader)
    try:
        # Given as text, it is read as text, whatever code the file says it is in.
        parser.feed(text)
        parser.close()
    except ElementTree.ParseError as fault:
        line = fault.position[0]
        raise refused(filename, f"is broken in line {line}: it is no whole XML. Export it again as GPX.") from None
    return _ordered(reader, filename)


def great_circle_m(latitude_deg: FloatArray, longitude_deg: FloatArray) -> FloatArray:
    """
    Distance from each point to the next along the sphere, by the haversine. [m]

    Up to 0.6 % off: the earth is flatter at the poles.
    """
    north, east = np.radians(latitude_deg), np.radians(longitude_deg)
    across = np.cos(north[:-1]) * np.cos(north[1:]) * np.sin(np.diff(east) / 2.0) ** 2
    haversine = np.sin(np.diff(north) / 2.0) ** 2 + across
    distance_m: FloatArray = 2.0 * EARTH_RADIUS_m * np.arcsin(np.sqrt(np.clip(haversine, 0.0, 1.0)))
    return distance_m


def track_speeds(points: TrackPoints, filename: str) -> tuple[FloatArray, FloatArray, tuple[str, ...]]:
    """Seconds from 0 on, road speed at each [m/s], and notes; lone points that are far off are left out."""
    kept, notes = _without_jumps(points, filename)
    time_s = kept.time_s - kept.time_s[0]
    along_m = np.concatenate([[0.0], np.cumsum(great_circle_m(kept.latitude_deg, kept.longitude_deg))])
    seconds = np.arange(int(time_s[-1]) + 1, dtype=float)
    begin_s = np.maximum(seconds - SMOOTHED_OVER_s / 2.0, 0.0)
    end_s = np.minimum(seconds + SMOOTHED_OVER_s / 2.0, time_s[-1])
    covered_m = np.interp(end_s, time_s, along_m) - np.interp(begin_s, time_s, along_m)
    speed_m_s = covered_m / (end_s - begin_s)
    # A position that wanders by a few decimetres a second is a bike that stands.
    standing = speed_m_s < STANDING_M_S
    return seconds, np.where(standing, 0.0, speed_m_s), (*points.notes, *notes, *_notes_on_gaps(time_s, along_m))


@dataclass
class _Reader:
    """Takes in elements as they are met, and keeps of a track point its place and its time."""

    filename: str
    most_points: int
    path: list[str] = field(default_factory=list)
    points: list[tuple[int, float, float, datetime.datetime]] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    number: int = 0
    without_time: int = 0
    place: tuple[float, float] | None = None
    said: str | None = None

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """Note where an element begins."""
        name = tag.rpartition("}")[2]
        if not self.path and name != "gpx":
            raise refused(self.filename, f"holds <{name[:40]}>, not a GPX track. Export it as GPX 1.1, or as CSV.")
        if len(self.path) >= _MOST_DEPTH:
            raise refused(self.filename, "is nested deeper than any track. Export it again as GPX.")
        if name == "trkpt":
            self.number += 1
            self.said, self.place = None, self._place(attributes)
            if self.number > self.most_points:
                raise refused(self.filename, f"holds more than {self.most_points:,} points. Send one ride at a time.")
        elif name == "time" and self.path[-1:] == ["trkpt"]:
            self.said = ""
        self.path.append(name)

    def data(self, text: str) -> None:
        """Take in text, of the time of a point alone."""
        if self.said is not None and self.path[-2:] == ["trkpt", "time"] and len(self.said) < _LONGEST_TIME:
            self.said += text[:_LONGEST_TIME]

    def end(self, tag: str) -> None:
        """Keep a point that is whole."""
        if self.path.pop() != "trkpt" or self.place is None:
            return
        if self.said is None or not self.said.strip():
            self.without_time += 1
        elif (moment := _moment(self.said)) is None:
            sentence = (
                f"{self.said.strip()[:40]!r} is no time. Export it again, with times such as 2026-03-14T09:30:00Z."
            )
            self.faults.append(Fault(f"point {self.number}", sentence))
        else:
            self.points.append((self.number, *self.place, moment))

    def close(self) -> None:
        """Nothing is left to do at the end of the file."""

    def _place(self, attributes: dict[str, str]) -> tuple[float, float] | None:
        try:
            place = float(attributes["lat"]), float(attributes["lon"])
        except (KeyError, ValueError):
            place = (np.nan, np.nan)
        if abs(place[0]) <= 90.0 and abs(place[1]) <= 180.0:
            return place
        # What was given is a place, or was meant as one; it is not said again.
        sentence = "lat and lon are not degrees of a place on the earth. Take it out, or export it again."
        self.faults.append(Fault(f"point {self.number}", sentence))
        return None


def _moment(text: str) -> datetime.datetime | None:
    try:
        moment = datetime.datetime.fromisoformat(text.strip())
    except ValueError:
        return None
    # A time without its zone is taken as one more of the same zone; only differences count.
    return moment if moment.tzinfo is not None else moment.replace(tzinfo=datetime.UTC)


def _ordered(reader: _Reader, filename: str) -> TrackPoints:
    faults = list(reader.faults)
    if reader.number == 0:
        raise refused(filename, "holds no track: there is no point in it. Record a track, not a route or a place.")
    if reader.without_time == reader.number:
        raise refused(filename, "holds a track without times, so it tells no speed. Export it with times.")
    found = [
        (number, (moment - reader.points[0][3]).total_seconds(), north, east)
        for number, north, east, moment in reader.points
    ]
    kept: list[tuple[int, float, float, float]] = []
    for point in found:
        if kept and point[1] < kept[-1][1]:
            sentence = f"time runs backwards by {kept[-1][1] - point[1]:g} s. Send one ride at a time, in its order."
            faults.append(Fault(f"point {point[0]}", sentence))
        elif not kept or point[1] > kept[-1][1]:
            kept.append(point)
    if faults:
        more = len(faults) - _MOST_TOLD
        also = [Fault("the file", f"has {more} more faults like these.")] if more > 0 else []
        raise BadRecord(filename, [*faults[:_MOST_TOLD], *also])
    if len(kept) < 2:
        raise refused(filename, "has under two points with different times. Send the whole track.")
    notes = [] if not reader.without_time else [f"{_points(reader.without_time)} without a time left out."]
    if twice := len(found) - len(kept):
        notes.append(f"{_points(twice)} at a time that was there already left out.")
    _, time_s, north, east = np.array(kept, dtype=float).T
    return TrackPoints(time_s, north, east, tuple(notes))


def _without_jumps(points: TrackPoints, filename: str) -> tuple[TrackPoints, tuple[str, ...]]:
    """Leave out lone points that nobody could have come to and from; refuse what is still too fast."""
    time_s, north, east = points.time_s, points.latitude_deg, points.longitude_deg
    fast = _too_fast(points)
    if not fast.any():
        return points, ()
    # Out of reach from both sides; the first and the last point from the one side they have.
    within = fast[:-1] & fast[1:]
    begins, ends = fast[0] and not within[:1].any(), fast[-1] and not within[-1:].any()
    astray = np.concatenate([[begins], within, [ends]])
    count, stays = int(np.count_nonzero(astray)), ~astray
    kept = TrackPoints(time_s[stays], north[stays], east[stays], points.notes)
    if count * MOST_ASTRAY > time_s.size or _too_fast(kept).any():
        first_s = time_s[int(np.argmax(fast))]
        sentence = (
            f"moves faster than {FASTEST_M_S:g} m/s from {first_s:g} s on, and not at a lone point. Cut that part out,"
            " or record it again."
        )
        raise refused(filename, sentence)
    return kept, (f"{_points(count)} that nobody can have ridden to left out.",)


def _too_fast(points: TrackPoints) -> BoolArray:
    """Which steps from point to point are faster than any motorcycle."""
    steps_m = great_circle_m(points.latitude_deg, points.longitude_deg)
    fast: BoolArray = steps_m > FASTEST_M_S * np.diff(points.time_s)
    return fast


def _notes_on_gaps(time_s: FloatArray, along_m: FloatArray) -> tuple[str, ...]:
    steps_s, steps_m = np.diff(time_s), np.diff(along_m)
    silent = steps_s > SILENT_S
    stood = silent & (steps_m < STANDING_M_S * steps_s)
    lost = silent & ~stood
    notes = []
    if stood.any():
        notes.append(f"Standing where the recorder paused: {_times(stood)}, {steps_s[stood].sum():.0f} s together.")
    if lost.any():
        notes.append(
            f"Taken at one speed where points are missing: {_times(lost)}, {steps_s[lost].sum():.0f} s together."
        )
    if (middle_s := float(np.median(steps_s))) > SPARSE_s:
        notes.append(f"Points are mostly {middle_s:.0f} s apart: shorter stops are lost.")
    return tuple(notes)


def _times(which: BoolArray) -> str:
    count = int(np.count_nonzero(which))
    return "once" if count == 1 else f"{count} times"


def _points(count: int) -> str:
    return "1 point" if count == 1 else f"{count} points"
