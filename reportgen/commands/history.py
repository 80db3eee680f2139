"""The histories of many workbooks in one.

Knows which file may be overwritten. Refuses to know what a history holds.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from reportgen.catalogue.package import inspect_package
from reportgen.ledger.destination import Destination
from reportgen.ledger.graft import graft
from reportgen.ledger.history import GATHERED, gather
from reportgen.ledger.replacement import Outcome, read_workbook
from reportgen.problems import PackageRefused, ReportgenError


def gather_histories(workbooks: Sequence[Path], into: Path) -> tuple[Outcome, tuple[str, ...]]:
    """The histories of many workbooks in one at `into`, and why some gave none; in an earlier one of the same kind both sheets are renewed, and rows that no workbook has any more stay."""
    if into.suffix.casefold() != ".xlsx":
        raise ReportgenError(f"{into}: the histories go into an .xlsx file. Give a name that ends in .xlsx.")
    standing, fingerprint = read_workbook(into) if into.exists() else (b"", None)
    if fingerprint is not None and not _is_gathered(standing):
        raise ReportgenError(f"{into}: another file stands here already. Give another name; it is not overwritten.")
    gathered, without = gather(workbooks, standing)
    grown = (
        gathered if fingerprint is None else graft(standing, gathered, replace=inspect_package(gathered).sheet_names)
    )
    return Destination(into, standing, fingerprint).deliver(grown), without


def _is_gathered(content: bytes) -> bool:
    try:
        return GATHERED in inspect_package(content).sheet_names
    except PackageRefused:
        return False
