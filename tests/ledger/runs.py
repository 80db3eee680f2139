"""Runs over the demo season, assessed once: what the tests of result sheets and of History start from."""

from __future__ import annotations

import datetime as dt
import hashlib
import io
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache
from typing import Any

import openpyxl

from reportgen.assessment import Assessment, Outline, assess, outline
from reportgen.ledger import history, sheets
from reportgen.ledger.oldruns import old_result_sheets
from reportgen.problems import Unassessed
from tests.demo_catalogue import demo_assessed, demo_case
from tests.ledger.conftest import written_by_xlsxwriter
from tests.ledger.grafting import graft
from tests.shared import shared


@shared
def workbook() -> bytes:
    """A workbook of the operator's; what stands in it plays no part here, the season is read from a real one."""
    book = openpyxl.Workbook()
    book.worksheets[0].title = "Pairings"
    book.create_sheet("Low drivers").append(["ID *", "Fs (Hz) *"])
    return saved(book)


CHOSEN = ("P-01", "P-02", "P-03", "P-04", "P-06", "P-08", "P-12", "P-15", "P-16", "P-18")
"""Pairings of all kinds: measured curves, chamber, guide, missing data, stocked parts only, a column."""


@cache
def season() -> tuple[Assessment, ...]:
    """The chosen pairings of the demo season, assessed."""
    return tuple(demo_assessed(name) for name in CHOSEN)


def changed(pairing_id: str, **parts: Mapping[str, Any]) -> Assessment:
    """A pairing assessed with some fields of its records changed: `changed("P-01", low={"peak_travel_m": 0.006})`."""
    return assess(demo_case(pairing_id, **{part: dict(fields) for part, fields in parts.items()}))


def revised(*assessments: Assessment) -> tuple[Assessment, ...]:
    """The season with some pairings replaced."""
    new = {one.id: one for one in assessments}
    return tuple(new.get(one.id, one) for one in season())


def stamp(number: int, version: str = "1.2.3") -> sheets.RunStamp:
    """The stamp of a run on a day of its own."""
    started = dt.datetime(2027, 3, 1, 14, 20) + dt.timedelta(days=number)
    return sheets.RunStamp(number, started, version, hashlib.sha256(b"x").hexdigest(), "season.xlsx", "M. Quill")


def after_run(
    content: bytes,
    assessments: Iterable[Assessment],
    unassessed: Iterable[Unassessed] = (),
    links: Mapping[str, str] | None = None,
    version: str = "1.2.3",
    days_later: int = 0,
) -> bytes:
    """The workbook after a run, as the command makes it."""
    before = history.read_history(content)
    made = stamp(before.next_run, version)
    made = replace(made, started=made.started + dt.timedelta(days=days_later))
    additions = sheets.result_sheets(results(*assessments), tuple(unassessed), made, links or {}, before)
    return graft(content, additions, replace=history.SHEETS)


def results(*assessments: Assessment) -> list[tuple[Outline, sheets.Rows]]:
    """The assessments as the result sheets take them."""
    return [(outline(one), sheets.packed_rows(one)) for one in assessments]


@shared
def first_run() -> bytes:
    """The demo season after its first run."""
    return after_run(workbook(), season(), links={one.id: f"out/season/{one.id}.pdf" for one in season()})


def opened(content: bytes) -> openpyxl.Workbook:
    """The workbook as the library sees it."""
    return openpyxl.load_workbook(io.BytesIO(content))


def saved(book: openpyxl.Workbook) -> bytes:
    """The workbook as the library saves it."""
    buffer = io.BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def table(page: Any) -> tuple[int, dict[str, int], list[dict[str, Any]]]:
    """Row of the head, columns by heading, and the rows of the first table of a sheet, by heading."""
    ref = next(iter(page.tables.values())).ref
    cells = page[ref]
    columns = {cell.value: cell.column for cell in cells[0]}
    rows = [dict(zip(columns, (cell.value for cell in row), strict=True)) for row in cells[1:]]
    return cells[0][0].row, columns, rows


def three_runs(content: bytes) -> bytes:
    """The workbook after three runs over two pairings."""
    for _ in range(3):
        content = after_run(content, season()[:2])
    return content


@shared
def rich() -> bytes:
    """A workbook with everything that libraries lose, after three runs."""
    return three_runs(written_by_xlsxwriter())


def folded(content: bytes, keep: int = 1, pairings: int = 2) -> tuple[bytes, set[str], str]:
    """After the next run with `--keep`: the package, the sheets that went, what is said of others.

    Two pairings are those of the runs before: History has nothing new and stays as it stands.
    """
    before = history.read_history(content)
    made = stamp(before.next_run)
    old = old_result_sheets(content, keep, made.number)
    additions = sheets.result_sheets(results(*season()[:pairings]), (), made, {}, before)
    result = graft(content, additions, history.SHEETS, old.gone)
    return result, set(old.gone), " ".join(old.notices)
