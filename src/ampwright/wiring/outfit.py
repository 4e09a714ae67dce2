"""What a bike is wired with, in a few answers: enough to lay out a typical loom of it."""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from ampwright.bike.load import ElectronicLoad, FilamentLoad, LedLoad, Load, PointsCoilLoad
from ampwright.stock.parts import BoxEarth
from ampwright.terms import BatteryKind, Earth, Family, Ignition, RegulatedBy

#: The battery lead that the main fuse is in.
FusedLead = Literal["live", "earthed", "none"]
#: The topology of a dynamo regulator that goes inside the old control box.
INSIDE_CONTROL_BOX = "inside the control box"
#: Families whose loom has no battery in it and feeds its lamps with AC.
WITHOUT_DC = (Family.ENERGY_TRANSFER, Family.DIRECT_LIGHTING)


@dataclass(frozen=True)
class Regulating:
    """
    What holds the volts down, as far as a loom has to know it.

    ``phases`` are the AC leads of a box or rectifier as it is made, which may be three on a two-wire stator.
    """

    by: RegulatedBy
    name: str = ""
    part_code: str = ""
    phases: int = 1
    minds_earth: BoxEarth | None = None
    rated_A: float | None = None
    set_point_V: float | None = None
    topology: str = ""
    lead_lamp: bool = False
    bi_phase: bool = False
    make: str = ""
    capacitor_inside: bool = False


@dataclass(frozen=True)
class Extras:
    """What hangs on a loom beside what a job lists as loads."""

    ammeter: bool = False
    ammeter_end_A: float | None = None
    charge_lamp: bool = False
    indicators: bool = False
    horn: bool = True
    lighting_regulator: bool = False
    minds_earth: bool = False


@dataclass(frozen=True)
class Outfit:
    """
    A bike's wiring in a few answers.

    ``branches_joined`` tells that the two outputs of a switched single-phase stator go to one lead; that is done only
    after volts were read. ``main_fuse`` says in which battery lead the fuse is; ``box_fuse`` whether the box has a
    fused lead of its own to the battery, and not by way of ammeter and main fuse. A fuse whose rating is not known
    has none. ``capacitor`` stands for the battery, or beside it.
    """

    family: Family
    system_voltage_V: int
    earth: Earth
    ignition: Ignition
    regulating: Regulating
    loads: tuple[Load, ...]
    battery: BatteryKind = BatteryKind.FLOODED
    capacity_Ah: float | None = None
    battery_code: str = ""
    capacitor: bool = False
    capacitor_uF: float | None = None
    capacitor_V: float | None = None
    capacitor_ripple_A: float | None = None
    capacitor_code: str = ""
    nameplate_A: float | None = None
    generator_code: str = ""
    thick_wires: int | None = None
    branches_joined: bool = False
    main_fuse: FusedLead = "live"
    main_fuse_A: float | None = None
    box_fuse: bool = False
    box_fuse_A: float | None = None
    extras: Extras = Extras()

    @cached_property
    def has_battery(self) -> bool:
        """Whether a battery is in it."""
        return self.battery is not BatteryKind.NONE and self.family not in WITHOUT_DC

    @cached_property
    def has_dc(self) -> bool:
        """Whether its lamps are fed from a battery or a capacitor."""
        return self.family not in WITHOUT_DC

    @cached_property
    def stands_by_the_box(self) -> bool:
        """Whether it runs without a battery on the capacitor inside its box."""
        return not self.has_battery and self.has_dc and not self.capacitor and self.regulating.capacitor_inside

    @cached_property
    def phases(self) -> int:
        """How many AC wires the rectifying part gets, less one for a single phase."""
        return 3 if self.family in (Family.THREE_PHASE, Family.WOUND_FIELD) else 1

    def changed(self, **what: object) -> "Outfit":
        """The same outfit but for what is given."""
        return replace(self, **what)  # type: ignore[arg-type]


def is_lamp(load: Load) -> bool:
    """Whether a load gives light."""
    return isinstance(load, FilamentLoad | LedLoad)


def is_headlamp(load: Load) -> bool:
    """Whether a load is the headlamp, by its name, or by its watts where it is not named."""
    return is_lamp(load) and load.when == "lights on" and "head" in load.name.lower()


def is_ignition(load: Load) -> bool:
    """Whether a load makes the spark."""
    return isinstance(load, PointsCoilLoad) or (isinstance(load, ElectronicLoad) and "ignition" in load.name.lower())
