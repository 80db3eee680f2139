"""The circuit diagram in words and signs: which end of a driver is plus, what each part is called, how several drivers hang together."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from typing import Any

import pytest

from reportgen.assessment import Assessment
from reportgen.crossover.networks import Branch, Component, Stage
from reportgen.pairing.parts_list import PartLine
from reportgen.paper.drawings import Pen, Picture
from reportgen.paper.schematic import (
    Column,
    Ladder,
    Symbol,
    _count_note,
    draw_network,
    ladder,
    names_of,
    network_picture,
    wiring_picture,
)
from tests.every import every
from tests.paper.looks import polylines
from tests.paper.samples import assessed

COIL, CAP, PAD = Component("L", 0.47e-3), Component("C", 4.7e-6), Component("R", 3.3)
PAIR = Component("C", 10e-6, made_of=(6.8e-6, 3.3e-6), join="parallel")
LOW = Branch((Stage("series", "series", (COIL,)), Stage("shunt", "series", (PAD, CAP))))
HIGH = Branch((Stage("series", "parallel", (CAP, PAD)), Stage("shunt", "parallel", (COIL, PAIR))))


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def line(component: Component, label: str, **other: Any) -> PartLine:
    return replace(assessed("P-01").parts[0], label=label, kind=component.kind, value=component.value, **other)


def test_parts_are_counted_on_by_kind_from_branch_to_branch() -> None:
    first: dict[str, int] = {}
    assert names_of(LOW, (), first) == ["L1", "R1", "C1"]
    assert names_of(HIGH, (), first) == ["C2", "R2", "L2", "C3"]
    lines = [line(part, name) for part, name in zip(LOW.components, ("L7", "R8", "C9"), strict=True)]
    assert names_of(LOW, lines, first) == ["L7", "R8", "C9"] and names_of(LOW, lines[:2], {}) == ["L1", "R1", "C1"]


def test_a_network_is_told_in_words_as_it_is_drawn() -> None:
    """What is in series across the path, or in parallel in it, is told as one; pairs of parts by their letters."""
    first: dict[str, int] = {}
    picture = draw_network(
        [
            ladder(LOW, (), "low driver", first=first),
            ladder(HIGH, (), "high driver", reversed_=True, first=first),
            ladder(Branch(()), (), "third"),
        ]
    )
    assert plain(picture.alt) == (
        "From the amplifier to the low driver: L1 0.47 mH in the path, (R1 3.3 Ω in series with C1 4.7 µF) across. "
        "From the amplifier to the high driver, reversed: (C2 4.7 µF in parallel with R2 3.3 Ω) in the path, L2 0.47 mH across, "
        "C3a 6.8 µF across, C3b 3.3 µF across. From the amplifier to the third: a plain wire."
    )


def test_values_and_ratings_to_buy_stand_at_their_parts() -> None:
    lines = [
        line(part, name, rating_to_buy=value, rating_unit=unit)
        for part, name, value, unit in ((COIL, "L1", 4.26, "A"), (PAD, "R1", 12.4, "W"), (CAP, "C1", None, ""))
    ]
    words = [(label.ink, plain(label.text)) for label in draw_network([ladder(LOW, lines, "low driver")]).labels]
    for told in (("strong", "L1 0.47 mH"), ("word", "4.3 A"), ("strong", "R1 3.3 Ω"), ("word", "12 W"), ("strong", "C1 4.7 µF")):  # fmt: skip
        assert told in words
    assert len([text for ink, text in words if ink == "word"]) == 3  # two ratings and "amplifier"
    flat = Symbol("L", "L1", "0.47 mH", "4.3 A", flat=True)
    assert flat.words == (("strong", "L1 0.47 mH, 4.3 A"),)
    assert replace(flat, rating="").words == (("strong", "L1 0.47 mH"),)


def signs(picture: Picture) -> list[str]:
    """Plus and minus at the drivers from the top down, without those of the amplifier at the left edge."""
    found = [label for label in picture.labels if label.text in ("+", "−") and label.x > 12.0]
    return [label.text for label in sorted(found, key=lambda label: label.y)]


@every(
    ("turned", "expected"),
    [((False, False), "+−+−"), ((False, True), "+−−+"), ((True, False), "−++−"), ((True, True), "−+−+")],
)
def test_a_reversed_driver_has_its_minus_at_the_path(turned: tuple[bool, bool], expected: str) -> None:
    rows = [ladder(LOW, (), name, "", one) for name, one in zip(("low driver", "high driver"), turned, strict=True)]
    picture = draw_network(rows)
    assert "".join(signs(picture)) == expected
    assert [label.text for label in picture.labels].count("reversed") == sum(turned)
    ends = [label for label in picture.labels if label.text in ("+", "−") and label.x <= 12.0]
    assert [label.text for label in sorted(ends, key=lambda label: label.y)] == ["+", "−"]


def drawn(found: Assessment) -> Picture:
    picture = network_picture(found)
    assert picture is not None
    return picture


def test_each_side_of_a_pairing_says_how_many_drivers_hang_there_and_whether_they_are_turned() -> None:
    found = assessed("P-01")
    assert found.network is not None
    pairing = replace(found.case.pairing, low_count=4, low_wiring="series-parallel", high_count=2, high_wiring="parallel")  # fmt: skip
    several = replace(found, case=replace(found.case, pairing=pairing))
    places = {label.text: label.y for label in drawn(several).labels}
    assert places["low driver"] < places["4, series-parallel"] < places["high driver"] < places["2, parallel"]
    assert not [text for text in {label.text for label in drawn(found).labels} if "series" in text]
    for turned in (False, True):
        design = replace(found.network.design, high_reversed=turned)
        picture = drawn(replace(found, network=replace(found.network, design=design)))
        assert "".join(signs(picture)) == ("+−−+" if turned else "+−+−")
    assert network_picture(replace(found, network=None)) is None


def test_joints_are_named_by_their_numbers_and_the_amplifier_by_its_signs_alone() -> None:
    found = assessed("P-01")
    labels = [
        label for label in drawn(found).labels if label.text.strip("0123456789") == "" or label.text in ("+", "−")
    ]
    assert (
        [label.text for label in labels].count("+") == [label.text for label in labels].count("−") == 3
    )  # two drivers
    numbers = [label.text for label in labels if label.text.isdigit()]
    assert numbers and sorted(numbers, key=int) == [str(n) for n in range(1, len(numbers) + 1)]


def test_a_full_side_has_its_circuit_drawn_lower() -> None:
    """Of parts over one another in the path each says all in one line there: two of them save a line of 7.8 points each."""
    lines = [line(part, name, rating_to_buy=5.0, rating_unit="W") for part, name in ((CAP, "C1"), (PAD, "R1"))]
    branch = Branch((Stage("series", "parallel", (CAP, PAD)),))
    usual, low = (draw_network([ladder(branch, lines, "high driver", most_high=most)]) for most in (2, 1))
    assert usual.height - low.height == pytest.approx(2.0 * 7.8, abs=0.11)
    assert {"C1 4.7 µF, 5 W", "R1 3.3 Ω, 5 W"} <= {plain(label.text) for label in low.labels}
    assert {"C1 4.7 µF", "R1 3.3 Ω", "5 W"} <= {plain(label.text) for label in usual.labels}
    found = assessed("P-01")
    assert found.network is not None
    design = replace(found.network.design, low=Branch(()), high=branch)
    parts = tuple(replace(one, branch="high") for one in lines)
    stacked = replace(found, network=replace(found.network, design=design, parts=parts))
    lower = network_picture(stacked, low=True)
    assert lower is not None and drawn(stacked).height - lower.height == pytest.approx(15.6, abs=0.11)


def test_a_short_network_is_drawn_up_to_twice_as_wide_and_never_past_the_page() -> None:
    """One coil between the amplifier at 44 points and the driver: stretched to twice its width, and no further."""
    one = ladder(Branch((Stage("series", "series", (COIL,)),)), (), "low driver")
    (column,) = one.columns
    labels = {label.text: label for label in draw_network([one]).labels}
    assert labels["low driver"].x == pytest.approx(44.0 + 2.0 * column.width + 20.0 + 16.0, abs=0.11)
    narrow = draw_network([one], 44.0 + column.width + one.end_width)
    assert {label.text: label for label in narrow.labels}["low driver"].x == pytest.approx(44.0 + column.width + 36.0, abs=0.11)  # fmt: skip
    assert max(label.box.right for label in narrow.labels) <= narrow.width


def test_room_for_the_end_of_a_row_counts_its_longest_line() -> None:
    short, long = Ladder((), "low driver"), Ladder((), "low driver", "4, series-parallel")
    assert long.end_width > short.end_width and Ladder((), "x", reversed=True).end_width > Ladder((), "x").end_width


@every(
    ("in_series", "rows", "words"),
    [
        (1, 2, "Wiring of the low drivers: 2 chains in parallel of one, plus to plus."),
        (3, 1, "Wiring of the low drivers: one chain of 3, plus to minus."),
        (6, 2, "Wiring of the low drivers: 2 chains in parallel of 6 in series, plus to plus. … 6 per chain"),
        (5, 7, "Wiring of the low drivers: 7 chains in parallel of 5 in series, plus to plus. … 7 side by side, 5 per chain"),
    ],
)  # fmt: skip
def test_several_drivers_are_told_as_they_are_wired(in_series: int, rows: int, words: str) -> None:
    """Each driver of a chain has its plus towards the plus of the network."""
    picture = wiring_picture(in_series, rows, "low drivers")
    assert plain(picture.alt) == words
    assert (_count_note(1, "parallel"), _count_note(3, "parallel")) == ("", "3, parallel")
    columns: dict[float, list[tuple[float, str]]] = {}
    for label in picture.labels:
        if label.text in ("+", "−") and label.anchor == "end":
            columns.setdefault(label.x, []).append((label.y, label.text))
    assert len(columns) == min(rows, 4)
    assert all("".join(sign for _, sign in sorted(found)) == "+−" * min(in_series, 4) for found in columns.values())
    ends = {label.text: label.y for label in picture.labels if label.anchor == "start" and label.text in ("+", "−")}
    assert ends["+"] < ends["−"]


def test_ellipses_and_rectangles_are_as_large_as_they_were_asked_for() -> None:
    """An ellipse is two arcs back to its beginning; a rectangle goes right, down, left and closes (SVG 1.1, 8.3)."""
    pen = Pen(100.0, 100.0)
    pen.ellipse("dot", 50.0, 40.0, 10.0, 5.0)
    pen.rect("paper", 10.0, 20.0, 30.0, 5.5)
    pen.shape("bar", (0, 0), (4, 0), (4, 3))
    pen.line("grid", (0, 0), (4, 3))
    pen.path("wire", "")
    assert {path.ink: path.data for path in pen.picture("x").paths} == {
        "dot": "M40 40a10 5 0 1 0 20 0a10 5 0 1 0 -20 0Z", "paper": "M10 20h30v5.5h-30Z", "bar": "M0 0L4 0L4 3Z", "grid": "M0 0L4 3",
    }  # fmt: skip
    assert polylines("M0 0L4 3") == [[(0.0, 0.0), (4.0, 3.0)]]
    assert pen.write("word", 1.26, 2.0, "") not in pen.picture("x").labels
    assert pen.write("word", 1.26, 2.04, "a").x == 1.3


def test_each_wrapped_end_has_a_letter_of_its_own_however_many_there_are() -> None:
    """Thirty parts, a row each: 29 letters, I, L, O and R left out, each where a row ends and where the next begins."""
    parts = tuple(Column("series", Symbol("C", f"C{number}", "1")) for number in range(30))
    picture = draw_network([Ladder(parts, "driver")], width=100.0)
    letters = [label.text for label in picture.labels if re.fullmatch(r"[A-Z]\d?", label.text)]
    assert set(Counter(letters).values()) == {2} and len(set(letters)) == 29
    assert list(dict.fromkeys(letters))[20:25] == ["Y", "Z", "A1", "B1", "C1"]
