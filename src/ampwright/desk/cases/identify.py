"""What the findings make of the bike, in words and shares."""

from dataclasses import dataclass

from ampwright.bike.job import Job
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.identify.identification import Believed, EvidenceLine, Identification
from ampwright.terms import chance_in_words

# Below this chance a family is not worth a line on the page.
_WORTH_A_LINE = 0.005


@dataclass(frozen=True)
class Possible:
    """One thing the bike could still be."""

    words: str
    chance: str
    probability: float
    kept_only_for_safety: bool


@dataclass(frozen=True)
class IdentifyAnswer:
    """What the bike is believed to be, why, and what it could still be."""

    number: str
    title: str
    stop_first: str
    headline: str
    families: tuple[Believed, ...]
    generators: tuple[Believed, ...]
    voltages: tuple[Believed, ...]
    earths: tuple[Believed, ...]
    evidence: tuple[EvidenceLine, ...]
    conflict: str
    conflict_bit: float
    still_possible: tuple[Possible, ...]
    kept_possible_because: tuple[str, ...]


def identify_job(job: Job) -> IdentifyAnswer:
    """Identify a job's generator, voltage and earth."""
    return identify_answer(work_up(job))


def identify_answer(workup: Workup) -> IdentifyAnswer:
    """Put an identification into what a person reads."""
    found = workup.identification
    return IdentifyAnswer(
        number=workup.job.number,
        title=workup.job.title,
        stop_first=workup.stop_first,
        headline=headline(found),
        families=_worth_telling(found.families),
        generators=_worth_telling(found.generators),
        voltages=found.voltages,
        earths=found.earths,
        evidence=found.evidence,
        conflict=found.conflict,
        conflict_bit=found.conflict_bit,
        still_possible=tuple(
            Possible(
                bike.hypothesis.words,
                chance_in_words(bike.belief),
                bike.belief,
                kept_only_for_safety=bike.kept_for_safety,
            )
            for bike in workup.possible
        ),
        kept_possible_because=found.guards,
    )


def headline(found: Identification) -> str:
    """One line: family with its certainty, voltage and earth with theirs."""
    family = found.families[0]
    if not found.pieces:
        return "Nothing is known yet; shown is what turns up most."
    what = f"{family.certainty}: {family.name} ({family.chance})"
    rest = [f"{group[0].name} {group[0].certainty}" for group in (found.voltages, found.earths)]
    return f"{what}; {'; '.join(rest)}."


def _worth_telling(group: tuple[Believed, ...]) -> tuple[Believed, ...]:
    return tuple(believed for believed in group if believed.probability >= _WORTH_A_LINE)
