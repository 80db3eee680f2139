"""One network for a test: the smallest step of the ladder that misses least, or the fullest."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics.slopes import Slope
from reportgen.crossover.bundle import Losses
from reportgen.crossover.fitting import BranchTask, Heard, heard
from reportgen.crossover.joint import JointTask, joint_square
from reportgen.crossover.networks import Branch
from reportgen.crossover.sides import DesignOptions, Side
from reportgen.crossover.synthesis import Design, explored, ladder


@lru_cache(maxsize=64)
def steps(
    low: Side, high: Side, slope: Slope, crossover_hz: float, options: DesignOptions | None = None
) -> tuple[Design, ...]:
    """Every network, from few pieces to many; the same question is asked by several tests and worked out once."""
    chosen = options or DesignOptions()
    return ladder(explored(low, high, slope, crossover_hz, chosen), chosen)


def design(low: Side, high: Side, slope: Slope, crossover_hz: float, options: DesignOptions | None = None) -> Design:
    """The smallest network of those that miss least of what is wanted."""
    return min(steps(low, high, slope, crossover_hz, options), key=lambda one: (round(one.missed, 2), one.pieces))


def losses_of(losses: Losses, branch: Branch, values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Wire resistances of coils by their law and losses of capacitors, for values (..., n_components), worked out once more."""
    coil = losses.coil_ohm * (values / 1e-3) ** losses.coil_exponent
    return np.where(branch.kinds == "L", coil, np.where(branch.kinds == "C", losses.capacitor_ohm, 0.0))


def own_heard(branch: Branch, task: BranchTask) -> Heard:
    """What a branch does as it stands, with the losses its parts have by size."""
    return heard(branch, task, branch.values, losses_of(task.losses, branch, branch.values))


def joint_error(low: Branch, high: Branch, task: JointTask, shift_db: float) -> float:
    """How far two branches as they stand are from what is wanted: the root of the sum of all squares (dB)."""
    return float(np.sqrt(joint_square(task, own_heard(low, task.low), own_heard(high, task.high), shift_db)))
