"""The histories of many workbooks in one.

Knows which file may be overwritten. Refuses to know what a history holds.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from reportgen.catalogue.package import inspect_package
from reportgen.commands import reuse
from reportgen.ledger.history import gather
from reportgen.problems import ReportgenError

GATHERED = "All history"
"""The sheet by which a workbook of gathered histories is known."""


def gather_histories(workbooks: Sequence[Path], into: Path) -> None:
    """The histories of many workbooks in one at `into`; only an earlier one of the same kind is overwritten."""
    if into.exists() and GATHERED not in inspect_package(into.read_bytes()).sheet_names:
        raise ReportgenError(f"{into}: another file stands here already. Give another name; it is not overwritten.")
    reuse.write_atomically(into, gather(workbooks))
