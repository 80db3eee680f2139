"""How the processor is shared: one process keeps one core busy.

Knows environment variables only, so that it comes before anything that calculates.
"""

from __future__ import annotations

import os

SINGLE_THREADED = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
"""What the libraries of linear algebra read when they are loaded. Our matrices are small: on a busy machine two threads that
wait for one another took ninety times as long as one, and one thread gives the same last digit everywhere."""


def cores() -> int:
    """How many processes this one may keep busy."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def use_one() -> None:
    """Let libraries that are loaded from now on calculate on one core; what the operator has set stays."""
    for name in SINGLE_THREADED:
        os.environ.setdefault(name, "1")
