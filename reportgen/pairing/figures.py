"""The figures of the finished loudspeaker, in the terms of IEC 60268-5 where it has them.

Knows how levels, load, watts and money of a designed pairing become figures that a customer compares. Refuses to judge.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reportgen.crossover.voicing import Voicing, smoothed

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]
Pair = tuple[float, float]

SENSITIVITY_FROM_HZ = 300.0
"""Up from here the level counts as that of the whole; below, the room has its say (common practice, no source)."""

RANGE_DB = 10.0
"""The effective range ends so far under the mean of the loudest octave (IEC 60268-5)."""


@dataclass(frozen=True, slots=True)
class Figures:
    """What is said of the finished loudspeaker, SI; None where a cell or a part's price is missing.

    `sensitivity_db` for 2.83 V at 1 m, mean of the voiced band above 300 Hz; `effective_range_hz` to 10 dB under the
    mean of the loudest octave (IEC 60268-5); `corner_hz` where the low driver is 3 dB down in its box or on its open baffle; `balance_db` the
    mean departure of bass and treble, `evenness_db` the largest of any third of an octave of the voiced band;
    `amplifier_w` the power for the level wanted, and the programme both drivers stand; `pieces` and `network_price` of
    one loudspeaker, `pair_price` of all loudspeakers of a kit with drivers and guides.
    """

    sensitivity_db: float
    effective_range_hz: Pair
    corner_hz: float | None
    voiced_band_hz: Pair
    shelf_db: float
    balance_db: Pair
    evenness_db: float
    rated_impedance_ohm: float
    least_impedance_ohm: float
    least_impedance_hz: float
    highest_level_db: float
    highest_level_cause: str
    amplifier_w: tuple[float, float | None]
    pieces: int
    network_price: float | None
    pair_price: float | None
    net_volume_m3: float | None
    tuning_hz: float | None


@dataclass(frozen=True, slots=True)
class Heard:
    """Levels (dB, 2.83 V at the seat) of the finished sum and of its target over frequency (Hz), and what is wanted."""

    frequency_hz: FloatArray
    sum_db: FloatArray
    target_db: FloatArray
    voicing: Voicing
    distance_m: float

    @property
    def error_db(self) -> FloatArray:
        """Sum over target."""
        return self.sum_db - self.target_db

    @property
    def balance_db(self) -> Pair:
        """Mean departure of the bass and of the treble."""
        bass, treble = self.voicing.balance_db(self.frequency_hz, self.error_db)
        return float(bass), float(treble)

    @property
    def evenness_db(self) -> float:
        """Largest mean departure of a third of an octave of the voiced band, with its sign."""
        thirds = self.voicing.thirds_db(self.frequency_hz, self.error_db)
        return float(thirds[np.argmax(np.abs(thirds))])

    @property
    def uneven_hz(self) -> float:
        """Middle of the third of an octave that departs most."""
        thirds = self.voicing.thirds_db(self.frequency_hz, self.error_db)
        inside = self.frequency_hz[self.voicing.inside(self.frequency_hz)]
        return float(inside[(inside.size - thirds.size) // 2 + int(np.argmax(np.abs(thirds)))])

    @property
    def seat_db(self) -> float:
        """Level for 2.83 V at the seat, mean of the voiced band above 300 Hz."""
        band = (self.frequency_hz >= SENSITIVITY_FROM_HZ) & self.voicing.inside(self.frequency_hz)
        return float(np.mean(self.sum_db[band]))

    @property
    def sensitivity_db(self) -> float:
        """The same at 1 m: the seat's level plus 20 lg of the distance."""
        return self.seat_db + 20.0 * math.log10(self.distance_m)

    @property
    def effective_range_hz(self) -> Pair:
        """The stretch about the loudest octave that lies no more than 10 dB under its mean (IEC 60268-5).

        Levels are smoothed over a third of an octave inside the voiced band, so that a narrow dip ends no range.
        """
        level = self.sum_db.copy()
        inside = np.flatnonzero(self.voicing.inside(self.frequency_hz))
        even = smoothed(self.frequency_hz, level[inside], 1.0 / 3.0)
        skipped = (inside.size - even.size) // 2
        level[inside[skipped : skipped + even.size]] = even
        octaves = smoothed(self.frequency_hz, level, 1.0)
        loud = level >= float(np.max(octaves)) - RANGE_DB
        middle = int(np.argmax(octaves)) + (level.size - octaves.size) // 2
        low, high = (_run(loud, middle, way) for way in (-1, 1))
        return float(self.frequency_hz[low]), float(self.frequency_hz[high])


def _run(good: NDArray[np.bool_], start: int, way: int) -> int:
    """The last index reached from `start` in one direction while `good` holds."""
    place = start
    while 0 <= place + way < good.size and good[place + way]:
        place += way
    return place


def corner_hz(frequency_hz: FloatArray, response: ComplexArray) -> float:
    """Where a boxed driver, 1 far above its resonance, falls through -3 dB for good (Hz)."""
    loud = np.abs(response) >= math.sqrt(0.5)
    last = int(np.flatnonzero(~loud)[-1]) if not loud.all() else 0
    if last + 1 >= frequency_hz.size:
        return float(frequency_hz[-1])
    steps = 20.0 * np.log10(np.abs(response[last : last + 2])) + 10.0 * math.log10(2.0)
    share = 0.0 if steps[1] <= steps[0] else float(np.clip(-steps[0] / (steps[1] - steps[0]), 0.0, 1.0))
    return float(frequency_hz[last] * (frequency_hz[last + 1] / frequency_hz[last]) ** share)


def with_network(figures: Figures | None) -> bool:
    """True where a price counts the network; a part without a price, or no network, leaves it out."""
    return figures is not None and figures.network_price is not None
