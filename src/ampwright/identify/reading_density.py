"""
How probable a reading is under each answer to the questions it bears on.

Every kind of reading has its own physics; what they share is that a true reading
may also be of a dead or an odd machine, so that none is impossible anywhere.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from ampwright.belief.posterior import Array
from ampwright.bike.reading import (
    AnyReading,
    BatteryAmpsFound,
    BatteryVoltsFound,
    OneOhmVoltsFound,
    PairOhmsFound,
    PairVoltsFound,
)
from ampwright.identify.reading_battery import battery_amps, battery_volts
from ampwright.identify.reading_ohms import pair_ohms
from ampwright.identify.reading_pairs import one_ohm_volts, pair_volts
from ampwright.stock.evidence import Question
from ampwright.stock.generators import GeneratorClass
from ampwright.stock.reading_settings import ReadingSettings


@dataclass(frozen=True)
class ReadingTerm:
    """
    Logarithm of the density of one reading, if the report is true and if it is a mistake.

    ``log_true`` has an axis for each of ``questions``: generators in the order of the classes, rotors as matched and
    mismatched, system voltages as 6 and 12, regulators in the order of their enumeration.
    """

    questions: tuple[Question, ...]
    log_true: Array
    log_mistake: float


def log_density(finding: AnyReading, classes: Sequence[GeneratorClass], settings: ReadingSettings) -> ReadingTerm:
    """Weigh a reading against the classes; how far its source is to be trusted is not in it."""
    kinds = tuple(classes)
    match finding:
        case PairVoltsFound():
            return ReadingTerm(("generator", "rotor"), *pair_volts(finding, kinds, settings))
        case OneOhmVoltsFound():
            return ReadingTerm(("generator", "rotor"), *one_ohm_volts(finding, kinds, settings))
        case PairOhmsFound():
            return ReadingTerm(("generator",), *pair_ohms(finding, kinds, settings))
        case BatteryVoltsFound():
            return ReadingTerm(*battery_volts(finding, kinds, settings))
        case BatteryAmpsFound():
            return ReadingTerm(*battery_amps(finding, kinds, settings))
