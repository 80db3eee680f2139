"""Where new sheets go: the workbook itself, a new copy, or one that stands there and is about the same."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from reportgen.catalogue.blank import write_workbook
from reportgen.catalogue.demo import demo_tables
from reportgen.ledger.destination import destination
from reportgen.problems import ReportgenError
from tests.endtoend.seasons import chosen


def season(path: Path, *ids: str, **changes: float) -> Path:
    rows = [{**row, **changes} for row in chosen(*ids)]
    write_workbook(path, {**demo_tables(), "Pairings": rows})
    return path


def test_the_workbook_itself_and_a_new_copy(tmp_path: Path) -> None:
    own = season(tmp_path / "season.xlsx", "P-01")
    here, copy = destination(own), destination(own, tmp_path / "copy.xlsx")
    assert (here.path, here.notice, here.content) == (own, "", own.read_bytes())
    assert (copy.path, copy.fingerprint, copy.content) == (tmp_path / "copy.xlsx", None, own.read_bytes())


def test_a_copy_says_in_which_sheets_it_differs(tmp_path: Path) -> None:
    own = season(tmp_path / "season.xlsx", "P-01", "P-03")
    louder = season(tmp_path / "copy.xlsx", "P-01", "P-03", peak_level_db=88)
    found = destination(own, louder)
    assert found.content == louder.read_bytes()
    assert found.notice == (
        "copy.xlsx differs from season.xlsx in Pairings. The new sheets tell of season.xlsx; "
        "what stands in the copy stays as it is."
    )
    grown = openpyxl.load_workbook(own)
    grown.create_sheet("Mine")["A1"] = "by hand"
    grown.save(tmp_path / "grown.xlsx")
    assert destination(own, tmp_path / "grown.xlsx").notice == ""


@pytest.mark.parametrize(("theirs", "shared"), [(("P-01", "P-02"), 1), (("P-02", "P-04"), 0)])
def test_half_of_the_rows_make_a_copy(tmp_path: Path, theirs: tuple[str, ...], shared: int) -> None:
    own = season(tmp_path / "season.xlsx", "P-01", "P-03")
    other = season(tmp_path / "other.xlsx", *theirs)
    if shared:
        assert "differs" in destination(own, other).notice
    else:
        with pytest.raises(ReportgenError, match="It is about something else: 0 of its 2 rows are the same"):
            destination(own, other)
