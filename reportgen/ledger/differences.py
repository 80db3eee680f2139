"""What differs between two states of a pairing: inputs, decision and results, each from what to what.

Knows how values are named and said. Refuses to know where the earlier state was kept.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass, fields
from typing import Any, Final, Literal

from reportgen.catalogue.columns import UNITS
from reportgen.catalogue.records import Case, Record, Rule
from reportgen.ledger.archive import Packer
from reportgen.ledger.words import NOTHING, curve_words, fields_of, said, whose

Kind = Literal["first", "input", "decision", "verdict", "result", "program", "sheet"]

DECISION_FIELDS: Final = ("decision", "decided_by", "decided_on", "reason")
_ROLES: Final = ("low", "high", "guide", "cabinet", "technology")
_MANY: Final = 12
"""So many changed inputs are named one by one; beyond that only their number (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Input:
    """One value an assessment rests on: its name for people, its SI value, and the value in words.

    `owner` is the ID of the record it belongs to.
    """

    name: str
    owner: str
    value: Any
    words: str


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that changed about a pairing; `text` says it whole: `Xmax of LD-01: 5 mm -> 6 mm`."""

    pairing_id: str
    kind: Kind
    what: str
    before: str
    after: str

    @property
    def text(self) -> str:
        """The change in words."""
        return f"{self.what}: {self.before} -> {self.after}" if self.before or self.after else self.what


def inputs_of(case: Case, but: Container[str] = ()) -> Mapping[str, Input]:
    """Every value that takes part in the assessment of a case, in SI units, by role and field; without the roles in `but`.

    Keys read `low.peak_travel_m`, `practice.air temperature.value`, `stock.KC-1.price`, `curves.LD-01.response`. Rows,
    cells and notes are no inputs; the value of a measured curve is the hash of its points.
    """
    decision = {f"pairing.{field}" for field in DECISION_FIELDS}
    return {key: found for key, found in _inputs(case, but) if key not in decision}


def _alike(before: Case, after: Case) -> frozenset[str]:
    """The records, the rules and the parts list of two cases that are the same in both: nothing of them differs."""
    names = [one.name for one in fields(before) if isinstance(getattr(before, one.name), Record)]
    return frozenset(name for name in (*names, "practice", "stock") if getattr(before, name) == getattr(after, name))


def _inputs(case: Case, but: Container[str]) -> Iterator[tuple[str, Input]]:
    for field in fields(case):
        value = getattr(case, field.name)
        if isinstance(value, Record) and field.name not in but:
            yield from _of_record(field.name, value)
    for name, rule in case.practice.rules.items() if "practice" not in but else ():
        yield from _of_record(f"practice.{name}", rule)
    for name, cabinet in case.measured_in.items():
        if name != case.cabinet.id:
            yield from _of_record(f"measured_in.{name}", cabinet)
    for (driver, quantity), curve in case.curves.items():
        name = f"Measured {quantity} of {driver}"
        yield f"curves.{driver}.{quantity}", Input(name, driver, Packer().add(curve), curve_words(curve))
    for part in case.stock if "stock" not in but else ():  # last: very many of them must hide nothing else
        yield from _of_record(f"stock.{part.id}", part)


def _of_record(role: str, record: Record) -> Iterator[tuple[str, Input]]:
    for field in fields_of(record):
        value = getattr(record, field)
        if isinstance(record, Rule) and field == "value":
            value *= UNITS[record.unit]
        yield f"{role}.{field}", Input(whose(record, field), record.id, value, said(record, field))


def input_changes(before: Case, after: Case) -> tuple[Change, ...]:
    """Which inputs differ. Where another driver, guide or cabinet was put in, that is said and not every figure of it."""
    alike = _alike(before, after)
    old, new = inputs_of(before, alike), inputs_of(after, alike)
    return tuple(
        Change(after.pairing.id, "input", (other or one).name, *_said(one, other))  # type: ignore[union-attr] # one is there
        for key in dict.fromkeys((*new, *old))
        for one, other in ((old.get(key), new.get(key)),)
        if _differs(one, other) and not _explained(key, one is None or other is None, before, after)
    )


def _differs(one: Input | None, other: Input | None) -> bool:
    return one is None or other is None or one.value != other.value


def _said(one: Input | None, other: Input | None) -> tuple[str, str]:
    before, after = (NOTHING if state is None else state.words for state in (one, other))
    if before == after and one is not None and other is not None:  # alike to six digits
        return (
            (before, f"{after}, changed within") if isinstance(one.value, str) else (repr(one.value), repr(other.value))
        )
    return before, after


def _explained(key: str, one_sided: bool, before: Case, after: Case) -> bool:
    """Whether another change says it already: an exchanged record, another policy, or a part or rule that came or went."""
    role, _, rest = key.partition(".")
    if role in _ROLES:
        one, other = getattr(before, role), getattr(after, role)
        return one is None or other is None or one.id != other.id
    if role == "stock" and before.pairing.parts_policy != after.pairing.parts_policy:
        return True
    if role == "curves":
        drivers = [{case.pairing.low_id, case.pairing.high_id} for case in (before, after)]
        return not any(rest.startswith(f"{driver}.") for driver in drivers[0] & drivers[1])
    return one_sided and not key.endswith(".value")


def decision_changes(before: Case, after: Case) -> tuple[Change, ...]:
    """Whether the operator's decision on a pairing, or what is noted with it, differs."""
    if all(getattr(before.pairing, field) == getattr(after.pairing, field) for field in DECISION_FIELDS):
        return ()
    words = [decision_words(case) for case in (before, after)]
    return (Change(after.pairing.id, "decision", "Decision", *words),)


def decision_words(case: Case) -> str:
    """The decision with who, when and why: `accepted (M. Quill, 2026-10-12: Sold well.)`."""
    pairing = case.pairing
    day = pairing.decided_on.isoformat() if pairing.decided_on else None
    who = ", ".join(filter(None, (pairing.decided_by, day)))
    more = ": ".join(filter(None, (who, pairing.reason)))
    return f"{pairing.decision} ({more})" if more else pairing.decision


def told(changes: tuple[Change, ...]) -> str:
    """Changes as the text of one cell, a line each; very many are counted instead."""
    lines = [change.text for change in changes[:_MANY]]
    if len(changes) > _MANY:
        lines.append(f"and {len(changes) - _MANY} more")
    return "\n".join(lines)
