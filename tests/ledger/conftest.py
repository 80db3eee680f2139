"""Workbooks to graft into, made by several programs and by hand, and what must hold of every grafted package.

The checks read packages with zipfile and lxml alone, so that they share nothing with the code they check.
"""

from __future__ import annotations

import datetime as dt
import posixpath
import struct
import zipfile
import zlib
from collections.abc import Callable, Iterable
from io import BytesIO

import openpyxl
import pytest
import xlsxwriter
from lxml import etree
from openpyxl.chart import BarChart, Reference
from openpyxl.comments import Comment
from openpyxl.drawing.image import Image
from openpyxl.formatting.rule import CellIsRule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.table import Table, TableStyleInfo

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
TYPES = "application/vnd.openxmlformats-officedocument.spreadsheetml"
CHANGEABLE = frozenset({"[Content_Types].xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/styles.xml"})


def png() -> bytes:
    """A picture of one grey dot."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0\x80")) + chunk(b"IEND", b"")
    )


def written_by_xlsxwriter(sheets: int = 1) -> bytes:
    """What libraries lose: stored values, pictures, sparklines, data bars, rich text, comments, tables, names."""
    buffer = BytesIO()
    with xlsxwriter.Workbook(buffer, {"in_memory": True}) as book:
        book.set_properties({"created": dt.datetime(2026, 1, 1)})  # the same bytes whenever it is written
        bold, hertz = (
            book.add_format({"bold": True, "bg_color": "#DDDDDD"}),
            book.add_format({"num_format": '0.0 "Hz"'}),
        )
        sheet = book.add_worksheet("Low drivers")
        sheet.write_row("A1", ["ID", "Fs (Hz)", "Qms", "Twice"], bold)
        for row in range(1, 6):
            sheet.write_row(row, 0, [f"LD-{row:02}", 30.5 + row, 4.0])
            sheet.write_formula(row, 3, f"=2*B{row + 1}", hertz, 2 * (30.5 + row))
        sheet.write_rich_string("F1", "plain ", bold, "bold", " again")
        sheet.write_comment("A2", "measured twice")
        sheet.add_sparkline("E2", {"range": "'Low drivers'!B2:D2"})
        sheet.conditional_format("B2:B6", {"type": "data_bar", "data_bar_2010": True})
        sheet.conditional_format("C2:C6", {"type": "cell", "criteria": "<", "value": 3, "format": bold})
        sheet.insert_image("H2", "dot.png", {"image_data": BytesIO(png())})
        chart = book.add_chart({"type": "line"})
        chart.add_series({"values": "='Low drivers'!$B$2:$B$6"})
        sheet.insert_chart("H8", chart)
        sheet.autofilter("A1:D6")
        sheet.freeze_panes(1, 1)
        sheet.repeat_rows(0)
        table = book.add_worksheet("Parts")
        table.add_table("A1:B4", {"name": "Stock", "data": [["C1", 1], ["C2", 2], ["L1", 3]]})
        table.data_validation("D2", {"validate": "list", "source": ["a", "b"]})
        table.insert_textbox("F2", "a text box")
        book.define_name("Air", "='Low drivers'!$B$2")
        for number in range(2, sheets):
            book.add_worksheet(f"S{number}").write(0, 0, number)
    return buffer.getvalue()


def written_by_openpyxl() -> bytes:
    book = openpyxl.Workbook()
    book.active.title = "Low drivers"
    book.active.append(["ID", "Fs (Hz)", "Qms", "Twice"])
    book.active.append(["LD-01", 31.5, 4.0, 63])
    book.active["A1"].font = Font(name="Arial", bold=True)
    book.active.add_table(Table(displayName="Stock", ref="A1:D2"))
    buffer = BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def run_sheets(run: int = 1, history_rows: int = 0, strings: int = 3) -> bytes:
    """The sheets of one run, with all that such a sheet may have."""
    book = openpyxl.Workbook()
    checks = book.active
    checks.title = f"Run {run:03} checks"
    checks.append(["Pairing", "Margin", "Verdict"])
    for row in range(strings):
        checks.append([f"P-{row}", row - 1.25, "größer & <kleiner> "])
    head, edge = PatternFill("solid", fgColor="333333"), Side(style="thin", color="999999")
    for cell in checks[1]:
        cell.font, cell.fill, cell.border = Font(bold=True, color="FFFFFF"), head, Border(bottom=edge)
        cell.alignment = Alignment(wrap_text=True)
    for row in range(2, strings + 2):
        checks.cell(row, 2).number_format = '0.000 "oct"'
        checks.cell(row, 1).number_format = "@"
    checks.conditional_formatting.add(
        f"B2:B{strings + 1}", CellIsRule(operator="lessThan", formula=["0"], font=Font(bold=True), fill=head)
    )
    table = Table(displayName=f"Run{run:03}Checks", ref=f"A1:C{strings + 1}")
    table.tableStyleInfo = TableStyleInfo(name="TableStyleLight1", showRowStripes=True)
    checks.add_table(table)
    chart = BarChart()
    chart.add_data(Reference(checks, min_col=2, min_row=1, max_row=strings + 1), titles_from_data=True)
    checks.add_chart(chart, "F2")
    checks.add_image(Image(BytesIO(png())), "F20")
    checks["A2"].hyperlink = "out/P-0.pdf"
    checks["A2"].comment = Comment("first", "run")
    checks.freeze_panes, checks.print_title_rows, checks.print_area = "B2", "1:1", f"A1:C{strings + 1}"
    checks.column_dimensions["A"].width = 22.5
    checks.page_setup.orientation, checks.page_setup.fitToHeight = "landscape", 0
    checks.oddFooter.center.text = "Page &P of &N"
    checks.add_data_validation(DataValidation("list", formula1='"open,accepted"', sqref="D2:D9"))
    history = book.create_sheet("History")
    history.append(["Run", "Pairing", "What changed"])
    for row in range(history_rows):
        history.append([row + 1, "P-0", f"verdict {row}"])
    history.add_table(Table(displayName="History", ref=f"A1:C{max(history_rows, 1) + 1}"))
    history.auto_filter.ref = None
    plain = book.create_sheet(f"Run {run:03} parts")
    plain.append(["Part", "Price"])
    plain.auto_filter.ref = "A1:B1"
    buffer = BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def parts_of(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def packed(parts: dict[str, bytes]) -> bytes:
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return buffer.getvalue()


def with_parts(data: bytes, added: Iterable[tuple[str, str, str, str, bytes]]) -> bytes:
    """Add parts by hand: (part, content type, part it hangs on, type of relationship, content)."""
    parts = parts_of(data)
    for number, (name, content_type, source, relation, content) in enumerate(added):
        parts[name] = content
        override = f'<Override PartName="/{name}" ContentType="{content_type}"/></Types>'
        parts["[Content_Types].xml"] = parts["[Content_Types].xml"].replace(b"</Types>", override.encode())
        folder, base = posixpath.split(source)
        links = posixpath.join(folder, "_rels", f"{base}.rels")
        empty = b'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"></Relationships>'
        link = f'<Relationship Id="hand{number}" Type="{relation}" Target="/{name}"/></Relationships>'
        parts[links] = parts.get(links, empty).replace(b"</Relationships>", link.encode())
    return packed(parts)


def soundness(data: bytes) -> None:
    """Assert that numbers, names and references of a package agree with each other (ECMA-376 parts 1 and 2)."""
    parts = parts_of(data)
    assert len({name.lower() for name in parts}) == len(parts)
    types = etree.fromstring(parts["[Content_Types].xml"])
    overrides = [entry.get("PartName") for entry in types if entry.get("PartName")]
    assert len({name.lower() for name in overrides}) == len(overrides)
    assert {name.lstrip("/") for name in overrides} <= set(parts)
    defaults = {entry.get("Extension").lower() for entry in types if entry.get("Extension")}
    for name in set(parts) - {"[Content_Types].xml"}:
        assert f"/{name}" in overrides or name.rpartition(".")[2].lower() in defaults, name
    for name, content in parts.items():
        if name.endswith(".rels"):
            _links_lead_somewhere(name, content, parts)
    workbook, styles = etree.fromstring(parts["xl/workbook.xml"]), etree.fromstring(parts["xl/styles.xml"])
    tabs = workbook.findall(f"{MAIN}sheets/{MAIN}sheet")
    for attribute in ("name", "sheetId", f"{RELATION}id"):
        values = [tab.get(attribute).casefold() for tab in tabs]
        assert len(set(values)) == len(values), attribute
    names = [(name.get("name"), name.get("localSheetId")) for name in workbook.iterfind(f"{MAIN}definedNames/*")]
    assert len(set(names)) == len(names)
    assert all(place is None or int(place) < len(tabs) for _, place in names)
    tables = [etree.fromstring(parts[name]) for name in overrides_of(types, ".table+xml")]
    for attribute in ("id", "displayName"):
        assert len({table.get(attribute).casefold() for table in tables}) == len(tables)
    _styles_exist(styles, [parts[name] for name in overrides_of(types, ".worksheet+xml")])


def overrides_of(types: etree._Element, ending: str) -> list[str]:
    return [entry.get("PartName").lstrip("/") for entry in types if entry.get("ContentType").endswith(ending)]


def _links_lead_somewhere(name: str, content: bytes, parts: dict[str, bytes]) -> None:
    folder = posixpath.dirname(posixpath.dirname(name))
    identifiers = []
    for link in etree.fromstring(content):
        identifiers.append(link.get("Id"))
        if link.get("TargetMode") != "External" and not link.get("Target").startswith("#"):
            target = posixpath.normpath(posixpath.join("/", folder, link.get("Target"))).lstrip("/")
            assert target in parts, (name, target)
    assert len(set(identifiers)) == len(identifiers)


def _styles_exist(styles: etree._Element, sheets: list[bytes]) -> None:
    counts = {child.tag: len(child) for child in styles}
    for child in styles:
        if child.get("count") is not None:
            assert int(child.get("count")) == len(child), child.tag
    for xf in styles.iterfind(f"{MAIN}cellXfs/{MAIN}xf"):
        for attribute, pool in (("fontId", "fonts"), ("fillId", "fills"), ("borderId", "borders")):
            assert int(xf.get(attribute)) < counts[MAIN + pool]
        assert int(xf.get("xfId", "0")) < counts[f"{MAIN}cellStyleXfs"]
    formats = [entry.get("numFmtId") for entry in styles.iterfind(f"{MAIN}numFmts/*")]
    assert len(set(formats)) == len(formats)
    for sheet in sheets:
        for element in etree.fromstring(sheet).iter(f"{MAIN}c", f"{MAIN}row", f"{MAIN}col", f"{MAIN}cfRule"):
            number = element.get("style" if element.tag == f"{MAIN}col" else "s", "0")
            assert int(number) < counts[f"{MAIN}cellXfs"]
            assert int(element.get("dxfId", "0")) < max(counts.get(f"{MAIN}dxfs", 0), 1)


def untouched(original: bytes, result: bytes, ours: Iterable[str] = ()) -> None:
    """Assert that every original part is there byte for byte, packed as it was, in its place; `ours` may change."""
    with zipfile.ZipFile(BytesIO(original)) as before, zipfile.ZipFile(BytesIO(result)) as after:
        old, new = before.infolist(), after.infolist()
        kept = [entry.filename for entry in old if entry.filename not in set(ours)]
        assert [entry.filename for entry in new if entry.filename in set(kept)] == kept
        if not ours:
            assert [entry.filename for entry in new][: len(kept)] == kept
        for name in kept:
            if name in CHANGEABLE:
                contained(etree.fromstring(before.read(name)), etree.fromstring(after.read(name)))
            else:
                assert after.read(name) == before.read(name), name
                first, second = before.getinfo(name), after.getinfo(name)
                for what in ("CRC", "compress_type", "compress_size", "date_time", "external_attr"):
                    assert getattr(first, what) == getattr(second, what), (name, what)


def contained(old: etree._Element, new: etree._Element) -> None:
    """Assert that all of `old` is in `new`, in its order, though more may stand between."""
    assert old.tag == new.tag
    assert (old.text or "").strip() == (new.text or "").strip()
    assert set(old.nsmap.items()) <= set(new.nsmap.items())
    for attribute, value in old.items():
        assert attribute == "count" or new.get(attribute) == value, (old.tag, attribute)
    rest = iter(new.iterchildren("*"))
    for child in old.iterchildren("*"):
        for candidate in rest:
            try:
                contained(child, candidate)
            except AssertionError:
                continue
            break
        else:
            raise AssertionError(f"{etree.tostring(child)!r} is gone")


def values(data: bytes, stored: bool = True) -> dict[str, list[tuple[object, ...]]]:
    book = openpyxl.load_workbook(BytesIO(data), data_only=stored)
    return {sheet.title: list(sheet.values) for sheet in book.worksheets}


class Workshop:
    """Everything above, as a test gets it."""

    changeable = CHANGEABLE
    parts_of = staticmethod(parts_of)
    png = staticmethod(png)
    packed = staticmethod(packed)
    with_parts = staticmethod(with_parts)
    run_sheets = staticmethod(run_sheets)
    written_by_openpyxl = staticmethod(written_by_openpyxl)
    written_by_xlsxwriter = staticmethod(written_by_xlsxwriter)
    soundness = staticmethod(soundness)
    untouched = staticmethod(untouched)
    values = staticmethod(values)


@pytest.fixture(scope="session")
def workshop() -> type[Workshop]:
    return Workshop


@pytest.fixture(scope="session")
def rich_workbook() -> bytes:
    return written_by_xlsxwriter()


@pytest.fixture(scope="session")
def hand_made(rich_workbook: bytes) -> Callable[..., bytes]:
    """A workbook with the parts that no library here can write."""
    return lambda: _hand_made(rich_workbook)


def _hand_made(data: bytes) -> bytes:
    book, sheet, x14 = "xl/workbook.xml", "xl/worksheets/sheet1.xml", "http://schemas.microsoft.com/office"
    main = MAIN[1:-1]
    cache = (
        f'<pivotCacheDefinition xmlns="{main}" xmlns:r="{OFFICE}" refreshOnLoad="1" recordCount="0"><cacheSource '
        'type="worksheet"><worksheetSource ref="A1:B6" sheet="Low drivers"/></cacheSource><cacheFields count="1">'
        '<cacheField name="ID"><sharedItems/></cacheField></cacheFields></pivotCacheDefinition>'
    )
    pivot = (
        f'<pivotTableDefinition xmlns="{main}" name="Pivot" cacheId="7" dataCaption="Values"><location ref="J20:K22" '
        'firstHeaderRow="1" firstDataRow="1" firstDataCol="0"/><pivotFields count="1"><pivotField/></pivotFields>'
        "</pivotTableDefinition>"
    )
    slicer_cache = f'<slicerCacheDefinition xmlns="{x14}/spreadsheetml/2009/9/main" name="Slicer_ID" sourceName="ID"/>'
    person = f'<personList xmlns="{x14}/spreadsheetml/2018/threadedcomments"/>'
    threads = f'<ThreadedComments xmlns="{x14}/spreadsheetml/2018/threadedcomments"/>'
    control = f'<formControlPr xmlns="{x14}/spreadsheetml/2009/9/main" objectType="Button" lockText="1"/>'
    chain = f'<calcChain xmlns="{main}"><c r="D2" i="1"/><c r="D3"/><c r="D4"/></calcChain>'
    excel = "application/vnd.ms-excel"
    described = [
        ("xl/vbaProject.bin", "application/vnd.ms-office.vbaProject", book, f"{x14}/2006/relationships/vbaProject"),
        ("xl/pivotCache/cache1.xml", f"{TYPES}.pivotCacheDefinition+xml", book, f"{OFFICE}/pivotCacheDefinition"),
        ("xl/pivotTables/pivotTable1.xml", f"{TYPES}.pivotTable+xml", sheet, f"{OFFICE}/pivotTable"),
        ("xl/slicerCaches/slicer1.xml", f"{excel}.slicerCache+xml", book, f"{x14}/2007/relationships/slicerCache"),
        ("xl/persons/person.xml", f"{excel}.person+xml", book, f"{x14}/2017/10/relationships/person"),
        ("xl/threads/1.xml", f"{excel}.threadedcomments+xml", sheet, f"{x14}/2017/10/relationships/threadedComment"),
        ("xl/ctrlProps/ctrlProp1.xml", f"{excel}.controlproperties+xml", sheet, f"{OFFICE}/ctrlProp"),
        ("xl/printerSettings1.bin", f"{TYPES}.printerSettings", sheet, f"{OFFICE}/printerSettings"),
        ("xl/calcChain.xml", f"{TYPES}.calcChain+xml", book, f"{OFFICE}/calcChain"),
        ("customXml/item1.xml", "application/xml", "", f"{OFFICE}/customXml"),
    ]
    contents = [bytes(range(256)) * 9, cache, pivot, slicer_cache, person, threads, control, b"\0\1" * 50, chain]
    contents.append("<season>2025</season>")
    extra = [
        (*description, content if isinstance(content, bytes) else content.encode())
        for description, content in zip(described, contents, strict=True)
    ]
    parts = parts_of(with_parts(data, extra))
    types = parts["[Content_Types].xml"].replace(
        f"{TYPES}.sheet.main".encode(), f"{excel}.sheet.macroEnabled.main".encode()
    )
    parts["[Content_Types].xml"] = types
    links = etree.fromstring(parts["xl/_rels/workbook.xml.rels"])
    cache_id = next(link.get("Id") for link in links if "pivotCacheDefinition" in link.get("Type"))
    slicer_id = next(link.get("Id") for link in links if "slicerCache" in link.get("Type"))
    tail = (
        f'<pivotCaches><pivotCache cacheId="7" r:id="{cache_id}"/></pivotCaches><extLst><ext '
        f'uri="{{BBE1A952-AA13-448e-AADC-164F8A28A991}}" xmlns:x14="{x14}/spreadsheetml/2009/9/main"><x14:slicerCaches>'
        f'<x14:slicerCache r:id="{slicer_id}"/></x14:slicerCaches></ext></extLst></workbook>'
    )
    workbook = parts["xl/workbook.xml"].replace(b"</workbook>", tail.encode())
    ignorable = (
        '<workbook xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006" mc:Ignorable="x15 xr" '
        f'xmlns:x15="{x14}/spreadsheetml/2010/11/main" xmlns:xr="{x14}/spreadsheetml/2014/revision" '
    )
    parts["xl/workbook.xml"] = workbook.replace(b"<workbook ", ignorable.encode())
    return packed(parts)
