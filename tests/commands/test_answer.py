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
from reportgen.problems import Problem
from tests.demo_catalogue import demo

BAD = Problem("Enquiries", "G9", "Peak level (dB)", "“loud” stands here", "it must be a number", record_id="E-99")
REMARKS = (
    Problem("Enquiries", "Z1", "Mine", "no such column is known", "it is kept and not read", notice=True),
    Problem("Enquiries", "rows 4", "", "hidden", "hidden rows are read like any other", notice=True),
    Problem("Pairings", "A2", "ID", "empty", "a value is required", record_id="Pairings!A2"),
)


@pytest.mark.parametrize(("only", "named"), [((), ["E-99"]), (("E-01",), [])])
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
