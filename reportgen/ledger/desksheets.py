"""The sheets of the daily desk: a catalogue screened (matrix and ranked list), and pairings compared.

Knows which figures go into which cell. Refuses to judge and rank, and to know how the sheets get into the operator's
workbook.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Final, cast

import numpy as np
from numpy.typing import NDArray
from openpyxl.cell.cell import Cell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from reportgen.advice.comparison import Comparison, Figure, Value
from reportgen.advice.edges import WORDS
from reportgen.advice.listings import DECIMALS
from reportgen.advice.screening import Candidate, Matrix, Screening
from reportgen.assessment import Assessment
from reportgen.catalogue.currencies import sheet_format
from reportgen.catalogue.records import Catalogue, Maker
from reportgen.ledger import layout, longtables
from reportgen.ledger.layout import NONE, SIGNS, Head, or_none
from reportgen.ledger.longtables import Book
from reportgen.ledger.rangechart import SERIES, range_chart
from reportgen.ledger.stamp import RunStamp
from reportgen.suitability.limits import title_of

SCREENING: Final = ("matrix", "ranked")
"""The sheets that a screening adds; a comparison adds one without a word of its own."""

_TAB_COLOUR: Final = "6B5B2E"
_CM_PER_CHARACTER: Final = 0.19
"""Width of a column by its characters, at the usual font of 11 pt (memory)."""


def next_number(sheet_names: Iterable[str], what: str) -> int:
    """The number of the next screening or comparison, from the tabs that are there.

    >>> next_number(["Pairings", "Screening 002 matrix", "Comparison 007"], "Screening")
    3
    """
    tab = re.compile(rf"\s*{re.escape(what)}\s+(\d+)(?:\s+\w+)?\s*", re.IGNORECASE)
    return 1 + max([0, *(int(match[1]) for name in sheet_names if (match := tab.fullmatch(name)))])


def _line(what: str, stamp: RunStamp) -> str:
    """Number, date, program, workbook and its fingerprint in one line."""
    return f"{what} {stamp.number:03d}, {stamp.line.partition(', ')[2]}"


# --- screening: the matrix ----------------------------------------------------------------------------------------

_LEGEND: Final = (
    "Each cell: the width of the usable range in octaves, as the best guide, slope and rear make it; below zero the limits cross.",
    "✓ suitable, ! with conditions, ? undecided, ✗ not suitable, by the limits alone. The darker, the wider.",
)
_SHADES: Final = {
    "suitable": ("E4F1E6", "C9E2CC", "A5CDAA", "7FB587"), "suitable with conditions": ("FBF4DC", "F6E6B4", "EDD384", "DFBC55"),
}  # fmt: skip
"""Fills by verdict, from a range of less than a quarter octave to one of an octave and more; a print in grey keeps the order."""
_STEPS: Final = (0.25, 0.5, 1.0)
IntArray = NDArray[np.intp]
_FONTS: Final = {
    "suitable": Font(name="Calibri", size=10, bold=True, color="12351B"),
    "suitable with conditions": Font(name="Calibri", size=10, bold=True, color="4A3600"),
    "undecided": Font(name="Calibri", size=10, italic=True, color="33415C"),
    "not suitable": Font(name="Calibri", size=9, color="8A1C1C"),
}
_PATTERNS: Final = {
    "undecided": PatternFill("gray125", fgColor="9AA5B1", bgColor="FFFFFF"),
    "not suitable": PatternFill("lightUp", fgColor="E3CFCF", bgColor="FFFFFF"),
}
_RULE: Final = Side(style="thin", color="FFFFFF")


def screening_sheets(
    found: Screening, catalogue: Catalogue, stamp: RunStamp, where: str, use_lines: Sequence[str]
) -> Book:
    """A workbook with the sheets of a screening, the matrix only where it has all pairs; `where` names the use, `use_lines` describe it. No formulas."""
    book = Book()
    words = ", ".join(f"{SIGNS[word]}: {count}" for word, count in found.words if count)
    lines = [
        _line("Screening", stamp), f"{found.pairs} pairs at {where}, {found.judged} ways to use them.   {words}", *use_lines,
    ]  # fmt: skip
    if found.matrix is not None:
        page = book.create_sheet(f"Screening {stamp.number:03d} {SCREENING[0]}")
        _write_matrix(page, found.matrix, found.obstacles, catalogue, lines)
    _write_ranked(book.create_sheet(f"Screening {stamp.number:03d} {SCREENING[1]}"), found, catalogue, lines, stamp)
    return book


def _write_matrix(
    page: Worksheet, matrix: Matrix, obstacles: Sequence[tuple[str, int]], catalogue: Catalogue, lines: Sequence[str]
) -> None:
    by_low, by_high = (
        _as_listed(ids, known)
        for ids, known in ((matrix.low_ids, catalogue.low_drivers), (matrix.high_ids, catalogue.high_drivers))
    )
    top = layout.write_title(page, page.title, [*lines, *_LEGEND])
    heads = _matrix_heads([matrix.high_ids[at] for at in by_high], catalogue)
    for column, head in enumerate(heads, 1):
        _write_head(page, top, column, head)
    _write_pairs(page, top + 1, matrix, by_low, by_high, catalogue)
    page.row_dimensions[top].height = 18.0 + 5.7 * max(len(head.text) for head in heads[3:])
    last = _write_obstacles(page, top + len(by_low) + 2, obstacles)
    layout.set_widths(page, heads)
    layout.set_up(page, top, heads, 1, lines[0], catalogue.maker.paper, _TAB_COLOUR)
    page.print_area = f"A1:{get_column_letter(max(len(heads), 20))}{last}"


def _as_listed(ids: Sequence[str], known: Iterable[str]) -> IntArray:
    """Where each of the IDs stands, in the order of the catalogue."""
    place = {id_: at for at, id_ in enumerate(known)}
    return np.argsort([place[id_] for id_ in ids])


def _write_pairs(
    page: Worksheet, first: int, matrix: Matrix, by_low: IntArray, by_high: IntArray, catalogue: Catalogue
) -> None:
    """The rows of all low drivers from row `first` on, as text: cells of the library would take ten times as long."""
    looks = [[f"{word} {step}" for step in range(len(_STEPS) + 1)] for word in WORDS]
    used = set[str]()

    def texts() -> Iterator[str]:
        for at in by_low.tolist():
            low = catalogue.low_drivers[matrix.low_ids[at]]
            words, octaves = matrix.words[at, by_high], matrix.octaves[at, by_high]
            steps = np.where(np.isnan(octaves), len(_STEPS), np.searchsorted(_STEPS, octaves, side="right"))
            cells: list[tuple[str, Any]] = [
                ("1", low.id),
                ("2", low.description),
                ("3", int(np.count_nonzero(words < 2))),
            ]
            for word, step, width in zip(words.tolist(), steps.tolist(), np.round(octaves, 4).tolist(), strict=True):
                cells.append((looks[word][step], f"{SIGNS[WORDS[word]][0]} open" if math.isnan(width) else width))
            used.update(look for look, _ in cells)
            yield longtables.row_text(cells, 20.0)

    pieces = longtables.packed(texts())
    cast(Book, page.parent).add_rows(page, first, pieces, {look: _look(page, look) for look in sorted(used)})


def _look(page: Worksheet, name: str) -> int:
    """The number of a look of the matrix in the book: of a column at the side, or of a verdict and how wide its range is."""
    cell: Any = Cell(page, row=1, column=1)  # stands on no sheet: only its style is wanted
    if name.isdigit():
        _dress_side(cell, int(name))
    else:
        word, _, step = name.rpartition(" ")
        _dress(cell, word, int(step))
    return int(cell.style_id)


def _write_obstacles(page: Worksheet, top: int, obstacles: Sequence[tuple[str, int]]) -> int:
    """What stands in the way of the pairs that do not work, below the matrix; returns the last row."""
    if not obstacles:
        return top
    head = layout.cell_at(page, top, 1)
    layout.put(head, "In the way")
    _dress_side(head, 1)
    for row, (what, count) in enumerate(obstacles, top + 1):
        for column, value in ((1, count), (2, what)):
            cell = layout.cell_at(page, row, column)
            layout.put(cell, value)
            cell.font = Font(name="Calibri", size=10, color="1F2933")
            cell.alignment = Alignment(horizontal="left")
    return top + len(obstacles)


def _matrix_heads(highs: Sequence[str], catalogue: Catalogue) -> tuple[Head, ...]:
    names = [f"{id_}  {catalogue.high_drivers[id_].technology}" for id_ in highs]
    return (
        Head("Low driver", 14, "@", strong=True), Head("Description", 30), Head("Would do", 10, "0", centred=True),
        *(Head(name, 7.5) for name in names),
    )  # fmt: skip


def _write_head(page: Worksheet, row: int, column: int, head: Head) -> None:
    cell = layout.cell_at(page, row, column)
    layout.put(cell, head.text)
    turned = column > 3
    cell.font = Font(name="Calibri", size=10, bold=True, color="1F2933")
    cell.fill = PatternFill("solid", fgColor="E3E8ED")
    side = "center" if turned or head.centred else "left"
    cell.alignment = Alignment(
        textRotation=90 if turned else 0, vertical="bottom", horizontal=side, wrap_text=not turned
    )
    cell.border = Border(top=Side(style="medium", color="1F2933"), bottom=Side(style="medium", color="1F2933"))


def _dress_side(cell: Any, column: int) -> None:
    cell.font = Font(name="Calibri", size=10, bold=column != 2, color="1F2933")
    cell.alignment = Alignment(vertical="center", horizontal="center" if column == 3 else "left")
    cell.border = Border(bottom=Side(style="thin", color="B8C0C8"))


def _dress(cell: Any, word: str, step: int) -> None:
    sign = SIGNS[word][0]
    cell.number_format = f'"{sign} "0.00;"{sign} −"0.00'
    cell.font = _FONTS[word]
    cell.fill = PatternFill("solid", fgColor=_SHADES[word][step]) if word in _SHADES else _PATTERNS[word]
    cell.alignment = Alignment(horizontal="center", vertical="center")
    cell.border = Border(top=_RULE, bottom=_RULE, left=_RULE, right=_RULE)


# --- screening: the ranked list -----------------------------------------------------------------------------------


def _ranked_heads(currency: str) -> tuple[Head, ...]:
    return (
        Head("Rank", 7, "0", centred=True), Head("Low driver", 11, "@", strong=True),
        Head("High driver", 11, "@", strong=True), Head("Kind", 19, wrap=True), Head("Guide", 9, centred=True),
        Head("Rear", 12, wrap=True), Head("Slope", 8, centred=True),
        Head("Verdict of the limits", 15, wrap=True, marked=True), Head("Range from (Hz)", 9, "0"),
        Head("Range to (Hz)", 9, "0"), Head("Width (octave)", 9, "0.00"), Head("Crossover (Hz)", 11, "0"),
        Head("Bound from below by", 18, wrap=True), Head("Bound from above by", 18, wrap=True),
        Head(f"Price of one ({currency})", 9, sheet_format(currency)), Head("On the shelf", 8, centred=True),
        Head("What it takes, or what stands in the way", 32, wrap=True),
    )  # fmt: skip


def _write_ranked(
    page: Worksheet, found: Screening, catalogue: Catalogue, lines: Sequence[str], stamp: RunStamp
) -> None:
    heads, maker = _ranked_heads(catalogue.maker.currency), catalogue.maker
    listed = found.candidates
    cut = f" The best {len(listed)} of {found.pairs} are listed." if len(listed) < found.pairs else ""
    note = f"Every pair in its best use, priced as drivers and guide of one loudspeaker: the verdict first, then width, price and shelf as the Practice sheet weighs them.{cut}"
    top = layout.write_title(page, page.title, [*lines, note])
    rows = (_ranked_row(one, catalogue) for one in listed)
    last = layout.write_table(page, top, heads, rows, f"Screening{stamp.number:03d}Ranked", long=True)
    layout.set_widths(page, heads)
    layout.embolden_negative(page, layout.area(layout.column_index(heads, "Width (octave)"), top + 1, last))
    layout.set_up(page, top, heads, 3, lines[0], maker.paper, _TAB_COLOUR)


def _ranked_row(one: Candidate, catalogue: Catalogue) -> list[Any]:
    rear = f"{one.chamber_m3 * 1e6:.0f} mL chamber" if one.chamber_m3 else one.rear_use
    figures = (one.low_hz, one.high_hz, one.octaves, one.crossover_hz)
    return [
        one.rank, one.low_id, one.high_id, catalogue.high_drivers[one.high_id].technology, one.guide_id, rear, one.slope,
        SIGNS[one.word], *map(or_none, figures),
        title_of(one.low_binding), title_of(one.high_binding), or_none(one.price),
        "yes" if one.in_stock else "no", one.takes or None,
    ]  # fmt: skip


# --- comparison ---------------------------------------------------------------------------------------------------


def comparison_sheet(compared: Comparison, found: Sequence[Assessment], stamp: RunStamp, maker: Maker) -> Book:
    """A workbook with one sheet: ranges with their chart, the figures that differ, those that do not. No formulas."""
    book = Book()
    page = book.create_sheet(f"Comparison {stamp.number:03d}")
    line = _line("Comparison", stamp)
    top = layout.write_title(page, f"{page.title}: {', '.join(compared.ids)}", [line])
    heads = _compared_heads(compared)
    rows = [_range_row(one, compared) for one in found]
    last = layout.write_table(page, top, heads, rows, f"Comparison{stamp.number:03d}Ranges")
    figures = _figure_heads(compared.ids)
    begin = last + 3
    listed = [*((one, "yes") for one in compared.differing), *((one, "no") for one in compared.alike)]
    table = [[one.name, one.unit or None, differs, *_shown(one)] for one, differs in listed]
    end = layout.write_table(page, begin, figures, table, f"Comparison{stamp.number:03d}Figures")
    for row, (one, _) in enumerate(listed, begin + 1):
        _format_row(page, row, one)
    layout.set_widths(page, heads)
    layout.set_up(page, top, heads[: -len(SERIES)], 1, line, maker.paper, _TAB_COLOUR)
    page.freeze_panes = "B1"
    page.print_area = f"A1:{get_column_letter(len(heads) - len(SERIES))}{end}"
    chart: Any = range_chart(page, top, last, len(heads) - len(SERIES) + 1)
    chart.title = "Usable range and crossover"
    beside = 5 + len(found)
    chart.width = _CM_PER_CHARACTER * sum(head.width for head in heads[beside - 1 : -len(SERIES)])
    page.add_chart(chart, f"{get_column_letter(beside)}{begin}")
    return book


def _compared_heads(compared: Comparison) -> tuple[Head, ...]:
    return (
        Head("Pairing", 24, "@", strong=True), Head("Kit", 14, wrap=True), Head("Verdict", 15, wrap=True, marked=True),
        Head("Range from (Hz)", 15, "0"), Head("Range to (Hz)", 15, "0"), Head("Width (octave)", 15, "0.00"),
        Head("Crossover (Hz)", 15, "0"), Head("Bound from below by", 15, wrap=True),
        Head("Bound from above by", 15, wrap=True), Head(f"Price of one ({compared.currency})", 12, sheet_format(compared.currency)),
        Head("First reason", 60, wrap=True), *(Head(text, 11, "0", hidden=True) for text in SERIES),
    )  # fmt: skip


def _range_row(one: Assessment, compared: Comparison) -> list[Any]:
    found = one.found_range
    low, high = found.low_hz, found.high_hz
    bounds = [limit.title if limit else NONE for limit in (found.low_binding, found.high_binding)]
    figures = map(or_none, (low, high, found.octaves, one.crossover_hz))
    edges: list[float | None] = [None, None, None]
    if low is not None and high is not None:
        edges = [min(low, high), max(high - low, 0.0), max(low - high, 0.0)]
    return [
        one.id, one.case.pairing.kit, SIGNS[one.verdict.word], *figures, *bounds,
        or_none(one.price), one.verdict.reason, *edges, one.crossover_hz,
    ]  # fmt: skip


def _figure_heads(ids: Sequence[str]) -> tuple[Head, ...]:
    widths = (15, 15, 15, 15, 15, 15, 12, 60)
    return (
        Head("Figure", 24, strong=True), Head("Unit", 14, centred=True), Head("They differ", 15, centred=True),
        *(Head(id_, width, "@", wrap=True) for id_, width in zip(ids, (*widths, *[11] * len(ids)), strict=False)),
    )  # fmt: skip


def _shown(one: Figure) -> list[Any]:
    return [_cell_value(value) for value in one.values]


def _cell_value(value: Value) -> Any:
    if value is None:
        return NONE
    return SIGNS.get(value, value) if isinstance(value, str) else value


def _format_row(page: Worksheet, row: int, one: Figure) -> None:
    """Each figure has its own decimals; a row reads from left to right, so that text and figures stand alike."""
    for column, value in enumerate(one.values, 4):
        cell = layout.cell_at(page, row, column)
        if not isinstance(value, str):
            decimals = DECIMALS.get(one.unit)
            cell.number_format = sheet_format(one.unit) if decimals is None else f"{0:.{decimals}f}"
