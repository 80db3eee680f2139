"""Both drivers at the seat against hand calculation: levels, steps, boxes, wiring, guides, travel, loads."""

from __future__ import annotations

from dataclasses import replace
from math import acos, cos, log10, pi, radians, sin, sqrt
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import j1

from reportgen.acoustics import baffle, drivers
from reportgen.assessment import assess
from reportgen.catalogue.records import Case, MeasuredCurve
from reportgen.pairing.as_used import Setting
from reportgen.pairing.response import FREQUENCY_HZ, Model
from reportgen.problems import CannotAssess
from tests.demo_catalogue import demo, demo_case
from tests.every import every
from tests.suitability.workbench import changed, of_kind

F = FREQUENCY_HZ
C, RHO = 343.215, 1.20412  # 20 degC (ISO 9613-1)
Array = NDArray[np.float64]


def model(case: Case | None = None, **parts: Any) -> Model:
    """A driver each on a closed box: LD-01 and HD-01 in CB-01 with some fields changed."""
    return Model(Setting(changed(case or demo_case("P-01"), **parts)))


def db(pressure: Any) -> Array:
    return np.asarray(20.0 * np.log10(np.abs(pressure) / 20e-6))


def at(hz: float) -> int:
    return int(np.argmin(np.abs(np.log(F / hz))))


PLAIN: dict[str, dict[str, Any]] = {
    "low": {"le_h": 0.0, "diaphragm_area_m2": 1e-6, "centre_depth_m": 0.0},
    "high": {"le_h": 0.0, "radiating_width_m": 1e-4, "fs_hz": None, "centre_depth_m": 0.0},
}
"""Points without coil, resonance or depth: what is left is sensitivity, place and baffle."""


def plain(**parts: dict[str, Any]) -> Model:
    return model(**{name: {**PLAIN.get(name, {}), **parts.get(name, {})} for name in {*PLAIN, *parts}})


# --- level at the seat ------------------------------------------------------------------------------------------------


HUGE = {"baffle_width_m": 100.0, "baffle_height_m": 100.0, "high_from_top_m": 47.0, "stand_height_m": 0.0}
"""So large that what comes back from its edges is half a decibel at most, and nothing in the mean."""


@every("distance", [0.5, 1.0, 3.0])
def test_on_a_huge_baffle_the_level_is_the_sensitivity_less_the_distance(distance: float) -> None:
    """20 lg r: inverse square law; ears on the axis of either driver."""
    for side, height, level in (("high", 53.0, 91.0), ("low", 53.0 - 0.150, 88.6)):
        found = plain(cabinet=HUGE, pairing={"distance_m": distance, "ear_height_m": height})
        relative = db(getattr(found, f"{side}_side").response)[at(500.0) : at(10000.0)] - level + 20 * log10(distance)
        assert np.max(np.abs(relative)) < 0.5
        assert float(np.mean(relative)) == pytest.approx(0.0, abs=0.05)


def test_the_phase_at_the_seat_is_that_of_the_way() -> None:
    """exp(-jkr), nothing but air between; +-3 degrees come back from the edges."""
    found = plain(cabinet=HUGE, pairing={"distance_m": 1.0, "ear_height_m": 53.0}).high_side.response
    left = np.angle(found * np.exp(2j * pi * F * 1.0 / C))[at(500.0) : at(10000.0)]
    assert np.max(np.abs(left)) < radians(3.0)


def test_the_step_of_a_real_baffle() -> None:
    """-6 dB where the waves are long, half to full space; the edge ripple averages to 0 dB above (Bews & Hawksford 1986)."""
    found = plain()
    relative = db(found.high_sources[0].response) - 91.0
    assert relative[at(20.0)] == pytest.approx(-6.02, abs=0.1)
    power = np.abs(found.high_sources[0].response[at(2000.0) :] / 20e-6) ** 2
    assert 10 * log10(float(np.mean(power))) - 91.0 == pytest.approx(0.0, abs=0.5)
    middle = F[np.argmax(relative > -3.0)]
    assert 0.5 * 115 / 0.2 < middle < 1.2 * 115 / 0.2  # 115/width: common practice, no source


def test_the_step_follows_the_drivers_own_place() -> None:
    """Each source has the edge sum of where it stands and how large it is: `baffle.edge_response`, tested by itself."""
    found = plain(cabinet={"offset_m": 0.03})
    setting = found.setting
    sides = (
        (found.high_sources, setting.high_mouth, 0.03, 0.10),
        (found.low_sources, setting.low_radiator, 0.0, -0.05),
    )
    for sources, source, x, y in sides:
        edge = baffle.edge_response(F, 0.2, 0.36, x, y, source=source)
        level = 20 * np.log10(np.abs(sources[0].response / edge))[at(1000.0) :]
        assert np.ptp(level) < 0.02  # what is left of the low driver's resonance


def test_an_open_baffle_takes_the_bass() -> None:
    """The way round the panel takes 6 dB an octave where waves are long; only open backs radiate behind."""
    found = plain(cabinet={"kind": "open baffle"}, high={"rear": "open"})
    level = db(found.high_sources[0].response)
    assert level[at(100.0)] - level[at(50.0)] == pytest.approx(6.0, abs=0.4)
    sealed = db(plain(cabinet={"kind": "open baffle"}).high_sources[0].response)
    assert sealed[at(20.0)] - 91.0 == pytest.approx(-6.02, abs=0.1)


# --- several drivers ---------------------------------------------------------------------------------------------------


@every(("wiring", "level", "load"), [("parallel", 6.02, 0.5), ("series", 0.0, 2.0)])
def test_two_drivers(wiring: str, level: float, load: float) -> None:
    """Parallel: both at full voltage in phase, half the load. Series: half the voltage each, twice the load. By hand."""
    far, free = {"distance_m": 20.0, "ear_height_m": 52.8}, {"vas_m3": None}
    one = model(pairing=far, cabinet=HUGE, low=free)
    two = model(pairing={**far, "low_count": 2, "low_wiring": wiring}, cabinet=HUGE, low=free)
    np.testing.assert_allclose(two.low_side.impedance, load * one.low_side.impedance)
    assert two.low_side.re_ohm == pytest.approx(load * 5.6) and two.low_side.le_h == pytest.approx(load * 0.3e-3)
    each = [np.abs(source.response / one.low_sources[0].response)[at(100.0) : at(800.0)] for source in two.low_sources]
    np.testing.assert_allclose(np.mean(each, axis=1), 1.0 if wiring == "parallel" else 0.5, rtol=0.01)
    change = db(two.low_side.response) - db(one.low_side.response)
    assert float(np.mean(change[at(100.0) : at(800.0)])) == pytest.approx(level, abs=0.05)


def test_four_in_rows_of_two() -> None:
    found = model(pairing={"high_count": 4, "high_wiring": "series-parallel"})
    np.testing.assert_allclose(found.high_side.impedance, found.high_impedance)
    assert len(found.high_sources) == 4


def test_each_of_two_low_drivers_has_half_the_box() -> None:
    """fc = fs sqrt(1 + n Vas/Vb) (Small 1972)."""
    for count in (1, 2):
        found = model(pairing={"low_count": count}).low_box
        assert found.resonance_hz == pytest.approx(42 * sqrt(1 + count * 24.6 / 11))


# --- places -------------------------------------------------------------------------------------------------------------


def later_s(response: Any, other: Any) -> float:
    """By how much one response comes later than another, from the slope of the phase between 1 and 16 kHz."""
    part = slice(at(1000.0), at(16000.0))
    return float(-np.polyfit(2 * pi * F[part], np.unwrap(np.angle((response / other)[part])), 1)[0])


@every("depth", [0.02, 0.06])
def test_a_deeper_centre_arrives_later(depth: float) -> None:
    flat = {"pairing": {"ear_height_m": 1.0, "distance_m": 4.0}}
    near, far = plain(**flat), plain(**flat, low={"centre_depth_m": depth})
    assert later_s(far.low_side.response, near.low_side.response) == pytest.approx(depth / C, rel=0.01)


@every("tilt", [5.0, 15.0])
def test_leaning_back_delays_the_high_driver(tilt: float) -> None:
    """High driver 0.28 m, low one 0.13 m over the lower edge: the way of each by Pythagoras in the room."""
    a = radians(tilt)
    found = plain(cabinet={"tilt_rad": a})

    def way(y: float) -> float:
        return sqrt((2.5 + y * sin(a)) ** 2 + (1.0 - 0.72 - y * cos(a)) ** 2)

    upright = plain()
    high = later_s(found.high_side.response, upright.high_side.response)
    low = later_s(found.low_side.response, upright.low_side.response)
    assert high == pytest.approx((way(0.28) - 2.5) / C, rel=1e-3)
    assert low == pytest.approx((way(0.13) - sqrt(2.5**2 + 0.15**2)) / C, rel=1e-3)


def test_room_and_baffle_are_two_views_of_the_same_points() -> None:
    setting = Setting(demo_case("P-19"))
    assert setting.case.cabinet.tilt_rad != 0.0
    points = np.random.default_rng(1).normal(size=(5, 3))
    np.testing.assert_allclose(setting.to_room_m(setting.to_baffle_m(points)), points, atol=1e-12)
    lengths = np.linalg.norm(np.diff(points, axis=0), axis=1)
    np.testing.assert_allclose(np.linalg.norm(np.diff(setting.to_baffle_m(points), axis=0), axis=1), lengths)


def test_a_leaning_driver_faces_upwards() -> None:
    """2 J1(x)/x about the baffle's own axis: leaned back by its elevation, an ear hears it on its axis."""
    beam = {"high": {"radiating_width_m": 0.05}}
    up = {"ear_height_m": 2.0, "distance_m": 2.5}
    straight, leaning = model(pairing=up, **beam), model(pairing=up, cabinet={"tilt_rad": radians(22.0)}, **beam)
    gain = db(leaning.high_side.response) - db(straight.high_side.response)
    hz = F[at(12000.0)]
    x = 2 * pi * hz / C * 0.025 * sin(np.arctan2(1.0, 2.508))
    assert gain[at(12000.0)] == pytest.approx(-20 * log10(2 * j1(x) / x), abs=0.4)
    assert gain[at(12000.0)] > 4.0 and abs(gain[at(500.0)]) < 0.5
    aimed = Setting(leaning.setting.case)
    direction = aimed.to_baffle_m(aimed.seat_m) - aimed.high_middle_m
    assert abs(np.arctan2(direction[1], direction[2])) < radians(1.5)


def test_a_seat_behind_the_face_is_told_with_its_cells() -> None:
    found = model(cabinet={"tilt_rad": radians(45.0)}, pairing={"distance_m": 0.2, "ear_height_m": 0.3})
    with pytest.raises(
        CannotAssess, match=r"seat of P-01 lies behind .* Listening distance \(Pairings!.* Tilt \(Cabinets!"
    ):
        _ = found.high_side


# --- measured curves ----------------------------------------------------------------------------------------------------


def curve(low_hz: float, high_hz: float, level: float) -> MeasuredCurve:
    f = np.geomspace(low_hz, high_hz, 60)
    return MeasuredCurve(f, np.full_like(f, level), None, "made.txt")


def with_curve(quantity: str, driver: str, found: MeasuredCurve, **parts: Any) -> Model:
    return Model(Setting(replace(changed(demo_case("P-01"), **parts), curves={(driver, quantity): found})))


def test_a_measured_response_stands_in_its_band_and_the_cabinet_acts_on_it() -> None:
    """Flat 84 dB from 100 to 2000 Hz; the box lifts it by the ratio of its high pass to the free one (Small 1972)."""
    found = with_curve("response", "LD-01", curve(100.0, 2000.0, 84.0))
    box, free = found.low_box.response, drivers.high_pass(F, 42.0, 4.5 * 0.575 / (4.5 + 0.575))
    edge = baffle.edge_response(F, 0.2, 0.36, 0.0, -0.05, source=found.setting.low_radiator)
    inside = slice(at(110.0), at(1800.0))
    wanted = 84.0 + 20 * np.log10(np.abs(box / free * edge))
    np.testing.assert_allclose(db(found.low_sources[0].response)[inside], wanted[inside], atol=0.01)
    modelled = model()
    above = slice(at(3000.0), None)
    offset = db(found.low_sources[0].response)[above] - db(modelled.low_sources[0].response)[above]
    assert np.ptp(offset) < 1e-6  # beyond the file the model goes on, without a step of level


def test_a_measured_impedance_stands_in_its_band() -> None:
    found = with_curve("impedance", "HD-01", curve(300.0, 5000.0, 7.7)).high_impedance
    np.testing.assert_allclose(np.abs(found)[at(320.0) : at(4800.0)], 7.7)
    np.testing.assert_allclose(
        np.abs(found)[: at(140.0)], np.abs(model().high_impedance)[: at(140.0)], rtol=5e-3
    )  # an octave below


def test_another_chamber_moves_the_response_by_the_ratio_of_high_passes() -> None:
    """fs and Q times sqrt((1 + Vas/85)/(1 + Vas/28)), Vas 19 mL (Small 1972); the measured impedance stays out."""
    case = demo_case("P-02", pairing={"chamber_m3": None})
    ratio = sqrt((1 + 19 / 85) / (1 + 19 / 28))
    qts = 2.1 * 0.66 / (2.1 + 0.66)

    def shape(fs: float, q: float) -> Array:
        s = 1j * F / fs
        return np.abs(s**2 / (s**2 + s / q + 1))

    change = db(model(case, pairing={"chamber_m3": 85e-6}).high_side.response) - db(model(case).high_side.response)
    np.testing.assert_allclose(change, 20 * np.log10(shape(690 * ratio, qts * ratio) / shape(690, qts)), atol=1e-6)
    free = model(case, pairing={"rear_use": "removed"}).resonance
    assert free.fs_hz == pytest.approx(690 / sqrt(1 + 19 / 28)) and free.qts == pytest.approx(qts / sqrt(1 + 19 / 28))


def test_a_chamber_that_cannot_be_worked_out_changes_nothing() -> None:
    case = demo_case("P-02", pairing={"chamber_m3": None})
    unknown = model(case, pairing={"chamber_m3": 85e-6}, high={"vas_m3": None})
    np.testing.assert_allclose(unknown.high_side.response, model(case).high_side.response)
    assert unknown.setting.resonance.fs_hz is None  # the limit on it stays open


def test_an_impedance_in_free_air_is_moved_into_the_box() -> None:
    """A file of the driver's own free-air impedance gives that of the closed box, and one from the box itself the same."""
    case = demo_case("P-01")
    free = drivers.impedance(F, 5.6, 42.0, 4.5, 0.575, 0.3e-3)
    boxed = model().low_impedance
    for where, ohm in ((None, free), ("CB-01", boxed)):
        curve_ = MeasuredCurve(F, np.abs(ohm), None, "z.txt")
        found = with_curve("impedance", "LD-01", curve_, low={"impedance_measured": where}).low_impedance
        np.testing.assert_allclose(found, boxed, rtol=0.02, err_msg=str(where))
    assert case.cabinet.id == "CB-01"


def test_the_resonance_of_a_measured_impedance_is_taken_into_the_box() -> None:
    """Really 44.5 Hz and Qes 0.62 where the cells say 42 Hz and 0.575: the box makes of it what Small 1972 says of the true ones."""
    f = np.geomspace(10.0, 20000.0, 400)
    free = drivers.impedance(f, 5.6, 44.5, 4.5, 0.62, 0.38e-3)
    found = with_curve("impedance", "LD-01", MeasuredCurve(f, np.abs(free), None, "z.txt")).low_impedance
    truth = drivers.closed_box_impedance(F, 5.6, 44.5, 4.5, 0.62, 24.6e-3, 11e-3, 0.38e-3)
    assert (
        np.max(np.abs(np.abs(found / truth) - 1.0)) < 0.06
    )  # at the free resonance, where the file peaks and the box does not
    assert np.min(found.real) > 5.0


def test_levels_at_angles_enter_the_sound_beside_the_seat() -> None:
    """A dome said to fall by 6 dB at 30 degrees: so much it loses at an ear 30 degrees beside."""
    f = np.geomspace(200.0, 20000.0, 100)
    files = {"response": 91.4, "response h30": 85.4}
    case = replace(
        demo_case("P-01"),
        curves={("HD-01", key): MeasuredCurve(f, np.full_like(f, level), None, "d") for key, level in files.items()},
    )
    found = Model(Setting(case))
    x, y, z = found.setting.centre_m(next(one for one in found.setting.places if one.role == "high"))
    ears = found.setting.to_room_m([[x, y, 2.0 + z], [x + 2.0 * sin(pi / 6), y, z + 2.0 * cos(pi / 6)]])
    heard = db(found.heard_at(found.high_sources, ears, F))[:, at(1000.0) : at(10000.0)]
    np.testing.assert_allclose(heard[0] - heard[1], 6.0, atol=0.05)


# --- guide ---------------------------------------------------------------------------------------------------------------


def test_a_guides_gain_enters_the_level_and_not_the_travel() -> None:
    """Same voltage, same travel, more level on the axis: so for one level the travel falls by the gain."""
    guided = model(guide=demo().waveguides["WG-01"])
    bare, setting = model(), guided.setting
    assert setting.guide is not None
    gain = setting.guide.index_db(F, setting.high_radiator) - setting.high_radiator.index_db(F)
    levels = [db(one.high_sources[0].response / one.edges_of("high")) for one in (guided, bare)]
    change = levels[0] - levels[1]
    np.testing.assert_allclose(change, np.maximum(gain, 0.0), atol=1e-6)
    assert change[at(2500.0)] > 3.0
    assert guided.high_travel_m is not None and bare.high_travel_m is not None
    np.testing.assert_allclose(guided.high_travel_m, bare.high_travel_m)


# --- travel --------------------------------------------------------------------------------------------------------------


def reference_travel_m(level_db: float, area_m2: float, hz: Any) -> Any:
    """Peak travel of a piston that makes a level at 1 m in half space: p = rho S w^2 x/(2 pi sqrt 2)."""
    return 20e-6 * 10 ** (level_db / 20) * 2 * pi * sqrt(2) / (RHO * area_m2 * (2 * pi * hz) ** 2)


def test_travel_in_a_closed_box_is_that_of_its_response() -> None:
    """Volume velocity makes the pressure, so x(f) = x of a piston at the level of the box (Small 1972)."""
    found = model(low={"le_h": 0.0})
    level = 88.6 + 20 * np.log10(np.abs(found.low_box.response))
    np.testing.assert_allclose(found.low_travel_m, reference_travel_m(level, 0.0130, F), rtol=1e-4)
    fc, q = found.low_box.resonance_hz, found.low_box.q
    assert q > 1 / sqrt(2)
    static = reference_travel_m(88.6, 0.0130, fc)  # |x| = static/|1 - u^2 + ju/Q|, largest at u^2 = 1 - 1/(2 Q^2)
    peak = static / sqrt((1 / q**2) - 1 / (4 * q**4))
    assert float(np.max(found.low_travel_m)) == pytest.approx(peak, rel=2e-3)
    assert F[np.argmax(found.low_travel_m)] == pytest.approx(fc * sqrt(1 - 1 / (2 * q**2)), rel=0.03)


def test_static_travel_is_force_over_stiffness() -> None:
    """U sqrt(2) BL/Re times the compliance of suspension and box; LD-01's own BL 6.0 and Mms 14 g (Small 1972)."""
    found = model()
    stiffness = (2 * pi * found.low_box.resonance_hz) ** 2 * 0.014
    assert found.low_travel_m[0] == pytest.approx(2.83 * sqrt(2) * 6.0 / 5.6 / stiffness, rel=0.08)  # rounded data


def test_the_cone_of_a_vented_box_rests_at_its_tuning() -> None:
    """The port takes over at fb: least travel there, larger below and above (Small 1973)."""
    found = model(demo_case("P-02"))  # CB-02, 18 L, 44 Hz
    near = slice(at(25.0), at(80.0))
    dip = F[near][np.argmin(found.low_travel_m[near])]
    assert dip == pytest.approx(44.0, rel=0.04)
    assert found.low_travel_m[at(44.0)] < 0.4 * found.low_travel_m[at(28.0)]
    assert found.low_travel_m[at(44.0)] < 0.5 * found.low_travel_m[at(65.0)]
    closed = model(demo_case("P-02"), cabinet={"kind": "closed"})
    assert found.low_travel_m[at(44.0)] < 0.3 * closed.low_travel_m[at(44.0)]


def test_drivers_in_series_travel_half_as_far() -> None:
    one = model(cabinet={"kind": "open baffle"})
    two = model(cabinet={"kind": "open baffle"}, pairing={"low_count": 2, "low_wiring": "series"})
    np.testing.assert_allclose(two.low_travel_m, one.low_travel_m / 2)


def test_travel_of_the_high_driver() -> None:
    """8.1 cm2 at 91 dB and 4 kHz, its resonance and coil in between."""
    found = model().high_travel_m
    assert found is not None
    s = 4000.0 / 1180.0
    shape = s**2 / abs(1 - s**2 + 1j * s / (2.9 * 1.22 / (2.9 + 1.22)))
    coil = 5.7 / abs(5.7 + 2j * pi * 4000 * 0.03e-3)
    hz = F[at(4000.0)]
    assert found[at(4000.0)] == pytest.approx(reference_travel_m(91.0, 8.1e-4, hz) * shape * coil, rel=0.01)
    assert model(high={"diaphragm_area_m2": None}).high_travel_m is None


# --- load ---------------------------------------------------------------------------------------------------------------


def test_impedance_peak_of_the_closed_box() -> None:
    """At fc: Re (1 + Qms/Qes), both Q in the same ratio; far away Re + j w Le (Small 1972)."""
    found = model()
    fc = found.low_box.resonance_hz
    assert float(np.max(np.abs(found.low_impedance[: at(300.0)]))) == pytest.approx(5.6 * (1 + 4.5 / 0.575), rel=0.01)
    assert F[np.argmax(np.abs(found.low_impedance[: at(300.0)]))] == pytest.approx(fc, rel=0.03)
    top = found.low_impedance[-1]
    assert top == pytest.approx(5.6 + 2j * pi * 20000 * 0.3e-3, rel=0.01)


def test_two_peaks_of_the_vented_box_with_the_tuning_between() -> None:
    modulus = np.abs(model(demo_case("P-04")).low_impedance)  # CB-03, 34 Hz
    between = slice(at(24.0), at(60.0))
    assert F[between][np.argmin(modulus[between])] == pytest.approx(34.0, rel=0.05)
    leak = (34 / 30) / (7.0 * (59 / 48) * 0.445)  # at fb the box is a resistance: Re (1 + h/(QL a Qes)), Small 1973
    assert modulus[at(34.0)] == pytest.approx(5.9 * (1 + leak), rel=0.02)


def test_a_driver_without_a_stated_resonance_is_a_resistance() -> None:
    found = model(high={"fs_hz": None, "le_h": 0.0}).high_impedance
    np.testing.assert_allclose(found, 5.7)


def test_the_equivalent_circuit_is_the_load() -> None:
    """What goes to the circuit simulator has the impedance that the network sees."""
    cases = [demo_case(name) for name in ("P-01", "P-04", "P-10", "P-11")]
    cases += [demo_case(name, low={"le_exponent": 0.7}) for name in ("P-01", "P-04", "P-11")]  # closed, vented, open
    for case in cases:
        found = model(case)
        for load, side in ((found.low_load, found.low_side), (found.high_load, found.high_side)):
            np.testing.assert_allclose(load.impedance(F), side.impedance, rtol=0.02)


# --- tall radiators -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("height", [0.20, 0.36])
def test_the_window_of_a_tall_radiator(height: float) -> None:
    """What the ear loses off the middle is what the line integral says (Lipshitz & Vanderkooy 1986), worked out here.

    At 15 kHz, or on the mean of a third of an octave below, where it loses more.
    """

    def power(offset: float, hz: NDArray[np.float64]) -> float:
        way = np.hypot(2.5, offset - np.linspace(-height / 2, height / 2, 2001))
        return float(np.mean([abs(np.mean(np.exp(-2j * pi * one / C * way) / way)) ** 2 for one in hz]))

    def lost_db(offset: float) -> float:
        thirds = [15000.0 * 2.0 ** -np.linspace(low + 0.02, low + 1 / 3 - 0.02, 8) for low in (0.0, 1 / 3, 2 / 3)]
        return max(10 * log10(power(0.0, hz) / power(offset, hz)) for hz in (F[[at(15000.0)]], *thirds))

    case = of_kind("true ribbon", demo_case("P-01"))
    tall = {"shape": "rectangular", "radiating_width_m": 0.008, "radiating_height_m": height, "centre_depth_m": 0.0}
    middle = 0.72 + 0.28
    for offset in (0.5 * height, height):
        found = assess(changed(case, high=tall, pairing={"ear_height_m": middle + offset}), drawn=False)
        check = next(check for check in found.checks if check.id == "seated window")
        assert check.value == pytest.approx(lost_db(offset), abs=0.5)


def test_a_column_counts_with_its_whole_height() -> None:
    one, three = Setting(demo_case("P-01")), Setting(demo_case("P-01", pairing={"high_count": 3}))
    assert one.high_tall_m == pytest.approx(0.027)
    assert three.high_tall_m == pytest.approx(2 * (0.104 + 0.005) + 0.027)
    foil = {"shape": "rectangular", "radiating_width_m": 0.008, "radiating_height_m": 0.12}
    assert Setting(demo_case("P-01", high=foil)).high_tall_m == pytest.approx(0.12)
    found = assess(three.case, drawn=False)
    assert "tilt" in {check.id for check in found.checks}


def test_the_angle_of_the_seat() -> None:
    setting = Setting(demo_case("P-01", pairing={"ear_height_m": 1.8}))
    run, rise = 2.5 + 0.008, 0.8  # the centre lies 8 mm deep
    assert setting.elevation_rad(1.8) == pytest.approx(acos(run / sqrt(run**2 + rise**2)))
