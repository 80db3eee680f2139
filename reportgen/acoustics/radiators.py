"""Diaphragms as flat pistons in a large baffle.

Knows how level falls off axis far away, and how far the flat model may be trusted.
Refuses to know what drives the diaphragm and what stands around it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np
import scipy
from numpy.typing import ArrayLike

from reportgen.acoustics.air import STANDARD_AIR, Air, FloatArray, wave_number

Shape = Literal["round", "rectangular", "ring", "dome"]
SHAPES: tuple[Shape, ...] = ("round", "rectangular", "ring", "dome")

HALF_AMPLITUDE_ROUND = 2.2150893677
"""x at which 2 J1(x)/x = 1/2 (Abramowitz & Stegun table 9.5 gives the function)."""


def _array(value: ArrayLike) -> FloatArray:
    return np.asarray(value, dtype=np.float64)


@cache
def gauss_legendre(nodes: int) -> tuple[FloatArray, FloatArray]:
    """Abscissae between -1 and 1 and weights of at least `nodes` points, in steps of four; read-only.

    Newton's steps to the zeros of the Legendre polynomial from Tricomi's formula on, weights as Abramowitz & Stegun 25.4.29.
    """
    n = max(-(-nodes // 4) * 4, 4)
    at = np.arange(1, n // 2 + 1)
    x = (1.0 - (1.0 - 1.0 / n) / (8.0 * n**2)) * np.cos(np.pi * (4 * at - 1) / (4 * n + 2))
    for _ in range(NEWTON_STEPS):
        value, slope = _legendre(n, x)
        x -= value / slope
    weights = 2.0 / ((1.0 - x**2) * _legendre(n, x)[1] ** 2)
    abscissae, weights = np.concatenate([-x, x[::-1]]), np.concatenate([weights, weights[::-1]])
    abscissae.flags.writeable = weights.flags.writeable = False
    return abscissae, weights


NEWTON_STEPS = 3
"""From an error of 1/n^4 on; each squares it."""


def _legendre(n: int, x: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Legendre polynomial and its slope (Abramowitz & Stegun 22.8.5) inside -1 to 1."""
    value, before = scipy.special.eval_legendre(n, x), scipy.special.eval_legendre(n - 1, x)
    return value, n * (x * value - before) / (x**2 - 1.0)


def jinc(x: ArrayLike) -> FloatArray:
    """2 J1(x)/x with its limit 1 at x = 0."""
    x = _array(x)
    small = np.abs(x) < 1e-6
    safe = np.where(small, 1.0, x)
    return np.asarray(np.where(small, 1.0, 2.0 * scipy.special.j1(safe) / safe))


def _sinc(x: ArrayLike) -> FloatArray:
    """sin(x)/x with its limit 1 at x = 0."""
    return np.asarray(np.sinc(_array(x) / np.pi))


def _piston_resistance(ka: FloatArray) -> FloatArray:
    """Radiation resistance over rho c S of a round piston in a baffle: 1 - J1(2ka)/(ka); any shape.

    Source: Rayleigh 1896, section 302; Beranek & Mellow 2012, ch. 13.
    """
    small = ka < 0.02  # where the difference of two near ones loses its digits
    safe = np.where(small, 1.0, ka)
    square = ka**2
    return np.asarray(np.where(small, square / 2.0 * (1.0 - square / 6.0), 1.0 - scipy.special.j1(2.0 * safe) / safe))


def round_directivity_index_db(frequency_hz: ArrayLike, diameter_m: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """Directivity index in dB of a round piston in a baffle, referred to a sphere (3.01 dB at low frequency).

    10 lg[(ka)^2/(1 - J1(2ka)/(ka))], `frequency_hz` in Hz, `diameter_m` in m; inputs broadcast. Exact for a flat piston.
    Source: Beranek & Mellow 2012, ch. 13; Kinsler et al. 2000, ch. 7.
    """
    ka = np.maximum(wave_number(frequency_hz, air) * _array(diameter_m) / 2.0, 1e-9)
    return np.asarray(10.0 * np.log10(ka**2 / _piston_resistance(ka)))


def _rectangle_sector(k: FloatArray, side: FloatArray, other: FloatArray, nodes: int) -> FloatArray:
    """Integral of (w - x)(h - y) sin(k r)/r over the part of the quadrant whose rays leave through `side`."""
    u, weight = gauss_legendre(nodes)
    top = np.arctan2(other, side)[..., None]
    phi = top * (u + 1.0) / 2.0
    cos, sin = np.cos(phi), np.sin(phi)
    reach = side[..., None] / cos
    x = k[..., None] * reach
    first, mixed = side[..., None] * other[..., None], side[..., None] * sin + other[..., None] * cos
    # integral over r of (side - r cos)(other - r sin) sin(k r), from 0 to reach, each power in closed form
    half = np.sinc(x / (2.0 * np.pi)) ** 2 / 2.0  # (1 - cos x)/x^2
    small = x < 1e-2
    safe = np.where(small, 1.0, x)
    linear = np.where(small, x / 3.0, (np.sin(safe) - safe * np.cos(safe)) / safe**2)
    square = np.where(small, x / 4.0, (2.0 * safe * np.sin(safe) - (safe**2 - 2.0) * np.cos(safe) - 2.0) / safe**3)
    inner = reach * (first * x * half - mixed * reach * linear + cos * sin * reach**2 * square)
    return np.asarray(np.sum(weight * inner, axis=-1) * top[..., 0] / 2.0)


def rectangular_directivity_index_db(
    frequency_hz: ArrayLike, width_m: ArrayLike, height_m: ArrayLike, air: Air = STANDARD_AIR
) -> FloatArray:
    """Directivity index in dB of a flat rectangle in a baffle, referred to a sphere; inputs broadcast.

    10 lg(k^2 S/(pi R)) with the radiation resistance R = (2k/(pi S)) times the integral over the first quadrant of
    (w - x)(h - y) sin(k r)/r: the energy of the half sphere, gathered on the diaphragm instead of far away.
    The radius is integrated in closed form, the angle numerically. `frequency_hz` in Hz, sides in m; good to 1e-4 dB up to
    k times the diagonal of 1000. Source: Rayleigh 1896, section 302; Kinsler et al. 2000, ch. 7.
    """
    k, w, h = np.broadcast_arrays(np.maximum(wave_number(frequency_hz, air), 1e-6), _array(width_m), _array(height_m))
    nodes = int(min(400.0, 24.0 + 0.35 * float(np.max(k * np.hypot(w, h), initial=0.0))))
    area = w * h
    integral = _rectangle_sector(k, w, h, nodes) + _rectangle_sector(k, h, w, nodes)
    resistance = 2.0 * k / (np.pi * area) * integral
    return np.asarray(10.0 * np.log10(k**2 * area / (np.pi * resistance)))


def half_amplitude_frequency_hz(angle_rad: ArrayLike, diameter_m: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """Frequency in Hz at which a round piston's amplitude at an angle has fallen to one half: x c/(pi d sin(angle)).

    x = 2.21509 (Abramowitz & Stegun table 9.5). `angle_rad` from 0 (infinite there) to pi/2, `diameter_m` above 0;
    inputs broadcast. A cone that breaks up radiates wider or narrower than the flat piston.

    >>> round(float(half_amplitude_frequency_hz(np.pi / 6, 2 * np.sqrt(0.0130 / np.pi))), 1)
    3761.9
    """
    with np.errstate(divide="ignore"):
        sine = np.abs(np.sin(_array(angle_rad)))
        return np.asarray(HALF_AMPLITUDE_ROUND * air.speed_m_s / (np.pi * _array(diameter_m) * sine))


@dataclass(frozen=True)
class Radiator:
    """A flat diaphragm in a large baffle: shape, width and height in m (the diameter when round).

    A height of None means as high as wide. Ring and dome are computed as round pistons: see `model_bound`.
    Raises ValueError for an unknown shape or a size that is not greater than 0.
    """

    shape: str
    width_m: float
    height_m: float | None = None

    def __post_init__(self) -> None:
        if self.shape not in SHAPES:
            raise ValueError(f'a radiator of shape "{self.shape}"; it must be one of {", ".join(SHAPES)}')
        if not (self.width_m > 0.0 and self.tall_m > 0.0):
            raise ValueError(f"a radiator of {self.width_m} m by {self.tall_m} m; both must be greater than 0")

    @property
    def tall_m(self) -> float:
        """Height in m, the width where none was given."""
        return self.width_m if self.height_m is None else self.height_m

    @property
    def rectangular(self) -> bool:
        """Whether the two planes differ."""
        return self.shape == "rectangular"

    def along(self, frequency_hz: ArrayLike, right: ArrayLike, up: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
        """Far-field amplitude re the axis towards the direction cosines `right` and `up`; inputs broadcast."""
        k, right, up = wave_number(frequency_hz, air), _array(right), _array(up)
        if self.rectangular:
            return _sinc(k * self.width_m / 2.0 * right) * _sinc(k * self.tall_m / 2.0 * up)
        return jinc(k * self.width_m / 2.0 * np.hypot(right, up))

    def index_db(self, frequency_hz: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
        """Directivity index in dB referred to a sphere, shape of `frequency_hz`."""
        if self.rectangular:
            return rectangular_directivity_index_db(frequency_hz, self.width_m, self.tall_m, air)
        return round_directivity_index_db(frequency_hz, self.width_m, air)


@dataclass(frozen=True)
class ModelBound:
    """How far the flat-piston model holds for one radiator: a sentence, and the frequency where doubt begins."""

    sentence: str
    doubtful_above_hz: float


_BOUNDS: dict[str, tuple[float, str]] = {
    "round": (
        2.0,
        "that of a flat round piston; a cone is deep and stops moving as one piece, and its edge then radiates less",
    ),
    "dome": (
        3.0,
        "that of a flat round piston; a dome's rim lags behind its crown, which widens or narrows the top end",
    ),
    "ring": (
        1.5,
        "that of a flat full disc; a ring radiates from its edge only and narrows sooner than a disc",
    ),
    "rectangular": (
        float("inf"),
        "that of a flat rectangle that moves as one piece; a foil that moves unevenly is wider",
    ),
}
"""Shape -> (ka above which the model is doubtful, why). Common practice, no source."""


def model_bound(radiator: Radiator, air: Air = STANDARD_AIR) -> ModelBound:
    """Where the flat-piston model is doubtful for this radiator (common practice, no source).

    >>> round(model_bound(Radiator("dome", 0.025)).doubtful_above_hz)
    13110
    """
    ka, reason = _BOUNDS[radiator.shape]
    limit_hz = ka * air.speed_m_s / (np.pi * radiator.width_m)
    above = f"; doubtful above {limit_hz:.0f} Hz" if np.isfinite(limit_hz) else ""
    return ModelBound(f"directivity is taken as {reason}{above}.", float(limit_hz))


def quarter_of_half_sphere(rows: int = 40) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Direction cosines and solid angles of a grid over a quarter of the front half sphere."""
    u, row_weight = gauss_legendre(rows)
    v, column_weight = gauss_legendre(rows // 2)
    cosine, azimuth = (u[:, None] + 1.0) / 2.0, (v + 1.0) * np.pi / 4.0
    sine = np.sqrt(1.0 - cosine**2)
    solid = np.outer(row_weight / 2.0, column_weight * np.pi / 4.0)
    return (sine * np.cos(azimuth)).ravel(), (sine * np.sin(azimuth)).ravel(), solid.ravel()
