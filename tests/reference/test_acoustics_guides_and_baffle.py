"""Waveguides and baffles against Keele's constant, closed forms and adaptive integration."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import integrate

from reportgen.acoustics import baffle, guides
from reportgen.acoustics.air import Air
from reportgen.acoustics.radiators import Radiator
from tests.every import every
from tests.reference import exact_disc
from tests.reference.check_table import Check

AIR = Air()
KEELE = "Keele 1975: 10^6/(degrees inches)"
WIDE = guides.Guide(0.24, 0.16, np.radians(90.0), np.radians(60.0))
DOME = Radiator("dome", 0.025)
LOW_HZ = 1e-3


def edge_db(frequency_hz: float) -> float:
    return float(20 * np.log10(abs(baffle.edge_response(frequency_hz, 0.2, 0.35, 0.02, 0.08))))


def mean_edge() -> float:
    return float(np.mean(np.real(baffle.edge_response(np.linspace(3e3, 30e3, 4001), 0.2, 0.35, 0.02, 0.08))))


def guided_db(right: float, up: float) -> float:
    return float(20 * np.log10(WIDE.along(4000.0, right, up, DOME)))


def index_below_the_step_db(open_back: bool) -> float:
    """Index of a point on a panel where waves are long."""
    panel = (20.0, 0.2, 0.35, 0.02, 0.08, open_back)
    level = abs(baffle.edge_response(*panel)) ** 2
    return float(10 * np.log10(2 * level / baffle.radiated_power(*panel)))


CHECKS = [
    Check("pattern limit, 90 deg, 10 inch, Hz", KEELE, 1e6 / 900, lambda: guides.pattern_limit_hz(np.pi / 2, 0.254), 0.01),
    Check("pattern limit, 60 deg, 6 inch, Hz", KEELE, 1e6 / 360, lambda: guides.pattern_limit_hz(np.pi / 3, 0.1524), 0.01),
    Check("guide at half the coverage, horizontal, dB", "definition of coverage, -6 dB", 20 * np.log10(0.5),
          lambda: guided_db(np.sin(np.pi / 4), 0.0), 1e-6),
    Check("guide at half the coverage, vertical, dB", "definition of coverage, -6 dB", 20 * np.log10(0.5),
          lambda: guided_db(0.0, np.sin(np.pi / 6)), 1e-6),
    Check("exponential horn, 25 mm to 0.04 m2 over 0.25 m, Hz", "m c/(4 pi), Webster 1919", 480.7,
          lambda: guides.horn_cutoff_hz(0.025, 0.04, 0.25), 0.05),
    Check("baffle step, 230 mm wide, Hz", "common practice, no source: 115/width", 500.0, lambda: baffle.step_hz(0.23), 1e-9),
    Check("closed cabinet at low frequency, dB", "Bews & Hawksford 1986: half space to full", -6.0206,
          lambda: edge_db(LOW_HZ), 1e-3),
    Check("closed cabinet at high frequency, mean of H", "Vanderkooy 1991: the edge terms average out", 1.0,
          mean_edge, 5e-3),
    Check("closed cabinet below its step, index, dB", "a small source radiates all round", 0.0,
          lambda: index_below_the_step_db(False), 0.1),
    Check("open panel below its step, index, dB", "dipole, 10 lg 3", 4.771, lambda: index_below_the_step_db(True), 0.1),
]  # fmt: skip


WIDTH, HEIGHT, X, Y = 0.21, 0.9, -0.03, 0.31


def way_m(angle: float, x: float = X, y: float = Y) -> float:
    """From a place to the edge."""
    cos, sin = np.cos(angle), np.sin(angle)
    return min(
        (WIDTH / 2 - x) / cos if cos > 0 else (WIDTH / 2 + x) / max(-cos, 1e-300),
        (HEIGHT / 2 - y) / sin if sin > 0 else (HEIGHT / 2 + y) / max(-sin, 1e-300),
    )


def mean_ray(frequency_hz: float) -> complex:
    k = 2 * np.pi * frequency_hz / AIR.speed_m_s
    corners = sorted(
        np.arctan2(sy * HEIGHT / 2 - Y, sx * WIDTH / 2 - X) % (2 * np.pi) for sx in (-1, 1) for sy in (-1, 1)
    )
    options = {"points": corners, "limit": 2000, "epsabs": 1e-9}
    real = integrate.quad(lambda a: np.cos(k * way_m(a)), 0, 2 * np.pi, **options)[0]
    imaginary = integrate.quad(lambda a: np.sin(k * way_m(a)), 0, 2 * np.pi, **options)[0]
    return complex(real - 1j * imaginary) / (2 * np.pi)


@every("frequency_hz", [50.0, 900.0, 4000.0, 18000.0])
def test_edge_sum_against_an_adaptive_integral(frequency_hz: float) -> None:
    got = complex(baffle.edge_response(frequency_hz, WIDTH, HEIGHT, X, Y))
    assert got == pytest.approx(1 - mean_ray(frequency_hz) / 2, abs=1e-6)


@pytest.mark.parametrize("frequency_hz", [700.0, 1500.0, 3000.0, 6000.0])
@pytest.mark.parametrize("source", [Radiator("round", 0.129), Radiator("rectangular", 0.03, 0.13)])
def test_a_finite_source_against_the_mean_over_its_area(frequency_hz: float, source: Radiator) -> None:
    """The mean of point sources all over the cone or foil, each with its own edge sum."""
    n = 41
    u = (np.arange(n) + 0.5) / n * 2 - 1
    right, up = (part.ravel() for part in np.meshgrid(u * source.width_m / 2, u * source.tall_m / 2))
    inside = np.hypot(right, up) < source.width_m / 2 if source.shape == "round" else np.ones(right.size, dtype=bool)
    panel = (0.3, 0.9, 0.0, 0.2)
    points = [
        complex(baffle.edge_response(frequency_hz, 0.3, 0.9, x, 0.2 + y))
        for x, y in zip(right[inside][::3], up[inside][::3], strict=True)
    ]
    got = complex(baffle.edge_response(frequency_hz, *panel, source=source))
    assert got == pytest.approx(np.mean(points), abs=0.02)  # 0.17 dB: the corners


@every("at", range(1, baffle.OPEN_EDGE.size))
def test_the_table_of_the_open_disc_is_the_exact_solution(at: int) -> None:
    ka = at * baffle.OPEN_STEP
    exact = (1 - exact_disc.on_axis(ka)) * np.exp(1j * ka)
    assert complex(baffle.OPEN_EDGE[at]) == pytest.approx(exact, abs=1e-3)
    assert float(baffle.OPEN_POWER[at]) == pytest.approx(exact_disc.power(ka), abs=1e-3)


def test_the_table_of_the_open_disc_begins_where_its_waves_are_endless() -> None:
    assert (
        baffle.OPEN_EDGE[0] == 1.0 and baffle.OPEN_POWER[0] == 0.0 and baffle.OPEN_EDGE.size == baffle.OPEN_POWER.size
    )


def test_the_exact_disc_has_the_known_limits() -> None:
    """2/pi of a ray sum where waves are long (potential flow, Lamb 1932, section 101), |H| = 1 near ka = 1.17, a dip and no null at 2 pi."""
    assert abs(exact_disc.on_axis(0.01)) == pytest.approx(0.01 * 2 / np.pi, rel=1e-3)
    assert abs(exact_disc.on_axis(1.17)) == pytest.approx(1.0, abs=0.01)
    assert 20 * np.log10(abs(exact_disc.on_axis(2.4))) == pytest.approx(7.8, abs=0.1)
    assert 20 * np.log10(abs(exact_disc.on_axis(2 * np.pi))) == pytest.approx(-10.0, abs=0.1)


def test_a_square_panel_is_near_the_exact_disc_of_its_area() -> None:
    """Up to the first peak a driver in the middle of a square hears edges nearly as on the disc."""
    side = 0.3
    radius = side / np.sqrt(np.pi)
    for ka in (0.2, 0.6, 1.0, 1.5, 2.0):
        square = abs(
            complex(baffle.edge_response(ka * AIR.speed_m_s / (2 * np.pi * radius), side, side, 0.0, 0.0, True))
        )
        assert 20 * np.log10(square / abs(exact_disc.on_axis(ka))) == pytest.approx(0.0, abs=0.6)


def throat_resistance(frequency_hz: float, area: Callable[[float], float], length_m: float) -> float:
    """Resistance at the throat over rho c/S of a long horn: Webster's equation (S p')' + k^2 S p = 0, solved backwards."""
    k = 2 * np.pi * frequency_hz / AIR.speed_m_s * (1 - 0.04j)  # a little loss, so that nothing comes back from the end

    def step(x: float, state: NDArray[np.float64]) -> list[float]:
        p, flow = state[0] + 1j * state[1], state[2] + 1j * state[3]
        slope, change = flow / area(x), -(k**2) * area(x) * p
        return [slope.real, slope.imag, change.real, change.imag]

    end = -1j * k * area(length_m)  # a wave that goes on
    far = integrate.solve_ivp(step, (length_m, 0.0), [1.0, 0.0, end.real, end.imag], rtol=1e-8, atol=1e-12).y[:, -1]
    p, flow = far[0] + 1j * far[1], far[2] + 1j * far[3]
    return float((-1j * k * p * area(0.0) / flow).real)


def test_an_exponential_horn_begins_to_load_at_its_cutoff() -> None:
    throat, mouth, length = 0.025, 0.04, 0.25
    cutoff = guides.horn_cutoff_hz(throat, mouth, length)
    start = np.pi * throat**2 / 4
    m = np.log(mouth / start) / length
    below, above = (throat_resistance(f * cutoff, lambda x: start * np.exp(m * x), 2.5) for f in (0.8, 1.5))
    assert below < 0.1
    assert above == pytest.approx(np.sqrt(1 - 1 / 1.5**2), abs=0.05)


def test_a_conical_horn_has_no_cutoff() -> None:
    """Far down its throat is hardly loaded, and yet it sends what a source in its solid angle sends: nothing ends there.

    A wave exp(-jkR)/R from the apex solves the horn equation; the pressure at R for one unit of flow at the throat, R0 from the
    apex, is 1/(angle R sqrt(1 + (k R0)^2)), which at low frequency is that of a free source in the angle (Kinsler et al. 2000).
    """
    throat, mouth, length = 0.025, 0.04, 0.25
    start = np.pi * throat**2 / 4
    apex = length / (np.sqrt(mouth / start) - 1)
    for share in (0.1, 0.3, 1.0):
        k = share / apex

        def step(x: float, state: NDArray[np.complex128], k: float = k) -> list[complex]:
            area = start * (1 + x / apex) ** 2
            return [state[1] / area, -(k**2) * area * state[0]]

        end = -(1j * k + 1 / (apex + length)) * mouth
        flow = integrate.solve_ivp(step, (length, 0.0), [1.0 + 0j, end], rtol=1e-9, atol=1e-13).y[1, -1]
        free = 1 / (start / apex**2 * (apex + length))
        assert abs(1 / flow) == pytest.approx(free / np.sqrt(1 + share**2), rel=1e-4)


def test_index_of_a_guide_against_an_adaptive_integral() -> None:
    frequency = 3000.0

    def power(azimuth: float, polar: float) -> float:
        across, upward = np.sin(polar) * np.cos(azimuth), np.sin(polar) * np.sin(azimuth)
        return float(WIDE.along(frequency, across, upward, DOME) ** 2 * np.sin(polar))

    total = 4 * integrate.dblquad(power, 0, np.pi / 2, 0, np.pi / 2, epsabs=1e-7)[0]
    got = float(WIDE.index_db(frequency, DOME))
    assert got == pytest.approx(10 * np.log10(4 * np.pi / total), abs=2e-3)
