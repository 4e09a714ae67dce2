"""The command ``trace``: what is wrong with it by all that was read, seen and told; the next test, and the cure."""

from typing import Annotated, Any

import typer
from rich.console import Console
from rich.markup import escape
from rich.panel import Panel

from ampwright.desk.cases import jobs
from ampwright.desk.cases.plain import as_json
from ampwright.desk.cli import show
from ampwright.desk.cli.terminal import answer_console, heading, job_title, say, stops_first

_STYLE = {"stop": "red", "nothing wrong": "green", "can't say yet": "yellow", "charge the battery first": "yellow"}


def trace(
    file: Annotated[
        str | None, typer.Argument(metavar="[FILE]", help="Job file, TOML or JSON; - for standard input.")
    ] = None,
    find: Annotated[
        list[str] | None,
        typer.Option(
            "--find",
            "-f",
            help='Add a reading, a look or a symptom: "live_drop=0.35 fast lights on@measured",'
            ' "look=fuse blown or its holder burnt: no@looking", "symptom=goes flat standing@memory".',
        ),
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")] = False,
) -> None:
    """Why it doesn't charge, or boils: belief in every fault, the next test, and the cure. Names: docs/trace.md."""
    from ampwright.desk.cases.trace import trace_job  # the other commands can do without

    found = trace_job(jobs.open_job(file, find or ()))
    if json:
        typer.echo(as_json(found))
    else:
        print_trace(found)


def print_trace(found: Any) -> None:
    """Print the answer, what it could be, the next test and the cure."""
    console = answer_console()
    job_title(console, found.number, found.title)
    stops = stops_first(console, found.stop_first)
    sure = f" ({found.certainty}, {found.chance})" if found.certainty else ""
    style = _STYLE.get(found.answer, "bold")
    console.print(Panel(f"[{style}]{escape(found.answer.upper())}[/]{sure}  {escape(found.why)}"))
    if not stops:
        _could_be(console, found)
        _next(console, found)
        _cure(console, found)
        for line in found.left_out:
            say(console, escape(line))
        say(console, f"Would change this answer: {escape('; '.join(found.would_change))}.")
        say(console, f"Assumed: {escape('; '.join(found.assumed))}.")
    show.cautions(console, found.cautions)


def _could_be(console: Console, found: Any) -> None:
    heading(console, "Why it doesn't")
    for one in found.could_be:
        say(console, f"[bold]{escape(one.fault)}[/]: {one.certainty}, {one.chance}. {escape(one.means)}")
        if one.fits:
            say(console, f"goes with: {escape('; '.join(one.fits))}", 4)
        if one.against:
            say(console, f"goes against: {escape('; '.join(one.against))}", 4)
    if found.apart:
        say(console, escape(found.apart))


def _next(console: Console, found: Any) -> None:
    heading(console, "Test this next")
    if found.next_test is None and not found.beside:
        say(console, "No further test pays.")
        return
    if found.next_test is not None:
        _test(console, found.next_test)
    for one in found.beside:
        say(console, "Worth making as well, at the same place:" if found.next_test else "Counts on a low battery too:")
        _test(console, one)


def _test(console: Console, one: Any) -> None:
    say(console, f"[bold]{escape(one.say)}[/]")
    say(console, f"About {one.minutes:.0f} min; {one.tool}; opens: {one.opens}; who: {one.who}; risk: {one.risk}.", 4)
    say(console, f"Safely: {escape(one.safely)}", 4)
    for typed in one.typed_like:
        say(console, f'Answer with --find "{escape(typed.replace("{value}", "FIGURE"))}"', 4)
    for look in one.looks:
        say(console, f'Answer with --find "look={escape(look)}: yes@looking", or no', 4)


def _cure(console: Console, found: Any) -> None:
    if found.cure is None:
        return
    heading(console, "What cures it")
    cure = found.cure
    say(console, f"[bold]{escape(cure.name)}[/]: {escape(cure.do)}")
    say(
        console,
        f"About {cure.minutes:.0f} min and, parts with it, about {cure.cost:.0f} (assumed); opens: {cure.opens}.",
        4,
    )
    say(console, f"Make sure first: {escape(cure.confirm)}", 4)
    if cure.also:
        say(console, f"Then: {escape(', '.join(cure.also))}", 4)
    say(console, f"Care: {escape(cure.caution)}", 4)
    if cure.danger != "none":
        say(console, f"Danger: {escape(cure.danger)}", 4)
