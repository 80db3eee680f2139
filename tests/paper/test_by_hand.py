"""What stands on paper, worked out by hand, where a small fault once went unnoticed."""

from __future__ import annotations

from dataclasses import replace
from math import radians

from reportgen.paper.coverage import coverage_charts
from tests.paper.samples import assessed


def test_the_chart_of_the_height_is_referred_to_the_seated_ear() -> None:
    """The level rises by 0.2 dB a degree; seated at -10 deg: -2 dB 10 deg lower, +4 dB 20 deg higher, +6 dB 30 deg higher."""
    found = assessed("P-01")
    assert found.curves is not None
    curves = replace(
        found.curves, vertical_angle_rad=tuple(radians(deg) for deg in range(-60, 61)), vertical_hz=(2000.0,),
        vertical_db=(tuple(90.0 + 0.2 * deg for deg in range(-60, 61)),),
        seated_angle_rad=radians(-10.0), standing_angle_rad=radians(15.0),
    )  # fmt: skip
    (chart,) = (
        one for one in coverage_charts(curves, 2000.0, found.case.pairing) if one.heading.startswith("Vertical")
    )
    told = chart.picture.alt.replace("\u00a0", " ").replace("−", "-")
    assert "-20° -2.0 dB, -10° 0.0 dB, 10° 4.0 dB, 20° 6.0 dB." in told
    assert "0 dB is the seated ear" in told and "Standing: 15°." in told.replace("15.0", "15")
