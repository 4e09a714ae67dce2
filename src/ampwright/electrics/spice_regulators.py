"""
The switching regulators of a charging box as lines of an ngspice netlist.

The comparator is a bistable: its output feeds back on its input and is slowed by a microsecond. It folds over where
G / 2 / cosh(x)^2 = 1 for its steepness G; the feedback is stretched so that the folds lie at the wanted hysteresis.
A thyristor is an ammeter, a smooth switch and a diode; a latch, slowed as well, keeps the switch on while it is fired
or carries more than its holding current. The switch's own resistance is taken off that of the diode.
"""

from collections.abc import Sequence
from math import acosh, sqrt, tanh

from ampwright.electrics.circuit import MosfetShunt, Sensing, Thyristor, ThyristorSeries, ThyristorShunt
from ampwright.electrics.spice import number_text

Switching = ThyristorShunt | MosfetShunt | ThyristorSeries

STEEPNESS = 200.0
SWITCH_OHM, LEAST_OHM, OFF_S = 0.003, 1e-4, 1e-6


def regulator_lines(
    regulator: Switching, wires: Sequence[str], plus: str, minus: str, start_V: float, upper: str
) -> list[str]:
    """
    A regulator between the AC leads and the DC terminals of its box, sensing the latter from ``start_V`` on.

    ``upper`` is the node that the upper arms of the bridge feed, which thyristors in series are.
    """
    lines = _comparator(regulator.sensing, plus, minus, start_V)
    fired = "1-V(set)" if isinstance(regulator, ThyristorSeries) else "V(set)"
    lines.append(f"Bgate gate 0 V={fired}")
    if isinstance(regulator, MosfetShunt):
        siemens = 0.5 / max(regulator.on_resistance_ohm, LEAST_OHM)
        for n, wire in enumerate(wires, start=1):
            law = f"V({wire},{minus})*({OFF_S:g}+{number_text(siemens)}*(1+tanh(20*(V(gate)-0.5))))"
            lines.append(f"Bmosfet{n} {wire} {minus} I={law}")
        return lines
    end = upper if isinstance(regulator, ThyristorSeries) else minus
    return lines + _thyristors(regulator.thyristor, wires, end)


def _comparator(sensing: Sensing, plus: str, minus: str, start_V: float) -> list[str]:
    fold = acosh(sqrt(STEEPNESS / 2.0))
    back_V = 0.5 * sensing.hysteresis_V / (0.5 - fold / STEEPNESS - 0.5 * (1.0 - tanh(fold)))
    over = f"V(sensed)-{number_text(sensing.set_V)}+{number_text(back_V)}*(V(set)-0.5)"
    return [
        f"Esense sense 0 {plus} {minus} 1",
        "Rsense sense sensed 1k",
        f"Csense sensed 0 {number_text(sensing.sense_lag_s / 1e3)} IC={number_text(start_V)}",
        f"Bset wanted 0 V=0.5*(1+tanh({number_text(STEEPNESS / back_V)}*({over})))",
        "Rset wanted set 1k",
        "Cset set 0 1n IC=0",
    ]


def _thyristors(thyristor: Thyristor, wires: Sequence[str], end: str) -> list[str]:
    law = thyristor.junction
    ohm = max(LEAST_OHM, float(law.resistance_ohm) - SWITCH_OHM)
    named = f"IS={number_text(law.saturation_A)} N={number_text(law.ideality)} RS={number_text(ohm)}"
    lines = [f".model fired D({named})"]
    for n, wire in enumerate(wires, start=1):
        holds = f"tanh((I(Vthyristor{n})-{number_text(thyristor.holding_A)})/{number_text(thyristor.holding_A / 10.0)})"
        closes = f"{OFF_S:g}+{number_text(0.5 / SWITCH_OHM)}*(1+tanh(20*(V(latch{n})-0.5)))"
        lines += [
            f"Vthyristor{n} {wire} in{n} 0",
            f"Bswitch{n} in{n} out{n} I=V(in{n},out{n})*({closes})",
            f"Dthyristor{n} out{n} {end} fired",
            f"Bhold{n} hold{n} 0 V=max(V(gate)>0.5 ? 1 : 0, 0.5*(1+{holds}))",
            f"Rlatch{n} hold{n} latch{n} 1k",
            f"Clatch{n} latch{n} 0 1n IC=0",
            # A wire that floats while its thyristor is off stops ngspice; next to nothing across it does not.
            f"Rsnub{n} {wire} snub{n} 500",
            f"Csnub{n} snub{n} 0 0.5n IC=0",
        ]
    return lines
