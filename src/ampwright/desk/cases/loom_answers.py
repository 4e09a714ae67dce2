"""How a job's bike is wired, how it changes over, and the drawings and lists that go with it."""

from ampwright.bike.job import Job
from ampwright.desk.cases.loom_records import ChangeChoice, PlanAnswer, WireAnswer
from ampwright.desk.cases.loom_sheets import bill_rows, cut_rows, fate_rows, loom_sheet, step_row
from ampwright.desk.cases.loom_work import Asked, LoomWork, drawn_for, loom_work
from ampwright.desk.cases.suit import judge_regulating
from ampwright.desk.cases.workup import work_up
from ampwright.selection.cautions import cautions_for
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.shelf import Shelf
from ampwright.wiring.drawing import draw
from ampwright.wiring.drawn_shapes import Drawing, Layout
from ampwright.wiring.loom import Loom
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
    plan, after = work.plan, reached(work)
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
    plan = work.plan
    stopped = bool(work.workup.stop_first) or work.posts_are_open
    speed = work.charging_speed
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


def reached(work: LoomWork) -> Loom | None:
    """The loom that the plan leads to: that which is wanted, but for what waits for a reading."""
    return None if work.wanted is None else work.plan.leads_to


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
    texts = usual_cautions()
    cautions = cautions_for(workup.job, workup.identification, workup.facts, verdicts, texts)
    if work.wanted is None or work.wanted.outfit.earth is work.found.outfit.earth:
        return cautions
    # The earth that it will have: the words for the old one would tell the opposite of the plan.
    old = {text for name, text in texts.items() if name.startswith(work.found.outfit.earth.value)}
    return (*(text for text in cautions if text not in old), texts[work.wanted.outfit.earth.value])
