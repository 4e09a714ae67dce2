"""Charging boxes and dynamo regulators against one hypothesis."""

from collections.abc import Sequence
from dataclasses import replace

from ampwright.electrics.alternator import open_pair_volts
from ampwright.identify.hypothesis import Hypothesis
from ampwright.identify.system import CHARGING_V, alternator_of, dynamo_rated_A
from ampwright.selection.facts import Facts, phases_of
from ampwright.selection.judgement import UNKNOWN, Judgement, all_of, cant_say, dont_fit, fits, fits_if
from ampwright.selection.rating import REFUSED_UNDER, judge_rating
from ampwright.stock.parts import BoxEarth, ChargingBox, DynamoRegulator
from ampwright.terms import Earth, Family, Ignition, Verdict

# Series types stand off the whole open voltage: limit over peak open volts at the
# fastest the engine turns (common practice, no source).
_OPEN_VOLTS_MARGIN = 1.5
# The open wave is peakier than a sine: 30 V peak on a winding of 13.5 V rms (owners' test-rig paper).
_PEAK_OVER_RMS = 30.0 / 13.5

# Set-points at the posts that suit a flooded battery (common practice, no source).
_SET_POINT_V = {6: (6.9, 7.3), 12: (14.0, 14.5)}

TO_12_V = "the whole bike is changed to 12 V: battery, every bulb, coil, horn and flasher"
JOIN = "the two wires that read about 0 V AC between them are joined, and no others"


def judge_charging_box(
    box: ChargingBox, hypothesis: Hypothesis, facts: Facts, possible: Sequence[Hypothesis]
) -> Judgement:
    """Judge a charging box: family, phases, voltage, earth, rating, and running without a battery."""
    wrong_family = _not_for_a_charging_box(box, hypothesis.family)
    if wrong_family is not None:
        return wrong_family
    rating = judge_rating(
        facts.nameplate_A(hypothesis, possible),
        phases_of(hypothesis.family),
        box_phases=box.phases,
        rated_A=box.rated_A,
        rated_W=box.rated_W,
        pairings=box.pairings,
    )
    # What is dangerous comes first, since of several refusals the first is the one that is said.
    together = all_of(
        _earth(box.earth, hypothesis.earth),
        _phases(box, hypothesis.family),
        _voltage(box, hypothesis, facts),
        rating,
        _open_volts(box, hypothesis, facts),
        _set_point(box.set_point_V, box.no_load_V, box.system_voltage_V),
        _without_battery(box, facts),
    )
    return replace(together, reason=rating.reason) if together.verdict is Verdict.FITS else together


def judge_dynamo_regulator(regulator: DynamoRegulator, hypothesis: Hypothesis, facts: Facts) -> Judgement:
    """Judge a dynamo regulator: it is made for a dynamo of one voltage and usually one earth."""
    if hypothesis.family is Family.UNLISTED:
        return dont_fit(UNKNOWN)
    if hypothesis.family is not Family.DYNAMO:
        return dont_fit("It controls a dynamo's field; this generator has none to control.")
    rating = _dynamo_rating(regulator, hypothesis, facts)
    together = all_of(
        _earth(regulator.earth, hypothesis.earth),
        _dynamo_voltage(regulator, hypothesis),
        rating,
        _set_point(regulator.set_point_V, None, regulator.system_voltage_V),
    )
    return replace(together, reason=rating.reason) if together.verdict is Verdict.FITS else together


def _not_for_a_charging_box(box: ChargingBox, family: Family) -> Judgement | None:
    if family is Family.UNLISTED:
        return dont_fit(UNKNOWN)
    if family is Family.DYNAMO:
        return dont_fit("It is made for a magnet alternator; a dynamo needs its field controlled.")
    if family is Family.ENERGY_TRANSFER:
        return dont_fit(
            "Energy transfer feeds its ignition coils with AC: no ordinary box goes on it. A change needs"
            " ignition, coils, stator and rotor considered together."
        )
    if family is Family.BI_PHASE and not box.bi_phase:
        return dont_fit("A centre-tapped winding needs a box whose maker names it for bi-phase.")
    return None


def _phases(box: ChargingBox, family: Family) -> Judgement:
    if family is Family.THREE_PHASE and box.phases == 1:
        # The share left is computed from our classes (a test holds it); the shorted current of two
        # wires is no overload, so this is refused for weakness and not for heat.
        return dont_fit(
            "A single-phase box takes two of three wires and leaves about half of the output where people ride."
            " To get home only, with the third wire insulated."
        )
    if family is not Family.THREE_PHASE and box.phases == 3:
        return fits_if(
            "its spare AC lead is insulated and tied back",
            "A three-phase box works on two wires with two of its three legs.",
        )
    return fits("Its phases are the generator's.")


def _earth(box_earth: BoxEarth, earth: Earth) -> Judgement:
    if box_earth.refused_on(earth):
        if box_earth is BoxEarth.SHELL_IS_MINUS:
            return dont_fit("Its shell is minus: bolted to a positive-earth frame it is a dead short.")
        return dont_fit(f"It is made for {box_earth.value}; this bike would be {earth.value}.")
    if box_earth is BoxEarth.NOT_STATED:
        return fits_if(
            "its maker says either earth, or every lead reads over 100 kohm to the shell and red and black both"
            " leave it",
            "Its maker does not say how it meets the frame.",
        )
    return fits("It suits this earth.")


def _voltage(box: ChargingBox, hypothesis: Hypothesis, facts: Facts) -> Judgement:
    running_V, box_V = hypothesis.system_voltage_V, box.system_voltage_V
    if running_V == 12 and box_V == 6:
        return dont_fit("It holds 6 V; this bike runs at 12 V.")
    # Where only two thick wires leave it, its branches are joined inside already.
    to_be_joined = hypothesis.family is Family.SWITCHED_SINGLE_PHASE and facts.thick_wires != 2
    if to_be_joined and not facts.join_pair_read:
        return cant_say(
            "Two wires of a three-wire single-phase stator are put together only where a pair was measured at about"
            " 0 V AC and nothing speaks for three phases; told from memory is not enough.",
            "pair_volts",
        )
    conditions = []
    if to_be_joined:
        conditions.append(fits_if(JOIN, "With those two wires joined it is a two-wire machine."))
    if running_V == 6 and box_V == 12:
        conditions.append(fits_if(TO_12_V, "It holds 12 V and this bike runs at 6 V."))
    return all_of(fits("It holds this bike's voltage."), *conditions)


def _open_volts(box: ChargingBox, hypothesis: Hypothesis, facts: Facts) -> Judgement:
    machine = alternator_of(hypothesis)
    if box.topology != "series":
        return fits("It shorts the winding, so open volts do not reach it.")
    if machine is None:
        return fits_if(
            "its maker allows this generator's open volts at the fastest the engine turns",
            "A series box stands off the generator's open volts, and they are not known for this one.",
        )
    peak_V = _PEAK_OVER_RMS * float(open_pair_volts(machine, facts.top_speed_rpm))
    if box.input_limit_V is None:
        return fits_if(
            f"its maker allows {_OPEN_VOLTS_MARGIN * peak_V:.0f} V at its AC leads",
            "A series box stands off the generator's open volts, and its maker's limit is not known.",
        )
    figure = f"limit {box.input_limit_V:g} V, peak open volts {peak_V:.0f} V at {facts.top_speed_rpm:.0f} rpm"
    if box.input_limit_V < _OPEN_VOLTS_MARGIN * peak_V:
        return dont_fit(
            f"The generator's open volts are too near its limit: {_OPEN_VOLTS_MARGIN:g} times the peak is wanted.",
            figure,
        )
    return fits("It stands off the generator's open volts.", figure)


def _without_battery(box: ChargingBox, facts: Facts) -> Judgement:
    if not facts.wishes.no_battery:
        return fits("With a battery.")
    if box.without_battery == "no":
        return dont_fit("No battery is wanted, and its maker does not allow running without one.")
    held = fits("It runs without a battery.")
    if not box.capacitor_inside:
        held = fits_if("a capacitor is fitted beside it", "Without a battery something must smooth its output.")
    if facts.ignition_seen is None:
        return cant_say("Without a battery it depends on the ignition.", "ignition")
    if facts.ignition_seen is Ignition.ELECTRONIC and box.without_battery == "points":
        return all_of(
            held,
            fits_if(
                "the charging system is in top condition, stator and rotor renewed, or a battery is kept",
                "Its maker allows running without a battery on points only.",
            ),
        )
    return held


def _dynamo_voltage(regulator: DynamoRegulator, hypothesis: Hypothesis) -> Judgement:
    if regulator.system_voltage_V == hypothesis.system_voltage_V:
        return fits("It holds this bike's voltage.")
    if regulator.system_voltage_V == 12:
        return fits_if(f"{TO_12_V}; it then charges from a higher speed", "It holds 12 V and this bike runs at 6 V.")
    return dont_fit("It holds 6 V; this bike runs at 12 V.")


def _dynamo_rating(regulator: DynamoRegulator, hypothesis: Hypothesis, facts: Facts) -> Judgement:
    usual_A = dynamo_rated_A(hypothesis.generator, regulator.system_voltage_V)
    marked_A = facts.marked_A(trade_V=CHARGING_V[regulator.system_voltage_V])
    dynamo_A = max(usual_A, marked_A or 0.0)
    figure = f"regulator {regulator.rated_A:g} A on a dynamo of {dynamo_A:.1f} A"
    if regulator.rated_A >= REFUSED_UNDER * dynamo_A:
        return fits("It carries this dynamo.", figure)
    return dont_fit("It is too small for this dynamo.", figure)


def _set_point(set_point_V: float, no_load_V: float | None, system_voltage_V: int) -> Judgement:
    """Judge a set-point against what a flooded battery stands for hours, at the posts and 25 C."""
    low_V, high_V = _SET_POINT_V[system_voltage_V]
    shown_V = max(set_point_V, no_load_V or set_point_V)
    figure = f"holds {set_point_V:g} V" + (f", {no_load_V:g} V without a battery" if no_load_V else "")
    if shown_V > high_V:
        return fits_if(f"it measures under {high_V:g} V at the posts, battery on", "Its volts are high.", figure)
    if set_point_V < low_V:
        return fits_if(f"it measures {low_V:g} V or more at the posts", "Its volts are too low.", figure)
    return fits("It holds the right volts.")
