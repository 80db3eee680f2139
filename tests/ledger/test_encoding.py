"""Values on their way to JSON and back: what comes out is what RFC 8259 can hold, and nothing comes back as something else."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np
import pytest

from reportgen.ledger.encoding import NotDecodable, from_plain, to_plain
from tests.every import every


@dataclass(frozen=True)
class Inner:
    word: str
    figure: float = 2.0


@dataclass(frozen=True)
class Outer:
    inner: Inner
    flag: bool = True
    maybe: float | None = None
    rows: tuple[Inner, ...] = ()
    pair: tuple[int, str] = (1, "a")
    by_word: Mapping[str, float] = field(default_factory=dict)


@every("bad", [math.inf, -math.inf, math.nan])
def test_what_is_no_number_is_never_stored(bad: float) -> None:
    """JSON has neither infinity nor NaN (RFC 8259, 6)."""
    for value in (bad, np.float64(bad), (1.0, bad), {"a": bad}, np.array([1.0, bad]), Inner("a", bad)):
        with pytest.raises(ValueError, match="cannot be stored"):
            to_plain(value)


@every(
    ("value", "plain"),
    [
        (np.float64(1.5), 1.5), (np.int64(3), 3), (np.bool_(True), True), (np.array([[1, 2], [3, 4]]), [[1, 2], [3, 4]]),
        ((np.float64(1.5),), [1.5]), ({}, {}), ({"b": 1, "a": (2,)}, {"b": 1, "a": [2]}),
        ({("HD-01", "impedance"): 1, ("HD-01", "angle"): 2}, [[["HD-01", "angle"], 2], [["HD-01", "impedance"], 1]]),
        (Outer(Inner("w")), {"inner": {"word": "w", "figure": 2.0}, "flag": True, "rows": [], "pair": [1, "a"], "by_word": {}}),
    ],
)  # fmt: skip
def test_what_is_stored_is_plain_through_and_through(value: Any, plain: Any) -> None:
    """Keys of several words in their order, None by default left out; no number of a library of arrays stays one."""

    def kinds(one: Any) -> Any:
        if isinstance(one, dict):
            return {key: kinds(item) for key, item in one.items()}
        return [kinds(item) for item in one] if isinstance(one, list) else type(one)

    found = to_plain(value)
    assert found == plain and kinds(found) == kinds(plain)
    assert json.loads(json.dumps(found)) == plain


@every(
    ("change", "says"),
    [
        ({"flag": 1}, "Outer.flag: 1 stands where bool is expected"),
        ({"maybe": True}, "Outer.maybe: True stands where float is expected"),
        ({"inner": {"word": 3}}, "Outer.inner.word: 3 stands where str is expected"),
        ({"inner": {"figure": 1.0}}, "Outer.inner lacks word"),
        ({"inner": {"word": "w", "weight": 1}}, "Outer.inner has no field weight"),
        ({"rows": [{"word": "w", "figure": True}]}, "Outer.rows.figure: True stands where float is expected"),
        ({"pair": [1]}, "Outer.pair: 1 values stand where 2 are expected"),
        ({"pair": [1, "a", 2]}, "Outer.pair: 3 values stand where 2 are expected"),
        ({"by_word": [1]}, "Outer.by_word: pairs of a key and a value are expected"),
    ],
)
def test_what_does_not_fit_is_told_with_its_place(change: dict[str, Any], says: str) -> None:
    """Places from the outside in; yes and no are no figures, as JSON has them apart (RFC 8259, 3)."""
    with pytest.raises(NotDecodable) as told:
        from_plain(Outer, to_plain(Outer(Inner("w"))) | change)
    assert str(told.value).startswith(says)


@every("wrong", [[[1.0, True], [2.0]], ["a"], [True], [None]])
def test_an_array_is_of_numbers(wrong: list[Any]) -> None:
    with pytest.raises(NotDecodable, match="stands where an array of numbers is expected"):
        from_plain(np.ndarray[Any, np.dtype[np.float64]], wrong)  # type: ignore[type-abstract]


def test_whole_numbers_come_back_as_figures() -> None:
    """JSON does not tell 3 from 3.0 (RFC 8259, 6); an array of both is one of figures, and nothing in it is not wrong."""
    wanted: Any = np.ndarray[Any, np.dtype[np.float64]]
    assert from_plain(wanted, [3, 4]).dtype == from_plain(wanted, []).dtype == np.float64
    assert from_plain(Outer, {"inner": {"word": "w", "figure": 3}, "by_word": {}}) == Outer(Inner("w", 3.0))


@dataclass(frozen=True)
class Words:
    one: Literal["a", "b"]
    many: Mapping[str, float | None] = field(default_factory=dict)
    other: Literal["c"] | None = None
    count: Literal[1, 2] = 1
    known: float | None = 0.0


def test_nothing_stands_only_where_it_may() -> None:
    assert from_plain(Words, {"one": "a", "many": {"x": None, "y": 2.0}, "other": None}) == Words(
        "a", {"x": None, "y": 2.0}
    )
    unknown = Words("a", known=None)  # nothing is left out only where it comes back by default
    assert from_plain(Words, to_plain(unknown)) == unknown
    for bad in (
        {"one": "a", "count": "1"},
        {"one": None},
        {"one": "c"},
        {"one": "a", "other": "a"},
        {"one": "a", "many": {"x": "2"}},
    ):
        with pytest.raises(NotDecodable):
            from_plain(Words, bad)


def test_what_is_stored_elsewhere_is_fetched_and_only_that() -> None:
    """A word in the place of a record is a key; where a word belongs it is the word."""
    kept = {"k1": Inner("far", 5.0)}
    found = from_plain(Outer, {"inner": "k1", "rows": ["k1", {"word": "near"}]}, lambda _, key: kept[key])
    assert found == Outer(kept["k1"], rows=(kept["k1"], Inner("near")))
    with pytest.raises(NotDecodable, match="'k1' stands where an object with its fields is expected"):
        from_plain(Outer, {"inner": "k1"})


def test_depth_without_end_is_refused_in_words() -> None:
    def endless(_: Any, key: str) -> Any:
        return from_plain(Outer, {"inner": key}, endless)

    with pytest.raises(NotDecodable, match="Outer is nested too deeply"):
        from_plain(Outer, {"inner": "k"}, endless)
