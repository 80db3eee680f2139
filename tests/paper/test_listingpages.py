"""Tables of the desk on paper: every kind of cell, rows that share a pairing, lists to tick off, widths as CSS gives them."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from reportgen.advice.listings import Field, Listing, Report, Value
from reportgen.paper.lettering import text_width
from reportgen.paper.listingpages import CellText, ListingPage, TableBlock, column_widths, listing_pages
from tests.demo_catalogue import demo
from tests.every import every
from tests.paper.samples import STAMP

COUNT, PRICE, HZ = Field("Needed", "count"), Field("Cost", "money"), Field("Crossover", "hz")
VERDICT, ID, WORDS, TEXT = Field("Verdict", "verdict"), Field("Part", "id"), Field("Why", "words"), Field("Kind")


def page(*listings: Listing, currency: str = "EUR", notes: tuple[str, ...] = (), tally: str = "") -> ListingPage:
    maker = replace(demo().maker, currency=currency)
    (found,) = listing_pages(Report("Supply of spring", tally, listings, notes), "Supply", maker, STAMP)
    return found


def cells(table: TableBlock) -> list[list[list[tuple[str, str]]]]:
    """Texts and styles by group and row, blanks that do not break made plain ones."""
    return [
        [[(cell.text.replace("\u00a0", " "), cell.style) for cell in row] for row in group] for group in table.groups
    ]


@every(
    ("field", "value", "text", "style"),
    [
        (COUNT, 12, "12", "number"),
        (COUNT, 0, "0", "number"),
        (COUNT, 2.5, "2.5", "number"),
        (COUNT, None, "–", "number"),
        (PRICE, Decimal("1234.5"), "1 234.50", "number"),
        (PRICE, 7.0, "7.00", "number"),
        (PRICE, None, "–", "number"),
        (PRICE, "not known", "not known", "number"),
        (HZ, 2449.49, "2450", "number"),
        (HZ, None, "–", "number"),
        (COUNT, "", "", "number"),
        (VERDICT, "not suitable", "✗ not suitable", "mark bad"),
        (VERDICT, "suitable", "✓ suitable", "mark good"),
        (VERDICT, "gone", "gone", ""),
        (VERDICT, None, "", ""),
        (ID, "HD-04", "HD-04", "strong"),
        (WORDS, "it takes 3.2 ohm", "it takes 3.2 Ω", "words"),
        (WORDS, None, "", "words"),
        (TEXT, "fourteen signs", "fourteen signs", "short"),  # 14 letters stay on one line
        (TEXT, "fifteen letters", "fifteen letters", ""),
    ],
)
def test_each_kind_of_value_is_worded_in_its_way(field: Field, value: Value, text: str, style: str) -> None:
    (table,) = page(Listing("t", (field, TEXT), ((value, "x"),))).tables
    assert cells(table) == [[[(text, style), ("x", "short")]]]


def test_heads_name_the_unit_that_their_cells_leave_out() -> None:
    (table,) = page(Listing("t", (COUNT, PRICE, HZ, VERDICT, ID), ((1, 2.0, 3.0, "pass", "x"),)), currency="JPY").tables
    assert [head.text for head in table.heads] == ["Needed", "Cost (JPY)", "Crossover (Hz)", "Verdict", "Part"]
    assert [head.style for head in table.heads] == ["number", "number", "number", "", "strong"]
    assert cells(table)[0][0][1][0] == "2"  # a yen has no hundredths (ISO 4217)


ROWS = (("P-01", "Reed", "a"), ("P-01", "Reed", "b"), ("P-02", "Sedge", "c"), ("P-02", "Sedge", "d"))


def told(listing: Listing) -> list[list[list[str]]]:
    (table,) = page(listing).tables
    return [[[text for text, _ in row] for row in group] for group in cells(table)]


def test_rows_of_one_pairing_name_it_once_and_stand_together() -> None:
    fields = (Field("Pairing", "id"), Field("Kit"), Field("Change", "words"))
    listing = Listing("t", fields, ROWS)
    assert told(listing) == [
        [["P-01", "Reed", "a"], ["", "", "b"]],
        [["P-02", "Sedge", "c"], ["", "", "d"]],
    ]
    singly = replace(listing, rows=(ROWS[0], ROWS[2]))
    assert told(singly) == [[["P-01", "Reed", "a"], ["P-02", "Sedge", "c"]]]
    other = replace(listing, fields=(Field("Part", "id"), *fields[1:]))  # a table of other things names each
    assert told(other) == [[list(row) for row in ROWS]]
    half = replace(listing, fields=(fields[0], Field("Maker"), fields[2]))  # the second column is no kit: it must stay
    assert told(half) == [[list(row) for row in ROWS]]
    assert told(replace(listing, rows=())) == []


def test_what_is_to_be_ticked_off_is_a_line_each_and_counts_first() -> None:
    listing = Listing("Pick", (COUNT, ID, TEXT, PRICE), ((4, "HD-04", "", 2.5), (1, "KL-047", "coil", None)), ticks=True, note="n")  # fmt: skip
    (table,) = page(listing).tables
    assert [line.replace("\u00a0", " ") for line in table.lines] == ["4 × HD-04, 2.50", "1 × KL-047, coil, –"]
    assert (table.heads, table.groups, table.columns, table.title, table.note) == ((), (), 0, "Pick", "n")
    (plain,) = page(replace(listing, fields=(ID, TEXT), rows=(("HD-04", "dome"),))).tables
    assert plain.lines == ("HD-04, dome",)


def test_tables_of_the_same_heads_share_their_widths_and_others_have_their_own() -> None:
    one = Listing("one", (ID, WORDS), (("a", "b"),))
    other = Listing("other", (ID, COUNT), (("a", 1),))
    again = Listing("again", (ID, WORDS), (("a much longer name", "b"),))
    ticks = Listing("ticks", (COUNT, ID), ((1, "a"),), ticks=True)
    hidden = Listing("hidden", (COUNT, HZ), ((1, 2.0),), printed=False)
    found = page(one, hidden, other, ticks, again)
    assert [(table.title, table.columns) for table in found.tables] == [("one", 1), ("other", 2), ("ticks", 0), ("again", 1)]  # fmt: skip
    assert len(found.widths) == 2
    alone = page(again)
    assert found.widths[0] == alone.widths[0] != page(one).widths[0]


def test_the_page_says_whose_it_is_and_what_it_comes_to() -> None:
    found = page(tally="two parts are short", notes=("count again at 2500 Hz", "as a rule"))
    assert (found.title, found.subject, found.tally) == (
        "Supply of spring",
        "Two parts are short.",
        "Two parts are short.",
    )
    assert [(fact.label, fact.value) for fact in found.stamp] == [("Supply", "007"), ("Date", "2026-11-25"), ("Workbook", "9f3c1a77b2d4")]  # fmt: skip
    assert found.foot == "Supply 007 · 2026-11-25 · workbook 9f3c1a77b2d4 · reportgen 0.1.0"
    assert found.notes == ("Count again at 2500\u00a0Hz.", "As a rule.")
    assert found.maker.name == demo().maker.name


# --- widths -------------------------------------------------------------------------------------------------------


def table(*rows: tuple[str, ...], styles: tuple[str, ...] = ("", ""), heads: tuple[str, ...] = ("", "")) -> TableBlock:
    made = tuple(tuple(CellText(text, style) for text, style in zip(row, styles, strict=True)) for row in rows)
    return TableBlock("t", "", tuple(CellText(head) for head in heads), (made,), (), 1)


def wide(text: str, heavy: bool = False) -> float:
    return text_width(text, 8.5, heavy)


ROOM = 510.0 - 2 * 5.7
"""Of a page between its margins, without the free room of two cells (points)."""


def test_columns_that_fit_share_the_page_in_the_measure_of_their_longest_lines() -> None:
    """CSS 2.1, 17.5.2.2: with room for all, what is left goes by the widest line of each; here one to three."""
    widths = column_widths([table(("nn", "n"), ("n", "nnnnnn"))])
    assert widths == pytest.approx((100.0 * ROOM / 4 / 510.0, 100.0 * ROOM * 3 / 4 / 510.0), abs=0.006)
    assert column_widths([table(("nn", "n")), table(("n", "nnnnnn"))]) == widths
    assert column_widths([table(("n", "n"), heads=("nn", "nnnnnn"))]) == widths  # heads count as well
    heavy = column_widths([table(("nn", "nnnnnn"), styles=("strong", ""))])
    assert heavy[0] / heavy[1] == pytest.approx(wide("nn", True) / wide("nnnnnn"), abs=0.002)


def test_columns_that_do_not_fit_have_their_longest_word_and_a_share_of_the_rest() -> None:
    """Of a column of many short words and one of a single line: the least of each, and the rest by most less least."""
    words = "nnn " * 60 + "nnn"
    free, whole = column_widths([table((words, "n n n"), styles=("", "short"))])
    least, most = (wide("nnn"), wide("n n n")), (wide(words), wide("n n n"))
    share = (ROOM - sum(least)) / (sum(most) - sum(least))
    assert free == pytest.approx(100.0 * (least[0] + share * (most[0] - least[0])) / 510.0, abs=0.006)
    assert whole == pytest.approx(100.0 * least[1] / 510.0, abs=0.006)  # what stays on one line is not squeezed
    split, _ = column_widths([table((words, "n n n"), styles=("", "words"))])
    assert split > free  # there the other may be broken


@every(("count", "style"), [(20, "strong"), (21, "free strong"), (60, "free strong"), (120, "free strong")])
def test_a_long_id_gives_way_as_words_do_and_a_short_one_stays_whole(count: int, style: str) -> None:
    """One of 57 signs took the columns beside it off the page."""
    fields = (Field("ID", "id"), Field("Cost", "money"), Field("For the kits", "words"), Field("In its place", "words"))
    row = ("n" * count, 1234567.5, "nnn " * 60, "nnn " * 60)
    (page,) = listing_pages(Report("t", "t", (Listing("t", fields, (row, row)),)), "t", demo().maker, STAMP)
    assert [cell.style for cell in page.tables[0].groups[0][0]] == [style, "number", "words", "words"]
    assert sum(page.widths[0]) == pytest.approx(100.0 * (510.0 - 4 * 5.7) / 510.0, abs=0.03)


def test_columns_of_nothing_but_endless_words_share_what_there_is() -> None:
    first, second = column_widths([table(("n" * 200, "n" * 100))])
    assert first == second == pytest.approx(100.0 * ROOM / 510.0 / 2.0, abs=0.01)


def test_words_break_where_the_longest_do_not_go_beside_what_stays_whole() -> None:
    """Two endless words beside a price and a word of usual length: these stay whole, the others break at one width that fills the page."""
    words, price = "n" * 100, "1\u00a0234\u00a0500"
    rows = table(
        (words, price, words + "nn", "workbook"),
        styles=("", "number", "", "words"),
        heads=("Description", "Cost", "Kits", "Instead"),
    )
    first, cost, last, short = (width * 5.1 for width in column_widths([rows]))
    assert (cost, short) == (pytest.approx(wide(price), abs=0.06), pytest.approx(wide("workbook"), abs=0.06))
    assert first == last == pytest.approx((510.0 - 4 * 5.7 - cost - short) / 2.0, abs=0.1) and first > wide(
        "Description"
    )
