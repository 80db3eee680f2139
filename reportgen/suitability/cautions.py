"""The cautions: what the person at the bench must have read before the box is opened.

Knows hazards of drivers and of the work. Refuses to judge whether a pairing is suitable.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Caution:
    """One hazard: `grave` ones (health) stand first; `applies_to` names the driver or `the work`."""

    id: str
    title: str
    text: str
    source: str
    applies_to: str
    grave: bool = False
