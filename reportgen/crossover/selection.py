"""Choosing real parts for both branches at once: a discrete search, not a rounding of each part alone.

Knows candidates for every place and the error of any combination of them. Refuses to know how the places came
about.
"""

from __future__ import annotations

import heapq
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from reportgen.crossover.fitting import BranchTask, Fitted, Heard, heard
from reportgen.crossover.joint import JointTask, joint_square
from reportgen.crossover.networks import Branch, Component, with_components
from reportgen.crossover.parts import used_ids

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]
Choices = Sequence[Sequence[Component]]
Index = tuple[int, ...]
Objective = Callable[[Sequence[Index]], FloatArray]

ALIKE_DB = 0.03
"""Combinations whose error differs less than this are told apart by price (common practice, no source)."""


def best_first(sizes: Sequence[int], objective: Objective, expansions: int = 10, keep: int = 24) -> list[Index]:
    """Best combinations found, best first: always the most promising one is taken on to all its neighbours.

    `sizes` counts the candidates of each place; candidate 0 of each is the nearest single value. A neighbour
    differs in one place; around the start also in two. `objective` takes many combinations in one call.
    """
    start = tuple(0 for _ in sizes)
    seen: dict[Index, float] = {start: float(objective([start])[0])}
    queue = [(seen[start], start)]
    for turn in range(expansions):
        if not queue:
            break
        _, state = heapq.heappop(queue)
        fresh = [s for s in _neighbours(state, sizes, twice=turn == 0) if s not in seen]
        if fresh:
            for error, found in zip(objective(fresh).tolist(), fresh, strict=True):
                seen[found] = error
                heapq.heappush(queue, (error, found))
    return sorted(seen, key=lambda s: (seen[s], s))[:keep]


def _neighbours(state: Index, sizes: Sequence[int], twice: bool) -> Iterable[Index]:
    single = [(i, k) for i, size in enumerate(sizes) for k in range(size) if k != state[i]]
    found = {_changed(state, (move,)) for move in single}
    if twice:
        near = [(i, k) for i, k in single if k < 4]
        found |= {_changed(state, both) for both in combinations(near, 2) if both[0][0] != both[1][0]}
    return sorted(found)


def _changed(state: Index, moves: Iterable[tuple[int, int]]) -> Index:
    changed = list(state)
    for place, candidate in moves:
        changed[place] = candidate
    return tuple(changed)


@dataclass(frozen=True, slots=True, eq=False)
class _Side:
    """One branch with the candidates of each place as arrays (places, candidates), padded with the last."""

    branch: Branch
    task: BranchTask
    choices: Choices
    values: FloatArray
    losses: FloatArray

    @property
    def sizes(self) -> list[int]:
        return [len(choice) for choice in self.choices]

    def heard(self, states: Sequence[Index]) -> Heard:
        """What the builds of many states do, arrays (states, ...)."""
        picked = np.array(states, dtype=np.intp).reshape(len(states), len(self.choices))
        places = np.arange(len(self.choices))
        return heard(self.branch, self.task, self.values[places, picked], self.losses[places, picked])

    def built(self, state: Index) -> tuple[Component, ...]:
        return tuple(choice[k] for choice, k in zip(self.choices, state, strict=True))


def _side(branch: Branch, task: BranchTask, choices: Choices) -> _Side:
    widest = max((len(choice) for choice in choices), default=0)
    padded = [[*choice, *[choice[-1]] * (widest - len(choice))] for choice in choices]
    values = np.array([[c.value for c in row] for row in padded]).reshape(len(choices), widest)
    losses = np.array([[c.resistance_ohm for c in row] for row in padded]).reshape(len(choices), widest)
    return _Side(branch, task, choices, values, losses)


@dataclass(frozen=True, slots=True, eq=False)
class Selected:
    """The chosen builds of both branches, the rms error of the choice and how many combinations were worked out."""

    low: Branch
    high: Branch
    rms_db: float
    tried: int
    within_stock: bool


def price_of(components: Iterable[Component]) -> float | None:
    """Sum of prices, None when one of them is unknown."""
    prices = [component.price for component in components]
    known = [price for price in prices if price is not None]
    return sum(known) if prices and len(known) == len(prices) else None


def _within_stock(components: Iterable[Component], stock: dict[str, int]) -> bool:
    used = Counter(part for component in components for part in used_ids(component))
    return all(count <= stock.get(part, count) for part, count in used.items())


def select(
    low: Fitted,
    high: Fitted,
    low_choices: Choices,
    high_choices: Choices,
    *,
    task: JointTask,
    stock: dict[str, int],
) -> Selected:
    """Best buyable combination for both branches: each searched beside the other's optimum, then all against all.

    `low_choices` and `high_choices` list candidates for every place in the order of the branch's components;
    `stock` caps how often an offer may be used.
    """
    shift = low.level_shift_db
    sides = _side(low.branch, task.low, low_choices), _side(high.branch, task.high, high_choices)

    def low_objective(states: Sequence[Index]) -> FloatArray:
        return joint_square(task, sides[0].heard(states), high.heard, shift)

    def high_objective(states: Sequence[Index]) -> FloatArray:
        return joint_square(task, low.heard, sides[1].heard(states), shift)

    found = [best_first(s.sizes, o) for s, o in zip(sides, (low_objective, high_objective), strict=True)]
    lows, highs = (s.heard(f) for s, f in zip(sides, found, strict=True))
    beside = Heard(lows.pressure[:, None], lows.admittance[:, None])
    squares = joint_square(task, beside, highs, shift)
    return _cheapest_of_best(sides, found, np.sqrt(squares), stock, squares.size)


def _cheapest_of_best(
    sides: tuple[_Side, _Side], found: list[list[Index]], rms: FloatArray, stock: dict[str, int], tried: int
) -> Selected:
    """The cheapest of those that are as good as the best; if the stock allows none of them, the best all the same."""
    order = [divmod(int(k), rms.shape[1]) for k in np.argsort(rms, axis=None, kind="stable")]
    built = {(i, j): (sides[0].built(found[0][i]), sides[1].built(found[1][j])) for i, j in order[:200]}
    allowed = [place for place, (low, high) in built.items() if _within_stock((*low, *high), stock)]
    alike = [place for place in allowed if rms[place] <= rms[allowed[0]] + ALIKE_DB]

    def price(place: tuple[int, int]) -> float:
        known = price_of((*built[place][0], *built[place][1]))
        return float("inf") if known is None else known

    chosen = min(alike, key=price, default=order[0])
    low, high = built[chosen]
    branches = with_components(sides[0].branch, low), with_components(sides[1].branch, high)
    return Selected(*branches, float(rms[chosen]), tried, bool(allowed))
