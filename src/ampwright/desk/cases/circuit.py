"""The bare circuit: records in, answers out, one after the other and none spoilt by its neighbour."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from ampwright.bench import record as bench
from ampwright.desk.cases.plain import plain_exact
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
from ampwright.electrics.diode import Diode, DiodeLine
from ampwright.electrics.load import Filament
from ampwright.errors import AmpwrightError
from ampwright.operation.answer import Answer
from ampwright.storage.files import read_json


@dataclass(frozen=True)
class Solved:
    """What became of one circuit: an answer, or the sentence that says why there is none."""

    id: str | int | float | None
    answer: Answer | None = None
    error: str | None = None


def open_circuits(path: str) -> tuple[list[Any], bool]:
    """The circuits of a JSON file, and whether it holds a list of them."""
    document = read_json(path)
    return (document, True) if isinstance(document, list) else ([document], False)


def engine_is_ready() -> bool:
    """Whether the engine was compiled on this machine before; if not, the first circuit takes some twenty seconds."""
    from ampwright.operation.transient import is_ready

    return is_ready()


def solve_circuits(documents: list[Any], band: bool = False) -> Iterator[Solved]:
    """Solve circuits in order; a bad one gives its sentence in its place."""
    for number, document in enumerate(documents, start=1):
        name = document.get("id") if isinstance(document, dict) else None
        known = name if isinstance(name, str | int | float) and not isinstance(name, bool) else None
        where = f"circuit {number}" if known is None else f"circuit {known}"
        try:
            yield Solved(known, answer=solve_record(bench.circuit_record(document, where), band))
        except AmpwrightError as fault:
            yield Solved(known, error=str(fault))


def solve_record(record: bench.CircuitRecord, band: bool = False) -> Answer:
    """Solve one circuit; with the band of a switching regulator if it is wanted."""
    from ampwright.operation.bench import solve_with_band  # numerical libraries, which `--help` can do without

    return solve_with_band(circuit_of(record), band)


def as_document(solved: Solved) -> dict[str, Any]:
    """The answer as the contract words it."""
    if solved.answer is None:
        return {"id": solved.id, "error": solved.error}
    answer: dict[str, Any] = plain_exact(solved.answer)
    return answer if solved.id is None else {"id": solved.id, **answer}


def as_text(documents: Any) -> str:
    """Answers as JSON text, every digit kept."""
    return json.dumps(documents, indent=2, ensure_ascii=False, allow_nan=False)


def circuit_of(record: bench.CircuitRecord) -> Circuit:
    """The circuit that a record describes, for the physics."""
    machine = record.generator
    return Circuit(
        speed_rpm=record.speed_rpm,
        alternator=Alternator(
            machine.phases, machine.pole_pairs, machine.emf_Vs, machine.resistance_ohm, machine.inductance_H
        ),
        rectifier=_rectifier(record.rectifier),
        regulator=_regulator(record.regulator),
        battery=Battery(record.battery.emf_V, record.battery.resistance_ohm) if record.battery else None,
        capacitor=Capacitor(record.capacitor.capacitance_F, record.capacitor.esr_ohm) if record.capacitor else None,
        loads=tuple(_load(load) for load in record.loads or ()),
        ignition=_ignition(record.ignition),
        start=Start(record.start.ramp_s, record.start.hold_s) if record.start else None,
    )


def _rectifier(record: bench.ShockleyRecord | bench.LinearRecord) -> Diode | DiodeLine:
    if isinstance(record, bench.LinearRecord):
        return DiodeLine(record.drop_V, record.resistance_ohm)
    return Diode(record.saturation_A, record.ideality, record.resistance_ohm)


def _thyristor(record: bench.ThyristorRecord) -> Thyristor:
    return Thyristor(Diode(record.saturation_A, record.ideality, record.resistance_ohm), record.holding_A)


def _regulator(record: bench.Regulator | None) -> Regulator | None:
    match record:
        case bench.ZenerRecord():
            return Zener(record.zener_V, record.resistance_ohm, record.saturation_A, record.ideality)
        case bench.ThyristorShuntRecord():
            return ThyristorShunt(_sensing(record), _thyristor(record.thyristor))
        case bench.MosfetShuntRecord():
            return MosfetShunt(_sensing(record), record.on_resistance_ohm)
        case bench.ThyristorSeriesRecord():
            return ThyristorSeries(_sensing(record), _thyristor(record.thyristor))
    return None


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
