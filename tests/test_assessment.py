"""One whole assessment: its parts fit together, nothing is invented where data are missing, and it repeats itself."""

from __future__ import annotations

import pickle
from dataclasses import FrozenInstanceError, replace
from math import atan2, isfinite, log10, pi, sin
from types import SimpleNamespace
from typing import Any

import pytest
from scipy.special import j1

from reportgen.assessment import Assessment, assess
from reportgen.pairing.as_used import Setting
from reportgen.problems import CannotAssess
from reportgen.suitability import choice
from reportgen.suitability.choice import three_digits
from reportgen.suitability.limits import Limit
from reportgen.suitability.verdict import judge, usable_range
from tests.demo_catalogue import demo, demo_assessed, demo_case
from tests.demo_catalogue import demo_assessed as assessed
from tests.every import every


def outcome(found: Assessment, name: str) -> str:
    return next(check.outcome for check in found.checks if check.id == name)


PAIRINGS = ["P-01", "P-07", "P-12", "P-18"]


@every("pairing", PAIRINGS)
def test_range_choice_and_verdict_follow_from_limits_and_checks(pairing: str) -> None:
    found = assessed(pairing)
    assert found.id == pairing
    assert found.found_range == usable_range(found.limits)
    low, high, at = found.found_range.low_hz, found.found_range.high_hz, found.crossover_hz
    assert at is not None and low is not None and high is not None and low < at < high and at == three_digits(at)
    assert bool(found.crossover_why) is not found.crossover_fixed
    assert found.crossover_fixed is (found.case.pairing.crossover_hz is not None)
    assert found.verdict == judge(found.checks, found.found_range)
    assert {limit.id for limit in found.limits} <= {check.id for check in found.checks}


@pytest.mark.parametrize(
    ("decision", "flagged"), [("accepted", True), ("rejected", False), ("open", False), ("on hold", False)]
)
def test_a_decision_against_the_verdict_is_told(decision: str, flagged: bool) -> None:
    found = assess(demo_case("P-07", pairing={"decision": decision, "decided_by": "M. Quill"}))
    assert found.verdict.word == "not suitable"
    assert found.headline == ("Accepted by M. Quill against this verdict. " if flagged else "") + found.verdict.reason
    works = replace(found, verdict=replace(found.verdict, word="suitable with conditions"))
    assert works.headline == works.verdict.reason


@every("pairing", PAIRINGS)
def test_price_is_the_sum_of_what_is_bought(pairing: str) -> None:
    found = assessed(pairing)
    case = found.case
    drivers = (case.low.price or 0) * case.pairing.low_count + (case.high.price or 0) * case.pairing.high_count
    guide = (case.guide.price or 0) * case.pairing.high_count if case.guide else 0
    assert found.price == pytest.approx(
        drivers + guide + ((found.network.parts_price if found.network else None) or 0.0)
    )


@every("pairing", PAIRINGS)
def test_traces_are_whole(pairing: str) -> None:
    curves = assessed(pairing).curves
    assert curves is not None
    count = len(curves.frequency_hz)
    for name in ("low_db", "high_db", "sum_db", "target_db", "impedance_ohm", "max_level_db", "sum_index_db"):
        trace = getattr(curves, name)
        assert len(trace) == count and all(isfinite(value) for value in trace)


def test_an_assessment_is_frozen_and_survives_the_way_to_another_process() -> None:
    found = assessed("P-01")
    with pytest.raises(FrozenInstanceError):
        found.price = 1.0  # type: ignore[misc]
    copy = pickle.loads(pickle.dumps(found))
    assert (copy.verdict, copy.checks, copy.parts, copy.curves) == (
        found.verdict,
        found.checks,
        found.parts,
        found.curves,
    )


def test_the_same_case_twice_gives_the_same() -> None:
    one, other = assess(demo_case("P-01")), assess(demo_case("P-01"))
    assert one.network is not None and other.network is not None
    assert (one.verdict, one.checks, one.parts, one.curves, one.spread, one.network.netlist) == (
        other.verdict, other.checks, other.parts, other.curves, other.spread, other.network.netlist,
    )  # fmt: skip


def test_a_fixed_crossover_is_kept_even_outside_the_range() -> None:
    found = assess(demo_case("P-01", pairing={"crossover_hz": 1500.0}))
    assert (found.crossover_hz, found.crossover_fixed) == (1500.0, True)
    assert found.design is not None and found.design.crossover_hz == 1500.0
    assert found.verdict.word == "not suitable" and outcome(found, "resonance") == "fail"


def test_without_a_place_for_the_drivers_no_network_is_invented() -> None:
    found = assess(demo_case("P-01", pairing={"centre_spacing_m": None}, low={"frame_width_m": None}))
    assert found.design is None and found.curves is None and found.parts == () and found.network is None
    assert "give “Centre spacing (mm)”" in found.not_designed
    assert found.layout.frames == () and found.layout.spacing_m is None
    for name in ("level", "evenness", "impedance minimum", "good builds", "part stress", "seated window"):
        assert outcome(found, name) == "not assessed"
    assert found.verdict.word == "undecided"


def test_nothing_to_bound_the_crossover_is_an_error_that_says_what_to_give(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("reportgen.assessment.all_limits", lambda setting: ())
    with pytest.raises(CannotAssess, match="P-01: nothing bounds the crossover; give “Crossover"):
        assess(demo_case("P-01"))


def test_a_missing_price_is_named_and_not_counted_as_nothing() -> None:
    found = assess(demo_case("P-01", high={"price": None}))
    assert found.price is None
    check = next(check for check in found.checks if check.id == "price")
    assert check.outcome == "not assessed" and check.missing[0].startswith("Price of HD-01 (High drivers!")


def test_figures_that_disagree_are_named_by_both_cells() -> None:
    # BL^2 = 2 pi fs Mms Re/Qes (Small 1972): 42 Hz, 14 g, 5.6 ohm, 0.575 give 6.0 T m
    assert outcome(assessed("P-01"), "data agree") == "pass"
    check = next(
        check for check in assess(demo_case("P-01", low={"force_factor_t_m": 8.0})).checks if check.id == "data agree"
    )
    assert check.outcome == "marginal"
    assert "BL" in check.text and "LD-01" in check.text and "Low drivers!" in check.text


def test_parts_without_a_stated_rating_leave_their_stress_open() -> None:
    case = demo_case("P-01", pairing={"parts_policy": "stock"})
    found = assess(replace(case, stock=tuple(replace(part, rating=None) for part in case.stock)))
    check = next(check for check in found.checks if check.id == "part stress")
    assert check.outcome == "not assessed"
    assert all(text.startswith("Rating of K") and "(Parts!" in text for text in check.missing)
    used = {name for part in found.parts if part.part_id for name in part.part_id.split(" + ")}
    assert {text.split()[2] for text in check.missing} <= used


def test_the_loss_at_the_seated_ear_is_that_of_the_piston() -> None:
    case = demo_case("P-01", pairing={"ear_height_m": 1.6})
    check = next(check for check in assess(case).checks if check.id == "seated window")
    setting = Setting(case)
    height, depth = 1.6 - setting.high_centre_m[1], 2.5 - setting.high_centre_m[2]
    x = 2 * pi * 15000 / 343.215 * 0.0135 * sin(atan2(height, depth))
    loss = -20 * log10(2 * j1(x) / x)  # the longer way takes as much from the bass
    assert check.value == pytest.approx(loss, abs=0.1)  # the grid has 80 points a decade


def test_safe_time_and_assumptions() -> None:
    found = assessed("P-01")
    hours = 8 * 2 ** (-(found.case.pairing.peak_level_db - 10.0 - 85) / 3)  # NIOSH 98-126
    assert f": {hours:.2g} h a day" in next(one.text for one in found.cautions if one.id == "hearing")
    assert 4 <= len(found.assumptions) <= 8 and all(line.endswith(".") for line in found.assumptions)
    assert any("HD-02: impedance measured" in line for line in assessed("P-20").assumptions)


def test_every_figure_has_its_limit_its_margin_and_its_source() -> None:
    for pairing in PAIRINGS:
        for check in assessed(pairing).checks:
            assert check.source and check.text.endswith(".") and check.title
            if check.outcome == "not assessed":
                assert check.value is None and check.margin is None
            elif check.value is not None and check.id != "price":  # nothing bounds a price
                assert check.limit is not None and check.margin is not None and check.margin_unit
                slack = 0.5 if check.id in ("level", "peak level") else 0.0  # shorter than that is no shortfall
                assert check.id == "bandwidth" or (check.margin < -slack) <= (check.outcome in ("fail", "marginal"))
            if check.outcome == "pass" and check.margin is not None:
                assert check.margin >= -0.5 or check.id == "bandwidth"


def test_empty_cells_that_the_model_did_without_stand_on_the_sheet() -> None:
    bare = assess(demo_case("P-01", low={"le_h": None, "vas_m3": None}))
    assert any(line.startswith("Le of LD-01 (Low drivers!") for line in bare.assumptions)
    assert any(line.startswith("Vas of LD-01 (Low drivers!") and "free air" in line for line in bare.assumptions)
    assert bare.assumptions[-1] == "Tolerances are drawn at random, 1000 builds, always the same ones."
    assert not any(
        "random" in line for line in assess(demo_case("P-01", pairing={"crossover_hz": 15000.0})).assumptions
    )


def test_every_demo_pairing_can_be_assessed() -> None:
    words = {demo_assessed(pairing).verdict.word for pairing in demo().pairings}
    assert {"suitable", "suitable with conditions", "not suitable"} <= words


@pytest.mark.parametrize(("let_through", "counts"), [("pass", False), ("marginal", False), ("fail", True), ("not assessed", True)])  # fmt: skip
def test_heat_that_the_network_does_not_let_through_closes_no_range(
    monkeypatch: pytest.MonkeyPatch, let_through: Any, counts: bool
) -> None:
    """By the sensitivities it takes 3000 Hz, and the cone breaks up over 2500 Hz; the watts of the network itself decide."""
    bounds = [("resonance", "low", 1800.0), ("heat", "low", 3000.0), ("break-up", "high", 2500.0)]
    limits = tuple(Limit(id_, id_, side, hz, "", "") for id_, side, hz in bounds)  # type: ignore[arg-type]
    heat = replace(next(one for one in demo_assessed("P-01").checks if one.id == "heat"), outcome=let_through)
    model: Any = SimpleNamespace()
    monkeypatch.setattr(choice, "choose", lambda *_: SimpleNamespace(checks=(heat,)))
    counted, found, _ = choice.choose_by(model, limits)
    assert [one.id for one in counted] == [id_ for id_, *_ in bounds if counts or id_ != "heat"]
    assert (found.empty, found.low_hz, found.high_hz) == (counts, 3000.0 if counts else 1800.0, 2500.0)


def test_heat_beside_an_open_range_bounds_it_as_ever(monkeypatch: pytest.MonkeyPatch) -> None:
    limits = (Limit("heat", "Heat", "low", 2000.0, "", ""), Limit("break-up", "Break-up", "high", 2500.0, "", ""))
    model: Any = SimpleNamespace()
    monkeypatch.setattr(choice, "choose", lambda *_: None)
    counted, found, _ = choice.choose_by(model, limits)
    assert counted == limits and found.low_hz == 2000.0
