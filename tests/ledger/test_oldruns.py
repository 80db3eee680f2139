"""Result sheets of old runs go away without a trace, and only where nobody wrote on them or refers to them."""

from __future__ import annotations

import io
import shutil
import subprocess
from pathlib import Path

import openpyxl
import pytest
from lxml import etree
from openpyxl.comments import Comment
from openpyxl.utils import get_column_letter

from reportgen.ledger import oldruns, sheets
from reportgen.ledger.history import SHEETS, read_history
from reportgen.ledger.oldruns import old_result_sheets
from tests.ledger import runs
from tests.ledger.grafting import graft

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"

pytestmark = pytest.mark.filterwarnings("ignore::UserWarning:openpyxl")


def three_runs(content: bytes) -> bytes:
    for _ in range(3):
        content = runs.after_run(content, runs.season()[:2])
    return content


@pytest.fixture(scope="module")
def rich(rich_workbook: bytes) -> bytes:
    """A workbook with everything that libraries lose, after three runs."""
    return three_runs(rich_workbook)


def folded(content: bytes, workshop, keep: int = 1, pairings: int = 2) -> tuple[bytes, set[str], str]:
    """After the next run with `--keep`: the package, the sheets that went, what is said of others.

    Two pairings are those of the runs before: History has nothing new and stays as it stands.
    """
    before = read_history(content)
    made = runs.stamp(before.next_run)
    old = old_result_sheets(content, keep, made.number)
    additions = sheets.result_sheets(runs.results(*runs.season()[:pairings]), (), made, {}, before)
    result = graft(content, additions, SHEETS, old.gone)
    workshop.soundness(result)
    return result, set(old.gone), " ".join(old.notices)


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


def _formula(text: str):
    return lambda book: book["Low drivers"].__setitem__("K7", text)


def _named(text: str):
    def change(book):
        book.defined_names["Mine"] = openpyxl.workbook.defined_name.DefinedName("Mine", attr_text=text)

    return change


def _chart(book):
    chart = openpyxl.chart.BarChart()
    chart.add_data(openpyxl.chart.Reference(book["Run 001 parts"], min_col=7, min_row=6, max_row=9))
    book["Low drivers"].add_chart(chart, "H9")


def _link(book):
    cell = book["Low drivers"]["K7"]
    cell.value = "see there"
    cell.hyperlink = openpyxl.worksheet.hyperlink.Hyperlink(ref="K7", location="'Run 001 parts'!A1")


def _validation(book):
    rule = openpyxl.worksheet.datavalidation.DataValidation(type="list", formula1="'Run 001 parts'!$A$6:$A$9")
    rule.add("K7")
    book["Low drivers"].add_data_validation(rule)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (_formula("=SUM('Run 001 parts'!G6:G9)"), "Run 001 parts stays: Low drivers!K7 refers to it."),
        (_formula("=SUM(Run001Parts[Value])"), "Low drivers!K7 refers to it"),
        (_named("'Run 001 parts'!$G$6"), "the name “Mine” refers to it"),
        (_chart, "a chart on the sheet “Low drivers” refers to it"),
        (_link, "the sheet “Low drivers” refers to it"),
        (_validation, "the sheet “Low drivers” refers to it"),
        (lambda book: book["Run 001 parts"].__setitem__("B90", "mine"), "something was written into its cell B90"),
        (lambda book: book["Run 001 parts"].__setitem__("C1", "mine"), "something was written into its cell C1"),
        (lambda book: book["Run 001 parts"].__setitem__("G7", "=1+1"), "it holds a formula that no run made"),
        (
            lambda book: setattr(book["Run 001 parts"]["A6"], "comment", Comment("look", "me")),
            "notes were written on it",
        ),
        (lambda book: book["Run 001 parts"].add_chart(openpyxl.chart.BarChart(), "B99"), "a drawing that no run made"),
    ],
)
def test_a_sheet_that_somebody_relies_on_stays_and_that_is_said(rich, workshop, change, said):
    content = by_hand(rich, change)
    result, gone, sentence = folded(content, workshop)
    assert said in sentence
    assert "Run 001 parts" not in gone
    assert "Run 002 parts" in gone
    assert "Run 001 parts" in openpyxl.load_workbook(io.BytesIO(result), read_only=True).sheetnames


def test_a_sheet_that_a_staying_sheet_leads_to_stays_too(rich, workshop):
    """The rows of a summary lead to the checks of their run."""
    _, gone, said = folded(by_hand(rich, _formula("='Run 001 summary'!D6")), workshop)
    assert gone == {f"Run 00{number} {kind}" for number in (2, 3) for kind in ("summary", "checks", "parts")} | {
        "Run 001 parts"
    }
    assert "Run 001 summary stays: Low drivers!K7 refers to it." in said
    assert "Run 001 checks stays: the sheet “Run 001 summary” refers to it." in said


def test_a_sheet_in_the_middle_of_a_reference_through_sheets_stays(rich, workshop):
    """The tabs stand in the order of the runs: from the parts of the first to those of the third."""
    _, gone, _ = folded(by_hand(rich, _formula("=SUM('Run 001 parts:Run 003 summary'!G7)")), workshop)
    assert "Run 002 checks" not in gone
    assert {"Run 001 checks", "Run 003 parts"} <= gone


def test_words_are_no_reference(rich, workshop):
    content = by_hand(rich, _formula("In Run 001 parts! the price of C1 was 3; Run001Parts"))
    assert len(folded(content, workshop)[1]) == 9


def test_an_added_column_keeps_its_sheet(rich, workshop):
    def widen(book):
        page = book["Run 001 parts"]
        table = page.tables["Run001Parts"]
        first, last = table.ref.split(":")
        letter = "".join(filter(str.isalpha, last))
        wider = get_column_letter(openpyxl.utils.column_index_from_string(letter) + 1)
        page[f"{wider}{table.ref.split(':')[0][1:]}"] = "Ordered"
        table.ref = f"{first}:{wider}{last[len(letter) :]}"
        table.tableColumns.append(openpyxl.worksheet.table.TableColumn(id=99, name="Ordered"))
        table.autoFilter.ref = table.ref

    assert "it has a column “Ordered” that no run made" in folded(by_hand(rich, widen), workshop)[2]


def test_a_sheet_of_the_operators_own_with_such_a_name_stays(workshop, rich):
    content = by_hand(rich, lambda book: book.create_sheet("Run 1 checks").append(["mine"]))
    _, gone, said = folded(content, workshop)
    assert "Run 1 checks stays: its table is not the one that the run made." in said
    assert len(gone) == 9


@pytest.mark.parametrize(
    ("mark", "with_this", "said"),
    [
        (b"<sheets>", b'<workbookProtection lockStructure="1"/><sheets>', "the structure of the workbook is protected"),
    ],
)
def test_a_protected_structure_keeps_all(rich, workshop, mark, with_this, said):
    parts = workshop.parts_of(rich)
    parts["xl/workbook.xml"] = parts["xl/workbook.xml"].replace(mark, with_this)
    _, gone, sentence = folded(workshop.packed(parts), workshop)
    assert not gone
    assert said in sentence


def test_a_workbook_with_macros_keeps_all(hand_made, workshop):
    _, gone, said = folded(three_runs(hand_made()), workshop)
    assert not gone
    assert "has macros, which may use them" in said


def test_libreoffice_opens_the_result_and_its_own_files_can_be_folded(rich, workshop, tmp_path: Path):
    office = shutil.which("soffice")
    assert office, "LibreOffice is needed: .ci/setup test installs it"
    result, _, _ = folded(rich, workshop, keep=2)
    (tmp_path / "folded.xlsx").write_bytes(result)
    (tmp_path / "before.xlsx").write_bytes(rich)
    subprocess.run(
        [
            office, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to", "xlsx",
            "--outdir", str(tmp_path / "saved"), str(tmp_path / "folded.xlsx"), str(tmp_path / "before.xlsx"),
        ],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    saved = openpyxl.load_workbook(tmp_path / "saved" / "folded.xlsx")
    assert saved.sheetnames == openpyxl.load_workbook(io.BytesIO(result)).sheetnames
    # LibreOffice writes the titles of History twice into its own file: a third pairing makes a new History
    _, gone, said = folded((tmp_path / "saved" / "before.xlsx").read_bytes(), workshop, pairings=3)
    assert len(gone) == 9, said


@pytest.mark.parametrize(
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


@pytest.mark.parametrize(
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
