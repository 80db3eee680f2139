"""Rules of advice held over tables of cases; what each should give is worked out beside it by other words than the program's."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import product
from types import SimpleNamespace
from typing import Any

import pytest

from reportgen.advice import changed, changes, comparison, decisive, enquirer
from reportgen.catalogue.columns import WIRINGS
from reportgen.catalogue.records import Enquiry, Origin
from tests.advice.demo_answers import few
from tests.demo_catalogue import demo, demo_assessed

# --- changed ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(40))
def test_pairings_of_two_states_find_each_other_by_id_or_by_a_name_that_both_have_once(seed: int) -> None:
    """One by one: an ID of both states is one pairing; else a kit's name, not empty, that the pairings left over have once on either side."""
    draw = random.Random(seed)
    before, after = (
        {id_: draw.choice(("", "", "Reed", "Fen", "Sedge")) for id_ in draw.sample("ABCDE", draw.randint(0, 4))}
        for _ in range(2)
    )
    left, right = ({id_: kit for id_, kit in one.items() if id_ not in before.keys() & after.keys()} for one in (before, after))  # fmt: skip
    pairs = {id_: id_ for id_ in before.keys() & after.keys()}
    for id_, kit in right.items():
        olds = [old for old, name in left.items() if name == kit]
        if kit and len(olds) == 1 and [*right.values()].count(kit) == 1:
            pairs[id_] = olds[0]
    known = [(pairs[id_], id_) for id_ in after if id_ in pairs]
    new = [(None, id_) for id_ in after if id_ not in pairs]
    gone = [(id_, None) for id_ in before if id_ not in pairs.values()]
    assert changed.matched(before, after) == [*known, *new, *gone]


def test_why_a_pairing_moved_is_said_once_beside_the_first_of_its_figures() -> None:
    before = demo_assessed("P-01")
    case = replace(before.case, pairing=replace(before.case.pairing, decision="rejected"))
    after = replace(before, case=case, crossover_hz=(before.crossover_hz or 0.0) + 100.0)
    pair = changed.Pair("P-01", "Reed", before, after, "High drivers!F4: Fs 1100 -> 900")
    (what, *_) = changed.changes_report("Changes", "", [pair]).listings
    assert [row[2] for row in what.rows] == ["Crossover", "Decision"]
    assert [row[-1] for row in what.rows] == [pair.cause, ""]


# --- changes ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("side", ("low", "high"))
@pytest.mark.parametrize("count", range(1, 10))
@pytest.mark.parametrize("now", WIRINGS)
def test_rows_of_equal_drivers_take_an_even_number_from_four_up(side: str, count: int, now: str) -> None:
    found = demo_assessed("P-01")
    pairing = replace(found.case.pairing, **{f"{side}_count": count, f"{side}_wiring": now})
    told = changes.wirings(replace(found, case=replace(found.case, pairing=pairing)), demo())
    ways = {1: [], 2: ["parallel", "series"], 3: ["parallel", "series"], 5: ["parallel", "series"], 7: ["parallel", "series"], 9: ["parallel", "series"]}  # fmt: skip
    wanted = [way for way in ways.get(count, ["parallel", "series", "series-parallel"]) if way != now]
    assert sorted(dict(one.fields)[f"{side}_wiring"] for one in told) == sorted(wanted)


@pytest.mark.parametrize(
    ("now_mm", "at_mm", "moved_mm"),
    [(0.0, {95: 9.0}, None), (1.9, {95: 9.0}, None), (-0.1, {95: 9.0}, 95), (-3.0, {95: 1.9, 110: 2.5}, 110), (-3.0, {95: 2.0, 110: 4.0}, 95),
     (-3.0, {60: 5.0, 110: 2.5}, 60), (-3.0, {}, None)],
)  # fmt: skip
def test_the_high_driver_moves_no_further_than_frames_that_run_into_one_another_ask_for(
    now_mm: float, at_mm: dict[int, float], moved_mm: int | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It stands 80 mm from the upper edge; frames may touch, but a new place clears them by the 2 mm that a saw needs."""
    found = demo_assessed("P-01")
    cabinet = replace(found.case.cabinet, high_from_top_m=0.080)
    before = replace(found, case=replace(found.case, cabinet=cabinet))

    def tightest_m(case: Any) -> float:
        from_top = round(case.cabinet.high_from_top_m * 1e3)
        return (now_mm if from_top == 80 else at_mm.get(from_top, -1.0)) / 1e3

    monkeypatch.setattr(changes, "_tightest_m", tightest_m)
    told = [dict(one.fields)["high_from_top_m"] for one in changes.places(before, demo())]
    assert told == ([] if moved_mm is None else [pytest.approx(moved_mm / 1e3)])


# --- comparison and figures that decide -----------------------------------------------------------------------------


def test_a_pairing_without_a_network_has_no_number_of_parts_to_compare() -> None:
    one, other = demo_assessed("P-01"), demo_assessed("P-06")
    bare = replace(one, network=None)
    rows = comparison.compare([bare, other])
    values = {row.name: row.values for row in (*rows.differing, *rows.alike)}
    assert values["Crossover parts"] == (None, len(other.parts)) and values["Crossover parts cost"][0] is None


@pytest.mark.parametrize(
    ("place", "word", "lost"),
    [(1, "suitable", 0), (4, "suitable", 0), (6, "undecided", 0), (7, "suitable", 1), (1, "not suitable", 1), (None, "suitable", 1)],
)  # fmt: skip
def test_a_pick_is_lost_beyond_twice_what_is_told(
    place: int | None, word: str, lost: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three are told: among the first six that would do a pick is still one. Resistance alone moves it; else break-up, asked for last, ties."""
    others = [SimpleNamespace(high_id=f"X{at}", word="suitable") for at in range(8)]
    if place is not None:
        others.insert(place - 1, SimpleNamespace(high_id="A", word=word))
    low = demo().low_drivers["LD-01"]

    def screened(use: Any, slopes: Any, catalogue: Any) -> Any:
        same = catalogue.low_drivers[low.id].re_ohm == low.re_ohm
        return [SimpleNamespace(high_id="A", word="suitable")] if same else others

    monkeypatch.setattr(decisive, "screened", screened)
    (first, _) = decisive.decisive(asked(), low, demo().pairings["P-01"], demo(), {"A"})
    assert (first == "re_ohm") is bool(lost)


# --- the enquirer -----------------------------------------------------------------------------------------------------


def asked(question: str = "", **known: Any) -> Enquiry:
    return Enquiry(id="E-9", origin=Origin("Enquiries", 9, {}), question=question, **known)


@pytest.mark.parametrize(
    ("count", "ohm", "surroundings", "wiring"),
    [
        (1, 2.0, "home", "parallel"), (2, 5.5, "home", "parallel"), (2, 5.43, "home", "series"), (2, 8.0, "home", "parallel"),
        (3, 8.2, "home", "parallel"), (3, 8.1, "home", "series"), (2, 2.75, "vehicle", "parallel"), (2, 2.7, "vehicle", "series"),
        (2, 5.43, "studio", "series"),
    ],
)  # fmt: skip
def test_several_woofers_stand_side_by_side_where_an_amplifier_bears_them(
    count: int, ohm: float, surroundings: str, wiring: str
) -> None:
    """Amplifiers bear 0.8 of 4 ohm, of which a woofer may take 0.85: 2.72 ohm, and half of that in a vehicle."""
    enquiry = asked(low_count=count, given_re_ohm=ohm, given_area_m2=0.0132, surroundings=surroundings)
    use, _, told = enquirer.use_of(enquiry, few())
    assert use.low_wiring == wiring and use.low_count == count
    assert (f"the {count} woofers wired in {wiring}" in told) is (count > 1)


@pytest.mark.parametrize("watts", (40.0, 100.0, 500.0))
@pytest.mark.parametrize("rated", (30.0, 80.0))
@pytest.mark.parametrize("count", (1, 2, 3))
@pytest.mark.parametrize("typed", (True, False))
def test_an_amplifier_that_nobody_named_is_at_most_twice_what_all_woofers_are_rated_for(
    watts: float, rated: float, count: int, typed: bool
) -> None:
    enquiry = asked(
        amplifier_power_w=watts, given_rated_power_w=rated, given_area_m2=0.0132, low_count=count,
        typed=("amplifier_power_w",) if typed else (),
    )  # fmt: skip
    most = {(30.0, 1): 60.0, (30.0, 2): 120.0, (30.0, 3): 180.0, (80.0, 1): 160.0, (80.0, 2): 320.0, (80.0, 3): 480.0}
    assert enquirer.use_of(enquiry, few())[0].amplifier_power_w == (watts if typed else min(watts, most[rated, count]))


@pytest.mark.parametrize(
    ("ear_m", "height_m", "stand_m"),
    [
        (1.0, None, 0.7165),
        (1.0, 0.9, 0.1835),
        (1.0, 1.1, 0.0),
        (0.2, None, 0.0),
        (1.0, 1.0835, 0.0),
        (1.2, 1.0, 0.2835),
    ],
)
def test_a_guessed_cabinet_stands_on_the_floor_where_its_high_driver_is_above_the_ear(
    ear_m: float, height_m: float | None, stand_m: float
) -> None:
    """A frame of 167 mm: its middle 83.5 mm under the top; a guessed front is 367 mm high."""
    wish = asked(given_area_m2=0.0130, ear_height_m=ear_m, given_baffle_height_m=height_m)
    low, _ = enquirer.low_of(wish, few())
    cabinet, _ = enquirer.cabinet_of(wish, low, few())
    assert cabinet.stand_height_m == pytest.approx(stand_m, abs=6e-4)


GIVEN = tuple(enquirer.GIVEN)


@pytest.mark.parametrize(
    ("question", "typed", "low_id"),
    [
        ("my LD-02", {}, "LD-02"), ("my LD-02 or LD-03", {}, "LD-02"), ("my LD-02", {"low_id": "LD-01"}, "LD-01"), ("my woofer", {}, None),
        *(("like the LD-02", {given: 0.01}, None) for given in GIVEN),
    ],
)  # fmt: skip
def test_a_woofer_in_the_words_is_the_one_at_hand_where_no_cell_tells_of_another(
    question: str, typed: dict[str, Any], low_id: str | None
) -> None:
    """Of two the first counts, and that is said; one figure of a woofer of one's own says that it is another."""
    found, taken, _ = enquirer.as_understood(asked(question, **typed), demo())
    assert found.low_id == low_id and ("low_id" in found.typed) is (low_id == "LD-02")
    assert taken == ("LD-02 to be your woofer" if " or " in question else "")


@pytest.mark.parametrize(
    ("question", "typed", "cabinet_id"),
    [
        ("in the CB-02", {}, "CB-02"), ("in the CB-02", {"cabinet_id": "CB-01"}, "CB-01"), ("in the CB-02 or CB-03", {}, None),
        ("in the CB-02", {"given_baffle_width_m": 0.2}, None), ("in the CB-02", {"given_baffle_height_m": 0.4}, "CB-02"),
        ("in a box", {}, None),
    ],
)  # fmt: skip
def test_a_cabinet_in_the_words_is_the_one_at_hand_where_it_is_the_only_one_and_no_width_tells_of_another(
    question: str, typed: dict[str, Any], cabinet_id: str | None
) -> None:
    found, _, _ = enquirer.as_understood(asked(question, **typed), demo())
    assert found.cabinet_id == cabinet_id


@pytest.mark.parametrize(
    ("cell", "field", "value", "understood"),
    list(product(({}, {"cabinet_id": "CB-01"}), ("given_cabinet_kind", "given_net_volume_m3"), (False, True), (True,))),
)
def test_what_the_words_say_of_a_box_counts_where_neither_a_cell_nor_a_cabinet_does(
    cell: dict[str, str], field: str, value: bool, understood: bool
) -> None:
    """“a vented box of 30 litres” beside cells that say closed or 20 L, or a cabinet of the workbook."""
    cells = {"given_cabinet_kind": "closed", "given_net_volume_m3": 0.020}
    said = {"given_cabinet_kind": "vented", "given_net_volume_m3": 0.030}
    own = {field: cells[field]} if value else {}
    found, _, _ = enquirer.as_understood(asked("a vented box of 30 litres", **cell, **own), demo())
    wanted = {name: own.get(name) if cell else own.get(name, said[name]) for name in said}
    assert {name: getattr(found, name) for name in said} == pytest.approx(wanted)
