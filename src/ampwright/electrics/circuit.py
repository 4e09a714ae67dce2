"""A charging circuit on the bench: generator, rectifier, regulator, battery or capacitor, loads, ignition."""

from dataclasses import dataclass
from typing import Literal

from ampwright.electrics.alternator import Alternator
from ampwright.electrics.diode import Diode, DiodeLine
from ampwright.electrics.load import Filament

Pole = Literal["plus", "minus"]
Layout = Literal["star", "bi-phase", "half-wave", "dynamo"]


@dataclass(frozen=True)
class Zener:
    """v = zener_V + n Vt ln(1 + i / saturation) + resistance i, across the DC bus."""

    zener_V: float
    resistance_ohm: float
    saturation_A: float
    ideality: float


@dataclass(frozen=True)
class Sensing:
    """Comparator on the bus volts behind a lag: set above set_V + hysteresis_V / 2, clear below set_V less that."""

    set_V: float
    hysteresis_V: float
    sense_lag_s: float


@dataclass(frozen=True)
class Thyristor:
    """A diode that has to be fired, and then conducts until its current falls below `holding_A`."""

    junction: Diode
    holding_A: float


@dataclass(frozen=True)
class ThyristorShunt:
    """A thyristor from every AC line to DC minus, all fired while the comparator is set."""

    sensing: Sensing
    thyristor: Thyristor


@dataclass(frozen=True)
class MosfetShunt:
    """A MOSFET from every AC line to DC minus, all on while the comparator is set, conducting both ways."""

    sensing: Sensing
    on_resistance_ohm: float


@dataclass(frozen=True)
class ThyristorSeries:
    """Half-controlled bridge: thyristors in the upper arms, fired while the comparator is clear."""

    sensing: Sensing
    thyristor: Thyristor


@dataclass(frozen=True)
class FieldRegulator:
    """Feeds the field winding while the comparator is clear; while it is set its current runs on through a diode."""

    sensing: Sensing


@dataclass(frozen=True)
class VibratingContact:
    """Feeds the field winding directly while the comparator is clear, through `inserted_ohm` while it is set."""

    sensing: Sensing
    inserted_ohm: float


@dataclass(frozen=True)
class AcLimiter:
    """Two thyristors back to back across the lines; each fires by itself above `fire_V`, until its current dies."""

    fire_V: float
    thyristor: Thyristor


Regulator = Zener | ThyristorShunt | MosfetShunt | ThyristorSeries | FieldRegulator | VibratingContact


@dataclass(frozen=True)
class FieldWinding:
    """
    What magnetises a machine without magnets: it adds curve_Vs(current) to the machine's flux linkage.

    The curve is straight between its points and flat beyond the last; its first is at no current and holds what
    magnetism is left over. An alternator's field hangs on the box's plus, a dynamo's on its own terminal.
    """

    resistance_ohm: float
    inductance_H: float
    curve_A: tuple[float, ...]
    curve_Vs: tuple[float, ...]


@dataclass(frozen=True)
class Relay:
    """Cut-out of a dynamo: closes above `closes_V` at its terminal, opens above `opens_A` of reverse current."""

    closes_V: float
    opens_A: float
    contact_ohm: float


@dataclass(frozen=True)
class Battery:
    """Battery as a charging EMF behind a resistance."""

    emf_V: float
    resistance_ohm: float


@dataclass(frozen=True)
class Capacitor:
    """What carries the bus where there is no battery."""

    capacitance_F: float
    esr_ohm: float


@dataclass(frozen=True)
class Resistor:
    """A plain resistor across the bus."""

    resistance_ohm: float


@dataclass(frozen=True)
class CoilIgnition:
    """Coils behind points, closed for `dwell` of a turn of the cam; coil k is k / coils of a turn early."""

    coils: int
    resistance_ohm: float
    inductance_H: float
    dwell: float
    points_resistance_ohm: float
    clamp_V: float


@dataclass(frozen=True)
class PulsedIgnition:
    """Electronic ignition that takes `peak_A` for `duty` of every pulse, falling in proportion below 3 V of bus."""

    pulses_per_cam_turn: int
    peak_A: float
    duty: float


@dataclass(frozen=True)
class Start:
    """A kick: the crank rises linearly from rest to its speed, then holds it."""

    ramp_s: float
    hold_s: float


@dataclass(frozen=True)
class WindingFault:
    """
    What is wrong with one phase, counted from 1; shares of its turns are counted from the star point (or line 2).

    Open, or the first `shorted_share` of its turns bridged by `short_ohm`, or a leak of `leak_ohm` to a DC pole, after
    `leak_share` of its turns.
    """

    phase: int
    open: bool = False
    shorted_share: float = 0.0
    short_ohm: float = 0.0
    leak_share: float = 0.0
    leak_ohm: float | None = None
    leak_to: Pole = "minus"


@dataclass(frozen=True)
class ArmFault:
    """What is wrong with the arm between a line and a DC pole: open, bridged by some ohms, or a law of its own."""

    line: int
    pole: Pole
    open: bool = False
    bridged_ohm: float | None = None
    law: Diode | DiodeLine | None = None


@dataclass(frozen=True)
class Leads:
    """Resistance of leads and joints: each line, the box's plus and minus, the battery's lead and the loads'."""

    line_ohm: tuple[float, float, float] = (0.0, 0.0, 0.0)
    plus_ohm: float = 0.0
    minus_ohm: float = 0.0
    battery_ohm: float = 0.0
    load_ohm: float = 0.0


@dataclass(frozen=True)
class Winding:
    """
    How the coils are joined and what else a winding does.

    `layout`: star (single phase: one winding between two lines), bi-phase (two halves in antiphase about a tap) or
    half-wave (one winding, one line, its other end on a DC pole), or dynamo (an armature behind a commutator: its EMF
    does not alternate, and a cut-out stands where others have a box). `common` is where tap or other end goes, None
    where it is insulated. `coils_used` of `coils_total` equal groups in parallel are connected; the machine's values
    are those of all. Above `bend_A` the inductance falls: L(i) = L / (1 + (i / bend_A)^2). `iron_loss_ohm` lies
    across each phase, behind its resistance and inductance.
    """

    layout: Layout = "star"
    common: Pole | None = "minus"
    coils_used: int = 1
    coils_total: int = 1
    bend_A: float | None = None
    iron_loss_ohm: float | None = None
    faults: tuple[WindingFault, ...] = ()


@dataclass(frozen=True)
class Box:
    """How the rectifier is wired: the lines it has (from 1), and the arms that are not as they should be."""

    lines: tuple[int, ...] = (1, 2, 3)
    faults: tuple[ArmFault, ...] = ()


@dataclass(frozen=True)
class Circuit:
    """One circuit at one speed. Every field is a number, not an array."""

    speed_rpm: float
    alternator: Alternator
    rectifier: Diode | DiodeLine | None
    regulator: Regulator | None = None
    battery: Battery | None = None
    capacitor: Capacitor | None = None
    loads: tuple[Filament | Resistor, ...] = ()
    ignition: CoilIgnition | PulsedIgnition | None = None
    start: Start | None = None
    winding: Winding = Winding()
    box: Box = Box()
    leads: Leads = Leads()
    second_zener: Zener | None = None
    joined_lines: tuple[int, int] | None = None
    field: FieldWinding | None = None
    cut_out: Relay | Diode | DiodeLine | None = None
    ac_limiter: AcLimiter | None = None
    ac_loads: tuple[Filament | Resistor, ...] = ()


def is_plain(circuit: Circuit) -> bool:
    """Whether it is a sound machine of the plain kind, so that closed forms and fast loops hold."""
    plain = circuit.winding == Winding() and circuit.box == Box() and circuit.leads == Leads()
    plain = plain and circuit.second_zener is None and circuit.joined_lines is None
    plain = plain and circuit.field is None and circuit.ac_limiter is None and not circuit.ac_loads
    plain = plain and circuit.rectifier is not None
    return plain and (circuit.battery is None or circuit.battery.emf_V >= 0.0)


def sensing_of(circuit: Circuit) -> Sensing | None:
    """The comparator of a switching regulator."""
    regulator = circuit.regulator
    return None if regulator is None or isinstance(regulator, Zener) else regulator.sensing


def line_count(circuit: Circuit) -> int:
    """How many wires leave the machine."""
    if circuit.winding.layout in ("half-wave", "dynamo"):
        return 1
    return max(2, circuit.alternator.phases)
