"""Pairs of branches fitted together: the best found of every number of parts, from few to many.

Knows which pairs of forms promise most and how a part is left out. Refuses to know what can be bought.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from reportgen.crossover.fitting import Fitted, Heard
from reportgen.crossover.forms import keeps_its_filter, lighter
from reportgen.crossover.joint import JointFit, JointTask, fit_joint, joint_error, joint_square, promised_error
from reportgen.crossover.networks import Branch

FEWEST, MOST = 4, 10
"""So many parts a network has, where the slope is not of first order: fewer follow no slope, more are not worth their place."""

TRIED = 3
"""So many pairs of forms of each number of parts are fitted together."""

STEPS_DOWN = 2
"""Of the ways to leave out a part, so many that promise most are fitted."""

SETTLING_EVALUATIONS = 40
"""The fits that compare forms stop early; the one that is kept may run on."""

SENSITIVITY = 1.0
"""How much of the error that parts 5 % off add counts when forms are compared: all of it, for that is what builds have."""


def merit(fit: JointFit) -> float:
    """Error with what 5 % parts add to it: the lower the better."""
    return float(np.hypot(fit.rms_db, SENSITIVITY * fit.sensitivity_db))


def parts_of(fit: JointFit) -> int:
    """How many parts both branches have."""
    return len(fit.low.branch.components) + len(fit.high.branch.components)


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
    """The best pairs of every number of parts: of forms fitted alone, of fuller ones with a part left out, settled."""
    found = Ladder()
    for pairs in _promising(lows, highs, task, fewest).values():
        for low, high, sign in pairs:
            found.take(fit_joint(low.branch, high.branch, replace(task, sign=sign), 0.0))
    for count in range(max(found.best), fewest, -1):
        if count in found.best:
            _leave_out(found, found.best[count], task, fewest)
    for count, fit in sorted(found.best.items()):
        found.best[count] = settled(fit, task)
    return found


def settled(fit: JointFit, task: JointTask) -> JointFit:
    """The fit run on until it rests."""
    signed = replace(task, sign=fit.sign)
    further = fit_joint(fit.low.branch, fit.high.branch, signed, fit.level_shift_db, SETTLING_EVALUATIONS)
    return min(further, fit, key=lambda one: joint_error(one.low.branch, one.high.branch, signed, one.level_shift_db))


def _leave_out(found: Ladder, fit: JointFit, task: JointTask, fewest: int) -> None:
    """Take into the ladder what becomes of a fit when one part, or one that only joins another, is left out."""
    signed, shift = replace(task, sign=fit.sign), fit.level_shift_db
    pairs = [(low, high) for low, high in _lighter(fit) if len(low.components) + len(high.components) >= fewest]
    pairs.sort(key=lambda pair: promised_error(pair[0], pair[1], signed, shift))
    for low, high in pairs[:STEPS_DOWN]:
        found.take(fit_joint(low, high, signed, shift))


def _lighter(fit: JointFit) -> Iterator[tuple[Branch, Branch]]:
    low, high = fit.low.branch, fit.high.branch
    yield from ((branch, high) for branch in lighter(low) if keeps_its_filter(branch, high=False))
    yield from ((low, branch) for branch in lighter(high) if keeps_its_filter(branch, high=True))


Pair = tuple[Fitted, Fitted, int]


def _promising(
    lows: Sequence[Fitted], highs: Sequence[Fitted], task: JointTask, fewest: int
) -> Mapping[int, list[Pair]]:
    """For every number of parts the pairs of forms, with the polarity, that together come nearest as they stand."""
    low, high = _stacked(lows, column=True), _stacked(highs)
    squares = [joint_square(replace(task, sign=sign), low, high, 0.0) for sign in (1, -1)]
    better = np.argmin(squares, axis=0)
    square = np.min(squares, axis=0)
    found: dict[int, list[Pair]] = defaultdict(list)
    for place in np.argsort(square, axis=None, kind="stable"):
        i, j = divmod(int(place), len(highs))
        count = len(lows[i].branch.components) + len(highs[j].branch.components)
        if fewest <= count <= MOST and len(found[count]) < TRIED:
            found[count].append((lows[i], highs[j], 1 if better[i, j] == 0 else -1))
    return found


def _stacked(forms: Sequence[Fitted], column: bool = False) -> Heard:
    """What all forms do as one array, (forms, ...), or (forms, 1, ...)."""
    pressure = np.stack([one.heard.pressure for one in forms])
    admittance = np.stack([one.heard.admittance for one in forms])
    return Heard(pressure[:, None], admittance[:, None]) if column else Heard(pressure, admittance)
