"""How the whole loudspeaker is to sound: the voiced band, the shelf that the room makes good, the tilt, the level.

Knows wanted shapes over frequency and how far a response departs from them. Refuses to know rooms, parts and forms.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
Band = tuple[float, float]

TILT_PIVOT_HZ = 1000.0
"""About this frequency the wanted response is tilted."""

BASS_TO_HZ, BASS_FROM_MOST_HZ = 300.0, 250.0
TREBLE_HZ: Band = (1000.0, 8000.0)
"""Balance is judged on the means up to the first figure and over this band; a voiced band that starts above the second
is judged on its lowest half octave and a bit, up to 1.5 times its lower end (common practice, no source)."""

LEVEL_SLACK_DB = 1.0
"""So far under the target the low side may lie, smoothed over an octave, where the level is set (common practice)."""


@dataclass(frozen=True, slots=True)
class Voicing:
    """The wanted sum beside what the slope asks: Hz, dB, dB an octave.

    The shelf is of first order about `step_hz`: `shelf_db` down far below it, half of that at it, nothing far above.
    """

    low_hz: float
    high_hz: float
    shelf_db: float = 0.0
    step_hz: float = 500.0
    tilt_db: float = 0.0

    def shape(self, frequency_hz: FloatArray) -> FloatArray:
        """Factor on the wanted pressure, shape of `frequency_hz` (Hz).

        >>> Voicing(100.0, 1e4, 6.0, 500.0).shape(np.array([1.0, 500.0, 1e6])).round(2).tolist()
        [0.5, 0.71, 1.0]
        """
        half = 10.0 ** (self.shelf_db / 40.0)
        s = 1j * frequency_hz / self.step_hz
        shelf = np.abs((s + 1.0 / half) / (s + half))
        return np.asarray(shelf * (frequency_hz / TILT_PIVOT_HZ) ** (self.tilt_db / (20.0 * np.log10(2.0))))

    @property
    def bass_hz(self) -> Band:
        """The band that counts as the bass in the balance."""
        return self.low_hz, BASS_TO_HZ if self.low_hz <= BASS_FROM_MOST_HZ else 1.5 * self.low_hz

    def inside(self, frequency_hz: FloatArray) -> NDArray[np.bool_]:
        """Which frequencies lie in the voiced band."""
        return within(frequency_hz, (self.low_hz, self.high_hz))

    def balance_db(self, frequency_hz: FloatArray, error_db: FloatArray) -> FloatArray:
        """Mean departure (..., 2) from the target in the bass and in the treble; `error_db` (..., frequency)."""
        found = [np.mean(error_db[..., within(frequency_hz, band)], axis=-1) for band in (self.bass_hz, TREBLE_HZ)]
        return np.stack(found, axis=-1)

    def thirds_db(self, frequency_hz: FloatArray, error_db: FloatArray) -> FloatArray:
        """Mean departure (..., windows) over every third of an octave that lies in the voiced band whole."""
        inside = error_db[..., self.inside(frequency_hz)]
        return smoothed(frequency_hz, inside, 1.0 / 3.0)


PLAIN = Voicing(100.0, 16000.0)
"""No shelf, no tilt."""


def within(frequency_hz: FloatArray, band_hz: Band) -> NDArray[np.bool_]:
    """Which frequencies lie in a band (Hz, ends included)."""
    return (frequency_hz >= band_hz[0] * 0.9999) & (frequency_hz <= band_hz[1] * 1.0001)


def smoothed(frequency_hz: FloatArray, level_db: FloatArray, octaves: float) -> FloatArray:
    """Means (..., windows) of levels over every run of a grid with even octaves that spans so many; one if it is shorter."""
    step = float(np.log2(frequency_hz[1] / frequency_hz[0]))
    count = min(max(round(octaves / step) + 1, 1), level_db.shape[-1])
    total = np.cumsum(np.concatenate([np.zeros((*level_db.shape[:-1], 1), level_db.dtype), level_db], axis=-1), axis=-1)
    return np.asarray((total[..., count:] - total[..., :-count]) / count)


def reachable_level(frequency_hz: FloatArray, natural_db: FloatArray, wanted_db: FloatArray) -> float:
    """Highest level (dB) of a target that a driver meets without being lifted.

    `natural_db` is the driver's own level and `wanted_db` the target's shape re its level, both (frequency,) over the
    stretch where this driver alone makes the sum. Smoothed over an octave the driver lies nowhere more than
    `LEVEL_SLACK_DB` under the target.
    """
    return float(np.min(smoothed(frequency_hz, natural_db - wanted_db, 1.0))) + LEVEL_SLACK_DB
