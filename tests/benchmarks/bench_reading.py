"""How long reading takes beside plain loads by the library: 2 000 low drivers of all columns.

Run: python tests/benchmarks/bench_reading.py
"""

from __future__ import annotations

import io
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from openpyxl import load_workbook

from reportgen.catalogue.columns import LOW_DRIVERS, Kind
from reportgen.catalogue.reading import read_catalogue
from tests.workbooks import write_workbook

DRIVERS = 2000
ROUNDS = 5


def _rows() -> list[dict[str, object]]:
    row: dict[str, object] = {}
    for column in LOW_DRIVERS.columns:
        if column.kind is Kind.NUMBER:
            low, high = column.plausible or (1, 100)
            row[column.field] = (low + high) / 2 + 0.125
        elif column.kind is Kind.COUNT:
            row[column.field] = 3
        elif column.kind is Kind.TEXT:
            row[column.field] = "some words about it"
    return [{**row, "id": f"LD-{number:04d}"} for number in range(DRIVERS)]


def _median(work: Callable[[], object]) -> float:
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def _load(path: Path, **how: bool) -> None:
    book = load_workbook(io.BytesIO(path.read_bytes()), **how)
    for sheet in book.worksheets:
        for _ in sheet.iter_rows(values_only=True):
            pass
    book.close()


def main() -> None:
    """Print the median times and their ratio to one plain load."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "many.xlsx"
        write_workbook(path, {"Low drivers": _rows()})
        catalogue = read_catalogue(path)
        assert len(catalogue.low_drivers) == DRIVERS, catalogue.problems[:3]
        plain = _median(lambda: _load(path))
        streamed = _median(lambda: _load(path, read_only=True, data_only=True))
        ours = _median(lambda: read_catalogue(path))
    print(f"plain load            {plain:6.3f} s")
    print(f"streamed load         {streamed:6.3f} s")
    print(
        f"read_catalogue        {ours:6.3f} s, {ours / plain:.2f} of a plain load, {ours / streamed:.2f} of a streamed"
    )


if __name__ == "__main__":
    main()
