"""A name for all that a page says, by which one printing is told from another.

Knows which parts of a page are its stamp. Refuses to know what the rest means.
"""

from __future__ import annotations

import hashlib
from dataclasses import fields

from reportgen.paper.pages import SheetPage

STAMPED = ("stamp", "foot", "changed")
"""Fields in which a page says which printing it is."""


def name_of_words(page: SheetPage) -> str:
    """20 hexadecimal digits that change with everything on the page but its stamp (SHA-256)."""
    said = [repr(getattr(page, field.name)) for field in fields(page) if field.name not in STAMPED]
    return hashlib.sha256("\n".join(said).encode()).hexdigest()[:20]
