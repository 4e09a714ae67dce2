"""Open a job: from a file, from the demo, or from a few findings typed on the spot."""

from collections.abc import Mapping, Sequence
from typing import Any

from ampwright.bike.job import FORMAT, UNNUMBERED, Job, job_from
from ampwright.desk.cases.plain import plain
from ampwright.desk.cases.typed import add_typed
from ampwright.errors import BadReading
from ampwright.packaged import names_in, read_text, read_toml
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.shelf import Shelf, demo_shelf, shelf_from
from ampwright.storage.files import folder_for, read_document, write_file

#: The story that `ampwright demo` tells first.
FIRST_DEMO = "two-wires-unmarked"


def open_job(path: str | None, said: Sequence[str] = (), who: str | None = None) -> Job:
    """
    Open a job file and add what was said on the spot.

    ``said`` holds texts such as ``thick_wires=2@photo``. Without a file a new job
    is begun from them. ``who`` is who can make the checks, over what the file says.
    """
    if path is None and not said:
        raise BadReading(
            "There is no job: give a job file, or say what was found, such as --find thick_wires=2@photo."
            " 'ampwright demo --list' shows jobs to try."
        )
    document = document_of(path, who)
    for text in said:
        add_typed(document, text)
    return job_from(document, path or "what was said")


def job_in(document: Mapping[str, Any], said: Sequence[str] = (), where: str = "the job") -> Job:
    """Check a job document that another program holds, with what was said on the spot; it may be empty before that."""
    told = document_of(None) | dict(document)
    for text in said:
        add_typed(told, text)
    return job_from(told, where)


def document_of(path: str | None, who: str | None = None) -> dict[str, Any]:
    """The document of a job file; without one, that of a new job. ``who`` goes over what it says."""
    document = (
        read_document(path) if path is not None else {"format": FORMAT, "number": UNNUMBERED, "title": "a new job"}
    )
    return document | ({"who": who} if who is not None else {})


def open_stock(path: str | None) -> Shelf:
    """Open a stock file; without one, the invented stock of the demo."""
    return demo_shelf() if path is None else shelf_from(read_document(path), path)


def demo_names() -> list[str]:
    """The demo jobs by name."""
    return names_in("demo")


def open_demo(name: str) -> Job:
    """Open a demo job by its name."""
    names = demo_names()
    if name not in names:
        raise BadReading(f"There is no demo job {name!r}. Choose from: {', '.join(names)}.")
    return job_from(read_toml(f"demo/{name}"), name)


def copy_demo(folder: str) -> list[str]:
    """Write the demo jobs and the demo stock into a folder as files to work on."""
    target = folder_for(folder)
    files = {f"{name}.toml": f"demo/{name}.toml" for name in demo_names()} | {"stock.toml": "demo_stock.toml"}
    for own, packaged in files.items():
        write_file(str(target / own), read_text(packaged))
    return sorted(str(target / own) for own in files)


def stories() -> tuple[tuple[str, str], ...]:
    """The demo jobs by name and title."""
    return tuple((name, open_demo(name).title) for name in demo_names())


def demo_document(name: str) -> dict[str, Any]:
    """The document of a demo job, to begin a job of one's own from."""
    open_demo(name)
    return dict(plain(read_toml(f"demo/{name}")))


def everyday_cautions() -> tuple[str, ...]:
    """The cautions of work on any bike."""
    held = usual_cautions()
    return tuple(held[key] for key in ("always", "alternator", "energy transfer", "lithium", "no battery", "lamps"))
