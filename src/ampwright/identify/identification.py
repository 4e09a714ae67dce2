"""
Identification: what the findings make of the bike, with the evidence in words.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ampwright.belief.posterior import (
    Array,
    chance_mistaken,
    conflict,
    posterior,
    smallest_set,
    weight_of_evidence,
)
from ampwright.bike.job import Job
from ampwright.identify.counted import Evidently, counted
from ampwright.identify.guards import keep_possible
from ampwright.identify.hypothesis import Hypothesis, frame
from ampwright.identify.likelihood import terms
from ampwright.stock.evidence import Evidence
from ampwright.stock.generators import GeneratorClass
from ampwright.terms import Family, certainty, chance_in_words, finding_words

# A finding that is more likely wrong than not is shown as the one to check again;
# below this chance nothing is said.
_WORTH_DOUBTING = 0.35
# From memory alone the certainty word stops at *probably*, and so do the odds said with it.
_MOST_FROM_MEMORY = 0.85


# Evidence that shifts the odds by less than a quarter is not worth a word.
_LEAST_WEIGHT_DB = 1.0


@dataclass(frozen=True)
class Believed:
    """One thing the bike may be, in how many words it deserves."""

    name: str
    probability: float
    certainty: str
    chance: str


@dataclass(frozen=True)
class EvidenceLine:
    """One piece of evidence and what it did to the likeliest family."""

    kind: str
    answer: str
    source: str
    weight_dB: float
    words: str
    mistaken: str
    set_aside: tuple[str, ...]


@dataclass(frozen=True)
class Identification:
    """The whole belief, and the parts of it that a person reads."""

    hypotheses: tuple[Hypothesis, ...]
    belief: Array
    still_possible: NDArray[np.bool_]
    kept_for_safety: NDArray[np.bool_]
    pieces: tuple[Evidently, ...]
    families: tuple[Believed, ...]
    generators: tuple[Believed, ...]
    voltages: tuple[Believed, ...]
    earths: tuple[Believed, ...]
    evidence: tuple[EvidenceLine, ...]
    guards: tuple[str, ...]
    conflict_bit: float
    conflict: str
    doubtful: str

    @property
    def possible(self) -> tuple[Hypothesis, ...]:
        """The hypotheses still possible, likeliest first."""
        order = np.argsort(-self.belief, kind="stable")
        return tuple(self.hypotheses[index] for index in order if self.still_possible[index])

    @property
    def likeliest(self) -> Hypothesis:
        """The likeliest hypothesis."""
        return self.hypotheses[int(self.belief.argmax())]

    @property
    def possible_families(self) -> frozenset[Family]:
        """The families still possible."""
        return frozenset(hypothesis.family for hypothesis in self.possible)


def identify(job: Job, classes: Sequence[GeneratorClass], evidence: Evidence) -> Identification:
    """Weigh a job's findings; any subset of them, in any order, gives an answer."""
    start = frame(classes, evidence)
    pieces = counted(job.findings)
    weighed = terms(pieces, start.hypotheses, evidence)
    belief = posterior(start.prior, weighed.log_likelihood)
    held = still_possible(start.hypotheses, belief, evidence.settings.still_possible_share)
    possible, guards = keep_possible(held, start.hypotheses, pieces)
    mistaken = chance_mistaken(belief, weighed.log_right, weighed.log_wrong)
    leader = start.hypotheses[int(belief.argmax())].family
    members = np.array([hypothesis.family is leader for hypothesis in start.hypotheses])
    weight = weight_of_evidence(start.prior, weighed.log_likelihood, members)
    clash_bit = conflict(start.prior, weighed.log_likelihood) if len(pieces) > 1 else 0.0
    lines = tuple(_line(found, float(weight[row]), float(mistaken[row]), leader) for row, found in enumerate(pieces))
    names = start.hypotheses
    return Identification(
        hypotheses=names,
        belief=belief,
        still_possible=possible,
        kept_for_safety=possible & ~held,
        pieces=tuple(pieces),
        families=_believed([h.family.value for h in names], belief, _family_seen(pieces, leader)),
        generators=_believed([h.generator.name for h in names], belief, _was_seen(pieces, "marking")),
        voltages=_believed([f"{h.system_voltage_V} V" for h in names], belief, _was_seen(pieces, "battery_voltage_V")),
        earths=_believed([h.earth.value for h in names], belief, _was_seen(pieces, "frame_post")),
        evidence=lines,
        guards=guards,
        conflict_bit=clash_bit,
        conflict=_conflict_sentence(pieces, mistaken),
        doubtful=_doubtful(pieces, mistaken),
    )


def still_possible(hypotheses: Sequence[Hypothesis], belief: Array, share: float) -> NDArray[np.bool_]:
    """
    Hold a share of belief on each question by itself: generator, earth, and voltage for each generator.

    Taken jointly, small doubts about one question would use up the room that
    another needs, and a sound finding of one could bring back a ghost of another.
    """
    generators = np.array([hypothesis.generator.key for hypothesis in hypotheses])
    volts = np.array([hypothesis.system_voltage_V for hypothesis in hypotheses])
    earths = np.array([hypothesis.earth.value for hypothesis in hypotheses])
    held = _held(generators, belief, share) & _held(earths, belief, share)
    for key in np.unique(generators):
        own = generators == key
        held[own] &= _held(volts[own], belief[own] / belief[own].sum(), share)
    return held


def _held(names: NDArray[Any], belief: Array, share: float) -> NDArray[np.bool_]:
    """Which of the hypotheses bear a name from the smallest set of names that holds the share."""
    every, place = np.unique(names, return_inverse=True)
    total = np.zeros(len(every))
    np.add.at(total, place, belief)
    return np.asarray(smallest_set(total, share)[place])


_TELLING = ("thick_wires", "coils", "marking", "pair_volts")


def _family_seen(pieces: Sequence[Evidently], leader: Family) -> bool:
    """Whether something was seen that tells the families apart; of a dynamo, its body."""
    return _was_seen(pieces, "position") if leader is Family.DYNAMO else _was_seen(pieces, *_TELLING)


def _was_seen(pieces: Sequence[Evidently], *kinds: str) -> bool:
    return any(found.settles for found in pieces if found.kind in kinds)


def _believed(names: Sequence[str], belief: Array, confirmed: bool) -> tuple[Believed, ...]:
    """Add belief up by name, likeliest first."""
    total: dict[str, float] = {}
    for name, share in zip(names, belief, strict=True):
        total[name] = total.get(name, 0.0) + float(share)
    falling = sorted(total.items(), key=lambda item: -item[1])
    return tuple(
        Believed(name, share, certainty(share, confirmed=confirmed), _chance(share, confirmed))
        for name, share in falling
    )


def _chance(share: float, confirmed: bool) -> str:
    """A chance in words; what rests on memory alone is given no high odds."""
    if not confirmed and share > _MOST_FROM_MEMORY:
        return "if what was told is right"
    return chance_in_words(share)


def _line(found: Evidently, weight_dB: float, mistaken: float, leader: Family) -> EvidenceLine:
    return EvidenceLine(
        kind=found.kind,
        answer=" or ".join(answer_words(finding.answer) for finding in found.counts),
        source=found.source.value,
        weight_dB=weight_dB,
        words=_effect(weight_dB, leader),
        mistaken=f"{chance_in_words(mistaken)} that this is mistaken" if mistaken >= _WORTH_DOUBTING else "",
        set_aside=tuple(f"{answer_words(old.answer)} ({old.source.value})" for old in found.set_aside),
    )


def answer_words(answer: object) -> str:
    """An answer as it is read aloud; several readings with a stroke between them."""
    if isinstance(answer, tuple):
        return " / ".join(f"{value:g}" for value in answer)
    return str(answer)


def _effect(weight_dB: float, leader: Family) -> str:
    """What a finding did to the likeliest family; nothing is said of what did next to nothing."""
    return f"{_force(weight_dB)} {leader.value}" if abs(weight_dB) >= _LEAST_WEIGHT_DB else ""


def _force(weight_dB: float) -> str:
    size = abs(weight_dB)
    for limit, word in ((5.0, "slightly"), (10.0, "clearly"), (20.0, "strongly")):
        if size < limit:
            return f"speaks {word} {'for' if weight_dB > 0 else 'against'}"
    return f"speaks very strongly {'for' if weight_dB > 0 else 'against'}"


def _doubtful(pieces: Sequence[Evidently], mistaken: Array) -> str:
    """The kind of the finding most in doubt: one that disagrees with itself, else the likeliest mistake."""
    torn = next((found.kind for found in pieces if found.disputed), "")
    if torn or not pieces:
        return torn
    worst = int(mistaken.argmax())
    return pieces[worst].kind if mistaken[worst] >= _WORTH_DOUBTING else ""


def _conflict_sentence(pieces: Sequence[Evidently], mistaken: Array) -> str:
    """Name the finding most likely to be wrong, or say nothing."""
    kind = _doubtful(pieces, mistaken)
    if not kind:
        return ""
    row, found = next((row, found) for row, found in enumerate(pieces) if found.kind == kind)
    if found.disputed:
        looks = [f"{answer_words(old.answer)} ({old.source.value})" for old in (*found.counts, *found.set_aside)]
        said = ", ".join(dict.fromkeys(looks))
        return f"What was found of {finding_words(kind)} disagrees: {said}. Only seeing it ourselves settles it."
    answer = answer_words(found.counts[0].answer)
    chance = chance_in_words(float(mistaken[row]))
    return (
        f"The findings do not go together. Most likely to be wrong, {chance}: "
        f"{finding_words(found.kind)} = {answer} ({found.source.value}). Have it looked at again."
    )
