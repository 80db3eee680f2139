"""What is said of a change, and what is left unsaid because another change says it: every line written by hand."""

from __future__ import annotations

import datetime as dt
from dataclasses import fields, replace
from typing import Any

from reportgen.catalogue.records import Case, Origin, Practice, Rule, StockPart
from reportgen.ledger.differences import Change, decision_changes, decision_words, input_changes, told
from reportgen.ledger.words import fields_of
from tests.demo_catalogue import demo, demo_case
from tests.every import every

CASE = demo_case("P-01")


def part(id_: str, **fields: Any) -> StockPart:
    """A capacitor of the shelf."""
    plain: dict[str, Any] = {"kind": "capacitor", "value": 4.7e-6, "unit": "uF", "price": 2.5, "stock": 8}
    return StockPart(id=id_, origin=Origin("Parts", 2), **(plain | fields))


def case(*stock: StockPart, **pairing: Any) -> Case:
    return replace(CASE, stock=stock, pairing=replace(CASE.pairing, **pairing))


def rules(**fields: Any) -> Case:
    """The case with one rule more."""
    own = Rule(id="own rule", origin=Origin("Practice", 90), value=3.0, unit="dB", **fields)
    return replace(CASE, practice=Practice({**CASE.practice.rules, "own rule": own}))


def lines(before: Case, after: Case) -> list[str]:
    found = input_changes(before, after)
    assert all((change.kind, change.pairing_id) == ("input", "P-01") for change in found)
    return [change.text for change in found]


ONE, OTHER = part("KC-1"), part("KC-2", value=10e-6, price=None)


@every(
    ("before", "after", "said"),
    [
        (case(ONE), case(replace(ONE, price=3.0)), ["Price of KC-1: 2.50 -> 3"]),
        (case(ONE, OTHER), case(ONE), ["Value of KC-2: 10 uF -> empty"]),
        (case(), case(ONE), ["Value of KC-1: empty -> 4.7 uF"]),
        (case(ONE, OTHER), case(OTHER, ONE), []),
        (case(ONE), case(replace(ONE, price=3.0, origin=Origin("Parts", 7))), ["Price of KC-1: 2.50 -> 3"]),
        (case(ONE, parts_policy="stock"), case(OTHER, parts_policy="any"), ["Parts of P-01: stock -> any"]),
        (CASE, rules(), ["own rule (Practice): empty -> 3 dB"]),
        (rules(source="mine"), rules(source="yours"), ["Source of own rule (Practice): mine -> yours"]),
        (rules(help="mine"), rules(help="yours"), []),
        (
            CASE,
            replace(CASE, maker=replace(CASE.maker, currency="CHF")),
            ["Currency of the maker: EUR -> CHF"],
        ),
        (
            CASE,
            replace(CASE, low=replace(CASE.low, re_ohm=CASE.low.re_ohm * (1.0 + 1e-9))),
            [f"Re of LD-01: {CASE.low.re_ohm!r} -> {CASE.low.re_ohm * (1.0 + 1e-9)!r}"],
        ),
    ],
)  # fmt: skip
def test_every_change_of_an_input_is_one_line(before: Case, after: Case, said: list[str]) -> None:
    """A part or a rule that came or went is told by its value alone; of the parts under another policy nothing is told."""
    assert lines(before, after) == said
    back = lines(after, before)
    assert [line.partition(": ")[0] for line in back] == [line.partition(": ")[0] for line in said]


def test_a_guide_that_comes_is_one_line_and_so_is_another_cabinet() -> None:
    guide = demo().waveguides["WG-01"]
    guided = replace(CASE, guide=guide, pairing=replace(CASE.pairing, guide_id="WG-01"))
    assert lines(CASE, guided) == ["Waveguide of P-01: empty -> WG-01"]
    another = replace(guided, guide=demo().waveguides["WG-02"], pairing=replace(guided.pairing, guide_id="WG-02"))
    assert lines(guided, another) == ["Waveguide of P-01: WG-01 -> WG-02"]
    deeper = replace(guided, guide=replace(guide, depth_m=0.0615))
    assert lines(guided, deeper) == [f"Depth of WG-01: {(guide.depth_m or 0.0) * 1e3:.6g} mm -> 61.5 mm"]
    other = replace(CASE, cabinet=demo().cabinets["CB-02"], pairing=replace(CASE.pairing, cabinet_id="CB-02"))
    assert lines(CASE, other) == ["Cabinet of P-01: CB-01 -> CB-02"]


@every(("count", "tail"), [(0, None), (1, None), (12, None), (13, "and 1 more"), (40, "and 28 more")])
def test_twelve_changes_are_named_and_more_are_counted(count: int, tail: str | None) -> None:
    text = told(tuple(Change("P-01", "input", f"Input {number}", "a", "b") for number in range(count)))
    named = [f"Input {number}: a -> b" for number in range(min(count, 12))]
    assert text.splitlines() == named + ([tail] if tail else [])


@every(
    ("fields", "words"),
    [
        ({"decision": "open"}, "open"),
        ({"decision": "rejected", "reason": "Too dear."}, "rejected (Too dear.)"),
        ({"decision": "accepted", "decided_by": "M. Quill"}, "accepted (M. Quill)"),
        ({"decision": "accepted", "decided_on": dt.date(2026, 10, 12)}, "accepted (2026-10-12)"),
        (
            {"decision": "on hold", "decided_by": "M. Quill", "decided_on": dt.date(2026, 10, 12), "reason": "Sold well."},
            "on hold (M. Quill, 2026-10-12: Sold well.)",
        ),
    ],
)  # fmt: skip
def test_a_decision_is_told_with_all_that_is_known_of_it(fields: dict[str, Any], words: str) -> None:
    plain: dict[str, Any] = {"decision": "open", "decided_by": None, "decided_on": None, "reason": None}
    before, after = case(**plain), case(**(plain | fields))
    assert decision_words(after) == words
    assert [change.text for change in decision_changes(before, after)] == (
        [f"Decision: open -> {words}"] if words != "open" else []
    )
    assert lines(before, after) == []


def test_a_driver_of_another_kind_is_one_line() -> None:
    """Not every figure of the kind; one that the operator changed of the same kind is told by itself."""
    kinds = demo().technologies
    other = next(one for id_, one in kinds.items() if id_ != CASE.technology.id)
    changed_kind = replace(CASE, technology=other, high=replace(CASE.high, technology=other.id))
    assert lines(CASE, changed_kind) == [f"Technology of HD-01: {CASE.technology.id} -> {other.id}"]
    floor = replace(CASE, technology=replace(CASE.technology, bare_floor_hz=1234.0))
    assert len(lines(CASE, floor)) == 1 and lines(CASE, floor)[0].endswith("-> 1234 Hz")


def test_what_counts_as_an_input_of_a_record() -> None:
    """All but its ID, its place, notes, help, and what the price list alone reads; the unit of a rule is said with its value."""
    (rule,) = (one for name, one in rules().practice.rules.items() if name == "own rule")
    assert fields_of(rule) == ("value", "source")
    assert fields_of(ONE) == (
        "kind",
        "value",
        "unit",
        "tolerance",
        "resistance_ohm",
        "rating",
        "rating_unit",
        "price",
        "stock",
    )
    left_out = {
        "pairing": {"kits_planned", "notes"},
        "low": {"notes"},
        "cabinet": {"notes"},
        "maker": {"tax", "price_step"},
    }
    for role, names in left_out.items():
        record = getattr(CASE, role)
        assert {one.name for one in fields(record)} - set(fields_of(record)) == names | {"id", "origin", "unread"}, role


@every(
    ("before", "after", "text"),
    [("", "", "Fs"), ("a", "", "Fs: a -> "), ("", "b", "Fs:  -> b"), ("a", "b", "Fs: a -> b")],
)
def test_a_change_says_from_what_to_what_where_it_has_either(before: str, after: str, text: str) -> None:
    assert Change("P-01", "input", "Fs", before, after).text == text
