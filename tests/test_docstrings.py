"""Docstrings: one for everything public, and in the physics one that agrees with the signature and the suffixes."""

import ast
import inspect
import re
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from types import FunctionType, ModuleType
from typing import Any

import pytest

import ampwright

SRC = Path(ampwright.__file__).parent
PHYSICS = ("ampwright.electrics", "ampwright.operation", "ampwright.belief")

# The house rule: what a name's ending says, as the docstring's bracket writes it.
UNIT_OF_ENDING = {
    "_V": "[V]",
    "_A": "[A]",
    "_W": "[W]",
    "_ohm": "[Ω]",
    "_H": "[H]",
    "_Vs": "[V s]",
    "_rpm": "[rpm]",
    "_rad_s": "[rad/s]",
    "_Hz": "[Hz]",
    "_K_W": "[K/W]",
    "_W_K": "[W/K]",
    "_J_K": "[J/K]",
    "_dB": "[deciban]",
    "_bit": "[bit]",
}


@dataclass(frozen=True)
class Entry:
    """One entry of a numpydoc section: the names it describes, its type, and its words."""

    names: tuple[str, ...]
    kind: str
    words: str

    @property
    def needs_no_unit(self) -> bool:
        """A dataclass (spelt with a capital), a text or an array of yes and no has no unit."""
        return self.kind[:1].isupper() or self.kind.startswith(("str", "array of bool"))


def modules() -> list[ModuleType]:
    """Every module of the package."""
    return [ampwright, *(import_module(found.name) for found in walk_packages(ampwright.__path__, "ampwright."))]


def physics_functions() -> dict[str, Any]:
    """Every public function that a module of the physics or of belief defines itself, by its full name."""
    return {
        f"{module.__name__}.{name}": function
        for module in modules()
        if module.__name__.startswith(PHYSICS)
        for name, function in vars(module).items()
        if isinstance(function, FunctionType) and function.__module__ == module.__name__ and not name.startswith("_")
    }


def section(docstring: str, title: str) -> list[Entry]:
    """The entries of one numpydoc section, in order."""
    found = re.search(rf"^{title}\n-+\n(.*?)(?=^\w[^\n]*\n-+\n|\Z)", docstring, re.MULTILINE | re.DOTALL)
    if found is None:
        return []
    entries = re.findall(r"^(\S[^\n]*)\n((?:[ ]+[^\n]*(?:\n|$)|\n)*)", found[1], re.MULTILINE)
    return [_entry(head, body) for head, body in entries]


def _entry(head: str, body: str) -> Entry:
    names, _, kind = head.partition(" : ")
    return Entry(tuple(name.strip() for name in names.split(",")), kind.strip(), " ".join(body.split()))


def described() -> dict[str, Any]:
    """The physics functions that have a section of parameters or returns."""
    return {
        name: function
        for name, function in physics_functions().items()
        if section(inspect.getdoc(function) or "", "(?:Parameters|Returns)")
    }


def disagreements(function: Any) -> list[str]:
    """What a numpydoc docstring says otherwise than the signature and the suffixes."""
    docstring = inspect.getdoc(function) or ""
    parameters, returns = section(docstring, "Parameters"), section(docstring, "Returns")
    told = [name for entry in parameters for name in entry.names]
    signed = list(inspect.signature(function).parameters)
    faults = [] if told == signed else [f"documents {told}, takes {signed}"]
    if not returns:
        faults.append("has no section of returns")
    for entry in (*parameters, *returns):
        faults += _unit_faults(entry)
    return faults


def _unit_faults(entry: Entry) -> list[str]:
    if entry.needs_no_unit:
        return []
    if re.search(r"\[[^\]\d]+\]", entry.words) is None:
        return [f"{', '.join(entry.names)} has no [unit]"]
    endings = sorted(UNIT_OF_ENDING, key=len, reverse=True)
    wanted = [(name, next((UNIT_OF_ENDING[end] for end in endings if name.endswith(end)), "")) for name in entry.names]
    return [f"{name} is not in {unit}" for name, unit in wanted if unit not in entry.words]


def undocumented(source: str) -> list[str]:
    """The public functions, classes and methods of a source that have no docstring, and the module if it has none."""
    tree = ast.parse(source)
    missing = [] if ast.get_docstring(tree) else ["the module"]
    return missing + [name for name, node in _public(tree, "") if not ast.get_docstring(node)]


def _public(parent: ast.AST, within: str) -> Iterator[tuple[str, Any]]:
    for node in ast.iter_child_nodes(parent):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            yield within + node.name, node
            if isinstance(node, ast.ClassDef):
                yield from _public(node, f"{node.name}.")


def test_everything_public_has_a_docstring() -> None:
    files = sorted(SRC.rglob("*.py"))
    assert files
    found = {str(path.relative_to(SRC)): undocumented(path.read_text(encoding="utf-8")) for path in files}
    # the house rule
    assert {name: missing for name, missing in found.items() if missing} == {}


@pytest.mark.parametrize("name", sorted(described()))
def test_a_physics_docstring_agrees_with_the_signature_and_the_units(name: str) -> None:
    # the house rule
    assert disagreements(described()[name]) == []


def test_a_short_physics_docstring_names_the_unit_that_its_function_ends_in() -> None:
    short = {name: function for name, function in physics_functions().items() if name not in described()}
    endings = tuple(UNIT_OF_ENDING)
    silent = [
        name
        for name, function in sorted(short.items())
        if name.endswith(endings) and not _names_its_unit(name, inspect.getdoc(function) or "")
    ]
    # the house rule: a name that ends in a unit says in its docstring that this is what it returns
    assert silent == []


def _names_its_unit(name: str, docstring: str) -> bool:
    ending = next(end for end in sorted(UNIT_OF_ENDING, key=len, reverse=True) if name.endswith(end))
    return UNIT_OF_ENDING[ending] in docstring


def test_a_docstring_that_lies_is_found_out() -> None:
    def lies(speed_rpm, load_ohm):
        """
        Lie.

        Parameters
        ----------
        speed_rpm : float
            Speed. [Hz]
        other : float
            Nothing is said of its unit.

        Notes
        -----
        None.
        """

    # by hand: one wrong name, no returns, one wrong unit, one missing unit
    assert disagreements(lies) == [
        "documents ['speed_rpm', 'other'], takes ['speed_rpm', 'load_ohm']",
        "has no section of returns",
        "speed_rpm is not in [rpm]",
        "other has no [unit]",
    ]


def test_a_missing_docstring_is_found_in_module_class_and_method() -> None:
    source = "class A:\n    def b(self): ...\n    def _c(self): ...\ndef d():\n    'said'\n"
    # by hand: _c is private and d is documented
    assert undocumented(source) == ["the module", "A", "A.b"]
