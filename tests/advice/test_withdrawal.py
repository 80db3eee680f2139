"""What goes out of production: who uses it, what is tried in its place, and what is told of it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from reportgen.advice.withdrawal import (
    TOLD,
    TRIED,
    Replacement,
    on_the_list,
    ranked,
    replacements,
    users,
    withdrawal,
    without,
)
from reportgen.assessment import Assessment
from reportgen.suitability.verdict import Verdict
from tests.demo_catalogue import demo, demo_assessed
from tests.every import every


def judged(id_: str, word: str) -> Assessment:
    return replace(demo_assessed(id_), verdict=Verdict(word, "Because."))  # type: ignore[arg-type]


def test_users_are_those_in_which_it_stands_as_driver_guide_or_part() -> None:
    found = [demo_assessed(id_) for id_ in ("P-01", "P-06", "P-08")]
    part = found[0].parts[0].part_id
    assert part is not None
    assert [one.id for one in users(found, "HD-01")] == ["P-01"]
    assert [one.id for one in users(found, "LD-03")] == ["P-08"]
    assert [one.id for one in users(found, "WG-03")] == ["P-08"]
    assert "P-01" in [one.id for one in users(found, part.split(" + ")[0])]
    assert users(found, "HD-99") == ()


def test_a_catalogue_without_it_has_everything_else() -> None:
    left = without(demo(), "HD-01")
    assert set(demo().high_drivers) - set(left.high_drivers) == {"HD-01"}
    assert (left.low_drivers, left.parts, left.pairings) == (demo().low_drivers, demo().parts, demo().pairings)


@every("id_", ["HD-01", "LD-01"])
def test_what_is_tried_is_of_the_same_kind_the_smallest_changes_first(id_: str) -> None:
    tried = replacements(demo_assessed("P-01"), id_, demo())
    assert 1 <= len(tried) <= TRIED
    assert [one.effort for one in tried] == sorted(one.effort for one in tried)
    for one in tried:
        pairing, now = one.case.pairing, demo().pairings["P-01"]
        other = pairing.high_id if id_ == "HD-01" else pairing.low_id
        assert other != id_ and other in one.text and id_ not in one.text
        assert pairing.low_id == now.low_id or pairing.high_id == now.high_id


def test_a_part_leaves_the_pairing_and_goes_from_the_shelf() -> None:
    part = next(line.part_id for line in demo_assessed("P-01").parts if line.part_id).split(" + ")[0]
    (one,) = replacements(demo_assessed("P-01"), part, demo())
    assert one.text == f"another network, without {part}"
    assert one.case.pairing == demo().pairings["P-01"]
    assert part in {offer.id for offer in demo_assessed("P-01").case.stock}
    assert part not in {offer.id for offer in one.case.stock}


def test_a_part_whose_parts_list_names_another_is_not_lost_and_supply_says_the_same() -> None:
    """The list of P-01 has L1 as KL-1, and KL-1m2 in its place; for C2 it has none (as printed on its build page)."""
    before = demo_assessed("P-01")
    first, second = (next(part.part_id for part in before.parts if part.label == label) for label in ("L1", "C2"))
    assert (first, second) == ("KL-1", "KC-3u3")
    named = withdrawal("KL-1", [(before, [])], 1)
    assert (
        named.listings[0].rows[0][2] == "as now, or KL-1m2 as its parts list says"
        and "no replacement" not in named.tally
    )
    assert on_the_list(before, "KL-1") == (("KL-1m2", "KL-1m2"),)
    none = withdrawal("KC-3u3", [(before, [])], 1)
    assert none.listings[0].rows[0][2] == "as now" and "no replacement keeps the verdict of P-01" in none.tally


def tried(*words: str) -> list[tuple[Replacement, Assessment]]:
    """Replacements of ever more effort and what they came to."""
    case = demo_assessed("P-02").case
    return [(Replacement(f"HD-{at:02d}", float(at), case), judged("P-02", word)) for at, word in enumerate(words, 1)]


def test_the_best_verdict_comes_first_then_the_smallest_change() -> None:
    made = tried("not suitable", "suitable with conditions", "suitable", "undecided", "suitable")
    assert [one.text for one, _ in ranked(made)] == ["HD-03", "HD-05", "HD-02", "HD-04", "HD-01"]


def test_the_page_tells_which_verdicts_are_kept() -> None:
    before = judged("P-01", "suitable with conditions")
    kept = withdrawal("HD-01", [(before, tried("suitable", "undecided", "suitable", "suitable"))], 4)
    assert kept.tally == "HD-01 goes: 1 of 4 pairings uses it; it has a replacement that keeps its verdict"
    (listing,) = kept.listings
    assert len(listing.rows) == 1 + TOLD
    heads = [field.name for field in listing.fields]
    now, *others = (dict(zip(heads, row, strict=True)) for row in listing.rows)
    assert (now["In its place"], now["Verdict"], now["Dearer by"]) == ("as now", "suitable with conditions", None)
    assert [row["Verdict"] for row in others] == ["suitable"] * 3
    prices = [float(row["Price of the kit"]) for row in (now, others[0])]  # type: ignore[arg-type]
    assert others[0]["Dearer by"] == pytest.approx(prices[1] - prices[0])


def test_the_page_tells_which_verdicts_are_lost() -> None:
    worse, nothing = judged("P-01", "suitable"), judged("P-02", "suitable with conditions")
    gone = judged("P-03", "not suitable")
    using = [(worse, tried("suitable with conditions")), (nothing, []), (gone, [])]
    lost = withdrawal("HD-01", using, 24)
    assert lost.tally == "HD-01 goes: 3 of 24 pairings use it; no replacement keeps the verdict of P-01, P-02"
    assert [row[2] for row in lost.listings[0].rows if row[0] == "P-02"] == [
        "as now",
        "nothing in the workbook comes near",
    ]
    nobody = withdrawal("HD-01", [(gone, [])], 24)
    assert nobody.tally == "HD-01 goes: 1 of 24 pairings uses it"


@every(
    ("words", "told"),
    [
        (("suitable",), "uses it; it has"),
        (("suitable", "suitable"), "use it; each has"),
        (("suitable", "not suitable"), "use it; the one that may be used as it is has"),
        (("suitable", "suitable", "not suitable"), "use it; each of the 2 that may be used as they are has"),
    ],
)
def test_of_those_that_may_be_used_one_is_no_each_of_the_1(words: tuple[str, ...], told: str) -> None:
    using = [(judged("P-01", word), tried("suitable")) for word in words]
    tally = withdrawal("HD-01", using, 24).tally
    assert tally.endswith(f" pairings {told} a replacement that keeps its verdict")
