"""What is said of a cell stays in one line and steers no terminal, whatever stands in the cell."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from reportgen.problems import CannotAssess, Problem, WorkbookUnusable, once_a_column, one_line
from tests.endtoend.seasons import chosen, write_season
from tests.every import every

NASTY = "a\n\x1b[2Jb\u2028c\u202ed\x9bm\r\ne"


@every(
    "said",
    (
        Problem("Pair\nings", "A1", "ID\n", NASTY, NASTY, NASTY),
        CannotAssess(NASTY),
        WorkbookUnusable([Problem("Pairings", "A1", "", NASTY, "no"), Problem("Pairings", "A2", "", NASTY, "no")]),
    ),
)
def test_a_message_is_one_line(said: object) -> None:
    assert len(str(said).splitlines()) == 1
    assert not set(str(said)) & set("\x1b\x9b\u202e\u2028\r\n")


@given(st.text())
def test_no_text_makes_two_lines_or_an_escape(text: str) -> None:
    shown = one_line(text)
    assert len(shown.splitlines()) <= 1 and shown == one_line(shown)
    assert all(ord(sign) >= 0x20 and not 0x7F <= ord(sign) < 0xA0 for sign in shown)


def test_a_terminal_without_our_letters_gets_others(tmp_path: Path) -> None:
    write_season(tmp_path / "season.xlsx", chosen("P-06", P_06={"slope": "L\nR\x9b響"}))
    command = [sys.executable, "-m", "reportgen", "check", "season.xlsx"]
    environment = {"PYTHONIOENCODING": "ascii", "PATH": "", "PYTHONPATH": str(Path(__file__).parents[1])}
    done = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, check=False, timeout=60)
    assert done.returncode == 1, done.stderr
    assert b"Pairings!" in done.stdout and b"Traceback" not in done.stderr
    assert not set(done.stdout.replace(b"\n", b"")) & {0x1B, 0x9B}


@every(
    ("alike", "ends"),
    [
        (2, ""),
        (3, "and K3 and K4 hold the like"),
        (13, "K13 and K14 hold the like"),
        (40, "K13, K14 and 27 more cells hold the like"),
    ],
)
def test_a_notice_of_a_whole_column_is_said_once_and_names_its_cells(alike: int, ends: str) -> None:
    """Three cells are a column, and twelve behind the first are named."""
    usual = "usual values lie between 5 and 2500 cm2"
    notices = [
        Problem("Low drivers", f"K{row}", "Sd (cm2)", "0.01 stands here", usual, notice=True)
        for row in range(2, 2 + alike)
    ]
    other, error = replace(notices[0], heading="Mms (g)"), replace(notices[0], notice=False)
    first, *told, last = once_a_column([other, *notices, error])
    assert (first, last) == (other, error)
    if ends:
        assert told[0].found.startswith("0.01 stands here, and K3") and told[0].found.endswith(ends) and len(told) == 1
    else:
        assert told == notices
