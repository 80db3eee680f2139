"""How outcomes add up to a verdict, and limits to a range."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import sqrt
from typing import Any

import pytest

from reportgen.suitability.checks import Check, Outcome
from reportgen.suitability.limits import Limit, Side, all_limits
from reportgen.suitability.verdict import UsableRange, best_crossover_hz, judge, usable_range
from tests.every import every
from tests.suitability.workbench import built, changed, checks_of, example, limits_of


def check(
    outcome: Outcome, name: str = "x", margin: float | None = 0.0, essential: bool = True, condition: str = ""
) -> Check:
    return Check(name, name, outcome, 0.0, 0.0, "", margin, "", "test", f"{name} text.", essential, (), condition)


def limit(side: Side, hz: float | None, name: str = "x") -> Limit:
    return Limit(name, name, side, hz, f"{name} text.", "test")


NO_RANGE = UsableRange(None, None, None, None)


@every("outcomes", list(product(["pass", "marginal", "fail", "essential gap", "gap"], repeat=3)))
def test_the_verdict_of_any_three_outcomes(outcomes: tuple[str, ...]) -> None:
    made = [
        check("not assessed", f"c{i}", essential=one == "essential gap") if "gap" in one else check(one, f"c{i}")  # type: ignore[arg-type]
        for i, one in enumerate(outcomes)
    ]
    expected = (
        "not suitable" if "fail" in outcomes
        else "undecided" if "essential gap" in outcomes
        else "suitable with conditions" if "marginal" in outcomes or "gap" in outcomes
        else "suitable"
    )  # fmt: skip
    assert judge(made, NO_RANGE).word == expected


def test_the_reason_is_the_worst_miss() -> None:
    found = judge([check("fail", "small", -0.1), check("fail", "large", -2.0), check("marginal", "near")], NO_RANGE)
    assert found.reason == "large text."
    assert found.fails == (("large", "large text."), ("small", "small text."))
    assert found.marginals == (("near", "near text."),) and found.conditions == ()


def test_what_a_person_must_hear_first_stands_first() -> None:
    grave = [replace(check("fail", name, -0.1), gravity=name) for name in ("load", "health", "kind")]  # type: ignore[arg-type]
    found = judge([check("fail", "large", -9.0), *grave], NO_RANGE)
    assert [title for title, _ in found.fails] == ["health", "kind", "load", "large"]
    bounds = usable_range([limit("low", 3000.0, "floor"), limit("high", 2000.0, "roof")])
    assert judge([check("fail", "large", -9.0), *grave], bounds).reason == "health text."
    missed = [check("fail", "large", -9.0), check("fail", "roof", -0.3)]
    assert judge(missed, bounds).reason.startswith("No usable range:")


def test_misses_of_different_units_are_shares_of_their_limits() -> None:
    # 0.2 octave past 2000 Hz is a ratio of 2^-0.2, a share of 0.13; 2 dB too much are 1 - 10^(-2/20) = 0.21; 4 dB too quiet 0.37
    octaves = replace(check("fail", "octaves", -0.2), margin_unit="octave", limit=2000.0)
    decibels = replace(check("fail", "decibels", -2.0), margin_unit="dB", limit=2.0)
    level = replace(check("fail", "level", -4.0), margin_unit="dB", limit=96.0)
    load = replace(check("fail", "load", -1.6), margin_unit="ohm", limit=3.2)
    assert octaves.miss == pytest.approx(0.1294, abs=1e-4) and level.miss == pytest.approx(0.369, abs=1e-3)
    assert decibels.miss == pytest.approx(0.206, abs=1e-3) and load.miss == pytest.approx(0.5)
    found = judge([octaves, level, decibels, load], NO_RANGE)
    assert [title for title, _ in found.fails] == ["load", "level", "decibels", "octaves"]


def test_a_cause_is_told_before_what_follows_from_it() -> None:
    """A high driver 9 dB too quiet leaves the bass 9 dB too loud: the level is what a person must hear, before a frame that misses by more than it."""
    level, even = (
        replace(check("fail", name, miss), margin_unit="dB") for name, miss in (("level", -8.7), ("thirds", -9.0))
    )
    frame = replace(check("fail", "frames fit", -1.0), share=0.64)
    found = judge([even, frame, level], NO_RANGE)
    assert [title for title, _ in found.fails] == ["level", "thirds", "frames fit"]
    assert [title for title, _ in judge([frame, even], NO_RANGE).fails] == ["thirds", "frames fit"]


@pytest.mark.parametrize(("at_hz", "first"), [(7100.0, "Window, seated"), (700.0, "Peak level at the seat")])
def test_an_ear_beside_a_tall_radiator_is_no_weak_amplifier(at_hz: float, first: str) -> None:
    """27 dB short at 7.1 kHz, where the seat hears nothing of a foil, follows from that; short where the low driver plays, it does not (common practice, no source)."""
    found = checks_of(example(), seated_loss_db=23.8, reachable_db=69.0, reachable_hz=at_hz)
    fails = judge([found["peak level"], found["seated window"]], NO_RANGE).fails
    assert len(fails) == 2 and fails[0][0] == first


def test_what_a_yes_hangs_on_is_heard_before_what_is_near() -> None:
    chamber = check("pass", "back", condition="Give it a chamber.")
    stand = replace(check("marginal", "standing", -9.0), condition="Sit down.")
    assert judge([check("marginal", "near", -0.5), stand, chamber], NO_RANGE).reason == "Give it a chamber."
    assert judge([check("marginal", "near", -0.5), stand], NO_RANGE).reason == "Sit down."


def test_every_essential_gap_is_named_once() -> None:
    gaps = [replace(check("not assessed", name), missing=missing) for name, missing in
            (("travel", ("Xmax",)), ("level", ("Xmax",)), ("break-up", ("Break-up",)))]  # fmt: skip
    found = judge(gaps, NO_RANGE)
    assert (found.word, found.reason) == ("undecided", "travel text. break-up text.")


def test_a_limit_that_is_no_wall_leaves_the_range_open() -> None:
    found = usable_range(
        [limit("low", 2000.0, "a"), replace(limit("high", 1500.0, "b"), wall=False), limit("high", 3000.0, "c")]
    )
    assert (found.low_hz, found.high_hz) == (2000.0, 3000.0)


def test_an_empty_range_gives_both_bounds_as_the_reason() -> None:
    bounds = usable_range([limit("low", 3000.0, "floor"), limit("high", 2000.0, "roof")])
    assert bounds.empty and bounds.octaves is not None and bounds.octaves < 0
    wanted = "No usable range: the limits overlap by 0.58 octave. floor text. roof text."  # lg2(3000/2000) = 0.58496
    assert judge([check("fail", "floor")], bounds).reason == judge([check("fail", "roof")], bounds).reason == wanted
    hair = usable_range([limit("low", 2000.0, "floor"), limit("high", 1999.0, "roof")])
    assert "overlap by 0.01 octave. floor" in judge([check("fail", "floor")], hair).reason  # never by 0.00


def test_bounds_that_overlap_within_their_margins_are_not_the_reason_of_another_fail() -> None:
    """Without that other fail the verdict would be a yes with conditions: it alone decides."""
    hair = usable_range([limit("low", 2000.0, "floor"), limit("high", 1900.0, "roof")])
    near = [check("marginal", "floor"), check("marginal", "roof")]
    assert judge(near, hair).word == "suitable with conditions"
    assert judge([*near, check("fail", "thirds")], hair).reason == "thirds text."


def test_bounds_that_overlap_within_their_tolerances_are_heard_before_what_else_is_near() -> None:
    hair = usable_range([limit("low", 2000.0, "floor"), limit("high", 1900.0, "roof")])
    worse, floor = check("marginal", "thirds", -9.0), check("marginal", "floor", -0.03)
    wanted = "Hardly a usable range: the limits overlap by 0.07 octave, within their tolerances. floor text. roof text."  # lg2(2000/1900) = 0.0740
    assert judge([worse, floor], hair).reason == judge([worse, replace(floor, id="roof")], hair).reason == wanted
    assert (
        judge([worse, floor], usable_range([limit("low", 1900.0, "floor"), limit("high", 2000.0)])).reason
        == "thirds text."
    )
    assert judge([worse], hair).reason == "thirds text."
    load = replace(check("marginal", "ohm"), gravity="load")
    assert judge([worse, floor, load], hair).reason == "ohm text."
    chamber = check("pass", "back", condition="Give it a chamber.")
    assert judge([worse, floor, chamber], hair).reason == "Give it a chamber."


def test_a_condition_of_a_passed_check_is_kept() -> None:
    found = judge([check("pass", condition="Leave the screen on.")], NO_RANGE)
    assert found.word == "suitable with conditions" and found.conditions == ("Leave the screen on.",)
    failed = judge([check("fail", condition="Leave the screen on.")], NO_RANGE)
    assert failed.conditions == ()


def test_range_takes_the_tightest_and_leaves_out_what_is_unknown() -> None:
    found = usable_range([
        limit("low", 1500.0, "a"), limit("low", 2000.0, "b"), limit("low", None, "c"), limit("high", 4000.0, "d"),
        limit("high", 3000.0, "e"), limit("high", None, "f"),
    ])  # fmt: skip
    assert (found.low_hz, found.high_hz) == (2000.0, 3000.0)
    assert found.low_binding and found.low_binding.id == "b" and found.high_binding and found.high_binding.id == "e"


def test_choice_of_crossover_with_open_sides() -> None:
    assert best_crossover_hz(usable_range([limit("low", 2000.0), limit("high", 8000.0)])) == pytest.approx(4000.0)
    assert best_crossover_hz(usable_range([limit("low", 2000.0)])) == pytest.approx(2000.0 * sqrt(2))
    assert best_crossover_hz(usable_range([limit("high", 2000.0)])) == pytest.approx(2000.0 / sqrt(2))
    assert best_crossover_hz(usable_range([])) is None
    assert usable_range([limit("low", 2000.0)]).octaves is None


def test_where_the_middle_fails_a_frequency_that_fails_nowhere_is_taken() -> None:
    """A maker's 2800 Hz knows no tolerance, a break-up's 2735 Hz is off by 5 %, to 2871.75 Hz: the middle of both bounds fails.

    Between 2800 and 2871.75 Hz nothing does; its middle is sqrt(2800 x 2871.75) = 2835.6 Hz.
    """
    maker = limit("low", 2800.0)
    cone = replace(limit("high", 2735.0), spread_hz=(2735.0 / 1.05, 2735.0 * 1.05))
    found = usable_range([maker, cone])
    assert found.empty
    assert best_crossover_hz(found) == pytest.approx(2835.6, abs=0.1)
    exact = usable_range([maker, limit("high", 2735.0)])
    assert best_crossover_hz(exact) == pytest.approx(sqrt(2800.0 * 2735.0))  # every frequency fails
    bare = usable_range(
        [maker, replace(cone, spread_hz=(2600.0, 2820.0))]
    )  # 0.7 % are left: no three digits need lie there
    assert best_crossover_hz(bare) == pytest.approx(sqrt(2800.0 * 2735.0))
    # 1904 Hz less 10 % and 1667 Hz and 5 %: between 1731 and 1750 Hz each is missed within its tolerance, but none is met
    neither = usable_range([
        replace(limit("low", 1904.0), spread_hz=(1904.0 / 1.1, 1904.0 * 1.1)),
        replace(limit("high", 1667.0), spread_hz=(1667.0 / 1.05, 1667.0 * 1.05)),
    ])  # fmt: skip
    assert best_crossover_hz(neither) == pytest.approx(sqrt(1904.0 * 1667.0))
    both = usable_range([replace(maker, spread_hz=(2800.0 / 1.05, 2800.0 * 1.05)), cone])
    assert best_crossover_hz(both) == pytest.approx(sqrt(2800.0 * 2735.0))  # within both tolerances


@every(
    ("low", "high", "chosen"),
    [
        (
            (2800.0, 1.10),
            (2600.0, 1.00),
            sqrt(2800.0 / 1.10 * 2600.0),
        ),  # from 2545.5 Hz on 2800 does not fail; 2600 is met
        (
            (1000.0, 1.03),
            (800.0, 1.40),
            sqrt(1000.0 * 800.0 * 1.40),
        ),  # 1000 Hz is met, not only missed by less than 3 %
        ((1250.0, 1.40), (1000.0, 1.03), sqrt(1250.0 / 1.40 * 1000.0)),
    ],
)
def test_of_two_bounds_the_firmer_one_is_met(low: Any, high: Any, chosen: float) -> None:
    """By hand: bound and tolerance of each; the middle of both would fail the firmer one, and what is chosen meets it."""
    found = usable_range([
        replace(limit(side, hz), spread_hz=(hz / share, hz * share)) for side, (hz, share) in (("low", low), ("high", high))  # type: ignore[arg-type]
    ])  # fmt: skip
    assert best_crossover_hz(found) == pytest.approx(chosen)


# --- the example ------------------------------------------------------------------------------------------------------


def word(crossover_hz: float, **figures: Any) -> str:
    bounds = usable_range(all_limits(built().setting))
    return judge(list(checks_of(example(), crossover_hz, **figures).values()), bounds).word


def test_a_price_that_is_not_known_is_no_fault() -> None:
    open_ = checks_of(price=None, price_missing=("Price of HD-01 (High drivers!AH2)",))
    found = judge(list(open_.values()), usable_range(all_limits(built().setting)))
    assert found.word == "suitable"
    assert found.reason.startswith(
        "Every check passes but Price, which is not assessed; the usable range is 0.60 octave"
    )


def test_a_shelf_that_nobody_counts_is_no_fault_and_is_told() -> None:
    uncounted = changed(low={"stock": None}, high={"stock": None}, stock=())
    open_ = checks_of(uncounted, price=None, price_missing=("Price of HD-01 (High drivers!AH2)",))
    found = judge(list(open_.values()), usable_range(all_limits(built().setting)))
    assert found.word == "suitable"
    assert found.reason.startswith("Every check passes but Stock and Price, which are not assessed; ")


def test_the_example_is_suitable_when_the_network_is() -> None:
    found = judge(list(checks_of().values()), usable_range(all_limits(built().setting)))
    assert found.word == "suitable"
    assert found.reason == "Every check passes; the usable range is 0.60 octave wide, from resonance to cone break-up."


def test_moving_the_crossover_through_the_range() -> None:
    # resonance 1980 Hz with 10 %, so that 1980/1.1 is the first marginal frequency; break-up 3002 Hz with 5 %, so that 3002 x 1.05 is the last marginal frequency
    assert word(1980.0 / 1.11) == "not suitable"
    assert word(1980.0 / 1.09) == "suitable with conditions"
    assert word(1980.0 * 1.09) == "suitable with conditions"
    assert word(2400.0) == "suitable"
    assert word(3002.2 / 2**0.079) == "suitable with conditions"
    assert word(3002.2 * 1.04) == "suitable with conditions"
    assert word(3002.2 * 1.06) == "not suitable"


def test_no_network_is_undecided_and_never_suitable() -> None:
    assert word(2400.0, not_designed="no coil is large enough") == "undecided"


def test_a_missing_essential_datum_is_undecided() -> None:
    case = changed(low={"breakup_hz": None})
    found = judge(list(checks_of(case).values()), usable_range(list(limits_of(case).values())))
    assert found.word == "undecided" and "Cone break-up of LD-01 (Low drivers!" in found.reason
    bounded = changed(low={"breakup_hz": None, "highest_use_hz": 3000.0})
    assert judge(list(checks_of(bounded).values()), NO_RANGE).word == "suitable with conditions"
