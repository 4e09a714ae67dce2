"""The machine on the bike, by its own readings, as balance and ride take it."""

from ampwright.bike.reading import AnyReading
from ampwright.desk.cases.workup import Workup
from ampwright.identify.fit import Fit, fit
from ampwright.identify.system import System

# A reading less likely mistaken than this sharpens the machine.
_BELIEVED = 0.35


def sharpened_by_readings(workup: Workup, system: System) -> Fit | None:
    """The machine by its own readings, those left out that are probably mistaken; None where none counts."""
    chances = workup.explanation.mistaken
    readings = [
        found
        for piece, chance in zip(workup.identification.pieces, chances, strict=True)
        for found in piece.counts
        if isinstance(found, AnyReading) and chance < _BELIEVED
    ]
    found = fit(system, readings, workup.identification.grid.evidence.settings.readings) if readings else None
    return found if found is not None and found.used else None
