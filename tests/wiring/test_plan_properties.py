"""What holds for the plan between any two looms: it leads to the second, and the bike is dead while it is worked on."""

import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from looms import drawn_outfits, sound_originals, three_phase_box

from ampwright.terms import Earth
from ampwright.wiring.edits import Edit, FitWire, TakeWireOff, applied, edited
from ampwright.wiring.kinds import GENERATORS, Kind
from ampwright.wiring.loom import Component, Joint, Loom, Terminal, Traits, Wire, terminals_of
from ampwright.wiring.plan import Plan, plan_of
from ampwright.wiring.plan_difference import source_leads
from ampwright.wiring.plan_facts import PlanFacts
from ampwright.wiring.plan_holds import new_joins
from ampwright.wiring.typical import loom_of
from ampwright.wiring.wanted import CHANGES, wanted_loom, why_not

SEEDS = st.integers(min_value=0, max_value=10**9)
# With all that a plan can ask for read, nothing is held back.
READ = PlanFacts(join_pair_read=True, field_returns="to the frame inside")


def outfit_loom(seed: int) -> Loom:
    """A typical loom drawn at random, as found or newly made."""
    return loom_of(next(drawn_outfits(seed, 1)), old=bool(seed % 2))


def netlist(seed: int) -> Loom:
    """Parts and wires drawn without any sense: any kind under few names, so that two of them have much in common."""
    rng = random.Random(seed)
    ids = rng.sample([f"part-{number}" for number in range(7)], rng.randint(2, 7))
    parts = [_part(rng, id_) for id_ in ids]
    if rng.random() < 0.7:
        parts.append(Component("battery", Kind.BATTERY, "Battery", Traits(capacity_Ah=rng.choice((5.0, 9.0)))))
    ends = [part.at(name) for part in parts for name in terminals_of(part)]
    wires = []
    for _ in range(rng.randint(0, 12) if len(ends) > 1 else 0):
        start, end = rng.sample(ends, 2)
        mounting = rng.random() < 0.2
        colour = "" if mounting else rng.choice(("N", "NU"))
        joints = rng.choice(((), (Joint("bullet", 0.004),)))
        wires.append(Wire(start, end, colour, joints=joints, old=rng.random() < 0.5, kind="wire"))
        if mounting:
            wires[-1] = Wire(start, end, kind="mounting")
    notes = rng.choice(((), ("One note.",)))
    earth = rng.choice(tuple(Earth))
    return Loom(rng.choice("AB"), earth, rng.choice((6, 12)), tuple(parts), tuple(wires), notes)


def _part(rng: random.Random, id_: str) -> Component:
    kind = rng.choice((*Kind, Kind.LOOSE_END, Kind.LOOSE_END, Kind.FUSE, Kind.FUSE, Kind.FRAME))
    return Component(id_, kind, rng.choice(("This", "That")), Traits(phases=rng.choice((None, 1, 3))))


def edits_of(plan: Plan) -> list[Edit]:
    """All edits in order."""
    return [edit for step in plan.steps for edit in step.edits]


def stages(before: Loom, plan: Plan) -> Iterator[Loom]:
    """The loom after each single edit."""
    for edit in edits_of(plan):
        before = edited(before, [edit])
        yield before


def is_dead(loom: Loom) -> bool:
    """Whether nothing can feed the loom: one post of each battery is bare, or without one the generator's wires off."""
    batteries = loom.of_kind(Kind.BATTERY)
    if batteries:
        return all(not loom.at.get(one.at("plus")) or not loom.at.get(one.at("minus")) for one in batteries)
    return not source_leads(loom)


def check_dead_between(before: Loom, plan: Plan) -> None:
    """The first edits take the source's leads off, the last put them on, and between them the loom is dead."""
    edits, after = edits_of(plan), plan.reaches
    if not any(step.name == "make ready" for step in plan.steps):
        # On paper alone no part comes or goes, and no wire between two terminals.
        assert set(before.components) == set(after.components)
        assert Counter(wire.ends for wire in before.wires) == Counter(wire.ends for wire in after.wires)
        return
    first, last = source_leads(before), source_leads(after)
    assert edits[: len(first)] == [TakeWireOff(wire) for wire in first]
    assert [edit.wire for edit in edits[len(edits) - len(last) :] if isinstance(edit, FitWire)] == list(last)
    # Where a battery goes or comes, it stands for the generator until it is gone and from when it is there.
    both = bool(before.of_kind(Kind.BATTERY)), bool(after.of_kind(Kind.BATTERY))
    between = list(stages(before, plan))[max(len(first) - 1, 0) : len(edits) - len(last)]
    for loom in between if len(first) else ():
        if loom.of_kind(Kind.BATTERY) or both == (False, False):
            assert is_dead(loom)


@settings(max_examples=60, deadline=None)
@given(SEEDS, SEEDS)
def test_a_plan_between_two_bikes_leads_to_the_second(one, other):
    before, after = outfit_loom(one), outfit_loom(other)
    plan = plan_of(before, after, READ)
    assert applied(before, plan.steps) == plan.reaches
    if not plan.held:
        assert plan.reaches == after
    check_dead_between(before, plan)


@settings(max_examples=200, deadline=None)
@given(SEEDS, SEEDS)
def test_a_plan_between_two_netlists_without_any_sense_leads_to_the_second(one, other):
    before, after = netlist(one), netlist(other)
    plan = plan_of(before, after, READ)
    assert applied(before, plan.steps) == plan.reaches
    if any(step.name == "measure the pair first" for step in plan.steps):
        # physical law: volts stand between any two ends of a generator but the outputs of a switched one
        joined = [{end.name for end in group} for group in new_joins(before, plan.leads_to)]
        assert all(names == {"low", "high"} for names in joined)
    else:
        # where something has to be found out first the plan ends there, and says where it was going
        assert plan.leads_to == after
    if not plan.is_stopped:
        assert plan.reaches == plan.leads_to


@settings(max_examples=150, deadline=None)
@given(SEEDS, SEEDS)
def test_nothing_is_live_while_wires_change_even_without_any_sense(one, other):
    before, after = netlist(one), netlist(other)
    plan = plan_of(before, after, READ)
    check_dead_between(before, plan)


@settings(max_examples=40, deadline=None)
@given(SEEDS)
def test_a_bike_is_its_own_plan_without_steps(seed):
    for loom in (outfit_loom(seed), netlist(seed)):
        assert plan_of(loom, loom).steps == ()


@settings(max_examples=40, deadline=None)
@given(SEEDS, SEEDS)
def test_with_nothing_read_a_plan_still_leads_where_it_says(one, other):
    before, after = outfit_loom(one), outfit_loom(other)
    plan = plan_of(before, after)
    assert applied(before, plan.steps) == plan.reaches
    assert plan.held or plan.reaches == after


@pytest.mark.parametrize("change", sorted(CHANGES))
def test_every_change_by_name_leads_to_its_loom_on_twenty_bikes_that_take_it(change):
    takes_it = (outfit for outfit in drawn_outfits(7, 200) if not why_not(change, outfit))
    tried = 0
    for outfit in islice(takes_it, 20):
        before = loom_of(outfit)
        after = wanted_loom(before, CHANGES[change](outfit))
        plan = plan_of(before, after, READ)
        assert applied(before, plan.steps) == plan.reaches
        assert plan.held or plan.reaches == after
        check_dead_between(before, plan)
        tried += 1
    assert tried > 5


def test_a_battery_lead_is_never_moved_straight_from_post_to_post():
    before = loom_of(three_phase_box())
    other = {Terminal("battery", "plus"): Terminal("battery", "minus")}
    other |= {minus: plus for plus, minus in other.items()}
    turned = [
        replace(one, start=other.get(one.start, one.start), end=other.get(one.end, one.end)) for one in before.wires
    ]
    after = replace(before, earth=before.earth.other, wires=tuple(turned))
    plan = plan_of(before, after, READ)
    assert applied(before, plan.steps) == after
    # by hand: two live leads, from main fuse and box fuse; with one moved and one not, both posts would be in the loom
    assert len(before.at[Terminal("battery", before.live)]) == 2
    check_dead_between(before, plan)


def test_steps_are_numbered_and_said_in_full():
    looms = list(sound_originals().values())
    for before, after in zip(looms, [*looms[1:], looms[0]], strict=True):
        steps = plan_of(before, after).steps
        assert [step.number for step in steps] == list(range(1, len(steps) + 1))
        for step in steps:
            texts = (step.say, step.why, step.check, *step.cautions, *step.lines)
            assert not any("{" in text or "  " in text or "None" in text for text in texts)
            assert step.say.endswith(".")


def test_the_generator_s_wires_stand_in_for_a_battery_that_is_not_there():
    for loom in sound_originals().values():
        leads = source_leads(loom)
        kinds = {loom.by_id[end.component].kind for wire in leads for end in wire.ends}
        assert leads
        assert kinds & {Kind.BATTERY} or kinds & set(GENERATORS)
