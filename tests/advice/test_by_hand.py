"""Figures and words of advice that were worked out by hand, each a place where a small fault could go unnoticed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise, product
from math import log10, pi, sqrt
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
import pytest

from reportgen.acoustics.heat import programme_share
from reportgen.advice import (
    changes,
    comparison,
    decisive,
    edges,
    enquirer,
    enquiries,
    foresight,
    picks,
    refusals,
    remedies,
    replies,
    screening,
    substitutes,
    withdrawal,
)
from reportgen.advice import supply as supplies
from reportgen.advice.changed import Pair, changes_report
from reportgen.advice.changes import Change
from reportgen.advice.comparison import Bar, axis_hz, compare
from reportgen.advice.enquirer import cabinet_of, known_figures, low_of
from reportgen.advice.foresight import Foresight, _never_known
from reportgen.advice.guesses import area_of_inches, size_named, typical
from reportgen.advice.listings import joined
from reportgen.advice.moves import Figures, _exchanged, dearer_by, figures_of, less_bass, moves, prices_alike
from reportgen.advice.picks import Picks, Wish
from reportgen.advice.refusals import Outlook, _between, _rating_unsure
from reportgen.advice.remedies import _cost, _remedy, _Search, _touches, find_remedies
from reportgen.advice.replies import conditions, kinds_words, subject, wanted
from reportgen.advice.screening import Candidate, _aside, _bass_db, _Bench, screen
from reportgen.advice.substitutes import Left
from reportgen.advice.supply import supply, supply_report
from reportgen.assessment import Assessment, Ware
from reportgen.catalogue.records import Case, Catalogue, Enquiry, Origin
from reportgen.crossover.synthesis import Step
from reportgen.pairing.as_used import Setting
from reportgen.pairing.frames import Sizes
from reportgen.pairing.heat import Heat, Warmth, high_allowed_at_least_w
from reportgen.pairing.parts_list import PartLine
from reportgen.suitability import checks, limits
from reportgen.suitability.cautions import Caution
from reportgen.suitability.checks import Outcome
from reportgen.suitability.limits import Limit, Lows
from reportgen.suitability.verdict import UsableRange, Verdict, Word
from tests.advice.demo_answers import few
from tests.demo_catalogue import demo, demo_assessed, demo_case
from tests.every import every

# --- remedies ---------------------------------------------------------------------------------------------------------


def costing(price: float | None, currency: str = "EUR") -> Assessment:
    found = demo_assessed("P-01")
    case = replace(found.case, maker=replace(found.case.maker, currency=currency))
    return replace(found, price=price, case=case)


@every(
    ("before", "after", "currency", "words"),
    [
        (182.0, 199.5, "EUR", "; 199.50 EUR, 17.50 more"),
        (182.0, 170.25, "EUR", "; 170.25 EUR, 11.75 less"),
        (182.0, 182.004, "EUR", "; 182.00 EUR, the same"),
        (182.0, 182.01, "EUR", "; 182.01 EUR, 0.01 more"),
        (182.0, None, "EUR", "; price unknown"),
        (None, 170.25, "EUR", "; 170.25 EUR"),
        (18200.0, 17100.0, "JPY", "; 17100 JPY, 1100 less"),  # no yen has a hundredth (ISO 4217)
    ],
)
def test_what_a_remedy_costs(before: float | None, after: float | None, currency: str, words: str) -> None:
    assert _cost(costing(before, currency), costing(after, currency)) == words


def test_prices_with_and_without_a_network_are_not_taken_from_one_another(monkeypatch: pytest.MonkeyPatch) -> None:
    """182 EUR with a network, 170 without one: the drivers of both cost 150 and 160 EUR. Alone, 170 after 165 is 5 more."""

    def unpriced(found: Assessment) -> Assessment:
        assert found.network is not None
        figures = replace(found.network.figures, network_price=None)
        return replace(found, network=replace(found.network, figures=figures))

    whole, bare, less = costing(182.0), unpriced(costing(170.0)), unpriced(costing(165.0))
    drivers = {182.0: 150.0, 170.0: 160.0}
    monkeypatch.setattr(remedies, "drivers_of", lambda case: next(one for one in (whole, bare) if one.case is case))
    monkeypatch.setattr(remedies, "cost_of", lambda one: drivers[one.price])
    assert _cost(whole, bare) == "; 170.00 EUR, its drivers 10.00 more"
    assert _cost(bare, whole) == "; 182.00 EUR, its drivers 10.00 less"
    assert _cost(less, bare) == "; 170.00 EUR, 5.00 more"
    assert "without the network" not in _remedy(bare, (), whole).text
    told = _remedy(whole, (Change("slope", "a slope", 1.0, ()),), bare)
    assert told.condition.endswith("The price is without the network.") and told.text.endswith(told.condition)


def test_one_change_goes_before_two_and_two_with_another_driver_come_last(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where nothing is found: every change alone, a slope of more orders than a branch has parts (LR8) after the others that keep both drivers, then pairs of two kinds that keep them, then those that do not, without it."""
    ran: list[list[tuple[Change, ...]]] = []
    monkeypatch.setattr(_Search, "run", lambda _, candidates: ran.append(list(candidates)))
    before = replace(demo_assessed("P-01"), verdict=Verdict("not suitable", "Made up."))
    assert find_remedies(before, demo())[0] == ()
    own, beyond, others, kept, other = ran
    alone, drivers = (*own, *beyond, *others), {"high driver", "low driver"}
    assert [change.text for one in beyond for change in one] == ["slope LR8 in place of LR4"]
    assert not any(change.far_fetched for one in (*own, *others, *other) for change in one)
    assert others and all(one[0].kind in drivers for one in others)
    assert not any(one[0].kind in drivers for one in own)
    assert {len(one) for one in alone} == {1} and {len(one) for one in (*kept, *other)} == {2}
    assert not any(drivers & {change.kind for change in pair} for pair in kept)
    assert other and all(drivers & {change.kind for change in pair} for pair in other)
    assert all(first.kind != second.kind for first, second in (*kept, *other))
    for pairs in (kept, other):
        efforts = [first.effort + second.effort for first, second in pairs]
        assert efforts == sorted(efforts)


@every(
    ("kind", "ends"),
    [
        ("guide", True),
        ("high driver", True),
        ("low driver", True),
        ("rear", True),
        ("slope", False),
        ("amplifier", False),
    ],
)
def test_only_another_thing_ends_the_lack_of_a_datum(kind: str, ends: bool) -> None:
    """A level or a slope tells nothing of a travel that nobody stated; where the travel is known they may help."""
    change = Change(kind, "", 1.0, ())
    assert _touches(change, "travel", {"travel"}) is ends and _touches(change, "travel", set())


def failing(*checks: tuple[str, float | None, float | None, float]) -> _Search:
    """A search for P-01 in which these checks fail: id, value, limit and margin."""
    found = demo_assessed("P-01")
    there = {one.id: one for one in found.checks}
    failed = tuple(
        replace(there.get(id_, found.checks[0]), id=id_, outcome="fail", value=value, limit=limit, margin=margin)
        for id_, value, limit, margin in checks
    )
    return _Search(replace(found, checks=failed, verdict=Verdict("not suitable", "Made up.")), demo(), 400)


@every(
    ("ohm", "pairing", "bearable"),
    [
        (2.0, {}, False),  # 2 ohm, a quarter more at best: 2.5 of the 3.2 that are wanted
        (2.6, {}, True),  # 3.25 ohm
        (2.0, {"low_count": 2, "low_wiring": "series"}, True),
        (2.6, {"low_count": 2, "low_wiring": "parallel"}, False),
    ],
)
def test_which_load_may_still_be_mended(ohm: float, pairing: dict[str, Any], bearable: bool) -> None:
    assert failing(("impedance minimum", ohm, 3.2, ohm - 3.2))._bearable(demo_case("P-01", pairing=pairing)) is bearable


@every(
    ("short_db", "louder_db", "softer_db", "enough"),
    [(5.0, 0.0, 0.0, False), (5.0, 2.9, 0.0, False), (5.0, 3.1, 0.0, True), (5.0, 0.0, 3.1, True), (5.0, 0.0, -3.1, False), (1.9, 0.0, 0.0, True)],
)  # fmt: skip
def test_which_high_driver_may_still_be_loud_enough(
    short_db: float, louder_db: float, softer_db: float, enough: bool
) -> None:
    """0.5 dB short passes, and sensitivities tell it within 1.5 dB: of 5 dB short 3 must be gained, by either driver."""
    case = demo_case("P-01")
    high = replace(case.high, sensitivity_db=case.high.sensitivity_db + louder_db)
    low = replace(case.low, sensitivity_db=case.low.sensitivity_db - softer_db)
    search = failing(("level", -short_db, 0.0, -short_db))
    for guide in (None, demo().waveguides["WG-01"]):  # one that both have gives neither more
        search.before = replace(search.before, case=replace(case, guide=guide))
        assert search._loud_enough(replace(case, high=high, low=low, guide=guide)) is enough


@every(
    ("kinds", "helps"),
    [(("high driver",), True), (("slope",), False), (("slope", "high driver"), True), (("high wiring", "high driver"), False), (("cabinet",), False)],
)  # fmt: skip
def test_changes_must_touch_all_that_is_in_the_way_and_each_of_them_some(kinds: tuple[str, ...], helps: bool) -> None:
    """No screen and a resonance too high: another high driver mends both, a slope the second only, another wiring neither."""
    search = failing(("screen", None, None, 0.0), ("resonance", 2450.0, 3000.0, -0.3))
    assert search._can_help(tuple(Change(kind, kind, 1.0, ()) for kind in kinds)) is helps


def test_of_a_kind_one_way_out_is_told_and_of_drivers_two() -> None:
    search, after = failing(), replace(demo_assessed("P-06"), verdict=Verdict("suitable", "Made up."))
    slope, steeper, level = (Change(*one, 1.0, ()) for one in (("slope", "LR4"), ("slope", "LR8"), ("level", "90 dB")))
    first, second, third = (Change("high driver", id_, 1.0, ()) for id_ in ("A", "B", "C"))
    search.found = [((slope,), after), ((first,), after)]
    assert (
        search._told_already((steeper,)) and not search._told_already((level,)) and search._told_already((slope, level))
    )
    assert not search._told_already((second,)) and search._told_already((first, level))
    search.found.append(((second,), after))
    assert search._told_already((third,))
    search.found[0] = (slope,), replace(after, verdict=Verdict("suitable with conditions", "Made up."))
    assert not search._told_already((steeper,)) and search._told_already((slope, level))
    search.despite_gaps = True  # no slope makes what is not known a plain yes
    assert search._told_already((steeper,))


@every(("kind", "word", "effort", "corner_hz", "told"), [
    ("low driver", "suitable with conditions", 9.0, 50.0, False), ("low driver", "suitable with conditions", 8.0, 50.0, False),
    ("low driver", "suitable", 9.0, 50.0, True), ("low driver", "suitable with conditions", 7.9, 50.0, True),
    ("low driver", "suitable with conditions", 9.0, 40.0, True), ("slope", "suitable with conditions", 1.0, 50.0, False), ("slope", "suitable", 9.0, 50.0, True),
])  # fmt: skip
def test_another_way_of_a_kind_is_told_where_it_brings_something(
    kind: str, word: Word, effort: float, corner_hz: float, told: bool
) -> None:
    """Beside a plain yes: one with conditions only where it is nearer, or has more bass; a second slope beside one with conditions is a plain yes."""

    def ended(word: Word, hz: float) -> Assessment:
        found = demo_assessed("P-01")
        assert found.network is not None
        figures = replace(found.network.figures, corner_hz=hz)
        return replace(found, verdict=Verdict(word, ""), network=replace(found.network, figures=figures))

    first = (Change(kind, "A", 8.0, ()),), ended("suitable with conditions" if kind == "slope" else "suitable", 50.0)
    second = (Change(kind, "B", effort, ()),), ended(word, corner_hz)
    assert remedies._brings_no_more(second, first) is not told


def test_ways_out_are_told_by_number_then_effort_then_price_and_six_at_most() -> None:
    search, after = failing(), demo_assessed("P-06")
    rows = [("pair", 2, 0.5, 90.0), ("dear", 1, 3.0, 200.0), ("large", 1, 5.0, 90.0), ("cheap", 1, 3.0, 100.0)]
    for name, count, effort, price in rows:
        search.found.append(
            (tuple(Change("slope", name, effort, ()) for _ in range(count)), replace(after, price=price))
        )
    assert [one.changes[0] for one in search.remedies()] == ["cheap", "dear", "large", "pair"]
    found = replace(search.before, network=after.network)
    assert found.figures is not None and after.network is not None
    thinner = replace(after.network, figures=replace(found.figures, corner_hz=5.0 * (found.figures.corner_hz or 0.0)))
    search.before, search.found[3] = found, (search.found[3][0], replace(after, price=100.0, network=thinner))
    assert [one.changes[0] for one in search.remedies()] == ["dear", "large", "cheap", "pair"]  # lg2 5 = 2.3 steps more
    search.found = search.found * 2
    assert len(search.remedies()) == 6


def test_a_way_out_in_words() -> None:
    found = UsableRange(2000.0, None, None, None)
    after = replace(
        costing(199.5), found_range=found, crossover_hz=2450.0, verdict=Verdict("suitable with conditions", "Sit down.")
    )
    told = _remedy(
        costing(182.0),
        (Change("slope", "slope LR4 in place of LR2", 2.5, ()), Change("level", "90 dB", 2.0, ())),
        after,
    )
    assert told.text == (
        "Slope LR4 in place of LR2 and 90 dB: suitable with conditions; range 2000 to open Hz, crossover 2450 Hz; 199.50 EUR,"
        " 17.50 more. Condition: Sit down."
    )
    assert (told.crossover_hz, told.price, told.range_hz) == (2450.0, 199.5, (2000.0, None))


@every(("near", "words"), [
    ((), ""), (("Level match",), ""), (("Level match", "Travel"), " Near a limit: Travel."),
    (("Travel", "Heat", "Level match", "Lobing"), " Near a limit: Travel; Heat; Lobing."), (("A", "B", "C", "D", "E"), " Near a limit: A; B; C and 2 more."),
])  # fmt: skip
def test_a_way_out_names_what_else_comes_near_a_limit(near: tuple[str, ...], words: str) -> None:
    """The check of which the condition speaks is not named again; three at most are."""
    found = demo_assessed("P-01")
    checks = tuple(replace(one, condition="Sit down.") if one.title == "Level match" else one for one in found.checks)
    verdict = Verdict("suitable with conditions", "Sit down.", marginals=tuple((title, "Made up.") for title in near))
    told = _remedy(costing(182.0), (Change("level", "90 dB", 2.0, ()),), replace(found, checks=checks, verdict=verdict))
    assert told.condition == f"Condition: Sit down.{words}"


def bass_from(corner_hz: float | None) -> Assessment:
    """A demo pairing, suitable, whose low driver in its box is 3 dB down there."""
    found = demo_assessed("P-01")
    assert found.network is not None
    network = replace(found.network, figures=replace(found.network.figures, corner_hz=corner_hz))
    return replace(found, network=network, verdict=Verdict("suitable", "All checks pass."))


@every(
    ("was_hz", "now_hz", "words"),
    [(39.0, 125.0, "bass from 125 Hz in place of 39 Hz"), (40.0, 44.4, "bass from 44 Hz in place of 40 Hz"), (40.0, 43.6, ""),
     (125.0, 39.0, ""), (None, 39.0, ""), (39.0, None, "")],
)  # fmt: skip
def test_another_woofer_says_what_it_takes_from_the_bass(
    was_hz: float | None, now_hz: float | None, words: str
) -> None:
    """Two pieces of one driver differ by 10 % (Practice): less than that is none. A smaller woofer was a plain yes that said nothing."""
    before, after = bass_from(was_hz), bass_from(now_hz)
    assert less_bass(before, after) == words
    told = _remedy(before, (Change("low driver", "A4 in place of A8", 8.0, ()),), after)
    assert told.condition == (f"{words.capitalize().replace('hz', 'Hz')}." if words else "")
    case = replace(after.case, pairing=replace(after.case.pairing, low_id="A4"))
    assert withdrawal.in_its_place(withdrawal.Replacement("A4", 8.0, case), before, after) == (
        f"A4, {words}" if words else "A4"
    )


# --- changes ----------------------------------------------------------------------------------------------------------

Kind = Callable[[Assessment, Catalogue], Iterator[Change]]


def told(kind: Kind, before: Assessment, catalogue: Catalogue | None = None) -> list[tuple[str, float]]:
    """Words and effort of every change of a kind."""
    return [(one.text, round(one.effort, 3)) for one in kind(before, catalogue or demo())]


def wished(**pairing: Any) -> Assessment:
    """P-01: LD-01 with HD-01, 150 mm apart, 96 dB, 120 W; its pairing as changed."""
    found = demo_assessed("P-01")
    return replace(found, case=replace(found.case, pairing=replace(found.case.pairing, **pairing)))


def short_by(db: float, word: str) -> Assessment:
    found = demo_assessed("P-01")
    checks = tuple(replace(one, margin=-db) if one.id == "peak level" else one for one in found.checks)
    return replace(found, checks=checks, verdict=Verdict(word, "Too quiet."))  # type: ignore[arg-type]


def test_a_lower_level_is_as_low_as_it_must_be() -> None:
    """5.2 dB short: a wish is reached within 0.5 dB, so 4.7 dB and more in whole steps; 94 dB would be out of reach as well."""
    for word in ("not suitable", "suitable with conditions"):
        expected = [(f"peak level {96 - db} dB in place of 96 dB", 2.0 + db / 10.0) for db in (5, 6, 8, 10)]
        assert told(changes.levels, short_by(5.2, word)) == expected
    assert [text for text, _ in told(changes.levels, short_by(-2.0, "not suitable"))] == [
        f"peak level {96 - db} dB in place of 96 dB" for db in (1, 2, 3, 4, 6, 8, 10)
    ]


def test_no_tower_is_proposed_for_a_vehicle() -> None:
    """A box of 400 mm goes into a vehicle; one whose longest side is 500 mm may as well (1.25 times), 510 mm not (common practice, no source)."""
    now = replace(demo().cabinets["CB-01"], baffle_width_m=0.3, baffle_height_m=0.4, depth_m=0.25)
    boxes = {"CB-01": now} | {
        name: replace(now, id=name, baffle_height_m=height) for name, height in (("B-5", 0.5), ("B-6", 0.51))
    }
    found = {}
    for where in ("home", "vehicle"):
        before = wished(surroundings=where)
        before = replace(before, case=replace(before.case, cabinet=now))
        texts = [text for text, _ in told(changes.cabinets, before, replace(demo(), cabinets=boxes))]
        found[where] = [name for name in boxes if any(f"cabinet {name} in place" in text for text in texts)]
    assert found == {"home": ["B-5", "B-6"], "vehicle": ["B-5"]}


@every(("policy", "offered"), [("stock", True), ("preferred", False), ("any", False)])
def test_who_wanted_parts_of_the_shelf_alone_may_buy_others(policy: str, offered: bool) -> None:
    """Whatever fails by the parts on the shelf is mended by buying; nothing is offered where they are bought already."""
    found = list(changes.parts(wished(parts_policy=policy), demo()))
    assert [one.applied(demo().pairings["P-16"]).parts_policy for one in found] == ["preferred"] * offered
    assert not changes.UNTOUCHED["parts"] & {"parts stock", "part stress", "thirds", "good builds", "peak level"}


def heated(stands: float, cause: str = "travel of the low driver") -> Assessment:
    """Both drivers stand so many times the amplifier's 120 W, the low one being the weaker."""
    found = demo_assessed("P-01")
    assert found.network is not None
    heat = Heat(20.0, Warmth(60.0, 60.0 * stands, None), Warmth(1.0, 60.0, None))
    return replace(found, network=replace(found.network, heat=heat, reachable_cause=cause))


def test_a_smaller_amplifier_is_what_both_drivers_stand_with_room() -> None:
    """0.8 of 120 W less the 0.5 dB that a pass wants and 0.1 dB: 96 x 10^-0.06 = 83.6 W, told as 83; then halves of 120 W."""
    assert [text for text, _ in told(changes.amplifiers, heated(0.8))] == [
        f"amplifier of {watts} W at most in place of 120 W" for watts in ("83", "60", "30", "15")
    ]
    efforts = [effort for _, effort in told(changes.amplifiers, heated(2.0))]
    assert efforts == [
        3.0,
        3.5,
        4.0,
    ]  # a half step for each halving, from 2.5 on; what stands twice the power needs no 83 W


@every(("cause", "larger"), [("the amplifier", ["250"]), ("travel of the low driver", [])])
def test_a_larger_amplifier_helps_where_the_amplifier_ends_the_level(cause: str, larger: list[str]) -> None:
    """3 dB short: 120 W x 10^0.3 x 1.05 = 251.4 W, told as 250."""
    found = replace(short_by(3.0, "not suitable"), network=heated(2.0, cause).network)
    texts = [text for text, _ in told(changes.amplifiers, found) if "at most" not in text]
    assert texts == [f"amplifier of {watts} W in place of 120 W" for watts in larger]


def test_centres_come_closer_in_four_steps() -> None:
    """Frames of 168 and 104 mm and a gap of 5 mm touch at 141 mm: from 201 mm in quarters of 60 mm, rounded up."""
    assert told(changes.spacings, wished(centre_spacing_m=0.201)) == [
        (f"centres {mm} mm apart in place of 201 mm", 3.0 + step / 8.0)
        for step, mm in enumerate((186, 171, 156, 141), start=1)
    ]
    assert told(changes.spacings, wished(centre_spacing_m=None)) == []


def test_drivers_that_run_into_one_another_move_apart() -> None:
    """A cut-out of 130 mm beside 168 mm of frame takes 149 mm: of 141 mm 8 are short, and 2 mm must stay clear."""
    found = wished(centre_spacing_m=None)
    wide = replace(found, case=replace(found.case, high=replace(found.case.high, cutout_width_m=0.130)))
    assert told(changes.spacings, wide) == [("centres 151 mm apart in place of 141 mm", 3.5)]


def test_slopes_are_steeper_and_those_of_the_family_come_first() -> None:
    """From LR2: a quarter step for each order more, a tenth for another family."""
    efforts = dict(told(changes.slopes, wished(slope="LR2")))
    assert efforts["slope BW3 in place of LR2"] == 2.35 and efforts["slope LR4 in place of LR2"] == 2.5
    # by a tenth of what they depart from a flat sum further: Bessel 3 stands 3.13 dB in a hole, Butterworth 4 on 3.01 dB
    assert efforts["slope BE3 in place of LR2"] == pytest.approx(2.35 + 0.313, abs=1e-3)
    assert efforts["slope BW4 in place of LR2"] == pytest.approx(2.6 + 0.301, abs=1e-3)
    assert efforts["slope LR8 in place of LR2"] == 3.5 and not {
        "slope LR2 in place of LR2",
        "slope BW2 in place of LR2",
    } & set(efforts)


@every("check", ("good builds", "evenness", "thirds", "slopes"))
def test_a_gentler_slope_is_open_where_the_network_fails(check: str) -> None:
    """From LR8, which is the steepest: four orders less are a step, gentler one more, another family a tenth."""
    found = wished(slope="LR8")
    assert told(changes.slopes, found) == []
    ways = dict(told(changes.slopes, replace(found, checks=tuple(replace(one, outcome="fail") if one.id == check else one for one in found.checks))))  # fmt: skip
    assert ways["slope LR4 in place of LR8"] == 4.0 and ways["slope BW4 in place of LR8"] == pytest.approx(
        4.1 + 0.301, abs=1e-3
    )
    assert ways["slope LR2 in place of LR8"] == 4.5 and len(ways) == 9


@every(
    ("count", "now", "ways"),
    [(1, "parallel", {}), (2, "parallel", {"series": 1.6}), (3, "parallel", {"series": 1.658}),
     (4, "parallel", {"series": 1.7, "series-parallel": 1.6}), (4, "series", {"parallel": 1.7, "series-parallel": 1.6}),
     (6, "series-parallel", {"series": 1.6, "parallel": 1.658}), (7, "parallel", {"series": 1.781}),
     (9, "parallel", {"series": 1.817, "series-parallel": 1.658})],
)  # fmt: skip
def test_how_several_drivers_may_be_wired(count: int, now: str, ways: dict[str, float]) -> None:
    """Equal rows: two of two, two of three, three of three; a prime number makes none. A twentieth for each doubling of the load.

    Four are a quarter, one or four times the load of one; six 1/6, 3/2 or 6; nine 1/9, 1 or 9.
    """
    found = dict(told(changes.wirings, wished(low_count=count, low_wiring=now)))
    assert found == {
        f"the low drivers in {way} in place of {now}": pytest.approx(step, abs=1e-3) for way, step in ways.items()
    }


def test_another_cabinet_is_of_the_same_sort_and_counts_by_its_size() -> None:
    """CB-01 holds 11 L: 44 L are two doublings, 5.5 L one halving, at a quarter step each; an open panel is no box."""
    box = demo().cabinets["CB-01"]
    boxes = {
        "CB-01": box,
        "large": replace(box, id="large", net_volume_m3=0.044),
        "small": replace(box, id="small", net_volume_m3=0.0055),
        "panel": replace(box, id="panel", kind="open baffle"),
    }
    found = told(changes.cabinets, demo_assessed("P-01"), replace(demo(), cabinets=boxes))
    assert found == [("cabinet large in place of CB-01", 5.5), ("cabinet small in place of CB-01", 5.25)]


def test_drivers_in_another_cabinet_stand_as_far_apart_as_before() -> None:
    """Their frames are the same: 150 mm as given."""
    (change, *_) = changes.cabinets(demo_assessed("P-01"), demo())
    assert change.applied(demo().pairings["P-01"]).centre_spacing_m == 0.15


def test_a_driver_in_the_cone_of_the_other_stays_there() -> None:
    """36 mm in a cone of 128.7 mm: another in its place, or another cone, leaves it one coaxial driver; 40 mm would cover more of it."""
    found = demo_assessed("P-01")
    now = replace(found.case.high, faceplate_width_m=0.036, faceplate_height_m=None)
    pairing = replace(found.case.pairing, centre_spacing_m=0.0)
    before = replace(found, case=replace(found.case, high=now, pairing=pairing))
    highs = {one: replace(now, id=one, faceplate_width_m=face) for one, face in (("A", 0.03), ("B", 0.04))}
    lows = {"C": replace(found.case.low, id="C")}
    catalogue = replace(demo(), high_drivers={now.id: now, **highs}, low_drivers=lows)
    (high,), (low,) = (list(kind(before, catalogue)) for kind in (changes.high_drivers, changes.low_drivers))
    assert high.text == "A in place of HD-01" and low.text == "C in place of LD-01"
    assert high.applied(pairing).centre_spacing_m == low.applied(pairing).centre_spacing_m == 0.0


def test_another_woofer_counts_by_its_size_and_its_price() -> None:
    """Twice or half the cone, twice or half the price: a quarter step each; an unknown price a quarter as well."""
    now = demo().low_drivers["LD-01"]
    area, price = now.diaphragm_area_m2, now.price or 0.0
    others = {
        "A": replace(now, id="A", diaphragm_area_m2=2.0 * area, price=price),
        "B": replace(now, id="B", diaphragm_area_m2=area / 2.0, price=price / 4.0),
        "C": replace(now, id="C", price=None),
    }
    found = told(changes.low_drivers, demo_assessed("P-01"), replace(demo(), low_drivers={now.id: now, **others}))
    assert found == [(f"{id_} in place of LD-01", effort) for id_, effort in (("A", 8.25), ("B", 8.75), ("C", 8.25))]


def test_another_high_driver_counts_more_where_it_is_of_another_kind() -> None:
    now = demo().high_drivers["HD-01"]
    others = {
        "A": replace(now, id="A"),
        "B": replace(now, id="B", technology="metal dome", price=2.0 * (now.price or 0.0)),
    }
    found = told(changes.high_drivers, demo_assessed("P-01"), replace(demo(), high_drivers={now.id: now, **others}))
    assert found == [("A in place of HD-01", 7.0), ("B in place of HD-01", 7.75)]


@every(
    ("outcome", "size", "closer"),
    [("fail", (0.07, 0.09), True), ("marginal", (0.07, None), True), ("pass", (0.07, 0.09), False), ("fail", (0.07, 0.12), False)],
)  # fmt: skip
def test_a_smaller_faceplate_is_praised_where_lobes_are_in_the_way(
    outcome: Outcome, size: tuple[float, float | None], closer: bool
) -> None:
    """HD-01 is 104 mm high: one of 90 mm brings the centres closer, one of 70 by 120 mm does not."""
    before, now = demo_assessed("P-01"), demo().high_drivers["HD-01"]
    checks = tuple(replace(one, outcome=outcome) if one.id == "lobing" else one for one in before.checks)
    other = replace(now, id="A", faceplate_width_m=size[0], faceplate_height_m=size[1])
    catalogue = replace(demo(), high_drivers={now.id: now, "A": other})
    ((text, _),) = told(changes.high_drivers, replace(before, checks=checks), catalogue)
    assert (text == "A in place of HD-01, whose smaller faceplate brings the centres closer") is closer


@every(
    ("arrangement", "technology", "text"),
    [
        ("high over low", "soft dome", "A in place of HD-01"),  # 120 mm high: no closer
        ("side by side", "soft dome", "A in place of HD-01, whose smaller faceplate brings the centres closer"),  # 70 mm wide
        ("side by side", "compression driver", "A in place of HD-01, in WG-02"),  # it is the horn that stands there
    ],
)  # fmt: skip
def test_a_smaller_faceplate_counts_where_it_stands_between_the_centres(
    arrangement: str, technology: str, text: str
) -> None:
    """HD-01 is 104 mm wide and high, the other one 70 by 120 mm."""
    before, now = demo_assessed("P-01"), demo().high_drivers["HD-01"]
    checks = tuple(replace(one, outcome="fail") if one.id == "lobing" else one for one in before.checks)
    case = replace(before.case, pairing=replace(before.case.pairing, arrangement=arrangement))
    other = replace(now, id="A", technology=technology, faceplate_width_m=0.07, faceplate_height_m=0.12)
    catalogue = replace(demo(), high_drivers={now.id: now, "A": other})
    ((found, _),) = told(changes.high_drivers, replace(before, checks=checks, case=case), catalogue)
    assert found == text


def test_a_rear_cup_comes_off_where_it_can_and_chambers_are_told_in_millilitres() -> None:
    cups = {"removable": ["rear cup of HD-01 taken off"], "sealed": [], "open": []}
    for rear, first in cups.items():
        found = demo_assessed("P-01")
        high = replace(found.case.high, rear=rear, other_chambers_m3=(30e-6, 85e-6))
        before = replace(found, case=replace(found.case, high=high))
        chambers = [f"HD-01 in its {volume} mL rear chamber" for volume in (85, 30)]
        assert [text for text, _ in told(changes.rears, before)] == [*first, *chambers]


@every(("count", "arrangement", "offered"), [(1, "high over low", 2), (2, "high over low", 2), (3, "high over low", 0), (2, "low-high-low", 0)])  # fmt: skip
def test_two_woofers_around_the_high_one_are_offered_to_one_or_two(count: int, arrangement: str, offered: int) -> None:
    assert len(told(changes.two_low_drivers, wished(low_count=count, arrangement=arrangement))) == offered


def test_a_step_of_the_ladder_counts_by_its_pieces_and_may_lose_nothing() -> None:
    """A tenth of a step a piece; what passes other checks but fails one more is no way out."""
    found = demo_assessed("P-01")
    assert found.network is not None
    step = Step(6, 20.0, 0.5, 1.0, 25.0, 4.0, 0.7, 1.0, (0.0, 0.0), (), ("Slopes", "Balance"), True)
    rungs = (
        step,
        replace(step, pieces=9, marginal=("Slopes",), chosen=False),
        replace(step, pieces=10, marginal=("Slopes", "Balance"), chosen=False),
        replace(step, pieces=11, marginal=(), failed=("Reversed null",), chosen=False),
        replace(step, pieces=12, marginal=("Slopes",), unassessed=("Heat",), chosen=False),
    )
    ladder = replace(found.network, design=replace(found.network.design, ladder=rungs))
    assert told(changes.networks, replace(found, network=ladder)) == [("a network of 9 pieces in place of 6", 2.1)]


# --- the enquirer's woofer and cabinet ----------------------------------------------------------------------------------


@every(
    ("name", "halfway"),
    [
        ("fs_hz", (81.5, 61.0, 49.0, 39.0, 31.0, 27.0, 27.0)),
        ("qms", (3.4, 3.8, 4.25, 4.5, 4.75, 5.0, 5.25)),
        ("qes", (0.5, 0.5, 0.5, 0.475, 0.45, 0.425, 0.375)),
        ("re_ohm", (4.5, 5.5, 5.65, 5.75, 5.8, 5.8, 5.8)),
        ("sensitivity_db", (85.25, 86.5, 87.5, 88.75, 90.0, 91.5, 93.75)),
        ("breakup_hz", (8250.0, 6900.0, 5650.0, 4250.0, 3100.0, 2400.0, 1800.0)),
        ("le_h", (0.125e-3, 0.175e-3, 0.25e-3, 0.35e-3, 0.475e-3, 0.625e-3, 0.8e-3)),
        ("peak_travel_m", (2.4e-3, 3.15e-3, 4e-3, 5e-3, 6e-3, 6.75e-3, 7e-3)),
        ("rated_power_w", (20.0, 30.0, 47.5, 70.0, 100.0, 160.0, 250.0)),
    ],
)
def test_a_woofer_halfway_between_two_sizes_has_the_mean_of_their_figures(
    name: str, halfway: tuple[float, ...]
) -> None:
    """28, 55, 88, 132, 215, 340, 530 and 850 cm2; halfway is the geometric mean (figures: common practice, no source)."""
    areas = (28e-4, 55e-4, 88e-4, 132e-4, 215e-4, 340e-4, 530e-4, 850e-4)
    assert [typical((one * other) ** 0.5)[name] for one, other in pairwise(areas)] == pytest.approx(list(halfway))


def asked(question: str = "", **known: Any) -> Enquiry:
    return Enquiry(id="E-9", origin=Origin("Enquiries", 9, {}), question=question, **known)


@every(
    ("question", "cm2", "words"),
    [
        ("", 132, "your woofer to have a cone of 132 cm², the commonest size, with the usual figures"),
        ("my 10 inch", 340, "“10 inch” to mean a cone of 340 cm² with the usual figures"),
        ("a 20.32 cm one", 215, "“20.32 cm” to mean a cone of 215 cm² with the usual figures"),  # 8 inches of 2.54 cm
        ("four-inch ones", 55, "“four-inch” to mean a cone of 55 cm² with the usual figures"),
    ],
)
def test_a_size_in_words_is_a_cone_in_square_centimetres(question: str, cm2: int, words: str) -> None:
    known, told = known_figures(asked(question))
    assert known["diaphragm_area_m2"] == pytest.approx(cm2 * 1e-4, rel=1e-3) and told == words


def test_three_figures_leave_break_up_to_the_usual_and_four_ask_for_it() -> None:
    three: dict[str, Any] = {"given_area_m2": 0.0132, "given_fs_hz": 40.0, "given_re_ohm": 5.6}
    assert known_figures(asked(**three))[0]["breakup_hz"] == pytest.approx(5000.0)
    assert "breakup_hz" not in known_figures(asked(**three, given_qes=0.5))[0]


@every(("count", "height_mm", "stand_mm"), [(1, 367, 716.5), (2, 534, 549.5)])
def test_a_guessed_cabinet_by_the_millimetre(count: int, height_mm: int, stand_mm: float) -> None:
    """130 cm2 are 128.66 mm across, the frame 1.3 times that: 167 mm. The domes of the small catalogue are 130 mm wide at most,
    but a guess makes room for 110 mm in width only.

    Width 1.2 x 167 = 200 mm. Height 167 x (0.2 + count) and the larger of both faces, 167: 367 or 534 mm. The high driver's
    middle, half a frame under the top, comes to the ear at 1 m: 1000 - 367 + 83.5 = 716.5 mm of stand, or 549.5.
    """
    wish = asked(given_area_m2=0.0130, low_count=count)
    low, _ = low_of(wish, few())
    cabinet, told = cabinet_of(wish, low, few())
    assert low.frame_width_m == 0.167
    assert (cabinet.baffle_width_m, cabinet.baffle_height_m) == pytest.approx((0.200, height_mm / 1e3), abs=5e-4)
    assert cabinet.stand_height_m == pytest.approx(stand_mm / 1e3, abs=6e-4)
    assert told[-1] == f"a baffle of 200 x {height_mm} mm"


def test_a_small_woofer_stands_on_a_baffle_that_holds_the_high_driver() -> None:
    """30 cm2 are 61.8 mm across, a frame of 80 mm: the width is 1.2 x 110 = 132 mm, the height 80 x 1.2 + 130 = 226 mm."""
    wish = asked(given_area_m2=0.0030)
    low, _ = low_of(wish, few())
    cabinet, _ = cabinet_of(wish, low, few())
    assert (cabinet.baffle_width_m, cabinet.baffle_height_m) == pytest.approx((0.132, 0.226), abs=5e-4)


# --- picks ------------------------------------------------------------------------------------------------------------


def candidate(high_id: str, rank: int = 1, guide_id: str | None = None, **known: Any) -> Candidate:
    usual: dict[str, Any] = {
        "low_id": "LD-01", "rear_use": "as sold", "chamber_m3": None, "slope": "LR4", "word": "suitable", "low_hz": 2000.0, "high_hz": 3000.0,
        "low_binding": "nothing", "high_binding": "nothing", "crossover_hz": 2500.0, "price": None, "in_stock": True, "score": 1.0, "takes": "",
    }  # fmt: skip
    return Candidate(rank, high_id=high_id, guide_id=guide_id, **(usual | known))


def judged(high_id: str, word: str, level_db: float = 100.0) -> Assessment:
    """An assessment in which nothing of our own is missing."""
    found = demo_assessed("P-01")
    assert found.network is not None and found.figures is not None
    high = demo().high_drivers[high_id]
    network = replace(found.network, figures=replace(found.figures, highest_level_db=level_db))
    case = replace(found.case, high=high, technology=demo().technologies[high.technology])
    return replace(found, network=network, case=case, verdict=Verdict(word, "Made up."), checks=())  # type: ignore[arg-type]


def wish(budget: float | None = None, kinds: frozenset[str] = frozenset(), typed: frozenset[str] = frozenset()) -> Wish:
    return Wish(demo().pairings["P-01"], demo(), kinds, typed, budget)


def test_a_high_driver_is_priced_with_its_guide() -> None:
    """HD-01 costs 29.00, WG-01 18.00."""
    assert picks.price_of(candidate("HD-01", guide_id="WG-01"), demo()) == 47.0
    assert picks.price_of(candidate("HD-01"), demo()) == 29.0


@every(
    ("budget", "told", "over"),
    [(58.0, ["HD-02", "HD-01"], False), (57.99, ["HD-01"], False), (10.0, ["HD-01", "HD-04", "HD-02", "HD-06"], True)],
)
def test_a_budget_is_kept_to_the_coin_and_beyond_it_the_cheapest_comes_first(
    monkeypatch: pytest.MonkeyPatch, budget: float, told: list[str], over: bool
) -> None:
    """29.00, 47.00, 58.00 and 76.00: of those within, the best verdict leads; over it, the price."""
    words = {
        "HD-01": "suitable with conditions",
        "HD-02": "suitable",
        "HD-04": "suitable with conditions",
        "HD-06": "suitable",
    }
    if not over:
        words["HD-04"] = "not suitable"
    monkeypatch.setattr(
        picks, "_assessed", lambda wish, found, *_: [(one, judged(one.high_id, words[one.high_id])) for one in found]
    )
    found = tuple(candidate(id_, rank) for rank, id_ in enumerate(("HD-06", "HD-02", "HD-04", "HD-01"), start=1))
    _, good, is_over = picks._within(wish(budget), found, demo().pairings["P-01"], 7)
    assert [one.high_id for one, _ in good] == told and is_over is over


def test_the_kind_asked_for_leads_and_then_the_verdict_and_the_rank() -> None:
    good = [
        (candidate("HD-01", 1), judged("HD-01", "suitable")),
        (candidate("HD-02", 2), judged("HD-02", "suitable")),
        (candidate("HD-04", 3), judged("HD-04", "undecided")),
        (candidate("HD-05", 4), judged("HD-05", "suitable with conditions")),
    ]
    for kinds, order in (
        ((), ["HD-01", "HD-02", "HD-05", "HD-04"]),
        (("metal dome",), ["HD-05", "HD-04", "HD-01", "HD-02"]),
    ):
        ranked = picks._ranked(wish(kinds=frozenset(kinds)), list(reversed(good)))
        assert [one.high_id for one, _ in ranked] == order


def test_a_level_that_is_out_of_reach_comes_down_to_what_the_best_reaches() -> None:
    """101.6 dB of the best, rounded down and one less: 100 dB; what reaches the wish is short of something else."""
    good: Any = [(candidate("HD-01"), judged("HD-01", "not suitable", db)) for db in (99.2, 101.6)]
    use = demo().pairings["P-01"]
    assert picks._reached_db(good, replace(use, peak_level_db=105.0)) == 100.0
    assert picks._reached_db(good, replace(use, peak_level_db=101.6)) is None
    assert picks._reached_db(good, replace(use, peak_level_db=101.0)) is None


def test_a_typed_slope_gives_way_first_then_the_crossover_then_both() -> None:
    assert list(picks.ways(wish(typed=frozenset({"crossover_hz", "slope", "distance_m"})))) == [
        ("slope",), ("crossover_hz",), ("slope", "crossover_hz"),
    ]  # fmt: skip
    assert list(picks.ways(wish(typed=frozenset({"crossover_hz"})))) == [("crossover_hz",)]


def test_how_far_a_level_gives_way(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing does at 110 dB, where 101.6 dB are reached: 100, 97 and 94 dB are tried, in this order."""
    tried: list[float] = []

    def screened(use: Any, slopes: Any, catalogue: Any) -> tuple[()]:
        tried.append(use.peak_level_db)
        return ()

    monkeypatch.setattr(picks, "screened", screened)
    none: Any = [(candidate("HD-01"), judged("HD-01", "not suitable", 101.6))]
    monkeypatch.setattr(picks, "_within", lambda *_: (none, [], False))
    asked_for = replace(demo().pairings["P-01"], peak_level_db=110.0)
    picks._looked(wish(), asked_for, (), True)
    assert tried == [107.0, 100.0, 97.0, 94.0]  # a screen knows levels to 3 dB or so: it looks at so much less


def test_a_driver_of_ours_without_its_own_figure_is_named_only_where_nothing_else_would_do() -> None:
    """HD-01 suits better, but its resonance is not known; a gap of the woofer or one that is not essential does not count."""
    check = replace(demo_assessed("P-01").checks[0], essential=True, missing=("Fs of HD-01 (High drivers!G2)",))
    lacking = (candidate("HD-01", 1), replace(judged("HD-01", "suitable"), checks=(check,)))
    whole = (candidate("HD-02", 2), judged("HD-02", "suitable with conditions"))
    assert picks._ranked(wish(), [lacking, whole]) == [whole] and picks._ranked(wish(), [lacking]) == [lacking]
    other = (
        lacking[0],
        replace(
            lacking[1],
            checks=(replace(check, missing=("Fs of LD-01 (Low drivers!G2)",)), replace(check, essential=False)),
        ),
    )
    assert picks._ranked(wish(), [whole, other]) == [other, whole]


def test_the_third_place_goes_to_the_best_of_another_kind() -> None:
    """HD-04 and HD-05 are metal domes, HD-01 and HD-02 soft domes: of four that would do, the last of three places is HD-01's."""
    of_kind = [
        (candidate(id_, n), judged("HD-04", "suitable"))
        for n, id_ in enumerate(("HD-04", "HD-05", "HD-05", "HD-04"), 1)
    ]
    others = [(candidate(id_, n), judged(id_, "suitable")) for n, id_ in enumerate(("HD-01", "HD-02"), 5)]
    metal = wish(kinds=frozenset(("metal dome",)))
    assert picks._with_an_outsider(metal, of_kind + others) == [*of_kind[:2], others[0]]
    near = [*of_kind[:2], *others]
    assert picks._with_an_outsider(metal, near) == near and picks._with_an_outsider(metal, of_kind) == of_kind


def test_in_which_order_candidates_are_assessed_and_how_many(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two of the kind asked for, two others, then the rest in their order; what plainly fails is passed over but where it is the first."""
    words = {"HD-01": "not suitable", "HD-02": "not suitable"}
    monkeypatch.setattr(picks, "quick_word", lambda case: words.get(case.high.id, "suitable"))
    monkeypatch.setattr(picks, "as_wished", lambda wish, pairing: pairing.high_id)
    found = [
        candidate(id_, n, rear_use="as supplied")
        for n, id_ in enumerate(("HD-01", "HD-02", "HD-06", "HD-04", "HD-05", "HD-09"), 1)
    ]
    use = demo().pairings["P-01"]

    def order(kinds: Any, most: int) -> list[Any]:
        return [one for _, one in picks._assessed(wish(kinds=frozenset(kinds)), found, use, most)]

    assert order((), 3) == ["HD-01", "HD-06", "HD-04"]
    assert order(("metal dome",), 9) == ["HD-04", "HD-05", "HD-06", "HD-09"]
    assert order(("metal dome",), 3) == ["HD-04", "HD-05", "HD-06"]


@every(
    ("question", "typed", "place", "ear_m", "words"),
    [
        ("for my van", (), "vehicle", 1.0, "“van” to mean a vehicle, the ear 1 m away"),
        ("for my van", ("distance_m",), "vehicle", 2.0, "“van” to mean a vehicle"),
        ("for my van", ("surroundings",), "living room", 2.0, ""),
        ("for my room", (), "living room", 2.0, ""),
        ("for the garden", (), "outdoors", 2.0, "“garden” to mean outdoors"),
        ("in the boot, I sit 1.5 m away", (), "vehicle", 1.5, "“boot” to mean a vehicle"),
    ],
)
def test_a_place_named_in_words_is_taken_where_no_cell_says_it(
    question: str, typed: tuple[str, ...], place: str, ear_m: float, words: str
) -> None:
    enquiry = asked(question, typed=typed, surroundings="living room", distance_m=2.0)
    found, told, *_ = enquirer.as_understood(enquiry, demo())
    assert (found.surroundings, found.distance_m, told) == (place, ear_m, words)


@every(
    ("watts", "travel", "words"),
    [
        (None, None, ("it takes 60 W and moves 4.5 mm either way, as is usual for its size",)),
        (50.0, None, ("it moves 4.5 mm either way, as is usual for its size",)),
        (None, 5e-3, ("it takes 60 W, as is usual for its size",)),
        (50.0, 5e-3, ()),
    ],
)
def test_what_is_taken_for_a_woofer_whose_power_and_travel_nobody_told(
    watts: Any, travel: Any, words: tuple[str, ...]
) -> None:
    low = replace(demo().low_drivers["LD-01"], rated_power_w=60.0, peak_travel_m=4.5e-3)
    assert enquirer._usual_words(asked(given_rated_power_w=watts, given_peak_travel_m=travel), low) == words


# --- answers ----------------------------------------------------------------------------------------------------------


def found_at(levels: list[float], gave_way: tuple[str, ...] = ("peak_level_db",), over: bool = False) -> Picks:
    good: Any = [
        (candidate(id_), judged(id_, "suitable", db))
        for id_, db in zip(("HD-01", "HD-02", "HD-04"), levels, strict=False)
    ]
    return Picks(demo().pairings["P-01"], (), good, good, gave_way, over)


def test_what_comes_nearest_is_the_loudest_of_those_told_and_rounded_down() -> None:
    """Wanted 96 dB at 2.5 m: 93.9 dB of HD-02 are 93."""
    typed = wish(typed=frozenset({"peak_level_db"}))
    text = enquiries._shortfall(typed, found_at([91.2, 93.9, 90.0]))
    assert (
        text
        == "96 dB at 2.5 m is out of reach: HD-02 comes nearest with 93 dB, where the 120 W amplifier that we assume ends it"
    )
    known = wish(typed=frozenset({"peak_level_db", "amplifier_power_w"}))
    assert enquiries._shortfall(known, found_at([91.2])).endswith("where the 120 W amplifier ends it")
    assert enquiries._shortfall(typed, found_at([91.2], gave_way=("slope",))) == ""


@every(
    ("levels", "typed", "words"),
    [
        ([97.9, 101.3], set(), "with 120 W at 2.5 m (our figures) each reaches at least 97 dB"),
        ([97.9, 97.1], set(), "with 120 W at 2.5 m (our figures) each reaches 97 dB"),
        ([97.9], {"distance_m"}, "with 120 W (our figure) at 2.5 m it reaches 97 dB"),
        ([97.9], {"peak_level_db"}, ""),
    ],
)
def test_what_is_reached_where_no_level_was_asked_for(levels: list[float], typed: set[str], words: str) -> None:
    proposals: Any = tuple(SimpleNamespace(assessment=judged("HD-01", "suitable", db)) for db in levels)
    answer = enquiries.Answer(asked(typed=tuple(typed)), None, proposals)
    assert replies.level_words(answer, proposals) == words
    assert replies.level_words(answer, proposals[:1]).endswith("it reaches 97 dB" if words else "")


def test_a_budget_that_does_not_suffice_is_held_against_the_cheapest() -> None:
    """HD-01 comes first, as the cheapest: 29.00."""
    told = list(enquiries._given_way(wish(budget=10.0), found_at([100.0, 100.0], (), True), "EUR"))
    assert told == ["nothing within 10.00 EUR would do; the cheapest that would costs 29.00 EUR"]


@every(("budget", "words"), [(None, ""), (28.99, " It costs 29.00 EUR."), (29.0, ""), (40.0, "")])
def test_a_way_out_says_what_it_costs_beyond_the_budget(budget: float | None, words: str) -> None:
    assert enquiries._over_budget(judged("HD-01", "suitable"), wish(budget)) == words


@every(
    ("typed", "gave_way", "order", "wished"),
    [
        ({"peak_level_db"}, ("peak_level_db",), ["HD-02", "HD-01", "HD-04"], None),
        ({"peak_level_db"}, (), ["HD-01", "HD-02", "HD-04"], 96.0),
        ((), ("peak_level_db",), ["HD-01", "HD-02", "HD-04"], None),
        ((), (), ["HD-01", "HD-02", "HD-04"], None),
    ],
)
def test_the_loudest_leads_only_where_a_typed_level_had_to_give_way(
    typed: Any, gave_way: tuple[str, ...], order: list[str], wished: float | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """91.2, 93.9 and 90.0 dB, best first; a level is held against a proposal where it was typed and still stands (96 dB)."""
    found = found_at([91.2, 93.9, 90.0], gave_way)
    monkeypatch.setattr(enquiries, "picks", lambda _: (found, found))
    enquiry = asked(low_id="LD-01", typed=tuple(typed))
    told = enquiries._filled(
        enquiries.Answer(enquiry, demo().low_drivers["LD-01"], ()), demo().pairings["P-01"], demo()
    )
    assert [one.high_id for one in told.proposals] == order and {one.wished_db for one in told.proposals} == {wished}


def test_why_none_of_the_kind_asked_for_would_do() -> None:
    """HD-08 has lost its screen and is named last; of a range that is no range both ends are told, else what is in the way."""
    blank = enquiries.Answer(asked(), demo().low_drivers["LD-01"], (), ("beryllium dome",))
    use = demo().pairings["P-01"]
    bare, whole = (candidate(id_, n, low_hz=3000.0, high_hz=2500.0) for n, id_ in enumerate(("HD-08", "HD-07"), 1))
    assert enquiries._why_not_kind(blank, (), Picks(use, (bare, whole), (), ()), demo()) == (
        "none would do: HD-07 plays from 3000 Hz up, your woofer only to 2500 Hz"
    )
    wide = replace(whole, low_hz=2000.0, takes="The grille is missing. It matters.")
    assert (
        enquiries._why_not_kind(blank, (), Picks(use, (bare, wide), (), ()), demo())
        == "none would do: with HD-07, the grille is missing"
    )
    looked: Any = ((wide, judged("HD-07", "not suitable")),)
    assert (
        enquiries._why_not_kind(blank, (), Picks(use, (bare, wide), looked, ()), demo())
        == "none would do: with HD-07, made up"
    )
    assert enquiries._why_not_kind(blank, (), Picks(use, (candidate("HD-01"),), (), ()), demo()) == "we have none"
    assert enquiries._why_not_kind(replace(blank, kinds=()), (), Picks(use, (), (), ()), demo()) == ""


def test_the_nearest_yes_is_that_of_what_misses_least_and_with_the_woofer_at_hand(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """HD-01 misses by an octave, HD-02 by log2(2.5/2) = 0.32; a way without another woofer goes before one with it, and undecided is no way."""
    far, near = (
        candidate("HD-01", 1, low_hz=4000.0, high_hz=2000.0),
        candidate("HD-02", 2, low_hz=2500.0, high_hz=2000.0),
    )
    looked: Any = ((far, judged("HD-01", "not suitable")), (near, judged("HD-02", "not suitable")))
    changed = {
        "HD-04 in place of HD-02": "undecided",
        "LD-02 in place of LD-01": "suitable",
        "HD-03 in place of HD-02": "suitable",
    }
    ways = [SimpleNamespace(changes=(change,), word=word) for change, word in changed.items()]
    monkeypatch.setattr(enquiries, "find_remedies", lambda one, _: (ways, ""))
    monkeypatch.setattr(enquiries, "_remedy_words", lambda remedy, _: remedy.changes[0])
    found = Picks(demo().pairings["P-01"], (far, near), looked, ())
    said, _ = enquiries._no(found, wish(), ("HD-02 would not do. Made up. With LR2 at 2000 Hz it would",))
    assert said == "None of our high drivers would do as asked; HD-02 comes nearest.", "why is said already"
    reason, way = enquiries._no(found, wish(), ("HD-02 would not do. Another thing",))
    assert reason == "None of our high drivers would do as asked; with HD-02, which comes nearest, made up."
    assert way == "HD-03 in place of HD-02"
    nothing = Picks(demo().pairings["P-01"], (replace(far, takes="Too small."),), (), ())
    assert enquiries._no(nothing, wish()) == ("Too small.", "")


def test_what_only_the_enquirer_can_tell_is_asked_for_in_plain_words() -> None:
    missing = tuple(f"Known {name} of E-9 (Enquiries!M9)" for name in ("Sd", "baffle width", "baffle height"))
    answer: Any = SimpleNamespace(proposals=(1,), missing=missing)
    assert wanted(answer) == ("your woofer's cone area (Sd)", "the width and height of your baffle")


def test_a_woofer_is_named_by_its_square_centimetres() -> None:
    found = enquiries.Answer(asked(given_area_m2=0.0130), demo().low_drivers["LD-01"], ())
    assert subject(found) == "your 130 cm² woofer"


@every(
    ("told", "words"),
    [
        ((True,), "You asked for a true ribbon: HD-0."),
        ((True, False), "You asked for a true ribbon: HD-0; the other is of another kind."),
        ((True, False, False), "You asked for a true ribbon: HD-0; the others are of another kind."),
        ((True, True), "You asked for a true ribbon: HD-0 and HD-1."),
        ((False,), "You asked for a true ribbon, but none is strong enough."),
    ],
)
def test_what_became_of_the_kind_that_was_asked_for(told: tuple[bool, ...], words: str) -> None:
    proposals: Any = [
        SimpleNamespace(high_id=f"HD-{i}", of_the_kind_asked=one, price=90.0) for i, one in enumerate(told)
    ]
    answer: Any = SimpleNamespace(
        kinds=("true ribbon",), why_not_kind="none is strong enough", proposals=proposals, currency="EUR", named=()
    )
    assert kinds_words(answer, proposals) == words
    if told[0]:
        assert kinds_words(answer, ()) == "You asked for a true ribbon: HD-0 would do as well, for 90.00 EUR each."


def test_the_narrowest_margin_is_minded_first_and_a_level_told_as_reached_of_wished() -> None:
    found = judged("HD-01", "suitable with conditions")
    checks = {one.id: one for one in demo_assessed("P-01").checks}
    level = replace(checks["peak level"], outcome="marginal", value=94.2, limit=96.0, margin=-1.8)
    stock = replace(checks["stock"], outcome="marginal", value=None, limit=None, margin=0.5)
    proposal: Any = SimpleNamespace(assessment=replace(found, checks=(stock, level)), wished_db=96.0)
    assert conditions(proposal) == ("94 of the 96 dB you wish for are reached", "out of stock just now")
    unwished: Any = SimpleNamespace(assessment=proposal.assessment, wished_db=None)
    assert conditions(unwished) == ("out of stock just now",)
    odd = replace(stock, id="odd", text="The horn barks (`row 3`). It does so often.")
    octave = replace(odd, margin_unit="octave", margin=0.1)
    strange: Any = SimpleNamespace(assessment=replace(found, checks=(odd, octave)), wished_db=None)
    assert conditions(strange) == ("there is little room around the crossover", "The horn barks (`row 3`)")


# --- side by side and since when --------------------------------------------------------------------------------------


@every(
    ("low", "high", "axis"),
    [(2000.0, 8500.0, (1500.0, 10000.0)), (1670.0, 2700.0, (1500.0, 3000.0)), (1120.0, 4500.0, (1000.0, 5000.0)), (780.0, 6300.0, (700.0, 7000.0))],
)  # fmt: skip
def test_an_axis_ends_at_round_figures(low: float, high: float, axis: tuple[float, float]) -> None:
    """A tenth of room to either side: 8500 Hz take 9350 and end at 10 000, 1120 Hz take 1018 and begin at 1000."""
    assert axis_hz([Bar("A", "suitable", low, high, None, "", "")]) == axis


def test_the_sheet_of_changes_has_its_headings_and_what_a_new_pairing_is() -> None:
    one, other = demo_assessed("P-01"), demo_assessed("P-06")
    worse = replace(one, verdict=Verdict("not suitable", "Too hot."))
    pairs = [
        Pair("P-01", "Reed", one, worse, "a cell"),
        Pair("P-06", "Sedge", None, other),
        Pair("P-07", "Gone", other, None),
    ]
    moved, new, gone = changes_report("Changes", "Since run 1", pairs).listings
    assert [(field.name, field.kind) for field in moved.fields] == [
        ("Pairing", "id"), ("Kit", "text"), ("What", "text"), ("Before", "words"), ("After", "words"), ("Because", "words"),
    ]  # fmt: skip
    assert moved.rows == (("P-01", "Reed", "Verdict", one.verdict.word, "not suitable", "a cell"),)
    row = ("Sedge", other.verdict.word, other.crossover_hz, "LD-02 with HD-09")
    assert (new.rows, gone.rows) == ((("P-06", *row),), (("P-07", "Gone", *row[1:]),))


def compared(**values: float) -> dict[str, tuple[Any, str]]:
    """P-01 with made-up figures beside another pairing: the value of each row, and its unit."""
    one, other = demo_assessed("P-01"), demo_assessed("P-06")
    assert one.network is not None
    checks = tuple(replace(check, value=values.get(check.id.replace(" ", "_"), check.value)) for check in one.checks)
    found = UsableRange(2000.0, 3000.0, None, None)
    network = replace(one.network, parts_price=17.5, figures=replace(one.network.figures, pieces=4))
    one = replace(one, checks=checks, found_range=found, crossover_hz=2450.0, price=110.5, network=network)
    rows = compare([one, other])
    return {row.name: (row.values[0], row.unit) for row in (*rows.differing, *rows.alike)}


def test_each_row_of_a_comparison_by_hand() -> None:
    rows = compared(
        peak_level=101.0, level=3.5, directivity_step=2.5, seated_window=1.5, standing_window=4.5, evenness=0.75, reversed_null=25.0,
        impedance_minimum=3.6, good_builds=95.0,
    )  # fmt: skip
    assert rows.pop("Width of the range") == (pytest.approx(0.585, abs=5e-4), "octave")  # lg2 of 1.5
    assert rows.pop("Centre spacing") == (pytest.approx(150.0), "mm")
    assert rows == {
        "Verdict": ("suitable with conditions", ""), "Low driver": ("LD-01", ""), "High driver": ("HD-01", ""),
        "Kind of high driver": ("soft dome", ""), "Waveguide": ("none", ""), "Rear": ("as supplied", ""), "Cabinet": ("CB-01", ""),
        "Arrangement": ("high over low", ""), "Slope": ("LR4", ""), "Crossover": (2450.0, "Hz"), "Range from": (2000.0, "Hz"),
        "Range to": (3000.0, "Hz"), "Peak level wanted": (96.0, "dB"), "Peak level reached": (101.0, "dB"), "Level to spare": (3.5, "dB"),
        "Directivity step": (2.5, "dB"), "Loss at the seated ear": (1.5, "dB"), "Loss at the standing ear": (4.5, "dB"),
        "Strays from the target": (0.75, "dB"), "Reversed null": (25.0, "dB"), "Least impedance": (3.6, "ohm"), "Good builds": (95.0, "%"),
        "Crossover pieces": (4.0, ""), "Crossover parts cost": (17.5, "EUR"), "Price of one": (110.5, "EUR"),
    }  # fmt: skip


def test_holes_and_prices_of_a_kit() -> None:
    """LD-01 takes a hole of 146 mm and HD-01 one of 74 mm, 150 mm apart; two loudspeakers take 2 x (64.00 + 29.00) of drivers."""
    found = figures_of(demo_assessed("P-01"))
    assert found.holes == "146 and 74 mm, centres 150 mm" and found.drivers == 186.0
    case = demo_assessed("P-01").case
    unknown = replace(case, low=replace(case.low, cutout_m=None), high=replace(case.high, cutout_width_m=None))
    assert figures_of(replace(demo_assessed("P-01"), case=unknown)).holes == "168 and 104 mm, centres 150 mm"


def test_what_is_dearer_and_by_how_much() -> None:
    """To the last coin, and drivers alone where one of two networks states no price: 0.30 - 0.10 is 0.20, in binary 0.19999999999999998."""
    found = figures_of(demo_assessed("P-01"))
    cheap, dear, bare = (
        replace(found, price=price, drivers=drivers) for price, drivers in ((0.1, 5.0), (0.3, 6.0), (None, 7.5))
    )
    assert dearer_by(cheap, dear) == 0.2 and dearer_by(dear, cheap) == -0.2
    assert prices_alike(cheap, bare) == ("Price of drivers and guides", 5.0, 7.5) and dearer_by(cheap, bare) == 2.5
    assert dearer_by(cheap, replace(bare, drivers=None)) is None
    other = replace(
        bare, pieces=bare.pieces + Counter(["KC-10"])
    )  # the same drivers: what is dearer lies in the networks
    assert (
        dearer_by(bare, other) is None
        and dearer_by(bare, bare) == 0.0
        and dearer_by(cheap, replace(other, price=0.1)) == 0.0
    )


def test_every_row_of_what_moves_and_nothing_that_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    """Figures given by hand: a piece of two exchanged, holes another, 10 cents dearer; the decision stays."""
    before = demo_assessed("P-01")
    after = replace(before)
    one = Figures("suitable", 2500.0, Counter({"A": 2, "B": 1}), "90 and 50 mm", 99.9, 50.0, "build", 39.2)
    other = Figures("unsuitable", 2510.0, Counter({"A": 1, "B": 1, "C": 1}), "90 and 60 mm", 100.0, 50.0, "build", 61.0)
    told = {id(before): one, id(after): other}
    monkeypatch.setattr("reportgen.advice.moves.figures_of", lambda found: told[id(found)])
    assert [(row.what, row.before, row.after) for row in moves(before, after)] == [
        ("Verdict", "suitable", "unsuitable"), ("Crossover", "2500 Hz", "2510 Hz"), ("Corner of the bass", "39 Hz", "61 Hz"),
        ("Network", "3 pieces, with A", "3 pieces, with C"), ("Holes", "90 and 50 mm", "90 and 60 mm"), ("Price of the kit (EUR)", "99.90", "100.00"),
    ]  # fmt: skip
    assert moves(before, before) == ()


def test_pieces_that_only_one_of_two_networks_has() -> None:
    before, after = Counter({"KC-1": 2, "KL-1": 1}), Counter({"KC-1": 1, "KR-1": 3, "KL-1": 1})
    assert _exchanged(before, after) == ("3 pieces, with KC-1", "5 pieces, with 3 x KR-1")
    assert _exchanged(before, before) == ("3 pieces", "3 pieces")
    many = Counter({f"K{at}": 1 for at in range(6)})
    assert _exchanged(Counter(), many)[1] == "6 pieces, with K0, K1, K2, K3 and 2 more"


# --- what a screen foresees -------------------------------------------------------------------------------------------


def beside(level_db: float, **high: Any) -> tuple[Outlook, Setting, Lows]:
    """A low driver of 5.6 ohm, 60 W and 168 mm, so loud, beside HD-01 at 92 dB on CB-01: 96 dB wanted at 2.5 m, 120 W."""
    setting = Setting(demo_case("P-01", high={"sensitivity_db": 92.0, **high}))
    one = {
        name: np.array([value])
        for name, value in (("wide", 0.168), ("cut", 0.146), ("cone", 0.129), ("ohm", 5.6), ("watts", 60.0))
    }
    outlook = Outlook([setting], one["ohm"], one["watts"], Sizes(one["wide"], one["wide"], one["cut"], one["cone"]))
    return (
        outlook,
        setting,
        Lows(np.array([level_db]), one["ohm"], np.array([0.150]), np.array([0.173]), np.array([0.03])),
    )


def test_by_how_much_each_thing_foreseen_misses() -> None:
    """Frames are 14 mm apart, seven times the 2 mm that they must clear. 90 dB less 3.5 dB of step are 86.5 dB, 5.5 dB under the
    high driver, which may be 3 dB too quiet. 120 W into 6 ohm rated make 86.5 + 10 lg 90 - 20 lg 2.5 = 98.08 dB. 5.6 ohm against
    90 % of 3.2 ohm. Half of 120 x 6/5.6 W heat the low driver, against 60 W and 1.5 dB; four fifths of them stay below the
    crossover. 6 W against 12 W."""
    outlook, setting, lows = beside(90.0, rated_power_w=12.0, rating_highpass_hz=None)
    found = outlook._misses(setting, lows, np.array([0]), np.array([11.0]), np.array([0.8]), np.array([6.0]))
    assert found[:, 0] == pytest.approx(
        [1 - 7, 86.5 - 92 - 3, 96 - 98.083 - 3, 1 - 5.6 / 2.88, 0.8 * 0.7585 - 1, -0.5], abs=1e-3
    )


@every(
    ("miss_db", "word", "which"),
    [(0.1, edges.NOT_SUITABLE, 2), (-0.1, edges.UNDECIDED, 2), (-1.9, edges.UNDECIDED, 2), (-2.1, edges.CONDITIONS, 0), (-4.4, edges.CONDITIONS, 0), (-4.6, edges.SUITABLE, 0)],
)  # fmt: skip
def test_how_sure_a_screen_is_of_a_high_driver_that_is_too_quiet(miss_db: float, word: int, which: int) -> None:
    """Up to 3 dB too quiet passes with conditions; sensitivities tell it within 2 dB, and within 4.5 it is no plain yes."""
    outlook, setting, lows = beside(92.0 + 3.5 + 3.0 + miss_db, rated_power_w=900.0, rating_highpass_hz=None)
    outlook = replace(outlook, rated_w=np.array([900.0]))
    words, decides = outlook.told(np.array([[edges.SUITABLE]], dtype=np.int8), np.array([[11.0]]), setting, lows)
    assert (int(words[0, 0]), int(decides[0, 0])) == (word, which)


def test_two_high_drivers_stand_twice_the_watts_before_a_run_asks_for_their_rating() -> None:
    """Without its high pass a rating is asked for from 0.55 of the watts that the strictest usual one leaves a driver."""
    case = demo_case("P-01", high={"rated_power_w": 50.0, "rating_highpass_hz": None, "rating_order": None})
    least = high_allowed_at_least_w(case)
    assert least is not None
    for count in (1, 2):
        setting = Setting(replace(case, pairing=replace(case.pairing, high_count=count)))
        unsure = _rating_unsure(setting, np.array([0.54, 0.56]) * least * count)
        assert unsure.tolist() == [False, True]


@every(
    ("kind", "missed_db", "word"),
    [
        ("closed", 1.4, edges.NOT_SUITABLE), ("closed", -1.4, edges.UNDECIDED), ("closed", -1.6, edges.CONDITIONS),
        ("open baffle", 4.4, edges.NOT_SUITABLE), ("open baffle", 4.2, edges.UNDECIDED), ("open baffle", -4.4, edges.UNDECIDED),
        ("open baffle", -4.6, edges.CONDITIONS),
    ],
)  # fmt: skip
def test_an_open_baffle_leaves_the_level_open_for_longer(kind: str, missed_db: float, word: int) -> None:
    """1.3 dB over what may be missed is refused and 1.5 dB within it left open; 3 dB further either way without a box, whose two
    sides cancel one another. 98.083 dB are reached (`test_by_how_much_each_thing_foreseen_misses`) and 3 dB may be missing."""
    outlook, setting, lows = beside(90.0, rated_power_w=900.0, rating_highpass_hz=None)
    spared_db = setting.step_spared_db if missed_db > 0.0 else 0.0  # of the step, on so wide a baffle
    case = replace(
        setting.case,
        pairing=replace(setting.case.pairing, peak_level_db=98.083 + 3.0 + missed_db + spared_db),
        cabinet=replace(setting.case.cabinet, kind=kind),
    )
    setting = Setting(case)
    outlook = replace(outlook, settings=[setting], rated_w=np.array([900.0]))
    words, _ = outlook.told(np.array([[edges.SUITABLE]], dtype=np.int8), np.array([[11.0]]), setting, lows)
    assert int(words[0, 0]) == word


@every(("ear_m", "height_m", "guide", "looked"), [(1.0, 0.1, None, False), (1.3, 0.1, None, True), (1.3, 0.025, None, False), (1.3, 0.025, "WG-01", True), (1.15, 0.3, "WG-04", True)])  # fmt: skip
def test_a_screen_looks_at_the_window_of_what_is_tall_for_the_angle(
    ear_m: float, height_m: float, guide: str | None, looked: bool
) -> None:
    """pi x 15 kHz/c are 137.3 rad a metre: a line of 0.1 m passes 1.5 rad at a sine of 0.109, one of 25 mm at 0.437; 0.3 m up over 2.5 m are 0.12. A line of 0.3 m
    passes it at 0.036, whatever smaller mouth it stands in."""
    case = demo_case("P-01", high={"shape": "rectangular", "radiating_width_m": 0.02, "radiating_height_m": height_m})
    high = Setting(case).high_centre_m[1]
    pairing = replace(case.pairing, distance_m=2.5, ear_height_m=float(high) + ear_m - 1.0)
    setting = Setting(replace(case, pairing=pairing, guide=demo().waveguides[guide] if guide else None))
    assert _aside(setting) is looked
    two = replace(setting.case, pairing=replace(setting.case.pairing, high_count=2))
    assert _aside(Setting(two))  # two a wave apart cancel at other angles than one


@every(
    ("place", "edges_"),
    [(0, (1.0, 1.0, -1.0)), (1, (None, -2.0, -4.5)), (2, (None, -1.5, -2.5)), (3, (0.55, 0.05, -0.05)), (4, (1.0, -0.15, -0.35)), (5, (0.5, -0.45, -0.66))],
)  # fmt: skip
def test_what_is_foreseen_is_refused_open_or_near_from_its_edges_on(
    place: int, edges_: tuple[float | None, float, float], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The edges as the trial of 890 runs set them (no source); what a wide baffle spares is left to the tests of levels."""
    outlook, setting, lows = beside(90.0, rated_power_w=900.0, rating_highpass_hz=None)
    outlook = replace(outlook, rated_w=np.array([900.0]))
    refused, open_, near = edges_
    wanted = [] if refused is None else [(refused + 0.001, edges.NOT_SUITABLE, place + 1)]
    if refused != open_:
        wanted.append((open_ + 0.001, edges.UNDECIDED, place + 1))
    wanted += [
        (open_ - 0.001, edges.CONDITIONS, 0),
        (near + 0.001, edges.CONDITIONS, 0),
        (near - 0.001, edges.SUITABLE, 0),
    ]
    for missed, word, which in wanted:
        rows = np.full((6, 1), -99.0)
        rows[place] = missed
        monkeypatch.setattr(Outlook, "_misses", lambda *_, rows=rows: rows)
        words, decides = outlook.told(np.array([[edges.SUITABLE]], dtype=np.int8), np.array([[11.0]]), setting, lows)
        assert (int(words[0, 0]), int(decides[0, 0])) == (word, which), missed


def test_what_the_seat_hears_makes_a_verdict_worse_and_never_takes_the_place_of_a_limit(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """HD-10 beside LD-01 does not do whatever the seat hears; P-19 is a plain yes."""
    found = {}
    for heard in ("pass", "marginal", "fail"):
        monkeypatch.setattr(screening, "_at_the_seat", lambda _, heard=heard: heard)
        for name, low, high in (("P-19", None, None), ("P-01", "LD-01", "HD-10")):
            use = replace(demo().pairings[name], centre_spacing_m=None)
            ids = {"low_ids": [low or use.low_id], "high_ids": [high or use.high_id]}
            (one,) = screen(demo(), use, keep=None, **ids).candidates
            found[name, heard] = (one.word, one.takes)
    assert found["P-19", "fail"][0] == "not suitable" and found["P-19", "marginal"][0] == "suitable with conditions"
    assert found["P-19", "pass"][0] == "suitable"
    assert {found["P-01", heard] for heard in ("pass", "marginal", "fail")} == {found["P-01", "pass"]}
    assert found["P-01", "fail"][0] == "not suitable" and "the seat" not in found["P-01", "fail"][1].lower()


def test_a_guide_makes_a_high_driver_louder_to_a_screen() -> None:
    """An octave over the crossover WG-01 adds what its own table says; the miss falls by as much."""
    outlook, setting, lows = beside(90.0)
    guided = Setting(replace(setting.case, guide=demo().waveguides["WG-01"]))
    at = np.array([np.log2(1500.0)])
    plain, louder = (
        outlook._misses(one, lows, np.array([0]), at, np.array([0.8]), np.array([1.0]))[1, 0]
        for one in (setting, guided)
    )
    gain = float(guided.guide_gain_db(3000.0))
    assert gain > 1.0 and plain - louder == pytest.approx(gain, abs=0.02)


def test_the_two_figures_that_change_most_are_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """A cone 1.3 times larger or smaller loses a pick each time, a resistance 1.8 times lower both at once, break-up one, level none."""
    tried: list[tuple[str, float]] = []
    low = replace(
        demo().low_drivers["LD-01"], diaphragm_area_m2=0.013, breakup_hz=5600.0, sensitivity_db=88.0, re_ohm=5.4
    )
    left = {"diaphragm_area_m2": ("A",), "re_ohm": (), "breakup_hz": ("A", "B"), "sensitivity_db": ("A", "B")}

    def screened(use: Any, slopes: Any, catalogue: Catalogue) -> Any:
        now = catalogue.low_drivers[low.id]
        (name,) = [name for name in left if getattr(now, name) != getattr(low, name)]
        tried.append((name, round(getattr(now, name), 6)))
        ids = ("A",) if tried[-1] == ("breakup_hz", 4000.0) else left[name]
        return [SimpleNamespace(high_id=id_, word="suitable") for id_ in ids]

    monkeypatch.setattr(decisive, "screened", screened)
    found = decisive.decisive(asked(), low, demo().pairings["P-01"], demo(), {"A", "B"})
    assert found == ("diaphragm_area_m2", "re_ohm")
    assert sorted(tried) == [
        ("breakup_hz", 4000.0), ("breakup_hz", 7840.0), ("diaphragm_area_m2", 0.01), ("diaphragm_area_m2", 0.0169), ("re_ohm", 3.0),
        ("sensitivity_db", 85.0), ("sensitivity_db", 91.0),
    ]  # fmt: skip


# --- screening --------------------------------------------------------------------------------------------------------


def test_the_bass_that_travel_allows() -> None:
    """rho Sd (2 pi f)^2 x/(2 pi r sqrt 2): 130 cm2, 4.5 mm, 100 Hz, 2.5 m are 1.2522 Pa, 95.93 dB; two of them 6.02 dB more."""
    low = {"diaphragm_area_m2": 0.0130, "peak_travel_m": 4.5e-3}
    one, two = (Setting(demo_case("P-01", low=low, pairing={"low_count": count})) for count in (1, 2))
    pressure = 1.20412 * 0.0130 * (2 * pi * 100.0) ** 2 * 4.5e-3 / (2 * pi * 2.5 * sqrt(2.0))
    assert pressure == pytest.approx(1.2522, abs=5e-4)
    assert (_bass_db(one), _bass_db(two)) == pytest.approx((95.93, 101.95), abs=0.01)
    assert _bass_db(Setting(demo_case("P-01", low={"peak_travel_m": None}))) == float("inf")


@pytest.mark.parametrize(("count", "price"), [((1, 1), 93.0), ((2, 1), 157.0), ((1, 2), 122.0)])
def test_a_pair_is_priced_with_all_its_drivers(count: tuple[int, int], price: float) -> None:
    """LD-01 64.00, HD-01 29.00."""
    use = replace(
        demo().pairings["P-01"], low_count=count[0], high_count=count[1], cabinet_id="CB-08", centre_spacing_m=None
    )
    (found,) = screen(replace(demo(), waveguides={}), use, low_ids=["LD-01"], high_ids=["HD-01"]).candidates
    assert found.price == price


def test_bass_that_is_short_costs_half_an_octave_of_range_for_each_6_db() -> None:
    """Half the travel reaches 6.02 dB less at 100 Hz: 96 dB are wanted, 95.93 reached by the one and 89.91 by the other; 0.5 x 6.02/6."""
    now = replace(demo().low_drivers["LD-01"], diaphragm_area_m2=0.0130)
    lows = {id_: replace(now, id=id_, peak_travel_m=travel_m) for id_, travel_m in (("A", 4.5e-3), ("B", 2.25e-3))}
    use = replace(demo().pairings["P-01"], centre_spacing_m=None, peak_level_db=96.0)
    found = {
        one.low_id: one
        for one in screen(replace(demo(), low_drivers=lows, waveguides={}), use, high_ids=["HD-01"]).candidates
    }
    assert found["A"].score - found["B"].score == pytest.approx(0.5 * 6.0206 / 6.0, abs=2e-3)


def test_several_low_drivers_stand_one_above_the_other_and_bear_the_watts_of_all() -> None:
    """A frame of 168 x 180 mm and a gap of 5 mm: 185 mm from one to the next; two of 60 W bear 120 W."""
    catalogue = replace(demo(), low_drivers={"LD-01": replace(demo().low_drivers["LD-01"], frame_height_m=0.180)})
    case = catalogue.case(replace(demo().pairings["P-01"], low_count=2))
    bench = _Bench(catalogue, case, ("LR4",), (case.low,), (case.high,))
    assert bench._beside(Setting(case)).pitch_m == pytest.approx(0.185)
    assert bench.columns.outlook.rated_w.tolist() == [120.0]
    assert bench.columns.price.tolist() == [128.0] and bench.usual_price == 128.0 + 29.0


@pytest.mark.parametrize(("low", "high", "there"), [(2, 2, True), (1, 2, False), (2, 1, False), (None, None, True)])
def test_what_a_kit_of_two_takes_is_on_the_shelf_or_not(low: int | None, high: int | None, there: bool) -> None:
    lows = {"LD-01": replace(demo().low_drivers["LD-01"], stock=low)}
    highs = {"HD-01": replace(demo().high_drivers["HD-01"], stock=high)}
    catalogue = replace(demo(), low_drivers=lows, high_drivers=highs, waveguides={})
    (found,) = screen(catalogue, demo().pairings["P-01"]).candidates
    assert found.in_stock is there


# --- what a search foresees -------------------------------------------------------------------------------------------


def rough(plainly: bool = False, **network: Any) -> Foresight:
    found = demo_assessed("P-01")
    assert found.network is not None
    return Foresight(replace(found, network=replace(found.network, **network)), plainly)


@every(
    ("plainly", "low_db", "high_db", "short_db", "met"),
    [
        # conditions allowed: the low driver may be 1.5 dB too hot, the high one not at all, the level 3 dB short
        (False, -1.4, 0.1, 2.9, True), (False, -1.6, 0.1, 2.9, False), (False, -1.4, -0.1, 2.9, False), (False, -1.4, 0.1, 3.1, False),
        # a plain yes: half a decibel of headroom for both, and no more than half a decibel short
        (True, 0.6, 0.6, 0.4, True), (True, 0.4, 0.6, 0.4, False), (True, 0.6, 0.4, 0.4, False), (True, 0.6, 0.6, 0.6, False),
    ],
)  # fmt: skip
def test_what_heat_and_level_an_ideal_network_must_meet(
    monkeypatch: pytest.MonkeyPatch, plainly: bool, low_db: float, high_db: float, short_db: float, met: bool
) -> None:
    """96 dB are wanted; headroom in dB is ten times the logarithm of the watts allowed over those there."""
    monkeypatch.setattr(foresight, "reach_of", lambda _: SimpleNamespace(least=lambda hz: (96.0 - short_db, hz, "")))
    case = demo_case("P-01", high={"rated_power_w": 400.0, "rating_highpass_hz": None})
    heat = Heat(20.0, Warmth(10.0, 10.0 * 10 ** (low_db / 10), None), Warmth(10.0, 10.0 * 10 ** (high_db / 10), None))
    driven: Any = SimpleNamespace(model=SimpleNamespace(setting=SimpleNamespace(case=case)), heat=heat)
    assert rough(plainly)._met(driven, 2450.0, (0.0, 0.0, 0.0)) is met
    assert rough(plainly)._met(driven, 2450.0, (9.0, 9.0, 9.0))


def test_how_much_better_a_real_network_may_do() -> None:
    """1 dB for each heat and 0.5 dB for the level where other drivers come in, or where there was no network to go by."""
    other = demo_case("P-06")
    assert rough()._allowed_db(other, "the amplifier") == (1.0, 1.0, 0.5)
    bare = Foresight(replace(demo_assessed("P-01"), network=None), False)
    assert bare._own_db == (1.0, 1.0, 0.5)
    same = rough()
    assert same._allowed_db(same.before.case, "the amplifier") == pytest.approx([one + 0.6 for one in same._own_db])


def test_which_ratings_a_network_may_have() -> None:
    """The drivers' own 5.4 ohm and a network of 90 % of it: 5.4 x 0.9/1.3 = 3.7 ohm is rated 4, 5.4 x 2 = 10.8 ohm is rated 8 (IEC 60268-5)."""
    found = rough()
    own = min(found._model.low_side.least_ohm, found._model.high_side.least_ohm)
    assert 5.2 < own < 5.7
    electrical = replace(found.before.network.electrical, minimum_ohm=0.9 * own)  # type: ignore[union-attr]
    assert rough(electrical=electrical)._rated_ohm(found._model) == (8.0, 6.0, 4.0)
    low = replace(electrical, minimum_ohm=0.4 * own)  # 5.4 x 0.4/1.3 = 1.7 ohm is rated 2
    assert rough(electrical=low)._rated_ohm(found._model) == (8.0, 6.0, 4.0, 3.0, 2.0)


@every(
    ("change", "never"),
    [
        ({}, False), ({"low": {"rated_power_w": None}}, True), ({"high": {"rated_power_w": None}}, True), ({"low": {"peak_travel_m": None}}, True),
        ({"high": {"peak_travel_m": None}}, True),
    ],
)  # fmt: skip
def test_without_a_rating_or_a_travel_no_network_passes(change: dict[str, Any], never: bool) -> None:
    assert _never_known(Setting(demo_case("P-01", **change))) is never


# --- supply -----------------------------------------------------------------------------------------------------------


def planned(**kits: int) -> list[Assessment]:
    """P-01 as several pairings, each with so many kits planned."""
    found = demo_assessed("P-01")
    pairings = [
        replace(found.case.pairing, id=id_, kit=f"Kit {id_}", kits_planned=count) for id_, count in kits.items()
    ]
    return [replace(found, case=replace(found.case, pairing=pairing)) for pairing in pairings]


def stocked(**stock: int) -> Catalogue:
    lows = {
        id_: replace(one, stock=stock.get(id_.replace("-", "_"), one.stock)) for id_, one in demo().low_drivers.items()
    }
    return replace(demo(), low_drivers=lows)


def test_planned_kits_are_counted_once_each() -> None:
    report = supply_report(supply(planned(A=4, B=3), demo()), {})
    assert report.tally.startswith("7 kits of 2 pairings take ")
    (row,) = [row for listing in report.listings if listing.title.startswith("A row") for row in listing.rows if row[:2] == ("A", "Kit A") and row[3] == "LD-01"]  # fmt: skip
    assert row[5:8] == (2, 4, 8)  # two loudspeakers a kit, four kits


def test_equal_pieces_in_two_places_of_a_network_are_taken_together() -> None:
    """Two capacitors KC-1 in each of two loudspeakers: a kit takes 4, three kits 12, at the 1.60 of its row; the other one has no row."""
    found = planned(A=3)[0]
    parts = tuple(
        PartLine("high", label, "C", "shunt", value, 0.0, part_id=id_, price=2.5)
        for label, value, id_ in (("C1", 1e-5, "KC-1"), ("C2", 1e-5, "KC-1"), ("C3", 4.7e-6, None))
    )
    assert found.network is not None
    needs = supply([replace(found, network=replace(found.network, parts=parts))], demo()).needs
    rows = needs[needs["what"] == "capacitor"][["id", "a_kit", "kits", "needed", "each"]]
    assert [tuple(row) for row in rows.itertuples(index=False)] == [("KC-1", 4, 3, 12, 1.6), ("", 2, 3, 6, 2.5)]


def test_what_is_left_over_covers_just_what_is_short() -> None:
    """Four kits take 8 LD-01 of 5: 3 are short. Three LD-11 left over are enough, two are not."""
    for count, enough in ((3, True), (2, False)):
        before = planned(A=4)[0]
        catalogue = stocked(LD_01=5, LD_11=count)
        before = replace(before, case=replace(before.case, low=catalogue.low_drivers["LD-01"]))
        left = Left.of(supply([before], catalogue), catalogue)
        assert left.short["LD-01"] == 3 and left.covers("LD-11", "LD-01") is enough


def test_the_four_kits_that_take_most_of_a_short_piece_are_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(substitutes, "replacements", lambda *_: ())
    catalogue = stocked(LD_01=1)
    kits = [
        replace(one, case=replace(one.case, low=catalogue.low_drivers["LD-01"]))
        for one in planned(A=1, B=5, C=3, D=2, E=4)
    ]
    wares, whole = [Ware.of(one) for one in kits], {one.id: one for one in kits}.__getitem__
    found = substitutes.substitutes(supply(kits, catalogue), wares, whole, catalogue)
    assert [one.before.id for one in found.sought if one.id == "LD-01"] == ["B", "E", "C", "D"]
    kits = [replace(one, verdict=Verdict("not suitable", "made up")) if one.id in "BE" else one for one in kits]
    wares, whole = [Ware.of(one) for one in kits], {one.id: one for one in kits}.__getitem__
    found = substitutes.substitutes(supply(kits, catalogue), wares, whole, catalogue)
    assert [one.before.id for one in found.sought if one.id == "LD-01"] == ["C", "D", "A"], "those to be sold go first"
    assert [*found.told["LD-01"]] == ["B"]


def test_the_first_that_keeps_the_verdict_and_is_left_over_takes_the_place_of_what_is_short() -> None:
    """L1 does worse; of L2 and L3 too few are left, of which the first is remembered; L4 is there and is taken; L5 need not be looked at."""
    before, taken = judged("HD-01", "suitable"), []
    left: Any = SimpleNamespace(
        covers=lambda id_, _: id_ == "L4",
        take=lambda *ids: taken.append(ids),
        holds=lambda _: True,
        spend=lambda _: None,
    )
    waiting: Any = []
    for name in ("L1", "L2", "L3", "L4", "L5"):
        case = replace(before.case, pairing=replace(before.case.pairing, low_id=name))
        waiting.append(SimpleNamespace(text=f"{name} instead", case=case))
    one = substitutes.Sought("LD-01", before, waiting, left)
    one.judge(judged("HD-01", "not suitable"))
    assert (one.found, one.second) == ("", "")
    one.judge(before)
    one.judge(before)
    assert (one.found, one.second, taken) == ("", "L2 instead, of which too few are left over", [])
    one.judge(before)
    assert (one.found, taken, one.case, len(one.waiting)) == ("L4 instead", [("L4", "LD-01")], None, 1)


def test_six_replacements_of_a_driver_are_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    """The smallest changes first: those nearest in size."""
    monkeypatch.setattr(withdrawal, "quick_word", lambda case: "not suitable" if case.low.id == "L3" else "suitable")
    now = demo().low_drivers["LD-01"]
    lows = {f"L{at}": replace(now, id=f"L{at}", diaphragm_area_m2=now.diaphragm_area_m2 * 1.1**at) for at in range(9)}
    found = withdrawal.replacements(demo_assessed("P-01"), "LD-01", replace(demo(), low_drivers={"LD-01": now, **lows}))
    assert [one.text for one in found] == ["L0", "L1", "L2", "L4", "L5", "L6"]


def test_what_no_change_touches_names_checks_and_limits_that_there_are() -> None:
    """By another means: each name stands in quotation marks where the checks and limits are written."""
    written = "".join(Path(str(module.__file__)).read_text(encoding="utf-8") for module in (checks, limits))
    ids = frozenset[str]().union(*changes.UNTOUCHED.values())
    assert len(ids) == 10 + 4 + 5 + 5 + 2 + 3 + 3 and {one for one in ids if f'"{one}"' not in written} == set()


@every(
    ("kind", "cannot", "may"),
    [
        ("cabinet", {"part stress", "resonance", "break-up", "travel"}, {"lobing", "rear path", "low_heat", "frames fit", "reach", "back"}),
        ("place", {"part stress", "lobing", "break-up"}, {"rear path", "frames fit", "reach", "low_heat"}),
        ("height", {"part stress", "frames fit", "break-up"}, {"reach", "travel", "lobing", "seated window"}),
        ("level", {"heat", "low_heat", "part stress", "seated window"}, {"travel", "peak level"}),
        ("spacing", {"heat", "low_heat", "part stress", "reach"}, {"frames fit", "lobing"}),
    ],
)  # fmt: skip
def test_what_a_change_cannot_touch_and_what_it_may(kind: str, cannot: set[str], may: set[str]) -> None:
    """The amplifier's programme heats drivers and parts at any wanted level (IEC 60268-5: rated by power); where a driver stands moves edges and lobes, not its resonance."""
    assert cannot <= changes.UNTOUCHED[kind] and not may & changes.UNTOUCHED[kind]


@every(
    ("watts", "travel", "stated", "lacks"),
    [(50.0, 1e-3, True, False), (None, 1e-3, True, True), (50.0, None, True, True), (50.0, None, False, False), (None, None, False, True)],
)  # fmt: skip
def test_what_a_run_will_miss_of_a_high_driver(
    watts: float | None, travel: float | None, stated: bool, lacks: bool
) -> None:
    """Its rating, whatever it is; its travel where drivers of its kind state one (a ribbon's maker does not)."""
    case = demo_case(
        "P-01", high={"rated_power_w": watts, "peak_travel_m": travel}, technology={"travel_stated": stated}
    )
    assert screening._high_lacks(Setting(case)) is lacks


def test_what_a_run_will_miss_of_low_drivers() -> None:
    case = demo_case("P-01")
    lows = tuple(
        replace(case.low, rated_power_w=watts, peak_travel_m=travel)
        for watts in (60.0, None)
        for travel in (5e-3, None)
    )
    bench = _Bench(demo(), case, ("LR4",), lows, (case.high,))
    assert bench.columns.lacking.tolist() == [False, True, True, True]


def test_how_a_candidate_uses_its_drivers_and_the_width_of_its_range() -> None:
    """2000 to 4000 Hz is one octave; a chamber of 15e-6 m3 is 15 mL."""
    found = candidate("HD-01", guide_id="WG-01", rear_use="removed", chamber_m3=15e-6, high_hz=4000.0)
    assert (found.used, found.octaves) == ("LR4, in WG-01, rear cup off, 15 mL chamber", 1.0)
    assert (candidate("HD-01").used, candidate("HD-01", high_hz=None).octaves) == ("LR4", None)


def test_a_place_of_two_pieces_is_ordered_as_both_and_a_piece_of_no_row_by_its_value() -> None:
    """KC-1 is 1 uF at 1.60 and KC-4u7 is 4.7 uF at 2.60, 40 of each; bought by value for 100 V, a single one at the price of its place."""
    both = PartLine(
        "high",
        "C1",
        "C",
        "shunt",
        5.7e-6,
        0.0,
        made_of=(1e-6, 4.7e-6),
        part_id="KC-1 + KC-4u7",
        price=4.2,
        rating_to_buy=100.0,
        rating_unit="V",
    )
    found = list(supplies._pieces(both, demo()))
    assert [one[0] for one in found] == ["KC-1", "KC-4u7"] and [one[2] for one in found] == ["1 uF", "4.7 uF"]
    assert [one[3:] for one in found] == [(1.6, 40), (2.6, 40)]
    (alone,) = supplies._pieces(replace(both, made_of=(), part_id=None, value=5.6e-6), demo())
    assert alone == ("", 5.6e-6, "5.6 uF, 100 V", 4.2, None)
    nameless = list(supplies._pieces(replace(both, part_id=None), demo()))
    assert [one[1:4] for one in nameless] == [(1e-6, "1 uF, 100 V", None), (4.7e-6, "4.7 uF, 100 V", None)]


def test_what_nobody_counted_ends_no_kit() -> None:
    """Of 9 woofers 4 kits of 2 can be built; of the coil no stock is known. Beside 3 kits of another that take 2 each: (9 - 6)/2 is 1."""
    rows = [
        ("low driver", "L", 0.0, "", 1.0, 9.0, "P", "Kit", 2, 1, 2), ("coil", "K", 1e-3, "1 mH", 1.0, None, "P", "Kit", 2, 1, 2),
        ("low driver", "L", 0.0, "", 1.0, 9.0, "Q", "Other", 2, 3, 6),
    ]  # fmt: skip
    needs: Any = pd.DataFrame(rows, columns=list(supplies.COLUMNS))
    found = supplies.kits_possible(supplies.Supply(needs, needs))
    assert found.to_dict("records") == [
        {"pairing": "P", "kit": "Kit", "planned": 1, "alone": 4, "beside": 1, "ends": "L", "ends_beside": "L"},
        {"pairing": "Q", "kit": "Other", "planned": 3, "alone": 4, "beside": 3, "ends": "L", "ends_beside": "L"},
    ]


def test_the_rows_of_a_withdrawal(monkeypatch: pytest.MonkeyPatch) -> None:
    """As it is now, then the better verdict, then the smaller effort; holes are told where they change; 99.90 to 110.00 is 10.10 dearer."""
    now = judged("HD-01", "suitable")
    tried: Any = []
    told = {id(now): Figures("suitable", 2500.0, Counter({"A": 2}), "90 and 50 mm", 99.9, 50.0, "")}
    for name, word, effort, holes, price in (
        ("X", "not suitable", 1.0, "A", 90.0),
        ("Y", "suitable", 3.0, "90 and 50 mm", 110.0),
        ("Z", "suitable", 2.0, "B", 99.9),
    ):
        after = replace(
            now,
            verdict=Verdict(word, "Made up."),
            case=replace(now.case, pairing=replace(now.case.pairing, notes=name)),
        )  # type: ignore[arg-type]
        tried.append((SimpleNamespace(text=name, effort=effort, case=after.case), after))
        told[id(after)] = Figures(word, 2600.0, Counter({"A": 2, "B": 1}), holes, price, 50.0, "")
    monkeypatch.setattr(withdrawal, "figures_of", lambda found: told[id(found)])
    first = (now.id, now.case.pairing.kit)
    assert (
        list(withdrawal._rows(now, tried, "HD-01"))
        == [
            (*first, "as now", "suitable", 2500.0, 2, "90 and 50 mm", 99.9, None),
            (*first, "Z", "suitable", 2600.0, 3, "B", 99.9, 0.0),
            (*first, "Y", "suitable", 2600.0, 3, "as now", 110.0, 10.1),
            (*first, "X", "not suitable", 2600.0, 3, "A", 90.0, -9.9),
        ][: withdrawal.TOLD + 1]
    )


def test_a_rear_chamber_is_told_in_millilitres() -> None:
    found = demo_assessed("P-01")
    use = replace(found.case.pairing, chamber_m3=15e-6)
    assert comparison._rear(replace(found, case=replace(found.case, pairing=use))) == "15 mL chamber"
    assert (
        comparison._rear(
            replace(found, case=replace(found.case, pairing=replace(use, chamber_m3=None, rear_use="removed")))
        )
        == "removed"
    )


def test_only_a_gap_of_a_woofer_that_is_not_ours_is_for_the_enquirer() -> None:
    ours, theirs = (
        demo().low_drivers["LD-01"],
        replace(demo().low_drivers["LD-01"], id="E-9", origin=Origin("Enquiries", 0, {})),
    )
    words = [
        replies._gap_words(SimpleNamespace(missing=(text,)), low)  # type: ignore[arg-type]
        for text, low in (
            ("Fs of E-9 (Enquiries!P9)", theirs),
            ("Fs of LD-01 (Low drivers!G2)", ours),
            ("Fs of HD-01 (High drivers!G2)", theirs),
        )
    ]
    assert words == ["provisional until you tell us your woofer's resonance", "", ""]


# --- the mail ---------------------------------------------------------------------------------------------------------


def proposed(high_id: str, **known: Any) -> Any:
    bounds = SimpleNamespace(low_binding=None, high_binding=SimpleNamespace(id="break-up"))
    case = SimpleNamespace(low=demo().low_drivers["LD-01"], practice=demo().practice)
    usual = {
        "high_id": high_id, "description": "", "guide_id": None, "rear": "", "price": None, "crossover_hz": 2514.0, "slope": "LR4", "low_hz": None,
        "high_hz": 3163.0, "word": "suitable", "caution": None, "of_the_kind_asked": False, "wished_db": None,
        "assessment": SimpleNamespace(found_range=bounds, checks=(), case=case, figures=None, cautions=()),
    }  # fmt: skip
    return SimpleNamespace(**(usual | known))


@every(
    ("words", "decisive", "told"),
    [
        (("suitable",), (), "One of our high drivers would do: HD-0."),
        (("undecided",), (), "One of our high drivers would probably do: HD-0."),
        (("suitable",), ("re_ohm",), "One of our high drivers would probably do: HD-0."),
        (("undecided", "suitable"), (), "Two of our high drivers would do; the first one suits best."),
        (("undecided", "undecided", "undecided"), ("re_ohm",), "Three of our high drivers would probably do; the first one suits best."),
    ],
)  # fmt: skip
def test_how_sure_an_answer_is(words: tuple[str, ...], decisive: tuple[str, ...], told: str) -> None:
    proposals: Any = tuple(proposed(f"HD-{i}", word=word) for i, word in enumerate(words))
    assert replies.outcome(enquiries.Answer(asked(), None, proposals, decisive=decisive)) == told


def test_a_whole_mail_word_by_word() -> None:
    """Of two proposals of one slope: 2514 Hz is told as 2510, 3163 as 3160; 4th order falls by 24 dB an octave; prices as the currency has it."""
    caution: Any = SimpleNamespace(text="Never cut it. The dust is bad.")
    first = proposed("HD-01", description="dome", guide_id="WG-01", price=47.0, caution=caution, of_the_kind_asked=True)
    answer = enquiries.Answer(
        asked(low_id="LD-01", low_count=2, cabinet_id="C-1", customer="Ada"), demo().low_drivers["LD-01"], (first, proposed("HD-02", rear="rear cup taken off")),
        kinds=("dome",), assumed=("20 degC",), shortfall="110 dB is out of reach", wishes=("we take it so",), currency="EUR",
        from_name="Mill", cheapest_first=True,
    )  # fmt: skip
    vars(first.assessment.case)["pairing"] = SimpleNamespace(low_wiring="series")
    dearer = replace(answer, proposals=(first, proposed("HD-02", price=46.0)))  # what was asked for stands first
    assert "we suggest, crossed over as" in replies.reply(dearer)
    assert replies.reply(answer) == (
        "Hello Ada,\n\nthank you for your enquiry E-9.\n\n110 dB is out of reach. We take it so.\n\n"
        "You asked for a dome: HD-01; the other is of another kind.\n\n"
        "For your two LD-01 in cabinet C-1, wired in series, we suggest, cheapest first, crossed over as Linkwitz-Riley, 4th order (24 dB per octave):\n"
        "1. HD-01 (dome) in waveguide WG-01, 47.00 EUR each: cross at 2510 Hz. Usable up to 3160 Hz (your woofer's cone breaks up).\n"
        "2. HD-02, rear cup taken off: cross at 2510 Hz. Usable up to 3160 Hz (your woofer's cone breaks up).\n\n"
        "Careful with HD-01. Never cut it.\n\nLocal codes and licensed trades come first.\n\nWe assumed 20 degC.\n\n"
        "The enclosed page says the rest.\n\nKind regards\nMill\n"
    )


def test_why_a_wish_would_not_do_goes_before_a_second_pick() -> None:
    """Of 150 words the cautions, which stay, leave no room for three picks and the reason: the page has the other two."""
    cautions: list[Any] = [
        SimpleNamespace(text=f"{name} {'and so on ' * 9}here.") for name in ("Magnet", "Film", "Foil")
    ]
    three = tuple(
        proposed(f"HD-0{n}", price=40.0, caution=one, description="dome") for n, one in enumerate(cautions, 1)
    )
    why = "LR2 would not do: with HD-01, which suits best, no frequency serves both drivers: the high one plays from 3870 Hz up, the woofer only to 523 Hz"
    answer = enquiries.Answer(asked(low_id="LD-01", cabinet_id="C-1"), demo().low_drivers["LD-01"], three, currency="EUR", from_name="Mill")  # fmt: skip
    mails = [replies.reply(replace(answer, wishes=wishes)) for wishes in ((), (why,))]
    assert all("HD-01" in mail and len(mail.split()) <= 150 for mail in mails)
    assert ["HD-02" in mail for mail in mails] == [True, False]
    assert f"{why}." in mails[1] and "names two more" in mails[1]


def test_a_guessed_baffle_has_room_for_a_guide_little_wider_than_the_woofer() -> None:
    """The 12 inch woofer's frame is 338 mm, a fifth more 406 mm. A guide of 420 mm is 1.24 frames wide and gets 10 mm on either side, one of 423 mm does not."""
    for guide_mm, width_mm in ((300.0, 406.0), (420.0, 440.0), (423.0, 406.0)):
        guide = replace(demo().waveguides["WG-02"], faceplate_width_m=guide_mm / 1e3)
        wish = asked(given_area_m2=0.0530)
        low, _ = low_of(wish, few())
        cabinet, _ = cabinet_of(wish, low, replace(few(), waveguides={"WG-02": guide}))
        assert low.frame_width_m == 0.338 and cabinet.baffle_width_m == pytest.approx(width_mm / 1e3, abs=5e-4)


def test_what_stands_over_the_edge_of_a_baffle_that_is_no_row_of_ours_is_told_with_its_size() -> None:
    """Nobody but the program knows the size of a front that it guessed."""
    verdict = SimpleNamespace(reason="WG-02 stands 89 mm over the edge of the baffle. More.")
    bounds = SimpleNamespace(empty=False)
    for row, told in ((0, "a baffle of 202 x 502 mm"), (3, "the baffle")):
        cabinet = SimpleNamespace(origin=SimpleNamespace(row=row), baffle_width_m=0.202, baffle_height_m=0.502)
        found: Any = SimpleNamespace(verdict=verdict, found_range=bounds, case=SimpleNamespace(cabinet=cabinet))
        assert enquiries._plainly(found) == f"WG-02 stands 89 mm over the edge of {told}"


def test_a_no_names_the_driver_that_its_way_out_helps(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of two that fail alike the second has a way out: both sentences speak of it."""
    both = [candidate(id_, rank, low_hz=2000.0, high_hz=2000.0) for rank, id_ in enumerate(("HD-01", "HD-02"), 1)]
    looked: Any = [
        (one, SimpleNamespace(checks=(), case=SimpleNamespace(high=SimpleNamespace(id=one.high_id)))) for one in both
    ]
    way = SimpleNamespace(changes=("slope LR8",), word="suitable")
    monkeypatch.setattr(enquiries, "find_remedies", lambda one, _: ((way,) if one.case.high.id == "HD-02" else (), ""))
    monkeypatch.setattr(enquiries, "_plainly", lambda one: "it burns")
    monkeypatch.setattr(enquiries, "_remedy_words", lambda remedy, one: f"{one.case.high.id} with {remedy.changes[0]}")
    monkeypatch.setattr(enquiries, "_another_woofer", lambda *_: False)
    monkeypatch.setattr(enquiries, "_over_budget", lambda *_: "")
    reason, yes = enquiries._no(
        Picks(demo().pairings["P-01"], tuple(both), looked, []), SimpleNamespace(catalogue=None)
    )  # type: ignore[arg-type]
    assert reason.endswith("with HD-02, which comes nearest, it burns.") and yes == "HD-02 with slope LR8"


def test_what_is_loud_enough_to_harm_hearing_is_told_with_its_time() -> None:
    """NIOSH 98-126: 85 dBA for 8 h, half of it for 3 dB more; the sheets' own caution, of the first proposal, where it is grave; of a level that nobody asked for what is reached."""
    loud = Caution(
        "hearing", "Protect your hearing", "100 dB: 4 h a day. Start low.", "NIOSH 98-126", "the work", grave=True
    )
    answer = enquiries.Answer(
        asked(low_id="LD-01", typed=("peak_level_db",)), demo().low_drivers["LD-01"], (proposed("HD-01"),)
    )
    for caution, told in ((loud, ["Careful. 100 dB: 4 h a day. " + replies.LAWS]), (replace(loud, grave=False), [])):
        vars(answer.proposals[0].assessment)["cautions"] = (caution,)
        assert replies.safety(answer, answer.proposals) == told
    unasked = replace(answer, enquiry=asked(low_id="LD-01"))
    assert replies.safety(unasked, unasked.proposals) == [], "what is reached is not known"
    for reached_db, told in (
        (94.9, []),
        (
            98.2,
            [
                "Careful. Tones of 98 dB at the seat go with a programme of about 88 dB: 4 h a day is the recommended limit. "
                + replies.LAWS
            ],
        ),
    ):
        vars(answer.proposals[0].assessment)["figures"] = SimpleNamespace(highest_level_db=reached_db)
        assert replies.safety(unasked, unasked.proposals) == told


def test_before_a_sentence_is_broken_the_level_goes() -> None:
    answer = enquiries.Answer(asked(low_id="LD-01"), demo().low_drivers["LD-01"], (proposed("HD-01"),))
    vars(answer.proposals[0].assessment)["figures"] = SimpleNamespace(highest_level_db=92.4)
    vars(answer.proposals[0].assessment.case)["pairing"] = SimpleNamespace(amplifier_power_w=60.0, distance_m=2.5)
    short = replies.reply(answer)
    long = replies.reply(replace(answer, hazards=("Careful. " + "word " * (158 - len(short.split())) + "here.",)))
    assert "it reaches 92 dB" in short and "92 dB" not in long and "..." not in long


def test_two_slopes_are_told_with_each_proposal_and_a_child_is_minded() -> None:
    answer = enquiries.Answer(
        asked(low_id="LD-01"),
        demo().low_drivers["LD-01"],
        (proposed("HD-01", slope="BW3"), proposed("HD-02")),
        child=True,
    )
    text = replies.reply(answer)
    assert (
        "we suggest, best first:\n1. HD-01: cross at 2510 Hz, Butterworth, 3rd order (18 dB per octave). Usable" in text
    )
    assert f"{replies.CHILD} Local codes and licensed trades come first.\n" in text and "Careful" not in text
    nobody = replies.reply(replace(answer, child=False))
    assert "child" not in nobody and "Local codes" not in nobody


# --- rules over many values -------------------------------------------------------------------------------------------


@every(
    ("wide_m", "level_db", "word"),
    [
        (0.2, 83.3, edges.NOT_SUITABLE),
        (0.2, 83.4, edges.UNDECIDED),
        (0.66, 81.7, edges.NOT_SUITABLE),
        (0.66, 81.9, edges.UNDECIDED),
    ],
)
def test_a_wide_baffle_is_not_refused_for_a_step_that_it_has_not(wide_m: float, level_db: float, word: int) -> None:
    """L less 3.5 dB of step, and 120 W into 6 ohm at 2.5 m, reach L + 8.08 dB; 96 dB are wanted, 3 dB less would do, and the run may
    find 1.3 dB more: L + 12.38. On 660 mm 1.81 dB of the step are not there, on 200 mm 0.28 dB."""
    outlook, setting, lows = beside(level_db, rated_power_w=900.0, rating_highpass_hz=None)
    outlook = replace(outlook, rated_w=np.array([900.0]))
    cabinet = replace(setting.case.cabinet, baffle_width_m=wide_m)
    told = outlook.told(np.array([[edges.SUITABLE]], dtype=np.int8), np.array([[11.0]]), Setting(replace(setting.case, cabinet=cabinet)), lows)  # fmt: skip
    assert (int(told[0][0, 0]), int(told[1][0, 0])) == (word, 3)


KNOWN = (edges.SUITABLE, edges.CONDITIONS, edges.UNDECIDED, edges.NOT_SUITABLE)
MISSES = {"surely": (0.1, lambda word: (edges.NOT_SUITABLE, 2)),
          "perhaps": (-1.0, lambda word: (edges.UNDECIDED, 0 if word == edges.UNDECIDED else 2)),
          "nearly": (-4.0, lambda word: (max(word, edges.CONDITIONS), 0)),
          "not at all": (-9.0, lambda word: (word, 0))}  # fmt: skip
"""By how much a high driver is too quiet (dB, 3 dB being borne), and what that makes of a verdict of the limits."""


@every("word", KNOWN)
@every("miss", MISSES)
def test_what_is_foreseen_only_makes_a_verdict_of_the_limits_worse(miss: str, word: int) -> None:
    """What the limits refuse stays refused and is not looked at; what is open already gets no second question."""
    miss_db, becomes = MISSES[miss]
    outlook, setting, lows = beside(92.0 + 3.5 + 3.0 + miss_db, rated_power_w=900.0, rating_highpass_hz=None)
    outlook = replace(outlook, rated_w=np.array([900.0]))
    words, decides = outlook.told(np.array([[word]], dtype=np.int8), np.array([[11.0]]), setting, lows)
    wanted = (word, 0) if word == edges.NOT_SUITABLE else becomes(word)
    assert (int(words[0, 0]), int(decides[0, 0])) == wanted


def test_a_frame_of_unknown_size_is_not_foreseen_to_miss() -> None:
    outlook, setting, lows = beside(90.0)
    unknown = replace(outlook, sizes=replace(outlook.sizes, width_m=np.array([np.nan]), height_m=np.array([np.nan])))
    at = (lows, np.array([0]), np.array([11.0]), np.array([0.8]), np.array([1.0]))
    assert unknown._misses(setting, *at)[0, 0] == -np.inf
    assert outlook._misses(setting, *at)[0, 0] == pytest.approx(-6.0)  # 14 mm, where 2 must be clear


def test_a_table_over_the_crossover_is_read_between_its_places_and_goes_on_at_its_ends() -> None:
    """Against the interpolation of numpy; 32 Hz to 32 kHz in 480 steps."""
    draw = np.random.default_rng(3)
    table, row, octave = draw.normal(size=(4, 481)), draw.integers(0, 4, 300), draw.uniform(4.5, 15.5, 300)
    wanted = [float(np.interp(at, np.linspace(5.0, 15.0, 481), table[i])) for i, at in zip(row, octave, strict=True)]
    assert _between(table, row, octave) == pytest.approx(wanted, abs=1e-4)


@every("now", ("closed", "vented", "open baffle"))
def test_any_box_takes_the_place_of_a_box_and_a_panel_that_of_a_panel(now: str) -> None:
    box = demo().cabinets["CB-01"]
    kinds = {"closed": "A", "vented": "B", "open baffle": "C"}
    others = {id_: replace(box, id=id_, kind=kind) for kind, id_ in kinds.items()}
    before = demo_assessed("P-01")
    before = replace(before, case=replace(before.case, cabinet=replace(box, kind=now)))
    found = told(changes.cabinets, before, replace(demo(), cabinets={"CB-01": box, **others}))
    assert [text for text, _ in found] == [
        f"cabinet {id_} in place of CB-01" for kind, id_ in kinds.items() if (kind == "open baffle") == (now == "open baffle")
    ]  # fmt: skip


@every("guided", (False, True))
def test_the_frame_of_a_guide_is_no_faceplate_that_could_be_smaller(guided: bool) -> None:
    before, now = demo_assessed("P-01"), demo().high_drivers["HD-01"]
    lobing = tuple(replace(one, outcome="fail") if one.id == "lobing" else one for one in before.checks)
    guide = demo().waveguides["WG-01"] if guided else None
    before = replace(before, checks=lobing, case=replace(before.case, guide=guide))
    other = replace(now, id="A", faceplate_width_m=0.07, faceplate_height_m=0.07)
    ((text, _),) = told(changes.high_drivers, before, replace(demo(), high_drivers={now.id: now, "A": other}))
    assert ("smaller faceplate" in text) is not guided


def row(**figures: float) -> Any:
    """A pair as a screen keeps it: no range ends, nothing refused."""
    one = np.zeros((), dtype=screening._ROW)
    for name, value in figures.items():
        one[name] = value
    return one


def test_each_no_of_a_screen_is_counted_under_one_obstacle() -> None:
    """The kind first, then what is foreseen, then two bounds that cross, else the crossover that was given."""
    low, high = edges.number_of("resonance"), edges.number_of("break-up")
    bad, fine = edges.NOT_SUITABLE, edges.CONDITIONS
    crossed = {"low": 11.5, "high": 11.0, "low_by": low, "high_by": high}
    rows = [
        row(word=fine), row(word=bad, option=1, refused=2, **crossed), row(word=bad, refused=2, **crossed), row(word=bad, refused=6),
        row(word=bad, **crossed), row(word=bad, **crossed), row(word=bad, **crossed),
        *(row(word=bad, low=11.0, high=11.5, low_by=low, high_by=high) for _ in range(2)),
    ]  # fmt: skip
    ways: Any = [SimpleNamespace(ruled_out=""), SimpleNamespace(ruled_out="A ribbon must not be used in a vehicle.")]
    tally = screening._Tally()
    for some in (rows[:4], rows[4:]):
        tally.add(np.array(some), ways)
    assert tally.words.tolist() == [0, 1, 0, 8]
    assert tally.obstacles() == (
        ("Resonance lies above cone break-up", 3),
        ("The wanted crossover lies outside the range", 2),
        ("The kind of driver is ruled out", 1),
        ("The high driver is too quiet", 1),
        ("The high driver would burn", 1),
    )


@every(("asked", "word"), tuple(product((edges.SUITABLE, edges.CONDITIONS, edges.UNDECIDED), repeat=2)))  # fmt: skip
def test_what_a_pair_takes_is_said_where_it_is_better_than_what_was_asked(asked: int, word: int) -> None:
    """A steeper slope, a guide, the cup off and a chamber, each in its own words; as good as asked takes nothing."""
    bench: Any = SimpleNamespace(slopes=("LR2", "LR4"), _missing=lambda *_: iter(("Xmax of A", "Xmax of A", "Sd of A")))
    way: Any = SimpleNamespace(ruled_out="")
    found: Any = SimpleNamespace(slope="LR4", guide_id="WG-01", rear_use="removed", chamber_m3=35e-6)
    takes = "Takes: slope LR4, waveguide WG-01, rear cup taken off, rear chamber of 35 mL."
    for refused in (0, 3):
        text = _Bench._takes(bench, found, row(asked=asked, word=word, refused=refused), 0, way)
        asks = ["A run must tell whether the level is reached."] if refused else []
        if word == edges.UNDECIDED and not refused:
            assert text == "Missing: Xmax of A; Sd of A."
        else:
            assert text == " ".join([*([takes] if word < asked else []), *asks])
    plain: Any = SimpleNamespace(slope="LR2", guide_id=None, rear_use="as supplied", chamber_m3=None)
    assert _Bench._takes(bench, plain, row(asked=edges.UNDECIDED, word=edges.SUITABLE), 0, way) == ""


@every("seed", range(5))
def test_beyond_a_budget_the_cheapest_are_looked_at_first(monkeypatch: pytest.MonkeyPatch, seed: int) -> None:
    """Any order of costs: first what the budget allows, as it is ranked, then the dearer ones from the cheapest up."""
    costs: dict[Any, float] = dict(enumerate(np.random.default_rng(seed).permutation(12) * 10.0 + 5.0))
    looked: list[list[Any]] = []
    monkeypatch.setattr(picks, "price_of", lambda one, _: costs[one] if one != 3 else None)
    monkeypatch.setattr(
        picks, "_assessed", lambda _, found, *__: [(one, None) for one in looked.append(found) or found]
    )  # type: ignore[func-returns-value]
    monkeypatch.setattr(picks, "_ranked", lambda _, judged: [pair for pair in judged if costs[pair[0]] > 60.0])
    wish = Wish(demo().pairings["P-01"], demo(), budget=55.0)
    _, good, over = picks._within(wish, tuple(costs), wish.use, 7)
    assert looked[0] == [one for one in costs if costs[one] <= 55.0 and one != 3]
    assert looked[1] == sorted((one for one in costs if costs[one] > 55.0 and one != 3), key=costs.__getitem__)
    assert over and [costs[one] for one, _ in good] == sorted(
        costs[one] for one in costs if costs[one] > 60.0 and one != 3
    )


def told_at(octave: float, **high: Any) -> tuple[int, int]:
    """What a screen makes of a plain yes of the limits at a crossover (lg2 of Hz), and what decides."""
    outlook, setting, lows = beside(90.0, **high)
    words, decides = outlook.told(np.array([[edges.SUITABLE]], dtype=np.int8), np.array([[octave]]), setting, lows)
    return int(words[0, 0]), int(decides[0, 0])


def test_a_pair_without_bounds_is_looked_at_at_1000_hz() -> None:
    """Where the high driver bears little it burns at 1000 Hz, which counts where nobody knows the crossover, and not at 8 kHz."""
    weak = {"rated_power_w": 2.0, "rating_highpass_hz": None, "sensitivity_db": 86.0}
    assert told_at(float("nan"), **weak) == told_at(float(np.log2(1000.0)), **weak) == (edges.NOT_SUITABLE, 6)
    assert told_at(13.0, **weak)[0] != edges.NOT_SUITABLE


@every("word", KNOWN)
def test_a_rating_that_may_not_be_enough_leaves_open_what_is_no_no(monkeypatch: pytest.MonkeyPatch, word: int) -> None:
    """The run asks for its high pass there; a screen has no question of its own."""
    outlook, setting, lows = beside(90.0, rated_power_w=9000.0)
    outlook = replace(outlook, rated_w=np.array([9000.0]))
    monkeypatch.setattr(refusals, "_rating_unsure", lambda _, watts: np.full(watts.shape, True))
    words, decides = outlook.told(np.array([[word]], dtype=np.int8), np.array([[11.0]]), setting, lows)
    assert (int(words[0, 0]), int(decides[0, 0])) == (max(word, edges.UNDECIDED), 0)


def test_two_low_drivers_stand_a_pitch_apart_to_a_screen() -> None:
    """The high one 280 mm up: one low driver 150 mm under it, the next a pitch of 300 mm lower, 84 mm of frame under that: 254 mm over the edge."""
    outlook, setting, lows = beside(90.0)
    two = Setting(replace(setting.case, pairing=replace(setting.case.pairing, low_count=2)))
    assert two.high_places[0].y_m == pytest.approx(0.28)
    apart = replace(lows, spacing_m=np.array([0.150]), pitch_m=np.array([0.300]))
    assert outlook._clearance_m(two, apart, np.array([0])) == pytest.approx([0.28 - 0.15 - 0.30 - 0.084])


DRIVER = (("high_id", "HD-02"), ("guide_id", None), ("centre_spacing_m", 0.16))


@every(
    ("one", "other", "at_odds"),
    [
        ((("guide_id", "WG-03"),), DRIVER, True), ((("guide_id", None),), DRIVER, True), ((("centre_spacing_m", 0.12),), DRIVER, True),
        ((("low_id", "LD-02"), ("centre_spacing_m", 0.16)), DRIVER, False), ((("slope", "LR4"),), DRIVER, False),
        ((("guide_id", "WG-03"), ("centre_spacing_m", 0.14)), (("low_id", "LD-02"), ("centre_spacing_m", 0.16)), False),
    ],
)  # fmt: skip
def test_two_changes_of_which_one_undoes_the_other_are_no_pair(
    one: tuple[tuple[str, Any], ...], other: tuple[tuple[str, Any], ...], at_odds: bool
) -> None:
    """A guide for the driver that goes was told of the one that comes, which was judged without it; centres closer and another frame likewise."""
    changes_ = Change("one", "one", 1.0, one), Change("high driver", "other", 2.0, other)
    assert changes.at_odds(*changes_) is changes.at_odds(*reversed(changes_)) is at_odds
    assert (changes_ in remedies._pairs(changes_, with_drivers=True)) is not at_odds


@every(
    ("given", "high", "low", "then"),
    [(0.15, 0.16, 0.16, 0.17), (0.15, 0.14, 0.16, 0.15), (0.15, None, 0.16, None), (None, None, None, None)],
)  # fmt: skip
def test_two_other_frames_keep_the_gap_of_a_given_spacing(
    given: float | None, high: float | None, low: float | None, then: float | None
) -> None:
    """Frames of 100 and 140 mm, 150 mm apart, leave 30 mm: 120 mm for the one makes 160 mm, 160 mm for the other as well, and both (120 + 160)/2 + 30 = 170 mm."""
    two = [Change(name, name, 1.0, ((f"{name}_id", "X"), ("centre_spacing_m", apart))) for name, apart in (("high", high), ("low", low))]  # fmt: skip
    after = changes.together(two, replace(demo().pairings["P-01"], centre_spacing_m=given))
    assert (after.high_id, after.low_id, after.centre_spacing_m) == ("X", "X", then)
    assert changes.together(two[:1], demo().pairings["P-01"]).centre_spacing_m == high


@every("alone", (None, "high driver", "slope"))
@every("in_pairs", (True, False))
def test_pairs_are_looked_at_where_no_change_alone_keeps_both_drivers(
    monkeypatch: pytest.MonkeyPatch, alone: str | None, in_pairs: bool
) -> None:
    """And those with another driver where nothing else was found at all; what is far-fetched where no other change keeps both drivers."""
    after, runs = demo_assessed("P-06"), list[str]()
    finds = {"own": alone == "slope", "others": alone == "high driver", "pairs": in_pairs}

    def run(self: _Search, candidates: Any) -> None:
        changes = next(iter(candidates))
        driver = any(one.kind in ("high driver", "low driver") for one in changes)
        single = "far" if changes[0].far_fetched else "others" if driver else "own"
        runs.append(single if len(changes) == 1 else "pairs with others" if driver else "pairs")
        kind = {"own": "slope", "others": "high driver"}.get(runs[-1], "level")
        self.found += [((Change(kind, kind, 1.0, ()),), after)] if finds.get(runs[-1]) else []

    monkeypatch.setattr(_Search, "run", run)
    find_remedies(replace(demo_assessed("P-01"), verdict=Verdict("not suitable", "Made up.")), demo())
    looked_at = ["own", "far", "others", "pairs", "pairs with others"]
    if alone == "slope":
        looked_at = ["own", "others"]
    assert runs == (looked_at[:4] if alone or in_pairs else looked_at)


@every("no", (None, "_can_help", "_told_already", "_hinders", "_bearable", "_loud_enough", "_open"))
def test_each_quick_look_may_rule_a_change_out(monkeypatch: pytest.MonkeyPatch, no: str | None) -> None:
    """What cannot help, is told already or brings in another fault costs no judgement; what a judgement rules out is not tried."""
    tried: list[Any] = []
    for name in ("_can_help", "_bearable", "_loud_enough", "_open"):
        monkeypatch.setattr(_Search, name, lambda *_, name=name: name != no)
    for name in ("_told_already", "_hinders"):
        monkeypatch.setattr(_Search, name, lambda *_, name=name: name == no)
    monkeypatch.setattr(_Search, "_case", lambda *_: demo_case("P-01"))
    monkeypatch.setattr(_Search, "_try", lambda _, changes, case: tried.append(changes))
    search = failing()
    search.budget = 3
    search.run([(Change("slope", str(i), 1.0, ()),) for i in range(5)])
    free = no in ("_can_help", "_told_already", "_hinders")
    assert (len(tried), search.quick, search.left_out) == (0 if no else 3, 0 if free else 3, not free)


def test_a_fault_that_one_change_brings_in_must_be_touched_by_another(monkeypatch: pytest.MonkeyPatch) -> None:
    """Alone a guide leaves the frames in the way: the spacing, which moves them, may go with it, a slope may not."""
    guide, spacing, slope, place = (Change(kind, kind, 1.0, ()) for kind in ("guide", "spacing", "slope", "place"))
    brings = {guide: {"frames fit"}, slope: set(), spacing: set(), place: {"rear path", "frames fit"}}
    monkeypatch.setattr(_Search, "_in_the_way", lambda _, change: frozenset(brings[change]))
    search = failing()
    assert not search._hinders((guide, spacing)) and search._hinders((guide, slope)) and not search._hinders((guide,))
    assert not search._hinders((slope, spacing)) and search._hinders((place, spacing, slope)) is False
    # one other that touches it is enough, and each of several faults needs one
    assert search._hinders((place, slope)) and not search._hinders((guide, slope, spacing))


def test_what_is_in_the_way_of_a_no_and_of_a_yes_with_conditions() -> None:
    """Of a no its fails and what is not known; else what is near, and what must be kept."""
    there = demo_assessed("P-01").checks[0]
    rows = [("a", "fail", True, ""), ("b", "not assessed", True, ""), ("c", "not assessed", False, ""), ("d", "marginal", True, ""), ("e", "pass", True, "Keep it."), ("f", "pass", True, "")]  # fmt: skip
    found = tuple(
        replace(there, id=id_, outcome=outcome, essential=essential, condition=condition)
        for id_, outcome, essential, condition in rows
    )  # type: ignore[arg-type]
    for word, wanted_ids in (("not suitable", {"a", "b"}), ("suitable with conditions", {"d", "e"})):
        before = replace(demo_assessed("P-01"), checks=found, verdict=Verdict(word, "Made up."))  # type: ignore[arg-type]
        assert _Search(before, demo(), 9)._blocking == wanted_ids


@every("before", ("not suitable", "suitable with conditions"))
@every("after", ("suitable", "suitable with conditions", "undecided", "not suitable"))
@every("empty", (False, True))
def test_only_a_wanted_verdict_with_a_range_is_a_way_out(
    monkeypatch: pytest.MonkeyPatch, before: str, after: str, empty: bool
) -> None:
    """What every shorter look leaves open is assessed as a whole, and counts where that says yes."""
    monkeypatch.setattr(_Search, "_spared_by_the_load", lambda *_: False)
    monkeypatch.setattr(foresight.Foresight, "heard", lambda *_: True)
    monkeypatch.setattr(foresight.Foresight, "left_open", lambda *_: (1,))
    monkeypatch.setattr(foresight.Foresight, "fits_promise", lambda *_: True)
    bounds = UsableRange(3000.0, 2000.0, None, None) if empty else UsableRange(2000.0, 3000.0, None, None)
    made = replace(demo_assessed("P-01"), verdict=Verdict(after, "Made up."), found_range=bounds)  # type: ignore[arg-type]
    monkeypatch.setattr(remedies, "assess", lambda *_, **__: made)
    search = _Search(replace(demo_assessed("P-01"), verdict=Verdict(before, "Made up.")), demo(), 9)  # type: ignore[arg-type]
    search._try((Change("slope", "slope LR8", 1.0, ()),), demo_case("P-01"))
    yes = after == "suitable" or (before == "not suitable" and after == "suitable with conditions")
    assert bool(search.found) is (yes and not empty) and search.whole == 1


@every(
    ("kind", "condition", "yes"),
    [("amplifier", "Use no amplifier of more than 41 W, or it gets too hot.", False), ("amplifier", "", True), ("slope", "Use less.", True)],
)  # fmt: skip
def test_an_amplifier_that_is_still_too_strong_is_no_way_out(
    monkeypatch: pytest.MonkeyPatch, kind: str, condition: str, yes: bool
) -> None:
    """ "Amplifier of 50 W at most", and beside it "no more than 41 W", would contradict one another."""
    for name, value in (("heard", True), ("left_open", (1,)), ("fits_promise", True)):
        monkeypatch.setattr(foresight.Foresight, name, lambda *_, value=value: value)
    made = replace(demo_assessed("P-01"), verdict=Verdict("suitable with conditions", "Made up."))
    checks = tuple(replace(one, condition=condition) if one.id == "low_heat" else one for one in made.checks)
    monkeypatch.setattr(remedies, "assess", lambda *_, **__: replace(made, checks=checks))
    search = _Search(replace(demo_assessed("P-01"), verdict=Verdict("not suitable", "Made up.")), demo(), 9)
    search._try((Change(kind, "made up", 1.0, ()),), demo_case("P-01"))
    assert bool(search.found) is yes


@every(
    ("others", "heats", "told_w"),
    [(("slope",), ("low_heat",), ["26 W"]), ((), ("low_heat",), []), (("slope",), ("low_heat", "evenness"), []), (("slope", "level"), ("heat",), ["26 W"])],
)  # fmt: skip
def test_beside_another_change_the_amplifier_is_what_the_changed_pairing_stands(
    monkeypatch: pytest.MonkeyPatch, others: tuple[str, ...], heats: tuple[str, ...], told_w: list[str]
) -> None:
    """60 W were meant for the network as it was. Another slope's drivers stand half of them: 30 W less the 0.6 dB of a pass, 26.1 W.
    Where more than heat stands in the way, or the amplifier alone was changed, no other one helps."""
    for name, value in (("heard", True), ("left_open", (1,)), ("fits_promise", True)):
        monkeypatch.setattr(foresight.Foresight, name, lambda *_, value=value: value)
    made = heated(0.5)

    def assessed(case: Case, drawn: bool = True) -> Assessment:
        hot = case.pairing.amplifier_power_w > 30.0
        checks = tuple(
            replace(one, outcome="fail" if hot and one.id in heats else "pass", condition="") for one in made.checks
        )
        word: Word = "not suitable" if hot else "suitable"
        return replace(made, case=case, checks=checks, verdict=Verdict(word, "Made up."))

    monkeypatch.setattr(remedies, "assess", assessed)
    search = _Search(replace(made, verdict=Verdict("not suitable", "Made up.")), demo(), 9)
    amplifier = Change("amplifier", "amplifier of 60 W at most in place of 120 W", 3.0, (("amplifier_power_w", 60.0),))
    changes = (*(Change(kind, kind, 1.0, ()) for kind in others), amplifier)
    search._try(changes, search._case(changes))
    assert [f"{one.case.pairing.amplifier_power_w:g} W" for _, one in search.found] == told_w
    assert [done[-1].text for done, _ in search.found] == [
        f"amplifier of {one} at most in place of 120 W" for one in told_w
    ]


@every("now", (None, "WG-01"))
def test_only_a_guide_that_suits_the_driver_is_offered_and_none_in_place_of_one(now: str | None) -> None:
    before = demo_assessed("P-01")
    guide = demo().waveguides[now] if now else None
    pairing = replace(before.case.pairing, guide_id=now, centre_spacing_m=None)
    before = replace(before, case=replace(before.case, guide=guide, pairing=pairing))
    fits = [id_ for id_, one in demo().waveguides.items() if one.suits(before.case.high) and id_ != now]
    assert len(fits) < len(demo().waveguides) - 1  # the others suit other drivers
    place = f" in place of {now}" if now else ""
    wanted = [f"waveguide {id_}{place}" for id_ in fits] + ([f"without the waveguide {now}"] if now else [])
    assert [text for text, _ in told(changes.guides, before, demo())] == wanted


def test_another_high_driver_keeps_the_guide_that_suits_it_and_else_takes_its_own_plainest_way() -> None:
    before = demo_assessed("P-01")
    guide = demo().waveguides["WG-01"]
    before = replace(
        before, case=replace(before.case, guide=guide, pairing=replace(before.case.pairing, guide_id="WG-01"))
    )
    found = list(changes.high_drivers(before, demo()))
    assert len(found) == len(demo().high_drivers) - 1
    kept = 0
    for one in found:
        fields = dict(one.fields)
        high = demo().high_drivers[fields["high_id"]]
        plainest = screening.options_of(high, demo())[0].guide
        wanted = guide if guide.suits(high) else plainest
        assert fields["guide_id"] == (wanted.id if wanted else None)
        assert (fields["rear_use"], fields["chamber_m3"]) == ("as supplied", None)
        ending = "" if wanted is guide else f", in {wanted.id}" if wanted else ", without WG-01"
        assert one.text.partition(", whose smaller")[0].startswith(
            f"{high.id} in place of HD-01"
        ) and one.text.endswith(ending)
        assert ending or "WG-01" not in one.text
        kept += wanted is guide
    assert 0 < kept < len(found)


@every("rear", ("sealed", "removable", "open"))
@every("chambers", (None, (60e-6, 35e-6)))
@every(("kind", "guides"), (("soft dome", 0), ("soft dome", 2), ("compression driver", 0), ("compression driver", 2)))
def test_every_way_to_use_a_high_driver_the_plainest_first(
    rear: str, chambers: tuple[float, ...] | None, kind: str, guides: int
) -> None:
    """Bare unless it needs a horn and one fits; as supplied, without its cup where that comes off, then in each chamber with the cup on."""
    high = replace(demo().high_drivers["HD-01"], rear=rear, other_chambers_m3=chambers, technology=kind)
    guide = demo().waveguides["WG-01"]
    shelf = {"no": replace(guide, id="no", fits=("true ribbon",))}
    shelf |= {f"G{i}": replace(guide, id=f"G{i}", fits=((kind, "HD-01")[i],)) for i in range(guides)}
    rears: list[tuple[str, float | None]] = [("as supplied", None)]
    rears += [("removed", None)] if rear == "removable" else []
    rears += [("as supplied", volume) for volume in chambers or ()]
    ids = [f"G{i}" for i in range(guides)]
    wanted_guides = ids if kind == "compression driver" and ids else [None, *ids]
    found = screening.options_of(high, replace(demo(), waveguides=shelf))
    assert [(one.guide.id if one.guide else None, one.rear_use, one.chamber_m3) for one in found] == [
        (id_, *way) for id_ in wanted_guides for way in rears
    ]


@pytest.mark.parametrize("lack", ({}, {"rated_power_w": None}, {"peak_travel_m": None}))
def test_a_pair_is_open_where_the_run_will_miss_a_figure_of_the_high_driver(lack: dict[str, None]) -> None:
    """HD-01 beside LD-01 has room by its limits; its rating and its travel are asked for all the same."""
    highs = {"HD-01": replace(demo().high_drivers["HD-01"], **lack)}
    use = replace(demo().pairings["P-01"], amplifier_power_w=20.0, peak_level_db=90.0)
    (found,) = screen(replace(demo(), high_drivers=highs), use, low_ids=["LD-01"]).candidates
    assert (found.word == "undecided") is bool(lack)
    assert found.word in ("undecided", "suitable", "suitable with conditions")


@every("typed", list(product((True, False), repeat=3)))
def test_in_which_order_a_wish_gives_way(monkeypatch: pytest.MonkeyPatch, typed: tuple[bool, bool, bool]) -> None:
    """As asked; a typed slope, a typed crossover, both; a typed level last, alone and then with them. One that nobody typed comes down at every step."""
    names = [name for name, here in zip(("slope", "crossover_hz", "peak_level_db"), typed, strict=True) if here]
    asked: list[tuple[tuple[str, ...], bool]] = []

    def looked(_: Any, use: Any, gave_way: tuple[str, ...], easy: bool) -> Picks:
        asked.append((gave_way, easy))
        assert all(getattr(use, name) == picks.USUAL[name] for name in gave_way)
        return Picks(use, (), [], [], gave_way)

    monkeypatch.setattr(picks, "_looked", looked)
    use = replace(demo().pairings["P-01"], slope="LR8", crossover_hz=2222.0)
    picks.picks(Wish(use, demo(), typed=frozenset(names)))
    ways = [(name,) for name in names if name != "peak_level_db"]
    ways += [("slope", "crossover_hz")] if len(ways) == 2 else []
    level = "peak_level_db" in names
    softer = [(way, True) for way in dict.fromkeys(((), ((), *ways)[-1]))] if level else []
    assert asked == [(way, not level) for way in ((), *ways)] + softer


@every(("kinds", "barred"), ((("true ribbon",), True), (("true ribbon", "soft dome"), False), (("soft dome",), False)))
def test_a_place_is_the_reason_where_it_rules_out_every_kind_that_was_asked_for(
    kinds: tuple[str, ...], barred: bool
) -> None:
    blank = enquiries.Answer(asked(), demo().low_drivers["LD-01"], (), kinds)
    use = replace(demo().pairings["P-01"], surroundings="vehicle")
    of_kind = [one.id for one in demo().high_drivers.values() if one.technology in kinds]
    found = tuple(candidate(id_, n, low_hz=3000.0, high_hz=2500.0) for n, id_ in enumerate(of_kind, 1))
    told = enquiries._why_not_kind(blank, (), Picks(use, found, [], []), demo())
    assert (told == "it must not stand in such a place: vehicle") is barred
    assert barred or told.startswith("none would do: ")


def test_what_comes_nearest_is_one_of_those_that_are_told() -> None:
    """A fourth that is louder still is not told, and so is not named."""
    found = found_at([91.2, 90.3, 90.0])
    louder: Any = [*found.good, (candidate("HD-05"), judged("HD-05", "suitable", 95.0))]
    text = enquiries._shortfall(wish(typed=frozenset({"peak_level_db"})), replace(found, good=louder))
    assert ": HD-01 comes nearest with 91 dB" in text


def test_a_proposal_by_hand() -> None:
    """Its gravest caution of the driver itself and none of the work; the level it holds where one was typed and did not give way."""
    told = [
        Caution(text, text, text, "", of) for text, of in (("work", "the work"), ("grave", "HD-01"), ("light", "HD-01"))
    ]
    low, high = (
        Limit(id_, title, side, hz, "", "")
        for id_, title, side, hz in (
            ("resonance", "Resonance", "low", 1980.0),
            ("break-up", "Cone break-up", "high", 3002.0),
        )
    )  # type: ignore[arg-type]
    found = replace(
        demo_assessed("P-01"), cautions=tuple(told), crossover_hz=2450.0, found_range=UsableRange(1980.0, 3002.0, low, high),
        verdict=Verdict("suitable with conditions", "Sit down."),
    )  # fmt: skip
    blank = enquiries.Answer(asked(), demo().low_drivers["LD-01"], ())
    one = replace(candidate("HD-01"), guide_id="WG-01", rear_use="removed", slope="LR2")
    for typed, gave_way, held in (
        (("peak_level_db",), (), True),
        ((), (), False),
        (("peak_level_db",), ("peak_level_db",), False),
    ):
        asked_for = wish(typed=frozenset(typed), kinds=frozenset({"soft dome"}))
        made = enquiries._proposal(one, found, found_at([95.0], gave_way=gave_way), asked_for, blank)
        assert made.wished_db == (asked_for.use.peak_level_db if held else None)
        assert made.caution is not None and made.caution.text == "grave"
        assert (made.high_id, made.guide_id, made.rear, made.slope) == ("HD-01", "WG-01", "rear cup taken off", "LR2")
        assert (made.crossover_hz, made.low_hz, made.high_hz) == (2450.0, 1980.0, 3002.0)
        assert (made.binding, made.word, made.reason) == (
            "resonance and cone break-up",
            "suitable with conditions",
            "Sit down.",
        )
        assert made.price == 29.0 + 18.0 and made.of_the_kind_asked


@every(("id_", "words"), (("back", "chamber of its own"), ("screen", "stays on"), ("reach", "Put a grille")))
def test_what_must_be_kept_is_said_in_its_own_words(id_: str, words: str) -> None:
    """An open back wants its chamber and beryllium its screen; what has no words of its own is said as the check says it."""
    there = replace(demo_assessed("P-01").checks[0], id=id_, outcome="pass", condition="Put a grille over it.")
    one: Any = SimpleNamespace(assessment=SimpleNamespace(checks=(there,), case=demo_case("P-01")), wished_db=None)
    (told,) = conditions(one)
    assert words in told


@every("area", (None, 0.0132))
@every("breakup", (None, 5000.0))
def test_a_no_asks_for_what_ends_the_range_of_a_woofer_that_is_not_ours(
    area: float | None, breakup: float | None
) -> None:
    """Its break-up and its cone, where the cell is empty; of a woofer of the catalogue nothing."""
    enquiry = replace(asked(), low_id=None, given_area_m2=area, given_breakup_hz=breakup)
    blank = enquiries.Answer(enquiry, demo().low_drivers["LD-01"], ())
    wanted_texts = ["your woofer's break-up frequency"] * (breakup is None) + ["your woofer's cone area"] * (
        area is None
    )
    assert list(wanted(blank)) == wanted_texts
    assert wanted(replace(blank, enquiry=replace(enquiry, low_id="LD-01"))) == wanted(replace(blank, low=None)) == ()


@every("musts", (False, True))
def test_the_foremost_of_what_is_to_be_minded_is_told_and_the_same_once(
    monkeypatch: pytest.MonkeyPatch, musts: bool
) -> None:
    """What the enquirer is asked for stands elsewhere; where words run short only what must be kept is left."""
    screen_stays = replies.KEPT["screen"]
    told = {
        "HD-01": (f"{replies.ASKED} your woofer's Fs", "out of stock just now", "the frames all but touch"), "HD-02": ("out of stock just now",),
        "HD-03": (screen_stays, "out of stock just now"), "HD-04": (),
    }  # fmt: skip
    monkeypatch.setattr(replies, "conditions", lambda one: told[one.high_id])
    proposals: Any = [SimpleNamespace(high_id=id_) for id_ in told]
    both = f"HD-01 and HD-02: out of stock just now; HD-03: {screen_stays}"
    assert replies._mind(proposals, musts) == [f"Please note. {f'HD-03: {screen_stays}' if musts else both}."]
    assert replies._mind(proposals[3:], musts) == []


@every("inches", (2, 2.5, 3, 4, 5, 6.5, 8, 10, 12, 15, 18, 19, 24))
def test_a_size_is_one_that_woofers_have(inches: float) -> None:
    """From 2.5 to 18 inches, in inches or in centimetres; what is smaller or larger is no woofer's."""
    for text in (f"my {inches:g}-inch", f"my {inches * 2.54:.2f} cm one"):
        area, words = size_named(text)
        assert bool(words) is (2.5 <= inches <= 18)
        assert area is None if not words else area == pytest.approx(area_of_inches(inches), rel=5e-3)


@every("count", range(5))
def test_names_are_cut_only_where_there_are_more_than_fit(count: int) -> None:
    names = ["P-01", "P-02", "P-03", "P-04"][:count]
    cut = {4: "P-01, P-02, P-03 and 1 more"}.get(count, ", ".join(names))
    assert joined(names, 3) == cut and joined(names, 4) == ", ".join(names)


def test_a_part_is_ordered_by_the_value_of_its_row() -> None:
    """A network that wants 0.98 uF and takes KC-1 orders 1 uF."""
    part = PartLine("high", "C1", "C", "shunt", 0.98e-6, 0.0, part_id="KC-1", price=1.6)
    assert list(supplies._pieces(part, demo())) == [("KC-1", 1e-6, "1 uF", 1.6, 40)]


@every(
    ("now", "then", "told"),
    [
        (("A", "B"), ("B", "C"), "C"), (("A", "B"), ("B", "C", "C"), "2 x C"), (("A", "B"), ("B", "C", "D"), "another network, with C, D"),
        (("A", "B"), ("B",), "another network"), (("KC-1", "B"), ("capacitor 1 uF", "B"), "the same value, bought elsewhere"),
        (("KL-1", "KL-1"), ("coil 1 mH", "coil 1 mH"), "the same value, bought elsewhere"), (("KC-1",), ("coil 1 mH",), "coil 1 mH"),
    ],
)  # fmt: skip
def test_what_takes_the_place_of_a_part_is_what_the_other_network_has_new(
    monkeypatch: pytest.MonkeyPatch, now: tuple[str, ...], then: tuple[str, ...], told: str
) -> None:
    monkeypatch.setattr(withdrawal, "figures_of", lambda one: SimpleNamespace(pieces=Counter(one.pieces)))
    case = demo_case("P-01")
    before, after = (SimpleNamespace(case=case, pieces=pieces, figures=None) for pieces in (now, then))
    one = withdrawal.Replacement("another network", 0.0, case)
    assert withdrawal.in_its_place(one, before, after) == told  # type: ignore[arg-type]
    other = replace(one, text="HD-02", case=demo_case("P-02"))
    assert withdrawal.in_its_place(other, before, after) == "HD-02"  # type: ignore[arg-type]


def test_each_slope_lets_its_own_share_of_the_programme_through() -> None:
    settings_of = [Setting(demo_case("P-01", pairing={"slope": slope})) for slope in ("BW1", "LR2", "LR8")]
    outlook = replace(beside(90.0)[0], settings=settings_of)
    at = int(np.argmin(np.abs(refusals._OCTAVES - 11.0)))
    programme = settings_of[0].case.practice.programme
    shares = [float(programme_share(2.0 ** refusals._OCTAVES[at], one.slope, *programme)) for one in settings_of]
    assert outlook._passed[:, at] == pytest.approx(shares) and len({round(one, 3) for one in shares}) == 3


def test_a_woofer_without_a_rating_is_not_foreseen_to_burn() -> None:
    outlook = replace(beside(90.0)[0], rated_w=np.array([np.nan, 60.0]), resistance_ohm=np.array([5.6, 5.6]))
    assert outlook._heating[0] == 0.0 < outlook._heating[1]


def test_what_is_asked_of_a_run_is_what_is_open_and_not_what_is_near() -> None:
    """Frames 3 mm apart are near the 2 mm that must be clear; the high driver, 2 dB too quiet, is the one in question."""
    outlook, setting, lows = beside(92.0 + 3.5 + 3.0 - 1.0, rated_power_w=900.0, rating_highpass_hz=None)
    outlook, lows = replace(outlook, rated_w=np.array([900.0])), replace(lows, spacing_m=np.array([0.139]))
    words, decides = outlook.told(np.array([[edges.SUITABLE]], dtype=np.int8), np.array([[11.0]]), setting, lows)
    assert (int(words[0, 0]), int(decides[0, 0])) == (edges.UNDECIDED, 2)


def test_for_an_undecided_pairing_no_way_out_is_looked_for() -> None:
    there = demo_assessed("P-01").checks[0]
    gaps = tuple(replace(there, id=cell, outcome="not assessed", essential=essential, missing=(cell,)) for cell, essential in (("Xmax", True), ("stock", False), ("Sd", True)))  # fmt: skip
    before = replace(demo_assessed("P-01"), checks=gaps, verdict=Verdict("undecided", "Made up."))
    assert find_remedies(before, demo()) == ((), "")


@every(
    ("kinds", "asked_of_windows"), ((("slope",), 0), (("slope", "level"), 0), (("slope", "guide"), 1), (("guide",), 1))
)
def test_windows_are_looked_at_where_one_of_the_changes_moves_them(
    monkeypatch: pytest.MonkeyPatch, kinds: tuple[str, ...], asked_of_windows: int
) -> None:
    """And where they are too wide nothing more is looked at."""
    looked: list[str] = []
    monkeypatch.setattr(foresight.Foresight, "heard", lambda *_: looked.append("heard"))
    monkeypatch.setattr(foresight.Foresight, "left_open", lambda *_: looked.append("left open") or ())
    monkeypatch.setattr(foresight.Foresight, "fits_promise", lambda *_: False)
    failing()._try(tuple(Change(kind, kind, 1.0, ()) for kind in kinds), demo_case("P-01"))
    assert looked == (["heard"] if asked_of_windows else ["left open"])


@every(("word", "most"), (("not suitable", 8), ("suitable with conditions", 5)))
def test_two_of_a_kind_and_so_many_in_all_are_assessed_as_a_whole(
    monkeypatch: pytest.MonkeyPatch, word: str, most: int
) -> None:
    """The third of one kind has no turn, nor the ninth of all (the sixth, where only a plainer yes is looked for)."""
    for name, value in (("heard", True), ("left_open", (1,)), ("fits_promise", False)):
        monkeypatch.setattr(foresight.Foresight, name, lambda *_, value=value: value)
    for kinds, wanted_whole in (
        (["slope"] * 5, 2),
        (["slope", "level", "guide", "rear", "spacing", "cabinet"] * 2, most),
    ):
        search = _Search(replace(demo_assessed("P-01"), verdict=Verdict(word, "Made up.")), demo(), 400)  # type: ignore[arg-type]
        for number, kind in enumerate(kinds):
            search._try((Change(kind, str(number), 1.0, ()),), demo_case("P-01"))
        assert (search.whole, search.left_out) == (wanted_whole, True)


@every(
    ("lows", "highs", "count", "usual"),
    (((10.0, 20.0, 300.0), (5.0, 7.0, 100.0), 1, 27.0), ((10.0, np.nan, 30.0), (5.0, None), 2, 30.0), ((np.nan,), (None,), 1, 0.01), ((40.0,), (None,), 1, 40.0)),
)  # fmt: skip
def test_what_a_pair_of_drivers_usually_costs_is_the_middle_of_each_side(
    lows: tuple[float, ...], highs: tuple[float | None, ...], count: int, usual: float
) -> None:
    """One dear driver does not move it; what states no price does not count; never nothing, for it divides."""
    bench = SimpleNamespace(
        highs=[SimpleNamespace(price=one) for one in highs], base=SimpleNamespace(pairing=SimpleNamespace(high_count=count)),
        columns=SimpleNamespace(price=np.array(lows)),
    )  # fmt: skip
    assert _Bench.usual_price.func(bench) == pytest.approx(usual)  # type: ignore[attr-defined,arg-type]


def test_a_range_that_is_open_on_a_side_has_no_width_that_could_speak_for_it() -> None:
    """Two octaves are worth two widths, an empty range costs its lack, an open one nothing; price, bass and shelf are alike."""
    names = {"rank weight width": 1.5, "rank weight price": 0.5, "rank weight bass": 0.25, "rank weight stock": 0.75}
    bench: Any = SimpleNamespace(
        base=SimpleNamespace(practice=names, pairing=SimpleNamespace(peak_level_db=96.0)), usual_price=100.0, columns=SimpleNamespace(bass_db=np.array([90.0] * 5)),
    )  # fmt: skip
    ends = ((10.0, 12.0), (11.0, 10.5), (-np.inf, 12.0), (10.0, np.inf), (-np.inf, np.inf))
    rows = np.array([[row(low=low, high=high, price=200.0, short=True) for low, high in ends]])
    others = 0.5 * 1.0 + 0.25 * 6.0 / 6.0 + 0.75  # twice the usual price, 6 dB of bass short, nothing on the shelf
    assert _Bench._score(bench, rows)[0] == pytest.approx([3.0 - others, -0.75 - others, *([-others] * 3)])


def test_what_does_at_a_lower_level_is_proposed_at_that_level(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing does at 110 dB; of 101.6 dB that are reached 100 do not do either, and 97 do."""
    monkeypatch.setattr(picks, "screened", lambda *_: ())
    one = (candidate("HD-01"), judged("HD-01", "suitable", 101.6))

    def within(_: Any, found: Any, use: Any, most: int) -> Any:
        return [one], [one] if use.peak_level_db <= 97.0 else [], False

    monkeypatch.setattr(picks, "_within", within)
    found = picks._looked(wish(), replace(demo().pairings["P-01"], peak_level_db=110.0), ("slope",), True)
    assert (found.use.peak_level_db, found.gave_way, found.good) == (97.0, ("slope", "peak_level_db"), [one])


def test_a_cone_that_was_measured_goes_before_the_size_that_is_named() -> None:
    for given, area in ((0.0132, 0.0132), (None, area_of_inches(10.0))):
        known, _ = known_figures(asked("my 10 inch", given_area_m2=given))
        assert known["diaphragm_area_m2"] == pytest.approx(area)


@every("low_id", (None, "LD-01"))
@every("cabinet_id", (None, "CB-01"))
def test_what_would_say_more_is_asked_of_what_is_not_ours(low_id: str | None, cabinet_id: str | None) -> None:
    """Eight figures of a woofer, but not the two that hardly anybody knows, and the baffle."""
    names = [name for name in enquirer.GIVEN if enquirer.GIVEN[name] not in ("peak_travel_m", "rated_power_w")]
    wanted_cells = ([] if low_id else names) + ([] if cabinet_id else ["given_baffle_width_m", "given_baffle_height_m"])
    enquiry = asked(low_id=low_id, cabinet_id=cabinet_id)
    assert enquirer.unknown(enquiry) == enquiry.missing(*wanted_cells) and len(enquirer.unknown(enquiry)) == len(
        wanted_cells
    )


@every(
    ("prices", "told"),
    (((1.0, 2.0), ""), ((None, 2.0), "1 piece states no price"), ((None, None), "2 pieces state no price")),
)
def test_pieces_without_a_price_are_told_beside_the_cost(prices: tuple[float | None, ...], told: str) -> None:
    """Nobody counted either of them on the shelf: that is another matter."""
    rows = [
        ("high driver", id_, 0.0, "", price, None, "P-01", "Reed", 2, 3, 6)
        for id_, price in zip("AB", prices, strict=True)
    ]
    needs = pd.DataFrame(rows, columns=list(supplies.COLUMNS))
    items = pd.DataFrame(
        [("high driver", id_, 0.0, "", price, np.nan, 6, ["Reed"], np.nan) for id_, price in zip("AB", prices, strict=True)],
        columns=["what", "id", "value", "description", "each", "shelf", "needed", "kits", "short"],
    )  # fmt: skip
    notes = supply_report(supplies.Supply(needs, items.astype({"each": float, "shelf": float})), {}).notes
    assert notes == ((f"{told}; the cost is that of the others",) if told else ())


def test_each_piece_of_a_pair_is_counted_by_its_row_or_its_value() -> None:
    parts = (
        PartLine("low", "C1", "C", "shunt", 5.7e-6, 0.0, made_of=(1e-6, 4.7e-6)), PartLine("low", "C2", "C", "shunt", 2e-6, 0.0, made_of=(1e-6, 1e-6)),
        PartLine("low", "L1", "L", "series", 4.7e-4, 0.0), PartLine("high", "R1", "R", "shunt", 3.3, 0.0, part_id="KR-1 + KR-2"),
    )  # fmt: skip
    network_ = demo_assessed("P-01").network
    assert network_ is not None
    found = figures_of(replace(demo_assessed("P-01"), network=replace(network_, parts=parts)))
    assert figures_of(replace(demo_assessed("P-01"), network=None)).count is None, "no network, no pieces"
    assert found.pieces == Counter(
        {"capacitor 1 uF": 3, "capacitor 4.7 uF": 1, "coil 0.47 mH": 1, "KR-1": 1, "KR-2": 1}
    )
    assert found.count == 7


@every(("ohm", "rated", "word", "which"), ((5.6, 6.0, edges.CONDITIONS, 0), (6.5, 8.0, edges.UNDECIDED, 3)))
def test_a_level_is_in_question_where_a_network_may_pull_the_load_down_a_class(
    ohm: float, rated: float, word: int, which: int
) -> None:
    """Both come 2 dB nearer than what is refused. 95 % of 6.5 ohm are rated 6 and no longer 8: 1.25 dB less, which leaves it open."""
    level_db = 95.0 + 3.5 + 20 * log10(2.5) - 10 * log10(120.0 * rated / 8.0)
    outlook, setting, lows = beside(level_db, rated_power_w=9000.0, rating_highpass_hz=None, sensitivity_db=120.0)
    one = np.array([ohm])
    outlook, lows = replace(outlook, rated_w=np.array([9000.0]), resistance_ohm=one), replace(lows, resistance_ohm=one)
    words, decides = outlook.told(np.array([[edges.SUITABLE]], dtype=np.int8), np.array([[11.0]]), setting, lows)
    assert (int(words[0, 0]), int(decides[0, 0])) == (word, which)


@every(("given", "told"), ((0.2, "centres 200 mm"), (None, "centres 141 mm")))
def test_holes_stand_as_far_apart_as_they_will_be_cut(given: float | None, told: str) -> None:
    """As given, else frames of 168 and 104 mm with 5 mm between them."""
    case = demo_case("P-01", pairing={"centre_spacing_m": given})
    found = replace(demo_assessed("P-01"), case=case, layout=Setting(case).layout)
    assert figures_of(found).holes.endswith(told)


def test_a_high_driver_without_a_rating_is_not_foreseen_to_burn() -> None:
    outlook, setting, lows = beside(90.0, rated_power_w=None)
    found = outlook._misses(setting, lows, np.array([0]), np.array([11.0]), np.array([0.8]), np.array([500.0]))
    assert found[5, 0] == -1.0


@every("word", ("not suitable", "suitable with conditions"))
@every("known", (False, True))
@every("left", (False, True))
def test_what_is_ruled_out_without_a_fit_never_counts(
    monkeypatch: pytest.MonkeyPatch, word: str, known: bool, left: bool
) -> None:
    """Whatever the verdict, and whatever was found: whole looks are not spent on what takes no network."""
    for name, value in (("heard", True), ("left_open", (1,) if left else ()), ("fits_promise", False)):
        monkeypatch.setattr(foresight.Foresight, name, lambda *_, value=value: value)
    search = _Search(replace(demo_assessed("P-01"), verdict=Verdict(word, "Made up.")), demo(), 400)  # type: ignore[arg-type]
    search.found = [((Change("level", "90 dB", 1.0, ()),), demo_assessed("P-06"))] * known
    search._try((Change("slope", "LR8", 1.0, ()),), demo_case("P-01"))
    assert search.whole == search.tries[("slope",)] == int(left)


def test_where_nothing_bounds_a_crossover_nothing_is_said_of_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(remedies, "all_limits", lambda _: ())
    assert remedies.quick_word(demo_case("P-01", pairing={"crossover_hz": None})) == "undecided"
    assert remedies.quick_word(demo_case("P-01", pairing={"crossover_hz": 2450.0})) != "undecided"


@every(("closes", "refused"), (("heat", False), ("resonance", True)))
def test_a_heat_that_closes_the_range_refuses_nothing_before_there_is_a_network(
    monkeypatch: pytest.MonkeyPatch, closes: str, refused: bool
) -> None:
    """3.5 kHz or higher by the sensitivities, 3 kHz or lower by the cone: a network may let less through."""
    limits = (Limit(closes, "A", "low", 3500.0, "", ""), Limit("break-up", "B", "high", 3000.0, "", ""))
    monkeypatch.setattr(remedies, "all_limits", lambda _: limits)
    word = remedies.quick_word(demo_case("P-01", pairing={"crossover_hz": None}))
    assert (word == "not suitable") is refused


@every(("now", "offered"), ((None, [60, 35]), (60e-6, [35]), (35e-6, [60]), (20e-6, [60, 35])))
def test_the_chambers_that_a_driver_comes_with_are_offered_but_the_one_it_has(
    now: float | None, offered: list[int]
) -> None:
    before = demo_assessed("P-01")
    high = replace(before.case.high, rear="sealed", other_chambers_m3=(35e-6, 60e-6))
    before = replace(before, case=replace(before.case, high=high, pairing=replace(before.case.pairing, chamber_m3=now)))
    found = list(changes.rears(before, demo()))
    assert [one.text for one in found] == [f"HD-01 in its {volume} mL rear chamber" for volume in offered]
    assert [dict(one.fields) for one in found] == [
        {"rear_use": "as supplied", "chamber_m3": pytest.approx(volume * 1e-6)} for volume in offered
    ]


def test_a_pair_of_unknown_price_ranks_as_one_of_the_usual_price() -> None:
    """Half the usual price is worth half an octave more, twice costs it; what nobody knows does neither."""
    weights = {"rank weight width": 1.0, "rank weight price": 0.5, "rank weight bass": 0.0, "rank weight stock": 0.0}
    bench: Any = SimpleNamespace(
        base=SimpleNamespace(practice=weights, pairing=SimpleNamespace(peak_level_db=96.0)), usual_price=100.0, columns=SimpleNamespace(bass_db=np.zeros(4)),
    )  # fmt: skip
    rows = np.array([[row(low=10.0, high=11.0, price=price) for price in (50.0, 100.0, np.nan, 200.0)]])
    assert _Bench._score(bench, rows)[0] == pytest.approx([1.5, 1.0, 1.0, 0.5])


@every("kind", (None, "vented", "closed"))
def test_a_cabinet_is_assumed_to_be_closed_where_nobody_says(kind: str | None) -> None:
    low, _ = low_of(asked("my 6 inch"), demo())
    found, told_words = cabinet_of(asked("my 6 inch", given_cabinet_kind=kind), low, demo())
    assert found.kind == (kind or "closed")
    assert told_words[0].startswith("a closed cabinet, the high driver near its top") is (kind is None)


@every(
    ("text", "told"),
    (("The grille is missing.", "the grille is missing"), ("HD-01 burns.", "HD-01 burns"), ("T7 burns.", "T7 burns"), ("A dome.", "a dome"), ("", "")),
)  # fmt: skip
def test_a_clause_keeps_the_capital_of_a_name(text: str, told: str) -> None:
    assert enquiries._uncapped(text) == told


@every(
    ("chamber_m3", "rear_use", "words"),
    ((35e-6, "as supplied", "in its 35 mL rear chamber"), (None, "removed", "rear cup taken off"), (None, "as supplied", ""), (None, None, "")),
)  # fmt: skip
def test_how_the_rear_of_a_proposal_is_used(chamber_m3: float | None, rear_use: str, words: str) -> None:
    assert enquiries._rear(replace(candidate("HD-01"), chamber_m3=chamber_m3, rear_use=rear_use)) == words


def test_a_decision_that_moved_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    before = demo_assessed("P-01")
    after = replace(before)
    one = Figures("suitable", 2500.0, Counter({"A": 2}), "90 and 50 mm", 99.9, 50.0, "open")
    told = {id(before): one, id(after): replace(one, decision="rejected")}
    monkeypatch.setattr("reportgen.advice.moves.figures_of", lambda found: told[id(found)])
    assert [(row.what, row.before, row.after) for row in moves(before, after)] == [("Decision", "open", "rejected")]


def test_a_hole_that_is_higher_than_wide_is_told_by_both() -> None:
    """A mouth of 160 by 110 mm, a foil's hole of 50 by 150 mm, and a round one by its width."""
    before = demo_assessed("P-01")
    for guide, high, words in (
        (replace(demo().waveguides["WG-01"], mouth_width_m=0.16, mouth_height_m=0.11), {}, "146 and 160 x 110 mm"),
        (None, {"cutout_width_m": 0.05, "cutout_height_m": 0.15}, "146 and 50 x 150 mm"), (None, {"cutout_width_m": 0.05, "cutout_height_m": 0.05}, "146 and 50 mm"),
    ):  # fmt: skip
        case = replace(before.case, guide=guide, high=replace(before.case.high, **high))
        assert figures_of(replace(before, case=case)).holes.startswith(words)


def test_a_high_driver_of_a_kind_that_cannot_be_used_is_not_offered() -> None:
    """Its own row on the Technologies sheet may hold a mistake: nobody knows what it is then."""
    now = demo().high_drivers["HD-01"]
    shelf = {"HD-01": now, "A": replace(now, id="A"), "B": replace(now, id="B", technology="unheard of")}
    found = told(changes.high_drivers, demo_assessed("P-01"), replace(demo(), high_drivers=shelf))
    assert [text for text, _ in found] == ["A in place of HD-01"]


def test_a_kit_whose_price_is_no_longer_known_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """329.40 with its network; then a part states no price, and one driver is 2 x 3 dearer."""
    before = demo_assessed("P-01")
    after = replace(before)
    one = Figures("suitable", 2500.0, Counter({"A": 2}), "90 and 50 mm", 329.4, 280.0, "open")
    told = {id(before): one, id(after): replace(one, price=None, drivers=286.0)}
    monkeypatch.setattr("reportgen.advice.moves.figures_of", lambda found: told[id(found)])
    assert [row.text for row in moves(before, after)] == [
        "Price of the kit (EUR): 329.40 -> unknown", "Price of drivers and guides (EUR): 280.00 -> 286.00",
    ]  # fmt: skip


def test_prices_of_two_currencies_name_their_own(monkeypatch: pytest.MonkeyPatch) -> None:
    before = demo_assessed("P-01")
    after = replace(before, case=replace(before.case, maker=replace(before.case.maker, currency="JPY")))
    one = Figures("suitable", 2500.0, Counter({"A": 2}), "90 and 50 mm", 233.36, 190.0, "open")
    told = {id(before): one, id(after): replace(one, price=37292.0)}
    monkeypatch.setattr("reportgen.advice.moves.figures_of", lambda found: told[id(found)])
    assert [row.text for row in moves(before, after)] == ["Price of the kit: 233.36 EUR -> 37\u00a0292 JPY"]
    unknown = replace(one, price=None, drivers=None)
    told.update({id(before): unknown, id(after): unknown})
    assert moves(before, after) == (), "nothing is known in either"
