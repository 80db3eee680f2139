"""Waveguides and baffles against Keele's constant, closed forms and adaptive integration."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import integrate

from reportgen.acoustics import baffle, guides
from reportgen.acoustics.air import Air
from reportgen.acoustics.radiators import Radiator
from tests.reference.check_table import Check

AIR = Air()
KEELE = "Keele 1975: 10^6/(degrees inches)"
WIDE = guides.Guide(0.24, 0.16, np.radians(90.0), np.radians(60.0))
DOME = Radiator("dome", 0.025)
LOW_HZ = 1e-3


def edge_db(frequency_hz: float, open_back: bool = False) -> float:
    return float(20 * np.log10(abs(baffle.edge_response(frequency_hz, 0.2, 0.35, 0.02, 0.08, open_back))))


def mean_edge() -> float:
    return float(np.mean(np.real(baffle.edge_response(np.linspace(3e3, 30e3, 4001), 0.2, 0.35, 0.02, 0.08))))


CHECKS = [
    Check("pattern limit, 90 deg, 10 inch, Hz", KEELE, 1e6 / 900, lambda: guides.pattern_limit_hz(np.pi / 2, 0.254), 0.01),
    Check("pattern limit, 60 deg, 6 inch, Hz", KEELE, 1e6 / 360, lambda: guides.pattern_limit_hz(np.pi / 3, 0.1524), 0.01),
    Check("guide at half the coverage, horizontal, dB", "definition of coverage, -6 dB", 20 * np.log10(0.5),
          lambda: 20 * np.log10(WIDE.horizontal(4000.0, np.pi / 4, DOME)), 1e-6),
    Check("guide at half the coverage, vertical, dB", "definition of coverage, -6 dB", 20 * np.log10(0.5),
          lambda: 20 * np.log10(WIDE.vertical(4000.0, np.pi / 6, DOME)), 1e-6),
    Check("baffle step, 230 mm wide, Hz", "common practice, no source: 115/width", 500.0, lambda: baffle.step_hz(0.23), 1e-9),
    Check("closed cabinet at low frequency, dB", "Bews & Hawksford 1986: half space to full", -6.0206,
          lambda: edge_db(LOW_HZ), 1e-3),
    Check("closed cabinet at high frequency, mean of H", "Vanderkooy 1991: the edge terms average out", 1.0,
          mean_edge, 5e-3),
    Check("disc, closed, first peak |H|", "|1 - exp(-jka)/2| at ka = pi", 1.5,
          lambda: abs(baffle.disc_response(AIR.speed_m_s / 0.2, 0.1)), 1e-9),
    Check("disc, closed, first dip |H|", "|1 - exp(-jka)/2| at ka = 2 pi", 0.5,
          lambda: abs(baffle.disc_response(AIR.speed_m_s / 0.1, 0.1)), 1e-9),
    Check("disc, open, first dip |H|", "|1 - exp(-jka)| at ka = 2 pi", 0.0,
          lambda: abs(baffle.disc_response(AIR.speed_m_s / 0.1, 0.1, open_back=True)), 1e-9),
    Check("disc, open, |H| at c/(6a)", "law of cosines at 60 degrees", 1.0,
          lambda: abs(baffle.disc_response(baffle.rear_path_limit_hz(0.1), 0.1, open_back=True)), 1e-9),
]  # fmt: skip


@pytest.mark.parametrize("frequency_hz", [50.0, 900.0, 4000.0, 18000.0])
@pytest.mark.parametrize("direction", [(0.0, 0.0), (0.5, 0.0), (0.2, -0.6)])
def test_edge_sum_against_an_adaptive_integral(frequency_hz: float, direction: tuple[float, float]) -> None:
    width, height, x, y = 0.21, 0.9, -0.03, 0.31
    k = 2 * np.pi * frequency_hz / AIR.speed_m_s

    def way(angle: float) -> float:
        cos, sin = np.cos(angle), np.sin(angle)
        reach = min(
            (width / 2 - x) / cos if cos > 0 else (width / 2 + x) / max(-cos, 1e-300),
            (height / 2 - y) / sin if sin > 0 else (height / 2 + y) / max(-sin, 1e-300),
        )
        return reach * (1 - cos * direction[0] - sin * direction[1])

    corners = sorted(
        np.arctan2(sy * height / 2 - y, sx * width / 2 - x) % (2 * np.pi) for sx in (-1, 1) for sy in (-1, 1)
    )
    options = {"points": corners, "limit": 2000, "epsabs": 1e-9}
    real = integrate.quad(lambda a: np.cos(k * way(a)), 0, 2 * np.pi, **options)[0]
    imaginary = integrate.quad(lambda a: np.sin(k * way(a)), 0, 2 * np.pi, **options)[0]
    mean = (real - 1j * imaginary) / (2 * np.pi)
    closed = baffle.edge_response(frequency_hz, width, height, x, y, right=direction[0], up=direction[1])
    opened = baffle.edge_response(frequency_hz, width, height, x, y, True, right=direction[0], up=direction[1])
    assert complex(closed) == pytest.approx(1 - mean / 2, abs=1e-7)
    assert complex(opened) == pytest.approx(1 - mean, abs=1e-7)


def test_the_centred_disc_is_the_worst_case() -> None:
    """No rectangle of equal area ripples as much as the disc with its source in the middle (Vanderkooy 1991)."""
    f = np.linspace(200.0, 8000.0, 800)
    side = 0.3
    disc = np.abs(baffle.disc_response(f, side / np.sqrt(np.pi)))
    square = np.abs(baffle.edge_response(f, side, side, 0.0, 0.0))
    aside = np.abs(baffle.edge_response(f, side, side, 0.06, 0.04))
    assert np.ptp(disc) > np.ptp(square) > np.ptp(aside)


def test_index_of_a_guide_against_an_adaptive_integral() -> None:
    frequency = 3000.0

    def power(azimuth: float, polar: float) -> float:
        across, upward = np.sin(polar) * np.cos(azimuth), np.sin(polar) * np.sin(azimuth)
        return float(WIDE.along(frequency, across, upward, DOME) ** 2 * np.sin(polar))

    total = 4 * integrate.dblquad(power, 0, np.pi / 2, 0, np.pi / 2, epsabs=1e-7)[0]
    got = float(WIDE.index_db(frequency, DOME))
    assert got == pytest.approx(10 * np.log10(4 * np.pi / total), abs=2e-3)
