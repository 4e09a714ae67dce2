"""How far readings stray, and what else a reading may be: the figures a shop may replace by its own."""

from typing import Annotated

from pydantic import Field, model_validator

from ampwright.stock.record import Positive, Record, Sourced

Share = Annotated[float, Field(gt=0, lt=1)]
#: Standard deviation of a natural logarithm.
Spread = Annotated[float, Field(gt=0, lt=2)]
Currents = Annotated[tuple[Annotated[float, Field(ge=0)], ...], Field(min_length=1, max_length=9)]


class HeldVolts(Record):
    """The volts at the posts that a kind of regulator holds a 12 V battery to; half of both on 6 V."""

    held_12V_V: Positive
    spread_12V_V: Positive


class Held(Record):
    """By kind of regulator."""

    one_zener: HeldVolts
    two_zeners: HeldVolts
    charging_box: HeldVolts
    dynamo_control_box: HeldVolts
    field_regulator: HeldVolts


class ReadingSettings(Sourced):
    """
    Spreads, errors and shares of readings.

    A spread is the standard deviation of a natural logarithm, a share is of all
    true readings, a name with a unit is in that unit. Battery figures are of a
    12 V system; a 6 V one has half the volts and ohms.
    """

    emf_spread: Spread
    magnet_spread: Spread
    rating_spread: Spread
    resistance_spread: Spread
    dynamo_spread: Spread
    mismatched_emf: Share
    mismatched_spread: Spread

    usual_pole_pairs: Annotated[int, Field(ge=1, le=12)]
    usual_emf_Vs: Positive
    usual_resistance_ohm: Positive
    usual_inductance_H: Positive
    usual_spread: Spread
    no_pattern_spread: Spread

    pair_volts_spread: Spread
    pair_volts_floor_V: Positive
    waveform_spread: Spread
    loaded_volts_spread: Spread
    pair_ohms_spread: Spread
    pair_ohms_floor_ohm: Positive
    lead_low_ohm: Positive
    lead_high_ohm: Positive
    open_ohm: Positive
    battery_volts_error_V: Positive
    battery_amps_spread: Spread
    battery_amps_error_A: Positive
    about_spread: Spread
    weak_cell_spread: Spread
    no_zero_V: Positive
    no_zero_ohm: Positive
    no_zero_A: Positive
    dc_on_ac_V: Positive

    speed_spread_by_meter: Spread
    speed_spread_told: Spread
    tick_over_rpm: Positive
    tick_over_spread: Spread
    fast_rpm: Positive
    fast_spread: Spread
    unknown_rpm: Positive
    unknown_loaded_rpm: Positive
    unknown_spread: Spread

    dead_share: Share
    dead_V: Positive
    open_phase_share: Share
    open_winding_share: Share
    anything_share: Share
    excited_share: Share
    excited_all_off_share: Share
    anything_V: Positive
    anything_loaded_V: Positive
    anything_ohm: Positive
    mistake_repeated_share: Share
    repeated_within_V: Positive
    mistake_slipped_share: Share

    rest_12V_V: Positive
    rest_spread_V: Positive
    rest_told_spread_V: Positive
    knee_V: Positive
    half_A: Positive
    charging_ohm: Positive
    discharging_ohm: Positive
    polarisation_spread: Spread
    accepted_spread: Spread
    load_lights_off_A: Currents
    load_lights_on_A: Currents
    loads_known_spread: Spread
    not_charging_share: Share
    regulator_failed_share: Share
    nothing_charges_share: Share
    held: Held

    @model_validator(mode="after")
    def _hang_together(self) -> "ReadingSettings":
        if self.magnet_spread >= self.emf_spread:
            raise ValueError("magnet_spread is a part of emf_spread and must be less.")
        if self.lead_low_ohm >= self.lead_high_ohm:
            raise ValueError("lead_low_ohm must be less than lead_high_ohm.")
        if len(self.load_lights_off_A) != len(self.load_lights_on_A):
            raise ValueError("load_lights_off_A and load_lights_on_A need as many currents each.")
        return self
