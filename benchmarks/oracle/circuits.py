"""Circuits at random: every regulator, one and three phases, with and without a battery, 6 and 12 V."""

from math import exp, log, pi

import numpy as np

from ampwright.electrics.alternator import Alternator
from ampwright.electrics.circuit import (
    Battery,
    Capacitor,
    Circuit,
    CoilIgnition,
    MosfetShunt,
    PulsedIgnition,
    Regulator,
    Resistor,
    Sensing,
    Start,
    Thyristor,
    ThyristorSeries,
    ThyristorShunt,
    Zener,
)
from ampwright.electrics.diode import Diode
from ampwright.electrics.load import Filament

WITH_BATTERY = ("none", "zener", "thyristor_shunt", "mosfet_shunt", "thyristor_series")
BATTERYLESS = ("points", "pulsed", "kick start")
KINDS = (*WITH_BATTERY, *BATTERYLESS)
Rng = np.random.Generator


def random_circuit(rng: Rng, kind: str, phases: int) -> Circuit:
    """A circuit of a kind, its figures spread about those of real machines (assumed)."""
    volts = float(rng.choice([6.0, 12.0], p=[0.25, 0.75]))
    machine = _machine(rng, phases, volts)
    diode = Diode(10.0 ** rng.uniform(-8.0, -6.5), rng.uniform(1.5, 2.0), rng.uniform(0.004, 0.015))
    reach = float(machine.emf_Vs) * (1.0 if phases == 1 else 3.0**0.5)
    cut_in = (1.1 * volts + 1.2) / reach / (2.0 * pi * float(machine.pole_pairs)) * 60.0
    speed = cut_in * exp(rng.uniform(log(1.05), log(5.5)))
    loads = _loads(rng, volts)
    if kind in WITH_BATTERY:
        set_V = volts * rng.uniform(1.15, 1.2)
        regulator = _regulator(rng, kind, set_V)
        below_V = rng.uniform(0.2, 2.0) * volts / 12.0
        if isinstance(regulator, ThyristorShunt | MosfetShunt | ThyristorSeries):
            # A full battery and few lamps, or there is nothing to regulate.
            below_V, loads = 0.5 * regulator.sensing.hysteresis_V + rng.uniform(0.02, 0.1), loads[:1]
            speed = cut_in * exp(rng.uniform(log(1.5), log(5.5)))
        battery = Battery(set_V - below_V, rng.uniform(0.03, 0.08))
        return Circuit(speed, machine, diode, regulator, battery, None, loads)
    zener = _regulator(rng, "zener", volts * rng.uniform(1.15, 1.25))
    capacitor = Capacitor(float(rng.choice([0.0047, 0.01, 0.022])), rng.uniform(0.01, 0.06))
    ignition = _pulsed(rng) if kind == "pulsed" else _coil(rng, volts)
    start = Start(rng.uniform(0.15, 0.5), rng.uniform(0.2, 0.4)) if kind == "kick start" else None
    if kind == "kick start":
        speed = rng.uniform(400.0, 900.0) * 3.0 / float(machine.pole_pairs)
        loads = ()
    return Circuit(speed, machine, diode, zener, None, capacitor, loads[:1], ignition, start)


def _machine(rng: Rng, phases: int, volts: float) -> Alternator:
    emf = (rng.uniform(0.040, 0.070) if phases == 1 else rng.uniform(0.022, 0.040)) * (0.6 if volts < 9.0 else 1.0)
    limit_A = rng.uniform(8.0, 25.0)
    return Alternator(
        phases=1 if phases == 1 else 3,
        pole_pairs=int(rng.integers(2, 7)),
        emf_Vs=emf,
        resistance_ohm=rng.uniform(0.2, 0.7) * 10.0 / limit_A * volts / 12.0,
        inductance_H=(2.0 if phases == 1 else 3.0) / pi * emf / limit_A,
    )


def _loads(rng: Rng, volts: float) -> tuple[Filament | Resistor, ...]:
    loads: list[Filament | Resistor] = []
    if rng.random() < 0.6:
        loads.append(Filament(float(rng.choice([5.0, 21.0, 35.0])), volts))
    if rng.random() < 0.4:
        loads.append(Resistor(volts**2 / rng.uniform(5.0, 60.0)))
    return tuple(loads)


def _regulator(rng: Rng, kind: str, set_V: float) -> Regulator | None:
    if kind == "none":
        return None
    if kind == "zener":
        return Zener(set_V - 0.6, rng.uniform(0.05, 0.3), 1e-7, rng.uniform(1.0, 1.5))
    sensing = Sensing(set_V, rng.uniform(0.05, 0.3), rng.uniform(0.001, 0.02))
    if kind == "mosfet_shunt":
        return MosfetShunt(sensing, rng.uniform(0.004, 0.02))
    junction = Diode(10.0 ** rng.uniform(-9.0, -8.0), rng.uniform(1.6, 1.9), rng.uniform(0.01, 0.025))
    thyristor = Thyristor(junction, 0.001)
    return ThyristorShunt(sensing, thyristor) if kind == "thyristor_shunt" else ThyristorSeries(sensing, thyristor)


def _coil(rng: Rng, volts: float) -> CoilIgnition:
    ohm = rng.uniform(3.0, 4.5) if volts > 9.0 else rng.uniform(1.4, 2.0)
    return CoilIgnition(int(rng.integers(1, 3)), ohm, rng.uniform(5e-3, 9e-3), rng.uniform(0.35, 0.6), 0.03, 250.0)


def _pulsed(rng: Rng) -> PulsedIgnition:
    return PulsedIgnition(int(rng.integers(1, 3)), rng.uniform(2.0, 4.0), rng.uniform(0.1, 0.35))
