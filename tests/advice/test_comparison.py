"""Side by side: what differs, what does not, and one axis for all."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from reportgen.advice.comparison import FIGURES, Bar, Comparison, Figure, axis_hz, compare
from reportgen.advice.listings import DECIMALS
from reportgen.assessment import Assessment, assess
from tests.demo_catalogue import demo_case
from tests.every import every


@cache
def assessed(slope: str) -> Assessment:
    return assess(demo_case("P-01", pairing={"id": f"P-{slope}", "slope": slope}))


@cache
def compared() -> Comparison:
    return compare([assessed("LR4"), assessed("LR2")])


def figure(name: str) -> Figure:
    return next(one for one in (*compared().differing, *compared().alike) if one.name == name)


def test_figures_are_those_of_the_assessments() -> None:
    one, other = assessed("LR4"), assessed("LR2")
    assert compared().ids == ("P-LR4", "P-LR2")
    assert figure("Slope").values == ("LR4", "LR2")
    assert figure("Range from").values == (one.found_range.low_hz, other.found_range.low_hz)
    assert figure("Price of one") == Figure("Price of one", "EUR", (one.price, other.price))
    assert figure("Centre spacing").values == (pytest.approx(150.0), pytest.approx(150.0))
    assert compared().prices == (one.price, other.price)
    assert {unit for _, unit, _ in FIGURES} == {*DECIMALS, "currency"}, (
        "a unit of no decimals would be printed as money"
    )


def test_what_differs_and_what_does_not() -> None:
    differing, alike = ({one.name for one in group} for group in (compared().differing, compared().alike))
    assert {"Slope", "Verdict", "Range from", "Range to", "Crossover"} <= differing
    assert {"Low driver", "High driver", "Cabinet", "Centre spacing"} <= alike
    assert not differing & alike


@every(
    ("values", "differs"),
    [
        ((2000.0, 2000.1), False),
        ((2000.0, 2002.0), True),
        (("a", "b"), True),
        ((None, 1.0), True),
        ((None, None), False),
    ],
)
def test_figures_differ_when_their_print_does(values: tuple[float | str | None, ...], differs: bool) -> None:
    assert Figure("x", "Hz", values).differs is differs


def test_the_axis_holds_every_range_and_crossover() -> None:
    low, high = compared().axis_hz
    for bar in compared().bars:
        for hz in (bar.low_hz, bar.high_hz, bar.crossover_hz):
            assert hz is not None and low < hz < high
    open_bar = Bar("X", "undecided", None, None, None, "", "")
    assert axis_hz([open_bar]) == (500.0, 10000.0)
    assert axis_hz([replace(open_bar, low_hz=990.0), replace(open_bar, high_hz=9900.0)]) == (700.0, 15000.0)


def test_a_missing_figure_stays_missing() -> None:
    unpriced = assess(demo_case("P-01", pairing={"id": "P-X"}, high={"price": None}))
    found = compare([assessed("LR4"), unpriced])
    assert found.prices[1] is None
    assert next(one for one in found.differing if one.name == "Price of one").values[1] is None


def test_a_comparison_takes_two_different_pairings() -> None:
    for given in ([], [assessed("LR4")], [assessed("LR4"), assessed("LR4")]):
        with pytest.raises(ValueError, match="takes two pairings or more, each once"):
            compare(given)
