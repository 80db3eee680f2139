"""Diaphragms as flat pistons in a large baffle, and lines of them.

Knows how level falls off axis, far away and within the near field, and how far the flat model may be trusted.
Refuses to know what drives the diaphragm and what stands around it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from reportgen.acoustics.air import STANDARD_AIR, Air, FloatArray, wave_number

ComplexArray = NDArray[np.complex128]
Shape = Literal["round", "rectangular", "ring", "dome"]
SHAPES: tuple[Shape, ...] = ("round", "rectangular", "ring", "dome")

HALF_AMPLITUDE_ROUND = 2.2150893677
"""x at which 2 J1(x)/x = 1/2 (Abramowitz & Stegun table 9.5 gives the function)."""
HALF_AMPLITUDE_RECTANGULAR = 1.8954942670
"""x at which sin(x)/x = 1/2."""


def _array(value: ArrayLike) -> FloatArray:
    return np.asarray(value, dtype=np.float64)


@cache
def gauss_legendre(nodes: int) -> tuple[FloatArray, FloatArray]:
    """Abscissae between -1 and 1 and weights of at least `nodes` points, in steps of four; read-only."""
    abscissae, weights = np.polynomial.legendre.leggauss(-(-nodes // 4) * 4)
    abscissae.flags.writeable = weights.flags.writeable = False
    return abscissae, weights


def _jinc(x: ArrayLike) -> FloatArray:
    """2 J1(x)/x with its limit 1 at x = 0."""
    x = _array(x)
    small = np.abs(x) < 1e-6
    safe = np.where(small, 1.0, x)
    return np.asarray(np.where(small, 1.0, 2.0 * special.j1(safe) / safe))


def _sinc(x: ArrayLike) -> FloatArray:
    """sin(x)/x with its limit 1 at x = 0."""
    return np.asarray(np.sinc(_array(x) / np.pi))


def round_directivity(
    frequency_hz: ArrayLike, angle_rad: ArrayLike, diameter_m: ArrayLike, air: Air = STANDARD_AIR
) -> FloatArray:
    """Far-field amplitude of a round piston re its axis, signed: 2 J1(x)/x, x = k a sin(angle).

    All inputs broadcast. Source: Beranek & Mellow 2012; Kinsler et al. 2000.

    >>> round(float(round_directivity(3761.9, np.pi / 6, 0.12865)), 3)
    0.5
    """
    return _jinc(wave_number(frequency_hz, air) * _array(diameter_m) / 2.0 * np.sin(_array(angle_rad)))


def rectangular_directivity(
    frequency_hz: ArrayLike, angle_rad: ArrayLike, length_m: ArrayLike, air: Air = STANDARD_AIR
) -> FloatArray:
    """Far-field amplitude of a rectangle in the plane of its side `length_m` re its axis, signed: sin(x)/x.

    x = (k length/2) sin(angle). All inputs broadcast. Source: Kinsler et al. 2000.
    """
    return _sinc(wave_number(frequency_hz, air) * _array(length_m) / 2.0 * np.sin(_array(angle_rad)))


def piston_radiation_impedance(
    frequency_hz: ArrayLike, diameter_m: ArrayLike, air: Air = STANDARD_AIR
) -> tuple[FloatArray, FloatArray]:
    """Radiation resistance and reactance of a round piston in a baffle, both over rho c S; inputs broadcast.

    R = 1 - J1(2ka)/(ka), X = H1(2ka)/(ka) with Struve's H1. Source: Rayleigh 1896; Beranek & Mellow 2012.
    """
    ka = wave_number(frequency_hz, air) * _array(diameter_m) / 2.0
    small = ka < 0.02
    safe = np.where(small, 1.0, ka)
    square = ka**2
    resistance = np.where(small, square / 2.0 * (1.0 - square / 6.0), 1.0 - special.j1(2.0 * safe) / safe)
    reactance = np.where(small, 8.0 * ka / (3.0 * np.pi), special.struve(1, 2.0 * safe) / safe)
    return np.asarray(resistance), np.asarray(reactance)


def round_directivity_index_db(frequency_hz: ArrayLike, diameter_m: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """Directivity index in dB of a round piston in a baffle, referred to a sphere (3.01 dB at low frequency).

    10 lg[(ka)^2/(1 - J1(2ka)/(ka))]; inputs broadcast. Source: Beranek & Mellow 2012; Kinsler et al. 2000.
    """
    ka = np.maximum(wave_number(frequency_hz, air) * _array(diameter_m) / 2.0, 1e-9)
    resistance, _ = piston_radiation_impedance(ka * air.speed_m_s / (2.0 * np.pi), 2.0, air)
    return np.asarray(10.0 * np.log10(ka**2 / resistance))


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
    The radius is integrated in closed form, the angle numerically. Source: Rayleigh 1896; Kinsler et al. 2000.
    """
    k, w, h = np.broadcast_arrays(np.maximum(wave_number(frequency_hz, air), 1e-6), _array(width_m), _array(height_m))
    nodes = int(min(400.0, 24.0 + 0.35 * float(np.max(k * np.hypot(w, h), initial=0.0))))
    area = w * h
    integral = _rectangle_sector(k, w, h, nodes) + _rectangle_sector(k, h, w, nodes)
    resistance = 2.0 * k / (np.pi * area) * integral
    return np.asarray(10.0 * np.log10(k**2 * area / (np.pi * resistance)))


def _half_amplitude(shape: str) -> float:
    if shape not in SHAPES:
        raise ValueError(f'a radiator of shape "{shape}"; it must be one of {", ".join(SHAPES)}')
    return HALF_AMPLITUDE_RECTANGULAR if shape == "rectangular" else HALF_AMPLITUDE_ROUND


def half_amplitude_frequency_hz(
    angle_rad: ArrayLike, length_m: ArrayLike, shape: str = "round", air: Air = STANDARD_AIR
) -> FloatArray:
    """Frequency in Hz at which the amplitude at `angle_rad` has fallen to one half; infinite on the axis.

    x c/(pi length sin(angle)), x = 2.21509 (round) or 1.89549 (rectangular); inputs broadcast.

    >>> round(float(half_amplitude_frequency_hz(np.pi / 6, 2 * np.sqrt(0.0130 / np.pi))), 1)
    3761.9
    """
    with np.errstate(divide="ignore"):
        sine = np.abs(np.sin(_array(angle_rad)))
        return np.asarray(_half_amplitude(shape) * air.speed_m_s / (np.pi * _array(length_m) * sine))


def half_amplitude_angle_rad(
    frequency_hz: ArrayLike, length_m: ArrayLike, shape: str = "round", air: Air = STANDARD_AIR
) -> FloatArray:
    """Angle in rad at which the amplitude has fallen to one half; pi/2 where it never does; inputs broadcast."""
    with np.errstate(divide="ignore"):
        sine = _half_amplitude(shape) * air.speed_m_s / (np.pi * _array(length_m) * _array(frequency_hz))
    return np.asarray(np.arcsin(np.minimum(sine, 1.0)))


def beaming_frequency_hz(length_m: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """Frequency in Hz above which a radiator beams in the plane of `length_m`: length = wavelength.

    Common practice, no source.
    """
    return np.asarray(air.speed_m_s / _array(length_m))


class Directional:
    """What every radiator can say once it knows its amplitude towards two direction cosines (`along`)."""

    def along(self, frequency_hz: ArrayLike, right: ArrayLike, up: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
        """Far-field amplitude re the axis towards the direction cosines `right` and `up`; inputs broadcast."""
        raise NotImplementedError

    def horizontal(self, frequency_hz: ArrayLike, angle_rad: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
        """Far-field amplitude re the axis in the horizontal plane; inputs broadcast."""
        return self.along(frequency_hz, np.sin(_array(angle_rad)), 0.0, air)

    def vertical(self, frequency_hz: ArrayLike, angle_rad: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
        """Far-field amplitude re the axis in the vertical plane; inputs broadcast."""
        return self.along(frequency_hz, 0.0, np.sin(_array(angle_rad)), air)

    def directivity(
        self,
        frequency_hz: ArrayLike,
        horizontal_rad: ArrayLike,
        vertical_rad: ArrayLike,
        air: Air = STANDARD_AIR,
    ) -> FloatArray:
        """Far-field amplitude re the axis at an azimuth and an elevation; inputs broadcast."""
        elevation = _array(vertical_rad)
        right = np.sin(_array(horizontal_rad)) * np.cos(elevation)
        return self.along(frequency_hz, right, np.sin(elevation), air)


@dataclass(frozen=True)
class Radiator(Directional):
    """A flat diaphragm in a large baffle: shape, width and height in m (the diameter when round).

    A height of None means as high as wide. Ring and dome are computed as round pistons: see `model_bound`.
    Raises ValueError for an unknown shape or a size that is not greater than 0.
    """

    shape: str
    width_m: float
    height_m: float | None = None

    def __post_init__(self) -> None:
        _half_amplitude(self.shape)
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

    @property
    def area_m2(self) -> float:
        """Radiating area in m2."""
        return self.width_m * self.tall_m if self.rectangular else np.pi * self.width_m**2 / 4.0

    def along(self, frequency_hz: ArrayLike, right: ArrayLike, up: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
        """Far-field amplitude re the axis towards the direction cosines `right` and `up`; inputs broadcast."""
        k, right, up = wave_number(frequency_hz, air), _array(right), _array(up)
        if self.rectangular:
            return _sinc(k * self.width_m / 2.0 * right) * _sinc(k * self.tall_m / 2.0 * up)
        return _jinc(k * self.width_m / 2.0 * np.hypot(right, up))

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


def _line_integral(k: FloatArray, h: FloatArray, r: FloatArray, z: FloatArray) -> ComplexArray:
    """Mean of exp(-jks)/s over a line of height h seen from distance r and offset z; arrays of one shape."""
    far, near = np.hypot(r, np.abs(z) + h / 2.0), np.hypot(r, np.maximum(np.abs(z) - h / 2.0, 0.0))
    nodes = int(16.0 + 0.6 * float(np.max(k * (far - near), initial=0.0)))
    u, weight = gauss_legendre(nodes)
    path = np.hypot(r[..., None], z[..., None] - h[..., None] / 2.0 * u)
    phase = k[..., None] * path
    amplitude = weight / path
    real, imaginary = np.sum(amplitude * np.cos(phase), axis=-1), np.sum(amplitude * np.sin(phase), axis=-1)
    return np.asarray((real - 1j * imaginary) / 2.0)


def _fresnel_integral(k: FloatArray, h: FloatArray, r: FloatArray, z: FloatArray) -> ComplexArray:
    """The same, paraxial and without its phase and scale: only ratios of two values mean something."""
    scale = np.sqrt(k / (np.pi * r))
    upper_s, upper_c = special.fresnel((z + h / 2.0) * scale)
    lower_s, lower_c = special.fresnel((z - h / 2.0) * scale)
    return np.asarray((upper_c - lower_c) - 1j * (upper_s - lower_s))


def line_level(
    frequency_hz: ArrayLike,
    height_m: ArrayLike,
    distance_m: ArrayLike,
    offset_m: ArrayLike,
    air: Air = STANDARD_AIR,
) -> ComplexArray:
    """Complex amplitude of a uniform line at `offset_m` above its centre, re its value on the axis.

    Rayleigh integral of exp(-jks)/s over the line with exact paths s, at the same distance from the plane of the
    line. All inputs broadcast; m and Hz. Source: Rayleigh 1896; Lipshitz & Vanderkooy 1986; Ureda 2004.
    """
    k, h, r, z = np.broadcast_arrays(
        wave_number(frequency_hz, air), _array(height_m), _array(distance_m), _array(offset_m)
    )
    return np.asarray(_line_integral(k, h, r, z) / _line_integral(k, h, r, np.zeros_like(z)))


def line_level_fresnel(
    frequency_hz: ArrayLike,
    height_m: ArrayLike,
    distance_m: ArrayLike,
    offset_m: ArrayLike,
    air: Air = STANDARD_AIR,
) -> ComplexArray:
    """As `line_level`, paraxial: Fresnel integrals between u = (z -+ h/2) sqrt(2/(wavelength r)).

    Quick, and exact as long as height and offset are small against the distance. Its phase leaves out the
    common path. Source: Lipshitz & Vanderkooy 1986.
    """
    k, h, r, z = np.broadcast_arrays(
        wave_number(frequency_hz, air), _array(height_m), _array(distance_m), _array(offset_m)
    )
    return np.asarray(_fresnel_integral(k, h, r, z) / _fresnel_integral(k, h, r, np.zeros_like(z)))


def window_height_m(
    frequency_hz: ArrayLike,
    height_m: ArrayLike,
    distance_m: ArrayLike,
    air: Air = STANDARD_AIR,
    drop_db: float = 6.0,
    *,
    paraxial: bool = False,
) -> FloatArray:
    """Full height in m around the axis within which a uniform line stays within `drop_db` of its axis level.

    Inputs broadcast. The longer way off the axis counts: a point is 6 dB down at 60 degrees. Infinite where the
    level does not fall that far within 75 degrees. `paraxial` takes the Fresnel form, much quicker. Source: Lipshitz & Vanderkooy 1986; Ureda 2004.
    """
    k, h, r = np.broadcast_arrays(wave_number(frequency_hz, air), _array(height_m), _array(distance_m))
    integral = _fresnel_integral if paraxial else _line_integral
    target = 10.0 ** (-drop_db / 20.0) * np.abs(integral(k, h, r, np.zeros_like(r)))
    sine = np.minimum(2.0 * HALF_AMPLITUDE_RECTANGULAR / np.maximum(k * h, 1e-9), 0.95)
    reach = np.minimum(h / 2.0 + 1.5 * r * sine / np.sqrt(1.0 - sine**2), np.tan(np.radians(75.0)) * r)
    offset = reach[..., None] * np.linspace(0.0, 1.0, 48)
    excess = np.abs(integral(*np.broadcast_arrays(k[..., None], h[..., None], r[..., None], offset)))
    excess = excess - target[..., None]
    first = np.maximum(np.argmax(excess < 0.0, axis=-1), 1)[..., None]
    low, high = (np.take_along_axis(offset, first - i, -1)[..., 0] for i in (1, 0))
    at_low, at_high = (np.take_along_axis(excess, first - i, -1)[..., 0] for i in (1, 0))
    for _ in range(12):  # regula falsi, Illinois
        middle = low + (high - low) * at_low / np.where(at_low == at_high, 1.0, at_low - at_high)
        at_middle = np.abs(integral(k, h, r, middle)) - target
        inside = at_middle >= 0.0
        at_low, at_high = np.where(inside, at_middle, at_low / 2.0), np.where(inside, at_high / 2.0, at_middle)
        low, high = np.where(inside, middle, low), np.where(inside, high, middle)
    return np.asarray(np.where(np.any(excess < 0.0, axis=-1), 2.0 * middle, np.inf))


def column_directivity(
    frequency_hz: ArrayLike, count: int, spacing_m: ArrayLike, angle_rad: ArrayLike, air: Air = STANDARD_AIR
) -> FloatArray:
    """Far-field amplitude re the axis of `count` equal point sources in a column; inputs broadcast.

    sin(n x)/(n sin x), x = (k d/2) sin(angle), signed. Source: Kinsler et al. 2000.
    """
    x = wave_number(frequency_hz, air) * _array(spacing_m) / 2.0 * np.sin(_array(angle_rad))
    places = np.arange(count) - (count - 1) / 2.0
    return np.asarray(np.mean(np.cos(2.0 * x[..., None] * places), axis=-1))


def column_level(
    frequency_hz: ArrayLike,
    count: int,
    spacing_m: ArrayLike,
    distance_m: ArrayLike,
    offset_m: ArrayLike,
    air: Air = STANDARD_AIR,
) -> ComplexArray:
    """Complex amplitude of `count` equal point sources in a column at `offset_m` above its centre, re its axis.

    Exact paths, at the same distance from the plane of the column; inputs broadcast. Source: Ureda 2004.
    """
    k, d, r, z = np.broadcast_arrays(
        wave_number(frequency_hz, air), _array(spacing_m), _array(distance_m), _array(offset_m)
    )
    places = np.arange(count) - (count - 1) / 2.0

    def total(offset: FloatArray) -> ComplexArray:
        path = np.hypot(r[..., None], offset[..., None] - d[..., None] * places)
        return np.asarray(np.sum(np.exp(-1j * k[..., None] * path) / path, axis=-1))

    return np.asarray(total(z) / total(np.zeros_like(z)))
