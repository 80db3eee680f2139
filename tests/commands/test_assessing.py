"""Rows that cannot be used are among what is missing, whatever was asked of the others."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from reportgen import cli
from reportgen.advice.listings import Report
from reportgen.assessment import Assessment
from reportgen.catalogue.columns import sheet
from reportgen.catalogue.records import Catalogue
from reportgen.commands import assessing, compare
from reportgen.commands.assessing import Assessed, assess_pairings, shop
from reportgen.commands.changes import left_out, paired
from reportgen.commands.listing import Listed
from reportgen.commands.orders import Order
from reportgen.commands.told import of_listing
from reportgen.commands.withdraw import withdraw
from reportgen.problems import Problem, ReportgenError, WorkbookUnusable
from tests.demo_catalogue import demo, demo_assessed
from tests.endtoend.seasons import chosen, small, write_season
from tests.every import every

BAD = Problem(
    "Pairings",
    "G4",
    "High driver",
    "“HD-99” stands here",
    "no row of High drivers has this ID",
    "Did you mean “HD-09”?",
)


def spoiled() -> Catalogue:
    return replace(demo(), pairings={}, unreadable={"P-03": (BAD,)})


def nobody(*_: Any) -> None:
    """Takes what is told of the progress."""


def test_a_pairing_whose_row_cannot_be_used_is_told_as_left_out(tmp_path: Path) -> None:
    order = Order(tmp_path / "season.xlsx", tmp_path / "out")
    for found in (shop(order, spoiled(), (), nobody).wares, assess_pairings(order, spoiled(), (), nobody)):
        assert found.notes == (f"P-03 is left out: {BAD}",)


def test_it_is_neither_gone_nor_new_but_moved_in_its_verdict() -> None:
    one = demo_assessed("P-03")
    there: Assessed[Assessment] = Assessed({"P-03": one}, {})
    lost: Assessed[Assessment] = Assessed({}, {"P-03": str(BAD)})
    (pair,), (back,) = paired(there, lost), paired(lost, there)
    assert [(move.what, move.before, move.after) for move in (*pair.moves, *back.moves)] == [
        ("Verdict", one.verdict.word, "not assessed"), ("Verdict", "not assessed", one.verdict.word),
    ]  # fmt: skip
    assert pair.cause == back.cause == str(BAD) and left_out(there, lost, [pair]) == ()
    (gone,) = paired(there, Assessed({}, {}))
    assert (gone.id, gone.cause, gone.moves) == ("P-03", "", ())


def test_a_note_ends_with_one_mark() -> None:
    report = Report("Supply", "Nothing", (), ("P-03 is left out: Mend it.", f"P-04 is left out: {BAD}", "All else"))
    lines = of_listing(Listed(report, None, None, (), ())).lines
    assert {"P-03 is left out: Mend it.", f"P-04 is left out: {BAD}", "All else."} <= {str(line) for line in lines}


def test_a_number_of_kits_that_cannot_be_read_is_named_by_supply(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = chosen("P-06", P_06={"kits_planned": 2.5})
    season = write_season(tmp_path / "s.xlsx", rows, **small(*rows))
    assert cli.main(["supply", str(season), "--out", str(tmp_path / "out")]) == 2
    told = capsys.readouterr().err
    heading = sheet("Pairings").column("kits_planned").heading
    assert (
        f'"{heading}": 2.5 stands here; it must be a whole number.' in told
        and "no pairing has kits planned" not in told
    )


def test_a_withdrawal_counts_the_pairings_it_looked_at(tmp_path: Path) -> None:
    """The row of P-03 cannot be used: whether it takes HD-04 is not known, and it is told as left out."""
    rows = chosen("P-06", "P-03", P_03={"high_id": "HD-99"})
    season = write_season(tmp_path / "s.xlsx", rows, **small(rows[0]))
    report = withdraw(Order(season, tmp_path / "out"), "HD-04").report
    assert report.tally == "HD-04 goes: 0 of 1 pairings use it"
    assert any(note.startswith("P-03 is left out: ") for note in report.notes)


def test_what_is_worked_out_anew_must_be_wanted_too_and_counts_on_from_what_was_kept(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """P-01 is taken over, P-03 and P-05 are assessed: they are the second and third of three, and P-05 is not wanted, nor is P-06, which was kept."""
    whole, told, how = demo_assessed("P-03"), list[tuple[str, int, int]](), list[bool]()
    monkeypatch.setattr(assessing, "assess", lambda case, drawn: (how.append(drawn), replace(whole, case=case))[1])
    store: Any = SimpleNamespace(
        find=lambda case, rows: SimpleNamespace(outline=replace(whole, case=case)) if case.pairing.id in ("P-01", "P-06") else None
    )  # fmt: skip
    pairings = [demo().pairings[id_] for id_ in ("P-01", "P-03", "P-05", "P-06")]
    found = assessing._taken_over(
        store,
        lambda case, there: whole,
        lambda made: made,
        (demo(), pairings, lambda *one: told.append(one), 1, True),
        lambda one: one.case.pairing.id not in ("P-05", "P-06"),
    )
    assert list(found.found) == ["P-01", "P-03"] and told == [("P-03", 2, 3), ("P-05", 3, 3)] and how == [True, True]


def test_a_pairing_that_cannot_be_compared_is_refused_with_what_its_row_lacks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    catalogue = replace(demo(), unreadable={"P-98": (BAD,)})
    monkeypatch.setattr(compare, "read_catalogue", lambda _: catalogue)
    with pytest.raises(WorkbookUnusable) as refused:
        compare.compare_workbook(Order(tmp_path / "season.xlsx", tmp_path / "out"), ["P-01", "p-98"])
    assert refused.value.problems == (BAD,)
    with pytest.raises(ReportgenError, match="two pairings or more"):  # one pairing, named twice
        compare.compare_workbook(Order(tmp_path / "season.xlsx", tmp_path / "out"), ["P-01", "p-01"])


@every(("page", "failed", "code"), [(Path("a.pdf"), 0, 0), (Path("a.pdf"), 2, 1), (None, 0, 1)])
def test_a_report_that_was_not_printed_is_no_success(page: Path | None, failed: int, code: int) -> None:
    """As the README has it: 0 fine, 1 where something could not be assessed or printed."""
    assert Listed(Report("Supply", "Nothing", ()), page, None, (), (), failed).exit_code == code


def test_a_row_that_cannot_be_used_is_not_assessed_although_it_was_read(tmp_path: Path) -> None:
    """What it names is gone bad: it is left out once, and not found as well."""
    one = demo().pairings["P-03"]
    broken = replace(demo(), pairings={"P-03": one}, unreadable={"P-03": (BAD,)})
    found = assess_pairings(Order(tmp_path / "season.xlsx", tmp_path / "out"), broken, (one,), nobody)
    assert found.found == {} and found.notes == (f"P-03 is left out: {BAD}",)
