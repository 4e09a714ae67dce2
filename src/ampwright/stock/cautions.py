"""The usual cautions, as records by what makes them apply."""

from ampwright.packaged import read_toml
from ampwright.stock.record import Record, Text


class Caution(Record):
    """One caution and when it applies."""

    when: Text
    text: Text


class _Cautions(Record):
    cautions: tuple[Caution, ...]


def usual_cautions() -> dict[str, str]:
    """The cautions that ship with the package, by when they apply."""
    return {caution.when: caution.text for caution in _Cautions.model_validate(read_toml("cautions")).cautions}
