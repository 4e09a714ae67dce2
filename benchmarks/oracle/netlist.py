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
from itertools import pairwise
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
    line_count,
    sensing_of,
)
from ampwright.electrics.diode import Diode
from oracle.common import diode, electrical_rad_s, junction, minus, out, period_s
from oracle.excited import ac_side, cut_out, excited_Vs, field_side

LEAK_OHM = 1e6
STEEPNESS = 200.0
SWITCH_OHM, DAMPING_OHM = 0.003, 20e3


@dataclass(frozen=True)
class Fineness:
    """How finely ngspice works: longest step as a share of the period, and its own tolerance."""

    steps_per_period: int
    reltol: float


# As most people would run it, and as closely as it will go in bearable time.
DYNAMO_STEP_S = 2e-5
AS_A_USER = Fineness(100, 1e-3)
TIGHT, TIGHT_SWITCHING = Fineness(1000, 1e-4), Fineness(1000, 3e-5)


@dataclass(frozen=True)
class Piece:
    """A winding, or a part of one: its name, the node its EMF stands on, its phase and its resistance."""

    name: str
    base: str
    phase: int
    ohm: float


@dataclass(frozen=True)
class Netlist:
    """The text, and the windings in it."""

    text: str
    pieces: tuple[Piece, ...]


def write(circuit: Circuit, from_s: float, to_s: float, fineness: Fineness, other_method: bool = False) -> Netlist:
    """Netlist of a circuit with its analysis, saved from a little before `from_s`."""
    windings, pieces = _generator(circuit)
    lines = ["* charging circuit on the bench", *_models(circuit), *windings, *_leads(circuit), *_bridge(circuit)]
    box = [f"v({node})" for node in (out(circuit), minus(circuit)) if node not in ("bus", "0")]
    saved = ["v(bus)", *box, "i(Vrectified)", *(f"v(wire{n})" for n in range(1, line_count(circuit) + 1))]
    for piece in pieces:
        saved += [f"i(Lwinding{piece.name})", f"v(emf{piece.name})", f"v({piece.base})"]
    for part in (_gate, _thyristors, _mosfets, _zener, _storage, _loads, _ignition, field_side, cut_out, ac_side):
        more, kept = part(circuit)
        lines += more
        saved += kept
    # Trapezoidal steps ring with a latch and fire thyristors; without any they are the better ones.
    slow = sensing_of(circuit) is not None and circuit.field is None
    step_s = period_s(circuit) / fineness.steps_per_period
    if circuit.winding.layout == "dynamo":
        step_s = DYNAMO_STEP_S  # nothing alternates; its regulator is slow
    lines += [
        f".options method={'gear' if slow != other_method else 'trap'} reltol={fineness.reltol:g}",
        ".options abstol=1e-9 vntol=1e-6 chgtol=1e-12 itl4=60 trtol=2",
        ".save " + " ".join(saved),
        f".tran {step_s:.12g} {to_s + 2 * step_s:.15g} {max(0.0, from_s - 2 * step_s):.15g} {step_s:.12g} uic",
        ".end",
    ]
    return Netlist("\n".join(lines) + "\n", pieces)


def _wires(circuit: Circuit) -> list[int]:
    """Lines that the box has and the machine feeds."""
    return [n for n in circuit.box.lines if n <= line_count(circuit)]


def _pole(pole: str | None) -> str:
    return "bus" if pole == "plus" else "0"


def _models(circuit: Circuit) -> list[str]:
    """The diode of the bridge."""
    return [] if circuit.rectifier is None else diode("diode", circuit.rectifier)


def _turning(circuit: Circuit) -> tuple[str, str]:
    """Electrical angle and speed as expressions of time."""
    speed, start = electrical_rad_s(circuit), circuit.start
    if start is None or start.ramp_s == 0.0:
        return f"({speed:.15g}*time)", f"{speed:.15g}"
    ramp = start.ramp_s
    angle = f"(time < {ramp!r} ? {speed / (2 * ramp)!r}*time*time : {speed * ramp / 2!r}+{speed!r}*(time-{ramp!r}))"
    return angle, f"(time < {ramp!r} ? {speed / ramp!r}*time : {speed!r})"


def _ends(circuit: Circuit) -> list[tuple[str, str, float]]:
    """Inner end, outer end and angle in degrees of every phase."""
    winding, outer = circuit.winding, _generator_end(circuit)
    if winding.layout == "bi-phase":
        tap = "tap" if winding.common is None else _pole(winding.common)
        return [(tap, outer[0], 0.0), (tap, outer[1], 180.0)]
    if winding.layout in ("half-wave", "dynamo"):
        return [(_pole(winding.common), outer[0], 0.0)]
    if circuit.alternator.phases == 1:
        return [(outer[1], outer[0], 0.0)]
    return [("star", outer[k], 120.0 * k) for k in range(3)]


def _generator_end(circuit: Circuit) -> list[str]:
    leads = circuit.leads.line_ohm
    return [f"gen{n}" if leads[n - 1] > 0.0 else f"wire{n}" for n in range(1, line_count(circuit) + 1)]


def _generator(circuit: Circuit) -> tuple[list[str], tuple[Piece, ...]]:
    machine, winding = circuit.alternator, circuit.winding
    angle, speed = _turning(circuit)
    times = winding.coils_total / winding.coils_used
    lines, pieces = [f"Bangle angle 0 V={angle}", f"Bspeed speed 0 V={speed}"], list[Piece]()
    faults = {fault.phase: fault for fault in winding.faults}
    for phase, (inner, outer, degrees) in enumerate(_ends(circuit), start=1):
        fault = faults.get(phase)
        if winding.iron_loss_ohm is not None:
            lines.append(f"Riron{phase} {inner} {outer} {winding.iron_loss_ohm:.12g}")
        if fault is not None and fault.open:
            continue
        cuts = {0.0, 1.0}
        if fault is not None:
            cuts |= {fault.shorted_share, fault.leak_share if fault.leak_ohm is not None else 0.0}
        marks = sorted(cuts)
        named = {cut: f"turns{phase}_{k}" for k, cut in enumerate(marks)} | {0.0: inner, 1.0: outer}
        if fault is not None and fault.shorted_share > 0.0:
            lines.append(f"Rbridged{phase} {inner} {named[fault.shorted_share]} {max(fault.short_ohm, 1e-6):.12g}")
        if fault is not None and fault.leak_ohm is not None:
            lines.append(f"Rfault{phase} {named[fault.leak_share]} {_pole(fault.leak_to)} {fault.leak_ohm:.12g}")
        for k, (low, high) in enumerate(pairwise(marks)):
            piece = Piece(f"{phase}_{k}", named[low], phase, (high - low) * times * float(machine.resistance_ohm))
            pieces.append(piece)
            lines.append(_emf(circuit, piece, high - low, degrees))
            henry = (high - low) * times * float(machine.inductance_H)
            lines += _impedance(circuit, piece, named[high], henry)
    if any(piece.base == "star" for piece in pieces):
        lines.append(f"Rstar star 0 {LEAK_OHM:g}")
    if winding.layout == "bi-phase" and winding.common is None:
        lines.append(f"Rtap tap 0 {LEAK_OHM:g}")
    return lines, tuple(pieces)


def _emf(circuit: Circuit, piece: Piece, share: float, degrees: float) -> str:
    linkage_Vs, speed_V = share * float(circuit.alternator.emf_Vs), electrical_rad_s(circuit)
    if circuit.field is not None:
        # The product of a wave and the flux linkage; the latter a microsecond behind, so that no loop is instantaneous.
        wave = (
            f"DC {speed_V:.15g}"
            if circuit.winding.layout == "dynamo"
            else (f"SIN(0 {speed_V:.15g} {1.0 / period_s(circuit):.15g} 0 0 {-degrees:.15g})")
        )
        name = piece.name
        return (
            f"Vwave{name} wave{name} 0 {wave}\n"
            f"Blinked{name} linked{name} 0 V={linkage_Vs:.15g}+{excited_Vs(circuit.field)}\n"
            f"Rlinked{name} linked{name} late{name} 1k\nClinked{name} late{name} 0 1n IC=0\n"
            f"Eemf{name} emf{name} {piece.base} POLY(2) wave{name} 0 late{name} 0 0 0 0 0 1"
        )
    if circuit.start is None:
        peak_V, hertz = linkage_Vs * electrical_rad_s(circuit), 1.0 / period_s(circuit)
        return f"Vemf{piece.name} emf{piece.name} {piece.base} SIN(0 {peak_V:.15g} {hertz:.15g} 0 0 {-degrees:.15g})"
    wave = f"{linkage_Vs:.15g}*V(speed)*sin(V(angle)-{degrees * pi / 180.0:.15g})"
    return f"Bemf{piece.name} emf{piece.name} {piece.base} V={wave}"


def _impedance(circuit: Circuit, piece: Piece, outer: str, henry: float) -> list[str]:
    """Resistance and inductance of a winding; one that falls with current is integrated by a capacitor of 1 F."""
    name, bend_A = piece.name, circuit.winding.bend_A
    lines = [f"Rwinding{name} emf{name} coil{name} {max(piece.ohm, 1e-6):.12g}"]
    if bend_A is None:
        return [*lines, f"Lwinding{name} coil{name} {outer} {henry:.12g} IC=0"]
    # di/dt = v (1 + (i / bend)^2) / L on a capacitor; a unit inductor of no consequence carries i as Lwinding.
    slope = f"(V(coil{name})-V(drop{name}))*(1+pow(V(amps{name})/{bend_A:.12g},2))/{henry:.12g}"
    return [
        *lines,
        f"Bamps{name} 0 amps{name} I={slope}",
        f"Camps{name} amps{name} 0 1 IC=0",
        f"Bflow{name} coil{name} drop{name} I=V(amps{name})",
        f"Lwinding{name} drop{name} {outer} 1e-9 IC=0",
    ]


def _leads(circuit: Circuit) -> list[str]:
    leads = circuit.leads
    lines = [
        f"Rline{n} gen{n} wire{n} {leads.line_ohm[n - 1]:.12g}"
        for n in range(1, line_count(circuit) + 1)
        if leads.line_ohm[n - 1] > 0.0
    ]
    if leads.plus_ohm > 0.0:
        lines.append(f"Rplus out bus {leads.plus_ohm:.12g}")
    if leads.minus_ohm > 0.0:
        lines.append(f"Rminus minus 0 {leads.minus_ohm:.12g}")
    if circuit.joined_lines is not None:
        first, second = (_generator_end(circuit)[n - 1] for n in circuit.joined_lines)
        lines.append(f"Rjoined {first} {second} 1e-3")
    return lines


def _bridge(circuit: Circuit) -> list[str]:
    """Two arms a wire, but for the side that the winding's common end is on; a faulty arm by what is wrong with it."""
    winding = circuit.winding
    one_sided = winding.layout == "half-wave" or (winding.layout == "bi-phase" and winding.common is not None)
    # Where the winding's common end is on plus, the box gives its current by taking it in at minus.
    back = one_sided and winding.common == "plus"
    if circuit.winding.layout == "dynamo":
        return []
    lines = [f"Vrectified {minus(circuit)} back 0"] if back else [f"Vrectified plus {out(circuit)} 0"]
    lines += [f"Rleak{n} wire{n} 0 {LEAK_OHM:g}" for n in range(1, line_count(circuit) + 1)]
    for n in _wires(circuit) if circuit.rectifier is not None else ():
        for pole, ends in (("plus", f"wire{n} plus"), ("minus", f"{'back' if back else minus(circuit)} wire{n}")):
            if one_sided and pole == (winding.common or "minus"):
                continue
            series = pole == "plus" and isinstance(circuit.regulator, ThyristorSeries)
            fault = next((each for each in circuit.box.faults if (each.line, each.pole) == (n, pole)), None)
            if fault is not None and fault.bridged_ohm is not None:
                lines.append(f"Rarm_{pole}{n} {ends} {fault.bridged_ohm:.12g}")
            if fault is not None and fault.law is not None:
                lines += [*diode(f"arm_{pole}{n}", fault.law), f"Xarm_{pole}{n} {ends} arm_{pole}{n}"]
            elif not series and not (fault is not None and fault.open):
                lines.append(f"X{pole}{n} {ends} diode")
    return lines


def _feedback_V(hysteresis_V: float) -> float:
    fold = acosh(sqrt(STEEPNESS / 2.0))
    return 0.5 * hysteresis_V / (0.5 - fold / STEEPNESS - 0.5 * (1.0 - tanh(fold)))


def _gate(circuit: Circuit) -> tuple[list[str], list[str]]:
    sensing: Sensing | None = sensing_of(circuit)
    if sensing is None:
        return [], []
    dynamo = circuit.winding.layout == "dynamo"
    sensed = "wire1" if dynamo else out(circuit)
    start_V = circuit.battery.emf_V if circuit.battery is not None and not dynamo else 0.0
    back_V = _feedback_V(sensing.hysteresis_V)
    inside = f"V(sensed)-{sensing.set_V:.12g}+{back_V:.12g}*(V(set)-0.5)"
    fired = "1-V(set)" if isinstance(circuit.regulator, ThyristorSeries) else "V(set)"
    return [
        f"Ebus copy 0 {sensed} {minus(circuit)} 1",
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
    ends = minus(circuit) if isinstance(regulator, ThyristorShunt) else "plus"
    behind = Diode(law.saturation_A, law.ideality, max(1e-4, float(law.resistance_ohm) - SWITCH_OHM))
    lines, saved = [junction("fired", behind)], []
    for n in _wires(circuit):
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
    for n in _wires(circuit):
        law = f"V(drain{n},{minus(circuit)})*(1e-6+{0.5 * siemens:.9g}*(1+tanh(20*(V(gate)-0.5))))"
        lines += [f"Vmosfet{n} wire{n} drain{n} 0", f"Bmosfet{n} drain{n} {minus(circuit)} I={law}"]
        saved.append(f"i(Vmosfet{n})")
    return lines, saved


def _zener(circuit: Circuit) -> tuple[list[str], list[str]]:
    lines, saved = list[str](), list[str]()
    for number, zener in enumerate((circuit.regulator, circuit.second_zener), start=1):
        if not isinstance(zener, Zener):
            continue
        knee = Diode(zener.saturation_A, zener.ideality, zener.resistance_ohm)
        lines += [
            junction(f"knee{number}", knee),
            f"Vzener{number} {out(circuit)} anode{number} 0",
            f"Vknee{number} cathode{number} {minus(circuit)} {zener.zener_V:.12g}",
            f"Dzener{number} anode{number} cathode{number} knee{number}",
        ]
        if circuit.battery is not None and circuit.battery.emf_V < 0.0:
            lines.append(f"Dwrongway{number} {minus(circuit)} anode{number} knee{number}")
        saved.append(f"i(Vzener{number})")
    return lines, saved


def _storage(circuit: Circuit) -> tuple[list[str], list[str]]:
    lines, saved = ["Rbus bus 0 1e9"], list[str]()
    if circuit.battery is not None:
        ohm = circuit.battery.resistance_ohm + circuit.leads.battery_ohm
        lines += [f"Rbattery bus cell {max(ohm, 1e-6):.12g}"]
        lines += [f"Vbattery cell 0 {circuit.battery.emf_V:.12g}"]
        saved.append("i(Vbattery)")
    if circuit.capacitor is not None:
        lines += [f"Rcapacitor bus plate {max(circuit.capacitor.esr_ohm, 1e-4):.12g}"]
        lines += ["Vcapacitor plate inner 0", f"Ccapacitor inner 0 {circuit.capacitor.capacitance_F:.12g} IC=0"]
        saved += ["i(Vcapacitor)", "v(inner)"]
    return lines, saved


def _loads(circuit: Circuit) -> tuple[list[str], list[str]]:
    lead, turned = circuit.leads.load_ohm, circuit.battery is not None and circuit.battery.emf_V < 0.0
    lines = ["Vload bus feed 0", f"Rfeed feed fed {lead:.12g}" if lead > 0.0 else "Vfeed feed fed 0", "Rfed fed 0 1e9"]
    for number, load in enumerate(circuit.loads, start=1):
        if isinstance(load, Resistor):
            lines.append(f"Rload{number} fed 0 {load.resistance_ohm:.12g}")
        else:
            # A switch of sign at nothing stops ngspice, so the lamp is turned round where the battery is.
            fed = "-V(fed)" if turned else "V(fed)"
            amps = f"{load.power_W / load.rated_V:.12g}*pow(max({fed},1e-3)/{load.rated_V:.12g},{load.exponent:.12g})"
            law = f"-{amps}" if turned else amps
            lines.append(f"Bload{number} fed 0 I={law}")
    return lines, ["i(Vload)"]


def _ignition(circuit: Circuit) -> tuple[list[str], list[str]]:
    ignition = circuit.ignition
    cam = f"V(angle)*{0.5 / float(circuit.alternator.pole_pairs):.15g}"
    if isinstance(ignition, PulsedIgnition):
        edge = f"cos({ignition.pulses_per_cam_turn}*({cam}))-{cos(pi * ignition.duty):.15g}"
        law = f"{ignition.peak_A:.12g}*V(pulse)*min(1,max(V(coils),0)/3)"
        lines = [f"Bpulse pulse 0 V=0.5*(1+tanh(20000*({edge})))", "Vignition fed coils 0", f"Bcharge coils 0 I={law}"]
        return lines, ["i(Vignition)"]
    if not isinstance(ignition, CoilIgnition):
        return [], []
    lines, saved = [".model clamp D(IS=1e-12 N=1 RS=0.1)"], []
    siemens = 1.0 / max(ignition.points_resistance_ohm, 1e-6)
    for k in range(ignition.coils):
        edge = f"cos({cam}+{2.0 * pi * k / ignition.coils:.15g})-{cos(pi * ignition.dwell):.15g}"
        lines += [
            f"Bpoints{k} points{k} 0 V=0.5*(1+tanh(20000*({edge})))",
            f"Rprimary{k} fed primary{k} {ignition.resistance_ohm:.12g}",
            f"Lprimary{k} primary{k} far{k} {ignition.inductance_H:.12g} IC=0",
            f"Bcontact{k} far{k} 0 I=V(far{k})*(1e-7+{siemens:.12g}*V(points{k}))",
            f"Dclamp{k} far{k} held{k} clamp",
            f"Vclamp{k} held{k} 0 {ignition.clamp_V:.12g}",
            f"Rdamp{k} far{k} 0 {DAMPING_OHM:g}",
        ]
        saved += [f"i(Lprimary{k})", f"v(points{k})"]
    return lines, saved
