"""The boxes of cautions: worded, and cut into two columns about equally long.

Knows cautions. Refuses to know which of them belong on which side of a sheet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import product
from typing import TYPE_CHECKING

from reportgen.paper.lettering import text_width
from reportgen.paper.pages import CautionItem, CautionsBlock
from reportgen.paper.wording import printed

if TYPE_CHECKING:
    from reportgen.suitability.cautions import Caution

COLUMN, SIZE = 224.0, 8.5
"""Width of a column and size of its letters (points), somewhat narrow, for words do not break."""

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
    """The box of cautions, `last` behind them, in two columns of nearest to equal length; each keeps its order."""
    items = [*(caution_item(caution, inches) for caution in cautions), *last]
    lines = [math.ceil(text_width(f"{x.title} {x.concerns}: {x.text}", SIZE) / COLUMN) + 0.25 for x in items]
    free = [n for n, x in enumerate(items) if not x.grave][:MOST_TRIED]  # what touches health stays on the left
    best = min(
        product((True, False), repeat=len(free)),
        key=lambda sides: _longer(lines, _left(len(items), free, sides)),
    )
    left = _left(len(items), free, best)
    return CautionsBlock(
        heading,
        tuple(item for item, here in zip(items, left, strict=True) if here),
        tuple(item for item, here in zip(items, left, strict=True) if not here),
    )


def _left(count: int, free: Sequence[int], sides: Sequence[bool]) -> list[bool]:
    """Which items stand in the left column: all but those of `free` that are told to the right."""
    chosen = dict(zip(free, sides, strict=True))
    return [chosen.get(n, True) for n in range(count)]


def _longer(lines: Sequence[float], left: Sequence[bool]) -> float:
    """Length of the longer column."""
    here = sum(length for length, chosen in zip(lines, left, strict=True) if chosen)
    return max(here, sum(lines) - here)
