"""Cells that are to read otherwise, for a question: `HD-07: Price = 48`, `Practice: break-up attenuation = 18`.

Knows how such a wish is written and which cell of which sheet it means. Refuses to write into any workbook: the rows change
in memory alone, and the reader judges the new values as it does any.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from reportgen.catalogue import cells
from reportgen.catalogue.columns import MAKER, PRACTICE, SHEETS, Column, Sheet
from reportgen.catalogue.grids import Grid, Value
from reportgen.catalogue.tables import heading_key, heading_parts
from reportgen.catalogue.trade import PRACTICE_ROWS
from reportgen.problems import ReportgenError

FORM = "Write “ID: column = value”, or “Practice: name = value”, such as “HD-07: Price = 48”."
OF_IDS = tuple(sheet for sheet in SHEETS if sheet not in (MAKER, PRACTICE))


@dataclass(frozen=True, slots=True)
class Override:
    """A wish: whose cell, which column (or rule), and what it is to hold."""

    owner: str
    name: str
    value: str

    @property
    def text(self) -> str:
        """The wish as it was written."""
        return f"{self.owner}: {self.name} = {self.value}"


def parsed(text: str) -> Override:
    """One wish; ReportgenError says how to write it.

    >>> parsed("HD-07: Price = 48")
    Override(owner='HD-07', name='Price', value='48')
    """
    left, equals, value = text.partition("=")
    owner, colon, name = left.rpartition(":")
    if not (equals and colon and owner.strip() and name.strip()):
        raise ReportgenError(f"“{text}” cannot be understood. {FORM}")
    return Override(owner.strip(), name.strip(), value.strip())


def overridden(grids: Mapping[str, Grid], wishes: Sequence[Override]) -> dict[str, Grid]:
    """The sheets with every wish in its cell. ReportgenError for an owner or a column that is not there, with what is near, and for two wishes of one cell."""
    changed, earlier = dict(grids), dict[tuple[str, str, str], Override]()
    for wish in wishes:
        sheet, key, column = _meant(wish, changed)
        first = earlier.setdefault((sheet.name, cells.id_key(key), column.field), wish)
        if first is not wish:
            raise ReportgenError(f"“{wish.text}”: “{first.text}” changes the same cell. Write one of them.")
        changed[sheet.name] = _with_cell(changed.get(sheet.name) or _empty(sheet), sheet, key, column, wish.value)
    return changed


def _empty(sheet: Sheet) -> Grid:
    return Grid(sheet.name, tuple(column.heading for column in sheet.columns), ())


def _meant(wish: Override, grids: Mapping[str, Grid]) -> tuple[Sheet, str, Column]:
    """The sheet, the ID of its row ("" for the maker's), and the column."""
    if heading_key(wish.owner) == heading_key(PRACTICE.name):
        return PRACTICE, _rule(wish, grids.get(PRACTICE.name)), PRACTICE.column("value")
    if heading_key(wish.owner) == heading_key(MAKER.name):
        return MAKER, "", _column(MAKER, wish)
    sheet_name, mark, id_ = wish.owner.rpartition("!")
    found = [
        sheet
        for sheet in OF_IDS
        if sheet.name in grids and (not mark or heading_key(sheet_name) == heading_key(sheet.name))
        and _row(grids[sheet.name], sheet, id_) is not None
    ]  # fmt: skip
    if not found:
        known = [name for sheet in OF_IDS if sheet.name in grids for name in _ids(grids[sheet.name], sheet)]
        raise ReportgenError(f"“{wish.text}”: no row has the ID {wish.owner}. {cells.nearest(known, id_) or FORM}")
    if len(found) > 1:
        raise ReportgenError(
            f"“{wish.text}”: {id_} stands in {' and '.join(sheet.name for sheet in found)}. Write “{found[0].name}!{id_}: ...”."
        )
    return found[0], id_, _column(found[0], wish)


def _rule(wish: Override, grid: Grid | None) -> str:
    """The name of a rule, as shipped or of the workbook."""
    rules = dict.fromkeys([*(row[0] for row in PRACTICE_ROWS), *(_ids(grid, PRACTICE) if grid else ())])
    if cells.id_key(wish.name) not in map(cells.id_key, rules):
        like = [rule for rule in rules if wish.name.strip().casefold() in rule.casefold()]
        near = f"There are: {', '.join(like)}." if like else cells.nearest(list(rules), wish.name)
        near = near or "The sheet Practice lists them."
        raise ReportgenError(f"“{wish.text}”: Practice has no rule {wish.name}. {near}")
    return wish.name


def _column(sheet: Sheet, wish: Override) -> Column:
    name, _ = heading_parts(wish.name)
    column = next((one for one in sheet.columns if heading_key(one.name) == name), None)
    if column is None:
        near = cells.nearest([one.name for one in sheet.columns], wish.name)
        raise ReportgenError(f"“{wish.text}”: {sheet.name} has no column {wish.name}. {near}".rstrip())
    return column


def _place(grid: Grid, column: Column) -> int | None:
    """The number of a column in the grid, from 0."""
    for index, content in enumerate(grid.headings):
        if isinstance(content, str) and heading_parts(content)[0] == heading_key(column.name):
            return index
    return None


def _ids(grid: Grid, sheet: Sheet) -> list[str]:
    place = _place(grid, sheet.column("id"))
    return [
        str(values[place])
        for _, values in grid.rows
        if place is not None and place < len(values) and values[place] is not None
    ]


def _row(grid: Grid, sheet: Sheet, id_: str) -> int | None:
    """Which of the rows has the ID; the first one where the sheet has no IDs."""
    if sheet is MAKER:
        return 0 if grid.rows else None
    place = _place(grid, sheet.column("id"))
    for index, (_, values) in enumerate(grid.rows):
        if place is not None and place < len(values) and cells.id_key(str(values[place])) == cells.id_key(id_):
            return index
    return None


def _with_cell(grid: Grid, sheet: Sheet, id_: str, column: Column, text: str) -> Grid:
    place, headings = _place(grid, column), grid.headings
    if place is None:
        place, headings = len(headings), (*headings, column.heading)
    row, rows = _row(grid, sheet, id_), list(grid.rows)
    if row is None:  # a rule that stands as shipped, or the maker's first row
        own = _place(grid, sheet.column("id")) if sheet is not MAKER else None
        filled: tuple[Value, ...] = _put((), own, id_) if own is not None else ()
        for field, said in zip(("unit", "source"), _shipped(id_), strict=False):
            if own is not None and (at := _place(grid, sheet.column(field))) is not None:
                filled = _put(filled, at, said)
        rows.append((max([1, *(number for number, _ in rows)]) + 1, filled))
        row = len(rows) - 1
    number, values = rows[row]
    rows[row] = (number, _put(values, place, text or None))
    return replace(grid, headings=headings, rows=tuple(rows))


def _shipped(rule: str) -> tuple[str, ...]:
    """Unit and source of a shipped rule; empty for no rule."""
    return next((row[2:4] for row in PRACTICE_ROWS if cells.id_key(row[0]) == cells.id_key(rule)), ())


def _put(values: tuple[Value, ...], place: int, value: Value) -> tuple[Value, ...]:
    filled = [*values, *[None] * (place + 1 - len(values))]
    filled[place] = value
    return tuple(filled)
