"""When a sheet becomes a new revision, and what is said of it in one line.

Knows what stood on the sheet printed last and which inputs moved since. Refuses to know how a sheet is made. It imports
no engine of sheets, for every worker needs it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from reportgen.catalogue.records import Case
from reportgen.ledger.archive import unpack
from reportgen.ledger.differences import Change, Input, decision_changes, input_changes, inputs_of
from reportgen.ledger.encoding import NotDecodable
from reportgen.ledger.entries import Entry, History

NOT_PHYSICS: Final = frozenset(("stock", "price", "description", "kit", "season", "source"))
"""Fields that no figure of a loudspeaker is worked out from; where a sheet prints one of them, its text tells.
Decisions and notes are no inputs at all (`inputs_of`)."""

OTHERWISE: Final = "The words of the sheet: another program, or other rows of the workbook"
MOST_LETTERS: Final = 110
"""What one line of a sheet's head takes."""


@dataclass(frozen=True, slots=True)
class Earlier:
    """The sheet printed last: its revision, the name of all it said, its own line, and what moved since."""

    revision: int
    paper: str
    line: str
    physics_moved: bool
    since: str


@dataclass(frozen=True, slots=True)
class Revised:
    """What the sheet of this run is: its revision, the name of all it says, and what changed since the last, in one line."""

    revision: int
    paper: str
    line: str = ""


def earlier(remembered: History, case: Case, key: str) -> Earlier | None:
    """The sheet printed last of a pairing whose inputs now have the name `key`; None when none was."""
    id_ = case.pairing.id
    last = remembered.printed(id_)
    if last is None:
        return None
    began = min((one for one in remembered.of(id_) if one.revision == last.revision), key=lambda entry: entry.run)
    line = one_line(began.changed.splitlines()) if (began.revision or 1) > 1 else ""
    moved, since = _moved(remembered, last, case, key)
    return Earlier(last.revision or 1, last.paper, line, moved, since)


def _moved(remembered: History, last: Entry, case: Case, key: str) -> tuple[bool, str]:
    if last.inputs == key:
        return False, ""
    try:
        before = unpack(last.inputs, remembered.stored)
    except NotDecodable:
        return True, "The inputs; those of the last run are no longer in History"
    one, other = inputs_of(before), inputs_of(case)
    physics = any(
        field.rpartition(".")[2] not in NOT_PHYSICS
        and not field.startswith("maker.")
        and _value(one, field) != _value(other, field)
        for field in {*one, *other}
    )
    return physics, cause(before, case)


_FIRST: Final = ("Low driver of", "High driver of", "Waveguide of", "Cabinet of")
_LAST: Final = ("Season of", "Kit of", "Description of", "Stock of")


def cause(before: Case, after: Case) -> str:
    """What differs between two states of a case, in one line of a sheet's head."""
    return one_line([change.text for change in causes(before, after)])


def causes(before: Case, after: Case) -> tuple[Change, ...]:
    """What differs between two states of a case: exchanged drivers first, mere names last; empty: nothing."""
    return tuple(sorted((*input_changes(before, after), *decision_changes(before, after)), key=_weight))


def _weight(change: Change) -> int:
    return 0 if change.what.startswith(_FIRST) else 2 if change.what.startswith(_LAST) else 1


def _value(inputs: Mapping[str, Input], field: str) -> object:
    found = inputs.get(field)
    return None if found is None else found.value


def revised(before: Earlier | None, paper: str) -> Revised:
    """The revision of a sheet that says what `paper` names: a new one only when the words or the physics moved.

    >>> revised(None, "a"), revised(Earlier(2, "a", "Xmax", False, "Stock"), "a").revision
    (Revised(revision=1, paper='a', line=''), 2)
    >>> revised(Earlier(2, "a", "Xmax", False, "Price of HD-01: 29 -> 31"), "b")
    Revised(revision=3, paper='b', line='Price of HD-01: 29 -> 31')
    """
    if before is None:
        return Revised(1, paper)
    if before.paper in ("", paper) and not before.physics_moved:
        return Revised(before.revision, paper, before.line)
    return Revised(before.revision + 1, paper, before.since or OTHERWISE)


def one_line(texts: Sequence[str]) -> str:
    """Changes in one line of a sheet's head: as many as fit, and how many more.

    >>> one_line(["Xmax of LD-01: 5 mm -> 6 mm", "x" * 200])
    'Xmax of LD-01: 5 mm -> 6 mm; and 1 more'
    """
    told = ""
    for count, text in enumerate(texts):
        longer = f"{told}; {text}" if told else text
        if told and len(longer) > MOST_LETTERS:
            return f"{told}; and {len(texts) - count} more"
        told = longer
    return told
