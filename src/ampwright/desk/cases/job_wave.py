"""
What an oscilloscope would show on the bike of a job: its generator, what holds its volts down, its loads and battery.

The machine is the middle one by its own readings, else a typical one of its class. What a job does not tell is assumed;
the picture says so in its notes.
"""

import numpy as np

from ampwright.bike.job import Job
from ampwright.desk.cases.no_picture import NoPicture
from ampwright.desk.cases.sharpened import middle_machine
from ampwright.desk.cases.workup import Workup, system_for, work_up
from ampwright.documents.wave_picture import Line, WavePicture
from ampwright.electrics.alternator import Alternator
from ampwright.electrics.circuit import Battery, Circuit, Regulator, Resistor, ThyristorShunt
from ampwright.electrics.diode import SILICON
from ampwright.electrics.dynamo import Dynamo
from ampwright.electrics.load import Filament, Load, demand_A, load_current_A
from ampwright.electrics.rectified import rectified_current_A
from ampwright.errors import AmpwrightError
from ampwright.identify.grid import BATTERY, GENERATOR, SYSTEM_VOLTAGE
from ampwright.identify.held_volts import HeldVolts, held_volts, zener_of
from ampwright.identify.identification import Identification
from ampwright.identify.reading_battery import battery_polarisation
from ampwright.identify.system import System
from ampwright.operation.readings import accepted_A, post_volts, unregulated_battery_A
from ampwright.operation.wave import DEVICES, LINE, STATOR, Wave, wave
from ampwright.terms import BatteryKind
from ampwright.wiring.usual_parts import THYRISTOR, usual_capacitor, usual_sensing

# Electrical periods shown.
PERIODS = 3.0
SLOWEST_RPM, FASTEST_RPM = 300.0, 9000.0
# A generator without figures is passed over only where it is not likelier than this.
_LIKELIER_THAN_NOT = 0.5
# Less than this is what a part leaks.
_TURNS_AWAY_A = 0.05
_NOTHING_AWAY = "Nothing is turned away here: loads and battery take all that the generator gives."

_STATOR_PANEL, _LINE_PANEL = "amps", "volts, wire to wire"
_BATTERY_PANEL, _CAPACITOR_PANEL = "volts, battery", "volts, DC side"
_TURNED_AWAY_PANEL = "amps turned away"


def job_wave(
    job: Job | Workup, speed_rpm: float, *, set_point_V: float | None = None, lights_on: bool = True
) -> WavePicture | NoPicture:
    """
    The wave of a job's bike at a speed, or why there is none.

    ``set_point_V`` is that of the charging box which is to be fitted; it counts unless it is settled what regulates the
    bike.
    """
    if not SLOWEST_RPM <= speed_rpm <= FASTEST_RPM:
        return NoPicture(
            f"{speed_rpm:g} rpm cannot be shown. Choose a speed from {SLOWEST_RPM:g} to {FASTEST_RPM:g} rpm."
        )
    workup = job if isinstance(job, Workup) else work_up(job)
    system = _system(workup, set_point_V)
    if isinstance(system, NoPicture):
        return system
    machine = system.lights_on_machine if lights_on else system.lights_off_machine
    if isinstance(machine, Dynamo):
        return NoPicture(
            f"No wave is drawn of a {system.generator.name}: it gives direct current, which a meter shows as well."
        )
    measured = middle_machine(workup, system, lights_on=lights_on)
    family, volts = system.generator.family, system.system_voltage_V
    held = held_volts(workup.identification, family, volts, set_point_V)
    try:
        circuit = _circuit(workup, system, measured or machine, held, speed_rpm, lights_on=lights_on)
        which = "A typical" if measured is None else "By its own readings: a"
        return _picture(wave(circuit, PERIODS), circuit, system, held, speed_rpm, which, lights_on=lights_on)
    except AmpwrightError as fault:
        return NoPicture(f"There is no wave of this bike at {speed_rpm:g} rpm: {fault}")


def _system(workup: Workup, set_point_V: float | None) -> System | NoPicture:
    """The likeliest generator that has figures; none where one without them is likelier than not."""
    axes = (GENERATOR, SYSTEM_VOLTAGE)
    share = workup.outlook.belief_over(axes)
    likely = sorted(workup.outlook.places(axes), key=lambda each: -float(share[each[0]]))
    for place, (generator, volts) in likely:
        wanted = volts if set_point_V is None else (12 if set_point_V > 9.0 else 6)
        system = system_for(workup, generator, wanted if wanted in generator.system_voltages_V else volts)
        if system is not None:
            return system
        if float(share[place]) > _LIKELIER_THAN_NOT:
            return NoPicture(f"There is no wave of the {generator.name}: no typical figures of its winding are known.")
    return NoPicture("There is no wave: no generator that is still possible has typical figures.")


def _part(held: HeldVolts, system_voltage_V: int) -> Regulator | None:
    """What holds the volts down as a part of a circuit, a charging box of the shunt kind; none where nothing does."""
    if held.held_V is None:
        return None
    if held.by == "Zener":
        return zener_of(held.held_V, held.zeners)
    return ThyristorShunt(usual_sensing(held.held_V, system_voltage_V), THYRISTOR)


def _circuit(
    workup: Workup, system: System, machine: Alternator, held: HeldVolts, speed_rpm: float, *, lights_on: bool
) -> Circuit:
    loads = system.loads_lights_on if lights_on else system.loads_lights_off
    found = workup.identification
    without = workup.facts.no_battery or found.possible_values(BATTERY) == (BatteryKind.NONE,)
    battery = None if without else _battery(found, system, machine, held, loads, speed_rpm)
    return Circuit(
        speed_rpm=speed_rpm,
        alternator=machine,
        rectifier=SILICON,
        regulator=_part(held, system.system_voltage_V),
        battery=battery,
        capacitor=None if battery else usual_capacitor(),
        loads=tuple(_load(load, speed_rpm, system.bus_V) for load in loads),
    )


def _load(load: Load, speed_rpm: float, bus_V: float) -> Filament | Resistor:
    """A lamp as it is; anything else as the resistance that takes its mean current."""
    if isinstance(load, Filament):
        return Filament(load.power_W * load.duty, load.rated_V, load.exponent)
    return Resistor(bus_V / max(float(load_current_A(load, speed_rpm, bus_V)), 1e-6))


def _battery(
    identification: Identification,
    system: System,
    machine: Alternator,
    held: HeldVolts,
    loads: tuple[Load, ...],
    speed_rpm: float,
) -> Battery:
    """
    A full battery as minutes of this charge leave it.

    Within a wave it is stiff; its volts have risen to where its mean current, the lesser of what it takes at the volts
    held and what generator and loads leave it, belongs.
    """
    settings = identification.grid.evidence.settings.readings
    share = system.system_voltage_V / 12.0
    law = battery_polarisation(settings).of_cells(share)
    rest_V = settings.rest_12V_V * share
    bus_V = np.linspace(0.8 * rest_V, 2.5 * rest_V, 60)
    output_A = np.asarray(rectified_current_A(machine, speed_rpm, bus_V))
    battery_A = float(unregulated_battery_A(output_A, bus_V, demand_A(loads, speed_rpm, system.bus_V), rest_V, law))
    if held.held_V is not None:
        battery_A = min(battery_A, float(accepted_A(held.held_V, rest_V, law)))
    stiff_ohm = float(law.discharging_ohm)
    return Battery(float(post_volts(battery_A, rest_V, law)) - stiff_ohm * battery_A, stiff_ohm)


def _picture(
    found: Wave, circuit: Circuit, system: System, held: HeldVolts, speed_rpm: float, which: str, *, lights_on: bool
) -> WavePicture:
    traces = {(trace.panel, trace.name): trace.values for trace in found.traces}
    bus_V = next(trace.values for trace in found.traces if trace.name == "bus")
    windings = [values for (panel, _), values in traces.items() if panel == STATOR]
    names = ["stator"] if len(windings) == 1 else [f"stator wire {k + 1}" for k in range(len(windings))]
    lines = [Line(_STATOR_PANEL, name, _floats(values)) for name, values in zip(names, windings, strict=True)]
    if circuit.battery is not None:
        into_A = (bus_V - circuit.battery.emf_V) / circuit.battery.resistance_ohm
        lines.append(Line(_STATOR_PANEL, "into the battery", _floats(into_A)))
    lines.append(Line(_LINE_PANEL, "wire 1 to wire 2", _floats(traces[LINE, "line volts"])))
    lines.append(Line(_BATTERY_PANEL if circuit.battery else _CAPACITOR_PANEL, "volts", _floats(bus_V)))
    away = [values for (panel, name), values in traces.items() if panel == DEVICES and "diode" not in name]
    turned_A = np.sum(away, axis=0) if away else np.zeros_like(bus_V)
    if float(np.max(turned_A)) > _TURNS_AWAY_A:
        lines.append(Line(_TURNED_AWAY_PANEL, "turned away", _floats(turned_A)))
    lights = "on" if lights_on else "off"
    return WavePicture(
        title=f"What an oscilloscope would show at {speed_rpm:.0f} rpm, lights {lights}",
        time_ms=_floats(1e3 * found.time_s),
        lines=tuple(lines),
        notes=_notes(circuit, system, held, which)
        + ((_NOTHING_AWAY,) if lines[-1].panel != _TURNED_AWAY_PANEL else ()),
    )


def _notes(circuit: Circuit, system: System, held: HeldVolts, which: str) -> tuple[str, ...]:
    """What the picture is of, and what of it was assumed, as sentences."""
    volts = f"{system.system_voltage_V} V"
    of = f"{which} {system.generator.name}, {volts}, on {held.words}{' (assumed)' if held.is_assumed else ''}."
    if circuit.battery is not None:
        kept = f"Assumed: a full {volts} battery charged for some minutes, {circuit.battery.emf_V:.1f} V inside,"
        kept += f" {1e3 * circuit.battery.resistance_ohm:.0f} milliohm."
    else:
        kept = f"No battery; assumed: a capacitor of {1e6 * usual_capacitor().capacitance_F:,.0f} microfarad."
    steady = "Everything but lamps is drawn as a steady load."
    lag = ""
    if isinstance(circuit.regulator, ThyristorShunt):
        lag = f" The box is taken to answer within {1e3 * circuit.regulator.sensing.sense_lag_s:.0f} millisecond."
    more = (f"Assumed too: {'; '.join(system.assumed)}.",) if system.assumed else ()
    return (of + lag, kept, *more, steady)


def _floats(values: np.ndarray) -> tuple[float, ...]:
    return tuple(float(value) for value in values)
