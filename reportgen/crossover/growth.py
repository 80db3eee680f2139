"""Pairs of branches taken further where they miss: parts added or left out, as long as that pays for both together.

Knows which pair of forms is better than another and how to come from one to the next. Refuses to know where the
first pair came from and what can be bought.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from reportgen.crossover.additions import Additions
from reportgen.crossover.exploration import charge, keeps_its_filter, lighter
from reportgen.crossover.joint import JointFit, JointTask, fit_joint, is_good, joint_error, promised_error
from reportgen.crossover.networks import Branch
from reportgen.crossover.sides import DesignOptions

JOINT_CHARGE = 0.75
ROUNDS, TRIED = 4, 2
"""At most so many parts are added to a pair, each the best of so many that promise most."""

Forms = tuple[Branch, Branch]


def merit(fit: JointFit, options: DesignOptions) -> float:
    """Error with what 5 % parts add to it, and what the parts must earn: the lower the better."""
    parts = charge(fit.low.branch, options) + charge(fit.high.branch, options)
    return float(np.hypot(fit.rms_db, options.sensitivity * fit.sensitivity_db)) + JOINT_CHARGE * parts


@dataclass(frozen=True, slots=True, eq=False)
class Grower:
    """A pair of branches on its way: the joint task, what each branch may take, what may be used."""

    task: JointTask
    low: Additions
    high: Additions
    options: DesignOptions

    def pruned(self, fits: list[JointFit]) -> list[JointFit]:
        """The fits with lighter forms of the best one before it, as long as leaving a part out pays."""
        while True:
            best = fits[0]
            pairs = list(self._lighter(best))
            if not pairs:
                return fits
            signed, shift = replace(self.task, sign=best.sign), best.level_shift_db
            errors = [joint_error(*pair, signed, shift) for pair in pairs]
            fit = fit_joint(*pairs[errors.index(min(errors))], signed, shift)
            if merit(fit, self.options) >= merit(best, self.options):
                return [best, fit, *fits[1:]]
            fits = [fit, *fits]

    def grown(self, fits: list[JointFit]) -> list[JointFit]:
        """The fits with fuller forms of the best one before it, as long as it misses and a part more pays."""
        for _ in range(ROUNDS):
            best = fits[0]
            signed, shift = replace(self.task, sign=best.sign), best.level_shift_db
            if is_good(signed, best):
                return fits
            pairs = sorted(self._fuller(best), key=lambda pair: self._promise(pair, signed, shift))
            tried = [fit_joint(*pair, signed, shift) for pair in pairs[:TRIED]]
            fits = sorted([*tried, *fits], key=lambda fit: merit(fit, self.options))
            if fits[0] is best:
                return fits
        return fits

    def _promise(self, pair: Forms, task: JointTask, shift_db: float) -> float:
        parts = charge(pair[0], self.options) + charge(pair[1], self.options)
        return promised_error(*pair, task, shift_db) + JOINT_CHARGE * parts

    def _lighter(self, fit: JointFit) -> Iterator[Forms]:
        low, high = fit.low.branch, fit.high.branch
        yield from ((branch, high) for branch in lighter(low) if keeps_its_filter(branch, high=False))
        yield from ((low, branch) for branch in lighter(high) if keeps_its_filter(branch, high=True))

    def _fuller(self, fit: JointFit) -> Iterator[Forms]:
        low, high, most = fit.low.branch, fit.high.branch, self.options.max_parts
        yield from ((branch, high) for branch in self.low.all(fit.low) if len(branch.components) <= most)
        yield from ((low, branch) for branch in self.high.all(fit.high) if len(branch.components) <= most)
