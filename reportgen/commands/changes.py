"""What changed: since a run, or against another workbook, with the cell that made it.

Knows where the earlier state comes from. Refuses to know what a change means.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from types import MappingProxyType

from reportgen.advice.changed import Pair, changes_report, matched
from reportgen.advice.moves import moves
from reportgen.assessment import Assessment
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Case, Catalogue
from reportgen.commands.assessing import Assessed, all_pairings, assess_cases, assess_pairings
from reportgen.commands.desk import Desk
from reportgen.commands.listing import Listed, delivered
from reportgen.commands.orders import Notify, Order, tell_nobody
from reportgen.ledger import history
from reportgen.ledger.archive import Packer
from reportgen.ledger.differences import told
from reportgen.ledger.entries import NOT_ASSESSED, History
from reportgen.ledger.replacement import read_workbook
from reportgen.ledger.revisions import causes
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
    packer, lost = Packer(), dict[str, str]()
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
        ids = (*(entry.pairing_id for entry in remembered.entries), *keys)
        here = {id_.casefold(): id_ for id_ in ids}
        lost = {here[id_]: why for id_, why in before.failed.items()}
        before = Assessed(before.found, {**lost, **_not_assessed(remembered, run or 0, keys)})
        stood = remembered.inputs_after(run or 0)
        same = {id_ for id_, key in keys.items() if stood.get(id_.casefold()) == key}
    after = assess_pairings(order, catalogue, [one for one in pairings if one.id not in same], notify, jobs)
    kits = {id_: catalogue.pairings[id_].kit or "" for id_ in same}
    pairs = [one for one in paired(before, after, kits) if one.id not in lost]
    report = changes_report(title, title, pairs, left_out(before, after, pairs), len(same))
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
        # gone, or not assessed: it makes no case, as one that cannot be assessed now
        of_run.setdefault(entry.run, {})[entry.pairing_id.casefold()] = entry.inputs or None
    if not of_run:
        raise ReportgenError(
            "No run is in History yet: there is nothing to compare with. Run first, or name a workbook with --against."
        )
    found, state = min(of_run), dict[str, str | None]()
    for run in sorted(of_run):
        state |= of_run[run]
        found = run if {id_: key for id_, key in state.items() if key is not None} != now else found
    return found


def _not_assessed(remembered: History, run: int, ids: Collection[str]) -> dict[str, str]:
    """Which of `ids` could not be assessed after a run, and why."""
    rows = (remembered.last(id_, run) for id_ in ids)
    return {one.pairing_id: one.reason for one in rows if one is not None and one.verdict == NOT_ASSESSED}


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


def paired(
    before: Assessed[Assessment], after: Assessed[Assessment], unchanged: Mapping[str, str] = MappingProxyType({})
) -> list[Pair]:
    """What is not the same in both states, with what moved it; `unchanged` has the kits by ID of what is."""
    names = [
        {**unchanged, **dict.fromkeys(state.failed, "")}
        | {id_: one.case.pairing.kit or "" for id_, one in state.found.items()}
        for state in (before, after)
    ]
    pairs = []
    for old, new in matched(*names):
        one, other = before.found.get(old or ""), after.found.get(new or "")
        case: Case | None = (other or one).case if (other or one) else None  # type: ignore[union-attr] # one of both is there
        if case is None or new in unchanged or old in unchanged:
            continue
        missing = after.failed.get(new or "") or before.failed.get(old or "") or ""
        why = _why(one, other) if one and other else missing
        pairs.append(Pair(new or old or "", case.pairing.kit or "", one, other, why))
    return pairs


NAMES = {"ID": (), "Kit": ("Kit of",), "Decision": ("Decision",)}
"""What moves by itself and moves nothing else, and how the change that moved it begins."""
MOVE_NOTHING = (*NAMES["Kit"], *NAMES["Decision"], "Season of", "Description of")


def _why(before: Assessment, after: Assessment) -> str:
    """The changes that can have moved what moved, in words: a price makes no decision, and a name no network."""
    moved = {move.what for move in moves(before, after)}
    own = tuple(start for what, starts in NAMES.items() if what in moved for start in starts)
    figures = not moved <= set(NAMES)
    found = [
        change
        for change in causes(before.case, after.case)
        if change.what.startswith(own)
        or (figures and not change.what.startswith(MOVE_NOTHING) and not _of_the_look(change.what))
    ]
    return told(tuple(found)).replace("\n", "; ")


def _of_the_look(what: str) -> bool:
    """Whether it is of the maker's name, paper and the like, which stand on every sheet: the currency alone moves a figure."""
    return what.endswith("of the maker") and not what.startswith("Currency")


def left_out(before: Assessed[Assessment], after: Assessed[Assessment], pairs: Sequence[Pair]) -> tuple[str, ...]:
    """What to say of pairings that neither state could assess."""
    shown = {one.id for one in pairs}
    failed = {**before.failed, **after.failed}
    return Assessed[Assessment]({}, {id_: why for id_, why in failed.items() if id_ not in shown}).notes
