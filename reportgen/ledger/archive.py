"""The inputs of every assessment, kept once each: what makes an old run workable from the sheet alone.

Knows how a case falls into records, each stored as one JSON text under the hash of what it says, and how such texts
make the case again. Refuses to know on which sheet the texts stand.

Growth: a record is stored when it is first used and again only when it changed, so a run in which nothing changed
adds nothing, and one changed cell adds that record and one short list of keys a pairing that uses it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Container, Mapping
from dataclasses import dataclass
from typing import Any, Final

from reportgen.catalogue.records import Case, MeasuredCurve, Practice, Record, StockPart
from reportgen.ledger.encoding import NotDecodable, from_plain, to_plain
from reportgen.ledger.words import SHEET_OF, UNREAD, curve_words, record_words

KEY_LENGTH: Final = 20
"""Hexadecimal digits of SHA-256 that name a record: 80 bits."""

_PLACE: Final = "origin"


@dataclass(frozen=True, slots=True)
class Stored:
    """One record as stored: its key, what it is, whose, in words, and as JSON text in SI units."""

    key: str
    kind: str
    owner: str
    words: str
    text: str


def fingerprint(case: Case) -> str:
    """A name for all inputs of a case, as 20 hexadecimal digits.

    It stays the same when rows move, columns are sorted or notes are written, and changes with every value that takes
    part (SHA-256 over canonical JSON, RFC 8259; keys sorted).
    """
    return Packer().add(case)


class _All(Container[str]):
    """Holds every key: where only names are wanted, nothing is to be stored."""

    def __contains__(self, _: object) -> bool:
        return True


ALL: Final = _All()


class Packer:
    """Takes cases apart; records that several share are worked on once. `stored` is all that was seen and not `known`, by key."""

    def __init__(self, known: Container[str] = ()) -> None:
        self._known = known
        self.stored: dict[str, Stored] = {}
        self._seen: dict[int, tuple[Any, str]] = {}

    def add(self, value: Any) -> str:
        """Store a case, a record, a curve, the rules or the parts list with all inside it; return its key."""
        if id(value) not in self._seen:
            plain = to_plain(value, self._apart)
            for field in UNREAD if isinstance(plain, dict) and isinstance(value, Record) else ():
                plain.pop(field, None)
            kind = _kind(value)
            key = _key(kind, plain)
            if key not in self.stored and key not in self._known:
                text = json.dumps(plain, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
                self.stored[key] = Stored(key, kind, _owner(value), _words(value), text)
            self._seen[id(value)] = (value, key)  # the value is kept so that its id stays its own
        return self._seen[id(value)][1]

    def _apart(self, value: Any) -> str | None:
        parts_list = isinstance(value, tuple) and bool(value) and isinstance(value[0], StockPart)
        return self.add(value) if parts_list or isinstance(value, Record | MeasuredCurve | Practice) else None


def unpack(key: str, stored: Mapping[str, Stored]) -> Case:
    """The case that was stored under `key`.

    Errors: NotDecodable when a record is missing or was changed by hand.
    """
    made: dict[str, Any] = {}

    def resolve(wanted: Any, name: str) -> Any:
        if name not in made:
            plain = _checked(name, stored)
            made[name] = from_plain(wanted, plain, resolve)
        return made[name]

    return resolve(Case, key)  # type: ignore[no-any-return] # from_plain has seen to it


def _checked(key: str, stored: Mapping[str, Stored]) -> Any:
    found = stored.get(key)
    if found is None:
        raise NotDecodable(f"the record {key} is missing; its row was removed")
    try:
        plain = json.loads(found.text)
    except json.JSONDecodeError as error:
        raise NotDecodable(f"{found.kind} {found.owner} ({key}) was changed by hand: {error}") from None
    if _key(found.kind, plain) != key:
        raise NotDecodable(f"{found.kind} {found.owner} ({key}) was changed by hand; its values no longer fit its key")
    return plain


def _key(kind: str, plain: Any) -> str:
    """The hash of what a record says, whatever its place in the workbook."""
    if isinstance(plain, dict):
        plain = {name: value for name, value in plain.items() if name != _PLACE}
    elif isinstance(plain, list):
        plain = sorted(plain)
    canonical = json.dumps([kind, plain], sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(canonical.encode()).hexdigest()[:KEY_LENGTH]


def _kind(value: Any) -> str:
    if isinstance(value, Record):
        return SHEET_OF[type(value)]
    if isinstance(value, MeasuredCurve):
        return "Measured curve"
    if isinstance(value, Practice):
        return "All rules"
    return "Parts list" if isinstance(value, tuple) else "Case"


def _owner(value: Any) -> str:
    if isinstance(value, Record):
        return value.id
    if isinstance(value, MeasuredCurve):
        return value.file
    return value.pairing.id if isinstance(value, Case) else ""


def _words(value: Any) -> str:
    if isinstance(value, Record):
        return record_words(value)
    if isinstance(value, MeasuredCurve):
        return curve_words(value)
    if isinstance(value, Case):
        guide = f" in {value.guide.id}" if value.guide else ""
        return f"{value.low.id} with {value.high.id}{guide}, {value.cabinet.id}: the keys of all that takes part"
    count = len(value.rules) if isinstance(value, Practice) else len(value)
    return f"the keys of {count} {'rules' if isinstance(value, Practice) else 'parts'}"
