"""The steps of one pairing beside what anybody would use for each, in one table: python -m tests.benchmarks.bench_side_by_side.

Processor seconds of this process and the ones it started, median of several rounds, all in turn so that other work on the
machine disturbs all alike. Beside: WeasyPrint alone on the same HTML; LibreOffice making a PDF of a workbook of as many
pages; openpyxl loading and saving the workbook that is read, and that is grafted into.
"""

from __future__ import annotations

import io
import os
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
from weasyprint import CSS, HTML

from reportgen.assessment import assess, outline
from reportgen.catalogue.reading import read_catalogue
from reportgen.commands.piecework import assess_with_remedies
from reportgen.ledger.history import SHEETS, read_history
from reportgen.ledger.sheets import packed_rows, result_sheets
from reportgen.paper.composing import sheet_page
from reportgen.paper.render import PDF_OPTIONS, press, render_sheet, templates_folder
from tests.demo_catalogue import demo
from tests.endtoend.seasons import varied, write_season
from tests.ledger.grafting import graft
from tests.ledger.runs import stamp
from tests.paper.samples import STAMP

ROUNDS = 5
PAIRINGS = 200
"""Pairings of the workbook that is read and grafted into."""


def cost(work: Callable[[], object]) -> float:
    """Processor seconds of one go, with those of processes it waits for."""
    before = os.times()
    work()
    after = os.times()
    return sum(after[:4]) - sum(before[:4])


def one_page_workbook(folder: Path) -> Path:
    """What a sheet would be in a spreadsheet program: its checks as rows."""
    book = openpyxl.Workbook()
    page = book.worksheets[0]
    for check in assess(demo().case(demo().pairings["P-06"])).checks:
        page.append([check.title, check.outcome, check.value, check.limit, check.unit, check.text])
    book.save(folder / "page.xlsx")
    return folder / "page.xlsx"


def load_and_save(workbook: Path) -> None:
    """The library's own way to add to a workbook."""
    book = openpyxl.load_workbook(workbook)
    book.create_sheet("Run 001 summary").append(["P-0001", "suitable"])
    book.save(io.BytesIO())


def steps(folder: Path) -> dict[str, Callable[[], object]]:
    """Name -> one go of each step; a name that begins with a dash stands beside the one before it."""
    case = demo().case(demo().pairings["P-06"])
    found = assess(case)
    html = press().html(sheet_page(found, STAMP))
    styles = [CSS(string=(templates_folder() / name).read_text()) for name in ("style.css", "paper-A4.css")]
    page = one_page_workbook(folder)
    office = ["soffice", f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to", "pdf", "--outdir", str(folder), str(page)]  # fmt: skip
    workbook = write_season(folder / "season.xlsx", varied(PAIRINGS))
    content = workbook.read_bytes()
    remembered = read_history(content)

    def sheets() -> bytes:
        return result_sheets([(outline(found), packed_rows(found))], [], stamp(1), {}, remembered)

    return {
        "assess one pairing (suitable)": lambda: assess(case),
        "assess one, search its remedies (P-02)": lambda: assess_with_remedies(demo(), demo().pairings["P-02"]),
        "print one sheet": lambda: render_sheet(found, STAMP),
        "- WeasyPrint alone, same HTML": lambda: HTML(string=html).write_pdf(stylesheets=styles, **PDF_OPTIONS),
        "- LibreOffice, a workbook of one page to PDF": lambda: subprocess.run(office, capture_output=True, check=True),
        f"read a workbook of {PAIRINGS} pairings": lambda: read_catalogue(workbook),
        "- openpyxl loads it": lambda: openpyxl.load_workbook(workbook),
        "reportgen --help": lambda: subprocess.run(
            [sys.executable, "-m", "reportgen", "--help"], capture_output=True, check=True
        ),
        "- the interpreter alone": lambda: subprocess.run([sys.executable, "-c", "pass"], check=True),
        "make a run's sheets and graft them": lambda: graft(content, sheets(), replace=SHEETS),
        "- openpyxl loads, adds one sheet, saves": lambda: load_and_save(workbook),
    }


def main() -> None:
    """Print the table, ready to be pasted."""
    with tempfile.TemporaryDirectory() as name:
        todo = steps(Path(name))
        taken: dict[str, list[float]] = {what: [] for what in todo}
        for _ in range(ROUNDS + 1):  # the first warms up
            for what, work in todo.items():
                taken[what].append(cost(work))
    print("| step | processor time, ms | ours takes |\n| --- | ---: | ---: |")
    ours = 0.0
    for what, seconds in taken.items():
        median = statistics.median(seconds[1:])
        ours = ours if what.startswith("-") else median
        ratio = f"{ours / median:.2f} of it" if what.startswith("-") else ""
        print(f"| {what} | {1e3 * median:.0f} | {ratio} |")


if __name__ == "__main__":
    main()
