"""Choosing real parts for both branches at once: a discrete search, not a rounding of each part alone.

Knows candidates for every place and the error of any combination of them. Refuses to know how the places came
about.
"""

from __future__ import annotations

import heapq
from collections import Counter
from collections.abc import Generator, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from reportgen.crossover.fitting import BranchTask, Heard, heard, joined
from reportgen.crossover.joint import JointFit, JointTask, joint_square, residuals
from reportgen.crossover.networks import Branch, Component, with_components
from reportgen.crossover.parts import used_ids
from reportgen.crossover.reached import Bench
from reportgen.crossover.rounds import in_step
from reportgen.crossover.sides import DesignOptions

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]
Choices = Sequence[Sequence[Component]]
Index = tuple[int, ...]

SAME_MISS = 0.005
"""Networks that miss what is wanted by shares that differ less are told apart by error and price (no source)."""


UNPRICED_DB = 0.2
"""A piece without a price, where others of its kind have one, leaves the price of the whole kit unknown: it is held to
cost so much beside its kind's usual price. Set by trial on all four seasons: a third fewer prices stay unknown, and the
medians of error and evenness stay where they were (no source)."""

ROOM_FROM_DB, ROOM_SHARE = 1.0, 0.5
"""A sum that strays further leaves less room for the parts' tolerances: what is beyond counts so much. Set by trial on all four
seasons: good builds rise from 0.93 to 0.96 in the median, for no more pieces (no source)."""


Search = Generator[Sequence[Index], FloatArray, list[Index]]
"""Asks for the errors of combinations, is sent them, (combinations,), and comes to the best ones."""


def best_first(sizes: Sequence[int], expansions: int = 6, keep: int = 14) -> Search:
    """Best combinations found, best first: always the most promising one is taken on to all its neighbours.

    `sizes` counts the candidates of each place; candidate 0 of each is the nearest single value. A neighbour
    differs in one place; around the start also in two. Asks for the errors of many combinations at a time.
    """
    start = tuple(0 for _ in sizes)
    seen: dict[Index, float] = {start: float((yield [start])[0])}
    queue = [(seen[start], start)]
    for turn in range(expansions):
        if not queue:
            break
        _, state = heapq.heappop(queue)
        fresh = [s for s in _neighbours(state, sizes, twice=turn == 0) if s not in seen]
        if fresh:
            for error, found in zip((yield fresh).tolist(), fresh, strict=True):
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
    costs_db: FloatArray

    def cost_db(self, states: Sequence[Index]) -> FloatArray:
        """What the pieces and money of many states count as, (states,)."""
        return np.asarray(self.costs_db[self._places, self._picked(states)].sum(axis=-1))

    @property
    def sizes(self) -> list[int]:
        return [len(choice) for choice in self.choices]

    def picked(self, states: Sequence[Index]) -> tuple[FloatArray, FloatArray]:
        """Values and losses of the builds of many states, each (states, places)."""
        places, picked = self._places, self._picked(states)
        return self.values[places, picked], self.losses[places, picked]

    @property
    def _places(self) -> NDArray[np.intp]:
        return np.arange(len(self.choices))

    def _picked(self, states: Sequence[Index]) -> NDArray[np.intp]:
        return np.array(states, dtype=np.intp).reshape(len(states), len(self.choices))

    def heard(self, states: Sequence[Index]) -> Heard:
        """What the builds of many states do, arrays (states, ...)."""
        return heard(self.branch, self.task, *self.picked(states))

    def built(self, state: Index) -> tuple[Component, ...]:
        return tuple(choice[k] for choice, k in zip(self.choices, state, strict=True))


def _side(branch: Branch, task: BranchTask, choices: Choices, shop: Shop) -> _Side:
    widest = max((len(choice) for choice in choices), default=0)
    padded = [[*choice, *[choice[-1]] * (widest - len(choice))] for choice in choices]
    values = np.array([[c.value for c in row] for row in padded]).reshape(len(choices), widest)
    losses = np.array([[c.resistance_ohm for c in row] for row in padded]).reshape(len(choices), widest)
    costs = np.array([[shop.cost_db((c,)) for c in row] for row in padded]).reshape(len(choices), widest)
    return _Side(branch, task, choices, values, losses, costs)


@dataclass(frozen=True, slots=True, eq=False)
class Selected:
    """The chosen builds of both branches, the rms error of the choice, its miss, and whether the shelf holds them.

    `heard_db` is the error without what the load falls short of, which nobody hears; `shift_db` the level that it was held
    against, re that of the targets.
    """

    low: Branch
    high: Branch
    rms_db: float
    heard_db: float
    missed: float
    within_stock: bool
    shift_db: float = 0.0

    @property
    def components(self) -> tuple[Component, ...]:
        """Every part of both branches."""
        return (*self.low.components, *self.high.components)


def price_of(components: Iterable[Component]) -> float | None:
    """Sum of prices, None when one of them is unknown."""
    prices = [component.price for component in components]
    known = [price for price in prices if price is not None]
    return sum(known) if prices and len(known) == len(prices) else None


def pieces_of(components: Iterable[Component]) -> int:
    """Pieces as bought: a pair counts two."""
    return sum(max(len(component.made_of), 1) for component in components)


def _within_stock(components: Iterable[Component], stock: Mapping[str, int]) -> bool:
    used = Counter(part for component in components for part in used_ids(component))
    return all(count <= stock.get(part, count) for part, count in used.items())


@dataclass(frozen=True, slots=True, eq=False)
class Shop:
    """What steers the choice among networks: the options, and a price for what states none (its kind's mean, or 0)."""

    options: DesignOptions
    usual: Mapping[str, float]

    def cost_db(self, components: Iterable[Component]) -> float:
        """What pieces and money count as, in dB."""
        parts = tuple(components)
        money = sum(self.usual[part.kind] if part.price is None else part.price for part in parts)
        unpriced = sum(part.price is None and self.usual[part.kind] > 0.0 for part in parts)
        return pieces_of(parts) / self.options.pieces_a_db + money / self.options.money_a_db + UNPRICED_DB * unpriced

    @property
    def stock(self) -> dict[str, int]:
        """How often each offer may be used: what is counted on the shelf, where only that may be used."""
        if self.options.policy != "stock":
            return {}
        return {offer.id: offer.stock for offer in self.options.stock if offer.stock is not None}


def shop_of(options: DesignOptions) -> Shop:
    """The shop for a design."""
    usual = {}
    for kind in ("C", "L", "R"):
        prices = [offer.price for offer in options.stock if offer.kind == kind and offer.price is not None]
        usual[kind] = sum(prices) / len(prices) if prices else 0.0
    return Shop(options, usual)


def select(
    fits: Sequence[JointFit],
    choices: Sequence[tuple[Choices, Choices]],
    task: JointTask,
    bench: Bench,
    shop: Shop,
    moved_db: Sequence[float] = (0.0,),
) -> list[Selected]:
    """Best buyable network of each fit: each branch searched beside the other's optimum, then all against all.

    `choices` list the candidates for every place of the low and of the high branch of a fit in the order of its components. Of
    the networks that the shelf holds the one is taken that misses least of what is wanted, and among those that miss
    alike the one whose error, pieces and money together count least; each is held against the level of its fit, moved by any of
    `moved_db`. All is told apart in single precision, and the
    searches go in step, for what takes the time is the number of calls.
    """
    task, bench = replace(task.in_single(), sign=1), bench.in_single()
    sides = [
        (_side(fit.low.branch, task.low, low, shop), _side(fit.high.branch, task.high, high, shop))
        for fit, (low, high) in zip(fits, choices, strict=True)
    ]
    every = [side for pair in sides for side in pair]
    best = [each for fit in fits for each in (fit.low.heard.in_single(), fit.high.heard.in_single().turned(fit.sign))]
    shifts = np.array([fit.level_shift_db for fit in fits for _ in range(2)])

    def errors(asked: Mapping[int, Sequence[Index]]) -> dict[int, FloatArray]:
        places = [place for place, states in asked.items() for _ in states]
        tried = [
            every[place].heard(states).turned(fits[place // 2].sign if place % 2 else 1)
            for place, states in asked.items()
        ]
        other = [best[place ^ 1].repeated(len(states)) for place, states in asked.items()]
        low = [mine if place % 2 == 0 else its for place, mine, its in zip(asked, tried, other, strict=True)]
        high = [its if place % 2 == 0 else mine for place, mine, its in zip(asked, tried, other, strict=True)]
        found = np.sqrt(joint_square(task, joined(low), joined(high), shifts[places]))
        ends = np.cumsum([len(states) for states in asked.values()])
        return {
            place: error + every[place].cost_db(states)
            for (place, states), error in zip(asked.items(), np.split(found, ends[:-1]), strict=True)
        }

    found = in_step([best_first(side.sizes) for side in every], errors)
    return [
        _all_against_all(fit, pair, (found[2 * k], found[2 * k + 1]), task, bench, shop, moved_db)
        for k, (fit, pair) in enumerate(zip(fits, sides, strict=True))
    ]


def _all_against_all(
    fit: JointFit,
    sides: tuple[_Side, _Side],
    found: tuple[list[Index], list[Index]],
    task: JointTask,
    bench: Bench,
    shop: Shop,
    moved_db: Sequence[float],
) -> Selected:
    """The best of all low branches found with all high ones, at any of these levels re that of the fit."""
    shift = np.array([fit.level_shift_db + db for db in moved_db], dtype=task.share.dtype)[:, None, None]
    lows, highs = (side.heard(states) for side, states in zip(sides, found, strict=True))
    beside = Heard(lows.pressure[:, None], lows.admittance[:, None])
    *groups, short = (np.sum(group**2, axis=-1) for group in residuals(task, beside, highs.turned(fit.sign), shift))
    square = np.asarray(sum(groups[1:], groups[0]))
    error, heard = np.sqrt(square + short), np.sqrt(square)
    cost = sides[0].cost_db(found[0])[:, None] + sides[1].cost_db(found[1])
    measured = [
        bench.side_heard(at, side.branch, *side.picked(states))
        for at, side, states in zip((bench.low, bench.high), sides, found, strict=True)
    ]
    low = measured[0][0][:, None], measured[0][1][:, None]
    many = bench.many(low, measured[1], fit.sign, min(task.low.level_db, task.high.level_db) + shift)
    missed, near = many.missed(shop.options.wanted, task.nulled), np.maximum(many.worst_db - ROOM_FROM_DB, 0.0)
    return _best(sides, found, shift, error, heard, error + cost + ROOM_SHARE * near, missed, shop.stock)


def _best(
    sides: tuple[_Side, _Side],
    found: tuple[list[Index], list[Index]],
    shift: FloatArray,
    error: FloatArray,
    heard: FloatArray,
    worth: FloatArray,
    missed: FloatArray,
    stock: Mapping[str, int],
) -> Selected:
    """The least miss, then the least worth, of those the stock allows; if it allows none, of all. Arrays (levels, lows, highs)."""
    order = np.lexsort((worth.ravel(), np.round(missed.ravel() / SAME_MISS)))
    first: Selected | None = None
    for place in order[:200]:
        k, i, j = (int(one) for one in np.unravel_index(place, error.shape))
        parts = sides[0].built(found[0][i]), sides[1].built(found[1][j])
        allowed = _within_stock((*parts[0], *parts[1]), stock)
        if allowed or first is None:
            low, high = (with_components(side.branch, one) for side, one in zip(sides, parts, strict=True))
            at = (k, i, j)
            chosen = Selected(
                low, high, float(error[at]), float(heard[at]), float(missed[at]), allowed, float(shift[k, 0, 0])
            )
            if allowed:
                return chosen
            first = chosen
    assert first is not None
    return first
