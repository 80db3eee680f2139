"""Letters of many scripts print, or the cell that holds them is named."""

from __future__ import annotations

import shutil
import subprocess
import sys
from dataclasses import replace

import pytest

from reportgen.commands import letters
from reportgen.paper.engine import without_font
from tests.demo_catalogue import demo

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="fonts are taken for granted there")


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
