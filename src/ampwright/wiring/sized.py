"""What sizing a loom answers: each wire, fuse and way, and why."""

from dataclasses import dataclass
from typing import Literal

from ampwright.stock.conductors import Conductor
from ampwright.wiring.duty import Way
from ampwright.wiring.loom import Component, Loom, Wire

DecidedBy = Literal["current", "drop", "fuse", "smallest", "as found", "nothing suits"]


@dataclass(frozen=True)
class DropLimits:
    """
    Most volts that the copper of a whole way may lose, there and back.

    Lighting 3 % and other loads 5 % of the system volts: IEC 60364-5-52, guide values (from memory). Between box and
    battery 0.2 V and in its earth 0.1 V, on 6 V as on 12: common practice, no source. Joints and contacts come on top
    and are shown beside.
    """

    lighting_share: float = 0.03
    other_share: float = 0.05
    charge_V: float = 0.2
    earth_V: float = 0.1

    def of(self, way: Way, system_voltage_V: int) -> float:
        """The limit of one way. [V]"""
        match way.kind:
            case "lighting":
                return self.lighting_share * system_voltage_V
            case "other":
                return self.other_share * system_voltage_V
            case "charge":
                return self.charge_V
            case "charge earth":
                return self.earth_V


#: The limits where nobody gives others.
USUAL_DROPS = DropLimits()


@dataclass(frozen=True)
class SizedWire:
    """
    One wire and why it is what it is.

    ``amps`` is what it is sized for, ``drop_V`` what it loses then with its joints, ``drop_share`` that of the system
    volts; ``light_lost`` is the share of its light that a filament at its end lacks for all that is lost on the way,
    None where there is none. ``fuse_A`` is the largest fuse that guards it, None where none does. ``sentence`` tells
    what is wrong with it, and is empty where nothing is. ``decided_by`` *smallest* is where the thinnest of the series
    does for everything.
    """

    number: int
    wire: Wire
    amps: float
    conductor: Conductor | None
    drop_V: float
    drop_share: float
    decided_by: DecidedBy
    fuse_A: float | None = None
    light_lost: float | None = None
    sentence: str = ""


@dataclass(frozen=True)
class SizedFuse:
    """One fuse: the most that lasts a minute through it, its rating, and what is wrong where it was told."""

    component: Component
    lasting_A: float
    rated_A: float | None
    as_found: bool
    rides_inrush: bool
    sentence: str = ""


@dataclass(frozen=True)
class SizedWay:
    """
    One way to a load and back, or between charger and battery, with everything on.

    ``copper_V`` is what its copper loses, ``joints_V`` what its bullets, spades and rings do, contacts not counted;
    ``limit_V`` is meant for the copper.
    """

    way: Way
    copper_V: float
    joints_V: float
    limit_V: float
    sentence: str = ""


@dataclass(frozen=True)
class Sizing:
    """The loom with its new wires and fuses sized, why, and what could not be done."""

    loom: Loom
    wires: tuple[SizedWire, ...]
    fuses: tuple[SizedFuse, ...]
    ways: tuple[SizedWay, ...]

    @property
    def refusals(self) -> tuple[str, ...]:
        """What could not be had, in sentences."""
        wires = [one.sentence for one in self.wires if one.decided_by == "nothing suits"]
        fuses = [one.sentence for one in self.fuses if one.rated_A is None]
        return (*wires, *fuses, *(one.sentence for one in self.ways if one.sentence and not _is_old(one.way)))


def _is_old(way: Way) -> bool:
    return all(wire.old for wire in way.wires if wire.is_wire)
