"""What the findings make of the bike, in words and shares."""

from dataclasses import dataclass

from ampwright.bike.job import Job
from ampwright.bike.reading import AnyReading
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.identify.explanation import Believed, EvidenceLine, Explanation, answer_words
from ampwright.identify.grid import BATTERY, EARTH, GENERATOR, IGNITION, REGULATED_BY, ROTOR, SYSTEM_VOLTAGE
from ampwright.selection.rules import in_words
from ampwright.terms import chance_in_words, finding_words

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
    battery_line: str
    headline: str
    families: tuple[Believed, ...]
    generators: tuple[Believed, ...]
    voltages: tuple[Believed, ...]
    earths: tuple[Believed, ...]
    rotors: tuple[Believed, ...]
    ignitions: tuple[Believed, ...]
    regulators: tuple[Believed, ...]
    batteries: tuple[Believed, ...]
    evidence: tuple[EvidenceLine, ...]
    conflict: str
    conflict_bit: float
    does_not_count: tuple[str, ...]
    still_possible: tuple[Possible, ...]
    also_open: tuple[str, ...]
    kept_possible_because: tuple[str, ...]


def identify_job(job: Job) -> IdentifyAnswer:
    """Identify a job's generator, voltage and earth."""
    return identify_answer(work_up(job))


def identify_answer(workup: Workup) -> IdentifyAnswer:
    """Put an identification into what a person reads."""
    found = workup.explanation
    return IdentifyAnswer(
        number=workup.job.number,
        title=workup.job.title,
        stop_first=workup.stop_first,
        battery_line=workup.battery_line,
        headline=headline(found),
        families=_worth_telling(found.families),
        generators=_worth_telling(found.generators),
        voltages=found.voltages,
        earths=found.earths,
        rotors=found.rotors,
        ignitions=_worth_telling(found.ignitions),
        regulators=_worth_telling(found.regulators),
        batteries=_worth_telling(found.batteries),
        evidence=found.evidence,
        conflict=found.conflict,
        conflict_bit=found.conflict_bit,
        does_not_count=_not_counted(workup.job),
        still_possible=_possible(workup),
        also_open=open_questions(workup),
        kept_possible_because=workup.identification.guards,
    )


def headline(found: Explanation) -> str:
    """One line: family with its certainty, voltage and earth with theirs."""
    family = found.families[0]
    if not found.found.pieces:
        return "Nothing is known yet; shown is what turns up most."
    what = f"{family.certainty}: {family.name} ({family.chance})"
    rest = [
        f"{group[0].name} or {group[1].name}"
        if group[0].certainty == "could be either"
        else f"{group[0].name} {group[0].certainty}"
        for group in (found.voltages, found.earths)
    ]
    return f"{what}; {'; '.join(rest)}."


def _possible(workup: Workup) -> tuple[Possible, ...]:
    """Generator, voltage and earth still possible together, likeliest first; then what else is still open."""
    axes = (GENERATOR, SYSTEM_VOLTAGE, EARTH)
    share, held = workup.outlook.belief_over(axes), workup.outlook.held_over(axes)
    rows = []
    for place, (generator, volts, earth) in workup.outlook.places(axes):
        chance, words = float(share[place]), f"{generator.name}, running at {volts} V, {earth.value}"
        rows.append(Possible(words, chance_in_words(chance), chance, kept_only_for_safety=not held[place]))
    return tuple(sorted(rows, key=lambda row: -row.probability))


def open_questions(workup: Workup) -> tuple[str, ...]:
    """What else is still open: rotor, ignition, what regulates it, battery; a line each where more than one stands."""
    names = ((ROTOR, "rotor"), (IGNITION, "ignition"), (REGULATED_BY, "regulated by"), (BATTERY, "battery"))
    lines = []
    for axis, name in names:
        values = [in_words(value) for value in workup.identification.possible_values(axis)]
        if len(values) > 1:
            lines.append(f"{name}: {', '.join(values[:-1])} or {values[-1]}")
    return tuple(lines)


def _not_counted(job: Job) -> tuple[str, ...]:
    """Readings that were kept and not weighed, each with the reason."""
    return tuple(
        f"{finding_words(found.what)} = {answer_words(found)}: doesn't count ({found.does_not_count})"
        for found in job.findings
        if isinstance(found, AnyReading) and found.does_not_count
    )


def _worth_telling(group: tuple[Believed, ...]) -> tuple[Believed, ...]:
    return tuple(believed for believed in group if believed.probability >= _WORTH_A_LINE)
