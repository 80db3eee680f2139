"""Grafting new sheets against loading and saving with the library, on a workbook of 2000 rows by 40 columns.

Run: python tests/benchmarks/bench_graft.py. Prints milliseconds (best of five), the ratio, and what is left of the
stored formula values and of the parts of the original.
"""

from __future__ import annotations

import time
import zipfile
from collections.abc import Callable
from io import BytesIO

import openpyxl
import xlsxwriter

from reportgen.catalogue.package import inspect_package
from tests.ledger.grafting import graft

ROWS, COLUMNS, RESULT_ROWS = 2000, 40, 1500


def original() -> bytes:
    buffer = BytesIO()
    with xlsxwriter.Workbook(buffer) as book:
        sheet = book.add_worksheet("Low drivers")
        for row in range(ROWS):
            sheet.write_string(row, 0, f"LD-{row}")
            sheet.write_row(row, 1, [row * 0.37 + column for column in range(COLUMNS - 2)])
            sheet.write_formula(row, COLUMNS - 1, f"=2*B{row + 1}", None, 2 * row * 0.37)
        sheet.add_sparkline("AP1", {"range": "'Low drivers'!B1:Z1"})
        book.add_worksheet("Pairings")
    return buffer.getvalue()


def results() -> openpyxl.Workbook:
    book = openpyxl.Workbook()
    fill(book.active)
    return book


def fill(sheet: openpyxl.worksheet.worksheet.Worksheet) -> None:
    sheet.title = "Run 001 checks"
    for row in range(RESULT_ROWS):
        sheet.append([f"P-{row}", "travel", row * 0.01, "pass", 2000.0, "Hz", "common practice", "a sentence"])


def saved(book: openpyxl.Workbook) -> bytes:
    buffer = BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def load_and_save(data: bytes) -> bytes:
    book = openpyxl.load_workbook(BytesIO(data))
    fill(book.create_sheet())
    return saved(book)


def best_ms(work: Callable[[], object]) -> float:
    times = []
    for _ in range(5):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return 1000 * min(times)


def stored_values(data: bytes) -> int:
    sheet = openpyxl.load_workbook(BytesIO(data), data_only=True)["Low drivers"]
    return sum(row[COLUMNS - 1] is not None for row in sheet.iter_rows(values_only=True))


def equal_parts(before: bytes, after: bytes) -> str:
    with zipfile.ZipFile(BytesIO(before)) as old, zipfile.ZipFile(BytesIO(after)) as new:
        names = set(new.namelist())
        same = sum(name in names and new.read(name) == old.read(name) for name in old.namelist())
        return f"{same} of {len(old.namelist())}"


def main() -> None:
    data, additions = original(), saved(results())
    library = best_ms(lambda: load_and_save(data))
    rows = [
        ("load and save with the library", library, load_and_save(data)),
        ("build the sheet and graft it", best_ms(lambda: graft(data, saved(results()))), graft(data, additions)),
        ("graft alone", best_ms(lambda: graft(data, additions)), graft(data, additions)),
    ]
    print(f"{'':34}{'ms':>8}{'ratio':>8}{'stored values':>16}{'equal parts':>14}")
    for name, milliseconds, result in rows:
        kept = f"{stored_values(result)} of {ROWS}"
        ratio = milliseconds / library
        print(f"{name:34}{milliseconds:8.0f}{ratio:8.2f}{kept:>16}{equal_parts(data, result):>14}")
    inspecting = best_ms(lambda: inspect_package(data))
    print(f"{'of that, inspection of the package':34}{inspecting:8.0f}{inspecting / library:8.2f}")


if __name__ == "__main__":
    main()
