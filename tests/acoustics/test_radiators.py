"""Radiators: shapes, broadcasting and bounds."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reportgen.acoustics import radiators
from reportgen.acoustics.air import Air
from reportgen.acoustics.radiators import Radiator
from tests.every import every

FREQUENCY = np.geomspace(100.0, 20000.0, 7)


@every("radiator", [Radiator(shape, 0.03, 0.05) for shape in radiators.SHAPES])
def test_on_the_axis_every_radiator_is_at_one(radiator: Radiator) -> None:
    np.testing.assert_allclose(radiator.along(FREQUENCY, 0.0, 0.0), 1.0)
    np.testing.assert_allclose(radiator.along(FREQUENCY, 1e-12, 1e-12), 1.0)
    assert np.all(np.diff(radiator.index_db(FREQUENCY)) > 0.0)
    assert float(radiator.index_db(1.0)) == pytest.approx(3.0103, abs=1e-3)


def test_shapes_broadcast_with_frequency_last() -> None:
    cosine = np.linspace(-0.8, 0.8, 5)[:, None]
    radiator = Radiator("rectangular", 0.02, 0.1)
    assert radiator.along(FREQUENCY, cosine, 0.0).shape == (5, 7)
    assert radiator.along(FREQUENCY, cosine[:, None] / 2, cosine / 2).shape == (5, 5, 7)
    width = np.array([[0.01], [0.02]])
    assert radiators.rectangular_directivity_index_db(FREQUENCY, width, 0.1).shape == (2, 7)
    assert radiators.half_amplitude_frequency_hz(0.5, np.ones((300, 300))).shape == (300, 300)


def test_the_planes_of_a_rectangle_are_its_sides() -> None:
    radiator = Radiator("rectangular", 0.02, 0.1)
    k = 2 * np.pi * 8000.0 / Air().speed_m_s
    assert float(radiator.along(8000.0, 0.6, 0.0)) == pytest.approx(np.sin(k * 0.006) / (k * 0.006))
    assert float(radiator.along(8000.0, 0.0, 0.6)) == pytest.approx(np.sin(k * 0.03) / (k * 0.03))
    assert Radiator("rectangular", 0.05).tall_m == 0.05


@given(st.floats(0.05, 1.5), st.floats(0.005, 1.0), st.floats(-20.0, 45.0))
@settings(max_examples=60, deadline=None)
def test_at_the_half_amplitude_frequency_half_is_left(angle: float, length: float, celsius: float) -> None:
    air = Air(celsius)
    frequency = radiators.half_amplitude_frequency_hz(angle, length, air)
    assert float(Radiator("round", length).along(frequency, np.sin(angle), 0.0, air)) == pytest.approx(0.5, abs=1e-6)
    assert np.isinf(radiators.half_amplitude_frequency_hz(0.0, length))


@every(("shape", "ka"), [("round", 2.0), ("dome", 3.0), ("ring", 1.5)])
def test_the_bound_names_the_frequency(shape: str, ka: float) -> None:
    bound = radiators.model_bound(Radiator(shape, 0.1))
    assert bound.doubtful_above_hz == pytest.approx(ka * Air().speed_m_s / (np.pi * 0.1))
    assert f"doubtful above {bound.doubtful_above_hz:.0f} Hz" in bound.sentence
    assert bound.sentence.endswith(".")


def test_a_flat_rectangle_is_bounded_by_words_only() -> None:
    bound = radiators.model_bound(Radiator("rectangular", 0.01, 0.1))
    assert np.isinf(bound.doubtful_above_hz)
    assert "inf" not in bound.sentence


@every(
    ("arguments", "text"),
    [
        (("oval", 0.1), 'shape "oval"; it must be one of round, rectangular, ring, dome'),
        (("round", 0.0), "both must be greater than 0"),
        (("rectangular", 0.1, -1.0), "both must be greater than 0"),
    ],
)
def test_impossible_radiators_are_refused(arguments: tuple, text: str) -> None:
    with pytest.raises(ValueError, match=text):
        Radiator(*arguments)


def test_the_nodes_of_the_gauss_rule_are_the_published_ones() -> None:
    """Abramowitz & Stegun table 25.4, n = 4 and the first of n = 8."""
    for found, expected in zip(radiators.gauss_legendre(4), ((0.339981043584856, 0.861136311594053), (0.652145154862546, 0.347854845137454)), strict=True):  # fmt: skip
        np.testing.assert_allclose(found[2:], expected, atol=5e-16)
    assert radiators.gauss_legendre(5)[0][4] == pytest.approx(0.183434642495650, abs=5e-16)
    assert radiators.gauss_legendre(5)[1][4] == pytest.approx(0.362683783378362, abs=5e-16)


@every("nodes", [4, 24, 200, 1000])
def test_the_gauss_rule_is_exact_to_its_degree(nodes: int) -> None:
    """The mean of x^m over -1 to 1 is 1/(m + 1) for even m up to 2n - 2, and 0 for odd m."""
    x, weights = radiators.gauss_legendre(nodes)
    for power in (0, 2, nodes, 2 * nodes - 2):
        assert np.sum(weights * x**power) / 2.0 == pytest.approx(1.0 / (power + 1.0), rel=1e-11)
    assert np.sum(weights * x ** (nodes - 1)) == pytest.approx(0.0, abs=1e-12)


def test_a_small_piston_runs_on_into_the_full_formula() -> None:
    """Resistance (ka)^2/2 (1 - (ka)^2/6 ...) at either side of the change at 0.02 (the series of J1, Abramowitz & Stegun 9.1.10)."""
    for ka in (1e-4, 0.01, 0.0199999, 0.0200001, 0.05):
        found = float(radiators._piston_resistance(np.array([ka]))[0])
        assert found == pytest.approx(ka**2 / 2 * (1 - ka**2 / 6 + ka**4 / 72), rel=1e-8)


@every(("width", "height"), [(0.3, 0.6), (0.02, 1.2), (0.5, 0.5)])
def test_a_large_rectangle_radiates_as_its_area_asks(width: float, height: float) -> None:
    """Far above the size of a wave the index of a plane in a baffle is 10 lg(4 pi S/wavelength^2) (Kinsler et al. 2000, ch. 7); nearer it by 1/(k side)."""
    for hz in (8000.0, 16000.0):
        wave = 343.215 / hz
        wanted = 10.0 * np.log10(4.0 * np.pi * width * height / wave**2)
        sides = sum(wave / (2.0 * np.pi * side) for side in (width, height))
        found = float(Radiator("rectangular", width, height).index_db(hz))
        assert found == pytest.approx(wanted, abs=4.0 * sides + 0.01), (hz, found, wanted)


def test_a_quarter_of_the_half_sphere_is_a_quarter() -> None:
    """Solid angle pi/2; the means of both cosines are 1/2 and of their squares 1/3; none points to the left or down."""
    right, up, solid = radiators.quarter_of_half_sphere()
    assert np.all(right >= 0.0) and np.all(up >= 0.0) and np.all(right**2 + up**2 <= 1.0)
    assert np.sum(solid) == pytest.approx(np.pi / 2.0)
    for cosine in (right, up):
        assert cosine @ solid / (np.pi / 2.0) == pytest.approx(0.5, rel=1e-3)
        assert cosine**2 @ solid / (np.pi / 2.0) == pytest.approx(1.0 / 3.0, rel=1e-6)


@every(
    ("radiator", "said", "hz"),
    [
        (Radiator("round", 0.1), "round piston; a cone is deep and stops moving as one piece, and its edge then radiates less; doubtful above 2185 Hz.", 2185),
        (
            Radiator("dome", 0.025), "round piston; a dome's rim lags behind its crown, which widens or narrows the top end; doubtful above 13110 Hz.",
            13110,
        ),
        (Radiator("ring", 0.025), "full disc; a ring radiates from its edge only and narrows sooner than a disc; doubtful above 6555 Hz.", 6555),
        (Radiator("rectangular", 0.02, 0.1), "rectangle that moves as one piece; a foil that moves unevenly is wider.", np.inf),
    ],
)  # fmt: skip
def test_how_far_a_flat_piston_may_be_trusted(radiator: Radiator, said: str, hz: float) -> None:
    """Up to a k a of 2, 3 and 1.5: 343.215 m/s over pi times the width, times that; a foil without end."""
    found = radiators.model_bound(radiator)
    assert found.sentence == f"directivity is taken as that of a flat {said}"
    assert found.doubtful_above_hz == pytest.approx(hz, rel=1e-4)
