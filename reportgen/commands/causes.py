"""Why a pairing moved: the cells that differ between two states of its case, in one line.

Knows nothing but that. Refuses to judge what moved.
"""

from __future__ import annotations

from reportgen.catalogue.records import Case
from reportgen.ledger.differences import decision_changes, input_changes
from reportgen.ledger.revisions import one_line


def cause(before: Case, after: Case) -> str:
    """What differs, as many changes as one line takes; empty where nothing does."""
    told = (*input_changes(before, after), *decision_changes(before, after))
    return one_line([change.text for change in told])
