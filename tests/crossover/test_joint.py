"""The joint fit: its slopes against plain differences, its bounds, and what one step of it promises."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from reportgen.acoustics.slopes import SLOPES, high_pass, low_pass, polarity
from reportgen.crossover import joint
from reportgen.crossover.bundle import Losses
from reportgen.crossover.fitting import BranchTask, Heard, level_pull, target_weight
from reportgen.crossover.joint import (
    JointTask,
    fit_joint,
    joint_square,
    promised_errors,
    residuals,
)
from reportgen.crossover.networks import Branch, Component, across, in_path, solve, with_values
from reportgen.crossover.topologies import handbook_high, handbook_low
from tests.crossover.designing import joint_error, losses_of

FC = 2500.0
F = np.concatenate([[50.0, 200.0], np.geomspace(FC / 4, FC * 4, 49), [15_000.0]])
BAND = slice(2, 51)
NEAR = slice(12, 37)
SIGN = polarity(SLOPES["BW2"])


def task(name="BW2", floor_ohm=0.5, nulled=False):
    shapes = low_pass(SLOPES[name], F[BAND], FC), high_pass(SLOPES[name], F[BAND], FC)
    sides = [
        BranchTask(
            F, np.full(52, 6.0 + 0j), BAND, np.full(49, 0.5 + 0j), shape, 20 * np.log10(0.5 / 2e-5),
            target_weight(shape), 0.5, Losses(0.0, 0.5, 0.0), {},
        )
        for shape in shapes
    ]  # fmt: skip
    sign = polarity(SLOPES[name])
    return JointTask(*sides, sign, sign, floor_ohm, NEAR, np.full(49, 1 / 49), nulled)


def heard(low, high):
    """Builds that meet both targets times the given factors, and draw nothing from the amplifier."""
    one = task()
    nothing = np.zeros(52, dtype=complex)
    return Heard(0.5 * one.low.shape * low, nothing), Heard(0.5 * one.high.shape * high, nothing)


def test_what_meets_the_targets_has_no_error():
    assert joint_square(task(), *heard(1.0, 1.0), 0.0) == pytest.approx(0.0, abs=1e-20)


def test_within_its_bound_the_sum_counts_once_beyond_it_more():
    """A sum 0.5 dB and 2 dB off everywhere, too loud or too quiet, worked by hand: 8.686 (ratio - 1), the bound 1 dB."""
    for db in (0.5, 2.0, -0.5, -2.0):
        ratio = 10 ** (db / 20)
        groups = residuals(task(), *heard(ratio, ratio))
        error = 8.686 * (ratio - 1)
        assert np.sum(groups[4] ** 2) == pytest.approx(joint.SUM_SHARE * error**2, rel=1e-4)
        beyond = max(abs(error) - joint.EVEN_DB, 0.0)
        near_and_all = 2.0 * joint.UNEVEN_SHARE * beyond**2
        assert np.sum(groups[5] ** 2) == pytest.approx(near_and_all, rel=1e-4, abs=1e-12)


def test_a_branch_is_charged_for_standing_above_its_target_not_below():
    loud, quiet = (residuals(task(), *heard(ratio, 1.0))[1] for ratio in (2.0, 0.5))
    assert np.sum(loud**2) == pytest.approx(joint.LOUD_SHARE * (20 * np.log10(2.0) - joint.LOUD_DB) ** 2, rel=1e-4)
    assert not np.any(quiet)


def test_the_high_branch_is_charged_where_it_would_use_up_its_travel():
    """6.02 dB above its target with room for 4 at two places: 3.02 dB beyond 1 dB before the end (by hand); the low one may."""
    room = np.full(49, np.inf)
    room[[7, 20]] = 4.0
    narrow, weight = replace(task(), room_db=room), joint.LOUD_SHARE / np.count_nonzero(task().near_loud)
    loud_high, loud_low = (residuals(narrow, *heard(*ratios)) for ratios in ((1.0, 2.0), (2.0, 1.0)))
    assert np.sum(loud_high[4] ** 2) == pytest.approx(2 * weight * (20 * np.log10(2.0) - 4.0 + joint.STRAINED_DB) ** 2)
    assert not np.any(loud_low[4]) and len(residuals(task(), *heard(1.0, 2.0))) == len(loud_high) - 1


def test_the_load_counts_both_branches_together():
    """Two of 5 ohm side by side are 2.5: above a floor of 2.4, below one of 2.6 by 0.341 dB (by hand)."""
    each = [Heard(one.pressure, np.full(52, 0.2 + 0j)) for one in heard(1.0, 1.0)]
    assert joint_square(task(floor_ohm=2.4), *each, 0.0) == pytest.approx(0.0, abs=1e-20)
    short = residuals(task(floor_ohm=2.6), *each)[-1]
    np.testing.assert_allclose(short, 6.0 * 20 * np.log10(2.6 / 2.5))


def off(branch, seed):
    return with_values(
        branch, branch.values * np.exp(np.random.default_rng(seed).uniform(-0.3, 0.3, len(branch.values)))
    )


def pair(seed=1):
    return off(handbook_low(SLOPES["BW2"], 6.0, FC), seed), off(handbook_high(SLOPES["BW2"], 6.0, FC), seed + 1)


def wide_pair():
    """Branches of unlike length: a damped, bridged low one and a plain high one."""
    low, high = pair()
    coil, shunt = low.components
    bridged = in_path(coil, Component("C", 2e-6), join="parallel")
    return Branch((bridged, across(shunt, Component("R", 0.5)), across(Component("R", 20.0)))), high


@pytest.mark.parametrize(
    ("wanted", "shift_db"),
    [
        (task(), 0.2),
        (task("LR2", floor_ohm=5.0, nulled=True), -0.4),
        (replace(task(), room_db=np.where(np.arange(49) % 3, np.linspace(-6.0, 6.0, 49), np.inf)), 0.3),
    ],
    ids=["plain", "all penalties", "little travel"],
)
def test_gradient_and_curvature_are_those_of_all_unknowns_moved_one_by_one(wanted, shift_db):
    """What is counted analytically against plain differences of `residuals`, which work the whole out again for each."""
    low, high = wide_pair()
    pairs, x = joint._Pairs.of([joint.Start(low, high, wanted.sign, shift_db)], wanted)
    counted = pairs.squares(x)

    def rows(unknowns):
        width = (len(unknowns) - 1) // 2
        both = [
            heard_of(branch, side, np.exp(logs[: len(branch.components)]))
            for branch, side, logs in ((low, wanted.low, unknowns[:width]), (high, wanted.high, unknowns[width:-1]))
        ]
        pull, _ = level_pull(unknowns[-1:])
        return np.concatenate([*residuals(wanted, *both, unknowns[-1]), pull])

    plain = rows(x[0])
    slopes = np.array([(rows(x[0] + step) - rows(x[0] - step)) / 2e-6 for step in 1e-6 * np.eye(x.shape[1])])
    assert counted.square[0] == pytest.approx(np.sum(plain**2), rel=1e-9)
    np.testing.assert_allclose(counted.gradient[0], slopes @ plain, rtol=1e-4, atol=1e-5)
    np.testing.assert_allclose(counted.normal[0], slopes @ slopes.T, rtol=1e-4, atol=1e-4)


def heard_of(branch, side, values):
    voltage, current = solve(branch, side.load_ohm, F, values, losses_of(side.losses, branch, values))
    return Heard(side.response / voltage[..., side.band], current / voltage)


def test_the_fit_ends_at_the_handbook_and_one_step_promises_the_way():
    low, high = pair()
    start = joint.Start(low, high, SIGN)
    before, promised = joint_error(low, high, task(), 0.0), promised_errors([start], task())[0]
    (found,) = fit_joint([start], task(), 40)
    assert found.rms_db < 1e-3 < promised < 0.7 * before
    np.testing.assert_allclose(found.low.branch.values, handbook_low(SLOPES["BW2"], 6.0, FC).values, rtol=1e-3)


def test_what_a_fit_misses_is_told_without_what_holds_its_level():
    """Drivers 3 dB under the level asked for, so that the level sinks: what is left against the sunken goal, worked out anew."""
    wanted = task()
    sides = [replace(side, response=side.response * 10 ** (-3 / 20)) for side in (wanted.low, wanted.high)]
    wanted = replace(wanted, low=sides[0], high=sides[1])
    (found,) = fit_joint([joint.Start(*pair(), SIGN)], wanted, 20)
    heard_again = [
        heard_of(one.branch, side, one.branch.values) for one, side in zip((found.low, found.high), sides, strict=True)
    ]
    assert found.missed_db == pytest.approx(np.sqrt(joint_square(wanted, *heard_again, found.level_shift_db)), rel=1e-6)
    pulled_db = abs(level_pull(np.array([found.level_shift_db]))[0][0])
    assert pulled_db > 0.1 and found.rms_db == pytest.approx(np.hypot(found.missed_db, pulled_db), rel=1e-6)


def test_a_pair_fares_alone_as_it_does_beside_others():
    starts = [joint.Start(*pair(seed), SIGN) for seed in (1, 5)] + [joint.Start(*wide_pair(), SIGN)]
    together = fit_joint(starts, task(), 8)
    for one, beside in zip(starts, together, strict=True):
        (alone,) = fit_joint([one], task(), 8)
        assert alone.rms_db == pytest.approx(beside.rms_db, rel=1e-6)
        np.testing.assert_allclose(alone.low.branch.values, beside.low.branch.values, rtol=1e-6)


def test_a_shallow_null_counts_by_what_is_missing():
    """Branches 0.5 and 1.5 of their half each: turned over they leave about their difference, 6 dB down (by hand)."""
    level = 20 * np.log10(0.5 / 2e-5)
    one = replace(task("LR2", nulled=True), near=slice(24, 25))
    nothing = np.zeros(52, dtype=complex)
    low = Heard(np.full(49, 0.75 * 0.5 + 0j) * np.exp(1j * np.angle(one.low.shape)), nothing)
    high = Heard(np.full(49, 0.25 * 0.5 + 0j) * np.exp(1j * np.angle(one.high.shape)), nothing)
    assert one.low.level_db == pytest.approx(level)
    groups = residuals(one, low, high)
    missing = joint.NULL_DB + 20 * np.log10(0.5)
    assert groups[-2][0] ** 2 == pytest.approx(joint.NULL_SHARE * missing**2, rel=1e-3)
    assert len(residuals(task("LR2"), low, high)) == len(groups) - 1


def test_what_parts_within_5_per_cent_add_is_that_of_many_builds_drawn():
    """Around the handbook's network, which has no error: 4000 builds, each part drawn evenly, in ratio, from 5 % under to 5 % over."""
    wanted, logs = task(), np.random.default_rng(3).uniform(-np.log(1.05), np.log(1.05), (4000, 4))
    low, high = handbook_low(SLOPES["BW2"], 6.0, FC), handbook_high(SLOPES["BW2"], 6.0, FC)
    built = [
        heard_of(branch, side, branch.values * np.exp(logs[:, own]))
        for branch, side, own in ((low, wanted.low, slice(0, 2)), (high, wanted.high, slice(2, 4)))
    ]
    (found,) = fit_joint([joint.Start(low, high, SIGN)], wanted, 1)
    added = np.sqrt(np.mean(joint_square(wanted, *built, 0.0)))
    assert found.rms_db < 1e-6 and found.sensitivity_db == pytest.approx(added, rel=0.05)


def test_the_goals_of_sum_turn_and_phase_by_hand():
    """BW2 stands in quadrature twice: reversed it sums to +3 dB at f_c, and the branches stand alike in level there and in step."""
    one = task()
    middle = 24  # f_c
    assert one.sum_goal[middle] == pytest.approx(0.5 * np.sqrt(2.0))
    weight = one.phase_weight
    assert np.sum(weight**2) == pytest.approx(1.0) and int(np.argmax(weight)) == middle - NEAR.start
    np.testing.assert_allclose(weight / np.max(weight), [min(r, 1 / r) for r in (F[BAND][NEAR] / FC) ** 2])
    np.testing.assert_allclose(
        np.angle(one.wanted_turn), 0.0, atol=1e-12
    )  # low over the reversed high one: s^2 against -s^2
    assert np.sum(one.near_share) == pytest.approx(1.0) and not np.any(one.near_share[: NEAR.start])
    assert np.sum(one.near_loud**2) == pytest.approx(joint.LOUD_SHARE)


def test_branches_out_of_step_cost_their_angle():
    """Turned by 0.3 rad against each other everywhere: 8.686 times 0.3, squared, a twentieth of it (worked by hand)."""
    low, high = heard(np.exp(0.3j), 1.0)
    assert np.sum(residuals(task(), low, high)[6] ** 2) == pytest.approx(joint.PHASE_SHARE * (8.686 * 0.3) ** 2)
