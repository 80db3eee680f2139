"""The limits: every rule that bounds the crossover from below or above, as one frequency each.

Knows the rules and what each rests on. Refuses to know cells, pages and crossover parts.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Side = Literal["low", "high"]


@dataclass(frozen=True, slots=True)
class Limit:
    """One bound of the crossover frequency.

    `hz` is None when it cannot be worked out: then `missing` names the inputs, each with its cell. `side` is
    "low" for a bound from below. `spread_hz` is what the tolerances of the driver data make of it.
    """

    id: str
    title: str
    side: Side
    hz: float | None
    text: str
    source: str
    essential: bool = True
    missing: tuple[str, ...] = ()
    spread_hz: tuple[float, float] | None = None
