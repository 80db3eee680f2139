"""What is replaced inside the page engine gives its very bytes; it is left alone where the engine reads otherwise, and put back."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from weasyprint import HTML
from weasyprint.layout import inline
from weasyprint.text import line_break
from weasyprint.text.fonts import FontConfiguration

from reportgen.assessment import Assessment
from reportgen.paper import quicklayout, render
from reportgen.paper.quicklayout import Quick, checksum, quick_layout, replaced
from reportgen.paper.render import Press, render_sheet, written
from tests.paper.samples import STAMP, VARIANTS, printed, renamed


def soft_hyphens() -> Assessment:
    """Names that may be broken, with lines of their own and a tabulator."""
    return renamed("Wald\u00adschnepfen\u00adlautsprecher " * 3, "Quer\u00adstrebe\u00ad" * 12)


CASES: dict[str, Callable[[], Assessment]] = {
    **{name: VARIANTS[name] for name in ("conditions", "remedies", "column", "right to left", "ideographs", "long names")},
    "soft hyphens": soft_hyphens,
}  # fmt: skip

WITH_ANNEX = ("conditions", "right to left", "long names")
"""Laid out with curves and checks too; of the others the sides, where their names stand."""


@pytest.mark.parametrize("name", CASES)
def test_the_bytes_are_the_engines(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    found, pages = CASES[name](), "all" if name in WITH_ANNEX else "sheet"
    quick = printed(name, "A4", pages) if name in VARIANTS else render_sheet(found, STAMP, pages=pages)
    monkeypatch.setattr(quicklayout, "replaced", tuple)
    assert render_sheet(found, STAMP, pages=pages) == quick


def test_a_long_document_keeps_only_some_lines_set_up(monkeypatch: pytest.MonkeyPatch) -> None:
    found = VARIANTS["conditions"]()
    whole = render_sheet(found, STAMP, pages="sheet")
    monkeypatch.setattr(quicklayout, "MOST_KEPT", 50)
    assert render_sheet(found, STAMP, pages="sheet") == whole


def test_lines_are_remembered_from_sheet_to_sheet_and_only_so_many(monkeypatch: pytest.MonkeyPatch) -> None:
    """The lines of other sheets change no byte, whichever of them are still remembered; the last sheet's are, up to the bound."""
    sheets = [VARIANTS[name]() for name in ("conditions", "remedies")]
    render_sheet(sheets[0], STAMP, pages="sheet")
    remembered = render.press().fonts.__dict__.get("quick_lines")
    if remembered is None:
        pytest.skip("another version of the engine: it goes its own way")
    after_others = [render_sheet(one, STAMP, pages="sheet") for one in sheets]
    remembered.clear()
    assert [render_sheet(one, STAMP, pages="sheet") for one in sheets] == after_others
    remembered.clear()
    monkeypatch.setattr(quicklayout, "LINES", 40)
    assert [render_sheet(one, STAMP, pages="sheet") for one in sheets] == after_others and len(remembered) == 40
    texts = {key[0] for key in remembered}
    assert "Suitable" not in texts and any(
        "EUR" in text for text in texts
    )  # the front came first, prices of the ladder last


def test_a_dictionary_of_hyphens_and_what_is_spaced_out_is_left_to_the_engine(monkeypatch: pytest.MonkeyPatch) -> None:
    text, fonts = "Loudspeakers " * 30, FontConfiguration()
    page = f'<html lang="en"><style>p {{ width: 160px; HOW }}</style><p>{text}</p></html>'

    def lines(how: str) -> list[bytes]:
        whole = page.replace("HOW", how)
        with quick_layout():
            return [HTML(string=whole).write_pdf(font_config=fonts) for _ in range(2)]

    ways = (
        "hyphens: auto",
        "text-align: justify",
        "letter-spacing: 1px",
        "text-decoration: underline",
        "white-space: pre-wrap",
    )
    quick = [lines(way) for way in ways]
    monkeypatch.setattr(quicklayout, "replaced", tuple)
    assert [lines(way) for way in ways] == quick
    assert len({once for once, _ in quick}) == len(ways)


def test_this_version_of_the_engine_is_known() -> None:
    names = {name for _, name, _, _ in replaced()}
    if not names:
        pytest.skip("another version of the engine: it goes its own way")
    assert names == {
        "setup", "create_layout", "deactivate", "reactivate", "split_first_line", "_font_style_cache_key", "__missing__", "resolve_percentages",
        "get_next_linebox", "is_in_normal_flow", "layout_box_backgrounds", "_harfbuzz_subset", "_to_bytes", "page_references",
    }  # fmt: skip


def test_what_reads_otherwise_is_left_alone() -> None:
    theirs = line_break.strut
    assert Quick(line_break, "strut", checksum(theirs), lambda f: f).known()
    assert not Quick(line_break, "strut", checksum(theirs) + 1, lambda f: f).known()
    assert not Quick(line_break, "gone in another version", 0, lambda f: f).known()
    assert Quick(line_break, "strut", checksum(theirs), lambda f: f, (("strut", checksum(theirs)),)).known()
    assert not Quick(line_break, "strut", checksum(theirs), lambda f: f, (("gone in another version", 0),)).known()


def test_everything_is_put_back_even_after_an_error() -> None:
    before = [getattr(owner, name) for owner, name, _, _ in replaced()]
    with pytest.raises(ValueError, match="in between"), quick_layout():
        assert [getattr(owner, name) for owner, name, _, _ in replaced()] != before
        raise ValueError("in between")
    assert [getattr(owner, name) for owner, name, _, _ in replaced()] == before


def test_pages_laid_out_together_with_others_come_out_alike() -> None:
    """A booklet lays out many sheets before it writes any."""
    one, other = Press(), Press()
    pages = [render.sheet_page(VARIANTS[name](), STAMP, part="sides") for name in ("conditions", "column")]
    alone = [written(one.layout(page)) for page in pages]
    documents = [other.layout(page) for page in pages]
    assert [written(document) for document in documents] == alone


def test_lines_of_nothing_but_text_never_ask_the_engine_and_others_do(monkeypatch: pytest.MonkeyPatch) -> None:
    """Else a sheet would come out the same, only slower, without a word."""
    theirs, asked, fonts = inline.get_next_linebox, list[object](), FontConfiguration()

    def counted(*given: object) -> object:
        asked.append(given)
        return theirs(*given)

    monkeypatch.setattr(inline, "get_next_linebox", quicklayout._get_next_linebox(counted))
    for body, alone in (("<p>one two</p>", True), ("<p>one <b>two</b></p>", False), ("<p dir=rtl>one two</p>", False)):
        asked.clear()
        HTML(string=f"<style>* {{ direction: inherit }} [dir] {{ direction: rtl }}</style>{body}").render(
            font_config=fonts
        )
        assert (not asked) is alone, body
