"""What may join a branch that is fitted: another filter part, a damping resistor, a pad, a trap, a notch.

Knows where each stands, the value it starts from and when there is no cause for it. Refuses to know whether it pays.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import pi

import numpy as np

from reportgen.crossover.fitting import BranchTask, Fitted, level_of
from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.networks import Branch, Component, Stage, across, in_path
from reportgen.crossover.topologies import (
    DAMPING,
    PAD,
    before_driver,
    before_filter,
    butterworth_start,
    coil_compensation,
    hardly_there,
    notch,
    resonance_trap,
)

WORTH_COMPENSATING = 0.2
"""A resonance or a coil's reactance below this share of Re asks for no compensation (common practice, no source)."""

NOTCH_FROM_DB = 3.0
"""A peak lower than this is left alone (common practice, no source)."""

MOST_FILTER_PARTS = 4


@dataclass(frozen=True, slots=True, eq=False)
class Additions:
    """What one branch may take: its task, its driver's figures (None where unknown), the crossover, its side."""

    task: BranchTask
    figures: DriverLoad | None
    crossover_hz: float
    high: bool

    @property
    def resistance_ohm(self) -> float:
        """Modulus of the driver's impedance at the crossover."""
        near = int(np.argmin(np.abs(self.task.frequency_hz - self.crossover_hz)))
        return float(np.abs(self.task.load_ohm[near]))

    def all(self, base: Fitted) -> Iterator[Branch]:
        """The branch with each addition that has a cause."""
        yield from self.wider(base.branch)
        yield from self.damped(base.branch)
        if self.high:
            yield from self.padded(base.branch)
        for found in (self.compensated(base), self.trapped(base), self.notched(base)):
            if found is not None:
                yield found

    def wider(self, branch: Branch) -> Iterator[Branch]:
        """With one more filter part behind the last or, where the path begins with a shunt, before the first."""
        places = [k for k, stage in enumerate(branch.stages) if _filters(stage)]
        if not 1 <= len(places) < MOST_FILTER_PARTS:
            return
        first, last = branch.stages[places[0]], branch.stages[places[-1]]
        ladder = butterworth_start(2, self.resistance_ohm, self.crossover_hz, self.high).stages
        after = ladder[1] if last.place == "series" else ladder[0]
        yield _inserted(branch, places[-1] + 1, hardly_there(after))
        if first.place == "shunt":
            yield _inserted(branch, places[0], hardly_there(ladder[0]))

    def damped(self, branch: Branch) -> Iterator[Branch]:
        """With a small resistor behind one of its shunt parts, or a large one beside a coil in the path."""
        for k, stage in enumerate(branch.stages):
            if not _filters(stage) or len(stage.components) > 1:
                continue
            if stage.place == "shunt":
                wider = across(*stage.components, Component("R", 0.5, role=DAMPING))
            elif stage.components[0].kind == "L":
                beside = Component("R", 5.0 * self.resistance_ohm, role=DAMPING)
                wider = in_path(*stage.components, beside, join="parallel")
            else:
                continue
            yield Branch((*branch.stages[:k], wider, *branch.stages[k + 1 :]))

    def padded(self, branch: Branch) -> Iterator[Branch]:
        """With the resistor of a level pad that is not there yet, at the driver's end."""
        there = {stage.place for stage in branch.stages if stage.components[0].role == PAD}
        last = max((k for k, stage in enumerate(branch.stages) if _filters(stage)), default=-1)
        if "series" not in there:
            yield _inserted(branch, last + 1, in_path(Component("R", 0.5, role=PAD)))
        if "shunt" not in there:
            yield _inserted(branch, last + 1, across(Component("R", 8.0 * self.resistance_ohm, role=PAD)))

    def compensated(self, base: Fitted) -> Branch | None:
        """With R and C against the rise of the voice coil, where that is high within two octaves of the crossover."""
        if self.figures is None or _has(base.branch, coil_compensation(1.0, 1.0)):
            return None
        rise = 2.0 * pi * 4.0 * self.crossover_hz * self.figures.le_h / self.figures.re_ohm
        if rise < WORTH_COMPENSATING:
            return None
        return before_driver(base.branch, coil_compensation(self.figures.re_ohm, self.figures.le_h))

    def trapped(self, base: Fitted) -> Branch | None:
        """With a trap on the resonance, where that is high and near the crossover."""
        figures = self.figures
        if figures is None or figures.res_ohm < WORTH_COMPENSATING * figures.re_ohm:
            return None
        near = self.crossover_hz / 6.0 < figures.fs_hz < self.crossover_hz * 1.5
        trap = resonance_trap(figures)
        return before_driver(base.branch, trap) if near and not _has(base.branch, trap) else None

    def notched(self, base: Fitted) -> Branch | None:
        """With a notch where the branch stands out of its target and is not far below it."""
        excess = level_of(base.heard.pressure) - self.task.goal_db - base.level_shift_db
        excess = np.where(np.abs(self.task.shape) > 0.03, excess, 0.0)
        worst = int(np.argmax(excess))
        if excess[worst] < NOTCH_FROM_DB:
            return None
        f, load = self.task.frequency_hz[self.task.band][worst], np.abs(self.task.load_ohm[self.task.band][worst])
        wider = notch(float(f), float(excess[worst]), float(load))
        return None if _has(base.branch, wider) else before_filter(base.branch, wider)


def _filters(stage: Stage) -> bool:
    return stage.components[0].role.startswith(("series", "shunt"))


def _has(branch: Branch, stage: Stage) -> bool:
    return any(own.components[0].role == stage.components[0].role for own in branch.stages)


def _inserted(branch: Branch, place: int, stage: Stage) -> Branch:
    return replace(branch, stages=(*branch.stages[:place], stage, *branch.stages[place:]))
