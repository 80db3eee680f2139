"""Result sheets of old runs go away without a trace, and only where nobody wrote on them or refers to them."""

from __future__ import annotations

import io
from types import SimpleNamespace

import openpyxl
import pytest
from lxml import etree
from openpyxl.comments import Comment
from openpyxl.utils import get_column_letter

from reportgen.ledger import oldruns
from reportgen.ledger.history import SHEETS, read_history
from reportgen.ledger.oldruns import old_result_sheets
from tests.every import every
from tests.ledger import office, runs

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"

pytestmark = pytest.mark.filterwarnings("ignore::UserWarning:openpyxl")


@pytest.fixture(scope="module")
def rich() -> bytes:
    return runs.rich()


def folded(content: bytes, workshop, keep: int = 1, pairings: int = 2) -> tuple[bytes, set[str], str]:
    """As there, the package found sound."""
    found = runs.folded(content, keep, pairings)
    workshop.soundness(found[0])
    return found


def by_hand(content: bytes, change) -> bytes:
    book = openpyxl.load_workbook(io.BytesIO(content))
    change(book)
    return runs.saved(book)


@pytest.mark.parametrize(("keep", "left"), [(1, []), (2, [3]), (3, [2, 3]), (4, [1, 2, 3]), (9, [1, 2, 3])])
def test_the_last_runs_stay(rich, workshop, keep, left):
    result, _, said = folded(rich, workshop, keep)
    tabs = openpyxl.load_workbook(io.BytesIO(result), read_only=True).sheetnames
    assert {int(tab[4:7]) for tab in tabs if tab.startswith("Run ") and tab.endswith("parts")} == {4, *left}
    assert "Run 004 summary" in tabs
    assert not said


@pytest.mark.parametrize(
    ("keep", "current", "gone"), [(1, 3, {1, 2}), (2, 3, {1}), (1, 4, {1, 2, 3}), (3, 3, set()), (2, 4, {1, 2})]
)
def test_the_current_run_is_one_of_those_that_stay(rich, keep, current, gone):
    """Whether its sheets stand already or not."""
    names = {f"Run {run:03} {kind}" for run in gone for kind in ("summary", "checks", "parts")}
    assert set(old_result_sheets(rich, keep, current).gone) == names


def test_all_else_stays_byte_for_byte_and_nothing_is_left_behind(rich, rich_workbook, workshop):
    result, gone, _ = folded(rich, workshop)
    assert len(gone) == 9
    before, after = workshop.parts_of(rich_workbook), workshop.parts_of(result)
    for name in set(before) - workshop.changeable:
        assert after[name] == before[name], name
    once = workshop.parts_of(runs.after_run(rich_workbook, runs.season()[:2]))
    for kind in ("worksheets", "tables", "charts", "drawings"):
        counts = [sum(name.startswith(f"xl/{kind}/") for name in parts) for parts in (after, once)]
        assert counts[0] == counts[1], kind
    assert not any(b"Run 001" in content for name, content in after.items() if name in workshop.changeable)


def test_history_stays_whole(rich, workshop):
    before, after = read_history(rich), read_history(folded(rich, workshop)[0])
    assert after.entries[: len(before.entries)] == before.entries
    assert after.stored.items() >= before.stored.items()
    assert after.next_run == before.next_run + 1


def test_names_and_windows_that_count_tabs_mean_the_same_sheets(rich, workshop):
    parts = workshop.parts_of(rich)
    tabs = [tab.get("name") for tab in etree.fromstring(parts["xl/workbook.xml"]).iter(f"{MAIN}sheet")]
    at = tabs.index("Run 003 checks")
    parts["xl/workbook.xml"] = (
        parts["xl/workbook.xml"]
        .replace(b'activeTab="0"', b"")
        .replace(b"<workbookView ", f'<workbookView activeTab="{at}" firstSheet="{at - 1}" '.encode(), 1)
    )
    content = workshop.packed(parts)

    def scoped(data: bytes) -> set[tuple[str, str, str]]:
        workbook = etree.fromstring(workshop.parts_of(data)["xl/workbook.xml"])
        sheets = [tab.get("name") for tab in workbook.iter(f"{MAIN}sheet")]
        return {
            (sheets[int(name.get("localSheetId"))], name.get("name"), name.text)
            for name in workbook.iterfind(f"{MAIN}definedNames/*[@localSheetId]")
        }

    result, gone, _ = folded(content, workshop, keep=2)
    expected = {one for one in scoped(content) if one[0] not in gone and not one[0].startswith("History")}
    assert expected <= scoped(result)
    workbook = etree.fromstring(workshop.parts_of(result)["xl/workbook.xml"])
    names = [tab.get("name") for tab in workbook.iter(f"{MAIN}sheet")]
    view = workbook.find(f"{MAIN}bookViews/{MAIN}workbookView")
    assert names[int(view.get("activeTab"))] == "Run 003 checks"
    assert names[int(view.get("firstSheet"))] == "Run 003 summary"
    result, _, _ = folded(content, workshop)  # the sheet on which the window stood goes: the new one is shown
    workbook = etree.fromstring(workshop.parts_of(result)["xl/workbook.xml"])
    names = [tab.get("name") for tab in workbook.iter(f"{MAIN}sheet")]
    assert names[int(workbook.find(f"{MAIN}bookViews/{MAIN}workbookView").get("activeTab"))] == "Run 004 summary"


def test_formulas_of_other_sheets_stay_in_the_chain(rich, workshop):
    numbers = [
        tab.get("sheetId") for tab in etree.fromstring(workshop.parts_of(rich)["xl/workbook.xml"]).iter(f"{MAIN}sheet")
    ]
    cells = "".join(f'<c r="B2" i="{number}"/>' for number in numbers)
    chain = f'<calcChain xmlns="{MAIN[1:-1]}">{cells}</calcChain>'.encode()
    relation = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/calcChain"
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.calcChain+xml"
    content = workshop.with_parts(rich, [("xl/calcChain.xml", kind, "xl/workbook.xml", relation, chain)])
    result, gone, _ = folded(content, workshop)
    left = {cell.get("i") for cell in etree.fromstring(workshop.parts_of(result)["xl/calcChain.xml"])}
    tabs = etree.fromstring(workshop.parts_of(content)["xl/workbook.xml"]).iter(f"{MAIN}sheet")
    assert left == {tab.get("sheetId") for tab in tabs if tab.get("name") not in gone}
    renewed, gone, _ = folded(content, workshop, pairings=3)
    left = {cell.get("i") for cell in etree.fromstring(workshop.parts_of(renewed)["xl/calcChain.xml"])}
    tabs = etree.fromstring(workshop.parts_of(content)["xl/workbook.xml"]).iter(f"{MAIN}sheet")
    assert left == {tab.get("sheetId") for tab in tabs if tab.get("name") not in {*gone, *SHEETS}}


# --- what keeps a sheet -------------------------------------------------------------------------------------------


def _formula(text: str, cell: str = "K7"):
    return lambda book: book["Low drivers"].__setitem__(cell, text)


def _refers(text: str):
    """A formula that refers to the parts of the run of a number."""
    return lambda book, run: _formula(text.format(run), f"K{run}")(book)


def _named(book, run):
    name = openpyxl.workbook.defined_name.DefinedName(f"Mine{run}", attr_text=f"'Run 00{run} parts'!$G$6")
    book.defined_names[name.name] = name


def _chart(book, run):
    chart = openpyxl.chart.BarChart()
    chart.add_data(openpyxl.chart.Reference(book[f"Run 00{run} parts"], min_col=7, min_row=6, max_row=9))
    book["Low drivers"].add_chart(chart, "H9")


def _link(book, run):
    cell = book["Low drivers"][f"K{run}"]
    cell.value = "see there"
    cell.hyperlink = openpyxl.worksheet.hyperlink.Hyperlink(ref=cell.coordinate, location=f"'Run 00{run} parts'!A1")


def _validation(book, run):
    rule = openpyxl.worksheet.datavalidation.DataValidation(type="list", formula1=f"'Run 00{run} parts'!$A$6:$A$9")
    rule.add(f"K{run}")
    book["Low drivers"].add_data_validation(rule)


def _written(cell: str, value: str):
    return lambda book, run: book[f"Run 00{run} parts"].__setitem__(cell, value)


def left(content: bytes) -> tuple[set[str], list[str]]:
    """The sheets that would go with the fourth run, and what is said of others."""
    found = old_result_sheets(content, 1, 4)
    return set(found.gone), list(found.notices)


RELIED_ON = (
    (_refers("=SUM('Run 00{} parts'!G6:G9)"), "Low drivers!K{} refers to it"),
    (_named, "the name “Mine{}” refers to it"),
    (_written("B90", "mine"), "something was written into its cell B90"),
    (_refers("=SUM(Run00{}Parts[Value])"), "Low drivers!K{} refers to it"),
    (_chart, "a chart on the sheet “Low drivers” refers to it"),
    (_written("C1", "mine"), "something was written into its cell C1"),
    (_link, "the sheet “Low drivers” refers to it"),
    (_written("G7", "=1+1"), "it holds a formula that no run made"),
    (lambda book, run: setattr(book[f"Run 00{run} parts"]["A6"], "comment", Comment("look", "me")), "notes were written on it"),
    (_validation, "the sheet “Low drivers” refers to it"),
    (lambda book, run: book[f"Run 00{run} parts"].add_chart(openpyxl.chart.BarChart(), "B99"), "it holds a drawing that no run made"),
)  # fmt: skip
"""What somebody does to the parts of a run, and what is said of it."""


@every("first", range(0, len(RELIED_ON), 3))
def test_a_sheet_that_somebody_relies_on_stays_and_that_is_said(rich, first):
    """Each of three runs for a reason of its own."""
    reasons = dict(enumerate(RELIED_ON[first : first + 3], 1))

    def change(book):
        for run, (one, _) in reasons.items():
            one(book, run)

    gone, notices = left(by_hand(rich, change))
    assert sorted(notices) == [f"Run 00{run} parts stays: {said.format(run)}." for run, (_, said) in reasons.items()]
    assert len(gone) == 9 - len(reasons) and gone.isdisjoint({f"Run 00{run} parts" for run in reasons})


def test_a_sheet_that_stays_stands_in_the_result(rich, workshop):
    result, gone, _ = folded(by_hand(rich, _formula("=SUM('Run 001 parts'!G6:G9)")), workshop)
    tabs = openpyxl.load_workbook(io.BytesIO(result), read_only=True).sheetnames
    assert "Run 001 parts" in tabs and gone.isdisjoint(tabs)


def test_a_sheet_that_a_staying_sheet_leads_to_stays_too(rich):
    """The rows of a summary lead to the checks of their run."""
    gone, said = left(by_hand(rich, _formula("='Run 001 summary'!D6")))
    assert gone == {f"Run 00{number} {kind}" for number in (2, 3) for kind in ("summary", "checks", "parts")} | {
        "Run 001 parts"
    }
    assert said == [
        "Run 001 summary stays: Low drivers!K7 refers to it.",
        "Run 001 checks stays: the sheet “Run 001 summary” refers to it.",
    ]


def test_a_sheet_in_the_middle_of_a_reference_through_sheets_stays(rich):
    """The tabs stand in the order of the runs: from the parts of the first to those of the third."""
    gone, _ = left(by_hand(rich, _formula("=SUM('Run 001 parts:Run 003 summary'!G7)")))
    assert "Run 002 checks" not in gone
    assert {"Run 001 checks", "Run 003 parts"} <= gone


def test_words_are_no_reference(rich):
    assert len(left(by_hand(rich, _formula("In Run 001 parts! the price of C1 was 3; Run001Parts")))[0]) == 9


def test_an_added_column_or_a_table_beside_ours_keeps_its_sheet(rich):
    def widen(book):
        other = book["Run 001 checks"]
        other["AF5"], other["AF6"] = "Kit", "mine"  # a heading that tables of runs have too
        other.add_table(openpyxl.worksheet.table.Table(displayName="Mine", ref="AF5:AF6"))
        page = book["Run 001 parts"]
        table = page.tables["Run001Parts"]
        first, last = table.ref.split(":")
        letter = "".join(filter(str.isalpha, last))
        wider = get_column_letter(openpyxl.utils.column_index_from_string(letter) + 1)
        page[f"{wider}{table.ref.split(':')[0][1:]}"] = "Ordered"
        table.ref = f"{first}:{wider}{last[len(letter) :]}"
        table.tableColumns.append(openpyxl.worksheet.table.TableColumn(id=99, name="Ordered"))
        table.autoFilter.ref = table.ref

    assert left(by_hand(rich, widen))[1] == [
        "Run 001 checks stays: its table is not the one that the run made.",
        "Run 001 parts stays: it has a column “Ordered” that no run made.",
    ]


def test_a_sheet_of_the_operators_own_with_such_a_name_stays(rich):
    gone, said = left(by_hand(rich, lambda book: book.create_sheet("Run 1 checks").append(["mine"])))
    assert said == ["Run 1 checks stays: its table is not the one that the run made."]
    assert len(gone) == 9


NO_SHEET = "No result sheet of an old run was removed: "


@pytest.mark.parametrize(
    ("lock", "kept"), [("1", True), ("true", True), ("0", False), ("false", False), ("off", False)]
)
def test_a_protected_structure_keeps_all(rich, workshop, lock, kept):
    parts = workshop.parts_of(rich)
    protection = f'<workbookProtection lockStructure="{lock}"/><sheets>'.encode()
    parts["xl/workbook.xml"] = parts["xl/workbook.xml"].replace(b"<sheets>", protection)
    gone, said = left(workshop.packed(parts))
    assert said == ([f"{NO_SHEET}the structure of the workbook is protected."] if kept else [])
    assert len(gone) == (0 if kept else 9)


def test_a_workbook_with_macros_or_with_tracked_changes_keeps_all(rich, hand_made, workshop):
    kind = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/revisionHeaders"
    tracked = workshop.with_parts(rich, [("xl/revisions/h.xml", "application/xml", "xl/workbook.xml", kind, b"<x/>")])
    assert left(tracked) == (
        set(), [f"{NO_SHEET}the workbook is shared with change tracking. End the sharing first."]
    )  # fmt: skip
    assert left(runs.after_run(hand_made(), runs.season()[:2])) == (
        set(), [f"{NO_SHEET}the workbook has macros, which may use them. Delete them in the spreadsheet program."]
    )  # fmt: skip


def test_a_view_of_the_workbook_that_opens_on_a_sheet_keeps_it(rich, workshop):
    parts = workshop.parts_of(rich)
    tabs = {
        tab.get("name"): tab.get("sheetId") for tab in etree.fromstring(parts["xl/workbook.xml"]).iter(f"{MAIN}sheet")
    }
    views = "".join(
        f'<customWorkbookView name="{name}" guid="{{1}}" windowWidth="1" windowHeight="1" activeSheetId="{tabs[tab]}"/>'
        for name, tab in (("Mine", "Run 001 parts"), ("Other", "Low drivers"))
    )
    view = f"<customWorkbookViews>{views}</customWorkbookViews></workbook>".encode()
    parts["xl/workbook.xml"] = parts["xl/workbook.xml"].replace(b"</workbook>", view)
    gone, said = left(workshop.packed(parts))
    assert said == ["Run 001 parts stays: the view “Mine” refers to it."] and len(gone) == 8


@every(
    ("part", "text", "at", "said"),
    [
        ("xl/charts/chart1.xml", b"", 0, "a chart on the sheet “Low”"), ("XL/Pivots/Pivot1.xml", b"", 0, "a pivot table on the sheet “Low”"),
        ("xl/tables/table1.xml", b"", 0, "a table on the sheet “Low”"), ("xl/slicers/s.xml", b"", 0, "a slicer on the sheet “Low”"),
        ("xl/drawings/d.xml", b"", 0, "a drawing on the sheet “Low”"), ("xl/other/o.xml", b"", 0, "another part of the workbook on the sheet “Low”"),
        ("xl/pivotCache/alone.xml", b"", 0, "a pivot table"), ("xl/alone.xml", b"", 0, "another part of the workbook"),
        ("sheet.xml", b'<c r="a1"/><c r="ab7"><f>x', 26, "Low!AB7"), ("sheet.xml", b'<c r="a1"/></sheetdata><f>x', 26, "the sheet “Low”"),
        ("sheet.xml", b"<cols/><f>x", 9, "the sheet “Low”"),
    ],
)  # fmt: skip
def test_where_a_reference_stands_is_said_as_the_operator_finds_it(part, text, at, said):
    readers = object.__new__(oldruns._Readers)
    readers._title = {"sheet.xml": "Low"}
    readers._package = SimpleNamespace(reached=lambda _: set() if "alone" in part else {part})
    assert readers._place(part, text, at) == said


def test_lists_of_all_sheets_and_of_all_texts_refer_to_none():
    """Of each part: its name and its kind. What hangs on a sheet and what draws may lead anywhere; a picture leads nowhere."""
    lists = (
        "[Content_Types].xml",
        "docProps/app.xml",
        "xl/sharedStrings.xml",
        "xl/_rels/workbook.xml.rels",
        "xl/styles.xml",
        "xl/calcChain.xml",
    )
    others = (
        "xl/worksheets/sheet1.xml",
        "xl/worksheets/_rels/sheet1.xml.rels",
        "xl/Drawings/a.VML",
        "customXml/item1.xml",
        "xl/media/a.png",
    )
    kinds = {
        "xl/Drawings/a.VML": "application/vnd.vmlDrawing",
        "xl/media/a.png": "image/png",
        "xl/worksheets/_rels/sheet1.xml.rels": "x",
    }
    package = SimpleNamespace(content_type=lambda part: kinds.get(part, "application/a+xml"))
    assert [oldruns._may_refer(package, part) for part in lists] == [False] * 6
    assert [oldruns._may_refer(package, part) for part in others] == [True] * 4 + [False]


def test_a_sheet_without_rows_is_as_no_run_writes_it():
    assert oldruns._beside(SimpleNamespace(rows=lambda _: ()), "", [(1, 1, 2, 2)]) == (
        "its rows are written in a way that no run uses"
    )


def test_libreoffice_opens_the_result_and_its_own_files_can_be_folded(workshop):
    assert office.HERE, "LibreOffice is needed: .ci/setup test installs it"
    saved = openpyxl.load_workbook(io.BytesIO(office.saved()["folded"]), read_only=True)
    assert saved.sheetnames == openpyxl.load_workbook(io.BytesIO(office.given()["folded"]), read_only=True).sheetnames
    # LibreOffice writes the titles of History twice into its own file: a third pairing makes a new History
    _, gone, said = folded(office.saved()["after three"], workshop, pairings=3)
    assert len(gone) == 9, said


@every(
    ("heading", "bare"),
    [
        ("Range from (Hz)", "Range from"),
        ("Range_x000a_from (Hz)", "Range from"),
        ("Price (EUR)", "Price"),
        ("  Low   driver ", "Low driver"),
        ("(dB)", ""),
    ],
)
def test_a_heading_counts_without_its_unit_and_its_line_breaks(heading, bare):
    assert oldruns._bare(heading) == bare


@every(
    ("text", "passed"),
    [
        (b"sum('run 001 checks:mine'!a1)", {"Run 001 checks", "Run 001 parts"}), (b"sum('mine:run 001 checks'!a1)", {"Run 001 checks", "Run 001 parts"}),
        (b"sum('run 001 parts:nowhere'!a1)", set()), (b"sum('nowhere:run 001 parts'!a1)", set()), (b"sum('low:high'!a1)", {"Run 001 checks"}), (b"sum('low:low'!a1)", set()),
        (b"sum(low:mine!a1)+1", {"Run 001 checks", "Run 001 parts"}), (b"'mine'!a1:b2", set()), (b"sum('high:mine'!a1)", {"Run 001 parts"}),
    ],
)  # fmt: skip
def test_a_reference_through_sheets_passes_those_between_its_ends(text, passed):
    """Tabs in order: Low, Run 001 checks, High, Run 001 parts, Mine; of a sheet that is not there nothing is known."""
    readers = object.__new__(oldruns._Readers)
    readers._order = ["low", "run 001 checks", "high", "run 001 parts", "mine"]
    readers._words = {"Run 001 checks": set(), "Run 001 parts": set()}
    assert {name for name, _ in readers._passed_through(text)} == passed
