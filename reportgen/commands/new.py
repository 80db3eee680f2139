"""A new workbook: empty, or with the demo season and its measured files.

Knows which files belong together. Refuses to overwrite anything, and leaves no half of a file.
"""

from __future__ import annotations

import os
from pathlib import Path

from reportgen.catalogue.blank import write_blank, write_workbook
from reportgen.commands.reuse import write_atomically
from reportgen.ledger import ownfiles
from reportgen.problems import ReportgenError


def new_workbook(workbook: Path, demo: bool = False, next_season: bool = False) -> None:
    """Write a workbook to fill, the demo season or the one after it; ReportgenError when a file stands there already."""
    if workbook.suffix.casefold() != ".xlsx":
        raise ReportgenError(f"{workbook}: a new workbook is an .xlsx file. Give a name that ends in .xlsx.")
    _refuse_to_overwrite(workbook)
    workbook.parent.mkdir(parents=True, exist_ok=True)
    with ownfiles.temporary(workbook.parent, workbook.name, b"") as made:
        if demo or next_season:
            _write_season(made, workbook.parent, next_season)
        else:
            write_blank(made)
        made.chmod(0o644)
        os.replace(made, workbook)


def _write_season(made: Path, folder: Path, next_season: bool) -> None:
    """A season of ours, and its measured files into the folder where it will stand."""
    from reportgen.catalogue.demo import demo_tables
    from reportgen.catalogue.democurves import demo_files
    from reportgen.catalogue.demonext import next_season_tables

    files = {folder / name: text for name, text in demo_files().items()}
    for file, text in files.items():
        _refuse_to_overwrite(file, text)
    for file, text in files.items():
        write_atomically(file, text.encode())
    write_workbook(made, next_season_tables() if next_season else demo_tables())


def _refuse_to_overwrite(file: Path, text: str | None = None) -> None:
    """ReportgenError where a file stands there, unless it says the same."""
    if file.exists() and (text is None or not file.is_file() or file.read_text("utf-8", "replace") != text):
        raise ReportgenError(f"{file}: a file stands here already. Give another name; nothing is overwritten.")
