"""The sheet of answers: it grows, says nothing twice, and keeps what the operator wrote to its right."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from io import BytesIO
from typing import Any

import openpyxl
import pytest
from openpyxl.comments import Comment

from reportgen.catalogue.demo import demo_tables
from reportgen.ledger.answersheet import HEADS, Said, grown
from reportgen.ledger.stamp import RunStamp
from reportgen.problems import ReportgenError
from tests.demo_catalogue import demo

FIRST = Said("E-01", "A customer", "What goes with LD-01?", "HD-01", "HD-01 goes with it.")
STAMP = RunStamp(
    4, dt.datetime(2026, 11, 25, 14, 3), "0.1.0", "0123456789abcdef" + "0" * 48, "demo season.xlsx", "M. Quill"
)


def bare() -> bytes:
    """A workbook of one sheet, as any library writes it."""
    buffer = BytesIO()
    book = openpyxl.Workbook()
    book["Sheet"]["A1"] = demo_tables()["Maker"][0]["name"]
    book.save(buffer)
    return buffer.getvalue()


def saved(book: openpyxl.Workbook) -> bytes:
    buffer = BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def with_answers(*said: Said, before: bytes | None = None) -> bytes:
    book = grown(before or bare(), said, STAMP, demo().maker)
    assert book is not None
    return book.bytes()


def answers(content: bytes) -> list[list[Any]]:
    """The table of the sheet, heading first."""
    rows = [list(row) for row in openpyxl.load_workbook(BytesIO(content))["Answers"].iter_rows(values_only=True)]
    top = next(number for number, row in enumerate(rows) if row[0] == HEADS[0].text)
    return rows[top:]


def test_an_answer_is_a_row_of_its_own() -> None:
    head, row = answers(with_answers(FIRST))
    assert head == [
        "Enquiry", "Customer", "Answered", "Question", "Proposed", "What was said", "By", "Program", "Workbook (SHA-256)",
    ]  # fmt: skip
    assert row == [
        "E-01", "A customer", dt.datetime(2026, 11, 25, 14, 3), "What goes with LD-01?", "HD-01", "HD-01 goes with it.",
        "M. Quill", "0.1.0", "0123456789abcdef",
    ]  # fmt: skip


def test_the_sheet_grows_and_says_nothing_twice() -> None:
    once = with_answers(FIRST)
    assert grown(once, [FIRST], STAMP, demo().maker) is None
    other = Said("E-02", "", "", "", "HD-02 goes with it.")
    same_words = Said("E-02", "", "", "", FIRST.text)
    _, *rows = answers(with_answers(FIRST, other, same_words, before=once))
    assert [(row[0], row[5]) for row in rows] == [
        ("E-01", FIRST.text), ("E-02", other.text), ("E-02", FIRST.text)
    ]  # fmt: skip
    assert rows[0] == answers(once)[1], "what stood there stands as it was"
    page = openpyxl.load_workbook(BytesIO(with_answers(other, before=once)))["Answers"]
    assert any(str(cell.value).startswith("2 answers.") for (cell,) in page.iter_rows(max_row=6, max_col=1)), (
        "old and new"
    )


def test_what_the_operator_wrote_beside_the_table_is_kept() -> None:
    book = openpyxl.load_workbook(BytesIO(with_answers(FIRST)))
    sheet = book["Answers"]
    top = next(cell.row for cell in sheet["A"] if cell.value == HEADS[0].text)
    sheet.cell(top, len(HEADS) + 1, "Sent?")
    sheet.cell(top + 1, len(HEADS) + 1, "by post")
    buffer = BytesIO()
    book.save(buffer)
    head, first, second = answers(with_answers(Said("E-02", "", "", "", "No."), before=buffer.getvalue()))
    assert (head[-1], first[-1], second[-1]) == ("Sent?", "by post", None)


def test_a_sheet_of_the_operators_own_of_that_name_is_left_alone() -> None:
    book = openpyxl.Workbook()
    book.create_sheet("Answers")["A1"] = "my own"
    buffer = BytesIO()
    book.save(buffer)
    assert openpyxl.load_workbook(BytesIO(with_answers(FIRST, before=buffer.getvalue()))).sheetnames == [
        "Answers given"
    ]
    book.create_sheet("Answers given")
    assert grown(saved(book), [FIRST], STAMP, demo().maker).sheetnames == ["Answers by reportgen"]  # type: ignore[union-attr]
    book.create_sheet("Answers by reportgen")
    with pytest.raises(ReportgenError) as caught:
        grown(saved(book), [FIRST], STAMP, demo().maker)
    assert str(caught.value) == (
        "No name is free for the sheet of answers: rename one of your sheets Answers, Answers given, Answers by reportgen."
    )


def test_the_sheet_of_answers_is_set_up_for_screen_and_print() -> None:
    page = openpyxl.load_workbook(BytesIO(with_answers(FIRST)))["Answers"]
    assert [page.cell(row, 1).value for row in range(1, 6)] == [
        "Answers",
        "1 answer. One row for each answer that was given, with the words of the mail.",
        "Sort, filter, hide and add columns as you like, and write notes on cells: they are kept, colours are not. Write nothing above the table.",
        None,
        "Enquiry",
    ]
    assert (page.freeze_panes, page.sheet_properties.tabColor.rgb, page.page_setup.paperSize) == ("B6", "006B5B2E", 9)
    cells = page[6]
    assert [cell.column for cell in cells if cell.font.bold] == [1]
    assert [cell.column for cell in cells if cell.alignment.wrap_text] == [2, 4, 5, 6, 7]  # words that may be long
    assert [cell.column for cell in cells if cell.alignment.horizontal == "center"] == [3, 8]  # moment and program
    assert [cell.number_format for cell in cells] == ["@", "General", "yyyy-mm-dd hh:mm", *["General"] * 5, "@"]
    assert (page.oddFooter.left.text, [*page.tables], page.column_dimensions["F"].width) == (
        "Answers",
        ["AnswersGiven"],
        72,
    )
    assert page.page_setup.fitToWidth == 1  # on a second page the words would stand without their enquiry's head


def test_what_is_not_known_leaves_its_cell_empty() -> None:
    """Without an enquirer, a question, a proposal and an operator; a cell that holds a text of no letters would be counted."""
    book = grown(bare(), [Said("E-01", "", "", "", "No.")], replace(STAMP, operator=""), demo().maker)
    assert book is not None
    page = openpyxl.load_workbook(BytesIO(book.bytes()))["Answers"]
    cells = next(row for row in page.iter_rows() if row[0].value == "E-01")
    assert [cell.value for cell in cells] == [
        "E-01",
        None,
        STAMP.started,
        None,
        None,
        "No.",
        None,
        "0.1.0",
        "0123456789abcdef",
    ]
    assert {cell.data_type for cell in cells if cell.value is None} == {"n"}


def test_whatever_the_operator_did_to_the_table_is_kept() -> None:
    """Two columns changed places; notes under no heading, and under one with a gap before it; a note on a cell, a hidden column, a row below."""
    book = openpyxl.load_workbook(BytesIO(with_answers(FIRST)))
    sheet, wide = book["Answers"], len(HEADS)
    top = next(cell.row for cell in sheet["A"] if cell.value == HEADS[0].text)
    for row in (top, top + 1):
        sheet.cell(row, 1).value, sheet.cell(row, 2).value = sheet.cell(row, 2).value, sheet.cell(row, 1).value
    sheet.cell(top + 1, wide + 1, "by post")
    sheet.cell(top, wide + 3, "Sold")
    sheet.cell(top + 1, wide + 3, 2)
    sheet.cell(top + 1, 5).comment = Comment("called her", "me")
    sheet.column_dimensions["H"].hidden = True
    sheet.cell(top + 3, 3, "to be sent by post")
    before = saved(book)
    assert grown(before, [FIRST], STAMP, demo().maker) is None, "it is known wherever its columns stand"
    content = with_answers(Said("E-02", "", "", "", "No."), before=before)
    head, first, second, blank, below = answers(content)
    assert head == [*(one.text for one in HEADS), "Notes", "Sold"]
    assert (first[:2], first[wide:], second[0]) == (["E-01", "A customer"], ["by post", 2], "E-02")
    assert not any(blank) and below[2] == "to be sent by post"
    page = openpyxl.load_workbook(BytesIO(content))["Answers"]
    assert [(cell.value, cell.comment.text) for row in page for cell in row if cell.comment] == [
        ("HD-01", "called her")
    ]
    assert [name for name, column in page.column_dimensions.items() if column.hidden] == ["H"]
