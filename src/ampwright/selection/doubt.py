"""Doubts that keep anything from being sold: a dead generator, a wrong rotor, a battery perhaps reversed."""

from dataclasses import dataclass, replace

from ampwright.bike.reading import OneOhmVoltsFound, PairVoltsFound
from ampwright.bike.seen import MagnetismFound
from ampwright.identify.counted import piece
from ampwright.identify.guards import REVERSED
from ampwright.identify.identification import Identification, seen
from ampwright.selection.danger import over_on_a_bad_meter
from ampwright.selection.facts import Facts
from ampwright.terms import Family

# Under this, running, a magnet alternator gives next to nothing (assumed: sound ones give several volts at tick-over).
_NEXT_TO_NOTHING_V = 1.0
# What a magnet turns in; a dynamo or a wound field that is not fed gives no AC, and is not dead.
_MAGNET = frozenset(Family) - {Family.DYNAMO, Family.WOUND_FIELD, Family.UNLISTED}
# A wire of these often beeps to the engine as it was built.
_ON_THE_ENGINE = frozenset({Family.ENERGY_TRANSFER, Family.DIRECT_LIGHTING})


@dataclass(frozen=True)
class Doubt:
    """
    What is in doubt, what to do about it where nothing can be asked, and the findings that would tell.

    ``is_a_condition`` says that the parts are judged on the condition that it is mended, so that they may be named.
    ``say_first`` is said and sent before all else; ``of_generator`` is not set where the battery is in doubt, and then
    everything that would tell is asked for together.
    """

    why: str
    cure: str
    told_by: tuple[str, ...]
    is_a_condition: bool
    of_generator: bool = True
    say_first: str = ""


_AGAIN = "Once it is put right, take the old looks at needle and posts out of the job, and look at both again."
# The needle first lifts the doubt, and then the posts tell the earth.
_REVERSED = Doubt(
    f"The ammeter swung to charge with the engine off: the battery may be the wrong way round. {_AGAIN}",
    "Sell nothing. See whether the battery or the ammeter's leads are the wrong way round, and put it right first.",
    ("frame_post", "needle"),
    is_a_condition=False,
    of_generator=False,
    say_first="Do NOT start it.",
)
_REVERSED_SEEN = replace(
    _REVERSED,
    why=f"The battery or the ammeter's leads are the wrong way round. {_AGAIN}",
    say_first="Do NOT start it. First see which is the wrong way round, battery or ammeter leads, and put it right.",
)
_BAD_METER = Doubt(
    "Too many volts were read, on a meter that reads nonsense: nobody knows yet whether it overcharges.",
    "Engine off. Sell nothing before the battery was read again, fast, with a sound meter at arm's length from the"
    " ignition. With a lithium battery do not start it: that is for a workshop.",
    (),
    is_a_condition=False,
    of_generator=False,
)
_NO_VOLTS = Doubt(
    "The generator gives next to no AC volts: it may be dead. Measure it first.",
    "Sell no part to regulate it: the generator is measured and mended first.",
    ("pair_volts", "pair_ohms", "wires_to_engine", "one_ohm_volts"),
    is_a_condition=False,
)
_NO_PULL = Doubt(
    "The rotor does not pull steel: its magnet may be dead. Measure it first.",
    "Sell no part to regulate it: the magnet is proved, or the rotor replaced, first.",
    ("pair_volts", "one_ohm_volts", "magnetism"),
    is_a_condition=False,
)
_WINDING = {
    "wires_to_engine": Doubt(
        "A generator wire beeps to the engine: the winding may be faulty. Measure it first.",
        "Sell no part to regulate it: the winding is freed of the engine, or the stator renewed, first.",
        ("wires_to_engine",),
        is_a_condition=True,
    ),
    "pair_ohms": Doubt(
        "A pair of generator wires reads open: the winding may be broken. Measure it first.",
        "Sell no part to regulate it: the break is mended, or the stator renewed, first.",
        ("pair_ohms",),
        is_a_condition=True,
    ),
}
_ROTOR = "Measure or replace the rotor first."
_ROTOR_MEASURED = Doubt(
    _ROTOR,
    "The rotor is probably of another size than the stator's, and hardly charges. One of the stator's own size is"
    " fitted before any part to regulate it is sold.",
    (),
    is_a_condition=True,
)
_ROTOR_NOT_MEASURED = replace(_ROTOR_MEASURED, told_by=("rotor_diameter_mm",))


def doubt_of(identification: Identification, facts: Facts) -> Doubt | None:
    """What is in doubt about battery or generator, the worst first; None where nothing speaks of it."""
    if REVERSED in identification.guards:
        both_seen = all(_seen_by_us(identification, kind) for kind in _REVERSED.told_by)
        return _REVERSED_SEEN if both_seen else _REVERSED
    if over_on_a_bad_meter(facts.job, identification):
        return _BAD_METER
    if identification.likeliest_family not in _MAGNET:
        return None
    faults = [fault.told_by for fault in facts.winding_faults if _is_a_fault(fault.told_by, identification)]
    if faults:
        return _WINDING[faults[0]]
    if any(_gives_nothing(found) for kind in ("pair_volts", "one_ohm_volts") for found in _told(identification, kind)):
        return _NO_VOLTS
    if any(_does_not_pull(found) for found in _told(identification, "magnetism")):
        return _NO_PULL
    if not facts.rotor_is_doubted:
        return None
    return _ROTOR_MEASURED if seen(identification.pieces, "rotor_diameter_mm") else _ROTOR_NOT_MEASURED


def _is_a_fault(told_by: str, identification: Identification) -> bool:
    return told_by != "wires_to_engine" or identification.likeliest_family not in _ON_THE_ENGINE


def _seen_by_us(identification: Identification, kind: str) -> bool:
    found = piece(identification.pieces, kind)
    return found is not None and found.seen_by_us


def _told(identification: Identification, kind: str) -> tuple[object, ...]:
    found = piece(identification.pieces, kind)
    return () if found is None else found.counts


def _gives_nothing(found: object) -> bool:
    return isinstance(found, PairVoltsFound | OneOhmVoltsFound) and max(found.answer) < _NEXT_TO_NOTHING_V


def _does_not_pull(found: object) -> bool:
    return isinstance(found, MagnetismFound) and found.answer == "does not pull"
