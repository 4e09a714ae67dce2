"""How kits, plans, looms and bills read in a terminal."""

from collections.abc import Iterable
from typing import Any

from rich.console import Console
from rich.markup import escape
from rich.panel import Panel
from rich.table import Table

from ampwright.desk.cases.kit_words import achieves_words
from ampwright.desk.cli import show
from ampwright.desk.cli.terminal import answer_console, heading, job_title, say, say_assumed, stops_first

_WIDEST = 120
# Share of a lamp's light from which its loss is worth a line.
_WORTH_SAYING = 0.03
# Marks beside the words, for those who see no colour.
_SEVERITY = {"red": "[red]✗ put right[/]", "amber": "[yellow]! look at it[/]"}


def kits(found: Any) -> None:
    """Print the kits side by side in words, or why there is none."""
    console = answer_console(_WIDEST)
    if not _head(console, found, found.why):
        return
    for number, kit in enumerate(found.kits, start=1):
        name = "the cheapest" if number == 1 else f"option {number}"
        heading(console, f"{number}. {name.capitalize()}: {kit.currency} {kit.price:.2f}")
        for line in kit.lines:
            count = f"{line.count} x " if line.count > 1 else ""
            stock = f"{line.in_stock} in stock" if line.in_stock else "to be ordered"
            say(console, f"{count}{line.code}  {escape(line.name)}  {line.price:.2f}  ({stock})")
        for said in achieves_words(kit.achieves):
            say(console, f"- {escape(said)}", 4)
        for said in kit.see_that:
            say(console, escape(said), 4)
    if found.wishes:
        heading(console, "What each wish costs" if found.kits else "These cannot be had together")
        for row in found.wishes:
            say(console, f"{escape(row.sentence)} {escape(row.words)}.")
    if found.ask is not None:
        heading(console, "Ask this next")
        say(console, escape(found.ask.message))
    _foot(console, found.assumed, found.notes)
    show.cautions(console, found.cautions or (found.battery_line,))


def plan(found: Any) -> None:
    """Print the steps of a change."""
    console = answer_console(_WIDEST)
    if not _head(console, found, f"Changing it over: {found.change}." if found.change else "Nothing changes."):
        return
    _not_yet(console, found.not_before)
    for said in found.penalty:
        say(console, escape(said))
    for step in found.steps:
        console.print()
        opens = f"  [dim](open: {step.opens})[/]" if step.opens != "nothing" else ""
        say(console, f"[bold]{step.number}. {escape(step.say)}[/]{opens}", 0)
        for said in step.lines:
            say(console, f"- {escape(said)}", 4)
        if step.why:
            say(console, f"Why: {escape(step.why)}", 4)
        for said in step.cautions:
            say(console, f"[red]Caution:[/] {escape(said)}", 4)
        if step.check:
            say(console, f"Check: {escape(step.check)}", 4)
    possible = [choice.name for choice in found.changes if not choice.why_not]
    console.print()
    say(console, f"Other changes (--change): {', '.join(possible)}.")
    _foot(console, found.assumed, found.notes)
    show.cautions(console, found.cautions or (found.battery_line,))


def wiring(found: Any, *, before: bool) -> None:
    """Print the from-to list of a loom with its fuses, and what the rules find."""
    console = answer_console(_WIDEST)
    if not _head(console, found, f"Wiring: {found.change}." if found.change else "Wiring as it is; nothing changes."):
        return
    _not_yet(console, found.not_before)
    sheet = found.before if before or found.after is None else found.after
    heading(console, f"{sheet.title}: {sheet.system_voltage_V} V, {sheet.earth}")
    console.print(_wire_table(sheet.wires))
    for fuse in sheet.fuses:
        rated = f"{fuse.rated_A:g} A" if fuse.rated_A else "rating not known"
        wrong = f" {escape(fuse.wrong)}" if fuse.wrong else ""
        say(console, f"{fuse.name}: {rated}; {fuse.lasting_A:.1f} A lasts through it.{wrong}")
    for row in sheet.wires:
        if row.light_lost is not None and row.light_lost >= _WORTH_SAYING:
            say(console, f"{escape(row.end)}: {100.0 * row.light_lost:.0f} % of its light is lost on the way there.")
    for row in sheet.wires:
        if row.wrong:
            say(console, f"Wire {row.number}: {escape(row.wrong)}")
    if sheet.faults:
        heading(console, "What the rules find")
        for fault in sheet.faults:
            say(console, f"{_SEVERITY[fault.severity]}  {escape(fault.sentence)}")
    if found.cut and not before:
        heading(console, "To cut")
        for row in found.cut:
            lengths = " + ".join(f"{length:.2f}" for length in row.lengths_m)
            say(console, f"{row.conductor} {row.colour} ({row.colour_words}): {lengths} = {row.total_m:.1f} m")
    if found.bill and not before:
        heading(console, "To buy for the loom")
        for item in found.bill:
            say(console, f"{item.quantity} {item.unit}  {escape(item.words)}")
    _foot(console, found.assumed, found.notes)
    show.cautions(console, found.cautions or (found.battery_line,))


def terminals(rows: Iterable[tuple[str, str]]) -> None:
    """Print every terminal as a job writes it."""
    console = answer_console(_WIDEST)
    for name, words in rows:
        say(console, f"{name}  [dim]{escape(words)}[/]")


def bill(found: Any) -> None:
    """Print up to three options side by side."""
    console = answer_console(_WIDEST)
    if not _head(console, found, "The bill." if found.options else "There is nothing to price."):
        return
    _not_yet(console, found.not_before)
    if found.options is not None:
        _options(console, found)
    _foot(console, (), found.notes)
    show.cautions(console, found.cautions or (found.battery_line,))


def _options(console: Console, found: Any) -> None:
    options = found.options
    table = Table(box=None, padding=(0, 1), show_header=True, header_style="bold")
    table.add_column(f"all in {options.currency}")
    for quote in options.quotes:
        table.add_column(quote.title, justify="right")
    for group in found.groups:
        table.add_row(f"[bold]{group.heading}[/]")
        for row in group.rows:
            table.add_row(f"  {escape(row.words)}", *(_cell(cell) for cell in row.cells))
    table.add_row("[bold]Total[/]", *(f"[bold]{quote.total.gross:.2f}[/]" for quote in options.quotes))
    console.print(table)
    for quote in options.quotes:
        for said in quote.achieves[:1]:
            say(console, f"{quote.title}: {escape(said)}")
        if quote.total_words:
            say(console, f"{quote.title}: the total is {escape(quote.total_words)}.")
    for said in (options.tax, options.validity, *options.notes):
        if said:
            say(console, escape(said))
    if options.assumed:
        say(console, f"Assumed: {escape('; '.join(options.assumed))}.")
    heading(console, "Based on what we were told")
    for said in options.based_on:
        say(console, escape(said))


def _cell(cell: Any) -> str:
    if cell is None:
        return ""
    return f"{escape(cell.quantity)}: {cell.amount}" if cell.amount else f"{escape(cell.quantity)}: to be priced"


def _wire_table(rows: Iterable[Any]) -> Table:
    table = Table(box=None, padding=(0, 1), header_style="bold")
    for name in ("", "from", "to", "colour", "size", "m", "A", "drop V", ""):
        table.add_column(name, justify="right" if name in ("", "m", "A", "drop V") else "left")
    for row in rows:
        state = "" if row.state == "stays" else row.state
        amps = "" if row.amps is None else f"{row.amps:.1f}"
        drop = "" if row.drop_V is None else f"{row.drop_V:.2f}"
        table.add_row(
            str(row.number),
            escape(row.start),
            escape(row.end),
            f"{row.colour} {row.colour_words}",
            row.conductor,
            f"{row.length_m:.2f}",
            amps,
            drop,
            state,
        )
    return table


def _head(console: Console, found: Any, in_short: str) -> bool:
    job_title(console, found.number, found.title)
    if stops_first(console, found.stop_first):
        return False
    console.print(Panel(escape(in_short)))
    return True


def _not_yet(console: Console, not_before: str) -> None:
    if not_before:
        console.print(Panel(f"[bold]NOT YET[/]  {escape(not_before)}", border_style="yellow"))


def _foot(console: Console, assumed: Any, notes: Any) -> None:
    console.print()
    for note in notes:
        say(console, escape(note))
    say_assumed(console, assumed)
