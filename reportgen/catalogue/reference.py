"""The column reference for the documents, as Markdown.

Knows only how the description of the columns reads as tables. Refuses to know the rest of the documents.
"""

from __future__ import annotations

from reportgen.catalogue.cells import bounds_text
from reportgen.catalogue.columns import SHEETS, Column, Sheet


def columns_reference() -> str:
    """Every sheet and column of the workbook: heading, what it holds, default and help.

    >>> columns_reference().splitlines()[0]
    '### Low drivers'
    """
    return "\n\n".join(_sheet_section(sheet) for sheet in SHEETS) + "\n"


def _sheet_section(sheet: Sheet) -> str:
    need = " The sheet is required." if sheet.required else ""
    head = f"### {sheet.name}\n\nOne row: {sheet.row_is}.{need}\n"
    rows = ["| Heading | Holds | Empty means | What it is |", "| --- | --- | --- | --- |"]
    return "\n".join([head, *rows, *(_row(column) for column in sheet.columns)])


def _row(column: Column) -> str:
    heading = f"**{column.heading}** \\*" if column.required else column.heading
    return f"| {heading} | {_holds(column)} | {_empty(column)} | {column.help} |"


def _holds(column: Column) -> str:
    if column.choices:
        return ", ".join(column.choices)
    if column.refers:
        return f"an ID of {column.refers}"
    bounds = bounds_text(column)
    return f"{column.kind.value}, {bounds}" if bounds else column.kind.value


def _empty(column: Column) -> str:
    if column.required:
        return "not allowed"
    if column.default in (None, ""):
        return "unknown or none"
    value = f"{column.default:g}" if isinstance(column.default, float) else str(column.default)
    return f"{value} {column.unit}".rstrip()
