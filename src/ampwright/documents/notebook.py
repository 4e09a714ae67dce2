"""
What a notebook shows of a picture: the specification for one that draws it, the SVG for any other.

A picture only holds numbers; whoever draws it says here how, for its kind.
"""

from collections.abc import Callable, Mapping
from functools import singledispatch
from typing import Any

from ampwright.errors import AmpwrightError

Bundle = dict[str, Any]

#: The type under which a notebook knows a specification of this version.
VEGALITE_TYPE = "application/vnd.vegalite.v6+json"


@singledispatch
def shown(picture: object) -> Bundle:
    """The forms of a picture by their types; none where its kind has not been told how it is drawn."""
    return {"text/plain": repr(picture)}


def bundle_of(spec: Mapping[str, Any], svg: Callable[[], str]) -> Bundle:
    """Both forms of one specification; the SVG is left out where what draws it is not installed."""
    bundle: Bundle = {VEGALITE_TYPE: dict(spec), "text/plain": spec["description"]}
    try:
        return bundle | {"image/svg+xml": svg()}
    except AmpwrightError:
        return bundle
