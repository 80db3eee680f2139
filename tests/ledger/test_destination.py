"""Where new sheets go: the workbook itself, a new copy, or one that stands there and is about the same."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest

from reportgen.catalogue.records import Catalogue
from reportgen.ledger import destination as module
from reportgen.ledger.destination import destination
from reportgen.problems import ReportgenError
from tests.demo_catalogue import demo
from tests.endtoend.seasons import chosen, small, write_season
from tests.every import every


def season(path: Path, *ids: str, **changes: float) -> Path:
    rows = [{**row, **changes} for row in chosen(*ids)]
    return write_season(path, rows, **small(*chosen("P-01", "P-02", "P-03", "P-04")))


def test_the_workbook_itself_and_a_new_copy(tmp_path: Path) -> None:
    own = season(tmp_path / "season.xlsx", "P-01")
    here, copy = destination(own), destination(own, tmp_path / "copy.xlsx")
    assert (here.path, here.notice, here.content) == (own, "", own.read_bytes())
    assert (copy.path, copy.fingerprint, copy.content) == (tmp_path / "copy.xlsx", None, own.read_bytes())


def test_a_copy_says_in_which_sheets_it_differs(tmp_path: Path) -> None:
    own = season(tmp_path / "season.xlsx", "P-01", "P-03")
    louder = season(tmp_path / "copy.xlsx", "P-01", "P-03", peak_level_db=88)
    found = destination(own, louder)
    assert found.content == louder.read_bytes()
    assert found.notice == (
        "copy.xlsx differs from season.xlsx in Pairings. The new sheets tell of season.xlsx; "
        "what stands in the copy stays as it is."
    )
    grown = openpyxl.load_workbook(own)
    grown.create_sheet("Mine")["A1"] = "by hand"
    grown.save(tmp_path / "grown.xlsx")
    assert destination(own, tmp_path / "grown.xlsx").notice == ""


@pytest.mark.parametrize(("theirs", "shared"), [(("P-01", "P-02"), 1), (("P-02", "P-04"), 0)])
def test_half_of_the_rows_make_a_copy(tmp_path: Path, theirs: tuple[str, ...], shared: int) -> None:
    own = season(tmp_path / "season.xlsx", "P-01", "P-03")
    other = season(tmp_path / "other.xlsx", *theirs)
    if shared:
        assert "differs" in destination(own, other).notice
    else:
        with pytest.raises(ReportgenError) as caught:
            destination(own, other)
        refused = "this file is no copy of season.xlsx, so nothing is written into it. Name another file."
        assert str(caught.value) == f"{other}: {refused} It is about something else: 0 of its 2 rows are the same."
        other.write_bytes(b"no archive")
        with pytest.raises(ReportgenError) as caught:
            destination(own, other)
        assert str(caught.value).startswith(f"{other}: {refused} It cannot be read as one: ")


def about(*ids: str) -> Catalogue:
    """A workbook with these pairings, all of the same drivers."""
    one = demo().pairings["P-01"]
    return replace(demo(), pairings={id_: replace(one, id=id_) for id_ in ids})


@every(
    ("ours", "theirs", "copy"),
    [
        ("abcd", "abxy", True), ("abcd", "axyz", False), ("abcdefgh", "a", True), ("a", "abcdefgh", True), ("abcdefgh", "xa", True),
        ("abcdefgh", "xya", False), ("abc", "axy", False), ("ABCD", "abcd", True), ("abcd", "", False),
    ],
)  # fmt: skip
def test_a_copy_shares_half_of_the_smaller_of_both(
    monkeypatch: pytest.MonkeyPatch, ours: str, theirs: str, copy: bool
) -> None:
    """By count of letters, each a row: two of four will do, one of three will not; many rows added since do not count."""
    read = {"ours.xlsx": about(*ours), "theirs.xlsx": about(*theirs)}
    if not theirs:
        read["theirs.xlsx"] = replace(read["theirs.xlsx"], enquiries={}, low_drivers={}, high_drivers={})
    monkeypatch.setattr(module, "read_catalogue", lambda path: read[path.name])
    monkeypatch.setattr(module, "_parts", lambda content: {content})
    files = Path("ours.xlsx"), b"1", Path("theirs.xlsx"), b"2"
    if copy:
        assert module._compared(*files).startswith("theirs.xlsx differs from ours.xlsx in Pairings. ")
    else:
        with pytest.raises(ReportgenError, match="It is about something else"):
            module._compared(*files)


@every(("theirs", "whole"), [("ab", True), ("abc", True), ("a", False), ("ax", False), ("", False)])
def test_what_holds_every_part_of_the_workbook_is_a_copy_without_being_read(
    monkeypatch: pytest.MonkeyPatch, theirs: str, whole: bool
) -> None:
    """Parts by letters: those of the workbook are a and b; where one is gone or another, its rows are compared."""
    read = {"ours.xlsx": about(*"abcd"), "theirs.xlsx": about(*"abxy")}
    monkeypatch.setattr(module, "read_catalogue", lambda path: read[path.name])
    monkeypatch.setattr(module, "_parts", lambda content: set(content.decode()))
    told = module._compared(Path("ours.xlsx"), b"ab", Path("theirs.xlsx"), theirs.encode())
    assert bool(told) is not whole


def test_a_workbook_is_about_its_pairings_else_its_questions_else_its_drivers() -> None:
    """Other drivers of the same pairing are another subject, a kit of another name is none; IDs count in any letters."""
    base = replace(about("P-01"), low_drivers={"LD-01": demo().low_drivers["LD-01"]}, high_drivers={})
    one = base.pairings["P-01"]
    same = replace(base, pairings={"p-01": replace(one, id="p-01", kit="Other", peak_level_db=80.0)}, enquiries={})
    assert module._subject(base) == module._subject(same) == {("p-01", one.low_id, one.high_id, one.cabinet_id)}
    for field in ("low_id", "high_id", "cabinet_id"):
        assert module._subject(replace(base, pairings={"P-01": replace(one, **{field: "X"})})) != module._subject(base)
    asked = replace(base, pairings={})
    assert asked.enquiries
    assert module._subject(asked) == {(id_.casefold(), each.question or "") for id_, each in asked.enquiries.items()}
    assert module._subject(replace(asked, enquiries={})) == {("ld-01",)}
    both = replace(asked, enquiries={}, high_drivers={"HD-01": demo().high_drivers["HD-01"]})
    assert module._subject(both) == {("ld-01",), ("hd-01",)}


@every(("name", "refused"), [("copy.XLSX", False), ("copy.xlsm", True), ("copy", True), ("copy.csv", True)])
def test_a_copy_ends_as_its_workbook_does_in_any_letters(tmp_path: Path, name: str, refused: bool) -> None:
    own = tmp_path / "season.xlsx"
    own.write_bytes(b"a workbook")
    if refused:
        with pytest.raises(ReportgenError) as caught:
            destination(own, tmp_path / name)
        assert str(caught.value) == (
            f"{name}: a copy of season.xlsx must end in .xlsx too, or spreadsheet programs do not open it. Give it another name."
        )
    else:
        assert destination(own, tmp_path / name).path == tmp_path / name
    with pytest.raises(
        ReportgenError,
        match=rf"\A{tmp_path} is a folder\. Give the copy a file name, such as {tmp_path}/season\.xlsx\.\Z",
    ):
        destination(own, tmp_path)


SHEETS = (
    "Low drivers", "High drivers", "Waveguides", "Cabinets", "Pairings", "Parts", "Enquiries", "Technologies", "Maker", "Practice",
)  # fmt: skip


@every("sheet", SHEETS)
def test_each_sheet_that_differs_is_named(monkeypatch: pytest.MonkeyPatch, sheet: str) -> None:
    """One row taken out of each table in turn, another currency, another rule."""
    own = demo()
    other = {"Maker": {"maker": replace(own.maker, currency="CHF")}}
    rules = dict(list(own.practice.rules.items())[1:])
    other["Practice"] = {"practice": replace(own.practice, rules=rules)}
    field = sheet.lower().replace(" ", "_")
    changed = other.get(sheet) or {field: dict(list(getattr(own, field).items())[1:])}
    read = {"ours.xlsx": own, "theirs.xlsx": replace(own, **changed)}
    monkeypatch.setattr(module, "read_catalogue", lambda path: read[path.name])
    monkeypatch.setattr(module, "_parts", lambda content: {content})
    said = module._compared(Path("ours.xlsx"), b"1", Path("theirs.xlsx"), b"2")
    assert said.startswith(f"theirs.xlsx differs from ours.xlsx in {sheet}. The new sheets tell of ours.xlsx")


def test_a_link_to_the_workbook_is_the_workbook_itself(tmp_path: Path) -> None:
    own = tmp_path / "season.xlsx"
    own.write_bytes(b"a workbook")
    (tmp_path / "link.xlsx").symlink_to(own)
    for into in (tmp_path / "link.xlsx", tmp_path / "." / "season.xlsx", own):
        with pytest.raises(ReportgenError) as caught:
            destination(own, into)
        told = f"{into} is the workbook itself. Leave --into away to write into it, or name another file."
        assert str(caught.value) == told
    (tmp_path / "circle.xlsx").symlink_to(tmp_path / "circle.xlsx")
    with pytest.raises(ReportgenError, match=r"/circle\.xlsx: links lead in a circle there\. Name another file\.\Z"):
        destination(own, tmp_path / "circle.xlsx")
