"""What stands at the head of a shop's papers, and what its prices mean."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError

from ampwright.errors import BadRecord, faults_from
from ampwright.stock.record import Record

Line = Annotated[str, Field(max_length=80)]


class ShopDetails(Record):
    """
    The shop by its name and address, its tax, its paper; all of it may be left empty.

    ``tax_percent`` is what is in a price, or is added to it where ``prices_include_tax`` is false; absent, the papers
    say nothing of tax. ``keep_days`` is after how many days a new job is deleted by itself; absent, never.
    """

    name: Line = ""
    address: Annotated[tuple[Line, ...], Field(max_length=6)] = ()
    phone: Line = ""
    tax_name: Annotated[str, Field(max_length=20)] = "VAT"
    tax_percent: Annotated[Decimal, Field(ge=0, le=100, max_digits=5, decimal_places=2)] | None = None
    prices_include_tax: bool = True
    paper: Literal["A4", "Letter"] = "A4"
    keep_days: Annotated[int, Field(ge=1, le=3650)] | None = None


def shop_details_from(data: Mapping[str, Any], where: str) -> ShopDetails:
    """Check a shop's details, all faults at once; ``where`` names them in the text."""
    try:
        return ShopDetails.model_validate(data)
    except ValidationError as fault:
        raise BadRecord(where, faults_from(fault.errors())) from None
