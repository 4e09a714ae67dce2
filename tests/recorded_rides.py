"""Recorded rides for tests: columns, and the faults that are told of a file."""

import pytest

from ampwright.errors import BadRecord
from ampwright.storage.traces import trace_in


def csv_of(heading, rows, separator=","):
    """A file in columns."""
    return "\n".join([heading, *(separator.join(map(str, row)) for row in rows)]).encode()


def minute(speed=10.0):
    """A minute at one speed, a row each second."""
    return [(second, speed) for second in range(61)]


def faults_of(data, filename="ride.gpx"):
    """What is told of a file that is refused."""
    with pytest.raises(BadRecord) as caught:
        trace_in(data, filename)
    return [f"{fault.field}: {fault.sentence}" for fault in caught.value.faults]
