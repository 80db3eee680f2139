"""Pairs of branches taken further: additions start idle, pay, and stop where nothing is missed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from reportgen.acoustics.slopes import SLOPES
from reportgen.crossover.fitting import Fitted, own_heard
from reportgen.crossover.growth import Grower, merit
from reportgen.crossover.joint import is_good
from reportgen.crossover.networks import Branch, transfer
from reportgen.crossover.sides import DesignOptions
from reportgen.crossover.synthesis import _Case, _explored, _joint
from reportgen.crossover.topologies import COMPENSATION, DAMPING, NOTCH, PAD, TRAP


@pytest.fixture
def explored(sides):
    return _explored(_Case(*sides(), SLOPES["LR4"], 2450.0, DesignOptions()))


def roles(branch):
    return {c.role for c in branch.components}


def test_each_small_addition_is_one_part_and_starts_near_idle(explored):
    """In its passband, where it is loud, a branch changes by less than 2.5 dB."""
    for additions, fits in ((explored.grower.low, explored.lows), (explored.grower.high, explored.highs)):
        base = fits[0]
        load, f = additions.task.load_ohm, additions.task.frequency_hz
        loud = np.abs(additions.task.shape) > 0.7
        before = transfer(base.branch, load, f)[additions.task.band]
        small = [*additions.wider(base.branch), *additions.damped(base.branch), *additions.padded(base.branch)]
        assert small
        for branch in small:
            assert len(branch.components) == len(base.branch.components) + 1
            change = 20 * np.log10(np.abs(transfer(branch, load, f)[additions.task.band] / before))
            assert np.max(np.abs(change[loud])) < 2.5


def test_what_is_there_is_not_offered_again(explored):
    additions = explored.grower.high
    base = explored.highs[0]
    for _ in range(12):
        offered = list(additions.all(base))
        if not offered:
            break
        for branch in offered:
            new = [c.role for c in branch.components]
            assert all(new.count(role) <= 3 for role in (NOTCH, TRAP, COMPENSATION))
            assert new.count(PAD) <= 2
        base = Fitted(offered[0], own_heard(offered[0], additions.task), 0.0, 0.0)
    assert sum(c.role.startswith(("series", "shunt")) for c in base.branch.components) <= 4
    assert DAMPING in roles(base.branch)


def test_growing_pays_or_does_not_happen(sides, explored, monkeypatch):
    """A low driver with a dip of 4 dB at 1.8 kHz and a peak of 5 dB at 3.2 kHz: growth brings the pair nearer."""
    low, high = sides()
    f = low.frequency_hz
    level = 5.0 / (1 + (5.0 * (f / 3200 - 3200 / f)) ** 2) - 4.0 / (1 + (3.0 * (f / 1800 - 1800 / f)) ** 2)
    case = _Case(replace(low, response=low.response * 10 ** (level / 20)), high, SLOPES["LR4"], 2450.0, DesignOptions())
    one = _explored(case)
    grown = _joint(one.lows, one.highs, one.grower)[0]
    monkeypatch.setattr(Grower, "grown", lambda self, fits: fits)
    plain = _joint(one.lows, one.highs, one.grower)[0]
    assert not is_good(replace(one.grower.task, sign=plain.sign), plain)
    assert merit(grown, case.options) < merit(plain, case.options) - 0.02
    assert grown.rms_db < plain.rms_db


def test_a_pair_that_misses_nothing_is_left_alone(resistive):
    side = resistive()
    lossless = DesignOptions(coil_ohm=0.0, capacitor_ohm=0.0, minimum_ohm=0.5)
    one = _explored(_Case(side, side, SLOPES["BW2"], 3000.0, lossless))
    fits = _joint(one.lows, one.highs, one.grower)
    assert one.grower.grown(fits) is fits


def test_pruning_takes_out_what_is_idle(explored):
    grower = explored.grower
    fits = _joint(explored.lows, explored.highs, grower)
    best = fits[0]
    wider = next(grower.low.wider(best.low.branch), None)
    assert wider is not None
    idle = replace(best, low=replace(best.low, branch=wider))
    pruned = grower.pruned([idle])[0]
    assert len(pruned.low.branch.components) <= len(best.low.branch.components)


def test_growth_keeps_to_the_parts_allowed(explored):
    best = _joint(explored.lows, explored.highs, explored.grower)[0]
    own = max(len(best.low.branch.components), len(best.high.branch.components))
    tight = replace(explored.grower, options=DesignOptions(max_parts=own))
    pairs = list(tight._fuller(best))
    assert pairs
    assert max(len(branch.components) for pair in pairs for branch in pair) <= own
    assert max(len(branch.components) for pair in explored.grower._fuller(best) for branch in pair) > own


def test_an_empty_branch_takes_nothing(explored):
    assert not list(explored.grower.low.wider(Branch(())))
    assert not list(explored.grower.low.damped(Branch(())))
