"""Pieces of work for the processes beside a desk; named in a module of its own, since they are sent by name."""

import os
import time

from ampwright.desk.web.workers import Desk
from ampwright.errors import BadRecord, Fault

FAULTS = (Fault("price", "is missing. Add it."), Fault("code", "is too long. Shorten it."))


def process_of(desk: Desk) -> int:
    """The number of the process that does the work."""
    return os.getpid()


def slow(desk: Desk) -> tuple[float, float]:
    """Work that takes a while: when it began and ended. [s]"""
    begun = time.monotonic()
    time.sleep(0.2)
    return begun, time.monotonic()


def refused(desk: Desk) -> None:
    """Work that ends in several faults."""
    raise BadRecord("the part", FAULTS)


def deadly(desk: Desk) -> None:
    """Work that ends the process that does it."""
    os._exit(7)
