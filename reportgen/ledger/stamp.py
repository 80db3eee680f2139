"""Which run it is: its number, when it began, with which program, on which workbook, by whom.

Knows how the sheets of a run are called. Refuses to know what stands in them.
"""

from __future__ import annotations

import datetime as dt
import getpass
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

KINDS: Final = ("summary", "checks", "parts")
"""The sheets that every run adds, in the order of their tabs."""

_TAB = re.compile(rf"\s*run\s+(\d+)\s+(?:{'|'.join(KINDS)})\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class RunStamp:
    """What every sheet of a run says about the run; `started` is local time, `workbook_fingerprint` SHA-256 as hex."""

    number: int
    started: dt.datetime
    program_version: str
    workbook_fingerprint: str
    workbook_name: str
    operator: str

    def tab(self, kind: str) -> str:
        """Name of a sheet of this run: `Run 001 summary`."""
        return f"Run {self.number:03d} {kind}"

    @property
    def line(self) -> str:
        """Run, date, program, workbook and its fingerprint in one line."""
        by = f", by {self.operator}" if self.operator else ""
        return (
            f"Run {self.number}, {self.started:%Y-%m-%d %H:%M}{by}  ·  reportgen {self.program_version}  ·  "
            f"workbook {self.workbook_name}, SHA-256 {self.workbook_fingerprint[:16]}"
        )


def operator_name() -> str:
    """Who is at the keyboard, as the system knows it; empty where it does not."""
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return ""


def next_run_number(sheet_names: Iterable[str], known: Iterable[int] = ()) -> int:
    """The number of the next run, from the tabs of earlier ones and any other numbers known to be taken.

    >>> next_run_number(["Pairings", "Run 001 summary", "run 12 checks", "Run 99 of my own"], [3])
    13
    """
    return 1 + max([0, *known, *filter(None, map(run_of_tab, sheet_names))])


def run_of_tab(sheet_name: str) -> int | None:
    """The number of the run that a sheet tells of, by the name on its tab; None for any other sheet."""
    found = _TAB.fullmatch(sheet_name)
    return int(found[1]) if found else None
