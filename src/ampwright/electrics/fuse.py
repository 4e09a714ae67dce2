"""Fuses: what a lasting current asks for, how long a blade fuse lasts, and whether it rides through an inrush."""

from collections.abc import Sequence

import numpy as np

from ampwright.electrics.arrays import BoolArray, FloatArray, Number
from ampwright.electrics.lamp import BURNING_K, cold_inrush

#: Blade fuses by what they carry for ever (from memory; ISO 8820-3 has these among others).
BLADE_A = (3.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0)
#: Glass fuses of old British kind by what they carry for ever. Some are marked with the current that blows them, which
#: is twice as much: a "35 A" one carries 17.5 A. From memory.
GLASS_CONTINUOUS_A = (5.0, 7.5, 10.0, 12.5, 15.0, 17.5, 25.0)
GLASS_BLOW_PER_CONTINUOUS = 2.0
#: A fuse is rated at least this much above the greatest current that lasts a minute; common practice, no source.
MARGIN = 1.25
#: How much more than its nameplate a machine with a strong magnet may give; own computation of typical machines.
STRONG_MAGNET = 1.10
# ISO 8820-3, from memory: times its rating, the least and the most seconds to blow.
_GATE_TIMES = (1.10, 1.35, 1.60, 2.00, 3.50, 6.00)
_GATE_LEAST_S = (360_000.0, 0.75, 0.25, 0.15, 0.04, 0.02)
_GATE_MOST_S = (np.inf, 600.0, 50.0, 5.0, 0.5, 0.1)
#: Heat in a burning filament by its watts: a 55 W coil of 0.19 mm tungsten, own estimate by its ohms, its surface and
#: the heat of tungsten. Smaller lamps have less.
FILAMENT_HEAT_S = 0.3
_MEAN_INRUSH = float(np.mean(cold_inrush(cold_K=np.linspace(300.0, BURNING_K, 501))))


def fuse_rating_A(lasting_A: float, sizes_A: Sequence[float] = BLADE_A) -> float | None:
    """
    Smallest standard fuse for a current that lasts.

    Parameters
    ----------
    lasting_A : float
        Greatest current that lasts a minute: lamps at charging volts, contacts shut, stop lamp, no horn. [A]
    sizes_A : sequence of float
        Ratings that there are, each by what it carries for ever, smallest first. [A]

    Returns
    -------
    fuse_rating_A : float or None
        The first that is at least 1.25 times the current; None where even the largest is not. [A]

    Notes
    -----
    The wire behind it must carry the rating for ever. A glass fuse counts by its continuous rating.

    Examples
    --------
    >>> fuse_rating_A(11.2)
    15.0

    References
    ----------
    Common practice, no source.
    """
    return next((size for size in sizes_A if size >= MARGIN * lasting_A), None)


def box_lead_fuse_A(nameplate_A: float, sizes_A: Sequence[float] = BLADE_A) -> float | None:
    """
    Fuse in a charging box's own lead to the battery.

    Parameters
    ----------
    nameplate_A : float
        Direct current by which the stator is sold. [A]
    sizes_A : sequence of float
        Ratings that there are, smallest first. [A]

    Returns
    -------
    box_lead_fuse_A : float or None
        As `fuse_rating_A` of a tenth more than the nameplate, for a strong magnet; None where none is enough. [A]

    Notes
    -----
    Gives the 15, 20 and 25 A that are fitted with stators of 10, 14.5 and 16 A.

    Examples
    --------
    >>> [box_lead_fuse_A(nameplate_A) for nameplate_A in (10.0, 14.5, 16.0)]
    [15.0, 20.0, 25.0]

    References
    ----------
    Common practice, no source.
    """
    return fuse_rating_A(STRONG_MAGNET * nameplate_A, sizes_A)


def glass_continuous_A(blow_A: Number) -> Number:
    """What a glass fuse carries for ever that is marked with the current that blows it: half, from memory. [A]"""
    return blow_A / GLASS_BLOW_PER_CONTINUOUS


def blade_gates_s(multiple: Number) -> tuple[Number, Number]:
    """
    Least and most time that a blade fuse may take to blow.

    Parameters
    ----------
    multiple : float or array, shape (...)
        Current as a multiple of the rating, 1.1 to 6. [-]

    Returns
    -------
    least_s, most_s : float or array, shape of the input
        Straight in logarithms between the points of the standard; nan outside of them. [s]

    Notes
    -----
    From 1.1 to 1.35 times the rating there is no most: it may last for ever.

    References
    ----------
    ISO 8820-3 (from memory).
    """
    return _between(multiple, _GATE_LEAST_S), _between(multiple, _GATE_MOST_S)


def blade_time_s(multiple: Number) -> Number:
    r"""
    Time to blow of a middling blade fuse, as this program has it.

    .. math:: \ln t \;\text{straight in}\; \ln (I/I_n), \quad t \propto (I/I_n)^{-2} \;\text{beyond}\; 6

    Parameters
    ----------
    multiple : float or array, shape (...)
        Current as a multiple of the rating, 0 and up. [-]

    Returns
    -------
    time_s : float or array, shape of the input
        Through the geometric mean of the standard's gates; without end under 1.1. [s]

    Notes
    -----
    A model, and makes differ: cheap fuses of too little resistance blow far too late or not at all (common practice, no
    source). Beyond 6 times no heat gets away while it melts.

    References
    ----------
    Gates by ISO 8820-3 (from memory); the line between them assumed.
    """
    times = np.asarray(multiple, dtype=float)
    middle = np.sqrt(np.multiply(_GATE_LEAST_S[1:], _GATE_MOST_S[1:]))
    knots = np.log((_GATE_LEAST_S[0], *middle))
    inside = np.exp(np.interp(np.log(np.maximum(times, _GATE_TIMES[0])), np.log(_GATE_TIMES), knots))
    beyond = np.maximum(times / _GATE_TIMES[-1], 1.0) ** -2.0
    answer: Number = np.where(times < _GATE_TIMES[0], np.inf, inside * beyond)[()]
    return answer


def inrush_A2s(burning_A: Number, heat_s: Number = FILAMENT_HEAT_S) -> Number:
    r"""
    Integral of the squared current while cold filaments, switched on together, become hot.

    .. math:: \int I^2 dt = \int \frac{dQ}{R(T)} = \frac{Q}{R_{hot}}\,\overline{k} = I_{hot}^2\, t_Q\, \overline{k}

    Parameters
    ----------
    burning_A : float or array, shape (...)
        What they take when they burn. [A]
    heat_s : float or array, shape (...), default 0.3
        Heat in the burning filament by its watts. [s]

    Returns
    -------
    inrush_A2s : float or array, broadcast shape of the inputs
        What a fuse on the way is heated by; beyond it comes the burning current, which it carries for ever. [A² s]

    Notes
    -----
    All that is lost in a filament's own ohms heats it, little is radiated before it glows, and k, `lamp.cold_inrush`,
    is averaged from cold to hot. The wiring's ohms are not in it: they make the inrush lower and longer alike.

    References
    ----------
    Own derivation; ohms of tungsten as in `lamp.cold_inrush`.
    """
    answer: Number = burning_A**2 * heat_s * _MEAN_INRUSH
    return answer


def rides_through(rating_A: Number, burning_A: Number) -> BoolArray:
    """
    Whether any blade fuse of a rating stands the inrush of cold filaments switched on together.

    Parameters
    ----------
    rating_A : float or array, shape (...)
        What the fuse carries for ever. [A]
    burning_A : float or array, shape (...)
        What the lamps that are switched at one go take when they burn. [A]

    Returns
    -------
    rides_through : array of bool
        Whether `inrush_A2s` is under what the quickest fuse within the gates needs to melt.

    Notes
    -----
    By the gates' least, 0.49 of the rating squared at 3.5 times the rating: lamps may take seven tenths of the rating
    at one go. A headlamp with its tail lamp takes less of a fuse that also feeds an ignition, which is why the fuse
    rule leaves inrush out.

    References
    ----------
    Gates by ISO 8820-3 (from memory).
    """
    melts = min(seconds * times**2 for times, seconds in zip(_GATE_TIMES[1:], _GATE_LEAST_S[1:], strict=True))
    return np.asarray(inrush_A2s(burning_A) < melts * np.asarray(rating_A) ** 2)


def _between(multiple: Number, gates_s: Sequence[float]) -> Number:
    times: FloatArray = np.asarray(multiple, dtype=float)
    # An endless gate stays endless up to the next point.
    known = np.isfinite(gates_s)
    line = np.interp(np.log(times), np.log(_GATE_TIMES)[known], np.log(np.asarray(gates_s)[known]))
    endless = times < np.asarray(_GATE_TIMES)[known][0]
    inside = (times >= _GATE_TIMES[0]) & (times <= _GATE_TIMES[-1])
    answer: Number = np.where(inside, np.where(endless, np.inf, np.exp(line)), np.nan)[()]
    return answer
