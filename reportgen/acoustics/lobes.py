"""Where groups of drivers cancel: the hole between two branches, and the side lobes of a column.

Knows point sources on a line, far away, each branch with the phase and level of its slope.
Refuses to know the size of a driver, the seat and which window is wanted.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.acoustics.air import STANDARD_AIR, Air, FloatArray
from reportgen.acoustics.slopes import Slope, high_pass, low_pass, polarity

HOLE_DB = 12.0
"""A least level so far under the axis is a hole. Common practice, no source."""
BRANCHES_WITHIN_DB = 10.0
"""Branches further apart in level than this leave no hole of 12 dB, nor anything near it: at most 5.7 dB."""
FREQUENCIES = 96
"""Frequencies up to f_c at which holes are looked for; twice as many move no limit by more than 0.2 %."""
STEPS = 256
"""Steps of the search over angle up to one wavelength of the spacing, before the parabola through the lowest three."""

Places = tuple[float, ...]


def _branches(slope: Slope) -> tuple[FloatArray, NDArray[np.complex128], NDArray[np.complex128]]:
    """u = f/f_c up to 1 where both branches count, and both targets there, the high one in its right polarity."""
    u = np.linspace(0.05, 1.0, 8 * FREQUENCIES)
    low, high = low_pass(slope, u, 1.0), polarity(slope) * high_pass(slope, u, 1.0)
    near = np.abs(20.0 * np.log10(np.abs(high / low))) <= BRANCHES_WITHIN_DB
    u = np.linspace(u[near][0], 1.0, FREQUENCIES)
    return u, low_pass(slope, u, 1.0), polarity(slope) * high_pass(slope, u, 1.0)


@lru_cache(maxsize=4096)
def _first_hole(slope: Slope, low_at: Places, high_at: Places) -> float:
    """Smallest f_c sin(angle)/c, in 1 over the unit of the places, at which a hole stands; infinite where none does.

    With v = f sin(angle)/c the pattern is L(u) A(v) + H(u) B(v), A and B the mean of exp(j 2 pi v place) over the
    drivers of each branch: two sums serve every frequency, and v/u is what the hole takes of f_c.
    """
    nearest = min(abs(a - b) for a in low_at for b in high_at)
    widest = max(*low_at, *high_at) - min(*low_at, *high_at)
    steps = round(STEPS * widest / nearest)
    v = np.linspace(-1.0, 1.0, 2 * steps + 1) / nearest
    u, low, high = _branches(slope)
    lows, highs = (np.mean(np.exp(2j * np.pi * v[:, None] * np.array(at)), axis=-1) for at in (low_at, high_at))
    power = np.abs(low[:, None] * lows + high[:, None] * highs) ** 2
    before, here, after = power[:, :-2], power[:, 1:-1], power[:, 2:]
    bend = before - 2.0 * here + after
    shift = np.where(bend > 0.0, (before - after) / np.where(bend > 0.0, 2.0 * bend, 1.0), 0.0)
    least = here - (before - after) * shift / 4.0
    hole = (here <= before) & (here < after) & (least <= power[:, [steps]] * 10.0 ** (-HOLE_DB / 10.0))
    at = np.abs(v[1:-1] + shift * (v[1] - v[0])) / u[:, None]
    return float(np.min(np.where(hole, at, np.inf)))


def lobing_limit_hz(
    slope: Slope, low_at_m: Places, high_at_m: Places, half_window_rad: float, air: Air = STANDARD_AIR
) -> float:
    """Highest crossover in Hz at which no hole between the branches stands inside the window; infinite where none does.

    `low_at_m`, `high_at_m`: centres in m along the line of separation, no two of them in one place. `half_window_rad`
    above 0 to pi/2. A hole is a least level over angle `HOLE_DB` under the axis, at any frequency up to f_c at which the
    branches are within `BRANCHES_WITHIN_DB`; above f_c the narrowing is the high branch's. Both branches follow their
    targets, sources are points, the listener is far. Closed forms it meets: c/(2 d sin(phi)) for two in phase (Kinsler et al.
    2000, ch. 7), half of it in quadrature, 0.79 of it for a low-high-low of fourth order (D'Appolito 1983).

    >>> from reportgen.acoustics.slopes import SLOPES
    >>> [round(lobing_limit_hz(SLOPES[name], (0.0,), (0.15,), np.radians(15.0))) for name in ("LR4", "BW3")]
    [4420, 2210]
    """
    origin, reach = low_at_m[0], max(abs(a - b) for a in low_at_m for b in high_at_m)
    scaled = [tuple(round((at - origin) / reach, 3) for at in group) for group in (low_at_m, high_at_m)]
    return _first_hole(slope, *scaled) * air.speed_m_s / (reach * float(np.sin(half_window_rad)))


def column_side_lobe_hz(spacing_m: ArrayLike, angle_rad: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """Frequency in Hz at which a column's first full-strength side lobe stands at an angle: c/(d sin(angle)).

    `spacing_m` in m between equal sources in phase, `angle_rad` above 0 to pi/2; inputs broadcast. At 90 degrees the
    spacing is one wavelength: below it there is none. Source: Ureda 2004; the grating condition of optics.

    >>> round(float(column_side_lobe_hz(0.1, np.pi / 2)), 1)
    3432.1
    """
    return np.asarray(air.speed_m_s / (np.asarray(spacing_m, dtype=np.float64) * np.sin(angle_rad)))
