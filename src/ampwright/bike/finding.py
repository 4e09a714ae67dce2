"""
Findings: what was seen, told or measured, each with where it comes from.

One class a kind. ``what`` names the kind and ``answer`` holds what was found, in
the same words as forms and sheets. ``seen.py`` holds what one looks at, and
``reading.py`` what a meter shows.
"""

from typing import Annotated, Any, get_args

from pydantic import Field

from ampwright.bike.reading import AnyReading
from ampwright.bike.seen import AnySeen
from ampwright.bike.test_point import AnyOfFaults

Finding = Annotated[AnySeen | AnyReading | AnyOfFaults, Field(discriminator="what")]


def _kinds(*unions: Any) -> tuple[str, ...]:
    return tuple(get_args(kind.model_fields["what"].annotation)[0] for union in unions for kind in get_args(union))


#: Every kind of finding that tells what the bike is, in the order in which they are shown.
FINDING_KINDS = _kinds(AnySeen, AnyReading)
#: Kinds that tell only of what is wrong with it: one bike may have many of each.
FAULT_KINDS = _kinds(AnyOfFaults)
