"""Workbooks of a test: written as they are, where the program writes them in one step."""

from __future__ import annotations

from pathlib import Path

from reportgen.catalogue.blank import Tables, workbook_bytes


def write_workbook(path: Path | str, tables: Tables) -> None:
    """Write a workbook of all sheets with these rows."""
    Path(path).write_bytes(workbook_bytes(tables))
