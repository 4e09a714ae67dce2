"""Identification: each finding moves belief the right way, and any subset in any order gives an answer."""

import itertools
import random

import numpy as np
import pytest
from bench_jobs import BODY, CASE, MINUS, PLUS, POINTS, SIX, TWELVE, coils, finding, job, marking, pair_volts, wires
from hypothesis import given, settings
from hypothesis import strategies as st

from ampwright.identify.identification import identify
from ampwright.stock.evidence import usual_evidence
from ampwright.stock.generators import typical_classes
from ampwright.terms import SOURCE_ORDER, Earth, Family, Source

CLASSES, EVIDENCE = typical_classes(), usual_evidence()


def identified(*findings, **more):
    return identify(job(*findings, **more), CLASSES, EVIDENCE)


def share(found, wanted):
    return sum(p for h, p in zip(found.hypotheses, found.belief, strict=True) if wanted(h))


def family(name):
    return lambda hypothesis: hypothesis.family is name


# Facts of the trade these rest on: common practice, no source, unless another is named.
@pytest.mark.parametrize(
    ("seen", "raised"),
    [
        (BODY, Family.DYNAMO),
        (wires(2), Family.SINGLE_PHASE),
        (wires(3), Family.THREE_PHASE),
        (wires(3), Family.SWITCHED_SINGLE_PHASE),
        (wires(3), Family.BI_PHASE),
        (wires(5), Family.ENERGY_TRANSFER),
        (coils(6), Family.SINGLE_PHASE),
        (coils(9), Family.THREE_PHASE),
        (finding("ignition", "magneto"), Family.DYNAMO),
        (finding("ignition", "energy transfer"), Family.ENERGY_TRANSFER),
        (SIX, Family.SWITCHED_SINGLE_PHASE),
        (SIX, Family.DYNAMO),
        (pair_volts(11.0, 11.2, 10.9), Family.THREE_PHASE),
        (pair_volts(8.0, 8.2, 16.1), Family.BI_PHASE),
        (pair_volts(13.0, 12.8, 0.4), Family.SWITCHED_SINGLE_PHASE),
    ],
    ids=lambda value: value["what"] + str(value["answer"]) if isinstance(value, dict) else value.name,
)
def test_a_finding_alone_moves_belief_the_right_way(seen, raised):
    assert share(identified(seen), family(raised)) > share(identified(), family(raised))


@pytest.mark.parametrize(("words", "key"), [("120 W", "single_phase_10A"), ("12V 10A", "single_phase_10A")])
def test_a_marking_of_ten_amps_raises_the_ten_amp_class(words, key):
    def ten_amp(hypothesis):
        return hypothesis.generator.key == key

    # common practice, no source: 120 W is 10 A, the trade dividing by 12
    assert share(identified(wires(2), marking(words)), ten_amp) > 0.95


def test_frame_post_plus_means_positive_earth():
    found = identified(PLUS)
    assert share(found, lambda hypothesis: hypothesis.earth is Earth.POSITIVE) > 0.99


def test_the_family_is_told_by_the_pattern_whatever_the_speed():
    for scale in (0.5, 1.0, 2.5):
        found = identified(pair_volts(10 * scale, 10.3 * scale, 9.8 * scale))
        assert found.families[0].name == "three-phase"


def test_one_low_pair_out_of_three_is_not_taken_for_three_phase():
    # common practice, no source: V, V, about 0 is the switched single-phase pattern
    found = identified(wires(3), pair_volts(12.9, 0.2, 13.2, frequency_Hz=50))
    assert found.families[0].name == "switched single-phase"


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
    assert first.possible


def test_every_pair_of_findings_gives_an_answer():
    for pair in itertools.combinations(ALL_FINDINGS, 2):
        assert identified(*pair).families


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
    before, after = share(identified(*rest), family(name)), share(identified(*rest, evidence), family(name))
    # law: what is likeliest under a family cannot speak against it
    assert after >= before - 1e-12


def test_telling_the_same_thing_twice_adds_nothing():
    once, twice = identified(wires(2)), identified(wires(2), wires(2), wires(2, Source.MEMORY))
    assert np.allclose(once.belief, twice.belief)


def test_a_better_source_sets_a_worse_one_aside():
    found = identified(wires(2, Source.MEMORY), wires(3, Source.PHOTO))
    assert np.allclose(found.belief, identified(wires(3, Source.PHOTO)).belief)
    assert found.evidence[0].set_aside == ("2 (told from memory)",)


def test_equally_good_sources_that_disagree_are_shown_as_a_conflict():
    found = identified(wires(2), wires(3))
    assert found.conflict.startswith("What was found of thick wires disagrees: 2 (photo), 3 (photo).")
    assert found.doubtful == "thick_wires"


def test_two_looks_that_differ_leave_a_question_open_until_we_see_it_ourselves():
    looks = finding("frame_post", "+", Source.LOOKING), finding("frame_post", "-", Source.LOOKING)
    torn = identified(CASE, wires(2), *looks)
    assert {hypothesis.earth for hypothesis in torn.possible} == set(Earth)
    assert torn.doubtful == "frame_post"
    seen = identified(CASE, wires(2), *looks, finding("frame_post", "-", Source.PHOTO))
    assert {hypothesis.earth for hypothesis in seen.possible} == {Earth.NEGATIVE}


def test_a_dynamo_is_not_believed_in_before_its_body_was_seen():
    # two coils may be a flywheel magneto's, or the ignition coils that somebody counted
    found = identified(coils(2), wires(2), SIX, MINUS)
    assert found.possible_families - {Family.DYNAMO}
    assert identified(BODY, coils(2), wires(2), SIX, MINUS).possible_families == {Family.DYNAMO}


def test_a_dead_alternator_is_not_taken_for_a_dynamo():
    # next to nothing also comes of a dead magnet, an open winding or a clip that slipped
    dead = identified(wires(2), pair_volts(0.0), TWELVE, PLUS)
    assert Family.SINGLE_PHASE in dead.possible_families
    assert dead.families[0].certainty != "settled"


def test_volts_told_from_memory_do_not_settle_the_phases():
    told = identified(CASE, TWELVE, finding("pair_volts", [12.0, 12.0, 12.0], Source.MEMORY))
    assert len(told.possible_families) > 1
    assert told.families[0].certainty != "settled"


def test_a_count_that_no_listed_machine_has_speaks_for_one_that_is_not_listed():
    for strange in (wires(8), coils(18)):
        assert Family.UNLISTED in identified(CASE, strange).possible_families
        assert share(identified(CASE, strange), family(Family.UNLISTED)) > share(
            identified(CASE), family(Family.UNLISTED)
        )


def test_without_the_voltage_read_both_stay_possible():
    found = identified(CASE, wires(3), coils(9), pair_volts(11.0, 11.1, 10.9))
    assert {hypothesis.system_voltage_V for hypothesis in found.possible} == {6, 12}


def test_a_marking_that_cannot_be_read_says_nothing():
    assert np.allclose(identified(wires(2), marking("no. 12345x7")).belief, identified(wires(2)).belief)


def test_the_odd_finding_out_is_named_as_the_one_to_look_at_again():
    found = identified(
        CASE, wires(2, Source.MEMORY), coils(9, Source.IN_HAND), pair_volts(11.0, 11.1, 10.8), marking("14.5 A")
    )
    assert "thick wires = 2 (told from memory)" in found.conflict


def test_findings_that_agree_show_no_conflict():
    assert identified(CASE, wires(2), coils(6), marking("120 W")).conflict == ""


def test_from_memory_alone_nothing_is_settled():
    told = [
        finding("position", "wires out of the engine case", Source.MEMORY),
        wires(3, Source.MEMORY),
        coils(9, Source.MEMORY),
        marking("14.5 A", Source.MEMORY),
    ]
    found = identified(*told)
    assert found.families[0].probability > 0.97
    assert found.families[0].certainty == "probably"


def test_without_a_look_both_earths_stay_possible_however_strong_the_rest():
    found = identified(CASE, wires(2), coils(6), TWELVE, finding("frame_post", "-", Source.MEMORY))
    assert {hypothesis.earth for hypothesis in found.possible} == set(Earth)


def test_without_a_marking_seen_both_ratings_stay_possible():
    found = identified(CASE, wires(2), coils(6), TWELVE, PLUS, marking("120 W", Source.MEMORY))
    keys = {hypothesis.generator.key for hypothesis in found.possible}
    assert {"single_phase_10A", "single_phase_15A"} <= keys


@pytest.mark.parametrize("told", [wires(4, Source.MEMORY), wires(5), wires(6, Source.LOOKING)])
def test_more_than_three_thick_wires_keep_energy_transfer_possible(told):
    box_seen = finding("ignition", "electronic", Source.LOOKING)
    found = identified(CASE, told, coils(9), pair_volts(11.0, 11.1, 10.8), box_seen)
    assert Family.ENERGY_TRANSFER in found.possible_families


def test_battery_coils_on_a_photo_let_energy_transfer_go():
    found = identified(CASE, wires(4), coils(9, Source.IN_HAND), pair_volts(11.0, 11.1, 10.8), POINTS)
    assert Family.ENERGY_TRANSFER not in found.possible_families


def test_halving_or_doubling_an_assumed_prior_never_narrows_the_guards():
    told = (CASE, wires(2, Source.LOOKING), TWELVE)
    for key in EVIDENCE.prior.generator.share:
        for factor in (0.5, 2.0):
            shares = dict(EVIDENCE.prior.generator.share)
            shares[key] *= factor
            prior = EVIDENCE.prior.model_copy(
                update={"generator": EVIDENCE.prior.generator.model_copy(update={"share": shares})}
            )
            found = identify(job(*told), CLASSES, EVIDENCE.model_copy(update={"prior": prior}))
            keys = {hypothesis.generator.key for hypothesis in found.possible}
            assert {"single_phase_10A", "single_phase_15A"} <= keys
            assert {hypothesis.earth for hypothesis in found.possible} == set(Earth)


def test_three_hundred_random_jobs_never_fail():
    generator = random.Random(7)
    for _ in range(300):
        picked = generator.sample(ALL_FINDINGS, generator.randint(0, len(ALL_FINDINGS)))
        assert identified(*picked).belief.sum() == pytest.approx(1.0)


def test_the_order_of_sources_is_that_of_how_often_they_are_right():
    right = [EVIDENCE.sources.right[source] for source in SOURCE_ORDER]
    # law: a report that is right less often must not set aside one that is right more often
    assert right == sorted(right)
