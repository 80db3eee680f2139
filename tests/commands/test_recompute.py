"""Which pairings an old run had, and what stands on their sheets."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import reportgen
from reportgen.commands import recompute
from reportgen.commands.orders import Order
from reportgen.commands.recompute import NOT_SEARCHED, Again, Recomputed, _print_again, _standing
from reportgen.ledger import history
from reportgen.ledger.differences import Change
from reportgen.ledger.entries import GONE, Entry, History
from reportgen.paper import render
from tests.demo_catalogue import demo_assessed
from tests.every import every


def test_a_pairing_that_was_gone_by_then_is_none_of_an_old_run() -> None:
    """P-02 was taken off the workbook before the second run and came back before the third."""
    rows = ((1, "P-01", "suitable"), (1, "P-02", "suitable"), (2, "P-02", GONE), (3, "P-02", "undecided"))
    kept = History(tuple(Entry(run=run, pairing_id=id_, verdict=word) for run, id_, word in rows), next_run=4)
    stood = {run: [(one.pairing_id, one.verdict) for one in _standing(kept, run)] for run in (1, 2, 3)}
    assert stood == {
        1: [("P-01", "suitable"), ("P-02", "suitable")],
        2: [("P-01", "suitable")],
        3: [("P-01", "suitable"), ("P-02", "undecided")],
    }


@every(("word", "note"), [("suitable", ""), ("not suitable", NOT_SEARCHED), ("undecided", NOT_SEARCHED)])
def test_only_where_a_nearest_yes_was_wanted_it_is_said_that_none_was_searched(
    word: Any, note: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A sheet of a suitable pairing has no place for a nearest yes. The third row that the pairing has by then is its third revision."""
    whole, told = demo_assessed("P-01"), list[Any]()
    monkeypatch.setattr(render, "render_sheet", lambda *sheet: (told.append(sheet), b"%PDF")[1])
    again = Again(Entry(run=5, pairing_id="P-01"), replace(whole, verdict=replace(whole.verdict, word=word)))
    rows = tuple(Entry(run=run, pairing_id="P-01") for run in (1, 3, 5, 6))
    _print_again(again, History(rows), tmp_path, Order(tmp_path / "season.xlsx", paper="letter"), "")
    sheet, stamp, _, paper = told[0]
    assert (sheet.remedies_note, stamp.revision, stamp.run, paper) == (note, "3", 5, "letter")
    assert [file.read_bytes() for file in tmp_path.iterdir() if file.suffix == ".pdf"] == [b"%PDF"]


@every(("version", "other"), [("", ""), (reportgen.__version__, ""), ("0.0.1", "0.0.1")])
def test_a_difference_is_put_down_to_another_program_only_where_one_is_known(version: str, other: str) -> None:
    assert Again(Entry(run=1, pairing_id="P-01", program_version=version)).other_program == other


@every(
    ("inputs", "whole", "differences", "unprinted", "code"),
    [
        ("k", True, (), (), 0), ("k", True, ("Crossover: 2000 Hz -> 2100 Hz",), (), 1), ("k", False, (), (), 1),
        ("", False, (), (), 0),  # it could not be assessed then either: nothing differs
        ("k", True, (), ("P-01: not printed.",), 1),
    ],
)  # fmt: skip
def test_an_old_run_came_out_otherwise_where_something_differs_or_is_lost(
    inputs: str, whole: bool, differences: tuple[str, ...], unprinted: tuple[str, ...], code: int
) -> None:
    """As the README has it: 1 where an old run came out otherwise."""
    found = demo_assessed("P-01") if whole else None
    again = Again(Entry(run=1, pairing_id="P-01", inputs=inputs), found, differences)
    assert Recomputed(1, (again,), unprinted=unprinted).exit_code == code


def test_a_verdict_and_a_result_differ_and_no_input_does(monkeypatch: pytest.MonkeyPatch) -> None:
    """The inputs are those that History kept: only what came of them can be another."""
    whole, rows = demo_assessed("P-01"), (("input", "Price"), ("verdict", "Verdict"), ("result", "Crossover"))
    monkeypatch.setattr(recompute, "assess", lambda _: whole)
    monkeypatch.setattr(history, "changes", lambda *_: [Change("P-01", kind, what, "a", "b") for kind, what in rows])
    found = recompute._again(Entry(run=1, pairing_id="P-01"), whole.case, History())
    assert found.differences == ("Verdict: a -> b", "Crossover: a -> b")
