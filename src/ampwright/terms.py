"""
The words of the trade, one word for one meaning.

The values are what people read in job files, forms and sheets, so they are
spelt as a counter or a workshop would say them. ``docs/nomenclature.md`` lists
the quantities.
"""

from enum import StrEnum


class Family(StrEnum):
    """A kind of generator, as far as it decides what may be connected to it."""

    DYNAMO = "dynamo"
    SINGLE_PHASE = "single-phase"
    SWITCHED_SINGLE_PHASE = "switched single-phase"
    THREE_PHASE = "three-phase"
    BI_PHASE = "bi-phase"
    ENERGY_TRANSFER = "energy transfer"
    DIRECT_LIGHTING = "direct lighting"
    WOUND_FIELD = "wound-field alternator"
    UNLISTED = "a kind not listed here"


class Earth(StrEnum):
    """Which battery post is joined to frame and engine."""

    POSITIVE = "positive earth"
    NEGATIVE = "negative earth"

    @property
    def other(self) -> "Earth":
        """The opposite earth."""
        return Earth.NEGATIVE if self is Earth.POSITIVE else Earth.POSITIVE


class Source(StrEnum):
    """Where a finding comes from; the program, not the person, turns it into odds."""

    MEMORY = "told from memory"
    LOOKING = "looking at it now"
    PHOTO = "photo"
    IN_HAND = "in our hands"
    MEASURED = "measured"


#: Weakest first. Of two findings of one kind the stronger source counts.
SOURCE_ORDER = (Source.MEMORY, Source.LOOKING, Source.MEASURED, Source.PHOTO, Source.IN_HAND)

#: Sources by which something was seen or measured, not only remembered.
SEEN = frozenset(SOURCE_ORDER[1:])


class Standing(StrEnum):
    """How far a figure in the catalogue or the tables can be trusted."""

    MEASURED = "measured"
    PUBLISHED = "published"
    MAKERS_WORD = "maker's word"
    TYPICAL = "typical, no source"
    ASSUMED = "assumed"
    DEMO = "demo"


class Verdict(StrEnum):
    """What we say of one part for one bike."""

    FITS = "fits"
    FITS_IF = "fits if"
    DONT_FIT = "don't fit"
    CANT_SAY = "can't say yet"


class Advice(StrEnum):
    """The one-line answer for the counter."""

    SELL_NOW = "sell now"
    ASK_FIRST = "ask first"
    STOP = "stop"


class Ignition(StrEnum):
    """What makes the spark."""

    POINTS = "points and battery coils"
    ELECTRONIC = "electronic"
    MAGNETO = "magneto"
    ENERGY_TRANSFER = "energy transfer"


class RegulatedBy(StrEnum):
    """What holds the volts down on the bike as it stands."""

    NOTHING = "nothing"
    RECTIFIER_ALONE = "a rectifier alone"
    ONE_ZENER = "one Zener"
    TWO_ZENERS = "two Zeners"
    CHARGING_BOX = "charging box"
    DYNAMO_CONTROL_BOX = "dynamo control box"
    FIELD_REGULATOR = "field regulator"


class BatteryKind(StrEnum):
    """What the battery is, or that there is none."""

    FLOODED = "flooded"
    AGM = "AGM"
    GEL = "gel"
    LITHIUM = "LiFePO4"
    NONE = "none"


class Rotor(StrEnum):
    """Whether the rotor is the stator's own size: 70 and 74 mm ones look alike and do not interchange."""

    MATCHED = "matched rotor"
    MISMATCHED = "mismatched rotor"


def certainty(probability: float, *, confirmed: bool) -> str:
    """
    Put a probability into the words of the counter.

    ``confirmed`` says that something was seen or measured; from memory alone
    the word never goes above *probably*.
    """
    ladder = (
        (0.97, "settled" if confirmed else "probably"),
        (0.85, "almost certainly" if confirmed else "probably"),
        (0.60, "probably"),
        (0.40, "could be either"),
        (0.15, "possibly"),
        (0.03, "unlikely"),
    )
    return next((word for least, word in ladder if probability >= least), "ruled out unless a finding is wrong")


def chance_in_words(probability: float) -> str:
    """Say a probability as people do, without decimals: ``about 4 in 5``."""
    if probability > 0.995:
        return "more than 199 in 200"
    if probability < 0.005:
        return "less than 1 in 200"
    if probability >= 0.95 or probability <= 0.05:
        rare = min(probability, 1.0 - probability)
        whole = min((20, 30, 50, 100, 200), key=lambda count: abs(1.0 / count - rare))
        return f"about {whole - 1 if probability > 0.5 else 1} in {whole}"
    # The smallest denominator that says it to within a twentieth.
    for whole in (2, 3, 4, 5, 10, 20):
        part = round(probability * whole)
        if 0 < part < whole and abs(part / whole - probability) <= 0.026:
            return f"about {part} in {whole}"
    return f"about {round(20 * probability)} in 20"


_FINDINGS = {
    "danger": "danger",
    "last_touched": "touched last",
    "position": "where the generator sits",
    "thick_wires": "thick wires",
    "thin_wires": "thin wires",
    "wire_colours": "wire colours",
    "coils": "coils",
    "poles": "magnet poles",
    "rotor_diameter_mm": "rotor diameter",
    "marking": "marking",
    "brushes": "brushes",
    "magnetism": "pull of the rotor",
    "wires_to_engine": "wires that beep to the engine",
    "terminal_letters": "letters at the terminals",
    "box_wires": "wires on the finned or plated thing",
    "regulated_by": "what regulates it now",
    "ignition": "ignition",
    "runs_without_battery": "runs without a battery",
    "battery_voltage_V": "battery voltage",
    "battery_kind": "battery kind",
    "bulb_voltage_V": "bulb voltage",
    "frame_post": "post to the frame",
    "fuse_lead": "post the fuse hangs on",
    "needle": "ammeter with the engine off",
    "headlamp_engine_off": "headlamp with the engine off",
    "starter": "starter",
    "year": "year",
    "pair_volts": "AC volts between pairs",
    "pair_ohms": "ohms between pairs",
    "one_ohm_volts": "AC volts across 1 ohm",
    "battery_volts": "volts at the battery",
    "battery_amps": "amps into the battery",
    "test_point": "reading at a test point",
    "look": "look",
    "symptom": "symptom",
}


def finding_words(kind: str) -> str:
    """The kind of a finding as it is read aloud."""
    return _FINDINGS[kind]
