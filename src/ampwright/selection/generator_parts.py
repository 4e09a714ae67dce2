"""Rectifiers, stators, rotors and capacitors against one hypothesis."""

from collections.abc import Sequence

from ampwright.identify.hypothesis import Hypothesis
from ampwright.selection.boxes import TO_12_V
from ampwright.selection.facts import Facts, phases_of
from ampwright.selection.judgement import UNKNOWN, Judgement, all_of, cant_say, dont_fit, fits, fits_if
from ampwright.selection.rating import judge_rating
from ampwright.stock.parts import Capacitor, Rectifier, Rotor, Stator
from ampwright.terms import Family, Ignition

# Ripple a capacitor must carry without a battery: what our single-phase classes put into it at
# the top of the speeds, rounded up (a test holds it). Three phases give less.
_RIPPLE_10_A_CLASS, _RIPPLE_15_A_CLASS = 5.0, 8.0
_TEN_AMP_CLASS_UP_TO_A = 10.5


def judge_rectifier(
    rectifier: Rectifier, hypothesis: Hypothesis, facts: Facts, possible: Sequence[Hypothesis]
) -> Judgement:
    """Judge a rectifier alone: it leaves the voltage to whatever else regulates."""
    no_ac = _no_rectified_output(hypothesis.family)
    if no_ac is not None:
        return no_ac
    if hypothesis.family is Family.THREE_PHASE and rectifier.phases == 1:
        return dont_fit("A single-phase rectifier has no place for the third wire.")
    if hypothesis.family is Family.BI_PHASE:
        return dont_fit("A centre-tapped winding needs two diodes to its tap, or a bridge with the tap insulated.")
    rating = judge_rating(
        facts.nameplate_A(hypothesis, possible),
        phases_of(hypothesis.family),
        box_phases=rectifier.phases,
        rated_A=rectifier.rated_A,
        rated_W=None,
        pairings=(),
    )
    holds = "a sound Zener or another regulator stays connected"
    if "Zener" in facts.fitted and hypothesis.system_voltage_V == 12:
        holds = "the Zener stays connected and is sound: a rectifier leaves it in charge of the voltage"
    regulated = fits_if(
        holds, "A rectifier alone does not hold the voltage down; without a regulator it boils the battery."
    )
    return all_of(rating, regulated, _spare_lead(rectifier.phases, hypothesis.family))


def _spare_lead(part_phases: int, family: Family) -> Judgement:
    if part_phases == 3 and family is not Family.THREE_PHASE:
        return fits_if("its spare AC lead is insulated and tied back", "Two of its three legs are used.")
    return fits("Its phases are the generator's.")


def judge_stator(stator: Stator, hypothesis: Hypothesis) -> Judgement:
    """Judge a replacement stator by the rotor it turns round and what follows from it."""
    if hypothesis.family is Family.UNLISTED:
        return dont_fit(UNKNOWN)
    if hypothesis.family is Family.DYNAMO:
        return dont_fit("It goes round a magnet rotor on the crankshaft; this bike has a dynamo.")
    rotor = fits_if(
        f"the rotor on the crankshaft measures {stator.rotor_diameter_mm:g} mm and the gap is even all round",
        "A stator fits one rotor diameter only.",
    )
    if hypothesis.family is Family.ENERGY_TRANSFER:
        change = (
            "ignition, coils and rotor are considered with it: battery-type coils and ignition replace energy transfer"
        )
    elif hypothesis.family is not stator.family:
        change = (
            f"the charging box is made for a {stator.family.value} generator and carries a stator of"
            f" {stator.nameplate_A:g} A"
        )
    else:
        change = f"whatever regulates carries a stator of {stator.nameplate_A:g} A"
    changed = fits_if(change, f"It makes the bike {stator.family.value}, {stator.nameplate_A:g} A.")
    return all_of(rotor, changed, _stator_voltage(stator, hypothesis))


def _stator_voltage(stator: Stator, hypothesis: Hypothesis) -> Judgement:
    if stator.system_voltage_V == hypothesis.system_voltage_V:
        return fits("It is for this bike's voltage.")
    if stator.system_voltage_V == 12:
        return fits_if(TO_12_V, "It is a 12 V stator and this bike runs at 6 V.")
    return dont_fit("It is a 6 V stator; this bike runs at 12 V.")


def judge_rotor(rotor: Rotor, hypothesis: Hypothesis) -> Judgement:
    """Judge a replacement rotor."""
    if hypothesis.family is Family.UNLISTED:
        return dont_fit(UNKNOWN)
    if hypothesis.family is Family.DYNAMO:
        return dont_fit("It is a magnet rotor for the crankshaft; this bike has a dynamo.")
    if hypothesis.family is Family.ENERGY_TRANSFER:
        return cant_say("Energy transfer sparks at one rotor position; its rotor is keyed for it.", "ignition")
    return fits_if(
        f"the stator is made for a {rotor.diameter_mm:g} mm rotor",
        "70 mm and 74 mm rotors look alike and do not interchange.",
    )


def judge_capacitor(
    capacitor: Capacitor, hypothesis: Hypothesis, facts: Facts, possible: Sequence[Hypothesis]
) -> Judgement:
    """Judge a smoothing capacitor by volts, ripple, heat and, without a battery, the ignition."""
    no_ac = _no_rectified_output(hypothesis.family)
    if no_ac is not None:
        return no_ac
    nameplate_A = facts.nameplate_A(hypothesis, possible)
    return all_of(_volts(capacitor, facts), _ripple(capacitor, nameplate_A), _heat(capacitor), _size(capacitor, facts))


def _no_rectified_output(family: Family) -> Judgement | None:
    if family is Family.UNLISTED:
        return dont_fit(UNKNOWN)
    if family is Family.DYNAMO:
        return dont_fit("A dynamo gives DC through its own regulator and has no use for it.")
    if family is Family.ENERGY_TRANSFER:
        return dont_fit("Energy transfer feeds its ignition with AC; there is no DC side to put it on.")
    return None


def _volts(capacitor: Capacitor, facts: Facts) -> Judgement:
    figure = f"rated {capacitor.rated_V:g} V"
    if capacitor.rated_V < 25.0:
        return dont_fit("Its voltage is too low: switching the headlamp off can lift the output above it.", figure)
    held = fits("Its voltage leaves room.", figure)
    if capacitor.rated_V < 35.0:
        held = fits_if("no headlamp is switched off at speed", "25 V is close to what a switched-off headlamp gives.")
    if capacitor.rated_V < 63.0 and "charging box" not in facts.fitted:
        boxed = "a charging box holds the volts; beside a Zener, or nothing, 63 V is wanted"
        return all_of(held, fits_if(boxed, "Without a charging box the volts stray.", figure))
    return held


def _ripple(capacitor: Capacitor, nameplate_A: float) -> Judgement:
    wanted_A = _RIPPLE_10_A_CLASS if nameplate_A <= _TEN_AMP_CLASS_UP_TO_A else _RIPPLE_15_A_CLASS
    if capacitor.ripple_A is None:
        return fits_if(f"its maker's sheet allows {wanted_A:g} A of ripple", "Its ripple rating is not stated.")
    figure = f"ripple {capacitor.ripple_A:g} A against {wanted_A:g} A wanted"
    if capacitor.ripple_A < wanted_A:
        return dont_fit("Its ripple rating is too small for this stator: it would cook.", figure)
    return fits("It carries the ripple.", figure)


def _heat(capacitor: Capacitor) -> Judgement:
    if capacitor.rated_degC < 105.0:
        return fits_if("it is mounted well away from engine heat", "A 105 C type is wanted near an engine.")
    return fits("It stands the heat.")


def _size(capacitor: Capacitor, facts: Facts) -> Judgement:
    figure = f"{capacitor.capacitance_uF:g} uF"
    if (
        facts.wishes.no_battery
        and facts.ignition_seen is not Ignition.ELECTRONIC
        and capacitor.capacitance_uF < 10_000.0
    ):
        return fits_if(
            "it starts with the points shut at kicking speed: 10,000 uF is the usual size for points",
            "Points that stay shut at kicking speed empty a small capacitor.",
            figure,
        )
    if capacitor.capacitance_uF < 4_700.0:
        return dont_fit("It is too small to carry an ignition from pulse to pulse.", figure)
    return fits("Its size is the usual one.", figure)
