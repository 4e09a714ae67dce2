"""The commands ``fit`` and ``pairs``: what readings make of one alternator, regulator, battery and its joints."""

from typing import Annotated, Any

import typer
from rich.console import Console
from rich.markup import escape

from ampwright.desk.cases import jobs
from ampwright.desk.cases.plain import as_json
from ampwright.desk.cli import show
from ampwright.desk.cli.terminal import answer_console, heading, job_title, say, say_assumed, stops_first


def fit(
    file: Annotated[
        str | None, typer.Argument(metavar="[FILE]", help="Job file, TOML or JSON; - for standard input.")
    ] = None,
    find: Annotated[
        list[str] | None,
        typer.Option("--find", "-f", help='Add a reading, such as "pair_volts=13.1 50 Hz@measured".'),
    ] = None,
    chart: Annotated[str | None, typer.Option(help="Write output over speed to this file: .svg or .png.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")] = False,
) -> None:
    """This bike's own alternator by its readings: EMF, ohms, henries, magnet, output, and how sure they are."""
    from ampwright.desk.cases import fit as case  # numerical libraries, which the other commands can do without

    opened = jobs.open_job(file, find or ())
    found = case.fit_job(opened)
    if json:
        typer.echo(as_json(found))
    else:
        _print_fit(found)
    if chart is not None and not found.stop_first:
        case.write_fit_chart(opened, chart)
        typer.echo(f"Chart written to {chart}.", err=json)


def _print_fit(found: Any) -> None:
    console = answer_console()
    job_title(console, found.number, found.title)
    if stops_first(console, found.stop_first):
        show.cautions(console, found.cautions)
        return
    for machine in found.machines:
        heading(console, f"{machine.generator}, {machine.system_voltage_V} V ({machine.chance})")
        _machine(console, machine, in_full=machine is found.machines[0])
    if found.would_narrow:
        heading(console, "What would make it surer")
        for words in found.would_narrow:
            say(console, f"{escape(words)}.")
    say_assumed(console, found.assumed)
    show.cautions(console, found.cautions)


def _machine(console: Console, machine: Any, *, in_full: bool) -> None:
    say(console, f"[bold]{escape(machine.says)}[/]")
    for words in machine.contradictions:
        say(console, f"[bold yellow]Contradiction.[/] {escape(words)}")
    if not in_full:
        return
    for output in machine.outputs:
        say(console, f"{output.speed_rpm:.0f} rpm: {escape(output.words)}", 4)
    for figure in machine.figures:
        say(console, f"{escape(figure.name)}: {escape(figure.words)}", 4)
    if machine.used:
        say(console, f"Used: {escape('; '.join(machine.used))}.")
    for words in machine.not_used:
        say(console, f"Not used: {escape(words)}.")


def pairs(
    regulator: Annotated[
        list[str] | None,
        typer.Option("--regulator", metavar="VOLTS/AMPS", help="Regulated volts and the amps with them; repeat it."),
    ] = None,
    battery_rest: Annotated[
        str | None, typer.Option("--battery-rest", metavar="VOLTS", help="The battery rested, nothing on.")
    ] = None,
    battery_load: Annotated[
        list[str] | None,
        typer.Option(
            "--battery-load",
            metavar="VOLTS/AMPS[/SECONDS]",
            help="The battery with a load on, engine off; 30 seconds if not told; repeat it.",
        ),
    ] = None,
    battery_rest_after: Annotated[
        str | None, typer.Option("--battery-rest-after", metavar="VOLTS", help="Rested again after a known draw.")
    ] = None,
    battery_drew: Annotated[
        str | None, typer.Option("--battery-drew", metavar="AMPS/MINUTES", help="That draw.")
    ] = None,
    battery_kind: Annotated[str, typer.Option("--battery-kind", help="flooded, AGM, gel or LiFePO4.")] = "flooded",
    battery_Ah: Annotated[float | None, typer.Option("--battery-Ah", help="Ampere-hours on its label.")] = None,
    joint: Annotated[
        list[str] | None,
        typer.Option(
            "--joint", metavar="NAME=VOLTS/AMPS", help='A joint: "box live lead=0.35/7.5", volts lost; repeat it.'
        ),
    ] = None,
    whole_drop: Annotated[
        str | None,
        typer.Option("--whole-drop", metavar="VOLTS/AMPS", help="From end to end over all joints in a row."),
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")] = False,
) -> None:
    """What a few pairs of volts and amps say of a regulator, a battery and joints: set-point, ohms, capacity."""
    from ampwright.desk.cases.pairs import pairs_answer  # numerical libraries, as above
    from ampwright.desk.cases.pairs_told import pairs_asked

    found = pairs_answer(
        pairs_asked(
            regulator or (),
            battery_rest,
            battery_load or (),
            battery_rest_after,
            battery_drew,
            battery_kind,
            battery_Ah,
            joint or (),
            whole_drop,
        )
    )
    if json:
        typer.echo(as_json(found))
    else:
        _print_pairs(found)


def _print_pairs(found: Any) -> None:
    console = answer_console()
    stops_first(console, found.stop_first)
    if found.regulator is not None:
        heading(console, "What the regulator holds")
        _regulator(console, found.regulator)
    if found.battery is not None:
        heading(console, "Battery")
        _battery(console, found.battery)
    if found.joints:
        heading(console, "Joints, worst first")
        for one in found.joints:
            say(console, f"[bold]{escape(one.name)}[/]: {escape(one.milliohm.words)}, {escape(one.says)}")
        if found.left_over is not None:
            say(console, f"Left over: {escape(found.left_over.words)}. {escape(found.left_over_says)}")
    say_assumed(console, found.assumed)
    show.cautions(console, found.cautions)


def _regulator(console: Console, found: Any) -> None:
    if found.set_V is not None:
        droop = f"; droop {found.droop_milliohm.words}" if found.droop_milliohm else ""
        say(console, f"[bold]Set-point {escape(found.set_V.words)}{escape(droop)}[/]")
    say(console, escape(found.says))
    for words in found.pairs:
        say(console, escape(words), 4)


def _battery(console: Console, found: Any) -> None:
    if found.resistance_milliohm is not None:
        say(console, f"[bold]{escape(found.resistance_milliohm.words)}[/], and a sag of {escape(found.sag_V.words)}")
    for words in found.says:
        say(console, escape(words))
    say_assumed(console, found.assumed)
