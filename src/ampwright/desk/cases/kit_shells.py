"""What the shell of a kit's box or Zener reads after the workshop's twenty minutes, and whether that is too hot."""

from ampwright.bike.seen import StarterFound
from ampwright.desk.cases.heat_map import workshop_heat
from ampwright.desk.cases.ride_legs import Band
from ampwright.desk.cases.ride_setup import Ridable
from ampwright.desk.cases.workup import Workup
from ampwright.identify.grid import BATTERY
from ampwright.identify.held_volts import HeldVolts
from ampwright.identify.riding import BatteryHere, battery_here, bikes_of
from ampwright.identify.system import System, system_of
from ampwright.operation.balance import spread
from ampwright.operation.ride_bike import HeldBy
from ampwright.selection.kit_bike import Fitted, KitBike
from ampwright.selection.kit_heat import heats
from ampwright.selection.kit_roles import AS_IT_IS, Choice
from ampwright.stock.parts import AnyPart, Battery, ChargingBox, Zener
from ampwright.stock.ride_settings import ride_settings
from ampwright.terms import BatteryKind

# Bikes that stand for all in the workshop's proof.
_HEAT_SAMPLES = 40
# What a Zener holds at 2 A, where its maker does not say (common practice, no source).
_ZENER_V = 14.5
# Makers' set-points are kept this closely, a standard deviation at 12 V. Assumed.
_STRAYS_V = 0.1


class KitShells:
    """
    The heat of kits of one bike, each figure worked out once.

    It is that of a usual box of its kind, with a bought battery of usual size: what a kit is chosen by and what is said
    of it are one figure.
    """

    def __init__(self, workup: Workup, bike: KitBike) -> None:
        self._workup = workup
        self._bike = bike
        self._known: dict[tuple[str, str, str], Band | None] = {}

    def shell_degC(self, generator: Fitted, regulating: AnyPart, battery: Choice) -> Band | None:
        """The shell after twenty minutes at 3000 rpm, lights off; none where nothing is known of it."""
        key = (heats(generator), heats(regulating), heats(battery))
        if key not in self._known:
            self._known[key] = self._worked_out(generator, regulating, battery)
        return self._known[key]

    def limit_degC(self, regulating: AnyPart) -> float:
        """What a workshop accepts of it."""
        settings = ride_settings()
        return settings.zener_limit_degC if isinstance(regulating, Zener) else settings.shell_limit_degC

    def too_hot(self, generator: Fitted, regulating: AnyPart, battery: Choice) -> bool:
        """Whether a likely shell is over its limit."""
        shell = self.shell_degC(generator, regulating, battery)
        return shell is not None and shell.likely > self.limit_degC(regulating)

    def _worked_out(self, generator: Fitted, regulating: AnyPart, battery: Choice) -> Band | None:
        held, system = self._held(regulating), self._system(generator)
        machines = max(generator.machines, key=lambda one: one.belief)
        if held is None or system is None or machines.middle is None:
            return None
        job, settings, here = self._workup.job, ride_settings(), self._battery(battery)
        is_as_it_is = generator.stator is None and not machines.is_measured
        middle = (machines.middle, system.lights_off_machine if is_as_it_is else machines.middle)
        many = (spread(middle[0], _HEAT_SAMPLES, 1), spread(middle[1], _HEAT_SAMPLES, 1))
        ridable = Ridable(
            job=job,
            system=system,
            belief=1.0,
            held=held,
            battery=here,
            starter="kick",
            ignition=self._bike.ignition,
            middle=bikes_of(system, held, here, job, settings, 1, middle),
            many=bikes_of(system, held, here, job, settings, _HEAT_SAMPLES, many),
            settings=settings,
            sharpened_by=(),
            assumed=(),
        )
        return workshop_heat(ridable)

    def _held(self, regulating: AnyPart) -> HeldVolts | None:
        """What holds the volts; a dynamo's regulator sheds next to nothing, and has no shell to feel."""
        if isinstance(regulating, ChargingBox):
            kind: HeldBy = "series box" if regulating.topology == "series" else "shunt box"
            share = self._bike.target_V / 12.0
            usual = self._workup.identification.grid.evidence.settings.readings.held.charging_box
            return HeldVolts(kind, usual.held_12V_V * share, _STRAYS_V * share, f"a usual {kind}", is_assumed=False)
        if isinstance(regulating, Zener):
            held_V = regulating.zener_V or _ZENER_V
            return HeldVolts("Zener", held_V, _STRAYS_V, regulating.code, is_assumed=False, zeners=1)
        return None

    def _system(self, generator: Fitted) -> System | None:
        """The likeliest generator with figures, or the class of the new stator, with its loads when all is dark."""
        bike, of_class = self._bike, generator.of_class
        job = self._workup.job.model_copy(update={"loads": bike.other_loads})
        classes = self._workup.identification.possible_generators if of_class is None else (of_class,)
        found = (system_of(job, each, bike.target_V, bike.ignition) for each in classes)
        return next((system for system in found if system is not None), None)

    def _battery(self, battery: Choice) -> BatteryHere | None:
        if isinstance(battery, Battery):
            return _usual_battery(self._workup, self._bike, battery.chemistry)
        return battery_that_stays(self._workup, self._bike) if battery == AS_IT_IS else None


def battery_that_stays(workup: Workup, bike: KitBike) -> BatteryHere:
    """The battery that is on a bike, as told or as usual."""
    kind = workup.identification.possible_values(BATTERY)[0]
    named = str(kind.value) if isinstance(kind, BatteryKind) else str(kind)
    return battery_here(workup.job, named, bike.target_V, ride_settings(), has_starter=_has_starter(workup))


def _usual_battery(workup: Workup, bike: KitBike, kind: str) -> BatteryHere:
    untold = workup.job.model_copy(update={"battery": None})
    return battery_here(untold, kind, bike.target_V, ride_settings(), has_starter=_has_starter(workup))


def _has_starter(workup: Workup) -> bool:
    return any(isinstance(each, StarterFound) and each.answer == "electric" for each in workup.job.findings)
