"""
Simulated bikes at the five readings: how often the answer is right, how often a sound bike is condemned, and whether
the odds stated are the odds met.

    .venv/bin/python benchmarks/triage.py [BIKES] [SEED]

The simulator shares no figure and no formula with the program: its battery follows a logarithm, its generators are a
curve of their own with cut-in and ceiling, its meters and its people err by rates of their own (gain, rounding, a speed
that is guessed, a lamp that was not as said). Both come from one hand all the same, and every rate is judgement: the
figures prove the arithmetic and the preconditions, not the trade.
"""

import math
import random
import sys
import time
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from ampwright.bike.job import Job, job_from
from ampwright.desk.cases.triage import TriageAnswer, triage_job

CAUSES = ("nothing wrong", "battery", "box or wiring", "generator")
# How often each is true among those who ring; bent away from the program's own shares.
TRUE_SHARES = (0.35, 0.25, 0.22, 0.18)
CONDEMNS = ("battery", "box or wiring", "generator", "box, wiring or generator", "stop")
BINS = 5


@dataclass
class Bike:
    """One bike as it truly is; volts and currents of a 12 V system."""

    kind: str
    system_voltage_V: int
    ceiling_A: float
    cut_in_rpm: float
    set_V: float
    rest_V: float
    inner_ohm: float
    lamps_A: float
    ignition_A: float
    points: bool
    told: list[dict[str, Any]] = field(default_factory=list)
    output: float = 1.0
    joint_ohm: float = 0.0
    open_volts: float = 1.0


def bike(rng: random.Random) -> Bike:
    """A sound bike."""
    kind = rng.choices(("10 A", "16 A", "three-phase", "dynamo"), (0.45, 0.2, 0.2, 0.15))[0]
    volts = 6 if kind == "dynamo" and rng.random() < 0.6 else 12
    ceiling = {"10 A": 9.5, "16 A": 14.5, "three-phase": 14.0, "dynamo": 4.5 * 12 / volts}[kind] * rng.gauss(1, 0.06)
    cut_in = {"10 A": 1150, "16 A": 1150, "three-phase": 950, "dynamo": 1150 * volts / 8}[kind] * rng.gauss(1, 0.12)
    zener = kind == "10 A" and rng.random() < 0.5
    set_V = rng.triangular(13.7, 15.1, 14.3) if zener else rng.triangular(13.8, 14.7, 14.3)
    made = Bike(
        kind=kind,
        system_voltage_V=volts,
        ceiling_A=ceiling,
        cut_in_rpm=cut_in,
        set_V=set_V,
        rest_V=rng.triangular(12.5, 12.95, 12.7),
        inner_ohm=rng.triangular(0.02, 0.06, 0.03),
        lamps_A=rng.choice((3.3, 3.9, 5.0)) * 12 / volts * (0.6 if volts == 6 else 1.0),
        ignition_A=0.0 if kind == "dynamo" else rng.choice((1.5, 2.0, 3.0)),
        points=rng.random() < 0.7,
    )
    made.told = told_of(made, zener, rng)
    return made


def told_of(made: Bike, zener: bool, rng: random.Random) -> list[dict[str, Any]]:
    """What was found of the bike before: mostly the voltage, half of the time what it is and what regulates it."""
    said: list[dict[str, Any]] = []
    if rng.random() < 0.8:
        said.append(_finding("battery_voltage_V", made.system_voltage_V, "looking at it now"))
    if rng.random() < 0.6:
        case = "round body with its own two terminals" if made.kind == "dynamo" else "wires out of the engine case"
        said.append(_finding("position", case, "photo"))
        if made.kind != "dynamo":
            said.append(_finding("thick_wires", 3 if made.kind == "three-phase" else 2, "photo"))
    if rng.random() < 0.5:
        box = "dynamo control box" if made.kind == "dynamo" else "one Zener" if zener else "charging box"
        said.append(_finding("regulated_by", box, "photo"))
    if rng.random() < 0.5:
        spark = "magneto" if made.kind == "dynamo" else "points and battery coils" if made.points else "electronic"
        said.append(_finding("ignition", spark, "looking at it now"))
    if rng.random() < 0.6:
        said.append(_finding("battery_kind", "flooded", "photo"))
    return said


def _finding(what: str, answer: Any, source: str, **more: Any) -> dict[str, Any]:
    return {"what": what, "answer": answer, "source": source, **more}


def spoil(made: Bike, cause: str, rng: random.Random) -> None:
    """Put one fault on a sound bike."""
    if cause == "battery":
        if rng.random() < 0.15:
            made.rest_V -= 2.05
        made.inner_ohm *= rng.triangular(4, 18, 8)
    elif cause == "box or wiring":
        what = rng.choices(("open", "diode", "joint", "over", "under"), (0.5, 0.15, 0.15, 0.12, 0.08))[0]
        made.output = {"open": 0.0, "diode": rng.uniform(0.45, 0.65)}.get(what, 1.0)
        made.joint_ohm = rng.uniform(0.12, 0.5) if what == "joint" else 0.0
        made.set_V += {"over": rng.uniform(1.5, 5.0), "under": -rng.uniform(0.9, 1.5)}.get(what, 0.0)
    elif cause == "generator":
        made.output = 0.0 if rng.random() < 0.5 else rng.uniform(0.15, 0.55)
        made.open_volts = made.output * rng.uniform(0.0, 0.1) if made.output == 0.0 else rng.uniform(0.4, 0.8)


def output_A(made: Bike, speed_rpm: float, bus_V: float) -> float:
    """Its own curve: nothing below cut-in, then towards the ceiling; cut-in goes with the volts."""
    cut_in = made.cut_in_rpm * (bus_V + 1.6) / 15.1
    if speed_rpm <= cut_in:
        return 0.0
    return made.output * made.ceiling_A * (1.0 - (cut_in / speed_rpm) ** 2) ** 0.65


def posts_V(made: Bike, net_A: float) -> float:
    """Rest volts, a logarithm and ohms, either way."""
    size = 0.17 if net_A > 0 else 0.045
    bent = math.copysign(size * math.log1p(abs(net_A) / 0.08), net_A)
    return made.rest_V + bent + net_A * made.inner_ohm * (2.2 if net_A > 0 else 1.0)


def true_volts(made: Bike, speed_rpm: float, lamps: bool, ignition: float) -> float:
    """The posts, found by halving: output, demand and battery come to nothing, or the regulator holds."""
    low, high = 3.0, 40.0
    for _ in range(50):
        bus = 0.5 * (low + high)
        wanted = lamps * made.lamps_A * (bus / 12.5) ** 0.5 + ignition
        given = output_A(made, speed_rpm, bus) if speed_rpm else 0.0
        at_box = bus + made.joint_ohm * max(given, 0.0)
        given = output_A(made, speed_rpm, at_box) if speed_rpm else 0.0
        held = at_box > made.set_V and posts_V(made, 0.0) < bus
        low, high = (low, bus) if held or posts_V(made, given - wanted) < bus else (bus, high)
    return 0.5 * (low + high)


def read(made: Bike, rng: random.Random) -> list[dict[str, Any]]:
    """The five readings as somebody takes and tells them; now and then one is left out."""
    gain = rng.gauss(1.0, 0.006)
    digits = rng.choice((1, 2, 2))
    shut = made.ignition_A * 2 * (rng.random() < 0.5) if made.points else made.ignition_A
    slow, fast = rng.uniform(750, 1300), rng.uniform(2200, 3900)
    said: list[dict[str, Any]] = []
    for speed, lamps in (
        ("engine off", None),
        ("engine off", "on"),
        ("tick-over", "off"),
        ("fast", "off"),
        ("fast", "on"),
    ):
        if rng.random() < 0.04:
            continue
        lit = (lamps == "on") ^ (speed != "engine off" and rng.random() < 0.02)
        rpm = {"engine off": 0.0, "tick-over": slow, "fast": fast * rng.gauss(1, 0.05)}[speed]
        drawn = (shut if lamps == "on" else 0.0) if not rpm else made.ignition_A
        volts = true_volts(made, rpm, lit, drawn) * made.system_voltage_V / 12.0
        shown = round(volts * gain + rng.gauss(0, 0.03), digits)
        more = {"lights": lamps} if lamps else {}
        said.append(_finding("battery_volts", min(shown, 40.0), "measured", speed=speed, **more))
    return said


def pairs(made: Bike, rng: random.Random) -> dict[str, Any]:
    """AC volts between pairs at tick-over, unplugged."""
    volts = made.open_volts * 13.5 * rng.uniform(0.8, 1.25) * (0.9 if made.kind == "three-phase" else 1.0)
    several = 3 if made.kind == "three-phase" else 1
    answer = [round(abs(volts * rng.gauss(1, 0.02)), 1) for _ in range(several)]
    return _finding("pair_volts", answer, "measured", speed="tick-over", all_wires_off=True)


def job_of(findings: list[dict[str, Any]]) -> Job:
    """A job of these findings."""
    return job_from({"format": 1, "number": "T1", "findings": findings}, "simulated")


def followed(made: Bike, rng: random.Random) -> tuple[TriageAnswer, TriageAnswer]:
    """The first answer, and the one after the next step it asks for: a charged battery, or the generator by itself."""
    findings = made.told + read(made, rng)
    first = triage_job(job_of(findings))
    if first.next_step is None:
        return first, first
    if first.verdict == "charge the battery first":
        return first, triage_job(job_of(made.told + read(made, rng)))
    if first.next_step.name == "generator's own volts":
        return first, triage_job(job_of([*findings, pairs(made, rng)]))
    return first, first


def rightly(cause: str, verdict: str) -> bool:
    """Whether an answer names the cause, or the two that cannot be told apart from outside."""
    return verdict == cause or (verdict == "box, wiring or generator" and cause in ("box or wiring", "generator"))


def main(bikes: int, seed: int) -> None:
    """Run and print."""
    rng = random.Random(seed)
    told: dict[str, Counter[str]] = {cause: Counter() for cause in CAUSES}
    ended: dict[str, Counter[str]] = {cause: Counter() for cause in CAUSES}
    bins = [[0, 0.0, 0.0] for _ in range(BINS)]
    start = time.perf_counter()
    for _ in range(bikes):
        made = bike(rng)
        cause = rng.choices(CAUSES, TRUE_SHARES)[0]
        spoil(made, cause, rng)
        if cause == "nothing wrong" and rng.random() < 0.1:
            made.rest_V -= rng.uniform(0.3, 0.8)
        first, last = followed(made, rng)
        told[cause][first.verdict] += 1
        ended[cause][last.verdict] += 1
        if first.verdict not in ("stop", "charge the battery first"):
            best = first.answers[0]
            place = bins[min(int(BINS * best.probability), BINS - 1)]
            place[0] += 1
            place[1] += best.probability
            place[2] += best.answer == cause
    report(told, "first answer")
    report(ended, "after the next step")
    print("\nstated against met, by the likeliest answer:")
    for count, stated, met in bins:
        if count:
            print(f"  {count:5.0f} bikes: stated {stated / count:.3f}, met {met / count:.3f}")
    print(f"{(time.perf_counter() - start) / bikes * 1000.0:.0f} ms a bike")


def report(found: dict[str, Counter[str]], title: str) -> None:
    """Print how often each answer was given by what was true."""
    print(f"\n{title}:")
    for cause, counts in found.items():
        total = sum(counts.values())
        shares = ", ".join(f"{verdict} {count / total:.3f}" for verdict, count in counts.most_common())
        print(f"  {cause} ({total}): {shares}")
    everyone = sum(sum(counts.values()) for counts in found.values())
    right = sum(
        count for cause, counts in found.items() for verdict, count in counts.items() if rightly(cause, verdict)
    )
    wrong = sum(
        count
        for cause, counts in found.items()
        for verdict, count in counts.items()
        if verdict in (*CAUSES, "box, wiring or generator") and not rightly(cause, verdict)
    )
    sound = found["nothing wrong"]
    condemned = sum(sound[verdict] for verdict in CONDEMNS)
    open_still = 1.0 - (right + wrong) / everyone
    print(f"  right {right / everyone:.3f}, wrong {wrong / everyone:.3f}, open or stopped {open_still:.3f}")
    print(
        f"  sound bikes condemned {condemned} of {sum(sound.values())}: {condemned / max(sum(sound.values()), 1):.4f}"
    )


if __name__ == "__main__":
    main(*(int(word) for word in (*sys.argv[1:], *("400", "1")[len(sys.argv) - 1 :])))
