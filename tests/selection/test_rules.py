"""
Rules by themselves: every kind of part has them, each reads what it says it reads, and each refusal under one bike.

Rules without another note are common practice, no source.
"""

import inspect
from itertools import product
from typing import get_args

import pytest
from bench_jobs import coils, finding, identified, job
from bench_parts import (
    DEMO,
    DONT_FIT,
    FITS,
    FITS_IF,
    box,
    capacitor,
    coil,
    field_regulator,
    lighting_regulator,
    part,
    regulator,
    shelf,
    zener,
)

from ampwright.identify.grid import (
    BATTERY,
    EARTH,
    GENERATOR,
    IGNITION,
    QUESTIONS,
    REGULATED_BY,
    ROTOR,
    SYSTEM_VOLTAGE,
    usual_grid,
)
from ampwright.selection.facts import facts_of
from ampwright.selection.judgement import all_of
from ampwright.selection.kinds import REGULATING, rules_for
from ampwright.selection.outlook import Outlook
from ampwright.selection.verdicts import DONT_FIT as WORST
from ampwright.selection.verdicts import code_of, judge_part
from ampwright.stock.parts import AnyPart
from ampwright.stock.record import Record
from ampwright.terms import BatteryKind, Earth, Family, Ignition, RegulatedBy, Rotor, Source

GRID = usual_grid()
KINDS = tuple(get_args(kind.model_fields["kind"].annotation)[0] for kind in get_args(AnyPart))
ONE_OF_EACH = shelf(
    *(
        one | {"code": f"P{place}"}
        for place, one in enumerate(
            (
                box(),
                box(phases=3, topology="series", without_battery="points"),
                regulator(),
                field_regulator(),
                lighting_regulator(),
                part("rectifier", phases=1, rated_A=25, make="silicon", earth="positive earth only"),
                zener(),
                capacitor(),
                part(
                    "stator",
                    family="single-phase",
                    nameplate_A=16,
                    system_voltage_V=12,
                    coils=6,
                    wires=2,
                    rotor_diameter_mm=74,
                ),
                part("rotor", diameter_mm=74, poles=6),
                part("battery", system_voltage_V=12, chemistry="LiFePO4", capacity_Ah=12),
                part("bulb", system_voltage_V=12, power_W=21, light="LED", use="tail", earth="negative earth only"),
                coil(),
                part("horn", system_voltage_V=12, current_A=3, supply="DC"),
                part("flasher", system_voltage_V=12, least_W=10, most_W=50, earth="either"),
                part("fuse", rated_A=20, style="blade"),
                part(
                    "cable",
                    copper_area_mm2=2.0,
                    strands=28,
                    strand_diameter_mm=0.3,
                    rated_A=25,
                    insulation="PVC",
                ),
            )
        )
    )
).parts
WISHES = ({}, {"wishes": {"no_battery": True, "ammeter_range_A": 8}}, {"why": "6 to 12 V"})
BY_KIND = pytest.mark.parametrize("one_part", ONE_OF_EACH, ids=lambda one_part: one_part.kind)


def facts(findings=(), **more):
    return facts_of(job(*findings, **more), identified(*findings, **more))


def answers_to(rule):
    return product(*(GRID.values[axis] for axis in rule.reads))


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_part_has_rules_and_is_tried_here(kind):
    tried = [one_part for one_part in ONE_OF_EACH if one_part.kind == kind]
    assert tried
    assert all(rules_for(one_part, facts()) for one_part in tried)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_part_is_in_the_demo_stock(kind):
    assert any(one_part.kind == kind for one_part in DEMO.parts)


@BY_KIND
@pytest.mark.parametrize("more", WISHES, ids=str)
def test_a_rule_is_given_the_answers_to_the_questions_it_names_and_nothing_else(one_part, more):
    known = facts(**more)
    for rule in rules_for(one_part, known):
        # own definition: part, facts, and one answer for each question, in the order of the axes
        assert len(inspect.signature(rule.judge).parameters) == 2 + len(rule.reads)
        assert list(rule.reads) == sorted(set(rule.reads))
        assert all(axis in range(len(QUESTIONS)) for axis in rule.reads)


@BY_KIND
@pytest.mark.parametrize("more", WISHES, ids=str)
def test_a_rule_gives_a_judgement_for_every_answer_there_is(one_part, more):
    known = facts(**more)
    for rule in rules_for(one_part, known):
        for answers in answers_to(rule):
            judged = rule.judge(one_part, known, *answers)
            if judged.verdict is FITS_IF:
                assert judged.conditions
            if judged.verdict is DONT_FIT:
                assert judged.reason.endswith(".")
            # the same answers give the same judgement: a rule remembers nothing
            assert rule.judge(one_part, known, *answers) == judged


class OnlyNamed:
    """A part or the facts of a job, as far as a rule names what it looks at; a look at anything else fails."""

    def __init__(self, known, names):
        self._known, self._names = known, names

    @property
    def __class__(self):
        return type(self._known)  # a rule may ask which kind of part it judges, since it judges one kind only

    def __getattr__(self, name):
        of_class = getattr(type(self._known), name, None)
        if inspect.isfunction(of_class):
            return of_class.__get__(self)  # a method looks through us
        if isinstance(self._known, Record) and isinstance(of_class, property):
            return of_class.fget(self)
        assert name in self._names
        return getattr(self._known, name)


MUCH_KNOWN = {
    "findings": [
        finding("marking", "16 A"),
        finding("ignition", "electronic"),
        finding("thick_wires", 2),
        finding("pair_volts", [13.0], "measured"),
        finding("pair_ohms", [1e5], "measured"),
        finding("wires_to_engine", "one beeps", "told from memory"),
        finding("coils", 18, "in our hands"),
    ],
    "fitted": [{"kind": "charge warning lamp", "source": "photo"}],
    "wishes": {"ammeter_range_A": 8},
    "riding": {"usual_low_rpm": 2000, "usual_high_rpm": 4000, "top_rpm": 8000},
}


@BY_KIND
@pytest.mark.parametrize("more", (*WISHES, MUCH_KNOWN), ids=("nothing", "wishes", "6 to 12 V", "much"))
def test_a_rule_looks_at_nothing_but_what_it_names(one_part, more):
    known = facts(**more)
    for rule in rules_for(one_part, known):
        for answers in answers_to(rule):
            # own definition: what a rule does not name cannot change its judgement
            some_part = OnlyNamed(one_part, (*rule.of_part, "kind"))
            named = rule.judge(some_part, OnlyNamed(known, rule.minds), *answers)
            assert named == rule.judge(one_part, known, *answers)


@BY_KIND
def test_at_most_one_rule_of_a_part_gives_the_reason_where_it_fits(one_part):
    assert sum(rule.says for rule in rules_for(one_part, facts())) <= 1


@BY_KIND
def test_the_verdict_on_a_bike_is_the_worst_of_its_rules(one_part):
    known, found = facts(), identified()
    verdict = judge_part(one_part, Outlook(found), known)
    cells = list(zip(*found.still_possible.nonzero(), strict=True))[::97]
    codes, rules = verdict.codes, rules_for(one_part, known)
    for cell in cells:
        place = tuple(index if size > 1 else 0 for index, size in zip(cell, codes.shape, strict=True))
        bike = [GRID.values[axis][index] for axis, index in enumerate(cell)]
        judged = [rule.judge(one_part, known, *(bike[axis] for axis in rule.reads)) for rule in rules]
        # second method: every rule asked by itself, cell by cell
        assert codes[place] == max(map(code_of, judged))
    assert codes.max() <= WORST


BIKE = {
    GENERATOR: "single_phase_10A",
    ROTOR: Rotor.MATCHED,
    SYSTEM_VOLTAGE: 12,
    EARTH: Earth.POSITIVE,
    IGNITION: Ignition.POINTS,
    REGULATED_BY: RegulatedBy.CHARGING_BOX,
    BATTERY: BatteryKind.FLOODED,
}


# What nobody has counted is a condition of its own, tested by itself.
COUNTED = (coils(6), finding("brushes", "brushes on a commutator", Source.IN_HAND))


def under(one_part, changes, **more):
    """What the rules together say of a part on one bike that is wholly known."""
    known, bike = facts(COUNTED, **more), BIKE | changes
    keys = {generator.key: generator for generator in GRID.generators}
    bike[GENERATOR] = keys[bike[GENERATOR]]
    made = shelf(one_part).parts[0]
    return all_of(*(rule.judge(made, known, *(bike[axis] for axis in rule.reads)) for rule in rules_for(made, known)))


def bolted():
    return part("rectifier", phases=1, rated_A=25, make="plate", earth="positive earth only")


def horn(supply):
    return part("horn", system_voltage_V=12, current_A=3, supply=supply)


def battery(chemistry):
    return part("battery", system_voltage_V=12, chemistry=chemistry, capacity_Ah=20)


@pytest.mark.parametrize(
    ("one_part", "changes", "verdict"),
    [
        (box(), {}, FITS),
        (box(earth="shell is minus"), {}, DONT_FIT),
        (box(earth="shell is minus"), {EARTH: Earth.NEGATIVE}, FITS),
        (box(earth="positive earth only"), {EARTH: Earth.NEGATIVE}, DONT_FIT),
        (box(system_voltage_V=6, set_point_V=7.1), {}, DONT_FIT),
        (box(), {SYSTEM_VOLTAGE: 6}, FITS_IF),
        (box(), {GENERATOR: "three_phase_10A"}, DONT_FIT),
        (box(phases=3), {GENERATOR: "three_phase_10A"}, FITS),
        (box(phases=3), {}, FITS_IF),
        (box(), {GENERATOR: "bi_phase"}, DONT_FIT),
        (box(bi_phase=True, rated_A=30), {GENERATOR: "bi_phase"}, FITS),
        (box(rated_A=9), {}, DONT_FIT),
        (box(rated_A=10), {}, FITS_IF),
        # lithium is harmed above 14.6 V; gel dries out (from memory)
        (box(set_point_V=14.7, lithium_safe=True), {BATTERY: BatteryKind.LITHIUM}, DONT_FIT),
        (box(set_point_V=14.6, lithium_safe=True), {BATTERY: BatteryKind.LITHIUM}, FITS_IF),
        (box(set_point_V=14.2, lithium_safe=True), {BATTERY: BatteryKind.LITHIUM}, FITS),
        (box(set_point_V=14.2), {BATTERY: BatteryKind.LITHIUM}, FITS_IF),
        (box(set_point_V=14.8), {BATTERY: BatteryKind.GEL}, DONT_FIT),
        (box(set_point_V=14.5), {BATTERY: BatteryKind.GEL}, FITS_IF),
        (box(set_point_V=14.2), {BATTERY: BatteryKind.GEL}, FITS),
        (box(set_point_V=14.6), {BATTERY: BatteryKind.AGM}, FITS),
        (box(set_point_V=14.8), {BATTERY: BatteryKind.AGM}, FITS_IF),
        (box(set_point_V=14.8, without_battery="points"), {BATTERY: BatteryKind.NONE}, FITS_IF),
        (
            box(without_battery="points and electronic", capacitor_inside=True, no_load_V=14.4),
            {BATTERY: BatteryKind.NONE},
            FITS,
        ),
        (
            box(without_battery="points and electronic", capacitor_inside=True),
            {BATTERY: BatteryKind.NONE},
            FITS_IF,
        ),
        (box(), {BATTERY: BatteryKind.NONE}, FITS_IF),
        (box(), {ROTOR: Rotor.MISMATCHED}, FITS_IF),
        (zener(), {REGULATED_BY: RegulatedBy.ONE_ZENER}, FITS_IF),
        (zener(), {}, DONT_FIT),
        (zener(zener_V=13.6), {REGULATED_BY: RegulatedBy.ONE_ZENER, BATTERY: BatteryKind.LITHIUM}, DONT_FIT),
        (zener(zener_V=14.8), {REGULATED_BY: RegulatedBy.ONE_ZENER, BATTERY: BatteryKind.GEL}, DONT_FIT),
        (zener(zener_V=14.7), {REGULATED_BY: RegulatedBy.ONE_ZENER, BATTERY: BatteryKind.GEL}, FITS_IF),
        (zener(), {REGULATED_BY: RegulatedBy.ONE_ZENER, EARTH: Earth.NEGATIVE}, DONT_FIT),
        (zener(), {REGULATED_BY: RegulatedBy.ONE_ZENER, SYSTEM_VOLTAGE: 6}, DONT_FIT),
        # its polarity is marked, which is always a condition of how it is fitted
        (capacitor(rated_V=63), {}, FITS_IF),
        (capacitor(rated_V=16), {}, DONT_FIT),
        (bolted(), {}, FITS_IF),
        (bolted(), {EARTH: Earth.NEGATIVE}, DONT_FIT),
        (bolted(), {BATTERY: BatteryKind.LITHIUM}, DONT_FIT),
        # fed from the winding or, where it was changed for a battery, from that
        (horn("AC"), {GENERATOR: "direct_lighting", BATTERY: BatteryKind.NONE}, FITS),
        (horn("DC"), {GENERATOR: "direct_lighting", BATTERY: BatteryKind.NONE}, DONT_FIT),
        (horn("AC"), {GENERATOR: "direct_lighting"}, FITS_IF),
        (horn("DC"), {GENERATOR: "direct_lighting"}, FITS_IF),
        (horn("AC"), {GENERATOR: "energy_transfer"}, FITS_IF),
        (horn("AC"), {}, DONT_FIT),
        # two wires may be a lighting winding that was taken for a charging one: whoever fits it looks what feeds it
        (horn("DC"), {}, FITS_IF),
        (horn("DC"), {GENERATOR: "three_phase_14A"}, FITS),
        # what regulates a generator that nobody can name is not known to keep its volts close
        (battery("AGM"), {GENERATOR: "unlisted"}, FITS_IF),
        (battery("gel"), {GENERATOR: "unlisted"}, FITS_IF),
        (battery("AGM"), {}, FITS),
        (battery("flooded"), {GENERATOR: "direct_lighting"}, FITS_IF),
        (battery("flooded"), {GENERATOR: "direct_lighting", BATTERY: BatteryKind.NONE}, DONT_FIT),
        (coil(), {IGNITION: Ignition.MAGNETO}, DONT_FIT),
        (coil(use="electronic"), {IGNITION: Ignition.ELECTRONIC}, FITS_IF),
        (coil(), {SYSTEM_VOLTAGE: 6}, FITS_IF),
        (regulator(rated_A=9), {GENERATOR: "dynamo_60W", SYSTEM_VOLTAGE: 6}, FITS),
        (regulator(rated_A=9), {GENERATOR: "dynamo_60W"}, DONT_FIT),
        (regulator(), {GENERATOR: "dynamo_60W", SYSTEM_VOLTAGE: 6, BATTERY: BatteryKind.LITHIUM}, FITS_IF),
        (field_regulator(), {GENERATOR: "wound_field"}, FITS_IF),
        (lighting_regulator(), {GENERATOR: "direct_lighting", SYSTEM_VOLTAGE: 6}, FITS_IF),
    ],
    ids=lambda value: (
        value["kind"] if isinstance(value, dict) and "kind" in value else str(getattr(value, "value", ""))
    ),
)
def test_on_a_bike_that_is_wholly_known_a_part_gets_the_verdict_of_the_trade(one_part, changes, verdict):
    assert under(one_part, changes).verdict is verdict


@pytest.mark.parametrize(("supply", "feeds"), [("AC", "the lighting winding"), ("DC", "the battery")])
@pytest.mark.parametrize("generator", ["direct_lighting", "energy_transfer"])
def test_beside_a_battery_on_a_winding_it_is_asked_what_feeds_the_horn(generator, supply, feeds):
    judged = under(horn(supply), {GENERATOR: generator})
    assert judged.to_prove
    assert judged.conditions[0].startswith(f"{feeds} feeds the horn")


@pytest.mark.parametrize("generator", ["direct_lighting", "energy_transfer"])
def test_a_battery_on_a_winding_is_renewed_where_the_old_one_was_charged(generator):
    assert (
        "the volts of the one on it rise with the engine fast"
        in under(battery("AGM"), {GENERATOR: generator}).conditions
    )


NOT_FOR_BOXES = (
    Family.DYNAMO,
    Family.ENERGY_TRANSFER,
    Family.DIRECT_LIGHTING,
    Family.WOUND_FIELD,
    Family.UNLISTED,
)


@pytest.mark.parametrize("generator", GRID.generators, ids=lambda generator: generator.key)
@pytest.mark.parametrize("volts", [6, 12])
def test_no_box_goes_on_a_generator_that_it_is_not_made_for(generator, volts):
    for one_box in (box(rated_A=40), box(rated_A=40, phases=3), box(rated_A=40, bi_phase=True)):
        found = under(one_box, {GENERATOR: generator.key, SYSTEM_VOLTAGE: volts})
        if generator.family in NOT_FOR_BOXES:
            assert found.verdict is DONT_FIT


@pytest.mark.parametrize("generator", GRID.generators, ids=lambda generator: generator.key)
def test_each_regulator_of_a_special_kind_goes_on_its_own_kind_alone(generator):
    made_for = (
        (regulator(rated_A=40), Family.DYNAMO),
        (field_regulator(), Family.WOUND_FIELD),
        (lighting_regulator(), Family.DIRECT_LIGHTING),
    )
    for one_part, family in made_for:
        volts = one_part["system_voltage_V"]
        found = under(one_part, {GENERATOR: generator.key, SYSTEM_VOLTAGE: volts})
        assert (found.verdict is not DONT_FIT) is (generator.family is family)


def test_the_regulating_kinds_are_those_that_hold_volts():
    holding = {one_part.kind for one_part in ONE_OF_EACH if hasattr(one_part, "set_point_V")}
    # an AC regulator for lamps holds volts too, though no battery's
    assert holding | {"lighting_regulator"} == set(REGULATING)
