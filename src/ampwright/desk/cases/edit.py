"""
What can be done to a job's document at the counter: one small change each, the document given left as it is.

Every change returns a new document and touches one place of it, so that two people's changes meet only where they
mean the same thing. Whether the result is a sound job is checked where it is kept.
"""

import hashlib
import json
from collections.abc import Mapping, Sequence
from copy import deepcopy
from typing import Any

from ampwright.bike.seen import Danger
from ampwright.desk.cases.blanks import ReadingsTyped
from ampwright.desk.cases.listen import ListenAnswer
from ampwright.desk.cases.listen import accept as accept_proposals
from ampwright.desk.cases.typed import SOURCES, add_typed
from ampwright.selection.danger import READ_AGAIN

Document = dict[str, Any]

# Two findings of one kind stand beside each other where one of these differs.
_SLOT = ("what", "point", "look", "symptom", "source", "speed", "speed_rpm", "frequency_Hz", "lights")


# The boxes of readings that are taken with the engine off.
_ENGINE_OFF = ("at_rest", "on_load")


def say(document: Mapping[str, Any], typed: str) -> Document:
    """
    Add a finding typed for short, or that it cannot be said.

    One of the same kind and source gives way: who is asked twice answered anew. One from another source stays, and
    the stronger counts.
    """
    changed = deepcopy(dict(document))
    add_typed(changed, typed)
    findings = changed.get("findings", [])
    if len(findings) > len(document.get("findings", ())):
        said = findings[-1]
        earlier = [found for found in findings[:-1] if _slot(found) != _slot(said)]
        changed["findings"] = [*earlier, said]
    return _tidy(changed)


def read_volts(document: Mapping[str, Any], read: ReadingsTyped) -> Document:
    """
    Write down readings at the battery that were newly typed; what is said beside them holds for these alone.

    A reading gives way only where another figure was typed in its box or the box was emptied, and a sound one never to
    one of a meter that lies: both stand. One that stands already just so is left as it is.
    """
    changed = deepcopy(dict(document))
    findings = list(changed.get("findings", ()))
    for slot, typed in read.by_slot.items():
        stood = _place_of(read.was.get(slot, ""), findings)
        said = _finding(typed) | _beside(slot, read.beside) if typed else None
        if said and stood is not None and findings[stood].get("note") == READ_AGAIN:
            said["note"] = READ_AGAIN
        if said in findings:
            continue
        if stood is not None and not (said and _lies(said) and not _lies(findings[stood])):
            del findings[stood]
        findings += [said] if said else []
    return _tidy(changed | {"findings": findings, "cannot_say": _still_unsaid(changed, findings)})


def _beside(slot: str, beside: Mapping[str, Any]) -> Document:
    """What is said beside a reading; an ignition that stands still makes no meter jump."""
    left_out = {"meter_faults"} if slot in _ENGINE_OFF else set()
    return {key: value for key, value in beside.items() if key not in left_out}


def _finding(typed: str) -> Document:
    said: Document = {}
    add_typed(said, typed)
    found: Document = said["findings"][-1]
    return found


def _place_of(was: str, findings: Sequence[Mapping[str, Any]]) -> int | None:
    """Where the reading stands that a box showed: of several alike the last."""
    if not was:
        return None
    shown = _finding(was)
    alike = [
        place
        for place, found in enumerate(findings)
        if _taken(found) == _taken(shown) and f"{found['answer']:g}" == f"{shown['answer']:g}"
    ]
    return alike[-1] if alike else None


def _lies(found: Mapping[str, Any]) -> bool:
    return bool(found.get("meter_faults"))


def _still_unsaid(document: Mapping[str, Any], findings: Sequence[Mapping[str, Any]]) -> list[str]:
    read = any(found.get("what") == "battery_volts" for found in findings)
    return [kind for kind in document.get("cannot_say", ()) if kind != "battery_volts" or not read]


def _taken(found: Mapping[str, Any]) -> list[Any]:
    return [found.get(key) for key in _SLOT]


def _slot(found: Mapping[str, Any]) -> list[Any]:
    """A reading that was taken once more stands beside the one that it was taken because of."""
    return [*_taken(found), found.get("note") == READ_AGAIN]


def say_all(document: Mapping[str, Any], typed: Sequence[str]) -> Document:
    """Add several findings typed for short, one after the other."""
    changed = dict(document)
    for text in typed:
        changed = say(changed, text)
    return changed


def take_back(document: Mapping[str, Any], key: str) -> Document:
    """Take a finding, a fitted part or a *cannot say* back, by the key that ``key_of`` gives it."""
    changed = deepcopy(dict(document))
    for place in ("findings", "fitted", "cannot_say"):
        if place in changed:
            changed[place] = [held for held in changed[place] if key_of(held) != key]
    return _tidy(changed)


def accept(document: Mapping[str, Any], heard: ListenAnswer, yes: set[int]) -> Document:
    """Add what was said yes to of a caller's words, and every danger in them."""
    changed = hear_danger(document, heard)
    stands = {offered.number for offered in heard.proposals if offered.proposal.what == "danger"}
    return _tidy(accept_proposals(changed, heard.proposals, yes - stands))


def hear_danger(document: Mapping[str, Any], heard: ListenAnswer) -> Document:
    """Add the dangers that a caller's words tell of: they wait for no yes, and stand until somebody says otherwise."""
    changed = deepcopy(dict(document))
    for offered in heard.proposals:
        told = offered.proposal
        if told.what != "danger" or told.answer == Danger.NONE.value:
            continue
        found = {**told.finding, "answer": str(told.answer)}
        others = [one for one in changed.get("findings", ()) if _slot(one) != _slot(found)]
        changed["findings"] = [*others, found]
    return changed


def set_key(document: Mapping[str, Any], key: str, value: Any) -> Document:
    """Put a value in one place of the document; None or nothing takes the place out."""
    changed = deepcopy(dict(document))
    changed.pop(key, None)
    return changed if value in (None, "", {}) else changed | {key: value}


def add_fitted(document: Mapping[str, Any], fitted: Mapping[str, Any]) -> Document:
    """Add a part that is on the bike; one of the same kind gives way."""
    changed = deepcopy(dict(document))
    others = [held for held in changed.get("fitted", ()) if held.get("kind") != fitted.get("kind")]
    return changed | {"fitted": [*others, dict(fitted)]}


def key_of(held: Any) -> str:
    """A short key of a finding or fitted part by all that it says."""
    text = json.dumps(held, sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def source_in_words(short: str) -> str:
    """A source as it stands in a document; what is not known stays for the check to refuse."""
    found = SOURCES.get(short)
    return found.value if found else short


def system_voltage_told(document: Mapping[str, Any]) -> int:
    """The voltage that new lamps are for: the battery's as it was last told, else 12 V."""
    told = [held["answer"] for held in document.get("findings", ()) if held.get("what") == "battery_voltage_V"]
    return int(told[-1]) if told else 12


def without_number(document: Mapping[str, Any]) -> Document:
    """A document to begin a job from, which is given a number of its own."""
    return {key: held for key, held in document.items() if key != "number"}


def _tidy(document: Document) -> Document:
    """Leave out places that hold nothing."""
    return {key: held for key, held in document.items() if held not in ([], ())}
