"""Files that would do harm, and files that are merely broken: one sentence each, and nothing else happens."""

import datetime
import io
import struct
import zipfile
import zlib
from collections.abc import Callable

import pytest
import xlsxwriter
from hypothesis import given, settings
from hypothesis import strategies as st
from sheet_files import FUSE, archive_of, changed_member, csv_of, ods_of, xls_of, xlsx_of

from ampwright.desk.cases import kept_stock as case
from ampwright.desk.cases.shop import open_shop
from ampwright.desk.cases.stock_import import compare
from ampwright.errors import AmpwrightError, BadRecord
from ampwright.storage import archive, sheets
from ampwright.storage.stock import KeptStock

SHEET = "xl/worksheets/sheet1.xml"
SOUND = xlsx_of([["code", "price"], ["F-1", 1], ["F-2", 2]])
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


@pytest.fixture
def shop(tmp_path):
    """A shop that keeps a fuse."""
    opened = open_shop(str(tmp_path))
    case.save_part(opened, FUSE)
    yield opened
    opened.close()


def refusal(work: Callable[[], object]) -> AmpwrightError | None:
    """The sentence with which something was refused; None where it was done."""
    try:
        work()
    except AmpwrightError as fault:
        return fault
    return None


def lying(data: bytes) -> bytes:
    """An archive whose directory says that its last member is of ten bytes, with the check sum that goes with it."""
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        shown = book.read(book.infolist()[-1])[:11]
    at = data.rindex(b"PK\x01\x02")
    return (
        data[: at + 16]
        + struct.pack("<III", zlib.crc32(shown), book.infolist()[-1].compress_size, 10)
        + data[at + 28 :]
    )


def locked_archive() -> bytes:
    """An archive of which every member is marked as locked."""
    data = bytearray(SOUND)
    at = data.find(b"PK\x01\x02")
    while at >= 0:
        data[at + 8] |= 1
        at = data.find(b"PK\x01\x02", at + 1)
    return bytes(data)


def never_worked_out() -> bytes:
    """A workbook with a formula of which no value was saved."""
    number = b'<c r="B2"><v>1</v></c>'
    return changed_member(SOUND, SHEET, number, b'<c r="B2"><f>1+1</f></c>')


def with_an_error() -> bytes:
    """A workbook with a cell that shows an error."""
    return changed_member(SOUND, SHEET, b'<c r="B2"><v>1</v></c>', b'<c r="B2" t="e"><f>NA()</f><v>#N/A</v></c>')


def far_apart() -> bytes:
    """A workbook with a cell in the last row and column there are."""
    return changed_member(SOUND, SHEET, b'<c r="B2">', b'<c r="XFD1048576">')


def entities() -> bytes:
    """A workbook whose sheet defines a word of a thousand million words."""
    words = "".join(f'<!ENTITY w{n} "{f"&w{n - 1};" * 10}">' for n in range(1, 10))
    start = b"<worksheet"
    return changed_member(SOUND, SHEET, start, f'<!DOCTYPE x [<!ENTITY w0 "w">{words}]>'.encode() + start)


def repeated() -> bytes:
    """A sheet with a cell that says that it stands in two thousand million columns."""
    old = b'<table:table-cell office:value-type="string"><text:p>F-1'
    new = old.replace(b"<table:table-cell ", b'<table:table-cell table:number-columns-repeated="2000000000" ')
    return changed_member(ods_of([["code", "price"], ["F-1", 1]]), "content.xml", old, new)


def open_document_error() -> bytes:
    """An OpenDocument sheet with a cell that shows an error, as spreadsheets write it."""
    old = b'office:value-type="float" office:value="1"/>'
    new = b'office:value-type="string" calcext:value-type="error"><text:p>#N/A</text:p></table:table-cell>'
    return changed_member(ods_of([["code", "price"], ["F-1", 1]]), "content.xml", old, new)


BROKEN = {
    "empty.csv": (b"", "is empty"),
    "blank.csv": (b" \r\n\r\n", "is empty"),
    "large.csv": (b"code,price\n" + b"F-1,1\n" * 2_000_000, "is larger than 10 MB"),
    "rows.csv": (b"code,price\n" + b"F,1\n" * 20_100, "has more than 20,000 rows"),
    "columns.csv": (csv_of(",".join(["code", "price", *["x"] * 300]), "F-1,1"), "has more than 200 columns"),
    "binary.csv": (b"code,price\n\x00\x01\x02", "is not text"),
    "two-byte.csv": ("code,price\nF-1,1".encode("utf-16"), "is not text"),
    "odd.csv": (b"code,price\nF-1,\x81\x8d", "is text in a code that is not known"),
    "cell.csv": (b'code,price,note\nF-1,1,"' + b"x" * 200_000 + b'"', "is no CSV"),
    "workbook.csv": (SOUND, "holds a spreadsheet, whatever its name says"),
    "text.xlsx": (b"code,price\nF-1,1", "is not a spreadsheet, though its name ends in .xlsx"),
    "picture.xlsx": (b"\x89PNG\r\n\x1a\n" + b"\0" * 50, "is not a spreadsheet"),
    "workbook.ods": (SOUND, "of the kind .xlsx, and its name ends in .ods"),
    "sheet.xlsx": (ods_of([["code", "price"], ["F-1", 1]]), "of the kind .ods, and its name ends in .xlsx"),
    "letter.xlsx": (archive_of({"word/document.xml": b"<x/>"}), "an archive without a spreadsheet"),
    "papers.pdf": (b"%PDF-1.7", "does not say what it is"),
    "nameless": (b"code,price\nF-1,1", "does not say what it is"),
    "half.xlsx": (SOUND[: len(SOUND) // 2], "is damaged"),
    "scratched.xlsx": (SOUND[:200] + b"\xff" * 60 + SOUND[260:], "is damaged"),
    "no-sheet.xlsx": (archive_of({"xl/workbook.xml": b"<workbook"}), "is damaged"),
    "bomb.xlsx": (archive_of({"xl/workbook.xml": b"<x/>", SHEET: b" " * 60_000_000}), "unpacks to far more"),
    "members.xlsx": (archive_of({f"{n}.xml": b"" for n in range(2_100)}), "unpacks to far more"),
    "lying.xlsx": (lying(SOUND), "unpacks to more than it says"),
    "locked.xlsx": (locked_archive(), "is locked with a password"),
    "locked-too.xlsx": (OLE + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le"), "is locked with a password"),
    "broken.xls": (OLE + b"\0" * 2_000, "is damaged"),
    "error.xlsx": (with_an_error(), "has an error such as #N/A in cell B2"),
    "error.ods": (open_document_error(), "has an error such as #N/A in a cell"),
    "error.xls": (xls_of([["code", "price"], ["F-1", None]], error_at=(1, 1)), "has an error such as #N/A in a cell"),
    "workbook.xls": (SOUND, "of the kind .xlsx, and its name ends in .xls"),
    "formula.xlsx": (never_worked_out(), "has a formula in cell B2 whose value was not saved"),
    "far.xlsx": (far_apart(), "is damaged"),
    "repeated.ods": (repeated(), "has more than 20,000 rows or 200 columns"),
    "broken.toml": (b"format = ", "is not TOML"),
    "deep.json": (b"[" * 100_000, "is nested too deeply"),
    "list.json": (b"[]", "is not a document of keys and values"),
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_file_is_refused_in_one_sentence_and_nothing_is_kept(shop, name):
    data, sentence = BROKEN[name]
    version = case.stock_version(shop)
    with pytest.raises(BadRecord) as caught:
        case.preview_import(shop, data, name)
    assert sentence in str(caught.value)
    assert len(caught.value.faults) == 1
    assert case.stock_version(shop) == version


def test_a_workbook_with_words_made_of_words_is_not_blown_up(shop):
    # either way is safe: refused, or read without its definitions
    fault = refusal(lambda: case.preview_import(shop, entities(), "a.xlsx"))
    assert fault is None or "is damaged" in str(fault)


def test_a_list_in_two_sheets_is_asked_about(shop):
    file = io.BytesIO()
    book = xlsxwriter.Workbook(file)
    for name in ("boxes", "fuses"):
        book.add_worksheet(name).write_row(0, 0, ["code", "price"])
    book.close()
    with pytest.raises(BadRecord, match="several sheets of parts: boxes, fuses"):
        case.preview_import(shop, file.getvalue(), "a.xlsx")


def test_a_sheet_of_too_many_rows_or_columns_is_refused(shop):
    for rows in ([["code", "price"], *[["F", 1]] * 20_100], [["code", "price", *["x"] * 300], ["F-1", 1]]):
        with pytest.raises(BadRecord, match="rows or 200 columns"):
            case.preview_import(shop, xlsx_of(rows), "a.xlsx")


def test_the_most_that_is_taken_is_taken(shop):
    data = csv_of("code,price", *(f"F-{number},1" for number in range(sheets.MOST_ROWS)))
    assert len(case.preview_import(shop, data, "a.csv").rows) == 20_000


def test_the_value_of_a_formula_is_read_and_not_the_formula(shop):
    file = io.BytesIO()
    book = xlsxwriter.Workbook(file)
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ["code", "price"])
    sheet.write_string(1, 0, "F-1")
    sheet.write_formula(1, 1, "=1.1*3", None, 3.3000000000000003)
    book.close()
    (row,) = case.preview_import(shop, file.getvalue(), "a.xlsx").rows
    # by hand: 1.1 times 3, without what binary arithmetic adds
    assert [(change.column, change.after) for change in row.changes] == [("price", "3.30")]


def test_a_date_that_a_spreadsheet_made_of_a_code_is_asked_about(shop):
    file = io.BytesIO()
    book = xlsxwriter.Workbook(file)
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ["code", "price"])
    sheet.write_datetime(1, 0, datetime.datetime(2026, 3, 12), book.add_format({"num_format": "d-mmm"}))
    sheet.write_number(1, 1, 3)
    book.close()
    (row,) = case.preview_import(shop, file.getvalue(), "a.xlsx").rows
    assert "the spreadsheet made the date 2026-03-12 of it" in row.faults[0].sentence


def test_a_quotation_mark_that_is_not_closed_is_a_fault_of_its_row(shop):
    data = csv_of("code,price,note", 'F-1,1,"oh', *["F-2,1,"] * 500)
    (row,) = case.preview_import(shop, data, "a.csv").rows
    assert "look for a quotation mark that is not closed" in row.faults[0].sentence


def test_headings_without_end_are_columns_that_are_not_known(shop):
    long = ["pairing" + "9" * 5_000 + "_words", "x" * 100_000, "pairing1000_words"]
    preview = case.preview_import(shop, csv_of(",".join(["code", "price", *long]), "F-1,1,a,b,c"), "a.csv")
    assert [len(one.heading) for one in preview.unknown_columns] == [80, 80, 17]


def test_signs_that_do_not_print_are_a_fault(shop):
    (row,) = case.preview_import(shop, csv_of("code,note", "F-1,a\x1bb"), "a.csv").rows
    assert [fault.field for fault in row.faults] == ["note"]


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "=cmd|' /C calc'!A0", " =1+1", "'=1", "＝1+1"])
def test_no_text_that_goes_out_can_become_a_formula(shop, text):
    case.save_part(shop, FUSE | {"name": text, "note": text})
    told = case.stock_file(shop, "csv").decode("utf-8-sig")
    # the rule: a spreadsheet takes a cell for a formula by its first sign
    assert f"'{text.strip()}" in told
    with zipfile.ZipFile(io.BytesIO(case.stock_file(shop, "xlsx"))) as book:
        assert b"<f>" not in book.read(SHEET)
    for ending in ("csv", "xlsx"):
        (row,) = case.preview_import(shop, case.stock_file(shop, ending), f"a.{ending}").rows
        assert row.outcome.value == "unchanged"


def test_a_reader_that_dies_takes_nothing_with_it(shop, monkeypatch):
    monkeypatch.setattr(sheets.sys, "executable", "/bin/false")
    with pytest.raises(BadRecord, match="is damaged"):
        case.preview_import(shop, SOUND, "a.xlsx")


NOTHING = KeptStock({}, 0, "GBP", False)


@given(
    data=st.binary(max_size=300) | st.text(max_size=300).map(str.encode),
    head=st.sampled_from([b"", b"code,price\n", b'"code";price\n', b"PK\x03\x04", b"{", b"[[parts]]\n"]),
    ending=st.sampled_from([".csv", ".tsv", ".toml", ".json"]),
)
@settings(max_examples=300)
def test_no_bytes_make_anything_but_a_preview_or_a_sentence(data, head, ending):
    # anything but a sentence for the person at the desk is raised here
    fault = refusal(lambda: compare(head + data, "a" + ending, NOTHING))
    assert fault is None or str(fault)


@given(at=st.integers(0, len(SOUND) - 1), new=st.binary(min_size=1, max_size=8))
@settings(max_examples=100)
def test_no_scratch_in_an_archive_makes_anything_but_its_names_or_a_sentence(at, new):
    fault = refusal(lambda: archive.check_archive(SOUND[:at] + new + SOUND[at + len(new) :], "a.xlsx"))
    assert fault is None or isinstance(fault, BadRecord)
