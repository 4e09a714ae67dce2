"""docs/wiring.md against the program: changes, what is assumed, the marks of a drawing, and the example."""

from importlib import import_module
from typing import Any, get_args

import pytest
from pages import blocks, figures, page, rows, spelt, table, under

from ampwright.stock.loom_settings import usual_loom
from ampwright.wiring.outline import Mark
from ampwright.wiring.wanted import CHANGES

PAGE = "wiring.md"
USUAL = usual_loom()


def test_every_change_has_its_row_in_order() -> None:
    told = [spelt(cells[0])[0] for cells in table(under(PAGE, "The loom that is wanted"))]
    # the rule: page and program say the same
    assert told == list(CHANGES)


def test_the_places_and_joints_are_those_of_the_settings() -> None:
    every = rows(under(PAGE, "What is assumed"))
    places = {cells[0]: (float(cells[1]), float(cells[2])) for cells in every if cells[0] in USUAL.along_m}
    joints = {cells[0]: float(cells[1]) / 1000.0 for cells in every if cells[0] in USUAL.joint_ohm}
    # the rule: page and settings say the same
    assert places == {place: (along, USUAL.branch_m[place]) for place, along in USUAL.along_m.items()}
    assert joints == pytest.approx(dict(USUAL.joint_ohm))


def test_the_usual_figures_are_those_of_the_settings() -> None:
    told = " ".join(under(PAGE, "What is assumed").split())
    usual, same = USUAL.usual, USUAL.same_place_m
    # the rule: page and settings say the same
    assert f"{same['seat']:g} m ({same['engine']:g} m at the engine)" in told
    assert {length for place, length in same.items() if place != "engine"} == {same["seat"]}
    assert f"Old wires are {USUAL.old_conductors.main}" in told
    assert f"and {USUAL.old_conductors.lighting} elsewhere" in told
    assert f"{usual.battery_Ah_12V:g} Ah on 12 V and {usual.battery_Ah_6V:g} Ah on 6 V" in told
    assert f"a horn takes {usual.horn_A_12V:g} A or {usual.horn_A_6V:g} A" in told
    assert f"{usual.ammeter_end_A:g}" in figures(told.rpartition("an ammeter ends at")[2])


def test_every_mark_of_a_drawing_is_explained() -> None:
    told = {code for cells in rows(under(PAGE, "Drawings, lists, netlist")) for code in spelt(cells[0])}
    # the rule: page and program say the same
    assert told == set(get_args(Mark)) - {""}


def test_every_module_of_the_table_has_the_names_that_the_page_says() -> None:
    for cells in table(under(PAGE, "From Python")):
        homes = [name if "." in name else f"ampwright.wiring.{name}" for name in spelt(cells[0])]
        held = {name for home in homes for name in vars(import_module(home))}
        assert [name for name in spelt(cells[1]) if name.partition(".")[0] not in held] == []


def test_the_example_finds_the_wire_without_a_fuse() -> None:
    held: dict[str, Any] = {}
    exec(compile(blocks(page(PAGE), "python")[0], "docs/wiring.md", "exec"), held)
    # by hand: the one wire at the battery's live post goes to the lamp and to no fuse
    assert [(fault.rule, fault.wires) for fault in held["check"](held["loom"])] == [("live-wire-unfused", (1,))]
