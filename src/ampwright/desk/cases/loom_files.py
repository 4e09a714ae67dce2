"""Drawings, lists and netlist of a job's loom as files."""

from collections.abc import Callable, Mapping
from typing import get_args

from ampwright.desk.cases.loom_answers import drawing_of, reached
from ampwright.desk.cases.loom_work import LoomWork
from ampwright.desk.cases.sharpened import sharpened_by_readings
from ampwright.desk.cases.workup import system_for
from ampwright.documents.wiring_lists import cut_list_csv, from_to_csv
from ampwright.documents.wiring_picture import picture_pdf, picture_png, picture_svg
from ampwright.electrics.alternator import Alternator
from ampwright.electrics.dynamo import Dynamo
from ampwright.errors import BadReading
from ampwright.identify.system import alternator_of, machine_of
from ampwright.stock.generators import typical_classes
from ampwright.storage.files import write_file
from ampwright.wiring.drawn_shapes import Drawing, Layout
from ampwright.wiring.kinds import ALL_ON
from ampwright.wiring.loom import Loom, terminals_of
from ampwright.wiring.spice import loom_netlist
from ampwright.wiring.usual_parts import usual_fitted
from ampwright.wiring.wire_words import end_words

LAYOUTS: tuple[Layout, ...] = get_args(Layout)
_ENDINGS = {"drawing": (".svg", ".png", ".pdf"), "from_to": (".csv",), "cut": (".csv",), "spice": (".cir",)}
_MAKERS: Mapping[str, Callable[[Drawing], str | bytes]] = {
    ".svg": picture_svg,
    ".png": picture_png,
    ".pdf": picture_pdf,
}
_NAMES = {"drawing": "Drawing", "from_to": "From-to list", "cut": "Cut list", "spice": "Netlist"}


def check_endings(**paths: str | None) -> None:
    """See before anything is worked out that every file asked for has an ending that says what it is."""
    for what, path in paths.items():
        endings = _ENDINGS[what]
        if path is not None and not path.lower().endswith(endings):
            listed = " or ".join(endings)
            raise BadReading(f"{path}: {_NAMES[what].lower()}s are written as {listed}. Give the file that ending.")


def layout_of(name: str) -> Layout:
    """A layout by its name."""
    if name not in LAYOUTS:
        raise BadReading(f"{name!r} is no layout. Choose from: {', '.join(LAYOUTS)}.")
    return name


def write_files(
    work: LoomWork,
    which: str,
    layout: str,
    *,
    drawing: str | None,
    from_to: str | None,
    cut: str | None,
    spice: str | None,
    speed_rpm: float,
) -> list[str]:
    """Write what was asked for, and say what was written."""
    done = []
    if drawing is not None:
        drawn = drawing_of(work, which, layout_of(layout))
        write_file(drawing, _MAKERS[drawing[-4:].lower()](drawn))
        done.append(f"Drawing written to {drawing}.")
    if from_to is not None:
        write_file(from_to, from_to_text(work, which))
        done.append(f"From-to list written to {from_to}.")
    if cut is not None:
        write_file(cut, cut_text(work))
        done.append(f"Cut list written to {cut}.")
    if spice is not None:
        write_file(spice, spice_text(work, which, speed_rpm))
        done.append(f"Netlist written to {spice}.")
    return done


def loom_in(work: LoomWork, which: str) -> Loom:
    """The loom as it is, or as it will be; where nothing changes both are the same."""
    return work.before if which == "before" else reached(work) or work.before


def from_to_text(work: LoomWork, which: str) -> str:
    """The from-to list as CSV."""
    return from_to_csv(loom_in(work, which))


def cut_text(work: LoomWork) -> str:
    """The cut list of the new wires as CSV."""
    return cut_list_csv(loom_in(work, "after"))


def spice_text(work: LoomWork, which: str = "after", speed_rpm: float = 3000.0) -> str:
    """The loom as an ngspice netlist, everything switched on, with its generator at a speed."""
    loom = loom_in(work, which)
    machine = generator_in(work, which)
    return loom_netlist(loom, machine, speed_rpm, ALL_ON, usual_fitted(loom))


def generator_in(work: LoomWork, which: str) -> Alternator | Dynamo | None:
    """
    The generator of a loom with all its coils, by its own readings or else typical.

    The netlist of one without figures has its engine stopped.
    """
    outfit = work.found.outfit if which == "before" or work.wanted is None else work.wanted.outfit
    found = work.found.generator
    if outfit.family is not found.family:
        alike = [one for one in typical_classes() if one.family is outfit.family]
        wanted_A = outfit.nameplate_A or 0.0
        found = min(alike, key=lambda one: abs((one.nameplate_A or 0.0) - wanted_A))
    elif (outfit.nameplate_A, outfit.generator_code) == (
        work.found.outfit.nameplate_A,
        work.found.outfit.generator_code,
    ):
        system = system_for(work.workup, found, outfit.system_voltage_V)
        measured = None if system is None else sharpened_by_readings(work.workup, system)
        if measured is not None:
            return measured.middle
    return alternator_of(found) or machine_of(found, outfit.system_voltage_V, lights_on=True)


def terminal_rows(work: LoomWork, which: str) -> tuple[tuple[str, str], ...]:
    """Every terminal as a job writes it, and in words."""
    loom = loom_in(work, which)
    every = [part.at(name) for part in loom.components for name in terminals_of(part)]
    return tuple((str(terminal), end_words(loom, terminal)) for terminal in every)
