"""What was answered, to whom, when, on which data: one sheet that grows in the operator's workbook.

Knows its columns and how it is read back. Refuses to know what makes a good answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from reportgen.catalogue.package import Package
from reportgen.catalogue.records import Maker
from reportgen.ledger import layout
from reportgen.ledger.historysheet import rows_by_library
from reportgen.ledger.layout import Head
from reportgen.ledger.longtables import Book
from reportgen.ledger.stamp import RunStamp
from reportgen.problems import ReportgenError

NAMES: Final = ("Answers", "Answers given", "Answers by reportgen")
"""Names of the sheet; a later one where the operator has a sheet of the one before."""

HEADS: Final = (
    Head("Enquiry", 12, "@", strong=True), Head("Customer", 20, wrap=True), Head("Answered", 17, "yyyy-mm-dd hh:mm", centred=True),
    Head("Question", 40, wrap=True), Head("Proposed", 24, wrap=True), Head("What was said", 90, wrap=True),
    Head("By", 12, wrap=True), Head("Program", 10, centred=True), Head("Workbook (SHA-256)", 20, "@"),
)  # fmt: skip


@dataclass(frozen=True)
class Said:
    """One answer: to which enquiry and whom, what was asked, what was proposed, and the words of the mail."""

    enquiry_id: str
    customer: str
    question: str
    proposed: str
    text: str


def grown(content: bytes, said: Sequence[Said], stamp: RunStamp, maker: Maker) -> Book | None:
    """A workbook with the sheet alone, the earlier rows of `content` first; None when nothing new was said.

    An answer of the same words to the same enquiry stands once. What the operator wrote to the right of the table is kept.
    """
    name, own, earlier = _standing(content)
    known = {(str(row[0]), str(row[5])) for row in earlier}
    rows: list[list[Any]] = [list(row) for row in earlier]
    for one in said:
        if (one.enquiry_id, one.text) not in known:
            rows.append([
                one.enquiry_id, one.customer or None, stamp.started, one.question or None, one.proposed or None, one.text,
                stamp.operator or None, stamp.program_version, stamp.workbook_fingerprint[:16],
            ])  # fmt: skip
    if len(rows) == len(earlier):
        return None
    book = Book()
    page = book.create_sheet(name)
    lines = [
        f"{len(rows)} {'answer' if len(rows) == 1 else 'answers'}. One row for each answer that was given, with the words of the mail. Write nothing above the table."
    ]
    top = layout.write_title(page, name, lines)
    heads = [*HEADS, *(Head(text, 24, wrap=True) for text in own)]
    filled = ([*row, *[None] * (len(heads) - len(row))] for row in rows)
    layout.write_table(page, top, heads, filled, "AnswersGiven")
    layout.set_widths(page, heads)
    layout.set_up(page, top, heads, 1, "Answers", maker.paper, "6B5B2E")
    return book


def _standing(content: bytes) -> tuple[str, list[str], list[tuple[Any, ...]]]:
    """The name of our sheet, the operator's own headings, and its rows; a sheet of that name that is not ours is left alone."""
    package = Package(content)
    package.check_contents()
    there = {title for title, _ in package.sheets()}
    for name in NAMES:
        if name not in there:
            return name, [], []
        rows = list(rows_by_library(package, name))
        for number, row in enumerate(rows):
            if row[: len(HEADS)] == tuple(head.text for head in HEADS):
                own = [str(text) for text in row[len(HEADS) :] if text is not None]
                width = len(HEADS) + len(own)
                return name, own, [tuple(one[:width]) for one in rows[number + 1 :] if one and one[0] is not None]
    raise ReportgenError(f"No name is free for the sheet of answers: rename one of your sheets {', '.join(NAMES)}.")
