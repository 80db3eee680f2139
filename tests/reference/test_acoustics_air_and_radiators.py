"""Air and radiators against tables, arbitrary-precision functions and plain numerical integration."""

from __future__ import annotations

import mpmath
import numpy as np
import pytest
from scipy import integrate

from reportgen.acoustics import radiators
from reportgen.acoustics.air import Air
from tests.reference.check_table import Check

AIR = Air()
ABRAMOWITZ = "Abramowitz & Stegun table 9.5"
BERANEK = "Beranek & Mellow 2012, formula; figures by mpmath"
UREDA = "Lipshitz & Vanderkooy 1986; Ureda 2004 (paraxial form)"


def hz_of(ka: float, diameter_m: float = 0.1) -> float:
    return ka * AIR.speed_m_s / (np.pi * diameter_m)


def null_of_round(x: float) -> float:
    return float(radiators.round_directivity(hz_of(x), np.pi / 2, 0.1))


def window(frequency_hz: float, height_m: float) -> float:
    return float(radiators.window_height_m(frequency_hz, height_m, 2.5, paraxial=True))


CHECKS = [
    Check("speed of sound at 20 degC, m/s", "ISO 9613-1:1993", 343.2, lambda: AIR.speed_m_s, 0.05),
    Check("speed of sound at 20 degC, m/s, full", "331.3 sqrt(1 + T/273.15)", 343.215, lambda: AIR.speed_m_s, 5e-4),
    Check("density at 20 degC, kg/m3", "p/(287.05 T)", 1.20412, lambda: AIR.density_kg_m3, 5e-6),
    Check("round, half amplitude at x = 2.21509", ABRAMOWITZ, 0.5, lambda: null_of_round(2.21509), 1e-5),
    Check("round, half power at x = 1.61634", ABRAMOWITZ, 0.5**0.5, lambda: null_of_round(1.61634), 1e-5),
    Check("round, first null at x = 3.83171", ABRAMOWITZ, 0.0, lambda: null_of_round(3.83171), 1e-5),
    Check(
        "rectangle, half amplitude at x = 1.89549",
        "sin(x)/x = 1/2, mpmath",
        0.5,
        lambda: radiators.rectangular_directivity(hz_of(1.89549), np.pi / 2, 0.1),
        1e-5,
    ),
    *(
        Check(
            f"round, directivity index at ka = {ka:g}, dB",
            BERANEK,
            index,
            lambda ka=ka: radiators.round_directivity_index_db(hz_of(ka), 0.1),
            6e-4,
        )
        for ka, index in ((0.1, 3.018), (1, 3.734), (2, 5.880), (3, 9.159), (5, 14.017), (10, 20.029))
    ),
    *(
        Check(
            f"window of a {height:g} m line at {frequency / 1e3:g} kHz, 2.5 m, m",
            UREDA,
            tall,
            lambda frequency=frequency, height=height: window(frequency, height),
            6e-4,
        )
        for frequency, height, tall in (
            (10e3, 0.09, 1.149),
            (10e3, 0.20, 0.519),
            (5e3, 1.2, 1.302),
            (10e3, 1.2, 1.224),
            (15e3, 1.2, 1.199),
        )
    ),
]


def test_constants_are_the_roots_of_their_equations() -> None:
    round_root = mpmath.findroot(lambda x: 2 * mpmath.besselj(1, x) / x - mpmath.mpf(1) / 2, 2.2)
    flat_root = mpmath.findroot(lambda x: mpmath.sin(x) / x - mpmath.mpf(1) / 2, 1.9)
    assert pytest.approx(float(round_root), abs=1e-9) == radiators.HALF_AMPLITUDE_ROUND
    assert pytest.approx(float(flat_root), abs=1e-9) == radiators.HALF_AMPLITUDE_RECTANGULAR


@pytest.mark.parametrize("ka", [1e-4, 0.005, 0.019, 0.021, 0.1, 0.5, 1.0, 2.0, 5.0, 12.0, 40.0])
def test_radiation_impedance_against_mpmath(ka: float) -> None:
    resistance, reactance = radiators.piston_radiation_impedance(hz_of(ka), 0.1)
    with mpmath.workdps(30):
        x = mpmath.mpf(ka)
        assert float(resistance) == pytest.approx(float(1 - mpmath.besselj(1, 2 * x) / x), rel=1e-6)
        assert float(reactance) == pytest.approx(float(mpmath.struveh(1, 2 * x) / x), rel=1e-4)


@pytest.mark.parametrize(
    ("frequency_hz", "width_m", "height_m"),
    [(100.0, 0.05, 0.02), (3000.0, 0.1, 0.05), (8000.0, 0.01, 0.12), (20000.0, 0.05, 0.09), (20000.0, 0.3, 0.2)],
)
def test_index_of_a_rectangle_against_the_half_sphere(frequency_hz: float, width_m: float, height_m: float) -> None:
    k = 2 * np.pi * frequency_hz / AIR.speed_m_s

    def power(azimuth: float, polar: float) -> float:
        across = np.sinc(k * width_m / (2 * np.pi) * np.sin(polar) * np.cos(azimuth))
        upward = np.sinc(k * height_m / (2 * np.pi) * np.sin(polar) * np.sin(azimuth))
        return float((across * upward) ** 2 * np.sin(polar))

    total = 4 * integrate.dblquad(power, 0, np.pi / 2, 0, np.pi / 2, epsabs=1e-9, epsrel=1e-9)[0]
    got = radiators.rectangular_directivity_index_db(frequency_hz, width_m, height_m)
    assert float(got) == pytest.approx(10 * np.log10(4 * np.pi / total), abs=1e-4)


def test_index_of_a_rectangle_at_both_ends() -> None:
    side = 0.1
    equal = side * 2 / np.sqrt(np.pi)
    low = hz_of(np.array([0.05, 0.2, 0.5]), equal)
    got = radiators.rectangular_directivity_index_db(low, side, side)
    np.testing.assert_allclose(got, radiators.round_directivity_index_db(low, equal), atol=0.01)
    large = radiators.rectangular_directivity_index_db(20000.0, 1.0, 1.0)
    area_rule = 10 * np.log10(4 * np.pi * (20000.0 / AIR.speed_m_s) ** 2)
    assert float(large) == pytest.approx(area_rule, abs=0.01)


@pytest.mark.parametrize("frequency_hz", [800.0, 5000.0, 16000.0])
@pytest.mark.parametrize("offset_m", [0.0, 0.2, 0.75])
def test_line_against_an_adaptive_rayleigh_integral(frequency_hz: float, offset_m: float) -> None:
    k, height, distance = 2 * np.pi * frequency_hz / AIR.speed_m_s, 1.2, 2.5

    def at(z: float) -> complex:
        def wave(y: float) -> complex:
            path = mpmath.hypot(distance, z - y)
            return mpmath.expj(-k * path) / path

        return complex(mpmath.quad(wave, np.linspace(-height / 2, height / 2, 25)))

    got = complex(radiators.line_level(frequency_hz, height, distance, offset_m))
    assert got == pytest.approx(at(offset_m) / at(0.0), abs=1e-9)


def test_fresnel_form_meets_the_exact_line_where_both_hold() -> None:
    offset = np.linspace(0.0, 0.3, 31)
    exact = np.abs(radiators.line_level(10000.0, 0.2, 2.5, offset))
    paraxial = np.abs(radiators.line_level_fresnel(10000.0, 0.2, 2.5, offset))
    np.testing.assert_allclose(exact, paraxial, atol=0.005)


def test_far_from_a_line_the_window_is_that_of_the_far_field() -> None:
    distance = 200.0
    angle = radiators.half_amplitude_angle_rad(5000.0, 0.2, "rectangular")
    got = radiators.window_height_m(5000.0, 0.2, distance, drop_db=20 * np.log10(2.0 / np.cos(angle)))
    assert float(got) == pytest.approx(2 * distance * np.tan(float(angle)), rel=2e-3)


def test_column_against_the_closed_form_of_an_array() -> None:
    angle = np.radians(np.linspace(1.0, 89.0, 45))
    x = np.pi * 6000.0 * 0.05 / AIR.speed_m_s * np.sin(angle)
    closed = np.sin(7 * x) / (7 * np.sin(x))
    np.testing.assert_allclose(radiators.column_directivity(6000.0, 7, 0.05, angle), closed, atol=1e-12)


def test_a_near_column_of_many_is_a_line() -> None:
    offset = np.linspace(0.0, 0.8, 17)
    column = np.abs(radiators.column_level(2000.0, 240, 0.005, 2.5, offset))
    line = np.abs(radiators.line_level(2000.0, 1.2, 2.5, offset))
    np.testing.assert_allclose(column, line, atol=1e-3)
