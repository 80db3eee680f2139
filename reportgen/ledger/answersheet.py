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
from reportgen.ledger.growing import KEPT, Found, Theirs, standing, write_grown
from reportgen.ledger.layout import Head
from reportgen.ledger.longtables import Book
from reportgen.ledger.stamp import RunStamp
from reportgen.problems import ReportgenError

NAMES: Final = ("Answers", "Answers given", "Answers by reportgen")
"""Names of the sheet; a later one where the operator has a sheet of the one before."""

ENQUIRY, WORDS = "Enquiry", "What was said"
HEADS: Final = (
    Head(ENQUIRY, 12, "@", strong=True), Head("Customer", 16, wrap=True), Head("Answered", 17, "yyyy-mm-dd hh:mm", centred=True),
    Head("Question", 34, wrap=True), Head("Proposed", 20, wrap=True), Head(WORDS, 72, wrap=True),
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

    An answer of the same words to the same enquiry stands once. What the operator did to the table is kept (see `growing`).
    """
    name, found = standing(Package(content), NAMES, (ENQUIRY, "Customer", WORDS), HEADS)
    if not name:
        raise ReportgenError(f"No name is free for the sheet of answers: rename one of your sheets {', '.join(NAMES)}.")
    rows, theirs = _read(found) if found else ([], Theirs())
    known = {(str(row[ENQUIRY]), str(row.get(WORDS))) for row in rows}
    new = [
        dict(zip((head.text for head in HEADS), (
            one.enquiry_id, one.customer or None, stamp.started, one.question or None, one.proposed or None, one.text,
            stamp.operator or None, stamp.program_version, stamp.workbook_fingerprint[:16],
        ), strict=True))
        for one in said if (one.enquiry_id, one.text) not in known
    ]  # fmt: skip
    if not new:
        return None
    rows += new
    book = Book()
    page = book.create_sheet(name)
    count = f"{len(rows)} {'answer' if len(rows) == 1 else 'answers'}."
    lines = [f"{count} One row for each answer that was given, with the words of the mail.", KEPT]
    top = layout.write_title(page, name, lines)
    texts = (*(head.text for head in HEADS), *theirs.heads)
    heads = write_grown(page, top, HEADS, ([row.get(text) for text in texts] for row in rows), theirs, "AnswersGiven")
    layout.set_up(page, top, heads, 1, "Answers", maker.paper, "6B5B2E")
    return book


def _read(found: Found) -> tuple[list[dict[str, Any]], Theirs]:
    """The answers that stand, by heading, and what is the operator's; a row without an enquiry is no answer."""
    ours = {head.text for head in HEADS}
    table = [(number, found.values(row)) for number, row in found.rows]
    answers = [(number, values) for number, values in table if ENQUIRY in values]
    theirs = Theirs(
        tuple(text for text in found.headings.values() if text not in ours),
        [found.notes(number) for number, _ in answers],
        [values for _, values in table if ENQUIRY not in values],
        found.hidden_headings,
    )
    return [values for _, values in answers], theirs
