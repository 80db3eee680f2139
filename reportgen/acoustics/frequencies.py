"""Grids of frequencies: where a wanted one lies in a grid, and where something passes zero between two of them.

Knows numbers and functions of arrays. Refuses to know what is computed at them.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray


def nearest(grid_hz: ArrayLike, wanted_hz: ArrayLike) -> NDArray[np.intp]:
    """Indices (...) into `grid_hz` (F,) of the frequencies nearest, in octaves, to `wanted_hz` (...); all above 0.

    Of two equally near ones the first. A wanted frequency beyond the grid gets its end.

    >>> nearest([100.0, 200.0, 400.0], [280.0, 290.0, 5000.0]).tolist()
    [1, 2, 2]
    """
    away = np.log(np.asarray(grid_hz, dtype=np.float64)) - np.log(np.asarray(wanted_hz, dtype=np.float64))[..., None]
    return np.asarray(np.argmin(np.abs(away), axis=-1))


def between(grid_hz: ArrayLike, values: ArrayLike, wanted_hz: ArrayLike) -> NDArray[np.complex128]:
    """Complex `values` (F,), none of them 0, of a rising grid (F,) at the frequencies `wanted_hz` (N,) that lie in it.

    Between two points the level runs straight over the logarithm of frequency, and the phase the shorter way round.

    >>> between([100.0, 400.0], [1.0, 4.0j], [200.0]).round(6).tolist()
    [(1.414214+1.414214j)]
    """
    grid, wanted = np.asarray(grid_hz, dtype=np.float64), np.asarray(wanted_hz, dtype=np.float64)
    given = np.asarray(values, dtype=np.complex128)
    before = np.clip(np.searchsorted(grid, wanted, side="right") - 1, 0, grid.size - 2)
    share = np.log(wanted / grid[before]) / np.log(grid[before + 1] / grid[before])
    return np.asarray(given[before] * (given[before + 1] / given[before]) ** share)


CLOSE = 1e-4
"""Between points nearer to each other than this share a smooth function is taken to be straight."""


def crossing(function: Callable[[NDArray[np.float64]], NDArray[np.float64]], low: float, high: float) -> float:
    """Where a smooth function of arrays passes zero between two points; of several places the first it is led to.

    The stretch is cut in 32 again and again, each time with one call. ValueError when the signs at both ends do not differ.

    >>> round(crossing(lambda x: x**2 - 2.0, 0.0, 4.0), 6)
    1.414214
    """
    while True:
        points = np.linspace(low, high, 33)
        values = function(points)
        changes = np.flatnonzero(np.sign(values[1:]) * np.sign(values[:-1]) <= 0.0)
        if not changes.size or values[0] * values[-1] > 0.0:
            raise ValueError(f"nothing passes zero between {low:g} and {high:g}")
        at = int(changes[0])
        low, high = float(points[at]), float(points[at + 1])
        if high - low <= CLOSE * max(abs(low), abs(high)):
            before, after = abs(float(values[at])), abs(float(values[at + 1]))
            return low if before == 0.0 else low + (high - low) * before / (before + after)
