"""What is remembered: every change in words, nothing when nothing changed, and any old run from the sheet alone.

Checked against the assessments of the same cases, the json library, and LibreOffice where it is installed.
"""

from __future__ import annotations

import datetime as dt
import io
import json
import random
import string
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, Literal

import numpy as np
import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.comments import Comment
from openpyxl.utils import get_column_letter

from reportgen.assessment import assess
from reportgen.catalogue.records import Cabinet, Case, HighDriver, MeasuredCurve, Origin, Pairing, Practice
from reportgen.ledger import history
from reportgen.ledger.archive import Packer, fingerprint, unpack
from reportgen.ledger.differences import input_changes, inputs_of
from reportgen.ledger.encoding import NotDecodable, from_plain, to_plain
from reportgen.ledger.entries import Entry
from reportgen.ledger.history import NotInHistory, changes, gather, read_history, recompute
from reportgen.problems import Problem, ReportgenError, Unassessed
from tests.demo_catalogue import demo, demo_case
from tests.every import every
from tests.ledger import office
from tests.ledger.runs import after_run, changed, first_run, opened, revised, saved, season, table, workbook


def texts(found) -> list[str]:
    return [change.text for change in found]


# --- encoding -----------------------------------------------------------------------------------------------------

FINITE = st.floats(allow_nan=False, allow_infinity=False)
PLACES = st.builds(Origin, st.just("High drivers"), st.integers(1, 10**6), st.dictionaries(st.text(), st.text()))
DRIVERS = st.builds(
    HighDriver,
    id=st.text(), origin=PLACES, technology=st.text(), re_ohm=FINITE, shape=st.sampled_from(["round", "rectangular"]),
    radiating_width_m=FINITE, sensitivity_db=FINITE, rear=st.just("open"), fs_hz=st.none() | FINITE,
    rating_order=st.none() | st.integers(1, 8), screen=st.none() | st.booleans(),
    other_chambers_m3=st.none() | st.lists(FINITE).map(tuple), notes=st.none() | st.text(),
)  # fmt: skip


@given(DRIVERS)
@settings(max_examples=60, deadline=None)
def test_any_record_comes_back_to_the_last_digit(driver: HighDriver):
    """Through the text that the json library makes and reads (floats by shortest repr: exact)."""
    back = from_plain(HighDriver, json.loads(json.dumps(to_plain(driver))))
    assert back == driver
    assert back.origin == driver.origin
    assert type(back.re_ohm) is float
    of_an_array = to_plain(np.float64(driver.re_ohm))
    assert of_an_array == driver.re_ohm and type(of_an_array) is float


@given(st.dates(), st.lists(FINITE, min_size=1))
@settings(max_examples=30, deadline=None)
def test_dates_and_measured_curves_come_back(day: dt.date, numbers: list[float]):
    pairing = replace(demo().pairings["P-01"], decided_on=day)
    assert from_plain(Pairing, json.loads(json.dumps(to_plain(pairing)))).decided_on == day
    curve = MeasuredCurve(np.array(numbers), np.array(numbers[::-1]), None, "a b.txt", ("one",))
    back = from_plain(MeasuredCurve, json.loads(json.dumps(to_plain(curve))))
    assert back.frequency_hz.dtype == np.float64
    assert np.array_equal(back.frequency_hz, curve.frequency_hz) and np.array_equal(back.magnitude, curve.magnitude)
    assert (back.phase_rad, back.file, back.remarks) == (None, "a b.txt", ("one",))


def plain_cabinet() -> dict[str, Any]:
    return to_plain(demo().cabinets["CB-01"])


@every(
    ("wrong", "message"),
    [
        ({"colour": "red"}, "Cabinet has no field colour; another version of the program stored it"),
        ({"baffle_width_m": "0.2"}, "Cabinet.baffle_width_m: '0.2' stands where float is expected"),
        ({"baffle_width_m": True}, "Cabinet.baffle_width_m: True stands where float is expected"),
        ({"baffle_width_m": None}, "Cabinet.baffle_width_m: None stands where float is expected"),
        ({"kind": 3}, "Cabinet.kind: 3 stands where str is expected"),
    ],
)
def test_what_does_not_fit_a_record_is_refused_by_field(wrong: Mapping[str, Any], message: str):
    with pytest.raises(NotDecodable) as caught:
        from_plain(Cabinet, {**plain_cabinet(), **wrong})
    assert str(caught.value) == message


def test_a_missing_field_is_refused_and_a_default_filled_in():
    plain = plain_cabinet()
    del plain["offset_m"]
    assert from_plain(Cabinet, plain).offset_m == 0.0
    # COLUMNS.md: all that a cabinet must have
    for name in ("id", "origin", "kind", "baffle_width_m", "baffle_height_m"):
        with pytest.raises(NotDecodable, match=f"Cabinet lacks {name}"):
            from_plain(Cabinet, {field: value for field, value in plain.items() if field != name})


@every(
    ("kind", "plain", "message"),
    [
        (MeasuredCurve, {"frequency_hz": [1, "x"]}, "MeasuredCurve.frequency_hz: [1, 'x'] stands where an array of numbers is expected"),
        (MeasuredCurve, {"frequency_hz": [[1], [1, 2]]}, "MeasuredCurve.frequency_hz: [[1], [1, 2]] stands where an array of numbers is expected"),
        (MeasuredCurve, {"frequency_hz": [True, False]}, "MeasuredCurve.frequency_hz: [True, False] stands where an array of numbers is expected"),
        (MeasuredCurve, {"frequency_hz": 7}, "MeasuredCurve.frequency_hz: 7 stands where a list is expected"),
        (MeasuredCurve, {"frequency_hz": None}, "MeasuredCurve.frequency_hz: None stands where a list is expected"),
        (MeasuredCurve, [1], "MeasuredCurve: [1] stands where an object with its fields is expected"),
        (Practice, {"rules": 1}, "Practice.rules: 1 stands where a list is expected"),
        (Practice, {"rules": [["a"]]}, "Practice.rules: pairs of a key and a value are expected"),
        (Practice, {"rules": [["a", {}, 1]]}, "Practice.rules: pairs of a key and a value are expected"),
        (Practice, {"rules": ["ab"]}, "Practice.rules: pairs of a key and a value are expected"),
        (Practice, {"rules": {"a": "b" * 99}}, f"Practice.rules: '{'b' * 59} stands where an object with its fields is expected"),
        (Practice, {"x" * 70: 1}, f"Practice has no field {'x' * 60}; another version of the program stored it"),
    ],
)  # fmt: skip
def test_what_is_of_another_form_is_refused_by_what_is_expected(kind: type, plain: Any, message: str):
    """The first sixty letters of what stands there are said, a name without quotes."""
    with pytest.raises(NotDecodable) as caught:
        from_plain(kind, plain)
    assert str(caught.value) == message


@every(
    ("field", "value", "said"),
    [
        ("on", "yesterday", ".on: 'yesterday' is no date"), ("on", "9" * 70, f".on: '{'9' * 60}' is no date"),
        ("on", 7, ".on: 7 stands where date is expected"), ("two", [1, 2, 3], ".two: 3 values stand where 2 are expected"),
        ("two", [1], ".two: 1 values stand where 2 are expected"),
        ("two", [1, "2"], ".two: '2' stands where float is expected"), ("word", "c", ".word: 'c' stands where one of a, b is expected"),
    ],
)  # fmt: skip
def test_bad_dates_pairs_and_words_are_refused(field: str, value: Any, said: str):
    @dataclass(frozen=True)
    class Held:
        on: dt.date | None = None
        two: tuple[float, float] | None = None
        word: Literal["a", "b"] = "a"

    globals()["Held"] = Held
    assert from_plain(Held, {"on": "2026-10-12", "two": [1, 2.5], "word": "b"}) == Held(
        dt.date(2026, 10, 12), (1, 2.5), "b"
    )
    with pytest.raises(NotDecodable) as caught:
        from_plain(Held, {field: value})
    assert str(caught.value) == f"Held{said}"


def test_no_number_that_is_none_is_stored():
    with pytest.raises(TypeError, match=r"\Aset has no plain form\Z"):
        to_plain({1, 2})
    with pytest.raises(ValueError, match=r"\Anan cannot be stored\Z"):
        to_plain(replace(demo().cabinets["CB-01"], depth_m=float("nan")))


# --- fingerprint and inputs ---------------------------------------------------------------------------------------


def moved(case: Case) -> Case:
    """The same case from a workbook whose rows and columns stand elsewhere and whose notes were rewritten."""
    records = {
        part: replace(getattr(case, part), origin=Origin(getattr(case, part).origin.sheet, 77, {}))
        for part in ("pairing", "low", "high", "cabinet", "technology", "maker")
    }
    records["low"] = replace(records["low"], notes="Ask again in May.")
    rules = dict(reversed(case.practice.rules.items()))
    return replace(case, practice=replace(case.practice, rules=rules), stock=case.stock[::-1], **records)


@every("pairing_id", ["P-01", "P-16"])  # preferred values; only stocked parts
def test_fingerprint_ignores_places_order_and_notes(pairing_id: str):
    assert fingerprint(moved(demo_case(pairing_id))) == fingerprint(demo_case(pairing_id))


def test_fingerprint_changes_with_every_input():
    case = demo_case("P-16")
    seen = {fingerprint(case)}
    for part in ("low", "high", "cabinet", "technology", "pairing"):
        record = getattr(case, part)
        for field, value in vars(record).items():
            if isinstance(value, float):
                seen.add(fingerprint(replace(case, **{part: replace(record, **{field: value * (1 + 1e-15) + 1e-18})})))
    numbers = sum(
        isinstance(v, float)
        for p in ("low", "high", "cabinet", "technology", "pairing")
        for v in vars(getattr(case, p)).values()
    )
    assert len(seen) == 1 + numbers
    rules = {**case.practice.rules}
    rules["air pressure"] = replace(rules["air pressure"], value=101_000.0)
    assert fingerprint(replace(case, practice=replace(case.practice, rules=rules))) not in seen
    assert fingerprint(replace(case, stock=case.stock[1:])) not in seen


def test_the_parts_list_counts_under_every_policy():
    """A value on the shelf is bought there, at its price, whichever values may be used."""
    case = demo_case("P-01")
    assert case.stock
    assert fingerprint(replace(case, stock=())) != fingerprint(case)
    assert any(key.startswith("stock.") for key in inputs_of(case))


def test_inputs_are_every_value_in_si():
    found = inputs_of(demo_case("P-01"))
    assert found["low.peak_travel_m"].value == 0.005
    assert found["low.peak_travel_m"].name == "Xmax of LD-01"
    assert found["low.peak_travel_m"].words == "5 mm"
    assert found["practice.gap between frames.value"].value == 0.005
    assert found["practice.gap between frames.value"].words == "5 mm"
    assert found["pairing.vertical_half_window_rad"].words == "15 deg"
    assert "pairing.decision" not in found and "low.notes" not in found
    case = demo_case("P-01")
    assert {f"low.{name}" for name, value in vars(case.low).items() if isinstance(value, float)} <= set(found)
    rules = {key for key in found if key.startswith("practice.") and key.endswith(".value")}
    assert {key.split(".", 1)[1].removesuffix(".value") for key in rules} == set(case.practice.rules)


# --- changes ------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def first() -> history.History:
    return read_history(first_run())


def test_first_run_has_a_row_a_pairing(first: history.History):
    assert [entry.pairing_id for entry in first.entries] == [one.id for one in season()]
    assert {(entry.run, entry.event, entry.changed) for entry in first.entries} == {
        (1, "first run", "First run of this pairing")
    }
    for entry, one in zip(first.entries, season(), strict=True):
        assert entry.verdict == one.verdict.word
        assert entry.crossover_hz == pytest.approx(one.crossover_hz, rel=1e-14)
        assert (entry.decision, entry.decided_by) == (one.case.pairing.decision, one.case.pairing.decided_by)
        assert entry.decided_on == one.case.pairing.decided_on
    assert first.entries[0].when == dt.datetime(2027, 3, 2, 14, 20)


def test_a_run_in_which_nothing_changed_adds_nothing(first: history.History):
    assert changes(first, season()) == ()
    again = read_history(after_run(first_run(), season()))
    assert again.entries == first.entries
    assert dict(again.stored) == dict(first.stored)
    assert again.next_run == 3


def test_a_changed_input_is_said_from_what_to_what(first: history.History):
    found = changes(first, [changed("P-01", low={"peak_travel_m": 0.006})])
    assert texts(found) == ["Xmax of LD-01: 5 mm -> 6 mm"]
    assert [change.kind for change in found] == ["input"]


def test_an_emptied_cell_and_a_rule_are_said(first: history.History):
    case = demo_case("P-04", low={"highest_use_hz": None, "price": None})
    rules = {**case.practice.rules, "air temperature": replace(case.practice.rules["air temperature"], value=25.0)}
    found = changes(first, [assess(replace(case, practice=replace(case.practice, rules=rules)), drawn=False)])
    inputs = [change.text for change in found if change.kind == "input"]
    assert inputs == ["Price of LD-04: 118 -> empty", "air temperature (Practice): 20 degC -> 25 degC"]
    assert "Price" in [change.what for change in found if change.kind == "result"]


def test_effects_on_range_crossover_and_verdict_are_said(first: history.History):
    before = next(one for one in season() if one.id == "P-04")
    after = changed("P-04", low={"breakup_hz": 4100.0})
    said = {change.what: change.text for change in changes(first, [after])}
    assert said["Cone break-up of LD-04"] == "Cone break-up of LD-04: 3300 Hz -> 4100 Hz"
    old, new = before.found_range, after.found_range
    assert (
        said["Range"]
        == f"Range: {old.low_hz:.0f} to {old.high_hz:.0f} Hz (empty) -> {new.low_hz:.0f} to {new.high_hz:.0f} Hz"
    )
    assert said["Crossover"] == f"Crossover: {before.crossover_hz:.0f} Hz -> {after.crossover_hz:.0f} Hz"


def test_another_driver_is_one_change_and_not_thirty(first: history.History):
    case = demo_case("P-01", pairing={"low_id": "LD-03"})
    found = changes(first, [assess(replace(case, low=demo().low_drivers["LD-03"]), drawn=False)])
    inputs = [change.text for change in found if change.kind == "input"]
    assert inputs == ["Low driver of P-01: LD-01 -> LD-03"]


def test_a_measured_curve_that_comes_is_a_change():
    case = demo_case("P-01")
    curve = MeasuredCurve(np.array([100.0, 1e3, 1e4]), np.full(3, 88.0), None, "new.txt")
    before = read_history(after_run(workbook(), season()[:1]))
    after = replace(season()[0], case=replace(case, curves={("LD-01", "response"): curve}))
    assert texts(changes(before, [after])) == [
        "Measured response of LD-01: empty -> new.txt: 3 points from 100 to 10000 Hz"
    ]


def test_the_cabinet_of_a_measurement_is_kept_and_its_changes_are_told():
    """LD-04 and HD-06 were measured in CB-03; in another cabinet that one still takes part."""
    case = replace(demo_case("P-05"), cabinet=demo().cabinets["CB-02"])
    assert list(case.measured_in) == ["CB-03"]
    packer = Packer()
    back = unpack(packer.add(case), packer.stored)
    assert back.measured_in == case.measured_in and back.curves.keys() == case.curves.keys()
    wider = replace(case.measured_in["CB-03"], baffle_width_m=0.3)
    found = input_changes(case, replace(case, measured_in={"CB-03": wider}))
    assert [change.text for change in found] == ["Baffle width of CB-03: 260 mm -> 300 mm"]


def test_a_decision_is_kept_with_who_when_and_why(first: history.History):
    decided = {
        "decision": "accepted",
        "decided_by": "M. Quill",
        "decided_on": dt.date(2027, 3, 4),
        "reason": "Sold out.",
    }
    one = next(one for one in season() if one.id == "P-06")
    one = replace(one, case=demo_case("P-06", pairing=decided))
    assert texts(changes(first, [one])) == ["Decision: open -> accepted (M. Quill, 2027-03-04: Sold out.)"]
    last = read_history(after_run(first_run(), revised(one))).entries[-1]
    assert (last.run, last.pairing_id, last.event) == (2, "P-06", "decision")
    assert (last.decision, last.decided_by, last.decided_on, last.decided_why) == tuple(decided.values())
    assert last.effect == "None on verdict, range, crossover and price"


def test_a_price_says_when_it_counts_no_network_and_in_which_currency_it_is(first: history.History):
    """P-01: 64 and 29 for its drivers, 128.87 with its network; the maker goes over to a currency without decimals."""
    one = season()[0]
    assert one.network is not None and one.price == 128.87
    figures = replace(one.network.figures, network_price=None)
    alone = replace(one, price=93.0, network=replace(one.network, figures=figures))
    assert texts(changes(first, [alone])) == ["Price: 128.87 -> 93.00 without its network"]
    entry = next(entry for entry in first.entries if entry.pairing_id == "P-01")
    bare = replace(first, entries=(replace(entry, price=93.0),))
    assert texts(changes(bare, [one])) == ["Price: 93.00 without its network -> 128.87"]
    abroad = replace(one, price=20619.0, case=replace(one.case, maker=replace(one.case.maker, currency="JPY")))
    assert texts(changes(first, [abroad])) == ["Currency of the maker: EUR -> JPY", "Price: 128.87 EUR -> 20619 JPY"]


def test_an_exchanged_curve_is_told_before_all_prices_of_the_shelf():
    """Twenty parts become dearer; a cell names twelve changes."""
    case = demo_case("P-01")
    curve = MeasuredCurve(np.array([100.0, 1e3, 1e4]), np.full(3, 88.0), None, "new.txt")
    dearer = tuple(replace(part, price=(part.price or 0.0) + 1.0) for part in case.stock[:20])
    after = replace(case, stock=(*dearer, *case.stock[20:]), curves={("LD-01", "response"): curve})
    found = input_changes(case, after)
    assert len(found) == 21 and found[0].what == "Measured response of LD-01"


def test_results_that_move_without_an_input_are_put_down_to_the_program(first: history.History):
    one = season()[0]
    one = replace(one, crossover_hz=2500.0)
    found = changes(first, [one], "2.0.0")
    assert texts(found) == ["Program: 1.2.3 -> 2.0.0", f"Crossover: {season()[0].crossover_hz:.0f} Hz -> 2500 Hz"]
    assert changes(first, [replace(one, crossover_hz=season()[0].crossover_hz)], "2.0.0") == ()


@every(("share", "said"), [(1.0 + 1e-12, False), (1.0 + 1e-6, True), (1.005, True), (0.995, True)])
def test_half_a_percent_is_a_change_and_a_last_digit_is_none(first: history.History, share: float, said: bool):
    one = season()[0]
    found = changes(first, [replace(one, crossover_hz=one.crossover_hz * share)])
    assert [change.what for change in found] == (["Crossover"] if said else [])


def test_a_pairing_that_can_no_longer_be_assessed_is_remembered_once():
    gap = Unassessed("P-01", (Problem("Low drivers", "D2", "Re (ohm)", "the cell is empty", "a number is needed"),))
    both = season()[:2]
    second = after_run(after_run(workbook(), both), both[1:], [gap])
    third = after_run(second, both[1:], [gap])
    entries = read_history(third).entries
    assert len(entries) == 3
    last = entries[-1]
    assert (last.run, last.pairing_id, last.verdict, last.inputs) == (2, "P-01", "not assessed", "")
    assert "Low drivers!D2" in last.reason
    assert last.effect == f"Verdict: {season()[0].verdict.word} -> not assessed"
    mended = read_history(after_run(third, both)).entries[-1]
    assert (mended.run, mended.event.split(", ")[0]) == (4, "verdict")
    assert f"Verdict: not assessed -> {season()[0].verdict.word}" in mended.effect


def test_growth_is_what_changed_and_no_more(first: history.History):
    """One changed driver stores itself and one list of keys a pairing that uses it."""
    users = [one.id for one in season() if one.case.low.id == "LD-01"]
    new = [changed(name, low={"peak_travel_m": 0.006}) for name in users]
    second = read_history(after_run(first_run(), revised(*new)))
    assert [entry.pairing_id for entry in second.entries[len(first.entries) :]] == users
    fresh = [second.stored[key] for key in second.stored if key not in first.stored]
    assert sorted((one.kind, one.owner) for one in fresh) == sorted(
        [("Low drivers", "LD-01"), *(("Case", name) for name in users)]
    )
    assert {second.since[one.key] for one in fresh} == {2}
    assert all(len(one.text) < 700 for one in fresh if one.kind == "Case")


# --- an old run again ---------------------------------------------------------------------------------------------


def results(assessment):
    return (
        assessment.verdict, assessment.limits, assessment.crossover_hz, assessment.found_range, assessment.checks,
        assessment.price, assessment.parts,
    )  # fmt: skip


def test_an_old_run_is_worked_out_again_from_the_sheet_alone():
    """To the last digit, with all texts: verdict, limits, range, crossover, checks, price and parts."""
    better = changed("P-01", low={"peak_travel_m": 0.006, "breakup_hz": 6000.0})
    content = after_run(first_run(), revised(better))
    lone = opened(content)
    for name in lone.sheetnames:
        if name not in ("History", "History inputs"):
            del lone[name]
    content = saved(lone)
    old = recompute(content, 1)
    assert [case.pairing.id for case in old] == [one.id for one in season()]
    for place, (case, one) in enumerate(zip(old, season(), strict=True)):
        assert case == stripped(one.case)
        assert place % 4 or results(assess(case, drawn=False)) == results(one)  # the same inputs: some are enough
    new = {case.pairing.id: case for case in recompute(content, 2)}
    assert new["P-01"].low.peak_travel_m == 0.006
    assert results(assess(new["P-01"], drawn=False)) == results(better)
    assert fingerprint(new["P-02"]) == fingerprint(old[1])


def stripped(case: Case) -> Case:
    """The case without what nothing is worked out from; curves are compared by their points."""
    parts = ("pairing", "low", "high", "cabinet", "guide")
    records = {part: replace(getattr(case, part), notes=None) for part in parts if getattr(case, part) is not None}
    records["pairing"] = replace(records["pairing"], kits_planned=None)
    records["maker"] = replace(case.maker, tax=None, price_step=0.01)
    records["technology"] = replace(case.technology, synonyms=None)
    rules = {name: replace(rule, help="") for name, rule in case.practice.rules.items()}
    return replace(case, practice=replace(case.practice, rules=rules), curves=_Curves(case.curves), **records)


class _Curves(dict):
    """Curves that are equal when their points are."""

    def __eq__(self, other: object) -> bool:
        return isinstance(other, dict) and to_plain(dict(self)) == to_plain(dict(other))

    __hash__ = None


def test_a_run_that_never_was_is_refused():
    with pytest.raises(NotInHistory, match=r"Run 7 is not in History; the runs that are: 1 to 1\."):
        recompute(first_run(), 7)
    with pytest.raises(NotInHistory, match="the runs that are: none"):
        recompute(workbook(), 1)


def without_ld_01(first: history.History, text: str | None) -> history.History:
    """The memory with another text of the record of LD-01, or without it."""
    key = next(key for key, one in first.stored.items() if one.owner == "LD-01")
    others = {other: one for other, one in first.stored.items() if other != key}
    return replace(first, stored=others if text is None else {**others, key: replace(first.stored[key], text=text)})


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda text: text.replace("0.013", "0.014"), "was changed by hand; its values no longer fit its key"),
        (lambda text: text[:-1], "was changed by hand: "),
        (lambda _: None, "is missing; its row was removed"),
    ],
)
def test_records_changed_by_hand_are_refused_by_name(first: history.History, change, message: str):
    text = next(one.text for one in first.stored.values() if one.owner == "LD-01")
    said = str(history.recomputable(without_ld_01(first, change(text)), 1)["p-01"])
    assert said.startswith("P-01 of run 1 cannot be worked out again: in History inputs, ") and message in said
    assert said.endswith(". Take that sheet from an earlier copy of the workbook.")


def test_a_run_with_a_record_that_is_gone_is_not_worked_out_again():
    book = opened(first_run())
    page = book["History inputs"]
    head, columns, rows = table(page)
    at = next(n for n, row in enumerate(rows, head + 1) if row["Whose"] == "LD-01")
    page.cell(at, columns["Key"]).value = None
    with pytest.raises(
        NotInHistory, match=r"P-01 of run 1 cannot be worked out again: .* is missing; its row was removed"
    ):
        recompute(saved(book), 1)


def test_a_run_goes_on_where_the_old_inputs_are_gone(first: history.History):
    lost = replace(first, stored={})
    found = changes(lost, [changed("P-01", low={"peak_travel_m": 0.006})])
    assert found[0].kind == "input"
    assert "earlier ones unknown (the record" in found[0].text


def test_long_and_strange_texts_stand_in_several_rows_and_come_back():
    hz = np.geomspace(20.0, 20_000.0, 2000)
    curve = MeasuredCurve(hz, 80.0 + np.sin(hz), np.cos(hz), "é_x0041_ =1 \U0001f50a.txt")
    case = replace(
        demo_case("P-01", low={"description": '_x000D_ a\u2028b\n\t"c" = 5 €'}), curves={("LD-01", "response"): curve}
    )
    content = after_run(workbook(), [replace(season()[0], case=case)])
    rows = table(opened(content)["History inputs"])[2]
    parts = [row for row in rows if row["What"] == "Measured curve"]
    assert len(parts) > 3
    assert all(len(row["Values (JSON, SI units)"].encode("utf-16-le")) // 2 < 32_767 for row in rows)
    (back,) = recompute(content, 1)
    assert back.low.description == case.low.description
    assert np.array_equal(back.curves["LD-01", "response"].phase_rad, curve.phase_rad)
    assert back.curves["LD-01", "response"].file == curve.file


def test_packing_is_the_same_whoever_shares_what():
    one, all_ = Packer(), Packer()
    case = demo_case("P-09")
    for pairing in demo().pairings.values():
        all_.add(demo().case(pairing))
    key = one.add(case)
    assert to_plain(unpack(key, one.stored)) == to_plain(unpack(key, all_.stored)) != {}


# --- the operator's hand on the sheet -----------------------------------------------------------------------------


@cache
def tampered() -> bytes:
    """History after an operator: sorted otherwise, a column moved, hidden, added, notes, rows above and below.

    The cell formats stay where they were, so that after the move runs look like dates and dates like text.
    """
    book = opened(first_run())
    page = book["History"]
    head, columns, _ = table(page)
    last = int(next(iter(page.tables.values())).ref.rpartition(":")[2].lstrip(string.ascii_uppercase))
    rows = [[page.cell(row, column).value for column in columns.values()] for row in range(head + 1, last + 1)]
    random.Random(5).shuffle(rows)
    order = list(columns)
    order.insert(0, order.pop(order.index("Inputs")))
    for column, heading in enumerate(order, 1):
        page.cell(head, column).value = f" {heading.upper()} "
        for row, values in enumerate(rows, head + 1):
            page.cell(row, column).value = values[columns[heading] - 1]
    own = len(columns) + 1
    page.cell(head, own).value = "Shelf"
    page.cell(head + 3, own).value = "B 12"
    page.cell(head + 4, own + 1).value = "a remark without a heading"
    page.cell(last + 5, 2).value = "Ask M. Quill about these."
    page.cell(head + 2, 4).comment = Comment("Look at this again", "M. Quill")
    page.column_dimensions["E"].hidden = True
    page.row_dimensions[head + 2].hidden = True
    page.insert_rows(1, 2)
    page.cell(1, 1).value = "Our memory"
    page.cell(1_000, 3).number_format = "0.00"
    del page.tables["RunHistory"]
    return saved(book)


def by_key(entries):
    return sorted(entries, key=lambda entry: (entry.run, entry.pairing_id))


def test_history_survives_the_operator(first: history.History):
    found = read_history(tampered())
    blank = [replace(entry, own={}, remarks={}) for entry in found.entries]
    assert by_key(blank) == by_key(first.entries)
    assert found.own_heads == ("Shelf", "Notes")
    assert [dict(entry.own) for entry in found.entries if entry.own] == [
        {"Shelf": "B 12"},
        {"Notes": "a remark without a heading"},
    ]
    assert [list(entry.remarks.values()) for entry in found.entries if entry.remarks] == [["Look at this again"]]
    assert [list(row.values()) for row in found.loose] == [["Ask M. Quill about these."]]
    assert changes(found, season()) == ()


def test_both_bounds_in_one_cell_of_an_earlier_sheet_are_read_apart(first: history.History):
    """Earlier sheets had one column "Bound by" with a stroke; a note on it and its being hidden go on."""
    book = opened(first_run())
    page = book["History"]
    head, columns, rows = table(page)
    below, above = (columns[f"Bound from {side} by"] for side in ("below", "above"))
    for row in range(head + 1, head + 1 + len(rows)):
        page.cell(row, below).value = f"{page.cell(row, below).value} / {page.cell(row, above).value}"
    page.cell(head, below).value = "Bound by"
    page.cell(head + 1, below).comment = Comment("Is that so?", "M. Quill")
    page.column_dimensions[get_column_letter(below)].hidden = True
    page.delete_cols(above)
    del page.tables["RunHistory"]
    found = read_history(saved(book))
    assert by_key(replace(entry, remarks={}) for entry in found.entries) == by_key(first.entries)
    assert found.own_heads == () and found.hidden == {"Bound from below by", "Bound from above by"}
    assert [entry.remarks for entry in found.entries if entry.remarks] == [{"Bound from below by": "Is that so?"}]


def test_what_the_operator_added_is_kept_by_the_next_run():
    before = read_history(tampered())
    content = after_run(tampered(), revised(changed("P-01", low={"peak_travel_m": 0.006})))
    after = read_history(content)
    assert after.entries[:-1] == before.entries
    assert after.entries[-1].changed == "Xmax of LD-01: 5 mm -> 6 mm"
    assert (after.own_heads, after.loose) == (before.own_heads, before.loose)
    assert before.hidden and after.hidden == before.hidden
    assert [case.low.peak_travel_m for case in recompute(content, 1) if case.pairing.id == "P-01"] == [0.005]


def test_a_sheet_of_the_operators_own_called_history_is_left_alone():
    book = opened(workbook())
    book.create_sheet("History").append(["When the firm was founded", 1987])
    content = after_run(saved(book), season()[:2])
    names = opened(content).sheetnames
    assert names[-2:] == ["Run history", "History inputs"]
    assert opened(content)["History"]["B1"].value == 1987
    again = after_run(content, [changed("P-01", low={"peak_travel_m": 0.006})])
    assert len(read_history(again).entries) == 3
    assert opened(again).sheetnames.count("Run history") == 1


def test_a_stray_format_in_the_last_row_does_not_cost_a_million_rows(first: history.History):
    book = opened(first_run())
    book["History"].cell(1_048_576, 16_384).number_format = "0.00"
    assert read_history(saved(book)).entries == first.entries


@pytest.mark.skipif(not office.HERE, reason="needs LibreOffice")
def test_history_survives_being_saved_by_libreoffice(first: history.History):
    content = office.saved()["after a run"]
    found = read_history(content)
    assert [entry.pairing_id for entry in found.entries] == [one.id for one in season()]
    assert {key: one.text for key, one in found.stored.items()} == {key: one.text for key, one in first.stored.items()}
    assert changes(found, season()) == ()
    assert list(recompute(content, 1)) == [stripped(one.case) for one in season()]


# --- many workbooks -----------------------------------------------------------------------------------------------


def test_gather_joins_the_histories_of_many_workbooks(tmp_path: Path):
    (tmp_path / "spring.xlsx").write_bytes(first_run())
    (tmp_path / "autumn.xlsx").write_bytes(after_run(workbook(), season()[:2], days_later=1))
    (tmp_path / "empty.xlsx").write_bytes(workbook())
    (tmp_path / "broken.xlsx").write_bytes(b"not a workbook")
    (tmp_path / "old").mkdir()
    (tmp_path / "old" / "autumn.xlsx").write_bytes(after_run(workbook(), season()[:1], days_later=2))
    paths = [tmp_path / f"{name}.xlsx" for name in ("spring", "autumn", "old/autumn", "empty", "broken", "absent")]
    content, without = gather(paths)
    assert [text.partition(":")[0] for text in without] == ["empty.xlsx", "broken.xlsx", "absent.xlsx"]
    book = openpyxl.load_workbook(io.BytesIO(content))
    assert book.sheetnames == ["All history", "Workbooks"]
    rows = table(book["All history"])[2]
    assert sorted({row["Workbook"] for row in rows}) == [
        str(tmp_path / "autumn.xlsx"),
        str(tmp_path / "old" / "autumn.xlsx"),
        "spring.xlsx",
    ]
    assert len(rows) == len(season()) + 3
    assert [row["Date"] for row in rows] == sorted(row["Date"] for row in rows)
    overview = {row["Workbook"]: row for row in table(book["Workbooks"])[2]}
    assert [overview["spring.xlsx"][name] for name in ("Rows", "Pairings", "Runs")] == [len(season()), len(season()), 1]
    assert overview["empty.xlsx"]["Remark"] == "No run has left a history in it."
    assert "no .xlsx or .xlsm file" in overview["broken.xlsx"]["Remark"]
    assert overview["absent.xlsx"]["Remark"] == "It cannot be read: No such file or directory."


def test_gathered_once_more_nothing_leaves_what_stands_there(tmp_path: Path):
    """A workbook that is not named any more, or cannot be read, takes none of its rows away; own columns and notes stay at their rows."""
    for name, pairings in (("spring.xlsx", season()[:3]), ("autumn.xlsx", season()[:2])):
        (tmp_path / name).write_bytes(after_run(workbook(), pairings, days_later=len(pairings)))
    spring, autumn = tmp_path / "spring.xlsx", tmp_path / "autumn.xlsx"
    book = openpyxl.load_workbook(io.BytesIO(gather([spring, autumn])[0]))
    sheet = book["All history"]
    top = next(cell.row for cell in sheet["A"] if cell.value == "Run")
    width, names = len(sheet[top]), [cell.value for cell in sheet["X"][top:]]
    assert sheet["X"][top - 1].value == "Workbook" and set(names) == {"spring.xlsx", "autumn.xlsx"}
    sheet.cell(top, width + 1, "Mine")
    for number, name in enumerate(names, top + 1):
        sheet.cell(number, width + 1, f"{name} {sheet.cell(number, 3).value}")
    spring.write_bytes(after_run(spring.read_bytes(), season()[1:3], [Unassessed("P-01", (), "No Re.")], days_later=30))
    content, without = gather([spring, tmp_path / "gone.xlsx"], saved(book))
    rows = table(opened(content)["All history"])[2]
    noted = [row for row in rows if row["Mine"]]
    assert len(noted) == len(names) == len(rows) - 1
    assert all(row["Mine"] == f"{row['Workbook']} {row['Pairing']}" for row in noted)
    overview = {row["Workbook"]: row for row in table(opened(content)["Workbooks"])[2]}
    assert overview["autumn.xlsx"]["Rows"] == 2 and len(without) == 1
    assert overview["autumn.xlsx"]["Remark"] == "These rows stood here before; no workbook of this list has them."


def test_where_no_workbook_holds_a_row_nothing_is_gathered(tmp_path: Path):
    (tmp_path / "new.xlsx").write_bytes(workbook())
    with pytest.raises(ReportgenError) as refused:
        gather([tmp_path / "new.xlsx", tmp_path / "absent.xlsx"])
    assert str(refused.value) == (
        "There is no history to gather. new.xlsx: No run has left a history in it. absent.xlsx: It cannot be read:"
        " No such file or directory. Run a season first."
    )


def test_a_damaged_record_costs_the_pairings_that_rest_on_it_and_no_other(first: history.History):
    found = history.recomputable(without_ld_01(first, "{"), 1)
    lost = {id_ for id_, one in found.items() if isinstance(one, NotInHistory)}
    assert lost == {one.id.casefold() for one in season() if one.case.low.id == "LD-01"}
    assert lost and len(lost) < len(found) == len(season())


def test_runs_of_one_workbook_stay_in_their_order_when_its_clock_was_set_back():
    day = dt.datetime(2026, 11, 25, 10)
    moments = (day, day.replace(year=2020), None, day.replace(hour=9), day.replace(hour=11))
    entries = [Entry(run=run, when=when, pairing_id="P-01") for run, when in enumerate(moments, 1)]
    ordered = history._in_order(list(reversed(entries)))
    assert ordered == [day.replace(hour=11), day, day, day, day]


def test_records_that_were_removed_come_back_with_the_next_run(first: history.History):
    book = opened(first_run())
    del book["History inputs"]
    content = after_run(saved(book), season())
    found = read_history(content)
    assert found.entries == first.entries
    assert set(found.stored) == set(first.stored)
    assert len(recompute(content, 1)) == len(season())


def test_gather_counts_a_row_once_however_many_copies_it_is_given(tmp_path: Path):
    content = first_run()
    for name in ("season.xlsx", "copy of season.xlsx", "mail/season.xlsx"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(content)
    paths = [tmp_path / name for name in ("season.xlsx", "copy of season.xlsx", "mail/season.xlsx")]
    book = openpyxl.load_workbook(io.BytesIO(gather(paths)[0]))
    assert len(table(book["All history"])[2]) == len(season())
    remarks = [row["Remark"] for row in table(book["Workbooks"])[2]]
    assert remarks[0] is None and all("stand in an earlier workbook" in text for text in remarks[1:])


def test_the_books_of_many_counted_by_hand(monkeypatch: pytest.MonkeyPatch):
    """Three runs of two pairings in the operator's order, a copy that has two of those rows and one of its own, one nobody can read."""

    def entry(run: int, day: int | None, pairing_id: str = "P-01", **more: Any) -> Entry:
        return Entry(run=run, when=day and dt.datetime(2026, 3, day, 10), pairing_id=pairing_id, workbook="x", **more)

    own = (entry(2, 9), entry(1, 5, "P-02"), entry(1, 5), entry(3, None, operator="Q"))
    copy = (replace(own[2], own={"Mine": "seen"}), replace(own[0], remarks={"Run": "a note"}), entry(1, 5, "P-03"))
    books = {
        "a.xlsx": (own, ""),
        "b.xlsx": (copy, ""),
        "c.xlsx": ((), "It cannot be read: no."),
        "d.xlsx": ((entry(4, 6),), ""),
    }
    monkeypatch.setattr(history, "_entries_of", lambda path: books[path.name])
    book = openpyxl.load_workbook(io.BytesIO(gather([f"/x/{name}" for name in books])[0]))
    rows = [(row["Workbook"], row["Run"], row["Pairing"]) for row in table(book["All history"])[2]]
    assert rows == [  # by the moments of the runs; run 3 has none and follows run 2
        ("a.xlsx", 1, "P-02"), ("a.xlsx", 1, "P-01"), ("b.xlsx", 1, "P-03"), ("d.xlsx", 4, "P-01"), ("a.xlsx", 2, "P-01"),
        ("a.xlsx", 3, "P-01"),
    ]  # fmt: skip
    fifth, ninth = dt.datetime(2026, 3, 5, 10), dt.datetime(2026, 3, 9, 10)
    twice = "2 of its rows stand in an earlier workbook of this list and count there."
    assert [tuple(row.values()) for row in table(book["Workbooks"])[2]] == [
        ("a.xlsx", 4, 2, 3, fifth, ninth, None), ("b.xlsx", 3, 2, 2, fifth, ninth, twice),
        ("c.xlsx", 0, 0, 0, None, None, "It cannot be read: no."),
        ("d.xlsx", 1, 1, 1, dt.datetime(2026, 3, 6, 10), dt.datetime(2026, 3, 6, 10), None),
    ]  # fmt: skip
    line = "6 rows from 4 workbooks, oldest first"
    told = [[page.cell(row, 1).value for row in range(1, 5)] for page in book.worksheets]
    where = "The inputs of every row are in the sheet “History inputs” of its workbook."
    assert told == [["All history", line, None, "Run"], ["Workbooks", line, where, None]]
    for page, still in zip(book.worksheets, ("D5", "B6"), strict=True):
        assert (page.freeze_panes, page.sheet_properties.tabColor.rgb, page.page_setup.paperSize) == (
            still,
            "00553377",
            9,
        )
        assert page.oddFooter.left.text == line
    assert [list(page.tables) for page in book.worksheets] == [["RunHistory"], ["Workbooks"]]
    assert table(book["Workbooks"])[0] == 5 and book["Workbooks"]["A6"].hyperlink.target.endswith("/x/a.xlsx")


@every(
    ("hz", "words"),
    [
        ((None, None), "–"), ((2000.0, None), "2000 Hz to –"), ((None, 3000.4), "– to 3000 Hz"), ((2000.0, 3000.0), "2000 to 3000 Hz"),
        ((3000.0, 2000.0), "3000 to 2000 Hz (empty)"), ((2500.0, 2500.0), "2500 to 2500 Hz"),
    ],
)  # fmt: skip
def test_a_range_is_said_with_both_ends(hz: tuple[float | None, float | None], words: str):
    assert history._range_words(*hz) == words
