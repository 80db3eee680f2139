"""Heat: shares of a programme, ratings behind a high pass, limits, and what a hot coil loses."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.acoustics import heat
from reportgen.acoustics.slopes import SLOPES, butterworth
from tests.every import every

SPECTRUM = ([31.5, 125.0, 500.0, 2000.0, 8000.0, 16000.0], [-6.0, 0.0, -1.0, -6.0, -13.0, -18.0])
PINK = ([20.0, 20000.0], [0.0, 0.0])


def test_heat_limit_inverts_the_share() -> None:
    cutoff = np.geomspace(60.0, 20000.0, 40)
    for slope in (butterworth(1), butterworth(2), SLOPES["LR4"], SLOPES["BE3"]):
        allowed = 150.0 * heat.programme_share(cutoff, slope, *SPECTRUM)
        np.testing.assert_allclose(heat.heat_limit_hz(150.0, allowed, *SPECTRUM, slope), cutoff, rtol=1e-3)


def test_heat_at_both_ends() -> None:
    slope = butterworth(4)
    assert float(heat.heat_limit_hz(100.0, 100.0, *SPECTRUM, slope)) == 0.0
    assert float(heat.heat_limit_hz(100.0, 1e-15, *SPECTRUM, slope)) == np.inf
    assert np.isnan(heat.heat_limit_hz(100.0, np.nan, *SPECTRUM, slope))
    assert heat.heat_limit_hz(np.full((300, 300), 100.0), np.full(300, 5.0), *SPECTRUM, slope).shape == (300, 300)


def test_a_rating_in_front_of_a_high_pass_counts_its_share() -> None:
    allowed = heat.allowed_power_w(100.0, np.array([0.0, 2000.0, 4000.0]), butterworth(2), *SPECTRUM)
    assert allowed[0] == pytest.approx(100.0)
    assert allowed[0] > allowed[1] > allowed[2] > 0.0


def test_a_cold_coil_loses_nothing_and_a_hot_one_the_rise_of_copper() -> None:
    assert float(heat.compression_db(0.0, 3.0)) == 0.0
    # 200 K: 1 + 0.0039 * 200 = 1.78, 10 lg 1.78 = 2.504 (by hand)
    assert float(heat.compression_db(50.0, 4.0)) == pytest.approx(2.504, abs=1e-3)


@every("cutoff", [50.0, 300.0, 1000.0, 5000.0, 40000.0])
def test_the_share_above_a_first_order_in_closed_form(cutoff: float) -> None:
    """With u = f/cutoff: pink noise, the integral of u^2/(1 + u^2) over ln u; 3 dB an octave less, that of 1/(1 + u^2) over u."""
    low, high = 20.0 / cutoff, 20000.0 / cutoff
    pink = 0.5 * np.log((1.0 + high**2) / (1.0 + low**2)) / np.log(1000.0)
    assert float(heat.programme_share(cutoff, butterworth(1), *PINK)) == pytest.approx(pink, rel=1e-3)
    falling = ([20.0, 20000.0], [0.0, -30.0])  # 30 dB over three decades: as 1/f, in power an octave
    red = (np.arctan(high) - np.arctan(low)) / (1.0 / low - 1.0 / high)
    assert float(heat.programme_share(cutoff, butterworth(1), *falling)) == pytest.approx(red, rel=1e-3)
    assert float(heat.programme_share(0.0, butterworth(1), *PINK)) == pytest.approx(1.0)
