"""One kick without a battery: what every spark has, what it needs, and the smallest capacitor that will do."""

from dataclasses import dataclass

from ampwright.bench.record import circuit_record
from ampwright.desk.cases.bench_cautions import bench_cautions
from ampwright.desk.cases.circuit_model import circuit_of
from ampwright.errors import BadReading
from ampwright.operation.kick_start import KickStart, kick_start
from ampwright.storage.files import read_json

# What a spark needs where nothing is said: assumed.
SPARK_mJ, LEAST_V = 20.0, 6.0


@dataclass(frozen=True)
class Kick:
    """The kick of one circuit, what was assumed for it, and the cautions it calls for."""

    name: str
    kick: KickStart
    capacitor_F: float | None
    assumed: tuple[str, ...]
    cautions: tuple[str, ...]


def open_kick(path: str, spark_mJ: float | None, least_V: float | None) -> Kick:
    """Follow the kick of the one circuit in a file."""
    document = read_json(path)
    if isinstance(document, list):
        raise BadReading(f"{path} holds a list; a kick is followed for one circuit. Take it out of the list.")
    return kick_in(document, spark_mJ, least_V, path)


def kick_in(document: object, spark_mJ: float | None, least_V: float | None, where: str = "the circuit") -> Kick:
    """Follow the kick of one circuit that another program holds."""
    record = circuit_record(document, where)
    if (spark_mJ is not None and spark_mJ <= 0.0) or (least_V is not None and least_V <= 0.0):
        raise BadReading("A spark of nothing always fires. Give energy and volts above 0.")
    circuit = circuit_of(record)
    kick = kick_start(circuit, (spark_mJ or SPARK_mJ) * 1e-3, least_V or LEAST_V)
    assumed = []
    if spark_mJ is None and kick.needed_A is not None:
        assumed.append(f"a spark needs {SPARK_mJ:g} mJ in the coil")
    if least_V is None and kick.needed_V is not None:
        assumed.append(f"the ignition needs {LEAST_V:g} V")
    farad = circuit.capacitor.capacitance_F if circuit.capacitor is not None else None
    return Kick(where if record.id is None else str(record.id), kick, farad, tuple(assumed), bench_cautions(record))
