"""When a network meets what is wanted, at both sides of each bound, worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.crossover.reached import Many, Reached
from reportgen.crossover.sides import Wanted
from tests.every import every

WANTED = Wanted(worst_db=1.5, third_db=2.0, balance_db=1.5, loud_db=6.0, null_db=15.0, least_ohm=3.2)
GOOD = {
    "rms_db": 0.5, "worst_db": 1.49, "null_db": -15.1, "evenness_db": 1.99, "balance_db": 1.49, "loud_db": 5.99, "least_ohm": 3.21,
}  # fmt: skip


def missed(nulled: bool = True, **figures: float) -> float:
    return float(Many(**{name: np.array(value) for name, value in {**GOOD, **figures}.items()}).missed(WANTED, nulled))


def test_inside_every_bound_nothing_is_missed() -> None:
    assert missed() == 0.0


@every(
    ("figure", "value", "share"),
    [("worst_db", 3.0, 1.0), ("evenness_db", 2.5, 0.25), ("balance_db", 1.8, 0.2), ("loud_db", 9.0, 0.5),
     ("null_db", -12.0, 0.2), ("least_ohm", 2.4, 0.25)],
)  # fmt: skip
def test_each_bound_counts_as_a_share_of_itself(figure: str, value: float, share: float) -> None:
    assert missed(**{figure: value}) == pytest.approx(share)


def test_the_shares_add_up_and_a_slope_without_a_null_asks_for_none() -> None:
    assert missed(worst_db=3.0, loud_db=9.0) == pytest.approx(1.5)
    assert missed(nulled=False, null_db=-2.0) == 0.0


@every("sign", (1.0, -1.0))
def test_too_little_is_missed_as_too_much_is(sign: float) -> None:
    """3 dB of 1.5, 2.5 of 2 and 1.8 of 1.5: one and a quarter and a fifth of what is allowed, whichever way."""
    found = Reached(
        sum_rms_db=0.5, sum_worst_db=3.0 * sign, sum_worst_hz=2000.0, phase_worst_rad=0.0, null_db=-15.1, evenness_db=2.5 * sign,
        balance_db=(0.0, 1.8 * sign), loud_db=5.99, least_ohm=3.21,
    )  # fmt: skip
    assert found.missed(WANTED, nulled=True) == pytest.approx(1.0 + 0.25 + 0.2)
