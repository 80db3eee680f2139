"""Measured curves as arrays: the phase a magnitude implies, averaging, delay and polarity, the joint with a model."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import integrate, signal

from reportgen.acoustics import measured
from reportgen.acoustics.measured import averaged, correct, first_peak_hz, fitted, minimum_phase, timing
from tests.every import every


def second_order(kind, f0, q):
    w0 = 2 * np.pi * f0
    top = {"high": [1, 0, 0], "low": [w0**2], "notch": [1, w0 / q / 4, w0**2]}[kind]
    return top, [1, w0 / q, w0**2]


@every(
    ("kind", "f0", "q", "within_degrees"),
    [
        ("high", 800, 0.7, 0.1),
        ("high", 800, 2.0, 0.2),
        ("low", 3000, 0.7, 0.1),
        ("low", 3000, 1.5, 1.5),  # the band ends where its slope is still settling
        ("notch", 1000, 1.0, 0.6),
    ],
)
def test_minimum_phase_of_second_order_filters(kind, f0, q, within_degrees):
    """Analytic filters evaluated by scipy.signal.freqs: minimum-phase systems, whose phase the magnitude fixes."""
    frequency_hz = np.geomspace(20, 20000, 300)
    _, h = signal.freqs(*second_order(kind, f0, q), worN=2 * np.pi * frequency_hz)
    phase = minimum_phase(frequency_hz, np.log(np.abs(h)))
    assert np.abs(np.degrees(np.angle(np.exp(1j * phase) / h * np.abs(h)))).max() < within_degrees


def test_minimum_phase_of_a_constant_slope():
    """Bode: n orders over all frequencies make n times 90 degrees."""
    frequency_hz = np.geomspace(30, 3000, 50)
    for order in (-4, -1, 0, 2):
        phase = minimum_phase(frequency_hz, order * np.log(frequency_hz))
        assert phase == pytest.approx(np.full(50, order * math.pi / 2), abs=1e-9)


def test_the_kernel_integral_against_quadrature():
    """ln coth(t/2) integrated by scipy.integrate.quad."""
    for v in (0.01, 0.3, 2.0, 8.0):
        numeric, _ = integrate.quad(lambda t: np.log(1 / np.tanh(t / 2)), 0, v)
        assert measured._kernel_integral(np.array([v, -v])) == pytest.approx([numeric, -numeric], rel=1e-7)


# --- averaging ----------------------------------------------------------------------------------------------------------


def test_the_mean_over_a_twelfth_of_an_octave():
    """A straight line over log frequency keeps its value; a square wave that turns within the window its mean."""
    hz = np.geomspace(20, 20000, 20001)
    assert averaged(np.array([100.0, 3000.0]), hz, np.log2(hz)) == pytest.approx(np.log2([100.0, 3000.0]), abs=1e-6)
    step = np.where(hz < 1000.0, 0.0, 1.0)
    at = 1000.0 * 2.0 ** np.array([-1 / 12, -1 / 48, 0.0, 1 / 48, 1 / 12])
    assert averaged(at, hz, step) == pytest.approx([0.0, 0.25, 0.5, 0.75, 1.0], abs=0.01)


@every("decimals", [0, 1, 2, 6])
def test_two_points_to_a_twelfth_are_averaged_everywhere_however_they_are_rounded(decimals):
    """By trapezoids over one spacing to either side each value counts half, its neighbours a quarter each."""
    hz = np.round(1000.0 * 2.0 ** (np.arange(-24, 72) / 24.0), decimals)
    level = np.random.default_rng(5).normal(0.0, 3.0, hz.size)
    expected = level[1:-1] / 2.0 + (level[:-2] + level[2:]) / 4.0
    assert averaged(hz, hz, level)[1:-1] == pytest.approx(expected, abs=0.12 if decimals == 0 else 0.02)


def test_from_which_spacing_on_a_file_is_averaged():
    """A window of 1.9 spacings or more: 22.8 points an octave and more; at its ends, where half the window is left, 45.6."""
    for an_octave, inside, at_the_end in (
        (22.0, False, False),
        (23.0, True, False),
        (45.0, True, False),
        (46.0, True, True),
    ):
        hz = 1000.0 * 2.0 ** (np.arange(-24, 49) / an_octave)
        level = np.where(np.arange(hz.size) % 2, 1.0, -1.0)
        moved = np.abs(averaged(hz, hz, level) - level) > 1e-6
        assert moved[2:-2].tolist() == [inside] * (hz.size - 4)
        assert [moved[0], moved[-1]] == [at_the_end] * 2


def test_a_coarse_file_is_not_averaged():
    hz = np.geomspace(100, 1600, 5)
    level = np.array([0.0, 9.0, 0.0, 9.0, 0.0])
    assert averaged(hz, hz, level) == pytest.approx(level)


def test_noise_of_a_fine_file_falls_with_the_square_root_of_its_points():
    rng = np.random.default_rng(7)
    hz = np.geomspace(20, 20000, 8000)
    left = averaged(np.geomspace(30, 15000, 200), hz, rng.normal(0, 1, hz.size))
    assert 0.7 / math.sqrt(8000 / 9.966 / 12) < np.std(left) < 1.3 / math.sqrt(8000 / 9.966 / 12)


# --- delay and polarity -------------------------------------------------------------------------------------------------

GRIDS = {
    "even": np.linspace(20, 20000, 3400),
    "a twelfth of an octave": np.geomspace(30, 20000, 115),
    "a 48th": np.geomspace(20, 20000, 480),
    "gated": np.linspace(300, 20000, 400),
    "high driver": np.geomspace(1500, 20000, 90),
}
GRID = np.geomspace(20, 20000, 241)


def driver(hz):
    """Second-order high pass at 40 Hz, Q 0.6, and low pass at 3 kHz, Q 0.7, by scipy.signal.freqs: minimum phase."""
    s = 2j * np.pi * hz
    top, bottom = second_order("high", 40, 0.6), second_order("low", 3000, 0.7)
    return np.polyval(top[0], s) / np.polyval(top[1], s) * np.polyval(bottom[0], s) / np.polyval(bottom[1], s)


@every("grid", GRIDS)
@every("delay_ms", [0.0, 0.2, -0.5, 2.9, 12.0])
@every("inverted", [False, True])
def test_delay_and_polarity_are_found_within_a_hundredth_of_a_millisecond(grid, delay_ms, inverted):
    """With 0.5 dB and 3 degrees of noise, the model's own resonance and corner 10 % off; the phase given wrapped."""
    hz = GRIDS[grid]
    rng = np.random.default_rng(len(grid))
    truth = driver(hz)
    level = np.log(np.abs(truth)) + rng.normal(0, 0.5, hz.size) * math.log(10) / 20
    phase = np.angle(truth) - 2 * np.pi * hz * delay_ms / 1e3 + np.pi * inverted + np.radians(rng.normal(0, 3, hz.size))
    found = correct(GRID, driver(GRID * 1.1), hz, level, np.angle(np.exp(1j * phase))).timing
    assert found is not None
    assert found.delay_s * 1e3 == pytest.approx(delay_ms, abs=0.01)
    assert found.inverted == inverted
    assert math.degrees(found.left_rad) < 6.0


def test_what_is_no_phase_leaves_much():
    hz = GRIDS["a 48th"]
    random = np.random.default_rng(3).uniform(-np.pi, np.pi, hz.size)
    assert timing(hz, random).left_rad > 1.0


# --- against a model ----------------------------------------------------------------------------------------------------


def impedance(frequency_hz):
    """A coil with a resonance: Re 5.6 ohm, 0.2 mH, peak of 30 ohm at 60 Hz (closed form of a driver's impedance)."""
    s = 2j * np.pi * frequency_hz
    x = frequency_hz / 60
    return 5.6 + s * 0.2e-3 + 24.4 / (1 + 1j * 4 * (x - 1 / x))


def test_a_measurement_of_the_model_changes_nothing():
    within = (GRID > 100) & (GRID < 5000)
    model = impedance(GRID)
    for phase in (None, np.angle(model[within])):
        found = correct(GRID, model, GRID[within], np.log(np.abs(model[within])), phase, delayed=False, fade=True)
        assert found.factor() == pytest.approx(np.ones(GRID.size), abs=1e-9)


def test_minimum_phase_of_an_impedance():
    """Against the closed form, from a model whose resonance, height and coil are all 20 % off."""
    model = 5.6 + 2j * np.pi * GRID * 0.24e-3 + 20.0 / (1 + 4j * (GRID / 72 - 72 / GRID))
    hz = np.geomspace(10, 40000, 400)
    found = model * correct(GRID, model, hz, np.log(np.abs(impedance(hz))), None, fade=True).factor()
    assert np.degrees(np.abs(np.angle(found / impedance(GRID)))).max() < 2.5
    assert np.abs(found) == pytest.approx(np.abs(impedance(GRID)), rel=0.02)


@every("fade", [True, False])
def test_measured_inside_model_outside_and_no_step_between(fade):
    model = impedance(GRID)
    within = np.flatnonzero((GRID > 100) & (GRID < 5000))
    truth = model * 1.3
    factor = correct(
        GRID, model, GRID[within], np.log(np.abs(truth[within])), np.angle(truth[within]), delayed=False, fade=fade
    ).factor()
    assert factor[within] == pytest.approx(np.full(within.size, 1.3), rel=1e-3)
    assert np.abs(np.diff(np.abs(factor))).max() < 0.02
    if fade:
        assert np.abs(factor[(GRID < 45) | (GRID > 10500)]) == pytest.approx(1.0, rel=1e-9), (
            "the data sheet rules again"
        )
    else:
        assert np.abs(factor) == pytest.approx(np.full(GRID.size, 1.3), rel=1e-9)


def test_one_bad_point_at_the_edge_moves_nothing_beyond_it():
    """The last point 10 dB off: an octave further down the model goes on at the ratio of the last third of an octave."""
    hz = np.geomspace(300, 20000, 300)
    level = np.log(np.abs(driver(hz))) + 0.2
    level[0] += 10.0 * math.log(10) / 20
    factor = correct(GRID, driver(GRID), hz, level, None).factor()
    assert np.abs(factor[GRID < 230]) == pytest.approx(math.exp(0.2), rel=1e-4)


def test_a_delay_put_in_goes_on_beyond_the_band():
    hz = np.geomspace(300, 5000, 200)
    found = correct(GRID, driver(GRID), hz, np.log(np.abs(driver(hz))), np.angle(driver(hz)))
    turned = found.factor(1e-4) / found.factor()
    assert turned == pytest.approx(np.exp(-2j * np.pi * GRID * 1e-4), abs=1e-9)


# --- peaks --------------------------------------------------------------------------------------------------------------


@every(("at_hz", "q", "height_db", "corner_hz"), [
    (5200, 6, 6, 4000), (3300, 8, 10, 6000), (2600, 5, 4, 3000), (7000, 10, 8, 3000), (4500, 6, 5, 9000),
])  # fmt: skip
@every("noise_db", [0.0, 1.0])
def test_the_first_resonance_of_a_cone(at_hz, q, height_db, corner_hz, noise_db):
    """A resonance over a second-order roll-off is found within a twelfth of an octave; the roll-off alone is none."""
    hz = np.linspace(20, 20000, 3400)
    plain = 88 - 10 * np.log10(1 + (hz / corner_hz) ** 4) + np.random.default_rng(1).normal(0, noise_db, hz.size)
    peak = 10 * np.log10(1 + (10 ** (height_db / 10) - 1) / (1 + (q * (hz / at_hz - at_hz / hz)) ** 2))
    found = first_peak_hz(hz, plain + peak, 800.0)
    assert found is not None and abs(math.log2(found / at_hz)) < 1 / 12
    assert first_peak_hz(hz, plain, 800.0) is None


def resonance(figures):
    """|H| of a second-order high-pass of (f0, Q) at `BAND`."""
    ratio = BAND / figures[0]
    return ratio**2 / (1.0 - ratio**2 + 1j * ratio / figures[1])


BAND = np.geomspace(300.0, 4000.0, 200)


def test_figures_of_a_model_are_found_from_a_measured_curve():
    """A curve made of 1100 Hz and Q 0.75 is found from 900 Hz and Q 1, also where the file ends inside the band."""
    for hz in (np.geomspace(200.0, 5000.0, 400), np.geomspace(500.0, 2500.0, 400)):
        known = np.interp(np.log(hz), np.log(BAND), np.log(np.abs(resonance((1100.0, 0.75)))))
        found = fitted(BAND, resonance, (900.0, 1.0), hz, known, (450.0, 2600.0))
        np.testing.assert_allclose(found, (1100.0, 0.75), rtol=2e-3)


def test_without_a_curve_in_the_middle_of_the_band_or_a_model_that_comes_near_the_start_comes_back():
    start, band = (900.0, 1.0), (450.0, 2600.0)
    beside = np.geomspace(1100.0, 5000.0, 50)  # the middle of the band lies at 1082 Hz
    assert fitted(BAND, resonance, start, beside, np.zeros(50), band) == start
    below = np.geomspace(100.0, 1200.0, 50)
    assert fitted(BAND, resonance, start, below, np.zeros(50), band) == start
    whole = np.geomspace(200.0, 5000.0, 400)
    comb = np.where(np.arange(400) // 20 % 2, 2.0, -2.0)  # 17 dB up and down: no resonance does that
    assert fitted(BAND, resonance, start, whole, comb, band) == start


@every(
    ("low", "high"),
    [((-8.0, 8.0), (-8.0, 8.0)), ((0.0, 0.0), (-1.0, 1.0)), ((-2.0, 2.0), (-8.0, 8.0)), ((-8.0, 8.0), (0.0, 0.0))],
)
@every("order", [-4.0, 3.0])
def test_beyond_each_end_its_own_slope_goes_on(low, high, order):
    """A straight slope over seven octaves: a quarter turn an order in the middle; at an end half of it is that of what goes on there.

    From Bode's form: an even slope s to one side of a point adds s pi/4 to its phase.
    """
    f = np.geomspace(100.0, 12800.0, 337)
    phase = minimum_phase(f, order * np.log(f), low, high)
    assert phase[168] == pytest.approx(order * np.pi / 2.0, rel=0.07)
    assert phase[0] == pytest.approx((order + np.clip(order, *low)) * np.pi / 4.0, rel=0.02)
    assert phase[-1] == pytest.approx((order + np.clip(order, *high)) * np.pi / 4.0, rel=0.02)


def test_every_octave_counts_alike_in_what_is_left_of_a_phase():
    """0.3 rad to and fro, point by point, above 10 kHz: a tenth of the octaves from 20 Hz on, though half of the points."""
    f = np.linspace(20.0, 20_000.0, 8001)
    phase = np.where(f > 10_000.0, 0.3 * (-1.0) ** np.arange(f.size), 0.0)
    found = timing(f, phase)
    share = np.log(2.0) / np.log(1000.0)
    assert (
        found.left_rad == pytest.approx(0.3 * share**0.5, rel=0.05) and abs(found.delay_s) < 1e-6 and not found.inverted
    )


@every("inverted", [False, True])
def test_a_turned_file_has_no_phase_of_its_own_left(inverted):
    """A flat level, half a millisecond and perhaps half a turn: nothing is left, and a bump of 0.4 rad about 2 kHz is all that is."""
    f = np.geomspace(200.0, 20_000.0, 600)
    model, bump = np.ones(f.size, dtype=complex), 0.4 * np.exp(-((np.log2(f / 2000.0) / 0.5) ** 2))
    for own in (np.zeros(f.size), bump):
        found = correct(f, model, f, np.zeros(f.size), own - 2.0 * np.pi * f * 0.5e-3 + np.pi * inverted)
        assert found.timing is not None and found.timing.inverted is inverted
        late = 2.0 * np.pi * f * (found.timing.delay_s - 0.5e-3)  # what of the bump was taken for a delay
        inside = (f > 300.0) & (f < 15_000.0)
        np.testing.assert_allclose(found.excess_rad[inside], (own + late)[inside], atol=0.02)


def test_a_phase_of_its_own_ends_within_an_octave_of_the_file():
    """0.4 rad from 1 to 4 kHz: half of it half an octave beyond either end (half a cosine), nothing from an octave on."""
    at, f = 1000.0 * 2.0 ** np.array([-2.0, -1.0, -0.5, 0.0, 1.0, 2.0, 2.5, 3.0, 4.0]), np.geomspace(1e3, 4e3, 200)
    found = correct(at, np.ones(at.size, dtype=complex), f, np.zeros(f.size), np.full(f.size, 0.4), delayed=False)
    np.testing.assert_allclose(found.excess_rad, [0.0, 0.0, 0.2, 0.4, 0.4, 0.4, 0.2, 0.0, 0.0], atol=1e-9)


@every("count", [3, 6, 12, 30])
def test_few_points_tell_a_delay_too_and_three_do_not(count):
    """A flat level and 0.1 ms, at frequencies an octave apart at the most."""
    f = np.geomspace(500.0, 4000.0, count)
    grid = np.geomspace(200.0, 20_000.0, 300)
    found = correct(grid, np.ones(grid.size, dtype=complex), f, np.zeros(count), -2.0 * np.pi * f * 1e-4)
    assert found.timing is not None and found.timing.delay_s == pytest.approx(1e-4 if count > 3 else 0.0, abs=1e-8)


def test_of_two_resonances_the_lower_is_the_first():
    """6 dB at 1.5 and at 5 kHz; from 2 kHz on the second, from 6 kHz on none."""
    f = np.geomspace(100.0, 20_000.0, 1500)
    level = 90.0 + sum(6.0 * np.exp(-((np.log2(f / at) / 0.06) ** 2)) for at in (1500.0, 5000.0))
    assert [first_peak_hz(f, level, above) for above in (300.0, 2000.0, 6000.0)] == [
        pytest.approx(1500.0, rel=0.01), pytest.approx(5000.0, rel=0.01), None,
    ]  # fmt: skip


@every("from_the_end", [0.25, 0.5, 1.0])
@every(("height_db", "stands_out"), [(2.1, False), (2.5, True)])
def test_beyond_the_ends_of_a_file_its_last_level_goes_on(from_the_end: float, height_db: float, stands_out: bool):
    """A roof half an octave wide: its top loses h/12 to the mean of a twelfth, the octave around it holds h/4; 2/3 h must be over 1.5 dB."""
    f = np.geomspace(500.0, 8000.0, 2000)
    for top in (500.0 * 2.0**from_the_end, 8000.0 / 2.0**from_the_end):
        level = height_db * np.maximum(1.0 - np.abs(np.log2(f / top)) / 0.25, 0.0)
        assert first_peak_hz(f, level, 100.0) == (pytest.approx(top, rel=0.01) if stands_out else None)


@every(("low", "high", "found"), [(2000.0, 10_000.0, 5000.0), (4000.0, 9000.0, 5000.0), (4600.0, 5600.0, None)])
def test_a_short_curve_tells_of_its_resonance_and_one_of_less_than_an_octave_does_not(low, high, found):
    f = np.geomspace(low, high, 400)
    level = 90.0 + 6.0 * np.exp(-((np.log2(f / 5000.0) / 0.06) ** 2))
    assert first_peak_hz(f, level, 100.0) == (None if found is None else pytest.approx(found, rel=0.01))


@every("depth_db", [6.0, 12.0, 20.0])
@every("slant", ["falls", "rises", "ripples"])
def test_the_edge_of_a_dip_is_no_resonance(depth_db: float, slant: str):
    """A level without a peak of its own stays without one where a dip a third of an octave wide is cut into it; a peak of 6 dB above the dip is still found."""
    f = np.geomspace(100.0, 20_000.0, 1500)
    octave = np.log2(f / 2000.0)
    plain = {
        "falls": -10.0 * np.log10(1.0 + (f / 2500.0) ** 2),
        "rises": 3.0 * octave,
        "ripples": 0.6 * np.sin(3.0 * np.pi * octave),
    }[slant]
    level = plain - depth_db * np.exp(-((octave / 0.12) ** 2))
    assert first_peak_hz(f, level, 800.0) is None
    peak = 6.0 * np.exp(-((np.log2(f / 5000.0) / 0.06) ** 2))
    assert first_peak_hz(f, level + peak, 800.0) == pytest.approx(5000.0, rel=0.02)


def test_figures_are_fitted_in_their_band_alone():
    """A modulus of 2 from 500 to 2000 Hz and of 5 elsewhere: 2 for that band, 5 for another."""
    f = np.geomspace(100.0, 10_000.0, 300)
    nepers = np.log(np.where((f >= 500.0) & (f <= 2000.0), 2.0, 5.0))
    for band, wanted in (((520.0, 1900.0), 2.0), ((3000.0, 9000.0), 5.0)):
        assert fitted(f, lambda x: np.full(f.size, x[0], dtype=complex), (3.0,), f, nepers, band) == (
            pytest.approx(wanted, rel=1e-3),
        )


@every(("band", "count"), [((500.0, 1000.0), 5), ((450.0, 1050.0), 5), ((500.0, 999.0), 4), ((501.0, 1000.0), 4)])
def test_every_point_of_band_and_measurement_counts_alike(band, count):
    """A level fitted to 0.04 neper at the first of five frequencies, 0.02 at the last and 0 between: the mean of those inside."""
    f = np.geomspace(500.0, 1000.0, 5)
    nepers = np.array([0.04, 0.0, 0.0, 0.0, 0.02])
    inside = nepers[(f >= band[0]) & (f <= band[1])]
    assert inside.size == count
    (found,) = fitted(f, lambda x: np.full(5, x[0], dtype=complex), (1.3,), f, nepers, band)
    assert np.log(found) == pytest.approx(np.mean(inside), abs=1e-6)


@every("fade", [True, False])
def test_each_end_goes_on_from_its_own_last_point(fade):
    """Two at the first of 21 points, one at the last, zero between: half a cosine over four points beyond, and over an octave of twelve."""
    u = np.arange(40) * measured.EDGE / 4.0
    values, inside = np.zeros(40), np.zeros(40, dtype=bool)
    values[10], values[30], inside[10:31] = 2.0, 1.0, True
    falling = [0.5 + 0.5 * math.cos(math.pi * step / 4) for step in (1, 2, 3, 4)]
    if fade:
        falling = [one * (0.5 + 0.5 * math.cos(math.pi * step / 12)) for step, one in enumerate(falling, 1)]
    found = measured._continued(u, values, inside, fade)
    assert found[31:35] == pytest.approx(falling, abs=1e-12) and np.all(found[35:] == pytest.approx(0.0, abs=1e-12))
    assert found[9:5:-1] == pytest.approx([2.0 * one for one in falling], abs=1e-12)
    assert found[:6] == pytest.approx(np.zeros(6), abs=1e-12) and np.array_equal(found[10:31], values[10:31])
