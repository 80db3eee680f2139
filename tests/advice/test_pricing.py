"""Prices of the list: tax and rounding by hand, and who may be on it."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction
from functools import cache
from math import floor
from typing import Any

from reportgen.advice.pricing import offers, price_listing, suits, unpriced, unpriced_notes
from reportgen.assessment import Assessment, Ware
from reportgen.suitability.verdict import Verdict
from tests.demo_catalogue import demo, demo_assessed
from tests.every import every


@cache
def base() -> Assessment:
    return demo_assessed("P-06")


def kit(price: float | None, word: Any = "suitable", decision: str = "open", id_: str = "P-06") -> Assessment:
    found = base()
    assert found.network is not None and found.figures is not None
    network = replace(found.network, figures=replace(found.figures, pair_price=price))
    case = replace(found.case, pairing=replace(found.case.pairing, decision=decision, id=id_))
    return replace(found, network=network, case=case, verdict=Verdict(word, "made up"))


@every(
    ("price", "tax", "step", "net", "gross"),
    [
        (100.0, 0.2, 0.01, "100.00", "120.00"),
        (99.99, 0.19, 0.01, "99.99", "118.99"),  # 118.9881
        (99.99, 0.19, 1.0, "100.00", "119.00"),  # each rounded once: 118.9881, not 119.0 x 1
        (100.3, 0.2, 0.5, "100.50", "120.50"),  # 120.36 rounds to 120.5; 100.5 x 1.2 would be 120.6
        (0.125, 0.0, 0.01, "0.13", "0.13"),  # halves up
        (1234.0, None, 5.0, "1235.00", None),
    ],
)
def test_both_prices_come_from_the_exact_sum_and_are_rounded_once(
    price: float, tax: float | None, step: float, net: str, gross: str | None
) -> None:
    maker = replace(demo().maker, tax=tax, price_step=step)
    (found,) = offers([Ware.of(kit(price))], maker)
    assert str(found.net) == net
    assert found.gross is None if gross is None else str(found.gross) == gross


@every(
    ("currency", "price", "net", "gross"),
    [
        ("JPY", 12500.5, "12501", "13751"),  # 12500.5 x 1.1 = 13750.55; no yen has a hundredth
        ("KWD", 41.0625, "41.060", "45.170"),  # 45.16875, at 0.01 as the step has it, with the coin's three decimals
        ("EUR", 0.1 + 0.2, "0.30", "0.33"),  # the binary sum is 0.30000000000000004
    ],
)
def test_a_price_has_the_decimals_of_its_currency(currency: str, price: float, net: str, gross: str) -> None:
    maker = replace(demo().maker, tax=0.1, price_step=0.01, currency=currency)
    (found,) = offers([Ware.of(kit(price))], maker)
    assert (str(found.net), str(found.gross)) == (net, gross)


def test_two_rows_of_the_list_by_hand() -> None:
    """Sedge: LD-02 48, HD-09 134, and a network that its parts add up to; two loudspeakers a kit, 20 % tax, steps of 0.50."""
    found = base()
    assert (found.case.low.price, found.case.high.price) == (48.0, 134.0)
    priced = [replace(part, price=price) for part, price in zip(found.parts, (1.9, 2.9, 5.4, 7.3), strict=False)]
    network = replace(
        found.network, parts=tuple(priced), figures=replace(found.figures, pair_price=2 * (48 + 134 + 17.5))
    )  # type: ignore[arg-type,type-var]
    (offer,) = offers([Ware.of(replace(found, network=network, verdict=Verdict("suitable", "made up")))], demo().maker)
    assert str(offer.net) == "399.00"  # 2 x (48.00 + 134.00 + 1.90 + 2.90 + 5.40 + 7.30) = 2 x 199.50
    assert str(offer.gross) == "479.00"  # 399.00 x 1.20 = 478.80, at the nearest 0.50 is 479.00


@every(("rating", "words"), [(63.0, "capacitor 4.7 uF of 63 V"), (None, "capacitor 4.7 uF")])
def test_what_states_no_price_is_named_for_the_operator(rating: float | None, words: str) -> None:
    """With the rating that it is bought for: the value may stand in the Parts sheet with too low a one."""
    found = base()
    parts = [replace(part, price=1.0) for part in found.parts]
    parts[0] = replace(
        parts[0], price=None, part_id=None, kind="C", value=4.7e-6, made_of=(), rating_to_buy=rating, rating_unit="V"
    )
    network = replace(found.network, parts=tuple(parts), figures=replace(found.figures, pair_price=None))  # type: ignore[arg-type,type-var]
    offered = offers([Ware.of(replace(found, network=network, verdict=Verdict("suitable", "made up")))], demo().maker)
    assert unpriced(offered[0]) == (words,)
    assert unpriced_notes(offered)[0] == f"P-06 has no price: {words}"
    row = price_listing(offered, demo().maker).rows[0]
    assert row[-3:] == (None, None, words)


def test_what_may_not_be_sold_never_appears_and_the_cheapest_comes_first() -> None:
    found = [
        kit(300.0, id_="A"), kit(None, id_="B"), kit(200.0, "suitable with conditions", id_="C"), kit(10.0, "not suitable", id_="D"),
        kit(11.0, "undecided", id_="E"), kit(12.0, decision="rejected", id_="F"), kit(13.0, decision="on hold", id_="G"),
        kit(200.0, decision="accepted", id_="H"),
    ]  # fmt: skip
    assert [one.ware.id for one in offers([Ware.of(each) for each in found], demo().maker)] == ["C", "H", "A", "B"]


def test_a_row_of_the_list_by_hand() -> None:
    """Figures as the trade prints them: the highest level in whole decibels, sensitivity and litres with one decimal, the level with the amplifier that reaches it."""
    found = base()
    assert found.network is not None and found.figures is not None
    figures = replace(
        found.figures, sensitivity_db=87.4, effective_range_hz=(48.0, 21000.0), rated_impedance_ohm=4.0, highest_level_db=101.6,
        net_volume_m3=0.01234, pair_price=399.0, amplifier_w=(30.0, 120.0),
    )  # fmt: skip
    pairing = replace(
        found.case.pairing,
        kit="Sedge",
        surroundings="home",
        placement="near a wall",
        distance_m=2.5,
        amplifier_power_w=90.0,
        peak_level_db=97.0,
        low_count=2,
    )
    made = replace(
        found,
        network=replace(found.network, figures=figures),
        case=replace(found.case, pairing=pairing),
        verdict=Verdict("suitable", "made up"),
    )
    maker = replace(demo().maker, tax=0.2, price_step=0.01)
    listing = price_listing(offers([Ware.of(made)], maker), maker)
    by_name = dict(zip([field.name for field in listing.fields], listing.rows[0], strict=True))
    assert by_name == {
        "Kit": "Sedge", "Pairing": "P-06", "Drivers": "2 x LD-02 and HD-09", "Verdict": "suitable", "Sensitivity (dB)": 87.4, "Range from": 48.0,
        "Range to": 21000.0, "Rated impedance (ohm)": 4.0, "Highest level (dB)": 102, "Net volume (L)": 12.3,
        "It suits": "home, near a wall, up to 102 dB at 2.5 m with 90 W, 120 W at most", "A kit": 399.0, "With tax": 478.8, "Without a price": "",
    }  # fmt: skip
    # 60 W, twice the 30 that reach 97 dB, reach 10 lg 2 = 3.01 dB more, which is less than the 101.6 dB of 90 W
    burning = replace(made, network=replace(found.network, figures=replace(figures, amplifier_w=(30.0, 60.0))))
    assert suits(offers([Ware.of(burning)], maker)[0]) == "home, near a wall, up to 100 dB at 2.5 m with 60 W, no more"
    kinds = {field.name: field.kind for field in listing.fields}
    assert {name for name, kind in kinds.items() if kind == "count"} == {
        "Sensitivity (dB)", "Rated impedance (ohm)", "Highest level (dB)", "Net volume (L)",
    }  # fmt: skip
    assert {name for name, kind in kinds.items() if kind == "money"} == {"A kit", "With tax"}
    assert {name for name, kind in kinds.items() if kind == "hz"} == {"Range from", "Range to"}
    assert {name for name, kind in kinds.items() if kind == "id"} == {"Kit", "Pairing"}


def test_an_amplifier_without_an_upper_end_is_not_bounded() -> None:
    found = base()
    assert found.network is not None and found.figures is not None
    figures = replace(found.figures, amplifier_w=(30.0, None), pair_price=None)
    made = replace(found, network=replace(found.network, figures=figures), verdict=Verdict("suitable", "made up"))
    watts = made.case.pairing.amplifier_power_w
    assert suits(offers([Ware.of(made)], demo().maker)[0]).endswith(f" m with {watts:g} W")


@every("seed", range(4))
def test_any_price_tax_and_step_are_rounded_once_halves_up(seed: int) -> None:
    """In fractions: to the nearest whole number of steps, a half going up, of the price and of the price with its tax."""
    draw = random.Random(seed)
    for _ in range(40):
        price, tax = draw.randint(1000, 99999) / 100, draw.choice((0.0, 0.07, 0.077, 0.19, 0.25))
        step = draw.choice((0.01, 0.05, 0.1, 0.5, 1.0, 5.0))
        (found,) = offers([Ware.of(kit(price))], replace(demo().maker, tax=tax, price_step=step))
        exact, unit = Fraction(repr(price)), Fraction(repr(step))
        for told, wanted in ((found.net, exact), (found.gross, exact * (1 + Fraction(repr(tax))))):
            assert Fraction(str(told)) == floor(wanted / unit + Fraction(1, 2)) * unit, (price, tax, step)
