"""Pairings side by side: a page and a sheet.

Knows the order of the steps. Refuses to know what differs between two pairings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from reportgen.advice.comparison import Comparison, compare
from reportgen.assessment import Assessment, assess
from reportgen.catalogue.reading import read_catalogue
from reportgen.commands.desk import Desk
from reportgen.commands.orders import Notify, Order, known_id, tell_nobody
from reportgen.ledger import desksheets
from reportgen.problems import Problem, ReportgenError, WorkbookUnusable


@dataclass(frozen=True)
class Compared:
    """Pairings side by side, and where they were printed and written."""

    found: Comparison
    assessments: tuple[Assessment, ...]
    page: Path | None
    written: Path
    notices: tuple[str, ...]
    problems: tuple[Problem, ...]


def compare_workbook(order: Order, ids: Sequence[str], notify: Notify = tell_nobody) -> Compared:
    """Assess the pairings named and put them side by side. WorkbookUnusable for unknown IDs."""
    catalogue = read_catalogue(order.workbook)
    known = {**catalogue.pairings, **dict.fromkeys(catalogue.unreadable)}
    chosen = list(dict.fromkeys(known_id(known, id_, "Pairings", "pairing") for id_ in ids))
    if len(chosen) < 2:
        raise ReportgenError("A comparison takes two pairings or more; name them one after the other.")
    if spoiled := [id_ for id_ in chosen if id_ in catalogue.unreadable]:
        raise WorkbookUnusable(problem for id_ in spoiled for problem in catalogue.unreadable[id_])
    from reportgen.paper import deskpages

    deskpages.refuse_too_many(len(chosen))
    desk = Desk(order, catalogue, "Comparison")
    assessments = []
    for count, id_ in enumerate(chosen, 1):
        assessments.append(assess(catalogue.case(catalogue.pairings[id_])))
        notify(id_, count, len(chosen))
    found = compare(assessments)
    pages = deskpages.comparison_pages(found, assessments, desk.number, desk.stamp)
    page = desk.print_page(order.folder / f"comparison-{desk.number:03d}.pdf", pages)
    written, notices = desk.add(desksheets.comparison_sheet(found, assessments, desk.run, catalogue.maker))
    return Compared(found, tuple(assessments), page, written, notices, catalogue.problems)
