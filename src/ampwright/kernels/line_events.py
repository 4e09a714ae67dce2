"""
When a line of a circuit that nothing switches begins to conduct and when its current ends, and what conducts then.

Both are roots inside a step: of its own dense output, or of the EMF against the bus. These are loops because a root is
found step by step.
"""

from ampwright.kernels.bus import BUS_V, bus_at, set_emf
from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Row
from ampwright.kernels.explicit_pair import DENSE
from ampwright.kernels.explicit_step import weigh, weighed
from ampwright.kernels.feet import bend_next, set_high_foot, set_low_foot
from ampwright.kernels.motion import electrical_speed

# Of a step from whose start a line is pushed already, this share is taken before it conducts, lest it stand still.
LATE_SHARE, ROOT_SETTLED, PUSHED_V, MOST_ROOT = 0.1, 1e-9, 1e-5, 40
# The push has its crest inside a step only where it ends below that by less than this share of a phase's EMF.
MOST_CREST, LEAST_CREST_V = 0.3, 1e-3
# A line that turns against at least this has a high foot; over so much of the longest step a push's rise is taken.
CLEAR_PUSH_V, SOON_SHARE = 1.0, 1e-3
NOTHING, LINE_ENDS, LINE_BEGINS = 0, 1, 2


@compiled
def push(circuit: Row, walk: Row, line: int, volts: float) -> float:
    """
    Volts by which a resting line is beyond what its diodes hold off at the EMF set last; of both signs, less than 0
    where it goes on resting. Of three resting lines: those of the outermost pair, at every line.
    """
    emf_V = walk.emf_V
    if circuit.lines == 1:
        return abs(emf_V[0]) - volts - 2.0 * walk.onset_V[0]
    resting = 0
    for k in range(3):
        resting += 1 if walk.way[k] == 0 else 0
    if resting == 3:
        most_V = max(emf_V[0], max(emf_V[1], emf_V[2]))
        least_V = min(emf_V[0], min(emf_V[1], emf_V[2]))
        return most_V - least_V - volts - 2.0 * walk.onset_V[0]
    return abs(1.5 * emf_V[line]) - 0.5 * volts - walk.onset_V[1]


@compiled
def push_at(circuit: Row, walk: Row, line: int, share: float, length_s: float, middle_V: float) -> float:
    """Push on a resting line after a share of the step, the bus on the parabola through both ends and the middle."""
    set_emf(circuit, walk, walk.time_s + share * length_s)
    start_V, end_V, rest = walk.seen[0, BUS_V], walk.seen[6, BUS_V], 1.0 - share
    bus_V = rest * (rest - share) * start_V + 4.0 * share * rest * middle_V + share * (share - rest) * end_V
    return push(circuit, walk, line, bus_V)


@compiled
def share_to_push(circuit: Row, walk: Row, line: int, length_s: float) -> float:
    """Share of a step after which a resting line is pushed, 1 where it is not; a crest inside the step counts too."""
    high, high_V = 1.0, push_at(circuit, walk, line, 1.0, length_s, 0.0)
    if high_V <= 0.0 and high_V < -MOST_CREST * circuit.emf_Vs * electrical_speed(circuit, walk.time_s + length_s):
        return 1.0
    weigh(walk, 0.5)
    weighed(circuit, walk, walk.middle, length_s)
    bus_V = bus_at(circuit, walk, walk.middle)
    low, low_V = 0.0, push_at(circuit, walk, line, 0.0, length_s, bus_V)
    if high_V <= 0.0:
        middle_V = push_at(circuit, walk, line, 0.5, length_s, bus_V)
        slope_V, bend_V = high_V - low_V, low_V + high_V - 2.0 * middle_V
        high = min(max(0.5 - 0.25 * slope_V / bend_V, 0.0), 1.0) if bend_V < 0.0 else 1.0
        high_V = push_at(circuit, walk, line, high, length_s, bus_V)
        if high_V <= LEAST_CREST_V:
            return 1.0
    if low_V >= 0.0:
        return LATE_SHARE if push_at(circuit, walk, line, LATE_SHARE, length_s, bus_V) > 0.0 else 1.0
    share = high
    for _ in range(MOST_ROOT):
        share = low + (high - low) * low_V / (low_V - high_V)
        push_V = push_at(circuit, walk, line, share, length_s, bus_V)
        if abs(push_V) < PUSHED_V:
            break
        # Where one end stays, its part is halved, or it would stay for ever.
        if push_V > 0.0:
            high, high_V, low_V = share, push_V, 0.5 * low_V
        else:
            low, low_V, high_V = share, push_V, 0.5 * high_V
    return share


@compiled
def share_to_end(walk: Row, line: int, length_s: float) -> float:
    """Share of a step after which a line's current is gone, by its dense output."""
    way, rise = walk.way[line], length_s * walk.way[line]
    q0, q1, q2, q3 = 0.0, 0.0, 0.0, 0.0
    for i in range(7):
        slope = rise * walk.slope[i, line]
        q0 += DENSE[i, 0] * slope
        q1 += DENSE[i, 1] * slope
        q2 += DENSE[i, 2] * slope
        q3 += DENSE[i, 3] * slope
    start_A, end_A = way * walk.state[line], way * walk.trial[line]
    low, high, share = 0.0, 1.0, start_A / (start_A - end_A)
    for _ in range(MOST_ROOT):
        amps = start_A + share * (q0 + share * (q1 + share * (q2 + share * q3)))
        if amps > 0.0:
            low = share
        else:
            high = share
        rate = q0 + share * (2.0 * q1 + share * (3.0 * q2 + share * 4.0 * q3))
        better = share - amps / rate if rate < 0.0 else 0.5 * (low + high)
        if not low < better < high:
            better = 0.5 * (low + high)
        moved, share = abs(better - share), better
        if moved < ROOT_SETTLED:
            break
    return share


@compiled
def find_event(circuit: Row, walk: Row, length_s: float) -> tuple[float, int, int]:
    """Share of a step after which a line ends or begins, what happens, and which line."""
    share, event, which = 1.0, NOTHING, 0
    for k in range(circuit.lines):
        if walk.way[k] != 0 and walk.way[k] * walk.trial[k] < 0.0:
            this = share_to_end(walk, k, length_s)
            if event == NOTHING or this < share:
                share, event, which = this, LINE_ENDS, k
    resting = 0
    for k in range(circuit.lines):
        resting += 1 if walk.way[k] == 0 else 0
    for k in range(circuit.lines):
        # Of three resting lines the outermost two begin together.
        if walk.way[k] != 0 or (resting == 3 and k > 0):
            continue
        this = share_to_push(circuit, walk, k, length_s)
        if this < share:
            share, event, which = this, LINE_BEGINS, k
    return share, event, which


@compiled
def let_begin(circuit: Row, walk: Row, line: int) -> None:
    """Let a resting line, or of three the outermost two, conduct; the EMF is that of the moment."""
    emf_V, soon_s = walk.emf_V, SOON_SHARE * circuit.longest_s
    join = 1 if walk.way[0] != 0 or walk.way[1] != 0 or walk.way[2] != 0 else 0
    push_V = push(circuit, walk, line, 0.0)
    set_emf(circuit, walk, walk.time_s + soon_s)
    rising_V_s = (push(circuit, walk, line, 0.0) - push_V) / soon_s
    set_emf(circuit, walk, walk.time_s)
    if circuit.lines == 1 or join == 1:
        walk.way[line] = 1 if emf_V[line] > 0.0 else -1
        set_low_foot(circuit, walk, line, join)
        bend_next(circuit, walk, join, rising_V_s)
        return
    most, least = 0, 0
    for k in range(1, 3):
        most = k if emf_V[k] > emf_V[most] else most
        least = k if emf_V[k] < emf_V[least] else least
    walk.way[most], walk.way[least] = 1, -1
    set_low_foot(circuit, walk, most, join)
    set_low_foot(circuit, walk, least, join)
    bend_next(circuit, walk, join, rising_V_s)


@compiled
def let_end(circuit: Row, walk: Row, line: int) -> None:
    """Let a line rest; of two that conduct both; and let it begin the other way where it is pushed there already."""
    way = walk.way[line]
    walk.way[line], walk.state[line] = 0, 0.0
    if circuit.lines == 3:
        others = 0
        for k in range(3):
            others += 1 if walk.way[k] != 0 else 0
        first, second = (line + 1) % 3, (line + 2) % 3
        if others == 1 or walk.way[first] == walk.way[second]:
            walk.way[:] = 0
            walk.state[0], walk.state[1], walk.state[2] = 0.0, 0.0, 0.0
            return
        amps = 0.5 * (walk.state[first] - walk.state[second])
        walk.state[first], walk.state[second] = amps, -amps
    push_V = push(circuit, walk, line, bus_at(circuit, walk, walk.state))
    if way * walk.emf_V[line] < 0.0 and push_V > 0.0:
        walk.way[line] = -way
        if push_V > CLEAR_PUSH_V:
            set_high_foot(circuit, walk, line)
        else:
            set_low_foot(circuit, walk, line, 1 if circuit.lines == 3 else 0)
