"""What changed: since a run, or against another workbook, with the cell that made it.

Knows where the earlier state comes from. Refuses to know what a change means.
"""

from __future__ import annotations

from pathlib import Path

from reportgen.advice.changed import Pair, changes_report, matched
from reportgen.assessment import Assessment
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Case, Catalogue
from reportgen.commands.assessing import Assessed, all_pairings, assess_cases, assess_pairings
from reportgen.commands.listing import Listed, delivered
from reportgen.commands.orders import Notify, Order, tell_nobody
from reportgen.ledger import history
from reportgen.ledger.archive import fingerprint
from reportgen.ledger.entries import History
from reportgen.ledger.replacement import read_workbook
from reportgen.ledger.revisions import cause
from reportgen.problems import ReportgenError

WHAT = "Changes"


def changes(
    order: Order, since: int | None = None, against: Path | None = None, notify: Notify = tell_nobody, jobs: int = 0
) -> Listed:
    """Compare a season with its own state after run `since`, or with the workbook `against`, which is the earlier one.

    Without either it is the last run after which an input differs from now. ReportgenError when there is none.
    """
    catalogue = read_catalogue(order.workbook)
    pairings = all_pairings(catalogue)
    order.check_place()
    if against is not None:
        title, before = f"Changes against {against.name}", _of_workbook(order, against, notify, jobs)
    else:
        content, _ = read_workbook(order.workbook)
        remembered = history.read_history(content)
        run = since if since is not None else _last_other(remembered, catalogue)
        title, before = f"Changes since run {run}", _of_run(content, run, notify, jobs)
    after = assess_pairings(order, catalogue, pairings, notify, jobs)
    report = changes_report(title, title, _pairs(before, after), (*before.notes, *after.notes))
    return delivered(order, catalogue, report, WHAT, len(after.failed))


def _of_workbook(order: Order, against: Path, notify: Notify, jobs: int) -> Assessed:
    other = read_catalogue(against)
    return assess_pairings(Order(against, order.out), other, all_pairings(other), notify, jobs)


def _last_other(remembered: History, catalogue: Catalogue) -> int:
    """The number of the last run after which the inputs were not all as they are now."""
    now = {
        one.id.casefold(): fingerprint(catalogue.case(one))
        for one in catalogue.pairings.values()
        if one.id not in catalogue.unreadable
    }
    runs = sorted({entry.run for entry in remembered.entries}, reverse=True)
    if not runs:
        raise ReportgenError(
            "No run is in History yet: there is nothing to compare with. Run first, or name a workbook with --against."
        )
    for run in runs:
        ids = {entry.pairing_id.casefold() for entry in remembered.entries if entry.run <= run}
        last = {id_: remembered.last(id_, run) for id_ in ids}
        if {id_: entry.inputs for id_, entry in last.items() if entry} != now:
            return run
    return runs[-1]


def _of_run(content: bytes, run: int, notify: Notify, jobs: int) -> Assessed:
    """The assessments of the cases as they stood after a run."""
    cases = history.recompute(content, run)
    found: dict[str, Assessment] = {}
    failed: dict[str, str] = {}
    for case, one in zip(cases, assess_cases(cases, notify, jobs), strict=True):
        if one.assessment is None:
            failed[case.pairing.id] = one.reason
        else:
            found[case.pairing.id] = one.assessment
    return Assessed(found, failed)


def _pairs(before: Assessed, after: Assessed) -> list[Pair]:
    names = [{id_: one.case.pairing.kit or "" for id_, one in state.found.items()} for state in (before, after)]
    pairs = []
    for old, new in matched(*names):
        one, other = before.found.get(old or ""), after.found.get(new or "")
        case: Case | None = (other or one).case if (other or one) else None  # type: ignore[union-attr] # one of both is there
        kit = (case.pairing.kit or "") if case else ""
        pairs.append(Pair(new or old or "", kit, one, other, cause(one.case, other.case) if one and other else ""))
    return pairs
