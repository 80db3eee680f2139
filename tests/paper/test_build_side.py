"""The build side to the letter: each part, the wiring, the board, the baffle, the box; with and without what may be missing."""

from __future__ import annotations

import math
from dataclasses import fields, replace
from typing import Any

from reportgen.assessment import Assessment
from reportgen.crossover.networks import wired as wired_up
from reportgen.pairing.as_used import Frame
from reportgen.pairing.assembly import Apart, PartNote, Wire
from reportgen.paper.building import (
    baffle_block,
    board_words,
    build_block,
    part_rows,
    substitutes,
    wiring_words,
    wirings,
)
from reportgen.paper.pages import BuildBlock, PartRow
from reportgen.paper.wording import printed
from reportgen.suitability.verdict import Verdict
from tests.every import every
from tests.paper.samples import assessed, many_parts


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def changed(found: Assessment, part: str = "pairing", **values: Any) -> Assessment:
    return replace(found, case=replace(found.case, **{part: replace(getattr(found.case, part), **values)}))


def built(found: Assessment, level: int = 0, inches: bool = False) -> BuildBlock:
    block = build_block(found, inches, level, True)
    assert block is not None
    return block


def with_part(note: dict[str, Any], **line: Any) -> PartRow:
    """The row of P-01's first part, changed."""
    found = assessed("P-01")
    assert found.network is not None and found.network.assembly is not None
    first, *others = found.parts
    notes = tuple(replace(one, **note) if one.label == first.label else one for one in found.network.assembly.parts)
    network = replace(found.network, parts=(replace(first, **line), *others), assembly=replace(found.network.assembly, parts=notes))  # fmt: skip
    return next(part_rows(replace(found, network=network)))


COIL: dict[str, Any] = {
    "label": "L1", "kind": "L", "value": 0.47e-3, "role": "filter", "branch": "low", "part_id": "KL-047", "rating_to_buy": 4.26, "rating_unit": "A",
    "price": 7.5, "made_of": (), "join": "", "under_rated": False,
}  # fmt: skip
NOTE: dict[str, Any] = {"kind": "air core coil", "wire_mm": 1.25, "most_ohm": 0.214, "substitute": 0.5e-3}


@every(
    ("note", "line", "field", "words"),
    [
        ({}, {}, "value", "0.47 mH"),
        ({}, {}, "kind", "air core coil, 1.25 mm, ≤ 0.21 Ω"),
        ({"wire_mm": None}, {}, "kind", "air core coil, ≤ 0.21 Ω"),
        ({"most_ohm": None}, {}, "kind", "air core coil, 1.25 mm"),
        ({}, {}, "stands", "filter, low"),
        ({}, {"branch": "high", "role": "pad"}, "stands", "pad, high"),
        ({}, {}, "order", "KL-047"),
        ({}, {"part_id": None}, "order", "–"),
        ({}, {}, "rating", "4.3 A"),
        ({}, {"rating_to_buy": 100.0, "rating_unit": "V"}, "rating", "100 V"),
        ({}, {}, "price", "7.50 EUR"),
        ({}, {"price": None}, "price", "–"),
        ({}, {}, "substitute", "0.5 mH"),
        ({"substitute": None}, {}, "substitute", "none"),
        ({}, {}, "note", ""),
        ({}, {"under_rated": True}, "note", "the stock part is rated too low"),
        ({}, {"made_of": (0.33e-3, 0.15e-3), "join": "series"}, "note", "two in series: 0.33 mH + 0.15 mH"),
        (
            {},
            {"made_of": (1e-3, 1e-3), "join": "parallel", "under_rated": True},
            "note",
            "two in parallel: 1 mH beside 1 mH, rated together; the stock part is rated too low",
        ),
    ],
)
def test_a_part_to_the_letter(note: dict[str, Any], line: dict[str, Any], field: str, words: str) -> None:
    label = assessed("P-01").parts[0].label
    row = with_part({**NOTE, **note}, **{**COIL, "label": label, **line})
    assert plain(getattr(row, field)) == words and row.name == label


def wired(low: tuple[str, str], high: tuple[str, str], **pairing: int) -> list[str]:
    """What is said of P-01's drivers where they hang between these nodes."""
    found = changed(assessed("P-01"), **pairing)
    assert found.network is not None and found.network.assembly is not None
    wires = (Wire("amplifier", "in", "0"), Wire("L1", "in", "low1"), Wire("C1", "in", "high1"), Wire("low driver", *low), Wire("high driver", *high))  # fmt: skip
    made = replace(found.network.assembly, wiring=wires)
    return [plain(text) for text in wiring_words(replace(found, network=replace(found.network, assembly=made)))]


@every(
    ("low", "high", "counts", "words"),
    [
        (("low1", "0"), ("high1", "0"), {}, "Low driver + to 1, − to −; high driver + to 2, − to −."),
        (("low1", "0"), ("0", "high1"), {}, "Low driver + to 1, − to −; high driver REVERSED: + to −, − to 2."),
        (("0", "low1"), ("high1", "0"), {"low_count": 2}, "Low drivers REVERSED: + to −, − to 1; high driver + to 2, − to −."),
        (("in", "0"), ("high1", "0"), {"high_count": 4}, "Low driver + to +, − to −; high drivers + to 2, − to −."),
    ],
)  # fmt: skip
def test_where_each_driver_goes_and_which_is_turned(
    low: tuple[str, str], high: tuple[str, str], counts: dict[str, int], words: str
) -> None:
    """Joints are counted on as the wires reach them: 1 behind the coil, 2 behind the capacitor."""
    assert wired(low, high, **counts) == [f"+, −: amplifier; figures: joints, as drawn. {words}"]


COILS = {
    (): None,
    (Apart("L1", "L2", 0.06, True),): "Coils L1 and L2 stand at right angles, 60 mm apart at least from middle to middle.",
    (
        Apart("L1", "L2", 0.06, True), Apart("L1", "L3", 0.06, True), Apart("L2", "L3", 0.06, True),
    ): "Coils L1, L2 and L3 stand at right angles to each other, 60 mm apart at least from middle to middle.",
    (
        Apart("L1", "L2", 0.055, True), Apart("L1", "L4", 0.11, False), Apart("L2", "L3", 0.055, True), Apart("L3", "L4", 0.055, True),
    ): "Coils L1, L2, L4 and L3 stand at right angles to each other, 55 mm apart at least from middle to middle; L1 and L4 lie the same way, 110 mm.",
    (
        Apart("L1", "L2", 0.055, True), Apart("L1", "L4", 0.11, False), Apart("L2", "L5", 0.11, False), Apart("L3", "L4", 0.055, True),
    ): "Coils L1, L2, L4, L5 and L3 stand at right angles to each other, 55 mm apart at least from middle to middle; L1 with L4 and L2 with L5 lie the same way, 110 mm.",
}  # fmt: skip


@every("coils", COILS)
def test_how_coils_stand_to_each_other(coils: tuple[Apart, ...]) -> None:
    found = assessed("P-01")
    assert found.network is not None and found.network.assembly is not None
    made = replace(found.network.assembly, coils=coils, resistors="Resistors stand clear.", shelf=("The shelf.", "Without."))  # fmt: skip
    with_it = replace(found, network=replace(found.network, assembly=made))
    words = [plain(text) for text in board_words(with_it)]
    told = [text] if (text := COILS[coils]) else []
    assert words == [
        "Mark plus on every cable before it goes into the cabinet.", *told, "Resistors stand clear.", "The shelf.",
        "Without.",
    ]  # fmt: skip
    assert ("mm (2.17 in) apart" in plain(" ".join(board_words(with_it, inches=True)))) is (
        "55 mm apart" in "".join(told)
    )
    bare = replace(found, network=None)
    assert list(board_words(bare)) == list(wiring_words(bare)) == list(part_rows(bare)) == []


def test_substitutes_stand_in_the_annex_of_long_lists_only() -> None:
    """Of more than ten parts the list has no column for them."""
    found = many_parts(20)
    (words,) = substitutes(found)
    names = [line.label for line in found.parts]
    assert plain(words) == f"Substitutes, each alone, the other parts as listed: {'; '.join(f'{name} none' for name in names)}."  # fmt: skip
    ten, eleven = (replace(found, network=replace(found.network, parts=found.parts[:n])) for n in (10, 11))  # type: ignore[type-var]
    assert list(substitutes(ten)) == [] and len(list(substitutes(eleven))) == 1
    assert [len(built(one, 3).parts) for one in (ten, eleven)] == [1, 2]
    assert [len(column) for column in built(eleven, 3).parts] == [6, 5]
    assert built(ten, 3).with_substitutes and not built(eleven, 3).with_substitutes


def test_columns_of_the_list_stand_where_any_part_needs_them() -> None:
    found = assessed("P-01")
    assert found.network is not None
    bare = [replace(line, part_id=None, price=None) for line in found.parts]
    for place in (0, len(bare) - 1):
        for field, value, orders, prices in (("part_id", "KL-1", True, False), ("price", 2.0, False, True), ("role", "x", False, False)):  # fmt: skip
            lines = [*bare]
            lines[place] = replace(lines[place], **{field: value})  # type: ignore[arg-type]
            block = built(replace(found, network=replace(found.network, parts=tuple(lines))))
            assert (block.with_orders, block.with_prices) == (orders, prices)


@every("word", ["suitable", "suitable with conditions", "undecided"])
def test_only_an_undecided_pairing_is_stamped_provisional(word: Any) -> None:
    block = built(replace(assessed("P-01"), verdict=Verdict(word, "Re of LD-01 is 5 ohm or not")))
    assert plain(block.provisional) == ("Re of LD-01 is 5 Ω or not." if word == "undecided" else "")


def test_conditions_of_what_passes_and_of_what_is_near_are_kept() -> None:
    outcomes = {"pass": "a", "marginal": "b", "fail": "c", "not assessed": "d"}
    checks = tuple(replace(assessed("P-01").checks[0], outcome=one, condition=text) for one, text in outcomes.items())
    twice = (*checks, replace(checks[0], id="other"))
    assert built(replace(assessed("P-01"), checks=twice)).conditions == ("A.", "B.")


@every(
    ("count", "how", "words"),
    [
        (2, "series", "2 low drivers in one chain, plus to minus."), (3, "parallel", "3 low drivers: 3 chains side by side, one driver each."),
        (6, "series-parallel", "6 low drivers: {rows} chains side by side, {chain} in series each."), (4, "series-parallel", "4 low drivers: 2 chains side by side, 2 in series each."),
    ],
)  # fmt: skip
def test_how_equal_drivers_are_joined_in_words(count: int, how: str, words: str) -> None:
    """Six in series and parallel: as many chains as keep the load nearest to one driver's, each of the same length."""
    (block,) = wirings(changed(assessed("P-01"), low_count=count, low_wiring=how))
    joined = wired_up(8.0, count, how)  # type: ignore[arg-type]
    assert joined.rows * joined.in_series == count
    assert (
        block.text == words.format(rows=joined.rows, chain=joined.in_series) and block.heading == f"Low drivers, {how}"
    )
    chain = f"{joined.in_series} in series" if joined.in_series > 1 else "one"
    drawn = (
        f"{joined.rows} chains in parallel of {chain}, plus to plus."
        if joined.rows > 1
        else "one chain of 2, plus to minus."
    )
    assert block.picture.alt == f"Wiring of the low drivers: {drawn}"
    other = "parallel" if how == "series" else "series"
    several = changed(assessed("P-01"), low_count=2, low_wiring=other, high_count=count, high_wiring=how)
    low, high = wirings(several)  # each side its own way
    assert low.text.startswith("2 low drivers") and ("side by side" in low.text) is (other == "parallel")
    assert (high.heading, high.text) == (f"High drivers, {how}", block.text.replace("low", "high"))


def test_every_caution_of_the_work_stands_on_the_build_side() -> None:
    """Each whole, with its text; what concerns the drivers is named, and stands on the front."""
    found = assessed("P-06")
    work = [one for one in found.cautions if one.applies_to == "the work"]
    block = built(found).cautions
    told = {item.title: plain(item.text) for item in (*block.left, *block.right)}
    assert len(work) > 2 and set(told) == {*(one.title for one in work), "See the front for"}
    assert all(told[one.title] == plain(printed(one.text)) for one in work)
    alone = built(replace(found, cautions=tuple(work))).cautions
    assert {item.title for item in (*alone.left, *alone.right)} == {one.title for one in work}


# --- baffle and box -----------------------------------------------------------------------------------------------


def placed(count: int, **layout: Any) -> Assessment:
    found = assessed("P-01")
    frames = tuple(
        Frame("low", f"LD-0{n % 2}", 0.1, 0.02 + 0.04 * n, 0.03, 0.03, True, 0.02, 0.02) for n in range(count)
    )
    return replace(found, layout=replace(found.layout, frames=frames, **layout))


def test_many_drivers_stand_in_two_columns_and_their_sizes_once() -> None:
    """More than six; of 7 rows four on the left; a panel of 360 mm, centres 40 mm apart from 20 mm up."""
    six, seven = (baffle_block(placed(count), False) for count in (6, 7))
    assert six.places == () and six.sizes == "" and len(six.frames) == 6
    assert [[row.number for row in column] for column in seven.places] == [["1", "2", "3", "4"], ["5", "6", "7"]]
    assert [row.from_top for row in seven.frames] == ["100", "140", "180", "220", "260", "300", "340"]
    assert plain(seven.sizes) == "LD-00: frame Ø 30, cut-out Ø 20; LD-01: frame Ø 30, cut-out Ø 20"


@every(
    ("layout", "known", "words"),
    [
        ({"spacing_m": 0.28, "spacing_given": True}, True, "Low to high centre 280 mm."),
        ({"spacing_m": 0.2804, "spacing_given": False}, True, "Low to high centre 280.4 mm, nearly touching."),
        ({"spacing_m": 0.28, "spacing_given": True}, False, "Low to high centre 280 mm. A frame whose size is not known is drawn by its radiating surface."),
    ],
)  # fmt: skip
def test_the_caption_of_the_baffle(layout: dict[str, Any], known: bool, words: str) -> None:
    found = placed(3, **layout)
    first, *others = found.layout.frames
    found = replace(found, layout=replace(found.layout, frames=(replace(first, size_known=known), *others)))
    block = baffle_block(found, False)
    assert plain(block.caption).endswith(f"; on the right: from the top edge. {words}")
    assert [row.frame for row in block.frames].count("–") == (not known)
    inches = baffle_block(found, True)
    assert "280 mm (11.02 in)" in plain(inches.caption) or "280.4 mm (11.04 in)" in plain(inches.caption)


def test_a_baffle_without_centres_is_not_drawn_and_says_so() -> None:
    assert [(line.ink, line.shows) for line in baffle_block(placed(1), False).key] == [("cut", "cut-outs")]
    block = baffle_block(placed(0), False)
    assert (block.picture, block.key, block.frames) == (None, (), ())
    assert block.caption == "The baffle is not drawn: the distance between the centres is not known."


@every(
    ("cabinet", "pairing", "facts"),
    [
        ({}, {}, {"outside": "200 × 360 × 260 mm", "net volume": "11 L", "stand": "720 mm"}),
        ({"net_volume_m3": 0.01234}, {}, {"net volume": "12.3 L"}),
        ({"stand_height_m": 0.3}, {"placement": "in a wall"}, {"lower edge over the floor": "300 mm"}),
        ({"stand_height_m": 0.3}, {"placement": "near a wall"}, {"stand": "300 mm"}),
        ({"stand_height_m": None}, {}, {"outside": "200 × 360 × 260 mm"}),
        ({"kind": "vented", "tuning_hz": 47.26}, {}, {"tuning": "47.3 Hz", "net volume": "11 L"}),
        ({"kind": "closed", "tuning_hz": 47.0}, {}, {"net volume": "11 L"}),
        ({"kind": "open baffle", "depth_m": None}, {}, {"outside": "200 × 360 mm"}),
        ({"tilt_rad": math.radians(5.0)}, {}, {"tilt": "5°"}),
        ({"tilt_rad": math.radians(-3.0)}, {}, {"tilt": "−3°"}),
    ],
)  # fmt: skip
def test_what_is_told_of_the_box(cabinet: dict[str, Any], pairing: dict[str, Any], facts: dict[str, str]) -> None:
    found = changed(changed(assessed("P-01"), "cabinet", **cabinet), **pairing)
    told = {fact.label: plain(fact.value) for fact in built(found).box}
    assert {**told, **facts} == told
    assert ("stand" in told) is (pairing.get("placement") != "in a wall" and cabinet.get("stand_height_m", 1.0) is not None)  # fmt: skip
    assert ("tuning" in told) is (cabinet.get("kind") == "vented") and ("tilt" in told) is ("tilt_rad" in cabinet)
    assert ("net volume" in told) is (cabinet.get("kind") != "open baffle")


@every(
    ("kind", "rear", "words"),
    [
        ("closed", "as supplied", "Damping: fill it loosely with absorbent."),
        ("vented", "removed", "Damping: line the walls with absorbent, leave the vent free. High driver HD-01: rear cup taken off; see to that before it is mounted, and touch nothing inside."),
        ("open baffle", "removed", "No box and no damping: leave the back open. High driver HD-01: rear cup taken off; see to that before it is mounted, and touch nothing inside."),
    ],
)  # fmt: skip
def test_what_goes_into_the_box_and_what_becomes_of_a_back(kind: str, rear: str, words: str) -> None:
    found = changed(changed(assessed("P-01"), "cabinet", kind=kind), rear_use=rear)
    found = changed(found, "high", rear="removable")
    block = built(found)
    assert plain(block.box_note) == words and block.cabinet == kind


@every(
    ("cabinet", "placement", "words"),
    [  # 200 x 360 x 260 mm are 18.72 L, 100 mm deep 7.2 L
        ({}, "in a wall", ""),
        ({"depth_m": 0.1}, "in a wall", "The outside holds 7.2 L: the rest of the net volume is the hollow of the wall"),
        ({"net_volume_m3": 0.02}, None, "The outside holds 18.7 L only: ask which of the two is right"),
        ({"depth_m": None, "net_volume_m3": 0.02}, None, ""),
        ({"kind": "open baffle", "depth_m": 0.03}, None, ""),
    ],
)  # fmt: skip
def test_a_net_volume_that_the_outside_does_not_hold_is_told(
    cabinet: dict[str, Any], placement: str | None, words: str
) -> None:
    found = changed(changed(assessed("P-01"), "cabinet", **cabinet), placement=placement)
    note = plain(built(found).box_note)
    assert note.startswith(words) and ("outside holds" in note) is bool(words)


def test_every_field_of_a_note_is_told_somewhere() -> None:
    """A new field of a part's note wants a place in the list, or a word here why not."""
    assert {field.name for field in fields(PartNote)} == {"label", *NOTE, "substitute_id"}
