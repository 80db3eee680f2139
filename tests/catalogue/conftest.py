"""A small season to spoil: every test starts from rows that can be used and changes single cells."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook

from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Catalogue
from tests.shared import shared
from tests.workbooks import write_workbook

LOW = {
    "id": "LD-1", "re_ohm": 5.6, "fs_hz": 42, "qms": 4.5, "qes": 0.5, "diaphragm_area_m2": 130,
    "sensitivity_db": 88.5, "peak_travel_m": 5,
}  # fmt: skip
HIGH = {
    "id": "HD-1", "technology": "soft dome", "re_ohm": 5.4, "shape": "round", "radiating_width_m": 25,
    "sensitivity_db": 91, "rear": "removable", "rear_chamber_m3": 33, "other_chambers_m3": "70; 120", "peak_travel_m": 0.3,
}  # fmt: skip
CABINET = {"id": "CB-1", "kind": "closed", "baffle_width_m": 210, "baffle_height_m": 900, "high_from_top_m": 120}
PAIRING = {"id": "P-1", "low_id": "LD-1", "high_id": "HD-1", "cabinet_id": "CB-1"}
GUIDE = {
    "id": "WG-1", "fits": "soft dome", "mouth_width_m": 160, "mouth_height_m": 160,
    "horizontal_coverage_rad": 90, "vertical_coverage_rad": 90,
}  # fmt: skip
PART = {"id": "C-1", "kind": "capacitor", "value": 4.7, "unit": "uF", "rating": 160, "rating_unit": "V"}
ENQUIRY = {"id": "E-1", "question": "Which one?", "low_id": "LD-1", "cabinet_id": "CB-1"}

TABLES: Mapping[str, list[dict[str, Any]]] = {
    "Low drivers": [LOW, {**LOW, "id": "LD-2"}],
    "High drivers": [HIGH, {**HIGH, "id": "HD-2"}],
    "Waveguides": [GUIDE],
    "Cabinets": [CABINET],
    "Pairings": [PAIRING, {**PAIRING, "id": "P-2", "low_id": "LD-2", "high_id": "HD-2"}],
    "Parts": [PART],
    "Enquiries": [ENQUIRY],
}

Change = Callable[[Workbook], None]
Read = Callable[..., Catalogue]


def heading_cell(book: Workbook, sheet: str, heading: str, row: int) -> str:
    """Address of the cell under `heading` (as the description has it) in `row`."""
    for cell in book[sheet][1]:
        if str(cell.value).removesuffix(" *") == heading:
            return f"{cell.column_letter}{row}"
    raise KeyError(heading)


@pytest.fixture
def tables() -> Mapping[str, list[dict[str, Any]]]:
    """The rows of the small season."""
    return TABLES


@pytest.fixture
def season(tmp_path: Path) -> Path:
    """The small season on disk."""
    path = tmp_path / "season.xlsx"
    path.write_bytes(small_season())
    return path


@shared
def small_season() -> bytes:
    """The small season as it is written, once for all tests."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "season.xlsx"
        write_workbook(path, TABLES)
        return path.read_bytes()


@shared
def plain_season() -> bytes:
    """The values of the small season alone: without notes, looks and checks a spreadsheet library takes a quarter of the time."""
    plain = Workbook()
    plain.remove(plain.worksheets[0])
    for sheet in load_workbook(BytesIO(small_season())):
        page = plain.create_sheet(sheet.title)
        for row in sheet.iter_rows(values_only=True):
            page.append(row)
    written = BytesIO()
    plain.save(written)
    return written.getvalue()


@pytest.fixture
def read(season: Path) -> Read:
    """Read the season after setting cells ({"High drivers!Peak travel (mm)!2": -3}) and making a change."""

    def spoil_and_read(cells: Mapping[str, Any] | None = None, change: Change | None = None) -> Catalogue:
        book = load_workbook(BytesIO(plain_season()))
        for place, value in (cells or {}).items():
            sheet, heading, row = place.split("!")
            cell = book[sheet][heading_cell(book, sheet, heading, int(row))]
            cell.value = value
        if change is not None:
            change(book)
        book.save(season)
        return read_catalogue(season)

    return spoil_and_read
