"""How a job's bike is wired, how it changes over, and the drawings and lists that go with it."""

from ampwright.bike.job import Job
from ampwright.desk.cases.loom_records import ChangeChoice, PlanAnswer, WireAnswer
from ampwright.desk.cases.loom_sheets import bill_rows, cut_rows, fate_rows, loom_sheet, step_row
from ampwright.desk.cases.loom_work import Asked, LoomWork, drawn_for, loom_work
from ampwright.desk.cases.suit import judge_regulating
from ampwright.desk.cases.workup import system_for, work_up
from ampwright.identify.system import road_speed
from ampwright.selection.cautions import cautions_for
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.shelf import Shelf
from ampwright.terms import Family
from ampwright.wiring.drawing import draw
from ampwright.wiring.drawn_shapes import Drawing, Layout
from ampwright.wiring.loom import Loom
from ampwright.wiring.penalty import charging_speed
from ampwright.wiring.plan import Plan, plan_of
from ampwright.wiring.plan_facts import ChargingSpeed, PlanFacts
from ampwright.wiring.plan_words import speed_words
from ampwright.wiring.wanted import CHANGES, why_not


def wire_job(job: Job, shelf: Shelf, asked: Asked = Asked()) -> WireAnswer:  # noqa: B008
    """How a job's bike is wired, and how it will be."""
    return wire_answer(loom_work(work_up(job), shelf, asked))


def plan_job(job: Job, shelf: Shelf, asked: Asked = Asked()) -> PlanAnswer:  # noqa: B008
    """How a job's bike changes over, step by step."""
    return plan_answer(loom_work(work_up(job), shelf, asked))


def wire_answer(work: LoomWork) -> WireAnswer:
    """How a bike is wired, of a loom that was worked up."""
    plan, after = plan_for(work), reached(work)
    return WireAnswer(
        number=work.workup.job.number,
        title=work.workup.job.title,
        stop_first=work.workup.stop_first,
        battery_line=work.workup.battery_line,
        change=work.change,
        not_before=work.not_before,
        before=loom_sheet(work.before, work.sized_before, after),
        after=loom_sheet(after, work.sized, work.before, is_after=True) if after and work.sized else None,
        cut=cut_rows(after) if after else (),
        bill=bill_rows(work.before, after) if after else (),
        notes=(*loom_notes(work), *plan.held),
        assumed=work.found.assumed,
        cautions=loom_cautions(work),
    )


def plan_answer(work: LoomWork) -> PlanAnswer:
    """How a bike changes over, of a loom that was worked up."""
    plan = plan_for(work)
    stopped = bool(work.workup.stop_first)
    speed = charging_speed_of(work)
    return PlanAnswer(
        number=work.workup.job.number,
        title=work.workup.job.title,
        stop_first=work.workup.stop_first,
        battery_line=work.workup.battery_line,
        change=work.change,
        not_before=work.not_before,
        steps=() if stopped else tuple(step_row(step) for step in plan.steps),
        fates=() if stopped else fate_rows(plan.fates),
        penalty=() if stopped or speed is None else (speed_words(speed),),
        changes=tuple(ChangeChoice(name, why_not(name, work.found.outfit)) for name in CHANGES),
        notes=(*loom_notes(work), *plan.held),
        assumed=work.found.assumed,
        cautions=loom_cautions(work),
    )


def plan_for(work: LoomWork) -> Plan:
    """The plan of a loom that was worked up; without steps where nothing changes."""
    after = work.after
    facts = work.workup.facts
    told = PlanFacts(join_pair_read=facts.join_pair_read, charging_speed=charging_speed_of(work))
    return plan_of(work.before, after if after is not None else work.before, told)


def reached(work: LoomWork) -> Loom | None:
    """The loom that the plan leads to: that which is wanted, but for what waits for a reading."""
    return None if work.wanted is None else plan_for(work).reaches


def charging_speed_of(work: LoomWork) -> ChargingSpeed | None:
    """What 12 V cost a dynamo; None where no dynamo goes over to them."""
    wanted, found = work.wanted, work.found.outfit
    if wanted is None or found.family is not Family.DYNAMO or wanted.outfit.system_voltage_V == found.system_voltage_V:
        return None
    systems = {volts: system_for(work.workup, work.found.generator, volts) for volts in (6, 12)}
    loads = {volts: system.loads_lights_on for volts, system in systems.items() if system is not None}
    return charging_speed(work.found.generator, loads, road_speed(work.workup.job)) if len(loads) == 2 else None


def drawing_of(work: LoomWork, which: str = "after", layout: Layout = "landscape") -> Drawing:
    """One drawing of a job's loom, with what comes off or is new marked on it."""
    after = reached(work)
    if which == "before" or after is None:
        return draw(work.before, layout=layout, after=after)
    return draw(after, layout=layout, before=work.before)


def loom_notes(work: LoomWork) -> tuple[str, ...]:
    """What has to be said of how a loom was drawn."""
    notes = [drawn] if (drawn := drawn_for(work)) else []
    if work.wanted:
        notes += work.wanted.notes
    if work.kit is None and work.kits is not None:
        drawn = (
            f"Drawn is what this kind of bike usually gets: {work.change}." if work.change else "Nothing is changed."
        )
        notes.append(f"{work.kits.why} {drawn}")
    if work.sized is not None:
        notes += work.sized.refusals
    return tuple(notes)


def loom_cautions(work: LoomWork) -> tuple[str, ...]:
    """The cautions that go with the bike, whatever it still may be."""
    workup = work.workup
    verdicts = judge_regulating(workup, work.shelf)
    return cautions_for(workup.job, workup.identification, workup.facts, verdicts, usual_cautions())
