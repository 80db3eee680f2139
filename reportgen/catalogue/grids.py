"""The operator's sheets as rows of plain values, with what a spreadsheet program hides made visible.

Knows stored values, formulas never calculated, error values, merged and hidden cells, and where a sheet ends.
Refuses to know what a column means.
"""

from __future__ import annotations

import datetime as dt
import io
import math
import re
import warnings
import zipfile
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, partial
from typing import Any

from openpyxl import load_workbook
from openpyxl.utils import get_column_letter, range_boundaries
from openpyxl.utils.datetime import from_ISO8601

from reportgen.catalogue.package import Package

MOST_BLANK_ROWS = 1000
"""So many empty rows in a row end a sheet; what stands below them is named in a notice."""
MOST_ROWS_ABOVE = 20
"""So many rows of a title, of a logo or of remarks may stand above the headings."""


UNREADABLE = "a value that cannot be read"
"""What is told of a cell that refers to a string that is not there, or whose date is none."""


@dataclass(frozen=True, slots=True)
class ErrorValue:
    """A formula's error, such as #REF!, or `UNREADABLE`."""

    text: str


@dataclass(frozen=True, slots=True)
class Uncalculated:
    """A formula without a stored value."""


@dataclass(frozen=True, slots=True)
class Percentage:
    """A number that the cell's format shows as a percentage: 0.05 reads 5 %."""

    value: float


class Priced(float):
    """A number that the cell's format shows with the `sign` of a currency: what spreadsheet programs make of $48."""

    sign = ""


@dataclass(frozen=True, slots=True)
class Covered:
    """A cell under a merged one; `hidden` is what it stored, unseen."""

    top_left: str
    hidden: object = None


Value = (
    str | int | float | bool | dt.datetime | dt.date | dt.time | dt.timedelta
    | ErrorValue | Uncalculated | Percentage | Covered | None
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Grid:
    """One sheet: the headings, then (row number, values) of every row below them that is not blank.

    `heading_row` is 1 unless other text stands above the headings. `unread_from` is the first row not looked at, 0 when all were; `hidden_rows` holds hidden rows with data.
    """

    name: str
    headings: tuple[Value, ...]
    rows: tuple[tuple[int, tuple[Value, ...]], ...]
    hidden_rows: tuple[int, ...] = ()
    unread_from: int = 0
    last_row: int = 0
    heading_row: int = 1


@dataclass(frozen=True, slots=True)
class _Layout:
    """What the part of a sheet says beside its values."""

    has_formulas: bool
    last_row: int
    hidden_rows: frozenset[int] = frozenset()
    merged: tuple[str, ...] = ()


_STORED = re.compile(
    rb"(<(?:\w+:)?c\b)([^<>]*)(>(?:<(?:\w+:)?f\b[^<>]*(?:/>|>[^<]*</(?:\w+:)?f>))?<(?:\w+:)?v\b[^<>]*>)([^<]+)(</(?:\w+:)?v>)"
)
"""A cell: its beginning, attributes, all up to the stored value, the value, and its end."""
_KIND = re.compile(rb"\s+t=[\"'](\w+)[\"']")
_STRING = re.compile(rb"<(?:\w+:)?si\b")
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s>/]")
_HIDDEN = re.compile(rb"<(?:\w+:)?row\b([^>]*\bhidden=[\"'](?:1|true)[\"'][^>]*)>")
_ROW_NUMBER = re.compile(rb"\br=[\"'](\d{1,7})[\"']")
_MERGED = re.compile(rb"<(?:\w+:)?mergeCell\b[^>]*\bref=[\"']([A-Z]{1,3}\d{1,7}:[A-Z]{1,3}\d{1,7})[\"']")
_ADDRESS = re.compile(rb"\br=[\"'][A-Z]{1,3}(\d{1,7})[\"']")


def read_grids(
    package: Package, wanted: Callable[[str], bool], holds_headings: Callable[[str, Sequence[Value]], bool]
) -> dict[str, Grid]:
    """The grids of all sheets whose name `wanted` accepts, by name; any exception of the library passes through.

    The headings are in the first row of which `holds_headings` says so, by the sheet's name and the row's values, else in row 1.
    Values are the stored ones. Formulas are looked for in a second pass, and only in sheets that have any.
    """
    layouts = {name: _layout(package.read(part)) for name, part in package.sheets() if wanted(name)}
    if not layouts:
        return {}
    bare = package.bare(wanted)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library warns of extensions that it does not keep: we only read
        try:
            return _read(bare, layouts, holds_headings)
        except (ValueError, IndexError):  # it stops at a cell whose stored value is none; that cell alone is bad
            return _read(_told_apart(bare, package), layouts, holds_headings)


def _read(
    bare: bytes, layouts: Mapping[str, _Layout], holds_headings: Callable[[str, Sequence[Value]], bool]
) -> dict[str, Grid]:
    stored = _open(bare, data_only=True)
    formulas = _open(bare, data_only=False) if any(x.has_formulas for x in layouts.values()) else None
    try:
        return {
            sheet.title: _grid(sheet, formulas, layouts[sheet.title], partial(holds_headings, sheet.title))
            for sheet in stored.worksheets
            if sheet.title in layouts
        }
    finally:
        stored.close()
        if formulas is not None:
            formulas.close()


def _told_apart(bare: bytes, package: Package) -> bytes:
    """The package with every stored value that cannot be read as text; a date that cannot, and a string that is not there, as an error value."""
    lists = (link.target for link in package.relationships(package.main_part) if link.kind == "sharedStrings")
    strings = sum(len(_STRING.findall(package.read(part))) for part in lists)
    told = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(bare)) as archive, zipfile.ZipFile(told, "w") as made:
        for part in archive.namelist():
            content = archive.read(part)
            made.writestr(
                part, _STORED.sub(partial(_told, strings=strings), content) if b"sheetData" in content else content
            )
    return told.getvalue()


def _told(cell: re.Match[bytes], strings: int) -> bytes:
    start, looks, middle, value, rest = cell.groups()
    kind = _KIND.search(looks)
    if _can_be_read(kind[1].decode() if kind else "n", value.decode(errors="replace"), strings):
        return cell[0]
    nothing = kind is not None and kind[1] in b"sd"  # the number of a string, or a date, is no text to show
    kept = _KIND.sub(b"", looks) + (b' t="e"' if nothing else b' t="str"')
    return start + kept + middle + (UNREADABLE.encode() if nothing else value) + rest


def _can_be_read(kind: str, value: str, strings: int) -> bool:
    try:
        if kind == "s":
            return 0 <= int(value) < strings
        if kind == "d":
            return from_ISO8601(value) is not None  # type: ignore[no-untyped-call] # of the library
        return kind not in ("n", "b") or math.isfinite(float(value))
    except ValueError:
        return False


def _open(bare: bytes, data_only: bool) -> Any:
    return load_workbook(io.BytesIO(bare), read_only=True, data_only=data_only, keep_links=False)


def _layout(content: bytes) -> _Layout:
    hidden = (_ROW_NUMBER.search(match.group(1)) for match in _HIDDEN.finditer(content))
    return _Layout(
        has_formulas=_FORMULA.search(content) is not None,
        last_row=_last_row(content),
        hidden_rows=frozenset(int(match.group(1)) for match in hidden if match),
        merged=tuple(match.group(1).decode("ascii") for match in _MERGED.finditer(content)),
    )


def _last_row(content: bytes) -> int:
    """Row of the last cell that holds anything: formatted but empty cells reach to the end of many sheets."""
    last = max(content.rfind(mark) for mark in (b"<v>", b"<is>", b":v>", b":is>", b"<f>", b":f>", b"<f "))
    if last < 0:
        return 0
    for opening in (b"<c ", b":c "):
        start = content.rfind(opening, 0, last + 1)
        address = _ADDRESS.search(content, start, last) if start >= 0 else None
        if address:
            return int(address.group(1))
    return 2**20


def _grid(sheet: Any, formulas: Any, layout: _Layout, holds_headings: Callable[[Sequence[Value]], bool]) -> Grid:
    twin = formulas[sheet.title] if formulas is not None and layout.has_formulas else None
    heading_row, headings = _headings(sheet, twin, holds_headings)
    while headings and headings[-1] in (None, ""):
        headings = headings[:-1]
    if not headings:
        return Grid(sheet.title, (), ())
    rows: list[tuple[int, tuple[Value, ...]]] = []
    blank_run = 0
    unread_from = 0
    for number, values in _data_rows(sheet, twin, heading_row + 1, len(headings), layout.last_row):
        if any(value is not None and value != "" for value in values):
            rows.append((number, values))
            blank_run = 0
            continue
        blank_run += 1
        if blank_run > MOST_BLANK_ROWS and number < layout.last_row < 2**20:
            unread_from = number + 1
            break
        if blank_run > MOST_BLANK_ROWS:
            break
    placed = _without_covered(rows, layout.merged, len(headings))
    hidden = tuple(number for number, _ in placed if number in layout.hidden_rows)
    last_row = layout.last_row if unread_from else 0
    return Grid(sheet.title, headings, placed, hidden, unread_from, last_row, heading_row)


def _headings(
    sheet: Any, twin: Any, holds_headings: Callable[[Sequence[Value]], bool]
) -> tuple[int, tuple[Value, ...]]:
    """The number of the row of headings, and the row."""
    first: tuple[Value, ...] = ()
    for number, values in _rows(sheet, twin, 1, 1 + MOST_ROWS_ABOVE, None):
        if holds_headings(values):
            return number, values
        first = values if number == 1 else first
    return 1, first


def _data_rows(sheet: Any, twin: Any, first: int, width: int, last_row: int) -> Iterator[tuple[int, tuple[Value, ...]]]:
    if last_row >= first:
        yield from _rows(sheet, twin, first, last_row, width)


def _rows(sheet: Any, twin: Any, first: int, last: int, width: int | None) -> Iterator[tuple[int, tuple[Value, ...]]]:
    def cells(source: Any) -> Iterable[Sequence[Any]]:
        source.reset_dimensions()  # the stated extent of a sheet is often wrong
        rows: Iterable[Sequence[Any]] = source.iter_rows(min_row=first, max_row=last, max_col=width)
        return rows

    if twin is None:
        for number, row in enumerate(cells(sheet), first):
            yield number, tuple(_value(cell) for cell in row)
        return
    for number, (row, origin) in enumerate(zip(cells(sheet), cells(twin), strict=False), first):
        yield number, tuple(_calculated(cell, source) for cell, source in zip(row, origin, strict=False))


def _value(cell: Any) -> Value:
    value: Value = cell.value
    if value is None or (value.__class__ is str and cell.data_type == "s"):
        return value
    if cell.data_type == "e":
        return ErrorValue(str(value))
    if value.__class__ in (int, float) and cell.has_style and (sign := _sign_of(cell.number_format)):
        return Percentage(float(value)) if sign == "%" else _priced(value, sign)
    return value


_SIGN = re.compile(r'\[\$([^\]-]+)|"([^"]*)"|(?<!\[)([$€£¥])')
"""What a number format shows beside digits: [$€-407], "zł", $ (ECMA-376 part 1, 18.8.31)."""


@cache
def _sign_of(number_format: str) -> str:
    """What a number format shows beside the digits, empty when that is nothing."""
    found = _SIGN.search(number_format)
    return "%" if "%" in number_format else "".join(text or "" for text in found.groups()).strip() if found else ""


def _priced(value: float, sign: str) -> Priced:
    made = Priced(value)
    made.sign = sign
    return made


def _calculated(cell: Any, source: Any) -> Value:
    if cell.value is None and source.value is not None and cell.data_type != "str":
        return Uncalculated()
    return _value(cell)


def _without_covered(
    rows: list[tuple[int, tuple[Value, ...]]], merged: Iterable[str], width: int
) -> tuple[tuple[int, tuple[Value, ...]], ...]:
    """The rows, with every cell under a merged one replaced: the value belongs to the top left alone."""
    if not rows:
        return ()
    numbers = [number for number, _ in rows]
    changed: dict[int, list[Value]] = {}
    budget = len(rows) * width  # areas cannot overlap; more than all cells is a damaged list
    for reference in merged:
        left, top, right, bottom = (int(edge or 0) for edge in range_boundaries(reference))
        right = min(right, width)
        for place in range(bisect_left(numbers, top), bisect_right(numbers, bottom)):
            number = numbers[place]
            values = changed.setdefault(number, list(rows[place][1]))
            for column in range(left, right + 1):
                budget -= 1
                if (column, number) != (left, top) and column <= len(values):
                    under = values[column - 1]
                    values[column - 1] = Covered(f"{get_column_letter(left)}{top}", under)
        if budget < 0:
            break
    return tuple((number, tuple(changed.get(number, values))) for number, values in rows)
