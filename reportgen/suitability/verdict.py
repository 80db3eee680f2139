"""From limits to a range, from checks to a verdict.

Knows how outcomes add up. Refuses to know how any single one was found.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.suitability.checks import FOLLOWS, GRAVITIES, Check
from reportgen.suitability.limits import Limit

Word = Literal["suitable", "suitable with conditions", "not suitable", "undecided"]

BEST_FIRST: tuple[Word, ...] = ("suitable", "suitable with conditions", "undecided", "not suitable")
"""Every word of a verdict, in the order of ranks and tallies."""
YES: tuple[Word, ...] = BEST_FIRST[:2]
"""The words of a pairing that may be sold."""


@dataclass(frozen=True, slots=True)
class UsableRange:
    """What the limits leave: Hz from the highest lower to the lowest upper one; None where nothing bounds it.

    Between both ends of `unfailed` (lg2 of Hz) no limit is missed by more than its tolerance; the first lies over the second where
    one always is.
    """

    low_hz: float | None
    high_hz: float | None
    low_binding: Limit | None
    high_binding: Limit | None
    unfailed: tuple[float, float] = (-math.inf, math.inf)

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


Told = tuple[str, str]
"""The title of a check and what it says."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """The word and what must be heard first; then every fail, every condition to keep, and what is near a limit.

    `fails` and `marginals` are in the order in which they matter; `conditions` are what the builder must keep.
    """

    word: Word
    reason: str
    fails: tuple[Told, ...] = ()
    conditions: tuple[str, ...] = ()
    marginals: tuple[Told, ...] = ()


def usable_range(limits: Sequence[Limit]) -> UsableRange:
    """Highest lower limit to lowest upper limit (Hz), with the two that bind; limits without a figure, and those that are no wall, do not count."""
    lows = [limit for limit in limits if limit.side == "low" and limit.hz is not None and limit.wall]
    highs = [limit for limit in limits if limit.side == "high" and limit.hz is not None and limit.wall]
    low = max(lows, key=lambda limit: limit.hz or 0.0, default=None)
    high = min(highs, key=lambda limit: limit.hz or math.inf, default=None)
    fail = {
        side: max((limit.edge(0.0)[1] for limit in found), default=-math.inf)
        for side, found in (("low", lows), ("high", highs))
    }
    unfailed = (fail["low"], -fail["high"])
    return UsableRange(low.hz if low else None, high.hz if high else None, low, high, unfailed)


def best_crossover_hz(found: UsableRange) -> float | None:
    """The frequency whose smallest margin in octaves is largest: the geometric mean of the two bounds.

    Where the range is empty it is the frequency that misses both by the same share, unless that fails one of them, and another that
    meets it is within the tolerance of the other. With one side open it is half an octave inside the other; None when both are open.
    """
    low = -np.inf if found.low_hz is None else math.log2(found.low_hz)
    high = np.inf if found.high_hz is None else math.log2(found.high_hz)
    octave = float(_unfailed(middle_octave(low, high), (low, high), found.unfailed))
    return None if math.isnan(octave) else 2.0**octave


def _unfailed(
    octave: ArrayLike, bound: tuple[ArrayLike, ArrayLike], unfailed: tuple[ArrayLike, ArrayLike]
) -> NDArray[np.float64]:
    """The middle of a range, in lg2 of Hz, broadcast; where that fails one end, the middle of what meets it and does not fail the other."""
    at, low, high, from_, to = (np.asarray(one, dtype=np.float64) for one in (octave, *bound, *unfailed))
    with np.errstate(invalid="ignore"):
        start, end = np.where(at < from_, low, from_), np.where(at < from_, to, high)
        fails = (at < from_) | (at > to)
        return np.asarray(np.where(fails & (end - start >= TOLD), (start + end) / 2.0, at))


def middle_octave(low: ArrayLike, high: ArrayLike) -> NDArray[np.float64]:
    """The middle of ranges in lg2 of Hz, broadcast: an open side is minus or plus infinity; nan where both are open."""
    low, high = np.asarray(low, dtype=np.float64), np.asarray(high, dtype=np.float64)
    from_low, from_high = np.isfinite(low), np.isfinite(high)
    with np.errstate(invalid="ignore"):
        middle = (low + high) / 2.0
    return np.asarray(np.select([from_low & from_high, from_low, from_high], [middle, low + 0.5, high - 0.5], np.nan))


ROOM_IN_MARGINS = 3.0
"""Room beyond so many times the limit margin is no advantage: from there on lower is better (common practice, no source)."""


TOLD = math.log2(1.01)
"""A crossover is told in three digits, which stand up to 1 % apart: a stretch narrower than this (octaves) need not hold one."""


def roomy_octave(
    bound: tuple[ArrayLike, ArrayLike],
    need: tuple[ArrayLike, ArrayLike],
    margin: float,
    unfailed: tuple[ArrayLike, ArrayLike] = (-np.inf, np.inf),
) -> NDArray[np.float64]:
    """Where the limits alone put a crossover (lg2 of Hz, broadcast): the lowest with room to both sides, else the middle.

    `bound` and `need` are the two ends of the range, without and with its margins, `unfailed` those beyond which a limit fails;
    `margin` is in octaves. nan where both are open.
    """
    (low, high), (from_, to) = bound, (np.asarray(end, dtype=np.float64) for end in need)
    middle = middle_octave(low, high)
    with np.errstate(invalid="ignore"):
        roomy = np.minimum(np.asarray(low) + ROOM_IN_MARGINS * margin, middle)
        within = np.clip(roomy, np.maximum(from_, to - LOOKED_OVER), np.minimum(to, from_ + LOOKED_OVER))
        return np.where(np.isfinite(from_) & np.isfinite(to) & (from_ < to), within, _unfailed(middle, bound, unfailed))


LOOKED_OVER = 2.0
"""Octaves from either end of a range beyond which nobody looks for a crossover."""


def _grave_first(checks: Iterable[Check]) -> list[Check]:
    """What a person must hear first: health, then the kind of driver, then the load; then the largest miss.

    Misses are shares of their own limits, so that octaves, decibels and millimetres can stand in one row. What follows from
    another of them stands right behind it.
    """
    found = list(checks)
    known = {check.id for check in found}
    followed = {check.id: check.because or FOLLOWS.get(check.id, "") for check in found}
    causes = {one: cause if cause in known else one for one, cause in followed.items()}
    worst = {cause: max(one.miss for one in found if causes[one.id] == cause) for cause in causes.values()}

    def place(check: Check) -> tuple[int, float, bool, float]:
        cause = causes[check.id]
        return GRAVITIES.index(check.gravity), -worst[cause], cause != check.id, -check.miss

    return sorted(found, key=place)


def judge(checks: Sequence[Check], found: UsableRange) -> Verdict:
    """The verdict on all `checks`: a fail decides, then an essential gap, then marginals and conditions.

    A check that could be marginal and lacks its datum counts as marginal: what is missing never helps.
    """
    fails = _grave_first(check for check in checks if check.outcome == "fail")
    gaps = [check for check in checks if check.outcome == "not assessed" and check.essential]
    marginals = [
        *_grave_first(check for check in checks if check.outcome == "marginal"),
        *(check for check in checks if check.outcome == "not assessed" and check.judged and not check.essential),
    ]
    kept = _grave_first(check for check in checks if check.condition and check.outcome in ("pass", "marginal"))
    conditions = tuple(dict.fromkeys(check.condition for check in kept))
    told, near = _told(fails), _told(marginals)
    if fails:
        return Verdict("not suitable", _first_reason(fails, found), told, conditions, near)
    if gaps:
        return Verdict("undecided", _all_missing(gaps), told, conditions, near)
    if marginals or conditions:
        must = [check.condition for check in kept if check.outcome == "pass"]  # it passes because that is kept
        overlap = _overlap(marginals, found, ", within their tolerances")
        hardly = [f"Hardly a usable range: {overlap}"] if overlap else []
        reason = [*must, *hardly, *(check.condition or check.text for check in marginals)][0]
        return Verdict("suitable with conditions", reason, told, conditions, near)
    return Verdict("suitable", _room(found, [check.title for check in checks if check.outcome == "not assessed"]))


def _told(checks: Iterable[Check]) -> tuple[Told, ...]:
    return tuple((check.title, check.text) for check in checks)


NO_RANGE = "No usable range"
"""How the reason of an empty range begins."""


def _first_reason(fails: Sequence[Check], found: UsableRange) -> str:
    """The gravest fail; an empty range, with what it lacks and both its bounds, stands behind health, kind and load only.

    Bounds that overlap by so little that a crossover between them fails neither decide nothing.
    """
    overlap = _overlap(fails, found)
    return f"{NO_RANGE}: {overlap}" if overlap else fails[0].text


def _overlap(checks: Sequence[Check], found: UsableRange, within: str = "") -> str:
    """By how much the bounds of an empty range overlap, and both; empty where none of these checks is on one of them, or the first is grave."""
    low, high = found.low_binding, found.high_binding
    if found.octaves is None or not (found.empty and low and high) or not checks or checks[0].gravity:
        return ""
    if not any(check.id in (low.id, high.id) for check in checks):
        return ""
    return f"the limits overlap by {max(-found.octaves, 0.01):.2f} octave{within}. {low.text} {high.text}"


def _all_missing(gaps: Sequence[Check]) -> str:
    """What every essential gap says; one that lacks nothing but what another lacks is left out."""
    told: dict[tuple[str, ...], str] = {}
    for gap in gaps:
        if not any(set(gap.missing) <= set(other) for other in told):
            told[gap.missing] = gap.text
    return " ".join(told.values())


def _room(found: UsableRange, unknown: Sequence[str]) -> str:
    """That every check passes, but for the titles of those that no verdict waits for and nobody could make."""
    which = f" but {' and '.join(unknown)}, which {'are' if len(unknown) > 1 else 'is'} not assessed" if unknown else ""
    passes = f"Every check passes{which}"
    if found.octaves is None or found.low_binding is None or found.high_binding is None:
        return f"{passes}."
    return (
        f"{passes}; the usable range is {found.octaves:.2f} octave wide, "
        f"from {found.low_binding.title.lower()} to {found.high_binding.title.lower()}."
    )
