"""The command ``triage``: five readings at the battery, and what they come to."""

from typing import Annotated, Any

import typer
from rich.console import Console
from rich.markup import escape
from rich.panel import Panel

from ampwright.desk.cases import jobs
from ampwright.desk.cases.plain import as_json
from ampwright.desk.cli import show
from ampwright.desk.cli.terminal import answer_console, heading, job_title, say, stops_first

_STYLE = {"stop": "red", "nothing wrong": "green"}


def triage(
    file: Annotated[
        str | None, typer.Argument(metavar="[FILE]", help="Job file, TOML or JSON; - for standard input.")
    ] = None,
    find: Annotated[
        list[str] | None,
        typer.Option("--find", "-f", help='Add a reading, such as "battery_volts=12.7 at rest@measured".'),
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")] = False,
) -> None:
    """Why it doesn't charge: five readings at the battery tell battery, box or wiring, generator, or nothing wrong."""
    from ampwright.desk.cases.triage import triage_job  # the other commands can do without

    found = triage_job(jobs.open_job(file, find or ()))
    if json:
        typer.echo(as_json(found))
    else:
        print_triage(found)


def print_triage(found: Any) -> None:
    """Print the five readings with their bands, the answer and what is done next."""
    console = answer_console()
    job_title(console, found.number, found.title)
    stops = stops_first(console, found.stop_first)
    style = _STYLE.get(found.verdict, "yellow")
    sure = f" ({found.certainty}, {found.chance})" if found.certainty else ""
    console.print(Panel(f"[bold {style}]{escape(found.verdict.upper())}[/]{sure}  {escape(found.why)}"))
    if not stops:
        _readings(console, found)
        _next(console, found)
        _reasons(console, found)
    show.cautions(console, found.cautions)


def _readings(console: Console, found: Any) -> None:
    heading(console, "What it should read")
    for one in found.preconditions:
        say(console, f"{one.what}: {one.state} ({escape(one.why)})")
    for row in found.rows:
        read = "-" if row.read_V is None else f"{row.read_V:.1f} V"
        say(console, f"[bold]{row.name}[/]: {read}; {row.state}; a sound one {escape(row.band)}")
        if row.state in ("doesn't count", "can't be right"):
            say(console, escape(row.why), 4)
        for other in row.others:
            say(console, escape(other), 4)


def _next(console: Console, found: Any) -> None:
    heading(console, "Ask this next")
    step = found.next_step
    if step is None:
        say(console, "Nothing more to ask.")
        return
    say(console, f"[bold]{escape(step.say)}[/]")
    say(
        console,
        f"About {step.minutes:.0f} min; {step.tool}; opens: {step.opens}; who: {step.who}; risk: {step.risk}.",
        4,
    )
    say(console, f"Safely: {escape(step.safely)}", 4)
    if step.typed_like:
        say(console, f'Answer with --find "{escape(step.typed_like)}"', 4)


def _reasons(console: Console, found: Any) -> None:
    heading(console, "Why it doesn't")
    for one in found.answers:
        say(console, f"{one.answer}: {one.certainty}, {one.chance}")
    for line in (*found.fits, *found.does_not_fit):
        say(console, escape(line))
    say(console, f"Would change this answer: {escape('; '.join(found.would_change))}.")
    say(console, f"Assumed: {escape('; '.join(found.assumed))}.")
