"""Limits of many drivers as arrays, so that the limits of both sides meet in one step.

Knows how bounds, their spread and their margin add up to a range and a verdict of the limits. Refuses to know
the rules: every figure comes from `suitability.limits`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from reportgen.suitability.limits import LIMITS, SIGN, Limit, Rule, Side
from reportgen.suitability.verdict import BEST_FIRST, roomy_octave

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int8]

SIDES: tuple[Side, Side] = ("low", "high")
"""The first axis of `Edges`."""

WORDS = BEST_FIRST
"""Verdicts from best to worst, by number."""
SUITABLE, CONDITIONS, UNDECIDED, NOT_SUITABLE = range(4)


def number_of(limit_id: str) -> int:
    """The number of a limit in `limits.LIMITS`; one past the last for an open side."""
    return next((number for number, rule in enumerate(LIMITS) if rule.id == limit_id), len(LIMITS))


def id_of(number: int) -> str:
    """The limit with this number; "nothing" for an open side."""
    return LIMITS[number].id if number < len(LIMITS) else "nothing"


@dataclass(frozen=True)
class Edges:
    """Bounds of one driver (2,) or of many (2, ...); index 0 of the first axis is from below, 1 from above.

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

    def shaped(self, *shape: int) -> Edges:
        """The same edges (2, *shape)."""
        return Edges(*(getattr(self, field.name).reshape(2, *shape) for field in fields(self)))


Missing = tuple[tuple[int, str], ...]
"""Numbers of limits, and the essential data that each misses."""


def of_limits(found: Iterable[Limit], margin: float) -> tuple[Edges, Missing]:
    """One driver's limits as edges (2,), and the essential data they miss; `margin` in octaves is the least that passes.

    Spread and margin count as `Limit.edge` has them.
    """
    nowhere = np.full(2, -np.inf)
    edges = Edges(nowhere, nowhere.copy(), nowhere.copy(), np.full(2, number_of("nothing"), dtype=np.int8))
    missing: Missing = ()
    for limit in found:
        if limit.hz is None:
            missing += tuple((number_of(limit.id), text) for text in limit.missing if limit.essential)
            continue
        side = SIDES.index(limit.side)
        bound, fail, need = limit.edge(margin)
        if limit.wall and bound > edges.bound[side]:
            edges.bound[side], edges.by[side] = bound, number_of(limit.id)
        edges.fail[side] = max(edges.fail[side], fail)
        edges.need[side] = max(edges.need[side], need)
    return edges, missing


def of_one_rule(rule: Rule, hz: FloatArray, margin: float) -> Edges:
    """Edges (2, ...) of one rule without spread, from its Hz (...); 0, infinity and nan bind nothing."""
    bound, by = np.full((2, *hz.shape), -np.inf), np.full((2, *hz.shape), number_of("nothing"), dtype=np.int8)
    useful, side = np.isfinite(hz) & (hz > 0.0), SIDES.index(rule.side)
    bound[side] = np.where(useful, SIGN[rule.side] * np.log2(np.where(useful, hz, 1.0)), -np.inf)
    by[side] = np.where(useful, number_of(rule.id), number_of("nothing"))
    return Edges(bound, bound, bound + margin, by)


def stacked(many: Sequence[Edges]) -> Edges:
    """Edges (2, drivers) of several single ones."""
    return Edges(*(np.stack([getattr(one, field.name) for one in many], axis=-1) for field in fields(Edges)))


def crossover(edges: Edges, fixed_hz: float | None, margin: float) -> FloatArray:
    """lg2 of the crossover (...): fixed, or where `verdict.roomy_octave` puts it; nan where nothing binds."""
    if fixed_hz is not None:
        return np.full(edges.bound[0].shape, np.log2(fixed_hz))
    bound, need, unfailed = ((ends[0], -ends[1]) for ends in (edges.bound, edges.need, edges.fail))
    return roomy_octave(bound, need, margin, unfailed)


def words(edges: Edges, at: FloatArray, gap: NDArray[np.bool_]) -> IntArray:
    """Verdict of the limits (...), by number in `WORDS`, at the crossovers `at` (lg2 of Hz).

    `gap` is true where an essential limit could not be worked out. As `suitability.verdict.judge`.
    """
    signed = np.stack([at, -at])
    fails, near = (np.any(signed < edge, axis=0) for edge in (edges.fail, edges.need))
    found = np.where(near, np.int8(CONDITIONS), np.int8(SUITABLE))
    found[gap | np.isnan(at)] = UNDECIDED
    found[fails] = NOT_SUITABLE
    return found
