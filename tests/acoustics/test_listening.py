"""Several sources: sums, maps, windows, inverses and refusals."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.acoustics import listening
from reportgen.acoustics.air import STANDARD_AIR
from reportgen.acoustics.listening import Source
from reportgen.acoustics.radiators import Radiator

FREQUENCY = np.geomspace(200.0, 16000.0, 24)
ONES = np.ones(24, dtype=np.complex128)
DOME = Radiator("dome", 0.025)
CONE = Radiator("round", 0.13)
HIGH, LOW = Source((0.0, 0.0, 0.0), DOME, ONES), Source((0.0, -0.15, -0.02), CONE, ONES)


def test_one_source_falls_with_distance_and_turns_with_the_way() -> None:
    points = listening.ear_points(np.array(2.0).item(), [0.0, 0.0])
    got = listening.sum_at([HIGH], points, FREQUENCY)
    way = 2.0 * np.pi * FREQUENCY * 2.0 / STANDARD_AIR.speed_m_s
    np.testing.assert_allclose(got[0], np.exp(-1j * way) / 2.0)
    assert got.shape == (2, 24)


def test_sums_are_linear() -> None:
    points = listening.arc_points(2.5, np.linspace(-0.8, 0.8, 9), 0.1)
    together = listening.sum_at([HIGH, LOW], points, FREQUENCY)
    apart = listening.sum_at([HIGH], points, FREQUENCY) + listening.sum_at([LOW], points, FREQUENCY)
    np.testing.assert_allclose(together, apart, atol=1e-12)
    assert np.all(listening.sum_at([], points, FREQUENCY) == 0.0)


def test_off_axis_the_level_is_that_of_the_pattern() -> None:
    angle = np.array([0.0, 0.5, 1.0])
    got = np.abs(listening.horizontal_map([HIGH], FREQUENCY, angle, 2.5))
    np.testing.assert_allclose(got, np.abs(DOME.horizontal(FREQUENCY, angle[:, None])), atol=1e-9)
    got = np.abs(listening.vertical_map([HIGH], FREQUENCY, angle, 2.5))
    np.testing.assert_allclose(got, np.abs(DOME.vertical(FREQUENCY, angle[:, None])), atol=1e-9)


def test_near_and_far_differ_when_the_centres_are_apart() -> None:
    near = np.abs(listening.vertical_map([HIGH, LOW], FREQUENCY, [0.3], 1.0))
    far = np.abs(listening.vertical_map([HIGH, LOW], FREQUENCY, [0.3], 50.0))
    assert np.max(np.abs(near - far)) > 0.1


def test_a_window_of_nothing_is_the_axis() -> None:
    axis = 20 * np.log10(np.abs(listening.vertical_map([HIGH, LOW], FREQUENCY, [0.0], 2.5)[0]))
    np.testing.assert_allclose(listening.window_average_db([HIGH, LOW], FREQUENCY, 0.0, 0.0, 2.5), axis)


def test_a_window_lies_below_its_axis_where_one_source_beams() -> None:
    cone = Source((0.0, 0.0, 0.0), CONE, ONES)
    window = listening.window_average_db([cone], FREQUENCY, 0.5, 0.25, 2.5)
    assert np.all(window < 1e-9)
    assert window[-1] < -3.0


def test_two_equal_sources_reversed_leave_nothing_between_them() -> None:
    up, down = Source((0.0, 0.1, 0.0), DOME, ONES), Source((0.0, -0.1, 0.0), DOME, ONES)
    assert np.all(listening.null_depth_db([up], [down], (0.0, 0.0, 2.5), FREQUENCY) > 100.0)


@pytest.mark.parametrize(
    ("point", "text"), [((0.0, 0.0, -0.1), "behind a source"), ((0.0, 0.0, 0.0), "in the centre of a source")]
)
def test_impossible_places_are_refused(point: tuple[float, float, float], text: str) -> None:
    with pytest.raises(ValueError, match=text):
        listening.sum_at([HIGH], point, FREQUENCY)


# --- lobes


def test_lobing_limit_and_null_angle_invert() -> None:
    spacing, half = np.array([0.1, 0.15, 0.3]), np.radians(15.0)
    limit = listening.lobing_limit_hz(spacing, half)
    np.testing.assert_allclose(listening.null_angle_rad(limit, spacing), half)
    assert np.isinf(listening.lobing_limit_hz(0.1, 0.0))
    assert np.isnan(listening.null_angle_rad(500.0, 0.1))


def test_limits_take_whole_catalogues() -> None:
    spacing = np.linspace(0.1, 0.3, 90000).reshape(300, 300)
    assert listening.lobing_limit_hz(spacing, np.radians(15.0)).shape == (300, 300)
    assert listening.symmetric_lobing_limit_hz(spacing, np.radians(15.0)).shape == (300, 300)


def test_at_its_limit_the_symmetric_arrangement_nulls() -> None:
    for share in (0.0, 0.2, 0.5):
        limit = listening.symmetric_lobing_limit_hz(0.15, 0.3, high_share=share)
        assert float(listening.symmetric_drop_db(limit, 0.15, 0.3, share)) < -100.0
        assert float(listening.symmetric_drop_db(0.5 * limit, 0.15, 0.3, share)) > -20.0
    assert np.isinf(listening.symmetric_lobing_limit_hz(0.15, 0.3, high_share=0.6))


def test_tilt_and_offset_invert() -> None:
    offset = np.array([-0.03, 0.0, 0.02])
    np.testing.assert_allclose(
        listening.depth_offset_m(listening.lobe_tilt_rad(offset, 0.15), 0.15), offset, atol=1e-15
    )


def test_a_column_is_clear_an_octave_below_its_side_lobe() -> None:
    assert float(listening.column_side_lobe_hz(0.1)) == pytest.approx(2 * float(listening.column_clear_hz(0.1)))
    assert float(listening.column_side_lobe_hz(0.1, 0.5)) > float(listening.column_side_lobe_hz(0.1))


# --- power and directivity


def test_power_of_a_small_source_is_its_axis_and_its_index_three_decibels() -> None:
    point = Source((0.0, 0.0, 0.0), Radiator("round", 1e-4), ONES)
    np.testing.assert_allclose(listening.power_response_db([point], FREQUENCY), 0.0, atol=1e-3)
    np.testing.assert_allclose(listening.directivity_index_db([point], FREQUENCY), 3.0103, atol=1e-3)


def test_power_does_not_care_on_which_side_a_source_stands() -> None:
    left, right = Source((-0.1, 0.0, 0.0), CONE, ONES), Source((0.1, 0.0, 0.0), CONE, ONES)
    np.testing.assert_allclose(
        listening.power_response_db([left], FREQUENCY), listening.power_response_db([right], FREQUENCY), atol=1e-9
    )


def test_the_directivity_step_is_that_of_the_wider_low_driver() -> None:
    step = listening.directivity_step_db(CONE, DOME, np.array([500.0, 2500.0]))
    assert 0.0 < step[0] < 0.7
    assert 3.0 < step[1] < 6.0


def test_tilt_is_the_slope_of_a_sloping_line() -> None:
    f = np.geomspace(1000.0, 20000.0, 31)
    level = -1.5 * np.log2(f)
    assert listening.tilt_db_per_octave(f, level) == pytest.approx(-1.5)
    kinked = np.where(f < 5000.0, 0.0, level)
    assert listening.tilt_db_per_octave(f, kinked, 6000.0) == pytest.approx(-1.5, abs=1e-6)
    with pytest.raises(ValueError, match="a slope needs two"):
        listening.tilt_db_per_octave(f, level, 19500.0)


def test_a_tall_radiator_tilts_its_power_down() -> None:
    """A line is narrower in one plane only: 3 dB an octave of power at most (Lipshitz & Vanderkooy 1986)."""
    f = np.geomspace(5000.0, 20000.0, 30)
    tilt = listening.tilt_db_per_octave(f, -Radiator("rectangular", 0.005, 1.2).index_db(f))
    assert -3.6 < tilt < -2.9


# --- hearing


def test_safe_time_and_level_invert() -> None:
    level = np.array([80.0, 85.0, 97.5])
    time = listening.safe_listening_time_s(level)
    np.testing.assert_allclose(listening.safe_listening_level_dba(time), level)
    assert np.all(np.diff(time) < 0.0)
