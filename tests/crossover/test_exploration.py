"""Forms of one branch: how stages are left out, what parts are charged, and that exploring pays."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.acoustics.slopes import SLOPES, high_pass
from reportgen.crossover.exploration import Explorer, charge, form_of, keeps_its_filter, lighter
from reportgen.crossover.fitting import BranchTask, Losses, fit_branch, target_weight
from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.networks import Branch, Component, in_path, transfer
from reportgen.crossover.sides import DesignOptions
from reportgen.crossover.topologies import (
    before_driver,
    butterworth_start,
    handbook_high,
    hardly_there,
    level_pad,
    resonance_trap,
    windows_of,
)

FC = 2450.0
F = np.geomspace(FC / 4, FC * 4, 49)
DOME = DriverLoad(5.4, 0.02e-3, 1100.0, 2.5, 1.0)


def task(slope, load=DOME, level_db=80.0):
    shape = high_pass(SLOPES[slope], F, FC)
    return BranchTask(
        F, load.impedance(F), slice(0, 49), np.full(49, 0.5 + 0j), shape, level_db, target_weight(shape), 3.2,
        Losses(0.35, 0.55, 0.02), False, windows_of(load),
    )  # fmt: skip


def explorer(slope, pad_db=8.0, **options):
    return Explorer("high", task(slope), SLOPES[slope], FC, DOME, DesignOptions(**options), pad_db)


def test_leaving_out_takes_each_stage_once():
    branch = before_driver(handbook_high(SLOPES["BW3"], 6.0, FC), *level_pad(3.0, 6.0))
    shorter = lighter(branch)
    assert len(shorter) == 5
    assert all(len(one.stages) == 4 for one in shorter)
    assert len({one.stages for one in shorter}) == 5


def test_a_high_branch_keeps_a_capacitor_and_a_low_one_a_coil_in_the_path():
    high, low = butterworth_start(2, 6.0, FC, True), butterworth_start(2, 6.0, FC, False)
    assert [keeps_its_filter(branch, True) for branch in lighter(high)] == [False, True]
    assert [keeps_its_filter(branch, False) for branch in lighter(low)] == [False, True]
    assert not keeps_its_filter(Branch((in_path(Component("R", 1.0)),)), True)


@pytest.mark.parametrize("high", [True, False])
def test_an_added_stage_hardly_acts_at_first(high):
    """A stage of the ladder, made small, changes the level an octave inside the passband by less than half a decibel."""
    inside = FC * (2.0 if high else 0.5)
    for stage in butterworth_start(4, 6.0, FC, high).stages:
        assert abs(20 * np.log10(abs(transfer(Branch((hardly_there(stage),)), 6.0, inside)))) < 0.5


def test_bigger_coils_and_capacitors_are_charged_more_and_resistors_least():
    def of(kind, value):
        return charge(Branch((in_path(Component(kind, value)),)), DesignOptions())

    assert of("C", 47e-6) > of("C", 4.7e-6) > of("R", 4.7)
    assert of("L", 3e-3) > of("L", 0.3e-3) > of("R", 4.7)


def test_the_trap_is_found_where_a_resonance_spoils_the_slope():
    """A first-order branch cannot follow its target over a resonance; with the trap it can."""
    tried = {form_of(one.branch): one.rms_db for one in explorer("BW1").explore()}
    assert tried["1 filter part + level pad + resonance trap"] < 0.5 * tried["1 filter part + level pad"]


def test_nothing_is_added_where_parts_are_dear():
    best = explorer("BW2", worth_db=5.0).explore()[0]
    assert form_of(best.branch) == "1 filter part"


def test_exploring_takes_out_a_stage_that_an_addition_has_made_idle():
    """The best form is no heavier than any form it grew from less one stage that could go."""
    best = explorer("BW2").explore()[0]
    one = explorer("BW2")
    for branch in lighter(best.branch):
        if keeps_its_filter(branch, True):
            assert one.merit(fit_branch(branch, one.task, 25)) > one.merit(best) - 0.02


def test_the_form_is_told_in_words():
    branch = before_driver(handbook_high(SLOPES["BW1"], 6.0, FC), *level_pad(3.0, 6.0), resonance_trap(DOME))
    assert form_of(branch) == "1 filter part + level pad + resonance trap"
