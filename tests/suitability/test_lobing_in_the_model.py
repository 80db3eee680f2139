"""Where the lobing limit passes, the program's own sum of both drivers holds no hole inside the window: random pairings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from reportgen.acoustics.listening import Source
from reportgen.acoustics.slopes import SLOPES, high_pass, low_pass, polarity
from reportgen.catalogue.records import Case
from reportgen.pairing.as_used import Setting
from reportgen.pairing.directions import STEEPEST_RAD, arc_points
from reportgen.pairing.response import Model
from reportgen.problems import CannotAssess
from reportgen.suitability.limits import lobing
from tests.plausible_season import catalogue

DEPTH_DB = 13.5
"""A hole is 12 dB deep; the limit counts drivers as points, and their directivity moves a depth by up to 1 dB, that of a
ribbon 200 mm tall by a little more."""

MARGIN = 2.0**-0.081
"""A crossover so far under the limit passes: the limit margin is 0.08 octave."""


def deepest_hole_db(case: Case, crossover_hz: float) -> float:
    """How deep the deepest hole is under the seat, inside the window, up to the crossover, where the branches are within 10 dB.

    Every driver is heard by the model with its directivity and its way; each branch is at the seat what its slope wants.
    """
    setting = Setting(case)
    model, slope = Model(setting), setting.slope
    f = crossover_hz * np.geomspace(0.4, 1.0, 60)
    low, high = low_pass(slope, f, crossover_hz), polarity(slope) * high_pass(slope, f, crossover_hz)
    near = np.abs(20 * np.log10(np.abs(low / high))) <= 10.0
    f, low, high = f[near], low[near], high[near]
    sources: list[Source] = []
    for role, target in (("low", low), ("high", high)):
        radiator = setting.low_directivity if role == "low" else setting.high_directivity
        unit = np.ones(f.size, dtype=np.complex128)
        group = [Source(setting.centre_m(place), radiator, unit) for place in setting.places if place.role == role]
        sources += [replace(one, response=target / model.heard_at(group, model.seat_m, f)) for one in group]
    upright, half = not setting.sideways, setting.lobing_half_window_rad
    seat = setting.elevation_rad(case.pairing.ear_height_m) if upright else 0.0
    angle = np.clip(seat + np.linspace(-half, half, 241), -STEEPEST_RAD, STEEPEST_RAD)
    level: NDArray[np.float64] = np.abs(model.heard_at(sources, arc_points(setting, angle, upright), f))
    level = 20 * np.log10(level) - 20 * np.log10(np.abs(low + high))
    least = (level[1:-1] <= level[:-2]) & (level[1:-1] <= level[2:])
    return float(-np.min(np.where(least, level[1:-1], 0.0)))


def drawn(seed: int) -> list[tuple[Case, float]]:
    """Random pairings with random slopes, and a crossover at which their lobing passes."""
    random, season, found = np.random.default_rng(seed), catalogue(seed, 60), []
    for pairing in season.pairings.values():
        slope = str(random.choice(sorted(SLOPES)))
        case = season.case(replace(pairing, slope=slope, crossover_hz=None))
        setting = Setting(case)
        limit = lobing(setting)
        seat = abs(setting.elevation_rad(pairing.ear_height_m))
        # in quadrature a low-high-low heard from well above leans on the directivity of its drivers, which points have not
        if pairing.arrangement == "low-high-low" and SLOPES[slope].order % 2 and seat > np.radians(3.0):
            continue
        if seat > np.radians(
            20.0
        ):  # so far off their axis the directivity of drivers counts for more, and nobody sits there
            continue
        if setting.spacing_m is not None and (limit is None or limit.hz is not None):
            found.append((case, MARGIN * limit.hz if limit and limit.hz else 3000.0))
    return found


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_no_hole_where_lobing_passes(seed: int) -> None:
    cases = drawn(seed)
    assert len(cases) > 30
    for case, crossover_hz in cases:
        try:
            depth = deepest_hole_db(case, crossover_hz)
        except CannotAssess:
            continue  # a seat behind the face
        assert depth < DEPTH_DB, (case.pairing.id, case.pairing.slope, case.pairing.arrangement, crossover_hz, depth)


def test_well_above_the_limit_the_model_holds_one() -> None:
    """The same measure finds holes where the limit fails, or it would prove nothing."""
    deep = [
        deepest_hole_db(case, crossover_hz / MARGIN * 1.5) > 12.0
        for case, crossover_hz in drawn(1)[:25]
        if crossover_hz < 6000.0 and case.pairing.slope in ("LR4", "BW3", "LR2")
    ]
    assert len(deep) >= 3 and np.mean(deep) > 0.8
