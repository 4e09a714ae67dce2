"""Read a PDF back with poppler, as another program sees it."""

import re
import subprocess
import tempfile
from pathlib import Path


def pages_of(pdf: bytes) -> list[str]:
    """The text of each page in the order in which it was written, without blanks: lines break where they like."""
    return [squeezed(page) for page in _poppler("pdftotext", pdf, "-raw", "{}", "-").split("\f")[:-1]]


def squeezed(text: str) -> str:
    """A text without blanks and without places to break a word."""
    return re.sub(r"[\s\u200b]", "", text)


def fonts_of(pdf: bytes) -> list[tuple[str, str]]:
    """Each font by name, and whether it is embedded."""
    rows = _poppler("pdffonts", pdf, "{}").splitlines()[2:]
    return [(row.split()[0], re.search(r"(yes|no) +(yes|no) +(yes|no)", row).group(1)) for row in rows]


def facts_of(pdf: bytes) -> dict[str, str]:
    """What pdfinfo says of a document."""
    rows = (line.split(":", 1) for line in _poppler("pdfinfo", pdf, "{}").splitlines() if ":" in line)
    return {name.strip(): value.strip() for name, value in rows}


def _poppler(program: str, pdf: bytes, *words: str) -> str:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "papers.pdf"
        path.write_bytes(pdf)
        command = [program, *(word.format(path) for word in words)]
        return subprocess.run(command, capture_output=True, text=True, check=True).stdout
