"""A solved circuit on a terminal, and what is shown while people wait for it."""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from threading import Timer
from typing import Any

from rich.console import Console
from rich.markup import escape
from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn
from rich.table import Table

from ampwright.desk.cli.show import cautions

_HEAT = {
    "winding": "winding",
    "rectifier": "rectifier diodes",
    "thyristor": "thyristors",
    "mosfet": "MOSFETs",
    "zener": "Zener",
    "battery": "battery resistance",
    "capacitor": "capacitor",
    "lead": "leads and joints",
    "leak": "leaks and shorts",
    "iron": "iron",
    "field": "field, its contact and resistor",
    "interrupted": "where a current was cut off",
}
# One circuit is solved before anyone could read a bar.
_WORTH_A_BAR = 20
_A_MOMENT_S = 2.0
_WAITING = "Working. The first circuit of a kind takes up to half a minute, once"
_LEAST_SHOWN_W, _LEAST_STORED_W = 5e-4, 5e-3
# Nobody reads less than this, nor a zero with a minus before it.
_LEAST_OFF_A, _NOTHING = 1e-5, 5e-4


@contextmanager
def working(total: int = 1) -> Iterator[None]:
    """Say on the error stream, where it takes more than a moment, why people wait; many circuits have their own bar."""
    if total >= _WORTH_A_BAR:
        yield
        return
    console = Console(stderr=True)
    progress = Progress(
        SpinnerColumn(), TextColumn("{task.description}"), TimeElapsedColumn(), console=console, transient=True
    )
    progress.add_task(_WAITING, total=None)
    live = console.is_terminal
    later = Timer(_A_MOMENT_S, progress.start if live else lambda: console.print(_WAITING))
    later.start()
    try:
        yield
    finally:
        later.cancel()
        # A display that has just begun is not left behind.
        later.join()
        if live:
            progress.stop()


def counted(answers: Iterable[Any], total: int) -> Iterator[Any]:
    """Pass answers on, with a bar on the error stream where there are many."""
    if total < _WORTH_A_BAR:
        yield from answers
        return
    with Progress(console=Console(stderr=True), transient=True) as progress:
        yield from progress.track(answers, total=total, description="circuits")


def circuits(solved: Sequence[Any]) -> None:
    """Print every answer, and in its place the sentence of a circuit that has none."""
    console = Console(highlight=False)
    for number, one in enumerate(solved, start=1):
        name = number if one.id is None else one.id
        if one.error is not None:
            console.print(f"[red]No answer:[/] {escape(one.error)}")
        else:
            console.print(f"[bold]Circuit {escape(str(name))}[/]: {_in_words(one.answer)}")
            console.print(_table(one.answer))
    texts = dict.fromkeys(text for one in solved for text in one.cautions)
    if texts:
        cautions(console, texts)


def _in_words(answer: Any) -> str:
    settled = "" if answer.settled else ", not settled"
    return f"{answer.state.value}{settled}, by {answer.method}"


def _plain(value: float) -> float:
    return 0.0 if abs(value) < _NOTHING else value


def _table(answer: Any) -> Table:
    table = Table(box=None, show_header=False, padding=(0, 2))
    table.add_column(justify="left")
    table.add_column(justify="right")
    table.add_column()
    amps = answer.battery_current_A
    if amps != 0.0:
        table.add_row("into the battery", f"{amps:.3f} A", "")
    if answer.band_A is not None:
        table.add_row("  its neighbours", f"{answer.band_A[0]:.3f} to {answer.band_A[1]:.3f} A", "")
    off = f"± {max(answer.error_estimate_A, _LEAST_OFF_A):.1g} A"
    table.add_row("rectified", f"{_plain(answer.rectified_current_A):.3f} A", off)
    table.add_row("loads and ignition", f"{answer.load_current_A:.3f} A", f"{answer.load_power_W:.2f} W")
    bus = f"{_plain(answer.bus_min_V):.3f} to {answer.bus_max_V:.3f} V"
    table.add_row("bus", f"{answer.bus_mean_V:.3f} V", bus)
    table.add_row("stator", f"{answer.stator_current_rms_A:.3f} A rms", f"{answer.line_voltage_rms_V:.2f} V rms")
    for name, words in _HEAT.items():
        watts = getattr(answer.heat_W, name) or 0.0
        if abs(watts) > _LEAST_SHOWN_W:
            table.add_row(f"heat, {words}", f"{watts:.3f} W", "")
    if answer.battery_stored_W != 0.0:
        table.add_row("stored in the battery", f"{answer.battery_stored_W:.2f} W", "")
    if abs(answer.stored_change_W) > _LEAST_STORED_W:
        table.add_row("taken up by the rest", f"{answer.stored_change_W:.2f} W", "")
    table.add_row("from the shaft", f"{_plain(answer.shaft_power_W):.2f} W", "")
    for number, (spark_A, spark_V) in enumerate(
        zip(answer.spark_current_A or (), answer.bus_at_spark_V or (), strict=True), start=1
    ):
        table.add_row(f"spark {number}", f"{spark_A:.3f} A", f"bus {spark_V:.2f} V")
    return table


def kick(found: Any) -> None:
    """Print a kick, spark by spark."""
    console, result = Console(highlight=False), found.kick
    verdict = "a spark fires" if result.starts else "no spark fires"
    console.print(f"[bold]{escape(found.name)}[/]: {verdict}")
    table = Table(box=None, show_header=False, padding=(0, 2))
    for number, spark in enumerate(result.sparks, start=1):
        fires = "fires" if spark.fires else "too weak"
        row = f"after {spark.time_s:.3f} s", f"{spark.current_A:.2f} A", f"bus {spark.bus_V:.2f} V", fires
        table.add_row(f"spark {number}, coil {spark.coil}", *row)
    console.print(table)
    if result.needed_A is not None:
        console.print(f"needed: {result.needed_A:.2f} A in the coil")
    if result.needed_V is not None:
        console.print(f"needed: {result.needed_V:.2f} V of bus")
    if found.capacitor_F is not None:
        found_F = result.smallest_F
        smallest = "none up to 100,000 uF" if found_F is None else f"{found_F * 1e6:,.0f} uF"
        smallest += " or less" if found_F is not None and found_F <= 1.001e-4 else ""
        console.print(f"smallest capacitor that starts it: {smallest}; this one has {found.capacitor_F * 1e6:,.0f} uF")
    if found.assumed:
        console.print(f"Assumed: {'; '.join(found.assumed)}.")
    cautions(console, found.cautions)
