"""Fitting part values so that filter times driver follows the acoustic target, one branch alone or both together.

Knows errors in decibels, losses that grow with the part, and least squares over logarithms of values. Refuses
to know which forms are worth trying and what can be bought.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
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
LIMITS = {"C": (0.5e-6, 220e-6), "L": (0.05e-3, 12e-3), "R": (0.33, 120.0)}
"""Values a crossover part is customarily sold in (common practice, no source)."""

Windows = Mapping[tuple[str, str], tuple[float, float]]
"""Narrower limits of single parts, by role and kind."""

BRANCH_SHARE, SUM_SHARE, PHASE_SHARE = 0.25, 0.45, 0.05
"""Shares of the mean square error: each branch, their sum, their phase (common practice, no source)."""

SINKING_PULL, RISING_PULL = 0.1, 1.0
"""dB of error that a target 1 dB lower, or 1 dB higher than the driver, is held to cost (common practice, no source)."""


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
    windows: Windows

    @property
    def goal_db(self) -> FloatArray:
        """Target level over frequency."""
        return self.level_db + 20.0 * np.log10(np.abs(self.shape))


def level_of(pressure: ComplexArray) -> FloatArray:
    """Level re 20 uPa of complex pressures in Pa."""
    square = np.maximum(pressure.real**2 + pressure.imag**2, 1e-40)
    return np.asarray(10.0 * np.log10(square) - 20.0 * np.log10(REFERENCE_PA))


def target_weight(shape: ComplexArray) -> FloatArray:
    """Weight of each frequency: the root of the target, so that -24 dB counts a quarter, at least 0.15; squares sum to 1."""
    weight = np.maximum(np.sqrt(np.abs(shape)), 0.15)
    return np.asarray(weight / np.sqrt(np.sum(weight**2)))


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """A branch with fitted values, its pressure at the seat, the level shift taken, and its weighted rms error."""

    branch: Branch
    pressure: ComplexArray
    level_shift_db: float
    rms_db: float


def _shortage(task: BranchTask, voltage: ComplexArray, current: ComplexArray) -> FloatArray:
    """How far the input impedance of each build undercuts the floor, (samples,)."""
    ratio = _square(voltage) / (_square(current) * task.floor_ohm**2)
    return np.asarray(10.0 * np.mean(np.maximum(-np.log(ratio), 0.0), axis=-1))


def _square(z: ComplexArray) -> FloatArray:
    return z.real**2 + z.imag**2


def pressures(
    branch: Branch, task: BranchTask, values: FloatArray, resistances_ohm: FloatArray
) -> tuple[ComplexArray, FloatArray]:
    """Pressures (samples, frequency) of many builds, and how far each undercuts the impedance floor (samples,)."""
    voltage, current = solve(branch, task.load_ohm, task.frequency_hz, values, resistances_ohm)
    return task.response / voltage, _shortage(task, voltage, current)


def limits_of(branch: Branch, task: BranchTask) -> tuple[FloatArray, FloatArray]:
    """Smallest and largest sensible value of every part, each (n_components,)."""
    found = [task.windows.get((c.role, c.kind), LIMITS[c.kind]) for c in branch.components]
    return np.array([low for low, _ in found]), np.array([high for _, high in found])


def _rows_of(branch: Branch, task: BranchTask) -> Callable[[FloatArray, FloatArray], tuple[ComplexArray, FloatArray]]:
    """Function of log values (samples, n) and level shifts (samples,): pressures, and residual rows with penalties."""
    low, high = (np.log(limit) for limit in limits_of(branch, task))
    goal_db = task.goal_db

    def rows(logs: FloatArray, shift_db: FloatArray) -> tuple[ComplexArray, FloatArray]:
        values = np.exp(np.clip(logs, -40.0, 15.0))
        pressure, shortage = pressures(branch, task, values, task.losses.of(branch, values))
        error = task.weight * (level_of(pressure) - goal_db - shift_db[:, None])
        outside = 3.0 * (np.maximum(logs - high, 0.0) + np.maximum(low - logs, 0.0))
        return pressure, np.concatenate([error, outside, shortage[:, None]], axis=-1)

    return rows


def _minimise(rows: Callable[[FloatArray], FloatArray], start: FloatArray, evaluations: int) -> FloatArray:
    """Levenberg-Marquardt; errors and Jacobian of a point come from one vectorised call of `rows` (samples, unknowns)."""
    steps = np.concatenate([np.zeros((1, len(start))), STEP * np.eye(len(start))])
    last: dict[bytes, FloatArray] = {}

    def table(x: FloatArray) -> FloatArray:
        key = x.tobytes()
        if key not in last:
            last.clear()
            last[key] = rows(x + steps)
        return last[key]

    def errors(x: FloatArray) -> FloatArray:
        return np.asarray(table(x)[0])

    def jacobian(x: FloatArray) -> FloatArray:
        found = table(x)
        return np.asarray((found[1:] - found[0]).T / STEP)

    found = least_squares(
        errors, start, jac=jacobian, method="lm", ftol=1e-4, xtol=1e-4, gtol=1e-6, max_nfev=evaluations
    )
    return np.asarray(found.x, dtype=np.float64)


def _pull(shift_db: FloatArray) -> FloatArray:
    """Residual (samples, 1) that holds the level: no filter lifts a passband, so rising costs more than sinking."""
    return np.asarray(np.where(shift_db > 0.0, RISING_PULL, SINKING_PULL) * shift_db)[:, None]


def fit_branch(branch: Branch, task: BranchTask, evaluations: int = 25) -> Fitted:
    """Values that bring one branch nearest its target's magnitude, from the branch's own values on.

    Where the task leaves the level free, the whole target may sink or rise with it, at a small charge.
    """
    count = len(branch.components)
    free = 1 if task.free_level else 0

    branch_rows = _rows_of(branch, task)

    def rows(x: FloatArray) -> FloatArray:
        shift = x[:, count] if free else np.zeros(len(x))
        _, table = branch_rows(x[:, :count], shift)
        return np.concatenate([table, _pull(shift)], axis=-1) if free else table

    start = np.concatenate([np.log(branch.values), np.zeros(free)])
    x = _minimise(rows, start, evaluations)
    values = np.exp(x[:count])
    fitted = with_values(branch, values, task.losses.of(branch, values))
    pressure, _ = pressures(branch, task, values[None, :], task.losses.of(branch, values)[None, :])
    rms = float(np.sqrt(np.sum(rows(x[None, :])[0] ** 2)))
    return Fitted(fitted, pressure[0], float(x[count]) if free else 0.0, rms)


def branch_error(branch: Branch, task: BranchTask, shift_db: float) -> float:
    """Weighted rms error of a branch as it stands, with the losses its parts have by size, dB."""
    return _refitted(branch, task, branch.values, shift_db).rms_db


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


def branch_square(task: BranchTask, pressure: ComplexArray, shift_db: float) -> FloatArray:
    """Weighted mean square error of one branch in dB^2, (...,) for pressures (..., frequency)."""
    error = task.weight * (level_of(pressure) - task.goal_db - shift_db)
    return np.asarray(np.sum(error**2, axis=-1))


def joint_square(task: JointTask, low: ComplexArray, high: ComplexArray, shift_db: float) -> FloatArray:
    """Mean square error of both branches, their sum and their phase, in dB^2; low and high broadcast."""
    level, phase = sum_errors(task, low, high, shift_db)
    branches = branch_square(task.low, low, shift_db) + branch_square(task.high, high, shift_db)
    whole = SUM_SHARE * np.sum(level**2, axis=-1) + PHASE_SHARE * np.sum(phase**2, axis=-1)
    return np.asarray(BRANCH_SHARE * branches + whole)


def joint_error(low: Branch, high: Branch, task: JointTask, shift_db: float) -> float:
    """Rms error of two branches as they stand, together, dB."""
    p_low = _refitted(low, task.low, low.values, shift_db).pressure
    p_high = _refitted(high, task.high, high.values, shift_db).pressure
    return float(np.sqrt(joint_square(task, p_low, p_high, shift_db)))


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

    low_of, high_of = _rows_of(low, task.low), _rows_of(high, task.high)

    def rows(x: FloatArray) -> FloatArray:
        shift = x[:, m]
        p_low, low_rows = low_of(x[:, :n], shift)
        p_high, high_rows = high_of(x[:, n:m], shift)
        level, phase = sum_errors(task, p_low, p_high, shift)
        pull = _pull(shift)
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
