"""One process keeps one core busy, whoever starts it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from reportgen.commands.cores import SINGLE_THREADED

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
