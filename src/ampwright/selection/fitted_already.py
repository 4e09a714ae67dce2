"""Rules for what is on the bike already and does not go with the new part: a warning lamp, an ammeter."""

from ampwright.selection.facts import Facts
from ampwright.selection.judgement import NOT_JUDGED_HERE, Judgement, fits_when_fitted_so
from ampwright.stock.generators import GeneratorClass
from ampwright.stock.parts import ChargingBox, DynamoRegulator
from ampwright.terms import Family


def charge_lamp(box: ChargingBox, facts: Facts) -> Judgement:
    """A charge warning lamp that senses the stator's AC."""
    if not facts.charge_lamp_fitted:
        return NOT_JUDGED_HERE
    lamp = "taken to the box's own lamp lead" if box.charge_lamp else "left out of use"
    return fits_when_fitted_so(
        f"the old charge warning lamp's unit is taken off the stator and the lamp {lamp}",
        "Old warning-lamp units that sense the stator do not survive a new box or a third phase.",
    )


def ammeter(box: ChargingBox, facts: Facts, generator: GeneratorClass) -> Judgement:
    """An ammeter that an alternator overruns."""
    if not facts.ammeter or generator.nameplate_A is None:
        return NOT_JUDGED_HERE
    scale_A, rating = facts.ammeter
    return _held_to(scale_A, rating.nameplate_A(generator))


def ammeter_on_a_dynamo(regulator: DynamoRegulator, facts: Facts, generator: GeneratorClass) -> Judgement:
    """An ammeter that a dynamo overruns, at the volts that its regulator holds."""
    if not facts.ammeter or generator.family is not Family.DYNAMO:
        return NOT_JUDGED_HERE
    return _held_to(facts.ammeter[0], facts.generator_A(generator, regulator.system_voltage_V) or 0.0)


def _held_to(scale_A: float, generator_A: float) -> Judgement:
    if generator_A <= scale_A:
        return NOT_JUDGED_HERE
    return fits_when_fitted_so(
        f"the ammeter of {scale_A:g} A is bypassed or given a shunt",
        "The generator gives more than the ammeter's scale.",
        f"ammeter {scale_A:g} A, generator {generator_A:.3g} A",
    )
