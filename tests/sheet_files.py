"""Sheets made for tests: rows as CSV, XLSX and ODS, and a shop to hold them against."""

import io
import struct
import zipfile
from collections.abc import Sequence
from html import escape
from typing import Any

from ampwright.documents.lists import as_xlsx

FUSE = {
    "kind": "fuse",
    "code": "F-1",
    "name": "Blade fuse, 15 A",
    "price": "0.60",
    "in_stock": 40,
    "rated_A": 15,
    "style": "blade",
    "note": "in the drawer",
    "source": "invented example",
    "standing": "demo",
}
BOX = {
    "kind": "charging_box",
    "code": "B-1",
    "name": "Charging box, single-phase, 200 W",
    "price": "61.50",
    "in_stock": 2,
    "phases": 1,
    "rated_W": 200,
    "pairings": [{"phases": 1, "up_to_A": 16, "words": "suits single-phase stators to 16 A"}],
    "earth": "either",
    "system_voltage_V": 12,
    "set_point_V": 14.2,
    "topology": "thyristor shunt",
    "leads": 4,
    "finned": True,
    "size": {"length_mm": 90, "width_mm": 65, "height_mm": 30},
    "source": "invented example",
    "standing": "demo",
}


def csv_of(*lines: str, encoding: str = "utf-8") -> bytes:
    """Lines of text as a file."""
    return "\r\n".join(lines).encode(encoding)


def xlsx_of(rows: Sequence[Sequence[Any]]) -> bytes:
    """Rows, the headings first, as a workbook of one sheet."""
    width = max(map(len, rows))
    even = [[*row, *[None] * (width - len(row))] for row in rows]
    return as_xlsx("stock", [str(heading) if heading else "" for heading in even[0]], even[1:])


def changed_member(archive: bytes, name: str, old: bytes, new: bytes) -> bytes:
    """An archive in which one member says something else."""
    file = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(archive)) as before, zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as after:
        for member in before.namelist():
            data = before.read(member)
            if member == name:
                assert old in data
                data = data.replace(old, new)
            after.writestr(member, data)
    return file.getvalue()


def archive_of(members: dict[str, bytes]) -> bytes:
    """A ZIP archive."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return file.getvalue()


def ods_of(rows: Sequence[Sequence[str | float | None]]) -> bytes:
    """Rows as an OpenDocument spreadsheet of one sheet."""

    def cell(value: str | float | None) -> str:
        if value is None:
            return "<table:table-cell/>"
        if isinstance(value, str):
            return f'<table:table-cell office:value-type="string"><text:p>{escape(value)}</text:p></table:table-cell>'
        return f'<table:table-cell office:value-type="float" office:value="{value}"/>'

    lines = "".join(f"<table:table-row>{''.join(map(cell, row))}</table:table-row>" for row in rows)
    space = "urn:oasis:names:tc:opendocument:xmlns:"
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content xmlns:office="{space}office:1.0"'
        f' xmlns:table="{space}table:1.0" xmlns:text="{space}text:1.0"><office:body><office:spreadsheet>'
        f'<table:table table:name="stock">{lines}</table:table></office:spreadsheet></office:body>'
        "</office:document-content>"
    )
    kind = b"application/vnd.oasis.opendocument.spreadsheet"
    manifest = (
        f'<?xml version="1.0" encoding="UTF-8"?><manifest:manifest xmlns:manifest="{space}manifest:1.0">'
        '<manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/></manifest:manifest>'
    )
    return archive_of({"mimetype": kind, "content.xml": content.encode(), "META-INF/manifest.xml": manifest.encode()})


def xls_of(rows: Sequence[Sequence[str | float | None]], error_at: tuple[int, int] | None = None) -> bytes:
    """
    Rows as an old binary workbook: the records of a sheet in the one stream of a compound file.

    Record numbers and layouts are those of the published XLS and compound file formats.
    """

    def record(number: int, data: bytes) -> bytes:
        return struct.pack("<HH", number, len(data)) + data

    def cell(line: int, column: int, value: str | float | None) -> bytes:
        place = struct.pack("<HHH", line, column, 0)
        if (line, column) == error_at and value is None:
            return record(0x0205, place + bytes([0x2A, 1]))  # #N/A
        if isinstance(value, str):
            return record(0x0204, place + struct.pack("<HB", len(value), 1) + value.encode("utf-16-le"))
        return b"" if value is None else record(0x0203, place + struct.pack("<d", value))

    start = [record(0x0809, struct.pack("<HHHHII", 0x0600, kind, 0, 0, 0, 0)) for kind in (0x0005, 0x0010)]
    name = b"stock"
    length = len(start[0]) + 4 + 8 + len(name) + 4
    bound = record(0x0085, struct.pack("<IBBBB", length, 0, 0, len(name), 0) + name)
    cells = b"".join(cell(line, column, value) for line, row in enumerate(rows) for column, value in enumerate(row))
    stream = start[0] + bound + record(0x000A, b"") + start[1] + cells + record(0x000A, b"")
    return _compound(stream.ljust(4096, b"\0"))


def _compound(stream: bytes) -> bytes:
    """A compound file of one stream, which takes whole sectors of 512 bytes from the third on."""
    sectors = -(-len(stream) // 512)
    free, end, table = 0xFFFFFFFF, 0xFFFFFFFE, 0xFFFFFFFD
    chain = [table, end, *range(3, sectors + 2), end]
    head = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(16) + struct.pack("<HHHHH", 0x3E, 3, 0xFFFE, 9, 6) + bytes(6)
    head += struct.pack("<IIIIIIIII", 0, 1, 1, 0, 4096, end, 0, end, 0) + struct.pack("<109I", 0, *[free] * 108)

    def entry(name: str, kind: int, child: int, first: int, size: int) -> bytes:
        spelt = (name + "\0").encode("utf-16-le") if name else b""
        told = spelt.ljust(64, b"\0") + struct.pack("<HBBIII", len(spelt), kind, 1, free, free, child)
        return told + bytes(36) + struct.pack("<IQ", first, size)

    folder = (
        entry("Root Entry", 5, 1, end, 0) + entry("Workbook", 2, free, 2, len(stream)) + entry("", 0, free, 0, 0) * 2
    )
    return (
        head + struct.pack("<128I", *chain, *[free] * (128 - len(chain))) + folder + stream.ljust(sectors * 512, b"\0")
    )
