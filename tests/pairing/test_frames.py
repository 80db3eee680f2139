"""Room on the baffle beside many low drivers at once: what one pairing after the other has."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from reportgen.catalogue.records import Case
from reportgen.pairing.as_used import Setting
from reportgen.pairing.frames import Sizes, clearances_m
from reportgen.suitability.checks import clearance_m
from tests.demo_catalogue import demo

USES = (
    {}, {"arrangement": "side by side"}, {"arrangement": "low-high-low", "low_count": 2}, {"arrangement": "column", "low_count": 3},
    {"high_count": 2, "cabinet_id": "CB-05"}, {"centre_spacing_m": 0.02},
)  # fmt: skip


def beside_all(case: Case) -> tuple[list[float], list[float]]:
    """Clearances (m) of a high driver beside every low one of the demo that states its frame: one by one, and at once."""
    lows = [low for low in demo().low_drivers.values() if low.frame_width_m]
    settings = [Setting(replace(case, low=low)) for low in lows]
    spacing, pitch = (
        np.array([getattr(one, name) for one in settings], dtype=np.float64) for name in ("spacing_m", "low_pitch_m")
    )
    sizes = Sizes(
        np.array([low.frame_width_m for low in lows], dtype=np.float64),
        np.array([low.frame_height_m or low.frame_width_m for low in lows], dtype=np.float64),
        np.array([np.nan if low.cutout_m is None else low.cutout_m for low in lows]),
        np.array([one.low_radiator.width_m for one in settings]),
    )
    return [clearance_m(one) for one in settings], clearances_m(Setting(case), spacing, pitch, sizes).tolist()


@pytest.mark.parametrize("change", USES)
@pytest.mark.parametrize("pairing", ["P-01", "P-05", "P-10", "P-12"])
def test_many_at_once_have_the_room_that_each_has(pairing: str, change: dict[str, object]) -> None:
    use = replace(demo().pairings[pairing], **{"centre_spacing_m": None, **change})  # type: ignore[arg-type]
    one_by_one, at_once = beside_all(demo().case(use))
    assert at_once == pytest.approx(one_by_one, abs=1e-12)


def test_an_unknown_frame_leaves_the_room_unknown() -> None:
    setting, nothing = Setting(demo().case(demo().pairings["P-01"])), np.array([np.nan])
    sizes = Sizes(nothing, nothing, np.array([0.14]), np.array([0.13]))
    assert np.isnan(clearances_m(setting, np.array([0.15]), np.array([0.2]), sizes)).all()
