"""How long a screen takes and how much memory, from 100 x 100 to 3000 x 3000 drivers, three slopes, one core; and the command.

Run: python -m tests.benchmarks.bench_screening [SIZES...]. Each size runs in a process of its own, so that its memory is its own. Up to
300 the command is timed too, on a workbook of these drivers: it reads, screens, looks for the shelf, prints its page and grafts its sheets.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from reportgen.advice.screening import screen
from reportgen.catalogue.columns import SHEETS
from reportgen.catalogue.demo import demo_tables
from reportgen.catalogue.records import Record
from tests.advice.random_catalogues import random_catalogue
from tests.benchmarks.bench_desk import timed
from tests.demo_catalogue import demo
from tests.workbooks import write_workbook

SLOPES = ("LR2", "BW3", "LR4")
LARGEST_BOOK = 300
"""A workbook of more drivers is no longer what a maker has."""


def measured(size: int) -> None:
    """Print the combinations judged, the seconds of processor, and the largest memory of this process (MB)."""
    catalogue = random_catalogue(size, size)
    start = time.process_time()
    found = screen(catalogue, demo().pairings["P-01"], slopes=SLOPES, keep=10)
    seconds = time.process_time() - start
    print(found.judged, seconds, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0)


def row(record: Record, sheet: str) -> dict[str, Any]:
    """A record as it stands in a row of its sheet."""
    (columns,) = (one.columns for one in SHEETS if one.name == sheet)
    found: dict[str, Any] = {}
    for column in columns:
        value = getattr(record, column.field, None)
        if isinstance(value, tuple):
            value = "; ".join(f"{one / column.factor:.9g}" for one in value)
        elif isinstance(value, bool):
            value = "yes" if value else "no"
        elif isinstance(value, float) and column.unit:
            value /= column.factor
        if value is not None:
            found[column.field] = value
    return found


def write_catalogue(path: Path, size: int) -> None:
    """A workbook of so many low and high drivers, and one pairing whose use is screened."""
    catalogue, tables = random_catalogue(size, size), dict(demo_tables())
    drivers = {"Low drivers": catalogue.low_drivers, "High drivers": catalogue.high_drivers}
    tables |= {sheet: [row(one, sheet) for one in records.values()] for sheet, records in drivers.items()}
    tables["Pairings"] = [{**tables["Pairings"][0], "low_id": "L0", "high_id": "H0"}]
    write_workbook(path, {**tables, "Enquiries": []})


def main(sizes: list[int]) -> None:
    """Print a row a size."""
    print(
        f"{'drivers':>12} {'judged':>12} {'cpu, s':>8} {'us each':>8} {'MB':>6} {'command, cpu s':>16} {'clock s':>8}"
    )
    for size in sizes:
        words = [sys.executable, "-m", __spec__.name, "measure", str(size)]
        told = subprocess.run(words, check=True, stdout=subprocess.PIPE, text=True).stdout.split()
        judged, seconds, megabytes = int(told[0]), float(told[1]), float(told[2])
        line = f"{size:>5} x {size:<5}{judged:>13}{seconds:>9.2f}{seconds / judged * 1e6:>9.3f}{megabytes:>7.0f}"
        if size <= LARGEST_BOOK:
            with tempfile.TemporaryDirectory() as folder:
                write_catalogue(Path(folder) / "drivers.xlsx", size)
                clock, cpu, wrong = timed(Path(folder), "screen", "drivers.xlsx")
            line += f"{cpu:>17.2f}{clock:>9.2f} {wrong}"
        print(line, flush=True)


if __name__ == "__main__":
    if sys.argv[1:2] == ["measure"]:
        measured(int(sys.argv[2]))
    else:
        main([int(one) for one in sys.argv[1:]] or [100, 300, 1000, 3000])
