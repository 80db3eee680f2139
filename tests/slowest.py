"""Where the processor time of the tests goes: `REPORTGEN_TIMES=/tmp/times pytest`, then `python -m tests.slowest /tmp/times`.

Seconds of processor of the test's own process and of all that it started, whoever waited for them.
"""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from functools import cache
from pathlib import Path

SUBREAPER = 36
"""The number of PR_SET_CHILD_SUBREAPER (Linux, prctl.h): whose parent ended becomes a child of this process."""


@cache
def _adopting() -> None:
    ctypes.CDLL(None).prctl(SUBREAPER, 1, 0, 0, 0)


def processor_s() -> float:
    """Processor time so far of this process and of all below it, those that ended included (s)."""
    _adopting()
    parents, ticks = dict[int, int](), dict[int, int]()
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            fields = stat.read_text(encoding="utf-8", errors="replace").rpartition(")")[2].split()
            parents[int(stat.parent.name)], ticks[int(stat.parent.name)] = int(fields[1]), sum(map(int, fields[11:15]))

    def below(process: int) -> bool:
        return process == os.getpid() or (process in parents and below(parents[process]))

    return sum(spent for process, spent in ticks.items() if below(process)) / os.sysconf("SC_CLK_TCK")


@contextmanager
def noted(test: str) -> Iterator[None]:
    """Append what a test took to the file that REPORTGEN_TIMES names, where it names one."""
    file = os.environ.get("REPORTGEN_TIMES")
    started = processor_s() if file else 0.0
    yield
    if file:
        with Path(file).open("a", encoding="utf-8") as lines:
            lines.write(f"{processor_s() - started:.2f}\t{test}\n")


def main(file: str) -> None:
    """Print the whole and a table of the twenty that took most."""
    rows = [line.rstrip("\n").split("\t", 1) for line in Path(file).read_text(encoding="utf-8").splitlines()]
    print(f"{len(rows)} tests, {sum(float(spent) for spent, _ in rows):.0f} s\n\n| s | test |\n|---:|---|")
    for spent, test in sorted(rows, key=lambda row: -float(row[0]))[:20]:
        print(f"| {float(spent):.1f} | `{test.removeprefix('tests/')}` |")


if __name__ == "__main__":
    main(sys.argv[1])
