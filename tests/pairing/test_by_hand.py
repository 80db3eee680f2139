"""Figures of a pairing that a builder would feel, each worked out by hand beside its test."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, hypot, log10, pi, sin
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.special import j1

from reportgen.acoustics.slopes import SLOPES, target_sum
from reportgen.catalogue.records import Case
from reportgen.pairing.as_used import Setting
from reportgen.pairing.response import FREQUENCY_HZ, Model
from reportgen.pairing.shopping import cost_of, drivers_of
from reportgen.pairing.tolerances import _good
from reportgen.suitability.limits import allowed_power_w
from tests.demo_catalogue import demo, demo_assessed, demo_case


def guided(count: int = 1) -> Case:
    """LD-01 with HD-01 in WG-01, which is 24 mm deep."""
    return demo().case(replace(demo().pairings["P-01"], guide_id="WG-01", high_count=count))


def test_a_guide_moves_the_centre_back_by_its_depth() -> None:
    """The dome's centre lies 8 mm behind its faceplate, which stands 24 mm behind the baffle's face: 32 mm."""
    assert Setting(demo_case("P-01")).high_middle_m[2] == pytest.approx(-0.008)
    assert Setting(guided()).high_middle_m[2] == pytest.approx(-0.032)


def test_every_driver_has_a_guide_of_its_own() -> None:
    """64 for the woofer, 29 for a dome, 18 for a guide."""
    assert cost_of(drivers_of(demo_case("P-01"))) == 64.0 + 29.0
    assert cost_of(drivers_of(guided())) == 64.0 + 29.0 + 18.0
    assert cost_of(drivers_of(guided(count=2))) == 64.0 + 2 * (29.0 + 18.0)
    assert cost_of(drivers_of(demo_case("P-01", pairing={"low_count": 2}))) == 2 * 64.0 + 29.0


def test_a_rating_without_its_slope_counts_as_of_second_order() -> None:
    by_order = {
        order: allowed_power_w(Setting(demo_case("P-01", high={"rating_order": order}))) for order in (None, 1, 2, 4)
    }
    assert by_order[None] == by_order[2]
    assert len(set(by_order.values())) == 3


def test_the_charts_of_the_window_are_referred_to_the_seat() -> None:
    """0 dB where the seated ear is, at every frequency; a standing one hears something else."""
    found = demo_assessed("P-01").curves
    assert found is not None
    angles = np.asarray(found.vertical_angle_rad)
    seated = [float(np.interp(found.seated_angle_rad, angles, trace)) for trace in found.vertical_db]
    standing = [float(np.interp(found.standing_angle_rad, angles, trace)) for trace in found.vertical_db]
    assert seated == pytest.approx([0.0] * len(seated), abs=0.05)
    assert max(map(abs, standing)) > 0.5
    ahead = [float(np.interp(0.0, np.asarray(found.horizontal_angle_rad), trace)) for trace in found.horizontal_db]
    assert ahead == pytest.approx([0.0] * len(ahead), abs=0.05)


def test_the_angles_of_the_ears_by_hand() -> None:
    """The dome's centre: 720 mm stand + 360 mm baffle - 80 mm = 1.0 m up and 8 mm deep; ears at 1.0 and 1.6 m, 2.5 m away."""
    found = demo_assessed("P-01").curves
    assert found is not None
    assert found.seated_angle_rad == pytest.approx(0.0, abs=1e-9)
    assert found.standing_angle_rad == pytest.approx(atan2(0.6, 2.508), abs=1e-9)


def test_the_loss_at_the_standing_ear_is_that_of_the_piston() -> None:
    """27 mm across, 15 kHz: 2 J1(x)/x at ka sin of that angle (c = 343.215 m/s), and the longer way."""
    check = next(check for check in demo_assessed("P-01").checks if check.id == "standing window")
    x = 2 * pi * 15000 / 343.215 * 0.0135 * sin(atan2(0.6, 2.508))
    loss = -20 * log10(2 * j1(x) / x) + 20 * log10(hypot(0.6, 2.508) / 2.508)
    assert check.value == pytest.approx(loss, abs=0.1)  # the grid has 80 points a decade


def test_how_near_a_measurement_must_come() -> None:
    """Of what is expected: a tenth of the resistance, 15 % of an impedance, half of the null's depth."""
    readings = demo_assessed("P-01").network
    assert readings is not None
    assert [reading.tolerance for reading in readings.readings] == [0.1, 0.15, 0.15, 0.15, 0.5]


def test_a_good_build_stays_near_the_design_and_near_the_target_where_the_design_does() -> None:
    """1 dB about the design and 2 dB about the target; sums are whole decibels and tenths above the target."""
    target = np.abs(target_sum(SLOPES["LR4"], FREQUENCY_HZ, 2000.0)) * 2e-5 * 10.0 ** (90.0 / 20.0)
    design = SimpleNamespace(slope=SLOPES["LR4"], crossover_hz=2000.0, target_db=90.0)
    band = np.full(FREQUENCY_HZ.size, True)

    def good(design_db: float, build_db: float) -> bool:
        low = (target * 10.0 ** (design_db / 20.0)).astype(np.complex128)
        sums = SimpleNamespace(design=design, model=Model(Setting(demo_case("P-01"))), low=low, high=0.0 * low)
        build = (target * 10.0 ** (build_db / 20.0)).astype(np.complex128)
        return bool(_good(sums, band)(build))  # type: ignore[arg-type] # it reads no more of them

    assert good(1.5, 1.5) and good(1.5, 1.9)  # 0.4 dB from the design, 1.9 dB from the target
    assert not good(1.5, 2.4)  # 0.9 dB from the design, but 2.4 dB from the target
    assert not good(1.5, 0.1)  # on the target, but 1.4 dB from the design
    assert good(2.5, 3.4) and not good(2.5, 3.6)  # the design itself is off the target: 0.9 and 1.1 dB from it
