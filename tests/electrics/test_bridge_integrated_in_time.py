"""
A second method for the bridge: a general ODE solver, with every diode switched by its own volts and current.

It knows no symmetry, no regime and no angle beforehand: it starts from rest, finds each switching as an event, and the
current is averaged over the last of several periods.
"""

from math import pi

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from ampwright.electrics.rectified import single_phase_current_A, three_phase_current_A


class Bridge:
    """Wires of a star, each with an EMF, a reactance and a resistance, on a diode bridge. Angle stands for time."""

    def __init__(self, emf, volts, reactance, resistance, phases):
        self.volts = volts
        # A single phase is a star of two, each half of the winding.
        share = 0.5 if phases == 1 else 1.0
        self.emf, self.reactance, self.resistance = share * emf, share * reactance, share * resistance
        self.turns = np.array([0.0, pi]) if phases == 1 else 2.0 * pi / 3.0 * np.arange(3)

    def emfs(self, angle):
        return self.emf * np.sin(angle - self.turns)

    def terminals(self, angle, side):
        """Volts of every wire above the negative rail, from those that conduct (side +1 upper, -1 lower diode)."""
        on = side != 0
        rails = np.where(side > 0, self.volts, 0.0)
        return np.where(on, rails, self.emfs(angle) + (rails - self.emfs(angle))[on].mean())

    def slopes(self, angle, state, side):
        on = side != 0
        if not on.any():
            return np.zeros_like(state)
        terminal = self.terminals(angle, side)
        star = (terminal - self.emfs(angle))[on].mean()
        drive = self.emfs(angle) + star - terminal - self.resistance * state[:-1]
        return np.append(np.where(on, drive / self.reactance, 0.0), state[:-1][side > 0].sum())

    def switched(self, angle, current):
        """Which diodes conduct: those that carry a current, and those that their volts have just opened."""
        side = np.sign(current).astype(int)
        if not side.any():
            emfs = self.emfs(angle)
            if np.ptp(emfs) >= self.volts - 1e-9:
                side[np.argmax(emfs)], side[np.argmin(emfs)] = 1, -1
        elif (side == 0).any():
            terminal = self.terminals(angle, side)
            side = np.where((side == 0) & (terminal >= self.volts - 1e-9), 1, side)
            side = np.where((side == 0) & (terminal <= 1e-9), -1, side)
        return side

    def events(self, side):
        """Functions of angle and state that fall through zero where a diode opens or closes."""
        if not side.any():
            return [lambda angle, state: self.volts - np.ptp(self.emfs(angle))]
        ends = [lambda angle, state, k=k: side[k] * state[k] for k in np.flatnonzero(side)]
        idle = np.flatnonzero(side == 0)
        tops = [lambda angle, state, k=k: self.volts - self.terminals(angle, side)[k] for k in idle]
        bottoms = [lambda angle, state, k=k: self.terminals(angle, side)[k] for k in idle]
        return ends + tops + bottoms

    def mean_current(self, periods=10):
        angle, state, charge = 0.0, np.zeros(self.turns.size + 1), []
        while len(charge) < periods:
            side = self.switched(angle, state[:-1])
            events = self.events(side)
            for event in events:
                event.terminal, event.direction = True, -1
            boundary = (len(charge) + 1) * 2.0 * pi
            run = solve_ivp(
                self.slopes, (angle, boundary), state, args=(side,), events=[_with_side(e) for e in events],
                rtol=1e-9, atol=1e-12, max_step=0.1,
            )  # fmt: skip
            angle, state = run.t[-1], run.y[:, -1]
            state[:-1] = np.where(side * state[:-1] <= 1e-10, 0.0, state[:-1])
            if run.status == 0:
                charge.append(state[-1])
        return (charge[-1] - charge[-2]) / (2.0 * pi)


def _with_side(event):
    """The solver hands its extra argument to events too."""

    def called(angle, state, _side):
        return event(angle, state)

    called.terminal, called.direction = event.terminal, event.direction
    return called


@pytest.mark.parametrize(
    "volts, resistance",
    # each regime: three diodes always; three then two; pulses that are joined; lone pulses
    [
        (1.0, 0.2),
        (1.30, 0.05),
        (1.45, 0.1),
        (1.55, 0.3),
        (1.60, 0.1),
        (1.60, 2.0),
        (1.63, 0.02),
        (1.65, 0.05),
        (1.635, 1.0),
        (1.605, 3.0),
        (1.68, 0.1),
        (1.60, 5.0),
    ],
)
def test_three_phase_current_agrees_with_integration_in_time(volts, resistance):
    # second method: ODE solver; 1e-6 for what the start leaves after ten periods
    integrated = Bridge(1.0, volts, 1.0, resistance, 3).mean_current()
    assert three_phase_current_A(1.0, 1.0, resistance, volts) == pytest.approx(integrated, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("volts, resistance", [(0.3, 0.2), (0.45, 0.2), (0.7, 0.05), (0.7, 2.0), (0.9, 0.3)])
def test_single_phase_current_agrees_with_integration_in_time(volts, resistance):
    # second method, as above
    integrated = Bridge(1.0, volts, 1.0, resistance, 1).mean_current()
    assert single_phase_current_A(1.0, 1.0, resistance, volts) == pytest.approx(integrated, rel=1e-6, abs=1e-9)


def test_a_late_pulse_of_one_line_voltage_is_not_the_whole_current_until_it_ends_unjoined():
    lone_A = 3.0 * single_phase_current_A(np.sqrt(3.0), 2.0, 0.002, np.array([1.64, 1.67]))
    current = three_phase_current_A(1.0, 1.0, 0.001, np.array([1.64, 1.67]))
    # second method: at 1.64 the third phase joins first, and a fifth of the current would be missed
    assert current[0] == pytest.approx(Bridge(1.0, 1.64, 1.0, 0.001, 3).mean_current(), rel=1e-6)
    assert lone_A[0] < 0.8 * current[0]
    # own derivation: above 1.659 the pulse is alone
    assert lone_A[1] == pytest.approx(current[1], rel=1e-12)
