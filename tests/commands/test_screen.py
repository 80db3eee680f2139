"""A catalogue too large for a matrix is screened all the same: the list, the page, and no sheet that nobody could look over."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

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
