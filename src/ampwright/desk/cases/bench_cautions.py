"""The usual cautions for a machine on the bench."""

from ampwright.bench.generator import DynamoRecord
from ampwright.bench.record import CircuitRecord
from ampwright.stock.cautions import usual_cautions


def bench_cautions(record: CircuitRecord) -> tuple[str, ...]:
    """The cautions that a circuit calls for, the most pressing first."""
    alternator = None if isinstance(record.generator, DynamoRecord) else record.generator
    faults, battery = (alternator.faults or () if alternator is not None else ()), record.battery
    apply = {
        "always": True,
        "alternator": alternator is not None,
        "wound field": alternator is not None and alternator.field is not None,
        "direct lighting": bool(record.ac_loads),
        "dynamo": alternator is None,
        "no battery": battery is None,
        "bench, battery reversed": battery is not None and battery.reversed,
        "bench, bus not held": (battery is None or battery.open) and record.capacitor is None,
        "bench, winding shorted": any(fault.kind != "open" for fault in faults),
    }
    return tuple(text for when, text in usual_cautions().items() if apply.get(when, False))
