"""Why it doesn't: belief in every fault by all that was read, seen and told, the next test, and the cure."""

from collections.abc import Set
from dataclasses import dataclass

from ampwright.bike.job import Job
from ampwright.desk.cases.fault_case import FaultCase, fault_case
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.faults.diagnosis import Diagnosis, Possible, diagnose
from ampwright.faults.next_test import NOTHING, Bundle, Costs, worth_of_tests
from ampwright.faults.observed import SPOILT_BY_A_LOW_BATTERY
from ampwright.faults.weighing import Weighed, weigh
from ampwright.proving.bikes_drawn import charges_a_battery
from ampwright.proving.running import State
from ampwright.proving.shown import What
from ampwright.proving.test_sheet import read_what
from ampwright.selection.cautions import cautions_for
from ampwright.selection.danger import danger_in_words, danger_of
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.fault_settings import usual_fault_settings
from ampwright.stock.test_settings import Test, usual_test_settings
from ampwright.terms import SEEN, certainty, chance_in_words

# Less belief than this that it charges a battery at all, and the readings tell of nothing.
_LEAST_CHARGES = 0.5
# So many faults are told of, with at least this belief; and so many tests beside the next one.
_TOLD, _WORTH_TELLING, _BESIDE = 6, 0.01, 3
# The job that exchanges the battery.
BATTERY_JOB = "battery"
CANT_SAY, CHARGE_FIRST, STOP, NOTHING_WRONG = "can't say yet", "charge the battery first", "stop", "nothing wrong"


@dataclass(frozen=True)
class CouldBe:
    """One fault that it could be."""

    fault: str
    means: str
    job: str
    probability: float
    chance: str
    certainty: str
    fits: tuple[str, ...]
    against: tuple[str, ...]
    confirm: str
    danger: str


@dataclass(frozen=True)
class NextTest:
    """A test to be made: how it is asked for, what it takes, how it is made safely, and how it is typed."""

    key: str
    name: str
    say: str
    message: str
    safely: str
    minutes: float
    opens: str
    tool: str
    risk: str
    who: str
    typed_like: tuple[str, ...]
    looks: tuple[str, ...]


@dataclass(frozen=True)
class Cure:
    """
    The job that cures it: what is done, how long it takes, and about what it costs, parts with it, as assumed.

    ``also`` names what else is due where two faults are met together.
    """

    name: str
    do: str
    minutes: float
    cost: float
    opens: str
    caution: str
    confirm: str
    danger: str
    also: tuple[str, ...]


@dataclass(frozen=True)
class TraceAnswer:
    """
    What fault finding comes to for one job.

    ``answer`` is a job, nothing wrong, can't say yet, charge the battery first, or stop. ``beside`` are tests at the
    same place, worth making while it is open; ``apart`` names what cannot be told apart from outside.
    """

    number: str
    title: str
    stop_first: str
    battery_line: str
    answer: str
    certainty: str
    chance: str
    why: str
    could_be: tuple[CouldBe, ...]
    by_job: tuple[tuple[str, float], ...]
    apart: str
    next_test: NextTest | None
    beside: tuple[NextTest, ...]
    cure: Cure | None
    left_out: tuple[str, ...]
    would_change: tuple[str, ...]
    cautions: tuple[str, ...]
    assumed: tuple[str, ...]


def trace_job(job: Job) -> TraceAnswer:
    """Why this bike does not charge, or boils its battery; or that nothing is wrong with it."""
    return trace_answer(work_up(job))


def trace_answer(workup: Workup) -> TraceAnswer:
    """What fault finding comes to for a job that was worked up."""
    case = fault_case(workup)
    settings, tests = usual_fault_settings(), usual_test_settings()
    weighed = weigh(case.sick, case.told, settings, tests)
    found = diagnose(weighed, _worth(case, weighed))
    answer, why = _answer(case, found)
    settled = answer not in (CANT_SAY, CHARGE_FIRST, STOP)
    confirmed = any(finding.source in SEEN for finding in case.told_by)
    belief = found.jobs[0][1]
    return TraceAnswer(
        number=workup.job.number,
        title=workup.job.title,
        stop_first=workup.stop_first,
        battery_line=workup.battery_line,
        answer=answer,
        certainty=certainty(belief, confirmed=confirmed) if settled else "",
        chance=chance_in_words(belief) if settled else "",
        why=why,
        could_be=tuple(_could_be(one, confirmed=confirmed) for one in _told_of(found)),
        by_job=tuple((_job_name(key), share) for key, share in found.jobs),
        apart=_apart(found),
        next_test=_next(found, answer),
        beside=_beside(found, answer),
        cure=_cure(found, answer),
        left_out=tuple(f"{words}: doesn't count ({why_not})" for words, why_not in case.told.left_out),
        would_change=_would_change(found),
        cautions=cautions_for(workup.job, workup.identification, workup.facts, (), usual_cautions()),
        assumed=_assumed(case),
    )


def _worth(case: FaultCase, weighed: Weighed) -> tuple[Bundle, ...]:
    asking = case.identification.grid.evidence.settings.asking
    costs = Costs(usual_fault_settings().minute_cost, asking.opening_minutes)
    already: Set[tuple[What, State] | tuple[str, str]] = {(one.what, one.state) for one in case.told.readings} | {
        (sign.kind, sign.name) for sign in case.told.signs
    }
    opened = frozenset({"nothing", *case.workup.job.opened})
    return worth_of_tests(
        case.sick,
        weighed,
        usual_fault_settings(),
        usual_test_settings(),
        costs,
        [test for test in usual_test_settings().tests if _can_be_made(test, case)],
        opened,
        already,
        case.turning,
    )


def _can_be_made(test: Test, case: FaultCase) -> bool:
    spoilt = any(read_what(one) in SPOILT_BY_A_LOW_BATTERY and one.turning != "off" for one in test.readings)
    if case.battery_is_low and (test.needs_charge or spoilt):
        return False
    bikes = case.bikes
    of = bikes.is_of(
        lambda cell: (
            (not test.families or cell.generator.family in test.families)
            and (not test.regulated_by or cell.regulated_by in test.regulated_by)
        )
    )
    return bool(of.mean() > 0.5)


def _answer(case: FaultCase, found: Diagnosis) -> tuple[str, str]:
    job, identification = case.workup.job, case.workup.identification
    danger = danger_of(job, identification)
    if danger is not None:
        return STOP, f"Told or read: {danger_in_words(danger, job, identification)}."
    if charges_a_battery(case.identification) < _LEAST_CHARGES:
        return CANT_SAY, "This kind charges no battery, or has none: volts at a battery tell nothing of it."
    if case.battery_is_low and found.named in ("", NOTHING):
        return CHARGE_FIRST, (
            f"It stood at {case.rest_V:.1f} V; under {case.charged_from_V:.1f} V a low battery hides what the generator"
            " does. Charge it, then take the readings again."
        )
    if not case.told.readings and not case.told.signs:
        return CANT_SAY, "Nothing was read or told yet."
    if found.named and (why_not := _why_not_named(case, found.named)):
        return CANT_SAY, why_not
    if found.named == NOTHING:
        return (
            NOTHING_WRONG,
            "All that was read is as a sound one of its kind gives it: this is normal for this machine.",
        )
    if found.named:
        best = next(one for one in found.possible if one.job == found.named)
        return _job_name(found.named), f"{best.fault.name}: {best.fault.means}" if best.fault else ""
    if found.apart:
        return CANT_SAY, "No further test from outside pays: what is left cannot be told apart so."
    return CANT_SAY, "What was read and told goes with more than one fault."


def _why_not_named(case: FaultCase, job: str) -> str:
    """Why a job is not named, nor that nothing is wrong, however far it is believed; empty where it may be."""
    if job == NOTHING and not any(one.state.speed_rpm > 0.0 for one in case.told.readings):
        return "So far nothing is out of the ordinary; nothing was read with the engine running."
    if not any(finding.source in SEEN for finding in case.told_by):
        return "All this is from memory: it names nothing. One reading or look settles more."
    if job == BATTERY_JOB and case.is_lithium:
        return "How a lithium battery reads at a current is assumed from little: that names none as faulty."
    return ""


def _told_of(found: Diagnosis) -> tuple[Possible, ...]:
    worth = [one for one in found.possible if one.belief >= _WORTH_TELLING]
    return tuple(worth[:_TOLD])


def _could_be(one: Possible, *, confirmed: bool) -> CouldBe:
    fault = one.fault
    return CouldBe(
        fault=fault.name if fault else NOTHING_WRONG,
        means=fault.means if fault else "Every part does what a sound one of its kind does.",
        job=_job_name(one.job),
        probability=one.belief,
        chance=chance_in_words(one.belief),
        certainty=certainty(one.belief, confirmed=confirmed),
        fits=one.fits,
        against=one.against,
        confirm=fault.confirm if fault else "the readings of the test sheet lie in their bands",
        danger=fault.danger if fault else "none",
    )


def _job_name(key: str) -> str:
    return NOTHING_WRONG if key == NOTHING else usual_fault_settings().job(key).name


def _apart(found: Diagnosis) -> str:
    names = [_job_name(key) for key in found.apart]
    return f"Not to be told apart from outside: {' and '.join(names)}." if len(names) > 1 else ""


def _next(found: Diagnosis, answer: str) -> NextTest | None:
    # A low battery is charged before anything else is made; what counts without that stands beside it.
    if answer in (STOP, CHARGE_FIRST) or found.next_tests is None:
        return None
    return _as_next(found.next_tests.tests[0])


def _beside(found: Diagnosis, answer: str) -> tuple[NextTest, ...]:
    """What else is worth making at the same place; beside charging, what counts on a low battery."""
    if answer == STOP or found.next_tests is None:
        return ()
    tests = found.next_tests.tests
    return tuple(_as_next(test) for test in (tests if answer == CHARGE_FIRST else tests[1:]))


def _as_next(test: Test) -> NextTest:
    return NextTest(
        key=test.key,
        name=test.name,
        say=test.say,
        message=test.message,
        safely=test.safely,
        minutes=test.minutes,
        opens=test.opens,
        tool=test.tool,
        risk=test.risk,
        who=test.who,
        typed_like=tuple(reading.typed_like for reading in test.readings),
        looks=tuple(test.looks),
    )


def _cure(found: Diagnosis, answer: str) -> Cure | None:
    if not found.named or found.named == NOTHING or answer in (STOP, CANT_SAY, CHARGE_FIRST):
        return None
    job = usual_fault_settings().job(found.named)
    best = next(one.fault for one in found.possible if one.job == found.named)
    return Cure(
        name=job.name,
        do=job.do,
        minutes=job.minutes,
        cost=job.parts_cost + usual_fault_settings().minute_cost * job.minutes,
        opens=job.opens,
        caution=job.caution,
        confirm=best.confirm if best else "",
        danger=best.danger if best else "none",
        also=tuple(_job_name(key) for key in (best.also if best else ())),
    )


def _would_change(found: Diagnosis) -> tuple[str, ...]:
    lines = [", ".join(test.name for test in one.tests) for one in found.bundles[:_BESIDE]]
    return (*lines, "a repeat on another meter that reads otherwise", "that it was not doing it while these were read")


def _assumed(case: FaultCase) -> tuple[str, ...]:
    return (
        *case.bikes.assumed,
        "shares of faults, minutes and costs are assumed",
        f"system voltage {case.system_voltage_V} V",
    )
