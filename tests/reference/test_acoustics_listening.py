"""Holes between branches, columns and hearing against closed forms and published exposure limits."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.acoustics import listening, lobes, radiators
from reportgen.acoustics.air import Air
from reportgen.acoustics.slopes import SLOPES
from reportgen.pairing.as_used import Setting
from reportgen.pairing.response import Model
from reportgen.pairing.windows import window_of
from tests.demo_catalogue import demo_case
from tests.reference.check_table import Check

AIR = Air()
TWO = "two equal sources in phase, sin(phi) = wavelength/(2d)"
NIOSH = "NIOSH 98-126 table 1-1"


def hours(level_dba: float) -> float:
    return float(listening.safe_listening_time_s(level_dba)) / 3600


def far(degrees: float) -> lobes.Points:
    """Listeners 10 km away over a half window, one more outside either edge."""
    angle = np.radians(degrees) * np.arange(-41, 42) / 40.0
    return tuple((1e4 * float(np.sin(one)), 1e4 * float(np.cos(one))) for one in angle)


def limit_hz(slope: str, degrees: float = 15.0, spacing_m: float = 0.15) -> float:
    return lobes.lobing_limit_hz(SLOPES[slope], ((0.0, 0.0),), ((spacing_m, 0.0),), far(degrees))


def aside_db(at: int) -> float:
    """What a face 20 mm wide and 30 mm tall loses 30 deg to the side, as it stands on a sheet: at 10 kHz (0) and 15 kHz (1)."""
    flat = {"shape": "rectangular", "radiating_width_m": 0.020, "radiating_height_m": 0.030}
    return window_of(Model(Setting(demo_case("P-01", high=flat)))).side_loss_db[at]


def symmetric(slope: str) -> float:
    """Share of the plain figure that a low-high-low has."""
    three = ((-0.15, 0.0), (0.15, 0.0)), ((0.0, 0.0),)
    return lobes.lobing_limit_hz(SLOPES[slope], *three, far(15.0)) / limit_hz("LR4")


SINC = "mean of (sin x/x)^2, x = pi w sin(phi)/wavelength, over a third of an octave; Kinsler et al. 2000, line source"

CHECKS = [
    Check("a face 20 mm wide, 30 deg aside, loss about 10 kHz, dB", SINC, 1.26, lambda: aside_db(0), 0.05),
    Check("the same about 15 kHz, dB", SINC, 2.94, lambda: aside_db(1), 0.05),
    Check("LR4, 0.15 m, null at 34.89 deg, Hz", TWO, 2000.0, lambda: limit_hz("LR4", 34.89), 0.5),
    Check("LR4, 0.20 m, null at 16.62 deg, Hz", TWO, 3000.0, lambda: limit_hz("LR4", 16.62, 0.20), 1.0),
    Check("LR4, 0.15 m, 15 deg, lobing limit, Hz", TWO, 4420.3, lambda: limit_hz("LR4"), 0.05),
    Check("BW3, 0.15 m, 15 deg, lobing limit, Hz", "in quadrature: a quarter wavelength", 2210.1, lambda: limit_hz("BW3"), 0.1),
    Check("low-high-low of second order, share of that", "least arccos(-u^2)/(pi u), D'Appolito 1983", 0.8886, lambda: symmetric("LR2"), 3e-3),
    Check("low-high-low of fourth order", "least arccos(-u^4)/(pi u)", 0.7919, lambda: symmetric("LR4"), 3e-3),
    Check("low-high-low of eighth order", "arccos(-u^8)/(pi u) where the branches are 10 dB apart", 0.6956, lambda: symmetric("LR8"), 3e-3),
    Check("coverage limit, Sd 130 cm2, 30 deg, Hz", "x = 2.21509, Abramowitz & Stegun table 9.5", 3761.9,
          lambda: radiators.half_amplitude_frequency_hz(np.pi / 6, 2 * np.sqrt(0.0130 / np.pi)), 0.05),
    Check("column, side lobe at 90 deg: spacing in wavelengths", "grating: d sin(phi) = wavelength", 1.0,
          lambda: 0.1 * lobes.column_side_lobe_hz(0.1, np.pi / 2) / AIR.speed_m_s, 1e-9),
    *(Check(f"exposure at {level:g} dBA, h", NIOSH, time, lambda level=level: hours(level), 0.001 * time)
      for level, time in ((82, 16.0), (85, 8.0), (88, 4.0), (91, 2.0), (94, 1.0), (97, 0.5), (100, 0.25))),
]  # fmt: skip


def test_in_exact_quadrature_a_low_high_low_has_no_limit() -> None:
    """At worst 10.4 dB: 20 lg of u^3/sqrt(1 + u^6) where the branches are 10 dB apart."""
    assert np.isinf(symmetric("BW3"))


def test_a_third_order_pair_well_above_its_limit_holds_a_deep_hole() -> None:
    """150 mm, 4 kHz: 38 dB deep at 8.2 deg, by the plain sum of two points."""
    angle = np.radians(np.linspace(-15.0, 15.0, 6001))
    turn = 2 * np.pi * 4000.0 / AIR.speed_m_s * 0.15 * np.sin(angle)
    level = 20 * np.log10(np.abs(1 + 1j * np.exp(1j * turn)) / np.sqrt(2))
    assert np.min(level) < -38.0
    assert limit_hz("BW3", float(np.degrees(abs(angle[np.argmin(level)])))) == pytest.approx(4000.0, rel=1e-3)


def test_of_column_sources_all_are_in_step_at_the_side_lobe() -> None:
    hz, point = float(lobes.column_side_lobe_hz(0.1, np.pi / 3)), radiators.Radiator("round", 1e-4)
    column = [listening.Source((0.0, (i - 3.5) * 0.1, 0.0), point, np.ones(1, dtype=np.complex128)) for i in range(8)]
    far = 5000.0 * np.array([0.0, np.sin(np.pi / 3), np.cos(np.pi / 3)])
    assert 5000.0 * abs(listening.sum_at(column, far, [hz])[0]) == pytest.approx(8.0, rel=1e-3)
