"""What changed between two states of a season: counted, and told line by line."""

from __future__ import annotations

from dataclasses import replace

from reportgen.advice.changed import Pair, changes_report
from reportgen.suitability.verdict import Verdict
from tests.demo_catalogue import demo_assessed


def test_every_pairing_is_counted_once() -> None:
    """Ten with the same inputs and five looked at: one moved, one new, one gone, one as before, one that neither state knows."""
    one, other = demo_assessed("P-01"), demo_assessed("P-06")
    worse = replace(one, verdict=Verdict("not suitable", "Too hot."))
    pairs = [
        Pair("P-01", "Reed", one, worse, "Rated power of LD-01: 60 W -> 20 W"),
        Pair("P-02", "New one", None, other),
        Pair("P-03", "Old one", other, None),
        Pair("P-04", "Same", one, one),
        Pair("P-05", "Never assessed", None, None),
    ]
    found = changes_report("Changes", "Since run 1", pairs, unchanged=10)
    assert found.tally == "Since run 1: 1 moved, 1 new, 1 gone, 12 as before"
    tables = {listing.title: listing for listing in found.listings}
    assert list(tables) == ["What moved", "New", "Gone"]
    (moved,) = (row for row in tables["What moved"].rows if row[2] == "Verdict")
    assert moved[:2] == ("P-01", "Reed") and moved[4] == "not suitable"
    assert next(row[5] for row in tables["What moved"].rows) == "Rated power of LD-01: 60 W -> 20 W"
    assert [row[0] for row in tables["New"].rows] == ["P-02"] and [row[0] for row in tables["Gone"].rows] == ["P-03"]


def test_where_nothing_moved_the_table_stands_empty() -> None:
    one = demo_assessed("P-01")
    found = changes_report("Changes", "Since run 1", [Pair("P-01", "Reed", one, one)])
    assert found.tally == "Since run 1: 0 moved, 1 as before"
    assert [(listing.title, listing.rows) for listing in found.listings] == [("What moved", ())]


def test_what_can_no_longer_be_assessed_moved_and_is_neither_new_nor_gone() -> None:
    one = demo_assessed("P-01")
    pairs = [Pair("P-01", "Reed", one, None, "Low drivers!G2: empty"), Pair("P-02", "Fen", None, one, "Cabinets!C2: x")]
    found = changes_report("Changes", "Since run 1", pairs)
    assert found.tally == "Since run 1: 2 moved, 0 as before"
    (table,) = found.listings
    word = one.verdict.word
    assert [row[2:] for row in table.rows] == [
        ("Verdict", word, "not assessed", "Low drivers!G2: empty"), ("Verdict", "not assessed", word, "Cabinets!C2: x"),
    ]  # fmt: skip


def test_another_name_is_told() -> None:
    one = demo_assessed("P-01")
    named = replace(one, case=replace(one.case, pairing=replace(one.case.pairing, id="P-01a", kit="Reed")))
    (pair,) = [Pair("P-01a", "Reed", one, named)]
    assert [move.text for move in pair.moves] == ["ID: P-01 -> P-01a", f"Kit: {one.case.pairing.kit} -> Reed"]
