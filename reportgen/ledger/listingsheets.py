"""The sheets of the desk's tables: one a table, ready to sort, filter and pivot.

Knows which format a kind of value has. Refuses to know what was worked out, and how a sheet gets into the workbook.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from reportgen.advice.listings import Field, Kind, Report, Value
from reportgen.catalogue.currencies import sheet_format
from reportgen.catalogue.records import Maker
from reportgen.ledger import layout
from reportgen.ledger.layout import NONE, SIGNS, Head
from reportgen.ledger.longtables import Book
from reportgen.ledger.stamp import RunStamp

_TAB_COLOUR: Final = "6B5B2E"
_WIDTHS: Final[Mapping[Kind, tuple[float, str]]] = {
    "id": (14, "@"), "text": (18, "General"), "words": (34, "General"), "count": (10, layout.AS_LONG_AS_IT_IS),
    "money": (11, ""), "hz": (10, "0"), "verdict": (18, "General"),
}  # fmt: skip
"""Kind of value -> width in characters and number format of its column; that of money is its currency's.

The widest table, the price list, goes on one page at these widths."""


def listing_sheets(report: Report, what: str, stamp: RunStamp, maker: Maker) -> Book:
    """A workbook with a sheet for each table of `report`, named `Supply 001` and, where a table has one, its own word."""
    book = Book()
    line = f"{what} {stamp.number:03d}, {stamp.line.partition(', ')[2]}"
    for listing in report.listings:
        if not listing.on_sheet:
            continue
        page = book.create_sheet(f"{what} {stamp.number:03d} {listing.tab}".rstrip())
        heads = [_head(field, maker.currency) for field in listing.fields]
        top = layout.write_title(
            page, f"{page.title}: {listing.title}", [line, *filter(None, (report.tally, listing.note))]
        )
        rows = ([_cell(value, field) for value, field in zip(row, listing.fields, strict=True)] for row in listing.rows)
        name = f"{what}{stamp.number:03d}{listing.tab.title()}".replace(" ", "")
        layout.write_table(page, top, heads, rows, name, long=True)
        layout.set_widths(page, heads)
        layout.set_up(page, top, heads, 1, line, maker.paper, _TAB_COLOUR)
    return book


def _head(field: Field, currency: str) -> Head:
    width, format_ = _WIDTHS[field.kind]
    format_ = format_ or sheet_format(currency)
    text = (
        f"{field.name} ({currency})"
        if field.kind == "money"
        else f"{field.name} (Hz)"
        if field.kind == "hz"
        else field.name
    )
    wrap, verdict = field.kind in ("text", "words", "verdict"), field.kind == "verdict"
    return Head(
        text, width, format_, wrap=wrap, centred=field.kind == "count", strong=field.kind == "id", marked=verdict
    )


def _cell(value: Value, field: Field) -> Any:
    if field.kind == "verdict":
        return SIGNS.get(str(value), value)
    if value == "":
        return None
    return NONE if value is None and field.kind in ("count", "money", "hz") else value
