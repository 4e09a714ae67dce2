#!/usr/bin/env python3
"""
Make the maps of sound and faulty bridges that ship with the package: src/ampwright/data/sick_bridges.csv.

    .venv/bin/python scripts/sick_bridges.py

With diodes that are straight lines the wave depends on few numbers. Counted in the peak EMF E of a phase and in
E / (R + X), they are

- `resistive_root`, the root of R / (R + X);
- `drop`, a diode's drop: by itself it counts only where another diode is shorted through and drops nothing;
- `reach_root`, the root of 1 - level / cut-in, where the level is the bus with the drops on the way to it, and
  `cut_in` the highest level that is still reached.

What conducts is followed from event to event. A wire is held at the bus's upper or lower level while it conducts and
floats while it does not. The wires that conduct share a star point that makes their currents add up to nothing, so each
obeys x i' + r i = a sine plus a constant, which has a closed form; a step only says how soon an event is seen. A wire
that joins is seen at the end of a step, where its current would still be next to nothing.
"""

from math import atan2, ceil, expm1, hypot, log, pi, sqrt
from pathlib import Path

import numba
import numpy as np

FILE = Path(__file__).parents[1] / "src" / "ampwright" / "data" / "sick_bridges.csv"
HEADINGS = "phases,fault,drop,resistive_root,reach_root,cut_in,mean,ripple,winding,peak"
SOUND, OPEN, SHORTED = 0, 1, 2
# Past a shorted diode cut-in bends where the current that goes round outlasts the EMF's turn, so there are more roots.
LEAST_ROOT, MOST_ROOT = 0.09, 0.999
ROOTS = {SOUND: 13, OPEN: 13, SHORTED: 25}
REACHES = {SOUND: 31, OPEN: 31, SHORTED: 21}
DROPS = {SOUND: (0.0,), OPEN: (0.0,), SHORTED: (0.0, 0.06, 0.12)}
STEPS, HALVINGS, MOST_EVENTS = 720, 45, 12
# The sums begin when so much less is left of the start, and not before so many turns.
FORGOTTEN, LEAST_TURNS = 1e8, 4
OUT_OF_REACH = 1e9
PLACES = (0.5 - 0.5 * sqrt(0.6), 0.5, 0.5 + 0.5 * sqrt(0.6))
WEIGHTS = (5.0 / 18.0, 8.0 / 18.0, 5.0 / 18.0)


@numba.njit
def pushes(emf, held, low, high, push):
    """What drives each wire, or the volts of one that floats, as sine, cosine and constant; how many are held."""
    push[:] = emf
    shared, count = np.zeros(3), 0
    for k in range(len(held)):
        if held[k] != 0:
            push[k, 2] = -(high[k] if held[k] > 0 else low[k])
            shared += push[k]
            count += 1
    push -= shared / max(count, 1)
    return count


@numba.njit
def at(push, angle):
    """Value of a sine, a cosine and a constant at an angle."""
    return push[0] * np.sin(angle) + push[1] * np.cos(angle) + push[2]


@numba.njit
def later(amps, span, angle, push, x, decay):
    """Current of a wire a span after an angle at which it was known."""
    size = hypot(push[0], push[1]) / x / hypot(1.0, decay)
    shift = atan2(push[1], push[0]) - atan2(1.0, decay)
    less = expm1(-decay * span)
    free = amps - size * np.sin(angle + shift)
    return size * np.sin(angle + span + shift) + free * (1.0 + less) - push[2] / x * less / decay


@numba.njit
def joined(held, count, angle, push, low, high):
    """Let the wires conduct that lie farthest beyond a level; whether any does."""
    farthest, up, down = 1e-13, -1, -1
    for p in range(len(held)):
        if count > 0 and held[p] == 0:
            volts = at(push[p], angle)
            if volts - high[p] > farthest:
                farthest, up, down = volts - high[p], p, -1
            if low[p] - volts > farthest:
                farthest, up, down = low[p] - volts, -1, p
        for q in range(len(held)):
            beyond = at(push[p], angle) - at(push[q], angle) - high[p] + low[q]
            if count == 0 and beyond > farthest:
                farthest, up, down = beyond, p, q
    if up >= 0:
        held[up] = 1
    if down >= 0:
        held[down] = -1
    return up >= 0 or down >= 0


@numba.njit
def first_to_die(amps, held, fixed, span, angle, push, x, decay):
    """The wire whose current turns round first within a span, or -1, and the span up to there."""
    which = -1
    for k in range(fixed, len(held)):
        if held[k] != 0 and later(amps[k], span, angle, push[k], x, decay) * held[k] < 0.0:
            near, which = 0.0, k
            for _ in range(HALVINGS):
                tried = 0.5 * (near + span)
                if later(amps[k], tried, angle, push[k], x, decay) * held[k] < 0.0:
                    span = tried
                else:
                    near = tried
    return which, span


@numba.njit
def sampled(amps, held, span, angle, push, x, decay, sums):
    """Add a span to the sums: bus current, its square, the wires' squares, and the greatest wire current."""
    for place, weight in zip(PLACES, WEIGHTS):  # noqa: B905
        bus = 0.0
        for k in range(len(held)):
            if held[k] != 0:
                here = later(amps[k], place * span, angle, push[k], x, decay)
                bus += here if held[k] > 0 else 0.0
                sums[2] += weight * span * here * here
                sums[3] = max(sums[3], abs(here))
        sums[0] += weight * span * bus
        sums[1] += weight * span * bus * bus


@numba.njit
def wave(emf, x, low, high, fixed, decay, turns):
    """The sums of `sampled` over the last of so many turns, and the highest volts of a wire that floats meanwhile."""
    lines = len(low)
    held, amps, push, sums = np.zeros(lines, np.int64), np.zeros(lines), np.zeros((lines, 3)), np.zeros(5)
    held[:fixed] = -1
    for number in range(turns * STEPS):
        last_turn = number >= (turns - 1) * STEPS
        angle, left = (number % STEPS) * 2.0 * pi / STEPS, 2.0 * pi / STEPS
        for _ in range(MOST_EVENTS):
            count = pushes(emf, held, low, high, push)
            while joined(held, count, angle, push, low, high):
                count = pushes(emf, held, low, high, push)
            dies, span = -1, left
            if count > 1:
                dies, span = first_to_die(amps, held, fixed, left, angle, push, x, decay)
            for k in range(lines):
                if last_turn and count > 0 and held[k] == 0:
                    sums[4] = max(sums[4], at(push[k], angle))
            if last_turn and count > 1:
                sampled(amps, held, span, angle, push, x, decay, sums)
            for k in range(lines):
                amps[k] = later(amps[k], span, angle, push[k], x, decay) if count > 1 and held[k] != 0 else 0.0
            if dies >= 0:
                held[dies], amps[dies] = 0, 0.0
                if count == 2:
                    held[fixed:], amps[:] = 0, 0.0
            angle, left = angle + span, left - span
            if dies < 0:
                break
    sums[:3] /= 2.0 * pi
    return sums


def circuit(phases, fault, drop, level):
    """EMF of each wire as sine, cosine and constant; X of each; lower and upper level; how many wires are held."""
    # A single phase is two wires with half of the winding each.
    angles, share = ((0.0, pi), 0.5) if phases == 1 else ((0.0, 2.0 * pi / 3.0, 4.0 * pi / 3.0), 1.0)
    emf = np.array([(share * np.cos(turn), -share * np.sin(turn), 0.0) for turn in angles])
    low, high = np.full(len(angles), 0.0), np.full(len(angles), level)
    if fault == OPEN:
        high[0] = OUT_OF_REACH
    if fault == SHORTED:
        low[1:], high[0] = -drop, 0.0
    return emf, share, low, high, 1 if fault == SHORTED else 0


def figures(phases, fault, drop, resistive, level):
    """Mean and ripple of the bus current, RMS of the windings, greatest wire current; highest volts that float."""
    decay = resistive / (1.0 - resistive)
    turns = LEAST_TURNS + ceil(log(FORGOTTEN) / (2.0 * pi * decay))
    emf, x, low, high, fixed = circuit(phases, fault, drop, level)
    mean, square, wires, peak, floats = wave(emf, x, low, high, fixed, decay, turns)
    unit = 1.0 + decay
    ripple, winding = sqrt(max(square - mean**2, 0.0)), sqrt(wires / len(low))
    return unit * mean, unit * ripple, unit * winding, unit * peak, floats


def cut_in(phases, fault, drop, resistive):
    """Highest level that is reached: of a shorted bridge the volts that its wires float to, where none is drawn."""
    if fault == SHORTED:
        return figures(phases, fault, drop, resistive, OUT_OF_REACH)[-1]
    return 1.0 if phases == 1 else sqrt(3.0)


def main():
    """Write the maps."""
    rows = [HEADINGS]
    for phases in (1, 3):
        for fault, drops in DROPS.items():
            for drop in drops:
                for root in np.linspace(LEAST_ROOT, MOST_ROOT, ROOTS[fault]):
                    top = cut_in(phases, fault, drop, root**2)
                    for reach in np.linspace(0.0, 1.0, REACHES[fault]):
                        found = figures(phases, fault, drop, root**2, top * (1.0 - reach**2))
                        places = f"{phases},{fault},{drop:g},{root:.4g},{reach:.4g},{top:.5f}"
                        rows.append(places + "".join(f",{one:.4g}" if one > 1e-9 else ",0" for one in found[:4]))
            print(phases, fault, len(rows))
    FILE.write_text("\n".join(rows) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
