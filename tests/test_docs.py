"""The documents against the program: every key, choice, name, command and link they owe or show."""

import ast
import re
import shlex
import tomllib
from collections.abc import Iterator
from enum import StrEnum
from itertools import pairwise
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

import pytest
import typer
from pydantic import BaseModel

import ampwright
from ampwright import terms
from ampwright.bike import finding, job, load
from ampwright.bike.job import job_from
from ampwright.desk.cases import jobs
from ampwright.desk.cases.answer import answer_job
from ampwright.desk.cli.app import app
from ampwright.stock import parts
from ampwright.stock.record import Part
from ampwright.stock.shelf import Shelf, demo_shelf, shelf_from

ROOT = Path(__file__).parents[1]
SRC = Path(ampwright.__file__).parent
PAGES = sorted([ROOT / "README.md", *(ROOT / "docs").rglob("*.md")])
COMMANDS = typer.main.get_command(app)

each_page = pytest.mark.parametrize("path", PAGES, ids=lambda path: str(path.relative_to(ROOT)))

FINDINGS = get_args(get_args(finding.Finding)[0])
LOADS = get_args(get_args(load.Load)[0])
PARTS = get_args(parts.AnyPart)

# The house rule: what a name's ending says, as the table of quantities writes it.
UNIT_OF_ENDING = {unit: unit for unit in ("V", "A", "W", "H", "rpm", "Hz", "Ah", "mm", "K", "bit")}
UNIT_OF_ENDING |= {"ohm": "Ω", "Vs": "V·s", "rad_s": "rad/s", "uF": "µF", "mm2": "mm²", "degC": "°C", "dB": "deciban"}
# By hand: names whose ending is not their unit: a speed for 1000 rpm, and a spread that is a share.
OTHER_UNIT = {
    "mph_per_1000_rpm": "mph",
    "km_h_per_1000_rpm": "km/h",
    "per_1000_rpm": "mph or km/h",
    "road_per_1000_rpm": "mph or km/h",
    "road_speed_per_1000_rpm": "mph or km/h",
}

# --- reading a page --------------------------------------------------------------------------------------------------


def page(name: str) -> str:
    """The text of one page of docs/."""
    return (ROOT / "docs" / name).read_text(encoding="utf-8")


def under(name: str, heading: str) -> str:
    """The part of a page of docs/ under one heading, down to the next of any level."""
    found = re.search(rf"^#+ {re.escape(heading)}\n(.*?)(?=^#+ |\Z)", page(name), re.MULTILINE | re.DOTALL)
    return found[1] if found else ""


def rows(text: str) -> list[list[str]]:
    """The cells of all table rows of a text; the choice of a stroke inside a cell is not used in these pages."""
    lines = (line.strip() for line in text.splitlines())
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if line.startswith("| ")]


def row_of(text: str, name: str) -> list[str]:
    """The cells of the first row whose first cell names a key, or none."""
    return next((cells for cells in rows(text) if name in spelt(cells[0])), [])


def spelt(text: str) -> list[str]:
    """What stands in code marks in a text."""
    return re.findall(r"`([^`\n]+)`", text)


FENCED = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def blocks(text: str, *languages: str) -> list[str]:
    """The fenced blocks of a text in some languages; an empty language is a block that names none."""
    return [inside for language, inside in FENCED.findall(text) if language in languages]


# --- what the records hold -------------------------------------------------------------------------------------------


def choices(kind: Any) -> Iterator[str]:
    """Every word or number that a field lets one choose from, however deep its type."""
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        yield from (member.value for member in kind)
    elif get_origin(kind) is Literal:
        yield from (str(choice) for choice in get_args(kind))
    elif not (isinstance(kind, type) and issubclass(kind, BaseModel)):
        for inner in get_args(kind):
            yield from choices(inner)


def limits(field: Any) -> Iterator[str]:
    """Every limit of a field but 0, as it is written."""
    for mark in _marks(field.metadata, field.annotation):
        for side in ("ge", "gt", "le", "lt"):
            bound = getattr(mark, side, None)
            if bound:
                yield f"{bound:g}"


def _marks(metadata: Any, kind: Any) -> Iterator[Any]:
    for mark in metadata:
        yield mark
        yield from getattr(mark, "metadata", ())
    for inner in get_args(kind):
        yield from _marks(getattr(inner, "__metadata__", ()), inner)


def records(model: type[BaseModel]) -> list[tuple[str, type[BaseModel]]]:
    """The tables of a record that are no union, by their key."""
    found = []
    for name, field in model.model_fields.items():
        kinds = [field.annotation, *get_args(field.annotation)]
        found += [(name, kind) for kind in kinds if isinstance(kind, type) and issubclass(kind, BaseModel)]
    return found


def field_faults(text: str, model: type[BaseModel], without: set[str] = frozenset()) -> list[str]:
    """What a table of keys says otherwise than a record: keys, choices, limits, and which are needed."""
    faults = []
    for name, field in model.model_fields.items():
        if name in without:
            continue
        cells = row_of(text, name)
        if not cells:
            faults.append(f"{name}: no row")
            continue
        told, words = spelt(" ".join(cells)), " ".join(cells)
        faults += [f"{name}: choice {choice} is missing" for choice in choices(field.annotation) if choice not in told]
        numbers = re.findall(r"\d+(?:\.\d+)?", words)
        faults += [f"{name}: limit {limit} is missing" for limit in limits(field) if limit not in numbers]
        if (cells[3] == "needed") != field.is_required():
            faults.append(f"{name}: says {cells[3]!r}, needed is {field.is_required()}")
    return faults


# --- job and stock ---------------------------------------------------------------------------------------------------


def test_every_key_at_the_top_of_a_job_is_described() -> None:
    assert field_faults(under("job.md", "Top of the file"), job.Job, without={"cannot_say"}) == []
    # its choices, the kinds, stand under a heading of their own
    assert row_of(under("job.md", "Top of the file"), "cannot_say")


@pytest.mark.parametrize(("key", "model"), records(job.Job))
def test_every_key_of_a_table_in_a_job_is_described(key: str, model: type[BaseModel]) -> None:
    assert field_faults(under("job.md", f"`{key}`"), model) == []


@pytest.mark.parametrize("model", FINDINGS)
def test_every_finding_is_described_with_its_answers(model: type[BaseModel]) -> None:
    told = under("job.md", "`findings`")
    kind = get_args(model.model_fields["what"].annotation)[0]
    cells = row_of(told, kind)
    assert cells
    answers = list(choices(model.model_fields["answer"].annotation))
    assert [answer for answer in answers if answer not in spelt(cells[1])] == []
    numbers = re.findall(r"\d+", cells[1])
    assert [limit for limit in limits(model.model_fields["answer"]) if limit not in numbers] == []
    assert field_faults(told, model, without={"what", "answer"}) == []


def test_no_kind_of_finding_is_missing_from_what_can_be_left_unsaid() -> None:
    told = spelt(under("job.md", "Don't know"))
    assert [kind for kind in get_args(finding.FindingKind) if kind not in told] == []


@pytest.mark.parametrize("model", LOADS)
def test_every_kind_of_load_is_described_with_its_keys(model: type[BaseModel]) -> None:
    told = under("job.md", "`loads`")
    kind = get_args(model.model_fields["kind"].annotation)[0]
    cells = row_of(told, kind)
    shared = {"kind", "name", "when", "duty"}
    assert set(spelt(cells[1])) == set(model.model_fields) - shared
    assert field_faults(told, model, without={"kind"}) == []


def test_every_key_of_every_part_and_of_the_file_is_described() -> None:
    top = under("stock.md", "The file")
    assert row_of(top, "parts")
    assert field_faults(top, Shelf, without={"parts"}) == []
    assert field_faults(top, Part) == []


@pytest.mark.parametrize("model", PARTS)
def test_every_kind_of_part_is_described_with_its_keys(model: type[BaseModel]) -> None:
    kind = get_args(model.model_fields["kind"].annotation)[0]
    told = under("stock.md", f"`{kind}`")
    own = {"kind", *Part.model_fields}
    assert field_faults(told, model, without=own) == []
    keys = [name for cells in rows(told) for name in spelt(cells[0])]
    # by hand: a key that the record does not know would be refused when somebody writes it
    assert [name for name in keys if name not in model.model_fields] == []


@pytest.mark.parametrize(("key", "model"), [("pairings", parts.Pairing), ("size", parts.Size)])
def test_every_key_of_a_table_in_a_part_is_described(key: str, model: type[BaseModel]) -> None:
    assert field_faults(under("stock.md", f"`{key}`"), model) == []


def test_a_wrong_table_of_keys_is_found_out() -> None:
    wrong = "| `kind` | text | `plate rectifier` | needed |\n| `count` | number | 1 to 3 | needed |\n"
    faults = field_faults(wrong, job.Fitted, without={"source", "identified", "note"})
    # by hand: nine of the ten kinds are left out; count goes to 4 and may be left out
    assert len([fault for fault in faults if fault.startswith("kind: choice")]) == 9
    assert faults[-2:] == ["count: limit 4 is missing", "count: says 'needed', needed is False"]


# --- words and quantities --------------------------------------------------------------------------------------------


def dimensioned_names() -> list[str]:
    """Every public name with a unit at its end: functions, what they take, and fields of records and answers."""
    ending = re.compile(rf".+_({'|'.join(UNIT_OF_ENDING)})")
    found: set[str] = set()
    for path in sorted(SRC.rglob("*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            found.update(_names(node))
    return sorted(name for name in found if ending.fullmatch(name))


def _names(node: ast.stmt) -> Iterator[str]:
    if not isinstance(node, ast.FunctionDef | ast.ClassDef) or node.name.startswith("_"):
        return
    if isinstance(node, ast.FunctionDef):
        yield node.name
        yield from (argument.arg for argument in (*node.args.args, *node.args.kwonlyargs))
        return
    for inner in node.body:
        if isinstance(inner, ast.AnnAssign) and isinstance(inner.target, ast.Name):
            yield inner.target.id
        else:
            yield from _names(inner)


@pytest.mark.parametrize("name", [*dimensioned_names(), "battery_voltage_V"])
def test_every_name_with_a_unit_has_its_row_in_the_nomenclature(name: str) -> None:
    table = page("nomenclature.md").partition("## Quantities\n")[2]
    cells = row_of(table, name)
    assert cells, f"{name} has no row"
    # the house rule: the ending says the unit
    ending = max((end for end in UNIT_OF_ENDING if name.endswith(f"_{end}")), key=len)
    unit = cells[1] if len(cells) == 3 else cells[2]
    assert unit == OTHER_UNIT.get(name, UNIT_OF_ENDING[ending])


def test_no_name_in_the_tables_of_quantities_is_gone_from_the_program() -> None:
    table = page("nomenclature.md").partition("## Quantities\n")[2].partition("## Units\n")[0]
    source = "\n".join(path.read_text(encoding="utf-8") for path in sorted(SRC.rglob("*.py")))
    told = {name for cells in rows(table) for name in spelt(cells[0])}
    assert told
    assert [name for name in sorted(told) if not re.search(rf"\b{name}\b", source)] == []


@pytest.mark.parametrize(
    "words", [terms.Family, terms.Earth, terms.Source, terms.Standing, terms.Verdict, terms.Advice, terms.Ignition]
)
def test_every_word_of_the_trade_that_the_program_uses_is_in_the_nomenclature(words: type[StrEnum]) -> None:
    told = spelt(page("nomenclature.md").replace("\n", " "))
    assert [word.value for word in words if word.value not in told] == []


def test_the_sources_stand_in_the_order_in_which_they_count() -> None:
    told = [spelt(cells[0])[0] for cells in rows(under("nomenclature.md", "Sources of a finding"))[1:]]
    assert told == [source.value for source in terms.SOURCE_ORDER]


def test_the_ladder_of_certainty_is_the_one_the_program_uses() -> None:
    ladder = rows(under("nomenclature.md", "Certainty"))[1:]
    # by hand: seven words
    assert len(ladder) == 7
    for number, (least, confirmed, told) in enumerate(ladder):
        at = float(least.removesuffix(" %")) / 100.0
        assert terms.certainty(at, confirmed=True) == confirmed
        assert terms.certainty(at, confirmed=False) == told
        if number:
            # limit case: just under the next higher limit the word is still this one
            above = float(ladder[number - 1][0].removesuffix(" %")) / 100.0
            assert terms.certainty(above - 1e-9, confirmed=True) == confirmed


# --- examples --------------------------------------------------------------------------------------------------------


def example_job() -> dict[str, Any]:
    """The whole job shown first in docs/job.md."""
    return tomllib.loads(blocks(page("job.md"), "toml")[0])


def test_the_example_job_holds_every_key_and_every_finding_that_can_be_known() -> None:
    example = example_job()
    assert set(example) == set(job.Job.model_fields)
    kinds = [found["what"] for found in example["findings"]] + example["cannot_say"]
    assert sorted(kinds) == sorted(get_args(finding.FindingKind))


def test_the_example_job_is_answered() -> None:
    answer = answer_job(job_from(example_job(), "docs/job.md"), demo_shelf())
    # by hand: three wires, three equal AC volts, 10 A printed, negative earth
    assert answer.identify.families[0].name == "three-phase"
    assert answer.identify.earths[0].name == "negative earth"


@pytest.mark.parametrize("block", blocks(page("job.md"), "toml"))
def test_every_example_in_the_job_page_is_a_job(block: str) -> None:
    job_from({"format": 1, "number": "1"} | tomllib.loads(block), "docs/job.md")


@pytest.mark.parametrize("block", blocks(page("stock.md"), "toml"))
def test_every_example_in_the_stock_page_is_a_stock(block: str) -> None:
    assert shelf_from({"format": 1, "currency": "GBP"} | tomllib.loads(block), "docs/stock.md").parts


def test_there_is_an_example_of_every_kind_of_part() -> None:
    shown = [part["kind"] for block in blocks(page("stock.md"), "toml") for part in tomllib.loads(block)["parts"]]
    assert sorted(shown) == sorted(get_args(model.model_fields["kind"].annotation)[0] for model in PARTS)


# --- command line and links ------------------------------------------------------------------------------------------


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


def test_every_short_form_of_a_finding_that_the_program_takes_is_in_the_job_page() -> None:
    told = spelt(under("job.md", "Findings on the command line"))
    short = [f"{kind}={word}" for kind, words in jobs._SHORT.items() for word in words]
    assert [word for word in (*short, *(f"@{source}" for source in jobs._SOURCES)) if word not in told] == []


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
    links = re.findall(r"\]\((?!https?:|mailto:|#)([^)#\s]+)", path.read_text(encoding="utf-8"))
    assert [link for link in links if not (path.parent / link).exists()] == []
