"""Both branches of a network on their drivers: what they let through, what is heard of them, what the amplifier sees.

Knows the model and the designed branches. Refuses to know what is made of them.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics import listening
from reportgen.acoustics.air import REFERENCE_PRESSURE_PA
from reportgen.acoustics.frequencies import between
from reportgen.crossover.joint import JointFit
from reportgen.crossover.networks import Branch, amplifier_load, in_parallel, input_impedance, transfer
from reportgen.crossover.stress import Margins, PartStress, Programme, branch_stress, rated_voltage
from reportgen.crossover.synthesis import Design
from reportgen.pairing.heat import Heat, heat_of
from reportgen.pairing.response import FREQUENCY_HZ, Model

Trace = tuple[float, ...]
ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]
Stresses = tuple[tuple[PartStress, ...], tuple[PartStress, ...]]


class Driven(ABC):
    """Both sides behind whatever lies before them: pressures at the seat and heat, from what reaches their terminals; (frequency,) arrays."""

    model: Model

    @property
    @abstractmethod
    def low_gain(self) -> ComplexArray:
        """Voltage at the low drivers per volt of the amplifier."""

    @property
    @abstractmethod
    def high_gain(self) -> ComplexArray:
        """Voltage at the high drivers per volt of the amplifier, negative where they are reversed."""

    @property
    @abstractmethod
    def rated_ohm(self) -> float:
        """Rated impedance of the whole (ohm)."""

    @property
    def low(self) -> ComplexArray:
        """Pressure of the low branch at the seat (Pa for 2.83 V)."""
        return np.asarray(self.model.low_side.response * self.low_gain)

    @property
    def high(self) -> ComplexArray:
        """Pressure of the high branch at the seat, in its polarity."""
        return np.asarray(self.model.high_side.response * self.high_gain)

    @property
    def voltage_v(self) -> float:
        """Rms voltage of the amplifier's rated programme power into the rated impedance of the whole."""
        return rated_voltage(self.model.setting.case.pairing.amplifier_power_w, self.rated_ohm)

    @cached_property
    def heat(self) -> Heat:
        """Heat of both drivers at the rated programme."""
        low, high = (self.low_gain, self.model.low_side.impedance), (self.high_gain, self.model.high_side.impedance)
        return heat_of(self.model.setting.case, self.voltage_v, low, high)


class Branched(Driven):
    """Both sides behind branches of parts: transfers and impedances; (frequency,) arrays."""

    @property
    @abstractmethod
    def branches(self) -> tuple[Branch, Branch, bool]:
        """The low branch, the high one, and whether the high driver is reversed."""

    @cached_property
    def low_gain(self) -> ComplexArray:
        """Voltage at the low drivers per volt of the amplifier."""
        return transfer(self.branches[0], self.model.low_side.impedance, FREQUENCY_HZ)

    @cached_property
    def high_gain(self) -> ComplexArray:
        """Voltage at the high drivers per volt of the amplifier, negative where they are reversed."""
        _, high, is_reversed = self.branches
        sign = -1.0 if is_reversed else 1.0
        return np.asarray(sign * transfer(high, self.model.high_side.impedance, FREQUENCY_HZ))

    @cached_property
    def impedance(self) -> ComplexArray:
        """What the amplifier sees (ohm)."""
        sides = zip(self.branches[:2], (self.model.low_side, self.model.high_side), strict=True)
        return in_parallel(*(input_impedance(branch, side.impedance, FREQUENCY_HZ) for branch, side in sides))

    @cached_property
    def rated_ohm(self) -> float:
        """Rated impedance of the whole (ohm)."""
        return amplifier_load(self.impedance, FREQUENCY_HZ).rated_ohm or 2.0

    def stress(self) -> Stresses:
        """Stress of every part of both branches at the rated programme."""
        practice = self.model.setting.case.practice
        programme = Programme(*practice.programme, practice["programme crest factor"])
        margins = Margins(practice["voltage margin"], practice["current margin"], practice["power margin"])
        sides = zip(self.branches[:2], (self.model.low_side, self.model.high_side), strict=True)
        low, high = (
            branch_stress(branch, side.impedance, FREQUENCY_HZ, programme, self.voltage_v, margins)
            for branch, side in sides
        )
        return low, high


@dataclass(frozen=True)
class Optimum(Branched):
    """Both branches as they were fitted, before any part is chosen; `supposed_ohm` stands in for the rated impedance that they have."""

    model: Model
    fit: JointFit
    supposed_ohm: float | None = None

    @property
    def rated_ohm(self) -> float:
        """Rated impedance of the whole (ohm)."""
        return self.supposed_ohm or super().rated_ohm

    @property
    def branches(self) -> tuple[Branch, Branch, bool]:
        """The low branch, the high one, and whether the high driver is reversed."""
        return self.fit.low.branch, self.fit.high.branch, self.fit.sign < 0


@dataclass(frozen=True)
class Sums(Branched):
    """Both branches of a design on their drivers."""

    model: Model
    design: Design

    @property
    def branches(self) -> tuple[Branch, Branch, bool]:
        """The low branch, the high one, and whether the high driver is reversed."""
        return self.design.low, self.design.high, self.design.high_reversed

    def weighted_sources(self, hz: FloatArray) -> tuple[listening.Source, ...]:
        """Every source behind its filter, at the frequencies `hz`."""
        sides = ((self.model.low_sources, self.low_gain), (self.model.high_sources, self.high_gain))
        return tuple(
            replace(source, response=between(FREQUENCY_HZ, source.response * gain, hz))
            for sources, gain in sides
            for source in sources
        )


def db(pressure: ComplexArray | FloatArray) -> FloatArray:
    """Level (dB SPL) of pressures (Pa), nothing counting as far below hearing."""
    return np.asarray(20.0 * np.log10(np.maximum(np.abs(pressure), 1e-12) / REFERENCE_PRESSURE_PA))


def trace(values: Iterable[float]) -> Trace:
    """Values as a tuple of plain numbers."""
    return tuple(float(value) for value in values)
