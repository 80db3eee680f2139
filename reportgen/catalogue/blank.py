"""A workbook to fill: every sheet with its headings, notes, drop-downs and print set-up, and any rows given.

Knows how the description of the columns becomes a handsome sheet. Refuses to know where the rows come from.
"""

from __future__ import annotations

import datetime as dt
import io
import math
import re
import zipfile
from collections.abc import Mapping, Sequence
from copy import copy
from typing import Any

from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from reportgen.catalogue import trade
from reportgen.catalogue.cells import bounds_text
from reportgen.catalogue.columns import MAKER, PRACTICE, SHEETS, TECHNOLOGIES, Column, Kind, Sheet, sheet
from reportgen.catalogue.tables import EXAMPLE, is_example

Row = Mapping[str, Any]
Tables = Mapping[str, Sequence[Row]]

REQUIRED_SIGN = " *"
ROWS_TO_FILL = 2000
"""Drop-downs, checks and formats reach down to this row."""

_STAMP = dt.datetime(2020, 1, 1, tzinfo=dt.UTC)
_FONT = "Calibri"
_INK, _RULE, _FAINT = "1F2933", "B8C0C8", "7A8591"
_THIN = Side(style="thin", color=_RULE)
_FORMATS = {Kind.NUMBER: "General", Kind.COUNT: "0", Kind.DATE: "yyyy-mm-dd", Kind.ID: "@", Kind.REFERENCE: "@"}
_SIDES = {
    Kind.CHOICE: "center", Kind.YES_NO: "center", Kind.DATE: "center", Kind.NUMBER: "right", Kind.COUNT: "right",
}  # fmt: skip
_WRAPPED_FROM = 26.0


def blank_tables() -> Tables:
    """The rows of an empty workbook: an example on each sheet; the shipped rules and kinds of driver come by themselves."""
    return {name: [row] for name, row in EXAMPLES.items()}


EXAMPLES: Mapping[str, Row] = {
    "Low drivers": {
        "id": f"{EXAMPLE} LD-1", "description": "How a row is filled; it is not read. Delete it when you like.", "nominal_impedance_ohm": 8,
        "re_ohm": 5.7, "le_h": 0.3, "fs_hz": 44, "qms": 4.5, "qes": 0.5, "vas_m3": 22, "diaphragm_area_m2": 132, "moving_mass_kg": 15,
        "force_factor_t_m": 6.9, "peak_travel_m": 5, "sensitivity_db": 88, "rated_power_w": 60, "breakup_hz": 5000, "frame_width_m": 166,
    },
    "High drivers": {
        "id": f"{EXAMPLE} HD-1", "technology": "soft dome", "description": "How a row is filled; it is not read.", "nominal_impedance_ohm": 6,
        "re_ohm": 5.2, "fs_hz": 900, "qms": 2.5, "qes": 0.9, "shape": "round", "radiating_width_m": 26, "diaphragm_area_m2": 7.5,
        "peak_travel_m": 0.4, "sensitivity_db": 91, "rated_power_w": 80, "rear": "sealed", "faceplate_width_m": 104,
    },
    "Waveguides": {
        "id": f"{EXAMPLE} WG-1", "fits": "soft dome; HD-1", "mouth_width_m": 165, "mouth_height_m": 165, "horizontal_coverage_rad": 100,
        "vertical_coverage_rad": 100, "depth_m": 24, "notes": "How a row is filled; it is not read.",
    },
    "Cabinets": {
        "id": f"{EXAMPLE} CB-1", "kind": "closed", "baffle_width_m": 210, "baffle_height_m": 380, "depth_m": 270, "net_volume_m3": 12,
        "high_from_top_m": 85, "stand_height_m": 650,
    },
    "Pairings": {
        "id": f"{EXAMPLE} P-1", "kit": "Not read", "low_id": "LD-1", "high_id": "HD-1", "cabinet_id": "CB-1", "slope": "LR4",
        "distance_m": 2.5, "peak_level_db": 95, "amplifier_power_w": 60, "kits_planned": 4,
    },
    "Parts": {
        "id": f"{EXAMPLE} C-1", "kind": "capacitor", "value": 4.7, "unit": "uF", "tolerance": 5, "rating": 160, "rating_unit": "V", "price": 2.6,
        "stock": 40,
    },
    "Enquiries": {
        "id": f"{EXAMPLE} E-1", "received": "2027-03-01", "customer": "Ms Tarn", "question": "Which tweeter goes with my 6-inch woofer? Not read.",
        "budget": 50, "given_cabinet_kind": "closed", "given_net_volume_m3": 12, "given_area_m2": 132, "given_sensitivity_db": 88,
        "given_breakup_hz": 5000, "peak_level_db": 95,
    },
}  # fmt: skip
"""One row on each sheet that a person fills row by row: it shows how, in the workbook's units, and the reader passes it over."""


def workbook_bytes(tables: Tables) -> bytes:
    """A workbook of all sheets, filled with `tables`: sheet name -> rows, field -> value.

    Values are in the workbook's units; None leaves a cell empty. Practice, Technologies and Maker start from
    what is shipped where `tables` has no rows for them. The same tables give the same bytes. KeyError for a
    sheet or field that the description does not know.
    """
    filled = {**shipped_rows(), **tables}
    for name in filled:
        sheet(name)
    book = Workbook()
    book.remove(book.worksheets[0])
    _write_read_me(book.create_sheet("Read me"))
    for described in SHEETS:
        page = book.create_sheet(described.name)
        _write_sheet(page, described, filled.get(described.name, ()))
    book.active = 0
    book.properties.creator = "reportgen"
    book.properties.title = "Drivers, cabinets and pairings"
    buffer = io.BytesIO()
    book.save(buffer)
    return _without_clock(buffer.getvalue())


def shipped_rows() -> Tables:
    """What every new workbook holds: the rules of the trade, the kinds of driver and the usual words of the maker."""
    names = ("id", "value", "unit", "source", "help")
    maker = {column.field: column.default for column in MAKER.columns if column.default not in (None, "")}
    return {
        PRACTICE.name: [dict(zip(names, row, strict=True)) for row in trade.PRACTICE_ROWS],
        TECHNOLOGIES.name: trade.TECHNOLOGY_ROWS,
        MAKER.name: [maker],
    }


def _without_clock(package: bytes) -> bytes:
    """The package with a fixed date on every part and in its properties: the same rows, the same bytes."""
    stamp = _STAMP.strftime("%Y-%m-%dT%H:%M:%SZ").encode()
    buffer = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(package)) as source, zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as target:
        for name in source.namelist():
            content = source.read(name)
            if name == "docProps/core.xml":
                content = re.sub(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*", rb"\g<1>" + stamp, content)
            target.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), content, zipfile.ZIP_DEFLATED)
    return buffer.getvalue()


def cell_value(column: Column, value: Any) -> Any:
    """A value in the workbook's unit as its cell holds it: dates as dates, yes and no, lists separated by semicolons."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        return "; ".join(f"{item:.10g}" if isinstance(item, float) else str(item) for item in value)
    if column.kind is Kind.DATE and isinstance(value, str):
        return dt.date.fromisoformat(value)
    return value


def _write_sheet(page: Worksheet, described: Sheet, rows: Sequence[Row]) -> None:
    fields = {column.field for column in described.columns}
    for row in rows:
        if unknown := set(row) - fields:
            raise KeyError(f"{described.name} has no column for {', '.join(sorted(unknown))}")
    last = max(ROWS_TO_FILL, len(rows) + 200)
    for index, column in enumerate(described.columns, 1):
        _write_heading(page, described, index, column)
        _style_column(page, described, index, column, last)
    dressed = dict[tuple[int, bool], Any]()
    for number, row in enumerate(rows, 2):
        shown_only = is_example(row.get("id"))
        for index, column in enumerate(described.columns, 1):
            cell = _write_cell(page, number, index, column, row.get(column.field))
            like = dressed.setdefault((index, shown_only), cell)
            if like is cell:
                _dress(cell, column, shown_only)
            else:
                cell._style = copy(like._style)  # as the library's own copies: to dress each takes most of the writing
    _fit(page, described, rows)
    _set_up_page(page, described)


def _write_heading(page: Worksheet, described: Sheet, index: int, column: Column) -> None:
    cell = page.cell(1, index, column.heading + (REQUIRED_SIGN if column.required else ""))
    cell.font = Font(name=_FONT, size=10, bold=column.required, color=_INK)
    _, pale, strong = group_of(described, column)
    cell.fill = PatternFill("solid", fgColor=strong if column.required else pale)
    side = _SIDES.get(column.kind)
    cell.alignment = Alignment(wrap_text=True, vertical="center", horizontal=side or "left", indent=side == "right")
    cell.border = Border(bottom=Side(style="medium", color=described.tab), right=_THIN)
    group = group_of(described, column)[0]
    note = Comment(heading_note(column) + (f"\nGroup: {group}." if group else ""), "reportgen")
    note.width, note.height = 280, 30 + 18 * math.ceil(len(note.text) / 38 + note.text.count("\n"))
    cell.comment = note


Group = tuple[str, str, str]
_GREY, _BLUE, _GREEN, _SAND, _ROSE = (
    ("EEF1F4", "D9DFE5"), ("E6EEF8", "C9DAEF"), ("E6F2E8", "C8E2CD"), ("F6F0E0", "EADFBD"), ("F6E8E8", "EACFCF"),
)  # fmt: skip
_DRIVER = (
    ("id", "name", _GREY), ("nominal_impedance_ohm", "electrical and mechanical figures", _BLUE), ("diaphragm_area_m2", "diaphragm and limits", _GREEN),
    ("frame_width_m", "sizes", _SAND), ("faceplate_width_m", "sizes", _SAND), ("response_file", "measured curves", _ROSE),
    ("price", "shelf and price", _GREY),
)  # fmt: skip
GROUPS: Mapping[str, tuple[tuple[str, str, tuple[str, str]], ...]] = {
    "Low drivers": _DRIVER,
    "High drivers": (*_DRIVER[:2], ("shape", "diaphragm and limits", _GREEN), *_DRIVER[4:]),
    "Waveguides": (
        ("id", "name", _GREY), ("mouth_width_m", "mouth and coverage", _GREEN), ("depth_m", "sizes", _SAND), ("flare", "horns only", _BLUE),
        ("price", "shelf and price", _GREY),
    ),
    "Cabinets": (
        ("id", "name and kind", _GREY), ("baffle_width_m", "sizes", _SAND), ("net_volume_m3", "air inside", _BLUE),
        ("high_from_top_m", "places", _GREEN), ("notes", "notes", _GREY),
    ),
    "Parts": (
        ("id", "name", _GREY), ("kind", "what it is", _BLUE), ("tolerance", "what it stands", _GREEN), ("price", "shelf and price", _GREY),
    ),
    "Pairings": (
        ("id", "name", _GREY), ("low_id", "drivers and cabinet", _BLUE), ("arrangement", "place, listener and wish", _GREEN),
        ("parts_policy", "parts and plans", _SAND), ("decision", "decision", _ROSE),
    ),
    "Enquiries": (
        ("id", "who and what", _GREY), ("low_id", "our drivers and cabinets", _BLUE), ("given_cabinet_kind", "the enquirer's own", _SAND),
        ("arrangement", "place, listener and wish", _GREEN), ("answered_on", "done", _ROSE),
    ),
}  # fmt: skip
"""Sheet -> its groups of columns: the first column of each, what the group is, and its two fills (may stay empty, required)."""


def group_of(described: Sheet, column: Column) -> Group:
    """The group that a column belongs to: its name ("" where the sheet has none), pale and strong fill."""
    first = {field: (name, *fills) for field, name, fills in GROUPS.get(described.name, ())}
    found: Group = ("", *_GREY)
    for one in described.columns:
        found = first.get(one.field, found)
        if one.field == column.field:
            break
    return found


def heading_note(column: Column) -> str:
    """What the note on a heading says: help, what is allowed, what an empty cell means."""
    lines = [column.help, f"Holds {column.kind.value}{_allowed(column)}."]
    if column.plausible is not None:
        low, high = column.plausible
        lines.append(f"Usual: {low:g} to {high:g}{' ' + column.unit if column.unit else ''}.")
    if column.required:
        lines.append("Required.")
    elif column.default not in (None, ""):
        lines.append(f"Empty: {_plain(column.default)}{' ' + column.unit if column.unit else ''}.")
    return "\n".join(lines)


def _plain(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


def _allowed(column: Column) -> str:
    if column.choices:
        return f": {', '.join(column.choices)}"
    if column.refers:
        return f": {column.refers}"
    bounds = bounds_text(column)
    return f", {bounds}" if bounds else ""


def _style_column(page: Worksheet, described: Sheet, index: int, column: Column, last: int) -> None:
    letter = get_column_letter(index)
    page.column_dimensions[letter].width = max(column.width, 1.5 + max(map(len, column.heading.split())))
    page.column_dimensions[letter].number_format = _FORMATS.get(column.kind, "General")
    check = _validation(column)
    if check is not None:
        check.add(f"{letter}2:{letter}{last}")
        page.add_data_validation(check)


def _write_cell(page: Worksheet, number: int, index: int, column: Column, value: Any) -> Any:
    cell: Any = page.cell(number, index)
    cell.value = cell_value(column, value)
    if cell.data_type == "f":  # text that begins with = is text
        cell.data_type = "s"
    return cell


def _dress(cell: Any, column: Column, shown_only: bool) -> None:
    """The look of the cells of a column; fainter where the row only shows how."""
    cell.number_format = _FORMATS.get(column.kind, "General")
    cell.font = Font(
        name=_FONT, size=10, bold=column.kind is Kind.ID, color=_FAINT if shown_only else _INK, italic=shown_only
    )
    cell.border = Border(bottom=_THIN)
    side = _SIDES.get(column.kind)
    wrapped = column.width >= _WRAPPED_FROM
    cell.alignment = Alignment(vertical="top", wrap_text=wrapped, horizontal=side, indent=side == "right")


def _fit(page: Worksheet, described: Sheet, rows: Sequence[Row]) -> None:
    """Widen narrow columns to what stands in them, and make rows as high as their longest text needs."""
    for index, column in enumerate(described.columns, 1):
        longest = max((len(str(cell_value(column, row.get(column.field)))) for row in rows), default=0)
        dimension = page.column_dimensions[get_column_letter(index)]
        if column.width < _WRAPPED_FROM:
            dimension.width = max(dimension.width, min(longest * 1.1 + 2.0, 36.0))
    for number, row in enumerate(rows, 2):
        lines = [
            math.ceil(0.92 * len(str(row[column.field])) / column.width)
            for column in described.columns
            if column.width >= _WRAPPED_FROM and row.get(column.field)
        ]
        page.row_dimensions[number].height = 3.0 + 13.0 * max(lines, default=1)


def _validation(column: Column) -> DataValidation | None:
    """The check that a spreadsheet program makes while the cell is typed; None where anything may stand."""
    check: DataValidation
    if column.kind is Kind.CHOICE or column.kind is Kind.YES_NO:
        listed = ",".join(column.choices or ("yes", "no"))
        check = DataValidation("list", formula1=f'"{listed}"')
        wanted = f"One of: {listed.replace(',', ', ')}."
    elif column.kind is Kind.REFERENCE:
        check = DataValidation("list", formula1=f"'{column.refers}'!$A$2:$A${ROWS_TO_FILL}", errorStyle="warning")
        wanted = f"An ID of the sheet {column.refers}."
    elif column.kind is Kind.DATE:
        check = DataValidation("date", operator="greaterThan", formula1="DATE(1990,1,1)")
        wanted = "A date."
    elif column.kind in (Kind.NUMBER, Kind.COUNT):
        check = _number_validation(column)
        wanted = f"{'A whole number' if column.kind is Kind.COUNT else 'A number'}{_allowed(column)}."
    else:
        return None
    check.allow_blank = True
    check.showErrorMessage = True
    check.errorTitle = column.name[:32]
    check.error = f"{wanted} {column.help}"[:220]
    return check


def _number_validation(column: Column) -> DataValidation:
    low = column.above if column.above is not None else column.at_least
    check = DataValidation("whole" if column.kind is Kind.COUNT else "decimal", operator="between")
    check.formula1 = f"{-1e9 if low is None else low:.0f}"
    if column.at_most is not None and column.above is None:
        check.formula2 = f"{column.at_most:g}"
    elif low is None:
        check.formula2 = f"{1e9 if column.at_most is None else column.at_most:.0f}"
    else:
        check.operator = "greaterThan" if column.above is not None else "greaterThanOrEqual"
    return check


def _set_up_page(page: Worksheet, described: Sheet) -> None:
    page.sheet_properties.tabColor = described.tab
    page.freeze_panes = "B2"
    page.row_dimensions[1].height = 44
    page.sheet_view.zoomScale = 100
    page.auto_filter.ref = f"A1:{get_column_letter(len(described.columns))}{max(2, page.max_row)}"
    width = sum(page.column_dimensions[get_column_letter(i)].width for i in range(1, len(described.columns) + 1))
    _print_set_up(page, pages_wide=max(1, math.ceil(width / 210)))
    page.print_title_rows = "1:1"
    page.print_title_cols = "A:A"
    if page.oddHeader is not None:
        page.oddHeader.left.text = f"&B{described.name}"
        page.oddHeader.right.text = "&F"


def _print_set_up(page: Worksheet, pages_wide: int) -> None:
    page.page_setup.orientation = "landscape"
    page.page_setup.paperSize = 9
    page.page_setup.fitToWidth = pages_wide
    page.page_setup.fitToHeight = 0
    page.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    page.page_margins.left = page.page_margins.right = 0.4
    page.page_margins.top = page.page_margins.bottom = 0.8
    page.page_margins.header = page.page_margins.footer = 0.4
    if page.oddFooter is not None:
        page.oddFooter.center.text = "&P / &N"


_READ_ME = (
    "One sheet for each kind of thing, one row for each thing, headings in row 1. Fill the sheets in the order below.",
    "A heading in bold with a star (*) is required; every other cell may stay empty. What is missing is never guessed: "
    "the printed sheet says which figure could not be worked out, and which cell would allow it.",
    "The unit stands in the heading. A value may also be typed with a unit of its own, such as 0.35 mm or 35 um.",
    "Rest the pointer on a heading to read what belongs there. Columns and sheets of your own are welcome: "
    "they are kept as they are and not read.",
    "Measured curves and the logo are files in this workbook's folder, or in a folder inside it.",
    "The figures of Practice and Technologies are shipped as common practice; they are yours to change.",
    "Five columns matter most: of a low driver Sensitivity and Cone break-up, of a high driver Fs and Peak travel (or what its maker "
    "states as Lowest use), of a pairing the Peak level you want. They decide nearly every verdict.",
    "Columns that belong together have one colour, and their notes name the group. A row whose ID begins with (example) shows how to "
    "fill a sheet and is not read.",
    "A run adds sheets of its own and a History; it changes nothing that you wrote.",
)


def _write_read_me(page: Worksheet) -> None:
    """The first sheet: how to fill the others. It is not read as data."""
    page.sheet_view.showGridLines = False
    page.sheet_properties.tabColor = "111111"
    for letter, width in (("A", 3), ("B", 22), ("C", 62), ("D", 12)):
        page.column_dimensions[letter].width = width
    page["B1"] = "How to fill this workbook"
    page["B1"].font = Font(name=_FONT, size=18, bold=True, color=_INK)
    page.row_dimensions[1].height = 34
    for number, text in enumerate(_READ_ME, 2):
        page.merge_cells(start_row=number, end_row=number, start_column=2, end_column=4)
        cell = page.cell(number, 2, text)
        cell.font = Font(name=_FONT, size=11, color=_INK)
        cell.alignment = Alignment(wrap_text=True, vertical="top")
        page.row_dimensions[number].height = 16 * math.ceil(len(text) / 112) + 6
    start = len(_READ_ME) + 3
    for number, cells_ in enumerate((("Sheet", "One row is", "Required"), *_sheet_rows()), start):
        for index, text in enumerate(cells_, 2):
            cell = page.cell(number, index, text)
            head = number == start
            cell.font = Font(name=_FONT, size=11, bold=head or index == 2, color=_INK)
            cell.border = Border(bottom=Side(style="medium", color=_INK) if head else _THIN)
            if index == 2 and not head:
                cell.hyperlink = f"#'{text}'!A1"
    _print_set_up(page, pages_wide=1)
    page.page_setup.orientation = "portrait"


def _sheet_rows() -> list[tuple[str, str, str]]:
    return [(described.name, described.row_is, "yes" if described.required else "") for described in SHEETS]
