"""What follows from a network, worked out again by other means: load, highest level, arcs, lobe, readings, prices."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from math import atan, degrees, hypot, inf, log10, pi, radians, sqrt
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar

from reportgen.acoustics.baffle import edge_response
from reportgen.assessment import assess
from reportgen.catalogue.records import Case, Practice
from reportgen.crossover.networks import Branch, Component, in_path
from reportgen.crossover.synthesis import Design
from reportgen.pairing.as_used import Setting
from reportgen.pairing.curves import _index_traces
from reportgen.pairing.directions import arc, arc_angles, arc_points, lobe_of
from reportgen.pairing.heat import Heat, Warmth, high_allowed_at_least_w, high_allowed_w
from reportgen.pairing.indices import _panel_db
from reportgen.pairing.network import Engineered, _break_up_db
from reportgen.pairing.response import FREQUENCY_HZ, Model
from reportgen.pairing.sums import Sums
from reportgen.suitability.agreement import disagreements
from tests.demo_catalogue import demo, demo_assessed, demo_case
from tests.every import every
from tests.pairing.engineering import engineer
from tests.suitability.workbench import changed

F = FREQUENCY_HZ
C, RHO = 343.215, 1.20412  # 20 degC (ISO 9613-1)
Complex = NDArray[np.complex128]


def at(hz: float) -> int:
    return int(np.argmin(np.abs(np.log(F / hz))))


@cache
def engineered(name: str) -> tuple[Model, Engineered]:
    model = Model(Setting(demo_case(name)))
    crossover_hz = demo_assessed(name).crossover_hz
    assert crossover_hz is not None
    return model, engineer(model, crossover_hz)


PAIRINGS = ["P-01", "P-02", "P-10"]


# --- the ladder once more, by impedances from the driver back and voltage dividers from the amplifier on -----------------


def part_ohm(part: Component, hz: float) -> complex:
    jw = 2j * pi * hz
    own = {"L": jw * part.value, "R": part.value}.get(part.kind)
    if own is None:
        own = 1.0 / (jw * part.value) if hz else inf
    return own + part.resistance_ohm


def stages(branch: Branch, load: complex, hz: float) -> Iterator[tuple[str, complex, complex]]:
    """From the driver to the amplifier: place, own impedance, impedance of all behind it."""
    behind = load
    for stage in reversed(branch.stages):
        each = [part_ohm(part, hz) for part in stage.components]
        own = sum(each) if stage.join == "series" else 1.0 / sum(1.0 / one for one in each)
        yield stage.place, own, behind
        behind = behind + own if stage.place == "series" else 1.0 / (1.0 / behind + 1.0 / own)
    yield "amplifier", 0.0, behind


def seen_ohm(branch: Branch, load: complex, hz: float) -> complex:
    return list(stages(branch, load, hz))[-1][2]


def gain(branch: Branch, load: complex, hz: float) -> complex:
    """Voltage at the driver per volt of the amplifier: every series stage divides."""
    total: complex = 1.0
    for place, own, behind in stages(branch, load, hz):
        if place == "series":
            total *= behind / (behind + own)
    return total


def gains(model: Model, found: Design) -> tuple[Complex, Complex]:
    low = [gain(found.low, z, hz) for z, hz in zip(model.low_side.impedance, F, strict=True)]
    high = [gain(found.high, z, hz) for z, hz in zip(model.high_side.impedance, F, strict=True)]
    return np.array(low), np.array(high) * (-1.0 if found.high_reversed else 1.0)


@pytest.mark.parametrize("name", PAIRINGS)
def test_levels_are_driver_times_divider(name: str) -> None:
    model, found = engineered(name)
    low, high = gains(model, found.design)
    sides = low * model.low_side.response, high * model.high_side.response
    for trace, pressure in (
        (found.curves.low_db, sides[0]),
        (found.curves.high_db, sides[1]),
        (found.curves.sum_db, sides[0] + sides[1]),
        (found.curves.reversed_db, sides[0] - sides[1]),
    ):
        np.testing.assert_allclose(trace, 20 * np.log10(np.abs(pressure) / 20e-6), atol=1e-6)


@every("name", PAIRINGS)
def test_what_the_amplifier_sees(name: str) -> None:
    model, found = engineered(name)
    pairs = zip(model.low_side.impedance, model.high_side.impedance, F, strict=True)
    seen = np.array(
        [1 / (1 / seen_ohm(found.design.low, a, f) + 1 / seen_ohm(found.design.high, b, f)) for a, b, f in pairs]
    )
    np.testing.assert_allclose(found.curves.impedance_ohm, np.abs(seen), rtol=1e-9)
    np.testing.assert_allclose(found.curves.impedance_phase_rad, np.angle(seen), atol=1e-9)
    load = found.electrical
    assert load.minimum_ohm == pytest.approx(float(np.min(np.abs(seen))))
    assert load.minimum_hz == pytest.approx(float(F[np.argmin(np.abs(seen))]))
    assert abs(load.largest_phase_rad) == pytest.approx(float(np.max(np.abs(np.angle(seen)))))
    assert load.minimum_ohm >= 0.8 * load.rated_ohm  # IEC 60268-5
    assert not any(load.minimum_ohm >= 0.8 * other > 0.8 * load.rated_ohm for other in (4.0, 6.0, 8.0, 16.0))


@every("name", PAIRINGS)
def test_resistance_at_the_terminals_by_hand(name: str) -> None:
    """Direct current: capacitors are open, coils are their wire, drivers their Re in series or parallel."""
    model, found = engineered(name)
    pairing, case = model.setting.case.pairing, model.setting.case
    low_ohm = case.low.re_ohm * (pairing.low_count if pairing.low_wiring == "series" else 1 / pairing.low_count)
    each = [seen_ohm(found.design.low, low_ohm, 0.0), seen_ohm(found.design.high, case.high.re_ohm, 0.0)]
    wanted = 1.0 / sum(0.0 if abs(one) == inf else 1.0 / abs(one) for one in each)
    assert found.electrical.resistance_at_terminals_ohm == pytest.approx(wanted, rel=1e-4)
    wire = sum(
        part.resistance_ohm for stage in found.design.low.stages if stage.place == "series" for part in stage.components
    )
    assert wire > 0.0 and found.electrical.resistance_at_terminals_ohm <= low_ohm + wire + 1e-3


# --- highest level --------------------------------------------------------------------------------------------------------


def travel_at(model: Model, found: Design, volts: NDArray[np.float64]) -> tuple[Any, Any]:
    """Peak travel of both drivers (m) at amplifier voltages, from volume velocity and level: no box of one's own.

    x = p 2 pi sqrt 2/(rho S w^2), p of one driver at 1 m in half space without its baffle's edges.
    """
    case = model.setting.case
    low_gain, high_gain = (np.abs(one) for one in gains(model, found))
    unit = 2 * pi * sqrt(2) / (RHO * (2 * pi * F) ** 2) * volts / 2.83
    pressure = 20e-6 * 10 ** (case.low.sensitivity_db / 20) * np.abs(model.low_box.response)
    coil = np.abs(case.low.re_ohm / (case.low.re_ohm + 2j * pi * F * (case.low.le_h or 0.0)))
    low = pressure * coil * unit * low_gain / case.low.diaphragm_area_m2
    place = next(place for place in model.setting.places if place.role == "high")
    width, height = case.cabinet.baffle_width_m, case.cabinet.baffle_height_m
    x, y = place.x_m - width / 2, place.y_m - height / 2
    edge = edge_response(F, width, height, x, y, source=model.setting.high_mouth)
    heard = np.abs(model.high_sources[0].response / edge)
    area = case.high.diaphragm_area_m2
    return low, None if area is None else heard * unit * high_gain / area


LOUD = {
    "the amplifier": demo_case("P-01", pairing={"amplifier_power_w": 60.0}),
    "travel of the low driver": demo_case("P-01", pairing={"amplifier_power_w": 2000.0}),
    "travel of the high driver": demo_case(
        "P-01", pairing={"amplifier_power_w": 2000.0, "crossover_hz": 1500.0}, high={"peak_travel_m": 5e-5}
    ),
}


@pytest.mark.parametrize("cause", LOUD)
def test_the_highest_level_stands_where_the_first_bound_is_reached(cause: str) -> None:
    model = Model(Setting(LOUD[cause]))
    found = engineer(model, 2400.0 if LOUD[cause].pairing.crossover_hz is None else 1500.0)
    curves, case = found.curves, model.setting.case
    volts = 2.83 * 10 ** ((np.array(curves.max_level_db) - np.array(curves.sum_db)) / 20)
    most = sqrt(case.pairing.amplifier_power_w * found.electrical.rated_ohm)  # P = U^2/R, rated impedance of the whole
    low, high = travel_at(model, found.design, volts)
    limits = {
        "the amplifier": volts / most,
        "travel of the low driver": low / (case.low.peak_travel_m or inf),
        "travel of the high driver": high / (case.high.peak_travel_m or inf),
    }
    causes = np.array(curves.max_level_cause)
    assert cause in causes
    for name, share in limits.items():
        assert np.all(share <= 1.0 + 1e-3), name
        np.testing.assert_allclose(share[causes == name], 1.0, rtol=1e-3)


def test_the_heat_of_both_drivers_by_hand() -> None:
    """|V|^2 Re(1/Z) under the programme, both worked out here; a coil that warms by 100 K loses 10 lg 1.39 dB of level."""
    model, found = engineered("P-01")
    case, heat = model.setting.case, found.heat
    bands, levels = case.practice.programme
    power = 10 ** (levels / 10) / np.sum(10 ** (levels / 10))
    share = np.zeros(F.size)
    for hz, part in zip(bands, power, strict=True):  # pink inside each octave
        inside = (hz / sqrt(2) <= F) & (hz * sqrt(2) > F)
        share[inside] += part / np.count_nonzero(inside)
    volts = sqrt(case.pairing.amplifier_power_w * found.electrical.rated_ohm)
    for side, gain, load in zip(
        (heat.low, heat.high), gains(model, found.design), (model.low_side, model.high_side), strict=True
    ):
        watts = volts**2 * float(share @ (np.abs(gain) ** 2 * (1 / load.impedance).real))
        assert side.watts == pytest.approx(watts, rel=0.03)
        assert side.compression_db is None
    assert heat.low.allowed_w == case.low.rated_power_w
    cooled = demo_case("P-01", low={"thermal_resistance_k_w": 100.0 / heat.low.watts})
    warm = engineer(Model(Setting(cooled)), found.design.crossover_hz)
    assert warm.heat.low.compression_db == pytest.approx(10 * np.log10(1.39), abs=0.05)
    lost = found.curves.max_level_db[at(200.0)] - warm.curves.max_level_db[at(200.0)]
    assert lost == pytest.approx(warm.heat.low.compression_db, abs=0.1)


def test_what_both_drivers_stand_follows_from_the_hotter_one() -> None:
    heat = Heat(20.0, Warmth(50.0, 40.0, None), Warmth(2.0, 8.0, None))
    assert heat.stands == pytest.approx(0.8)
    assert dict(heat.bounds_v)["heat of the low driver"] == pytest.approx(20.0 * sqrt(0.8))
    assert dict(heat.bounds_v)["heat of the high driver"] == pytest.approx(40.0)
    assert Heat(20.0, Warmth(50.0, None, None), heat.high).stands is None


def test_the_reachable_level_is_the_least_from_two_octaves_below() -> None:
    model, found = engineered("P-01")
    near = (found.design.crossover_hz / 4 <= F) & (F <= 10000.0)
    level = np.array(found.curves.max_level_db)
    assert found.reachable_db == pytest.approx(float(np.min(level[near])))
    assert level[at(found.reachable_hz)] == found.reachable_db
    assert found.reachable_cause == found.curves.max_level_cause[at(found.reachable_hz)]
    assert model.setting.case.pairing.peak_level_db == found.curves.wanted_level_db


def test_four_times_the_power_is_six_decibels() -> None:
    """Where the amplifier ends it; 10 lg 4. Nothing else moves it there."""
    quiet = engineer(Model(Setting(demo_case("P-01", pairing={"amplifier_power_w": 2.0}))), 2400.0)
    loud = engineer(Model(Setting(demo_case("P-01", pairing={"amplifier_power_w": 8.0}))), 2400.0)
    ends = np.array(
        [
            a == b == "the amplifier"
            for a, b in zip(quiet.curves.max_level_cause, loud.curves.max_level_cause, strict=True)
        ]
    )
    change = np.array(loud.curves.max_level_db) - np.array(quiet.curves.max_level_db)
    assert ends.sum() > 100
    np.testing.assert_allclose(change[ends], 6.0206, atol=1e-3)


# --- level of the high driver -----------------------------------------------------------------------------------------------


def test_the_surplus_is_what_the_high_driver_is_louder() -> None:
    """6 dB more sensitivity is 6 dB more surplus; a driver that is too quiet shows as negative, and as the shortfall."""
    by_db = {}
    for level in (82.0, 91.4, 97.4):
        found = engineer(Model(Setting(demo_case("P-01", high={"sensitivity_db": level}))), 2400.0)
        by_db[level] = found
    # the level at which the low branch fits best moves a little with its partner
    assert by_db[97.4].level_surplus_db - by_db[91.4].level_surplus_db == pytest.approx(6.0, abs=0.5)
    assert by_db[91.4].level_surplus_db > 0.0 and by_db[91.4].design.shortfall_db == 0.0
    short = by_db[82.0]
    assert short.level_surplus_db < -4.0
    assert short.design.shortfall_db == pytest.approx(-short.level_surplus_db, abs=0.5)
    for one in (by_db[91.4], by_db[97.4]):  # the mean level from 1.4 to 4 times the crossover over that of the target
        model = Model(Setting(demo_case("P-01", high={"sensitivity_db": 91.4 if one is by_db[91.4] else 97.4})))
        shown = [
            20 * log10(abs(p) / 2e-5)
            for hz, p in zip(F, model.high_side.response, strict=True)
            if 3360.0 <= hz <= 9600.0
        ]
        assert one.level_surplus_db == pytest.approx(sum(shown) / len(shown) - one.design.target_db, abs=1e-6)
    check = next(
        c for c in assess(demo_case("P-01", high={"sensitivity_db": 82.0}), drawn=False).checks if c.id == "level"
    )
    assert check.outcome == "fail" and "quieter" in check.text and check.margin is not None and check.margin < 0.0


# --- arcs and lobe ------------------------------------------------------------------------------------------------------------

WIRE = Branch(())
TWINS = {
    "low": {"le_h": 0.0, "diaphragm_area_m2": 1e-6, "centre_depth_m": 0.0, "sensitivity_db": 90.0, "fs_hz": 1.0, "vas_m3": None},
    "high": {"le_h": 0.0, "radiating_width_m": 1e-4, "centre_depth_m": 0.0, "sensitivity_db": 90.0, "fs_hz": None},
    "cabinet": {"baffle_width_m": 100.0, "baffle_height_m": 100.0, "high_from_top_m": 47.0, "stand_height_m": 0.0},
    "pairing": {"distance_m": 30.0, "ear_height_m": 52.925, "centre_spacing_m": 0.15},
}  # fmt: skip
"""Two equal points 150 mm apart on a baffle without end, the ear 30 m away between them."""


def twins(crossover_hz: float, **parts: dict[str, Any]) -> Sums:
    """Both branches a piece of wire, so that both drivers play the same."""
    case: Case = changed(demo_case("P-01"), **{name: {**TWINS[name], **parts.get(name, {})} for name in TWINS})
    design = replace(engineered("P-01")[1].design, low=WIRE, high=WIRE, high_reversed=False, crossover_hz=crossover_hz)
    return Sums(Model(Setting(case)), design)


@pytest.mark.parametrize(("hz", "spacing", "degrees_"), [(2000.0, 0.15, 34.89), (3000.0, 0.20, 16.62)])
@pytest.mark.parametrize("vertical", [True, False])
def test_two_equal_sources_null_where_they_must(hz: float, spacing: float, degrees_: float, vertical: bool) -> None:
    """sin(phi) = wavelength/(2 d): 34.89 deg at 2 kHz and 150 mm, 16.62 deg at 3 kHz and 200 mm."""
    pairing: dict[str, Any] = {**TWINS["pairing"], "centre_spacing_m": spacing}
    offset = 0.0
    if vertical:
        pairing["ear_height_m"] = 53.0 - spacing / 2
    else:
        pairing |= {"arrangement": "side by side", "ear_height_m": 53.0}
        offset = spacing / 2
    sums = twins(hz, pairing=pairing, cabinet={**TWINS["cabinet"], "offset_m": offset})
    angle = arc_angles(sums.model.setting, hz, 15000.0, vertical)
    drawn = np.array(arc(sums, np.array([hz]), angle, vertical)[0])
    middle = np.abs(np.degrees(angle)) < 1.0
    assert np.max(np.abs(drawn[middle])) < 0.2  # 0 dB is the seat
    for side in (angle > 0.0, angle < 0.0):
        deepest = abs(
            float(
                np.degrees(
                    angle[side][
                        np.argmin(np.where(np.abs(np.degrees(angle[side])) < 1.5 * degrees_, drawn[side], 99.0))
                    ]
                )
            )
        )
        assert deepest == pytest.approx(degrees_, abs=1.6)  # drawn every 1.5 degrees

    def level(angle: float) -> float:
        points = arc_points(sums.model.setting, np.array([angle]), vertical)
        return float(np.abs(sums.model.heard_at(sums.weighted_sources(np.array([hz])), points, [hz])[0, 0]))

    exact = minimize_scalar(level, bounds=(radians(degrees_ - 3), radians(degrees_ + 3)), method="bounded").x
    assert degrees(exact) == pytest.approx(degrees_, abs=0.3)  # the arc's middle lies half the spacing off


@every(("tall_m", "points"), [(0.027, 61), (0.2, 167), (1.2, 361)])
def test_an_arc_is_as_fine_as_its_nulls_ask_for(tall_m: float, points: int) -> None:
    """Nulls of a line lie wave length / length apart: 0.2 m at 15 kHz (343.2 m/s) 6.55 deg, of which a twelfth is 0.546 deg, 83 to 45 deg."""
    high = {"shape": "rectangular", "radiating_width_m": 0.027, "radiating_height_m": tall_m}
    setting = Setting(changed(demo_case("P-07"), high=high))
    up, across = (arc_angles(setting, 2000.0, 15000.0, vertical) for vertical in (True, False))
    assert up.size == points
    assert across.size == 61
    assert degrees(up[-1]) == pytest.approx(45.0) and np.allclose(up, -up[::-1])


@every(("deeper", "sign"), [("low", -1.0), ("high", 1.0)])
def test_the_lobe_leans_to_the_deeper_driver(deeper: str, sign: float) -> None:
    """Square to the line through both centres: arctan(offset/spacing), down to a deeper low driver, up to a deeper high one."""
    parts = {deeper: {**TWINS[deeper], "centre_depth_m": 0.03}}
    pairing = {**TWINS["pairing"], "vertical_half_window_rad": radians(25.0)}
    angle, louder = lobe_of(twins(1500.0, pairing=pairing, **parts))
    assert degrees(angle) == pytest.approx(sign * degrees(atan(0.03 / 0.15)), abs=1.3)  # looked for every 1.25 degrees
    path = 2 * pi * F[at(1500.0)] / C * 0.03 / 2  # at the seat the two stand this much out of step, each half
    assert louder == pytest.approx(-20 * log10(abs(np.cos(path))), abs=0.2)


def test_side_by_side_the_lobe_turns_sideways() -> None:
    pairing = {**TWINS["pairing"], "arrangement": "side by side", "ear_height_m": 53.0}
    angle, louder = lobe_of(twins(1500.0, pairing=pairing, low={**TWINS["low"], "centre_depth_m": 0.03}))
    assert degrees(angle) == pytest.approx(-degrees(atan(0.03 / 0.15)), abs=1.6)  # the low driver stands on the left
    assert louder > 0.3


@pytest.mark.parametrize(
    "pairing", [{"vertical_half_window_rad": radians(0.2)}, {"ear_height_m": 5.0}, {"ear_height_m": 0.02}]
)
def test_the_lobe_is_looked_for_around_any_seat(pairing: dict[str, float]) -> None:
    """However narrow the window and however high the ear: 0 dB at the seat, and it is one of the places looked at."""
    case = demo_case("P-01", pairing=pairing)
    model = Model(Setting(case))
    found = engineer(model, 2400.0)
    assert 0.0 <= found.lobe_db < 40.0
    assert abs(found.lobe_rad) <= case.pairing.vertical_half_window_rad + 1e-9
    sums = Sums(model, found.design)
    seat = np.array([model.setting.elevation_rad(case.pairing.ear_height_m)])
    hz = np.array([2400.0])
    points = np.vstack([arc_points(model.setting, seat, True), model.setting.seat_m])
    on_arc, at_seat = model.heard_at(sums.weighted_sources(hz), points, hz)[:, 0]
    assert on_arc == pytest.approx(at_seat)  # the arc runs through the seat


def test_index_of_the_sum() -> None:
    """That of the part that plays alone; where both play, no less than the lesser, and more by what the lobes take."""
    model, found = engineered("P-01")
    low, high, whole = (
        np.array(trace) for trace in (found.curves.low_index_db, found.curves.high_index_db, found.curves.sum_index_db)
    )
    fc = found.design.crossover_hz
    below, above = F < fc / 3, (fc * 3 < F) & (F < 16000.0)
    np.testing.assert_allclose(whole[below], low[below], atol=0.5)
    np.testing.assert_allclose(whole[above], high[above], atol=0.6)
    assert np.all(whole >= np.minimum(low, high) - 1.0) and np.all(whole <= np.maximum(low, high) + 3.0)
    assert float(whole[0]) == pytest.approx(0.0, abs=0.1)  # waves much longer than the box go all round
    assert float(whole[at(2000.0)]) > 3.0  # half space and more
    assert model.setting.guide is None


def test_index_of_two_points() -> None:
    """Two equal points d apart: 10 lg 2/(1 + sin(kd)/(kd)) more than one in half space (Kinsler et al. 2000)."""
    sums = twins(2000.0)
    kd = 2 * pi * F * 0.15 / C
    whole = np.array(_index_traces(sums)[2])
    drawn = np.arange(0, F.size, 8)  # worked out at these, straight in between
    part = drawn[(F[drawn] > 60.0) & (F[drawn] < 6000.0)]
    wanted = 3.01 + 10 * np.log10(2 / (1 + np.sin(kd) / kd))
    np.testing.assert_allclose(whole[part], wanted[part], atol=0.6)  # the axis runs through the upper one


# --- parts, readings, price ----------------------------------------------------------------------------------------------------


@every("name", PAIRINGS)
def test_labels_run_through_both_branches_in_the_order_of_the_schematic(name: str) -> None:
    _, found = engineered(name)
    components = (*found.design.low.components, *found.design.high.components)
    assert [(part.kind, part.value, part.role) for part in found.parts] == [
        (c.kind, c.value, c.role) for c in components
    ]
    for kind in "CLR":
        labels = [part.label for part in found.parts if part.kind == kind]
        assert labels == [f"{kind}{number}" for number in range(1, len(labels) + 1)]
    assert [part.branch for part in found.parts] == ["low"] * len(found.design.low.components) + ["high"] * len(
        found.design.high.components
    )


def test_stress_of_a_part_by_ohms_law() -> None:
    """Over the first stage of the low branch: a sine of the full voltage at the worst frequency, or twice the programme's rms."""
    model, found = engineered("P-01")
    first = found.design.low.stages[0]
    assert first.place == "series" and (first.join == "parallel" or len(first.components) == 1)
    behind = [list(stages(found.design.low, z, f))[-2][2] for z, f in zip(model.low_side.impedance, F, strict=True)]
    own = [1 / sum(1 / part_ohm(part, f) for part in first.components) for f in F]
    volts = sqrt(model.setting.case.pairing.amplifier_power_w * found.electrical.rated_ohm)
    sine = volts * sqrt(2) * max(abs(z / (z + rest)) for z, rest in zip(own, behind, strict=True))
    assert (found.parts[0].voltage_peak_v or 0.0) >= sine * (1 - 1e-9)
    assert found.parts[0].voltage_peak_v == pytest.approx(max(sine, 2.0 * (found.parts[0].voltage_rms_v or 0.0)))


@every("name", PAIRINGS)
def test_readings_are_those_of_the_curves(name: str) -> None:
    _, found = engineered(name)
    ohms, null = found.readings[:-1], found.readings[-1]
    assert ohms[0].expected == found.electrical.resistance_at_terminals_ohm and ohms[0].unit == "ohm"
    fc = found.design.crossover_hz
    for reading, hz in zip(ohms[1:], (fc / 4, fc, min(4 * fc, 16000.0)), strict=True):
        assert reading.what == f"Impedance at {hz:.0f} Hz"
        assert reading.expected == pytest.approx(
            np.exp(np.interp(np.log(hz), np.log(F), np.log(found.curves.impedance_ohm)))
        )
    near = (fc / 2 <= F * 1.001) & (fc * 2 >= F * 0.999)
    shift = np.array(found.curves.reversed_db) - np.array(found.curves.target_db)
    assert null.expected == pytest.approx(-float(np.min(shift[near])), abs=0.05) and null.unit == "dB"
    assert found.reversed_depth_db == null.expected > 0.0


@every("hz", (4100.0, 5200.0, 30000.0, None))
def test_how_far_the_low_branch_is_down_where_its_cone_breaks_up(hz: float | None) -> None:
    """As read off its curve and that of the target; LD-01 has no measured file in which a peak could be found."""
    model, found = engineered("P-01")
    other = Model(Setting(changed(model.setting.case, low={"breakup_hz": hz})))
    down = _break_up_db(Sums(other, found.design), np.array(found.curves.target_db))
    if hz is None or hz > 20000.0:
        assert down is None
    else:
        wanted, low = (np.interp(np.log(hz), np.log(F), one) for one in (found.curves.target_db, found.curves.low_db))
        assert down == pytest.approx(wanted - low, abs=0.05)


def test_how_far_the_high_branch_is_down_where_its_driver_resonates() -> None:
    """As read off its curve and that of the target, at the resonance as used; unknown without one."""
    model, found = engineered("P-01")
    fs_hz = model.setting.resonance.fs_hz
    assert fs_hz is not None and found.curves is not None
    wanted, high = (np.interp(np.log(fs_hz), np.log(F), one) for one in (found.curves.target_db, found.curves.high_db))
    assert found.resonance_db == pytest.approx(wanted - high, abs=0.05) and found.resonance_db > 20.0
    unknown = Model(Setting(changed(model.setting.case, high={"fs_hz": None})))
    assert engineer(unknown, found.design.crossover_hz).resonance_db is None


def test_the_price_of_parts_from_stock() -> None:
    case = demo_case("P-01", pairing={"parts_policy": "stock"})
    found = assess(case, drawn=False)
    shelf = {part.id: part.price or 0.0 for part in demo().stock}
    wanted = sum(shelf[one] for part in found.parts for one in (part.part_id or "").split(" + "))
    assert found.network is not None and found.network.parts_price == pytest.approx(wanted) and wanted > 0.0
    assert found.price == pytest.approx(64.0 + 29.0 + wanted)
    check = next(check for check in found.checks if check.id == "price")
    assert check.text.startswith("Drivers and parts of one loudspeaker")


def test_a_part_without_a_price_is_named_and_one_from_no_shelf_counted() -> None:
    case = demo_case("P-01", pairing={"parts_policy": "stock"})
    bare = replace(
        case, stock=tuple(replace(part, price=None) if part.kind == "inductor" else part for part in case.stock)
    )
    check = next(check for check in assess(bare, drawn=False).checks if check.id == "price")
    assert check.outcome == "not assessed" and check.missing and all("(Parts!" in text for text in check.missing)
    free = assess(replace(demo_case("P-01", pairing={"parts_policy": "any"}), stock=()), drawn=False)
    unpriced = sum(part.price is None for part in free.parts)
    text = next(check for check in free.checks if check.id == "price").text
    assert free.network is not None and free.network.parts_price is None and unpriced > 0
    assert f"{unpriced} of its parts state no price" in text


def test_a_part_that_nobody_sells_is_not_passed() -> None:
    found = assess(demo_case("P-01", pairing={"amplifier_power_w": 30000.0}), drawn=False)
    check = next(check for check in found.checks if check.id == "part stress")
    none = [part.label for part in found.parts if part.rating_to_buy is None]
    assert none and check.outcome == "fail" and all(label in check.text for label in none)


# --- data that disagree -----------------------------------------------------------------------------------------------------------


def test_cells_that_say_the_same_against_another_are_named_together() -> None:
    """14 g, 24.6 L and 6 T m make 88.6 dB for 2.83 V, 2 W into 4 ohm: 85.6 dB are 3 dB less, as for 1 W; so little of 8 ohm, or more, is not."""
    for nominal, level, hint in ((4.0, 85.6, True), (8.0, 85.6, False), (4.0, 91.6, False), (16.0, 91.6, True)):
        low = {"sensitivity_db": level, "nominal_impedance_ohm": nominal}
        (told,), grave = disagreements(Setting(demo_case("P-01", low=low)))
        cells = "Mms (Low drivers!L2), Vas (Low drivers!J2) and BL (Low drivers!M2) make it 88.6 dB 2.83V/1m."
        assert grave and f" is {level} dB 2.83V/1m, but {cells}" in told
        assert told.endswith("It looks like a level for 1 W, not for 2.83 V.") is hint


def test_the_disagreement_names_the_two_cells_and_both_figures() -> None:
    """Vas = rho c^2 Sd^2/(w^2 Mms) (Small 1972): 14 g and 42 Hz make 24.6 L of 130 cm2; 40 L cannot be right with it."""
    found = assess(demo_case("P-01", low={"vas_m3": 0.040, "force_factor_t_m": None}), drawn=False)
    check = next(check for check in found.checks if check.id == "data agree")
    derived = RHO * C**2 * 0.0130**2 / ((2 * pi * 42) ** 2 * 0.014) * 1e3
    low = found.case.low
    places = {name: low.origin.place(name) for name in ("vas_m3", "moving_mass_kg", "sensitivity_db")}
    by_mass = (
        f"Vas of LD-01 ({places['vas_m3']}) is 40 L, but Mms ({places['moving_mass_kg']}) makes it {derived:.3g} L."
    )
    assert check.text.startswith(by_mass)
    rest = check.text.removeprefix(by_mass).strip()
    assert rest.startswith(f"Sensitivity of LD-01 ({places['sensitivity_db']}) is 88.6 dB")
    assert f"but Vas ({places['vas_m3']}) makes it" in rest
    assert check.outcome == "marginal"


# --- one driver on a branch of one coil ----------------------------------------------------------------------------------------


def test_a_single_coil_by_hand() -> None:
    """Voltage over R behind L: 1/(1 + j w L/R)."""
    branch = Branch((in_path(Component("L", 1e-3, 0.3)),))
    hz = 1273.24  # R/(2 pi L) of 8 ohm
    assert abs(gain(branch, 8.0, hz)) == pytest.approx(abs(8 / (8.3 + 8j)), rel=1e-4)
    assert hypot(seen_ohm(branch, 8.0, hz).real, seen_ohm(branch, 8.0, hz).imag) == pytest.approx(
        hypot(8.3, 8.0), rel=1e-4
    )


def test_the_check_of_builds_names_the_worst_part_of_the_spread() -> None:
    found = demo_assessed("P-16")
    assert found.spread is not None and found.spread.worst_part
    text = next(check.text for check in found.checks if check.id == "good builds")
    assert f"{found.spread.worst_part} counts most: {found.spread.worst_part_db:.1f} dB" in text


def test_ratings_are_bought_with_the_margins_of_the_practice_sheet() -> None:
    """Four times the margin for one kind of part: each of that kind must bear four times as much, no other one."""
    plain = engineered("P-01")[1]
    case = demo_case("P-01")
    crossover_hz = plain.design.crossover_hz
    for kind, name in (("C", "voltage margin"), ("L", "current margin"), ("R", "power margin")):
        rule = case.practice.rules[name]
        rules = {**case.practice.rules, name: replace(rule, value=4.0 * rule.value)}
        sums = Sums(Model(Setting(replace(case, practice=Practice(rules)))), plain.design)
        before, after = (
            [part for side in one.stress() for part in side]
            for one in (Sums(engineered("P-01")[0], plain.design), sums)
        )
        assert crossover_hz == sums.design.crossover_hz and before
        for one, other in zip(before, after, strict=True):
            assert other.needed / one.needed == pytest.approx(4.0 if one.component.kind == kind else 1.0)


def test_a_rating_counts_as_stated_and_one_without_its_high_pass_as_the_strictest_usual_one() -> None:
    """Common practice, no source: no maker rates behind more than 3 kHz and fourth order, so that is what it bears at least."""
    stated = demo_case("P-01", high={"rating_highpass_hz": 1500.0, "rating_order": 2})
    assert high_allowed_at_least_w(stated) == pytest.approx(high_allowed_w(stated))
    silent = demo_case("P-01", high={"rating_highpass_hz": None, "rating_order": None})
    strictest = demo_case("P-01", high={"rating_highpass_hz": 3000.0, "rating_order": 4})
    assert high_allowed_w(silent) == 80.0  # HD-01's own watts, said as an assumption
    assert high_allowed_at_least_w(silent) == pytest.approx(high_allowed_w(strictest))
    least, most = high_allowed_at_least_w(silent), high_allowed_w(stated)
    assert least is not None and most is not None and least < most


def test_what_the_baffle_does_to_the_index_of_long_waves() -> None:
    """A box sends the same all round, 3.01 dB less than into half space; a panel open at the back is a dipole, 4.77 dB (Beranek 1954)."""
    box, panel = (_panel_db(Setting(demo_case(name)), "low") for name in ("P-01", "P-11"))
    assert box[0] == pytest.approx(-3.01, abs=0.15)
    assert panel[0] == pytest.approx(4.77 - 3.01, abs=0.25)
