"""What every catalogue record carries."""

from decimal import Decimal
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from ampwright.terms import Standing

Positive = Annotated[float, Field(gt=0)]
Text = Annotated[str, Field(min_length=1, max_length=400)]


class Record(BaseModel):
    """A frozen record that refuses keys it does not know; absent means not known."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True, allow_inf_nan=False)


class Sourced(Record):
    """A record whose figures say where they come from."""

    source: Text
    standing: Standing


class Part(Sourced):
    """What the counter needs of any part: its code, its name, its price and whether it is there."""

    code: Annotated[str, Field(min_length=1, max_length=40)]
    name: Text
    price: Annotated[Decimal, Field(ge=0, max_digits=10, decimal_places=2)]
    in_stock: Annotated[int, Field(ge=0)]
    note: str = ""

    def __hash__(self) -> int:
        # A shelf has one part of each code, so this tells parts apart as well as all fields would, and at once.
        return hash(self.code)
