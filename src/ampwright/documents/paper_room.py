"""
How much of a paper goes on its page: the same sheet in several lengths, the longest first.

The template measures them and takes the first that fits. Of a list the last may be left out, and a long text may be
cut; then a sentence says where the rest is. Never cut are what stops a job, the cautions, how a check is done safely,
and a condition: where there is no room for all conditions of a part, none stands there, and the part is not fitted
before all were heard.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from ampwright.documents.sheets import (
    AnswerSheet,
    CheckCard,
    NormalCard,
    OfferedPart,
    PickSlip,
    Price,
    Sheet,
    Step,
    Told,
)
from ampwright.terms import Verdict

_Row = TypeVar("_Row")

_MARKS = {Verdict.FITS: "fits", Verdict.FITS_IF: "fits-if", Verdict.CANT_SAY: "cant-say", Verdict.DONT_FIT: "dont-fit"}


@dataclass(frozen=True)
class Room:
    """What one length of a sheet holds: the size of its letters, letters in a text, and rows of each list."""

    size_pt: float
    letters: int
    told: int
    offered: int
    conditions: int
    kept_off: int
    charges: int
    lines: int
    steps: int
    chart: bool


_ANSWER = (
    Room(8.6, 600, 16, 3, 8, 3, 4, 8, 6, True),
    Room(8.0, 600, 16, 3, 8, 3, 4, 8, 6, True),
    Room(7.5, 600, 16, 3, 8, 3, 4, 8, 6, True),
    Room(8.6, 600, 16, 3, 8, 3, 4, 8, 6, False),
    Room(8.2, 600, 16, 3, 8, 3, 4, 8, 6, False),
    Room(7.8, 600, 16, 3, 8, 3, 4, 8, 6, False),
    Room(7.5, 300, 16, 3, 8, 3, 4, 8, 4, False),
    Room(7.5, 240, 14, 2, 8, 3, 3, 5, 3, False),
    Room(7.2, 160, 12, 1, 6, 3, 2, 4, 2, False),
    Room(7.0, 100, 8, 1, 0, 2, 2, 3, 1, False),
    Room(6.4, 50, 4, 1, 0, 1, 1, 1, 1, False),
)
# A slip may go on to a second page, so that only what nobody would read is cut.
_PICK = tuple(Room(size_pt, 1200, 40, 12, 40, 30, 0, 20, 0, False) for size_pt in (8.6, 8.2, 7.8, 7.4))
# No condition of ours is nearly so long; one that is goes on no page.
_LONGEST_CONDITION = 400
_CARD_SIZES_pt = (9.0, 8.4, 7.8, 7.2, 6.8)
# A card of postcard size: size of its letters, letters of its title, things assumed, letters of a line.
_NORMAL = (
    (8.4, 120, 12, 900),
    (8.0, 120, 12, 900),
    (7.6, 120, 12, 900),
    (7.3, 90, 12, 900),
    (7.0, 90, 12, 900),
    (7.0, 60, 6, 900),
    (7.0, 60, 4, 900),
    (7.0, 40, 2, 900),
    (7.0, 40, 1, 900),
    (7.0, 40, 0, 900),
    (7.0, 40, 0, 300),
    (7.0, 40, 0, 150),
)


class _Cutter:
    """Cuts lists and texts to a room, and remembers whether it had to."""

    def __init__(self, room: Room) -> None:
        self.room = room
        self.has_cut = False

    def text(self, text: str) -> str:
        """A text of at most so many letters, cut between words."""
        most = self.room.letters
        self.has_cut = self.has_cut or len(text) > most
        return _cut(text, most)

    def rows(self, rows: Sequence[_Row], most: int) -> Sequence[_Row]:
        """At most so many rows of a list."""
        self.has_cut = self.has_cut or len(rows) > most
        return rows[:most]

    def lines(self, lines: Sequence[str]) -> list[str]:
        """At most so many sentences, each cut."""
        return [self.text(line) for line in self.rows(lines, self.room.lines)]

    def told(self, rows: Sequence[Told]) -> list[dict[str, str]]:
        """What was told, a row each."""
        return [
            {"what": row.what, "answer": self.text(row.answer), "source": row.source, "note": self.text(row.note)}
            for row in self.rows(rows, self.room.told)
        ]

    def offered(self, parts: Sequence[OfferedPart]) -> dict[str, Any]:
        """The parts to fit, each with all of its conditions or with none; what all of them ask for stands once."""
        rows = self.rows(parts, self.room.offered)
        shared = rows[0].see_that if len(rows) > 1 and len({row.see_that for row in rows}) == 1 else ()
        own = [() if shared else self._conditions(row.see_that) for row in rows]
        return {
            "fit": [self._offered(row, see_that) for row, see_that in zip(rows, own, strict=True)],
            "see_to_all": self._conditions(shared),
        }

    def _conditions(self, see_that: Sequence[str]) -> Sequence[str]:
        if len(see_that) <= self.room.conditions and all(len(text) <= _LONGEST_CONDITION for text in see_that):
            return see_that
        self.has_cut = True
        many = len(see_that)
        return [f"Fit nothing before you rang: {many} {'condition' if many == 1 else 'conditions'} to hear first."]

    def _offered(self, row: OfferedPart, see_that: Sequence[str]) -> dict[str, Any]:
        return {
            "code": row.code,
            "name": self.text(row.name),
            "mark": _MARKS[row.verdict],
            "quantity": row.quantity,
            "price": _price(row.price),
            "stock": row.stock,
            "see_that": see_that,
        }


def _cut(text: str, most: int) -> str:
    """A text of at most so many letters, cut between words."""
    if len(text) <= most:
        return text
    whole = text[:most].rpartition(" ")[0] or text[:most]
    return f"{whole} …"


def versions(sheet: Sheet, chart: str) -> dict[str, Any]:
    """The kind of a sheet and its lengths, as the template takes them; ``chart`` names the chart's file."""
    if isinstance(sheet, AnswerSheet):
        return {"kind": "answer", "versions": [_answer(sheet, room, chart) for room in _ANSWER]}
    if isinstance(sheet, PickSlip):
        return {"kind": "pick", "versions": [_pick(sheet, room) for room in _PICK]}
    if isinstance(sheet, NormalCard):
        return {"kind": "normal", "versions": [_normal(sheet, *room) for room in _NORMAL]}
    return {"kind": "check", "cards": _cards(sheet)}


def _answer(sheet: AnswerSheet, room: Room, chart: str) -> dict[str, Any]:
    if sheet.stop:  # nothing may draw the eye from it
        sheet = AnswerSheet(sheet.job, sheet.told, sheet.cautions, sheet.stop)
    cut = _Cutter(room)
    held: dict[str, Any] = {
        "size": room.size_pt,
        "heading": cut.text(sheet.job.title),
        "stop": sheet.stop,
        "first": sheet.first,
        "told": cut.told(sheet.told),
        "what_it_is": cut.lines(sheet.what_it_is),
        "fit_words": cut.text(sheet.fit_words),
        **cut.offered(sheet.fit),
        "prices": vars(sheet.prices),
        "keep_off": _kept_off(sheet, cut),
        "charges": [
            {name: cut.text(text) for name, text in vars(row).items()} for row in cut.rows(sheet.charges, room.charges)
        ],
        "chart": chart if room.chart and sheet.chart_svg is not None else "",
        "assumed": cut.text("; ".join(sheet.assumed)),
        "steps": [_step(step) for step in cut.rows(sheet.next_check, room.steps)],
        "cautions": sheet.cautions,
        "changes": cut.lines(sheet.changes),
    }
    return held | {"shortened": _shortened(sheet, cut)}


def _pick(sheet: PickSlip, room: Room) -> dict[str, Any]:
    cut = _Cutter(room)
    held = {
        "size": room.size_pt,
        "heading": cut.text(sheet.job.title),
        "told": cut.told(sheet.told),
        "what_it_is": cut.lines(sheet.what_it_is),
        "earth_line": sheet.earth_line,
        "fit_words": sheet.fit_words,
        **cut.offered(sheet.fit),
        "prices": vars(sheet.prices),
        "keep_off": _kept_off(sheet, cut),
        "cautions": sheet.cautions,
    }
    return held | {"shortened": _shortened(sheet, cut)}


def _kept_off(sheet: AnswerSheet | PickSlip, cut: _Cutter) -> list[dict[str, str]]:
    rows = cut.rows(sheet.keep_off, cut.room.kept_off)
    return [{"code": row.code, "name": cut.text(row.name), "reason": cut.text(row.reason)} for row in rows]


def _shortened(sheet: AnswerSheet | PickSlip, cut: _Cutter) -> str:
    if not cut.has_cut:
        return ""
    return f"Shortened to fit: the rest stands in the answer of job {sheet.job.number} at the counter."


def _cards(sheet: CheckCard) -> list[dict[str, Any]]:
    """A card a check; each is set in the first size of letters that fits a quarter of the page."""
    shared = {"first": sheet.first, "cautions": sheet.cautions, "call_back": sheet.call_back}
    many = len(sheet.steps)
    return [
        {"place": f"Check {place} of {many}", "sizes": _CARD_SIZES_pt, **_step(step), **shared}
        for place, step in enumerate(sheet.steps, 1)
    ]


def _normal(sheet: NormalCard, size_pt: float, title: int, assumed: int, line: int) -> dict[str, Any]:
    """One length of the owner's card; when to come back and the cautions are in each of them whole."""
    left = len(sheet.assumed) - assumed
    more = (f"{left} {'more' if assumed else 'things'}, which we can tell",) if left > 0 else ()
    return {
        "size": size_pt,
        "heading": _cut(sheet.job.title, title),
        "lines": [{"name": row.name, "text": _cut(row.text, line)} for row in sheet.lines],
        "come_back": sheet.come_back,
        "cautions": sheet.cautions,
        "assumed": "; ".join((*sheet.assumed[:assumed], *more)),
        "based_on": sheet.based_on,
    }


def _step(step: Step) -> Mapping[str, Any]:
    return vars(step)


def _price(price: Price) -> dict[str, str]:
    """Two digits behind the point, as money is written; empty where it is not known."""
    return {name: "" if amount is None else f"{amount:.2f}" for name, amount in vars(price).items()}
