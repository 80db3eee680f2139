"""What a kept file holds of a pairing, and the way there and back.

Knows records and their JSON. Refuses to know folders, and takes nothing back from a kept file but our own records and numbers.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from reportgen.assessment import Assessment, Outline, outline
from reportgen.catalogue.records import Case
from reportgen.commands.results import result_line
from reportgen.ledger import sheets
from reportgen.ledger.encoding import NotDecodable, from_plain, to_plain
from reportgen.ledger.kept import Damaged, inflated
from reportgen.ledger.revisions import Revised

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Digest:
    """What the end of a run needs of a pairing: small figures, its rows of the result sheets, its line of results.json.

    All that is long is packed: 3 to 10 kB a pairing.
    """

    outline: Outline
    rows: sheets.PackedRows
    line: bytes

    @classmethod
    def of(cls, whole: Assessment) -> Digest:
        """The digest of an assessment."""
        return cls(outline(whole), sheets.packed_rows(whole), zlib.compress(result_line(whole).encode(), 1))


@dataclass(frozen=True, slots=True)
class FirstPart:
    """The first part of a kept file; `places` is where the records stood of whose sheets (`named`) the texts name cells.

    `searched` where the catalogue was searched for remedies. `sheet` is the SHA-256 of the printed sheet, `state` its length and
    time and `file` its name, all empty when none was printed.
    """

    key: str
    places: str
    printing: str
    sheet: str
    state: str
    file: str
    revised: Revised | None
    named: tuple[str, ...]
    searched: bool
    outline: Outline


_THIS_CASE = "this case"


def decoded(wanted: type[T], content: bytes, case: Case) -> T | None:
    """What JSON says of a case; None when it is nothing that this version wrote."""

    def present(asked: Any, key: str) -> Any:
        if asked is not Case or key != _THIS_CASE:
            raise NotDecodable(f"{key} stands where an object is expected")
        return case  # with its own drivers, wherever they stand now

    try:
        return from_plain(wanted, json.loads(content), present)
    except (NotDecodable, ValueError, RecursionError):
        return None


def digest_of_file(parts: Sequence[bytes], one: Outline) -> Digest | None:
    """The packed parts of a kept file, looked through: they are used unseen. None where they are not what they should be."""
    try:
        rows = sheets.rows_of_file(parts[1:5], one)
        return Digest(one, rows, parts[5]) if json.loads(inflated(parts[5]))["id"] == one.id else None
    except (Damaged, NotDecodable, ValueError, LookupError, TypeError, RecursionError):
        return None


def as_json(part: object) -> bytes:
    """A part of a kept file; its own case is only named."""
    plain = to_plain(part, lambda value: _THIS_CASE if isinstance(value, Case) else None)
    return json.dumps(plain, allow_nan=False, separators=(",", ":")).encode()
