"""Forms as they come in, and what is said when one cannot be taken."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, Request
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.formparsers import MultiPartException

from ampwright.desk.cases.sheet import FAULT_KINDS, FINDING_KINDS
from ampwright.errors import AmpwrightError, BadReading, BadRecord
from ampwright.terms import finding_words

_MOST_FIELDS = 500
_MOST_CHARACTERS = 200_000


class OldPage(AmpwrightError):
    """The page was made before the desk was started again, or by somebody else."""


@dataclass(frozen=True)
class Again:
    """A form that may be sent once more as it was."""

    action: str
    fields: Sequence[tuple[str, str]]


@dataclass(frozen=True)
class Problem:
    """What could not be done: a line a fault, and the form to send again where that can be right."""

    head: str
    lines: tuple[str, ...]
    again: Again | None = None


@dataclass(frozen=True)
class Upload:
    """A file that came with a form."""

    name: str
    data: bytes


@dataclass(frozen=True)
class Form:
    """What a form held, in order."""

    action: str
    pairs: tuple[tuple[str, str], ...]
    uploads: Mapping[str, Upload]

    def one(self, name: str, otherwise: str = "") -> str:
        """The last value of a blank."""
        return next((value for key, value in reversed(self.pairs) if key == name), otherwise)

    def many(self, name: str) -> tuple[str, ...]:
        """Every value of a blank."""
        return tuple(value for key, value in self.pairs if key == name)

    def blanks(self) -> dict[str, str]:
        """Every blank by its name."""
        return dict(self.pairs)

    def revision(self) -> int:
        """The revision of the job that the page showed."""
        text = self.one("base_revision")
        if not text.isdecimal() or len(text) > 9:
            raise BadReading("The form does not say which state of the job it was filled in from. Load the page again.")
        return int(text)

    def upload(self, name: str) -> Upload:
        """A file; a sentence where none was chosen."""
        found = self.uploads.get(name)
        if found is None or not found.data:
            raise BadReading("No file was chosen. Choose one, then send it again.")
        return found

    def again(self, **changed: str) -> Again:
        """The same form to send once more, some blanks changed."""
        kept = [(name, value) for name, value in self.pairs if name != "ticket" and name not in changed]
        return Again(self.action, [*kept, *changed.items()])


async def posted(request: Request) -> Form:
    """Read the form of a request that came from one of the desk's own pages."""
    try:
        async with request.form(max_files=2, max_fields=_MOST_FIELDS, max_part_size=_MOST_CHARACTERS) as data:
            pairs = [(_whole(name), _whole(value)) for name, value in data.multi_items() if isinstance(value, str)]
            uploads = {
                name: Upload(_whole(value.filename or ""), await value.read())
                for name, value in data.multi_items()
                if isinstance(value, UploadFile)
            }
    except (HTTPException, MultiPartException, LookupError, UnicodeError):
        raise BadReading("The form could not be read. Load the page again and fill it in anew.") from None
    if len(pairs) > _MOST_FIELDS or sum(len(value) for _, value in pairs) > _MOST_CHARACTERS:
        raise BadReading("The form holds more than a form of this desk can. Nothing was kept.")
    form = Form(request.url.path, tuple(pairs), uploads)
    if form.one("ticket") != request.app.state.ticket:
        raise OldPage("This page was made before the desk was started again. Load it anew, then say it once more.")
    return form


def _whole(text: str) -> str:
    """A text without halves of a character, which some encodings let through and no answer can carry."""
    return text.encode("utf-8", "replace").decode("utf-8")


Posted = Annotated[Form, Depends(posted)]


def problem_of(fault: AmpwrightError, again: Again | None = None) -> Problem:
    """A fault as it stands on the page."""
    if isinstance(fault, BadRecord):
        lines = tuple(f"{_place(one.field)}: {one.sentence}" for one in fault.faults)
        return Problem(f"Not taken over: {fault.where}", lines, again)
    return Problem("Not taken over", tuple(str(fault).splitlines()), again)


def _place(field: str) -> str:
    """A place in a job as a person calls it: the finding by its kind, else the words that stand there."""
    found = re.fullmatch(r"findings \d+, (\w+)(?:, (?:answer|source))?.*", field)
    return finding_words(found[1]) if found and found[1] in (*FINDING_KINDS, *FAULT_KINDS) else field.replace("_", " ")
