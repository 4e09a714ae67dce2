"""This bike's own alternator by its own readings: EMF, ohms, henries, magnet, output, and how sure all that is."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ampwright.bike.job import Job
from ampwright.bike.reading import AnyReading, PairOhmsFound
from ampwright.desk.cases.chart_files import write_chart
from ampwright.desk.cases.no_picture import NoPicture
from ampwright.desk.cases.sharpened import fitted_machine, not_believed
from ampwright.desk.cases.workup import Workup, system_for, work_up
from ampwright.electrics.alternator import Alternator, open_pair_volts
from ampwright.errors import OutsideModel
from ampwright.identify.explanation import answer_words
from ampwright.identify.fit import OUTPUT_SPEEDS_RPM, Figure, Fit, OutputCurve
from ampwright.identify.grid import GENERATOR, SYSTEM_VOLTAGE
from ampwright.identify.system import System, alternator_of
from ampwright.selection.cautions import cautions_for
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.generators import GeneratorClass
from ampwright.terms import chance_in_words, finding_words

if TYPE_CHECKING:
    from ampwright.documents.fit_picture import Curve, FitPicture

# Least belief for which a generator is fitted, and how many are.
_WORTH_A_FIT, _MOST_FITS = 0.05, 3
# The speed at which its EMF is said as volts, and the one by which strong and weak are told.
_OPEN_VOLTS_RPM, _TOLD_AT_RPM = 1000.0, 3000.0
_SLOWEST_RPM, _TOP_RPM, _SPEEDS = 400.0, 7000.0, 60
_ASSUMED = (
    "a cold winding",
    "spreads of class (magnets 10 %), meter, leads and speed",
    "inductance does not fall with the current",
)
_BAND = (
    "Bands hold 90 of 100. Grey and dashed: its class before any reading. Dark: what this bike's own readings leave."
)
# Nothing is bought or wired by this answer: of the cautions that apply those are said that readings are taken by.
_OF_MEASURING = ("always", "battery reversed", "energy transfer", "alternator")

# What each reading would narrow, as it is asked for, the strongest first.
_WOULD_NARROW = {
    "pair_volts": "AC volts between its wires, unplugged, at tick-over, with the meter's Hz: EMF, and output when slow",
    "one_ohm_volts": (
        "AC volts across a 1-ohm resistor of 120 W and more at 3000 rpm, seconds only, it burns: output at speed,"
        " and a weak magnet from a winding of another size"
    ),
    "pair_ohms": "ohms between its wires, cold, and what the probes alone show: the resistance",
    "battery_amps": "DC amps into the battery by clamp, speed and lights known: the least that it gives",
}


@dataclass(frozen=True)
class FigureShown:
    """One quantity: the middle and the 5th and 95th of a hundred, by the readings and in its class before any."""

    name: str
    unit: str
    low: float
    likely: float
    high: float
    class_low: float
    class_likely: float
    class_high: float
    words: str


@dataclass(frozen=True)
class OutputShown:
    """What it gives at a speed with the lights on, by the readings and in its class before any."""

    speed_rpm: float
    low_A: float
    likely_A: float
    high_A: float
    class_low_A: float
    class_likely_A: float
    class_high_A: float
    words: str


@dataclass(frozen=True)
class FittedMachine:
    """
    One generator that is still possible, by the readings.

    ``emf_Vs``, ``resistance_ohm`` and ``inductance_H`` are the middle machine's, by phase; ``not_used`` says of every
    reading that was not weighed why it was not.
    """

    generator: str
    system_voltage_V: int
    chance: str
    says: str
    emf_Vs: float | None
    resistance_ohm: float | None
    inductance_H: float | None
    figures: tuple[FigureShown, ...]
    outputs: tuple[OutputShown, ...]
    used: tuple[str, ...]
    not_used: tuple[str, ...]
    contradictions: tuple[str, ...]
    no_figure: str


@dataclass(frozen=True)
class FitAnswer:
    """The machines that this bike's alternator may be, likeliest first, and what would narrow them more."""

    number: str
    title: str
    stop_first: str
    battery_line: str
    machines: tuple[FittedMachine, ...]
    would_narrow: tuple[str, ...]
    assumed: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class _Fitted:
    generator: GeneratorClass
    system_voltage_V: int
    belief: float
    system: System | None
    fit: Fit | None


def fit_job(job: Job) -> FitAnswer:
    """A job's alternator by its own readings."""
    return fit_answer(work_up(job))


def fit_answer(workup: Workup) -> FitAnswer:
    """The alternator of a job that was worked up, by its own readings."""
    found = _fitted(workup)
    back = not_believed(workup)
    applies = cautions_for(workup.job, workup.identification, workup.facts, (), usual_cautions())
    of_measuring = [text for when, text in usual_cautions().items() if when in _OF_MEASURING]
    return FitAnswer(
        number=workup.job.number,
        title=workup.job.title,
        stop_first=workup.stop_first,
        battery_line=workup.battery_line,
        machines=tuple(_machine(one, back) for one in found),
        would_narrow=_would_narrow(found),
        assumed=_ASSUMED,
        cautions=tuple(text for text in applies if text in of_measuring),
    )


def fit_svg(job: Job) -> str:
    """What the likeliest alternator gives over speed, its class's band in grey and its own on it, as SVG."""
    from ampwright.documents.fit_picture import svg

    return svg(_picture_to_show(job))


def write_fit_chart(job: Job, path: str) -> None:
    """Write that chart as a file whose ending says what it is: .svg or .png."""
    from ampwright.documents.fit_picture import png, svg

    picture = _picture_to_show(job)
    write_chart(path, {"svg": lambda: svg(picture), "png": lambda: png(picture)})


def fit_picture(found: Workup | Job) -> "FitPicture | NoPicture":
    """The chart of the likeliest alternator that has figures, or why there is none."""
    from ampwright.documents.fit_picture import FitPicture

    workup = work_up(found) if isinstance(found, Job) else found
    if workup.stop_first:
        return NoPicture(workup.stop_first)
    one = next((one for one in _fitted(workup) if one.fit is not None), None)
    if one is None or one.fit is None:
        return NoPicture("There is no chart: no generator that is still possible has figures of a magnet's winding.")
    speed_rpm = np.linspace(_SLOWEST_RPM, _TOP_RPM, _SPEEDS)
    read = ", ".join(dict.fromkeys(one.fit.used))
    by = f"Read: {read}." if read else "Nothing was read that tells its size."
    return FitPicture(
        title=f"What it gives: {one.generator.name}, job {workup.job.number}",
        speed_rpm=tuple(speed_rpm.tolist()),
        of_class=_curve(one.fit.class_output(speed_rpm)),
        now=_curve(one.fit.output(speed_rpm)),
        notes=(_BAND, by),
    )


def _picture_to_show(job: Job) -> "FitPicture":
    picture = fit_picture(job)
    if isinstance(picture, NoPicture):
        raise OutsideModel(picture.reason)
    return picture


def _curve(output: OutputCurve) -> "Curve":
    from ampwright.documents.fit_picture import Curve

    return Curve(
        *(tuple(round(float(amps), 3) for amps in line) for line in (output.low_A, output.middle_A, output.high_A))
    )


def _fitted(workup: Workup) -> list[_Fitted]:
    """Generator and voltage still possible, all else taken together, likeliest first."""
    axes = (GENERATOR, SYSTEM_VOLTAGE)
    share = workup.outlook.belief_over(axes)
    likely = sorted(workup.outlook.places(axes), key=lambda each: -float(share[each[0]]))[:_MOST_FITS]
    found: list[_Fitted] = []
    for place, (generator, volts) in likely:
        belief = float(share[place])
        if found and belief < _WORTH_A_FIT:
            break
        system = system_for(workup, generator, volts)
        found.append(
            _Fitted(generator, volts, belief, system, None if system is None else fitted_machine(workup, system))
        )
    return found


def _machine(one: _Fitted, back: tuple[tuple[AnyReading, str], ...]) -> FittedMachine:
    found = one.fit
    name, chance = one.generator.name, chance_in_words(one.belief)
    if found is None or one.system is None:
        why = (
            one.generator.no_figure or "it has no magnet's winding of fixed figures, so its readings size nothing here"
        )
        return FittedMachine(
            name, one.system_voltage_V, chance, f"No figure: {why}.", None, None, None, (), (), (), _said(back), (), why
        )
    return FittedMachine(
        generator=name,
        system_voltage_V=one.system_voltage_V,
        chance=chance,
        says=_says(found),
        emf_Vs=found.now.emf_Vs.middle,
        resistance_ohm=found.now.resistance_ohm.middle,
        inductance_H=found.now.inductance_H.middle,
        figures=tuple(_figures(found, one.generator)),
        outputs=tuple(_outputs(found)),
        used=tuple(_words(reading) for reading in found.readings),
        not_used=_said((*found.not_weighed, *back)),
        contradictions=found.contradictions,
        no_figure="",
    )


def _words(found: AnyReading) -> str:
    return f"{finding_words(found.what)}: {answer_words(found)}"


def _said(excused: tuple[tuple[AnyReading, str], ...]) -> tuple[str, ...]:
    return tuple(f"{_words(found)}: {why}" for found, why in excused)


def _says(found: Fit) -> str:
    """In one sentence: strong, weak or as usual, and how sure that is."""
    if not found.readings:
        return "Nothing that was read tells its size: these are the figures of its class."
    if found.contradictions:
        return "The readings contradict its class or one another: trust no figure here before they are read again."
    at = OUTPUT_SPEEDS_RPM.index(_TOLD_AT_RPM)
    now, usual = found.now.output_A[at], found.of_class.output_A[at]
    either_way = 50.0 * (now.high - now.low) / now.middle
    gives = f"At {_TOLD_AT_RPM:.0f} rpm it gives about {now.middle:.1f} A, {either_way:.0f} % either way"
    usually = f"{usual.low:.1f} to {usual.high:.1f} A"
    if now.high < usual.low or now.low > usual.high:
        return f"{gives}: {_strong_or_weak(now, usual)} than its class ({usually}), almost certainly."
    if not usual.low <= now.middle <= usual.high:
        return f"{gives}: probably {_strong_or_weak(now, usual)} than its class ({usually})."
    if now.high < usual.middle or now.low > usual.middle:
        return f"{gives}: within its class ({usually}), one of the {_strong_or_weak(now, usual)} ones."
    return f"{gives}: as its class gives ({usually})."


def _strong_or_weak(now: Figure, usual: Figure) -> str:
    return "weaker" if now.middle < usual.middle else "stronger"


def _figures(found: Fit, generator: GeneratorClass) -> Iterator[FigureShown]:
    now, usual, volts = found.now, found.of_class, _open_volts_of(generator)
    yield _shown(
        f"AC volts between two wires, open, at {_OPEN_VOLTS_RPM:.0f} rpm", "V", now.emf_Vs, usual.emf_Vs, volts
    )
    yield _shown("winding, each phase", "ohm", now.resistance_ohm, usual.resistance_ohm, 1.0)
    yield _shown("inductance, each phase", "mH", now.inductance_H, usual.inductance_H, 1e3)
    yield _shown("magnet against a usual one", "%", now.magnet_share, usual.magnet_share, 100.0)
    if any(isinstance(one, PairOhmsFound) and one.lead_ohm is None for one in found.readings):
        yield _shown("the meter's own leads", "ohm", now.lead_ohm, usual.lead_ohm, 1.0)


def _open_volts_of(generator: GeneratorClass) -> float:
    """Open volts between two wires at the told speed, for each volt-second of EMF."""
    machine = alternator_of(generator)
    if machine is None:
        raise ValueError(f"{generator.key} was fitted and has no winding")  # a fit is of such classes alone
    one = Alternator(machine.phases, machine.pole_pairs, 1.0, machine.resistance_ohm, machine.inductance_H)
    return float(open_pair_volts(one, _OPEN_VOLTS_RPM))


def _shown(name: str, unit: str, now: Figure, usual: Figure, times: float) -> FigureShown:
    own, of_class = _times(now, times), _times(usual, times)
    return FigureShown(
        name=name,
        unit=unit,
        low=own.low,
        likely=own.middle,
        high=own.high,
        class_low=of_class.low,
        class_likely=of_class.middle,
        class_high=of_class.high,
        words=_band_words(own, of_class, unit),
    )


def _times(figure: Figure, times: float) -> Figure:
    return Figure(times * figure.low, times * figure.middle, times * figure.high)


def _outputs(found: Fit) -> Iterator[OutputShown]:
    for rpm, own, of_class in zip(OUTPUT_SPEEDS_RPM, found.now.output_A, found.of_class.output_A, strict=True):
        yield OutputShown(
            speed_rpm=rpm,
            low_A=own.low,
            likely_A=own.middle,
            high_A=own.high,
            class_low_A=of_class.low,
            class_likely_A=of_class.middle,
            class_high_A=of_class.high,
            words=_band_words(own, of_class, "A"),
        )


def _band_words(own: Figure, of_class: Figure, unit: str) -> str:
    digits = 0 if own.middle >= 20.0 else 1 if own.middle >= 2.0 else 2

    def said(figure: Figure) -> str:
        return f"({figure.low:.{digits}f} to {figure.high:.{digits}f})"

    return f"{own.middle:.{digits}f} {unit} {said(own)}; its class {of_class.middle:.{digits}f} {said(of_class)}"


def _would_narrow(found: list[_Fitted]) -> tuple[str, ...]:
    """What was not read yet, or does not count; nothing where no machine can be fitted."""
    fits = [one.fit for one in found if one.fit is not None]
    if not fits:
        return ()
    have = {reading.what for reading in fits[0].readings}
    return tuple(words for what, words in _WOULD_NARROW.items() if what not in have)
