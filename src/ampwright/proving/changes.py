"""What is wrong with bikes that were drawn: every fault as a change to the system, of every size in its range."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from ampwright.belief.posterior import Array
from ampwright.electrics.sick_bridge import BridgeFault
from ampwright.stock.fault_settings import SOUND_VALUES, Fault, Flag

# What is drawn evenly in its logarithm, as it may be of any order of size.
_BY_LOGARITHM = frozenset(
    {
        "wire_to_engine_ohm",
        "live_ohm",
        "earth_ohm",
        "frame_ohm",
        "ammeter_ohm",
        "switch_ohm",
        "lamp_earth_ohm",
        "plug_ohm",
        "sink_ohm",
        "battery_ohms",
        "drain_mA",
        "leak_mA",
    }
)
# What tells only where a meter is put on it: it moves neither the charge nor the volts at the posts.
_CHANGE_NO_BALANCE = frozenset(
    {"wire_to_engine_ohm", "frame_ohm", "switch_ohm", "lamp_earth_ohm", "drain_mA", "leak_mA", "case_V"}
)


@dataclass(frozen=True)
class Changes:
    """
    Changes to drawn bikes, the first of them none: each a row, each bike a column with its own size of the fault.

    Of ``values`` each has shape (rows, bikes), of ``flags`` each (rows, 1); ``bridge`` names how each row conducts.
    """

    faults: tuple[Fault | None, ...]
    values: Mapping[str, Array]
    flags: Mapping[Flag, NDArray[np.bool_]]
    bridge: tuple[BridgeFault, ...]

    def __getitem__(self, what: str) -> Array:
        return self.values[what]

    def has(self, flag: Flag) -> NDArray[np.bool_]:
        """Rows that have a flag: shape (rows, 1)."""
        return self.flags.get(flag, np.zeros((len(self.faults), 1), dtype=bool))

    def only(self, rows: NDArray[np.intp]) -> "Changes":
        """Some of the rows."""
        return Changes(
            tuple(self.faults[row] for row in rows),
            {name: values[rows] for name, values in self.values.items()},
            {flag: has[rows] for flag, has in self.flags.items()},
            tuple(self.bridge[row] for row in rows),
        )

    @cached_property
    def electric(self) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Rows that change volts or currents while it charges, the sound one first, and which of these each row is."""
        changed = np.array([kind is not BridgeFault.SOUND for kind in self.bridge])
        for name, sound in SOUND_VALUES.items():
            if name not in _CHANGE_NO_BALANCE:
                changed |= np.any(self.values[name] != sound, axis=1)
        for has in self.flags.values():
            changed |= has[:, 0]
        changed[0] = True
        return np.flatnonzero(changed), np.where(changed, np.cumsum(changed) - 1, 0)


def changes_of(faults: Sequence[Fault], bikes: int) -> Changes:
    """No change and each of the faults, their sizes drawn evenly over their ranges, the same every time."""
    rows: tuple[Fault | None, ...] = (None, *faults)
    values = {
        name: np.array([_sizes(fault, name, sound, bikes) for fault in rows]) for name, sound in SOUND_VALUES.items()
    }
    flags: dict[Flag, NDArray[np.bool_]] = {}
    for row, fault in enumerate(rows):
        for flag in fault.flags if fault else ():
            flags.setdefault(flag, np.zeros((len(rows), 1), dtype=bool))[row] = True
    bridge = tuple(BridgeFault(fault.bridge) if fault else BridgeFault.SOUND for fault in rows)
    return Changes(rows, values, flags, bridge)


def _sizes(fault: Fault | None, name: str, sound: float, bikes: int) -> Array:
    if fault is None or name not in fault.changes:
        return np.full(bikes, sound)
    low, high = fault.changes[name]
    # By fault and name, so that one more fault in the list changes no other.
    rng = np.random.default_rng(crc32(f"{fault.key} {name}".encode()))
    evenly = rng.permutation((np.arange(bikes) + 0.5) / bikes)
    if name in _BY_LOGARITHM and low > 0.0:
        return np.asarray(np.exp(np.log(low) + np.log(high / low) * evenly))
    return np.asarray(low + (high - low) * evenly)
