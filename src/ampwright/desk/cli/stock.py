"""Commands of ``ampwright stock``: what the shop keeps in its own data, in and out."""

from collections.abc import Iterator
from contextlib import contextmanager
from itertools import groupby
from pathlib import PurePath
from typing import Annotated, Any

import typer
from rich.console import Console
from rich.markup import escape
from rich.padding import Padding
from rich.table import Table

from ampwright.desk.cases.plain import as_json

app = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="The shop's own stock: look at a file before it comes in, take it in, write it out.",
)

Json = Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")]
_MARKS = {"new": "+", "changed": "~", "unchanged": "=", "faulty": "x"}
_MOST_ROWS = 40


@contextmanager
def _shop() -> Iterator[Any]:
    from ampwright.desk.cases.shop import open_shop  # the database is not needed by the other commands

    shop = open_shop()
    try:
        yield shop
    finally:
        shop.close()


@app.command("import")
def take_in(
    file: Annotated[str, typer.Argument(metavar="FILE", help="CSV, XLSX, ODS, XLS, TOML or JSON; docs/stock.md.")],
    apply: Annotated[bool, typer.Option("--apply", help="Keep the sound rows; without it nothing is kept.")] = False,
    remove_missing: Annotated[
        bool, typer.Option("--remove-missing", help="With --apply: take away kept parts that are not in the file.")
    ] = False,
    json: Json = False,
) -> None:
    """What a file of parts would do to the kept stock, row by row; with --apply it is done."""
    from ampwright.desk.cases import kept_stock

    if remove_missing and not apply:
        raise typer.BadParameter("goes with --apply: without it nothing is kept or taken away.")
    data, name = kept_stock.read_upload(file), PurePath(file).name
    with _shop() as shop:
        preview = kept_stock.preview_import(shop, data, name)
        if apply:
            kept_stock.apply_import(shop, data, name, preview.token, remove_missing=remove_missing)
    if json:
        typer.echo(as_json(preview))
    else:
        _show_preview(preview, kept=apply, removed=remove_missing)
    if any(row.outcome.value == "faulty" for row in preview.rows):
        raise typer.Exit(1)


@app.command("export")
def write_out(
    file: Annotated[str, typer.Argument(metavar="FILE", help="Where to write it: .csv or .xlsx.")],
) -> None:
    """Write the kept stock as a sheet that comes in again as it is; the demo's where none is kept."""
    from ampwright.desk.cases import kept_stock

    with _shop() as shop:
        kept_stock.write_stock_file(shop, file)
        own = kept_stock.keeps_own_stock(shop)
    typer.echo(f"{'Stock' if own else 'The invented stock of the demo'} written to {file}.")


@app.command("show")
def show_stock(json: Json = False) -> None:
    """Every part that is kept, with price and stock; the demo's where none is kept."""
    from ampwright.desk.cases import kept_stock

    with _shop() as shop:
        rows, own = kept_stock.stock_table(shop), kept_stock.keeps_own_stock(shop)
    if json:
        typer.echo(as_json(rows))
        return
    console = Console(highlight=False)
    if not own:
        console.print("No stock is kept: this is the invented one of the demo. Your own: ampwright stock import FILE")
    for kind, parts in groupby(sorted(rows, key=lambda row: row.kind), lambda row: row.kind):
        console.print(f"\n[bold]{escape(kind.replace('_', ' '))}[/]")
        table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
        table.add_column(no_wrap=True)
        table.add_column(ratio=1)
        table.add_column(justify="right", no_wrap=True)
        table.add_column(justify="right", no_wrap=True)
        for part in parts:
            table.add_row(f"  {escape(part.code)}", escape(part.name), f"{part.price} {part.currency}", _count(part))
        console.print(table)


def _count(part: Any) -> str:
    return f"{part.in_stock} in stock" if part.in_stock else "none in stock"


def _show_preview(preview: Any, *, kept: bool, removed: bool) -> None:
    console = Console(highlight=False)
    counts = ", ".join(f"{count} {outcome.value}" for outcome, count in preview.counts.items())
    console.print(f"[bold]{escape(preview.filename)}[/]: {counts}")
    if preview.prices_only:
        _line(console, "A list without kinds: it changes kept parts in the columns it has, and adds none.", 2)
    for column in preview.unknown_columns:
        nearest = f"; the nearest known is {column.nearest}" if column.nearest else ""
        _line(console, f"Passed over: no part has the column {escape(column.heading)}{nearest}.", 2)
    told = [row for row in preview.rows if row.outcome.value != "unchanged"]
    for row in sorted(told, key=lambda row: row.outcome.value != "faulty")[:_MOST_ROWS]:
        _show_row(console, row)
    if len(told) > _MOST_ROWS:
        _line(console, f"... and {len(told) - _MOST_ROWS} more rows; --json gives all.", 2)
    if preview.missing_codes:
        shown = ", ".join(preview.missing_codes[:10]) + (" ..." if len(preview.missing_codes) > 10 else "")
        done = "taken away" if removed else "left as they are"
        _line(console, f"Kept and not in the file: {len(preview.missing_codes)} ({escape(shown)}); {done}.", 2)
    if kept:
        console.print("The sound rows are kept.")
    else:
        console.print("Nothing is kept yet. To keep the sound rows: the same command with --apply")


def _show_row(console: Console, row: Any) -> None:
    outcome = row.outcome.value
    words = "  ".join(escape(word) for word in (row.code, row.name) if word)
    _line(console, f"{_MARKS[outcome]} row {row.line}  {words}  ({outcome})", 2)
    for change in row.changes:
        before, after = change.before or "not known", change.after or "not known"
        _line(console, f"{change.column}: {escape(before)} -> {escape(after)}", 6)
    for fault in row.faults:
        _line(console, f"{fault.field}: {escape(fault.sentence)}", 6)


def _line(console: Console, text: str, indent: int) -> None:
    console.print(Padding(text, (0, 0, 0, indent)))
