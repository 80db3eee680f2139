"""The desk's tables on paper: what to pick, what replaces what, what changed.

Knows how a value is worded on a page. Refuses to know what was worked out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import ClassVar

from reportgen.advice.listings import Field, Listing, Report, Value
from reportgen.catalogue.currencies import grouped
from reportgen.catalogue.records import Maker
from reportgen.paper import wording
from reportgen.paper.composing import desk_facts, desk_foot, maker_block
from reportgen.paper.lettering import text_width
from reportgen.paper.pages import Fact, MakerBlock
from reportgen.paper.printing import Stamp
from reportgen.paper.wording import MARKS, NONE, printed, sentence


@dataclass(frozen=True, slots=True)
class CellText:
    """One cell: its words, and `number`, `strong` or the style of a verdict."""

    text: str
    style: str = ""


@dataclass(frozen=True, slots=True)
class TableBlock:
    """One table; several rows of one pairing are a group, which names it once; in a table of other things all rows are one.

    `columns` counts in `ListingPage.widths`, from 1. What is to be ticked off has `lines` in place of columns: a box and a line a row.
    """

    title: str
    note: str
    heads: tuple[CellText, ...]
    groups: tuple[tuple[tuple[CellText, ...], ...], ...]
    lines: tuple[str, ...]
    columns: int


@dataclass(frozen=True, slots=True)
class ListingPage:
    """Tables of one command of the desk, on as many pages as they take.

    `widths` are those of the columns (percent of the page's): of tables with the same heads they are the same.
    """

    template: ClassVar[str] = "listing.html"

    lang: str
    title: str
    subject: str
    maker: MakerBlock
    stamp: tuple[Fact, ...]
    foot: str
    tally: str
    tables: tuple[TableBlock, ...]
    widths: tuple[tuple[float, ...], ...]
    notes: tuple[str, ...]


def listing_pages(report: Report, what: str, maker: Maker, stamp: Stamp) -> Iterator[ListingPage]:
    """The report on paper."""
    blocks: dict[tuple[CellText, ...], list[TableBlock]] = {}
    tables = []
    for listing in (one for one in report.listings if one.printed):
        block = _block(listing, maker.currency)
        if block.lines:
            tables.append(block)
            continue
        alike = blocks.setdefault(block.heads, [])
        tables.append(replace(block, columns=list(blocks).index(block.heads) + 1))
        alike.append(block)
    yield ListingPage(
        lang="en",
        title=report.title,
        subject=sentence(printed(report.tally)),
        maker=maker_block(maker, stamp.logo),
        stamp=desk_facts(stamp, Fact(what, f"{stamp.run:03d}")),
        foot=desk_foot(stamp, f"{what} {stamp.run:03d}"),
        tally=sentence(printed(report.tally)),
        tables=tuple(tables),
        widths=tuple(column_widths(alike) for alike in blocks.values()),
        notes=tuple(sentence(printed(text)) for text in report.notes),
    )


PAGE, PAD, SIZE = 510.0, 5.7, 8.5
"""Widths of the page and of what stands free in a cell, and size of the letters (points), as the style sheet has them."""
WHOLE = {"number", "strong", "short"}
"""Styles of cells that stay on one line."""


def column_widths(tables: Sequence[TableBlock]) -> tuple[float, ...]:
    """Widths of the columns without what stands free (percent of the page's) that tables of the same heads share, as CSS gives them to a table that is left to itself.

    The engine would lay every cell out twice more to find them (CSS 2.1, 17.5.2.2): the least a column takes is its longest
    word, the most its longest line; what is left over goes to the columns in that measure. Where the longest words do not
    go beside one another, those break that may, and none of a heading.
    """
    whole, least, most = ([0.0] * len(tables[0].heads) for _ in range(3))
    texts = [{(cell.text, cell.style) for table in tables for group in table.groups for row in group for cell in (row[n],)} for n in range(len(least))]  # fmt: skip
    for n, head in enumerate(tables[0].heads):
        for text, style in {*texts[n], (head.text, "")}:
            stays = style.split(" ")[0] in WHOLE
            words = [text] if stays else text.split(" ")
            strong = style.endswith("strong")
            longest = max(text_width(word, SIZE, strong) for word in words)
            if stays or text == head.text:
                whole[n] = max(whole[n], longest)
            least[n] = max(least[n], longest)
            most[n] = max(most[n], text_width(text, SIZE, strong))
    room = PAGE - PAD * len(least)
    if sum(most) <= room:
        widths = [one * room / max(sum(most), 1.0) for one in most]
    elif sum(least) < room:
        share = (room - sum(least)) / (sum(most) - sum(least))
        widths = [one + (other - one) * share for one, other in zip(least, most, strict=True)]
    else:
        widths = _broken(whole, least, room)
    return tuple(round(100.0 * one / PAGE, 2) for one in widths)


def _broken(whole: Sequence[float], least: Sequence[float], room: float) -> list[float]:
    """Widths in which the longest words break, all at the one width that fills the room; shorter ones need not."""
    low, high = 0.0, max(least)
    for _ in range(20):
        middle = (low + high) / 2.0
        fits = sum(max(one, min(other, middle)) for one, other in zip(whole, least, strict=True)) <= room
        low, high = (middle, high) if fits else (low, middle)
    return [max(one, min(other, low)) for one, other in zip(whole, least, strict=True)]


def _block(listing: Listing, currency: str) -> TableBlock:
    heads = tuple(CellText(_heading(field, currency), _style(field)) for field in listing.fields)
    if listing.ticks:
        return TableBlock(
            listing.title, listing.note, (), (), tuple(_line(row, listing, currency) for row in listing.rows), 0
        )
    same = [tuple(rows) for _, rows in groupby(listing.rows, lambda row: row[0])]
    if listing.fields[:2] == PAIRING and len(same) < len(listing.rows):
        groups = tuple(tuple(_row(row, listing, currency, bool(n)) for n, row in enumerate(rows)) for rows in same)
    else:
        groups = tuple(tuple(_row(row, listing, currency, False) for row in rows) for rows in (listing.rows,) if rows)
    return TableBlock(listing.title, listing.note, heads, groups, (), 0)


PAIRING = (Field("Pairing", "id"), Field("Kit"))
"""What a table of several rows a pairing begins with."""


def _row(row: tuple[Value, ...], listing: Listing, currency: str, named: bool) -> tuple[CellText, ...]:
    """A row of cells, without the pairing where the row above has `named` it."""
    cells = tuple(_cell(value, field, currency) for value, field in zip(row, listing.fields, strict=True))
    return (CellText(""), CellText(""), *cells[2:]) if named else cells


def _line(row: tuple[Value, ...], listing: Listing, currency: str) -> str:
    """A row as one line: how many, then the words of its cells."""
    cells = [_cell(value, field, currency).text for value, field in zip(row, listing.fields, strict=True)]
    many = f"{cells.pop(0)}{wording.MULTIPLIED}" if listing.fields[0].kind == "count" else ""
    return many + ", ".join(filter(None, cells))


def _heading(field: Field, currency: str) -> str:
    unit = {"money": currency, "hz": "Hz"}.get(field.kind, "")
    return f"{field.name} ({unit})" if unit else field.name


def _style(field: Field) -> str:
    return {"count": "number", "money": "number", "hz": "number", "id": "strong", "words": "words"}.get(field.kind, "")


def _cell(value: Value, field: Field, currency: str) -> CellText:
    if value is None or value == "":
        unknown = value is None and field.kind in ("count", "money", "hz")
        return CellText(NONE if unknown else "", _style(field))
    if field.kind == "verdict" and value in MARKS:
        mark = MARKS[str(value)]
        return CellText(f"{mark.sign} {mark.word}", f"mark {mark.style}")
    if field.kind == "money" and not isinstance(value, str):
        return CellText(grouped(value, currency), "number")
    if isinstance(value, int | float):
        return CellText(wording.number(value) if field.kind == "hz" else f"{value:g}", _style(field))
    short = "short" if field.kind == "text" and len(value) <= SHORT else ""
    broken = "free " if field.kind == "id" and len(value) > LONG else ""
    return CellText(printed(value), short or broken + _style(field))


SHORT, LONG = 14, 20
"""A name of so many letters stays on one line; an ID of more may be broken."""
