"""The usual cautions for a machine on the bench."""

from ampwright.bench.generator import DynamoRecord
from ampwright.bench.record import CircuitRecord
from ampwright.stock.cautions import usual_cautions


def bench_cautions(record: CircuitRecord) -> tuple[str, ...]:
    """The cautions that a circuit calls for, the most pressing first."""
    generator = record.generator
    dynamo = isinstance(generator, DynamoRecord)
    apply = {
        "always": True,
        "alternator": not dynamo,
        "wound field": not isinstance(generator, DynamoRecord) and generator.field is not None,
        "direct lighting": bool(record.ac_loads),
        "dynamo": dynamo,
        "no battery": record.battery is None,
    }
    return tuple(text for when, text in usual_cautions().items() if apply.get(when, False))
