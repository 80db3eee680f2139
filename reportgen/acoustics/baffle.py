"""The front panel: what its edges do to a driver's response.

Knows the baffle step and the sum of the rays that the edges send.
Refuses to know the depth of a cabinet, rounded edges and the room.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.acoustics.air import STANDARD_AIR, Air, FloatArray, wave_number
from reportgen.acoustics.radiators import gauss_legendre

ComplexArray = NDArray[np.complex128]

STEP_CONSTANT = 115.0
"""Hz metre. Common practice, no source."""
MOST_NODES = 1000.0
"""Enough for a panel of 6 m at 20 kHz; what the edges of a larger one add is too small there to be worth more."""


def _array(value: ArrayLike) -> FloatArray:
    return np.asarray(value, dtype=np.float64)


def step_hz(width_m: ArrayLike) -> FloatArray:
    """Middle of the baffle step in Hz: 115/width (common practice, no source).

    >>> float(step_hz(0.23))
    500.0
    """
    return np.asarray(STEP_CONSTANT / _array(width_m))


def width_for_step_m(frequency_hz: ArrayLike) -> FloatArray:
    """Width in m whose step lies at a frequency: the inverse of `step_hz`."""
    return np.asarray(STEP_CONSTANT / _array(frequency_hz))


def disc_response(
    frequency_hz: ArrayLike, radius_m: ArrayLike, open_back: bool = False, air: Air = STANDARD_AIR
) -> ComplexArray:
    """On-axis response of a point source in the middle of a disc, re a boundless baffle: 1 - exp(-jka)/2.

    The worst case, as all edge rays arrive at once. An open baffle has 1 in place of 1/2. Inputs broadcast.
    Source: Vanderkooy 1991.
    """
    edge = np.exp(-1j * wave_number(frequency_hz, air) * _array(radius_m))
    return np.asarray(1.0 - (1.0 if open_back else 0.5) * edge)


def edge_response(
    frequency_hz: ArrayLike,
    width_m: ArrayLike,
    height_m: ArrayLike,
    x_m: ArrayLike,
    y_m: ArrayLike,
    open_back: bool = False,
    air: Air = STANDARD_AIR,
    right: ArrayLike = 0.0,
    up: ArrayLike = 0.0,
) -> ComplexArray:
    """Response of a point source on a rectangular baffle re a boundless one, complex; all inputs broadcast.

    H = 1 - (1/2) mean over all directions on the panel of exp(-jk rho), rho the way to the edge; 1 in place of 1/2
    for an open baffle. `x_m` counts to the right and `y_m` upwards from the middle of the panel. `right` and `up`
    are direction cosines of a far listener, whose way from each edge point differs. Raises ValueError for a source
    that is not on the panel. The rays know nothing of the null in the plane of an open baffle. Beyond k times the
    diagonal of 2400 they are counted too coarsely, good to 0.5 dB. Source: Bews & Hawksford 1986; Vanderkooy 1991.
    """
    k, w, h, x, y, right, up = np.broadcast_arrays(
        wave_number(frequency_hz, air), *(_array(v) for v in (width_m, height_m, x_m, y_m, right, up))
    )
    to_edges = (w / 2.0 - x, h / 2.0 - y, w / 2.0 + x, h / 2.0 + y)
    if not all(bool(np.all(distance > 0.0)) for distance in to_edges):
        raise ValueError("the source lies outside the panel; its distances to all four edges must be greater than 0")
    nodes = int(min(MOST_NODES, 24.0 + 0.4 * float(np.max(k * np.hypot(w, h), initial=0.0))))
    total = np.zeros(k.shape, dtype=np.complex128)
    for side in range(4):
        total += _edge_sum(k, to_edges, side, nodes, right, up)
    return np.asarray(1.0 - (1.0 if open_back else 0.5) * total / (2.0 * np.pi))


def _edge_sum(
    k: FloatArray,
    to_edges: tuple[FloatArray, FloatArray, FloatArray, FloatArray],
    side: int,
    nodes: int,
    right: FloatArray,
    up: FloatArray,
) -> ComplexArray:
    """Integral of exp(-jk way) over the directions that end on one edge (0 right, then counter-clockwise)."""
    distance, after, before = to_edges[side], to_edges[(side + 1) % 4], to_edges[side - 1]
    # the angle is the Gudermannian of t: tan(angle) = sinh(t), d angle = dt/cosh(t), way to the edge = distance cosh(t)
    start, end = -np.arcsinh(before / distance), np.arcsinh(after / distance)
    u, weight = gauss_legendre(nodes)
    half = (end - start)[..., None] / 2.0
    t = start[..., None] + half * (u + 1.0)
    stretch = np.cosh(t)
    share = weight * half / stretch
    turn = ((right, up), (up, -right), (-right, -up), (-up, right))[side]
    along, across = turn[0][..., None], turn[1][..., None]
    way = distance[..., None] * (stretch - along - across * np.sinh(t))
    phase = k[..., None] * way
    real, imaginary = np.sum(share * np.cos(phase), axis=-1), np.sum(share * np.sin(phase), axis=-1)
    return np.asarray(real - 1j * imaginary)


def rear_path_m(width_m: ArrayLike, height_m: ArrayLike, x_m: ArrayLike, y_m: ArrayLike) -> FloatArray:
    """How much further in m the rear wave of a thin panel has to go than the front wave, on the axis far away.

    From the back to the nearest edge: the listener is as far from that edge as from the source, so the way counts
    once, as in `disc_response`. From the middle of the panel `x_m` counts to the right, `y_m` upwards; inputs broadcast.

    >>> round(float(rear_path_m(0.3, 0.9, 0.05, -0.1)), 3)
    0.1
    """
    x, y = np.abs(_array(x_m)), np.abs(_array(y_m))
    return np.asarray(np.minimum(_array(width_m) / 2.0 - x, _array(height_m) / 2.0 - y))


def rear_path_limit_hz(path_m: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """Frequency in Hz below which the rear wave takes away more than it adds: c/(6 path); inputs broadcast.

    There |1 - exp(-jk path)| = 1, the level of a boundless baffle. Source: Kinsler et al. 2000, two opposed sources.
    """
    return np.asarray(air.speed_m_s / (6.0 * _array(path_m)))
