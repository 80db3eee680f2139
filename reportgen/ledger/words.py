"""Values of records in the workbook's own words: heading, number, unit.

Knows the description of the columns. Refuses to know what a value does.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import fields
from typing import Any, Final

from reportgen.catalogue import columns
from reportgen.catalogue.columns import Column
from reportgen.catalogue.records import (
    Cabinet,
    HighDriver,
    LowDriver,
    Maker,
    MeasuredCurve,
    Pairing,
    Record,
    Rule,
    StockPart,
    Technology,
    Waveguide,
)

NOTHING: Final = "empty"
"""Stands for a value that is not there."""

UNREAD: Final = frozenset({"notes", "help", "kits_planned", "tax", "price_step", "synonyms"})
"""Fields that no assessment is worked out from and that no sheet shows: they are no inputs."""

SHEET_OF: Final[dict[type, str]] = {
    LowDriver: "Low drivers", HighDriver: "High drivers", Waveguide: "Waveguides", Cabinet: "Cabinets",
    Pairing: "Pairings", StockPart: "Parts", Technology: "Technologies", Maker: "Maker", Rule: "Practice",
}  # fmt: skip
"""The sheet of the workbook that a kind of record comes from."""


def column_of(record: Record, field: str) -> Column:
    """The column that fills a field of a record; KeyError when none does."""
    return columns.sheet(SHEET_OF[type(record)]).column(field)


def said(record: Record, field: str) -> str:
    """The value of a field as the operator would write it, with its unit.

    >>> from reportgen.catalogue.records import Origin
    >>> said(Rule(id="air temperature", origin=Origin("Practice", 2), value=20.0, unit="degC"), "value")
    '20 degC'
    """
    value, column = getattr(record, field), column_of(record, field)
    unit = "dB" if column.unit == "dB 2.83V/1m" else column.unit
    if isinstance(record, StockPart) and column.unit_field:
        unit = getattr(record, column.unit_field) or ""
        return value_words(value, unit, columns.UNITS[unit])
    if isinstance(record, Rule) and field == "value":
        return value_words(value, record.unit, 1.0)
    if field == "price" and value is not None and value % 1.0:  # 66.6 is no price, and 64 is one
        return max(f"{value:.6g}", f"{value:.2f}", key=len)
    return value_words(value, unit, column.factor)


def value_words(value: Any, unit: str = "", factor: float = 1.0) -> str:
    """An SI value in a unit that is `factor` SI units large.

    >>> value_words(0.005, "mm", 1e-3), value_words(None), value_words((33e-6, 70e-6), "mL", 1e-6)
    ('5 mm', 'empty', '33; 70 mL')
    >>> value_words(False), value_words(True), value_words(0.0, "dB"), value_words("")
    ('no', 'yes', '0 dB', 'empty')
    """
    if value is None or value in ("", ()):
        return NOTHING
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, int | float):
        return f"{value / factor:.6g} {unit}".rstrip()
    if isinstance(value, tuple):
        return f"{'; '.join(value_words(item, '', factor) for item in value)} {unit}".rstrip()
    return str(value)


def whose(record: Record, field: str) -> str:
    """Name of a value for people: `Xmax of LD-01`, `Currency of the maker`, `air temperature (Practice)`."""
    name = column_of(record, field).name
    if isinstance(record, Rule):
        return f"{record.id} (Practice)" if field == "value" else f"{name} of {record.id} (Practice)"
    return f"{name} of {'the maker' if isinstance(record, Maker) else record.id}"


def fields_of(record: Record) -> tuple[str, ...]:
    """The fields of a record that are inputs: all that has a column, without ID and notes."""
    skipped = UNREAD | {"id", "origin", "unread"}
    if isinstance(record, Rule):
        skipped |= {"unit"}  # said with the value
    return tuple(field.name for field in fields(record) if field.name not in skipped)


def record_words(record: Record) -> str:
    """All filled fields of a record in one line."""
    filled = (field for field in fields_of(record) if getattr(record, field) not in (None, "", ()))
    return "; ".join(f"{column_of(record, field).name} {said(record, field)}" for field in filled)


def curve_words(curve: MeasuredCurve) -> str:
    """A measured curve in one line: file, points, range."""
    hz = curve.frequency_hz
    return f"{curve.file}: {hz.size} points from {hz[0]:.6g} to {hz[-1]:.6g} Hz"
