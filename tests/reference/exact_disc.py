"""Sound of a thin disc that is open at the back: the exact solution, of which `baffle.OPEN_EDGE` is a table.

A source in the middle pushes on one side and pulls on the other. The jump of pressure over the disc is a sum of
P_n(sqrt(1 - w^2)), n odd, whose Hankel transforms are spherical Bessel functions over their argument; that the velocity is
zero beside the source gives one linear system (Galerkin) for the sum. Potential flow gives its limit 2/pi (Lamb 1932,
section 101); the method follows Bouwkamp 1954, "Diffraction theory". Plain numpy and scipy, nothing of the program.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy import special

Complex = NDArray[np.complex128]


def _bessel(orders: NDArray[np.int_], x: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.array([special.spherical_jn(int(n), x) for n in orders])


@cache
def _jump(ka: float) -> tuple[NDArray[np.int_], Complex]:
    """The orders of the sum, and what each weighs."""
    terms = int(20 + 1.2 * ka)
    m = np.arange(terms)
    n = 2 * m + 1
    scale = np.concatenate([[1.0], np.cumprod((2 * m[:-1] + 3.0) / (2 * m[:-1] + 2.0))])
    system = np.diag(np.pi / 2 / (2 * n + 1)).astype(np.complex128)  # the static part, in closed form
    node, weight = special.roots_legendre(60 + int(2 * ka) + 2 * terms)
    turn, weight = (node + 1) * np.pi / 4, weight * np.pi / 4
    inner, root = _bessel(n, ka * np.sin(turn)), ka * np.cos(turn)
    system += (inner * (weight * root * (1j * root / (ka * np.sin(turn)) - 1))) @ inner.T  # waves that leave
    top = np.arccosh(1 + (4 * terms + 200) / ka + 4)
    node, weight = special.roots_legendre(600 + 8 * terms)
    s, weight = (node + 1) / 2 * top, weight / 2 * top
    outer, root = _bessel(n, ka * np.cosh(s)), ka * np.sinh(s)
    system += (outer * (weight * root * (np.tanh(s) - 1))) @ outer.T  # waves that cling
    jump = np.linalg.solve(system * scale[:, None] * scale, np.ones(terms))
    return n, jump * scale


def far_field(ka: float, angle_rad: NDArray[np.float64]) -> Complex:
    """Far pressure at angles from the axis, re that of the source in a boundless baffle."""
    orders, weights = _jump(ka)
    across = np.maximum(ka * np.sin(angle_rad), 1e-6)
    return np.asarray(1j * ka * np.cos(angle_rad) * (weights @ (_bessel(orders, across) / across)))


def on_axis(ka: float) -> complex:
    """H on the axis."""
    return complex(far_field(ka, np.zeros(1))[0])


def power(ka: float) -> float:
    """Power of one side re that of the source in a boundless baffle."""
    node, weight = special.roots_legendre(80 + int(3 * ka))
    return float(weight / 2 @ np.abs(far_field(ka, np.arccos((node + 1) / 2))) ** 2)
