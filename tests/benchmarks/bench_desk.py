"""What each command of the desk costs on a long season whose last run is kept: python -m tests.benchmarks.bench_desk [COUNTS...].

The 24 pairings of the demo are assessed once; the season holds them over and over under other IDs, and for each the store gets
what a run would have kept. So the commands read, take over, choose and print as they do after a run of that season; `supply`,
`withdraw`, `whatif` and `changes` also assess what is new to them. By default 48 pairings, for the round of all.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

from reportgen.assessment import Assessment
from reportgen.catalogue.reading import read_catalogue
from reportgen.commands.orders import Order
from reportgen.commands.reuse import Store
from tests.benchmarks.bench_season import Watch
from tests.demo_catalogue import demo, demo_assessed
from tests.endtoend.seasons import write_season

Row = dict[str, Any]


def rows(count: int) -> list[Row]:
    """The pairings of the demo in turn, each under an ID and a kit of its own."""
    from reportgen.catalogue.demo import demo_tables

    found: list[Row] = [dict(row) for row in demo_tables()["Pairings"]]
    return [
        {**found[n % len(found)], "id": f"P-{n + 1:04d}", "kit": f"{found[n % len(found)]['kit']} {n + 1}"}
        for n in range(count)
    ]


def keep_all(workbook: Path, out: Path) -> None:
    """Keep what a run of the workbook would have kept: the assessment of each pairing, told of its own row."""
    catalogue = read_catalogue(workbook)
    store, ids = Store(Order(workbook, out).folder, catalogue, ""), list(demo().pairings)
    for number, pairing in enumerate(catalogue.pairings.values()):
        known: Assessment = demo_assessed(ids[number % len(ids)])
        store.keep(replace(known, case=catalogue.case(pairing)), None)


def timed(folder: Path, *words: str) -> tuple[float, float, str]:
    """Seconds by the clock and of the processors, which other work disturbs less, and what went wrong."""
    command = [sys.executable, "-m", "reportgen", *words]
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
    begun = time.monotonic()
    with subprocess.Popen(
        command, cwd=folder, env=environment, start_new_session=True, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True
    ) as process:  # fmt: skip
        watch = Watch(process.pid)
        watch.start()
        lines = process.communicate()[1].strip().splitlines() or [""]
        seconds = time.monotonic() - begun
        watch.over.set()
        watch.join()
    return seconds, sum(watch.cpu.values()), "" if process.returncode in (0, 1) else lines[-1][:90]


def main(counts: tuple[int, ...] = (48,)) -> None:
    """Print a row a command."""
    for count in counts:
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            workbook = write_season(folder / "season.xlsx", rows(count))
            begun = time.monotonic()
            keep_all(workbook, folder / "out")
            print(f"\n{count} pairings; kept in {time.monotonic() - begun:.0f} s")
            before = write_season(folder / "before.xlsx", [*rows(count)[:-2], {**rows(1)[0], "id": "P-OLD"}])
            for words in (
                ("check", workbook.name),
                ("run", workbook.name, "--no-pdf"),
                ("supply", workbook.name),
                ("pricelist", workbook.name),
                ("changes", workbook.name, "--since", "1"),
                ("changes", workbook.name, "--against", before.name),
                ("withdraw", workbook.name, "HD-01"),
                ("whatif", workbook.name, "HD-01: Price = 48"),
                ("history", workbook.name),
            ):
                seconds, cpu, wrong = timed(folder, *words)
                told = " ".join(words[:1] + words[2:])
                print(f"  {told:<40} {seconds:7.1f} s by the clock {cpu:7.1f} s of processors  {wrong}", flush=True)


if __name__ == "__main__":
    main(tuple(map(int, sys.argv[1:])) or (48,))
