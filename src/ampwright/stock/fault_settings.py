"""
Faults as changes to the system, the jobs that cure them, and what tells them apart.

A fault lists what it changes, never what a meter then shows: that is computed. Only what no meter shows, a look or what
is told, has a share of its own.
"""

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError, model_validator

from ampwright.errors import BadRecord, faults_from
from ampwright.packaged import read_toml
from ampwright.stock.checks import Opens, Who
from ampwright.stock.record import Positive, Record, Sourced, Text
from ampwright.terms import BatteryKind, Family, Ignition, RegulatedBy

Share = Annotated[float, Field(ge=0, le=1)]
Range = tuple[float, float]

#: What a fault may change, each with its value on a sound bike. Volts and ohms are of 12 V; a 6 V system has half.
SOUND_VALUES: Mapping[str, float] = {
    # the generator
    "magnet": 1.0,  # share of the magnets' strength that is left
    "turns": 1.0,  # share of the turns of one phase that is left
    "output": 1.0,  # share of the current that is left, whatever the reason
    "wire_to_engine_ohm": 1e7,  # the worst wire to the engine's metal, unplugged
    # what regulates
    "lift_V": 0.0,  # the regulator holds so many volts more
    "hot_output": 1.0,  # share of the output that is left once the box is hot
    "rectifier_drop_V": 0.0,  # volts lost in the rectifier beyond a sound one's
    "zener_volts_V": 0.0,  # a Zener across the battery that holds these volts; 0: none but what regulates
    "sink_ohm": 0.0,  # between the Zener's heat-sink and the battery
    # joints
    "live_ohm": 0.0,  # between the box's live lead and the battery
    "earth_ohm": 0.0,  # between the box's earthed lead, or the engine, and the battery
    "frame_ohm": 0.0,  # between frame and battery's earth post
    "ammeter_ohm": 0.0,  # in the ammeter, which carries charge and loads
    "switch_ohm": 0.0,  # in the lamp's live side: switch, dip switch, joints
    "lamp_earth_ohm": 0.0,  # between the lamp's shell and the frame
    "plug_ohm": 0.0,  # in one generator wire at its plug
    # battery and loads
    "battery_ohms": 1.0,  # times the battery's resistance
    "cell_V": 0.0,  # volts that its cells have lost
    "case_V": 0.05,  # volts on the battery's top against its earthed post
    "load": 1.0,  # times the usual loads with the lights on
    "drain_mA": 0.0,  # key-off current past the box
    "leak_mA": 0.0,  # key-off current through the box
    # dynamo
    "field": 1.0,  # share of the field current that still flows with D and F linked
    "armature": 1.0,  # share of the armature's volts that is left
}

#: How the bridge conducts; the physics has one wave for each.
BridgeIs = Literal["sound", "diode open", "diode shorted", "line open"]
#: Yes-or-no changes: the charge never reaches the battery, which is apart from the box; nothing holds the volts; no AC
#: passes the generator's plug; the battery is off the loom while it runs; the line that is open is open in the winding,
#: so that its own ohms show it; the dynamo's volts have the wrong sign; the cut-out never closes; it never opens.
Flag = Literal[
    "no charge",
    "unregulated",
    "no AC",
    "battery off",
    "open in the winding",
    "wrong sign",
    "never cuts in",
    "never cuts out",
]


class Fitting(Record):
    """What a bike must have for a fault to be possible; what is left out may be anything."""

    families: tuple[Family, ...] = ()
    regulated_by: tuple[RegulatedBy, ...] = ()
    ignition: tuple[Ignition, ...] = ()
    battery: tuple[BatteryKind, ...] = ()
    system_voltage_V: tuple[Literal[6, 12], ...] = ()


class Fault(Record):
    """
    One fault, or a pair that the trade meets together.

    ``changes`` are ranges of severity; ``share`` how often it is met against the others, assumed. ``looks`` and
    ``symptoms`` say how often each is found with it; where one is not listed it is found as often as on a sound bike.
    ``job`` is what is done first, ``also`` the further jobs of a pair.
    ``touched`` are what was worked on last that makes it more likely. ``only_told`` marks one that no meter shows.
    """

    key: Annotated[str, Field(pattern="^[a-z][a-z_0-9]*$")]
    name: Text
    means: Text
    job: str
    also: tuple[str, ...] = ()
    share: Positive
    fitting: Fitting = Fitting()
    changes: Mapping[str, Range] = {}
    bridge: BridgeIs = "sound"
    flags: tuple[Flag, ...] = ()
    looks: Mapping[str, Share] = {}
    symptoms: Mapping[str, Share] = {}
    touched: tuple[str, ...] = ()
    comes_and_goes: Share = 0.02
    only_told: bool = False
    confirm: Text
    danger: Text = "none"
    source: Text

    @model_validator(mode="after")
    def _changes_are_known(self) -> "Fault":
        unknown = [name for name in self.changes if name not in SOUND_VALUES]
        if unknown:
            raise ValueError(f"{unknown[0]!r} is nothing that a fault changes. Choose from: {', '.join(SOUND_VALUES)}.")
        if not (self.changes or self.flags or self.only_told or self.bridge != "sound"):
            raise ValueError("it changes nothing. Say what it changes, or that it is only told.")
        return self


class Job(Record):
    """A job that cures: what is done, how long it takes, what its parts cost usually, and what it opens."""

    key: str
    name: Text
    do: Text
    minutes: Positive
    parts_cost: Annotated[float, Field(ge=0)]
    opens: Opens
    caution: Text


class Sign(Record):
    """A look or a symptom: how it is asked for, and how often it is found where nothing is wrong."""

    ask: Text
    sound: Share


class Look(Sign):
    """A look that is made: what it takes and how it is done safely."""

    minutes: Positive
    opens: Opens
    tool: Text
    who: Who
    safely: Text


class FaultSettings(Sourced):
    """All faults, jobs, looks and symptoms."""

    sound_share: Annotated[float, Field(gt=0, lt=1)]
    minute_cost: Positive
    faults: tuple[Fault, ...]
    jobs: tuple[Job, ...]
    looks: Mapping[str, Look]
    symptoms: Mapping[str, Sign]

    def job(self, key: str) -> Job:
        """The job of a key."""
        return next(job for job in self.jobs if job.key == key)

    @model_validator(mode="after")
    def _hang_together(self) -> "FaultSettings":
        jobs = {job.key for job in self.jobs}
        keys = [fault.key for fault in self.faults]
        if len(set(keys)) != len(keys):
            raise ValueError("two faults have one key.")
        for fault in self.faults:
            for job in (fault.job, *fault.also):
                if job not in jobs:
                    raise ValueError(f"{fault.key}: its job {job!r} is not in the list of jobs.")
            for name in fault.looks:
                if name not in self.looks:
                    raise ValueError(f"{fault.key}: the look {name!r} is not in the list of looks.")
            for name in fault.symptoms:
                if name not in self.symptoms:
                    raise ValueError(f"{fault.key}: the symptom {name!r} is not in the list of symptoms.")
        return self


def fault_settings_from(data: Mapping[str, Any], where: str) -> FaultSettings:
    """Check a document of faults, all of its own faults at once."""
    try:
        return FaultSettings.model_validate(data)
    except ValidationError as fault:
        raise BadRecord(where, faults_from(fault.errors())) from None


@cache
def usual_fault_settings() -> FaultSettings:
    """The list that ships with the package."""
    return fault_settings_from(read_toml("faults"), "faults")
