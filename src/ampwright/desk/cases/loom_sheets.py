"""Looms, steps and lists as rows that people read."""

from collections.abc import Sequence

from ampwright.desk.cases.loom_records import (
    BillRow,
    CutRow,
    FateRow,
    FaultLine,
    FuseRow,
    LoomPart,
    LoomSheet,
    StepRow,
    WireRow,
)
from ampwright.wiring.bill import bill_of
from ampwright.wiring.changed_parts import Marks, marks_after, marks_before
from ampwright.wiring.edits import Step
from ampwright.wiring.fate import Fate
from ampwright.wiring.kinds import Kind
from ampwright.wiring.lists import FromTo, cut_list, from_to
from ampwright.wiring.loom import Loom, Wire
from ampwright.wiring.rules import check
from ampwright.wiring.sizing import SizedFuse, SizedWire, Sizing
from ampwright.wiring.wire_words import figure_of

_STAYS = "stays"


def loom_sheet(loom: Loom, sizing: Sizing, other: Loom | None, *, is_after: bool = False) -> LoomSheet:
    """One loom: parts, wires, fuses and what the rules find; ``other`` is the loom that it came from or becomes."""
    marks = Marks({}, {}) if other is None else marks_after(loom, other) if is_after else marks_before(loom, other)
    sized = {row.number: row for row in sizing.wires}
    wires = {number: wire for wire, number in loom.numbers.items()}
    return LoomSheet(
        title=loom.title,
        earth=loom.earth.value,
        system_voltage_V=loom.system_voltage_V,
        parts=tuple(
            LoomPart(part.id, part.kind.value, part.name, figure_of(part), marks.parts.get(part.id, _STAYS))
            for part in loom.components
            if part.kind is not Kind.LOOSE_END
        ),
        wires=tuple(_wire_row(row, wires[row.number], sized.get(row.number), marks) for row in from_to(loom)),
        fuses=tuple(_fuse_row(loom, one, is_after=is_after) for one in sizing.fuses),
        faults=tuple(FaultLine(one.rule, one.severity, one.sentence, one.wires) for one in check(loom)),
    )


def _fuse_row(loom: Loom, fuse: SizedFuse, *, is_after: bool) -> FuseRow:
    """A fuse that is on the bike has the rating that was read off it, or none."""
    read_A = loom.by_id[fuse.component.id].traits.rated_A
    if is_after or read_A is not None:
        return FuseRow(fuse.component.name, fuse.lasting_A, fuse.rated_A, fuse.sentence)
    suits = f"Nobody read it; {fuse.rated_A:g} A would suit." if fuse.rated_A else "Nobody read it."
    return FuseRow(fuse.component.name, fuse.lasting_A, None, suits)


def _wire_row(row: FromTo, wire: Wire, sized: SizedWire | None, marks: Marks) -> WireRow:
    return WireRow(
        number=row.number,
        start=row.start,
        end=row.end,
        colour=row.colour,
        colour_words=row.colour_name,
        conductor=row.conductor,
        insulation=wire.insulation,
        length_m=wire.length_m,
        state=marks.wires.get(wire, _STAYS),
        amps=sized.amps if sized else None,
        drop_V=sized.drop_V if sized else None,
        light_lost=sized.light_lost if sized else None,
        decided_by=sized.decided_by if sized else "",
        wrong=sized.sentence if sized else "",
    )


def cut_rows(loom: Loom) -> tuple[CutRow, ...]:
    """The new wires by conductor and colour, to buy and to cut."""
    return tuple(
        CutRow(one.conductor, one.colour, one.colour_name, one.lengths_m, one.total_m) for one in cut_list(loom)
    )


def bill_rows(before: Loom, after: Loom) -> tuple[BillRow, ...]:
    """What the change of the loom takes from the shelf."""
    return tuple(BillRow(one.item, one.words, str(one.quantity), one.unit) for one in bill_of(before, after))


def step_row(step: Step) -> StepRow:
    """One step of a plan."""
    return StepRow(step.number, step.name, step.say, step.why, step.lines, step.check, step.opens, step.cautions)


def fate_rows(fates: Sequence[Fate]) -> tuple[FateRow, ...]:
    """What becomes of every fitted part."""
    return tuple(FateRow(fate.component.name, fate.word, fate.why) for fate in fates)
