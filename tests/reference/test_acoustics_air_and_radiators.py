"""Air and radiators against tables, arbitrary-precision functions and plain numerical integration."""

from __future__ import annotations

import mpmath
import numpy as np
import pytest
from scipy import integrate

from reportgen.acoustics import listening, radiators
from reportgen.acoustics.air import Air
from reportgen.acoustics.radiators import Radiator
from tests.every import every
from tests.reference.check_table import Check

AIR = Air()
ABRAMOWITZ = "Abramowitz & Stegun table 9.5"
BERANEK = "Beranek & Mellow 2012, formula; figures by mpmath"
ROUND, FLAT = Radiator("round", 0.1), Radiator("rectangular", 0.1, 0.02)


def hz_of(ka: float, diameter_m: float = 0.1) -> float:
    return ka * AIR.speed_m_s / (np.pi * diameter_m)


def sideways(radiator: Radiator, x: float) -> float:
    """Amplitude at 90 degrees, where k a or k w/2 is x."""
    return float(radiator.along(hz_of(x), 1.0, 0.0))


def source(radiator: Radiator, y: float = 0.0) -> listening.Source:
    return listening.Source((0.0, y, 0.0), radiator, np.ones(1, dtype=np.complex128))


def near_db(height_m: float, frequency_hz: float) -> float:
    line = Radiator("rectangular", 1e-3, height_m)
    return -20 * np.log10(abs(listening.near_field(line, [frequency_hz], 1.0)[0]))


def column_loss_db() -> float:
    """What sixteen at 110 mm lack at 3 m against sixteenfold, 2.5 kHz."""
    column = [source(Radiator("round", 1e-3), (i - 7.5) * 0.11) for i in range(16)]
    return -20 * np.log10(3 * abs(listening.sum_at(column, (0.0, 0.0, 3.0), [2500.0])[0]) / 16)


def index_db(sources: list[listening.Source], frequency_hz: float) -> float:
    return float(listening.directivity_index_db(sources, [frequency_hz])[0])


FOIL = [source(Radiator("rectangular", 0.02, 1.2))]
SIXTEEN = [source(Radiator("rectangular", 0.014, 0.06), (i - 7.5) * 0.111) for i in range(16)]
LINE = "Rayleigh integral of a uniform line; scipy.integrate"

CHECKS = [
    Check("speed of sound at 20 degC, m/s", "ISO 9613-1:1993", 343.2, lambda: AIR.speed_m_s, 0.05),
    Check("speed of sound at 20 degC, m/s, full", "331.3 sqrt(1 + T/273.15)", 343.215, lambda: AIR.speed_m_s, 5e-4),
    Check("density at 20 degC, kg/m3", "p/(287.05 T)", 1.20412, lambda: AIR.density_kg_m3, 5e-6),
    Check("round, half amplitude at x = 2.21509", ABRAMOWITZ, 0.5, lambda: sideways(ROUND, 2.21509), 1e-5),
    Check("round, half power at x = 1.61634", ABRAMOWITZ, 0.5**0.5, lambda: sideways(ROUND, 1.61634), 1e-5),
    Check("round, first null at x = 3.83171", ABRAMOWITZ, 0.0, lambda: sideways(ROUND, 3.83171), 1e-5),
    Check("rectangle, half amplitude at x = 1.89549", "sin(x)/x = 1/2, mpmath", 0.5, lambda: sideways(FLAT, 1.89549), 1e-5),
    *(
        Check(f"round, directivity index at ka = {ka:g}, dB", BERANEK, index, lambda ka=ka: ROUND.index_db(hz_of(ka)), 6e-4)
        for ka, index in ((0.1, 3.018), (1, 3.734), (2, 5.880), (3, 9.159), (5, 14.017), (10, 20.029))
    ),
    *(
        Check(f"line of {height:g} m read at 1 m, {hz / 1e3:g} kHz, dB under its far field", LINE, under,
              lambda height=height, hz=hz: near_db(height, hz), 0.04)
        for height, hz, under in ((1.0, 1650.0, 5.55), (1.0, 5e3, 12.32), (1.0, 15e3, 16.19), (0.32, 5e3, 0.56))
    ),
    Check("16 at 110 mm, 3 m, 2.5 kHz: dB less than sixteenfold", "sum of 16 paths, worked out beside the program", 11.17, column_loss_db, 0.01),
    Check("foil of 20 mm by 1.2 m, 10 kHz, index, dB", "half-sphere integral, scipy", 23.7, lambda: index_db(FOIL, 1e4), 0.05),
    Check("foil of 20 mm by 1.2 m, 20 kHz, index, dB", "half-sphere integral, scipy", 30.3, lambda: index_db(FOIL, 2e4), 0.05),
    Check("16 foils of 14 x 60 mm at 111 mm, 5 kHz, index, dB", "half-sphere integral, scipy", 18.1, lambda: index_db(SIXTEEN, 5e3), 0.05),
]  # fmt: skip


def test_the_constant_is_the_root_of_its_equation() -> None:
    root = mpmath.findroot(lambda x: 2 * mpmath.besselj(1, x) / x - mpmath.mpf(1) / 2, 2.2)
    assert pytest.approx(float(root), abs=1e-9) == radiators.HALF_AMPLITUDE_ROUND


@every("ka", [1e-4, 0.005, 0.019, 0.021, 0.1, 0.5, 1.0, 2.0, 5.0, 12.0, 40.0])
def test_index_of_a_round_piston_against_mpmath(ka: float) -> None:
    with mpmath.workdps(30):
        x = mpmath.mpf(ka)
        expected = float(10 * mpmath.log10(x**2 / (1 - mpmath.besselj(1, 2 * x) / x)))
    assert float(ROUND.index_db(hz_of(ka))) == pytest.approx(expected, abs=1e-5)


def half_sphere_index_db(pattern: object, points: list[float] | None = None) -> float:
    """Index (dB) by adaptive integration of a squared pattern over the front half sphere, alike in all four quarters."""

    def strip(up: float) -> float:
        inner = lambda azimuth: float(pattern(np.sqrt(1 - up**2) * np.sin(azimuth), up)) ** 2  # type: ignore[operator] # noqa: E731
        return integrate.quad(inner, 0, np.pi / 2, epsabs=1e-10, limit=200)[0]

    total = 4 * integrate.quad(strip, 0, 1, epsabs=1e-9, limit=2000, points=points)[0]
    return float(10 * np.log10(4 * np.pi / total))


@pytest.mark.parametrize(
    ("frequency_hz", "width_m", "height_m"),
    [(100.0, 0.05, 0.02), (3000.0, 0.1, 0.05), (8000.0, 0.01, 0.12), (20000.0, 0.05, 0.09), (10000.0, 0.02, 1.2)],
)
def test_index_of_a_rectangle_against_the_half_sphere(frequency_hz: float, width_m: float, height_m: float) -> None:
    k = 2 * np.pi * frequency_hz / AIR.speed_m_s

    def pattern(right: float, up: float) -> float:
        return float(np.sinc(k * width_m / (2 * np.pi) * right) * np.sinc(k * height_m / (2 * np.pi) * up))

    expected = half_sphere_index_db(pattern)
    radiator = Radiator("rectangular", width_m, height_m)
    assert float(radiator.index_db(frequency_hz)) == pytest.approx(expected, abs=2e-3)
    assert index_db([source(radiator)], frequency_hz) == pytest.approx(expected, abs=2e-3)


def test_index_of_sixteen_foils_against_the_half_sphere() -> None:
    k = 2 * np.pi * 5000.0 / AIR.speed_m_s
    places = (np.arange(16) - 7.5) * 0.111

    def pattern(right: float, up: float) -> float:
        one = np.sinc(k * 0.014 / (2 * np.pi) * right) * np.sinc(k * 0.06 / (2 * np.pi) * up)
        return float(one * np.mean(np.cos(k * places * up)))

    assert index_db(SIXTEEN, 5000.0) == pytest.approx(half_sphere_index_db(pattern), abs=2e-3)


@every("spacing_m", [0.05, 0.15, 0.4])
def test_index_of_two_sources_against_the_closed_form(spacing_m: float) -> None:
    """Two equal sources in phase radiate 2 (1 + sin(kd)/(kd)) times one of them (Kinsler et al. 2000, ch. 7)."""
    f = np.array([50.0, 500.0, 1000.0, 2000.0, 4000.0])
    point, unit = Radiator("round", 1e-4), np.ones(5, dtype=np.complex128)
    kd = 2 * np.pi * f * spacing_m / AIR.speed_m_s
    expected = 10 * np.log10(2 * 4 / (2 * (1 + np.sin(kd) / kd)))
    for x, y in ((0.0, spacing_m / 2), (spacing_m / 2, 0.0)):
        pair = [listening.Source((s * x, s * y, 0.0), point, unit) for s in (-1, 1)]
        np.testing.assert_allclose(listening.directivity_index_db(pair, f), expected, atol=2e-3)


def test_index_of_a_rectangle_at_both_ends() -> None:
    side = 0.1
    equal = side * 2 / np.sqrt(np.pi)
    low = hz_of(np.array([0.05, 0.2, 0.5]), equal)
    got = Radiator("rectangular", side, side).index_db(low)
    np.testing.assert_allclose(got, Radiator("round", equal).index_db(low), atol=0.01)
    large = Radiator("rectangular", 1.0, 1.0).index_db(20000.0)
    assert float(large) == pytest.approx(10 * np.log10(4 * np.pi * (20000.0 / AIR.speed_m_s) ** 2), abs=0.01)


def heard(height_m: float, frequency_hz: float, offset_m: np.ndarray, distance_m: float = 2.5) -> np.ndarray:
    """What the program hears of a tall foil at heights over its middle, re the axis."""
    points = np.stack(np.broadcast_arrays(0.0, offset_m, distance_m), axis=-1)
    line = listening.sum_at([source(Radiator("rectangular", 1e-4, height_m))], points, [frequency_hz])[:, 0]
    return np.asarray(line / line[0])


@pytest.mark.parametrize("frequency_hz", [800.0, 5000.0, 15000.0])
def test_a_tall_source_against_an_adaptive_rayleigh_integral(frequency_hz: float) -> None:
    k, height, distance, offset = 2 * np.pi * frequency_hz / AIR.speed_m_s, 1.2, 2.5, np.array([0.0, 0.2, 0.75])

    def at(z: float) -> complex:
        def wave(y: float) -> complex:
            path = mpmath.hypot(distance, z - y)
            return mpmath.expj(-k * path) / path

        return complex(mpmath.quad(wave, np.linspace(-height / 2, height / 2, 25)))

    expected = np.array([at(z) for z in offset]) / at(0.0)
    np.testing.assert_allclose(np.abs(heard(height, frequency_hz, offset)), np.abs(expected), atol=0.01)


@every(
    ("height_m", "frequency_hz", "tall_m"), [(0.09, 1e4, 1.149), (0.20, 1e4, 0.519), (1.2, 5e3, 1.302), (1.2, 1e4, 1.224), (1.2, 15e3, 1.199)]
)  # fmt: skip
def test_the_window_of_a_line_near_the_paraxial_figures(height_m: float, frequency_hz: float, tall_m: float) -> None:
    """Heights within 6 dB at 2.5 m by Fresnel integrals (Lipshitz & Vanderkooy 1986; Ureda 2004), u = (z +- h/2) sqrt(2/(lambda r)).

    The exact paths of the program bend the edge of the window by up to 4 %.
    """
    offset = np.linspace(0.0, 0.9, 1801)
    edge = offset[np.argmax(np.abs(heard(height_m, frequency_hz, offset)) < 10 ** (-6 / 20))]
    assert 2 * edge == pytest.approx(tall_m, rel=0.04)


def test_far_away_columns_follow_the_closed_form_of_an_array() -> None:
    sine = np.sin(np.radians(np.linspace(1.0, 60.0, 30)))
    column = [source(Radiator("round", 1e-4), (i - 3) * 0.05) for i in range(7)]
    points = 2000.0 * np.stack([0 * sine, sine, np.sqrt(1 - sine**2)], axis=-1)
    got = 2000.0 * np.abs(listening.sum_at(column, points, [6000.0]))[:, 0] / 7
    x = np.pi * 6000.0 * 0.05 / AIR.speed_m_s * sine
    np.testing.assert_allclose(got, np.abs(np.sin(7 * x) / (7 * np.sin(x))), atol=2e-3)
