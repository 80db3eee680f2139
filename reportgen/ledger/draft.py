"""A workbook package in the making: tabs, parts, content types and relationships that are added, changed or gone.

Knows which parts a sheet owns and which names and numbers are free. Refuses to know what stands in a sheet, and
never touches a part that is not a new one, one of our own, or one of the four lists that every sheet is entered in.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from lxml import etree

from reportgen.catalogue.package import (
    CONTENT_TYPE,
    CONTENT_TYPES_PART,
    LINK,
    MAIN,
    MOST_BYTES,
    MOST_PART_BYTES,
    RELATION,
    Package,
    parse_xml,
    relationships_part,
)
from reportgen.ledger.container import Packed, Rewritten, packed
from reportgen.ledger.styles import EMPTY_STYLES
from reportgen.problems import PackageRefused

_STYLES_TYPE: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.styles+xml"
_LAST_PLACED: Final = ("externalReferences", "functionGroups", "sheets")  # defined names follow the last of these

# What our own sheets come to hold, also after a spreadsheet program has saved them again.
_REPLACEABLE: Final = {"table", "drawing", "hyperlink", "comments", "vmlDrawing", "printerSettings"}


class Draft:
    """The package in the making: its four shared parts as trees, and what else is new, changed or gone."""

    def __init__(self, package: Package) -> None:
        self.package = package
        self.links_part = package.stored_name(relationships_part(package.main_part))
        self.types = package.xml(CONTENT_TYPES_PART)
        self.workbook = package.xml(package.main_part)
        self.links = package.xml(self.links_part)
        self.parts: dict[str, bytes | Packed | None] = {}
        self.freed_table_ids: dict[str, str] = {}
        self.styles_part, self.styles = self._find_styles()
        self.styles_grown = False
        self._chains: dict[str, etree._Element] = {}
        self._views_to_open: list[etree._Element] = []

    @property
    def sheets(self) -> etree._Element:
        """The list of tabs."""
        found = self.workbook.find(f"{MAIN}sheets")
        assert found is not None  # inspect_package has seen at least one sheet
        return found

    def append_sheet(self, name: str, state: str) -> str:
        """Add a tab at the end and return the name of its part, which is still to be put."""
        part = self.free_name("xl/worksheets/sheet1.xml")
        self.parts[part] = b""
        number = 1 + max(int(sheet.get("sheetId", "0")) for sheet in self.sheets.iterchildren(f"{MAIN}sheet"))
        tab = etree.SubElement(self.sheets, f"{MAIN}sheet", {"name": name, "sheetId": str(number)})
        if state != "visible":
            tab.set("state", state)
        tab.set(f"{RELATION}id", self._link("worksheet", part))
        if self.workbook.find(f"{MAIN}bookViews") is None:  # a sheet's view needs a window of the workbook to be in
            views = etree.Element(f"{MAIN}bookViews")
            etree.SubElement(views, f"{MAIN}workbookView")
            self.sheets.addprevious(views)
        if state == "visible":
            for view in self._views_to_open:
                view.set("activeTab", str(len(self.sheets) - 1))
            self._views_to_open.clear()
        return part

    def remove_sheet(self, part: str) -> None:
        """Take a sheet of ours away with all that belongs to it alone; what counts tabs by their place is set right.

        A window that showed it opens on the first sheet that is added next.
        """
        self.clear_sheet(part)
        link = next(link for link in self.package.relationships(self.package.main_part) if link.target == part)
        tabs = list(self.sheets.iterchildren(f"{MAIN}sheet"))
        place = next(place for place, tab in enumerate(tabs) if tab.get(f"{RELATION}id") == link.id)
        _remove(tabs[place])
        for element in self.links.findall(f"{LINK}Relationship[@Id='{link.id}']"):
            _remove(element)
        self._drop(part)
        for name in self.workbook.iterfind(f"{MAIN}definedNames/{MAIN}definedName[@localSheetId]"):
            _count_down(name, "localSheetId", place)
        for view in self.workbook.iterfind(f"{MAIN}bookViews/{MAIN}workbookView"):
            if int(view.get("activeTab", "0")) == place:
                self._views_to_open.append(view)
            _count_down(view, "activeTab", place)
            _count_down(view, "firstSheet", place)

    def clear_sheet(self, part: str) -> str:
        """Take away all that belongs to a sheet alone; its tab, its number and the name of its part stay."""
        links = [link for link in self.package.relationships(self.package.main_part) if link.target == part]
        tabs = list(self.sheets.iterchildren(f"{MAIN}sheet"))
        place = next(place for place, tab in enumerate(tabs) if tab.get(f"{RELATION}id") == links[0].id)
        foreign = {link.kind for link in self.package.relationships(part)} - _REPLACEABLE
        if foreign or links[0].kind != "worksheet":
            raise PackageRefused(
                f'The sheet "{tabs[place].get("name")}" holds what was not made here and would be lost when it is '
                f"written anew: {', '.join(sorted(foreign)) or links[0].kind}. Move that to another sheet, or rename "
                "this one to keep it as it is; a new one is then begun."
            )
        for name in self.workbook.findall(f"{MAIN}definedNames/{MAIN}definedName[@localSheetId='{place}']"):
            _remove(name)
        for owned in self.package.reached([""]) - self.package.reached([""], without=part) - {part}:
            if self.package.content_type(owned).endswith(".table+xml"):
                table = self.package.xml(owned)
                self.freed_table_ids[table_name(table)] = table.get("id", "")
            self._drop(owned)
        self._drop_part(relationships_part(part))
        self._drop_from_calculation_chain(tabs[place].get("sheetId", ""))
        return part

    def put(self, part: str, content: Iterable[bytes], content_type: str) -> None:
        """Put a part, in pieces, into the package under a free name or in the place of what was cleared."""
        self.parts[part] = packed(content)
        extension = part.rpartition(".")[2].lower()
        for entry in self.types.iterchildren(f"{CONTENT_TYPE}Override"):
            if _same_part(entry, part):
                entry.set("ContentType", content_type)
                return
        for entry in self.types.iterchildren(f"{CONTENT_TYPE}Default"):
            if (entry.get("Extension") or "").lower() == extension and entry.get("ContentType") == content_type:
                return
        etree.SubElement(
            self.types,
            f"{CONTENT_TYPE}Override",
            {"PartName": f"/{part.removeprefix('/')}", "ContentType": content_type},
        )

    def free_name(self, like: str) -> str:
        """Return a part name like the given one, with the lowest number that is free."""
        stem, extension = re.fullmatch(r"(.*?)\d*(\.[^./]*)", like).groups()  # type: ignore[union-attr] # every part name has an extension
        taken = {name.lower() for name in (*self.package.names, *self.parts) if self.parts.get(name, b"") is not None}
        number = 1
        while f"{stem}{number}{extension}".lower() in taken:
            number += 1
        return f"{stem}{number}{extension}"

    def finished(self) -> Rewritten:
        """Return the new package. Errors: PackageRefused when it is larger than what is read again."""
        self.parts[self.package.stored_name(CONTENT_TYPES_PART)] = serialised(self.types)
        self.parts[self.package.main_part] = serialised(self.workbook)
        self.parts[self.links_part] = serialised(self.links)
        if self.styles_grown:
            self.put(self.styles_part, [serialised(self.styles)], _STYLES_TYPE)
        sizes = {entry.filename: entry.file_size for entry in self.package.entries}
        sizes |= {name: _size(content) for name, content in self.parts.items()}
        if sum(sizes.values()) > MOST_BYTES or max(sizes.values()) > MOST_PART_BYTES:
            raise PackageRefused(
                f"With the new sheets the workbook would unpack to {sum(sizes.values()) >> 20} MiB, more than is ever read again "
                f"({MOST_BYTES >> 20}), so it stays as it is. Run again with --keep 3: the result sheets of older runs are then "
                "folded away, and nothing is worked out twice."
            )
        assert isinstance(self.package.source, bytes)  # graft reads it from memory
        return Rewritten(self.package.source, self.parts)

    def defined_names(self) -> etree._Element:
        """Return the list of defined names, made where the schema wants it when there is none."""
        names = self.workbook.find(f"{MAIN}definedNames")
        if names is None:
            names = etree.Element(f"{MAIN}definedNames")
            before = (self.workbook.find(MAIN + tag) for tag in _LAST_PLACED)
            next(element for element in before if element is not None).addnext(names)
        return names

    def _find_styles(self) -> tuple[str, etree._Element]:
        for link in self.package.relationships(self.package.main_part):
            if link.kind == "styles":
                return link.target, self.package.xml(link.target)
        part = self.free_name("xl/styles.xml")
        self._link("styles", part)
        self.put(part, [EMPTY_STYLES], _STYLES_TYPE)
        return part, parse_xml(EMPTY_STYLES, part)

    def _link(self, kind: str, part: str) -> str:
        numbers = (
            re.fullmatch(r"rId(\d+)", link.get("Id", "")) for link in self.links.iterchildren(f"{LINK}Relationship")
        )
        number = 1 + max((int(found[1]) for found in numbers if found), default=0)
        etree.SubElement(
            self.links,
            f"{LINK}Relationship",
            {"Id": f"rId{number}", "Type": f"{RELATION[1:-1]}/{kind}", "Target": f"/{part.removeprefix('/')}"},
        )
        return f"rId{number}"

    def _drop(self, part: str) -> None:
        self._drop_part(part)
        self._drop_part(relationships_part(part))

    def _drop_part(self, part: str) -> None:
        if part in self.package:
            self.parts[self.package.stored_name(part)] = None
            for entry in self.types.findall(f"{CONTENT_TYPE}Override"):
                if _same_part(entry, part):
                    _remove(entry)

    def _drop_from_calculation_chain(self, sheet_number: str) -> None:
        """Forget the formulas of a cleared sheet, which would be reported as damage; all other entries stay."""
        for link in self.package.relationships(self.package.main_part):
            if link.kind != "calcChain" or link.target not in self.package:
                continue
            chain = self._chains.setdefault(link.target, self.package.xml(link.target))
            number, dropped = "0", False
            for cell in list(chain.iterchildren(f"{MAIN}c")):
                number = cell.get("i", number)  # left out when it is that of the entry before
                if number == sheet_number:
                    _remove(cell)
                    dropped = True
                else:
                    cell.set("i", number)
            if dropped and len(chain):
                self.parts[link.target] = serialised(chain)
            elif dropped:
                self._drop(link.target)
                for element in self.links.findall(f"{LINK}Relationship[@Id='{link.id}']"):
                    _remove(element)


def _size(content: bytes | Packed | None) -> int:
    return content.size if isinstance(content, Packed) else len(content or b"")


def _count_down(element: etree._Element, attribute: str, place: int) -> None:
    """Let a number that counts tabs mean the same tab once the one at `place` is gone."""
    number = int(element.get(attribute, "0"))
    if number > place:
        element.set(attribute, str(number - 1))


def _same_part(entry: etree._Element, part: str) -> bool:
    return entry.get("PartName", "").lower().removeprefix("/") == part.lower().removeprefix("/")


def table_name(table: etree._Element) -> str:
    """Return the name by which formulas call a table."""
    return table.get("displayName") or table.get("name") or ""


def _remove(element: etree._Element) -> None:
    parent = element.getparent()
    assert parent is not None  # only children are removed
    parent.remove(element)


def serialised(root: etree._Element) -> bytes:
    """Return the bytes of a part from its tree, with whatever stands before and after its root."""
    return etree.tostring(root.getroottree(), xml_declaration=True, encoding="UTF-8", standalone=True)
