"""What stands on paper, worked out by hand, where a small fault once went unnoticed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields, replace
from math import radians
from typing import Any

import pytest

from reportgen.assessment import Assessment
from reportgen.pairing.as_used import Frame
from reportgen.pairing.readings import Reading
from reportgen.paper.building import _frame_rows, baffle_block, build_block
from reportgen.paper.composing import NEAREST, _cut, _misfit, sheet_page, stamp_facts
from reportgen.paper.coverage import coverage_charts
from reportgen.paper.frontfigures import figure_columns, kit_figures, slope_words
from reportgen.paper.pages import RemediesBlock, RemedyRow
from reportgen.paper.plans import SCALES, _extent, chosen_scale
from reportgen.paper.templates import templates_folder
from reportgen.paper.wording import MARKS
from tests.every import every
from tests.paper.samples import STAMP, assessed


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


# --- facts ------------------------------------------------------------------------------------------------------------


def plain(facts: Iterable[Any]) -> list[tuple[str, ...]]:
    """Facts or rows as the words that stand on paper, blanks that do not break made plain ones."""
    return [tuple(str(getattr(one, field.name)).replace("\u00a0", " ") for field in fields(one)) for one in facts]


def invented(**figures: Any) -> Assessment:
    """P-01 with invented figures of its network, each rounded in the tests as a sheet rounds it."""
    found = assessed("P-01")
    assert found.network is not None
    usual: dict[str, Any] = {
        "sensitivity_db": 86.4, "effective_range_hz": (52.0, 21000.0), "corner_hz": 61.3, "balance_db": (-0.24, 0.31),
        "evenness_db": -1.26, "highest_level_db": 103.6, "highest_level_cause": "the amplifier", "least_impedance_ohm": 3.42,
        "least_impedance_hz": 3000.0, "rated_impedance_ohm": 4.0, "amplifier_w": (12.4, 85.0), "pieces": 6,
        "network_price": 31.5, "pair_price": 251.0,
    }  # fmt: skip
    made = replace(found.network, figures=replace(found.network.figures, **{**usual, **figures}))
    return replace(found, network=made, price=94.25, crossover_fixed=False, crossover_hz=2530.0)


def test_the_figures_of_the_front_to_the_letter() -> None:
    """The range of P-01: 1.8 x 1180 Hz to 5200 / 1.732 Hz, lg2(3002.2 / 2124) = 0.50 octave. Its box: 11 L, 200 x 360 x 260 mm."""
    columns = figure_columns(invented())
    assert plain(fact for column in columns for fact in column) == [
        ("Crossover", "2530 Hz", "chosen"),
        ("Acoustic slopes", "Linkwitz-Riley, order 4", ""),
        ("Usable range", "2120 to 3000 Hz", "0.50 octave"),
        ("Sensitivity", "86.4 dB", "2.83 V, 1 m"),
        ("Effective range", "52 Hz to 21 kHz", "to −10 dB"),
        ("Corner in box", "61.3 Hz", "at −3 dB"),
        ("Balance", "−0.2 and +0.3 dB", "bass, treble"),
        ("Evenness", "1.3 dB", "worst third octave"),
        ("Highest level", "104 dB", "ended by the amplifier"),
        ("Rated impedance", "4 Ω", "least 3.4 Ω at 3000 Hz"),
        ("Amplifier", "12 to 85 W", "into 4 Ω"),
        ("Network", "6 pieces", "31.50 EUR"),
        ("Price of a kit", "251.00 EUR", ""),
        ("Price of one", "94.25 EUR", "drivers and network"),
        ("Net volume", "11 L", "closed"),
        ("Outer size", "200 × 360 × 260 mm", ""),
    ]
    assert [len(column) for column in columns] == [6, 6, 4]


@every(
    ("figures", "fact"),
    [
        ({"amplifier_w": (0.0094, 85.0)}, ("Amplifier", "under 1 to 85 W", "into 4 Ω")),
        ({"amplifier_w": (1.0, 85.0)}, ("Amplifier", "1 to 85 W", "into 4 Ω")),
        ({"amplifier_w": (12.4, None)}, ("Amplifier", "from 12 W", "into 4 Ω")),
        (
            {"amplifier_w": (12.4, 87.96)},
            ("Amplifier", "12 to 87 W", "into 4 Ω"),
        ),  # what must not be exceeded is never rounded up
        ({"amplifier_w": (150.0, 126.9)}, ("Amplifier", "125 W at most", "into 4 Ω; the level wanted takes 150 W")),
        ({"amplifier_w": (12.4, 136.0)}, ("Amplifier", "12 to 135 W", "into 4 Ω")),  # not 140
        ({"amplifier_w": (12.4, 1280.0)}, ("Amplifier", "12 to 1250 W", "into 4 Ω")),
        ({"amplifier_w": (85.0, 85.0)}, ("Amplifier", "85 to 85 W", "into 4 Ω")),
        ({"amplifier_w": (120.0, 85.0)}, ("Amplifier", "85 W at most", "into 4 Ω; the level wanted takes 120 W")),
        (
            {"highest_level_db": 95.4, "highest_level_cause": "travel"},
            ("Amplifier", "85 W at most", "into 4 Ω; none reaches the level wanted"),
        ),  # of 96 dB wanted
        (
            {"highest_level_db": 95.6, "highest_level_cause": "travel"},
            ("Amplifier", "12 to 85 W", "into 4 Ω"),
        ),  # near enough
        ({"highest_level_db": 95.4}, ("Amplifier", "12 to 85 W", "into 4 Ω")),  # a stronger one helps
        (
            {"highest_level_db": 90.0, "highest_level_cause": "travel", "amplifier_w": (12.4, None)},
            ("Amplifier", "–", "none reaches the level wanted"),
        ),
        # 3.17 ohm are less than 80 % of 4 ohm, 3.2: so it is told as less
        (
            {"least_impedance_ohm": 3.17, "rated_impedance_ohm": 2.0},
            ("Rated impedance", "2 Ω", "least 3.17 Ω at 3000 Hz"),
        ),
        # the same watts into half the load are a lower voltage: watts alone let an amplifier burn the high driver
        ({"rated_impedance_ohm": 2.0}, ("Amplifier", "12 to 85 W", "into 2 Ω")),
        ({"rated_impedance_ohm": None}, ("Rated impedance", "none customary", "least 3.4 Ω at 3000 Hz")),
        ({"network_price": None}, ("Network", "6 pieces", "")),
        ({"network_price": None}, ("Price of one", "94.25 EUR", "without the network")),
        ({"pieces": 1}, ("Network", "1 piece", "31.50 EUR")),
        ({"balance_db": (0.04, -0.04)}, ("Balance", "0.0 and 0.0 dB", "bass, treble")),
    ],
)
def test_a_figure_of_the_front_that_is_otherwise(figures: dict[str, Any], fact: tuple[str, ...]) -> None:
    assert fact in plain(kit_figures(invented(**figures)))


@every(
    ("kind", "tuning_hz", "told"),
    [
        ("vented", 40.0, "tuned to 40 Hz"), ("vented", None, "vented"), ("closed", None, "closed"), ("closed", 40.0, "closed"),
        ("open baffle", None, None), ("open baffle", 40.0, None),
    ],
)  # fmt: skip
def test_only_a_vented_box_is_tuned_and_an_open_baffle_holds_no_air(
    kind: str, tuning_hz: float | None, told: str | None
) -> None:
    """What stands in a cell that does not count for this kind of cabinet is not told on the front either."""
    found = assessed("P-01")
    cabinet = replace(found.case.cabinet, kind=kind, tuning_hz=tuning_hz)
    facts = plain(kit_figures(replace(found, case=replace(found.case, cabinet=cabinet))))
    assert [fact for fact in facts if fact[0] == "Net volume"] == ([("Net volume", "11 L", told)] if told else [])


def test_what_is_not_known_of_a_network_is_left_out() -> None:
    labels = [label for label, *_ in plain(kit_figures(invented(corner_hz=None, pair_price=None)))]
    assert "Corner in box" not in labels and "Price of a kit" not in labels and "Sensitivity" in labels
    bare = replace(assessed("P-01"), network=None, price=None, crossover_fixed=True)
    assert [label for label, *_ in plain(kit_figures(bare))] == ["Net volume", "Outer size"]
    assert plain(figure_columns(bare)[0])[0] == ("Crossover", "2530 Hz", "fixed")


@every(
    ("slope", "words"),
    [("LR2", "Linkwitz-Riley, order 2"), ("BW3", "Butterworth, order 3"), ("BE2", "Bessel, order 2")],
)
def test_slopes_by_their_names(slope: str, words: str) -> None:
    assert slope_words(slope).replace("\u00a0", " ") == words


def test_the_drivers_of_the_front_to_the_letter() -> None:
    """From the rows of the demo: areas in cm2, lengths in mm, and how several are joined."""
    one, other = plain(sheet_page(assessed("P-01"), STAMP).drivers)
    assert one[:2] == ("LD-01", "130 cm² mid-woofer, coated paper; 88.6 dB; 8 Ω (Re 5.6 Ω); Fs 42 Hz; travel 5 mm; 60 W; breaks up at 5200 Hz")  # fmt: skip
    assert other[:2] == ("HD-01", "27 mm soft dome, small magnet; 91.0 dB; 8 Ω (Re 5.7 Ω); Fs 1180 Hz; Ø 27 mm; travel 0.3 mm; 80 W")  # fmt: skip
    case = assessed("P-10").case
    two = replace(
        assessed("P-10"), case=replace(case, pairing=replace(case.pairing, high_count=2, high_wiring="parallel"))
    )
    one, other = plain(sheet_page(two, STAMP).drivers)
    assert one[0] == "2 × LD-02" and one[1].endswith("; 2 in series")
    assert other[0] == "2 × HD-11" and other[1].endswith("; lowest use 1700 Hz; 2 in parallel")


def test_a_stamp_says_which_paper_it_is() -> None:
    assert plain(stamp_facts(STAMP, "P-01")) == [
        ("Pairing", "P-01", ""), ("Revision", "3", ""), ("Date", "2026-11-25", ""), ("Run", "007", ""),
        ("Inputs", "9f3c1a77b2d4", ""),
    ]  # fmt: skip


# --- the build side -----------------------------------------------------------------------------------------------------


def test_readings_of_the_bench_with_what_is_fine() -> None:
    """10 % about 6.2 ohm; 15 % about 8.249 ohm; half of 16.1 dB of depth or more; a way of measuring is told once."""
    ways = ("ohmmeter", "sine, voltages compared", "microphone at the seat")
    readings = (
        Reading("Resistance", ways[0], 6.2, "ohm", 0.10), Reading("Impedance at 632 Hz", ways[1], 8.249, "ohm", 0.15),
        Reading("Impedance at 2518 Hz", ways[1], 13.08, "ohm", 0.15), Reading("Depth", ways[2], 16.08, "dB", 0.5),
    )  # fmt: skip
    found = assessed("P-01")
    assert found.network is not None
    block = build_block(replace(found, network=replace(found.network, readings=readings)), False, 0, True)
    assert block is not None
    assert plain(block.readings) == [
        ("Resistance", "ohmmeter", "6.2 Ω", "5.6 to 6.8 Ω"),
        ("Impedance at 632 Hz", "sine, voltages compared", "8.2 Ω", "7 to 9.5 Ω"),
        ("Impedance at 2520 Hz", "likewise", "13 Ω", "11 to 15 Ω"),
        ("Depth", "microphone at the seat", "16.1 dB", "8 dB or more"),
    ]


@every(
    ("id_", "damping", "box"),
    [
        ("P-01", "Damping: fill it loosely with absorbent.", [("outside", "200 × 360 × 260 mm", ""), ("net volume", "11 L", ""), ("stand", "720 mm", "")]),
        ("P-04", "Damping: line the walls with absorbent, leave the vent free.", [("outside", "260 × 980 × 340 mm", ""), ("net volume", "48 L", ""), ("tuning", "34 Hz", ""), ("stand", "20 mm", "")]),
        ("P-11", "No box and no damping: leave the back open.", [("outside", "420 × 1050 × 30 mm", "")]),
    ],
)  # fmt: skip
def test_the_box_and_what_goes_into_it(id_: str, damping: str, box: list[tuple[str, ...]]) -> None:
    block = build_block(assessed(id_), False, 0, True)
    assert block is not None and block.box_note == damping and plain(block.box) == box


def test_conditions_of_the_build_side_are_in_the_units_of_the_paper() -> None:
    """25.4 mm are an inch; a condition of a check that fails is no condition."""
    found = assessed("P-01")
    kept = replace(found.checks[0], outcome="pass", condition="Stay 254 mm from the wall.")
    lost = replace(found.checks[1], outcome="fail", condition="Never mind.")
    page = replace(found, checks=(kept, lost))
    (metric,), (imperial,) = (build_block(page, inches, 0, True).conditions for inches in (False, True))  # type: ignore[union-attr]
    assert metric.replace("\u00a0", " ") == "Stay 254 mm from the wall."
    assert imperial != metric and "10" in imperial and "in" in imperial


def test_the_baffle_in_millimetres_from_the_top_and_the_left() -> None:
    """360 mm high and 200 mm wide; the centres 80 mm and 230 mm from the top: 150 mm apart."""
    block = baffle_block(assessed("P-01"), False)
    assert plain(block.frames) == [
        ("1", "HD-01", "80", "100", "Ø 104", "Ø 74"), ("2", "LD-01", "230", "100", "Ø 168", "Ø 146"),
    ]  # fmt: skip
    assert "Low to high centre 150 mm." in block.caption.replace("\u00a0", " ")
    scales = [baffle_block(assessed("P-01"), False, low).caption.split(";")[0] for low in (False, True)]
    assert (
        scales == [f"1 : {chosen_scale(assessed('P-01').layout, low):g}" for low in (False, True)]
        and len({*scales}) == 2
    )


def test_marks_by_sign_word_and_class() -> None:
    """The classes are those of the style sheet."""
    style = (templates_folder() / "style.css").read_text(encoding="utf-8")
    assert {(mark.sign, mark.style) for mark in MARKS.values()} == {
        ("✓", "good"),
        ("!", "near"),
        ("✗", "bad"),
        ("?", "open"),
    }
    assert all(f".{mark.style}" in style and mark.word == name for name, mark in MARKS.items())


# --- the drawing of the baffle ------------------------------------------------------------------------------------------


def test_everything_that_stands_over_the_edge_is_drawn_and_no_more() -> None:
    """A frame of 0.2 m centred on the right edge of a panel of 0.3 m: 0.4 m across, 1 : n of which is drawn."""
    layout = replace(assessed("P-01").layout, width_m=0.3, height_m=0.5, frames=(Frame("high", "H", 0.3, 0.25, 0.2, 0.2, True, None, None),))  # fmt: skip
    extent = _extent(layout)
    assert (extent.left, extent.right) == pytest.approx((0.0, 0.4))
    assert extent.bottom - extent.top == pytest.approx(0.5)


def test_scales_are_those_that_a_rule_has() -> None:
    """1, 2 and 5 times a power of ten are those of ISO 5455 (memory); those between are common practice, no source."""
    assert SCALES == (1, 2, 2.5, 4, 5, 7.5, 10, 12.5, 15, 20, 25, 30, 40, 50, 75, 100)


# --- ways out and misfits ---------------------------------------------------------------------------------------------


def ways(count: int) -> RemediesBlock:
    rows = tuple(RemedyRow(f"change {at}", MARKS["suitable"], "", "", "", "") for at in range(1, count + 1))
    return RemediesBlock("Nearest yes", rows, "Each was assessed.")


def changes(block: RemediesBlock | None) -> list[str]:
    return [row.changes for row in block.rows] if block is not None else []


@every(
    ("count", "front", "annex", "note"),
    [(5, 3, 2, " 2 more ways in the annex."), (4, 3, 1, " 1 more way in the annex."), (3, 3, 0, "")],
)
def test_ways_out_beyond_three_stand_in_the_annex(count: int, front: int, annex: int, note: str) -> None:
    named = [f"change {at}" for at in range(1, count + 1)]
    first, others = _cut(ways(count), NEAREST)
    assert (changes(first), changes(others)) == (named[:front], named[front:]) and len(named[front:]) == annex
    assert first is not None and first.note == f"Each was assessed.{note}"
    assert _cut(ways(count), None) == (ways(count), None)


@every(
    ("id_", "outcome", "misfit"),
    [
        ("frames fit", "fail", True),
        ("frames fit", "marginal", False),
        ("slopes", "fail", False),
        ("slopes", "pass", False),
    ],
)
def test_only_frames_that_do_not_fit_are_drawn_on_a_front(id_: str, outcome: Any, misfit: bool) -> None:
    found = assessed("P-01")
    check = replace(found.checks[0], id=id_, outcome=outcome)
    assert _misfit(replace(found, checks=(check,))) is misfit


def test_where_a_hole_is_from_the_top_and_from_the_left() -> None:
    """A panel of 200 x 360 mm: a hole 60 mm from the left and 280 mm up is 80 mm from the top, one 130 mm up 230 mm."""
    high = Frame("high", "HD-01", 0.060, 0.280, 0.104, 0.104, True, 0.074, 0.074)
    low = Frame("low", "LD-01", 0.120, 0.130, 0.168, 0.168, True, 0.146, 0.146)
    found = assessed("P-01")
    layout = replace(found.layout, width_m=0.200, height_m=0.360, frames=(low, high))
    rows = [
        (row.number, row.driver, row.from_top, row.from_left, row.frame, row.cutout)
        for row in _frame_rows(replace(found, layout=layout), False)
    ]
    assert rows == [("1", "HD-01", "80", "60", "Ø 104", "Ø 74"), ("2", "LD-01", "230", "120", "Ø 168", "Ø 146")]
