"""The memory of a workbook: one entry for each change of a pairing, and the inputs each rests on.

Knows what is remembered. Refuses to know how it is laid out on a sheet and how a change is found.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Final

from reportgen.ledger.archive import Stored

NOT_ASSESSED: Final = "not assessed"
"""The verdict of a pairing whose row, or what it names, could not be read."""

GONE: Final = "gone"
"""The verdict of a pairing whose row was taken off the workbook."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """One row of History: which run, which pairing, what changed, what came of it, what was decided.

    Frequencies in Hz, price in `currency`. `inputs` is the key of the case in `History inputs` ("" when it was not
    assessed). `revision` is that of the sheet that its run printed, `paper` a name of all it said; empty without one. `own` holds what stands in columns that the operator added, `remarks` the notes on cells, by heading.
    """

    run: int
    when: dt.datetime | None = None
    pairing_id: str
    kit: str | None = None
    season: str | None = None
    event: str = ""
    changed: str = ""
    effect: str = ""
    verdict: str = ""
    reason: str = ""
    low_hz: float | None = None
    high_hz: float | None = None
    crossover_hz: float | None = None
    bound_below: str = ""
    bound_above: str = ""
    price: float | None = None
    currency: str = ""
    decision: str = ""
    decided_by: str | None = None
    decided_on: dt.date | None = None
    decided_why: str | None = None
    operator: str = ""
    program_version: str = ""
    workbook: str = ""
    inputs: str = ""
    revision: int | None = None
    paper: str = ""
    own: Mapping[str, Any] = field(default_factory=dict)
    remarks: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class History:
    """All entries of a workbook in the order of its sheet, and the records they rest on by key.

    `since` tells the run in which a record was first stored. `own_heads` are the operator's own columns, `hidden` the
    headings of hidden ones, `loose` rows without a run and a pairing. `sheet` and `inputs_sheet` are the names under
    which both sheets stand or will stand; `next_run` is the first number that no sheet and no entry has.
    """

    entries: tuple[Entry, ...] = ()
    stored: Mapping[str, Stored] = field(default_factory=dict)
    since: Mapping[str, int] = field(default_factory=dict)
    own_heads: tuple[str, ...] = ()
    hidden: frozenset[str] = frozenset()
    loose: tuple[Mapping[str, Any], ...] = ()
    sheet: str = "History"
    inputs_sheet: str = "History inputs"
    next_run: int = 1

    @cached_property
    def _by_pairing(self) -> Mapping[str, list[Entry]]:
        found: dict[str, list[Entry]] = {}
        for entry in self.entries:
            found.setdefault(entry.pairing_id.casefold(), []).append(entry)
        return found

    def of(self, pairing_id: str) -> Sequence[Entry]:
        """The entries of a pairing, in the order of the sheet."""
        return self._by_pairing.get(pairing_id.casefold(), ())

    def printed(self, pairing_id: str) -> Entry | None:
        """The entry of the sheet of a pairing that was printed last; None when none was."""
        found = (entry for entry in self.of(pairing_id) if entry.revision)
        return max(found, key=lambda entry: entry.run, default=None)

    def inputs_after(self, run: int) -> dict[str, str]:
        """The name of the inputs of each pairing after a run, by its ID in small letters; empty where it could not be assessed."""
        latest = ((id_, self.last(id_, run)) for id_ in self._by_pairing)
        return {id_: entry.inputs for id_, entry in latest if entry is not None}

    def gone_from(self, here: Collection[str]) -> list[Entry]:
        """The last entry of each pairing that was there at its last one and is not among the IDs that are `here`."""
        there = {id_.casefold() for id_ in here}
        found = (self.last(id_) for id_ in self._by_pairing if id_ not in there)
        return [entry for entry in found if entry is not None and entry.verdict != GONE]

    def last(self, pairing_id: str, up_to_run: int | None = None, assessed: bool = False) -> Entry | None:
        """The entry of the latest run of a pairing, wherever it stands; None when there is none.

        Only runs not above `up_to_run` count and, if asked for, only entries with inputs.
        """
        found = (
            entry
            for entry in self._by_pairing.get(pairing_id.casefold(), ())
            if (up_to_run is None or entry.run <= up_to_run) and (entry.inputs or not assessed)
        )
        return max(found, key=lambda entry: entry.run, default=None)
