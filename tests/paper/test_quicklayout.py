"""What is replaced inside the page engine gives its very bytes; it is left alone where the engine reads otherwise, and put back."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from weasyprint.text import line_break

from reportgen.assessment import Assessment
from reportgen.paper import quicklayout, render
from reportgen.paper.quicklayout import Quick, checksum, quick_layout, replaced
from reportgen.paper.render import Press, render_sheet, written
from tests.paper.samples import STAMP, VARIANTS, renamed


def soft_hyphens() -> Assessment:
    """Names that may be broken, with lines of their own and a tabulator."""
    return renamed("Wald\u00adschnepfen\u00adlautsprecher " * 6, "Quer\u00adstrebe\u00ad" * 40)


CASES: dict[str, Callable[[], Assessment]] = {
    **{name: VARIANTS[name] for name in ("conditions", "remedies", "column", "right to left", "ideographs", "long names")},
    "soft hyphens": soft_hyphens,
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_the_bytes_are_the_engines(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    found = CASES[name]()
    quick = render_sheet(found, STAMP)
    monkeypatch.setattr(quicklayout, "replaced", tuple)
    assert render_sheet(found, STAMP) == quick


def test_a_long_document_keeps_only_some_lines_set_up(monkeypatch: pytest.MonkeyPatch) -> None:
    found = VARIANTS["conditions"]()
    whole = render_sheet(found, STAMP)
    monkeypatch.setattr(quicklayout, "MOST_KEPT", 50)
    assert render_sheet(found, STAMP) == whole


def test_this_version_of_the_engine_is_known() -> None:
    names = {name for _, name, _, _ in replaced()}
    if not names:
        pytest.skip("another version of the engine: it goes its own way")
    assert {"setup", "resolve_percentages", "_to_bytes", "page_references"} <= names


def test_what_reads_otherwise_is_left_alone() -> None:
    theirs = line_break.strut
    assert Quick(line_break, "strut", checksum(theirs), lambda f: f).known()
    assert not Quick(line_break, "strut", checksum(theirs) + 1, lambda f: f).known()
    assert not Quick(line_break, "gone in another version", 0, lambda f: f).known()


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
