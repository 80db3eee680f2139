"""Networks of demo pairings through the whole assessment: every slope, every parts policy, every rating."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from reportgen.assessment import assess
from reportgen.catalogue.columns import SLOPES
from reportgen.crossover.parts import E_SERIES
from reportgen.pairing.as_used import Setting
from reportgen.suitability.limits import all_limits
from tests.demo_catalogue import demo, demo_case
from tests.demo_catalogue import demo_assessed as assessed
from tests.every import every

PAIRINGS = tuple(demo().pairings)


def outcome(found, check):
    return next(one.outcome for one in found.checks if one.id == check)


@pytest.mark.parametrize("slope", SLOPES)
def test_every_slope_of_the_workbook_is_limited_designed_and_checked(slope):
    found = assess(demo_case("P-18", pairing={"slope": slope}), drawn=False)
    assert found.design is not None, found.not_designed
    assert found.design.slope.name == slope
    bounds = {limit.id: limit.hz for limit in found.limits}
    assert all(bounds[name] is None or np.isfinite(bounds[name]) for name in bounds)
    assert found.electrical.minimum_ohm >= 3.2
    assert found.design.sum_rms_db < 1.2
    assert {"evenness", "impedance minimum", "part stress", "good builds"} <= {check.id for check in found.checks}


def test_a_shallower_slope_of_the_family_is_bounded_more_narrowly():
    """Break-up and resonance leave less room below and above, Bessel like the others (practice factors by order)."""
    for family in ("BW", "BE"):
        found = [all_limits(Setting(demo_case("P-01", pairing={"slope": f"{family}{order}"}))) for order in (2, 3, 4)]
        for name, rising in (("break-up", True), ("resonance", False)):
            hz = [next(limit.hz for limit in limits if limit.id == name) for limits in found]
            assert hz == sorted(hz, reverse=not rising)
            assert hz[0] != hz[2]


@every("pairing", PAIRINGS)
def test_no_network_of_the_season_falls_below_the_usual_amplifiers_load(pairing):
    """80 % of 4 ohm (IEC 60268-5), over the whole grid."""
    found = assessed(pairing)
    assert found.design is not None
    assert min(found.curves.impedance_ohm) >= 3.2
    assert outcome(found, "impedance minimum") == "pass"


def test_the_sums_of_the_season_are_even():
    """Median rms at most 0.7 dB; the worst 2 dB, but where both drivers dip on their open baffle (P-11)."""
    designs = {pairing: assessed(pairing).design for pairing in PAIRINGS}
    assert np.median([design.sum_rms_db for design in designs.values()]) <= 0.7
    uneven = {pairing for pairing, design in designs.items() if abs(design.sum_worst_db) > 2.0}
    assert uneven == {"P-11"}


def stocked(**changes):
    """P-16 takes its parts from the shelf; every line of the shelf with some fields changed."""
    case = demo_case("P-16")
    return replace(case, stock=tuple(replace(part, **changes) for part in case.stock))


def test_parts_from_the_shelf_are_singles_or_pairs_of_it():
    case = stocked()
    found = assess(case, drawn=False)
    shelf = {part.id: part.value for part in case.stock}
    for part in found.parts:
        ids = part.part_id.split(" + ")
        values = [shelf[one] for one in ids]
        assert len(ids) == 1 or (list(part.made_of) == values and part.kind != "L")
        if len(ids) == 2:
            adds = (part.kind == "C") == (part.join == "parallel")
            made = sum(values) if adds else 1.0 / sum(1.0 / value for value in values)
            assert part.value == pytest.approx(made)
    assert found.design.loss_db < 0.3


def test_a_coarse_shelf_is_widened_by_pairs_in_series_and_parallel():
    """Three capacitors and three resistors only: pairs fill the gaps between them."""
    case = demo_case("P-16")
    kept = {"KC-2u2", "KC-6u8", "KC-22", "KR-1", "KR-4e7", "KR-22"}
    coarse = replace(case, stock=tuple(p for p in case.stock if p.kind == "inductor" or p.id in kept))
    found = assess(coarse, drawn=False)
    joins = {(part.kind, part.join) for part in found.parts if part.join}
    assert {kind for kind, _ in joins} <= {"C", "R"}
    assert any(kind == "C" for kind, _ in joins)
    assert found.design.sum_rms_db < 1.0


@pytest.mark.parametrize(("kind", "rating"), [("capacitor", 5.0), ("inductor", 0.05), ("resistor", 0.01)])
def test_an_under_rated_part_in_stock_fails_the_stress_check(kind, rating):
    case = demo_case("P-16")
    assert outcome(assess(case, drawn=False), "part stress") == "pass"
    stock = tuple(replace(part, rating=rating if part.kind == kind else 1e4) for part in case.stock)
    found = assess(replace(case, stock=stock), drawn=False)
    assert outcome(found, "part stress") == "fail"
    letter = {"capacitor": "C", "inductor": "L", "resistor": "R"}[kind]
    text = next(check.text for check in found.checks if check.id == "part stress")
    assert set(re.findall(r"[CLR](?=\d)", text)) == {letter}
    assert found.verdict.word == "not suitable"


def test_preferred_values_are_of_the_series():
    found = assess(demo_case("P-01", pairing={"parts_policy": "preferred"}), drawn=False)
    for part in found.parts:
        digits = float(f"{part.value:.6e}".split("e")[0])
        assert any(abs(digits - step) < 1e-6 for step in E_SERIES["E24" if part.kind == "R" else "E12"])


def test_the_reasons_of_the_season_are_few_and_short():
    for pairing in ("P-01", "P-11", "P-16", "P-24"):
        reasons = assessed(pairing).design.reasons
        assert 3 <= len(reasons) <= 6
        assert sum(len(line) for line in reasons) < 1000
