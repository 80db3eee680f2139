"""What changed: since a run, or against another workbook, with the cell that made it.

Knows where the earlier state comes from. Refuses to know what a change means.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from reportgen.advice.changed import Pair, changes_report, matched
from reportgen.assessment import Assessment
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Case, Catalogue
from reportgen.commands.assessing import Assessed, all_pairings, assess_cases, assess_pairings
from reportgen.commands.desk import Desk
from reportgen.commands.listing import Listed, delivered
from reportgen.commands.orders import Notify, Order, tell_nobody
from reportgen.ledger import history
from reportgen.ledger.archive import Packer
from reportgen.ledger.entries import GONE, History
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
    keys = _keys(catalogue, packer)
    run = since if since is not None or against is not None else _last_other(remembered, keys)
    desk = Desk(order, catalogue, WHAT)
    if against is not None and other is not None:
        title, earlier = f"Changes against {against.name}", _keys(other, packer)
        same = {id_ for id_, key in keys.items() if earlier.get(id_) == key}
        rest = [one for one in all_pairings(other) if one.id not in same]
        before = assess_pairings(Order(against, order.out), other, rest, notify, jobs)
    else:
        title = f"Changes since run {run}"
        before = _of_run(
            history.recomputable(remembered, run or 0, {id_.casefold(): key for id_, key in keys.items()}), notify, jobs
        )
        stood = remembered.inputs_after(run or 0)
        same = {id_ for id_, key in keys.items() if stood.get(id_.casefold()) == key}
    after = assess_pairings(order, catalogue, [one for one in pairings if one.id not in same], notify, jobs)
    kits = {id_: catalogue.pairings[id_].kit or "" for id_ in same}
    report = changes_report(title, title, _pairs(before, after, kits), (*before.notes, *after.notes), len(same))
    return delivered(desk, report, len(after.failed))


def _keys(catalogue: Catalogue, packer: Packer) -> dict[str, str]:
    """The name of all inputs of each pairing that makes a case; `assess_pairings` says why one does not."""
    found = {}
    for one in catalogue.pairings.values():
        with suppress(CannotAssess):
            if one.id not in catalogue.unreadable:
                found[one.id] = packer.add(catalogue.case(one))
    return found


def _last_other(remembered: History, keys: Mapping[str, str]) -> int:
    """The number of the last run after which the inputs were not all as they are now (`keys` by ID)."""
    now = {id_.casefold(): key for id_, key in keys.items()}
    of_run: dict[int, dict[str, str | None]] = {}
    for entry in remembered.entries:
        there = None if entry.verdict == GONE else entry.inputs
        of_run.setdefault(entry.run, {})[entry.pairing_id.casefold()] = there
    if not of_run:
        raise ReportgenError(
            "No run is in History yet: there is nothing to compare with. Run first, or name a workbook with --against."
        )
    found, state = min(of_run), dict[str, str | None]()
    for run in sorted(of_run):
        state |= of_run[run]
        found = run if {id_: key for id_, key in state.items() if key is not None} != now else found
    return found


def _of_run(cases: Mapping[str, Case | history.NotInHistory], notify: Notify, jobs: int) -> Assessed[Assessment]:
    """The assessments of cases as they stood after a run."""
    failed = {id_: str(case) for id_, case in cases.items() if not isinstance(case, Case)}
    waiting = [case for case in cases.values() if isinstance(case, Case)]
    found: dict[str, Assessment] = {}
    for case, one in zip(waiting, assess_cases(waiting, notify, jobs), strict=True):
        if one.assessment is None:
            failed[case.pairing.id] = one.reason
        else:
            found[case.pairing.id] = one.assessment
    return Assessed(found, failed)


def _pairs(before: Assessed[Assessment], after: Assessed[Assessment], unchanged: Mapping[str, str]) -> list[Pair]:
    """What is not the same in both states; `unchanged` has the kits by ID of what is."""
    names = [
        {**unchanged} | {id_: one.case.pairing.kit or "" for id_, one in state.found.items()}
        for state in (before, after)
    ]
    pairs = []
    for old, new in matched(*names):
        if new in unchanged or old in unchanged or {old, new} & (before.failed.keys() | after.failed.keys()):
            continue  # what cannot be assessed is neither new nor gone: a note tells of it
        one, other = before.found.get(old or ""), after.found.get(new or "")
        case: Case | None = (other or one).case if (other or one) else None  # type: ignore[union-attr] # one of both is there
        kit = (case.pairing.kit or "") if case else ""
        pairs.append(Pair(new or old or "", kit, one, other, cause(one.case, other.case) if one and other else ""))
    return pairs
