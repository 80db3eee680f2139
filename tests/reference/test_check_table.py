"""Every registered figure of the outside world."""

from __future__ import annotations

import pytest

from tests.every import every
from tests.reference.check_table import Check, main, registered

ROWS = list(registered())


@every("check", [check for _, check in ROWS])
def test_the_program_agrees_with_the_source(check: Check) -> None:
    got = check.value()
    assert got == pytest.approx(check.expected, rel=0.0, abs=check.tolerance), check.source


def test_no_two_rows_bear_one_name() -> None:
    names = [(where, row.name) for where, row in ROWS]
    assert len(names) == len(set(names)) and names


def test_a_wrong_figure_is_told() -> None:
    off = Check("c at 20 degrees", "ISO 9613-1:1993", 343.2, lambda: 340.0, 0.1)
    assert not off.agrees()
    assert not Check("nothing", "none given", 1.0, lambda: float("nan"), 0.1).agrees()
    with pytest.raises(ValueError, match="worthless"):
        Check("anything goes", "none given", 1.0, lambda: 0.0, float("inf"))
    with pytest.raises(ValueError, match="without a source"):
        Check("from nowhere", "", 1.0, lambda: 1.0, 0.1)


def test_the_table_prints_every_row(capsys: pytest.CaptureFixture[str]) -> None:
    assert main() == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == len(ROWS) + 2
    assert lines[-1] == "all agree"
