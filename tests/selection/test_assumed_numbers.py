"""
No assumed number decides what is safe: halved or doubled, it brings no part into the fold that was kept out.

The law: take any number of the tables that is judgement, halve or double it, and judge the parts that hold the volts
on every demo job. A part that then *fits*, on a condition or on none, is refused by no rule (of kind, phases, rating,
voltage, earth or battery) under anything that is still possible by the usual numbers. A share is bent within
its row, which is then made to add up again; a reliability is bent as the chance of being wrong. The same holds for
the figures of the generators whose class is assumed, and for the numbers of judgement that stand in rules and in
what they are told. Numbers of findings that no demo job has cannot change it and are left out, and so are the minutes
of asking, which judge no part.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import product

import pytest
from pydantic import BaseModel

from ampwright.desk.cases.jobs import demo_names, open_demo
from ampwright.desk.cases.workup import work_up
from ampwright.identify import answers, guards
from ampwright.identify.counted import findings_of
from ampwright.identify.grid import GENERATOR, Grid, grid_of, marginal, usual_grid
from ampwright.identify.identification import identify
from ampwright.selection import electrical_parts, facts, generator_parts, verdicts
from ampwright.selection.facts import facts_of
from ampwright.selection.kinds import REGULATING
from ampwright.selection.outlook import Outlook
from ampwright.selection.verdicts import DONT_FIT, judge_stock
from ampwright.stock.evidence import Evidence, usual_evidence
from ampwright.stock.generators import GeneratorClass, typical_classes
from ampwright.stock.shelf import demo_shelf
from ampwright.terms import Standing, Verdict

EVIDENCE = usual_evidence()
PARTS = [part for part in demo_shelf().parts if part.kind in REGULATING]
JOBS = {name: open_demo(name) for name in demo_names()}
KINDS_OF = {name: {found.what for found in findings_of(job)} for name, job in JOBS.items()}
TOLD = set().union(*KINDS_OF.values())
READINGS = frozenset(EVIDENCE.reading)
FACTORS = (0.5, 2.0)


@dataclass(frozen=True)
class Bent:
    """
    Tables with one number bent, and what it bears on.

    ``kinds`` are the findings it bears on, all where none is named; ``row`` is the
    row it stands in.
    """

    name: str
    evidence: Evidence
    kinds: frozenset[str] = frozenset()
    row: str = ""
    classes: tuple[GeneratorClass, ...] = typical_classes()

    def bears_on(self, name: str) -> bool:
        """Whether it could change a job: not if a generator that nobody believes in alone has the number."""
        if self.kinds and not self.kinds & KINDS_OF[name]:
            return False
        key, usual = self.row.split("@")[0], usually(name)[0]
        keys = [generator.key for generator in usual.grid.generators]
        if key not in keys:
            return True
        believed = marginal(usual.belief, GENERATOR)[keys.index(key)]
        return believed > 1e-6 or any(generator.key == key for generator in usual.possible_generators)


def is_judgement(sourced) -> bool:
    return sourced.standing is Standing.ASSUMED or "judgement" in sourced.source


def rows_bent(row) -> Iterator[tuple[str, dict[str, float]]]:
    """Each share of a row halved and doubled, the row made to add up again."""
    done = {tuple(row.values())}
    for answer, factor in product(row, FACTORS):
        bent = row | {answer: row[answer] * factor}
        shares = {name: value / sum(bent.values()) for name, value in bent.items()}
        # Of two shares, to halve one is to double the other.
        rounded = tuple(round(share, 12) for share in shares.values())
        if rounded not in done:
            done.add(rounded)
            yield f"{answer} x{factor:g}", shares


def wrong_bent(right) -> Iterator[tuple[str, dict]]:
    """Each reliability with its chance of being wrong halved and doubled."""
    for source, share in right.items():
        for factor in FACTORS:
            yield f"{source} x{factor:g}", right | {source: max(1.0 - factor * (1.0 - share), 0.01)}


def priors_bent() -> Iterator[Bent]:
    for question, table in EVIDENCE.prior.items():
        for name, row in table.row.items() if is_judgement(table) else ():
            for what, bent in rows_bent(row):
                changed = table.model_copy(update={"row": table.row | {name: bent}})
                prior = EVIDENCE.prior | {question: changed}
                yield Bent(f"prior {question} {name} {what}", EVIDENCE.model_copy(update={"prior": prior}), row=name)


def findings_bent(kind) -> Iterator[Bent]:
    """The rows, the mistakes and the reliabilities of one kind of finding."""
    table = EVIDENCE.finding.get(kind)
    if table is None:
        trust = EVIDENCE.reading[kind]
        for what, right in wrong_bent(trust.right):
            reading = EVIDENCE.reading | {kind: trust.model_copy(update={"right": right})}
            yield Bent(f"{kind} right {what}", EVIDENCE.model_copy(update={"reading": reading}), frozenset([kind]))
        return
    changes = [("", f"right {what}", {"right": right}) for what, right in wrong_bent(table.right)]
    if is_judgement(table):
        changes += [("", f"mistakes {what}", {"mistakes": bent}) for what, bent in rows_bent(table.mistakes)]
        for name, row in table.row.items():
            changes += [(name, f"{name} {what}", {"row": table.row | {name: bent}}) for what, bent in rows_bent(row)]
    for row, what, change in changes:
        finding = EVIDENCE.finding | {kind: table.model_copy(update=change)}
        yield Bent(f"{kind} {what}", EVIDENCE.model_copy(update={"finding": finding}), frozenset([kind]), row)


def sources_bent() -> Iterator[Bent]:
    for what, right in wrong_bent(EVIDENCE.sources.right):
        sources = EVIDENCE.sources.model_copy(update={"right": right})
        yield Bent(f"source {what}", EVIDENCE.model_copy(update={"sources": sources}))


# Near 1 it is what is left over that is a guess.
NEAR_ONE = ("still_possible", "printed_voltage_is_run", "about_right_share")


def settings_bent() -> Iterator[Bent]:
    """The settings themselves, and those of guards and readings."""
    settings = EVIDENCE.settings
    for name, update in numbers_bent(settings):
        if not name.startswith("asking"):
            bears_on = READINGS if name.startswith("readings") else frozenset[str]()
            yield Bent(f"settings {name}", with_settings(update), bears_on)
    for family, share in settings.left_out_below.items():
        for factor in FACTORS:
            update = {"left_out_below": settings.left_out_below | {family: share * factor}}
            yield Bent(f"settings left_out_below {family} x{factor:g}", with_settings(update))


def classes_bent() -> Iterator[Bent]:
    """Every figure of every class that is assumed; how many phases, poles and coils there are is no judgement."""
    usual = typical_classes()
    for place, one in enumerate(usual):
        for name, update in numbers_bent(one) if is_judgement(one) else ():
            if any(count in name for count in ("phases", "pairs")):
                continue
            bent = one.model_copy(update=update)
            classes = (*usual[:place], bent, *usual[place + 1 :])
            yield Bent(f"class {one.key} {name}", EVIDENCE, row=one.key, classes=classes)


def numbers_bent(record) -> Iterator[tuple[str, dict]]:
    """Each number of a record halved and doubled, those of the records in it and of its lists too."""
    for name in type(record).model_fields:
        value = getattr(record, name)
        if isinstance(value, BaseModel):
            for what, update in numbers_bent(value):
                yield f"{name} {what}", {name: value.model_copy(update=update)}
        for factor in FACTORS if isinstance(value, int | float) else ():
            near_one = name.startswith(NEAR_ONE)
            bent = 1.0 - factor * (1.0 - value) if near_one else value * factor
            if name.endswith("share") and not near_one:
                bent = min(bent, 0.99)
            yield f"{name} x{factor:g}", {name: type(value)(bent)}
        is_list = isinstance(value, tuple) and all(isinstance(each, float) for each in value)
        for factor in FACTORS if is_list else ():
            yield f"{name} x{factor:g}", {name: tuple(factor * each for each in value)}


def with_settings(update) -> Evidence:
    return EVIDENCE.model_copy(update={"settings": EVIDENCE.settings.model_copy(update=update)})


def bent_grid(bent: Bent) -> Grid:
    """The grid of bent tables; only the table that was bent is laid out anew."""
    changed = {kind: table for kind, table in bent.evidence.finding.items() if kind in bent.kinds}
    small = bent.evidence.model_copy(update={"finding": changed})
    laid_out = grid_of(bent.classes, small)
    return replace(laid_out, tables=usual_grid().tables | laid_out.tables, evidence=bent.evidence)


@cache
def usually(name):
    """A job by the usual numbers, and the parts that are refused for something still possible."""
    workup = work_up(JOBS[name])
    judged = judge_stock(PARTS, workup.outlook, workup.facts)
    return workup.identification, frozenset(verdict.part.code for verdict in judged if is_refused(verdict))


def is_refused(verdict) -> bool:
    """Whether a part is refused for anything that is still possible."""
    possible = verdict.outlook.possible_over(verdict.axes)
    return int(verdict.codes.reshape(possible.shape)[possible].max()) == DONT_FIT


class Judged:
    """The parts that fit by what is still possible; many bent numbers leave the same."""

    def __init__(self):
        self._fitting = {}

    def fitting(self, name, found) -> frozenset[str]:
        known = facts_of(JOBS[name], found)
        classes = tuple(map(id, found.grid.generators))
        key = name, found.still_possible.tobytes(), known.rotor_is_doubted, classes
        if key not in self._fitting:
            judged = judge_stock(PARTS, Outlook(found), known)
            fitting = [verdict for verdict in judged if verdict.verdict in (Verdict.FITS, Verdict.FITS_IF)]
            self._fitting[key] = frozenset(verdict.part.code for verdict in fitting)
        return self._fitting[key]


def newly_fitting(bent: Bent, judged: Judged) -> Iterator[str]:
    """The parts that bent numbers bring in though by the usual ones they must stay out."""
    grid = bent_grid(bent)
    for name, job in JOBS.items():
        if not bent.bears_on(name):
            continue
        usual, refused = usually(name)
        found = identify(job, grid)
        # Law: over more possibilities no verdict is better: only what lost some, or has other figures, is judged anew.
        has_other_figures = any(one not in usual.grid.generators for one in found.possible_generators)
        if has_other_figures or not found.still_possible[usual.still_possible].all():
            for code in sorted(judged.fitting(name, found) & refused):
                yield f"{bent.name}: {name}: {code}"


BY_SUBJECT = {
    "priors": priors_bent,
    "sources": sources_bent,
    "settings": settings_bent,
    "classes": classes_bent,
    **{kind: (lambda kind=kind: findings_bent(kind)) for kind in sorted(TOLD - {"danger"})},
}


@pytest.fixture(scope="module")
def judged() -> Judged:
    """What was judged for one number, kept for the next."""
    return Judged()


@pytest.mark.parametrize("subject", BY_SUBJECT)
def test_halving_or_doubling_an_assumed_number_makes_no_unsafe_part_fit(subject, judged):
    broken = [line for bent in BY_SUBJECT[subject]() for line in newly_fitting(bent, judged)]
    assert not broken, "\n".join(broken)


# Numbers of judgement that stand in the rules, and in what the rules are told of the findings.
IN_RULES = (
    (facts, "ABOUT_NOTHING"),
    (guards, "ABOUT_NOTHING"),
    (facts, "_DOUBTED"),
    (facts, "_ABOVE_ALL_CLASSES_A"),
    (facts, "_MANY_COILS"),
    (generator_parts, "_SAME_DIAMETER_MM"),
    (electrical_parts, "_BALLAST_FROM"),
    (answers, "_DIAMETER_WITHIN_MM"),
)


@pytest.fixture
def judged_anew():
    """What was judged is kept for the next job, but not by numbers that stand in the rules."""
    forget()
    yield
    forget()


def forget():
    verdicts._judge_together.cache_clear()
    verdicts._judge_rule.cache_clear()


@pytest.mark.usefixtures("judged_anew")
@pytest.mark.parametrize("factor", FACTORS)
@pytest.mark.parametrize(("module", "name"), IN_RULES, ids=[name for _, name in IN_RULES])
def test_halving_or_doubling_a_number_of_judgement_in_the_rules_makes_no_unsafe_part_fit(
    module, name, factor, monkeypatch
):
    usual = {job: usually(job) for job in JOBS}
    forget()
    monkeypatch.setattr(module, name, factor * getattr(module, name))
    bent = Judged()
    for job, (_, refused) in usual.items():
        found = identify(JOBS[job], usual_grid())
        assert not bent.fitting(job, found) & refused, job


def test_at_the_usual_numbers_some_parts_fit_and_none_that_is_refused_for_anything_possible(judged):
    fitting = {name: judged.fitting(name, usually(name)[0]) for name in JOBS}
    assert not any(fitting[name] & usually(name)[1] for name in JOBS)
    # the law would be empty if no part were refused, or none fitted
    assert any(fitting.values())
    assert all(usually(name)[1] for name in JOBS)


def test_the_numbers_of_every_table_of_the_demo_jobs_are_bent():
    bent = {table.name.split()[0] for subject in BY_SUBJECT.values() for table in subject()}
    assert bent >= {"prior", "source", "settings", "class"}
    within = {table.name.split()[1] for table in settings_bent()}
    assert within >= {"still_possible_share", "left_out_below", "guards", "readings"}
    # by hand: the least and the most nested of the figures of readings and of classes
    names = {table.name for subject in (settings_bent, classes_bent) for table in subject()}
    assert names >= {"settings readings held one_zener held_12V_V x2", "settings readings load_lights_off_A x0.5"}
    assert names >= {"class bi_phase nameplate_A x0.5", "class dynamo_36W field_curve rated_W x0.5"}
    assert {table.name.split()[1] for table in priors_bent()} == set(EVIDENCE.prior)
