"""From limits to a range, from checks to a verdict.

Knows how outcomes add up. Refuses to know how any single one was found.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.suitability.checks import Check
from reportgen.suitability.limits import Limit

Word = Literal["suitable", "suitable with conditions", "not suitable", "undecided"]


@dataclass(frozen=True, slots=True)
class UsableRange:
    """What the limits leave: Hz from the highest lower to the lowest upper one; None where nothing bounds it."""

    low_hz: float | None
    high_hz: float | None
    low_binding: Limit | None
    high_binding: Limit | None

    @property
    def octaves(self) -> float | None:
        """Width in octaves, negative when the range is empty; None when a side is open."""
        if self.low_hz is None or self.high_hz is None:
            return None
        return math.log2(self.high_hz / self.low_hz)

    @property
    def empty(self) -> bool:
        """True when no frequency meets every limit."""
        return self.octaves is not None and self.octaves < 0


@dataclass(frozen=True, slots=True)
class Verdict:
    """The word, the first reason for it, and the conditions the builder must keep."""

    word: Word
    reason: str
    conditions: tuple[str, ...] = ()


def usable_range(limits: Sequence[Limit]) -> UsableRange:
    """Highest lower limit to lowest upper limit (Hz), with the two that bind; limits without a figure do not count."""
    lows = [limit for limit in limits if limit.side == "low" and limit.hz is not None]
    highs = [limit for limit in limits if limit.side == "high" and limit.hz is not None]
    low = max(lows, key=lambda limit: limit.hz or 0.0, default=None)
    high = min(highs, key=lambda limit: limit.hz or math.inf, default=None)
    return UsableRange(low.hz if low else None, high.hz if high else None, low, high)


def best_crossover_hz(found: UsableRange) -> float | None:
    """The frequency (Hz) whose smallest margin in octaves is largest: the geometric mean of the two bounds.

    Where the range is empty it is the frequency that misses both by the same share. With one side open it is
    half an octave inside the other; None when both are open.
    """
    octave = float(
        middle_octave(
            -np.inf if found.low_hz is None else math.log2(found.low_hz),
            np.inf if found.high_hz is None else math.log2(found.high_hz),
        )
    )
    return None if math.isnan(octave) else 2.0**octave


def middle_octave(low: ArrayLike, high: ArrayLike) -> NDArray[np.float64]:
    """The middle of ranges in lg2 of Hz, broadcast: an open side is minus or plus infinity; nan where both are open."""
    low, high = np.asarray(low, dtype=np.float64), np.asarray(high, dtype=np.float64)
    from_low, from_high = np.isfinite(low), np.isfinite(high)
    with np.errstate(invalid="ignore"):
        middle = (low + high) / 2.0
    return np.asarray(np.select([from_low & from_high, from_low, from_high], [middle, low + 0.5, high - 0.5], np.nan))


def _worst_first(checks: Sequence[Check]) -> list[Check]:
    order = {"fail": 0, "not assessed": 1, "marginal": 2, "pass": 3}
    return sorted(checks, key=lambda check: (order[check.outcome], check.margin if check.margin is not None else 0.0))


def judge(checks: Sequence[Check], found: UsableRange) -> Verdict:
    """The verdict on all `checks`: a fail decides, then an essential gap, then marginals and conditions."""
    ranked = _worst_first(checks)
    fails = [check for check in ranked if check.outcome == "fail"]
    gaps = [check for check in ranked if check.outcome == "not assessed" and check.essential]
    marginals = [check for check in ranked if check.outcome == "marginal"]
    conditions = tuple(check.text for check in marginals) + tuple(
        check.condition for check in checks if check.condition and check.outcome in ("pass", "marginal")
    )
    if fails:
        reason = fails[0].text
        if found.empty and found.low_binding and found.high_binding:
            reason = f"No usable range. {found.low_binding.text} {found.high_binding.text}"
        return Verdict("not suitable", reason, conditions)
    if gaps:
        return Verdict("undecided", gaps[0].text, conditions)
    if conditions:
        return Verdict("suitable with conditions", conditions[0], conditions)
    return Verdict("suitable", _room(found, sum(check.outcome == "not assessed" for check in checks)))


def _room(found: UsableRange, open_: int) -> str:
    every = f"Every check passes but {open_} not assessed" if open_ else "Every check passes"
    if found.octaves is None or found.low_binding is None or found.high_binding is None:
        return f"{every}."
    return (
        f"{every}; the usable range is {found.octaves:.2f} octave wide, "
        f"from {found.low_binding.title.lower()} to {found.high_binding.title.lower()}."
    )
