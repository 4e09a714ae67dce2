"""Bikes and roads for the tests of a ride, and a ride by a second method: plain numbers, roots, and an ODE solver."""

from dataclasses import dataclass, fields
from math import cbrt, exp, log1p, sqrt

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from ampwright.electrics.alternator import Alternator, at_temperature
from ampwright.electrics.battery import Battery, CellLaw
from ampwright.electrics.circuit import Zener
from ampwright.electrics.cooling import (
    HeatSink,
    forced_convection_W_m2K,
    free_convection_W_m2K,
    radiation_W_m2K,
)
from ampwright.electrics.diode import THERMAL_VOLTAGE_V
from ampwright.electrics.dynamo import Dynamo, dynamo_current_A
from ampwright.electrics.load import Filament, PointsCoil, demand_A
from ampwright.electrics.rectified import rectified
from ampwright.operation.ride_bike import Body, Held, InUse, RideBike, Road, Start
from ampwright.stock.battery_kinds import battery_kinds

# Invented machines of usual sizes: 12 V of one and three phases, and a 6 V dynamo with its curve.
ONE = Alternator(1, 3, 0.0608, 0.60, 0.003642)
THREE = Alternator(3, 3, 0.0315, 0.35, 0.0019)
DYNAMO = Dynamo([0.0, 0.5, 1.0, 2.0, 3.0], [0.4, 4.0, 6.5, 8.5, 9.3], 1500.0, 0.10, 3.0, 0.5, 9.0, 1.0)
LAMPS = (Filament(45.0, 12.0), Filament(5.0, 12.0), Filament(2.0, 12.0))
LAMPS_6V = (Filament(24.0, 6.0), Filament(3.0, 6.0))
POINTS = PointsCoil(3.5, 0.008, 0.5, 1.0)
LIGHTS = (*LAMPS, POINTS)
# A Zener of 14.5 V at 2 A.
ZENER = Zener(13.84, 0.1, 1e-7, 1.1)
BOX = Body(HeatSink(0.022, 0.08, 0.8, 0.3), 220.0)
PLATE = Body(HeatSink(0.030, 0.10, 0.6, 0.4), 250.0)
SERIES_V, OVER_DIODES_V = 0.22, 0.3
# Where a ride draws its coefficients of convection and radiation: kelvins over the air, and m/s.
DRAWN_AT_K, DRAWN_AT_M_S = 50.0, 10.0
# A short ride in pieces of one speed: seconds, engine rpm, m/s.
PIECES = ((60, 1000.0, 0.0), (90, 2200.0, 8.0), (90, 3400.0, 16.0), (40, 1000.0, 0.0), (120, 4600.0, 24.0))
BOXES = ("shunt box", "series box", "field")


def law_of(kind="flooded"):
    """The law of one cell as its record has it."""
    record = battery_kinds()[kind]
    return CellLaw(**{field.name: getattr(record, field.name) for field in fields(CellLaw)})


def battery_of(kind="flooded", capacity_Ah=9.0, volts=12, **more):
    """A battery of a kind."""
    return Battery(law_of(kind), battery_kinds()[kind].cells_12V * volts // 12, capacity_Ah, **more)


def held_by(by, set_V=14.2):
    """What holds the volts down, by its kind."""
    if by == "Zener":
        return Held("Zener", zener=ZENER)
    return Held(by, np.inf if by == "nothing" else set_V, pass_V=SERIES_V if by == "series box" else 0.0)


def bike_of(machine=THREE, by="nothing", battery=None, set_V=14.2, **more):
    """A bike with a box and a Zener's plate; a dynamo's is a 6 V one held at 7.1 V."""
    volts = 6 if isinstance(machine, Dynamo) else 12
    held = held_by(by, 7.1 if volts == 6 else set_V)
    return RideBike(machine, machine, held, battery or battery_of(volts=volts), **({"box": BOX, "zener": PLATE} | more))


def loads_of(machine):
    """Headlamp, lamps and ignition of such a bike."""
    return LAMPS_6V if isinstance(machine, Dynamo) else LIGHTS


def road_of(pieces=PIECES, loads=LIGHTS, air_degC=15.0, step_s=1.0):
    """A road in pieces of one speed, the same loads on all along."""
    rows = np.repeat(np.array(pieces, float)[:, 1:], [round(piece[0] / step_s) for piece in pieces], axis=0)
    every = np.ones(len(rows))
    in_use = tuple(InUse(load) for load in loads)
    return Road(rows[:, 0], rows[:, 1], air_degC * every, every, in_use, step_s=step_s)


def standing(seconds, load=None, air_degC=25.0):
    """Engine off, with one load on or none."""
    return road_of(((seconds, 0.0, 0.0),), () if load is None else (load,), air_degC)


def varied_road(seed, blocks, block_s=1, loads=LIGHTS):
    """Speeds that change at every block of seconds, from tick-over to fast."""
    rng = np.random.default_rng(seed)
    speed_m_s = np.convolve(rng.uniform(0.0, 30.0, blocks + 4), np.ones(5) / 5.0, "valid")
    return road_of([(block_s, 1000.0 + 220.0 * max(v - 6.0, 0.0), v) for v in speed_m_s], loads)


def start_of(charge=0.8, air_degC=15.0, **more):
    """Cold bikes."""
    cold = dict.fromkeys(("winding_degC", "box_degC", "zener_degC", "case_degC"), air_degC)
    return Start(**({"charge": charge} | cold | more))


def states_of(end):
    """The states of bikes after a ride, a row each."""
    return np.stack([np.ravel(value) for value in vars(end).values()], axis=-1)


# --- the same by a second method -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Point:
    """Where the electrics settle, and the watts in winding, box and Zener."""

    bus_V: float
    battery_A: float
    generator_A: float
    load_A: float
    zener_A: float
    winding_W: float
    box_W: float
    zener_W: float


class Second:
    """One bike with its loads in one air, by laws written afresh and roots found by bracketing."""

    def __init__(self, bike, loads, air_degC):
        """Keep the bike, and the law of its battery at that temperature."""
        self.bike, self.loads, self.air_degC = bike, loads, air_degC
        battery, law = bike.battery, bike.battery.law
        self.law, self.cells, label_Ah = law, battery.cells, battery.capacity_Ah
        self.capacity_As = 3600.0 * label_Ah * battery.capacity_share
        colder_K = 25.0 - air_degC
        ohms = battery.cells * battery.ohm_times / label_Ah * exp(law.ohm_per_K * colder_K)
        self.fast_ohm = law.fast_ohm_Ah * ohms
        self.up_ohm = (law.charging_ohm_Ah - law.fast_ohm_Ah) * ohms
        self.down_ohm = (law.discharging_ohm_Ah - law.fast_ohm_Ah) * ohms
        self.half_A = law.half_A_per_Ah * label_Ah / battery.ohm_times
        self.slow_F = law.slow_F_per_Ah * label_Ah / battery.cells
        self.gas_A = law.gassing_A_per_Ah * label_Ah * 2.0 ** (-colder_K / 10.0)
        self.cold = min(max(law.cold_share_per_K * colder_K, 0.0), 0.9)
        self.rated_A = label_Ah * battery.capacity_share / law.rate_h

    def table(self):
        """Charges of the open-circuit table, and volts of the battery there."""
        volts = np.array(self.law.open_circuit_V) + self.law.open_circuit_V_per_K * (self.air_degC - 25.0)
        return np.linspace(0.0, 1.0, volts.size), self.cells * volts

    def rest_V(self, charge):
        """Open-circuit volts of the battery."""
        return np.interp(charge, *self.table())

    def slow_A(self, lift_V, charge):
        """Current through the slow part: where the lift that it makes is the one there is."""
        if abs(lift_V) < 1e-12:
            return 0.0
        law = self.law
        knee_V, ohm = (law.knee_V, self.up_ohm) if lift_V > 0.0 else (law.discharge_knee_V, self.down_ohm)

        def off(amps):
            return self.cells * knee_V * amps / (amps + self.half_A) + ohm * amps - abs(lift_V)

        amps = brentq(off, 0.0, abs(lift_V) / ohm, xtol=1e-14, rtol=1e-12)
        if lift_V < 0.0:
            return -amps
        below = (1.0 - charge) / 0.1
        return amps * max(1.0 + law.taper * (below / (0.6 + 0.4 * below) - 1.0), 0.03)

    def gassing_A(self, plates_V):
        """Tafel's law."""
        return self.gas_A * np.exp((plates_V / self.cells - self.law.gassing_V) / self.law.gassing_slope_V)

    def left_out(self, battery_A):
        """Share of the charge out of reach in the end."""
        return 1.0 - (1.0 - self.cold) * max(-battery_A / self.rated_A, 1.0) ** (1.0 - self.law.peukert)

    def inside_V(self, charge, unreachable, lift_V):
        """Volts behind the fast resistance, of a battery that is not empty."""
        short_of = max(1.0 - (charge - unreachable) / 0.15, 0.0)
        return float(self.rest_V(charge)) + lift_V - self.cells * self.law.flat_sag_V * short_of**2

    def given(self, rpm, winding_degC, box_V):
        """What the generator gives into a bus that is held, and the watts in winding and rectifier."""
        machine = self.bike.lights_on
        if isinstance(machine, Dynamo):
            amps = float(dynamo_current_A(machine, rpm, box_V))
            field_A = box_V / machine.field_resistance_ohm if amps > 0.0 else 0.0
            winding_W = machine.armature_resistance_ohm * (amps + field_A) ** 2 + box_V * field_A
            return amps, winding_W, machine.brush_drop_V * (amps + field_A)
        of = rectified(at_temperature(machine, winding_degC - 20.0), rpm, box_V + self.bike.held.pass_V)
        return float(of.current_A), float(of.winding_W), float(of.rectifier_W)

    def load_A(self, rpm, bus_V):
        """All loads."""
        return float(demand_A(self.loads, rpm, bus_V))

    def zener_A(self, bus_V):
        """What a Zener takes at given volts."""
        zener = self.bike.held.zener
        if zener is None or bus_V <= zener.zener_V:
            return 0.0

        def off(amps):
            knee_V = zener.ideality * THERMAL_VOLTAGE_V * log1p(amps / zener.saturation_A)
            return zener.zener_V + knee_V + zener.resistance_ohm * amps - bus_V

        return brentq(off, 0.0, (bus_V - zener.zener_V) / zener.resistance_ohm, xtol=1e-12)

    def settled(self, rpm, winding_degC, inside_V):
        """The operating point with the battery as volts behind its fast resistance, the bus held at its mean."""
        held, joint = self.bike.held, float(self.bike.joint_ohm)

        def surplus_A(box_V):
            amps = self.given(rpm, winding_degC, box_V)[0]
            bus_V = max(box_V - joint * amps, 0.01)
            return amps - self.load_A(rpm, bus_V) - self.zener_A(bus_V) - (bus_V - inside_V) / self.fast_ohm

        def wanted_A(bus_V):
            return self.load_A(rpm, bus_V) + (bus_V - inside_V) / self.fast_ohm

        box_V = brentq(surplus_A, 0.5, inside_V + 40.0, xtol=1e-9)
        amps, winding_W, box_W = self.given(rpm, winding_degC, box_V)
        bus_V = box_V - joint * amps
        if held.by in BOXES and box_V > held.set_V:
            # the box holds its own end of the wire
            bus_V = brentq(
                lambda volts: volts + joint * wanted_A(volts) - held.set_V, 1.0, held.set_V + 20.0, xtol=1e-9
            )
            if wanted_A(bus_V) < 0.0:
                # the bus stands higher by itself, and nothing is let through
                bus_V = brentq(wanted_A, 1.0, held.set_V + 20.0, xtol=1e-9)
            could_A, winding_W, box_W = self.given(rpm, winding_degC, held.set_V)
            amps = max(wanted_A(bus_V), 0.0)
            share = amps / could_A
            winding_W, box_W = share * winding_W, share * box_W
            if held.by == "field":
                winding_W *= share
            if held.by == "shunt box":
                short_A, short_W, bridge_W = self.given(rpm, winding_degC, OVER_DIODES_V)
                winding_W += (1.0 - share) * short_W
                box_W += (1.0 - share) * (bridge_W + OVER_DIODES_V * short_A)
        zener_A = self.zener_A(bus_V) if held.by == "Zener" else 0.0
        battery_A = (bus_V - inside_V) / self.fast_ohm
        watts = (winding_W, box_W + held.pass_V * amps, zener_A * bus_V)
        return Point(bus_V, battery_A, amps, self.load_A(rpm, bus_V), zener_A, *watts)

    def shed_W(self, body, over_K, road_m_s):
        """Heat off a box or plate, its coefficients drawn where boxes work."""
        sink, hot_degC = body.sink, self.air_degC + DRAWN_AT_K
        free = free_convection_W_m2K(sink.height_m, hot_degC, self.air_degC) * (max(over_K, 0.0) / DRAWN_AT_K) ** 0.25
        wind = forced_convection_W_m2K(sink.height_m, DRAWN_AT_M_S, self.air_degC + 0.5 * DRAWN_AT_K)
        wind *= sqrt(sink.air_share * road_m_s / DRAWN_AT_M_S)
        glow = radiation_W_m2K(sink.emissivity, hot_degC, self.air_degC)
        return sink.fin_area_m2 * (cbrt(free**3 + wind**3) + glow) * over_K

    def slopes(self, state, rpm, road_m_s):
        """Change a second of charge, share out of reach, slow volts, winding, box, Zener and case."""
        charge, unreachable, lift_V, winding_degC, box_degC, zener_degC, case_degC = state
        at = self.settled(rpm, winding_degC, self.inside_V(charge, unreachable, lift_V))
        heat = self.bike.winding
        through_A = at.battery_A - self.gassing_A(self.rest_V(charge) + lift_V)
        case_ends = self.air_degC + (heat.case_rise_K if rpm > 0.0 else 0.0)
        bodies = ((self.bike.box, box_degC, at.box_W), (self.bike.zener, zener_degC, at.zener_W))
        return [
            through_A / self.capacity_As,
            (self.left_out(at.battery_A) - unreachable) / self.law.reach_time_s,
            (through_A - self.slow_A(lift_V, charge)) / self.slow_F,
            (at.winding_W - heat.conductance_W_K * (winding_degC - case_degC)) / heat.capacity_J_K,
            *((W - self.shed_W(body, T - self.air_degC, road_m_s)) / body.capacity_J_K for body, T, W in bodies),
            (case_ends - case_degC) / heat.case_time_s,
        ]


def ridden_by_scipy(bike, pieces, loads, start, air_degC=15.0, rtol=1e-5):
    """States at the end of each piece, by a general ODE solver that starts anew where the speed changes."""
    second = Second(bike, loads, air_degC)
    state, found = np.array([float(np.ravel(value)[0]) for value in vars(start).values()]), []
    for seconds, rpm, road_m_s in pieces:
        done = solve_ivp(
            lambda _, now, rpm=rpm, road_m_s=road_m_s: second.slopes(now, rpm, road_m_s),
            (0.0, seconds),
            state,
            method="LSODA",
            rtol=rtol,
            atol=np.array([1e-5, 1e-4, 1e-4, 1e-2, 1e-2, 1e-2, 1e-2]) * (rtol / 1e-5),
        )
        assert done.success
        state = done.y[:, -1]
        found.append(state)
    return np.array(found)
