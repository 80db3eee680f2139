"""Holes between branches: what moves them, and what a plain sum of points says of them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reportgen.acoustics import lobes
from reportgen.acoustics.air import STANDARD_AIR, Air
from reportgen.acoustics.slopes import SLOPES, high_pass, low_pass, polarity

HALF = np.radians(15.0)
PAIR = ((0.0,), (0.15,))
C = STANDARD_AIR.speed_m_s


def deepest_db(slope: str, low_at: tuple[float, ...], high_at: tuple[float, ...], crossover_hz: float) -> float:
    """Deepest hole (dB under the axis, a least level over angle) inside +-15 deg at any frequency up to the crossover."""
    target, u = SLOPES[slope], np.geomspace(0.4, 1.0, 160)
    low, high = low_pass(target, u, 1.0), polarity(target) * high_pass(target, u, 1.0)
    near = np.abs(20 * np.log10(np.abs(low / high))) <= 10.0
    sine = np.sin(HALF) * np.linspace(-1.0, 1.0, 801)
    turn = 2j * np.pi * crossover_hz / C * u[:, None, None] * sine[:, None]
    total = low[:, None] * np.mean(np.exp(turn * np.array(low_at)), axis=-1)
    total = total + high[:, None] * np.mean(np.exp(turn * np.array(high_at)), axis=-1)
    level = 20 * np.log10(np.abs(total[near] / total[near][:, [400]]))
    inner = level[:, 1:-1]
    least = (inner <= level[:, :-2]) & (inner <= level[:, 2:])
    return float(-np.min(np.where(least, inner, 0.0)))


PLACES = [PAIR, ((-0.15, 0.15), (0.0,)), ((0.0, -0.18), (0.15,)), ((-0.17, -0.35), (-0.03, 0.03))]


@pytest.mark.parametrize("slope", list(SLOPES))
@pytest.mark.parametrize("places", PLACES)
def test_below_the_limit_no_hole_above_it_one(slope: str, places: tuple[tuple[float, ...], tuple[float, ...]]) -> None:
    limit = lobes.lobing_limit_hz(SLOPES[slope], *places, HALF)
    if np.isinf(limit):
        assert deepest_db(slope, *places, 20000.0) < lobes.HOLE_DB
        return
    assert deepest_db(slope, *places, 0.98 * limit) < lobes.HOLE_DB
    assert deepest_db(slope, *places, 1.04 * limit) > lobes.HOLE_DB


@given(st.floats(0.05, 0.5), st.floats(0.05, 1.2), st.sampled_from(sorted(SLOPES)))
@settings(max_examples=40, deadline=None)
def test_the_limit_scales_with_distance_and_window(apart: float, half: float, slope: str) -> None:
    one = lobes.lobing_limit_hz(SLOPES[slope], (0.0,), (0.1,), HALF)
    other = lobes.lobing_limit_hz(SLOPES[slope], (0.0,), (apart,), half)
    assert other == pytest.approx(one * 0.1 / apart * np.sin(HALF) / np.sin(half), rel=1e-9)


def test_above_and_below_are_alike_and_warm_air_is_faster() -> None:
    for slope in ("BW3", "BE3", "LR4"):
        up, down = (lobes.lobing_limit_hz(SLOPES[slope], (0.0,), (d,), HALF) for d in (0.2, -0.2))
        assert up == pytest.approx(down)
    warm = lobes.lobing_limit_hz(SLOPES["LR4"], *PAIR, HALF, Air(35.0))
    assert warm == pytest.approx(lobes.lobing_limit_hz(SLOPES["LR4"], *PAIR, HALF) * Air(35.0).speed_m_s / C)


def test_a_second_low_driver_further_down_brings_the_hole_nearer() -> None:
    two = lobes.lobing_limit_hz(SLOPES["LR4"], (0.0, -0.18), (0.15,), HALF)
    assert two < lobes.lobing_limit_hz(SLOPES["LR4"], *PAIR, HALF)
