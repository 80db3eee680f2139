"""Waveguides: held pattern, release, gain and refusals."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.acoustics import guides
from reportgen.acoustics.guides import Guide, GuidedRadiator
from reportgen.acoustics.radiators import Radiator

DOME = Radiator("dome", 0.025)
GUIDE = Guide(0.24, 0.16, np.radians(90.0), np.radians(60.0))
FREQUENCY = np.geomspace(100.0, 20000.0, 40)


def test_pattern_limit_and_mouth_invert() -> None:
    limit = guides.pattern_limit_hz(np.radians(90.0), np.array([0.1, 0.2]))
    np.testing.assert_allclose(guides.mouth_for_limit_m(np.radians(90.0), limit), [0.1, 0.2])
    assert limit[0] == pytest.approx(2 * limit[1])
    assert GUIDE.horizontal_limit_hz == pytest.approx(25400 / 90 / 0.24)
    assert GUIDE.vertical_limit_hz == pytest.approx(25400 / 60 / 0.16)


def test_the_coverage_is_held_above_the_limit_and_released_an_octave_below() -> None:
    limit, half = GUIDE.horizontal_limit_hz, np.radians(45.0)
    np.testing.assert_allclose(GUIDE.horizontal(np.array([1.0, 2.0, 4.0]) * limit, half, DOME), 0.5)
    low = np.array([0.1, 0.5]) * limit
    np.testing.assert_allclose(GUIDE.horizontal(low, half, DOME), DOME.horizontal(low, half))
    between = np.linspace(0.5, 1.0, 20) * limit
    assert np.all(np.diff(GUIDE.horizontal(between, half, DOME)) < 0.0)


def test_a_guide_never_widens_the_radiator_behind_it() -> None:
    angle = np.linspace(-1.5, 1.5, 61)[:, None]
    wide = Guide(0.3, 0.3, np.radians(150.0), np.radians(150.0))
    bare = np.abs(DOME.horizontal(FREQUENCY, angle))
    assert np.all(np.abs(wide.horizontal(FREQUENCY, angle, DOME)) <= bare + 1e-12)


def test_gain_starts_at_nothing_and_counts_the_narrowing() -> None:
    gain = GUIDE.gain_db(FREQUENCY, DOME)
    assert np.all(gain >= 0.0)
    assert gain[0] == pytest.approx(0.0, abs=1e-6)
    held = (FREQUENCY > 3000.0) & (FREQUENCY < 6000.0)
    assert np.all(gain[held] > 6.0)
    narrower = Guide(0.24, 0.16, np.radians(60.0), np.radians(60.0))
    assert np.all(narrower.gain_db(FREQUENCY[held], DOME) > gain[held])


def test_a_guided_radiator_speaks_like_a_bare_one() -> None:
    both = GuidedRadiator(DOME, GUIDE)
    angle = np.array([[0.0], [0.4]])
    np.testing.assert_array_equal(both.horizontal(FREQUENCY, angle), GUIDE.horizontal(FREQUENCY, angle, DOME))
    np.testing.assert_array_equal(both.vertical(FREQUENCY, angle), GUIDE.vertical(FREQUENCY, angle, DOME))
    np.testing.assert_allclose(both.directivity(FREQUENCY, angle, 0.0), both.horizontal(FREQUENCY, angle))
    np.testing.assert_allclose(both.directivity(FREQUENCY, 0.0, angle), both.vertical(FREQUENCY, angle))
    np.testing.assert_array_equal(both.index_db(FREQUENCY), GUIDE.index_db(FREQUENCY, DOME))
    assert both.bound().doubtful_above_hz == pytest.approx(GUIDE.horizontal_limit_hz / 2)
    assert f"{GUIDE.horizontal_limit_hz / 2:.0f} Hz" in both.bound().sentence


@pytest.mark.parametrize(
    ("arguments", "text"),
    [((0.0, 0.1, 1.0, 1.0), "a mouth of"), ((0.1, 0.1, 0.0, 1.0), "a coverage of"), ((0.1, 0.1, 1.0, 3.2), "coverage")],
)
def test_impossible_guides_are_refused(arguments: tuple[float, ...], text: str) -> None:
    with pytest.raises(ValueError, match=text):
        Guide(*arguments)
