"""Scales, ticks and traces cut to their field."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reportgen.paper.scales import Scale, frequency_ticks, linear_ticks, on_paper, round_step, thinned, trace, visible

X = Scale(20.0, 20000.0, 24.0, 500.0, log=True)
Y = Scale(40.0, 90.0, 150.0, 10.0)


def test_a_decade_takes_a_third_of_three_decades() -> None:
    assert X.at(200.0) - X.at(20.0) == pytest.approx((500.0 - 24.0) / 3.0)
    assert Y.at(65.0) == pytest.approx(80.0)


@given(st.floats(10.0, 500.0), st.floats(2.0, 2000.0))
def test_frequency_ticks_are_the_preferred_steps_inside(low: float, ratio: float) -> None:
    figures, lines = frequency_ticks(low, low * ratio)
    for hz in (*figures, *lines):
        assert low * (1 - 1e-6) <= hz <= low * ratio * (1 + 1e-6)
        step = hz / 10.0 ** math.floor(math.log10(hz) + 1e-9)
        assert step == pytest.approx(round(step))
    assert not set(figures) & set(lines)


@given(st.floats(0.1, 1e4), st.integers(3, 12))
def test_steps_are_round_and_near_the_wish(span: float, about: int) -> None:
    step = round_step(span, about)
    mantissa = step / 10.0 ** math.floor(math.log10(step) + 1e-9)
    assert min(abs(mantissa - wanted) for wanted in (1.0, 2.0, 5.0)) < 1e-6
    assert about / 2.6 <= span / step <= about * 1.01


def test_linear_ticks_are_multiples_of_the_step() -> None:
    assert linear_ticks(-7.0, 13.0, 5.0) == [-5.0, 0.0, 5.0, 10.0]


@given(st.lists(st.floats(-50.0, 200.0), min_size=2, max_size=400))
def test_nothing_is_drawn_outside_and_nothing_inside_is_lost(levels: list[float]) -> None:
    hz = np.geomspace(20.0, 20000.0, len(levels))
    points = np.column_stack([X.all_at(hz), Y.all_at(levels)])
    pieces = visible(points, X, Y)
    drawn = np.vstack(pieces) if pieces else np.empty((0, 2))
    assert np.all((drawn[:, 1] >= 10.0 - 1e-6) & (drawn[:, 1] <= 150.0 + 1e-6))
    inside = points[(points[:, 1] > 10.0 + 1e-6) & (points[:, 1] < 150.0 - 1e-6)]
    if len(inside) > 1 and pieces:
        kept = {(round(x, 6), round(y, 6)) for x, y in drawn.tolist()}
        single = {(round(x, 6), round(y, 6)) for x, y in inside.tolist()} - kept
        assert not single, "a corner inside the field was dropped"


def test_a_piece_is_cut_where_it_leaves_the_field() -> None:
    points = np.array([[100.0, 100.0], [200.0, 200.0]])  # leaves at y = 150, half-way by similar triangles
    (piece,) = visible(points, X, Y)
    assert piece[-1].tolist() == pytest.approx([150.0, 150.0])


def test_thinning_keeps_peaks_and_the_budget() -> None:
    angle = np.linspace(0.0, 40.0, 5000)
    points = np.column_stack([angle, np.sin(angle)])
    points[2500, 1] = -7.0
    kept = thinned(points)
    assert len(kept) <= 300
    assert kept[:, 1].min() == -7.0
    assert kept[:, 1].max() == pytest.approx(1.0, abs=1e-4)


def test_traces_have_few_points_and_short_numbers() -> None:
    hz = np.geomspace(20.0, 20000.0, 4000)
    data = trace(visible(on_paper(X, Y, hz.tolist(), (70.0 + 5.0 * np.sin(np.log(hz))).tolist()), X, Y))
    assert data.count("L") < 300
    assert all(len(number.partition(".")[2]) <= 1 for number in data.replace("M", " ").replace("L", " ").split())
