"""Which tabs, windows and names a package has once a sheet is gone, against a plain list from which one is taken."""

from __future__ import annotations

from io import BytesIO

import openpyxl
import pytest
from openpyxl.chart import BarChart
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.workbook.views import BookView
from openpyxl.worksheet.table import Table

from reportgen.catalogue.package import MAIN, Package
from reportgen.ledger import draft as module
from reportgen.ledger.draft import Draft
from reportgen.ledger.graft import _free_table_names
from reportgen.problems import PackageRefused
from tests.every import every

TABS = ["A", "B", "C", "D"]


def draft(active: int, first: int) -> Draft:
    """Four sheets, each with a name of its own, in a window that shows one of them and begins at another."""
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for name in TABS:
        book.create_sheet(name).defined_names["here"] = DefinedName("here", attr_text=f"{name}!$A$1")
    book.views = [BookView(firstSheet=first)]
    book.active = active
    buffer = BytesIO()
    book.save(buffer)
    return Draft(Package(buffer.getvalue()))


@pytest.mark.parametrize("gone", range(4))
def test_what_counts_tabs_means_the_same_ones_once_one_is_gone(gone: int) -> None:
    left = [name for name in TABS if name != TABS[gone]]
    for shown in range(4):
        made = draft(active=shown, first=shown)
        parts = dict(made.package.sheets())
        made.remove_sheet(parts[TABS[gone]])
        assert [tab.get("name") for tab in made.sheets] == left
        view = made.workbook.find(f"{MAIN}bookViews/{MAIN}workbookView")
        assert view is not None
        # of the sheet that is gone: the one that has moved into its place
        same = gone if shown == gone else left.index(TABS[shown])
        assert (int(view.get("activeTab", "0")), int(view.get("firstSheet", "0"))) == (same, same)
        names = made.workbook.findall(f"{MAIN}definedNames/{MAIN}definedName")
        assert [left[int(name.get("localSheetId", "-1"))] for name in names] == left
        assert [(name.text or "")[0] for name in names] == left
        part = made.append_sheet("E", "visible" if shown % 2 else "hidden")
        assert int(view.get("activeTab", "0")) == (3 if shown == gone and shown % 2 else same)
        *others, tab = made.sheets
        assert tab.get("name") == "E" and part not in {parts[name] for name in left}
        assert int(tab.get("sheetId", "0")) > max(int(one.get("sheetId", "0")) for one in others)
        assert tab.get("state") == (None if shown % 2 else "hidden")


@every(
    ("most", "most_of_a_part", "refused"),
    [(10**9, 10**9, False), (10**9, 3_000, True), (4_000, 10**9, True), (4_000, 3_000, True)],
)
def test_a_package_that_would_not_be_read_again_is_not_made(
    monkeypatch: pytest.MonkeyPatch, most: int, most_of_a_part: int, refused: bool
) -> None:
    """A sheet of 5000 bytes: beyond what a part may have, or beyond what all may have together."""
    monkeypatch.setattr(module, "MOST_BYTES", most)
    monkeypatch.setattr(module, "MOST_PART_BYTES", most_of_a_part)
    made = draft(0, 0)
    made.put(made.append_sheet("E", "visible"), [b"x" * 5000], "application/xml")
    if refused:
        with pytest.raises(PackageRefused) as caught:
            made.finished()
        assert str(caught.value) == (
            f"With the new sheets the workbook would unpack to 0 MiB, more than is ever read again ({most >> 20}), so it stays as it is. "
            "Run again with --keep 3: the result sheets of older runs are then folded away, and nothing is worked out twice."
        )
    else:
        assert bytes(made.finished())


def test_a_sheet_that_goes_makes_room(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the message above tells to do helps: a sheet of 50 000 bytes in a package of some 20 000 beside it."""
    made = draft(0, 0)
    made.put(made.append_sheet("E", "visible"), [b"x" * 50_000], "application/xml")
    made = Draft(Package(bytes(made.finished())))
    monkeypatch.setattr(module, "MOST_BYTES", 40_000)
    with pytest.raises(PackageRefused):
        made.finished()
    made.remove_sheet(dict(made.package.sheets())["E"])
    assert [name for name, _ in Package(bytes(made.finished())).sheets()] == TABS


def test_a_new_part_has_the_lowest_name_and_link_that_are_free() -> None:
    made = draft(0, 0)
    assert made.free_name("xl/worksheets/sheet1.xml") == "xl/worksheets/sheet5.xml"
    assert made.free_name("xl/tables/table7.xml") == "xl/tables/table1.xml"
    made.parts["xl/worksheets/sheet2.xml"] = None  # one that goes
    assert made.free_name("xl/worksheets/sheet1.xml") == "xl/worksheets/sheet2.xml"
    for link in made.links:
        if link.get("Id") == "rId2":
            link.set("Id", "rId41")
    assert made._link("worksheet", "xl/worksheets/sheet9.xml") == "rId42"


def with_tables(*names: str) -> Package:
    """A workbook of a sheet for each name, with a table of that name; the library numbers them from 1."""
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for name in names:
        page = book.create_sheet(f"Sheet {name}")
        page.append(["Head"])
        page.append([1])
        page.add_table(Table(displayName=name, ref="A1:A2"))
    buffer = BytesIO()
    book.save(buffer)
    return Package(buffer.getvalue())


def test_a_table_that_comes_back_keeps_its_number_and_new_ones_get_others() -> None:
    """No two tables of a workbook have one number or one name (ECMA-376 part 1, 18.5.1.2)."""
    made = Draft(with_tables("Mine", "Again", "Last"))
    parts = dict(made.package.sheets())
    for name in ("Again", "Last"):
        made.clear_sheet(parts[f"Sheet {name}"])
    given = _free_table_names(made, with_tables("First", "mine", "Last", "Again"))
    assert given == {"First": ("4", "First"), "mine": ("5", "mine_2"), "Last": ("3", "Last"), "Again": ("2", "Again")}


@pytest.mark.parametrize(
    ("entries", "left"),
    [
        ('<c r="A1" i="1"/><c r="A2"/>', [("A1", "1"), ("A2", None)]),
        ('<c r="A1" i="2"/><c r="A2"/><c r="A3" i="1"/><c r="A4"/>', [("A3", "1"), ("A4", "1")]),
        ('<c r="A1" i="1"/><c r="A2" i="2"/><c r="A3"/><c r="A4" i="3"/>', [("A1", "1"), ("A4", "3")]),
        ('<c r="A1" i="2"/><c r="A2"/>', None),
    ],
    ids=["none of its own", "first", "between", "all"],
)
def test_the_chain_of_formulas_forgets_a_sheet_and_goes_when_it_was_the_last(
    entries: str, left: list[tuple[str, str | None]] | None
) -> None:
    """An entry without a sheet's number has that of the one before it (ECMA-376 part 1, 18.6.1); without any entry there is no chain."""
    made = draft(0, 0)
    made.put(
        "xl/calcChain.xml", [f'<calcChain xmlns="{MAIN[1:-1]}">{entries}</calcChain>'.encode()], "application/chain"
    )
    made._link("calcChain", "xl/calcChain.xml")
    made = Draft(Package(bytes(made.finished())))
    parts = dict(made.package.sheets())
    made.remove_sheet(parts["B"])  # the second: its number is 2
    found = Package(bytes(made.finished()))
    assert ("xl/calcChain.xml" in found) is (left is not None)
    assert any(link.kind == "calcChain" for link in found.relationships(found.main_part)) is (left is not None)
    assert (b"calcChain" in found.read("[Content_Types].xml")) is (left is not None)
    if left is not None:
        assert [(cell.get("r"), cell.get("i")) for cell in found.xml("xl/calcChain.xml")] == left


def test_a_sheet_that_is_a_chart_alone_is_nobodys_to_clear() -> None:
    """Of whatever name: its chart would be lost."""
    book = openpyxl.Workbook()
    book.create_chartsheet("History").add_chart(BarChart())
    buffer = BytesIO()
    book.save(buffer)
    made = Draft(Package(buffer.getvalue()))
    with pytest.raises(PackageRefused) as caught:
        made.clear_sheet(dict(made.package.sheets())["History"])
    assert str(caught.value) == (
        'The sheet "History" holds what was not made here and would be lost when it is written anew: chartsheet. Move that to another sheet, '
        "or rename this one to keep it as it is; a new one is then begun."
    )


def test_a_part_is_named_among_the_types_only_where_its_ending_does_not_tell_it() -> None:
    """XML by its ending, in any letters, is application/xml here; a sheet of that ending is named, and named once."""
    made = draft(0, 0)

    def named() -> list[tuple[str | None, str | None]]:
        return [
            (entry.get("PartName"), entry.get("ContentType"))
            for entry in made.types
            if entry.get("PartName", "").startswith("/x/")
        ]

    made.put("x/a.XML", [b"<a/>"], "application/xml")
    assert named() == []
    for kind in ("sheet", "sheet", "other"):
        made.put("x/b.xml", [b"<b/>"], f"application/{kind}")
    made.put("X/B.xml", [b"<b/>"], "application/last")
    assert named() == [("/x/b.xml", "application/last")]
