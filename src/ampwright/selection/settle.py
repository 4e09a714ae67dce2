"""
The look that would settle a doubt: which checks to ask for together.

A check is worth what it is expected to save: the sale that can be made after it
and not before. Each likely bike is taken in turn to be the true one, with the
answers that are usual for it. Checks that one opening serves are planned together,
so that the case is opened when that pays and not for one count alone. When no
doubt that is left changes a part, nothing is asked.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ampwright.belief.posterior import Array
from ampwright.belief.value import mutual_information_bit
from ampwright.bike.finding import FINDING_KINDS
from ampwright.bike.job import Job
from ampwright.identify.grid import EARTH, GENERATOR, IGNITION, REGULATED_BY, SYSTEM_VOLTAGE
from ampwright.identify.guards import LIFTED_BY_AXIS, LIFTED_BY_FAMILY
from ampwright.identify.identification import Identification, seen
from ampwright.identify.outcomes import outcome_shares
from ampwright.selection.message import MOST_CHARACTERS, message_for
from ampwright.selection.verdicts import CANT_SAY, FITS_WHEN_FITTED_SO, Outlook, PartVerdict
from ampwright.stock.checks import Check, Checks
from ampwright.stock.evidence import AskingSettings
from ampwright.terms import SOURCE_ORDER, Family, Source, Verdict

_NOTHING = "nothing"
_WHO = ("caller", "home", "workshop")
# The cells taken in turn to be true: as many as hold this share of belief, and not more than this.
_TRUTHS_HOLD, _MOST_TRUTHS = 0.97, 12
# How often each is taken, and a step that spaces what it shows of each finding evenly (the golden ratio).
_SHOWINGS, _GOLDEN = 2, 0.6180339887
# What a guard keeps possible stands against a sale until it is lifted, whatever the belief in it.
_GUARD_WEIGHS = 0.1
# What is left out is held on each question by itself, so a part is counted on only well inside of it.
_SURE, _LEAST_AGAINST = 0.5, 0.1
# The least that another rating of the same family counts against a part that would not carry it.
_OTHER_RATING = 0.02
_TINY = 1e-12
# Energy-transfer windings carry high AC volts: from this belief on nobody is asked to probe them running.
_NOT_PROBED_FROM, _PROBED_RUNNING = 0.03, ("pair_volts", "one_ohm_volts")
# Less than this about the generator is not worth a call; a look that saves less a minute gives way to what tells of it.
_LEAST_BIT, _LEAST_WORTH = 0.02, 0.02
# Questions whose answers go with the generator and its voltage, so that a finding on them tells of these.
_GOES_WITH = (IGNITION, REGULATED_BY)
# Cells that hold less than the rest of this are left out, but for so many that each guard keeps.
_CELLS_HOLD, _MOST_OF_A_GUARD = 0.9995, 12
# A look asks for at most this many things: more are not done.
_MOST_CHECKS = 5


@dataclass(frozen=True)
class Look:
    """What is asked for at one go: checks that share an opening, and what they take and are expected to save."""

    checks: tuple[Check, ...]
    minutes: float
    saving_minutes: float
    message: str

    @property
    def opens(self) -> str:
        """What has to be opened for it."""
        places = dict.fromkeys(check.opens for check in self.checks if check.opens != _NOTHING)
        return ", ".join(places) or _NOTHING


def open_kinds(checks: Checks, job: Job, identification: Identification) -> dict[str, tuple[str, ...]]:
    """By check that can be done, the findings it brings that are not yet known from a source as good as it reaches."""
    known = {found.kind: found for found in identification.pieces}

    transfer_likely = identification.family_share(Family.ENERGY_TRANSFER) >= _NOT_PROBED_FROM

    def is_open(kind: str, check: Check) -> bool:
        if kind in job.cannot_say or kind == "danger" or (transfer_likely and kind in _PROBED_RUNNING):
            return False
        found = known.get(kind)
        if found is None or len(found.counts) > 1:
            return True
        return SOURCE_ORDER.index(found.source) < SOURCE_ORDER.index(check.source_reached)

    return {
        check.name: tuple(kind for kind in check.brings if is_open(kind, check))
        for check in checks.checks
        if _WHO.index(check.who) <= _WHO.index(job.who)
    }


class Cells:
    """
    The joint answers still possible to some questions, and how each check would part them.

    ``truths`` are the likeliest cells, each taken in turn to be what the bike is, more
    than once, since one bike shows this or that; the others are what it must be told from.
    """

    def __init__(self, axes: tuple[int, ...], outlook: Outlook, open_kinds: Mapping[str, tuple[str, ...]]) -> None:
        self.axes, self._outlook, self._open_kinds = axes, outlook, open_kinds
        mask = outlook.possible_over(axes)
        belief = _with_every_rating(outlook.belief_over(axes), axes, outlook)[mask]
        belief = belief / belief.sum() if belief.sum() > 0.0 else np.full(len(belief), 1.0 / len(belief))
        places, guards = np.argwhere(mask), _guards(np.argwhere(mask).T, axes, outlook)
        guarded: NDArray[np.bool_] = np.array(list(guards.values()), bool).reshape(len(guards), len(belief))
        matter = _that_matter(belief, guarded)
        self._flat = np.ravel_multi_index(tuple(places[matter].T), mask.shape) if axes else np.zeros(1, np.intp)
        self.belief: Array = belief[matter] / belief[matter].sum()
        #: How much belief in a cell counts against a sale: more where a family is left out only at less belief.
        self.counts: Array = _counts(axes, outlook)[mask][matter]
        self._lifted_by = tuple(guards)
        #: Guards by cells: which guard keeps which cell, guards that the same findings lift taken as one.
        self.guarded = guarded[:, matter].astype(float)
        order = np.argsort(-self.belief, kind="stable")
        enough = int(np.searchsorted(np.cumsum(self.belief[order]), _TRUTHS_HOLD)) + 1
        self.truths = np.repeat(order[: min(enough, _MOST_TRUTHS)], _SHOWINGS)
        self._at = dict(zip(axes, places[matter].T, strict=True))
        self._of_others: dict[tuple[int, ...], Array] = {}
        self._parted: dict[str, Array] = {}

    def values(self, spread: NDArray[Any]) -> NDArray[Any]:
        """Arrays that broadcast over the grid and depend on these questions only, a value a cell."""
        shape = tuple(len(values) if axis in self.axes else 1 for axis, values in enumerate(self._outlook.grid.values))
        leading = spread.shape[: spread.ndim - len(shape)]
        return np.broadcast_to(spread, leading + shape).reshape(*leading, -1)[..., self._flat]

    def lifted(self, check: Check) -> NDArray[np.bool_]:
        """The guards that a check can lift."""
        brought = self._open_kinds[check.name]
        return np.array([not kinds.isdisjoint(brought) for kinds in self._lifted_by], dtype=np.bool_)

    def tells(self, check: Check) -> bool:
        """Whether anything that a check brings depends on these questions, or on what goes with them."""
        found = [self._outlook.grid.outcome_axes.get(kind, ()) for kind in self._open_kinds[check.name]]
        return any(set(axes) & {*self.axes, *_GOES_WITH} for axes in found)

    def parted(self, check: Check) -> Array:
        """
        How much likelier each truth is than every cell, where a check brings what is usual for the truth.

        Factors on the belief, truths by cells. A cell that only a guard keeps is told apart
        by nothing but the check that lifts the guard.
        """
        if check.name not in self._parted:
            apart = np.ones((len(self.truths), len(self.belief)))
            for kind in self._open_kinds[check.name]:
                outcome = self._outcome(kind, check.source_reached)
                if outcome is not None:
                    share = outcome[self._shown(outcome, kind)]
                    apart *= share / share[np.arange(len(share)), self.truths][:, None]
            apart[:, (self.guarded[~self.lifted(check)] > 0.0).any(axis=0)] = 1.0
            self._parted[check.name] = apart
        return self._parted[check.name]

    def told_bit(self, check: Check) -> float:
        """What the most telling of a check's findings is expected to tell about these questions."""
        outcomes = [self._outcome(kind, check.source_reached) for kind in self._open_kinds[check.name]]
        bits = [mutual_information_bit(outcome * self.belief) for outcome in outcomes if outcome is not None]
        return max(bits, default=0.0)

    def _shown(self, outcome: Array, kind: str) -> NDArray[np.intp]:
        """The outcome of a finding that each truth shows each time, evenly drawn."""
        place = (FINDING_KINDS.index(kind) * _GOLDEN + np.arange(len(self.truths)) % _SHOWINGS / _SHOWINGS) % 1.0
        below = np.cumsum(outcome[:, self.truths], axis=0) <= place
        return np.asarray(np.minimum(below.sum(axis=0), len(outcome) - 1))

    def _outcome(self, kind: str, source: Source) -> Array | None:
        """The probability of each outcome of a finding, outcomes by cells."""
        found = outcome_shares(kind, source, self._outlook.grid)
        if found is None:
            return None
        axes, share = found
        inside = tuple(axis for axis in axes if axis in self._at)
        outside = tuple(axis for axis in axes if axis not in self._at)
        at = tuple(self._at[axis] for axis in inside)
        if not outside:
            return np.asarray(np.broadcast_to(share[(slice(None), *at)].reshape(len(share), -1), self._shape(share)))
        # Outcomes that depend on other questions as well are averaged over their answers as they are believed.
        order = (0, *(axes.index(axis) + 1 for axis in (*inside, *outside)))
        shares = np.transpose(share, order)[(slice(None), *at)].reshape(len(share), len(self.belief) if at else 1, -1)
        return np.asarray(np.broadcast_to((shares * self._given(outside)).sum(axis=-1), self._shape(share)))

    def _shape(self, share: Array) -> tuple[int, int]:
        return len(share), len(self.belief)

    def _given(self, outside: tuple[int, ...]) -> Array:
        """The belief in the answers to other questions given the generator and voltage of each cell."""
        if outside not in self._of_others:
            base = tuple(axis for axis in (GENERATOR, SYSTEM_VOLTAGE) if axis in self._at)
            joint = tuple(sorted((*base, *outside)))
            belief = self._outlook.belief_over(joint) + _TINY * self._outlook.prior_over(joint)
            belief = np.transpose(belief, [joint.index(axis) for axis in (*base, *outside)])
            given = belief[tuple(self._at[axis] for axis in base)].reshape(len(self.belief) if base else 1, -1)
            self._of_others[outside] = given / np.maximum(given.sum(axis=-1, keepdims=True), _TINY**2)
        return self._of_others[outside]


def _guards(
    places: NDArray[np.intp], axes: tuple[int, ...], outlook: Outlook
) -> dict[frozenset[str], NDArray[np.bool_]]:
    """By the findings that could lift it, the cells that a guard keeps and belief does not."""
    at = dict(zip(axes, places, strict=True))
    guards: dict[frozenset[str], NDArray[np.bool_]] = {}
    known = np.ones(places.shape[1], bool)
    if GENERATOR in at:
        known = outlook.held_over((GENERATOR,))[at[GENERATOR]]
        families = [generator.family for generator in outlook.grid.generators]
        held = {family for family, on in zip(families, outlook.held_over((GENERATOR,)), strict=True) if on}
        for family in {families[place] for place in at[GENERATOR][~known]} - held:
            kinds = frozenset(LIFTED_BY_FAMILY.get(family, ()) + LIFTED_BY_AXIS[GENERATOR])
            kept = ~known & np.array([own is family for own in families])[at[GENERATOR]]
            guards[kinds] = guards.get(kinds, False) | kept
    for axis, lifted_by in LIFTED_BY_AXIS.items():
        if axis in at and axis != GENERATOR:
            over = (GENERATOR, axis) if GENERATOR in at and axis != EARTH else (axis,)
            kept = known & ~outlook.held_over(over)[tuple(at[other] for other in over)]
            if kept.any():
                guards[frozenset(lifted_by)] = kept
    return guards


def _with_every_rating(belief: Array, axes: tuple[int, ...], outlook: Outlook) -> Array:
    """Give the other ratings of a family that is believed in a share that a count or a photo can still take away."""
    if GENERATOR not in axes:
        return belief
    families = [generator.family for generator in outlook.grid.generators]
    alike = np.array([[own is other for other in families] for own in families], dtype=float)
    return np.maximum(belief, _OTHER_RATING * np.tensordot(alike, belief, axes=(1, 0)))


def _that_matter(belief: Array, guarded: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The cells that hold nearly all belief, and the likeliest that each guard keeps: the rest changes nothing."""
    falling = np.argsort(-belief, kind="stable")
    enough = int(np.searchsorted(np.cumsum(belief[falling]), _CELLS_HOLD)) + 1
    matter = np.zeros(len(belief), bool)
    matter[falling[:enough]] = True
    for guard in guarded:
        kept = falling[guard[falling]]
        matter[kept[:_MOST_OF_A_GUARD]] = True
    return matter


def _counts(axes: tuple[int, ...], outlook: Outlook) -> Array:
    settings, counts = outlook.grid.evidence.settings, np.ones(outlook.possible_over(axes).shape)
    if GENERATOR not in axes:
        return counts
    share = 1.0 - settings.still_possible_share
    of_generator = [
        max(1.0, share / settings.left_out_below.get(generator.family, share)) for generator in outlook.grid.generators
    ]
    return np.asarray(counts * np.reshape(of_generator, (-1, *([1] * (counts.ndim - 1)))))


def _first(identification: Identification) -> str:
    """What is looked at before all else: what was seen two ways, then what energy transfer is known by."""
    disputed = next((piece.kind for piece in identification.pieces if piece.disputed), "")
    transfer = identification.likeliest_family is Family.ENERGY_TRANSFER and not seen(identification.pieces, "ignition")
    return disputed or ("ignition" if transfer else "")


class Inquiry:
    """The checks open on a job, and the cells that verdicts are laid out over, each laid out once."""

    def __init__(self, job: Job, outlook: Outlook, checks: Checks, identification: Identification) -> None:
        self.job, self.outlook = job, outlook
        self.settings: AskingSettings = outlook.grid.evidence.settings.asking
        self._open_kinds = open_kinds(checks, job, identification)
        self.open_to_us = tuple(check for check in checks.checks if self._open_kinds.get(check.name))
        self.first = _first(identification)
        self._cells: dict[tuple[int, ...], Cells] = {}

    def cells(self, axes: tuple[int, ...]) -> Cells:
        """The cells over some questions."""
        if axes not in self._cells:
            self._cells[axes] = Cells(axes, self.outlook, self._open_kinds)
        return self._cells[axes]


@dataclass(frozen=True)
class Prospect:
    """What some checks would bring together: belief after them, guards that stand, and what that would be worth."""

    checks: tuple[Check, ...]
    belief: Array
    kept: NDArray[np.bool_]
    sold: float
    bits: float


class Prospects:
    """
    What open checks would be worth to some parts: how much likelier one of them can be sold afterwards.

    A part can be sold where what speaks against it holds less belief than may be
    left out, and no guard keeps it possible.
    """

    def __init__(self, verdicts: Sequence[PartVerdict], inquiry: Inquiry) -> None:
        self._settings = inquiry.settings
        self._may_be_left_out = 1.0 - inquiry.outlook.grid.evidence.settings.still_possible_share
        self.cells = inquiry.cells(tuple(sorted({axis for verdict in verdicts for axis in verdict.axes})))
        # What is not in stock cannot be sold, whatever is found out.
        there = [verdict for verdict in verdicts if verdict.part.in_stock] or verdicts
        self._codes = np.array([self.cells.values(verdict.codes) for verdict in there])
        self._settled_by = [verdict.settled_by for verdict in there]
        weight = self.cells.belief[self.cells.truths]
        self._weight: Array = weight / weight.sum()
        belief = np.repeat(self.cells.belief[None, :], len(self.cells.truths), axis=0)
        self.now = self._valued((), belief, np.ones(len(self.cells.guarded), bool))

    @property
    def is_open(self) -> bool:
        """Whether any part would be right for some of what is still possible and not for the rest."""
        bad = self._codes > FITS_WHEN_FITTED_SO
        return bool((bad.any(axis=1) & ~bad.all(axis=1)).any() or (self._codes == CANT_SAY).any())

    def after(self, prospect: Prospect, check: Check) -> Prospect:
        """What one check more would bring."""
        belief = prospect.belief * self.cells.parted(check)
        return self._valued((*prospect.checks, check), belief, prospect.kept & ~self.cells.lifted(check))

    def saving_minutes(self, prospect: Prospect) -> float:
        """What its checks are expected to save together, their own minutes not counted."""
        more_sold, more_bits = prospect.sold - self.now.sold, prospect.bits - self.now.bits
        return self._settings.lost_sale_minutes * more_sold + self._settings.bit_minutes * more_bits

    def _valued(self, checks: tuple[Check, ...], belief: Array, kept: NDArray[np.bool_]) -> Prospect:
        """The chance that a part can then be sold, and how far what stands against the best one has shrunk, in bits."""
        bad = self._bad({kind for check in checks for kind in check.brings}).astype(float)
        against = ((belief * self.cells.counts) @ bad.T) / belief.sum(axis=1, keepdims=True)
        guards = (self.cells.guarded[kept] @ bad.T > 0.0).sum(axis=0)
        best = (against + _GUARD_WEIGHS * guards).min(axis=1, initial=1.0)
        bits = -np.log2(np.clip(best, _LEAST_AGAINST * self._may_be_left_out, 1.0))
        # Before anything is asked nothing can be sold, or there were nothing to ask.
        sold = (best < _SURE * self._may_be_left_out) & bool(checks)
        return Prospect(checks, belief, kept, float(self._weight @ sold), float(self._weight @ bits))

    def _bad(self, brought: set[str]) -> NDArray[np.bool_]:
        """Parts by cells: where a part could not be sold, though the bike and what its rules ask for were known."""
        told = np.array([bool(names & brought) for names in self._settled_by], dtype=np.bool_)
        return np.asarray((self._codes > FITS_WHEN_FITTED_SO) & ~((self._codes == CANT_SAY) & told[:, None]))


def next_look(verdicts: Sequence[PartVerdict], inquiry: Inquiry) -> Look | None:
    """Find the look that is expected to save most a minute; None where no open check changes a part."""
    open_to_us = inquiry.open_to_us
    if not verdicts or not open_to_us:
        return None
    planner = _Planner(inquiry, Prospects(verdicts, inquiry))
    first = next((check for check in open_to_us if inquiry.first in check.brings), None)
    if first is not None:
        return planner.with_others(first)
    found = planner.best() if planner.prospects.is_open else None
    if found is not None and _worth(found) >= _LEAST_WORTH:
        return found
    named = named_check(verdicts, open_to_us)
    if named is None and any(verdict.verdict is Verdict.CANT_SAY for verdict in verdicts):
        # No sale is in sight: then what tells most of the generator, which decides what is to be considered at all.
        named = _telling_of_the_generator(inquiry)
    return planner.alone(named) if named else found


def _telling_of_the_generator(inquiry: Inquiry) -> Check | None:
    """The check that is expected to tell most about which generator it is, for each minute."""
    cells, settings = inquiry.cells((GENERATOR,)), inquiry.settings
    told = [
        (
            cells.told_bit(check) / (settings.asking_minutes + settings.opening_minutes[check.opens] + check.minutes),
            check,
        )
        for check in inquiry.open_to_us
    ]
    worth, best = max(told, key=lambda each: each[0])
    return best if worth * settings.asking_minutes >= _LEAST_BIT else None


def named_check(verdicts: Sequence[PartVerdict], open_to_us: Sequence[Check]) -> Check | None:
    """A check that a rule asked for by name, where belief alone sees no doubt."""
    names = {name for verdict in verdicts for name in verdict.settled_by}
    return next((check for check in open_to_us if not names.isdisjoint(check.brings)), None)


def settling_check(verdict: PartVerdict, inquiry: Inquiry) -> Check | None:
    """The check that would tell most about one part's verdict for each minute: one that its rule names, first."""
    named = named_check([verdict], inquiry.open_to_us)
    if named is not None:
        return named
    prospects, asking = Prospects([verdict], inquiry), inquiry.settings.asking_minutes
    worth = [
        (prospects.saving_minutes(prospects.after(prospects.now, check)) / (check.minutes + asking), -place, check)
        for place, check in enumerate(inquiry.open_to_us)
    ]
    best = max(worth, default=None)
    return best[2] if best is not None and best[0] > inquiry.settings.least_saving_minutes / asking else None


@dataclass(frozen=True)
class _Planner:
    """Puts looks together, for each of those who could make them."""

    inquiry: Inquiry
    prospects: Prospects

    def best(self) -> Look | None:
        """The look with the greatest saving a minute, over what the caller, someone at home or a workshop can do."""
        alone = [
            self._look(self.prospects.after(self.prospects.now, check))
            for check in self.inquiry.open_to_us
            if self.prospects.cells.tells(check)
        ]
        telling = [look for look in alone if look.saving_minutes >= self.inquiry.settings.least_saving_minutes]
        telling.sort(key=_worth, reverse=True)
        looks = []
        for who in dict.fromkeys(look.checks[0].who for look in telling):
            can_be_done = [look.checks[0] for look in telling if _WHO.index(look.checks[0].who) <= _WHO.index(who)]
            first = next(check for check in can_be_done if check.who == who)
            looks.append(self._grown(first, can_be_done))
        return max(looks, key=_worth, default=None)

    def with_others(self, first: Check) -> Look:
        """The look that begins with one check and takes what else pays."""
        others = [check for check in self.inquiry.open_to_us if self.prospects.cells.tells(check)]
        return self._grown(first, others)

    def alone(self, check: Check) -> Look:
        """One check by itself."""
        return self._look(self.prospects.after(self.prospects.now, check))

    def _grown(self, first: Check, others: Sequence[Check]) -> Look:
        """Widen the look of the first check by the one that then pays best, as long as it pays for its own minutes."""
        settings, prospect = self.inquiry.settings, self.prospects.after(self.prospects.now, first)
        look = self._look(prospect)
        while len(look.checks) < _MOST_CHECKS:
            wider = [self.prospects.after(prospect, check) for check in others if check not in look.checks]
            paying: list[tuple[float, int, Prospect, Look]] = []
            for more in wider:
                seen = self._look(more)
                gain, minutes = seen.saving_minutes - look.saving_minutes, seen.minutes - look.minutes
                pays = gain >= max(settings.least_saving_minutes, settings.minute_worth * minutes)
                if pays and len(seen.message) < MOST_CHARACTERS:
                    paying.append((gain / seen.minutes, len(paying), more, seen))
            if not paying:
                break
            _, _, prospect, look = max(paying)
        return look

    def _look(self, prospect: Prospect) -> Look:
        settings, job, checks = self.inquiry.settings, self.inquiry.job, prospect.checks
        closed = {check.opens for check in checks} - {*job.opened, _NOTHING}
        opening = sum(settings.opening_minutes[place] for place in closed)
        minutes = settings.asking_minutes + opening + sum(check.minutes for check in checks)
        return Look(checks, minutes, self.prospects.saving_minutes(prospect), message_for(job, checks))


def _worth(look: Look) -> float:
    """What a look saves for each minute that it takes."""
    return look.saving_minutes / look.minutes
