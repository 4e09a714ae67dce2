"""
The bike as it will be with parts of a kit on it, so that the rules for parts judge the others against that.

What a kit fits is known: its answers take the place of what was believed of the old part. All else stays as open as
it was, and a part must be right for all of it.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from operator import attrgetter
from typing import TypeVar

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.bike.seen import MarkingFound
from ampwright.identify.grid import (
    BATTERY,
    GENERATOR,
    IGNITION,
    REGULATED_BY,
    ROTOR,
    SYSTEM_VOLTAGE,
    Mask,
)
from ampwright.identify.guards import Held
from ampwright.identify.identification import Identification
from ampwright.selection.facts import Facts
from ampwright.selection.kinds import rules_for
from ampwright.selection.kit_model import Goes
from ampwright.selection.outlook import Outlook, Place
from ampwright.selection.rules import Rule
from ampwright.selection.verdicts import FITS_IF, FITS_WHEN_FITTED_SO, PartVerdict, code_of, judge_stock
from ampwright.stock.parts import AnyPart, Stator
from ampwright.terms import Source

#: By kind of part, the rules whose open condition the rest of the kit meets, by the questions they read: a rectifier's
#: Zener, a rotor's stator, a stator's rotor and box, a battery's charging volts, a flasher's lamps.
ANSWERED_BY_THE_KIT: Mapping[str, tuple[Place, ...]] = {
    "rectifier": ((SYSTEM_VOLTAGE, REGULATED_BY),),
    "rotor": ((GENERATOR,), (ROTOR,)),
    "stator": ((GENERATOR,), (ROTOR,)),
    "battery": ((GENERATOR, REGULATED_BY),),
    "flasher": ((),),
}
SomePart = TypeVar("SomePart", bound=AnyPart)
#: Which rules count, by the questions they read.
Reads = Callable[[Place], bool]
_OF_GENERATOR = {
    ROTOR: "rotor",
    SYSTEM_VOLTAGE: "system_voltage",
    IGNITION: "ignition",
    REGULATED_BY: "regulated_by",
    BATTERY: "battery",
}


def every_rule(axes: Place) -> bool:
    """All rules count."""
    return True


def after(found: Identification, answers: Mapping[int, object]) -> Identification:
    """What is known of the bike once some questions are answered by what was fitted, by their axes."""
    grid, belief = found.grid, found.belief
    places = {axis: grid.values[axis].index(answer) for axis, answer in answers.items()}
    for axis, at in places.items():
        belief = _moved(belief, axis, at)
    by_belief, kept = (_answered(held, places) for held in (found.by_belief, found.kept))
    return Identification(grid, found.pieces, found.terms, belief, by_belief, kept, ())


def _moved(belief: Array, axis: int, at: int) -> Array:
    """All belief on one answer to a question, whatever was believed of it before."""
    moved = np.zeros_like(belief)
    moved[(slice(None),) * axis + (at,)] = belief.sum(axis=axis)
    return moved


def _answered(held: Held, places: Mapping[int, int]) -> Held:
    masks: dict[str, Mask] = {name: getattr(held, name) for name in _OF_GENERATOR.values()}
    generator = held.generator
    if GENERATOR in places:
        at = places[GENERATOR]
        # What the old one left open of rotor, battery and the rest, the new one leaves open.
        for name, mask in masks.items():
            masks[name] = np.zeros_like(mask)
            masks[name][at] = mask[held.generator].any(axis=0)
        generator = np.arange(len(held.generator)) == at
    for axis, name in _OF_GENERATOR.items():
        if axis in places:
            masks[name] = np.zeros_like(masks[name])
            masks[name][:, places[axis]] = True
    return replace(held, generator=generator, **masks)


def facts_after(facts: Facts, stator: Stator) -> Facts:
    """The facts of a job with a new stator on the bike: its rating is read, and the old winding's faults are gone."""
    rating = MarkingFound(what="marking", answer=f"{stator.nameplate_A:g} A", source=Source.IN_HAND)
    return replace(
        facts,
        markings=(rating,),
        told_markings=(),
        most_A=(),
        winding_faults=(),
        two_wires=stator.wires == 2,
        join_pair_read=False,
        rotor_is_doubted=False,
        few_coils=False,
    )


def _nothing_of(_: AnyPart) -> None:
    """What a rule looks at that does not look at the part."""


def with_battery_wish(facts: Facts, *, no_battery: bool) -> Facts:
    """The same facts with the wish to run without a battery, or without that wish."""
    wishes = facts.wishes.model_copy(update={"no_battery": no_battery})
    return replace(facts, job=facts.job.model_copy(update={"wishes": wishes}))


@dataclass(frozen=True, eq=False)
class Situation:
    """A bike as it will be: what is left open of it, and its facts."""

    outlook: Outlook
    facts: Facts

    def judge(self, parts: Sequence[AnyPart]) -> tuple[PartVerdict, ...]:
        """Judge parts for this bike."""
        return judge_stock(parts, self.outlook, self.facts)

    def goes(self, parts: Sequence[AnyPart], reads: Reads = every_rule, *, by_themselves: bool = False) -> Goes:
        """
        Which parts are right for this bike by all rules that read such questions.

        A condition that the rest of a kit meets is no hindrance, unless they are judged ``by_themselves``. Each rule is
        asked alone, under what is still possible, and of parts that it cannot tell apart once: no reasons are needed.
        """
        right = np.zeros(len(parts), dtype=np.bool_)
        by_kind: dict[str, list[int]] = {}
        for at, part in enumerate(parts):
            by_kind.setdefault(part.kind, []).append(at)
        for kind, left in by_kind.items():
            answered = () if by_themselves else ANSWERED_BY_THE_KIT.get(kind, ())
            for rule in rules_for(parts[left[0]], self.facts):
                if reads(rule.reads):
                    left = self._meeting(rule, parts, left, FITS_IF if rule.reads in answered else FITS_WHEN_FITTED_SO)
            right[left] = True
        return right

    def _meeting(self, rule: Rule, parts: Sequence[AnyPart], places: Sequence[int], worst: int) -> list[int]:
        """Those places whose part a rule judges no worse, whatever the bike is."""
        possible = self.outlook.places(rule.reads)
        looks_at = attrgetter(*rule.of_part) if rule.of_part else _nothing_of
        known: dict[object, bool] = {}
        meeting = []
        for at in places:
            looked_at = looks_at(parts[at])
            if looked_at not in known:
                codes = (code_of(rule.judge(parts[at], self.facts, *answers)) for _, answers in possible)
                known[looked_at] = bool(possible) and all(code <= worst for code in codes)
            if known[looked_at]:
                meeting.append(at)
        return meeting

    def right(self, parts: Sequence[SomePart]) -> tuple[SomePart, ...]:
        """Those parts that are right for this bike by all rules."""
        return tuple(part for part, on in zip(parts, self.goes(parts), strict=True) if on)

    def conditions(self, part: AnyPart) -> tuple[str, ...]:
        """What whoever fits a part sees to; nothing of what the rest of the kit settles."""
        judged = self.judge([part])[0].alike.judged
        settled = ANSWERED_BY_THE_KIT.get(part.kind, ())
        said = [one.merged(self.outlook).conditions for one in judged if one.rule.reads not in settled]
        return tuple(dict.fromkeys(condition for conditions in said for condition in conditions))
