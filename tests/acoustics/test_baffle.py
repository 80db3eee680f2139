"""The baffle: symmetry, finite sources, open backs, power and refusals."""

from __future__ import annotations

import numpy as np
import pytest
import scipy

from reportgen.acoustics import baffle
from reportgen.acoustics.air import STANDARD_AIR
from reportgen.acoustics.radiators import Radiator
from tests.every import every

FREQUENCY = np.geomspace(20.0, 20000.0, 60)
CONE, FOIL = Radiator("round", 0.129), Radiator("rectangular", 0.03, 0.1)


def test_the_rule_lies_within_the_real_step() -> None:
    """115/width (common practice, no source) stands between the edge sum's 3 dB point and its first peak."""
    for width in (0.15, 0.23, 0.4):
        level = np.abs(baffle.edge_response(FREQUENCY, width, 4 * width, 0.0, 0.5 * width))
        crossing = FREQUENCY[np.argmax(level > 0.5 * np.sqrt(2.0))]
        assert crossing < baffle.step_hz(width) < FREQUENCY[np.argmax(level)]


@every("open_back", [False, True])
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


@every(("x", "y"), [(0.11, 0.0), (0.0, -0.3), (0.1, 0.0)])
def test_a_source_off_the_panel_is_refused(x: float, y: float) -> None:
    with pytest.raises(
        ValueError,
        match=r"\Athe source lies outside the panel; its distances to all four edges must be greater than 0\Z",
    ):
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


def test_far_beyond_the_table_an_open_edge_is_that_of_a_half_plane() -> None:
    """sqrt(2) without a phase of its own (Keller 1962); at 0 and at every row of the table what stands there, half way the mean."""
    at = np.array([0.0, 0.25, 0.375, 12.5, 12.6, 50.0])
    real, imaginary = baffle._open_edge(at)
    table = baffle.OPEN_EDGE
    half = (table[1] + table[2]) / 2.0
    np.testing.assert_allclose(real, [1.0, table[1].real, half.real, table[-1].real, 2**0.5, 2**0.5])
    np.testing.assert_allclose(imaginary, [0.0, table[1].imag, half.imag, table[-1].imag, 0.0, 0.0])


def test_the_power_of_an_open_panel_in_its_middle_is_that_of_the_disc() -> None:
    """A square panel: at its own mean root of ways the table, twice for two sides; long waves run on into its first row."""
    side, way = 0.5, baffle._ways((0.25,) * 4, 1.0)
    radius = float(np.sqrt(way[0].ravel() * way[3].ravel()) @ way[1].ravel())
    assert 0.25 < radius < 0.25 * 2**0.5  # between the circles in and around it
    for place in (1, 2, 4, 10, 50):
        ka = place * 0.25
        hz = ka / radius * STANDARD_AIR.speed_m_s / (2.0 * np.pi)
        found = baffle.radiated_power(hz, side, side, 0.0, 0.0, open_back=True)
        assert float(found) == pytest.approx(2.0 * baffle.OPEN_POWER[place], rel=2e-3), place
    first = 0.25 / radius * STANDARD_AIR.speed_m_s / (2.0 * np.pi)
    below, above = baffle.radiated_power(first * np.array([0.999, 1.001]), side, side, 0.0, 0.0, open_back=True)
    assert below == pytest.approx(above, rel=0.08)  # 0.00844 by the series, 0.009 in the table
    deep = baffle.radiated_power(first / 10.0, side, side, 0.0, 0.0, open_back=True)
    assert float(deep) == pytest.approx(2.0 * 4.0 * 0.025**2 / (3.0 * np.pi**2), rel=1e-3)


def by_hand(hz: float, width: float, height: float, x: float, y: float, source: Radiator | None) -> complex:
    """1 less half the mean of exp(-jk rho) over 30 000 directions and the points of the source, each ray to the edge of the panel."""
    k = 2.0 * np.pi * hz / STANDARD_AIR.speed_m_s
    turn = (np.arange(30_000) + 0.5) / 30_000 * 2.0 * np.pi
    cosine, sine = np.cos(turn), np.sin(turn)
    across = np.where(cosine > 0.0, width / 2.0 - x, width / 2.0 + x) / np.abs(cosine)
    upwards = np.where(sine > 0.0, height / 2.0 - y, height / 2.0 + y) / np.abs(sine)
    level = across < upwards
    rho, lean = np.where(level, across, upwards), np.abs(np.where(level, cosine, sine))
    mean = np.ones(turn.size)
    if source is not None:  # phases of the points of the source towards a straight edge
        size = source.width_m if source.shape != "rectangular" else np.where(level, source.width_m, source.tall_m)
        q = k * size / 2.0 / lean
        mean = np.sin(q) / q if source.shape == "rectangular" else 2.0 * scipy.special.j1(q) / q
    return complex(1.0 - np.mean(mean * np.exp(-1j * k * rho)) / 2.0)


@pytest.mark.parametrize("source", [None, CONE, FOIL], ids=["point", "cone", "foil"])
@pytest.mark.parametrize("panel", [(0.23, 0.9, 0.0, 0.3), (0.5, 0.3, -0.1, 0.05)])
def test_the_edges_of_a_box_by_thirty_thousand_rays(source: Radiator | None, panel: tuple[float, ...]) -> None:
    hz = np.array([40.0, 300.0, 900.0, 2500.0, 9000.0, 19000.0])
    found = baffle.edge_response(hz, *panel, source=source)
    np.testing.assert_allclose(found, [by_hand(float(one), *panel, source) for one in hz], atol=3e-3)


def test_the_power_of_a_box_by_its_own_rays() -> None:
    """1 less half the mean of sin(2k rho)/(2k rho): what comes back to the source."""
    width, height, x, y = 0.23, 0.9, 0.03, 0.3
    turn = (np.arange(30_000) + 0.5) / 30_000 * 2.0 * np.pi
    across = np.where(np.cos(turn) > 0.0, width / 2.0 - x, width / 2.0 + x) / np.abs(np.cos(turn))
    upwards = np.where(np.sin(turn) > 0.0, height / 2.0 - y, height / 2.0 + y) / np.abs(np.sin(turn))
    for hz in (50.0, 400.0, 1500.0, 6000.0):
        twice = 2.0 * 2.0 * np.pi * hz / STANDARD_AIR.speed_m_s * np.minimum(across, upwards)
        wanted = 1.0 - np.mean(np.sin(twice) / twice) / 2.0
        assert float(baffle.radiated_power(hz, width, height, x, y)) == pytest.approx(wanted, abs=1e-3)


@every("panel", [(0.4, 0.8, 0.0, 0.0), (0.5, 0.9, 0.1, 0.2)])
def test_the_edges_of_an_open_panel_by_thirty_thousand_rays(panel: tuple[float, ...]) -> None:
    """1 less the mean of g(k radius) exp(-jk rho), g between the rows of `OPEN_EDGE`; radius from the ways there and back."""
    width, height, x, y = panel
    turn = (np.arange(30_000) + 0.5) / 30_000 * 2.0 * np.pi

    def way(angle: np.ndarray) -> np.ndarray:
        cosine, sine = np.cos(angle), np.sin(angle)
        across = np.where(cosine > 0.0, width / 2.0 - x, width / 2.0 + x) / np.abs(cosine)
        return np.minimum(across, np.where(sine > 0.0, height / 2.0 - y, height / 2.0 + y) / np.abs(sine))

    there, back = way(turn), way(turn + np.pi)
    radius = ((there + back) / 2.0 - 2.0 / np.pi * np.sqrt(there * back)) / (1.0 - 2.0 / np.pi)
    at = np.arange(baffle.OPEN_EDGE.size) * 0.25
    for hz in (60.0, 200.0, 700.0, 2000.0, 8000.0):
        k = 2.0 * np.pi * hz / STANDARD_AIR.speed_m_s
        g = np.interp(k * radius, at, baffle.OPEN_EDGE.real, right=2**0.5) + 1j * np.interp(
            k * radius, at, baffle.OPEN_EDGE.imag, right=0.0
        )
        wanted = 1.0 - np.mean(g * np.exp(-1j * k * there))
        assert complex(baffle.edge_response(hz, *panel, open_back=True)) == pytest.approx(complex(wanted), abs=5e-3)


def test_an_open_panel_counts_the_way_behind_a_source_too() -> None:
    """Out of its middle: the mean root of the way there and the way back, by rays over half the turn; long waves, 8 x^2/(3 pi^2)."""
    width, height, x, y = 0.5, 0.9, 0.15, 0.3
    turn = (np.arange(30_000) + 0.5) / 30_000 * np.pi
    right, up = np.cos(turn), np.sin(turn)
    there, back = (
        np.minimum((width / 2.0 - way * x * np.sign(right)) / np.abs(right), (height / 2.0 - way * y) / up)
        for way in (1.0, -1.0)
    )
    hz = 20.0
    ka = 2.0 * np.pi * hz / STANDARD_AIR.speed_m_s * np.mean(np.sqrt(there * back))
    found = float(baffle.radiated_power(hz, width, height, x, y, open_back=True))
    assert ka < 0.25 and found == pytest.approx(8.0 * ka**2 / (3.0 * np.pi**2), rel=1e-3)
