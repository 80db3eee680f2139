"""The front in words: limits behind what they judge, ways out shared with the annex, columns of cautions."""

from __future__ import annotations

from dataclasses import replace

from reportgen.paper.cautionbox import cautions_block
from reportgen.paper.composing import Wish, sheet_page
from reportgen.suitability.cautions import Caution
from tests.paper.samples import STAMP, assessed, with_remedies


def test_what_is_near_or_past_its_limit_names_the_limit() -> None:
    """P-11: an unevenness of so many dB, of which 2 are allowed; P-14: a level that is not reached."""
    uneven, faint = (sheet_page(assessed(id_), STAMP).verdict for id_ in ("P-11", "P-14"))
    assert uneven.reason.replace("\u00a0", " ").endswith("Limit: 2 dB at most.")
    assert faint.reason.replace("\u00a0", " ").endswith("Limit: 101 dB at least.")


def test_a_limit_that_the_words_tell_is_not_told_again() -> None:
    """P-02: the watts that the low driver takes stand in the sentence itself."""
    words = sheet_page(assessed("P-02"), STAMP).verdict.reason.replace("\u00a0", " ")
    assert "rated to take 70 W" in words and "Limit" not in words


def test_a_full_front_leaves_the_farther_ways_out_to_the_annex() -> None:
    found = with_remedies()
    found = replace(found, remedies=found.remedies * 2)
    page = sheet_page(found, STAMP, Wish(front="short"))
    assert page.remedies is not None and page.annex is not None and page.annex.remedies is not None
    assert (len(page.remedies.rows), len(page.annex.remedies.rows)) == (3, 3)
    assert page.remedies.note.endswith("3 more ways in the annex.")
    alone = sheet_page(found, STAMP, Wish(front="short", annex=False))
    assert alone.remedies is not None and len(alone.remedies.rows) == 6


def caution(title: str, lines: int, grave: bool) -> Caution:
    return replace(assessed("P-17").cautions[0], title=title, text="word " * (9 * lines), grave=grave)


def test_what_touches_health_stands_on_the_left_unless_the_box_grows_by_lines() -> None:
    short = cautions_block("x", [caution("a", 4, True), caution("b", 3, True), caution("c", 6, False)])
    assert [item.title for item in short.left] == ["a", "b"]
    long = cautions_block("x", [caution("a", 7, True), caution("b", 7, True), caution("c", 2, False)])
    assert "a" in [item.title for item in long.left] and "b" in [item.title for item in long.right]
