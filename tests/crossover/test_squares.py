"""Least squares for many problems at once: against a general solver, on curves whose answer is known."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pytest
from scipy.optimize import least_squares

from reportgen.crossover.squares import Squares, minimised

T = np.linspace(0.0, 2.0, 25)


@dataclass(frozen=True)
class Decays:
    """a exp(-b t) fitted to curves (problems, 25), each beyond 1 counted three times more."""

    curves: np.ndarray

    def squares(self, x):
        shape = np.exp(-x[:, 1:2] * T)
        miss = x[:, :1] * shape - self.curves
        slopes = np.stack([shape, -x[:, :1] * T * shape], axis=1)
        found = Squares.nothing(*x.shape)
        beyond = np.maximum(miss - 1.0, 0.0)
        found.count(slopes, (miss, 1.0), (3.0 * beyond, 3.0 * (beyond > 0.0)))
        return found

    def picked(self, which):
        return Decays(self.curves[which])


def test_the_answer_is_that_of_a_general_solver():
    """scipy.optimize.least_squares (trust region), one problem after another."""
    rng = np.random.default_rng(3)
    curves = rng.uniform(1, 5, (6, 1)) * np.exp(-rng.uniform(0.2, 3, (6, 1)) * T) + rng.normal(0, 0.2, (6, 25))
    x, squares = minimised(Decays(curves), np.ones((6, 2)), 60)
    for one, curve, square in zip(x, curves, squares.square, strict=True):
        plain = least_squares(
            lambda u, curve=curve: np.concatenate(
                [m := u[0] * np.exp(-u[1] * T) - curve, 3.0 * np.maximum(m - 1.0, 0.0)]
            ),
            [1.0, 1.0],
        )
        assert square == pytest.approx(2.0 * plain.cost, rel=1e-3)
        np.testing.assert_allclose(one, plain.x, rtol=0.02)


def test_no_step_is_taken_that_makes_it_worse_and_few_evaluations_are_kept_to():
    curves = 3.0 * np.exp(-2.0 * T)[None]
    before = Decays(curves).squares(np.array([[1.0, 0.1]])).square
    found = [minimised(Decays(curves), np.array([[1.0, 0.1]]), count)[1].square[0] for count in (1, 2, 5, 30)]
    assert found[0] == before[0]
    assert all(later <= earlier for earlier, later in pairwise(found))
    assert found[-1] < 1e-4


def test_an_unknown_that_moves_nothing_stays():
    @dataclass(frozen=True)
    class Half(Decays):
        def squares(self, x):
            found = Squares.nothing(*x.shape)
            found.add(Decays.squares(self, x[:, :2]), np.array([0, 1]))
            return found

        def picked(self, which):
            return Half(self.curves[which])

    x, _ = minimised(Half(2.0 * np.exp(-T)[None]), np.array([[1.0, 0.5, 7.0]]), 30)
    assert x[0] == pytest.approx([2.0, 1.0, 7.0], rel=1e-2)


def test_one_damped_step_promises_what_a_linear_problem_keeps():
    """Residuals x - 3 in two unknowns: one step of normal + 0.1 leaves (0.1/1.1)^2 of it, and promises no less (by hand)."""
    found = Squares.nothing(1, 2)
    found.count_own(np.full((1, 2), -3.0), np.ones((1, 2)))
    assert found.promised(0.1)[0] == pytest.approx(18.0 - 18.0 / 1.1)
