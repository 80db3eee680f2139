"""A new workbook: empty, or with the demo season and its measured files.

Knows which files belong together. Refuses to overwrite anything.
"""

from __future__ import annotations

from pathlib import Path

from reportgen.catalogue.blank import write_blank, write_workbook
from reportgen.problems import ReportgenError


def new_workbook(workbook: Path, demo: bool = False, next_season: bool = False) -> None:
    """Write a workbook to fill, the demo season or the one after it; ReportgenError when a file stands there already."""
    if workbook.exists():
        raise ReportgenError(f"{workbook}: a file stands here already. Give another name; nothing is overwritten.")
    if not (demo or next_season):
        write_blank(workbook)
        return
    from reportgen.catalogue.demo import demo_tables
    from reportgen.catalogue.democurves import demo_files
    from reportgen.catalogue.demonext import next_season_tables

    for name, text in demo_files().items():
        file = workbook.parent / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    write_workbook(workbook, next_season_tables() if next_season else demo_tables())
