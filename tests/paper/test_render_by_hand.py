"""How often a sheet is laid out and what of it: with an engine that only counts pages, so that each case is told by hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from reportgen.paper import render
from reportgen.paper.pages import SheetPage
from reportgen.paper.render import _before, _filled, as_paper, sheet_document
from reportgen.problems import ReportgenError
from tests.every import every
from tests.paper.samples import STAMP, assessed, with_remedies

PIXELS = {"A4": 297.0 / 25.4 * 96.0, "Letter": 11.0 * 96.0}
"""Height of a page in CSS pixels, 96 an inch."""


class Laid:
    """Pages with the targets that stand on them."""

    def __init__(self, pages: list[dict[str, tuple[float, float]]], paper: str = "A4", name: str = "") -> None:
        self.pages = [SimpleNamespace(anchors=anchors, height=PIXELS[paper], name=name) for anchors in pages]

    def copy(self, pages: list[Any]) -> Laid:
        whole = Laid([])
        whole.pages = pages
        return whole


class Counting:
    """An engine that takes for each page what it is told to, and keeps what it was given."""

    def __init__(self, sides: Callable[[SheetPage], tuple[int, int]], annex: Callable[[SheetPage], float]) -> None:
        self.sides, self.annex, self.given = sides, annex, list[SheetPage]()

    def layout(self, page: SheetPage, paper: str) -> Laid:
        self.given.append(page)
        if page.part == "annex":
            filled = self.annex(page)
            whole = int(-(-filled // 1))
            share = filled - whole + 1.0
            end = {f"{page.anchor}-end": (0.0, place(share, paper))}
            return Laid([*([{}] * (whole - 1)), end], paper, "annex")
        front, build = self.sides(page)
        return Laid([*([{}] * front), *([{f"{page.anchor}-build": (0.0, 0.0)}] if build else []), *([{}] * (build - 1))], paper, "sides")  # fmt: skip


def place(share: float, paper: str) -> float:
    """How far down a page (CSS pixels) so much of the height between its margins ends; above and below are as wide."""
    points = PIXELS[paper] * 0.75
    return ((points - render.HEIGHT[paper]) / 2.0 + share * render.HEIGHT[paper]) / 0.75


def one_page_each(_: SheetPage) -> tuple[int, int]:
    return 1, 1


def half(_: SheetPage) -> float:
    return 1.5


@every(("paper", "unit"), [("A4", "mm"), ("Letter", "mm (inches)")])
@every(("pages", "parts"), [("all", ["sides", "annex"]), ("sheet", ["sides"])])
def test_a_sheet_is_in_the_units_of_its_paper_and_has_its_annex_where_it_is_wanted(
    monkeypatch: pytest.MonkeyPatch, paper: Any, unit: str, pages: Any, parts: list[str]
) -> None:
    monkeypatch.setattr(render, "annex_pages", lambda block, paper: 1.5)
    engine = Counting(one_page_each, half)
    document = sheet_document(engine, assessed("P-01"), STAMP, paper, pages)  # type: ignore[arg-type]
    assert [page.part for page in engine.given] == parts
    assert all(page.build is not None and page.build.baffle.unit == unit for page in engine.given)
    assert [one.name for one in document.pages] == ["sides"] * 2 + ["annex"] * 2 * (pages == "all")


def test_what_runs_over_is_laid_out_again_until_it_fits_or_nothing_can_be_done(monkeypatch: pytest.MonkeyPatch) -> None:
    """The style tells how it is set: from the usual to the dense front, to the dense build side; then as it is."""
    monkeypatch.setattr(render, "fitted", lambda page, wish, paper: wish)

    def needs(front: str, build: str) -> list[str]:
        engine = Counting(lambda page: (1 if front in page.style else 2, 1 if build in page.style else 2), half)
        sheet_document(engine, assessed("P-01"), STAMP, "A4", "sheet")  # type: ignore[arg-type]
        return [page.style for page in engine.given]

    assert needs("", "") == [""]
    assert needs("dense-front", "") == ["", "dense-front"]
    assert needs("", "dense-build") == ["", "dense-build"]
    assert needs("dense-front", "dense-build") == ["", "dense-front dense-build"]
    assert needs("nothing", "") == ["", "dense-front"]  # no tighter front where there is a build side
    unbuilt = Counting(lambda page: (1 if page.baffle or page.style == "dense-front" else 2, 0), half)
    sheet_document(unbuilt, with_remedies(), STAMP, "A4", "sheet")  # type: ignore[arg-type]
    assert [page.style for page in unbuilt.given] == ["", "dense-front"]


@every(
    ("guess", "usual", "close", "laid", "pages"),
    [
        (1.5, 1.5, 1.4, [False], 2),  # little is saved
        (2.05, 2.05, 1.9, [True], 2),  # guessed that its smallest type saves a page, and so it does
        (2.05, 2.05, 2.02, [True, False], 3),  # guessed wrong: the usual one takes no more
        (2.05, 1.9, 1.75, [True, False], 2),  # it would have fitted in any case
        (1.5, 2.05, 1.9, [False, True], 2),  # not guessed, but seen
        (1.5, 2.5, 2.3, [False], 3),
    ],
)
def test_an_annex_is_set_closer_only_where_that_saves_its_last_page(
    monkeypatch: pytest.MonkeyPatch, guess: float, usual: float, close: float, laid: list[bool], pages: int
) -> None:
    monkeypatch.setattr(render, "annex_pages", lambda block, paper: guess)
    engine = Counting(one_page_each, lambda page: close if "dense-annex" in page.style else usual)
    document = sheet_document(engine, assessed("P-01"), STAMP, "A4")  # type: ignore[arg-type]
    assert ["dense-annex" in page.style for page in engine.given if page.part == "annex"] == laid
    assert len(document.pages) == 2 + pages


@every("paper", ["A4", "Letter"])
def test_how_far_the_last_page_is_filled(paper: Any) -> None:
    """Down to its end between the margins, which are as wide above as below; whole where the end is nowhere."""
    for share in (0.0, 0.25, 1.0):
        document = Laid([{}, {"end": (0.0, place(share, paper))}], paper)
        assert _filled(document, "end", paper) == pytest.approx(1.0 + share)  # type: ignore[arg-type]
    assert _filled(Laid([{}, {}, {}], paper), "end", paper) == 3.0  # type: ignore[arg-type]
    assert _filled(Laid([{"end": (0.0, 1.0)}, {}], paper), "end", paper) == 2.0  # type: ignore[arg-type]


def test_pages_before_a_target() -> None:
    document = Laid([{}, {"a": (0.0, 0.0)}, {"b": (0.0, 0.0)}])
    assert [_before(document, name) for name in "abc"] == [1, 2, 3]  # type: ignore[arg-type]


def test_paper_is_one_of_two() -> None:
    assert [as_paper(name) for name in ("A4", "Letter")] == ["A4", "Letter"]
    with pytest.raises(ReportgenError, match="Paper size A5 was asked for; it must be A4 or Letter"):
        as_paper("A5")


def test_an_annex_that_is_wanted_close_is_composed_of_the_same_words() -> None:
    engine = Counting(one_page_each, lambda page: 2.05 if "dense-annex" not in page.style else 1.9)
    sheet_document(engine, assessed("P-01"), STAMP, "A4")  # type: ignore[arg-type]
    annexes = [page for page in engine.given if page.part == "annex"]
    assert all(replace(page, style="") == replace(annexes[0], style="") for page in annexes)
    assert {page.style.removesuffix("dense-annex").strip() for page in annexes} == {annexes[0].style.removesuffix("dense-annex").strip()}  # fmt: skip
