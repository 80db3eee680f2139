"""Pairs of branches: the best of every number of parts, and that more parts do not fit worse."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from reportgen.acoustics.slopes import SLOPES
from reportgen.crossover.pairs import FEWEST, MOST, merit, parts_of, settled
from reportgen.crossover.sides import DesignOptions
from reportgen.crossover.synthesis import explored
from tests.crossover.conftest import _sides
from tests.crossover.designing import joint_error


@pytest.fixture(scope="module")
def found():
    return explored(*_sides(), SLOPES["LR4"], 2450.0, DesignOptions())


def test_each_number_of_parts_has_its_best(found):
    best = found.pairs.best
    assert min(best) == FEWEST and 8 <= max(best) <= MOST + 2
    for count, fit in best.items():
        assert parts_of(fit) == count
        same = [one for one in found.pairs.made if parts_of(one) == count]
        assert merit(fit) <= min(merit(one) for one in same)


def test_more_parts_come_nearer(found):
    errors = [found.pairs.best[count].rms_db for count in sorted(found.pairs.best)]
    assert errors[-1] < 0.6 * errors[0]
    assert all(more < 1.25 * less for less, more in pairwise(errors))


def test_a_first_order_slope_may_have_two_parts(resistive):
    made = explored(resistive(), resistive(), SLOPES["BW1"], 3000.0, DesignOptions())
    assert min(made.pairs.best) == 2


def test_settling_never_makes_it_worse(found):
    fits = found.pairs.made[:5]
    for fit, further in zip(fits, settled(fits, found.task), strict=True):
        assert merit(further) <= merit(fit)
        signed = replace(found.task, sign=further.sign)
        again = joint_error(further.low.branch, further.high.branch, signed, further.level_shift_db)
        assert np.isfinite(again) and again <= further.rms_db + 1e-6
