"""History and its inputs as sheets: written with the library, read back whatever the operator did to them.

Knows headings, order and what each cell holds. Refuses to know how a table is found and what of it is the operator's.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

from openpyxl.utils import get_column_letter
from openpyxl.utils.datetime import from_excel, to_excel
from openpyxl.worksheet.worksheet import Worksheet

from reportgen.catalogue.package import Package
from reportgen.ledger import layout
from reportgen.ledger.archive import Stored
from reportgen.ledger.entries import Entry, History
from reportgen.ledger.growing import Found, Theirs, standing, write_grown
from reportgen.ledger.layout import Head
from reportgen.ledger.stamp import next_run_number

HISTORY_NAMES: Final = ("History", "Run history")
INPUTS_NAMES: Final = ("History inputs", "Run history inputs")
"""Names of both sheets; the second where the operator has a sheet of the first name."""

_DATE, _MOMENT, _HZ, _MONEY = "yyyy-mm-dd", "yyyy-mm-dd hh:mm", "0", "#,##0.00"
COLUMNS: Final[Mapping[str, Head]] = {
    "run": Head("Run", 7, "0", centred=True),
    "when": Head("Date", 16, _MOMENT, centred=True),
    "pairing_id": Head("Pairing", 11, "@", strong=True),
    "kit": Head("Kit", 15, wrap=True),
    "season": Head("Season", 13, wrap=True),
    "event": Head("Event", 11, wrap=True),
    "changed": Head("What changed", 40, wrap=True),
    "effect": Head("Effect", 34, wrap=True),
    "verdict": Head("Verdict", 16, wrap=True, marked=True),
    "reason": Head("First reason", 36, wrap=True),
    "low_hz": Head("Range from (Hz)", 11, _HZ),
    "high_hz": Head("Range to (Hz)", 11, _HZ),
    "crossover_hz": Head("Crossover (Hz)", 12, _HZ),
    "bound_below": Head("Bound from below by", 14, wrap=True),
    "bound_above": Head("Bound from above by", 14, wrap=True),
    "price": Head("Price", 10, _MONEY),
    "currency": Head("Currency", 11, centred=True),
    "decision": Head("Decision", 12, centred=True),
    "decided_by": Head("Decided by", 12, wrap=True),
    "decided_on": Head("Decided on", 13, _DATE, centred=True),
    "decided_why": Head("Why", 26, wrap=True),
    "operator": Head("Run by", 11, wrap=True),
    "program_version": Head("Program", 11, centred=True),
    "workbook": Head("Workbook", 18, wrap=True),
    "inputs": Head("Inputs", 15, "@"),
    "revision": Head("Revision", 9, "0", centred=True),
    "paper": Head("Sheet", 18, "@"),
}
"""Field of an entry -> its column."""
_BOTH_BOUNDS: Final = "Bound by"
"""What both columns of bounds were in earlier sheets: one, with a stroke between them."""

_INPUT_COLUMNS: Final = (
    Head("Key", 24, "@"), Head("Part", 8, centred=True), Head("What", 15), Head("Whose", 26, wrap=True, strong=True),
    Head("Since run", 9, "0", centred=True), Head("In words", 110, wrap=True), Head("Values (JSON, SI units)", 60),
)  # fmt: skip
_PART_LENGTH: Final = 16_000
"""Characters of a text in one cell: half of what a cell holds, should each count double (UTF-16)."""

_LAST_DAY: Final = 2_958_466
"""The day after the last that spreadsheet programs know, 9999-12-31 (ECMA-376 part 1, 18.17.4.1)."""

_WITHOUT_SIGN = {text: word for word, text in layout.SIGNS.items()}


# --- writing ------------------------------------------------------------------------------------------------------


def write_history(page: Worksheet, history: History, title: str, lines: Sequence[str], footer: str, paper: str) -> None:
    """Fill the page with all entries, the operator's own columns and notes, and the loose rows below the table."""
    top = layout.write_title(page, title, lines)
    rows = ([*_values(entry), *(entry.own.get(text) for text in history.own_heads)] for entry in history.entries)
    notes = [entry.remarks for entry in history.entries]
    theirs = Theirs(history.own_heads, notes, history.loose, history.hidden)
    heads = write_grown(page, top, [*COLUMNS.values()], rows, theirs, "RunHistory", long=True)
    layout.set_up(page, top, heads, 3, footer, paper, "553377")


def _values(entry: Entry) -> list[Any]:
    values = {field: getattr(entry, field) for field in COLUMNS}
    values["verdict"] = layout.SIGNS.get(entry.verdict, entry.verdict)
    return [None if value == "" else value for value in values.values()]


def write_inputs(page: Worksheet, history: History, title: str, lines: Sequence[str], footer: str, paper: str) -> None:
    """Fill the page with every stored record, long ones in several rows; the last column is left out of the print."""
    page.sheet_state = "hidden"  # for the program: who wants to see it can show it
    top = layout.write_title(page, title, lines)
    rows = (
        [one.key, part, one.kind, one.owner, history.since.get(one.key), one.words, text]
        for one in history.stored.values()
        for part, text in _in_parts(one.text)
    )
    last = layout.write_table(page, top, _INPUT_COLUMNS, rows, "RunInputs", long=True)
    layout.set_widths(page, _INPUT_COLUMNS)
    layout.set_up(page, top, _INPUT_COLUMNS[:-1], 2, footer, paper, "553377")
    page.print_area = f"A1:{get_column_letter(len(_INPUT_COLUMNS) - 1)}{last}"


def _in_parts(text: str) -> Iterator[tuple[str, str]]:
    safe = text.replace("_x", "\\u005fx")  # spreadsheet programs take _x0041_ for a character; JSON knows both
    count = -(-len(safe) // _PART_LENGTH)
    for number in range(count):
        yield f"{number + 1} of {count}", safe[number * _PART_LENGTH : (number + 1) * _PART_LENGTH]


# --- reading ------------------------------------------------------------------------------------------------------


def read_sheets(content: bytes, named: Sequence[str] = HISTORY_NAMES) -> History:
    """The history of a workbook from its package, in a sheet that is `named` so; an empty one where there is none. Errors: PackageRefused."""
    package = Package(content)
    names = [name for name, _ in package.sheets()]
    sheet, found = _standing(package, named, ("Run", "Pairing", "What changed"))
    history = _with_entries(History(), found) if found else History()
    inputs_sheet, found = _standing(package, INPUTS_NAMES, ("Key", "Part", "Values (JSON, SI units)"))
    history = replace(_with_stored(history, found) if found else history, sheet=sheet, inputs_sheet=inputs_sheet)
    return replace(history, next_run=next_run_number(names, (entry.run for entry in history.entries)))


def _standing(package: Package, names: Sequence[str], headings: Sequence[str]) -> tuple[str, Found | None]:
    sheet, found = standing(package, names, headings, (*COLUMNS.values(), *_INPUT_COLUMNS))
    return sheet or names[-1], found


def _with_entries(history: History, found: Found) -> History:
    ours = {column.text: field for field, column in COLUMNS.items()}
    bounds = tuple(COLUMNS[field].text for field in ("bound_below", "bound_above"))
    earlier = "" if set(bounds) & set(found.headings.values()) else _BOTH_BOUNDS
    own_heads = tuple(text for text in found.headings.values() if text not in (*ours, earlier))
    hidden = found.hidden_headings
    if earlier in hidden:
        hidden = hidden - {earlier} | set(bounds)
    entries, loose, words = [], [], dict[Any, Any]()
    for number, row in found.rows:
        values = found.values(row)
        run, pairing = _whole(values.get("Run")), _text(values.get("Pairing"))
        if run is None or not pairing:
            loose.append(values)
            continue
        given = {ours[text]: value for text, value in values.items() if text in ours}
        if (both := values.pop(earlier, None)) is not None:
            given["bound_below"], _, given["bound_above"] = str(both).partition(" / ")
        own = {text: value for text, value in values.items() if text not in ours}
        read = {field: _reader(field)(given.get(field)) for field in COLUMNS}
        read["verdict"] = _WITHOUT_SIGN.get(read["verdict"], read["verdict"])
        read = {
            field: words.setdefault(value, value) if isinstance(value, str) else value for field, value in read.items()
        }
        remarks = {bounds[0] if text == earlier else text: note for text, note in found.notes(number).items()}
        entries.append(Entry(**read, own=own, remarks=remarks))
    return replace(history, entries=tuple(entries), loose=tuple(loose), own_heads=own_heads, hidden=hidden)


def _with_stored(history: History, found: Found) -> History:
    texts: dict[str, dict[int, str]] = {}
    rows: dict[str, dict[str, Any]] = {}
    for _, row in found.rows:
        values = found.values(row)
        key, part = _text(values.get("Key")), re.match(r"(\d+) of \d+", _text(values.get("Part")))
        if key and part:
            texts.setdefault(key, {})[int(part[1])] = str(values.pop("Values (JSON, SI units)", ""))
            rows[key] = values
    stored = {}
    for key, row_of_key in rows.items():
        text = "".join(part for _, part in sorted(texts[key].items()))
        what, whose, words = (_text(row_of_key.get(name)) for name in ("What", "Whose", "In words"))
        stored[key] = Stored(key, what, whose, words, text)
    since = {key: _whole(row_of_key.get("Since run")) or 0 for key, row_of_key in rows.items()}
    return replace(history, stored=stored, since=since)


def _text(value: Any) -> str:
    return "" if value is None else str(value).strip()


def _text_or_none(value: Any) -> str | None:
    return _text(value) or None


def _number(value: Any) -> float | None:
    """A number, also where the operator's cell format made a date of it."""
    if isinstance(value, dt.date):
        value = to_excel(value)  # type: ignore[no-untyped-call] # the stubs leave it open
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def _whole(value: Any) -> int | None:
    number = _number(value)
    if number is None and isinstance(value, str) and value.strip().isdecimal():
        number = float(value)
    return int(number) if number is not None and number == int(number) and number > 0 else None


def _moment(value: Any) -> dt.datetime | None:
    """A date with its time, also where the operator's cell format made a number of it."""
    if isinstance(value, int | float) and not isinstance(value, bool) and 1.0 <= value < _LAST_DAY:
        value = from_excel(value)
    if isinstance(value, dt.datetime):
        return value
    return dt.datetime.combine(value, dt.time()) if isinstance(value, dt.date) else None


def _day(value: Any) -> dt.date | None:
    moment = _moment(value)
    return moment.date() if moment else None


_READERS: Final[Mapping[str, Callable[[Any], Any]]] = {
    "run": _whole, "revision": _whole, "when": _moment, "kit": _text_or_none, "season": _text_or_none, "low_hz": _number, "high_hz": _number,
    "crossover_hz": _number, "price": _number, "decided_by": _text_or_none, "decided_on": _day,
    "decided_why": _text_or_none,
}  # fmt: skip


def _reader(field: str) -> Callable[[Any], Any]:
    return _READERS.get(field, _text)
