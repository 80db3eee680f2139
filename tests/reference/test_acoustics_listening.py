"""Sums, lobes and hearing against two-source theory, published exposure limits and worked figures."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.acoustics import listening, radiators
from reportgen.acoustics.air import Air
from tests.reference.check_table import Check

AIR = Air()
TWO = "two equal sources, sin(phi) = wavelength/(2d)"
NIOSH = "NIOSH 98-126 table 1-1"
POINT = radiators.Radiator("round", 1e-4)


def degrees(value: float) -> float:
    return float(np.degrees(value))


def point(x: float, y: float, z: float = 0.0, n: int = 1, gain: float = 1.0) -> listening.Source:
    return listening.Source((x, y, z), POINT, np.full(n, gain, dtype=np.complex128))


def hours(level_dba: float) -> float:
    return float(listening.safe_listening_time_s(level_dba)) / 3600


CHECKS = [
    Check("null of two sources, 0.15 m, 2 kHz, deg", TWO, 34.89, lambda: degrees(listening.null_angle_rad(2000.0, 0.15)), 0.005),
    Check("null of two sources, 0.20 m, 3 kHz, deg", TWO, 16.62, lambda: degrees(listening.null_angle_rad(3000.0, 0.20)), 0.005),
    Check("lobing limit, 0.15 m, 15 deg, Hz", TWO, 4420.3, lambda: listening.lobing_limit_hz(0.15, np.radians(15.0)), 0.05),
    Check("coverage limit, Sd 130 cm2, 30 deg, Hz", "x = 2.21509, Abramowitz & Stegun table 9.5", 3761.9,
          lambda: radiators.half_amplitude_frequency_hz(np.pi / 6, 2 * np.sqrt(0.0130 / np.pi)), 0.05),
    Check("column, side lobe at 90 deg: spacing in wavelengths", "grating: d sin(phi) = wavelength", 1.0,
          lambda: 0.1 * listening.column_side_lobe_hz(0.1) / AIR.speed_m_s, 1e-9),
    Check("column of 8, level of that lobe re the axis", "grating: all sources in step again", 1.0,
          lambda: abs(radiators.column_directivity(listening.column_side_lobe_hz(0.1), 8, 0.1, np.pi / 2)), 1e-9),
    Check("column, clear of side lobes: spacing in wavelengths", "spacing = wavelength/2", 0.5,
          lambda: 0.1 * listening.column_clear_hz(0.1) / AIR.speed_m_s, 1e-9),
    Check("low-high-low at its crossover, 0.15 m, 15 deg, Hz", "1/2 + cos(kd sin phi)/2 = 0", 4420.3,
          lambda: listening.symmetric_lobing_limit_hz(0.15, np.radians(15.0)), 0.05),
    *(Check(f"exposure at {level:g} dBA, h", NIOSH, time, lambda level=level: hours(level), 0.001 * time)
      for level, time in ((82, 16.0), (85, 8.0), (88, 4.0), (91, 2.0), (94, 1.0), (97, 0.5), (100, 0.25))),
]  # fmt: skip


@pytest.mark.parametrize("spacing_m", [0.05, 0.15, 0.4])
def test_power_of_two_sources_against_the_closed_form(spacing_m: float) -> None:
    """Two equal sources in phase radiate 2 (1 + sin(kd)/(kd)) times one of them (Kinsler et al. 2000)."""
    f = np.array([50.0, 500.0, 1000.0, 2000.0, 4000.0])
    pair = [point(0.0, spacing_m / 2, n=5), point(0.0, -spacing_m / 2, n=5)]
    got = 10 ** (listening.power_response_db(pair, f, distance_m=100.0) / 10)
    kd = 2 * np.pi * f * spacing_m / AIR.speed_m_s
    np.testing.assert_allclose(got, 2 * (1 + np.sin(kd) / kd), rtol=2e-4)
    aside = [point(spacing_m / 2, 0.0, n=5), point(-spacing_m / 2, 0.0, n=5)]
    turned = 10 ** (listening.power_response_db(aside, f, distance_m=100.0) / 10)
    np.testing.assert_allclose(turned, got, rtol=1e-3)


def test_index_of_one_radiator_is_its_own() -> None:
    f = np.array([200.0, 2000.0, 8000.0])
    for radiator in (radiators.Radiator("round", 0.1), radiators.Radiator("rectangular", 0.03, 0.12)):
        source = listening.Source((0.0, 0.0, 0.0), radiator, np.ones(3, dtype=np.complex128))
        got = listening.directivity_index_db([source], f, distance_m=50.0)
        np.testing.assert_allclose(got, radiator.index_db(f), atol=0.01)


def test_real_paths_put_the_null_where_far_theory_does_when_far() -> None:
    pair = [point(0.0, 0.075), point(0.0, -0.075)]
    angle = np.radians(np.linspace(25.0, 45.0, 4001))
    far = np.abs(listening.vertical_map(pair, [2000.0], angle, 500.0))[:, 0]
    assert degrees(angle[np.argmin(far)]) == pytest.approx(34.89, abs=0.01)


def test_the_lobe_leans_by_the_depth_offset() -> None:
    """The sum of a high source above and a low one 20 mm deeper is largest square to their line."""
    pair = [point(0.0, 0.075), point(0.0, -0.075, -0.02)]
    angle = np.radians(np.linspace(-30.0, 30.0, 6001))
    level = np.abs(listening.vertical_map(pair, [1500.0], angle, 500.0))[:, 0]
    expected = -float(listening.lobe_tilt_rad(0.02, 0.15))  # down, towards the deeper one
    assert angle[np.argmax(level)] == pytest.approx(expected, abs=2e-3)
    assert degrees(expected) == pytest.approx(-7.595, abs=1e-3)  # atan(20/150)


def test_a_tall_source_is_a_line() -> None:
    """The pieces of a tall rectangle give the Rayleigh integral of a line (Lipshitz & Vanderkooy 1986)."""
    height, distance = 1.2, 2.5
    f = np.array([1000.0, 5000.0, 15000.0])
    tall = listening.Source(
        (0.0, 0.0, 0.0), radiators.Radiator("rectangular", 1e-4, height), np.ones(3, dtype=np.complex128)
    )
    offset = np.linspace(0.0, 0.9, 19)
    sums = listening.sum_at([tall], listening.ear_points(distance, offset), f)
    line = radiators.line_level(f, height, distance, offset[:, None])
    np.testing.assert_allclose(np.abs(sums / sums[0]), np.abs(line), atol=0.01)


def test_low_high_low_against_its_real_sum() -> None:
    f, spacing = 2000.0, 0.16
    three = [point(0.0, 0.0, gain=0.5), point(0.0, spacing, gain=0.25), point(0.0, -spacing, gain=0.25)]
    angle = np.radians(np.linspace(0.0, 60.0, 24))
    level = 20 * np.log10(np.abs(listening.vertical_map(three, [f], angle, 2000.0)[:, 0]))
    np.testing.assert_allclose(level, listening.symmetric_drop_db(f, spacing, angle), atol=0.02)
    at_null = np.arcsin(AIR.speed_m_s / (2 * spacing * 3000.0))
    assert float(listening.symmetric_lobing_limit_hz(spacing, at_null)) == pytest.approx(3000.0)
    assert float(listening.symmetric_lobing_limit_hz(spacing, at_null, high_share=0.0)) == pytest.approx(1500.0)
