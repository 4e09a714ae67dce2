"""docs/library.md against the package: its examples run, and every address of the page has a function in its table."""

import ast
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from pages import blocks, page, spelt, table, under

import ampwright
from ampwright.desk.cases.shop import open_shop
from ampwright.desk.web.app import create_app


def page_routes(app: FastAPI) -> set[str]:
    """Every address of the page with its method; not the list of the programme interface."""
    paths = get_openapi(title="the page", version="1", routes=app.routes)["paths"]
    return {f"{method.upper()} {path}" for path, methods in paths.items() for method in methods} - {"GET /api"}


def test_the_examples_run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    held: dict[str, Any] = {"folder": str(tmp_path)}
    for block in blocks(page("library.md"), "python"):
        exec(compile(block, "docs/library.md", "exec"), held)
    printed = capsys.readouterr().out
    held["shop"].close()
    # by hand: the second proposal was said yes to, a danger waits for no yes, the battery was told, and the job waits;
    # the second circuit is bad
    told = ["danger", "thick_wires", "battery_voltage_V"]
    assert [found["what"] for found in held["kept"].document["findings"]] == told
    assert held["pdf"].startswith(b"%PDF")
    # by hand: the parade's bike has its plus post on the frame; the second kit is another and has a loom of its own
    assert (held["wired"].before.earth, held["wired"].after.earth) == ("positive earth", "negative earth")
    assert held["work"].kit.codes == ampwright.kit_job(held["parade"], held["stock"]).kits[1].codes
    # the formats' own rules: a picture, a sheet with a line for every wire under its headings, a netlist that ends
    assert held["drawing"].startswith("<svg")
    assert len(held["from_to"].splitlines()) == 1 + len(ampwright.loom_in(held["work"], "after").numbers)
    assert held["netlist"].rstrip().endswith(".end")
    assert "['101']" in printed
    assert printed.splitlines()[-1].startswith("circuit bad: ")


def test_every_address_of_the_page_has_its_functions_in_the_table(tmp_path: Path) -> None:
    told = {spelt(cells[0])[0]: spelt(cells[1]) for cells in table(under("library.md", "The page in Python"))}
    routes = page_routes(create_app(open_shop(str(tmp_path))))
    assert len(routes) > 30
    # the page's own routes
    assert sorted(told) == sorted(routes)
    assert all(told.values())
    assert sorted({name for names in told.values() for name in names} - set(ampwright.__all__)) == []


def test_every_function_that_the_page_names_is_there() -> None:
    names = [code.removeprefix("ampwright.") for code in spelt(page("library.md")) if code.replace("_", "").isalpha()]
    wanted = [name for name in names if "_" in name or name[0].isupper()]
    assert len(wanted) > 40
    assert [name for name in wanted if name not in ampwright.__all__ and name != "GET"] == []


def test_every_public_name_is_found_and_listed() -> None:
    for name in ampwright.__all__:
        assert getattr(ampwright, name) is not None
        assert name in dir(ampwright)
    with pytest.raises(AttributeError, match=r"dir\(ampwright\)"):
        _ = ampwright.no_such_name


def test_a_type_checker_is_told_the_same_names() -> None:
    tree = ast.parse(Path(ampwright.__file__).read_text(encoding="utf-8"))
    block = next(node for node in tree.body if isinstance(node, ast.If))
    told = {
        (str(node.module), one.name) for node in block.body if isinstance(node, ast.ImportFrom) for one in node.names
    }
    # the rule: the two lists are one
    assert told == {(f"ampwright.{home}", name) for name, home in ampwright._HOME_OF.items()}


def test_the_package_alone_brings_no_arrays() -> None:
    program = "import sys, ampwright; print('numpy' in sys.modules, ampwright.__version__)"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    # the rule: a name is looked up when it is first used
    assert done.stdout.split()[0] == "False"


def test_a_name_costs_only_what_it_needs() -> None:
    program = "import sys, ampwright; ampwright.AmpwrightError; print('pydantic' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    # the rule: errors need no records
    assert done.stdout.strip() == "False"


def test_public_functions_say_what_they_take_and_give() -> None:
    for name in ampwright.__all__:
        function = getattr(ampwright, name)
        if callable(function) and not isinstance(function, type):
            assert function.__doc__, name
            assert "return" in function.__annotations__, name
