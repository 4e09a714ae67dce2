"""The usual cautions, as records by what makes them apply."""

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from ampwright.packaged import read_toml
from ampwright.stock.record import Record, Text


class Caution(Record):
    """One caution and when it applies."""

    when: Text
    text: Text


class _Cautions(Record):
    cautions: tuple[Caution, ...]


@cache
def usual_cautions() -> Mapping[str, str]:
    """The cautions that ship with the package, by when they apply."""
    found = _Cautions.model_validate(read_toml("cautions")).cautions
    return MappingProxyType({caution.when: caution.text for caution in found})
