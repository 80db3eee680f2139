"""What a network would do that met its targets: heat, highest level and level match, before there is one.

Knows that branches are the targets over the drivers' own responses. Refuses to know parts, and what a fit leaves over.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics.air import REFERENCE_PRESSURE_PA
from reportgen.acoustics.slopes import high_pass, low_pass, polarity
from reportgen.crossover.networks import RATED_IMPEDANCES_OHM
from reportgen.crossover.synthesis import levels_of
from reportgen.pairing.response import FREQUENCY_HZ, Model
from reportgen.pairing.sums import Driven
from reportgen.pairing.voiced import voicing_of

ComplexArray = NDArray[np.complex128]


@dataclass(frozen=True)
class Ideal(Driven):
    """Both drivers behind branches that follow their targets, in a whole of a supposed rated impedance (ohm)."""

    model: Model
    crossover_hz: float
    rated_ohm: float = RATED_IMPEDANCES_OHM[0]

    @cached_property
    def levels_db(self) -> tuple[float, float, float]:
        """Level of the low target, of the high one, and the high side's own (dB)."""
        model = self.model
        return levels_of(model.low_side, model.high_side, model.setting.slope, self.crossover_hz, voicing_of(model))

    @property
    def surplus_db(self) -> float:
        """How much louder (dB) the high side is than the target asks."""
        return self.levels_db[2] - self.levels_db[0]

    @cached_property
    def low_gain(self) -> ComplexArray:
        """As the target asks; a network takes away and does not lift."""
        return _within(self._low_wanted / self.model.low_side.response)

    @cached_property
    def _low_wanted(self) -> ComplexArray:
        """Pressure (Pa) that is wanted of the low branch."""
        return self._wanted(low_pass(self.model.setting.slope, FREQUENCY_HZ, self.crossover_hz), self.levels_db[0])

    @cached_property
    def high_gain(self) -> ComplexArray:
        """As the target asks, in the right polarity; from f_c/2 on it makes up what the low branch lacks, as a fit of both does."""
        slope = self.model.setting.slope
        target = polarity(slope) * high_pass(slope, FREQUENCY_HZ, self.crossover_hz)
        lacking = np.where(FREQUENCY_HZ >= self.crossover_hz / 2.0, self._low_wanted - self.low, 0.0)
        return _within((self._wanted(target, self.levels_db[1]) + lacking) / self.model.high_side.response)

    def _wanted(self, target: ComplexArray, level_db: float) -> ComplexArray:
        """Pressure (Pa) of a target, voiced."""
        return np.asarray(
            REFERENCE_PRESSURE_PA * 10.0 ** (level_db / 20.0) * voicing_of(self.model).shape(FREQUENCY_HZ) * target
        )


def _within(gain: ComplexArray) -> ComplexArray:
    """Held to 1."""
    return np.asarray(gain / np.maximum(np.abs(gain), 1.0))
