"""Rows that show a pairing in a list: verdict, range on a common axis, figures.

Knows assessments. Refuses to choose or rank.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import TYPE_CHECKING

from reportgen.pairing.figures import with_network
from reportgen.paper import wording
from reportgen.paper.composing import drivers_words
from reportgen.paper.pages import RangeRow
from reportgen.paper.rangepicture import common_axis, range_strip
from reportgen.paper.scales import Scale
from reportgen.paper.wording import MARKS, hertz, money, printed, sentence
from reportgen.suitability.verdict import UsableRange

if TYPE_CHECKING:
    from reportgen.assessment import Overview

STRIP = 160.0
"""Width of a range strip in a list (points)."""


def shared_axis(found: Iterable[Overview], width: float = STRIP) -> Scale:
    """The one frequency axis on which all the ranges are shown."""
    hz = [v for a in found for v in (a.found_range.low_hz, a.found_range.high_hz, a.crossover_hz)]
    return common_axis(hz, 6.0, width - 6.0)


def range_row(found: Overview, axis: Scale, link: str = "", page: str = "") -> RangeRow:
    """A pairing as one row of a list."""
    return RangeRow(
        id=found.id,
        kit=found.case.pairing.kit or "",
        drivers=drivers_words(found.case),
        mark=MARKS[found.verdict.word],
        strip=range_strip(axis, found.found_range, found.crossover_hz, axis.end + 6.0),
        range=short_range(found.found_range),
        crossover=hertz(found.crossover_hz),
        price=_price(found),
        reason=sentence(printed(found.headline)),
        link=link,
        page=page,
    )


def _price(found: Overview) -> str:
    """Price of one loudspeaker; where a part states none its network is not counted."""
    price, figures = money(found.price, found.case.maker.currency), found.figures
    unpriced = found.price is not None and figures is not None and not with_network(figures)
    return f"{price} + network" if unpriced else price


def short_range(found: UsableRange) -> str:
    """A range in the fewest words."""
    return "none" if found.empty else wording.span(found.low_hz, found.high_hz)


def tally_of(words: Iterable[str]) -> str:
    """How many there are of each verdict."""
    counts = Counter(words)
    return ", ".join(f"{counts[word]} {word}" for word in MARKS if counts[word])
