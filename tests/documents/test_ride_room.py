"""Words of a picture of a ride find room at every width, in a drawing and in a terminal."""

import re
from dataclasses import replace
from itertools import combinations

import pytest
from drawn_rides import RIDE, wavy

from ampwright.documents.layout import in_rows, text_width, thinned
from ampwright.documents.ride_picture import RideLine, RidePanel, RidePicture, terminal_text, vega_spec
from ampwright.documents.ride_sheet import sheet_for

WIDTHS = pytest.mark.parametrize("width_px", [760, 360, 340])


# --- room ------------------------------------------------------------------------------------------------------------


@WIDTHS
def test_words_stay_inside_the_drawing_and_off_each_other(width_px: int) -> None:
    sheet = sheet_for(RIDE, width_px)
    for room in sheet.rooms:
        boxes = [words.box() for words in room.limits]
        assert all(a.apart(b) >= 0.0 for a, b in combinations(boxes, 2))
        for box in boxes:
            assert box.left >= 0.0
            assert box.right <= sheet.plot_width
            assert room.plot.top <= box.top
            assert box.bottom <= room.plot.bottom
        for words in room.heading:
            assert words.x + max(text_width(row, 12) for row in words.text) <= sheet.plot_width + 16
        for above, beside in combinations(room.heading, 2):
            assert above.y != beside.y or above.x != beside.x
    marks = [mark.words.box() for mark in sheet.marks]
    assert all(a.apart(b) >= 0.0 for a, b in combinations(marks, 2))
    assert all(box.left >= 0.0 and box.right <= sheet.plot_width + 16 for box in marks)
    assert all(box.bottom <= sheet.rooms[0].plot.top for box in marks)


@WIDTHS
def test_words_of_limits_that_lie_close_keep_apart(width_px: int) -> None:
    close = tuple((f"limit number {k}", 80.0 + k) for k in range(4))
    panel = RidePanel("temperature, °C", (RideLine("box", wavy(60.0, 20.0, RIDE.time_min)),), close)
    (room,) = sheet_for(replace(RIDE, panels=(panel,)), width_px).rooms
    assert all(a.box().apart(b.box()) >= 0.0 for a, b in combinations(room.limits, 2))


@WIDTHS
def test_long_names_and_many_marks_find_room(width_px: int) -> None:
    long = RideLine("lamps and ignition and all else that hangs on the switch " * 2, RIDE.time_min)
    busy = replace(
        RIDE,
        panels=(RidePanel("amps", (long, long)), *RIDE.panels[1:]),
        marks=tuple((float(k), f"mark number {k} of ten") for k in range(0, 95, 10)),
    )
    sheet = sheet_for(busy, width_px)
    heading = sheet.rooms[0].heading
    lowest = max(words.y + 17 * (len(words.text) - 1) for words in heading)
    highest = min(mark.words.y for mark in sheet.marks)
    # the layout: words of marks stand between heading and plot
    assert lowest < highest < sheet.rooms[0].plot.top
    assert all(words.x + max(text_width(row, 12) for row in words.text) <= width_px - sheet.left for words in heading)
    boxes = [mark.words.box() for mark in sheet.marks]
    assert all(a.apart(b) >= 0.0 for a, b in combinations(boxes, 2))


def test_a_mark_has_its_rule_in_every_panel() -> None:
    spec = vega_spec(RIDE)
    rules = spec["datasets"]["rules"]
    assert len(rules) == len(RIDE.marks) * len(RIDE.panels)
    for moment, _ in RIDE.marks:
        own = [rule for rule in rules if rule["time_min"] == moment]
        for rule, layer in zip(own, [layer for layer in spec["layer"] if "layer" in layer], strict=True):
            bottom, top = layer["layer"][0]["encoding"]["y"]["scale"]["range"]
            # the layout: from the words over the first plot, else from the upper edge, down to the lower one
            assert rule["bottom"] == bottom
            assert rule["top"] <= top


def test_things_are_set_in_rows_no_wider_than_the_room() -> None:
    # by hand: 40 + 10 + 50 fill the row of 100; the next begins a row; one that is too wide has a row of its own
    assert in_rows([40.0, 50.0, 20.0, 300.0], 100.0, 10.0) == [(0.0, 0), (50.0, 0), (0.0, 1), (0.0, 2)]


def test_thinning_keeps_the_extremes_and_never_more_than_asked() -> None:
    # by hand: as few as asked for are all kept
    assert thinned([[1.0, 2.0, 3.0]], 3) == [0, 1, 2]
    line = [float((37 * k) % 1000) for k in range(1000)]
    for most in (20, 100, 333, 999):
        kept = thinned([line], most)
        assert len(kept) <= most
        assert {0, 999, line.index(0.0), line.index(999.0)} <= set(kept)


# --- text ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("width", [120, 80, 60, 40, 10])
def test_the_text_keeps_its_width_and_names_every_line_without_colour(width: int) -> None:
    text = terminal_text(RIDE, width, colour=False)
    assert "\x1b" not in text
    # the rule: under 40 columns it is laid out for 40
    assert max(map(len, text.splitlines())) <= max(width, 40)
    said = " ".join(text.split())
    for panel in RIDE.panels:
        assert panel.title_with_unit in said
        assert all(f"{letter} {line.name}" in said for letter, line in panel.lettered() if line.name)
    for words in ("- starts poorly below, 40", ": at 57 min: engine stopped", "Below: time, minutes.", *RIDE.notes):
        assert words in said


def test_every_sign_of_the_text_is_one_of_a_plain_terminal_and_one_column_wide() -> None:
    # IBM code page 437, one byte a sign: frames and the degree are in it
    assert len(terminal_text(RIDE, 80, colour=False).encode("cp437")) == len(terminal_text(RIDE, 80, colour=False))


def test_plots_of_the_text_stand_exactly_below_each_other(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "30")
    monkeypatch.setenv("LINES", "5")
    rows = terminal_text(RIDE, 80, colour=False).splitlines()
    corners = [row.index("┌") for row in rows if "┌" in row]
    # the picture: one plot a panel, all of one width
    assert corners == [corners[0]] * len(RIDE.panels)
    assert {len(row) for row in rows if "┌" in row} == {80}


def test_colour_adds_nothing_but_colour() -> None:
    coloured = terminal_text(RIDE, 100, colour=True)
    assert "\x1b[" in coloured
    bare = [re.sub(r"\x1b\[[0-9;]*m", "", line).rstrip() for line in coloured.splitlines()]
    assert bare == terminal_text(RIDE, 100, colour=False).splitlines()


def test_the_text_puts_line_limit_and_moment_where_their_numbers_are() -> None:
    time = (0.0, 50.0, 100.0)
    lines = (RideLine("up", (10.0, 10.0, 10.0)), RideLine("down", (0.0, 0.0, 0.0)))
    picture = RidePicture("t", time, (RidePanel("amps", lines, (("limit", 5.0),), 0.0, 10.0),), ((50.0, "half way"),))
    rows = [row for row in terminal_text(picture, 80, colour=False).splitlines() if row.endswith("│")]
    # by hand: the upper end of the scale, its lower end, its middle; the middle of the time
    assert "AAAA" in rows[0]
    assert "BBBB" in rows[-1]
    assert "----" in rows[len(rows) // 2]
    left = rows[1].index(next(edge for edge in rows[1] if edge in "│┤"))
    middle = (left + 1 + len(rows[1]) - 2) / 2
    # one column is what a grid of letters can show
    assert rows[1].index(":") == pytest.approx(middle, abs=1.0)
