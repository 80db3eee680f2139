"""What is wrong, where, and how to mend it: the one form of every complaint in the house.

Knows how a problem is worded. Refuses to know what a driver is or how a workbook is opened.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

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


MANY_CELLS, MOST_CELLS = 3, 12
"""A notice of so many cells of a column is said once, with so many of them by name."""


def once_a_column(problems: Iterable[Problem]) -> Iterator[Problem]:
    """The problems in their order; notices that say the same of many cells of one column as one, where the first of them stands.

    >>> fs = [Problem("Low drivers", f"G{row}", "Fs (Hz)", f"0.0{row} stands here", "it is low", notice=True) for row in (2, 3, 4)]
    >>> [str(one) for one in once_a_column(fs)]
    ['Low drivers!G2 "Fs (Hz)": 0.02 stands here, and G3 and G4 hold the like; it is low.']
    """
    groups: dict[tuple[str, ...], list[Problem]] = {}
    for one in problems:
        same = (
            (one.sheet, one.heading, one.expected, one.mend)
            if one.notice and one.cell and one.found
            else (str(id(one)),)
        )
        groups.setdefault(same, []).append(one)
    for first, *others in groups.values():
        if len(others) + 1 < MANY_CELLS:
            yield from (first, *others)
            continue
        cells = [one.cell for one in others]
        left = len(cells) - MOST_CELLS
        named = [*cells[:MOST_CELLS], f"{left} more cells"] if left > 0 else cells
        yield replace(first, found=f"{first.found}, and {', '.join(named[:-1])} and {named[-1]} hold the like")


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
