"""Scales of charts: where a value stands on paper, which ticks it gets, and traces as path data.

Knows logarithmic and linear axes in points. Refuses to know what is plotted.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.paper.drawings import polyline

MOST_POINTS = 300
"""A trace never has more points than this: each costs the engine 11 µs."""

FINEST = 0.75
"""Points of a trace need not stand closer than this on average (points of paper): finer than a line is wide."""

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Scale:
    """One axis: values `low` to `high` stand from `start` to `end` (points); `log` for frequencies."""

    low: float
    high: float
    start: float
    end: float
    log: bool = False

    def at(self, value: float) -> float:
        """Where a value stands (points); outside values stand outside."""
        return float(self.all_at(value))

    def all_at(self, values: ArrayLike) -> NDArray[np.float64]:
        """Where many values stand, same shape."""
        given = np.asarray(values, dtype=np.float64)
        if self.log:
            share = np.log(given / self.low) / math.log(self.high / self.low)
        else:
            share = (given - self.low) / (self.high - self.low)
        return np.asarray(self.start + share * (self.end - self.start))

    def holds(self, value: float) -> bool:
        """True when the value lies on the axis."""
        return self.low <= value <= self.high


def frequency_ticks(low_hz: float, high_hz: float) -> tuple[list[float], list[float]]:
    """Lines of a logarithmic frequency axis: those that carry a figure (1, 2, 5) and the others.

    >>> frequency_ticks(400.0, 2500.0)[0]
    [500.0, 1000.0, 2000.0]
    """
    figures: list[float] = []
    lines: list[float] = []
    for decade in range(math.floor(math.log10(low_hz)), math.floor(math.log10(high_hz)) + 1):
        for step in range(1, 10):
            value = step * 10.0**decade
            if low_hz * (1 - 1e-9) <= value <= high_hz * (1 + 1e-9):
                (figures if step in (1, 2, 5) else lines).append(value)
    return figures, lines


def frequency_figure(hz: float) -> str:
    """A tick's figure: 200, 1k, 20k.

    >>> frequency_figure(500.0), frequency_figure(20000.0)
    ('500', '20k')
    """
    return f"{hz / 1e3:g}k" if hz >= 1e3 else f"{hz:g}"


def round_step(span: float, about: int) -> float:
    """A step of 1, 2, 5 or 10 times a power of ten that cuts `span` into about so many parts.

    >>> round_step(40.0, 8), round_step(7.0, 5)
    (5.0, 2.0)
    """
    rough = span / about
    power = 10.0 ** math.floor(math.log10(rough))
    return next(step for step in (power, 2 * power, 5 * power, 10 * power) if step >= rough * (1 - 1e-9))


def linear_ticks(low: float, high: float, step: float) -> list[float]:
    """Multiples of `step` from `low` to `high`.

    >>> linear_ticks(-3.0, 12.0, 5.0)
    [0.0, 5.0, 10.0]
    """
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [index * step for index in range(first, last + 1)]


def thinned(points: Points, most: int = MOST_POINTS) -> Points:
    """No more than `most` points, shape (n, 2): the lowest and the highest of each stretch, so that no peak is lost."""
    if len(points) <= most:
        return points
    stretches = np.array_split(np.arange(len(points)), most // 2)
    kept = sorted(
        {int(s[np.argmin(points[s, 1])]) for s in stretches} | {int(s[np.argmax(points[s, 1])]) for s in stretches}
    )
    return points[kept]


def on_paper(x: Scale, y: Scale, xs: Sequence[float], ys: Sequence[float]) -> Points:
    """The points of a trace on paper, shape (n, 2), thinned; values that are not finite are left out."""
    across, up = np.asarray(xs, dtype=np.float64), np.asarray(ys, dtype=np.float64)
    good = np.isfinite(across) & np.isfinite(up)
    if x.log:
        good &= across > 0.0
    if y.log:
        good &= up > 0.0
    most = min(MOST_POINTS, max(20, int(abs(x.end - x.start) / FINEST)))
    return thinned(np.column_stack([x.all_at(across[good]), y.all_at(up[good])]), most)


Piece = list[list[float]]


def _crossing(one: list[float], other: list[float], axis: int, bound: float) -> list[float]:
    share = (bound - one[axis]) / (other[axis] - one[axis])
    return [start + share * (end - start) for start, end in zip(one, other, strict=True)]


def _cut(pieces: list[Piece], axis: int, low: float, high: float) -> list[Piece]:
    """Each polyline cut to the strip low <= point[axis] <= high."""
    for bound, sign in ((low, 1.0), (high, -1.0)):
        kept: list[Piece] = []
        for piece in pieces:
            run: Piece = []
            for index, point in enumerate(piece):
                inside = sign * (point[axis] - bound) >= 0.0
                before = piece[index - 1] if index else None
                if before is not None and (sign * (before[axis] - bound) >= 0.0) != inside:
                    run.append(_crossing(before, point, axis, bound))
                    if not inside:
                        kept.append(run)
                        run = []
                if inside:
                    run.append(point)
            if run:
                kept.append(run)
        pieces = kept
    return pieces


def visible(points: Points, x: Scale, y: Scale) -> list[Points]:
    """The pieces of a trace, each (n, 2), that lie inside the field of the two axes."""
    if not len(points):
        return []
    left, right = sorted((x.start, x.end))
    top, bottom = sorted((y.start, y.end))
    low, high = points.min(axis=0), points.max(axis=0)
    if low[0] >= left and high[0] <= right and low[1] >= top and high[1] <= bottom:
        return [points]
    pieces = _cut(_cut([points.tolist()], 0, left, right), 1, top, bottom)
    return [np.array(piece) for piece in pieces if len(piece) > 1]


def trace(pieces: Sequence[Points]) -> str:
    """Path data of the pieces."""
    return "".join(polyline(piece.tolist()) for piece in pieces if len(piece) > 1)
