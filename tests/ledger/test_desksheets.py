"""The desk's sheets, read back with the library they were not read with before: figures, formats, print, graft."""

from __future__ import annotations

import datetime as dt
import zipfile
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from io import BytesIO
from math import log2
from typing import Any

import numpy as np
import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from reportgen.advice.comparison import Comparison, Figure, compare
from reportgen.advice.edges import WORDS
from reportgen.advice.screening import Matrix
from reportgen.assessment import Assessment
from reportgen.ledger import desksheets
from reportgen.ledger.desksheets import SERIES, comparison_sheet, next_number, screening_sheets
from reportgen.ledger.layout import NONE, SIGNS
from reportgen.ledger.stamp import RunStamp
from reportgen.suitability.verdict import UsableRange
from tests.advice.demo_answers import demo_screened
from tests.demo_catalogue import demo, demo_assessed
from tests.every import every
from tests.ledger.conftest import CHANGEABLE, written_by_xlsxwriter
from tests.ledger.grafting import graft
from tests.shared import shared

STAMP = RunStamp(
    4, dt.datetime(2026, 11, 25, 14, 3), "0.1.0", "0123456789abcdef" + "0" * 48, "demo season.xlsx", "operator"
)


@shared
def screening() -> bytes:
    return screening_sheets(demo_screened(), demo(), STAMP, "the use of P-01", ["Cabinet: CB-01"]).bytes()


@cache
def assessed() -> tuple[Assessment, ...]:
    return tuple(demo_assessed(id_) for id_ in ("P-01", "P-03", "P-10"))


@shared
def comparison() -> bytes:
    return comparison_sheet(compare(assessed()), assessed(), STAMP, demo().maker).bytes()


@cache
def page(content: bytes, name: str) -> Worksheet:
    """A sheet that no test changes."""
    return openpyxl.load_workbook(BytesIO(content))[name]


def row_of(sheet: Worksheet, text: str, column: int = 1) -> int:
    return next(cell.row for (cell,) in sheet.iter_rows(min_col=column, max_col=column) if cell.value == text)


# --- numbers of tabs ------------------------------------------------------------------------------------------------


@every(
    ("names", "number"),
    [
        ((), 1),
        (("Screening 001 matrix", "Screening 001 ranked"), 2),
        (("screening 9 matrix", "Screening of mine", "Run 044 summary", "Comparison 070"), 10),
        (("Screening 003 matrix copy",), 1),
    ],
)
def test_the_next_screening_is_counted_on_from_the_tabs(names: tuple[str, ...], number: int) -> None:
    assert next_number(names, "Screening") == number


# --- matrix ---------------------------------------------------------------------------------------------------------


def test_the_matrix_holds_figures_with_their_sign_in_the_format() -> None:
    sheet = page(screening(), "Screening 004 matrix")
    top = row_of(sheet, "Low driver")
    heads = [cell.value.partition(" ")[0] for cell in sheet[top][3 : 3 + len(demo().high_drivers)]]
    assert heads == list(demo().high_drivers)
    pairs = {(one.low_id, one.high_id): one for one in demo_screened().candidates}
    signs = {"suitable": "✓", "suitable with conditions": "!", "undecided": "?", "not suitable": "✗"}
    for row in sheet.iter_rows(min_row=top + 1, max_row=top + len(demo().low_drivers)):
        good = [one for (low, _), one in pairs.items() if low == row[0].value and one.word.startswith("suitable")]
        assert row[2].value == len(good), "what would do, with conditions or without"
        for high, cell in zip(heads, row[3:], strict=False):
            one = pairs[row[0].value, high]
            assert one.low_hz and one.high_hz
            assert cell.value == pytest.approx(log2(one.high_hz / one.low_hz), abs=1e-4)
            assert cell.number_format.startswith(f'"{signs[one.word]} "0.00')


def test_what_is_in_the_way_is_counted_below_the_matrix() -> None:
    sheet = page(screening(), "Screening 004 matrix")
    top = row_of(sheet, "In the way")
    assert top > row_of(sheet, "Low driver") + len(demo().low_drivers)
    told = [(what.value, count.value) for count, what in sheet.iter_rows(min_row=top + 1, max_col=2)]
    assert told == list(demo_screened().obstacles) != []


def test_the_matrix_tells_verdicts_without_colour() -> None:
    """Weight, slant, pattern and shade: no two verdicts look alike in grey."""
    sheet = page(screening(), "Screening 004 matrix")
    looks: dict[str, set[tuple[bool, bool, str]]] = {}
    for row in sheet.iter_rows(min_row=row_of(sheet, "Low driver") + 1, min_col=4):
        for cell in row:
            if isinstance(cell.value, float):
                look = (bool(cell.font.bold), bool(cell.font.italic), cell.fill.patternType)
                looks.setdefault(cell.number_format[1], set()).add(look)
    assert looks["✓"] == looks["!"] == {(True, False, "solid")}
    assert looks["?"] == {(False, True, "gray125")}
    assert looks["✗"] == {(False, False, "lightUp")}


def luminance(rgb: str) -> float:
    """Relative luminance of an RRGGBB colour as a grey print renders it (weights: ITU-R BT.709)."""
    parts = (int(rgb[at : at + 2], 16) for at in (0, 2, 4))
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), parts, strict=True))


@every("sign", ["✓", "!"])
def test_a_wider_range_is_darker_in_grey(sign: str) -> None:
    sheet = page(screening(), "Screening 004 matrix")
    cells = [
        (cell.value, luminance(cell.fill.fgColor.rgb[-6:]))
        for row in sheet.iter_rows(min_row=row_of(sheet, "Low driver") + 1, min_col=4)
        for cell in row
        if isinstance(cell.value, float) and cell.number_format[1] == sign
    ]
    steps = ((-9.0, 0.25), (0.25, 0.5), (0.5, 1.0), (1.0, 9.0))
    shades = [found for low, high in steps if (found := {grey for width, grey in cells if low <= width < high})]
    assert len(shades) >= 3 and all(len(found) == 1 for found in shades)
    greys = [found.pop() for found in shades]
    assert greys == sorted(greys, reverse=True) and greys[0] - greys[-1] > 40


@pytest.mark.parametrize(
    ("content", "name", "frozen", "top", "title", "table", "marked", "emboldened"),
    [
        (screening, "Screening 004 matrix", "B", 8, "Screening 004 matrix", None, None, None),
        (screening, "Screening 004 ranked", "D", 7, "Screening 004 ranked", "Screening004Ranked", "H8:H205", "K8:K205"),
        (comparison, "Comparison 004", "B", 4, "Comparison 004: P-01, P-03, P-10", "Comparison004Ranges", "C5:C7", None),
    ],
)  # fmt: skip
def test_sheets_are_frozen_and_set_up_for_the_print(
    content: Callable[[], bytes], name: str, frozen: str, top: int, title: str, table: str, marked: str, emboldened: str
) -> None:
    """11 x 18 pairs are ranked below seven rows; three pairings are compared. A comparison has two tables: no row of it stands still."""
    sheet, what = page(content(), name), name.partition(" ")[0]
    assert sheet.freeze_panes == f"{frozen}{1 if what == 'Comparison' else top + 1}"
    assert (sheet["A1"].value, sheet.cell(top - 1, 1).value, sheet.print_title_rows) == (title, None, f"${top}:${top}")
    line = f"{what} 004, 2026-11-25 14:03, by operator  ·  reportgen 0.1.0  ·  workbook demo season.xlsx, SHA-256 0123456789abcdef"
    assert sheet["A2"].value == sheet.oddFooter.left.text == line
    assert (sheet.page_setup.orientation, sheet.page_setup.paperSize, sheet.page_setup.fitToWidth) == (
        "landscape",
        9,
        1,
    )
    assert sheet.sheet_properties.pageSetUpPr.fitToPage and sheet.sheet_properties.tabColor.rgb == "006B5B2E"
    assert next(iter(sheet.tables), None) == table
    areas = {rule.formula[0][:4]: str(one.sqref) for one in sheet.conditional_formatting for rule in one.rules}
    assert (areas.get("LEFT"), areas.get("AND(")) == (marked, emboldened)


# --- ranked ---------------------------------------------------------------------------------------------------------


def test_the_ranked_list_has_every_pair_in_order_and_filters() -> None:
    sheet = page(screening(), "Screening 004 ranked")
    (table,) = sheet.tables.values()
    assert table.autoFilter is not None and table.autoFilter.ref == table.ref
    top = row_of(sheet, "Rank")
    rows = list(sheet.iter_rows(min_row=top + 1, values_only=True))
    assert [row[0] for row in rows] == list(range(1, len(demo_screened().candidates) + 1))
    for row, one in zip(rows, demo_screened().candidates, strict=True):
        assert (row[1], row[2], row[6]) == (one.low_id, one.high_id, one.slope)
        assert row[7].endswith(one.word)
        assert row[8] == pytest.approx(one.low_hz) and row[9] == pytest.approx(one.high_hz)
        assert row[16] == (one.takes or None)


# --- comparison -----------------------------------------------------------------------------------------------------


def test_a_comparison_holds_ranges_figures_and_a_chart() -> None:
    sheet = page(comparison(), "Comparison 004")
    found = {row[0].value: row for row in sheet.iter_rows(min_row=row_of(sheet, "Pairing") + 1)}
    for one in assessed():
        row = found[one.id]
        assert row[3].value == pytest.approx(one.found_range.low_hz)
        assert row[4].value == pytest.approx(one.found_range.high_hz)
        assert row[6].value == pytest.approx(one.crossover_hz)
    heads = [cell.value for cell in sheet[row_of(sheet, "Figure")][3:6]]
    assert heads == ["P-01", "P-03", "P-10"]
    assert [cell.value for cell in found["High driver"][2:6]] == ["yes", "HD-01", "HD-03", "HD-11"]
    assert found["Price of one"][3].number_format == "#,##0.00"
    assert len(sheet._charts) == 1


def test_no_cell_of_the_desk_holds_a_formula() -> None:
    for content in (screening(), comparison()):
        for sheet in openpyxl.load_workbook(BytesIO(content)).worksheets:
            assert all(cell.data_type != "f" for row in sheet.iter_rows() for cell in row)


def test_grafted_sheets_leave_everything_else_alone() -> None:
    original = written_by_xlsxwriter()
    grown = graft(graft(original, screening()), comparison())
    before, after = (zipfile.ZipFile(BytesIO(data)) for data in (original, grown))
    for name in set(before.namelist()) - CHANGEABLE:
        assert after.read(name) == before.read(name)
    names = openpyxl.load_workbook(BytesIO(grown)).sheetnames
    assert names[-3:] == ["Screening 004 matrix", "Screening 004 ranked", "Comparison 004"]


# --- looks ----------------------------------------------------------------------------------------------------------


def test_only_what_the_chart_draws_from_is_hidden_beside_a_comparison() -> None:
    sheet = next(iter(openpyxl.load_workbook(BytesIO(comparison())).worksheets))
    head = {cell.value: cell.column_letter for cell in sheet[row_of(sheet, "Pairing")] if cell.value}
    hidden = {name for name, letter in head.items() if sheet.column_dimensions[letter].hidden}
    assert hidden == set(SERIES)


def test_a_comparison_by_hand() -> None:
    """Limits that cross at 2 and 3 kHz and a side that is open, and of the figures one that differs and one that does not."""
    one, other = assessed()[:2]
    bounds = one.found_range.low_binding, one.found_range.high_binding
    crossing = replace(one, found_range=UsableRange(3000.0, 2000.0, *bounds), crossover_hz=2450.0, price=128.87)
    half_open = replace(other, found_range=UsableRange(1500.0, None, bounds[0], None), crossover_hz=None, price=None)
    differing = Figure("Peak level reached", "dB", (96.25, None)), Figure("Verdict", "", ("suitable", "undecided"))
    alike = Figure("Cost", "EUR", (17.5, 17.5)), Figure("Cost", "JPY", (17500.0, 17500.0))
    compared = Comparison(("P-01", "P-03"), (1e3, 1e4), (), differing, alike, (128.87, None), "EUR")
    sheet = page(comparison_sheet(compared, [crossing, half_open], STAMP, demo().maker).bytes(), "Comparison 004")
    top, figures = row_of(sheet, "Pairing"), row_of(sheet, "Figure")
    assert [[cell.value for cell in row] for row in sheet.iter_rows(min_row=top, max_row=top + 2, max_col=15)] == [
        [
            "Pairing", "Kit", "Verdict", "Range from (Hz)", "Range to (Hz)", "Width (octave)", "Crossover (Hz)", "Bound from below by",
            "Bound from above by", "Price of one (EUR)", "First reason", "Lower edge", "Usable range", "No range: limits cross", "Crossover",
        ],
        [
            "P-01", one.case.pairing.kit, SIGNS[one.verdict.word], 3000, 2000, pytest.approx(-0.585, abs=5e-4), 2450, bounds[0].title,
            bounds[1].title, 128.87, one.verdict.reason, 2000, 0, 1000, 2450,
        ],
        [
            "P-03", other.case.pairing.kit, SIGNS[other.verdict.word], 1500, NONE, NONE, NONE, bounds[0].title,
            NONE, NONE, other.verdict.reason, None, None, None, None,
        ],
    ]  # fmt: skip
    rows = list(sheet.iter_rows(min_row=figures, max_row=figures + 4, max_col=5))
    assert [[cell.value for cell in row] for row in rows] == [
        ["Figure", "Unit", "They differ", "P-01", "P-03"],
        ["Peak level reached", "dB", "yes", 96.25, NONE],
        ["Verdict", None, "yes", "✓ suitable", "? undecided"],
        ["Cost", "EUR", "no", 17.5, 17.5],
        ["Cost", "JPY", "no", 17500, 17500],
    ]
    assert [[cell.number_format for cell in row[2:]] for row in rows[1:]] == [
        ["General", "0.0", "0.0"], ["General", "@", "@"], ["General", "#,##0.00", "#,##0.00"], ["General", "#,##0", "#,##0"]
    ]  # fmt: skip
    last = sheet.print_area.rpartition("$")[2]
    assert int(last) == figures + 4 and sheet.print_area.split("$")[3] == "K"  # without what feeds the chart


def test_the_matrix_by_hand() -> None:
    """Two low drivers listed in another order than the catalogue's, four high ones; widths at, below and beyond each step of shade."""
    highs, lows = list(demo().high_drivers)[:4], list(demo().low_drivers)[:2]
    words = np.array([[0, 1, 2, 3], [0, 0, 0, 1]], dtype=np.int8)
    octaves = np.array([[0.25, np.nan, 0.5, -0.75], [0.2499, 0.5, 1.0, 3.0]])
    matrix = Matrix((lows[1], lows[0]), (highs[3], highs[0], highs[1], highs[2]), words, octaves, octaves)
    found = replace(demo_screened(), matrix=matrix, obstacles=(("Travel meets lobing", 3), ("No horn", 1)))
    sheet = page(screening_sheets(found, demo(), STAMP, "the use of P-01", ["A line"]).bytes(), "Screening 004 matrix")
    top = row_of(sheet, "Low driver")
    assert [cell.value.partition(" ")[0] for cell in sheet[top][3:7]] == highs
    rows = [[cell.value for cell in sheet[row]][:7] for row in (top + 1, top + 2)]
    low = demo().low_drivers
    assert rows == [
        [lows[0], low[lows[0]].description, 4, 0.5, 1, 3, 0.2499], [lows[1], low[lows[1]].description, 2, "! open", 0.5, -0.75, 0.25],
    ]  # fmt: skip
    formats = [[cell.number_format for cell in sheet[row][3:7]] for row in (top + 1, top + 2)]
    signs = {"suitable": "✓", "suitable with conditions": "!", "undecided": "?", "not suitable": "✗"}
    as_written = [f'"{sign} "0.00;"{sign} −"0.00' for sign in (signs[word] for word in WORDS)]
    assert formats == [[as_written[k] for k in (0, 0, 1, 0)], [as_written[k] for k in (1, 2, 3, 0)]]
    shades = {cell.value: cell.fill.fgColor.rgb[-6:] for row in (top + 1, top + 2) for cell in sheet[row][3:7]}
    steps = desksheets._SHADES["suitable"]
    assert [shades[width] for width in (0.2499, 0.25, 1)] == [steps[0], steps[1], steps[3]]
    assert shades[3] == desksheets._SHADES["suitable with conditions"][3] == shades["! open"]
    assert [[cell.value for cell in sheet[row]][:2] for row in range(top + 4, top + 7)] == [
        ["In the way", None], [3, "Travel meets lobing"], [1, "No horn"],
    ]  # fmt: skip
    assert sheet.print_area.endswith(f"${top + 6}")
    longest = max(len(cell.value) for cell in sheet[top][3:7])
    assert sheet.row_dimensions[top].height == pytest.approx(18.0 + 5.7 * longest)  # they stand upright
    assert [cell.alignment.textRotation for cell in sheet[top][2:5]] == [0, 90, 90]
    assert sheet.print_area.split("$")[3] == "T"  # as wide as the lines above it
    assert [cell.value for cell in sheet[top]][:3] == ["Low driver", "Description", "Would do"]


def look(cell: Any) -> tuple[Any, ...]:
    """Font, ink, weight, slope, side and height of a text, and whether it takes several lines."""
    found = cell.font, cell.alignment
    return (
        found[0].name, found[0].size, found[0].color.rgb[-6:], bool(found[0].bold), bool(found[0].italic), found[1].horizontal, found[1].vertical,
        bool(found[1].wrap_text),
    )  # fmt: skip


def test_the_matrix_is_dark_letters_on_quiet_grounds() -> None:
    """Heads on grey between two lines; numbers of what would do in the middle; white lines between the cells of the pairs."""
    sheet = page(screening(), "Screening 004 matrix")
    top = row_of(sheet, "Low driver")
    first, way = top + 1, row_of(sheet, "In the way")
    assert way == first + len(demo().low_drivers) + 1
    legend = (
        "Each cell: the width of the usable range in octaves, as the best guide, slope and rear make it; below zero the limits cross.",
        "✓ suitable, ! with conditions, ? undecided, ✗ not suitable, by the limits alone. The darker, the wider.",
    )
    assert tuple(sheet.cell(row, 1).value for row in (top - 3, top - 2)) == legend
    assert [sheet.column_dimensions[letter].width for letter in "ABCDE"] == [14, 30, 10, 7.5, 7.5]
    heads = [look(sheet.cell(top, column)) for column in (1, 2, 3, 4)]
    assert heads == [
        ("Calibri", 10, "1F2933", True, False, side, "bottom", flat) for side, flat in (("left", True), ("left", True), ("center", True), ("center", False))
    ]  # fmt: skip
    head, side, pair = sheet.cell(top, 4), sheet.cell(first, 1), sheet.cell(first, 4)
    assert (head.fill.fill_type, head.fill.fgColor.rgb[-6:]) == ("solid", "E3E8ED")
    lines = [(edge.style, edge.color.rgb[-6:]) for edge in (head.border.top, head.border.bottom, side.border.bottom)]
    assert lines == [("medium", "1F2933")] * 2 + [("thin", "B8C0C8")]
    around = (pair.border.top, pair.border.bottom, pair.border.left, pair.border.right)
    assert {(edge.style, edge.color.rgb[-6:]) for edge in around} == {("thin", "FFFFFF")}
    sides = [look(sheet.cell(row, column)) for row, column in ((first, 1), (first, 2), (first, 3), (way, 1))]
    assert sides == [
        ("Calibri", 10, "1F2933", bold, False, at, "center", False)
        for bold, at in ((True, "left"), (False, "left"), (True, "center"), (True, "left"))
    ]
    assert {look(sheet.cell(way + 1, column)) for column in (1, 2)} == {
        ("Calibri", 10, "1F2933", False, False, "left", None, False)
    }
    texts = {
        cell.number_format[1]: look(cell)[:7] for row in sheet.iter_rows(min_row=first, max_row=way - 2, min_col=4) for cell in row
    }  # fmt: skip
    middle = ("center", "center")
    assert texts == {
        "✓": ("Calibri", 10, "12351B", True, False, *middle), "!": ("Calibri", 10, "4A3600", True, False, *middle),
        "?": ("Calibri", 10, "33415C", False, True, *middle), "✗": ("Calibri", 9, "8A1C1C", False, False, *middle),
    }  # fmt: skip
    assert {sheet.row_dimensions[row].height for row in range(first, way - 1)} == {20.0}


@every(("pairs", "cut"), [(3, ""), (4, " The best 3 of 4 are listed.")])
def test_a_ranked_list_says_what_it_leaves_out(pairs: int, cut: str) -> None:
    found = replace(demo_screened(), candidates=demo_screened().candidates[:3], pairs=pairs, matrix=None)
    book = openpyxl.load_workbook(BytesIO(screening_sheets(found, demo(), STAMP, "the use of P-01", []).bytes()))
    assert book.sheetnames == ["Screening 004 ranked"]
    lines = [str(cell.value) for (cell,) in book["Screening 004 ranked"].iter_rows(max_row=6, max_col=1)]
    (note,) = (line for line in lines if line.startswith("Every pair in its best use"))
    assert note.endswith(f"as the Practice sheet weighs them.{cut}")
    assert lines[1].startswith("Screening 004, 2026-11-25 14:03, by operator") and lines[2].startswith(
        f"{pairs} pairs at the use of P-01, "
    )


def test_the_chart_of_a_comparison_stands_beside_the_figures() -> None:
    """Three pairings: figures in columns D to F, the chart from H on and as wide as what is printed there: I = 15, J = 12, K = 60."""
    sheet = page(comparison(), "Comparison 004")
    (chart,) = sheet._charts
    mark = chart.anchor._from
    assert (mark.col, mark.row + 1) == (7, row_of(sheet, "Figure"))
    series = [one for part in (chart, *chart._charts[1:]) for one in part.series]
    places = [(one.tx.strRef.f.partition("!")[2], one.val.numRef.f.partition("!")[2]) for one in series]
    assert places == [(f"{letter}4", f"${letter}$5:${letter}$7") for letter in "LMNO"]  # headings in row 4
    assert [sheet[f"{letter}4"].value for letter in "LMNO"] == [*SERIES]
    assert chart.title.tx.rich.p[0].r[0].t == "Usable range and crossover"
    across = 0.19 * (15 + 15 + 12 + 60)  # H too
    assert chart.anchor.ext.width / 360_000 == pytest.approx(across, abs=0.01)  # EMU in a centimetre


@every(
    ("unit", "form"),
    [
        ("Hz", "0"),
        ("dB", "0.0"),
        ("ohm", "0.0"),
        ("mm", "0"),
        ("%", "0"),
        ("octave", "0.00"),
        ("", "0"),
        ("EUR", "#,##0.00"),
    ],
)
def test_a_figure_has_the_decimals_of_its_unit(unit: str, form: str) -> None:
    sheet = openpyxl.Workbook().worksheets[0]
    desksheets._format_row(sheet, 3, Figure("x", unit, (1.5, "a word", None, 2.0)))
    assert [cell.number_format for cell in sheet[3]] == ["General"] * 3 + [form, "General", form, form]
