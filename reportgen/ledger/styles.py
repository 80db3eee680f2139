"""Merging the style sheet of new sheets into that of a workbook: equal styles are reused, others appended.

Knows fonts, fills, borders, number formats, cell formats and differential formats (ECMA-376 part 1, 18.8).
Refuses to know which cell wears them, and never changes or moves a style that is already there.
"""

from __future__ import annotations

from copy import deepcopy
from typing import Final

from lxml import etree
from openpyxl.styles.numbers import BUILTIN_FORMATS, is_date_format, is_timedelta_format

from reportgen.catalogue.package import MAIN

_ORDER: Final = (
    *("numFmts", "fonts", "fills", "borders", "cellStyleXfs", "cellXfs", "cellStyles", "dxfs"),
    *("tableStyles", "colors", "extLst"),
)
_FIRST_OWN_FORMAT = 164  # lower numbers are built in (ECMA-376 part 1, 18.8.30)
_RESERVED_FILLS = 2  # "none" and "gray125" come first in every workbook (common practice, no source)
_NO_FLAGS = {("pivotButton", "0"), ("quotePrefix", "0")}  # written out by some, left out by others

EMPTY_STYLES: Final = (
    f'<styleSheet xmlns="{MAIN[1:-1]}"><fonts count="1"><font><sz val="11"/><name val="Calibri"/></font></fonts>'
    '<fills count="2"><fill><patternFill patternType="none"/></fill><fill><patternFill patternType="gray125"/></fill></fills>'
    '<borders count="1"><border><left/><right/><top/><bottom/><diagonal/></border></borders>'
    '<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellStyleXfs>'
    '<cellXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/></cellXfs>'
    '<cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>'
).encode()

_Key = tuple[object, ...]


class StyleMerger:
    """Gives every style number of the new sheets its number in the workbook, adding styles only when needed.

    `root` is the workbook's style sheet and is added to in place; `grown` says whether anything was.
    """

    def __init__(self, root: etree._Element, additions: etree._Element) -> None:
        self._pools = {name: _Pool(root, name) for name in ("fonts", "fills", "borders", "cellXfs", "dxfs")}
        self._formats = _Formats(root)
        self._added = {name: additions.findall(f"{MAIN}{name}/*") for name in (*self._pools, "numFmts")}
        self._added_formats = {
            entry.get("numFmtId", ""): entry.get("formatCode", "") for entry in self._added["numFmts"]
        }
        normal = root.find(f"{MAIN}cellStyles/{MAIN}cellStyle[@builtinId='0']")
        self._normal = normal.get("xfId", "0") if normal is not None else "0"
        self._mapped: dict[tuple[str, int], int] = {}

    @property
    def grown(self) -> bool:
        """Whether the workbook's style sheet has been added to."""
        return self._formats.grown or any(pool.grown for pool in self._pools.values())

    def is_date(self, number: int) -> bool:
        """Whether a cell format of the new sheets shows a number as a day, by day or by day and time."""
        format_number = self._added["cellXfs"][number].get("numFmtId", "0")
        code = self._added_formats.get(format_number) or BUILTIN_FORMATS.get(int(format_number), "")
        return is_date_format(code) and not is_timedelta_format(code)

    def cell_format(self, number: int) -> int:
        """Return the workbook's number of a cell format (`s` of a cell) of the new sheets."""
        return self._map("cellXfs", number)

    def differential_format(self, number: int) -> int:
        """Return the workbook's number of a differential format (`dxfId`) of the new sheets."""
        return self._map("dxfs", number)

    def _map(self, pool: str, number: int) -> int:
        if pool == "fills" and number < _RESERVED_FILLS:
            return number
        if (pool, number) not in self._mapped:
            element = deepcopy(self._added[pool][number])
            if pool == "cellXfs":
                self._translate(element)
            for entry in element.iterchildren(f"{MAIN}numFmt"):
                entry.set("numFmtId", str(self._formats.number_of(entry.get("formatCode", ""))))
            self._mapped[pool, number] = self._pools[pool].index_of(element)
        return self._mapped[pool, number]

    def _translate(self, xf: etree._Element) -> None:
        """Point a cell format at the workbook's own font, fill, border, number format and normal style."""
        for attribute, pool in (("fontId", "fonts"), ("fillId", "fills"), ("borderId", "borders")):
            number = self._map(pool, int(xf.get(attribute, "0")))
            xf.set(attribute, str(number))
            if number:
                xf.set(f"apply{attribute.removesuffix('Id').capitalize()}", "1")
        code = self._added_formats.get(xf.get("numFmtId", "0"))
        number = int(xf.get("numFmtId", "0")) if code is None else self._formats.number_of(code)
        xf.set("numFmtId", str(number))
        if number:
            xf.set("applyNumberFormat", "1")
        xf.set("xfId", self._normal)


class _Pool:
    """One list of the style sheet, in which an element is found by what it says."""

    def __init__(self, root: etree._Element, name: str) -> None:
        self._list = _list_of(root, name)
        self._known: dict[_Key, int] = {}
        for number, child in enumerate(self._list.iterchildren("*")):
            self._known.setdefault(_key(child), number)
        self._size = len(self._list.findall("*"))
        self.grown = False

    def index_of(self, element: etree._Element) -> int:
        key = _key(element)
        if key not in self._known:
            self._list.append(element)
            self._known[key] = self._size
            self._size += 1
            self._list.set("count", str(self._size))
            self.grown = True
        return self._known[key]


class _Formats:
    """The workbook's own number formats by their codes."""

    def __init__(self, root: etree._Element) -> None:
        self._root = root
        self._known = {
            entry.get("formatCode", ""): int(entry.get("numFmtId", "0"))
            for entry in root.iterfind(f"{MAIN}numFmts/{MAIN}numFmt")
        }
        self._last = max([_FIRST_OWN_FORMAT - 1, *self._known.values()])
        self.grown = False

    def number_of(self, code: str) -> int:
        if code not in self._known:
            formats = _list_of(self._root, "numFmts")
            self._last += 1
            self._known[code] = self._last
            etree.SubElement(formats, f"{MAIN}numFmt", {"numFmtId": str(self._last), "formatCode": code})
            formats.set("count", str(len(formats.findall("*"))))
            self.grown = True
        return self._known[code]


def _list_of(root: etree._Element, name: str) -> etree._Element:
    """Find a list of the style sheet, or put it where the schema wants it, with the entries that must come first."""
    found = root.find(MAIN + name)
    if found is not None:
        return found
    pattern = etree.fromstring(EMPTY_STYLES).find(MAIN + name)
    made = pattern if pattern is not None else etree.Element(MAIN + name, {"count": "0"})
    later = {MAIN + other for other in _ORDER[_ORDER.index(name) + 1 :]}
    successor = next((child for child in root.iterchildren("*") if child.tag in later), None)
    if successor is None:
        root.append(made)
    else:
        successor.addprevious(made)
    return made


def _key(element: etree._Element) -> _Key:
    """What an element says, whatever its prefixes and the order of its attributes (and, in a font, of its parts)."""
    children = [_key(child) for child in element.iterchildren("*")]
    if element.tag == f"{MAIN}font":
        children.sort(key=repr)
    attributes = sorted(item for item in element.items() if item not in _NO_FLAGS)
    return (element.tag, tuple(attributes), (element.text or "").strip(), *children)
