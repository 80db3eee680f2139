"""Rules of a pairing held over tables of cases; what each should give is worked out beside it by other words than the program's."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import atan2, hypot, log10, pi, radians
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from reportgen.acoustics import drivers
from reportgen.acoustics.measured import Timing
from reportgen.acoustics.patterns import MeasuredRadiator
from reportgen.acoustics.slopes import SLOPES
from reportgen.catalogue.records import MeasuredCurve
from reportgen.crossover.circuit import Circuit, Element
from reportgen.crossover.equivalents import driver_equivalent, resistive_equivalent
from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.networks import Branch, Component, across
from reportgen.crossover.parts import PartOffer
from reportgen.crossover.sides import DesignOptions
from reportgen.crossover.spread import DriverTolerance
from reportgen.crossover.stress import PartStress
from reportgen.crossover.voicing import TREBLE_HZ, Voicing
from reportgen.pairing import as_used, ideal, indices, network, readings, response, tolerances, windows
from reportgen.pairing import assembly as put_together
from reportgen.pairing import curves as drawn
from reportgen.pairing.as_built import AsBuilt, built_with
from reportgen.pairing.as_used import Place, Resonance, Setting, rear_words, used_resonance
from reportgen.pairing.assembly import RESISTORS, _others, _substitutes, assembly
from reportgen.pairing.electrical import electrical_of
from reportgen.pairing.figures import Heard
from reportgen.pairing.frames import Sizes, clearances_m
from reportgen.pairing.heat import Heat, Warmth, heat_of
from reportgen.pairing.measuring import _both, _could_share, _edges, _timing
from reportgen.pairing.options import _wanted
from reportgen.pairing.parts_list import PartLine, as_bought, needed, part_lines
from reportgen.pairing.reach import Reach, reach_of
from reportgen.pairing.response import FREQUENCY_HZ, Model, _without_cabinet
from reportgen.pairing.voiced import barred
from reportgen.problems import CannotAssess
from tests.demo_catalogue import demo, demo_assessed, demo_case
from tests.every import every

EVEN = np.ones(FREQUENCY_HZ.size, dtype=np.complex128)


@every("error", (ValueError, CannotAssess))
def test_a_pairing_without_a_network_says_why_and_one_with_some_has_each(error: type[Exception]) -> None:
    bare: Any = AsBuilt(SimpleNamespace(setting=None), 2000.0, None, "not looked for yet")  # type: ignore[arg-type]

    def refuse(policy: str) -> Any:
        raise error(f"no {policy} parts do it")

    (none,) = built_with(bare, SimpleNamespace(of=refuse), "stock")  # type: ignore[arg-type]
    assert (none.network, none.not_designed, none.bare) == (None, "no stock parts do it", bare)
    some = built_with(bare, SimpleNamespace(of=lambda policy: (f"{policy} 1", f"{policy} 2")), "any")  # type: ignore[arg-type]
    assert [(one.network, one.not_designed, one.bare) for one in some] == [("any 1", "", bare), ("any 2", "", bare)]


@every("arrangement", ("high over low", "low-high-low", "side by side", "column"))
@every("low", ((0.2, 0.2), (0.2, 0.3), (0.3, 0.2), (0.25, None)))
@every("high", ((0.1, 0.1), (0.08, 0.14)))
def test_frames_touch_across_where_centres_stand_aside_and_up_where_they_stand_above(
    arrangement: str, low: tuple[float, float | None], high: tuple[float, float]
) -> None:
    """Half of either frame in that direction, and the gap of 5 mm; a frame of one size is as high as wide."""
    case = demo_case(
        "P-01",
        pairing={"arrangement": arrangement, "centre_spacing_m": None},
        low={"frame_width_m": low[0], "frame_height_m": low[1]},
        high={"faceplate_width_m": high[0], "faceplate_height_m": high[1]},
    )
    aside = arrangement in ("side by side", "column")
    sizes = (low[0], high[0]) if aside else (low[1] or low[0], high[1])
    assert Setting(case).spacing_m == pytest.approx(sum(sizes) / 2 + 0.005)


@every(
    ("shape", "plate", "guide", "is_round"),
    [
        ("round", (0.1, 0.1), None, True),
        ("round", (0.1, None), None, True),
        ("round", (0.1, 0.12), None, False),
        ("rectangular", (0.1, 0.1), None, False),
        ("rectangular", (0.1, 0.12), None, False),
        ("round", (0.1, 0.1), "WG-01", False),
    ],
)
def test_a_frame_is_round_where_the_driver_is_and_its_plate_is_as_high_as_wide(
    shape: str, plate: tuple[float, float | None], guide: str | None, is_round: bool
) -> None:
    case = demo().case(replace(demo().pairings["P-01"], guide_id=guide))
    high = replace(case.high, shape=shape, faceplate_width_m=plate[0], faceplate_height_m=plate[1])
    (frame,) = Setting(replace(case, high=high)).high_frames
    assert frame.round is is_round


@every(("wide", "tall", "is_round"), ((0.2, None, True), (0.2, 0.2, True), (0.2, 0.21, False)))
def test_a_low_frame_is_round_where_it_is_as_high_as_wide(wide: float, tall: float | None, is_round: bool) -> None:
    frames = Setting(demo_case("P-01", low={"frame_width_m": wide, "frame_height_m": tall})).layout.frames
    assert [one.round for one in frames if one.role == "low"] == [is_round]


def test_how_the_back_is_used_is_told_where_it_is_not_as_supplied() -> None:
    """85 cm3 are 85 mL; a chamber goes before a cup, and only a removable cup comes off."""
    high = demo_case("P-01").high
    for rear, used, chamber in product(("sealed", "open", "removable"), ("as supplied", "removed"), (None, 85e-6)):
        off = "rear cup taken off" if (rear, used) == ("removable", "removed") else ""
        assert rear_words(replace(high, rear=rear), used, chamber) == ("in the 85 mL rear chamber" if chamber else off)


@every("kinds", ("", "L", "C", "R", "LC", "LR", "LCR"))
def test_only_a_network_with_resistors_says_where_they_go(kinds: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every part has some resistance of its own; that makes no resistor of it."""
    monkeypatch.setattr(put_together, "_substitutes", lambda *_: {f"{kind}1": (None, None) for kind in kinds})
    parts = tuple(Element(f"{kind}1", kind, ("in", "low1"), 1e-3, 0.3, ()) for kind in kinds)  # type: ignore[arg-type]
    made = assembly(
        None, Circuit(parts, {}), [(1.0, 1.0)] * len(kinds), None, DesignOptions(voicing=Voicing(100.0, 1e4)), 3.5
    )  # type: ignore[arg-type]
    assert made.resistors == (RESISTORS if "R" in kinds else "")


@every(
    ("own", "chosen"),
    ((0.0, None), (0.4, 12.0), (0.4 - 1e-12, 12.0), (0.39, 8.2), (0.2, 8.2), (0.1, None), (0.9, 11.0)),
)
def test_a_substitute_misses_no_more_than_the_network_does(own: float, chosen: float | None) -> None:
    """Of 11, 9.1, 12 and 8.2 in place of 10, nearest first, which miss by 0.9, 1, 0.4 and 0.2: the first that misses no more than the network itself."""
    misses = {11.0: 0.9, 9.1: 1.0, 12.0: 0.4, 8.2: 0.2}
    part = Branch((across(Component("R", 10.0, 0.0)),))
    tried: list[Any] = []

    def side_heard(side: str, branch: Branch, values: Any = None, ohm: Any = None) -> Any:
        return f"{side} as it is" if values is None else values[:, 0]

    def many(low: Any, high: Any, sign: int, target_db: float) -> Any:
        fixed = [one for one in (low, high) if isinstance(one, str)]
        tried.append((*fixed, sign, target_db))
        values = high if isinstance(low, str) else low
        return SimpleNamespace(missed=lambda wanted, nulled: np.array([misses[float(one)] for one in values]))

    bench: Any = SimpleNamespace(low="low", high="high", side_heard=side_heard, many=many)
    design: Any = SimpleNamespace(
        low=part, high=part, high_reversed=True, target_db=77.0, missed=own,
        slope=SLOPES["BW3"],
    )  # fmt: skip
    circuit: Any = SimpleNamespace(elements=[SimpleNamespace(label="R1"), SimpleNamespace(label="R2")])
    stock = tuple(PartOffer(f"KR-{value:g}", "R", value, 0.05) for value in misses)
    found = _substitutes(design, circuit, [0.0, 0.0], bench, DesignOptions(policy="stock", stock=stock))
    said = (chosen, None if chosen is None else f"KR-{chosen:g}")
    assert found == {"R1": said, "R2": said}
    assert tried == [("high as it is", -1, 77.0), ("low as it is", -1, 77.0)]  # each side beside the other


@every(("steps", "ends"), ((2, False), (4, False), (5, True), (9, True)))
def test_a_dip_ends_the_range_where_its_third_of_an_octave_is_10_db_down(steps: int, ends: bool) -> None:
    """A hole of 20 dB in so many of the 24 points of an octave, at 400 Hz: means over 9 of them fall by 20 n/9, of 5 by 20 n/5; 80 dB, and 81 dB an octave up from 1 kHz."""
    at = int(np.argmin(np.abs(FREQUENCY_HZ - 400.0)))
    level = np.where(np.abs(np.log2(FREQUENCY_HZ / 1500.0)) < 0.6, 81.0, 80.0)
    level[at : at + steps] -= 20.0
    heard = Heard(FREQUENCY_HZ, level, 0.0 * level + 80.0, Voicing(100.0, 16e3), 1.0)
    assert (heard.effective_range_hz[0] > 400.0) is ends


@every(("volts", "ends"), ((40.0, "travel of the low driver"), (8.0, "the amplifier")))
def test_what_the_amplifier_alone_reaches_no_travel_ends(volts: float, ends: str) -> None:
    """90 dB for 2.83 V; the woofer's travel ends at 20 V. 6 dB more are wanted than the amplifier reaches: four times its power."""
    case = demo_case("P-01", low={"peak_travel_m": 4e-3}, high={"peak_travel_m": None})
    model = SimpleNamespace(setting=SimpleNamespace(case=case), low_travel_m=2.83 * 4e-3 / 20.0 * np.ones(FREQUENCY_HZ.size), high_travel_m=None)  # fmt: skip
    pressure = 2e-5 * 10.0 ** (90.0 / 20.0) / 2 * EVEN
    heat = Heat(volts, Warmth(1.0, None, None), Warmth(1.0, None, None))
    driven: Any = SimpleNamespace(model=model, voltage_v=volts, heat=heat, low_gain=EVEN, high_gain=EVEN, low=pressure, high=pressure)  # fmt: skip
    found = reach_of(driven)
    assert set(found.cause) == {ends} and found.level_db == pytest.approx(90.0 + 20 * log10(min(volts, 20.0) / 2.83))
    by_amplifier_db = 90.0 + 20 * log10(volts / 2.83)
    assert found.by_amplifier_db == pytest.approx(by_amplifier_db)
    assert found.amplifier_w(by_amplifier_db + 10 * log10(4.0), 2000.0, 50.0) == pytest.approx(200.0)


@every(
    ("full_from", "hz"),
    [((100, 100), 100), ((80, 120), 110), ((60, 140), 130), ((100, None), None), ((None, None), None)],
)
def test_the_bass_of_several_woofers_on_a_panel_ends_by_the_mean_of_their_edges(
    full_from: tuple[int | None, int | None], hz: int | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each has 0.4 of its level below a point of the grid and 1.2 above; below their mean of 1, 0.8 of one full and one not, there is no bass."""
    case = demo_case(
        "P-11", pairing={"low_count": 2, "centre_spacing_m": 0.3}, low={"frame_width_m": 0.2, "frame_height_m": None}
    )
    model = Model(Setting(case))
    lows = [place for place in model.setting.places if place.role == "low"]
    rows = {place: np.where(np.arange(FREQUENCY_HZ.size) >= (10**6 if at is None else at), 1.2, 0.4) for place, at in zip(lows, full_from, strict=True)}  # fmt: skip
    monkeypatch.setattr(Model, "_edge", lambda self, place: rows.get(place, 9.0 * EVEN))
    later = None if None in full_from else max(one for one in full_from if one is not None)
    assert model.rear_path_hz == pytest.approx(0.0 if later is None else FREQUENCY_HZ[later])


@every("phase", (None, "own", "none", "common reference"))
def test_a_driver_is_measured_on_its_own_axis_unless_both_share_one_start_of_time(phase: str | None) -> None:
    """The microphone stands 1 m out of the face, before the driver itself or, for a common reference, before the high one; the woofer lies 20 mm deep."""
    case = demo_case(
        "P-01",
        low={"response_phase": phase, "response_measured": "CB-01", "measured_at_m": 1.0, "centre_depth_m": 0.02},
        high={"response_phase": phase, "response_measured": "CB-01", "measured_at_m": 1.0, "centre_depth_m": 0.01},
    )
    model = Model(Setting(case))
    spacing = model.setting.spacing_m or 0.0
    assert spacing > 0.1
    aside = spacing if phase == "common reference" else 0.0
    assert model._before_microphone("low")[1] == pytest.approx(hypot(aside, 1.02))
    assert model._before_microphone("high")[1] == pytest.approx(1.01)


@every(
    ("band", "driver"),
    [((500.0, 1000.0), "low"), ((1500.0, 2500.0), "low"), ((1700.0, 2500.0), "high"), ((1000.0, 3900.0), "low"),
     ((1000.0, 4100.0), "high"), ((3000.0, 6000.0), "high"), ((1990.0, None), "low"), ((2010.0, None), "high")],
)  # fmt: skip
def test_the_driver_on_whose_side_the_middle_of_a_band_lies_makes_its_sound(
    band: tuple[float, float | None], driver: str
) -> None:
    """The middle is the root of the product of the ends: 1936 Hz of 1500 to 2500 Hz, of which the low driver makes most; crossed at 2 kHz."""
    side = {"low_side": 60.0, "high_side": 70.0}
    model: Any = SimpleNamespace(**{name: SimpleNamespace(response=2e-5 * 10 ** (db / 20) * EVEN) for name, db in side.items()})  # fmt: skip
    heard: Any = SimpleNamespace(target_db=np.full(FREQUENCY_HZ.size, 80.0))
    found = barred(model, heard, 2000.0, *band)
    assert (found.driver, found.lacks_db) == (driver, pytest.approx(20.0 if driver == "low" else 10.0))


# --- as used ----------------------------------------------------------------------------------------------------------


@every(
    ("qms", "qes", "qts"), ((3.0, 1.5, 1.0), (2.0, 2.0, 1.0), (None, 1.5, None), (3.0, None, None), (None, None, None))
)
def test_a_total_q_takes_both_of_its_parts(qms: float | None, qes: float | None, qts: float | None) -> None:
    assert Resonance(1000.0, qms, qes, "").qts == (None if qts is None else pytest.approx(qts))


def test_a_guide_is_what_its_row_says_across_and_up() -> None:
    """A mouth of 180 x 110 mm that covers 90 degrees across and 60 up: from 25 400 / (90 x 0.18) = 1568 Hz and 25 400 / (60 x 0.11) = 3848 Hz (Keele 1975)."""
    case = demo().case(replace(demo().pairings["P-01"], guide_id="WG-01"))
    row = replace(case.guide, mouth_width_m=0.18, mouth_height_m=0.11, horizontal_coverage_rad=radians(90.0), vertical_coverage_rad=radians(60.0))  # type: ignore[type-var]  # fmt: skip
    setting = Setting(replace(case, guide=row))
    assert (setting.high_mouth.width_m, setting.high_mouth.tall_m, setting.high_mouth.rectangular) == (0.18, 0.11, True)
    assert setting.guide is not None
    assert (setting.guide.horizontal_limit_hz, setting.guide.vertical_limit_hz) == pytest.approx(
        (1568.0, 3848.0), rel=1e-3
    )
    bare = Setting(replace(case, guide=None))
    assert bare.guide is None and bare.high_mouth is bare.high_radiator


@every("arrangement", ("high over low", "low-high-low", "side by side", "column"))
@every("lows", (1, 2, 3))
@every("highs", (1, 2))
@every("offset_m", (-0.02, 0.0, 0.02))
def test_centres_along_the_line_on_which_they_stand_apart_are_those_of_the_places(
    arrangement: str, lows: int, highs: int, offset_m: float
) -> None:
    """Counted from the middle of the high drivers: sideways all of a side stand at one place."""
    case = demo_case(
        "P-01",
        pairing={"arrangement": arrangement, "low_count": lows, "high_count": highs, "centre_spacing_m": 0.16},
        cabinet={"offset_m": offset_m, "high_from_top_m": 0.2},
    )
    setting = Setting(case)
    assert setting.low_pitch_m is not None
    low, high = setting.apart_m(0.16, setting.low_pitch_m)
    middle = np.mean([(one.x_m, one.y_m) for one in setting.high_places], axis=0)
    axis = 0 if arrangement in ("side by side", "column") else 1
    for found, places in (
        (low, [one for one in setting.places if one.role == "low"]),
        (high, list(setting.high_places)),
    ):
        there = [(one.x_m, one.y_m)[axis] - middle[axis] for one in places]
        assert sorted(found) == pytest.approx(sorted(set(np.round(there, 9)) if axis == 0 else there), abs=1e-9)


@every(
    ("guide", "plate", "tall", "pitch_m"),
    [
        (None, (0.1, 0.12), 0.03, 0.125), (None, (0.1, None), 0.03, 0.105), (None, (None, None), 0.03, 0.03), (None, (None, None), 0.2, 0.2),
        ("WG-01", (0.1, 0.12), 0.03, None),
    ],
)  # fmt: skip
def test_high_drivers_above_one_another_stand_frame_to_frame_with_a_gap_and_else_surface_to_surface(
    guide: str | None, plate: tuple[float | None, float | None], tall: float, pitch_m: float | None
) -> None:
    """5 mm between two frames; what has no frame known stands as near as it is high."""
    case = demo().case(replace(demo().pairings["P-01"], guide_id=guide))
    high = replace(
        case.high, faceplate_width_m=plate[0], faceplate_height_m=plate[1], shape="rectangular", radiating_height_m=tall
    )
    setting = Setting(replace(case, high=high))
    if pitch_m is None:
        assert case.guide is not None
        pitch_m = (case.guide.faceplate_height_m or case.guide.mouth_height_m) + 0.005
    assert setting.high_pitch_m == pytest.approx(pitch_m)


@every("known", (True, False))
def test_a_frame_that_nobody_knows_is_drawn_as_the_surface_and_said_to_be_unknown(known: bool) -> None:
    """LD-01 has a piston of 2 root(Sd/pi) across; HD-01 a dome as wide as high."""
    unknown: dict[str, Any] = {} if known else {"frame_width_m": None, "frame_height_m": None}
    plate: dict[str, Any] = {} if known else {"faceplate_width_m": None, "faceplate_height_m": None}
    case = demo_case("P-01", low=unknown, high=plate, pairing={"centre_spacing_m": 0.15})
    low, high = Setting(case).layout.frames
    assert (low.size_known, high.size_known) == (known, known)
    piston = 2.0 * (case.low.diaphragm_area_m2 / pi) ** 0.5
    assert (low.width_m, low.height_m) == (
        pytest.approx((piston, piston)) if not known else (case.low.frame_width_m,) * 2
    )
    if not known:
        assert (high.width_m, high.height_m, low.round, high.round) == (
            case.high.radiating_width_m,
            case.high.height_m,
            True,
            True,
        )


@every("chamber_m3", (None, 60e-6))
@every("rear", ("sealed", "open", "removable"))
@every("used", ("as supplied", "removed"))
@every("missing", ((), ("fs_hz",), ("vas_m3",), ("rear_chamber_m3",), ("qms",), ("qes",), ("fs_hz", "vas_m3")))
def test_the_resonance_of_a_high_driver_as_it_is_used(
    chamber_m3: float | None, rear: str, used: str, missing: tuple[str, ...]
) -> None:
    """900 Hz with 30 cm3 of stiffness as air before 20 cm3: 900 / root(1 + 30/20) in free air, times root(1 + 30/60) before 60 cm3; Q alike (Small 1972)."""
    figures: dict[str, Any] = {
        "fs_hz": 900.0,
        "qms": 3.0,
        "qes": 1.5,
        "vas_m3": 30e-6,
        "rear_chamber_m3": 20e-6,
        "rear": rear,
    }
    high = replace(demo_case("P-01").high, **(figures | dict.fromkeys(missing)))
    found = used_resonance(high, used, chamber_m3)
    supplied = chamber_m3 is None and (rear, used) != ("removable", "removed")
    if supplied or "fs_hz" in missing:
        assert (found.fs_hz, found.qms, found.qes, found.how) == (high.fs_hz, high.qms, high.qes, "as supplied")
        assert found.missing == high.missing("fs_hz")
        return
    if {"vas_m3", "rear_chamber_m3"} & {*missing}:
        assert (found.fs_hz, found.qts) == (None, None)
        assert found.missing == high.missing("vas_m3", "rear_chamber_m3") and len(found.missing) == 1
        return
    ratio = 2.5**-0.5 * (1.0 if chamber_m3 is None else 1.5**0.5)
    assert found.fs_hz == pytest.approx(900.0 * ratio)
    for q, stated, name in ((found.qms, 3.0, "qms"), (found.qes, 1.5, "qes")):
        assert q == (None if name in missing else pytest.approx(stated * ratio))


# --- what a network must meet, and what is drawn of it -----------------------------------------------------------------


@every(("slope", "room_db"), (("LR2", 6.0), ("BW3", 6.0), ("LR4", 6.0), ("LR8", 12.0)))
@every(("place", "ohm"), (("home", 3.2), ("studio", 3.2), ("vehicle", 1.6)))
def test_what_a_network_must_meet_follows_slope_and_place(slope: str, room_db: float, place: str, ohm: float) -> None:
    """6 dB over a target of fourth order and twice that of eighth; 80 % of 4 ohm, of 2 ohm in a vehicle (IEC 60268-5)."""
    wanted = _wanted(Setting(demo_case("P-01", pairing={"slope": slope, "surroundings": place})))
    assert (wanted.loud_db, wanted.least_ohm) == (pytest.approx(room_db), pytest.approx(ohm))


def test_every_trace_is_that_of_its_name(monkeypatch: pytest.MonkeyPatch) -> None:
    """Branches of 80 and 74 dB in phase are 83.5 dB together and 74 dB with one reversed (1 + 0.501 and 1 - 0.501); angles seen from 1 m up and 2.5 m away."""
    for name, value in (
        ("arc", lambda *_, vertical: ((float(vertical),),)),
        ("_index_traces", lambda _: ((1.0,), (2.0,), (3.0,))),
    ):
        monkeypatch.setattr(drawn, name, value)
    rules = demo_case("P-01").practice.rules
    practice = replace(demo_case("P-01").practice, rules={**rules, "standing ear height": replace(rules["standing ear height"], value=1.75)})  # fmt: skip
    case = replace(demo_case("P-01", pairing={"ear_height_m": 0.9, "peak_level_db": 91.0}), practice=practice)
    setting = Setting(case)
    low, high = (2e-5 * 10 ** (db / 20) * EVEN for db in (80.0, 74.0))
    design = SimpleNamespace(crossover_hz=2000.0, slope=SLOPES["LR4"])
    sums: Any = SimpleNamespace(model=SimpleNamespace(setting=setting), design=design, low=low, high=high, impedance=(3.0 + 4.0j) * EVEN)  # fmt: skip
    reach = Reach(99.0 * np.ones(FREQUENCY_HZ.size), ("the amplifier",) * FREQUENCY_HZ.size, 100.0 * EVEN.real)
    found = drawn.curves_of(sums, reach, 77.0 * np.ones(FREQUENCY_HZ.size))
    even = {
        "low_db": 80.0, "high_db": 74.0, "sum_db": 80 + 20 * log10(1 + 10**-0.3), "reversed_db": 80 + 20 * log10(1 - 10**-0.3), "target_db": 77.0,
        "impedance_ohm": 5.0, "impedance_phase_rad": atan2(4.0, 3.0), "max_level_db": 99.0, "low_index_db": 1.0, "high_index_db": 2.0, "sum_index_db": 3.0,
    }  # fmt: skip
    for name, value in even.items():
        assert getattr(found, name) == pytest.approx([value] * len(getattr(found, name)), abs=1e-9), name
    assert found.frequency_hz == pytest.approx(FREQUENCY_HZ) and found.wanted_level_db == 91.0
    _, y, z = setting.high_centre_m
    ears = (found.seated_angle_rad, found.standing_angle_rad)
    assert ears == pytest.approx([atan2(ear - y, 2.5 - z) for ear in (0.9, 1.75)])
    assert (found.vertical_db, found.horizontal_db) == (((1.0,),), ((0.0,),))


def test_a_substitute_is_the_nearest_whether_it_is_on_the_shelf_or_in_the_series() -> None:
    """In place of 10 uF: 9.1 of E24 is nearer by ratio than 11, 11 than 9.05 on the shelf, and of two alike the one on the shelf goes first (IEC 60063)."""
    stock = tuple(PartOffer(f"KC-{value:g}", "C", value * 1e-6, 0.05) for value in (9.05, 11.0, 13.4, 13.6))
    found = _others("C", 1e-5, 0.0, DesignOptions(policy="any", stock=stock, series="E24"))
    told = [(round(value * 1e6, 2), id_) for value, id_ in found]
    assert told == [(9.1, None), (11.0, "KC-11"), (11.0, None), (9.05, "KC-9.05"), (12.0, None), (8.2, None), (13.0, None), (7.5, None), (13.4, "KC-13.4")]  # fmt: skip


# --- measured files ---------------------------------------------------------------------------------------------------


@every("phased", (True, False))
@every("common", (True, False))
@every("inverted", (True, False))
@every("delay_ms", (-3.0, -0.004, 0.0, 0.004, 0.006, 3.0))
def test_what_is_told_of_the_phase_of_a_file(phased: bool, common: bool, inverted: bool, delay_ms: float) -> None:
    """A phase that is none is told alone; else a delay from 5 us on where it is the file's own, and a polarity in any case."""
    timing = Timing(delay_ms * 1e-3, inverted, radians(90.0))
    taken: Any = SimpleNamespace(found=SimpleNamespace(timing=timing), phased=phased, common=common)
    curve: Any = SimpleNamespace(file="cone.txt", phase_rad=np.array([0.0, 2.0]))
    driver = demo_case("P-01").low
    told = [(one.text.removeprefix("LD-01: "), one.field, one.doubtful) for one in _timing(driver, taken, curve)]
    wanted = []
    if not phased:
        wanted.append(
            (
                "the phase of cone.txt lies 90 degrees from that of its level with any delay; it does not count",
                "response_file",
                True,
            )
        )
    if phased and not common and abs(delay_ms) > 0.005:
        wanted.append((f"a delay of {delay_ms:.2f} ms was found in cone.txt and taken out", "response_file", False))
    if phased and inverted:
        wanted.append(("cone.txt was measured upside down; its polarity is turned", "response_file", True))
    assert told == wanted
    taken.found.timing = None
    assert not list(_timing(driver, taken, curve))


@every(
    ("edges_db", "share", "points", "told"),
    [
        (3.0, 1.0, 100, True), (0.5, 1.0, 100, False), (1.0, 1.0, 100, True), (3.0, 0.65, 100, True), (3.0, 0.55, 100, False), (3.0, 1.35, 100, True),
        (3.0, 1.45, 100, False), (3.0, 1.0, 24, True), (3.0, 1.0, 23, False), (3.0, -1.0, 100, False),
    ],
)  # fmt: skip
def test_a_cabinet_is_known_in_a_file_by_edges_that_are_strong_enough_and_there_in_full(
    edges_db: float, share: float, points: int, told: bool
) -> None:
    """A wave of the edges of so many decibels rms, of which the file has a share, over so many points below 3 kHz; 0.9 dB rms are enough to know them by."""
    wave = edges_db / (20 / np.log(10)) * 2**0.5 * np.sin(np.arange(FREQUENCY_HZ.size) * 2 * pi / 12)  # nepers
    inside = (FREQUENCY_HZ < 3000.0) & (np.cumsum(FREQUENCY_HZ > 100.0) <= points) & (FREQUENCY_HZ > 100.0)
    found = SimpleNamespace(inside=inside | (FREQUENCY_HZ > 5000.0), log_ratio=share * wave + 0.3)
    case = demo_case("P-01", low={"response_measured": None})
    model: Any = SimpleNamespace(edges_of=lambda role: np.exp(wave), setting=Setting(case))
    assert bool(list(_edges(model, "low", case.low, SimpleNamespace(found=found)))) is told  # type: ignore[arg-type]


# --- responses and readings -------------------------------------------------------------------------------------------


@every("role", ("low", "high"))
@every("guide", (None, "WG-01"))
@every("kind", ("closed", "vented", "open baffle"))
@every("rear", ("sealed", "open"))
@every("placement", (None, "near a wall", "in a wall"))
def test_edges_are_lit_by_the_surface_that_stands_on_them_front_and_back_as_it_is_open(
    role: str, guide: str | None, kind: str, rear: str, placement: str | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A driver 30 mm right of the middle of a front of 220 x 400 mm and 300 mm up: 30 mm right of its middle and 100 mm over it."""
    case = demo().case(replace(demo().pairings["P-01"], guide_id=guide, placement=placement))
    cabinet = replace(case.cabinet, kind=kind, baffle_width_m=0.22, baffle_height_m=0.4)
    setting = Setting(replace(case, cabinet=cabinet, high=replace(case.high, rear=rear)))
    told: list[Any] = []
    monkeypatch.setattr(response, "_edge_response", lambda *asked: told.append(asked) or EVEN)
    found = Model(setting)._edge(Place(role, 0.14, 0.3))
    if placement == "in a wall" and kind != "open baffle":
        assert not told and np.all(found == 1.0)
        return
    ((width, height, x, y, open_back, air, source),) = told
    assert (width, height, air) == (0.22, 0.4, setting.air) and (x, y) == pytest.approx((0.03, 0.1))
    assert open_back is (kind == "open baffle" and (role == "low" or rear == "open"))
    across = 2.0 * (case.low.diaphragm_area_m2 / pi) ** 0.5 if role == "low" else case.high.radiating_width_m
    if role == "high" and case.guide is not None:
        across = case.guide.mouth_width_m
    assert source.width_m == pytest.approx(across)


@every("kit", (None, "Reedmace"))
def test_a_netlist_is_headed_by_its_pairing_and_kit_or_says_why_there_is_none(
    kit: str | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    setting = Setting(demo_case("P-01", pairing={"kit": kit}))
    monkeypatch.setattr(
        readings.spice, "netlist", lambda title, circuit, loads: (title, circuit, sorted(loads.items()))
    )
    model: Any = SimpleNamespace(setting=setting, low_load="cone", high_load="dome")
    made = readings.netlist_of(SimpleNamespace(model=model), "circuit")  # type: ignore[arg-type]
    assert made == (f"P-01 {kit or ''}", "circuit", [("high", "dome"), ("low", "cone")])

    class Resisting:
        low_load = "cone"

        @property
        def high_load(self) -> str:
            raise ValueError("the impedance of HD-01 resists")

    odd: Any = Resisting()
    odd.setting = setting
    assert (
        readings.netlist_of(SimpleNamespace(model=odd), "circuit") == "* no netlist: the impedance of HD-01 resists\n"
    )  # type: ignore[arg-type]


SHARED: dict[str, dict[str, Any]] = {
    one: {"response_phase": "common reference", "response_measured": "CB-01", "measured_at_m": 1.0}
    for one in ("low", "high")
}


@every(
    ("change", "phased", "shared"),
    [
        ({}, ("low", "high"), True),
        *(({side: {"response_phase": word}}, ("low", "high"), False) for side in ("low", "high") for word in (None, "own", "none")),
        *(({side: {"response_measured": place}}, ("low", "high"), False) for side in ("low", "high") for place in (None, "CB-02")),
        *(({side: {"measured_at_m": 2.0}}, ("low", "high"), False) for side in ("low", "high")),
        *(({}, phased, False) for phased in (("low",), ("high",), ())),
        ({"low": {"measured_at_m": 2.0}, "high": {"measured_at_m": 2.0}}, ("low", "high"), True),
    ],
)  # fmt: skip
@every("without", (None, "low", "high"))
def test_one_start_of_time_is_in_both_files_or_in_neither(
    change: dict[str, dict[str, Any]], phased: tuple[str, ...], shared: bool, without: str | None
) -> None:
    """Both rows say so, both files were measured in one place from one distance, and both are there and have a phase."""
    case = demo_case("P-01", **{side: {**SHARED[side], **change.get(side, {})} for side in SHARED})
    level = np.full(FREQUENCY_HZ.size, 88.0)
    curves = {
        (getattr(case, side).id, "response"): MeasuredCurve(FREQUENCY_HZ, level, 0.0 * level if side in phased else None, "file.txt")
        for side in SHARED
        if side != without
    }  # fmt: skip
    assert Model(Setting(replace(case, curves=curves)))._common_reference is (shared and without is None)


@every("where", (None, "large baffle", "CB-01", "CB-03", "CB-99"))
def test_a_driver_was_measured_bare_free_of_walls_and_without_what_was_measured(where: str | None) -> None:
    """In the pairing's own cabinet as it stands there, in another as it would; without a known cabinet on a large baffle."""
    pairing = replace(demo().pairings["P-01"], guide_id="WG-01", placement="in a wall", high_from_top_m=0.3)
    case = replace(demo().case(pairing), measured_in=demo().cabinets)
    curve = MeasuredCurve(FREQUENCY_HZ, np.full(FREQUENCY_HZ.size, 88.0), None, "file.txt")
    found = Model(Setting(replace(case, curves={("LD-01", "response"): curve})))._elsewhere(where)
    if where not in ("CB-01", "CB-03"):
        assert found is None
        return
    assert found is not None
    there = found.setting.case
    assert (there.cabinet.id, there.guide, there.curves, there.pairing.placement) == (where, None, {}, None)
    assert there.pairing.high_from_top_m == (0.3 if where == "CB-01" else None)
    assert (there.low, there.high) == (case.low, case.high)


def test_builds_stray_by_the_tolerances_of_the_practice_sheet_an_octave_about_the_crossover(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What is drawn at random is asked for once, with every figure in its place; the worst of the influences is the first that is no driver's."""
    named = {"driver level tolerance": 0.7, "driver resonance tolerance": 0.15, "capacitor tolerance": 0.04, "inductor tolerance": 0.03, "resistor tolerance": 0.02}  # fmt: skip
    design = SimpleNamespace(
        crossover_hz=2000.0, low=Branch((across(Component("C", 1e-5, 0.0)),)), high=Branch((across(Component("R", 8.0, 0.0)),)), high_reversed=True,
    )  # fmt: skip
    model = SimpleNamespace(
        low_side="low side", high_side="high side", setting=SimpleNamespace(case=SimpleNamespace(practice=named))
    )
    asked: list[Any] = []

    def drawn_at_random(pair: Any, band_hz: Any, good: Any, *, driver: Any, builds: int) -> Any:
        asked.append((pair, band_hz, good, driver, builds))
        influences = [SimpleNamespace(name=name, branch=branch, change_db=db) for name, branch, db in (("driver level", "low", 0.9), ("C1", "low", 0.5), ("R1", "high", 0.4))]  # fmt: skip
        return SimpleNamespace(
            influences=influences, frequency_hz=(1.0, 2.0), share_within=0.9, below_db=lambda share: (share, share)
        )

    bands: list[Any] = []
    monkeypatch.setattr(tolerances, "spread", drawn_at_random)
    monkeypatch.setattr(tolerances, "_good", lambda sums, target_db, band: bands.append(band) or "good")
    sums: Any = SimpleNamespace(model=model, design=design)
    found = tolerances.spread_figures(sums, np.zeros(FREQUENCY_HZ.size), 300, drawn=True)
    ((pair, band_hz, good, driver, builds),) = asked
    assert (band_hz, good, builds) == ((1000.0, 4000.0), "good", 300)
    assert driver == DriverTolerance(0.7, resonance_share=0.15)
    assert (pair.low, pair.high, pair.high_reversed) == ("low side", "high side", True)
    assert [part.tolerance for branch in (pair.low_branch, pair.high_branch) for part in branch.components] == [
        0.04,
        0.02,
    ]
    inside = FREQUENCY_HZ[bands[0]]
    assert inside[0] >= 1000.0 > inside[0] / 1.03 and inside[-1] <= 4000.0 < inside[-1] * 1.03
    assert (found.low_db, found.high_db, found.good_share, found.worst_part, found.worst_part_db) == ((0.05, 0.05), (0.95, 0.95), 0.9, "C1 of the low branch", 0.5)  # fmt: skip
    bare = tolerances.spread_figures(sums, np.zeros(FREQUENCY_HZ.size))
    assert (bare.low_db, bare.high_db, bare.builds, bare.frequency_hz) == ((), (), 1000, (1.0, 2.0))


@every(("half_deg", "at_deg"), ((0.5, 0.5), (30.0, 30.0), (84.0, 84.0), (85.0, 85.0), (90.0, 85.0)))
def test_ears_at_either_edge_of_the_window_are_as_far_away_as_the_seat_and_no_further_aside_than_85_degrees(
    half_deg: float, at_deg: float
) -> None:
    setting = Setting(demo_case("P-01", pairing={"horizontal_half_window_rad": radians(half_deg)}))
    left, right = windows._aside(setting, np.array([0.0, 1.1, 2.5]))
    assert right == pytest.approx([2.5 * np.sin(radians(at_deg)), 1.1, 2.5 * np.cos(radians(at_deg))])
    assert left == pytest.approx(right * [-1.0, 1.0, 1.0])


# --- surfaces, guides and frames --------------------------------------------------------------------------------------


@every(
    ("shape", "tall", "height_m"), (("round", None, 0.026), ("rectangular", None, 0.026), ("rectangular", 0.12, 0.12))
)
def test_a_high_driver_that_states_one_size_is_as_high_as_wide(shape: str, tall: float | None, height_m: float) -> None:
    high = {"shape": shape, "radiating_width_m": 0.026, "radiating_height_m": tall}
    found = Setting(demo_case("P-01", high=high)).high_radiator
    assert (found.width_m, found.tall_m) == (0.026, height_m if shape == "rectangular" else found.tall_m)
    assert found.rectangular is (shape == "rectangular")


@pytest.mark.parametrize("kind", ("soft dome", "compression driver"))
def test_the_gain_of_a_guide_is_read_from_a_table_that_is_true_to_0_06_db(kind: str) -> None:
    """Between its points and past its ends, for a driver that needs a horn as for any other; without a guide there is none."""
    case = demo().case(replace(demo().pairings["P-01"], guide_id="WG-01"))
    setting = Setting(replace(case, technology=demo().technologies[kind]))
    hz = np.geomspace(310.0, 14500.0, 997)
    assert setting.guide is not None
    exact = setting.guide.gain_db(hz, setting.high_radiator, setting.air)
    assert np.max(np.abs(setting.guide_gain_db(hz) - exact)) <= 0.06 and np.ptp(exact) > 3.0
    assert np.all(Setting(replace(case, guide=None)).guide_gain_db(hz) == 0.0)


@every(("count", "below", "above"), ((1, 1, 0), (2, 1, 1), (3, 2, 1), (4, 2, 2), (5, 3, 2)))
def test_an_odd_woofer_around_the_high_drivers_stands_below(count: int, below: int, above: int) -> None:
    case = demo_case("P-01", pairing={"arrangement": "low-high-low", "low_count": count, "centre_spacing_m": 0.15})
    setting = Setting(case)
    lows = [one.y_m for one in setting.places if one.role == "low"]
    (high,) = (one.y_m for one in setting.high_places)
    assert (sum(y < high for y in lows), sum(y > high for y in lows)) == (below, above)
    steps = [0.15 + 0.173 * index for index in range(3)]  # LD-01 is 168 mm wide, and 5 mm lie between
    assert sorted(lows) == pytest.approx(
        sorted([high - step for step in steps[:below]] + [high + step for step in steps[:above]])
    )


def test_the_frame_of_a_guide_is_that_of_its_row_and_its_hole_is_its_mouth() -> None:
    case = demo().case(replace(demo().pairings["P-01"], guide_id="WG-01"))
    row = replace(case.guide, mouth_width_m=0.18, mouth_height_m=0.11, faceplate_width_m=0.2, faceplate_height_m=0.13)  # type: ignore[type-var]
    (frame,) = Setting(replace(case, guide=row)).high_frames
    assert (frame.role, frame.label, frame.width_m, frame.height_m) == ("high", "WG-01", 0.2, 0.13)
    assert (frame.cut_width_m, frame.cut_height_m, frame.round, frame.size_known) == (0.18, 0.11, False, True)


@every("cut_mm", (None, 60, 100, 140))
@every("side", ("high", "low"))
def test_beside_many_low_drivers_the_larger_of_frame_and_hole_takes_up_the_room(cut_mm: int | None, side: str) -> None:
    """Two plates of 104 and 168 mm, 150 mm apart: (104 + 168)/2 = 136 mm of them; a hole of 140 mm in the one or of 200 mm in the other takes 18 or 16 mm more."""
    more = {"high": 0, "low": 60}[side]
    hole = None if cut_mm is None else (cut_mm + more) / 1e3
    high: dict[str, Any] = {"faceplate_width_m": 0.104, "faceplate_height_m": None, "cutout_width_m": hole if side == "high" else 0.05, "cutout_height_m": None}  # fmt: skip
    setting = Setting(demo_case("P-01", high=high))
    one = {
        name: np.array([value])
        for name, value in (("wide", 0.168), ("cut", hole if side == "low" and hole else np.nan), ("cone", 0.01))
    }
    found = clearances_m(
        setting, np.array([0.150]), np.array([0.173]), Sizes(one["wide"], one["wide"], one["cut"], one["cone"])
    )
    plates = (max(0.104, hole or 0.0), 0.168) if side == "high" else (0.104, max(0.168, hole or 0.0))
    assert found == pytest.approx([0.150 - sum(plates) / 2.0])


@every("kinds", ("L", "LCR", "LLR"))
def test_the_wire_of_each_coil_is_chosen_by_its_own_current_and_its_substitute_by_its_own_rating(
    kinds: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """1.4 A want 0.7 mm, 2.9 A 1.0 mm and 4.9 A 1.4 mm (common practice, no source); the ratings are 10, 20 and 30."""
    ratings: list[Any] = []
    labels = [f"{kind}{at}" for at, kind in enumerate(kinds)]
    monkeypatch.setattr(put_together, "_substitutes", lambda design, circuit, needed, *_: ratings.append(needed) or {one: (1.0, one) for one in labels})  # fmt: skip
    parts = tuple(Element(label, label[0], ("in", "low1"), 1e-3, 0.3, ()) for label in labels)  # type: ignore[arg-type]
    loads = [(1.4, 10.0), (2.9, 20.0), (4.9, 30.0)][: len(kinds)]
    made = assembly(None, Circuit(parts, {}), loads, None, DesignOptions(voicing=Voicing(100.0, 1e4)), 3.5)  # type: ignore[arg-type]
    assert ratings == [[rating for _, rating in loads]]
    assert [one.wire_mm for one in made.parts] == [wire if kind == "L" else None for kind, wire in zip(kinds, (0.7, 1.0, 1.4), strict=False)]  # fmt: skip
    assert [(one.label, one.substitute_id) for one in made.parts] == [(label, label) for label in labels]


@every("role", ("low", "high"))
@every("rear", ("sealed", "open"))
@every("kind", ("closed", "open baffle"))
def test_the_end_of_the_baffle_is_that_about_the_first_driver_of_a_side(
    role: str, rear: str, kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Level over power, 8 over 2 at every frequency, are 6 dB; asked for where the first stands, counted from the middle."""
    case = demo_case("P-01", pairing={"low_count": 2, "high_count": 2, "arrangement": "column", "centre_spacing_m": 0.16}, cabinet={"kind": kind, "baffle_width_m": 0.5}, high={"rear": rear})  # fmt: skip
    setting = Setting(case)
    asked: list[Any] = []
    for name, value in (("edge_response", 8.0**0.5), ("radiated_power", 2.0)):
        monkeypatch.setattr(indices.baffle, name, lambda *a, value=value: asked.append(a) or value * EVEN.real)
    assert indices._panel_db(setting, role) == pytest.approx(10 * log10(4.0))  # type: ignore[arg-type]
    place = next(one for one in setting.places if one.role == role)
    cabinet = case.cabinet
    open_back = kind == "open baffle" and (role == "low" or rear == "open")
    for _, width, height, x, y, opened, air in asked:
        assert (width, height, air, opened) == (cabinet.baffle_width_m, cabinet.baffle_height_m, setting.air, open_back)
        assert (x, y) == pytest.approx(
            (place.x_m - cabinet.baffle_width_m / 2, place.y_m - cabinet.baffle_height_m / 2)
        )
    assert len(asked) == 2


# --- networks ---------------------------------------------------------------------------------------------------------


@every("weak", ((), (0,), (1,), (0, 1)))
def test_parts_that_are_too_weak_in_any_network_are_looked_for_again(weak: tuple[int, ...], monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    part = PartLine("low", "C1", "C", "shunt", 1e-5, 0.0, part_id="KC-1", voltage_peak_v=20.0, under_rated=True)
    rounds: list[Any] = []
    monkeypatch.setattr(network, "ladder", lambda _, options: rounds.append(options.needs) or [0, 1])
    monkeypatch.setattr(network.Networks, "_explored", None)
    monkeypatch.setattr(network.Networks, "_engineered", lambda _, at: SimpleNamespace(parts=(part,) if at in weak and len(rounds) == 1 else ()))  # fmt: skip
    network.Networks(Model(Setting(demo_case("P-01"))), 2450.0).of("stock")
    assert [len(needs) - len(rounds[0]) for needs in rounds] == ([0, len(weak)] if weak else [0])


@every("is_reversed", (False, True))
@every("ends", ((), ((1.0, -2.0),), ((1.0, -2.0), (-3.0, 0.5)), ((-1.0, 0.25), (0.5, -0.5), (0.0, 0.75))))
def test_drivers_at_the_ends_of_what_is_usual_are_heard_through_the_same_network(
    is_reversed: bool, ends: tuple[tuple[float, float], ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The largest departure either way, around the crossover and by thirds, over all of these ends."""
    asked: list[Any] = []

    class Tried:
        def __init__(self, *asked_for: Any) -> None:
            self.end = asked_for[0]
            asked.append(asked_for[1:])

        def reached(self, *network_: Any) -> Any:
            asked.append(network_)
            return SimpleNamespace(sum_worst_db=self.end[0], evenness_db=self.end[1])

    monkeypatch.setattr(network, "Bench", Tried)
    model: Any = SimpleNamespace(otherwise=[SimpleNamespace(low_side=end, high_side="high") for end in ends])
    found: Any = SimpleNamespace(slope="LR4", crossover_hz=2000.0, low="low branch", high="high branch", high_reversed=is_reversed, target_db=77.0)  # fmt: skip
    unsure = network._unsure(model, found, "voicing")  # type: ignore[arg-type]
    if not ends:
        assert unsure is None
        return
    assert unsure is not None
    assert (unsure.worst_db, unsure.thirds_db) == (max(abs(one) for one, _ in ends), max(abs(one) for _, one in ends))
    sign = -1 if is_reversed else 1
    assert asked[: len(ends)] == [("high", "LR4", 2000.0, "voicing")] * len(ends)
    assert asked[len(ends) :] == [("low branch", "high branch", sign, 77.0)] * len(ends)


# --- what is measured, and what loads the amplifier ----------------------------------------------------------------------


@every("kind", ("soft dome", "compression driver"))
def test_what_is_filled_in_is_tried_at_both_ends_but_the_depth_of_a_driver_that_needs_a_horn(kind: str) -> None:
    """A dome's usual depth is 8 mm, 0 to 14; of a compression driver nobody knows a usual one (common practice, no source)."""
    case = demo_case("P-01", high={"centre_depth_m": None}, low={"centre_depth_m": 0.03})
    case = replace(case, technology=demo().technologies[kind], high=replace(case.high, le_h=0.03e-3, qms=3.0, qes=1.5))
    depths = {one.setting.case.high.centre_depth_m for one in Model(Setting(case)).otherwise}
    assert depths == ({0.0, 0.014} if kind == "soft dome" else set())


@every("le_h", (None, 0.3e-3, 2e-3))
def test_the_coil_of_a_woofer_takes_from_its_travel_what_it_takes_from_its_level(le_h: float | None) -> None:
    """|R / (R + j w L)| of 5.5 ohm; far below, where the coil is nothing, both are as without."""
    coil = {"le_h": le_h, "le_exponent": 1.0, "re_ohm": 5.5}
    with_, without = (Model(Setting(demo_case("P-01", low={**coil, "le_h": one}))) for one in (le_h, None))
    omega = 2 * pi * FREQUENCY_HZ
    share = np.abs(5.5 / (5.5 + 1j * omega * (le_h or 0.0)))
    assert with_.low_travel_m / without.low_travel_m == pytest.approx(share, rel=1e-6)
    assert np.abs(with_._modelled_low / without._modelled_low) == pytest.approx(share, rel=1e-6)


@every("missing", ((), ("fs_hz",), ("qms",), ("qes",), ("qms", "qes"), ("fs_hz", "qms", "qes")))
def test_a_resonance_loads_the_amplifier_where_all_of_it_is_known(missing: tuple[str, ...]) -> None:
    figures: dict[str, Any] = {"fs_hz": 900.0, "qms": 3.0, "qes": 1.5, "re_ohm": 5.0, "le_h": 0.05e-3}
    case = demo_case("P-01", high=figures | dict.fromkeys(missing))
    model = Model(Setting(replace(case, curves={})))
    load = model.high_load
    plain = resistive_equivalent(5.0, 0.05e-3)
    whole = driver_equivalent(DriverLoad(5.0, 0.05e-3, 900.0, 3.0, 1.5))
    assert load == (plain if missing else whole)
    peak = float(np.max(np.abs(model.high_impedance[FREQUENCY_HZ < 2000.0])))
    assert peak == pytest.approx(5.05 if missing else 15.0, abs=0.15)  # Re (1 + Qms/Qes) at its resonance


@every("common", (True, False))
@every("phased", ((True, True), (True, False), (False, True), (False, False)))
@every("there", (("low", "high"), ("low",), ("high",), ()))
def test_a_shared_start_of_time_delays_the_low_driver_by_what_it_starts_later(
    common: bool, phased: tuple[bool, bool], there: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """0.4 ms; only where both files share it and both phases count. Else each has its own phase where that counts."""
    taken = {
        role: SimpleNamespace(common=common, phased=phase, late_s=late, found=SimpleNamespace(factor=lambda delay=0.0, *, excess=True: (delay, excess)))
        for role, phase, late in zip(("low", "high"), phased, (0.9e-3, 0.5e-3), strict=True)
    }  # fmt: skip
    monkeypatch.setattr(Model, "low_measured", taken["low"] if "low" in there else None)
    monkeypatch.setattr(Model, "high_measured", taken["high"] if "high" in there else None)
    model = Model(Setting(demo_case("P-01")))
    both = common and all(phased) and len(there) == 2
    for role, phase, late in zip(("low", "high"), phased, (0.4e-3, 0.0), strict=True):
        found: Any = model._measured_factor(role)
        if role not in there:
            assert np.all(found == 1.0)
        else:
            assert found == ((pytest.approx(late), True) if both else (0.0, phase))


@every("tilt_deg", (0.0, 5.0, 12.0))
@every("ear_m", (0.8, 1.1))
def test_losses_are_held_against_an_ear_on_the_axis_as_far_out_of_the_face_as_the_seat(
    tilt_deg: float, ear_m: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The axis leaves the face at its tilt; then come the seat, a standing ear, 15 ears in height, and the seat as floor and ceiling mirror it; sideways
    the seat and both edges of the window over a third of an octave about each frequency; at last the seat and those in height. Of a point that
    loses by its way alone nothing is lost."""
    case = demo_case(
        "P-01", pairing={"ear_height_m": ear_m, "distance_m": 2.0, "high_count": 2}, cabinet={"tilt_rad": radians(tilt_deg)}
    )  # fmt: skip
    model = Model(Setting(case))
    heard: list[Any] = []
    monkeypatch.setattr(
        windows, "_power", lambda of, points, hz: heard.append((points, hz)) or np.ones(len(hz)) / windows._ways(of.setting, points)
    )  # fmt: skip
    monkeypatch.setattr(windows, "_own_power", lambda *_: np.ones(2))
    found = windows.window_of(model)
    assert (found.seated_loss_db, found.standing_loss_db, found.hole_db) == pytest.approx((0.0, 0.0, 0.0))
    (points, hz), (ears, octave), (three, thirds), (window, down_to_5_khz) = heard
    assert window[0] == pytest.approx([0.0, ear_m, 2.0]) and window[1:] == pytest.approx(points[3:18])
    assert (max(down_to_5_khz), min(down_to_5_khz)) == pytest.approx((hz[1] * 2.0 ** (-0.5 / 24), hz[1] * 2.0 ** (-39.5 / 24)))  # fmt: skip
    assert ears == pytest.approx(points[:3]) and max(octave) < 15000.0 and min(octave) > 7500.0
    centre, normal = model.setting.high_centre_m, np.array([0.0, np.sin(radians(tilt_deg)), np.cos(radians(tilt_deg))])
    seat = np.array([0.0, ear_m, 2.0])
    assert points[0] == pytest.approx(centre + normal * ((seat - centre) @ normal))
    assert points[1] == pytest.approx(seat) and points[2] == pytest.approx([0.0, 1.6, 2.0])
    assert points[3:18, 2] == pytest.approx(2.0) and np.all(np.diff(points[3:18, 1]) > 0.0)
    assert points[10] == pytest.approx(seat)  # the middle of those in height
    ceiling = case.practice["ceiling height"]
    assert points[18:, 1] == pytest.approx([-ear_m, 2 * ceiling - ear_m]) and len(points) == 20
    assert hz == (5000.0, case.practice["high band top"])
    assert three[:, 0] == pytest.approx([0.0, -1.0, 1.0]) and three[:, 1] == pytest.approx(ear_m)  # 30 degrees of 2 m
    for third, middle in zip((thirds[:8], thirds[8:]), (10000.0, hz[1]), strict=True):
        assert third == pytest.approx(middle * 2.0 ** (np.arange(-3.5, 4.0) / 24.0))


@every(("out_m", "before"), ((-0.02, False), (-0.01, False), (-0.005, False), (-0.0049, True), (0.5, True)))
@every("deeper", ("low", "high"))
def test_a_seat_lies_before_the_foremost_driver_or_is_refused(out_m: float, before: bool, deeper: str, monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    """One centre 5 mm deep and the other 30 mm."""
    depths = {"low": 0.03, "high": 0.005} if deeper == "low" else {"low": 0.005, "high": 0.03}
    case = demo_case("P-01", **{side: {"centre_depth_m": depth} for side, depth in depths.items()})
    setting = Setting(case)
    monkeypatch.setattr(Setting, "to_baffle_m", lambda self, points: np.array([0.0, 0.3, out_m]))
    if before:
        assert Model(setting).seat_m is setting.seat_m
    else:
        with pytest.raises(CannotAssess, match="the seat of P-01 lies behind the face of CB-01"):
            _ = Model(setting).seat_m


@every("arrangement", ("high over low", "side by side", "column"))
@every("offset_m", (-0.03, 0.0, 0.04))
@every("ear_m", (0.9, 1.2))
def test_ears_over_the_window_are_those_of_the_arc_that_is_drawn(
    arrangement: str, offset_m: float, ear_m: float
) -> None:
    """Counted from the high drivers' middle: up about it, sideways about the middle of the front, where the seat is straight ahead; 0.3 degree steps of 12 degrees, and one outside either edge."""
    half = radians(12.0)
    pairing = {"arrangement": arrangement, "ear_height_m": ear_m, "distance_m": 2.0, "centre_spacing_m": 0.15, "horizontal_half_window_rad": half, "vertical_half_window_rad": half}  # fmt: skip
    setting = Setting(demo_case("P-01", pairing=pairing, cabinet={"offset_m": offset_m, "tilt_rad": 0.0}))
    x, y, z = setting.high_middle_m
    up = ear_m - setting.case.cabinet.stand_height_m - y
    ears = np.array(setting.listeners_m)
    angle = half * np.arange(-41, 42) / 40.0
    if setting.sideways:
        wanted = np.stack([2.0 * np.sin(angle) - x, 2.0 * np.cos(angle)], axis=-1)
    else:
        start, reach = atan2(up, 2.0 - z), hypot(up, 2.0 - z)
        wanted = np.stack([reach * np.sin(start + angle), z + reach * np.cos(start + angle)], axis=-1)
    assert ears == pytest.approx(wanted, abs=1e-9)


def test_a_woofer_on_a_large_baffle_has_the_level_of_its_data_sheet() -> None:
    """88 dB far above its resonance of 40 Hz, without its coil; at the resonance itself 20 lg of Q less (second order)."""
    case = demo_case("P-01", low={"sensitivity_db": 88.0, "fs_hz": 40.0, "le_h": None})
    level = 20 * np.log10(np.abs(Model(Setting(case)).low_on_large_baffle()))
    assert level[-1] == pytest.approx(88.0, abs=0.01)
    at_resonance = float(np.interp(np.log(40.0), np.log(FREQUENCY_HZ), level))
    assert at_resonance == pytest.approx(88.0 + 20 * log10(case.low.qts), abs=0.05)


def test_the_end_of_the_baffle_is_shared_by_the_power_of_both_branches(monkeypatch: pytest.MonkeyPatch) -> None:
    """Arrays of 3 and 5 dB and 4 of the sum; panels of 2 and 6 dB: where the low branch has all, half or a fifth of the power, 2, 4 and 5.2 dB."""
    monkeypatch.setattr(
        indices, "index_db", lambda setting, role, hz: {"low": 3.0, "high": 5.0}[role] * np.ones(hz.size)
    )
    monkeypatch.setattr(indices, "_panel_db", lambda setting, role: {"low": 2.0, "high": 6.0}[role] * EVEN.real)
    monkeypatch.setattr(indices, "_centred", lambda sources: ("centred", sources))
    monkeypatch.setattr(indices.listening, "directivity_index_db", lambda sources, hz, air: 4.0 * np.ones(hz.size) if sources == ("centred", "heard") else hz * 0.0)  # fmt: skip
    model: Any = SimpleNamespace(setting=SimpleNamespace(air=None))
    for low, high, panel in ((1.0, 0.0, 2.0), (1.0j, 1.0, 4.0), (1.0, -2.0, 5.2)):
        low_db, high_db, sum_db = indices.drawn_db(model, "heard", low * EVEN, high * EVEN)  # type: ignore[arg-type]
        assert low_db == pytest.approx(5.0) and high_db == pytest.approx(11.0) and sum_db == pytest.approx(4.0 + panel)


@every(("z", "heard_z"), ((-0.5, -0.005), (-0.02, -0.005), (-0.005, -0.005), (-0.002, -0.002), (0.4, 0.4)))
def test_what_lies_behind_the_foremost_centre_is_heard_in_its_plane(z: float, heard_z: float, monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    model = Model(Setting(demo_case("P-01", low={"centre_depth_m": 0.02}, high={"centre_depth_m": 0.005})))
    sources, asked = (*model.low_sources, *model.high_sources), list[Any]()
    monkeypatch.setattr(response.listening, "sum_at", lambda sources, points, hz, air: asked.append(points))
    model.heard_at(sources, model.setting.to_room_m([[0.1, 0.3, z]]), FREQUENCY_HZ)
    assert asked[0] == pytest.approx(np.array([[0.1, 0.3, heard_z]]))


@every("slope", ("LR2", "LR4", "BW3"))
@every("driver_db", (70.0, 95.0))
def test_an_ideal_branch_follows_its_own_level_and_takes_away_what_its_driver_has_more(
    slope: str, driver_db: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Targets of 80 dB for the low side and 83 for the high one, voiced 6 dB down below 300 Hz; what a driver of 70 dB lacks no network lifts."""
    levels: list[Any] = []
    shape = np.where(FREQUENCY_HZ < 300.0, 0.5, 1.0)
    monkeypatch.setattr(ideal, "levels_of", lambda *asked: levels.append(asked) or (80.0, 83.0, 88.0))
    monkeypatch.setattr(ideal, "voicing_of", lambda model: SimpleNamespace(shape=lambda hz: shape))
    low, high = (SimpleNamespace(response=2e-5 * 10 ** ((driver_db + more) / 20) * np.exp(1j * turn) * EVEN) for more, turn in ((0.0, 0.3), (1.0, -0.7)))  # fmt: skip
    setting = SimpleNamespace(slope=SLOPES[slope])
    model: Any = SimpleNamespace(low_side=low, high_side=high, setting=setting)
    found = ideal.Ideal(model, 2000.0, 4.0)
    s = 1j * FREQUENCY_HZ / 2000.0
    q = 1 + 2**0.5 * s + s**2
    own = {"LR2": ((1 + s) ** 2, 2, -1), "LR4": (q**2, 4, 1), "BW3": ((1 + s) * (1 + s + s**2), 3, None)}[slope]
    for side, gain, level, order in ((low, found.low_gain, 80.0, 0), (high, found.high_gain, 83.0, own[1])):
        ratio = gain * side.response / (2e-5 * 10 ** (level / 20) * shape * s**order / own[0])
        whole = np.abs(gain) < 1.0 - 1e-9
        alone = np.full(whole.shape, order == 0 or driver_db > 80.0) | (FREQUENCY_HZ < 1000.0)
        sign = 1 if order == 0 or own[2] is None else own[2]
        if order == 0 or own[2] is not None:
            assert ratio[whole & alone] == pytest.approx(sign * np.ones(int(np.sum(whole & alone))), abs=1e-9)
        assert np.all(np.abs(ratio[alone]) <= 1.0 + 1e-9) and np.max(np.abs(gain)) <= 1.0 + 1e-12
        assert np.any(~whole) == (driver_db < 80.0)
    assert found.surplus_db == 8.0 and levels[0][:4] == (low, high, SLOPES[slope], 2000.0)


def test_an_ideal_high_branch_fills_a_dip_of_the_low_driver_near_the_crossover(monkeypatch: pytest.MonkeyPatch) -> None:
    """80 dB are wanted of both. The low driver of 95 dB has a dip of 30 dB; the high one of 95 makes up the rest from 1 kHz on, which is
    half of f_c, and nothing below. LR4 sums to an all-pass of one (Linkwitz 1976)."""
    monkeypatch.setattr(ideal, "levels_of", lambda *_: (80.0, 80.0, 95.0))
    monkeypatch.setattr(ideal, "voicing_of", lambda model: SimpleNamespace(shape=np.ones_like))
    dips = ((FREQUENCY_HZ > 1400.0) & (FREQUENCY_HZ < 1700.0)) | ((FREQUENCY_HZ > 400.0) & (FREQUENCY_HZ < 500.0))
    low, high = (SimpleNamespace(response=2e-5 * 10 ** (np.where(dip, 65.0, 95.0) / 20) * EVEN) for dip in (dips, dips & False))  # fmt: skip
    model: Any = SimpleNamespace(low_side=low, high_side=high, setting=SimpleNamespace(slope=SLOPES["LR4"]))
    found = ideal.Ideal(model, 2000.0, 4.0)
    level = 20.0 * np.log10(np.abs(found.low + found.high) / 2e-5)
    near = FREQUENCY_HZ >= 1000.0
    assert level[near] == pytest.approx(80.0 * np.ones(int(near.sum())), abs=1e-6)
    assert np.max(level[dips & ~near]) < 66.0


@every("name", ("P-01", "P-12", "P-16"))
def test_watts_add_up_over_the_programme(name: str) -> None:
    """Each band's share of |V|^2 Re(1/Z), one by one; without a filter into a plain resistance it is V^2 / R for each of several."""
    case = demo_case(name)
    volts, ohm = 12.0, 6.0
    even = (ohm * EVEN, EVEN)
    found = heat_of(case, volts, (even[1], even[0]), (0.5 * even[1], even[0]))
    assert found.low.watts * case.pairing.low_count == pytest.approx(volts**2 / ohm)
    assert found.high.watts * case.pairing.high_count == pytest.approx(volts**2 / ohm / 4)
    turned = heat_of(case, volts, (EVEN, ohm * np.exp(0.8j) * EVEN), (EVEN, ohm * EVEN))
    assert turned.low.watts / found.low.watts == pytest.approx(np.cos(0.8))


# --- files, places and loads ------------------------------------------------------------------------------------------


@every("axis", ("", "low", "high", "both"))
@every("aside", ("", "low", "high", "both"))
@every("guide", (None, "WG-01"))
def test_a_driver_radiates_as_its_own_files_say(axis: str, aside: str, guide: str | None) -> None:
    """On the axis and at angles; the other driver's files say nothing of it, and a guide takes the place of both."""
    case = demo().case(replace(demo().pairings["P-01"], guide_id=guide))
    curve = MeasuredCurve(FREQUENCY_HZ, np.full(FREQUENCY_HZ.size, 88.0), None, "file.txt")
    ids = {"low": case.low.id, "high": case.high.id}
    curves = {
        (ids[side], quantity): curve
        for quantity, sides in (("response", axis), ("response h30", aside), ("response v15", aside))
        for side in (("low", "high") if sides == "both" else (sides,) if sides else ())
    }  # fmt: skip
    setting = Setting(replace(case, curves=curves))
    for side, found in (("low", setting.low_directivity), ("high", setting.high_directivity)):
        measured = axis in (side, "both") and aside in (side, "both") and not (side == "high" and guide)
        assert isinstance(found, MeasuredRadiator) is measured
    if guide is None and not isinstance(setting.high_directivity, MeasuredRadiator):
        assert setting.high_directivity is setting.high_radiator
    for role in ("low", "high"):  # and its index with it
        asked: list[Any] = []
        stub = SimpleNamespace(index_db=lambda hz, air, asked=asked: asked.append(hz) or 4.0 + 0.0 * hz)
        setting.__dict__[f"{role}_directivity"] = stub
        assert indices.index_db(setting, role, np.array([2000.0])) == pytest.approx([4.0]) and len(asked) == 1  # type: ignore[arg-type]


@every(("distance_m", "out_m"), ((0.05, 0.1), (0.3, 0.3), (0.8, 0.8), (2.5, 2.5)))
def test_what_several_high_drivers_give_is_heard_at_the_seat(distance_m: float, out_m: float, monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    """Over one in its far field, whose level at 1 m is divided by the distance: 8 at the seat are 20 lg of 8 times the distance; no seat is nearer than 10 cm."""
    setting = Setting(demo_case("P-01", pairing={"high_count": 2, "distance_m": distance_m}, cabinet={"tilt_rad": 0.0}))
    asked: list[Any] = []
    monkeypatch.setattr(
        as_used.listening, "sum_at", lambda sources, seat, hz, air: asked.append((sources, seat)) or 8.0 + 0.0 * hz
    )
    assert setting.seat_gain_db([100.0, 2000.0]) == pytest.approx([20 * log10(8.0 * distance_m)] * 2)
    ((sources, seat),) = asked
    assert seat[2] == pytest.approx(out_m) and len(sources) == 2
    assert [one.position_m for one in sources] == [
        pytest.approx(setting.centre_m(place)) for place in setting.high_places
    ]


@every(("wide", "tall"), ((0.026, None), (0.026, 0.12), (0.05, 0.03)))
def test_a_high_driver_without_a_plate_is_drawn_as_wide_and_high_as_it_radiates(wide: float, tall: float | None) -> None:  # fmt: skip
    high = {"shape": "rectangular", "radiating_width_m": wide, "radiating_height_m": tall, "faceplate_width_m": None, "faceplate_height_m": None, "cutout_width_m": wide, "cutout_height_m": tall}  # fmt: skip
    (frame,) = Setting(demo_case("P-01", high=high)).high_frames
    assert (frame.width_m, frame.height_m, frame.cut_width_m, frame.cut_height_m) == (
        wide,
        tall or wide,
        wide,
        tall or wide,
    )
    assert (frame.size_known, frame.label) == (False, "HD-01")


def test_a_high_driver_inside_a_cone_takes_no_room_from_it() -> None:
    """One coaxial driver: what is left is the room of both to the edges of a front of 220 x 400 mm, 26 mm beside the frame of 168 mm."""
    high = {"faceplate_width_m": 0.03, "faceplate_height_m": None, "cutout_width_m": None, "cutout_height_m": None}
    cabinet = {"baffle_width_m": 0.22, "baffle_height_m": 0.4, "offset_m": 0.0, "high_from_top_m": 0.2}
    setting = Setting(demo_case("P-01", high=high, cabinet=cabinet))
    sizes = Sizes(*(np.array([one]) for one in (0.168, 0.168, np.nan, 0.13)))
    for spacing, room_m in (
        (0.0, 0.026),
        (0.045, 0.026),
        (0.06, 0.06 - 0.099),
    ):  # the third stands across the edge of the cone
        assert clearances_m(setting, np.array([spacing]), np.array([0.173]), sizes) == pytest.approx([room_m])
    two = Setting(demo_case("P-01", high=high, cabinet=cabinet, pairing={"high_count": 2}))  # with the gap between them
    assert clearances_m(two, np.array([0.0]), np.array([0.173]), sizes) == pytest.approx([0.005])


@every("early", (True, False))
@every("late", (True, False))
@every("common", (True, False))
@every("delays_ms", ((3.0, 3.1), (3.0, 0.1)))
@every("phased", (True, False))
def test_what_is_told_of_the_times_of_two_files(early: bool, late: bool, common: bool, delays_ms: tuple[float, float], phased: bool) -> None:  # fmt: skip
    """A phase in one of them alone; how far apart both are heard where they share one start; else that they look as if they did.

    Nothing where a phase does not count.
    """
    case = demo_case(
        "P-01",
        low={"response_phase": None, "response_measured": None},
        high={"response_phase": None, "response_measured": None},
    )
    low, high = (
        SimpleNamespace(found=SimpleNamespace(timing=Timing(ms * 1e-3, False, 0.1) if known else None), common=common, late_s=ms * 1e-3, phased=phased)
        for known, ms in zip((early, late), delays_ms, strict=True)
    )  # fmt: skip
    texts = [one.text for one in _both(case, low, high)]  # type: ignore[arg-type]
    if early != late:
        with_, without = ("LD-01", "HD-01") if early else ("HD-01", "LD-01")
        assert texts == [f"{with_} has a measured phase and {without} has none: the phase of {without} is that of its level"]  # fmt: skip
    elif not early or not phased:
        assert texts == []
    elif common:
        word = "later" if delays_ms[0] > delays_ms[1] else "earlier"
        assert texts == [f"LD-01 is heard {abs(delays_ms[0] - delays_ms[1]):.2f} ms {word} than HD-01, beyond what ways and depths make"]  # fmt: skip
    else:
        assert len(texts) == (delays_ms == (3.0, 3.1)) and all("3.00 and 3.10 ms" in text for text in texts)


@every("policy", ("any", "preferred", "stock"))
def test_networks_are_looked_for_once_as_if_any_part_were_to_be_had(policy: str, monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    asked: list[Any] = []
    monkeypatch.setattr(network, "explored", lambda low, high, slope, hz, options: asked.append((hz, slope, options.policy)) or "found")  # fmt: skip
    setting = Setting(demo_case("P-01", pairing={"parts_policy": policy, "slope": "BW3"}))
    model: Any = SimpleNamespace(low_side="low", high_side="high", setting=setting)
    found = network.Networks(model, 1900.0)
    found.__dict__["voicing"] = Voicing(100.0, 1e4)
    assert found._explored == "found" and found._explored == "found"
    assert asked == [(1900.0, SLOPES["BW3"], "any")]


@every("weak", ((), (0,), (1,), (2,), (0, 2)))
def test_each_part_that_is_too_weak_is_bought_elsewhere_and_no_other(weak: tuple[int, ...]) -> None:
    """Two parts of the low branch and one of the high one; who is bought elsewhere has no row, no price and no rating any more, and the network no price."""
    parts = [Component(kind, value, 0.0, part_id=f"K-{at}", price=1.0, rating=5.0) for at, (kind, value) in enumerate((("C", 1e-5), ("L", 1e-3), ("R", 4.7)))]  # type: ignore[arg-type]  # fmt: skip
    low, high = Branch(tuple(across(one) for one in parts[:2])), Branch((across(parts[2]),))
    loads = [PartStress(one, 20.0, 40.0, 1.0, 0.0, 50.0, 50.0, "V", at in weak) for at, one in enumerate(parts)]
    stress = ((loads[0], loads[1]), (loads[2],))
    design = replace(_design(), low=low, high=high, price=3.0)
    found, after = as_bought(design, stress)
    bought = [*found.low.components, *found.high.components]
    for at, (part, load) in enumerate(zip(bought, [*after[0], *after[1]], strict=True)):
        own = (f"K-{at}", 1.0, 5.0)
        assert (part.part_id, part.price, part.rating) == ((None, None, None) if at in weak else own)
        assert part.value == parts[at].value and load.component == part
        assert load.underrated is (None if at in weak else False)
    assert found.price == (None if weak else 3.0)


def _design() -> Any:
    found = demo_assessed("P-01").design
    assert found is not None
    return found


@every("seed", range(6))
def test_the_level_ends_where_it_is_least_in_the_band_whatever_the_amplifier_alone_would_do(seed: int) -> None:
    """Drawn at random: the least from two octaves below the crossover to 10 kHz, with the frequency and the cause there."""
    draw = np.random.default_rng(seed)
    level, alone = draw.uniform(80.0, 100.0, (2, FREQUENCY_HZ.size))
    causes = tuple(f"cause {at}" for at in range(FREQUENCY_HZ.size))
    found = Reach(level, causes, alone)
    for crossover_hz in (800.0, 2000.0, 5000.0):
        band = [at for at, hz in enumerate(FREQUENCY_HZ) if crossover_hz / 4.0 <= hz <= 10000.0]
        least = min(band, key=lambda at: level[at])
        assert found.least(crossover_hz) == (level[least], FREQUENCY_HZ[least], causes[least])
        power_w = found.amplifier_w(97.0, crossover_hz, 60.0)
        assert power_w == pytest.approx(60.0 * 10 ** ((97.0 - min(alone[at] for at in band)) / 10.0))


@every("side", ("low", "high"))
@every(("count", "wiring", "factor"), ((1, "parallel", 1.0), (2, "parallel", 0.5), (2, "series", 2.0), (4, "series-parallel", 1.0), (3, "series", 3.0)))  # fmt: skip
def test_several_drivers_load_the_amplifier_as_they_are_wired(side: str, count: int, wiring: str, factor: float) -> None:  # fmt: skip
    """As circuit elements and as an impedance; resistance and inductance of a side go with them."""
    one, many = (Model(Setting(replace(demo_case("P-01", pairing={f"{side}_count": n, f"{side}_wiring": how}, low={"vas_m3": None}), curves={}))) for n, how in ((1, "parallel"), (count, wiring)))  # fmt: skip
    assert getattr(many, f"{side}_load") == getattr(one, f"{side}_load").scaled(factor)
    wide, narrow = getattr(many, f"{side}_side"), getattr(one, f"{side}_side")
    assert (wide.re_ohm, wide.le_h) == (pytest.approx(narrow.re_ohm * factor), pytest.approx(narrow.le_h * factor))
    assert (wide.fs_hz, wide.qms, wide.qes) == (narrow.fs_hz, narrow.qms, narrow.qes)
    assert wide.impedance == pytest.approx(narrow.impedance * factor)  # in free air: a box is shared by its woofers


@every("role", ("low", "high"))
def test_the_first_of_several_drivers_stands_for_its_side(role: str, monkeypatch: pytest.MonkeyPatch) -> None:
    case = demo_case("P-01", pairing={"low_count": 2, "high_count": 2, "arrangement": "low-high-low", "centre_spacing_m": 0.16})  # fmt: skip
    model = Model(Setting(case))
    first = next(one for one in model.setting.places if one.role == role)
    assert model.place_of(role) == first
    monkeypatch.setattr(Model, "_edge", lambda self, place: place)
    assert model.edges_of(role) == first


@every("moved", (0.0, 3.0))
def test_what_a_measured_impedance_has_beyond_its_model_stands_in_series_with_what_the_box_changes(moved: float, monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    """A file 1.5 times a model of 6 ohm: 3 ohm more, in free air or in a box that shows `moved` ohm more; its resonance is near 40 Hz, at most three times as high or low."""
    model = Model(Setting(replace(demo_case("P-01"), curves={("LD-01", "impedance"): MeasuredCurve(FREQUENCY_HZ, 9.0 * EVEN.real, None, "z.txt")})))  # fmt: skip
    monkeypatch.setattr(response, "correct", lambda hz, plain, *_, **__: SimpleNamespace(timing=None, factor=lambda *, excess: 1.5 * EVEN))  # fmt: skip
    bands: list[tuple[float, float]] = []
    monkeypatch.setattr(response, "fitted", lambda hz, as_measured, figures, at, log_ohm, band: bands.append(band) or figures)  # fmt: skip
    found = model._measured_impedance(model.setting.case.low, (40.0, 3.0, 0.4), lambda _: (6.0 + moved) * EVEN, lambda _: 6.0 * EVEN)  # fmt: skip
    assert found == pytest.approx((9.0 + moved) * EVEN) and bands == [pytest.approx((40.0 / 3.0, 120.0))]


def test_a_network_that_is_built_has_all_that_is_drawn_put_together_and_measured_of_it(monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    """Each from its own source: currents and needed ratings of the parts, the policy of the pairing, the curves at full, the builds drawn."""
    setting = Setting(demo_case("P-01", pairing={"parts_policy": "preferred"}))
    model: Any = SimpleNamespace(setting=setting, low_side="low side", high_side="high side")
    parts = (
        PartLine("low", "L1", "L", "series", 1e-3, 0.2, voltage_rms_v=9.0, current_rms_a=2.0),
        PartLine("high", "C1", "C", "series", 1e-5, 0.0, voltage_peak_v=30.0, current_rms_a=None),
    )
    engineered = replace(_engineered(), parts=parts)
    design = engineered.design
    told: dict[str, Any] = {}

    def stub(name: str, value: Any) -> None:
        monkeypatch.setattr(network, name, lambda *asked, **named: told.update({name: (asked, named)}) or value)

    for name in (
        "Sums",
        "Bench",
        "voicing_of",
        "options_for",
        "assembly",
        "curves_of",
        "reach_of",
        "target_db",
        "spread_figures",
        "readings_of",
        "netlist_of",
    ):
        stub(name, f"its {name}")
    found = network.finished(model, engineered)
    practice = setting.case.practice
    needs = [needed(part, practice) for part in parts]
    assert needs == [pytest.approx(practice["current margin"] * 2.0), pytest.approx(practice["voltage margin"] * 30.0)]
    assert told["assembly"] == ((design, engineered.circuit, [(2.0, needs[0]), (0.0, needs[1])], "its Bench", "its options_for", 3.5, "the room"), {})  # fmt: skip
    assert told["options_for"] == ((setting, "its voicing_of", "preferred"), {})
    assert told["Bench"] == (("low side", "high side", design.slope, design.crossover_hz, "its voicing_of"), {})
    assert told["curves_of"] == (("its Sums", "its reach_of", "its target_db"), {})
    assert told["spread_figures"] == (("its Sums", "its target_db"), {"drawn": True})
    assert told["netlist_of"] == (("its Sums", engineered.circuit), {}) and told["Sums"] == ((model, design), {})
    made = (found.curves, found.spread, found.readings, found.assembly, found.netlist)
    assert made == ("its curves_of", "its spread_figures", "its readings_of", "its assembly", "its netlist_of")
    assert replace(found, curves=None, spread=engineered.spread, readings=(), assembly=None, netlist="") == replace(engineered, curves=None, readings=(), assembly=None, netlist="")  # fmt: skip


def _engineered() -> Any:
    found = demo_assessed("P-01").network
    assert found is not None
    return found


@every(("celsius", "hectopascal"), ((20.0, 1013.25), (35.0, 1013.25), (20.0, 700.0)))
def test_the_air_is_that_of_the_practice_sheet(celsius: float, hectopascal: float) -> None:
    """Its density goes with the pressure over the absolute temperature, the speed of sound with the root of that temperature alone."""
    case = demo_case("P-01")
    rules = dict(case.practice.rules)
    for name, value in (("air temperature", celsius), ("air pressure", hectopascal * 100.0)):
        scale = case.practice[name] / rules[name].value  # what its unit makes of a cell
        rules[name] = replace(rules[name], value=value / scale)
    air = Setting(replace(case, practice=replace(case.practice, rules=rules))).air
    usual = Setting(case).air
    warmer = (celsius + 273.15) / 293.15
    assert air.speed_m_s / usual.speed_m_s == pytest.approx(warmer**0.5, rel=2e-3)
    assert air.density_kg_m3 / usual.density_kg_m3 == pytest.approx(hectopascal / 1013.25 / warmer, rel=2e-3)


@every("arrangement", ("high over low", "side by side"))
def test_frames_of_unknown_size_touch_nowhere(arrangement: str) -> None:
    """Of many low drivers those whose frames are known touch 104/2 mm, their own half and 5 mm away; beside a high driver without a frame none does."""
    pairing = {"arrangement": arrangement, "centre_spacing_m": None}
    lows = np.array([0.168, np.nan, 0.2])
    known = Setting(demo_case("P-01", pairing=pairing, high={"faceplate_width_m": 0.104, "faceplate_height_m": None}))
    assert known.touching_m(lows, lows) == pytest.approx([0.141, np.nan, 0.157], nan_ok=True)
    unknown = Setting(demo_case("P-01", pairing=pairing, high={"faceplate_width_m": None}))
    assert np.all(np.isnan(unknown.touching_m(lows, lows))) and unknown.spacing_m is None and unknown.places == ()


@every("role", ("low", "high"))
@every("count", (1, 2, 3))
def test_the_index_of_several_drivers_is_that_of_their_array_about_its_middle(role: Any, count: int, monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    """A single one has its own; several stand as far from their middle as their places do, each with the same strength."""
    setting = Setting(demo_case("P-01", pairing={f"{role}_count": count, "arrangement": "low-high-low", "centre_spacing_m": 0.16}))  # fmt: skip
    asked: list[Any] = []
    monkeypatch.setattr(indices.listening, "directivity_index_db", lambda sources, hz, air: asked.append((sources, air)) or 7.0 + 0.0 * hz)  # fmt: skip
    found = indices.index_db(setting, role, np.array([500.0, 3000.0]))
    radiator = setting.low_directivity if role == "low" else setting.high_directivity
    if count == 1:
        assert not asked and found == pytest.approx(radiator.index_db(np.array([500.0, 3000.0]), setting.air))
        return
    ((sources, air),) = asked
    places = np.array([setting.centre_m(place) for place in setting.places if place.role == role])
    assert np.array([one.position_m for one in sources]) == pytest.approx(places - places.mean(axis=0))
    assert all(one.directivity is radiator and np.all(one.response == 1.0) for one in sources) and air is setting.air
    assert found.tolist() == [7.0, 7.0]


@every("low_phase", (None, "own", "none", "common reference"))
@every("high_phase", (None, "own"))
@every(
    "where", ((None, None), ("CB-01", "CB-01"), ("CB-01", "CB-02"), ("CB-01", None), ("large baffle", "large baffle"))
)
def test_files_may_share_a_start_where_nobody_says_otherwise_and_both_were_measured_in_one_place(
    low_phase: str | None, high_phase: str | None, where: tuple[str | None, str | None]
) -> None:
    """Alone on a large baffle they do not."""
    case = demo_case("P-01", low={"response_phase": low_phase, "response_measured": where[0]}, high={"response_phase": high_phase, "response_measured": where[1]})  # fmt: skip
    one_place = where in ((None, None), ("CB-01", "CB-01"))
    assert _could_share(case) is (low_phase is None and high_phase is None and one_place)


def test_every_number_of_parts_has_its_optimum() -> None:
    found = network.Networks("model", 2000.0)  # type: ignore[arg-type]
    found.__dict__["_explored"] = SimpleNamespace(pairs=SimpleNamespace(best={4: "four", 7: "seven", 9: "nine"}))
    assert [(one.model, one.fit) for one in found.optima] == [("model", "four"), ("model", "seven"), ("model", "nine")]


@every("is_reversed", (False, True))
@every("policy", ("any", "preferred", "stock"))
def test_what_follows_from_a_network_each_from_its_own_source(is_reversed: bool, policy: str, monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    """Its circuit with the polarity it has; what is off, by the driver that lacks it, where thirds, bass and treble depart; the rest by name."""
    setting = Setting(demo_case("P-01", pairing={"parts_policy": policy, "distance_m": 2.0}))
    low, high = (2e-5 * 10 ** (80.0 / 20) * EVEN * share for share in (0.75, 0.25))
    sums = SimpleNamespace(low=low, high=high, heat="its heat", stress=lambda: "its stress")
    model: Any = SimpleNamespace(setting=setting)
    design = replace(_design(), high_reversed=is_reversed, sum_worst_db=-1.3, null_db=-22.0, target_db=78.0, crossover_hz=2000.0, slope=SLOPES["LR4"])  # fmt: skip
    elsewhere = replace(design, target_db=78.0, price=9.0)
    told: dict[str, list[Any]] = {}

    def stub(name: str, value: Any) -> None:
        monkeypatch.setattr(network, name, lambda *asked, **_: told.setdefault(name, []).append(asked) or value)

    reach = SimpleNamespace(least=lambda hz: (101.0, 321.0, f"ends at {hz:.0f}"))
    lines = (
        PartLine("low", "L1", "L", "series", 1e-3, 0.2, price=1.5),
        PartLine("high", "C1", "C", "series", 1e-5, 0.0, price=2.25),
    )
    for name, value in (
        ("Sums", sums), ("as_bought", (elsewhere, "other stress")), ("lobe_of", (0.1, 0.2)), ("circuit_of", "its circuit"), ("part_lines", lines),
        ("reach_of", reach), ("electrical_of", "its load"), ("spread_figures", "its spread"), ("_figures", "its figures"), ("barred", "off"),
        ("_surplus_db", 3.0), ("_unsure", "unsure"), ("_break_up_db", 17.5),
    ):  # fmt: skip
        stub(name, value)
    voicing = Voicing(100.0, 16e3)
    found = network.engineered(model, design, voicing)
    bought = design if policy == "stock" else elsewhere
    assert found.design is bought and ("as_bought" in told) is (policy != "stock")
    assert told["part_lines"] == [(bought, "its stress" if policy == "stock" else "other stress")]
    (legs,) = told["circuit_of"][0]
    assert [(one.name, one.branch, one.reversed) for one in legs] == [("low", design.low, False), ("high", design.high, is_reversed)]  # fmt: skip
    heard = told["barred"][0][1]
    assert found.break_up_db == 17.5 and told["_break_up_db"][0] == (sums, heard.target_db)
    assert heard.sum_db == pytest.approx(80.0) and heard.distance_m == 2.0 and heard.target_db[100] <= 78.0 + 1e-9
    assert [one[2:] for one in told["barred"]] == [
        (2000.0, heard.uneven_hz),
        (2000.0, *voicing.bass_hz),
        (2000.0, *TREBLE_HZ),
    ]
    assert (found.sum_deviation_db, found.reversed_depth_db, found.lobe_rad, found.lobe_db) == (1.3, 22.0, 0.1, 0.2)
    assert (found.reachable_db, found.reachable_hz, found.reachable_cause) == (101.0, 321.0, "ends at 2000")
    assert (found.parts_price, found.parts, found.heat, found.unsure, found.level_surplus_db) == (
        3.75,
        lines,
        "its heat",
        "unsure",
        3.0,
    )
    assert (found.circuit, found.electrical, found.spread, found.figures) == (
        "its circuit",
        "its load",
        "its spread",
        "its figures",
    )
    assert (found.curves, found.assembly, found.netlist, found.readings) == (None, None, "", ())
    at = float(np.interp(np.log(100.0), np.log(FREQUENCY_HZ), heard.error_db))
    assert found.below_db == pytest.approx(at)


@every("count", (1, 2, 3, 4))
@every("tilt_deg", (0.0, 8.0))
def test_the_middle_of_several_high_drivers_is_where_one_stood(count: int, tilt_deg: float) -> None:
    one, many = (Setting(demo_case("P-01", pairing={"high_count": n}, cabinet={"high_from_top_m": 0.2, "tilt_rad": radians(tilt_deg)})) for n in (1, count))  # fmt: skip
    assert many.high_middle_m == pytest.approx(one.high_middle_m) and many.high_centre_m == pytest.approx(
        one.high_centre_m
    )
    assert many.high_tall_m == pytest.approx(one.high_tall_m + (count - 1) * many.high_pitch_m)


@every("turn", (-0.9, -0.2, 0.4, 1.2))
def test_the_largest_phase_of_the_load_has_its_sign(turn: float) -> None:
    """Negative where the load is a capacitor, which is what amplifiers mind."""
    load = 6.0 * EVEN
    load[100] = 5.0 * np.exp(1j * turn)
    side = SimpleNamespace(re_ohm=5.0)
    through = Branch((across(Component("R", 1e9, 0.0)),))
    sums: Any = SimpleNamespace(impedance=load, model=SimpleNamespace(low_side=side, high_side=side), design=SimpleNamespace(low=through, high=through))  # fmt: skip
    found = electrical_of(sums)
    assert (found.minimum_ohm, found.minimum_hz) == (pytest.approx(5.0), FREQUENCY_HZ[100])
    assert found.largest_phase_rad == pytest.approx(turn) and found.rated_ohm == 6.0
    assert found.resistance_at_terminals_ohm == pytest.approx(2.5)  # two of 5 ohm side by side


@every("exponent", (0.5, 0.7, 1.0))
@every("side", ("low", "high"))
def test_a_lossy_coil_takes_from_the_level_by_its_own_resistance(exponent: float, side: str) -> None:
    """R / (R + Z) with Z of 0.4 mH, of a woofer K (j w)^n that has so many ohm at 1 rad/s (Leach 2002); a high driver's is plain."""
    henry, ohm = 0.4e-3, {"low": 5.5, "high": 3.5}[side]
    figures: dict[str, Any] = {"le_h": henry, "re_ohm": ohm}
    if side == "low":
        figures["le_exponent"] = exponent
    with_, without = (Model(Setting(replace(demo_case("P-01", **{side: figures | {"le_h": one}}), curves={}))) for one in (henry, 0.0))  # fmt: skip
    ratio = np.abs(getattr(with_, f"_modelled_{side}") / getattr(without, f"_modelled_{side}"))
    coil = drivers.coil_impedance(FREQUENCY_HZ, henry, *((exponent,) if side == "low" else ()))
    assert ratio == pytest.approx(np.abs(ohm / (ohm + coil)), rel=1e-6)


@every("le_h", (0.0, 0.05e-3, 0.5e-3))
def test_a_high_driver_without_a_resonance_is_its_resistance_and_its_coil(le_h: float) -> None:
    case = demo_case("P-01", high={"fs_hz": None, "re_ohm": 5.0, "le_h": le_h})
    found = Model(Setting(replace(case, curves={}))).high_impedance
    assert found == pytest.approx(5.0 + 2j * pi * FREQUENCY_HZ * le_h, rel=1e-9)


@every("at_m", (0.5, 1.0, 3.0))
@every("distance_m", (1.5, 3.0))
def test_what_a_tall_driver_reads_where_it_was_measured_is_no_tilt(at_m: float, distance_m: float) -> None:
    """Its own strength as it reads there: the level of its data sheet, whatever the seat."""
    high = {"shape": "rectangular", "radiating_width_m": 0.02, "radiating_height_m": 0.3, "measured_at_m": at_m, "sensitivity_db": 92.0, "fs_hz": None, "le_h": 0.0}  # fmt: skip
    case = demo_case("P-01", high=high, pairing={"distance_m": distance_m, "placement": "in a wall"})
    case = replace(case, technology=demo().technologies["true ribbon"], curves={})
    own = windows._own_power(Model(Setting(case)), (5000.0, 10000.0, 15000.0))
    assert 10 * np.log10(own) + 20 * log10(1 / 2e-5) == pytest.approx(92.0, abs=0.01)


@every("kind", ("open baffle", "closed", "vented"))
def test_a_woofer_that_states_no_inductance_loads_the_amplifier_as_one_without_a_coil(kind: str) -> None:
    cabinet = {"kind": kind, "net_volume_m3": 0.02, "tuning_hz": 40.0}
    none, zero = (Model(Setting(replace(demo_case("P-01", low={"le_h": le_h}, cabinet=cabinet), curves={}))) for le_h in (None, 0.0))  # fmt: skip
    assert none.low_load == zero.low_load
    assert none.low_side.le_h == zero.low_side.le_h == 0.0 and np.all(none.low_impedance == zero.low_impedance)


def test_each_other_value_is_tried_in_its_own_place_beside_the_others_as_they_are(monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    """Two parts of a branch, three other values for each: a row a value, of both parts, with the resistances that they have."""
    branch = Branch((across(Component("L", 1e-3, 0.3)), across(Component("C", 1e-5, 0.1))))
    tried: list[Any] = []

    def side_heard(side: str, branch_: Branch, values: Any = None, ohm: Any = None) -> Any:
        if values is not None:
            tried.append((side, values.tolist(), ohm.tolist()))
        return values

    bench: Any = SimpleNamespace(low="low", high="high", side_heard=side_heard, many=lambda low, high, sign, target_db: SimpleNamespace(missed=lambda wanted, nulled: np.ones(3)))  # fmt: skip
    design: Any = SimpleNamespace(
        low=branch, high=Branch(()), high_reversed=False, target_db=77.0, missed=0.0, slope=SLOPES["LR4"]
    )
    circuit: Any = SimpleNamespace(elements=[SimpleNamespace(label=label) for label in ("L1", "C1")])
    monkeypatch.setattr(put_together, "_others", lambda kind, value, rating, options: [(value * more, None) for more in (1.1, 0.9, 1.2)])  # fmt: skip
    assert _substitutes(design, circuit, [0.0, 0.0], bench, DesignOptions()) == {"L1": (None, None), "C1": (None, None)}
    ohm = [[0.3, 0.1]] * 3
    rows = [[[1e-3 * more, 1e-5] for more in (1.1, 0.9, 1.2)], [[1e-3, 1e-5 * more] for more in (1.1, 0.9, 1.2)]]
    assert [(side, resistances) for side, _, resistances in tried] == [("low", ohm), ("low", ohm)]
    assert [values for _, values, _ in tried] == [pytest.approx(np.array(one)) for one in rows]


@every(("weak", "priced"), ((True, True), (False, True), (None, True), (None, False)))
def test_a_part_to_buy_has_each_figure_of_the_part_and_of_its_load(weak: bool | None, priced: bool) -> None:
    """Labels count by kind through both branches, the low one first; of a part without a price the halves have none either."""
    part = Component("C", 1e-5, 0.2, role="notch", part_id="K-1", price=3.0 if priced else None, rating=5.0, made_of=(6e-6, 4e-6), join="parallel", made_of_prices=(2.0, 1.0))  # fmt: skip
    bare = Component("C", 2e-5, 0.0)
    loads = [PartStress(one, 20.0, 40.0, 1.5, 0.25, 60.0, 63.0, "V", state) for one, state in ((part, weak), (bare, None))]  # fmt: skip
    first, second = part_lines(_design(), ((loads[0],), (loads[1],)))
    assert first == PartLine(
        branch="low", label="C1", kind="C", role="notch", value=1e-5, resistance_ohm=0.2, made_of=(6e-6, 4e-6), join="parallel",
        part_id="K-1", price=3.0 if priced else None, voltage_rms_v=20.0, voltage_peak_v=40.0, current_rms_a=1.5, power_w=0.25,
        rating_to_buy=63.0, rating_unit="V", under_rated=weak is True, unrated=weak is None, made_of_prices=(2.0, 1.0) if priced else (),
    )  # fmt: skip
    assert (second.branch, second.label, second.value, second.under_rated, second.unrated) == ("high", "C2", 2e-5, False, False)  # fmt: skip


def test_what_a_file_has_beyond_its_model_is_counted_on_a_large_baffle_in_decibels() -> None:
    """Twice the model's 10 Pa: 20 lg 20 = 26.02 dB, where the file reaches."""
    inside = FREQUENCY_HZ > 1000.0
    found = SimpleNamespace(inside=inside, log_ratio=np.full(FREQUENCY_HZ.size, np.log(2.0)))
    model: Any = SimpleNamespace(low_measured=SimpleNamespace(found=found), low_on_large_baffle=lambda: 10.0 * EVEN)
    made = _without_cabinet(model, MeasuredCurve(FREQUENCY_HZ, EVEN.real, EVEN.real, "z.txt"))
    assert made.magnitude == pytest.approx(np.full(np.count_nonzero(inside), 26.0206), abs=1e-4)
    assert made.phase_rad is None and np.array_equal(made.frequency_hz, FREQUENCY_HZ[inside]) and made.file == "z.txt"
