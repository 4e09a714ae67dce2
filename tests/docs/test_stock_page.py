"""docs/stock.md against the program: every key of every part, and every example."""

import tomllib
from typing import get_args

import pytest
from pages import blocks, field_faults, kind_of, page, row_of, rows, spelt, under
from pydantic import BaseModel

from ampwright.stock import parts
from ampwright.stock.record import Part
from ampwright.stock.shelf import Shelf, shelf_from

PARTS = get_args(parts.AnyPart)


def test_every_key_of_every_part_and_of_the_file_is_described() -> None:
    top = under("stock.md", "The file")
    assert row_of(top, "parts")
    assert field_faults(top, Shelf, without=frozenset({"parts"})) == []
    assert field_faults(top, Part) == []


@pytest.mark.parametrize("model", PARTS)
def test_every_kind_of_part_is_described_with_its_keys(model: type[BaseModel]) -> None:
    told = under("stock.md", f"`{kind_of(model, 'kind')}`")
    own = frozenset({"kind", *Part.model_fields})
    assert field_faults(told, model, without=own) == []
    keys = [name for cells in rows(told) for name in spelt(cells[0])]
    # by hand: a key that the record does not know would be refused when somebody writes it
    assert [name for name in keys if name not in model.model_fields] == []


@pytest.mark.parametrize(("key", "model"), [("pairings", parts.Pairing), ("size", parts.Size)])
def test_every_key_of_a_table_in_a_part_is_described(key: str, model: type[BaseModel]) -> None:
    assert field_faults(under("stock.md", f"`{key}`"), model) == []


@pytest.mark.parametrize("block", blocks(page("stock.md"), "toml"))
def test_every_example_in_the_stock_page_is_a_stock(block: str) -> None:
    assert shelf_from({"format": 1, "currency": "GBP"} | tomllib.loads(block), "docs/stock.md").parts


def test_there_is_an_example_of_every_kind_of_part() -> None:
    shown = [part["kind"] for block in blocks(page("stock.md"), "toml") for part in tomllib.loads(block)["parts"]]
    assert sorted(shown) == sorted(kind_of(model, "kind") for model in PARTS)
