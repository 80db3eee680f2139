"""A long season with random faults: every good pairing done, every bad one reported, nothing lost, nothing leaking.

Run: python -m tests.endtoend.soak [PAIRINGS] [--pdf] [--seed N]. Faults: rows that cannot be used, drivers that are not
there, curve files that are missing, workers killed while they work, a disk that is full for a while (a memory disk, where
mounting is permitted). `soak` itself is called with few pairings by the suite.
"""

from __future__ import annotations

import argparse
import gc
import os
import random
import resource
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from reportgen.catalogue.demo import demo_tables
from reportgen.commands.run import Report, RunOrder, run
from tests.endtoend.seasons import Row, small, varied, write_season

LOST_FILE = "LD-01"
"""The low driver whose curve file is not there: its pairings are assessed without it."""
FAULTS = ("low_id", "high_id", "cabinet_id", "peak_level_db", "distance_m", "slope")


@dataclass
class Told:
    """What a soak came to."""

    pairings: int
    bad: int
    killed: int = 0
    given_up: set[str] = field(default_factory=set)
    rounds: int = 0
    assessed: int = 0
    full_disk: bool = False
    seconds: float = 0.0
    handles: list[int] = field(default_factory=list)
    megabytes: list[float] = field(default_factory=list)

    @property
    def line(self) -> str:
        """All in one line."""
        return (
            f"{self.pairings} pairings, {self.bad} of them bad: {self.assessed} assessed, {self.bad} reported, none lost."
            f" {self.killed} workers killed ({len(self.given_up)} pairings hit three times, reported and done by the next run), {self.rounds} runs, disk full for a while: {'yes' if self.full_disk else 'no'};"
            f" file handles {self.handles}, resident MB {[round(one) for one in self.megabytes]}, {self.seconds:.0f} s."
        )


def spoiled(rows: list[Row], chance: random.Random, share: float) -> tuple[list[Row], set[str]]:
    """The rows with faults in some of them, and the IDs of those."""
    bad = {row["id"] for row in rows if chance.random() < share}
    faults = {
        name: {"low_id": "LD-77", "high_id": "HD-77", "cabinet_id": "CB-77", "slope": "LR5"}.get(name, -4)
        for name in FAULTS
    }
    faults["peak_level_db"] = "loud"
    kinds = {id_: chance.choice(FAULTS) for id_ in sorted(bad)}
    return [{**row, kinds[row["id"]]: faults[kinds[row["id"]]]} if row["id"] in bad else row for row in rows], bad


def own_children() -> list[int]:
    """The processes that work for this one: children of the server it started."""
    parents: dict[int, int] = {}
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            parents[int(stat.parent.name)] = int(stat.read_text().rpartition(")")[2].split()[1])
        except (OSError, ValueError):
            continue
    servers = {pid for pid, parent in parents.items() if parent == os.getpid()}
    return [pid for pid, parent in parents.items() if parent in servers]


@contextmanager
def killing(every_s: float, chance: random.Random, told: Told) -> Iterator[None]:
    """Kill one worker now and then."""
    over = threading.Event()

    def kill() -> None:
        while not over.wait(every_s * (0.5 + chance.random())):
            for worker in own_children()[:1]:
                os.kill(worker, signal.SIGKILL)
                told.killed += 1

    thread = threading.Thread(target=kill, daemon=True)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()


@contextmanager
def disk(folder: Path, megabytes: int) -> Iterator[bool]:
    """A memory disk at `folder`; false where mounting is not permitted, then it is a folder like others."""
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", f"size={megabytes}m", "none", str(folder)]
    mounted = subprocess.run(mount, capture_output=True, check=False).returncode == 0
    try:
        yield mounted
    finally:
        if mounted:
            subprocess.run(["umount", "-l", str(folder)], check=True)


def soak(pairings: int, pdf: bool = False, seed: int = 1, kill_every_s: float = 3.0, among: Sequence[str] = ()) -> Told:
    """Work through a season with faults until the disk has room for everything; AssertionError when anything is lost."""
    chance, begun = random.Random(seed), time.monotonic()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        rows, bad = spoiled(varied(pairings, among), chance, 0.1)
        workbook = write_season(folder / "season.xlsx", rows, **{**small(*rows), "Low_drivers": _with_a_lost_file()})
        told = Told(pairings, len(bad))
        out = folder / "disk"
        with disk(out, 8 + pairings // 8 + (pairings // 3 if pdf else 0)) as mounted:
            order = RunOrder(workbook, out=out, into=folder / "copy.xlsx", jobs=2, pdf=pdf)
            ballast = out / "ballast"
            if mounted:
                room = os.statvfs(out)
                ballast.write_bytes(bytes(room.f_bavail * room.f_frsize - (100 << 10)))
            with killing(kill_every_s, chance, told):
                report = _round(order, told)
            told.full_disk = bool(report.unprinted)
            told.given_up = {one.id for one in report.unassessed if "ended without a result" in one.text}
            assert bool(report.unprinted) == mounted or told.given_up, (
                report.unprinted
            )  # on a slow machine little may be left to print
            _assert_nothing_lost(report, rows, bad | told.given_up)
            ballast.unlink(missing_ok=True)
            for _ in range(2):
                report = _round(order, told)
                _assert_nothing_lost(report, rows, bad)
                assert not report.unprinted, report.unprinted
            assert report.reused == pairings - len(bad), "the last run takes over everything"
            assert not pdf or len(list((out / "season").glob("P-*.pdf"))) == pairings - len(bad)
        told.assessed, told.seconds = len(report.outlines), time.monotonic() - begun
    _assert_no_leak(told)
    return told


def _with_a_lost_file() -> list[Row]:
    return [
        {**row, "response_file": "curves/gone.txt"} if row["id"] == LOST_FILE else dict(row)
        for row in demo_tables()["Low drivers"]
    ]


def _round(order: RunOrder, told: Told) -> Report:
    report = run(order)
    told.rounds += 1
    gc.collect()
    told.handles.append(len(os.listdir("/proc/self/fd")))
    told.megabytes.append(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
    return report


def _assert_nothing_lost(report: Report, rows: list[Row], bad: set[str]) -> None:
    assert [one.id for one in report.outlines] == [row["id"] for row in rows if row["id"] not in bad]
    assert {one.id for one in report.unassessed} == bad
    assert all("!" in one.text for one in report.unassessed), "every reason names a cell"


def _assert_no_leak(told: Told) -> None:
    """The later rounds need no more than the first ones did."""
    assert told.handles[-1] <= told.handles[0] + 2, told.handles
    assert not own_children()


def main(arguments: list[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description="A long season with random faults.")
    parser.add_argument("pairings", nargs="?", type=int, default=2000)
    parser.add_argument("--pdf", action="store_true")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args(arguments)
    print(soak(asked.pairings, asked.pdf, asked.seed, kill_every_s=max(3.0, asked.pairings / 100)).line)


if __name__ == "__main__":
    main(sys.argv[1:])
