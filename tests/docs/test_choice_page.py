"""docs/choice.md against the program: every kind of part with its rules, the windows, and how ratings are judged."""

import pytest
from pages import figures, page, spelt, table, under

from ampwright.bike.job import Job
from ampwright.desk.cases.workup import work_up
from ampwright.identify.grid import QUESTIONS
from ampwright.selection import kinds, rating
from ampwright.selection.battery_side import MOST_V, SUITING_V
from ampwright.terms import Verdict

# A wish that brings its own rule, so that none is left out.
FACTS = work_up(Job(format=1, number="1", wishes={"no_battery": True})).facts


@pytest.mark.parametrize("kind", kinds._RULES)
def test_every_kind_of_part_is_described_with_its_rules_and_what_they_read(kind: str) -> None:
    told = [tuple(spelt(cells[1])) for cells in table(under("choice.md", f"`{kind}`"))]
    rules = kinds._RULES[kind](FACTS)
    assert told == [tuple(QUESTIONS[axis] for axis in rule.reads) for rule in rules]


def test_the_regulating_parts_are_named_as_those_that_a_sale_turns_on() -> None:
    told = spelt(under("choice.md", "Two kinds of condition"))
    assert [kind for kind in kinds.REGULATING if kind not in told] == []


def test_the_windows_of_batteries_are_the_program_s() -> None:
    told = table(under("choice.md", "Set-points by battery"))
    assert [spelt(cells[0])[0] for cells in told] == [battery.value for battery in SUITING_V]
    for cells, battery in zip(told, SUITING_V, strict=True):
        assert tuple(map(float, figures(cells[1]))) == SUITING_V[battery]
        refused = [MOST_V[battery]] if battery in MOST_V else []
        assert list(map(float, figures(cells[2]))) == refused


def test_the_limits_of_ratings_are_the_program_s() -> None:
    told = figures(under("choice.md", "Rating of a charging box"))
    limits = (rating.FITS_FROM, rating.REFUSED_UNDER, rating.REFUSED_UNDER_WATTS)
    assert [limit for limit in limits if f"{limit:.2f}" not in told] == []
    assert [volts for volts in (rating.CHARGING_V, rating.TRADE_V) if f"{volts:g}" not in told] == []


def rated(label: str, stator_A: float) -> Verdict:
    """The verdict of a single-phase box with this label."""
    figure, unit = label.split()
    watts, amps = (float(figure), None) if unit == "W" else (None, float(figure))
    return rating.judge_rating(stator_A, 1, box_phases=1, rated_A=amps, rated_W=watts, pairings=()).verdict


def test_every_example_of_a_rating_is_judged_as_the_page_says() -> None:
    told = table(under("choice.md", "Rating of a charging box"))
    assert told
    for labels, stators, verdict in told:
        for label in labels.split(", "):
            for stator in figures(stators):
                assert verdict.startswith(rated(label, float(stator)).value), (label, stator)


def test_every_verdict_is_explained() -> None:
    text = page("choice.md").lower()
    assert [verdict.value for verdict in Verdict if f"**{verdict.value}**" not in text] == []
