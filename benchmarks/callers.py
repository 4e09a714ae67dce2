"""
Simulated callers: how often what is called *fits* would have done harm, how soon a part is named, and whether the odds
stated are the odds met.

    .venv/bin/python benchmarks/callers.py [CALLERS] [SEED]

How often each class of machine turns up is what the program believes, tilted anew for every caller by up to twice
either way, with the six-volt three-wire kind and machines in no list doubled. The simulator shares nothing else with
the program (`benchmarks/simulated/`): what machines look like, read and give, and how callers err or stop answering,
goes by rates of its own, tilted as well; but both come from one hand. Every caller meets another shop, is asked for
danger, and then what the program asks next, two looks at most; one in ten is asked what comes to some adviser's mind
instead, which tries the choice on evidence that no look was planned for. All rates are judgement: the figures prove the
arithmetic and the guards, not the trade.
"""

import os

# One thread a process: the matrices are small, and every core has a process of its own.
os.environ["OPENBLAS_NUM_THREADS"] = "1"

import gc
import random
import statistics
import sys
import time
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from simulated import harm, machines, stocks, telling
from simulated.advisers import comes_to_mind
from simulated.program import QUESTIONS, End, Reply, end_of, every_check, reply_to, true_names
from simulated.rulings import Harm, Needs, Ruling, Wanted

from ampwright.stock.parts import AnyPart
from ampwright.terms import Advice, BatteryKind, Verdict

LOOKS = 2
# One caller in so many is asked what comes to mind.
UNPLANNED_ONE_IN = 10
BINS = 10
CHUNK, PROGRESS = 50, 20
# One caller in so many is used to time the whole answer.
TIMED = 400


@dataclass(frozen=True)
class Harmed:
    """A part that would have done harm: what goes wrong, on which kind of part and machine."""

    what: Harm
    part: str
    machine: str


@dataclass(frozen=True)
class Call:
    """
    How one call went.

    ``planned`` says whether it went by the program's looks. ``harms`` are parts called
    *fits*; ``harms_named`` parts named for sale with fitting work that does not mend what they do.
    ``need`` is the least that any part in stock needs to suit; ``in_danger`` where a danger was told of
    that is there, and nothing is to be sold; ``field_was_fed`` where every wire was said to be off a wound field and
    one was not.
    """

    planned: bool
    told_true: bool
    listed: bool
    harms: tuple[Harmed, ...]
    harms_named: tuple[Harmed, ...]
    called_fits: int
    verdicts: tuple[tuple[Verdict, int], ...]
    advice: Advice
    need: Needs | None
    in_danger: bool
    field_was_fed: bool
    named_after: int | None
    on_condition: bool
    questions: int
    minutes: float
    stopped_answering: bool
    stated: tuple[float, ...]
    right: tuple[bool | None, ...]
    seconds: tuple[float, ...]
    whole_seconds: tuple[float, ...]
    longest_message: int


def one_call(seed: int) -> Call:
    """Draw a bike and a shop, let the owner ring up and answer what is asked, and judge what was called *fits*."""
    chance = random.Random(seed)
    bike = machines.draw(chance)
    parts, job = stocks.any_stock(chance), stocks.any_job(bike, chance)
    told = _with(telling.first_told(bike, chance), telling.danger_told(bike, chance))
    in_danger = any(telling.tells_of_danger(one, bike) for one in told)
    talk = _Talk(bike, parts, job, chance, told, seed)
    planned = seed % UNPLANNED_ONE_IN != 0
    replies = talk.as_planned(timed=seed % TIMED == 1) if planned else talk.as_comes_to_mind()
    referee = _Referee(bike, parts, Wanted(bool(job["wishes"].get("no_battery")), job.get("why") == "6 to 12 V"))
    return referee.call(talk, replies, planned=planned, in_danger=in_danger)


@dataclass
class _Talk:
    """One owner on the telephone: what was told so far, and what it took."""

    bike: machines.Bike
    parts: Sequence[AnyPart]
    job: Mapping[str, Any]
    chance: random.Random
    told: Sequence[telling.Told]
    seed: int
    unknown: frozenset[str] = frozenset()
    looks: int = 0
    questions: int = 0
    minutes: float = 0.0
    stopped: bool = False

    def as_planned(self, *, timed: bool) -> list[Reply]:
        """Put the job to the program, ask what it asks, and put it again, at most so many times."""
        replies = [self._reply(asks_on=True, timed=timed)]
        while len(replies) <= LOOKS and replies[-1].advice is Advice.ASK_FIRST and replies[-1].request:
            self._ask(replies[-1].request)
            if self.stopped:
                break
            replies.append(self._reply(asks_on=len(replies) < LOOKS, timed=timed))
        return replies

    def as_comes_to_mind(self) -> list[Reply]:
        """Ask what comes to mind, then put the job to the program once."""
        request = comes_to_mind(every_check(), self.chance)
        if request:
            self._ask(request)
        return [self._reply(asks_on=False, timed=False)]

    def _reply(self, *, asks_on: bool, timed: bool) -> Reply:
        documents = [one.document for one in self.told]
        return reply_to(documents, sorted(self.unknown), self.job, self.parts, asks_on=asks_on, time_the_whole=timed)

    def _ask(self, request: Sequence[telling.Asked]) -> None:
        self.looks += 1
        self.questions += sum(len(one.brings) for one in request)
        self.minutes += telling.minutes_of(request)
        # An answer hangs on the caller, the look and the question, and not on what else is asked at this look.
        call = f"{self.seed} {self.looks}"
        self.stopped = telling.refuses(request, random.Random(call))
        if not self.stopped:
            more, not_known = telling.answer(request, self.bike, call)
            self.told = _with(self.told, more)
            self.unknown = (self.unknown | set(not_known)) - {one.kind for one in more}


def _with(told: Sequence[telling.Told], more: Sequence[telling.Told]) -> list[telling.Told]:
    """
    What was told, and what came back; a second answer to one question from the same source replaces the first.

    AC volts that were read twice are both written down.
    """
    again = {(one.kind, one.document["source"]) for one in more if one.kind != "pair_volts"}
    return [*(one for one in told if (one.kind, one.document["source"]) not in again), *more]


@dataclass(frozen=True)
class _Referee:
    """One true bike, one shop, and what the owner wants."""

    bike: machines.Bike
    parts: Sequence[AnyPart]
    wanted: Wanted

    def rule(self, part: AnyPart) -> Ruling:
        return harm.rule(part, self.bike, self.wanted)

    def call(self, talk: _Talk, replies: Sequence[Reply], *, planned: bool, in_danger: bool) -> Call:
        last, end = replies[-1], end_of(replies[-1])
        fits = [part for part in self.parts if end.verdicts[part.code] is Verdict.FITS]
        named = [(part, self.rule(part)) for part in self.parts if part.code in last.named]
        rightly = any(not self._harms_as(part, ruling, end) for part, ruling in named)
        return Call(
            planned=planned,
            told_true=all(one.true for one in talk.told),
            listed=self.bike.kind.listed,
            harms=self._harmed(fits),
            harms_named=self._harmed(
                part
                for part, ruling in named
                if part not in fits and not ruling.suits and ruling.harms_though_told(last.conditions(part.code))
            ),
            called_fits=len(fits),
            verdicts=tuple(Counter(end.verdicts.values()).items()),
            advice=last.advice,
            need=harm.least_need(self.parts, self.bike, self.wanted),
            in_danger=in_danger,
            field_was_fed=any(telling.tells_of_an_unfed_field(one, self.bike) for one in talk.told if not one.true),
            named_after=len(replies) - 1 if rightly else None,
            on_condition=self._on_condition(end),
            questions=talk.questions,
            minutes=talk.minutes,
            stopped_answering=talk.stopped,
            stated=tuple(probability for _, probability in end.leaders),
            right=self._right(end),
            seconds=tuple(reply.seconds for reply in replies if reply.seconds is not None),
            whole_seconds=tuple(reply.whole_seconds for reply in replies if reply.whole_seconds is not None),
            longest_message=max(len(reply.message) for reply in replies),
        )

    def _harms_as(self, part: AnyPart, ruling: Ruling, end: End) -> bool:
        """Whether it harms as it was called: outright, or with its condition said."""
        return ruling.harm is not None if end.verdicts[part.code] is Verdict.FITS else not ruling.suits

    def _harmed(self, parts: Iterable[AnyPart]) -> tuple[Harmed, ...]:
        kind = self.bike.kind
        machine = f"{kind.key if kind.listed else 'in no list'} {kind.amps:g} A {self.bike.running_V} V"
        rulings = ((part, self.rule(part)) for part in parts)
        return tuple(Harmed(ruling.harm, part.kind, machine) for part, ruling in rulings if ruling.harm)

    def _on_condition(self, end: End) -> bool:
        """Whether a regulating part in stock that truly suits was at least called *fits if*."""
        called = (part for part in self.parts if end.verdicts[part.code] in (Verdict.FITS, Verdict.FITS_IF))
        there = (part for part in called if part.kind in harm.REGULATING and part.in_stock)
        return any(not self._harms_as(part, self.rule(part), end) for part in there)

    def _right(self, end: End) -> tuple[bool | None, ...]:
        """Whether each likeliest answer is the true one; a bike without a battery has no earth to be right about."""
        without_earth = self.bike.battery is BatteryKind.NONE
        return tuple(
            None if question == "earth" and without_earth else name == true
            for question, (name, _), true in zip(QUESTIONS, end.leaders, true_names(self.bike), strict=True)
        )


def calls_of(seeds: Iterable[int]) -> list[Call]:
    """The calls of some seeds."""
    # Judgements that are kept are many and live long: looking through them for garbage all the time costs a sixth.
    gc.set_threshold(100_000, 50, 1000)
    return [one_call(seed) for seed in seeds]


def all_calls(callers: int, seed: int) -> list[Call]:
    """All calls in the order of their seeds, in chunks over all cores, with progress on stderr."""
    chunks = [range(start, min(start + CHUNK, seed + callers)) for start in range(seed, seed + callers, CHUNK)]
    calls: list[Call] = []
    with ProcessPoolExecutor() as pool:
        for some in pool.map(calls_of, chunks):
            calls += some
            if len(calls) % (PROGRESS * CHUNK) == 0 or len(calls) == callers:
                print(f"{len(calls)} of {callers} callers", file=sys.stderr, flush=True)
    return calls


def print_harm(calls: Sequence[Call]) -> None:
    """Harmful fits, told true and with something wrong, by what goes wrong, on which part and machine."""
    print("\nHarmful fits (a choice is one part called fits for one caller at the end of the call)")
    listed = [c for c in calls if c.told_true and c.listed]
    unlisted = [c for c in calls if c.told_true and not c.listed]
    _print_group("told true, machine in a list", listed)
    _print_group("told true, machine in no list", unlisted)
    _print_group(
        "of all who told the truth, asked what comes to mind", [c for c in calls if c.told_true and not c.planned]
    )
    _print_group("something told wrong", [c for c in calls if not c.told_true])
    _print_group("of these, a field still fed that was said to be off", [c for c in calls if c.field_was_fed])
    _print_group("all", calls, detail=False)
    print("  named for sale as fits if, with fitting work that does not mend what they do:")
    for name, some in (("told true", [*listed, *unlisted]), ("all", calls)):
        harms = [harmed for c in some for harmed in c.harms_named]
        print(f"    {name}: {len(harms)} parts, {sum(bool(c.harms_named) for c in some)} callers")
        _print_harms(harms if name == "all" else ())


def _print_group(name: str, some: Sequence[Call], *, detail: bool = True) -> None:
    fits, hurt = sum(c.called_fits for c in some), sum(bool(c.harms) for c in some)
    harms = [harmed for c in some for harmed in c.harms]
    print(f"  {name}: {len(some)} callers, {fits} choices called fits, {len(harms)} harmful", end="")
    print(f" = {1e4 * len(harms) / max(1, fits):.1f} per 10,000; {hurt} callers = {hurt / max(1, len(some)):.2%}")
    _print_harms(harms if detail else ())


def _print_harms(harms: Iterable[Harmed]) -> None:
    by_kind: dict[tuple[str, str], Counter[str]] = {}
    for harmed in harms:
        by_kind.setdefault((harmed.what, harmed.part), Counter())[harmed.machine] += 1
    for (what, part), on in sorted(by_kind.items(), key=lambda each: -each[1].total()):
        most = "; ".join(f"{count} on {machine}" for machine, count in on.most_common(3))
        print(f"    {on.total()} {what}, {part}: {most}")


def print_named(calls: Sequence[Call]) -> None:
    """How soon a part is named where the stock holds one that suits the true bike, and nothing is in danger."""
    print("\nA part that suits named for sale (sell now)")
    needs = (
        (Needs.NOTHING, "with no condition"),
        (Needs.FITTING_WORK, "with fitting work at most"),
        (Needs.A_CONDITION, "with a condition at most"),
    )
    for need, words in needs:
        able = [c for c in calls if c.need is not None and c.need <= need and not c.in_danger]
        answering = [c for c in able if not c.stopped_answering]
        true = [c for c in answering if c.told_true]
        shares = []
        for looks in range(LOOKS + 1):
            named = [c for c in able if c.named_after is not None and c.named_after <= looks]
            shares.append(f"{len(named) / max(1, len(able)):.1%}")
        print(f"  of {len(able)} whose shop has one that suits {words}: at once {shares[0]},", end="")
        print(f" within one look {shares[1]}, within two {shares[2]}{_effort(able)}")
        for some, who in ((answering, "went on answering"), (true, "went on answering and told the truth")):
            named_of = sum(c.named_after is not None for c in some) / max(1, len(some))
            print(f"    of {len(some)} of them who {who}: within two {named_of:.1%}")
        if need is Needs.A_CONDITION:
            print(f"    or called fits if: {sum(c.on_condition for c in able) / max(1, len(able)):.1%}")
    stopped = [c for c in calls if c.stopped_answering]
    print(f"  callers who stopped answering: {len(stopped) / max(1, len(calls)):.1%}")
    print(f"  asked of all callers: {statistics.fmean(c.questions for c in calls):.2f} single questions,", end="")
    print(f" {statistics.fmean(c.minutes for c in calls):.1f} minutes, on average")


def _effort(able: Sequence[Call]) -> str:
    named = [c for c in able if c.named_after is not None]
    if not named:
        return ""
    questions, minutes = statistics.fmean(c.questions for c in named), statistics.fmean(c.minutes for c in named)
    return f" (those named took {questions:.1f} single questions and {minutes:.1f} minutes)"


def calibration(stated: Sequence[float], right: Sequence[bool]) -> list[tuple[float, float]]:
    """Odds stated and odds met in bins of equal count, least sure first."""
    order = sorted(range(len(stated)), key=lambda at: stated[at])
    edges = [round(len(order) * part / BINS) for part in range(BINS + 1)]
    bins = [order[low:high] for low, high in pairwise(edges) if high > low]
    return [(statistics.fmean(stated[at] for at in some), statistics.fmean(right[at] for at in some)) for some in bins]


def print_calibration(calls: Sequence[Call]) -> None:
    """Odds of the likeliest answer to each question, stated and met."""
    print(f"\nOdds of the likeliest, stated against met, {BINS} bins of equal count")
    for column, question in enumerate(QUESTIONS):
        known = [(c.stated[column], bool(c.right[column])) for c in calls if c.right[column] is not None]
        bins = calibration([stated for stated, _ in known], [right for _, right in known])
        gaps = [stated - met for stated, met in bins]
        worst = max(gaps, key=abs)
        mean = statistics.fmean(abs(gap) for gap in gaps)
        print(f"  {question}: mean gap {mean:.3f}, worst bin {worst:+.3f} (stated less met)")
        print("    " + "  ".join(f"{stated:.2f}/{met:.2f}" for stated, met in bins))


def print_rest(calls: Sequence[Call]) -> None:
    """Verdicts, advice and time."""
    verdicts: Counter[Verdict] = Counter()
    for call in calls:
        verdicts.update(dict(call.verdicts))
    total = sum(verdicts.values())
    print(
        "\nVerdicts: " + ", ".join(f"{verdict.value} {count / total:.1%}" for verdict, count in verdicts.most_common())
    )
    advice = Counter(c.advice for c in calls)
    print("Advice at the end: " + ", ".join(f"{one.value} {n / len(calls):.1%}" for one, n in advice.most_common()))
    print(f"Longest message to send: {max(c.longest_message for c in calls)} characters")
    _print_times("Advice and next check", [1e3 * seconds for c in calls for seconds in c.seconds])
    _print_times("Whole answer with every reason", [1e3 * seconds for c in calls for seconds in c.whole_seconds])


def _print_times(what: str, times_ms: Sequence[float]) -> None:
    times = sorted(times_ms)
    if times:
        print(f"{what}: median {statistics.median(times):.2f} ms,", end="")
        print(f" 99th percentile {times[int(0.99 * (len(times) - 1))]:.2f} ms, of {len(times)}")


def main(callers: int, seed: int) -> None:
    """Run the callers and print what became of them."""
    begun = time.perf_counter()
    calls = all_calls(callers, seed)
    took = time.perf_counter() - begun
    print(f"{callers} callers from seed {seed} in {took:.0f} s on {os.cpu_count()} cores,", end="")
    print(f" {1e3 * took / callers:.1f} ms each")
    planned = [call for call in calls if call.planned]
    print(f"{len(planned)} of them were asked what the program asks next, the others what comes to mind")
    print_harm(calls)
    print_named(planned)
    print_calibration(planned)
    print_rest(planned)


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:3]]
    main(*(given + [2000, 1][len(given) :]))
