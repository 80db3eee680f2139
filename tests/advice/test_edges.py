"""Bounds, margin and spread of the screening in octaves, worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from reportgen.advice import edges
from reportgen.suitability.limits import LIMITS, Limit, Rule

MARGIN = 0.08
LOW = Limit("resonance", "Resonance", "low", 2000.0, "", "")
HIGH = Limit("break-up", "Cone break-up", "high", 3000.0, "", "")


def word(hz: float, *limits: Limit, gap: bool = False) -> int:
    found, _ = edges.of_limits(limits, MARGIN)
    many = edges.Edges(*(np.asarray(one)[:, None] for one in (found.bound, found.fail, found.need, found.by)))
    return int(edges.words(many, np.array([np.log2(hz)]), np.array([gap]))[0])


@pytest.mark.parametrize(
    ("hz", "wanted"),
    [
        (1990.0, edges.NOT_SUITABLE),
        (2010.0, edges.CONDITIONS),
        (2110.0, edges.CONDITIONS),  # 2000 x 2^0.08 = 2114.0
        (2120.0, edges.SUITABLE),
        (2830.0, edges.SUITABLE),
        (2845.0, edges.CONDITIONS),  # 3000 / 2^0.08 = 2838.2
        (2990.0, edges.CONDITIONS),
        (3010.0, edges.NOT_SUITABLE),
    ],
)
def test_the_margin_counts_into_the_range_on_both_sides(hz: float, wanted: int) -> None:
    assert word(hz, LOW, HIGH) == wanted


def test_a_miss_within_the_tolerance_of_the_data_does_not_fail() -> None:
    """A tenth of an octave: 2000 / 2^0.1 = 1866.1 and 2000 x 2^0.1 = 2143.5."""
    spread = replace(LOW, spread_hz=(2000.0 * 2.0**-0.1, 2000.0 * 2.0**0.1))
    assert [word(hz, spread) for hz in (1860.0, 1870.0, 2140.0, 2150.0)] == [
        edges.NOT_SUITABLE, edges.CONDITIONS, edges.CONDITIONS, edges.SUITABLE,
    ]  # fmt: skip


def test_what_is_missing_leaves_open_only_what_does_not_fail() -> None:
    assert word(2500.0, LOW, HIGH, gap=True) == edges.UNDECIDED
    assert word(1500.0, LOW, HIGH, gap=True) == edges.NOT_SUITABLE


def test_the_tighter_bound_binds() -> None:
    other = replace(LOW, id="travel", hz=2200.0)
    found, missing = edges.of_limits([LOW, other, replace(LOW, id="heat", hz=None, missing=("x",))], MARGIN)
    assert edges.id_of(int(found.by[0])) == "travel" and found.bound[0] == pytest.approx(np.log2(2200.0))
    assert edges.id_of(int(found.by[1])) == "nothing" and found.bound[1] == -np.inf
    assert missing == ((edges.number_of("heat"), "x"),)


def rule(id_: str) -> Rule:
    return next(one for one in LIMITS if one.id == id_)


def test_a_rule_beside_many_drivers_has_its_margin_and_no_spread() -> None:
    """From below (heat) 2000 Hz needs 2114.0, from above (lobing) 3000 Hz needs 2838.2; 0 and nan bind nothing."""
    low = edges.of_one_rule(rule("heat"), np.array([2000.0, 0.0, np.nan]), MARGIN)
    high = edges.of_one_rule(rule("lobing"), np.array([3000.0, np.inf, np.nan]), MARGIN)
    assert 2.0 ** low.need[0, 0] == pytest.approx(2114.0, abs=0.05) and 2.0 ** low.fail[0, 0] == pytest.approx(2000.0)
    assert 2.0 ** -high.need[1, 0] == pytest.approx(2838.2, abs=0.05) and 2.0 ** -high.fail[1, 0] == pytest.approx(
        3000.0
    )
    assert [edges.id_of(int(by)) for by in low.by[0]] == ["heat", "nothing", "nothing"]
    assert np.all(low.bound[0, 1:] == -np.inf) and np.all(low.bound[1] == -np.inf) and np.all(high.bound[0] == -np.inf)


def test_of_two_equal_bounds_the_first_of_the_table_binds() -> None:
    first, second = (edges.of_one_rule(rule(id_), np.array([2000.0]), MARGIN) for id_ in ("resonance", "travel"))
    for joined in (first.joined(second), second.joined(first)):
        assert edges.id_of(int(joined.by[0, 0])) == "resonance"
    tighter = edges.of_one_rule(rule("travel"), np.array([2001.0]), MARGIN)
    assert edges.id_of(int(first.joined(tighter).by[0, 0])) == "travel"
