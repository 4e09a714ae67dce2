"""Machines of other kinds and machines with a fault, drawn at random like the sound ones."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from ampwright.electrics.alternator import Alternator
from ampwright.electrics.circuit import (
    AcLimiter,
    ArmFault,
    Battery,
    Box,
    Circuit,
    FieldRegulator,
    FieldWinding,
    Layout,
    Leads,
    Pole,
    Relay,
    Resistor,
    Sensing,
    Thyristor,
    VibratingContact,
    Winding,
    WindingFault,
    Zener,
)
from ampwright.electrics.diode import Diode, DiodeLine
from ampwright.electrics.load import Filament
from oracle.circuits import random_circuit

Rng = np.random.Generator
REGULATORS = ("none", "zener", "thyristor_shunt", "mosfet_shunt", "thyristor_series")


def _any(rng: Rng, phases: int | None = None) -> Circuit:
    """A circuit with a battery, with any regulator, of so many phases or any."""
    drawn = int(rng.choice([1, 3])) if phases is None else phases
    return random_circuit(rng, str(rng.choice(REGULATORS)), drawn)


def _unregulated(rng: Rng, phases: int | None = None) -> Circuit:
    drawn = int(rng.choice([1, 3])) if phases is None else phases
    return random_circuit(rng, str(rng.choice(["none", "zener"])), drawn)


def _phase(rng: Rng, circuit: Circuit) -> int:
    return int(rng.integers(1, circuit.alternator.phases + 1))


def _arm(rng: Rng, circuit: Circuit) -> tuple[int, Pole]:
    pole: Pole = "plus" if rng.random() < 0.5 else "minus"
    return int(rng.integers(1, max(2, circuit.alternator.phases) + 1)), pole


def _with_fault(circuit: Circuit, fault: WindingFault) -> Circuit:
    return replace(circuit, winding=Winding(faults=(fault,)))


def _wound(rng: Rng, **how: object) -> Circuit:
    return replace(_unregulated(rng, 1), winding=Winding(**how))  # type: ignore[arg-type]


def _falling_inductance(rng: Rng) -> Circuit:
    circuit = _unregulated(rng)
    limit_A = float(circuit.alternator.emf_Vs) / float(circuit.alternator.inductance_H)
    return replace(circuit, winding=Winding(bend_A=limit_A * rng.uniform(1.0, 3.0)))


def _arm_open(rng: Rng) -> Circuit:
    circuit = _any(rng)
    return replace(circuit, box=Box(faults=(ArmFault(*_arm(rng, circuit), open=True),)))


def _arm_shorted(rng: Rng) -> Circuit:
    circuit = _unregulated(rng)
    return replace(circuit, box=Box(faults=(ArmFault(*_arm(rng, circuit), bridged_ohm=rng.uniform(0.01, 0.05)),)))


def _arm_aged(rng: Rng) -> Circuit:
    circuit = _unregulated(rng)
    aged = DiodeLine(rng.uniform(1.2, 2.5), rng.uniform(0.05, 0.2))
    fault = ArmFault(*_arm(rng, circuit), bridged_ohm=rng.uniform(200.0, 2000.0), law=aged)
    return replace(circuit, box=Box(faults=(fault,)))


def _phase_open(rng: Rng) -> Circuit:
    return _with_fault(circuit := _any(rng, 3), WindingFault(_phase(rng, circuit), open=True))


def _turns_shorted(rng: Rng) -> Circuit:
    share, ohm = rng.uniform(0.1, 0.5), rng.uniform(0.005, 0.1)
    return _with_fault(circuit := _any(rng), WindingFault(_phase(rng, circuit), shorted_share=share, short_ohm=ohm))


def _leak(pole: Pole) -> Callable[[Rng], Circuit]:
    def drawn(rng: Rng) -> Circuit:
        circuit, share, ohm = _any(rng), rng.uniform(0.1, 1.0), rng.uniform(0.1, 20.0)
        return _with_fault(circuit, WindingFault(_phase(rng, circuit), leak_share=share, leak_ohm=ohm, leak_to=pole))

    return drawn


def _zener_as_well(kind: str) -> Callable[[Rng], Circuit]:
    def drawn(rng: Rng) -> Circuit:
        circuit = random_circuit(rng, kind, int(rng.choice([1, 3])))
        below_V = rng.uniform(0.5, 1.0)
        emf_V = circuit.battery.emf_V if circuit.battery else 0.0
        zener = Zener(emf_V + 0.5 - below_V, rng.uniform(0.1, 0.3), 1e-7, 1.2)
        return replace(circuit, second_zener=zener)

    return drawn


def _battery(rng: Rng, times: float) -> Circuit:
    circuit = _any(rng)
    battery = circuit.battery or Battery(12.6, 0.03)
    return replace(circuit, battery=Battery(battery.emf_V * times, battery.resistance_ohm))


def _battery_open(rng: Rng) -> Circuit:
    """With a capacitor, as a bus without any storage has no wave that ngspice could follow."""
    circuit = random_circuit(rng, str(rng.choice(["pulsed", "points"])), int(rng.choice([1, 3])))
    return replace(circuit, ignition=None, loads=random_circuit(rng, "none", 1).loads)


def _joint(**where: str) -> Callable[[Rng], Circuit]:
    def drawn(rng: Rng) -> Circuit:
        ohm = {name: rng.uniform(0.05, 0.4) for name in where}
        lines = (rng.uniform(0.1, 1.0), 0.0, 0.0)
        leads = Leads(lines) if "line_ohm" in where else Leads(**ohm)
        return replace(_any(rng), leads=leads)

    return drawn


def _dynamo(electronic: bool, volts: float) -> Callable[[Rng], Circuit]:
    """A small dynamo by a curve of the usual shape, with a relay and a vibrating contact, or with neither."""

    def drawn(rng: Rng) -> Circuit:
        scale = volts / 6.0
        ohm = scale**2 * rng.uniform(0.2, 0.4) * (0.5 if volts > 9.0 else 1.0)
        field_ohm = scale**2 * rng.uniform(2.5, 3.2) * (0.5 if volts > 9.0 else 1.0)
        amps = np.array([0.0, 0.5, 1.0, 1.5, 2.0, 3.0]) * 6.0 / volts * (2.0 if volts > 9.0 else 1.0)
        curve_Vs = np.array([0.4, 3.5, 6.5, 8.5, 9.6, 10.5]) * scale / (2.0 * np.pi * 1500.0 / 60.0)
        field = FieldWinding(field_ohm, field_ohm * rng.uniform(0.03, 0.08), tuple(amps), tuple(curve_Vs))
        sensing = Sensing(volts * rng.uniform(1.15, 1.2), volts * 0.03, rng.uniform(0.001, 0.004))
        regulator = FieldRegulator(sensing) if electronic else VibratingContact(sensing, field_ohm * rng.uniform(5, 10))
        return Circuit(
            speed_rpm=rng.uniform(1600.0, 3500.0),
            alternator=Alternator(1, 1, 0.0, ohm, 1e-3 * scale),
            rectifier=None,
            regulator=regulator,
            battery=Battery(volts * rng.uniform(1.04, 1.08), rng.uniform(0.05, 0.1)),
            loads=(Filament(float(rng.choice([5.0, 21.0])), volts),),
            winding=Winding(layout="dynamo"),
            field=field,
            cut_out=Diode(1e-7, 1.8, 0.01) if electronic else Relay(volts * 1.08, rng.uniform(1.0, 2.0), 0.005),
        )

    return drawn


def _wound_field(phases: int) -> Callable[[Rng], Circuit]:
    def drawn(rng: Rng) -> Circuit:
        plain = random_circuit(rng, "none", phases)
        linked = float(plain.alternator.emf_Vs) * 1.3
        curve_Vs = (0.0, 0.55 * linked, 0.85 * linked, linked)
        field = FieldWinding(rng.uniform(4.0, 8.0), rng.uniform(0.1, 0.3), (0.0, 1.0, 2.0, 3.0), curve_Vs)
        sensing = Sensing(14.2, rng.uniform(0.1, 0.3), rng.uniform(0.001, 0.005))
        battery = Battery(14.0, rng.uniform(0.03, 0.06))
        machine = replace(plain.alternator, emf_Vs=0.02 * linked)
        regulator = FieldRegulator(sensing)
        speed = max(plain.speed_rpm, 2.0 * 15.0 / linked / float(machine.pole_pairs) * 60.0 / 6.28)
        return replace(plain, alternator=machine, regulator=regulator, battery=battery, field=field, speed_rpm=speed)

    return drawn


def _lighting(layout: Layout) -> Callable[[Rng], Circuit]:
    """Lamps straight on the winding, their filaments already warm, behind a limiter."""

    def drawn(rng: Rng) -> Circuit:
        plain = random_circuit(rng, "none", 1)
        lamp = Resistor(rng.uniform(2.0, 8.0))
        limiter = AcLimiter(rng.uniform(12.0, 20.0), Thyristor(Diode(3e-9, 1.75, 0.016), 0.01))
        wound = Winding(layout=layout)
        return replace(
            plain, rectifier=None, battery=None, loads=(), winding=wound, ac_limiter=limiter, ac_loads=(lamp,)
        )

    return drawn


SICK: dict[str, Callable[[Rng], Circuit]] = {
    "bi-phase, tap on minus": lambda rng: _wound(rng, layout="bi-phase"),
    "bi-phase, tap on plus": lambda rng: _wound(rng, layout="bi-phase", common="plus"),
    "bi-phase, tap insulated": lambda rng: _wound(rng, layout="bi-phase", common=None),
    "half-wave": lambda rng: _wound(rng, layout="half-wave"),
    "half-wave on plus": lambda rng: _wound(rng, layout="half-wave", common="plus"),
    "coil groups switched": lambda rng: _wound(rng, coils_used=int(rng.integers(1, 3)), coils_total=3),
    "inductance falls with current": _falling_inductance,
    "iron loss": lambda rng: replace(_unregulated(rng), winding=Winding(iron_loss_ohm=rng.uniform(20.0, 200.0))),
    "wound field, one phase": _wound_field(1),
    "wound field, three phases": _wound_field(3),
    "dynamo with vibrating contact, 6 V": _dynamo(False, 6.0),
    "dynamo with vibrating contact, 12 V": _dynamo(False, 12.0),
    "dynamo with solid-state regulator, 6 V": _dynamo(True, 6.0),
    "dynamo with solid-state regulator, 12 V": _dynamo(True, 12.0),
    "lamps on AC with a limiter": _lighting("star"),
    "lamps on AC, winding earthed": _lighting("half-wave"),
    "arm open": _arm_open,
    "arm shorted": _arm_shorted,
    "arm aged": _arm_aged,
    "phase open": _phase_open,
    "turns shorted": _turns_shorted,
    "leak to minus": _leak("minus"),
    "leak to plus": _leak("plus"),
    "one wire of three off": lambda rng: replace(_any(rng, 3), box=Box(lines=(1, 3))),
    "single-phase box on three phases": lambda rng: replace(_any(rng, 3), box=Box(lines=(1, 2))),
    "three-phase box on one phase": lambda rng: replace(_any(rng, 1), box=Box(lines=(1, 2, 3))),
    "two lines joined": lambda rng: replace(_unregulated(rng, 3), joined_lines=(1, 2)),
    "Zener and thyristor shunt": _zener_as_well("thyristor_shunt"),
    "Zener and series regulator": _zener_as_well("thyristor_series"),
    "battery open": _battery_open,
    "battery reversed": lambda rng: replace(_battery(rng, -1.0)),
    "shorted cell": lambda rng: _battery(rng, 5.0 / 6.0),
    "bad joint in a line": _joint(line_ohm=""),
    "bad joint in plus": _joint(plus_ohm=""),
    "bad joint in minus": _joint(minus_ohm=""),
    "bad joint at the battery": _joint(battery_ohm=""),
    "bad joint at the loads": _joint(load_ohm=""),
}


def sick_circuit(rng: Rng, kind: str) -> Circuit:
    """A circuit of one of the kinds above."""
    return SICK[kind](rng)
