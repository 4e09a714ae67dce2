"""From a job to the loom that its bike most likely has, and what of it was only assumed."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ampwright.bike.job import Job
from ampwright.bike.seen import BatteryKindFound, FuseLeadFound
from ampwright.identify.grid import BATTERY, EARTH, IGNITION, REGULATED_BY, SYSTEM_VOLTAGE, marginal
from ampwright.identify.identification import Identification
from ampwright.identify.system import loads_of
from ampwright.selection.facts import Facts
from ampwright.stock.generators import GeneratorClass
from ampwright.stock.loom_settings import usual_loom
from ampwright.terms import BatteryKind, Earth, Family, Ignition, RegulatedBy
from ampwright.wiring.loom import Loom
from ampwright.wiring.outfit import WITHOUT_DC, Extras, FusedLead, Outfit, Regulating
from ampwright.wiring.told import as_told
from ampwright.wiring.typical import loom_of

# Families whose regulation is of their own kind, whatever belief would mix.
_OWN_REGULATION = {
    Family.DYNAMO: (RegulatedBy.DYNAMO_CONTROL_BOX,),
    Family.WOUND_FIELD: (RegulatedBy.FIELD_REGULATOR,),
    Family.ENERGY_TRANSFER: (RegulatedBy.NOTHING,),
    Family.DIRECT_LIGHTING: (RegulatedBy.NOTHING,),
}
_FUSED_LEADS: Mapping[str, FusedLead] = {"live lead": "live", "earthed lead": "earthed", "none": "none"}
# Where the low output of a switched stator ends.
_SECOND_AC_LEADS = {"rectifier.ac2", "charging-box.ac2"}
_ALTERNATOR_REGULATION = (
    RegulatedBy.RECTIFIER_ALONE,
    RegulatedBy.ONE_ZENER,
    RegulatedBy.TWO_ZENERS,
    RegulatedBy.CHARGING_BOX,
)


@dataclass(frozen=True)
class FoundLoom:
    """The loom of a bike as it probably is, the outfit it was laid out from, and what was not told."""

    outfit: Outfit
    generator: GeneratorClass
    loom: Loom
    assumed: tuple[str, ...]


def found_loom(job: Job, identification: Identification, facts: Facts) -> FoundLoom:
    """Lay out the loom of the likeliest bike, changed by what is told of its wiring."""
    outfit, generator, assumed = found_outfit(job, identification, facts)
    loom = as_told(loom_of(outfit, old=True, title="As it is"), job.wiring)
    return FoundLoom(outfit, generator, loom, assumed)


def found_outfit(
    job: Job, identification: Identification, facts: Facts
) -> tuple[Outfit, GeneratorClass, tuple[str, ...]]:
    """What the likeliest bike is wired with."""
    belief = identification.belief
    generator = identification.possible_generators[0]
    place = identification.grid.generators.index(generator)
    of_it = belief[place : place + 1]

    def likeliest(axis: int, among: tuple[object, ...] | None = None) -> object:
        share = marginal(of_it, axis)
        values = identification.grid.values[axis]
        order = np.argsort(-share, kind="stable")
        return next(values[k] for k in order if among is None or values[k] in among)

    family = generator.family
    volts = int(str(likeliest(SYSTEM_VOLTAGE)))
    ignition = facts.ignition_told or Ignition(str(likeliest(IGNITION)))
    by = RegulatedBy(str(likeliest(REGULATED_BY, _OWN_REGULATION.get(family, _ALTERNATOR_REGULATION))))
    earth = Earth(str(likeliest(EARTH)))
    assumed: list[str] = []
    battery = _battery(BatteryKind(str(likeliest(BATTERY))), job, facts, by, assumed)
    has_battery = battery is not BatteryKind.NONE
    outfit = Outfit(
        family=family,
        system_voltage_V=volts,
        earth=earth,
        ignition=ignition,
        regulating=_regulating(facts, by, family),
        loads=loads_of(job, volts, ignition),
        battery=battery,
        capacity_Ah=_capacity_Ah(job, volts, assumed) if has_battery and family not in WITHOUT_DC else None,
        capacitor=(not has_battery or "capacitor" in facts.fitted) and family not in WITHOUT_DC,
        nameplate_A=facts.generator_A(generator, volts),
        thick_wires=None,
        branches_joined=family is Family.SWITCHED_SINGLE_PHASE and _are_joined(job, facts),
        main_fuse=_main_fuse(job, earth, assumed, has_battery=has_battery) if family not in WITHOUT_DC else "none",
        main_fuse_A=job.wiring.main_fuse_A if job.wiring else None,
        extras=_extras(job, facts, assumed) if family not in WITHOUT_DC else Extras(horn=False),
    )
    if job.loads is None:
        assumed.append("lamps and ignition as usual for the kind")
    if job.wiring is None or not job.wiring.wires:
        assumed.append("colours, lengths and sizes of the old wires as usual")
    return outfit, generator, tuple(assumed)


def _regulating(facts: Facts, by: RegulatedBy, family: Family) -> Regulating:
    make = "plate" if "plate rectifier" in facts.fitted else "silicon"
    phases = 3 if family in (Family.THREE_PHASE, Family.WOUND_FIELD) else 1
    return Regulating(by=by, phases=phases, make="" if by is RegulatedBy.CHARGING_BOX else make)


def _battery(likeliest: BatteryKind, job: Job, facts: Facts, by: RegulatedBy, assumed: list[str]) -> BatteryKind:
    """The battery that is on the bike; none where a capacitor is fitted, none is wished for and none was told of."""
    is_told = any(isinstance(found, BatteryKindFound) for found in job.findings)
    if not is_told and facts.no_battery and "capacitor" in facts.fitted:
        assumed.append("the capacitor in the place of a battery (is there one, its earth leads come off first)")
        return BatteryKind.NONE
    if is_told and likeliest is BatteryKind.LITHIUM and by not in (RegulatedBy.CHARGING_BOX, RegulatedBy.NOTHING):
        assumed.append("the lithium battery on the bike already, and not on the bench")
    return likeliest


def _are_joined(job: Job, facts: Facts) -> bool:
    """
    Whether both outputs of a switched stator go to one lead on the bike.

    They do where somebody tells of that wire, or where we counted two thick wires and they are joined inside. A pair
    that reads nothing only says that they may be.
    """
    told = () if job.wiring is None else job.wiring.wires
    ends = [{wire.start, wire.end} for wire in told if not wire.gone]
    return facts.two_wires is True or any("alternator.high" in two and two & _SECOND_AC_LEADS for two in ends)


def _capacity_Ah(job: Job, volts: int, assumed: list[str]) -> float:
    if job.battery is not None and job.battery.capacity_Ah is not None:
        return job.battery.capacity_Ah
    usual = usual_loom().usual
    capacity_Ah = usual.battery_Ah_12V if volts == 12 else usual.battery_Ah_6V
    assumed.append(f"a battery of {capacity_Ah:g} Ah")
    return capacity_Ah


def _main_fuse(job: Job, earth: Earth, assumed: list[str], *, has_battery: bool) -> FusedLead:
    """Which battery lead the fuse is in: as told, as somebody looked, or as usual."""
    if job.wiring is not None and job.wiring.main_fuse is not None:
        return _FUSED_LEADS[job.wiring.main_fuse]
    looked = [found.answer for found in job.findings if isinstance(found, FuseLeadFound)]
    if looked:
        earthed_sign = "+" if earth is Earth.POSITIVE else "-"
        return "earthed" if looked[-1] == earthed_sign else "live"
    assumed.append(f"one fuse, in the lead of the {'battery' if has_battery else 'capacitor'}'s live post")
    return "live"


def _extras(job: Job, facts: Facts, assumed: list[str]) -> Extras:
    horn = job.wiring.horn if job.wiring is not None and job.wiring.horn is not None else True
    if job.wiring is None or job.wiring.horn is None:
        assumed.append("a horn")
    ammeter = "ammeter" in facts.fitted
    end_A = job.wishes.ammeter_range_A
    if ammeter and end_A is None:
        end_A = usual_loom().usual.ammeter_end_A
        assumed.append(f"an ammeter that ends at {end_A:g} A")
    return Extras(
        ammeter=ammeter,
        ammeter_end_A=end_A,
        charge_lamp=facts.charge_lamp_fitted,
        indicators="indicators" in facts.fitted,
        horn=horn,
        minds_earth="electronic device that minds which pole is earthed" in facts.fitted,
    )
