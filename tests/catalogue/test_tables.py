"""What holds of every column, every check between rows and every row of a table: each rule typed beside its reason, and not from the program."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from contextlib import nullcontext
from dataclasses import replace
from functools import cache
from io import BytesIO
from itertools import combinations, combinations_with_replacement, product
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast, get_type_hints

import numpy as np
import pytest
from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.workbook.protection import WorkbookProtection

from reportgen.catalogue import blank, democurves, grids, package, relations
from reportgen.catalogue.cells import OTHER_WORDS, CellUnusableError, implausible, read_cell, shown
from reportgen.catalogue.columns import RESPONSE_PHASES, SHEETS, UNITS, Column, Kind, equal_rows, sheet
from reportgen.catalogue.curves import _text, read_curve
from reportgen.catalogue.demo import demo_tables
from reportgen.catalogue.demonext import next_season_tables
from reportgen.catalogue.grids import Covered, ErrorValue, Grid, Percentage, read_grids
from reportgen.catalogue.overrides import overridden, parsed
from reportgen.catalogue.package import Package
from reportgen.catalogue.plausible import _gap, _peak, problems_of_curve
from reportgen.catalogue.reading import _choose_sheets
from reportgen.catalogue.records import MeasuredCurve, Origin, Practice, Rule, StockPart, places_noted
from reportgen.catalogue.reference import columns_reference
from reportgen.catalogue.shipped import add_technologies, notice_worth, practice_of
from reportgen.catalogue.tables import RECORDS, Table, _row_ranges
from reportgen.catalogue.trade import PRACTICE_ROWS, TECHNOLOGY_ROWS
from reportgen.problems import CannotAssess, PackageRefused, ReportgenError
from tests.demo_catalogue import demo
from tests.every import every

COLUMNS = [column for one in SHEETS for column in one.columns]


def takes(column: Column, value: float) -> bool:
    try:
        read_cell(column, value, column.unit)
    except CellUnusableError:
        return False
    return True


# --- columns ----------------------------------------------------------------------------------------------------------

MAY_BE_NEGATIVE = {"sensitivity_db", "given_sensitivity_db", "peak_level_db", "centre_depth_m", "offset_m", "tilt_rad", "value"}  # fmt: skip
"""Levels are ratios, a centre lies before or behind the baffle, to the left or right; a baffle leans either way; a level of the programme
stands as a rule's value. The value of a part is no less than nothing: see below."""
MAY_BE_NOTHING = {"price", "stock", "kits_planned", "le_h", "given_le_h", "resistance_ohm", "tolerance", "stand_height_m", "shelf_db", "tax", "centre_spacing_m"}  # fmt: skip
"""A thing may cost nothing and be out of stock, a foil has no inductance, a cabinet stands on the floor, bass may be as loud as the rest, and
one driver may stand in the middle of the other."""
COUNTS = {
    "stock": (0, None), "kits_planned": (0, None), "low_count": (1, 16), "high_count": (1, 32), "most_parts": (2, 30), "rating_order": (1, 8),
    "lowest_use_order": (1, 8),
}  # fmt: skip
"""Least and most: a loudspeaker has one driver of each side or more, a filter is of first order or more, two branches take two parts."""
MOST = {
    "le_exponent": 1, "horizontal_coverage_rad": 180, "vertical_coverage_rad": 180, "horizontal_half_window_rad": 90, "vertical_half_window_rad": 90,
    "tilt_rad": 45, "shelf_db": 6, "tolerance": 50, "tax": 100,
}  # fmt: skip
"""A coil's impedance rises no faster than with frequency (Leach 2002), a full angle ends at a plane, a half one at a right angle."""


@every("name", [one.name for one in SHEETS])
def test_what_may_be_nothing_and_what_may_be_negative(name: str) -> None:
    for column in sheet(name).columns:
        if column.kind in (Kind.NUMBER, Kind.NUMBERS):
            negative = column.field in MAY_BE_NEGATIVE and (name, column.field) != ("Parts", "value")
            assert takes(column, -1.0) is negative, column.heading
            assert takes(column, 0.0) is (negative or column.field in MAY_BE_NOTHING), column.heading
            assert takes(column, 0.01), column.heading
            most = MOST.get(column.field)
            assert takes(column, 1000.0) is (most is None), column.heading
            assert most is None or (takes(column, most) and not takes(column, 1.01 * most)), column.heading


def test_counts_from_their_least_to_their_most() -> None:
    counted = [column for column in COLUMNS if column.kind is Kind.COUNT]
    assert {column.field for column in counted} == COUNTS.keys()
    for column in counted:
        least, most = COUNTS[column.field]
        assert (takes(column, least - 1), takes(column, least)) == (False, True), column.heading
        assert takes(column, 1000) if most is None else takes(column, most) and not takes(column, most + 1), (
            column.heading
        )


OF_BOTH = {
    "nominal_impedance_ohm": (2, 16), "centre_depth_m": (-15, 200), "measured_at_m": (0.2, 4), "measuring_voltage_v": (0.5, 28),
    "thermal_resistance_k_w": (0.5, 20), "high_from_top_m": (40, 1500), "crossover_hz": (150, 10000), "centre_spacing_m": (50, 1200),
    "distance_m": (0.5, 15), "ear_height_m": (0.8, 1.9), "peak_level_db": (78, 122), "amplifier_power_w": (5, 1500),
}  # fmt: skip
WOOFERS = {
    "re_ohm": (1, 16), "le_h": (0.02, 5), "fs_hz": (16, 250), "qms": (0.8, 15), "qes": (0.15, 2), "sensitivity_db": (75, 104), "breakup_hz": (600, 12000),
    "peak_travel_m": (0.6, 35), "rated_power_w": (5, 2000),
}  # fmt: skip
EXTREMES: Mapping[str, Mapping[str, tuple[float, float]]] = {
    "Low drivers": WOOFERS | {
        "le_exponent": (0.5, 1.0), "vas_m3": (0.5, 600), "diaphragm_area_m2": (12, 1700), "moving_mass_kg": (1, 450), "force_factor_t_m": (1.5, 35),
        "highest_use_hz": (80, 10000), "frame_width_m": (50, 550), "frame_height_m": (50, 550), "cutout_m": (40, 520),
    },
    "High drivers": {
        "re_ohm": (0.02, 16), "le_h": (0, 0.5), "fs_hz": (120, 3000), "qms": (0.3, 10), "qes": (0.3, 10), "vas_m3": (0.5, 2000),
        "radiating_width_m": (5, 130), "radiating_height_m": (5, 2000), "diaphragm_area_m2": (1, 600), "peak_travel_m": (0.03, 5),
        "sensitivity_db": (80, 115), "rated_power_w": (2, 500), "rating_highpass_hz": (300, 8000), "lowest_use_hz": (500, 8000),
        "diaphragm_resonance_hz": (3000, 50000), "rear_chamber_m3": (1, 2000), "faceplate_width_m": (25, 400), "faceplate_height_m": (25, 2200),
        "cutout_width_m": (20, 350), "cutout_height_m": (20, 2200),
    },
    "Waveguides": {
        "mouth_width_m": (60, 900), "mouth_height_m": (60, 1500), "horizontal_coverage_rad": (40, 140), "vertical_coverage_rad": (10, 140),
        "depth_m": (5, 500), "faceplate_width_m": (60, 950), "faceplate_height_m": (60, 1550), "throat_m": (19, 60),
    },
    "Cabinets": {
        "baffle_width_m": (100, 1000), "baffle_height_m": (150, 2000), "depth_m": (25, 900), "net_volume_m3": (0.8, 500), "tuning_hz": (18, 120),
        "offset_m": (-400, 400), "stand_height_m": (0, 1500),
    },
    "Enquiries": {f"given_{name}": ends for name, ends in WOOFERS.items() if name not in ("qms", "qes")} | {
        "given_area_m2": (12, 1700), "given_net_volume_m3": (0.8, 500), "given_baffle_width_m": (100, 1000), "given_baffle_height_m": (150, 2000),
    },
    "Technologies": {
        "bare_floor_hz": (500, 5000), "guided_floor_hz": (500, 5000), "large_floor_hz": (500, 5000), "large_from_m": (15, 600), "large_resonance_hz": (100, 3000),
    },
}  # fmt: skip
"""Least and most that there is of a thing, in the unit of its heading, from a driver of two inches to one of 21 and from a foil of two hundredths of
an ohm to a line of two metres (common practice, no source)."""


@every("name", [one.name for one in SHEETS])
def test_all_that_there_is_counts_as_usual_and_a_slip_of_a_thousand_does_not(name: str) -> None:
    known = EXTREMES.get(name, {})
    usual = [column for column in sheet(name).columns if column.plausible is not None]
    assert known.keys() <= {column.field for column in usual}
    for column in usual:
        least, most = known.get(column.field) or OF_BOTH[column.field]
        level = column.unit.startswith("dB")
        slips = [most + 100.0 if level else most * 1e3]
        if least < 0.0 or (least > 0.0 and not column.field.endswith("le_h")):
            slips.append(least - 100.0 if level else least * (1e3 if least < 0.0 else 1e-3))
        told = [bool(implausible(column, value * UNITS[column.unit], column.unit)) for value in (least, most, *slips)]
        assert told == [False, False, *[True] * len(slips)], column.heading


SMALL_AIR = {("High drivers", "vas_m3"), ("High drivers", "rear_chamber_m3"), ("High drivers", "other_chambers_m3"), ("Pairings", "chamber_m3")}  # fmt: skip
IN_METRES = {"distance_m", "ear_height_m", "measured_at_m"}
"""The air behind a dome is told in millilitres and that behind a cone in litres; ways through a room in metres and what is sawn in millimetres."""
HOLDS = {
    Kind.ID: str, Kind.TEXT: str, Kind.CHOICE: str, Kind.REFERENCE: str, Kind.FILE: str, Kind.NUMBER: float, Kind.COUNT: int, Kind.YES_NO: bool,
    Kind.DATE: dt.date, Kind.NAMES: tuple[str, ...], Kind.NUMBERS: tuple[float, ...],
}  # fmt: skip


@every("name", [one.name for one in SHEETS])
def test_each_column_has_the_unit_and_the_kind_of_what_it_fills(name: str) -> None:
    types = get_type_hints(RECORDS[name])
    for column in sheet(name).columns:
        kind, where = HOLDS[column.kind], (name, column.field)
        assert types[column.field] in (kind, kind | None), column.heading
        if column.field.endswith("_m3"):
            assert column.unit == ("mL" if where in SMALL_AIR else "L"), column.heading
        elif column.field.endswith("_m") and not column.field.endswith("_t_m"):
            assert column.unit == ("m" if column.field in IN_METRES else "mm"), column.heading


@every(
    ("rows", "told"),
    [((3,), "row 3"), ((3, 4), "rows 3-4"), ((3, 5), "rows 3, 5"), ((2, 3, 5, 7, 8, 9, 12), "rows 2-3, 5, 7-9, 12"),
     (tuple(range(2, 26, 2)), "rows 2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24"), (tuple(range(2, 28, 2)), "rows 2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, ...")],
)  # fmt: skip
def test_rows_in_a_row_are_told_by_their_ends_and_no_more_than_a_dozen(rows: tuple[int, ...], told: str) -> None:
    assert _row_ranges(rows) == told


def accepted(column: Column, value: float) -> bool:
    """Whether a spreadsheet program lets the figure stand while it is typed (ECMA-376 part 1, 18.18.20 and 18.18.21; memory)."""
    check = blank._number_validation(column)
    least, most = float(check.formula1), float(check.formula2 or "inf")
    if check.type == "whole" and value % 1.0:
        return False
    if check.operator == "between":
        return least <= value <= most
    return value > least if check.operator == "greaterThan" else value >= least


def test_what_is_read_may_be_typed_and_what_may_be_typed_is_read_up_to_its_most() -> None:
    for column in (one for one in COLUMNS if one.kind in (Kind.NUMBER, Kind.COUNT)):
        for value in (-1000.0, -30.0, -1.0, 0.0, 0.3, 1.0, 2.0, 6.0, 8.0, 16.0, 30.0, 45.0, 90.0, 180.0, 1000.0):
            read, typed = takes(column, value), accepted(column, value)
            assert typed or not read, (column.heading, value)
            assert read or not typed or value > (column.at_most or value), (column.heading, value)


@every(
    ("field", "wrapped"), [("id", False), ("description", True), ("notes", True), ("fs_hz", False), ("price", False)]
)
def test_only_columns_of_sentences_run_over_several_lines(field: str, wrapped: bool) -> None:
    page = Workbook().active
    assert page is not None
    blank._dress(page.cell(2, 1), sheet("Low drivers").column(field), shown_only=False)
    assert bool(page.cell(2, 1).alignment.wrap_text) is wrapped


def test_the_reference_says_of_every_column_what_an_empty_cell_means() -> None:
    lines = iter(
        line
        for line in columns_reference().splitlines()
        if line.startswith("| ") and "---" not in line and "| Heading |" not in line
    )
    for one in SHEETS:
        for column, line in zip(one.columns, lines, strict=False):
            heading, _, empty, help_ = (part.strip() for part in line.strip("|").split(" | "))
            default = f"{column.default:g}" if isinstance(column.default, int | float) else column.default
            wanted = (
                "not allowed"
                if column.required
                else f"{default} {column.unit}".strip()
                if default
                else "unknown or none"
            )
            assert (heading.strip("\\* "), empty, help_) == (column.heading, wanted, column.help)
    assert next(lines, None) is None


def test_every_part_of_the_sheet_is_known_whatever_is_left_of_it() -> None:
    part = demo().parts["KC-4u7"]
    parts = {f"C{count}": replace(part, id=f"C{count}", stock=count) for count in (None, 0, 7)}
    assert [one.id for one in replace(demo(), parts=parts).stock] == ["CNone", "C0", "C7"]


def test_nothing_of_the_demo_is_doubted() -> None:
    """Its files were made by the figures of its rows: levels, resonances and peaks are those of the cells."""
    assert [str(one) for one in demo().problems] == []


def test_how_many_drivers_make_equal_rows() -> None:
    """Two rows or more of two or more: the numbers that are no primes."""
    assert [count for count in range(1, 26) if equal_rows(count)] == [
        4,
        6,
        8,
        9,
        10,
        12,
        14,
        15,
        16,
        18,
        20,
        21,
        22,
        24,
        25,
    ]


@every(
    ("value", "text"),
    [(True, "yes"), (False, "no"), (12.0, "12"), (0.5, "0.5"), (Percentage(0.05), "0.05"), (7, "7"), (1e16, "1e+16"), (" a\u00a0b ", "a b"),
     (dt.datetime(2027, 3, 1), "2027-03-01"), (dt.datetime(2027, 3, 1, 9, 30), "2027-03-01 09:30:00"), (dt.date(2027, 3, 1), "2027-03-01")],
)  # fmt: skip
def test_what_a_spreadsheet_program_stores_for_a_text_is_read_as_it_shows(value: Any, text: str) -> None:
    for field in ("description", "notes", "response_file"):
        assert read_cell(sheet("Low drivers").column(field), value, "") == text


@every(
    ("value", "told"),
    [(dt.datetime(2027, 3, 1), "2027-03-01"), (dt.datetime(2027, 3, 1, 9, 30), "2027-03-01 09:30:00"), (dt.time(9, 30), "09:30:00"), (True, "True"),
     (0.1 + 0.2, "0.3"), (12.0, "12"), (Percentage(0.055), "5.5 %"), (ErrorValue("#REF!"), "#REF!"), ("a\nb", "“a b”"), ("x" * 40, f"“{'x' * 40}”"),
     ("x" * 41, f"“{'x' * 40}…”"), (10**60, f"1{'0' * 39}")],
)  # fmt: skip
def test_what_stands_in_a_cell_is_quoted_as_it_shows(value: Any, told: str) -> None:
    assert shown(value) == told


@every(
    ("typed", "names"),
    [("HD-1; HD-2", ("HD-1", "HD-2")), ("HD-1;;\nHD-2\r\n ", ("HD-1", "HD-2")), ("HD-1, HD-2", ("HD-1, HD-2",)), ("soft  dome", ("soft dome",))],
)  # fmt: skip
def test_names_are_parted_by_semicolons_and_lines_alone(typed: str, names: tuple[str, ...]) -> None:
    """A comma may stand in a name, such as that of a kind with its maker's addition."""
    assert read_cell(sheet("Waveguides").column("fits"), typed, "") == names


def test_what_is_meant_by_another_word_is_one_of_the_very_list() -> None:
    """Every list of the workbook, with every word of the trade that stands for a choice of any of them."""
    for column in (one for one in COLUMNS if one.kind is Kind.CHOICE):
        for word, choice in OTHER_WORDS.items():
            try:
                assert read_cell(column, word, "") in column.choices
            except CellUnusableError as error:
                meant = re.findall("Did you mean “(.*)”", error.mend)
                assert meant == [choice] if choice in column.choices else set(meant) <= set(column.choices), (
                    column.heading,
                    word,
                )


def test_a_heading_stands_over_its_column_as_its_cells_do() -> None:
    page = Workbook().active
    assert page is not None
    for index, column in enumerate({column.kind: column for column in sheet("High drivers").columns}.values(), 1):
        blank._write_heading(page, sheet("High drivers"), index, column)
        blank._dress(page.cell(2, index), column, shown_only=False)
        head, cell = (page.cell(row, index).alignment for row in (1, 2))
        assert (head.horizontal, head.indent) == (cell.horizontal or "left", cell.indent), column.heading


# --- rows against one another -----------------------------------------------------------------------------------------


@cache
def tables() -> Mapping[str, Table]:
    """The demo season as the checks see it."""
    found = {name: Table(sheet(name)) for name in relations.ORDER if name != "Maker"}
    for name, table in found.items():
        for record in getattr(demo(), name.replace(" ", "_").lower()).values():
            table.add(record)
    return found


LEAN = {"cutout_m": None, "vas_m3": None, "moving_mass_kg": None, "force_factor_t_m": None, "frame_height_m": None}
"""A low driver of which nothing more is known than must be."""
CROSSED = (
    ("Technologies", "soft dome", {"large_from_m": None}, "large_from_m", "empty"),
    ("Technologies", "soft dome", {"large_floor_hz": None}, "large_floor_hz", "empty"),
    ("Low drivers", "LD-01", LEAN | {"frame_width_m": 0.17, "cutout_m": 0.18}, "cutout_m", "180 mm"),
    ("Low drivers", "LD-01", LEAN | {"frame_width_m": 0.17, "frame_height_m": 0.15, "cutout_m": 0.15}, "cutout_m", "150 mm"),
    ("Low drivers", "LD-01", LEAN | {"frame_width_m": 0.17, "diaphragm_area_m2": 0.00133}, "diaphragm_area_m2", "13.3 cm2"),
    ("Low drivers", "LD-01", LEAN | {"frame_width_m": None, "vas_m3": 0.0246, "moving_mass_kg": 0.014, "diaphragm_area_m2": 0.013, "fs_hz": 60.5}, "fs_hz", "60.5 Hz"),
    ("Low drivers", "LD-01", LEAN | {"frame_width_m": None, "moving_mass_kg": 0.015, "force_factor_t_m": 6.9, "re_ohm": 5.6, "fs_hz": 42.0, "qes": 0.74}, "qes", "0.74"),
    ("High drivers", "LD-01", {}, "id", "“LD-01”"),
    ("High drivers", "HD-01", {"cutout_width_m": 0.104, "faceplate_width_m": 0.104}, "cutout_width_m", "104 mm"),
    ("High drivers", "HD-01", {"cutout_height_m": 0.12, "faceplate_height_m": 0.11}, "cutout_height_m", "120 mm"),
    ("High drivers", "HD-01", {"shape": "rectangular", "radiating_height_m": None}, "radiating_height_m", "empty"),
    ("High drivers", "HD-01", {"radiating_width_m": 0.025, "radiating_height_m": 0.03}, "radiating_height_m", "30 mm"),
    ("High drivers", "HD-01", {"radiating_width_m": 0.025, "diaphragm_area_m2": 0.0044}, "diaphragm_area_m2", "44 cm2"),
    ("High drivers", "HD-01", {"rear": "open", "rear_chamber_m3": 33e-6}, "rear_chamber_m3", "33 mL"),
    ("Waveguides", "WG-01", {"fits": ("HD-77",)}, "fits", "“HD-77”"),
    ("Waveguides", "WG-01", {"fits": ("HD-01", "HD-77")}, "fits", "“HD-77”"),
    ("Cabinets", "CB-01", {"high_from_top_m": 0.36}, "high_from_top_m", "360 mm"),
    ("Cabinets", "CB-01", {"tuning_hz": 44.5}, "tuning_hz", "44.5 Hz"),
    ("Cabinets", "CB-01", {"net_volume_m3": 0.0188}, "net_volume_m3", "18.8 L"),
    ("Cabinets", "CB-01", {"offset_m": -0.1}, "offset_m", "-100 mm"),
    ("Parts", "KC-4u7", {"unit": "mH"}, "unit", "“mH”"),
    ("Parts", "KC-4u7", {"rating_unit": "W"}, "rating_unit", "“W”"),
    ("Pairings", "P-01", {"guide_id": "WG-02"}, "guide_id", "“WG-02”"),
    ("Pairings", "P-01", {"rear_use": "removed"}, "rear_use", "“removed”"),
    ("Pairings", "P-02", {"rear_use": "removed"}, "chamber_m3", "85 mL"),
    ("Pairings", "P-02", {"chamber_m3": 71e-6}, "chamber_m3", "71 mL"),
    ("Pairings", "P-01", {"crossover_hz": 900.5}, "crossover_hz", "900.5 Hz"),
    ("Pairings", "P-11", {"crossover_hz": 399.0}, "crossover_hz", "399 Hz"),
    ("Pairings", "P-01", {"crossover_hz": 9000.0}, "crossover_hz", "9000 Hz"),
    ("Pairings", "P-01", {"high_from_top_m": 0.36}, "high_from_top_m", "360 mm"),
    ("Pairings", "P-01", {"arrangement": "low-high-low", "low_count": 3}, "low_count", "the count is 3"),
    ("Pairings", "P-01", {"low_count": 5, "low_wiring": "series-parallel"}, "low_wiring", "“series-parallel”"),
    ("Pairings", "P-01", {"high_count": 5, "high_wiring": "series-parallel"}, "high_wiring", "“series-parallel”"),
)  # fmt: skip
"""Sheet, row, what is typed there in SI, whose cell is wrong then, and what is told of it in the unit of its column, which it names: that of the heading may be another. CB-01 measures 200 x 360 x 260 mm
outside, 18.72 L."""


def told(name: str, id_: str, changes: Mapping[str, Any]) -> dict[str, tuple[str, str]]:
    """By the heading of its cell, what is told of a row: the cell, and what stands there."""
    where = {"LD-01": "HD-01"}.get(id_, id_) if name == "High drivers" else id_
    record = replace(tables()[name].records[where], id=id_, **changes)
    (check,) = relations.CHECKS[name]
    return {one.heading: (one.cell, one.found) for one in check(record, tables())}


@every(("name", "id_", "changes", "field", "stands"), CROSSED)
def test_what_contradicts_another_cell_is_told_at_its_own_cell_as_it_stands_there(
    name: str, id_: str, changes: dict[str, Any], field: str, stands: str
) -> None:
    column, where = sheet(name).column(field), "HD-01" if name == "High drivers" else id_
    cell = tables()[name].records[where].origin.cells[field]
    found = stands if stands == "empty" or stands.startswith("the count") else f"{stands} stands here"
    assert told(name, id_, changes).get(column.heading) == (cell, found)


def test_rows_that_go_together_are_not_doubted() -> None:
    """Those of the demo, and what lies just on the right side of each bound."""
    for name in relations.CHECKS:
        for id_ in tables()[name].records:
            assert told(name, id_, {}) == {}, id_
    assert told("Pairings", "P-01", {"high_from_top_m": 0.3599}) == {}, "the baffle is 200 mm wide and 360 high"
    assert told("Cabinets", "CB-01", {"high_from_top_m": 0.3599, "offset_m": 0.0999, "net_volume_m3": 0.0187}) == {}
    assert told("Pairings", "P-02", {"chamber_m3": 28e-6}) == {}, "its own chamber is offered as well"


# --- files ------------------------------------------------------------------------------------------------------------


@every("encoding", ("utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1"))
def test_a_curve_may_be_written_in_any_of_the_usual_encodings(encoding: str, tmp_path: Path) -> None:
    """With its mark at the beginning where it is of two bytes a letter (Unicode 15, 2.13)."""
    mark = "\ufeff" if encoding in ("utf-16-le", "utf-16-be") else ""
    (tmp_path / "it.txt").write_bytes(f"{mark}100 90 -45°".encode(encoding))
    assert _text("it.txt", tmp_path).removeprefix("\ufeff") == "100 90 -45°"


@every(
    ("kind", "value", "readable"),
    [("s", "0", True), ("s", "2", True), ("s", "3", False), ("s", "-1", False), ("s", "x", False), ("n", "4.7", True), ("n", "4,7", False),
     ("n", "INF", False), ("b", "1", True), ("b", "nan", False), ("d", "2027-03-01T00:00:00", True), ("d", "0.3", False), ("str", "x", True), ("e", "#REF!", True)],
)  # fmt: skip
def test_which_stored_value_is_one_of_its_kind(kind: str, value: str, readable: bool) -> None:
    """ECMA-376 part 1, 18.18.11; of three strings the places are 0, 1 and 2."""
    assert grids._can_be_read(kind, value, 3) is readable


@every(
    ("rows", "last"),
    [
        ('<row r="7"><c r="B7"><v>1</v></c></row>', 7), ('<row r="7"><c r="B7"><v>1</v></c></row><row r="9"><c r="B9" s="2"/></row>', 7),
        ('<x:row r="7"><x:c r="AB7" t="inlineStr"><x:is><x:t>a</x:t></x:is></x:c></x:row>', 7), ('<row r="7"><c r="B7"><f>A1</f></c></row>', 7),
        ('<row r="9"><c r="B9" s="2"/></row>', 0), ("", 0), ("<row><c><v>1</v></c></row>", 2**20),
    ],
)  # fmt: skip
def test_the_last_row_is_that_of_the_last_cell_that_holds_anything(rows: str, last: int) -> None:
    """ECMA-376 part 1, 18.3.1.4: the place of a cell may be left out; then any row up to the last of a sheet may be the one."""
    assert grids._last_row(f"<sheetData>{rows}</sheetData>".encode()) == last


@every(("name", "kept"), [("A.txt", ["", " h30"]), ("A h0.txt", ["", " h30"]), ("A v-0.txt", ["", " h30"]), ("A h30.txt", None)])  # fmt: skip
def test_a_file_on_the_axis_may_say_so_and_one_at_an_angle_is_none(
    name: str, kept: list[str] | None, tmp_path: Path
) -> None:
    rows = "\n".join(f"{hz} 90" for hz in range(1000, 21000, 1000))
    for file in {name, "A h30.txt"}:
        (tmp_path / file).write_text(rows)
    table, found = Table(sheet("High drivers")), dict[tuple[str, str], Any]()
    driver = replace(demo().high_drivers["HD-01"], response_file=name, response_measured="large baffle")
    table.add(driver)
    relations._find_files(driver, table, tmp_path, found, {})
    assert list(found) == [("HD-01", f"response{one}") for one in kept or ()]
    told = [one.expected for one in table.problems if not one.notice]
    assert told == ([] if kept else ["its name says 30 degrees off the axis, and the response on the axis is wanted"])


def test_where_no_row_holds_headings_the_first_is_taken_for_them() -> None:
    rows = {number: [f"row {number}"] for number in range(1, 40)}

    def cells(min_row: int, max_row: int, max_col: int | None) -> list[list[Any]]:
        return [
            [SimpleNamespace(value=one, data_type="s") for one in rows[number]]
            for number in range(min_row, max_row + 1)
        ]

    page = SimpleNamespace(title="Parts", reset_dimensions=lambda: None, iter_rows=cells)
    assert grids._headings(page, None, lambda _: False) == (1, ("row 1",))
    assert grids._headings(page, None, lambda row: row == ("row 4",)) == (4, ("row 4",))


GAPS = [
    (low, high) for low, high in combinations((100.0, 250.0, 490.0, 1000.0, 3000.0, 9000.0), 2) if high > 2.05 * low
]
"""Hz; of the band from 500 to 2000 Hz some lie below, some above, some within, and some reach over one end or both."""


@every(("low_hz", "high_hz"), [*GAPS, (700.0, 1430.0), (700.0, 1440.0)])
def test_a_gap_is_told_where_it_reaches_into_the_band_and_is_wider_than_an_octave(
    low_hz: float, high_hz: float
) -> None:
    hz = np.concatenate([np.geomspace(10.0, low_hz, 60), np.geomspace(high_hz, 30000.0, 60)])
    curve = MeasuredCurve(hz, np.full(hz.size, 90.0), None, "it.txt")
    told = [one.expected for one in _gap(demo().high_drivers["HD-01"], curve, "response", 500.0, 2000.0)]
    missing = [f"it holds nothing between {low_hz:g} and {high_hz:g} Hz, and HD-01 works there"]
    assert told == (missing if low_hz < 2000.0 and high_hz > 500.0 and high_hz > 2.05 * low_hz else [])


def test_a_link_of_the_first_sheet_leads_to_each_other_sheet() -> None:
    """A name with a blank stands between quotes (ECMA-376 part 1, 18.17.2.3)."""
    page = Workbook().active
    assert page is not None
    blank._write_read_me(page)
    links = [cell.hyperlink for row in page.iter_rows() for cell in row if cell.hyperlink]
    assert [link.location or link.target for link in links] == [f"#'{one.name}'!A1" for one in SHEETS]


@every("stands", (None, *RESPONSE_PHASES))
@every("measured", (True, False))
def test_a_phase_that_counts_is_missed_where_the_file_has_none(stands: str | None, measured: bool) -> None:
    driver = replace(demo().high_drivers["HD-01"], response_phase=stands, response_measured="large baffle")
    hz = np.geomspace(200.0, 20000.0, 200)
    phase = np.linspace(0.0, -9.0, 200) if measured else None
    curve = MeasuredCurve(hz, np.full(200, driver.sensitivity_db), phase, "it.txt")
    told = [one.found for one in problems_of_curve(driver, curve, "response") if one.expected == "it.txt has no phase"]
    assert told == ([f"“{stands}” stands here"] if stands in ("own", "common reference") and not measured else [])


@every(
    ("peak_hz", "told"),
    [(1000.0, ""), (840.0, ""), (1190.0, ""), (820.0, "it peaks at 820 Hz"), (2000.0, "it peaks at 2000 Hz"), (300.0, "it peaks at 300 Hz"), (9000.0, "it has no peak near it")],
)  # fmt: skip
def test_a_peak_is_looked_for_two_octaves_around_the_resonance(peak_hz: float, told: str) -> None:
    """Re 5, Qms 2 and Qes 1: 15 ohm at the resonance (Small 1972), here of a curve that has its peak elsewhere; a fifth is allowed."""
    driver = replace(demo().high_drivers["HD-01"], fs_hz=1000.0, re_ohm=5.0, qms=2.0, qes=1.0)
    hz = np.union1d(np.geomspace(100.0, 20000.0, 400), [peak_hz])
    ohm = np.abs(5.0 + 10.0 / (1.0 + 2.0j * (hz / peak_hz - peak_hz / hz)))
    found = list(_peak(driver, MeasuredCurve(hz, ohm, None, "it.txt")))
    assert found == ([f"Fs of HD-01 ({driver.origin.place('fs_hz')}) is 1000 Hz, but {told}"] if told else [])


def test_a_merged_cell_covers_all_but_its_own_corner() -> None:
    """Every rectangle of a sheet of four columns by four rows, of which rows 2 to 5 are there, one at a time."""
    rows = [(number, tuple(f"{letter}{number}" for letter in "ABCD")) for number in range(2, 6)]
    sides = list(combinations_with_replacement(range(1, 6), 2))
    for (left, right), (top, bottom) in product(sides, sides):
        merged = f"{get_column_letter(left)}{top}:{get_column_letter(right)}{bottom}"
        found = dict(grids._without_covered(rows, [merged], 4))
        for number, values in rows:
            for column, value in enumerate(values, 1):
                covered = left <= column <= right and top <= number <= bottom and (column, number) != (left, top)
                wanted = Covered(f"{get_column_letter(left)}{top}", value) if covered else value
                assert found[number][column - 1] == wanted, (merged, value)


@every("areas", [["A2:B5", "C2:D5"], ["A2:A5", "B2:B5", "C2:C5", "D2:D5"], ["A2:D3", "A4:D5"]])
def test_every_merged_area_of_a_sheet_counts(areas: list[str]) -> None:
    """All sixteen cells lie in one of them: what is left are their corners."""
    rows = [(number, tuple(f"{letter}{number}" for letter in "ABCD")) for number in range(2, 6)]
    found = grids._without_covered(rows, areas, 4)
    left = [value for _, values in found for value in values if isinstance(value, str)]
    assert left == sorted((area[:2] for area in areas), key=lambda corner: (corner[1], corner[0]))


def test_a_part_is_of_the_type_of_its_last_ending_or_of_its_own() -> None:
    """ECMA-376 part 2, 10.1.2.3: an extension is what follows the last dot of the last name."""
    saved = BytesIO()
    Workbook().save(saved)
    found = Package(saved.getvalue())
    xml, links = "application/xml", "application/vnd.openxmlformats-package.relationships+xml"
    wanted = {
        "a.xml": xml,
        "a.b.xml": xml,
        "a.rels/b.xml": xml,
        "a.xml/_rels/b.xml.rels": links,
        "A.XML": xml,
        "a.bin": "",
        "xml": xml,
    }
    assert {part: found.content_type(part) for part in wanted} == wanted
    assert found.content_type("xl/workbook.xml").endswith("sheet.main+xml")


def test_cells_that_are_lost_one_after_another_are_all_unknown() -> None:
    table, low = Table(sheet("Low drivers")), demo().low_drivers["LD-01"]
    table.add(low)
    for fields, unread in (
        (("le_h",), ("le_h",)), (("measured_at_m", "le_h"), ("le_h", "measured_at_m")), (("breakup_hz",), ("le_h", "measured_at_m", "breakup_hz"))
    ):  # fmt: skip
        table.lose(table.records["LD-01"], *fields)
        assert table.records["LD-01"].unread == unread
    usual = {"le_h": None, "measured_at_m": 1.0, "breakup_hz": None}
    assert table.records["LD-01"] == replace(low, unread=unread, **usual)  # type: ignore[arg-type]


@every("number", ("001", "999", "1000", "123456"))
def test_sheets_of_a_run_are_no_misspelt_ones_however_many_runs_there_were(number: str) -> None:
    titles = [f"Run {number} {one.name.partition(' ')[0]}" for one in SHEETS]
    assert _choose_sheets(titles) == ({}, [])


@every(("count", "more"), [(0, None), (1, ""), (6, ""), (7, " and 1 more"), (9, " and 3 more")])
def test_rules_that_are_missing_are_named_up_to_six(count: int, more: str | None) -> None:
    table, names = Table(sheet("Practice")), [name for name, *_ in PRACTICE_ROWS]
    for name in names[count:]:
        table.add(demo().practice.rules[name])
    practice_of(table)
    told = [one.expected for one in table.problems]
    assert told == (
        [] if more is None else [f"the shipped values are used for: {', '.join(names[: min(count, 6)])}{more}"]
    )


@every(
    ("prices", "worth", "told"),
    [
        ((3.0, 4.0, 40.0), 30.0, ""), ((3.0, 4.0, 40.0), 4.0, ""), ((3.0, 4.0, 40.0), 400.0, ""), ((), 30.0, ""), ((0.0, 4.0), 30.0, ""),
        ((3.0, 4.0, 40.0), 3.9, "half cost 4.00 EUR and more; networks are chosen by their price alone"),
        ((3.0, 4.0, 40.0), 401.0, "half cost 4.00 EUR and more; prices do not count"),
        ((500.0, 640.0, 700.0, None), 30.0, "half cost 640.00 EUR and more; networks are chosen by their price alone"),
    ],
)  # fmt: skip
def test_a_decibel_that_is_worth_less_than_a_part_or_more_than_a_hundred_is_told(
    prices: tuple[float | None, ...], worth: float, told: str
) -> None:
    """By the median of the prices; what seven of 640 cost is 4480, told in two digits."""
    tables = {name: Table(sheet(name)) for name in ("Parts", "Practice")}
    for number, price in enumerate(prices):
        tables["Parts"].records[f"C-{number}"] = SimpleNamespace(price=price)
    rule = replace(demo().practice.rules["worth of a decibel"], value=worth)
    notice_worth(tables, Practice({rule.id: rule}), "EUR")
    problems = tables["Practice"].problems
    assert [one.expected.partition("parts with a price ")[2] for one in problems] == ([told] if told else [])
    assert all(one.notice and one.sheet == "Practice" and one.cell == rule.origin.cells["value"] for one in problems)
    if 640.0 in prices:
        assert problems[0].mend.endswith("the price of seven such parts (4500).")


MIB = 1 << 20
FREE, RATIO = 64 * MIB, 200
"""What may be unpacked without regard to its size, and how many times the packed size beyond that."""


@every(
    ("sizes", "packed", "told"),
    [
        ([1] * 20_000, 1, ""), ([1] * 20_001, 1, "it holds 20001 entries; at most 20000 are accepted"), ([256 * MIB] * 4, 256 * MIB, ""),
        ([256 * MIB + 1], 256 * MIB, "its largest part to 256 MiB; at most 1024 and 256 MiB"), ([256 * MIB] * 4 + [1], 256 * MIB, "it unpacks to 1024 MiB"),
        ([FREE], 1, ""), ([FREE + 1], FREE // RATIO, "more than 200 times its size"), ([FREE + RATIO], FREE // RATIO + 2, ""),
    ],
)  # fmt: skip
def test_what_may_be_unpacked_up_to_its_bounds(sizes: list[int], packed: int, told: str) -> None:
    """Entries of so many bytes, each packed to so many: up to each bound they pass, one beyond they do not."""
    entries = cast(Any, [SimpleNamespace(file_size=size, compress_size=packed) for size in sizes])
    with pytest.raises(PackageRefused, match=re.escape(told)) if told else nullcontext():
        package._refuse_bomb(entries)


def test_nothing_but_sheets_and_the_calendar_is_handed_to_the_library() -> None:
    """What else a workbook part may hold (ECMA-376 part 1, 18.2.27), the library refuses in some forms."""
    book, saved = Workbook(), BytesIO()
    book.create_sheet("Parts").append(["ID"])
    book.defined_names["all"] = DefinedName("all", attr_text="Parts!$A$1:$B$9")
    book.security = WorkbookProtection(lockStructure=True)
    book.save(saved)
    bare = Package(Package(saved.getvalue()).bare(lambda name: name == "Parts"))
    assert [str(child.tag) for child in bare.xml(bare.main_part)] == [
        f"{package.MAIN}workbookPr",
        f"{package.MAIN}sheets",
    ]
    assert [name for name, _ in bare.sheets()] == ["Parts"]


def test_a_bad_file_at_an_angle_costs_itself_alone(tmp_path: Path) -> None:
    for file, text in (("A.txt", "{} 90"), ("A h30.txt", "{} 90"), ("A h45.txt", "{} loud")):
        (tmp_path / file).write_text("\n".join(text.format(hz) for hz in range(1000, 21000, 1000)))
    table, found = Table(sheet("High drivers")), dict[tuple[str, str], Any]()
    driver = replace(demo().high_drivers["HD-01"], response_file="A.txt", response_measured="large baffle")
    table.add(driver)
    relations._find_files(driver, table, tmp_path, found, {})
    assert [kind for _, kind in found] == ["response", "response h30"] and table.records["HD-01"] == driver
    (told,) = [one.expected for one in table.problems if not one.notice]
    assert told.startswith("A h45.txt line 1: ") and told.endswith("; A h45.txt at 45 degrees beside it does not count")


@every("heading", ("Hz dB", "dB Hz", "amount Hz", "Hz amount", "deg dB Hz", "dB deg Hz", "Hz deg dB", "n dB Hz"))
def test_columns_of_a_file_stand_in_any_order_that_its_heading_names(heading: str, tmp_path: Path) -> None:
    kinds = {"Hz": "{0}", "dB": "{1}", "amount": "{1}", "deg": "{2}", "n": "7"}
    rows = [(hz, 80.0 + hz / 2000.0, -hz / 100.0) for hz in range(1000, 21000, 1000)]
    form = ";".join(kinds[word] for word in heading.split())
    (tmp_path / "it.txt").write_text("\n".join([heading.replace(" ", ";"), *(form.format(*row) for row in rows)]))
    found = read_curve("it.txt", tmp_path, "response")
    assert np.array_equal(found.frequency_hz, [row[0] for row in rows]) and np.array_equal(
        found.magnitude, [row[1] for row in rows]
    )
    assert (found.phase_rad is not None) is ("deg" in heading)
    if found.phase_rad is not None:
        assert found.phase_rad == pytest.approx(np.radians([row[2] for row in rows]))


def test_a_merged_area_may_reach_beyond_the_end_of_a_row() -> None:
    """A row ends with its last cell (ECMA-376 part 1, 18.3.1.73), whatever is merged over it."""
    rows = [(number, tuple(f"{letter}{number}" for letter in "ABCD"[: number - 1])) for number in range(2, 6)]
    found = grids._without_covered(rows, ["B2:D5"], 4)
    assert [[value for value in values if isinstance(value, str)] for _, values in found] == [
        ["A2"],
        ["A3"],
        ["A4"],
        ["A5"],
    ]
    assert [len(values) for _, values in found] == [1, 2, 3, 4]


@every(
    ("ohm", "least", "mend"),
    [
        (5400.0, "5400", "It looks like milliohm: say mohm in the heading of the file, or give ohm."),
        (1700.0, "1700", "It looks like milliohm: say mohm in the heading of the file, or give ohm."),  # over 300 times Re
        (1500.0, "1500", "Look for a wrong file or unit."),
        (90.0, "90", "It looks like levels in dB: give the impedance, or move the file to Response file."),
        (131.0, "131", "Look for a wrong file or unit."), (30.0, "30", "Look for a wrong file or unit."), (1.0, "1", "Look for a wrong file or unit."),
        (5.6, None, ""),
    ],
)  # fmt: skip
def test_what_an_impossible_impedance_looks_like(ohm: float, least: str | None, mend: str) -> None:
    driver = replace(demo().high_drivers["HD-01"], re_ohm=5.4, fs_hz=None, impedance_measured="free air")
    hz = np.geomspace(50.0, 20000.0, 200)
    told = [
        (one.expected, one.mend)
        for one in problems_of_curve(driver, MeasuredCurve(hz, np.full(200, ohm), None, "it.txt"), "impedance")
    ]
    re_place = driver.origin.place("re_ohm")
    assert told == (
        [] if least is None else [(f"its least value is {least} ohm, but Re of HD-01 ({re_place}) is 5.4 ohm", mend)]
    )


@every(("length", "wide"), [(5, 20.0), (30, 35.0), (80, 36.0)])
def test_a_column_of_names_grows_with_the_longest_and_one_of_sentences_does_not(length: int, wide: float) -> None:
    page = Workbook().active
    assert page is not None
    described = sheet("Pairings")
    for index, column in enumerate(described.columns, 1):
        page.column_dimensions[get_column_letter(index)].width = column.width
    blank._fit(page, described, [{"id": "P-1", "kit": "x" * length, "notes": "y" * 200}])
    width = {
        column.field: page.column_dimensions[get_column_letter(at)].width
        for at, column in enumerate(described.columns, 1)
    }
    assert (width["kit"], width["notes"]) == (pytest.approx(wide), described.column("notes").width)


@every("typed", ("air temperature", "Air temperature", " AIR  Temperature"))
def test_a_rule_is_known_however_it_is_written(typed: str) -> None:
    """In a row of the sheet it counts and is no stranger; wished for, it brings its unit and source along."""
    table = Table(sheet("Practice"))
    table.add(Rule(id=typed, origin=Origin("Practice", 2), value=25.0, unit="degC"))
    assert practice_of(table)["air temperature"] == 25.0
    assert [one.heading for one in table.problems] == [""], "the other rules are missing"
    grid = Grid("Practice", ("Name", "Value", "Unit", "Source"), ())
    found = overridden({"Practice": grid}, [parsed(f"Practice: {typed} = 25")])["Practice"]
    assert found.rows == ((2, (typed.strip(), "25", "degC", "ISO 9613-1 reference")),)


def test_a_declaration_is_found_wherever_it_stands(monkeypatch: pytest.MonkeyPatch) -> None:
    """Read in pieces of 64 bytes: at the beginning, on the seam of two pieces, and pieces before the end."""
    monkeypatch.setattr(package, "_PIECE", 64)
    saved = BytesIO()
    Workbook().save(saved)
    for at in (0, 55, 60, 63, 64, 130, 200):
        text = f"<!--{'x' * at}--><!DOCTYPE x [<!ENTITY a 'ha'>]><x>{'&a;' * 100}</x>".encode()
        made = BytesIO(saved.getvalue())
        with package.zipfile.ZipFile(made, "a") as archive:
            archive.writestr("customXml/item1.xml", text)
        with pytest.raises(PackageRefused, match="declares a document type"):
            Package(made.getvalue()).check_contents()


@every("epoch", (None, CALENDAR_MAC_1904))
def test_a_day_is_the_same_in_both_calendars_of_workbooks(epoch: dt.datetime | None) -> None:
    """ECMA-376 part 1, 18.17.4.1: days are counted from 1900 or from 1904, as the workbook says."""
    book, saved = Workbook(), BytesIO()
    book.epoch = epoch or book.epoch
    page = book.active
    assert page is not None
    page.append(["Decided on"])
    page.append([dt.date(2026, 10, 12)])
    book.save(saved)
    found = read_grids(Package(saved.getvalue()), lambda _: True, lambda _, row: "Decided on" in row)
    assert found["Sheet"].rows == ((2, (dt.datetime(2026, 10, 12),)),)


@every(("wish", "heading"), [("LD-1: Fs = 40", "Fs (Hz)"), ("LD-1: Notes = old", "Notes")])
def test_a_wish_for_a_column_that_is_not_there_brings_it_with_its_unit(wish: str, heading: str) -> None:
    grid = Grid("Low drivers", ("ID", "Price"), ((2, ("LD-1",)), (3, ("LD-2", 9.0))))
    found = overridden({"Low drivers": grid}, [parsed(wish)])["Low drivers"]
    value = wish.partition("= ")[2]
    assert (found.headings, found.rows) == (("ID", "Price", heading), ((2, ("LD-1", None, value)), (3, ("LD-2", 9.0))))


def test_an_id_on_two_sheets_needs_the_sheet_before_it() -> None:
    known = {
        name: Grid(name, ("ID", "Price"), ((2, ("A-1", 1.0)),)) for name in ("High drivers", "Low drivers", "Parts")
    }
    for names in (("Low drivers", "High drivers"), ("Low drivers", "Parts"), tuple(known)):
        where = " and ".join(one.name for one in SHEETS if one.name in names)
        told = re.escape(f"A-1 stands in {where}. Write “{where.partition(' and ')[0]}!A-1: ...”.")
        with pytest.raises(ReportgenError, match=told):
            overridden({name: known[name] for name in names}, [parsed("A-1: Price = 4")])


# --- records ----------------------------------------------------------------------------------------------------------


@every("name", ("Low drivers", "High drivers", "Waveguides", "Cabinets", "Pairings"))
def test_what_a_row_lacks_is_named_with_its_cell_and_without(name: str) -> None:
    for record in tables()[name].records.values():
        for column in sheet(name).columns:
            if column.field != "id":
                text, lacks = f"{column.name} of {record.id}", getattr(record, column.field) is None
                cell = f"{text} ({name}!{record.origin.cells[column.field]})"
                assert record.missing(column.field) == ((cell,) if lacks else ())
                assert record.empty(column.field) == ((text,) if lacks else ())
                assert record.named(column.field) == (cell,)


@every(
    ("table", "field"),
    [("low_drivers", "low_id"), ("high_drivers", "high_id"), ("waveguides", "guide_id"), ("cabinets", "cabinet_id"), ("technologies", "high_id")],
)  # fmt: skip
def test_what_a_pairing_names_in_vain_is_told_with_its_cell(table: str, field: str) -> None:
    pairing = demo().pairings["P-08"]
    with pytest.raises(CannotAssess) as caught:
        replace(demo(), **{table: {}}).case(pairing)
    gone = demo().high_drivers[pairing.high_id].technology if table == "technologies" else getattr(pairing, field)
    assert str(caught.value) == f"Pairings!{pairing.origin.cells[field]}: {gone} cannot be used; see its own row"


def test_sheets_named_while_one_looks_are_noted_by_whoever_looks_around_it() -> None:
    low, high = demo().low_drivers["LD-01"].origin, demo().high_drivers["HD-01"].origin
    with places_noted() as outer:
        low.place("fs_hz")
        with places_noted() as inner:
            high.place("fs_hz")
        assert (inner, outer) == ({"High drivers"}, {"Low drivers", "High drivers"})
    demo().cabinets["CB-01"].origin.place("depth_m")
    assert outer == {"Low drivers", "High drivers"}, "nothing is noted after it"


# --- what is shipped --------------------------------------------------------------------------------------------------


def test_a_part_of_the_demo_is_worth_what_its_order_name_says() -> None:
    """KC-4u7 is 4.7 uF, KL-0m47 0.47 mH and KR-3e3 3.3 ohm, as parts are marked (IEC 60062)."""
    scale = {"KC": ("capacitor", 1e-6), "KL": ("inductor", 1e-3), "KR": ("resistor", 1.0)}
    for id_, part in demo().parts.items():
        assert isinstance(part, StockPart)
        head, _, marked = id_.partition("-")
        kind, size = scale[head]
        assert (part.kind, part.value) == (kind, pytest.approx(float(re.sub("[ume]", ".", marked)) * size)), id_


def test_the_break_up_of_a_measured_cone_is_where_its_row_has_it() -> None:
    """5900 Hz in its cell: the loudest place of its file lies within three hundredths of that."""
    curve = demo().curves["LD-03", "response"]
    loudest = float(curve.frequency_hz[curve.magnitude.argmax()])
    assert demo().low_drivers["LD-03"].breakup_hz == pytest.approx(5900.0) == pytest.approx(loudest, rel=0.03)


@every("typed", ("soft dome", "Soft Dome", " SOFT  dome"))
@every("usable", (True, False))
def test_a_row_of_the_operators_takes_the_place_of_the_shipped_one(typed: str, usable: bool) -> None:
    """However it is written, and also where it cannot be used: what its driver is then is not known."""
    table = Table(sheet("Technologies"))
    own = replace(demo().technologies["soft dome"], id=typed)
    table.add(own) if usable else table.bar(typed, [])
    added = add_technologies(table)
    assert added == {str(row["id"]) for row in TECHNOLOGY_ROWS} - {"soft dome"} == table.records.keys() - {typed}
    assert table.records.get(typed) is (own if usable else None)


def test_wire_of_the_demos_coils_is_that_of_usual_ones() -> None:
    """0.35 ohm at 1 mH as Practice has it, with the root of the inductance: to a fifth."""
    coils = [part for part in demo().parts.values() if part.kind == "inductor"]
    for part in coils:
        assert part.resistance_ohm == pytest.approx(0.35 * (part.value / 1e-3) ** 0.5, rel=0.2), part.id
    assert len(coils) == 20 and demo().practice["coil resistance at 1 mH"] == 0.35


@every("q", (0.47, 0.707, 1.25))
def test_a_high_pass_of_the_demos_files_has_its_q_at_its_own_frequency(q: float) -> None:
    """Small 1972: at the resonance a second-order high-pass passes Q times the level far above it, a quarter turn before that."""
    at, above = democurves._high_pass(np.array([700.0, 7e5]), 700.0, q)
    assert at == pytest.approx(1j * q) and above == pytest.approx(1.0, abs=0.01)


def test_what_a_year_brings_and_takes() -> None:
    """A driver goes and one comes, two kits are given up and one comes; every pairing names drivers and a cabinet that are there."""
    was, now = (
        {name: {row.get("id"): row for row in rows} for name, rows in one().items()}
        for one in (demo_tables, next_season_tables)
    )
    assert {
        name: (was[name].keys() - now[name].keys(), now[name].keys() - was[name].keys())
        for name in was
        if name != "Enquiries"
    } == {
        name: {"High drivers": ({"HD-05"}, {"HD-20"}), "Pairings": ({"P-07", "P-17"}, {"P-25"})}.get(
            name, (set(), set())
        )
        for name in was
        if name != "Enquiries"
    }
    assert {row["season"] for row in was["Pairings"].values()} == {"Spring 2027"}
    for pairing in now["Pairings"].values():
        assert pairing["season"] == "Spring 2028", pairing["id"]
        decided = pairing.get("decided_on")
        assert decided in (None, was["Pairings"].get(pairing["id"], {}).get("decided_on")) or decided > "2027", pairing[
            "id"
        ]
        assert (
            pairing["low_id"] in now["Low drivers"]
            and pairing["high_id"] in now["High drivers"]
            and pairing["cabinet_id"] in now["Cabinets"]
        )


def test_how_kinds_of_driver_differ() -> None:
    """A coil behind a dome has a stated travel, a film between magnets none; a guide carries a driver lower, and so does size; the magnet of
    each is warned of, and what a breath harms stays out of vehicles (common practice, no source)."""
    families = {
        "true ribbon": "ribbon",
        "planar magnetic": "planar",
        "folded diaphragm": "folded",
        "compression driver": "compression",
    }
    for row in TECHNOLOGY_ROWS:
        assert row["family"] == families.get(str(row["id"]), "dome") and (
            str(row["id"]) in families or "dome" in str(row["id"])
        )
        family, bare, guided, large = (
            row.get(name) for name in ("family", "bare_floor_hz", "guided_floor_hz", "large_floor_hz")
        )
        assert row["travel_stated"] is (family in ("dome", "compression")), row["id"]
        assert (row["diaphragm"] == "film") is (family in ("ribbon", "planar", "folded")), row["id"]
        assert all(float(lower) < float(bare or 0.0) for lower in (guided, large) if lower), row["id"]
        assert (row["fragility"] == "very delicate") is (family == "ribbon" or row["diaphragm"] == "beryllium"), row[
            "id"
        ]
        assert row["fragility"] != "very delicate" or "vehicle" in str(row["excluded"]), row["id"]
        assert "magnet" in str(row["cautions"]) and all(
            row.get(name) for name in ("handling", "servicing", "after_service")
        ), row["id"]


FROM_STANDARDS = {
    "air temperature": 20.0, "air pressure": 101325.0, "rated impedance share": 0.8, "top of the audible band": 20000.0, "programme crest factor": 2.0,
}  # fmt: skip
"""ISO 9613-1, ISO 2533 and IEC 60268-5, whose programme has a crest factor of 1.8 to 2.2 (memory)."""
CUSTOMARY = {
    "resonance factor order 1": 4.0, "resonance factor order 2": 2.8, "resonance factor order 3": 2.2, "resonance factor order 4": 1.8,
    "break-up attenuation": 20.0, "low branch shortfall": 1.5, "directivity step limit": 3.0, "level margin": 0.5, "level shortfall limit": 3.0,
    "good builds worst": 0.5, "lowest rated impedance": 4.0, "least load borne": 0.75 * 0.8 * 4.0,
}  # fmt: skip
"""Common practice, no source: what the trade holds of each; and a quarter less than IEC 60268-5 leaves of 4 ohm."""
WORSE = {
    "sum deviation limit": "sum deviation worst", "balance limit": "balance worst", "third octave limit": "third octave worst",
    "good builds worst": "good builds share", "resonance factor order 2": "resonance factor order 1", "resonance factor order 3": "resonance factor order 2",
    "resonance factor order 4": "resonance factor order 3", "bass shelf in a wall": "bass shelf free standing",
    "bass shelf free standing": "bass shelf near a wall", "lowest rated impedance in a vehicle": "lowest rated impedance",
    "least load borne": "lowest rated impedance", "level margin": "level shortfall limit",
}  # fmt: skip
"""Each rule is less than the other: what is marginal comes before what fails, a steeper slope goes lower, a wall gives bass back."""


def test_shipped_rules_beside_one_another() -> None:
    rules = {name: (value, unit) for name, value, unit, *_ in PRACTICE_ROWS}
    assert len(rules) == len(PRACTICE_ROWS) and all(unit in UNITS for _, unit in rules.values())
    assert {name: rules[name][0] for name in FROM_STANDARDS} == FROM_STANDARDS
    assert {name: rules[name][0] for name in CUSTOMARY} == pytest.approx(CUSTOMARY)
    assert [one for one, other in WORSE.items() if not rules[one][0] < rules[other][0]] == []
    assert all(
        value >= 1.0
        for name, (value, unit) in rules.items()
        if name in ("voltage margin", "current margin", "power margin")
    )
    assert all(0.0 < value <= 10.0 for value, unit in rules.values() if unit == "%"), (
        "tolerances of parts and drivers in hundredths"
    )
    levels = [value for name, (value, _) in rules.items() if name.startswith("programme level ")]
    bands = [name.split()[2] for name in rules if name.startswith("programme level ")]
    assert bands == ["31.5", "63", "125", "250", "500", "1000", "2000", "4000", "8000", "16000"], (
        "octaves of IEC 61260-1"
    )
    assert levels[4:] == sorted(levels[4:], reverse=True) and max(levels) == 0.0, "speech and music fall from 500 Hz up"


def test_the_resonance_of_both_losses_is_that_of_their_sum() -> None:
    """Small 1972: 1/Qts is 1/Qms and 1/Qes."""
    for low in demo().low_drivers.values():
        assert 1.0 / low.qts == pytest.approx(1.0 / low.qms + 1.0 / low.qes, rel=1e-12)
