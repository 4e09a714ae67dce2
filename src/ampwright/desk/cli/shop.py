"""Commands of what a shop keeps: its jobs in a list, and all of it copied, put back or taken out."""

from typing import TYPE_CHECKING, Annotated

import typer
from rich.console import Console
from rich.markup import escape
from rich.padding import Padding

if TYPE_CHECKING:
    from ampwright.desk.cases.kept_jobs import JobLine

# More than any shop keeps.
_ALL = 10_000_000

# Databases are not needed by the other commands, so each command imports its use cases itself.

Json = Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")]


def jobs(
    text: Annotated[
        list[str] | None, typer.Argument(metavar="[TEXT]", help="Number, name, phone, title or marks; all must match.")
    ] = None,
    waiting: Annotated[bool, typer.Option("--waiting", help="Those that wait, the longest overdue first.")] = False,
    archived: Annotated[bool, typer.Option("--archived", help="Look through the archive too.")] = False,
    json: Json = False,
) -> None:
    """The jobs that are kept: found by a text, those that wait, or the last ones."""
    from ampwright.desk.cases import kept_jobs
    from ampwright.desk.cases.plain import as_json
    from ampwright.desk.cases.shop import open_shop

    words = " ".join(text or ())
    shop = open_shop()
    if waiting:
        found = kept_jobs.waiting_jobs(shop)
        # What was searched for narrows what waits.
        found = _both(found, kept_jobs.find_jobs(shop, words, limit=_ALL)) if words else found
    elif words or archived:
        found = kept_jobs.find_jobs(shop, words, archived)
    else:
        found = kept_jobs.recent_jobs(shop)
    if json:
        typer.echo(as_json(found))
    else:
        _show(found, words, waiting)


def backup(file: Annotated[str, typer.Argument(metavar="FILE", help="A new file.")], json: Json = False) -> None:
    """Copy all that is kept into one new file; it may be in use meanwhile."""
    from ampwright.desk.cases import kept_jobs
    from ampwright.desk.cases.shop import open_shop

    kept_jobs.backup(open_shop(), file)
    _say(f"Backup written to {file}. It holds callers' names: keep it as you keep the shop's book.", json, {"to": file})


def restore(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A backup.")],
    json: Json = False,
) -> None:
    """Put a backup in the place of what is kept; what was there is kept beside it."""
    from ampwright.desk.cases import kept_jobs

    aside = kept_jobs.replace_by_backup(file)
    before = f"What was there before is kept in {aside}." if aside else "There was nothing before."
    _say(f"Restored from {file}. {before}", json, {"from": file, "before": aside})


def export(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A new .zip file.")],
    json: Json = False,
) -> None:
    """Write all that is kept as plain files in a ZIP, for other programs."""
    from ampwright.desk.cases import kept_jobs
    from ampwright.desk.cases.shop import open_shop

    kept_jobs.write_export(open_shop(), file)
    _say(f"Everything written to {file}. It holds callers' names.", json, {"to": file})


def register(app: typer.Typer) -> None:
    """Add these commands."""
    for command in (jobs, backup, restore, export):
        app.command()(command)


def _both(some: "tuple[JobLine, ...]", others: "tuple[JobLine, ...]") -> "tuple[JobLine, ...]":
    numbers = {line.number for line in others}
    return tuple(line for line in some if line.number in numbers)


def _say(sentence: str, json: bool, answer: dict[str, str]) -> None:
    from ampwright.desk.cases.plain import as_json

    typer.echo(as_json(answer) if json else sentence)


def _show(found: "tuple[JobLine, ...]", words: str, waiting: bool) -> None:
    console = Console(highlight=False)
    if not found:
        looked_for = f" in which {words!r} stands" if words else ""
        console.print(escape(f"There is no {'waiting ' if waiting else ''}job{looked_for}."))
        return
    from ampwright.desk.cases.shop import today

    for line in found:
        title = line.title or line.why or "no title"
        console.print(f"[bold]{escape(line.number):>6}[/]  {escape(title)}  [dim]{line.state.value}[/]")
        caller = ", ".join(filter(None, (line.caller.name, line.caller.phone)))
        due = line.waiting_until
        until = f"until {due:%Y-%m-%d}{', overdue' if due < today() else ''}" if due else ""
        for text in (caller, " ".join(filter(None, (line.waiting_for, until)))):
            if text:
                console.print(Padding(escape(text), (0, 0, 0, 8), expand=False))
