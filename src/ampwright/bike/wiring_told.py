"""What somebody tells of the loom of the bike: where its fuse is, and single wires that are not as usual."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from ampwright.stock.record import Record, Text

#: A terminal as it is written: the part, a point, the terminal, such as ``battery.minus``.
TerminalTold = Annotated[str, Field(pattern="^[a-z0-9-]+\\.[A-Za-z0-9]+$", max_length=60)]
Colour = Annotated[str, Field(pattern="^[A-Z]{1,3}$")]


class WireTold(Record):
    """
    One wire as it is on the bike: one that a typical loom has, with other figures, or one more.

    ``gone`` tells that the bike lacks it; ``end`` is left out for a wire that hangs loose, ``insulated`` or bare.
    """

    start: TerminalTold
    end: TerminalTold | None = None
    colour: Colour | None = None
    conductor: Annotated[str, Field(max_length=20)] | None = None
    length_m: Annotated[float, Field(gt=0, le=10)] | None = None
    joint_ohm: Annotated[float, Field(ge=0, le=10)] | None = None
    gone: bool = False
    insulated: bool = True
    note: str = ""

    @model_validator(mode="after")
    def _can_be_gone(self) -> "WireTold":
        if self.gone and self.end is None:
            raise ValueError("a wire that is gone needs both its ends. Name the end.")
        if self.end is not None and self.start == self.end:
            raise ValueError(f"both ends are {self.start}. Give two different terminals.")
        return self


class WiringTold(Record):
    """Where the main fuse is and what it is printed with, the ammeter's end of scale, and single wires."""

    main_fuse: Literal["live lead", "earthed lead", "none"] | None = None
    main_fuse_A: Annotated[float, Field(gt=0, le=60)] | None = None
    horn: bool | None = None
    wires: Annotated[tuple[WireTold, ...], Field(max_length=60)] = ()
    note: Text | None = None

    @model_validator(mode="after")
    def _has_a_fuse_for_its_amps(self) -> "WiringTold":
        if self.main_fuse == "none" and self.main_fuse_A is not None:
            raise ValueError("main_fuse_A is given and main_fuse is none. Leave one of the two out.")
        return self
