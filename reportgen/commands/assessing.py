"""Many pairings assessed for a command of the desk: what the last run kept is taken over, the rest is worked out.

Knows who works and what is told. Refuses to know what the assessments are wanted for; it writes nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from functools import partial
from typing import Generic, TypeVar

from reportgen.assessment import Assessment, Overview, Ware, assess
from reportgen.catalogue.records import Case, Catalogue, Pairing
from reportgen.commands import reuse, workers
from reportgen.commands.cores import cores
from reportgen.commands.guard import why_not
from reportgen.commands.orders import Notify, Order
from reportgen.problems import CannotAssess, Problem, WorkbookUnusable

FEW = 12
"""So many cases are done here before other processes have started (measured: their start takes as long)."""


One = TypeVar("One", Assessment, Ware)


@dataclass(frozen=True)
class Assessed(Generic[One]):
    """What was asked of each pairing, and why others are missing; a row that cannot be used might be any, and is always among them."""

    found: Mapping[str, One]
    failed: Mapping[str, str]

    @property
    def notes(self) -> tuple[str, ...]:
        """What to say of pairings that are missing."""
        return tuple(f"{id_} is left out: {why}" for id_, why in self.failed.items())


@dataclass(frozen=True)
class _Done:
    assessment: Assessment | None
    reason: str = ""


def _work(case: Case, drawn: bool) -> _Done:
    try:
        return _Done(assess(case, drawn=drawn).with_curves(None))
    except Exception as error:
        return _Done(None, why_not(error))


def _crashed(case: Case, why: str) -> _Done:
    return _Done(None, f"{case.pairing.id}: the processes that worked on it ended without a result ({why})")


def assess_cases(
    cases: Sequence[Case], notify: Notify, jobs: int = 0, done: int = 0, drawn: bool = False
) -> list[_Done]:
    """Every case, in order; `done` others count as finished already. Only where `drawn`, how a network is put together too."""
    total, results = done + len(cases), {}
    if len(cases) <= FEW:
        for count, case in enumerate(cases, done + 1):
            results[id(case)] = _work(case, drawn)
            notify(case.pairing.id, count, total)
    else:
        with closing(workers.as_finished(partial(_work, drawn=drawn), cases, jobs or cores(), _crashed)) as finished:
            for count, (case, result) in enumerate(finished, done + 1):
                results[id(case)] = result
                notify(case.pairing.id, count, total)
    return [results[id(case)] for case in cases]


def assess_pairings(
    order: Order,
    catalogue: Catalogue,
    pairings: Sequence[Pairing],
    notify: Notify,
    jobs: int = 0,
    drawn: bool = False,
) -> Assessed[Assessment]:
    """Assess `pairings` of a workbook, without their curves; what its last run kept and what is still the same is not worked out again."""
    store = reuse.Store(order.folder, catalogue, "")

    def read(case: Case, there: reuse.Found) -> Assessment | None:
        return store.whole(case, curves=False, found=there)

    return _taken_over(store, read, lambda whole: whole, (catalogue, pairings, notify, jobs, drawn), lambda _: True)


@dataclass(frozen=True)
class Shop:
    """Pairings as a shop sees them, and the whole assessment of one of them by its ID."""

    wares: Assessed[Ware]
    whole: Callable[[str], Assessment]


def shop(
    order: Order,
    catalogue: Catalogue,
    pairings: Sequence[Pairing],
    notify: Notify,
    jobs: int = 0,
    wanted: Callable[[Overview], bool] = lambda _: True,
) -> Shop:
    """The same of those that are `wanted`, as a shop sees them: of what was kept no more is decoded."""
    store = reuse.Store(order.folder, catalogue, "")
    known: dict[str, Assessment] = {}

    def ware(whole: Assessment) -> Ware:
        known[whole.id] = whole
        return Ware.of(whole)

    found = _taken_over(store, store.ware, ware, (catalogue, pairings, notify, jobs, True), wanted)

    def whole(id_: str) -> Assessment:
        if id_ not in known:
            case = found.found[id_].case
            known[id_] = store.whole(case, curves=False) or assess(case).with_curves(None)
        return known[id_]

    return Shop(found, whole)


def _taken_over(
    store: reuse.Store,
    read: Callable[[Case, reuse.Found], One | None],
    made: Callable[[Assessment], One],
    asked: tuple[Catalogue, Sequence[Pairing], Notify, int, bool],
    wanted: Callable[[Overview], bool],
) -> Assessed[One]:
    """What can be `read` of the kept results of pairings that are `wanted`, and what is `made` of those that are assessed anew."""
    catalogue, pairings, notify, jobs, drawn = asked
    found: dict[str, One] = {}
    failed = {id_: " ".join(map(str, problems)) for id_, problems in catalogue.unreadable.items()}
    waiting: list[Case] = []
    for pairing in pairings:
        if pairing.id in failed:
            continue
        try:
            case = catalogue.case(pairing)
        except CannotAssess as error:
            failed[pairing.id] = str(error)
            continue
        there = store.find(case, rows=False)
        if there is not None and not wanted(there.outline):
            continue
        kept = read(case, there) if there is not None else None
        if kept is not None:
            found[pairing.id] = kept
        else:
            waiting.append(case)
    for case, one in zip(waiting, assess_cases(waiting, notify, jobs, len(found), drawn), strict=True):
        if one.assessment is None:
            failed[case.pairing.id] = one.reason
        elif wanted(one.assessment):
            found[case.pairing.id] = made(one.assessment)
    order_of = [one.id for one in pairings]
    return Assessed({id_: found[id_] for id_ in order_of if id_ in found}, failed)


def all_pairings(catalogue: Catalogue) -> tuple[Pairing, ...]:
    """Every pairing of a workbook; WorkbookUnusable when there is none."""
    if not catalogue.pairings and not catalogue.unreadable:
        mend = "Fill a row there: a low driver, a high driver and a cabinet."
        raise WorkbookUnusable([Problem("Pairings", "", "", "", "there is no pairing", mend)])
    return tuple(catalogue.pairings.values())
