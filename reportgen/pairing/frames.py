"""Frames on the baffle: how far they run into one another and over its edges, of one pairing or beside many low drivers.

Knows places and sizes. Refuses to know how much room is enough.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.pairing.as_used import Frame, Setting, inside

FloatArray = NDArray[np.float64]


def overlap_m(
    dx_m: ArrayLike, dy_m: ArrayLike, width_m: ArrayLike, height_m: ArrayLike, both_round: ArrayLike
) -> FloatArray:
    """How far two frames run into one another (m), negative is the clearance; broadcasts.

    `dx_m`, `dy_m` from centre to centre, 0 or more; `width_m`, `height_m` the mean of both frames. Two round ones meet on the line of their centres.
    """
    square = np.minimum(np.subtract(width_m, dx_m), np.subtract(height_m, dy_m))
    return np.where(both_round, np.subtract(width_m, np.hypot(dx_m, dy_m)), square)


def outside_m(
    x_m: ArrayLike, y_m: ArrayLike, width_m: ArrayLike, height_m: ArrayLike, baffle_m: tuple[float, float]
) -> FloatArray:
    """How far a frame stands over the edge of a baffle of that width and height (m), negative is the clearance; broadcasts."""
    x, y = (np.asarray(one, dtype=np.float64) for one in (x_m, y_m))
    across = np.multiply(width_m, 0.5) - np.minimum(x, baffle_m[0] - x)
    return np.asarray(np.maximum(across, np.multiply(height_m, 0.5) - np.minimum(y, baffle_m[1] - y)))


def outer_m(frame: Frame) -> tuple[float, float]:
    """Width and height that a frame takes up on the baffle, its cut-out where that is larger (m)."""
    return max(frame.width_m, frame.cut_width_m or 0.0), max(frame.height_m, frame.cut_height_m or 0.0)


@dataclass(frozen=True)
class Sizes:
    """Frames of many low drivers (L,): outer width and height, the cut-out (nan: unknown) and the cone, each across (m)."""

    width_m: FloatArray
    height_m: FloatArray
    cut_m: FloatArray
    cone_m: FloatArray


@dataclass(frozen=True)
class _Stands:
    """Where a frame stands and what it takes up, a figure each, or one beside every low driver (m); `high` is None for a low one."""

    x_m: ArrayLike
    y_m: ArrayLike
    width_m: ArrayLike
    height_m: ArrayLike
    round: ArrayLike
    high: Frame | None = None


def clearances_m(setting: Setting, spacing_m: FloatArray, pitch_m: FloatArray, sizes: Sizes) -> FloatArray:
    """Clearance (m) of the tightest place beside many low drivers, at their spacings and pitches (L,) from the high one of `setting`.

    Negative where one frame runs into another or over an edge; nan where a size is unknown.
    """
    cabinet = setting.case.cabinet
    width, height = (np.fmax(one, sizes.cut_m) for one in (sizes.width_m, sizes.height_m))
    rounds = sizes.width_m == sizes.height_m
    lows = [_Stands(x, y, width, height, rounds) for x, y in setting.low_centres_m(spacing_m, pitch_m)]
    highs = [_Stands(one.x_m, one.y_m, *outer_m(one), one.round, one) for one in setting.high_frames]
    baffle = cabinet.baffle_width_m, cabinet.baffle_height_m
    found = [outside_m(one.x_m, one.y_m, one.width_m, one.height_m, baffle) for one in (*lows, *highs)]
    found += [_overlap_m(one, other, sizes.cone_m) for one, other in combinations((*lows, *highs), 2)]
    most = np.full(spacing_m.shape, -np.inf)
    for one in found:
        most = np.maximum(most, one)
    return np.where(np.isnan(sizes.width_m + sizes.height_m), np.nan, -most)


def _overlap_m(first: _Stands, second: _Stands, cone_m: FloatArray) -> FloatArray:
    dx, dy = np.abs(np.subtract(first.x_m, second.x_m)), np.abs(np.subtract(first.y_m, second.y_m))
    width, height = np.add(first.width_m, second.width_m) / 2.0, np.add(first.height_m, second.height_m) / 2.0
    found = overlap_m(dx, dy, width, height, np.logical_and(first.round, second.round))
    if first.high is not None or second.high is None:
        return found
    return np.where(inside(dx, dy, second.high, cone_m), -np.inf, found)
