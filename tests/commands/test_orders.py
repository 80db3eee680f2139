"""What is said of a name that the workbook does not have."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from reportgen.commands import desk
from reportgen.commands.orders import MOST_NAMED, Order, Stamps, known_id
from reportgen.ledger.stamp import RunStamp
from reportgen.problems import WorkbookUnusable
from tests.demo_catalogue import demo
from tests.every import every


def test_of_few_names_all_are_told_and_of_many_the_one_that_is_like_it() -> None:
    few = {f"HD-{n:02}": n for n in range(1, 4)}
    assert known_id(few, "hd-02", "High drivers", "driver") == "HD-02"
    with pytest.raises(WorkbookUnusable, match=r"no driver has this ID. There are: HD-01, HD-02, HD-03\.$"):
        known_id(few, "HD-33", "High drivers", "driver")
    many = {f"KC-{n}": n for n in range(3000)}
    with pytest.raises(WorkbookUnusable) as caught:
        known_id(many, "KC2999", "Parts", "part")
    told = str(caught.value)
    assert "no part has this ID. Did you mean “KC-2999”? There are: KC-0, KC-1," in told
    assert told.endswith(f"KC-{MOST_NAMED - 1} and {3000 - MOST_NAMED} more.")
    with pytest.raises(WorkbookUnusable, match="There are none"):
        known_id({}, "X", "Parts", "part")


@every(("own", "printed"), [("a1b2", "a1b2"), ("", "w0rk")])
def test_a_page_of_one_pairing_bears_its_own_fingerprint_and_any_other_that_of_the_workbook(
    own: str, printed: str
) -> None:
    run = RunStamp(7, dt.datetime(2026, 11, 27, 10, 30), "1.2", "w0rk", "season.xlsx", "M. Quill")
    stamp = Stamps(run, "logo").on_page("3", own)
    assert (stamp.revision, stamp.date, stamp.run, stamp.fingerprint, stamp.version, stamp.logo) == (
        "3", dt.date(2026, 11, 27), 7, printed, "1.2", "logo",
    )  # fmt: skip


@every(("asked", "taken"), [(None, "A4"), ("A4", "A4"), ("Letter", "Letter")])
def test_the_paper_asked_for_goes_before_that_of_the_maker_sheet(asked: str | None, taken: str) -> None:
    assert demo().maker.paper == "A4" and Order(Path("season.xlsx"), paper=asked).paper_of(demo()) == taken


def test_a_page_that_was_not_printed_is_named_beside_why_the_sheets_stand_elsewhere(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    outcome = SimpleNamespace(path=Path("copy.xlsx"), reason="It is open elsewhere.")
    place = SimpleNamespace(content=b"", notice="A copy was made.", deliver=lambda *_: outcome)
    work: Any = SimpleNamespace(_place=place, failed=["page.pdf: not printed."], order=Order(Path("season.xlsx")))
    monkeypatch.setattr(desk, "graft", lambda *_: None)
    told = ("A copy was made.", "page.pdf: not printed.", "It is open elsewhere.")
    assert desk.Desk.add(work, None) == (Path("copy.xlsx"), told)  # type: ignore[arg-type]
