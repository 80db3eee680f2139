"""Which enquiries a command answers, and which it names because they have no answer."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from reportgen.commands import answer
from reportgen.commands.answer import Answered, answer_workbook
from reportgen.commands.orders import Order
from reportgen.ledger import answersheet
from reportgen.paper import deskpages
from reportgen.problems import Problem
from tests.demo_catalogue import demo
from tests.every import every

BAD = Problem("Enquiries", "G9", "Peak level (dB)", "“loud” stands here", "it must be a number", record_id="E-99")
REMARKS = (
    Problem("Enquiries", "Z1", "Mine", "no such column is known", "it is kept and not read", notice=True),
    Problem("Enquiries", "rows 4", "", "hidden", "hidden rows are read like any other", notice=True),
    Problem("Pairings", "A2", "ID", "empty", "a value is required", record_id="Pairings!A2"),
)


@every(("only", "named"), [((), ["E-99"]), (("E-01",), []), (("E-01", "e-01"), [])])
def test_only_a_row_that_cannot_be_used_is_named_and_not_where_others_are_asked_for(
    only: tuple[str, ...], named: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    catalogue, told = replace(demo(), problems=(BAD, *REMARKS)), list[str]()
    desk: Any = SimpleNamespace(failed=[], catalogue=catalogue)
    monkeypatch.setattr(answer, "read_catalogue", lambda _: catalogue)
    monkeypatch.setattr(answer, "Desk", lambda *_: desk)
    monkeypatch.setattr(answer, "_answered", lambda enquiry, _: Answered(enquiry.id))
    monkeypatch.setattr(answer, "_remembered", lambda *_: (None, ()))
    done = answer_workbook(Order(Path("season.xlsx")), only, lambda id_, *_: told.append(id_))
    assert [one.id for one in done.answers] == [*told, *named] and (not only or told == ["E-01"])
    assert all(str(BAD) in one.reason for one in done.answers if one.id in named)


def test_an_answer_says_what_cannot_be_and_is_kept_although_its_page_was_not_printed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The mail is what was said; a template that fails costs the page, is told once, and costs nothing else."""
    said = SimpleNamespace(
        cannot="115 dB is out of reach", enquiry=demo().enquiries["E-01"], question="Which one?", proposals=[], answered=True, unread=""
    )  # fmt: skip
    kept: list[Any] = []
    desk: Any = SimpleNamespace(
        order=Order(tmp_path / "season.xlsx", tmp_path / "out"), catalogue=demo(), stamp=None, content=b"", run=None,
        print_page=lambda *_: None, add=lambda *_: (Path("season.xlsx"), ("E-01.pdf: not printed.", "Written beside.")),
        failed=["E-01.pdf: not printed."],
    )  # fmt: skip
    monkeypatch.setattr(answer, "answer", lambda *_: said)
    monkeypatch.setattr(answer, "reply", lambda _: "Dear Ms Tarn")
    monkeypatch.setattr(deskpages, "answer_pages", lambda *_: None)
    monkeypatch.setattr(answersheet, "grown", lambda _content, rows, *_: kept.extend(rows) or "a sheet")
    monkeypatch.setattr(answer, "read_catalogue", lambda _: demo())
    monkeypatch.setattr(answer, "Desk", lambda *_: desk)
    done = answer_workbook(desk.order, ("E-01",))
    (one,) = done.answers
    assert (one.reason, one.page, one.done) == ("115 dB is out of reach", None, True)
    assert [(row.enquiry_id, row.text) for row in kept] == [("E-01", "Dear Ms Tarn")]
    assert (done.notices, done.remarks, done.exit_code) == (("E-01.pdf: not printed.",), ("Written beside.",), 1)
