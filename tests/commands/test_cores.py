"""One process keeps one core busy, whoever starts it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from reportgen.commands.cores import SINGLE_THREADED, cores, use_one

LOOK = """
import re
from reportgen.cli import main
main(["check", "nowhere.xlsx"])
import numpy as np
np.linalg.solve(np.eye(400), np.ones(400))
print(re.search("Threads:\\\\s+([0-9]+)", open("/proc/self/status").read())[1])
"""


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="threads are counted where Linux tells them")
@pytest.mark.parametrize(("told", "threads"), [({}, 1), ({"OPENBLAS_NUM_THREADS": "2"}, 2)])
def test_a_command_calculates_on_one_core_unless_the_operator_says_otherwise(
    told: dict[str, str], threads: int
) -> None:
    plain = {name: value for name, value in os.environ.items() if name not in SINGLE_THREADED}
    done = subprocess.run(
        [sys.executable, "-c", LOOK], env=plain | told, capture_output=True, text=True, check=True, timeout=60
    )
    assert int(done.stdout.split()[-1]) == threads


def test_only_the_processors_that_this_process_may_use_are_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    """As a container or `taskset` allows them (sched_setaffinity, Linux); where the system does not say, all there are."""
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 3, 5}, raising=False)
    monkeypatch.setattr(os, "cpu_count", lambda: 16)
    assert cores() == 3
    monkeypatch.delattr(os, "sched_getaffinity")
    assert cores() == 16
    monkeypatch.setattr(os, "cpu_count", lambda: None)
    assert cores() == 1


def test_what_the_operator_has_set_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    """The names that OpenBLAS, OpenMP and MKL read (their manuals, memory)."""
    for name in (names := ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")):
        monkeypatch.setenv(name, "4")
        monkeypatch.delenv(name)
    monkeypatch.setenv("OMP_NUM_THREADS", "4")
    use_one()
    assert [os.environ[name] for name in names] == ["1", "4", "1"]
