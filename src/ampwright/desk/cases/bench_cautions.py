"""The usual cautions for a machine on the bench."""

from ampwright.bench.generator import DynamoRecord
from ampwright.bench.record import CircuitRecord
from ampwright.stock.cautions import usual_cautions


def bench_cautions(record: CircuitRecord) -> tuple[str, ...]:
    """The cautions that a circuit calls for, the most pressing first."""
    generator = record.generator
    dynamo, battery = isinstance(generator, DynamoRecord), record.battery
    faults = () if isinstance(generator, DynamoRecord) else generator.faults or ()
    apply = {
        "always": True,
        "alternator": not dynamo,
        "wound field": not isinstance(generator, DynamoRecord) and generator.field is not None,
        "direct lighting": bool(record.ac_loads),
        "dynamo": dynamo,
        "no battery": battery is None,
        "bench, battery reversed": battery is not None and battery.reversed,
        "bench, bus not held": (battery is None or battery.open) and record.capacitor is None,
        "bench, winding shorted": any(fault.kind != "open" for fault in faults),
    }
    return tuple(text for when, text in usual_cautions().items() if apply.get(when, False))
