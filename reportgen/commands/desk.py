"""One piece of work at the desk: the sheets that it adds to a workbook, under a number of their own.

Knows how a sheet gets its number and its way into the workbook. Refuses to know what stands on it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from reportgen.catalogue.package import inspect_package
from reportgen.catalogue.records import Catalogue
from reportgen.commands import reuse
from reportgen.commands.orders import Order, stamps
from reportgen.ledger import desksheets
from reportgen.ledger.destination import destination
from reportgen.ledger.graft import graft
from reportgen.ledger.longtables import Book
from reportgen.paper.templates import Page
from reportgen.problems import PageFailed


class Desk:
    """One piece of work on one workbook: its number, its stamps on sheet and paper, and where its sheets go.

    Made before the work: a place that can take nothing ends it there.
    """

    def __init__(self, order: Order, catalogue: Catalogue, what: str) -> None:
        order.check_place()
        self.order, self.catalogue, self.what = order, catalogue, what
        self.paper = order.paper_of(catalogue)
        self._place = destination(order.workbook, order.into)
        least = desksheets.next_number(inspect_package(self._place.content).sheet_names, what)
        reuse.claim(order.folder, order.workbook)
        self.number = reuse.take_number(order.folder, what, least)
        made = stamps(order, catalogue, self.number)  # reading has told of a bad logo
        self.run, self.stamp = made.run, made.on_page()
        self.failed: list[str] = []

    def print_page(self, file: Path, pages: Iterator[Page]) -> Path | None:
        """Write a page; where the operator's templates fail, it is named among the notices and the sheets go on."""
        from reportgen.paper import deskpages

        try:
            reuse.write_atomically(file, deskpages.pdf_of(pages, self.order.templates, self.paper))
        except PageFailed as error:
            self.failed.append(f"{file.name}: not printed. {error}")
            return None
        return file

    @property
    def content(self) -> bytes:
        """The workbook, or its copy, as it was when this work began."""
        return self._place.content

    def add(self, sheets: Book, replace: Sequence[str] = ()) -> tuple[Path, tuple[str, ...]]:
        """Graft the sheets into the workbook or its copy; where they are now, and why not in place if they are not.

        Those named in `replace` may take the place of earlier ones.
        """
        outcome = self._place.deliver(graft(self._place.content, sheets, replace), self.order.folder)
        return outcome.path, tuple(
            filter(None, (self._place.notice, self.order.elsewhere, *self.failed, outcome.reason))
        )
