"""Batteries, bulbs, coils, horns, flashers, fuses and cable against one hypothesis."""

from collections.abc import Sequence

from ampwright.identify.hypothesis import Hypothesis
from ampwright.selection.boxes import TO_12_V
from ampwright.selection.facts import Facts
from ampwright.selection.judgement import Judgement, all_of, cant_say, dont_fit, fits, fits_if
from ampwright.stock.parts import Battery, BoxEarth, Bulb, Cable, Coil, Flasher, Fuse, Horn
from ampwright.terms import Earth, Family, Ignition

# A fuse carries this share more than the greatest current that lasts a minute
# (common practice, no source).
_FUSE_OVER_CURRENT = 1.25
# Lead-acid amp-hours that a stator's nameplate should not exceed after a flat battery
# (common practice, no source).
_AH_SHARE = {"flooded": 1.0, "gel": 1.0, "AGM": 1.5, "LiFePO4": 1.5}


def judge_battery(battery: Battery, hypothesis: Hypothesis, facts: Facts, possible: Sequence[Hypothesis]) -> Judgement:
    """Judge a battery by voltage, chemistry against what regulates, and size against the generator."""
    if hypothesis.family is Family.ENERGY_TRANSFER:
        return dont_fit("Energy transfer charges no battery.")
    return all_of(
        _same_voltage(battery.system_voltage_V, hypothesis.system_voltage_V, "battery"),
        _chemistry(battery, hypothesis, facts),
        _size(battery, facts.generator_A(hypothesis, possible)),
        _wanted(facts),
    )


def judge_bulb(bulb: Bulb, hypothesis: Hypothesis) -> Judgement:
    """Judge a bulb by voltage and, where it minds, by earth."""
    volts = _same_voltage(bulb.system_voltage_V, hypothesis.system_voltage_V, "bulb")
    if hypothesis.family is Family.ENERGY_TRANSFER:
        watched = fits_if(
            "all lamps together take the watts the lighting winding was made for, and it is made for AC",
            "Lamps on energy transfer are fed with AC and hold its volts down.",
        )
        return all_of(volts, watched, _minds_earth(bulb.earth, hypothesis.earth))
    return all_of(volts, _minds_earth(bulb.earth, hypothesis.earth))


def judge_coil(coil: Coil, hypothesis: Hypothesis, facts: Facts) -> Judgement:
    """Judge an ignition coil by what feeds it."""
    if (coil.use == "energy transfer") != (hypothesis.family is Family.ENERGY_TRANSFER):
        if coil.use == "energy transfer":
            return dont_fit("An energy-transfer coil must not go on a battery.")
        return dont_fit("A battery coil gives no spark on energy transfer.")
    if coil.use == "energy transfer":
        return fits("It is the kind energy transfer needs.")
    return all_of(
        _same_voltage(coil.system_voltage_V, hypothesis.system_voltage_V, "coil"), _coil_for_ignition(coil, facts)
    )


def judge_horn(horn: Horn, hypothesis: Hypothesis) -> Judgement:
    """Judge a horn by voltage and by what feeds it."""
    if (horn.supply == "AC") != (hypothesis.family is Family.ENERGY_TRANSFER):
        fed = "AC" if hypothesis.family is Family.ENERGY_TRANSFER else "DC from the battery"
        return dont_fit(f"It is a {horn.supply} horn; this bike feeds it {fed}.")
    return _same_voltage(horn.system_voltage_V, hypothesis.system_voltage_V, "horn")


def judge_flasher(flasher: Flasher, hypothesis: Hypothesis) -> Judgement:
    """Judge a flasher unit by voltage, earth and the watts it must work with."""
    if hypothesis.family is Family.ENERGY_TRANSFER:
        return dont_fit("Energy transfer has no battery to flash indicators from.")
    return all_of(
        _same_voltage(flasher.system_voltage_V, hypothesis.system_voltage_V, "flasher"),
        _minds_earth(flasher.earth, hypothesis.earth),
        fits_if(
            f"the indicators on one side take {flasher.least_W:g} to {flasher.most_W:g} W together",
            "A flasher works within a range of lamp watts.",
        ),
    )


def judge_fuse(fuse: Fuse, lasting_A: float | None) -> Judgement:
    """Judge a fuse for the unearthed battery lead against the greatest current that lasts a minute."""
    if lasting_A is None:
        return cant_say("The current it must carry is not known for this generator.", "thick_wires")
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


def judge_cable(cable: Cable, generator_A: float | None) -> Judgement:
    """Judge cable for the lead from charging box or dynamo to the battery, with a fuse that must not blow there."""
    if generator_A is None:
        return cant_say("The current it must carry is not known for this generator.", "thick_wires")
    fuse_A = _FUSE_OVER_CURRENT * generator_A
    figure = f"cable {cable.rated_A:g} A against generator {generator_A:.3g} A, fused at {fuse_A:.3g} A or more"
    if cable.rated_A < fuse_A:
        return dont_fit("It is too thin for the lead from generator to battery and the fuse that lead needs.", figure)
    return fits_if(f"its fuse is no larger than {cable.rated_A:g} A", "A fuse must protect it.", figure)


def _same_voltage(part_V: int, running_V: int, word: str) -> Judgement:
    if part_V == running_V:
        return fits("It is for this bike's voltage.")
    if part_V == 12:
        return fits_if(TO_12_V, f"It is a 12 V {word} and this bike runs at 6 V.")
    return dont_fit(f"It is a 6 V {word}; this bike runs at 12 V.")


def _minds_earth(part_earth: BoxEarth, earth: Earth) -> Judgement:
    if part_earth.refused_on(earth):
        return dont_fit(f"It minds which pole is earthed and is made for {earth.other.value}.")
    if part_earth is BoxEarth.NOT_STATED:
        return fits_if("its maker says that it suits either earth", "Its maker does not say which earth it suits.")
    return fits("It suits this earth.")


def _chemistry(battery: Battery, hypothesis: Hypothesis, facts: Facts) -> Judgement:
    # Windows at the posts, 25 C (common practice, and from memory for gel).
    zener = "Zener" in facts.fitted
    if battery.chemistry == "LiFePO4":
        if hypothesis.family is Family.UNLISTED:
            return dont_fit("Lithium is not put on a generator that nobody can name.")
        if hypothesis.family is Family.DYNAMO:
            return dont_fit("A dynamo's control can let lithium rise above the 14.6 V at which it must stop.")
        return fits_if(
            "its charging box is proved to hold 14.0 to 14.4 V at the posts, any Zener is unhooked, and the box's"
            " maker allows a battery that disconnects itself",
            "Lithium is harmed above 14.6 V.",
        )
    if battery.chemistry == "gel" and (zener or hypothesis.family is Family.DYNAMO):
        return fits_if(
            "the posts stay between 14.0 and 14.3 V, which a Zener seldom does", "Gel wants a close voltage."
        )
    if battery.chemistry == "AGM" and (zener or hypothesis.family is Family.DYNAMO):
        return fits_if(
            "the posts stay under 14.7 V (7.35 V on 6 V) lights off, which a Zener or control box may not hold",
            "AGM is dried out by too many volts.",
        )
    return fits("Its chemistry suits.")


def _size(battery: Battery, generator_A: float | None) -> Judgement:
    if generator_A is None or generator_A <= _AH_SHARE[battery.chemistry] * battery.capacity_Ah:
        return fits("Its size suits.")
    return fits_if(
        "it is charged on the bench after it was ever flat",
        "It is small for this generator.",
        f"{battery.capacity_Ah:g} Ah on a {generator_A:.3g} A generator",
    )


def _wanted(facts: Facts) -> Judgement:
    if facts.wishes.no_battery:
        return fits_if(
            "the wish to run without one is given up", "No battery is wanted, though one is the better choice."
        )
    return fits("With a battery.")


def _coil_for_ignition(coil: Coil, facts: Facts) -> Judgement:
    if facts.ignition_seen is None:
        return cant_say("It depends on the ignition.", "ignition")
    if facts.ignition_seen is Ignition.POINTS:
        return fits("It is for points.") if coil.use == "points" else dont_fit("It is made for electronic ignition.")
    if facts.ignition_seen is Ignition.ELECTRONIC:
        if coil.use == "electronic":
            return fits_if(
                f"the ignition's maker allows a {coil.primary_ohm:g} ohm coil",
                "Each electronic ignition names its coil.",
            )
        return dont_fit("It is made for points; each electronic ignition names its coil.")
    return dont_fit("A magneto makes its own spark and needs no battery coil.")
