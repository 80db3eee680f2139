"""Forms of one branch, tried from the plain filter upwards, and what every part of them earns.

Knows which additions a branch may take and when one is not worth its price. Refuses to know the other branch.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from reportgen.acoustics.slopes import Slope
from reportgen.crossover.additions import Additions
from reportgen.crossover.fitting import BranchTask, Fitted, branch_error, fit_branch
from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.networks import Branch
from reportgen.crossover.sides import DesignOptions
from reportgen.crossover.topologies import DAMPING, before_driver, butterworth_start, hardly_there, level_pad

SIZE = {"C": 30e-6, "L": 2e-3}
"""A capacitor or coil of this size costs twice what a small one does (common practice, no source)."""


def charge(branch: Branch, options: DesignOptions) -> float:
    """What the parts of a branch must earn, dB: big capacitors and coils more than small ones, resistors least."""
    return options.worth_db * sum(
        0.25 if c.kind == "R" else 0.5 * (1.0 + c.value / SIZE[c.kind]) for c in branch.components
    )


def form_of(branch: Branch) -> str:
    """The form of a branch in words: its filter's parts and what joins it."""
    roles = [c.role for c in branch.components]
    filters = sum(role.startswith(("series", "shunt")) for role in roles)
    extra = list(dict.fromkeys(role for role in roles if not role.startswith(("series", "shunt"))))
    return f"{filters} filter part{'s' if filters != 1 else ''}" + "".join(f" + {role}" for role in extra)


def lighter(branch: Branch) -> list[Branch]:
    """The branch with each of its stages taken out in turn, and with each damping resistor alone."""
    found = [Branch(branch.stages[:k] + branch.stages[k + 1 :]) for k in range(len(branch.stages))]
    for k, stage in enumerate(branch.stages):
        bare = tuple(c for c in stage.components if c.role != DAMPING)
        if 0 < len(bare) < len(stage.components):
            undamped = replace(stage, components=bare, join="series")
            found.append(Branch((*branch.stages[:k], undamped, *branch.stages[k + 1 :])))
    return found


def keeps_its_filter(branch: Branch, high: bool) -> bool:
    """Whether a capacitor (high branch) or a coil (low branch) still stands in the signal path."""
    kind = "C" if high else "L"
    first = [stage.components[0] for stage in branch.stages if stage.place == "series"]
    return any(part.kind == kind and part.role.startswith("series") for part in first)


@dataclass(frozen=True, slots=True, eq=False)
class Explorer:
    """Forms of one branch tried from the plain filter upwards; an addition stays only where it earns its charge."""

    name: str
    task: BranchTask
    slope: Slope
    crossover_hz: float
    figures: DriverLoad | None
    options: DesignOptions
    pad_db: float = 0.0

    @property
    def high(self) -> bool:
        return self.name == "high"

    def merit(self, fitted: Fitted) -> float:
        return fitted.rms_db + charge(fitted.branch, self.options)

    def explore(self) -> list[Fitted]:
        """Every form fitted, best first by error and charge together."""
        reactive = min(self.options.max_reactive, max(2, self.slope.order))
        tried: list[Fitted] = []
        for order in range(1, reactive + 1):
            tried.append(self._plain(order, tried[-1:]))
        tried = sorted(tried, key=self.merit)
        for base in tried[:2]:
            tried = tried + self._grown(base)
        for full in sorted(tried, key=self.merit)[:2]:
            tried = tried + self._pruned(full)
        return self._distinct(tried)

    def _distinct(self, tried: list[Fitted]) -> list[Fitted]:
        """The best of every form, best first."""
        best: dict[str, Fitted] = {}
        for fitted in sorted(tried, key=self.merit):
            best.setdefault(form_of(fitted.branch), fitted)
        return list(best.values())

    def _plain(self, order: int, simpler: list[Fitted]) -> Fitted:
        """The plain filter of an order; from the simpler one's values where the handbook's lead to nothing better."""
        fitted = fit_branch(self._start(order), self.task)
        if simpler and fitted.rms_db > 0.98 * simpler[0].rms_db:
            stages = simpler[0].branch.stages
            added = self._start(order).stages[order - 1]
            wider = Branch((*stages[: order - 1], hardly_there(added), *stages[order - 1 :]))
            fitted = min(fitted, fit_branch(wider, self.task), key=lambda one: one.rms_db)
        return fitted

    def _start(self, order: int) -> Branch:
        near = int(np.argmin(np.abs(self.task.frequency_hz - self.crossover_hz)))
        resistance = float(np.abs(self.task.load_ohm[near]))
        branch = butterworth_start(order, resistance, self.crossover_hz, self.high)
        return before_driver(branch, *level_pad(self.pad_db, resistance)) if self.pad_db else branch

    def _grown(self, base: Fitted) -> list[Fitted]:
        tried: list[Fitted] = []
        best = base
        for addition in self._additions():
            wider = addition(best)
            if wider is None or len(wider.components) > self.options.max_parts:
                continue
            fitted = fit_branch(wider, self.task, 15)
            tried.append(fitted)
            if self.merit(fitted) < self.merit(best):
                best = fitted
        return tried

    def _pruned(self, full: Fitted) -> list[Fitted]:
        """Forms with the stage that matters least taken out, as long as that pays."""
        best = full
        tried: list[Fitted] = []
        while True:
            without = [branch for branch in lighter(best.branch) if keeps_its_filter(branch, self.high)]
            if not without:
                return tried
            errors = [branch_error(branch, self.task, best.level_shift_db) for branch in without]
            fitted = fit_branch(without[int(np.argmin(errors))], self.task, 15)
            tried.append(fitted)
            if self.merit(fitted) >= self.merit(best):
                return tried
            best = fitted

    def _additions(self) -> list[Callable[[Fitted], Branch | None]]:
        found = Additions(self.task, self.figures, self.crossover_hz, self.high)
        return [found.trapped, found.compensated] if self.high else [found.compensated, found.notched]
