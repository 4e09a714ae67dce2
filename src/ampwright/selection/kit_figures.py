"""What a kit achieves, in figures: what its generator carries, what is left over, and how long a battery lasts."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import inf
from statistics import NormalDist

import numpy as np

from ampwright.electrics.alternator import Alternator
from ampwright.electrics.arrays import FloatArray
from ampwright.electrics.battery import Battery, minutes_to_flat
from ampwright.electrics.load import Load, demand_A
from ampwright.operation.balance import (
    HIGH_SHARE,
    LEAST_HALF_WIDTH,
    LOW_SHARE,
    MEASURED_HALF_WIDTH,
    BalanceBand,
    Generator,
    curve,
    measured_curve,
    output_A,
    spread,
)
from ampwright.operation.draws import even_normals, lognormal

#: Bikes that stand for all that are like this one.
SAMPLES = 200
# As many as the table of balance speeds draws, so that both say the same.
_BAND_SAMPLES = 60
_SPEEDS, _SLOWEST_RPM = 40, 400.0
# Speeds at which a generator must carry its lamps: the slow end decides, and what is drawn by a coil beyond it.
_CARRYING_SPEEDS = 12
# Outputs kept of classes and of stators of another rating: 20 kB each.
_OUTPUTS_KEPT = 256
# Less than this out of the battery is nothing.
_NOTHING_A = 0.05


@dataclass(frozen=True, eq=False)
class Machines:
    """
    One generator that a bike may have, with the belief in it.

    ``many`` are machines as they may be, fields of shape (n, 1); without any nothing is known of its output.
    """

    middle: Generator | None
    many: Generator | None
    belief: float
    is_measured: bool = False


@dataclass(frozen=True)
class Riding:
    """Speeds as they are ridden, and how far the demand of such bikes strays (natural logarithm)."""

    low_rpm: float
    high_rpm: float
    top_rpm: float
    tick_over_rpm: float
    demand_spread: float
    is_assumed: bool


@dataclass(frozen=True)
class Amps:
    """A current of a likely bike, with the 10th and the 90th of a hundred. [A]"""

    low: float
    likely: float
    high: float


def drawn_of(machine: Generator, belief: float = 1.0) -> Machines:
    """So many machines of a class."""
    return Machines(machine, spread(machine, SAMPLES, 1), belief)


def of_less_rating(machine: Alternator, share: float) -> Alternator:
    """
    A machine of a class with a stator of a share of the amps that the class is figured for; never of more.

    What limits the current of a fast alternator is its inductance, so that the amps it is sold by go with one over it.
    """
    times = max(1.0 / share, 1.0)
    return replace(machine, inductance_H=machine.inductance_H * times, resistance_ohm=machine.resistance_ohm * times)


def carried_A(
    machines: Sequence[Machines], others: Sequence[Load], bus_V: float, riding: Riding, chance: float
) -> float:
    """
    The most lamp current that generators carry beside all other loads, from the slow end of the speeds ridden up.

    On a share ``chance`` of bikes they carry it, each generator counted by the belief in it and one of unknown output
    as carrying nothing. As in the table of balance speeds a band is never narrower than a quarter of the speed. Below
    zero not even the other loads are carried.
    """
    each, weight = [np.array([-inf])], [np.zeros(1)]
    for one in machines:
        amps = _carried_by_each(one, others, bus_V, riding, chance)
        each.append(amps)
        weight.append(np.full(amps.size, one.belief / amps.size))
    amps, share = np.concatenate(each), np.concatenate(weight)
    order = np.argsort(-amps, kind="stable")
    enough = np.cumsum(share[order]) >= chance * share.sum() - 1e-9
    return float(amps[order][int(enough.argmax())])


def carried_late_A(machines: Sequence[Machines], others: Sequence[Load], bus_V: float, riding: Riding) -> float:
    """
    The most lamp current that the likeliest generator carries beside all other loads at the fastest its engine turns.

    With more it never balances. Nothing where its output is not known.
    """
    one = max(machines, key=lambda each: each.belief)
    if one.middle is None or one.many is None:
        return -inf
    given = output_A(one.many if one.is_measured else one.middle, riding.top_rpm, bus_V)
    return float(np.median(np.asarray(given))) - float(demand_A(others, riding.top_rpm, bus_V))


def _carried_by_each(one: Machines, others: Sequence[Load], bus_V: float, riding: Riding, chance: float) -> FloatArray:
    if one.middle is None or one.many is None:
        return np.array([-inf])
    speeds = np.geomspace(riding.low_rpm, riding.top_rpm, _CARRYING_SPEEDS)
    outputs = _measured_A(one.many, bus_V, speeds) if one.is_measured else _drawn_A(one.middle, bus_V, tuple(speeds))
    amps = (outputs / _demanded(len(outputs), riding)[:, None] - demand_A(others, speeds, bus_V)).min(axis=1)
    half = MEASURED_HALF_WIDTH if one.is_measured else LEAST_HALF_WIDTH
    normal = NormalDist()
    wider = 1.0 + half * max(normal.inv_cdf(chance) / normal.inv_cdf(HIGH_SHARE), 0.0)
    late = np.geomspace(riding.low_rpm / wider, riding.top_rpm, _CARRYING_SPEEDS)
    middle = float(np.min(np.asarray(output_A(one.middle, late, bus_V)) - demand_A(others, late, bus_V)))
    return np.asarray(np.minimum(amps, middle))


def _measured_A(many: Generator, bus_V: float, speeds: FloatArray) -> FloatArray:
    return np.asarray(output_A(many, speeds, bus_V))


# Stocks hold many stators of few ratings, and the same bike is asked for again with other wishes.
@lru_cache(maxsize=_OUTPUTS_KEPT)
def _drawn_A(middle: Generator, bus_V: float, speeds: tuple[float, ...]) -> FloatArray:
    outputs = np.asarray(output_A(spread(middle, SAMPLES, 1), np.array(speeds), bus_V))
    outputs.setflags(write=False)
    return outputs


def _demanded(samples: int, riding: Riding) -> FloatArray:
    """How many times the demand told each bike draws; in an order that has nothing to do with its machine's."""
    return lognormal(1.0, riding.demand_spread, even_normals(samples, 2)[:, 1])


def surplus_A(machines: Machines, loads: Sequence[Load], bus_V: float, riding: Riding, speed_rpm: float) -> Amps | None:
    """What is left over for the battery at a speed; below zero it is taken out. None where nothing is known."""
    if machines.middle is None or machines.many is None:
        return None
    outputs = np.ravel(np.asarray(output_A(machines.many, speed_rpm, bus_V)))
    wanted = float(demand_A(loads, speed_rpm, bus_V))
    left = outputs - wanted * _demanded(len(outputs), riding)
    low, high = np.quantile(left, (LOW_SHARE, HIGH_SHARE))
    likely = float(np.ravel(output_A(machines.middle, speed_rpm, bus_V))[0]) - wanted
    return Amps(float(low), likely, float(high))


def balance(machines: Machines, loads: Sequence[Load], bus_V: float, riding: Riding) -> BalanceBand | None:
    """The speed from which all loads are carried, as the table of balance speeds has it."""
    if machines.middle is None or machines.many is None:
        return None
    speeds = np.linspace(_SLOWEST_RPM, riding.top_rpm, _SPEEDS)
    if machines.is_measured and isinstance(machines.many, Alternator):
        return measured_curve(machines.many, loads, loads, bus_V, speeds).lights_on
    return curve(machines.middle, loads, loads, bus_V, speeds, _BAND_SAMPLES).lights_on


def minutes_on_battery(battery: Battery, charge: float, current_A: float) -> float | None:
    """Minutes until a battery is flat; none where nothing is drawn from it."""
    if current_A <= _NOTHING_A:
        return None
    return float(np.ravel(minutes_to_flat(battery, charge, current_A))[0])
