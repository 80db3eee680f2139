"""The highest level that a network reaches at the seat, and what ends it.

Knows voltage, travel and heat. Refuses to know what level is wanted.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics.drivers import SENSITIVITY_VOLT
from reportgen.pairing.response import FREQUENCY_HZ
from reportgen.pairing.sums import Driven, db

FloatArray = NDArray[np.float64]


REACHED_TO_HZ = 10000.0
"""Up to here the wanted peak level must be reached: programme holds no such tones above (common practice, no source)."""


AMPLIFIER = "the amplifier"
"""What ends the level where nothing else does before."""


@dataclass(frozen=True)
class Reach:
    """Highest level at the seat (dB) over the grid and what ends it at each frequency; with it what the amplifier alone allows."""

    level_db: FloatArray
    cause: tuple[str, ...]
    by_amplifier_db: FloatArray

    def least(self, crossover_hz: float) -> tuple[float, float, str]:
        """Level (dB) at which it ends, at which frequency (Hz) and by what, from two octaves below the crossover up."""
        lowest = int(np.argmin(np.where(_judged(crossover_hz), self.level_db, np.inf)))
        return float(self.level_db[lowest]), float(FREQUENCY_HZ[lowest]), self.cause[lowest]

    def amplifier_w(self, wanted_db: float, crossover_hz: float, power_w: float) -> float:
        """Power (W) that reaches a level (dB) all over that band, where one of `power_w` reaches `by_amplifier_db`."""
        least_db = float(np.min(self.by_amplifier_db[_judged(crossover_hz)]))
        return float(power_w * 10.0 ** ((wanted_db - least_db) / 10.0))


def _judged(crossover_hz: float) -> NDArray[np.bool_]:
    """The frequencies at which the level is judged: from two octaves below the crossover up."""
    return np.asarray((FREQUENCY_HZ >= crossover_hz / 4.0) & (FREQUENCY_HZ <= REACHED_TO_HZ))


def reach_of(sums: Driven) -> Reach:
    """Highest rms tone at the seat: the amplifier's voltage, heat and travel of both sides, whichever ends first.

    Heat counts as of the whole programme whose loudest tone this is; what a hot coil loses is taken off where it is known.
    """
    setting = sums.model.setting
    case = setting.case
    bounds: list[tuple[str, FloatArray]] = [(AMPLIFIER, np.full(FREQUENCY_HZ.size, sums.voltage_v))]
    bounds += [(cause, np.full(FREQUENCY_HZ.size, volts)) for cause, volts in sums.heat.bounds_v]
    if case.low.peak_travel_m is not None:
        travel = sums.model.low_travel_m * np.abs(sums.low_gain)
        bounds.append(
            ("travel of the low driver", SENSITIVITY_VOLT * case.low.peak_travel_m / np.maximum(travel, 1e-12))
        )
    if case.high.peak_travel_m is not None and sums.model.high_travel_m is not None:
        travel = sums.model.high_travel_m * np.abs(sums.high_gain)
        bounds.append(
            ("travel of the high driver", SENSITIVITY_VOLT * case.high.peak_travel_m / np.maximum(travel, 1e-12))
        )
    table = np.array([voltage for _, voltage in bounds])
    which = np.argmin(table, axis=0)
    at_once_db = db(sums.low + sums.high) - _hot_db(sums)
    level, amplified = (
        at_once_db + 20.0 * np.log10(volts / SENSITIVITY_VOLT) for volts in (table.min(axis=0), table[0])
    )
    return Reach(level, tuple(bounds[i][0] for i in which), amplified)


def _hot_db(sums: Driven) -> FloatArray:
    """What both coils lose at the rated programme (dB) over the grid, shared by the pressure of the branches."""
    low, high = (10.0 ** (-(side.compression_db or 0.0) / 20.0) for side in (sums.heat.low, sums.heat.high))
    return db(sums.low + sums.high) - db(low * sums.low + high * sums.high)
