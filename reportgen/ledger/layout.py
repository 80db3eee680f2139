"""How a result sheet looks: title lines, one table with a frozen head, formats, marks that survive a black-and-white print.

Knows fonts, widths, tables and the print set-up. Refuses to know what the figures mean. No text of anybody's becomes a
formula: what begins with = + - @ stays text.
"""

from __future__ import annotations

import math
import re
from collections.abc import Container, Iterable, Iterator, Sequence
from copy import copy
from dataclasses import dataclass
from functools import cache
from itertools import chain, groupby
from typing import Any, Final, cast

from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE, Cell
from openpyxl.formatting.rule import Rule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.styles.cell_style import StyleArray
from openpyxl.styles.differential import DifferentialStyle
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.filters import AutoFilter
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.table import Table, TableColumn, TableStyleInfo
from openpyxl.worksheet.worksheet import Worksheet

from reportgen.ledger import longtables
from reportgen.ledger.longtables import Book

NONE: Final = "–"
"""Stands where there is no figure."""

SIGNS: Final = {
    "pass": "✓ pass", "marginal": "! marginal", "fail": "✗ fail",
    "suitable": "✓ suitable", "suitable with conditions": "! suitable with conditions",
    "undecided": "? undecided", "not suitable": "✗ not suitable", "not assessed": "? not assessed",
}  # fmt: skip
"""Outcomes and verdicts with the sign that shows them without colour, the best first; what was not assessed is counted last."""

PAPER_CODES: Final = {"Letter": 1, "A4": 9}
_FONT, _INK, _FAINT, _RULE, _HEAD = "Calibri", "1F2933", "5F6B76", "B8C0C8", "E3E8ED"
_THIN, _MEDIUM = Side(style="thin", color=_RULE), Side(style="medium", color=_INK)
_MOST_CHARACTERS = 32_000  # a cell holds 32 767 (ECMA-376 part 1, 18.18.5 and common limit of the programs)
_MOST_LINES = 30  # a row is at most 409 pt high (ECMA-376 part 1, 18.3.1.73: limit of the programs, memory)
_PAGE_WIDTH = 215.0  # character widths on a landscape page at the smallest size that still reads (practice, no source)

_MARKS: Final = (
    ("✗", Font(bold=True, color="8A1C1C"), PatternFill(bgColor="F3CFCF", fill_type="solid")),
    ("!", Font(bold=True, color="6B4E00"), PatternFill(bgColor="FBEFC8", fill_type="solid")),
    ("?", Font(italic=True, color="33415C"), PatternFill(bgColor="E4E8F2", fill_type="solid")),
    ("✓", Font(color="1D5B2E"), None),
)


AS_LONG_AS_IT_IS: Final = "General;-General"
"""A number with as many decimals as it has: one spreadsheet program shows `0.#` of 4 as `4.`."""


@dataclass(frozen=True, slots=True)
class Head:
    """One column of a table: heading, width in characters, number format, and how its cells behave."""

    text: str
    width: float
    format: str = "General"
    wrap: bool = False
    centred: bool = False
    strong: bool = False
    marked: bool = False
    hidden: bool = False

    @property
    def is_text(self) -> bool:
        """True for a column of words."""
        return self.format in ("General", "@")


@dataclass(frozen=True, slots=True)
class Shown:
    """A value with what its cell needs beside it: a number format of its own, a link out or within the workbook."""

    value: Any
    format: str = ""
    link: str = ""
    inside: str = ""


def or_none(value: float | str | None) -> float | str:
    """The value, or what stands where there is none."""
    return NONE if value is None else value


def cell_at(page: Worksheet, row: int, column: int) -> Cell:
    """A cell of the page; none of ours is merged."""
    return cast(Cell, page.cell(row, column))


def put(cell: Cell, value: Any) -> None:
    """Write a value; text stays text, whatever it begins with or looks like."""
    if isinstance(value, str):
        cell.value = _storable(value)
        cell.data_type = "s"
        if _needs_quote(value):
            cell.quotePrefix = True
    else:
        cell.value = value


def _storable(text: str) -> str:
    text = ILLEGAL_CHARACTERS_RE.sub("�", text)
    return text if len(text) <= _MOST_CHARACTERS else text[: _MOST_CHARACTERS - 1] + "…"


def _needs_quote(text: str) -> bool:
    return text[:1] in ("=", "+", "-", "@", "#")


# --- looks of cells in rows of text ---------------------------------------------------------------------------------

_LOOK: Final = re.compile(r"(\d+)(n?)(q?)(l?) (.*)", re.DOTALL)
"""A look by name: column from 0, nothing stands there, quoted, linked, number format of its own."""
_MARKS_OF_LOOKS: Final = ("", "n", "q")


def row_as_text(heads: Sequence[Head], values: Sequence[Any], used: set[str] | None = None) -> str:
    """A row for `longtables`, with its height; the names of its looks are added to `used`."""
    cells = list[tuple[str, Any]]()
    for column, (head, value) in enumerate(zip(heads, values, strict=True)):
        plain, own, linked = value, "", ""
        if isinstance(value, Shown):
            plain, own, linked = value.value, value.format, "l" if value.link or value.inside else ""
        mark = ""
        if isinstance(plain, str):
            mark = "q" if _needs_quote(plain) else "" if head.is_text else "n"  # a word where figures stand
            plain = _storable(plain)
        cells.append((f"{column}{mark}{linked} {own}", plain))
    if used is not None:
        used.update([look for look, _ in cells])
    return longtables.row_text(cells, _height(heads, values))


@cache
def possible_looks(heads: tuple[Head, ...], formats: tuple[str, ...] = ()) -> frozenset[str]:
    """The names of all looks that cells without links of such a table may have, in the formats of the columns or in `formats`."""
    return frozenset(
        f"{column}{mark} {own}" for column in range(len(heads)) for mark in _MARKS_OF_LOOKS for own in ("", *formats)
    )


@cache
def pattern_of_looks(heads: tuple[Head, ...], formats: tuple[str, ...] = ()) -> str:
    """A regular expression of the same names."""
    columns, own = "|".join(map(str, range(len(heads)))), "|".join(map(re.escape, formats))
    return f"(?:{columns})(?:{'|'.join(_MARKS_OF_LOOKS)}) (?:{own})?"


def _styles(page: Worksheet, heads: Sequence[Head], looks: Iterable[str]) -> dict[str, int]:
    """The number of each look in the book of the page."""
    found, known = dict[str, int](), dict[Any, int]()
    for name in looks:
        match = _LOOK.fullmatch(name)
        assert match is not None  # made above, or looked at when it was read
        column, nothing, quoted, linked, own = match.groups()
        look = _look(heads[int(column)], own, bool(linked), bool(nothing))
        if (look, quoted) not in known:
            cell: Any = Cell(page, row=1, column=1)  # stands on no sheet: only its style is wanted
            _dress(cell, look)
            if quoted:
                cell.quotePrefix = True
            known[look, quoted] = cell.style_id
        found[name] = known[look, quoted]
    return found


def write_title(page: Worksheet, title: str, lines: Sequence[str]) -> int:
    """Write title and lines from row 1 on; return the row in which the table may begin."""
    put(cell_at(page, 1, 1), title)
    page.cell(1, 1).font = Font(name=_FONT, size=16, bold=True, color=_INK)
    page.row_dimensions[1].height = 26
    for row, line in enumerate(lines, 2):
        put(cell_at(page, row, 1), line)
        page.cell(row, 1).font = Font(name=_FONT, size=10, color=_FAINT)
    return len(lines) + 3


def write_table(
    page: Worksheet,
    top: int,
    heads: Sequence[Head],
    rows: Iterable[Sequence[Any]],
    name: str,
    long: bool = False,
    apart: Container[int] = (),
) -> int:
    """Write a table with its head in row `top` as a table of the spreadsheet program; return its last row.

    `name` is the table's and must be one word. A table without rows gets an empty one, as the format demands. A `long`
    one, of a `longtables.Book`, is written as text, a sixth of the time; of its rows only those `apart`, counted from 0, have
    cells.
    """
    number = top
    for celled, stretch in groupby(enumerate(rows, top + 1), lambda one: not long or one[0] - top - 1 in apart):
        write = _write_rows if celled else _write_long
        number = write(page, heads, stretch)
    return _write_head(page, top, heads, name, number - top)


def write_packed_table(
    page: Worksheet,
    top: int,
    heads: tuple[Head, ...],
    pieces: Iterable[bytes],
    count: int,
    name: str,
    formats: tuple[str, ...] = (),
) -> int:
    """The same from `count` rows that `row_as_text` made and `longtables` packed, which may have `formats` of their own."""
    looks = sorted(possible_looks(heads, formats))
    cast(Book, page.parent).add_rows(page, top + 1, pieces, _styles(page, heads, looks))
    return _write_head(page, top, heads, name, count)


def _write_head(page: Worksheet, top: int, heads: Sequence[Head], name: str, count: int) -> int:
    """Head, table and marks of so many rows; returns the last one."""
    known = dict[str, StyleArray]()
    for column, head in enumerate(heads, 1):
        cell: Any = cell_at(page, top, column)
        put(cell, head.text)
        side = "center" if head.centred else "left" if head.is_text else "right"
        if side in known:
            cell._style = copy(known[side])
        else:
            _dress_head(cell, side)
            known[side] = copy(cell._style)
    last = top + max(1, count)
    table = Table(displayName=name, ref=f"A{top}:{get_column_letter(len(heads))}{last}")
    names = [TableColumn(id=number, name=head.text) for number, head in enumerate(heads, 1)]
    table.tableColumns, table.autoFilter = names, AutoFilter(ref=table.ref)  # else the library makes cells to look
    table.tableStyleInfo = TableStyleInfo(name="TableStyleLight1", showRowStripes=False)
    page.add_table(table)
    page.row_dimensions[top].height = 13.0 * max(_lines(head.text, head.width - 2.0) for head in heads) + 8.0
    for column, head in enumerate(heads, 1):
        if head.marked:
            mark(page, area(column, top + 1, last))
    return last


_Rows = Iterator[tuple[int, Sequence[Any]]]
"""Rows of values with their numbers on the sheet, one below the other."""


def _write_long(page: Worksheet, heads: Sequence[Head], rows: _Rows) -> int:
    book, used = cast(Book, page.parent), set[str]()
    (first, values), last = next(rows), 0

    def texts() -> Iterator[str]:
        nonlocal last
        for last, row in chain([(first, values)], rows):
            for column, value in enumerate(row, 1):
                if isinstance(value, Shown) and (value.link or value.inside):
                    book.add_link(page, f"{get_column_letter(column)}{last}", value.link, value.inside)
            yield row_as_text(heads, row, used)

    pieces = longtables.packed(texts())
    book.add_rows(page, first, pieces, _styles(page, heads, sorted(used)))
    return last


def _write_rows(page: Worksheet, heads: Sequence[Head], rows: _Rows) -> int:
    known: dict[Any, StyleArray] = {}  # dressing cell by cell takes the library ten times as long
    number = 0
    for number, values in rows:
        for column, (head, value) in enumerate(zip(heads, values, strict=True), 1):
            _write_cell(cell_at(page, number, column), head, value, known)
        page.row_dimensions[number].height = _height(heads, values)
    return number


def _lines(text: str, room: float) -> int:
    """How many lines a text takes where `room` characters fit on one.

    >>> _lines("Lowest impedance (ohm)", 9), _lines("one\\ntwo", 9), _lines("", 9)
    (3, 2, 1)
    """
    if len(text) <= room and "\n" not in text:
        return 1
    lines = 0
    for paragraph in text.split("\n"):
        lines, used = lines + 1, 0.0
        for word in paragraph.split():
            if used and used + 1 + len(word) > room:
                lines, used = lines + 1, 0.0
            lines += int(max(len(word) - 1, 0) // room)
            used += len(word) + (1 if used else 0)
    return lines


def _height(heads: Sequence[Head], values: Sequence[Any]) -> float:
    """Height (pt) that a row needs. Programs do not agree on whether they see to it themselves."""
    most = 1
    for head, value in zip(heads, values, strict=True):
        text = value.value if isinstance(value, Shown) else value
        if head.wrap and isinstance(text, str):
            most = max(most, _lines(text, head.width * (1.0 if head.marked or head.strong else 1.15) - 2.0))
    return 13.0 * min(most, _MOST_LINES) + 3.0


def column_index(heads: Sequence[Head], text: str) -> int:
    """Number of the column with this heading, from 1; ValueError when there is none."""
    return [head.text for head in heads].index(text) + 1


def area(column: int, first_row: int, last_row: int) -> str:
    """A part of one column as the programs write it.

    >>> area(8, 6, 27)
    'H6:H27'
    """
    letter = get_column_letter(column)
    return f"{letter}{first_row}:{letter}{last_row}"


def set_widths(page: Worksheet, heads: Iterable[Head]) -> None:
    """Give the columns their widths and hide those that are only for charts."""
    for column, head in enumerate(heads, 1):
        dimension = page.column_dimensions[get_column_letter(column)]
        dimension.width, dimension.hidden = head.width, head.hidden


def _dress_head(cell: Cell, side: str) -> None:
    cell.font = Font(name=_FONT, size=10, bold=True, color=_INK)
    cell.fill = PatternFill("solid", fgColor=_HEAD)
    cell.alignment = Alignment(wrap_text=True, vertical="top", horizontal=side, indent=1 if side == "left" else 0)
    cell.border = Border(top=_MEDIUM, bottom=_MEDIUM, right=_THIN)


def _write_cell(cell: Any, head: Head, value: Any, known: dict[Any, StyleArray]) -> None:
    shown = value if isinstance(value, Shown) else Shown(value)
    right = isinstance(shown.value, str) and not head.is_text
    look = _look(head, shown.format, bool(shown.link or shown.inside), right)
    if look in known:
        cell._style = copy(known[look])
    else:
        _dress(cell, look)
        known[look] = copy(cell._style)
    put(cell, shown.value)
    if shown.link:
        cell.hyperlink = shown.link
    elif shown.inside:
        cell.hyperlink = Hyperlink(ref=cell.coordinate, location=shown.inside)


_Look = tuple[str, str | None, bool, bool, bool]
"""What many cells look like: number format, side, whether they are wrapped, strong and linked."""


def _look(head: Head, number_format: str, linked: bool, right: bool) -> _Look:
    side = "center" if head.centred else "left" if head.is_text else "right" if right else None
    return number_format or head.format, side, head.wrap, head.strong, linked


def _dress(cell: Cell, look: _Look) -> None:
    cell.number_format, side, wrap, strong, linked = look
    cell.border = Border(bottom=_THIN)
    cell.alignment = Alignment(wrap_text=wrap, vertical="top", horizontal=side, indent=1 if side == "left" else 0)
    cell.font = Font(name=_FONT, size=10, bold=strong, color=_INK, underline="single" if linked else None)


def mark(page: Worksheet, cells: str) -> None:
    """Let the cells of an area show their outcome by weight and shade; the sign and the word stand in the text."""
    first = cells.partition(":")[0]
    for sign, font, fill in _MARKS:
        _dress_where(page, cells, f'LEFT({first},1)="{sign}"', font, fill)


def embolden_negative(page: Worksheet, cells: str) -> None:
    """Let figures below zero stand out."""
    first = cells.partition(":")[0]
    _dress_where(page, cells, f"AND(ISNUMBER({first}),{first}<0)", Font(bold=True, color="8A1C1C"), None)


def _dress_where(page: Worksheet, cells: str, formula: str, font: Font, fill: PatternFill | None) -> None:
    style = DifferentialStyle(font=font, fill=fill)
    page.conditional_formatting.add(cells, Rule(type="expression", dxf=style, formula=[formula]))


def set_up(
    page: Worksheet, head_row: int, heads: Sequence[Head], still: int, footer: str, paper: str, tab: str
) -> None:
    """Freeze the head and the first `still` columns, and prepare the print: landscape, fitted, heads repeated."""
    page.freeze_panes = f"{get_column_letter(still + 1)}{head_row + 1}"
    page.sheet_properties.tabColor = tab
    page.sheet_view.showGridLines = False
    page.print_title_rows = f"{head_row}:{head_row}"
    width = sum(head.width for head in heads if not head.hidden)
    pages = max(1, math.ceil(width / _PAGE_WIDTH))
    if pages > 1:
        page.print_title_cols = f"A:{get_column_letter(still)}"
    page.page_setup.orientation = "landscape"
    page.page_setup.paperSize = PAPER_CODES.get(paper, PAPER_CODES["A4"])
    page.page_setup.fitToWidth, page.page_setup.fitToHeight = pages, 0
    page.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    page.page_margins.left = page.page_margins.right = 0.4
    page.page_margins.top = page.page_margins.bottom = 0.7
    page.page_margins.header = page.page_margins.footer = 0.3
    if page.oddHeader is not None and page.oddFooter is not None:
        page.oddHeader.left.text = "&B&A"
        page.oddHeader.right.text = "&F"
        page.oddFooter.left.text = footer.replace("&", "&&")
        page.oddFooter.right.text = "&P / &N"
