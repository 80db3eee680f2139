"""The room that a sheet takes is guessed well enough that its first layout is mostly its last, and wrong guesses do no harm."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from reportgen.paper import render
from reportgen.paper.composing import Wish, sheet_page
from reportgen.paper.fitting import HEIGHT, annex_pages, build_height, closing_saves, fitted, front_height
from reportgen.paper.pages import SheetPage
from reportgen.paper.render import Press, press, sheet_document
from tests.paper.samples import STAMP, assessed, many_parts
from tests.trying import LONG

SOME = ("P-03", "P-07", "P-12", "P-16", "P-20", "P-24")
"""Fronts that must be set tight, few parts and many, annexes just over two pages."""


EACH: tuple[tuple[render.Paper, render.Paper], ...] = (("A4", "A4"), ("Letter", "Letter"), ("A4", "Letter"))
"""The papers of every other sheet: in every suite the last, with REPORTGEN_LONG=1 all of them on both."""


@pytest.fixture
def laid_out(monkeypatch: pytest.MonkeyPatch) -> list[SheetPage]:
    """Every page that is laid out, in turn."""
    pages: list[SheetPage] = []
    layout = Press.layout

    def noted(self: Press, page: Any, paper: Any = "A4") -> Any:
        pages.append(page)
        return layout(self, page, paper)

    monkeypatch.setattr(Press, "layout", noted)
    return pages


@pytest.mark.parametrize("papers", EACH if LONG else EACH[2:])
def test_one_layout_is_the_rule(laid_out: list[SheetPage], papers: tuple[render.Paper, render.Paper]) -> None:
    for number, id_ in enumerate(SOME):
        sheet_document(press(), assessed(id_), STAMP, papers[number % 2])
    parts = [page.part for page in laid_out]
    assert parts.count("sides") <= len(SOME) + 1
    assert parts.count("annex") <= len(SOME) + 2


def test_a_wrong_guess_is_laid_out_again(monkeypatch: pytest.MonkeyPatch, laid_out: list[SheetPage]) -> None:
    monkeypatch.setattr(render, "fitted", lambda page, wish, paper: Wish(wish.inches, wish.annex, "roomy", 0))
    monkeypatch.setattr(render, "annex_pages", lambda block, paper: 2.1)
    document = sheet_document(press(), assessed("P-16"), STAMP, "Letter")
    assert len([page for page in laid_out if page.part == "sides"]) > 1
    assert f"{laid_out[0].anchor}-build" in document.pages[1].anchors
    assert f"{laid_out[0].anchor}-annex" in document.pages[2].anchors


def test_what_is_said_takes_room() -> None:
    """More text never makes a side shorter, smaller type never longer."""
    page = sheet_page(assessed("P-01"), STAMP)
    long = sheet_page(many_parts(20), STAMP)
    assert page.build is not None and page.annex is not None and long.build is not None
    heights = [front_height(page, front) for front in ("roomy", "", "dense")]
    assert heights == sorted(heights, reverse=True)
    assert build_height(page.build, 0) > build_height(page.build, 1) >= build_height(page.build, 3)
    assert build_height(long.build, 1) > build_height(page.build, 1)
    assert annex_pages(page.annex, "Letter") > annex_pages(page.annex, "A4") > 1.0
    assert fitted(long, Wish(), "A4").build == 3
    assert HEIGHT["A4"] > HEIGHT["Letter"]
    refused = sheet_page(assessed("P-07"), STAMP)  # what does not fit its baffle shows it on the front
    assert refused.baffle is not None and refused.baffle.picture is not None
    for front in ("roomy", "", "dense"):
        alone = front_height(replace(refused, baffle=None, drivers=()), front)
        assert front_height(refused, front) > alone + refused.baffle.picture.height


def test_the_last_page_is_saved_only_where_little_stands_on_it() -> None:
    assert closing_saves(2.1) and not closing_saves(2.3) and not closing_saves(2.0)
    assert closing_saves(2.24, doubt=0.03) and closing_saves(1.99, doubt=0.03) is False
