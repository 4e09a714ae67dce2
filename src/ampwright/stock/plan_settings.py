"""The sentences of a plan: operations, what is said of each kind of part, cautions, and why a part is kept or not."""

from collections.abc import Mapping
from functools import cache, cached_property
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError, model_validator

from ampwright.errors import BadRecord, faults_from
from ampwright.packaged import read_toml
from ampwright.stock.record import Record, Sourced, Text

#: What has to be opened to get at something.
Opened = Literal["nothing", "seat", "side panel", "tank", "headlamp", "primary case"]
Sentence = Annotated[str, Field(min_length=1, max_length=600)]


class OperationWords(Record):
    """
    One kind of step: what is said, why, what proves it, what is opened, and which cautions belong to it.

    At a ``dangerous`` step every caution is printed in full again; elsewhere only where it first applies.
    """

    name: Text
    say: Sentence
    why: Annotated[str, Field(max_length=600)] = ""
    check: Annotated[str, Field(max_length=600)] = ""
    lines: tuple[str, ...] = ()
    dangerous: bool = False
    opens: Opened = "nothing"
    cautions: tuple[str, ...] = ()


class PartWords(Record):
    """
    What is said of some kinds of part when they come off, go on, or are exchanged; empty: what is said of any.

    ``why`` and ``cautions`` belong to going on and exchanging, ``why_off`` and ``cautions_off`` to coming off.
    A ``dangerous`` one is as a dangerous step.
    """

    kinds: tuple[str, ...]
    take_off: str = ""
    fit: str = ""
    exchange: str = ""
    why: str = ""
    why_off: str = ""
    dangerous: bool = False
    opens: Opened = "nothing"
    cautions: tuple[str, ...] = ()
    cautions_off: tuple[str, ...] = ()


class PlanSettings(Sourced):
    """All sentences of the plans."""

    operations: tuple[OperationWords, ...]
    parts: tuple[PartWords, ...]
    cautions: Mapping[str, Sentence]
    colours: Mapping[str, str]
    phrases: Mapping[str, Sentence]
    fates: Mapping[str, Sentence]

    @cached_property
    def by_name(self) -> Mapping[str, OperationWords]:
        """Operations by their name."""
        return {operation.name: operation for operation in self.operations}

    def of_kind(self, kind: str) -> PartWords:
        """What is said of a kind of part; the last entry is of any."""
        return next((words for words in self.parts if kind in words.kinds), self.parts[-1])

    @model_validator(mode="after")
    def _hangs_together(self) -> "PlanSettings":
        used = [name for operation in self.operations for name in operation.cautions]
        used += [name for words in self.parts for name in (*words.cautions, *words.cautions_off)]
        unknown = sorted(set(used) - set(self.cautions))
        if unknown:
            raise ValueError(f"no caution is called {unknown[0]!r}. Add it to the cautions or take the name out.")
        last = self.parts[-1] if self.parts else None
        if last is None or last.kinds or not (last.take_off and last.fit and last.exchange):
            raise ValueError("the last of the parts must be of no kind and say all three, as it stands for any.")
        return self


def plan_settings_from(data: Mapping[str, Any], where: str) -> PlanSettings:
    """Check a document of plan sentences, all faults at once."""
    try:
        return PlanSettings.model_validate(data)
    except ValidationError as fault:
        raise BadRecord(where, faults_from(fault.errors())) from None


@cache
def usual_plan() -> PlanSettings:
    """The sentences that ship with the package."""
    return plan_settings_from(read_toml("plan"), "plan")
