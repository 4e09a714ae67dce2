"""Identification: any subset of findings in any order gives an answer, and what it says of evidence and conflict."""

import itertools
import random

import numpy as np
import pytest
from bench_jobs import (
    BODY,
    CASE,
    FLOODED,
    MINUS,
    PLUS,
    POINTS,
    SIX,
    TWELVE,
    coils,
    finding,
    identified,
    marking,
    pair_volts,
    sources,
    wires,
)
from hypothesis import given, settings
from hypothesis import strategies as st

from ampwright.identify.explanation import Explanation, doubtful
from ampwright.identify.grid import EARTH, GENERATOR, REGULATED_BY, ROTOR, marginal
from ampwright.stock.evidence import usual_evidence
from ampwright.terms import SOURCE_ORDER, Earth, Family, RegulatedBy, Rotor, Source

EVIDENCE = usual_evidence()


def explained(*findings, **more):
    return Explanation(identified(*findings, **more))


def class_share(found, key):
    keys = [generator.key for generator in found.grid.generators]
    return marginal(found.belief, GENERATOR)[keys.index(key)]


@pytest.mark.parametrize(("words", "key"), [("120 W", "single_phase_10A"), ("12V 10A", "single_phase_10A")])
def test_a_marking_of_ten_amps_settles_the_ten_amp_class(words, key):
    # common practice, no source: 120 W is 10 A, the trade dividing by 12
    assert class_share(identified(CASE, wires(2), coils(6), marking(words)), key) > 0.95


def test_frame_post_plus_means_positive_earth():
    assert identified(PLUS).share_of(EARTH, Earth.POSITIVE) > 0.99


def test_the_family_is_told_by_the_pattern_whatever_the_speed():
    for scale in (0.5, 1.0, 2.5):
        found = identified(pair_volts(10 * scale, 10.3 * scale, 9.8 * scale))
        assert found.likeliest_family is Family.THREE_PHASE


def test_one_low_pair_out_of_three_is_not_taken_for_three_phase():
    # common practice, no source: V, V, about 0 is the switched single-phase pattern
    found = identified(wires(3), pair_volts(12.9, 0.2, 13.2, frequency_Hz=50))
    assert found.likeliest_family is Family.SWITCHED_SINGLE_PHASE


def test_a_rotor_of_another_size_is_told_by_caliper_on_a_stator_of_a_known_rating():
    ten_amps = (CASE, wires(2), coils(6), marking("120 W"))
    wrong = identified(*ten_amps, finding("rotor_diameter_mm", 70.0, Source.IN_HAND))
    right = identified(*ten_amps, finding("rotor_diameter_mm", 74.0, Source.IN_HAND))
    # owners' club article: the 10 A stators turn on 74 mm rotors
    assert wrong.share_of(ROTOR, Rotor.MISMATCHED) > 0.1
    assert right.share_of(ROTOR, Rotor.MISMATCHED) < 0.004


def test_what_is_fitted_tells_what_regulates_it():
    two = identified(CASE, wires(2), fitted=[{"kind": "Zener", "source": "photo", "count": 2}])
    box = identified(CASE, wires(2), fitted=[{"kind": "charging box", "source": "photo"}])
    assert two.possible_values(REGULATED_BY)[0] is RegulatedBy.TWO_ZENERS
    assert box.possible_values(REGULATED_BY)[0] is RegulatedBy.CHARGING_BOX


ALL_FINDINGS = (
    BODY,
    CASE,
    wires(2, Source.MEMORY),
    wires(3),
    wires(12),
    coils(6),
    coils(17),
    marking("none"),
    marking("180 W"),
    marking("6V"),
    PLUS,
    MINUS,
    SIX,
    TWELVE,
    POINTS,
    pair_volts(0.0, 0.0, 0.0),
    pair_volts(300.0),
    finding("danger", "nothing"),
    FLOODED,
    finding("battery_kind", "none", Source.MEMORY),
    finding("magnetism", "does not pull"),
    finding("brushes", "brushes on slip rings"),
    finding("rotor_diameter_mm", 55.0, Source.MEASURED),
    finding("wire_colours", "pink, more or less"),
    finding("needle", "to charge"),
    finding("year", 2029, Source.MEMORY),
    finding("battery_volts", 40.0, Source.MEASURED, speed="fast"),
    finding("battery_amps", -60.0, Source.MEASURED, speed="engine off"),
    finding("pair_ohms", [0.0, 1e8, 0.0], Source.MEASURED),
    finding("one_ohm_volts", [40.0], Source.MEASURED),
)


@settings(max_examples=60)
@given(st.lists(st.sampled_from(ALL_FINDINGS), max_size=8), st.randoms(use_true_random=False))
def test_any_subset_in_any_order_gives_the_same_answer(findings, shuffler):
    shuffled = list(findings)
    shuffler.shuffle(shuffled)
    first, second = identified(*findings), identified(*shuffled)
    # law: belief does not depend on the order of findings
    assert np.allclose(first.belief, second.belief, atol=1e-12)
    assert first.belief.sum() == pytest.approx(1.0)
    assert np.isfinite(first.belief).all()
    assert (first.still_possible == second.still_possible).all()
    assert first.still_possible.any()


def test_every_pair_of_findings_gives_an_answer():
    for pair in itertools.combinations(ALL_FINDINGS, 2):
        found = identified(*pair)
        assert found.possible_generators
        assert np.isfinite(found.belief).all()


# Each family with a finding that none of the others makes likelier.
FAVOURS = [
    (Family.DYNAMO, BODY),
    (Family.THREE_PHASE, coils(9)),
    (Family.ENERGY_TRANSFER, finding("ignition", "energy transfer")),
    (Family.THREE_PHASE, wires(3)),
    (Family.DYNAMO, finding("ignition", "magneto")),
]


@settings(max_examples=40)
@given(st.lists(st.sampled_from(ALL_FINDINGS), max_size=5), st.sampled_from(FAVOURS))
def test_more_evidence_for_a_family_never_lowers_it(findings, favour):
    name, evidence = favour
    rest = [known for known in findings if known["what"] != evidence["what"]]
    before, after = identified(*rest).family_share(name), identified(*rest, evidence).family_share(name)
    # law: what is likeliest under a family cannot speak against it
    assert after >= before - 1e-12


def test_telling_the_same_thing_twice_adds_nothing():
    once, twice = identified(wires(2)), identified(wires(2), wires(2), wires(2, Source.MEMORY))
    assert np.allclose(once.belief, twice.belief)


def test_a_better_source_sets_a_worse_one_aside():
    found = identified(wires(2, Source.MEMORY), wires(3, Source.PHOTO))
    assert np.allclose(found.belief, identified(wires(3, Source.PHOTO)).belief)
    assert Explanation(found).evidence[0].set_aside == ("2 (told from memory)",)


MEASURED_ALIKE = (
    pair_volts(13.0, 13.0, 13.0, about=True),
    pair_volts(13.0, 13.0, 13.0, speed_rpm=1000),
    pair_volts(13.0, 13.0, 13.0),
    pair_volts(13.0, 13.0, 13.0, meter_faults=["reads high on a rested car battery"]),
)


def test_of_readings_that_say_the_same_the_same_one_counts_in_any_order():
    for several in (MEASURED_ALIKE, MEASURED_ALIKE[:3], MEASURED_ALIKE[1:3]):
        found = [identified(*order) for order in itertools.permutations(several)]
        assert all((one.belief == found[0].belief).all() for one in found)
        assert len({one.pieces[0].counts for one in found}) == 1


@pytest.mark.parametrize(("several", "place"), [(MEASURED_ALIKE, 3), (MEASURED_ALIKE[:3], 0), (MEASURED_ALIKE[1:3], 1)])
def test_what_is_said_against_a_reading_is_not_lost_nor_what_is_told_besides(several, place):
    # own rule: first a fault of the meter, then that it was said roughly, then what tells most
    expected = identified(MEASURED_ALIKE[place]).pieces[0].counts
    assert identified(*several).pieces[0].counts == expected


def battery_volts(volts, source=Source.MEASURED):
    return finding("battery_volts", volts, source, speed="fast")


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        (battery_volts(13.1), battery_volts(13.0), True),
        (battery_volts(13.9), battery_volts(14.4), False),
        (pair_volts(13.0, 12.6, 0.3), pair_volts(0.1, 12.9, 12.8), True),
        (pair_volts(13.0, 12.6, 0.3), pair_volts(13.0, 12.6, 12.8), False),
        (pair_volts(13.0), pair_volts(13.0, 13.0, 13.0), False),
        (finding("pair_ohms", [0.9], Source.MEASURED), finding("pair_ohms", [1.1], Source.MEASURED), True),
        (finding("pair_ohms", [0.9], Source.MEASURED), finding("pair_ohms", [1000.0], Source.MEASURED), False),
        (wires(2, Source.LOOKING), wires(3, Source.LOOKING), False),
    ],
)
def test_readings_as_near_as_meters_are_do_not_disagree(one, other, alike):
    # common practice, no source: everyday meters differ by a few parts in a hundred, or a few tenths
    twice = identified(one, other).pieces[0]
    assert (len(twice.counts) == 1) is alike
    looked = identified(one, other | {"source": "looking at it now"}).pieces[0]
    assert looked.settles is alike


def test_equally_good_sources_that_disagree_are_shown_as_a_conflict():
    found = identified(wires(2), wires(3))
    assert Explanation(found).conflict.startswith("What was found of thick wires disagrees: 2 (photo), 3 (photo).")
    assert doubtful(found) == "thick_wires"


def test_a_count_that_no_listed_machine_has_speaks_for_one_that_is_not_listed():
    for strange in (wires(8), coils(18)):
        assert Family.UNLISTED in identified(CASE, strange).possible_families
        assert identified(CASE, strange).family_share(Family.UNLISTED) > identified(CASE).family_share(Family.UNLISTED)


def test_a_marking_that_cannot_be_read_says_nothing():
    assert np.allclose(identified(wires(2), marking("no. 12345x7")).belief, identified(wires(2)).belief)


def test_volts_told_from_memory_do_not_settle_the_phases():
    told = identified(CASE, TWELVE, finding("pair_volts", [12.0, 12.0, 12.0], Source.MEMORY))
    assert len(told.possible_families) > 1
    assert Explanation(told).families[0].certainty != "settled"


def test_the_odd_finding_out_is_named_as_the_one_to_look_at_again():
    found = explained(
        CASE, wires(2, Source.MEMORY), coils(9, Source.IN_HAND), pair_volts(11.0, 11.1, 10.8), marking("14.5 A")
    )
    assert "thick wires = 2 (told from memory)" in found.conflict


def test_two_findings_that_contradict_each_other_are_less_likely_together_than_apart():
    # own definition: above zero bit they are less likely together
    assert explained(wires(2), coils(9)).conflict_bit > 1.0
    assert explained(wires(2), coils(6)).conflict_bit < 0.0
    assert explained(wires(2)).conflict_bit == 0.0


def test_findings_that_agree_show_no_conflict():
    assert explained(CASE, wires(2), coils(6), marking("120 W")).conflict == ""


def test_what_a_finding_did_is_said_for_the_likeliest_family():
    found = explained(CASE, wires(2), coils(6), finding("year", 1972))
    said = {line.kind: line for line in found.evidence}
    assert found.families[0].name == "single-phase"
    assert said["thick_wires"].weight_dB > 0.0
    assert said["thick_wires"].words.endswith("for single-phase")


def test_a_finding_that_says_nothing_of_the_family_is_given_no_words():
    said = {line.kind: line for line in explained(CASE, wires(2), PLUS).evidence}
    # own definition: the earth is believed apart from the generator, so the post weighs nothing on it
    assert said["frame_post"].weight_dB == pytest.approx(0.0, abs=1e-9)
    assert said["frame_post"].words == ""


def test_from_memory_alone_nothing_is_settled():
    told = [
        finding("position", "wires out of the engine case", Source.MEMORY),
        wires(3, Source.MEMORY),
        coils(9, Source.MEMORY),
        marking("14.5 A", Source.MEMORY),
        finding("magnetism", "pulls steel", Source.MEMORY),
    ]
    found = explained(*told)
    assert found.families[0].probability > 0.97
    assert found.families[0].certainty == "probably"


@pytest.mark.parametrize("question", ["voltages", "earths", "ignitions", "regulators", "batteries", "rotors"])
def test_every_question_is_answered_by_shares_that_add_up(question):
    believed = getattr(explained(CASE, wires(2), POINTS), question)
    assert sum(one.probability for one in believed) == pytest.approx(1.0)
    assert [one.probability for one in believed] == sorted((one.probability for one in believed), reverse=True)


def test_three_hundred_random_jobs_never_fail():
    generator = random.Random(7)
    for _ in range(300):
        picked = generator.sample(ALL_FINDINGS, generator.randint(0, len(ALL_FINDINGS)))
        assert identified(*picked).belief.sum() == pytest.approx(1.0)


def test_the_order_of_sources_is_that_of_how_often_they_are_right():
    right = [EVIDENCE.sources.right[source] for source in SOURCE_ORDER]
    # law: a report that is right less often must not set aside one that is right more often
    assert right == sorted(right)


@pytest.mark.parametrize("kind", [*EVIDENCE.finding, *EVIDENCE.reading])
def test_for_each_kind_a_source_that_sets_another_aside_is_right_at_least_as_often(kind):
    right = [EVIDENCE.right(kind, source) for source in sources(kind)]
    # law: as above; a kind may have figures of its own
    assert right == sorted(right)


@pytest.mark.parametrize(
    "later", [pair_volts(0.5, 0.5, 0.5), pair_volts(14.0, 14.1, 13.9), pair_volts(12.0, 12.1, 12.0)]
)
def test_ac_volts_with_every_wire_off_take_the_place_of_those_that_may_be_of_a_field_still_fed(later):
    first = pair_volts(12.0, 12.1, 11.9, frequency_Hz=50, meter="his own")
    both = identified(CASE, wires(3), first, later | {"all_wires_off": True})
    alone = identified(CASE, wires(3), later | {"all_wires_off": True})
    # our own rule: what else was read is set aside, so it disputes nothing and moves no belief
    assert np.array_equal(both.belief, alone.belief)
    volts = next(found for found in both.pieces if found.kind == "pair_volts")
    assert not volts.disputed
    assert [found.frequency_Hz for found in volts.set_aside] == [50.0]
