"""Findings typed for short, such as ``thick_wires=2@photo`` or ``battery_volts=14.2 fast lights off@measured``."""

import re
from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from enum import StrEnum
from functools import cache
from types import MappingProxyType
from typing import Any, get_args

from ampwright.bike.finding import FAULT_KINDS, FINDING_KINDS
from ampwright.bike.quantity import Dimension, read_quantity
from ampwright.bike.seen import AnySeen, Brushes, Headlamp, LastTouched, Needle, WiresToEngine
from ampwright.bike.test_point import Point
from ampwright.desk.cases.typed_points import SHORT_POINTS, figure_at, points_by_name
from ampwright.errors import BadReading
from ampwright.selection.danger import READ_AGAIN
from ampwright.stock.fault_settings import usual_fault_settings
from ampwright.terms import Source, finding_words

_KINDS = {
    "wires": "thick_wires",
    "battery": "battery_voltage_V",
    "post": "frame_post",
    "volts": "pair_volts",
    "ohms": "pair_ohms",
    "colours": "wire_colours",
    "box": "box_wires",
    "diameter": "rotor_diameter_mm",
    "bulb": "bulb_voltage_V",
    "touched": "last_touched",
    "headlamp": "headlamp_engine_off",
}
_POSTS = {"plus": "+", "positive": "+", "minus": "-", "negative": "-"}
_SHORT: dict[str, Mapping[str, str]] = {
    "position": {"body": "round body with its own two terminals", "case": "wires out of the engine case"},
    "ignition": {"points": "points and battery coils"},
    "frame_post": _POSTS,
    "fuse_lead": _POSTS,
    "danger": {"hot": "hot or smoking", "smoking": "hot or smoking", "hissing": "battery hissing or swollen"}
    | {"swollen": "battery hissing or swollen", "none": "nothing", "over": "over 15 V (7.6 V on 6 V) at the battery"},
    "brushes": {"none": Brushes.NONE, "commutator": Brushes.COMMUTATOR, "rings": Brushes.SLIP_RINGS},
    "magnetism": {"yes": "pulls steel", "no": "does not pull"},
    "wires_to_engine": {"none": WiresToEngine.NONE, "one": WiresToEngine.ONE, "all": WiresToEngine.ALL},
    "needle": {"discharge": Needle.TO_DISCHARGE, "charge": Needle.TO_CHARGE, "still": Needle.STILL},
    "headlamp_engine_off": {"yes": Headlamp.LIGHTS, "no": Headlamp.DARK, "dim": Headlamp.DARK, "dark": Headlamp.DARK},
    "last_touched": {"box": LastTouched.BOX, "generator": LastTouched.GENERATOR, "engine": LastTouched.ENGINE}
    | {"laid up": LastTouched.LAID_UP},
    "regulated_by": {"rectifier": "a rectifier alone", "zener": "one Zener", "zeners": "two Zeners"}
    | {"box": "charging box", "control box": "dynamo control box", "field": "field regulator"},
    "battery_kind": {"lithium": "LiFePO4", "agm": "AGM"},
}
#: Sources as they are typed.
SOURCES = {
    "memory": Source.MEMORY,
    "looking": Source.LOOKING,
    "photo": Source.PHOTO,
    "measured": Source.MEASURED,
    "hand": Source.IN_HAND,
}
_DONT_KNOW = ("?", "unknown", "don't know", "dont know")
_WHOLE = ("thick_wires", "thin_wires", "coils", "poles", "box_wires", "battery_voltage_V", "bulb_voltage_V", "year")
_UNIT_OF: Mapping[str, Dimension] = {
    "pair_volts": "V",
    "one_ohm_volts": "V",
    "battery_volts": "V",
    "battery_amps": "A",
    "pair_ohms": "ohm",
}
# Names of looks and symptoms are long: they are known by less of them.
_NAMES_ALIKE = 0.6
_WORDS_SHARED = 2
_SMALL_WORDS = frozenset({"a", "and", "as", "at", "by", "in", "is", "it", "its", "not", "of", "on", "or", "the", "to"})
_SEVERAL = ("pair_volts", "pair_ohms", "one_ohm_volts")
# What may be said with a reading, the figures taken out of the text before the rest is read.
_WITH_A_READING = (
    (re.compile(r"\b(about|roughly)\b\s*"), lambda found: {"about": True}),
    (re.compile(r"\b(not )?doing it(?: now)?\b"), lambda found: {"doing_it_now": not found[1]}),
    (re.compile(rf"\b{READ_AGAIN}\b"), lambda found: {"note": READ_AGAIN}),
    (re.compile(r"\bon load\b"), lambda found: {"speed": "engine off", "lights": "on"}),
    (re.compile(r"\bengine off\b|\bat rest\b"), lambda found: {"speed": "engine off"}),
    (re.compile(r"\btick-?over\b|\bidle\b"), lambda found: {"speed": "tick-over"}),
    (re.compile(r"\bfast\b"), lambda found: {"speed": "fast"}),
    (re.compile(r"\b(?:all|every)(?: wires?)? off\b", re.IGNORECASE), lambda found: {"all_wires_off": True}),
    (re.compile(r"\blights? (on|off)\b"), lambda found: {"lights": found[1]}),
    (re.compile(r"\brest(?:ed)? (\d+(?:\.\d+)?)\s*V?\b"), lambda found: {"rest_V": float(found[1])}),
    (re.compile(r"\bleads? (\d+(?:\.\d+)?)(?:\s*ohm)?\b"), lambda found: {"lead_ohm": float(found[1])}),
    (re.compile(r"\b(\d+(?:\.\d+)?)\s*rpm\b"), lambda found: {"speed_rpm": float(found[1])}),
    (re.compile(r"\b(\d+(?:\.\d+)?)\s*Hz\b"), lambda found: {"frequency_Hz": float(found[1])}),
)

_UNIT = r"(?:volts?|amp(?:ere)?s?|ohms?|m?[VA]|Ω|°?C)"
# Words that are left behind the figures and their unit.
_UNREAD = re.compile(rf"(?<=\d)\s*{_UNIT}?\s+((?!{_UNIT}(?:\W|$))[a-z].*)$", re.IGNORECASE)
_BESIDE = (
    "Between several readings stand strokes: pair_volts=13.1/12.8/0.3; beside them may stand about, tick-over, fast,"
    " 3000 rpm, 150 Hz, all off, lights on, at rest, on load, not doing it now, rest 12.6, leads 0.3,"
    " read again."
)


def add_typed(document: dict[str, Any], text: str) -> None:
    """Add one typed finding to a job document, or that it cannot be said; what is said last counts."""
    kind, answer, source = _said(text)
    findings, unsaid = document.get("findings", []), document.get("cannot_say", [])
    if not isinstance(findings, list) or not isinstance(unsaid, list):
        return  # the record check says what is wrong with the file
    if kind in FAULT_KINDS or kind.lower() in points_by_name():
        document["findings"] = [*findings, {"source": source.value} | _of_faults(kind, answer)]
        return
    unsaid = [other for other in unsaid if other != kind]
    if answer.lower() in _DONT_KNOW:
        unsaid = [*unsaid, kind]
    else:
        findings = [*findings, {"what": kind, "source": source.value} | _answer(kind, answer)]
    document["findings"], document["cannot_say"] = findings, unsaid


def kinds_in_words() -> str:
    """Every kind of finding with what it is, for a help text."""
    return "; ".join(f"{kind} ({finding_words(kind)})" for kind in FINDING_KINDS)


def _said(text: str) -> tuple[str, str, Source]:
    what, equals, rest = text.partition("=")
    what = what.strip()
    if not equals:
        raise BadReading(f"{text!r} is not a finding. Write it like thick_wires=2 or frame_post=+@photo.")
    answer, at, source = rest.rpartition("@")
    if not at:
        answer, source = rest, "memory"
    source = source.strip().lower()
    if source not in SOURCES:
        raise BadReading(f"{text!r}: the source {source!r} is not known. Choose from: {', '.join(SOURCES)}.")
    kind = _KINDS.get(what, what)
    if kind in FAULT_KINDS or kind.lower() in points_by_name():
        return kind, answer.strip(), SOURCES[source]
    if kind not in FINDING_KINDS and (
        meant := _nearest(kind, (*FINDING_KINDS, *_KINDS, *SHORT_POINTS, "look", "symptom"))
    ):
        raise BadReading(f"{kind!r} is not a kind of finding. Did you mean {meant}?")
    return kind, answer.strip(), SOURCES[source]


def _of_faults(kind: str, answer: str) -> dict[str, Any]:
    """A reading at a test point, a look or a symptom; of the last two also that it was not found."""
    if kind in ("look", "symptom"):
        name, colon, said = answer.rpartition(":")
        found = said.strip().lower() if colon else "yes"
        if not colon:
            name = answer
        if found not in ("yes", "no"):
            raise BadReading(f"{kind}={answer}: say yes or no behind the colon, or nothing for yes.")
        return {"what": kind, kind: _known_sign(kind, name.strip()), "answer": found}
    if kind == "test_point":
        raise BadReading(f"test_point={answer}: name the point instead, such as live_drop={answer}.")
    point = points_by_name()[kind.lower()]
    if answer.lower() in _DONT_KNOW:
        raise BadReading(
            f"{kind}={answer}: what cannot be read at a test point is left out. Give a figure, or no line."
        )
    return {"what": "test_point", "point": point.value} | _reading(point, answer)


def _known_sign(kind: str, name: str) -> str:
    """The name of a look or symptom as the list has it; one that is misspelt is refused with the one meant."""
    settings = usual_fault_settings()
    known = tuple(settings.looks if kind == "look" else settings.symptoms)
    by_lower = {each.lower(): each for each in known}
    if name.lower() not in by_lower and (meant := _nearest(name, known, _NAMES_ALIKE) or _sharing_words(name, known)):
        raise BadReading(f"{kind}={name}: not in the list. Did you mean {kind}={meant}?")
    return by_lower.get(name.lower(), name)


def _sharing_words(typed: str, known: Iterable[str]) -> str:
    """The name that shares the most words with what was typed, in any order; empty where none shares enough."""
    said = set(typed.lower().split())
    shared = {name: len(said.intersection(name.lower().replace(",", "").split()) - _SMALL_WORDS) for name in known}
    most = max(shared, key=lambda name: shared[name])
    return most if shared[most] >= _WORDS_SHARED else ""


def _nearest(typed: str, known: Iterable[str], alike: float = 0.75) -> str:
    """The word that was most likely meant; empty where none is near."""
    by_lower = {word.lower(): word for word in known}
    found = get_close_matches(typed.lower(), by_lower, n=1, cutoff=alike)
    return by_lower[found[0]] if found else ""


@cache
def answers_in_words() -> Mapping[str, tuple[str, ...]]:
    """The answers in words that a kind of finding takes, of those that take no others."""
    kinds = {get_args(seen.model_fields["what"].annotation)[0]: seen for seen in get_args(AnySeen)}
    taken = {kind: seen.model_fields["answer"].annotation for kind, seen in kinds.items()}
    listed = {
        kind: tuple(map(str, answer)) if _is_words(answer) else get_args(answer) for kind, answer in taken.items()
    }
    words = {kind: answers for kind, answers in listed.items() if answers and all(isinstance(a, str) for a in answers)}
    return MappingProxyType(words)


def _is_words(answer: Any) -> bool:
    return isinstance(answer, type) and issubclass(answer, StrEnum)


def _answer(kind: str, answer: str) -> dict[str, Any]:
    if kind in _UNIT_OF:
        return _reading(kind, answer)
    if kind in ("battery_voltage_V", "bulb_voltage_V"):
        answer = answer.removesuffix("V").strip()
    if kind in _WHOLE:
        return {"answer": int(answer) if answer.isdigit() else answer}
    if kind == "rotor_diameter_mm":
        return {"answer": _millimetres(kind, answer)}
    return {"answer": _in_words(kind, answer)}


def _in_words(kind: str, typed: str) -> str:
    """An answer that is typed for short or whole; one that is misspelt is refused with the one meant."""
    short, whole = _SHORT.get(kind, {}), answers_in_words().get(kind, ())
    answer = short.get(typed.lower(), typed)
    if whole and answer not in whole and (meant := _nearest(answer, (*whole, *short))):
        raise BadReading(f"{kind}={typed}: not one of the answers. Did you mean {kind}={meant}?")
    return answer


def _millimetres(kind: str, text: str) -> float:
    try:
        return float(text.removesuffix("mm").replace(",", "."))
    except ValueError:
        raise BadReading(f"{kind}={text}: it is wanted in mm, by caliper. Write it like {kind}=74.") from None


def _reading(kind: str | Point, text: str) -> dict[str, Any]:
    """A reading with what was said of speed, lights and leads beside it."""
    said: dict[str, Any] = {}
    typed = text
    for pattern, meaning in _WITH_A_READING:
        found = pattern.search(text)
        if found:
            said |= meaning(found)
            text = f"{text[: found.start()]} {text[found.end() :]}"
    text = " ".join(text.split()).strip(" ,")
    if unread := _UNREAD.search(text):
        raise BadReading(f"{kind}={typed}: {unread[1]!r} is not understood. {_BESIDE}")
    if isinstance(kind, Point):
        return said | {"answer": [figure_at(kind, part.strip()) for part in text.split("/")]}
    figures = [_figure(kind, part, _UNIT_OF[kind]) for part in text.split("/")]
    return said | {"answer": figures if kind in _SEVERAL else figures[0]}


def _figure(kind: str, text: str, unit: Dimension) -> float:
    try:
        return read_quantity(text, unit)
    except BadReading as fault:
        raise BadReading(f"{kind}={text.strip()}: {fault} {_BESIDE}") from None
