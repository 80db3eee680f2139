"""Travel: inverses, the worst tone, gains, and what is missing."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reportgen.acoustics import travel
from reportgen.acoustics.slopes import SLOPES, high_pass_magnitude
from tests.every import every


@given(st.floats(1e-5, 0.02), st.floats(1e-4, 0.1), st.floats(20.0, 20000.0), st.floats(0.3, 10.0))
@settings(max_examples=50, deadline=None)
def test_travel_and_pressure_invert(peak: float, area: float, frequency: float, distance: float) -> None:
    pressure = travel.pressure_from_travel(peak, area, frequency, distance)
    back = travel.travel_from_pressure(pressure, area, frequency, distance)
    assert float(back) == pytest.approx(peak)


@every("slope", ["LR2", "LR4", "LR8", "BW2", "BW3", "BW4", "BE3"])
def test_at_the_travel_limit_the_worst_tone_takes_the_whole_travel(slope: str) -> None:
    limit = float(travel.travel_limit_hz(4.0, 7e-4, 3e-4, SLOPES[slope]))
    f = np.geomspace(limit / 100, limit * 20, 20001)
    tone = 4.0 * high_pass_magnitude(SLOPES[slope], f / limit)
    assert np.max(travel.travel_from_pressure(tone, 7e-4, f)) == pytest.approx(3e-4, rel=1e-3)


def test_a_gain_lowers_the_travel_limit() -> None:
    one = travel.travel_limit_hz(4.0, 7e-4, 3e-4, SLOPES["LR4"])
    louder = travel.travel_limit_hz(4.0, 7e-4, 3e-4, SLOPES["LR4"], gain_db=20 * np.log10(2.0))
    assert float(louder) == pytest.approx(float(one) / np.sqrt(2.0))  # half the travel


def test_travel_limits_take_whole_catalogues() -> None:
    pressure, area = np.full((300, 1), 4.0), np.linspace(3e-4, 1e-3, 300)
    for slope in ("LR4", "BW1"):
        found = travel.travel_limit_hz(pressure, area, 3e-4, SLOPES[slope], fs_hz=np.full(300, 1100.0), q=0.7)
        assert found.shape == (300, 300)
        assert np.all(np.diff(found[0]) < 0.0)


def test_first_order_without_a_resonance_is_not_assessed() -> None:
    assert travel.travel_factor(SLOPES["BW1"]) == np.inf
    assert np.isnan(travel.travel_limit_hz(4.0, 7e-4, 3e-4, SLOPES["BW1"]))
    mixed = travel.travel_limit_hz(4.0, 7e-4, 3e-4, SLOPES["BW1"], fs_hz=np.array([1100.0, np.nan]), q=0.7)
    assert np.isfinite(mixed[0])
    assert np.isnan(mixed[1])


def test_first_order_in_front_of_a_high_resonance_has_no_limit() -> None:
    assert float(travel.travel_limit_hz(4.0, 7e-4, 3e-4, SLOPES["BW1"], fs_hz=5000.0, q=0.5)) == 0.0


def test_missing_travel_is_nan_and_never_a_pass() -> None:
    assert np.isnan(travel.travel_limit_hz(4.0, 7e-4, np.nan, SLOPES["LR4"]))
    assert np.isnan(travel.travel_limit_hz(4.0, 7e-4, np.nan, SLOPES["BW1"], fs_hz=1000.0, q=0.7))


@every(("fs_hz", "q"), [(800.0, 0.5), (800.0, 1.0), (800.0, 2.0), (1500.0, 0.707), (400.0, 1.5), (1100.0, 0.5)])
def test_first_order_by_trying_every_tone(fs_hz: float, q: float) -> None:
    """At the limit the worst of 4001 tones takes just the whole travel: the electrical slope times the driver's own high pass over f^2."""
    pressure, area, most = 2.0, 7e-4, 0.3e-3
    limit = float(travel.travel_limit_hz(pressure, area, most, SLOPES["BW1"], fs_hz=fs_hz, q=q))
    f = np.geomspace(20.0, 20e3, 4001)
    needed = travel.travel_from_pressure(pressure, area, f)

    def worst(crossover_hz: float) -> float:
        first = np.abs(1j * f / (crossover_hz + 1j * f))
        second = np.abs((f / fs_hz) ** 2 / (1.0 - (f / fs_hz) ** 2 + 1j * f / fs_hz / q))
        return float(np.max(needed * first * second) / most)

    if limit == 0.0:
        assert worst(1e-3) <= 1.0
    else:
        assert worst(limit) == pytest.approx(1.0, rel=1e-3) and worst(0.98 * limit) > 1.0
