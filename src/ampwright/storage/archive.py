"""
What a spreadsheet's ZIP archive says of itself, checked before anything reads the sheets in it.

A small archive can unpack to more than any machine holds, and a sheet can hold cells that a reader passes over without
a word. Both are looked for in the packed stream, a piece at a time.
"""

import io
import re
import zipfile
import zlib

from ampwright.errors import BadRecord, Fault

MOST_UNPACKED = 100_000_000
_MOST_MEMBERS = 2_000
# Twenty thousand rows that are all alike pack to about a thirteenth (measured); this is far beyond any list.
_MOST_RATIO = 150
_RATIO_MATTERS_FROM = 1_000_000
_PIECE = 1 << 20
_OVERLAP = 400
_ERROR = re.compile(rb"<c\b[^<>]*?\br\s*=\s*[\"']([A-Z]+\d+)[\"'][^<>]*?\bt\s*=\s*[\"']e[\"']")
_NOT_WORKED_OUT = re.compile(
    rb"<c\b[^<>]*?\br\s*=\s*[\"']([A-Z]+\d+)[\"'][^<>]*>\s*<f\b(?:[^<>]*/>|[^<>]*>[^<]*</f>)\s*(?:<v\s*/>\s*|<v></v>\s*)?</c>"
)

_OPEN_DOCUMENT_ERROR = re.compile(rb"\bcalcext:value-type\s*=\s*[\"']error[\"']")


def check_archive(data: bytes, filename: str) -> list[str]:
    """Refuse an archive that is broken, locked, or unpacks to too much; the names in it."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            members = archive.infolist()
            _check_directory(members, filename)
            for member in members:
                _check_stream(archive, member, filename)
            return [member.filename for member in members]
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError, OSError):
        raise refused(filename, "is damaged: it cannot be unpacked. Save it again from the spreadsheet.") from None


def refused(filename: str, sentence: str) -> BadRecord:
    """The error that says why a whole file is not taken."""
    return BadRecord(filename, [Fault("the file", sentence)])


def _check_directory(members: list[zipfile.ZipInfo], filename: str) -> None:
    if any(member.flag_bits & 0x1 for member in members):
        raise refused(filename, "is locked with a password. Save it without one.")
    unpacked = sum(member.file_size for member in members)
    swollen = any(
        member.file_size > _RATIO_MATTERS_FROM and member.file_size > _MOST_RATIO * max(member.compress_size, 1)
        for member in members
    )
    if len(members) > _MOST_MEMBERS or unpacked > MOST_UNPACKED or swollen:
        raise refused(filename, "unpacks to far more than a stock list holds. Save the list alone as a new file.")


def _check_stream(archive: zipfile.ZipFile, member: zipfile.ZipInfo, filename: str) -> None:
    """Unpack one member a piece at a time, no further than it says, and look at what a sheet's cells are."""
    stated = member.file_size
    member.file_size = stated + 1  # else the library stops where the directory says, whatever follows
    is_sheet = member.filename.startswith("xl/worksheets/") and member.filename.endswith(".xml")
    read, tail = 0, b""
    with archive.open(member) as stream:
        while piece := stream.read(_PIECE):
            read += len(piece)
            if read > stated:
                raise refused(filename, "unpacks to more than it says. Save the list as a new file.")
            if is_sheet:
                _check_cells(tail + piece, filename)
            elif member.filename == "content.xml" and _OPEN_DOCUMENT_ERROR.search(tail + piece):
                raise refused(filename, "has an error such as #N/A in a cell. Mend the formula, or clear the cell.")
            tail = piece[-_OVERLAP:]


def _check_cells(piece: bytes, filename: str) -> None:
    if found := _ERROR.search(piece):
        sentence = f"has an error such as #N/A in cell {found[1].decode()}. Mend the formula, or clear the cell."
        raise refused(filename, sentence)
    if found := _NOT_WORKED_OUT.search(piece):
        sentence = (
            f"has a formula in cell {found[1].decode()} whose value was not saved. Open the file in a spreadsheet and"
            " save it again."
        )
        raise refused(filename, sentence)
