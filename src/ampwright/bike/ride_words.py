"""A ride in plain words: ``town 20, lanes 40, tick-over 10``; what is not understood is asked about, never guessed."""

import re
from collections.abc import Mapping
from types import MappingProxyType

from ampwright.bike.ride import MOST_LEGS, Leg, LegKind
from ampwright.errors import BadRecord, Fault

#: The words by which each kind is understood, besides the kind itself.
SYNONYMS: Mapping[LegKind, tuple[str, ...]] = MappingProxyType(
    {
        "town": ("in town", "city", "stop and go"),
        "lanes": ("lane", "country lanes", "country lane", "back roads"),
        "main road": ("main roads", "a road", "a roads", "open road"),
        "motorway": ("motorways", "dual carriageway", "dual carriageways", "freeway"),
        "tick-over": ("tickover", "ticking over", "idle", "idling"),
        "parade": ("walking pace", "procession"),
        "rest": ("parked", "engine off"),
    }
)
_KIND_OF: Mapping[str, LegKind] = MappingProxyType(
    {word: kind for kind, words in SYNONYMS.items() for word in (kind.replace("-", " "), *words)}
)
_HOURS = re.compile(
    r"(?P<hours>[0-9]{1,4}(?:\.[0-9]{1,3})?) ?(?:h|hr|hrs|hour|hours)"
    r"(?: ?(?P<rest>[0-9]{1,2}) ?(?:min|mins|minute|minutes)?)?"
)
_MINUTES = re.compile(r"(?P<minutes>[0-9]{1,4}(?:\.[0-9]{1,3})?) ?(?:min|mins|minute|minutes)?")
_LONGEST_TEXT, _LONGEST_SHOWN = 4000, 40
_LEAST, _MOST = 0.5, 1440.0
_UNDERSTOOD = (
    "town, lanes (country lanes), main road, motorway (dual carriageway), tick-over (idle), parade (walking pace), rest"
)


def ride_from_words(text: str, where: str = "the ride") -> tuple[Leg, ...]:
    """
    Read the legs of a ride: kind, then minutes, with commas, semicolons or new lines between them.

    All that is not understood is told at once, leg by leg.

    >>> [(leg.kind, leg.minutes) for leg in ride_from_words("Town 20; country lanes 1 h 30, idle 10 min")]
    [('town', 20.0), ('lanes', 90.0), ('tick-over', 10.0)]
    """
    if len(text) > _LONGEST_TEXT:
        raise BadRecord(where, [Fault("the words", f"are longer than {_LONGEST_TEXT} characters. Shorten them.")])
    said = [part for part in (" ".join(part.split()) for part in re.split(r"[,;\n]", text)) if part]
    if not said:
        raise BadRecord(
            where,
            [Fault("the words", f"tell no leg. Write them like: town 20, lanes 40. Understood are: {_UNDERSTOOD}.")],
        )
    if len(said) > MOST_LEGS:
        sentence = f"tell {len(said)} legs; {MOST_LEGS} at most. Put legs of one kind together."
        raise BadRecord(where, [Fault("the words", sentence)])
    legs: list[Leg] = []
    faults: list[Fault] = []
    for number, part in enumerate(said, start=1):
        kind, minutes, sentences = _leg(part)
        faults += [Fault(f"leg {number}", sentence) for sentence in sentences]
        if kind is not None and minutes is not None:
            legs.append(Leg(kind=kind, minutes=minutes))
    if faults:
        raise BadRecord(where, faults)
    return tuple(legs)


def _leg(said: str) -> tuple[LegKind | None, float | None, list[str]]:
    """Kind, minutes and what is wrong, of one leg without blanks at its ends."""
    found = re.fullmatch(r"([^0-9]*)(.*)", said)
    word, time = (found[1], found[2]) if found else (said, "")
    kind, sentences = _kind(word, said)
    minutes, more = _minutes(time, said)
    return kind, minutes, [*sentences, *more]


def _kind(word: str, said: str) -> tuple[LegKind | None, list[str]]:
    # A hyphen between letters is a blank; one before a number is a minus, and stays.
    plain = " ".join(re.sub(r"(?<=[a-z])[-_\u2010\u2011](?=[a-z])", " ", word.lower()).rstrip(" :=").split())
    if not plain:
        return None, [f"{_shown(said)} does not say on what road. Write the kind first, then the minutes: town 20."]
    if plain not in _KIND_OF:
        return None, [f"{_shown(word.strip())} is no kind of riding that is understood. Understood are: {_UNDERSTOOD}."]
    return _KIND_OF[plain], []


def _minutes(time: str, said: str) -> tuple[float | None, list[str]]:
    if not time:
        return None, [f"{_shown(said)} does not say for how long. Write it like: town 20, or town 1 h 30."]
    plain = time.lower()
    if found := _HOURS.fullmatch(plain):
        if found["rest"] is not None and ("." in found["hours"] or int(found["rest"]) > 59):
            return None, [f"{_shown(time)} can be read in two ways. Write the minutes alone, such as 90."]
        minutes = 60.0 * float(found["hours"]) + float(found["rest"] or 0)
    elif found := _MINUTES.fullmatch(plain):
        minutes = float(found["minutes"])
    else:
        return None, [f"{_shown(time)} is not a time that is understood. Write it like 20, 20 min, 1 h or 1 h 30."]
    if not _LEAST <= minutes <= _MOST:
        return None, [
            f"{_shown(time)} is {minutes:g} minutes; a leg lasts from half a minute to 24 hours. Put it right."
        ]
    return minutes, []


def _shown(text: str) -> str:
    return repr(text if len(text) <= _LONGEST_SHOWN else f"{text[:_LONGEST_SHOWN]}...")
