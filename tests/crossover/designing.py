"""One network for a test: the smallest step of the ladder that misses least, or the fullest."""

from __future__ import annotations

from reportgen.acoustics.slopes import Slope
from reportgen.crossover.sides import DesignOptions, Side
from reportgen.crossover.synthesis import Design, explored, ladder


def steps(
    low: Side, high: Side, slope: Slope, crossover_hz: float, options: DesignOptions | None = None
) -> tuple[Design, ...]:
    """Every network, from few pieces to many."""
    chosen = options or DesignOptions()
    return ladder(explored(low, high, slope, crossover_hz, chosen), chosen)


def design(low: Side, high: Side, slope: Slope, crossover_hz: float, options: DesignOptions | None = None) -> Design:
    """The smallest network of those that miss least of what is wanted."""
    return min(steps(low, high, slope, crossover_hz, options), key=lambda one: (round(one.missed, 2), one.pieces))
