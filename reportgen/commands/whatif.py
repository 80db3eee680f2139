"""What if: the same assessments with cells changed, before and after side by side. The workbook is not touched.

Knows the order of the steps. Refuses to write anything but a page.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportgen.advice.changed import Pair, changes_report
from reportgen.assessment import Assessment
from reportgen.catalogue.overrides import parsed
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Catalogue, Pairing
from reportgen.commands.assessing import Assessed, all_pairings, assess_pairings
from reportgen.commands.desk import Desk
from reportgen.commands.listing import Listed, delivered
from reportgen.commands.orders import Notify, Order, tell_nobody
from reportgen.ledger.archive import ALL, Packer
from reportgen.ledger.revisions import cause
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
    again = [then.pairings[one.id] for one in touched if one.id in before.found and one.id in then.pairings]
    after = assess_pairings(order, then, again, notify, jobs)
    pairs = [_pair(id_, before, after) for id_ in before.found]
    tally = f"With {'; '.join(change.text for change in changes)}"
    notes = (*dict.fromkeys((*before.notes, *after.notes)), "Nothing was written to the workbook")
    report = changes_report(WHAT, tally, pairs, notes, len(pairings) - len(touched))
    return delivered(desk, report, len(before.failed), sheets=False)


def _touched(pairings: Sequence[Pairing], now: Catalogue, then: Catalogue) -> list[Pairing]:
    """Those whose inputs are others then, and those that have none; all others are as before without a look."""
    packer, found = Packer(ALL), []
    for one in pairings:
        other = then.pairings.get(one.id, one)
        try:
            same = packer.add(now.case(one)) == packer.add(then.case(other))
        except CannotAssess:
            same = False
        if not same or one.id in now.unreadable:
            found.append(one)
    return found


def _pair(id_: str, before: Assessed[Assessment], after: Assessed[Assessment]) -> Pair:
    one = before.found[id_]
    other = after.found.get(id_, None if id_ in after.failed else one)
    return Pair(
        id_, one.case.pairing.kit or "", one, other, cause(one.case, other.case) if other else after.failed[id_]
    )
