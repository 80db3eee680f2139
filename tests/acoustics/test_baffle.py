"""The baffle: symmetry, broadcasting, open backs and refusals."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.acoustics import baffle

FREQUENCY = np.geomspace(20.0, 20000.0, 60)


def test_step_and_width_invert() -> None:
    width = np.array([0.15, 0.23, 0.4])
    np.testing.assert_allclose(baffle.width_for_step_m(baffle.step_hz(width)), width)


def test_the_rule_lies_within_the_real_step() -> None:
    """115/width (common practice, no source) stands between the edge sum's 3 dB point and its first peak."""
    for width in (0.15, 0.23, 0.4):
        level = np.abs(baffle.edge_response(FREQUENCY, width, 4 * width, 0.0, 0.5 * width))
        crossing = FREQUENCY[np.argmax(level > 0.5 * np.sqrt(2.0))]
        assert crossing < baffle.step_hz(width) < FREQUENCY[np.argmax(level)]


def test_mirror_images_sound_alike() -> None:
    right = baffle.edge_response(FREQUENCY, 0.2, 0.4, 0.03, 0.1, right=0.4, up=0.1)
    left = baffle.edge_response(FREQUENCY, 0.2, 0.4, -0.03, 0.1, right=-0.4, up=0.1)
    turned = baffle.edge_response(FREQUENCY, 0.4, 0.2, -0.1, 0.03, right=-0.1, up=0.4)
    np.testing.assert_allclose(left, right, atol=1e-9)
    np.testing.assert_allclose(turned, right, atol=1e-9)


def test_geometry_broadcasts_with_frequency_last() -> None:
    x = np.linspace(-0.05, 0.05, 5)[:, None]
    many = baffle.edge_response(FREQUENCY, 0.2, 0.4, x, 0.1)
    assert many.shape == (5, 60)
    np.testing.assert_allclose(many[1], baffle.edge_response(FREQUENCY, 0.2, 0.4, float(x[1, 0]), 0.1), atol=1e-9)
    assert baffle.edge_response(1000.0, 0.2, 0.4, 0.0, 0.0).shape == ()


def test_open_and_closed_differ_by_the_rear_wave() -> None:
    closed = baffle.edge_response(FREQUENCY, 0.3, 0.4, 0.02, 0.1)
    opened = baffle.edge_response(FREQUENCY, 0.3, 0.4, 0.02, 0.1, open_back=True)
    np.testing.assert_allclose(opened, 2 * closed - 1, atol=1e-12)
    assert abs(opened[0]) < 0.1


@pytest.mark.parametrize(("x", "y"), [(0.11, 0.0), (0.0, -0.3), (0.1, 0.0)])
def test_a_source_off_the_panel_is_refused(x: float, y: float) -> None:
    with pytest.raises(ValueError, match="outside the panel"):
        baffle.edge_response(1000.0, 0.2, 0.4, x, y)


def test_the_rear_wave_has_the_distance_of_the_nearest_edge_to_go() -> None:
    assert float(baffle.rear_path_m(0.3, 0.9, 0.05, -0.1)) == pytest.approx(0.1)
    assert float(baffle.rear_path_m(0.3, 0.9, 0.0, 0.42)) == pytest.approx(0.03)


def test_that_path_is_the_one_of_the_edge_sum() -> None:
    """On the disc all rays go that way; on a panel the others go further, so the rear wave cancels less."""
    f = baffle.rear_path_limit_hz(baffle.rear_path_m(0.3, 0.3, 0.0, 0.0))
    disc = abs(baffle.disc_response(f, 0.15, open_back=True))
    assert disc == pytest.approx(1.0)  # 2 sin(ka/2) = 1 at ka = pi/3
    square = abs(baffle.edge_response(f, 0.3, 0.3, 0.0, 0.0, open_back=True))
    assert 1.0 < square < 1.2  # its mean way to the edge is longer than that to the nearest


def test_a_panel_of_any_size_is_worked_out() -> None:
    f = np.geomspace(20.0, 20000.0, 81)
    for size in (0.002, 40.0, 4000.0):
        level = 20 * np.log10(np.abs(baffle.edge_response(f, size, 0.5 * size, 0.1 * size, 0.0)))
        assert np.all(np.isfinite(level)) and np.all(level > -7.0) and np.all(level < 4.0)
    assert np.max(np.abs(level)) < 0.5  # boundless for sound
