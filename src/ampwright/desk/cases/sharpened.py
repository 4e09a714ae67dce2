"""The machine on the bike, by its own readings, as balance, ride, wave and netlist take it."""

from ampwright.bike.reading import AnyReading
from ampwright.desk.cases.workup import Workup
from ampwright.electrics.alternator import Alternator
from ampwright.identify.fit import Fit, fit
from ampwright.identify.reading_fit import in_use
from ampwright.identify.system import System
from ampwright.terms import chance_in_words

# A reading less likely mistaken than this sharpens the machine.
_BELIEVED = 0.35


def sharpened_by_readings(workup: Workup, system: System) -> Fit | None:
    """The machine by its own readings, those left out that are probably mistaken; None where none counts."""
    found = fitted_machine(workup, system) if _believed(workup) else None
    return found if found is not None and found.used else None


def fitted_machine(workup: Workup, system: System) -> Fit | None:
    """The same, its class as it stands where no reading counts; None where the class has no figures of a winding."""
    return fit(system, _believed(workup), workup.identification.grid.evidence.settings.readings)


def middle_machine(workup: Workup, system: System, *, lights_on: bool) -> Alternator | None:
    """The machine by its own readings with every figure in the middle; None where its class has to do."""
    found = sharpened_by_readings(workup, system)
    return None if found is None else in_use(found.middle, system, lights_on=lights_on)


def not_believed(workup: Workup) -> tuple[tuple[AnyReading, str], ...]:
    """The readings that are kept back before any machine is fitted, each with the reason why."""
    back: list[tuple[AnyReading, str]] = [
        (found, found.does_not_count)
        for found in workup.job.findings
        if isinstance(found, AnyReading) and found.does_not_count
    ]
    for piece, chance in zip(workup.identification.pieces, workup.explanation.mistaken, strict=True):
        back += [
            (found, "the same was read again, or by a better source, and that one counts")
            for found in piece.set_aside
            if isinstance(found, AnyReading)
        ]
        back += [
            (found, f"mistaken, {chance_in_words(chance)}, beside everything else that was found: read it again")
            for found in piece.counts
            if isinstance(found, AnyReading) and chance >= _BELIEVED
        ]
    return tuple(back)


def _believed(workup: Workup) -> list[AnyReading]:
    return [
        found
        for piece, chance in zip(workup.identification.pieces, workup.explanation.mistaken, strict=True)
        for found in piece.counts
        if isinstance(found, AnyReading) and chance < _BELIEVED
    ]
