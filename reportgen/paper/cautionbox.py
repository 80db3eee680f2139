"""The boxes of cautions: worded, and cut into two columns about equally long.

Knows cautions. Refuses to know which of them belong on which side of a sheet.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from reportgen.paper.pages import CautionItem, CautionsBlock
from reportgen.paper.wording import printed

if TYPE_CHECKING:
    from reportgen.suitability.cautions import Caution

LINE = 52
"""About so many letters stand in a line of one column."""

THE_WORK = "the work"
"""What a caution concerns that no driver brings along."""


def caution_item(caution: Caution, inches: bool = False) -> CautionItem:
    """One caution as it is printed."""
    concerns = "" if caution.applies_to == THE_WORK else caution.applies_to
    return CautionItem(caution.title, printed(caution.text, inches), concerns, caution.grave)


def cautions_block(
    heading: str, cautions: Sequence[Caution], inches: bool = False, last: Sequence[CautionItem] = ()
) -> CautionsBlock:
    """The box of cautions, `last` behind them; it is cut where both columns come nearest to equal length."""
    items = [*(caution_item(caution, inches) for caution in cautions), *last]
    lengths = [-(-(len(item.title) + len(item.concerns) + len(item.text) + 4) // LINE) + 0.3 for item in items]
    cut = min(range(len(items) + 1), key=lambda n: (abs(sum(lengths[:n]) - sum(lengths[n:])), -n))
    return CautionsBlock(heading, tuple(items[:cut]), tuple(items[cut:]))
