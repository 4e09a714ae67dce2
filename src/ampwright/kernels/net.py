"""
One second of a bike's electrics: generator, what holds the volts down, loads and battery find their balance.

The battery within a second is volts behind a resistance. The generator is asked what it gives into the volts that the
bus would have without it, behind that resistance; what is left is a lamp's gentle curve, a Zener's steep one, or a box
that holds its volts. The first converges in a few rounds, the second by Newton's method on the Zener's current, the
third is a straight line.
"""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Floats
from ampwright.kernels.outputs import GIVES_A, PHASE_A2, PHASES, RECTIFIER_W, WINDING_W, generated

# What holds the volts down.
NOTHING, ZENER, SHUNT, SERIES, FIELD = 0, 1, 2, 3, 4
# One row of a regulator: kind; volts held; a Zener's volts, saturation current, slope and resistance; volts that
# the pass elements of a series box take over diodes.
KIND, SET_V, ZENER_V, ZENER_SATURATION_A, ZENER_SLOPE_V, ZENER_OHM, PASS_V, REGULATOR = 0, 1, 2, 3, 4, 5, 6, 7
# One row of the demand in a second: lamps' amps at 1 V, watts at any volts, amps at any volts, siemens.
LAMPS, WATTS, AMPS, SIEMENS = 0, 1, 2, 3
LAMP_EXPONENT = 0.55
# Below this every load falls off in proportion, as electronics and cold filaments do; as the bare circuit has it.
LEAST_V = 3.0
# No round takes the volts below this share of what they were: a load of steady watts on a failing battery would.
LEAST_FALL = 0.3
ROUNDS, ZENER_ROUNDS, CLOSE_V, CLOSE_A = 10, 8, 1e-4, 2e-3
# Under this share of the volts that its knee would take, a Zener's ohms and what is behind it do not matter.
KNEE_SHARE, ZENER_CLOSE_A = 0.6, 1e-3
# Sines of 11.25, 33.75, 56.25 and 78.75 degrees, less their mean, over their deviation.
HALF_WAVE = (-1.4898840, -0.2847072, 0.6376953, 1.1368959)
# What is found: volts of the bus, amps of battery, generator, loads and Zener; share of the time the winding is
# shorted; heat of the winding, and of rectifier and box; volts at the generator's own end of the wiring.
BUS_V, BATTERY_A, GENERATOR_A, LOAD_A, ZENER_A, SHORTED, STATOR_W, BOX_W, BOX_V = range(9)
# Of a single phase that nothing holds: standard deviations within a wave, of the generator's current, of the bus, and
# of the Zener's current.
SWING_A, SWING_V, ZENER_SWING_A = range(9, 12)
# Whether a box holds its volts; it is then tried first in the next second.
HOLDS, FOUND = range(12, 14)
# Shorted through a thyristor and a diode the winding meets so much more than two diodes. From memory.
OVER_DIODES_V = 0.3
# Without a battery: volts are looked for up to this, by so many halvings.
MOST_ALONE_V, HALVINGS = 60.0, 22


@compiled
def load_A(demand: Floats, volts: float) -> float:
    """Current of all loads at the volts of the bus."""
    least = max(volts, LEAST_V)
    lamps = demand[LAMPS] * math.exp(LAMP_EXPONENT * math.log(least)) if demand[LAMPS] > 0.0 else 0.0
    falls_off = min(max(volts, 0.0) / LEAST_V, 1.0)
    return falls_off * (lamps + demand[WATTS] / least + demand[AMPS]) + demand[SIEMENS] * volts


@compiled
def zener_current(open_V: float, behind_ohm: float, regulator: Floats) -> float:
    """Current a Zener takes of volts behind a resistance: below its knee by the exponential alone, else by Newton."""
    if open_V <= regulator[ZENER_V]:
        return 0.0
    ohm = behind_ohm + regulator[ZENER_OHM]
    saturation, slope = regulator[ZENER_SATURATION_A], regulator[ZENER_SLOPE_V]
    over_V = open_V - regulator[ZENER_V]
    # The straight part alone is too much; less the knee at that much it is too little by next to nothing.
    knee_V = slope * math.log(1.0 + over_V / (ohm * saturation))
    if over_V <= KNEE_SHARE * knee_V:
        return saturation * math.expm1(over_V / slope)
    amps = max(over_V - knee_V, 0.02 * over_V) / ohm
    for _ in range(ZENER_ROUNDS):
        off = slope * math.log(1.0 + amps / saturation) + ohm * amps - over_V
        step = off / (slope / (amps + saturation) + ohm)
        amps = max(amps - step, 0.01 * amps)
        if abs(step) < ZENER_CLOSE_A:
            break
    return amps


@compiled
def swing(machine: Floats, given: Floats) -> float:
    """Standard deviation of a single phase's rectified current about its mean; that of others hardly swings."""
    if machine[PHASES] != 1.0:
        return 0.0
    return math.sqrt(max(given[PHASE_A2] - given[GIVES_A] * given[GIVES_A], 0.0))


@compiled
def zener_taken(open_V: float, behind_ohm: float, swing_A: float, regulator: Floats) -> tuple[float, float]:
    """
    Mean current of a Zener whose volts swing with a current, and how far its own swings.

    By four points of a half wave of a sine, equally far apart, about its mean and by its deviation.
    """
    if swing_A <= 0.0:
        return zener_current(open_V, behind_ohm, regulator), 0.0
    mean_A, with_swing = 0.0, 0.0
    for place in HALF_WAVE:
        amps = zener_current(open_V + behind_ohm * place * swing_A, behind_ohm, regulator)
        mean_A += 0.25 * amps
        with_swing += 0.25 * amps * place
    return mean_A, with_swing


@compiled
def zener_about(open_V: float, behind_ohm: float, swing_A: float, regulator: Floats) -> float:
    """The same mean for a round on the way, by two points: near enough for what the generator meets."""
    if swing_A <= 0.0:
        return zener_current(open_V, behind_ohm, regulator)
    least_A = zener_current(open_V - behind_ohm * swing_A, behind_ohm, regulator)
    return 0.5 * (least_A + zener_current(open_V + behind_ohm * swing_A, behind_ohm, regulator))


@compiled
def balance(
    speed_rpm: float,
    winding_degC: float,
    inside_V: float,
    fast_ohm: float,
    joint_ohm: float,
    demand: Floats,
    regulator: Floats,
    machine: Floats,
    forms: Floats,
    curve: Floats,
    given: Floats,
    found: Floats,
) -> None:
    """
    Find the balance of a second; `inside_V` behind `fast_ohm` is the battery, `found` holds the last one's as guesses.

    `given` holds what the generator gives, and in its second row what it gives when shorted; both are guesses as well.
    `joint_ohm` is in the wire from the generator's rectifier or box to the bus, and a box holds its own end of it.
    """
    if fast_ohm <= 0.0:
        alone(speed_rpm, winding_degC, joint_ohm, demand, regulator, machine, forms, curve, given, found)
        return
    kind, behind_ohm = int(regulator[KIND]), fast_ohm + joint_ohm
    at = speed_rpm, winding_degC, inside_V, fast_ohm, joint_ohm
    if found[HOLDS] > 0.0 and held(*at, demand, regulator, machine, forms, curve, given, found):
        return
    bus_V, zener_A, loads_A = max(inside_V + fast_ohm * found[BATTERY_A], 0.0), found[ZENER_A], 0.0
    work = given[0]
    for step in range(ROUNDS):
        loads_A = load_A(demand, bus_V)
        # The first round takes the Zener's current of the second before.
        if kind == ZENER and step > 0:
            open_V = inside_V + fast_ohm * (work[GIVES_A] - loads_A)
            zener_A = zener_about(open_V, fast_ohm, swing(machine, work), regulator)
        meets_V = inside_V - fast_ohm * (loads_A + zener_A) + regulator[PASS_V]
        stands = generated(speed_rpm, winding_degC, meets_V, behind_ohm, machine, forms, curve, work)
        before_V = bus_V
        bus_V = inside_V + fast_ohm * (work[GIVES_A] - loads_A - zener_A)
        if 0.0 < before_V < LEAST_V:
            # Loads are resistors here, maybe of less than the battery's ohms: Newton's step.
            bus_V = before_V + (bus_V - before_V) / (1.0 + fast_ohm * loads_A / before_V)
        bus_V = max(bus_V, LEAST_FALL * before_V)
        if stands and abs(bus_V - before_V) < CLOSE_V and (kind != ZENER or step > 0):
            break
    found[SWING_A], found[ZENER_SWING_A] = swing(machine, work), 0.0
    if kind == ZENER:
        open_V = inside_V + fast_ohm * (work[GIVES_A] - loads_A)
        zener_A, found[ZENER_SWING_A] = zener_taken(open_V, fast_ohm, found[SWING_A], regulator)
        bus_V = inside_V + fast_ohm * (work[GIVES_A] - loads_A - zener_A)
    found[SWING_V] = fast_ohm * (found[SWING_A] - found[ZENER_SWING_A])
    found[BUS_V], found[LOAD_A], found[ZENER_A], found[SHORTED] = bus_V, loads_A, zener_A, 0.0
    found[GENERATOR_A], found[STATOR_W], found[BOX_W] = work[GIVES_A], work[WINDING_W], work[RECTIFIER_W]
    found[BOX_V] = bus_V + joint_ohm * work[GIVES_A]
    found[BOX_W] += regulator[PASS_V] * found[GENERATOR_A]
    found[BATTERY_A], found[HOLDS] = (found[BUS_V] - inside_V) / fast_ohm, 0.0
    if kind >= SHUNT and found[BOX_V] > regulator[SET_V]:
        held(*at, demand, regulator, machine, forms, curve, given, found)


@compiled
def alone(
    speed_rpm: float,
    winding_degC: float,
    joint_ohm: float,
    demand: Floats,
    regulator: Floats,
    machine: Floats,
    forms: Floats,
    curve: Floats,
    given: Floats,
    found: Floats,
) -> None:
    """The same without a battery: the volts at which loads and Zener take just what is given, by halving."""
    kind, work = int(regulator[KIND]), given[0]
    low_V, high_V = 0.0, MOST_ALONE_V if kind < SHUNT else regulator[SET_V]
    taken_A, zener_A, bus_V = 0.0, 0.0, high_V
    for step in range(HALVINGS):
        # The first look is at the top: a box holds there whatever is left over.
        bus_V = high_V if step == 0 else 0.5 * (low_V + high_V)
        zener_A = zener_current(bus_V, 0.0, regulator) if kind == ZENER else 0.0
        taken_A = load_A(demand, bus_V) + zener_A
        for _ in range(ROUNDS):
            meets_V = bus_V + regulator[PASS_V] + joint_ohm * taken_A
            if generated(speed_rpm, winding_degC, meets_V, 0.0, machine, forms, curve, work):
                break
        if work[GIVES_A] >= taken_A:
            low_V = bus_V
            if step == 0:
                break
        else:
            high_V = bus_V
    for k in range(FOUND):
        found[k] = 0.0
    # What a lamp draws below a volt is nothing that anybody sees.
    bus_V = bus_V if speed_rpm > 0.0 else 0.0
    found[BUS_V], found[ZENER_A], found[LOAD_A] = bus_V, zener_A, taken_A - zener_A if bus_V > 0.0 else 0.0
    found[GENERATOR_A], found[BOX_V] = found[LOAD_A] + zener_A, bus_V + joint_ohm * (found[LOAD_A] + zener_A)
    share = min(taken_A / work[GIVES_A], 1.0) if work[GIVES_A] > 0.0 else 0.0
    passed_on(share, kind, speed_rpm, winding_degC, machine, forms, curve, given, found)
    found[BOX_W] += regulator[PASS_V] * found[GENERATOR_A]


@compiled
def passed_on(
    share: float,
    kind: int,
    speed_rpm: float,
    winding_degC: float,
    machine: Floats,
    forms: Floats,
    curve: Floats,
    given: Floats,
    found: Floats,
) -> None:
    """Heat of winding and box while a share of what could be given is let through, and what becomes of the rest."""
    work, shorted = given[0], given[1]
    found[STATOR_W], found[BOX_W] = share * work[WINDING_W], share * work[RECTIFIER_W]
    if kind == FIELD:
        found[STATOR_W] *= share
    if kind == SHUNT:
        found[SHORTED] = 1.0 - share
        for _ in range(ROUNDS):
            if generated(speed_rpm, winding_degC, OVER_DIODES_V, 0.0, machine, forms, curve, shorted):
                break
        found[STATOR_W] += found[SHORTED] * shorted[WINDING_W]
        found[BOX_W] += found[SHORTED] * (shorted[RECTIFIER_W] + OVER_DIODES_V * shorted[GIVES_A])


@compiled
def held(
    speed_rpm: float,
    winding_degC: float,
    inside_V: float,
    fast_ohm: float,
    joint_ohm: float,
    demand: Floats,
    regulator: Floats,
    machine: Floats,
    forms: Floats,
    curve: Floats,
    given: Floats,
    found: Floats,
) -> bool:
    """
    The same with a box that holds its volts: what it lets through, and what becomes of the rest.

    False, with nothing found, where the generator does not give what it would take to hold them.
    """
    kind, held_V, bus_V = int(regulator[KIND]), regulator[SET_V], found[BUS_V]
    loads_A = found[LOAD_A]
    for _ in range(2):
        bus_V = (held_V - joint_ohm * (loads_A - inside_V / fast_ohm)) / (1.0 + joint_ohm / fast_ohm)
        loads_A = load_A(demand, bus_V)
    wanted_A = (bus_V - inside_V) / fast_ohm + loads_A
    if wanted_A <= 0.0:
        # Battery and loads stand above what the box holds: it lets nothing through.
        wanted_A = 0.0
        for _ in range(2):
            bus_V = inside_V - fast_ohm * loads_A
            loads_A = load_A(demand, bus_V)
    # A dynamo's current does not swing, so that what is behind the volts held does not matter.
    work, behind_ohm = given[0], fast_ohm + joint_ohm if machine[PHASES] > 0.0 else 0.0
    for _ in range(ROUNDS):
        before_A = work[GIVES_A]
        meets_V = held_V - behind_ohm * before_A + regulator[PASS_V]
        stands = generated(speed_rpm, winding_degC, meets_V, behind_ohm, machine, forms, curve, work)
        if stands and abs(work[GIVES_A] - before_A) < CLOSE_A:
            break
    could_A = max(work[GIVES_A], 1e-6)
    if wanted_A > could_A + CLOSE_A:
        return False
    share = min(wanted_A / could_A, 1.0)
    passed_on(share, kind, speed_rpm, winding_degC, machine, forms, curve, given, found)
    found[BUS_V], found[GENERATOR_A], found[LOAD_A], found[BOX_V] = bus_V, wanted_A, loads_A, held_V
    found[BATTERY_A], found[ZENER_A], found[HOLDS] = (bus_V - inside_V) / fast_ohm, 0.0, 1.0
    found[SWING_V] = found[ZENER_SWING_A] = 0.0
    # A box that shares the time lets through all or nothing: what swings so warms the joints too.
    shares = kind in (SHUNT, SERIES)
    found[SWING_A] = math.sqrt(max(wanted_A * (could_A - wanted_A), 0.0)) if shares else 0.0
    found[BOX_W] += regulator[PASS_V] * wanted_A
    return True
