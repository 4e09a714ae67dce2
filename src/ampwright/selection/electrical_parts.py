"""Rules for batteries, bulbs, coils, horns, flashers, fuses and cable."""

from ampwright.identify.grid import BATTERY, EARTH, GENERATOR, IGNITION, REGULATED_BY, SYSTEM_VOLTAGE
from ampwright.selection.boxes import TO_12_V, no_newer_machine
from ampwright.selection.facts import RATING_FACTS, Facts
from ampwright.selection.judgement import (
    NOT_JUDGED_HERE,
    Judgement,
    cant_say,
    dont_fit,
    fits,
    fits_if,
    fits_when_fitted_so,
)
from ampwright.selection.rules import Rule
from ampwright.stock.generators import GeneratorClass
from ampwright.stock.parts import Battery, BoxEarth, Bulb, Cable, Coil, Flasher, Fuse, Horn
from ampwright.terms import BatteryKind, Earth, Family, Ignition, RegulatedBy

# A fuse carries this share more than the greatest current that lasts a minute
# (common practice, no source).
_FUSE_OVER_CURRENT = 1.25
# Lead-acid amp-hours that a stator's nameplate should not exceed after a flat battery
# (common practice, no source).
_AH_SHARE = {"flooded": 1.0, "gel": 1.0, "AGM": 1.5, "LiFePO4": 1.5}

# Lithium aims at the first and stops at the second (common practice, no source).
_LITHIUM_AIM_V, _LITHIUM_STOP_V = 14.4, 14.6

_AC_FED = (Family.ENERGY_TRANSFER, Family.DIRECT_LIGHTING)
# From outside a winding that feeds the lamps straight looks like these.
_LOOKS_LIKE_LIGHTING = (Family.SINGLE_PHASE, Family.SWITCHED_SINGLE_PHASE)
# What keeps its volts close, and the most that some of it holds at the posts, at 12 V, 25 C
# (common practice, no source).
_CLOSELY, _HELD_UP_TO_V = (RegulatedBy.CHARGING_BOX, RegulatedBy.FIELD_REGULATOR), 14.7
# The most at the posts, at 12 V, 25 C, where the maker states none (common practice, and from memory for gel);
# flooded stands all that is held.
_USUAL_MOST_V = {"flooded": _HELD_UP_TO_V, "AGM": 14.7, "gel": 14.4}
_UNREGULATED = (RegulatedBy.NOTHING, RegulatedBy.RECTIFIER_ALONE)
# The least ohms that points stand, by the coil's voltage (common practice, no source); with less
# than half of it no ballast makes a points coil of one.
_POINTS_LEAST_OHM = {6: 1.2, 12: 2.8}
_BALLAST_FROM = 0.5


def battery_rules(no_battery: bool) -> tuple[Rule, ...]:
    """The rules of a battery: voltage, chemistry against what regulates, and size against the generator."""
    return (
        Rule((GENERATOR, BATTERY), _charged_at_all, ()),
        Rule((SYSTEM_VOLTAGE,), _same_voltage, ("system_voltage_V",), ("changes_over",)),
        Rule((GENERATOR, REGULATED_BY), _chemistry, ("charge_most_V", "chemistry", "system_voltage_V")),
        Rule((GENERATOR, SYSTEM_VOLTAGE), _amp_hours, ("capacity_Ah", "chemistry"), RATING_FACTS),
        Rule((), _wanted, (), ("no_battery",)),
    )


def bulb_rules(no_battery: bool) -> tuple[Rule, ...]:
    """The rules of a bulb: voltage and, where it minds, earth."""
    return (
        Rule((SYSTEM_VOLTAGE,), _same_voltage, ("system_voltage_V",), ("changes_over",)),
        Rule((GENERATOR,), _lamp_watts, ()),
        Rule((EARTH,), _minds_earth, ("earth",)),
    )


def coil_rules(no_battery: bool) -> tuple[Rule, ...]:
    """The rules of an ignition coil: what feeds it."""
    return (
        Rule((GENERATOR,), _battery_or_energy_transfer, ("use",)),
        Rule((GENERATOR, SYSTEM_VOLTAGE), _coil_voltage, ("system_voltage_V", "use"), ("changes_over",)),
        Rule((GENERATOR, IGNITION), _coil_for_ignition, ("primary_ohm", "system_voltage_V", "use")),
    )


def horn_rules(no_battery: bool) -> tuple[Rule, ...]:
    """The rules of a horn: voltage and what feeds it."""
    return (
        Rule((GENERATOR, BATTERY), _horn_supply, ("supply",)),
        Rule((SYSTEM_VOLTAGE,), _same_voltage, ("system_voltage_V",), ("changes_over",)),
    )


def flasher_rules(no_battery: bool) -> tuple[Rule, ...]:
    """The rules of a flasher unit: voltage, earth and the watts it must work with."""
    return (
        Rule((GENERATOR,), _flashed_at_all, ()),
        Rule((SYSTEM_VOLTAGE,), _same_voltage, ("system_voltage_V",), ("changes_over",)),
        Rule((EARTH,), _minds_earth, ("earth",)),
        Rule((), _flasher_watts, ("least_W", "most_W")),
    )


def fuse_rules(no_battery: bool) -> tuple[Rule, ...]:
    """The rule of a fuse in the unearthed battery lead: the greatest current that lasts a minute."""
    return (Rule((GENERATOR, SYSTEM_VOLTAGE), _fuse, ("rated_A",), (*RATING_FACTS, "standing_A")),)


def cable_rules(no_battery: bool) -> tuple[Rule, ...]:
    """The rules of cable for the lead from charging box or dynamo to the battery."""
    return (
        Rule((GENERATOR, SYSTEM_VOLTAGE), _cable, ("rated_A",), RATING_FACTS),
        Rule((GENERATOR,), no_newer_machine, (), ("size_is_known",)),
    )


def _same_voltage(part: Battery | Bulb | Coil | Flasher | Horn, facts: Facts, running_V: int) -> Judgement:
    if part.system_voltage_V == 6 == running_V and facts.changes_over:
        return fits_if("the change to 12 V is given up", f"It is a 6 V {part.kind}, and 12 V is wanted.")
    if part.system_voltage_V == running_V:
        return fits("It is for this bike's voltage.")
    if part.system_voltage_V == 12:
        reason = f"It is a 12 V {part.kind} and this bike runs at 6 V."
        return fits_when_fitted_so(TO_12_V, reason) if facts.changes_over else fits_if(TO_12_V, reason)
    return dont_fit(f"It is a 6 V {part.kind}; this bike runs at 12 V.")


def _minds_earth(part: Bulb | Flasher, facts: Facts, earth: Earth) -> Judgement:
    if part.earth.refused_on(earth):
        return dont_fit(f"It minds which pole is earthed and is made for {earth.other.value}.")
    if part.earth is BoxEarth.NOT_STATED:
        return fits_if("its maker says that it suits either earth", "Its maker does not say which earth it suits.")
    return fits("It suits this earth.")


def _charged_at_all(battery: Battery, facts: Facts, generator: GeneratorClass, fitted: BatteryKind) -> Judgement:
    if generator.family not in _AC_FED:
        return fits("It is charged.")
    kind = generator.family.value.capitalize()
    if fitted is BatteryKind.NONE:
        return dont_fit(f"{kind} charges no battery unless it was changed for one in the workshop.")
    return fits_if(
        "the volts of the one on it rise with the engine fast",
        f"{kind} charges a battery only where it was changed for one.",
    )


def _chemistry(battery: Battery, facts: Facts, generator: GeneratorClass, regulated_by: RegulatedBy) -> Judgement:
    if battery.chemistry == "LiFePO4":
        return _lithium(battery, generator, regulated_by)
    if regulated_by in _UNREGULATED:
        return _unregulated(battery, generator)
    unnamed, stated_V = generator.family is Family.UNLISTED, battery.charge_most_V
    closely = regulated_by in _CLOSELY and not unnamed
    share = battery.system_voltage_V / 12.0
    most_V = stated_V or _USUAL_MOST_V[battery.chemistry] * share
    stands_it = most_V >= _HELD_UP_TO_V * share
    if stands_it and (closely or battery.chemistry == "flooded"):
        return fits("Its chemistry suits.")
    if closely:
        return fits_if(
            f"it measures no more than {most_V:g} V at the posts, lights off",
            "It stands fewer volts than some boxes and regulators hold.",
        )
    if unnamed:
        return fits_if(
            f"it measures no more than {most_V:g} V at the posts, lights off",
            "Nobody can say how closely this generator's volts are held.",
        )
    return fits_if(
        f"the posts stay under {most_V:g} V lights off, which a Zener or control box may not hold",
        "A Zener or control box keeps its volts but loosely.",
    )


def _unregulated(battery: Battery, generator: GeneratorClass) -> Judgement:
    """A battery where nothing holds the volts: only flooded ones of 6 V were kept so (common practice, no source)."""
    kept_so = battery.chemistry == "flooded" and battery.system_voltage_V == 6
    if kept_so and generator.family is not Family.UNLISTED:
        return fits("Its chemistry suits.")
    harm = "is boiled" if battery.chemistry == "flooded" else "is dried out"
    return fits_if("a regulator is fitted first", f"Where nothing holds the volts a battery of this kind {harm}.")


def _lithium(battery: Battery, generator: GeneratorClass, regulated_by: RegulatedBy) -> Judgement:
    if generator.family is Family.UNLISTED:
        return dont_fit("Lithium is not put on a generator that nobody can name.")
    if generator.family in (Family.DYNAMO, Family.WOUND_FIELD):
        return dont_fit("The control of this generator can let lithium rise above the 14.6 V at which it must stop.")
    share = battery.system_voltage_V / 12.0
    most_V = min(battery.charge_most_V or _LITHIUM_AIM_V * share, _LITHIUM_STOP_V * share)
    first = "" if regulated_by is RegulatedBy.CHARGING_BOX else "a charging box takes over from what regulates now, "
    return fits_if(
        f"{first}the charging box is proved to hold no more than {most_V:g} V at the posts, any Zener is unhooked,"
        " and the box's maker allows a battery that disconnects itself",
        "Lithium is harmed above 14.6 V.",
    )


def _amp_hours(battery: Battery, facts: Facts, generator: GeneratorClass, running_V: int) -> Judgement:
    generator_A = facts.generator_A(generator, running_V)
    if generator_A is None or generator_A <= _AH_SHARE[battery.chemistry] * battery.capacity_Ah:
        return fits("Its size suits.")
    return fits_when_fitted_so(
        "it is charged on the bench after it was ever flat",
        "It is small for this generator.",
        f"{battery.capacity_Ah:g} Ah on a {generator_A:.3g} A generator",
    )


def _wanted(battery: Battery, facts: Facts) -> Judgement:
    if facts.no_battery:
        return fits_if(
            "the wish to run without one is given up", "No battery is wanted, though one is the better choice."
        )
    return fits("With a battery.")


def _lamp_watts(bulb: Bulb, facts: Facts, generator: GeneratorClass) -> Judgement:
    if generator.family not in _AC_FED:
        return fits("The battery feeds it.")
    return fits_if(
        "all lamps together take the watts the lighting winding was made for, and it is made for AC",
        "Lamps fed with AC straight from a winding hold its volts down.",
    )


def _battery_or_energy_transfer(coil: Coil, facts: Facts, generator: GeneratorClass) -> Judgement:
    transfer = generator.family is Family.ENERGY_TRANSFER
    if coil.use == "energy transfer" and not transfer:
        return dont_fit("An energy-transfer coil must not go on a battery.")
    if coil.use != "energy transfer" and transfer:
        return dont_fit("A battery coil gives no spark on energy transfer.")
    return fits("It is the kind that this generator feeds.")


def _coil_voltage(coil: Coil, facts: Facts, generator: GeneratorClass, running_V: int) -> Judgement:
    return NOT_JUDGED_HERE if coil.use == "energy transfer" else _same_voltage(coil, facts, running_V)


def _coil_for_ignition(coil: Coil, facts: Facts, generator: GeneratorClass, ignition: Ignition) -> Judgement:
    if generator.family is Family.ENERGY_TRANSFER or coil.use == "energy transfer":
        return NOT_JUDGED_HERE
    if ignition is Ignition.POINTS:
        return _coil_on_points(coil)
    if ignition is Ignition.ELECTRONIC:
        if coil.use == "electronic":
            return fits_if(
                f"the ignition's maker allows a {coil.primary_ohm:g} ohm coil",
                "Each electronic ignition names its coil.",
            )
        return dont_fit("It is made for points; each electronic ignition names its coil.")
    return dont_fit("A magneto makes its own spark and needs no battery coil.")


def _coil_on_points(coil: Coil) -> Judgement:
    """What points carry: few ohms draw more than their contacts stand, and more than their coil does, standing shut."""
    if coil.use != "points":
        return dont_fit("It is made for electronic ignition.")
    least_ohm = _POINTS_LEAST_OHM[coil.system_voltage_V]
    figure = f"primary {coil.primary_ohm:g} ohm, {least_ohm:g} ohm wanted on points at {coil.system_voltage_V} V"
    if coil.primary_ohm >= least_ohm:
        return fits("It is for points, and they carry it.", figure)
    if coil.primary_ohm < _BALLAST_FROM * least_ohm:
        return dont_fit("Its ohms are too few for points: it burns them.", figure)
    return fits_if(
        f"a ballast resistor brings it to {least_ohm:g} ohm or more", "Its ohms alone are too few for points.", figure
    )


def _horn_supply(horn: Horn, facts: Facts, generator: GeneratorClass, fitted: BatteryKind) -> Judgement:
    fed_with_AC = generator.family in _AC_FED
    if fed_with_AC and fitted is not BatteryKind.NONE:
        feeds = "the lighting winding feeds the horn, and not the battery"
        if horn.supply == "DC":
            feeds = "the battery feeds the horn, and not the lighting winding"
        return fits_if(feeds, "With a battery on it the horn may be fed with AC or DC.")
    if (horn.supply == "AC") != fed_with_AC:
        fed = "AC" if fed_with_AC else "DC from the battery"
        return dont_fit(f"It is made for {horn.supply}; this bike feeds it {fed}.")
    if horn.supply == "DC" and generator.family in _LOOKS_LIKE_LIGHTING:
        return fits_when_fitted_so("the horn's wire comes from the battery side", "It wants DC, from the battery.")
    return fits("It is fed as it was made for.")


def _flashed_at_all(flasher: Flasher, facts: Facts, generator: GeneratorClass) -> Judgement:
    if generator.family in _AC_FED:
        return dont_fit("There is no battery to flash indicators from.")
    return fits("The battery feeds it.")


def _flasher_watts(flasher: Flasher, facts: Facts) -> Judgement:
    return fits_if(
        f"the indicators on one side take {flasher.least_W:g} to {flasher.most_W:g} W together",
        "A flasher works within a range of lamp watts.",
    )


def _fuse(fuse: Fuse, facts: Facts, generator: GeneratorClass, running_V: int) -> Judgement:
    """Judge by the greatest current that lasts a minute: all that stays on, or the generator's own if more."""
    generator_A = facts.generator_A(generator, running_V)
    if generator_A is None:
        return cant_say("The current it must carry is not known for this generator.", "thick_wires")
    lasting_A = max(generator_A, dict(facts.standing_A)[running_V])
    least_A = _FUSE_OVER_CURRENT * lasting_A
    figure = f"{lasting_A:.1f} A lasting, {least_A:.1f} A wanted, fuse {fuse.rated_A:g} A"
    if fuse.rated_A < least_A:
        return dont_fit("It would blow with everything on that stays on.", figure)
    return fits_if(
        f"the thinnest wire it protects is rated {fuse.rated_A:g} A or more, and it stands in the unearthed"
        " battery lead",
        "A fuse protects the wire, not the lamp.",
        figure,
    )


def _cable(cable: Cable, facts: Facts, generator: GeneratorClass, running_V: int) -> Judgement:
    """Judge with a fuse that must not blow where the whole generator goes through it."""
    generator_A = facts.generator_A(generator, running_V)
    if generator_A is None:
        return cant_say("The current it must carry is not known for this generator.", "thick_wires")
    fuse_A = _FUSE_OVER_CURRENT * generator_A
    figure = f"cable {cable.rated_A:g} A against generator {generator_A:.3g} A, fused at {fuse_A:.3g} A or more"
    if cable.rated_A < fuse_A:
        return dont_fit("It is too thin for the lead from generator to battery and the fuse that lead needs.", figure)
    return fits_if(f"its fuse is no larger than {cable.rated_A:g} A", "A fuse must protect it.", figure)
