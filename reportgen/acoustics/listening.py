"""Several sources heard from one place, and from many.

Knows real path lengths, lobes, windows, power response, and how long a level may be listened to.
Refuses to know filters and drivers: every source brings its response and its directivity.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, sqrt
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.acoustics.air import STANDARD_AIR, Air, FloatArray, wave_number
from reportgen.acoustics.radiators import Radiator

ComplexArray = NDArray[np.complex128]
Position = tuple[float, float, float]


class Directivity(Protocol):
    """What a source must be able to say of itself: amplitude re its axis along two direction cosines."""

    def along(self, frequency_hz: ArrayLike, right: ArrayLike, up: ArrayLike, air: Air = ...) -> FloatArray:
        """Amplitude re the axis; inputs broadcast."""

    def index_db(self, frequency_hz: ArrayLike, air: Air = ...) -> FloatArray:
        """Directivity index in dB referred to a sphere."""


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
    """The source, or a tall rectangle cut into pieces each of which is in its own far field (Rayleigh's distance)."""
    radiator = source.directivity
    if not (isinstance(radiator, Radiator) and radiator.rectangular):
        return [(source.position_m, radiator)]
    wavelength = air.speed_m_s / highest_hz
    count = max(1, ceil(2.0 * radiator.tall_m / sqrt(wavelength * distance_m)))
    piece = Radiator("rectangular", radiator.width_m, radiator.tall_m / count)
    x, y, z = source.position_m
    offsets = (np.arange(count) - (count - 1) / 2.0) * piece.tall_m
    return [((x, y + float(offset), z), piece) for offset in offsets]


def sum_at(
    sources: Sequence[Source], points_m: ArrayLike, frequency_hz: ArrayLike, air: Air = STANDARD_AIR
) -> ComplexArray:
    """Complex pressure of all sources together at points (..., 3) in m over frequency (F,): shape (..., F).

    Each source adds response times directivity times exp(-jkr)/r along its real way r. Raises ValueError where a point
    does not lie in front of every source.
    """
    points, frequency = np.asarray(points_m, dtype=np.float64), np.asarray(frequency_hz, dtype=np.float64)
    k = wave_number(frequency, air)
    total = np.zeros((*points.shape[:-1], *frequency.shape), dtype=np.complex128)
    for source in sources:
        ways = points - np.asarray(source.position_m)
        if not np.all(ways[..., 2] >= 0.0):
            raise ValueError("a listening point lies behind a source; z must not be smaller than that of the source")
        nearest = float(np.min(np.linalg.norm(ways, axis=-1)))
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
