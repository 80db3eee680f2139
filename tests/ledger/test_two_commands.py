"""Two commands on one file, in every order: one takes the place, the other says so, and nothing is lost or left.

The suite stops `a` at each step while `b` works whole or half way; `REPORTGEN_LONG=1` tries every pair of steps.
"""

from __future__ import annotations

import os
import sys

import pytest

from reportgen.ledger import ownfiles
from reportgen.ledger.replacement import read_workbook, replace_file
from tests.ledger.interleaving import crossed, killed_then_next, length
from tests.ledger.test_replacement import NEW
from tests.ledger.test_replacement import OLD as OLD_WORKBOOK

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="locks of another kind")
LONG = bool(os.environ.get("REPORTGEN_LONG"))


@pytest.mark.parametrize("standing", (True, False), ids=("in place", "a new file"))
def test_every_schedule_of_two_commands(tmp_path, standing):
    steps = length(tmp_path, standing)
    assert {"open lock", "flock", "link", "fsync", "unlink lock"} <= set(steps)
    seconds = range(len(steps) + 1) if LONG else (len(steps) // 2, len(steps))
    taken = set()
    for first in range(len(steps) + 1):
        for second in seconds:
            a, b = crossed(tmp_path, standing, first, second)
            taken.add((a.outcome["replaced"], b.outcome["replaced"]))
    assert taken == {(True, False), (False, True)}, "either may win"


@pytest.mark.parametrize("standing", (True, False), ids=("in place", "a new file"))
def test_a_command_killed_at_any_step_costs_the_next_one_nothing(tmp_path, standing):
    for steps in range(len(length(tmp_path, standing)) + 1):
        killed_then_next(tmp_path, standing, steps)


def test_a_command_that_hangs_at_its_step_is_said(tmp_path, monkeypatch):
    file = tmp_path / "Season 2025.xlsx"
    file.write_bytes(OLD_WORKBOOK)
    patient = ownfiles.lock
    monkeypatch.setattr(ownfiles, "lock", lambda folder, name: patient(folder, name, patience_s=0.05))
    with patient(tmp_path, file.name):
        outcome = replace_file(file, NEW, read_workbook(file)[1])
    assert outcome.reason == (
        "Season 2025.xlsx is being written by another run of this program that does not end. Wait until it has ended, or end it, and run "
        f"again. The results are in {outcome.path}."
    )
    assert (file.read_bytes(), outcome.path.read_bytes()) == (OLD_WORKBOOK, NEW)
    assert replace_file(file, NEW, read_workbook(file)[1]).replaced


def test_the_schedules_find_a_step_without_its_lock(tmp_path, monkeypatch):
    """The tests above can fail: without the lock some schedule ends otherwise."""
    monkeypatch.setattr(ownfiles, "_seized", lambda _: True)
    monkeypatch.setattr(ownfiles, "_still", lambda *_: True)
    with pytest.raises(AssertionError):
        for first in range(19):
            crossed(tmp_path, True, first, 18)
