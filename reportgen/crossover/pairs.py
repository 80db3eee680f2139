"""Pairs of branches fitted together: the best found of every number of parts, from few to many.

Knows which pairs of forms promise most and how a part is left out. Refuses to know what can be bought.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from reportgen.crossover.fitting import Fitted, Heard
from reportgen.crossover.forms import keeps_its_filter, lighter, undoubled
from reportgen.crossover.joint import JointFit, JointTask, Start, fit_joint, joint_square, promised_errors

FEWEST, MOST = 4, 10
"""So many parts a network has, where the slope is not of first order: fewer follow no slope, more are not worth their place."""

TRIED = 3
"""So many pairs of forms of each number of parts are fitted together."""

SETTLING_EVALUATIONS = 40
"""The fits that compare forms stop early; the one that is kept may run on."""

LEFT_OUT_EVALUATIONS = 7
"""What is left of a fitted pair without one part has not far to go."""

SENSITIVITY = 1.0
"""How much of the error that parts 5 % off add counts when forms are compared: all of it, for that is what builds have."""


def merit(fit: JointFit) -> float:
    """Error with what 5 % parts add to it: the lower the better."""
    return float(np.hypot(fit.rms_db, SENSITIVITY * fit.sensitivity_db))


def parts_of(fit: JointFit) -> int:
    """How many parts both branches have."""
    return fit.low.parts + fit.high.parts


@dataclass(slots=True)
class Ladder:
    """The best fit of every number of parts, and all fits that were made."""

    best: dict[int, JointFit] = field(default_factory=dict)
    made: list[JointFit] = field(default_factory=list)

    def take(self, fit: JointFit) -> bool:
        """Remember a fit; whether it is the best of its number of parts."""
        self.made.append(fit)
        count = parts_of(fit)
        if count in self.best and merit(self.best[count]) <= merit(fit):
            return False
        self.best[count] = fit
        return True


def ladder_of(lows: Sequence[Fitted], highs: Sequence[Fitted], task: JointTask, fewest: int = FEWEST) -> Ladder:
    """The best pairs of every number of parts: of forms fitted alone, of fuller ones with a part left out, settled.

    A branch with one part in two pieces is only on the way to smaller ones.
    """
    found = Ladder()
    for fit in fit_joint(_promising(lows, highs, task, fewest), task):
        found.take(fit)
    _leave_out(found, task, fewest)
    found = _undoubled(found, task, fewest)
    counts = sorted(found.best)
    found.best = dict(zip(counts, settled([found.best[count] for count in counts], task), strict=True))
    return found


def _undoubled(found: Ladder, task: JointTask, fewest: int) -> Ladder:
    """What is left when fits with one part in two pieces go, as leaving out what stood between two coils makes them; the best of those as one piece."""
    kept, best = Ladder(), {id(fit) for fit in found.best.values()}
    starts: list[Start] = []
    for fit in found.made:
        start = Start(undoubled(fit.low.branch), undoubled(fit.high.branch), fit.sign, fit.level_shift_db)
        if start.parts == parts_of(fit):
            kept.take(fit)
        elif id(fit) in best and start.parts >= fewest:
            starts.append(start)
    for fit in fit_joint(starts, task, LEFT_OUT_EVALUATIONS) if starts else ():
        kept.take(fit)
    return kept


def settled(fits: Sequence[JointFit], task: JointTask) -> list[JointFit]:
    """The fits run on until they rest, each taken where that does not lead to values that builds would suffer from more."""
    starts = [Start(fit.low.branch, fit.high.branch, fit.sign, fit.level_shift_db) for fit in fits]
    further = fit_joint(starts, task, SETTLING_EVALUATIONS)
    return [min(pair, key=merit) for pair in zip(further, fits, strict=True)]


def _leave_out(found: Ladder, task: JointTask, fewest: int) -> None:
    """Take into the ladder what becomes of its best fits when one part is left out, and of what that brings, to the end."""
    fresh = list(found.best.values())
    while starts := _with_one_left_out(fresh, task, fewest):
        made = [fit for fit in fit_joint(starts, task, LEFT_OUT_EVALUATIONS) if found.take(fit)]
        fresh = [fit for fit in made if found.best[parts_of(fit)] is fit]


def _with_one_left_out(fits: Sequence[JointFit], task: JointTask, fewest: int) -> list[Start]:
    """Of each fit with one part, or one that only joins another, left out: the way that promises most.

    The second best of them, fitted too, led to no better networks in thirteen drawn seasons and the four of the tests, and took a tenth of the evaluations (no source).
    """
    ways = [[one for one in _lighter(fit) if one.parts >= fewest] for fit in fits]
    every = [one for some in ways for one in some]
    if not every:
        return []
    promised = dict(zip(map(id, every), promised_errors(every, task).tolist(), strict=True))
    return [min(some, key=lambda one: promised[id(one)]) for some in ways if some]


def _lighter(fit: JointFit) -> Iterator[Start]:
    low, high, kept = fit.low.branch, fit.high.branch, (fit.sign, fit.level_shift_db)
    yield from (Start(branch, high, *kept) for branch in lighter(low) if keeps_its_filter(branch, high=False))
    yield from (Start(low, branch, *kept) for branch in lighter(high) if keeps_its_filter(branch, high=True))


def _promising(lows: Sequence[Fitted], highs: Sequence[Fitted], task: JointTask, fewest: int) -> list[Start]:
    """Of every number of parts the pairs of forms, with the polarity, that together come nearest as they stand."""
    low, high = _stacked(lows, column=True), _stacked(highs)
    squares = [joint_square(replace(task, sign=sign), low, high, 0.0) for sign in (1, -1)]
    better = np.argmin(squares, axis=0)
    square = np.min(squares, axis=0)
    parts = np.add.outer([one.parts for one in lows], [one.parts for one in highs])
    found: list[Start] = []
    for count in range(fewest, MOST + 1):
        alike = np.argwhere(parts == count)
        for i, j in alike[np.argsort(square[tuple(alike.T)], kind="stable")[:TRIED]].tolist():
            found.append(Start(lows[i].branch, highs[j].branch, 1 if better[i, j] == 0 else -1))
    return found


def _stacked(forms: Sequence[Fitted], column: bool = False) -> Heard:
    """What all forms do as one array, (forms, ...), or (forms, 1, ...)."""
    pressure = np.stack([one.heard.pressure for one in forms])
    admittance = np.stack([one.heard.admittance for one in forms])
    return Heard(pressure[:, None], admittance[:, None]) if column else Heard(pressure, admittance)
