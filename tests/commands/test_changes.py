"""What has the same inputs in both states of a season is not worked out; what has not is."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from reportgen.assessment import Assessment
from reportgen.catalogue.records import Case
from reportgen.commands import assessing
from reportgen.commands import changes as commands_changes
from reportgen.commands.assessing import Assessed
from reportgen.commands.changes import _last_other, _not_assessed, changes, left_out, paired
from reportgen.commands.orders import Order
from reportgen.ledger import history
from reportgen.ledger.entries import NOT_ASSESSED, Entry, History
from tests.demo_catalogue import demo, demo_assessed
from tests.endtoend.seasons import chosen, small, write_season
from tests.every import every


def test_only_what_differs_is_assessed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = chosen("P-06", "P-23", "P-12", P_23={"kits_planned": 4})
    after = chosen("P-06", "P-23", "P-12", P_12={"crossover_hz": 1400.0})
    old, new = (
        write_season(tmp_path / name, rows, **small(*rows))
        for name, rows in (("old.xlsx", before), ("new.xlsx", after))
    )
    worked: list[str] = []
    whole = assessing.assess

    def noted(case: Case, *, drawn: bool = True) -> Assessment:
        worked.append(case.pairing.id)
        return whole(case, drawn=drawn)

    monkeypatch.setattr(assessing, "assess", noted)
    report = changes(Order(new, tmp_path / "out"), against=old).report
    assert worked == ["P-12", "P-12"]
    assert report.tally.endswith("1 moved, 2 as before")
    (moved,) = report.listings
    assert moved.rows[0][:3] == ("P-12", before[2]["kit"], "Crossover") and "1400" in str(moved.rows[0][5])


def test_every_cause_is_told_and_a_pairing_that_one_state_cannot_assess_is_the_same_pairing() -> None:
    """Four of five changed cells of P-01 can move a figure; P-06 could not be assessed, P-12 no longer can."""
    one, other, third = demo_assessed("P-01"), demo_assessed("P-06"), demo_assessed("P-12")
    low = replace(one.case.low, price=71.0, stock=3, description="another", rated_power_w=61.0, qms=4.75)
    changed = replace(one, case=replace(one.case, low=low), crossover_hz=2000.0)
    before = Assessed({"P-01": one, "P-12": third}, {"P-06": "no such driver", "P-19": "an empty cell"})
    after = Assessed({"P-01": changed, "P-06": other}, {"P-12": "no such cabinet", "P-19": "an empty cell"})
    pairs = {pair.id: pair for pair in paired(before, after)}
    assert pairs["P-01"].cause.count("LD-01") == 4 and "Stock of LD-01: 12 -> 3" in pairs["P-01"].cause
    assert "Description" not in pairs["P-01"].cause, "words move no figure"
    assert (pairs["P-06"].before, pairs["P-06"].after, pairs["P-06"].cause) == (None, other, "no such driver")
    assert (pairs["P-12"].before, pairs["P-12"].after, pairs["P-12"].cause) == (third, None, "no such cabinet")
    assert left_out(before, after, [*pairs.values()]) == ("P-19 is left out: an empty cell",)


@every(
    ("of_pairing", "cause"),
    [
        ({"id": "P-1b"}, ""),  # what it is called from now on says itself
        ({"decision": "rejected"}, "Decision: accepted -> rejected"),
        ({"kit": "Sandpiper"}, "Kit of P-01: Reedmace -> Sandpiper"),
        ({"season": "Autumn"}, ""),
    ],
)
def test_a_price_is_no_cause_of_a_name_or_a_decision(of_pairing: dict[str, Any], cause: str) -> None:
    one = demo_assessed("P-01")
    case = replace(one.case, pairing=replace(one.case.pairing, decision="accepted", decided_by=None, decided_on=None, reason=None))  # fmt: skip
    part = replace(case.stock[0], price=99.0)  # of no piece of its network
    after = replace(case, pairing=replace(case.pairing, **of_pairing), stock=(part, *case.stock[1:]))
    states = [Assessed({found.pairing.id: replace(one, case=found)}, {}) for found in (case, after)]
    (pair,) = paired(*states)
    assert pair.cause == cause


def test_what_a_run_could_not_assess_is_known_with_its_reason() -> None:
    rows = (
        Entry(run=1, pairing_id="P-01", verdict="suitable"), Entry(run=2, pairing_id="P-01", verdict=NOT_ASSESSED, reason="Why"),
        Entry(run=3, pairing_id="P-01", verdict="suitable"),
    )  # fmt: skip
    found = [_not_assessed(History(rows), run, ["P-01", "P-02"]) for run in (1, 2, 3)]
    assert found == [{}, {"P-01": "Why"}, {}]


def test_a_pairing_that_cannot_be_assessed_then_or_now_is_no_difference() -> None:
    """P-02 never made a case. What stands now is what run 2 saw: the last run that saw something else is the first."""
    rows = (Entry(run=1, pairing_id="P-01", inputs="a"), Entry(run=1, pairing_id="P-02", verdict=NOT_ASSESSED), Entry(run=2, pairing_id="P-01", inputs="b"))  # fmt: skip
    assert [_last_other(History(rows), {"P-01": "b", **more}) for more in ({}, {"P-02": "c"})] == [1, 2]


def test_a_pairing_whose_old_inputs_are_lost_is_left_out_and_not_called_new(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody took its records out of History: what it was is not known, so nothing moved, came or went."""
    pairings = {id_: demo().pairings[id_] for id_ in ("P-01", "P-03")}
    told, one = list[Any](), demo_assessed("P-03")
    for name, what in (
        ("read_catalogue", lambda _: replace(demo(), pairings=pairings)),
        ("read_workbook", lambda _: (b"", None)),
        ("Desk", lambda *_: None),
        ("assess_cases", lambda cases, *_: [SimpleNamespace(assessment=one, reason="") for _ in cases]),
        ("assess_pairings", lambda *_: Assessed({"P-01": demo_assessed("P-01"), "P-03": one}, {})),
        ("changes_report", lambda *report: told.append(report)),
        ("delivered", lambda *_: None),
    ):
        monkeypatch.setattr(commands_changes, name, what)
    lost = {"p-01": history.NotInHistory("P-01 of run 1 cannot be worked out again"), "p-03": one.case}
    lost["p-77"] = history.NotInHistory("P-77 of run 1 cannot be worked out again")
    monkeypatch.setattr(history, "read_history", lambda _: History((Entry(run=1, pairing_id="P-77"),)))
    monkeypatch.setattr(history, "recomputable", lambda *_: lost)
    changes(Order(tmp_path / "season.xlsx", tmp_path / "out"), since=1)
    _, _, pairs, notes, _ = told[0]
    assert [pair.id for pair in pairs] == ["P-03"]
    assert notes == (
        "P-01 is left out: P-01 of run 1 cannot be worked out again",
        "P-77 is left out: P-77 of run 1 cannot be worked out again",  # as History spells it
    )


def test_the_look_of_the_sheets_moves_no_price() -> None:
    """A currency does; name, paper, footer and logo stand on every sheet and are no cause of any figure."""
    one = demo_assessed("P-01")
    assert one.network is not None and one.figures is not None
    network = replace(one.network, figures=replace(one.figures, pair_price=200.0))
    maker = replace(one.case.maker, currency="GBP", paper="Letter", name="Fenwater", footer=None, contact_1="1 Quay")
    moved = replace(one, case=replace(one.case, maker=maker), network=network)
    (pair,) = paired(*(Assessed({"P-01": found}, {}) for found in (one, moved)))
    assert pair.cause == "Currency of the maker: EUR -> GBP"
