"""The build side says how the network is put together, from the same data as its circuit."""

from __future__ import annotations

import re
import subprocess
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from reportgen.assessment import Assessment
from reportgen.paper.annexes import annex_block
from reportgen.paper.building import _total, baffle_block, build_block, part_rows, wiring_words, wirings
from reportgen.paper.render import render_sheet
from reportgen.suitability.verdict import Verdict
from tests.every import every
from tests.paper.samples import STAMP, assessed, many_parts


@every("id_", ["P-01", "P-06", "P-10", "P-18"])
def test_every_part_and_driver_says_what_it_joins(id_: str) -> None:
    """The points of the list are those of the circuit under other names: two parts share one where their nodes are one."""
    found = assessed(id_)
    rows = list(part_rows(found))
    assert found.network is not None
    elements = {one.label: one.nodes for one in found.network.circuit.elements}
    assert [row.name for row in rows] == list(elements)
    names: dict[str, str] = {}
    for row in rows:
        for node, name in zip(elements[row.name], row.joins.split(" to "), strict=True):
            assert names.setdefault(node, name) == name
    assert names["in"] == "+" and names["0"] == "−" and len(set(names.values())) == len(names)
    (words,) = wiring_words(found)
    words = words.replace("\u00a0", " ")
    for side, (plus, minus) in found.network.circuit.terminals.items():
        part = words.lower().partition(f"{side} driver")[2].partition(";")[0]
        assert f"+ to {names[plus]}, − to {names[minus]}" in part
    assert ("REVERSED" in words) == bool(found.design and found.design.high_reversed)


def test_the_list_says_kind_wire_and_what_may_replace_a_part() -> None:
    found = assessed("P-06")
    assert found.network is not None and found.network.assembly is not None
    for row, note in zip(part_rows(found), found.network.assembly.parts, strict=True):
        assert row.kind.startswith(note.kind) and (row.substitute == "none") == (note.substitute is None)
        assert (note.wire_mm is None) or f"{note.wire_mm:g}\u00a0mm" in row.kind


def test_what_a_full_side_leaves_out_stands_in_the_annex() -> None:
    found = many_parts(20)
    side, annex = build_block(found, False, 3, True), annex_block(found, False, None, 3)
    whole = build_block(found, False, 0, True)
    assert side is not None and whole is not None
    assert not side.with_substitutes and len(side.board) == 1 and len(side.parts) == 2
    assert set(whole.board) <= {*side.board, *annex.board}
    assert annex.board[-1].count(";") == 19 and "Substitutes" in annex.board[-1]
    assert annex_block(found, False, None, 0).board == ()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_reasons_stand_beside_a_wiring_that_the_annex_draws(paper: str, tmp_path: Path) -> None:
    """P-10's build side leaves its wiring to the annex: white paper beside it would be lost. Once on the sheet, and on the wiring's height."""
    found = assessed("P-10")
    block = annex_block(found, False, None, 2)
    (wiring,) = block.wirings
    assert 200.0 <= block.beside <= 510.0 - max(wiring.picture.width, 118.0)
    assert annex_block(found, False, None, 1).beside == 0.0  # the wiring stands on the build side
    file = tmp_path / "sheet.pdf"
    file.write_bytes(render_sheet(found, STAMP, None, paper))
    words = subprocess.run(
        ["pdftotext", "-bbox", "-f", "3", file, "-"], capture_output=True, text=True, check=True
    ).stdout
    (low, *_), (why,) = (re.findall(rf'yMin="([\d.]+)"[^>]*>{word}<', words) for word in ("Low", "Why"))
    assert float(low) == pytest.approx(float(why), abs=1.0)


def test_a_reversed_driver_is_said_to_be() -> None:
    found = assessed("P-01")
    assert found.network is not None and found.network.assembly is not None
    made = found.network.assembly
    wires = tuple(
        replace(wire, start=wire.end, end=wire.start) if wire.what == "high driver" else wire for wire in made.wiring
    )
    turned = replace(found, network=replace(found.network, assembly=replace(made, wiring=wires)))
    assert "REVERSED" in next(wiring_words(turned))


# --- to the letter ----------------------------------------------------------------------------------------------------


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def with_line(**figures: Any) -> Assessment:
    """P-01 with its first part changed."""
    found = assessed("P-01")
    assert found.network is not None
    first, *others = found.parts
    return replace(found, network=replace(found.network, parts=(replace(first, **figures), *others)))


@every(
    ("figures", "note"),
    [
        ({"kind": "R", "made_of": (1.0, 2.2), "join": "series"}, "two in series: 1 Ω + 2.2 Ω, rated together"),
        ({"kind": "C", "made_of": (3.3e-6, 1e-6), "join": "parallel"}, "two in parallel: 3.3 µF beside 1 µF"),
        ({"made_of": (), "under_rated": True}, "the stock part is rated too low"),
        ({"made_of": ()}, ""),
    ],
)
def test_what_a_part_is_made_of_is_noted(figures: dict[str, Any], note: str) -> None:
    assert plain(next(part_rows(with_line(**figures))).note) == note


def test_a_rating_that_nobody_sells_is_a_dash() -> None:
    none, some = (next(part_rows(with_line(rating_to_buy=sold, rating_unit="V"))).rating for sold in (None, 100.0))
    assert (none, plain(some)) == ("–", "100 V")


@every(
    ("unpriced", "words"),
    [(0, "together 4.00 EUR"), (1, "no price stated for {}"), (2, "no price stated for {} and {}"), (3, "no price stated for {}, {} and {}"), (99, "")],
)  # fmt: skip
def test_what_the_parts_cost_or_which_have_no_price(unpriced: int, words: str) -> None:
    found = assessed("P-01")
    assert found.network is not None
    lines = tuple(replace(line, price=None if at < unpriced else 1.0) for at, line in enumerate(found.parts))
    network = replace(found.network, parts=lines, parts_price=None if unpriced else 4.0)
    block = build_block(replace(found, network=network), False, 0, True)
    assert block is not None and plain(block.parts_total) == words.format(*(line.label for line in lines))
    given = replace(network, parts_price=0.0)  # a box of leftovers
    assert plain(_total(replace(found, network=given))) == "together 0.00 EUR"


CAPTION = (
    "Figures along the wires: the joints of the list. Wires join at dots alone. Lower figure at a part: rating to buy."
)


@every(
    ("id_", "level", "annex", "moved"),
    [
        ("P-01", 0, True, ""), ("P-01", 2, True, ""), ("P-01", 3, True, " In the annex: the board."), ("P-01", 3, False, ""),
        ("P-10", 1, True, ""), ("P-10", 2, True, " In the annex: how equal drivers are joined."),
        ("P-10", 3, True, " In the annex: how equal drivers are joined and the board."),
    ],
)  # fmt: skip
def test_the_caption_says_what_the_annex_took_over(id_: str, level: int, annex: bool, moved: str) -> None:
    block = build_block(assessed(id_), False, level, annex)
    assert block is not None and block.schematic_caption == CAPTION + moved
    assert bool(block.wirings) is (id_ == "P-10" and level < 2)
    assert ("Mark plus on every cable before it goes into the cabinet." in block.board) is (level < 3)


def test_the_circuit_is_drawn_lower_only_where_the_side_is_fullest() -> None:
    pictures = [block.schematic for level in range(4) if (block := build_block(assessed("P-01"), False, level, True))]
    assert pictures[0] == pictures[1] == pictures[2] != pictures[3]


def test_equal_drivers_are_told_by_their_side() -> None:
    """P-18 has four of each, two chains of two: series-parallel."""
    found = [(one.heading, plain(one.text)) for one in wirings(assessed("P-18"))]
    assert found == [
        (f"{side} drivers, series-parallel", f"4 {side.lower()} drivers: 2 chains side by side, 2 in series each.")
        for side in ("Low", "High")
    ]
    (low,) = wirings(assessed("P-10"))
    assert (low.heading, low.text) == ("Low drivers, series", "2 low drivers in one chain, plus to minus.")


def test_an_undecided_kit_says_what_it_hangs_on_and_another_nothing() -> None:
    undecided = build_block(assessed("P-21"), False, 0, True)
    assert undecided is not None and plain(undecided.provisional) == plain(assessed("P-21").verdict.reason)
    sure = build_block(assessed("P-01"), False, 0, True)
    assert sure is not None and sure.provisional == ""


def test_a_full_side_says_why_it_is_provisional_on_the_front_and_draws_many_drivers_low() -> None:
    """P-18 has eight drivers beside one another, whose places stand in a table of the page's width under the drawing; P-01 two."""
    for id_, lower in (("P-18", True), ("P-01", False)):
        found = replace(assessed(id_), verdict=Verdict("undecided", "Re of LD-01 is 5 ohm or not"))
        usual, full = build_block(found, False, 2, True), build_block(found, False, 3, True)
        assert usual and full and usual.baffle.picture and full.baffle.picture
        assert (
            plain(usual.provisional) == "Re of LD-01 is 5 Ω or not." and full.provisional == "Why stands on the front."
        )
        assert (full.baffle.picture.height < usual.baffle.picture.height) is lower


def test_cautions_of_the_work_stand_there_and_the_others_are_named() -> None:
    block = build_block(assessed("P-01"), False, 0, True)
    assert block is not None and block.cautions.heading == "Before you start"
    others = [one.title for one in assessed("P-01").cautions if one.applies_to != "the work"]
    items = (*block.cautions.left, *block.cautions.right)
    told = [(one.text, one.concerns, one.grave) for one in items if one.title == "See the front for"]
    assert told == [(f"{'; '.join(others)}.", "", False)]


def test_frames_are_measured_in_inches_where_the_paper_is() -> None:
    """168 mm are 6.61 inches (25.4 mm each, exactly: the international inch of 1959), and its hole of 146 mm is 5.75."""
    inches, metric = (baffle_block(assessed("P-01"), wish) for wish in (True, False))
    frames = [(plain(row.frame), plain(row.cutout)) for row in inches.frames if row.driver == "LD-01"]
    assert frames and all("6.61" in frame and "5.75" in hole for frame, hole in frames)
    assert (inches.unit, metric.unit) == ("mm (inches)", "mm")
    assert not any("6.61" in row.frame for row in metric.frames)


def test_a_vent_whose_tuning_nobody_stated_says_so() -> None:
    found = assessed("P-02")
    assert found.case.cabinet.kind == "vented"
    cabinet = replace(found.case.cabinet, tuning_hz=None, net_volume_m3=None)
    block = build_block(replace(found, case=replace(found.case, cabinet=cabinet)), False, 0, True)
    assert block is not None
    facts = {fact.label: fact.value for fact in block.box}
    assert (facts["tuning"], facts["net volume"]) == ("not stated", "not stated")
