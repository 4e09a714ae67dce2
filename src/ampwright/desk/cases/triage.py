"""Why it doesn't: five readings at the battery, and what they come to."""

from collections.abc import Mapping
from dataclasses import dataclass

from ampwright.bike.job import Job
from ampwright.bike.reading import MOST_BATTERY_V
from ampwright.desk.cases.battery_read import battery_read
from ampwright.desk.cases.five_boxes import FIVE_SLOTS, FiveSlot, beside, figure_of, key_of_readings, standing_in
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.faults.counting import (
    Sorted,
    counted_by_slot,
    rest_volts,
)
from ampwright.faults.triage import (
    PAIR_VOLTS,
    Weighed,
    how_taken,
    odds_by_touch,
    usual_way,
    weigh,
    without_battery_readings,
)
from ampwright.faults.verdict import (
    AS_IT_SHOULD_BE,
    LOW,
    NOT_READ,
    Answer,
    Shown,
    Verdict,
    state_of,
    verdict_of,
)
from ampwright.identify.grid import REGULATED_BY
from ampwright.identify.identification import Identification, identify
from ampwright.proving.bikes_drawn import BikesDrawn, charges_a_battery, draw_bikes
from ampwright.proving.five_readings import SOUND, Band, Slot, band_of, readings_of
from ampwright.selection.cautions import cautions_for
from ampwright.selection.danger import (
    danger_in_words,
    danger_of,
    is_read_again,
    over_on_a_bad_meter,
)
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.triage_settings import Cause, Step, TriageSettings, usual_triage_settings
from ampwright.terms import SEEN, Family, RegulatedBy, certainty, chance_in_words

# Less belief than this that it charges a battery at all, and the readings tell of nothing.
_LEAST_CHARGES = 0.5
# A regulator is named beside the bands from this belief on.
_WORTH_NAMING = 0.05


_FIVE = tuple(zip(FIVE_SLOTS, Slot, strict=True))


@dataclass(frozen=True)
class Precondition:
    """What has to be so before a reading counts, and whether it is."""

    what: str
    state: str
    why: str


@dataclass(frozen=True)
class TriageRow:
    """
    One of the five readings: how it is asked for and taken safely, what a sound one gives, and what was read.

    ``others`` are further readings of the place, kept with the reason why they do not count or are set aside. ``box``
    is the figure that stands in its box and ``stands`` the typed finding of it; a reading that does not count, or was
    taken otherwise than the box asks for, is not in it but among the others.
    """

    slot: str
    name: str
    say: str
    safely: str
    typed_like: str
    band: str
    low_V: float | None
    high_V: float | None
    read_V: float | None
    source: str
    state: str
    why: str
    others: tuple[str, ...]
    box: str
    stands: str


@dataclass(frozen=True)
class AnswerChance:
    """One of the four answers with its chance."""

    answer: str
    probability: float
    chance: str
    certainty: str


@dataclass(frozen=True)
class TriageAnswer:
    """
    The five readings of one job, and what they come to.

    ``message`` is what may be sent; ``read_again`` is whether one reading just over is to be taken once more.
    ``readings_key`` changes with every reading that is written down or taken back.
    """

    number: str
    title: str
    stop_first: str
    battery_line: str
    preconditions: tuple[Precondition, ...]
    rows: tuple[TriageRow, ...]
    verdict: str
    certainty: str
    chance: str
    why: str
    read_aloud: str
    message: str
    read_again: bool
    readings_key: str
    next_step: Step | None
    answers: tuple[AnswerChance, ...]
    fits: tuple[str, ...]
    does_not_fit: tuple[str, ...]
    would_change: tuple[str, ...]
    cautions: tuple[str, ...]
    assumed: tuple[str, ...]


@dataclass(frozen=True)
class _Case:
    """A job's readings in their places, and the bikes that they are held against."""

    workup: Workup
    identification: Identification
    settings: TriageSettings
    system_voltage_V: int
    charged_from_V: float
    is_lithium: bool
    readings: tuple[Sorted, ...]
    counts: Mapping[Slot, Sorted]
    bikes: BikesDrawn
    bands: Mapping[Slot, Band]
    weighed: Weighed

    @property
    def rest_V(self) -> float | None:
        return rest_volts(self.readings)


def triage_job(job: Job) -> TriageAnswer:
    """What a job's five readings come to."""
    return triage_answer(work_up(job))


def triage_answer(workup: Workup) -> TriageAnswer:
    """What the five readings of a job that was worked up come to."""
    case = _case(workup)
    found = _verdict(case)
    step = case.settings.step(found.next_step) if found.next_step else None
    confirmed = any(one.found.source in SEEN for one in case.counts.values())
    sure = found.answer not in (Answer.CANT_SAY, Answer.STOP, Answer.CHARGE_FIRST)
    return TriageAnswer(
        number=workup.job.number,
        title=workup.job.title,
        stop_first=workup.stop_first,
        battery_line=workup.battery_line,
        preconditions=_preconditions(case),
        rows=tuple(_row(case, box, slot) for box, slot in _FIVE),
        verdict=found.answer.value,
        certainty=certainty(found.probability, confirmed=confirmed) if sure else "",
        chance=chance_in_words(found.probability) if sure else "",
        why=found.why,
        read_aloud=_said(case, found, step.say if step else ""),
        message=_said(case, found, step.message if step else ""),
        read_again=is_read_again(workup.job, workup.identification),
        readings_key=key_of_readings(case.readings),
        next_step=step,
        answers=_answers(case.weighed, confirmed=confirmed),
        fits=_evidence(case, fitting=True),
        does_not_fit=_evidence(case, fitting=False),
        would_change=_would_change(case, found),
        cautions=_cautions(workup),
        assumed=_assumed(case),
    )


def _case(workup: Workup) -> _Case:
    job, settings = workup.job, usual_triage_settings()
    apart = without_battery_readings(job)
    # What the bike is must not be told by the readings that it is to explain.
    identification = workup.identification if apart == job else identify(apart, workup.identification.grid)
    read = battery_read(workup, identification)
    bikes = draw_bikes(job, identification, workup.facts.ignition_told, settings, read.only_V, read.battery)
    readings = read.readings
    counts = counted_by_slot(readings)
    own = identification.grid.evidence.settings.readings
    taken = {slot: how_taken(counts[slot], job, own) if slot in counts else usual_way(slot, job, own) for slot in Slot}
    bands = {slot: band_of(readings_of(bikes, taken[slot], SOUND), bikes.system_voltage_V) for slot in Slot}
    weighed = weigh(counts, job, bikes, identification.grid, settings)
    return _Case(
        workup=workup,
        identification=identification,
        settings=settings,
        system_voltage_V=read.system_voltage_V,
        charged_from_V=read.charged_from_V,
        is_lithium=read.is_lithium,
        readings=readings,
        counts=counts,
        bikes=bikes,
        bands=bands,
        weighed=weighed,
    )


def _verdict(case: _Case) -> Verdict:
    job, workup = case.workup.job, case.workup
    danger = danger_of(job, workup.identification)
    just_over = is_read_again(job, workup.identification)
    if danger is not None and not just_over:
        return Verdict(Answer.STOP, 1.0, _why_stop(danger_in_words(danger, job, workup.identification), case), "")
    if charges_a_battery(case.identification) < _LEAST_CHARGES:
        why = "This kind charges no battery, or has none: volts at a battery tell nothing of it."
        return Verdict(Answer.CANT_SAY, 0.0, why, "")
    return verdict_of(
        Shown(
            counts=case.counts,
            bands=case.bands,
            weighed=case.weighed,
            system_voltage_V=case.system_voltage_V,
            rest_V=case.rest_V,
            charged_from_V=case.charged_from_V,
            is_dynamo=workup.identification.likeliest_family is Family.DYNAMO,
            is_lithium=case.is_lithium,
            read_again=_why_read_again(case, just_over=just_over),
            not_doing_it=any(one.found.doing_it_now is False for one in case.counts.values())
            and not any(one.found.doing_it_now for one in case.counts.values()),
        )
    )


def _why_read_again(case: _Case, *, just_over: bool) -> str:
    """Why nothing is said before too many volts were read once more; empty where there were none."""
    if just_over:
        return "One reading is just over: that may be the meter."
    bad_meter = over_on_a_bad_meter(case.workup.job, case.workup.identification)
    return "Too many volts were read, on a meter that reads nonsense: nobody knows yet." if bad_meter else ""


def _why_stop(danger: str, case: _Case) -> str:
    over = [one for one in case.counts.values() if one.volts > MOST_BATTERY_V[case.system_voltage_V]]
    if not over:
        return f"Told or read: {danger}."
    worst = max(over, key=lambda one: one.volts)
    read = f"{worst.volts:.1f} V {worst.slot.value}"
    if state_of(worst, case.bands[worst.slot], case.system_voltage_V) == AS_IT_SHOULD_BE:
        return f"{read}: what regulates it may be sound, but not every battery that this may be stands so much."
    return f"{read}: what regulates it holds too many volts, or nothing does."


def _preconditions(case: _Case) -> tuple[Precondition, ...]:
    faulty = [one for one in case.readings if one.found.meter_faults]
    meters = [one.found.meter for one in case.readings if one.found.meter]
    if faulty:
        meter = Precondition("meter", "do again", faulty[-1].does_not_count or faulty[-1].found.meter_faults[0].value)
    else:
        why = "it should show 12.4 to 12.9 V on a rested car battery"
        meter = Precondition("meter", "told" if meters else "not asked", ", ".join((*meters[-1:], why)))
    wanted = f"at least {case.charged_from_V:.1f} V after two hours' rest"
    if case.rest_V is None:
        return meter, Precondition("rest volts", NOT_READ, wanted)
    state = AS_IT_SHOULD_BE if case.rest_V >= case.charged_from_V else LOW
    return meter, Precondition("rest volts", state, f"{case.rest_V:.1f} V; {wanted}")


def _row(case: _Case, box: FiveSlot, slot: Slot) -> TriageRow:
    step, band = case.settings.step(slot.value), case.bands[slot]
    here = [one for one in case.readings if one.slot is slot]
    shown = case.counts.get(slot) or (here[-1] if here else None)
    stands = standing_in(box, case.counts.get(slot))
    return TriageRow(
        slot=box.key,
        name=box.name,
        say=step.say,
        safely=step.safely,
        typed_like=box.typed,
        band=band.words,
        low_V=band.low_V,
        high_V=band.high_V,
        read_V=shown.found.answer if shown else None,
        source=shown.found.source.value if shown else "",
        state=state_of(shown, band, case.system_voltage_V) if shown else NOT_READ,
        why=_row_why(shown, band) if shown else "",
        others=beside(box, here, case.counts.get(slot)),
        box=figure_of(stands),
        stands=stands,
    )


def _row_why(shown: Sorted, band: Band) -> str:
    changed_over = "; below zero: the probes were changed over" if shown.found.answer < 0.0 else ""
    lit = "; read with the lights on" if shown.slot is Slot.TICK_OVER and shown.found.lights == "on" else ""
    return (shown.does_not_count or shown.cannot_be or f"a sound one gives {band.words}") + lit + changed_over


def _said(case: _Case, found: Verdict, next_step: str) -> str:
    """One sentence or two for the caller, with the next step in the words given."""
    if found.answer is Answer.STOP:
        return case.workup.stop_first
    says = {
        Answer.CANT_SAY: "I can't say yet.",
        Answer.CHARGE_FIRST: "The battery is too low to test anything by.",
        Answer.BATTERY: "It looks like the battery; before you buy one, we make sure.",
        Answer.BOX_OR_WIRING: "It looks like the box or a wire or joint; before you buy anything, we make sure.",
        Answer.GENERATOR: "It looks like the generator; before anything comes apart, we make sure.",
        Answer.NOT_CHARGING: "It is not charging as it should; one more reading tells box and wiring from generator.",
        Answer.NOTHING_WRONG: "By these readings nothing is wrong with it.",
    }[found.answer]
    return f"{says} {next_step}" if next_step else says


def _answers(weighed: Weighed, *, confirmed: bool) -> tuple[AnswerChance, ...]:
    return tuple(
        AnswerChance(cause.value, share, chance_in_words(share), certainty(share, confirmed=confirmed))
        for cause, share in sorted(weighed.belief.items(), key=lambda one: -one[1])
    )


def _evidence(case: _Case, *, fitting: bool) -> tuple[str, ...]:
    """The readings that go with the likeliest answer, or that do not; what was touched last goes with its own."""
    weighed = case.weighed
    cause = weighed.likeliest
    said = {slot.value: f"{one.volts:.1f} V {slot.value}" for slot, one in case.counts.items()}
    said[PAIR_VOLTS] = "the generator's own volts"
    lines = [f"{said[name]}: {_goes_with(fits)}" for name, fits in weighed.fits.items() if fits[cause] is fitting]
    touched = odds_by_touch(case.workup.job, case.settings)
    if touched and (cause in touched) is fitting:
        lines.append(f"what was touched last points at: {', '.join(one.value for one in touched)}")
    return tuple(lines)


def _goes_with(fits: Mapping[Cause, bool]) -> str:
    """The answers that a reading goes with, and those that it does not."""
    good = [cause.value for cause in Cause if fits[cause]]
    bad = [cause.value for cause in Cause if not fits[cause]]
    said = f"goes with {', '.join(good)}" if good else "goes with none of the four"
    return f"{said}; not with {', '.join(bad)}" if bad and good else said


def _would_change(case: _Case, found: Verdict) -> tuple[str, ...]:
    """What would change the answer: a reading that is missing, a repeat, or that it was not doing it."""
    if found.answer is Answer.STOP:
        return ("the same reading at the posts on a meter that shows 12.4 to 12.9 V on a rested car battery",)
    within = "outside" if found.answer is Answer.NOTHING_WRONG else "within"
    missing = [f"{box.name} {within} {case.bands[slot].words}" for box, slot in _FIVE if slot not in case.counts]
    return (
        *missing,
        "a repeat on another meter that reads otherwise",
        "that it was not doing it while these were read",
    )


def _cautions(workup: Workup) -> tuple[str, ...]:
    texts = usual_cautions()
    return cautions_for(workup.job, workup.identification, workup.facts, (), texts)


def _assumed(case: _Case) -> tuple[str, ...]:
    job, found = case.workup.job, case.identification
    kinds = [
        f"{kind} ({chance_in_words(found.share_of(REGULATED_BY, kind))})"
        for kind in RegulatedBy
        if found.share_of(REGULATED_BY, kind) >= _WORTH_NAMING
    ]
    lines = [*case.bikes.assumed, f"bands are over everything still possible; what regulates it: {', '.join(kinds)}"]
    if job.riding is None:
        lines.append("tick-over about 1000 rpm, fast about 3000 rpm")
    if case.is_lithium:
        lines.append("a lithium battery, as it was told; how one reads at a current is from little")
    lines += ["shares of faults and the battery's law are assumed", f"system voltage {case.system_voltage_V} V"]
    return tuple(lines)
