"""Spread of builds: the draw repeats, its band agrees with the linear theory, and the worst part is named."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from reportgen.acoustics.slopes import SLOPES, target_sum
from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.networks import transfer, with_components, with_values
from reportgen.crossover.sides import DesignOptions
from reportgen.crossover.spread import DRIVER_DRAWS, DriverTolerance, Pair, _drivers, spread, sums, within
from tests.crossover.designing import design

BAND = (1225.0, 4900.0)
NONE = DriverTolerance(0.0, 0.0)


@pytest.fixture
def pair(sides):
    low, high = sides()
    found = design(low, high, SLOPES["LR4"], 2450.0, DesignOptions(policy="preferred"))
    return Pair(low, found.low, high, found.high, found.high_reversed)


def with_tolerance(pair, tolerance, only=None):
    def changed(branch, name):
        return with_components(
            branch,
            tuple(
                replace(c, tolerance=tolerance if only in (None, (name, k)) else 0.0)
                for k, c in enumerate(branch.components)
            ),
        )

    return replace(pair, low_branch=changed(pair.low_branch, "low"), high_branch=changed(pair.high_branch, "high"))


def test_the_same_seed_draws_the_same_builds(pair):
    first, second, other = spread(pair, BAND), spread(pair, BAND), spread(pair, BAND, seed=2)
    np.testing.assert_array_equal(first.below_db(0.05), second.below_db(0.05))
    assert first.share_within == second.share_within
    assert np.any(first.below_db(0.05) != other.below_db(0.05))
    np.testing.assert_allclose(first.below_db(0.05), other.below_db(0.05), atol=0.15)


def test_without_tolerances_every_build_is_the_nominal_one(pair):
    result = spread(with_tolerance(pair, 0.0), BAND, driver=NONE)
    np.testing.assert_allclose(result.below_db(0.05), result.nominal_db, atol=1e-9)
    np.testing.assert_allclose(result.below_db(0.95), result.nominal_db, atol=1e-9)
    assert result.share_within == 1.0


def test_the_level_of_one_driver_alone_moves_the_sum_by_a_known_band(pair):
    """Far below f_c only the low driver plays: +-1 dB drawn evenly has its 5 and 95 % points at -+0.9 dB."""
    result = spread(with_tolerance(pair, 0.0), (150.0, 300.0), driver=DriverTolerance(1.0, 0.0), builds=4000)
    np.testing.assert_allclose(result.below_db(0.95) - result.nominal_db, 0.9, atol=0.05)
    np.testing.assert_allclose(result.nominal_db - result.below_db(0.05), 0.9, atol=0.05)


def test_twice_the_tolerance_is_about_twice_the_band(pair):
    narrow, wide = (spread(with_tolerance(pair, t), BAND, driver=NONE) for t in (0.02, 0.04))
    ratio = np.median((wide.below_db(0.95) - wide.below_db(0.05)) / (narrow.below_db(0.95) - narrow.below_db(0.05)))
    assert ratio == pytest.approx(2.0, rel=0.1)


def test_the_band_agrees_with_linear_propagation(pair):
    """Variance of a sum of evenly drawn deviations: sum of (slope x tolerance)^2 / 3 (GUM, JCGM 100)."""
    tight = with_tolerance(pair, 0.01)
    count = len(pair.low_branch.components) + len(pair.high_branch.components) + 6
    f = pair.low.frequency_hz
    keep = (f >= BAND[0]) & (f <= BAND[1])
    edge = np.eye(count)
    slopes = 20 * np.log10(np.abs(sums(tight, keep, edge, NONE)) / np.abs(sums(tight, keep, 0 * edge, NONE)))
    expected = np.sqrt(np.sum(slopes**2, axis=0) / 3)
    unit = np.random.default_rng(3).uniform(-1, 1, (4000, count))
    drawn = np.std(20 * np.log10(np.abs(sums(tight, keep, unit, NONE))), axis=0)
    np.testing.assert_allclose(drawn, expected, rtol=0.08)


def test_the_part_with_the_only_tolerance_is_the_worst(pair):
    result = spread(with_tolerance(pair, 0.1, only=("high", 0)), BAND, driver=NONE)
    assert (result.influences[0].branch, result.influences[0].name) == ("high", pair.high_branch.components[0].role)
    assert result.influences[0].change_db > 0.1
    assert all(influence.change_db < 1e-9 for influence in result.influences[1:])


def test_an_influence_is_the_larger_change_of_both_edges_of_the_tolerance(pair):
    """Worked out again with the part 10 % up and 10 % down, nothing else changed; and with the first part of either branch alone up."""
    result = spread(with_tolerance(pair, 0.1, only=("high", 0)), BAND, driver=NONE)
    f = pair.low.frequency_hz
    keep = (f >= BAND[0]) & (f <= BAND[1])
    totals = []
    for factor in (1.0, 1.1, 0.9):
        values = pair.high_branch.values
        values[0] *= factor
        high = with_values(pair.high_branch, values)
        total = pair.low.response * transfer(pair.low_branch, pair.low.impedance, f)
        sign = -1 if pair.high_reversed else 1
        totals.append(np.abs(total + sign * pair.high.response * transfer(high, pair.high.impedance, f))[keep])
    changes = [np.max(np.abs(20 * np.log10(total / totals[0]))) for total in totals[1:]]
    assert changes[1] > changes[0] + 0.01, "the lower edge matters more here, so both must be looked at"
    assert result.influences[0].change_db == pytest.approx(changes[1], abs=1e-9)
    np.testing.assert_allclose(result.nominal_db, 20 * np.log10(totals[0] / 2e-5), atol=1e-9)
    m, n = len(pair.low_branch.components), len(pair.high_branch.components)
    unit = np.zeros((2, m + n + 6))
    unit[0, 0] = unit[1, m] = 1.0
    found = np.abs(sums(with_tolerance(pair, 0.1), keep, unit, NONE))
    np.testing.assert_allclose(found[1], totals[1], rtol=1e-9)
    values = pair.low_branch.values
    values[0] *= 1.1
    total = pair.low.response * transfer(with_values(pair.low_branch, values), pair.low.impedance, f)
    both = total + sign * pair.high.response * transfer(pair.high_branch, pair.high.impedance, f)
    np.testing.assert_allclose(found[0], np.abs(both)[keep], rtol=1e-9)


@pytest.mark.parametrize("name", ["LR2", "LR4"])
def test_the_nominal_sum_is_that_of_the_design(sides, name):
    low, high = sides()
    found = design(low, high, SLOPES[name], 2450.0)
    nominal = spread(Pair(low, found.low, high, found.high, found.high_reversed), BAND).nominal_db
    goal = found.target_db + 20 * np.log10(np.abs(target_sum(SLOPES[name], 2450.0, 2450.0)))
    assert np.max(np.abs(nominal - goal)) < abs(found.sum_worst_db) + 0.05


def test_another_resonance_and_q_are_those_of_another_driver(pair):
    """A dome with fs and Q 10 % up, built anew: response of second order, impedance of Small 1972."""
    f = pair.low.frequency_hz
    keep = (f >= BAND[0]) & (f <= BAND[1])
    count = len(pair.low_branch.components) + len(pair.high_branch.components) + 6
    unit = np.zeros((3, count))
    unit[1, -2], unit[2, -1] = 1.0, 1.0
    found = sums(pair, keep, unit, DriverTolerance(0.0, 0.0, 0.1))
    load = DriverLoad(pair.high.re_ohm, pair.high.le_h, pair.high.fs_hz, pair.high.qms, pair.high.qes)
    for row, fs, q in ((0, 1.0, 1.0), (1, 1.1, 1.0), (2, 1.0, 1.1)):
        other = replace(load, fs_hz=load.fs_hz * fs, qms=load.qms * q, qes=load.qes * q)
        qts = load.qms * load.qes / (load.qms + load.qes)
        shapes = [
            1 / (1 + at / (1j * f * qt) - (at / f) ** 2) for at, qt in ((other.fs_hz, qts * q), (load.fs_hz, qts))
        ]
        response = pair.high.response * shapes[0] / shapes[1]
        impedance = pair.high.impedance * other.impedance(f) / load.impedance(f)
        total = pair.low.response * transfer(pair.low_branch, pair.low.impedance, f)
        high = response * transfer(pair.high_branch, impedance, f)
        np.testing.assert_allclose(found[row], (total + (-1 if pair.high_reversed else 1) * high)[keep], rtol=1e-9)
    assert np.max(np.abs(20 * np.log10(np.abs(found[1] / found[0])))) > 0.05


def test_a_driver_without_a_resonance_has_none_to_vary(pair):
    bare = replace(pair, high=replace(pair.high, fs_hz=None))
    still, moving = (spread(bare, BAND, driver=DriverTolerance(0.5, 0.05, share)) for share in (0.0, 0.1))
    np.testing.assert_array_equal(still.below_db(0.05), moving.below_db(0.05))


def test_influences_are_sorted_and_name_every_part_and_driver(pair):
    influences = spread(pair, BAND).influences
    changes = [influence.change_db for influence in influences]
    assert changes == sorted(changes, reverse=True)
    assert len(influences) == len(pair.low_branch.components) + len(pair.high_branch.components) + 6


def test_the_share_is_that_of_the_predicate(pair):
    assert spread(pair, BAND, lambda p: np.zeros(len(p), dtype=bool)).share_within == 0.0
    alternate = spread(pair, BAND, lambda p: np.arange(len(p)) % 4 == 0)
    assert alternate.share_within == pytest.approx(0.25)
    nominal = sums(
        pair, (pair.low.frequency_hz >= BAND[0]) & (pair.low.frequency_hz <= BAND[1]), np.zeros((1, 99)), NONE
    )
    shares = [spread(pair, BAND, within(nominal[0], db)).share_within for db in (0.2, 1.0, 3.0)]
    assert shares[0] < shares[1] <= shares[2]
    assert shares[0] < 0.9


def test_a_band_off_the_curves_is_refused(pair):
    with pytest.raises(ValueError, match="no frequency of the curves"):
        spread(pair, (30_000.0, 40_000.0))


@pytest.mark.parametrize("place", range(len(DRIVER_DRAWS)))
@pytest.mark.parametrize("unit", [1.0, -1.0, 0.5])
def test_each_draw_moves_its_own_quantity_of_its_own_driver(sides, place, unit):
    """Level by 1 dB, impedance by 5 %, each at its edge or half of it; resonance and Q are those of another driver by hand."""
    low, high = sides()
    keep, moved = np.ones(low.frequency_hz.size, dtype=bool), np.zeros((1, len(DRIVER_DRAWS)))
    moved[0, place] = unit
    found = _drivers(low, high, keep, moved, DriverTolerance(1.0, 0.05, 0.1))
    factors = {}
    for name, (pressure, impedance) in zip(("low", "high"), found, strict=True):
        side = low if name == "low" else high
        factors[name] = pressure[0] / side.response, impedance[0] / side.impedance
    what, name = DRIVER_DRAWS[place]
    other = "high" if name == "low" else "low"
    np.testing.assert_allclose(factors[other], 1.0)
    level, load = factors[name]
    if what == "driver level":
        np.testing.assert_allclose(level, 10 ** (unit / 20))
        np.testing.assert_allclose(load, 1.0)
    elif what == "driver impedance":
        np.testing.assert_allclose(level, 1.0)
        np.testing.assert_allclose(load, 1.0 + 0.05 * unit)
    else:
        share = 1.0 + 0.1 * unit
        fs, q = (1100.0 * share, 1.0) if what == "driver resonance" else (1100.0, share)
        another = DriverLoad(5.4, 0.05e-3, fs, 1.8 * q, 1.2 * q).impedance(high.frequency_hz)
        if what == "driver resonance":
            np.testing.assert_allclose(load * high.impedance, another, rtol=1e-9)
        qts = 1.8 * 1.2 / 3.0
        at = int(np.argmin(np.abs(high.frequency_hz - 1100.0)))
        u, v = high.frequency_hz[at] / fs, high.frequency_hz[at] / 1100.0
        wanted = abs(u**2 / (1 - u**2 + 1j * u / (qts * q))) / abs(v**2 / (1 - v**2 + 1j * v / qts))
        assert abs(level[at]) == pytest.approx(wanted) and abs(level[-1]) == pytest.approx(1.0, abs=0.01)


def test_another_seed_draws_other_drivers_too(pair):
    """Parts without tolerance: what differs are the drivers, level and impedance each by its own."""
    exact = with_tolerance(pair, 0.0)
    for driver in (DriverTolerance(1.0, 0.0), DriverTolerance(0.0, 0.05)):
        one, same, other = (spread(exact, BAND, driver=driver, builds=50, seed=seed).built for seed in (1, 1, 2))
        np.testing.assert_array_equal(one, same)
        assert np.max(np.abs(one / other - 1.0)) > 1e-3
