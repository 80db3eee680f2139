"""Workbooks of the spreadsheet library whose long tables stand beside its cells as text, and are written row by row.

Knows how a row and a link stand in a sheet (ECMA-376 part 1, 18.3.1.73, 18.3.1.4 and 18.3.1.47). Refuses to know what the
figures mean and how they look: cells arrive with names of looks, which the workbook that they end in gives their numbers.
"""

from __future__ import annotations

import datetime as dt
import re
import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from typing import Any, Final
from xml.sax.saxutils import escape, quoteattr
from zipfile import ZIP_DEFLATED, ZipFile

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.utils.datetime import to_excel
from openpyxl.worksheet.worksheet import Worksheet
from openpyxl.writer.excel import ExcelWriter

from reportgen.ledger.kept import inflated

_ROW, _LOOK, _END = "\1", "\2", "\3"
"""Marks in the text of rows, which no XML can hold: the number of the row, both sides of a look, the end of the row."""
_PIECE: Final = 1 << 18
"""So much text (characters) is packed at a time."""

_TEXT: Final = r"[^<&\0-\x08\x0b\x0c\x0e-\x1f]*+"


@cache
def _whole_rows(width: int, looks: str) -> re.Pattern[bytes]:
    """All that `row_text` makes of rows of so many cells in such looks, and nothing else; what matched is never tried another way."""
    cell = (
        rf'<c r="[A-Z]{{1,2}}{_ROW}" s="{_LOOK}(?:{looks}){_LOOK}"(?:/>| t="inlineStr"><is><t(?: xml:space="preserve")?+>'
        rf'{_TEXT}(?>(?:&(?:amp|lt|gt);{_TEXT})*)</t></is></c>|(?: t="b")?+><v>[-+.0-9e]++</v></c>)'
    )
    rows = rf'(?>(?:<row r="{_ROW}" ht="[.0-9]++" customHeight="1">(?:{cell}){{{width}}}</row>{_END})*)'
    return re.compile(rows.encode())


_DATE: Final = re.compile(rf'{_LOOK}([^{_LOOK}]*){_LOOK}"><v>([^<]*)<'.encode())

_EXTENT: Final = re.compile(rb"<dimension [^>]*>(</dimension>)?")
"""How far the sheet goes, as far as the library knows: readers that believe it would miss our rows. It may be left out."""
_AFTER_LINKS: Final = re.compile(rb"<(printOptions|pageMargins)[ />]")
"""What follows links in a sheet; the library writes the second one always (ECMA-376 part 1, 18.3.1.99)."""
_RELATIONS: Final = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"


# --- rows as text -------------------------------------------------------------------------------------------------


def row_text(cells: Iterable[tuple[str, Any]], height: float) -> str:
    """The text of a row from the look and the value of each of its cells, from column A on; `height` in pt.

    Where it will stand and which numbers the looks have is left open.
    """
    row = list(cells)
    inside = "".join([_cell(letter, *one) for letter, one in zip(_letters(len(row)), row, strict=True)])
    return f'<row r="{_ROW}" ht="{height:g}" customHeight="1">{inside}</row>{_END}'


@cache
def _letters(count: int) -> tuple[str, ...]:
    """The names of the first columns."""
    return tuple(get_column_letter(number) for number in range(1, count + 1))


def _cell(letter: str, look: str, value: Any) -> str:
    begin = f'<c r="{letter}{_ROW}" s="{_LOOK}{look}{_LOOK}"'
    if value is None:
        return f"{begin}/>"
    if isinstance(value, str):
        space = "" if value.strip() == value else ' xml:space="preserve"'
        return f'{begin} t="inlineStr"><is><t{space}>{escape(value)}</t></is></c>'
    if isinstance(value, bool):
        return f'{begin} t="b"><v>{value:d}</v></c>'
    if isinstance(value, dt.date | dt.datetime):
        value = to_excel(value)  # type: ignore[no-untyped-call] # the stubs leave it open
    return f"{begin}><v>{value if isinstance(value, int) else f'{float(value):.16g}'}</v></c>"  # as the library has it


def packed(texts: Iterable[str]) -> list[bytes]:
    """Rows packed piece by piece: a long table takes a tenth of the room."""
    pieces, waiting, length = list[bytes](), list[str](), 0
    for text in texts:
        waiting.append(text)
        length += len(text)
        if length > _PIECE:
            pieces.append(zlib.compress("".join(waiting).encode(), 1))
            waiting, length = [], 0
    return [*pieces, zlib.compress("".join(waiting).encode(), 1)] if waiting else pieces


def rows_in(piece: bytes, width: int, looks: str) -> int | None:
    """How many rows there are in what was read from somewhere; None where it is not packed rows of so many cells in looks that match.

    Errors: Damaged when it cannot be unpacked, UnicodeDecodeError.
    """
    rows = inflated(piece)
    if not rows.isascii():
        rows.decode()
    return rows.count(_END.encode()) if _whole_rows(width, looks).fullmatch(rows) else None


@dataclass(frozen=True, slots=True)
class Stretch:
    """Packed rows one below the other, from the row `first` on; `styles` has the number of each look in the book."""

    first: int
    pieces: Iterable[bytes]
    styles: Mapping[str, int]

    def text(self, style: Callable[[int], int] = int, later: Callable[[int], int] | None = None) -> Iterator[bytes]:
        """The finished rows, piece by piece; `style` gives each style of the book another number, and `later` says by how many
        days the dates of a style move."""
        names, at = _Numbers(self.styles, style), self.first
        number, look, end = _ROW.encode(), _LOOK.encode(), _END.encode()
        for piece in self.pieces:
            rows = inflated(piece).split(end)
            text = b"".join([row.replace(number, b"%d" % place) for place, row in enumerate(rows[:-1], at)])
            at += len(rows) - 1
            if later is not None:
                text = _moved(text, {look.encode(): later(style) for look, style in self.styles.items()})
            parts = text.split(look)
            parts[1::2] = [names[one] for one in parts[1::2]]
            yield b"".join(parts)


class _Numbers(dict[bytes, bytes]):
    """Numbers by look, each found when it is first used: what nobody uses is not added to the workbook."""

    def __init__(self, styles: Mapping[str, int], style: Callable[[int], int]) -> None:
        self._styles, self._style = styles, style

    def __missing__(self, look: bytes) -> bytes:
        self[look] = b"%d" % self._style(self._styles[look.decode()])
        return self[look]


def _moved(text: bytes, days: Mapping[bytes, int]) -> bytes:
    def move(found: re.Match[bytes]) -> bytes:
        number = float(found[2])
        later = number + days[found[1]] if number >= 1 else number
        return b'%b%b%b"><v>%b<' % (_LOOK.encode(), found[1], _LOOK.encode(), repr(later).encode())

    return _DATE.sub(move, text)


# --- workbooks ----------------------------------------------------------------------------------------------------


class Book(Workbook):
    """A workbook that takes rows of text, and links, beside the library's cells."""

    def __init__(self) -> None:
        super().__init__()
        self.remove(self.worksheets[0])
        self.stretches: dict[str, list[Stretch]] = {}
        self._links: dict[str, list[tuple[str, str, str]]] = {}

    def add_rows(self, page: Worksheet, first: int, pieces: Iterable[bytes], styles: Mapping[str, int]) -> None:
        """Put packed rows from row `first` on, where the library has no cells; `styles` has the numbers of their looks.

        `pieces` are not looked at before the book is written, and then once.
        """
        self.stretches.setdefault(page.title, []).append(Stretch(first, pieces, styles))

    def add_link(self, page: Worksheet, cell: str, outside: str = "", inside: str = "") -> None:
        """Let a cell among the rows of text lead to a file, or to a place in the workbook."""
        self._links.setdefault(page.title, []).append((cell, outside, inside))

    def package(self) -> bytes:
        """The workbook as a file, without its rows of text; its cells are unpacked."""
        buffer = BytesIO()
        with ZipFile(buffer, "w") as archive:
            ExcelWriter(self, archive).save()
        if not self._links:
            return buffer.getvalue()
        parts = {f"xl/worksheets/sheet{at}.xml": page.title for at, page in enumerate(self.worksheets, 1)}
        linked = {part: self._links[title] for part, title in parts.items() if title in self._links}
        relations = {part.replace("sheets/", "sheets/_rels/") + ".rels": links for part, links in linked.items()}
        result = BytesIO()
        with ZipFile(buffer) as plain, ZipFile(result, "w") as archive:
            for name in dict.fromkeys((*plain.namelist(), *relations)):
                content = plain.read(name) if name in plain.namelist() else _NO_RELATIONS
                content = _with_links(content, linked[name]) if name in linked else content
                content = _with_relations(content, relations[name]) if name in relations else content
                archive.writestr(name, content)
        return result.getvalue()

    def bytes(self) -> bytes:
        """The whole workbook as a file."""
        result = BytesIO()
        parts = {f"xl/worksheets/sheet{at}.xml": page.title for at, page in enumerate(self.worksheets, 1)}
        with ZipFile(BytesIO(self.package())) as plain, ZipFile(result, "w", ZIP_DEFLATED, compresslevel=1) as archive:
            for name in plain.namelist():
                rows = [(one.first, one.text()) for one in self.stretches.get(parts.get(name, ""), ())]
                with archive.open(name, "w") as entry:
                    entry.writelines(spliced(plain.read(name), rows))
        return result.getvalue()


def _with_links(sheet: bytes, links: Sequence[tuple[str, str, str]]) -> bytes:
    text = "".join(
        f'<hyperlink xmlns:r="{_RELATIONS}" ref="{cell}" r:id="link{number}"/>'
        if outside
        else f'<hyperlink ref="{cell}" location={quoteattr(inside)}/>'
        for number, (cell, outside, inside) in enumerate(links)
    ).encode()
    begin = sheet.rfind(b"</sheetData>")
    end = sheet.find(b"</hyperlinks>", begin)
    if end < 0:
        found = _AFTER_LINKS.search(sheet, max(begin, 0))
        assert found is not None  # the library has written it
        end, text = found.start(), b"<hyperlinks>" + text + b"</hyperlinks>"
    return sheet[:end] + text + sheet[end:]


_NO_RELATIONS: Final = (
    b'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"></Relationships>'
)


def _with_relations(part: bytes, links: Sequence[tuple[str, str, str]]) -> bytes:
    text = "".join(
        f'<Relationship Id="link{number}" Type="{_RELATIONS}/hyperlink" Target={quoteattr(outside)} TargetMode="External"/>'
        for number, (_, outside, _) in enumerate(links)
        if outside
    )
    end = part.rindex(b"</Relationships>")
    return part[:end] + text.encode() + part[end:]


def spliced(sheet: bytes, stretches: Iterable[tuple[int, Iterable[bytes]]]) -> Iterator[bytes]:
    """A sheet in pieces, with the rows of each stretch behind all rows above its first."""
    ordered = sorted(stretches, key=lambda one: one[0])
    if ordered:
        sheet = _EXTENT.sub(b"", sheet, 1).replace(b"<sheetData/>", b"<sheetData></sheetData>", 1)
    begun = 0
    for first, pieces in ordered:
        later = (at for at in _starts(sheet, begun) if _number(sheet, at) >= first)
        at = next(later, sheet.find(b"</sheetData>"))
        yield sheet[begun:at]
        yield from pieces
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
