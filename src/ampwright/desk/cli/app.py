"""
Commands of ``ampwright``.

Exit code 0: there is an answer, whatever it says. 1: the input must be mended,
and a sentence says how. 2: the command was typed wrongly.
"""

import io
import sys
from collections.abc import Callable
from typing import Annotated, Any

import typer
from rich.console import Console

from ampwright import __version__
from ampwright.desk.cases import jobs
from ampwright.desk.cases.answer import answer_job
from ampwright.desk.cases.identify import identify_job
from ampwright.desk.cases.plain import as_json
from ampwright.desk.cases.suit import ask_job, suit_job
from ampwright.desk.cases.typed import kinds_in_words
from ampwright.desk.cli import loom as loom_commands
from ampwright.desk.cli import ride as ride_commands
from ampwright.desk.cli import shop, show, show_circuit
from ampwright.desk.cli import stock as stock_commands
from ampwright.desk.cli.fit import fit, pairs
from ampwright.desk.cli.prove import prove
from ampwright.desk.cli.serve import serve
from ampwright.desk.cli.trace import trace
from ampwright.desk.cli.triage import triage
from ampwright.errors import AmpwrightError

app = typer.Typer(
    no_args_is_help=True,
    invoke_without_command=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
app.add_typer(stock_commands.app, name="stock")

FINDINGS = f"""
Findings: {kinds_in_words()}. After the answer @ and where it comes from: memory, looking, photo, measured, hand.
Readings may carry about, tick-over, fast, 3000 rpm, 150 Hz, all off, lights off, rest 12.6, leads 0.3:
"battery_volts=14.2 fast lights off@measured", in quotes where there are blanks.
Test points, looks and symptoms tell of faults: "live_drop=0.35 fast lights on@measured", "key_off=45 mA@measured",
"look=brushes worn or stuck: no@looking", "symptom=dim always"; docs/trace.md has the names.
An answer ? means that it cannot be said. docs/job.md shows every answer.
"""

JobFile = Annotated[str | None, typer.Argument(metavar="[FILE]", help="Job file, TOML or JSON; - for standard input.")]
Find = Annotated[
    list[str] | None,
    typer.Option(
        "--find", "-f", help="Add a finding, such as thick_wires=2@photo (memory, looking, photo, measured, hand)."
    ),
]
Asked = Annotated[
    str | None,
    typer.Option(
        "--who", metavar="WHO", help="How far checks may be asked for: caller, home or workshop; else as the job says."
    ),
]
Stock = Annotated[
    str | None,
    typer.Option(
        "--stock", envvar="AMPWRIGHT_STOCK", help="Stock file, TOML or JSON; left out, the demo's invented stock."
    ),
]
Json = Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")]


@app.command(epilog=FINDINGS)
def job(file: JobFile = None, find: Find = None, who: Asked = None, stock: Stock = None, json: Json = False) -> None:
    """The whole answer for one job: what it is, what suits, whether it keeps up."""
    answer = answer_job(jobs.open_job(file, find or (), who), jobs.open_stock(stock))
    _print(answer, json, show.answer)


@app.command(epilog=FINDINGS)
def identify(file: JobFile = None, find: Find = None, who: Asked = None, json: Json = False) -> None:
    """What the findings make of the bike, with the evidence for and against."""
    _print(identify_job(jobs.open_job(file, find or (), who)), json, show.identification)


app.command(epilog=FINDINGS)(triage)
app.command(epilog=FINDINGS)(trace)
app.command(epilog=FINDINGS)(prove)
app.command(epilog=FINDINGS)(fit)
app.command()(pairs)


@app.command(epilog=FINDINGS)
def balance(
    file: JobFile = None,
    find: Find = None,
    who: Asked = None,
    json: Json = False,
    chart: Annotated[str | None, typer.Option(help="Write the chart to this file: .svg or .png.")] = None,
) -> None:
    """Whether the generator keeps up with lights and ignition, and from what speed."""
    from ampwright.desk.cases import balance as case  # charts are not needed by the other commands

    opened = jobs.open_job(file, find or (), who)
    answer = case.balance_job(opened)
    _print(answer, json, show.balance)
    if not json and not answer.stop_first and any(row.lights_on is not None for row in answer.rows):
        width, colour = show.chart_room()
        typer.echo(case.balance_text(opened, width, 22, colour=colour))
    if chart is not None:
        case.write_balance_chart(opened, chart)
        typer.echo(f"Chart written to {chart}.", err=json)


ride_commands.register(app, FINDINGS)
loom_commands.register(app, FINDINGS)


@app.command(epilog=FINDINGS)
def suit(file: JobFile = None, find: Find = None, who: Asked = None, stock: Stock = None, json: Json = False) -> None:
    """Every part in stock: fits, fits if, don't fit or can't say yet, with the reason."""
    _print(suit_job(jobs.open_job(file, find or (), who), jobs.open_stock(stock)), json, show.parts)


@app.command(epilog=FINDINGS)
def ask(
    file: JobFile = None,
    find: Find = None,
    who: Asked = None,
    stock: Stock = None,
    json: Json = False,
    message: Annotated[bool, typer.Option("--message", help="Only the text to send, under 400 characters.")] = False,
) -> None:
    """The next look: what to ask for, what it takes, how to do it safely, and the text to send."""
    answer = ask_job(jobs.open_job(file, find or (), who), jobs.open_stock(stock))
    if message and not json:
        typer.echo(answer.message)
    else:
        _print(answer, json, show.asked)


@app.command(epilog=FINDINGS)
def papers(
    to: Annotated[str, typer.Option("--to", metavar="PDF", help="Write them to this file; it ends in .pdf.")],
    file: JobFile = None,
    ticked: Annotated[
        str | None,
        typer.Option(
            "--with",
            metavar="PAPERS",
            help="Which: answer, pick, quote, parts, steps, wiring, check, normal, test, with commas;"
            " left out, all of answer, pick, check and normal that apply.",
        ),
    ] = None,
    change: Annotated[
        str, typer.Option("--change", "-c", metavar="NAME", help="A change by its name; left out, what the kit brings.")
    ] = "",
    option: Annotated[int, typer.Option("--option", "-o", min=1, max=3, help="Which kit: 1 is the cheapest.")] = 1,
    find: Find = None,
    who: Asked = None,
    stock: Stock = None,
) -> None:
    """The papers as one PDF: for the customer, the parts counter, the bench and the road."""
    from ampwright.desk.cases.loom_work import Asked as AskedOfLoom
    from ampwright.desk.cli.papers import write  # papers are not needed by the other commands

    write(file, find or [], who, stock, to, ticked, AskedOfLoom(change, option))


@app.command(epilog=FINDINGS)
def hear(
    sentence: Annotated[str, typer.Argument(help="What the caller says, in quotes.")],
    file: Annotated[str | None, typer.Option("--job", help="The job file it belongs to; left out, a new job.")] = None,
    yes: Annotated[
        list[int] | None, typer.Option("--yes", "-y", help="Take over the proposal of this number; may be repeated.")
    ] = None,
    find: Find = None,
    to: Annotated[
        str | None, typer.Option(help="Write the job, as JSON, into this new file, or into the job's own .json.")
    ] = None,
    number: Annotated[str | None, typer.Option(help="The job's number: letters, figures, hyphens.")] = None,
    title: Annotated[str | None, typer.Option(help="The job's title.")] = None,
    who: Asked = None,
    json: Json = False,
) -> None:
    """Make proposals of the caller's own words; nothing is taken over without a yes to each."""
    from ampwright.desk.cases import listen  # matching words is not needed by the other commands

    if to is not None:
        listen.check_target(to, file)  # said before anybody has answered anything
    agreed = set(yes or ())
    heard = listen.with_accepted(listen.listen(sentence), agreed)
    if not json:
        show.heard(heard)
        if not agreed and heard.proposals and sys.stdin.isatty():
            agreed = {
                one.number for one in heard.proposals if typer.confirm(f"  {one.number}. {one.proposal.question}")
            }
    if not agreed and not find:
        if json:
            _print(heard, json, show.heard)
        if to is not None:
            typer.echo("Nothing was said yes to: no job is written.", err=json)
        return
    wanted = listen.Wanted(number, title, who, tuple(find or ()))
    opened, document = listen.take_over(heard, agreed, file, wanted)
    if to is not None:
        listen.write_job(document, to, file)
        typer.echo(f"Job written to {to}: ampwright job {to}", err=json)
    answer = answer_job(opened, jobs.open_stock(None))
    if json:
        typer.echo(as_json({"heard": heard, "job": answer}))
    else:
        show.answer(answer)


@app.command()
def circuit(
    file: Annotated[str, typer.Argument(metavar="FILE", help="JSON: one circuit or a list; - for standard input.")],
    json: Json = False,
    band: Annotated[
        bool, typer.Option("--band", help="Least and greatest battery current among a switching circuit's neighbours.")
    ] = False,
    within: Annotated[
        float, typer.Option("--within", help="Per cent that an answer may be off; 0 for the most exact way.")
    ] = 0.05,
) -> None:
    """The bare circuit on the bench: currents, volts and heat, solved as docs/circuit.md says."""
    from ampwright.desk.cases import circuit as case  # numerical libraries, which the other commands can do without

    documents, many = case.open_circuits(file)
    with show_circuit.working(len(documents)):
        solved = list(show_circuit.counted(case.solve_circuits(documents, band, within / 100.0), len(documents)))
    if json:
        found = [case.as_document(one) for one in solved]
        typer.echo(case.as_text(found if many else found[0]))
    else:
        show_circuit.circuits(solved)
    if any(one.error is not None for one in solved):
        raise typer.Exit(1)


@app.command()
def wave(
    file: Annotated[str, typer.Argument(metavar="FILE", help="JSON: one circuit; - for standard input.")],
    periods: Annotated[
        float, typer.Option(help="How many electrical periods; of a kick start all of it is shown.")
    ] = 3,
    to: Annotated[str | None, typer.Option(help="Write it to this file: .svg, .png or .csv.")] = None,
    json: Json = False,
) -> None:
    """What an oscilloscope would show: currents and volts of a bare circuit over a few periods."""
    from ampwright.desk.cases import circuit as engine  # numerical libraries, as above
    from ampwright.desk.cases import wave as case

    with show_circuit.working():
        found, title, warned = case.open_wave(file, periods)
    if json:
        typer.echo(engine.as_text(case.as_document(found)))
    elif to is None:
        width, colour = show.chart_room()
        typer.echo(case.wave_text(found, title, width, colour=colour))
        show.cautions(Console(highlight=False), warned)
    if to is not None:
        case.write_wave(found, title, to)
        typer.echo(f"Wave written to {to}.", err=json)
        if not json:
            show.cautions(Console(highlight=False), warned)


@app.command()
def kick(
    file: Annotated[str, typer.Argument(metavar="FILE", help="JSON: one circuit with ignition and start.")],
    spark: Annotated[
        float | None, typer.Option("--spark-mJ", help="Energy that fires, in the coil as its points open.")
    ] = None,
    least: Annotated[float | None, typer.Option("--least-V", help="Bus volts an electronic ignition needs.")] = None,
    json: Json = False,
) -> None:
    """One kick without a battery: every spark against what it needs, and the smallest capacitor that starts it."""
    from ampwright.desk.cases import kick as case  # numerical libraries, as above

    with show_circuit.working():
        found = case.open_kick(file, spark, least)
    _print(found, json, show_circuit.kick)


app.command()(serve)


@app.command()
def demo(
    name: Annotated[str | None, typer.Argument(help="Which demo job; left out, the first story.")] = None,
    json: Json = False,
    list_: Annotated[bool, typer.Option("--list", help="List the demo jobs.")] = False,
    copy_to: Annotated[str | None, typer.Option(help="Write the demo jobs and stock into this folder.")] = None,
) -> None:
    """The main job on an invented scenario."""
    if copy_to is not None:
        typer.echo("\n".join(jobs.copy_demo(copy_to)))
        return
    if list_:
        _print([{"name": known, "title": jobs.open_demo(known).title} for known in jobs.demo_names()], json, show.demos)
        return
    answer = answer_job(jobs.open_demo(name or jobs.FIRST_DEMO), jobs.open_stock(None))
    _print(answer, json, show.answer)
    if not json:
        typer.echo("Other stories: ampwright demo --list. Your own: ampwright job FILE, or ampwright job --find ...")


shop.register(app)


def _print(answer: Any, json: bool, shown: Callable[[Any], None]) -> None:
    if json:
        typer.echo(as_json(answer))
    else:
        shown(answer)


@app.callback()
def ampwright(
    version: Annotated[bool, typer.Option("--version", is_eager=True, help="Print the version.")] = False,
) -> None:
    """From what the owner sees and measures to what suits the charging system, and why."""
    if version:
        typer.echo(__version__)
        raise typer.Exit


def main() -> None:
    """Run the command line; what must be mended is said in a sentence, not a traceback."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal without the signs shows ? in their place
    try:
        app()
    except AmpwrightError as fault:
        print(fault, file=sys.stderr)
        sys.exit(1)
