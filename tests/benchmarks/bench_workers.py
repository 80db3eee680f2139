"""What a second core brings, beside what the machine itself has to give: python -m tests.benchmarks.bench_workers.

Two cores of a rented machine are often one core shared. So the same workers, one and two of them in turn, first only
count (the most that the machine gives), then assess and print pairings. The last column is the share of the possible.
"""

from __future__ import annotations

import datetime as dt
import statistics
import time
from collections.abc import Callable

from reportgen.commands import workers
from reportgen.commands.piecework import work
from reportgen.commands.preload import PRELOAD
from reportgen.commands.tasks import Done, Shop, Task
from reportgen.paper.printing import Stamp
from tests.demo_catalogue import demo

PIECES, ROUNDS = 10, 5
IDS = ("P-06", "P-23")


def counted(_: int) -> int:
    """A second or so of pure counting."""
    number = 0
    for _ in range(12_000_000):
        number += 1
    return number


def printed(number: int) -> bool:
    """One pairing assessed, searched and printed."""
    stamp = Stamp("1", dt.date(2026, 11, 25), 1, "0" * 20, "1")
    shop = Shop(demo(), pdf=True, paper="A4", templates=None)
    done: Done = work(shop, Task(demo().pairings[IDS[number % len(IDS)]], stamp))
    return done.pdf is not None


def seconds(what: Callable[[int], object], jobs: int) -> float:
    """How long `jobs` workers take for all pieces, from when each has done one."""
    running = workers.as_finished(what, range(PIECES + 2 * jobs), jobs, lambda piece, why: why, preload=PRELOAD)
    for _ in range(2 * jobs):
        next(running)
    begun = time.perf_counter()
    for _, result in running:
        assert result and not isinstance(result, str), result
    return time.perf_counter() - begun


def main() -> None:
    """Print the gain of a second worker at counting and at pairings, medians of rounds in turn."""
    gains: dict[str, list[float]] = {"counting": [], "pairings": []}
    for _ in range(ROUNDS):
        for name, what in (("counting", counted), ("pairings", printed)):
            gains[name].append(seconds(what, 1) / seconds(what, 2))
    medians = {name: statistics.median(found) for name, found in gains.items()}
    for name, found in gains.items():
        print(
            f"{name:10} two workers {medians[name]:.2f} times one (rounds {', '.join(f'{one:.2f}' for one in sorted(found))})"
        )
    print(f"share of what the machine gives: {medians['pairings'] / medians['counting']:.2f}")


if __name__ == "__main__":
    main()
