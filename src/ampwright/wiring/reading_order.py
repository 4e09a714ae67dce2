"""
The order in which a circuit is read: where a part belongs between the generator and the loads.

A stage is of a part; columns are stages put together, since a sheet has room for only so many.
"""

from collections import Counter
from collections.abc import Mapping, Sequence

from ampwright.wiring.kinds import CHARGERS, GENERATORS, LOADS, METAL, Kind
from ampwright.wiring.loom import Component, Loom

_AFTER_CHARGER, _BATTERY, _AFTER_BATTERY, _ELSEWHERE = 3, 4, 5, 9
# So many parts to a column are no reason to begin another.
_FEW = 4
_STAGES: Mapping[Kind, int] = {
    **dict.fromkeys(GENERATORS, 0),
    Kind.STATOR_CONTACTS: 1,
    Kind.LIGHTING_REGULATOR: 1,
    Kind.WARNING_UNIT: 2,
    Kind.FIELD_REGULATOR: 2,
    **dict.fromkeys(CHARGERS, 2),
    Kind.ZENER: _AFTER_CHARGER,
    Kind.CAPACITOR: _AFTER_CHARGER,
    Kind.BATTERY: _BATTERY,
    **dict.fromkeys(METAL, _BATTERY),
    Kind.AMMETER: 6,
    Kind.IGNITION_SWITCH: 7,
    Kind.LIGHTING_SWITCH: 8,
    **dict.fromkeys(LOADS, 10),
    Kind.IGNITION_BOX: 9,
    Kind.ENERGY_TRANSFER_COIL: 9,
    Kind.POINTS: 11,
}

_CHARGE_SIDE = (*CHARGERS, Kind.BATTERY, Kind.CAPACITOR)

#: Stages put together, from the most columns to the fewest.
GROUPINGS: tuple[tuple[tuple[int, ...], ...], ...] = (
    ((0,), (1, 2), (3,), (4,), (5, 6), (7, 8), (9,), (10,), (11,)),
    ((0,), (1, 2), (3, 4), (5, 6), (7, 8), (9,), (10,), (11,)),
    ((0,), (1, 2), (3, 4), (5, 6, 7, 8), (9,), (10,), (11,)),
    ((0,), (1, 2), (3, 4), (5, 6), (7, 8), (9,), (10, 11)),
    ((0, 1, 2), (3, 4), (5, 6, 7, 8), (9,), (10,), (11,)),
    ((0,), (1, 2), (3, 4), (5, 6, 7, 8), (9,), (10, 11)),
    ((0, 1, 2), (3, 4), (5, 6, 7, 8), (9,), (10, 11)),
)
ONE_COLUMN: tuple[tuple[int, ...], ...] = (tuple(range(12)),)


def stages_of(loom: Loom, parts: Sequence[Component]) -> dict[str, int]:
    """The stage of each of some parts of a loom."""
    beside = _neighbours(loom)
    return {part.id: _stage_of(part, [loom.by_id[one].kind for one in sorted(beside[part.id])]) for part in parts}


def columns_of(loom: Loom, stages: Mapping[str, int], grouping: Sequence[Sequence[int]]) -> dict[str, int]:
    """The column of each part, from 0, without empty ones; loads spread over the last columns evenly."""
    group_of = {stage: number for number, group in enumerate(grouping) for stage in group}
    groups = {part: group_of[stage] for part, stage in stages.items()}
    if len(grouping) > 1:
        _spread_loads(loom, stages, groups, group_of)
    numbers = {group: number for number, group in enumerate(sorted(set(groups.values())))}
    return {part: numbers[group] for part, group in groups.items()}


def _stage_of(part: Component, beside: Sequence[Kind]) -> int:
    if part.kind is Kind.FUSE:
        # A fuse of the charge lead joins the box to the battery and nothing else; that of the battery feeds the rest.
        if beside and all(kind in _CHARGE_SIDE for kind in beside):
            return _AFTER_CHARGER
        return _AFTER_BATTERY if any(kind in _CHARGE_SIDE for kind in beside) else 6
    if part.kind is Kind.LOOSE_END:
        return min((_STAGES.get(kind, _ELSEWHERE) for kind in beside if kind not in METAL), default=_BATTERY)
    return _STAGES.get(part.kind, _ELSEWHERE)


def _spread_loads(loom: Loom, stages: Mapping[str, int], groups: dict[str, int], group_of: Mapping[int, int]) -> None:
    """
    Make the last columns even.

    A load stands right of what it hangs on, and left of its points; of the columns where it then may stand it takes
    the one with the fewest.
    """
    early, late, last = (group_of[stage] for stage in (9, 10, 11))
    beside = _neighbours(loom)
    loads = [part for part, stage in stages.items() if stage == 10]
    held = Counter(group for part, group in groups.items() if part not in loads)
    # Coils first, as their points then stand right of them.
    for part in sorted(loads, key=lambda part: loom.by_id[part].kind is not Kind.COIL):
        hangs_on = {stages[one] for one in beside[part] if one in stages}
        allowed = [late] if 9 in hangs_on else [early, late]
        if last != late and not hangs_on & {10, 11}:
            allowed.append(last)
        groups[part] = min(allowed, key=lambda group: max(held[group], _FEW))
        held[groups[part]] += 1


def _neighbours(loom: Loom) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {part.id: set() for part in loom.components}
    for wire in loom.wires:
        found[wire.start.component].add(wire.end.component)
        found[wire.end.component].add(wire.start.component)
    return found
