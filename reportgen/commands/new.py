"""A new workbook: empty, or with the demo season and its measured files.

Knows which files belong together. Refuses to overwrite anything, and leaves no half of a file.
"""

from __future__ import annotations

from pathlib import Path

from reportgen.catalogue.blank import Tables, blank_tables, workbook_bytes
from reportgen.commands.reuse import write_atomically
from reportgen.problems import ReportgenError


def new_workbook(workbook: Path, demo: bool = False, next_season: bool = False) -> None:
    """Write a workbook to fill, the demo season or the one after it; ReportgenError when a file stands there already."""
    if workbook.suffix.casefold() != ".xlsx":
        raise ReportgenError(f"{workbook}: a new workbook is an .xlsx file. Give a name that ends in .xlsx.")
    _refuse_to_overwrite(workbook)
    tables = _season(workbook.parent, next_season) if demo or next_season else blank_tables()
    write_atomically(workbook, workbook_bytes(tables))


def _season(folder: Path, next_season: bool) -> Tables:
    """The rows of a season of ours, and its measured files into the folder where it will stand."""
    from reportgen.catalogue.demo import demo_tables
    from reportgen.catalogue.democurves import demo_files
    from reportgen.catalogue.demonext import next_season_tables

    files = {folder / name: text for name, text in demo_files().items()}
    for file, text in files.items():
        _refuse_to_overwrite(file, text)
    for file, text in files.items():
        write_atomically(file, text.encode())
    return next_season_tables() if next_season else demo_tables()


def _refuse_to_overwrite(file: Path, text: str | None = None) -> None:
    """ReportgenError where a file stands there, unless it says the same."""
    if file.exists() and (text is None or not file.is_file() or file.read_text("utf-8", "replace") != text):
        raise ReportgenError(f"{file}: a file stands here already. Give another name; nothing is overwritten.")
