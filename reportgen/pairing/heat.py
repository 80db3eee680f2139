"""The heat of both drivers: programme watts through the designed network, against what the makers rate.

Knows which share of the amplifier's programme reaches each coil, and what a hot coil loses. Refuses to judge it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics.heat import allowed_power_w, compression_db
from reportgen.acoustics.slopes import butterworth
from reportgen.catalogue.records import Case, HighDriver, LowDriver
from reportgen.crossover.stress import Programme, power_shares
from reportgen.pairing.response import FREQUENCY_HZ

FloatArray = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]


@dataclass(frozen=True, slots=True)
class Warmth:
    """Programme watts in each driver of one side, what each may take (None: no rating), and what its level loses (dB, None: unknown)."""

    watts: float
    allowed_w: float | None
    compression_db: float | None

    def times(self, power: float) -> Warmth:
        """The same at so many times the power, but for the level that the heat costs."""
        return replace(self, watts=self.watts * power)

    @property
    def headroom(self) -> float | None:
        """How many times the power each driver would still stand; None without a rating."""
        return None if self.allowed_w is None else self.allowed_w / max(self.watts, 1e-9)


@dataclass(frozen=True, slots=True)
class Heat:
    """Both sides at the amplifier's rated programme; `voltage_v` is its rms voltage."""

    voltage_v: float
    low: Warmth
    high: Warmth

    @property
    def bounds_v(self) -> tuple[tuple[str, float], ...]:
        """Programme voltage at which each side with a rating is as hot as it may be, and its name."""
        sides = (("heat of the low driver", self.low), ("heat of the high driver", self.high))
        return tuple(
            (name, self.voltage_v * math.sqrt(side.headroom)) for name, side in sides if side.headroom is not None
        )

    @property
    def stands(self) -> float | None:
        """How many times the amplifier's power both sides stand; None while a rating is missing."""
        if self.low.headroom is None or self.high.headroom is None:
            return None
        return min(self.low.headroom, self.high.headroom)


def heat_of(
    case: Case, voltage_v: float, low: tuple[ComplexArray, ComplexArray], high: tuple[ComplexArray, ComplexArray]
) -> Heat:
    """Heat at a programme voltage (V rms at the amplifier); each side as (voltage gain, impedance in ohm) of all its drivers.

    The power in a driver is |V|^2 Re(1/Z), summed over the programme spectrum of the Practice sheet.
    """
    pairing = case.pairing
    return Heat(
        voltage_v,
        _warmth(case, "low", case.low, _watts(case, voltage_v, *low) / pairing.low_count),
        _warmth(case, "high", case.high, _watts(case, voltage_v, *high) / pairing.high_count),
    )


def _watts(case: Case, voltage_v: float, gain: ComplexArray, impedance: ComplexArray) -> float:
    shares = power_shares(Programme(*case.practice.programme), FREQUENCY_HZ)
    return voltage_v**2 * float(shares @ (np.abs(gain) ** 2 * (1.0 / impedance).real))


def _warmth(case: Case, role: Literal["low", "high"], driver: LowDriver | HighDriver, watts: float) -> Warmth:
    allowed = driver.rated_power_w if role == "low" else high_allowed_w(case)
    resistance = driver.thermal_resistance_k_w
    return Warmth(watts, allowed, None if resistance is None else float(compression_db(watts, resistance)))


def high_allowed_w(case: Case) -> float | None:
    """Programme power (W) that one high driver may take: what its rating lets through its own high pass; None without one."""
    high = case.high
    if high.rated_power_w is None or high.rating_highpass_hz is None:
        return high.rated_power_w
    return _allowed_w(high.rated_power_w, high.rating_highpass_hz, high.rating_order or 2, _programme(case))


@lru_cache(maxsize=4096)
def _allowed_w(rated_w: float, highpass_hz: float, order: int, programme: tuple[tuple[float, ...], ...]) -> float:
    """The same of plain figures, kept: every change that is tried asks it of few drivers again and again."""
    return float(allowed_power_w(rated_w, highpass_hz, butterworth(order), *(np.array(one) for one in programme)))


def _programme(case: Case) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(one.tolist()) for one in case.practice.programme)


def at_most_w(power_w: float) -> float:
    """A power that must not be exceeded, as it is said: two digits, from 100 W up in fives of the next, never rounded up.

    >>> at_most_w(126.9), at_most_w(87.96), at_most_w(9.97), at_most_w(1280.0)
    (125.0, 87.0, 9.9, 1250.0)
    """
    step = 10.0 ** (math.floor(math.log10(power_w)) - 1) * (0.5 if power_w >= 100.0 else 1.0)
    return float(f"{math.floor(power_w / step + 1e-9) * step:.3g}")


STRICTEST_HZ, STRICTEST_ORDER = 3000.0, 4
"""The highest and steepest high pass that makers usually rate a high driver behind (common practice, no source)."""


def high_allowed_at_least_w(case: Case) -> float | None:
    """As `high_allowed_w`, with the strictest usual high pass where the rating states none: it takes no less than that."""
    high = case.high
    if high.rated_power_w is None:
        return None
    order, hz = high.rating_order or STRICTEST_ORDER, high.rating_highpass_hz or STRICTEST_HZ
    return _allowed_w(high.rated_power_w, hz, order, _programme(case))
