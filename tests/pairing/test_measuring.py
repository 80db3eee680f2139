"""What is found in measured files, in words: in the demo season, whose files were made in the ways that occur."""

from __future__ import annotations

import re
from dataclasses import replace
from math import radians
from pathlib import Path

import numpy as np
import pytest

from reportgen.acoustics.measured import FloatArray
from reportgen.catalogue.demo import demo_tables
from reportgen.catalogue.democurves import demo_files
from reportgen.catalogue.records import Case, MeasuredCurve
from reportgen.commands.check import check_workbook
from reportgen.pairing.as_used import Setting
from reportgen.pairing.measuring import findings, measured_breakup_hz
from reportgen.pairing.response import FREQUENCY_HZ, Model
from reportgen.suitability.assumptions import all_assumptions
from reportgen.suitability.limits import all_limits
from tests.demo_catalogue import demo_case
from tests.workbooks import write_plain

CELLS = {
    "was found in": ("response_file", False), "upside down": ("response_file", True), "with any delay": ("response_file", True),
    "and LD-04 has none": ("response_file", False), "and HD-06 has none": ("response_file", False), "of its modulus": ("impedance_file", True),
    "counts as its break-up": ("breakup_hz", False), "is stated at": ("breakup_hz", True), "as ways and depths make it": ("response_phase", False),
    "measure it bare": ("response_file", True), "own start of time counts": ("response_phase", True), "with one start of time": ("response_phase", True), "as the edges of": ("response_measured", True),
    "response.txt has nothing between": ("response_file", True), "impedance.csv has nothing between": ("impedance_file", True),
}  # fmt: skip
"""Words of what is found: the cell that says otherwise, or could, and whether it is to be doubted."""


def found(case: Case) -> list[str]:
    """What is found, in words; each at the driver it names (of a phase that is missing, at the one that lacks it)."""
    every = findings(Model(Setting(case)))
    for one in every:
        (cell,) = [cell for words, cell in CELLS.items() if words in one.text]
        assert (one.field, one.doubtful) == cell
        assert one.text.startswith(one.driver.id) or f"and {one.driver.id} has none" in one.text
    return [one.text for one in every]


def test_a_pair_in_its_own_cabinet_with_one_start_of_time() -> None:
    """The files of P-05 were made from the edges, the box and the ways of CB-03: nothing is left but the drivers."""
    case = demo_case("P-05")
    model = Model(Setting(case))
    assert model.low_measured is not None and model.high_measured is not None
    assert model.low_measured.common and model.high_measured.common
    apart_s = model.low_measured.late_s - model.high_measured.late_s
    assert abs(apart_s) < 1e-5
    for taken, role in ((model.low_measured, "low"), (model.high_measured, "high")):
        smooth = np.abs(taken.found.log_ratio) * 20 / np.log(10)
        assert np.median(smooth) < 0.3, role
    assert found(case) == ["LD-04 and HD-06 are heard as far apart in time as ways and depths make it"]
    alone = replace(case, curves={key: one for key, one in case.curves.items() if key[0] == "LD-04"})
    assert found(alone) == ["LD-04: a delay of 3.50 ms was found in curves/LD-04 response.txt and taken out"]


def test_a_driver_measured_upside_down_is_turned_and_said() -> None:
    case = demo_case("P-16")
    assert found(case)[-1] == "HD-07: curves/HD-07 response.csv was measured upside down; its polarity is turned"
    upright = replace(case, curves={})
    turned = np.angle(Model(Setting(case)).high_side.response / Model(Setting(upright)).high_side.response)
    assert np.abs(turned[80:]).max() < 0.3


def test_where_and_how_it_was_measured_stands_on_the_sheet() -> None:
    text = " ".join(all_assumptions(Setting(demo_case("P-05"))))
    assert "LD-04: response measured from 20 to 20000 Hz (curves/LD-04 response.txt) in CB-03 at 1 m and 2.83 V" in text
    text = " ".join(all_assumptions(Setting(demo_case("P-03"))))
    assert "HD-03: response measured from 300 to 20000 Hz (curves/HD-03.txt) on a large baffle" in text
    assert "with minimum phase; 4 files off the axis" in text
    assert "HD-03: directivity measured sideways; modelled beyond those angles." in text
    text = " ".join(all_assumptions(Setting(demo_case("P-02"))))
    assert "HD-02: impedance measured from 100 to 20000 Hz (curves/HD-02 impedance.csv) in free air" in text


def test_break_up_is_read_where_the_cell_is_empty_and_contradicted_where_it_is_not() -> None:
    case = demo_case("P-02")
    hz = measured_breakup_hz(Model(Setting(case)))
    assert hz is not None and abs(np.log2(hz / 5900.0)) < 1 / 6
    empty = demo_case("P-02", low={"breakup_hz": None})
    assert f"LD-03: its first peak in curves/LD-03 response.txt, at {hz:.0f} Hz, counts as its break-up" in found(empty)
    limit = next(one for one in all_limits(Setting(empty)) if one.id == "break-up")
    stated = next(one for one in all_limits(Setting(case)) if one.id == "break-up")
    assert limit.hz is not None and stated.hz is not None
    assert abs(limit.hz / stated.hz - hz / 5900.0) < 1e-6
    assert "in its measured response" in limit.text
    wrong = demo_case("P-02", low={"breakup_hz": 3900.0})
    assert (
        f"LD-03: its break-up is stated at 3900 Hz, but curves/LD-03 response.txt first peaks at {hz:.0f} Hz"
        in found(wrong)
    )
    assert not any("break-up" in text for text in found(case))


def test_a_cabinet_is_taken_out_before_band_and_break_up_are_read() -> None:
    """LD-04 in CB-03: its file falls towards low frequencies with the edges, the cone itself does not; made with 7 dB at 3300 Hz."""
    model = Model(Setting(demo_case("P-05")))
    raw, bare = model.setting.case.curves["LD-04", "response"], model.low_curve_on_large_baffle
    assert bare is not None and model.low_curve_on_large_baffle is bare  # worked out once for all networks

    def level(curve: MeasuredCurve, hz: float) -> float:
        return float(np.interp(hz, curve.frequency_hz, curve.magnitude))

    assert level(raw, 1500.0) - level(raw, 150.0) > 2.0
    assert abs(level(bare, 1500.0) - level(bare, 150.0)) < 1.0
    hz = measured_breakup_hz(model)
    assert hz is not None and abs(np.log2(hz / 3300.0)) < 1 / 12


def test_a_file_of_few_points_is_told_where_they_lie_far_apart() -> None:
    """14 points over ten octaves lie 10/13 of an octave apart, 40 a quarter; outside the band of the driver nobody asks."""

    def thinned(id_: str, quantity: str, at_hz: FloatArray) -> list[str]:
        case = demo_case("P-02", pairing={"chamber_m3": None})
        curve = case.curves[id_, quantity]
        levels = np.interp(np.log(at_hz), np.log(curve.frequency_hz), curve.magnitude)
        few = replace(curve, frequency_hz=at_hz, magnitude=levels, phase_rad=None)
        return [
            text for text in found(replace(case, curves={**case.curves, (id_, quantity): few})) if "nothing" in text
        ]

    few, more = np.geomspace(20.0, 20480.0, 14), np.geomspace(20.0, 20480.0, 40)
    (text,) = thinned("LD-03", "response", few)
    between = re.search(r"LD-03: curves/LD-03 response.txt has nothing between (\d+) and (\d+) Hz", text)
    assert between and np.log2(float(between[2]) / float(between[1])) == pytest.approx(10.0 / 13.0, abs=0.01)
    assert len(thinned("HD-02", "impedance", few)) == 1
    bass_left_out = np.concatenate([few[few < 150.0], more[more > 160.0]])
    assert thinned("LD-03", "response", more) == thinned("LD-03", "response", bass_left_out) == []


def test_an_impedance_whose_phase_is_turned_round_does_not_count() -> None:
    case = demo_case("P-02", pairing={"chamber_m3": None})
    curve = case.curves["HD-02", "impedance"]
    assert curve.phase_rad is not None
    turned = replace(curve, phase_rad=-curve.phase_rad)
    wrong = replace(case, curves={**case.curves, ("HD-02", "impedance"): turned})
    assert any("HD-02: the phase of curves/HD-02 impedance.csv lies" in text for text in found(wrong))
    assert not any("impedance" in text for text in found(case))


def test_phases_in_radians_that_no_heading_names_are_told_to_look_so() -> None:
    """Radians of a wrapped phase stay within 3.14."""
    case = demo_case("P-05")
    keys = [("HD-06", "response"), ("LD-04", "response")]
    wrapped = {key: np.angle(np.exp(1j * np.asarray(case.curves[key].phase_rad))) for key in keys}
    typed = {key: replace(case.curves[key], phase_rad=np.radians(phase)) for key, phase in wrapped.items()}
    told = found(replace(case, curves={**case.curves, **typed}))
    assert (
        sum(
            text.endswith("it does not count. It looks like radians: give degrees, or say rad in its heading")
            for text in told
        )
        == 2
    )


def test_a_phase_that_is_none_of_its_level_is_said_with_its_degrees() -> None:
    """A phase that swings by 60 degrees ten times over the file is none of any delay: rms of a sine of 60 is 42 degrees."""
    case = demo_case("P-05")
    curve = case.curves["HD-06", "response"]
    assert curve.phase_rad is not None
    swing = radians(60.0) * np.sin(2 * np.pi * np.linspace(0.0, 10.0, curve.frequency_hz.size))
    bad = replace(curve, phase_rad=curve.phase_rad + swing)
    text = next(
        one for one in found(replace(case, curves={**case.curves, ("HD-06", "response"): bad})) if "any delay" in one
    )
    told = re.fullmatch(
        rf"HD-06: the phase of {re.escape(curve.file)} lies (\d+) degrees from that of its level with any delay; it does not count",
        text,
    )
    assert told is not None and 25 <= int(told[1]) <= 60, text


def test_a_phase_that_does_not_count_is_neither_on_the_sheet_nor_in_what_is_heard_later() -> None:
    """Both phases of P-05 with the wrong sign: there is no time in them, and no phase is used."""
    case = demo_case("P-05")
    curves = {
        key: replace(one, phase_rad=None if one.phase_rad is None else -one.phase_rad)
        for key, one in case.curves.items()
    }
    wrong = replace(case, curves=curves)
    assert [text[:5] for text in found(wrong)] == ["LD-04", "HD-06"]
    assert all("with any delay; it does not count" in text for text in found(wrong))
    assert "with its phase" not in " ".join(all_assumptions(Setting(wrong)))
    assert " ".join(all_assumptions(Setting(case))).count("with its phase") == 2


def test_a_driver_measured_in_its_guide_is_doubted_and_a_bare_one_is_not() -> None:
    """The gain of the guide counted twice: 5 dB at 2 kHz in P-22, whose guide holds its pattern there, and nothing was said."""
    case = demo_case("P-22")
    gain_db = Setting(case).guide_gain_db(FREQUENCY_HZ)
    bare = (
        np.log(np.abs(Model(Setting(replace(case, curves={})))._before_microphone("high")[0]) / 20e-6) * 20 / np.log(10)
    )
    assert case.guide is not None and gain_db.max() > 5.0
    own_db = 0.7 * np.sin(4.0 * np.log(FREQUENCY_HZ))  # ripple of the driver's own
    for level_db, doubted in ((bare + gain_db + own_db, True), (bare + own_db, False), (bare, False)):
        curve = MeasuredCurve(FREQUENCY_HZ[100:], level_db[100:], None, "high.txt")
        high = replace(case.high, response_measured="large baffle")
        texts = found(replace(case, high=high, curves={(high.id, "response"): curve}))
        assert any("rises as WG-01 makes it" in text for text in texts) == doubted, texts


def test_the_ratio_of_a_turned_impedance_stays() -> None:
    case = demo_case("P-02", pairing={"chamber_m3": None})
    curve = case.curves["HD-02", "impedance"]
    assert curve.phase_rad is not None
    turned = replace(curve, phase_rad=-curve.phase_rad)
    wrong = replace(case, curves={**case.curves, ("HD-02", "impedance"): turned})
    ratio = Model(Setting(wrong)).high_impedance / Model(Setting(case)).high_impedance
    assert np.degrees(np.abs(np.angle(ratio))).max() < 3.0


def test_a_common_reference_takes_both_files() -> None:
    case = demo_case("P-05", high={"response_phase": "own"})
    assert any(
        text.startswith("LD-04 beside HD-06: a common reference takes phase in the files of both")
        for text in found(case)
    )
    other = demo_case("P-05", high={"measured_at_m": 2.0})
    assert sum("a common reference takes" in text for text in found(other)) == 2


def test_phase_in_one_file_only_is_said() -> None:
    case = demo_case("P-05")
    high = case.curves["HD-06", "response"]
    bare = MeasuredCurve(high.frequency_hz, high.magnitude, None, high.file)
    text = found(replace(case, curves={**case.curves, ("HD-06", "response"): bare}))
    assert "LD-04 has a measured phase and HD-06 has none: the phase of HD-06 is that of its level" in text


def test_check_prints_what_was_found_with_its_cell(tmp_path: Path) -> None:
    for name, text in demo_files().items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    write_plain(tmp_path / "season.xlsx", demo_tables())
    checked = check_workbook(tmp_path / "season.xlsx")
    lines = [str(problem) for problem in checked.problems]
    assert any(line.startswith("High drivers!") and "was measured upside down" in line for line in lines)
    assert checked.errors == 0
