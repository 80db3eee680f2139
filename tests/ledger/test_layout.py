"""How a result sheet looks, read back from the file: every figure of the looks as it is promised, lengths by hand."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from typing import Any

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from reportgen.ledger import layout, longtables
from reportgen.ledger.layout import NONE, Head, Shown
from reportgen.ledger.longtables import Book
from tests.every import every

HEADS = (
    Head("Pairing", 12.0, strong=True),
    Head("Crossover (Hz)", 11.0, format="0"),
    Head("Verdict", 14.0, centred=True, marked=True),
    Head("Why", 30.0, wrap=True),
    Head("For the chart", 9.0, format="0.0", hidden=True),
)
ROWS = (
    (Shown("P-01", link="P-01.pdf"), 2450.4, "✓ suitable", "All well.", 1.5),
    (Shown("P-02", inside="'Run 001 checks'!A9"), NONE, "✗ not suitable", "one two three four five six seven eight nine", 2.5),
    ("P-03", Shown(3000, "0.00"), "! marginal", "=not a formula", NONE),
)  # fmt: skip


@pytest.fixture(scope="module")
def page() -> Worksheet:
    """A sheet with title, table and print set-up, written and read back."""
    book = openpyxl.Workbook()
    made = book.worksheets[0]
    made.title = "Run 001 summary"
    top = layout.write_title(made, "Run 1", ["A season", "of three"])
    last = layout.write_table(made, top, HEADS, ROWS, "summary_1")
    layout.set_widths(made, HEADS)
    layout.set_up(made, top, HEADS, 1, "Quill & Co", "Letter", "335577")
    assert (top, last) == (5, 8)  # title, two lines, an empty row; a head and three rows
    return reopened(book)


def reopened(book: openpyxl.Workbook) -> Worksheet:
    content = io.BytesIO()
    book.save(content)
    return openpyxl.load_workbook(io.BytesIO(content.getvalue())).worksheets[0]


def font(cell: Any) -> tuple[str, float, bool, str]:
    return cell.font.name, cell.font.size, cell.font.bold, cell.font.color.rgb[-6:]


# --- title and head --------------------------------------------------------------------------------------------------


def test_the_title_is_large_and_its_lines_are_faint(page: Worksheet) -> None:
    assert [page.cell(row, 1).value for row in range(1, 5)] == ["Run 1", "A season", "of three", None]
    assert font(page["A1"]) == ("Calibri", 16, True, "1F2933")
    assert font(page["A2"]) == font(page["A3"]) == ("Calibri", 10, False, "5F6B76")
    assert page.row_dimensions[1].height == 26


def test_a_title_without_lines_leaves_one_row_free() -> None:
    assert layout.write_title(openpyxl.Workbook().worksheets[0], "Alone", []) == 3


def test_the_head_is_bold_on_grey_between_two_lines(page: Worksheet) -> None:
    for column, head in enumerate(HEADS, 1):
        cell = page.cell(5, column)
        assert cell.value == head.text and font(cell) == ("Calibri", 10, True, "1F2933")
        assert cell.fill.fill_type == "solid" and cell.fill.fgColor.rgb[-6:] == "E3E8ED"
        assert (cell.border.top.style, cell.border.bottom.style, cell.border.right.style) == (
            "medium",
            "medium",
            "thin",
        )
        assert cell.alignment.wrap_text and cell.alignment.vertical == "top"
    sides = [page.cell(5, column).alignment.horizontal for column in range(1, 6)]
    assert sides == ["left", "right", "center", "left", "right"]
    assert [page.cell(5, column).alignment.indent for column in range(1, 6)] == [1, 0, 0, 1, 0]
    # "Crossover (Hz)" and "For the chart" take two lines of 9 and 7 characters: 2 x 13 + 8 pt
    assert page.row_dimensions[5].height == 34.0


def test_the_table_is_one_of_the_spreadsheet_program(page: Worksheet) -> None:
    (table,) = page.tables.values()
    assert (table.displayName, table.ref, table.autoFilter.ref) == ("summary_1", "A5:E8", "A5:E8")
    assert (table.tableStyleInfo.name, table.tableStyleInfo.showRowStripes) == ("TableStyleLight1", False)
    assert [column.name for column in table.tableColumns] == [head.text for head in HEADS]


# --- cells -----------------------------------------------------------------------------------------------------------


def test_words_stand_left_figures_by_themselves_and_a_gap_among_them_right(page: Worksheet) -> None:
    sides = [[page.cell(row, column).alignment.horizontal for column in range(1, 6)] for row in (6, 7, 8)]
    assert sides == [
        ["left", None, "center", "left", None],
        ["left", "right", "center", "left", None],
        ["left", None, "center", "left", "right"],
    ]
    assert [page.cell(6, column).alignment.indent for column in range(1, 6)] == [1, 0, 0, 1, 0]
    assert [bool(page.cell(6, column).alignment.wrap_text) for column in range(1, 6)] == [
        False,
        False,
        False,
        True,
        False,
    ]
    assert all(page.cell(row, column).alignment.vertical == "top" for row in (6, 7, 8) for column in range(1, 6))


def test_ids_are_words_though_they_may_look_like_figures() -> None:
    """ "@" is the format of text (ECMA-376-1, 18.8.30: number 49)."""
    assert [Head("x", 9.0, format=code).is_text for code in ("General", "@", "0", "0.0")] == [True, True, False, False]


def test_a_word_where_figures_stand_is_right_of_what_is_said_before_it() -> None:
    row, used = ("P-04", "none", "✗ not suitable", "No usable range.", 0.0), set[str]()
    book = openpyxl.Workbook()
    layout.write_table(book.worksheets[0], 1, HEADS, [row], "t")
    assert reopened(book).cell(2, 2).alignment.horizontal == "right"
    layout.row_as_text(HEADS, row, used)  # and so where a long table is written row by row
    layout.row_as_text(HEADS, ("P-05", NONE, "! marginal", "All well.", 0.0), dash := set[str]())
    assert used == dash


def test_cells_have_their_font_format_and_line(page: Worksheet) -> None:
    for column, head in enumerate(HEADS, 1):
        cell = page.cell(6, column)
        assert font(cell) == ("Calibri", 10, head.strong, "1F2933")
        assert cell.border.bottom.style == "thin" and not (cell.border.top and cell.border.top.style)
        assert cell.number_format == head.format
    assert page["B8"].number_format == "0.00" and page["B8"].value == 3000


def test_links_are_underlined_and_lead_there(page: Worksheet) -> None:
    assert [page.cell(row, 1).font.underline for row in (6, 7, 8)] == ["single", "single", None]
    assert page["A6"].hyperlink.target == "P-01.pdf" and page["A7"].hyperlink.location == "'Run 001 checks'!A9"
    assert page["A8"].hyperlink is None and page["B6"].font.underline is None


def test_what_begins_like_a_formula_stays_text(page: Worksheet) -> None:
    assert page["D8"].value == "=not a formula" and page["D8"].data_type == "s" and page["D8"].quotePrefix
    assert not page["D6"].quotePrefix


@every(("first", "quoted"), [*((sign, True) for sign in "=+-@#"), ("a", False), ("1", False)])
def test_only_signs_that_a_program_would_read_are_quoted(first: str, quoted: bool) -> None:
    cell = openpyxl.Workbook().worksheets[0]["A1"]
    layout.put(cell, f"{first}2")
    assert cell.data_type == "s" and bool(cell.quotePrefix) is quoted


def test_a_text_is_cut_where_no_cell_holds_more() -> None:
    whole, longer = "a" * 32_000, "a" * 32_001
    cell = openpyxl.Workbook().worksheets[0]["A1"]
    layout.put(cell, whole)
    assert cell.value == whole
    layout.put(cell, longer)
    assert cell.value == "a" * 31_999 + "…" and len(cell.value) == 32_000
    layout.put(cell, "a\x07b")
    assert cell.value == "a\N{REPLACEMENT CHARACTER}b"


# --- sizes -----------------------------------------------------------------------------------------------------------


def test_widths_are_given_and_columns_for_charts_hidden(page: Worksheet) -> None:
    found = [page.column_dimensions[letter] for letter in "ABCDE"]
    assert [one.width for one in found] == [12.0, 11.0, 14.0, 30.0, 9.0]
    assert [one.hidden for one in found] == [False, False, False, False, True]


@every(
    ("text", "room", "lines"),
    [
        ("four four", 9, 1),
        ("four four", 8.9, 2),
        ("four four four", 9, 2),  # 4 + 1 + 4 fill the first line
        ("a b c d e", 3, 3),  # "a b", "c d", "e"
        ("a b c dddd", 5, 2),  # 1 + 1 + 1 + 1 + 1 fill the first line
        ("ab cd ef", 5, 2),  # 2 + 1 + 2
        ("ab cd ef", 8, 1),
        ("x" * 20, 10, 2),
        ("x" * 21, 10, 3),
        ("one\n\ntwo", 10, 3),
    ],
)
def test_lines_of_a_text_counted_by_hand(text: str, room: float, lines: int) -> None:
    assert layout._lines(text, room) == lines


def test_a_row_is_as_high_as_its_longest_wrapped_text(page: Worksheet) -> None:
    # 44 characters on 30 x 1.15 - 2 = 32.5: two lines of 13 pt and 3 pt; one line else
    assert [page.row_dimensions[row].height for row in (6, 7, 8)] == [16.0, 29.0, 16.0]


def test_a_row_is_never_higher_than_programs_allow() -> None:
    heads = (Head("Why", 10.0, wrap=True),)
    assert layout._height(heads, ["word " * 500]) == 13.0 * 30 + 3.0
    assert layout._height(heads, [7]) == layout._height((Head("Why", 10.0),), ["word " * 500]) == 16.0
    # bold words are wider: 9 characters fit on 11.5 - 2 = 9.5 in plain letters, not on 10 - 2 = 8 in bold ones
    assert layout._height(heads, ["four four"]) == 16.0
    assert layout._height((Head("Why", 10.0, wrap=True, strong=True),), ["four four"]) == 29.0
    assert layout._height((Head("Why", 10.0, wrap=True, marked=True),), [Shown("four four")]) == 29.0


def test_columns_count_from_one() -> None:
    assert [layout.column_index(HEADS, head.text) for head in HEADS] == [1, 2, 3, 4, 5]
    with pytest.raises(ValueError, match="Nowhere"):
        layout.column_index(HEADS, "Nowhere")


# --- print -----------------------------------------------------------------------------------------------------------


def test_the_print_is_set_up(page: Worksheet) -> None:
    assert page.freeze_panes == "B6" and not page.sheet_view.showGridLines
    assert page.sheet_properties.tabColor.rgb[-6:] == "335577"
    assert page.print_title_rows == "$5:$5" and not page.print_title_cols  # all on one page across
    assert (page.page_setup.orientation, page.page_setup.paperSize) == ("landscape", 1)
    assert (page.page_setup.fitToWidth, page.page_setup.fitToHeight) == (1, 0)
    assert page.sheet_properties.pageSetUpPr.fitToPage
    margins = page.page_margins
    assert (margins.left, margins.right, margins.top, margins.bottom) == (0.4, 0.4, 0.7, 0.7)
    assert (margins.header, margins.footer) == (0.3, 0.3)
    assert (page.oddHeader.left.text, page.oddHeader.right.text) == ("&B&A", "&F")
    assert (page.oddFooter.left.text, page.oddFooter.right.text) == ("Quill && Co", "&P / &N")


def wide(*widths: float, hidden: float = 0.0) -> Worksheet:
    heads = [Head(f"H{number}", width) for number, width in enumerate(widths)]
    heads += [Head("chart", hidden, hidden=True)] if hidden else []
    book = openpyxl.Workbook()
    layout.set_up(book.worksheets[0], 3, heads, 2, "", "none of ours", "335577")
    return reopened(book)


@every(
    ("widths", "hidden", "pages"), [((100.0, 115.0), 0.0, 1), ((100.0, 116.0), 0.0, 2), ((100.0, 115.0), 50.0, 1), ((215.0, 216.0), 0.0, 3)]
)  # fmt: skip
def test_a_wide_sheet_takes_more_pages_and_repeats_its_first_columns(
    widths: Sequence[float], hidden: float, pages: int
) -> None:
    found = wide(*widths, hidden=hidden)
    assert found.page_setup.fitToWidth == pages
    assert found.print_title_cols == ("$A:$B" if pages > 1 else None)
    assert found.page_setup.paperSize == 9  # A4 where the name of the paper is not known


# --- marks -----------------------------------------------------------------------------------------------------------


def test_outcomes_are_marked_by_their_signs(page: Worksheet) -> None:
    (marked,) = page.conditional_formatting
    assert str(marked.sqref) == "C6:C8"
    found = {rule.formula[0]: rule.dxf for rule in marked.rules}
    assert list(found) == [f'LEFT(C6,1)="{sign}"' for sign in "✗!?✓"]
    inks = [style.font.color.rgb[-6:] for style in found.values()]
    shades = [style.fill.bgColor.rgb[-6:] if style.fill else None for style in found.values()]
    assert inks == ["8A1C1C", "6B4E00", "33415C", "1D5B2E"] and shades == ["F3CFCF", "FBEFC8", "E4E8F2", None]
    assert [bool(style.font.bold) for style in found.values()] == [True, True, False, False]


def test_figures_below_zero_stand_out() -> None:
    book = openpyxl.Workbook()
    layout.embolden_negative(book.worksheets[0], "B2:B9")
    (one,) = reopened(book).conditional_formatting
    assert str(one.sqref) == "B2:B9" and one.rules[0].formula == ["AND(ISNUMBER(B2),B2<0)"]
    assert one.rules[0].dxf.font.bold and one.rules[0].dxf.font.color.rgb[-6:] == "8A1C1C"


def test_long_tables_are_short_ones_written_as_text() -> None:
    """Cell by cell: value, kind, look and link; and rows that are to have cells stand among the others in their order."""
    book = Book()
    pages = [book.create_sheet(name) for name in ("short", "long", "mixed")]
    for page, long, apart in zip(pages, (False, True, True), ((), (), (1,)), strict=True):
        layout.write_table(page, 3, HEADS, ROWS, page.title, long, apart)
    assert [page.max_row for page in pages] == [3 + len(ROWS), 3, 5]
    short, long, mixed = openpyxl.load_workbook(io.BytesIO(book.bytes())).worksheets
    for cells in zip(short["A3:E9"], long["A3:E9"], mixed["A3:E9"], strict=True):
        for one, *others in zip(*cells, strict=True):
            for other in others:
                for what in ("value", "data_type", "style_id"):
                    assert getattr(other, what) == getattr(one, what), (one, what)
                links = [cell.hyperlink and (cell.hyperlink.target, cell.hyperlink.location) for cell in (one, other)]
                assert links[0] == links[1], one
    heights = [[page.row_dimensions[row].height for row in range(3, 4 + len(ROWS))] for page in (short, long, mixed)]
    assert heights[0] == heights[1] == heights[2]


def test_a_link_may_be_quoted_or_stand_where_figures_do() -> None:
    row = (Shown("=x", link="a.pdf"), Shown("none", inside="'long'!A1"), "✓ suitable", "Why.", 1.0)
    book = Book()
    for name in ("short", "long"):
        layout.write_table(book.create_sheet(name), 1, HEADS, [row], name, name == "long")
    for page in openpyxl.load_workbook(io.BytesIO(book.bytes())).worksheets:
        first, second = page["A2"], page["B2"]
        assert (first.quotePrefix, first.font.underline, first.alignment.horizontal) == (True, "single", "left")
        assert (bool(second.quotePrefix), second.font.underline, second.alignment.horizontal) == (
            False,
            "single",
            "right",
        )


def test_packed_rows_have_the_looks_that_are_possible() -> None:
    """What a run keeps of its rows is looked at against these names when it comes back."""
    plain = [
        [value.value if isinstance(value, Shown) and value.link + value.inside else value for value in row]
        for row in ROWS
    ]
    formats = {value.format for row in ROWS for value in row if isinstance(value, Shown) and value.format}
    looks = layout.pattern_of_looks(tuple(HEADS), (*formats,))
    (piece,) = longtables.packed(layout.row_as_text(HEADS, row) for row in plain)
    assert longtables.rows_in(piece, len(HEADS), looks) == len(ROWS)
    assert longtables.rows_in(piece, len(HEADS) - 1, looks) is None
    assert longtables.rows_in(piece, len(HEADS), layout.pattern_of_looks(tuple(HEADS[:-1]), (*formats,))) is None
    assert longtables.rows_in(piece, len(HEADS), layout.pattern_of_looks(tuple(HEADS))) is None


def test_the_pattern_of_looks_is_that_of_their_names() -> None:
    """The names are what a workbook has styles for; one more that the pattern lets through would have none."""
    heads, formats = (HEADS[0],) * 12, ("0.0", "#,##0.00")
    pattern, names = re.compile(layout.pattern_of_looks(heads, formats)), layout.possible_looks(heads, formats)
    tried = {
        f"{column}{mark} {own}"
        for column in range(130)
        for mark in ("", "n", "q", "l", "nq")
        for own in ("", *formats, "0a0", "0")
    }
    assert {one for one in tried if pattern.fullmatch(one)} == names
