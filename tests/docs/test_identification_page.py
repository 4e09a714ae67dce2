"""docs/identification.md against the program: questions, classes, tables, guards, checks and assumed numbers."""

import re

import numpy as np
import pytest
from pages import figures, page, row_of, rows, spelt, table, under

from ampwright.bike.finding import FINDING_KINDS
from ampwright.desk.cases.jobs import open_job
from ampwright.identify import guards
from ampwright.identify.grid import QUESTIONS, answer_name, usual_grid
from ampwright.identify.reading_density import log_density
from ampwright.selection import cells, prospects, settle
from ampwright.selection.message import MOST_CHARACTERS
from ampwright.stock.checks import usual_checks
from ampwright.stock.evidence import usual_evidence
from ampwright.stock.generators import typical_classes
from ampwright.stock.record import Record
from ampwright.terms import Source

EVIDENCE = usual_evidence()
PAGE = "identification.md"
# How the page says a source for short.
SHORT = {
    "memory": Source.MEMORY,
    "looking": Source.LOOKING,
    "measured": Source.MEASURED,
    "photo": Source.PHOTO,
    "in our hands": Source.IN_HAND,
}


def told_right(cell: str) -> dict[Source, float]:
    """What a cell such as ``memory 0.6, photo 0.99`` says of the sources."""
    words = [part.strip().rpartition(" ") for part in cell.split(",") if part.strip()]
    return {SHORT[source]: float(figure) for source, _, figure in words}


# --- questions and classes -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("question", QUESTIONS)
def test_every_question_stands_in_the_page_with_its_answers(question: str) -> None:
    cells = row_of(under(PAGE, "Seven questions"), question)
    assert cells, f"{question} has no row"
    if question != "generator":
        answers = usual_grid().values[QUESTIONS.index(question)]
        assert spelt(cells[2]) == [answer_name(answer) for answer in answers]


def test_every_generator_class_stands_in_the_page_with_family_and_share() -> None:
    told = under(PAGE, "Seven questions")
    shares = EVIDENCE.prior["generator"].row_for()
    for generator in typical_classes():
        cells = row_of(told, generator.key)
        assert cells[1] == generator.family.value
        assert float(cells[4]) == shares[generator.key]
        if generator.nameplate_A is not None:
            assert f"{generator.nameplate_A:g} A" in cells[3]
    # by hand: the page says thirteen
    assert len(typical_classes()) == 13


def test_every_share_of_a_machine_is_marked_as_judgement() -> None:
    # our own rule, which the page states: nobody has published how often each machine turns up
    assert {prior.standing.value for prior in EVIDENCE.prior.values()} == {"assumed"}


# --- what findings tell ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", EVIDENCE.finding)
def test_every_table_of_a_finding_is_described_by_question_and_trust(kind: str) -> None:
    cells = row_of(under(PAGE, "What each finding tells"), kind)
    assert cells, f"{kind} has no row"
    found = EVIDENCE.finding[kind]
    assert tuple(spelt(cells[1])) == found.by
    assert told_right(cells[3]) == found.right


# By hand: one of each, with speed, so that it bears on all that it can.
TYPED = [
    "pair_volts=12/12/12 150 Hz@measured",
    "pair_ohms=1/1/1 leads 0.3@measured",
    "one_ohm_volts=9 3000 rpm@measured",
    "battery_volts=14.2 fast lights off@measured",
    "battery_amps=3 fast lights off@measured",
]


@pytest.mark.parametrize("typed", TYPED)
def test_every_reading_is_described_by_question_and_trust(typed: str) -> None:
    reading = open_job(None, [typed]).findings[0]
    cells = row_of(under(PAGE, "What each finding tells"), reading.what)
    bears_on = log_density(reading, typical_classes(), EVIDENCE.settings.readings).questions  # type: ignore[arg-type]
    assert tuple(spelt(cells[1])) == bears_on
    assert told_right(cells[3]) == EVIDENCE.reading[reading.what].right


def test_every_kind_of_finding_but_danger_tells_something_or_says_that_it_does_not() -> None:
    told = {name for cells in rows(under(PAGE, "What each finding tells")) for name in spelt(cells[0])}
    assert told == set(FINDING_KINDS) - {"danger"}


# --- guards ----------------------------------------------------------------------------------------------------------


def test_every_guard_stands_in_the_page() -> None:
    sentences = [name for name, value in vars(guards).items() if name.isupper() and isinstance(value, str)]
    told = [cells[0] for cells in table(under(PAGE, "What is still possible"))]
    assert sorted(told) == sorted(name.lower().replace("_", " ") for name in sentences)


def test_the_counts_in_the_guards_are_those_of_the_settings() -> None:
    told = {cells[0]: " ".join(cells) for cells in table(under(PAGE, "What is still possible"))}
    words = {4: "four", 5: "five"}
    settings = EVIDENCE.settings.guards
    assert f"{words[settings.many_thick_wires]} or more thick wires" in told["energy transfer"]
    assert f"{words[settings.coils_in_a_ring]} or more coils" in told["dynamo"]
    assert f"{settings.ac_volts:g} V AC and more" in told["dynamo"]


# --- the next look ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("check", usual_checks().checks, ids=lambda check: check.name)
def test_every_check_stands_in_the_page_with_what_it_brings_and_takes(check) -> None:
    cells = next((cells for cells in table(under(PAGE, "Checks")) if cells[0] == check.name), [])
    assert cells, f"{check.name} has no row"
    assert tuple(spelt(cells[1])) == check.brings
    assert float(cells[2]) == check.minutes
    assert float(cells[3]) == check.answered
    assert cells[4:] == [check.opens, check.who, check.source_reached.value]


def test_no_check_in_the_page_is_gone() -> None:
    assert [cells[0] for cells in table(under(PAGE, "Checks"))] == [check.name for check in usual_checks().checks]


def test_a_message_is_as_short_as_the_page_says() -> None:
    assert f"under {MOST_CHARACTERS} characters" in under(PAGE, "The look that is asked next")


def test_the_numbers_of_planning_are_the_program_s() -> None:
    told = under(PAGE, "The look that is asked next").replace("\n", " ")
    words = {5: "five", 8: "eight"}
    assert f"{100.0 * cells._TRUTHS_HOLD:g} % of belief, {cells._MOST_TRUTHS} at most" in told
    assert f"about {cells._TAKEN} times in all" in told
    assert f"at most {words[settle._MOST_CHECKS]}" in told
    assert f"The {words[settle._TAKEN_TOGETHER]} checks that save most" in told
    assert f"at least {100.0 * cells._OTHER_RATING:g} % of its belief" in told
    # by hand: half
    assert prospects._SURE == 0.5


# --- assumed numbers -------------------------------------------------------------------------------------------------


def numbers_of(record: Record, before: str = "") -> dict[str, float]:
    """Every number of the settings by its place; those of readings have a page of their own."""
    found: dict[str, float] = {}
    for name, value in record:
        if isinstance(value, Record) and name != "readings":
            found |= numbers_of(value, f"{before}{name}.")
        elif isinstance(value, dict):
            found |= {f"{before}{name}.{key}": float(inner) for key, inner in value.items()}
        elif isinstance(value, int | float):
            found[before + name] = float(value)
    return found


def test_every_assumed_number_stands_in_the_page_with_its_value() -> None:
    told = {spelt(cells[0])[0]: float(cells[1]) for cells in table(under(PAGE, "Numbers that are assumed"))}
    assert told == numbers_of(EVIDENCE.settings)


def test_the_general_figures_of_sources_stand_in_the_page() -> None:
    told = figures(under(PAGE, "What a finding does"))
    assert [right for right in EVIDENCE.sources.right.values() if f"{right:g}" not in told] == []


def test_the_share_held_is_said_in_the_page() -> None:
    percent = 100.0 * EVIDENCE.settings.still_possible_share
    # the page's last digit
    assert re.search(rf"{np.round(percent, 1):g} % of belief", page(PAGE))
