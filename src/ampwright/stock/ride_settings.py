"""What a ride is computed with where a job does not tell it: figures that a shop may replace by its own."""

from functools import cache
from typing import Annotated

from pydantic import Field, ValidationError

from ampwright.errors import BadRecord, faults_from
from ampwright.packaged import read_toml
from ampwright.stock.record import Positive, Sourced

Share = Annotated[float, Field(ge=0, le=1)]
#: Standard deviation of a natural logarithm, or of a share.
Spread = Annotated[float, Field(ge=0, lt=2)]


class RideSettings(Sourced):
    """A name with a unit is in that unit; a spread is the standard deviation of a natural logarithm unless told."""

    capacity_12V_Ah: Positive
    capacity_6V_Ah: Positive
    capacity_starter_Ah: Positive
    capacity_lithium_Ah: Positive
    charge_at_start: Share
    charge_at_start_spread: Spread
    capacity_left: Share
    capacity_left_spread: Spread
    ohm_times: Positive
    ohm_times_spread: Spread
    capacity_most: Positive
    age_shared: Share
    capacity_lost_a_year: Share
    ohm_gained_a_year: Spread

    joint_ohm: Positive
    joint_spread: Spread
    demand_told_spread: Spread
    demand_usual_spread: Spread
    gearing_told_spread: Spread
    gearing_usual_spread: Spread
    cooling_spread: Spread

    tick_over_rpm: Positive
    change_down_rpm: Positive
    change_up_rpm: Positive
    top_rpm: Positive
    brakes_over_m_s2: Positive
    stopped_share: Share
    indicates_s: Positive
    indicates_share: Share
    horn_A: Positive
    horn_s_an_hour: Positive
    stop_lamp_W: Positive
    stop_lamp_6V_W: Positive
    indicators_W: Positive
    pilot_lamp_W: Positive

    case_rise_K: Positive
    case_time_s: Positive
    winding_W_K: Positive
    winding_J_K: Positive
    box_fin_area_m2: Positive
    box_height_m: Positive
    box_emissivity: Share
    box_J_K: Positive
    zener_fin_area_m2: Positive
    zener_height_m: Positive
    zener_emissivity: Share
    zener_J_K: Positive
    wind_share_open: Share
    wind_share_panel: Share
    shell_limit_degC: Positive
    zener_limit_degC: Positive
    winding_limit_degC: Positive
    series_pass_V: Annotated[float, Field(ge=0)]

    starts_from_charge: Share
    points_least_12V_V: Positive
    electronic_least_12V_V: Positive
    coil_12V_ohm: Positive
    electronic_A: Positive
    start_s: Positive
    starter_A: Positive
    starter_least_V: Positive


@cache
def ride_settings() -> RideSettings:
    """The figures that ship with the package."""
    try:
        return RideSettings.model_validate(read_toml("ride"))
    except ValidationError as fault:
        raise BadRecord("ride.toml", faults_from(fault.errors())) from None
