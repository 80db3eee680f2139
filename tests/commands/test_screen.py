"""A catalogue too large for a matrix is screened all the same: the list, the page, and no sheet that nobody could look over."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from reportgen.catalogue.demo import demo_tables
from reportgen.commands import screen
from reportgen.commands.orders import Order
from tests.endtoend.seasons import chosen, small, write_season


def test_more_pairs_than_a_matrix_holds_are_listed_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rows = chosen("P-06", "P-23")
    workbook = write_season(tmp_path / "season.xlsx", rows, **small(*rows))
    monkeypatch.setattr(screen, "MOST_PAIRS", 3)
    monkeypatch.setattr(screen, "KEPT", 2)
    done = screen.screen_workbook(Order(workbook, tmp_path / "out"))
    lows = {one.low_id for one in done.found.candidates}
    assert done.found.matrix is None and len(done.found.candidates) == 2 * len(lows) < done.found.pairs
    assert done.page is not None and done.page.read_bytes().startswith(b"%PDF") and done.shelf == ()
    added = [name for name in openpyxl.load_workbook(done.written).sheetnames if name.startswith("Screening")]
    assert added == ["Screening 001 ranked"]
    assert "More than 3 pairs: no matrix; 2 high drivers are kept for each low one." in done.notices


@pytest.mark.parametrize("wide_mm", (400, 90))
def test_a_cabinet_that_holds_hardly_anything_is_named(tmp_path: Path, wide_mm: float) -> None:
    """No woofer of the season goes on a baffle of 90 mm; 400 mm are room for each."""
    rows = chosen("P-06", "P-23")
    cabinets = [{**row, "baffle_width_m": wide_mm, "baffle_height_m": 1200} for row in demo_tables()["Cabinets"]]
    workbook = write_season(tmp_path / "season.xlsx", rows, **small(*rows), Cabinets=cabinets)
    done = screen.screen_workbook(Order(workbook, tmp_path / "out"))
    said = "Most pairs fail on the cabinet of P-06 alone: --application names another use."
    assert (said in done.notices) is (wide_mm == 90)
