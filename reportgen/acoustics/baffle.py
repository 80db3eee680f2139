"""The front panel: what its edges do to a driver's response on the axis, and to the power that it radiates.

Knows the baffle step and the sum of the rays that the edges of a closed box or of an open panel send.
Refuses to know the depth of a cabinet, rounded edges and the room.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.acoustics.air import STANDARD_AIR, Air, FloatArray, wave_number
from reportgen.acoustics.radiators import Radiator, gauss_legendre, jinc

ComplexArray = NDArray[np.complex128]

STEP_CONSTANT = 115.0
"""Hz metre. Common practice, no source."""
MOST_NODES = 1000.0
"""Enough for a panel of 6 m at 20 kHz; what the edges of a larger one add is too small there to be worth more."""
BLOCK = 24
"""Frequencies that share the number of rays which the highest of them needs; more would waste rays, fewer calls."""

OPEN_STEP = 0.25
OPEN_EDGE: ComplexArray = np.array([
    1.0, 1.009, 1.036, 1.088, 1.171, 1.299, 1.472, 1.653, 1.744, 1.686, 1.544, 1.408, 1.31, 1.254, 1.232, 1.241, 1.28,
    1.348, 1.44, 1.537, 1.603, 1.605, 1.543, 1.455, 1.373, 1.315, 1.282, 1.276, 1.295, 1.338, 1.402, 1.476, 1.54, 1.567,
    1.545, 1.486, 1.417, 1.357, 1.317, 1.299, 1.303, 1.329, 1.375, 1.435, 1.495, 1.536, 1.539, 1.505, 1.45, 1.392, 1.347,
]) + 1j * np.array([
    0.0, 0.091, 0.183, 0.274, 0.36, 0.425, 0.433, 0.336, 0.133, -0.068, -0.17, -0.175, -0.128, -0.058, 0.02, 0.096, 0.164,
    0.213, 0.228, 0.192, 0.101, -0.013, -0.101, -0.136, -0.124, -0.082, -0.025, 0.037, 0.095, 0.142, 0.168, 0.159, 0.109,
    0.029, -0.051, -0.102, -0.114, -0.093, -0.052, -0.001, 0.051, 0.098, 0.13, 0.138, 0.114, 0.059, -0.01, -0.069, -0.098,
    -0.096, -0.069,
])  # fmt: skip
"""(1 - H) exp(jka) of a thin disc with a two-sided source in its middle, at ka = 0, 0.25 .. 12.5; sqrt(2) far beyond.

Not tuned: the exact solution of the disc (`tests/reference/exact_disc.py` makes these figures anew), sqrt(2) is the
ray coefficient of a half plane (Keller 1962). A plain ray sum has 1 here, and none of the waves between opposite edges.
"""
OPEN_POWER: FloatArray = np.array([
    0.0, 0.009, 0.037, 0.095, 0.2, 0.382, 0.674, 1.061, 1.398, 1.508, 1.409, 1.234, 1.068, 0.938, 0.846, 0.791, 0.774, 0.799,
    0.87, 0.983, 1.105, 1.188, 1.198, 1.151, 1.077, 1.003, 0.941, 0.896, 0.873, 0.873, 0.901, 0.956, 1.028, 1.092, 1.124, 1.116,
    1.079, 1.03, 0.983, 0.944, 0.918, 0.908, 0.917, 0.947, 0.992, 1.043, 1.08, 1.091, 1.075, 1.044, 1.007,
])  # fmt: skip
"""Power of that source re a boundless baffle, at the same ka (the same exact solution); 4 (ka)^2/(3 pi^2) below, 1 beyond."""

_JINC_AT: FloatArray = np.arange(1, 5001, dtype=np.float64) * 0.02


@cache
def _jinc_table() -> FloatArray:
    """2 J1(q)/q at q = 0.02 .. 100; straight lines between are good to 5e-5, and five times as quick as the function."""
    return jinc(_JINC_AT)


def step_hz(width_m: ArrayLike) -> FloatArray:
    """Middle of the baffle step in Hz: 115/width, `width_m` in m above 0 (common practice, no source).

    >>> float(step_hz(0.23))
    500.0
    """
    return np.asarray(STEP_CONSTANT / np.asarray(width_m, dtype=np.float64))


def edge_response(
    frequency_hz: ArrayLike,
    width_m: float,
    height_m: float,
    x_m: float,
    y_m: float,
    open_back: bool = False,
    air: Air = STANDARD_AIR,
    source: Radiator | None = None,
) -> ComplexArray:
    """On-axis response of a source on a rectangular panel re a boundless one, complex, shape of `frequency_hz`.

    H = 1 - (1/2) mean over all directions on the panel of D exp(-jk rho), rho the way to the edge; for a panel open at
    the back g(k rho) stands in place of 1/2, g being `OPEN_EDGE`. D is the mean of exp(-jk way) over the area of the
    source, exact for straight edges: 2 J1(q)/q of a round one, q = k a/cos of the ray against the edge; sin(q)/q of a
    rectangle. Without a `source` it is a point.

    `frequency_hz` in Hz from 0; `width_m`, `height_m` of the panel in m; `x_m` counts to the right and `y_m` upwards
    from the middle of the panel, and must lie on it (ValueError). A box counts as deep against the wavelength. Held against
    a boundary-element library (`tests/reference/boundary_elements.py`): a box within 1 dB from 60 Hz to 1.8 kHz, an open panel
    within 1.1 dB for a source in the middle and 3.8 dB for one next to an edge, where the bass is overstated. Beyond k times the
    diagonal of 2400 the rays are counted too coarsely, good to 0.5 dB.
    Source: Vanderkooy 1991; Bews & Hawksford 1986; the open panel as `OPEN_EDGE`.
    """
    frequency = np.asarray(frequency_hz, dtype=np.float64)
    to_edges = (width_m / 2.0 - x_m, height_m / 2.0 - y_m, width_m / 2.0 + x_m, height_m / 2.0 + y_m)
    if min(to_edges) <= 0.0:
        raise ValueError("the source lies outside the panel; its distances to all four edges must be greater than 0")
    k = wave_number(frequency, air).ravel()
    rays = np.empty(k.size, dtype=np.complex128)
    order = np.argsort(k)
    for block in np.array_split(order, max(1, -(-k.size // BLOCK))):
        rays[block] = _mean_ray(k[block], to_edges, open_back, source)
    return np.asarray(1.0 - rays.reshape(frequency.shape))


def _mean_ray(k: FloatArray, to_edges: tuple[float, ...], open_back: bool, source: Radiator | None) -> ComplexArray:
    """What all edges send together, shape of `k`."""
    way, share, stretch, behind = _ways(to_edges, float(np.max(k, initial=0.0)))
    phase = k[:, None] * way.ravel()
    strength = share.ravel()
    if source is not None:
        strength = strength * np.concatenate(
            [_of_area(k[:, None] * row, source, upright=side % 2 == 0) for side, row in enumerate(stretch)], axis=-1
        )
    real, imaginary = strength * np.cos(phase), strength * np.sin(phase)
    if not open_back:
        return np.asarray((np.sum(real, axis=-1) - 1j * np.sum(imaginary, axis=-1)) / 2.0)
    g, h = _open_edge(k[:, None] * _chord(way, behind).ravel())
    return np.asarray(np.sum(real * g + imaginary * h, axis=-1) + 1j * np.sum(real * h - imaginary * g, axis=-1))


def _ways(to_edges: tuple[float, ...], k: float) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Way to the edge, share of all directions, 1/cos against the edge, and way backwards of rays (4, N): right, top, left, bottom.

    The angle is the Gudermannian of t: tan(angle) = sinh(t), d angle = dt/cosh(t), way = distance cosh(t), so that rays
    along an edge do not crowd.
    """
    distance = np.array(to_edges)[:, None]
    after, before = np.roll(distance, -1, axis=0), np.roll(distance, 1, axis=0)
    diagonal = float(np.hypot(to_edges[0] + to_edges[2], to_edges[1] + to_edges[3]))
    u, weight = gauss_legendre(int(min(MOST_NODES, 24.0 + 0.4 * k * diagonal)))
    start, end = -np.arcsinh(before / distance), np.arcsinh(after / distance)
    half = (end - start) / 2.0
    t = start + half * (u + 1.0)
    stretch, slant = np.cosh(t), np.sinh(t)
    sideways = np.where(slant > 0.0, before, after) / np.maximum(np.abs(slant), 1e-12)
    behind = stretch * np.minimum(np.roll(distance, 2, axis=0), sideways)
    return distance * stretch, weight * half / stretch / (2.0 * np.pi), stretch, behind


def _chord(way: FloatArray, behind: FloatArray) -> FloatArray:
    """Radius of the disc with a central source whose correction a ray of an open panel takes, from its way and that backwards.

    Where waves are long, a source off the middle of a disc moves as much air as one in the middle of a disc of radius
    sqrt(way behind), for every chord of the disc (power of a point; potential flow, Lamb 1932, section 101): the correction
    is taken where it leaves just that of the plain ray.
    """
    plain = 1.0 - 2.0 / np.pi
    return np.asarray(((way + behind) / 2.0 - (2.0 / np.pi) * np.sqrt(way * behind)) / plain)


def _of_area(k_over_cos: FloatArray, source: Radiator, upright: bool) -> FloatArray:
    """Mean over the area of a source of the phases of its points towards one edge, `upright` or level."""
    if source.rectangular:
        length = source.width_m if upright else source.tall_m
        return np.asarray(np.sinc(k_over_cos * length / (2.0 * np.pi)))
    q = k_over_cos * (source.width_m / 2.0)
    return np.asarray(np.interp(q, _JINC_AT, _jinc_table(), left=1.0, right=0.0))


def _open_edge(k_way: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Real and imaginary part of `OPEN_EDGE` at any k times radius."""
    at = np.arange(OPEN_EDGE.size) * OPEN_STEP
    real = np.interp(k_way, at, OPEN_EDGE.real, right=float(np.sqrt(2.0)))
    return real, np.interp(k_way, at, OPEN_EDGE.imag, right=0.0)


def radiated_power(
    frequency_hz: ArrayLike,
    width_m: float,
    height_m: float,
    x_m: float,
    y_m: float,
    open_back: bool = False,
    air: Air = STANDARD_AIR,
) -> FloatArray:
    """Power of a point on the panel, all round, re that of the same source into half space, shape of `frequency_hz`.

    A closed box: 1 - (1/2) mean of sin(2k rho)/(2k rho), what the edges send back to the source: 1/2 where waves are
    long, 1 where they are short. An open panel radiates to both sides: twice `OPEN_POWER` at the mean root of ways there and back.
    Parameters as `edge_response`. Source: radiation resistance from the rays of Vanderkooy 1991, derived here.
    """
    frequency = np.asarray(frequency_hz, dtype=np.float64)
    k = wave_number(frequency, air)[..., None]
    to_edges = (width_m / 2.0 - x_m, height_m / 2.0 - y_m, width_m / 2.0 + x_m, height_m / 2.0 + y_m)
    way, share, _, behind = (part.ravel() for part in _ways(to_edges, 2.0 * float(np.max(k, initial=0.0))))
    if not open_back:
        return np.asarray(1.0 - np.sinc(2.0 * k * way / np.pi) @ share / 2.0)
    x = k[..., 0] * float(np.sqrt(way * behind) @ share)
    at = np.arange(1, OPEN_POWER.size) * OPEN_STEP
    long = 4.0 * x**2 / (3.0 * np.pi**2)
    return np.asarray(2.0 * np.where(x < OPEN_STEP, long, np.interp(x, at, OPEN_POWER[1:], right=1.0)))
