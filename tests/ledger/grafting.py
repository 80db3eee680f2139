"""The bytes of a grown workbook, which the program only writes and never holds."""

from __future__ import annotations

from typing import Any

from reportgen.ledger import graft as grafting


def graft(original: bytes, additions: Any, *more: Any, **named: Any) -> bytes:
    """As the program grafts, in one piece."""
    return bytes(grafting.graft(original, additions, *more, **named))
