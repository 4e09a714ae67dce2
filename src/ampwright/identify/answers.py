"""
What people say, sorted into the answers that the tables list.

The limits between the classes are judgement unless a source stands beside them.
"""

import re
from collections.abc import Callable
from typing import Any

from ampwright.bike.finding import Finding
from ampwright.bike.seen import MarkingFound

# A rotor's diameter is as exact as a rule held across it: within this of 70 or 74 mm. Assumed.
_DIAMETER_WITHIN_MM = 1.4


def answer_key(finding: Finding) -> str:
    """The name under which the tables list a finding's answer."""
    if isinstance(finding, MarkingFound):
        return marking_class(finding)
    sort = _SORTED.get(finding.what)
    return sort(finding.answer) if sort else str(finding.answer)


def marking_class(marking: MarkingFound) -> str:
    """
    Sort a marking into the rating classes of the trade.

    10 to 10.5 A (120 to 126 W) and 14.5 to 16 A (174 to 192 W) are common
    practice, no source.
    """
    amps = marking.rated_A(trade_V=12.0)
    if amps is not None:
        if 9.0 <= amps <= 11.9:
            return "about 10 A"
        return "about 15 A" if 13.5 <= amps <= 17.0 else "other amps"
    return "6 V only" if marking.marked_V == 6.0 else "none"


def colour_class(told: str) -> str:
    """Sort the colours of the thick wires; letters by BS AU 7 (G green, Y yellow, W white, B black) are read too."""
    colours = [_spelt_out(part) for part in re.split(r"[,;+]|\band\b", told.lower()) if part.strip()]
    text = " ".join(colours)
    if re.search(r"\b(all|same|three|two) (of )?(the same|one|yellows?|whites?|blacks?|reds?)\b", text):
        return "all of one colour"
    if re.search(r"faded|black with|grey|can't tell", text):
        return "faded or other"
    if len(colours) == 3 and len(set(colours)) == 2:
        return "two of one colour and one other"
    if len(colours) > 1 and len(set(colours)) == 1:
        return "all of one colour"
    if any("green/" in colour or "/green" in colour for colour in colours):
        return "green traced"
    if sorted(colours) == ["green", "yellow"]:
        return "yellow and green, plain"
    return "orange or light green" if "orange" in text or "light green" in text else "faded or other"


_LETTERS = {"g": "green", "y": "yellow", "w": "white", "b": "black", "r": "red", "u": "blue", "n": "brown"}


def _spelt_out(colour: str) -> str:
    """Spell a colour out: ``gy`` and ``green with yellow`` are both ``green/yellow``."""
    colour = re.sub(r"\s*(/|-| with )\s*", "/", colour.strip()).replace(" tracer", "")
    if re.fullmatch(r"[gywbrun]{1,2}", colour):
        return "/".join(_LETTERS[letter] for letter in colour)
    return colour


def letters_class(told: str) -> str:
    """Sort terminal letters: D and F are a dynamo's; DF, B+, 61, U V W a wound field's (DIN 72552)."""
    words = set(re.findall(r"[a-z0-9+\-]+", told.lower()))
    if words & {"df", "61", "b+", "d+"} or {"u", "v", "w"} <= words:
        return "wound-field letters"
    return "dynamo letters" if words >= {"d", "f"} or words == {"dfae"} else "other letters"


def year_class(year: int) -> str:
    """Sort a year into its decade."""
    if year < 1950:
        return "to 1949"
    return f"{year // 10 * 10}s" if year < 1980 else "later"


def diameter_class(diameter_mm: float) -> str:
    """Sort a rotor's diameter: 70 mm early, 74 mm later (owners' club article)."""
    for usual_mm in (70.0, 74.0):
        if abs(diameter_mm - usual_mm) <= _DIAMETER_WITHIN_MM:
            return f"about {usual_mm:g} mm"
    return "another diameter"


_SORTED: dict[str, Callable[[Any], str]] = {
    "wire_colours": colour_class,
    "terminal_letters": letters_class,
    "year": year_class,
    "rotor_diameter_mm": diameter_class,
}
