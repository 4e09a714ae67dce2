"""Lists to take away: what is in them, and that no text in them is a formula."""

import csv
import io
from decimal import Decimal

import pytest
from python_calamine import load_workbook

from ampwright.desk.cases.jobs import open_demo, open_job
from ampwright.desk.cases.lists import list_file, verdict_list
from ampwright.desk.cases.suit import suit_job
from ampwright.documents.lists import as_csv, as_xlsx
from ampwright.errors import BadRecord
from ampwright.stock.shelf import demo_shelf


def rows_of(data: bytes) -> list[list[str]]:
    """The cells of a CSV file."""
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def cells_of(data: bytes) -> list[list[object]]:
    """The cells of a workbook's only sheet."""
    return load_workbook(io.BytesIO(data)).get_sheet_by_index(0).to_python(skip_empty_area=False)


def test_every_kind_of_value_is_written_so_that_it_is_read_in_one_way():
    told = rows_of(as_csv(["a"], [[1.125], [0.5], [12.0], [7], [Decimal("3.5")], [True], [None], ["=1"], ["a\nb"]]))
    # by hand: three decimals get a nought, sums are written to the penny, a formula gets an apostrophe
    assert [row[0] for row in told[1:]] == ["1.1250", "0.5", "12", "7", "3.50", "yes", "", "'=1", "a\nb"]


def test_a_workbook_holds_numbers_as_numbers_and_text_as_text():
    third = 0.1 + 0.2  # seventeen digits
    told = cells_of(as_xlsx("a", ["text", "number"], [["=1", Decimal("3.5")], ["007", third]], ["! Mind."]))
    assert told == [["text", "number"], ["=1", 3.5], ["007", repr(third)], ["", ""], ["! Mind.", ""]]


def test_a_list_of_nothing_is_a_row_of_headings():
    assert rows_of(as_csv(["a", "b"], [])) == [["a", "b"]]
    assert cells_of(as_xlsx("a", ["a", "b"], [])) == [["a", "b"]]


def test_the_same_list_makes_the_same_file():
    assert as_xlsx("a", ["a"], [[1]]) == as_xlsx("a", ["a"], [[1]])


def test_another_ending_is_refused():
    with pytest.raises(BadRecord, match=r"\.csv or \.xlsx"):
        list_file("parts", ["a"], [], "pdf")


def test_the_list_of_verdicts_has_every_part_with_reason_price_and_stock():
    answer = suit_job(open_demo("two-wires-unmarked"), demo_shelf())
    told = rows_of(verdict_list(answer, "csv"))
    assert told[0] == ["code", "kind", "name", "verdict", "reason", "see that", "price", "currency", "in_stock"]
    assert [row[0] for row in told[1:]] == [row.code for row in answer.rows]
    first, row = answer.rows[0], told[1]
    assert (row[3], row[4], row[6:]) == (first.verdict, first.reason, [str(first.price), "GBP", str(first.in_stock)])
    sheet = cells_of(verdict_list(answer, "xlsx"))
    assert len(answer.cautions) > 0
    # people are given the cautions as well
    assert [row[0] for row in sheet[len(told) + 1 :]] == list(answer.cautions)


def test_a_job_that_is_stopped_says_so_and_lists_no_part():
    answer = suit_job(open_job(None, ["danger=hot or smoking"]), demo_shelf())
    told = rows_of(verdict_list(answer, "csv"))
    assert len(told) == 2
    assert (told[1][0], told[1][3], told[1][4]) == ("", "stop", answer.why)
