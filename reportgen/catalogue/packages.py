"""A workbook file as a package of parts: may it be opened at all, and which part is which sheet.

Knows what makes a package unsafe or unreadable (bombs, entities, encryption, the strict dialect, old formats).
Refuses to know what the sheets hold.
"""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass, field

from lxml import etree

from reportgen.problems import PackageRefused

MOST_BYTES = 256 * 2**20
MOST_UNPACKED = 1024 * 2**20
MOST_PARTS = 20_000

_OLE_MAGIC = bytes.fromhex("D0CF11E0A1B11AE1")
_STRICT = "http://purl.oclc.org/ooxml/"
_RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_OFFICE_DOCUMENT = f"{_RELATIONS}/officeDocument"
_ENCODING = re.compile(rb"""<\?xml[^>]*?encoding\s*=\s*["']([A-Za-z0-9._-]+)["']""")
_PARSER = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False)


@dataclass(frozen=True, slots=True)
class Package:
    """A workbook that may be opened: its bytes, the names of its parts, and the part of each sheet by name."""

    data: bytes = field(repr=False)
    parts: tuple[str, ...]
    workbook_part: str
    sheets: Mapping[str, str]

    @property
    def has_macros(self) -> bool:
        """True when the package carries a macro project."""
        return any(name.casefold().endswith("vbaproject.bin") for name in self.parts)

    @property
    def is_signed(self) -> bool:
        """True when a digital signature covers the package: any addition breaks it."""
        return any(name.casefold().startswith("_xmlsignatures/") for name in self.parts)

    def read(self, part: str) -> bytes:
        """The bytes of one part; KeyError when there is none of that name."""
        with zipfile.ZipFile(io.BytesIO(self.data)) as archive:
            return archive.read(part)


def inspect_package(data: bytes, name: str) -> Package:
    """Make sure that `data` is a package that can be opened without risk; PackageRefused says why not.

    `name` is the file's name for the message. Nothing is unpacked beyond MOST_UNPACKED bytes. Document type
    declarations and encodings other than UTF-8 and UTF-16 are refused, as the packaging standard wants it
    (ISO/IEC 29500-2, XML usage); the strict dialect is refused because it would read as an empty workbook.
    """
    _refuse_other_formats(data, name)
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            _refuse_bombs(archive, name)
            _refuse_entities(archive, name)
            workbook_part = _workbook_part(archive, name)
            sheets = _sheet_parts(archive, workbook_part)
            return Package(data, tuple(archive.namelist()), workbook_part, sheets)
    except PackageRefused:
        raise
    except (zipfile.BadZipFile, zipfile.LargeZipFile, NotImplementedError, RuntimeError, OSError) as error:
        raise PackageRefused(f"{name}: the file is damaged or incomplete ({error}). Take it from a backup.") from error
    except Exception as error:  # a hostile archive can raise anything inside zipfile, zlib or lxml
        raise PackageRefused(
            f"{name}: the file is damaged ({type(error).__name__}: {error}). Take it from a backup."
        ) from error


def _refuse_other_formats(data: bytes, name: str) -> None:
    if not data:
        raise PackageRefused(f"{name}: the file is empty. Take it from a backup.")
    if len(data) > MOST_BYTES:
        raise PackageRefused(f"{name}: larger than {MOST_BYTES // 2**20} MiB. Move pictures out of the workbook.")
    if data.startswith(_OLE_MAGIC):
        if "EncryptedPackage".encode("utf-16-le") in data:
            raise PackageRefused(f"{name}: protected by a password. Save it without one.")
        raise PackageRefused(f"{name}: the old binary format (.xls). Save it as .xlsx.")
    if not data.startswith(b"PK"):
        raise PackageRefused(f"{name}: not a workbook. Save it as .xlsx.")


def _refuse_bombs(archive: zipfile.ZipFile, name: str) -> None:
    entries = archive.infolist()
    if len(entries) > MOST_PARTS or sum(entry.file_size for entry in entries) > MOST_UNPACKED:
        raise PackageRefused(f"{name}: unpacks to more than a workbook can need. Save it anew.")
    seen = set()
    for entry in entries:
        key = entry.filename.casefold()
        if key in seen or key.startswith("/") or "\\" in key or ".." in key.split("/"):
            raise PackageRefused(f"{name}: the part “{entry.filename[:60]}” is named unsafely. Save it anew.")
        if entry.flag_bits & 1:
            raise PackageRefused(f"{name}: protected by a password. Save it without one.")
        seen.add(key)


def _refuse_entities(archive: zipfile.ZipFile, name: str) -> None:
    for part in archive.namelist():
        with archive.open(part) as stream:
            head = stream.read(64)
        if not head.lstrip(b"\xef\xbb\xbf\xff\xfe\0 \t\r\n").startswith(b"<"):
            continue
        content = archive.read(part)
        wide = content[:2] in (b"\xff\xfe", b"\xfe\xff") or b"\0" in content[:4]
        if wide:
            content = content.decode("utf-16", errors="replace").encode("utf-8")
        declared = _ENCODING.match(content[:200].lstrip(b"\xef\xbb\xbf"))
        encoding = declared.group(1).decode("ascii").casefold() if declared else "utf-8"
        if encoding not in ("utf-8", "utf8", "utf-16", "us-ascii", "ascii"):
            raise PackageRefused(f"{name}: the part “{part}” is in {encoding}, which a workbook never is.")
        if b"<!DOCTYPE" in content or b"<!ENTITY" in content:
            raise PackageRefused(f"{name}: the part “{part}” declares entities, which a workbook never does.")


def _workbook_part(archive: zipfile.ZipFile, name: str) -> str:
    names = set(archive.namelist())
    if "mimetype" in names and b"opendocument" in archive.read("mimetype")[:80]:
        raise PackageRefused(f"{name}: an OpenDocument file. Save it as .xlsx.")
    if "_rels/.rels" not in names or "[Content_Types].xml" not in names:
        raise PackageRefused(f"{name}: not a workbook. Save it as .xlsx.")
    for relation in etree.fromstring(archive.read("_rels/.rels"), _PARSER):
        kind, target = relation.get("Type", ""), relation.get("Target", "").lstrip("/")
        if kind.startswith(_STRICT) and kind.endswith("/officeDocument"):
            raise PackageRefused(f"{name}: saved in the strict dialect. Save it as plain .xlsx (not “Strict”).")
        if kind == _OFFICE_DOCUMENT:
            if target.casefold().endswith(".bin"):
                raise PackageRefused(f"{name}: the binary format (.xlsb). Save it as .xlsx.")
            if target not in names:
                raise PackageRefused(f"{name}: its main part {target} is missing. Take it from a backup.")
            return _transitional(archive, target, name)
    raise PackageRefused(f"{name}: not a workbook. Save it as .xlsx.")


def _transitional(archive: zipfile.ZipFile, workbook_part: str, name: str) -> str:
    root = etree.fromstring(archive.read(workbook_part), _PARSER)
    tag = etree.QName(root)
    if (tag.namespace or "").startswith(_STRICT):
        raise PackageRefused(f"{name}: saved in the strict dialect. Save it as plain .xlsx (not “Strict”).")
    if tag.localname != "workbook":
        raise PackageRefused(f"{name}: holds a {tag.localname}, not a workbook. Save it as .xlsx.")
    return workbook_part


def _sheet_parts(archive: zipfile.ZipFile, workbook_part: str) -> dict[str, str]:
    folder, leaf = posixpath.split(workbook_part)
    names = set(archive.namelist())
    relations_part = posixpath.join(folder, "_rels", f"{leaf}.rels")
    if relations_part not in names:
        return {}
    targets = {
        relation.get("Id"): _target(folder, relation.get("Target", ""))
        for relation in etree.fromstring(archive.read(relations_part), _PARSER)
    }
    root = etree.fromstring(archive.read(workbook_part), _PARSER)
    found = {
        sheet.get("name", ""): targets.get(sheet.get(f"{{{_RELATIONS}}}id"), "")
        for sheet in root.iterfind("{*}sheets/{*}sheet")
    }
    return {sheet: part for sheet, part in found.items() if part in names}


def _target(folder: str, target: str) -> str:
    """A relation's target as a part name: targets are relative to the source's folder, or absolute."""
    return posixpath.normpath(posixpath.join("/", folder, target)).lstrip("/")
