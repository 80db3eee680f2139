"""Grids of frequencies: where a wanted one lies in a grid.

Knows numbers on a logarithmic scale. Refuses to know what is computed at them.
"""

from __future__ import annotations

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
