"""How much room the parts of a sheet will take, told before they are laid out, so that the first layout is mostly the last.

Knows the type of the style sheet (points) and how many letters a line of it holds. Refuses to have the last word: what runs
over all the same is laid out again, set tighter. With an operator's own style sheet the guesses are worse, and no page is.
Constants without another source were fitted to layouts of 48 pairings of four seasons on both papers: heights of fronts and
build sides come out within 2 % of a page (standard deviation), of annexes within 3 %.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from reportgen.paper.composing import Front, Wish
from reportgen.paper.pages import (
    AnnexBlock,
    BaffleBlock,
    BuildBlock,
    CautionItem,
    Fact,
    PartRow,
    RemediesBlock,
    SheetPage,
)

HEIGHT: Final = {"A4": 772.4, "Letter": 739.5}
"""Height between the margins of each paper (`paper-A4.css`, `paper-Letter.css`)."""
WIDTH = 510.0
LETTER = 0.515
"""Mean width of a letter as a share of the size, blanks at the ends of lines included."""
SLACK = 8.0
"""A row of charts that is thought too high by so little fits (points): four fill a page to the edge."""
RULE = 0.4
"""Line under a row of a table."""


@dataclass(frozen=True, slots=True)
class Type:
    """Sizes and line heights (points) of what changes with how tightly a side is set; `fixed` is what stands on it always."""

    text: float
    text_line: float
    table: float
    table_line: float
    caution: float
    caution_line: float
    caution_gap: float
    caption_line: float
    pad: float
    fixed: float


FRONTS: Final[dict[Front, Type]] = {
    "roomy": Type(9.6, 12.7, 9.0, 11.7, 10.2, 13.7, 5.1, 9.5, 2.8, 142.0),
    "": Type(8.6, 11.4, 8.0, 10.0, 9.0, 11.5, 3.7, 9.5, 2.8, 118.0),
    "dense": Type(8.6, 10.3, 7.5, 8.7, 8.5, 9.9, 1.7, 8.4, 1.2, 105.0),
    "short": Type(8.6, 10.3, 7.5, 8.7, 8.5, 9.9, 1.7, 8.4, 1.2, 105.0),
}
"""By how a front is set."""
LEAD: Final[dict[Front, tuple[float, ...]]] = {"roomy": (25.0, 11.0, 11.0, 14.1), "": (21.0, 9.6, 9.4, 12.0), "dense": (21.0, 9.6, 8.6, 11.0), "short": (21.0, 9.6, 8.6, 11.0)}  # fmt: skip
"""Sizes of the title and of the line under it; size and line height of the verdict's reason."""
BUILDS: Final = (
    Type(8.6, 11.4, 8.0, 10.0, 8.5, 10.5, 2.8, 9.5, 2.8, 54.0),
    Type(8.5, 9.9, 7.5, 8.7, 8.5, 9.9, 1.7, 8.4, 1.2, 11.0),
)
"""A build side in the usual and in the smallest type."""
ANNEX = Type(8.6, 11.35, 7.5, 8.8, 8.5, 9.9, 0.0, 9.5, 1.36, 0.0)


SURE = 0.985
"""So much of a page may be filled by guess where larger type than usual is wanted."""
CLOSER = 0.9
"""What is left of the annex's length in its smallest type (0.88 to 0.94 in the 48 pairings)."""


def fitted(page: SheetPage, wish: Wish, paper: str) -> Wish:
    """The loosest setting in which each side will fit its page; `page` is composed as `wish` says."""
    room, fronts = HEIGHT[paper], list(FRONTS)[0 if page.build else 1 :]
    shares = {front: SURE if front == "roomy" else 1.0 for front in fronts}
    front: Front = next((one for one in fronts if front_height(page, one) <= shares[one] * room), "short")
    block, first = page.build, wish.build
    if block is None:
        return replace(wish, front=front)
    levels = (level for level in range(first, 3) if build_height(block, level) <= (1.0 if level else SURE) * room)
    return replace(wish, front=front, build=next(levels, 3))


def closing_saves(pages: float, doubt: float = 0.0) -> bool:
    """True for an annex of so many pages (known to `doubt`) whose last is saved by its smallest type."""
    return CLOSER * pages <= math.floor(pages) + doubt < pages + doubt


def _lines(letters: int, size: float, width: float) -> int:
    return math.ceil(letters * size * LETTER / width)


def _cautions(columns: Iterable[Sequence[CautionItem]], kind: Type) -> float:
    """The longer column of a box of cautions."""
    return max(
        sum(
            _lines(len(one.title) + len(one.concerns) + len(one.text) + 5, kind.caution * 1.04, 232.5 if one.grave else 238.0)
            * kind.caution_line + kind.caution_gap
            for one in items
        )
        for items in columns
    )  # fmt: skip


def _remedies(block: RemediesBlock | None, kind: Type) -> float:
    if block is None:
        return 0.0
    height = 25.0 + (kind.table_line + kind.pad if block.rows else 0.0)
    for row in block.rows:
        lines = max(_lines(len(row.changes), kind.table, 195.0), _lines(len(row.range), kind.table, 84.0))
        height += lines * kind.table_line + kind.pad
        height += _lines(len(row.text), 7.5, WIDTH) * kind.table_line + kind.pad if row.text else 0.0
    return height + _lines(len(block.note), 7.6, WIDTH) * kind.caption_line


def _drivers(facts: Sequence[Fact], kind: Type, width: float) -> float:
    return sum(_lines(len(one.value), kind.table, width) * kind.table_line + kind.pad for one in facts)


def _picture(block: BaffleBlock, kind: Type) -> float:
    """The drawing of a baffle and what stands under it."""
    caption = len(block.caption) + sum(len(line.shows) + 9 for line in block.key)
    return 10.5 + (block.picture.height if block.picture else 0.0) + _lines(caption, 7.5, 204.0) * kind.caption_line


def _frames(block: BaffleBlock, kind: Type) -> float:
    rows = sum(_lines(len(one.driver), kind.table, 60.0) * kind.table_line + kind.pad for one in block.frames)
    return 14.0 + 2.0 * kind.table_line + kind.pad + rows


def front_height(page: SheetPage, front: Front) -> float:
    """Height of the front (points), set as `front` says."""
    kind, (title, pairing, reason, reason_line) = FRONTS[front], LEAD[front]
    verdict, told = page.verdict, (page.verdict.fails, page.verdict.conditions, page.verdict.near)
    height = kind.fixed - (0.0 if page.build else 9.0)
    height += _lines(len(page.kit), title * 1.05, WIDTH) * title * 1.1
    height += _lines(len(page.pairing), pairing, WIDTH) * pairing * 1.25
    height += _lines(len(page.changed) + 24 * bool(page.changed), 8.6, WIDTH) * kind.text_line
    height += _lines(len(verdict.reason), reason, 447.0) * reason_line
    for texts in filter(None, told):
        height += kind.text_line + 2.3 + sum(_lines(len(t), kind.text, 480.0) * kind.text_line + 1.1 for t in texts)
    height += 6.8 * any(told)
    height += _lines(len(page.no_build), 9.0, 495.0) * kind.text_line + 12.8 if page.no_build else 0.0
    height += _remedies(page.remedies, kind) + page.range_picture.height + 15.0 * bool(page.figures)
    height += max((_figures(column, kind) for column in page.figures), default=0.0)
    if page.baffle:
        beside = _drivers(page.drivers, kind, 253.0) + _frames(page.baffle, kind)
        height += max(_picture(page.baffle, kind), beside)
    else:
        height += _drivers(page.drivers, kind, 436.0)
    cautions = (page.cautions.left, page.cautions.right)
    return height + (24.0 + _cautions(cautions, kind) if any(cautions) else 0.0)


def _figures(facts: Sequence[Fact], kind: Type) -> float:
    """One column of the finished loudspeaker's figures."""
    return sum(
        max(_lines(len(one.label), kind.table, 67.5), _lines(len(one.value) + len(one.note) + 1, kind.table, 90.0))
        * kind.table_line * 1.07 + kind.pad
        for one in facts
    )  # fmt: skip


def build_height(block: BuildBlock, level: int) -> float:
    """Height of the build side (points) at a level of `Wish.build`, told from the block at level 0 or 1."""
    kind = BUILDS[min(level, 1)]
    height = kind.fixed + _cautions((block.cautions.left, block.cautions.right), kind)
    if block.provisional:
        height += _lines(len(block.provisional) + 24, 9.0, 495.0) * kind.text_line + 11.0
    if block.conditions:
        height += _lines(sum(map(len, block.conditions)) + 15, 8.6, WIDTH) * kind.text_line + 4.5
    height += block.schematic.height + _lines(len(block.schematic_caption), 7.5, WIDTH) * kind.caption_line
    height += max(_parts(column, block, kind) for column in block.parts)
    board = sum(map(len, block.board)) + len(block.board) + 14
    height += _lines(board, 8.5, WIDTH) * kind.text_line + 4.5 if block.board and level < 3 else 0.0
    box = sum(len(one.label) + len(one.value) + 3 for one in block.box) + len(block.box_note) + len(block.cabinet) + 12
    height += _lines(box, 8.5, WIDTH) * kind.text_line
    beside = _frames(block.baffle, kind) if block.baffle.frames and not block.baffle.places else 0.0
    beside += _readings(block, kind) if block.readings else 0.0
    height += max(_picture(block.baffle, kind), beside)
    if block.wirings and level < 2:
        height += 15.0 + max(
            one.picture.height + _lines(len(one.text), 7.6, max(one.picture.width, 118.0)) * 9.5
            for one in block.wirings
        )
    if block.baffle.places:
        rows = max(map(len, block.baffle.places))
        height += 20.0 + (rows + 1) * (kind.table_line + kind.pad) + _lines(len(block.baffle.sizes), 7.6, WIDTH) * 9.5
    return height


def _parts(rows: Sequence[PartRow], block: BuildBlock, kind: Type) -> float:
    """One table of parts."""
    columns = 41.0 * block.with_substitutes + 48.0 * block.with_orders + 45.0 * block.with_prices
    height = 13.5 + kind.table_line + kind.pad
    for row in rows:
        if len(block.parts) > 1:
            letters = len(row.kind) + len(row.note) + len(row.order) + len(row.joins) + 6
            lines = _lines(letters, kind.table, 147.0 - 45.0 * block.with_prices)
        else:
            lines = max(
                _lines(len(row.kind) + len(row.note) + 2, kind.table, 273.0 - columns),
                _lines(len(row.stands), kind.table, 107.0),
                _lines(len(row.order), kind.table, 45.0) * block.with_orders,
            )
        height += max(lines, 1) * kind.table_line + kind.pad
    return height


def _readings(block: BuildBlock, kind: Type) -> float:
    rows = (
        max(_lines(len(row.what) + len(row.how) + 2, kind.table, 154.0), _lines(len(row.fine), kind.table, 56.0))
        for row in block.readings
    )
    return 13.5 + kind.table_line + kind.pad + sum(lines * kind.table_line + kind.pad for lines in rows)


# --- annex --------------------------------------------------------------------------------------------------------


DOUBT = 0.03
"""How far the length of an annex may lie from what is guessed (pages)."""


def annex_pages(block: AnnexBlock, paper: str) -> float:
    """How many pages the annex fills in the usual type, the last in part."""
    room, filled = HEIGHT[paper], _moved(block) + 25.0 * bool(block.charts)
    beside = bool(block.charts) and len(block.charts[-1]) == 1
    for row in block.charts:
        height = max(
            20.0 + one.picture.height
            + _lines(len(one.caption) + sum(len(line.shows) + 18 for line in one.key), 7.2, one.picture.width) * 9.5
            for one in row
        )  # fmt: skip
        if beside and row is block.charts[-1]:
            height = max(height, _told(block, 247.0))
        left = room - filled % room  # charts side by side go to the next page together
        filled += height if height <= left + SLACK else left + height
    filled += (0.0 if beside else _told(block, WIDTH)) + 66.0 + _remedies(block.remedies, ANNEX)
    checks = (len(row.title) + len(row.text) + len(row.source) + 5 for row in block.checks)
    filled += _rows(_lines(letters, ANNEX.table, 334.0) for letters in checks)
    filled += 32.0 * bool(block.ladder) + _rows(_lines(len(step.verdict), ANNEX.table, 131.0) for step in block.ladder)
    gaps = [_lines(len(gap.title) + sum(map(len, gap.missing)) + 2, ANNEX.text, 500.0) for gap in block.gaps]
    return (filled + 20.0 * bool(gaps) + sum(gaps) * 12.0) / room


def _rows(lines: Iterable[int]) -> float:
    """Rows of a table of the annex, by the lines that each takes."""
    return sum(max(count, 1) * ANNEX.table_line + ANNEX.pad + RULE for count in lines)


def _moved(block: AnnexBlock) -> float:
    """What the build side has no room for."""
    if not block.wirings and not block.board:
        return 0.0
    drawn = max((one.picture.height + 45.0 for one in block.wirings), default=0.0)
    if block.beside:
        drawn = max(drawn, _words(block.reasons, block.beside))
    return 25.0 + drawn + _lines(sum(map(len, block.board)), ANNEX.text, WIDTH) * ANNEX.text_line


def _told(block: AnnexBlock, width: float) -> float:
    """What the model assumes and why the network looks as it does."""
    return _words(block.assumptions, width) + (0.0 if block.beside else _words(block.reasons, width))


def _words(texts: Sequence[str], width: float) -> float:
    """A heading and a paragraph of some texts."""
    letters = sum(map(len, texts)) + len(texts)
    return 17.6 + _lines(letters, ANNEX.text, width) * ANNEX.text_line if texts else 0.0
