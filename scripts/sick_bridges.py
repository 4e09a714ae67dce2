"""
Make the maps of faulty bridges that ship with the package: mean, ripple and winding current by two numbers.

    .venv/bin/python scripts/sick_bridges.py

With diodes of a fixed drop the wave depends on V / E and on R / X alone, V the bus with the drops, E the peak EMF of a
phase, R and X its resistance and reactance. Each line is at the bus's plus while its current flows out, at its minus
while it flows in, and floats while there is none; small steps, several turns, until the wave repeats.
"""

from pathlib import Path

import numpy as np

STEPS, TURNS = 2400, 7
#: V over that of cut-in, and R / (R + X).
VOLTS, OHMS = np.linspace(0.0, 1.0, 26), np.linspace(0.0, 0.95, 11)
CUT_IN = {1: 1.0, 3: np.sqrt(3.0)}
FAULTS = ("sound", "diode open", "diode shorted")


def waves(phases: int, fault: str) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Mean and RMS ripple of the bus current, and RMS winding current, each times hypot(R, X) over E: (volts, ohms)."""
    volts, share = (grid.ravel() for grid in np.meshgrid(VOLTS * CUT_IN[phases], OHMS, indexing="ij"))
    # E = 1 and R + X = 1.
    ohm, reactance = share, 1.0 - share
    lines = 2 if phases == 1 else 3
    current = np.zeros((lines, len(volts)))
    sums = np.zeros((3, len(volts)))
    step = 2.0 * np.pi / STEPS
    for count in range(STEPS * TURNS):
        angle = count * step
        if phases == 1:
            # One phase is two lines with half of the winding each.
            emf = 0.5 * np.sin(angle) * np.array([1.0, -1.0])
            of_line = 0.5
        else:
            emf = np.sin(angle - 2.0 * np.pi * np.arange(3) / 3.0)
            of_line = 1.0
        current, bus = stepped(current, emf, volts, ohm * of_line, reactance * of_line, step, fault)
        if count >= STEPS * (TURNS - 1):
            sums += np.array([bus, bus**2, (current**2).sum(axis=0) / lines])
    mean, square, winding = sums / STEPS
    scale = np.hypot(ohm, reactance)
    shape = (len(VOLTS), len(OHMS))
    found = mean * scale, np.sqrt(np.maximum(square - mean**2, 0.0)) * scale, np.sqrt(winding) * scale
    return found[0].reshape(shape), found[1].reshape(shape), found[2].reshape(shape)


def stepped(
    current: np.ndarray, emf: np.ndarray, volts: np.ndarray, ohm: np.ndarray, x: np.ndarray, step: float, fault: str
) -> tuple[np.ndarray, np.ndarray]:
    """Currents out of the lines one step later, and what flows into the bus."""
    emf = emf[:, None] + np.zeros_like(current)
    always = np.zeros_like(current, dtype=bool)
    always[0] = fault == "diode shorted"
    no_upper = np.zeros_like(always)
    no_upper[0] = fault == "diode open"
    upper, lower = (current > 0.0) | always, (current < 0.0) & ~always
    on = upper | lower
    # A line without current joins where it lies beyond the bus; where none has any, the two farthest apart join.
    star = _star(emf, upper, on, volts)
    none = ~on.any(axis=0)
    high, low = np.where(no_upper, -9.0, emf).argmax(axis=0), emf.argmin(axis=0)
    every = np.arange(len(volts))
    reach = none & (emf[high, every] - emf[low, every] > volts)
    upper[high[reach], every[reach]] = True
    lower[low[reach], every[reach]] = True
    potential = emf + star
    some = ~on & ~none
    upper |= some & (potential > volts) & ~no_upper
    lower |= some & (potential < 0.0) & ~upper
    on = upper | lower
    star = _star(emf, upper, on, volts)
    rise = np.where(on, emf + star - np.where(upper, volts, 0.0) - ohm * current, 0.0)
    then = current + step * rise / x
    # A diode does not let its current turn round; the rest is shared so that all still add up to nothing.
    then = np.where(upper & ~always, np.maximum(then, 0.0), np.where(lower, np.minimum(then, 0.0), then))
    left, free = then.sum(axis=0), (np.abs(then) > 1e-12).sum(axis=0)
    then = np.where(np.abs(then) > 1e-12, then - left / np.maximum(free, 1), 0.0)
    middle = 0.5 * (current + then)
    return then, np.where(upper, middle, 0.0).sum(axis=0)


def _star(emf: np.ndarray, upper: np.ndarray, on: np.ndarray, volts: np.ndarray) -> np.ndarray:
    """Volts of the star point above the bus's minus: currents of the lines that conduct add up to nothing."""
    held = np.where(upper, volts, 0.0)
    return -np.where(on, emf - held, 0.0).sum(axis=0) / np.maximum(on.sum(axis=0), 1)


def main() -> None:
    """Write the maps."""
    rows = ["phases,fault,volts,ohms,mean,ripple,winding"]
    for phases in (1, 3):
        for number, fault in enumerate(FAULTS):
            mean, ripple, winding = waves(phases, fault)
            for place, volts in enumerate(VOLTS):
                for column, ohms in enumerate(OHMS):
                    figures = (mean[place, column], ripple[place, column], winding[place, column])
                    rows.append(
                        f"{phases},{number},{volts:.4f},{ohms:.4f}," + ",".join(f"{one:.5f}" for one in figures)
                    )
    path = Path(__file__).parents[1] / "src" / "ampwright" / "data" / "sick_bridges.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
