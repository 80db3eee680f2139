"""Everything that is wrong with a workbook, before anything is worked out or printed.

Knows how problems are counted. Refuses to know how one is found.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Catalogue, Pairing, problem_at
from reportgen.commands.letters import unprintable
from reportgen.pairing.as_used import Setting
from reportgen.pairing.measuring import findings
from reportgen.pairing.response import Model
from reportgen.problems import Problem, ReportgenError


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
    def by_cause(self) -> tuple[tuple[Problem, tuple[Problem, ...]], ...]:
        """Every problem that stands for itself, with those that only follow from it."""
        follows: dict[str, list[Problem]] = {}
        roots = []
        places = {problem.place for problem in self.problems}
        for problem in self.problems:
            cause = _FOLLOWS.search(problem.expected)
            if cause is not None and cause[1] in places and cause[1] != problem.place:
                follows.setdefault(cause[1], []).append(problem)
            else:
                roots.append(problem)
        return tuple((root, tuple(_all_under(root, follows))) for root in dict.fromkeys(roots))

    @property
    def exit_code(self) -> int:
        """The command's exit code."""
        return 1 if self.errors else 0


def found_in_files(catalogue: Catalogue, pairings: Iterable[Pairing]) -> tuple[Problem, ...]:
    """What the measured files of some pairings hold beside their levels, once each, as notices at the cells they concern.

    What differs from one pairing to the next by decimals alone, as a delay does, is the same.
    """
    found: dict[tuple[str, str, str], Problem] = {}
    alike = {(one.low_id, one.high_id, one.cabinet_id): one for one in pairings}
    for pairing in alike.values():
        with suppress(ReportgenError, ArithmeticError, ValueError):  # its own run says what is wrong with it
            case = catalogue.case(pairing)
            for one in findings(Model(Setting(case))) if case.curves else ():
                same = (one.driver.id, one.field, _DECIMALS.sub("", one.text))
                found.setdefault(same, problem_at(one.driver, one.field, "", one.text, notice=True))
    return tuple(found.values())


_DECIMALS = re.compile(r"\d+\.\d+")
_FOLLOWS = re.compile(r"its own row cannot be used \((.+)\)")


def _all_under(root: Problem, follows: dict[str, list[Problem]]) -> Iterator[Problem]:
    """What follows from a problem, and from that in turn; each place once."""
    for problem in follows.pop(root.place, []):
        yield problem
        yield from _all_under(problem, follows)


def check_workbook(workbook: Path) -> Checked:
    """Read a workbook and list what is wrong with it and with its measured files; WorkbookUnusable when nothing of it can be read."""
    catalogue = read_catalogue(workbook)
    problems = (*catalogue.problems, *found_in_files(catalogue, catalogue.pairings.values()), *unprintable(catalogue))
    fit = len(catalogue.pairings) - sum(id_ in catalogue.pairings for id_ in catalogue.unreadable)
    return Checked(problems, fit, len(catalogue.unreadable))
