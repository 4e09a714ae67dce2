"""From the record of a circuit to the circuit that the physics solves."""

from math import pi

from ampwright.bench import record as bench
from ampwright.bench.faults import (
    ArmRecord,
    LeadsRecord,
    LeakRecord,
    LinearRecord,
    OpenPhaseRecord,
    ShockleyRecord,
    WindingFaultRecord,
)
from ampwright.bench.generator import DynamoRecord, GeneratorRecord, RelayRecord
from ampwright.electrics.alternator import Alternator
from ampwright.electrics.circuit import (
    AcLimiter,
    ArmFault,
    Battery,
    Box,
    Capacitor,
    Circuit,
    CoilIgnition,
    FieldRegulator,
    FieldWinding,
    Layout,
    Leads,
    MosfetShunt,
    PulsedIgnition,
    Regulator,
    Relay,
    Resistor,
    Sensing,
    Start,
    Thyristor,
    ThyristorSeries,
    ThyristorShunt,
    VibratingContact,
    Winding,
    WindingFault,
    Zener,
)
from ampwright.electrics.diode import Diode, DiodeLine
from ampwright.electrics.load import Filament

_LAYOUT: dict[str, Layout] = {
    "permanent_magnet": "star",
    "wound_field": "star",
    "bi_phase": "bi-phase",
    "half_wave": "half-wave",
}


def circuit_of(record: bench.CircuitRecord) -> Circuit:
    """The circuit that a record describes, for the physics."""
    machine = record.generator
    return Circuit(
        speed_rpm=record.speed_rpm,
        alternator=_machine(machine),
        rectifier=None if isinstance(record.rectifier, bench.NoBoxRecord) else _rectifier(record.rectifier),
        regulator=_regulator(record.regulator),
        battery=_battery(record.battery),
        capacitor=Capacitor(record.capacitor.capacitance_F, record.capacitor.esr_ohm) if record.capacitor else None,
        loads=tuple(_load(load) for load in record.loads or ()),
        ignition=_ignition(record.ignition),
        start=Start(record.start.ramp_s, record.start.hold_s) if record.start else None,
        winding=_winding(machine),
        box=Box() if isinstance(record.rectifier, bench.NoBoxRecord) else _box(record.rectifier),
        leads=_leads(record.leads_ohm),
        second_zener=_zener(record.second_zener) if record.second_zener else None,
        field=_field(machine),
        cut_out=_cut_out(machine),
        ac_limiter=_limiter(record.ac_limiter),
        ac_loads=tuple(_load(load) for load in record.ac_loads or ()),
        joined_lines=(record.joined_lines[0], record.joined_lines[1]) if record.joined_lines else None,
    )


def _machine(record: GeneratorRecord | DynamoRecord) -> Alternator:
    """The machine's own values; a dynamo's EMF is all its field's, and one turn of its shaft counts as a period."""
    if isinstance(record, DynamoRecord):
        return Alternator(1, 1, 0.0, record.armature_resistance_ohm, record.armature_inductance_H)
    return Alternator(record.phases, record.pole_pairs, record.emf_Vs, record.resistance_ohm, record.inductance_H)


def _field(record: GeneratorRecord | DynamoRecord) -> FieldWinding | None:
    """The field, its curve as flux linkage: EMF over the engine's angular speed."""
    if isinstance(record, DynamoRecord):
        per_V = record.speed_ratio / (2.0 * pi * record.curve_speed_rpm / 60.0)
        curve_Vs = tuple(volts * per_V for volts in record.curve_emf_V)
        return FieldWinding(
            record.field_resistance_ohm, record.field_inductance_H, tuple(record.curve_field_A), curve_Vs
        )
    if record.field is None:
        return None
    field = record.field
    return FieldWinding(field.resistance_ohm, field.inductance_H, tuple(field.curve_A), tuple(field.curve_Vs))


def _cut_out(record: GeneratorRecord | DynamoRecord) -> Relay | Diode | DiodeLine | None:
    if not isinstance(record, DynamoRecord):
        return None
    if isinstance(record.cut_out, RelayRecord):
        return Relay(record.cut_out.closes_V, record.cut_out.opens_A, record.cut_out.contact_ohm)
    return _rectifier(record.cut_out)


def _limiter(record: bench.AcLimiterRecord | None) -> AcLimiter | None:
    return AcLimiter(record.fire_V, _thyristor(record.thyristor)) if record is not None else None


def _battery(record: bench.BatteryRecord | None) -> Battery | None:
    """An open battery is none; a shorted cell takes its volts and its resistance with it."""
    if record is None or record.open:
        return None
    left = (record.cells - record.shorted_cells) / record.cells
    return Battery(record.emf_V * left * (-1.0 if record.reversed else 1.0), record.resistance_ohm * left)


def _winding(record: GeneratorRecord | DynamoRecord) -> Winding:
    if isinstance(record, DynamoRecord):
        return Winding(layout="dynamo")
    coils = record.coils
    return Winding(
        layout=_LAYOUT[record.kind],
        common=None if record.common == "insulated" else record.common or "minus",
        coils_used=coils.used if coils else 1,
        coils_total=coils.total if coils else 1,
        bend_A=record.bend_A,
        iron_loss_ohm=record.iron_loss_ohm,
        faults=tuple(_winding_fault(fault) for fault in record.faults or ()),
    )


def _winding_fault(record: WindingFaultRecord) -> WindingFault:
    if isinstance(record, OpenPhaseRecord):
        return WindingFault(record.phase, open=True)
    if isinstance(record, LeakRecord):
        return WindingFault(record.phase, leak_share=record.share, leak_ohm=record.ohm, leak_to=record.to)
    return WindingFault(record.phase, shorted_share=record.share, short_ohm=record.ohm)


def _box(record: bench.BoxLawRecord) -> Box:
    lines = (1, 2, 3) if record.lines is None else tuple(sorted(set(record.lines)))
    return Box(lines, tuple(_arm(arm) for arm in record.arms or ()))


def _arm(record: ArmRecord) -> ArmFault:
    law = _rectifier(record.law) if record.law is not None else None
    return ArmFault(record.line, record.pole, record.open, record.bridged_ohm, law)


def _leads(record: LeadsRecord | None) -> Leads:
    if record is None:
        return Leads()
    first, second, third = (*(record.line or ()), 0.0, 0.0, 0.0)[:3]
    return Leads((first, second, third), record.plus, record.minus, record.battery, record.load)


def _rectifier(record: ShockleyRecord | LinearRecord) -> Diode | DiodeLine:
    if isinstance(record, LinearRecord):
        return DiodeLine(record.drop_V, record.resistance_ohm)
    return Diode(record.saturation_A, record.ideality, record.resistance_ohm)


def _thyristor(record: bench.ThyristorRecord) -> Thyristor:
    return Thyristor(Diode(record.saturation_A, record.ideality, record.resistance_ohm), record.holding_A)


def _regulator(record: bench.Regulator | None) -> Regulator | None:
    match record:
        case bench.ZenerRecord():
            return _zener(record)
        case bench.ThyristorShuntRecord():
            return ThyristorShunt(_sensing(record), _thyristor(record.thyristor))
        case bench.MosfetShuntRecord():
            return MosfetShunt(_sensing(record), record.on_resistance_ohm)
        case bench.FieldRegulatorRecord():
            return FieldRegulator(_sensing(record))
        case bench.VibratingContactRecord():
            return VibratingContact(_sensing(record), record.inserted_ohm)
        case bench.ThyristorSeriesRecord():
            return ThyristorSeries(_sensing(record), _thyristor(record.thyristor))
    return None


def _zener(record: bench.ZenerRecord) -> Zener:
    return Zener(record.zener_V, record.resistance_ohm, record.saturation_A, record.ideality)


def _sensing(record: bench.SensingRecord) -> Sensing:
    return Sensing(record.set_V, record.hysteresis_V, record.sense_lag_s)


def _load(record: bench.ResistiveRecord | bench.LampRecord) -> Filament | Resistor:
    if isinstance(record, bench.ResistiveRecord):
        return Resistor(record.resistance_ohm)
    return Filament(record.power_W, record.rated_V, record.exponent)


def _ignition(record: bench.CoilRecord | bench.PulsedRecord | None) -> CoilIgnition | PulsedIgnition | None:
    if isinstance(record, bench.CoilRecord):
        return CoilIgnition(
            record.coils,
            record.resistance_ohm,
            record.inductance_H,
            record.dwell,
            record.points_resistance_ohm,
            record.clamp_V,
        )
    if isinstance(record, bench.PulsedRecord):
        return PulsedIgnition(record.pulses_per_cam_turn, record.peak_A, record.duty)
    return None
