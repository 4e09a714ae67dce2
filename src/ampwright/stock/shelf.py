"""The shop's stock as one record: the currency, and every part."""

from collections import Counter
from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError, model_validator

from ampwright.errors import BadRecord, faults_from
from ampwright.packaged import read_toml
from ampwright.stock.parts import AnyPart
from ampwright.stock.record import Record


class Shelf(Record):
    """All parts of one shop, with the currency of their prices (ISO 4217)."""

    format: Literal[1]
    currency: Annotated[str, Field(pattern="^[A-Z]{3}$")]
    parts: tuple[Annotated[AnyPart, Field(discriminator="kind")], ...] = ()

    @model_validator(mode="after")
    def _codes_are_unique(self) -> "Shelf":
        counts = Counter(part.code for part in self.parts)
        twice = sorted(code for code, count in counts.items() if count > 1)
        if twice:
            raise ValueError(f"the code {', '.join(twice)} stands more than once. Give every part a code of its own.")
        return self


def shelf_from(data: Mapping[str, Any], where: str) -> Shelf:
    """Check a stock document, all faults at once; ``where`` names it in the text."""
    try:
        return Shelf.model_validate(data)
    except ValidationError as fault:
        raise BadRecord(where, faults_from(fault.errors())) from None


@cache
def demo_shelf() -> Shelf:
    """The invented stock that ships with the package."""
    return shelf_from(read_toml("demo_stock"), "demo stock")
