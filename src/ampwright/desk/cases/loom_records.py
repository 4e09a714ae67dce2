"""What the stations of the loom answer: what changes over, how it is wired, and the lists that go with it."""

from dataclasses import dataclass


@dataclass(frozen=True)
class FaultLine:
    """One broken rule: red must be put right, amber was usual on old looms; with what to change, and where."""

    rule: str
    severity: str
    sentence: str
    wires: tuple[int, ...]


@dataclass(frozen=True)
class LoomPart:
    """One part on a loom: ``state`` tells whether it stays, is new, comes off or is exchanged."""

    id: str
    kind: str
    name: str
    figures: str
    state: str


@dataclass(frozen=True)
class WireRow:
    """
    One wire of the from-to list.

    ``amps`` is what it is sized for, ``drop_V`` what it then loses, ``light_lost`` the share of a lamp's light that is
    lost on the way to it; ``decided_by`` says what made it that size, ``wrong`` what is wrong with it.
    """

    number: int
    start: str
    end: str
    colour: str
    colour_words: str
    conductor: str
    insulation: str
    length_m: float
    state: str
    amps: float | None = None
    drop_V: float | None = None
    light_lost: float | None = None
    decided_by: str = ""
    wrong: str = ""


@dataclass(frozen=True)
class CutRow:
    """One kind of wire to buy and cut: the lengths, and the metres with their slack."""

    conductor: str
    colour: str
    colour_words: str
    lengths_m: tuple[float, ...]
    total_m: float


@dataclass(frozen=True)
class FuseRow:
    """One fuse: what lasts through it, its rating, and what is wrong with it where it was found so."""

    name: str
    lasting_A: float
    rated_A: float | None
    wrong: str


@dataclass(frozen=True)
class LoomSheet:
    """One loom: as it is found, or as it will be."""

    title: str
    earth: str
    system_voltage_V: int
    parts: tuple[LoomPart, ...]
    wires: tuple[WireRow, ...]
    fuses: tuple[FuseRow, ...]
    faults: tuple[FaultLine, ...]


@dataclass(frozen=True)
class BillRow:
    """So much of one thing that the loom needs: metres, terminals, fuses, insulating caps."""

    item: str
    words: str
    quantity: str
    unit: str


@dataclass(frozen=True)
class ChangeChoice:
    """One change that may be asked for by name, and why it makes no sense on this bike, where it makes none."""

    name: str
    why_not: str


@dataclass(frozen=True)
class WireAnswer:
    """
    How a bike is wired, and how it will be.

    ``not_before`` says what is to be settled before anybody wires from this; empty where nothing is. ``after`` is
    absent where nothing changes or nothing may be planned.
    """

    number: str
    title: str
    stop_first: str
    battery_line: str
    change: str
    not_before: str
    before: LoomSheet
    after: LoomSheet | None
    cut: tuple[CutRow, ...]
    bill: tuple[BillRow, ...]
    notes: tuple[str, ...]
    assumed: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class StepRow:
    """One step of the change: what to do, why, wires and parts one by one, and the reading that proves it."""

    number: int
    name: str
    say: str
    why: str
    lines: tuple[str, ...]
    check: str
    opens: str
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class FateRow:
    """One fitted part under a change of earth or volts: exchange its leads, replace it, or leave it, and why."""

    part: str
    what: str
    why: str


@dataclass(frozen=True)
class PlanAnswer:
    """The change from the loom found to the loom wanted, step by step."""

    number: str
    title: str
    stop_first: str
    battery_line: str
    change: str
    not_before: str
    steps: tuple[StepRow, ...]
    fates: tuple[FateRow, ...]
    penalty: tuple[str, ...]
    changes: tuple[ChangeChoice, ...]
    notes: tuple[str, ...]
    assumed: tuple[str, ...]
    cautions: tuple[str, ...]
