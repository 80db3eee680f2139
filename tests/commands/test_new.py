"""A new workbook beside what stands there already, and workbooks that have no history: what is said, and what stays."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen import cli
from reportgen.catalogue.democurves import demo_files
from reportgen.commands import told
from reportgen.commands.new import new_workbook
from reportgen.ledger.replacement import Outcome
from reportgen.problems import ReportgenError


@pytest.mark.parametrize("name", ("season", "season.csv", "season.xlsm", "season.xls"))
def test_a_new_workbook_has_a_name_that_spreadsheet_programs_open(tmp_path: Path, name: str) -> None:
    assert cli.main(["new", str(tmp_path / name)]) == 2
    assert not any(tmp_path.iterdir())
    assert cli.main(["new", str(tmp_path / "season.XLSX")]) == 0


def test_a_curve_of_the_operator_is_never_overwritten_by_the_demo(tmp_path: Path) -> None:
    """Of two demo seasons in one folder the files are the same, so both may stand there."""
    new_workbook(tmp_path / "first.xlsx", demo=True)
    new_workbook(tmp_path / "second.xlsx", next_season=True)
    own = tmp_path / next(iter(demo_files()))
    own.write_text("100 80")
    with pytest.raises(
        ReportgenError, match=r"a file stands here already\. Give another name; nothing is overwritten\."
    ):
        new_workbook(tmp_path / "third.xlsx", demo=True)
    assert own.read_text() == "100 80" and not (tmp_path / "third.xlsx").exists()


def test_a_workbook_that_gave_no_history_is_named(tmp_path: Path) -> None:
    said = told.of_history(Outcome(tmp_path / "all.xlsx", True), ("b.xlsx: It cannot be read: gone.",), 2)
    assert said.code == 1
    assert said.lines == ["b.xlsx: It cannot be read: gone.", f"The histories of 1 workbook: {tmp_path / 'all.xlsx'}"]
    assert told.of_history(Outcome(tmp_path / "all.xlsx", True), (), 2).code == 0
