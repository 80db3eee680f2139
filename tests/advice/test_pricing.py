"""Prices of the list: tax and rounding by hand, and who may be on it."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import cache
from typing import Any

import pytest

from reportgen.advice.pricing import offers, rounded
from reportgen.assessment import Assessment
from reportgen.suitability.verdict import Verdict
from tests.demo_catalogue import demo, demo_assessed


@cache
def base() -> Assessment:
    return demo_assessed("P-06")


def kit(price: float | None, word: Any = "suitable", decision: str = "open", id_: str = "P-06") -> Assessment:
    found = base()
    assert found.network is not None and found.figures is not None
    network = replace(found.network, figures=replace(found.figures, pair_price=price))
    case = replace(found.case, pairing=replace(found.case.pairing, decision=decision, id=id_))
    return replace(found, network=network, case=case, verdict=Verdict(word, "made up"))


@pytest.mark.parametrize(
    ("price", "tax", "step", "net", "gross"),
    [
        (100.0, 0.2, 0.01, "100.00", "120.00"),
        (99.99, 0.19, 0.01, "99.99", "118.99"),  # 118.9881
        (99.99, 0.19, 1.0, "100", "119"),  # each rounded once: 118.9881, not 119.0 x 1
        (100.3, 0.2, 0.5, "100.5", "120.5"),  # 120.36 rounds to 120.5; 100.5 x 1.2 would be 120.6
        (0.125, 0.0, 0.01, "0.13", "0.13"),  # halves up
        (1234.0, None, 5.0, "1235", None),
    ],
)
def test_both_prices_come_from_the_exact_sum_and_are_rounded_once(
    price: float, tax: float | None, step: float, net: str, gross: str | None
) -> None:
    maker = replace(demo().maker, tax=tax, price_step=step)
    (found,) = offers([kit(price)], maker)
    assert found.net == Decimal(net)
    assert found.gross == (None if gross is None else Decimal(gross))


def test_halves_go_up_and_the_step_keeps_its_decimals() -> None:
    assert str(rounded(Decimal("2.5"), 1.0)) == "3"
    assert str(rounded(Decimal("0.075"), 0.05)) == "0.10"


def test_what_may_not_be_sold_never_appears_and_the_cheapest_comes_first() -> None:
    found = [
        kit(300.0, id_="A"), kit(None, id_="B"), kit(200.0, "suitable with conditions", id_="C"), kit(10.0, "not suitable", id_="D"),
        kit(11.0, "undecided", id_="E"), kit(12.0, decision="rejected", id_="F"), kit(13.0, decision="on hold", id_="G"),
        kit(200.0, decision="accepted", id_="H"),
    ]  # fmt: skip
    assert [one.assessment.id for one in offers(found, demo().maker)] == ["C", "H", "A", "B"]
