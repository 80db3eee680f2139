"""Every benchmark of this folder, one after another: python -m tests.benchmarks."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path


def main() -> int:
    """Each in a process of its own, so that none warms another up; 0 when all of them ran."""
    failed = []
    one_core = {**os.environ, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    for path in sorted(Path(__file__).parent.glob("bench_*.py")):
        print(f"\n=== {path.stem} ===", flush=True)
        if subprocess.run(
            [sys.executable, "-m", f"tests.benchmarks.{path.stem}"], check=False, cwd=path.parents[2], env=one_core
        ).returncode:
            failed.append(path.stem)
    print(f"\nFailed: {', '.join(failed)}" if failed else "\nAll benchmarks ran.")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
