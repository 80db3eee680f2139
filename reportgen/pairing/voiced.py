"""How a pairing is to sound, and where its drivers themselves stand in the way.

Knows placement, baffle and both drivers' own responses. Refuses to know networks beyond the level they reach.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics.air import REFERENCE_PRESSURE_PA
from reportgen.crossover.voicing import Voicing, smoothed, within
from reportgen.pairing.figures import Heard
from reportgen.pairing.response import FREQUENCY_HZ, Model

FloatArray = NDArray[np.float64]

OVER_CORNER = 1.5
"""The voiced band begins so far over the low driver's corner (common practice, no source)."""

TOP_HZ, FURTHER_HZ, TOP_FALL_DB = 10000.0, 16000.0, 3.0
"""The voiced band ends at the first, or as far up to the second as the high driver stays within so many dB of its mean
an octave below (common practice, no source)."""


def voicing_of(model: Model) -> Voicing:
    """How the pairing is to sound: its voiced band, and the shelf by placement or as the operator wishes."""
    practice = model.setting.case.practice
    return Voicing(
        low_hz=max(practice["voiced band from"], OVER_CORNER * model.corner_hz, model.rear_path_hz),
        high_hz=_top_hz(model),
        shelf_db=model.setting.shelf_db,
        step_hz=model.setting.step_hz,
        tilt_db=practice["voicing tilt"],
    )


def _top_hz(model: Model) -> float:
    """Upper end of the voiced band (Hz)."""
    level = _level_db(model.high_side.response)
    even = np.interp(FREQUENCY_HZ, *_thirds(level))
    below = float(np.mean(level[within(FREQUENCY_HZ, (TOP_HZ / 2.0, TOP_HZ))]))
    fallen = FREQUENCY_HZ[(FREQUENCY_HZ > TOP_HZ) & (even < below - TOP_FALL_DB)]
    return float(np.clip(fallen[0] if fallen.size else FURTHER_HZ, TOP_HZ, FURTHER_HZ))


def _thirds(level_db: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Middle frequencies (Hz) and third-octave means (dB) of a level over the grid."""
    even = smoothed(FREQUENCY_HZ, level_db, 1.0 / 3.0)
    first = (FREQUENCY_HZ.size - even.size) // 2
    return FREQUENCY_HZ[first : first + even.size], even


def _level_db(pressure: NDArray[np.complex128]) -> FloatArray:
    return np.asarray(20.0 * np.log10(np.maximum(np.abs(pressure), 1e-12) / REFERENCE_PRESSURE_PA))


@dataclass(frozen=True, slots=True)
class Barred:
    """Where (Hz) the sum departs from its target, and by how much (dB) the driver itself lies under it there.

    `driver` is "low" or "high"; no passive network lifts what its driver lacks. `lacks_db` is 0 where it reaches.
    """

    low_hz: float
    high_hz: float
    driver: str
    lacks_db: float


def barred(model: Model, heard: Heard, crossover_hz: float, low_hz: float, high_hz: float | None = None) -> Barred:
    """What the driver that makes the sound about one frequency, or over a band (Hz), lacks there by itself."""
    band = (low_hz / 2.0 ** (1.0 / 6.0), low_hz * 2.0 ** (1.0 / 6.0)) if high_hz is None else (low_hz, high_hz)
    inside = within(FREQUENCY_HZ, band)
    driver = "low" if (band[0] * band[1]) ** 0.5 < crossover_hz else "high"
    side = model.low_side if driver == "low" else model.high_side
    lacks = float(np.mean(heard.target_db[inside] - _level_db(side.response[inside])))
    return Barred(band[0], band[1], driver, max(lacks, 0.0))
