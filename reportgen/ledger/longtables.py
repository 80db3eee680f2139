"""Workbooks of the spreadsheet library whose long tables are written as text, past its cells.

Knows how a row stands in a sheet (ECMA-376 part 1, 18.3.1.73 and 18.3.1.4). Refuses to know what the figures mean and
how they look: cells arrive as numbers of styles and values.
"""

from __future__ import annotations

import datetime as dt
import re
import zlib
from collections.abc import Iterable, Iterator
from io import BytesIO
from typing import Any
from xml.sax.saxutils import escape
from zipfile import ZIP_DEFLATED, ZipFile

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.utils.datetime import to_excel
from openpyxl.worksheet.worksheet import Worksheet
from openpyxl.writer.excel import ExcelWriter

Cells = Iterable[tuple[int, Any]]
"""Number of the style and value of each cell of a row, from column A on."""

_PIECE = 1 << 18
"""So much text (bytes) is packed at a time."""


class Book(Workbook):
    """A workbook that takes rows of text beside the library's cells."""

    def __init__(self) -> None:
        super().__init__()
        self._stretches: dict[str, list[tuple[int, list[bytes]]]] = {}

    def add_rows(self, page: Worksheet, first: int, rows: Iterable[tuple[Cells, float]]) -> int:
        """Put rows, each with its height (pt), from row `first` on, where the library has no cells; return their number.

        They are packed piece by piece: a long season takes a tenth of the room.
        """
        pieces, text, number = list[bytes](), bytearray(), first
        for cells, height in rows:
            text += _row(number, cells, height).encode()
            number += 1
            if len(text) > _PIECE:
                pieces.append(zlib.compress(text, 1))
                text.clear()
        pieces.append(zlib.compress(text, 1))
        self._stretches.setdefault(page.title, []).append((first, pieces))
        return number - first

    def bytes(self) -> bytes:
        """The whole workbook as a file; it can be had once, for its rows of text are let go on the way."""
        buffer = BytesIO()
        with ZipFile(buffer, "w") as packed:  # nothing is packed yet: what follows reads it again
            ExcelWriter(self, packed).save()
        result = BytesIO()
        parts = {f"xl/worksheets/sheet{at}.xml": page.title for at, page in enumerate(self.worksheets, 1)}
        with ZipFile(buffer) as plain, ZipFile(result, "w", ZIP_DEFLATED, compresslevel=1) as packed:
            for name in plain.namelist():
                with packed.open(name, "w") as entry:
                    for piece in _spliced(plain.read(name), self._stretches.pop(parts.get(name, ""), [])):
                        entry.write(piece)
        return result.getvalue()


def _spliced(sheet: bytes, stretches: list[tuple[int, list[bytes]]]) -> Iterator[bytes]:
    """The sheet in pieces, with each stretch behind all rows above its first."""
    if stretches:
        sheet = _EXTENT.sub(b"", sheet, 1).replace(b"<sheetData/>", b"<sheetData></sheetData>", 1)
    begun = 0
    for first, pieces in sorted(stretches):
        later = (at for at in _starts(sheet, begun) if _number(sheet, at) >= first)
        at = next(later, sheet.find(b"</sheetData>"))
        yield sheet[begun:at]
        yield from map(zlib.decompress, pieces)
        begun = at
    yield sheet[begun:]


def _starts(sheet: bytes, begin: int) -> Iterator[int]:
    at = sheet.find(b"<row ", begin)
    while at >= 0:
        yield at
        at = sheet.find(b"<row ", at + 1)


def _number(sheet: bytes, at: int) -> int:
    begin = sheet.index(b' r="', at) + 4
    return int(sheet[begin : sheet.index(b'"', begin)])


def _row(number: int, cells: Cells, height: float) -> str:
    inside = "".join(_cell(f"{_LETTERS[at]}{number}", style, value) for at, (style, value) in enumerate(cells))
    return f'<row r="{number}" ht="{height:g}" customHeight="1">{inside}</row>'


_EXTENT = re.compile(rb"<dimension [^>]*>(</dimension>)?")
"""How far the sheet goes, as far as the library knows: readers that believe it would miss our rows. It may be left out."""
_LETTERS = tuple(get_column_letter(number) for number in range(1, 257))


def _cell(place: str, style: int, value: Any) -> str:
    if value is None:
        return f'<c r="{place}" s="{style}"/>'
    if isinstance(value, str):
        return f'<c r="{place}" s="{style}" t="inlineStr"><is><t xml:space="preserve">{escape(value)}</t></is></c>'
    if isinstance(value, bool):
        return f'<c r="{place}" s="{style}" t="b"><v>{value:d}</v></c>'
    if isinstance(value, dt.date | dt.datetime):
        value = to_excel(value)  # type: ignore[no-untyped-call] # the stubs leave it open
    number = value if isinstance(value, int) else float(value)
    return f'<c r="{place}" s="{style}"><v>{number!r}</v></c>'
