"""The charging circuit as an ngspice netlist: generator, bridge, battery, loads. Text only; nothing is run."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from ampwright.electrics.alternator import Alternator, frequency_Hz, peak_emf_V
from ampwright.electrics.circuit import Zener
from ampwright.electrics.diode import Diode
from ampwright.electrics.load import ConstantCurrent, ConstantPower, Filament, Load, PointsCoil, Resistive

# A path for leakage so that no node floats; far too large to matter.
LEAK_OHM = 1e7
SETTLE_PERIODS, SETTLE_S, MEASURED_PERIODS = 10, 0.06, 2
# Below this share of its rated volts a filament's law goes on as a resistor, so that ngspice finds a slope at nothing.
STRAIGHT_SHARE = 1e-3
# Below these volts what takes steady watts or amperes is a resistor, or it would take them out of nothing.
STEADY_ABOVE_V = 3.0


@dataclass(frozen=True)
class BatterySource:
    """Battery as a charging EMF behind a resistance."""

    emf_V: float
    resistance_ohm: float


def netlist(
    alternator: Alternator,
    speed_rpm: float,
    diode: Diode,
    battery: BatterySource,
    loads: Sequence[Filament | Resistive] = (),
    steps_per_period: int = 400,
) -> str:
    """
    Netlist of an alternator, its diode bridge, a battery and loads, with the analysis and its measures.

    Every field must be a number, not an array. Phase k has the EMF emf_Vs * w * sin(w t - 2 pi k / 3), phases in
    star. The analysis settles for ten electrical periods or 60 ms, then measures over two periods: `rectified_a`,
    `battery_a`, `load_a` (means), `bus_v` (mean), `stator_a` (RMS of phase 1), `winding_w` and `shaft_w`. Diodes are
    at 27 degC, ngspice's own default and this model's 300.15 K.
    """
    period_s = 1.0 / float(frequency_Hz(alternator.pole_pairs, speed_rpm))
    from_s = ceil(max(SETTLE_PERIODS, SETTLE_S / period_s)) * period_s
    to_s = from_s + MEASURED_PERIODS * period_s
    wires = [f"wire{n}" for n in range(1, max(alternator.phases, 2) + 1)]
    lines = [
        f"* charging circuit, {alternator.phases} phase, {speed_rpm:g} rpm",
        *generator_lines(alternator, speed_rpm, wires),
        "Vrectified plus bus 0",
        *bridge_lines(diode, wires, "plus", "0"),
        f"Rbattery bus cell {number_text(battery.resistance_ohm)}",
        f"Vbattery cell 0 {number_text(battery.emf_V)}",
        "Vload bus fed 0",
        *(load_line(f"{number}", load, "fed", "0") for number, load in enumerate(loads, start=1)),
        f"Rleak_fed fed 0 {number_text(LEAK_OHM)}",
        ".options reltol=1e-4 abstol=1e-9 vntol=1e-6 itl4=60",
        f".tran {number_text(period_s / steps_per_period)} {number_text(to_s)} 0 "
        f"{number_text(period_s / steps_per_period)} uic",
        *_measures(alternator, from_s, to_s),
        ".end",
    ]
    return "\n".join(lines) + "\n"


def number_text(value: object) -> str:
    """A number as ngspice reads it."""
    return f"{float(value):.12g}"  # type: ignore[arg-type]


def generator_lines(alternator: Alternator, speed_rpm: float, wires: Sequence[str], last: str = "") -> list[str]:
    """
    EMF, resistance and inductance of each phase, from the star point (or the second wire) to its wire.

    ``wires`` are the nodes at which the machine's wires begin; ``last`` tells two machines of one netlist apart.
    """
    emf_V, hertz = peak_emf_V(alternator, speed_rpm), frequency_Hz(alternator.pole_pairs, speed_rpm)
    star = star_of(alternator, wires)
    lines = [] if alternator.phases == 1 else [f"Rleak_star star 0 {number_text(LEAK_OHM)}"]
    for k in range(alternator.phases):
        n = f"{k + 1}{last}"
        wave = f"SIN(0 {number_text(emf_V)} {number_text(hertz)} 0 0 {number_text(-120.0 * k)})"
        lines += [
            f"Vemf{n} emf{n} {star} {wave}",
            f"Rwinding{n} emf{n} coil{n} {number_text(alternator.resistance_ohm)}",
            f"Lwinding{n} coil{n} {wires[k]} {number_text(alternator.inductance_H)} IC=0",
        ]
    return lines


def star_of(alternator: Alternator, wires: Sequence[str]) -> str:
    """The node on which the EMFs of a machine stand."""
    return wires[1] if alternator.phases == 1 else "star"


def bridge_lines(diode: Diode, wires: Sequence[str], plus: str, minus: str, *, upper: bool = True) -> list[str]:
    """Two diodes a wire, or the lower one alone where thyristors stand in the upper arms, and the diode's law."""
    law = f"IS={number_text(diode.saturation_A)} N={number_text(diode.ideality)} RS={number_text(diode.resistance_ohm)}"
    lines = [f".model bridge D({law})"]
    for n, wire in enumerate(wires, start=1):
        lines += [f"Dupper{n} {wire} {plus} bridge"] if upper else []
        lines += [f"Dlower{n} {minus} {wire} bridge", f"Rleak{n} {wire} 0 {number_text(LEAK_OHM)}"]
    return lines


def zener_lines(name: str, zener: Zener, plus: str, minus: str) -> list[str]:
    """A Zener by its law: a junction behind its volts, its current through an ammeter named after it."""
    law = f"IS={number_text(zener.saturation_A)} N={number_text(zener.ideality)} RS={number_text(zener.resistance_ohm)}"
    return [
        f".model knee_{name} D({law})",
        f"V{name} {plus} {name}_knee 0",
        f"D{name} {name}_knee {name}_behind knee_{name}",
        f"V{name}_holds {name}_behind {minus} {number_text(zener.zener_V)}",
    ]


def load_line(name: str, load: Load, feed: str, back: str) -> str:
    """A load between two nodes, whichever of them is the higher."""
    volts = f"V({feed},{back})" if back != "0" else f"V({feed})"
    duty = float(load.duty)
    match load:
        case Resistive():
            ohm = float(load.rated_V) ** 2 / (float(load.power_W) * duty)
            return f"Rload{name} {feed} {back} {number_text(ohm)}"
        case Filament():
            # i = P / V0 * x * (x^2 + small)^((k - 1) / 2) with x = V / V0: P / V0 * x^k, and a slope at nothing.
            share = f"({volts}/{number_text(load.rated_V)})"
            power = number_text((float(load.exponent) - 1.0) / 2.0)
            amps = number_text(duty * float(load.power_W) / float(load.rated_V))
            law = f"{amps}*{share}*pow({share}*{share}+{number_text(STRAIGHT_SHARE**2)},{power})"
        case ConstantPower():
            law = f"{number_text(duty * float(load.power_W))}*{volts}/max({volts}*{volts},{STEADY_ABOVE_V**2:g})"
        case ConstantCurrent():
            law = f"{number_text(duty * float(load.current_A))}*{volts}/max(abs({volts}),{STEADY_ABOVE_V:g})"
        case PointsCoil():
            raise ValueError("a coil broken by points has to be written as what it is with the points shut")
    return f"Bload{name} {feed} {back} I={law}"


def _measures(alternator: Alternator, from_s: float, to_s: float) -> list[str]:
    """Current through an EMF runs out of its plus terminal, so ngspice counts it negative: hence the signs."""
    phases = range(1, alternator.phases + 1)
    star = star_of(alternator, ["wire1", "wire2"])
    power = "+".join(f"(-i(Vemf{n}))*(v(emf{n})-v({star}))" for n in phases)
    heat = "+".join(f"{number_text(alternator.resistance_ohm)}*i(Vemf{n})*i(Vemf{n})" for n in phases)
    window = f"from={number_text(from_s)} to={number_text(to_s)}"
    return [
        f".meas tran rectified_a avg i(Vrectified) {window}",
        f".meas tran battery_a avg i(Vbattery) {window}",
        f".meas tran load_a avg i(Vload) {window}",
        f".meas tran bus_v avg v(bus) {window}",
        f".meas tran stator_a rms i(Vemf1) {window}",
        f".meas tran winding_w avg par('{heat}') {window}",
        f".meas tran shaft_w avg par('{power}') {window}",
    ]
