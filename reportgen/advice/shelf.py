"""The shelf: the fewest high drivers that serve every low driver of a screening, and the best set of each smaller number.

Knows sets that cover. Refuses to judge pairs: the screening has done it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import scipy

from reportgen.advice.edges import WORDS
from reportgen.advice.screening import Matrix
from reportgen.suitability.verdict import YES

MOST = 24
"""No larger shelf is looked for: nobody stocks so many kinds for want of two more (common practice, no source)."""


@dataclass(frozen=True)
class Shelf:
    """One set of high drivers: how many low drivers it serves, and which it leaves out."""

    high_ids: tuple[str, ...]
    served: int
    left_out: tuple[str, ...]

    @property
    def complete(self) -> bool:
        """True when every low driver that can be served is."""
        return not self.left_out


@dataclass(frozen=True)
class Shelves:
    """The best set of each number of high drivers, up to the fewest that serve all.

    `never` are low drivers that none serves, `unsure` those that none is sure to serve: a pair of theirs is undecided.
    """

    sets: tuple[Shelf, ...]
    never: tuple[str, ...]
    unsure: tuple[str, ...] = ()


def shelves(matrix: Matrix) -> Shelves:
    """Find the sets; one integer program for each number (Balinski 1965: set covering), dearer sets only break ties downwards."""
    good = np.isin(matrix.words, [WORDS.index(word) for word in YES])
    price = np.min(np.where(np.isnan(matrix.prices), np.inf, matrix.prices), axis=0, initial=np.inf)
    can, may = (np.asarray(one.any(axis=1)) for one in (good, matrix.words == WORDS.index("undecided")))

    def among(wanted: np.ndarray) -> tuple[str, ...]:
        return tuple(low for low, one in zip(matrix.low_ids, wanted.tolist(), strict=True) if one)

    sets = tuple(_sets(good[can], price, among(can), matrix.high_ids))
    return Shelves(sets, among(~can & ~may), among(~can & may))


def _sets(good: np.ndarray, price: np.ndarray, lows: Sequence[str], highs: Sequence[str]) -> Iterator[Shelf]:
    count_l, count_h = good.shape
    if not count_l:
        return
    known = np.where(np.isfinite(price), price, np.nanmedian(price) if np.isfinite(price).any() else 1.0)
    tie = 0.5 * known / max(float(np.sum(known)), 1e-9)  # all ties together weigh less than one low driver
    cost = np.concatenate([tie, -np.ones(count_l)])
    reached = scipy.optimize.LinearConstraint(np.hstack([-good.astype(float), np.eye(count_l)]), -np.inf, 0.0)
    for number in range(1, min(count_h, MOST) + 1):
        limit = scipy.optimize.LinearConstraint(
            np.concatenate([np.ones(count_h), np.zeros(count_l)])[None], 0.0, float(number)
        )
        found = scipy.optimize.milp(
            cost,
            integrality=np.ones(count_h + count_l),
            bounds=scipy.optimize.Bounds(0.0, 1.0),
            constraints=[reached, limit],
        )
        if found.x is None:
            return
        taken = [i for i in range(count_h) if found.x[i] > 0.5]
        with_it = np.asarray(good[:, taken].any(axis=1))
        yield Shelf(
            tuple(highs[i] for i in taken),
            int(with_it.sum()),
            tuple(low for low, one in zip(lows, with_it.tolist(), strict=True) if not one),
        )
        if with_it.all():
            return


def shelf_lines(found: Shelves) -> tuple[str, ...]:
    """The sets in words, the complete one last."""
    total = max((one.served + len(one.left_out) for one in found.sets), default=0)
    lines = [
        f"{len(one.high_ids)} high driver{'s' if len(one.high_ids) > 1 else ''}: {', '.join(one.high_ids)} serve"
        f"{'s' if len(one.high_ids) == 1 else ''} {one.served} of {total} low drivers"
        for one in found.sets
    ]
    said = (("No high driver serves", found.never), ("A run must tell whether a high driver serves", found.unsure))
    for words, lows in said:
        if lows:
            lines.append(f"{words} {', '.join(sorted(lows)[:8])}{' and others' if len(lows) > 8 else ''}")
    return tuple(lines)
