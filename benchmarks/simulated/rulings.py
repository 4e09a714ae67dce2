"""What the referee can say of a part, and what the owner wants that changes it."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum, StrEnum

# By these words whoever fits a part is told what to look at.
NEWER_IS_SAID, THIRD_BRUSH_IS_SAID = "20 A and more", "third on a slider"


class Harm(StrEnum):
    """What goes wrong."""

    OVERRUN = "overrun"
    WRONG_EARTH = "reversed: wrong earth"
    WRONG_PHASES = "reversed: wrong phases"
    WRONG_FAMILY = "reversed: wrong family"
    WRONG_VOLTAGE = "cooked: wrong voltage"
    TOO_MANY_VOLTS = "cooked: too many volts"
    NEEDS_A_BATTERY = "cooked: there is no battery and it needs one"


class Needs(IntEnum):
    """What must be done beside selling it."""

    NOTHING = 0
    FITTING_WORK = 1
    A_CONDITION = 2


@dataclass(frozen=True)
class Wanted:
    """What the owner wants that changes what harms: to run without a battery; to change from 6 to 12 V."""

    no_battery: bool = False
    to_12_V: bool = False


@dataclass(frozen=True)
class Ruling:
    """
    What becomes of a part that is called *fits*.

    A harm that is ``mendable`` befalls whoever is told *fits*, and not one who is told what
    it needs. One that words can catch is not mended, but seen by whoever fits the part and was
    told these words, ``caught_by``: the part comes back, and nothing is harmed.
    """

    harm: Harm | None = None
    needs: Needs = Needs.NOTHING
    mendable: bool = False
    caught_by: str = ""

    @property
    def suits(self) -> bool:
        """Whether it can be sold, if need be with what it needs said."""
        return self.harm is None or self.mendable

    def harms_though_told(self, conditions: Iterable[str]) -> bool:
        """Whether it harms also where these conditions were said with it."""
        caught = bool(self.caught_by) and any(self.caught_by in said for said in conditions)
        return not self.suits and not caught
