"""
The arithmetic of belief against a general library of Bayesian networks.

The library is given the tables as they stand in the data: seven questions, and for each finding a node of what is
truly to be found and a node of what is reported. It never sees our grid, and we never see its inference.
"""

import random
import warnings
from itertools import product

import pytest
from bench_jobs import finding, identified, sources

from ampwright.identify.grid import QUESTIONS, marginal, usual_grid
from ampwright.stock.evidence import usual_evidence
from ampwright.stock.generators import typical_classes
from ampwright.terms import BatteryKind, Earth, Ignition, RegulatedBy, Rotor, Source

with warnings.catch_warnings():
    # The library's wrapper warns at import in a way that brings it down where warnings are errors.
    warnings.simplefilter("ignore", DeprecationWarning)
    import pyagrum

EVIDENCE = usual_evidence()
NAMES = {
    "generator": [generator.key for generator in typical_classes()],
    "rotor": [str(rotor) for rotor in Rotor],
    "system_voltage": ["6", "12"],
    "earth": [str(earth) for earth in Earth],
    "ignition": [str(ignition) for ignition in Ignition],
    "regulated_by": [str(kind) for kind in RegulatedBy],
    "battery": [str(kind) for kind in BatteryKind],
}
# What is told, in the words of the tables. Markings with volts and strange answers are weighed by rules of ours,
# which tests of their own hold; here stand the answers that the tables list.
TOLD = {
    "last_touched": ["nothing", "stator, rotor or dynamo", "engine apart", "lamps"],
    "position": ["round body with its own two terminals", "wires out of the engine case"],
    "thick_wires": [1, 2, 3, 4, 5],
    "thin_wires": [0, 1, 2, 3],
    "coils": [2, 4, 6, 9, 12],
    "poles": [2, 4, 6, 8, 12],
    "brushes": ["no brushes", "brushes on a commutator", "brushes on slip rings"],
    "magnetism": ["pulls steel", "does not pull"],
    "wires_to_engine": ["none beeps", "one beeps", "all beep"],
    "box_wires": [1, 2, 3, 4, 5],
    "regulated_by": list(NAMES["regulated_by"]),
    "ignition": list(NAMES["ignition"]),
    "runs_without_battery": ["yes", "no"],
    "battery_voltage_V": [6, 12],
    "battery_kind": list(NAMES["battery"]),
    "bulb_voltage_V": [6, 12],
    "frame_post": ["+", "-"],
    "fuse_lead": ["+", "-"],
    "needle": ["to discharge", "to charge", "stays still"],
    "headlamp_engine_off": ["lights", "dim or dark"],
    "starter": ["kick", "electric"],
}
# Answers that a record holds in another form than the tables list them.
AS_LISTED = {
    "marking": {"120 W": "about 10 A", "180 W": "about 15 A", "none": "none"},
    "year": {1948: "to 1949", 1955: "1950s", 1965: "1960s", 1972: "1970s", 1990: "later"},
    "rotor_diameter_mm": {70.2: "about 70 mm", 74.0: "about 74 mm", 90.0: "another diameter"},
    "terminal_letters": {"D F": "dynamo letters", "B+ 61": "wound-field letters", "x": "other letters"},
    "wire_colours": {"yellow and green": "yellow and green, plain", "three yellows": "all of one colour"},
}
KINDS = [*TOLD, *AS_LISTED]


def normalised(shares):
    total = sum(shares)
    return [value / total for value in shares]


def row_of(table, by_question):
    """The row of a table for some answers, found as the data's own note says: all of them, the first, default."""
    answers = [by_question[question] for question in table.by]
    names = ["@".join(answers), *answers[:1], "default"]
    return next(table.row[name] for name in names if name in table.row)


def network(findings):
    """Lay the tables out as nodes and edges."""
    net = pyagrum.BayesNet()
    for question in QUESTIONS:
        net.add(pyagrum.LabelizedVariable(question, question, NAMES[question]))
    for question, table in EVIDENCE.prior.items():
        fill(
            net,
            question,
            table.by,
            lambda by, table=table, q=question: [row_of(table, by).get(n, 0.0) for n in NAMES[q]],
        )
    for told in findings:
        add_report(net, told)
    return net


def fill(net, node, parents, shares):
    for parent in parents:
        net.addArc(parent, node)
    for answers in product(*(NAMES[parent] for parent in parents)):
        by = dict(zip(parents, answers, strict=True))
        values = normalised(shares(by))
        if by:
            net.cpt(node)[by] = values
        else:
            net.cpt(node).fillWith(values)


def add_report(net, told):
    """The truth of a finding by its table, and the report: right, or one of the mistakes."""
    kind, table = told["what"], EVIDENCE.finding[told["what"]]
    right = EVIDENCE.right(kind, Source(told["source"]))
    answers = sorted({answer for row in (*table.row.values(), table.mistakes) for answer in row})
    truth, report = f"truth of {kind}", f"report of {kind}"
    net.add(pyagrum.LabelizedVariable(truth, truth, answers))
    net.add(pyagrum.LabelizedVariable(report, report, answers))
    fill(net, truth, table.by, lambda by: [row_of(table, by).get(answer, 0.0) for answer in answers])
    net.addArc(truth, report)
    mistakes = normalised([table.mistakes.get(answer, 0.0) for answer in answers])
    for place, answer in enumerate(answers):
        spread = [(1.0 - right) * share for share in mistakes]
        spread[place] += right
        net.cpt(report)[{truth: answer}] = spread


def by_the_library(findings):
    """The belief in every answer to every question."""
    inference = pyagrum.LazyPropagation(network(findings))
    inference.setEvidence(
        {
            f"report of {told['what']}": AS_LISTED.get(told["what"], {}).get(told["answer"], str(told["answer"]))
            for told in findings
        }
    )
    inference.makeInference()
    return {question: inference.posterior(question).toarray() for question in QUESTIONS}


def random_findings(seed):
    chance = random.Random(seed)
    kinds = chance.sample(KINDS, chance.randint(1, 9))
    return [
        finding(kind, chance.choice(list(TOLD.get(kind) or AS_LISTED[kind])), chance.choice(sources(kind)))
        for kind in kinds
    ]


def test_every_table_is_compared():
    assert set(KINDS) == set(EVIDENCE.finding)


def test_without_findings_the_shares_are_those_of_the_library():
    shares = by_the_library([])
    for axis, question in enumerate(QUESTIONS):
        # second method: a general library's exact inference; both are exact but for rounding
        assert marginal(usual_grid().prior, axis) == pytest.approx(shares[question], abs=1e-9)


@pytest.mark.parametrize("seed", range(60))
def test_belief_is_that_of_a_general_library(seed):
    told = random_findings(seed)
    shares, found = by_the_library(told), identified(*told)
    for axis, question in enumerate(QUESTIONS):
        # second method: a general library's exact inference; both are exact but for rounding
        assert marginal(found.belief, axis) == pytest.approx(shares[question], abs=1e-9), question


def test_two_equally_good_answers_weigh_as_an_even_chance_of_either():
    wires = [finding("thick_wires", 2), finding("thick_wires", 3)]
    rest = [finding("coils", 6), finding("battery_voltage_V", 12)]
    inference = pyagrum.LazyPropagation(network([wires[0], *rest]))
    # soft evidence: either report may be the right one, so the likelihood is the mean of the two
    inference.setEvidence({"report of thick_wires": [float(n in (1, 2)) for n in range(6)]} | {"report of coils": "6"})
    inference.addEvidence("report of battery_voltage_V", "12")
    inference.makeInference()
    found = identified(*wires, *rest)
    # second method: a general library's exact inference
    assert marginal(found.belief, 0) == pytest.approx(inference.posterior("generator").toarray(), abs=1e-9)
