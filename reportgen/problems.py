"""What is wrong, where, and how to mend it: the one form of every complaint in the house.

Knows how a problem is worded. Refuses to know what a driver is or how a workbook is opened.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

_STEERING = re.compile(r"\s*[\x00-\x1f\x7f-\x9f\u2028\u2029]\s*")
_TURNING = dict.fromkeys(map(ord, "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff"))
"""Marks that turn the direction of what follows them, in our own words too (Unicode Standard Annex 9)."""


def one_line(text: str) -> str:
    """Text from a cell or a file in one line, without what steers a terminal.

    >>> one_line("P-06\\n two\\x1b[31m  \\u202emm")
    'P-06 two [31m  mm'
    """
    return _STEERING.sub(" ", text.translate(_TURNING)).strip()


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong (or, as a notice, worth knowing) in what the operator supplied.

    `sheet` and `cell` say where (`cell` may be a row or empty), `heading` the column, `found` what stands
    there, `expected` what should, `mend` what to do about it. A file problem names the file as its sheet.
    """

    sheet: str
    cell: str
    heading: str
    found: str
    expected: str
    mend: str = ""
    notice: bool = False
    record_id: str = ""

    @property
    def place(self) -> str:
        """Where it is, in the notation of spreadsheet programs: sheet!cell."""
        return f"{self.sheet}!{self.cell}" if self.cell else self.sheet

    def __str__(self) -> str:
        heading = f' "{self.heading}"' if self.heading else ""
        found = f"{self.found}; " if self.found else ""
        mend = f" {self.mend}" if self.mend else ""
        return one_line(f"{self.place}{heading}: {found}{self.expected}.{mend}")


class ReportgenError(Exception):
    """Anything that stops a run and that the operator can mend: the text says what, where and how, in one line."""

    def __str__(self) -> str:
        return one_line(super().__str__())


class WorkbookUnusable(ReportgenError):
    """The workbook as a whole cannot be used; carries the problems that say why."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__(" ".join(str(problem) for problem in self.problems))


class PackageRefused(ReportgenError):
    """The file is not a spreadsheet package that can be read and added to without risk."""


class PageFailed(ReportgenError):
    """One page could not be made, by a fault in a template; the text names file, line and field."""


class CurveUnreadable(ReportgenError):
    """A measured curve file cannot be used; the text names file and line."""


class CannotAssess(ReportgenError):
    """One pairing cannot be worked out; the others go on."""


@dataclass(frozen=True)
class Unassessed:
    """A pairing that stands in the workbook but could not be assessed, and why."""

    id: str
    problems: tuple[Problem, ...] = ()
    reason: str = ""

    @property
    def text(self) -> str:
        """All reasons in one line."""
        return " ".join([*(str(problem) for problem in self.problems), self.reason]).strip()
