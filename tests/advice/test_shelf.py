"""The shelf against sets that can be seen to be the fewest, and against every set tried."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import combinations
from math import nan

import numpy as np

from reportgen.advice.edges import WORDS
from reportgen.advice.screening import Matrix
from reportgen.advice.shelf import shelf_lines, shelves
from tests.every import every


def season(table: dict[str, str], highs: str, prices: dict[str, float] | None = None) -> Matrix:
    """Low driver -> the high drivers that serve it."""
    words = [
        [WORDS.index("suitable" if high in served else "not suitable") for high in highs] for served in table.values()
    ]
    shape = len(table), len(highs)
    price = np.broadcast_to([(prices or {}).get(high, 10.0) for high in highs], shape)
    return Matrix(tuple(table), tuple(highs), np.array(words, dtype=np.int8), np.ones(shape), price)


def test_the_greedy_set_is_not_the_fewest() -> None:
    """The classic trap: the driver that serves most is not in the best set of two."""
    found = shelves(season({"1": "AX", "2": "AX", "3": "AX", "4": "BX", "5": "B", "6": "A"}, "ABX"))
    assert found.sets[0].high_ids == ("A",) or found.sets[0].high_ids == ("X",)
    assert set(found.sets[-1].high_ids) == {"A", "B"} and found.sets[-1].complete


def test_what_none_serves_is_named_and_does_not_stop_the_rest() -> None:
    found = shelves(season({"1": "A", "2": ""}, "AB"))
    assert found.never == ("2",)
    assert [one.high_ids for one in found.sets] == [("A",)]
    assert shelf_lines(found)[-1] == "No high driver serves 2"


def test_what_a_run_must_tell_is_not_said_to_be_served_by_none() -> None:
    matrix = season({"1": "A", "2": "", "3": ""}, "AB")
    words = matrix.words.copy()
    words[2, 1] = WORDS.index("undecided")
    found = shelves(replace(matrix, words=words))
    assert (found.never, found.unsure) == (("2",), ("3",))
    assert shelf_lines(found)[-2:] == (
        "No high driver serves 2",
        "A run must tell whether a high driver serves 3",
    )


def test_of_equal_sets_the_cheaper_is_taken() -> None:
    (found,) = shelves(season({"1": "AB", "2": "AB"}, "AB", {"A": 90.0, "B": 20.0})).sets
    assert found.high_ids == ("B",)


@every("seed", range(8))
def test_no_set_of_any_number_serves_more(seed: int) -> None:
    rnd = random.Random(seed)
    highs = "ABCDEFG"
    table = {str(low): "".join(h for h in highs if rnd.random() < 0.3) for low in range(9)}
    found = shelves(season(table, highs))
    for one in found.sets:
        size = len(one.high_ids)
        best = max(
            sum(bool(set(served) & set(some)) for served in table.values()) for some in combinations(highs, size)
        )
        assert one.served == best


def test_sets_are_counted_in_words() -> None:
    found = shelves(season({"1": "A", "2": "A", "3": "B", "4": ""}, "AB"))
    assert shelf_lines(found) == (
        "1 high driver: A serves 2 of 3 low drivers",
        "2 high drivers: A, B serve 3 of 3 low drivers",
        "No high driver serves 4",
    )


def test_a_driver_without_a_price_counts_as_much_as_the_middle_one() -> None:
    """Of two that serve alike, the one at 20 is taken before the unknown one, which counts as 20 or 90 in the middle: 55."""
    table = {"1": "AB", "2": "AB", "3": "C"}
    rows = season(table, "ABC", {"A": nan, "B": 20.0, "C": 90.0})
    assert set(shelves(rows).sets[-1].high_ids) == {"B", "C"}


def test_a_high_driver_counts_with_the_least_that_it_costs_beside_any_low_one() -> None:
    """A pair's price holds the woofer's: A is the cheaper one beside the cheap woofer, whatever it makes beside the dear one."""
    matrix = season({"1": "AB", "2": "AB"}, "AB", {"A": 50.0, "B": 60.0})
    prices = np.array([[50.0, 60.0], [900.0, 70.0]])
    (found,) = shelves(replace(matrix, prices=prices)).sets
    assert found.high_ids == ("A",)
    (other,) = shelves(replace(matrix, prices=np.array([[50.0, 40.0], [np.nan, 900.0]]))).sets
    assert other.high_ids == ("B",)
