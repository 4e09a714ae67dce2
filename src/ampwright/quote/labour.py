"""Work by operation: minutes, what has to be opened for all of it together, and the small parts that follow."""

from collections.abc import Iterable, Mapping
from decimal import Decimal

from ampwright.errors import BadReading
from ampwright.quote.lines import Item
from ampwright.stock.labour import Labour, Opening, Operation

#: Operations by their key, and how many times each is done.
Work = tuple[tuple[str, Decimal], ...]


def items_of_work(work: Iterable[tuple[str, Decimal]], labour: Labour) -> tuple[Item, ...]:
    """
    Work as items to be charged: openings first, each once however many operations need it, then the operations.

    The order of ``work`` does not matter: openings and operations stand in the order of the labour's own table.
    """
    counts = _counted(work, labour)
    openings = openings_for(counts, labour)
    timed = [(opening, Decimal(1)) for opening in openings]
    timed += [(one, counts[one.key]) for one in labour.operations if one.key in counts]  # type: ignore[misc]
    used: dict[str, Decimal] = {}
    for one, count in timed:
        for key, quantity in one.small_parts.items():
            used[key] = used.get(key, Decimal(0)) + quantity * count
    return (
        *(_small_part(key, quantity, labour) for key, quantity in used.items()),
        *(_work(*one, labour) for one in timed),
    )


def openings_for(keys: Iterable[str], labour: Labour) -> tuple[Opening, ...]:
    """The places that some operations open, and those on the way to them, each once."""
    wanted = {place for key in keys for place in labour.operation[key].opens}
    while True:
        further = {place for key in wanted for place in labour.opening[key].through} - wanted
        if not further:
            return tuple(one for one in labour.openings if one.key in wanted)
        wanted |= further


def _counted(work: Iterable[tuple[str, Decimal]], labour: Labour) -> Mapping[str, Decimal]:
    counts: dict[str, Decimal] = {}
    for key, count in work:
        if key not in labour.operation:
            raise BadReading(f"There is no operation {key!r}. Choose from: {', '.join(labour.operation)}.")
        counts[key] = counts.get(key, Decimal(0)) + count
    return {key: count for key, count in counts.items() if count}


def _work(one: Opening | Operation, count: Decimal, labour: Labour) -> Item:
    is_own = {one.key, "rate_per_hour"} <= labour.own
    return Item("labour", one.key, one.words, one.minutes * count, "min", labour.rate_per_hour, not is_own)


def _small_part(key: str, quantity: Decimal, labour: Labour) -> Item:
    part = labour.small_part[key]
    return Item("small part", key, part.words, quantity, part.unit, part.price, key not in labour.own)
