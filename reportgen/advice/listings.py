"""A table of the desk as values: what a sheet and a page are made of alike.

Knows columns, rows and what kind of value each column holds. Refuses to know fonts, cells and paper.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

Kind = Literal["id", "text", "words", "count", "money", "hz", "verdict"]
Value = str | int | float | None

DECIMALS: Mapping[str, int] = {"Hz": 0, "octave": 2, "mm": 0, "dB": 1, "ohm": 1, "%": 0, "": 0}
"""So many decimals has a compared figure on terminal, page and sheet, by its unit; any other unit is a currency, which has its own."""


@dataclass(frozen=True, slots=True)
class Field:
    """One column: its heading and what it holds; `words` is text of several words, `money` in the maker's currency."""

    name: str
    kind: Kind = "text"


@dataclass(frozen=True)
class Listing:
    """A table: its title, columns and rows; `tab` ends the name of its sheet, `note` stands under the title.

    `ticks`: a page has a line a row, with a box to tick before it. `printed` False: for the sheet alone. `on_sheet` False: for the page.
    """

    title: str
    fields: tuple[Field, ...]
    rows: tuple[tuple[Value, ...], ...]
    tab: str = ""
    note: str = ""
    ticks: bool = False
    printed: bool = True
    on_sheet: bool = True


@dataclass(frozen=True)
class Report:
    """What a command of the desk found: one sentence, its tables, and remarks."""

    title: str
    tally: str
    listings: tuple[Listing, ...]
    notes: tuple[str, ...] = ()


def joined(texts: Sequence[str], most: int = 12) -> str:
    """Names in one cell, cut after some.

    >>> joined(["P-01", "P-02", "P-03"], 2)
    'P-01, P-02 and 1 more'
    """
    cut = f" and {len(texts) - most} more" if len(texts) > most else ""
    return f"{', '.join(texts[:most])}{cut}"
