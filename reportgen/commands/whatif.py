"""What if: the same assessments with cells changed, before and after side by side. The workbook is not touched.

Knows the order of the steps. Refuses to write anything but a page.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportgen.advice.changed import changes_report
from reportgen.catalogue.overrides import parsed
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Catalogue, Pairing
from reportgen.commands.assessing import all_pairings, assess_pairings
from reportgen.commands.changes import left_out, paired
from reportgen.commands.desk import Desk
from reportgen.commands.listing import Listed, delivered
from reportgen.commands.orders import Notify, Order, tell_nobody
from reportgen.ledger.archive import ALL, Packer
from reportgen.problems import CannotAssess, ReportgenError, WorkbookUnusable

WHAT = "What if"


def whatif(order: Order, wishes: Sequence[str], notify: Notify = tell_nobody, jobs: int = 0) -> Listed:
    """Assess the season as it is and with every wish in its cell.

    ReportgenError for a wish that cannot be understood, WorkbookUnusable for a value that its cell cannot hold.
    """
    if not wishes:
        raise ReportgenError("What if takes at least one change, such as “HD-07: Price = 48”.")
    changes = [parsed(text) for text in wishes]
    now = read_catalogue(order.workbook)
    then = read_catalogue(order.workbook, changes)
    known = {str(problem) for problem in now.problems}
    if new := [one for one in then.problems if not one.notice and str(one) not in known]:
        raise WorkbookUnusable(new)
    desk = Desk(order, now, WHAT)
    pairings = all_pairings(now)
    touched = _touched(pairings, now, then)
    before = assess_pairings(order, now, touched, notify, jobs)
    after = assess_pairings(order, then, _again(touched, now, then), notify, jobs)
    pairs = paired(before, after)
    tally = f"With {'; '.join(change.text for change in changes)}"
    notes = (*left_out(before, after, pairs), "Nothing was written to the workbook")
    report = changes_report(WHAT, tally, pairs, notes, len(pairings) - len(touched))
    return delivered(desk, report, len(after.failed), sheets=False)


def _again(touched: Sequence[Pairing], now: Catalogue, then: Catalogue) -> list[Pairing]:
    """What is to be assessed with the wishes: the pairings that they touch, and those that can be read only then."""
    as_now = now.pairings.keys() - {one.id for one in touched}
    return [one for id_, one in then.pairings.items() if id_ not in as_now]


def _touched(pairings: Sequence[Pairing], now: Catalogue, then: Catalogue) -> list[Pairing]:
    """Those whose inputs are others then, and those that have none; all others are as before without a look."""
    packer, found = Packer(ALL), []
    for one in pairings:
        other = then.pairings.get(one.id)  # None where its ID is another
        try:
            same = other is not None and packer.add(now.case(one)) == packer.add(then.case(other))
        except CannotAssess:
            same = False
        if not same or one.id in now.unreadable:
            found.append(one)
    return found
