"""Figures of the finished loudspeaker against values worked out by hand (IEC 60268-5 where it has the term)."""

from __future__ import annotations

from dataclasses import replace
from math import log2, log10, sqrt

import numpy as np
import pytest

from reportgen.acoustics.baffle import edge_response
from reportgen.assessment import assess
from reportgen.crossover.voicing import Voicing
from reportgen.pairing.as_used import Setting
from reportgen.pairing.figures import Heard, corner_hz
from reportgen.pairing.response import FREQUENCY_HZ, Model
from reportgen.pairing.voiced import voicing_of
from tests.demo_catalogue import demo_assessed as made
from tests.demo_catalogue import demo_case
from tests.every import every

F = FREQUENCY_HZ


def heard(level: np.ndarray, distance_m: float = 2.0) -> Heard:
    return Heard(F, level, np.full(F.size, 80.0), Voicing(100.0, 16e3), distance_m)


def test_the_sensitivity_is_the_seats_level_at_one_metre() -> None:
    """A flat 80 dB at 2 m is 86.02 dB at 1 m; what lies below 300 Hz does not count."""
    assert heard(np.where(F < 290.0, 70.0, 80.0)).sensitivity_db == pytest.approx(80.0 + 20 * log10(2.0))


def test_the_effective_range_ends_10_db_under_the_loudest_octave() -> None:
    """Falling 12 dB an octave below 100 Hz: 10 dB down at 100 / 2^(10/12) = 56.1 Hz (by hand, on a grid of 1/24 octave)."""
    level = np.where(F < 100.0, 80.0 + 12.0 * np.log2(F / 100.0), 80.0)
    low, high = heard(level).effective_range_hz
    assert abs(log2(low / 56.1)) <= 1 / 24 and high == pytest.approx(20e3)
    narrow = level - 30.0 * (np.abs(np.log2(F / 1000.0)) < 1 / 40)  # a dip of a twentieth octave ends no range
    assert heard(narrow).effective_range_hz == (low, high)


def test_the_corner_of_a_second_order_high_pass_is_its_own() -> None:
    """Butterworth of second order: 3 dB down at its corner."""
    s = 1j * F / 60.0
    assert corner_hz(F, s**2 / (1 + sqrt(2) * s + s**2)) == pytest.approx(60.0, rel=0.01)
    assert corner_hz(F, np.ones(F.size, dtype=complex)) == F[0] or corner_hz(F, np.ones(F.size, dtype=complex)) < 21.0


@every("hz", (40.0, 57.3, 58.1, 58.9, 59.7, 60.5, 150.0))
def test_a_corner_between_two_points_of_the_grid_is_its_own(hz: float) -> None:
    s = 1j * F / hz
    assert corner_hz(F, s**2 / (1 + sqrt(2) * s + s**2)) == pytest.approx(hz, rel=5e-4)


def test_the_voiced_band_begins_over_the_corner_and_100_hz() -> None:
    """P-19's small box has its corner at 175 Hz, 1.5 times that is 263; P-02's lies low, so 100 Hz count."""
    for name in ("P-02", "P-19"):
        model = Model(Setting(demo_case(name)))
        assert voicing_of(model).low_hz == pytest.approx(max(100.0, 1.5 * model.corner_hz))
    assert voicing_of(Model(Setting(demo_case("P-19")))).low_hz > 200.0
    panel = Model(Setting(demo_case("P-11")))
    assert voicing_of(panel).low_hz == pytest.approx(max(100.0, panel.rear_path_hz, 1.5 * panel.corner_hz))


@every(("name", "fs_hz"), (("P-11", 10.0), ("P-23", 10.0), ("P-11", 90.0), ("P-23", 140.0)))
def test_on_an_open_baffle_the_corner_counts_the_way_round_it(name: str, fs_hz: float) -> None:
    """There the second-order high pass |s^2 / (s^2 + s/Q + 1)|, s = j f/fs, times front and back together is 3 dB down, and neither is alone; a box has the driver's own corner."""
    case = demo_case(name, low={"fs_hz": fs_hz, "qms": 5.0, "qes": 0.8})
    model, panel, q = Model(Setting(case)), case.cabinet, 5.0 * 0.8 / 5.8
    hz, low = model.bass_corner_hz, next(one for one in model.setting.places if one.role == "low")
    s = 1j * hz / fs_hz
    x, y = low.x_m - panel.baffle_width_m / 2.0, low.y_m - panel.baffle_height_m / 2.0
    size = (panel.baffle_width_m, panel.baffle_height_m)
    edges = edge_response(np.array([hz]), *size, x, y, True, model.setting.air, model.setting.low_radiator)
    alone, around = abs(s**2 / (s**2 + s / q + 1.0)), float(np.abs(edges[0]))
    assert 20.0 * np.log10(alone * around) == pytest.approx(-3.01, abs=0.1)
    assert alone > 10.0**-0.15 and around < 1.0 and hz > model.corner_hz
    boxed = Model(Setting(demo_case("P-01")))
    assert boxed.bass_corner_hz == boxed.corner_hz


def test_placement_and_wish_set_the_shelf() -> None:
    for placement, depth in ((None, 1.5), ("free standing", 1.5), ("near a wall", 3.0), ("in a wall", 0.0)):
        assert voicing_of(Model(Setting(demo_case("P-02", pairing={"placement": placement})))).shelf_db == depth
    wished = demo_case("P-02", pairing={"placement": "near a wall", "shelf_db": 4.5})
    assert voicing_of(Model(Setting(wished))).shelf_db == 4.5
    model = Model(Setting(demo_case("P-02", pairing={"placement": "in a wall"})))
    free = Model(Setting(demo_case("P-02")))
    bass = (F > 60.0) & (F < 100.0)  # half space: no edges, so the bass keeps the 6 dB that the baffle step takes
    rise = 20 * np.log10(np.abs(model.low_side.response / free.low_side.response))
    assert np.mean(rise[bass]) == pytest.approx(6.0, abs=1.0)
    assert voicing_of(free).step_hz == pytest.approx(115.0 / demo_case("P-02").cabinet.baffle_width_m)


def test_the_figures_are_those_of_network_and_records() -> None:
    found = made("P-16")
    figures, case = found.figures, found.case
    assert figures is not None and found.electrical is not None and found.network is not None
    assert figures.pieces == sum(max(len(part.made_of), 1) for part in found.parts)
    assert figures.network_price == pytest.approx(sum(part.price or 0.0 for part in found.parts))
    assert figures.pair_price == pytest.approx(
        2 * ((case.low.price or 0) + (case.high.price or 0) + figures.network_price)
    )
    assert figures.net_volume_m3 == case.cabinet.net_volume_m3 and figures.tuning_hz is None
    assert figures.least_impedance_ohm >= 0.8 * figures.rated_impedance_ohm  # IEC 60268-5
    curves = found.curves
    assert curves is not None
    judged = (F >= (found.crossover_hz or 0.0) / 4) & (F <= 10000.0)
    softest = float(np.min(np.array(curves.sum_db)[judged]))  # at 2.83 V; the wish holds where the sum is softest
    volts = 2.83 * 10 ** ((case.pairing.peak_level_db - softest) / 20)
    assert figures.amplifier_w[0] == pytest.approx(volts**2 / figures.rated_impedance_ohm)
    error = np.array(curves.sum_db) - np.array(curves.target_db)
    low, high = figures.voiced_band_hz
    bass = (low * 0.9999 <= F) & (F <= 300.0)
    assert figures.balance_db[0] == pytest.approx(float(np.mean(error[bass])))
    assert abs(figures.evenness_db) <= float(np.max(np.abs(error[(low <= F) & (high >= F)])))


def test_twice_the_rating_stands_twice_the_power() -> None:
    """What both drivers stand follows the weaker of two ratings; both doubled, it doubles."""
    case = demo_case("P-16")
    high = {"rated_power_w": 2 * (case.high.rated_power_w or 0.0)}
    low = {"rated_power_w": 2 * (case.low.rated_power_w or 0.0)}
    twice = assess(replace(demo_case("P-16", high=high, low=low)), drawn=False).figures
    once = made("P-16").figures
    assert once is not None and twice is not None and once.amplifier_w[1] and twice.amplifier_w[1]
    if twice.pieces == once.pieces and twice.network_price == once.network_price:  # the same network was built
        assert twice.amplifier_w[1] == pytest.approx(2 * once.amplifier_w[1])
    else:
        assert twice.amplifier_w[1] > once.amplifier_w[1]
    assert assess(demo_case("P-16", high={"rated_power_w": None}), drawn=False).figures.amplifier_w[1] is None  # type: ignore[union-attr]


@pytest.mark.parametrize("pairing", ["P-01", "P-08", "P-16"])
def test_a_weaker_amplifier_than_the_front_names_does_not_reach_the_level(pairing: str) -> None:
    """The front's figure and the check say the same: 10 lg of the watts that are lacking is what is short."""
    found = made(pairing)
    assert found.figures is not None
    least = found.figures.amplifier_w[0]
    weak = assess(demo_case(pairing, pairing={"amplifier_power_w": 0.25 * least}), drawn=False)
    assert weak.figures is not None and weak.figures.highest_level_cause == "the amplifier"
    short = weak.case.pairing.peak_level_db - weak.figures.highest_level_db
    assert short == pytest.approx(10 * log10(weak.figures.amplifier_w[0] / (0.25 * least)))
    assert short > 3.0


def test_a_driver_that_never_comes_up_has_its_corner_at_the_end() -> None:
    assert corner_hz(F, np.full(F.size, 0.5, dtype=complex)) == F[-1]
