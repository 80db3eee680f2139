"""Acoustic targets: the slopes a branch is meant to follow, driver included.

Knows the polynomials of Butterworth, Linkwitz-Riley and Bessel slopes and what their sums need.
Refuses to know parts, drivers or distances.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import factorial, pi
from types import MappingProxyType
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.acoustics.frequencies import crossing

Family = Literal["Linkwitz-Riley", "Butterworth", "Bessel"]
ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Slope:
    """One acoustic slope: its short name, its family and its order."""

    name: str
    family: Family
    order: int

    @property
    def in_phase(self) -> bool:
        """True for even orders: at f_c both branches add in phase, and one of them reversed leaves a null.

        Odd ones stand a quarter of a turn apart there, and the sum is level either way. (Linkwitz 1976; Lipshitz &
        Vanderkooy 1983.)
        """
        return self.order % 2 == 0


SLOPES: Mapping[str, Slope] = MappingProxyType(
    {
        slope.name: slope
        for slope in (
            Slope("LR2", "Linkwitz-Riley", 2),
            Slope("LR4", "Linkwitz-Riley", 4),
            Slope("LR8", "Linkwitz-Riley", 8),
            Slope("BW1", "Butterworth", 1),
            Slope("BW2", "Butterworth", 2),
            Slope("BW3", "Butterworth", 3),
            Slope("BW4", "Butterworth", 4),
            Slope("BE2", "Bessel", 2),
            Slope("BE3", "Bessel", 3),
            Slope("BE4", "Bessel", 4),
        )
    }
)


def butterworth(order: int) -> Slope:
    """The Butterworth slope of any order from 1 up, as ratings are stated behind one."""
    return SLOPES.get(f"BW{order}") or Slope(f"BW{order}", "Butterworth", order)


def _butterworth(order: int) -> NDArray[np.float64]:
    poles = np.exp(1j * pi * (2 * np.arange(1, order + 1) + order - 1) / (2 * order))
    return np.real(np.poly(poles))


def _bessel(order: int) -> NDArray[np.float64]:
    """Reverse Bessel polynomial, scaled so that the first and the last coefficient are 1."""
    falling = [
        factorial(2 * order - k) / (2 ** (order - k) * factorial(k) * factorial(order - k))
        for k in range(order, -1, -1)
    ]
    scale = falling[-1] ** (1.0 / order)
    return np.array([a * scale**k / falling[-1] for a, k in zip(falling, range(order, -1, -1), strict=True)])


@cache
def _coefficients(slope: Slope) -> tuple[float, ...]:
    if slope.family == "Linkwitz-Riley":
        half = _butterworth(slope.order // 2)
        polynomial = np.polymul(half, half)
    elif slope.family == "Butterworth":
        polynomial = _butterworth(slope.order)
    else:
        polynomial = _bessel(slope.order)
    return tuple(float(a) for a in polynomial)


def denominator(slope: Slope) -> NDArray[np.float64]:
    """Denominator of the low pass in s/(2 pi f_c), highest power first; first and last coefficient are 1.

    Butterworth 1930; Linkwitz 1976 (a Butterworth of half the order, squared); Thomson 1949 for Bessel,
    scaled so that low and high branch stand at the same distance from the middle phase at f_c.
    """
    return np.array(_coefficients(slope))


def low_pass(slope: Slope, frequency_hz: ArrayLike, crossover_hz: float) -> ComplexArray:
    """Low branch of the target, complex, shape of `frequency_hz`; 1 at zero frequency.

    >>> round(float(20 * np.log10(abs(low_pass(SLOPES["LR4"], 2000.0, 2000.0)))), 2)
    -6.02
    """
    s = 1j * np.asarray(frequency_hz, dtype=np.float64) / crossover_hz
    return np.asarray(1.0 / np.polyval(denominator(slope), s), dtype=np.complex128)


def high_pass(slope: Slope, frequency_hz: ArrayLike, crossover_hz: float) -> ComplexArray:
    """High branch of the target, complex, shape of `frequency_hz`, not reversed; 1 far above f_c.

    It is the low branch with s replaced by 1/s.

    >>> round(float(20 * np.log10(abs(high_pass(SLOPES["BW3"], 2000.0, 2000.0)))), 2)
    -3.01
    """
    s = 1j * np.asarray(frequency_hz, dtype=np.float64) / crossover_hz
    return np.asarray(s**slope.order / np.polyval(denominator(slope)[::-1], s), dtype=np.complex128)


def high_pass_magnitude(slope: Slope, ratio: ArrayLike) -> FloatArray:
    """|T| of the high branch, any shape.

    `ratio` is f/f_c, above 0; infinity is allowed and gives 1. The high branch at u is the low one at 1/u.
    Source: as `denominator`.

    >>> round(float(high_pass_magnitude(SLOPES["LR4"], 1.0)), 3)
    0.5
    """
    return np.asarray(1.0 / np.abs(np.polyval(denominator(slope), 1j / np.asarray(ratio, dtype=np.float64))))


def polarity(slope: Slope) -> int:
    """-1 where the high branch must be reversed for the right sum, else +1.

    Second orders stand half a turn apart at f_c and must be reversed. Butterworth 3 sums flat either way;
    reversed it is the all-pass of first order and not of second, so it delays less. (Linkwitz 1976; Lipshitz
    & Vanderkooy 1983.)

    >>> polarity(SLOPES["LR2"]), polarity(SLOPES["LR4"])
    (-1, 1)
    """
    return -1 if slope.order in (2, 3) else 1


def target_sum(slope: Slope, frequency_hz: ArrayLike, crossover_hz: float) -> ComplexArray:
    """Sum of both targets with the right polarity, complex, shape of `frequency_hz`."""
    high = high_pass(slope, frequency_hz, crossover_hz)
    return low_pass(slope, frequency_hz, crossover_hz) + polarity(slope) * high


@cache
def sum_departure_db(slope: Slope) -> float:
    """Where the sum of both targets departs most from its ends, by how much (dB, with its sign).

    Butterworth of even order stands 3 dB over them at f_c, Bessel of third order 3 dB under; Linkwitz-Riley and Butterworth of odd
    order sum flat. (Linkwitz 1976; Lipshitz & Vanderkooy 1983.)

    >>> [round(sum_departure_db(SLOPES[name]), 2) + 0.0 for name in ("LR4", "BW3", "BW4")]
    [0.0, 0.0, 3.01]
    """
    departure = 20.0 * np.log10(np.abs(target_sum(slope, np.geomspace(0.1, 10.0, 401), 1.0)))
    return float(departure[np.argmax(np.abs(departure))])


def attenuation_ratio(slope: Slope, db: float = 20.0) -> float:
    """f/f_c at which the low branch stands `db` below its passband (common practice takes 20 dB, no source).

    >>> [round(attenuation_ratio(SLOPES[name]), 3) for name in ("LR4", "LR2", "BW3")]
    [1.732, 3.0, 2.151]
    """
    if not db > 0.0:
        raise ValueError(f"an attenuation of {db} dB was asked for; it must be greater than 0")
    if slope.family == "Linkwitz-Riley":
        return float((10.0 ** (db / 20.0) - 1.0) ** (1.0 / slope.order))
    if slope.family == "Butterworth":
        return float((10.0 ** (db / 10.0) - 1.0) ** (0.5 / slope.order))

    def excess_db(log_ratio: FloatArray) -> FloatArray:
        return np.asarray(20.0 * np.log10(np.abs(low_pass(slope, np.exp(log_ratio), 1.0))) + db)

    return float(np.exp(crossing(excess_db, -12.0, db)))
