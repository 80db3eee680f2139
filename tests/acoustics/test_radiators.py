"""Radiators: shapes, broadcasting, inverses and bounds."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reportgen.acoustics import radiators
from reportgen.acoustics.air import Air
from reportgen.acoustics.radiators import Radiator

FREQUENCY = np.geomspace(100.0, 20000.0, 7)


@pytest.mark.parametrize("radiator", [Radiator(shape, 0.03, 0.05) for shape in radiators.SHAPES])
def test_on_the_axis_every_radiator_is_at_one(radiator: Radiator) -> None:
    for pattern in (radiator.horizontal, radiator.vertical):
        np.testing.assert_allclose(pattern(FREQUENCY, 0.0), 1.0)
    np.testing.assert_allclose(radiator.directivity(FREQUENCY, 0.0, 0.0), 1.0)
    assert np.all(np.diff(radiator.index_db(FREQUENCY)) > 0.0)
    assert float(radiator.index_db(1.0)) == pytest.approx(3.0103, abs=1e-3)


def test_shapes_broadcast_with_frequency_last() -> None:
    angle = np.linspace(-1.0, 1.0, 5)[:, None]
    radiator = Radiator("rectangular", 0.02, 0.1)
    assert radiator.horizontal(FREQUENCY, angle).shape == (5, 7)
    assert radiator.directivity(FREQUENCY, angle[:, None], angle).shape == (5, 5, 7)
    width = np.array([[0.01], [0.02]])
    assert radiators.rectangular_directivity_index_db(FREQUENCY, width, 0.1).shape == (2, 7)
    assert radiators.half_amplitude_frequency_hz(0.5, np.ones((300, 300))).shape == (300, 300)
    assert radiators.line_level(FREQUENCY, 0.2, 2.5, angle).shape == (5, 7)
    assert radiators.window_height_m(FREQUENCY, width * 10, 2.5).shape == (2, 7)
    assert radiators.column_level(FREQUENCY, 4, 0.1, 2.5, angle).shape == (5, 7)


def test_the_planes_of_a_rectangle_are_its_sides() -> None:
    radiator, angle = Radiator("rectangular", 0.02, 0.1), 0.6
    assert radiator.horizontal(8000.0, angle) == radiators.rectangular_directivity(8000.0, angle, 0.02)
    assert radiator.vertical(8000.0, angle) == radiators.rectangular_directivity(8000.0, angle, 0.1)
    both = radiator.directivity(8000.0, angle, 0.2)
    right, up = np.sin(angle) * np.cos(0.2), np.sin(0.2)
    assert both == radiator.along(8000.0, right, up)
    assert Radiator("rectangular", 0.05).tall_m == 0.05


def test_a_small_angle_does_not_upset_the_limits() -> None:
    assert float(radiators.round_directivity(1000.0, 1e-12, 0.1)) == 1.0
    assert float(radiators.rectangular_directivity(1000.0, 0.0, 0.1)) == 1.0
    assert np.isinf(radiators.half_amplitude_frequency_hz(0.0, 0.1))


@given(st.sampled_from(radiators.SHAPES), st.floats(0.05, 1.5), st.floats(0.005, 1.0), st.floats(-20.0, 45.0))
@settings(max_examples=60, deadline=None)
def test_half_amplitude_inverts_and_is_one_half(shape: str, angle: float, length: float, celsius: float) -> None:
    air = Air(celsius)
    frequency = radiators.half_amplitude_frequency_hz(angle, length, shape, air)
    assert float(radiators.half_amplitude_angle_rad(frequency, length, shape, air)) == pytest.approx(angle, rel=1e-6)
    assert float(Radiator(shape, length).horizontal(frequency, angle, air)) == pytest.approx(0.5, abs=1e-6)


def test_where_half_is_never_reached_the_angle_is_a_right_one() -> None:
    assert float(radiators.half_amplitude_angle_rad(500.0, 0.025)) == pytest.approx(np.pi / 2)


def test_beaming_begins_where_length_is_wavelength() -> None:
    assert float(radiators.beaming_frequency_hz(0.1)) == pytest.approx(3432.15, abs=0.01)


def test_the_edge_of_the_window_is_where_the_level_says() -> None:
    height = np.array([0.09, 0.2, 1.2])[:, None]
    frequency = np.array([4000.0, 9000.0, 16000.0])
    for paraxial, level in ((False, radiators.line_level), (True, radiators.line_level_fresnel)):
        window = radiators.window_height_m(frequency, height, 2.5, drop_db=6.0, paraxial=paraxial)
        edge = 20 * np.log10(np.abs(level(frequency, height, 2.5, window / 2)))
        np.testing.assert_allclose(edge, -6.0, atol=1e-3)
        inside = 20 * np.log10(np.abs(level(frequency, height, 2.5, window * 0.49)))
        assert np.all(inside > -6.0)


def test_the_window_of_a_point_is_that_of_distance_alone() -> None:
    """At 60 degrees the way is twice as long; the paraxial form knows no such loss."""
    window = radiators.window_height_m(500.0, 0.003, 2.5, drop_db=20 * np.log10(2.0))
    assert float(window) == pytest.approx(2 * 2.5 * np.tan(np.pi / 3), rel=1e-3)
    assert np.isinf(radiators.window_height_m(500.0, 0.003, 2.5, paraxial=True))


def test_a_taller_radiator_has_the_taller_window_near_and_the_lower_one_far() -> None:
    near = radiators.window_height_m(10000.0, np.array([0.09, 0.2, 1.2]), 2.5)
    assert near[1] < near[0] < near[2]


def test_a_column_of_one_is_everywhere_alike_in_far_field() -> None:
    np.testing.assert_allclose(radiators.column_directivity(FREQUENCY, 1, 0.1, 0.7), 1.0)


@pytest.mark.parametrize(("shape", "ka"), [("round", 2.0), ("dome", 3.0), ("ring", 1.5)])
def test_the_bound_names_the_frequency(shape: str, ka: float) -> None:
    bound = radiators.model_bound(Radiator(shape, 0.1))
    assert bound.doubtful_above_hz == pytest.approx(ka * Air().speed_m_s / (np.pi * 0.1))
    assert f"doubtful above {bound.doubtful_above_hz:.0f} Hz" in bound.sentence
    assert bound.sentence.endswith(".")


def test_a_flat_rectangle_is_bounded_by_words_only() -> None:
    bound = radiators.model_bound(Radiator("rectangular", 0.01, 0.1))
    assert np.isinf(bound.doubtful_above_hz)
    assert "inf" not in bound.sentence


@pytest.mark.parametrize(
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
