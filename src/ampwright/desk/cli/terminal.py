"""What every answer on a terminal is made of: its width, its head, headings, and lines whose indent holds."""

from collections.abc import Iterable

from rich.console import Console
from rich.markup import escape
from rich.padding import Padding
from rich.panel import Panel

#: Words are not easily read on wider lines.
MOST_WIDTH = 110


def answer_console(most_width: int = MOST_WIDTH) -> Console:
    """The terminal, no wider than is good to read."""
    console = Console(highlight=False)
    if console.width > most_width:
        console.width = most_width
    return console


def job_title(console: Console, number: str, title: str) -> None:
    """Print which job it is."""
    console.print(f"[bold]Job {escape(number)}[/]  {escape(title)}")


def stops_first(console: Console, sentence: str) -> bool:
    """Print what to do first where the job stops; whether it does."""
    if sentence:
        console.print(Panel(f"[bold red]STOP[/]  {escape(sentence)}", border_style="red"))
    return bool(sentence)


def heading(console: Console, words: str) -> None:
    """Print a heading under an empty line."""
    console.print(f"\n[bold underline]{escape(words)}[/]")


def say(console: Console, text: str, indent: int = 2) -> None:
    """Print with an indent that holds where the line wraps."""
    console.print(Padding(text, (0, 0, 0, indent), expand=False))


def say_assumed(console: Console, assumed: Iterable[str]) -> None:
    """Print what was assumed, if anything was."""
    words = "; ".join(assumed)
    if words:
        say(console, f"Assumed: {escape(words)}.")
