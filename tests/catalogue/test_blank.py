"""The workbook to fill: what stands in it, and that it is always the same."""

from __future__ import annotations

import datetime as dt

import pytest
from openpyxl import load_workbook

from reportgen.catalogue.blank import EXAMPLES, blank_tables
from reportgen.catalogue.columns import SHEETS, Kind
from reportgen.catalogue.demo import demo_tables
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.reference import columns_reference
from reportgen.catalogue.tables import EXAMPLE
from reportgen.catalogue.trade import PRACTICE_ROWS, TECHNOLOGY_ROWS
from tests.workbooks import write_workbook


@pytest.fixture(scope="module")
def blank(tmp_path_factory):
    path = tmp_path_factory.mktemp("blank") / "blank.xlsx"
    write_workbook(path, blank_tables())
    return load_workbook(path)


def test_sheets_and_headings(blank):
    assert blank.sheetnames == ["Read me", *(sheet.name for sheet in SHEETS)]
    for sheet in SHEETS:
        page = blank[sheet.name]
        stars = [column.heading + (" *" if column.required else "") for column in sheet.columns]
        assert [cell.value for cell in page[1]] == stars
        assert [cell.font.bold for cell in page[1]] == [column.required for column in sheet.columns]


def test_a_blank_reads_without_a_word(blank, tmp_path):
    path = tmp_path / "blank.xlsx"
    blank.save(path)
    catalogue = read_catalogue(path)
    assert catalogue.problems == ()
    assert catalogue.pairings == {}
    assert len(catalogue.practice.rules) == len(PRACTICE_ROWS)
    assert list(catalogue.technologies) == [row["id"] for row in TECHNOLOGY_ROWS]


def test_notes_say_what_is_allowed_and_what_an_empty_cell_means(blank):
    notes = {cell.value: cell.comment.text for cell in blank["Pairings"][1]}
    assert notes["Listening distance (m)"] == (
        "From the baffle to the seat.\nHolds a number, greater than 0.\nUsual: 0.3 to 30 m.\nEmpty: 2.5 m."
        "\nGroup: place, listener and wish."
    )
    assert (
        notes["Low driver *"]
        == "ID of the low driver.\nHolds an ID of another sheet: Low drivers.\nRequired.\nGroup: drivers and cabinet."
    )
    assert all(cell.comment for sheet in SHEETS for cell in blank[sheet.name][1])


def validations(page):
    return {str(check.sqref): check for check in page.data_validations.dataValidation}


def test_drop_downs_and_checks(blank):
    pairings = validations(blank["Pairings"])
    assert pairings["D2:D2000"].formula1 == "'Low drivers'!$A$2:$A$2000"
    assert pairings["D2:D2000"].errorStyle == "warning"
    assert pairings["F2:F2000"].formula1 == '"series,parallel,series-parallel"'
    count = pairings["E2:E2000"]
    assert (count.type, count.operator, count.formula1, count.formula2) == ("whole", "between", "1", "16")
    travel = validations(blank["High drivers"])["O2:O2000"]
    assert (travel.type, travel.operator, travel.formula1) == ("decimal", "greaterThan", "0")
    tilt = next(c for r, c in validations(blank["Cabinets"]).items() if r.startswith("K2:"))
    assert (tilt.formula1, tilt.formula2) == ("-30", "45")
    for sheet in SHEETS:
        for check in blank[sheet.name].data_validations.dataValidation:
            assert len(check.formula1) <= 255, "the bound of spreadsheet programs on a list"
            assert len(check.error) <= 255
            assert len(check.errorTitle) <= 32


def test_pages_are_set_up(blank):
    for sheet in SHEETS:
        page = blank[sheet.name]
        assert page.freeze_panes == "B2"
        assert page.page_setup.orientation == "landscape"
        assert page.sheet_properties.pageSetUpPr.fitToPage
        assert page.print_title_rows == "$1:$1"
        assert page.sheet_properties.tabColor.rgb.endswith(sheet.tab)
        assert all(7 <= page.column_dimensions[cell.column_letter].width <= 80 for cell in page[1])


def test_the_same_rows_make_the_same_bytes(tmp_path):
    for name in ("a.xlsx", "b.xlsx"):
        write_workbook(tmp_path / name, demo_tables())
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()


def test_rows_are_written_as_people_write_them(tmp_path):
    path = tmp_path / "rows.xlsx"
    high = {"id": "HD-1", "screen": True, "other_chambers_m3": (70.0, 120.5), "notes": "=not a formula", "stock": None}
    pairing = {"id": "P-1", "decided_on": "2025-03-31"}
    write_workbook(path, {"High drivers": [high], "Pairings": [pairing], "Maker": []})
    book = load_workbook(path)
    cells = {cell.value: book["High drivers"].cell(2, cell.column) for cell in book["High drivers"][1]}
    assert cells["Screen"].value == "yes"
    assert cells["Other chambers (mL)"].value == "70; 120.5"
    assert (cells["Notes"].value, cells["Notes"].data_type) == ("=not a formula", "s")
    decided = next(cell for cell in book["Pairings"][1] if cell.value == "Decided on")
    assert book["Pairings"].cell(2, decided.column).value == dt.datetime(2025, 3, 31)
    assert book["Maker"]["A2"].value is None
    assert [row[0].value for row in book["Practice"].iter_rows(min_row=2)] == [row[0] for row in PRACTICE_ROWS]


def test_what_the_description_does_not_know_is_refused(tmp_path):
    with pytest.raises(KeyError, match="Low drivers has no column for colour"):
        write_workbook(tmp_path / "x.xlsx", {"Low drivers": [{"id": "LD-1", "colour": "red"}]})
    with pytest.raises(KeyError, match="Midrange"):
        write_workbook(tmp_path / "x.xlsx", {"Midrange": []})


def test_the_reference_names_every_column():
    text = columns_reference()
    for sheet in SHEETS:
        section = text.split(f"### {sheet.name}\n")[1].split("\n### ")[0]
        rows = [line for line in section.splitlines() if line.startswith("| ")][2:]
        assert len(rows) == len(sheet.columns)
        for row, column in zip(rows, sheet.columns, strict=True):
            assert column.heading in row
            assert column.help in row
            assert row.count("|") == 5, "no cell of the table holds the sign that parts them"
    assert "| **Re (ohm)** \\* | a number, greater than 0 | not allowed | Direct-current resistance" in text
    assert "| Slope | LR2, LR4, LR8, BW1, BW2, BW3, BW4, BE2, BE3, BE4 | LR4 |" in text


def test_dates_of_the_demo_are_dates(tmp_path):
    path = tmp_path / "demo.xlsx"
    write_workbook(path, demo_tables())
    received = [enquiry.received for enquiry in read_catalogue(path).enquiries.values()]
    assert all(type(day) is dt.date for day in received)
    assert any(column.kind is Kind.DATE for sheet in SHEETS for column in sheet.columns)


def test_every_example_is_a_row_that_would_be_read(tmp_path):
    """Without its mark it makes a record and no problem; with it there is nothing to read."""
    path = tmp_path / "blank.xlsx"
    write_workbook(path, blank_tables())
    blank = read_catalogue(path)
    filled = (
        blank.low_drivers,
        blank.high_drivers,
        blank.waveguides,
        blank.cabinets,
        blank.pairings,
        blank.parts,
        blank.enquiries,
    )
    assert not any(filled) and not blank.problems
    assert set(EXAMPLES) == {sheet.name for sheet in SHEETS[:7]}
    rows = {name: [{**row, "id": row["id"].removeprefix(EXAMPLE).strip()}] for name, row in EXAMPLES.items()}
    write_workbook(path, rows)
    found = read_catalogue(path)
    assert [problem for problem in found.problems if not problem.notice] == []
    assert list(found.pairings) == ["P-1"] and list(found.enquiries) == ["E-1"] and list(found.parts) == ["C-1"]
