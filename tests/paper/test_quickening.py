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

import pydyf
import pytest
from weasyprint import HTML

from reportgen.paper import quickening
from reportgen.paper.composing import Wish, sheet_page
from reportgen.paper.pages import SheetPage
from reportgen.paper.quickening import paused_collection, quick_compression
from reportgen.paper.render import PDF_OPTIONS, press, written
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


@pytest.mark.parametrize("foot", ["of two\nlines", "with a \x0b in it", "plain & < short"])
def test_a_page_read_as_xml_is_the_page_read_as_html(foot: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """What XML does not know, or would read otherwise, is left to the engine."""
    one = replace(page(), foot=foot)
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
