"""The desk's tables on paper: what to pick, what replaces what, what changed.

Knows how a value is worded on a page. Refuses to know what was worked out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import ClassVar

from reportgen.advice.listings import Field, Listing, Report, Value
from reportgen.catalogue.records import Maker
from reportgen.paper import wording
from reportgen.paper.composing import desk_facts, desk_foot, maker_block
from reportgen.paper.pages import Fact, MakerBlock, Stamp
from reportgen.paper.wording import MARKS, NONE, printed, sentence


@dataclass(frozen=True, slots=True)
class CellText:
    """One cell: its words, and `number`, `strong` or the style of a verdict."""

    text: str
    style: str = ""


@dataclass(frozen=True, slots=True)
class TableBlock:
    """One table; rows of one pairing are a group, which names it once. `ticks` puts a box before each row."""

    title: str
    note: str
    heads: tuple[CellText, ...]
    groups: tuple[tuple[tuple[CellText, ...], ...], ...]
    ticks: bool


@dataclass(frozen=True, slots=True)
class ListingPage:
    """Tables of one command of the desk, on as many pages as they take."""

    template: ClassVar[str] = "listing.html"

    lang: str
    title: str
    subject: str
    maker: MakerBlock
    stamp: tuple[Fact, ...]
    foot: str
    tally: str
    tables: tuple[TableBlock, ...]
    notes: tuple[str, ...]


def listing_pages(report: Report, what: str, maker: Maker, stamp: Stamp) -> Iterator[ListingPage]:
    """The report on paper."""
    yield ListingPage(
        lang="en",
        title=report.title,
        subject=sentence(printed(report.tally)),
        maker=maker_block(maker, stamp.logo),
        stamp=desk_facts(stamp, Fact(what, f"{stamp.run:03d}")),
        foot=desk_foot(stamp, f"{what} {stamp.run:03d}"),
        tally=sentence(printed(report.tally)),
        tables=tuple(_block(listing, maker.currency) for listing in report.listings if listing.printed),
        notes=tuple(sentence(printed(text)) for text in report.notes),
    )


def _block(listing: Listing, currency: str) -> TableBlock:
    heads = tuple(CellText(_heading(field, currency), _style(field)) for field in listing.fields)
    of_pairings = listing.fields[:2] == PAIRING
    same = groupby(listing.rows, lambda row: row[0]) if of_pairings else ((None, (row,)) for row in listing.rows)
    groups = tuple(tuple(_row(row, listing, currency, bool(n)) for n, row in enumerate(rows)) for _, rows in same)
    return TableBlock(listing.title, listing.note, heads, groups, listing.ticks)


PAIRING = (Field("Pairing", "id"), Field("Kit"))
"""What a table of several rows a pairing begins with."""


def _row(row: tuple[Value, ...], listing: Listing, currency: str, named: bool) -> tuple[CellText, ...]:
    """A row of cells, without the pairing where the row above has `named` it."""
    cells = tuple(_cell(value, field, currency) for value, field in zip(row, listing.fields, strict=True))
    return (CellText(""), CellText(""), *cells[2:]) if named else cells


def _heading(field: Field, currency: str) -> str:
    unit = {"money": currency, "hz": "Hz"}.get(field.kind, "")
    return f"{field.name} ({unit})" if unit else field.name


def _style(field: Field) -> str:
    return {"count": "number", "money": "number", "hz": "number", "id": "strong", "words": "words"}.get(field.kind, "")


def _cell(value: Value, field: Field, currency: str) -> CellText:
    if value is None or value == "":
        return CellText(NONE if field.kind in ("count", "money", "hz") else "", _style(field))
    if field.kind == "verdict" and value in MARKS:
        mark = MARKS[str(value)]
        return CellText(f"{mark.sign} {mark.word}", f"mark {mark.style}")
    if field.kind == "money" and not isinstance(value, str):
        return CellText(wording.amount(value, currency), "number")
    if isinstance(value, int | float):
        return CellText(wording.number(value) if field.kind == "hz" else f"{value:g}", _style(field))
    short = "short" if field.kind == "text" and len(value) <= SHORT else ""
    return CellText(printed(value), short or _style(field))


SHORT = 14
"""A name of so many letters stays on one line."""
