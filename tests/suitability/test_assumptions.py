"""What the sheet says of the model: every empty cell that it had to do without is named."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from reportgen.catalogue.records import Case, MeasuredCurve
from reportgen.pairing.as_used import Setting
from reportgen.suitability.assumptions import ASSUMPTIONS, all_assumptions
from tests.demo_catalogue import demo, demo_case
from tests.suitability.workbench import SHOUT, changed, checks_of, example, limits_of, of_kind


def lines(case: Case, **parts: Any) -> tuple[str, ...]:
    return all_assumptions(Setting(changed(case, **parts)))


VENTED = demo_case("P-04")
GAPS: list[tuple[Case, dict[str, Any], str, str]] = [
    (example(), {"low": {"le_h": None}}, "Le of LD-01 (Low drivers!", "coil"),
    (example(), {"high": {"le_h": None}}, "Le of HD-01 (High drivers!", "coil"),
    (example(), {"low": {"vas_m3": None}}, "Vas of LD-01 (Low drivers!", "free air"),
    (example(), {"cabinet": {"net_volume_m3": None}}, "Net volume of CB-01 (Cabinets!", "free air"),
    (VENTED, {"cabinet": {"tuning_hz": None}}, "Tuning of CB-03 (Cabinets!", "free air"),
    (example(), {"low": {"peak_travel_m": None}}, "Xmax of LD-01 (Low drivers!", "highest level"),
    (example(), {"high": {"peak_travel_m": None}}, "Peak travel of HD-01 (High drivers!", "highest level"),
    (example(), {"high": {"diaphragm_area_m2": None}}, "Sd of HD-01 (High drivers!", "highest level"),
    (example(), {"high": {"fs_hz": None}}, "Fs of HD-01 (High drivers!", "no resonance"),
    (example(), {"high": {"qms": None}}, "Qms of HD-01 (High drivers!", "Q of 0.7"),
    (demo_case("P-02"), {"high": {"vas_m3": None}}, "Vas of HD-02 (High drivers!", "as supplied"),
    (example(), {"low": {"centre_depth_m": None}}, "Centre depth of LD-01 (Low drivers!", "usual for its size"),
    (example(), {"high": {"centre_depth_m": None}}, "Centre depth of HD-01 (High drivers!", "8 mm deep"),
    (demo_case("P-22"), {"guide": {"depth_m": None}}, "Depth of WG-01 (Waveguides!", "guess"),
    (example(), {"cabinet": {"high_from_top_m": None}}, "High driver from top of CB-01 (Cabinets!", "near the top"),
    (demo_case("P-10"), {"cabinet": {"high_from_top_m": None}}, "High driver from top of CB-04 (Cabinets!", "middle"),
    (changed(pairing={"low_count": 2}), {"low": {"frame_width_m": None}}, "Frame width of LD-01 (Low", "centre spacing"),
    (changed(pairing={"high_count": 2}), {"high": {"faceplate_width_m": None}}, "Faceplate width of HD-01", "edge to edge"),
    (example(), {"high": {"rating_highpass_hz": None}}, "Rating high-pass of HD-01 (High drivers!", "driver itself"),
    (example(), {"high": {"rating_order": None}}, "Rating slope of HD-01 (High drivers!", "second order"),
    (changed(high={"lowest_use_hz": 1500.0, "lowest_use_order": 4}), {"high": {"lowest_use_order": None}}, "Lowest use slope of HD-01", "any slope"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("case", "change", "cell", "meaning"), GAPS, ids=[f"{next(iter(one[1]))} {one[2]}" for one in GAPS]
)
def test_an_empty_cell_is_named(case: Case, change: dict[str, Any], cell: str, meaning: str) -> None:
    new = {line for line in set(lines(case, **change)) - set(lines(case)) if "customarily used" not in line}
    assert len(new) == 1, new
    line = new.pop()
    assert line.startswith(cell) or f"; {cell}" in line
    assert meaning in line and ("empty" in line) and line.endswith(".") and not SHOUT.search(line)


def test_nothing_is_said_of_what_does_not_apply() -> None:
    assert len(lines(changed(pairing={"centre_spacing_m": 0.15}, high={"lowest_use_order": None}))) == 6
    foil = changed(of_kind("true ribbon"), high={"le_h": None})
    assert not any("coil" in line for line in all_assumptions(Setting(foil)))  # foils have none
    open_ = demo_case("P-11", cabinet={"net_volume_m3": None}, low={"vas_m3": None})
    assert not any("free air" in line for line in all_assumptions(Setting(open_)))


def test_the_floor_of_the_kind_is_a_remark_where_better_is_known() -> None:
    assert any("soft dome without a guide is customarily used from 2000 Hz" in line for line in lines(changed()))
    for cell in ("peak_travel_m", "diaphragm_area_m2"):  # without either its travel bounds nothing, and the floor does
        bare = changed(high={cell: None})
        assert (
            not any("customarily used" in line for line in lines(bare)) and limits_of(bare)["technology"].hz == 2000.0
        )


def test_a_kind_that_states_no_travel_says_what_decides() -> None:
    assert any("true ribbon its floor and its maker's lowest use decide" in line for line in lines(demo_case("P-06")))


def test_measured_curves_and_their_phase() -> None:
    f = np.geomspace(100, 20000, 50)
    for phase, words in ((None, "with minimum phase"), (np.zeros_like(f), "with its phase")):
        curve = MeasuredCurve(f, np.full_like(f, 88.0), phase, "low.txt")
        text = " ".join(all_assumptions(Setting(replace(example(), curves={("LD-01", "response"): curve}))))
        assert "LD-01: response measured from 100 to 20000 Hz (low.txt)" in text
        assert words in text and "on a large baffle at 1 m and 2.83 V" in text


COAXIAL: dict[str, Any] = {
    "pairing": {"centre_spacing_m": 0.0},
    "high": {"faceplate_width_m": 0.036, "faceplate_height_m": None},
}


def test_the_cone_around_a_high_driver_guides_it() -> None:
    """Its sound widens less than that of a dome on a flat baffle, which is what is counted; a guide or a file off the axis tells better."""
    words = "HD-01 stands in the cone of LD-01, which guides its sound"
    case = changed(**COAXIAL)
    assert any(words in line for line in lines(case))
    assert (
        "cone around HD-01 narrows is not counted" in checks_of(case, directivity_step_db=4.0)["directivity step"].text
    )
    mouth = replace(demo().waveguides["WG-01"], mouth_width_m=0.11, mouth_height_m=0.11, faceplate_width_m=None, faceplate_height_m=None)  # fmt: skip
    f = np.geomspace(1000, 20000, 40)
    aside = MeasuredCurve(f, np.full_like(f, 86.0), None, "high h30.txt")
    on_axis = MeasuredCurve(f, np.full_like(f, 90.0), None, "high.txt")
    files = {("HD-01", "response"): on_axis, ("HD-01", "response h30"): aside}
    for other in (changed(), changed(case, guide=mouth), replace(case, curves=files)):
        assert not any(words in line for line in lines(other))
        assert "cone" not in checks_of(other, directivity_step_db=4.0)["directivity step"].text


def test_every_assumption_is_asked() -> None:
    cases = [changed(one[0], **one[1]) for one in GAPS] + [demo_case("P-22"), demo_case("P-04"), changed(**COAXIAL)]
    for rule in ASSUMPTIONS:
        assert any(rule(Setting(case)) for case in cases), rule.__name__


def test_an_empty_placement_counts_as_free_standing_and_says_so() -> None:
    said = [line for line in lines(demo_case("P-01")) if "Placement" in line]
    assert len(said) == 1 and "free standing" in said[0] and "1.5 dB" in said[0]
    assert any("Near a wall" in line or "near a wall" in line for line in lines(demo_case("P-09")))


def test_nothing_stands_free_in_a_vehicle() -> None:
    """Panels are near on every side there (common practice, no source): the shelf of a wall, and no word of a room."""
    case = changed(demo_case("P-01"), pairing={"surroundings": "vehicle", "placement": None})
    assert Setting(case).shelf_db == 3.0
    (said,) = [line for line in lines(case) if "Placement" in line]
    assert "free standing" not in said and "room" not in said and "3 dB" in said and "vehicle" in said


def test_a_guide_adds_its_depth_to_the_one_that_counts_for_its_driver() -> None:
    """The driver itself counts as 8 mm deep, in a guide of 24 mm as without one (common practice, no source)."""
    guided = changed(high={"centre_depth_m": None}, guide=replace(demo().waveguides["WG-01"], depth_m=0.024))
    assert any("the centre of HD-01 counts as 8 mm deep" in line for line in lines(guided))
    assert Setting(guided).high_depth_m == pytest.approx(0.032)
