"""The papers of the loom: fitting steps, wiring, and the pick list of the change, and how their templates take them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ampwright.documents.sheets import JobLines
from ampwright.documents.wiring_picture import picture_svg
from ampwright.wiring.changed_parts import Marks
from ampwright.wiring.drawn_shapes import Drawing
from ampwright.wiring.edits import Step
from ampwright.wiring.lists import CutLength, FromTo, cut_list, from_to
from ampwright.wiring.loom import Loom
from ampwright.wiring.rules import check
from ampwright.wiring.sized import SizedFuse, Sizing

_STAYS = "stays"
# What a rule's colour means to somebody who sees none.
_SEVERITIES = {"red": "Put right", "amber": "Look at it"}
# The step after which the bike runs; what is read there goes into a table.
_READS_VOLTS = "start and read"
# The longest first; where none brings it on one page, it runs on.
_PICK_SIZES_pt = (8.6, 8.2, 7.8, 7.4)
_OPENS_ENGINE = "primary case"


@dataclass(frozen=True)
class StepsSheet:
    """
    The steps of a change for whoever does it.

    ``not_yet`` is what is settled before anything is touched, ``about`` which bike and which parts it was drawn up for,
    ``warm`` what takes the heat of regulating once it is done.
    """

    job: JobLines
    not_yet: str
    earth_line: str
    about: tuple[str, ...]
    steps: tuple[Step, ...]
    cautions: tuple[str, ...]
    assumed: tuple[str, ...] = ()
    warm: str = ""


@dataclass(frozen=True, eq=False)
class LoomSide:
    """One loom under the name of its page, drawn, its wires and fuses sized, with what comes off it or is new on it."""

    name: str
    loom: Loom
    drawing: Drawing
    sizing: Sizing
    marks: Marks


@dataclass(frozen=True, eq=False)
class WiringSheet:
    """The loom as it is and as it will be, each drawn on a page of its own, with the lists of the second."""

    job: JobLines
    not_yet: str
    earth_line: str
    before: LoomSide
    after: LoomSide
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    assumed: tuple[str, ...] = ()


@dataclass(frozen=True)
class PickLine:
    """So much of one thing to pick; ``each`` is empty where it has no price, ``stock`` where it is not counted."""

    code: str
    words: str
    quantity: str
    each: str
    stock: str


@dataclass(frozen=True)
class PartsSheet:
    """All that a change takes from the shelf: parts, cable by colour, small parts, under a heading each."""

    job: JobLines
    not_yet: str
    earth_line: str
    about: tuple[str, ...]
    currency: str
    tax: str
    groups: tuple[tuple[str, tuple[PickLine, ...]], ...]
    see_that: tuple[str, ...]
    cautions: tuple[str, ...]


LoomPaper = StepsSheet | WiringSheet | PartsSheet


def loom_set(sheet: LoomPaper, picture: str) -> dict[str, Any]:
    """A paper of the loom as its template takes it; the files of its drawings begin with ``picture``."""
    if isinstance(sheet, StepsSheet):
        return _shared(sheet) | _steps(sheet)
    if isinstance(sheet, WiringSheet):
        return _shared(sheet) | _wiring(sheet, picture)
    return _shared(sheet) | _parts(sheet)


def drawings_of(sheet: object, picture: str) -> Mapping[str, str]:
    """The drawings of a paper as SVG by the names of their files; none but of the wiring."""
    if not isinstance(sheet, WiringSheet):
        return {}
    sides = (sheet.before, sheet.after)
    return {_file(picture, place): picture_svg(side.drawing) for place, side in enumerate(sides)}


def _file(picture: str, place: int) -> str:
    return f"{picture}-{place}.svg"


def _shared(sheet: LoomPaper) -> dict[str, Any]:
    return {
        "heading": sheet.job.title,
        "not_yet": sheet.not_yet,
        "earth_line": sheet.earth_line,
        "cautions": sheet.cautions,
    }


# --- fitting steps ---------------------------------------------------------------------------------------------------


def _steps(sheet: StepsSheet) -> dict[str, Any]:
    return {
        "kind": "steps",
        "about": sheet.about,
        "assumed": sheet.assumed,
        "warm": sheet.warm,
        "steps": [_step(step) for step in sheet.steps],
    }


def _step(step: Step) -> dict[str, Any]:
    return {
        "number": step.number,
        "say": step.say,
        "why": step.why,
        "opens": "" if step.opens == "nothing" else step.opens,
        "lines": step.lines,
        "cautions": step.cautions,
        "check": step.check,
        "reads_volts": step.name == _READS_VOLTS,
        "torque": _has_torque(step),
    }


def _has_torque(step: Step) -> bool:
    """Whether a nut is tightened to a figure that only that engine's manual has."""
    return step.opens == _OPENS_ENGINE or "torque" in f"{step.say} {step.why}".lower()


# --- wiring ----------------------------------------------------------------------------------------------------------


def _wiring(sheet: WiringSheet, picture: str) -> dict[str, Any]:
    before, after = sheet.before, sheet.after
    return {
        "kind": "wiring",
        "drawings": [
            {"name": side.name, "file": _file(picture, place), "words": side.drawing.description}
            for place, side in enumerate((before, after))
        ],
        "wires": _wires(after),
        "comes_off": [row for row in _wires(before) if row["state"] != _STAYS],
        "fuses": [_fuse(one) for one in after.sizing.fuses],
        "cut": [_cut(one) for one in cut_list(after.loom)],
        "found": [{"name": side.name, "faults": faults} for side in (before, after) if (faults := _faults(side))],
        "notes": sheet.notes,
        "assumed": sheet.assumed,
    }


def _wires(side: LoomSide) -> list[dict[str, Any]]:
    wires = {number: wire for wire, number in side.loom.numbers.items()}
    return [_wire(row, side.marks.wires.get(wires[row.number], "") or _STAYS) for row in from_to(side.loom)]


def _wire(row: FromTo, state: str) -> dict[str, Any]:
    return {
        "number": row.number,
        "start": row.start,
        "end": row.end,
        "letters": row.colour,
        "colour": row.colour_name,
        "conductor": row.conductor,
        "length": "" if row.length_m is None else f"{row.length_m:.2f}",
        "joints": row.joints,
        "state": state,
        "age": row.state,
    }


def _fuse(one: SizedFuse) -> dict[str, str]:
    rated = "not sized" if one.rated_A is None else f"{one.rated_A:g} A"
    return {"name": one.component.name, "rated": rated, "lasting": f"{one.lasting_A:.1f} A", "wrong": one.sentence}


def _cut(one: CutLength) -> dict[str, str]:
    pieces = [f"{number}: {length:.2f}" for number, length in zip(one.numbers, one.lengths_m, strict=True)]
    return {
        "conductor": one.conductor,
        "letters": one.colour,
        "colour": one.colour_name,
        "pieces": "; ".join(pieces),
        "total": f"{one.total_m:.2f}",
    }


def _faults(side: LoomSide) -> list[dict[str, str]]:
    """What the rules find, then what is wrong with a wire for its size."""
    numbers = side.loom.numbers
    faults = [{"severity": _SEVERITIES[one.severity], "sentence": one.sentence} for one in check(side.loom)]
    for one in side.sizing.wires:
        if one.sentence and one.wire in numbers:
            faults.append({"severity": _SEVERITIES["amber"], "sentence": f"Wire {numbers[one.wire]}: {one.sentence}"})
    return faults


# --- pick list -------------------------------------------------------------------------------------------------------


def _parts(sheet: PartsSheet) -> dict[str, Any]:
    return {
        "kind": "parts",
        "sizes": _PICK_SIZES_pt,
        "about": sheet.about,
        "currency": sheet.currency,
        "tax": sheet.tax,
        "groups": [{"heading": heading, "lines": [vars(line) for line in lines]} for heading, lines in sheet.groups],
        "see_that": sheet.see_that,
    }
