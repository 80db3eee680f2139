"""The driver as a load: voice coil and resonance as resistors, coils and capacitors.

Knows the electrical side of a moving system and how to find it in a measured impedance. Refuses to know
boxes, sound or parts lists.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log, pi

import numpy as np
import scipy
from numpy.typing import ArrayLike, NDArray

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class DriverLoad:
    """Re, Le and one resonance: the series resistance and inductance and a parallel R-L-C (Small 1972)."""

    re_ohm: float
    le_h: float
    fs_hz: float
    qms: float
    qes: float

    @property
    def res_ohm(self) -> float:
        """Height of the resonance peak above Re."""
        return self.re_ohm * self.qms / self.qes

    @property
    def lces_h(self) -> float:
        """Coil that stands for the compliance."""
        return self.re_ohm / (2.0 * pi * self.fs_hz * self.qes)

    @property
    def cmes_f(self) -> float:
        """Capacitor that stands for the moving mass."""
        return self.qes / (2.0 * pi * self.fs_hz * self.re_ohm)

    def impedance(self, frequency_hz: ArrayLike) -> ComplexArray:
        """Complex impedance in ohm, shape of `frequency_hz` (Hz, greater than 0)."""
        f = np.asarray(frequency_hz, dtype=np.float64)
        resonance = self.res_ohm / (1.0 + 1j * self.qms * (f / self.fs_hz - self.fs_hz / f))
        return np.asarray(self.re_ohm + 2j * pi * f * self.le_h + resonance, dtype=np.complex128)


def _peak(frequency: FloatArray, modulus: FloatArray) -> int:
    """Index of the highest local maximum inside the range, or of the lowest frequency when there is none."""
    inner = (modulus[1:-1] > modulus[:-2]) & (modulus[1:-1] >= modulus[2:])
    places = np.flatnonzero(inner) + 1
    return int(places[np.argmax(modulus[places])]) if len(places) else 0


def _start(frequency: FloatArray, impedance: ComplexArray) -> FloatArray:
    modulus = np.abs(impedance)
    re = float(impedance.real.min())
    peak = _peak(frequency, modulus)
    fs, res = float(frequency[peak]), max(float(modulus[peak]) - re, 0.02 * re)
    beside = (impedance.real - re > 0.5 * res) & (frequency > 0.4 * fs) & (frequency < 2.5 * fs)
    spread = np.ptp(frequency[beside]) if beside.any() else 0.0
    qms = min(max(fs / max(float(spread), 0.05 * fs), 0.3), 20.0)
    le = max(float(impedance.imag[-1]) / (2.0 * pi * float(frequency[-1])), 1e-6)
    return np.log([re, le, fs, qms, qms * re / res])


def fit_driver_load(frequency_hz: ArrayLike, impedance_ohm: ArrayLike) -> DriverLoad:
    """Equivalent Re, Le, fs, Qms, Qes of an impedance curve, both arrays (frequency,), at least 8 points.

    Least squares over the logarithm of the complex impedance, so that every octave and every ohm counts in
    ratio.
    """
    f = np.asarray(frequency_hz, dtype=np.float64)
    z = np.asarray(impedance_ohm, dtype=np.complex128)
    if f.ndim != 1 or f.shape != z.shape or len(f) < 8:
        raise ValueError(
            f"an impedance curve of shape {z.shape} over {f.shape} frequencies cannot be fitted; "
            "give at least 8 points, one impedance a frequency"
        )

    def model(x: FloatArray) -> ComplexArray:
        return DriverLoad(*(exp(v) for v in x)).impedance(f)

    def misses(x: FloatArray) -> FloatArray:
        miss = np.log(model(x) / z)
        return np.concatenate([miss.real, miss.imag])

    start = _start(f, z)
    low = start - log(4.0)
    high = start + log(4.0)
    low[1], high[1], low[2], high[2] = log(1e-7), log(2e-2), log(0.3 * f[0]), log(2.0 * f[-1])
    low[4] = min(low[4], log(0.02))
    found = scipy.optimize.least_squares(misses, np.clip(start, low + 1e-6, high - 1e-6), bounds=(low, high))
    return DriverLoad(*(exp(float(v)) for v in found.x))
