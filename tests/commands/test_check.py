"""How problems are counted, and which of them follow from another."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from reportgen.commands import check
from reportgen.commands.check import Checked, check_workbook
from reportgen.pairing.measuring import Finding
from reportgen.problems import Problem
from tests.demo_catalogue import demo

ROOT = Problem("Cabinets", "C3", "Baffle width (mm)", "empty", "a value is required", record_id="CB-01")
FOLLOWS = Problem("Pairings", "M3", "Cabinet", "“CB-01” stands here", "its own row cannot be used (Cabinets!C3)")


def test_a_pairing_is_fit_or_unfit_and_one_without_an_id_is_unfit(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of three pairings one is left out although its row was read; a row without an ID is a fourth that is none of them."""
    three = {id_: demo().pairings[id_] for id_ in ("P-01", "P-03", "P-05")}
    catalogue = replace(demo(), pairings=three, problems=(), unreadable={"P-03": (FOLLOWS,), "Pairings!A9": (FOLLOWS,)})
    monkeypatch.setattr(check, "read_catalogue", lambda _: catalogue)
    monkeypatch.setattr(check, "found_in_files", lambda *_: ())
    monkeypatch.setattr(check, "unprintable", lambda _: ())
    found = check_workbook(Path("season.xlsx"))
    assert (found.fit, found.unfit) == (2, 2)


def test_what_follows_stands_under_its_cause_and_for_itself_where_that_is_not_told() -> None:
    assert Checked((ROOT, FOLLOWS), 0, 1).by_cause == ((ROOT, (FOLLOWS,)),)
    assert Checked((FOLLOWS,), 0, 1).by_cause == ((FOLLOWS, ()),)
    itself = replace(FOLLOWS, expected="its own row cannot be used (Pairings!M3)")  # else it would stand under nothing
    assert Checked((itself,), 0, 1).by_cause == ((itself, ()),)
    further = replace(FOLLOWS, sheet="Enquiries", cell="B2", expected="its own row cannot be used (Pairings!M3)")
    assert Checked((further, FOLLOWS, ROOT), 0, 1).by_cause == (
        (ROOT, (FOLLOWS, further)),
    )  # and what follows from that


def test_what_files_hold_is_asked_in_each_cabinet_and_told_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The edges of a cabinet are looked for in a file: two drivers in two cabinets are two questions, a third pairing of them is none."""
    monkeypatch.setattr(
        check,
        "findings",
        lambda model: [Finding(model.setting.case.low, "response_file", f"in {model.setting.case.cabinet.id}", True)],
    )
    one = next(pairing for pairing in demo().pairings.values() if (pairing.low_id, "response") in demo().curves)
    other = next(id_ for id_ in demo().cabinets if id_ != one.cabinet_id)
    three = [one, replace(one, id="P-98", cabinet_id=other), replace(one, id="P-99")]
    told = check.found_in_files(demo(), three)
    assert [(found.expected, found.notice) for found in told] == [(f"in {one.cabinet_id}", True), (f"in {other}", True)]
    delays = iter(("3.49 ms", "3.51 ms"))  # the same file beside two cabinets
    monkeypatch.setattr(
        check, "findings", lambda model: [Finding(model.setting.case.low, "response_file", next(delays), True)]
    )
    assert [found.expected for found in check.found_in_files(demo(), three)] == ["3.49 ms"]
