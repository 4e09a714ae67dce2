"""Open a job: from a file, from the demo, or from a few findings typed on the spot."""

from collections.abc import Sequence
from typing import Any

from ampwright.bike.job import FORMAT, Job, job_from
from ampwright.bike.quantity import read_quantity
from ampwright.errors import BadReading
from ampwright.packaged import names_in, read_text, read_toml
from ampwright.stock.shelf import Shelf, demo_shelf, shelf_from
from ampwright.storage.files import folder_for, read_document, write_file
from ampwright.terms import Source

# What may be typed for short: kinds, answers by kind, sources.
_KINDS = {"wires": "thick_wires", "battery": "battery_voltage_V", "post": "frame_post", "volts": "pair_volts"}
_SHORT = {
    "position": {"body": "round body with its own two terminals", "case": "wires out of the engine case"},
    "ignition": {"points": "points and battery coils"},
    "frame_post": {"plus": "+", "positive": "+", "minus": "-", "negative": "-"},
    "danger": {"hot": "hot or smoking", "smoking": "hot or smoking", "hissing": "battery hissing or swollen"}
    | {"swollen": "battery hissing or swollen", "none": "nothing", "over": "over 15 V (7.6 V on 6 V) at the battery"},
}
_SOURCES = {
    "memory": Source.MEMORY,
    "looking": Source.LOOKING,
    "photo": Source.PHOTO,
    "measured": Source.MEASURED,
    "hand": Source.IN_HAND,
}
_DONT_KNOW = ("?", "unknown", "don't know", "dont know")
#: The story that `ampwright demo` tells first.
FIRST_DEMO = "two-wires-unmarked"
_NUMBERS = ("thick_wires", "coils", "battery_voltage_V")


def open_job(path: str | None, said: Sequence[str] = ()) -> Job:
    """
    Open a job file and add what was said on the spot.

    ``said`` holds texts such as ``thick_wires=2@photo``. Without a file a new job
    is begun from them.
    """
    if path is None and not said:
        raise BadReading(
            "There is no job: give a job file, or say what was found, such as --find thick_wires=2@photo."
            " 'ampwright demo --list' shows jobs to try."
        )
    document = read_document(path) if path is not None else {"format": FORMAT, "number": "new", "title": "a new job"}
    for text in said:
        _add(document, text)
    return job_from(document, path or "what was said")


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


def _add(document: dict[str, Any], text: str) -> None:
    """Add one said finding, or that it cannot be said; what is said last counts."""
    kind, answer, source = _said(text)
    findings, unsaid = document.get("findings", []), document.get("cannot_say", [])
    if not isinstance(findings, list) or not isinstance(unsaid, list):
        return  # the record check says what is wrong with the file
    unsaid = [other for other in unsaid if other != kind]
    if answer.lower() in _DONT_KNOW:
        unsaid = [*unsaid, kind]
    else:
        findings = [*findings, {"what": kind, "answer": _answer(kind, answer), "source": source.value}]
    document["findings"], document["cannot_say"] = findings, unsaid


def _said(text: str) -> tuple[str, str, Source]:
    what, equals, rest = text.partition("=")
    if not equals:
        raise BadReading(f"{text!r} is not a finding. Write it like thick_wires=2 or frame_post=+@photo.")
    answer, at, source = rest.rpartition("@")
    if not at:
        answer, source = rest, "memory"
    source = source.strip().lower()
    if source not in _SOURCES:
        raise BadReading(f"{text!r}: the source {source!r} is not known. Choose from: {', '.join(_SOURCES)}.")
    kind = what.strip()
    return _KINDS.get(kind, kind), answer.strip(), _SOURCES[source]


def _answer(kind: str, answer: str) -> Any:
    if kind == "pair_volts":
        try:
            return [read_quantity(part, "V") for part in answer.split("/")]
        except BadReading as fault:
            raise BadReading(f"pair_volts={answer}: {fault} Between the pairs stand strokes: 13.1/12.8/0.3.") from None
    if kind == "battery_voltage_V":
        answer = answer.removesuffix("V").strip()
    if kind in _NUMBERS:
        try:
            return int(answer)
        except ValueError:
            return answer
    return _SHORT.get(kind, {}).get(answer.lower(), answer)
