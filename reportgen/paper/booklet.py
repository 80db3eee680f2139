"""The catalogue of a season: cover, index, comparison, every sheet, as one tagged PDF with links and bookmarks.

Knows how laid-out pages are gathered without laying any of them out twice. Refuses to know what a sheet says.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import accumulate
from typing import TYPE_CHECKING, Any

from reportgen.paper import wording
from reportgen.paper.composing import FOOT_NAME, FOOT_SIZE, anchor_of, foot_words, maker_block, stamp_facts
from reportgen.paper.lettering import apart, shortened
from reportgen.paper.overviews import STRIP, range_row, shared_axis, tally_of
from reportgen.paper.pages import CataloguePage
from reportgen.paper.printing import Pages, Stamp
from reportgen.paper.rangepicture import axis_strip
from reportgen.paper.render import Paper, Press, as_paper, press, sheet_document, written
from reportgen.paper.templates import Templates

if TYPE_CHECKING:
    from weasyprint import Document  # type: ignore[import-untyped]

    from reportgen.assessment import Assessment, Overview

VOLUME = 40
"""Sheets in one file: a laid-out sheet takes about 9 MB until the file is written."""

Sheets = Sequence[tuple["Overview", Stamp]]
Whole = Callable[[Any], "Assessment"]


def _as_it_is(found: Any) -> Any:
    return found


def render_booklet(
    sheets: Sheets,
    season: str,
    stamp: Stamp,
    templates: Templates = None,
    paper: str = "A4",
    each: Callable[[str, bytes], None] | None = None,
    pages: Pages = "all",
    whole: Whole = _as_it_is,
) -> Iterator[bytes]:
    """The catalogue as PDF, one file for every 40 sheets, one after the other to spare memory.

    Sheets stand in the order of kit, then ID. `stamp` is the catalogue's own. `each` gets every pairing's ID and its
    single sheet, written from the same layout. `pages` is "sheet" for the two sides alone, "all" for the annex as well.
    `whole` fetches the assessment of an outline when its sheet is laid out.
    """
    chosen, size = press(templates), as_paper(paper)
    ordered = sorted(sheets, key=lambda s: ((s[0].case.pairing.kit or s[0].id).casefold(), s[0].id))
    volumes = [ordered[start : start + VOLUME] for start in range(0, len(ordered), VOLUME)]
    for number, volume in enumerate(volumes, 1):
        title = f"Volume {number} of {len(volumes)}" if len(volumes) > 1 else ""
        yield _volume(chosen, size, volume, season, title, stamp, each, pages, whole)


def _volume(
    chosen: Press, paper: Paper, sheets: Sheets, season: str, volume: str, stamp: Stamp,
    each: Callable[[str, bytes], None] | None, which: Pages, whole: Whole,
) -> bytes:  # fmt: skip
    documents = []
    for found, own in sheets:
        document = sheet_document(chosen, whole(found), own, paper, which)
        documents.append(document)
        if each is not None:
            each(found.id, written(document))
    front = _front(chosen, paper, [found for found, _ in sheets], documents, season, volume, stamp)
    pages = [page for document in (front, *documents) for page in document.pages]
    return written(front.copy(pages))


def _front(
    chosen: Press, paper: Paper, found: Sequence[Overview], documents: Iterable[Document], season: str,
    volume: str, stamp: Stamp,
) -> Document:  # fmt: skip
    """Cover, index and comparison, whose own length shifts the pages they name."""
    lengths = [len(document.pages) for document in documents]
    own = 3
    while True:
        firsts = [own + 1 + before for before in accumulate(lengths, initial=0)]
        front = chosen.layout(catalogue_page(found, firsts, season, volume, stamp), paper)
        if len(front.pages) <= own:
            return front
        own = len(front.pages)


def catalogue_page(
    found: Sequence[Overview], firsts: Sequence[int], season: str, volume: str, stamp: Stamp
) -> CataloguePage:
    """The front matter of a catalogue; `firsts` is the page on which each sheet begins."""
    axis = shared_axis(found)
    maker = found[0].case.maker
    return CataloguePage(
        lang="en",
        title=f"{season} {volume}".strip(),
        subject=f"{wording.counted(len(found), 'pairing')} of {season}",
        maker=maker_block(maker, stamp.logo),
        stamp=stamp_facts(stamp),
        foot=foot_words(stamp, apart(shortened(season, FOOT_SIZE, FOOT_NAME))),
        season=season,
        volume=volume,
        tally=f"{wording.counted(len(found), 'pairing')}: {tally_of(a.verdict.word for a in found)}",
        axis=axis_strip(axis, STRIP),
        index=tuple(
            range_row(a, axis, link=f"#{anchor_of(a.id)}", page=str(first))
            for a, first in zip(found, firsts, strict=False)
        ),
    )
