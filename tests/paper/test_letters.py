"""Letters of many scripts print, or the cell that holds them is named."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from reportgen.commands import letters
from reportgen.paper.composing import sheet_page
from reportgen.paper.engine import without_font
from reportgen.paper.render import press, written
from tests.demo_catalogue import demo
from tests.paper.samples import ARABIC, RIGHT_TO_LEFT, STAMP, renamed

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="fonts are taken for granted there")


def test_a_name_that_runs_to_the_left_does_not_turn_the_figures_behind_it(tmp_path: Path) -> None:
    """Its words stand together, each figure right before its unit; where words stand is read by poppler's pdftotext."""
    found = renamed(RIGHT_TO_LEFT, ARABIC)
    page = sheet_page(found, STAMP)
    figure = f"{found.case.low.sensitivity_db:.1f}"
    assert page.drivers[0].value.startswith(f"\u2068{ARABIC}, {ARABIC}\u2069; {figure}\u00a0dB; ")
    file = tmp_path / "sheet.pdf"
    file.write_bytes(written(press().layout(page)))
    boxes = subprocess.run(["pdftotext", "-bbox", str(file), "-"], capture_output=True, text=True, check=True).stdout
    words = re.findall(r'xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="[\d.]+">(.*?)<', boxes)
    ((right, top),) = [(float(x), y) for _, y, x, word in words if word == figure]
    assert any(0.0 <= float(left) - right < 6.0 for left, y, _, word in words if word == "dB;" and y == top)


@pytest.mark.parametrize("letter", ["ก", "क", "한", "م", "ה", "箱", "⚠", "Ω", "\U000e0fff", "\U0001f3b5", "𓀀"])
def test_a_font_has_what_fontconfig_says_it_has(letter: str) -> None:
    """Against the system's own program."""
    if not shutil.which("fc-list"):
        pytest.skip("fontconfig's programs are not installed")
    asked = ["fc-list", f":charset={ord(letter):x}", "family"]
    listed = subprocess.run(asked, capture_output=True, text=True, check=True).stdout
    assert without_font([letter]) == (set() if listed.strip() else {letter})


def test_the_cell_of_letters_that_no_font_has_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """A musical sign stands for what no font has here; Latin, Greek, spaces and marks of direction are not even asked for."""
    catalogue, asked = demo(), []

    def lacking(wanted: set[str]) -> set[str]:
        asked.append(wanted)
        return wanted & {"\U0001f3b5"}

    monkeypatch.setattr(letters, "without_font", lacking)
    strange = replace(catalogue.pairings["P-02"], kit="Reed \U0001f3b5 箱 Ω\u00a0\u200f")
    assert letters.unprintable(catalogue) == ()
    (found,) = letters.unprintable(replace(catalogue, pairings={**catalogue.pairings, "P-02": strange}))
    assert found.place == f"Pairings!{strange.origin.cells['kit']}" and found.notice
    assert "U+1F3B5" in found.found and "箱" not in found.found
    assert asked[-1] - asked[0] == {"\U0001f3b5", "箱"}


def test_latin_greek_cyrillic_and_their_signs_are_in_every_font_to_the_last() -> None:
    """Blocks of Unicode 15: up to U+052F Cyrillic Supplement, U+1E00 to U+206F Latin Extended Additional to General Punctuation."""
    assert letters._uncommon("A\u052f\u1e00\u2060\u206f\ufe0f") == set()
    assert letters._uncommon("\u0531\u1dbf\u2070") == {"\u0531", "\u1dbf", "\u2070"}
