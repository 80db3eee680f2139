"""How long a run takes to its first sheet: `python -m tests.benchmarks.bench_first [OTHER_TREE] [ROUNDS]`, both trees in turns.

The clock, from the command to the moment when the first PDF of the demo stands in its folder; the run is then stopped. Other work on
the machine lengthens it: the least of several rounds is told, and all of them.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).parents[2]
LOOK_S = 0.004


def first_sheet_s(tree: Path) -> float:
    """Seconds of the clock to the first sheet of the demo, printed by the program of a tree."""
    with tempfile.TemporaryDirectory() as name:
        out = Path(name) / "out"
        command = [sys.executable, "-m", "reportgen", "run", tree / "workbooks" / "demo-season.xlsx", "--into", Path(name) / "copy.xlsx", "--out", out]  # fmt: skip
        begun = time.monotonic()
        with subprocess.Popen(
            command, cwd=tree, env={**os.environ, "PYTHONPATH": str(tree)}, start_new_session=True,
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        ) as process:  # fmt: skip
            while not next(out.glob("*/*.pdf"), None):
                if process.poll() is not None:
                    raise SystemExit(f"{tree}: the run ended without a sheet")
                time.sleep(LOOK_S)
            found = time.monotonic() - begun
            os.killpg(process.pid, signal.SIGINT)
        return found


def main(arguments: list[str]) -> None:
    rounds = int(arguments.pop()) if arguments and arguments[-1].isdigit() else 3
    trees = [HERE, *(Path(one).resolve() for one in arguments)]
    found: dict[Path, list[float]] = {tree: [] for tree in trees}
    for _ in range(rounds):
        for tree in trees:
            found[tree].append(first_sheet_s(tree))
    for tree, seconds in found.items():
        print(f"{tree}: {min(seconds):.2f} s, of {', '.join(f'{one:.2f}' for one in sorted(seconds))}")


if __name__ == "__main__":
    main(sys.argv[1:])
