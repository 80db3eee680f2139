"""What is done quicker than the engine would comes out the same: words, places, tags; and nothing stays changed behind."""

from __future__ import annotations

import gc
import re
import shutil
import subprocess
import zlib
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any, cast

import pikepdf
import pydyf
import pytest
from weasyprint import HTML
from weasyprint.text.fonts import FontConfiguration

from reportgen.paper import quickening
from reportgen.paper.composing import Wish, sheet_page
from reportgen.paper.pages import SheetPage
from reportgen.paper.quickening import Pictures, paused_collection, quick_compression
from reportgen.paper.render import PDF_OPTIONS, press, written
from reportgen.paper.templates import data_url
from tests.paper.pdfs import of_kind, opened
from tests.paper.samples import STAMP, suitable

needs_poppler = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler-utils is not installed")


def page() -> SheetPage:
    return sheet_page(suitable("P-01"), STAMP, Wish(build=3))


def engine_alone() -> bytes:
    """The same page by the engine as it stands."""
    ready = press()
    html = ready.html(page())
    document = HTML(string=html).render(stylesheets=ready.styles("A4"), font_config=ready.fonts)
    return bytes(document.write_pdf(**PDF_OPTIONS))


def ours() -> bytes:
    return written(press().layout(page()))


@cache
def both() -> tuple[bytes, bytes]:
    """By the engine with its defaults and by ours, once for all tests that compare them."""
    return engine_alone(), ours()


def words(data: bytes, file: Path) -> dict[str, list[tuple[float, float]]]:
    """Where each word of the third page, the charts, stands: left and top in points (poppler's pdftotext)."""
    file.write_bytes(data)
    command = ["pdftotext", "-f", "3", "-l", "3", "-bbox", str(file), "-"]
    text = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    found: dict[str, list[tuple[float, float]]] = {}
    for left, top, word in re.findall(r'<word xMin="([\d.]+)" yMin="([\d.]+)"[^>]*>([^<]+)<', text):
        found.setdefault(word, []).append((float(left), float(top)))
    return {word: sorted(places) for word, places in found.items()}


@needs_poppler
def test_labels_stand_where_the_engine_would_set_them(tmp_path: Path) -> None:
    alone, quick = (words(data, tmp_path / "page.pdf") for data in both())
    assert "seated" in quick
    assert set(alone) == set(quick)
    for word, places in alone.items():
        assert len(places) == len(quick[word])
        for (left, top), (quick_left, quick_top) in zip(places, quick[word], strict=True):
            assert quick_left == pytest.approx(left, abs=1.0), word  # letters are kerned now, over the label
            assert quick_top == pytest.approx(top, abs=0.05), word


DRAWN = """<svg xmlns="http://www.w3.org/2000/svg" width="60" height="60" viewBox="0 0 60 60">
<path fill="none" stroke="#123456" stroke-width="1.5" stroke-dasharray="3 2" stroke-linejoin="round" stroke-linecap="round" d="M1 2L20 21.5L30 2M4 5L6 7"/>
<path fill="none" stroke="#654321" stroke-width="0.4" stroke-linejoin="bevel" stroke-linecap="square" d="M1 2L20 21.5"/>
<path fill="#abcdef" stroke="none" d="M1 2L20 21L30 2Z"/><path fill="#0a0b0c" stroke="#0d0e0f" d="M5 5L9 9L9 5ZM1 1L2 2"/><path d="M3 3L4 4Z"/>
<g font-family="Inter, sans-serif"><text x="10" y="30" font-size="7" fill="#445566">ab</text><text x="30" y="40" font-size="8" font-weight="600" text-anchor="middle" fill="#112233">ab</text>
<text x="50" y="50" font-size="7" text-anchor="end" fill="#778899">ab</text></g></svg>"""
"""A line of each kind of corner and end, what is filled, what is both, and a label for each anchor."""


Told = tuple[object, ...]


class Painted:
    """What a page paints: each path with its colours and line, each label with its colour, size and place (SVG units)."""

    def __init__(self, data: bytes) -> None:
        self.paths: list[Told] = []
        self.labels: list[Told] = []
        self.state: dict[str, Told] = {"w": (1.0,), "d": ((), 0.0), "J": (0.0,), "j": (0.0,), "left": (0.0,)}
        self.points: list[Told] = []
        self.begun = False
        with opened(data) as pdf:
            self._read(pdf.pages[0], pdf.pages[0].Resources)

    def _read(self, stream: Any, resources: Any) -> None:
        kept: list[dict[str, Told]] = []
        for operands, operator in pikepdf.parse_content_stream(stream):
            name = str(operator)
            if name == "q":
                kept.append(dict(self.state))
            elif name == "Q":
                self.state = kept.pop()
            elif name == "Do":
                form = resources.XObject[str(operands[0])]
                self._read(form, form.get("/Resources", resources))
            elif name in ("RG", "rg", "w", "d", "J", "j", "cm", "m", "l", "h", "Tm"):
                self._noted(
                    name,
                    tuple(tuple(map(float, one)) if isinstance(one, pikepdf.Array) else float(one) for one in operands),
                )
            elif name == "Tf":
                family = str(resources.Font[str(operands[0])].BaseFont).rpartition("+")[2]
                self.state[name] = (float(operands[1]), family)
            elif name in ("S", "f", "B"):
                line = [self.state[one] for one in ("RG", "w", "d", "J", "j")] if name in "SB" else []
                self.paths.append((name, *self.points, *line, *([self.state["rg"]] if name in "fB" else [])))
                self.points = []
            elif name in ("n", "BT"):
                self.points, self.begun = [], name == "BT"
            elif name == "TJ" and self.begun:  # the engine sets the letters of a label one by one: the first counts
                self.labels.append((*self.state["rg"], *self.state["Tf"], *self.state["Tm"]))
                self.begun = False

    def _noted(self, name: str, values: tuple[Any, ...]) -> None:
        if name in ("m", "l", "h"):
            moved_on = (
                name == "m" and self.points and self.points[-1][0] == "m"
            )  # the engine begins each path at its corner
            self.points = [*(self.points[:-1] if moved_on else self.points), (name, *values)]
        elif name == "cm" and -80.0 < values[4] < 0.0 == values[5]:  # and moves a label by its width
            self.state["left"] = (values[4],)
        elif name == "Tm":
            self.state[name] = (values[4] + cast(float, self.state["left"][0]), values[5])
        elif name != "cm":
            self.state[name] = values


def test_a_drawing_has_the_lines_colours_and_places_that_the_engine_gives_it() -> None:
    """Read from what both write into the page: colour of line and filling, width, dashes, corners, ends, corners of the path."""
    html = HTML(string=f'<html lang="en"><title>x</title><body><img alt="a drawing" src="{data_url(DRAWN)}">')
    alone = Painted(html.render().write_pdf())
    quick = Painted(html.render(cache=Pictures(FontConfiguration())).write_pdf())
    assert len(alone.paths) == 5 and len({str(path) for path in alone.paths}) == 5
    assert quick.paths == alone.paths
    assert len(alone.labels) == len(quick.labels) == 3
    for theirs, mine in zip(alone.labels, quick.labels, strict=True):
        assert mine[:5] == theirs[:5] and mine[5:] == pytest.approx(theirs[5:], abs=0.6)


@pytest.mark.parametrize("foot", ["of two\nlines", "with a \x0b in it", "plain & < short"])
def test_a_page_read_as_xml_is_the_page_read_as_html(foot: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """What XML does not know, or would read otherwise, is left to the engine."""
    one = replace(page(), foot=foot) if foot.startswith("plain") else replace(page(), foot=foot, annex=None)
    quick = written(press().layout(one))
    monkeypatch.setattr(quickening, "HTML_INIT", 0)
    assert written(press().layout(one)) == quick


def test_the_tags_are_the_engines() -> None:
    with opened(both()[0]) as alone, opened(both()[1]) as quick:
        for kind in ("Figure", "TH", "TD", "P", "H1", "H2", "LI"):
            assert [str(x.get("/Alt", "")) for x in of_kind(alone, kind)] == [
                str(x.get("/Alt", "")) for x in of_kind(quick, kind)
            ]


def test_the_file_is_no_larger() -> None:
    assert len(both()[1]) < len(both()[0])


def test_nothing_stays_changed_even_after_an_error() -> None:
    before = gc.isenabled()
    with pytest.raises(ValueError, match="in between"), paused_collection(), quick_compression():
        assert not gc.isenabled()
        assert pydyf.zlib is not zlib
        raise ValueError("in between")
    assert gc.isenabled() == before
    assert pydyf.zlib is zlib


def test_another_version_of_the_engine_goes_its_own_way(monkeypatch: pytest.MonkeyPatch) -> None:
    def changed(*_: object) -> None:
        raise AttributeError("this version has no such thing")

    quickening.understood.cache_clear()
    monkeypatch.setattr(quickening, "_type", changed)
    monkeypatch.setattr(pydyf, "zlib", object(), raising=False)
    try:
        assert not quickening.understood()
        with quick_compression():
            assert pydyf.zlib is not zlib
        monkeypatch.undo()
        assert ours() == engine_alone_quickly_compressed()
    finally:
        quickening.understood.cache_clear()
    assert quickening.understood()


def engine_alone_quickly_compressed() -> bytes:
    with quick_compression():
        return engine_alone()
