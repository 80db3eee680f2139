"""One piece of work at the desk: the sheets that it adds to a workbook, under a number of their own.

Knows how a sheet gets its number and its way into the workbook. Refuses to know what stands on it.
"""

from __future__ import annotations

from pathlib import Path

from reportgen.catalogue.package import inspect_package
from reportgen.catalogue.records import Catalogue
from reportgen.commands import reuse
from reportgen.commands.orders import Order, stamps
from reportgen.ledger import desksheets
from reportgen.ledger.graft import graft
from reportgen.ledger.replacement import read_workbook, replace_file


class Desk:
    """One piece of work on one workbook: its number, its stamps on sheet and paper, and where its sheets go."""

    def __init__(self, order: Order, catalogue: Catalogue, what: str) -> None:
        self.order, self.catalogue = order, catalogue
        self.paper = order.paper_of(catalogue)
        self.target = order.into or order.workbook
        self._adds_to = self.target if self.target.exists() else order.workbook
        self._content, self._fingerprint = read_workbook(self._adds_to)
        self.number = desksheets.next_number(inspect_package(self._content).sheet_names, what)
        made = stamps(order, catalogue, self.number)  # reading has told of a bad logo
        self.run, self.stamp = made.run, made.on_page()

    def add(self, sheets: bytes) -> tuple[Path, tuple[str, ...]]:
        """Graft the sheets into the workbook or its copy; where they are now, and why not in place if they are not."""
        grafted = graft(self._content, sheets)
        if self._adds_to != self.target:
            reuse.write_atomically(self.target, grafted)
            return self.target, ()
        outcome = replace_file(self.target, grafted, self._fingerprint, self.order.folder)
        return outcome.path, () if outcome.replaced else (outcome.reason,)
