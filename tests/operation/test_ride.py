"""A ride from second to second: against a general ODE solver, by the laws it must keep, and what it refuses."""

import os
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ridden_bikes import (
    BOX,
    DYNAMO,
    LAMPS,
    LIGHTS,
    ONE,
    POINTS,
    THREE,
    battery_of,
    bike_of,
    loads_of,
    ridden_by_scipy,
    road_of,
    start_of,
    states_of,
    varied_road,
)

from ampwright.electrics.alternator import weakened
from ampwright.electrics.cooling import sink_conductance_W_K
from ampwright.electrics.load import ConstantCurrent, ConstantPower, Filament, Resistive
from ampwright.errors import OutsideModel
from ampwright.kernels import ride as kernel
from ampwright.operation.ride import rested, ride
from ampwright.operation.ride_bike import Held, InUse, Start
from ampwright.operation.ride_rows import body_row

# Three pieces of one speed: seconds, engine rpm, m/s. An hour of steady riding.
THREE_PIECES = ((90, 2200.0, 8.0), (40, 1000.0, 0.0), (170, 4600.0, 24.0))
STEADY = ((2400, 4500.0, 20.0),)
FEW, LED = (Filament(5.0, 12.0), POINTS), (ConstantPower(8.0), POINTS)
machines = st.sampled_from(
    [(ONE, "nothing"), (ONE, "Zener"), (THREE, "shunt box"), (THREE, "series box"), (THREE, "Zener"), (DYNAMO, "field")]
)


def end_charge(bike, road, charge=0.8):
    """Share of the charge after a ride."""
    return float(ride(bike, road, start_of(charge)).end.charge[0])


# --- against a general solver ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("machine", "by", "loads", "joint_ohm"),
    [
        (THREE, "shunt box", LIGHTS, 0.0),
        (THREE, "series box", LIGHTS, 0.02),
        (THREE, "Zener", LIGHTS, 0.0),
        (ONE, "nothing", LIGHTS, 0.0),
        (ONE, "shunt box", FEW, 0.0),
        (DYNAMO, "field", loads_of(DYNAMO), 0.0),
    ],
)
def test_a_short_ride_is_the_one_of_a_general_solver(machine, by, loads, joint_ohm):
    bike = bike_of(machine, by, joint_ohm=joint_ohm)
    ended = states_of(ride(bike, road_of(THREE_PIECES, loads), start_of()).end)[0]
    # second method: the same equations written afresh, by scipy's LSODA
    solved = ridden_by_scipy(bike, THREE_PIECES, loads, start_of())[-1]
    off = np.abs(ended - solved)
    # charge and share out of reach to 0.001, the battery's slow volts to 5 mV, temperatures to 0.5 K
    assert np.all(off < [0.001, 0.001, 0.005, 0.5, 0.5, 0.5, 0.5]), off


@pytest.mark.parametrize(("machine", "by"), [(ONE, "Zener"), (THREE, "shunt box"), (DYNAMO, "field")])
def test_half_a_step_changes_little(machine, by):
    bike, loads = bike_of(machine, by), loads_of(machine)
    whole, half = (
        states_of(ride(bike, road_of(loads=loads, step_s=step_s), start_of()).end)[0] for step_s in (1.0, 0.5)
    )
    # measured: charge by 4e-5, the battery's slow volts by 0.6 mV, temperatures by 0.03 K
    assert np.all(np.abs(whole - half) < [1e-4, 1e-4, 0.002, 0.1, 0.1, 0.1, 0.1])


@settings(max_examples=15)
@given(machines, st.integers(0, 100), st.integers(20, 180))
def test_a_ride_in_two_parts_is_the_ride_in_one(kind, seed, first):
    bike, road = bike_of(*kind), varied_road(seed, 200, loads=loads_of(kind[0]))
    parts = [
        replace(road, **{name: getattr(road, name)[rows] for name in ("engine_rpm", "road_m_s", "air_degC", "lit")})
        for rows in (slice(None, first), slice(first, None))
    ]
    halfway = ride(bike, parts[0], start_of())
    # law: nothing is remembered but the states
    assert states_of(ride(bike, parts[1], halfway.end).end) == pytest.approx(
        states_of(ride(bike, road, start_of()).end), abs=1e-4
    )


PLAIN = """
import numpy as np
from ridden_bikes import DYNAMO, ONE, THREE, bike_of, loads_of, start_of, states_of, varied_road
from ampwright.operation.ride import ride
found = []
for machine, by in ((ONE, "Zener"), (THREE, "shunt box"), (THREE, "series box"), (DYNAMO, "field")):
    bike, road = bike_of(machine, by, joint_ohm=0.02), varied_road(1, 25, loads=loads_of(machine))
    for charge in (0.97, 0.005):
        ridden = ride(bike, road, start_of(charge))
        found += [*states_of(ridden.end)[0], ridden.sums.shaft_J[0], ridden.sums.battery_heat_J[0]]
alone = ride(bike_of(THREE, "shunt box").__class__(**(vars(bike_of(THREE, "shunt box")) | {"battery": None})),
             varied_road(1, 25), start_of())
print(repr([float(value) for value in [*found, *alone.along.bus_V[0]]]))
"""


def test_the_kernels_give_the_same_uncompiled():
    # the plain twin of every kernel is its own source, run by Python
    found = []
    for plain in ("0", "1"):
        environment = os.environ | {"NUMBA_DISABLE_JIT": plain, "PYTHONPATH": os.pathsep.join(sys.path)}
        done = subprocess.run([sys.executable, "-c", PLAIN], capture_output=True, text=True, env=environment)
        assert done.returncode == 0, done.stderr
        found.append(eval(done.stdout))
    assert len(found[0]) > 80
    assert found[0] == pytest.approx(found[1], rel=1e-6, abs=1e-9)


# --- laws ------------------------------------------------------------------------------------------------------------


@settings(max_examples=25)
@given(machines, st.integers(0, 100), st.floats(5.0, 60.0), st.floats(0.2, 0.95))
def test_more_load_and_a_weaker_magnet_never_raise_the_charge_at_the_end(kind, seed, more_W, charge):
    machine, by = kind
    loads = loads_of(machine)
    road = varied_road(seed, 240, loads=loads)
    as_it_is = end_charge(bike_of(machine, by), road, charge)
    more = varied_road(seed, 240, loads=(*loads, Resistive(more_W, 6.0 if machine is DYNAMO else 12.0)))
    assert end_charge(bike_of(machine, by), more, charge) <= as_it_is + 1e-7
    if machine is not DYNAMO:
        assert end_charge(bike_of(weakened(machine, 0.9), by), road, charge) <= as_it_is + 1e-7


@pytest.mark.parametrize("by", ["shunt box", "series box", "nothing"])
def test_joints_that_lose_three_tenths_of_a_volt_cost_charge(by):
    road = varied_road(2, 600)
    sound = ride(bike_of(THREE, by), road, start_of())
    joint_ohm = 0.3 / float(sound.along.generator_A.max())
    # law: the box sees more than the battery gets
    lost = sound.end.charge[0] - end_charge(bike_of(THREE, by, joint_ohm=joint_ohm), road)
    # by hand: a regulated box at 14.2 V is 0.3 V short at the posts, some 2 % of 9 Ah in ten minutes; nothing
    # regulates: a generator of nearly constant current loses hardly any
    assert 0.0 < lost < 0.001 if by == "nothing" else 0.005 < lost < 0.05


def test_many_bikes_of_one_kind_ride_as_one_does():
    road, start = varied_road(3, 300), start_of()
    one = ride(bike_of(THREE, "Zener"), road, start)
    many = ride(bike_of(THREE, "Zener", battery_of(capacity_share=np.ones(19))), road, start)
    # law: bikes do not meet each other, on however many cores
    for name, value in (vars(many.along) | vars(many.sums)).items():
        alone = (vars(one.along) | vars(one.sums))[name]
        assert np.array_equal(value, alone if name == "time_s" else np.repeat(alone, 19, axis=0)), name
    assert np.array_equal(states_of(many.end), np.repeat(states_of(one.end), 19, axis=0))


def test_bikes_that_differ_each_ride_as_they_would_alone():
    rng = np.random.default_rng(4)
    emf_Vs, ohms = THREE.emf_Vs * rng.uniform(0.8, 1.2, 5), rng.uniform(1.0, 2.0, 5)
    joints, demanded, geared = rng.uniform(0.0, 0.05, 5), rng.uniform(0.8, 1.2, 5), rng.uniform(0.9, 1.1, 5)
    charge, set_V = rng.uniform(0.6, 0.95, 5), rng.uniform(13.8, 14.6, 5)
    road = varied_road(5, 120)

    def of(k):
        machine, battery = replace(THREE, emf_Vs=emf_Vs[k]), battery_of(ohm_times=ohms[k])
        more = {"joint_ohm": joints[k], "demanded": demanded[k], "geared": geared[k]}
        return ride(bike_of(machine, "shunt box", battery, set_V[k], **more), road, start_of(charge[k]))

    together, alone = of(slice(None)), [of(k) for k in range(5)]
    # law: bikes do not meet each other
    assert states_of(together.end) == pytest.approx(np.concatenate([states_of(each.end) for each in alone]), rel=1e-12)


def test_gearing_and_demand_are_factors():
    road = varied_road(6, 200, loads=LAMPS)
    factored = ride(bike_of(THREE, geared=1.2, demanded=1.3), road, start_of())
    faster = np.where(road.engine_rpm > 1000.0, 1000.0 + 1.2 * (road.engine_rpm - 1000.0), road.engine_rpm)
    lamps = tuple(InUse(replace(lamp, power_W=1.3 * lamp.power_W)) for lamp in LAMPS)
    # other way: the road itself turned faster over tick-over, and thirstier lamps
    other = ride(bike_of(THREE), replace(road, engine_rpm=faster, in_use=lamps), start_of())
    assert states_of(factored.end) == pytest.approx(states_of(other.end), rel=1e-9)


def test_the_lighting_switch_brings_its_machine_and_lamps_in():
    half = replace(THREE, resistance_ohm=3.0 * THREE.resistance_ohm, inductance_H=3.0 * THREE.inductance_H)
    road = varied_road(7, 40)
    lit = np.arange(40) % 2.0
    bike = replace(bike_of(THREE), lights_off=half)
    road = replace(road, lit=lit, in_use=(InUse(LAMPS[0], lit), InUse(POINTS)))
    along = ride(bike, road, start_of()).along
    # other ways: bikes of the one machine and of the other, asked for the same second
    for k in (6, 7, 20, 21):
        second = replace(
            road,
            engine_rpm=road.engine_rpm[k : k + 1],
            road_m_s=road.road_m_s[:1],
            air_degC=road.air_degC[:1],
            lit=lit[k : k + 1],
            in_use=(InUse(LAMPS[0], lit[k]), InUse(POINTS)),
        )
        now = Start(along.charge[0, k], 0.0, along.inside_V[0, k] - along.inside_V[0, 0], along.winding_degC[0, k])
        alone = ride(bike_of(THREE if lit[k] else half), second, now).along
        assert along.generator_A[0, k] == pytest.approx(alone.generator_A[0, 0], rel=0.02)
        assert along.load_A[0, k] == pytest.approx(alone.load_A[0, 0], rel=0.02)
    assert along.load_A[0, 1::2].min() > along.load_A[0, 0::2].max()


def test_with_the_engine_off_nothing_is_generated_and_all_cools_to_the_air():
    bike = bike_of(THREE, "shunt box")
    hot = start_of(winding_degC=110.0, box_degC=80.0, zener_degC=70.0, case_degC=75.0)
    left = rested(bike, hot, 12 * 3600.0, 8.0, key_off_A=0.05)
    # limit case: hours are long against every time constant
    assert states_of(left.end)[0, 3:] == pytest.approx([8.0] * 4, abs=0.5)
    assert left.sums.shaft_J[0] == 0.0
    # law: what a clock draws
    assert left.sums.out_Ah[0] == pytest.approx(0.05 * 12.0, rel=1e-3)


def test_a_rest_of_no_time_changes_nothing():
    start = start_of(0.8, unreachable=0.1, polarisation_V=-0.2, winding_degC=90.0)
    # limit case
    assert states_of(rested(bike_of(), start, 0.0, 15.0).end)[0] == pytest.approx(list(vars(start).values()), abs=1e-12)


def test_extremes_are_those_of_the_seconds_and_rows_may_be_kept_less_often():
    bike, road = bike_of(THREE, "Zener"), varied_road(8, 500)
    ridden, few = ride(bike, road, start_of(0.9)), ride(bike, road, start_of(0.9), 7)
    along, sums = ridden.along, ridden.sums
    for least, at, rows in (
        (sums.least_charge, sums.at_least_charge_s, along.charge),
        (sums.least_V, sums.at_least_V_s, along.bus_V),
        (-sums.most_V, sums.at_most_V_s, -along.bus_V),
        (-sums.hottest_winding_degC, sums.at_hottest_winding_s, -along.winding_degC),
        (-sums.hottest_box_degC, sums.at_hottest_box_s, -along.box_degC),
        (-sums.hottest_zener_degC, sums.at_hottest_zener_s, -along.zener_degC),
    ):
        assert least == rows.min(axis=1)
        assert at == along.time_s[rows.argmin(axis=1)]
    # other way: every seventh second of the whole
    assert few.along.time_s.tolist() == along.time_s[::7].tolist()
    assert np.array_equal(few.along.bus_V, along.bus_V[:, ::7])
    assert np.array_equal(states_of(few.end), states_of(ridden.end))


# --- heat ------------------------------------------------------------------------------------------------------------


def test_a_shunt_box_makes_its_winding_hotter_with_the_lights_off():
    off, lit = (
        ride(bike_of(THREE, "shunt box"), road_of(STEADY, loads), start_of(0.95)) for loads in ((POINTS,), LIGHTS)
    )
    # law: shorted a winding carries somewhat more than into 14 V, and without lights it is shorted longer
    assert off.sums.shorted_s[0] > lit.sums.shorted_s[0] > 0.0
    assert off.end.winding_degC[0] > lit.end.winding_degC[0] + 1.0
    assert off.end.box_degC[0] > lit.end.box_degC[0]


def test_a_series_box_is_cooler_at_light_load_than_a_shunt_box_and_so_is_its_winding():
    shunt, series = (
        ride(bike_of(THREE, by), road_of(STEADY, LED), start_of(0.95)) for by in ("shunt box", "series box")
    )
    # law: what is not let through never flows
    assert series.end.box_degC[0] < shunt.end.box_degC[0] - 10.0
    assert series.end.winding_degC[0] < shunt.end.winding_degC[0] - 20.0
    assert series.sums.shorted_s[0] == 0.0


def test_a_zener_is_hotter_with_leds_than_with_filament_lamps():
    hot, cool = (ride(bike_of(THREE, "Zener"), road_of(STEADY, loads), start_of(0.95)) for loads in (LED, LIGHTS))
    # law: what lamps do not take the Zener burns
    assert hot.end.zener_degC[0] > cool.end.zener_degC[0] + 20.0
    assert hot.sums.zener_J[0] > cool.sums.zener_J[0]


def test_after_a_long_steady_ride_heat_made_is_heat_shed():
    bike = bike_of(THREE, "shunt box")
    along = ride(bike, road_of(((4 * 3600, 4500.0, 20.0),), LIGHTS), start_of(0.95), 60).along
    # limit case: winding over its case by watts over watts a kelvin; the case 55 K over the air
    assert along.winding_degC[0, -1] == pytest.approx(15.0 + 55.0 + along.winding_W[0, -1] / 2.5, abs=0.1)
    # second method: the whole law of cooling at that temperature, drawn by the ride at 50 K over the air and 10 m/s
    shed_W_K = sink_conductance_W_K(BOX.sink, along.box_degC[0, -1], 15.0, 20.0)
    assert along.box_degC[0, -1] - 15.0 == pytest.approx(along.box_W[0, -1] / shed_W_K, rel=0.05)


@pytest.mark.parametrize("over_K", [15.0, 50.0, 90.0])
@pytest.mark.parametrize("road_m_s", [0.0, 5.0, 15.0, 30.0])
@pytest.mark.parametrize("air_degC", [-5.0, 15.0, 35.0])
def test_heat_off_a_box_is_the_law_of_cooling_where_boxes_work(over_K, road_m_s, air_degC):
    drawn = kernel.conductance(np.array(body_row(BOX, air_degC), dtype=float), over_K, road_m_s)
    exact = sink_conductance_W_K(BOX.sink, air_degC + over_K, air_degC, road_m_s)
    # second method: electrics.cooling itself; a tenth is less than anybody knows of the wind there
    assert drawn == pytest.approx(float(exact), rel=0.10)


# --- without a battery -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("by", ["shunt box", "series box", "Zener"])
def test_without_a_battery_loads_take_just_what_is_given(by):
    bike = replace(bike_of(THREE, by), battery=None)
    road = varied_road(9, 200)
    ridden = ride(bike, road, start_of())
    along = ridden.along
    # laws: nothing is stored, and a box never lets the volts above its own
    assert along.battery_A == pytest.approx(np.zeros((1, 200)), abs=1e-9)
    assert along.generator_A == pytest.approx(along.load_A + along.zener_A, abs=1e-9)
    if by != "Zener":
        assert along.bus_V.max() <= 14.2 + 1e-6
    assert ridden.sums.stored_J[0] == pytest.approx(0.0, abs=1e-6)
    # limit case: fast enough the volts are held
    assert along.bus_V[0, np.argmax(road.engine_rpm)] > 14.0


# --- what is refused -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("bike", "road", "words"),
    [
        (bike_of(), road_of(((0, 0.0, 0.0),)), "lasts no time"),
        (replace(bike_of(), held=Held("Zener")), road_of(), "nothing says of how many volts"),
        (replace(bike_of(), lights_off=ONE), road_of(), "another kind of machine"),
        (replace(bike_of(), lights_off=DYNAMO), road_of(), "another kind of machine"),
        (bike_of(), road_of(loads=(Filament(45.0, 12.0, 0.5),)), "A lamp with the exponent 0.5 cannot be ridden"),
        (bike_of(battery=battery_of(capacity_share=np.ones(3)), geared=np.ones(2)), road_of(), "for 3 bikes"),
        (bike_of(battery=battery_of(ohm_times=np.ones(2)), joint_ohm=np.ones(3)), road_of(), "for 3 bikes"),
    ],
)
def test_what_cannot_be_ridden_is_refused_with_a_sentence(bike, road, words):
    with pytest.raises(OutsideModel, match=words) as caught:
        ride(bike, road, start_of())
    assert str(caught.value).endswith(".")


def test_points_that_are_switched_apart_are_refused_and_together_they_add_up():
    road, half = varied_road(10, 30, loads=(POINTS, POINTS)), np.arange(30) % 2.0
    both = ride(bike_of(), road, start_of()).along.load_A
    one = ride(bike_of(), varied_road(10, 30, loads=(POINTS,)), start_of()).along.load_A
    # by hand
    assert both == pytest.approx(2.0 * one, rel=0.02)
    with pytest.raises(OutsideModel, match="switched apart"):
        ride(bike_of(), replace(road, in_use=(InUse(POINTS, 1.0), InUse(POINTS, half))), start_of())


@settings(max_examples=40)
@given(
    machines,
    st.floats(0.0, 1.0),
    st.sampled_from([ConstantCurrent(40.0), ConstantPower(150.0), LAMPS[0], POINTS]),
    st.floats(-25.0, 45.0),
    st.floats(2.0, 20.0),
    st.floats(1.0, 5.0),
)
def test_whatever_is_ridden_the_figures_are_numbers_within_what_can_be(kind, charge, load, air_degC, Ah, ohm_times):
    machine, by = kind
    battery = battery_of(capacity_Ah=Ah, volts=6 if machine is DYNAMO else 12, ohm_times=ohm_times)
    pieces = ((120, 0.0, 0.0), (60, 1000.0, 0.0), (120, 7000.0, 30.0), (200, 0.0, 0.0))
    ridden = ride(bike_of(machine, by, battery), road_of(pieces, (load,), air_degC), start_of(charge, air_degC))
    for values in (*vars(ridden.along).values(), states_of(ridden.end)):
        assert np.isfinite(values).all()
    # laws
    assert np.all((ridden.along.charge >= 0.0) & (ridden.along.charge <= 1.0 + 1e-12))
    assert np.all((ridden.along.generator_A >= 0.0) & (ridden.along.zener_A >= 0.0) & (ridden.along.box_W >= 0.0))
    assert ridden.along.bus_V.min() >= -1e-6
    if by in ("shunt box", "series box"):
        assert ridden.along.bus_V.max() < max(14.2, ridden.along.inside_V.max()) + 1e-3
