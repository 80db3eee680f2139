"""New sheets in old workbooks: nothing of the old is lost or moved, and everything of the new is there."""

from __future__ import annotations

import datetime
import itertools
import os
import re
from io import BytesIO
from types import SimpleNamespace

import openpyxl
import pytest
import xlsxwriter
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lxml import etree
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.table import Table

from reportgen.ledger import graft as grafts
from reportgen.ledger.graft import inspect_package
from reportgen.problems import PackageRefused
from tests.ledger import office
from tests.ledger.grafting import graft

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
RUNS = 200 if os.environ.get("REPORTGEN_LONG") else 20

pytestmark = pytest.mark.filterwarnings("ignore::UserWarning:openpyxl", "ignore::UserWarning:xlsxwriter")
DAY = datetime.datetime(2025, 11, 25, 18, 0)

# Order of the parts of a workbook and of a style sheet: ECMA-376-1, 18.2.27 and 18.8.39 (memory).
WORKBOOK_ORDER = [
    "fileVersion",
    "fileSharing",
    "workbookPr",
    "workbookProtection",
    "bookViews",
    "sheets",
    "functionGroups",
    "externalReferences",
    "definedNames",
    "calcPr",
    "oleSize",
    "customWorkbookViews",
    "pivotCaches",
    "smartTagPr",
    "smartTagTypes",
    "webPublishing",
    "fileRecoveryPr",
    "extLst",
]
STYLES_ORDER = [
    "numFmts",
    "fonts",
    "fills",
    "borders",
    "cellStyleXfs",
    "cellXfs",
    "cellStyles",
    "dxfs",
    "tableStyles",
    "colors",
    "extLst",
]


def in_order(content: bytes, order: list[str]) -> bool:
    ranks = [order.index(etree.QName(child).localname) for child in etree.fromstring(content).iterchildren("*")]
    return ranks == sorted(ranks)


@pytest.fixture(params=["xlsxwriter", "openpyxl", "by hand", "several hundred sheets"])
def original(request, workshop, rich_workbook, hand_made):
    if request.param == "xlsxwriter":
        return rich_workbook
    if request.param == "openpyxl":
        return workshop.written_by_openpyxl()
    return hand_made() if request.param == "by hand" else workshop.written_by_xlsxwriter(400)


def test_all_of_the_old_stays_and_all_of_the_new_arrives(original, workshop):
    additions = workshop.run_sheets(1, history_rows=2)
    result = graft(original, additions, replace=["History"])
    workshop.untouched(original, result)
    workshop.soundness(result)
    assert workshop.values(result) == workshop.values(original) | workshop.values(additions)
    assert workshop.values(result, stored=False) == workshop.values(original, False) | workshop.values(additions)
    parts = workshop.parts_of(result)
    assert in_order(parts["xl/workbook.xml"], WORKBOOK_ORDER)
    assert in_order(parts["xl/styles.xml"], STYLES_ORDER)
    assert parts["xl/styles.xml"].count(b"0.000 &quot;oct&quot;") == 1


def test_new_sheets_keep_their_looks(original, workshop):
    made = openpyxl.load_workbook(BytesIO(workshop.run_sheets()))["Run 001 checks"]
    result = openpyxl.load_workbook(BytesIO(graft(original, workshop.run_sheets())))
    sheet = result["Run 001 checks"]
    for row in made.iter_rows():
        for cell in row:
            other = sheet[cell.coordinate]
            for look in ("number_format", "font", "fill", "border", "alignment", "protection"):
                assert repr(getattr(other, look)) == repr(getattr(cell, look)), (cell.coordinate, look)
    (old_rules,), (rules,) = (list(one.conditional_formatting) for one in (made, sheet))
    assert rules.rules[0].dxf == old_rules.rules[0].dxf
    assert sheet.tables.keys() == {"Run001Checks"}
    assert (len(sheet._charts), len(sheet._images)) == (1, 1)
    assert sheet["A2"].hyperlink.target == "out/P-0.pdf"
    assert sheet["A2"].comment.text == "first"
    assert (sheet.freeze_panes, sheet.print_title_rows, sheet.print_area) == (
        "B2",
        "$1:$1",
        "'Run 001 checks'!$A$1:$C$4",
    )
    assert sheet.column_dimensions["A"].width == 22.5
    assert sheet.page_setup.orientation == "landscape"
    assert sheet.oddFooter.center.text == "Page &P of &N"
    assert sheet.data_validations.dataValidation[0].formula1 == '"open,accepted"'
    assert result["Run 001 parts"].auto_filter.ref == "A1:B1"
    assert [tab.title for tab in result.worksheets if tab.sheet_view.tabSelected and "Run" in tab.title] == []


def test_plain_cells_look_as_they_were_made_whatever_the_workbook_calls_plain(workshop):
    buffer = BytesIO()
    with xlsxwriter.Workbook(buffer, {"default_format_properties": {"font_name": "Arial", "font_size": 8}}) as book:
        book.add_worksheet("Low drivers").write(0, 0, 1)
    result = graft(buffer.getvalue(), workshop.run_sheets())
    book = openpyxl.load_workbook(BytesIO(result))
    fonts = [book[sheet][cell].font for sheet, cell in (("Low drivers", "A1"), ("Run 001 parts", "A1"))]
    assert [(font.name, font.sz) for font in fonts] == [("Arial", 8), ("Calibri", 11)]
    fills = etree.fromstring(workshop.parts_of(result)["xl/styles.xml"]).findall(f"{MAIN}fills/{MAIN}fill")
    assert [fill[0].get("patternType") for fill in fills] == ["none", "gray125", "solid"]


def test_shared_strings_arrive_inside_their_cells(workshop, rich_workbook):
    buffer = BytesIO()
    with xlsxwriter.Workbook(buffer) as book:  # this writer does use shared strings
        sheet = book.add_worksheet("Run 001 checks")
        sheet.write_column(0, 0, [" blanks kept ", "<&>", "ö"])
        sheet.write_rich_string("A4", "plain ", book.add_format({"bold": True}), "bold")
    result = graft(rich_workbook, buffer.getvalue())
    workshop.untouched(rich_workbook, result)
    assert workshop.values(result)["Run 001 checks"] == [(" blanks kept ",), ("<&>",), ("ö",), ("plain bold",)]


def test_runs_in_a_row_stay_sound_and_grow_evenly(workshop, rich_workbook):
    result, sizes, styles = rich_workbook, [], set()
    for run in range(1, RUNS + 1):
        before, result = result, graft(result, workshop.run_sheets(run, run), replace=["History"])
        parts = workshop.parts_of(result)
        sizes.append(len(result))
        styles.add(parts["xl/styles.xml"])
        workshop.untouched(before, result, ours=_history_parts(workshop.parts_of(before)) | workshop.changeable)
    workshop.untouched(rich_workbook, result)
    workshop.soundness(result)
    assert len(styles) == 1
    steps = [after - before for before, after in itertools.pairwise(sizes)]
    assert max(steps[1:]) < 1.25 * min(steps[1:])
    found = workshop.values(result)
    assert len(found) == 3 + 2 * RUNS
    assert list(found)[:4] == ["Low drivers", "Parts", "Run 001 checks", "History"]
    assert len(found["History"]) == RUNS + 1
    assert sorted(openpyxl.load_workbook(BytesIO(result))["History"].tables) == ["History"]


def _history_parts(parts):
    """The parts of the History sheet, the second that the first run adds to a workbook of two."""
    links = parts.get("xl/worksheets/_rels/sheet4.xml.rels", b"")
    targets = {target.decode() for target in re.findall(rb'Target="/([^"]*)"', links)}
    return targets | {"xl/worksheets/sheet4.xml", "xl/worksheets/_rels/sheet4.xml.rels"}


def test_a_replaced_sheet_keeps_its_number_its_place_and_its_table(workshop, rich_workbook):
    first = graft(rich_workbook, workshop.run_sheets(1, 1))
    second = graft(first, workshop.run_sheets(2, 5), replace=["hISTORY"])

    def tab(data):
        workbook = etree.fromstring(workshop.parts_of(data)["xl/workbook.xml"])
        tabs = list(workbook.find(f"{MAIN}sheets"))
        return [(place, dict(entry.attrib)) for place, entry in enumerate(tabs) if entry.get("name") == "History"]

    def table(data):
        found = [part for name, part in workshop.parts_of(data).items() if name.startswith("xl/tables/")]
        return [etree.fromstring(part).get("id") for part in found if b'displayName="History"' in part]

    assert tab(first) == tab(second) != []
    assert table(first) == table(second) != []
    assert len(workshop.values(second)["History"]) == 6


def test_replacing_forgets_the_formulas_of_the_old_sheet_alone(workshop, hand_made):
    first = graft(hand_made(), workshop.run_sheets(1, 1))
    parts = workshop.parts_of(first)
    number = re.search(rb'name="History" sheetId="(\d+)"', parts["xl/workbook.xml"])[1]
    chain = b'<c r="D2" i="1"/><c r="A9" i="' + number + b'"/><c r="A8"/><c r="D3" i="1"/><c r="D4"/></calcChain>'
    parts["xl/calcChain.xml"] = re.sub(rb"<c .*", chain, parts["xl/calcChain.xml"])
    second = graft(workshop.packed(parts), workshop.run_sheets(2, 1), replace=["History"])
    left = etree.fromstring(workshop.parts_of(second)["xl/calcChain.xml"])
    assert [(cell.get("r"), cell.get("i")) for cell in left] == [("D2", "1"), ("D3", "1"), ("D4", "1")]


def test_a_sheet_of_ours_with_foreign_things_on_it_is_not_replaced(workshop, rich_workbook):
    first = graft(rich_workbook, workshop.run_sheets(1, 1))
    kind = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/pivotTable"
    part = ("xl/pivotTables/p1.xml", "application/x.pivotTable+xml", "xl/worksheets/sheet4.xml", kind, b"<p/>")
    with pytest.raises(PackageRefused) as caught:
        graft(workshop.with_parts(first, [part]), workshop.run_sheets(2, 1), replace=["History"])
    assert str(caught.value) == (
        'The sheet "History" holds what was not made here and would be lost when it is written anew: pivotTable. Move that to another sheet, '
        "or rename this one to keep it as it is; a new one is then begun."
    )


def test_names_that_are_taken(workshop, rich_workbook):
    once = graft(rich_workbook, workshop.run_sheets(1))
    with pytest.raises(PackageRefused) as caught:
        graft(once, workshop.run_sheets(2))
    assert str(caught.value) == (
        'The workbook has a sheet "History" already, and it was not made to be replaced. Rename that sheet in the spreadsheet program, save '
        "the workbook, and run again."
    )
    book = openpyxl.Workbook()
    book.active.title = "New"
    book.active["A1"], book.active["B1"] = "x", "=SUM(stock[x])"
    book.active.add_table(openpyxl.worksheet.table.Table(displayName="stock", ref="A1:A2"))
    buffer = BytesIO()
    book.save(buffer)
    result = graft(rich_workbook, buffer.getvalue())  # the workbook's own table is called Stock
    workshop.soundness(result)
    sheet = openpyxl.load_workbook(BytesIO(result))["New"]
    assert (list(sheet.tables), sheet["B1"].value) == (["stock_2"], "=SUM(stock_2[x])")
    book.defined_names["Air"] = openpyxl.workbook.defined_name.DefinedName("Air", attr_text="New!$A$1")
    buffer = BytesIO()
    book.save(buffer)
    with pytest.raises(PackageRefused) as caught:
        graft(rich_workbook, buffer.getvalue())
    assert str(caught.value) == (
        'The workbook has a name "Air" already. Rename it in the spreadsheet program, save the workbook, and run again.'
    )


def test_unusual_but_lawful_packages(workshop, rich_workbook):
    """Other places and prefixes, names in other letters, no styles, no window: all lawful (ECMA-376-2, 6.2 and 6.5)."""
    parts = workshop.parts_of(rich_workbook)
    workbook = re.sub(rb"<bookViews>.*</bookViews>|<definedNames>.*</definedNames>", b"", parts["xl/workbook.xml"])
    workbook = re.sub(rb"<(/?)(?=\w)", rb"<\1x:", workbook).replace(b"xmlns=", b"xmlns:x=")
    links = parts["xl/_rels/workbook.xml.rels"].replace(b'Target="', b'Target="/XL/')
    links = re.sub(rb"<Relationship [^>]*/styles\"[^>]*/>", b"", links)
    sheet = re.sub(rb' s="\d+"', b"", parts["xl/worksheets/sheet1.xml"])
    sheet = re.sub(rb"<conditionalFormatting.*</conditionalFormatting>|<extLst>.*</extLst>", b"", sheet, flags=re.S)
    types = parts["[Content_Types].xml"].replace(b"/xl/", b"/Xl/")
    types = re.sub(rb"<Override PartName=\"/Xl/styles.xml\"[^>]*/>", b"", types)
    moved = {
        "[Content_Types].xml": types,
        **{name: part for name, part in parts.items() if name not in ("[Content_Types].xml", "xl/styles.xml")},
        **{"xl/workbook.xml": workbook, "xl/_rels/workbook.xml.rels": links, "xl/worksheets/sheet1.xml": sheet},
    }
    odd = workshop.packed(moved)
    result = graft(odd, workshop.run_sheets(1, 1))
    workshop.untouched(odd, result)
    new = workshop.parts_of(result)
    assert in_order(new["xl/workbook.xml"], WORKBOOK_ORDER)
    assert b"bookViews" in new["xl/workbook.xml"]
    assert inspect_package(result).sheet_names[-1] == "Run 001 parts"
    styles = etree.fromstring(new["xl/styles1.xml"])
    checks = etree.fromstring(new["xl/worksheets/sheet3.xml"])
    number = int(checks.find(f".//{MAIN}c[@r='B2']").get("s"))
    code = styles.find(
        f"{MAIN}numFmts/{MAIN}numFmt[@numFmtId='{styles.find(f'{MAIN}cellXfs')[number].get('numFmtId')}']"
    )
    assert code.get("formatCode") == '0.000 "oct"'


def test_hidden_sheets_stay_hidden_and_links_within_a_workbook_stay(workshop, rich_workbook):
    buffer = BytesIO()
    with xlsxwriter.Workbook(buffer) as book:
        sheet = book.add_worksheet("Shown")
        sheet.insert_image("A1", "dot.png", {"image_data": BytesIO(workshop.png()), "url": "internal:Hidden!A1"})
        sheet.write_url("C1", "internal:Hidden!A1", string="there")
        book.add_worksheet("Hidden").hide()
    result = graft(rich_workbook, buffer.getvalue())
    book = openpyxl.load_workbook(BytesIO(result))
    assert [sheet.sheet_state for sheet in book] == ["visible", "visible", "visible", "hidden"]
    assert [bool(sheet.sheet_view.tabSelected) for sheet in book] == [True, False, False, False]
    assert book["Shown"]["C1"].hyperlink.location == "Hidden!A1"
    assert any(b'Target="#Hidden!A1"' in part for name, part in workshop.parts_of(result).items() if "_rels" in name)


def test_dates_keep_their_day_in_a_workbook_that_counts_from_1904(workshop):
    """1904 workbooks count days from 1904-01-01, 1462 days after the other count (ECMA-376-1, 18.17.4.1)."""
    buffer = BytesIO()
    with xlsxwriter.Workbook(buffer, {"date_1904": True}) as book:
        book.add_worksheet("S").write_datetime(0, 0, DAY, book.add_format({"num_format": "yyyy-mm-dd"}))
    new = openpyxl.Workbook()
    new.active.title = "Dates"
    new.active.append([DAY, DAY.date(), 45000.5, datetime.time(12), datetime.timedelta(days=2), "a"])
    additions = BytesIO()
    new.save(additions)
    result = graft(buffer.getvalue(), additions.getvalue())
    expected = (DAY, datetime.datetime(2025, 11, 25), 45000.5, datetime.time(12), datetime.timedelta(days=2), "a")
    assert workshop.values(result) == {"S": [(DAY,)], "Dates": [expected]}


def test_a_package_that_must_not_be_opened_is_not_grafted_into(workshop, rich_workbook):
    declared = (
        b"<!DOCTYPE x [<!ENTITY a 'ha'>]>" + workshop.parts_of(rich_workbook)["xl/sharedStrings.xml"][55:].lstrip()
    )
    refused = workshop.packed(workshop.parts_of(rich_workbook) | {"xl/sharedStrings.xml": declared})
    with pytest.raises(PackageRefused, match=r"xl/sharedStrings\.xml declares a document type"):
        graft(refused, workshop.run_sheets())


def test_only_worksheets_can_be_added(rich_workbook):
    buffer = BytesIO()
    with xlsxwriter.Workbook(buffer) as book:
        book.add_worksheet("S")
        chart = book.add_chart({"type": "line"})
        chart.add_series({"values": "=S!$A$1:$A$2"})
        book.add_chartsheet("C").set_chart(chart)
    with pytest.raises(ValueError, match=r"\Aonly worksheets can be added; the additions hold chartsheet\Z"):
        graft(rich_workbook, buffer.getvalue())
    kinds = ("worksheet", "styles", "vbaProject", "dialogsheet", "pivotCacheDefinition", "externalLink", "chartsheet")
    extra = SimpleNamespace(main_part="", relationships=lambda _: [SimpleNamespace(kind=kind) for kind in kinds])
    with pytest.raises(
        ValueError, match=r"hold chartsheet, dialogsheet, externalLink, pivotCacheDefinition, vbaProject\Z"
    ):
        grafts._refuse_foreign_sheets(extra)


CELLS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**9), 10**9),
    st.floats(allow_nan=False, allow_infinity=False, width=32),
    st.text(st.characters(min_codepoint=32, max_codepoint=0xFFFD, exclude_categories=["Cs"]), max_size=12),
)
NAMES = st.text(st.sampled_from("aBz 9'ö&<-.()"), min_size=1, max_size=8).map(lambda text: f"S{text}s")


@st.composite
def workbooks(draw, prefix=""):
    """A workbook by either library: any sheets, cells, formats, and a choice of what may hang on a sheet."""
    names = draw(st.lists(NAMES, min_size=1, max_size=4, unique_by=str.casefold))
    rows = draw(st.lists(st.lists(CELLS, min_size=1, max_size=4), min_size=1, max_size=5))
    wish = draw(st.sets(st.sampled_from(["table", "chart", "freeze", "filter", "name", "rules", "comment", "formula"])))
    formats = draw(st.lists(st.sampled_from(["0.0", '0 "Hz"', "@", "yyyy-mm-dd", "0.00"]), max_size=3))
    return _written(prefix, names, rows, wish, formats)


def _adorn(book, sheet, wish, table, look):
    if "formula" in wish:
        sheet.write_formula("H1", "=1+1", None, 2)
    if "table" in wish:
        sheet.add_table("J1:K3", {"name": table})
    if "chart" in wish:
        chart = book.add_chart({"type": "bar"})
        chart.add_series({"values": [sheet.get_name(), 0, 0, 3, 0]})
        sheet.insert_chart("M2", chart)
    if "freeze" in wish:
        sheet.freeze_panes(1, 0)
    if "filter" in wish:
        sheet.autofilter("A1:B4")
    if "rules" in wish:
        sheet.conditional_format("A1:A9", {"type": "cell", "criteria": "<", "value": 1, "format": look})
    if "comment" in wish:
        sheet.write_comment("A1", "noted")


def _written(prefix, names, rows, wish, formats):
    buffer = BytesIO()
    with xlsxwriter.Workbook(buffer, {"strings_to_formulas": False, "strings_to_urls": False}) as book:
        looks = [None, *(book.add_format({"num_format": code, "bold": True}) for code in formats)]
        for number, name in enumerate(names):
            sheet = book.add_worksheet(prefix + name)
            for row, cells in enumerate(rows):
                for column, value in enumerate(cells):
                    look = looks[(row + column) % len(looks)]
                    if isinstance(value, str):
                        sheet.write_string(row, column, value, look)
                    else:
                        sheet.write(row, column, value, look)
            _adorn(book, sheet, wish, f"{prefix.strip()}Table{number}", looks[-1])
        if "name" in wish:
            book.define_name(f"{prefix.strip()}Name", "=1")
    return buffer.getvalue()


@settings(
    max_examples=500 if os.environ.get("REPORTGEN_LONG") else 25,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
@given(original=workbooks(), additions=workbooks(prefix="New "))
def test_any_sheets_in_any_workbook(workshop, original, additions):
    result = graft(original, additions)
    workshop.untouched(original, result)
    workshop.soundness(result)
    assert workshop.values(result) == workshop.values(original) | workshop.values(additions)
    names = inspect_package(additions).sheet_names
    again = graft(result, additions, replace=names) if b"New" not in _global_names(workshop, additions) else result
    workshop.soundness(again)
    assert workshop.values(again) == workshop.values(result)
    assert workshop.parts_of(again)["xl/styles.xml"] == workshop.parts_of(result)["xl/styles.xml"]


def _global_names(workshop, data):
    return b"".join(re.findall(rb'<definedName name="NewName"', workshop.parts_of(data)["xl/workbook.xml"]))


@pytest.mark.skipif(not office.HERE, reason="LibreOffice is not installed")
def test_libreoffice_opens_the_result_and_its_own_files_can_be_grafted(workshop):
    """The office program reads old and new values alike; what it saves is a workbook like any other."""
    saved = office.saved()
    for name in ("rich", "hand"):
        expected, found = workshop.values(office.given()[name]), workshop.values(saved[name])
        assert expected.keys() == found.keys()
        for sheet in expected:
            wanted = _trimmed(expected[sheet])  # the office program fills in the pivot table below
            assert _trimmed(found[sheet])[: len(wanted)] == wanted, sheet
    again = graft(saved["rich"], workshop.run_sheets(2, 3), replace=["History"])
    workshop.soundness(again)
    assert workshop.values(again)["Low drivers"] == workshop.values(saved["rich"])["Low drivers"]
    assert len(workshop.values(again)["History"]) == 4
    sheet = openpyxl.load_workbook(BytesIO(saved["rich"]))["Run 001 checks"]
    assert sheet["B2"].number_format == '0.000" oct"'
    assert (sheet["A1"].font.bold, sheet["A1"].fill.fgColor.rgb) == (True, "FF333333")
    assert (len(sheet._charts), len(sheet._images), list(sheet.tables)) == (1, 1, ["Run001Checks"])


def _trimmed(rows):
    """Rows without the blank cells at their ends, as programs differ in how far they count a sheet."""
    trimmed = []
    for row in rows:
        cells = list(row)
        while cells and cells[-1] is None:
            cells.pop()
        trimmed.append([round(cell, 9) if isinstance(cell, float) else cell for cell in cells])
    while trimmed and not trimmed[-1]:
        trimmed.pop()
    return trimmed


def test_a_table_takes_another_name_where_a_name_of_the_workbook_has_it(workshop):
    """A defined name counts as taken as a table does, in any letters; the formulas of the new sheets follow."""
    book = openpyxl.Workbook()
    book.defined_names["run001CHECKS"] = DefinedName("run001CHECKS", attr_text="Sheet!$A$1")
    book.defined_names["Run001Checks_2"] = DefinedName("Run001Checks_2", attr_text="Sheet!$A$2")
    buffer = BytesIO()
    book.save(buffer)
    result = graft(buffer.getvalue(), workshop.run_sheets())
    workshop.soundness(result)
    names = {name for sheet in openpyxl.load_workbook(BytesIO(result)).worksheets for name in sheet.tables}
    assert names == {"Run001Checks_3", "History"}


@pytest.mark.parametrize("numbers", [("1", "3"), ("7", "2"), ("2", "1")])
def test_a_new_table_has_a_number_above_all_that_stand(workshop, numbers):
    """Two tables of the workbook, whatever their numbers; both of the run follow the highest."""
    book = openpyxl.Workbook()
    for place, name in enumerate(("Mine", "Yours")):
        sheet = book.worksheets[0] if not place else book.create_sheet()
        sheet.append(["A", "B"])
        sheet.append([1, 2])
        sheet.add_table(Table(displayName=name, ref="A1:B2"))
    buffer = BytesIO()
    book.save(buffer)
    parts = workshop.parts_of(buffer.getvalue())
    tables = sorted(name for name in parts if name.startswith("xl/tables/"))
    for name, number in zip(tables, numbers, strict=True):
        parts[name] = re.sub(rb' id="\d+" ', b' id="%s" ' % number.encode(), parts[name], count=1)
    result = graft(workshop.packed(parts), workshop.run_sheets())
    workshop.soundness(result)
    found = [
        etree.fromstring(part).get("id")
        for name, part in workshop.parts_of(result).items()
        if name.startswith("xl/tables/")
    ]
    most = max(map(int, numbers))
    assert sorted(map(int, found)) == sorted([*map(int, numbers), most + 1, most + 2])


def test_formulas_of_every_kind_follow_a_table_that_got_another_name():
    """Of cells, marks, lists of a cell and columns of a table; not those that name another table, nor a word without a bracket."""
    kinds = ("f", "formula", "formula1", "formula2", "calculatedColumnFormula", "totalsRowFormula")
    text = "SUM(Old[x])+My.Old[x]+MyOld[x]+Old+Old2[x]+Other[Old[y]]"
    root = etree.fromstring(
        f'<a xmlns="{MAIN[1:-1]}">{"".join(f"<{kind}>{text}</{kind}>" for kind in (*kinds, "t"))}</a>'
    )
    transplant = object.__new__(grafts._Transplant)
    transplant._tables = {"Old": ("3", "Old_2"), "Other": ("4", "Other")}
    transplant._rename_tables(root)
    renamed = "SUM(Old_2[x])+My.Old[x]+MyOld[x]+Old+Old2[x]+Other[Old_2[y]]"
    assert [element.text for element in root] == [renamed] * len(kinds) + [text]


def test_a_sheet_that_is_removed_leaves_its_name_to_a_new_one():
    old, new = openpyxl.Workbook(), openpyxl.Workbook()
    old.active.append(["stays"])
    old.create_sheet("Run 001 parts").append(["old"])
    new.active.title = "Run 001 Parts"
    new.active.append(["new"])
    books = [BytesIO(), BytesIO()]
    old.save(books[0])
    new.save(books[1])
    result = openpyxl.load_workbook(BytesIO(graft(*(book.getvalue() for book in books), remove=["Run 001 parts"])))
    assert [(sheet.title, sheet["A1"].value) for sheet in result] == [("Sheet", "stays"), ("Run 001 Parts", "new")]


def test_a_link_out_stays_one_though_it_reads_like_a_part(workshop, rich_workbook):
    """An external target is an address and never a part (ECMA-376 part 2, first edition, 9.3.2)."""
    new = openpyxl.Workbook()
    new.active.title = "New"
    new.active["A1"].hyperlink = "xl/styles.xml"
    additions = BytesIO()
    new.save(additions)
    result = graft(rich_workbook, additions.getvalue())
    workshop.soundness(result)
    assert openpyxl.load_workbook(BytesIO(result))["New"]["A1"].hyperlink.target == "xl/styles.xml"


def test_the_looks_of_a_tables_columns_are_those_it_was_made_with(workshop):
    """dataDxfId counts the workbook's differential formats (ECMA-376-1, 18.5.1.3): the italic one there is before the bold one."""
    old, new = BytesIO(), BytesIO()
    with xlsxwriter.Workbook(old) as book:
        look = book.add_format({"italic": True})
        rule = {"type": "cell", "criteria": "<", "value": 1, "format": look}
        book.add_worksheet("Old").conditional_format("A1:A9", rule)
    with xlsxwriter.Workbook(new) as book:
        look = book.add_format({"bold": True})
        table = {"name": "News", "data": [[1], [2]], "columns": [{"header": "x", "format": look}]}
        book.add_worksheet("New").add_table("A1:A3", table)
    parts = workshop.parts_of(graft(old.getvalue(), new.getvalue()))
    (table,) = (etree.fromstring(parts[name]) for name in parts if name.startswith("xl/tables/"))
    looks = etree.fromstring(parts["xl/styles.xml"]).findall(f"{MAIN}dxfs/{MAIN}dxf")
    named = looks[int(table.find(f"{MAIN}tableColumns/{MAIN}tableColumn").get("dataDxfId"))]
    assert len(looks) == 2 and named.find(f"{MAIN}font/{MAIN}b") is not None


def test_the_name_that_one_new_table_takes_is_no_longer_free_for_the_next(workshop):
    """ "Stock" stands, so that the first becomes "Stock_2", which is what the second was called."""
    books = []
    for names in (("Stock",), ("Stock", "Stock_2")):
        buffer = BytesIO()
        with xlsxwriter.Workbook(buffer) as book:
            sheet = book.add_worksheet(f"With {len(names)}")
            for row, name in enumerate(names):
                sheet.add_table(4 * row, 0, 4 * row + 2, 0, {"name": name})
        books.append(buffer.getvalue())
    result = graft(*books)
    workshop.soundness(result)
    assert set(openpyxl.load_workbook(BytesIO(result))["With 2"].tables) == {"Stock_2", "Stock_2_2"}


def test_a_picture_of_two_sheets_arrives_once_and_the_text_of_a_formula_as_it_is(workshop, rich_workbook):
    """A cell of type `str` holds its text itself (ECMA-376-1, 18.18.11); one picture is one part for both drawings."""
    buffer = BytesIO()
    with xlsxwriter.Workbook(buffer) as book:
        for name in ("New 1", "New 2"):
            sheet = book.add_worksheet(name)
            sheet.write_formula("A1", '="7"&"b"', None, "7b")
            sheet.insert_image("C3", "dot.png", {"image_data": BytesIO(workshop.png())})
    result = graft(rich_workbook, buffer.getvalue())
    workshop.soundness(result)
    assert workshop.values(result)["New 2"] == [("7b",)]
    old, new = (sum(name.startswith("xl/media/") for name in workshop.parts_of(one)) for one in (rich_workbook, result))
    assert new == old + 1
