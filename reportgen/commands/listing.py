"""A report of the desk on its way out: the sheets into the workbook, the page into the folder.

Knows names of files and tabs. Refuses to know what the report tells.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from reportgen.advice.listings import Report
from reportgen.commands.desk import Desk
from reportgen.ledger.listingsheets import listing_sheets
from reportgen.problems import Problem


@dataclass(frozen=True)
class Listed:
    """A report, and where it was printed and written; `failed` counts pairings that could not be assessed."""

    report: Report
    page: Path | None
    written: Path | None
    notices: tuple[str, ...]
    problems: tuple[Problem, ...]
    failed: int = 0
    currency: str = ""

    @property
    def exit_code(self) -> int:
        """The command's exit code."""
        return 1 if self.failed or self.page is None else 0


def delivered(desk: Desk, report: Report, failed: int, sheets: bool = True) -> Listed:
    """Print the report as `supply-001.pdf` and, unless `sheets` is False, add its tables to the workbook."""
    from reportgen.paper import listingpages

    what, catalogue = desk.what, desk.catalogue
    file = desk.order.folder / f"{what.lower().replace(' ', '-')}-{desk.number:03d}.pdf"
    page = desk.print_page(file, listingpages.listing_pages(report, what, catalogue.maker, desk.stamp))
    if not sheets:
        return Listed(report, page, None, tuple(desk.failed), catalogue.problems, failed, catalogue.maker.currency)
    written, notices = desk.add(listing_sheets(report, what, desk.run, catalogue.maker))
    return Listed(report, page, written, notices, catalogue.problems, failed, catalogue.maker.currency)
