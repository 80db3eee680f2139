"""History read back from what an operator, or another program, made of its cells: every value worked out by hand."""

from __future__ import annotations

import datetime as dt
import json
import zipfile
from io import BytesIO
from typing import Any

import openpyxl
import pytest

from reportgen.catalogue.package import Package
from reportgen.ledger import growing, historysheet
from reportgen.ledger.entries import Entry, History
from reportgen.ledger.growing import Found
from reportgen.ledger.historysheet import COLUMNS
from reportgen.problems import PackageRefused
from tests.every import every

DAY, MOMENT = dt.date(2026, 10, 12), dt.datetime(2026, 10, 12, 14, 20)
SERIAL = 46307.0
"""12 October 2026 in days of a spreadsheet program: 46 023 is 1 January 2026 (ECMA-376 part 1, 18.17.4.1), 284 days on."""
NO_DATE, NO_NUMBER = "soon", "a few"


@every(
    ("fields", "given", "read"),
    [
        (("run", "revision"), 7, 7), (("run", "revision"), 7.0, 7), (("run", "revision"), " 7 ", 7), (("run", "revision"), 7.5, None),
        (("run", "revision"), 0, None), (("run", "revision"), -3, None), (("run", "revision"), True, None),
        (("run", "revision"), "7.5", None), (("run", "revision"), None, None), (("run", "revision"), dt.datetime(1900, 1, 7), 7),
        (("low_hz", "high_hz", "crossover_hz", "price"), 2450.5, 2450.5), (("low_hz", "price"), 0, 0.0),
        (("low_hz", "high_hz", "crossover_hz", "price"), MOMENT, SERIAL + (14 + 20 / 60) / 24),
        (("low_hz", "high_hz", "crossover_hz", "price"), NO_NUMBER, None), (("low_hz", "price"), False, None),
        (("when",), MOMENT, MOMENT), (("when",), DAY, dt.datetime(2026, 10, 12)), (("when",), SERIAL, dt.datetime(2026, 10, 12)),
        (("when",), SERIAL + 0.5, dt.datetime(2026, 10, 12, 12)), (("when",), NO_DATE, None), (("when",), True, None),
        (("when",), 2_958_465.0, dt.datetime(9999, 12, 31)), (("when",), 2_958_466.0, None), (("when",), 0.25, None),
        (("decided_on",), MOMENT, DAY), (("decided_on",), DAY, DAY), (("decided_on",), SERIAL, DAY), (("decided_on",), NO_DATE, None),
        (("kit", "season", "decided_by", "decided_why"), " Reed ", "Reed"), (("kit", "season", "decided_by", "decided_why"), "  ", None),
        (("kit", "season", "decided_by", "decided_why"), 2027, "2027"), (("kit", "season", "decided_by", "decided_why"), None, None),
        (("pairing_id", "event", "changed", "effect", "verdict", "reason", "bound_below", "bound_above", "currency"), None, ""),
        (("decision", "operator", "program_version", "workbook", "inputs", "paper"), None, ""),
        (("inputs", "workbook", "reason"), " x ", "x"), (("inputs",), 12, "12"),
    ],
)  # fmt: skip
def test_a_cell_is_read_as_what_its_column_holds(fields: tuple[str, ...], given: Any, read: Any) -> None:
    for field in fields:
        found = historysheet._reader(field)(given)
        assert found == (pytest.approx(read) if isinstance(read, float) else read) and type(found) is type(read), field


def found(headings: list[str], *rows: tuple[Any, ...], hidden: frozenset[int] = frozenset()) -> Found:
    """A sheet whose head is row 6, as read."""
    remarks = {(7, 1): "a note", (8, 2): "another"}
    return Found("History", dict(enumerate(headings)), [*enumerate(rows, 7)], remarks, hidden)


def test_rows_of_history_are_read_by_their_headings_wherever_these_stand() -> None:
    """Own columns between ours, one hidden, and two rows that are none: without a run, and without a pairing."""
    read = historysheet._with_entries(
        History(),
        found(
            ["Mine", "Pairing", "Run", "Verdict", "Price", "More"],
            ("seen", "P-01", 3, "✓ suitable", 12.5, None),
            (None, "P-02", "2", "undecided", None, "text"),
            ("loose", "P-03", None, None, None, None),
            (None, None, 4, None, None, "below"),
            hidden=frozenset({0, 4}),
        ),
    )
    assert read.own_heads == ("Mine", "More") and read.hidden == {"Mine", "Price"}
    assert read.entries == (
        Entry(run=3, pairing_id="P-01", verdict="suitable", price=12.5, own={"Mine": "seen"}, remarks={"Pairing": "a note"}),
        Entry(run=2, pairing_id="P-02", verdict="undecided", own={"More": "text"}, remarks={"Run": "another"}),
    )  # fmt: skip
    assert read.loose == ({"Mine": "loose", "Pairing": "P-03"}, {"Run": 4, "More": "below"})


def test_both_bounds_of_an_earlier_sheet_hide_and_are_noted_together() -> None:
    read = historysheet._with_entries(
        History(),
        found(["Run", "Bound by", "Pairing"], (1, "Travel / Lobing", "P-01"), (2, "Travel", "P-01"), hidden=frozenset({1})),
    )  # fmt: skip
    assert [(one.bound_below, one.bound_above) for one in read.entries] == [("Travel", "Lobing"), ("Travel", "")]
    assert read.hidden == {"Bound from below by", "Bound from above by"} and read.own_heads == ()
    assert [dict(one.remarks) for one in read.entries] == [{"Bound from below by": "a note"}, {"Pairing": "another"}]


def test_the_parts_of_a_record_are_joined_in_their_own_order() -> None:
    """Eleven parts of one record and one of another, sorted from last to first as text: 9, 8 ... 2, 11, 10, 1."""
    heads = ["Key", "Part", "What", "Whose", "Since run", "In words", "Values (JSON, SI units)"]
    long = [
        ("k" * 20, f"{number} of 11", "Measured curve", "a.txt", 3, "words", f"<{number}>") for number in range(1, 12)
    ]
    other = ("q" * 20, "1 of 1", "Maker", "maker", None, "more", "{}")
    wrong = [("x" * 20, "one", "Maker", "maker", 1, "", "{}"), (None, "1 of 1", "Maker", "maker", 1, "", "{}")]
    rows = sorted([*long, other], key=lambda row: row[1], reverse=True)
    read = historysheet._with_stored(History(), found(heads, *rows, *wrong))
    assert {key: (one.key, one.kind, one.owner, one.words, one.text) for key, one in read.stored.items()} == {
        "k" * 20: ("k" * 20, "Measured curve", "a.txt", "words", "".join(f"<{number}>" for number in range(1, 12))),
        "q" * 20: ("q" * 20, "Maker", "maker", "more", "{}"),
    }
    assert dict(read.since) == {"k" * 20: 3, "q" * 20: 0}


@every(
    ("head", "row", "headings"),
    [
        (("Run", "Pairing", None), (1, "P-01", None), {0: "Run", 1: "Pairing"}),
        (("run ", "PAIRING"), (1, "P-01", "mine"), {0: "Run", 1: "Pairing", 2: "Notes"}),
        (("Run", None, None), (1, "a", "b"), {0: "Run", 1: "Notes", 2: "Notes 2"}),
        (("Run", "Own", "own", "Own"), (1, 2, 3, 4), {0: "Run", 1: "Own", 2: "own 2", 3: "Own 3"}),
        (("Run", 2026, None, "Last"), (1, 2, None, 3), {0: "Run", 1: "2026", 3: "Last"}),
    ],
)
def test_headings_are_ours_however_they_are_written_and_never_stand_twice(
    head: tuple[Any, ...], row: tuple[Any, ...], headings: dict[int, str]
) -> None:
    assert growing._headings(head, [(7, row)], [*COLUMNS.values()]) == headings


def test_a_table_is_found_in_its_first_rows_and_ended_by_a_long_blank_stretch() -> None:
    head, blank = ("Run", "Pairing"), (None, None)

    def table(before: int, *stretches: int) -> list[int] | None:
        rows = [*[blank] * before, head]
        for stretch in stretches:
            rows += [*[blank] * stretch, (1, "P-01")]
        read = growing._table((row for row in rows), ("run", "Pairing"))
        return None if read is None else [number for number, _ in read[1]]

    assert table(0, 0, 0) == [2, 3] and table(39, 0) == [41] and table(40, 0) is None
    assert table(0, 500, 0) == [502, 503] and table(0, 0, 501) == [2] and table(0, 300, 300) == [302, 603]


def test_every_column_has_a_field_and_a_heading_of_its_own() -> None:
    assert len({head.text for head in COLUMNS.values()}) == len(COLUMNS)
    assert set(COLUMNS) | {"own", "remarks"} == set(Entry.__dataclass_fields__)


@every("text", ['"_x0041_"', '{"_x":"a_x000D_b"}', '"_X0041_"', '["_", "x_", "__x"]'])
def test_what_programs_would_take_for_a_character_is_written_otherwise(text: str) -> None:
    """`_x0041_` stands for A in a cell (ECMA-376 part 1, 22.9.2.19); JSON has another word for a low line, and it reads the same."""
    ((name, written),) = historysheet._in_parts(text)
    assert name == "1 of 1" and "_x" not in written and json.loads(written) == json.loads(text)


@every(("said", "hidden"), [("1", True), ("true", True), ("on", True), ("0", False), ("false", False), ("off", False)])
def test_hidden_columns_stay_hidden_however_a_program_says_it(said: str, hidden: bool) -> None:
    """One element for a span of alike ones: C to E, and beside them one that shows; beyond what is read nothing counts."""
    span = f'<cols><col min="2" max="2" width="9"/><col min="3" max="5" width="9" hidden="{said}"/><col min="250" max="16384" hidden="1"/></cols>'
    book = openpyxl.Workbook()
    book.worksheets[0]["A1"] = "Run"
    buffer, changed = BytesIO(), BytesIO()
    book.save(buffer)
    with zipfile.ZipFile(buffer) as old, zipfile.ZipFile(changed, "w") as new:
        for name in old.namelist():
            text = old.read(name)
            new.writestr(
                name, text.replace(b"<sheetData>", span.encode() + b"<sheetData>") if "sheet1" in name else text
            )
    package = Package(changed.getvalue())
    (part,) = (part for _, part in package.sheets())
    assert growing._hidden(package, part) == {*({2, 3, 4} if hidden else ()), *range(249, 256)}


@every(
    ("own", "ours"),
    [
        (("Mine",), ("History", "History inputs")), (("HISTORY",), ("Run history", "History inputs")),
        (("history inputs",), ("History", "Run history inputs")), (("History", "History inputs"), ("Run history", "Run history inputs")),
    ],
)  # fmt: skip
def test_a_sheet_of_the_operators_of_either_name_is_left_alone(own: tuple[str, ...], ours: tuple[str, str]) -> None:
    """What is written anew with every run must never be somebody else's sheet."""
    book = openpyxl.Workbook()
    for name in own:
        book.create_sheet(name).append(["Key", "mine"])
    buffer = BytesIO()
    book.save(buffer)
    read = historysheet.read_sheets(buffer.getvalue())
    assert (read.sheet, read.inputs_sheet) == ours


def test_a_sheet_of_ours_that_cannot_be_read_is_said_with_what_stood_in_the_way(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Both names taken by sheets that are none of ours: the second is taken all the same, for the first is the operator's."""
    book = openpyxl.Workbook()
    for name in ("history", "Run history inputs"):
        book.create_sheet(name)["A1"] = "mine"
    buffer = BytesIO()
    book.save(buffer)
    read = historysheet.read_sheets(buffer.getvalue())
    assert (read.sheet, read.inputs_sheet, read.entries, read.next_run) == ("Run history", "History inputs", (), 1)

    def broken(*_: Any) -> None:
        raise KeyError("x" * 300)

    monkeypatch.setattr(growing, "_read", broken)
    with pytest.raises(PackageRefused) as caught:
        historysheet.read_sheets(buffer.getvalue())
    assert str(caught.value) == (
        f"The sheet History cannot be read (KeyError: '{'x' * 199}). Open the workbook in a spreadsheet program and save it anew."
    )
