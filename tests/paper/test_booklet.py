"""The catalogue: one file with every sheet, pages that the index names rightly, links, bookmarks, tags."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from reportgen.paper import booklet
from reportgen.paper.booklet import render_booklet
from reportgen.paper.composing import anchor_of
from reportgen.paper.pages import CataloguePage
from reportgen.paper.render import render_sheet
from tests.every import every
from tests.paper.pdfs import bookmarks, of_kind, opened
from tests.paper.samples import STAMP, assessed, bound, catalogue, suitable


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
        assert {anchor_of(found.id) for found, _ in bound()} == linked
        front = next(i for i, p in enumerate(pdf.pages, 1) if i > 1 and i == min(targets[name] for name in linked))
        lengths = {found.id: len(opened(catalogue()[1][found.id]).pages) for found, _ in bound()}
        first = front
        for id_ in ("P-01", "P-03", "P-06"):  # in the order of their kits: Reedmace, Reedmace light, Sedge
            assert targets[anchor_of(id_)] == first
            first += lengths[id_]
        assert first - 1 == len(pdf.pages)


def test_page_numbers_in_the_index_are_those_of_the_targets() -> None:
    found = [one for one, _ in bound()]
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
    files = list(render_booklet(bound()[:2], "Spring 2027", STAMP))
    assert len(files) == 2
    with opened(files[1]) as pdf:
        assert str(pdf.docinfo.Title) == "Spring 2027 Volume 2 of 2"
        assert assessed("P-06").case.pairing.kit in bookmarks(pdf)


class Laid:
    """A document of so many pages, each a name."""

    def __init__(self, name: str, count: int) -> None:
        self.pages = [f"{name} {n}" for n in range(1, count + 1)]

    def copy(self, pages: list[str]) -> list[str]:
        return pages


class Pressing:
    """A press whose front takes a page for every `rows` sheets in its index, and two more."""

    def __init__(self, rows: int) -> None:
        self.rows, self.fronts = rows, list[CataloguePage]()

    def layout(self, page: CataloguePage, paper: str) -> Laid:
        self.fronts.append(page)
        return Laid("front", 2 - (-len(page.index) // self.rows))


def gathered(
    monkeypatch: pytest.MonkeyPatch, found: list[Any], rows: int, volume: int = 40, pages: Any = "all"
) -> tuple[list[list[str]], Pressing, list[str]]:
    """The pages of each volume, the press, and the IDs of the single sheets; a sheet takes a page more than the number of its pairing."""
    chosen, single = Pressing(rows), list[str]()
    monkeypatch.setattr(booklet, "press", lambda _: chosen)
    monkeypatch.setattr(booklet, "sheet_document", lambda _, one, own, paper, which: Laid(one.id, int(one.id[2:]) + 1 if which == "all" else 2))  # fmt: skip
    monkeypatch.setattr(booklet, "written", lambda pages: pages)
    monkeypatch.setattr(booklet, "VOLUME", volume)
    files = render_booklet(
        [(one, STAMP) for one in found], "Spring", STAMP, each=lambda id_, _: single.append(id_), pages=pages
    )
    return list(files), chosen, single  # type: ignore[arg-type]


def named(number: int, kit: str | None) -> Any:
    found = suitable("P-01")
    return replace(found, case=replace(found.case, pairing=replace(found.case.pairing, id=f"P-{number}", kit=kit)))


@every(("rows", "own"), [(9, 3), (4, 4), (2, 5), (1, 7)])
def test_the_index_names_the_page_on_which_each_sheet_begins(
    monkeypatch: pytest.MonkeyPatch, rows: int, own: int
) -> None:
    """However long the front is, five sheets of 2 to 6 pages begin where the sum of what stands before them ends."""
    found = [named(number, f"kit {number}") for number in (1, 2, 3, 4, 5)]
    (pages,), chosen, single = gathered(monkeypatch, found, rows)
    front = chosen.fronts[-1]
    assert pages[:own] == [f"front {n}" for n in range(1, own + 1)] and pages[own] == "P-1 1"
    assert [pages[int(row.page) - 1] for row in front.index] == [f"{row.id} 1" for row in front.index]
    assert single == ["P-1", "P-2", "P-3", "P-4", "P-5"] and len(pages) == own + 20


def test_sheets_stand_by_their_kits_whatever_their_letters_and_nameless_ones_by_their_ids(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    found = [named(4, "sedge"), named(3, "Reed"), named(2, "reed"), named(1, None), named(5, "Oak"), named(6, "Reed")]
    files, chosen, _ = gathered(monkeypatch, found, 9)
    assert [row.id for row in chosen.fronts[-1].index] == ["P-5", "P-1", "P-2", "P-3", "P-6", "P-4"]
    assert len(files) == 1 and chosen.fronts[-1].volume == "" and chosen.fronts[-1].title == "Spring"


@every(("count", "volumes"), [(2, [2]), (3, [2, 1]), (4, [2, 2])])
def test_a_volume_has_so_many_sheets_and_says_which_it_is(
    monkeypatch: pytest.MonkeyPatch, count: int, volumes: list[int]
) -> None:
    found = [named(number, f"kit {number}") for number in range(1, count + 1)]
    files, chosen, _ = gathered(monkeypatch, found, 9, volume=2)
    fronts = {page.volume: page for page in chosen.fronts}
    assert [len(page.index) for page in fronts.values()] == volumes and len(files) == len(volumes)
    several = len(volumes) > 1
    assert list(fronts) == [f"Volume {n} of {len(volumes)}" if several else "" for n in range(1, len(volumes) + 1)]
    first = next(iter(fronts.values()))
    assert first.tally == "2 pairings: 2 suitable with conditions" and first.subject == "2 pairings of Spring"
    assert first.season == "Spring" and [fact.label for fact in first.stamp] == ["Revision", "Date", "Run", "Inputs"]


def test_a_catalogue_without_annexes_has_the_two_sides_of_each_sheet(monkeypatch: pytest.MonkeyPatch) -> None:
    found = [named(number, f"kit {number}") for number in (1, 2, 3)]
    (pages,), chosen, _ = gathered(monkeypatch, found, 9, pages="sheet")
    assert len(pages) == 3 + 6 and [row.page for row in chosen.fronts[-1].index] == ["4", "6", "8"]


def test_the_foot_of_a_catalogue_cuts_a_long_season_to_its_room(monkeypatch: pytest.MonkeyPatch) -> None:
    """165 points of 7 point letters; what runs from right to left is kept apart from what follows."""
    found = [named(1, "kit")]
    page = booklet.catalogue_page(found, [4], "n" * 90, "", STAMP)
    assert page.foot.split(" · ")[0].endswith("n…") and len(page.foot.split(" · ")[0]) < 60
    turned = booklet.catalogue_page(found, [4], "רמקול", "", STAMP)
    assert turned.foot.startswith("\u2068רמקול\u2069 · rev 3 · 2026-11-25 · run 007")
