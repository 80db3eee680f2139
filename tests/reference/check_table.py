"""The figures of the outside world that the program must agree with, and a table of how it does.

A module `test_*.py` of this folder that has a list `CHECKS` is found by itself: one test runs all rows
(`test_check_table.py`), and `python -m tests.reference.check_table` prints them.
"""

from __future__ import annotations

import importlib
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

FOLDER = Path(__file__).resolve().parent


@dataclass(frozen=True)
class Check:
    """One figure: what it is, where the expected value comes from, and how the program gets it.

    `tolerance` is absolute, in the unit of the figure: half a unit of the last digit that the source gives.
    """

    name: str
    source: str
    expected: float
    got: Callable[[], float]
    tolerance: float

    def __post_init__(self) -> None:
        if not self.source:
            raise ValueError(f"{self.name}: a check without a source")
        if not 0.0 < self.tolerance < float("inf"):
            raise ValueError(f"{self.name}: a tolerance of {self.tolerance} would make the check worthless")

    def value(self) -> float:
        """What the program gets, as a plain number."""
        return float(self.got())

    def agrees(self) -> bool:
        """Whether the program's figure lies within the tolerance; never for nan."""
        return abs(self.value() - self.expected) <= self.tolerance


def registered() -> Iterator[tuple[str, Check]]:
    """Every check of every test module of this folder, with the module's name."""
    for path in sorted(FOLDER.glob("test_*.py")):
        module = importlib.import_module(f"tests.reference.{path.stem}")
        for check in getattr(module, "CHECKS", ()):
            yield path.stem.removeprefix("test_"), check


def main() -> int:
    """Print the table; 1 where a figure disagrees."""
    failed = 0
    print(f"{'quantity':<62} {'expected':>12} {'got':>12}  {'':<4} source")
    for module, check in registered():
        good = check.agrees()
        failed += not good
        name = f"{module}: {check.name}"
        print(f"{name:<62} {check.expected:>12.6g} {check.value():>12.6g}  {'ok' if good else 'OFF':<4} {check.source}")
    print(f"{failed} disagree" if failed else "all agree")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.path.insert(0, str(FOLDER.parents[1]))
    sys.exit(main())
