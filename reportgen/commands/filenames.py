"""Names of files: safe on every system, short enough for every disk, and readable to whom they are sent.

Knows what file systems refuse. Refuses to know folders.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata

from reportgen.catalogue.records import Pairing

MOST_BYTES = 110
"""Length of one part of a name in UTF-8; two parts, an ending and what a temporary file adds stay below 255, the limit of common
file systems."""

_RESERVED = re.compile(r"(catalogue(-\d+)?|con|prn|aux|nul|(com|lpt)[\d¹²³])(\..*)?", re.IGNORECASE)
"""The catalogue's own files, and what one operating system reserves, whatever follows a dot (Microsoft, "Naming files")."""


def safe_name(id_: str) -> str:
    """A file name made of an ID: letters, digits, dot, dash and underscore; never empty, never a path.

    IDs that would fall together keep apart by a few digits of their fingerprint.

    >>> safe_name("P-01"), safe_name("../etc"), safe_name("Catalogue"), safe_name("con.x")
    ('P-01', 'etc-f7f9', 'Catalogue-1034', 'con.x-9c23')
    """
    plain = _cut(re.sub(r"[^\w.-]+", "_", id_).strip("._-"))
    if plain and plain == id_ and not _RESERVED.fullmatch(plain):
        return plain
    return f"{plain or 'pairing'}-{hashlib.sha256(id_.encode()).hexdigest()[:4]}"


def sheet_name(pairing: Pairing) -> str:
    """The file of a pairing's sheet, as a customer may get it."""
    return sheet_named(pairing.id, pairing.kit)


def sheet_named(id_: str, kit: str | None) -> str:
    """The file of the sheet of a pairing of this ID and kit.

    >>> sheet_named("P-03", "Reedmace light"), sheet_named("P-03", "4/2: ...")
    ('P-03 Reedmace light.pdf', 'P-03 4 2.pdf')
    """
    kit = unicodedata.normalize("NFC", kit or "")
    kit = "".join(" " if ch in '<>:"/\\|?*' or unicodedata.category(ch)[0] == "C" else ch for ch in kit)
    return f"{safe_name(id_)} {_cut(' '.join(kit.split()))}".rstrip(" ._-") + ".pdf"


def _cut(text: str) -> str:
    return text.encode()[:MOST_BYTES].decode(errors="ignore")
