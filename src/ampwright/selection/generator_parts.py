"""Rules for rectifiers, Zeners, capacitors, stators and rotors."""

from ampwright.identify.grid import BATTERY, EARTH, GENERATOR, IGNITION, REGULATED_BY, ROTOR, SYSTEM_VOLTAGE
from ampwright.selection.battery_side import battery_on_a_rectifier, battery_on_a_zener
from ampwright.selection.boxes import TO_12_V, no_newer_machine, winding_is_whole
from ampwright.selection.facts import Facts, phases_of
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
from ampwright.selection.rating import judge_rating
from ampwright.selection.rules import Rule
from ampwright.stock.generators import GeneratorClass
from ampwright.stock.parts import BoxEarth, Capacitor, Rectifier, Rotor, Stator, Zener
from ampwright.terms import Earth, Family, Ignition, RegulatedBy
from ampwright.terms import Rotor as RotorState

# Ripple a capacitor must carry without a battery: what our single-phase classes put into it at
# the top of the speeds, rounded up (a test holds it). Three phases give less.
_RIPPLE_10_A_CLASS, _RIPPLE_15_A_CLASS = 5.0, 8.0
_TEN_AMP_CLASS_UP_TO_A = 10.5
# Above the classes it grows with the amps: half of them (common practice, no source).
_RIPPLE_SHARE = 0.5
# Rotors are made to a tenth; 70 and 74 mm are told apart by far. Assumed.
_SAME_DIAMETER_MM = 1.0
# A Zener takes all that the lamps leave, at its own volts or these, if more (common practice, no source: what it is
# sold for).
_ZENER_LEAST_V = 14.5

_ZENERS = (RegulatedBy.ONE_ZENER, RegulatedBy.TWO_ZENERS)


def rectifier_rules(no_battery: bool) -> tuple[Rule, ...]:
    """The rules of a rectifier alone: it leaves the voltage to whatever else regulates."""
    return (
        Rule((GENERATOR,), _rectified, ()),
        Rule((EARTH,), _rectifier_earth, ("earth",)),
        Rule((GENERATOR,), _rectifier_phases, ("phases",)),
        Rule((GENERATOR,), _rectifier_rating, ("phases", "rated_A"), ("rating",)),
        Rule((GENERATOR,), winding_is_whole, (), ("winding_faults",)),
        Rule((SYSTEM_VOLTAGE, REGULATED_BY), _held_by_something, ()),
        Rule((SYSTEM_VOLTAGE, BATTERY), battery_on_a_rectifier, (), ("no_battery",)),
        Rule((GENERATOR,), no_newer_machine, (), ("size_is_known",)),
    )


def zener_rules(no_battery: bool) -> tuple[Rule, ...]:
    """The rules of a Zener: it takes what the loads leave, as heat."""
    return (
        Rule((GENERATOR,), _rectified, ()),
        Rule((EARTH,), _zener_earth, ("earth",)),
        Rule((SYSTEM_VOLTAGE,), _zener_volts, ()),
        Rule((GENERATOR,), _zener_heat, ("rated_W", "zener_V"), ("rating",), says=True),
        Rule((GENERATOR,), winding_is_whole, (), ("winding_faults",)),
        Rule((REGULATED_BY,), _zener_alone, ("heat_sink_included",)),
        Rule((BATTERY,), battery_on_a_zener, ("zener_V",), ("no_battery",)),
        Rule((GENERATOR,), no_newer_machine, (), ("size_is_known",)),
    )


def capacitor_rules(no_battery: bool) -> tuple[Rule, ...]:
    """The rules of a smoothing capacitor: volts, ripple, heat and, without a battery, the ignition."""
    return (
        Rule((GENERATOR,), _rectified, ()),
        Rule((REGULATED_BY,), _capacitor_volts, ("rated_V",)),
        Rule((GENERATOR,), _ripple, ("ripple_A",), ("rating",)),
        Rule((), _heat, ("rated_degC",)),
        Rule((IGNITION,), _capacitance, ("capacitance_uF",), ("no_battery",)),
        Rule((EARTH,), _capacitor_poles, ()),
        Rule((GENERATOR,), no_newer_machine, (), ("size_is_known",)),
    )


def stator_rules(no_battery: bool) -> tuple[Rule, ...]:
    """The rules of a replacement stator: the rotor it turns round, and what follows from it."""
    return (
        Rule((GENERATOR,), _stator_change, ("family", "nameplate_A")),
        Rule((SYSTEM_VOLTAGE,), _stator_voltage, ("system_voltage_V",)),
        Rule((ROTOR,), _stator_rotor, ("rotor_diameter_mm",)),
    )


def rotor_rules(no_battery: bool) -> tuple[Rule, ...]:
    """The rules of a replacement rotor."""
    return (
        Rule((GENERATOR,), _new_rotor, ("diameter_mm",)),
        Rule((ROTOR,), _old_rotor, ()),
    )


def _rectified(part: Rectifier | Zener | Capacitor, facts: Facts, generator: GeneratorClass) -> Judgement:
    """Whether the generator has a rectified side that such a part belongs to."""
    match generator.family:
        case Family.UNLISTED:
            return dont_fit(UNKNOWN)
        case Family.DYNAMO:
            return dont_fit("A dynamo gives DC through its own regulator and has no use for it.")
        case Family.WOUND_FIELD:
            return dont_fit("An alternator with a wound field has its own rectifier and field regulator.")
        case Family.ENERGY_TRANSFER:
            return dont_fit("Energy transfer feeds its ignition with AC; there is no DC side to put it on.")
        case Family.DIRECT_LIGHTING:
            return dont_fit("Direct lighting feeds its lamps with AC; there is no DC side to put it on.")
    return fits("It belongs on the rectified side.")


def _rectifier_earth(rectifier: Rectifier, facts: Facts, earth: Earth) -> Judgement:
    """Where its body or clamp bolt is a pole, that pole goes to the frame it is bolted to."""
    if rectifier.earth.refused_on(earth):
        return dont_fit(
            f"Its body or bolt is a pole, and made for {earth.other.value}: on this frame it is a dead short."
        )
    if rectifier.earth is BoxEarth.NOT_STATED:
        return fits_if(
            "its body and bolt are no pole, or the one that this bike earths",
            "Its maker does not say whether its body is a pole.",
        )
    return fits("It suits this earth.")


def _rectifier_phases(rectifier: Rectifier, facts: Facts, generator: GeneratorClass) -> Judgement:
    family = generator.family
    if family is Family.THREE_PHASE and rectifier.phases == 1:
        return dont_fit("A single-phase rectifier has no place for the third wire.")
    if family is Family.BI_PHASE:
        return dont_fit("A centre-tapped winding needs two diodes to its tap, or a bridge with the tap insulated.")
    if rectifier.phases == 3 and family is not Family.THREE_PHASE:
        return fits_when_fitted_so("its spare AC lead is insulated and tied back", "Two of its three legs are used.")
    return fits("Its phases are the generator's.")


def _rectifier_rating(rectifier: Rectifier, facts: Facts, generator: GeneratorClass) -> Judgement:
    if generator.nameplate_A is None:
        return NOT_JUDGED_HERE
    return judge_rating(
        facts.nameplate_A(generator),
        phases_of(generator.family),
        box_phases=rectifier.phases,
        rated_A=rectifier.rated_A,
        rated_W=None,
        pairings=(),
    )


def _held_by_something(rectifier: Rectifier, facts: Facts, running_V: int, regulated_by: RegulatedBy) -> Judgement:
    if running_V == 12 and regulated_by in _ZENERS:
        return fits_if(
            "the Zener stays connected and is sound: a rectifier leaves it in charge of the voltage",
            "A rectifier alone does not hold the voltage down.",
        )
    return fits_if(
        "a sound Zener or another regulator stays connected",
        "A rectifier alone does not hold the voltage down; without a regulator it boils the battery.",
    )


def _zener_earth(zener: Zener, facts: Facts, earth: Earth) -> Judgement:
    if zener.earth.refused_on(earth):
        return dont_fit(f"The polarity of its stud is fixed, and it is made for {zener.earth.value}.")
    return fits("Its stud suits this earth.")


def _zener_volts(zener: Zener, facts: Facts, running_V: int) -> Judgement:
    if running_V == 6:
        return dont_fit("It holds 12 V; this bike runs at 6 V.")
    return fits("It holds this bike's voltage.")


def _zener_heat(zener: Zener, facts: Facts, generator: GeneratorClass) -> Judgement:
    if generator.nameplate_A is None:
        return NOT_JUDGED_HERE
    surplus_W = max(_ZENER_LEAST_V, zener.zener_V or 0.0) * facts.nameplate_A(generator)
    figure = f"rated {zener.rated_W:g} W, all of the generator {surplus_W:.0f} W"
    if zener.rated_W >= surplus_W:
        return fits("It can take all that the generator gives.", figure)
    return fits_if(
        f"never more than {zener.rated_W:g} W is left over: with LED lamps or the lights off it is, so a second Zener"
        " or a charging box is wanted",
        "All that the lamps leave goes into it as heat.",
        figure,
    )


def _zener_alone(zener: Zener, facts: Facts, regulated_by: RegulatedBy) -> Judgement:
    if regulated_by is RegulatedBy.CHARGING_BOX:
        return dont_fit("A charging box holds the volts already; a Zener beside it takes its charge away as heat.")
    sink = fits_when_fitted_so(
        f"it is bolted metal to metal on {'its' if zener.heat_sink_included else 'a'} heat sink, and the sink has its"
        " own earth lead",
        "Badly earthed or badly cooled it fails, and the volts go up.",
    )
    if regulated_by is not RegulatedBy.NOTHING:
        return sink
    rectified = "a rectifier that suits the generator is fitted before it"
    return all_of(sink, fits_when_fitted_so(rectified, "A Zener holds volts down and rectifies nothing."))


def _capacitor_volts(capacitor: Capacitor, facts: Facts, regulated_by: RegulatedBy) -> Judgement:
    figure = f"rated {capacitor.rated_V:g} V"
    if capacitor.rated_V < 25.0:
        return dont_fit("Its voltage is too low: switching the headlamp off can lift the output above it.", figure)
    held = fits("Its voltage leaves room.", figure)
    if capacitor.rated_V < 35.0:
        held = fits_if("no headlamp is switched off at speed", "25 V is close to what a switched-off headlamp gives.")
    if capacitor.rated_V < 63.0 and regulated_by is not RegulatedBy.CHARGING_BOX:
        boxed = "a charging box holds the volts; beside a Zener, or nothing, 63 V is wanted"
        return all_of(held, fits_if(boxed, "Without a charging box the volts stray.", figure))
    return held


def _ripple(capacitor: Capacitor, facts: Facts, generator: GeneratorClass) -> Judgement:
    if generator.nameplate_A is None:
        return NOT_JUDGED_HERE
    nameplate_A = facts.nameplate_A(generator)
    wanted_A = max(_RIPPLE_15_A_CLASS, _RIPPLE_SHARE * nameplate_A)
    if nameplate_A <= _TEN_AMP_CLASS_UP_TO_A:
        wanted_A = _RIPPLE_10_A_CLASS
    if capacitor.ripple_A is None:
        return fits_if(f"its maker's sheet allows {wanted_A:.3g} A of ripple", "Its ripple rating is not stated.")
    figure = f"ripple {capacitor.ripple_A:g} A against {wanted_A:.3g} A wanted"
    if capacitor.ripple_A < wanted_A:
        return dont_fit("Its ripple rating is too small for this stator: it would cook.", figure)
    return fits("It carries the ripple.", figure)


def _capacitor_poles(capacitor: Capacitor, facts: Facts, earth: Earth) -> Judgement:
    """All of this size are electrolytic, with a marked polarity; the can is mostly its minus."""
    earthed, live = ("+", "-") if earth is Earth.POSITIVE else ("-", "+")
    kept_off = ", its can off the frame" if earth is Earth.POSITIVE else ""
    return fits_when_fitted_so(
        f"its {earthed} goes to the frame side and its {live} to the live side{kept_off}",
        "Its polarity is marked: the wrong way round it bursts.",
    )


def _heat(capacitor: Capacitor, facts: Facts) -> Judgement:
    if capacitor.rated_degC < 105.0:
        return fits_if("it is mounted well away from engine heat", "A 105 C type is wanted near an engine.")
    return fits("It stands the heat.")


def _capacitance(capacitor: Capacitor, facts: Facts, ignition: Ignition) -> Judgement:
    figure = f"{capacitor.capacitance_uF:g} uF"
    if capacitor.capacitance_uF < 4_700.0:
        return dont_fit("It is too small to carry an ignition from pulse to pulse.", figure)
    if facts.no_battery and ignition is not Ignition.ELECTRONIC and capacitor.capacitance_uF < 10_000.0:
        return fits_if(
            "it starts with the points shut at kicking speed: 10,000 uF is the usual size for points",
            "Points that stay shut at kicking speed empty a small capacitor.",
            figure,
        )
    return fits("Its size is the usual one.", figure)


def _stator_change(stator: Stator, facts: Facts, generator: GeneratorClass) -> Judgement:
    own_kind = stator.family in (Family.ENERGY_TRANSFER, Family.DIRECT_LIGHTING, Family.WOUND_FIELD)
    if own_kind and stator.family is not generator.family:
        return dont_fit(f"It is a stator for {stator.family.value}; this generator is of another kind.")
    match generator.family:
        case Family.UNLISTED:
            return dont_fit(UNKNOWN)
        case Family.DYNAMO:
            return dont_fit("It goes round a magnet rotor on the crankshaft; this bike has a dynamo.")
        case Family.WOUND_FIELD | Family.DIRECT_LIGHTING if not own_kind:
            return dont_fit("It goes round a magnet rotor of its own kind; this generator has another.")
        case Family.ENERGY_TRANSFER if stator.family is not Family.ENERGY_TRANSFER:
            change = (
                "ignition, coils and rotor are considered with it: battery-type coils and ignition replace energy"
                " transfer"
            )
        case stator.family:
            change = f"whatever regulates carries a stator of {stator.nameplate_A:g} A"
        case _:
            change = (
                f"the charging box is made for a {stator.family.value} generator and carries a stator of"
                f" {stator.nameplate_A:g} A"
            )
    return fits_if(change, f"It makes the bike {stator.family.value}, {stator.nameplate_A:g} A.")


def _stator_voltage(stator: Stator, facts: Facts, running_V: int) -> Judgement:
    if stator.system_voltage_V == running_V:
        return fits("It is for this bike's voltage.")
    if stator.system_voltage_V == 12:
        return fits_if(TO_12_V, "It is a 12 V stator and this bike runs at 6 V.")
    return dont_fit("It is a 6 V stator; this bike runs at 12 V.")


def _stator_rotor(stator: Stator, facts: Facts, rotor: RotorState) -> Judgement:
    return fits_if(
        f"the rotor on the crankshaft measures {stator.rotor_diameter_mm:g} mm and the gap is even all round",
        "A stator fits one rotor diameter only.",
    )


def _new_rotor(rotor: Rotor, facts: Facts, generator: GeneratorClass) -> Judgement:
    match generator.family:
        case Family.UNLISTED:
            return dont_fit(UNKNOWN)
        case Family.DYNAMO:
            return dont_fit("It is a magnet rotor for the crankshaft; this bike has a dynamo.")
        case Family.WOUND_FIELD | Family.DIRECT_LIGHTING:
            return dont_fit("It is a magnet rotor for a crank-driven stator; this generator turns one of its own.")
        case Family.ENERGY_TRANSFER:
            return cant_say("Energy transfer sparks at one rotor position; its rotor is keyed for it.", "ignition")
    known_mm = generator.rotor_diameter_mm
    if known_mm is not None and abs(rotor.diameter_mm - known_mm) > _SAME_DIAMETER_MM:
        return dont_fit(f"The stator of this kind is made for a {known_mm:g} mm rotor; this one is of another size.")
    return fits_if(
        f"the stator is made for a {rotor.diameter_mm:g} mm rotor",
        "70 mm and 74 mm rotors look alike and do not interchange.",
    )


def _old_rotor(rotor: Rotor, facts: Facts, state: RotorState) -> Judgement:
    """Where the rotor that is on it may be of the wrong size, a new one like it would be so too."""
    if state is RotorState.MATCHED:
        return fits("The rotor on it is the stator's own size.")
    return fits_if(
        "the stator was measured, and not the rotor on it", "The rotor on it may be of another size than the stator's."
    )
