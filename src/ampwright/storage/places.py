"""The places of a job's document: what two people can change at once without being in each other's way."""

import json
from collections.abc import Mapping
from typing import Any

from ampwright.terms import finding_words

# What a document is known by; a change leaves both alone.
_FIXED = ("format", "number")
_BY_KIND = ("findings", "cannot_say")
# One bike has many of these: what each is of stands under this key.
_NAMED_BY = {"test_point": "point", "look": "look", "symptom": "symptom"}
_WORDS = {
    "why": "why they rang",
    "who": "who looks",
    "opened": "what is open",
    "riding": "how it is ridden",
    "fitted": "what is fitted",
}


def same(one: Any, other: Any) -> bool:
    """Whether two values are written alike; 1, 1.0 and true are three things."""
    return _spelt(one) == _spelt(other)


def places_of(document: Mapping[str, Any]) -> dict[str, Any]:
    """Every place of a document with what stands there; findings of one thing are one place, in their order."""
    found = {key: held for key, held in document.items() if key not in (*_FIXED, *_BY_KIND)}
    for finding in document.get("findings") or ():
        found.setdefault(f"findings: {_told_of(finding)}", []).append(finding)
    for kind in document.get("cannot_say") or ():
        found[f"cannot say: {kind}"] = True
    return found


def changed_places(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[str, ...]:
    """The places that differ between two documents."""
    old, new = places_of(before), places_of(after)
    return tuple(
        place
        for place in dict.fromkeys((*old, *new))
        if (place in old) != (place in new) or not same(old.get(place), new.get(place))
    )


def in_words(place: str) -> str:
    """A place as it is named to people."""
    sort, colon, kind = place.partition(": ")
    if not colon:
        return _WORDS.get(place, place)
    what, comma, name = kind.partition(", ")
    if comma:
        return name if what == "test_point" else f"{finding_words(what)}: {name}"
    return finding_words(kind) if sort == "findings" else f"{finding_words(kind)} (can't say)"


def _told_of(finding: Mapping[str, Any]) -> str:
    """What a finding is of: its kind, and of test points, looks and symptoms each by its name."""
    what = str(finding["what"])
    name = finding.get(_NAMED_BY.get(what, ""))
    return f"{what}, {name}" if name else what


def _spelt(value: Any) -> str:
    return json.dumps(value, sort_keys=True)
