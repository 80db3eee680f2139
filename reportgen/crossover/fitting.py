"""Fitting the part values of one branch so that filter times driver follows its acoustic target.

Knows errors in decibels, losses that grow with the part, and least squares over logarithms of values. Refuses
to know the other branch, which forms are worth trying and what can be bought.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import scipy
from numpy.typing import NDArray

from reportgen.crossover.networks import Branch, solve, with_values

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]

REFERENCE_PA = 2e-5
STEP = 1e-4
LIMITS = {"C": (0.5e-6, 220e-6), "L": (0.05e-3, 12e-3), "R": (0.33, 120.0)}
"""Values a crossover part is customarily sold in (common practice, no source)."""

Windows = Mapping[tuple[str, str], tuple[float, float]]
"""Narrower limits of single parts, by role and kind."""

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
        coil = self.coil_ohm * (values / 1e-3) ** self.coil_exponent
        return np.where(branch.kinds == "L", coil, np.where(branch.kinds == "C", self.capacitor_ohm, 0.0))


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

    @cached_property
    def goal_db(self) -> FloatArray:
        """Target level over the band."""
        return self.level_db + 20.0 * np.log10(np.abs(self.shape))


def level_of(pressure: ComplexArray) -> FloatArray:
    """Level re 20 uPa of complex pressures in Pa."""
    square = np.maximum(pressure.real**2 + pressure.imag**2, 1e-40)
    return np.asarray(10.0 * np.log10(square) - 20.0 * np.log10(REFERENCE_PA))


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

    def picked(self, which: NDArray[np.intp]) -> Heard:
        """The builds with these places along the first axis."""
        return Heard(self.pressure[which], self.admittance[which])


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """A branch with fitted values, what it does, the level shift taken, and its weighted rms error."""

    branch: Branch
    heard: Heard
    level_shift_db: float
    rms_db: float


SHORTAGE = 6.0
"""dB of error that 1 dB below the impedance floor, at one frequency, is held to cost (common practice, no source)."""


def shortage(admittance: ComplexArray, floor_ohm: float) -> FloatArray:
    """Residuals, shape of `admittance`, of an impedance that undercuts the floor; 0 above it."""
    square = (admittance.real**2 + admittance.imag**2) * floor_ohm**2
    return np.asarray(10.0 * SHORTAGE * np.log10(np.maximum(square, 1.0)))


def heard(branch: Branch, task: BranchTask, values: FloatArray, resistances_ohm: FloatArray) -> Heard:
    """What many builds do, for values and losses (samples, n_components)."""
    voltage, current = solve(branch, task.load_ohm, task.frequency_hz, values, resistances_ohm)
    return Heard(task.response / voltage[..., task.band], current / voltage)


def limits_of(branch: Branch, task: BranchTask) -> tuple[FloatArray, FloatArray]:
    """Smallest and largest sensible value of every part, each (n_components,)."""
    wide = [task.limits[c.kind] for c in branch.components]
    own = [task.windows.get((c.role, c.kind), limit) for c, limit in zip(branch.components, wide, strict=True)]
    within = [(max(a, low), min(b, high)) for (low, high), (a, b) in zip(wide, own, strict=True)]
    found = [one if one[0] < one[1] else limit for one, limit in zip(within, wide, strict=True)]
    return np.array([low for low, _ in found]), np.array([high for _, high in found])


Rows = Callable[[FloatArray], tuple[Heard, FloatArray]]


def builds_of(branch: Branch, task: BranchTask) -> Rows:
    """Function of log values (samples, n): what the builds do, and residuals (samples, n) of values out of bounds."""
    low, high = (np.log(limit) for limit in limits_of(branch, task))

    def builds(logs: FloatArray) -> tuple[Heard, FloatArray]:
        values = values_of(logs)
        outside = 3.0 * (np.maximum(logs - high, 0.0) + np.maximum(low - logs, 0.0))
        return heard(branch, task, values, task.losses.of(branch, values)), outside

    return builds


Table = Callable[[FloatArray], tuple[FloatArray, FloatArray]]
"""Of unknowns (n,): residuals (rows,) and what each unknown does to them (n, rows)."""


def minimise(table: Table, start: FloatArray, evaluations: int) -> FloatArray:
    """Unknowns (n,) with the least sum of squares that Levenberg-Marquardt finds from `start` on (MINPACK)."""
    last: dict[bytes, tuple[FloatArray, FloatArray]] = {}

    def at(x: FloatArray) -> tuple[FloatArray, FloatArray]:
        key = x.tobytes()
        if key not in last:
            last.clear()
            last[key] = table(x)
        return last[key]

    found = scipy.optimize.leastsq(  # type: ignore[call-overload] # its stubs want the number of dimensions in the type
        lambda x: at(x)[0], start, Dfun=lambda x: at(x)[1], col_deriv=True, full_output=True,
        ftol=1e-4, xtol=1e-4, gtol=1e-6, maxfev=evaluations,
    )  # fmt: skip
    return np.asarray(found[0], dtype=np.float64)


def values_of(logs: FloatArray) -> FloatArray:
    """Values of the logarithms that are fitted, any shape, held far outside what can be bought: none gets lost in nothing."""
    return np.asarray(np.exp(np.clip(logs, -40.0, 15.0)))


def stepped(x: FloatArray) -> FloatArray:
    """Unknowns (n,) as they are and with each in turn a little larger, (1 + n, n)."""
    return x + np.eye(len(x) + 1, len(x), -1) * STEP


def slopes(rows: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Residuals and what each unknown does to them, of the rows (1 + n, ...) at the steps."""
    return rows[0], (rows[1:] - rows[0]) / STEP


def level_pull(shift_db: FloatArray) -> FloatArray:
    """Residual (samples, 1) that holds the level: no filter lifts a passband, so rising costs more than sinking."""
    return np.asarray(np.where(shift_db > 0.0, RISING_PULL, SINKING_PULL) * shift_db)[:, None]


def fit_branch(branch: Branch, task: BranchTask, evaluations: int = 15) -> Fitted:
    """Values that bring one branch nearest its target's magnitude, from the branch's own values on."""
    builds, goal_db = builds_of(branch, task), task.goal_db

    def table(x: FloatArray) -> tuple[FloatArray, FloatArray]:
        found, outside = builds(stepped(x))
        error = task.weight * (level_of(found.pressure) - goal_db)
        return slopes(np.concatenate([error, outside, shortage(found.admittance, task.floor_ohm)], axis=-1))

    x = minimise(table, np.log(branch.values), evaluations)
    return as_it_stands(branch, task, values_of(x), 0.0)


def own_heard(branch: Branch, task: BranchTask) -> Heard:
    """What a branch does as it stands, with the losses its parts have by size."""
    return heard(branch, task, branch.values, task.losses.of(branch, branch.values))


def as_it_stands(branch: Branch, task: BranchTask, values: FloatArray, shift_db: float) -> Fitted:
    """A branch with given values (n_components,), with the losses its parts have by size."""
    losses = task.losses.of(branch, values)
    found = heard(branch, task, values, losses)
    error = task.weight * (level_of(found.pressure) - task.goal_db - shift_db)
    return Fitted(with_values(branch, values, losses), found, shift_db, float(np.sqrt(np.sum(error**2))))
