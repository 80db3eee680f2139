"""Words inside drawings: how wide they are, which box they fill, and where they find room.

Knows the advance widths of the sheet's type and boxes in points. Refuses to know what a drawing shows.
The engine sets drawn text letter by letter, so no text of the operator belongs into a drawing: names stand beside it.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

Anchor = Literal["start", "middle", "end"]

ASCENT, DESCENT = 0.76, 0.22
"""Share of the size that letters rise above and fall below the line they stand on."""

HEAVY = frozenset({"strong", "reversed", "reversed-strong"})
"""Inks whose letters are semibold."""

_SIGNS = "µΩ°±−–×·≤≥→…Ø✓✗"
_LETTERS = "".join(map(chr, range(32, 127))) + _SIGNS
# Advance in 1/1000 of the size: the wider of Inter and DejaVu Sans Condensed, the first and the last of the style
# sheet's families; tests/paper/test_lettering.py measures the fonts again.
_REGULAR = (
    286, 361, 414, 754, 638, 855, 702, 248, 363, 363, 500, 754, 286, 461, 286, 357, 625, 573, 606, 637, 643, 608, 624,
    573, 617, 624, 304, 304, 754, 754, 754, 508, 937, 677, 651, 728, 719, 599, 587, 743, 741, 266, 543, 652, 563, 890,
    753, 762, 635, 762, 640, 638, 643, 742, 677, 949, 643, 665, 625, 363, 357, 363, 754, 452, 498, 564, 621, 559, 621,
    583, 361, 610, 591, 250, 250, 545, 250, 877, 586, 597, 610, 610, 373, 523, 364, 581, 557, 813, 540, 557, 542, 573,
    327, 573, 754, 623, 762, 455, 754, 754, 500, 754, 286, 754, 754, 955, 900, 762, 881, 881,
)  # fmt: skip
_HEAVY = (
    313, 411, 469, 754, 650, 902, 785, 276, 412, 412, 544, 754, 342, 466, 342, 379, 667, 626, 626, 652, 666, 633, 649,
    626, 646, 649, 360, 360, 754, 754, 754, 545, 1000, 724, 686, 744, 748, 615, 615, 755, 753, 335, 561, 698, 574, 907,
    753, 775, 660, 776, 693, 650, 660, 734, 724, 1007, 694, 705, 653, 412, 379, 412, 754, 469, 498, 607, 645, 578, 645,
    611, 392, 645, 641, 309, 309, 599, 309, 938, 641, 619, 645, 645, 444, 550, 431, 641, 587, 838, 581, 587, 562, 641,
    358, 641, 754, 663, 773, 459, 754, 754, 500, 754, 342, 754, 754, 955, 900, 775, 881, 881,
)  # fmt: skip
_WIDTHS = {False: dict(zip(_LETTERS, _REGULAR, strict=True)), True: dict(zip(_LETTERS, _HEAVY, strict=True))}


def letter_width(letter: str, heavy: bool = False) -> int:
    """Advance of one letter in 1/1000 of the size; letters outside the table count as wide as their kind can be."""
    if letter in "\u00a0\u202f\u2009":
        letter = " "
    known = _WIDTHS[heavy].get(letter)
    if known is not None:
        return known
    return 1000 if unicodedata.east_asian_width(letter) in "WF" else 0 if unicodedata.combining(letter) else 800


def text_width(text: str, size: float, heavy: bool = False) -> float:
    """Width of a line of text, in the unit of `size`."""
    return size * sum(letter_width(letter, heavy) for letter in text) / 1000.0


def shortened(text: str, size: float, width: float, heavy: bool = False) -> str:
    """The text, cut with an ellipsis where it would be wider than `width`.

    >>> shortened("Directivity", 10.0, 40.0)
    'Directi…'
    """
    if text_width(text, size, heavy) <= width:
        return text
    while text and text_width(text + "…", size, heavy) > width:
        text = text[:-1]
    return text.rstrip() + "…" if text else ""


def direction(text: str) -> str:
    """Which way a text runs, by its first letter that runs any way (Unicode Standard Annex 9, P2).

    The engine does not work it out from the text itself.

    >>> direction("12 \u05e8\u05de"), direction("Reed \u05e8")
    ('rtl', 'ltr')
    """
    strong = (unicodedata.bidirectional(letter) for letter in text)
    return "rtl" if next((one for one in strong if one in ("L", "R", "AL")), "L") != "L" else "ltr"


def apart(text: str) -> str:
    """An operator's text among words of ours: where letters of it run to the left, kept from turning what follows (UAX 9, FSI and PDI).

    >>> apart("Reed"), apart("\u05e8\u05de") == "\u2068\u05e8\u05de\u2069"
    ('Reed', True)
    """
    turns = any(unicodedata.bidirectional(letter) in ("R", "AL", "AN") for letter in text)
    return f"\u2068{text}\u2069" if turns else text


class Box(NamedTuple):
    """A rectangle: left, top, right, bottom in points, y downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """True when the two share more than an edge."""
        return (
            self.left < other.right - 1e-6
            and other.left < self.right - 1e-6
            and self.top < other.bottom - 1e-6
            and other.top < self.bottom - 1e-6
        )

    def inside(self, other: Box) -> bool:
        """True when no part of it sticks out of `other`."""
        return (
            self.left >= other.left - 1e-6
            and self.top >= other.top - 1e-6
            and self.right <= other.right + 1e-6
            and self.bottom <= other.bottom + 1e-6
        )

    def grown(self, by: float) -> Box:
        """The same with a margin all around."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)


@dataclass(frozen=True, slots=True)
class Label:
    """One line of drawn text: `x`, `y` of its base line (points), its ink, size and which end `x` is."""

    ink: str
    x: float
    y: float
    text: str
    size: float = 7.0
    anchor: Anchor = "start"

    @property
    def width(self) -> float:
        """Width of the text (points)."""
        return text_width(self.text, self.size, self.ink in HEAVY)

    @property
    def box(self) -> Box:
        """The rectangle the letters fill."""
        width = self.width
        left = self.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor] * width
        return Box(left, self.y - ASCENT * self.size, left + width, self.y + DESCENT * self.size)


TOGETHER = 16
"""So many places for a label are held against the traces at once: mostly one of the first is free of them."""


class Room:
    """What is already taken in a field of a drawing, and a place for one more label.

    Labels never overlap: one that finds no room at all is not written. Traces may be crossed, at a cost.
    """

    def __init__(self, field: Box) -> None:
        self.field = field
        self.taken: list[Box] = []
        self._points: NDArray[np.float64] = np.empty((0, 2))

    def avoid(self, points: NDArray[np.float64]) -> None:
        """Keep labels off a trace, shape (n, 2)."""
        if len(points):
            self._points = np.concatenate([self._points, dense(points)])

    def crossed(self, boxes: Sequence[Box]) -> NDArray[np.int64]:
        """How many points of traces lie in each of the boxes, shape (boxes,)."""
        left, top, right, bottom = np.array([box.grown(1.0) for box in boxes]).T[:, :, None]
        x, y = self._points.T
        inside = (x > left) & (x < right) & (y > top) & (y < bottom)
        return np.asarray(np.count_nonzero(inside, axis=1))

    def free(self, box: Box) -> bool:
        """True when the box lies in the field and on nothing that is taken."""
        return box.inside(self.field) and not any(box.meets(other) for other in self.taken)

    def place(self, width: float, height: float, wanted: Iterable[tuple[float, float]]) -> Box | None:
        """Take the best free box: of the `wanted` left upper corners, or of the whole field where fewer traces cross it."""
        near, crossed = self._best(width, height, list(wanted))
        if crossed:
            far, fewer = self._best(width, height, self._everywhere(width, height))
            near = far if fewer < crossed else near
        if near is not None:
            self.taken.append(near.grown(1.0))
        return near

    def _best(self, width: float, height: float, corners: Sequence[tuple[float, float]]) -> tuple[Box | None, float]:
        """The first free box on the fewest points of traces, and how many those are; infinitely many without one."""
        best, least = None, math.inf
        free = (box for x, y in corners if self.free(box := Box(x, y, x + width, y + height)))
        while least and (some := list(islice(free, TOGETHER))):
            counts = self.crossed(some)
            fewest = int(counts.argmin())
            if counts[fewest] < least:
                best, least = some[fewest], int(counts[fewest])
        return best, least

    def _everywhere(self, width: float, height: float) -> list[tuple[float, float]]:
        left, top, right, bottom = self.field
        rows = np.arange(top + 1.0, bottom - height, height / 2.0)
        across = np.linspace(left + 2.0, max(right - width - 2.0, left + 2.0), 24)
        return [(float(x), float(y)) for y in rows for x in across]


def dense(points: NDArray[np.float64], step: float = 1.5) -> NDArray[np.float64]:
    """The polyline with points at least every `step` points, so that a steep piece is not overlooked."""
    lengths = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(lengths)])
    if along[-1] <= step:
        return points
    at = np.arange(0.0, along[-1], step)
    return np.column_stack([np.interp(at, along, points[:, axis]) for axis in (0, 1)])


def spread_out(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Positions as near to `wanted` (rising) as at least `gap` apart allows, within [low, high].

    Where there is not room enough they stand evenly, closer than `gap`.

    >>> spread_out([10.0, 11.0, 30.0], 5.0, 0.0, 40.0)
    [8.0, 13.0, 30.0]
    """
    if len(wanted) * gap > high - low + gap:
        step = (high - low) / max(len(wanted) - 1, 1)
        return [low + index * step for index in range(len(wanted))]
    groups: list[list[float]] = []  # [sum of wished starts, count]: neighbours that touch move as one
    for index, place in enumerate(wanted):
        groups.append([place - index * gap, 1.0])
        while len(groups) > 1 and groups[-2][0] / groups[-2][1] > groups[-1][0] / groups[-1][1]:
            total, count = groups.pop()
            groups[-1][0] += total
            groups[-1][1] += count
    top = high - (len(wanted) - 1) * gap
    starts = [min(max(total / count, low), top) for total, count in groups for _ in range(int(count))]
    return [start + index * gap for index, start in enumerate(starts)]
