"""The command ``prove``: the test sheet, what each reading of a sound bike would be."""

from typing import Annotated, Any

import typer
from rich.console import Console
from rich.markup import escape

from ampwright.desk.cases import jobs
from ampwright.desk.cases.plain import as_json
from ampwright.desk.cli import show
from ampwright.desk.cli.terminal import answer_console, heading, job_title, say, say_assumed, stops_first

_STYLE = {"as it should be": "green", "low": "yellow", "high": "yellow", "can't be right": "red"}


def prove(
    file: Annotated[
        str | None, typer.Argument(metavar="[FILE]", help="Job file, TOML or JSON; - for standard input.")
    ] = None,
    find: Annotated[
        list[str] | None,
        typer.Option("--find", "-f", help='Add a reading, such as "battery_volts=12.7 at rest@measured".'),
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")] = False,
) -> None:
    """What it should read: the test sheet with a band for every reading, and what was read judged by it."""
    from ampwright.desk.cases.prove import prove_job  # the other commands can do without

    found = prove_job(jobs.open_job(file, find or ()))
    if json:
        typer.echo(as_json(found))
    else:
        print_sheet(found)


def print_sheet(found: Any) -> None:
    """Print each test with its readings in the order of least dismantling."""
    console = answer_console()
    job_title(console, found.number, found.title)
    if not stops_first(console, found.stop_first):
        if found.nothing:
            say(console, escape(found.nothing))
        else:
            _sheet(console, found)
    show.cautions(console, found.cautions)


def _sheet(console: Console, found: Any) -> None:
    heading(console, "Before anything is read")
    for one in found.before:
        say(console, f"{one.what}: {one.state} ({escape(one.why)})")
    for line in found.speed:
        say(console, escape(line))
    for test in found.tests:
        heading(console, f"{test.name[:1].upper()}{test.name[1:]}")
        say(console, escape(test.say))
        say(console, f"Safely: {escape(test.safely)}")
        if test.note:
            say(console, escape(test.note))
        say(console, f"About {test.minutes:g} min; {escape(test.tool)}; opens: {test.opens}; who: {test.who}.")
        for row in test.rows:
            _row(console, row)
    say_assumed(console, found.assumed)


def _row(console: Console, row: Any) -> None:
    style = _STYLE.get(row.state, "default")
    read = f"[bold]{escape(row.read)}[/]; [{style}]{row.state}[/]; " if row.read else ""
    say(console, f"- [bold]{escape(row.name)}[/]: {read}a sound one {escape(row.band)}")
    if row.state in ("doesn't count", "can't be right"):
        say(console, escape(row.why), 4)
    for other in row.others:
        say(console, escape(other), 4)
