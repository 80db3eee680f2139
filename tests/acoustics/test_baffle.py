"""The baffle: symmetry, finite sources, open backs, power and refusals."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.acoustics import baffle
from reportgen.acoustics.radiators import Radiator

FREQUENCY = np.geomspace(20.0, 20000.0, 60)
CONE, FOIL = Radiator("round", 0.129), Radiator("rectangular", 0.03, 0.1)


def test_the_rule_lies_within_the_real_step() -> None:
    """115/width (common practice, no source) stands between the edge sum's 3 dB point and its first peak."""
    for width in (0.15, 0.23, 0.4):
        level = np.abs(baffle.edge_response(FREQUENCY, width, 4 * width, 0.0, 0.5 * width))
        crossing = FREQUENCY[np.argmax(level > 0.5 * np.sqrt(2.0))]
        assert crossing < baffle.step_hz(width) < FREQUENCY[np.argmax(level)]


@pytest.mark.parametrize("open_back", [False, True])
def test_mirror_images_sound_alike(open_back: bool) -> None:
    right = baffle.edge_response(FREQUENCY, 0.2, 0.4, 0.03, 0.1, open_back, source=FOIL)
    left = baffle.edge_response(FREQUENCY, 0.2, 0.4, -0.03, 0.1, open_back, source=FOIL)
    turned = baffle.edge_response(FREQUENCY, 0.4, 0.2, -0.1, 0.03, open_back, source=Radiator("rectangular", 0.1, 0.03))
    np.testing.assert_allclose(left, right, atol=1e-9)
    np.testing.assert_allclose(turned, right, atol=1e-9)


def test_any_order_and_shape_of_frequencies_gives_the_same() -> None:
    plain = baffle.edge_response(FREQUENCY, 0.2, 0.4, 0.03, 0.1)
    shuffled = baffle.edge_response(FREQUENCY[::-1].reshape(6, 10), 0.2, 0.4, 0.03, 0.1)
    np.testing.assert_allclose(shuffled.ravel()[::-1], plain, atol=1e-7)
    assert baffle.edge_response(1000.0, 0.2, 0.4, 0.0, 0.0).shape == ()


def test_a_vanishing_source_is_a_point_and_a_large_one_lights_the_edges_less() -> None:
    point = baffle.edge_response(FREQUENCY, 0.2, 0.35, 0.02, 0.08)
    small = baffle.edge_response(FREQUENCY, 0.2, 0.35, 0.02, 0.08, source=Radiator("round", 1e-5))
    np.testing.assert_allclose(small, point, atol=1e-5)
    high = FREQUENCY > 3000.0
    large = baffle.edge_response(FREQUENCY, 0.2, 0.35, 0.02, 0.08, source=CONE)
    assert np.max(np.abs(large[high] - 1.0)) < 0.5 * np.max(np.abs(point[high] - 1.0))


@pytest.mark.parametrize(("x", "y"), [(0.11, 0.0), (0.0, -0.3), (0.1, 0.0)])
def test_a_source_off_the_panel_is_refused(x: float, y: float) -> None:
    with pytest.raises(ValueError, match="outside the panel"):
        baffle.edge_response(1000.0, 0.2, 0.4, x, y)


def test_a_panel_of_any_size_is_worked_out() -> None:
    f = np.geomspace(20.0, 20000.0, 81)
    for size in (0.002, 40.0, 4000.0):
        level = 20 * np.log10(np.abs(baffle.edge_response(f, size, 0.5 * size, 0.1 * size, 0.0)))
        assert np.all(np.isfinite(level)) and np.all(level > -7.0) and np.all(level < 4.0)
    assert np.max(np.abs(level)) < 0.5  # boundless for sound


def test_the_power_of_a_box_doubles_over_its_step_and_a_panel_has_two_sides() -> None:
    ends = np.array([1.0, 40000.0])
    box = baffle.radiated_power(ends, 0.2, 0.4, 0.02, 0.1)
    np.testing.assert_allclose(box, [0.5, 1.0], atol=0.01)
    panel = baffle.radiated_power(ends, 0.2, 0.4, 0.02, 0.1, open_back=True)
    np.testing.assert_allclose(panel, [0.0, 2.0], atol=1e-3)


def test_of_long_waves_an_open_panel_radiates_four_times_as_much_an_octave_higher() -> None:
    """Its two sides cancel like a dipole of the panel's size: power rises with the square of the frequency re a single side."""
    low, high = baffle.radiated_power(np.array([10.0, 20.0]), 0.2, 0.2, 0.0, 0.0, open_back=True)
    assert high / low == pytest.approx(4.0, rel=1e-6)
