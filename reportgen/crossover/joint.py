"""Fitting both branches together: each against its target, their sum, their phase, and the load they make.

Knows what is wrong with a pair of branches, as residuals in decibels, and least squares over all their values.
Refuses to know which forms are worth trying and what can be bought.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import log

import numpy as np
from numpy.typing import NDArray

from reportgen.crossover.fitting import (
    REFERENCE_PA,
    STEP,
    BranchTask,
    Fitted,
    Heard,
    Table,
    as_it_stands,
    builds_of,
    level_of,
    level_pull,
    minimise,
    own_heard,
    shortage,
    slopes,
    stepped,
    values_of,
)
from reportgen.crossover.networks import Branch

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]

BRANCH_SHARE, SUM_SHARE, PHASE_SHARE = 0.12, 0.6, 0.05
"""Shares of the mean square error: each branch, their sum, their phase. These and the bounds below were set by trial on the demo
season, for few parts and even thirds of an octave, and held against the three seasons of `tests/seasons` (no source)."""

EVEN_DB, UNEVEN_SHARE = 1.0, 6.0
"""So far the sum may stray in the voiced band; the mean square of what goes beyond counts so much (no source)."""

LOUD_DB, LOUD_SHARE = 3.0, 1.0
"""There a branch may stand so far above its target, where its driver is only stressed; likewise (no source)."""

NULL_DB, NULL_SHARE = 18.0, 0.01
"""A sum with the high branch turned over that falls less than so far counts by the square of what is missing (no source)."""


@dataclass(frozen=True, eq=False)
class JointTask:
    """Both branches, the polarity (+1 or -1) of the high one, the right one, and the lowest modulus of the load.

    `near` cuts the frequencies from f_c/2 to 2 f_c, (near,), out of the band. `share` are the shares of the band's
    frequencies in the mean square, (band,), summing to 1: their spacing. `nulled` asks for a null when one is reversed.
    """

    low: BranchTask
    high: BranchTask
    sign: int
    right_sign: int
    floor_ohm: float
    near: slice
    share: FloatArray
    nulled: bool

    @cached_property
    def near_share(self) -> FloatArray:
        """Shares of the frequencies near the crossover, summing to 1."""
        return np.asarray(self.share[self.near] / np.sum(self.share[self.near]))

    @cached_property
    def sum_goal(self) -> FloatArray:
        """Modulus of the wanted sum in Pa, (band,)."""
        low = 10.0 ** (self.low.level_db / 20.0) * self.low.shape
        high = 10.0 ** (self.high.level_db / 20.0) * self.high.shape
        return np.asarray(REFERENCE_PA * np.abs(low + self.right_sign * high))

    @cached_property
    def phase_weight(self) -> FloatArray:
        """Weight of the phase between the branches, most where both are as loud, (near,); squares sum to 1."""
        low, high = np.abs(self.low.shape[self.near]), np.abs(self.high.shape[self.near])
        weight = np.minimum(low, high) / np.maximum(low, high)
        return np.asarray(weight / np.sqrt(np.sum(weight**2)))

    @cached_property
    def wanted_turn(self) -> ComplexArray:
        """A number turned as the low branch is to stand before the high one, (near,)."""
        return np.asarray((self.low.shape * np.conj(self.right_sign * self.high.shape))[self.near])


def _sum_errors(task: JointTask, low: ComplexArray, high: ComplexArray, shift_db: FloatArray) -> list[FloatArray]:
    """Residuals of the sum, of its worst stretches, of phase between the branches and of their null, each (..., any).

    The sum's error is 8.686 (|sum|/goal - 1): decibels for small errors, bounded where the sum cancels. Near the
    crossover what goes beyond counts as over those two octaves alone.
    """
    goal = task.sum_goal * 10.0 ** (shift_db[..., None] / 20.0)
    high = task.sign * high
    error = 8.686 * (np.abs(low + high) / goal - 1.0)
    near_low, near_high = low[..., task.near], high[..., task.near]
    turned = np.angle(near_low * np.conj(near_high * task.wanted_turn))
    beyond = np.maximum(np.abs(error) - EVEN_DB, 0.0)
    groups = [
        (SUM_SHARE * task.share) ** 0.5 * error,
        (UNEVEN_SHARE * task.near_share) ** 0.5 * beyond[..., task.near],
        (UNEVEN_SHARE * task.share) ** 0.5 * beyond,
        8.686 * PHASE_SHARE**0.5 * task.phase_weight * turned,
    ]
    if task.nulled:
        left = np.min(np.abs(near_low - near_high) / goal[..., task.near], axis=-1, keepdims=True)
        groups.append(NULL_SHARE**0.5 * np.maximum(NULL_DB + 20.0 * np.log10(np.maximum(left, 1e-6)), 0.0))
    return groups


def _branch_errors(task: BranchTask, near: slice, heard: Heard, shift_db: FloatArray) -> list[FloatArray]:
    """Residuals of one branch against its target, and of its standing far above it, each (..., any)."""
    error = level_of(heard.pressure) - task.goal_db - shift_db[..., None]
    beyond = np.maximum(error[..., near] - LOUD_DB, 0.0)
    return [BRANCH_SHARE**0.5 * task.weight * error, (LOUD_SHARE / beyond.shape[-1]) ** 0.5 * beyond]


def residuals(task: JointTask, low: Heard, high: Heard, shift_db: FloatArray | float = 0.0) -> list[FloatArray]:
    """All that is wrong with pairs of branches, in dB, in groups (..., any); low and high broadcast.

    Their squares sum to the mean square error of both branches, their sum and their phase, with what goes beyond
    the bounds of the sum, of a loud branch and of the load counted on top.
    """
    shift = np.asarray(shift_db, dtype=np.float64)
    return [
        *_branch_errors(task.low, task.near, low, shift),
        *_branch_errors(task.high, task.near, high, shift),
        *_sum_errors(task, low.pressure, high.pressure, shift),
        shortage(low.admittance + high.admittance, task.floor_ohm),
    ]


def joint_square(task: JointTask, low: Heard, high: Heard, shift_db: float) -> FloatArray:
    """Sum of the squares of all residuals in dB^2, (...,)."""
    groups = [np.sum(group**2, axis=-1) for group in residuals(task, low, high, shift_db)]
    return np.asarray(sum(groups[1:], groups[0]))


def joint_error(low: Branch, high: Branch, task: JointTask, shift_db: float) -> float:
    """Root of that for two branches as they stand, dB."""
    return float(np.sqrt(joint_square(task, own_heard(low, task.low), own_heard(high, task.high), shift_db)))


@dataclass(frozen=True, slots=True, eq=False)
class JointFit:
    """Both branches fitted together; `sensitivity_db` is what parts 5 % off add to the error (rms over parts)."""

    low: Fitted
    high: Fitted
    sign: int
    level_shift_db: float
    rms_db: float
    sensitivity_db: float


def _table_of(low: Branch, high: Branch, task: JointTask) -> Table:
    """Residuals and slopes over log values of both branches and the level shift, (parts + 1,).

    A part changes its own branch only, so each branch is worked out for its own steps alone.
    """
    n, k = len(low.components), len(high.components)
    builds = builds_of(low, task.low), builds_of(high, task.high)
    which_low = np.concatenate([np.arange(n + 1), np.zeros(k + 1, dtype=np.intp)])
    which_high = np.concatenate([np.zeros(n + 1, dtype=np.intp), np.arange(1, k + 1), [0]])

    def table(x: FloatArray) -> tuple[FloatArray, FloatArray]:
        (heard_low, out_low), (heard_high, out_high) = builds[0](stepped(x[:n])), builds[1](stepped(x[n:-1]))
        shift = np.full(n + k + 2, x[-1])
        shift[-1] += STEP
        pair = heard_low.picked(which_low), heard_high.picked(which_high)
        groups = residuals(task, *pair, shift)
        return slopes(np.concatenate([*groups, out_low[which_low], out_high[which_high], level_pull(shift)], axis=-1))

    return table


def _start(low: Branch, high: Branch, shift_db: float) -> FloatArray:
    return np.concatenate([np.log(low.values), np.log(high.values), [shift_db]])


def fit_joint(low: Branch, high: Branch, task: JointTask, shift_db: float, evaluations: int = 12) -> JointFit:
    """Values of both branches at once, from given values on."""
    n, m = len(low.components), len(low.components) + len(high.components)
    table = _table_of(low, high, task)
    x = minimise(table, _start(low, high, shift_db), evaluations)
    errors, each = table(x)
    shift = float(x[m])
    return JointFit(
        low=as_it_stands(low, task.low, values_of(x[:n]), shift),
        high=as_it_stands(high, task.high, values_of(x[n:m]), shift),
        sign=task.sign,
        level_shift_db=shift,
        rms_db=float(np.sqrt(np.sum(errors**2))),
        sensitivity_db=float(np.sqrt(np.sum(each[:m] ** 2) * log(1.05) ** 2 / 3.0)),
    )


STEP_DAMPING = 0.1
"""Keeps the step that a form promises to one whose values stay within reason (common practice, no source)."""


def promised_error(low: Branch, high: Branch, task: JointTask, shift_db: float) -> float:
    """Error in dB that one damped step of least squares from given values promises (Levenberg 1944)."""
    errors, each = _table_of(low, high, task)(_start(low, high, shift_db))
    normal = each @ each.T
    normal[np.diag_indices_from(normal)] += STEP_DAMPING
    gradient = each @ errors
    left = float(np.sum(errors**2) - gradient @ np.linalg.solve(normal, gradient))
    return float(np.sqrt(max(left, 0.0)))
