"""What tolerances of parts and drivers make of a network.

Knows the Practice sheet's tolerances and when a build is good. Refuses to judge the share of good ones.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics.air import REFERENCE_PRESSURE_PA
from reportgen.catalogue.records import Practice
from reportgen.crossover.networks import Branch, with_components
from reportgen.crossover.spread import DriverTolerance, Pair, Predicate, spread
from reportgen.crossover.spread import within as near
from reportgen.pairing.response import FREQUENCY_HZ
from reportgen.pairing.sums import Sums, Trace, trace

FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class SpreadFigures:
    """What tolerances make of the sum: share of good builds, and the dB band of 90 % of them over `frequency_hz`, where drawn."""

    frequency_hz: Trace
    low_db: Trace
    high_db: Trace
    good_share: float
    builds: int
    worst_part: str
    worst_part_db: float


def spread_figures(sums: Sums, target_db: FloatArray, builds: int = 1000, *, drawn: bool = False) -> SpreadFigures:
    """What tolerances of the Practice sheet make of a network, in so many builds drawn at random, always the same ones.

    `target_db` (frequency,) is the level that the sum is wanted to have over `FREQUENCY_HZ`.
    """
    found, practice, fc = sums.design, sums.model.setting.case.practice, sums.design.crossover_hz
    band = (FREQUENCY_HZ >= fc / 2.0) & (FREQUENCY_HZ <= 2.0 * fc)
    low, high = (_toleranced(branch, practice) for branch in (found.low, found.high))
    pair = Pair(sums.model.low_side, low, sums.model.high_side, high, found.high_reversed)
    result = spread(
        pair, (fc / 2.0, 2.0 * fc), _good(sums, target_db, band),
        driver=DriverTolerance(practice["driver level tolerance"], resonance_share=practice["driver resonance tolerance"]),
        builds=builds,
    )  # fmt: skip
    worst = next((one for one in result.influences if not one.name.startswith("driver")), None)
    low_db, high_db = (trace(result.below_db(share)) if drawn else () for share in (0.05, 0.95))
    return SpreadFigures(
        trace(result.frequency_hz), low_db, high_db, result.share_within, builds,
        f"{worst.name} of the {worst.branch} branch" if worst else "", worst.change_db if worst else 0.0,
    )  # fmt: skip


def room_db(practice: Practice, strays_db: float) -> float:
    """How far (dB) a good build may stray from the target where the design strays so far: to the limit, or a margin further than the design."""
    return max(practice["sum deviation limit"], strays_db + practice["level margin"])


def _good(sums: Sums, target_db: FloatArray, band: NDArray[np.bool_]) -> Predicate:
    """A build is good when its sum stays near the design and, as far as the design lets it, near the target."""
    practice, design = sums.model.setting.case.practice, (sums.low + sums.high)[band]
    target = REFERENCE_PRESSURE_PA * 10.0 ** (target_db[band] / 20.0)
    strays_db = float(np.max(np.abs(20.0 * np.log10(np.abs(design) / target))))
    near_design = near(design, practice["build tolerance"])
    near_target = near(target.astype(np.complex128), room_db(practice, strays_db))
    return lambda pressure: near_design(pressure) & near_target(pressure)


def _toleranced(branch: Branch, practice: Practice) -> Branch:
    """The branch with the Practice sheet's tolerance on every part that states none."""
    usual = {
        kind: practice[f"{name} tolerance"] for kind, name in (("C", "capacitor"), ("L", "inductor"), ("R", "resistor"))
    }
    parts = [replace(c, tolerance=usual[c.kind]) if c.tolerance is None else c for c in branch.components]
    return with_components(branch, tuple(parts))
