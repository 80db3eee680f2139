"""The checks: every limit at the chosen frequency, and what else must hold for a pairing to be sold.

Knows what is compared with what, and in which words. Refuses to know cells, pages and how a network is found.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Outcome = Literal["pass", "marginal", "fail", "not assessed"]


@dataclass(frozen=True, slots=True)
class Check:
    """One question asked of a pairing and its answer.

    `value`, `limit` and `margin` are in `unit` (margin of frequency checks: in octaves, `margin_unit`); the
    margin is positive on the good side. `condition` is a sentence the builder must keep even if it passes.
    """

    id: str
    title: str
    outcome: Outcome
    value: float | None
    limit: float | None
    unit: str
    margin: float | None
    margin_unit: str
    source: str
    text: str
    essential: bool = True
    missing: tuple[str, ...] = ()
    condition: str = ""
