"""
Part records, one class a kind.

A field that the maker does not state is left out of the record: it is then not
known, and a rule that needs it asks for it instead of guessing.
"""

import math
from enum import StrEnum
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, model_validator

from ampwright.stock.record import Part, Positive, Record, Text
from ampwright.terms import Earth, Family

SystemVoltage = Literal[6, 12]
Chemistry = Literal["flooded", "AGM", "gel", "LiFePO4"]


class BoxEarth(StrEnum):
    """How a box meets the frame."""

    EITHER = "either"
    SHELL_IS_MINUS = "shell is minus"
    POSITIVE_ONLY = "positive earth only"
    NEGATIVE_ONLY = "negative earth only"
    NOT_STATED = "not stated"

    def refused_on(self, earth: Earth) -> bool:
        """Say whether a frame of this earth would short or reverse the box."""
        if earth is Earth.POSITIVE:
            return self in (BoxEarth.SHELL_IS_MINUS, BoxEarth.NEGATIVE_ONLY)
        return self is BoxEarth.POSITIVE_ONLY


def _suits_the_system(set_point_V: float, system_voltage_V: int) -> None:
    """Refuse a set-point that cannot belong to the system voltage: a slip here would cook a battery."""
    # Over 7.6 and 15.0 V at the posts is danger (common practice, no source).
    low, high = (6.6, 7.6) if system_voltage_V == 6 else (13.2, 15.0)
    if not low <= set_point_V <= high:
        raise ValueError(
            f"set_point_V {set_point_V:g} cannot belong to a {system_voltage_V} V system ({low:g} to {high:g})."
            " Read the maker's sheet again."
        )


def _are_charging_volts(least_V: float | None, most_V: float | None, system_voltage_V: int) -> None:
    """Refuse a battery maker's limits that are exchanged, or that belong to a battery of another voltage."""
    # Wider than what a box may hold: makers print up to 15.4 V for AGM (an AGM battery's manual), and a slip
    # between 6 and 12 V is what must be caught.
    low, high = (6.4, 7.8) if system_voltage_V == 6 else (12.8, 15.6)
    for name, volts in (("charge_least_V", least_V), ("charge_most_V", most_V)):
        if volts is not None and not low <= volts <= high:
            raise ValueError(
                f"{name} {volts:g} cannot belong to a {system_voltage_V} V battery ({low:g} to {high:g})."
                " Read its label again, or leave it out."
            )
    if least_V is not None and most_V is not None and least_V > most_V:
        raise ValueError(f"charge_least_V {least_V:g} is above charge_most_V {most_V:g}. Exchange the two.")


def _go_together(rated_A: float | None, rated_W: float | None, system_voltage_V: int) -> None:
    """Refuse amps and watts that belong to two boxes: makers divide by the battery's or by the charging volts."""
    if rated_A is None or rated_W is None:
        return
    # Charging volts of 14.4 and more are printed as well: a tenth lets them through, and is no other box (assumed).
    battery_V, charging_V = system_voltage_V, system_voltage_V * 7 / 6
    if not 0.9 * battery_V <= rated_W / rated_A <= 1.1 * charging_V:
        raise ValueError(
            f"rated_A {rated_A:g} and rated_W {rated_W:g} do not go together: amps times {battery_V} to"
            f" {charging_V:g} V make the watts. Read the label again, or leave one of them out."
        )


class Pairing(Record):
    """
    The maker's written word that a box suits a stator: phases, the largest nameplate, and the words.

    Two ``phases`` are a bi-phase winding, which no word on single-phase stators covers.
    """

    phases: Literal[1, 2, 3]
    up_to_A: Positive
    words: Text


class Size(Record):
    """Outside measures of a part."""

    length_mm: Positive
    width_mm: Positive
    height_mm: Positive


class ChargingBox(Part):
    """
    Regulator and rectifier in one, for a magnet alternator.

    ``lithium_safe`` is the maker's word that it survives a battery that disconnects
    itself while the engine runs.
    """

    kind: Literal["charging_box"]
    phases: Literal[1, 3]
    rated_A: Positive | None = None
    rated_W: Positive | None = None
    pairings: tuple[Pairing, ...] = ()
    earth: BoxEarth
    system_voltage_V: SystemVoltage
    set_point_V: Annotated[float, Field(ge=6, le=16)]
    no_load_V: Annotated[float, Field(ge=6, le=18)] | None = None
    bi_phase: bool = False
    topology: Literal["thyristor shunt", "MOSFET shunt", "series"]
    input_limit_V: Positive | None = None
    capacitor_inside: bool = False
    without_battery: Literal["no", "points", "points and electronic"] = "no"
    lighting_delay: bool = False
    charge_lamp: bool = False
    lithium_safe: bool = False
    leads: Annotated[int, Field(ge=3, le=8)]
    finned: bool
    size: Size | None = None

    @model_validator(mode="after")
    def _says_what_it_carries(self) -> "ChargingBox":
        if self.rated_A is None and self.rated_W is None and not self.pairings:
            raise ValueError("rated_A, rated_W or a pairing is needed: without one the box cannot be judged.")
        if self.phases == 3 and self.leads < 4:
            raise ValueError(f"{self.leads} leads cannot serve {self.phases} phases. Count them again.")
        _go_together(self.rated_A, self.rated_W, self.system_voltage_V)
        _suits_the_system(self.set_point_V, self.system_voltage_V)
        if self.no_load_V is not None and self.no_load_V < self.set_point_V:
            raise ValueError(
                f"no_load_V {self.no_load_V:g} is below set_point_V {self.set_point_V:g}: without a load the volts"
                " rise. Exchange the two, or leave no_load_V out."
            )
        return self


class DynamoRegulator(Part):
    """Solid-state control of a dynamo: cut-out and voltage regulator."""

    kind: Literal["dynamo_regulator"]
    system_voltage_V: SystemVoltage
    earth: BoxEarth
    rated_A: Positive
    set_point_V: Annotated[float, Field(ge=6, le=16)]
    hides_in_control_box: bool = False
    size: Size | None = None

    @model_validator(mode="after")
    def _set_point_belongs(self) -> "DynamoRegulator":
        _suits_the_system(self.set_point_V, self.system_voltage_V)
        return self


class FieldRegulator(Part):
    """Feeds and controls the wound field of an alternator, at most ``rated_field_A``."""

    kind: Literal["field_regulator"]
    system_voltage_V: SystemVoltage
    earth: BoxEarth
    rated_field_A: Positive
    set_point_V: Annotated[float, Field(ge=6, le=16)]

    @model_validator(mode="after")
    def _set_point_belongs(self) -> "FieldRegulator":
        _suits_the_system(self.set_point_V, self.system_voltage_V)
        return self


class LightingRegulator(Part):
    """
    An AC regulator for direct lighting, ``rated_W`` being all that its winding may give.

    One for a winding with one end earthed sits between its live end and the engine;
    a floating winding wants one that holds both halves of the wave.
    """

    kind: Literal["lighting_regulator"]
    system_voltage_V: SystemVoltage
    rated_W: Positive
    winding: Literal["one end earthed", "floating"] | None = None


def _is_one_earth(earth: object) -> object:
    """Refuse a Zener for either earth or of none stated: it would short the generator's output on the wrong one."""
    if earth not in (BoxEarth.POSITIVE_ONLY, BoxEarth.NEGATIVE_ONLY):
        raise ValueError(
            f"{earth!r} is no earth of a Zener, whose stud has one polarity. Measure which, and write"
            f" '{BoxEarth.POSITIVE_ONLY}' or '{BoxEarth.NEGATIVE_ONLY}'."
        )
    return earth


class Zener(Part):
    """
    A Zener, which holds 12 V by taking what the lamps leave as heat.

    ``zener_V`` is what it holds at 2 A. The polarity of its stud is fixed, and so is
    the earth it suits. Without a heat sink of its own it must be given one.
    """

    kind: Literal["zener"]
    earth: Annotated[Literal[BoxEarth.POSITIVE_ONLY, BoxEarth.NEGATIVE_ONLY], BeforeValidator(_is_one_earth)]
    rated_W: Positive
    zener_V: Positive | None = None
    heat_sink_included: bool = False

    @model_validator(mode="after")
    def _holds_12_V(self) -> "Zener":
        # 13.5 to 15.8 V at 2 A: two makers' workshop manuals, which differ.
        if self.zener_V is not None and not 13.5 <= self.zener_V <= 15.8:
            raise ValueError(
                f"zener_V {self.zener_V:g} cannot hold a 12 V system (13.5 to 15.8 V at 2 A)."
                " Read the maker's sheet again, or leave it out."
            )
        return self


class Rectifier(Part):
    """
    A rectifier alone; something else must hold the voltage down.

    ``earth`` tells whether its body or clamp bolt is a pole, and of which earth then.
    """

    kind: Literal["rectifier"]
    phases: Literal[1, 3]
    rated_A: Positive
    earth: BoxEarth = BoxEarth.NOT_STATED
    make: Literal["silicon", "plate"]


class Stator(Part):
    """A replacement stator."""

    kind: Literal["stator"]
    family: Family
    nameplate_A: Positive
    system_voltage_V: SystemVoltage
    coils: Annotated[int, Field(ge=1, le=18)]
    wires: Annotated[int, Field(ge=1, le=8)]
    rotor_diameter_mm: Positive


class Rotor(Part):
    """A replacement magnet rotor."""

    kind: Literal["rotor"]
    diameter_mm: Positive
    poles: Annotated[int, Field(ge=2, le=24)]


class Battery(Part):
    """A battery, with the volts at its posts between which its maker wants it charged, at 25 C, where stated."""

    kind: Literal["battery"]
    system_voltage_V: SystemVoltage
    chemistry: Chemistry
    capacity_Ah: Positive
    charge_least_V: Positive | None = None
    charge_most_V: Positive | None = None
    size: Size | None = None

    @model_validator(mode="after")
    def _charging_volts_belong(self) -> "Battery":
        _are_charging_volts(self.charge_least_V, self.charge_most_V, self.system_voltage_V)
        return self


class Capacitor(Part):
    """A smoothing capacitor for running without, or beside, a battery."""

    kind: Literal["capacitor"]
    capacitance_uF: Positive
    rated_V: Positive
    ripple_A: Positive | None = None
    rated_degC: Positive


class Bulb(Part):
    """
    A lamp; ``second_power_W`` is the other filament of a two-filament bulb.

    A filament does not mind which pole is earthed; an LED may, so its earth is not known until it is stated.
    """

    kind: Literal["bulb"]
    system_voltage_V: SystemVoltage
    power_W: Positive
    second_power_W: Positive | None = None
    light: Literal["filament", "LED"]
    use: Text
    earth: BoxEarth = BoxEarth.EITHER

    @model_validator(mode="before")
    @classmethod
    def _leaves_an_led_open(cls, told: object) -> object:
        if isinstance(told, dict) and told.get("light") == "LED" and "earth" not in told:
            return told | {"earth": BoxEarth.NOT_STATED}
        return told


class Coil(Part):
    """An ignition coil."""

    kind: Literal["coil"]
    system_voltage_V: SystemVoltage
    primary_ohm: Positive
    use: Literal["points", "electronic", "energy transfer"]


class Horn(Part):
    """A horn."""

    kind: Literal["horn"]
    system_voltage_V: SystemVoltage
    current_A: Positive
    supply: Literal["DC", "AC"]


class Flasher(Part):
    """A flasher unit for indicators."""

    kind: Literal["flasher"]
    system_voltage_V: SystemVoltage
    least_W: Annotated[float, Field(ge=0)]
    most_W: Positive
    earth: BoxEarth

    @model_validator(mode="after")
    def _rises(self) -> "Flasher":
        if self.least_W > self.most_W:
            raise ValueError(f"least_W {self.least_W:g} is above most_W {self.most_W:g}. Exchange the two.")
        return self


class Fuse(Part):
    """A fuse; the rating is what it carries for ever, not what it blows at."""

    kind: Literal["fuse"]
    rated_A: Positive
    style: Literal["blade", "glass"]


class Cable(Part):
    """Cable by the metre, with its maker's rating in free air."""

    kind: Literal["cable"]
    copper_area_mm2: Positive
    strands: Annotated[int, Field(ge=1)]
    strand_diameter_mm: Positive
    rated_A: Positive
    insulation: Literal["PVC", "thin-wall"]

    @model_validator(mode="after")
    def _strands_make_the_area(self) -> "Cable":
        # Nominal areas are rounded by up to a twentieth (44/0.30 is sold as 3 mm2 and is 3.1); a tenth is a slip.
        area_mm2 = self.strands * math.pi / 4.0 * self.strand_diameter_mm**2
        if abs(area_mm2 / self.copper_area_mm2 - 1.0) > 0.1:
            raise ValueError(
                f"{self.strands} strands of {self.strand_diameter_mm:g} mm are {area_mm2:.2f} mm2 of copper, not"
                f" {self.copper_area_mm2:g}. Read the reel again."
            )
        return self


AnyPart = (
    ChargingBox
    | DynamoRegulator
    | FieldRegulator
    | LightingRegulator
    | Rectifier
    | Zener
    | Stator
    | Rotor
    | Battery
    | Capacitor
    | Bulb
    | Coil
    | Horn
    | Flasher
    | Fuse
    | Cable
)
