"""The baffle: symmetry, broadcasting, open backs and refusals."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.acoustics import baffle
from reportgen.acoustics.baffle import OpenBackRadiator
from reportgen.acoustics.radiators import Radiator

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


def test_the_way_round_is_twice_the_nearest_edge() -> None:
    assert float(baffle.shortest_path_m(0.3, 0.9, 0.05, -0.1)) == pytest.approx(0.2)
    assert float(baffle.shortest_path_m(0.3, 0.9, 0.0, 0.42)) == pytest.approx(0.06)


def test_an_open_back_is_a_dipole_below_its_peak() -> None:
    source = OpenBackRadiator(Radiator("round", 0.02), 0.2)
    angle = np.radians([0.0, 45.0, 60.0, 90.0])
    np.testing.assert_allclose(source.horizontal(50.0, angle), np.cos(angle), atol=1e-3)
    np.testing.assert_allclose(source.vertical(50.0, angle), np.cos(angle), atol=1e-3)
    index = source.index_db(np.array([50.0, 850.0, 20000.0]))
    assert index[0] == pytest.approx(10 * np.log10(3.0), abs=1e-2)
    assert np.all(np.isfinite(index))
