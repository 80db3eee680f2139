"""An old run once more, from the data kept in its History alone.

Knows how an old result is put beside a new one. Refuses to know the workbook's sheets of today.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from pathlib import Path

import reportgen
from reportgen.assessment import Assessment, assess
from reportgen.catalogue.files import folder_of
from reportgen.catalogue.reading import unreadable
from reportgen.catalogue.records import Case
from reportgen.commands import reuse
from reportgen.commands.filenames import sheet_name
from reportgen.commands.orders import Notify, Order, tell_nobody
from reportgen.ledger import archive, history
from reportgen.ledger.entries import GONE, Entry, History
from reportgen.ledger.replacement import read_workbook
from reportgen.paper.logos import logo_or_notice
from reportgen.paper.printing import Stamp
from reportgen.problems import CannotAssess, PageFailed

NOT_SEARCHED = "The nearest yes was not searched: the catalogue of that run is not kept."
"""Stands on the sheets of an old run where remedies would."""


@dataclass(frozen=True)
class Again:
    """One pairing of an old run, worked out again: what History says, and how the result differs (empty: not at all)."""

    entry: Entry
    assessment: Assessment | None = None
    differences: tuple[str, ...] = ()
    reason: str = ""

    @property
    def same(self) -> bool:
        """True when the result is what the History says."""
        return self.assessment is not None and not self.differences

    @property
    def other_program(self) -> str:
        """The program version that gave the old result, when it is not this one."""
        return "" if self.entry.program_version == reportgen.__version__ else self.entry.program_version


@dataclass(frozen=True)
class Recomputed:
    """A whole run again; `folder` holds its sheets when they were asked for."""

    run: int
    pairings: tuple[Again, ...]
    folder: Path | None = None
    notices: tuple[str, ...] = ()
    unprinted: tuple[str, ...] = ()

    @property
    def exit_code(self) -> int:
        """0 when every result is what the History says, and every sheet that was asked for is printed."""
        return 0 if not self.unprinted and all(one.same or not one.entry.inputs for one in self.pairings) else 1


def recompute_run(order: Order, run: int, pdf: bool = False, notify: Notify = tell_nobody) -> Recomputed:
    """Run number `run` once more from the History alone; with `pdf` its sheets are printed into a folder of their own."""
    try:
        content, _ = read_workbook(order.workbook)
    except OSError as error:
        raise unreadable(order.workbook, error) from error
    remembered = history.read_history(content)
    kept = history.recomputable(remembered, run)
    entries = _standing(remembered, run)
    folder = order.folder / f"run-{run:03d}" if pdf else None
    again: list[Again] = []
    notices: dict[str, None] = {}
    unprinted: list[str] = []
    for count, entry in enumerate(entries, 1):
        one = _again(entry, kept.get(entry.pairing_id.casefold()), remembered)
        if folder is not None and one.assessment is not None:
            logo, notice = logo_or_notice(folder_of(order.workbook), one.assessment.case.maker.logo_file)
            notices |= {notice: None} if notice else {}
            try:
                _print_again(one, remembered, folder, order, logo)
            except PageFailed as error:
                unprinted.append(f"{entry.pairing_id}: not printed. {error}")
        again.append(one)
        notify(entry.pairing_id, count, len(entries))
    return Recomputed(run, tuple(again), folder, tuple(notices), tuple(unprinted))


def _standing(remembered: History, run: int) -> list[Entry]:
    """The entry of each pairing that stood after a run, in the order of the sheet."""
    ids = dict.fromkeys(entry.pairing_id.casefold() for entry in remembered.entries)
    found = (remembered.last(id_, run) for id_ in ids)
    return [entry for entry in found if entry is not None and entry.verdict != GONE]


def _again(entry: Entry, case: Case | history.NotInHistory | None, remembered: History) -> Again:
    if not isinstance(case, Case):
        return Again(entry, reason=str(case or entry.reason or "its inputs were not kept"))
    try:
        found = assess(case)
    except CannotAssess as error:
        return Again(entry, reason=str(error))
    changes = history.changes(replace(remembered, entries=(entry,)), [found], reportgen.__version__)
    results = (one for one in changes if one.kind in ("verdict", "result"))
    return Again(entry, found, tuple(f"{one.what}: {one.before} -> {one.after}" for one in results))


def _print_again(one: Again, remembered: History, folder: Path, order: Order, logo: str) -> None:
    from reportgen.paper import render

    assert one.assessment is not None  # the caller has seen to it
    entry, maker = one.entry, one.assessment.case.maker
    revision = entry.revision or sum(one.run <= entry.run for one in remembered.of(entry.pairing_id))
    date = entry.when.date() if entry.when else dt.date.today()
    stamp = Stamp(str(revision), date, entry.run, archive.fingerprint(one.assessment.case), reportgen.__version__, logo)
    note = "" if one.assessment.verdict.word == "suitable" else NOT_SEARCHED
    sheet = replace(one.assessment, remedies_note=note)
    pdf = render.render_sheet(sheet, stamp, order.templates, order.paper or maker.paper)
    reuse.write_atomically(folder / sheet_name(one.assessment.case.pairing), pdf)
