"""Kinds of battery: what one cell of each does, as records a shop may replace by its own."""

from functools import cache
from typing import Annotated, Literal

from pydantic import Field, ValidationError, model_validator

from ampwright.errors import BadRecord, faults_from
from ampwright.packaged import read_toml
from ampwright.stock.record import Positive, Record, Sourced

NotNegative = Annotated[float, Field(ge=0)]


class BatteryKindRecord(Sourced):
    """
    One cell at 25 °C by its ampere-hours; the law is `electrics.battery.CellLaw`.

    ``set_low_12V_V`` to ``set_high_12V_V`` is what suits the posts at 25 °C, ``recombines_share`` how much of its gas
    turns back into water.
    """

    kind: Literal["flooded", "AGM", "gel", "LiFePO4"]
    cells_12V: Annotated[int, Field(ge=1, le=6)]
    open_circuit_V: Annotated[tuple[Positive, ...], Field(min_length=2, max_length=101)]
    open_circuit_V_per_K: float
    fast_ohm_Ah: Positive
    knee_V: Positive
    half_A_per_Ah: Positive
    charging_ohm_Ah: Positive
    discharge_knee_V: Positive
    discharging_ohm_Ah: Positive
    slow_F_per_Ah: Positive
    gassing_A_per_Ah: Positive
    gassing_V: Positive
    gassing_slope_V: Positive
    peukert: Annotated[float, Field(ge=1, le=2)]
    rate_h: Positive
    reach_time_s: Positive
    cold_share_per_K: NotNegative
    ohm_per_K: NotNegative
    flat_sag_V: Positive
    taper: Annotated[float, Field(ge=0, le=1)]
    recombines_share: Annotated[float, Field(ge=0, le=1)]
    set_low_12V_V: Positive
    set_high_12V_V: Positive
    set_per_K_12V_V: float

    @model_validator(mode="after")
    def _hangs_together(self) -> "BatteryKindRecord":
        if list(self.open_circuit_V) != sorted(self.open_circuit_V):
            raise ValueError("open_circuit_V must rise from empty to full.")
        if self.fast_ohm_Ah >= min(self.charging_ohm_Ah, self.discharging_ohm_Ah):
            raise ValueError("fast_ohm_Ah is part of charging_ohm_Ah and discharging_ohm_Ah and must be less.")
        if self.set_low_12V_V >= self.set_high_12V_V:
            raise ValueError("set_low_12V_V must be less than set_high_12V_V.")
        return self


class _Kinds(Record):
    batteries: tuple[BatteryKindRecord, ...]


@cache
def battery_kinds() -> dict[str, BatteryKindRecord]:
    """Every kind of battery by its name."""
    try:
        return {record.kind: record for record in _Kinds.model_validate(read_toml("batteries")).batteries}
    except ValidationError as fault:
        raise BadRecord("batteries.toml", faults_from(fault.errors())) from None
