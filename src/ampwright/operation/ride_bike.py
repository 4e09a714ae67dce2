"""What a ride needs to know: bikes, what holds their volts, the road with what is switched on, and how they stand."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from ampwright.electrics.alternator import Alternator
from ampwright.electrics.arrays import FloatArray, Number
from ampwright.electrics.battery import Battery
from ampwright.electrics.circuit import Zener
from ampwright.electrics.cooling import (
    HeatSink,
)
from ampwright.electrics.dynamo import Dynamo
from ampwright.electrics.load import (
    Load,
)

Machine = Alternator | Dynamo
HeldBy = Literal["nothing", "Zener", "shunt box", "series box", "field"]


@dataclass(frozen=True)
class Held:
    """
    What holds the volts down, and at what.

    `pass_V` is what a series box takes over two diodes; `zener_more_V` by how much each bike's Zener holds more.
    """

    by: HeldBy
    set_V: Number = np.inf
    zener: Zener | None = None
    pass_V: Number = 0.0
    zener_more_V: Number = 0.0


@dataclass(frozen=True)
class Body:
    """A box, or the plate a Zener is bolted to: how it sheds heat and how much it holds."""

    sink: HeatSink
    capacity_J_K: Number


@dataclass(frozen=True)
class WindingHeat:
    """The winding in its case: how far the case warms over the air, in what time, and what joins the two. Assumed."""

    case_rise_K: Number = 55.0
    case_time_s: Number = 900.0
    conductance_W_K: Number = 2.5
    capacity_J_K: Number = 800.0


@dataclass(frozen=True)
class RideBike:
    """
    All of a bike that a ride needs; fields may be arrays of shape (n,), also those of its parts.

    `geared` multiplies the engine's speed over tick-over, `demanded` all lamps and whatever else is fed. `joint_ohm` is
    in the wire from rectifier or box to the battery. Without a battery a capacitor smooths the volts and keeps nothing.
    """

    lights_on: Machine
    lights_off: Machine
    held: Held
    battery: Battery | None
    box: Body | None = None
    zener: Body | None = None
    winding: WindingHeat = WindingHeat()
    joint_ohm: Number = 0.0
    geared: Number = 1.0
    demanded: Number = 1.0


@dataclass(frozen=True)
class InUse:
    """One load, and the share of each second that it is on: one number or an array along the ride."""

    load: Load
    share: Number = 1.0


@dataclass(frozen=True)
class Road:
    """
    What happens along a ride, second by second, arrays of shape (seconds,).

    `lit` says when the lighting switch is on, which on some machines brings coils in.
    """

    engine_rpm: FloatArray
    road_m_s: FloatArray
    air_degC: FloatArray
    lit: FloatArray
    in_use: tuple[InUse, ...]
    tick_over_rpm: float = 1000.0
    step_s: float = 1.0


@dataclass(frozen=True)
class Start:
    """How bikes stand before a ride; fields may be arrays of shape (n,)."""

    charge: Number = 0.9
    unreachable: Number = 0.0
    polarisation_V: Number = 0.0
    winding_degC: Number = 20.0
    box_degC: Number = 20.0
    zener_degC: Number = 20.0
    case_degC: Number = 20.0
