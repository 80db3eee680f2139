"""Preferred values against IEC 60063 and pairs against their textbook formulas."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reportgen.crossover import parts
from reportgen.crossover.networks import Component
from reportgen.crossover.parts import (
    E_SERIES,
    PartOffer,
    nearest_preferred,
    pair,
    paired_rating,
    paired_value,
    preferred_values,
    stock_candidates,
    used_ids,
)
from tests.every import every

PLACE = Component("C", 5e-6, role="series capacitor")


HISTORICAL = {2.6: 2.7, 2.9: 3.0, 3.2: 3.3, 3.5: 3.6, 3.8: 3.9, 4.2: 4.3, 4.6: 4.7, 8.3: 8.2}
"""Where IEC 60063 keeps an older value in place of the rounded power (memory)."""


def test_e24_is_the_rounded_power_but_for_the_historical_values():
    """IEC 60063: ten to the n/24, rounded to two digits, with eight older values kept."""
    rounded = [round(10 ** (n / 24), 1) for n in range(24)]
    assert sorted(set(HISTORICAL) & set(rounded)) == sorted(HISTORICAL)
    assert tuple(HISTORICAL.get(value, value) for value in rounded) == E_SERIES["E24"]


def test_each_series_takes_every_other_value_of_the_next():
    """IEC 60063 builds E12 from E24 and E6 from E12 by leaving out every other value."""
    assert E_SERIES["E24"][::2] == E_SERIES["E12"]
    assert E_SERIES["E12"][::2] == E_SERIES["E6"]


def test_preferred_values_run_over_decades():
    assert preferred_values("E6", 0.9e-6, 11e-6).tolist() == pytest.approx(
        [1e-6, 1.5e-6, 2.2e-6, 3.3e-6, 4.7e-6, 6.8e-6, 10e-6]
    )


@given(st.floats(1e-7, 1e3))
def test_the_nearest_value_is_never_further_than_half_a_step(value):
    assert abs(np.log(nearest_preferred("E24", value) / value)) <= np.log(1.3 / 1.1) / 2 + 1e-9


@every(
    ("kind", "join", "expected"),
    [("C", "parallel", 9.0), ("C", "series", 2.0), ("R", "series", 9.0), ("R", "parallel", 2.0)],
)
def test_pairs_follow_the_textbook(kind, join, expected):
    assert paired_value(kind, 3.0, 6.0, join) == pytest.approx(expected)


@every(
    ("kind", "join", "expected"),
    [
        ("C", "parallel", 63.0),  # one voltage on both
        ("L", "series", 63.0),  # one current through both
        ("C", "series", 94.5),  # the smaller one takes 2/3 of the voltage: 63 V / (2/3)
        ("R", "series", 94.5),  # the larger one takes 2/3 of the power
        ("R", "parallel", 94.5),  # the smaller one takes 2/3 of the power
    ],
)
def test_pair_ratings_hold_both_parts_within_their_own(kind, join, expected):
    """Worked by hand for 3 and 6 units, rated 100 and 63; the smaller rating sits on the part that takes the larger share."""
    large_share_first = (kind, join) in {("C", "series"), ("R", "parallel")}
    small = PartOffer("a", kind, 3.0, rating=63.0 if large_share_first else 100.0)
    large = PartOffer("b", kind, 6.0, rating=100.0 if large_share_first else 63.0)
    assert paired_rating(small, large, join) == pytest.approx(expected)


def test_a_pair_carries_what_it_is_made_of():
    first = PartOffer("C-33", "C", 3.3e-6, 0.05, 0.02, 100.0, "V", 2.0, 3)
    second = PartOffer("C-15", "C", 1.5e-6, 0.10, 0.04, 63.0, "V", 1.2, 3)
    both = pair(first, second, "parallel", PLACE)
    assert both.value == pytest.approx(4.8e-6)
    assert both.made_of == (3.3e-6, 1.5e-6)
    assert (both.join, both.role, both.part_id) == ("parallel", "series capacitor", "C-33 + C-15")
    assert (both.tolerance, both.rating) == (0.10, 63.0)
    assert both.price == pytest.approx(3.2)
    assert both.resistance_ohm == pytest.approx((0.02 * 3.3**2 + 0.04 * 1.5**2) / 4.8**2)
    assert used_ids(both) == ("C-33", "C-15")


@every("unknown", (0, 1))
def test_a_pair_of_which_one_is_unknown_is_unknown(unknown):
    """Neither a price nor a rating of a pair is that of the one of which it is known."""
    known = PartOffer("a", "C", 10e-6, rating=100.0, rating_unit="V", price=2.0)
    both = [known, known]
    both[unknown] = PartOffer("b", "C", 10e-6)
    assert paired_rating(*both, "parallel") is None
    made = pair(*both, "parallel", PLACE)
    assert (made.price, made.made_of_prices) == (None, ())


def test_losses_of_a_series_pair_add():
    first, second = PartOffer("a", "C", 10e-6, resistance_ohm=0.05), PartOffer("b", "C", 10e-6, resistance_ohm=0.03)
    both = pair(first, second, "series", PLACE)
    assert both.value == pytest.approx(5e-6)
    assert both.resistance_ohm == pytest.approx(0.08)
    assert (both.tolerance, both.price, both.rating) == (None, None, None)


def test_candidates_are_nearest_first_and_skip_what_is_sold_out():
    offers = [
        PartOffer("a", "C", 4.7e-6, stock=0),
        PartOffer("b", "C", 3.3e-6, stock=1),
        PartOffer("c", "C", 1.8e-6, stock=5),
        PartOffer("d", "L", 5e-6),
    ]
    found = stock_candidates(offers, PLACE)
    assert found[0].value == pytest.approx(5.1e-6)
    assert found[0].made_of_ids == ("b", "c")
    assert all("a" not in used_ids(candidate) for candidate in found)
    assert not any(candidate.made_of_ids == ("b", "b") for candidate in found), "only one of b is at hand"


@every(
    ("kind", "values", "tolerance", "wanted", "made"),
    [("C", (5.6e-6, 0.18e-6), None, 5.78e-6, 0), ("C", (5.6e-6, 0.18e-6), 0.02, 5.78e-6, 1), ("C", (5.6e-6, 0.33e-6), None, 5.93e-6, 1),
     ("R", (27.0, 1.0), 0.05, 28.0, 0), ("R", (27.0, 1.8), 0.05, 28.8, 1), ("R", (10.0, 330.0), 0.05, 9.7, 0), ("R", (10.0, 100.0), 0.05, 9.1, 1)],
)  # fmt: skip
def test_a_pair_is_worth_its_second_piece(kind, values, tolerance, wanted, made):
    """0.18 uF beside 5.6 uF adds 3 %, less than its 5 % of tolerance; 330 ohm across 10 ohm takes 3 %; 1.8 ohm after 27 ohm adds 7 %."""
    offers = [PartOffer(str(place), kind, value, tolerance) for place, value in enumerate(values)]
    pairs = [one for one in stock_candidates(offers, Component(kind, wanted)) if one.made_of]
    assert sum(abs(one.value / wanted - 1.0) < 0.01 for one in pairs if one.made_of_ids == ("0", "1")) == made


def test_coils_are_not_paired():
    offers = [PartOffer("a", "L", 1e-3), PartOffer("b", "L", 2e-3)]
    assert all(not c.made_of for c in stock_candidates(offers, Component("L", 3e-3)))


def test_nothing_at_hand_gives_nothing():
    assert stock_candidates([], PLACE) == ()


def test_both_ends_of_a_stretch_of_preferred_values_belong_to_it():
    """From 4.7 to 6.8 uF E12 has 4.7, 5.6 and 6.8 (IEC 60063)."""
    np.testing.assert_allclose(preferred_values("E12", 4.7e-6, 6.8e-6), [4.7e-6, 5.6e-6, 6.8e-6])
    assert preferred_values("E6", 1e-3, 1e-3).tolist() == [1e-3] and preferred_values("E6", 1.1, 1.4).size == 0


def test_an_offer_is_taken_with_all_that_it_states():
    """Role and kind are those of the place, everything else is that of the offer; of a pair that stood there before nothing is left."""
    place = Component(
        "C", 9e-6, 0.3, "notch", "old", (4e-6, 5e-6), "parallel", 0.2, 9.0, 50.0, "A", ("x", "y"), (4.0, 5.0)
    )
    offer = PartOffer("KC-1", "C", 1e-5, 0.05, 0.02, 250.0, "V", 2.5, 3)
    assert parts._offer_component(offer, place) == Component(
        "C", 1e-5, 0.02, "notch", "KC-1", tolerance=0.05, price=2.5, rating=250.0, rating_unit="V"
    )
