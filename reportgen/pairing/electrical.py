"""What the amplifier sees of a network.

Knows IEC 60268-5 on rated impedances. Refuses to know what an amplifier bears.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from reportgen.crossover.networks import amplifier_load, in_parallel, input_impedance
from reportgen.pairing.response import FREQUENCY_HZ
from reportgen.pairing.sums import Sums


@dataclass(frozen=True)
class Electrical:
    """What the amplifier sees: ohm, Hz, rad; rated impedance by IEC 60268-5."""

    minimum_ohm: float
    minimum_hz: float
    largest_phase_rad: float
    rated_ohm: float
    resistance_at_terminals_ohm: float


def electrical_of(sums: Sums) -> Electrical:
    """The load of the whole: over the grid, and at direct current."""
    load = amplifier_load(sums.impedance, FREQUENCY_HZ)
    low, high = sums.model.low_side, sums.model.high_side
    dc = np.array([1e-3])
    direct = in_parallel(
        input_impedance(sums.design.low, np.array([low.re_ohm or 0.0], dtype=complex), dc),
        input_impedance(sums.design.high, np.array([high.re_ohm or 0.0], dtype=complex), dc),
    )
    return Electrical(
        load.minimum_ohm, load.minimum_hz, load.largest_phase_rad, load.rated_ohm or 0.0, float(np.abs(direct[0]))
    )
