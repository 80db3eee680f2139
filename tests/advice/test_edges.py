"""Bounds, margin and spread of the screening in octaves, worked out by hand."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import numpy as np
import pytest

from reportgen.advice import edges
from reportgen.suitability.limits import LIMITS, Limit, Rule
from tests.every import every

MARGIN = 0.08
LOW = Limit("resonance", "Resonance", "low", 2000.0, "", "")
HIGH = Limit("break-up", "Cone break-up", "high", 3000.0, "", "")


def word(hz: float, *limits: Limit, gap: bool = False) -> int:
    found, _ = edges.of_limits(limits, MARGIN)
    many = edges.Edges(*(np.asarray(one)[:, None] for one in (found.bound, found.fail, found.need, found.by)))
    return int(edges.words(many, np.array([np.log2(hz)]), np.array([gap]))[0])


@every(
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


def test_a_screen_looks_where_no_limit_fails() -> None:
    """As a run does: between 2800 Hz and 2735 Hz with its 5 %, where the middle of both would fail."""
    cone = replace(HIGH, hz=2735.0, spread_hz=(2735.0 / 1.05, 2735.0 * 1.05))
    one, _ = edges.of_limits([replace(LOW, hz=2800.0), cone], MARGIN)
    many = edges.Edges(*(np.asarray(part)[:, None] for part in (one.bound, one.fail, one.need, one.by)))
    at = edges.crossover(many, None, MARGIN)
    assert 2.0 ** at[0] == pytest.approx(2835.6, abs=0.1)
    assert edges.words(many, at, np.array([False]))[0] == edges.CONDITIONS


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


def drawn(draw: random.Random) -> list[Limit]:
    """Up to seven limits in the order of the table, one a rule at most: either side, with and without spread, essential or not, some without a figure."""
    found = []
    for one in sorted(draw.sample(LIMITS, draw.randint(0, 7)), key=LIMITS.index):
        hz = draw.choice((None, 1800.0, 2000.0, 2200.0, 2600.0, 3000.0))
        octaves = draw.choice((0.0, 0.05, 0.2))
        spread = (hz * 2**-octaves, hz * 2**octaves) if hz and octaves else None
        cells = () if hz else (f"cell of {one.id}", f"another of {one.id}")
        found.append(Limit(one.id, one.title, one.side, hz, "", "", draw.random() < 0.5, cells, spread, one.wall))
    return found


def by_hand(limits: list[Limit], hz: float) -> int:
    """The verdict of limits at a crossover: past a wall by more than its spread is a no, an essential gap leaves it open, and within
    margin or spread (past it at all where it is no wall) it is near."""
    gap, near = any(one.hz is None and one.essential for one in limits), False
    for one in (one for one in limits if one.hz):
        inside = math.log2(hz / one.hz) * (1.0 if one.side == "low" else -1.0)  # type: ignore[operator]
        spread = math.log2(one.spread_hz[1] / one.hz) if one.spread_hz else 0.0  # type: ignore[operator]
        if one.wall and inside < -spread:
            return edges.NOT_SUITABLE
        near |= inside < (max(MARGIN, spread) if one.wall else 0.0)
    return edges.UNDECIDED if gap else edges.CONDITIONS if near else edges.SUITABLE


@every("seed", range(40))
def test_any_limits_at_any_crossover_are_judged_as_one_by_one(seed: int) -> None:
    """In one heap or joined from two, which may stand in either order; what binds is the tightest wall, the first of the table of equals."""
    draw = random.Random(seed)
    for _ in range(20):
        limits, hz = drawn(draw), draw.choice((1700.0, 1850.0, 2003.0, 2150.0, 2500.0, 2950.0, 3100.0))
        cut = draw.randint(0, len(limits))
        parts = [edges.of_limits(some, MARGIN) for some in (limits[:cut], limits[cut:])]
        missing = parts[0][1] + parts[1][1]
        assert sorted(text for _, text in missing) == sorted(
            text for one in limits if one.hz is None and one.essential for text in one.missing
        )
        assert all(edges.id_of(number) in text for number, text in missing)
        for both in (
            parts[0][0].joined(parts[1][0]),
            parts[1][0].joined(parts[0][0]),
            edges.of_limits(limits, MARGIN)[0],
        ):
            many = both.shaped(1)
            assert int(edges.words(many, np.array([np.log2(hz)]), np.array([bool(missing)]))[0]) == by_hand(limits, hz)
            for side, sign in (("low", 1.0), ("high", -1.0)):
                walls = [one for one in limits if one.side == side and one.hz and one.wall]
                tightest = max(walls, key=lambda one: sign * (one.hz or 0.0), default=None)
                place = edges.SIDES.index(side)  # type: ignore[arg-type]
                assert edges.id_of(int(both.by[place])) == (tightest.id if tightest else "nothing")
                assert both.bound[place] == (sign * np.log2(tightest.hz) if tightest and tightest.hz else -np.inf)


def test_without_a_place_to_cross_over_nothing_is_known() -> None:
    """No bound on either side: no crossover, and so neither a yes nor a no; a fixed one is what was given."""
    nothing = edges.of_limits([], MARGIN)[0].shaped(1)
    at = edges.crossover(nothing, None, MARGIN)
    assert np.isnan(at).all() and edges.words(nothing, at, np.array([False])).tolist() == [edges.UNDECIDED]
    assert 2.0 ** edges.crossover(nothing, 2500.0, MARGIN) == pytest.approx([2500.0])


@every(
    ("spread", "hz"),
    ((0.0, 2000.0 * 2**0.24), (0.2, 2000.0 * 2**0.24), (0.3, 2000.0 * 2**0.3), (0.45, 2000.0 * 2**0.45)),
)
def test_a_crossover_lies_low_with_room_but_not_within_the_tolerance_of_a_bound(spread: float, hz: float) -> None:
    """Three margins of 0.08 octave over the bound, or as far as its own spread asks; up to 4 kHz, whose middle is 2828 Hz."""
    low = replace(LOW, spread_hz=(2000.0 * 2**-spread, 2000.0 * 2**spread) if spread else None)
    found = edges.of_limits([low, replace(HIGH, hz=4000.0)], MARGIN)[0].shaped(1)
    assert 2.0 ** edges.crossover(found, None, MARGIN) == pytest.approx([hz])
