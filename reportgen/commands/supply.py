"""What the planned kits take from the shelf, what is short, and a picking list for each.

Knows the order of the steps. Refuses to count and to assess.
"""

from __future__ import annotations

from reportgen.advice.pricing import NOT_SOLD, may_be_sold
from reportgen.advice.substitutes import Substitutes, substitutes
from reportgen.advice.supply import supply, supply_report
from reportgen.assessment import Outline
from reportgen.catalogue.columns import sheet
from reportgen.catalogue.reading import read_catalogue
from reportgen.commands.assessing import all_pairings, assess_cases, shop
from reportgen.commands.desk import Desk
from reportgen.commands.listing import Listed, delivered
from reportgen.commands.orders import Notify, Order, not_there, tell_nobody
from reportgen.problems import WorkbookUnusable

TRIED = 24
"""Whole assessments that the search for substitutes may take (common practice, no source)."""


def supply_workbook(order: Order, notify: Notify = tell_nobody, jobs: int = 0) -> Listed:
    """Count what the planned kits take. WorkbookUnusable when no pairing has kits planned."""
    catalogue = read_catalogue(order.workbook)
    planned = [one for one in all_pairings(catalogue) if one.kits_planned]
    heading = sheet("Pairings").column("kits_planned").heading
    uncounted = [
        one for one in catalogue.problems if (one.sheet, one.heading, one.notice) == ("Pairings", heading, False)
    ]
    if not planned and uncounted:
        raise WorkbookUnusable(uncounted)
    if not planned:
        raise not_there(
            "Pairings",
            "Kits planned",
            "",
            "no pairing has kits planned; give a number there",
            tuple(catalogue.pairings),
        )
    desk = Desk(order, catalogue, "Supply")
    kits = shop(order, catalogue, planned, notify, jobs)
    done, wares = kits.wares, list(kits.wares.found.values())
    found = supply(wares, catalogue)
    sought = substitutes(found, wares, kits.whole, catalogue)
    _try_all(sought, notify, jobs)
    notes = (*done.notes, *(f"{one.record_id} is not counted: {one}" for one in uncounted))
    report = supply_report(found, sought.words(), (*_not_to_be_sold([one.outline for one in wares]), *notes))
    return delivered(desk, report, len(notes))


def _not_to_be_sold(kits: list[Outline]) -> tuple[str, ...]:
    """A word on kits that are planned although they may not be sold."""
    names = [
        f"{one.id} ({one.case.pairing.decision if one.case.pairing.decision in NOT_SOLD else one.verdict.word})"
        for one in kits
        if not may_be_sold(one)
    ]
    return (f"Planned, but not to be sold as they are: {', '.join(names)}",) if names else ()


def _try_all(sought: Substitutes, notify: Notify, jobs: int) -> None:
    """Assess what may take the place of what is short, round by round, until all have one or so many were tried."""
    left = TRIED
    while left > 0 and (now := [one for one in sought.sought if one.case is not None][:left]):
        results = assess_cases([one.waiting[0].case for one in now], notify, jobs)
        for one, after in zip(now, results, strict=True):
            one.judge(after.assessment)
        left -= len(now)
