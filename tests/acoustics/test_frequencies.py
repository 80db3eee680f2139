"""Where a wanted frequency lies in a grid, and where something passes zero, against plain search."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.acoustics.frequencies import between, crossing, nearest
from tests.every import every


def test_the_nearest_is_nearest_in_octaves_and_of_two_the_first() -> None:
    """141.4 lies half way between 100 and 200 in octaves, 150 nearer to 200; in shape the answer is that of what is asked."""
    grid = np.array([100.0, 200.0, 400.0, 800.0])
    asked = np.array([[1.0, 141.0, 142.0], [150.0, 566.0, 1e6]])
    assert nearest(grid, asked).tolist() == [[0, 0, 1], [1, 3, 3]]
    assert nearest(grid, 200.0 * 2.0**0.5).tolist() == 1
    assert nearest([1.0, 4.0], 2.0).tolist() == 0


def test_between_points_level_and_phase_are_those_of_a_smooth_response() -> None:
    """A delay of 0.5 ms and (f/1 kHz)^2, on 24 points an octave: exact in level; a delay's phase is straight over frequency, nearly so over its logarithm."""
    grid = np.geomspace(20.0, 20000.0, 241)

    def response(hz: np.ndarray) -> np.ndarray:
        return np.asarray((hz / 1000.0) ** 2 * np.exp(-2j * np.pi * hz * 0.5e-3))

    asked = np.array([20.0, 517.5, 2070.0, 7001.0, 20000.0])
    found = between(grid, response(grid), asked) / response(asked)
    assert np.abs(found) == pytest.approx(1.0, abs=1e-9)
    assert np.angle(found) == pytest.approx(0.0, abs=0.003)


@every(("low", "high", "root"), [(0.0, 4.0, 2.0), (1.9, 2.2, 2.0), (2.0, 3.0, 2.0), (-4.0, 0.0, -2.0), (0.0, 2.0, 2.0)])
def test_a_zero_is_found_between_points_that_differ_in_sign(low: float, high: float, root: float) -> None:
    for unit in (1.0, 1e-3):  # as near for small figures as for large ones
        found = crossing(lambda x, unit=unit: x**2 - 4.0 * unit**2, low * unit, high * unit)  # type: ignore[misc]
        assert found == pytest.approx(root * unit, rel=1e-6)


@every(("low", "high"), [(-3.0, 3.0), (3.0, 4.0), (-1.0, 1.0)])
def test_where_both_ends_have_one_sign_nothing_is_found(low: float, high: float) -> None:
    """Also where it passes zero twice between them."""
    with pytest.raises(ValueError, match="nothing passes zero between"):
        crossing(lambda x: x**2 - 4.0, low, high)
