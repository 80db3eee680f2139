"""Several sources: sums, near field, index and refusals."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.acoustics import listening
from reportgen.acoustics.air import STANDARD_AIR
from reportgen.acoustics.guides import Guide, GuidedRadiator
from reportgen.acoustics.listening import Source
from reportgen.acoustics.patterns import measured_radiator
from reportgen.acoustics.radiators import Radiator
from tests.every import every

FREQUENCY = np.geomspace(200.0, 16000.0, 24)
ONES = np.ones(24, dtype=np.complex128)
DOME = Radiator("dome", 0.025)
CONE = Radiator("round", 0.13)
HIGH, LOW = Source((0.0, 0.0, 0.0), DOME, ONES), Source((0.0, -0.15, -0.02), CONE, ONES)


def arc(distance: float, angle: np.ndarray, upright: bool = False) -> np.ndarray:
    """Points (A, 3) around the origin."""
    sine, cosine, nothing = distance * np.sin(angle), distance * np.cos(angle), np.zeros_like(angle)
    return np.stack([nothing, sine, cosine] if upright else [sine, nothing, cosine], axis=-1)


def test_one_source_falls_with_distance_and_turns_with_the_way() -> None:
    got = listening.sum_at([HIGH], [[0.0, 0.0, 2.0], [0.0, 0.0, 2.0]], FREQUENCY)
    way = 2.0 * np.pi * FREQUENCY * 2.0 / STANDARD_AIR.speed_m_s
    np.testing.assert_allclose(got[0], np.exp(-1j * way) / 2.0)
    assert got.shape == (2, 24)


def test_sums_are_linear() -> None:
    points = arc(2.5, np.linspace(-0.8, 0.8, 9))
    together = listening.sum_at([HIGH, LOW], points, FREQUENCY)
    apart = listening.sum_at([HIGH], points, FREQUENCY) + listening.sum_at([LOW], points, FREQUENCY)
    np.testing.assert_allclose(together, apart, atol=1e-12)
    assert np.all(listening.sum_at([], points, FREQUENCY) == 0.0)


@every("upright", [False, True])
def test_off_axis_the_level_is_that_of_the_pattern(upright: bool) -> None:
    angle = np.array([0.0, 0.5, 1.0])
    got = 2.5 * np.abs(listening.sum_at([HIGH], arc(2.5, angle, upright), FREQUENCY))
    np.testing.assert_allclose(got, np.abs(DOME.along(FREQUENCY, np.sin(angle)[:, None], 0.0)), atol=1e-9)


def test_near_and_far_differ_when_the_centres_are_apart() -> None:
    angle = np.array([0.3])
    near, far = (r * np.abs(listening.sum_at([HIGH, LOW], arc(r, angle, True), FREQUENCY)) for r in (1.0, 50.0))
    assert np.max(np.abs(near - far)) > 0.1


@every(
    ("point", "text"),
    [
        (
            (0.0, 0.0, -0.1),
            r"\Aa listening point lies behind a source; z must not be smaller than that of the source\Z",
        ),
        ((0.0, 0.0, 0.0), r"\Aa listening point lies in the centre of a source; there the level has no bounds\Z"),
    ],
)
def test_impossible_places_are_refused(point: tuple[float, float, float], text: str) -> None:
    with pytest.raises(ValueError, match=text):
        listening.sum_at([HIGH], point, FREQUENCY)


def test_in_front_is_counted_from_the_plane_of_each_source() -> None:
    """A point 5 cm behind the panel lies in front of a source set back by 10 cm, and one 5 cm before it behind a source 10 cm out."""
    back, out = (Source((0.0, 0.0, z), DOME, ONES) for z in (-0.1, 0.1))
    got = listening.sum_at([back], (0.0, 0.0, -0.05), FREQUENCY)
    np.testing.assert_allclose(np.abs(got), 1.0 / 0.05, rtol=1e-9)  # 5 cm from its centre
    with pytest.raises(ValueError, match="behind a source"):
        listening.sum_at([out], (0.0, 0.0, 0.05), FREQUENCY)


def test_a_small_driver_reads_the_same_near_by() -> None:
    for radiator in (DOME, GuidedRadiator(DOME, Guide(0.2, 0.2, 1.5, 1.5))):
        np.testing.assert_allclose(listening.near_field(radiator, FREQUENCY, 1.0), 1.0, atol=1e-12)
    foil = np.abs(listening.near_field(Radiator("rectangular", 0.01, 0.5), FREQUENCY, 1.0))
    assert foil[-1] < 0.5
    assert foil[0] > 0.98


# --- index


def test_the_index_of_a_small_source_is_three_decibels() -> None:
    point = Source((0.0, 0.0, 0.0), Radiator("round", 1e-4), ONES)
    np.testing.assert_allclose(listening.directivity_index_db([point], FREQUENCY), 3.0103, atol=1e-3)


def test_the_index_of_one_radiator_is_its_own() -> None:
    for radiator in (CONE, Radiator("rectangular", 0.03, 0.5), GuidedRadiator(DOME, Guide(0.24, 0.16, 1.5, 1.0))):
        got = listening.directivity_index_db([Source((0.0, 0.0, 0.0), radiator, ONES)], FREQUENCY)
        np.testing.assert_allclose(got, radiator.index_db(FREQUENCY), atol=0.02)


def test_the_index_does_not_care_on_which_side_a_source_stands() -> None:
    left, right = ([HIGH, Source((x, -0.1, 0.0), CONE, ONES)] for x in (-0.1, 0.1))
    np.testing.assert_allclose(
        listening.directivity_index_db(left, FREQUENCY), listening.directivity_index_db(right, FREQUENCY), atol=1e-6
    )


# --- hearing


def test_safe_time_halves_every_three_decibels() -> None:
    time = listening.safe_listening_time_s(np.array([80.0, 83.0, 97.5]))
    assert time[0] == pytest.approx(2 * time[1])
    assert np.all(np.diff(time) < 0.0)


def test_a_lopsided_pair_is_summed_to_either_side() -> None:
    """Two points 0.3 m apart, one a quarter of a turn late: to one side they add, to the other they cancel, and the mean of both is 2.

    On the axis their power is 2 as well; over a half sphere that is an index of 10 lg 2 = 3.01 dB.
    """
    frequency = np.array([500.0, 1000.0])
    late = np.full(frequency.size, 1j)
    sources = [
        Source((0.0, 0.0, 0.0), Radiator("round", 1e-3), late / 1j),
        Source((0.3, 0.0, 0.0), Radiator("round", 1e-3), late),
    ]
    assert listening.directivity_index_db(sources, frequency) == pytest.approx(10.0 * np.log10(2.0), abs=0.01)


def test_every_point_must_lie_before_every_source() -> None:
    """One of three points behind the one source that stands out."""
    out = Source((0.1, 0.0, 0.2), DOME, ONES)
    points = [(0.0, 0.0, 2.0), (0.3, 0.0, 0.1), (0.0, 0.5, 1.0)]
    assert listening.sum_at([HIGH], points, FREQUENCY).shape == (3, 24)
    with pytest.raises(ValueError, match="behind a source"):
        listening.sum_at([HIGH, out], points, FREQUENCY)


FOIL = Radiator("rectangular", 0.02, 0.1)
QUARTER = np.exp(0.5j * np.pi * np.ones(3))


@pytest.mark.parametrize(
    "sources",
    [
        [Source((0.0, 0.0, 0.0), DOME, np.ones(3, complex)), Source((0.0, -0.15, -0.04), CONE, 0.7 * QUARTER)],
        [
            Source((0.0, 0.0, 0.0), DOME, np.ones(3, complex)),
            Source((0.0, -0.2, 0.0), CONE, QUARTER),
            Source((0.0, 0.2, 0.0), CONE, QUARTER),
        ],
        [Source((0.05, 0.1, 0.03), DOME, np.ones(3, complex)), Source((-0.1, -0.1, 0.0), FOIL, 2.0 * QUARTER)],
        [Source((0.0, 0.1 * k, 0.0), FOIL, np.array([1.0, 1j, -1.0])) for k in range(4)],
    ],
    ids=["set back", "low high low", "aside and out", "column"],
)
def test_the_index_of_an_array_is_that_of_its_sum_far_away(sources: list[Source]) -> None:
    """Squared pressure on the axis over its mean on a half sphere of 2 km, by a plain rule of 90 by 180 directions, and 3.01 dB."""
    frequency = np.array([400.0, 1100.0, 2600.0])
    up = (np.arange(90) + 0.5) / 45.0 - 1.0  # even in the sine of the height: even in area
    turn = ((np.arange(180) + 0.5) / 180.0 - 0.5) * np.pi
    level = np.sqrt(1.0 - up**2)[:, None]
    points = 2000.0 * np.stack(
        [level * np.sin(turn), np.broadcast_to(up[:, None], (90, 180)), level * np.cos(turn)], axis=-1
    )
    square = np.abs(listening.sum_at(sources, points, frequency)) ** 2
    axis = np.abs(listening.sum_at(sources, (0.0, 0.0, 2000.0), frequency)) ** 2
    wanted = 10.0 * np.log10(2.0 * axis / np.mean(square, axis=(0, 1)))
    np.testing.assert_allclose(listening.directivity_index_db(sources, frequency), wanted, atol=0.02)


def test_the_index_counts_both_sides_of_a_measurement_that_differ() -> None:
    """Read 3 dB down at 0.6 rad to the right and 20 dB to the left; the index lies between those of either side alone."""
    hz = np.geomspace(100.0, 2e4, 60)
    level, frequency = {0.6: -3.0, -0.6: -20.0}, np.array([1500.0])

    def index(*angles: float) -> float:
        cuts = {("h", angle): (hz, np.full(60, level[angle])) for angle in angles}
        radiator = measured_radiator(Radiator("round", 0.03), (hz, np.zeros(60)), cuts)
        found = listening.directivity_index_db([Source((0.0, 0.0, 0.0), radiator, np.ones(1, complex))], frequency)
        assert float(found[0]) == pytest.approx(float(radiator.index_db(frequency)[0]), abs=0.1)
        return float(found[0])

    right, left, both = index(0.6), index(-0.6), index(0.6, -0.6)
    assert left - right > 1.0
    power = (10.0 ** (-right / 10.0) + 10.0 ** (-left / 10.0)) / 2.0  # half of either half sphere
    assert both == pytest.approx(-10.0 * np.log10(power), abs=0.1)


@every("hz", [2000.0, 16000.0])
def test_a_large_radiator_behind_a_guide_that_does_nothing_has_its_own_index(hz: float) -> None:
    """Limits of the guide above 100 kHz: a foil of 0.6 m needs as many directions as a bare one."""
    foil, nothing = Radiator("rectangular", 0.02, 0.6), Guide(0.004, 0.004, 1.0, 1.0)
    got = listening.directivity_index_db(
        [Source((0.0, 0.0, 0.0), GuidedRadiator(foil, nothing), np.ones(1, complex))], np.array([hz])
    )
    assert float(got[0]) == pytest.approx(float(foil.index_db(hz)), abs=0.05)


@every("shape", [Radiator("round", 0.13), Radiator("rectangular", 0.05, 0.3)])
def test_what_was_measured_in_height_is_not_cut_into_pieces(shape: Radiator) -> None:
    """Heard from 1.2 m: response, pattern as measured and 1/r, for the near field is in the measurement."""
    hz = np.geomspace(100.0, 2e4, 60)
    cuts = {("v", 0.4): (hz, np.full(60, -5.0))}
    radiator = measured_radiator(shape, (hz, np.zeros(60)), cuts)
    source = Source((0.0, 0.0, 0.0), radiator, ONES)
    point = 1.2 * np.array([0.0, np.sin(0.4), np.cos(0.4)])
    got = np.abs(listening.sum_at([source], point, FREQUENCY))
    np.testing.assert_allclose(got, np.abs(radiator.along(FREQUENCY, 0.0, np.sin(0.4))) / 1.2, rtol=1e-9)


@every("tall", [0.3, 1.2])
def test_a_tall_foil_near_by_is_the_mean_of_many_points(tall: float) -> None:
    """2001 points over its height, each exp(-jkr)/r, heard from 1 m and from 2.5 m up to 16 kHz."""
    at = tall * ((np.arange(2001) + 0.5) / 2001 - 0.5)
    for distance in (1.0, 2.5):
        r = np.hypot(at, distance)[:, None]
        k = 2.0 * np.pi * FREQUENCY / STANDARD_AIR.speed_m_s
        wanted = np.mean(np.exp(-1j * k * (r - distance)) / r, axis=0) * distance
        got = listening.near_field(Radiator("rectangular", 1e-4, tall), FREQUENCY, distance)
        np.testing.assert_allclose(got, wanted, atol=1.5e-2)


@every(("count", "apart"), [(2, 0.15), (2, 2.0), (5, 0.4), (9, 0.25)])
def test_the_index_of_points_above_one_another_in_closed_form(count: int, apart: float) -> None:
    """Squared sum on the axis over the sum of sin(k d)/(k d) of every two (the mean over a sphere), and 3.01 dB for half of it."""
    heights, frequency = apart * np.arange(count), np.array([500.0, 3000.0, 12000.0])
    sources = [Source((0.0, float(at), 0.0), Radiator("round", 1e-4), np.ones(3, complex)) for at in heights]
    k = 2.0 * np.pi * frequency / STANDARD_AIR.speed_m_s
    between = np.abs(heights[:, None] - heights)
    mean = np.array([np.sum(np.sinc(one * between / np.pi)) for one in k])
    np.testing.assert_allclose(
        listening.directivity_index_db(sources, frequency), 10.0 * np.log10(2.0 * count**2 / mean), atol=0.01
    )
