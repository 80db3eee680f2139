"""How far a diaphragm must travel for a level, and the lowest crossover that its travel allows.

Knows a rigid piston in a baffle behind an acoustic slope. It holds while the diaphragm is small against the wavelength.
Refuses to know directivity, guides and heat: what they add comes in as a gain.
"""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
from numpy.typing import ArrayLike

from reportgen.acoustics.air import STANDARD_AIR, Air, FloatArray
from reportgen.acoustics.slopes import Slope, high_pass_magnitude

SEARCHED_RATIOS: FloatArray = np.geomspace(1e-3, 1e2, 20001)
"""f/f_c over which the travel behind a Bessel slope is searched; 1 200 points an octave find its peak within 1e-6."""
SEARCHED_RATIOS.flags.writeable = False


def _array(value: ArrayLike) -> FloatArray:
    return np.asarray(value, dtype=np.float64)


def pressure_from_travel(
    travel_m: ArrayLike,
    area_m2: ArrayLike,
    frequency_hz: ArrayLike,
    distance_m: ArrayLike = 1.0,
    air: Air = STANDARD_AIR,
) -> FloatArray:
    """Rms pressure in Pa on the axis in half space: rho Sd (2 pi f)^2 x/(2 pi r sqrt 2); inputs broadcast.

    `travel_m` is one-way peak travel in m; `area_m2` the effective area in m2; `frequency_hz` above 0, with ka below
    about 1, where a piston counts as a point; `distance_m` above the size of the diaphragm.
    Source: Kinsler et al. 2000, ch. 7, simple source in a baffle.
    """
    volume = air.density_kg_m3 * _array(area_m2) * (2.0 * pi * _array(frequency_hz)) ** 2 * _array(travel_m)
    return np.asarray(volume / (2.0 * pi * _array(distance_m) * sqrt(2.0)))


def travel_from_pressure(
    pressure_pa: ArrayLike,
    area_m2: ArrayLike,
    frequency_hz: ArrayLike,
    distance_m: ArrayLike = 1.0,
    air: Air = STANDARD_AIR,
) -> FloatArray:
    """One-way peak travel in m that an rms pressure (Pa) in half space needs: the inverse of `pressure_from_travel`."""
    return np.asarray(_array(pressure_pa) / pressure_from_travel(1.0, area_m2, frequency_hz, distance_m, air))


def full_travel_hz(
    pressure_pa_at_1m: ArrayLike, area_m2: ArrayLike, travel_m: ArrayLike, air: Air = STANDARD_AIR
) -> FloatArray:
    """Frequency in Hz at which an unfiltered tone takes the whole peak travel; inputs broadcast, as `pressure_from_travel`."""
    return np.asarray(np.sqrt(travel_from_pressure(pressure_pa_at_1m, area_m2, 1.0, 1.0, air) / _array(travel_m)))


def travel_factor(slope: Slope) -> float:
    """Largest |T(u)|/u^2 over all u = f/f_c: travel behind a slope, re that of an unfiltered tone at f_c.

    Infinite for a first-order slope. Butterworth and Linkwitz-Riley in closed form (by differentiation), Bessel on a
    grid of u.

    >>> from reportgen.acoustics.slopes import SLOPES
    >>> [round(travel_factor(SLOPES[name]), 4) for name in ("LR2", "LR4", "BW3")]
    [1.0, 0.5, 0.7274]
    """
    n = slope.order
    if n == 1:
        return float("inf")
    if slope.family == "Butterworth":
        return float(((n - 2) / 2.0) ** ((n - 2) / (2.0 * n)) / sqrt(n / 2.0)) if n > 2 else 1.0
    if slope.family == "Linkwitz-Riley":
        return float(((n - 2) / 2.0) ** ((n - 2) / n) / (n / 2.0)) if n > 2 else 1.0
    return float(np.max(high_pass_magnitude(slope, SEARCHED_RATIOS) / SEARCHED_RATIOS**2))


def _first_order_travel_limit(full_hz: FloatArray, fs_hz: ArrayLike, q: ArrayLike) -> FloatArray:
    """Lowest f_c of a first-order slope in front of a driver of resonance fs and Q, see `travel_limit_hz`.

    With w = (f/fs)^2, D = |1 - w + j sqrt(w)/Q|^2 and X = (fs/full)^2 the bound for each w is
    (fs/f_c)^2 <= X^2 D/(1 - X^2 D)/w; it is tightest where w^2 - 1 + X^2 D^2 = 0, found by halving.
    """
    fs, q, full = np.broadcast_arrays(_array(fs_hz), _array(q), full_hz)
    square, b = (fs / full) ** 4, 1.0 / q**2 - 2.0
    with np.errstate(invalid="ignore", divide="ignore"):
        radicand = b**2 / 4.0 - 1.0 + 1.0 / square  # real roots of X^2 D = 1: where travel is short at all
        low, high = np.maximum(-b / 2.0 - np.sqrt(radicand), 0.0), np.ones_like(full)
        for _ in range(50):
            middle = (low + high) / 2.0
            rising = middle**2 - 1.0 + square * (middle**2 + b * middle + 1.0) ** 2 > 0.0
            low, high = np.where(rising, low, middle), np.where(rising, middle, high)
        need = square * (high**2 + b * high + 1.0)
        limit = fs * np.sqrt(high * (1.0 - need) / need)
    short = (radicand > 0.0) & (-b / 2.0 + np.sqrt(np.maximum(radicand, 0.0)) > 0.0)
    return np.asarray(np.where(np.isnan(square + b), np.nan, np.where(short, limit, 0.0)))


def travel_limit_hz(
    pressure_pa_at_1m: ArrayLike,
    area_m2: ArrayLike,
    travel_m: ArrayLike,
    slope: Slope,
    air: Air = STANDARD_AIR,
    gain_db: ArrayLike = 0.0,
    fs_hz: ArrayLike = np.nan,
    q: ArrayLike = np.nan,
) -> FloatArray:
    """Lowest crossover in Hz at which no tone of that rms level needs more than the one-way peak travel; inputs broadcast.

    `pressure_pa_at_1m` in Pa, `area_m2` in m2 and `travel_m` in m are those of one driver; `gain_db` is what a guide
    and further drivers add at the seat. The slope holds down to zero frequency, and the limit is
    full_travel_hz sqrt(travel_factor). First order has no such limit: there the electrical slope works into the driver's
    own second-order high pass (`fs_hz`, `q`); nan without them, 0 where no f_c is too low.
    Source: derived from `pressure_from_travel`.

    >>> from reportgen.acoustics.slopes import SLOPES
    >>> round(float(travel_limit_hz(3.9716, 7e-4, 0.3e-3, SLOPES["LR4"])), 1)
    1329.5
    """
    share = _array(pressure_pa_at_1m) * 10.0 ** (-_array(gain_db) / 20.0)
    full = full_travel_hz(share, area_m2, travel_m, air)
    if slope.order == 1:
        return _first_order_travel_limit(full, fs_hz, q)
    return np.asarray(full * sqrt(travel_factor(slope)))
