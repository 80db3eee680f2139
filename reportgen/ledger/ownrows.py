"""Rows of a sheet read without the library, in a tenth of its time, where they stand to the letter as this program writes them.

Knows the few forms of a cell that `longtables` and `graft` write (ECMA-376 part 1, 18.3.1.4). Refuses everything else: then the
library reads the sheet, whoever wrote it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any, Final

from openpyxl.styles.numbers import BUILTIN_FORMATS, is_date_format, is_timedelta_format
from openpyxl.utils import get_column_letter
from openpyxl.utils.datetime import from_excel

from reportgen.catalogue.package import MAIN, Package

_HEAD: Final = f"<?xml version='1.0' encoding='UTF-8' standalone='yes'?>\n<worksheet xmlns=\"{MAIN[1:-1]}\"".encode()
_TEXT: Final = r"[^<&]*+(?>(?:&(?:amp|lt|gt);[^<&]*+)*)"
_CELL: Final = (
    r'<c r="({column}){row}"(?: s="({style})")?+(?:(?: t="(?:inlineStr|n)")?+/>|( t="inlineStr")><is><t(?:/>|(?: xml:space="preserve")?+>({text})</t>)</is></c>'
    r'|( t="b")?+(?: t="n")?+><v>({number})</v></c>)'
)
_PARTS: Final = {
    "column": "[A-Z]{1,2}",
    "row": r"\d{1,7}",
    "style": r"\d{1,6}",
    "text": _TEXT,
    "number": r"[-+.0-9eE]{1,40}",
}
_CELLS: Final = re.compile(_CELL.format(**_PARTS))
_ROW: Final = r'<row r="(\d{1,7})"[^<>/]*+(?:/>|>)'
_ROWS: Final = re.compile(_ROW)
_UNNAMED: Final = re.sub(r"\((?!\?)", "(?:", _CELL.format(**_PARTS))
_WHOLE: Final = re.compile(
    rf'(?:<sheetData>)?(?>(?:<row r="\d{{1,7}}"[^<>/]*+(?:/>|>(?>(?:{_UNNAMED})*)</row>))*)(?:</sheetData>)?'
)
"""All that is read here, and nothing else.

Atomic groups that hold no group with a number: repeated possessively, such patterns miss matches in Python up to 3.11.4, and groups with
numbers within them raise SystemError in some (https://github.com/python/cpython/issues/106052 and 101955).
"""
_MOST_BLANK: Final = 1000
"""So many rows may be left out between two."""


class NotOurs(Exception):
    """Something stands there that this program does not write."""


def own_rows(package: Package, part: str) -> Iterator[tuple[Any, ...]]:
    """The values of each row of a sheet, from the first on, as the library gives them; rows that are left out are empty.

    Errors: NotOurs, also after some rows.
    """
    if not package.without_rows(part).startswith(_HEAD):
        raise NotOurs
    day, last = _days(package), 0
    for piece in package.rows(part):
        text = piece.decode().replace("\r\n", "\n").replace("\r", "\n")  # as any reader of XML does (XML 1.0, 2.11)
        if not _WHOLE.fullmatch(text):
            raise NotOurs
        starts = list(_ROWS.finditer(text))
        ends = [*(one.start() for one in starts[1:]), len(text)]
        for start, end in zip(starts, ends, strict=True):
            number = int(start[1])
            if not last < number <= last + _MOST_BLANK:
                raise NotOurs
            yield from [()] * (number - last - 1)
            yield _values(_CELLS.findall(text, start.end(), end), day)
            last = number
    if not last:
        raise NotOurs


@cache
def _places() -> dict[str, int]:
    """The place in its row of each column, from 0."""
    return {get_column_letter(number + 1): number for number in range(26 * 27)}


def _values(cells: list[tuple[str, ...]], day: Callable[[str], bool]) -> tuple[Any, ...]:
    found, places = list[Any](), _places()
    for column, style, is_text, text, is_bool, number in cells:
        gap = places[column] - len(found)
        if gap:
            if gap < 0:
                raise NotOurs
            found += [None] * gap
        if is_text:
            found.append(_unescaped(text) if "&" in text else text)
        elif not number:
            found.append(None)
        else:
            found.append(_number(number, bool(is_bool), day(style)))
    return tuple(found)


def _unescaped(text: str) -> str:
    return text.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")


def _number(text: str, is_bool: bool, is_day: bool) -> Any:
    """A number, truth or date as the library reads it."""
    try:
        value = float(text) if {*text} & {*".eE"} else int(text)
        if is_bool:
            return bool(value)
        return from_excel(value) if is_day else value
    except (ValueError, OverflowError):
        raise NotOurs from None


def _days(package: Package) -> Callable[[str], bool]:
    """Whether a style shows numbers as dates. Errors: NotOurs where it shows times alone, or days are counted from another year."""
    settings = package.xml(package.main_part).find(f"{MAIN}workbookPr")
    if settings is not None and settings.get("date1904", "0") not in ("0", "false"):
        raise NotOurs
    styles = next((link.target for link in package.relationships(package.main_part) if link.kind == "styles"), None)
    if styles is None:
        raise NotOurs
    root = package.xml(styles)
    own = {one.get("numFmtId", ""): one.get("formatCode", "") for one in root.iterfind(f"{MAIN}numFmts/{MAIN}numFmt")}
    formats = [one.get("numFmtId", "0") for one in root.iterfind(f"{MAIN}cellXfs/{MAIN}xf")]

    @cache
    def day(style: str) -> bool:
        number = int(style or "0")
        if number >= len(formats):
            raise NotOurs
        code = own.get(formats[number]) or BUILTIN_FORMATS.get(int(formats[number]), "")
        if is_timedelta_format(code):
            raise NotOurs
        return bool(is_date_format(code))

    return day
