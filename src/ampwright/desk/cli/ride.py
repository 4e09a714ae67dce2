"""Commands of riding: the rides of a job, what would change them, and what to do at the roadside."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Annotated, Any

import typer
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from ampwright.desk.cases import jobs
from ampwright.desk.cases.plain import as_json
from ampwright.desk.cli import show, show_ride
from ampwright.errors import BadReading

# Numerical libraries are not needed by the other commands, so each command imports its use cases itself.

JobFile = Annotated[str | None, typer.Argument(metavar="[FILE]", help="Job file, TOML or JSON; - for standard input.")]
Find = Annotated[list[str] | None, typer.Option("--find", "-f", help="Add a finding, such as thick_wires=2@photo.")]
Json = Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")]
Legs = Annotated[
    str | None, typer.Option("--legs", metavar="WORDS", help='The ride in words, in minutes: "town 20, lanes 40".')
]
Cycle = Annotated[
    str | None,
    typer.Option("--cycle", help="A standard ride: wmtc_part1, wmtc_part2, wmtc_part3, udds or ftpmc1b."),
]
Trace = Annotated[
    str | None, typer.Option("--trace", metavar="FILE", help="A recorded ride, GPX or CSV; positions are not kept.")
]
Lights = Annotated[str | None, typer.Option("--lights", help='day, "day, lights on", dusk or night.')]
Air = Annotated[float | None, typer.Option("--air", metavar="DEGC", help="Air temperature of the ride, in °C.")]
Times = Annotated[int | None, typer.Option("--times", help="How often it is ridden, with a rest after each.")]
Rest = Annotated[float | None, typer.Option("--rest", metavar="HOURS", help="Hours it stands after each ride.")]
BoxVolts = Annotated[
    float | None, typer.Option("--box", metavar="VOLTS", help="Set-point of a charging box that is to be fitted.")
]
Series = Annotated[bool, typer.Option("--series", help="That box is of the series kind; else of the shunt kind.")]


def ride(
    file: JobFile = None,
    legs: Legs = None,
    cycle: Cycle = None,
    trace: Trace = None,
    lights: Lights = None,
    air: Air = None,
    times: Times = None,
    rest: Rest = None,
    box: BoxVolts = None,
    series: Series = False,
    chart: Annotated[str | None, typer.Option(help="Write the ride's chart to this file: .svg, .png or .csv.")] = None,
    heat_map: Annotated[
        str | None, typer.Option("--heat-map", help="Write the heat map to this file: .svg, .png or .csv.")
    ] = None,
    find: Find = None,
    json: Json = False,
) -> None:
    """Your ride: charge, restart, light and heat, ride by ride; the job's own rides, or the one given here."""
    from ampwright.desk.cases import ride as case
    from ampwright.desk.cases import ride_charts
    from ampwright.desk.cases.workup import work_up

    for path in (chart, heat_map):
        if path is not None:
            ride_charts.check_ending(path)
    workup = work_up(jobs.open_job(file, find or ()))
    rides = _rides(legs, cycle, trace, lights, air, times, rest)
    with _progress("Riding") as so_far:
        work = case.ride_work(workup, rides, _box(box, series), so_far)
        answer = case.ride_answer(work)
    if json:
        typer.echo(as_json(answer))
    else:
        show_ride.ride(answer)
        if not answer.refused:
            width, colour = show.chart_room()
            typer.echo(ride_charts.ride_text(work, width, colour=colour))
    if chart is not None and not answer.refused:
        ride_charts.write_ride_chart(work, chart)
        typer.echo(f"Chart written to {chart}.", err=json)
    if heat_map is not None and not answer.refused:
        _heat_map(workup, _box(box, series), heat_map, json)


def what_if(
    file: JobFile = None,
    change: Annotated[
        list[str] | None, typer.Option("--change", "-c", help="One change by name; left out, every one there is.")
    ] = None,
    legs: Legs = None,
    cycle: Cycle = None,
    trace: Trace = None,
    lights: Lights = None,
    air: Air = None,
    times: Times = None,
    rest: Rest = None,
    box: BoxVolts = None,
    series: Series = False,
    find: Find = None,
    json: Json = False,
) -> None:
    """What a weaker magnet, bad joints, another battery or LED lamps do to the same rides, side by side."""
    from ampwright.desk.cases import what_if as case

    job = jobs.open_job(file, find or ())
    rides = _rides(legs, cycle, trace, lights, air, times, rest)
    with _progress("Riding with each change") as so_far:
        answer = case.what_if_job(job, change or (), rides, _box(box, series), so_far)
    if json:
        typer.echo(as_json(answer))
    else:
        show_ride.what_if(answer)


def roadside(
    file: JobFile = None,
    trouble: Annotated[str, typer.Option("--trouble", help='"not charging" or "overcharging".')] = "not charging",
    charge: Annotated[float | None, typer.Option("--charge", metavar="PERCENT", help="Charge of the battery.")] = None,
    rest_V: Annotated[
        float | None, typer.Option("--rest-V", metavar="VOLTS", help="Or its volts with everything off.")
    ] = None,
    air: Annotated[float, typer.Option("--air", metavar="DEGC", help="Air temperature, in °C.")] = 15.0,
    find: Find = None,
    json: Json = False,
) -> None:
    """At the roadside: what to switch off or unplug, and how long the battery then lasts, by what is left on."""
    from ampwright.desk.cases.roadside import roadside_job

    job = jobs.open_job(file, find or ())
    answer = roadside_job(job, trouble, charge_percent=charge, rest_V=rest_V, air_degC=air)
    if json:
        typer.echo(as_json(answer))
    else:
        show_ride.roadside(answer)


def register(app: typer.Typer, findings: str) -> None:
    """Add the commands of riding."""
    app.command(epilog=findings)(ride)
    app.command("what-if", epilog=findings)(what_if)
    app.command(epilog=findings)(roadside)


def _rides(
    legs: str | None,
    cycle: str | None,
    trace: str | None,
    lights: str | None,
    air: float | None,
    times: int | None,
    rest: float | None,
) -> tuple[Any, ...]:
    """The ride given here, or none where only the job tells of some."""
    from ampwright.desk.cases import ride_told

    if not (legs or cycle or trace):
        if any(value is not None for value in (lights, air, times, rest)):
            raise BadReading(
                "--lights, --air, --times and --rest go with a ride: give --legs, --cycle or --trace as well, or change"
                " the job's own rides."
            )
        return ()
    recorded = ride_told.recorded_from(trace) if trace else None
    for note in recorded.notes if recorded else ():
        typer.echo(note, err=True)
    told = ride_told.told_ride(legs, cycle, recorded, lights=lights, ambient_degC=air, repeats=times, rest_hours=rest)
    return (told,)


def _box(volts: float | None, series: bool) -> Any:
    from ampwright.desk.cases.ride_setup import box_of

    if series and volts is None:
        raise BadReading("--series says of what kind a box is that is to be fitted: give --box VOLTS as well.")
    return box_of(volts, series=series)


def _heat_map(workup: Any, box: Any, path: str, json: bool) -> None:
    from ampwright.desk.cases import ride_charts
    from ampwright.desk.cases.heat_map import heat_map_answer

    with _progress("Warming up") as so_far:
        found = heat_map_answer(workup, box, so_far)
    ride_charts.write_heat_map(found, path)
    if not json:
        show_ride.heat_map(found)
    typer.echo(f"Heat map written to {path}.", err=json)


@contextmanager
def _progress(words: str) -> Iterator[Any]:
    """A bar on the error stream; the first ride on a machine compiles its loops, which takes some seconds."""
    console = Console(stderr=True)
    columns = (TextColumn(words), BarColumn(), TimeElapsedColumn())
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task(words, total=1.0)
        yield lambda share: bar.update(task, completed=share)
