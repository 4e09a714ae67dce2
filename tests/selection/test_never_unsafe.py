"""
Whatever part of the truth is told, no part that simply *fits* is overrun, reversed or of the wrong kind.

The truth is a machine known to the test alone; findings are true answers from random sources. What may carry what is
decided here by the plain ratio of the true rating, apart from the rules under test.
"""

import random
from dataclasses import dataclass, replace

import pytest
from bench_jobs import BODY as ROUND_BODY
from bench_jobs import CASE as OUT_OF_CASE
from bench_jobs import FLOODED, MAGNETO, MINUS, PLUS, SIX, TWELVE, finding, job, marking, pair_volts, sources, wires
from bench_jobs import POINTS as BATTERY_COILS
from bench_parts import box, regulator, shelf, without

from ampwright.desk.cases.workup import work_up
from ampwright.identify.grid import usual_grid
from ampwright.selection.kinds import REGULATING
from ampwright.selection.verdicts import judge_stock
from ampwright.stock.evidence import usual_evidence
from ampwright.stock.parts import BoxEarth, DynamoRegulator, FieldRegulator, LightingRegulator
from ampwright.stock.shelf import demo_shelf
from ampwright.terms import Source, Verdict

PARTS = [part for part in demo_shelf().parts if part.kind in REGULATING]


@dataclass(frozen=True)
class Truth:
    """A machine as it really is."""

    family: str
    amps: float
    phases: int
    volts: int
    plus_to_frame: bool
    wires: int
    coils: int
    position: str
    pairs: tuple[float, ...]
    ignition: str
    marking: str
    battery: str = "flooded"
    more: tuple[tuple[str, object], ...] = ()


CASE, BODY = "wires out of the engine case", "round body with its own two terminals"
POINTS = "points and battery coils"
MAGNET = (("magnetism", "pulls steel"), ("brushes", "no brushes"), ("poles", 6), ("wires_to_engine", "none beeps"))
WOUND = (
    ("magnetism", "does not pull"),
    ("brushes", "brushes on slip rings"),
    ("poles", 12),
    ("thin_wires", 2),
    ("starter", "electric"),
)
FLYWHEEL = (("poles", 4), ("wires_to_engine", "all beep"), ("magnetism", "pulls steel"), ("bulb_voltage_V", 6))
BATTERIES = ("flooded", "AGM", "gel", "LiFePO4")


def truths():
    """Every kind of machine with both earths; markings as they may really be found, and batteries in turn."""
    for place, plus in enumerate((True, False)):
        for number, (amps, mark) in enumerate(
            [(10.0, mark) for mark in ("none", "120 W", "10A")]
            + [(10.5, mark) for mark in ("none", "10.5 A")]
            + [(16.0, mark) for mark in ("none", "16A", "190W")]
        ):
            battery = BATTERIES[(number + place) % 4]
            yield Truth("single", amps, 1, 12, plus, 2, 6, CASE, (13.4,), POINTS, mark, battery, MAGNET)
        for number, (amps, mark) in enumerate(
            [(10.5, "none"), (10.5, "10.5A"), (14.5, "none"), (14.5, "14.5 A"), (16.0, "16 A"), (16.0, "none")]
        ):
            battery = BATTERIES[(number + place) % 4]
            volts = (12.1, 12.0, 12.2)
            yield Truth("three", amps, 3, 12, plus, 3, 9, CASE, volts, "electronic", mark, battery, MAGNET)
        # nobody felt its rotor pull
        yield Truth("three", 14.5, 3, 12, plus, 3, 9, CASE, (12.1, 12.0, 12.2), POINTS, "14.5 A")
        # outside the listed classes, and a 12 V stator on a bike that still runs at 6 V
        yield Truth("single", 21.0, 1, 12, plus, 2, 6, CASE, (13.0,), POINTS, "21 A")
        yield Truth("single", 10.0, 1, 6, plus, 2, 6, CASE, (13.4,), POINTS, "12V 10A")
        yield Truth("three", 25.0, 3, 12, plus, 3, 18, CASE, (18.0, 18.2, 17.9), "electronic", "25 A")
        # a dynamo's watts are counted at 7 V, as its class is
        yield Truth("dynamo", 10.7, 0, 6, plus, 2, 4, BODY, (0.1,), "magneto", "6V 75W")
        yield Truth("switched", 10.5, 1, 6, plus, 3, 6, CASE, (13.1, 0.2, 12.9), POINTS, "none", "gel", MAGNET)
        yield Truth("switched", 8.0, 1, 6, plus, 3, 6, CASE, (12.0, 12.2, 0.3), POINTS, "none")
        yield Truth("bi", 14.0, 1, 12, plus, 3, 6, CASE, (7.0, 7.1, 14.0), POINTS, "none", "LiFePO4", MAGNET)
        for count, first in ((4, 9.0), (5, 30.0)):
            pairs, spark = (first, 4.0, 13.0), "energy transfer"
            yield Truth(spark, 8.0, 1, 12, plus, count, 6, CASE, pairs, spark, "none", "none")
        yield Truth("dynamo", 8.6, 0, 6, plus, 2, 2, BODY, (0.0,), "magneto", "none", "LiFePO4")
        yield Truth("dynamo", 5.1, 0, 6, plus, 2, 2, BODY, (0.0,), "magneto", "36 W", "gel")
        yield Truth("dynamo", 4.3, 0, 12, plus, 2, 2, BODY, (0.0,), POINTS, "60 W")
        # a field that is fed while it is read gives AC like a magnet
        for pairs in ((0.2, 0.3, 0.2), (11.0, 11.2, 10.9)):
            yield Truth("wound field", 20.0, 3, 12, plus, 3, 12, CASE, pairs, "electronic", "none", "AGM", WOUND)
        for count in (1, 2):
            yield Truth(
                "direct lighting", 3.0, 1, 6, plus, count, 4, CASE, (14.0,), "magneto", "none", "none", FLYWHEEL
            )


def true_findings(truth, chance):
    """A random part of the truth, each from a random source."""
    answers = {
        "position": truth.position,
        "thick_wires": truth.wires,
        "coils": truth.coils,
        "marking": truth.marking,
        "frame_post": "+" if truth.plus_to_frame else "-",
        "battery_voltage_V": truth.volts,
        "battery_kind": truth.battery,
        "ignition": truth.ignition,
        "pair_volts": list(truth.pairs),
    } | dict(truth.more)
    if truth.family in ("three", "bi", "switched"):
        answers["thin_wires"] = 0
    if truth.battery == "none":
        del answers["battery_voltage_V"], answers["frame_post"]
    told = [what for what in answers if chance.random() < 0.7]
    if truth.amps > 16.0 or (truth.family == "dynamo" and truth.amps > 9.0):
        # A machine larger than any listed one cannot be known from its wires: here somebody tells its label.
        told = [*(what for what in told if what != "marking"), "marking"]
    return [finding(what, answers[what], chance.choice(sources(what))) for what in told]


def harm(part, truth):
    """Why a part would be harmed by, or harm, the true machine; empty where it would not."""
    if part.system_voltage_V != truth.volts:
        return "wrong voltage"
    if isinstance(part, LightingRegulator):
        return "" if truth.family == "direct lighting" else "not direct lighting"
    earthed_wrong = (
        part.earth in (BoxEarth.SHELL_IS_MINUS, BoxEarth.NEGATIVE_ONLY)
        if truth.plus_to_frame
        else part.earth is BoxEarth.POSITIVE_ONLY
    )
    if earthed_wrong and truth.battery != "none":
        return "reversed"
    return harm_to_battery(part, truth) or harm_of_kind(part, truth)


def harm_to_battery(part, truth):
    """Lithium is harmed above 14.6 V and may disconnect itself; gel dries out (from memory) above 14.7 V."""
    share = truth.volts / 12.0
    if truth.battery == "LiFePO4" and (part.set_point_V > 14.6 * share or not getattr(part, "lithium_safe", False)):
        return "harms lithium"
    return "dries gel out" if truth.battery == "gel" and part.set_point_V > 14.7 * share else ""


def harm_of_kind(part, truth):
    """What it is made for against what it is, and what it carries."""
    if isinstance(part, FieldRegulator):
        return "" if truth.family == "wound field" else "not a wound field"
    if isinstance(part, DynamoRegulator):
        if truth.family != "dynamo":
            return "not a dynamo"
        return "" if part.rated_A >= 0.95 * truth.amps else "overrun"
    boxable = truth.family in ("single", "switched", "three") or (truth.family == "bi" and part.bi_phase)
    if not boxable:
        return f"not for {truth.family}"
    if truth.phases == 3 and part.phases == 1:
        return "wrong phases"
    written = any(pair.phases == truth.phases and pair.up_to_A >= 0.95 * truth.amps for pair in part.pairings)
    amps = part.rated_A or (part.rated_W or 0) / part.system_voltage_V
    share = 2 / 3 if part.phases == 3 and truth.phases == 1 else 1
    # common practice, no source: under 0.95 of the stator a box is too small whatever anybody says
    return "" if written or amps * share >= 0.95 * truth.amps else "overrun"


def judged(findings):
    workup = work_up(job(*findings))
    return judge_stock(PARTS, workup.outlook, workup.facts)


@pytest.mark.parametrize("seed", range(3))
def test_nothing_that_fits_or_may_be_sold_at_once_is_overrun_reversed_or_of_the_wrong_kind(seed):
    chance = random.Random(seed)
    fitting = 0
    for truth in truths():
        for _ in range(4):
            findings = true_findings(truth, chance)
            for verdict in judged(findings):
                if verdict.verdict is Verdict.FITS or verdict.is_ready:
                    fitting += 1
                    assert not harm(verdict.part, truth), (verdict.part.code, truth, findings)
    # the test would prove nothing if nothing ever fitted
    assert fitting > 20


def left_out_bent():
    """The usual grid with each share of belief that may be left out doubled: of a question, and of three families."""
    usual = usual_evidence()
    settings = usual.settings
    updates = {"question": {"still_possible_share": 1.0 - 2.0 * (1.0 - settings.still_possible_share)}}
    for family, share in settings.left_out_below.items():
        updates[family.value] = {"left_out_below": settings.left_out_below | {family: 2.0 * share}}
    for name, update in updates.items():
        bent = usual.model_copy(update={"settings": settings.model_copy(update=update)})
        yield pytest.param(replace(usual_grid(), evidence=bent), id=name)


@pytest.mark.parametrize("grid", list(left_out_bent()))
def test_twice_as_much_belief_left_out_harms_no_machine(grid):
    chance, narrower = random.Random(17), 0
    for truth in truths():
        for _ in range(6):
            told = job(*true_findings(truth, chance))
            usual, bent = work_up(told), work_up(told, grid)
            # law: over more possibilities no verdict is better, so only what lost some is judged anew
            if bent.identification.still_possible[usual.identification.still_possible].all():
                continue
            narrower += 1
            for verdict in judge_stock(PARTS, bent.outlook, bent.facts):
                if verdict.verdict is Verdict.FITS or verdict.is_ready:
                    assert not harm(verdict.part, truth), (verdict.part.code, truth, told.findings)
    # the test would prove nothing if the number decided nothing
    assert narrower > 0


def listed():
    """Machines of the listed kinds whose findings do not speak against each other."""
    for truth in truths():
        larger = truth.amps > 16.0 and truth.family != "wound field"
        if not larger and not (truth.volts == 6 and "12V" in truth.marking):
            yield pytest.param(truth, id=f"{truth.family} {truth.amps} {truth.marking}")


@pytest.mark.parametrize("truth", list(listed()))
def test_the_whole_truth_of_a_listed_machine_gets_an_answer(truth):
    whole = true_findings(truth, _Everything())
    verdicts = {verdict.part.code: verdict.verdict for verdict in judged(whole)}
    harmless = [part.code for part in PARTS if not harm(part, truth)]
    if harmless:
        assert any(verdicts[code] in (Verdict.FITS, Verdict.FITS_IF) for code in harmless)


class _Everything(random.Random):
    """Tells everything, from the best source."""

    def random(self):
        return 0.0

    def choice(self, _):
        return Source.IN_HAND


# --- one false look ---------------------------------------------------------------------------------------------------


def odd_stock():
    """Boxes of each earth, and of ratings and voltages that the demo's stock has not."""
    return shelf(
        *(box(code=f"E{number}", earth=str(earth), set_point_V=14.3) for number, earth in enumerate(BoxEarth)),
        *(box(code=f"T{number}", earth=str(earth), phases=3, rated_A=30) for number, earth in enumerate(BoxEarth)),
        box(code="L12", rated_A=12, lithium_safe=True),
        box(code="S6", system_voltage_V=6, set_point_V=7.1),
        box(code="B12", rated_A=12, bi_phase=True),
        regulator(code="D5", rated_A=5),
        regulator(code="D9", earth="positive earth only"),
    ).parts


ODD = odd_stock()
# By hand: what a caller mixes up, and what then must be seen by ourselves before a part may depend on it.
MIXED_UP = {
    "frame_post": {"+": "-", "-": "+"},
    "ignition": {"energy transfer": POINTS},
    "thick_wires": {3: 2, 4: 2, 5: 3},
}


@pytest.mark.parametrize("what", MIXED_UP)
def test_one_false_look_beside_the_whole_truth_harms_no_machine(what):
    fitting = 0
    for truth in truths():
        whole = true_findings(truth, _Everything())
        told = {found["what"]: found for found in whole}
        false = MIXED_UP[what].get(told[what]["answer"]) if what in told else None
        if false is None:
            continue
        seen = [found for found in whole if found["what"] != what]
        looks = [finding(what, false, Source.LOOKING)]
        if what == "frame_post":  # who takes + for - does so at the fuse as well
            looks.append(finding("fuse_lead", told[what]["answer"], Source.LOOKING))
        workup = work_up(job(*seen, *looks))
        for verdict in judge_stock(ODD, workup.outlook, workup.facts):
            if verdict.verdict is Verdict.FITS or verdict.is_ready:
                fitting += 1
                assert not harm(verdict.part, truth), (verdict.part.code, truth)
    # the test would prove nothing if nothing ever fitted
    assert fitting > 0 or what == "ignition"


# --- jobs on which a part was once sold that it must not be -----------------------------------------------------------

KNOWN = (OUT_OF_CASE, wires(2), TWELVE, FLOODED, MINUS, BATTERY_COILS, marking("120 W"))
JOINED = pair_volts(13.0, 12.9, 0.3)
SWITCHED = (OUT_OF_CASE, wires(3), TWELVE, FLOODED, MINUS, BATTERY_COILS, marking("110 W"))
SWITCHED += (finding("magnetism", "pulls steel"), finding("coils", 6, Source.IN_HAND), finding("bulb_voltage_V", 12))
SWITCHED += (finding("rotor_diameter_mm", 74.0, Source.IN_HAND),)
SWITCHED_6 = (OUT_OF_CASE, SIX, FLOODED, PLUS, BATTERY_COILS, marking("6 V"), finding("magnetism", "pulls steel"))
SWITCHED_6 += (finding("bulb_voltage_V", 6), finding("coils", 6, Source.IN_HAND))
SWITCHED_6 += (finding("rotor_diameter_mm", 70.0, Source.IN_HAND), finding("poles", 6, Source.IN_HAND))
SWITCHED_6 += (finding("wires_to_engine", "none beeps", Source.IN_HAND),)
A_DYNAMO = (ROUND_BODY, SIX, FLOODED, PLUS, MAGNETO, finding("brushes", "brushes on a commutator"))
BI_PHASE = (
    OUT_OF_CASE,
    wires(3),
    finding("wire_colours", "yellow, yellow, red"),
    TWELVE,
    FLOODED,
    MINUS,
    BATTERY_COILS,
)
BI_PHASE += (pair_volts(13.0, 13.0, 26.0) | {"source": "in our hands"},)
OF_MINUS = box(earth="negative earth only")
NO_ZERO = {"meter_faults": ["does not read zero when it should"]}
DC_ON_AC = {"meter_faults": ["shows volts on the AC range on a battery"]}
LOOKED = {"source": "looking at it now"}
# By hand: a name, the part, what is told, and what made it look right.
ONCE_SOLD = [
    ("battery the wrong way round", OF_MINUS, KNOWN, (finding("needle", "to charge"),)),
    (
        "plus taken for minus twice",
        OF_MINUS,
        without(KNOWN, "frame_post"),
        (MINUS | LOOKED, finding("fuse_lead", "+", Source.LOOKING)),
    ),
    ("roughly 5 V by a look", box(), without(KNOWN, "position"), (pair_volts(5.0) | LOOKED | {"about": True},)),
    ("7 V that the meter makes of DC", box(), without(KNOWN, "position"), (pair_volts(7.0, **DC_ON_AC),)),
    ("0 V on a meter without zero", box(), SWITCHED, (pair_volts(13.0, 13.0, 1.9, **NO_ZERO),)),
    ("0 V that a look speaks against", box(), SWITCHED, (JOINED, pair_volts(13.0, 13.0, 13.0) | LOOKED)),
    (
        "two wires counted by a caller",
        box(system_voltage_V=6, set_point_V=7.1),
        SWITCHED_6,
        (wires(2, Source.LOOKING),),
    ),
    ("a large dynamo from memory", regulator(), A_DYNAMO, (marking("150 W", Source.MEMORY),)),
    ("5 A read off a centre-tapped stator", box(rated_A=13, bi_phase=True), BI_PHASE, (marking("5 A") | LOOKED,)),
]


def is_sold(part, *findings):
    workup = work_up(job(*findings))
    verdict = judge_stock(shelf(part).parts, workup.outlook, workup.facts)[0]
    return verdict.verdict is Verdict.FITS or verdict.is_ready


@pytest.mark.parametrize(
    ("part", "bike", "told"), [case[1:] for case in ONCE_SOLD], ids=[case[0] for case in ONCE_SOLD]
)
def test_a_part_that_was_once_sold_wrongly_is_sold_no_more(part, bike, told):
    assert not is_sold(part, *bike, *told)


@pytest.mark.parametrize(
    ("part", "findings"),
    [
        (OF_MINUS, KNOWN),
        (box(), KNOWN),
        (box(), (*without(KNOWN, "frame_post"), MINUS | LOOKED)),
        (box(), (*KNOWN, finding("needle", "to charge"))),
        (box(), (*without(KNOWN, "position"), pair_volts(7.0))),
        (box(), (*SWITCHED, JOINED)),
        (box(system_voltage_V=6, set_point_V=7.1), (*SWITCHED_6, wires(3), JOINED)),
        (regulator(), A_DYNAMO),
        (box(bi_phase=True), (*BI_PHASE, finding("thin_wires", 0), marking("5 A") | LOOKED)),
    ],
    ids=["minus", "known", "earth looked at", "reversed", "AC", "joined", "joined, 6 V", "dynamo", "bi-phase"],
)
def test_the_same_parts_are_sold_where_nothing_speaks_against_them(part, findings):
    assert is_sold(part, *findings)
