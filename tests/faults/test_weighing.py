"""Belief in faults: Bayes' rule held to a general library and to limit cases, and what a reading must not do."""

import warnings

import numpy as np
import pytest

from ampwright.bike.job import job_from
from ampwright.desk.cases.fault_case import fault_case
from ampwright.desk.cases.workup import work_up
from ampwright.faults.observed import Sign
from ampwright.faults.weighing import log_bent_density, prior_of, sign_chance, weigh
from ampwright.stock.fault_settings import usual_fault_settings
from ampwright.stock.test_settings import usual_test_settings

with warnings.catch_warnings():
    # The library's wrapper warns at import in a way that brings it down where warnings are errors.
    warnings.simplefilter("ignore", DeprecationWarning)
    import pyagrum

SETTINGS, TESTS = usual_fault_settings(), usual_test_settings()


def told(what: str, answer: object, source: str = "photo", **more: object) -> dict:
    return {"what": what, "answer": answer, "source": source, **more}


BIKE = [
    told("battery_voltage_V", 12),
    told("battery_kind", "flooded"),
    told("position", "wires out of the engine case"),
    told("thick_wires", 2),
    told("regulated_by", "charging box"),
    told("ignition", "points and battery coils"),
]
AT_REST = told("battery_volts", 12.7, "measured", speed="engine off")
ON_LOAD = told("battery_volts", 12.2, "measured", speed="engine off", lights="on")


def fast(volts: float, lights: str = "off", **more: object) -> dict:
    return told("battery_volts", volts, "measured", speed="fast", lights=lights, **more)


def belief(*findings: dict) -> dict[str, float]:
    case = fault_case(work_up(job_from({"format": 1, "number": "T1", "findings": [*BIKE, *findings]}, "test")))
    found = weigh(case.sick, case.told, SETTINGS, TESTS)
    return {one.key if one else "sound": share for one, share in zip(found.faults, found.belief.tolist(), strict=True)}


def look(name: str, answer: str = "yes") -> dict:
    return {"what": "look", "look": name, "answer": answer, "source": "looking at it now"}


def symptom(name: str) -> dict:
    return {"what": "symptom", "symptom": name, "source": "told from memory"}


def test_belief_by_looks_and_symptoms_is_that_of_a_general_library() -> None:
    signs = [look("fuse blown or its holder burnt"), look("bullet loose or green", "no"), symptom("goes flat standing")]
    case = fault_case(work_up(job_from({"format": 1, "number": "T1", "findings": [*BIKE, *signs]}, "test")))
    found = weigh(case.sick, case.told, SETTINGS, TESTS)
    prior, _ = prior_of(case.sick, SETTINGS, "")
    # other method: the same prior and chances in a Bayesian network of pyagrum, solved by it.
    net = pyagrum.BayesNet("faults")
    net.add(pyagrum.LabelizedVariable("fault", "fault", len(prior)))
    net.cpt("fault").fillWith((prior / prior.sum()).tolist())
    for sign in case.told.signs:
        name = sign.name.replace(" ", "_")
        net.add(pyagrum.LabelizedVariable(name, name, 2))
        net.addArc("fault", name)
        for row, fault in enumerate(found.faults):
            chance = sign_chance(Sign(sign.kind, sign.name, found=True, right=sign.right), fault, SETTINGS)
            net.cpt(name)[{"fault": row}] = [1.0 - chance, chance]
    inference = pyagrum.LazyPropagation(net)
    inference.setEvidence({sign.name.replace(" ", "_"): int(sign.found) for sign in case.told.signs})
    inference.makeInference()
    assert found.belief == pytest.approx(np.array(inference.posterior("fault").tolist()), abs=1e-9)


def test_without_a_reading_belief_is_what_it_was_before() -> None:
    found = belief()
    # limit case: nothing told
    assert found["sound"] == pytest.approx(SETTINGS.sound_share, abs=1e-9)


def test_readings_in_any_order_leave_the_same_belief() -> None:
    one, other = belief(AT_REST, ON_LOAD, fast(14.2)), belief(fast(14.2), AT_REST, ON_LOAD)
    # law: a product does not mind the order of its factors
    assert one == pytest.approx(other)


def test_no_volts_with_revs_point_at_box_fuse_plug_or_generator_and_not_at_the_battery() -> None:
    found = belief(AT_REST, ON_LOAD, fast(12.4))
    no_charge = ("box_dead", "fuse_blown", "plug_apart", "stator_open", "live_lead_off", "box_earth_off")
    # common practice, no source
    assert sum(found[key] for key in no_charge) > 0.6
    assert found["battery_worn"] < 0.02


def test_box_high_and_battery_low_is_a_joint_between_them() -> None:
    drop = {"what": "test_point", "point": "live-side drop", "answer": [0.9], "source": "measured", "speed": "fast"}
    found = belief(AT_REST, ON_LOAD, fast(13.2, "on"), drop | {"lights": "on"})
    joints = ("live_joint", "bullets_corroded", "live_joint_battery_worn", "ammeter_resists")
    # common practice, no source
    assert sum(found[key] for key in joints) > 0.9


def test_volts_that_collapse_on_load_are_the_battery() -> None:
    found = belief(AT_REST, told("battery_volts", 10.9, "measured", speed="engine off", lights="on"), fast(14.2))
    assert sum(share for key, share in found.items() if "battery" in key) > 0.9


def test_a_good_reading_while_it_is_not_doing_it_clears_almost_nothing() -> None:
    here, away = belief(AT_REST, fast(14.3)), belief(AT_REST, fast(14.3, doing_it_now=False))
    before = belief(AT_REST)
    # common practice, no source: 19 in 20 of what was believed of a dead box is left, and little where nobody said so
    assert away["box_dead"] > 0.5 * before["box_dead"] > 5.0 * here["box_dead"]


def test_a_fault_of_what_is_not_on_the_bike_is_never_believed() -> None:
    found = belief(AT_REST, fast(12.4))
    # law: a dynamo's brushes, a Zener's feed and a lost phase need a dynamo, a Zener and three phases
    assert found["dynamo_brushes"] < 0.01
    assert found["zener_feed_off"] < 0.01
    assert found["plug_phase_lost"] < 0.02


def test_what_was_worked_on_last_raises_what_that_work_can_bring() -> None:
    touched = told("last_touched", "wiring", "told from memory")
    assert belief(AT_REST, fast(12.4), touched)["plug_apart"] > belief(AT_REST, fast(12.4))["plug_apart"]


def test_the_bent_density_adds_up_to_one() -> None:
    grid = np.linspace(-400.0, 400.0, 400_001)
    for middle, floor, spread in ((0.0, 0.1, 0.3), (3.0, 0.1, 0.3), (40.0, 1.0, 0.2)):
        dense = np.exp(log_bent_density(grid[:, None], np.array([middle]), floor, spread))[:, 0]
        # law: a density; by the trapezoids of a fine grid
        assert np.trapezoid(dense, grid) == pytest.approx(1.0, abs=2e-3)


def test_a_later_memory_does_not_go_over_what_was_measured() -> None:
    drop = {"what": "test_point", "point": "live-side drop", "answer": [0.9], "speed": "fast", "lights": "on"}
    measured, remembered = drop | {"source": "measured"}, drop | {"source": "told from memory", "answer": [0.0]}
    # law: the better source counts, in whichever order they were told
    assert belief(AT_REST, measured, remembered) == pytest.approx(belief(AT_REST, measured))
