"""
The papers of a job as PDF: what each shows, and one function that sets any of them.

The words come from outside and are set as text, whatever signs they hold; nothing is pasted into the templates under
``data/papers``. The same papers give the same bytes, and are tagged for screen readers (PDF/UA-1).
"""

import json
from collections.abc import Mapping, Sequence
from functools import cache
from types import ModuleType
from typing import Any

from ampwright.documents.lettering import printable
from ampwright.documents.loom_sheets import LoomPaper, PartsSheet, StepsSheet, WiringSheet, drawings_of, loom_set
from ampwright.documents.paper_room import versions
from ampwright.documents.proving_sheet import ProvingSheet, proving_set
from ampwright.documents.quote_sheet import QuoteSheet, quote_set
from ampwright.documents.sheets import (
    AnswerSheet,
    Charges,
    CheckCard,
    Head,
    JobLines,
    KeptOff,
    NormalCard,
    NormalLine,
    OfferedPart,
    PickSlip,
    Price,
    PriceWords,
    Sheet,
    Step,
    Told,
)
from ampwright.errors import AmpwrightError
from ampwright.packaged import as_folder, read_bytes

__all__ = [
    "AnswerSheet",
    "Charges",
    "CheckCard",
    "Head",
    "JobLines",
    "KeptOff",
    "NormalCard",
    "NormalLine",
    "OfferedPart",
    "PartsSheet",
    "PickSlip",
    "Price",
    "PriceWords",
    "ProvingSheet",
    "QuoteSheet",
    "Sheet",
    "Step",
    "StepsSheet",
    "Told",
    "WiringSheet",
    "papers_pdf",
]

_TEMPLATES = ("look", "answer", "pick", "quote", "parts", "steps", "wiring", "check", "normal", "test")

AnySheet = Sheet | QuoteSheet | LoomPaper | ProvingSheet

# In this order they stand, whichever order they were ticked in.
_ORDER: tuple[type, ...] = (
    AnswerSheet,
    PickSlip,
    QuoteSheet,
    PartsSheet,
    StepsSheet,
    WiringSheet,
    CheckCard,
    NormalCard,
    ProvingSheet,
)
_TITLES = {
    AnswerSheet: "Answer sheet",
    PickSlip: "Pick slip",
    QuoteSheet: "Quote",
    PartsSheet: "Pick list of the change",
    StepsSheet: "Fitting steps",
    WiringSheet: "Wiring",
    CheckCard: "Check card",
    NormalCard: "What is normal on your bike",
    ProvingSheet: "Test sheet",
}


def papers_pdf(head: Head, sheets: Sequence[AnySheet]) -> bytes:
    """Set papers as one PDF, in the order in which they are used; needs the extra ``papers``."""
    if not sheets:
        raise ValueError("no sheets given; a PDF holds at least one.")
    ordered = sorted(sheets, key=lambda sheet: _ORDER.index(type(sheet)))
    charts = {f"chart-{k}.svg": sheet.chart_svg for k, sheet in enumerate(ordered) if isinstance(sheet, AnswerSheet)}
    files = {name: svg.encode("utf-8") for name, svg in charts.items() if svg is not None}
    for k, sheet in enumerate(ordered):
        files |= {name: svg.encode("utf-8") for name, svg in drawings_of(sheet, f"drawing-{k}").items()}
    # typst takes only text as a file held in memory, so the logo goes over as the numbers of its bytes.
    data = {
        "head": {"name": head.name, "address": head.address, "phone": head.phone, "logo": list(head.logo_png or b"")},
        "paper": {"A4": "a4", "Letter": "us-letter"}[head.paper],
        "title": f"Job {ordered[0].job.number}: {', '.join(_TITLES[type(sheet)].lower() for sheet in ordered)}",
        "sheets": [_set(sheet, k) for k, sheet in enumerate(ordered)],
    }
    return _compiled(_own_text(data), files)


def _set(sheet: AnySheet, place: int) -> dict[str, Any]:
    titled = {"title": _TITLES[type(sheet)], "job": vars(sheet.job)}
    if isinstance(sheet, QuoteSheet):
        return titled | quote_set(sheet)
    if isinstance(sheet, ProvingSheet):
        return titled | proving_set(sheet)
    if isinstance(sheet, LoomPaper):
        return titled | loom_set(sheet, f"drawing-{place}")
    return titled | versions(sheet, f"chart-{place}.svg")


def _own_text(value: Any) -> Any:
    """The same values with every text as it can be set."""
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, Mapping):
        return {name: _own_text(held) for name, held in value.items()}
    return [_own_text(held) for held in value] if isinstance(value, list | tuple) else value


def _compiled(data: Mapping[str, Any], files: Mapping[str, bytes]) -> bytes:
    typst = _typst()
    source = {"main": read_bytes("papers/main.typ"), "papers.json": json.dumps(data).encode("utf-8"), **files}
    source |= {f"{name}.typ": read_bytes(f"papers/{name}.typ") for name in _TEMPLATES}
    try:
        pdf: bytes = typst.compile(source, format="pdf", font_paths=_fonts(), pdf_standards="ua-1")
    except typst.TypstError as fault:
        raise AmpwrightError(
            f"The papers cannot be set: {fault}. Look whether the shop's logo is a sound PNG; the job itself is kept"
            " and unharmed."
        ) from None
    return pdf


@cache
def _fonts() -> Any:
    """The faces of the package and no others, read once."""
    with as_folder("fonts") as folder:
        return _typst().Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(folder)])


def _typst() -> ModuleType:
    try:
        import typst
    except ImportError as missing:
        raise AmpwrightError(
            "Papers as PDF were asked for, and the package that sets them (typst) is not installed. "
            "Install the extra named papers: pip install 'ampwright[papers]'. "
            "The answer on the screen and the text to send need nothing more."
        ) from missing
    return typst
