"""Cells whose letters no installed font has: they would print as boxes.

Knows which letters every font of the pages has. Refuses to know how fonts are found.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import fields
from itertools import chain

from reportgen.catalogue.records import Catalogue, Record, problem_at
from reportgen.paper.engine import without_font
from reportgen.problems import Problem

COMMON = ((0x0000, 0x052F), (0x1E00, 0x206F), (0xFE00, 0xFE0F))
"""Latin, Greek and Cyrillic with their signs, which the fonts of the pages have, and marks that choose a shape."""

MEND = "Install a font that has them (Debian or Ubuntu: fonts-noto-core, fonts-noto-cjk), or write it in other letters."


def unprintable(catalogue: Catalogue) -> tuple[Problem, ...]:
    """A notice at every cell that holds letters no installed font has."""
    cells = [(record, name, _uncommon(text)) for record, name, text in _texts(catalogue)]
    lacking = without_font(set().union(*(letters for _, _, letters in cells)))
    return tuple(
        problem_at(record, name, _named(letters & lacking), "no installed font has these letters", MEND, notice=True)
        for record, name, letters in cells
        if letters & lacking
    )


def _texts(catalogue: Catalogue) -> Iterator[tuple[Record, str, str]]:
    """Every text that the operator wrote into a cell, with its record and field."""
    tables = (
        catalogue.low_drivers, catalogue.high_drivers, catalogue.waveguides, catalogue.cabinets, catalogue.pairings,
        catalogue.parts, catalogue.enquiries, catalogue.technologies,
    )  # fmt: skip
    records: Iterator[Record] = chain((catalogue.maker,), *(table.values() for table in tables))
    for record in records:
        for one in fields(record):
            value = getattr(record, one.name)
            if isinstance(value, str) and one.name in record.origin.cells:
                yield record, one.name, value


def _uncommon(text: str) -> set[str]:
    """Letters and signs that not every font has; controls and spaces have no shape."""
    return {
        letter
        for letter in text
        if not any(low <= ord(letter) <= high for low, high in COMMON) and unicodedata.category(letter)[0] not in "CZ"
    }


def _named(letters: set[str]) -> str:
    return ", ".join(f"{letter} (U+{ord(letter):04X})" for letter in sorted(letters)[:5])
