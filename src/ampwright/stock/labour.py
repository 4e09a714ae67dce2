"""What work takes and what small parts cost: the package's assumed table, and a shop's own figures in its place."""

from collections import Counter
from collections.abc import Mapping
from decimal import Decimal
from functools import cache, cached_property
from typing import Annotated, Any, Literal, TypeVar

from pydantic import Field, ValidationError, model_validator

from ampwright.errors import BadRecord, Fault, faults_from
from ampwright.packaged import read_toml
from ampwright.stock.record import Record, Sourced, Text

Minutes = Annotated[Decimal, Field(ge=0, le=6000, max_digits=6, decimal_places=1)]
Money = Annotated[Decimal, Field(ge=0, max_digits=10, decimal_places=2)]
Quantity = Annotated[Decimal, Field(gt=0, le=1000, max_digits=7, decimal_places=3)]
Key = Annotated[str, Field(pattern="^[a-z0-9-]+$")]


class SmallPart(Record):
    """A thing that is used up by the work, as it is counted, with its price; absent, the shop has to give one."""

    key: Key
    words: Text
    unit: Literal["each", "set", "litre", "m"] = "each"
    price: Money | None = None


class Opening(Record):
    """
    A place that has to be opened: what that takes, once, however much is done inside.

    ``through`` names places that are opened before it; ``small_parts`` are used up by shutting it again.
    """

    key: Key
    words: Text
    minutes: Minutes
    through: tuple[Key, ...] = ()
    small_parts: Mapping[Key, Quantity] = {}


class Operation(Record):
    """One piece of work: its minutes without any opening, the places it opens, the small parts that follow it."""

    key: Key
    words: Text
    minutes: Minutes
    unit: Literal["each", "m"] = "each"
    opens: tuple[Key, ...] = ()
    small_parts: Mapping[Key, Quantity] = {}


class Labour(Sourced):
    """
    All openings, operations and small parts, with what an hour costs.

    ``own`` are the keys of what the shop has set itself, ``rate_per_hour`` among them; all else is assumed.
    """

    rate_per_hour: Money | None = None
    valid_days: Annotated[int, Field(ge=1, le=365)]
    openings: tuple[Opening, ...]
    operations: tuple[Operation, ...]
    small_parts: tuple[SmallPart, ...]
    own: frozenset[str] = frozenset()

    @model_validator(mode="after")
    def _hangs_together(self) -> "Labour":
        work: list[Opening | Operation] = [*self.openings, *self.operations]
        keys = [*(one.key for one in work), *(one.key for one in self.small_parts)]
        twice = sorted(key for key, count in Counter(keys).items() if count > 1)
        if twice:
            raise ValueError(f"the key {', '.join(twice)} stands more than once. Give each a key of its own.")
        used = {key for one in work for key in one.small_parts}
        opened = {key for one in self.operations for key in one.opens} | {
            key for one in self.openings for key in one.through
        }
        missing = sorted((used - set(self.small_part)) | (opened - set(self.opening)))
        if missing:
            raise ValueError(f"{missing[0]} is used and nowhere described. Describe it, or take it out.")
        return self

    def __hash__(self) -> int:
        # The tables in it are held by no hash; equal ones have at least this in common.
        return hash((self.rate_per_hour, self.valid_days, self.own))

    @cached_property
    def opening(self) -> Mapping[str, Opening]:
        """Openings by their key, in the order in which things are opened."""
        return {one.key: one for one in self.openings}

    @cached_property
    def operation(self) -> Mapping[str, Operation]:
        """Operations by their key, in the order in which a quote lists them."""
        return {one.key: one for one in self.operations}

    @cached_property
    def small_part(self) -> Mapping[str, SmallPart]:
        """Small parts by their key."""
        return {one.key: one for one in self.small_parts}


_Timed = TypeVar("_Timed", Opening, Operation)


class ShopLabour(Record):
    """
    What a shop puts in the place of the assumed figures; what is left out stays assumed.

    ``minutes`` are by the key of an operation or an opening, ``prices`` by that of a small part.
    """

    rate_per_hour: Money | None = None
    valid_days: Annotated[int, Field(ge=1, le=365)] | None = None
    minutes: Mapping[Key, Minutes] = {}
    prices: Mapping[Key, Money] = {}


def labour_from(data: Mapping[str, Any], where: str) -> Labour:
    """Check a document of labour, all faults at once."""
    try:
        return Labour.model_validate(data)
    except ValidationError as fault:
        raise BadRecord(where, faults_from(fault.errors())) from None


def shop_labour_from(data: Mapping[str, Any], where: str) -> ShopLabour:
    """
    Check a shop's own figures, all faults at once.

    A key that no table has is let through: it may be of an older one, and replaces nothing. ``unknown_keys`` tells.
    """
    try:
        return ShopLabour.model_validate(data)
    except ValidationError as fault:
        raise BadRecord(where, faults_from(fault.errors())) from None


def unknown_keys(own: ShopLabour) -> list[Fault]:
    """What a shop has set that nothing goes by."""
    usual = usual_labour()
    timed = {**usual.operation, **usual.opening}
    return [
        Fault(f"{field}, {key}", "nothing goes by that name. Check the spelling or take it out.")
        for field, given, known in (("minutes", own.minutes, timed), ("prices", own.prices, usual.small_part))
        for key in given
        if key not in known
    ]


@cache
def usual_labour() -> Labour:
    """The labour that ships with the package: assumed minutes, and rate and prices invented for the demo."""
    return labour_from(read_toml("labour"), "labour")


def labour_of(own: ShopLabour, *, demo_prices: bool) -> Labour:
    """
    The usual labour with a shop's own figures in it.

    ``demo_prices`` lets the invented rate and prices stand for what the shop has not set. That is right beside the
    demo's invented stock alone: in a quote of a real shop, and in its currency, they would pass for money.
    """
    usual = usual_labour()
    rate = own.rate_per_hour if own.rate_per_hour is not None else usual.rate_per_hour if demo_prices else None
    set_by_shop = {*own.minutes, *own.prices, *(["rate_per_hour"] if own.rate_per_hour is not None else [])}
    # Made anew and not copied: a copy would keep the tables by key that were made of the usual figures.
    return Labour(
        source=usual.source,
        standing=usual.standing,
        rate_per_hour=rate,
        valid_days=own.valid_days or usual.valid_days,
        openings=tuple(_timed(one, own) for one in usual.openings),
        operations=tuple(_timed(one, own) for one in usual.operations),
        small_parts=tuple(_priced(one, own, demo_prices) for one in usual.small_parts),
        own=frozenset(set_by_shop),
    )


def _timed(one: _Timed, own: ShopLabour) -> _Timed:
    return one.model_copy(update={"minutes": own.minutes.get(one.key, one.minutes)})


def _priced(one: SmallPart, own: ShopLabour, demo_prices: bool) -> SmallPart:
    return one.model_copy(update={"price": own.prices.get(one.key, one.price if demo_prices else None)})
