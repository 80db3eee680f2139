"""The worked example of the design, to all its digits; each figure is derived beside its test.

20 degC: c = 343.215 m/s, rho = 1.20412 kg/m3. p(98 dB) at 2.5 m is 3.9716 Pa at 1 m.
"""

from __future__ import annotations

from math import log2, pi, sin, sqrt

import pytest
from scipy.optimize import brentq
from scipy.special import j1

from reportgen.pairing.as_used import Setting
from reportgen.suitability.verdict import best_crossover_hz, usable_range
from tests.every import every
from tests.suitability.workbench import changed, example, limits_of

C, RHO = 343.215, 1.20412


def hz(limit: str, **pairing: object) -> float:
    found = limits_of(changed(pairing=pairing))[limit].hz
    assert found is not None
    return found


def test_pressure_at_one_metre() -> None:
    assert Setting(example()).wanted_pressure_pa == pytest.approx(3.9716, abs=5e-5)
    assert Setting(example()).wanted_pressure_pa == pytest.approx(20e-6 * 10 ** (98 / 20) * 2.5, rel=1e-12)


def test_resonance() -> None:
    assert hz("resonance") == pytest.approx(1980.0, abs=0.05)  # 1.8 x 1100


@every(("slope", "expected"), [("LR4", 1329.5), ("LR2", 1880.2), ("BW3", 1603.6)])
def test_travel(slope: str, expected: float) -> None:
    assert hz("travel", slope=slope) == pytest.approx(expected, abs=0.05)


def test_travel_by_the_piston_formula() -> None:
    # p = rho Sd w^2 x / (2 pi sqrt 2) for the unfiltered tone; behind LR4 the largest travel is half of it, at f_c
    w2 = 3.9716 * 2 * pi * sqrt(2) / (RHO * 7e-4 * 0.3e-3)
    assert hz("travel") == pytest.approx(sqrt(w2 / 2) / (2 * pi), rel=1e-4)


def test_technology_is_a_remark_beside_the_drivers_own_resonance_and_travel() -> None:
    assert "technology" not in limits_of(example())
    assert limits_of(changed(high={"peak_travel_m": None}))["technology"].hz == 2000.0


def test_coverage() -> None:
    assert hz("coverage") == pytest.approx(3761.9, abs=0.05)
    x = brentq(lambda x: 2 * j1(x) / x - 0.5, 1.0, 3.0)  # half amplitude of the round piston
    assert hz("coverage") == pytest.approx(x * C / (2 * pi * sqrt(0.0130 / pi) * sin(pi / 6)), rel=5e-6)


@every(("slope", "expected"), [("LR4", 5200 / 9**0.25), ("LR2", 5200 / 3), ("BW3", 5200 / 99 ** (1 / 6))])
def test_break_up(slope: str, expected: float) -> None:
    assert hz("break-up", slope=slope) == pytest.approx(expected, rel=1e-9)


def test_break_up_to_its_digits() -> None:
    assert hz("break-up") == pytest.approx(3002.2, abs=0.05)
    assert 9**0.25 == pytest.approx(1.732, abs=5e-4)
    assert 99 ** (1 / 6) == pytest.approx(2.151, abs=5e-4)


def test_lobing() -> None:
    assert hz("lobing") == pytest.approx(4420.3, abs=0.05)
    assert hz("lobing") == pytest.approx(C / (2 * 0.150 * sin(pi / 12)), rel=1e-5)


def test_range_and_choice() -> None:
    """From 1.8 x 1100 Hz to 5200/9^(1/4) Hz; the middle of the octaves between."""
    found = usable_range(list(limits_of(example()).values()))
    assert found.low_hz == pytest.approx(1980.0, abs=0.05)
    assert found.high_hz == pytest.approx(3002.2, abs=0.05)
    assert found.octaves == pytest.approx(0.6005, abs=5e-4)
    assert found.low_binding is not None and found.low_binding.id == "resonance"
    assert found.high_binding is not None and found.high_binding.id == "break-up"
    at = best_crossover_hz(found)
    assert at == pytest.approx(2438.1, abs=0.05)
    assert log2(at / found.low_hz) == pytest.approx(log2(found.high_hz / at))  # the smallest margin is largest there
