"""How time and memory of a run grow with the season: 50, 200 and 800 pairings, made by varying the demo.

Run: python -m tests.benchmarks.bench_season [COUNTS...] [--pdf] [--jobs N]. By default 24 pairings, for the round of all
benchmarks; the long ones are asked for. "cpu" is the time of all processes together, which other work on the machine
disturbs less than the clock. Memory is the largest resident size of the parent, and of the largest worker.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import dataclass
from pathlib import Path

from tests.endtoend.seasons import varied, write_season

TICK = os.sysconf("SC_CLK_TCK")


@dataclass
class Cost:
    """Clock and processor seconds; largest resident sizes in MB; seconds until the first pairing was done."""

    pairings: int
    seconds: float
    cpu: float
    first: float
    parent_mb: float
    worker_mb: float


class Watch(threading.Thread):
    """Reads /proc for all processes of a session, a few times a second, until it is told to stop."""

    def __init__(self, session: int) -> None:
        super().__init__(daemon=True)
        self.session, self.over = session, threading.Event()
        self.cpu: dict[int, float] = {}
        self.parent_mb = self.worker_mb = 0.0

    def run(self) -> None:
        while not self.over.wait(0.2):
            for folder in Path("/proc").glob("[0-9]*"):
                self._look_at(folder)

    def _look_at(self, folder: Path) -> None:
        try:
            fields = (folder / "stat").read_text().rpartition(")")[2].split()
            if int(fields[3]) != self.session:
                return
            peak = next(line for line in (folder / "status").read_text().splitlines() if line.startswith("VmHWM"))
        except (OSError, StopIteration):
            return
        number, megabytes = int(folder.name), int(peak.split()[1]) / 1024
        self.cpu[number] = (int(fields[11]) + int(fields[12])) / TICK
        if number == self.session:
            self.parent_mb = max(self.parent_mb, megabytes)
        else:
            self.worker_mb = max(self.worker_mb, megabytes)


def measured(folder: Path, count: int, arguments: list[str]) -> Cost:
    """One run of the command in a session of its own."""
    command = [sys.executable, "-m", "reportgen", "run", f"{count}.xlsx", "--into", "copy.xlsx", *arguments]
    begun = time.monotonic()
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
    with subprocess.Popen(
        command, cwd=folder, env=environment, start_new_session=True, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    ) as process:
        watch = Watch(process.pid)
        watch.start()
        assert process.stderr is not None
        first = 0.0
        for _ in process.stderr:
            first = first or time.monotonic() - begun
        process.wait()
    seconds = time.monotonic() - begun
    watch.over.set()
    watch.join()
    if process.returncode:
        raise SystemExit(f"{count} pairings: the run ended with {process.returncode}")
    return Cost(count, seconds, sum(watch.cpu.values()), first, watch.parent_mb, watch.worker_mb)


HEAD = "pairings   run   seconds      cpu   cpu each    first   parent MB   worker MB"


def row(what: str, cost: Cost) -> str:
    each = cost.cpu / cost.pairings
    return (
        f"{cost.pairings:8} {what:>5} {cost.seconds:9.1f} {cost.cpu:8.1f} {each:8.3f} s {cost.first:6.2f} s"
        f" {cost.parent_mb:11.0f} {cost.worker_mb:11.0f}"
    )


def plot(costs: list[Cost]) -> str:
    """Processor seconds against pairings, as bars of text: a straight line is a triangle."""
    most = max(cost.cpu for cost in costs)
    return "\n".join(
        f"{cost.pairings:8} {'#' * max(1, round(60 * cost.cpu / most))} {cost.cpu:.0f} s" for cost in costs
    )


def main(arguments: list[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description="How a run grows with the season.")
    parser.add_argument("counts", nargs="*", type=int, default=[24])
    parser.add_argument("--pdf", action="store_true")
    parser.add_argument("--jobs")
    asked = parser.parse_args(arguments)
    how = (["--jobs", asked.jobs] if asked.jobs else []) + ([] if asked.pdf else ["--no-pdf"])
    costs = []
    print(HEAD)
    for count in asked.counts:
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            write_season(folder / f"{count}.xlsx", varied(count))
            costs.append(measured(folder, count, how))
            print(row("first", costs[-1]), flush=True)
            print(row("again", measured(folder, count, how)), flush=True)
    print(plot(costs))


if __name__ == "__main__":
    main(sys.argv[1:])
