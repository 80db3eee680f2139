"""Least squares for many problems at once: their normal equations, and steps of Levenberg and Marquardt.

Knows penalties of quantities and how each unknown moves them. Refuses to know what the quantities are.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol, Self

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
Rows = NDArray[np.intp]
Penalty = tuple[FloatArray, FloatArray | float]
"""A residual (problems, rows) of some quantity, and its slope by that quantity."""

ENOUGH = 1e-4
"""A fit rests when a step lowers the sum of squares, or moves the unknowns, by no more than this share."""

FIRST_DAMPING, LEAST_DAMPING = 0.1, 1e-9


@dataclass(slots=True)
class Squares:
    """Sums of squares (problems,), half their gradients (problems, n), and normal matrices (problems, n, n)."""

    square: FloatArray
    gradient: FloatArray
    normal: FloatArray

    @classmethod
    def nothing(cls, problems: int, n: int) -> Squares:
        """None counted yet."""
        return cls(np.zeros(problems), np.zeros((problems, n)), np.zeros((problems, n, n)))

    def count(self, slopes: FloatArray, *penalties: Penalty) -> None:
        """Add penalties of one quantity, whose slopes by the unknowns are (problems, n, rows)."""
        pull: FloatArray | float = 0.0
        weight: FloatArray | float = 0.0
        for residual, slope in penalties:
            self.square += np.sum(residual**2, axis=-1)
            pull, weight = pull + residual * slope, weight + slope**2
        weighted = slopes * np.sqrt(weight)[..., None, :] if np.ndim(weight) else slopes * np.sqrt(weight)
        self.normal += weighted @ weighted.transpose(0, 2, 1)
        self.gradient += (slopes @ np.asarray(pull)[..., None])[..., 0]

    def add(self, others: Squares, places: Rows) -> None:
        """Add the squares of other quantities of the unknowns at some places."""
        self.square += others.square
        self.gradient[:, places] += others.gradient
        self.normal[:, places[:, None], places] += others.normal

    def count_own(self, residual: FloatArray, slope: FloatArray) -> None:
        """Add penalties of the unknowns themselves, one each, (problems, n)."""
        self.square += np.sum(residual**2, axis=-1)
        self.gradient += residual * slope
        n = np.arange(residual.shape[1])
        self.normal[:, n, n] += slope**2

    def promised(self, damping: float) -> FloatArray:
        """Sums of squares that one damped step promises (Levenberg 1944)."""
        damped = self.normal + damping * np.eye(self.normal.shape[1])
        step = np.linalg.solve(damped, self.gradient[..., None])[..., 0]
        return np.asarray(np.maximum(self.square - np.sum(self.gradient * step, axis=-1), 0.0))


class Problems(Protocol):
    """Several problems of as many unknowns."""

    def squares(self, x: FloatArray) -> Squares:
        """Those of unknowns (problems, n)."""

    def picked(self, which: Rows) -> Self:
        """The problems with these places."""


def minimised(problems: Problems, start: FloatArray, evaluations: int) -> tuple[FloatArray, Squares]:
    """Unknowns (problems, n) with the least squares found in so many evaluations from `start` on, and those squares.

    Steps are damped in proportion to the largest curvature seen of each unknown (Marquardt 1963); the damping follows the share
    of the promise that was kept (Nielsen 1999). An unknown that moves nothing stays where it is.
    """
    x, best = start.copy(), problems.squares(start)
    damping, growth = np.full(len(x), FIRST_DAMPING), np.full(len(x), 2.0)
    scale = np.zeros_like(x)
    going, left = np.arange(len(x)), problems
    diagonal = np.arange(x.shape[1])
    for _ in range(evaluations - 1):
        normal, gradient = best.normal[going], best.gradient[going]
        scale[going] = np.maximum(scale[going], normal[:, diagonal, diagonal])
        drag = damping[going, None] * np.where(scale[going] > 0.0, scale[going], 1.0)
        normal[:, diagonal, diagonal] += drag
        step = -np.linalg.solve(normal, gradient[..., None])[..., 0]
        tried = left.squares(x[going] + step)
        before = best.square[going]
        promise = np.sum(step * (drag * step - gradient), axis=-1)
        gained = before - tried.square
        better = gained > 0.0
        kept = np.where(promise > 0.0, gained / np.maximum(promise, 1e-300), 0.0)
        for mine, found in ((best.square, tried.square), (best.gradient, tried.gradient), (best.normal, tried.normal)):
            mine[going[better]] = found[better]
        x[going[better]] += step[better]
        eased = damping[going] * np.maximum(1.0 / 3.0, 1.0 - (2.0 * kept - 1.0) ** 3)
        damping[going] = np.maximum(np.where(better, eased, damping[going] * growth[going]), LEAST_DAMPING)
        growth[going] = np.where(better, 2.0, 2.0 * growth[going])
        small = np.max(np.abs(step), axis=-1) <= ENOUGH
        goes_on = np.flatnonzero(~(small | (np.maximum(np.abs(gained), promise) <= ENOUGH * before)))
        if not goes_on.size:
            break
        if goes_on.size < going.size:
            going, left = going[goes_on], left.picked(goes_on)
    return x, best
