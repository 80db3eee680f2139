"""Fitting part values so that filter times driver follows the acoustic target, one branch alone or both together.

Knows errors in decibels, losses that grow with the part, and least squares over logarithms of values. Refuses
to know which forms are worth trying and what can be bought.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import log

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from reportgen.crossover.networks import Branch, solve, with_values

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]

REFERENCE_PA = 2e-5
STEP = 1e-4
LIMITS = {"C": (0.2e-6, 400e-6), "L": (0.03e-3, 12e-3), "R": (0.2, 150.0)}
"""Values a crossover part is customarily sold in (common practice, no source)."""

BRANCH_SHARE, SUM_SHARE, PHASE_SHARE = 0.25, 0.45, 0.05
"""Shares of the mean square error: each branch, their sum, their phase (common practice, no source)."""

LEVEL_PULL = 0.1
"""dB of error that a level lowered by 1 dB is held to cost (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Losses:
    """Wire resistance of a coil by its inductance, R = coil_ohm (L/1 mH)^exponent, and the ESR of a capacitor."""

    coil_ohm: float
    coil_exponent: float
    capacitor_ohm: float

    def of(self, branch: Branch, values: FloatArray) -> FloatArray:
        """Loss resistances for values (..., n_components), same shape."""
        kinds = np.array([c.kind for c in branch.components])
        coil = self.coil_ohm * (values / 1e-3) ** self.coil_exponent
        return np.where(kinds == "L", coil, np.where(kinds == "C", self.capacitor_ohm, 0.0))


@dataclass(frozen=True, slots=True, eq=False)
class BranchTask:
    """What one branch is to do at the fitting frequencies; all arrays (frequency,).

    `response` in Pa at the driver's terminals driven as the level is stated; `shape` the complex target with
    passband 1, `level_db` its level re 20 uPa; `weight` squared sums to 1; `floor_ohm` is the lowest modulus
    the branch may show the amplifier.
    """

    frequency_hz: FloatArray
    load_ohm: ComplexArray
    response: ComplexArray
    shape: ComplexArray
    level_db: float
    weight: FloatArray
    floor_ohm: float
    losses: Losses
    free_level: bool

    @property
    def goal_db(self) -> FloatArray:
        """Target level over frequency."""
        return self.level_db + 20.0 * np.log10(np.abs(self.shape))


def level_of(pressure: ComplexArray) -> FloatArray:
    """Level re 20 uPa of complex pressures in Pa."""
    return np.asarray(10.0 * np.log10(pressure.real**2 + pressure.imag**2) - 20.0 * np.log10(REFERENCE_PA))


def target_weight(shape: ComplexArray) -> FloatArray:
    """Weight of each frequency: the root of the target, so that -24 dB counts a quarter; squares sum to 1."""
    weight = np.maximum(np.sqrt(np.abs(shape)), 0.1)
    return np.asarray(weight / np.sqrt(np.sum(weight**2)))


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """A branch with fitted values, its pressure at the seat, the level shift taken, and its weighted rms error."""

    branch: Branch
    pressure: ComplexArray
    level_shift_db: float
    rms_db: float


def pressures(
    branch: Branch, task: BranchTask, values: FloatArray, resistances_ohm: FloatArray
) -> tuple[ComplexArray, FloatArray]:
    """Pressures (samples, frequency) of many builds, and how far each undercuts the impedance floor (samples,)."""
    voltage, current = solve(branch, task.load_ohm, task.frequency_hz, values, resistances_ohm)
    shortage = np.log(np.abs(voltage) / np.abs(current) / task.floor_ohm)
    return task.response / voltage, 20.0 * np.mean(np.maximum(-shortage, 0.0), axis=-1)


def _outside(branch: Branch, logs: FloatArray) -> FloatArray:
    low = np.log([LIMITS[c.kind][0] for c in branch.components])
    high = np.log([LIMITS[c.kind][1] for c in branch.components])
    return np.asarray(3.0 * (np.maximum(logs - high, 0.0) + np.maximum(low - logs, 0.0)))


def _branch_rows(
    branch: Branch, task: BranchTask, logs: FloatArray, shift_db: FloatArray
) -> tuple[ComplexArray, FloatArray]:
    """Pressures and residual rows (samples, frequency + penalties) of one branch."""
    values = np.exp(logs)
    pressure, shortage = pressures(branch, task, values, task.losses.of(branch, values))
    error = task.weight * (level_of(pressure) - task.goal_db - shift_db[:, None])
    return pressure, np.concatenate([error, _outside(branch, logs), shortage[:, None]], axis=-1)


def _minimise(rows: Callable[[FloatArray], FloatArray], start: FloatArray, evaluations: int) -> FloatArray:
    """Levenberg-Marquardt with the whole Jacobian from one vectorised call of `rows` (samples, unknowns)."""
    steps = np.concatenate([np.zeros((1, len(start))), STEP * np.eye(len(start))])

    def jacobian(x: FloatArray) -> FloatArray:
        table = rows(x + steps)
        return np.asarray((table[1:] - table[0]).T / STEP)

    def errors(x: FloatArray) -> FloatArray:
        return np.asarray(rows(x[None, :])[0])

    found = least_squares(
        errors,
        start,
        jac=jacobian,
        method="lm",
        ftol=1e-4,
        xtol=1e-4,
        gtol=1e-6,
        max_nfev=evaluations,
    )
    return np.asarray(found.x, dtype=np.float64)


def fit_branch(branch: Branch, task: BranchTask, evaluations: int = 25) -> Fitted:
    """Values that bring one branch nearest its target's magnitude, from the branch's own values on.

    Where the task leaves the level free, the whole target may sink or rise with it, at a small charge.
    """
    count = len(branch.components)
    free = 1 if task.free_level else 0

    def rows(x: FloatArray) -> FloatArray:
        shift = x[:, count] if free else np.zeros(len(x))
        _, table = _branch_rows(branch, task, x[:, :count], shift)
        return np.concatenate([table, LEVEL_PULL * shift[:, None]], axis=-1) if free else table

    start = np.concatenate([np.log(branch.values), np.zeros(free)])
    x = _minimise(rows, start, evaluations)
    values = np.exp(x[:count])
    fitted = with_values(branch, values, task.losses.of(branch, values))
    pressure, _ = pressures(branch, task, values[None, :], task.losses.of(branch, values)[None, :])
    rms = float(np.sqrt(np.sum(rows(x[None, :])[0] ** 2)))
    return Fitted(fitted, pressure[0], float(x[count]) if free else 0.0, rms)


@dataclass(frozen=True, slots=True, eq=False)
class JointTask:
    """Both branches and the polarity (+1 or -1) of the high one."""

    low: BranchTask
    high: BranchTask
    sign: int
    right_sign: int

    @property
    def sum_goal(self) -> FloatArray:
        """Modulus of the wanted sum in Pa, (frequency,)."""
        low = 10.0 ** (self.low.level_db / 20.0) * self.low.shape
        high = 10.0 ** (self.high.level_db / 20.0) * self.high.shape
        return np.asarray(REFERENCE_PA * np.abs(low + self.right_sign * high))


def _phase_weight(task: JointTask) -> FloatArray:
    low, high = np.abs(task.low.shape), np.abs(task.high.shape)
    weight = np.minimum(low, high) / np.maximum(low, high)
    return np.asarray(weight / np.sqrt(np.sum(weight**2)))


def sum_errors(
    task: JointTask, low: ComplexArray, high: ComplexArray, shift_db: FloatArray | float = 0.0
) -> tuple[FloatArray, FloatArray]:
    """Errors of the sum and of the phase between the branches, as dB, each (..., frequency), squares to be summed.

    The sum's error is 8.686 (|sum|/goal - 1): decibels for small errors, bounded where the sum cancels.
    """
    shift = 10.0 ** (np.asarray(shift_db)[..., None] / 20.0)
    ratio = np.abs(low + task.sign * high) / (task.sum_goal * shift)
    wanted = task.low.shape * np.conj(task.right_sign * task.high.shape)
    turned = np.angle(low * np.conj(task.sign * high) * np.conj(wanted))
    even = 1.0 / np.sqrt(ratio.shape[-1])
    return 8.686 * even * (ratio - 1.0), 8.686 * _phase_weight(task) * turned


@dataclass(frozen=True, slots=True, eq=False)
class JointFit:
    """Both branches fitted together; `sensitivity_db` is what parts 5 % off add to the error (rms over parts)."""

    low: Fitted
    high: Fitted
    sign: int
    level_shift_db: float
    rms_db: float
    sensitivity_db: float


def fit_joint(low: Branch, high: Branch, task: JointTask, shift_db: float, evaluations: int = 20) -> JointFit:
    """Values of both branches at once: each against its target, their sum, and their phase, from given values on."""
    n, m = len(low.components), len(low.components) + len(high.components)
    own, whole, turn = BRANCH_SHARE**0.5, SUM_SHARE**0.5, PHASE_SHARE**0.5

    def rows(x: FloatArray) -> FloatArray:
        shift = x[:, m]
        p_low, low_rows = _branch_rows(low, task.low, x[:, :n], shift)
        p_high, high_rows = _branch_rows(high, task.high, x[:, n:m], shift)
        level, phase = sum_errors(task, p_low, p_high, shift)
        pull = LEVEL_PULL * shift[:, None]
        return np.concatenate([own * low_rows, own * high_rows, whole * level, turn * phase, pull], axis=-1)

    start = np.concatenate([np.log(low.values), np.log(high.values), [shift_db]])
    x = _minimise(rows, start, evaluations)
    steps = np.concatenate([np.zeros((1, m + 1)), STEP * np.eye(m + 1)[:m]])
    table = rows(x + steps)
    slopes = (table[1:] - table[0]) / STEP
    sensitivity = float(np.sqrt(np.sum(slopes**2) * log(1.05) ** 2 / 3.0))
    rms = float(np.sqrt(np.sum(table[0] ** 2)))
    fits = [
        _refitted(branch, side, np.exp(part), float(x[m]))
        for branch, side, part in ((low, task.low, x[:n]), (high, task.high, x[n:m]))
    ]
    return JointFit(fits[0], fits[1], task.sign, float(x[m]), rms, sensitivity)


def _refitted(branch: Branch, task: BranchTask, values: FloatArray, shift_db: float) -> Fitted:
    losses = task.losses.of(branch, values)
    pressure, _ = pressures(branch, task, values[None, :], losses[None, :])
    error = task.weight * (level_of(pressure[0]) - task.goal_db - shift_db)
    return Fitted(with_values(branch, values, losses), pressure[0], shift_db, float(np.sqrt(np.sum(error**2))))
