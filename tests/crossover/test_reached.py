"""When a network meets what is wanted, at both sides of each bound, worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.acoustics.slopes import SLOPES
from reportgen.crossover.networks import Branch
from reportgen.crossover.reached import Bench, Many, Reached
from reportgen.crossover.sides import Wanted
from reportgen.crossover.voicing import Voicing

WANTED = Wanted(worst_db=1.5, third_db=2.0, balance_db=1.5, loud_db=6.0, null_db=15.0, least_ohm=3.2)
GOOD = {
    "rms_db": 0.5, "worst_db": 1.49, "null_db": -15.1, "evenness_db": 1.99, "balance_db": 1.49, "loud_db": 5.99, "least_ohm": 3.21,
}  # fmt: skip


def missed(nulled: bool = True, **figures: float) -> float:
    return float(Many(**{name: np.array(value) for name, value in {**GOOD, **figures}.items()}).missed(WANTED, nulled))


def test_inside_every_bound_nothing_is_missed() -> None:
    assert missed() == 0.0


@pytest.mark.parametrize(
    ("figure", "value", "share"),
    [("worst_db", 3.0, 1.0), ("evenness_db", 2.5, 0.25), ("balance_db", 1.8, 0.2), ("loud_db", 9.0, 0.5),
     ("null_db", -12.0, 0.2), ("least_ohm", 2.4, 0.25)],
)  # fmt: skip
def test_each_bound_counts_as_a_share_of_itself(figure: str, value: float, share: float) -> None:
    assert missed(**{figure: value}) == pytest.approx(share)


def test_the_shares_add_up_and_a_slope_without_a_null_asks_for_none() -> None:
    assert missed(worst_db=3.0, loud_db=9.0) == pytest.approx(1.5)
    assert missed(nulled=False, null_db=-2.0) == 0.0


@pytest.mark.parametrize("sign", (1.0, -1.0))
def test_too_little_is_missed_as_too_much_is(sign: float) -> None:
    """3 dB of 1.5, 2.5 of 2 and 1.8 of 1.5: one and a quarter and a fifth of what is allowed, whichever way."""
    found = Reached(
        **dict.fromkeys(("low_rms_db", "low_worst_db", "high_rms_db", "high_worst_db", "sum_rms_db"), 0.5),
        sum_worst_db=3.0 * sign, sum_worst_hz=2000.0, phase_worst_rad=0.0, null_db=-15.1, evenness_db=2.5 * sign,
        balance_db=(0.0, 1.8 * sign), loud_db=5.99, least_ohm=3.21,
    )  # fmt: skip
    assert found.missed(WANTED, nulled=True) == pytest.approx(1.0 + 0.25 + 0.2)


def test_the_sum_is_held_against_the_lower_of_two_targets(sides) -> None:
    """Each branch has its own target; raising that of one by 2 dB moves the figures of that branch alone."""
    bench = Bench(*sides(), SLOPES["LR4"], 2450.0, Voicing(200.0, 12000.0))
    alike = bench.reached(Branch(()), Branch(()), 1, (86.0, 86.0))
    high = bench.reached(Branch(()), Branch(()), 1, (86.0, 88.0))
    low = bench.reached(Branch(()), Branch(()), 1, (88.0, 86.0))
    of_the_sum = ("sum_rms_db", "sum_worst_db", "null_db", "evenness_db", "balance_db", "loud_db")
    assert all(getattr(one, name) == getattr(alike, name) for one in (high, low) for name in of_the_sum)
    assert (high.low_rms_db, low.high_rms_db) == (alike.low_rms_db, alike.high_rms_db)
    assert high.high_rms_db != alike.high_rms_db and low.low_rms_db != alike.low_rms_db
