"""Result sheets of old runs that may be folded away: which they are, and which must stay because somebody relies on them.

Knows how our own result sheets look and what else in a package can lead to a sheet (ECMA-376 part 1, 18). Refuses to
remove anything: a sheet with something of the operator's on it, or that anything else refers to, is named with the reason.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from reportgen.catalogue.package import MAIN, Package
from reportgen.ledger.draft import serialised, table_name
from reportgen.ledger.sheets import headings
from reportgen.ledger.stamp import run_of_tab

_PLAIN: Final = {"table", "drawing", "hyperlink", "printerSettings"}
"""What hangs on a result sheet that nobody wrote on, also after a spreadsheet program has saved it."""
_CELL: Final = re.compile(rb'<c r="([A-Z]+)(\d+)"[^>]*(?<!/)>')
_AREA: Final = re.compile(rb"([A-Z]+)(\d+):([A-Z]+)(\d+)")
_WORDS: Final = re.compile(rb"<(?:\w+:)?(?:t|v|text)(?: [^>]*)?>[^<]*</")
"""Text that is only read: it leads nowhere, whatever it says."""
_THROUGH: Final = re.compile(rb"([^'!:,(<>&;]+):([^'!:,(<>&;]+)(?:'|&apos;)?\Z")
"""What stands before the "!" of a reference through several sheets: the first and the last of them."""
_LONGEST: Final = 280
"""Bytes that two names of sheets take at most: 31 signs of up to four bytes each, and what stands around them."""
_BEGINNING: Final = re.compile(rb'run\s*\d+|tableid="\d+"')
_LISTS: Final = (
    "[content_types].xml",
    "docprops/",
    "xl/sharedstrings",
    "xl/_rels/workbook",
    "xl/styles",
    "xl/calcchain",
)


@dataclass(frozen=True, slots=True)
class OldSheets:
    """Names of the sheets that may go, and a sentence for every reason why others stay."""

    gone: tuple[str, ...] = ()
    notices: tuple[str, ...] = ()


def old_result_sheets(content: bytes, keep: int, current: int) -> OldSheets:
    """The result sheets of all runs before the last `keep`, the run of number `current` counted as one of them.

    A sheet stays that holds cells beside our tables, formulas, notes or drawings of the operator's, or that a formula,
    a name, a chart, a link or anything else outside of the sheets that go refers to. Errors: PackageRefused.
    """
    package = Package(content)
    tabs = {name: part for name, part in package.sheets() if run_of_tab(name) is not None}
    runs = sorted({run_of_tab(name) or 0 for name in tabs} - {current})
    old = set(runs[: max(0, len(runs) - (keep - 1))])
    going = {name: part for name, part in tabs.items() if run_of_tab(name) in old}
    if going and (reason := _guarded(package)):
        return OldSheets((), (f"No result sheet of an old run was removed: {reason}",))
    why = {name: reason for name, part in going.items() if (reason := _own_writing(package, name, part))}
    going = {name: part for name, part in going.items() if name not in why}
    readers = _Readers(package, going)
    while lost := {name: where for name in going if (where := readers.of(name, going))}:
        why |= {name: f"{where} refers to it" for name, where in lost.items()}
        going = {name: part for name, part in going.items() if name not in lost}
    return OldSheets(tuple(going), tuple(_sentences(why)))


def _sentences(why: Mapping[str, str]) -> Iterator[str]:
    for reason in dict.fromkeys(why.values()):
        names = [name for name, other in why.items() if other == reason]
        yield f"{', '.join(names)} {'stay' if len(names) > 1 else 'stays'}: {reason}."


def _guarded(package: Package) -> str:
    """Why no sheet of this workbook may be removed at all; empty where they may."""
    kinds = {link.kind for link in package.relationships(package.main_part)}
    protection = package.xml(package.main_part).find(f"{MAIN}workbookProtection")
    if protection is not None and protection.get("lockStructure", "0") not in ("0", "false", "off"):
        return "the structure of the workbook is protected."
    if "vbaProject" in kinds:
        return "the workbook has macros, which may use them. Delete them in the spreadsheet program."
    if "revisionHeaders" in kinds:
        return "the workbook is shared with change tracking. End the sharing first."
    return ""


# --- what the operator wrote on it --------------------------------------------------------------------------------


def _own_writing(package: Package, name: str, part: str) -> str:
    """What of the operator's would be lost with the sheet; empty for one that is as a run made it."""
    links = package.relationships(part)
    if foreign := {link.kind for link in links} - _PLAIN:
        return "notes were written on it" if "comments" in foreign else f"it holds {', '.join(sorted(foreign))}"
    drawings = [package.xml(link.target) for link in links if link.kind == "drawing"]
    if sum(len(drawing) for drawing in drawings) > name.casefold().endswith("summary"):
        return "it holds a drawing that no run made"
    tables = [package.xml(link.target) for link in links if link.kind == "table"]
    number = f"Run{run_of_tab(name):03d}"
    if not tables or not all(table_name(table).startswith(number) for table in tables):
        return "its table is not the one that the run made"
    columns = {column.get("name", "") for table in tables for column in table.iter(f"{MAIN}tableColumn")}
    ours = {_bare(text) for text in headings()}
    if strange := sorted(column for column in columns if _bare(column) not in ours):
        return f"it has a column “{strange[0]}” that no run made"
    return _beside(package, part, [_area(table.get("ref", "")) for table in tables])


def _bare(heading: str) -> str:
    """A heading without its unit or currency and however its line is broken."""
    return " ".join(heading.replace("_x000a_", " ").partition("(")[0].split())


def _beside(package: Package, part: str, areas: list[tuple[int, int, int, int]]) -> str:
    """The first cell that holds something outside of our tables and of the lines above them, or a formula."""
    first = min(area[1] for area in areas)
    columns = dict[bytes, int]()
    any_rows = False
    for rows in package.rows(part):
        any_rows = True
        if b"<f>" in rows or b"<f " in rows:
            return "it holds a formula that no run made"
        for letters, digits in _CELL.findall(rows):
            column = columns.get(letters) or columns.setdefault(letters, _column(letters))
            row = int(digits)
            inside = any(left <= column <= right and top <= row <= last for left, top, right, last in areas)
            if not inside and not (row < first and column == 1):
                return f"something was written into its cell {letters.decode()}{row}"
    return "" if any_rows else "its rows are written in a way that no run uses"


def _area(reference: str) -> tuple[int, int, int, int]:
    """First column, first row, last column and last row of a table; nothing at all where it says none."""
    found = _AREA.fullmatch(reference.encode())
    left, top, right, last = found.groups() if found else (b"A", b"1", b"A", b"0")
    return _column(left), int(top), _column(right), int(last)


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = 26 * number + letter - 64
    return number


# --- who refers to it ---------------------------------------------------------------------------------------------


class _Readers:
    """Which parts of a package mention which of the sheets, other than in plain words."""

    def __init__(self, package: Package, sheets: Mapping[str, str]) -> None:
        self._package, self._order = package, [name.casefold() for name, _ in package.sheets()]
        self._title = {part: name for name, part in package.sheets()}
        self._owned = {name: {part, *package.reached([part])} for name, part in sheets.items()}
        self._words = {name: self._names_of(name, parts) for name, parts in self._owned.items()}
        found = (_BEGINNING.match(word) for words in self._words.values() for word in words)
        self._beginnings = {one[0] for one in found if one}
        self._mentions: dict[str, list[tuple[str, str]]] = {name: [] for name in sheets}
        for part in package.names if sheets else ():
            if _may_refer(package, part):
                self._look_through(part)

    def of(self, name: str, going: Collection[str]) -> str:
        """Where the first reference to the sheet stands that would be left without its aim; empty for none."""
        leaving = {part for other in going for part in self._owned[other]}
        return next((where for part, where in self._mentions[name] if part not in leaving), "")

    def _names_of(self, name: str, parts: Collection[str]) -> set[bytes]:
        tables = [self._package.xml(part) for part in parts if self._package.content_type(part).endswith(".table+xml")]
        numbers = {f'tableid="{table.get("id")}"' for table in tables}
        return {text.casefold().encode() for text in (name, *map(table_name, tables), *numbers)}

    def _look_through(self, part: str) -> None:
        """Note what a part says of the sheets; one that says nothing is read piece by piece and never held whole."""
        before, found = b"", False
        for piece in self._package.pieces(part):
            text = before + piece.lower()
            found = found or text.startswith(_MARKS) or any(one in text for one in self._beginnings)
            found = found or any(True for _ in self._passed_through(text))
            before = text[-_LONGEST:]
        if not found:
            return
        if part == self._package.main_part:
            self._look_at_names()
            return
        source, text = part.replace("_rels/", "").removesuffix(".rels"), self._text(part)
        for name, words in self._words.items():
            places = [at for word in words if (at := text.find(word)) >= 0]
            places += [at for passed, at in self._passed_through(text) if passed == name]
            if places:
                self._mentions[name].append((source, self._place(source, text, min(places))))

    def _text(self, part: str) -> bytes:
        content = self._package.read(part)
        if content.startswith(_MARKS):
            content = serialised(self._package.xml(part))
        return _WORDS.sub(b"<", content).lower()

    def _passed_through(self, text: bytes) -> Iterator[tuple[str, int]]:
        """Sheets that stand between the first and the last of a reference, which ends where it is said."""
        at = text.find(b"!")
        while at >= 0:
            if found := _THROUGH.search(text[max(0, at - _LONGEST) : at]):
                ends = [end.decode(errors="replace") for end in found.groups()]
                if all(end in self._order for end in ends):
                    first, last = sorted(self._order.index(end) for end in ends)
                    passed = set(self._order[first : last + 1])
                    yield from ((name, at) for name in self._words if name.casefold() in passed)
            at = text.find(b"!", at + 1)

    def _look_at_names(self) -> None:
        """Defined names, other than those that a sheet has for itself; views of the workbook that open on a sheet."""
        workbook = self._package.xml(self._package.main_part)
        tabs = list(workbook.iterfind(f"{MAIN}sheets/{MAIN}sheet"))
        for element in workbook.iterfind(f"{MAIN}definedNames/{MAIN}definedName"):
            place, formula = element.get("localSheetId"), (element.text or "").casefold().encode()
            owner = tabs[int(place)].get("name") if place is not None and int(place) < len(tabs) else None
            passed = {name for name, _ in self._passed_through(formula)}
            for name, words in self._words.items():
                if name != owner and (name in passed or any(word in formula for word in words)):
                    self._mentions[name].append(("", f"the name “{element.get('name')}”"))
        for view in workbook.iter(f"{MAIN}customWorkbookView"):
            for tab in tabs:
                if tab.get("name") in self._words and tab.get("sheetId") == view.get("activeSheetId"):
                    self._mentions[tab.get("name", "")].append(("", f"the view “{view.get('name')}”"))

    def _place(self, part: str, text: bytes, at: int) -> str:
        """Where a reference stands, as the operator finds it: a cell, or the sheet that the part hangs on."""
        if part in self._title:
            cell = text.rfind(b'<c r="', 0, at)
            inside = cell >= 0 and text.find(b"</sheetdata>", cell, at) < 0
            name = text[cell + 6 : text.index(b'"', cell + 6)].decode().upper() if inside else ""
            return f"{self._title[part]}!{name}" if name else f"the sheet “{self._title[part]}”"
        holders = [name for sheet, name in self._title.items() if part in self._package.reached([sheet])]
        kind = next(
            (words for mark, words in _KINDS.items() if mark in part.casefold()), "another part of the workbook"
        )
        return f"{kind} on the sheet “{holders[0]}”" if holders else kind


def _may_refer(package: Package, part: str) -> bool:
    """Whether a part can lead to a sheet: the lists that name every sheet and every text do not."""
    name, kind = part.casefold(), package.content_type(part)
    return (kind.endswith("xml") or name.endswith((".vml", ".rels"))) and not name.startswith(_LISTS)


_MARKS: Final = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
_KINDS: Final = {
    "chart": "a chart",
    "pivot": "a pivot table",
    "table": "a table",
    "slicer": "a slicer",
    "drawing": "a drawing",
}
