"""Workbooks of a test: written as they are, where the program writes them in one step; looked into and changed as bytes.

A spreadsheet library reads and writes every sheet of a workbook for one name or one cell.
"""

from __future__ import annotations

import re
import zipfile
from pathlib import Path
from xml.etree import ElementTree

from openpyxl import Workbook
from openpyxl.utils import get_column_letter

from reportgen.catalogue.blank import Tables, cell_value, shipped_rows, workbook_bytes
from reportgen.catalogue.columns import SHEETS
from reportgen.catalogue.columns import sheet as described

SHEET = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}sheet"


def write_workbook(path: Path | str, tables: Tables) -> None:
    """Write a workbook of all sheets with these rows."""
    Path(path).write_bytes(workbook_bytes(tables))


def write_plain(path: Path | str, tables: Tables) -> None:
    """Write the rows alone under their headings, as somebody's own workbook has them: a fifth of the time without notes, looks and checks."""
    book, filled = Workbook(write_only=True), {**shipped_rows(), **tables}
    for one in SHEETS:
        page = book.create_sheet(one.name)
        page.append([column.heading for column in one.columns])
        for row in filled.get(one.name, ()):
            page.append([cell_value(column, row.get(column.field)) for column in one.columns])
    book.save(path)


def sheet_names(workbook: Path | str) -> list[str]:
    """The names of the sheets, in their order."""
    with zipfile.ZipFile(workbook) as archive:
        return [sheet.attrib["name"] for sheet in ElementTree.fromstring(archive.read("xl/workbook.xml")).iter(SHEET)]


def set_number(workbook: Path, sheet: str, id_: str, field: str, value: float) -> None:
    """Set a cell of a workbook that the program wrote: in the row of that ID, in the column of that field."""
    part = f"xl/worksheets/sheet{sheet_names(workbook).index(sheet) + 1}.xml"
    column = get_column_letter([column.field for column in described(sheet).columns].index(field) + 1)
    with zipfile.ZipFile(workbook) as archive:
        parts = [(entry, archive.read(entry)) for entry in archive.infolist()]
    (content,) = (content.decode() for entry, content in parts if entry.filename == part)
    (row,) = re.findall(rf'<c r="A(\d+)"[^>]*><is><t>{id_}<', content)
    content, found = re.subn(rf'(<c r="{column}{row}"[^>]*>).*?</c>', rf"\g<1><v>{value}</v></c>", content)
    assert found == 1
    with zipfile.ZipFile(workbook, "w", zipfile.ZIP_DEFLATED) as archive:
        for entry, old in parts:
            archive.writestr(entry, content if entry.filename == part else old)
