"""What is handed out for one pairing, and what comes back.

Knows what a worker needs and what comes of it. Refuses to know the work.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reportgen.catalogue.records import Catalogue, Pairing
from reportgen.ledger.revisions import Earlier, Revised
from reportgen.paper.own import Own
from reportgen.paper.printing import Pages, Stamp

if TYPE_CHECKING:
    from reportgen.assessment import Assessment


@dataclass(frozen=True)
class Shop:
    """All that a worker needs to work on any pairing of one run; the catalogue is without the pairings."""

    catalogue: Catalogue
    pdf: bool
    paper: str
    templates: Own | None
    pages: Pages = "all"


@dataclass(frozen=True)
class Task:
    """One pairing to work on, with the stamp of the run and the sheet printed last; `kept` is an assessment of earlier."""

    pairing: Pairing
    stamp: Stamp
    kept: Assessment | None = None
    before: Earlier | None = None


@dataclass(frozen=True)
class Done:
    """What became of one pairing: its assessment and its printed sheet (PDF), or why one of them is missing.

    `sheet` says which revision was printed. `notice` is what the process that printed it has to say of itself.
    """

    assessment: Assessment | None = None
    pdf: bytes | None = None
    reason: str = ""
    notice: str = ""
    sheet: Revised | None = None


def crashed(task: Task, why: str) -> Done:
    """What is told of a pairing on which every process died, and the last of them of what."""
    place = task.pairing.origin.place("id")
    return Done(reason=f"{place}: three processes that worked on it ended without a result ({why.rstrip('.')}).")
