"""From a page to paper: templates filled, laid out and written as tagged PDF.

Knows how the engine is kept warm in one process. Refuses to know what a page says, to fetch anything, and to run in
threads (the engine is not safe there: use processes).
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Literal, cast

from weasyprint import CSS, HTML, Document  # type: ignore[import-untyped]
from weasyprint.text.ffi import harfbuzz_subset  # type: ignore[import-untyped]
from weasyprint.text.fonts import FontConfiguration  # type: ignore[import-untyped]
from weasyprint.urls import (  # type: ignore[import-untyped]
    FatalURLFetchingError,
    URLFetcher,
    URLFetcherResponse,
)

from reportgen.paper.composing import sheet_page
from reportgen.paper.pages import SheetPage, Stamp
from reportgen.paper.quickening import Pictures, paused_collection, quick_compression
from reportgen.paper.templates import Page as Page
from reportgen.paper.templates import environment, filled
from reportgen.paper.templates import templates_folder as templates_folder
from reportgen.problems import ReportgenError

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


def written(document: Document) -> bytes:
    """The pages of a document as tagged PDF."""
    with paused_collection(), quick_compression():
        return cast(bytes, document.write_pdf(**PDF_OPTIONS))


class Press:
    """What is kept warm in one process: templates, style sheets by paper, fonts.

    `own` is an operator's folder: a file in it stands in for ours of the same name.
    """

    def __init__(self, own: Path | None = None) -> None:
        self._own = own
        self.environment = environment(own)
        self.fonts = FontConfiguration()
        self._fetcher = _DataOnly()
        self._styles: dict[str, CSS] = {}

    def html(self, page: Page) -> str:
        """The page's template, filled with the page and nothing else."""
        return filled(page, self._own)

    def styles(self, paper: Paper) -> list[CSS]:
        """The style sheet and the size of the paper."""
        for name in ("style.css", f"paper-{paper}.css"):
            if name not in self._styles:
                text = self.environment.get_template(name).render()
                self._styles[name] = CSS(string=text, font_config=self.fonts, url_fetcher=self._fetcher)
        return [self._styles["style.css"], self._styles[f"paper-{paper}.css"]]

    def layout(self, page: Page, paper: Paper = "A4") -> Document:
        """The page laid out, ready to be written alone or together with others."""
        try:
            with paused_collection():
                html = HTML(string=self.html(page), url_fetcher=self._fetcher)
                pictures = Pictures(self.fonts)
                return cast(
                    Document, html.render(stylesheets=self.styles(paper), font_config=self.fonts, cache=pictures)
                )
        except FatalURLFetchingError as error:
            raise ReportgenError(f"{page.template}: {error}. Give pictures as data: URLs.") from error

    def pdf(self, page: Page, paper: Paper = "A4") -> bytes:
        """The page as a tagged PDF with embedded fonts; the same page gives the same bytes."""
        return written(self.layout(page, paper))


@lru_cache(maxsize=4)
def press(own: Path | None = None) -> Press:
    """The warm press of this process for a folder of the operator's templates, or for ours alone."""
    return Press(own)


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


def render_sheet(found: Assessment, stamp: Stamp, templates: Path | None = None, paper: str = "A4") -> bytes:
    """The printed sheet of one pairing as PDF. `templates` is an operator's own folder, `paper` A4 or Letter."""
    return press(templates).pdf(sheet_page(found, stamp), as_paper(paper))


def render_page(page: SheetPage, templates: Path | None = None, paper: str = "A4") -> bytes:
    """Any ready page as PDF."""
    return press(templates).pdf(page, as_paper(paper))
