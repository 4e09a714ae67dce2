"""What people type beside a job, held to a length and to characters that can be kept."""

import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from ampwright.errors import BadRecord, Fault
from ampwright.storage.kept import Caller

LONGEST = {"name": 80, "phone": 40, "note": 2000}
LONGEST_WAITING_FOR, LONGEST_RESUME_AT, LONGEST_WHAT = 400, 40, 400
#: A job's document as JSON; the longest of the invented ones is a hundredth of it.
LONGEST_DOCUMENT = 300_000


def checked_caller(caller: Caller, where: str) -> Caller:
    """A caller without blanks at the ends; all faults at once."""
    found = Caller(caller.name.strip(), caller.phone.strip(), caller.note.strip())
    texts = {"name": found.name, "phone": found.phone, "note": found.note}
    faults = [fault for field, text in texts.items() for fault in faults_of(field, text, LONGEST[field])]
    if faults:
        raise BadRecord(where, faults)
    return found


def checked_text(text: str, field: str, longest: int, where: str) -> str:
    """A text without blanks at the ends."""
    text = text.strip()
    if faults := list(faults_of(field, text, longest)):
        raise BadRecord(where, faults)
    return text


def faults_of(field: str, text: str, longest: int) -> Iterator[Fault]:
    """What is wrong with a typed text."""
    if len(text) > longest:
        yield Fault(field, f"holds {len(text)} characters; {longest} at most. Shorten it.")
    if any(_cannot_be_kept(sign) for sign in text):
        yield Fault(field, "holds a character that cannot be shown. Type it again instead of pasting it.")


def faults_of_document(document: Mapping[str, Any], length: int) -> list[Fault]:
    """What is wrong with a document that is right by its record, and cannot be kept."""
    faults = []
    if length > LONGEST_DOCUMENT:
        sentence = f"takes {length} characters; {LONGEST_DOCUMENT} at most. Shorten its notes."
        faults.append(Fault("the whole job", sentence))
    for field, held in document.items():
        if any(_cannot_be_kept(sign) for text in _texts(held) for sign in text):
            faults.append(Fault(field, "holds a character that cannot be shown. Type it again instead of pasting it."))
    return faults


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        yield from (text for held in value.values() for text in _texts(held))
    elif isinstance(value, Iterable):
        yield from (text for held in value for text in _texts(held))


def _cannot_be_kept(sign: str) -> bool:
    """Control characters but those between lines, and halves of a character."""
    return sign not in "\n\r\t" and unicodedata.category(sign) in ("Cc", "Cs")
