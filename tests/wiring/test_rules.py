"""The rule check as a whole: sound looms pass, both earths are alike, and names decide nothing."""

from dataclasses import replace
from pathlib import Path

import pytest
from broken_looms import BOX, DYNAMO, SIX, TWIN, mirrored, with_long_tail_wire
from looms import drawn_outfits, sound_originals, sound_outfits

from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Terminal
from ampwright.wiring.rules import RULES, check, is_sound
from ampwright.wiring.typical import loom_of

PAGE = Path(__file__).parents[2] / "docs" / "wiring-rules.md"


def rated(outfit):
    """With a main fuse that suits old lighting wire: 8 A on 6 V, 15 A on 12 V."""
    return outfit.changed(main_fuse_A=8.0 if outfit.system_voltage_V == 6 else 15.0, box_fuse_A=15.0)


DRAWN = [rated(outfit) for outfit in drawn_outfits(21, 30)]
NEW = [outfit for outfit in DRAWN if outfit.box_fuse and outfit.main_fuse == "live"]


def red(loom):
    return [fault for fault in check(loom) if fault.severity == "red"]


def renamed(loom):
    """The same loom with ids that say nothing."""
    ids = {one.id: f"part-{number}" for number, one in enumerate(loom.components)}

    def turned(terminal):
        return Terminal(ids[terminal.component], terminal.name)

    return replace(
        loom,
        components=tuple(replace(one, id=ids[one.id]) for one in loom.components),
        wires=tuple(replace(wire, start=turned(wire.start), end=turned(wire.end)) for wire in loom.wires),
    )


@pytest.mark.parametrize(("name", "loom"), sound_originals().items())
def test_no_sound_original_is_refused(name, loom):
    assert red(loom) == []


@pytest.mark.parametrize("outfit", [*sound_outfits().values(), *DRAWN])
def test_no_bike_of_a_usual_kind_is_refused_with_a_fuse_that_suits_its_wires(outfit):
    assert red(loom_of(rated(outfit))) == []


@pytest.mark.parametrize("outfit", NEW)
def test_no_loom_made_new_with_every_fuse_it_should_have_is_refused(outfit):
    assert red(loom_of(outfit, old=False)) == []


@pytest.mark.parametrize("loom", [BOX, TWIN, DYNAMO, SIX, *(loom_of(outfit) for outfit in DRAWN[:8])])
def test_the_other_earth_gives_the_same_faults(loom):
    def told(loom):
        return [(fault.rule, fault.severity, fault.wires, fault.components) for fault in check(loom)]

    assert told(mirrored(loom)) == told(loom)


@pytest.mark.parametrize("loom", [BOX, TWIN, DYNAMO, SIX])
def test_ids_decide_nothing(loom):
    assert [fault.sentence for fault in check(renamed(loom))] == [fault.sentence for fault in check(loom)]


def test_red_comes_first_and_is_what_makes_a_loom_unsound():
    broken = replace(TWIN, wires=tuple(wire for wire in TWIN.wires if wire.end != Terminal("frame", "frame")))
    faults = check(broken)
    severities = [fault.severity for fault in faults]
    assert severities == sorted(severities, reverse=True)
    assert {"red", "amber"} == set(severities)
    assert not is_sound(faults)
    assert is_sound(check(TWIN))


def judged_tail_wire(loom):
    wire = next(wire for wire in loom.wires if wire.end == Terminal("tail-lamp", "feed"))
    number = loom.numbers[wire]
    return [fault for fault in check(loom) if fault.rule == "fuse-against-wire" and number in fault.wires]


def test_a_millimetre_of_copper_over_5_m_on_12_V_is_burnt_by_nothing_but_an_overload():
    # by hand: 12.65 V over 0.02 ohm of battery and 5 m of 0.0195 ohm/m are 107 A cold, over 5 times a fuse of 15 A.
    # Suppliers' tables of vehicle cable give 1 mm2 in PVC 8.75 A, under 15 A: old wire is amber.
    faults = judged_tail_wire(with_long_tail_wire(TWIN, "1 mm2", 15.0, insulation="PVC"))
    assert [fault.severity for fault in faults] == ["amber"]


@pytest.mark.parametrize(("fuse_A", "severities"), [(15.0, ["red"]), (8.0, ["amber"])])
def test_a_thin_wire_over_5_m_on_6_V_outlasts_no_fuse_of_15_A(fuse_A, severities):
    # by hand: 6.32 V over 0.0075 ohm of battery, 5 m of 9/0.30 (0.64 mm2, 0.03 ohm/m) and 0.01 ohm of the rest are
    # 38 A cold: 2.5 times 15 A and 4.7 times 8 A; three is the least (common practice, no source).
    faults = judged_tail_wire(with_long_tail_wire(DYNAMO, "9/0.30", fuse_A, insulation="old"))
    assert [fault.severity for fault in faults] == severities


def test_a_wire_that_is_not_sized_yet_is_not_judged_by_its_fuse():
    assert all(wire.conductor is None for wire in BOX.wires)
    assert not [fault for fault in check(BOX) if fault.rule == "fuse-against-wire"]


def test_two_6_V_coils_in_series_are_right_on_12_V():
    # by hand: each of two coils in series gets half of 12 V.
    ignition = [one.id for one in TWIN.of_kind(Kind.COIL)]
    first, second = ignition
    drop = {Terminal(second, "feed"), Terminal(first, "points")}
    kept = [wire for wire in TWIN.wires if not drop & wire.ends]
    spare = next(wire for wire in TWIN.wires if wire.end == Terminal(second, "feed"))
    in_series = replace(spare, start=Terminal(first, "points"), end=Terminal(second, "feed"))
    loom = replace(
        TWIN.with_wires([*kept, in_series]),
        components=tuple(
            replace(one, traits=replace(one.traits, system_voltage_V=6)) if one.id in ignition else one
            for one in TWIN.components
            if one.id != "points"
        ),
    )
    loom = loom.with_wires(wire for wire in loom.wires if "points" not in (wire.start.component, wire.end.component))
    assert red(loom) == []


def test_the_page_has_every_rule_with_its_mark_and_no_other():
    rows = [line for line in PAGE.read_text(encoding="utf-8").splitlines() if line.startswith("| `")]
    told = [(cells[1].strip(" `"), cells[-2].strip()) for cells in (row.split("|") for row in rows)]
    assert told == [(rule.key, rule.source) for rule in RULES.values()]
