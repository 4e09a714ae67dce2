"""Commands of the loom: kits, the change step by step, the wiring with its drawings and lists, and the bill."""

from typing import Annotated, Any

import typer

from ampwright.desk.cases import jobs
from ampwright.desk.cases.plain import as_json
from ampwright.desk.cli import show_loom

# Drawings and the solver are not needed by the other commands, so each command imports its use cases itself.

JobFile = Annotated[str | None, typer.Argument(metavar="[FILE]", help="Job file, TOML or JSON; - for standard input.")]
Find = Annotated[list[str] | None, typer.Option("--find", "-f", help="Add a finding, such as thick_wires=2@photo.")]
Stock = Annotated[
    str | None,
    typer.Option(
        "--stock", envvar="AMPWRIGHT_STOCK", help="Stock file, TOML or JSON; left out, the demo's invented stock."
    ),
]
Json = Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")]
Change = Annotated[
    str, typer.Option("--change", "-c", metavar="NAME", help="A change by its name; left out, what the kit brings.")
]
Option = Annotated[int, typer.Option("--option", "-o", min=1, max=3, help="Which kit: 1 is the cheapest.")]
Insulation = Annotated[str, typer.Option("--insulation", help="Of new wires: PVC or thin-wall.")]
Series = Annotated[str, typer.Option("--series", help="Sizes of new wires: strands, metric or AWG.")]


def kit(file: JobFile = None, find: Find = None, stock: Stock = None, json: Json = False) -> None:
    """The cheapest kit that does what is wanted and the two next best, what each achieves, and what each wish costs."""
    from ampwright.desk.cases.kit import kit_job

    answer = kit_job(jobs.open_job(file, find or ()), jobs.open_stock(stock))
    _print(answer, json, show_loom.kits)


def plan(
    file: JobFile = None,
    change: Change = "",
    option: Option = 1,
    find: Find = None,
    stock: Stock = None,
    json: Json = False,
) -> None:
    """The change over, step by step, with the cautions where they belong."""
    from ampwright.desk.cases.loom_answers import plan_answer

    _print(plan_answer(_work(file, find, stock, change, option)), json, show_loom.plan)


def wire(
    file: JobFile = None,
    change: Change = "",
    option: Option = 1,
    before: Annotated[
        bool, typer.Option("--before", help="Draw and list the loom as it is, not as it will be.")
    ] = False,
    to: Annotated[str | None, typer.Option(help="Write the drawing to this file: .svg, .png or .pdf.")] = None,
    layout: Annotated[str, typer.Option(help="landscape, for an A4 sheet, or phone.")] = "landscape",
    from_to: Annotated[str | None, typer.Option("--list", help="Write the from-to list to this file, .csv.")] = None,
    cut: Annotated[str | None, typer.Option("--cut", help="Write the cut list to this file, .csv.")] = None,
    spice: Annotated[
        str | None, typer.Option("--spice", help="Write the loom as an ngspice netlist to this file, .cir.")
    ] = None,
    speed_rpm: Annotated[float, typer.Option("--rpm", help="Engine speed of the netlist.")] = 3000.0,
    terminals: Annotated[
        bool, typer.Option("--terminals", help="List the terminals by which a job tells of its wires.")
    ] = False,
    insulation: Insulation = "PVC",
    series: Series = "strands",
    find: Find = None,
    stock: Stock = None,
    json: Json = False,
) -> None:
    """How it is wired and will be: drawing, from-to list, cut list, cable and fuse, and what the rules find."""
    from ampwright.desk.cases import loom_files
    from ampwright.desk.cases.loom_answers import wire_answer

    loom_files.check_endings(drawing=to, from_to=from_to, cut=cut, spice=spice)
    work = _work(file, find, stock, change, option, insulation, series)
    which = "before" if before else "after"
    if terminals:
        show_loom.terminals(loom_files.terminal_rows(work, which))
        return
    answer = wire_answer(work)
    _print(answer, json, lambda found: show_loom.wiring(found, before=before))
    written = loom_files.write_files(
        work, which, layout, drawing=to, from_to=from_to, cut=cut, spice=spice, speed_rpm=speed_rpm
    )
    for words in written:
        typer.echo(words, err=json)


def quote(
    file: JobFile = None,
    find: Find = None,
    stock: Stock = None,
    change: Change = "",
    json: Json = False,
) -> None:
    """What it costs: parts, cable, small parts and labour, up to three options side by side."""
    from ampwright.desk.cases.bill import bill_job

    answer = bill_job(jobs.open_job(file, find or ()), jobs.open_stock(stock), change)
    _print(answer, json, show_loom.bill)


def register(app: typer.Typer, findings: str) -> None:
    """Add the commands of the loom."""
    for command in (kit, plan, wire, quote):
        app.command(epilog=findings)(command)


def _work(
    file: str | None,
    find: list[str] | None,
    stock: str | None,
    change: str,
    option: int,
    insulation: str = "PVC",
    series: str = "strands",
) -> Any:
    from ampwright.desk.cases.loom_work import asked_of, loom_work
    from ampwright.desk.cases.workup import work_up

    asked = asked_of(change, option, insulation, series)
    return loom_work(work_up(jobs.open_job(file, find or ())), jobs.open_stock(stock), asked)


def _print(answer: Any, as_plain: bool, shown: Any) -> None:
    if as_plain:
        typer.echo(as_json(answer))
    else:
        shown(answer)
