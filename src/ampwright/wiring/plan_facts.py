"""What a plan has to be told beside the two looms: readings that were taken, and what was worked out elsewhere."""

from dataclasses import dataclass
from typing import Literal

#: Where the field winding of a dynamo goes from its F terminal, which decides how it is flashed.
FieldReturns = Literal["to the frame inside", "otherwise", "not known"]


@dataclass(frozen=True)
class SpeedAt:
    """Engine speeds at one voltage: where the cut-out closes, and from where the load is carried (None: never)."""

    cut_in_rpm: float
    balance_rpm: float | None


@dataclass(frozen=True)
class ChargingSpeed:
    """What 12 V cost a dynamo, in engine speeds and on the road."""

    at_6_V: SpeedAt
    at_12_V: SpeedAt
    road_speed_per_1000_rpm: float
    road_speed_unit: str
    gearing_assumed: bool

    def on_the_road(self, speed_rpm: float) -> float:
        """A road speed in top gear, in the unit it was asked in."""
        return speed_rpm / 1000.0 * self.road_speed_per_1000_rpm

    @property
    def ratio(self) -> float:
        """How many times as fast it has to go at 12 V before it charges."""
        return self.at_12_V.cut_in_rpm / self.at_6_V.cut_in_rpm


@dataclass(frozen=True)
class PlanFacts:
    """
    What was read or found out before anything is undone; nothing of it is taken for granted.

    ``join_pair_read``: the pair of stator wires that is to be joined read about 0 V AC, while each of them read volts
    to the third. ``join_reading``: those three AC volts, of wires 1 and 2, 2 and 3, 3 and 1, as numbered when they were
    read. ``set_point_read_V``: volts at the posts, read on this box on this bike, lights off, held for some
    minutes. ``dynamo_stood_long``: it may have lost its magnetism.
    """

    join_pair_read: bool = False
    join_reading: tuple[float, float, float] | None = None
    set_point_read_V: float | None = None
    field_returns: FieldReturns = "not known"
    dynamo_stood_long: bool = False
    charging_speed: ChargingSpeed | None = None
