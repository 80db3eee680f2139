"""Tables of ours that grow: read back whatever the operator did to them, and written again with what is the operator's.

Knows what may be done to them: sort, move, hide and add columns, filter, write notes on cells and rows below the table. All
that is kept; colours and formulas of the operator's own columns are not (a formula stays as its value), nor what stands
above the table. Refuses to know what the rows mean.
"""

from __future__ import annotations

from collections.abc import Generator, Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from io import BytesIO
from itertools import chain, islice
from typing import Any, Final, cast

import openpyxl
from openpyxl.comments import Comment
from openpyxl.utils import coordinate_to_tuple
from openpyxl.worksheet.worksheet import Worksheet

from reportgen.catalogue.package import MAIN, Package, parse_xml
from reportgen.catalogue.tables import heading_key
from reportgen.ledger import layout
from reportgen.ledger.layout import Head
from reportgen.ledger.ownrows import NotOurs, own_rows
from reportgen.problems import PackageRefused

KEPT: Final = "Sort, filter, hide and add columns as you like, and write notes on cells: they are kept, colours are not. Write nothing above the table."
"""What an operator reads above such a table."""

_MOST_COLUMNS: Final = 256
_BLANK_STRETCH: Final = 500
"""So many columns, and so many blank rows, are looked through: one stray format may make a sheet a million rows long."""
_HEAD_WITHIN: Final = 40
"""The head of a table of ours stands in one of so many first rows."""


@dataclass(frozen=True)
class Theirs:
    """What of a table is the operator's: own headings, notes of each row by heading, rows below the table, hidden columns."""

    heads: Sequence[str] = ()
    notes: Sequence[Mapping[str, str]] = ()
    loose: Sequence[Mapping[str, Any]] = ()
    hidden: frozenset[str] = frozenset()


def write_grown(
    page: Worksheet,
    top: int,
    heads: Sequence[Head],
    rows: Iterable[Sequence[Any]],
    theirs: Theirs,
    name: str,
    long: bool = False,
) -> list[Head]:
    """Write a table (see `layout.write_table`) with what is the operator's; rows hold the own columns last. Returns all its heads."""
    heads = [*heads, *(Head(text, 24, wrap=True) for text in theirs.heads)]
    heads = [replace(head, hidden=head.text in theirs.hidden) for head in heads]
    noted = [number for number, notes in enumerate(theirs.notes) if notes]
    last = layout.write_table(page, top, heads, rows, name, long=long, apart=set(noted))
    layout.set_widths(page, heads)
    for number in noted:
        for column, head in enumerate(heads, 1):
            if text := theirs.notes[number].get(head.text):
                page.cell(top + 1 + number, column).comment = Comment(text, "")
    for row, values in enumerate(theirs.loose, last + 2):
        for column, head in enumerate(heads, 1):
            layout.put(layout.cell_at(page, row, column), values.get(head.text))
    return heads


@dataclass(frozen=True, slots=True)
class Found:
    """A sheet of ours: the place in the row of each heading, the rows that hold something, notes by row and place."""

    name: str
    headings: Mapping[int, str]
    rows: Sequence[tuple[int, tuple[Any, ...]]]
    remarks: Mapping[tuple[int, int], str]
    hidden: frozenset[int]

    def values(self, row: tuple[Any, ...]) -> dict[str, Any]:
        """What stands in a row, by heading."""
        return {
            text: row[place] for place, text in self.headings.items() if place < len(row) and row[place] is not None
        }

    def notes(self, number: int) -> dict[str, str]:
        """The notes on the cells of a row, by heading."""
        return {
            text: self.remarks[number, place]
            for place, text in self.headings.items()
            if (number, place) in self.remarks
        }

    @property
    def hidden_headings(self) -> frozenset[str]:
        """The headings of hidden columns."""
        return frozenset(text for place, text in self.headings.items() if place in self.hidden)


def standing(
    package: Package, names: Sequence[str], headings: Sequence[str], ours: Sequence[Head]
) -> tuple[str, Found | None]:
    """The sheet of ours under one of these names, else the first name that is free; empty where each is another's.

    It is ours where `headings` stand in one row; `ours` are all that we write. Errors: PackageRefused.
    """
    there = {name.casefold(): (name, part) for name, part in package.sheets()}
    taken = [name for name in names if name.casefold() in there]
    for name in taken:
        try:
            found = _read(package, *there[name.casefold()], headings, ours)
        except PackageRefused:
            raise
        except Exception as error:  # the library raises whatever its parts raise when a sheet is damaged
            text = f"The sheet {name} cannot be read ({type(error).__name__}: {str(error)[:200]}). "
            raise PackageRefused(f"{text}Open the workbook in a spreadsheet program and save it anew.") from error
        if found is not None:
            return name, found
    return next((name for name in names if name not in taken), ""), None


def _read(package: Package, name: str, part: str, headings: Sequence[str], ours: Sequence[Head]) -> Found | None:
    """The sheet, read row by row; None when it is none of ours."""
    try:
        read = _table(own_rows(package, part), headings)
    except NotOurs:
        read = _table(_rows_by_library(package, name), headings)
    if read is None:
        return None
    head, rows = read
    return Found(name, _headings(head, rows, ours), rows, _remarks(package, part), _hidden(package, part))


def _rows_by_library(package: Package, name: str) -> Iterator[tuple[Any, ...]]:
    """The values of a sheet row by row, whoever wrote it; a row ends with its last cell."""
    small = package.bare(lambda title: title == name)  # the workbook may be large, and the library would read all of it
    book = openpyxl.load_workbook(BytesIO(small), read_only=True, data_only=True, keep_links=False)
    sheet = book.worksheets[0]
    sheet.reset_dimensions()  # the stated extent of a sheet is often wrong
    try:
        yield from sheet.iter_rows(values_only=True)
    finally:
        book.close()


def _table(
    values: Iterator[tuple[Any, ...]], headings: Sequence[str]
) -> tuple[tuple[Any, ...], list[tuple[int, tuple[Any, ...]]]] | None:
    """The head of a table and its rows that hold something, with their numbers; None without such a head. A long blank stretch ends it."""
    wanted = {heading_key(text) for text in headings}
    with closing(cast(Generator[tuple[Any, ...], None, None], values)):
        lines = ((number, row[:_MOST_COLUMNS]) for number, row in enumerate(values, 1))
        head = next((line for line in islice(lines, _HEAD_WITHIN) if wanted <= _keys(line[1])), None)
        if head is None:
            return None
        rows = list[tuple[int, tuple[Any, ...]]]()
        last = head[0]
        for number, row in lines:
            if any(value is not None for value in row):
                rows.append((number, row))
                last = number
            elif number - last > _BLANK_STRETCH:
                break
    return head[1], rows


def _keys(row: tuple[Any, ...]) -> set[str]:
    return {heading_key(value) for value in row if isinstance(value, str)}


def _remarks(package: Package, part: str) -> dict[tuple[int, int], str]:
    """The notes on cells, by row and place in it (ECMA-376 part 1, 18.7)."""
    found = dict[tuple[int, int], str]()
    for link in package.relationships(part):
        for comment in package.xml(link.target).iter(f"{MAIN}comment") if link.kind == "comments" else ():
            row, column = coordinate_to_tuple(comment.get("ref", "A1"))
            found[row, column - 1] = "".join(text.text or "" for text in comment.iter(f"{MAIN}t"))
    return found


def _hidden(package: Package, part: str) -> frozenset[int]:
    """The places of hidden columns; the format keeps one element for a span of alike ones."""
    columns = parse_xml(package.without_rows(part), part).iterfind(f"{MAIN}cols/{MAIN}col")
    spans = (
        range(int(one.get("min", "1")) - 1, min(int(one.get("max", "1")), _MOST_COLUMNS))
        for one in columns
        if one.get("hidden", "0") not in ("0", "false", "off")
    )
    return frozenset(chain.from_iterable(spans))


def _headings(
    head: tuple[Any, ...], rows: Sequence[tuple[int, tuple[Any, ...]]], ours: Sequence[Head]
) -> dict[int, str]:
    """Place in the row -> heading; columns that hold something without a heading are taken for notes."""
    found: dict[int, str] = {}
    known = {heading_key(column.text): column.text for column in ours}
    for place in range(max([len(head), *(len(row) for _, row in rows)])):
        value = head[place] if place < len(head) else None
        if value is None and not any(place < len(row) and row[place] is not None for _, row in rows):
            continue
        text = "Notes" if value is None else str(value).strip()
        text = known.get(heading_key(text), text)
        taken = {name.casefold() for name in found.values()}
        names = (text if number == 1 else f"{text} {number}" for number in range(1, _MOST_COLUMNS + 2))
        found[place] = next(name for name in names if name.casefold() not in taken)
    return found
