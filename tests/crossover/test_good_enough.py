"""When a pair of branches is good enough, at both sides of each bound, worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from reportgen.crossover.fitting import Fitted, Heard
from reportgen.crossover.joint import JointFit, JointTask, is_good
from tests.crossover.test_joint import heard, pair, task


def fit(low: Heard, high: Heard, shift_db: float = 0.0) -> JointFit:
    """A pair that is heard so; its parts do not matter."""
    branches = pair()
    return JointFit(*(Fitted(one, two, shift_db, 0.0) for one, two in zip(branches, (low, high), strict=True)),
                    task().sign, shift_db, 0.0, 0.0)  # fmt: skip


def ratio(db: float) -> float:
    return float(10.0 ** (db / 20.0))


def drawing(siemens: float) -> tuple[Heard, Heard]:
    """Both targets met; each branch draws this much."""
    low, high = (Heard(one.pressure, np.full(52, siemens + 0j)) for one in heard(1.0, 1.0))
    return low, high


def leaning(db: float) -> tuple[Heard, Heard]:
    """The low branch so far above its target, the high one such that the sum is still the target's."""
    wanted = task()
    low, high = heard(1.0, 1.0)
    louder = ratio(db) * low.pressure
    rest = wanted.sign * (low.pressure + wanted.right_sign * high.pressure - louder)
    return Heard(louder, low.admittance), Heard(rest, high.admittance)


@pytest.mark.parametrize(("db", "good"), [(0.0, True), (1.1, True), (-1.1, True), (1.3, False), (-1.3, False)])
def test_the_sum_may_stray_by_1_2_db(db: float, good: bool) -> None:
    assert is_good(task(), fit(*heard(ratio(db), ratio(db)))) is good


def test_the_level_taken_is_no_deviation() -> None:
    both = heard(ratio(3.0), ratio(3.0))
    assert is_good(task(), fit(*both, shift_db=3.0)) and not is_good(task(), fit(*both, shift_db=-3.0))


def test_the_wrong_polarity_is_not_good() -> None:
    """In phase where they should be against: at f_c two branches at -3 dB cancel or add in place of 3 dB."""
    right: JointTask = task()
    assert is_good(right, fit(*heard(1.0, 1.0))) and not is_good(
        replace(right, sign=-right.sign), fit(*heard(1.0, 1.0))
    )


@pytest.mark.parametrize(("db", "good"), [(1.9, True), (2.1, False)])
def test_a_branch_may_stand_2_db_above_its_target(db: float, good: bool) -> None:
    assert is_good(task(), fit(*leaning(db))) is good


@pytest.mark.parametrize(("floor_ohm", "good"), [(2.52, True), (2.53, False)])
def test_the_load_may_undercut_its_floor_by_a_hundredth(floor_ohm: float, good: bool) -> None:
    """Two of 5 ohm side by side are 2.5 ohm, and 1.01 times that 2.525."""
    assert is_good(task(floor_ohm=floor_ohm), fit(*drawing(0.2))) is good
