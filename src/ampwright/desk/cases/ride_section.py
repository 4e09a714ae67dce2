"""What a job's page shows of its rides before any is ridden: those told, what would be ridden, and the blanks."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, get_args

from ampwright.bike.cycles import CYCLE_TITLES
from ampwright.bike.ride import Lights, Ride, ride_length_s
from ampwright.bike.seen import StarterFound
from ampwright.desk.cases.edit import key_of
from ampwright.desk.cases.ride import USUAL_RIDE
from ampwright.desk.cases.ride_blanks import BOX_PLACES
from ampwright.desk.cases.roadside import TROUBLES
from ampwright.desk.cases.what_if import CHANGES
from ampwright.desk.cases.workup import Workup
from ampwright.identify.riding import battery_here
from ampwright.stock.ride_settings import ride_settings

LIGHTS: tuple[str, ...] = get_args(Lights)


@dataclass(frozen=True)
class ToldRide:
    """One ride as it is told; ``key`` takes it out."""

    key: str
    name: str
    how: str
    minutes: float
    lights: str
    air_degC: float
    times: int
    rest_hours: float


@dataclass(frozen=True)
class RideSection:
    """
    The rides of a job and what its blanks begin with; ``state`` changes with what is told here and with nothing else.

    ``usual_Ah`` is the battery that is reckoned with where none is told.
    """

    rides: tuple[ToldRide, ...]
    usual: ToldRide
    capacity_Ah: float | None
    usual_Ah: float
    years: float | None
    box_air: str
    key_off_mA: float
    cycles: Mapping[str, str]
    lights: tuple[str, ...]
    box_places: tuple[str, ...]
    changes: Mapping[str, str]
    troubles: tuple[str, ...]
    state: str


def ride_section(workup: Workup, document: Mapping[str, Any]) -> RideSection:
    """The section of a job that was worked up; nothing is ridden."""
    job = workup.job
    written = document.get("rides", ())
    told = [document.get(key) for key in ("rides", "battery", "box_air", "key_off_mA")]
    return RideSection(
        rides=tuple(_told(ride, key_of(held)) for ride, held in zip(job.rides, written, strict=True)),
        usual=_told(USUAL_RIDE, ""),
        capacity_Ah=job.battery.capacity_Ah if job.battery else None,
        usual_Ah=_usual_Ah(workup),
        years=job.battery.years if job.battery else None,
        box_air=job.box_air or "",
        key_off_mA=job.key_off_mA,
        cycles=dict(CYCLE_TITLES.items()),
        lights=LIGHTS,
        box_places=BOX_PLACES,
        changes={name: change.words for name, change in CHANGES.items()},
        troubles=TROUBLES,
        state=key_of(told),
    )


def _told(ride: Ride, key: str) -> ToldRide:
    return ToldRide(
        key=key,
        name=ride.name,
        how=_how(ride),
        minutes=ride_length_s(ride) / 60.0,
        lights=ride.lights,
        air_degC=ride.ambient_degC,
        times=ride.repeats,
        rest_hours=ride.rest_hours,
    )


def _how(ride: Ride) -> str:
    if ride.legs:
        return ", ".join(f"{leg.kind} {leg.minutes:g}" for leg in ride.legs)
    return CYCLE_TITLES[ride.cycle] if ride.cycle else "recorded: speed against time"


def _usual_Ah(workup: Workup) -> float:
    """The battery that is reckoned with where none is told, by volts and starter."""
    job = workup.job
    volts = 6 if workup.explanation.voltages[0].name.startswith("6") else 12
    found = [each.answer for each in job.findings if isinstance(each, StarterFound)]
    untold = job.model_copy(update={"battery": None})
    has_starter = bool(found) and found[-1] == "electric"
    return battery_here(untold, "flooded", volts, ride_settings(), has_starter=has_starter).capacity_Ah
