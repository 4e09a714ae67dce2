"""Which of the findings count: one kind is one piece of evidence, however often it was told."""

from collections.abc import Iterable
from dataclasses import dataclass

from ampwright.bike.finding import Finding
from ampwright.terms import SEEN, SOURCE_ORDER, Source

# The order in which kinds are shown, whatever the order they came in.
_KINDS = (
    "position",
    "thick_wires",
    "coils",
    "marking",
    "pair_volts",
    "ignition",
    "battery_voltage_V",
    "frame_post",
)


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
        own = str(self.counts[0].answer)
        looks = [old for old in self.set_aside if old.source in SEEN and str(old.answer) != own]
        return bool(looks) and self.source not in (Source.PHOTO, Source.IN_HAND)

    @property
    def settles(self) -> bool:
        """Seen, and nothing else that was seen says otherwise."""
        return self.was_seen and not self.disputed


def counted(findings: Iterable[Finding]) -> list[Evidently]:
    """
    Sort findings into pieces of evidence.

    Of several findings of one kind the strongest source counts and the others
    are set aside; telling the same thing twice adds nothing.
    """
    everything = tuple(findings)
    pieces = []
    for kind in _KINDS:
        alike = [finding for finding in everything if finding.what == kind]
        if alike:
            pieces.append(_strongest(kind, alike))
    return pieces


def _strongest(kind: str, alike: list[Finding]) -> Evidently:
    best = max(SOURCE_ORDER.index(finding.source) for finding in alike)
    strongest = [finding for finding in alike if SOURCE_ORDER.index(finding.source) == best]
    counts: dict[str, Finding] = {}
    for finding in strongest:
        counts.setdefault(str(finding.answer), finding)
    kept = tuple(counts[answer] for answer in sorted(counts))
    return Evidently(kind, kept, tuple(finding for finding in alike if finding not in kept))


def piece(pieces: Iterable[Evidently], kind: str) -> Evidently | None:
    """The piece of evidence of one kind, if there is one."""
    return next((found for found in pieces if found.kind == kind), None)
