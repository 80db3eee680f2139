"""Fitting the part values of one branch so that filter times driver follows its acoustic target.

Knows errors in decibels, losses that grow with the part, and least squares over logarithms of values. Refuses
to know the other branch, which forms are worth trying and what can be bought.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import log, log10

import numpy as np
from numpy.typing import NDArray

from reportgen.crossover.bundle import Bundle, Losses
from reportgen.crossover.networks import Branch, inverse, solve, square, with_values
from reportgen.crossover.squares import Squares, minimised

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]

REFERENCE_PA = 2e-5
REFERENCE_DB = 20.0 * log10(REFERENCE_PA)
DB_OF_NEPER = 20.0 / log(10.0)
LIMITS = {"C": (0.5e-6, 220e-6), "L": (0.05e-3, 12e-3), "R": (0.33, 120.0)}
"""Values a crossover part is customarily sold in (common practice, no source)."""

Windows = Mapping[tuple[str, str], tuple[float, float]]
"""Narrower limits of single parts, by role and kind."""

SINKING_PULL, RISING_PULL = 0.1, 1.0
"""dB of error that a target 1 dB lower, or 1 dB higher than the driver, is held to cost (common practice, no source)."""


@dataclass(frozen=True, eq=False)
class BranchTask:
    """What one branch is to do; `frequency_hz` and `load_ohm` (frequency,), the arrays of the target (band,).

    `band` cuts the frequencies where the target counts out of all of them; the impedance is watched at all.
    `response` in Pa at the driver's terminals driven as the level is stated; `shape` the complex target with
    passband 1, `level_db` its level re 20 uPa; `weight` squared sums to 1; `floor_ohm` is the lowest modulus
    the branch may show the amplifier; `limits` what parts of a kind can be had, `windows` what single ones should keep.
    """

    frequency_hz: FloatArray
    load_ohm: ComplexArray
    band: slice
    response: ComplexArray
    shape: ComplexArray
    level_db: float
    weight: FloatArray
    floor_ohm: float
    losses: Losses
    windows: Windows
    limits: Mapping[str, tuple[float, float]] = field(default_factory=lambda: LIMITS)

    def in_single(self) -> BranchTask:
        """The same in single precision: builds without number are told apart three times as fast."""
        return replace(
            self,
            load_ohm=self.load_ohm.astype(np.complex64),
            response=self.response.astype(np.complex64),
            shape=self.shape.astype(np.complex64),
            weight=self.weight.astype(np.float32),
        )

    @cached_property
    def goal_db(self) -> FloatArray:
        """Target level over the band."""
        return self.level_db + 20.0 * np.log10(np.abs(self.shape))

    @cached_property
    def lost_db(self) -> FloatArray:
        """How far the driver without any filter lies above its target, (band,)."""
        return level_of(self.response) - self.goal_db


def level_of(pressure: ComplexArray) -> FloatArray:
    """Level re 20 uPa of complex pressures in Pa."""
    return decibels(pressure) - REFERENCE_DB


def decibels(ratio: ComplexArray) -> FloatArray:
    """Complex ratios in dB."""
    return np.asarray(10.0 * np.log10(np.maximum(square(ratio), 1e-30)))


FAR_BELOW = 0.004
"""Where a target lies lower than this share of its passband (-48 dB), nobody asks how low its branch is."""


def target_weight(shape: ComplexArray, octaves: FloatArray | float = 1.0) -> FloatArray:
    """Weight of each frequency, `octaves` apart from the next; squares sum to 1.

    It is the root of the target, so that -24 dB counts a quarter, at least 0.15, and nothing far below the passband.
    """
    weight = np.where(np.abs(shape) > FAR_BELOW, np.maximum(np.sqrt(np.abs(shape)), 0.15), 0.0) * np.sqrt(octaves)
    return np.asarray(weight / np.sqrt(np.sum(weight**2)))


@dataclass(frozen=True, slots=True, eq=False)
class Heard:
    """What builds of a branch do: pressure at the seat in Pa (..., band), admittance in S (..., frequency)."""

    pressure: ComplexArray
    admittance: ComplexArray

    def in_single(self) -> Heard:
        """The same in single precision."""
        return Heard(self.pressure.astype(np.complex64), self.admittance.astype(np.complex64))

    def turned(self, sign: int) -> Heard:
        """The same in a polarity, 1 or -1."""
        return self if sign > 0 else Heard(-self.pressure, self.admittance)

    def repeated(self, count: int) -> Heard:
        """One build so many times over."""
        return Heard(*(np.broadcast_to(one, (count, *one.shape)) for one in (self.pressure, self.admittance)))


def joined(several: Sequence[Heard]) -> Heard:
    """Builds one after the other along the first axis."""
    return Heard(np.concatenate([one.pressure for one in several]), np.concatenate([one.admittance for one in several]))


@dataclass(frozen=True, eq=False)
class Fitted:
    """A branch with fitted values and losses, what it does, the level shift taken, and its weighted rms error.

    `form` is the branch that was fitted, with the values it came with.
    """

    form: Branch
    values: FloatArray
    losses_ohm: FloatArray
    heard: Heard
    level_shift_db: float
    rms_db: float

    @cached_property
    def branch(self) -> Branch:
        """The branch with what was fitted: few of those that are tried are asked for it."""
        return with_values(self.form, self.values, self.losses_ohm)

    @property
    def parts(self) -> int:
        """How many parts it has."""
        return len(self.form.components)


SHORTAGE = 6.0
"""dB of error that 1 dB below the impedance floor, at one frequency, is held to cost (common practice, no source)."""


def shortage(admittance: ComplexArray, floor_ohm: FloatArray | float) -> FloatArray:
    """Residuals, shape of `admittance`, of an impedance that undercuts the floor; 0 above it."""
    return np.asarray(10.0 * SHORTAGE * np.log10(np.maximum(square(admittance) * floor_ohm**2, 1.0)))


def heard(branch: Branch, task: BranchTask, values: FloatArray, resistances_ohm: FloatArray) -> Heard:
    """What many builds do, for values and losses (samples, n_components)."""
    voltage, current = solve(branch, task.load_ohm, task.frequency_hz, values, resistances_ohm)
    gain = inverse(voltage)
    return Heard(task.response * gain[..., task.band], current * gain)


def limits_of(branch: Branch, task: BranchTask) -> tuple[FloatArray, FloatArray]:
    """Smallest and largest sensible value of every part, each (n_components,)."""
    wide = [task.limits[c.kind] for c in branch.components]
    own = [task.windows.get((c.role, c.kind), limit) for c, limit in zip(branch.components, wide, strict=True)]
    within = [(max(a, low), min(b, high)) for (low, high), (a, b) in zip(wide, own, strict=True)]
    found = [one if one[0] < one[1] else limit for one, limit in zip(within, wide, strict=True)]
    return np.array([low for low, _ in found]), np.array([high for _, high in found])


def within_limits(logs: FloatArray, limits: tuple[FloatArray, FloatArray]) -> tuple[FloatArray, FloatArray]:
    """Residuals of log values out of bounds (logarithms, the same shape), and their slopes."""
    low, high = limits
    over, under = np.maximum(logs - high, 0.0), np.maximum(low - logs, 0.0)
    return OUTSIDE * (over + under), OUTSIDE * (np.sign(over) - np.sign(under))


OUTSIDE = 3.0
"""dB of error that a value beyond what can be had, by a factor of e, is held to cost (common practice, no source)."""


def values_of(logs: FloatArray) -> FloatArray:
    """Values of the logarithms that are fitted, any shape, held far outside what can be bought: none gets lost in nothing."""
    return np.asarray(np.exp(np.clip(logs, -40.0, 15.0)))


def level_pull(shift_db: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Residual (samples,) that holds the level, and its slope: no filter lifts a passband, so rising costs more than sinking."""
    pull = np.where(shift_db > 0.0, RISING_PULL, SINKING_PULL)
    return pull * shift_db, pull


def shortage_slopes(admittance: ComplexArray, slopes: ComplexArray) -> FloatArray:
    """Slopes of `shortage` where the impedance undercuts its floor, for slopes of the admittance (problems, n, frequency)."""
    turned = 20.0 * SHORTAGE * LG_E * (1.0 / admittance)[:, None]
    return np.asarray(turned.real * slopes.real - turned.imag * slopes.imag)


def count_shortage(
    squares: Squares, admittance: ComplexArray, slopes: ComplexArray, floor_ohm: FloatArray | float
) -> None:
    """Count what undercuts the floor, with admittances (problems, frequency) and their slopes (problems, n, frequency)."""
    short = shortage(admittance, floor_ohm)
    somewhere = np.flatnonzero(np.any(short > 0.0, axis=0))
    if somewhere.size:
        found = short[:, somewhere]
        each = shortage_slopes(admittance[:, somewhere], slopes[:, :, somewhere])
        squares.count(each, (found, (found > 0.0).astype(np.float64)))


LG_E = 1.0 / log(10.0)
"""Logarithm of e to base 10."""


def filled(branches: Sequence[Branch], width: int) -> FloatArray:
    """Logarithms of all values, (branches, width); 0 where a branch has fewer parts."""
    logs = np.zeros((len(branches), width))
    for row, branch in enumerate(branches):
        logs[row, : len(branch.components)] = np.log(branch.values)
    return logs


def filled_limits(branches: Sequence[Branch], tasks: Sequence[BranchTask], width: int) -> tuple[FloatArray, FloatArray]:
    """Logarithms of the limits of all values, each (branches, width); none where a branch has fewer parts."""
    found = np.tile(np.array([-np.inf, np.inf])[:, None, None], (1, len(branches), width))
    for row, (branch, task) in enumerate(zip(branches, tasks, strict=True)):
        found[:, row, : len(branch.components)] = np.log(limits_of(branch, task))
    return found[0], found[1]


@dataclass(frozen=True, slots=True, eq=False)
class _Alone:
    """Branches that are fitted each alone to its task; unknowns are log values (branches, parts), within `limits`.

    Of the tasks: load (branches, frequency), weight and loss (branches, band), the floor (branches, 1).
    """

    any_task: BranchTask
    load_ohm: ComplexArray
    weight: FloatArray
    lost_db: FloatArray
    floor_ohm: FloatArray
    bundle: Bundle
    limits: tuple[FloatArray, FloatArray]

    def picked(self, which: NDArray[np.intp]) -> _Alone:
        """The branches with these places."""
        return _Alone(
            self.any_task, self.load_ohm[which], self.weight[which], self.lost_db[which], self.floor_ohm[which],
            self.bundle.picked(which), (self.limits[0][which], self.limits[1][which]),
        )  # fmt: skip

    def squares(self, x: FloatArray) -> Squares:
        """Those of the level's error, of values out of bounds and of what the impedance undercuts."""
        task, squares = self.any_task, Squares.nothing(*x.shape)
        found = self.bundle.response(values_of(x), self.load_ohm, task.frequency_hz, task.losses)
        error = self.lost_db + decibels(found.gain[:, task.band])
        squares.count(DB_OF_NEPER * found.gain_slopes[:, :, task.band].real, (self.weight * error, self.weight))
        squares.count_own(*within_limits(x, self.limits))
        count_shortage(squares, found.admittance, found.admittance_slopes, self.floor_ohm)
        return squares


def fit_branches(branches: Sequence[Branch], tasks: Sequence[BranchTask], evaluations: int = 15) -> list[Fitted]:
    """Values that bring each branch alone nearest its task's target magnitude, from the branch's own values on.

    The tasks share frequencies, band and losses.
    """
    if not branches:
        return []
    bundle = Bundle.of(branches)
    width = bundle.stage.shape[1]
    load, weight, lost, floor = (
        np.stack([np.atleast_1d(getattr(task, name)) for task in tasks])
        for name in ("load_ohm", "weight", "lost_db", "floor_ohm")
    )
    problems = _Alone(tasks[0], load, weight, lost, floor, bundle, filled_limits(branches, tasks, width))
    x, _ = minimised(problems, filled(branches, width), evaluations)
    return as_they_stand(branches, bundle, tasks, values_of(x), np.zeros(len(branches)))


def as_they_stand(
    branches: Sequence[Branch], bundle: Bundle, tasks: Sequence[BranchTask], values: FloatArray, shift_db: FloatArray
) -> list[Fitted]:
    """Branches with given values (branches, parts), with the losses their parts have by size, at level shifts (branches,)."""
    task = tasks[0]
    loads = np.stack([each.load_ohm for each in tasks])
    gain, admittance = bundle.gains(values, loads, task.frequency_hz, task.losses)
    losses = bundle.losses_ohm(values, task.losses)
    pressure = np.stack([each.response for each in tasks]) * gain[:, task.band]
    goal = np.stack([each.goal_db for each in tasks]) + shift_db[:, None]
    error = np.stack([each.weight for each in tasks]) * (level_of(pressure) - goal)
    rms, found = np.sqrt(np.sum(error**2, axis=-1)).tolist(), []
    for row, (branch, shift) in enumerate(zip(branches, shift_db.tolist(), strict=True)):
        own = slice(0, len(branch.components))
        does = Heard(pressure[row], admittance[row])
        found.append(Fitted(branch, values[row, own], losses[row, own], does, shift, rms[row]))
    return found
