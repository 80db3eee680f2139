"""Everything that is wrong with a workbook, before anything is worked out or printed.

Knows how problems are counted. Refuses to know how one is found.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from reportgen.catalogue.reading import read_catalogue
from reportgen.problems import Problem


@dataclass(frozen=True)
class Checked:
    """All problems of a workbook, and how many of its pairings can be assessed and how many cannot."""

    problems: tuple[Problem, ...]
    fit: int
    unfit: int

    @property
    def errors(self) -> int:
        """How many of the problems are more than notices."""
        return sum(not problem.notice for problem in self.problems)

    @property
    def exit_code(self) -> int:
        """The command's exit code."""
        return 1 if self.errors else 0


def check_workbook(workbook: Path) -> Checked:
    """Read a workbook and list what is wrong; WorkbookUnusable when nothing of it can be read."""
    catalogue = read_catalogue(workbook)
    fit = len(catalogue.pairings) - sum(id_ in catalogue.pairings for id_ in catalogue.unreadable)
    return Checked(catalogue.problems, fit, len(catalogue.unreadable))
