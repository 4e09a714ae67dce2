"""Which of the findings count: one kind is one piece of evidence, however often it was told."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from ampwright.bike.finding import FINDING_KINDS, Finding
from ampwright.bike.job import Job
from ampwright.bike.reading import AnyReading, BatteryAmpsFound, BatteryVoltsFound, PairVoltsFound, SpeedTold
from ampwright.bike.seen import RegulatedByFound
from ampwright.bike.test_point import AnyOfFaults
from ampwright.terms import SEEN, SOURCE_ORDER, RegulatedBy, Source

# From here on an engine is said to turn fast and not to tick over.
_FAST_FROM_RPM = 2000.0
# What we see ourselves.
_OURS = (Source.PHOTO, Source.IN_HAND)
# Readings that differ by no more than this, in their own unit and as a share of the larger, are one reading taken
# twice: everyday meters, and engines that do not hold their speed, differ by as much. Assumed.
_SAME_WITHIN: Mapping[str, tuple[float, float]] = {
    "pair_volts": (0.4, 0.05),
    "pair_ohms": (0.3, 0.05),
    "one_ohm_volts": (0.4, 0.05),
    "battery_volts": (0.1001, 0.0),
    "battery_amps": (0.3, 0.05),
}


@dataclass(frozen=True)
class Evidently:
    """
    One piece of evidence: what counts of one kind of finding, and what was set aside.

    ``counts`` holds more than one finding only where equally good sources
    disagree; any of them may then be the right one.
    """

    kind: str
    counts: tuple[Finding, ...]
    set_aside: tuple[Finding, ...]

    @property
    def source(self) -> Source:
        """Where it comes from."""
        return self.counts[0].source

    @property
    def was_seen(self) -> bool:
        """Seen or measured, and no equally good source says otherwise."""
        return self.source in SEEN and len(self.counts) == 1

    @property
    def disputed(self) -> bool:
        """
        Whether what was seen says two things.

        A photo and what is in our hands, which we see ourselves, outweigh what
        somebody else saw; short of that, two looks that differ leave the question
        open.
        """
        if len(self.counts) > 1:
            return True
        best = self.counts[0]
        looks = [old for old in self.set_aside if old.source in SEEN and not _same_answer(old, best)]
        if _every_wire_off(best):
            # Readings of a field that may have been fed say nothing against one that was not.
            looks = [old for old in looks if not isinstance(old, PairVoltsFound) or old.all_wires_off]
        return bool(looks) and self.source not in _OURS

    @property
    def settles(self) -> bool:
        """Seen, and nothing else that was seen says otherwise."""
        return self.was_seen and not self.disputed

    @property
    def seen_by_us(self) -> bool:
        """Settled on a photo or in our hands: what we see ourselves, whatever somebody else took it for."""
        return self.settles and self.source in _OURS


def counted(findings: Iterable[Finding]) -> list[Evidently]:
    """
    Sort findings into pieces of evidence.

    Of several findings of one kind the strongest source counts and the others
    are set aside; telling the same thing twice adds nothing. Readings that fail
    their preconditions, and findings that tell of no machine, are left out.
    """
    groups: dict[tuple[str, ...], list[Finding]] = {}
    for finding in findings:
        if isinstance(finding, AnyOfFaults):
            continue
        if finding.what == "danger" or (isinstance(finding, AnyReading) and finding.does_not_count):
            continue
        groups.setdefault(_group(finding), []).append(finding)
    order = sorted(groups, key=lambda group: (FINDING_KINDS.index(group[0]), group))
    return [_strongest(group[0], groups[group]) for group in order]


def findings_of(job: Job) -> tuple[Finding, ...]:
    """The findings of a job, with what the parts said to be fitted tell of what regulates it."""
    return (*job.findings, *_from_fitted(job))


def _from_fitted(job: Job) -> tuple[Finding, ...]:
    """Read what regulates from the list of fitted parts; nothing where none of them regulates or rectifies."""
    fitted = {part.kind: part for part in job.fitted}
    zener = fitted.get("Zener")
    rectifier = fitted.get("plate rectifier") or fitted.get("silicon rectifier")
    told = (
        (fitted.get("charging box"), RegulatedBy.CHARGING_BOX),
        (fitted.get("dynamo control box"), RegulatedBy.DYNAMO_CONTROL_BOX),
        (zener, RegulatedBy.TWO_ZENERS if zener is not None and zener.count > 1 else RegulatedBy.ONE_ZENER),
        (rectifier, RegulatedBy.RECTIFIER_ALONE),
    )
    found = next(((part, kind) for part, kind in told if part is not None), None)
    if found is None:
        return ()
    part, kind = found
    return (RegulatedByFound(what="regulated_by", answer=kind, source=part.source, note=f"{part.kind} fitted"),)


def _group(finding: Finding) -> tuple[str, ...]:
    """Battery readings at rest, at tick-over and fast, lights on and off, are evidence each for itself."""
    if not isinstance(finding, BatteryVoltsFound | BatteryAmpsFound):
        return (finding.what,)
    speed = finding.speed
    if speed is None and finding.speed_rpm is not None:
        speed = SpeedTold.FAST if finding.speed_rpm >= _FAST_FROM_RPM else SpeedTold.TICK_OVER
    return (finding.what, str(speed or ""), finding.lights or "")


def _strongest(kind: str, alike: list[Finding]) -> Evidently:
    """
    What counts of findings of one kind: one finding for each answer that the strongest source gives.

    Of those that give the same answer one counts, whatever their order: that with most said against the reading, then
    that with most said of it.
    """
    if len(alike) == 1:
        return Evidently(kind, (alike[0],), ())
    best = max(SOURCE_ORDER.index(finding.source) for finding in alike)
    strongest = sorted(
        _best_read([found for found in alike if SOURCE_ORDER.index(found.source) == best]), key=_doubtful_first
    )
    counts: list[Finding] = []
    for finding in strongest:
        if not any(_same_answer(finding, other) for other in counts):
            counts.append(finding)
    kept = tuple(sorted(counts, key=lambda finding: str(finding.answer)))
    return Evidently(kind, kept, tuple(finding for finding in alike if finding not in kept))


def _best_read(alike: list[Finding]) -> list[Finding]:
    """Of AC volts those that were read with every wire off, if any were: the others may be of a field still fed."""
    return [found for found in alike if _every_wire_off(found)] or alike


def _every_wire_off(found: Finding) -> bool:
    return isinstance(found, PairVoltsFound) and found.all_wires_off


def _doubtful_first(finding: Finding) -> tuple[int, bool, int, str]:
    """An order that goes by all that a finding says but its note."""
    told = finding.model_dump(mode="json", exclude={"note"}, exclude_defaults=True)
    faults, about = len(told.get("meter_faults", ())), told.get("about", False)
    return -faults, not about, -len(told), json.dumps(told, sort_keys=True)


def _same_answer(one: Finding, other: Finding) -> bool:
    """Whether two findings of a kind say the same; readings need not be the same to the last digit."""
    if not isinstance(one, AnyReading) or not isinstance(other, AnyReading):
        return str(one.answer) == str(other.answer)
    ones, others = _figures(one), _figures(other)
    within, share = _SAME_WITHIN[one.what]
    return len(ones) == len(others) and all(
        abs(a - b) <= within + share * max(abs(a), abs(b)) for a, b in zip(ones, others, strict=True)
    )


def _figures(found: AnyReading) -> tuple[float, ...]:
    """The figures of a reading; those of three pairs by size, since each look numbers the wires anew."""
    return tuple(sorted(found.answer)) if isinstance(found.answer, tuple) else (found.answer,)


def piece(pieces: Iterable[Evidently], kind: str) -> Evidently | None:
    """The piece of evidence of one kind, if there is one."""
    return next((found for found in pieces if found.kind == kind), None)
