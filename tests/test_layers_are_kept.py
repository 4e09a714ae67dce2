"""The promises about layers that an import checker cannot see."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import ampwright

PACKAGE = Path(ampwright.__file__).parent
CORE = ["belief", "bench", "bike", "electrics", "errors", "identify", "operation", "selection", "stock", "terms"]
FILE_CALLS = {"open", "read_bytes", "read_text", "write_bytes", "write_text"}


def sources(part: str) -> list[Path]:
    """Give the source files of a package or module of ampwright."""
    folder = PACKAGE / part
    return sorted(folder.rglob("*.py")) if folder.is_dir() else [folder.with_suffix(".py")]


def file_calls(source: str) -> list[str]:
    """Give line and name of every call that opens, reads or writes a file."""
    calls = [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call)]
    named = [(call.lineno, getattr(call.func, "id", getattr(call.func, "attr", ""))) for call in calls]
    return [f"line {line}: {name}" for line, name in sorted(named) if name in FILE_CALLS]


@pytest.mark.parametrize("part", CORE)
def test_the_core_opens_no_file(part: str) -> None:
    files = sources(part)
    assert files
    found = {str(path.relative_to(PACKAGE)): file_calls(path.read_text(encoding="utf-8")) for path in files}
    # the rule: packaged.py reads what is shipped, storage/ what users keep, and no one else opens a file
    assert {name: calls for name, calls in found.items() if calls} == {}


def test_a_file_call_in_source_is_found_by_bare_name_and_by_method() -> None:
    # by hand: one call of each kind, and a mention in text that is no call
    source = 'open("a")\nPath("b").read_text()\nx = "open(c)"\n'
    assert file_calls(source) == ["line 1: open", "line 2: read_text"]


def test_importing_the_package_imports_no_numpy() -> None:
    program = "import sys, ampwright; print('numpy' in sys.modules, 'pydantic' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    # the rule: `import ampwright` stays cheap, whoever needs the numbers imports the part that has them
    assert done.stdout.split() == ["False", "False"]
