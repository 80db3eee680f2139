"""What every command is asked, whom it tells how far it is, and what its sheets and pages say of themselves.

Knows the options that commands share. Refuses to know what any command does.
"""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import chain, count, islice
from pathlib import Path

import reportgen
from reportgen.catalogue.cells import nearest
from reportgen.catalogue.files import folder_of
from reportgen.catalogue.records import Catalogue
from reportgen.commands import reuse
from reportgen.ledger.stamp import RunStamp, operator_name
from reportgen.paper.logos import logo_or_notice
from reportgen.paper.printing import Stamp
from reportgen.problems import Problem, ReportgenError, WorkbookUnusable

Notify = Callable[[str, int, int], None]
"""Told after each piece of work: its ID, how many are done, how many there are."""


def tell_nobody(_id: str, _done: int, _total: int) -> None:
    """The `Notify` of a caller who does not ask."""


@dataclass(frozen=True)
class Order:
    """Which workbook, where results go, and how they look; `paper` None takes the Maker sheet's.

    `into` is a copy that takes the new sheets in the workbook's place. `templates` stand before our own.
    """

    workbook: Path
    out: Path = Path("out")
    into: Path | None = None
    paper: str | None = None
    templates: Path | None = None

    @cached_property
    def folder(self) -> Path:
        """Where the results of this workbook go: into a folder of its name, or a numbered one beside it while another workbook of that name has that."""
        stem = self.workbook.stem
        names = chain([stem], (f"{stem} {number}" for number in count(2)))
        return next(self.out / name for name in names if reuse.other_owner(self.out / name, self.workbook) is None)

    @property
    def elsewhere(self) -> str:
        """What is to be said where the results do not stand in a folder of the workbook's name; empty elsewhere."""
        usual = self.out / self.workbook.stem
        other = reuse.other_owner(usual, self.workbook)
        return (
            f"{usual} holds what was made of {other}; what is made of this workbook is in {self.folder}."
            if other
            else ""
        )

    def check_place(self) -> None:
        """ReportgenError when the place for results can take none, before anything is worked out; nothing is made yet."""
        there = next(place for place in (self.folder, *self.folder.parents) if place.exists())
        if not there.is_dir():
            raise ReportgenError(f"{there} is no folder, and results were to go there. Give another place with --out.")
        if not os.access(there, os.W_OK | os.X_OK):
            raise ReportgenError(
                f"{there.resolve()} takes no file. Allow writing there, or give another place with --out."
            )

    def paper_of(self, catalogue: Catalogue) -> str:
        """The size of the pages."""
        return self.paper or catalogue.maker.paper


@dataclass(frozen=True)
class Stamps:
    """The number, the moment and the logo of one piece of work, and the stamps made of them."""

    run: RunStamp
    logo: str
    notice: str = ""

    def on_page(self, revision: str = "", fingerprint: str = "") -> Stamp:
        """What a page says of itself; without a fingerprint of its own it has the workbook's."""
        run = self.run
        known = fingerprint or run.workbook_fingerprint
        return Stamp(revision, run.started.date(), run.number, known, run.program_version, self.logo)


def stamps(order: Order, catalogue: Catalogue, number: int) -> Stamps:
    """The stamps of piece of work `number` on a workbook; the notice says what is wrong with the logo."""
    run = RunStamp(
        number=number,
        started=dt.datetime.now().replace(microsecond=0),
        program_version=reportgen.__version__,
        workbook_fingerprint=catalogue.fingerprint,
        workbook_name=order.workbook.name,
        operator=operator_name(),
    )
    return Stamps(run, *logo_or_notice(folder_of(order.workbook), catalogue.maker.logo_file))


def known_id(table: Mapping[str, object], id_: str, sheet: str, what: str) -> str:
    """The ID as the workbook spells it; WorkbookUnusable names those that there are."""
    found = {known.casefold(): known for known in table}.get(id_.casefold())
    if found is None:
        raise not_there(sheet, "ID", id_, f"no {what} has this ID", tuple(table))
    return found


def not_there(sheet: str, heading: str, found: str, expected: str, known: Collection[str]) -> WorkbookUnusable:
    """The complaint about a name that the workbook does not have, with those that it has; of many the one that is most like it, and the first."""
    more = max(len(known) - MOST_NAMED, 0)
    like = nearest(known, found) if more else ""
    names = ", ".join(islice(known, MOST_NAMED)) + (f" and {more} more" if more else "")
    there = f"{like} There are: {names}.".lstrip() if known else "There are none."
    return WorkbookUnusable([Problem(sheet, "", heading, found, expected, there)])


MOST_NAMED = 30
"""So many names are told of those that there are."""
