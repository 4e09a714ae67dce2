"""What the findings make of the bike, in words: beliefs, what each finding did, and what does not go together."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ampwright.belief.posterior import Array, chance_mistaken, conflict, weight_of_evidence
from ampwright.bike.finding import Finding
from ampwright.bike.reading import AnyReading, BatteryAmpsFound, BatteryVoltsFound, PairVoltsFound
from ampwright.bike.test_point import LookFound, PointFound, SymptomFound
from ampwright.identify.counted import Evidently
from ampwright.identify.grid import (
    BATTERY,
    EARTH,
    GENERATOR,
    IGNITION,
    QUESTIONS,
    REGULATED_BY,
    ROTOR,
    SYSTEM_VOLTAGE,
    marginal,
    spread_over,
)
from ampwright.identify.identification import Identification, seen
from ampwright.identify.likelihood import Term
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
class Explanation:
    """An identification as a person reads it."""

    found: Identification

    @cached_property
    def families(self) -> tuple[Believed, ...]:
        """The families, likeliest first."""
        names = [generator.family.value for generator in self.found.grid.generators]
        share = marginal(self.found.belief, GENERATOR)
        leader = self._leader
        return _believed(names, share, _family_seen(self.found.pieces, leader))

    @cached_property
    def generators(self) -> tuple[Believed, ...]:
        """The generator classes, likeliest first."""
        names = [generator.name for generator in self.found.grid.generators]
        return _believed(names, marginal(self.found.belief, GENERATOR), seen(self.found.pieces, "marking"))

    @cached_property
    def voltages(self) -> tuple[Believed, ...]:
        """6 and 12 V."""
        return self._question(SYSTEM_VOLTAGE, " V", "battery_voltage_V")

    @cached_property
    def earths(self) -> tuple[Believed, ...]:
        """Both earths."""
        return self._question(EARTH, "", "frame_post")

    @cached_property
    def ignitions(self) -> tuple[Believed, ...]:
        """What makes the spark."""
        return self._question(IGNITION, "", "ignition")

    @cached_property
    def regulators(self) -> tuple[Believed, ...]:
        """What regulates it now."""
        return self._question(REGULATED_BY, "", "regulated_by", "box_wires")

    @cached_property
    def batteries(self) -> tuple[Believed, ...]:
        """What battery it has."""
        return self._question(BATTERY, "", "battery_kind")

    @cached_property
    def rotors(self) -> tuple[Believed, ...]:
        """Whether the rotor is the stator's own size."""
        return self._question(ROTOR, "", "rotor_diameter_mm")

    @cached_property
    def evidence(self) -> tuple[EvidenceLine, ...]:
        """Every piece of evidence that counts, with what it did."""
        found = self.found
        if not found.pieces:
            return ()
        members = np.broadcast_to(
            spread_over((GENERATOR,), found.grid.families(self._leader).astype(float)) > 0.0, found.belief.shape
        )
        weight = weight_of_evidence(found.grid.prior.ravel(), self._log_likelihood, members.ravel())
        return tuple(
            _line(piece, float(weight[row]), self.mistaken[row], self._leader) for row, piece in enumerate(found.pieces)
        )

    @cached_property
    def mistaken(self) -> tuple[float, ...]:
        """The chance that each piece of evidence is mistaken, given all of them."""
        return mistaken(self.found)

    @cached_property
    def conflict_bit(self) -> float:
        """How badly the findings go together."""
        found = self.found
        if len(found.pieces) < 2:
            return 0.0
        return conflict(found.grid.prior.ravel(), self._log_likelihood)

    @cached_property
    def _log_likelihood(self) -> Array:
        """What each finding says of every cell of the grid, a row a finding."""
        shape = self.found.belief.shape
        return np.array([np.broadcast_to(term.log_likelihood, shape).ravel() for term in self.found.terms])

    @cached_property
    def conflict(self) -> str:
        """Name the finding most likely to be wrong, or say nothing."""
        return _conflict_sentence(self.found, self.mistaken)

    @property
    def _leader(self) -> Family:
        return self.found.likeliest_family

    def _question(self, axis: int, unit: str, *kinds: str) -> tuple[Believed, ...]:
        names = [f"{value}{unit}" for value in self.found.grid.values[axis]]
        return _believed(names, marginal(self.found.belief, axis), seen(self.found.pieces, *kinds))


def mistaken(found: Identification) -> tuple[float, ...]:
    """The chance that each piece of evidence is mistaken, given all of them."""
    return tuple(_chance_mistaken(term, found.belief) for term in found.terms)


def doubtful(found: Identification) -> str:
    """The kind of the finding most in doubt: one that disagrees with itself, else the likeliest mistake."""
    torn = next((piece.kind for piece in found.pieces if piece.disputed), "")
    if torn or not found.pieces:
        return torn
    chances = mistaken(found)
    worst = max(range(len(chances)), key=lambda row: chances[row])
    return found.pieces[worst].kind if chances[worst] >= _WORTH_DOUBTING else ""


def _chance_mistaken(term: Term, belief: Array) -> float:
    axes = tuple(axis for axis in range(len(QUESTIONS)) if term.log_right.shape[axis] > 1)
    left = tuple(axis for axis in range(len(QUESTIONS)) if axis not in axes)
    share = np.asarray(belief.sum(axis=left)).ravel()
    return float(chance_mistaken(share, term.log_right.reshape(1, -1), term.log_wrong.reshape(1, -1))[0])


_TELLING = ("thick_wires", "coils", "marking", "pair_volts", "brushes", "one_ohm_volts")


def _family_seen(pieces: Sequence[Evidently], leader: Family) -> bool:
    """Whether something was seen that tells the families apart; of a dynamo, its body or its brushes."""
    return seen(pieces, "position", "brushes") if leader is Family.DYNAMO else seen(pieces, *_TELLING)


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


def _line(found: Evidently, weight_dB: float, chance: float, leader: Family) -> EvidenceLine:
    return EvidenceLine(
        kind=found.kind,
        answer=" or ".join(answer_words(finding) for finding in found.counts),
        source=found.source.value,
        weight_dB=weight_dB,
        words=_effect(weight_dB, leader),
        mistaken=f"{chance_in_words(chance)} that this is mistaken" if chance >= _WORTH_DOUBTING else "",
        set_aside=tuple(f"{answer_words(old)} ({old.source.value})" for old in found.set_aside),
    )


_UNITS = {
    "pair_volts": "V",
    "one_ohm_volts": "V",
    "battery_volts": "V",
    "battery_voltage_V": "V",
    "bulb_voltage_V": "V",
    "battery_amps": "A",
    "pair_ohms": "ohm",
    "rotor_diameter_mm": "mm",
}


def answer_words(finding: Finding) -> str:
    """
    What was found as it is read aloud, with its unit, and how it was read.

    Several readings stand with a stroke between them.
    """
    if isinstance(finding, PointFound) and finding.is_open:
        return ", ".join(["open", *_how_read(finding)])
    unit = finding.unit if isinstance(finding, PointFound) else _UNITS.get(finding.what, "")
    figures = finding.answer if isinstance(finding.answer, tuple) else (finding.answer,)
    how = _how_read(finding) if isinstance(finding, AnyReading | PointFound) else ()
    return ", ".join([f"{_figures(figures)} {unit}".strip(), *how])


def what_words(finding: Finding) -> str:
    """What a finding is about as it is read aloud: its kind, or the test point, the look or the symptom by name."""
    if isinstance(finding, PointFound):
        return finding.point.value
    if isinstance(finding, LookFound):
        return finding.look
    return finding.symptom if isinstance(finding, SymptomFound) else finding_words(finding.what)


def _figures(values: Iterable[object]) -> str:
    return " / ".join(f"{value:g}" if isinstance(value, float) else str(value) for value in values)


def _how_read(reading: AnyReading | PointFound) -> Iterator[str]:
    """Speed, lights, rest and roughness, so far as they were told."""
    if reading.about:
        yield "roughly"
    if reading.speed is not None:
        yield reading.speed.value
    if reading.speed_rpm is not None:
        yield f"{reading.speed_rpm:g} rpm"
    if reading.frequency_Hz is not None:
        yield f"{reading.frequency_Hz:g} Hz"
    if isinstance(reading, PairVoltsFound) and reading.all_wires_off:
        yield "every wire off"
    if isinstance(reading, BatteryVoltsFound | BatteryAmpsFound | PointFound):
        if reading.lights is not None:
            yield f"lights {reading.lights}"
        if not isinstance(reading, PointFound) and reading.rest_V is not None:
            yield f"rested {reading.rest_V:g} V"


def _effect(weight_dB: float, leader: Family) -> str:
    """What a finding did to the likeliest family; nothing is said of what did next to nothing."""
    return f"{_force(weight_dB)} {leader.value}" if abs(weight_dB) >= _LEAST_WEIGHT_DB else ""


def _force(weight_dB: float) -> str:
    size = abs(weight_dB)
    for limit, word in ((5.0, "slightly"), (10.0, "clearly"), (20.0, "strongly")):
        if size < limit:
            return f"speaks {word} {'for' if weight_dB > 0 else 'against'}"
    return f"speaks very strongly {'for' if weight_dB > 0 else 'against'}"


def _conflict_sentence(found: Identification, chances: Sequence[float]) -> str:
    kind = doubtful(found)
    if not kind:
        return ""
    row, piece = next((row, piece) for row, piece in enumerate(found.pieces) if piece.kind == kind)
    if piece.disputed:
        looks = [f"{answer_words(old)} ({old.source.value})" for old in (*piece.counts, *piece.set_aside)]
        said = ", ".join(dict.fromkeys(looks))
        return f"What was found of {finding_words(kind)} disagrees: {said}. Only seeing it ourselves settles it."
    answer = answer_words(piece.counts[0])
    return (
        f"The findings do not go together. Most likely to be wrong, {chance_in_words(chances[row])}: "
        f"{finding_words(piece.kind)} = {answer} ({piece.source.value}). Have it looked at again."
    )
