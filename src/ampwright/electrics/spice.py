"""The charging circuit as an ngspice netlist: generator, bridge, battery, loads. Text only; nothing is run."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from ampwright.electrics.alternator import Alternator, frequency_Hz, peak_emf_V
from ampwright.electrics.diode import Diode
from ampwright.electrics.load import Filament, Resistive

# A path for leakage so that no node floats; far too large to matter.
LEAK_OHM = 1e7
SETTLE_PERIODS, SETTLE_S, MEASURED_PERIODS = 10, 0.06, 2


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
    lines = [
        f"* charging circuit, {alternator.phases} phase, {speed_rpm:g} rpm",
        f".model bridge D(IS={_text(diode.saturation_A)} N={_text(diode.ideality)} RS={_text(diode.resistance_ohm)})",
        *_generator(alternator, speed_rpm),
        *_bridge(alternator.phases),
        f"Rbattery bus cell {_text(battery.resistance_ohm)}",
        f"Vbattery cell 0 {_text(battery.emf_V)}",
        "Vload bus fed 0",
        *(_load(number, load) for number, load in enumerate(loads, start=1)),
        f"Rleak_fed fed 0 {_text(LEAK_OHM)}",
        ".options reltol=1e-4 abstol=1e-9 vntol=1e-6 itl4=60",
        f".tran {_text(period_s / steps_per_period)} {_text(to_s)} 0 {_text(period_s / steps_per_period)} uic",
        *_measures(alternator, from_s, to_s),
        ".end",
    ]
    return "\n".join(lines) + "\n"


def _text(value: object) -> str:
    return f"{float(value):.12g}"  # type: ignore[arg-type]


def _generator(alternator: Alternator, speed_rpm: float) -> list[str]:
    """EMF, resistance and inductance of each phase, from the star point (or the second wire) to its wire."""
    emf_V, hertz = _text(peak_emf_V(alternator, speed_rpm)), _text(frequency_Hz(alternator.pole_pairs, speed_rpm))
    star = "wire2" if alternator.phases == 1 else "star"
    lines = [] if alternator.phases == 1 else [f"Rleak_star star 0 {_text(LEAK_OHM)}"]
    for k in range(alternator.phases):
        n = k + 1
        lines += [
            f"Vemf{n} emf{n} {star} SIN(0 {emf_V} {hertz} 0 0 {_text(-120.0 * k)})",
            f"Rwinding{n} emf{n} coil{n} {_text(alternator.resistance_ohm)}",
            f"Lwinding{n} coil{n} wire{n} {_text(alternator.inductance_H)} IC=0",
        ]
    return lines


def _bridge(phases: int) -> list[str]:
    """Two diodes a wire; all current out of the bridge passes Vrectified on its way to the bus."""
    lines = ["Vrectified plus bus 0"]
    for n in range(1, max(phases, 2) + 1):
        lines += [f"Dupper{n} wire{n} plus bridge", f"Dlower{n} 0 wire{n} bridge"]
        lines.append(f"Rleak{n} wire{n} 0 {_text(LEAK_OHM)}")
    return lines


def _load(number: int, load: Filament | Resistive) -> str:
    if isinstance(load, Resistive):
        return f"Rload{number} fed 0 {_text(load.rated_V**2 / (load.power_W * load.duty))}"
    # Not quite zero: ngspice cannot take the slope of a broken power at nothing.
    amps = load.duty * load.power_W / load.rated_V
    law = f"{_text(amps)}*pow(max(V(fed),1e-3)/{_text(load.rated_V)},{_text(load.exponent)})"
    return f"Bload{number} fed 0 I={law}"


def _measures(alternator: Alternator, from_s: float, to_s: float) -> list[str]:
    """Current through an EMF runs out of its plus terminal, so ngspice counts it negative: hence the signs."""
    phases = range(1, alternator.phases + 1)
    star = "wire2" if alternator.phases == 1 else "star"
    power = "+".join(f"(-i(Vemf{n}))*(v(emf{n})-v({star}))" for n in phases)
    heat = "+".join(f"{_text(alternator.resistance_ohm)}*i(Vemf{n})*i(Vemf{n})" for n in phases)
    window = f"from={_text(from_s)} to={_text(to_s)}"
    return [
        f".meas tran rectified_a avg i(Vrectified) {window}",
        f".meas tran battery_a avg i(Vbattery) {window}",
        f".meas tran load_a avg i(Vload) {window}",
        f".meas tran bus_v avg v(bus) {window}",
        f".meas tran stator_a rms i(Vemf1) {window}",
        f".meas tran winding_w avg par('{heat}') {window}",
        f".meas tran shaft_w avg par('{power}') {window}",
    ]
