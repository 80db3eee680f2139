"""Limits of many drivers as arrays, so that the limits of both sides meet in one step.

Knows how bounds, their spread and their margin add up to a range and a verdict of the limits. Refuses to know
the rules: every figure comes from `suitability.limits`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from reportgen.suitability.limits import Limit
from reportgen.suitability.verdict import Word

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int8]

WORDS: tuple[Word, ...] = ("suitable", "suitable with conditions", "undecided", "not suitable")
"""Verdicts from best to worst, by number."""
SUITABLE, CONDITIONS, UNDECIDED, NOT_SUITABLE = range(4)

LIMIT_IDS = (
    "resonance", "travel", "heat", "maker low", "technology", "guide control", "rear path",
    "coverage", "break-up", "maker high", "bandwidth", "lobing", "nothing",
)  # fmt: skip
"""The limits by number, in the order of `limits.LIMITS`; the last stands for an open side."""
NOTHING = len(LIMIT_IDS) - 1

TITLES: Mapping[str, str] = {
    "resonance": "Resonance", "travel": "Travel", "heat": "Heat", "maker low": "Maker's lowest use",
    "technology": "Kind of driver", "guide control": "Guide's control", "rear path": "Rear path",
    "coverage": "Low driver's coverage", "break-up": "Cone break-up", "maker high": "Maker's highest use",
    "bandwidth": "Low driver's bandwidth", "lobing": "Lobing", "nothing": "nothing",
}  # fmt: skip
"""The limits as they are printed, the same titles that `suitability.limits` gives them."""


@dataclass(frozen=True)
class Edges:
    """Bounds of one driver (2,) or of many (2, drivers); index 0 of the first axis is from below, 1 from above.

    In signed octaves: lg2 of Hz, negative for bounds from above, so that the larger one always binds and
    minus infinity binds nothing. Below `fail` a crossover fails for good, below `need` it lacks its margin; `by` is
    the number of the limit that binds.
    """

    bound: FloatArray
    fail: FloatArray
    need: FloatArray
    by: IntArray

    def joined(self, other: Edges) -> Edges:
        """The tighter of both, broadcast; of equal ones the limit that stands first in the table."""
        takes = (other.bound > self.bound) | ((other.bound == self.bound) & (other.by < self.by))
        return Edges(
            np.maximum(self.bound, other.bound),
            np.maximum(self.fail, other.fail),
            np.maximum(self.need, other.need),
            np.where(takes, other.by, self.by).astype(np.int8),
        )

    def beside_many(self) -> Edges:
        """One driver's edges (2, 1), to meet those of many."""
        return Edges(*(getattr(self, field.name)[:, None] for field in fields(self)))


def of_limits(found: Iterable[Limit], margin: float) -> tuple[Edges, tuple[str, ...]]:
    """One driver's limits as edges (2,), and the essential data they miss; `margin` in octaves is the least that passes.

    Spread and margin count as in `suitability.checks.limit_check`.
    """
    nowhere = np.full(2, -np.inf)
    edges = Edges(nowhere, nowhere.copy(), nowhere.copy(), np.full(2, NOTHING, dtype=np.int8))
    missing: tuple[str, ...] = ()
    for limit in found:
        if limit.hz is None:
            missing += limit.missing if limit.essential else ()
            continue
        side, sign = (0, 1.0) if limit.side == "low" else (1, -1.0)
        at = sign * np.log2(limit.hz)
        spread = np.log2(limit.spread_hz[1] / limit.hz) if limit.spread_hz else 0.0
        if at > edges.bound[side]:
            edges.bound[side], edges.by[side] = at, LIMIT_IDS.index(limit.id)
        edges.fail[side] = max(edges.fail[side], at - spread)
        edges.need[side] = max(edges.need[side], at + max(margin, spread))
    return edges, missing


def of_one_limit(limit_id: str, side: int, hz: FloatArray, margin: float) -> Edges:
    """Edges (2, drivers) of one limit without spread, from its Hz (drivers,); 0, infinity and nan bind nothing."""
    bound, by = np.full((2, hz.size), -np.inf), np.full((2, hz.size), NOTHING, dtype=np.int8)
    useful = np.isfinite(hz) & (hz > 0.0)
    bound[side, useful] = (1.0, -1.0)[side] * np.log2(hz[useful])
    by[side, useful] = LIMIT_IDS.index(limit_id)
    return Edges(bound, bound, bound + margin, by)


def stacked(many: Sequence[Edges]) -> Edges:
    """Edges (2, drivers) of several single ones."""
    return Edges(*(np.stack([getattr(one, field.name) for one in many], axis=-1) for field in fields(Edges)))


def crossover(edges: Edges, fixed_hz: float | None) -> FloatArray:
    """lg2 of the crossover (drivers,): fixed, or where `verdict.best_crossover_hz` puts it; nan where nothing binds."""
    low, high = edges.bound[0], -edges.bound[1]
    if fixed_hz is not None:
        return np.full(low.shape, np.log2(fixed_hz))
    with np.errstate(invalid="ignore"):
        middle = (low + high) / 2.0
    from_low, from_high = np.isfinite(low), np.isfinite(high)
    return np.select([from_low & from_high, from_low, from_high], [middle, low + 0.5, high - 0.5], np.nan)


def words(edges: Edges, at: FloatArray, gap: NDArray[np.bool_]) -> IntArray:
    """Verdict of the limits (drivers,), by number in `WORDS`, at the crossovers `at` (lg2 of Hz).

    `gap` is true where an essential limit could not be worked out. As `suitability.verdict.judge`.
    """
    signed = np.stack([at, -at])
    fails, near = (np.any(signed < edge, axis=0) for edge in (edges.fail, edges.need))
    found = np.select([fails, gap | np.isnan(at), near], [NOT_SUITABLE, UNDECIDED, CONDITIONS], SUITABLE)
    return np.asarray(found, dtype=np.int8)
