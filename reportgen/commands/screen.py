"""Every low driver against every high driver at one use: a page and two sheets.

Knows the order of the steps. Refuses to know how a pair is judged, printed and written.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from reportgen.advice.enquirer import as_understood, use_of
from reportgen.advice.refusals import FORESEEN
from reportgen.advice.screening import SLOPES_TRIED, Screening, screen
from reportgen.advice.shelf import shelf_lines, shelves
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Catalogue, Pairing
from reportgen.commands.desk import Desk
from reportgen.commands.orders import Order, known_id, not_there
from reportgen.ledger import desksheets
from reportgen.problems import CannotAssess, Problem

MOST_RANKED = 5000
"""Rows of a ranked list: nobody reads on, and the matrix holds every pair."""
MOST_PAIRS = 250_000
"""Pairs that a matrix holds: spreadsheet programs open such a sheet in a few seconds, and nobody looks over a larger one."""
KEPT = 20
"""Of a larger catalogue so many high drivers are kept for each low one."""


@dataclass(frozen=True)
class Screened:
    """What a screening found, at which use, and where it was printed and written."""

    found: Screening
    use: Pairing
    where: str
    page: Path | None
    written: Path
    notices: tuple[str, ...]
    problems: tuple[Problem, ...]
    currency: str
    shelf: tuple[str, ...] = ()


def screen_workbook(
    order: Order, low: Sequence[str] = (), application: str | None = None, slopes: Sequence[str] = SLOPES_TRIED
) -> Screened:
    """Every low driver (or those of `low`) against every high driver at the use of a pairing or an enquiry.

    Without `application` it is the use of the first pairing. WorkbookUnusable for unknown IDs.
    """
    catalogue = read_catalogue(order.workbook)
    use, widened, where = _use(catalogue, application)
    lows = [known_id(widened.low_drivers, id_, "Low drivers", "low driver") for id_ in low] or list(widened.low_drivers)
    cut = where.startswith("enquiry")
    desk = Desk(order, widened, "Screening")
    keep = None if len(lows) * len(widened.high_drivers) <= MOST_PAIRS else KEPT
    found = screen(widened, use, slopes=slopes, low_ids=lows, keep=keep, listed=MOST_RANKED, keep_spacing=cut)
    shelf = shelf_lines(shelves(found.matrix)) if len(lows) > 1 and found.matrix is not None else ()
    from reportgen.paper import deskpages

    pages = deskpages.screening_pages(found, widened, use, desk.number, desk.stamp, where, shelf)
    page = desk.print_page(order.folder / "screening.pdf", pages)
    facts = [f"{fact.label}: {fact.value}" for fact in (*deskpages.counts_facts(use), *deskpages.use_facts(use))]
    lines = [";   ".join(part) for part in (facts[:5], facts[5:])]
    written, notices = desk.add(desksheets.screening_sheets(found, widened, desk.run, where, [*lines, *shelf]))
    if 2 * dict(found.obstacles).get(FORESEEN[0], 0) > found.pairs:
        notices = (
            *notices,
            f"Most pairs fail on the cabinet of {use.id or where} alone: --application names another use.",
        )
    if keep is not None:
        notices = (*notices, f"More than {MOST_PAIRS} pairs: no matrix; {keep} high drivers are kept for each low one.")
    return Screened(found, use, where, page, written, notices, catalogue.problems, catalogue.maker.currency, shelf)


def _use(catalogue: Catalogue, application: str | None) -> tuple[Pairing, Catalogue, str]:
    """The use to screen at, the catalogue with what an enquirer adds to it, and the use's name.

    A crossover that a pairing fixes was fixed for its own two drivers: it is left open.
    """
    if application is None:
        if not catalogue.pairings:
            raise CannotAssess("There is no pairing whose use could be taken: name an enquiry with --application.")
        application = next(iter(catalogue.pairings))
    known = {id_.casefold(): id_ for id_ in (*catalogue.enquiries, *catalogue.pairings)}
    id_ = known.get(application.casefold(), "")
    if id_ in catalogue.pairings:
        return replace(catalogue.pairings[id_], crossover_hz=None), catalogue, f"the use of {id_}"
    if id_ in catalogue.enquiries:
        enquiry, *_ = as_understood(catalogue.enquiries[id_], catalogue)
        use, widened, _ = use_of(enquiry, catalogue)
        return use, widened, f"enquiry {id_}"
    raise not_there("Pairings", "ID", application, "no pairing and no enquiry has this ID", tuple(known.values()))
