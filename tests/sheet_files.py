"""Sheets made for tests: rows as CSV, XLSX and ODS, and a shop to hold them against."""

import io
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
