"""What machines of one sort have in common: earth, spark, what regulates them, wires and coils; shares from memory."""

from collections.abc import Mapping
from dataclasses import dataclass

from ampwright.terms import Ignition, RegulatedBy

_POINTS, _ELECTRONIC, _MAGNETO, _TRANSFER = (
    Ignition.POINTS,
    Ignition.ELECTRONIC,
    Ignition.MAGNETO,
    Ignition.ENERGY_TRANSFER,
)
_NOTHING, _RECTIFIER, _ZENER, _ZENERS = (
    RegulatedBy.NOTHING,
    RegulatedBy.RECTIFIER_ALONE,
    RegulatedBy.ONE_ZENER,
    RegulatedBy.TWO_ZENERS,
)
_BOX, _CONTROL_BOX, _FIELD = RegulatedBy.CHARGING_BOX, RegulatedBy.DYNAMO_CONTROL_BOX, RegulatedBy.FIELD_REGULATOR


@dataclass(frozen=True)
class Habit:
    """What machines of one sort have in common, as weights."""

    positive_earth: float
    ignition: Mapping[Ignition, float]
    regulated_by: Mapping[RegulatedBy, float]
    no_battery: float
    electric_starter: float
    years: tuple[int, int]
    coils: tuple[int, ...]
    poles: int
    thick: tuple[int, ...]
    thin: tuple[int, ...]
    colours: tuple[str, ...]


TWO_WIRE = Habit(
    positive_earth=0.66,
    ignition={_POINTS: 70, _ELECTRONIC: 26, _MAGNETO: 4},
    regulated_by={_ZENER: 42, _BOX: 42, _RECTIFIER: 12, _NOTHING: 4},
    no_battery=0.05,
    electric_starter=0.02,
    years=(1963, 1983),
    coils=(6,),
    poles=6,
    thick=(2,),
    thin=(0, 0, 0, 2),
    colours=("white and green, green and yellow", "white, yellow", "black, black"),
)
SWITCHED = Habit(
    positive_earth=0.86,
    ignition={_POINTS: 74, _MAGNETO: 18, _ELECTRONIC: 8},
    regulated_by={_RECTIFIER: 84, _BOX: 10, _NOTHING: 6},
    no_battery=0.02,
    electric_starter=0.0,
    years=(1953, 1968),
    coils=(6,),
    poles=6,
    thick=(3,),
    thin=(0,),
    colours=("white and green, green and black, green and yellow", "white, orange, light green", "black, black, black"),
)
THREE_PHASE = Habit(
    positive_earth=0.38,
    ignition={_POINTS: 46, _ELECTRONIC: 54},
    regulated_by={_BOX: 72, _ZENERS: 14, _ZENER: 8, _RECTIFIER: 6},
    no_battery=0.04,
    electric_starter=0.25,
    years=(1974, 2015),
    coils=(9,),
    poles=6,
    thick=(3,),
    thin=(0, 0, 2),
    colours=("three yellow", "white and green, green and black, green and yellow", "three white"),
)
BI_PHASE = Habit(
    positive_earth=0.08,
    ignition={_POINTS: 45, _ELECTRONIC: 55},
    regulated_by={_BOX: 84, _RECTIFIER: 16},
    no_battery=0.03,
    electric_starter=0.4,
    years=(1968, 1990),
    coils=(6, 6, 8, 10),
    poles=6,
    thick=(3,),
    thin=(0, 2),
    colours=("two yellow, one white", "two red, one black"),
)
ENERGY_TRANSFER = Habit(
    positive_earth=0.5,
    ignition={_TRANSFER: 94, _ELECTRONIC: 3, _MAGNETO: 3},
    regulated_by={_NOTHING: 93, _RECTIFIER: 7},
    no_battery=0.9,
    electric_starter=0.0,
    years=(1959, 1972),
    coils=(6,),
    poles=6,
    thick=(4, 4, 5, 5, 3),
    thin=(0, 0, 1),
    colours=("black and white, black and yellow, red, brown, green", "red, brown and blue, black and yellow, white"),
)
DIRECT_LIGHTING = Habit(
    positive_earth=0.1,
    ignition={_MAGNETO: 80, _ELECTRONIC: 20},
    regulated_by={_NOTHING: 78, _RECTIFIER: 14, _BOX: 8},
    no_battery=0.72,
    electric_starter=0.0,
    years=(1955, 1990),
    coils=(2, 3, 4, 4),
    poles=4,
    thick=(1, 1, 2, 3),
    thin=(0, 1, 2),
    colours=("yellow", "yellow, green", "yellow, blue, black"),
)
WOUND_FIELD = Habit(
    positive_earth=0.02,
    ignition={_POINTS: 50, _ELECTRONIC: 50},
    regulated_by={_FIELD: 94, _NOTHING: 6},
    no_battery=0.0,
    electric_starter=0.85,
    years=(1968, 1995),
    coils=(18, 18, 12, 24),
    poles=12,
    thick=(3,),
    thin=(2, 2, 1),
    colours=("three yellow", "three white"),
)
DYNAMO = Habit(
    positive_earth=0.78,
    ignition={_MAGNETO: 72, _POINTS: 26, _ELECTRONIC: 2},
    regulated_by={_CONTROL_BOX: 93, _NOTHING: 7},
    no_battery=0.05,
    electric_starter=0.0,
    years=(1934, 1962),
    coils=(2,),
    poles=2,
    thick=(2, 2, 1),
    thin=(0, 0, 1),
    colours=("yellow, green", "black, black"),
)
MODERN = Habit(
    positive_earth=0.0,
    ignition={_ELECTRONIC: 90, _POINTS: 10},
    regulated_by={_BOX: 96, _RECTIFIER: 4},
    no_battery=0.02,
    electric_starter=0.8,
    years=(1970, 2010),
    coils=(12, 18, 18),
    poles=12,
    thick=(3,),
    thin=(2, 0),
    colours=("three yellow", "three white"),
)
THREE_BRUSH = Habit(
    positive_earth=0.4,
    ignition={_POINTS: 80, _MAGNETO: 20},
    regulated_by={_CONTROL_BOX: 60, _NOTHING: 40},
    no_battery=0.02,
    electric_starter=0.0,
    years=(1920, 1950),
    coils=(2,),
    poles=2,
    thick=(2, 1),
    thin=(0,),
    colours=("red, green", "black, black"),
)
