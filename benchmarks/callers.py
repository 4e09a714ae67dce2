"""
Simulated callers: how often what is called *fits* would have done harm, how soon a part is named, and whether the odds
stated are the odds met.

    .venv/bin/python benchmarks/callers.py [CALLERS] [SEED]

The simulator knows nothing of the tables that identification uses. Machines come from shares of its own, tilted anew
for every caller by up to twice either way, with the six-volt three-wire kind doubled; callers are wrong by rates of its
own (one wire count in ten, one polarity in twenty when told from memory), and stop after two checks. All rates here are
judgement: the figures prove the arithmetic and the guards, not the trade.
"""

import math
import random
import sys
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

from ampwright.bike.job import job_from
from ampwright.desk.cases.identify import identify_answer
from ampwright.desk.cases.suit import SuitAnswer, suit_answer
from ampwright.desk.cases.workup import work_up
from ampwright.stock.parts import BoxEarth, ChargingBox, DynamoRegulator
from ampwright.stock.shelf import demo_shelf
from ampwright.terms import Advice, Family, Source, Verdict

CHECKS = 2
BINS = 10
CASE, BODY = "wires out of the engine case", "round body with its own two terminals"
POINTS, ELECTRONIC = "points and battery coils", "electronic"


@dataclass(frozen=True)
class Machine:
    """A kind of machine as the simulator has it: what it is, and how it looks."""

    family: Family
    amps: float
    volts: int
    wires: tuple[int, ...]
    coils: int
    marks: tuple[str, ...]
    pattern: tuple[float, ...]


# Shares of the simulator, and the machines they are of.
MACHINES = (
    (22, Machine(Family.SINGLE_PHASE, 10.0, 12, (2,), 6, ("none", "none", "120W", "10A"), (1.0,))),
    (8, Machine(Family.SINGLE_PHASE, 10.5, 12, (2,), 6, ("none", "10.5 A"), (1.0,))),
    (14, Machine(Family.SINGLE_PHASE, 16.0, 12, (2,), 6, ("none", "16A", "190W"), (1.0,))),
    (10, Machine(Family.SWITCHED_SINGLE_PHASE, 10.5, 6, (3,), 6, ("none",), (0.02, 1.0, 1.0))),
    (4, Machine(Family.SWITCHED_SINGLE_PHASE, 10.5, 12, (3, 3, 2), 6, ("none",), (0.02, 1.0, 1.0))),
    (8, Machine(Family.THREE_PHASE, 10.5, 12, (3,), 9, ("none", "10.5A"), (0.9, 0.9, 0.9))),
    (14, Machine(Family.THREE_PHASE, 14.5, 12, (3,), 9, ("none", "14.5A", "180W"), (0.9, 0.9, 0.9))),
    (4, Machine(Family.BI_PHASE, 14.0, 12, (3,), 6, ("none", "14A"), (0.6, 0.6, 1.2))),
    (6, Machine(Family.ENERGY_TRANSFER, 8.0, 12, (4, 4, 5, 5, 3), 6, ("none",), (0.3, 0.9, 1.4))),
    (12, Machine(Family.DYNAMO, 8.6, 6, (2, 2, 1), 2, ("none", "6V 60W"), (0.05,))),
    (4, Machine(Family.DYNAMO, 4.3, 12, (2, 2, 1), 2, ("none", "12V 60W"), (0.05,))),
)
# How often each source gives a wrong answer to each question, as the simulator has it.
WRONG = {
    Source.MEMORY: {"thick_wires": 0.10, "frame_post": 0.05, "battery_voltage_V": 0.04, "position": 0.02}
    | {"marking": 0.12, "coils": 0.12, "ignition": 0.06, "pair_volts": 0.1},
    Source.LOOKING: {"thick_wires": 0.05, "frame_post": 0.02, "battery_voltage_V": 0.004, "position": 0.003}
    | {"marking": 0.02, "coils": 0.03, "ignition": 0.03, "pair_volts": 0.05},
    Source.PHOTO: {},
    Source.MEASURED: {"pair_volts": 0.03},
}
OTHER_WRONG = 0.004
OTHERWISE = {
    "thick_wires": (2, 3, 4),
    "frame_post": ("+", "-"),
    "battery_voltage_V": (6, 12),
    "position": (CASE, BODY),
    "marking": ("none", "10A", "16A"),
    "coils": (6, 9, 8, 12),
    "ignition": (POINTS, ELECTRONIC, "magneto"),
}


@dataclass(frozen=True)
class Call:
    """How one call went."""

    advice: Advice
    checks: int
    harmful: str
    told_true: bool
    stock_has_one: bool
    stated: float
    leader_right: bool


def one_call(seed: int) -> Call:
    """Draw a bike, let its owner ring up, answer what is asked next, and judge what was called *fits*."""
    chance = random.Random(seed)
    truth = _draw(chance)
    told = {what: _report(what, truth, _first_source(chance), chance) for what in _first_told(chance)}
    for checks in range(CHECKS + 1):
        work = work_up(job_from({"format": 1, "number": "S", "findings": [one for one, _ in told.values()]}, "call"))
        answer = suit_answer(work, SHELF)
        if answer.advice is not Advice.ASK_FIRST or answer.ask_next is None or checks == CHECKS:
            break
        for asked in (answer.ask_next, *answer.ask_also):
            told[asked.finding] = _report(asked.finding, truth, asked.source_reached, chance)
    leader = identify_answer(work).families[0]
    return Call(
        advice=answer.advice,
        checks=checks,
        harmful=_harmful(answer, truth),
        told_true=all(right for _, right in told.values()),
        stock_has_one=any(not _harm(part, truth) for part in REGULATING),
        stated=leader.probability,
        leader_right=leader.name == truth["family"].value,
    )


def _draw(chance: random.Random) -> dict:
    tilted = [
        share * 2.0 ** chance.uniform(-1.0, 1.0) * (2.0 if machine.family is Family.SWITCHED_SINGLE_PHASE else 1.0)
        for share, machine in MACHINES
    ]
    machine = chance.choices([machine for _, machine in MACHINES], tilted)[0]
    ignition = {
        Family.DYNAMO: ("magneto", "magneto", "magneto", POINTS),
        Family.ENERGY_TRANSFER: ("energy transfer",),
    }.get(machine.family, (POINTS, POINTS, ELECTRONIC))
    return {
        "family": machine.family,
        "amps": machine.amps,
        "battery_voltage_V": machine.volts,
        "thick_wires": chance.choice(machine.wires),
        "coils": machine.coils,
        "marking": chance.choice(machine.marks),
        "position": BODY if machine.family is Family.DYNAMO else CASE,
        "frame_post": chance.choice("++-"),
        "ignition": chance.choice(ignition),
        "pattern": machine.pattern,
        "open_V_at_1000": 13.5 * math.exp(chance.gauss(0.0, 0.18)),
    }


def _first_told(chance: random.Random) -> list[str]:
    """What a caller says unasked."""
    usual = {"position": 0.8, "thick_wires": 0.8, "battery_voltage_V": 0.8, "frame_post": 0.6, "ignition": 0.5}
    return [what for what, often in (usual | {"marking": 0.3}).items() if chance.random() < often]


def _first_source(chance: random.Random) -> Source:
    return chance.choices([Source.MEMORY, Source.LOOKING, Source.PHOTO], [5, 4, 1])[0]


def _report(what: str, truth: dict, source: Source, chance: random.Random) -> tuple[dict, bool]:
    """A finding as it is told, and whether it is true."""
    wrong = chance.random() < WRONG[source].get(what, OTHER_WRONG)
    if what == "pair_volts":
        return _volts(truth, source, wrong, chance), not wrong
    answer = truth[what]
    if wrong:
        answer = chance.choice([other for other in OTHERWISE[what] if other != answer])
    return {"what": what, "answer": answer, "source": source.value}, not wrong


def _volts(truth: dict, source: Source, wrong: bool, chance: random.Random) -> dict:
    """AC volts at a tick-over that is only guessed, through a meter a few per cent out that reads peaks oddly."""
    size = truth["open_V_at_1000"] * chance.uniform(0.7, 1.4) * chance.gauss(0.95, 0.05)
    pairs = list(truth["pattern"]) if truth["thick_wires"] > 2 or truth["family"] is Family.ENERGY_TRANSFER else [1.0]
    pairs = [0.05] if truth["family"] is Family.DYNAMO else pairs
    volts = [max(0.0, size * part * chance.gauss(1.0, 0.03) + chance.gauss(0.0, 0.15)) for part in pairs]
    if wrong:
        volts[chance.randrange(len(volts))] *= chance.choice([0.1, 0.5, 2.0])
    chance.shuffle(volts)
    return {"what": "pair_volts", "answer": [round(v, 1) for v in volts], "source": source.value}


def _harm(part: ChargingBox | DynamoRegulator, truth: dict) -> str:
    plus = truth["frame_post"] == "+"
    wrong_earth = (BoxEarth.SHELL_IS_MINUS, BoxEarth.NEGATIVE_ONLY) if plus else (BoxEarth.POSITIVE_ONLY,)
    if part.earth in wrong_earth:
        return "reversed"
    if part.system_voltage_V != truth["battery_voltage_V"]:
        return "wrong voltage"
    family = truth["family"]
    if isinstance(part, DynamoRegulator) or family is Family.DYNAMO:
        return "" if isinstance(part, DynamoRegulator) and family is Family.DYNAMO else "wrong kind"
    if family is Family.ENERGY_TRANSFER or (family is Family.BI_PHASE and not part.bi_phase):
        return "wrong kind"
    phases = 3 if family is Family.THREE_PHASE else 1
    if phases == 3 and part.phases == 1:
        return "wrong phases"
    written = any(pair.phases == phases and pair.up_to_A >= 0.95 * truth["amps"] for pair in part.pairings)
    amps = (part.rated_A or (part.rated_W or 0.0) / 12.0) * (2 / 3 if part.phases == 3 and phases == 1 else 1.0)
    return "" if written or amps >= 0.95 * truth["amps"] else "overrun"


def _harmful(answer: SuitAnswer, truth: dict) -> str:
    fitting = [PARTS[row.code] for row in answer.rows if row.verdict is Verdict.FITS and row.code in PARTS]
    harms = [_harm(part, truth) for part in fitting]
    return next((harm for harm in harms if harm), "")


SHELF = demo_shelf()
REGULATING = [part for part in SHELF.parts if isinstance(part, ChargingBox | DynamoRegulator)]
PARTS = {part.code: part for part in REGULATING}
# Only what regulates is judged here; the rest of the stock would cost time and change nothing.
SHELF = SHELF.model_copy(update={"parts": tuple(REGULATING)})


def calibration_error(calls: list[Call]) -> float:
    """Mean gap between stated and met odds of the likeliest family, over bins of equal count."""
    calls = sorted(calls, key=lambda call: call.stated)
    size = max(1, len(calls) // BINS)
    bins = [calls[start : start + size] for start in range(0, size * BINS, size)]
    gaps = [abs(sum(c.stated for c in some) - sum(c.leader_right for c in some)) / len(some) for some in bins if some]
    return sum(gaps) / len(gaps)


def main(callers: int, seed: int) -> None:
    """Run the callers over all cores and print what became of them."""
    begun = time.perf_counter()
    with ProcessPoolExecutor() as pool:
        calls = list(pool.map(one_call, range(seed, seed + callers), chunksize=50))
    took = time.perf_counter() - begun
    true, wrong = [c for c in calls if c.told_true], [c for c in calls if not c.told_true]
    suited = [c for c in calls if c.stock_has_one]
    print(f"{callers} callers in {took:.0f} s, {1000 * took / callers:.1f} ms each")
    for name, some in (("told true", true), ("something told wrong", wrong)):
        harmful = Counter(c.harmful for c in some if c.harmful)
        print(f"{name}: {len(some)}, harmful fits {sum(harmful.values())} {dict(harmful)}")
    for checks in range(CHECKS + 1):
        named = sum(c.advice is Advice.SELL_NOW and c.checks <= checks for c in suited)
        print(f"sold within {checks} checks: {named / len(suited):.0%} of the {len(suited)} the stock can serve")
    print(f"calibration error of the likeliest family: {calibration_error(calls):.3f}")


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:3]]
    main(*(given + [2000, 1][len(given) :]))
