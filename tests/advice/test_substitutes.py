"""What takes the place of a short piece: counts worked out by hand, and only what is left over."""

from __future__ import annotations

from dataclasses import replace

from reportgen.advice.substitutes import NONE_KEEPS, NOT_SOUGHT, Left, Sought, Substitutes, substitutes
from reportgen.advice.supply import supply
from reportgen.advice.withdrawal import Replacement
from reportgen.assessment import Assessment, Ware
from reportgen.catalogue.records import Catalogue
from reportgen.suitability.verdict import Verdict
from tests.advice.test_supply import planned, shelf, stocked, with_shelf


def short_of_woofers() -> tuple[Assessment, Catalogue]:
    """Four kits of two loudspeakers take 8 LD-02, of which 5 are there: 3 are short."""
    catalogue = shelf(LD_02=5, LD_11=4, LD_01=2, HD_09=99)
    return with_shelf(planned(4), catalogue), catalogue


def other_low(before: Assessment, catalogue: Catalogue, id_: str) -> Replacement:
    pairing = replace(before.case.pairing, low_id=id_)
    return Replacement(id_, 1.0, catalogue.case(pairing))


def test_what_is_left_over_is_counted_and_promised_once() -> None:
    before, catalogue = short_of_woofers()
    left = Left.of(supply([before], catalogue), catalogue)
    assert left.short["LD-02"] == 3  # 4 x 2 - 5
    assert (left.over["LD-11"], left.over["HD-09"]) == (4, 91)  # nobody takes LD-11; 99 - 8
    assert (
        left.covers("LD-11", "LD-02") and not left.covers("LD-01", "LD-02") and left.covers("never heard of", "LD-02")
    )
    left.take("LD-11", "LD-02")
    assert left.over["LD-11"] == 1
    assert left.covers("LD-11", "LD-02"), "another kit that is short of the same piece shares it"


def test_the_first_that_keeps_the_verdict_and_is_left_over_is_told() -> None:
    before, catalogue = short_of_woofers()
    left = Left.of(supply([before], catalogue), catalogue)
    tried = [other_low(before, catalogue, id_) for id_ in ("LD-03", "LD-01", "LD-11")]
    sought = Sought("LD-02", before, list(tried), left)
    worse = replace(before, case=tried[0].case, verdict=Verdict("not suitable", "made up"))
    for one, after in zip(tried, (worse, before, before), strict=True):
        assert sought.case is one
        sought.judge(replace(after, case=one.case))
    assert sought.second == "LD-01, of which too few are left over" and sought.found == "LD-11"
    assert sought.case is None
    assert Substitutes([sought]).words() == {"LD-02": "LD-11"}


def test_where_nothing_keeps_the_verdict_that_is_said_and_what_was_not_tried_too() -> None:
    before, catalogue = short_of_woofers()
    left = Left.of(supply([before], catalogue), catalogue)
    none = Sought("LD-02", before, [other_low(before, catalogue, "LD-03")], left)
    assert Substitutes([none]).words()["LD-02"] == "not all looked at yet; “withdraw LD-02” does"
    none.judge(None)
    assert Substitutes([none]).words()["LD-02"] == NONE_KEEPS


def test_a_short_part_is_replaced_from_the_parts_list_without_assessing() -> None:
    part = next(one for one in stocked().parts if one.part_id and "+" not in one.part_id)
    catalogue = shelf(**{(part.part_id or "").replace("-", "_"): 1}, LD_02=999, HD_09=999)
    before = with_shelf(planned(1), catalogue)
    found = supply([before], catalogue)
    assert part.part_id in found.short
    result = substitutes(found, [Ware.of(before)], {before.id: before}.__getitem__, catalogue)
    assembly = before.network.assembly if before.network else None
    assert assembly is not None
    notes = {note.label: note.substitute_id for note in assembly.parts}
    named = [notes[one.label] for one in before.parts if one.part_id == part.part_id]
    if all(named):
        assert result.words()[part.part_id or ""] == ", ".join(dict.fromkeys(name for name in named if name))
    else:
        assert [one.id for one in result.sought] == [part.part_id]


def test_another_network_is_told_only_where_its_own_pieces_are_left_over() -> None:
    """Five kits of two take 20 KC-1 of 6: 14 are short, which is 4 kits; in them 2 KC-2 a loudspeaker are 16."""
    part = next(one for one in stocked().parts if one.part_id and "+" not in one.part_id)
    before = planned(5)
    one, two = (replace(part, label=label, part_id="KC-1") for label in ("C1", "C2"))
    other = replace(part, label="C1", part_id="KC-2 + KC-2")
    assert before.network is not None
    kit = replace(before, network=replace(before.network, parts=(one, two)))
    after = replace(before, network=replace(before.network, parts=(other,)))
    for count, enough in ((16, True), (15, False)):
        left = Left({"KC-1": -14, "KC-2": count}, {"KC-1": 14})
        sought = Sought("KC-1", kit, [Replacement("another network", 1.0, kit.case)], left)
        sought.judge(after)
        assert sought.found == ("2 x KC-2" if enough else ""), count
        assert sought.second == ("" if enough else "2 x KC-2, of which too few are left over")
        assert left.over["KC-2"] == (0 if enough else 15)


def test_nothing_is_sought_for_a_kit_that_is_not_suitable() -> None:
    before, catalogue = short_of_woofers()
    before = replace(before, verdict=Verdict("not suitable", "made up"))
    result = substitutes(supply([before], catalogue), [Ware.of(before)], {before.id: before}.__getitem__, catalogue)
    assert result.sought == [] and result.words()["LD-02"] == NOT_SOUGHT
