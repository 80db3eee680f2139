"""The build side says how the network is put together, from the same data as its circuit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from reportgen.paper.annexes import annex_block
from reportgen.paper.building import build_block, part_rows, wiring_words
from tests.paper.samples import assessed, many_parts


@pytest.mark.parametrize("id_", ["P-01", "P-06", "P-10", "P-18"])
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


def test_a_reversed_driver_is_said_to_be() -> None:
    found = assessed("P-01")
    assert found.network is not None and found.network.assembly is not None
    made = found.network.assembly
    wires = tuple(
        replace(wire, start=wire.end, end=wire.start) if wire.what == "high driver" else wire for wire in made.wiring
    )
    turned = replace(found, network=replace(found.network, assembly=replace(made, wiring=wires)))
    assert "REVERSED" in next(wiring_words(turned))
