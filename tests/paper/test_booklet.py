"""The catalogue: one file with every sheet, pages that the index names rightly, links, bookmarks, tags."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from reportgen.paper import booklet
from reportgen.paper.booklet import render_booklet
from reportgen.paper.composing import anchor_of
from reportgen.paper.render import render_sheet
from tests.paper.pdfs import bookmarks, of_kind, opened
from tests.paper.samples import STAMP, assessed, suitable, with_remedies


def few() -> list[Any]:
    return [(found, STAMP) for found in (suitable("P-06"), suitable("P-01"), with_remedies())]


@cache
def catalogue() -> tuple[bytes, dict[str, bytes]]:
    single: dict[str, bytes] = {}
    (file,) = render_booklet(few(), "Spring 2027", STAMP, each=single.__setitem__)
    return file, single


def destinations(pdf: Any) -> dict[str, int]:
    """Named targets -> page number, counted from 1."""
    numbers = {page.obj.objgen: index for index, page in enumerate(pdf.pages, 1)}
    names = pdf.Root.Names.Dests.Names
    return {str(names[i]): numbers[names[i + 1][0].objgen] for i in range(0, len(names), 2)}


def test_every_sheet_is_in_it_with_its_bookmarks() -> None:
    with opened(catalogue()[0]) as pdf:
        titles = bookmarks(pdf)
        assert titles[0] == "Spring 2027"
        for kit in ("Reedmace", "Reedmace light", "Sedge"):
            assert kit in titles
        assert titles.count("Annex: checks") == 3


def test_the_index_names_and_links_the_right_pages() -> None:
    with opened(catalogue()[0]) as pdf:
        targets = destinations(pdf)
        page = next(p for p in pdf.pages if any(a.get("/Subtype") == "/Link" for a in p.get("/Annots", [])))
        linked = {str(a.Dest) if "/Dest" in a else str(a.A.D) for a in page.Annots}
        assert {anchor_of(found.id) for found, _ in few()} == linked
        front = next(i for i, p in enumerate(pdf.pages, 1) if i > 1 and i == min(targets[name] for name in linked))
        lengths = {found.id: len(opened(catalogue()[1][found.id]).pages) for found, _ in few()}
        first = front
        for id_ in ("P-01", "P-03", "P-06"):  # in the order of their kits: Reedmace, Reedmace light, Sedge
            assert targets[anchor_of(id_)] == first
            first += lengths[id_]
        assert first - 1 == len(pdf.pages)


def test_page_numbers_in_the_index_are_those_of_the_targets() -> None:
    found = [one for one, _ in few()]
    page = booklet.catalogue_page(found, [5, 10, 13], "Spring 2027", "", STAMP)
    assert [(row.id, row.page, row.link) for row in page.index] == [
        ("P-06", "5", "#sheet-P-06"), ("P-01", "10", "#sheet-P-01"), ("P-03", "13", "#sheet-P-03"),
    ]  # fmt: skip


def test_tags_survive_the_gathering() -> None:
    with opened(catalogue()[0]) as pdf:
        assert pdf.Root.MarkInfo.Marked
        figures = of_kind(pdf, "Figure")
        assert len(figures) > 20
        assert all(str(figure.get("/Alt", "")) for figure in figures)
        assert len(of_kind(pdf, "H1")) == 4  # the cover and three sheets


def test_single_sheets_come_from_the_same_layout_and_are_the_usual_ones() -> None:
    assert catalogue()[1]["P-01"] == render_sheet(suitable("P-01"), STAMP)


def test_a_large_season_comes_in_volumes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(booklet, "VOLUME", 1)
    files = list(render_booklet(few()[:2], "Spring 2027", STAMP))
    assert len(files) == 2
    with opened(files[1]) as pdf:
        assert str(pdf.docinfo.Title) == "Spring 2027 Volume 2 of 2"
        assert assessed("P-06").case.pairing.kit in bookmarks(pdf)
