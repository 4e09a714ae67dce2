"""Numbers as they are typed into blanks: digits with a point or a comma; all that are none are told at once."""

from collections.abc import Mapping

from ampwright.errors import BadRecord, Fault

# No blank of the desk takes a larger one.
_MOST = 1e9


def number_in(text: str) -> float | None:
    """The number that a blank holds, None for an empty one; a ValueError with the sentence where it is none."""
    plain = text.strip().replace(",", ".")
    if not plain:
        return None
    try:
        value = float(plain)
    except ValueError:
        value = float("nan")
    if not abs(value) < _MOST:
        raise ValueError(f"{text.strip()[:40]!r} is not a number. Write it in digits.")
    return value


def numbers_from(texts: Mapping[str, str]) -> dict[str, float | None]:
    """Each blank by its name as a number; all faults at once."""
    found: dict[str, float | None] = {}
    faults = []
    for name, text in texts.items():
        try:
            found[name] = number_in(text)
        except ValueError as wrong:
            faults.append(Fault(name, str(wrong)))
    if faults:
        raise BadRecord("what was asked", faults)
    return found
