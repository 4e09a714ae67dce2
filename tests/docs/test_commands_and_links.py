"""Every page against the program: commands, options, findings on a command line, and links."""

import re
import shlex
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import typer
from pages import FENCED, PAGES, ROOT, blocks, spelt

from ampwright.desk.cases import jobs
from ampwright.desk.cli.app import app

COMMANDS = typer.main.get_command(app)

each_page = pytest.mark.parametrize("path", PAGES, ids=lambda path: str(path.relative_to(ROOT)))


def shown_commands(text: str) -> list[list[str]]:
    """
    The command lines of a page's blocks that name no language, as arguments.

    A remark stands two spaces or more behind its command; brackets round what may be left out are taken away.
    """
    lines = [line.removeprefix("$ ") for block in blocks(text, "", "sh", "console") for line in block.splitlines()]
    own = [re.split(r" {2,}| +#", line)[0] for line in lines if re.match(r"(?:ampwright|python[\d.]* go\.py) ", line)]
    inline = spelt(FENCED.sub("", text))
    own += [code for code in inline if re.match(r"(?:ampwright|go\.py) \S", code)]
    typed = [shlex.split(re.sub(r"^(?:ampwright|(?:python[\d.]* )?go\.py) ", "", line)) for line in own]
    return [[word.strip("[]") for word in words if word.strip("[].")] for words in typed]


@each_page
def test_every_command_that_a_page_shows_can_be_typed(path: Path) -> None:
    for words in shown_commands(path.read_text(encoding="utf-8")):
        if words == ["test"] or words[0].isupper():
            continue  # go.py's own word, or a word that stands for arguments
        assert words[0] in COMMANDS.commands, words
        # an unknown option or an argument too many raises here; nothing is run
        COMMANDS.commands[words[0]].make_context(words[0], words[1:])


@each_page
def test_every_finding_on_a_command_line_that_a_page_shows_is_taken(path: Path) -> None:
    for words in shown_commands(path.read_text(encoding="utf-8")):
        said = [after for before, after in pairwise(words) if before in ("--find", "-f")]
        if said:
            assert len(jobs.open_job(None, said).findings) == len(said)


def test_every_command_and_option_is_named_in_the_documents() -> None:
    text = "\n".join(path.read_text(encoding="utf-8") for path in PAGES)
    code = "\n".join([*blocks(text, "", "sh", "console"), *spelt(text)])
    wanted = [f"ampwright {name}" for name in COMMANDS.commands]
    wanted += [flag for command in COMMANDS.commands.values() for option in command.params for flag in _flags(option)]
    assert [word for word in wanted if not re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", code)] == []


def _flags(option: Any) -> list[str]:
    """The spellings of an option, and the variable that stands for it; an argument has neither."""
    flags = [flag for flag in (*option.opts, *option.secondary_opts) if flag.startswith("-")]
    variable = option.envvar
    return flags + ([variable] if isinstance(variable, str) else list(variable or ()))


def test_a_command_in_a_page_is_read_without_its_remark_and_brackets() -> None:
    text = "```toml\na = 1\n```\n\n```\nampwright demo [NAME] [--list]   the main\n```\n`ampwright suit FILE --json`\n"
    # by hand
    assert shown_commands(text) == [["demo", "NAME", "--list"], ["suit", "FILE", "--json"]]


@each_page
def test_every_link_in_a_page_leads_somewhere(path: Path) -> None:
    links = re.findall(r"\]\((?!https?:|mailto:)([^)\s]*)\)", path.read_text(encoding="utf-8"))
    for link in links:
        file, _, heading = link.partition("#")
        target = path.parent / file if file else path
        assert target.exists(), link
        if heading and target.suffix == ".md":
            assert heading in anchors(target.read_text(encoding="utf-8")), link


def anchors(text: str) -> set[str]:
    """What a heading is linked by: small letters, no marks, hyphens between words."""
    headings = re.findall(r"^#+ (.+)$", FENCED.sub("", text), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}
