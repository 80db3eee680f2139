"""Acoustic targets against the sums their authors state and against scipy's own filter polynomials."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy import signal

from reportgen.acoustics.slopes import (
    SLOPES,
    _bessel,
    attenuation_ratio,
    butterworth,
    denominator,
    high_pass,
    high_pass_magnitude,
    low_pass,
    polarity,
    target_sum,
)
from tests.every import every

FC = 2450.0
F = np.geomspace(50.0, 50_000.0, 400)


def db(ratio):
    return 20.0 * np.log10(np.abs(ratio))


def test_the_table_of_slopes_names_every_slope_once():
    assert {"LR2", "LR4", "LR8", "BW1", "BW2", "BW3", "BW4", "BE2", "BE3", "BE4"} == set(SLOPES)
    assert all(name == slope.name for name, slope in SLOPES.items())


@every("name", ["LR2", "LR4", "LR8"])
def test_linkwitz_riley_is_flat_in_magnitude_with_both_branches_6_db_down(name):
    """Linkwitz 1976: -6.02 dB each at f_c, in phase, and a flat sum."""
    slope = SLOPES[name]
    assert db(low_pass(slope, FC, FC)) == pytest.approx(-6.0206, abs=1e-4)
    assert db(high_pass(slope, FC, FC)) == pytest.approx(-6.0206, abs=1e-4)
    np.testing.assert_allclose(db(target_sum(slope, F, FC)), 0.0, atol=1e-9)
    turned = np.angle(low_pass(slope, F, FC) / (polarity(slope) * high_pass(slope, F, FC)))
    np.testing.assert_allclose(turned, 0.0, atol=1e-6)


@every("name", ["BW1", "BW3"])
def test_odd_butterworth_is_flat_in_power_and_in_sum(name):
    """Lipshitz & Vanderkooy 1983: odd orders are flat in both, either polarity, -3.01 dB each at f_c."""
    slope = SLOPES[name]
    low, high = low_pass(slope, F, FC), high_pass(slope, F, FC)
    assert db(low_pass(slope, FC, FC)) == pytest.approx(-3.0103, abs=1e-4)
    np.testing.assert_allclose(np.abs(low) ** 2 + np.abs(high) ** 2, 1.0, atol=1e-9)
    np.testing.assert_allclose(np.abs(low + high), 1.0, atol=1e-9)
    np.testing.assert_allclose(np.abs(low - high), 1.0, atol=1e-9)


def test_reversed_third_order_delays_less():
    """Why BW3 is taken reversed: its sum is then the all-pass of first order."""
    slope = SLOPES["BW3"]
    reversed_sum = low_pass(slope, F, FC) - high_pass(slope, F, FC)
    s = 1j * F / FC
    np.testing.assert_allclose(reversed_sum, (1 - s) / (1 + s), atol=1e-9)
    assert polarity(slope) == -1


@every("name", ["BW2", "BW4"])
def test_even_butterworth_peaks_3_db_at_the_crossover(name):
    """Linkwitz 1976: even Butterworth branches are 3 dB down and in phase, so their sum stands 3 dB up."""
    assert db(target_sum(SLOPES[name], FC, FC)) == pytest.approx(3.0103, abs=1e-4)


@every("name", sorted(SLOPES))
def test_a_branch_of_even_order_reversed_leaves_a_null_and_one_of_odd_order_none(name):
    """Linkwitz 1976; Lipshitz & Vanderkooy 1983: 1 + s^2 or 1 - s^4 over the denominator is 0 at s = j; Bessel nearly."""
    slope = SLOPES[name]
    left = np.abs(low_pass(slope, FC, FC) - polarity(slope) * high_pass(slope, FC, FC))
    depth = -db(left / np.abs(target_sum(slope, FC, FC)) + 1e-9)
    assert slope.in_phase is (name[-1] in "248")
    assert depth > 24.0 if slope.in_phase else depth < 1.0


@every("name", sorted(SLOPES))
def test_the_stated_polarity_never_sums_worse(name):
    slope = SLOPES[name]
    low, high = low_pass(slope, F, FC), high_pass(slope, F, FC)
    right, wrong = (np.ptp(db(low + sign * polarity(slope) * high)) for sign in (1, -1))
    assert right <= wrong + 1e-9


@every("order", [1, 2, 3, 4])
def test_butterworth_polynomials_are_those_of_scipy(order):
    _, expected = signal.butter(order, 1.0, analog=True)
    np.testing.assert_allclose(denominator(SLOPES[f"BW{order}"]), expected, rtol=1e-12)


@every("order", [2, 3, 4])
def test_bessel_polynomials_are_those_of_scipy(order):
    """scipy.signal.bessel, norm "phase": the middle phase lies at the stated frequency."""
    _, expected = signal.bessel(order, 1.0, analog=True, norm="phase")
    np.testing.assert_allclose(denominator(SLOPES[f"BE{order}"]), expected, rtol=1e-6)


@every("name", sorted(SLOPES))
def test_the_high_branch_is_the_low_one_mirrored_about_the_crossover(name):
    np.testing.assert_allclose(
        high_pass(SLOPES[name], F, FC), np.conj(low_pass(SLOPES[name], FC**2 / F, FC)), atol=1e-9
    )


@every("name", sorted(SLOPES))
@every("down", [3.0, 20.0, 40.0])
def test_attenuation_ratio_inverts_the_slope(name, down):
    ratio = attenuation_ratio(SLOPES[name], down)
    assert db(low_pass(SLOPES[name], ratio * FC, FC)) == pytest.approx(-down, abs=1e-6)


def test_attenuation_ratio_falls_with_the_order():
    ratios = [attenuation_ratio(SLOPES[name]) for name in ("BW1", "BW2", "BW3", "BW4", "LR8")]
    assert all(wide > narrow for wide, narrow in pairwise(ratios))


def test_attenuation_ratio_refuses_no_attenuation():
    with pytest.raises(ValueError, match="must be greater than 0"):
        attenuation_ratio(SLOPES["LR4"], 0.0)


@every("name", list(SLOPES))
def test_the_magnitude_is_that_of_the_complex_target(name: str) -> None:
    u = np.geomspace(0.02, 50.0, 60)
    np.testing.assert_allclose(high_pass_magnitude(SLOPES[name], u), np.abs(high_pass(SLOPES[name], u, 1.0)), rtol=1e-9)
    assert float(high_pass_magnitude(SLOPES[name], np.inf)) == 1.0


def test_any_butterworth_order_is_a_slope() -> None:
    assert butterworth(3) is SLOPES["BW3"]
    assert float(high_pass_magnitude(butterworth(7), 1.0)) == pytest.approx(0.5**0.5)


@every(
    ("order", "coefficients"),
    [
        # reverse Bessel polynomials s^2 + 3 s + 3 and s^3 + 6 s^2 + 15 s + 15 (Bessel 1949; Thomson 1949), s in units of the
        # root of their last coefficient: 3 / sqrt(3), and 6 / 15^(1/3), 15 / 15^(2/3)
        (2, (1.0, 3.0**0.5, 1.0)),
        (3, (1.0, 6.0 / 15.0 ** (1.0 / 3.0), 15.0 / 15.0 ** (2.0 / 3.0), 1.0)),
    ],
)
def test_bessel_polynomials_by_hand(order: int, coefficients: tuple[float, ...]) -> None:
    assert _bessel(order) == pytest.approx(coefficients)


@every("order", range(1, 13))
def test_a_butterworth_of_any_order_falls_by_its_own(order: int) -> None:
    """|T|^2 = 1/(1 + u^2n) (Butterworth 1930)."""
    slope, u = butterworth(order), np.array([0.5, 0.9, 1.0, 1.3, 2.0])
    assert (slope.order, slope.name) == (order, f"BW{order}")
    np.testing.assert_allclose(np.abs(low_pass(slope, u, 1.0)) ** 2, 1.0 / (1.0 + u ** (2 * order)), rtol=1e-6)
