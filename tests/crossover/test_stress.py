"""Stress on parts against sums worked by hand."""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pytest

from reportgen.crossover.networks import Branch, Component, across, in_path
from reportgen.crossover.stress import (
    CAPACITOR_RATINGS_V,
    Margins,
    Programme,
    branch_stress,
    power_shares,
    rated_voltage,
)
from tests.every import every

F = np.geomspace(20.0, 20_000.0, 400)
BANDS = 31.5 * 2.0 ** np.arange(10)
PINK = Programme(BANDS, np.zeros(10))


def test_pink_programme_is_shared_evenly_over_the_octaves():
    shares = power_shares(PINK, F)
    assert np.sum(shares) == pytest.approx(1.0)
    octave = (F >= 1008.0 / sqrt(2)) & (F < 1008.0 * sqrt(2))
    assert np.sum(shares[octave]) == pytest.approx(0.1, abs=0.003)


def test_pink_noise_share_above_the_crossover():
    """ln(f_top/f_c)/ln(f_top/f_bottom), the closed form."""
    bottom, top = BANDS[0] / sqrt(2), BANDS[-1] * sqrt(2)
    shares = power_shares(PINK, F)
    assert np.sum(shares[F > 2500.0]) == pytest.approx(np.log(top / 2500.0) / np.log(top / bottom), abs=0.005)


def test_a_level_10_db_up_carries_ten_times_the_power():
    tilted = Programme(BANDS, np.where(BANDS > 1500.0, -10.0, 0.0))
    shares = power_shares(tilted, F)
    edge = sqrt(BANDS[5] * BANDS[6])
    assert np.sum(shares[F < edge]) / np.sum(shares[F > edge]) == pytest.approx(10.0 * 6 / 4, rel=0.03)


def test_nothing_is_lost_where_the_grid_is_shorter_than_the_programme():
    assert np.sum(power_shares(PINK, np.geomspace(200.0, 5000.0, 50))) == pytest.approx(1.0)


def test_a_resistive_divider_by_hand():
    """4 ohm before 4 ohm at 20 V: 10 V, 2.5 A and 25 W in the pad whatever the spectrum; 50 W to buy at twice that."""
    branch = Branch((in_path(Component("R", 4.0, rating=25.0, rating_unit="W")),))
    (part,) = branch_stress(branch, np.full(len(F), 4.0), F, PINK, rated_voltage(100.0, 4.0))
    assert part.voltage_rms == pytest.approx(10.0)
    assert part.current_rms == pytest.approx(2.5)
    assert part.power_w == pytest.approx(25.0)
    assert (part.rating_to_buy, part.unit, part.underrated) == (50.0, "W", True)
    assert part.voltage_peak == pytest.approx(20.0), "crest factor 2 of IEC 60268-5 on 10 V"


@every(
    ("across_w", "bought_w"),
    [
        (0.4, 1.0),
        (0.9, 2.0),
        (2.4, 5.0),
        (4.9, 10.0),
        (7.4, 15.0),
        (9.9, 20.0),
        (14.0, 30.0),
        (24.0, 50.0),
        (49.0, 100.0),
        (99.0, 200.0),
        (101.0, None),
    ],
)  # 1, 2, 5, 10, 15, 20, 30, 50, 100, 200 W are customarily sold (common practice, no source); a margin of 2
def test_a_resistor_is_bought_as_the_next_that_is_sold(across_w, bought_w):
    branch = Branch((in_path(Component("R", 8.0)),))
    (part,) = branch_stress(branch, np.full(len(F), 8.0), F, PINK, sqrt(across_w * 8.0) * 2.0)
    assert part.power_w == pytest.approx(across_w)
    assert part.rating_to_buy == bought_w


def test_a_single_band_on_a_capacitor_is_close_to_a_sine():
    """C and R in series at one frequency: the voltage divides as 1/sqrt(1 + (w R C)^2)."""
    f = np.array([990.0, 1000.0, 1010.0])
    band = Programme(np.array([1000.0]), np.array([0.0]))
    branch = Branch((in_path(Component("C", 10e-6)),))
    (part,) = branch_stress(branch, np.full(3, 8.0), f, band, 10.0)
    reactance = 1 / (2 * pi * 1000.0 * 10e-6)
    assert part.voltage_rms == pytest.approx(10.0 * reactance / sqrt(64 + reactance**2), rel=0.01)
    assert part.current_rms == pytest.approx(10.0 / sqrt(64 + reactance**2), rel=0.01)


def test_a_resonance_raises_the_voltage_above_the_amplifiers():
    """A series circuit of Q = 5 at resonance puts five times the voltage on its capacitor."""
    resonance = 1000.0
    inductance = 5 * 8.0 / (2 * pi * resonance)
    capacitance = 1 / ((2 * pi * resonance) ** 2 * inductance)
    branch = Branch((in_path(Component("L", inductance)), in_path(Component("C", capacitance))))
    f = np.geomspace(500.0, 2000.0, 2001)
    parts = branch_stress(branch, np.full(len(f), 8.0), f, PINK, 10.0)
    assert parts[1].voltage_peak == pytest.approx(10.0 * sqrt(2.0) * 5.0, rel=0.01)


def test_heat_in_the_wire_counts_for_coils():
    branch = Branch((in_path(Component("L", 1e-6, 0.5)),))
    (part,) = branch_stress(branch, np.full(len(F), 4.0), F, PINK, 10.0)
    assert part.power_w == pytest.approx((10.0 / 4.5) ** 2 * 0.5, rel=1e-3)
    assert part.unit == "A"
    assert part.underrated is None, "the part states no rating"


@every(("rating", "unit", "expected"), [(100.0, "V", False), (20.0, "V", True), (5.0, "A", None)])
def test_an_underrated_part_is_flagged(rating, unit, expected):
    branch = Branch((in_path(Component("C", 10e-6, rating=rating, rating_unit=unit)),))
    (part,) = branch_stress(branch, np.full(len(F), 8.0), F, PINK, 20.0)
    assert part.underrated is expected


def test_what_nobody_sells_has_no_rating_to_buy():
    branch = Branch((across(Component("R", 1.0)),))
    (part,) = branch_stress(branch, np.full(len(F), 4.0), F, PINK, 30.0, Margins(power=2.0))
    assert part.needed == pytest.approx(1800.0)
    assert part.rating_to_buy is None


def test_senseless_input_is_refused():
    with pytest.raises(ValueError, match="has no voltage"):
        rated_voltage(0.0, 8.0)
    with pytest.raises(ValueError, match=r"\Athe stress needs two or more rising frequencies\Z"):
        power_shares(PINK, F[::-1])


def test_capacitors_are_sold_for_the_voltages_of_the_preferred_numbers():
    """R5 of ISO 3 (1, 1.6, 2.5, 4, 6.3) from 63 V on; 35 and 50 V below, of electrolytic ones (memory)."""
    r5 = [base * decade for decade in (10, 100, 1000) for base in (1.0, 1.6, 2.5, 4.0, 6.3)]
    assert (35.0, 50.0, *(volts for volts in r5 if 63.0 <= volts <= 1000.0)) == CAPACITOR_RATINGS_V
    branch = Branch((in_path(Component("C", 1e-6)),))
    for asked, sold in ((35.0, 35.0), (35.1, 50.0), (51.0, 63.0), (99.0, 100.0), (999.0, 1000.0)):
        volts = asked / 2.0 / 1.25  # crest factor 2 of IEC 60268-5, a quarter more than the peak
        (part,) = branch_stress(branch, np.full(len(F), 1e-9), F, PINK, volts)
        assert part.rating_to_buy == sold, asked
