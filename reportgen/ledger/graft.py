"""New sheets into an existing workbook package, with everything else in it left byte for byte.

Knows sheets, styles, tables and names as parts of a package (ECMA-376 part 1, 18). Refuses to know what the sheets
say: they are made with the spreadsheet library in a workbook of their own and arrive here as its bytes.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from copy import deepcopy
from typing import Final

from lxml import etree

from reportgen.catalogue.package import MAIN, Package, PackageInfo, inspect_package, relationships_part
from reportgen.ledger.container import Rewritten
from reportgen.ledger.draft import Draft, serialised, table_name
from reportgen.ledger.longtables import Book, Stretch, spliced
from reportgen.ledger.styles import StyleMerger
from reportgen.problems import PackageRefused

__all__ = ["PackageInfo", "graft", "inspect_package"]

_SHEET_TYPE: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"
_LINKS_TYPE: Final = "application/vnd.openxmlformats-package.relationships+xml"
_DAYS_TO_1904: Final = 1462  # ECMA-376 part 1, 18.17.4.1
_FORMULAS: Final = {
    MAIN + name for name in ("f", "formula", "formula1", "formula2", "calculatedColumnFormula", "totalsRowFormula")
}


def graft(
    original: bytes, additions: bytes | Book, replace: Collection[str] = (), remove: Collection[str] = ()
) -> Rewritten:
    """Return the workbook `original` with the sheets of the workbook `additions` as its last tabs.

    A sheet named in `replace` that the original has already is replaced where it stands, one named in `remove` is taken
    away: give only what `old_result_sheets` says nobody relies on. All other parts keep their
    bytes, except content types, workbook, its relationships and its styles, which are added to. Cell formulas arrive
    without stored values, as the library writes them; give values where the result must be readable at once.
    What was put by hand on a sheet that is replaced goes with it, so replace only what the program made.
    Errors: PackageRefused for a file that must not be opened (see inspect_package) or a sheet or name that is taken.
    Source: ECMA-376 parts 1 and 2.
    """
    inspect_package(original)
    draft = Draft(Package(original))
    extra = Package(additions if isinstance(additions, bytes) else additions.package())
    stretches = {} if isinstance(additions, bytes) else additions.stretches
    _refuse_foreign_sheets(extra)
    standing = {name.casefold(): part for name, part in draft.package.sheets()}
    for name in remove:
        draft.remove_sheet(standing.pop(name.casefold()))
    replaceable = {name.casefold() for name in replace}
    places: dict[str, str] = {}
    for name, _ in extra.sheets():
        if name.casefold() not in standing:
            places[name] = draft.append_sheet(name, _state(extra, name))
        elif name.casefold() in replaceable:
            places[name] = draft.clear_sheet(standing[name.casefold()])
        else:
            raise PackageRefused(
                f'The workbook has a sheet "{name}" already, and it was not made to be replaced. '
                "Rename that sheet in the spreadsheet program, save the workbook, and run again."
            )
    transplant = _Transplant(draft, extra)
    for name, source in extra.sheets():
        transplant.sheet(source, places[name], stretches.get(name, ()))
    _add_names(draft, extra)
    return draft.finished()


class _Transplant:
    """Carries sheets, and the parts that hang on them, from the additions into the draft."""

    def __init__(self, draft: Draft, extra: Package) -> None:
        self._draft, self._extra = draft, extra
        links = {link.kind: link.target for link in extra.relationships(extra.main_part)}
        self._styles = StyleMerger(draft.styles, extra.xml(links["styles"]))
        self._strings = list(extra.xml(links["sharedStrings"])) if "sharedStrings" in links else []
        self._carried: dict[str, str] = {}
        self._tables = _free_table_names(draft, extra)
        self._shift = (
            -_DAYS_TO_1904 if _counts_from_1904(draft.package) else 0
        )  # the library's own books count from 1900

    def sheet(self, source: str, target: str, stretches: Sequence[Stretch]) -> None:
        """Put a sheet of the additions, with its stretches of text, into its place in the draft."""
        root = self._extra.xml(source)
        for view in root.iterfind(f"{MAIN}sheetViews/{MAIN}sheetView"):
            view.attrib.pop("tabSelected", None)
        for cell in root.iterfind(f"{MAIN}sheetData/{MAIN}row/{MAIN}c"):
            if cell.get("t") == "s":
                _make_inline(cell, self._strings)
        self._shift_dates(root)
        self._restyle(root)
        self._rename_tables(root)
        later = self._later if self._shift else None
        rows = [(one.first, one.text(self._styles.cell_format, later)) for one in stretches]
        self._draft.put(target, spliced(serialised(root), rows), _SHEET_TYPE)
        self._carry_links(source, target)
        self._draft.styles_grown = self._styles.grown

    def _later(self, style: int) -> int:
        """By how many days the dates of a style move."""
        return self._shift if self._styles.is_date(style) else 0

    def _shift_dates(self, root: etree._Element) -> None:
        """Let dates fall on their day also where the workbook counts its days from another year."""
        for cell in root.iter(f"{MAIN}c") if self._shift else ():
            value = cell.find(f"{MAIN}v")
            number = float(value.text or "0") if value is not None and cell.get("t", "n") == "n" else 0.0
            if value is not None and number >= 1 and self._styles.is_date(int(cell.get("s", "0"))):
                value.text = repr(number + self._shift)

    def _restyle(self, root: etree._Element) -> None:
        """Give cells, rows, columns and conditional formats the numbers of the workbook's styles."""
        plain, known = self._styles.cell_format(0), dict[str, str]()
        for element in root.iter(f"{MAIN}col", f"{MAIN}row", f"{MAIN}c"):
            attribute = "style" if element.tag == f"{MAIN}col" else "s"
            number = element.get(attribute)
            if number is not None:
                if number not in known:
                    known[number] = str(self._styles.cell_format(int(number)))
                if number != known[number]:
                    element.set(attribute, known[number])
            elif plain and element.tag == f"{MAIN}c":
                element.set(attribute, str(plain))
        for part in root:
            for element in part.iter(f"{MAIN}*") if part.tag != f"{MAIN}sheetData" else ():
                self._renumber_differential(element)

    def _renumber_differential(self, element: etree._Element) -> None:
        for attribute in element.attrib:
            if str(attribute).lower().endswith("dxfid"):
                element.set(attribute, str(self._styles.differential_format(int(element.get(attribute, "0")))))

    def _carry(self, source: str) -> str:
        """Carry a part and all that hangs on it; return its name in the draft."""
        if source not in self._carried:
            target = self._carried[source] = self._draft.free_name(source)
            content_type = self._extra.content_type(source)
            content = self._table(source) if content_type.endswith(".table+xml") else self._extra.read(source)
            self._draft.put(target, [content], content_type)
            self._carry_links(source, target)
        return self._carried[source]

    def _carry_links(self, source: str, target: str) -> None:
        links_part = relationships_part(source)
        if links_part not in self._extra:
            return
        root = self._extra.xml(links_part)
        for element, link in zip(root, self._extra.relationships(source), strict=True):
            if not link.external and link.target in self._extra:  # else a place in the workbook itself ("#Sheet!A1")
                element.set("Target", f"/{self._carry(link.target)}")
        self._draft.put(relationships_part(target), [serialised(root)], _LINKS_TYPE)

    def _table(self, source: str) -> bytes:
        root = self._extra.xml(source)
        number, name = self._tables[table_name(root)]
        root.attrib.update({"id": number, "name": name, "displayName": name})
        for element in root.iter(f"{MAIN}*"):
            self._renumber_differential(element)
        self._rename_tables(root)
        return serialised(root)

    def _rename_tables(self, root: etree._Element) -> None:
        renamed = {old: new for old, (_, new) in self._tables.items() if old != new}
        if not renamed:
            return
        pattern = re.compile(rf"(?<![\w.])({'|'.join(map(re.escape, renamed))})(?=\[)")
        for element in root.iter(*_FORMULAS):
            element.text = pattern.sub(lambda found: renamed[found[1]], element.text or "")


def _free_table_names(draft: Draft, extra: Package) -> dict[str, tuple[str, str]]:
    """Give every table of the additions a number and a name that no table or name of the workbook has."""
    standing = [
        draft.package.xml(part)
        for part in draft.package.names
        if draft.package.content_type(part).endswith(".table+xml") and draft.parts.get(part, b"") is not None
    ]
    taken = {table_name(table).casefold() for table in standing}
    taken |= {name.get("name", "").casefold() for name in draft.workbook.iterfind(f"{MAIN}definedNames/*")}
    numbers = {table.get("id", "") for table in standing} | set(draft.freed_table_ids.values())
    last = max((int(number) for number in numbers if number.isdigit()), default=0)
    given: dict[str, tuple[str, str]] = {}
    for part in extra.names:
        if extra.content_type(part).endswith(".table+xml"):
            name = table_name(extra.xml(part))
            candidates = (f"{name}_{number}" if number > 1 else name for number in range(1, 1 << 20))
            free = next(candidate for candidate in candidates if candidate.casefold() not in taken)
            taken.add(free.casefold())
            number = draft.freed_table_ids.get(name)
            if number is None:
                last += 1
                number = str(last)
            given[name] = (number, free)
    return given


def _add_names(draft: Draft, extra: Package) -> None:
    """Add the defined names of the new sheets; a name's sheet is its place among the tabs."""
    places = {tab.get("name", "").casefold(): place for place, tab in enumerate(draft.sheets.iterchildren("*"))}
    sheets = [name for name, _ in extra.sheets()]
    taken = {_scope(name) for name in draft.workbook.iterfind(f"{MAIN}definedNames/{MAIN}definedName")}
    for source in extra.xml(extra.main_part).iterfind(f"{MAIN}definedNames/{MAIN}definedName"):
        name = deepcopy(source)
        if (place := name.get("localSheetId")) is not None:
            name.set("localSheetId", str(places[sheets[int(place)].casefold()]))
        if _scope(name) in taken:
            raise PackageRefused(
                f'The workbook has a name "{name.get("name")}" already. Rename it in the spreadsheet program, save the '
                "workbook, and run again."
            )
        draft.defined_names().append(name)


def _scope(name: etree._Element) -> tuple[str, str | None]:
    return name.get("name", "").casefold(), name.get("localSheetId")


def _refuse_foreign_sheets(extra: Package) -> None:
    kinds = {link.kind for link in extra.relationships(extra.main_part)}
    foreign = kinds & {"chartsheet", "dialogsheet", "externalLink", "vbaProject", "pivotCacheDefinition"}
    if foreign:
        raise ValueError(f"only worksheets can be added; the additions hold {', '.join(sorted(foreign))}")


def _counts_from_1904(package: Package) -> bool:
    settings = package.xml(package.main_part).find(f"{MAIN}workbookPr")
    return settings is not None and settings.get("date1904", "") in ("1", "true", "on")


def _state(extra: Package, name: str) -> str:
    tabs = extra.xml(extra.main_part).iterfind(f"{MAIN}sheets/{MAIN}sheet")
    return next(tab.get("state", "visible") for tab in tabs if tab.get("name") == name)


def _make_inline(cell: etree._Element, strings: list[etree._Element]) -> None:
    """Turn a reference to the additions' shared strings into the string itself."""
    value = cell.find(f"{MAIN}v")
    assert value is not None  # the library writes one with every shared string
    cell.set("t", "inlineStr")
    text = etree.SubElement(cell, f"{MAIN}is")
    text.extend(deepcopy(child) for child in strings[int(value.text or "0")])
    cell.replace(value, text)
