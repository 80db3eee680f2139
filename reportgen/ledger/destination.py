"""Where a command's new sheets go: into the workbook itself, or into a copy of it that `--into` names.

Knows what counts as a copy. Refuses every other file that stands there, before any work is done, and refuses to know
what the sheets say. A copy is under the same protection as the workbook: it is added to, never written over.
"""

from __future__ import annotations

import errno
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from reportgen.catalogue.package import Package
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Catalogue
from reportgen.ledger.container import Rewritten
from reportgen.ledger.replacement import Fingerprint, Outcome, read_workbook, replace_file
from reportgen.problems import PackageRefused, ReportgenError, WorkbookUnusable

_SHARE: Final = 0.5
"""So much of what two workbooks are about must be the same for one to count as a copy of the other (practice, no source):
rows that were added or taken out since do not count, those that became others do."""

_TABLES: Final = {
    "Low drivers": "low_drivers", "High drivers": "high_drivers", "Waveguides": "waveguides", "Cabinets": "cabinets",
    "Pairings": "pairings", "Parts": "parts", "Enquiries": "enquiries", "Technologies": "technologies",
    "Maker": "maker", "Practice": "practice",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Destination:
    """The file that new sheets go into and the package they are grafted into.

    `fingerprint` is None while no file stands there. `notice` says where a copy differs from the workbook.
    """

    path: Path
    content: bytes
    fingerprint: Fingerprint | None
    notice: str = ""

    def deliver(self, new: bytes | Rewritten, fallback: Path | None = None) -> Outcome:
        """Put the grown package there, or beside it where that is not safe (see `replace_file`)."""
        self.path.parent.mkdir(parents=True, exist_ok=True)
        return replace_file(self.path, new, self.fingerprint, fallback)


def destination(workbook: Path, into: Path | None = None) -> Destination:
    """Where the new sheets of `workbook` go. Errors: ReportgenError where `into` must not be written, OSError.

    A file that stands at `into` must be a copy of the workbook, as it is now or as it was.
    """
    content, fingerprint = read_workbook(workbook)
    if into is None:
        return Destination(workbook, content, fingerprint)
    if into.is_dir():
        raise ReportgenError(f"{into} is a folder. Give the copy a file name, such as {into / workbook.name}.")
    if into.suffix.casefold() != workbook.suffix.casefold():
        raise ReportgenError(
            f"{into.name}: a copy of {workbook.name} must end in {workbook.suffix} too, or spreadsheet programs do not "
            "open it. Give it another name."
        )
    if _circle(into):
        raise ReportgenError(f"{into}: links lead in a circle there. Name another file.")
    if not into.exists():
        return Destination(into, content, None)
    if into.samefile(workbook):
        raise ReportgenError(
            f"{into} is the workbook itself. Leave --into away to write into it, or name another file."
        )
    standing, fingerprint = read_workbook(into)
    return Destination(into, standing, fingerprint, _compared(workbook, content, into, standing))


def _circle(path: Path) -> bool:
    """Whether links lead from one to the other there and to no file."""
    try:
        path.stat()
    except OSError as error:
        return error.errno == errno.ELOOP
    return False


def _compared(workbook: Path, content: bytes, into: Path, standing: bytes) -> str:
    """Refuse what is no copy; say which sheets of a copy tell something else than those of the workbook."""
    try:
        if _parts(content) <= _parts(standing):
            return ""
        found, own = read_catalogue(into), read_catalogue(workbook)
    except (PackageRefused, WorkbookUnusable) as error:
        raise ReportgenError(f"{_refusal(into, workbook)} It cannot be read as one: {error}") from error
    ours, theirs = _subject(own), _subject(found)
    if len(ours & theirs) < _SHARE * min(len(ours), len(theirs)) or not theirs:
        shared = f"{len(ours & theirs)} of its {len(theirs)} rows are the same"
        raise ReportgenError(f"{_refusal(into, workbook)} It is about something else: {shared}.")
    differing = [name for name, field in _TABLES.items() if getattr(own, field) != getattr(found, field)]
    if not differing:
        return ""
    return (
        f"{into.name} differs from {workbook.name} in {', '.join(differing)}. The new sheets tell of {workbook.name}; "
        "what stands in the copy stays as it is."
    )


def _refusal(into: Path, workbook: Path) -> str:
    return f"{into}: this file is no copy of {workbook.name}, so nothing is written into it. Name another file."


def _parts(data: bytes) -> set[tuple[str, int, int]]:
    """Name, checksum and size of the parts that never change when sheets are added: the operator's own."""
    package = Package(data)
    lists = {package.main_part.casefold(), "[content_types].xml"}
    return {
        (name, entry.CRC, entry.file_size)
        for entry in package.entries
        if (name := entry.filename.casefold()) not in lists and not name.endswith(("workbook.xml.rels", "styles.xml"))
    }


def _subject(catalogue: Catalogue) -> set[tuple[str, ...]]:
    """What a workbook is about: its pairings with their drivers, or its enquiries, or its drivers."""
    pairings: set[tuple[str, ...]] = {
        (one.id.casefold(), one.low_id, one.high_id, one.cabinet_id) for one in catalogue.pairings.values()
    }
    enquiries: set[tuple[str, ...]] = {(one.id.casefold(), one.question or "") for one in catalogue.enquiries.values()}
    drivers: set[tuple[str, ...]] = {
        (id_.casefold(),) for table in (catalogue.low_drivers, catalogue.high_drivers) for id_ in table
    }
    return pairings or enquiries or drivers
