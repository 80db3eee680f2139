"""From file to catalogue: every problem with its text, and the rows that go on."""

from __future__ import annotations

import hashlib
import math
import re
import zipfile
from io import BytesIO
from pathlib import Path

import pytest
import xlsxwriter
from openpyxl import load_workbook
from openpyxl.comments import Comment
from openpyxl.utils import get_column_letter

from reportgen.assessment import assess
from reportgen.catalogue import reading, trade
from reportgen.catalogue.columns import SHEETS, UNITS, Kind
from reportgen.catalogue.columns import sheet as described
from reportgen.catalogue.demo import demo_tables
from reportgen.catalogue.democurves import demo_curve_files, demo_files
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.tables import RECORDS, heading_key
from reportgen.problems import WorkbookUnusable
from tests.every import every
from tests.workbooks import write_workbook

TRAVEL = "High drivers!Peak travel (mm)!2"
INHERITED = 'Pairings!G2 "High driver": “HD-1” stands here; its own row cannot be used ({}). Mend that row.'


def at(sheet_name, field):
    """The letter of a column in the order in which the sheet is described."""
    fields = [column.field for column in described(sheet_name).columns]
    return get_column_letter(fields.index(field) + 1)


def texts(catalogue, notices=None):
    """The problems as the operator reads them; only notices or only errors when asked."""
    return [str(problem) for problem in catalogue.problems if notices is None or problem.notice is notices]


def errors(catalogue):
    return texts(catalogue, notices=False)


def notices(catalogue):
    return texts(catalogue, notices=True)


def test_the_small_season_has_nothing_wrong(season):
    catalogue = read_catalogue(season)
    assert catalogue.problems == ()
    assert catalogue.unreadable == {}
    assert list(catalogue.pairings) == ["P-1", "P-2"]
    assert catalogue.fingerprint == hashlib.sha256(season.read_bytes()).hexdigest()
    assert catalogue.path == str(season)


def test_values_arrive_in_si_units(read):
    catalogue = read()
    low, high = catalogue.low_drivers["LD-1"], catalogue.high_drivers["HD-1"]
    assert low.diaphragm_area_m2 == pytest.approx(0.013)
    assert low.peak_travel_m == pytest.approx(0.005)
    assert high.other_chambers_m3 == pytest.approx((70e-6, 120e-6))
    assert catalogue.waveguides["WG-1"].horizontal_coverage_rad == pytest.approx(math.pi / 2)
    part = catalogue.parts["C-1"]
    assert (part.value, part.rating) == pytest.approx((4.7e-6, 160.0))
    assert part.tolerance is None  # none is stated: the Practice sheet's counts


def test_every_value_has_its_cell_and_every_gap_too(read):
    driver = read().high_drivers["HD-1"]
    assert driver.origin.place("peak_travel_m") == "High drivers!O2"
    assert driver.missing("fs_hz", "re_ohm") == ("Fs of HD-1 (High drivers!G2)",)


def test_a_missing_column_is_named_by_its_heading(read):
    driver = read(change=lambda book: book["High drivers"].delete_cols(7)).high_drivers["HD-1"]
    assert driver.missing("fs_hz") == ("Fs of HD-1 (High drivers row 2, no column “Fs (Hz)”)",)


def test_the_description_fits_the_records():
    for sheet in SHEETS:
        fields = set(RECORDS[sheet.name].__dataclass_fields__)
        assert {column.field for column in sheet.columns} <= fields, sheet.name
        assert len({heading_key(column.name) for column in sheet.columns}) == len(sheet.columns)


def test_defaults_of_the_description_are_those_of_the_records():
    for sheet in SHEETS:
        for column in sheet.columns:
            default = RECORDS[sheet.name].__dataclass_fields__[column.field].default
            if column.default is None or column.required:
                continue
            if column.kind is Kind.YES_NO:
                assert default is (column.default == "yes")
            elif isinstance(column.default, str):
                assert default == column.default
            else:
                assert default == pytest.approx(column.default * UNITS[column.unit], rel=1e-12), column.heading


@pytest.mark.parametrize(
    ("place", "value", "cell", "text"),
    [
        ("High drivers!Re (ohm)!2", -3, "E2", '"Re (ohm)": -3 stands here; it must be greater than 0. '
         "Direct-current resistance of the coil or element."),
        ("High drivers!Re (ohm)!2", None, "E2", '"Re (ohm)": empty; a value is required. '
         "Direct-current resistance of the coil or element."),
        ("High drivers!Re (ohm)!2", "n/a", "E2", '"Re (ohm)": “n/a” stands here; a value is required. '
         "Direct-current resistance of the coil or element."),
        ("High drivers!Shape!2", "rond", "K2", '"Shape": “rond” stands here; it must be one of: round, rectangular. '
         "Did you mean “round”?"),
        ("High drivers!Shape!2", "rectangular", "M2", '"Radiating height (mm)": empty; a rectangular surface needs its '
         "height. Give the height of the radiating surface."),
        ("High drivers!Technology!2", "soft doom", "B2", '"Technology": “soft doom” stands here; '
         "no row of Technologies has this ID. Did you mean “soft dome”?"),
        ("High drivers!Re (ohm)!2", "=A1+1", "E2", '"Re (ohm)": a formula without a stored value stands here; its result is not '
         "known. Open the workbook in a spreadsheet program and save it once."),
    ],
)  # fmt: skip
def test_a_bad_cell_of_a_driver_takes_the_driver_and_its_pairing_out(read, place, value, cell, text):
    catalogue = read({place: value})
    assert errors(catalogue) == [f"High drivers!{cell} {text}", INHERITED.format(f"High drivers!{cell}")]
    assert list(catalogue.high_drivers) == ["HD-2"]
    assert list(catalogue.pairings) == ["P-2"]
    assert [str(problem) for problem in catalogue.unreadable["P-1"]] == [*reversed(errors(catalogue))]
    assert catalogue.problems[0].record_id == "HD-1"


UNCALCULATED = "a formula without a stored value stands here; its result is not known. Open the workbook in a spreadsheet program and save it once."


@pytest.mark.parametrize(
    ("name", "value", "field", "text"),
    [
        ("Peak travel (mm)", "=A1+1", "peak_travel_m", UNCALCULATED),
        ("Peak travel (mm)", "#REF!", "peak_travel_m", "#REF! stands here; the formula gives no value. Mend the formula."),
        ("Price", "=A1+1", "price", UNCALCULATED),
    ],
)  # fmt: skip
def test_a_bad_cell_whose_value_may_be_unknown_counts_as_empty(read, name, value, field, text):
    catalogue = read({f"High drivers!{name}!2": value})
    assert errors(catalogue) == [f'High drivers!{at("High drivers", field)}2 "{name}": {text}']
    driver = catalogue.high_drivers["HD-1"]
    assert getattr(driver, field) is None and driver.unread is None
    assert list(catalogue.pairings) == ["P-1", "P-2"] and not catalogue.unreadable


@pytest.mark.parametrize(
    ("name", "value", "field", "text"),
    [
        ("Radiating height (mm)", 40, "radiating_height_m", "40 mm stands here; a round surface is 25 mm high too. Empty the cell, or "
         "choose rectangular."),
        ("Lowest use (Hz)", "=A1", "lowest_use_hz", UNCALCULATED),
        ("Screen", "perhaps", "screen", "“perhaps” stands here; it must be yes or no. Is there a screen over the diaphragm?"),
        ("Response file", "../a.txt", "response_file", "“../a.txt” stands here; it must be a path inside the workbook's folder. "
         "Copy the file there and give its name."),
        ("Response file", "a.txt", "response_file", "“a.txt” stands here; there is no such file beside the workbook. "
         "Copy the file there, or empty the cell."),
    ],
)  # fmt: skip
def test_a_bad_optional_cell_of_a_driver_leaves_its_pairing_undecided_at_best(read, name, value, field, text):
    catalogue, cell = read({f"High drivers!{name}!2": value}), f"High drivers!{at('High drivers', field)}2"
    assert errors(catalogue) == [f'{cell} "{name}": {text}']
    driver = catalogue.high_drivers["HD-1"]
    assert getattr(driver, field) is None and driver.unread == (field,)
    assert list(catalogue.pairings) == ["P-1", "P-2"] and not catalogue.unreadable
    found = assess(catalogue.case(catalogue.pairings["P-1"]), drawn=False)
    (gap,) = [one for one in found.checks if one.id == "high data"]
    assert (gap.outcome, gap.essential, gap.missing) == ("not assessed", True, driver.named(field))
    assert f" of HD-1 ({cell})" in gap.text
    assert found.verdict.word in ("undecided", "not suitable")


def test_a_cabinet_with_a_bad_optional_cell_is_still_a_cabinet(read):
    catalogue = read({"Cabinets!High driver from top (mm)!2": "high up"})
    assert catalogue.cabinets["CB-1"].unread == ("high_from_top_m",) and "P-1" in catalogue.pairings


def test_a_column_in_a_unit_that_does_not_fit_costs_the_cells_that_hold_something(read):
    def change(book):
        letter = at("Low drivers", "highest_use_hz")
        book["Low drivers"][f"{letter}1"], book["Low drivers"][f"{letter}2"] = "Highest use (kg)", 3000

    catalogue = read(change=change)
    assert [one.unread for one in catalogue.low_drivers.values()] == [("highest_use_hz",), None]
    assert len(errors(catalogue)) == 1

    def wish(book):
        letter = at("Pairings", "distance_m")
        book["Pairings"][f"{letter}1"], book["Pairings"][f"{letter}2"] = "Listening distance (kg)", 2.0
        book["Pairings"][f"{letter}3"] = None

    catalogue = read(change=wish)
    assert list(catalogue.pairings) == ["P-2"] and "Listening distance (kg)" in errors(catalogue)[-1]


@pytest.mark.parametrize(
    ("cells", "text"),
    [
        ({"Low driver!2": "LD-9"}, 'D2 "Low driver": “LD-9” stands here; no row of Low drivers has this ID. '
         "Did you mean “LD-2”?"),
        ({"Cabinet!2": None}, 'M2 "Cabinet": empty; a value is required. ID of the cabinet.'),
        ({"Rear chamber used (mL)!2": 71}, 'L2 "Rear chamber used (mL)": 71 mL stands here; HD-1 is offered with '
         "70, 120, 33 (mL). Choose one of them, or add it to High drivers!Y2."),
        ({"Rear chamber used (mL)!2": 70, "Rear!2": "removed"}, 'L2 "Rear chamber used (mL)": 70 mL stands here; with the '
         "rear removed there is no chamber. Empty the cell, or choose as supplied."),
        ({"Arrangement!2": "low-high-low"}, 'E2 "Low count": the count is 1; low-high-low needs an even count of low '
         "drivers. Give 2, or another arrangement."),
        ({"High count!2": 5, "High wiring!2": "series-parallel"}, 'I2 "High wiring": “series-parallel” stands here; '
         "5 drivers cannot be wired as equal rows. Choose series or parallel, or another count."),
    ],
)  # fmt: skip
def test_a_bad_cell_of_a_pairing_takes_it_out_alone(read, cells, text):
    catalogue = read({f"Pairings!{place}": value for place, value in cells.items()})
    assert errors(catalogue) == [f"Pairings!{text}"]
    assert list(catalogue.pairings) == ["P-2"]
    assert list(catalogue.unreadable) == ["P-1"]


def test_an_open_baffle_does_not_stand_in_a_wall(read):
    """It radiates to both sides; P-2 stands in the same cabinet and says nothing."""
    catalogue = read({"Cabinets!Kind!2": "open baffle", "Pairings!Placement!2": "in a wall"})
    (told,) = (text for text in errors(catalogue) if "in a wall" in text)
    assert told.endswith(
        '"Placement": “in a wall” stands here; CB-1 is an open baffle (Cabinets!B2) and radiates to both sides of it.'
        " Choose another placement, or another cabinet."
    )
    assert list(catalogue.pairings) == ["P-2"]


def test_a_rear_that_does_not_come_off(read):
    catalogue = read({"High drivers!Rear!2": "sealed", "Pairings!Rear!2": "removed"})
    assert errors(catalogue) == [
        'Pairings!K2 "Rear": “removed” stands here; the rear of HD-1 is sealed (High drivers!W2). Choose as supplied.'
    ]


def test_a_guide_that_does_not_fit(read):
    catalogue = read({"Waveguides!Fits!2": "HD-2; metal dome", "Pairings!Waveguide!2": "wg-1"})
    assert errors(catalogue) == [
        'Pairings!J2 "Waveguide": “WG-1” stands here; this guide fits HD-2; metal dome, and HD-1 is a soft dome. '
        "Choose another guide, or add HD-1 to Waveguides!B2."
    ]


def test_a_guide_for_nothing_known(read):
    nobody = "“HD-7” stands here; no high driver and no technology has this name"
    assert errors(read({"Waveguides!Fits!2": "HD-7"}))[0] == f'Waveguides!B2 "Fits": {nobody}. Did you mean “HD-2”?'
    catalogue = read({"Waveguides!Fits!2": "soft dome; HD-7"})
    assert errors(catalogue) == [] and "WG-1" in catalogue.waveguides
    told = [str(problem) for problem in catalogue.problems if problem.heading == "Fits"]
    assert told == [f'Waveguides!B2 "Fits": {nobody}; it does not count. Did you mean “HD-2”?']


@pytest.mark.parametrize(
    ("cells", "text"),
    [
        ({"Parts!Unit!2": "mH"}, 'Parts!D2 "Unit": “mH” stands here; the value of this kind of part (capacitor) is in '
         "uF or nF. Mend the kind or the unit."),
        ({"Parts!Rating unit!2": "W"}, 'Parts!H2 "Rating unit": “W” stands here; the rating of this kind of part '
         "(capacitor) is in V. Mend the unit."),
        ({"Parts!Rating unit!2": None}, 'Parts!H2 "Rating unit": empty; Rating is filled and needs its unit. '
         "Unit of the rating."),
        ({"Parts!Unit!2": None}, 'Parts!D2 "Unit": empty; a value is required. Unit of the value.'),
        ({"Enquiries!Cabinet!2": "CB-2"}, f'Enquiries!{at("Enquiries", "cabinet_id")}2 "Cabinet": “CB-2” stands here; no row of Cabinets has this ID. '
         "Did you mean “CB-1”?"),
    ],
)  # fmt: skip
def test_bad_cells_elsewhere(read, cells, text):
    catalogue = read(cells)
    assert errors(catalogue) == [text]
    assert list(catalogue.pairings) == ["P-1", "P-2"]


def test_cabinets_hold_their_driver(read):
    high = errors(read({"Cabinets!High driver from top (mm)!2": 900}))
    assert high[0] == (
        'Cabinets!H2 "High driver from top (mm)": 900 mm stands here; it must be less than the height of the baffle, 900 mm. '
        "Measure from the upper edge."
    )
    aside = errors(read({"Cabinets!High driver from top (mm)!2": 100, "Cabinets!Offset from centre line (mm)!2": -105}))
    assert aside[0] == (
        'Cabinets!I2 "Offset from centre line (mm)": -105 mm stands here; it must be less than half the width of the '
        "baffle, 105 mm. Measure from the centre line."
    )


def test_a_price_may_carry_the_currency_of_the_maker_and_no_other(read):
    """€ 7,50 is 7.50 in a shop that counts in EUR; dollars are not, and a thousand is as ambiguous as without a sign."""
    typed = {
        "Parts!Price!2": "€ 7,50",
        "Parts!Price!3": "9.20 eur",
        "Low drivers!Price!2": "$ 12",
        "High drivers!Price!2": "1.200 €",
    }
    catalogue = read({**PARTS_OF_TWO, **typed})
    assert [part.price for part in catalogue.parts.values()] == [7.5, 9.2]
    assert [text.partition(";")[0] for text in errors(catalogue)] == [
        'Low drivers!AE2 "Price": “$ 12” stands here', 'High drivers!AN2 "Price": “1.200 €” stands here',
    ]  # fmt: skip


@every(
    ("shown", "counts"),
    [
        ("[$€-407]#,##0.00", True), ('_-* #,##0.00\\ "€"_-', True), ("#,##0.00", True), ('"ca." 0.00', True), ("[$-409]0.00", True),
        ('_("$"* #,##0.00_)', False), ("[$$-409]#,##0.00", False), ("$#,##0", False), ("[$£-809]#,##0", False), ('#,##0.00\\ "zł"', False),
    ],
)  # fmt: skip
def test_a_price_is_in_the_currency_that_its_cell_shows(read, shown, counts):
    """Formats as spreadsheet programs make them of what is typed (ECMA-376 part 1, 18.8.31); the maker of this season counts in EUR."""

    def change(book):
        book["Parts"]["I2"].number_format = shown

    catalogue = read({**PARTS_OF_TWO, "Parts!Price!2": 7.5}, change=change)
    assert next(iter(catalogue.parts.values())).price == (7.5 if counts else None)
    told = [text for text in errors(catalogue) if text.startswith('Parts!I2 "Price": “') and "7.5” stands here" in text]
    assert bool(told) is not counts and all("in the currency" in text for text in told if "zł" not in text)


def test_an_id_that_stands_twice_counts_nowhere(read):
    catalogue = read({"High drivers!ID!3": "hd-1", "High drivers!Price!3": 999})
    assert [text for text in errors(catalogue) if text.startswith("High drivers")] == [
        'High drivers!A2 "ID": “HD-1” stands here and in A3; an ID is used once, and none of these rows counts. '
        "Rename all but one.",
    ]
    assert catalogue.high_drivers == {}
    assert list(catalogue.unreadable) == ["P-1", "P-2"]


def test_an_id_of_both_kinds_of_driver(read):
    assert errors(read({"High drivers!ID!3": "LD-1"}))[0] == (
        'High drivers!A3 "ID": “LD-1” stands here; a low driver has the same ID, and measured curves would be mixed up. '
        "Rename one of the two."
    )


def test_a_pairing_without_a_name_is_called_by_its_cell(read):
    catalogue = read({"Pairings!ID!3": None})
    assert errors(catalogue) == [
        'Pairings!A3 "ID": empty; a value is required. Your own name of the pairing; it names the printed sheet.'
    ]
    assert list(catalogue.unreadable) == ["Pairings!A3"]


PARTS_OF_TWO = {"Parts!ID!3": "C-2", "Parts!Kind!3": "capacitor", "Parts!Value!3": 1, "Parts!Unit!3": "uF"}


@pytest.mark.parametrize(
    ("beneath", "said"),
    [
        ({"Parts!Price!4": 7.5}, "neither an ID nor anything else that is required stands here"),
        ({"Parts!ID!4": "Summe", "Parts!Price!4": 7.5, "Parts!Stock!4": 2}, "a sum of the rows above stands here, and nothing that is required"),
        ({"Parts!Tolerance (%)!4": "%", "Parts!Resistance (ohm)!4": "[Ω]", "Parts!Price!4": "-"}, "only units stand here, those of the headings"),
    ],
)  # fmt: skip
def test_a_row_that_is_no_thing_of_its_sheet_is_noted_and_not_read(read, beneath, said):
    catalogue = read({**PARTS_OF_TWO, "Parts!Price!2": 3, "Parts!Price!3": 4.5, **beneath})
    assert texts(catalogue) == [f'Parts!A4 "ID": {said}; the row is not read.']
    assert list(catalogue.parts) == ["C-1", "C-2"]


def lows(*rows):
    """A sheet of low drivers: an ID and the six figures that are required."""
    heads = ("ID", "Re (ohm)", "Fs (Hz)", "Qms", "Qes", "Sd (cm2)", "Sensitivity (dB 2.83V/1m)")
    return {
        f"Low drivers!{head}!{at}": one for at, row in enumerate(rows, 2) for head, one in zip(heads, row, strict=True)
    }


THREE = (
    ("Alder", 5.6, 42, 4.5, 0.45, 130, 88),
    ("Birch", 6.2, 36, 4.5, 0.41, 150, 89),
    ("Cedar", 3.4, 33, 4.5, 0.38, 215, 91),
)


@pytest.mark.parametrize(
    ("below", "what"),
    [
        (("Mean", 15.2 / 3, 37, 4.5, 1.24 / 3, 165, 268 / 3), "mean"), (("Minimum", 3.4, 33, 4.5, 0.38, 130, 88), "least"),
        (("Mittelwert", 15.2 / 3, 37, 4.5, 1.24 / 3, 165, 268 / 3), "mean"), (("Total", 15.2, 111, 13.5, 1.24, 495, 268), "sum"),
        (("Median", 5.6, 36, 4.5, 0.41, 150, 89.5), ""), (("LD-4", 15.2 / 3, 37, 4.5, 1.24 / 3, 165, 268 / 3), ""),
        (("Copy", 5.6, 42, 4.5, 0.45, 130, 88), ""), (("Dogwood", 5.6, 37, 4.5, 0.45, 165, 88), ""),
    ],
)  # fmt: skip
def test_means_and_the_like_below_a_table_are_no_driver(read, below, what):
    """By hand: the means of 5.6, 6.2 and 3.4 and so on down the columns; the last four are drivers of their own."""
    catalogue = read(lows(*THREE, below))
    noted = [text for text in texts(catalogue) if text.startswith("Low drivers!A5")]
    assert noted == (
        [f'Low drivers!A5 "ID": the {what} of the rows above stands here; the row is not read.'] if what else []
    )
    assert (below[0] in catalogue.low_drivers) is not bool(what)


def test_a_row_of_units_other_than_those_of_the_headings_is_an_error(read):
    wrong = {"Cabinets!Baffle width (mm)!3": "cm", "Cabinets!Baffle height (mm)!3": "mm"}
    assert any("“cm” stands here; it must be a number" in text for text in errors(read(wrong)))


def test_a_row_that_has_its_id_alone_is_one_error(read):
    row = {"Parts!ID!4": "Mean", "Parts!Price!4": 3.75, "Parts!Stock!4": "many"}
    catalogue = read({**PARTS_OF_TWO, "Parts!Price!2": 3, "Parts!Price!3": 4.5, **row})
    assert errors(catalogue) == [
        'Parts!J4 "Stock": “many” stands here; it must be a number. Type it as a number.',
        'Parts!A4 "ID": “Mean” stands here alone; Kind, Value and Unit are required beside it. '
        "Fill them; a row of sums or remarks is not read where its ID is empty.",
    ]
    only = {f"Pairings!{name}!3": None for name in ("Low driver", "High driver", "Cabinet")}
    assert list(read(only).unreadable) == ["P-2"]


def test_a_sheet_of_results_is_no_misspelt_one(read):
    def change(book):
        book["Parts"].title = "Parts of mine"
        book.create_sheet("Run 001 parts")

    assert not any("Run 001" in text for text in texts(read(change=change)))


def test_a_copy_of_a_sheet_is_named(read):
    catalogue = read(change=lambda book: setattr(book.copy_worksheet(book["Pairings"]), "title", "Pairings (2)"))
    assert texts(catalogue) == ["Pairings (2): a numbered sheet; it is not read: its rows count only on “Pairings”."]


def test_references_do_not_regard_case_and_spacing(read):
    catalogue = read({"Pairings!Low driver!2": " ld-1\u00a0", "High drivers!Technology!2": "Soft  Dome"})
    assert catalogue.problems == ()
    assert catalogue.pairings["P-1"].low_id == "LD-1"
    assert catalogue.case(catalogue.pairings["P-1"]).technology.id == "soft dome"


def test_all_problems_are_found_at_once(read):
    catalogue = read({TRAVEL: -3, "High drivers!Shape!2": "oval", "Cabinets!Kind!2": "boxed", "Parts!Value!2": "x"})
    assert len([problem for problem in errors(catalogue) if "Mend that row." not in problem]) == 4
    assert len(catalogue.unreadable["P-1"]) == 4, "its own two and the two they stem from; the travel costs only itself"


def test_unusual_values_are_noticed_and_used(read):
    catalogue = read({TRAVEL: 50})
    assert notices(catalogue) == [
        'High drivers!O2 "Peak travel (mm)": 50 stands here; usual values lie between 0.01 and 10 mm. '
        "Check value and unit."
    ]
    assert catalogue.high_drivers["HD-1"].peak_travel_m == pytest.approx(0.05)


def test_a_number_is_told_in_the_unit_of_its_heading(read):
    """50 000 um are 50 mm; "50000 stands here; usual values lie between 0.01 and 10 mm" would name no unit at all."""
    travel = "High drivers!Peak travel (mm)!"
    catalogue = read({f"{travel}2": 50000, f"{travel}3": -300, f"{travel}1": "Peak travel (um)"})
    assert notices(catalogue) == [
        'High drivers!O2 "Peak travel (mm)": 50000 stands here, in um by its heading; usual values lie between 0.01 and 10 mm. '
        "Check value and unit."
    ]
    assert errors(catalogue)[0].startswith(
        'High drivers!O3 "Peak travel (mm)": -300 stands here, in um by its heading; it must be greater than 0.'
    )


def test_a_dash_counts_as_empty(read):
    catalogue = read({TRAVEL: "–"})
    assert texts(catalogue) == ['High drivers!O2 "Peak travel (mm)": “–” stands here; it counts as empty.']
    assert catalogue.high_drivers["HD-1"].peak_travel_m is None


def test_headings_in_any_order_case_spacing_and_unit(read):
    def change(book):
        sheet = book["Cabinets"]
        sheet["A1"], sheet["C1"], sheet["D1"], sheet["F1"] = (
            "id",
            "BAFFLE  width [cm]",
            "Baffle-height",
            "Net Volume (ℓ)",
        )
        sheet["C2"] = 21
        sheet.move_range("A1:C2", cols=20)

    catalogue = read(change=change)
    assert catalogue.problems == ()
    cabinet = catalogue.cabinets["CB-1"]
    assert (cabinet.baffle_width_m, cabinet.baffle_height_m) == pytest.approx((0.21, 0.9))
    assert cabinet.origin.place("baffle_width_m") == "Cabinets!W2"


def test_headings_below_a_title(read):
    """What an operator sets above a table is passed over, and every cell is named where it stands."""

    def titled(book):
        sheet = book["Low drivers"]
        sheet.insert_rows(1, 3)
        sheet["A1"], sheet["A2"] = "Woofers of the season", "as of May"
        sheet.merge_cells("A1:F1")
        book["Cabinets"].insert_rows(1)  # an empty one
        book["Cabinets"].delete_cols(2)

    catalogue = read(change=titled)
    assert catalogue.low_drivers["LD-1"].diaphragm_area_m2 == pytest.approx(0.013)
    assert catalogue.low_drivers["LD-1"].origin.place("fs_hz") == f"Low drivers!{at('Low drivers', 'fs_hz')}5"
    assert "Low drivers!rows 1-3: the headings stand in row 4; what stands above the headings is not read." in notices(
        catalogue
    )
    width = described("Cabinets").columns[1]
    assert [one for one in errors(catalogue) if one.startswith("Cabinets")] == [
        f'Cabinets!2 "{width.heading}": no such heading stands in row 2; this column is required, and no row can be used without it. {width.help}'
    ]


def test_what_stands_in_a_cell_is_told_as_it_was_typed(read):
    """19000 and 12345.5, not 1.9e+04 and 1.235e+04."""
    catalogue = read({"Pairings!Crossover (Hz)!2": 19000, "Low drivers!Cone break-up (Hz)!2": 12345.5})
    assert [text for text in notices(catalogue) if "lies over" in text] == [
        f'Pairings!{at("Pairings", "crossover_hz")}2 "Crossover (Hz)": 19000 Hz stands here; it lies over the cone break-up of LD-1, '
        f"12345.5 Hz (Low drivers!{at('Low drivers', 'breakup_hz')}2). Check the frequency."
    ]


def test_headings_that_cannot_be_used(read):
    def change(book):
        sheet = book["Low drivers"]
        sheet["G1"], sheet["N1"], sheet["AH1"], sheet["AI1"] = "Fs (bar)", "Xmax (Hz)", "Suplier", "Price (EUR)"

    catalogue = read(change=change)
    assert texts(catalogue)[:4] == [
        'Low drivers!G1 "Fs (bar)": “bar” is no unit of this column; it must be Hz. '
        "Write Fs (Hz). Until then the column is not read.",
        'Low drivers!N1 "Xmax (Hz)": “Hz” is no unit of this column; it must be mm. '
        "Write Xmax (mm). Until then the column is not read.",
        'Low drivers!AH1 "Suplier": no such column is known; it is kept and not read.',
        'Low drivers!AI1 "Price (EUR)": the same heading as AE1; this column is not read. '
        "Delete or rename one of the two.",
    ]
    assert catalogue.low_drivers == {}
    assert catalogue.unreadable["P-1"][1].cell == "G1", "the cause of the missing resonance is the heading"


def test_a_required_column_that_is_missing(read):
    catalogue = read(change=lambda book: book["Cabinets"].delete_cols(4))
    assert errors(catalogue)[0] == (
        'Cabinets!1 "Baffle height (mm)": no such heading stands in row 1; this column is required, and no row can be '
        "used without it. Height of the front."
    )
    assert list(catalogue.unreadable) == ["P-1", "P-2"]


def test_merged_cells(read):
    def change(book):
        sheet = book["High drivers"]
        sheet.merge_cells("E2:E3")

    catalogue = read(change=change)
    assert errors(catalogue)[0] == (
        'High drivers!E3 "Re (ohm)": merged with E2; a value is required. Unmerge the cells and fill each of them.'
    )
    assert catalogue.high_drivers["HD-1"].re_ohm == 5.4


def with_parts(path: Path, changes: dict[str, tuple[bytes, bytes]]) -> Path:
    """The package with bytes replaced inside named parts: what no library would write."""
    buffer = BytesIO()
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = old.read(name)
            if name in changes:
                assert changes[name][0] in content
                content = content.replace(*changes[name], 1)
            new.writestr(name, content)
    path.write_bytes(buffer.getvalue())
    return path


def test_what_a_merged_cell_hides_is_said_and_not_read(season):
    merged = b'</sheetData><mergeCells count="1"><mergeCell ref="N3:O3"/></mergeCells>'
    with_parts(season, {"xl/worksheets/sheet3.xml": (b"</sheetData>", merged)})
    catalogue = read_catalogue(season)
    assert texts(catalogue) == [
        'High drivers!O3 "Peak travel (mm)": merged with N3, which hides 0.3; it counts as empty. '
        "Unmerge the cells and fill each of them."
    ]
    assert catalogue.high_drivers["HD-2"].peak_travel_m is None


def test_hidden_rows_are_read(read):
    def change(book):
        for row in (2, 3, 9):
            book["Low drivers"].row_dimensions[row].hidden = True

    catalogue = read(change=change)
    assert texts(catalogue) == [
        "Low drivers!rows 2-3: hidden; hidden rows are read like any other. Delete what must not count."
    ]
    assert len(catalogue.low_drivers) == 2


def test_rows_far_below_are_named(read):
    catalogue = read(change=lambda book: book["Low drivers"].__setitem__("A3000", "LD-7"))
    assert texts(catalogue) == [
        "Low drivers!1005: more than 1000 empty rows stand above; rows 1005 to 3000 are not read. Move the rows up."
    ]


def test_a_formatted_row_at_the_very_end_costs_nothing(season):
    last = b'<row r="1048576"><c r="A1048576" s="1"/></row></sheetData>'
    with_parts(season, {"xl/worksheets/sheet2.xml": (b"</sheetData>", last)})
    assert read_catalogue(season).problems == ()


def test_formulas_count_by_their_stored_value(tmp_path):
    """Written with another library, which stores the values it is told."""
    path = tmp_path / "formulas.xlsx"
    sheets = {
        "Low drivers": {"ID": "LD-1", "Re": ("=5+0.6", 5.6), "Fs": 42, "Qms": 4.5, "Qes": 0.5, "Sd": 130, "Sensitivity": 88,
                        "Xmax": ('=""', ""), "Le": ("=NA()", "#N/A")},
        "High drivers": {"ID": "HD-1"}, "Cabinets": {"ID": "CB-1"}, "Pairings": {"ID": "P-1"},
    }  # fmt: skip
    with xlsxwriter.Workbook(path) as book:
        for name, row in sheets.items():
            sheet = book.add_worksheet(name)
            for column, (heading, value) in enumerate(row.items()):
                sheet.write(0, column, heading)
                if isinstance(value, tuple):
                    sheet.write_formula(1, column, value[0], None, value[1])
                else:
                    sheet.write(1, column, value)
    empty_text = (
        b'<c r="H2"><f>""</f><v></v>',
        b'<c r="H2" t="str"><f>""</f><v></v>',
    )  # as spreadsheet programs store it
    catalogue = read_catalogue(with_parts(path, {"xl/worksheets/sheet1.xml": empty_text}))
    found = [text for text in errors(catalogue) if text.startswith("Low drivers")]
    assert found == ['Low drivers!I2 "Le (mH)": #N/A stands here; the formula gives no value. Mend the formula.']


def test_a_percentage_is_what_the_cell_shows(read):
    def change(book):
        book["Parts"]["E2"].value, book["Parts"]["E2"].number_format = 0.05, "0%"
        book["Low drivers"]["H2"].number_format = "0.0%"

    catalogue = read(change=change)
    assert catalogue.parts["C-1"].tolerance == pytest.approx(0.05)
    assert errors(catalogue)[0] == (
        'Low drivers!H2 "Qms": 450 % stands here; it must be a number. Format the cell as a number and type the value again.'
    )


def test_the_second_row_of_the_maker(read):
    catalogue = read({"Maker!Name!2": "Reed & Rush", "Maker!Name!3": "Another", "Maker!Paper size!2": "A5"})
    assert errors(catalogue) == [
        f'Maker!{at("Maker", "paper")}2 "Paper size": “A5” stands here; it must be one of: A4, Letter. Paper of the printed sheets.',
        'Maker!A3 "Name": a second row; only the first row counts. Delete it.',
    ]
    assert (catalogue.maker.name, catalogue.maker.paper) == ("Reed & Rush", "A4")


def test_a_logo_that_is_none(read, season):
    (season.parent / "logo.txt").write_text("no picture")
    catalogue = read({"Maker!Logo file!2": "logo.txt", "Maker!Name!2": "Reed & Rush"})
    assert errors(catalogue) == [
        'Maker!E2 "Logo file": “logo.txt” stands here; it must be a PNG, JPEG or SVG file. '
        "PNG, JPEG or SVG in the workbook's folder."
    ]
    assert (catalogue.maker.name, catalogue.maker.logo_file) == ("Reed & Rush", None)


@pytest.mark.parametrize(
    ("cells", "expected"),
    [
        ({"Practice!Value!2": "cold"}, [
            'Practice!B2 "Value": “cold” stands here; it must be a number. Type it as a number.',
            'Practice!B2 "Value": the rule cannot be used. Until that is mended, the shipped value 20 degC is used.']),
        ({"Practice!Value!4": 0}, [
            'Practice!B4 "Value": 0 stands here; it must be greater than 0. '
            "Until it is mended, the shipped value 4 is used."]),
        ({"Practice!Unit!2": "Hz"}, [
            'Practice!C2 "Unit": “Hz” stands here; it must be degC. '
            "Until it is mended, the shipped value 20 degC is used."]),
        ({"Practice!Name!2": "air temp"}, [
            'Practice!A2 "Name": “air temp” stands here; no rule has this name; it is not used. '
            "Did you mean “air temperature”?",
            "Practice: rules are missing; the shipped values are used for: air temperature. "
            "Copy the rows from a blank workbook to make them your own."]),
    ],
)  # fmt: skip
def test_rules_that_cannot_be_used_stay_as_shipped(read, cells, expected):
    catalogue = read(cells)
    assert texts(catalogue) == expected
    assert catalogue.practice["air temperature"] == 20.0
    assert catalogue.practice["resonance factor order 1"] == 4.0


@pytest.mark.parametrize(("value", "unit"), [(2.5, None), (0.4, None), (250, "%")])
def test_a_rule_that_counts_takes_whole_numbers_only(read, value, unit):
    """Half a loudspeaker was 2 of them in some places and 3 in others."""
    row = 2 + [name for name, *_ in trade.PRACTICE_ROWS].index("loudspeakers a kit")
    catalogue = read({f"Practice!Value!{row}": value, **({f"Practice!Unit!{row}": unit} if unit else {})})
    assert errors(catalogue) == [
        f'Practice!B{row} "Value": {value:g} stands here; it must be a whole number. '
        "Until it is mended, the shipped value 2 is used."
    ]
    assert catalogue.practice.loudspeakers_a_kit == 2
    assert read({f"Practice!Value!{row}": 3, f"Practice!Unit!{row}": None}).practice.loudspeakers_a_kit == 3


@pytest.mark.parametrize(("value", "taken"), [(99.9, 0.999), (100, None), (150, None)])
def test_a_tolerance_is_less_than_the_whole(read, value, taken):
    """A capacitor of 4.7 uF plus or minus 100 % could be none at all."""
    row = 2 + [name for name, *_ in trade.PRACTICE_ROWS].index("capacitor tolerance")
    catalogue = read({f"Practice!Value!{row}": value})
    bad = [
        f'Practice!B{row} "Value": {value:g} stands here; it must be less than 100 %. Until it is mended, the shipped value 5 % is used.'
    ]
    assert errors(catalogue) == ([] if taken else bad)
    assert catalogue.practice["capacitor tolerance"] == pytest.approx(taken or 0.05)


def test_no_slope_is_nothing_down_where_the_cone_breaks_up(read):
    """0 dB were taken: every pairing was lost, and a screen ended in an error."""
    row = 2 + [name for name, *_ in trade.PRACTICE_ROWS].index("break-up attenuation")
    catalogue = read({f"Practice!Value!{row}": 0})
    assert errors(catalogue) == [
        f'Practice!B{row} "Value": 0 stands here; it must be greater than 0. Until it is mended, the shipped value 20 dB is used.'
    ]
    assert catalogue.practice["break-up attenuation"] == 20.0
    assert read({f"Practice!Value!{row}": 0.5}).practice["break-up attenuation"] == 0.5


def test_the_wanted_response_may_fall(read):
    """Its own row says that a negative tilt falls: half a decibel an octave is what many voice for (common practice, no source)."""
    row = 2 + [name for name, *_ in trade.PRACTICE_ROWS].index("voicing tilt")
    catalogue = read({f"Practice!Value!{row}": -0.5})
    assert catalogue.problems == () and catalogue.practice["voicing tilt"] == -0.5


def test_rules_may_be_given_in_another_unit(read):
    catalogue = read({"Practice!Value!3": 100, "Practice!Unit!3": "kPa"})
    assert catalogue.problems == ()
    assert catalogue.practice["air pressure"] == pytest.approx(1e5)


def test_further_bands_of_the_programme_count(read):
    def change(book):
        book["Practice"].append(["Programme level 20 Hz", -9, "dB"])

    bands, levels = read(change=change).practice.programme
    assert (bands[0], levels[0], len(bands)) == (20.0, -9.0, 11)


def test_without_the_sheets_that_may_be_missing(read):
    def change(book):
        for name in ("Practice", "Technologies", "Maker", "Waveguides", "Parts", "Enquiries", "Read me"):
            del book[name]

    catalogue = read(change=change)
    assert errors(catalogue) == []
    assert notices(catalogue)[0] == (
        'Technologies "Technology": there is no row “soft dome”; the shipped row is used. '
        "Copy the row from a blank workbook to make it your own."
    )
    assert notices(catalogue)[1].startswith("Practice: rules are missing; the shipped values are used for: air temp")
    assert len(catalogue.practice.rules) == len(trade.PRACTICE_ROWS)
    assert catalogue.technologies["soft dome"].bare_floor_hz == 2000.0
    assert catalogue.maker.currency == "EUR"


def test_a_sheet_with_nearly_the_right_name(read):
    def change(book):
        book["Waveguides"].title = "Wave guide"
        book["Low drivers"].title = "LOW  DRIVERS"

    assert texts(read(change=change)) == [
        "Wave guide: no such sheet is known; it is not read. Did you mean “Waveguides”?"
    ]


def test_required_sheets_that_are_missing(read):
    def change(book):
        del book["Cabinets"]
        book["Pairings"].title = "Pairing"
        book["High drivers"].title = "Small ones"  # which “Low drivers” are not, however alike the name

    with pytest.raises(WorkbookUnusable) as caught:
        read(change=change)
    assert [str(problem) for problem in caught.value.problems] == [
        "season.xlsx: there is no sheet “High drivers”, which is required. Add it, or rename the one that stands for it: one row is one high-frequency driver.",
        "season.xlsx: there is no sheet “Cabinets”, which is required. Add it, or rename the one that stands for it: one row is one cabinet or open baffle.",
        "season.xlsx: there is no sheet “Pairings”, which is required. Did you mean “Pairing”?",
    ]


@every(
    ("content", "text"),
    [
        (b"", "the file is empty."),
        (b"ID;Re", "the file is no .xlsx or .xlsm file"),
        (bytes.fromhex("D0CF11E0A1B11AE1"), "the file is in the old binary format (.xls)"),
        (bytes.fromhex("D0CF11E0A1B11AE1") + "EncryptedPackage".encode("utf-16-le"), "the file is encrypted"),
    ],
)
def test_files_that_are_no_workbook(tmp_path, content, text):
    path = tmp_path / "odd.xlsx"
    path.write_bytes(content)
    with pytest.raises(WorkbookUnusable, match=r"^odd\.xlsx: ") as caught:
        read_catalogue(path)
    assert str(caught.value).startswith(f"odd.xlsx: {text}")


def test_files_that_cannot_be_reached(tmp_path):
    with pytest.raises(WorkbookUnusable) as caught:
        read_catalogue(tmp_path / "none.xlsx")
    assert str(caught.value) == f"none.xlsx: there is no such file in {tmp_path}. Check the name."
    with pytest.raises(WorkbookUnusable) as caught:
        read_catalogue(Path("surely-none.xlsx"))
    assert str(caught.value) == "surely-none.xlsx: there is no such file in this folder. Check the name."
    with pytest.raises(WorkbookUnusable, match="cannot be read"):
        read_catalogue(tmp_path)


def test_a_damaged_sheet(season):
    with_parts(season, {"xl/worksheets/sheet2.xml": (b"</sheetData>", b"</oops>")})
    with pytest.raises(WorkbookUnusable, match=r"^season\.xlsx: the workbook is damaged \(ParseError: "):
        read_catalogue(season)


def test_decorations_do_no_harm(read):
    def change(book):
        sheet = book["Low drivers"]
        sheet["A2"].comment = Comment("checked", "someone")
        sheet["B2"].hyperlink = "https://example.org"
        book.create_sheet("Run 001 summary")["A1"] = "Pairing"
        book.create_sheet("My notes")

    assert read(change=change).problems == ()


def test_the_demo_season_comes_back_as_it_was_written(tmp_path):
    path = tmp_path / "demo.xlsx"
    tables = demo_tables()
    write_workbook(path, tables)
    for name, text in demo_files().items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    catalogue = read_catalogue(path)
    assert errors(catalogue) == []
    assert {curve.file for curve in catalogue.curves.values()} == set(demo_curve_files())
    for sheet in SHEETS:
        if sheet.name in ("Maker", "Practice") or sheet.name not in tables:
            continue
        records = getattr(catalogue, sheet.name.lower().replace(" ", "_"))
        assert len(records) == len(tables[sheet.name])
        for row in tables[sheet.name]:
            for column in sheet.columns:
                if column.kind is Kind.NUMBER and row.get(column.field) is not None:
                    unit = column.unit or row.get(column.unit_field, "")
                    wanted = row[column.field] * UNITS[unit]
                    assert getattr(records[row["id"]], column.field) == pytest.approx(wanted, rel=1e-12, abs=0)


def test_files_stand_beside_the_workbook_itself_where_a_link_leads_to_it(season, tmp_path, monkeypatch):
    looked_in = []
    monkeypatch.setattr(reading, "relate", lambda _, folder: looked_in.append(folder) or {})
    (tmp_path / "desk").mkdir()
    (tmp_path / "desk" / "link.xlsx").symlink_to(season)
    for path in (season, tmp_path / "desk" / "link.xlsx"):
        read_catalogue(path)
    assert looked_in == [tmp_path, tmp_path]


def test_a_blank_that_is_filled_by_hand(tmp_path, tables):
    path = tmp_path / "hand.xlsx"
    write_workbook(path, {})
    book = load_workbook(path)
    for name, rows in tables.items():
        sheet = book[name]
        headings = [str(cell.value).removesuffix(" *") for cell in sheet[1]]
        described = next(one for one in SHEETS if one.name == name)
        for number, row in enumerate(rows, 2):
            for field, value in row.items():
                sheet.cell(number, headings.index(described.column(field).heading) + 1, value)
    book.save(path)
    catalogue = read_catalogue(path)
    assert catalogue.problems == ()
    assert len(catalogue.pairings) == 2


@pytest.mark.parametrize("name", ["silk dome", "Textile Dome", "soft dome"])
def test_a_kind_of_driver_is_known_by_its_other_names(read, name):
    catalogue = read({"High drivers!Technology!2": name})
    assert errors(catalogue) == []
    assert catalogue.high_drivers["HD-1"].technology == "soft dome"


def test_a_pairing_may_cut_its_cabinet_elsewhere(read):
    catalogue = read({"Pairings!High driver from top (mm)!2": 123})
    pairing = catalogue.pairings["P-1"]
    assert catalogue.case(pairing).cabinet.high_from_top_m == pytest.approx(0.123)
    assert catalogue.cabinets[pairing.cabinet_id].high_from_top_m != pytest.approx(0.123)
    far = read({"Pairings!High driver from top (mm)!2": 2300})
    assert "it must be less than the height of the baffle" in errors(far)[0]


def test_a_bad_cell_that_may_be_unknown_costs_only_what_needs_it(read):
    catalogue = read({TRAVEL: -3, "High drivers!Price!2": "dear"})
    assert [text.partition(" stands")[0] for text in errors(catalogue)] == [
        'High drivers!O2 "Peak travel (mm)": -3', f'High drivers!{at("High drivers", "price")}2 "Price": “dear”'
    ]  # fmt: skip
    assert catalogue.high_drivers["HD-1"].peak_travel_m is None and catalogue.high_drivers["HD-1"].price is None
    assert catalogue.unreadable == {}


def test_a_bad_cell_whose_emptiness_would_mean_something_costs_its_row(read):
    catalogue = read({"Pairings!Crossover (Hz)!2": -5})
    assert list(catalogue.unreadable) == ["P-1"], "empty would mean that the program chooses"


def test_a_row_that_says_the_same_again_is_one_problem_and_costs_nothing(read):
    def again(book):
        sheet = book["High drivers"]
        sheet.append([cell.value for cell in sheet[2]])

    catalogue = read(change=again)
    assert errors(catalogue) == ['High drivers!A4 "ID": the same row as 2; it counts once. Delete one of the two.']
    assert list(catalogue.pairings) == ["P-1", "P-2"] and catalogue.unreadable == {}


def test_an_example_row_is_not_read(read):
    def example(book):
        sheet = book["High drivers"]
        sheet.append(["(example) HD-99", *["nonsense"] * 20])

    catalogue = read(change=example)
    assert errors(catalogue) == [] and "HD-99" not in " ".join(catalogue.high_drivers)


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({"Low drivers!Sd (cm2)!2": 13.3, "Low drivers!Frame width (mm)!2": 170}, "a frame of 170 mm usually holds 30% to 100%"),
        ({"Pairings!Crossover (Hz)!2": 250}, "no high driver of the usual kinds is crossed over under 400 Hz"),
        ({"Cabinets!Kind!2": "closed", "Cabinets!Tuning (Hz)!2": 45}, "a cabinet of kind closed has no tuning"),
        ({"Cabinets!Baffle width (mm)!2": 200, "Cabinets!Baffle height (mm)!2": 360, "Cabinets!Depth (mm)!2": 260, "Cabinets!Net volume (L)!2": 18.8},
         "the outside holds 18.7 L"),
        ({"Low drivers!Cut-out diameter (mm)!2": 180, "Low drivers!Frame width (mm)!2": 170}, "must cover the cut-out measures 170"),
        ({"High drivers!Cut-out width (mm)!2": 104, "High drivers!Faceplate width (mm)!2": 104}, "must cover the cut-out measures 104"),
    ],
)  # fmt: skip
def test_what_can_hardly_be_is_warned_of_before_anything_is_printed(read, cells, said):
    catalogue = read(cells)
    assert errors(catalogue) == []
    assert any(said in text for text in notices(catalogue)), notices(catalogue)


@pytest.mark.parametrize(("kind", "warned"), [("soft dome", True), ("compression driver", False)])
def test_a_diaphragm_behind_a_throat_is_larger_than_what_radiates(read, kind, warned):
    """A round 25 mm has 4.91 cm2; a diaphragm of 75 mm, 44 cm2, works through a throat of that width, but is no dome of it."""
    cells = {
        "Technology": kind,
        "Shape": "round",
        "Radiating width (mm)": 25,
        "Radiating height (mm)": None,
        "Sd (cm2)": 44,
    }
    catalogue = read({f"High drivers!{name}!2": value for name, value in cells.items()})
    assert any("a surface of that outline has about 4.91 cm2" in text for text in notices(catalogue)) == warned


def test_figures_of_one_row_that_contradict_one_another_are_warned_of(read):
    """Small 1972: Fs = 1/(2 pi sqrt(Mms Vas/(1.4 p0 Sd^2))); by hand for 14 g, 24.6 L, 130 cm2: 42.1 Hz."""
    figures = {"Vas (L)": 24.6, "Mms (g)": 14.0, "Sd (cm2)": 130}
    right = read({**{f"Low drivers!{name}!2": value for name, value in figures.items()}, "Low drivers!Fs (Hz)!2": 42})
    wrong = read({**{f"Low drivers!{name}!2": value for name, value in figures.items()}, "Low drivers!Fs (Hz)!2": 60})
    assert not any("make it" in text for text in notices(right))
    assert any("Vas, Sd and Mms make it 42" in text for text in notices(wrong))


@pytest.mark.parametrize(
    ("looks", "value", "said"),
    [
        ("", "INF", "“INF” stands here; it must be a number. Type it as a number."),
        (' t="n"', "5,6,7", "“5,6,7” stands here; it must be a number. Type it as a number."),
        (' t="s"', "99999", "a value that cannot be read stands here; the file is damaged there. Type it again and save the workbook."),
        (' t="s"', "-1", "a value that cannot be read stands here; the file is damaged there. Type it again and save the workbook."),
        (' t="d"', "0.3", "a value that cannot be read stands here; the file is damaged there. Type it again and save the workbook."),
    ],
)  # fmt: skip
def test_a_stored_value_that_is_none_is_an_error_at_its_cell(season, looks, value, said):
    """ECMA-376 part 1, 18.3.1.4: a cell's type says what its stored value is, a string by its place in the list of strings."""
    part = "xl/worksheets/sheet3.xml"
    cell = re.search(rb'<c r="E2"[^>]*>.*?</c>', zipfile.ZipFile(season).read(part))
    with_parts(season, {part: (cell[0], f'<c r="E2"{looks}><v>{value}</v></c>'.encode())})
    catalogue = read_catalogue(season)
    assert f'High drivers!E2 "Re (ohm)": {said}' in errors(catalogue)
    assert "LD-1" in catalogue.low_drivers, "everything else is read"
