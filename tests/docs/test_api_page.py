"""docs/api.md against the interface: every call is in a table, every example runs, every figure is the code's."""

import json
import re
import shlex
from pathlib import Path

from desk_client import API, desk
from pages import blocks, page, rows, spelt, under

from ampwright.desk.web.api import bodies
from ampwright.desk.web.guard import MOST_BYTES


def told_calls() -> list[str]:
    """Every call that a table of the page names."""
    return [code for cells in rows(under("api.md", "Calls")) for code in spelt(cells[0]) if " " in code]


def test_the_tables_name_every_call_and_no_other(tmp_path: Path) -> None:
    paths = desk(tmp_path).get(f"{API}/openapi.json").json()["paths"]
    # the interface's own document
    calls = [f"{method.upper()} {path}" for path, operations in paths.items() for method in operations]
    assert sorted(told_calls()) == sorted(calls)


def test_the_page_has_every_example_run(tmp_path: Path) -> None:
    client = desk(tmp_path)
    lines = [line for block in blocks(page("api.md"), "sh") for line in block.splitlines()]
    assert len(lines) >= 10
    for line in lines:
        words = shlex.split(line)[1:]
        address = next(word for word in words if word.startswith("http"))
        body = words[words.index("--json") + 1] if "--json" in words else None
        method = words[words.index("-X") + 1] if "-X" in words else "POST" if body else "GET"
        reply = client.request(
            method, address.removeprefix("http://127.0.0.1:8417"), json=json.loads(body) if body else None
        )
        # the rule: an example works as it stands, in the order in which they stand
        assert reply.status_code in (200, 201), (line, reply.text)


def test_the_shown_refusal_is_how_one_looks(tmp_path: Path) -> None:
    shown = json.loads(blocks(page("api.md"), "json")[0])
    told = desk(tmp_path).post(f"{API}/answer", json={"job": {"why": "no reason"}}).json()
    # the page: the same words, a long sentence cut off behind its first
    assert told["error"] == shown["error"]
    assert told["faults"][0]["field"] == shown["faults"][0]["field"]
    assert told["faults"][0]["sentence"].startswith(shown["faults"][0]["sentence"])


def test_the_limits_are_those_of_the_code() -> None:
    text = under("api.md", "What is not known, and what goes wrong")
    # the code
    for figure in (bodies.MOST_DIGITS, bodies.MOST_DEEP, bodies.MOST_VALUES, MOST_BYTES // 1_000_000):
        assert re.search(rf"\b{figure}\b", text), figure
