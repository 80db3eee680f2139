"""Fitting both branches together: each against its target, their sum, their phase, and the load they make.

Knows what is wrong with a pair of branches, as residuals in decibels, and least squares over all their values.
Refuses to know which forms are worth trying and what can be bought.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import log

import numpy as np
from numpy.typing import NDArray

from reportgen.crossover.bundle import Bundle
from reportgen.crossover.fitting import (
    DB_OF_NEPER,
    REFERENCE_PA,
    BranchTask,
    Fitted,
    Heard,
    as_they_stand,
    count_shortage,
    decibels,
    filled,
    filled_limits,
    level_of,
    level_pull,
    shortage,
    values_of,
    within_limits,
)
from reportgen.crossover.networks import Branch, square
from reportgen.crossover.squares import Penalty, Squares, minimised

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]

BRANCH_SHARE, SUM_SHARE, PHASE_SHARE = 0.12, 0.6, 0.05
"""Shares of the mean square error: each branch, their sum, their phase. These and the bounds below were set by trial on the demo
season, for few parts and even thirds of an octave, and held against the three seasons of `tests/seasons` (no source)."""

EVEN_DB, UNEVEN_SHARE = 1.0, 6.0
"""So far the sum may stray in the voiced band; the mean square of what goes beyond counts so much (no source)."""

LOUD_DB, LOUD_SHARE = 3.0, 1.0
"""There a branch may stand so far above its target, where its driver is only stressed; likewise (no source)."""

STRAINED_DB = 1.0
"""So far below the end of its travel the high driver is to stay at the wanted level; what goes beyond counts as a loud branch does (no source)."""

NULL_DB, NULL_SHARE = 18.0, 0.01
"""A sum with the high branch turned over that falls less than so far counts by the square of what is missing (no source)."""


@dataclass(frozen=True, eq=False)
class JointTask:
    """Both branches, the polarity (+1 or -1) of the high one, the right one, and the lowest modulus of the load.

    `near` cuts the frequencies from f_c/2 to 2 f_c, (near,), out of the band. `share` are the shares of the band's
    frequencies in the mean square, (band,), summing to 1: their spacing. `nulled` asks for a null when one is reversed.
    `room_db` is how far the high branch may stand above its target before its driver runs out of travel, (band,), None where it never does.
    """

    low: BranchTask
    high: BranchTask
    sign: int
    right_sign: int
    floor_ohm: float
    near: slice
    share: FloatArray
    nulled: bool
    room_db: FloatArray | None = None

    def in_single(self) -> JointTask:
        """The same in single precision."""
        return replace(
            self,
            low=self.low.in_single(),
            high=self.high.in_single(),
            share=self.share.astype(np.float32),
            room_db=None if self.room_db is None else self.room_db.astype(np.float32),
        )

    @cached_property
    def near_share(self) -> FloatArray:
        """Shares of the frequencies near the crossover, summing to 1; none elsewhere, (band,)."""
        found = np.zeros_like(self.share)
        found[self.near] = self.share[self.near] / np.sum(self.share[self.near])
        return found

    @cached_property
    def near_loud(self) -> FloatArray:
        """What a dB of a branch that stands far above its target counts near the crossover; nothing elsewhere, (band,)."""
        found = np.zeros_like(self.share)
        found[self.near] = self.loud_weight
        return found

    @property
    def loud_weight(self) -> float:
        """What a dB of a branch that is too loud counts at one frequency."""
        return float((LOUD_SHARE / len(self.share[self.near])) ** 0.5)

    @cached_property
    def loads_ohm(self) -> ComplexArray:
        """Impedances of both sides, (2, frequency)."""
        return np.stack([self.low.load_ohm, self.high.load_ohm])

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
    error = 8.686 * (np.sqrt(square(low + high)) / goal - 1.0)
    near_low, near_high = low[..., task.near], high[..., task.near]
    turned = np.angle(near_low * np.conj(near_high * task.wanted_turn))
    groups = [
        *(residual for residual, _ in _sum_penalties(task, error)),
        8.686 * PHASE_SHARE**0.5 * task.phase_weight * turned,
    ]
    if task.nulled:
        left = np.min(np.sqrt(square(near_low - near_high)) / goal[..., task.near], axis=-1, keepdims=True)
        groups.append(NULL_SHARE**0.5 * np.maximum(NULL_DB + 20.0 * np.log10(np.maximum(left, 1e-6)), 0.0))
    return groups


def _sum_penalties(task: JointTask, error: FloatArray) -> list[Penalty]:
    """What the error of the sum (dB) counts, and by how much more for each dB, (..., band): all of it, and what is beyond."""
    beyond = np.maximum(np.abs(error) - EVEN_DB, 0.0)
    wrong = np.sign(error) * (beyond > 0.0)
    within, uneven = (SUM_SHARE * task.share) ** 0.5, (UNEVEN_SHARE * (task.share + task.near_share)) ** 0.5
    return [(within * error, within), (uneven * beyond, uneven * wrong)]


def _branch_penalties(task: JointTask, side: BranchTask, error: FloatArray) -> list[Penalty]:
    """The same of one branch against its target: all of it, and what stands far above it near the crossover."""
    beyond = task.near_loud * np.maximum(error - LOUD_DB, 0.0)
    weight = BRANCH_SHARE**0.5 * side.weight
    found: list[Penalty] = [(weight * error, weight), (beyond, task.near_loud * (beyond > 0.0))]
    if side is task.high and task.room_db is not None:
        strained = np.asarray(task.loud_weight * np.maximum(error - (task.room_db - STRAINED_DB), 0.0))
        found.append((strained, np.asarray(task.loud_weight * (strained > 0.0))))
    return found


def _branch_errors(task: JointTask, side: BranchTask, heard: Heard, shift_db: FloatArray) -> list[FloatArray]:
    """Residuals of one branch, each (..., band)."""
    error = level_of(heard.pressure) - side.goal_db - shift_db[..., None]
    return [residual for residual, _ in _branch_penalties(task, side, error)]


def residuals(task: JointTask, low: Heard, high: Heard, shift_db: FloatArray | float = 0.0) -> list[FloatArray]:
    """All that is wrong with pairs of branches, in dB, in groups (..., any); low and high broadcast.

    Their squares sum to the mean square error of both branches, their sum and their phase, with what goes beyond
    the bounds of the sum, of a loud branch and of the load counted on top.
    """
    shift = np.asarray(shift_db, dtype=task.share.dtype)
    return [
        *_branch_errors(task, task.low, low, shift),
        *_branch_errors(task, task.high, high, shift),
        *_sum_errors(task, low.pressure, high.pressure, shift),
        shortage(low.admittance + high.admittance, task.floor_ohm),
    ]


def joint_square(task: JointTask, low: Heard, high: Heard, shift_db: FloatArray | float) -> FloatArray:
    """Sum of the squares of all residuals in dB^2, (...,)."""
    groups = [np.sum(group**2, axis=-1) for group in residuals(task, low, high, shift_db)]
    return np.asarray(sum(groups[1:], groups[0]))


@dataclass(frozen=True, slots=True, eq=False)
class JointFit:
    """Both branches fitted together; `sensitivity_db` is what parts 5 % off add to the error (rms over parts).

    `missed_db` is `rms_db` without what held level and values within reason: what is heard of it.
    """

    low: Fitted
    high: Fitted
    sign: int
    level_shift_db: float
    rms_db: float
    sensitivity_db: float
    missed_db: float


@dataclass(frozen=True, slots=True, eq=False)
class Start:
    """Two branches to be fitted together from their own values on, the polarity of the high one, and the level shift (dB)."""

    low: Branch
    high: Branch
    sign: int
    shift_db: float = 0.0

    @property
    def parts(self) -> int:
        """How many parts both have."""
        return len(self.low.components) + len(self.high.components)


@dataclass(frozen=True, slots=True, eq=False)
class _Pairs:
    """Pairs of branches; `bundle` and `limits` hold all low ones, then all high ones, `signs` are (pairs, 1).

    The unknowns of a pair are the log values of the low branch and of the high one, each filled up to as many parts as the
    largest has, and the level shift, (pairs, 2 width + 1).
    """

    task: JointTask
    bundle: Bundle
    limits: tuple[FloatArray, FloatArray]
    signs: FloatArray

    @classmethod
    def of(cls, starts: Sequence[Start], task: JointTask) -> tuple[_Pairs, FloatArray]:
        """The pairs, and the unknowns that they start from."""
        branches, bundle = _branches(starts), Bundle.of(_branches(starts))
        count, width = len(starts), bundle.stage.shape[1]
        logs = filled(branches, width)
        pairs = cls(
            task,
            bundle,
            filled_limits(branches, _tasks(task, count), width),
            np.array([[1.0 * one.sign] for one in starts]),
        )
        shifts = np.array([[one.shift_db] for one in starts])
        return pairs, np.concatenate([logs[:count], logs[count:], shifts], axis=1)

    def picked(self, which: NDArray[np.intp]) -> _Pairs:
        """The pairs with these places."""
        both = np.concatenate([which, which + len(self.signs)])
        limits = self.limits[0][both], self.limits[1][both]
        return _Pairs(self.task, self.bundle.picked(both), limits, self.signs[which])

    def squares(self, x: FloatArray) -> Squares:
        """What `residuals` are, squared and summed, with their slopes."""
        task, count, squares = self.task, len(x), Squares.nothing(*x.shape)
        band, logs, shift = task.low.band, _logs(x), x[:, -1]
        found = self.bundle.response(
            values_of(logs), np.repeat(task.loads_ohm, count, axis=0), task.low.frequency_hz, task.low.losses
        )
        slopes = np.ascontiguousarray(found.gain_slopes[..., band])
        _count_branches(task, squares, found.gain[:, band], slopes, shift)
        low = task.low.response * found.gain[:count, band]
        high = self.signs * task.high.response * found.gain[count:, band]
        _count_sum(task, squares, (low, slopes[:count]), (high, slopes[count:]), shift)
        each = found.admittance_slopes
        every = np.concatenate([each[:count], each[count:], np.zeros_like(each[:count, :1])], axis=1)
        count_shortage(squares, found.admittance[:count] + found.admittance[count:], every, task.floor_ohm)
        outside, pull = within_limits(logs, self.limits), level_pull(shift)
        squares.count_own(*(
            np.concatenate([parts[:count], parts[count:], pulls[:, None]], axis=1)
            for parts, pulls in zip(outside, pull, strict=True)
        ))  # fmt: skip
        return squares


def _branches(starts: Sequence[Start]) -> list[Branch]:
    return [*(one.low for one in starts), *(one.high for one in starts)]


def _tasks(task: JointTask, count: int) -> list[BranchTask]:
    return [task.low] * count + [task.high] * count


def _logs(x: FloatArray) -> FloatArray:
    """Log values of all low branches, then of all high ones, (branches, width)."""
    width = x.shape[1] // 2
    return np.concatenate([x[:, :width], x[:, width:-1]])


def _count_branches(
    task: JointTask, squares: Squares, gain: ComplexArray, slopes: ComplexArray, shift_db: FloatArray
) -> None:
    """Count the residuals of `_branch_errors`, of all low branches and all high ones, (branches, ...)."""
    count, width = len(shift_db), slopes.shape[1]
    for place, own, side in ((0, slice(0, count), task.low), (width, slice(count, None), task.high)):
        error = side.lost_db + decibels(gain[own]) - shift_db[:, None]
        each = np.concatenate([DB_OF_NEPER * slopes[own].real, np.full((count, 1, error.shape[1]), -1.0)], axis=1)
        alone = Squares.nothing(count, width + 1)
        alone.count(each, *_branch_penalties(task, side, error))
        squares.add(alone, np.array([*range(place, place + width), 2 * width]))


Side = tuple[ComplexArray, ComplexArray]
"""Pressure of the builds of a branch (pairs, band), and the slopes of its logarithm (pairs, width, band)."""


def _count_sum(task: JointTask, squares: Squares, low: Side, high: Side, shift_db: FloatArray) -> None:
    """Count the residuals of `_sum_errors`; the high branch in its polarity."""
    goal, near = task.sum_goal * 10.0 ** (shift_db[:, None] / 20.0), task.near
    (p_low, by_low), (p_high, by_high) = low, high
    total = p_low + p_high
    level = np.sqrt(square(total))
    error = 8.686 * (level / goal - 1.0)
    turned = np.conj(total) * (8.686 / (np.maximum(level, 1e-30) * goal))
    slopes = _both(turned * p_low, by_low, turned * p_high, by_high, -(DB_OF_NEPER**-1) * 8.686 * level / goal)
    squares.count(slopes, *_sum_penalties(task, error))
    away = np.angle(p_low[:, near] * np.conj(p_high[:, near] * task.wanted_turn))
    slopes = np.concatenate([by_low[..., near].imag, -by_high[..., near].imag, np.zeros_like(away)[:, None]], axis=1)
    weight = 8.686 * PHASE_SHARE**0.5 * task.phase_weight
    squares.count(slopes, (weight * away, weight))
    if task.nulled:
        left = (p_low - p_high)[:, near] * (1.0 / goal[:, near])
        lowest = np.argmin(square(left), axis=-1)[:, None]
        remains = np.take_along_axis(left, lowest, axis=1)
        missing = np.maximum(NULL_DB + decibels(np.maximum(np.abs(remains), 1e-6)), 0.0)
        deepest = lowest + near.start
        turned = DB_OF_NEPER / (
            np.take_along_axis(goal, deepest, axis=1) * np.where(np.abs(remains) > 1e-6, remains, np.inf)
        )
        at = [np.take_along_axis(p, deepest, axis=1) for p in (p_low, -p_high)]
        by = [np.take_along_axis(slope, deepest[:, None], axis=2) for slope in (by_low, by_high)]
        slopes = _both(turned * at[0], by[0], turned * at[1], by[1], -np.ones_like(missing))
        squares.count(slopes, (NULL_SHARE**0.5 * missing, NULL_SHARE**0.5 * (missing > 0.0)))


def _both(
    low: ComplexArray, by_low: ComplexArray, high: ComplexArray, by_high: ComplexArray, by_shift: FloatArray
) -> FloatArray:
    """Real parts of factors (pairs, rows) times slopes (pairs, width, rows) of both branches, and those of the shift."""
    parts = [
        factor.real[:, None] * by.real - factor.imag[:, None] * by.imag
        for factor, by in ((low, by_low), (high, by_high))
    ]
    return np.concatenate([*parts, by_shift[:, None]], axis=1)


def fit_joint(starts: Sequence[Start], task: JointTask, evaluations: int = 12) -> list[JointFit]:
    """Values of both branches at once, of each of some pairs."""
    if not starts:
        return []
    pairs, begin = _Pairs.of(starts, task)
    x, squares = minimised(pairs, begin, evaluations)
    count, shifts = len(starts), x[:, -1]
    alone = as_they_stand(_branches(starts), pairs.bundle, _tasks(task, count), values_of(_logs(x)), np.tile(shifts, 2))
    n = np.arange(x.shape[1] - 1)
    sensitive = np.sqrt(np.sum(squares.normal[:, n, n], axis=-1) * log(1.05) ** 2 / 3.0)
    outside, _ = within_limits(_logs(x), pairs.limits)
    held = np.sum(outside**2, axis=-1).reshape(2, count).sum(axis=0) + level_pull(shifts)[0] ** 2
    rms, missed = np.sqrt(squares.square), np.sqrt(np.maximum(squares.square - held, 0.0))
    return [
        JointFit(
            alone[k],
            alone[count + k],
            start.sign,
            float(shifts[k]),
            float(rms[k]),
            float(sensitive[k]),
            float(missed[k]),
        )
        for k, start in enumerate(starts)
    ]


STEP_DAMPING = 0.1
"""Keeps the step that a form promises to one whose values stay within reason (common practice, no source)."""


def promised_errors(starts: Sequence[Start], task: JointTask) -> FloatArray:
    """Errors in dB that one damped step of least squares promises for each pair, (pairs,)."""
    pairs, begin = _Pairs.of(starts, task)
    return np.sqrt(pairs.squares(begin).promised(STEP_DAMPING))
