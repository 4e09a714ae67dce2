"""Balance speed: from what speed up the generator carries the loads, and how sure that is."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from math import inf
from statistics import NormalDist

import numpy as np

from ampwright.electrics.alternator import Alternator
from ampwright.electrics.arrays import FloatArray, Number
from ampwright.electrics.dynamo import Dynamo, dynamo_current_A
from ampwright.electrics.load import Load, demand_A
from ampwright.electrics.rectified import rectified_current_A

Generator = Alternator | Dynamo

# Spread of machines of one class, standard deviations. Assumed: nothing has been measured.
EMF_SPREAD, RATING_SPREAD, RESISTANCE_SPREAD, DYNAMO_EMF_SPREAD = 0.20, 0.05, 0.15, 0.15
# The band runs from the 10th to the 90th of a hundred machines, and is never narrower than this share each way.
LOW_SHARE, HIGH_SHARE = 0.10, 0.90
LEAST_HALF_WIDTH = 0.25
# Of a machine that was measured, loads and gearing alone leave this much open. Assumed.
MEASURED_HALF_WIDTH = 0.08
# Powers of the inverse plastic number: steps that space pairs of draws evenly (the R sequence, from memory).
PLASTIC = 1.324717957244746
STEPS = (1.0 / PLASTIC, 1.0 / PLASTIC**2, 1.0 / PLASTIC**3)
# Outputs kept: each class at each voltage for a few ranges of speed, 20 kB each, and measured machines, 64 kB each.
_CLASSES_KEPT, _MEASURED_KEPT = 128, 64


@dataclass(frozen=True)
class BalanceBand:
    """Balance speed, likely and as a band. Infinite means never within the speeds looked at. [rpm]"""

    low_rpm: float
    likely_rpm: float
    high_rpm: float


@dataclass(frozen=True)
class BalanceCurve:
    """All that a chart of output against demand needs: arrays along `speed_rpm`, and the two balance bands."""

    speed_rpm: FloatArray
    output_A: FloatArray
    output_low_A: FloatArray
    output_high_A: FloatArray
    demand_on_A: FloatArray
    demand_off_A: FloatArray
    lights_on: BalanceBand
    lights_off: BalanceBand


def output_A(generator: Generator, speed_rpm: Number, bus_V: Number) -> Number:
    """Mean current that a generator can give to a bus held at a voltage, by engine speed. [A]"""
    if isinstance(generator, Alternator):
        return rectified_current_A(generator, speed_rpm, bus_V)
    return dynamo_current_A(generator, speed_rpm, bus_V)


def balance_speed_rpm(output_A: FloatArray, demand_A: FloatArray, speed_rpm: FloatArray) -> Number:
    """
    Lowest speed from which output covers demand at every higher speed looked at.

    Parameters
    ----------
    output_A, demand_A : array, shape (..., n)
        Output and demand along the speeds. [A]
    speed_rpm : array, shape (n,)
        Speeds, rising. [rpm]

    Returns
    -------
    balance_speed_rpm : float or array, shape (...)
        By straight line between speeds; the first speed if output always covers demand; nan if it does not at the last
        speed, which reads "never within these speeds". [rpm]

    Notes
    -----
    Good to the spacing of the speeds. What happens beyond the last speed is not known here.

    References
    ----------
    Own definition.
    """
    surplus = np.asarray(output_A, dtype=float) - demand_A
    short = surplus < 0.0
    count = surplus.shape[-1]
    # Index of the last speed that falls short; -1 where none does.
    last = np.where(short.any(axis=-1), count - 1 - short[..., ::-1].argmax(axis=-1), -1)
    below = np.clip(last, 0, max(count - 2, 0))
    above = np.minimum(below + 1, count - 1)
    less = np.take_along_axis(surplus, below[..., None], -1)[..., 0]
    more = np.take_along_axis(surplus, above[..., None], -1)[..., 0]
    crosses = (last >= 0) & (last < count - 1)
    share = np.where(crosses, -less / np.where(crosses, more - less, 1.0), 0.0)
    between = speed_rpm[below] + share * (speed_rpm[above] - speed_rpm[below])
    answer: Number = np.where(last < 0, speed_rpm[0], np.where(crosses, between, np.nan))[()]
    return answer


def spread(generator: Generator, samples: int, seed: int) -> Generator:
    """
    A class of machines about a typical one: the same generator with its fields drawn, samples on the first axis.

    Alternator: EMF lognormal with 20 %, rated current with 5 %, resistance with 15 % standard deviation; the inductance
    goes with the EMF, so that the limit current keeps to the rating the machine is sold by. Dynamo: the EMF of the
    whole curve with 15 %. All assumed. Fields get shape (samples, 1), ready to meet speeds on the last axis; each
    draw is stratified, one from every sample's share of the distribution, so that 100 to 200 samples give a steady
    band.
    """
    if isinstance(generator, Dynamo):
        (strength,) = _lognormals((DYNAMO_EMF_SPREAD,), samples, seed)
        return replace(generator, curve_emf_V=strength[..., None] * np.asarray(generator.curve_emf_V))
    strength, rating, resistance = _lognormals((EMF_SPREAD, RATING_SPREAD, RESISTANCE_SPREAD), samples, seed)
    return replace(
        generator,
        emf_Vs=generator.emf_Vs * strength,
        inductance_H=generator.inductance_H * strength / rating,
        resistance_ohm=generator.resistance_ohm * resistance,
    )


def balance_band(
    outputs_A: FloatArray,
    likely_output_A: FloatArray,
    demand_A: FloatArray,
    speed_rpm: FloatArray,
    least_half_width: float = LEAST_HALF_WIDTH,
) -> BalanceBand:
    """
    Balance band of a class of machines, or of one that was measured.

    Takes the outputs of the class's samples, shape (samples, n), that of its middle, shape (n,), demand and speeds. The
    band is the 10th to the 90th percentile, and never narrower than `least_half_width` of the likely speed each way: a
    quarter where nothing has been measured. A machine that never balances counts as infinitely late.
    """
    likely = _or_never(balance_speed_rpm(likely_output_A, demand_A, speed_rpm))
    each = np.sort(_or_never(balance_speed_rpm(outputs_A, demand_A, speed_rpm)))
    low, high = (float(each[round(share * (each.size - 1))]) for share in (LOW_SHARE, HIGH_SHARE))
    likely_rpm = float(likely)
    if likely_rpm < inf:
        low = min(low, (1.0 - least_half_width) * likely_rpm)
        high = max(high, (1.0 + least_half_width) * likely_rpm)
    return BalanceBand(low, likely_rpm, high)


def curve(
    generator: Generator,
    loads_on: Sequence[Load],
    loads_off: Sequence[Load],
    bus_V: float,
    speed_rpm: FloatArray,
    samples: int = 150,
    seed: int = 1,
) -> BalanceCurve:
    """
    Output of a class and its 10 to 90 % band, demand with lights on and off, and where they balance.

    The outputs are kept for the next who asks for the same, so their arrays are read-only.
    """
    speeds = np.asarray(speed_rpm, dtype=float)
    outputs = _class_outputs(_asked(generator, bus_V, speeds), samples, seed)
    return _curve(outputs, loads_on, loads_off, bus_V, speeds, LEAST_HALF_WIDTH)


def measured_curve(
    machines: Alternator, loads_on: Sequence[Load], loads_off: Sequence[Load], bus_V: float, speed_rpm: FloatArray
) -> BalanceCurve:
    """Output of one machine that was measured, of which `machines` are equally likely, fields of shape (n, 1)."""
    speeds = np.asarray(speed_rpm, dtype=float)
    outputs = _measured_outputs(_asked(machines, bus_V, speeds))
    return _curve(outputs, loads_on, loads_off, bus_V, speeds, MEASURED_HALF_WIDTH)


@dataclass(frozen=True)
class _Outputs:
    """Output along the speeds of the middle, of every machine drawn, and the ends of the band; all read-only."""

    middle_A: FloatArray
    many_A: FloatArray
    low_A: FloatArray
    high_A: FloatArray


def _outputs(middle_A: FloatArray, many_A: FloatArray) -> _Outputs:
    low_A, high_A = np.quantile(many_A, (LOW_SHARE, HIGH_SHARE), axis=0)
    for amps in (middle_A, many_A, low_A, high_A):
        amps.setflags(write=False)
    return _Outputs(middle_A, many_A, low_A, high_A)


@dataclass(frozen=True)
class _Asked:
    """All that outputs depend on, the machine by the content of its fields, which may be arrays."""

    content: tuple[Hashable, ...]
    bus_V: float
    speed_rpm: tuple[float, ...]
    generator: Generator = field(compare=False)


def _asked(generator: Generator, bus_V: float, speeds: FloatArray) -> _Asked:
    content = tuple(_content(value) for value in vars(generator).values())
    return _Asked((type(generator).__name__, *content), float(bus_V), tuple(speeds.tolist()), generator)


def _content(value: object) -> Hashable:
    if isinstance(value, int | float):
        return value
    numbers = np.asarray(value, dtype=float)
    return numbers.shape, numbers.tobytes()


# Loads, gearing and findings do not enter: output depends on the machine, the bus it feeds and the speeds alone, and
# which machines are drawn of a class on their number and the seed. All of these are the key.
@lru_cache(maxsize=_CLASSES_KEPT)
def _class_outputs(asked: _Asked, samples: int, seed: int) -> _Outputs:
    speeds = np.array(asked.speed_rpm)
    middle_A = np.asarray(output_A(asked.generator, speeds, asked.bus_V))
    return _outputs(middle_A, np.asarray(output_A(spread(asked.generator, samples, seed), speeds, asked.bus_V)))


@lru_cache(maxsize=_MEASURED_KEPT)
def _measured_outputs(asked: _Asked) -> _Outputs:
    many_A = np.asarray(output_A(asked.generator, np.array(asked.speed_rpm), asked.bus_V))
    return _outputs(np.median(many_A, axis=0), many_A)


def _curve(
    outputs: _Outputs,
    loads_on: Sequence[Load],
    loads_off: Sequence[Load],
    bus_V: float,
    speeds: FloatArray,
    least_half_width: float,
) -> BalanceCurve:
    on, off = (np.asarray(demand_A(loads, speeds, bus_V)) for loads in (loads_on, loads_off))
    lights_on, lights_off = (
        balance_band(outputs.many_A, outputs.middle_A, amps, speeds, least_half_width) for amps in (on, off)
    )
    return BalanceCurve(
        speed_rpm=speeds,
        output_A=outputs.middle_A,
        output_low_A=outputs.low_A,
        output_high_A=outputs.high_A,
        demand_on_A=on,
        demand_off_A=off,
        lights_on=lights_on,
        lights_off=lights_off,
    )


def _or_never(speed_rpm: Number) -> FloatArray:
    speeds = np.asarray(speed_rpm, dtype=float)
    never: FloatArray = np.where(np.isnan(speeds), inf, speeds)
    return never


def _lognormals(deviations: Sequence[float], samples: int, seed: int) -> list[FloatArray]:
    """
    Lognormal factors about 1, shape (samples, 1), one array a deviation, stratified and evenly paired.

    Each array holds the middle of every sample's share of the distribution once. Their orders come from additive
    sequences with the plastic number, so that pairs and triples are spread evenly too; the seed shifts them.
    """
    normal = NormalDist()
    middles = np.array([normal.inv_cdf((k + 0.5) / samples) for k in range(samples)])
    shifts = np.random.default_rng(seed).random(len(deviations))
    indices = np.arange(samples)
    ranks = [np.argsort(np.argsort((indices * step + shift) % 1.0)) for step, shift in zip(STEPS, shifts, strict=False)]
    return [np.exp(deviation * middles[rank])[:, None] for deviation, rank in zip(deviations, ranks, strict=True)]
