"""
Each kind of finding, told alone, moves belief the right way.

The facts of the trade that these rest on are common practice, no source, unless another is named.
"""

from dataclasses import dataclass
from typing import Any

import pytest
from bench_jobs import BODY, CASE, SIX, TWELVE, coils, finding, identified, job, marking, pair_volts, wires

from ampwright.bike.finding import FINDING_KINDS
from ampwright.identify.grid import (
    BATTERY,
    EARTH,
    GENERATOR,
    IGNITION,
    REGULATED_BY,
    ROTOR,
    SYSTEM_VOLTAGE,
    marginal,
    usual_grid,
)
from ampwright.terms import BatteryKind, Earth, Family, Ignition, RegulatedBy, Rotor, Source

DYNAMO, SINGLE, SWITCHED, THREE = (
    Family.DYNAMO,
    Family.SINGLE_PHASE,
    Family.SWITCHED_SINGLE_PHASE,
    Family.THREE_PHASE,
)
BI_PHASE, TRANSFER, LIGHTING, WOUND = (
    Family.BI_PHASE,
    Family.ENERGY_TRANSFER,
    Family.DIRECT_LIGHTING,
    Family.WOUND_FIELD,
)


@dataclass(frozen=True)
class ClassOf:
    """One generator class, by its key."""

    key: str


def share(found, wanted):
    """The belief in a family, a generator class, or an answer to the question it belongs to."""
    if isinstance(wanted, Family):
        return found.family_share(wanted)
    if isinstance(wanted, ClassOf):
        keys = [generator.key for generator in found.grid.generators]
        return float(marginal(found.belief, GENERATOR)[keys.index(wanted.key)])
    axis = next(
        axis
        for axis in (ROTOR, SYSTEM_VOLTAGE, EARTH, IGNITION, REGULATED_BY, BATTERY)
        if wanted in found.grid.values[axis]
    )
    return found.share_of(axis, wanted)


def measured(what, answer, **more):
    return finding(what, answer, Source.MEASURED, **more)


RAISES: list[tuple[dict[str, Any], Any]] = [
    # a rotor of another size comes with a stator change or an engine rebuild (judgement)
    (finding("last_touched", "stator, rotor or dynamo"), Rotor.MISMATCHED),
    (finding("last_touched", "engine apart"), Rotor.MISMATCHED),
    (BODY, DYNAMO),
    (CASE, SINGLE),
    (CASE, THREE),
    # wire counts: owners' test-rig paper and makers' handbooks
    (wires(1), LIGHTING),
    (wires(2), SINGLE),
    (wires(3), THREE),
    (wires(3), SWITCHED),
    (wires(3), BI_PHASE),
    (wires(5), TRANSFER),
    (finding("thin_wires", 2), WOUND),
    (finding("thin_wires", 0), SINGLE),
    (finding("wire_colours", "white/green and green/yellow"), SINGLE),
    (finding("wire_colours", "three yellows"), THREE),
    (finding("wire_colours", "yellow, yellow, red"), BI_PHASE),
    (finding("wire_colours", "yellow and green"), DYNAMO),
    # six and nine coils: owners' test-rig paper
    (coils(2), DYNAMO),
    (coils(6), SINGLE),
    (coils(9), THREE),
    # six poles: maker's manual; four on flywheels: scooter forum
    (finding("poles", 4), LIGHTING),
    (finding("poles", 6), SINGLE),
    (finding("poles", 12), WOUND),
    # 70 mm early and 74 mm later: owners' club article
    (finding("rotor_diameter_mm", 70.0), ClassOf("switched_80W")),
    (finding("rotor_diameter_mm", 70.0), Rotor.MISMATCHED),
    (finding("rotor_diameter_mm", 74.0), ClassOf("single_phase_10A")),
    # 120 W is 10 A, the trade dividing by 12
    (marking("120 W"), ClassOf("single_phase_10A")),
    (marking("12V 10A"), ClassOf("three_phase_10A")),
    (marking("180 W"), ClassOf("single_phase_15A")),
    (finding("brushes", "brushes on a commutator"), DYNAMO),
    (finding("brushes", "brushes on slip rings"), WOUND),
    (finding("brushes", "no brushes"), SINGLE),
    (finding("magnetism", "pulls steel"), SINGLE),
    (finding("magnetism", "does not pull"), WOUND),
    (measured("wires_to_engine", "none beeps"), SINGLE),
    (measured("wires_to_engine", "all beep"), LIGHTING),
    (measured("wires_to_engine", "all beep"), TRANSFER),
    # D and F: maker's chapter; B+ and 61: DIN 72552
    (finding("terminal_letters", "D F"), DYNAMO),
    (finding("terminal_letters", "DF 61 B+"), WOUND),
    (finding("box_wires", 1), RegulatedBy.ONE_ZENER),
    (finding("box_wires", 3), RegulatedBy.RECTIFIER_ALONE),
    (finding("box_wires", 5), RegulatedBy.CHARGING_BOX),
    *((finding("regulated_by", kind.value), kind) for kind in RegulatedBy),
    *((finding("ignition", kind.value), kind) for kind in Ignition),
    # dynamos are mostly on magneto bikes (club magazine)
    (finding("ignition", "magneto"), DYNAMO),
    (finding("ignition", "energy transfer"), TRANSFER),
    (finding("runs_without_battery", "yes", Source.MEMORY), Ignition.MAGNETO),
    (finding("runs_without_battery", "no", Source.MEMORY), Ignition.POINTS),
    (SIX, 6),
    (SIX, SWITCHED),
    (SIX, DYNAMO),
    (TWELVE, 12),
    *((finding("battery_kind", kind.value), kind) for kind in BatteryKind),
    (finding("battery_kind", "none"), TRANSFER),
    (finding("battery_kind", "none"), LIGHTING),
    (finding("bulb_voltage_V", 6), 6),
    (finding("bulb_voltage_V", 12), 12),
    (finding("frame_post", "+"), Earth.POSITIVE),
    (finding("frame_post", "-"), Earth.NEGATIVE),
    # a fuse belongs in the unearthed lead
    (finding("fuse_lead", "-"), Earth.POSITIVE),
    (finding("fuse_lead", "+"), Earth.NEGATIVE),
    # lamps that the generator feeds by itself are dark with the engine off; a battery lights the others
    (finding("headlamp_engine_off", "dim or dark"), LIGHTING),
    (finding("headlamp_engine_off", "dim or dark"), BatteryKind.NONE),
    (finding("headlamp_engine_off", "lights"), SINGLE),
    (finding("headlamp_engine_off", "lights"), BatteryKind.AGM),
    (finding("starter", "electric"), WOUND),
    (finding("starter", "kick"), SINGLE),
    # the change from 6 to 12 V was mostly in the mid-1960s (club magazine)
    (finding("year", 1948), DYNAMO),
    (finding("year", 1955), 6),
    (finding("year", 1972), 12),
    (pair_volts(11.0, 11.2, 10.9), THREE),
    (pair_volts(11.0, 11.2, 10.9, all_wires_off=True), THREE),
    # an unfed field leaves its iron's few volts
    (pair_volts(0.5, 0.5, 0.5, all_wires_off=True), WOUND),
    (pair_volts(8.0, 8.2, 16.1), BI_PHASE),
    (pair_volts(13.0, 12.8, 0.4), SWITCHED),
    # a star shows every pair alike; the two halves of a tapped winding add up
    (measured("pair_ohms", [1.0, 1.0, 1.0], lead_ohm=0.2), THREE),
    (measured("pair_ohms", [0.4, 0.4, 0.8], lead_ohm=0.0), BI_PHASE),
    # across 1 ohm: 10 to 10.5 V on the 10 A class, 14 to 14.6 V on the 15 A class
    (measured("one_ohm_volts", [10.2], speed_rpm=3000), ClassOf("single_phase_10A")),
    (measured("one_ohm_volts", [14.3], speed_rpm=3000), ClassOf("single_phase_15A")),
    # full batteries rest at 6.2 to 6.4 and 12.4 to 12.8 V
    (measured("battery_volts", 6.3, speed="engine off"), 6),
    (measured("battery_volts", 12.6, speed="engine off"), 12),
    # a sound box holds 13.5 to 14.7 V; with nothing to hold them the volts go up
    (measured("battery_volts", 14.3, speed="fast", lights="off"), RegulatedBy.CHARGING_BOX),
    (measured("battery_volts", 16.5, speed="fast", lights="off"), RegulatedBy.RECTIFIER_ALONE),
    # law: more amps than the small class ever gives come from a larger one
    (measured("battery_amps", 13.0, speed="fast", lights="off"), ClassOf("single_phase_15A")),
    # and where nothing charges a battery, it discharges at any speed
    (measured("battery_amps", -3.0, speed="fast", lights="off"), LIGHTING),
]


@pytest.mark.parametrize(
    ("told", "raised"),
    RAISES,
    ids=lambda value: f"{value['what']}={value['answer']}" if isinstance(value, dict) else str(value),
)
def test_a_finding_alone_moves_belief_the_right_way(told, raised):
    assert share(identified(told), raised) > share(identified(), raised) + 1e-4


# What speaks of no machine, and why it is asked for nevertheless.
TELLS_OF_NO_MACHINE = {
    "danger": "it stops the job",
    "needle": "it tells of a reversed battery, which a guard looks at",
}


def test_no_kind_of_finding_is_left_without_a_test():
    tested = {told["what"] for told, _ in RAISES}
    assert tested | set(TELLS_OF_NO_MACHINE) == set(FINDING_KINDS)


@pytest.mark.parametrize("answer", ["to discharge", "to charge", "stays still"])
def test_the_needle_tells_of_no_machine(answer):
    told = identified(finding("needle", answer, Source.IN_HAND))
    # own definition: the same shares for every machine leave belief as it was
    assert told.belief == pytest.approx(usual_grid().prior, abs=1e-12)


def test_danger_tells_of_no_machine():
    assert identified(finding("danger", "hot or smoking")).belief == pytest.approx(usual_grid().prior, abs=1e-12)


@pytest.mark.parametrize("kind", sorted({told["what"] for told, _ in RAISES}))
def test_a_finding_said_twice_by_one_source_counts_once(kind):
    told = next(told for told, _ in RAISES if told["what"] == kind)
    # own definition: one kind is one piece of evidence
    assert identified(told, told).belief == pytest.approx(identified(told).belief, abs=1e-12)


@pytest.mark.parametrize(
    ("told", "why"),
    [
        (measured("pair_volts", [12.0], speed="engine off"), "engine off"),
        (measured("one_ohm_volts", [9.0], speed="engine off"), "engine off"),
        (measured("battery_volts", 14.2), "speed not known"),
        (measured("battery_volts", 14.2, speed="fast", rest_V=12.1), "battery low"),
        (measured("battery_amps", 3.0, speed="fast", meter_faults=["AC-only clamp"]), "AC clamp"),
        (measured("pair_ohms", [0.7], meter_faults=["reads nonsense near the ignition"]), "meter noisy"),
    ],
    ids=lambda value: value if isinstance(value, str) else value["what"],
)
def test_a_reading_unfit_to_be_weighed_is_kept_and_changes_nothing(told, why):
    assert why in job(told).findings[0].does_not_count
    found = identified(told)
    assert found.pieces == ()
    assert found.belief == pytest.approx(usual_grid().prior, abs=1e-12)


def test_a_figure_said_roughly_counts_for_less():
    exact = identified(measured("one_ohm_volts", [14.3], speed_rpm=3000))
    rough = identified(measured("one_ohm_volts", [14.3], speed_rpm=3000, about=True))
    high = ClassOf("single_phase_15A")
    # law: a wider reading parts two classes less
    assert share(identified(), high) < share(rough, high) < share(exact, high)
