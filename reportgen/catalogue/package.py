"""A spreadsheet package as a container: whether it may be opened at all, and which parts hang on which.

Knows ZIP entries, content types and relationships (ECMA-376 part 2). Refuses to know cells, drivers and results,
and refuses every file that cannot be read or added to without risk.
"""

from __future__ import annotations

import hashlib
import io
import posixpath
import re
import zipfile
import zlib
from collections import deque
from collections.abc import Callable, Collection, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Final
from urllib.parse import unquote
from xml.parsers.expat import ExpatError, ParserCreate

from lxml import etree

from reportgen.problems import PackageRefused

MAIN: Final = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
RELATION: Final = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
LINK: Final = "{http://schemas.openxmlformats.org/package/2006/relationships}"
CONTENT_TYPE: Final = "{http://schemas.openxmlformats.org/package/2006/content-types}"
CONTENT_TYPES_PART: Final = "[Content_Types].xml"

# Bounds on what unpacking may cost (common practice, no source): a season's workbook stays far below each.
MOST_ENTRIES: Final = 20_000
MOST_BYTES: Final = 1 << 30
MOST_PART_BYTES: Final = 256 << 20
FREE_BYTES: Final = 64 << 20  # below this size the ratio does not matter
MOST_RATIO: Final = 200

_COMPOUND_FILE = bytes.fromhex("D0CF11E0A1B11AE1")
_MEND = "Open it in the spreadsheet program, save it under a new name as .xlsx or .xlsm, and use that file."
_DTD = tuple("<!DOCTYPE".encode(encoding) for encoding in ("ascii", "utf-16-le", "utf-16-be"))
_LONGEST_MARK: Final = max(map(len, _DTD))
_PIECE: Final = 1 << 20
_ROWS, _ROWS_END = b"<sheetData>", b"</sheetData>"
_EMPTY_SHEET: Final = f'<worksheet xmlns="{MAIN[1:-1]}"><sheetData/></worksheet>'.encode()
_FORMULA: Final = re.compile(rb"<((?:\w+:)?f)\b[^<>]*?(?:/>|>[^<]*+</\1>)")
_ANY_FORMULA: Final = rb"<\1>0</\1>"
_ROOT: Final = re.compile(rb"<worksheet\b[^>]*>")
_LOOKS_OF_RUNS: Final = re.compile(rb"<((?:\w+:)?rPr)>(?>(?:[^<]|<(?!/?(?:\w+:)?rPr>))*)</\1>")
_NO_LOOKS: Final = (
    f'<styleSheet xmlns="{MAIN[1:-1]}"><fonts><font/></fonts><fills><fill><patternFill/></fill></fills><borders><border/></borders>'
    '<cellStyleXfs><xf/></cellStyleXfs><cellXfs/><cellStyles><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>'
)
_CHECKED: Final = deque[bytes](maxlen=8)
"""SHA-256 of the packages that were last found sound: several steps of one command look at the same."""
_READABLE_ENCODING = re.compile(r"utf-?8|utf-?16(le|be)?|(us-)?ascii|iso-8859-\d+|windows-125\d", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Relationship:
    """One relationship of a part: its id, the last word of its type, and the part or address it leads to."""

    id: str
    kind: str
    target: str
    external: bool


@dataclass(frozen=True, slots=True)
class PackageInfo:
    """What a package holds, as far as one must know before it is opened or added to."""

    sheet_names: tuple[str, ...]
    warnings: tuple[str, ...]
    has_macros: bool


def inspect_package(data: bytes) -> PackageInfo:
    """Look through a whole .xlsx or .xlsm file and say what is in it; costs one pass of unpacking.

    Errors: PackageRefused for another kind of file, an encrypted, damaged or strict-namespace one, one that
    unpacks out of all proportion, or one with a document type declaration in an XML part.
    Source: ECMA-376 part 2 (package), part 4 (transitional namespace).
    """
    package = Package(data)
    package.check_contents()
    sheets = package.sheets()
    return PackageInfo(
        sheet_names=tuple(name for name, _ in sheets),
        warnings=tuple(_warnings(package)),
        has_macros=any(link.kind == "vbaProject" for link in package.relationships(package.main_part)),
    )


class Package:
    """Reading access to the parts of a package by name ("xl/workbook.xml"), without regard to case.

    `source` is its bytes, or the file that holds them. Errors: PackageRefused, from every method, when the package does not
    keep to its own rules.
    """

    def __init__(self, source: bytes | Path) -> None:
        self.source = source
        _refuse_foreign(source if isinstance(source, bytes) else _beginning(source))
        try:
            self._zip = zipfile.ZipFile(io.BytesIO(source) if isinstance(source, bytes) else source)
        except (zipfile.BadZipFile, NotImplementedError, UnicodeError, ValueError) as error:
            raise PackageRefused(f"The file is damaged: its ZIP directory cannot be read ({error}). {_MEND}") from error
        self.entries = self._zip.infolist()
        _refuse_bomb(self.entries)
        self._by_name = {_folded(entry.filename): entry for entry in self.entries if not entry.is_dir()}
        _refuse_strange_entries(self.entries, len(self._by_name))
        self._refuse_other_formats()
        self._rowless: dict[str, bytes] = {}
        self.main_part = self._find_main_part()

    @property
    def names(self) -> list[str]:
        """Names of all parts in the order of the file, without the slash that some writers put before them."""
        return [entry.filename.removeprefix("/") for entry in self._by_name.values()]

    def __contains__(self, part: str) -> bool:
        return self._find(part) is not None

    def stored_name(self, part: str) -> str:
        """Return the name under which a part stands in the file, or the given one when there is none."""
        entry = self._find(part)
        return entry.filename if entry else part

    def read(self, part: str) -> bytes:
        """Return the unpacked bytes of a part."""
        entry = self._entry(part)
        with self._unpacking(part):
            return self._zip.read(entry)

    def _entry(self, part: str) -> zipfile.ZipInfo:
        entry = self._find(part)
        if entry is None:
            raise PackageRefused(f"The file is damaged: its part {part} is missing. {_MEND}")
        return entry

    @contextmanager
    def _unpacking(self, part: str) -> Iterator[None]:
        try:
            yield
        except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, ValueError) as error:
            raise PackageRefused(
                f"The file is damaged: its part {part} cannot be unpacked ({error}). {_MEND}"
            ) from error

    def xml(self, part: str) -> etree._Element:
        """Parse a part; entities are never expanded and nothing is fetched."""
        return parse_xml(self.read(part), part)

    def relationships(self, part: str) -> tuple[Relationship, ...]:
        """Return the relationships of a part ("" is the package itself), targets resolved to part names."""
        links_part = relationships_part(part)
        if links_part not in self:
            return ()
        return tuple(
            Relationship(
                id=link.get("Id", ""),
                kind=posixpath.basename(link.get("Type", "")),
                target=link.get("Target", "") if external else self._resolve(part, link.get("Target", "")),
                external=external,
            )
            for link in self.xml(links_part).iterchildren(f"{LINK}Relationship")
            for external in (link.get("TargetMode", "").lower() == "external",)
        )

    def content_type(self, part: str) -> str:
        """Return the content type of a part: its own, or that of its extension, or ""."""
        return self._types.get(f"/{_folded(part)}") or self._types.get(_folded(part).rpartition(".")[2], "")

    def sheets(self) -> list[tuple[str, str]]:
        """Return name and part of every sheet in the order of the tabs."""
        workbook = self.xml(self.main_part)
        if workbook.tag != f"{MAIN}workbook":
            raise PackageRefused(f"The file is damaged: {self.main_part} is no workbook. {_MEND}")
        targets = {link.id: link.target for link in self.relationships(self.main_part) if not link.external}
        found = []
        for sheet in workbook.iterfind(f"{MAIN}sheets/{MAIN}sheet"):
            name, part = sheet.get("name", ""), targets.get(sheet.get(f"{RELATION}id", ""), "")
            if part not in self:
                raise PackageRefused(f'The file is damaged: the sheet "{name}" leads nowhere. {_MEND}')
            found.append((name, part))
        if not found:
            raise PackageRefused(f"The file is damaged: it holds no sheet. {_MEND}")
        return found

    def pieces(self, part: str) -> Iterator[bytes]:
        """The unpacked bytes of a part, a mebibyte at a time: a long sheet never stands in memory whole."""
        entry = self._entry(part)
        with self._unpacking(part), self._zip.open(entry) as stream:
            while piece := stream.read(_PIECE):
                yield piece

    def rows(self, part: str) -> Iterator[bytes]:
        """The rows of a sheet with the tags around them, in pieces that end with a row.

        Nothing where they bear a prefix, where there are none, or where they begin beyond the first mebibyte.
        """
        text = b""
        for number, piece in enumerate(self.pieces(part)):
            text += piece
            if number == 0:
                if (at := text.find(_ROWS)) < 0:
                    return
                text = text[at:]
            if (end := text.find(_ROWS_END)) >= 0:
                yield text[: end + len(_ROWS_END)]
                return
            if (cut := text.rfind(b"<row ")) > 0:
                yield text[:cut]
                text = text[cut:]

    def without_rows(self, part: str) -> bytes:
        """The bytes of a sheet with `<sheetData/>` in place of its rows; all of them where `rows` finds none."""
        if part not in self._rowless:
            self._rowless[part] = self._around_rows(part)
        return self._rowless[part]

    def _around_rows(self, part: str) -> bytes:
        head, rest, ended = b"", b"", False
        for number, piece in enumerate(self.pieces(part)):
            rest += piece
            if number == 0:
                if (at := rest.find(_ROWS)) < 0:
                    break
                head, rest = rest[:at], rest[at:]
            if not ended:
                at = rest.find(_ROWS_END)
                ended = at >= 0
                rest = rest[at + len(_ROWS_END) :] if ended else rest[-len(_ROWS_END) :]
        return head + b"<sheetData/>" + rest if ended else self.read(part)

    def check_contents(self) -> None:
        """Unpack part after part, with its checksum, and refuse XML that declares a document type; once for equal bytes."""
        mark = hashlib.sha256(self.source).digest() if isinstance(self.source, bytes) else b""
        if mark in _CHECKED:
            return
        for name in self.names:
            kind = self.content_type(name)
            xml_type = kind.endswith("xml") and not kind.startswith("image/")
            is_xml = xml_type or name.lower().endswith((".xml", ".rels", ".vml"))
            before, suspect = b"", False
            for piece in self.pieces(name):
                if is_xml and not before:
                    refuse_odd_encoding(piece, name)
                suspect = suspect or any(mark in piece or mark in before + piece[:_LONGEST_MARK] for mark in _DTD)
                before = piece[-_LONGEST_MARK:]
            if is_xml and suspect:
                refuse_document_type(self.read(name), name)
        if mark:
            _CHECKED.append(mark)

    def check_xml(self, part: str) -> None:
        """Read through a sheet as XML without making a tree of it, which takes twenty times the room."""
        parser = ParserCreate()
        parser.StartDoctypeDeclHandler = _refuse_declaration
        try:
            for piece in self.pieces(part):
                parser.Parse(piece, False)
            parser.Parse(b"", True)
        except ExpatError as error:
            raise PackageRefused(f"The file is damaged: its part {part} is no proper XML ({error}). {_MEND}") from error

    def bare(self, wanted: Callable[[str], bool], rows: bool = True) -> bytes:
        """A package of the wanted sheets alone, for a library that would stumble over what we never look at.

        Values, formats of numbers and strings are there as they were, and whether a cell has a formula. What else there is of a cell and
        of a sheet is not: the library refuses some that every spreadsheet program shows. Without `rows` the sheets are empty, and not
        unpacked. A sheet that is a chart has no cells and is left out.
        """
        links = self.relationships(self.main_part)
        charts = {link.target for link in links if link.kind == "chartsheet"}
        own = {name: part for name, part in self.sheets() if wanted(name) and part not in charts}
        workbook = self.xml(self.main_part)
        for element in list(workbook):
            if element.tag == f"{MAIN}workbookPr":
                dates = element.get("date1904", "0")
                element.attrib.clear()
                element.set("date1904", dates)
            elif element.tag != f"{MAIN}sheets":
                workbook.remove(element)
        for tab in workbook.findall(f"{MAIN}sheets/{MAIN}sheet"):
            if tab.get("name", "") not in own:
                tab.getparent().remove(tab)  # type: ignore[union-attr] # it was found below one
        looks = {link.target for link in links if link.kind == "styles"}
        parts = {*looks, *(link.target for link in links if link.kind == "sharedStrings"), *own.values()}
        trees = {self.main_part: workbook, **self._lists_of(parts)}
        plain = {*parts, "_rels/.rels"}
        small = io.BytesIO()
        with zipfile.ZipFile(small, "w") as archive:
            for part, tree in trees.items():
                archive.writestr(part.removeprefix("/"), etree.tostring(tree.getroottree()))
            for part in plain:
                if part in self:
                    content = self._sheet(part, rows) if part in own.values() else self.read(part)
                    content = _number_formats(content, part) if part in looks else _LOOKS_OF_RUNS.sub(b"", content)
                    archive.writestr(part.removeprefix("/"), content)
        return small.getvalue()

    def _sheet(self, part: str, rows: bool) -> bytes:
        return _FORMULA.sub(_ANY_FORMULA, _rows_alone(self.read(part))) if rows else _EMPTY_SHEET

    def _lists_of(self, parts: Collection[str]) -> dict[str, etree._Element]:
        """Content types and the workbook's relationships, every part called as it is stored: a library minds the case."""
        links_part = relationships_part(self.main_part)
        types, links = self.xml(CONTENT_TYPES_PART), self.xml(links_part)
        for entry in types.findall(f"{CONTENT_TYPE}Override"):
            entry.set("PartName", f"/{self.stored_name(entry.get('PartName', '')).removeprefix('/')}")
        for element, link in zip(links.findall(f"{LINK}Relationship"), self.relationships(self.main_part), strict=True):
            if link.target in parts:
                element.set("Target", f"/{link.target.removeprefix('/')}")
            else:
                links.remove(element)
        return {CONTENT_TYPES_PART: types, links_part: links}

    def reached(self, sources: Iterable[str], without: str = "") -> set[str]:
        """All parts to which relationships lead from the given ones ("" is the package), never through `without`."""
        found: set[str] = set()
        waiting = list(sources)
        while waiting:
            for link in self.relationships(waiting.pop()):
                if not link.external and link.target not in found and link.target != without and link.target in self:
                    found.add(link.target)
                    waiting.append(link.target)
        return found

    def _find(self, part: str) -> zipfile.ZipInfo | None:
        return self._by_name.get(_folded(part)) or self._by_name.get(_folded(unquote(part)))

    def _resolve(self, source: str, target: str) -> str:
        joined = posixpath.join("/", posixpath.dirname(source), target.partition("#")[0].replace("\\", "/"))
        return self.stored_name(posixpath.normpath(joined).lstrip("/"))

    @cached_property
    def _types(self) -> dict[str, str]:
        """Content types by part name (with its slash) or by extension."""
        return {
            f"/{_folded(name)}" if (name := child.get("PartName")) else _folded(child.get("Extension", "")): child.get(
                "ContentType", ""
            )
            for child in self.xml(CONTENT_TYPES_PART).iterchildren("*")
        }

    def _refuse_other_formats(self) -> None:
        if "mimetype" in self and b"opendocument" in self.read("mimetype"):
            raise PackageRefused(f"The file is an OpenDocument file, not .xlsx or .xlsm. {_MEND}")
        if "xl/workbook.bin" in self:
            raise PackageRefused(f"The file is a binary workbook (.xlsb), not .xlsx or .xlsm. {_MEND}")
        if CONTENT_TYPES_PART not in self or "_rels/.rels" not in self:
            raise PackageRefused(f"The file is a ZIP archive but no spreadsheet package. {_MEND}")

    def _find_main_part(self) -> str:
        for link in self.xml("_rels/.rels").iterchildren(f"{LINK}Relationship"):
            if posixpath.basename(link.get("Type", "")) == "officeDocument":
                part = self._resolve("", link.get("Target", ""))
                if "purl.oclc.org" in link.get("Type", "") or "purl.oclc.org" in str(self.xml(part).tag):
                    raise PackageRefused(
                        "The file is a Strict Open XML workbook, which libraries read as an empty one. Open it in the "
                        'spreadsheet program and save it as an ordinary "Excel workbook (.xlsx)", not "Strict".'
                    )
                return part
        raise PackageRefused(f"The file is damaged: nothing in it says which part is the workbook. {_MEND}")


def relationships_part(part: str) -> str:
    """Name the part that holds the relationships of a part.

    >>> relationships_part("xl/workbook.xml"), relationships_part("")
    ('xl/_rels/workbook.xml.rels', '_rels/.rels')
    """
    folder, name = posixpath.split(part)
    return posixpath.join(folder, "_rels", f"{name}.rels")


def parse_xml(content: bytes, part: str) -> etree._Element:
    """Parse the bytes of a part without expanding entities; `part` is for the error text."""
    refuse_document_type(content, part)
    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False)
    try:
        return etree.fromstring(content, parser)
    except (etree.XMLSyntaxError, ValueError) as error:
        raise PackageRefused(f"The file is damaged: its part {part} is no proper XML ({error}). {_MEND}") from error


def _rows_alone(sheet: bytes) -> bytes:
    """A sheet of its rows and nothing else; the whole where they bear a prefix or are not found."""
    root, begin, end = _ROOT.search(sheet), sheet.find(_ROWS), sheet.rfind(_ROWS_END)
    if root is None or not root.end() <= begin < end:
        return sheet
    return sheet[: root.end()] + sheet[begin:end] + _ROWS_END + b"</worksheet>"


def _number_formats(content: bytes, part: str) -> bytes:
    """A part of styles in which each style of a cell is its number format alone."""
    old, new = parse_xml(content, part), etree.fromstring(_NO_LOOKS)
    for cells in new.iterfind(f"{MAIN}cellXfs"):
        for style in old.iterfind(f"{MAIN}cellXfs/{MAIN}xf"):
            etree.SubElement(cells, f"{MAIN}xf", numFmtId=style.get("numFmtId", "0"))
    new[:0] = old.findall(f"{MAIN}numFmts")
    return etree.tostring(new)


def refuse_odd_encoding(content: bytes, part: str) -> None:
    """Raise PackageRefused when an XML part says at its beginning that it is written in no usual encoding."""
    declared = re.match(rb"(?:\xef\xbb\xbf)?<\?xml[^>]*?encoding\s*=\s*[\"']([^\"']*)", content[:200])
    if declared and not _READABLE_ENCODING.fullmatch(declared[1].decode("latin-1")):
        raise PackageRefused(f"The part {part} is written in {declared[1].decode('latin-1')}, not in UTF-8. {_MEND}")


def refuse_document_type(content: bytes, part: str) -> None:
    """Raise PackageRefused when an XML part declares a document type (entities) or hides behind an odd encoding."""
    refuse_odd_encoding(content, part)
    if any(mark in content for mark in _DTD) and _declares_type(content):
        raise PackageRefused(
            f"The part {part} declares a document type (DTD). No spreadsheet program writes one; it is a way to make a "
            f"reader unpack or fetch what it should not. {_MEND}"
        )


def _declares_type(content: bytes) -> bool:
    """Whether the mark found is a declaration, not text within a comment or a CDATA section."""
    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, recover=True)
    try:
        root = etree.fromstring(content, parser)
    except (etree.XMLSyntaxError, ValueError):
        return True
    return root is None or bool(root.getroottree().docinfo.doctype)


def _refuse_declaration(*_: object) -> None:
    raise ExpatError("it declares a document type")


def _folded(name: str) -> str:
    return name.lower().removeprefix("/")


def _beginning(file: Path) -> bytes:
    with file.open("rb") as stream:
        return stream.read(len(_COMPOUND_FILE))


def _refuse_foreign(data: bytes) -> None:
    if data.startswith(_COMPOUND_FILE):
        if "EncryptedPackage".encode("utf-16-le") in data:
            raise PackageRefused(
                "The file is encrypted with a password, so it cannot be read. Open it in the spreadsheet program, "
                "remove the password needed to open it, and save it."
            )
        raise PackageRefused(f"The file is in the old binary format (.xls), not .xlsx or .xlsm. {_MEND}")
    if not data:
        raise PackageRefused("The file is empty. What it held is not in it any more: use the last copy that you have.")
    if not data.startswith(b"PK"):
        raise PackageRefused(f"The file is no .xlsx or .xlsm file (it does not begin as a ZIP archive). {_MEND}")


def _refuse_bomb(entries: list[zipfile.ZipInfo]) -> None:
    unpacked = sum(entry.file_size for entry in entries)
    packed = sum(entry.compress_size for entry in entries)
    largest = max((entry.file_size for entry in entries), default=0)
    finding = ""
    if len(entries) > MOST_ENTRIES:
        finding = f"it holds {len(entries)} entries; at most {MOST_ENTRIES} are accepted"
    elif unpacked > MOST_BYTES or largest > MOST_PART_BYTES:
        finding = f"it unpacks to {unpacked >> 20} MiB, its largest part to {largest >> 20} MiB; at most "
        finding += f"{MOST_BYTES >> 20} and {MOST_PART_BYTES >> 20} MiB are accepted"
    elif unpacked > FREE_BYTES and unpacked > MOST_RATIO * packed:
        finding = f"it unpacks to {unpacked >> 20} MiB, more than {MOST_RATIO} times its size"
    if finding:
        raise PackageRefused(
            f"The file may be a trap for whoever unpacks it: {finding}. If it is yours, delete the unused formatted "
            "rows and columns at the end of its sheets, save it, and use it again."
        )


def _refuse_strange_entries(entries: list[zipfile.ZipInfo], distinct: int) -> None:
    if distinct != sum(not entry.is_dir() for entry in entries):
        raise PackageRefused(f"The file is damaged: two of its parts bear the same name. {_MEND}")
    for entry in entries:
        name = entry.orig_filename
        if entry.flag_bits & 0x1:
            raise PackageRefused(f"The file is encrypted: its part {name} needs a password. {_MEND}")
        if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise PackageRefused(f"The part {name} is packed by a method that workbooks do not use. {_MEND}")
        if name.startswith("//") or "\0" in name or "\\" in name or ".." in name.split("/"):
            raise PackageRefused(f"The part name {name!r} leads out of the package. {_MEND}")


def _warnings(package: Package) -> Iterator[str]:
    if any(_folded(name).startswith("_xmlsignatures/") for name in package.names):
        yield (
            "The workbook is digitally signed. Added sheets end the validity of the signature: keep the signed file, "
            "work in a copy, or sign again afterwards."
        )
    if any(link.kind == "revisionHeaders" for link in package.relationships(package.main_part)):
        yield (
            "The workbook is shared with change tracking (the old way of sharing). Added sheets do not appear in its "
            "list of changes; end the sharing if the spreadsheet program complains."
        )
    protection = package.xml(package.main_part).find(f"{MAIN}workbookProtection")
    if protection is not None and protection.get("lockStructure", "0") not in ("0", "false", "off"):
        yield "The structure of the workbook is protected. Sheets are added all the same, and the protection stays."
