"""The shapes of the document: each record by its own name, so that none tells of another."""

from dataclasses import make_dataclass

import pytest

from ampwright.desk.web.api.shapes import Shapes


def test_two_records_of_one_name_are_refused() -> None:
    shapes = Shapes()
    first, second = make_dataclass("Told", [("name", str)]), make_dataclass("Told", [("answer", str)])
    shapes.of(first)
    # the same one again is no second
    assert shapes.of(first) == {"$ref": "#/components/schemas/Told"}
    # the rule: a document has room for one record under a name
    with pytest.raises(TypeError, match="Two records are called Told"):
        shapes.of(second)
