"""Several sources heard from one place, and from many.

Knows real path lengths, lobes, windows, power response, and how long a level may be listened to.
Refuses to know filters and drivers: every source brings its response and its directivity.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil, sqrt
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.acoustics.air import STANDARD_AIR, Air, FloatArray, wave_number
from reportgen.acoustics.patterns import MeasuredRadiator
from reportgen.acoustics.radiators import Radiator, gauss_legendre

ComplexArray = NDArray[np.complex128]
Position = tuple[float, float, float]

MOST_PIECES = 400
"""Enough for a line of 20 m heard at 20 kHz from 2.5 m."""


class Directivity(Protocol):
    """What a source must be able to say of itself: amplitude re its axis along two direction cosines."""

    def along(self, frequency_hz: ArrayLike, right: ArrayLike, up: ArrayLike, air: Air = ...) -> FloatArray:
        """Amplitude re the axis; inputs broadcast."""

    def index_db(self, frequency_hz: ArrayLike, air: Air = ...) -> FloatArray:
        """Directivity index in dB referred to a sphere."""


def _array(value: ArrayLike) -> FloatArray:
    return np.asarray(value, dtype=np.float64)


def _decibel(power: ArrayLike) -> FloatArray:
    with np.errstate(divide="ignore"):
        return np.asarray(10.0 * np.log10(power))


@dataclass(frozen=True, eq=False)
class Source:
    """One driver on the front: its acoustic centre in m, its directivity and its response with its filter.

    Position is x to the right, y up, z towards the listener. `response` is complex over frequency: the far-field
    pressure on the axis referred to 1 m. Every source looks along z.
    """

    position_m: Position
    directivity: Directivity
    response: ComplexArray


def _pieces(source: Source, distance_m: float, highest_hz: float, air: Air) -> list[tuple[Position, Directivity]]:
    """The source, or a tall rectangle cut into pieces so short that the way from within one differs by wavelength/128."""
    given = source.directivity
    radiator = given.base if isinstance(given, MeasuredRadiator) and not given.whole else given
    if not (isinstance(radiator, Radiator) and radiator.rectangular):
        return [(source.position_m, radiator)]
    wavelength = air.speed_m_s / highest_hz
    count = max(1, min(MOST_PIECES, ceil(4.0 * radiator.tall_m / sqrt(wavelength * distance_m))))
    piece = Radiator("rectangular", radiator.width_m, radiator.tall_m / count)
    x, y, z = source.position_m
    offsets = (np.arange(count) - (count - 1) / 2.0) * piece.tall_m
    shape = replace(given, base=piece) if isinstance(given, MeasuredRadiator) else piece
    return [((x, y + float(offset), z), shape) for offset in offsets]


def sum_at(
    sources: Sequence[Source], points_m: ArrayLike, frequency_hz: ArrayLike, air: Air = STANDARD_AIR
) -> ComplexArray:
    """Complex pressure of all sources together at points (..., 3) in m over frequency (F,): shape (..., F).

    Each source adds response times directivity times exp(-jkr)/r along its real way r. Raises ValueError where a point
    does not lie in front of every source.
    """
    points, frequency = _array(points_m), _array(frequency_hz)
    k = wave_number(frequency, air)
    total = np.zeros((*points.shape[:-1], *frequency.shape), dtype=np.complex128)
    for source in sources:
        ways = points - np.asarray(source.position_m)
        if not np.all(ways[..., 2] >= 0.0):
            raise ValueError("a listening point lies behind a source; z must not be smaller than that of the source")
        nearest = float(np.min(np.linalg.norm(ways, axis=-1)))
        if nearest == 0.0:
            raise ValueError("a listening point lies in the centre of a source; there the level has no bounds")
        pieces = _pieces(source, nearest, float(np.max(frequency)), air)
        part = np.zeros_like(total)
        for position, radiator in pieces:
            way = points - np.asarray(position)
            r = np.linalg.norm(way, axis=-1)[..., None]
            gain = radiator.along(frequency, way[..., :1] / r, way[..., 1:2] / r, air) / r
            phase = k * r
            part.real += gain * np.cos(phase)
            part.imag -= gain * np.sin(phase)
        total += part * (source.response / len(pieces))
    return total


# --- places -----------------------------------------------------------------------------------------------------


def arc_points(
    distance_m: float,
    horizontal_rad: ArrayLike = 0.0,
    vertical_rad: ArrayLike = 0.0,
    centre_m: Position = (0.0, 0.0, 0.0),
) -> FloatArray:
    """Points (..., 3) in m at one distance around a centre, at azimuth and elevation; the angles broadcast."""
    azimuth, elevation = np.broadcast_arrays(_array(horizontal_rad), _array(vertical_rad))
    right, up = np.sin(azimuth) * np.cos(elevation), np.sin(elevation)
    direction = np.stack([right, up, np.cos(azimuth) * np.cos(elevation)], axis=-1)
    return np.asarray(np.asarray(centre_m) + distance_m * direction)


def ear_points(distance_m: float, height_m: ArrayLike, aside_m: ArrayLike = 0.0) -> FloatArray:
    """Points (..., 3) in m in the plane of the listener, at heights on the y axis; the offsets broadcast."""
    up, right = np.broadcast_arrays(_array(height_m), _array(aside_m))
    return np.stack([right, up, np.full(up.shape, distance_m)], axis=-1)


def vertical_map(
    sources: Sequence[Source],
    frequency_hz: ArrayLike,
    angles_rad: ArrayLike,
    distance_m: float,
    centre_m: Position = (0.0, 0.0, 0.0),
    air: Air = STANDARD_AIR,
) -> ComplexArray:
    """Pressure re 1 m over the elevations (A,) around a centre, at the listening distance: shape (A, F)."""
    return distance_m * sum_at(sources, arc_points(distance_m, 0.0, angles_rad, centre_m), frequency_hz, air)


def horizontal_map(
    sources: Sequence[Source],
    frequency_hz: ArrayLike,
    angles_rad: ArrayLike,
    distance_m: float,
    centre_m: Position = (0.0, 0.0, 0.0),
    air: Air = STANDARD_AIR,
) -> ComplexArray:
    """Pressure re 1 m over the azimuths (A,) around a centre, at the listening distance: shape (A, F)."""
    return distance_m * sum_at(sources, arc_points(distance_m, angles_rad, 0.0, centre_m), frequency_hz, air)


def window_average_db(
    sources: Sequence[Source],
    frequency_hz: ArrayLike,
    half_horizontal_rad: float,
    half_vertical_rad: float,
    distance_m: float,
    centre_m: Position = (0.0, 0.0, 0.0),
    air: Air = STANDARD_AIR,
    steps: int = 7,
) -> FloatArray:
    """Mean power in the listening window as a level in dB re the pressure unit at 1 m, shape (F,).

    The window spans `steps` azimuths by `steps` elevations, all of equal weight (common practice, no source).
    """
    azimuth = np.linspace(-half_horizontal_rad, half_horizontal_rad, steps)
    elevation = np.linspace(-half_vertical_rad, half_vertical_rad, steps)[:, None]
    points = arc_points(distance_m, azimuth, elevation, centre_m)
    pressure = distance_m * sum_at(sources, points, frequency_hz, air)
    return _decibel(np.mean(np.abs(pressure) ** 2, axis=(0, 1)))


def null_depth_db(
    kept: Sequence[Source],
    reversed_: Sequence[Source],
    point_m: Position,
    frequency_hz: ArrayLike,
    air: Air = STANDARD_AIR,
) -> FloatArray:
    """How far the sum at one point falls when the second group is reversed, in dB, shape (F,); deep is good."""
    first, second = sum_at(kept, point_m, frequency_hz, air), sum_at(reversed_, point_m, frequency_hz, air)
    return _decibel(np.abs(first + second) ** 2) - _decibel(np.abs(first - second) ** 2)


# --- lobes ------------------------------------------------------------------------------------------------------


def lobing_limit_hz(spacing_m: ArrayLike, half_window_rad: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """Frequency in Hz at which the null of two equal sources in phase enters the half window; inputs broadcast.

    c/(2 d sin(phi)), infinite for no window. Source: Kinsler et al. 2000, two sources.

    >>> round(float(lobing_limit_hz(0.15, np.radians(15.0))), 1)
    4420.3
    """
    with np.errstate(divide="ignore"):
        return np.asarray(air.speed_m_s / (2.0 * _array(spacing_m) * np.sin(_array(half_window_rad))))


def null_angle_rad(frequency_hz: ArrayLike, spacing_m: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """Angle in rad of the first null of two equal sources in phase; nan where there is none; inputs broadcast.

    >>> round(float(np.degrees(null_angle_rad(2000.0, 0.15))), 2)
    34.89
    """
    sine = air.speed_m_s / (2.0 * _array(spacing_m) * _array(frequency_hz))
    return np.asarray(np.arcsin(np.where(sine <= 1.0, sine, np.nan)))


def symmetric_drop_db(
    frequency_hz: ArrayLike,
    spacing_m: ArrayLike,
    angle_rad: ArrayLike,
    high_share: ArrayLike = 0.5,
    air: Air = STANDARD_AIR,
) -> FloatArray:
    """Level off axis in dB re the axis of a low-high-low, point sources in phase; inputs broadcast.

    20 lg |s + (1 - s) cos(kd sin(angle))|, s the high driver's share of the amplitude on the axis (1/2 at the
    crossover) and `spacing_m` from the high driver's centre to that of each low driver. Source: D'Appolito 1983.
    """
    share = _array(high_share)
    x = wave_number(frequency_hz, air) * _array(spacing_m) * np.sin(_array(angle_rad))
    return _decibel((share + (1.0 - share) * np.cos(x)) ** 2)


def symmetric_lobing_limit_hz(
    spacing_m: ArrayLike,
    half_window_rad: ArrayLike,
    air: Air = STANDARD_AIR,
    high_share: ArrayLike = 0.5,
) -> FloatArray:
    """As `lobing_limit_hz` for a low-high-low; `spacing_m` from the high centre to each low centre.

    The null of s + (1 - s) cos(x) lies at x = arccos(-s/(1 - s)): pi at the crossover of an in-phase slope, where the
    limit equals that of two sources. Further below, the two low drivers alone (s = 0) null at half of it. Infinite
    where the high driver outweighs the low ones. Source: D'Appolito 1983.
    """
    share = _array(high_share)
    with np.errstate(invalid="ignore", divide="ignore"):
        x = np.arccos(-share / (1.0 - share))
        limit = lobing_limit_hz(spacing_m, half_window_rad, air) * x / np.pi
    return np.asarray(np.where(share > 0.5, np.inf, limit))


def lobe_tilt_rad(depth_offset_m: ArrayLike, spacing_m: ArrayLike) -> FloatArray:
    """Angle in rad by which the main lobe of two sources in phase leans towards the one that lies deeper.

    arctan(offset/spacing): square to the line through both centres, the same at every frequency. Inputs broadcast.
    """
    return np.asarray(np.arctan2(_array(depth_offset_m), _array(spacing_m)))


def depth_offset_m(tilt_rad: ArrayLike, spacing_m: ArrayLike) -> FloatArray:
    """Depth offset in m that leans the lobe by an angle: the inverse of `lobe_tilt_rad`."""
    return np.asarray(np.tan(_array(tilt_rad)) * _array(spacing_m))


def column_side_lobe_hz(
    spacing_m: ArrayLike, angle_rad: ArrayLike = np.pi / 2.0, air: Air = STANDARD_AIR
) -> FloatArray:
    """Frequency in Hz at which a column's first full-strength side lobe stands at an angle: c/(d sin(angle)).

    At 90 degrees the spacing is one wavelength: below it there is none. Source: Ureda 2004.
    """
    with np.errstate(divide="ignore"):
        return np.asarray(air.speed_m_s / (_array(spacing_m) * np.sin(_array(angle_rad))))


def column_clear_hz(spacing_m: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """Frequency in Hz below which not even the flank of a side lobe appears: spacing = wavelength/2 (Ureda 2004)."""
    return np.asarray(air.speed_m_s / (2.0 * _array(spacing_m)))


# --- power and directivity --------------------------------------------------------------------------------------


def _half_sphere(distance_m: float, rows: int, columns: int, *, halved: bool) -> tuple[FloatArray, FloatArray]:
    """Points (N, 3) on the front half sphere and their shares of it; only the right half where that is enough."""
    u, row_weight = gauss_legendre(rows)
    v, column_weight = gauss_legendre(columns)
    azimuth = (v + 1.0) * np.pi / 4.0 if halved else v * np.pi / 2.0
    points = arc_points(distance_m, azimuth, np.arcsin(u)[:, None])
    return points.reshape(-1, 3), np.asarray(np.outer(row_weight, column_weight).ravel() / 4.0)


def power_response_db(
    sources: Sequence[Source],
    frequency_hz: ArrayLike,
    air: Air = STANDARD_AIR,
    distance_m: float = 10.0,
    rows: int = 48,
) -> FloatArray:
    """Mean power over the front half sphere as a level in dB re the pressure unit at 1 m, shape (F,).

    `rows` directions from bottom to top serve arrangements of up to 5 wavelengths. `distance_m` should be large against the arrangement.
    """
    # arrangements on the centre line are alike to the left and to the right
    halved = all(source.position_m[0] == 0.0 for source in sources)
    points, share = _half_sphere(distance_m, rows, rows // 3 if halved else rows, halved=halved)
    points = points + np.array([0.0, 0.0, max(source.position_m[2] for source in sources)])
    pressure = distance_m * sum_at(sources, points, frequency_hz, air)
    return _decibel(share @ (pressure.real**2 + pressure.imag**2))


def directivity_index_db(
    sources: Sequence[Source],
    frequency_hz: ArrayLike,
    air: Air = STANDARD_AIR,
    distance_m: float = 10.0,
    axis_m: Position = (0.0, 0.0, 0.0),
) -> FloatArray:
    """Directivity index of the sum in dB referred to a sphere, shape (F,); the axis runs along z from `axis_m`."""
    point = np.asarray(axis_m) + np.array([0.0, 0.0, distance_m])
    on_axis = distance_m * sum_at(sources, point, frequency_hz, air)
    half_sphere = power_response_db(sources, frequency_hz, air, distance_m)
    return np.asarray(_decibel(np.abs(on_axis) ** 2) - half_sphere + 10.0 * np.log10(2.0))


def directivity_step_db(
    low: Directivity, high: Directivity, crossover_hz: ArrayLike, air: Air = STANDARD_AIR
) -> FloatArray:
    """Directivity index of the low driver less that of the high one at the crossover, dB, shape of `crossover_hz`."""
    return np.asarray(low.index_db(crossover_hz, air) - high.index_db(crossover_hz, air))


def tilt_db_per_octave(
    frequency_hz: ArrayLike, level_db: ArrayLike, from_hz: float = 5000.0, to_hz: float = 20000.0
) -> float:
    """Slope in dB per octave of the straight line through a level (F,) between two frequencies (least squares).

    Every octave counts alike however the frequencies are spaced. Raises ValueError for fewer than two points there.
    """
    frequency, level = _array(frequency_hz), _array(level_db)
    if np.count_nonzero((frequency >= from_hz) & (frequency <= to_hz)) < 2:
        raise ValueError(f"fewer than two frequencies lie between {from_hz} and {to_hz} Hz; a slope needs two")
    octave = np.linspace(np.log2(max(from_hz, frequency[0])), np.log2(min(to_hz, frequency[-1])), 97)
    return float(np.polyfit(octave, np.interp(octave, np.log2(frequency), level), 1)[0])


# --- hearing ----------------------------------------------------------------------------------------------------


def safe_listening_time_s(level_dba: ArrayLike) -> FloatArray:
    """Recommended longest daily exposure in s at an A-weighted level: 8 h at 85 dBA, halved every 3 dB.

    NIOSH 98-126. Any shape. Local rules come first.

    >>> float(safe_listening_time_s(94.0)) / 3600.0
    1.0
    """
    return np.asarray(8.0 * 3600.0 * 2.0 ** (-(_array(level_dba) - 85.0) / 3.0))


def safe_listening_level_dba(time_s: ArrayLike) -> FloatArray:
    """Recommended highest A-weighted level for a daily exposure: the inverse of `safe_listening_time_s`."""
    return np.asarray(85.0 - 3.0 * np.log2(_array(time_s) / (8.0 * 3600.0)))
