"""
The look that would settle a doubt: which checks to ask for together.

A check is worth what it is expected to save: the sale that can be made after it
and not before. Each likely bike is taken in turn to be the true one, with the
answers that are usual for it. Checks that one opening serves are planned together,
so that the case is opened when that pays and not for one count alone. When no
doubt that is left changes a part, nothing is asked.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import compress

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.bike.job import Job
from ampwright.bike.reading import PairVoltsFound
from ampwright.bike.seen import ThickWiresFound
from ampwright.identify.counted import piece
from ampwright.identify.grid import GENERATOR
from ampwright.identify.guards import REVERSED
from ampwright.identify.identification import Identification, seen
from ampwright.selection.cells import Cells
from ampwright.selection.message import MOST_CHARACTERS, message_for
from ampwright.selection.outlook import Outlook
from ampwright.selection.prospects import Prospect, Prospects
from ampwright.selection.verdicts import CANT_SAY, FITS_WHEN_FITTED_SO, PartVerdict
from ampwright.stock.checks import Check, Checks
from ampwright.stock.evidence import AskingSettings
from ampwright.terms import SOURCE_ORDER, Family, Verdict

_NOTHING = "nothing"
_WHO = ("caller", "home", "workshop")
# Energy-transfer windings carry high AC volts: while one is possible nobody is asked to probe it running, but where
# few wires were counted on a photo, or by a look that nobody gainsays and with less belief in it than this.
_NOT_PROBED_FROM = 0.03
_PROBED_RUNNING = frozenset({"pair_volts", "one_ohm_volts"})
_TELLS_OF_REVERSED = frozenset({"needle", "frame_post"})
# Less than this about the generator is not worth a call; a look that saves less a minute gives way to what tells of it.
_LEAST_BIT, _LEAST_WORTH = 0.02, 0.02
# What tells at least this share of what the best tells is asked for with it.
_NEARLY_AS_TELLING = 0.4
# A look asks for at most this many things: more are not done.
_MOST_CHECKS = 5
# So many checks, those that save most by themselves, are first taken together.
_TAKEN_TOGETHER = 8


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
    # With the battery perhaps the wrong way round the engine stays off; once put right, both are looked at again.
    is_reversed = REVERSED in identification.guards
    unsafe = _PROBED_RUNNING if is_reversed or _may_be_energy_transfer(identification) else frozenset[str]()

    def is_open(kind: str, check: Check) -> bool:
        if kind in job.cannot_say or kind == "danger" or kind in unsafe:
            return False
        found = known.get(kind)
        if found is None or len(found.counts) > 1 or (is_reversed and kind in _TELLS_OF_REVERSED):
            return True
        if isinstance(found.counts[0], PairVoltsFound) and _is_read_better(found.counts[0], identification):
            return True
        return SOURCE_ORDER.index(found.source) < SOURCE_ORDER.index(check.source_reached)

    return {
        check.name: tuple(kind for kind in check.brings if is_open(kind, check))
        for check in checks.checks
        if _WHO.index(check.who) <= _WHO.index(job.who)
    }


def _is_read_better(read: PairVoltsFound, identification: Identification) -> bool:
    """Whether AC volts read once more would tell more: not roughly, or with every wire off where a field may be fed."""
    may_be_fed = Family.WOUND_FIELD in identification.possible_families and not read.all_wires_off
    return not read.is_sound or may_be_fed


def _may_be_energy_transfer(identification: Identification) -> bool:
    """Whether energy transfer is possible, and fewer wires than it has were not surely counted."""
    wires = piece(identification.pieces, "thick_wires")
    few = identification.grid.evidence.settings.guards.many_thick_wires
    counted_few = wires is not None and all(
        isinstance(found, ThickWiresFound) and found.answer < few for found in (*wires.counts, *wires.set_aside)
    )
    unlikely = identification.family_share(Family.ENERGY_TRANSFER) < _NOT_PROBED_FROM
    surely = wires is not None and (wires.seen_by_us or (wires.settles and unlikely))
    return Family.ENERGY_TRANSFER in identification.possible_families and not (counted_few and surely)


def _first(identification: Identification) -> tuple[str, ...]:
    """
    Which findings are asked for before all else.

    What was seen two ways, then what energy transfer is known by.
    """
    pieces = identification.pieces
    disputed = tuple(found.kind for found in pieces if found.disputed)
    transfer = identification.likeliest_family is Family.ENERGY_TRANSFER and not seen(pieces, "ignition")
    return (*disputed, *(("ignition",) if transfer else ()))


# The questions that a verdict turns on, where it is against a sale, where its rules ask, and what they ask for by name.
_Doubt = tuple[tuple[int, ...], bytes, bytes, frozenset[str]]


class Inquiry:
    """The checks open on a job, and the cells that verdicts are laid out over, each laid out once."""

    def __init__(self, job: Job, outlook: Outlook, checks: Checks, identification: Identification) -> None:
        self.job, self.outlook = job, outlook
        self.settings: AskingSettings = outlook.grid.evidence.settings.asking
        self._open_kinds = open_kinds(checks, job, identification)
        self.open_to_us = tuple(check for check in checks.checks if self._open_kinds.get(check.name))
        self.first = _first(identification)
        #: Whether AC volts may be asked for once wires were counted.
        self.probing_waits = _may_be_energy_transfer(identification) and any(
            "thick_wires" in brought for brought in self._open_kinds.values()
        )
        self._cells: dict[tuple[int, ...], Cells] = {}
        self._settling: dict[_Doubt, Check | None] = {}

    def brings(self, check: Check) -> tuple[str, ...]:
        """The findings of a check that are open."""
        return self._open_kinds[check.name]

    def cells(self, axes: tuple[int, ...]) -> Cells:
        """The cells over some questions."""
        if axes not in self._cells:
            self._cells[axes] = Cells(axes, self.outlook, self.open_to_us, self._open_kinds)
        return self._cells[axes]

    def prospects(self, verdicts: Sequence[PartVerdict]) -> Prospects:
        """What the open checks would be worth to some parts."""
        axes = tuple(sorted({axis for verdict in verdicts for axis in verdict.axes}))
        return Prospects(verdicts, self.cells(axes), self.open_to_us, self.outlook.grid.evidence.settings)

    def most_telling(self, verdict: PartVerdict) -> Check | None:
        """The check that would tell most about one part's verdict for each minute, worked out once for each doubt."""
        cells, asked = self.cells(verdict.axes), verdict.settled_by
        codes = cells.values(verdict.codes.squeeze(), verdict.axes)
        bad = codes > FITS_WHEN_FITTED_SO
        if not asked and (bad.all() or not bad.any()):
            return None  # right or wrong in every cell: no check tells of it
        # What speaks against a part where, and what it asks for by name and where, is all that its prospects look at.
        doubt = (verdict.axes, bad.tobytes(), (codes == CANT_SAY).tobytes() if asked else b"", asked)
        if doubt not in self._settling:
            self._settling[doubt] = _most_telling(self.prospects([verdict]), self)
        return self._settling[doubt]


def next_look(verdicts: Sequence[PartVerdict], inquiry: Inquiry) -> Look | None:
    """Find the look that is expected to save most a minute; None where no open check changes a part."""
    open_to_us = inquiry.open_to_us
    if not verdicts or not open_to_us:
        return None
    planner = _Planner(inquiry, inquiry.prospects(verdicts))
    first = next((check for kind in inquiry.first for check in open_to_us if kind in inquiry.brings(check)), None)
    found = planner.with_others(first) if first is not None else planner.best()
    if found is not None and _worth(found) >= _LEAST_WORTH:
        return found
    wanted = [check for check in (first or named_check(verdicts, open_to_us),) if check is not None]
    if any(verdict.verdict is Verdict.CANT_SAY for verdict in verdicts):
        # No sale is in sight: then what tells most of the generator, which decides what is to be considered at all,
        # or what lifts a guard: until then a part that fits on a condition cannot be named either.
        wanted += _telling_of_the_generator(inquiry) or planner.lifting()
    return planner.first_of(wanted) if wanted else found


def _telling_of_the_generator(inquiry: Inquiry) -> list[Check]:
    """The checks that are expected to tell most about which generator it is, for each minute, the best first."""
    settings = inquiry.settings
    worth = np.array(inquiry.cells((GENERATOR,)).told_bit()) / [
        settings.asking_minutes + settings.opening_minutes[check.opens] + check.minutes for check in inquiry.open_to_us
    ]
    enough = max(_LEAST_BIT / settings.asking_minutes, _NEARLY_AS_TELLING * worth.max())
    order = np.argsort(-worth, kind="stable")
    return [inquiry.open_to_us[at] for at in order if worth[at] >= enough]


def named_check(verdicts: Sequence[PartVerdict], open_to_us: Sequence[Check]) -> Check | None:
    """A check that a rule asked for by name, where belief alone sees no doubt."""
    names = {name for verdict in verdicts for name in verdict.settled_by}
    if not names:
        return None
    return next((check for check in open_to_us if not names.isdisjoint(check.brings)), None)


def settling_check(verdict: PartVerdict, inquiry: Inquiry) -> Check | None:
    """The check that would tell most about one part's verdict for each minute: one that its rule names, first."""
    named = named_check([verdict], inquiry.open_to_us)
    return named if named is not None or not inquiry.open_to_us else inquiry.most_telling(verdict)


def _most_telling(prospects: Prospects, inquiry: Inquiry) -> Check | None:
    asking = inquiry.settings.asking_minutes
    minutes = np.array([check.minutes + asking for check in inquiry.open_to_us])
    worth = prospects.savings_of_each() / minutes
    best = int(worth.argmax())
    return inquiry.open_to_us[best] if worth[best] > inquiry.settings.least_saving_minutes / asking else None


class _Planner:
    """Puts looks together, for each of those who could make them; checks go by their place among the open ones."""

    def __init__(self, inquiry: Inquiry, prospects: Prospects) -> None:
        self._settings, self._inquiry, self._prospects = inquiry.settings, inquiry, prospects
        self._checks, self._telling = inquiry.open_to_us, prospects.cells.telling

    def best(self) -> Look | None:
        """
        The look with the greatest saving a minute, its checks in the order of what each would save by itself.

        While nobody may probe for AC volts yet, and counting wires may lift that, no case is opened instead.
        """
        if not self._prospects.is_open or not self._telling:
            return None
        if self._inquiry.probing_waits:
            at_hand, opening = self._opened(()), self._settings.opening_minutes
            longest = self._settings.asking_minutes
            opens = [self._checks[at].opens for at in self._telling]
            quickly = [place in at_hand or opening[place] <= longest for place in opens]
            quick = self._best_of(list(compress(self._telling, quickly)))
            if quick is not None and _worth(quick) >= _LEAST_WORTH:
                return quick
        return self._best_of(self._telling)

    def _best_of(self, checks: Sequence[int]) -> Look | None:
        """
        The best look made of some checks.

        Checks may be worth little one by one and a sale together, so the best are all taken first, and
        those that cost more than they bring left out one by one.
        """
        if not checks:
            return None
        savings = self._prospects.savings(self._prospects.now, checks)
        worth = savings / (self._settings.asking_minutes + self._more_minutes((), checks))
        order = [at for at in np.argsort(-worth, kind="stable") if savings[at] >= self._settings.least_saving_minutes]
        telling = [checks[at] for at in order]
        if not telling:
            return None
        widest = self._widest(self._prospects.together(self._pruned(telling[:_TAKEN_TOGETHER])), telling)
        return self._look(sorted(widest.checks, key=telling.index), widest.saving_minutes)

    def with_others(self, first: Check) -> Look:
        """The look that begins with one check and takes what else pays."""
        widest = self._widest(self._first(self._checks.index(first)), self._telling)
        return self._look(widest.checks, widest.saving_minutes)

    def lifting(self) -> list[Check]:
        """The quickest check that lifts a guard, where a guard stands that an open check lifts."""
        lifting = [check for check, lifts in zip(self._checks, self._prospects.cells.lifts, strict=True) if lifts.any()]
        opening = self._settings.opening_minutes
        return sorted(lifting, key=lambda check: opening[check.opens] + check.minutes)[:1]

    def first_of(self, checks: Sequence[Check]) -> Look:
        """The first of some checks, and the next ones as long as all can be asked together."""
        places = [self._checks.index(check) for check in dict.fromkeys(checks)]
        asked = next(
            places[:many] for many in range(len(places), 0, -1) if many == 1 or self._can_be_asked(places[:many])
        )
        return self._look(asked, self._prospects.together(asked).saving_minutes)

    def _pruned(self, checks: Sequence[int]) -> list[int]:
        """Some checks without those that cost more than they bring, left out one by one, and few enough to be asked."""
        kept, worth = list(checks), 0.0
        while len(kept) > 1:
            each = self._prospects.savings_without_each(kept) / self._minutes_without_each(kept)
            least = int(each.argmax())
            if each[least] <= worth and self._can_be_asked(kept):
                break
            worth = float(each[least])
            del kept[least]
        return kept

    def _widest(self, prospect: Prospect, others: Sequence[int]) -> Prospect:
        """Widen what is asked for by the check that then pays best, as long as one pays for its own minutes."""
        wider: Prospect | None = prospect
        while wider is not None:
            widest, wider = wider, self._widened(wider, others)
        return widest

    def _widened(self, prospect: Prospect, others: Sequence[int]) -> Prospect | None:
        """The prospect with the check more that saves most a minute and pays for itself; None where none does."""
        more = [check for check in others if check not in prospect.checks]
        if not more:
            return None
        savings = self._prospects.savings(prospect, more)
        own_minutes = self._more_minutes(prospect.checks, more)
        gain, minutes = savings - prospect.saving_minutes, self._minutes(prospect.checks) + own_minutes
        # An opening is paid for in full, a check's own minutes in part.
        looking = np.array([self._checks[check].minutes for check in more])
        price = own_minutes - looking + self._settings.minute_worth * looking
        pays = gain >= np.maximum(self._settings.least_saving_minutes, price)
        for at in np.argsort(-gain / minutes, kind="stable"):
            if pays[at] and self._can_be_asked((*prospect.checks, more[at])):
                return self._prospects.after(prospect, more[at], float(savings[at]))
        return None

    def _first(self, check: int) -> Prospect:
        now = self._prospects.now
        return self._prospects.after(now, check, float(self._prospects.savings(now, (check,))[0]))

    def _minutes(self, checks: Sequence[int]) -> float:
        """What some checks take together: the call, each place opened once, and their own minutes."""
        opening = sum(self._settings.opening_minutes[place] for place in self._opened(checks) - self._opened(()))
        return self._settings.asking_minutes + opening + sum(self._checks[check].minutes for check in checks)

    def _more_minutes(self, checks: Sequence[int], more: Sequence[int]) -> Array:
        """What each of some checks takes more where others are made already."""
        opened, opening = self._opened(checks), self._settings.opening_minutes
        others = [self._checks[check] for check in more]
        return np.array([other.minutes + (0.0 if other.opens in opened else opening[other.opens]) for other in others])

    def _minutes_without_each(self, checks: Sequence[int]) -> Array:
        """What some checks take together, with each of them left out in turn."""
        others = [self._checks[check].opens for check in checks]
        spared = [
            self._checks[check].minutes
            + (
                self._settings.opening_minutes[opens]
                if others.count(opens) == 1 and opens not in self._opened(())
                else 0.0
            )
            for check, opens in zip(checks, others, strict=True)
        ]
        return self._minutes(checks) - np.array(spared)

    def _opened(self, checks: Sequence[int]) -> set[str]:
        return {_NOTHING, *self._inquiry.job.opened, *(self._checks[check].opens for check in checks)}

    def _in_order(self, checks: Sequence[int]) -> tuple[Check, ...]:
        """Whoever looks does with the engine off what can be done so, and only then starts it."""
        asked = (self._checks[check] for check in checks)
        return tuple(sorted(asked, key=lambda check: not _PROBED_RUNNING.isdisjoint(check.brings)))

    def _message(self, checks: Sequence[int]) -> str:
        return message_for(self._inquiry.job, self._in_order(checks))

    def _can_be_asked(self, checks: Sequence[int]) -> bool:
        return len(checks) <= _MOST_CHECKS and len(self._message(checks)) < MOST_CHARACTERS

    def _look(self, checks: Sequence[int], saving_minutes: float) -> Look:
        return Look(self._in_order(checks), self._minutes(checks), saving_minutes, self._message(checks))


def _worth(look: Look) -> float:
    """What a look saves for each minute that it takes."""
    return look.saving_minutes / look.minutes
