"""From a page to paper: templates filled, laid out and written as tagged PDF.

Knows how the engine is kept warm in one process. Refuses to know what a page says, to fetch anything, and to run in
threads (the engine is not safe there: use processes).
"""

from __future__ import annotations

import logging
import re
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING, Literal, cast

from reportgen.paper.composing import Wish, annex_page, first_wish, set_again, sheet_page, tighter
from reportgen.paper.engine import engine_needed
from reportgen.paper.fitting import CLOSER, DOUBT, HEIGHT, annex_pages, closing_saves, fitted
from reportgen.paper.own import Own, own_templates
from reportgen.paper.pages import SheetPage
from reportgen.paper.printing import Pages, Stamp
from reportgen.paper.sandbox import PAGE_S, time_limit
from reportgen.paper.templates import SHEET, Templates, environment, faults_named, filled
from reportgen.paper.templates import Page as Page
from reportgen.paper.templates import templates_folder as templates_folder
from reportgen.problems import PageFailed, ReportgenError

with engine_needed():
    from reportgen.paper import enginestart as enginestart  # isort: split

    from weasyprint import CSS, HTML, LOGGER, Document  # type: ignore[import-untyped]
    from weasyprint.text.ffi import ffi, harfbuzz_subset  # type: ignore[import-untyped]
    from weasyprint.text.fonts import FontConfiguration  # type: ignore[import-untyped]
    from weasyprint.urls import (  # type: ignore[import-untyped]
        FatalURLFetchingError,
        URLFetcher,
        URLFetcherResponse,
    )

    from reportgen.paper.quickening import document_of, paused_collection, pictures, quick_compression
    from reportgen.paper.quicklayout import C_TYPES, quick_layout, replaced

if TYPE_CHECKING:
    from reportgen.assessment import Assessment

Paper = Literal["A4", "Letter"]
PDF_OPTIONS = {"pdf_variant": "pdf/ua-1"}


class _DataOnly(URLFetcher):  # type: ignore[misc]
    """Opens data: URLs, stops the rendering at every other address."""

    def __init__(self) -> None:
        super().__init__(allowed_protocols=("data",), fail_on_errors=True)

    def fetch(self, url: str, headers: dict[str, str] | None = None) -> URLFetcherResponse:
        if not url.lower().startswith("data:"):
            raise FatalURLFetchingError(f"{url[:200]} is wanted; a page may hold nothing from outside")
        return super().fetch(url, headers)


@contextmanager
def _complaints() -> Iterator[list[str]]:
    """What the engine could not do and would leave out without a word: pictures and style sheets that it cannot find."""
    said: list[str] = []

    def heard(record: logging.LogRecord) -> None:
        text = record.getMessage()
        if record.levelno >= logging.ERROR or _NO_FILE in text:
            said.append(text)

    handler = logging.Handler()
    handler.emit = heard  # type: ignore[method-assign] # shorter than a class of its own
    LOGGER.addHandler(handler)
    try:
        yield said
    finally:
        LOGGER.removeHandler(handler)


_ADDRESS = re.compile(r"""url\(["']?([^"')]+)|base URI: (?!None)(\S+)|^(\S+) is wanted| at '?(\S+?)'? ?: """)
_NO_FILE = "Relative URI reference"


def _left_out(own: Own, template: str, complaint: str) -> str:
    """What is wrong with an address in the operator's templates, and in which line."""
    found = _ADDRESS.search(complaint)
    address = next(filter(None, found.groups()), "") if found else ""
    place = own.place_of(address) or template
    what = f"“{address}” cannot be loaded" if address else complaint
    return f"{place}: {what}; a page may hold nothing from outside. Give pictures and fonts as data: URLs."


def written(document: Document) -> bytes:
    """The pages of a document as tagged PDF."""
    with paused_collection(), quick_compression(), quick_layout():
        return cast(bytes, document.write_pdf(**PDF_OPTIONS))


class Press:
    """What is kept warm in one process: templates, style sheets by paper, fonts.

    `own` are an operator's templates: a file of theirs stands in for ours of the same name.
    """

    def __init__(self, own: Templates = None) -> None:
        self._own = own_templates(own)
        self.environment = environment(self._own)
        self.fonts = FontConfiguration()
        self._fetcher = _DataOnly()
        self._styles: dict[str, CSS] = {}
        self._complaints: list[str] = []

    def html(self, page: Page) -> str:
        """The page's template, filled with the page and nothing else."""
        return filled(page, self._own)

    def styles(self, paper: Paper) -> list[CSS]:
        """The style sheet and the size of the paper."""
        for name in ("style.css", f"paper-{paper}.css"):
            if name not in self._styles:
                text = self.environment.get_template(name).render()
                with _complaints() as said:
                    self._styles[name] = CSS(string=text, font_config=self.fonts, url_fetcher=self._fetcher)
                self._complaints += said
        return [self._styles["style.css"], self._styles[f"paper-{paper}.css"]]

    def layout(self, page: Page, paper: Paper = "A4") -> Document:
        """The page laid out, ready to be written alone or together with others.

        Errors: PageFailed for a fault in the operator's templates, ReportgenError for a page that wants a file.
        """
        own, text = self._own, self.html(page)
        limit = time_limit(PAGE_S) if own else nullcontext()
        try:
            with (
                faults_named(own, page.template),
                limit,
                paused_collection(),
                quick_layout(),
                _complaints() as complaints,
            ):
                html = HTML(string=text, url_fetcher=self._fetcher) if own else document_of(text, self._fetcher)
                cache = pictures(self.fonts)
                laid = html.render(stylesheets=self.styles(paper), font_config=self.fonts, cache=cache)
        except FatalURLFetchingError as error:
            if own:
                raise PageFailed(_left_out(own, page.template, str(error))) from error
            raise ReportgenError(f"{page.template}: {error}. Give pictures as data: URLs.") from error
        if own and (left_out := (*self._complaints, *complaints)):
            raise PageFailed(_left_out(own, page.template, left_out[0]))
        return cast(Document, laid)


@lru_cache(maxsize=4)
def _press(own: Own | None) -> Press:
    return Press(own)


def press(own: Templates = None) -> Press:
    """The warm press of this process for the operator's templates, or for ours alone."""
    return _press(own_templates(own))


def prepare() -> None:
    """What every process needs once before its first sheet and may get from the one that it is forked from.

    No font is opened here: that starts threads, which do not come along.
    """
    for name in SHEET:
        environment().get_template(name)
    replaced()
    for kind in C_TYPES:
        ffi.typeof(kind)


def slow_fonts_notice() -> str:
    """What to install where fonts are subset in Python, which doubles the time of a sheet; empty where they are not."""
    if harfbuzz_subset:
        return ""
    return (
        "Sheets take twice their time: install libharfbuzz-subset0 (Debian) or your system's HarfBuzz subset library."
    )


def as_paper(name: str) -> Paper:
    """The paper size by its name; ReportgenError for one that is not known."""
    if name not in ("A4", "Letter"):
        raise ReportgenError(f"Paper size {name} was asked for; it must be A4 or Letter.")
    return cast(Paper, name)


def sheet_document(chosen: Press, found: Assessment, stamp: Stamp, paper: Paper, pages: Pages = "all") -> Document:
    """The sheet of one pairing laid out: as loosely as lets the front and the build side take one page each.

    The annex is laid out for itself, so that neither waits for what the other must do over.
    """
    first = first_wish(found, paper == "Letter", pages == "all")
    sides = sheet_page(found, stamp, first, "sides")
    wish = fitted(sides, first, paper)
    sides = set_again(sides, found, stamp, first, wish)
    while True:
        document = chosen.layout(sides, paper)
        front = _before(document, f"{sides.anchor}-build")
        closer = tighter(wish, sides, front, len(document.pages) - front)
        if closer == wish:
            break
        sides, wish = set_again(sides, found, stamp, wish, closer), closer
    if not wish.annex:
        return document
    return document.copy([*document.pages, *_annex(chosen, annex_page(sides, found, wish), wish, paper).pages])


def _annex(chosen: Press, page: SheetPage, wish: Wish, paper: Paper) -> Document:
    """The annex laid out, in its smallest type where that saves its last page."""
    close, end = replace(page, style=replace(wish, close=True).style), f"{page.anchor}-end"
    closed = None
    if page.annex and closing_saves(annex_pages(page.annex, paper), DOUBT):
        closed = chosen.layout(close, paper)
        if closing_saves(_filled(closed, end, paper) / CLOSER):
            return closed
    document = chosen.layout(page, paper)
    if closed is None and closing_saves(_filled(document, end, paper)):
        closed = chosen.layout(close, paper)
    return closed if closed and len(closed.pages) < len(document.pages) else document


def _filled(document: Document, end: str, paper: Paper) -> float:
    """How many pages there are, the last down to its target `end`, whole where that is nowhere."""
    last, pages = document.pages[-1], len(document.pages)
    if end not in last.anchors:
        return float(pages)
    points, margins = 0.75 * last.anchors[end][1], 0.75 * last.height - HEIGHT[paper]
    return pages - 1 + float((points - margins / 2.0) / HEIGHT[paper])


def _before(document: Document, anchor: str) -> int:
    """How many pages stand before a target; all of them where it is nowhere."""
    return next((n for n, one in enumerate(document.pages) if anchor in one.anchors), len(document.pages))


def render_sheet(
    found: Assessment, stamp: Stamp, templates: Templates = None, paper: str = "A4", pages: Pages = "all"
) -> bytes:
    """The printed sheet of one pairing as PDF. `templates` is an operator's own folder, `paper` A4 or Letter.

    `pages` is "sheet" for the two sides of one sheet of paper alone, "all" for the annex as well.
    """
    return written(sheet_document(press(templates), found, stamp, as_paper(paper), pages))
