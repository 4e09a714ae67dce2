"""docs/rides.md against the program: keys, words, limits, the example, and every figure of the assumed patterns."""

import tomllib

import numpy as np
import pytest
from pages import blocks, field_faults, page, rows, spelt, table, under

from ampwright.bike.cycles import CYCLES, cycle_points
from ampwright.bike.ride import LEG_KINDS, Leg, Recorded, Ride, Week, week_from
from ampwright.bike.ride_words import SYNONYMS, ride_from_words
from ampwright.operation.gearing import FOUR_SPEED
from ampwright.operation.trace import PATTERNS, Trace, leg_trace
from ampwright.storage import traces, track

MPH_M_S = 0.44704


@pytest.mark.parametrize(
    ("heading", "model"),
    [("A week", Week), ("A ride", Ride), ("A leg", Leg), ("What was recorded", Recorded)],
)
def test_every_key_of_a_ride_is_described(heading, model):
    assert field_faults(under("rides.md", heading), model) == []
    assert {spelt(cells[0])[0] for cells in table(under("rides.md", heading))} == set(model.model_fields)


def test_the_example_is_a_week_that_holds_every_key():
    example = tomllib.loads(blocks(page("rides.md"), "toml")[0])
    week = week_from(example, "docs/rides.md")
    assert set(example) == set(Week.model_fields)
    assert {key for ride in example["rides"] for key in ride} == set(Ride.model_fields)
    # by hand: one ride is told in each way
    assert [bool(ride.legs) + bool(ride.cycle) + bool(ride.recorded) for ride in week.rides] == [1, 1, 1]


def test_the_words_are_those_that_are_understood():
    told = {spelt(cells[0])[0]: tuple(spelt(cells[2])) for cells in table(under("rides.md", "In words"))}
    assert told == dict(SYNONYMS)
    assert tuple(told) == LEG_KINDS
    assert len(ride_from_words(blocks(under("rides.md", "In words"), "")[0])) == 4
    times = [code for code in spelt(under("rides.md", "In words").partition("| kind")[0]) if code[0].isdigit()]
    assert len(times) == 4
    # the rule: every time that the page shows is read
    assert all(ride_from_words(f"town {time}") for time in times)


def figures_of(trace):
    """A row of the table of figures: means, share at rest, and the most, as the page rounds them."""
    speeds = trace.speed_m_s
    rest = 100.0 * float((speeds == 0.0).mean())
    mean, most = float(speeds.mean()), float(speeds.max())
    return [f"{mean:.1f}", f"{mean / MPH_M_S:.0f}", f"{rest:.0f}", f"{most:.1f}", f"{most / MPH_M_S:.0f}"]


def test_every_figure_of_a_kind_and_of_a_standard_ride_is_as_computed():
    shown = rows(under("rides.md", "What a leg stands for"))[1:]
    assert [spelt(cells[0])[0] for cells in shown] == [*LEG_KINDS[:4], "parade", "tick-over", "rest", *CYCLES]
    for cells in shown:
        name = spelt(cells[0])[0]
        trace = leg_trace(name, 3600) if name in PATTERNS else Trace(*map(np.array, cycle_points(name)))
        # the rule: page and program say the same
        assert cells[1:] == figures_of(trace), name


def test_the_limits_of_a_file_are_those_of_the_program():
    told = " ".join(under("rides.md", "Files that are read").split())
    # the rule: page and program say the same
    assert f"over {traces.MOST_BYTES // 1_000_000} MB or {traces.MOST_POINTS:,} points" in told
    assert f"under {traces.LEAST_S:g} s or over {traces.LONGEST_S / 3600:g} h" in told
    assert f"more than {traces.FASTEST_M_S:g} m/s" in told
    assert f"Over {track.SILENT_S:g} s without a point" in told
    assert f"over {track.SMOOTHED_OVER_s:g} s about each second; under {track.STANDING_M_S:g} m/s it stands" in told
    assert f"mostly over {track.SPARSE_s:g} s apart" in told
    assert {"time_s", *traces._SPEEDS} <= set(spelt(told))


def test_the_gears_are_those_of_the_program():
    told = " ".join(under("rides.md", "From road speed to engine speed").split())
    first, second, third, _ = FOUR_SPEED
    # the rule: page and program say the same
    assert f"{third}, {second} and {first} times top" in told
