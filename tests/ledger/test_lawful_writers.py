"""Packages that are lawful, or that spreadsheet programs write all the same: read, added to, and left as they were.

ECMA-376 part 2 lets dates in the document properties be any form of W3CDTF, a year alone included, and part 1 lets a
workbook leave out properties, theme and shared strings. Some writers put a slash before the names of parts.
"""

from __future__ import annotations

import re
import shutil
import zipfile
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter

from reportgen.catalogue.demo import demo_tables
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Catalogue
from reportgen.ledger.graft import inspect_package
from reportgen.ledger.history import read_history
from reportgen.ledger.replacement import read_workbook, replace_file
from reportgen.problems import PackageRefused, WorkbookUnusable
from tests.endtoend.seasons import chosen, small, write_season
from tests.every import every
from tests.ledger import office
from tests.ledger.grafting import graft
from tests.workbooks import write_workbook

pytestmark = pytest.mark.filterwarnings("ignore::UserWarning")
Names = Callable[[str], str]


def remade(data: bytes, contents: Callable[[str, bytes], bytes | None], names: Names = lambda name: name) -> bytes:
    """A package with other contents (None: without that part) or other names."""
    buffer = BytesIO()
    with zipfile.ZipFile(BytesIO(data)) as old, zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = contents(name, old.read(name))
            if content is not None:
                new.writestr(names(name), content)
    return buffer.getvalue()


def dated(value: str) -> Callable[[bytes], bytes]:
    """All dates of the document properties in another form."""

    def contents(name: str, content: bytes) -> bytes:
        pattern = rb"(<dcterms:\w+[^>]*>)[^<]*(?=<)"
        return re.sub(pattern, rb"\g<1>" + value.encode(), content) if name == "docProps/core.xml" else content

    return lambda data: remade(data, contents)


def replaced(part: str, content: bytes) -> Callable[[bytes], bytes]:
    return lambda data: remade(data, lambda name, old: content if name == part else old)


Pairs = tuple[tuple[bytes, bytes], ...]
ODD_LOOKS: Pairs = (
    (rb"<fills[^>]*>", rb"\g<0><fill/>"),
    (rb"<font>", b'<font><u val="wavy"/><family val="255"/><color rgb="FFF"/>'),
    (rb"<border>", b'<border><left style="wiggly"/>'),
    (rb'patternType="solid"', b'patternType="weird"'),
    (rb"<alignment ", b'<alignment textRotation="999" '),
)
ODD_SHEETS: Pairs = (
    (rb'<c r="A2"[^>]*>.*?</c>', b'<c r="A2" t="inlineStr"><is><r><rPr><family val="255"/><b/></rPr><t>LD-</t></r><r><t>01</t></r></is></c>'),
    (rb'<c r="C2"[^>]*>.*?</c>', b'<c r="C2"><f t="shared" ref="C2:C3" si="0">"a&amp;(1</f><v>8</v></c>'),
    (rb"</sheetData>", rb'\g<0><conditionalFormatting sqref="A1"><cfRule type="weird" priority="x"/></conditionalFormatting>'),
    (rb"<dimension[^>]*>", b'<dimension ref="A1:ZZZZZ99999999"/>'),
)  # fmt: skip
ODD_WORKBOOK: Pairs = (
    (rb"<workbookPr[^>]*>", b'<workbookPr defaultThemeVersion="new"/><workbookProtection workbookPassword="none"/>'),
)
"""What spreadsheet programs pass over and the library we read with refuses: patterns, and what stands in their place."""


def with_odd(part: str, odd: Pairs) -> Callable[[str, bytes], bytes]:
    def contents(name: str, content: bytes) -> bytes:
        for pattern, new in odd if name == part else ():
            assert re.search(pattern, content, re.DOTALL), pattern
            content = re.sub(pattern, new, content, flags=re.DOTALL, count=0 if part == "xl/styles.xml" else 1)
        return content

    return contents


VARIANTS = {
    "a slash before every name": lambda data: remade(data, lambda _, content: content, lambda name: f"/{name}"),
    "a slash before one name": lambda data: remade(data, lambda _, content: content, lambda name: f"/{name}" if "sheet3" in name else name),
    "capital letters": lambda data: remade(data, lambda _, content: content, lambda name: name.upper() if "worksheets/s" in name else name),
    **{f"properties dated {value!r}": dated(value) for value in ("2025-11-25", "2025-11", "2025", "", "2025-11-25T10:00Z", "yesterday")},
    "odd looks": lambda data: remade(data, with_odd("xl/styles.xml", ODD_LOOKS)),
    "odd sheets": lambda data: remade(data, with_odd("xl/worksheets/sheet2.xml", ODD_SHEETS)),
    "odd properties of the workbook": lambda data: remade(data, with_odd("xl/workbook.xml", ODD_WORKBOOK)),
    "properties that are no XML": replaced("docProps/core.xml", b"<core"),
    "a theme that is none": replaced("xl/theme/theme1.xml", b"<theme/>"),
    "no properties": lambda data: remade(data, lambda name, content: None if name.startswith("docProps/") else content),
}  # fmt: skip


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    rows = chosen("P-12", "P-19")
    path = write_season(tmp_path_factory.mktemp("season") / "season.xlsx", rows, **small(*rows))
    own = {name.replace("_", " "): table for name, table in small(*rows).items()}
    write_workbook(path, {**demo_tables(), "Pairings": rows, **own})  # with looks and sizes, which are made odd
    return path


@pytest.fixture(scope="module")
def expected(season: Path) -> Catalogue:
    return read_catalogue(season)


@pytest.fixture(params=VARIANTS)
def variant(request: pytest.FixtureRequest, season: Path, tmp_path: Path) -> Path:
    shutil.copytree(season.parent, tmp_path, dirs_exist_ok=True)
    made = VARIANTS[request.param](season.read_bytes())
    assert made != season.read_bytes()
    (tmp_path / "season.xlsx").write_bytes(made)
    return tmp_path / "season.xlsx"


def _added_to(file: Path, workshop) -> bytes:
    """Grafted twice, the second time in the place of what the first had added; the operator's parts stay as they were."""
    original = file.read_bytes()
    first = graft(original, workshop.run_sheets(1, 1))
    result = graft(first, workshop.run_sheets(2, 3), replace=["History"])
    with zipfile.ZipFile(BytesIO(original)) as before, zipfile.ZipFile(BytesIO(result)) as after:
        changed = {name for name in before.namelist() if before.read(name) != after.read(name)}
    assert {name.lower().removeprefix("/") for name in changed} <= {name.lower() for name in workshop.changeable}
    assert replace_file(file, result, read_workbook(file)[1]).replaced
    names = inspect_package(result).sheet_names
    assert names[-3:] == ("Run 001 parts", "Run 002 checks", "Run 002 parts") and "History" in names
    return result


def test_it_is_read_and_added_to(variant: Path, expected: Catalogue, workshop) -> None:
    found = read_catalogue(variant)
    assert found.problems == expected.problems
    assert (found.pairings, found.low_drivers, found.practice) == (expected.pairings, expected.low_drivers, expected.practice)  # fmt: skip
    read_history(variant)
    _added_to(variant, workshop)
    assert read_catalogue(variant).pairings == expected.pairings


def test_a_workbook_with_all_that_the_newest_writers_put_in(
    season: Path, expected: Catalogue, tmp_path: Path, workshop
) -> None:
    """XlsxWriter: pictures and tick boxes inside cells, a formula that spills, own properties, a background, a sheet that is a chart."""
    file = tmp_path / "season.xlsx"
    with xlsxwriter.Workbook(file) as book:
        source = openpyxl.load_workbook(season)
        for page in source.worksheets:
            sheet = book.add_worksheet(page.title)
            for number, row in enumerate(page.iter_rows(values_only=True)):
                sheet.write_row(number, 0, row)
        more = book.add_worksheet("More")
        (tmp_path / "dot.png").write_bytes(workshop.png())
        more.embed_image(0, 0, tmp_path / "dot.png")
        more.insert_checkbox(1, 0, True)
        more.write_dynamic_array_formula("C1:C3", "=SEQUENCE(3)", None, 1)
        more.set_background(tmp_path / "dot.png")
        chart = book.add_chart({"type": "line"})
        chart.add_series({"values": "=More!$C$1:$C$3"})
        book.add_chartsheet("Chart").set_chart(chart)
        book.set_custom_property("Checked", True)
        book.set_properties({"title": "Season", "status": "draft"})
    with zipfile.ZipFile(file) as archive:
        assert any("richData" in name for name in archive.namelist())
    shutil.copytree(season.parent / "curves", tmp_path / "curves")
    assert set(read_catalogue(file).low_drivers) == set(expected.low_drivers)
    workshop.soundness(_added_to(file, workshop))


@pytest.mark.skipif(not office.HERE, reason="LibreOffice is not installed")
def test_a_workbook_that_libreoffice_saved(season: Path, tmp_path: Path, workshop) -> None:
    (tmp_path / "season.xlsx").write_bytes(office.saved()["season"])
    shutil.copytree(season.parent / "curves", tmp_path / "curves")
    assert read_catalogue(tmp_path / "season.xlsx").pairings == read_catalogue(season).pairings
    _added_to(tmp_path / "season.xlsx", workshop)


def test_a_strict_workbook_is_refused_by_its_name(season: Path, tmp_path: Path) -> None:
    """The namespaces of the strict form are those of ECMA-376 part 1, annex on namespaces: purl.oclc.org/ooxml."""
    pairs = (
        (b"http://schemas.openxmlformats.org/officeDocument/2006", b"http://purl.oclc.org/ooxml/officeDocument"),
        (b"http://schemas.openxmlformats.org/spreadsheetml/2006", b"http://purl.oclc.org/ooxml/spreadsheetml"),
    )

    def strict(_: str, content: bytes) -> bytes:
        for transitional, other in pairs:
            content = content.replace(transitional, other)
        return content

    (tmp_path / "strict.xlsx").write_bytes(remade(season.read_bytes(), strict))
    with pytest.raises(WorkbookUnusable, match=r"strict\.xlsx: the file is a Strict Open XML workbook.*not \"Strict\""):
        read_catalogue(tmp_path / "strict.xlsx")


@every("name", ("//xl/a.xml", "/../a.xml", "..\\a.xml"))
def test_names_that_lead_out_are_still_refused(season: Path, name: str) -> None:
    data = remade(season.read_bytes(), lambda _, content: content, lambda old: name if "theme" in old else old)
    with pytest.raises(PackageRefused, match="leads out of the package"):
        inspect_package(data)
