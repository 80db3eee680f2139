"""What finished branches do at the seat, on the whole grid: the sum, its null, its balance, the load.

Knows levels, targets and what is wanted of a network. Refuses to know how the branches were found.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from math import pi

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics.slopes import Slope, high_pass, low_pass, polarity, target_sum
from reportgen.crossover.fitting import level_of
from reportgen.crossover.networks import Branch, inverse, solve, square
from reportgen.crossover.sides import Side, Wanted
from reportgen.crossover.voicing import Voicing

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Reached:
    """What two finished branches do at the seat, from f_c/2 to 2 f_c unless said otherwise; the fields as in `Design`."""

    sum_rms_db: float
    sum_worst_db: float
    sum_worst_hz: float
    phase_worst_rad: float
    null_db: float
    evenness_db: float
    balance_db: tuple[float, float]
    loud_db: float
    least_ohm: float

    def missed(self, wanted: Wanted, nulled: bool) -> float:
        """How far the network misses what is wanted, as of `Many`."""
        figures = (
            self.sum_rms_db, abs(self.sum_worst_db), self.null_db, abs(self.evenness_db), max(map(abs, self.balance_db)),
            self.loud_db, self.least_ohm,
        )  # fmt: skip
        return float(Many(*map(np.asarray, figures)).missed(wanted, nulled))


@dataclass(frozen=True, slots=True)
class Many:
    """The figures that decide, of many networks at once, each (...,): dB and ohm."""

    rms_db: FloatArray
    worst_db: FloatArray
    null_db: FloatArray
    evenness_db: FloatArray
    balance_db: FloatArray
    loud_db: FloatArray
    least_ohm: FloatArray

    def missed(self, wanted: Wanted, nulled: bool) -> FloatArray:
        """How far the networks miss what is wanted, (...,): the sum of what goes beyond, each as a share of its limit."""
        over = [
            self.worst_db / wanted.worst_db - 1.0,
            self.evenness_db / wanted.third_db - 1.0,
            self.balance_db / wanted.balance_db - 1.0,
            self.loud_db / wanted.loud_db - 1.0,
            1.0 - self.least_ohm / wanted.least_ohm,
        ]
        if nulled:
            over.append(1.0 + self.null_db / wanted.null_db)
        return np.asarray(sum(np.maximum(one, 0.0) for one in over))


@dataclass(frozen=True, eq=False)
class Bench:
    """Both drivers, the targets and the level: where finished networks are measured. Arrays over the sides' grid."""

    low: Side
    high: Side
    slope: Slope
    crossover_hz: float
    voicing: Voicing

    def in_single(self) -> Bench:
        """The same with both drivers in single precision."""
        return replace(self, low=self.low.in_single(), high=self.high.in_single())

    @property
    def frequency_hz(self) -> FloatArray:
        """The sides' grid (Hz)."""
        return self.low.frequency_hz

    @cached_property
    def near(self) -> NDArray[np.bool_]:
        """From f_c/2 to 2 f_c."""
        return np.asarray(np.abs(np.log2(self.frequency_hz / self.crossover_hz)) <= 1.0001)

    @cached_property
    def shapes(self) -> tuple[ComplexArray, ComplexArray, FloatArray]:
        """Targets of both branches and of the sum's modulus, passband 1, as voiced."""
        f, wanted = self.frequency_hz, self.voicing.shape(self.frequency_hz)
        low, high = (wanted * branch(self.slope, f, self.crossover_hz) for branch in (low_pass, high_pass))
        return low, high, np.asarray(wanted * np.abs(target_sum(self.slope, f, self.crossover_hz)))

    @cached_property
    def _judged(self) -> NDArray[np.bool_]:
        return self.near | self.voicing.inside(self.frequency_hz)

    def side_heard(
        self, side: Side, branch: Branch, values: FloatArray | None = None, losses: FloatArray | None = None
    ) -> tuple[ComplexArray, ComplexArray]:
        """Pressure (Pa) and admittance (S) of builds of a branch, each (..., frequency)."""
        voltage, current = solve(branch, side.impedance, self.frequency_hz, values, losses)
        gain = inverse(voltage)
        return side.response * gain, current * gain

    def many(
        self,
        low: tuple[ComplexArray, ComplexArray],
        high: tuple[ComplexArray, ComplexArray],
        sign: int,
        level_db: FloatArray | float,
    ) -> Many:
        """Figures of networks whose pressures and admittances, and the level of the target, broadcast against each other."""
        f, band = self.frequency_hz, self._judged
        p_low, p_high = low[0][..., band], sign * high[0][..., band]
        low_shape, high_shape, sum_shape = (shape[band].astype(p_low.dtype) for shape in self.shapes)
        wanted_db = 20.0 * np.log10(sum_shape.real)
        goal_db = np.asarray(level_db, dtype=wanted_db.dtype)[..., None] + wanted_db
        error = level_of(p_low + p_high) - goal_db
        near = self.near[band]
        close, turned = error[..., near], (p_low - p_high)[..., near]
        seen = square(low[1] + high[1])
        loud = [
            np.max(
                (level_of(p) - goal_db - 20.0 * np.log10(np.abs(shape) / sum_shape.real))[..., near],
                axis=-1,
            )
            for p, shape in ((p_low, low_shape), (p_high, high_shape))
        ]
        return Many(
            rms_db=np.sqrt(np.mean(close**2, axis=-1)),
            worst_db=np.max(np.abs(close), axis=-1),
            null_db=np.min(level_of(turned) - goal_db[..., near], axis=-1),
            evenness_db=np.max(np.abs(self.voicing.thirds_db(f[band], error)), axis=-1),
            balance_db=np.max(np.abs(self.voicing.balance_db(f[band], error)), axis=-1),
            loud_db=np.maximum(*loud),
            least_ohm=np.max(seen, axis=-1) ** -0.5,
        )

    def reached(self, low: Branch, high: Branch, sign: int, level_db: float) -> Reached:
        """All figures of one network; `level_db` is that of the sum's target."""
        f, band = self.frequency_hz, self.near
        (p_low, y_low), (p_high, y_high) = self.side_heard(self.low, low), self.side_heard(self.high, high)
        found = self.many((p_low, y_low), (p_high, y_high), sign, level_db)
        total = level_of(p_low + sign * p_high) - level_db - 20.0 * np.log10(self.shapes[2])
        worst = int(np.argmax(np.where(band, np.abs(total), -1.0)))
        bass, treble = self.voicing.balance_db(f, total)
        thirds = self.voicing.thirds_db(f, total)
        return Reached(
            float(found.rms_db), float(total[worst]), float(f[worst]),
            self._turn(p_low[band], sign * p_high[band]), float(found.null_db), float(thirds[np.argmax(np.abs(thirds))]),
            (float(bass), float(treble)), float(found.loud_db), float(found.least_ohm),
        )  # fmt: skip

    def _turn(self, p_low: ComplexArray, p_high: ComplexArray) -> float:
        """Largest turn (rad) of the branches from where their targets stand, where both are within 12 dB."""
        low, high = (shape[self.near] for shape in self.shapes[:2])
        turned = np.angle(p_low * np.conj(p_high) * np.conj(low * np.conj(polarity(self.slope) * high)))
        close = np.abs(level_of(p_low) - level_of(p_high)) <= 12.0
        return float(turned[close][np.argmax(np.abs(turned[close]))]) if close.any() else pi
