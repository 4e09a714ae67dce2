"""Your ride: what charge, restart, light and heat come of a job's rides, and what would change them."""

import dataclasses
import math

import numpy as np
import pytest
from bench_jobs import CASE, FLOODED, MAGNETO, POINTS, TWELVE, coils, finding, job, wires

from ampwright.bike.ride import Leg, Ride
from ampwright.desk.cases.heat_map import SPEEDS_RPM, AMBIENTS_degC, heat_map_job
from ampwright.desk.cases.jobs import demo_names, open_demo
from ampwright.desk.cases.plain import as_json
from ampwright.desk.cases.ride import ride_job
from ampwright.desk.cases.ride_records import RideAnswer
from ampwright.desk.cases.ride_setup import box_of
from ampwright.desk.cases.roadside import roadside_job
from ampwright.desk.cases.what_if import CHANGES, what_if_job
from ampwright.errors import AmpwrightError, BadReading, OutsideModel
from ampwright.terms import Source

TWIN = (CASE, TWELVE, wires(2), coils(6), POINTS, FLOODED)
NIGHT_TOWN = Ride(name="town at night", legs=(Leg(kind="town", minutes=20),), lights="night", rest_hours=8.0)
FAST_DAY = Ride(name="main road by day", legs=(Leg(kind="main road", minutes=40),), rest_hours=8.0)


def bands(value: object) -> list[object]:
    """Every band anywhere in an answer."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = [getattr(value, field.name) for field in dataclasses.fields(value)]
        own = [value] if {"low", "likely", "high"} <= {field.name for field in dataclasses.fields(value)} else []
        return own + [found for each in fields for found in bands(each)]
    if isinstance(value, tuple | list):
        return [found for each in value for found in bands(each)]
    return []


def answered(name: str) -> RideAnswer | str:
    try:
        return ride_job(open_demo(name))
    except AmpwrightError as fault:
        return str(fault)


@pytest.mark.parametrize("name", demo_names())
def test_every_demo_job_has_a_ride_or_a_sentence(name: str) -> None:
    found = answered(name)
    if isinstance(found, str):
        assert found.startswith("There is no ride")
        assert found.endswith(".")
        return
    assert as_json(found)
    if found.refused:
        assert (found.rows, found.restart, found.starts_share) == ((), "", None)
        return
    assert bands(found)
    assert all(band.low <= band.likely <= band.high for band in bands(found))
    assert all(math.isfinite(band.likely) for band in bands(found))


def test_a_job_that_stops_says_so_with_its_ride() -> None:
    danger = finding("danger", "battery hissing or swollen", Source.LOOKING)
    assert ride_job(job(*TWIN, danger)).stop_first


def test_riding_fast_by_day_charges_and_town_at_night_does_not() -> None:
    twin = job(*TWIN)
    fast, slow = (ride_job(twin, [ride]).rows[0] for ride in (FAST_DAY, NIGHT_TOWN))
    assert fast.gain.likely > 0.0
    assert fast.gain.likely > slow.gain.likely
    assert fast.into_battery_Ah.likely > slow.into_battery_Ah.likely


def test_a_month_of_town_at_night_is_told_to_fall_behind() -> None:
    weeks = NIGHT_TOWN.model_copy(update={"repeats": 14, "legs": (Leg(kind="tick-over", minutes=30),)})
    found = ride_job(job(*TWIN), [weeks])
    assert found.rows[0].times == 14
    assert found.rows[0].charge_rested.likely < 5.0
    assert found.in_short.startswith("It may not start again")


def test_what_is_kept_off_the_key_costs_its_ampere_hours() -> None:
    week = Ride(name="Sunday", legs=(Leg(kind="main road", minutes=30),), rest_hours=100.0)
    with_drain = job(*TWIN, key_off_mA=20.0, battery={"capacity_Ah": 10, "years": 0})
    without = job(*TWIN, battery={"capacity_Ah": 10, "years": 0})
    lost = [ride_job(one, [week]).rows[0] for one in (with_drain, without)]
    gone = [row.charge_after.likely - row.charge_rested.likely for row in lost]
    # By hand: 20 mA for 100 h are 2 Ah, 20 % of 10 Ah; the drained one self-discharges a little less on the way.
    assert gone[0] - gone[1] == pytest.approx(20.0, abs=1.5)


def test_a_magneto_starts_whatever_the_battery() -> None:
    twin = job(CASE, TWELVE, wires(2), coils(6), MAGNETO, FLOODED)
    assert "without help of a battery" in ride_job(twin, [NIGHT_TOWN]).restart


def test_an_electric_starter_wants_more_than_a_kick() -> None:
    empty = Ride(name="tick-over", legs=(Leg(kind="tick-over", minutes=40),), lights="night", ambient_degC=5.0)
    kick, starter = (
        ride_job(job(*TWIN, finding("starter", by), battery={"capacity_Ah": 9, "years": 4}), [empty])
        for by in ("kick", "electric")
    )
    assert kick.starts_share > starter.starts_share


def test_winter_costs_charge() -> None:
    warm, cold = (
        ride_job(job(*TWIN), [FAST_DAY.model_copy(update={"ambient_degC": air})]).rows[0] for air in (25.0, -5.0)
    )
    # A cold battery takes less of what is offered; direction only.
    assert cold.gain.likely < warm.gain.likely


def test_lithium_on_a_zener_is_told_first() -> None:
    found = ride_job(open_demo("zener-wants-lithium"))
    assert found.in_short.startswith("Not with a lithium battery")


def test_a_box_to_be_fitted_takes_the_place_of_what_is_assumed() -> None:
    low, high = (ride_job(job(*TWIN), [FAST_DAY], box_of(volts)) for volts in (13.6, 14.4))
    assert "set at 13.6 V" in low.held_by
    assert "never gets quite full" in low.set_point[0]
    assert low.rows[0].gain.likely < high.rows[0].gain.likely


@pytest.mark.parametrize("volts", [0.0, 8.0, 12.0, 15.5, 24.0])
def test_a_box_of_volts_that_no_such_box_has_is_refused(volts: float) -> None:
    with pytest.raises(OutsideModel, match="is none for these bikes"):
        box_of(volts)


# --- decided at the bad end, over everything still possible ----------------------------------------------------------


def test_a_battery_that_may_be_in_backwards_is_not_ridden_on() -> None:
    name = "battery-the-wrong-way-round"
    found, changed = ride_job(open_demo(name)), what_if_job(open_demo(name), ["LED lamps"])
    mapped = heat_map_job(open_demo(name))
    for answer in (found, changed, mapped):
        assert "do not start the engine" in answer.in_short
        assert any("wrong way round" in caution for caution in answer.cautions)
    beside = roadside_job(open_demo(name), "not charging")
    assert beside.in_short.startswith("Do not start the engine")
    assert beside.choices == ()


def test_lithium_is_refused_where_a_zener_may_hold_the_volts() -> None:
    told = (CASE, TWELVE, wires(2), coils(6), POINTS, finding("battery_kind", "LiFePO4"))
    found = ride_job(job(*told))
    assert found.in_short.startswith("Not with a lithium battery")
    assert any(caution.startswith("Lithium") for caution in found.cautions)
    assert what_if_job(job(*told), ["LED lamps"]).in_short == found.in_short
    # a box of stated volts, low enough at its high end
    assert not ride_job(job(*told), box=box_of(14.2)).in_short.startswith("Not with a lithium")
    assert ride_job(job(*told), box=box_of(14.6)).in_short.startswith("Not with a lithium")


def test_a_stop_on_the_road_is_told_for_the_weak_ones() -> None:
    electronic = job(CASE, TWELVE, wires(2), coils(6), FLOODED, finding("ignition", "electronic"))
    standing = Ride(
        name="standing, then the motorway",
        legs=(Leg(kind="tick-over", minutes=35), Leg(kind="motorway", minutes=60)),
        lights="night",
        ambient_degC=5.0,
    )
    found = ride_job(electronic, [standing])
    assert found.rows[0].stops_share > 0.10
    assert found.in_short.startswith(("It may stop on the road", "It may not start again"))


def test_a_box_to_be_fitted_goes_before_a_zener_that_is_there() -> None:
    found = ride_job(open_demo("five-readings-going-flat"), box=box_of(14.2))
    assert "charging box" in found.held_by
    assert not any(row.part == "Zener" for row in found.heat)
    with pytest.raises(OutsideModel, match="takes no charging box"):
        ride_job(open_demo("dynamo-positive-earth"), box=box_of(7.0))
    with pytest.raises(OutsideModel, match="does not go with 6 V"):
        ride_job(open_demo("three-wires-six-volt"), box=box_of(14.2))


def lamp(name: str, when: str, watts: float) -> dict:
    return {"kind": "filament", "name": name, "when": when, "power_W": watts, "rated_V": 12}


def test_two_lamps_of_the_same_watts_are_two_lamps() -> None:
    alike, apart = (
        job(
            *TWIN,
            loads=[lamp("speedometer", "always", watts), lamp("tail", "lights on", 5), lamp("head", "lights on", 5)],
        )
        for watts in (5.0, 5.001)
    )
    same, other = (ride_job(one, [NIGHT_TOWN]).rows[0] for one in (alike, apart))
    # by hand: a five-thousandth of a watt moves nothing
    assert same.gain.likely == pytest.approx(other.gain.likely, abs=0.05)
    draws = [[choice.draws_A for choice in roadside_job(one).choices] for one in (alike, apart)]
    assert draws[0] == pytest.approx(draws[1], abs=0.01)
    assert len(draws[0]) == 4


def test_what_a_bike_has_not_got_is_not_in_the_first_sentence() -> None:
    found = roadside_job(open_demo("dynamo-positive-earth"))
    assert any(choice.is_as_if for choice in found.choices)
    assert "LED" not in found.in_short


def test_an_overcharged_lithium_battery_is_not_ridden_on() -> None:
    found = roadside_job(open_demo("zener-wants-lithium"), "overcharging")
    assert found.choices == ()
    assert "Do not ride on a lithium battery" in found.in_short


def test_a_clock_told_by_nobody_has_a_wider_band_than_one_by_volts() -> None:
    assumed, by_volts, told = (
        roadside_job(job(*TWIN), charge_percent=charge, rest_V=rest).choices[0].minutes
        for charge, rest in ((None, None), (None, 12.49), (80.0, None))
    )
    # 12.49 V are 80 % by the table of open-circuit volts
    assert assumed.low < by_volts.low < told.low
    assert assumed.high >= by_volts.high >= told.high


def test_a_rest_of_no_hours_leaves_out_of_reach_what_the_ride_did() -> None:
    hard = Ride(name="standing", legs=(Leg(kind="tick-over", minutes=55),), lights="night")
    at_once, after_hours = (
        ride_job(job(*TWIN), [hard.model_copy(update={"rest_hours": hours})]).starts_share for hours in (0.0, 4.0)
    )
    assert at_once < after_hours


def test_what_is_not_told_is_judged_as_what_stops_first() -> None:
    untold = (CASE, TWELVE, wires(2), coils(6), FLOODED)
    hard = Ride(name="standing", legs=(Leg(kind="tick-over", minutes=50),), lights="night", rest_hours=2.0)
    unknown, points = (ride_job(job(*told), [hard]) for told in (untold, (*untold, POINTS)))
    assert unknown.starts_share <= points.starts_share
    assert any("ignition" in one for one in unknown.assumed)


def test_at_dusk_no_light_of_the_headlamp_is_told() -> None:
    dusk = Ride(name="dusk", legs=(Leg(kind="lanes", minutes=20),), lights="dusk")
    lamps = [row.lamp for row in ride_job(job(*TWIN), [dusk]).light]
    assert lamps
    assert not any("headlamp" in name for name in lamps)


def test_volts_that_are_assumed_are_not_judged() -> None:
    assert "assumed" in ride_job(job(*TWIN), [FAST_DAY]).set_point[0]
    assert "as it should be" in ride_job(job(*TWIN), [FAST_DAY], box_of(14.2)).set_point[0]


# --- what if ---------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def changed() -> dict:
    found = what_if_job(job(*TWIN), rides=[NIGHT_TOWN])
    return {row.change: row for row in (found.as_it_is, *found.rows)}


def test_every_change_there_is_was_tried(changed: dict) -> None:
    assert set(CHANGES) - {"shunt box"} <= set(changed)  # the twin is taken to have one


def test_a_weaker_magnet_costs_amps_and_a_tired_one_more(changed: dict) -> None:
    amps = [changed[name].amps_2000.likely for name in ("as it is", "weaker magnet", "tired rotor")]
    assert amps[0] > amps[1] > amps[2]
    balance = [changed[name].balance_rpm for name in ("as it is", "weaker magnet", "tired rotor")]
    assert balance[0] < balance[1] < balance[2]


def test_bad_joints_cost_amps_and_charge(changed: dict) -> None:
    assert changed["bad joints"].amps_2000.likely < changed["as it is"].amps_2000.likely
    assert changed["bad joints"].charge_after.likely <= changed["as it is"].charge_after.likely


def test_batteries_last_by_their_size(changed: dict) -> None:
    minutes = [changed[name].minutes_alone.likely for name in ("smaller battery", "as it is", "larger battery")]
    assert minutes[0] < minutes[1] < minutes[2]


def test_leds_gain_minutes_and_make_a_zener_hotter() -> None:
    found = what_if_job(open_demo("five-readings-going-flat"), ["LED lamps"])
    led = found.rows[0]
    assert led.minutes_alone.likely > found.as_it_is.minutes_alone.likely
    # What the lamps no longer take goes through the Zener (own derivation).
    assert led.box_W.likely > found.as_it_is.box_W.likely
    assert led.hottest_box_degC.likely > found.as_it_is.hottest_box_degC.likely


def test_a_change_that_is_not_known_is_refused_with_those_there_are() -> None:
    with pytest.raises(OutsideModel, match="Choose from: weaker magnet"):
        what_if_job(job(*TWIN), ["turbo"])


# --- roadside --------------------------------------------------------------------------------------------------------


def test_the_clock_runs_longer_the_more_is_switched_off() -> None:
    found = roadside_job(job(*TWIN), charge_percent=80.0)
    minutes = [choice.minutes.likely for choice in found.choices]
    draws = [choice.draws_A for choice in found.choices]
    assert minutes == sorted(minutes)
    assert draws == sorted(draws, reverse=True)
    assert all(choice.minutes.low < choice.minutes.likely < choice.minutes.high for choice in found.choices)


def test_the_clock_is_never_longer_than_the_charge_over_the_amps() -> None:
    found = roadside_job(job(*TWIN, battery={"capacity_Ah": 9, "years": 0}), charge_percent=80.0)
    for choice in found.choices:
        # By hand: 80 % of 9 Ah over the amps; a heavy or cold discharge gets at less of it.
        assert choice.minutes.likely <= 0.8 * 9.0 / choice.draws_A * 60.0


def test_fewer_volts_at_rest_are_a_shorter_clock() -> None:
    full, half = (roadside_job(job(*TWIN), rest_V=volts) for volts in (12.6, 12.2))
    assert full.charge_percent > half.charge_percent
    assert full.choices[0].minutes.likely > half.choices[0].minutes.likely


@pytest.mark.parametrize("name", demo_names())
@pytest.mark.parametrize("trouble", ["not charging", "overcharging"])
def test_every_demo_job_has_something_to_do_at_the_roadside(name: str, trouble: str) -> None:
    found = roadside_job(open_demo(name), trouble)
    if found.stop_first:
        # what to do first stands there alone
        assert (found.first, found.choices) == ((), ())
        return
    assert found.first or found.in_short.startswith("Not with a lithium battery")
    assert as_json(found)
    if trouble == "overcharging":
        assert found.first[0].startswith(("Engine off", "The ammeter swung to charge"))
        assert found.in_short.startswith(("Engine off now", "Do not start the engine"))
    assert found.cautions


def test_every_way_to_cut_off_a_generator_that_is_still_possible_is_told() -> None:
    said = " ".join(roadside_job(job(TWELVE), "overcharging").first)
    assert "F wire" in said
    assert "stator's plug" in said
    assert "slip rings" in said


def test_without_a_battery_nobody_is_told_to_ride_on_it() -> None:
    said = roadside_job(open_demo("custom-without-battery"), "overcharging").first
    assert not any("ride on the battery" in sentence for sentence in said)


@pytest.mark.parametrize(
    "trouble, charge, rest, words",
    [
        ("flat tyre", None, None, "no trouble that is known"),
        ("not charging", 120.0, None, "Give 0 to 100"),
        ("not charging", 50.0, 12.4, "Give one of the two"),
        ("not charging", None, 6.3, "no rested battery of 12 V"),
    ],
)
def test_what_is_typed_wrongly_is_answered_with_a_sentence(trouble, charge, rest, words) -> None:
    with pytest.raises(BadReading, match=words):
        roadside_job(job(*TWIN), trouble, charge_percent=charge, rest_V=rest)


# --- heat ------------------------------------------------------------------------------------------------------------


def test_hotter_air_is_a_hotter_box_everywhere() -> None:
    found = heat_map_job(job(*TWIN))
    for grid in found.grids:
        hot = np.array(grid.hot_degC)
        assert hot.shape == (len(AMBIENTS_degC), len(SPEEDS_RPM))
        assert (np.diff(hot, axis=0) > 0.0).all()
        assert (hot >= np.array(AMBIENTS_degC)[:, None] - 1e-6).all()


def test_a_shunt_box_is_hot_with_the_lights_off() -> None:
    off, on = heat_map_job(job(*TWIN), box_of(14.2)).grids
    # It carries the shorted winding's current, whatever the load; a series box only what is wanted.
    assert np.max(off.hot_degC) > np.max(on.hot_degC) + 1.0
    series_off, _ = heat_map_job(job(*TWIN), box_of(14.2, series=True)).grids
    assert np.max(series_off.hot_degC) < np.max(off.hot_degC)


def test_behind_a_panel_it_is_hotter_than_in_the_wind() -> None:
    panel, wind = (heat_map_job(job(*TWIN, box_air=air)) for air in ("behind a panel", "in the wind"))
    assert np.max(panel.grids[0].hot_degC) > np.max(wind.grids[0].hot_degC)
