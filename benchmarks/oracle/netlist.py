"""
A circuit of the bench as an ngspice netlist.

Written apart from the engine's own layout, part by part. What is not a plain device:

- The comparator is a bistable: its output feeds back on its input and is slowed by 1 us. It folds over where
  K / 2 sech^2 x = 1; `_feedback_V` stretches the feedback so that the folds lie at the wanted hysteresis.
- A thyristor is an ammeter, a smooth switch and a diode. A latch behind 1 us keeps the switch on while it is fired or
  carries more than its holding current. The switch has 3 milliohm, which the diode's resistance makes good.
- A smooth gate would let a MOSFET regulate like a transistor, hence the steep tanh.
- Points are a steep switch; the coil's far end is held by a diode to the clamp and damped by 20 kilohm.
"""

from dataclasses import dataclass
from math import acosh, cos, pi, sqrt, tanh

from ampwright.electrics.circuit import (
    Circuit,
    CoilIgnition,
    MosfetShunt,
    PulsedIgnition,
    Resistor,
    Sensing,
    ThyristorSeries,
    ThyristorShunt,
    Zener,
    sensing_of,
)
from ampwright.electrics.diode import THERMAL_VOLTAGE_V, Diode, DiodeLine

LEAK_OHM = 1e6
STEEPNESS = 200.0
SWITCH_OHM, DAMPING_OHM = 0.003, 20e3
# A line for a diode: a very steep junction behind a source.
STEEP_IDEALITY, STEEP_SATURATION_A = 0.05, 1e-9


@dataclass(frozen=True)
class Fineness:
    """How finely ngspice works: longest step as a share of the period, and its own tolerance."""

    steps_per_period: int
    reltol: float


# As most people would run it, and as closely as it will go in bearable time.
AS_A_USER = Fineness(100, 1e-3)
TIGHT, TIGHT_SWITCHING = Fineness(1000, 1e-4), Fineness(1000, 3e-5)


@dataclass(frozen=True)
class Netlist:
    """The text, and what is saved of each kind of part: names of the vectors in ngspice's words."""

    text: str
    thyristors: int
    mosfets: int


def write(circuit: Circuit, from_s: float, to_s: float, fineness: Fineness) -> Netlist:
    """Netlist of a circuit with its analysis, saved from a little before `from_s`."""
    lines = ["* charging circuit on the bench", *_models(circuit), *_generator(circuit), *_bridge(circuit)]
    saved = ["v(bus)", "i(Vrectified)", *_saved_of_generator(circuit)]
    for part in (_gate, _thyristors, _mosfets, _zener, _storage, _loads, _ignition):
        more, kept = part(circuit)
        lines += more
        saved += kept
    step_s = _period_s(circuit) / fineness.steps_per_period
    slow = sensing_of(circuit) is not None
    lines += [
        f".options method={'gear' if slow else 'trap'} reltol={fineness.reltol:g} abstol=1e-9 vntol=1e-6 chgtol=1e-12"
        " itl4=60 trtol=2",
        ".save " + " ".join(saved),
        f".tran {step_s:.12g} {to_s + 2 * step_s:.15g} {max(0.0, from_s - 2 * step_s):.15g} {step_s:.12g} uic",
        ".end",
    ]
    regulator, wires = circuit.regulator, _wires(circuit)
    return Netlist(
        "\n".join(lines) + "\n",
        wires if isinstance(regulator, ThyristorShunt | ThyristorSeries) else 0,
        wires if isinstance(regulator, MosfetShunt) else 0,
    )


def _wires(circuit: Circuit) -> int:
    return max(2, circuit.alternator.phases)


def _electrical_rad_s(circuit: Circuit) -> float:
    return 2.0 * pi * float(circuit.alternator.pole_pairs) * circuit.speed_rpm / 60.0


def _period_s(circuit: Circuit) -> float:
    return 2.0 * pi / _electrical_rad_s(circuit)


def _junction(name: str, law: Diode) -> str:
    return f".model {name} D(IS={law.saturation_A:.9g} N={law.ideality:.9g} RS={law.resistance_ohm:.9g})"


def _models(circuit: Circuit) -> list[str]:
    """The diode of the bridge, as a sub-circuit from anode to cathode."""
    law = circuit.rectifier
    if isinstance(law, Diode):
        return [_junction("bridge", law), ".subckt diode a k", "D1 a k bridge", ".ends"]
    assert isinstance(law, DiodeLine)
    steep = Diode(STEEP_SATURATION_A, STEEP_IDEALITY, law.resistance_ohm)
    # The junction itself takes this at 1 A.
    taken_V = STEEP_IDEALITY * THERMAL_VOLTAGE_V * 20.7232658
    return [_junction("bridge", steep), f".subckt diode a k\nV1 a x {law.drop_V - taken_V:.9g}\nD1 x k bridge\n.ends"]


def _turning(circuit: Circuit) -> tuple[str, str]:
    """Electrical angle and speed as expressions of time."""
    speed, start = _electrical_rad_s(circuit), circuit.start
    if start is None or start.ramp_s == 0.0:
        return f"({speed:.15g}*time)", f"{speed:.15g}"
    ramp = start.ramp_s
    angle = f"(time < {ramp!r} ? {speed / (2 * ramp)!r}*time*time : {speed * ramp / 2!r}+{speed!r}*(time-{ramp!r}))"
    return angle, f"(time < {ramp!r} ? {speed / ramp!r}*time : {speed!r})"


def _generator(circuit: Circuit) -> list[str]:
    machine = circuit.alternator
    angle, speed = _turning(circuit)
    star = "wire2" if machine.phases == 1 else "star"
    lines = [f"Bangle angle 0 V={angle}", f"Bspeed speed 0 V={speed}"]
    for k in range(machine.phases):
        n = k + 1
        emf_V = f"{machine.emf_Vs:.15g}*V(speed)*sin(V(angle)-{2.0 * pi * k / 3.0:.15g})"
        if circuit.start is None:
            peak_V, hertz = machine.emf_Vs * _electrical_rad_s(circuit), 1.0 / _period_s(circuit)
            lines.append(f"Vemf{n} emf{n} {star} SIN(0 {peak_V:.15g} {hertz:.15g} 0 0 {-120.0 * k:.15g})")
        else:
            lines.append(f"Bemf{n} emf{n} {star} V={emf_V}")
        lines.append(f"Rwinding{n} emf{n} coil{n} {max(machine.resistance_ohm, 1e-6):.12g}")
        lines.append(f"Lwinding{n} coil{n} wire{n} {machine.inductance_H:.12g} IC=0")
    if machine.phases == 3:
        lines.append(f"Rstar star 0 {LEAK_OHM:g}")
    return lines


def _saved_of_generator(circuit: Circuit) -> list[str]:
    phases = range(1, circuit.alternator.phases + 1)
    return [f"i(Lwinding{n})" for n in phases] + [f"v(wire{n})" for n in range(1, _wires(circuit) + 1)]


def _bridge(circuit: Circuit) -> list[str]:
    lines = ["Vrectified plus bus 0"]
    for n in range(1, _wires(circuit) + 1):
        lines += [f"Xlower{n} 0 wire{n} diode", f"Rleak{n} wire{n} 0 {LEAK_OHM:g}"]
        if not isinstance(circuit.regulator, ThyristorSeries):
            lines.append(f"Xupper{n} wire{n} plus diode")
    return lines


def _feedback_V(hysteresis_V: float) -> float:
    fold = acosh(sqrt(STEEPNESS / 2.0))
    return 0.5 * hysteresis_V / (0.5 - fold / STEEPNESS - 0.5 * (1.0 - tanh(fold)))


def _gate(circuit: Circuit) -> tuple[list[str], list[str]]:
    sensing: Sensing | None = sensing_of(circuit)
    if sensing is None:
        return [], []
    start_V = circuit.battery.emf_V if circuit.battery is not None else 0.0
    back_V = _feedback_V(sensing.hysteresis_V)
    inside = f"V(sensed)-{sensing.set_V:.12g}+{back_V:.12g}*(V(set)-0.5)"
    fired = "1-V(set)" if isinstance(circuit.regulator, ThyristorSeries) else "V(set)"
    return [
        "Ebus copy 0 bus 0 1",
        "Rsense copy sensed 1k",
        f"Csense sensed 0 {sensing.sense_lag_s / 1e3:.12g} IC={start_V:.12g}",
        f"Bset wanted 0 V=0.5*(1+tanh({STEEPNESS / back_V:.12g}*({inside})))",
        "Rset wanted set 1k",
        "Cset set 0 1n IC=0",
        f"Bgate gate 0 V={fired}",
    ], ["v(gate)"]


def _thyristors(circuit: Circuit) -> tuple[list[str], list[str]]:
    regulator = circuit.regulator
    if not isinstance(regulator, ThyristorShunt | ThyristorSeries):
        return [], []
    law, holding_A = regulator.thyristor.junction, regulator.thyristor.holding_A
    ends = "0" if isinstance(regulator, ThyristorShunt) else "plus"
    junction = Diode(law.saturation_A, law.ideality, max(1e-4, float(law.resistance_ohm) - SWITCH_OHM))
    lines, saved = [_junction("fired", junction)], []
    for n in range(1, _wires(circuit) + 1):
        lines += [
            f"Vthyristor{n} wire{n} in{n} 0",
            f"Bswitch{n} in{n} out{n} I=V(in{n},out{n})*(1e-6+{0.5 / SWITCH_OHM:.9g}*(1+tanh(20*(V(latch{n})-0.5))))",
            f"Dthyristor{n} out{n} {ends} fired",
            f"Bhold{n} hold{n} 0 V=max(V(gate)>0.5 ? 1 : 0, "
            f"0.5*(1+tanh((I(Vthyristor{n})-{holding_A:.9g})/{0.1 * holding_A:.9g})))",
            f"Rlatch{n} hold{n} latch{n} 1k",
            f"Clatch{n} latch{n} 0 1n IC=0",
        ]
        if ends == "plus":  # where a wire floats while its thyristor is off, a snubber keeps ngspice going
            lines += [f"Rsnub{n} wire{n} snub{n} 500", f"Csnub{n} snub{n} 0 0.5n IC=0"]
        saved.append(f"i(Vthyristor{n})")
    return lines, saved


def _mosfets(circuit: Circuit) -> tuple[list[str], list[str]]:
    if not isinstance(circuit.regulator, MosfetShunt):
        return [], []
    lines, saved = [], []
    siemens = 1.0 / max(circuit.regulator.on_resistance_ohm, 1e-6)
    for n in range(1, _wires(circuit) + 1):
        law = f"V(drain{n})*(1e-6+{0.5 * siemens:.9g}*(1+tanh(20*(V(gate)-0.5))))"
        lines += [f"Vmosfet{n} wire{n} drain{n} 0", f"Bmosfet{n} drain{n} 0 I={law}"]
        saved.append(f"i(Vmosfet{n})")
    return lines, saved


def _zener(circuit: Circuit) -> tuple[list[str], list[str]]:
    zener = circuit.regulator
    if not isinstance(zener, Zener):
        return [], []
    junction = Diode(zener.saturation_A, zener.ideality, zener.resistance_ohm)
    lines = [_junction("knee", junction), "Vzener bus anode 0", f"Vknee cathode 0 {zener.zener_V:.12g}"]
    return [*lines, "Dzener anode cathode knee"], ["i(Vzener)"]


def _storage(circuit: Circuit) -> tuple[list[str], list[str]]:
    lines, saved = [], []
    if circuit.battery is not None:
        lines += [f"Rbattery bus cell {max(circuit.battery.resistance_ohm, 1e-6):.12g}"]
        lines += [f"Vbattery cell 0 {circuit.battery.emf_V:.12g}"]
        saved.append("i(Vbattery)")
    if circuit.capacitor is not None:
        lines += [f"Rcapacitor bus plate {max(circuit.capacitor.esr_ohm, 1e-4):.12g}"]
        lines += ["Vcapacitor plate inner 0", f"Ccapacitor inner 0 {circuit.capacitor.capacitance_F:.12g} IC=0"]
        saved += ["i(Vcapacitor)", "v(inner)"]
    return lines, saved


def _loads(circuit: Circuit) -> tuple[list[str], list[str]]:
    lines = ["Vload bus fed 0", f"Rfed fed 0 {1e9:g}"]
    for number, load in enumerate(circuit.loads, start=1):
        if isinstance(load, Resistor):
            lines.append(f"Rload{number} fed 0 {load.resistance_ohm:.12g}")
        else:
            law = f"{load.power_W / load.rated_V:.12g}*pow(max(V(fed),1e-3)/{load.rated_V:.12g},{load.exponent:.12g})"
            lines.append(f"Bload{number} fed 0 I={law}")
    return lines, ["i(Vload)"]


def _ignition(circuit: Circuit) -> tuple[list[str], list[str]]:
    ignition = circuit.ignition
    cam = f"V(angle)*{0.5 / float(circuit.alternator.pole_pairs):.15g}"
    if isinstance(ignition, PulsedIgnition):
        edge = f"cos({ignition.pulses_per_cam_turn}*({cam}))-{cos(pi * ignition.duty):.15g}"
        law = f"{ignition.peak_A:.12g}*V(pulse)*min(1,max(V(coils),0)/3)"
        lines = [f"Bpulse pulse 0 V=0.5*(1+tanh(20000*({edge})))", "Vignition bus coils 0", f"Bcharge coils 0 I={law}"]
        return lines, ["i(Vignition)"]
    if not isinstance(ignition, CoilIgnition):
        return [], []
    lines, saved = [".model clamp D(IS=1e-12 N=1 RS=0.1)"], []
    siemens = 1.0 / max(ignition.points_resistance_ohm, 1e-6)
    for k in range(ignition.coils):
        edge = f"cos({cam}+{2.0 * pi * k / ignition.coils:.15g})-{cos(pi * ignition.dwell):.15g}"
        lines += [
            f"Bpoints{k} points{k} 0 V=0.5*(1+tanh(20000*({edge})))",
            f"Rprimary{k} bus primary{k} {ignition.resistance_ohm:.12g}",
            f"Lprimary{k} primary{k} far{k} {ignition.inductance_H:.12g} IC=0",
            f"Bcontact{k} far{k} 0 I=V(far{k})*(1e-7+{siemens:.12g}*V(points{k}))",
            f"Dclamp{k} far{k} held{k} clamp",
            f"Vclamp{k} held{k} 0 {ignition.clamp_V:.12g}",
            f"Rdamp{k} far{k} 0 {DAMPING_OHM:g}",
        ]
        saved += [f"i(Lprimary{k})", f"v(points{k})"]
    return lines, saved
