"""A charging circuit on the bench: generator, rectifier, regulator, battery or capacitor, loads, ignition."""

from dataclasses import dataclass, field

from ampwright.electrics.alternator import Alternator
from ampwright.electrics.diode import Diode, DiodeLine
from ampwright.electrics.load import Filament


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


Regulator = Zener | ThyristorShunt | MosfetShunt | ThyristorSeries


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
class Circuit:
    """One circuit at one speed. Every field is a number, not an array."""

    speed_rpm: float
    alternator: Alternator
    rectifier: Diode | DiodeLine
    regulator: Regulator | None = None
    battery: Battery | None = None
    capacitor: Capacitor | None = None
    loads: tuple[Filament | Resistor, ...] = field(default=())
    ignition: CoilIgnition | PulsedIgnition | None = None
    start: Start | None = None


def sensing_of(circuit: Circuit) -> Sensing | None:
    """The comparator of a switching regulator."""
    regulator = circuit.regulator
    return None if regulator is None or isinstance(regulator, Zener) else regulator.sensing
