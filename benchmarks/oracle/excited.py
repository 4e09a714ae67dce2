"""Netlists of what only some machines have: a field winding with its regulator, a cut-out, lamps on AC."""

from itertools import pairwise

from ampwright.electrics.circuit import (
    Circuit,
    FieldRegulator,
    FieldWinding,
    Relay,
    Resistor,
    VibratingContact,
    line_count,
)
from ampwright.electrics.diode import SILICON, Diode
from oracle.common import diode, junction, minus, out

CONTACT_OHM = 5e-3


def excited_Vs(field: FieldWinding) -> str:
    """
    Flux linkage by the field's current: a slope from every point on, less the one before; flat beyond the last.

    Every corner is rounded by a few milliampere, on which ngspice would stop otherwise.
    """
    text, before = f"{field.curve_Vs[0]:.12g}", 0.0
    points = list(zip(field.curve_A, field.curve_Vs, strict=True))
    slopes = [(high[1] - low[1]) / (high[0] - low[0]) for low, high in pairwise(points)] + [0.0]
    for (amps, _), slope in zip(points, slopes, strict=True):
        beyond = f"(V(ifield)-{amps:.12g})"
        # The first corner is at no current, which is never passed.
        ramp = beyond if amps == 0.0 else f"0.5*({beyond}+sqrt({beyond}*{beyond}+1e-5))"
        text += f"+({slope - before:.12g})*{ramp}"
        before = slope
    return text


def field_side(circuit: Circuit) -> tuple[list[str], list[str]]:
    """The field behind its regulator's contact, with a diode to run on through or a resistor beside the contact."""
    field, regulator = circuit.field, circuit.regulator
    if field is None:
        return [], []
    feed = "wire1" if circuit.winding.layout == "dynamo" else out(circuit)
    lines = [
        f"Lfield top_field coil_field {field.inductance_H:.12g} IC=0",
        f"Rfield coil_field bottom_field {field.resistance_ohm:.12g}",
        "Hfield ifield 0 Vfield 1",
        f"Vfield bottom_field {minus(circuit)} 0",
    ]
    shut = f"I=V({feed},top_field)*(1e-7+{0.5 / CONTACT_OHM:.12g}*(1-tanh(20*(V(gate)-0.5))))"
    if isinstance(regulator, FieldRegulator):
        lines += [f"Bcontact {feed} top_field {shut}", junction("free", SILICON)]
        lines.append(f"Dfree {minus(circuit)} top_field free")
    elif isinstance(regulator, VibratingContact):
        lines += [f"Bcontact {feed} top_field {shut}", f"Rinserted {feed} top_field {regulator.inserted_ohm:.12g}"]
    else:
        lines.append(f"Vcontact {feed} top_field 0")
    return lines, ["v(ifield)"]


def cut_out(circuit: Circuit) -> tuple[list[str], list[str]]:
    """Between a dynamo and the bus."""
    device, lines = circuit.cut_out, [f"Vrectified plus {out(circuit)} 0"]
    if isinstance(device, Relay):
        closed = "0.5*(1+tanh(20*(V(pulled)-0.5)))"
        # Pulled in by volts, held until too much current runs back; 1 us behind.
        volts, amps = f"(V(wire1)-{device.closes_V:.12g})", f"(I(Vrectified)+{device.opens_A:.12g})"
        wanted = f"0.5*(1+tanh(200*((1-V(pulled))*{volts}+V(pulled)*{amps})))"
        law = f"V(wire1,plus)*(1e-9+{1.0 / device.contact_ohm:.12g}*{closed})"
        lines += [f"Brelay wire1 plus I={law}", f"Bpull pull 0 V={wanted}", "Rpull pull pulled 1k"]
        lines += ["Cpull pulled 0 1n IC=0", "Rleak1 wire1 0 1e6"]
    elif device is not None:
        lines += [*diode("cut_out", device), "Xcut_out wire1 plus cut_out", "Rleak1 wire1 0 1e6"]
    return (lines, []) if circuit.winding.layout == "dynamo" else ([], [])


def ac_side(circuit: Circuit) -> tuple[list[str], list[str]]:
    """Loads and limiter straight across the lines; loads as resistors."""
    second = "wire2" if line_count(circuit) > 1 else "0"
    lines = [
        f"Rac{number} wire1 {second} {load.resistance_ohm:.12g}"
        for number, load in enumerate(circuit.ac_loads)
        if isinstance(load, Resistor)
    ]
    limiter = circuit.ac_limiter
    if limiter is None:
        return lines, []
    law = limiter.thyristor.junction
    lines.append(junction("fired_ac", Diode(law.saturation_A, law.ideality, float(law.resistance_ohm) - 0.003)))
    holding_A = limiter.thyristor.holding_A
    for name, first, last in (("there", "wire1", second), ("back", second, "wire1")):
        drop = f"V({first})" if last == "0" else f"-V({last})" if first == "0" else f"V({first},{last})"
        lines += [
            f"Vac_{name} {first} in_{name} 0",
            f"Bac_{name} in_{name} out_{name} I=V(in_{name},out_{name})*(1e-6+166.667*(1+tanh(20*(V(on_{name})-0.5))))",
            f"Dac_{name} out_{name} {last} fired_ac",
            f"Bon_{name} want_{name} 0 V=max(0.5*(1+tanh(({drop}-{limiter.fire_V:.12g})/0.02)), "
            f"0.5*(1+tanh((I(Vac_{name})-{holding_A:.9g})/{0.1 * holding_A:.9g})))",
            f"Ron_{name} want_{name} on_{name} 1k",
            f"Con_{name} on_{name} 0 1n IC=0",
        ]
    return lines, []
