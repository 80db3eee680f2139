"""Waveguides: held pattern, release, gain and refusals."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.acoustics import guides
from reportgen.acoustics.guides import Guide, GuidedRadiator
from reportgen.acoustics.radiators import Radiator
from tests.every import every

DOME = Radiator("dome", 0.025)
GUIDE = Guide(0.24, 0.16, np.radians(90.0), np.radians(60.0))
FREQUENCY = np.geomspace(100.0, 20000.0, 40)


def test_the_pattern_limits_follow_from_mouth_and_coverage() -> None:
    assert GUIDE.horizontal_limit_hz == pytest.approx(25400 / 90 / 0.24)
    assert GUIDE.vertical_limit_hz == pytest.approx(25400 / 60 / 0.16)


def level(guide: Guide, frequency: object, angle: object) -> np.ndarray:
    return np.abs(guide.along(frequency, np.sin(angle), 0.0, DOME))


def test_the_coverage_is_held_above_the_limit_and_released_an_octave_below() -> None:
    limit, half = GUIDE.horizontal_limit_hz, np.radians(45.0)
    np.testing.assert_allclose(level(GUIDE, np.array([1.0, 2.0, 4.0]) * limit, half), 0.5)
    low = np.array([0.1, 0.5]) * limit
    np.testing.assert_allclose(level(GUIDE, low, half), DOME.along(low, np.sin(half), 0.0))
    between = np.linspace(0.5, 1.0, 20) * limit
    assert np.all(np.diff(level(GUIDE, between, half)) < 0.0)


def test_a_guide_never_widens_the_radiator_behind_it() -> None:
    angle = np.linspace(-1.5, 1.5, 61)[:, None]
    wide = Guide(0.3, 0.3, np.radians(150.0), np.radians(150.0))
    assert np.all(level(wide, FREQUENCY, angle) <= np.abs(DOME.along(FREQUENCY, np.sin(angle), 0.0)) + 1e-12)


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
    np.testing.assert_array_equal(both.along(FREQUENCY, 0.3, 0.2), GUIDE.along(FREQUENCY, 0.3, 0.2, DOME))
    np.testing.assert_array_equal(both.index_db(FREQUENCY), GUIDE.index_db(FREQUENCY, DOME))
    assert both.bound().doubtful_above_hz == pytest.approx(GUIDE.horizontal_limit_hz / 2)
    assert both.bound().sentence == (
        "directivity follows from the mouth and the stated coverage of the guide, not from its contour: between "
        f"{GUIDE.horizontal_limit_hz / 2:.0f} Hz and its pattern limit it is an estimate."
    )


def test_a_longer_horn_loads_lower_and_a_wider_mouth_does_not() -> None:
    one = guides.horn_cutoff_hz(0.025, 0.04, 0.25)
    assert guides.horn_cutoff_hz(0.025, 0.04, 0.50) == pytest.approx(one / 2)
    assert guides.horn_cutoff_hz(0.025, 0.08, 0.25) > one


def test_an_impossible_horn_is_refused() -> None:
    with pytest.raises(ValueError, match="a horn widens"):
        guides.horn_cutoff_hz(0.025, 1e-4, 0.25)


@every(
    ("arguments", "text"),
    [((0.0, 0.1, 1.0, 1.0), "a mouth of"), ((0.1, 0.1, 0.0, 1.0), "a coverage of"), ((0.1, 0.1, 1.0, 3.2), "coverage")],
)
def test_impossible_guides_are_refused(arguments: tuple[float, ...], text: str) -> None:
    with pytest.raises(ValueError, match=text):
        Guide(*arguments)


def test_a_radiator_that_is_narrower_than_its_guide_in_one_plane_stays_so() -> None:
    """A foil of 10 by 150 mm at 8 kHz behind 90 by 90 degrees: in height it is itself, to the side the guide rules."""
    guide, foil = Guide(0.3, 0.3, np.pi / 2.0, np.pi / 2.0), Radiator("rectangular", 0.01, 0.15)
    for sine in (0.2, 0.4, 0.6):
        assert float(guide.along(8000.0, 0.0, sine, foil)) == pytest.approx(
            float(foil.along(8000.0, 0.0, sine)), rel=1e-9
        )
        guided = 0.5 ** ((2.0 * np.arcsin(sine) / (np.pi / 2.0)) ** 2)
        assert float(guide.along(8000.0, sine, 0.0, foil)) == pytest.approx(guided, rel=1e-9)
        both = float(foil.along(8000.0, 0.0, 0.3)) * guided
        assert float(guide.along(8000.0, sine, 0.3, foil)) == pytest.approx(both, rel=1e-9)


def test_a_guide_may_cover_the_whole_half_sphere() -> None:
    assert Guide(0.2, 0.2, np.pi, np.pi).horizontal_limit_hz == pytest.approx(25400.0 / (180.0 * 0.2))
    with pytest.raises(ValueError, match="it must lie above 0 and not above pi"):
        Guide(0.2, 0.2, np.pi * 1.001, 1.0)
