"""The air a loudspeaker works in.

Knows the speed of sound, the density and the reference pressure of levels.
Refuses to know anything that radiates.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

REFERENCE_PRESSURE_PA = 20e-6
"""0 dB sound pressure level (ISO 1683)."""


@dataclass(frozen=True)
class Air:
    """Air as an ideal gas at one temperature (degrees Celsius) and static pressure (Pa).

    c = 331.3 sqrt(1 + T/273.15), rho = p/(287.05 (T + 273.15)). ISO 9613-1:1993 gives 343.2 m/s at 20 degrees.
    Raises ValueError below absolute zero or without pressure.

    >>> round(Air().speed_m_s, 3), round(Air().density_kg_m3, 5)
    (343.215, 1.20412)
    """

    temperature_c: float = 20.0
    pressure_pa: float = 101325.0

    def __post_init__(self) -> None:
        if not self.temperature_c > -273.15:
            raise ValueError(f"air at {self.temperature_c} degrees Celsius; it must be above -273.15")
        if not self.pressure_pa > 0.0:
            raise ValueError(f"air at {self.pressure_pa} Pa; the pressure must be greater than 0")

    @property
    def speed_m_s(self) -> float:
        """Speed of sound in m/s."""
        return 331.3 * sqrt(1.0 + self.temperature_c / 273.15)

    @property
    def density_kg_m3(self) -> float:
        """Density in kg/m3, dry air."""
        return self.pressure_pa / (287.05 * (self.temperature_c + 273.15))


STANDARD_AIR = Air()
"""20 degrees Celsius, 101 325 Pa: what every function assumes when no air is given."""


def wave_number(frequency_hz: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """Wave number k = 2 pi f / c in 1/m, shape of `frequency_hz`."""
    return 2.0 * np.pi * np.asarray(frequency_hz, dtype=np.float64) / air.speed_m_s


def pressure_pa(level_db: ArrayLike) -> FloatArray:
    """Rms sound pressure in Pa of a level in dB re 20 uPa (ISO 1683), any shape.

    >>> round(float(pressure_pa(94.0)), 3)
    1.002
    """
    return np.asarray(REFERENCE_PRESSURE_PA * 10.0 ** (np.asarray(level_db, dtype=np.float64) / 20.0))


def level_db(rms_pa: ArrayLike) -> FloatArray:
    """Level in dB re 20 uPa of an rms pressure in Pa (ISO 1683), any shape; -inf for silence."""
    with np.errstate(divide="ignore"):
        return np.asarray(20.0 * np.log10(np.abs(np.asarray(rms_pa)) / REFERENCE_PRESSURE_PA))
