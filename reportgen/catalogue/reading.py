"""From a workbook's file to the catalogue: every record that can be used, and everything that is wrong.

Knows the order of the steps and which sheet is which. Refuses to know single cells and any acoustics.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, cast

from reportgen.catalogue import cells, shipped
from reportgen.catalogue.columns import MAKER, PRACTICE, SHEETS, TECHNOLOGIES, Sheet
from reportgen.catalogue.currencies import is_another, without_currency
from reportgen.catalogue.files import folder_of
from reportgen.catalogue.grids import Grid, Priced, Value, read_grids
from reportgen.catalogue.overrides import Override, overridden
from reportgen.catalogue.package import Package
from reportgen.catalogue.plainfiles import read_file
from reportgen.catalogue.records import Catalogue, Maker, Origin
from reportgen.catalogue.relations import relate
from reportgen.catalogue.tables import ONLY_ROW, Table, heading_key, heading_parts, holds_headings, read_table
from reportgen.problems import PackageRefused, Problem, WorkbookUnusable, once_a_column


def read_catalogue(path: Path | str, wishes: Sequence[Override] = ()) -> Catalogue:
    """Read the whole workbook at `path`.

    Rows that cannot be used are left out, and every reason is in `problems`, each with its cell; pairings
    among them, and those that name one, are in `unreadable`. `wishes` are cells that are to read otherwise. The fingerprint is the SHA-256 of the file's
    bytes. WorkbookUnusable when nothing can be done: no readable package, or a required sheet is missing.
    """
    path = Path(path)
    data = _bytes(path)
    grids, problems = _grids(path, data)
    grids = overridden(grids, wishes) if wishes else grids
    tables = {MAKER.name: read_table(MAKER, grids[MAKER.name])} if MAKER.name in grids else {}
    currency = _maker(tables).currency
    for sheet in SHEETS:
        if sheet.name in grids:
            tables.setdefault(sheet.name, read_table(sheet, _in_plain_numbers(grids[sheet.name], currency)))
    tables |= {sheet.name: Table(sheet) for sheet in SHEETS if sheet.name not in grids}
    added = shipped.add_technologies(tables[TECHNOLOGIES.name])
    curves = relate(tables, folder_of(path))
    practice = shipped.practice_of(tables[PRACTICE.name])
    shipped.notice_technologies(tables, added)
    shipped.notice_worth(tables, practice, currency)
    maker = _maker(tables)
    records: Mapping[str, Any] = {
        heading.replace(" ", "_").lower(): tables[heading].records for heading in (sheet.name for sheet in SHEETS[:8])
    }
    return Catalogue(
        path=str(path),
        fingerprint=hashlib.sha256(data).hexdigest(),
        **records,
        maker=maker,
        practice=practice,
        curves=curves,
        problems=(*problems, *(problem for sheet in SHEETS for problem in once_a_column(tables[sheet.name].problems))),
        unreadable={key: tuple(errors) for key, errors in tables["Pairings"].spoiled.items()},
    )


def _unusable(path: Path, expected: str, mend: str = "") -> WorkbookUnusable:
    return WorkbookUnusable([Problem(path.name or str(path), "", "", "", expected, mend)])


def unreadable(path: Path, error: OSError | ValueError) -> WorkbookUnusable:
    """Why the file of a workbook could not be opened, in the words of every command."""
    if isinstance(error, FileNotFoundError):
        folder = "this folder" if path.parent == Path() else str(path.parent)
        return _unusable(path, f"there is no such file in {folder}", "Check the name.")
    reason = getattr(error, "strerror", None) or str(error)
    mend = "Name a file in it." if isinstance(error, IsADirectoryError) else "Check the name and its permissions."
    return _unusable(path, f"the file cannot be read ({reason})", mend)


def _bytes(path: Path) -> bytes:
    try:
        return read_file(path)
    except (OSError, ValueError) as error:
        raise unreadable(path, error) from None


def _grids(path: Path, data: bytes) -> tuple[dict[str, Grid], list[Problem]]:
    """The grids by the name of their description; WorkbookUnusable when a required one is missing."""
    try:
        package = Package(data)
        package.check_contents()
        titles = [title for title, _ in package.sheets()]
        chosen, problems = _choose_sheets(titles)
        found = read_grids(package, lambda name: name in chosen, lambda name, row: holds_headings(chosen[name], row))
    except PackageRefused as error:
        what, _, mend = str(error).partition(". ")
        raise _unusable(path, what[:1].lower() + what[1:].rstrip("."), mend) from error
    except Exception as error:  # the library raises whatever its parts raise when a sheet is damaged
        text = f"the workbook is damaged ({type(error).__name__}: {str(error)[:200]})"
        raise _unusable(path, text, "Open it in a spreadsheet program and save it anew.") from error
    grids = {chosen[title].name: grid for title, grid in found.items()}
    missing = [sheet for sheet in SHEETS if sheet.required and sheet.name not in grids]
    if missing:
        others = [title for title in titles if title not in chosen]
        raise WorkbookUnusable(_missing_sheet(path, others, sheet) for sheet in missing)
    return grids, problems


def _maker(tables: Mapping[str, Table]) -> Maker:
    table = tables.get(MAKER.name)
    found = cast(Maker | None, table.records.get(ONLY_ROW)) if table else None
    return found or Maker(id=ONLY_ROW, origin=Origin(MAKER.name, 0))


def _in_plain_numbers(grid: Grid, currency: str) -> Grid:
    """The grid with prices that were typed with the maker's own currency as the numbers that they are, and in words those that are shown in another."""
    money = {n for n, text in enumerate(grid.headings) if isinstance(text, str) and heading_parts(text)[0] in _MONEY}
    if not any(isinstance(values[n], str | Priced) for _, values in grid.rows for n in money if n < len(values)):
        return grid
    rows = []
    for number, values in grid.rows:
        plain = (_plain(one, currency) if n in money else one for n, one in enumerate(values))
        rows.append((number, tuple(plain)))
    return replace(grid, rows=tuple(rows))


def _plain(typed: Value, currency: str) -> Value:
    if isinstance(typed, Priced) and is_another(typed.sign, currency):
        return f"{typed.sign} {float(typed):.12g}"
    if not isinstance(typed, str):
        return typed
    try:
        price, more = cells.number_typed(without_currency(typed, currency))
    except ValueError:
        return typed
    return typed if more else price


_MONEY = ("price", "budget")
_OF_A_RUN = re.compile(r"Run \d{3,} \w+")
"""A sheet of results, which is no misspelt one."""


def _choose_sheets(titles: Sequence[str]) -> tuple[dict[str, Sheet], list[Problem]]:
    """Which sheet of the workbook is which, by name without regard to case and spacing."""
    by_key = {heading_key(sheet.name): sheet for sheet in SHEETS}
    chosen: dict[str, Sheet] = {}
    problems = []
    taken: dict[str, str] = {}
    for title in titles:
        key = heading_key(title)
        sheet = by_key.pop(key, None)
        if sheet is not None:
            chosen[title], taken[key] = sheet, title
        elif key in taken:
            mend = "Bring all rows together on one of them and rename the other."
            problems.append(
                Problem(title, "", "", "", f"it is not read: “{taken[key]}” is a sheet of the same name", mend)
            )
    others = [
        title
        for title in titles
        if title not in chosen and heading_key(title) not in taken and not _OF_A_RUN.fullmatch(title)
    ]
    for title in others:
        first = taken.get(heading_key(title).rstrip("0123456789"))
        if first is not None:
            expected = f"it is not read: its rows count only on “{first}”"
            problems.append(Problem(title, "", "", "a numbered sheet", expected, "", notice=True))
            continue
        near = cells.nearest([sheet.name for sheet in by_key.values() if not sheet.required], title)
        if near:
            problems.append(Problem(title, "", "", "no such sheet is known", "it is not read", near, notice=True))
    return chosen, problems


def _missing_sheet(path: Path, others: Sequence[str], sheet: Sheet) -> Problem:
    """A required sheet that is not there; `others` are the sheets that are none of ours."""
    mend = (
        cells.nearest(others, sheet.name) or f"Add it, or rename the one that stands for it: one row is {sheet.row_is}."
    )
    return Problem(path.name, "", "", "", f"there is no sheet “{sheet.name}”, which is required", mend)
