"""Texts as they are compared: without accents, case and marks; and phone numbers by their digits."""

import re
import unicodedata
from collections.abc import Mapping
from typing import Any

from ampwright.storage.kept import Caller

# Letters that are no plain letter with an accent.
_LETTERS = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i"})
_PHONE = re.compile(r"(?:\+\s*)?\(?\d[\d\s/().\-]*\d")
# A country's prefix is of one to three digits (ITU-T E.164); a number without it is hardly shorter than this (assumed).
_LONGEST_PREFIX, _SHORTEST_PHONE = 3, 6
# Fewer digits than this, typed in several words, are no part of a phone number (assumed).
_FEWEST_DIGITS = 5


def folded(text: str) -> str:
    """A text in small letters without accents, one blank between its words."""
    text = text.encode("utf-8", "ignore").decode("utf-8").replace("\0", " ")
    apart = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(sign for sign in apart if not unicodedata.combining(sign)).casefold()
    return " ".join(bare.translate(_LETTERS).split())


def phone_digits(text: str) -> str:
    """The digits of a phone number without the noughts before it, and without the one in ``+44 (0)``."""
    return re.sub(r"\D", "", text.replace("(0)", "")).lstrip("0")


def phones_in(text: str) -> list[tuple[str, tuple[str, ...]]]:
    """What could be a phone number in a typed text, each with the digits without a country's prefix it may have."""
    found = []
    for typed in _PHONE.findall(text):
        digits = phone_digits(typed)
        if digits and len(re.sub(r"\D", "", typed)) >= _FEWEST_DIGITS:
            abroad = typed.startswith("+") or typed.lstrip("(").startswith("00")
            most = _LONGEST_PREFIX if abroad else 0
            bare = [digits[cut:].lstrip("0") for cut in range(1, most + 1) if len(digits) - cut >= _SHORTEST_PHONE]
            found.append((typed, (digits, *bare)))
    return found


def search_text(number: str, caller: Caller, document: Mapping[str, Any]) -> str:
    """What the one box looks through: number, name, phone, title and what is marked on the generator."""
    marks = [str(said.get("answer", "")) for said in document.get("findings", ()) if said.get("what") == "marking"]
    phone = phone_digits(caller.phone)
    texts = (number, caller.name, phone, str(document.get("title", "")), *marks)
    return f" {' '.join(filter(None, map(folded, texts)))} "


def without_phone(text: str, phone: str) -> str:
    """A text in which a phone number, however it is spaced, is three dots."""
    digits = phone_digits(phone)
    if len(digits) < _FEWEST_DIGITS:
        return text
    return re.sub(r"(?:\+|\b0*)?" + r"[\s/().\-_]*".join(digits), "…", text)
