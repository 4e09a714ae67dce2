"""A loom being laid: parts with their places, and wires between them with colour, length and joints."""

from collections.abc import Iterable
from typing import Literal

from ampwright.stock.conductors import Conductor, usual_conductors
from ampwright.stock.loom_settings import LoomSettings, usual_loom
from ampwright.terms import Earth
from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Component, Joint, Loom, Terminal, Traits, Wire

JointKind = Literal["bullet", "spade", "ring", "plug"]


class LoomBuilder:
    """Collects the parts and wires of one loom in the order of its from-to list."""

    def __init__(self, earth: Earth, system_voltage_V: int, *, old: bool) -> None:
        self.earth, self.system_voltage_V, self.old = earth, system_voltage_V, old
        self.settings: LoomSettings = usual_loom()
        self.live: Literal["plus", "minus"] = "minus" if earth is Earth.POSITIVE else "plus"
        self.earthed: Literal["plus", "minus"] = "plus" if earth is Earth.POSITIVE else "minus"
        self._parts: dict[str, Component] = {}
        self._places: dict[str, str] = {}
        self._wires: list[Wire] = []

    def part(self, id_: str, kind: Kind, name: str, traits: Traits = Traits(), place: str = "") -> Component:  # noqa: B008
        """Put a part on the bike, at the place usual for its kind."""
        component = Component(id_, kind, name, traits)
        self._parts[id_] = component
        self._places[id_] = place or self.settings.places[kind.value]
        return component

    def find(self, id_: str) -> Component | None:
        """A part that is there already; None where it is not."""
        return self._parts.get(id_)

    def has(self, id_: str) -> bool:
        """Whether a part is there already."""
        return id_ in self._parts

    def is_used(self, terminal: Terminal) -> bool:
        """Whether anything is joined to a terminal already."""
        return any(terminal in wire.ends for wire in self._wires)

    def wire(self, start: Terminal, end: Terminal, run: str, *joints: JointKind) -> None:
        """Lay a wire of a run; old ones carry the conductor that is usual for the run, new ones are sized later."""
        made = (*joints,) if joints else ("bullet", "bullet")
        self._wires.append(
            Wire(
                start,
                end,
                colour=self.settings.colour(run, self.earth),
                conductor=self._old_conductor(run) if self.old else None,
                insulation="old" if self.old else "PVC",
                length_m=round(self._length_m(start, end), 2),
                joints=tuple(Joint(kind, self.settings.joint_ohm[kind]) for kind in made),
                old=self.old,
            )
        )

    def mount(self, part: Terminal, metal: Terminal) -> None:
        """Join a part to frame or engine by how it is bolted on."""
        self._wires.append(Wire(part, metal, old=self.old, kind="mounting"))

    def insulate(self, terminal: Terminal, name: str) -> None:
        """Close off a lead that goes nowhere."""
        end = self.part(f"{terminal.component}-{terminal.name}-end", Kind.LOOSE_END, name, Traits(insulated=True))
        self._places[end.id] = self._places[terminal.component]
        self._wires.append(Wire(terminal, end.at("end"), old=self.old, length_m=0.1))

    def loom(self, title: str, notes: Iterable[str] = ()) -> Loom:
        """The loom as it was laid."""
        return Loom(
            title, self.earth, self.system_voltage_V, tuple(self._parts.values()), tuple(self._wires), tuple(notes)
        )

    def _length_m(self, start: Terminal, end: Terminal) -> float:
        return self.settings.length_m(self._places[start.component], self._places[end.component])

    def _old_conductor(self, run: str) -> Conductor:
        old = self.settings.old_conductors
        key = old.main if run in old.main_runs else old.lighting
        return next(conductor for conductor in usual_conductors() if conductor.key == key)
