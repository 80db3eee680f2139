"""What the parent of a run costs alone, however long the season: ready results are handed in, so that no worker disturbs.

Run: python -m tests.benchmarks.bench_parent [COUNTS...]. The 24 assessments of the demo, remedies and all, are worked out
once and handed in under the names of a long season, each a copy of its own with a sheet of as many bytes as a real one
has; then the same run comes again with nothing changed. Memory is the largest resident size, time the processor's.
"""

from __future__ import annotations

import gc
import pickle
import subprocess
import sys
import tempfile
import time
from concurrent.futures import Executor, Future
from dataclasses import replace
from pathlib import Path
from typing import Any

from reportgen.cli import SELDOM
from reportgen.commands.piecework import assess_with_remedies
from reportgen.commands.run import RunOrder, run
from reportgen.commands.tasks import Done, Task
from reportgen.ledger.revisions import Revised
from tests.demo_catalogue import demo
from tests.endtoend.seasons import varied, write_season

SHEET_BYTES = 120_000
"""About the length of a sheet with its annex."""


class Waiting(Future[Done]):
    """One result, unpacked when it is asked for: as a pipe from a worker gives one after the other."""

    def __init__(self, task: Task, packed: bytes) -> None:
        super().__init__()
        self.task, self.packed = task, packed
        self.set_running_or_notify_cancel()
        super().set_result(Done(None))

    def result(self, timeout: float | None = None) -> Done:
        """The result under the name of the task's pairing."""
        assessment = pickle.loads(self.packed)
        case = replace(assessment.case, pairing=self.task.pairing)
        sheet = self.task.pairing.id.encode().ljust(SHEET_BYTES, b"%")
        return Done(replace(assessment, case=case), sheet, sheet=Revised(1, "0" * 12))


class Ready(Executor):
    """Answers every task at once with one of the results it was given."""

    def __init__(self, results: list[bytes]) -> None:
        self.results, self.count = results, 0

    def submit(self, work: Any, task: Task, /, *_: Any, **__: Any) -> Future[Done]:  # type: ignore[override]
        """The next result."""
        self.count += 1
        return Waiting(task, self.results[self.count % len(self.results)])


def measured(workbook: Path, results: Path) -> None:
    """One run in this process: prints its clock and processor seconds, its largest memory (MB) and what it took over."""
    ready = Ready(pickle.loads(results.read_bytes()))
    begun, spent = time.monotonic(), time.process_time()
    gc.set_threshold(*SELDOM)  # as the command line does
    report = run(RunOrder(workbook, workbook.parent, into=workbook.with_name("copy.xlsx")), executor=ready)
    # `getrusage` would count the process that this one came of
    status = Path("/proc/self/status").read_text().splitlines()
    peak = next(int(line.split()[1]) for line in status if line.startswith("VmHWM")) / 1024
    print(f"{time.monotonic() - begun:.2f} {time.process_time() - spent:.2f} {peak:.0f} {report.reused}")


def main(counts: list[int]) -> None:
    found = [assess_with_remedies(demo(), one) for one in demo().pairings.values()]
    print("pairings    run   clock, s     cpu, s   parent, MB   taken over")
    for count in counts:
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            workbook = write_season(folder / f"{count}.xlsx", varied(count))
            results = folder / "results"
            results.write_bytes(pickle.dumps([pickle.dumps(one) for one in found]))
            for what in ("first", "again"):
                command = [sys.executable, "-m", __spec__.name, "measure", str(workbook), str(results)]
                told = subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True).stdout.split()
                print(f"{count:8} {what:>6} {told[0]:>10} {told[1]:>10} {told[2]:>12} {told[3]:>12}", flush=True)


if __name__ == "__main__":
    if sys.argv[1:2] == ["measure"]:
        measured(Path(sys.argv[2]), Path(sys.argv[3]))
    else:
        main([int(one) for one in sys.argv[1:]] or [50, 200])
