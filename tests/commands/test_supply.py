"""How long substitutes are looked for, and what counts as missing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from reportgen.catalogue.columns import sheet
from reportgen.commands import supply
from reportgen.commands.assessing import Assessed
from reportgen.commands.orders import Order, tell_nobody
from reportgen.problems import Problem
from tests.demo_catalogue import demo


def test_two_dozen_whole_assessments_are_tried_for_all_that_is_short_together(monkeypatch: pytest.MonkeyPatch) -> None:
    """Five things are short and nothing will do: 5 + 5 + 5 + 5 + 4 = 24 (common practice, no source)."""
    rounds: list[int] = []
    monkeypatch.setattr(
        supply, "assess_cases", lambda cases, *_: (rounds.append(len(cases)), [SimpleNamespace(assessment=None)] * len(cases))[1]
    )  # fmt: skip
    short = SimpleNamespace(case="a case", waiting=[SimpleNamespace(case="a case")], judge=lambda _: None)
    sought: Any = SimpleNamespace(sought=[short] * 5)
    supply._try_all(sought, tell_nobody, 1)
    assert rounds == [5, 5, 5, 5, 4]


def test_kits_whose_number_cannot_be_read_are_missing_from_the_list(monkeypatch: pytest.MonkeyPatch) -> None:
    """P-01 is counted, P-03 is not, P-05 could not be assessed: two are missing, and the command says so."""
    heading = sheet("Pairings").column("kits_planned").heading
    bad = Problem("Pairings", "AB4", heading, "2.5 stands here", "it must be a whole number", record_id="P-03")
    pairings = {id_: replace(demo().pairings[id_], kits_planned=4) for id_ in ("P-01", "P-05")}
    told: dict[str, Any] = {}
    kits = SimpleNamespace(wares=Assessed({}, {"P-05": "why"}), whole=None)
    for name, what in (
        ("read_catalogue", lambda _: replace(demo(), pairings=pairings, problems=(bad,))),
        ("Desk", lambda *_: None),
        ("shop", lambda *_: kits),
        ("supply", lambda *_: None),
        ("substitutes", lambda *_: SimpleNamespace(sought=[], words=lambda: ())),
        ("supply_report", lambda _found, _words, notes: told.update(notes=notes)),
        ("delivered", lambda _desk, _report, failed: told.update(failed=failed)),
    ):
        monkeypatch.setattr(supply, name, what)
    supply.supply_workbook(Order(Path("season.xlsx")))
    assert told == {"notes": ("P-05 is left out: why", f"P-03 is not counted: {bad}"), "failed": 2}


def test_what_keeps_a_planned_kit_from_being_sold_is_the_decision_before_the_verdict() -> None:
    """A rejected kit is not sold however suitable; an open one that is not suitable neither; what may be sold is not named."""
    kits: list[Any] = [
        SimpleNamespace(id=id_, verdict=SimpleNamespace(word=word), case=SimpleNamespace(pairing=SimpleNamespace(decision=decision)))
        for id_, word, decision in (
            ("P-01", "suitable", "rejected"), ("P-02", "not suitable", "open"), ("P-03", "suitable", "open"), ("P-04", "not suitable", "rejected"),
        )
    ]  # fmt: skip
    told = "Planned, but not to be sold as they are: P-01 (rejected), P-02 (not suitable), P-04 (rejected)"
    assert supply._not_to_be_sold(kits) == (told,)
    assert supply._not_to_be_sold(kits[2:3]) == ()
