"""
Room for the balance chart: how large, where the names go, and the rows it is drawn from.

Sizes and margins are fixed numbers of px, so the outer size is known before
anything is drawn.
"""

from dataclasses import dataclass
from typing import Any

from ampwright.documents.balance_picture import (
    BalancePicture,
    current_limits_A,
    demands,
    lettered,
    road_speed_marks,
    usual_speeds_rpm,
)
from ampwright.documents.layout import broken, spread_apart
from ampwright.documents.look import LINE_px, NARROW_BELOW_px, TITLE_LINE_px, title_size_px

Row = dict[str, Any]

AXIS_px = 40
# From the plot up to the title: two rows of words, then this much air.
WORDS_ABOVE_px = 38
TITLE_GAP_px = 12


@dataclass(frozen=True)
class Sheet:
    """Where things go: the plot's size and the margins around it, in px."""

    plot_width: int
    plot_height: int
    left: int
    right: int
    top: int
    bottom: int
    narrow: bool
    title: list[str]
    notes: list[str]
    key: list[tuple[str, list[str]]]


def sheet_for(picture: BalancePicture, width_px: int, plot_height_px: int | None = None) -> Sheet:
    """Share out a width between margins and plot, and find the height from what must be written."""
    narrow = width_px < NARROW_BELOW_px
    left, right = (34, 72) if narrow else (46, 196)
    title = broken(picture.title, width_px - 24, title_size_px(narrow=narrow))
    notes = [line for note in picture.notes for line in broken(note, width_px - 24, 12)]
    axes_px = AXIS_px * (2 if road_speed_marks(picture, 4) else 1)
    key = _key(picture, width_px) if narrow else []
    key_px = 8 + LINE_px * sum(len(lines) for _, lines in key) if key else 0
    return Sheet(
        plot_width=width_px - left - right,
        plot_height=plot_height_px or (260 if narrow else 320),
        left=left,
        right=right,
        top=12 + TITLE_LINE_px * len(title) + LINE_px * len(notes) + WORDS_ABOVE_px + TITLE_GAP_px,
        bottom=axes_px + key_px + 10,
        narrow=narrow,
        title=title,
        notes=notes,
        key=key,
    )


def _key(picture: BalancePicture, width_px: int) -> list[tuple[str, list[str]]]:
    named = [(letter, output.label) for letter, output in lettered(picture)]
    entries = [*named, ("", "Lights on, lights off: what the bike draws.")]
    return [(letter, broken(text, width_px - 60, 12)) for letter, text in entries]


def datasets(picture: BalancePicture, sheet: Sheet) -> dict[str, list[Row]]:
    """The numbers of the picture as they are, and the places of the words."""
    outputs = [
        {"letter": letter, "speed_rpm": rpm, "current_A": current, "low_A": low, "high_A": high}
        for letter, line in lettered(picture)
        for rpm, current, low, high in zip(picture.speed_rpm, line.current_A, line.low_A, line.high_A, strict=True)
    ]
    drawn = [
        {"name": name, "speed_rpm": rpm, "current_A": current}
        for name, values in demands(picture)
        for rpm, current in zip(picture.speed_rpm, values, strict=True)
    ]
    frame = [{"from_rpm": picture.speed_rpm[0], "to_rpm": picture.speed_rpm[-1], "zero_A": 0.0}]
    return {
        "outputs": outputs,
        "demands": drawn,
        "frame": frame,
        "ridden": _ridden(picture, sheet),
        "tags": _tags(picture),
        "ends": _ends(picture, sheet),
        "key": _key_rows(sheet),
    }


def _tags(picture: BalancePicture) -> list[Row]:
    """One point on each line to carry its letter, further right for each so that they do not meet."""
    count = len(picture.speed_rpm)
    rows = []
    for (letter, output), share in zip(lettered(picture), (0.46, 0.60, 0.74), strict=False):
        k = round(share * (count - 1))
        rows.append({"letter": letter, "speed_rpm": picture.speed_rpm[k], "current_A": output.current_A[k]})
    return rows


def _ends(picture: BalancePicture, sheet: Sheet) -> list[Row]:
    """
    The names at the right: first line level with the end of its curve, as far as the others leave room.

    Places are in px from the top of the plot.
    """
    low_A, high_A = current_limits_A(picture)
    named = [(letter, output.label, output.current_A[-1]) for letter, output in lettered(picture)]
    named += [("", f"load, {name}", values[-1]) for name, values in demands(picture)]
    texts = [broken(text, sheet.right - (34 if letter else 18), 12) for letter, text, _ in named]
    if sheet.narrow:  # the letter alone for a generator; the key under the chart says the rest
        texts = [[""] for _ in picture.outputs] + [[name] for name, _ in demands(picture)]
    ends = [sheet.plot_height * (high_A - current) / (high_A - low_A) for _, _, current in named]
    below_first = [LINE_px * (len(lines) - 1) for lines in texts]
    sizes = [LINE_px + 4.0 + more for more in below_first]
    wanted = [end + more / 2 for end, more in zip(ends, below_first, strict=True)]
    middles = spread_apart(wanted, sizes, -10.0, sheet.plot_height + 14.0)
    return [
        {"letter": letter, "text": lines, "end_px": round(end, 2), "label_px": round(middle - more / 2, 2)}
        for (letter, _, _), lines, end, middle, more in zip(named, texts, ends, middles, below_first, strict=True)
    ]


def _ridden(picture: BalancePicture, sheet: Sheet) -> list[Row]:
    ridden = usual_speeds_rpm(picture)
    if ridden is None:
        return []
    px_per_rpm = sheet.plot_width / (picture.speed_rpm[-1] - picture.speed_rpm[0])
    half = 46.0  # px, half of the words above the band
    middle = ((ridden[0] + ridden[1]) / 2 - picture.speed_rpm[0]) * px_per_rpm
    words_px = min(max(middle, half), sheet.plot_width - half)
    return [{"from_rpm": ridden[0], "to_rpm": ridden[1], "words_px": round(words_px, 2)}]


def _key_rows(sheet: Sheet) -> list[Row]:
    rows: list[Row] = []
    lines_so_far = 0
    below_axes = sheet.plot_height + sheet.bottom - 10 - LINE_px * sum(len(lines) for _, lines in sheet.key)
    for letter, lines in sheet.key:
        rows.append({"letter": letter, "text": lines, "row_px": below_axes + LINE_px * lines_so_far + LINE_px / 2})
        lines_so_far += len(lines)
    return rows
