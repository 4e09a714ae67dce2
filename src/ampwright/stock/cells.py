"""
What a cell of a sheet says, read strictly.

Other people's sheets write 14,2 and 14.2, £12.50 and 12,50 EUR, yes and 1. What can be read in two ways is not guessed
at: it is answered with a sentence.
"""

import re
from dataclasses import dataclass
from decimal import Decimal

from ampwright.errors import BadReading


@dataclass(frozen=True)
class OtherCell:
    """A cell that holds neither text nor number nor yes or no, such as a date: what it is, as it is shown."""

    what: str


Cell = str | int | float | bool | OtherCell | None

_EXPONENT = re.compile(r"[+-]?\d+(\.\d+)?[eE][+-]?\d{1,2}")
_DIGITS = re.compile(r"([+-]?)(\d[\d.,]*|[.,]\d+)")
# A thousands sign that is no decimal mark: blanks of several kinds, and apostrophes.
_GROUPED = re.compile(r"([+-]?\d{1,3}(?:[ \u00a0\u2009\u202f'’]\d{3})+)(?![\d])")
_MONEY = re.compile(r"(?P<before>[^\d\s.,+-]*)\s*(?P<number>[+-]?[\d.,].*?)\s*(?P<after>[^\d\s.,+-]*)")
_UNITS = str.maketrans({"µ": "u", "μ": "u", "²": "2", "Ω": "ohm", "°": "deg"})
# What a sign may stand for; a dollar and a yen sign are those of several countries.
_SIGNS = {
    "£": ("GBP",),
    "€": ("EUR",),
    "$": ("USD", "AUD", "CAD", "NZD", "SGD", "HKD"),
    "¥": ("JPY", "CNY"),
    "₹": ("INR",),
    "zł": ("PLN",),
    "kr": ("SEK", "NOK", "DKK", "ISK"),
    "Kč": ("CZK",),
}
# Signs with which a text would be taken for a formula by whoever opens a CSV file, wide ones too.
_FORMULA_SIGNS = frozenset("=+-@\t\r\n＝＋－＠")
_YES, _NO = ("yes", "true", "1"), ("no", "false", "0")


def is_blank(cell: Cell) -> bool:
    """Whether a cell says nothing."""
    return cell is None or (isinstance(cell, str) and not cell.strip())


def guarded(text: str) -> str:
    """
    A text as a CSV file may hold it: behind an apostrophe where it would be taken for a formula.

    >>> guarded("=1+1"), unguarded("'=1+1"), unguarded("'tis")
    ("'=1+1", '=1+1', "'tis")
    """
    return "'" + text if _wants_guard(text) else text


def unguarded(text: str) -> str:
    """The text that was written so."""
    return text[1:] if text.startswith("'") and _wants_guard(text[1:]) else text


def _wants_guard(text: str) -> bool:
    # One that starts with an apostrophe gets another, so that each can be taken away again.
    return text.lstrip(" ")[:1] in _FORMULA_SIGNS or text.startswith("'")


def spelt_unit(text: str) -> str:
    """A unit as names of columns write it: uF for µF, mm2 for mm²."""
    return text.strip().translate(_UNITS)


def read_words(cell: Cell) -> str:
    """
    Read a text; a number that a spreadsheet made of a code is written out again.

    >>> read_words(1001.0)
    '1001'
    """
    if isinstance(cell, OtherCell):
        raise BadReading(f"the spreadsheet made {cell.what} of it. Set the column to text and type it again.")
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15:
        return str(int(cell))
    return "" if cell is None else str(cell).strip()


def read_number(cell: Cell, unit: str = "") -> float:
    """
    Read a number, with a decimal point or comma, and with the column's own unit behind it or none.

    >>> read_number("14,2 V", "V")
    14.2
    """
    return float(_number(cell, unit))


def read_whole(cell: Cell, unit: str = "") -> int:
    """Read a whole number."""
    value = _number(cell, unit)
    if value != value.to_integral_value():
        raise BadReading(f"{_shown(cell)} is not a whole number. Put it right.")
    return int(value)


def read_money(cell: Cell, currency: str) -> Decimal:
    """
    Read a sum; a currency beside it has to be that of the stock.

    >>> read_money("£12.50", "GBP")
    Decimal('12.50')
    """
    if not isinstance(cell, str):
        return _number(cell, "")
    match = _MONEY.fullmatch(cell.strip())
    if match is None:
        raise BadReading(f"{_shown(cell)} is not a sum. Write it like 12.50.")
    for sign in (match["before"], match["after"]):
        if sign and not is_currency(sign, currency):
            raise BadReading(
                f"{_shown(cell)} is not in {currency}, which the stock is kept in. Write it in {currency}."
            )
    return _number(match["number"], "")


def is_currency(sign: str, currency: str) -> bool:
    """Whether a sign or three letters can mean this currency."""
    return sign.strip().upper() == currency or currency in _SIGNS.get(sign.strip(), ())


def read_yes_no(cell: Cell) -> bool:
    """Read yes or no, true or false, 1 or 0."""
    if isinstance(cell, bool):
        return cell
    word = read_words(cell).casefold()
    if word not in _YES + _NO:
        raise BadReading(f"{_shown(cell)} is neither yes nor no. Write yes or no.")
    return word in _YES


def _shown(cell: Cell) -> str:
    text = repr(cell)
    return text if len(text) <= 60 else text[:60] + "..."


def _number(cell: Cell, unit: str) -> Decimal:
    if isinstance(cell, OtherCell):
        raise BadReading(f"the spreadsheet made {cell.what} of it. Set the column to numbers and type it again.")
    if isinstance(cell, bool):
        raise BadReading(f"{'yes' if cell else 'no'} is not a number. Put it right.")
    if isinstance(cell, int):
        return Decimal(cell)
    if isinstance(cell, float):
        return Decimal(repr(cell))
    text = (cell or "").strip()
    if unit and (match := re.fullmatch(r"(.*\d[.,]?)\s*(\D+?\d?)", text)) and spelt_unit(match[2]) == unit:
        text = match[1].strip()
    return Decimal(_plain_digits(text))


def _plain_digits(text: str) -> str:
    """The number that a text says, in digits with a decimal point; refused where it can be read in two ways."""
    if _EXPONENT.fullmatch(text):
        return text
    if grouped := _GROUPED.match(text):
        text = re.sub(r"[^\d+-]", "", grouped[1]) + text[grouped.end() :]
        if re.fullmatch(r"[+-]?\d+([.,]\d*)?", text):
            return text.replace(",", ".")
    match = _DIGITS.fullmatch(text)
    if match is None or not text.isascii():
        raise BadReading(f"{_shown(text)} is not a number alone. Write it like 14.2.")
    sign, digits = match[1], match[2]
    marks = [mark for mark in digits if mark in ".,"]
    if not marks:
        return sign + digits
    before, mark, after = _at_last(digits)
    if len(set(marks)) == 1 and len(marks) == 1:
        if len(after) == 3 and 1 <= len(before) <= 3 and not before.startswith("0"):
            raise BadReading(
                f"{_shown(text)} can be read as {before + after} or as {before}.{after}0."
                " Write it in one of these two ways."
            )
        return f"{sign}{before or '0'}.{after or '0'}"
    if len(set(marks)) == 1:  # several of one sign: they part thousands
        return sign + _joined(digits, mark, text)
    if marks.count(mark) > 1:
        raise BadReading(f"{_shown(text)} is not a number. Write it like 1234.50.")
    other = "," if mark == "." else "."
    return f"{sign}{_joined(before, other, text)}.{after or '0'}"


def _at_last(digits: str) -> tuple[str, str, str]:
    at = max(digits.rfind("."), digits.rfind(","))
    return digits[:at], digits[at], digits[at + 1 :]


def _joined(digits: str, mark: str, text: str) -> str:
    first, *rest = digits.split(mark)
    if not 1 <= len(first) <= 3 or any(len(group) != 3 for group in rest):
        raise BadReading(f"{_shown(text)} is not a number: its thousands are not in threes. Write it like 1234.50.")
    return first + "".join(rest)
