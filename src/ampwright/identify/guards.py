"""
What stays possible however strongly the tables speak, until something is seen.

Belief may drop an answer on the strength of shares that nobody has published.
Where dropping it wrongly could overrun, reverse or cook a part, these guards keep
it until the check that settles it was really made.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ampwright.bike.reading import PairVoltsFound
from ampwright.bike.seen import (
    BatteryKindFound,
    Brushes,
    BrushesFound,
    CoilsFound,
    Headlamp,
    IgnitionFound,
    MarkingFound,
    Needle,
    NeedleFound,
    Position,
    ThickWiresFound,
)
from ampwright.identify.answers import marking_class
from ampwright.identify.counted import Evidently, piece
from ampwright.identify.grid import BATTERY, GENERATOR, IGNITION, REGULATED_BY, ROTOR, SYSTEM_VOLTAGE, Grid, Mask
from ampwright.identify.grid import EARTH as EARTH_AXIS
from ampwright.stock.evidence import GuardSettings
from ampwright.terms import SOURCE_ORDER, BatteryKind, Family, Ignition, Rotor, Source

# A single phase comes out by two wires, three phases or a field need more.
_WIRES_OF_ONE_PHASE = 2
#: A pair that reads less than this share of the largest reads "about nothing" (assumed).
ABOUT_NOTHING = 0.15
_RATED = ("about 10 A", "about 15 A")

DYNAMO = (
    "Nobody has seen where the generator sits, its coils or brushes, or measured AC volts on a sound meter, so a dynamo"
    " stays possible."
)
ALTERNATOR = "Nobody has seen a round body with its own two terminals, so an alternator stays possible."
RATING = (
    "No rating was read off the generator, so both ratings stay possible; with no marking choose for the high output."
)
ENERGY_TRANSFER = (
    "More than three thick wires: energy transfer stays possible until battery-type coils were seen"
    " or a photo shows what the wires are."
)
WOUND_FIELD = (
    "Three wires, and nobody has shown us that no thin wire feeds a field, seen the rotor pull steel, or measured AC"
    " volts with every wire off: an alternator with a wound field stays possible. While its field is fed it gives AC"
    " volts too."
)
DIRECT_LIGHTING = (
    "Nobody has seen a battery on it yet, or the headlamp light with the engine off, so direct lighting stays possible."
)
VOLTAGE = "Nobody has read 6 or 12 V off the battery or a bulb yet, so both stay possible."
EARTH = (
    "Which post goes to the frame was not on a photo, in our hands or measured yet, and who looks may mix + and - up:"
    " both earths stay possible."
)
REVERSED = (
    "The ammeter swings to charge with the engine off: the battery is the wrong way round, and then its posts show the"
    " wrong earth, or the ammeter's leads are crossed. Both earths stay possible until the needle goes to discharge."
)
BATTERY_UNREAD = "Nobody has read what kind the battery is, so lithium and gel stay possible."


#: The findings that can lift what a guard keeps: of the generators by their family, of other questions by their axis.
LIFTED_BY_FAMILY: Mapping[Family, tuple[str, ...]] = {
    Family.DYNAMO: ("position", "coils", "brushes", "pair_volts"),
    Family.ENERGY_TRANSFER: ("ignition",),
    Family.WOUND_FIELD: ("magnetism", "thick_wires", "thin_wires", "pair_volts"),
    Family.DIRECT_LIGHTING: ("battery_kind", "battery_voltage_V", "headlamp_engine_off"),
}
LIFTED_BY_AXIS: Mapping[int, tuple[str, ...]] = {
    GENERATOR: ("position", "brushes"),
    SYSTEM_VOLTAGE: ("battery_voltage_V", "bulb_voltage_V"),
    EARTH_AXIS: ("frame_post",),
    BATTERY: ("battery_kind",),
}


def lifted_by_axis(guards: Sequence[str]) -> Mapping[int, tuple[str, ...]]:
    """The findings that can lift what these guards keep: posts lift nothing before the needle was looked at again."""
    return {**LIFTED_BY_AXIS, EARTH_AXIS: ("needle",)} if REVERSED in guards else LIFTED_BY_AXIS


@dataclass(frozen=True)
class Held:
    """
    What is still possible, as a mask for each question.

    The masks of rotor, voltage, ignition, regulator and battery are given for
    each generator, since what is usual for one is not for another.
    """

    generator: Mask
    earth: Mask
    rotor: Mask
    system_voltage: Mask
    ignition: Mask
    regulated_by: Mask
    battery: Mask

    def over(self, grid: Grid, axes: tuple[int, ...]) -> Mask:
        """The joint answers to some questions that all of these hold, those that the tables rule out left out."""
        of_generator = {
            ROTOR: self.rotor,
            SYSTEM_VOLTAGE: self.system_voltage,
            IGNITION: self.ignition,
            REGULATED_BY: self.regulated_by,
            BATTERY: self.battery,
        }
        together = tuple(sorted({GENERATOR, *axes} - {EARTH_AXIS}))
        held = self.generator.reshape(-1, *([1] * (len(together) - 1)))
        for place, axis in enumerate(together[1:], 1):
            mask = of_generator[axis]
            shape = [1] * len(together)
            shape[0], shape[place] = mask.shape
            held = held & mask.reshape(shape)
        held = held & grid.may_be(together)
        if GENERATOR not in axes:
            held = np.asarray(held.any(axis=0))
        if EARTH_AXIS not in axes:
            return np.asarray(held)
        at = sum(axis < EARTH_AXIS for axis in axes)
        held = np.expand_dims(held, at)
        return np.asarray(held & self.earth.reshape([-1 if axis == at else 1 for axis in range(held.ndim)]))


def keep_possible(held: Held, grid: Grid, pieces: Sequence[Evidently]) -> tuple[Held, tuple[str, ...]]:
    """Widen what is still possible by what nothing seen has ruled out, and say why."""
    settings = grid.evidence.settings.guards
    generator, guards = _generators(held.generator, grid, pieces, settings)
    earth, volts, battery = held.earth, held.system_voltage, held.battery
    if _wrong_way_round(pieces):
        guards.append(REVERSED)
        earth = np.ones_like(earth)
    if not _post_seen(pieces):
        if not earth.all():
            guards.append(EARTH)
        earth = np.ones_like(earth)
    if not (_seen(pieces, "battery_voltage_V") or _seen(pieces, "bulb_voltage_V")):
        if not volts[generator].all():
            guards.append(VOLTAGE)
        volts = np.ones_like(volts)
    wider = _batteries(battery, grid, pieces)
    if (wider & ~battery)[generator].any():
        guards.append(BATTERY_UNREAD)
    kept = Held(generator, earth, _rotors(held.rotor, grid), volts, held.ignition, held.regulated_by, wider)
    return kept, tuple(guards)


def _generators(held: Mask, grid: Grid, pieces: Sequence[Evidently], settings: GuardSettings) -> tuple[Mask, list[str]]:
    """
    Widen the generators still possible.

    Each guard stands or not by what belief holds, not by what another guard brings in, or one would bring in all;
    only the ratings are those of everything kept.
    """
    kept, guards = held.copy(), []
    dynamos, transfer = grid.families(Family.DYNAMO), grid.families(Family.ENERGY_TRANSFER)
    three_wires = grid.families(Family.THREE_PHASE, Family.BI_PHASE, Family.SWITCHED_SINGLE_PHASE)
    two_wires = grid.families(Family.SINGLE_PHASE)
    wound, direct = grid.families(Family.WOUND_FIELD), grid.families(Family.DIRECT_LIGHTING)
    for guard, stands, wider in (
        (DYNAMO, _dynamo_open(pieces, settings), dynamos),
        (ALTERNATOR, not _body_seen(pieces) and bool((held & dynamos).any()), ~dynamos),
        (ENERGY_TRANSFER, _energy_transfer_open(pieces, settings), transfer),
        (WOUND_FIELD, _wound_field_open(pieces, settings) and bool((held & three_wires).any()), wound),
        (DIRECT_LIGHTING, not _battery_seen(pieces) and bool((held & two_wires).any()), direct),
    ):
        if stands and (wider & ~kept).any():
            guards.append(guard)
            kept = kept | wider
    if not _rating_seen(pieces):
        every_rating = _same_families(kept, grid)
        if (every_rating & ~kept).any():
            guards.append(RATING)
        kept = every_rating
    return kept, guards


def _same_families(known: Mask, grid: Grid) -> Mask:
    return grid.families(*(generator.family for generator, on in zip(grid.generators, known, strict=True) if on))


def _rotors(held: Mask, grid: Grid) -> Mask:
    """A matched rotor is never forgotten: without it nothing would suit, and nothing would ask for it."""
    matched = np.array([rotor is Rotor.MATCHED for rotor in grid.values[ROTOR]])
    return np.asarray(held | matched)


def _batteries(held: Mask, grid: Grid, pieces: Sequence[Evidently]) -> Mask:
    """Keep every kind of battery until somebody read its label; one that was told to be there is not none."""
    found = piece(pieces, "battery_kind")
    if found is not None and found.settles:
        return held
    told = None if found is None else found.counts[0]
    there = isinstance(told, BatteryKindFound) and told.answer is not BatteryKind.NONE
    everything = np.array([kind is not BatteryKind.NONE or not there for kind in grid.values[BATTERY]])
    # A machine that usually has no battery is not given one by this guard.
    one = np.array([kind is not BatteryKind.NONE for kind in grid.values[BATTERY]])
    usually_has_one = np.asarray((held & one).any(axis=1, keepdims=True))
    return np.asarray(held | (usually_has_one & everything))


def _seen(pieces: Sequence[Evidently], kind: str) -> bool:
    found = piece(pieces, kind)
    return found is not None and found.settles


def _post_seen(pieces: Sequence[Evidently]) -> bool:
    """Whether we saw the post that goes to the frame, or a meter showed it; a caller's look mixes up + and -."""
    post = piece(pieces, "frame_post")
    return post is not None and post.settles and _measured_or_better(post)


def _measured_or_better(found: Evidently) -> bool:
    return SOURCE_ORDER.index(found.source) >= SOURCE_ORDER.index(Source.MEASURED)


def _wrong_way_round(pieces: Sequence[Evidently]) -> bool:
    """Whether the ammeter tells of a reversed battery, whose posts would show the wrong earth however well seen."""
    needle = piece(pieces, "needle")
    return needle is not None and any(
        isinstance(found, NeedleFound) and found.answer is Needle.TO_CHARGE for found in needle.counts
    )


def _rating_seen(pieces: Sequence[Evidently]) -> bool:
    found = piece(pieces, "marking")
    if found is None or not found.settles:
        return False
    marking = found.counts[0]
    return isinstance(marking, MarkingFound) and marking_class(marking) in _RATED


def _body_seen(pieces: Sequence[Evidently]) -> bool:
    position, brushes = piece(pieces, "position"), piece(pieces, "brushes")
    commutator = brushes is not None and brushes.settles and _answer(brushes) is Brushes.COMMUTATOR
    return commutator or (
        position is not None and position.settles and position.counts[0].answer == Position.SEPARATE_BODY
    )


def _wound_field_open(pieces: Sequence[Evidently], settings: GuardSettings) -> bool:
    """
    Whether three wires are possible and no magnet was shown by its pull.

    AC volts alone show none: unplugged from its rectifier, a wound field that is fed gives them as a magnet does.
    With every wire off, thin ones too, nothing feeds it. And it gives them on every pair, where a switched winding
    gives none on one.
    """
    pull, wires = piece(pieces, "magnetism"), piece(pieces, "thick_wires")
    pulls = pull is not None and pull.settles and _answer(pull) == "pulls steel"
    counted = wires.counts[0] if wires is not None and wires.settles else None
    two_at_most = isinstance(counted, ThickWiresFound) and counted.answer <= _WIRES_OF_ONE_PHASE
    thin = piece(pieces, "thin_wires")
    # A field is fed by a thin wire; that there is none is believed only where we see it ourselves.
    no_field_wire = thin is not None and thin.seen_by_us and _answer(thin) == 0
    by_ac = _ac_with_all_off(pieces, settings) or _one_pair_gives_none(pieces, settings)
    return not (pulls or two_at_most or no_field_wire or by_ac)


def _battery_seen(pieces: Sequence[Evidently]) -> bool:
    """Whether somebody saw a battery on the bike, or a lamp that only a battery can light."""
    kind = piece(pieces, "battery_kind")
    has_one = kind is not None and kind.settles and _answer(kind) is not BatteryKind.NONE
    headlamp = piece(pieces, "headlamp_engine_off")
    fed_by_one = headlamp is not None and headlamp.settles and _answer(headlamp) is Headlamp.LIGHTS
    return has_one or fed_by_one or _seen(pieces, "battery_voltage_V")


def _ac_read(pieces: Sequence[Evidently], settings: GuardSettings) -> PairVoltsFound | None:
    """A measurement of surely more AC volts than a dynamo's ripple, or a meter by itself, shows; None without one."""
    volts = piece(pieces, "pair_volts")
    if volts is None or not volts.settles or not _measured_or_better(volts):
        return None
    read = volts.counts[0]
    return read if isinstance(read, PairVoltsFound) and max(read.at_least_V) >= settings.ac_volts else None


def _ac_with_all_off(pieces: Sequence[Evidently], settings: GuardSettings) -> bool:
    """
    Whether AC volts were measured on all three pairs with every wire of the generator unplugged.

    That the wires were off is the word of whoever unplugged them: it lifts the guard alone, and what belief keeps
    stays, until something else speaks against a wound field too.
    """
    read = _ac_read(pieces, settings)
    if read is None or not read.all_wires_off or len(read.answer) <= 1:
        return False
    return min(read.at_least_V) >= settings.ac_volts


def _one_pair_gives_none(pieces: Sequence[Evidently], settings: GuardSettings) -> bool:
    """Whether two of three pairs were measured to give AC volts and the third next to none."""
    read = _ac_read(pieces, settings)
    if read is None or not read.is_sound:
        return False
    least, *others = sorted(read.answer)
    return len(others) > 1 and others[0] >= settings.ac_volts and least < ABOUT_NOTHING * others[-1]


def _answer(found: Evidently) -> object:
    return found.counts[0].answer


def _dynamo_open(pieces: Sequence[Evidently], settings: GuardSettings) -> bool:
    """Whether nothing seen tells a dynamo from an alternator: where it sits, brushes, coils in a ring, or AC volts."""
    coils, brushes = piece(pieces, "coils"), piece(pieces, "brushes")
    ring_seen = (
        coils is not None
        and coils.settles
        and isinstance(coils.counts[0], CoilsFound)
        and coils.counts[0].answer >= settings.coils_in_a_ring
    )
    brushes_seen = brushes is not None and brushes.settles and isinstance(brushes.counts[0], BrushesFound)
    return not (_seen(pieces, "position") or ring_seen or brushes_seen or _ac_read(pieces, settings) is not None)


def _energy_transfer_open(pieces: Sequence[Evidently], settings: GuardSettings) -> bool:
    wires = piece(pieces, "thick_wires")
    if wires is None or _battery_coils_seen(pieces) or _body_seen(pieces):
        return False
    # What we count ourselves outweighs what anybody told; else whoever counted many keeps the doubt.
    told = wires.counts if wires.seen_by_us else (*wires.counts, *wires.set_aside)
    return any(isinstance(found, ThickWiresFound) and found.answer >= settings.many_thick_wires for found in told)


def _battery_coils_seen(pieces: Sequence[Evidently]) -> bool:
    found = piece(pieces, "ignition")
    if found is None or not found.seen_by_us:
        return False  # a caller's look does not tell the two kinds of coil apart
    ignition = found.counts[0]
    return isinstance(ignition, IgnitionFound) and ignition.answer is not Ignition.ENERGY_TRANSFER
