"""The boxes of cautions: worded, and cut into two columns about equally long.

Knows cautions. Refuses to know which of them belong on which side of a sheet.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import TYPE_CHECKING

from reportgen.paper.lettering import text_width
from reportgen.paper.pages import CautionItem, CautionsBlock
from reportgen.paper.wording import printed

if TYPE_CHECKING:
    from reportgen.suitability.cautions import Caution

COLUMN, BAR, SIZE = 238.0, 6.4, 8.5
"""Width of a column, of the bar before a grave item, and size of the letters (points), as the style sheet has them."""

MOST_TRIED = 11
"""Of more cautions than these the rest stand on the left: 2048 arrangements are enough."""

THE_WORK = "the work"
"""What a caution concerns that no driver brings along."""


def caution_item(caution: Caution, inches: bool = False) -> CautionItem:
    """One caution as it is printed."""
    concerns = "" if caution.applies_to == THE_WORK else caution.applies_to
    return CautionItem(caution.title, printed(caution.text, inches), concerns, caution.grave)


def cautions_block(
    heading: str, cautions: Sequence[Caution], inches: bool = False, last: Sequence[CautionItem] = ()
) -> CautionsBlock:
    """The box of cautions, `last` behind them, in two columns of nearest to equal length; each keeps its order.

    What touches health stands on the left, and on the right as well only where that shortens the box by lines.
    """
    items = [*(caution_item(caution, inches) for caution in cautions), *last]
    lines = [_lines(item) + 0.25 for item in items]
    free = list(range(len(items)))[1:][:MOST_TRIED]  # the first stays on the left
    grave = [item.grave for item in items]
    best = min(
        product((True, False), repeat=len(free)),
        key=lambda sides: _length(lines, grave, _left(len(items), free, sides)),
    )
    left = _left(len(items), free, best)
    return CautionsBlock(
        heading,
        tuple(item for item, here in zip(items, left, strict=True) if here),
        tuple(item for item, here in zip(items, left, strict=True) if not here),
    )


def _lines(item: CautionItem) -> int:
    """How many lines an item takes."""
    width = COLUMN - BAR * item.grave
    count, filled = 1, 0.0
    concerns = f" ({item.concerns})" if item.concerns else ""
    title = f"{'⚠ ' if item.grave else ''}{item.title}{concerns}:".split()
    for n, word in enumerate([*title, *item.text.split()]):
        long = text_width(word, SIZE, n < len(title))
        if filled and filled + long > width:
            count, filled = count + 1, 0.0
        filled += long + text_width(" ", SIZE)
    return count


def _left(count: int, free: Sequence[int], sides: Sequence[bool]) -> list[bool]:
    """Which items stand in the left column: all but those of `free` that are told to the right."""
    chosen = dict(zip(free, sides, strict=True))
    return [chosen.get(n, True) for n in range(count)]


def _length(lines: Sequence[float], grave: Sequence[bool], left: Sequence[bool]) -> float:
    """Length of the longer column, and a line more for each grave item on the right."""
    here = sum(length for length, chosen in zip(lines, left, strict=True) if chosen)
    return max(here, sum(lines) - here) + sum(bad and not chosen for bad, chosen in zip(grave, left, strict=True))
