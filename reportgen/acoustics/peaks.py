"""Peaks of a sampled curve: where they stand, how far they stand out, how wide they are at half that.

Knows samples alone. Refuses to know what is on either axis. The definitions are those of topography; `scipy.signal` has
them too, but takes half a second to import, which the first sheet of every run would wait for.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Peak:
    """A local maximum: its place (sample), its height over the higher of both valleys beside it, its width (samples) at half that."""

    place: int
    prominence: float
    width: float


def peaks(values: FloatArray, least: float, reach: int = 0) -> list[Peak]:
    """The peaks of `values` (n,) whose prominence is `least` or more, in their order; a flat top counts in its middle.

    The valleys are looked for as far as the curve is nowhere higher than the peak, and within `reach` samples if that is
    not 0. Source: prominence of a peak as in topography.

    >>> peaks(np.array([0.0, 2.0, 1.0, 3.0, 0.0]), 0.5)
    [Peak(place=1, prominence=1.0, width=0.75), Peak(place=3, prominence=3.0, width=1.25)]
    """
    found = (_peak(values, top, reach or len(values)) for top in _tops(values))
    return [one for one in found if one.prominence >= least]


def _tops(values: FloatArray) -> list[int]:
    """The middle of every stretch of equal values that is higher than what stands on both sides."""
    begins = np.flatnonzero(np.concatenate([[True], np.diff(values) != 0.0])[: len(values)])
    ends = np.concatenate([begins[1:], [len(values)]]) - 1
    heights = values[begins]
    higher = (heights[1:-1] > heights[:-2]) & (heights[1:-1] > heights[2:])
    return [int(middle) for middle in ((begins + ends) // 2)[1:-1][higher]]


def _peak(values: FloatArray, top: int, reach: int) -> Peak:
    left, right = values[max(top - reach, 0) : top + 1][::-1], values[top : top + reach + 1]
    valleys = [int(np.argmin(_up_to_higher(side))) for side in (left, right)]
    prominence = float(values[top] - max(left[valleys[0]], right[valleys[1]]))
    if prominence <= 0.0:  # a flat top wider than the reach
        return Peak(top, 0.0, 0.0)
    half = float(values[top]) - 0.5 * prominence
    width = _way_down(left[: valleys[0] + 1], half) + _way_down(right[: valleys[1] + 1], half)
    return Peak(top, prominence, width)


def _up_to_higher(side: FloatArray) -> FloatArray:
    higher = np.flatnonzero(side > side[0])
    return side[: higher[0]] if higher.size else side


def _way_down(side: FloatArray, height: float) -> float:
    """Samples from the top down to a height, between two of them in a straight line."""
    at = int(np.flatnonzero(side <= height)[0])
    return float(at - (height - side[at]) / (side[at - 1] - side[at]))
