"""Rows read without the library are what the library reads, and what is not written our way is left to it."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from io import BytesIO
from itertools import permutations
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile

import openpyxl
import pytest

from reportgen.catalogue.package import Package
from reportgen.ledger.graft import _counts_from_1904
from reportgen.ledger.layout import Head, put, write_table, write_title
from reportgen.ledger.longtables import Book
from reportgen.ledger.ownrows import NotOurs, own_rows
from tests.every import every
from tests.ledger import runs
from tests.ledger.grafting import graft

HEADS = (
    Head("Words", 12),
    Head("Figure", 9, "0.0"),
    Head("Day", 12, "yyyy-mm-dd"),
    Head("Moment", 16, "yyyy-mm-dd hh:mm"),
    Head("Else", 9),
)
VALUES = (
    *("plain", "=1+1", " two  blanks ", "a\nb", "<&>\"'", "&amp;lt;", "&lt; or &gt;", "ö€漢𝄞", "", "_x0041_", "\t"),
    *(0, -3, 2.5, 1e-300, 1e300, 12345678901234567890, True, False, None),
)


def written(*, cells: bool = False, epoch_1904: bool = False) -> bytes:
    """A workbook with our table grafted into it, each value once as a row of text, or as a cell of the library."""
    book = Book()
    page = book.create_sheet("Ours")
    rows = [[value, 1.5, dt.date(2026, 3, 4), dt.datetime(2026, 3, 4, 5, 6, 7), value] for value in VALUES]
    top = write_title(page, "Ours", ["A line"])
    last = write_table(page, top, HEADS, rows, "Ours", long=not cells)
    put(page.cell(last + 3, 4), "far from the rest")
    standing, content = openpyxl.Workbook(), BytesIO()
    standing.epoch = dt.datetime(1904, 1, 1) if epoch_1904 else standing.epoch
    standing.save(content)
    return graft(content.getvalue(), book)


def by_library(content: bytes, sheet: str) -> list[tuple[Any, ...]]:
    page = openpyxl.load_workbook(BytesIO(content), read_only=True, data_only=True)[sheet]
    page.reset_dimensions()
    return [tuple(row) for row in page.iter_rows(values_only=True)]


def by_us(content: bytes, sheet: str) -> list[tuple[Any, ...]]:
    package = Package(content)
    return list(own_rows(package, dict(package.sheets())[sheet]))


@pytest.mark.parametrize("cells", (False, True), ids=("rows of text", "cells of the library"))
def test_every_value_is_read_as_the_library_reads_it(cells: bool) -> None:
    content = written(cells=cells)
    found = by_us(content, "Ours")
    assert found == by_library(content, "Ours")
    assert [[type(value) for value in row] for row in found] == [
        [type(value) for value in row] for row in by_library(content, "Ours")
    ]
    assert len(found) > len(VALUES) and dt.datetime(2026, 3, 4, 5, 6, 7) in found[-5]


@pytest.mark.parametrize("sheet", ("History", "History inputs"))
def test_the_memory_of_a_run_is_read_so(sheet: str) -> None:
    content = runs.first_run()
    assert by_us(content, sheet) == by_library(content, sheet)


def changed(content: bytes, part: str, change: Callable[[bytes], bytes]) -> bytes:
    """The same package with one part changed."""
    result = BytesIO()
    with ZipFile(BytesIO(content)) as old, ZipFile(result, "w", ZIP_DEFLATED) as new:
        for name in old.namelist():
            text = old.read(name)
            new.writestr(name, change(text) if name == part else text)
    return result.getvalue()


SHEET, STYLES = "xl/worksheets/sheet2.xml", "xl/styles.xml"


@every(
    ("part", "old", "new"),
    (
        (SHEET, b"</c>", b"<f>1</f></c>"), (SHEET, b't="inlineStr"', b't="str"'), (SHEET, b"<is><t>plain</t></is>", b"<is><r><t>plain</t></r></is>"),
        (SHEET, b"<is><t>plain</t></is>", b"<is><t>pl<!-- -->ain</t></is>"), (SHEET, b"plain", b"pl&#97;in"), (SHEET, b"plain", b"<![CDATA[plain]]>"),
        (SHEET, b'<row r="9"', b'<row r="900"'), (SHEET, b'<row r="9"', b'<row r="2"'), (SHEET, b'<row r="9"', b'<row r="8"'), (SHEET, b'<row r="9"', b"<row"), (SHEET, b'<c r="B', b'<c r="A'),
        (SHEET, b"<?xml version='1.0'", b'<?xml version="1.0"'), (SHEET, b'" s="', b'" cm="1" s="'), (SHEET, b'" s="', b'" s="99999'),
        (SHEET, b"<v>1.5</v>", b"<v>1.5.1</v>"), (STYLES, b'formatCode="yyyy-mm-dd"', b'formatCode="[h]:mm:ss"'),
    ),
)  # fmt: skip
def test_what_we_do_not_write_is_left_to_the_library(part: str, old: bytes, new: bytes) -> None:
    content = written()
    other = changed(content, part, lambda text: text.replace(old, new))
    assert other != content
    with pytest.raises(NotOurs):
        by_us(other, "Ours")


def row_of(number: int, *cells: str) -> str:
    inside = "".join(f'<c r="{letter}{number}"{cell}' for letter, cell in zip("ABCDEFG", cells, strict=False))
    return f'<row r="{number}" ht="15" customHeight="1">{inside}</row>'


WORDS, NUMBER, YES, NOTHING = (
    ' s="1" t="inlineStr"><is><t>a &amp; b</t></is></c>',
    "><v>1.5</v></c>",
    ' t="b"><v>1</v></c>',
    ' s="1"/>',
)


@every("cells", tuple(permutations((WORDS, NUMBER, YES, NOTHING))))
def test_cells_in_any_order_are_read(cells: tuple[str, ...]) -> None:
    """Some orders raised SystemError in Python 3.11, where a group with a number was repeated possessively (python/cpython issue 101955)."""
    rows = "".join(row_of(number, *cells, *cells[:2]) for number in range(1, 4))
    content = changed(
        written(), SHEET, lambda text: re.sub(rb"(?s)(?<=<sheetData>).*(?=</sheetData>)", rows.encode(), text)
    )
    assert by_us(content, "Ours") == by_library(content, "Ours") and len(by_us(content, "Ours")) == 3


@pytest.mark.parametrize("said", ["1", "true", "on"])
def test_days_counted_from_another_year_are_left_to_the_library(said: str) -> None:
    """And where new sheets go into such a workbook their days are moved."""
    content = written(epoch_1904=True)
    assert {row[3] for row in by_library(content, "Ours") if len(row) > 4} >= {dt.datetime(2026, 3, 4, 5, 6, 7)}

    def saying(word: str) -> bytes:
        return changed(
            content, "xl/workbook.xml", lambda text: text.replace(b'date1904="1"', f'date1904="{word}"'.encode())
        )

    with pytest.raises(NotOurs):
        by_us(saying(said), "Ours")
    assert _counts_from_1904(Package(saying(said)))
    for no in ("0", "false"):
        assert by_us(saying(no), "Ours") and not _counts_from_1904(Package(saying(no)))


def test_a_sheet_that_another_program_saved_is_left_to_the_library() -> None:
    again = BytesIO()
    openpyxl.load_workbook(BytesIO(runs.first_run())).save(again)
    with pytest.raises(NotOurs):
        by_us(again.getvalue(), "History")
