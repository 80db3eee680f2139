"""Which files are opened at all, and what the refusal of the others says."""

from __future__ import annotations

import struct
import zipfile
from io import BytesIO

import openpyxl
import pytest
import xlsxwriter

from reportgen.catalogue import package
from reportgen.catalogue.package import Package, inspect_package
from reportgen.problems import PackageRefused
from tests.every import every

OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"


@pytest.fixture(scope="module")
def workbook() -> bytes:
    buffer = BytesIO()
    with xlsxwriter.Workbook(buffer) as book:
        book.add_worksheet("Low drivers").write(0, 0, "ID")
        book.add_worksheet("Größe & Maß").write(0, 0, 1)
    return buffer.getvalue()


def repacked(data: bytes, changes: dict[str, bytes | None]) -> bytes:
    buffer = BytesIO()
    with zipfile.ZipFile(BytesIO(data)) as old, zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as new:
        for name in dict.fromkeys((*old.namelist(), *changes)):
            content = changes.get(name, b"" if name in changes else old.read(name))
            if content is not None:
                new.writestr(name, content)
    return buffer.getvalue()


def part(data: bytes, name: str) -> bytes:
    with zipfile.ZipFile(BytesIO(data)) as archive:
        return archive.read(name)


def refused(data: bytes) -> str:
    with pytest.raises(PackageRefused) as caught:
        inspect_package(data)
    return str(caught.value)


def test_an_ordinary_workbook_passes(workbook):
    info = inspect_package(workbook)
    assert info.sheet_names == ("Low drivers", "Größe & Maß")
    assert (info.warnings, info.has_macros) == ((), False)


@every(
    ("data", "says"),
    [
        (b"ID;Fs\nLD-01;30\n", "no .xlsx or .xlsm file"),
        (bytes.fromhex("D0CF11E0A1B11AE1") + "EncryptedPackage".encode("utf-16-le"), "encrypted with a password"),
        (bytes.fromhex("D0CF11E0A1B11AE1") + "Workbook".encode("utf-16-le"), "old binary format (.xls)"),
        (b"PK\3\4 and then nothing", "its ZIP directory cannot be read"),
        (b"PK\5\6" + bytes(18), "ZIP archive but no spreadsheet package"),
    ],
)
def test_other_kinds_of_file(data, says):
    message = refused(data)
    assert says in message
    assert "Open it in the spreadsheet program" in message


def test_a_file_of_no_bytes_holds_nothing_that_saving_it_anew_brings_back():
    assert refused(b"").endswith(
        "The file is empty. What it held is not in it any more: use the last copy that you have."
    )


def test_other_formats_that_are_archives_too(workbook):
    assert "OpenDocument" in refused(
        repacked(workbook, {"mimetype": b"application/vnd.oasis.opendocument.spreadsheet"})
    )
    assert "binary workbook (.xlsb)" in refused(repacked(workbook, {"xl/workbook.bin": b"\0"}))


@every("where", ["_rels/.rels", "xl/workbook.xml"])
def test_strict_workbooks(workbook, where):
    """The strict namespaces of ECMA-376 part 1 begin with purl.oclc.org/ooxml."""
    content = part(workbook, where).replace(OFFICE.encode(), b"http://purl.oclc.org/ooxml/officeDocument/relationships")
    content = content.replace(
        b"http://schemas.openxmlformats.org/spreadsheetml/2006", b"http://purl.oclc.org/ooxml/spreadsheetml"
    )
    assert 'not "Strict"' in refused(repacked(workbook, {where: content}))


BOMB = b'<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]>'


@every("encoding", ["utf-8", "utf-16", "utf-16-le", "utf-16-be"])
@every(
    "where",
    ["xl/worksheets/sheet1.xml", "xl/workbook.xml", "[Content_Types].xml", "customXml/item1.xml", "xl/drawings/d.vml"],
)
def test_entities_are_refused_wherever_they_stand(workbook, where, encoding):
    text = f'<?xml version="1.0" encoding="{encoding[:6].rstrip("-")}"?>{BOMB.decode()}<x>&b;</x>'
    message = refused(repacked(workbook, {where: text.encode(encoding)}))
    assert where in message
    assert "document type" in message


def test_entities_behind_an_odd_encoding(workbook):
    hidden = b'<?xml version="1.0" encoding="utf-7"?>+ADwAIQ-DOCTYPE x+AD4-<x/>'
    assert "written in utf-7, not in UTF-8" in refused(repacked(workbook, {"customXml/item1.xml": hidden}))


@every("mark", [b"", b"\xef\xbb\xbf"])
def test_a_mark_of_byte_order_hides_no_odd_encoding(workbook, mark):
    """EF BB BF is that of UTF-8 (Unicode, 23.8); what stands behind it says otherwise."""
    hidden = mark + b'<?xml version="1.0" encoding="IBM037"?><x/>'
    assert "written in IBM037, not in UTF-8" in refused(repacked(workbook, {"customXml/item1.xml": hidden}))


def test_the_word_alone_is_no_declaration(workbook):
    texts = {
        "customXml/item1.xml": b"<x><![CDATA[<!DOCTYPE html>]]></x>",
        "customXml/item2.xml": b"<!-- <!DOCTYPE --><x/>",
    }
    drawing = {"xl/media/image1.svg": b"<!DOCTYPE svg><svg/>"}  # a picture is never parsed
    inspect_package(repacked(workbook, texts | drawing))


def test_a_drawing_may_declare_its_type(workbook):
    """SVG 1.1 (W3C, appendix A) gives its drawings a document type; nobody reads pictures here."""
    drawing = (
        b'<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd"><svg/>'
    )
    types = part(workbook, "[Content_Types].xml").replace(
        b"</Types>", b'<Default Extension="svg" ContentType="image/svg+xml"/></Types>'
    )
    with_picture = repacked(workbook, {"xl/media/image1.svg": drawing, "[Content_Types].xml": types})
    assert inspect_package(with_picture).sheet_names == ("Low drivers", "Größe & Maß")


def test_bombs_are_refused_by_their_directory_alone(workbook, monkeypatch):
    zeros = repacked(workbook, {"xl/media/zeros.bin": bytes(package.FREE_BYTES + 1)})
    assert f"more than {package.MOST_RATIO} times its size" in refused(zeros)
    assert "unused formatted" in refused(zeros)
    monkeypatch.setattr(package, "MOST_PART_BYTES", 1000)
    assert "its largest part to" in refused(workbook)
    monkeypatch.setattr(package, "MOST_ENTRIES", 3)
    assert "entries; at most 3 are accepted" in refused(workbook)


def test_a_directory_that_lies_about_sizes(workbook):
    """An entry that says it is small is unpacked no further than it says, and its checksum gives it away."""
    data = bytearray(repacked(workbook, {"xl/media/zeros.bin": bytes(10_000_000)}))
    central = data.rindex(b"xl/media/zeros.bin") - 46
    struct.pack_into("<I", data, central + 24, 10)
    assert "xl/media/zeros.bin cannot be unpacked" in refused(bytes(data))


def test_damage(workbook):
    sheet = workbook.index(b"xl/worksheets/sheet1.xml")
    flipped = bytearray(workbook)
    flipped[sheet + 60] ^= 0xFF
    assert "xl/worksheets/sheet1.xml cannot be unpacked" in refused(bytes(flipped))
    assert "no proper XML" in refused(repacked(workbook, {"xl/workbook.xml": b"<workbook>"}))
    assert "leads nowhere" in refused(repacked(workbook, {"xl/worksheets/sheet2.xml": None}))
    assert "is no workbook" in refused(repacked(workbook, {"xl/workbook.xml": b"<document/>"}))
    assert "which part is the workbook" in refused(repacked(workbook, {"_rels/.rels": b"<Relationships/>"}))
    assert "holds no sheet" in refused(repacked(workbook, {"xl/workbook.xml": EMPTY}))
    for length in range(0, len(workbook), 97):
        refused(workbook[:length])


EMPTY = b'<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheets/></workbook>'


def test_strange_entries(workbook):
    assert "two of its parts bear the same name" in refused(repacked(workbook, {"XL/Workbook.xml": b"<x/>"}))
    assert "leads out of the package" in refused(repacked(workbook, {"../up.xml": b"<x/>"}))
    buffer = BytesIO(workbook)
    with zipfile.ZipFile(buffer, "a", zipfile.ZIP_BZIP2) as archive:
        archive.writestr("xl/odd.bin", b"x")
    assert "packed by a method" in refused(buffer.getvalue())
    locked = bytearray(workbook)
    central = locked.index(b"PK\1\2")
    locked[central + 8] |= 1
    assert "needs a password" in refused(bytes(locked))


LOCKED = b'<workbookProtection lockStructure="1"/>'


def test_what_a_change_may_upset_is_warned_of_and_macros_are_told(workbook):
    links = part(workbook, "xl/_rels/workbook.xml.rels")
    more = f'<Relationship Id="h" Type="{OFFICE}/revisionHeaders" Target="revisions/h.xml"/>'
    more += (
        '<Relationship Id="v" Type="http://schemas.microsoft.com/office/2006/relationships/vbaProject" Target="v.bin"/>'
    )
    changes = {
        "_xmlsignatures/sig1.xml": b"<Signature/>",
        "xl/workbook.xml": part(workbook, "xl/workbook.xml").replace(b"<bookViews>", LOCKED + b"<bookViews>"),
        "xl/_rels/workbook.xml.rels": links.replace(b"</Relationships>", more.encode() + b"</Relationships>"),
    }
    info = inspect_package(repacked(workbook, changes))
    assert info.has_macros
    words = ("signature", "shared", "structure")
    assert [word in warning for word, warning in zip(words, info.warnings, strict=True)] == [True, True, True]


@every(("word", "locked"), [("1", True), ("true", True), ("0", False), ("false", False)])
def test_a_protection_that_is_off_is_none(workbook, word, locked):
    """xsd:boolean has four words (XML Schema part 2, 3.2.2)."""
    protection = f'<workbookProtection lockStructure="{word}"/><sheets'.encode()
    said = repacked(workbook, {"xl/workbook.xml": part(workbook, "xl/workbook.xml").replace(b"<sheets", protection, 1)})
    assert len(inspect_package(said).warnings) == locked


def test_relationships_are_resolved_relative_absolute_and_without_regard_to_case(workbook):
    links = f"""<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
        <Relationship Id="a" Type="{OFFICE}/worksheet" Target="worksheets/sheet1.xml"/>
        <Relationship Id="b" Type="{OFFICE}/worksheet" Target="/XL/Worksheets/Sheet2.xml"/>
        <Relationship Id="c" Type="{OFFICE}/image" Target="../docProps/app.xml#x"/>
        <Relationship Id="d" Type="{OFFICE}/hyperlink" Target="../a.pdf" TargetMode="External"/>
        <Relationship Id="e" Type="{OFFICE}/worksheet" Target="worksheets\\sheet1.xml"/></Relationships>"""
    opened = Package(repacked(workbook, {"xl/_rels/workbook.xml.rels": links.encode()}))
    assert [(link.id, link.kind, link.target, link.external) for link in opened.relationships("xl/workbook.xml")] == [
        ("a", "worksheet", "xl/worksheets/sheet1.xml", False),
        ("b", "worksheet", "xl/worksheets/sheet2.xml", False),
        ("c", "image", "docProps/app.xml", False),
        ("d", "hyperlink", "../a.pdf", True),
        ("e", "worksheet", "xl/worksheets/sheet1.xml", False),  # as writers on Windows have been seen to do (memory)
    ]
    assert opened.relationships("xl/worksheets/sheet1.xml") == ()
    assert "XL/WORKBOOK.XML" in opened


def test_links_are_looked_through_whatever_type_they_are_said_to_have(workbook):
    types = part(workbook, "[Content_Types].xml").replace(
        b"application/vnd.openxmlformats-package.relationships+xml", b"image/png"
    )
    links = b"<!DOCTYPE a [<!ENTITY b 'c'>]><Relationships/>"
    changes = {"[Content_Types].xml": types, "xl/worksheets/_rels/sheet1.xml.rels": links}
    assert "document type" in refused(repacked(workbook, changes))


def test_links_that_lead_in_a_circle_are_followed_once(workbook):
    def link(target):
        return f'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="a" Type="{OFFICE}/x" Target="{target}"/></Relationships>'.encode()

    circle = {
        "xl/worksheets/_rels/sheet1.xml.rels": link("sheet2.xml"),
        "xl/worksheets/_rels/sheet2.xml.rels": link("sheet1.xml"),
    }
    found = Package(repacked(workbook, circle)).reached(["xl/worksheets/sheet1.xml"])
    assert found == {"xl/worksheets/sheet1.xml", "xl/worksheets/sheet2.xml"}


def test_folders_in_the_archive_are_no_parts(workbook):
    assert "xl/media/" not in Package(repacked(workbook, {"xl/media/": b""})).names
    inspect_package(repacked(workbook, {"xl/media/": b""}))


def test_of_files_that_are_not_in_memory_each_is_looked_through(workbook, tmp_path):
    bad = repacked(workbook, {"xl/worksheets/sheet1.xml": b"<!DOCTYPE a [<!ENTITY b 'c'>]><a/>"})
    for name, content in (("good", workbook), ("bad", bad)):
        (tmp_path / name).write_bytes(content)
    Package(tmp_path / "good").check_contents()
    with pytest.raises(PackageRefused, match="document type"):
        Package(tmp_path / "bad").check_contents()


def test_a_part_is_found_by_its_escaped_name_and_two_dots_within_one_lead_nowhere(workbook):
    """Names of parts are URIs (ECMA-376 part 2, first edition, 9.1.1); `..` is a step out of a folder only as a whole segment (RFC 3986, 3.3)."""
    opened = Package(repacked(workbook, {"xl/media/a b.png": b"x", "xl/media/c..png": b"y"}))
    assert opened.read("xl/media/a%20b.png") == b"x" and opened.read("xl/media/c..png") == b"y"


@every(
    ("sheet", "alone"),
    [
        (b"<worksheet><cols/><sheetData><row/></sheetData><x/></worksheet>", b"<worksheet><sheetData><row/></sheetData></worksheet>"),
        (b"<worksheet><sheetData><row>", b"<worksheet><sheetData><row>"), (b"<worksheet></sheetData><sheetData>", b"<worksheet></sheetData><sheetData>"),
        (
            b"<worksheet><sheetData><row><![CDATA[</sheetData>]]></row></sheetData><x/></worksheet>",
            b"<worksheet><sheetData><row><![CDATA[</sheetData>]]></row></sheetData></worksheet>",
        ),
    ],
)  # fmt: skip
def test_a_sheet_of_its_rows_alone_has_all_of_them_or_is_left_as_it_is(sheet, alone):
    assert package._rows_alone(sheet) == alone


HEAD, TAIL = b'<worksheet xmlns="x"><cols/><sheetData>', b"</sheetData><pageMargins/></worksheet>"


@every("length", [0, 1, (1 << 20) - 70, (1 << 20) - 60, (1 << 20) - 50, 3 << 20])
def test_rows_are_taken_from_a_sheet_wherever_its_pieces_end(workbook, length):
    """Against the bytes themselves; lengths at which a piece ends within the tags behind the rows."""
    row = b'<row r="1"><c><v>1</v></c></row>'
    rows = row * (length // len(row)) + b" " * (length % len(row))
    found = Package(repacked(workbook, {"xl/worksheets/sheet1.xml": HEAD + rows + TAIL}))
    pieces = list(found.rows("xl/worksheets/sheet1.xml"))
    assert b"".join(pieces) == b"<sheetData>" + rows + b"</sheetData>"
    assert all(piece.endswith(b"</row>") for piece in pieces[:-1])
    assert found.without_rows("xl/worksheets/sheet1.xml") == HEAD[:-11] + b"<sheetData/>" + TAIL[12:]


@every(
    "sheet",
    [b"<x:a xmlns:x='x'><x:sheetData></x:sheetData></x:a>", b"<a><sheetData/></a>", b"<a><sheetData><row>", b""],
)
def test_a_sheet_without_plain_rows_is_left_whole(workbook, sheet):
    found = Package(repacked(workbook, {"xl/worksheets/sheet1.xml": sheet}))
    assert found.without_rows("xl/worksheets/sheet1.xml") == sheet
    assert all(b"</sheetData>" not in piece for piece in found.rows("xl/worksheets/sheet1.xml"))


@every("sheet", [b"<a><b></a>", b"<!DOCTYPE a><a/>", b"", HEAD + b"<row>" * 3 + TAIL])
def test_what_is_no_xml_is_seen_without_a_tree(workbook, sheet):
    Package(workbook).check_xml("xl/worksheets/sheet1.xml")
    with pytest.raises(PackageRefused, match="proper XML"):
        Package(repacked(workbook, {"xl/worksheets/sheet1.xml": sheet})).check_xml("xl/worksheets/sheet1.xml")


@every("before", [(1 << 20) - 4, (1 << 20) - 8, 1 << 20])
@every("encoding", ["ascii", "utf-16-le"])
def test_a_declaration_across_two_pieces_is_seen(workbook, before, encoding):
    text = (" " * before)[: before // (2 if encoding != "ascii" else 1)] + "<!DOCTYPE a [<!ENTITY b 'c'>]><a/>"
    said = refused(repacked(workbook, {"xl/worksheets/sheet1.xml": text.encode(encoding)}))
    assert "document type" in said


def test_without_its_rows_no_sheet_is_unpacked(workbook):
    broken = repacked(workbook, {"xl/worksheets/sheet2.xml": b"<worksheet"})
    found = openpyxl.load_workbook(BytesIO(Package(broken).bare(lambda _: True, rows=False)))
    assert {sheet.title: [*sheet.values] for sheet in found} == {"Low drivers": [], "Größe & Maß": []}


def test_a_sheet_that_is_a_chart_is_left_out_of_what_the_library_reads():
    buffer = BytesIO()
    with xlsxwriter.Workbook(buffer) as book:
        book.add_worksheet("Rows").write(0, 0, 1)
        chart = book.add_chart({"type": "line"})
        chart.add_series({"values": "=Rows!$A$1:$A$2"})
        book.add_chartsheet("Chart").set_chart(chart)
    bare = Package(buffer.getvalue()).bare(lambda _: True)
    assert openpyxl.load_workbook(BytesIO(bare), read_only=True).sheetnames == ["Rows"]
