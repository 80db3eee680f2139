"""The box of cautions: lines counted letter by letter, columns of nearest to equal length, health on the left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import product

from hypothesis import example, given, settings
from hypothesis import strategies as st

from reportgen.paper.cautionbox import THE_WORK, _lines, caution_item, cautions_block
from reportgen.paper.lettering import text_width
from reportgen.paper.pages import CautionItem, CautionsBlock
from reportgen.suitability.cautions import Caution
from tests.every import every


def item(words: int, grave: bool, concerns: str) -> CautionItem:
    """A title of one letter, and so many words of four."""
    return CautionItem("n", " ".join(["nnnn"] * words), concerns, grave)


def fitting(width: float, grave: bool) -> int:
    """How many of these words go on a line of which nothing is taken."""
    word, blank = text_width("nnnn", 8.5), text_width(" ", 8.5)
    return int((width - (6.4 if grave else 0.0) + blank) // (word + blank))


@every("grave", [False, True])
@every("concerns", ["", "HD-06"])
def test_lines_are_as_long_as_a_column_and_shorter_beside_the_bar_of_a_grave_one(grave: bool, concerns: str) -> None:
    """A column of 238 points; the bar before what is grave takes 6.4 of them; title and what it concerns are semibold and end in a colon."""
    blank = text_width(" ", 8.5)
    words = [*(["⚠"] if grave else []), *(["n", f"({concerns}):"] if concerns else ["n:"])]
    head = [text_width(word, 8.5, heavy=True) for word in words]
    left = 238.0 - 6.4 * grave - sum(head) - len(head) * blank
    first = int((left + blank) // (text_width("nnnn", 8.5) + blank))
    full = fitting(238.0, grave)
    lines = [_lines(item(count, grave, concerns)) for count in (first, first + 1, first + full, first + full + 1)]
    assert lines == [1, 2, 2, 3]


def test_a_word_wider_than_a_column_leaves_no_line_empty() -> None:
    assert _lines(CautionItem("n" * 80, "n", "", False)) == 2
    assert _lines(CautionItem("n", f"n {'n' * 80} n", "", False)) == 3


def block_of(sizes: list[tuple[int, bool]], last: int = 0) -> CautionsBlock:
    given = [
        Caution("x", f"t{n}", " ".join(["nnnn"] * words), "", "HD-01", grave) for n, (words, grave) in enumerate(sizes)
    ]
    behind = [CautionItem(f"l{n}", "n", "", False) for n in range(last)]
    return cautions_block("Mind", given, last=behind)


def cost(left: Sequence[CautionItem], right: Sequence[CautionItem]) -> float:
    """Lines of the longer column, a quarter of one after each item, and one more for each grave thing on the right."""
    return max(sum(_lines(one) + 0.25 for one in side) for side in (left, right)) + sum(one.grave for one in right)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 60), st.booleans()), min_size=1, max_size=6), st.integers(0, 1))
@example([(30, True), (10, True), (25, False), (5, False)], 1)
def test_no_other_arrangement_is_shorter(sizes: list[tuple[int, bool]], last: int) -> None:
    """All ways to share them out are tried; the first stays on the left, and each column keeps its order."""
    block = block_of(sizes, last)
    names = [*(f"t{n}" for n in range(len(sizes))), *(f"l{n}" for n in range(last))]
    every = sorted((*block.left, *block.right), key=lambda one: names.index(one.title))
    assert [one.title for one in every] == names and block.left[0] is every[0]
    for side in (block.left, block.right):
        assert [one.title for one in side] == sorted((one.title for one in side), key=names.index)
    for places in product((True, False), repeat=len(every) - 1):
        sides = [
            [one for one, here in zip(every, (True, *places), strict=True) if here is left] for left in (True, False)
        ]
        assert cost(block.left, block.right) <= cost(*sides) + 1e-9


def test_of_very_many_cautions_the_last_stand_on_the_left() -> None:
    """Twelve are shared out, of which the first stays on the left; those after them follow it."""
    block = block_of([(10, False)] * 15)
    assert {"t12", "t13", "t14"} <= {one.title for one in block.left}
    assert abs(len(block.left) - len(block.right)) <= 1


def test_what_concerns_the_work_names_no_driver() -> None:
    given = Caution("x", "Lead", "Stay 254 mm off.", "", THE_WORK, True)
    assert caution_item(given) == CautionItem("Lead", "Stay 254\u00a0mm off.", "", True)
    other = caution_item(replace(given, applies_to="HD-01", grave=False), inches=True)
    assert other == CautionItem("Lead", "Stay 254\u00a0mm (10.00\u00a0in) off.", "HD-01", False)
    assert caution_item(replace(given, grave=False)).concerns == ""
    assert caution_item(replace(given, applies_to="HD-01")).concerns == "HD-01"
    assert cautions_block("Mind", []).left == () and cautions_block("Mind", []).heading == "Mind"
