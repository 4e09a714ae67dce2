"""Answers on a terminal: words first, figures with a band, colour never alone."""

from collections.abc import Iterable
from itertools import groupby
from typing import Any

from rich.console import Console, Group
from rich.markup import escape
from rich.panel import Panel

from ampwright.desk.cases.paper_words import kept_off_rows
from ampwright.desk.cli.terminal import answer_console, heading, job_title, say, stops_first
from ampwright.terms import Advice, Verdict, finding_words

_MARKS = {
    Verdict.FITS: ("✓ ", "+ ", "green"),
    Verdict.FITS_IF: ("✓…", "+?", "yellow"),
    Verdict.CANT_SAY: ("? ", "? ", "cyan"),
    Verdict.DONT_FIT: ("✗ ", "x ", "red"),
}
_ADVICE_STYLE = {Advice.SELL_NOW: "green", Advice.ASK_FIRST: "yellow", Advice.STOP: "red"}
# On the job's own page the parts to keep off are the three that most need saying.
_MOST_KEPT_OFF = 3
_MOST_OFFERED = 5
_REGULATING = ("charging_box", "dynamo_regulator", "field_regulator", "lighting_regulator")


def chart_room() -> tuple[int, bool]:
    """Columns a chart may take here, and whether colours are shown."""
    console = answer_console()
    return console.width, console.is_terminal and not console.no_color


def answer(found: Any) -> None:
    """Print the whole answer of a job, in the order of the job."""
    console = answer_console()
    job_title(console, found.number, found.title)
    _strip(console, found.suit)
    if found.identify.stop_first:
        # Nothing below the stop line may draw the eye from it.
        cautions(console, found.suit.cautions)
        return
    heading(console, "What's on the bike")
    _evidence(console, found.identify)
    for told in found.told:
        console.print(f"  {escape(told)}")
    heading(console, "What that makes it")
    _beliefs(console, found.identify, most_possible=4)
    if found.suit.ask:
        heading(console, "Ask this next")
        _look(console, found.suit.ask)
    heading(console, "What to fit, what to keep off")
    _choice(console, found.suit)
    heading(console, "Will it keep up?")
    _balance(console, found.balance)
    cautions(console, found.suit.cautions)


def identification(found: Any) -> None:
    """Print an identification."""
    console = answer_console()
    job_title(console, found.number, found.title)
    if _stops(console, found):
        return
    heading(console, "What's on the bike")
    _evidence(console, found)
    heading(console, "What that makes it")
    _beliefs(console, found, most_possible=len(found.still_possible))


def parts(found: Any) -> None:
    """Print every part with its verdict, kind by kind."""
    console = answer_console()
    job_title(console, found.number, found.title)
    _strip(console, found)
    for kind in dict.fromkeys(row.kind for row in found.rows):
        heading(console, kind.replace("_", " "))
        _rows(console, [row for row in found.rows if row.kind == kind])
    cautions(console, found.cautions)


def heard(found: Any) -> None:
    """Print what was made of a caller's words: proposals to say yes or no to, and what they leave open."""
    console = answer_console()
    for text in found.stop_first:
        stops_first(console, text)
    for text in found.cautions:
        say(console, f"[bold yellow]![/] {escape(text)}")
    heading(console, "Heard, and proposed")
    if not found.proposals:
        console.print("  Nothing to say yes to." if found.questions else "  Nothing could be made of that.")
        say(console, "Typed for short: ampwright job --find thick_wires=2, -f danger=nothing and so on.")
    for offered in found.proposals:
        proposal = offered.proposal
        taken = "[green]Accepted:[/] " if offered.accepted else ""
        say(console, f"{offered.number}. {taken}[bold]{escape(proposal.question)}[/]  ({escape(proposal.heard)})")
        for other in proposal.ambiguous:
            say(console, f"or: {escape(other)}", 6)
    for question in found.questions:
        say(console, f"Ask: {escape(question)}")
    if found.not_understood:
        say(console, f"[dim]Not understood: {escape(', '.join(found.not_understood))}[/]")
    if found.proposals and not any(offered.accepted for offered in found.proposals):
        console.print("  Nothing is taken over yet: say which hold with --yes 1 --yes 2.")


def asked(found: Any) -> None:
    """Print the one-line answer and the next look."""
    console = answer_console()
    job_title(console, found.number, found.title)
    _danger_first(console, found)
    style = _ADVICE_STYLE[found.advice]
    console.print(
        Panel(Group(f"[bold {style}]{found.advice.value.upper()}[/]  {escape(found.why)}", escape(found.read_aloud)))
    )
    if found.ask:
        heading(console, "Ask this next")
        _look(console, found.ask)
    elif found.advice is not Advice.STOP:
        console.print("  Nothing more to ask.")
    cautions(console, found.cautions)


def balance(found: Any) -> None:
    """Print balance speeds."""
    console = answer_console()
    job_title(console, found.number, found.title)
    if _stops(console, found):
        return
    heading(console, "Will it keep up?")
    _balance(console, found)


def demos(found: Any) -> None:
    """Print the demo jobs."""
    console = answer_console()
    for known in found:
        console.print(f"{known['name']:28} {escape(known['title'])}")


def _stops(console: Console, found: Any) -> bool:
    """Print what to do first where the job stops; nothing else is shown then."""
    stops = stops_first(console, found.stop_first)
    if stops:
        console.print(f"! {escape(found.battery_line)}")
    return stops


def _danger_first(console: Console, found: Any) -> None:
    if found.danger_not_asked:
        console.print(f"Stop first? {escape(found.danger_not_asked)}")


def _strip(console: Console, suit: Any) -> None:
    _danger_first(console, suit)
    style = _ADVICE_STYLE[suit.advice]
    lines = [f"[bold {style}]{suit.advice.value.upper()}[/]  {escape(suit.why)}", escape(suit.read_aloud)]
    safe = [row for code in suit.safe_codes for row in suit.rows if row.code == code]
    for row in safe[:4]:
        lines.append(f"{_mark(console, row.verdict)} {row.code}  {_price(row)}  {_stock(row)}")
    console.print(Panel(Group(*lines), border_style=style))


def _evidence(console: Console, found: Any) -> None:
    if not found.evidence:
        console.print("  Nothing told of the generator yet. Say what was found, such as --find thick_wires=2@photo.")
    for line in found.evidence:
        effect = f": {line.words}" if line.words else ""
        say(console, f"{finding_words(line.kind)}: [bold]{escape(line.answer)}[/] ({line.source}){effect}")
        for old in line.set_aside:
            console.print(f"    set aside: {escape(old)}")
    for line in found.does_not_count:
        say(console, escape(line))
    if found.conflict:
        say(console, f"[bold yellow]Conflict.[/] {escape(found.conflict)}")


def _beliefs(console: Console, found: Any, most_possible: int) -> None:
    say(console, escape(found.headline))
    for family in found.families:
        console.print(f"    {family.name}: {family.certainty}, {family.chance}")
    for sentence in found.kept_possible_because:
        say(console, escape(sentence))
    console.print("  Still possible:")
    for possible in found.still_possible[:most_possible]:
        kept = ", kept for safety" if possible.kept_only_for_safety else ""
        say(console, f"{escape(possible.words)} ({possible.chance}{kept})", 4)
    left = len(found.still_possible) - most_possible
    if left > 0:
        console.print(f"    and {left} more: see ampwright identify")
    for line in found.also_open:
        say(console, escape(line), 4)


def _look(console: Console, look: Any) -> None:
    """What is asked for at one go, a paragraph a check, then the text to send."""
    for check in look.checks:
        say(console, f"[bold]{escape(check.ask)}[/]")
        say(console, f"Comes back: {check.comes_back}. {check.tool}; who: {check.who}; risk: {check.risk}.", 4)
        say(console, f"Safely: {check.safely}", 4)
        typed = _quoted(check.typed_like)
        say(console, f"Answer with --find {typed}, or --find {check.brings[0]}=? if it can't be told.", 4)
    say(console, f"About {look.minutes:.0f} min with asking; opens: {look.opens}.")
    say(console, f"To send ({len(look.message)} characters): {escape(look.message)}")


def _quoted(typed: str) -> str:
    """An answer as any shell takes it: in quotes where it has blanks."""
    return f'"{typed}"' if " " in typed else typed


def _choice(console: Console, suit: Any) -> None:
    rows = [row for row in suit.rows if row.kind in _REGULATING]
    good = [row for row in rows if row.verdict in (Verdict.FITS, Verdict.FITS_IF)]
    unsure = [row for row in rows if row.verdict is Verdict.CANT_SAY]
    shown = [*good[:_MOST_OFFERED], *unsure[:_MOST_KEPT_OFF], *kept_off_rows(rows, _MOST_KEPT_OFF)]
    if not rows:
        console.print("  There is no charging box or other regulator in stock.")
        return
    _rows(console, shown, conditions_of_doubtful=False)
    left = len(rows) - len(shown)
    console.print(f"  {left} more of these, and batteries, bulbs, fuses and the rest: see ampwright suit")


def _rows(console: Console, rows: Iterable[Any], *, conditions_of_doubtful: bool = True) -> None:
    for _, group in groupby(rows, key=lambda row: _said_together(row, conditions_of_doubtful)):
        alike = list(group)
        for row in alike[:-1]:
            _head(console, row)
            say(console, escape(row.name), 6)
        _head(console, alike[-1])
        for text in _why(alike[-1], conditions_of_doubtful):
            say(console, text, 6)


def _said_together(row: Any, with_conditions: bool) -> tuple[str, ...]:
    """What may be said once of parts that stand one after the other: what the bike has to be, and what tells."""
    if not row.right_if:
        return (row.code,)
    check = row.settled_by.name if row.settled_by else ""
    return (row.right_if, check, *(row.see_that if with_conditions else ()))


def _head(console: Console, row: Any) -> None:
    head = f"{_mark(console, row.verdict)} [bold]{row.verdict.value:13}[/]  {row.code}  {_price(row)}  {_stock(row)}"
    say(console, head)


def _why(row: Any, conditions_of_doubtful: bool) -> list[str]:
    """What is said of one part, a paragraph each; what cannot be said yet needs no conditions on a short page."""
    doubtful = row.verdict is Verdict.CANT_SAY
    why = f"Right only if: {row.right_if}." if row.right_if else row.reason
    check = f" Check: {row.settled_by.name} ({row.settled_by.minutes:g} min)." if row.settled_by else ""
    said = [escape(row.name), escape(why) + check]
    if not doubtful or conditions_of_doubtful:
        said += [f"- {escape(text)}" for text in row.see_that]
    return [*said, f"[dim]{escape('; '.join(row.figures))}[/]"] if row.figures and not doubtful else said


def _balance(console: Console, found: Any) -> None:
    for row in found.rows:
        say(console, f"[bold]{escape(row.generator)}[/] at {row.system_voltage_V} V ({row.chance})")
        if row.no_figure:
            say(console, f"No figure: {escape(row.no_figure)}.", 4)
            continue
        say(console, f"lights on: {row.lights_on.words}", 4)
        say(console, f"lights off: {row.lights_off.words}", 4)
        say(console, f"wants up to {row.demand_on_A:.1f} A with lights; {row.keeps_up}", 4)
        if row.sharpened_by:
            say(console, f"sharpened by what was measured here: {escape('; '.join(row.sharpened_by))}", 4)
        for contradiction in row.contradictions:
            say(console, f"[yellow]Does not go together:[/] {escape(contradiction)}", 4)
        say(console, f"at tick-over with lights {_into_battery(row.tick_over_A)}", 4)
    for note in found.notes:
        say(console, f"[dim]{escape(note)}[/]")
    if found.assumed:
        say(console, f"Assumed: {escape('; '.join(found.assumed))}.")


def _into_battery(amps: float) -> str:
    return f"{amps:.1f} A goes in" if amps >= 0 else f"the battery gives {-amps:.1f} A"


def cautions(console: Console, texts: Iterable[str]) -> None:
    """Print cautions under a heading of their own."""
    heading(console, "Cautions")
    for caution in texts:
        say(console, f"! {escape(caution)}")


def _mark(console: Console, verdict: Verdict) -> str:
    tick, ascii_tick, style = _MARKS[verdict]
    return f"[{style}]{tick if 'utf' in (console.encoding or '').lower() else ascii_tick}[/]"


def _price(row: Any) -> str:
    return f"{row.currency} {row.price}"


def _stock(row: Any) -> str:
    return f"{row.in_stock} in stock" if row.in_stock else "none in stock"
