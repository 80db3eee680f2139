"""What changed: since a run, or against another workbook, with the cell that made it.

Knows where the earlier state comes from. Refuses to know what a change means.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from reportgen.advice.changed import Pair, changes_report, matched
from reportgen.assessment import Assessment
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Case, Catalogue, Pairing
from reportgen.commands.assessing import Assessed, all_pairings, assess_cases, assess_pairings
from reportgen.commands.desk import Desk
from reportgen.commands.listing import Listed, delivered
from reportgen.commands.orders import Notify, Order, tell_nobody
from reportgen.ledger import history
from reportgen.ledger.archive import Packer
from reportgen.ledger.entries import History
from reportgen.ledger.replacement import read_workbook
from reportgen.ledger.revisions import cause
from reportgen.problems import CannotAssess, ReportgenError

WHAT = "Changes"


def changes(
    order: Order, since: int | None = None, against: Path | None = None, notify: Notify = tell_nobody, jobs: int = 0
) -> Listed:
    """Compare a season with its own state after run `since`, or with the workbook `against`, which is the earlier one.

    Without either it is the last run after which an input differs from now. ReportgenError when there is none.
    """
    catalogue = read_catalogue(order.workbook)
    pairings = all_pairings(catalogue)
    other = None if against is None else read_catalogue(against)
    remembered = History() if against is not None else history.read_history(read_workbook(order.workbook)[0])
    packer = Packer()
    keys = {one.id: packer.add(catalogue.case(one)) for one in pairings if _usable(one, catalogue)}
    run = since if since is not None or against is not None else _last_other(remembered, keys)
    desk = Desk(order, catalogue, WHAT)
    after = assess_pairings(order, catalogue, pairings, notify, jobs)
    known = {keys[id_]: one for id_, one in after.found.items()}
    if against is not None and other is not None:
        title = f"Changes against {against.name}"
        before = assess_pairings(Order(against, order.out), other, all_pairings(other), notify, jobs, known=known)
    else:
        title, before = f"Changes since run {run}", _of_run(remembered, run or 0, known, notify, jobs)
    report = changes_report(title, title, _pairs(before, after), (*before.notes, *after.notes))
    return delivered(desk, report, len(after.failed))


def _usable(one: Pairing, catalogue: Catalogue) -> bool:
    """Whether a pairing makes a case at all; `assess_pairings` says why one does not."""
    try:
        return one.id not in catalogue.unreadable and bool(catalogue.case(one))
    except CannotAssess:
        return False


def _last_other(remembered: History, keys: Mapping[str, str]) -> int:
    """The number of the last run after which the inputs were not all as they are now (`keys` by ID)."""
    now = {id_.casefold(): key for id_, key in keys.items()}
    of_run: dict[int, dict[str, str]] = {}
    for entry in remembered.entries:
        of_run.setdefault(entry.run, {})[entry.pairing_id.casefold()] = entry.inputs
    if not of_run:
        raise ReportgenError(
            "No run is in History yet: there is nothing to compare with. Run first, or name a workbook with --against."
        )
    found, state = min(of_run), dict[str, str]()
    for run in sorted(of_run):
        state |= of_run[run]
        found = run if state != now else found
    return found


def _of_run(remembered: History, run: int, known: Mapping[str, Assessment], notify: Notify, jobs: int) -> Assessed:
    """The assessments of the cases as they stood after a run; what is still the same is not worked out again."""
    found: dict[str, Assessment] = {}
    failed: dict[str, str] = {}
    waiting: list[Case] = []
    packer = Packer()
    for id_, case in history.recomputable(remembered, run).items():
        if not isinstance(case, Case):
            failed[id_] = str(case)
        elif (same := known.get(packer.add(case))) is not None:
            found[case.pairing.id] = replace(same, case=case)
        else:
            waiting.append(case)
    for case, one in zip(waiting, assess_cases(waiting, notify, jobs, len(found)), strict=True):
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
