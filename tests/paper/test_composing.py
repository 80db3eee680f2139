"""The front in words: limits behind what they judge, ways out shared with the annex, columns of cautions."""

from __future__ import annotations

from dataclasses import replace

import pytest

from reportgen.paper.cautionbox import cautions_block
from reportgen.paper.composing import Wish, sheet_page
from reportgen.paper.wording import hertz, printed, span
from reportgen.suitability.cautions import Caution
from reportgen.suitability.verdict import Verdict
from tests.paper.samples import STAMP, assessed, with_remedies


def reason(check_id: str) -> str:
    """What the front says where this check of P-01 is the reason of the verdict."""
    found = assessed("P-01")
    check = next(check for check in found.checks if check.id == check_id)
    told = replace(found, verdict=Verdict("not suitable", check.text))
    return sheet_page(told, STAMP).verdict.reason.replace("\u00a0", " ")


def test_what_is_near_or_past_its_limit_names_the_limit() -> None:
    """Common practice of the trade sheet: 2 dB of a third of an octave; the pairing asks for 96 dB at the seat."""
    assert reason("thirds").endswith("Limit: 2 dB at most.")
    faint = replace(
        next(c for c in assessed("P-01").checks if c.id == "peak level"), value=90.0, margin=-6.0, text="Too faint"
    )
    found = replace(assessed("P-01"), checks=(faint,), verdict=Verdict("not suitable", "Too faint"))
    assert sheet_page(found, STAMP).verdict.reason.endswith("Too faint. Limit: 96\u00a0dB at least.")


def test_a_limit_that_the_words_tell_is_not_told_again() -> None:
    found = assessed("P-01")
    text = "The driver takes 84 W, rated to take 70 W of it"
    heat = replace(found.checks[0], value=84.0, limit=70.0, unit="W", margin=-0.8, text=text)
    words = sheet_page(replace(found, checks=(heat,), verdict=Verdict("not suitable", text)), STAMP).verdict.reason
    assert words.replace("\u00a0", " ").endswith(f"{text}.")


def test_a_figure_that_ends_like_the_limit_does_not_tell_it() -> None:
    found = assessed("P-01")
    step = replace(found.checks[0], value=8.3, limit=3.0, unit="dB", margin=-5.3, text="They differ by 8.3 dB")
    words = sheet_page(replace(found, checks=(step,), verdict=Verdict("not suitable", step.text)), STAMP).verdict.reason
    assert words.endswith("8.3\u00a0dB. Limit: 3\u00a0dB at most.")


def test_what_is_not_known_is_not_said_to_be_near_a_limit() -> None:
    found = assessed("P-01")
    near = replace(found.checks[0], outcome="marginal", text="A little much.")
    gap = replace(found.checks[1], outcome="not assessed", text="Stock of HD-01 missing.")
    told = Verdict("suitable with conditions", "Keep to it.", (), (), (("a", near.text), ("b", gap.text)))
    block = sheet_page(replace(found, checks=(near, gap), verdict=told), STAMP).verdict
    assert block.near_head == "Near a limit, a little past it, or not known"
    assert (
        sheet_page(replace(found, checks=(near,), verdict=told), STAMP).verdict.near_head
        == "Near a limit, or a little past it"
    )


def test_figures_of_checks_have_the_digits_of_their_words() -> None:
    found = assessed("P-01")
    load = replace(found.checks[0], value=3.928, limit=3.2, unit="ohm", margin=0.728, margin_unit="ohm")
    (row,) = sheet_page(replace(found, checks=(load,)), STAMP).annex.checks  # type: ignore[union-attr]
    assert [text.replace("\u00a0", " ") for text in (row.value, row.limit, row.margin)] == ["3.9 Ω", "3.2 Ω", "+0.73 Ω"]
    watts = replace(
        found.checks[0], value=9.5, limit=1.99, unit="W", margin=-6.8, text="9.5 W, rated to take 2 W of it"
    )
    told = sheet_page(
        replace(found, checks=(watts,), verdict=Verdict("not suitable", watts.text)), STAMP
    ).verdict.reason
    assert told.endswith("rated to take 2\u00a0W of it.")  # the limit is in the words


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


@pytest.mark.parametrize("hz", [2924.4, 2924.6, 2925.0, 2925.4, 2934.6, 13149.6, 999.6, 9994.6])
def test_a_frequency_is_the_same_in_a_sentence_and_in_a_table(hz: float) -> None:
    """Checks tell whole Hz, and a sheet three digits of them; rounding twice must not differ from rounding once."""
    assert printed(f"Above {hz:.0f} Hz it beams.") == f"Above {hertz(hz)} it beams."
    assert span(hz, 20000.0).startswith(hertz(hz))
