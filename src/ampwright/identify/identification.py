"""
Identification: what the findings make of the bike, with the evidence in words.
"""

from collections.abc import Sequence
from dataclasses import dataclass

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
from ampwright.identify.guards import Guard, keep_possible
from ampwright.identify.hypothesis import Hypothesis, frame
from ampwright.identify.likelihood import terms
from ampwright.stock.evidence import Evidence
from ampwright.stock.generators import GeneratorClass
from ampwright.terms import Family, certainty, chance_in_words

# A finding that is more likely wrong than not is shown as the one to check again;
# below this chance nothing is said.
_WORTH_DOUBTING = 0.35


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
    pieces: tuple[Evidently, ...]
    families: tuple[Believed, ...]
    generators: tuple[Believed, ...]
    voltages: tuple[Believed, ...]
    earths: tuple[Believed, ...]
    evidence: tuple[EvidenceLine, ...]
    guards: tuple[Guard, ...]
    conflict_bit: float
    conflict: str

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
    held = smallest_set(belief, evidence.settings.still_possible_share)
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
        pieces=tuple(pieces),
        families=_believed([h.family.value for h in names], belief, _was_seen(pieces, *_ABOUT_GENERATOR)),
        generators=_believed([h.generator.name for h in names], belief, _was_seen(pieces, "marking")),
        voltages=_believed([f"{h.system_voltage_V} V" for h in names], belief, _was_seen(pieces, "battery_voltage_V")),
        earths=_believed([h.earth.value for h in names], belief, _was_seen(pieces, "frame_post")),
        evidence=lines,
        guards=guards,
        conflict_bit=clash_bit,
        conflict=_conflict_sentence(pieces, mistaken),
    )


_ABOUT_GENERATOR = ("position", "thick_wires", "coils", "marking", "pair_volts")


def _was_seen(pieces: Sequence[Evidently], *kinds: str) -> bool:
    return any(found.was_seen for found in pieces if found.kind in kinds)


def _believed(names: Sequence[str], belief: Array, confirmed: bool) -> tuple[Believed, ...]:
    """Add belief up by name, likeliest first."""
    total: dict[str, float] = {}
    for name, share in zip(names, belief, strict=True):
        total[name] = total.get(name, 0.0) + float(share)
    falling = sorted(total.items(), key=lambda item: -item[1])
    return tuple(
        Believed(name, share, certainty(share, confirmed=confirmed), chance_in_words(share)) for name, share in falling
    )


def _line(found: Evidently, weight_dB: float, mistaken: float, leader: Family) -> EvidenceLine:
    return EvidenceLine(
        kind=found.kind,
        answer=" or ".join(answer_words(finding.answer) for finding in found.counts),
        source=found.source.value,
        weight_dB=weight_dB,
        words=f"{_force(weight_dB)} {leader.value}",
        mistaken=f"{chance_in_words(mistaken)} that this is mistaken" if mistaken >= _WORTH_DOUBTING else "",
        set_aside=tuple(f"{answer_words(old.answer)} ({old.source.value})" for old in found.set_aside),
    )


def answer_words(answer: object) -> str:
    """An answer as it is read aloud; several readings with a stroke between them."""
    if isinstance(answer, tuple):
        return " / ".join(f"{value:g}" for value in answer)
    return str(answer)


def _force(weight_dB: float) -> str:
    size = abs(weight_dB)
    if size < 1.0:
        return "says little about"
    for limit, word in ((5.0, "slightly"), (10.0, "clearly"), (20.0, "strongly")):
        if size < limit:
            return f"speaks {word} {'for' if weight_dB > 0 else 'against'}"
    return f"speaks very strongly {'for' if weight_dB > 0 else 'against'}"


def _conflict_sentence(pieces: Sequence[Evidently], mistaken: Array) -> str:
    """Name the finding most likely to be wrong, or say nothing."""
    if not pieces:
        return ""
    worst = int(mistaken.argmax())
    torn = [found for found in pieces if len(found.counts) > 1]
    if mistaken[worst] < _WORTH_DOUBTING and not torn:
        return ""
    found = torn[0] if torn else pieces[worst]
    answer = " or ".join(answer_words(finding.answer) for finding in found.counts)
    if torn:
        return f"Two findings of {kind_words(found.kind)} disagree ({answer}) and neither has the better source."
    chance = chance_in_words(float(mistaken[worst]))
    return (
        f"The findings do not go together. Most likely to be wrong, {chance}: "
        f"{kind_words(found.kind)} = {answer} ({found.source.value}). Have it looked at again."
    )


_WORDS = {
    "danger": "danger",
    "position": "where the generator sits",
    "thick_wires": "thick wires",
    "coils": "coils",
    "marking": "marking",
    "frame_post": "post to the frame",
    "battery_voltage_V": "battery voltage",
    "ignition": "ignition",
    "pair_volts": "AC volts between pairs",
}


def kind_words(kind: str) -> str:
    """The kind of a finding as it is read aloud."""
    return _WORDS[kind]
