"""What a few pairs of volts and amps say: what the regulator holds, the battery's ohms, and which joint is bad."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ampwright.bike.reading import MOST_BATTERY_V
from ampwright.desk.cases.pairs_told import PairsAsked, finest
from ampwright.electrics.battery import Battery, CellLaw
from ampwright.identify.from_pairs import (
    Estimate,
    Plateau,
    SagLaw,
    battery_from_pairs,
    capacity_from_rests,
    joint_milliohm,
    left_over_milliohm,
    set_point_and_droop,
)
from ampwright.identify.riding import cells_of, law_of
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.loom_settings import usual_loom
from ampwright.stock.ride_settings import ride_settings
from ampwright.stock.triage_settings import usual_triage_settings
from ampwright.terms import RegulatedBy

# One reading strays from the next by so much of the meter's last digit, and reads all volts wrong by such a share;
# amps by clamp or ammeter likewise (assumed: everyday meters).
_OF_A_DIGIT, _VOLTS_GAIN, _AMPS_ERROR = 0.6, 0.005, 0.03
# What rest volts have not settled by after some hours (assumed).
_NOT_SETTLED_12V_V = 0.02
# The sag that is known beforehand is known to half of itself (assumed).
_SAG_KNOWN = 0.5
# How much of a battery's resistance comes late, as a share: known to this (assumed).
_SLOW_KNOWN = 0.2
# A battery is judged worn from this many times a sound one's resistance on; see docs/triage.md.
_WORN_TIMES = 2.5
# What is read below this is of 6 V, above it of 12 V.
_BETWEEN_SYSTEMS_V = 9.0
# A joint is clean up to this many times the largest of the usual ones (assumed), and bad where it loses so many volts
# at the amps that were read (common practice, no source).
_CLEAN_TIMES, _BAD_DROP_V = 4.0, 0.2
_DROOP_TOLD_AT_A = 10.0


@dataclass(frozen=True)
class Banded:
    """A quantity with the 5th and 95th of a hundred; ``high`` is absent where there is no upper end."""

    likely: float
    low: float
    high: float | None
    unit: str
    words: str


@dataclass(frozen=True)
class RegulatorSeen:
    """What a regulator holds, how it droops, and which pairs tell it."""

    set_V: Banded | None
    droop_milliohm: Banded | None
    pairs: tuple[str, ...]
    says: str


@dataclass(frozen=True)
class BatterySeen:
    """A battery's resistance against a sound one's of its kind and size, and a rough capacity."""

    resistance_milliohm: Banded | None
    sag_V: Banded | None
    sound_milliohm: float
    capacity_Ah: Banded | None
    says: tuple[str, ...]
    assumed: tuple[str, ...]


@dataclass(frozen=True)
class JointSeen:
    """One joint in milliohm."""

    name: str
    milliohm: Banded
    drop_V: float
    says: str


@dataclass(frozen=True)
class PairsAnswer:
    """What the pairs say, each part absent where nothing was read of it; ``left_over`` is what nobody measured."""

    stop_first: str
    regulator: RegulatorSeen | None
    battery: BatterySeen | None
    joints: tuple[JointSeen, ...]
    left_over: Banded | None
    left_over_says: str
    assumed: tuple[str, ...]
    cautions: tuple[str, ...]


def pairs_answer(asked: PairsAsked) -> PairsAnswer:
    """What pairs of volts and amps say, and how sure it is."""
    system_V = _system_voltage_V(asked)
    stop = _stop(asked, system_V)
    joints, left_over, left_over_says = _joints(asked)
    texts = usual_cautions()
    return PairsAnswer(
        stop_first=stop,
        regulator=_regulator(asked, system_V, is_stopped=bool(stop)) if asked.regulator else None,
        battery=_battery(asked, system_V) if asked.battery_loads or asked.battery_rest_after_V else None,
        joints=joints,
        left_over=left_over,
        left_over_says=left_over_says,
        assumed=(
            f"{system_V} V system",
            "one reading strays by 0.6 of the last digit",
            "meter good to 0.5 % in volts and 3 % in amps",
        ),
        cautions=(texts["always"],),
    )


# --- what was given --------------------------------------------------------------------------------------------------


def _regulator_error_V(asked: PairsAsked) -> float:
    return _OF_A_DIGIT * (asked.regulator_digit_V or finest([one.volts for one in asked.regulator]))


def _battery_error_V(asked: PairsAsked) -> float:
    rests = [one for one in (asked.battery_rest_V, asked.battery_rest_after_V) if one is not None]
    return _OF_A_DIGIT * (asked.battery_digit_V or finest([*(one.volts for one in asked.battery_loads), *rests]))


def _system_voltage_V(asked: PairsAsked) -> int:
    told = asked.battery_rest_V or max((one.volts for one in asked.regulator), default=12.0)
    return 6 if told < _BETWEEN_SYSTEMS_V else 12


def _stop(asked: PairsAsked, system_V: int) -> str:
    most = max((one.volts for one in asked.regulator), default=0.0)
    if most <= MOST_BATTERY_V[system_V]:
        return ""
    return (
        f"{most:g} V at the posts is too many on {system_V} V (over {MOST_BATTERY_V[system_V]:g} V): engine off, and"
        " off it stays until what regulates it is put right. It boils or bursts a battery and burns lamps."
    )


# --- what it says ----------------------------------------------------------------------------------------------------


def _banded(found: Estimate, unit: str, times: float = 1.0, *, least: float = -math.inf) -> Banded:
    return _band(times * found.value, max(times * found.low, least), times * found.high, unit)


def _band(likely: float, low: float, high: float, unit: str) -> Banded:
    digits = 2 if unit == "V" else 0 if abs(likely) >= 20.0 else 1
    if math.isinf(high):
        return Banded(likely, low, None, unit, f"at least {low:.{digits}f} {unit}, no upper end")
    words = f"{likely:.{digits}f} {unit} ({low:.{digits}f} to {high:.{digits}f})"
    return Banded(likely, low, high, unit, words)


def _regulator(asked: PairsAsked, system_V: int, *, is_stopped: bool) -> RegulatorSeen:
    volts, amps = ([getattr(one, name) for one in asked.regulator] for name in ("volts", "amps"))
    found = set_point_and_droop(volts, amps, _regulator_error_V(asked), _VOLTS_GAIN)
    droop = found.droop_ohm
    return RegulatorSeen(
        set_V=None if found.set_V is None else _banded(found.set_V, "V"),
        droop_milliohm=None if droop is None else _banded(droop, "milliohm", 1e3, least=0.0),
        pairs=tuple(_pairs(asked, found)),
        says="Nothing more is read of it before the stop is dealt with."
        if is_stopped
        else _regulator_says(found, system_V),
    )


def _pairs(asked: PairsAsked, found: Plateau) -> Iterator[str]:
    for one, on, over in zip(asked.regulator, found.on_plateau, found.over, strict=True):
        where = "on the plateau"
        if found.set_V is None:
            where = "on the way up"
        elif over:
            where = "above it, which one set-point cannot give: read it again"
        elif not on:
            where = "below it, not counted: nothing holds the volts there, the generator gives no more"
        yield f"{one.volts:g} V at {one.amps:g} A: {where}"


def _regulator_says(found: Plateau, system_V: int) -> str:
    if found.set_V is None:
        return (
            "The volts only rise with the current: nothing holds them yet. Read again with the engine faster and the"
            " battery fuller."
        )
    band = usual_triage_settings().held[RegulatedBy.CHARGING_BOX]
    share = system_V / 12.0
    low, high = share * band.low_V, share * band.high_V
    usual = f"{low:g} to {high:g} V (common practice, no source)"
    if found.set_V.high < low or found.set_V.low > high:
        said = f"The set-point is {'under' if found.set_V.high < low else 'over'} what a charging box holds, {usual}."
    elif low <= found.set_V.low and found.set_V.high <= high:
        said = f"The set-point is where a charging box holds, {usual}."
    else:
        said = f"The set-point may be in or out of what a charging box holds, {usual}: a finer meter tells."
    droop = found.droop_ohm
    if droop is None:
        return f"{said} The droop takes a second pair on the plateau, some amps apart."
    lost_V = _DROOP_TOLD_AT_A * droop.value
    if droop.low <= 0.0:
        return f"{said} No droop can be told from the meter's own error."
    return f"{said} It loses {lost_V:.2f} V over {_DROOP_TOLD_AT_A:.0f} A, in the box, its leads and joints together."


def _battery(asked: PairsAsked, system_V: int) -> BatterySeen:
    settings, kind, rest_V = ride_settings(), asked.battery_kind, asked.battery_rest_V or 0.0
    usual_Ah = settings.capacity_6V_Ah if system_V == 6 else settings.capacity_12V_Ah
    usual_Ah = settings.capacity_lithium_Ah if kind == "LiFePO4" else usual_Ah
    label_Ah = asked.battery_Ah or usual_Ah
    law, cells = law_of(kind), cells_of(kind, system_V)
    sound_ohm = law.discharging_ohm_Ah * cells / label_Ah
    ohm = sag = None
    says = []
    if asked.battery_loads:
        found = battery_from_pairs(
            rest_V,
            [(one.volts, one.amps) for one in asked.battery_loads],
            [one.seconds for one in asked.battery_loads],
            _sag_law(law, cells, label_Ah),
            _battery_error_V(asked),
            _AMPS_ERROR,
        )
        ohm = _banded(found.resistance_ohm, "milliohm", 1e3, least=0.0)
        sag = _banded(found.sag_V, "V", least=0.0)
        says.append(_battery_says(found.resistance_ohm, sound_ohm, f"a sound {kind} one of {label_Ah:g} Ah"))
    capacity = _capacity(asked, Battery(law, cells, label_Ah), system_V)
    if capacity is None and asked.battery_rest_after_V is not None:
        says.append(
            "Capacity: the rest volts did not fall, so it cannot be told. Draw more, rest two hours, read again."
        )
    if capacity is not None:
        says.append(_capacity_says(capacity, label_Ah, is_told=asked.battery_Ah is not None, kind=kind))
    return BatterySeen(
        resistance_milliohm=ohm,
        sag_V=sag,
        sound_milliohm=1e3 * sound_ohm,
        capacity_Ah=capacity,
        says=tuple(says),
        assumed=(
            *(() if asked.battery_Ah else (f"a battery of {label_Ah:g} Ah",)),
            f"{kind}, more than half charged, 10 to 30 °C",
            "how a sound one sags, known to half of it",
        ),
    )


def _sag_law(law: CellLaw, cells: int, label_Ah: float) -> SagLaw:
    """What is known beforehand of how a load lowers the posts of this kind and size."""
    slow_ohm_Ah = law.discharging_ohm_Ah - law.fast_ohm_Ah
    sag_V = cells * law.discharge_knee_V
    return SagLaw(
        sag_V=sag_V,
        sag_error_V=_SAG_KNOWN * sag_V,
        half_A=law.half_A_per_Ah * label_Ah,
        slow_share=slow_ohm_Ah / law.discharging_ohm_Ah,
        slow_error=_SLOW_KNOWN,
        slow_s=law.slow_F_per_Ah * slow_ohm_Ah,
    )


def _battery_says(found: Estimate, sound_ohm: float, sound: str) -> str:
    usual = f"{sound} has about {1e3 * sound_ohm:.0f} milliohm (assumed)"
    if found.low > _WORN_TIMES * sound_ohm:
        return f"Too many ohms: {usual}. Worn, sulphated, of another size, or a bad joint at its posts."
    if found.high < _WORN_TIMES * sound_ohm:
        return f"By its ohms it may be sound: {usual}, a worn one {_WORN_TIMES:g} times as many and more."
    return f"Sound or worn cannot be told from these pairs: {usual}. A second load, some amps apart, tells more."


def _capacity(asked: PairsAsked, battery: Battery, system_V: int) -> Banded | None:
    if asked.battery_rest_after_V is None or asked.drawn_A is None or asked.drawn_minutes is None:
        return None
    error_V = math.hypot(_battery_error_V(asked), _NOT_SETTLED_12V_V * system_V / 12.0)
    rests = asked.battery_rest_V or 0.0, asked.battery_rest_after_V
    found = capacity_from_rests(*rests, asked.drawn_A, asked.drawn_minutes, battery, error_V)
    if math.isinf(found.likely_Ah):
        return None
    return _band(found.likely_Ah, found.low_Ah, found.high_Ah, "Ah")


def _capacity_says(found: Banded, label_Ah: float, *, is_told: bool, kind: str) -> str:
    if kind == "LiFePO4":
        return "Capacity: rest volts say next to nothing of a lithium battery's charge; draw it down and count instead."
    if found.high is None:
        return (
            f"Rough capacity: {found.words}, as the rest volts hardly fell. Draw more, rest it two hours, read again."
        )
    if not is_told:
        return f"Rough capacity: {found.words}, as rest volts are a rough measure of charge."
    if found.high < label_Ah:
        return f"Rough capacity: {found.words}, less than its label's {label_Ah:g} Ah, almost certainly."
    return f"Rough capacity: {found.words}; its label's {label_Ah:g} Ah is not ruled out by that."


def _joints(asked: PairsAsked) -> tuple[tuple[JointSeen, ...], Banded | None, str]:
    if not asked.joints:
        return (), None, ""
    whole = asked.whole_drop
    drops = [one.drop_V for one in (*asked.joints, *((whole,) if whole else ()))]
    error_V = _OF_A_DIGIT * (asked.drop_digit_V or finest(drops))
    drop_V, amps = (np.array([getattr(one, name) for one in asked.joints]) for name in ("drop_V", "amps"))
    found = joint_milliohm(drop_V, amps, error_V, _AMPS_ERROR)
    bands = zip(found.milliohm, found.low_milliohm, found.high_milliohm, strict=True)
    seen = []
    for one, (likely, low, high) in zip(asked.joints, bands, strict=True):
        band = _band(float(likely), float(low), float(high), "milliohm")
        seen.append(JointSeen(one.name, band, abs(one.drop_V), _joint_says(band, abs(one.drop_V))))
    worst_first = tuple(sorted(seen, key=lambda one: -one.milliohm.likely))
    if whole is None:
        return worst_first, None, ""
    # Brought to the amps at which the whole was read: a joint is the same ohms at both.
    left = left_over_milliohm(drop_V * whole.amps / amps, whole.drop_V, whole.amps, error_V, _AMPS_ERROR)
    return worst_first, _banded(left, "milliohm"), _left_over_says(left)


def _joint_says(band: Banded, drop_V: float) -> str:
    clean = _CLEAN_TIMES * 1e3 * max(usual_loom().joint_ohm.values())
    if drop_V >= _BAD_DROP_V:
        return "bad: clean and tighten it, or lay the lead new"
    if band.high is not None and band.high <= clean:
        return "clean"
    if band.low > clean:
        return "more than a clean joint has; a long thin lead may have as much"
    return "can't say: read it with more current, or on a finer range"


def _left_over_says(left: Estimate) -> str:
    if left.high < 0.0:
        return "The parts have more than the whole: one of them was read wrongly, or the current changed. Read again."
    if left.low > 0.0:
        return "So much lies where nobody has measured yet: look for it between the joints that were read."
    return "Nothing is left over beyond the meter's error: the joints that were read are all of it."
