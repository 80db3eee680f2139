"""What if: the same assessments with cells changed, before and after side by side. The workbook is not touched.

Knows the order of the steps. Refuses to write anything but a page.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportgen.advice.changed import Pair, changes_report
from reportgen.assessment import Assessment
from reportgen.catalogue.overrides import parsed
from reportgen.catalogue.reading import read_catalogue
from reportgen.commands.assessing import Assessed, all_pairings, assess_pairings
from reportgen.commands.desk import Desk
from reportgen.commands.listing import Listed, delivered
from reportgen.commands.orders import Notify, Order, tell_nobody
from reportgen.ledger.archive import Packer
from reportgen.ledger.revisions import cause
from reportgen.problems import ReportgenError, WorkbookUnusable

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
    before = assess_pairings(order, now, pairings, notify, jobs)
    packer = Packer()
    touched = [
        one for one in then.pairings.values()
        if one.id in before.found and packer.add(then.case(one)) != packer.add(before.found[one.id].case)
    ]  # fmt: skip
    after = assess_pairings(order, then, touched, notify, jobs)
    pairs = [_pair(id_, before, after) for id_ in before.found]
    tally = f"With {'; '.join(change.text for change in changes)}"
    report = changes_report(WHAT, tally, pairs, (*before.notes, *after.notes, "Nothing was written to the workbook"))
    return delivered(desk, report, len(before.failed), sheets=False)


def _pair(id_: str, before: Assessed[Assessment], after: Assessed[Assessment]) -> Pair:
    one = before.found[id_]
    other = after.found.get(id_, None if id_ in after.failed else one)
    return Pair(
        id_, one.case.pairing.kit or "", one, other, cause(one.case, other.case) if other else after.failed[id_]
    )
