"""How long a screen takes and how much memory, from 100 x 100 to 3000 x 3000 drivers, three slopes, one core.

Run: python -m tests.benchmarks.bench_screening [SIZES...]
"""

from __future__ import annotations

import resource
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from reportgen.advice.screening import screen
from tests.advice.random_catalogues import random_catalogue
from tests.demo_catalogue import demo

SLOPES = ("LR2", "BW3", "LR4")


def measured(size: int) -> tuple[float, int, float]:
    """Seconds of processor, combinations judged, and the largest memory of the process so far (MB)."""
    catalogue = random_catalogue(size, size)
    start = time.process_time()
    found = screen(catalogue, demo().pairings["P-01"], slopes=SLOPES, keep=10)
    seconds = time.process_time() - start
    return seconds, found.judged, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


if __name__ == "__main__":
    print(f"{'drivers':>12} {'judged':>12} {'seconds':>8} {'us each':>8} {'MB':>6}")
    for size in map(int, sys.argv[1:] or ("100", "300", "1000", "3000")):
        seconds, judged, megabytes = measured(size)
        print(f"{size:>5} x {size:<5}{judged:>13}{seconds:>9.2f}{seconds / judged * 1e6:>9.3f}{megabytes:>7.0f}")
