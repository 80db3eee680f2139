"""Widths of letters against the fonts themselves, and labels that find room."""

from __future__ import annotations

import shutil
import subprocess
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reportgen.paper import lettering
from reportgen.paper.lettering import Box, Room, letter_width, shortened, spread_out, text_width


def font_file(name: str) -> Path | None:
    """The file of an installed font, by its exact full name; None when it is not installed."""
    if shutil.which("fc-list") is None:
        return None
    listed = subprocess.run(["fc-list", f":fullname={name}", "file"], capture_output=True, text=True, check=True).stdout
    return Path(listed.splitlines()[0].rstrip(": ")) if listed.strip() else None


@pytest.mark.parametrize(
    ("name", "heavy"),
    [("Inter Regular", False), ("Inter Semi Bold", True), ("DejaVu Sans Condensed", False), ("DejaVu Sans Condensed Bold", True)],
)  # fmt: skip
def test_no_letter_is_wider_than_the_table_says(name: str, heavy: bool) -> None:
    # advance widths read from the fonts' own hmtx tables (OpenType)
    ttlib = pytest.importorskip("fontTools.ttLib")
    file = font_file(name)
    if file is None:
        pytest.skip(f"{name} is not installed")
    font = ttlib.TTFont(file)
    known, widths, em = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
    for letter in lettering._LETTERS:
        if ord(letter) in known:
            assert widths[known[ord(letter)]][0] * 1000 / em <= letter_width(letter, heavy) + 1


def test_wide_letters_count_as_wide() -> None:
    assert text_width("揚聲器", 10.0) == 30.0


@given(st.text(max_size=60), st.floats(1.0, 300.0), st.booleans())
def test_a_shortened_text_fits(text: str, width: float, heavy: bool) -> None:
    short = shortened(text, 7.0, width, heavy)
    assert text_width(short, 7.0, heavy) <= width or not short
    assert short == text or short.endswith("…") or not short


@given(st.lists(st.floats(0.0, 300.0), max_size=40), st.floats(1.0, 20.0))
def test_spread_out_keeps_order_room_and_gap(wanted: list[float], gap: float) -> None:
    places = spread_out(sorted(wanted), gap, 0.0, 300.0)
    assert len(places) == len(wanted)
    assert all(-1e-6 <= place <= 300.0 + 1e-6 for place in places)
    fits = (len(wanted) - 1) * gap <= 300.0
    for one, other in pairwise(places):
        assert other - one >= (gap if fits else 0.0) - 1e-6


@given(st.lists(st.floats(50.0, 250.0), min_size=1, max_size=8, unique=True))
def test_spread_out_leaves_what_has_room_where_it_is(wanted: list[float]) -> None:
    ordered = sorted(wanted)
    if all(other - one >= 5.0 for one, other in pairwise(ordered)):
        assert spread_out(ordered, 5.0, 0.0, 300.0) == pytest.approx(ordered)


@given(st.lists(st.tuples(st.floats(5.0, 60.0), st.floats(0.0, 200.0), st.floats(0.0, 100.0)), max_size=30))
def test_placed_boxes_never_meet(wishes: list[tuple[float, float, float]]) -> None:
    field = Box(0.0, 0.0, 200.0, 100.0)
    room = Room(field)
    placed = [box for width, x, y in wishes if (box := room.place(width, 8.0, [(x, y)])) is not None]
    for index, box in enumerate(placed):
        assert box.inside(field)
        assert not any(box.meets(other) for other in placed[:index])
