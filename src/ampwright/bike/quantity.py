"""
One strict reader for the quantities people type.

A closed list of units; what could be read in two ways is not guessed at but
answered with a question.
"""

import re
from functools import lru_cache
from types import MappingProxyType
from typing import Literal

from ampwright.errors import BadReading

Dimension = Literal["V", "A", "W", "ohm", "Hz", "rpm", "Ah"]

_UNITS: MappingProxyType[str, tuple[Dimension, float]] = MappingProxyType(
    {
        "V": ("V", 1.0),
        "volt": ("V", 1.0),
        "volts": ("V", 1.0),
        "mV": ("V", 1e-3),
        "A": ("A", 1.0),
        "amp": ("A", 1.0),
        "amps": ("A", 1.0),
        "mA": ("A", 1e-3),
        "ampere": ("A", 1.0),
        "amperes": ("A", 1.0),
        "W": ("W", 1.0),
        "kW": ("W", 1000.0),
        "VA": ("W", 1.0),
        "watt": ("W", 1.0),
        "watts": ("W", 1.0),
        "ohm": ("ohm", 1.0),
        "ohms": ("ohm", 1.0),
        "Ω": ("ohm", 1.0),
        "Hz": ("Hz", 1.0),
        "rpm": ("rpm", 1.0),
        "Ah": ("Ah", 1.0),
    }
)
_NUMBER = r"[+-]?\d[\d.,]*"


def read_quantity(text: str, wanted: Dimension) -> float:
    """
    Read one typed quantity; a bare number is taken in the unit that was asked for.

    >>> read_quantity("14,2 V", "V")
    14.2
    >>> read_quantity("1,200 rpm", "rpm")
    1200.0
    """
    match = re.fullmatch(rf"({_NUMBER})\s*([^\d\s.,]\S*)?", text.strip())
    if match is None:
        raise BadReading(f"{text!r} is not one number with a unit. Write it like 14.2 {wanted}.")
    value = _number(match[1], text)
    if match[2] is None:
        return value
    dimension, factor = _unit(match[2], text)
    if dimension != wanted:
        raise BadReading(f"{text!r} is in {dimension}, wanted is {wanted}. Check which reading this is.")
    return value * factor


def quantities_in(text: str) -> dict[Dimension, float]:
    """
    Find every quantity in a marking such as ``12V 10A``, by dimension.

    Words, and letters and figures run together as in a serial number, are passed
    over; the same dimension with two figures is asked about.

    >>> quantities_in("12V 10A")
    {'V': 12.0, 'A': 10.0}
    >>> quantities_in("B10A77")
    {}
    """
    return dict(_quantities_in(text))


# A marking is read again for every part that its rating is held against.
@lru_cache(maxsize=500)
def _quantities_in(text: str) -> tuple[tuple[Dimension, float], ...]:
    if re.search(rf"{_NUMBER}\s*[A-Za-zΩ]*\s*/\s*\d", text):
        raise BadReading(f"{text!r} gives two figures with a stroke between. Give the one that is the generator's.")
    found: dict[Dimension, float] = {}
    for number, word in re.findall(rf"(?<![A-Za-z0-9.,])({_NUMBER})\s*([A-Za-zΩ]+)(?![A-Za-z0-9])", text):
        if not _is_unit(word):
            continue
        dimension, factor = _unit(word, text)
        value = _number(number, text) * factor
        if found.get(dimension, value) != value:
            raise BadReading(f"{text!r} gives two figures in {dimension}. Give the one that is the generator's.")
        found[dimension] = value
    return tuple(found.items())


def _is_unit(word: str) -> bool:
    return any(spelt in _UNITS for spelt in (word, word.capitalize(), word.lower()))


def _unit(word: str, text: str) -> tuple[Dimension, float]:
    # Case counts only where it separates milli from mega; MV and MA are asked about.
    for spelt in (word, word.capitalize(), word.lower()):
        if spelt in _UNITS and not (word.startswith("M") and spelt != word):
            return _UNITS[spelt]
    raise BadReading(f"{text!r}: the unit {word!r} is not known. Use one of {', '.join(_UNITS)}.")


def _number(digits: str, text: str) -> float:
    if re.fullmatch(r"[+-]?\d{1,3}(,\d{3})+(\.\d+)?", digits):
        return float(digits.replace(",", ""))
    if re.fullmatch(r"[+-]?\d+,\d{1,2}", digits):
        return float(digits.replace(",", "."))
    try:
        return float(digits)
    except ValueError:
        raise BadReading(f"{text!r}: {digits!r} can be read in two ways. Write it with one decimal point.") from None
