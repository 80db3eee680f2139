"""Rows of text beside the library's own cells, read back with the library."""

from __future__ import annotations

import datetime as dt
import re
import zipfile
import zlib
from collections.abc import Iterable
from io import BytesIO
from typing import Any

import openpyxl
import pytest

from reportgen.ledger.longtables import Book, Stretch, packed, row_text, rows_in
from tests.every import every
from tests.ledger.grafting import graft


def opened(content: bytes) -> Any:
    return openpyxl.load_workbook(BytesIO(content)).worksheets[0]


def one_page() -> tuple[Book, Any]:
    book = Book()
    return book, book.create_sheet("Long")


def rows(values: Iterable[Any]) -> list[bytes]:
    return packed(row_text([("0 ", value)], 15.0) for value in values)


def test_rows_stand_where_they_belong() -> None:
    book, page = one_page()
    for row in (1, 2, 9, 12):
        page.cell(row, 1).value = row
    book.add_rows(page, 10, rows((10, 11)), {"0 ": 0})
    book.add_rows(page, 3, rows(range(3, 6)), {"0 ": 0})
    book.add_rows(page, 13, rows(()), {"0 ": 0})
    found = opened(book.bytes())
    filled = {row[0].row: row[0].value for row in found.iter_rows() if row[0].value is not None}
    assert filled == {row: row for row in (1, 2, 3, 4, 5, 9, 10, 11, 12)}
    assert found.row_dimensions[10].height == 15.0


def test_a_sheet_of_nothing_but_rows() -> None:
    book, page = one_page()
    book.add_rows(page, 1, packed([row_text([("0 ", "a"), ("0 ", None), ("0 ", "c")], 20.0)]), {"0 ": 0})
    assert [cell.value for cell in opened(book.bytes())[1]] == ["a", None, "c"]


VALUES = (
    "plain",
    "=1+1",
    " two  blanks ",
    "a\nb",
    "<&>\"'",
    "&lt; is written &amp;lt;",
    "ö€漢",
    "",
    0,
    -3,
    2.5,
    1e-300,
    True,
    dt.date(2026, 3, 4),
)


@every("value", VALUES)
def test_values_come_back_as_they_went(value: Any) -> None:
    book, page = one_page()
    book.add_rows(page, 1, rows([value]), {"0 ": 0})
    cell = opened(book.bytes())["A1"]
    if isinstance(value, dt.date):
        assert cell.value == (value - dt.date(1899, 12, 30)).days  # ECMA-376 part 1, 18.17.4.1
    else:
        assert cell.value == value and cell.data_type != "f"


@every("text", ["", "a", "a b", " a", "a ", " a ", "\na", "a\n", "\ta", "a\t", " ", "a\n b"])
def test_blanks_at_either_end_are_said_to_be_kept(text: str) -> None:
    """Programs drop them else (XML 1.0, 2.10: `xml:space`)."""
    said = ' xml:space="preserve"' in row_text([("0 ", text)], 15.0)
    assert said == (text[:1] in (" ", "\n", "\t") or text[-1:] in (" ", "\n", "\t") if text else False)


def test_links_lead_out_and_within() -> None:
    book, page = one_page()
    book.add_rows(page, 1, rows(["out", "in"]), {"0 ": 0})
    book.add_link(page, "A1", outside="out/a%20b.pdf?x=1&y=<2>")
    book.add_link(page, "A2", inside="'Run \"1\"'!A6")
    found = opened(book.bytes())
    assert (
        found["A1"].hyperlink.target == "out/a%20b.pdf?x=1&y=<2>" and found["A2"].hyperlink.location == "'Run \"1\"'!A6"
    )
    into = BytesIO()
    openpyxl.Workbook().save(into)
    grafted = openpyxl.load_workbook(BytesIO(graft(into.getvalue(), book)))["Long"]
    assert grafted["A1"].hyperlink.target == found["A1"].hyperlink.target
    assert grafted["A2"].hyperlink.location == found["A2"].hyperlink.location


@pytest.mark.parametrize("into", [False, True], ids=("from 1900", "from 1904"))
def test_long_rows_are_grafted_whole_and_keep_their_days(into: bool) -> None:
    """Each piece of the rows is numbered alone: none is lost and none is cut at a border between two."""
    original, day = BytesIO(), dt.datetime(2026, 3, 4)
    standing = openpyxl.Workbook()
    standing.epoch = dt.datetime(1904, 1, 1) if into else standing.epoch
    standing.save(original)
    book, page = one_page()
    page.cell(1, 1).number_format = "yyyy-mm-dd"
    styles, words = {"0 ": page.cell(1, 1).style_id, "1 ": 0}, "some words in a cell, " * 10
    page.delete_rows(1)
    many = 9000
    made = (row_text([("1 ", number), ("1 ", f"{number} {words}"), ("0 ", day)], 15.0) for number in range(1, many + 1))
    book.add_rows(page, 1, packed(made), styles)
    result = openpyxl.load_workbook(BytesIO(graft(original.getvalue(), book)), read_only=True)["Long"]
    found = [(row[0], row[1].partition(" ")[0], row[2]) for row in result.iter_rows(values_only=True)]
    assert found == [(number, str(number), day) for number in range(1, many + 1)]


# --- rows that come from a file -------------------------------------------------------------------------------------

LOOKS = r"0 |0n 0\.00"


def test_all_that_is_made_counts_as_rows() -> None:
    pieces = packed(row_text([("0 ", value), ("0n 0.00", "<&>")], 15.25) for value in VALUES)
    assert sum(rows_in(piece, 2, LOOKS) or 0 for piece in pieces) == len(VALUES)


ROW = row_text([("0 ", "a"), ("0 ", 1)], 15.0)


@every(
    "text",
    (
        ROW[:-1], ROW + "x", ROW.replace("<v>1</v>", "<f>1</f>"), ROW.replace("<v>1", "<v>NOW()"), ROW.replace(">a<", ">a<b/><"),
        ROW.replace(">a<", ">&x;<"), ROW.replace(">a<", ">\x01<"), ROW.replace('"A', '"<'), ROW.replace("0 ", "9 "), ROW.replace("</c>", "", 1),
        ROW.replace(' ht="15"', ' ht="15" hidden="1"'), ROW.replace("<c ", "<c cm=\"1\" ", 1), "<!DOCTYPE x>" + ROW,
    ),
)  # fmt: skip
def test_nothing_else_counts_as_rows(text: str) -> None:
    """Formulas, entities, tags and marks that we do not make, and looks that there are not."""
    assert rows_in(zlib.compress((ROW * 3).encode()), 2, LOOKS) == 3
    assert rows_in(zlib.compress(text.encode()), 2, LOOKS) is None


def test_stretches_stand_in_their_places_whatever_their_order() -> None:
    """Rows 7, 3 and 5 given in that order, among cells of the library in 1, 4 and 8."""
    book, page = one_page()
    for row in (1, 4, 8):
        page.cell(row, 1, f"cell {row}")
    for first in (7, 3, 5):
        book.add_rows(page, first, rows([f"text {first}"]), {"0 ": 0})
    content = book.bytes()
    with zipfile.ZipFile(BytesIO(content)) as archive:
        text = archive.read("xl/worksheets/sheet1.xml").decode()
    assert re.findall(r'<row r="(\d+)"', text) == ["1", "3", "4", "5", "7", "8"]  # rising (ECMA-376 part 1, 18.3.1.73)
    found = opened(content)
    assert [found.cell(row, 1).value for row in range(1, 9)] == [
        "cell 1", None, "text 3", "cell 4", "text 5", None, "text 7", "cell 8",
    ]  # fmt: skip


def test_the_first_day_there_is_moves_and_a_time_of_day_does_not() -> None:
    cells = row_text([("day", 1), ("day", 0.999), ("day", 45000.25), ("else", 45000)], 15.0)
    moved = b"".join(
        Stretch(3, packed([cells]), {"day": 4, "else": 5}).text(later=lambda style: 1462 if style == 4 else 0)
    )
    assert re.findall(rb"<v>([^<]*)<", moved) == [b"1463.0", b"0.999", b"46462.25", b"45000.0"]
