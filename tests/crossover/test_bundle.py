"""Many branches at once, against each alone and against plain differences."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.crossover.bundle import Bundle, Losses
from reportgen.crossover.networks import Branch, Component, across, in_path, solve
from tests.crossover.designing import losses_of

F = np.geomspace(50.0, 20e3, 31)
LOSSES = Losses(0.3, 0.6, 0.05)
L, C, R = (lambda value, kind=kind: Component(kind, value) for kind in "LCR")
BRANCHES = [
    Branch((in_path(L(1e-3)), across(C(10e-6), R(0.5)), in_path(L(0.4e-3)), across(R(8.0), C(4e-6)))),
    Branch((in_path(C(4e-6)), across(L(0.3e-3)), in_path(R(2.0), C(1e-6), join="parallel"))),
    Branch((in_path(L(1e-3), C(1e-6), R(20.0), join="parallel"), across(R(9.0), C(10e-6), join="parallel"))),
    Branch((in_path(R(2.0)), in_path(C(6e-6), R(0.2)), across(L(0.5e-3), C(20e-6), R(4.0)))),
    Branch((across(R(12.0)),)),
]
LOADS = np.array([re + 2j * np.pi * F * le for re, le in ((6, 3e-4), (5, 0), (4, 2e-4), (7, 1e-4), (3, 5e-5))])


def alone(branch, load, values):
    voltage, current = solve(branch, load, F, values, losses_of(LOSSES, branch, values))
    return 1.0 / voltage, current / voltage


def bundled():
    bundle = Bundle.of(BRANCHES)
    values = np.ones(bundle.stage.shape)
    for row, branch in enumerate(BRANCHES):
        values[row, : len(branch.components)] = branch.values
    return bundle, values


def test_a_bundle_does_what_each_branch_does_alone():
    bundle, values = bundled()
    found = bundle.response(values, LOADS, F, LOSSES)
    for row, branch in enumerate(BRANCHES):
        gain, admittance = alone(branch, LOADS[row], branch.values)
        np.testing.assert_allclose(found.gain[row], gain, rtol=1e-12)
        np.testing.assert_allclose(found.admittance[row], admittance, rtol=1e-12)


def test_slopes_are_what_a_part_moved_a_little_either_way_does():
    bundle, values = bundled()
    found = bundle.response(values, LOADS, F, LOSSES)
    for row, branch in enumerate(BRANCHES):
        for part in range(len(branch.components)):
            moved = [branch.values * np.exp(step * (np.arange(len(branch.values)) == part)) for step in (1e-5, -1e-5)]
            (gain, admittance), (gain_less, admittance_less) = (alone(branch, LOADS[row], one) for one in moved)
            by_gain, by_admittance = np.log(gain / gain_less) / 2e-5, (admittance - admittance_less) / 2e-5
            np.testing.assert_allclose(found.gain_slopes[row, part], by_gain, rtol=1e-5, atol=1e-7)
            np.testing.assert_allclose(found.admittance_slopes[row, part], by_admittance, rtol=1e-5, atol=1e-7)
        assert not found.gain_slopes[row, len(branch.components) :].any()


def test_picked_branches_are_the_same_again():
    bundle, values = bundled()
    which = np.array([3, 1])
    whole, some = (
        bundle.response(values, LOADS, F, LOSSES),
        bundle.picked(which).response(values[which], LOADS[which], F, LOSSES),
    )
    assert some.gain == pytest.approx(whole.gain[which])
    assert some.admittance_slopes == pytest.approx(whole.admittance_slopes[which])


def test_gains_alone_and_losses_are_those_of_each_branch():
    bundle = Bundle.of(BRANCHES)
    width = bundle.stage.shape[1]
    values = np.stack([np.pad(one.values, (0, width - len(one.components)), constant_values=1.0) for one in BRANCHES])
    gain, admittance = bundle.gains(values, LOADS, F, LOSSES)
    losses = bundle.losses_ohm(values, LOSSES)
    for row, branch in enumerate(BRANCHES):
        own = losses_of(LOSSES, branch, branch.values)
        voltage, current = solve(branch, LOADS[row], F, branch.values, own)
        np.testing.assert_allclose(losses[row, : own.size], own)
        np.testing.assert_allclose(gain[row], 1.0 / voltage, rtol=1e-10)
        np.testing.assert_allclose(admittance[row], current / voltage, rtol=1e-10)
