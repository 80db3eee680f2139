"""What has the same inputs in both states of a season is not worked out; what has not is."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.assessment import Assessment
from reportgen.catalogue.records import Case
from reportgen.commands import assessing
from reportgen.commands.changes import changes
from reportgen.commands.orders import Order
from tests.endtoend.seasons import chosen, small, write_season


def test_only_what_differs_is_assessed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = chosen("P-06", "P-23", "P-03", P_23={"kits_planned": 4})
    after = chosen("P-06", "P-23", "P-03", P_03={"crossover_hz": 2300.0})
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
    assert worked == ["P-03", "P-03"]
    assert report.tally.endswith("1 moved, 0 new, 0 gone, 2 as before")
    (moved,) = report.listings
    assert moved.rows[0][:3] == ("P-03", before[2]["kit"], "Crossover") and "2300" in str(moved.rows[0][5])
