"""When a sheet becomes a new revision: only when its words or the physics changed, and it says what."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl
import pytest

from reportgen.catalogue.demo import demo_tables
from reportgen.commands.run import RunOrder, run
from reportgen.ledger.entries import Entry
from reportgen.ledger.history import read_history
from reportgen.problems import ReportgenError, WorkbookUnusable
from tests.endtoend.seasons import chosen, small, write_season
from tests.paper.pdfs import text
from tests.workbooks import set_number

pytestmark = pytest.mark.usefixtures("one_process")


class Season:
    """One pairing of the demo, run again and again with cells changed between the runs."""

    def __init__(self, folder: Path) -> None:
        self.workbook = write_season(folder / "season.xlsx", chosen("P-19"), **small(*chosen("P-19")))
        self.out = folder / "out"

    def change(self, sheet: str, id_: str, field: str, value: float) -> None:
        set_number(self.workbook, sheet, id_, field, value)

    def run(self, **options: Any) -> Entry:
        """Run it; the entry of the sheet printed last."""
        report = run(RunOrder(self.workbook, out=self.out, pages="sheet", **options))
        assert report.exit_code == 0, report.notices
        found = read_history(self.workbook).printed("P-19")
        assert found is not None
        return found


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Season:
    return Season(tmp_path_factory.mktemp("revisions"))


def test_revisions_follow_words_and_physics_alone(tmp_path: Path) -> None:
    season, pairing = Season(tmp_path), chosen("P-19")[0]  # of its own: it counts from the first sheet on
    low = next(row for row in demo_tables()["Low drivers"] if row["id"] == pairing["low_id"])
    assert season.run().revision == 1
    season.change("Low drivers", low["id"], "stock", low["stock"] - 1)
    assert season.run().revision == 1, "nothing on the sheet says how many are on the shelf"
    season.change("Low drivers", low["id"], "price", low["price"] + 2)
    assert season.run().revision == 2
    line = f"Price of {low['id']}: {low['price']:g} -> {low['price'] + 2:g}"
    assert read_history(season.workbook).last("P-19").changed == line  # type: ignore[union-attr]
    season.change("Low drivers", low["id"], "peak_travel_m", 6.5)
    found = season.run(pdf=False)
    assert found.revision == 2, "nothing was printed"
    assert season.run().revision == 3
    assert season.run().revision == 3
    words = text((season.out / "season/P-19 Desk Teal.pdf").read_bytes(), tmp_path)
    assert "rev 3 " in " ".join(words.split())


def test_a_number_of_a_run_is_never_used_twice(season: Season) -> None:
    season.run()
    last = max(entry.run for entry in read_history(season.workbook).entries)
    book = openpyxl.load_workbook(season.workbook)
    for name in book.sheetnames:
        if name.startswith(("Run ", "History")):
            del book[name]
    book.save(season.workbook)
    assert season.run().run > last


def test_a_booklet_goes_when_one_of_its_sheets_changes(season: Season) -> None:
    bound = season.out / "season/catalogue.pdf"
    season.run(booklet=True)
    assert bound.exists()
    season.run()
    assert bound.exists(), "nothing changed"
    season.change("Pairings", "P-19", "distance_m", 2.2)
    report = run(RunOrder(season.workbook, out=season.out, pages="sheet"))
    assert not bound.exists()
    assert any("catalogue.pdf" in notice and "--booklet" in notice for notice in report.notices)


def test_a_workbook_without_pairings_is_refused_and_left_alone(tmp_path: Path) -> None:
    workbook = write_season(tmp_path / "season.xlsx", [])
    before = workbook.read_bytes()
    with pytest.raises(WorkbookUnusable, match="no pairing"):
        run(RunOrder(workbook, out=tmp_path / "out"))
    assert workbook.read_bytes() == before and not (tmp_path / "out").exists()


def test_a_place_that_takes_no_file_is_said_before_the_work(tmp_path: Path) -> None:
    workbook = write_season(tmp_path / "season.xlsx", chosen("P-19"))
    (tmp_path / "out").write_text("a file, no folder")
    told: list[str] = []
    with pytest.raises(ReportgenError, match="is no folder"):
        run(RunOrder(workbook, out=tmp_path / "out"), lambda id_, *_: told.append(id_))
    assert not told
