"""What holds the volts down on a bike: what is settled of it, else what is assumed."""

from dataclasses import dataclass
from math import log

from ampwright.electrics.circuit import Zener
from ampwright.electrics.diode import THERMAL_VOLTAGE_V
from ampwright.identify.grid import REGULATED_BY
from ampwright.identify.identification import Identification
from ampwright.operation.ride_bike import HeldBy
from ampwright.terms import Family, RegulatedBy

# A share from which an answer counts as settled, as in the certainty words.
_SETTLED = 0.97
# A part whose volts are told strays so many times less than its kind. Assumed.
_TOLD_IS_CLOSER = 3.0
_ZENERS = {RegulatedBy.ONE_ZENER: 1, RegulatedBy.TWO_ZENERS: 2}
_UNREGULATED = (RegulatedBy.NOTHING, RegulatedBy.RECTIFIER_ALONE)
# A Zener is named by what it holds at 2 A; the rest of its law is from memory.
_ZENER_TEST_A, _ZENER_ohm, _ZENER_SATURATION_A, _ZENER_IDEALITY = 2.0, 0.1, 1e-7, 1.1


@dataclass(frozen=True)
class HeldVolts:
    """
    What holds the volts down and at how many, and both in words.

    ``spread_V`` is how far such parts stray. ``zeners`` says how many there are side by side.
    """

    by: HeldBy
    held_V: float | None
    spread_V: float
    words: str
    is_assumed: bool
    zeners: int = 0


def held_volts(
    identification: Identification,
    family: Family,
    system_voltage_V: int,
    set_point_V: float | None = None,
    topology: HeldBy = "shunt box",
    *,
    to_be_fitted: bool = False,
    least_share: float = _SETTLED,
) -> HeldVolts:
    """
    What regulates the bike, if that has ``least_share`` of belief, else a box of the shunt kind.

    ``set_point_V`` and ``topology`` are those of a charging box; ``to_be_fitted`` puts it in place of what is there.
    """
    share = system_voltage_V / 12.0
    usual = identification.grid.evidence.settings.readings.held
    likeliest, share_of = likeliest_regulator(identification)
    kind = likeliest if share_of >= least_share and not to_be_fitted else None
    if family is Family.DYNAMO:
        held_V = usual.dynamo_control_box.held_12V_V * share if set_point_V is None else set_point_V
        spread_V = usual.dynamo_control_box.spread_12V_V * share
        return HeldVolts("field", held_V, spread_V, f"a control box set at {held_V:g} V", set_point_V is None)
    if kind in _UNREGULATED:
        words = "a rectifier and nothing that regulates"
        return HeldVolts("nothing", None, 0.0, words, is_assumed=share_of < _SETTLED)
    if kind in _ZENERS:
        held_V, spread_V = usual.one_zener.held_12V_V * share, usual.one_zener.spread_12V_V * share
        words = f"{kind.value} of {held_V:g} V at {_ZENER_TEST_A:g} A"
        return HeldVolts("Zener", held_V, spread_V, words, is_assumed=True, zeners=_ZENERS[kind])
    held_V = usual.charging_box.held_12V_V * share if set_point_V is None else set_point_V
    words = f"a charging box of the {topology.removesuffix(' box')} kind set at {held_V:g} V"
    spread_V = usual.charging_box.spread_12V_V * share
    return HeldVolts(topology, held_V, spread_V, words, is_assumed=set_point_V is None)


def strays_V(held: HeldVolts) -> float:
    """How far such a part's volts stray, a standard deviation; one whose volts are told strays a third as far. [V]"""
    return held.spread_V if held.is_assumed else held.spread_V / _TOLD_IS_CLOSER


def likeliest_regulator(identification: Identification) -> tuple[RegulatedBy, float]:
    """What most likely regulates the bike, and how likely; one Zener or two, and nothing or a rectifier, are as one."""
    values, shares = identification.grid.values[REGULATED_BY], identification.shares(REGULATED_BY)
    share = {kind: float(each) for kind, each in zip(values, shares, strict=True) if isinstance(kind, RegulatedBy)}
    groups = (tuple(_ZENERS), _UNREGULATED, *((kind,) for kind in share if kind not in (*_ZENERS, *_UNREGULATED)))
    together = {group: sum(share[kind] for kind in group) for group in groups}
    group = max(groups, key=lambda each: together[each])
    return max(group, key=lambda kind: share[kind]), together[group]


def zener_of(held_V: float, count: int) -> Zener:
    """So many Zeners side by side, each holding its volts at its test current."""
    junction_V = _ZENER_IDEALITY * THERMAL_VOLTAGE_V * log(1.0 + _ZENER_TEST_A / _ZENER_SATURATION_A)
    zener_V = held_V - junction_V - _ZENER_ohm * _ZENER_TEST_A
    return Zener(zener_V, _ZENER_ohm / count, _ZENER_SATURATION_A * count, _ZENER_IDEALITY)
