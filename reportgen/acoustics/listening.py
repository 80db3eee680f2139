"""Several sources heard from one place, and all round.

Knows real path lengths, the near field of tall radiators, the directivity of an array, and how long a level may be listened to.
Refuses to know filters and drivers: every source brings its response and its directivity.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil, log, sqrt
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


def near_field(
    radiator: Directivity, frequency_hz: ArrayLike, distance_m: float, air: Air = STANDARD_AIR
) -> ComplexArray:
    """What is read on the axis at a distance re the far-field strength, without the way's own phase; shape (F,).

    1 for anything small. A tall radiator reads less near by, as its ends are further away and late. `frequency_hz` (F,) in
    Hz, `distance_m` in m above 0; a flat rectangle that moves as one piece, thin against the distance.
    Source: Rayleigh integral; Lipshitz & Vanderkooy 1986; Ureda 2004.
    """
    frequency = np.atleast_1d(_array(frequency_hz))
    source = Source((0.0, 0.0, 0.0), radiator, np.ones(frequency.size, dtype=np.complex128))
    way = wave_number(frequency, air) * distance_m
    return np.asarray(sum_at([source], (0.0, 0.0, distance_m), frequency, air) * distance_m * np.exp(1j * way))


# --- directivity ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class _Stack:
    """Sources of one directivity above one another: x and z in m, heights (n,) in m, responses (n, F)."""

    x_m: float
    z_m: float
    directivity: Directivity
    heights_m: FloatArray
    responses: ComplexArray


def _stacks(sources: Sequence[Source]) -> list[_Stack]:
    groups: dict[tuple[float, float, int], list[Source]] = {}
    for source in sources:
        groups.setdefault((source.position_m[0], source.position_m[2], id(source.directivity)), []).append(source)
    return [
        _Stack(
            x, z, group[0].directivity, np.array([one.position_m[1] for one in group]),
            np.array([one.response for one in group]),
        )
        for (x, z, _), group in groups.items()
    ]  # fmt: skip


MOST_NODES = 1500.0
"""Enough for a line of 6 m at 20 kHz; beyond that the index is too coarse, and no loudspeaker is as tall."""


def _nodes(oscillation: float) -> int:
    """Gauss points for a squared pattern whose phase runs through `oscillation` radians, on a coarse ladder that is kept."""
    needed = min(24.0 + 0.6 * oscillation, MOST_NODES)
    return int(24.0 * 1.3 ** ceil(log(needed / 24.0, 1.3)))


def directivity_index_db(sources: Sequence[Source], frequency_hz: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """Directivity index in dB of sources in a large baffle, referred to a sphere, shape of `frequency_hz` (F,) in Hz.

    The far-field pattern of them all together is summed over the front half sphere, with as many directions as the
    size of the arrangement asks for at each frequency; the axis runs along z. Every radiator is taken whole, so a column
    or a tall foil counts as built. Source: Beranek 1954, ch. 4 (definition of the index).
    """
    stacks, frequency = _stacks(sources), _array(frequency_hz)
    heights = np.concatenate([stack.heights_m for stack in stacks])
    tall = float(np.ptp(heights)) + max(_size(stack.directivity)[1] for stack in stacks)
    wide = float(np.ptp([stack.x_m for stack in stacks])) + max(_size(stack.directivity)[0] for stack in stacks)
    found = [
        _index_db(stacks, index, float(k), tall, wide, air)
        for index, k in enumerate(wave_number(frequency, air).ravel())
    ]
    return np.array(found).reshape(frequency.shape)


def _size(directivity: Directivity) -> tuple[float, float]:
    """Width and height in m of what radiates: of the bare radiator behind a guide or a measurement, which change it little."""
    bare = getattr(directivity, "radiator", getattr(directivity, "base", directivity))
    return (bare.width_m, bare.tall_m) if isinstance(bare, Radiator) else (0.0, 0.0)


def _index_db(stacks: Sequence[_Stack], index: int, k: float, tall: float, wide: float, air: Air) -> float:
    """The index at the frequency with this index in the responses, k in 1/m."""
    up, row = gauss_legendre(_nodes(k * tall))
    turn, column = gauss_legendre(_nodes(k * wide))
    # alike to the right and to the left
    even = all(stack.x_m == 0.0 and not isinstance(stack.directivity, MeasuredRadiator) for stack in stacks)
    azimuth = (turn + 1.0) * (np.pi / 4.0) if even else turn * (np.pi / 2.0)
    level = np.sqrt(1.0 - up**2)[:, None]
    right, ahead = level * np.sin(azimuth), level * np.cos(azimuth)
    total, axis, hz = np.zeros(right.shape, dtype=np.complex128), 0j, k * air.speed_m_s / (2.0 * np.pi)
    for stack in stacks:
        column_sum = np.exp(1j * k * np.outer(up, stack.heights_m)) @ stack.responses[:, index]
        place = np.exp(1j * k * (stack.x_m * right + stack.z_m * ahead))
        total += column_sum[:, None] * place * stack.directivity.along(hz, right, up[:, None], air)
        axis += complex(np.sum(stack.responses[:, index]) * np.exp(1j * k * stack.z_m))
    mean = float(row @ (total.real**2 + total.imag**2) @ column) / 4.0  # over the half sphere
    return float(10.0 * np.log10(2.0 * max(abs(axis) ** 2, 1e-30) / max(mean, 1e-30)))


# --- hearing ----------------------------------------------------------------------------------------------------


def safe_listening_time_s(level_dba: ArrayLike) -> FloatArray:
    """Recommended longest daily exposure in s at an A-weighted level: 8 h at 85 dBA, halved every 3 dB.

    NIOSH 98-126. Any shape. Local rules come first.

    >>> float(safe_listening_time_s(94.0)) / 3600.0
    1.0
    """
    return np.asarray(8.0 * 3600.0 * 2.0 ** (-(_array(level_dba) - 85.0) / 3.0))
