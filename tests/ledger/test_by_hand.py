"""What stands in which column of the written sheets, and in which unit: every row worked out by hand from plain figures."""

from __future__ import annotations

import datetime as dt
import re
import zlib
from collections.abc import Sequence
from dataclasses import replace
from io import BytesIO
from typing import Any

import openpyxl
import pytest
from openpyxl.chart import BarChart

from reportgen.advice.comparison import Comparison
from reportgen.advice.listings import Field, Listing, Report
from reportgen.advice.pricing import price_listing
from reportgen.advice.screening import Candidate
from reportgen.assessment import Assessment, outline
from reportgen.commands.changes import _last_other
from reportgen.ledger import (
    desksheets,
    differences,
    history,
    historysheet,
    longtables,
    rangechart,
    sheets,
    summary,
    words,
)
from reportgen.ledger.differences import inputs_of
from reportgen.ledger.encoding import NotDecodable
from reportgen.ledger.entries import Entry, History
from reportgen.ledger.layout import _PAGE_WIDTH, SIGNS, Head, Shown
from reportgen.ledger.listingsheets import _head, listing_sheets
from reportgen.ledger.longtables import Book
from reportgen.ledger.rangechart import SERIES, _set_axes, range_chart
from reportgen.ledger.revisions import Revised, cause
from reportgen.ledger.stamp import run_of_tab
from reportgen.pairing.figures import Figures
from reportgen.pairing.parts_list import PartLine
from reportgen.problems import Unassessed
from reportgen.suitability.checks import Check
from reportgen.suitability.limits import Limit
from reportgen.suitability.verdict import UsableRange
from tests.demo_catalogue import demo, demo_assessed, demo_case
from tests.every import every
from tests.ledger.runs import stamp

NONE = "–"


def by_heading(heads: Sequence[Head], row: Sequence[Any]) -> dict[str, Any]:
    """The values of a row under the headings of its columns; one column has one value."""
    assert len(heads) == len(row)
    return {head.text: one.value if isinstance(one, Shown) else one for head, one in zip(heads, row, strict=True)}


def drawn(a: Assessment, *parts: PartLine, **figures: Any) -> Assessment:
    """The assessment with other parts and figures."""
    assert a.network is not None and a.figures is not None
    return replace(a, network=replace(a.network, parts=parts or a.parts, figures=replace(a.figures, **figures)))


# --- parts ------------------------------------------------------------------------------------------------------------

CAPACITOR = PartLine(
    "high", "C1", "C", "series capacitor", 4.7e-6, 0.02, part_id="KC-4u7", price=2.5, voltage_rms_v=20.25, voltage_peak_v=40.5,
    current_rms_a=1.25, power_w=0.375, rating_to_buy=63.0, rating_unit="V",
)  # fmt: skip


def part_rows(*parts: PartLine) -> list[dict[str, Any]]:
    """The rows of the parts of P-01 beside its two drivers."""
    rows = list(sheets._rows_of_parts(drawn(demo_assessed("P-01"), *parts)))
    return [by_heading(sheets._part_heads("EUR"), row) for row in rows]


def test_a_capacitor_stands_in_microfarads_with_what_it_bears() -> None:
    low, high, row = part_rows(CAPACITOR)
    assert {name: value for name, value in row.items() if value is not None} == {
        "Pairing": "P-01", "Kit": "Reedmace", "Branch": "high", "Mark": "C1", "Part": "capacitor", "What for": "series capacitor",
        "Value": pytest.approx(4.7), "Unit": "µF", "Buy for at least": 63.0, "Rating unit": "V", "Peak (V)": 40.5,
        "Rms (A)": 1.25, "Heat (W)": 0.375, "Stock ID": "KC-4u7", "Count": 1, "Each (EUR)": 2.5, "Price (EUR)": 2.5,
        "Season": "Spring 2027", "Low driver": "LD-01", "High driver": "HD-01", "Kind of high driver": "soft dome",
    }  # fmt: skip
    assert (low["Part"], low["Stock ID"], low["Count"], low["Each (EUR)"], low["Price (EUR)"]) == (
        "low driver",
        "LD-01",
        1,
        64.0,
        64.0,
    )
    assert (high["Branch"], high["Stock ID"], high["Price (EUR)"]) == ("high", "HD-01", 29.0)


@every(
    ("kind", "value", "told", "unit"),
    [
        ("C", 1e-7, 0.1, "µF"), ("C", 5e-8, 50.0, "nF"), ("L", 1e-4, 0.1, "mH"), ("L", 9e-5, 90.0, "µH"), ("L", 2.2e-3, 2.2, "mH"),
        ("R", 0.047, 0.047, "ohm"), ("R", 3.3, 3.3, "ohm"),
    ],
)  # fmt: skip
def test_a_part_has_the_unit_of_the_shop(kind: Any, value: float, told: float, unit: str) -> None:
    row = part_rows(replace(CAPACITOR, kind=kind, value=value))[-1]
    assert (row["Value"], row["Unit"]) == (pytest.approx(told), unit)
    assert row["Part"] == {"C": "capacitor", "L": "coil", "R": "resistor"}[kind]
    assert row["Wire ohm"] == (0.02 if kind == "L" else None)


def test_two_pieces_in_one_place_are_two_rows_and_what_they_stand_is_told_once() -> None:
    pair = replace(
        CAPACITOR, value=4.8e-6, made_of=(3.3e-6, 1.5e-6), join="parallel", part_id="KC-3u3 + KC-1u5", price=3.2, made_of_prices=(2.0, 1.2),
        under_rated=True,
    )  # fmt: skip
    first, second = part_rows(pair)[-2:]
    assert [(row["Value"], row["Stock ID"], row["Price (EUR)"]) for row in (first, second)] == [
        (pytest.approx(3.3), "KC-3u3", 2.0), (pytest.approx(1.5), "KC-1u5", 1.2),
    ]  # fmt: skip
    assert first["Made of"] == second["Made of"] == "3.3 + 1.5 µF, parallel"
    assert (first["Peak (V)"], first["Rating"], second["Peak (V)"], second["Rating"]) == (
        40.5,
        "✗ too weak",
        None,
        None,
    )
    unpriced = part_rows(replace(pair, part_id=None, made_of_prices=(), unrated=True, under_rated=False))[-2:]
    assert [(row["Price (EUR)"], row["Stock ID"], row["Rating"]) for row in unpriced] == [(NONE, None, None)] * 2


def test_several_drivers_are_counted_and_their_price_is_that_of_all() -> None:
    found = demo_assessed("P-01")
    case = replace(found.case, pairing=replace(found.case.pairing, low_count=2))
    low = by_heading(sheets._part_heads("EUR"), next(iter(sheets._rows_of_parts(replace(found, case=case)))))
    assert (low["Count"], low["Each (EUR)"], low["Price (EUR)"]) == (2, 64.0, 128.0)


def test_the_totals_of_a_pairing() -> None:
    """2.50 and 4.00 of three parts, one without a price; 64 and 29 for the drivers."""
    parts = (CAPACITOR, replace(CAPACITOR, label="L1", price=4.0), replace(CAPACITOR, label="R1", price=None))
    found = replace(drawn(demo_assessed("P-01"), *parts), price=93.0)
    assert by_heading(sheets._total_heads("EUR"), sheets._totals(found)) == {
        "Pairing": "P-01", "Kit": "Reedmace", "Parts": 3, "Without price": 1, "Priced parts (EUR)": 6.5, "Drivers and guide (EUR)": 93.0,
        "All (EUR)": 93.0,
    }  # fmt: skip
    nothing = replace(drawn(found, replace(CAPACITOR, price=None)), price=None)
    assert sheets._totals(nothing)[3:] == [1, NONE, 93.0, NONE]
    given = drawn(found, replace(CAPACITOR, price=0.0), replace(CAPACITOR, label="R1", price=None))
    assert sheets._totals(given)[3:5] == [1, 0.0], "what costs nothing has a price"


# --- checks -----------------------------------------------------------------------------------------------------------


@every(
    ("unit", "form"),
    [
        ("Hz", "0"),
        ("dB", "0.0"),
        ("ohm", "0.0"),
        ("%", "0"),
        ("mm", "0"),
        ("m", "0.00"),
        ("EUR", "#,##0.00"),
        ("JPY", "#,##0"),
    ],
)
def test_a_check_has_each_figure_in_its_column_and_as_many_decimals_as_its_unit(unit: str, form: str) -> None:
    check = Check(
        "x",
        "Level",
        "marginal",
        5.25,
        6.5,
        unit,
        1.25,
        "octave",
        "a book",
        "It says so.",
        False,
        ("A cell", "B"),
        "Keep it.",
    )
    row = sheets._check_row(demo_assessed("P-01"), check)
    assert by_heading(sheets._CHECK_HEADS, row) == {
        "Pairing": "P-01", "Kit": "Reedmace", "Check": "Level", "Outcome": "! marginal", "Value": 5.25, "Limit": 6.5, "Unit": unit,
        "Margin": 1.25, "Margin unit": "octave", "Essential": "no", "What it says": "It says so.", "Condition to keep": "Keep it.",
        "Missing": "A cell\nB", "Source": "a book", "Season": "Spring 2027", "Low driver": "LD-01", "High driver": "HD-01",
        "Kind of high driver": "soft dome",
    }  # fmt: skip
    shown = [one for one in row if isinstance(one, Shown)]
    assert [one.format for one in shown] == [form, form, "0.00"]
    gap = by_heading(
        sheets._CHECK_HEADS, sheets._check_row(demo_assessed("P-01"), replace(check, value=None, margin=None))
    )
    assert [gap[name] for name in ("Value", "Limit", "Unit", "Margin", "Margin unit")] == ["–", 6.5, unit, "–", None]


# --- summary ----------------------------------------------------------------------------------------------------------

LOW = Limit("resonance", "Resonance", "low", 2000.0, "", "")
HIGH = Limit("lobing", "Lobing", "high", 3000.0, "", "")
FIGURES = Figures(
    sensitivity_db=86.5, effective_range_hz=(48.0, 21000.0), corner_hz=55.0, voiced_band_hz=(100.0, 16000.0), shelf_db=1.5,
    balance_db=(-0.5, 0.25), evenness_db=1.5, rated_impedance_ohm=4.0, least_impedance_ohm=3.5, least_impedance_hz=3150.0,
    highest_level_db=101.5, highest_level_cause="the amplifier", amplifier_w=(30.0, 124.9), pieces=7, network_price=17.5,
    pair_price=221.0, net_volume_m3=0.011, tuning_hz=None,
)  # fmt: skip


def summary_row(found_range: UsableRange, crossover_hz: float = 2450.0) -> dict[str, Any]:
    one = outline(demo_assessed("P-01"))
    one = replace(
        one, figures=FIGURES, found_range=found_range, crossover_hz=crossover_hz, price=128.87, sum_off_db=1.75, good_share=0.93,
        headline="Near the limit.",
    )  # fmt: skip
    row = summary._row(one, stamp(7), {"P-01": "out/P-01 Reed.pdf"}, {"P-01": 42}, "key")
    assert isinstance(row[0], Shown) and row[0].inside == "'Run 007 checks'!A42"
    return by_heading(summary.heads("EUR"), row)


def test_a_row_of_the_summary_by_hand() -> None:
    row = summary_row(UsableRange(2000.0, 3000.0, LOW, HIGH))
    assert row.pop("Width (octave)") == pytest.approx(0.585, abs=5e-4)  # lg2 of 1.5
    assert row.pop("Net volume (L)") == pytest.approx(11.0)
    assert row == {
        "ID": "P-01", "Kit": "Reedmace", "Season": "Spring 2027", "Verdict": "! suitable with conditions", "First reason": "Near the limit.",
        "Range from (Hz)": 2000.0, "Range to (Hz)": 3000.0, "Crossover (Hz)": 2450.0, "Crossover is": "chosen",
        "Bound from below by": "Resonance", "Bound from above by": "Lobing", "Price of one (EUR)": 128.87, "Lowest ohm": 3.5,
        "Sum off by (dB)": 1.75, "Good builds": 0.93, "Sheet": "P-01 Reed.pdf", "Inputs": "key",
        "Low driver": "LD-01", "Low count": 1, "High driver": "HD-01", "High count": 1, "Kind of high driver": "soft dome", "Waveguide": NONE,
        "Cabinet": "CB-01", "Kind of cabinet": "closed", "Tuning (Hz)": NONE, "Arrangement": "high over low", "Slope": "LR4",
        "Surroundings": "home", "Decision": "accepted", "Sensitivity (dB)": 86.5, "Corner (Hz)": 55.0, "Effective from (Hz)": 48.0,
        "Effective to (Hz)": 21000.0, "Bass off by (dB)": -0.5, "Treble off by (dB)": 0.25, "Third octaves off by (dB)": 1.5,
        "Rated ohm": 4.0, "Lowest ohm at (Hz)": 3150.0, "Amplifier from (W)": 30.0, "Amplifier to (W)": 120.0, "Highest level (dB)": 101.5,
        "Highest level ended by": "the amplifier", "Pieces": 7, "Network (EUR)": 17.5, "Kit (EUR)": 221.0,
        "Lower edge": 2000.0, "Usable range": 1000.0, "No range: limits cross": 0.0, "Crossover": 2450.0,
    }  # fmt: skip


@every(("kind", "tuning"), [("vented", 40.0), ("closed", NONE), ("open baffle", NONE)])
def test_only_a_vented_cabinet_has_a_tuning_in_the_summary(kind: str, tuning: Any) -> None:
    """As the check of the workbook says of a filled cell: it does not count."""
    a = outline(demo_assessed("P-01"))
    case = replace(a.case, cabinet=replace(a.case.cabinet, kind=kind, tuning_hz=40.0))
    row = by_heading(summary.heads("EUR"), summary._row(replace(a, case=case), stamp(7), {}, {"P-01": 6}, "key"))
    assert (row["Kind of cabinet"], row["Tuning (Hz)"]) == (kind, tuning)


def test_an_amplifier_with_no_upper_end_has_none_in_the_summary() -> None:
    one = replace(outline(demo_assessed("P-01")), figures=replace(FIGURES, amplifier_w=(30.0, None)))
    row = by_heading(summary.heads("EUR"), summary._row(one, stamp(7), {}, {"P-01": 42}, "key"))
    assert row["Amplifier to (W)"] == NONE and row["Amplifier from (W)"] == 30.0


def test_where_limits_cross_the_row_names_no_range_and_the_chart_has_the_gap() -> None:
    row = summary_row(UsableRange(3000.0, 2000.0, LOW, HIGH), 2449.0)
    assert (row["Range from (Hz)"], row["Range to (Hz)"]) == ("none", "none")
    assert [row[name] for name in SERIES] == [2000.0, 0.0, 1000.0, 2449.0]
    open_ = summary_row(UsableRange(2000.0, None, LOW, None))
    assert (open_["Range from (Hz)"], open_["Range to (Hz)"], open_["Width (octave)"]) == (2000.0, NONE, NONE)
    assert (open_["Bound from below by"], open_["Bound from above by"]) == ("Resonance", NONE)
    assert [open_[name] for name in SERIES] == [None, None, None, 2450.0]


# --- desk -------------------------------------------------------------------------------------------------------------


def test_a_row_of_the_ranked_list_by_hand() -> None:
    one = Candidate(
        3, "LD-01", "HD-02", "WG-01", "as supplied", 85e-6, "LR2", "suitable", 1500.0, 3000.0, "travel", "coverage", 2100.0, 141.5, False, 0.7,
        "Takes: slope LR2.",
    )  # fmt: skip
    assert by_heading(desksheets._ranked_heads("EUR"), desksheets._ranked_row(one, demo())) == {
        "Rank": 3, "Low driver": "LD-01", "High driver": "HD-02", "Kind": "soft dome", "Guide": "WG-01", "Rear": "85 mL chamber",
        "Slope": "LR2", "Verdict of the limits": "✓ suitable", "Range from (Hz)": 1500.0, "Range to (Hz)": 3000.0, "Width (octave)": 1.0,
        "Crossover (Hz)": 2100.0, "Bound from below by": "Travel", "Bound from above by": "Low driver's coverage", "Price of one (EUR)": 141.5,
        "On the shelf": "no", "What it takes, or what stands in the way": "Takes: slope LR2.",
    }  # fmt: skip
    bare = replace(
        one,
        chamber_m3=None,
        rear_use="removed",
        in_stock=True,
        high_hz=None,
        high_binding="nothing",
        price=None,
        takes="",
    )
    row = by_heading(desksheets._ranked_heads("EUR"), desksheets._ranked_row(bare, demo()))
    assert (row["Rear"], row["On the shelf"], row["Width (octave)"], row["Price of one (EUR)"]) == (
        "removed",
        "yes",
        NONE,
        NONE,
    )
    assert row["Bound from above by"] == "nothing"


# --- History ----------------------------------------------------------------------------------------------------------


def test_a_row_of_history_by_hand() -> None:
    entry = Entry(
        run=7, when=dt.datetime(2027, 3, 8, 14, 20), pairing_id="P-01", kit="Reed", season="Spring", event="changed", changed="Xmax",
        effect="none", verdict="suitable", reason="Well.", low_hz=2000.0, high_hz=3000.0, crossover_hz=2450.0, bound_below="Resonance",
        bound_above="Lobing", price=128.5, currency="EUR", decision="accepted", decided_by="M. Quill", decided_on=dt.date(2027, 3, 1),
        decided_why="Good.", operator="Q", program_version="1.2.3", workbook="s.xlsx", inputs="key", revision=2, paper="",
    )  # fmt: skip
    assert by_heading(list(historysheet.COLUMNS.values()), historysheet._values(entry)) == {
        "Run": 7, "Date": dt.datetime(2027, 3, 8, 14, 20), "Pairing": "P-01", "Kit": "Reed", "Season": "Spring", "Event": "changed",
        "What changed": "Xmax", "Effect": "none", "Verdict": "✓ suitable", "First reason": "Well.", "Range from (Hz)": 2000.0,
        "Range to (Hz)": 3000.0, "Crossover (Hz)": 2450.0, "Bound from below by": "Resonance", "Bound from above by": "Lobing",
        "Price": 128.5, "Currency": "EUR", "Decision": "accepted", "Decided by": "M. Quill", "Decided on": dt.date(2027, 3, 1),
        "Why": "Good.", "Run by": "Q", "Program": "1.2.3", "Workbook": "s.xlsx", "Inputs": "key", "Revision": 2, "Sheet": None,
    }  # fmt: skip


def test_which_of_the_earlier_runs_counts() -> None:
    """Runs 2, 5 and 9 of one pairing; run 5 could not be assessed, and its sheet was printed in run 2 alone."""
    entries = tuple(
        Entry(run=run, pairing_id="P-01", inputs=key, revision=revision)
        for run, key, revision in ((5, "", None), (9, "new", None), (2, "old", 1))
    )
    found = History(entries)
    assert [found.last("p-01", run) for run in (1, 2, 4, 5, 8, 9)] == [
        None,
        entries[2],
        entries[2],
        entries[0],
        entries[0],
        entries[1],
    ]
    assert found.last("P-01", 8, assessed=True) == entries[2] and found.printed("P-01") == entries[2]
    again = (*entries, replace(entries[1], revision=1))  # the same revision stood in run 9 too, on other inputs
    assert History(again).printed("P-01") == again[3]
    assert found.inputs_after(5) == {"p-01": ""} and found.inputs_after(9) == {"p-01": "new"}


@every(
    ("record", "field", "said"),
    [
        ("low", "diaphragm_area_m2", "130 cm2"), ("low", "frame_width_m", "168 mm"), ("high", "rear_chamber_m3", "28 mL"),
        ("cabinet", "net_volume_m3", "11 L"), ("low", "sensitivity_db", "88.6 dB"), ("pairing", "vertical_half_window_rad", "15 deg"),
        ("pairing", "distance_m", "2.5 m"), ("high", "screen", "empty"),
    ],
)  # fmt: skip
def test_a_value_is_told_in_the_unit_of_its_column(record: str, field: str, said: str) -> None:
    case = demo_assessed("P-01").case
    found = replace(getattr(case, record), **({"rear_chamber_m3": 28e-6} if field == "rear_chamber_m3" else {}))
    if field == "sensitivity_db":
        found = replace(found, sensitivity_db=88.6)
    if field == "screen":
        found = replace(found, screen=None)
    assert words.said(found, field) == said


def test_how_many_rows_of_history_are_new() -> None:
    book = Book()
    entries = tuple(Entry(run=run, pairing_id="P-01") for run in (1, 2, 2, 2))
    sheets._write_memory(
        book.create_sheet("History"), book.create_sheet("Inputs"), History(entries), stamp(2), demo().maker
    )
    text = " ".join(str(row[0].value) for row in book["History"].iter_rows(max_row=5) if row[0].value)
    assert "4 rows, 3 of them from run 2 of " in text


def test_how_many_kits_are_planned_moves_no_assessment() -> None:
    """Nor does what the price list alone reads; stock and price are said, for a sheet prints them."""
    case = demo_case("P-01")
    planned = replace(
        case, pairing=replace(case.pairing, kits_planned=99), maker=replace(case.maker, tax=0.07, price_step=5.0)
    )
    assert inputs_of(planned) == inputs_of(case)
    dearer = replace(case, high=replace(case.high, price=31.0, stock=2))
    moved = {key for key, one in inputs_of(dearer).items() if one != inputs_of(case)[key]}
    assert moved == {"high.price", "high.stock"}


def test_exchanged_drivers_are_told_first_and_mere_names_last() -> None:
    before = demo_case("P-01")
    after = demo().case(replace(before.pairing, low_id="LD-02", kit="New", peak_level_db=90.0))
    assert cause(before, after) == (
        "Low driver of P-01: LD-01 -> LD-02; Peak level of P-01: 96 dB -> 90 dB; Kit of P-01: Reedmace -> New"
    )


@every(
    ("figures", "ends"),
    [
        ([2000.0, 3000.0, 2450.0], (1000.0, 4000.0)),
        ([900.0, 9000.0], (500.0, 16000.0)),
        ([1000.0, 4000.0], (500.0, 8000.0)),
        ([50.0, 16000.0], (62.5, 32000.0)),
        ([62.5, 15999.0], (62.5, 16000.0)),
        ([], (500.0, 8000.0)),
    ],
)
def test_the_axis_of_ranges_ends_an_octave_beyond_them(figures: list[float], ends: tuple[float, float]) -> None:
    """Octaves of 1 kHz; what lies on the edge of one has the next beside it, so that a mark is not cut."""
    chart: Any = BarChart()
    _set_axes(chart, figures)
    assert (chart.y_axis.scaling.min, chart.y_axis.scaling.max) == ends
    assert (chart.y_axis.scaling.logBase, chart.y_axis.title is not None) == (2, True)


def test_every_mark_of_a_range_lies_on_its_axis() -> None:
    """A range, limits that cross 1 kHz apart, one open side with its crossover, and a pairing of which nothing is known."""
    page = openpyxl.Workbook().worksheets[0]
    rows = (
        ["ID", *SERIES],
        ["A", 2000, 1000, 0, 2450],
        ["B", 1500, 0, 9000, None],
        ["C", None, None, None, 400],
        ["D", *[None] * 4],
    )
    for row in rows:
        page.append(row)
    assert sorted(rangechart._figures(page, 1, 5, 2)) == [400, 1500, 2000, 2450, 3000, 10500]
    chart: Any = range_chart(page, 1, 5, 2)
    assert (chart.y_axis.scaling.min, chart.y_axis.scaling.max) == (250, 16000)
    assert [one.val.numRef.f for one in (*chart.series, *chart._charts[1].series)] == [
        f"'Sheet'!${letter}$2:${letter}$5" for letter in "BCDE"
    ]
    assert {one.cat.strRef.f for one in chart.series} == {"'Sheet'!$A$2:$A$5"}


def test_the_chart_of_ranges_by_hand() -> None:
    """Columns that float: the lower edge unseen, the range solid on it, a gap striped, and the crossover a mark without a line."""
    page = openpyxl.Workbook().worksheets[0]
    for row in (["ID", *SERIES], ["P-01", 2000.0, 1000.0, 0.0, 2450.0]):
        page.append(row)
    chart: Any = range_chart(page, 1, 2, 2)
    assert (chart.type, chart.grouping, chart.overlap, chart.gapWidth) == ("col", "stacked", 100, 45)
    looks = [one.graphicalProperties for one in chart.series]
    assert [(bool(look.noFill), look.solidFill and look.solidFill.srgbClr) for look in looks] == [
        (True, None), (False, "7C9AB5"), (False, None),
    ]  # fmt: skip
    assert [(bool(look.ln.noFill), look.ln.w, look.ln.solidFill and look.ln.solidFill.srgbClr) for look in looks] == [
        (True, None, None), (False, 9525, "1F2933"), (False, 9525, "8A1C1C"),
    ]  # fmt: skip
    stripes = looks[2].pattFill
    assert (stripes.prst, stripes.fgClr.srgbClr, stripes.bgClr.srgbClr) == ("wdUpDiag", "8A1C1C", "FFFFFF")
    (crossover,) = chart._charts[1].series
    assert (crossover.marker.symbol, crossover.marker.size) == ("diamond", 9)
    assert crossover.marker.graphicalProperties.solidFill.srgbClr == "1F2933"
    assert crossover.graphicalProperties.line.noFill is True and crossover.smooth is False
    assert [(one.idx, one.delete) for one in chart.legend.legendEntry] == [(0, True)]  # the unseen edge alone
    assert (chart.legend.position, chart.visible_cells_only) == ("b", False)
    words = [text.tx.rich.p[0].r[0].t for text in (chart.title, chart.y_axis.title)]
    assert words == ["Usable range and crossover of each pairing", "Hz"]
    y, x = chart.y_axis, chart.x_axis
    assert (y.scaling.logBase, y.majorUnit, y.number_format.formatCode, y.crosses) == (2, 2, "0", "min")
    line = y.majorGridlines.spPr.ln
    assert (line.w, line.solidFill.srgbClr, x.tickLblPos, x.delete, y.delete) == (
        6350,
        "C9D0D6",
        "low",
        False,
        False,
    )


def test_a_long_record_stands_in_cells_that_hold_it() -> None:
    """A cell holds 32 767 characters of UTF-16 (ECMA-376, limits of spreadsheet programs): 16 000 that may count double."""
    parts = list(historysheet._in_parts("\U0001f50a" * 33_000))
    assert [name for name, _ in parts] == ["1 of 3", "2 of 3", "3 of 3"]
    assert all(len(text.encode("utf-16-le")) // 2 <= 32_767 for _, text in parts)
    assert "".join(text for _, text in parts) == "\U0001f50a" * 33_000


# --- what is remembered of a run --------------------------------------------------------------------------------------


def remembered(
    number: int = 1, revision: int | None = 1, before: History | None = None, a: Assessment | None = None
) -> History:
    printed = {} if revision is None else {"P-01": Revised(revision, f"S{revision}")}
    return history.grown(before or History(), [a or demo_assessed("P-01")], [], stamp(number), printed)


def test_an_entry_has_each_end_and_each_word_of_the_decision_in_its_place() -> None:
    a = demo_assessed("P-01")
    assert a.found_range.low_binding is not None and a.found_range.high_binding is not None
    use = replace(
        a.case.pairing, decision="accepted", decided_by="Ada", decided_on=dt.date(2026, 10, 12), reason="Sold well."
    )
    (entry,) = remembered(a=replace(a, case=replace(a.case, pairing=use))).entries
    assert entry.bound_below == a.found_range.low_binding.title != entry.bound_above == a.found_range.high_binding.title
    assert (entry.decision, entry.decided_by, entry.decided_on, entry.decided_why) == (
        "accepted",
        "Ada",
        use.decided_on,
        "Sold well.",
    )
    assert (entry.low_hz, entry.high_hz, entry.crossover_hz) == (
        a.found_range.low_hz,
        a.found_range.high_hz,
        a.crossover_hz,
    )
    assert {name: historysheet.COLUMNS[name].format for name in ("low_hz", "high_hz", "crossover_hz", "price")} == {
        "low_hz": "0", "high_hz": "0", "crossover_hz": "0", "price": "#,##0.00"
    }  # fmt: skip


def test_a_run_after_which_nothing_changed_leaves_no_row_but_a_new_revision_of_a_sheet_does() -> None:
    once = remembered()
    assert remembered(2, before=once) is once and remembered(2, None, before=once) is once
    again = remembered(2, 2, before=once)
    assert [(entry.event, entry.revision) for entry in again.entries] == [("first run", 1), ("sheet", 2)]
    assert again.entries[1].changed == "Its first sheet was printed"
    printed = {"P-01": Revised(2, "S2", "Price of HD-01: 29 -> 31")}
    assert (
        history.grown(once, [demo_assessed("P-01")], [], stamp(2), printed).entries[1].changed == printed["P-01"].line
    )


def test_the_number_of_the_next_run_never_falls() -> None:
    """After run 5 comes 6, or 9 where 9 was to come."""
    assert remembered(5).next_run == 6 and remembered(5, before=History(next_run=9)).next_run == 9


def test_a_result_that_moved_by_itself_is_put_down_to_another_program_alone() -> None:
    once = remembered()
    (entry,) = once.entries
    moved = replace(once, entries=(replace(entry, crossover_hz=1000.0),))
    kinds = [
        [change.kind for change in history.changes(moved, [demo_assessed("P-01")], version)]
        for version in (entry.program_version, "", "99.0")
    ]
    assert kinds == [["result"], ["result"], ["program", "result"]]
    told = history.grown(moved, [demo_assessed("P-01")], [], stamp(2)).entries[1]
    assert (told.event, told.changed) == ("results", "No input")
    assert told.effect == f"Crossover: 1000 Hz -> {entry.crossover_hz:.0f} Hz"
    assert (
        history.grown(moved, [demo_assessed("P-01")], [], stamp(2, "99.0")).entries[1].changed
        == "Program: 1.2.3 -> 99.0"
    )


def test_an_input_that_changed_is_told_also_where_the_program_did() -> None:
    """Louder by 1 dB, with another crossover, another edge of the range and another price, under the old and a new program."""
    once = remembered()
    (entry,) = once.entries
    a = demo_assessed("P-01")
    moved = replace(
        once, entries=(replace(entry, crossover_hz=1000.0, high_hz=9000.0, price=1.5, verdict="undecided"),)
    )
    louder = replace(a, case=replace(a.case, pairing=replace(a.case.pairing, peak_level_db=97.0)))
    assert a.crossover_hz is not None and a.found_range.low_hz is not None and a.found_range.high_hz is not None
    low, high = f"{a.found_range.low_hz:.0f}", f"{a.found_range.high_hz:.0f}"
    for version in (entry.program_version, "99.0"):
        assert [(one.kind, one.text) for one in history.changes(moved, [louder], version)] == [
            ("input", "Peak level of P-01: 96 dB -> 97 dB"), ("verdict", f"Verdict: undecided -> {a.verdict.word}"),
            ("result", f"Range: {low} to 9000 Hz -> {low} to {high} Hz"), ("result", f"Crossover: 1000 Hz -> {a.crossover_hz:.0f} Hz"),
            ("result", f"Price: 1.50 -> {a.price:.2f}"),
        ]  # fmt: skip


def test_a_pairing_that_still_cannot_be_assessed_is_told_once_for_each_reason() -> None:
    once = history.grown(History(), [], [Unassessed("P-01", (), "No Fs.")], stamp(1))
    assert len(once.entries) == 1
    assert history.grown(once, [], [Unassessed("P-01", (), "No Fs.")], stamp(2)) is once
    other = history.grown(once, [], [Unassessed("P-01", (), "No Re.")], stamp(2))
    assert [entry.reason for entry in other.entries] == ["No Fs.", "No Re."]
    was_good = remembered()
    assert history.grown(was_good, [], [Unassessed("P-01", (), "No Fs.")], stamp(2)).entries[-1].effect == (
        f"Verdict: {was_good.entries[0].verdict} -> not assessed"
    )
    lost = history.grown(was_good, [], [Unassessed("P-01", (), "No Fs.")], stamp(2))
    back = history.changes(lost, [demo_assessed("P-01")], "99.0")  # its row was mended: no work of another program
    assert [change.kind for change in back] == ["verdict", "result", "result", "result"]


def test_a_pairing_that_is_taken_off_is_gone_once_and_may_come_back() -> None:
    """Three runs by hand: there, gone (told once), there again with the same inputs; in what small or large letters does not count."""
    there, a = remembered(1), demo_assessed("P-01")
    assert history.grown(there, [], [], stamp(2), here=["p-01", "P-77"]) is there
    assert history.grown(there, [], [], stamp(2)) is there  # nobody says what is in the workbook
    gone = history.grown(there, [], [], stamp(2), here=["P-77"])
    told = gone.entries[-1]
    assert (told.run, told.pairing_id, told.event, told.verdict) == (2, "P-01", "gone", "gone")
    assert told.effect == f"Verdict: {a.verdict.word} -> gone" and not told.inputs
    assert history.grown(gone, [], [], stamp(3), here=["P-77"]) is gone
    assert not history.recomputable(gone, 2) and set(history.recomputable(gone, 1)) == {"p-01"}
    back = history.grown(gone, [a], [], stamp(3), here=["P-01"])
    assert back.entries[-1].effect.startswith(f"Verdict: gone -> {a.verdict.word}")
    key = there.entries[0].inputs
    assert _last_other(gone, {}) == 1  # after run 2 all is as it is now: nothing there
    assert _last_other(back, {"P-01": key}) == 2


def test_a_run_that_never_was_cannot_be_worked_out_again() -> None:
    """Nor can one before the first row: History was deleted or renamed since, and then nothing is known of it."""
    once = remembered(5)
    assert set(history.recomputable(once, 5)) == {"p-01"}
    for number in (0, 4, 6):
        with pytest.raises(
            history.NotInHistory, match=rf"\ARun {number} is not in History; the runs that are: 5 to 5\.\Z"
        ):
            history.recomputable(once, number)


def test_a_curve_that_went_with_its_driver_is_no_change_of_its_own() -> None:
    """LD-02 in place of LD-01: the woofer says it; that of HD-01, which stays, is said, and so is LD-01's where it stays."""
    before = demo_case("P-01")
    after = replace(before, pairing=replace(before.pairing, low_id="LD-02"))
    told = [
        differences._explained(f"curves.{name}.response", True, before, later)
        for name, later in (("LD-01", after), ("LD-02", after), ("HD-01", after), ("LD-01", before))
    ]
    assert told == [True, True, False, False]


# --- tables of the desk -----------------------------------------------------------------------------------------------


def test_a_table_of_the_desk_states_units_and_shows_what_is_not_known() -> None:
    """Hz without decimals, yen without sen; a dash stands for a missing number and not for 0, nothing for missing words."""
    kinds: Any = ("id", "text", "words", "count", "money", "hz", "verdict")
    listing = Listing(
        "Some",
        tuple(Field(kind.title(), kind) for kind in kinds),
        (("A", "b", "c", 2, 1200.0, 1234.5, "suitable"), ("B", *[None] * 6), ("B", None, None, 0, 0.0, 0.0, None)),
    )
    unseen = replace(listing, title="Hidden", on_sheet=False, tab="hidden")
    yen = replace(demo().maker, currency="JPY")
    book = listing_sheets(Report("T", "Two.", (listing, unseen)), "Supply", stamp(7), yen)
    found = openpyxl.load_workbook(BytesIO(book.bytes()))
    assert found.sheetnames == ["Supply 007"]
    rows = [list(row) for row in found["Supply 007"].iter_rows() if row[0].value in ("Id", "A", "B")]
    assert [[cell.value for cell in row] for row in rows] == [
        ["Id", "Text", "Words", "Count", "Money (JPY)", "Hz (Hz)", "Verdict"], ["A", "b", "c", 2, 1200, 1234.5, SIGNS["suitable"]],
        ["B", None, None, NONE, NONE, NONE, None], ["B", None, None, 0, 0, 0, None],
    ]  # fmt: skip
    assert [cell.number_format for cell in rows[1]][3:6] == ["General;-General", "#,##0", "0"]


def test_the_days_of_dates_move_but_not_times_of_a_day() -> None:
    """Books that count from 1904 are 1462 days behind; 0.5 is noon and no day (ECMA-376 part 1, 18.17.4)."""
    cells = longtables.row_text([("day", dt.datetime(2026, 1, 1, 12)), ("day", 0.5)], 15.0)
    (row,) = longtables.Stretch(3, [zlib.compress(cells.encode())], {"day": 4}).text(later=lambda _: -1462)
    assert b"<v>44561.5</v>" in row or b"<v>44561.5<" in row
    assert b"<v>0.5<" in row  # 46 023.5 - 1462 = 44 561.5


def test_the_entry_of_a_pairing_that_could_not_be_assessed_or_is_gone() -> None:
    """Kit and season are those of its last row; without one it has none, and nothing is said of what it was."""
    last = Entry(
        run=3,
        pairing_id="P-01",
        kit="Reed",
        season="Spring",
        verdict="suitable",
        decision="accepted",
        inputs="k",
        price=9.0,
    )
    common = {
        "run": 7,
        "when": stamp(7).started,
        "pairing_id": "P-01",
        "operator": "M. Quill",
        "program_version": "1.2.3",
        "workbook": "season.xlsx",
    }
    gap = {
        "event": "not assessed",
        "changed": "It could not be assessed",
        "verdict": "not assessed",
        "reason": "No Fs.",
    }
    one = Unassessed("P-01", (), "No Fs.")
    assert history._gap(one, last, stamp(7)) == Entry(
        **common, **gap, kit="Reed", season="Spring", effect="Verdict: suitable -> not assessed"
    )
    assert history._gap(one, None, stamp(7)) == Entry(**common, **gap)
    again = replace(last, verdict="not assessed")
    assert history._gap(one, again, stamp(7)) == Entry(**common, **gap, kit="Reed", season="Spring")
    assert history._parting(last, stamp(7)) == Entry(
        **common, kit="Reed", season="Spring", event="gone", changed="Its row is no longer in the workbook", verdict="gone",
        effect="Verdict: suitable -> gone",
    )  # fmt: skip


def test_what_came_of_a_first_run_is_not_held_against_anything() -> None:
    once = remembered()
    assert (once.entries[0].event, once.entries[0].changed, once.entries[0].effect) == (
        "first run",
        "First run of this pairing",
        "",
    )
    again = remembered(2, 2, before=once)
    assert again.entries[1].effect == "None on verdict, range, crossover and price"


def test_a_pairing_is_there_in_any_letters() -> None:
    there = remembered(1)
    for here in (["P-01"], ["p-01"], ["X", "P-01"]):
        assert history.grown(there, [], [], stamp(2), here=here) is there
    assert [entry.verdict for entry in history.grown(there, [], [], stamp(2), here=["P-1"]).entries][1:] == ["gone"]


def test_what_has_the_same_inputs_is_not_worked_out_again() -> None:
    once = remembered()
    key = once.entries[0].inputs
    assert (
        set(history.recomputable(once, 1))
        == set(history.recomputable(once, 1, {"p-01": "other", "P-01": key}))
        == {"p-01"}
    )
    assert history.recomputable(once, 1, {"p-01": key}) == {}


def test_rows_that_are_none_stand_below_the_table_with_a_row_between() -> None:
    """Two entries and two loose rows of own columns: head in row 4, entries in 5 and 6, the others in 8 and 9."""
    entries = (
        Entry(run=1, pairing_id="P-01", own={"More": "b"}),
        Entry(run=2, pairing_id="P-01", own={"Mine": "a"}, remarks={"Mine": "seen"}),
    )
    found = History(
        entries, own_heads=("Mine", "More"), hidden=frozenset({"Kit"}), loose=({"Mine": "loose"}, {"Run": 9})
    )
    book = Book()
    historysheet.write_history(book.create_sheet("History"), found, "History", ["A line"], "footer", "A4")
    page = openpyxl.load_workbook(BytesIO(book.bytes()))["History"]
    head = {cell.value: cell.column for cell in page[4]}
    assert list(head)[-2:] == ["Mine", "More"]
    seen = [[page.cell(row, head[name]).value for name in ("Run", "Mine", "More")] for row in range(5, 10)]
    assert seen == [[1, None, "b"], [2, "a", None], [None] * 3, [None, "loose", None], [9, None, None]]
    assert next(iter(page.tables.values())).ref.endswith("6") and page.cell(6, head["Mine"]).comment.text == "seen"
    letters = {name: page.cell(4, column).column_letter for name, column in head.items()}
    assert [name for name, letter in letters.items() if page.column_dimensions[letter].hidden] == ["Kit"]


@pytest.mark.parametrize(
    ("maker", "asked", "code"), [("A4", "", 9), ("Letter", "", 1), ("A4", "Letter", 1), ("Letter", "A4", 9)]
)
def test_the_paper_that_was_asked_for_goes_before_that_of_the_maker(maker: str, asked: str, code: int) -> None:
    a = demo_assessed("P-01")
    one = replace(outline(a), case=replace(a.case, maker=replace(a.case.maker, paper=maker)))
    book = sheets.result_sheets([(one, sheets.packed_rows(a))], [], stamp(1), {}, History(), paper=asked)
    assert {page.page_setup.paperSize for page in book.worksheets} == {code}


def test_rows_of_another_pairing_or_another_table_are_refused() -> None:
    a = demo_assessed("P-01")
    rows, one = sheets.packed_rows(a), outline(a)
    pieces = [rows.checks, rows.parts, rows.totals, rows.steps]
    assert sheets.rows_of_file(pieces, one) == rows
    twice = longtables.packed([zlib.decompress(rows.totals).decode() * 2])[0]
    wrong = [
        ([rows.checks, rows.parts, twice, rows.steps], one), ([rows.parts, *pieces[1:]], one), ([rows.checks, rows.checks, *pieces[2:]], one),
        ([rows.checks, rows.parts, rows.parts, rows.steps], one), ([*pieces[:3], rows.totals], one),
        (pieces, replace(one, check_count=one.check_count + 1)),
    ]  # fmt: skip
    for given, of in wrong:
        with pytest.raises(NotDecodable, match=r"\Aother rows stand where those of a pairing are expected\Z"):
            sheets.rows_of_file(given, of)


@every(
    ("words", "line"),
    [
        ([], "0 pairings"), (["suitable"], "1 pairing   ✓ suitable: 1"), (["suitable"] * 2, "2 pairings   ✓ suitable: 2"),
        (["undecided", "not assessed", "suitable", "undecided"], "4 pairings   ✓ suitable: 1   ? undecided: 2   ? not assessed: 1"),
    ],
)  # fmt: skip
def test_how_many_pairings_came_to_what(words: list[str], line: str) -> None:
    assert summary._count_line(words) == line


def test_the_chart_of_a_summary_begins_a_page_of_its_own() -> None:
    """Head in row 5, one pairing in 6, one that could not be assessed in 7: a break after row 8, the chart from 10, 28 rows printed."""
    a = demo_assessed("P-01")
    book = sheets.result_sheets(
        [(outline(a), sheets.packed_rows(a))], [Unassessed("P-02", (), "No Fs.")], stamp(1), {}, History()
    )
    page = openpyxl.load_workbook(BytesIO(book.bytes()))["Run 001 summary"]
    assert next(iter(page.tables.values())).ref.startswith("A5:") and next(iter(page.tables.values())).ref.endswith("7")
    assert [one.id for one in page.row_breaks.brk] == [8]
    assert (page._charts[0].anchor._from.col, page._charts[0].anchor._from.row) == (0, 9)
    assert page.print_area.endswith("35")


def test_inputs_that_are_the_same_in_other_words_are_a_change_that_says_so() -> None:
    """A rule in Hz in place of dB is the same figure and another text: worth a row, for it is stored anew; per cent are another figure."""
    once, a = remembered(), demo_assessed("P-01")
    name, rule = next((name, one) for name, one in a.case.practice.rules.items() if one.unit == "dB")
    other = replace(a.case.practice, rules={**a.case.practice.rules, name: replace(rule, unit="%")})
    same = replace(other, rules={**other.rules, name: replace(rule, unit="Hz")})
    (change,) = history.changes(once, [replace(a, case=replace(a.case, practice=same))])
    assert (change.kind, change.what, change.before) == ("input", "Inputs", once.entries[0].inputs)
    assert change.after.endswith(": the same values in other words") and not change.after.startswith(change.before)
    (percent,) = history.changes(once, [replace(a, case=replace(a.case, practice=other))])
    assert percent.text == f"{name} (Practice): {rule.value:.6g} dB -> {rule.value:.6g} %"


@every(
    ("kind", "head"),
    [
        ("id", Head("X", 14, "@", strong=True)), ("text", Head("X", 18, wrap=True)), ("words", Head("X", 34, wrap=True)),
        ("count", Head("X", 10, "General;-General", centred=True)), ("money", Head("X (EUR)", 11, "#,##0.00")), ("hz", Head("X (Hz)", 10, "0")),
        ("verdict", Head("X", 18, wrap=True, marked=True)),
    ],
)  # fmt: skip
def test_a_column_of_the_desk_looks_as_its_kind(kind: Any, head: Head) -> None:
    assert _head(Field("X", kind), "EUR") == head


def test_the_widest_table_of_the_desk_goes_on_one_page() -> None:
    fields = price_listing([], demo().maker).fields
    assert sum(_head(field, "EUR").width for field in fields) <= _PAGE_WIDTH


@every(("rows", "width"), [(1, 26.0), (11, 26.0), (12, 27.2), (20, 40.0), (22, 43.2), (23, 44.0), (90, 44.0)])
def test_the_chart_grows_with_its_ranges_up_to_a_page(rows: int, width: float) -> None:
    """8 cm and 1.6 a range, from 26 to 44 cm."""
    page = openpyxl.Workbook().worksheets[0]
    page.append(["ID", *SERIES])
    chart: Any = range_chart(page, 1, 1 + rows, 2)
    assert (chart.width, chart.height) == (pytest.approx(width), 13.0)


def test_a_first_run_makes_its_memory_also_where_nothing_came_of_it() -> None:
    tabs = ["Run 001 summary", "Run 001 checks", "Run 001 parts"]
    empty = sheets.result_sheets([], [], stamp(1), {}, History())
    assert empty.sheetnames == [*tabs, "History", "History inputs"]
    a, once = demo_assessed("P-01"), remembered()
    same = sheets.result_sheets([(outline(a), sheets.packed_rows(a))], [], stamp(1), {}, once)
    assert same.sheetnames == tabs  # the sheets that stand say all there is to say


@every(
    ("tab", "number"),
    [
        ("Run 001 summary", 1), ("run 12 CHECKS", 12), (" Run  999 parts ", 999), ("Run 1000 summary", 1000), ("Run 12345 parts", 12345),
        ("Run 001", None), ("Run 001 summary (2)", None), ("My Run 001 summary", None), ("Run x parts", None), ("Runs 1 parts", None),
    ],
)  # fmt: skip
def test_which_run_a_tab_tells_of(tab: str, number: int | None) -> None:
    assert run_of_tab(tab) == number
    assert sheets.next_run_number([tab, "Run 001 parts"]) == max(number or 0, 1) + 1


def test_no_number_format_leaves_a_point_behind_a_whole_number() -> None:
    """`0.#` of 4 is shown as `4.` by one of the common spreadsheet programs (from memory): a digit after the point is needed, or General."""
    heads = [*summary.heads("EUR"), *sheets._part_heads("EUR"), *sheets._total_heads("EUR"), *sheets._CHECK_HEADS]
    formats = {head.format for head in heads} | set(sheets._FORMATS)
    assert len(formats) > 6 and not [one for one in formats if re.search(r"\.(?![0?])", one)]


# --- looks of columns -------------------------------------------------------------------------------------------------

LOOKS = {
    "name": Head("", 0, "@", strong=True),
    "code": Head("", 0, "@"),
    "code of a kit": Head("", 0, "@", wrap=True),
    "words": Head("", 0, wrap=True),
    "words by which a row is found": Head("", 0, wrap=True, strong=True),
    "heading of a row": Head("", 0, strong=True),
    "text of the program": Head("", 0),
    "sign": Head("", 0, wrap=True, marked=True),
    "short word": Head("", 0, centred=True),
    "count": Head("", 0, "0", centred=True),
    "moment": Head("", 0, "yyyy-mm-dd hh:mm", centred=True),
    "day": Head("", 0, "yyyy-mm-dd", centred=True),
    "whole": Head("", 0, "0"),
    "tenths": Head("", 0, "0.0"),
    "hundredths": Head("", 0, "0.00"),
    "money": Head("", 0, "#,##0.00"),
    "sum of money": Head("", 0, "#,##0.00", strong=True),
    "share": Head("", 0, "0%"),
    "as long as it is": Head("", 0, "General;-General"),
    "for the chart": Head("", 0, "0", hidden=True),
}
"""What a column holds -> how it looks. Figures stand right with the decimals that their unit deserves, codes are text, what may be
long takes several lines, what is short stands in the middle, and what names a row is bold."""

CHART = {"for the chart": "Lower edge, Usable range, No range: limits cross, Crossover"}
PIVOT = "Season, Low driver, High driver, Kind of high driver"
TABLES: dict[str, tuple[Sequence[Head], dict[str, str]]] = {
    "gathered": (history._GATHERED, {
        "words by which a row is found": "Workbook", "count": "Rows, Pairings, Runs", "moment": "First, Last", "words": "Remark",
    }),
    "checks": (sheets._CHECK_HEADS, {
        "name": "Pairing", "words": "Kit, Check, What it says, Condition to keep, Missing, Source", "sign": "Outcome",
        "hundredths": "Value, Limit, Margin", "short word": "Unit, Margin unit, Essential", "code": PIVOT,
    }),
    "parts": (sheets._part_heads("EUR"), {
        "name": "Pairing", "words": "Kit, Part, What for, Made of, Stock ID", "short word": "Branch, Mark, Unit, Rating unit",
        "as long as it is": "Value, Buy for at least", "hundredths": "Wire ohm, Rms (A), Heat (W)", "tenths": "Peak (V)", "sign": "Rating",
        "count": "Count", "money": "Each (EUR), Price (EUR)", "code": PIVOT,
    }),
    "totals": (sheets._total_heads("EUR"), {
        "name": "Pairing", "words": "Kit", "count": "Parts, Without price", "money": "Priced parts (EUR), Drivers and guide (EUR)",
        "sum of money": "All (EUR)",
    }),
    "summary": (summary.heads("EUR"), {
        "name": "ID", "words": "Kit, Season, First reason, Bound from below by, Bound from above by, Sheet", "sign": "Verdict",
        "whole": "Range from (Hz), Range to (Hz), Crossover (Hz), Low count, High count, Tuning (Hz), Corner (Hz), Effective from (Hz), "
        "Effective to (Hz), Lowest ohm at (Hz), Amplifier from (W), Pieces",
        "tenths": "Lowest ohm, Sum off by (dB), Net volume (L), Sensitivity (dB), Bass off by (dB), Treble off by (dB), "
        "Third octaves off by (dB), Highest level (dB)",
        "hundredths": "Width (octave)", "short word": "Crossover is", "share": "Good builds", "code": "Inputs",
        "money": "Price of one (EUR), Network (EUR), Kit (EUR)", "as long as it is": "Rated ohm, Amplifier to (W)",
        "code of a kit": "Low driver, High driver, Kind of high driver, Waveguide, Cabinet, Kind of cabinet, Arrangement, Slope, "
        "Surroundings, Decision, Highest level ended by",
        **CHART,
    }),
    "History": ([*historysheet.COLUMNS.values()], {
        "count": "Run, Revision", "moment": "Date", "name": "Pairing", "sign": "Verdict", "money": "Price", "day": "Decided on",
        "words": "Kit, Season, Event, What changed, Effect, First reason, Bound from below by, Bound from above by, Decided by, Why, Run by, "
        "Workbook",
        "whole": "Range from (Hz), Range to (Hz), Crossover (Hz)", "short word": "Currency, Decision, Program", "code": "Inputs, Sheet",
    }),
    "History inputs": (historysheet._INPUT_COLUMNS, {
        "code": "Key", "short word": "Part", "text of the program": "What, Values (JSON; SI units)", "count": "Since run",
        "words by which a row is found": "Whose", "words": "In words",
    }),
    "ranked list": (desksheets._ranked_heads("EUR"), {
        "count": "Rank", "name": "Low driver, High driver", "short word": "Guide, Slope, On the shelf", "sign": "Verdict of the limits",
        "words": "Kind, Rear, Bound from below by, Bound from above by, What it takes; or what stands in the way",
        "whole": "Range from (Hz), Range to (Hz), Crossover (Hz)", "hundredths": "Width (octave)", "money": "Price of one (EUR)",
    }),
    "comparison": (desksheets._compared_heads(Comparison((), (), (), (), (), (), "EUR")), {
        "name": "Pairing", "words": "Kit, Bound from below by, Bound from above by, First reason", "sign": "Verdict",
        "whole": "Range from (Hz), Range to (Hz), Crossover (Hz)", "hundredths": "Width (octave)", "money": "Price of one (EUR)", **CHART,
    }),
    "figures of a comparison": (desksheets._figure_heads(["P-01", "P-02"]), {
        "heading of a row": "Figure", "short word": "Unit, They differ", "code of a kit": "P-01, P-02",
    }),
}  # fmt: skip


@every("name", TABLES)
def test_every_column_looks_as_what_stands_in_it(name: str) -> None:
    heads, holds = TABLES[name]
    asked = {
        text.replace(";", ","): (look.format, look.wrap, look.centred, look.strong, look.marked, look.hidden)
        for what, texts in holds.items()
        for text in texts.split(", ")
        for look in (LOOKS[what],)
    }
    found = {head.text: (head.format, head.wrap, head.centred, head.strong, head.marked, head.hidden) for head in heads}
    assert found == asked and len(found) == len(heads)


def test_what_is_printed_of_a_table_is_no_wider_than_two_pages_in_letters_that_still_read() -> None:
    """215 letters on a page: History takes two, all others one; what is there to pivot by stays on the screen."""
    widths = {name: sum(head.width for head in heads if not head.hidden) for name, (heads, _) in TABLES.items()}
    printed = summary.heads("EUR")[: [head.text for head in summary.heads("EUR")].index("Sheet") + 1]
    widths["summary"] = sum(head.width for head in printed)
    for name in ("checks", "parts"):
        widths[name] -= sum(head.width for head in TABLES[name][0][-4:])
    widths["History inputs"] -= TABLES["History inputs"][0][-1].width
    assert {name for name, width in widths.items() if width > 215} == {"History"}, widths
    assert all(width <= 430 for width in widths.values())
