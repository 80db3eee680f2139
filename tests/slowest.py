"""Where the processor time of the tests goes: `REPORTGEN_TIMES=/tmp/times pytest`, then `python -m tests.slowest /tmp/times`.

Seconds of processor of the test's own process and of those it waited for; what a server process starts is not in it.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def noted(test: str) -> Iterator[None]:
    """Append what a test took to the file that REPORTGEN_TIMES names, where it names one."""
    started = sum(os.times()[:4])
    yield
    if file := os.environ.get("REPORTGEN_TIMES"):
        with Path(file).open("a", encoding="utf-8") as lines:
            lines.write(f"{sum(os.times()[:4]) - started:.2f}\t{test}\n")


def main(file: str) -> None:
    """Print the whole and a table of the twenty that took most."""
    rows = [line.rstrip("\n").split("\t", 1) for line in Path(file).read_text(encoding="utf-8").splitlines()]
    print(f"{len(rows)} tests, {sum(float(spent) for spent, _ in rows):.0f} s\n\n| s | test |\n|---:|---|")
    for spent, test in sorted(rows, key=lambda row: -float(row[0]))[:20]:
        print(f"| {float(spent):.1f} | `{test.removeprefix('tests/')}` |")


if __name__ == "__main__":
    main(sys.argv[1])
