"""
What stays possible until something was seen, and the look that lets it go.

That a guard keeps what belief has dropped is our own rule: no table of shares decides what could harm.
"""

import itertools
import random

import pytest
from bench_guards import DYNAMO, GUARDED, TRANSFER, UNMARKED_PHASES, WOUND, any_along, possible
from bench_jobs import (
    BODY,
    CASE,
    MINUS,
    PLUS,
    POINTS,
    SIX,
    TWELVE,
    coils,
    finding,
    identified,
    job,
    marking,
    pair_volts,
    sources,
    wires,
)

from ampwright.identify import guards
from ampwright.identify.explanation import Explanation, doubtful
from ampwright.identify.grid import (
    BATTERY,
    EARTH,
    GENERATOR,
    QUESTIONS,
    ROTOR,
    grid_of,
    usual_grid,
)
from ampwright.identify.identification import identify
from ampwright.stock.checks import usual_checks
from ampwright.stock.evidence import usual_evidence
from ampwright.stock.generators import typical_classes
from ampwright.terms import BatteryKind, Earth, Family, Rotor, Source

EACH = pytest.mark.parametrize("guarded", GUARDED, ids=lambda guarded: guarded.name)


def believed(found, guarded):
    if guarded.axis is None:
        return any_along(found.held, 0)[found.grid.families(guarded.kept)].any()
    return any_along(found.held, guarded.axis)[found.grid.values[guarded.axis].index(guarded.kept)]


@EACH
def test_a_guard_keeps_what_belief_alone_has_dropped(guarded):
    found = identified(*guarded.told)
    assert not believed(found, guarded)
    assert possible(found, guarded)
    assert guarded.sentence in found.guards


@EACH
def test_a_guard_is_lifted_by_its_check(guarded):
    for seen in guarded.lifted_by:
        # what is looked at again from a better source takes the place of what was told
        found = identified(*guarded.told, seen)
        assert guarded.sentence not in found.guards, seen
        assert not possible(found, guarded), seen


@EACH
def test_what_is_only_remembered_lifts_no_guard(guarded):
    for seen in guarded.lifted_by:
        if seen["what"] not in {told["what"] for told in guarded.told}:
            assert possible(identified(*guarded.told, seen | {"source": "told from memory"}), guarded), seen


def test_every_guard_has_a_test():
    sentences = {
        text
        for name, text in vars(guards).items()
        if name.isupper() and not name.startswith("_") and isinstance(text, str)
    }
    # the rating has tests of its own below
    assert sentences == {guarded.sentence for guarded in GUARDED} | {guards.RATING}


def keys(found):
    return {generator.key for generator in found.possible_generators}


@pytest.mark.parametrize("told", [(), (marking("120 W", Source.MEMORY),), (marking("none"),), (marking("B10A77"),)])
def test_without_a_rating_read_off_it_both_ratings_stay_possible(told):
    found = identified(CASE, wires(2), coils(6), TWELVE, PLUS, *told)
    assert {"single_phase_10A", "single_phase_15A"} <= keys(found)


def test_a_rating_that_was_read_lets_the_other_go():
    # common practice, no source: 10 to 10.5 V across 1 ohm is the 10 A class
    across_1_ohm = finding("one_ohm_volts", [10.2], Source.MEASURED, speed_rpm=3000)
    told = (CASE, wires(2), coils(6), TWELVE, PLUS, across_1_ohm)
    unread = identified(*told, marking("120 W", Source.MEMORY))
    assert guards.RATING in unread.guards
    assert {"single_phase_10A", "single_phase_15A"} <= keys(unread)
    read = identified(*told, marking("120 W"))
    assert guards.RATING not in read.guards
    assert "single_phase_15A" not in keys(read)


def grid_of_a_shop(positive):
    """The usual tables, but for a shop that believes it knows the earth of its bikes."""
    evidence = usual_evidence()
    row = {"positive earth": positive, "negative earth": 1.0 - positive}
    prior = evidence.prior | {"earth": evidence.prior["earth"].model_copy(update={"row": {"default": row}})}
    return grid_of(typical_classes(), evidence.model_copy(update={"prior": prior}))


def test_no_table_of_a_shop_decides_an_earth():
    grid = grid_of_a_shop(0.9999)
    unseen = identify(job(CASE, wires(2)), grid)
    assert set(unseen.possible_values(EARTH)) == set(Earth)
    assert guards.EARTH in unseen.guards
    assert identify(job(CASE, wires(2), PLUS), grid).possible_values(EARTH) == (Earth.POSITIVE,)


@pytest.mark.parametrize("post", [finding("frame_post", "-", Source.MEMORY), finding("fuse_lead", "+", Source.IN_HAND)])
def test_without_a_look_both_earths_stay_possible_however_strong_the_rest(post):
    found = identified(CASE, wires(2), coils(6), TWELVE, post)
    assert set(found.possible_values(EARTH)) == set(Earth)


def test_two_looks_that_differ_leave_a_question_open_until_we_see_it_ourselves():
    looks = finding("frame_post", "+", Source.LOOKING), finding("frame_post", "-", Source.LOOKING)
    torn = identified(CASE, wires(2), *looks)
    assert set(torn.possible_values(EARTH)) == set(Earth)
    assert doubtful(torn) == "frame_post"
    seen = identified(CASE, wires(2), *looks, finding("frame_post", "-", Source.PHOTO))
    assert seen.possible_values(EARTH) == (Earth.NEGATIVE,)


@pytest.mark.parametrize("post", [PLUS, finding("frame_post", "+", Source.IN_HAND)])
def test_no_look_at_the_posts_of_a_reversed_battery_settles_the_earth(post):
    # maker's owner handbook: engine off and lights on, the needle goes to discharge
    looked = (CASE, wires(2), post, finding("fuse_lead", "-"))
    assert identified(*looked, finding("needle", "to discharge")).possible_values(EARTH) == (Earth.POSITIVE,)
    for source in sources("needle"):
        swings = identified(*looked, finding("needle", "to charge", source))
        assert set(swings.possible_values(EARTH)) == set(Earth)
        assert guards.REVERSED in swings.guards


def test_a_needle_that_was_looked_at_again_from_a_better_source_takes_the_place_of_the_first():
    looked = (CASE, wires(2), PLUS, finding("needle", "to charge", Source.LOOKING))
    again = finding("needle", "to discharge", Source.LOOKING)
    assert set(identified(*looked, again).possible_values(EARTH)) == set(Earth)
    assert identified(*looked, again | {"source": "photo"}).possible_values(EARTH) == (Earth.POSITIVE,)


AC_READ = pair_volts(12.0, 12.1, 11.9)


@pytest.mark.parametrize(
    "doubtful_reading",
    [
        pair_volts(6.0, 6.0, 6.0) | {"about": True},
        AC_READ | {"source": "looking at it now"},
        AC_READ | {"meter_faults": ["shows volts on the AC range on a battery"]},
        AC_READ | {"meter_faults": ["does not read zero when it should"]},
    ],
    ids=["said roughly", "a caller's word", "DC on AC", "no zero"],
)
def test_ac_volts_that_a_meter_or_a_word_may_have_made_lift_no_guard(doubtful_reading):
    dynamo = GUARDED[0]
    assert possible(identified(*dynamo.told, doubtful_reading), dynamo)
    # second method: the same reading without what is doubtful about it, and one so high that a rough word will do
    assert not possible(identified(*dynamo.told, AC_READ), dynamo)
    assert not possible(identified(*dynamo.told, AC_READ | {"about": True}), dynamo)


def test_ac_volts_do_not_rule_out_a_wound_field_that_may_be_fed_while_they_are_read():
    wound = GUARDED[3]
    assert wound.sentence == guards.WOUND_FIELD
    assert possible(identified(*wound.told, AC_READ), wound)
    # with every wire off nothing feeds it: volts on every pair are made by magnets, on one or two they may be noise
    assert not possible(identified(*wound.told, AC_READ | {"all_wires_off": True}), wound)
    for left in (
        pair_volts(12.0),
        pair_volts(0.6, 0.6, 0.5),
        pair_volts(12.0, 2.0, 2.0),
        pair_volts(6.0, 6.0, 6.0) | {"about": True},
    ):
        assert possible(identified(*wound.told, left | {"all_wires_off": True}), wound)
    # a switched winding shows itself by the pair that gives none
    assert not possible(identified(*wound.told, pair_volts(13.0, 12.8, 0.3)), wound)
    # two pairs at half of the third: nearly what a wound field with a shorted phase gives
    assert possible(identified(*wound.told, pair_volts(7.0, 7.1, 14.0)), wound)


@EACH
def test_a_check_that_a_caller_can_make_brings_what_lifts_each_guard_from_a_source_that_does(guarded):
    brought = {
        (kind, check.source_reached.value)
        for check in usual_checks().checks
        if check.who == "caller"
        for kind in check.brings
    }
    lifting = [seen for seen in guarded.lifted_by if seen["what"] in {kind for kind, _ in brought}]
    again = [seen | {"source": source} for seen in lifting for kind, source in brought if kind == seen["what"]]
    assert any(guarded.sentence not in identified(*guarded.told, seen).guards for seen in again)


@EACH
def test_what_a_look_is_planned_to_lift_is_what_lifts_the_guard(guarded):
    planned = (
        (*guards.LIFTED_BY_FAMILY.get(guarded.kept, ()), *guards.LIFTED_BY_AXIS[GENERATOR])
        if guarded.axis is None
        else guards.lifted_by_axis(identified(*guarded.told).guards)[guarded.axis]
    )
    assert {seen["what"] for seen in guarded.lifted_by} <= set(planned)


def test_a_dynamo_is_not_believed_in_before_its_body_was_seen():
    # two coils may be a flywheel magneto's, or the ignition coils that somebody counted
    found = identified(coils(2), wires(2), SIX, MINUS)
    assert found.possible_families - {DYNAMO}
    assert identified(BODY, coils(2), wires(2), SIX, MINUS).possible_families == {DYNAMO}


def test_a_dead_alternator_is_not_taken_for_a_dynamo():
    # next to nothing also comes of a dead magnet, an open winding or a clip that slipped
    dead = identified(wires(2), pair_volts(0.0), TWELVE, PLUS)
    assert Family.SINGLE_PHASE in dead.possible_families
    assert Explanation(dead).families[0].certainty != "settled"


@pytest.mark.parametrize("told", [wires(4, Source.MEMORY), wires(5), wires(6, Source.LOOKING)])
def test_more_than_three_thick_wires_keep_energy_transfer_possible(told):
    box_seen = finding("ignition", "electronic", Source.LOOKING)
    found = identified(CASE, told, coils(9), UNMARKED_PHASES, box_seen)
    assert TRANSFER in found.possible_families


def test_battery_coils_on_a_photo_let_energy_transfer_go():
    found = identified(CASE, wires(4), coils(9, Source.IN_HAND), UNMARKED_PHASES, POINTS)
    assert TRANSFER not in found.possible_families


def test_volts_of_a_dynamos_ripple_do_not_show_a_magnet():
    told = GUARDED[3].told
    # common practice, no source: under 4 V of AC may be a dynamo's ripple or a meter's own
    assert WOUND in identified(*told, pair_volts(3.0, 3.1, 0.1)).possible_families


@pytest.mark.parametrize("source", [Source.MEMORY, Source.LOOKING, Source.PHOTO])
def test_the_guard_gives_no_machine_the_answer_that_it_has_no_battery_where_one_was_told_of(source):
    found = identified(BODY, SIX, finding("battery_kind", "flooded", source))
    assert BatteryKind.NONE not in found.possible_values(BATTERY)
    assert BatteryKind.NONE in identified(BODY, SIX).possible_values(BATTERY)


def test_a_matched_rotor_is_never_forgotten():
    wrong = (finding("rotor_diameter_mm", 70.0, Source.IN_HAND), finding("last_touched", "stator, rotor or dynamo"))
    found = identified(CASE, wires(2), coils(6), TWELVE, PLUS, marking("120 W", Source.IN_HAND), *wrong)
    # own rule: with none matched nothing would suit, and nothing would ask to have it measured again
    assert set(found.possible_values(ROTOR)) == set(Rotor)


def test_no_cell_that_the_tables_call_impossible_is_kept():
    grid = usual_grid()
    for told in ((), (wires(3),), (CASE, SIX), (BODY,), *(guarded.told for guarded in GUARDED)):
        assert not identified(*told).still_possible[grid.prior == 0.0].any()


def test_what_is_possible_for_two_questions_is_the_same_the_quick_way_and_cell_by_cell():
    chance, every = random.Random(11), [told for guarded in GUARDED for told in (*guarded.told, *guarded.lifted_by)]
    for _ in range(60):
        found = identified(*chance.sample(every, chance.randint(0, 8)))
        for axes in itertools.combinations(range(len(QUESTIONS)), 2):
            # second method: every cell that is still possible, looked at along all other questions
            assert (found.kept.over(found.grid, axes) == any_along(found.still_possible, *axes)).all()
            assert (found.by_belief.over(found.grid, axes) == any_along(found.held, *axes)).all()


@EACH
def test_a_guard_only_widens(guarded):
    found = identified(*guarded.told)
    assert found.still_possible[found.held].all()


def test_halving_or_doubling_an_assumed_prior_never_narrows_the_guards():
    evidence, told = usual_evidence(), (CASE, wires(2, Source.LOOKING), TWELVE)
    table = evidence.prior["generator"]
    for key, usual in table.row["default"].items():
        for factor in (0.5, 2.0):
            row = table.row["default"] | {key: usual * factor}
            row = {name: share / sum(row.values()) for name, share in row.items()}
            prior = evidence.prior | {"generator": table.model_copy(update={"row": {"default": row}})}
            found = identify(job(*told), grid_of(typical_classes(), evidence.model_copy(update={"prior": prior})))
            assert {"single_phase_10A", "single_phase_15A"} <= keys(found)
            assert set(found.possible_values(EARTH)) == set(Earth)
