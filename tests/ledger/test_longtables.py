"""Rows of text beside the library's own cells, read back with the library."""

from __future__ import annotations

import datetime as dt
from io import BytesIO

import openpyxl
import pytest

from reportgen.ledger.graft import graft
from reportgen.ledger.longtables import Book


def opened(content: bytes):
    return openpyxl.load_workbook(BytesIO(content)).active


@pytest.fixture
def book():
    return Book()


def test_rows_stand_where_they_belong(book):
    page = book.active
    for row in (1, 2, 9, 12):
        page.cell(row, 1).value = row
    count = book.add_rows(page, 10, (([(0, number)], 15.0) for number in (10, 11)))
    assert count == 2
    assert book.add_rows(page, 3, (([(0, number)], 15.0) for number in range(3, 6))) == 3
    assert book.add_rows(page, 13, []) == 0
    found = opened(book.bytes())
    rows = {row[0].row: row[0].value for row in found.iter_rows() if row[0].value is not None}
    assert rows == {row: row for row in (1, 2, 3, 4, 5, 9, 10, 11, 12)}
    assert found.row_dimensions[10].height == 15.0


def test_a_sheet_of_nothing_but_rows(book):
    book.add_rows(book.active, 1, [([(0, "a"), (0, None), (0, "c")], 20.0)])
    assert [cell.value for cell in opened(book.bytes())[1]] == ["a", None, "c"]


@pytest.mark.parametrize(
    "value", ("plain", "=1+1", " two  blanks ", "a\nb", "<&>\"'", "ö€漢", 0, -3, 2.5, 1e-300, True, dt.date(2026, 3, 4))
)
def test_values_come_back_as_they_went(book, value):
    book.add_rows(book.active, 1, [([(0, value)], 15.0)])
    cell = opened(book.bytes())["A1"]
    if isinstance(value, dt.date):
        assert cell.value == (value - dt.date(1899, 12, 30)).days  # ECMA-376 part 1, 18.17.4.1
    else:
        assert cell.value == value and cell.data_type != "f"


def test_rows_longer_than_a_piece_are_grafted_whole(book):
    """Each piece of the rows is renumbered alone: none is lost and none is cut at a border between two."""
    original = BytesIO()
    openpyxl.Workbook().save(original)
    page, many, text = book.active, 9000, "some words in a cell, " * 10
    page.title = "Long"
    book.add_rows(page, 1, (([(0, number), (0, f"{number} {text}")], 15.0) for number in range(1, many + 1)))
    result = openpyxl.load_workbook(BytesIO(graft(original.getvalue(), book.bytes())), read_only=True)["Long"]
    found = [(row[0], row[1].partition(" ")[0]) for row in result.iter_rows(values_only=True)]
    assert found == [(number, str(number)) for number in range(1, many + 1)]
