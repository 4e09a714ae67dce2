"""Rules for charging boxes, and for the regulators of dynamos, wound fields and direct lighting."""

from ampwright.electrics.alternator import open_pair_volts
from ampwright.identify.grid import BATTERY, EARTH, GENERATOR, IGNITION, ROTOR, SYSTEM_VOLTAGE
from ampwright.identify.system import alternator_of, dynamo_rated_A
from ampwright.selection.battery_side import battery_on_it, lithium_on_control, set_point, without_battery
from ampwright.selection.facts import Facts, WindingFault, phases_of
from ampwright.selection.fitted_already import ammeter, ammeter_on_a_dynamo, charge_lamp
from ampwright.selection.judgement import (
    NOT_JUDGED_HERE,
    UNKNOWN,
    Judgement,
    all_of,
    cant_say,
    dont_fit,
    fits,
    fits_if,
    fits_when_fitted_so,
)
from ampwright.selection.rating import REFUSED_UNDER, judge_rating
from ampwright.selection.rules import Rule
from ampwright.stock.generators import GeneratorClass
from ampwright.stock.parts import (
    BoxEarth,
    Cable,
    Capacitor,
    ChargingBox,
    DynamoRegulator,
    FieldRegulator,
    LightingRegulator,
    Rectifier,
    Zener,
)
from ampwright.terms import Earth, Family, Rotor

# Series types stand off the whole open voltage: limit over peak open volts at the
# fastest the engine turns (common practice, no source).
_OPEN_VOLTS_MARGIN = 1.5
# The open wave is peakier than a sine: 30 V peak on a winding of 13.5 V rms (owners' test-rig paper).
_PEAK_OVER_RMS = 30.0 / 13.5

TO_12_V = "the whole bike is changed to 12 V: battery, every bulb, coil, horn and flasher"
JOIN = "the two wires that read about 0 V AC between them are joined, and no others"

# By the finding that told of a faulty winding: what it means, and what must be done first.
_FAULTY = {
    "wires_to_engine": (
        "A generator wire beeps to the engine: its winding is earthed, and what rectifies it would short it.",
        "no generator wire beeps to the engine any more: the winding is freed of it or renewed first",
    ),
    "pair_ohms": (
        "A pair of generator wires reads open: a winding or its lead is broken.",
        "no pair of generator wires reads open any more: the break is mended or the stator renewed first",
    ),
}
# Families whose winding feeds a charging box by its wires as they come.
_BOXABLE = (Family.SINGLE_PHASE, Family.SWITCHED_SINGLE_PHASE, Family.THREE_PHASE, Family.BI_PHASE)


def charging_box_rules(no_battery: bool) -> tuple[Rule, ...]:
    """The rules of a charging box, the dangerous ones first: of several refusals the first is the one that is said."""
    rules = [
        Rule((GENERATOR,), _family, ("bi_phase",)),
        Rule((EARTH,), _earth, ("earth",)),
        Rule((GENERATOR,), _phases, ("phases",)),
        Rule(
            (GENERATOR, SYSTEM_VOLTAGE),
            _voltage,
            ("system_voltage_V",),
            ("two_wires", "join_pair_read", "changes_over"),
        ),
        Rule(
            (GENERATOR,),
            _rating,
            ("pairings", "phases", "rated_A", "rated_W", "system_voltage_V"),
            ("rating",),
            says=True,
        ),
        Rule((GENERATOR,), winding_is_whole, (), ("winding_faults",)),
        Rule((GENERATOR,), _open_volts, ("input_limit_V", "topology"), ("top_speed_rpm",)),
        Rule((SYSTEM_VOLTAGE, BATTERY), set_point, ("no_load_V", "set_point_V", "system_voltage_V"), ("no_battery",)),
        Rule(
            (SYSTEM_VOLTAGE, BATTERY),
            battery_on_it,
            ("capacitor_inside", "lithium_safe", "no_load_V", "system_voltage_V", "without_battery"),
            ("no_battery",),
        ),
        Rule((ROTOR,), _rotor, (), ("rotor_is_doubted",)),
        Rule((), charge_lamp, ("charge_lamp",), ("charge_lamp_fitted",)),
        Rule((GENERATOR,), ammeter, (), ("ammeter",)),
        Rule((GENERATOR,), no_newer_machine, (), ("size_is_known",)),
    ]
    if no_battery:
        rules.append(Rule((IGNITION,), without_battery, ("capacitor_inside", "without_battery")))
    return tuple(rules)


def dynamo_regulator_rules(no_battery: bool) -> tuple[Rule, ...]:
    """The rules of a dynamo regulator: it is made for a dynamo of one voltage and usually one earth."""
    return (
        Rule((GENERATOR,), _for_a_dynamo, ()),
        Rule((EARTH,), _earth, ("earth",)),
        Rule((SYSTEM_VOLTAGE,), _changed_over, ("system_voltage_V",), ("changes_over",)),
        Rule((GENERATOR,), _dynamo_rating, ("rated_A", "system_voltage_V"), ("marked_dynamo_A",), says=True),
        Rule((SYSTEM_VOLTAGE, BATTERY), set_point, ("set_point_V", "system_voltage_V"), ("no_battery",)),
        Rule((SYSTEM_VOLTAGE, BATTERY), lithium_on_control, ("system_voltage_V",), ("no_battery",)),
        Rule((GENERATOR,), _two_brushes, (), ("brushes_seen",)),
        Rule((GENERATOR,), ammeter_on_a_dynamo, ("system_voltage_V",), ("ammeter", "marked_dynamo_A")),
    )


def field_regulator_rules(no_battery: bool) -> tuple[Rule, ...]:
    """The rules of a regulator for a wound field."""
    return (
        Rule((GENERATOR,), _for_a_wound_field, ("rated_field_A", "system_voltage_V")),
        Rule((EARTH,), _earth, ("earth",)),
        Rule((SYSTEM_VOLTAGE,), _changed_over, ("system_voltage_V",), ("changes_over",)),
        Rule((SYSTEM_VOLTAGE, BATTERY), set_point, ("set_point_V", "system_voltage_V"), ("no_battery",)),
        Rule((SYSTEM_VOLTAGE, BATTERY), lithium_on_control, ("system_voltage_V",), ("no_battery",)),
    )


def lighting_regulator_rules(no_battery: bool) -> tuple[Rule, ...]:
    """The rules of an AC regulator for direct lighting."""
    return (
        Rule((GENERATOR,), _for_direct_lighting, ("rated_W", "winding"), ("marked_W",)),
        Rule((SYSTEM_VOLTAGE,), _changed_over, ("system_voltage_V",), ("changes_over",)),
    )


def _family(box: ChargingBox, facts: Facts, generator: GeneratorClass) -> Judgement:
    match generator.family:
        case Family.UNLISTED:
            return dont_fit(UNKNOWN)
        case Family.DYNAMO:
            return dont_fit("It is made for a magnet alternator; a dynamo needs its field controlled.")
        case Family.WOUND_FIELD:
            return dont_fit(
                "It is made for a magnet rotor; an alternator with a wound field needs its field fed and controlled."
            )
        case Family.ENERGY_TRANSFER:
            return dont_fit(
                "Energy transfer feeds its ignition coils with AC: no ordinary box goes on it. A change needs"
                " ignition, coils, stator and rotor considered together."
            )
        case Family.DIRECT_LIGHTING:
            return dont_fit(
                "Direct lighting mostly has one end of its winding on the engine, and a box there shorts half of it."
                " It is changed in the workshop after that end was lifted, never on the telephone."
            )
        case Family.BI_PHASE if not box.bi_phase:
            return dont_fit("A centre-tapped winding needs a box whose maker names it for bi-phase.")
    return fits("It is made for this kind.")


def _phases(box: ChargingBox, facts: Facts, generator: GeneratorClass) -> Judgement:
    family = generator.family
    if family not in _BOXABLE:
        return NOT_JUDGED_HERE
    if family is Family.THREE_PHASE and box.phases == 1:
        # The share left is computed from our classes (a test holds it); the shorted current of two
        # wires is no overload, so this is refused for weakness and not for heat.
        return dont_fit(
            "A single-phase box takes two of three wires and leaves about half of the output where people ride."
            " To get home only, with the third wire insulated."
        )
    if family is not Family.THREE_PHASE and box.phases == 3:
        return fits_when_fitted_so(
            "its spare AC lead is insulated and tied back",
            "A three-phase box works on two wires with two of its three legs.",
        )
    return fits("Its phases are the generator's.")


def _earth(part: ChargingBox | DynamoRegulator | FieldRegulator, facts: Facts, earth: Earth) -> Judgement:
    if part.earth.refused_on(earth):
        if part.earth is BoxEarth.SHELL_IS_MINUS:
            return dont_fit("Its shell is minus: bolted to a positive-earth frame it is a dead short.")
        return dont_fit(f"It is made for {part.earth.value}; this bike would be {earth.value}.")
    if part.earth is BoxEarth.NOT_STATED:
        return fits_if(
            "its maker says either earth, or every lead reads over 100 kohm to the shell and red and black both"
            " leave it",
            "Its maker does not say how it meets the frame.",
        )
    return fits("It suits this earth.")


def _rating(box: ChargingBox, facts: Facts, generator: GeneratorClass) -> Judgement:
    if generator.family not in _BOXABLE:
        return NOT_JUDGED_HERE
    return judge_rating(
        facts.nameplate_A(generator),
        phases_of(generator.family),
        box_phases=box.phases,
        rated_A=box.rated_A,
        rated_W=box.rated_W,
        pairings=box.pairings,
        system_voltage_V=box.system_voltage_V,
    )


def no_newer_machine(
    part: ChargingBox | Rectifier | Zener | Capacitor | Cable, facts: Facts, generator: GeneratorClass
) -> Judgement:
    """Whoever fits it looks whether the machine is one of more amps than any that we list."""
    if facts.size_is_known or generator.family not in _BOXABLE:
        return NOT_JUDGED_HERE
    return fits_when_fitted_so(
        "it is no newer machine of 20 A and more (18 coils)",
        "Nobody has read its rating or counted its coils, and newer machines give more.",
    )


def winding_is_whole(part: ChargingBox | Rectifier | Zener, facts: Facts, generator: GeneratorClass) -> Judgement:
    """A winding that is joined to the engine, or open, is mended before anything is put on it."""
    if not facts.winding_faults or generator.family not in _BOXABLE:
        return NOT_JUDGED_HERE
    return all_of(*map(_mended, facts.winding_faults))


def _mended(fault: WindingFault) -> Judgement:
    reason, condition = _FAULTY[fault.told_by]
    if fault.is_proved:
        return fits_if(condition, reason)
    return cant_say(f"{reason} That was told and is to be measured.", fault.told_by)


def _voltage(box: ChargingBox, facts: Facts, generator: GeneratorClass, running_V: int) -> Judgement:
    if running_V == 12 and box.system_voltage_V == 6:
        return dont_fit("It holds 6 V; this bike runs at 12 V.")
    # Where only two thick wires leave it, its branches are joined inside already.
    to_be_joined = generator.family is Family.SWITCHED_SINGLE_PHASE and not facts.two_wires
    if to_be_joined and not facts.join_pair_read:
        return cant_say(
            "Two wires of a three-wire single-phase stator are put together only where a pair was measured at about"
            " 0 V AC and nothing speaks for three phases; told from memory is not enough.",
            "pair_volts",
            *(("thick_wires",) if facts.two_wires is None else ()),
        )
    to_12_V = running_V == 6 and box.system_voltage_V == 12
    held = _to_12_V(facts, "It holds 12 V and this bike runs at 6 V.") if to_12_V else _holds(box, facts)
    if not to_be_joined:
        return held
    return all_of(fits_when_fitted_so(JOIN, "With those two wires joined it is a two-wire machine."), held)


def _holds(part: ChargingBox | DynamoRegulator | FieldRegulator | LightingRegulator, facts: Facts) -> Judgement:
    if part.system_voltage_V == 6 and facts.changes_over:
        return fits_if("the change to 12 V is given up", "It holds 6 V, and 12 V is wanted.")
    return fits("It holds this bike's voltage.")


def _to_12_V(facts: Facts, reason: str) -> Judgement:
    """A condition that the owner has decided already where he rang for the change."""
    return fits_when_fitted_so(TO_12_V, reason) if facts.changes_over else fits_if(TO_12_V, reason)


def _changed_over(
    part: DynamoRegulator | FieldRegulator | LightingRegulator, facts: Facts, running_V: int
) -> Judgement:
    if part.system_voltage_V == 6 and running_V == 12:
        return dont_fit("It holds 6 V; this bike runs at 12 V.")
    if part.system_voltage_V == running_V:
        return _holds(part, facts)
    held = _to_12_V(facts, "It holds 12 V and this bike runs at 6 V.")
    if not isinstance(part, DynamoRegulator):
        return held
    return all_of(held, fits_when_fitted_so("it is known that it then charges from a higher speed", held.reason))


def _open_volts(box: ChargingBox, facts: Facts, generator: GeneratorClass) -> Judgement:
    if box.topology != "series" or generator.family not in _BOXABLE:
        return fits("It shorts the winding, so open volts do not reach it.")
    machine = alternator_of(generator)
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


def _rotor(box: ChargingBox, facts: Facts, rotor: Rotor) -> Judgement:
    if rotor is Rotor.MATCHED:
        return fits("The rotor is the stator's own size.")
    if facts.rotor_is_doubted:
        return fits_if(
            "a rotor of the stator's own size is fitted first: with another the generator hardly charges",
            "The rotor is probably of another size than the stator's.",
        )
    return fits_when_fitted_so(
        "the rotor is measured and is the stator's own size, or the generator hardly charges",
        "The rotor may be of another size than the stator's.",
    )


def _for_a_dynamo(regulator: DynamoRegulator, facts: Facts, generator: GeneratorClass) -> Judgement:
    if generator.family is Family.UNLISTED:
        return dont_fit(UNKNOWN)
    if generator.family is not Family.DYNAMO:
        return dont_fit("It controls a dynamo's field; this generator has none to control.")
    return fits("It is made for a dynamo.")


def _two_brushes(regulator: DynamoRegulator, facts: Facts, generator: GeneratorClass) -> Judgement:
    """A third brush sets the charge by itself; such a dynamo looks like others from outside."""
    if facts.brushes_seen or generator.family is not Family.DYNAMO:
        return NOT_JUDGED_HERE
    return fits_when_fitted_so(
        "the dynamo has two brushes, not a third on a slider", "A dynamo with a third brush takes no such regulator."
    )


def _dynamo_rating(regulator: DynamoRegulator, facts: Facts, generator: GeneratorClass) -> Judgement:
    if generator.family is not Family.DYNAMO:
        return NOT_JUDGED_HERE
    usual_A = dynamo_rated_A(generator, regulator.system_voltage_V)
    dynamo_A = max(usual_A, dict(facts.marked_dynamo_A)[regulator.system_voltage_V])
    figure = f"regulator {regulator.rated_A:g} A on a dynamo of {dynamo_A:.1f} A"
    if regulator.rated_A >= dynamo_A:
        return fits("It carries this dynamo.", figure)
    if regulator.rated_A >= REFUSED_UNDER * dynamo_A:
        return fits_if(
            f"its maker says in writing that it suits a dynamo of {dynamo_A:.1f} A",
            "It is at its limit with this dynamo.",
            figure,
        )
    return dont_fit("It is too small for this dynamo.", figure)


def _for_a_wound_field(regulator: FieldRegulator, facts: Facts, generator: GeneratorClass) -> Judgement:
    if generator.family is Family.UNLISTED:
        return dont_fit(UNKNOWN)
    if generator.family is not Family.WOUND_FIELD:
        return dont_fit("It feeds a wound field; this generator has none.")
    return fits_if(
        f"the field measures {regulator.system_voltage_V / regulator.rated_field_A:.1f} ohm or more, and its maker"
        " names the same end of the field as switched",
        "Fields are switched at one end or the other, and a regulator is made for one of them.",
        f"field up to {regulator.rated_field_A:g} A",
    )


def _for_direct_lighting(regulator: LightingRegulator, facts: Facts, generator: GeneratorClass) -> Judgement:
    if generator.family is Family.UNLISTED:
        return dont_fit(UNKNOWN)
    if generator.family is not Family.DIRECT_LIGHTING:
        return dont_fit("It holds the AC volts of direct lighting; this generator charges a battery.")
    read_W = facts.marked_W
    figure = f"regulator {regulator.rated_W:g} W, winding {'not read' if read_W is None else f'{read_W:g} W'}"
    if read_W is not None and read_W > regulator.rated_W:
        return dont_fit("It burns what the lamps leave, and this winding gives more watts than it carries.", figure)
    carried = f"the winding gives at most {regulator.rated_W:g} W and " if read_W is None else "the winding "
    return fits_if(
        f"{carried}is {regulator.winding or 'as its maker wants it, one end earthed or floating'}",
        "It burns what the lamps leave of the winding's watts.",
        figure,
    )
