"""History and its inputs as sheets: written with the library, read back whatever the operator did to them.

Knows headings, order and what an operator may do: sort, move, hide and add columns, filter, write notes on cells and
rows below the table. All that is read and written again with the next run; colours and formulas of the operator's own
columns are not (a formula stays as its value), nor what stands above the table.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Generator, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from io import BytesIO
from itertools import chain, islice
from typing import Any, Final, cast

import openpyxl
from openpyxl.comments import Comment
from openpyxl.utils import coordinate_to_tuple, get_column_letter
from openpyxl.utils.datetime import from_excel, to_excel
from openpyxl.worksheet.worksheet import Worksheet

from reportgen.catalogue.package import MAIN, Package, parse_xml
from reportgen.catalogue.tables import heading_key
from reportgen.ledger import layout
from reportgen.ledger.archive import Stored
from reportgen.ledger.entries import Entry, History
from reportgen.ledger.layout import Head
from reportgen.ledger.ownrows import NotOurs, own_rows
from reportgen.ledger.stamp import next_run_number
from reportgen.problems import PackageRefused

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
    "changed": Head("What changed", 44, wrap=True),
    "effect": Head("Effect", 38, wrap=True),
    "verdict": Head("Verdict", 16, wrap=True, marked=True),
    "reason": Head("First reason", 38, wrap=True),
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
    "paper": Head("Sheet", 9, "@"),
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

_MOST_COLUMNS: Final = 256
_BLANK_STRETCH: Final = 500
"""So many columns, and so many blank rows, are looked through: one stray format may make a sheet a million rows long."""
_HEAD_WITHIN: Final = 40
"""The head of a table of ours stands in one of so many first rows."""

_LAST_DAY: Final = 2_958_466
"""The day after the last that spreadsheet programs know, 9999-12-31 (ECMA-376 part 1, 18.17.4.1)."""

_WITHOUT_SIGN = {text: word for word, text in layout.SIGNS.items()}


# --- writing ------------------------------------------------------------------------------------------------------


def write_history(page: Worksheet, history: History, title: str, lines: Sequence[str], footer: str, paper: str) -> None:
    """Fill the page with all entries, the operator's own columns and notes, and the loose rows below the table."""
    top = layout.write_title(page, title, lines)
    heads = [*COLUMNS.values(), *(Head(text, 24, wrap=True) for text in history.own_heads)]
    heads = [replace(head, hidden=head.text in history.hidden) for head in heads]
    rows = ([*_values(entry), *(entry.own.get(text) for text in history.own_heads)] for entry in history.entries)
    remarked = [number for number, entry in enumerate(history.entries) if entry.remarks]
    last = layout.write_table(page, top, heads, rows, "RunHistory", long=True, apart=set(remarked))
    layout.set_widths(page, heads)
    for number in remarked:
        for column, head in enumerate(heads, 1):
            if text := history.entries[number].remarks.get(head.text):
                page.cell(top + 1 + number, column).comment = Comment(text, "")
    for row, values in enumerate(history.loose, last + 2):
        for column, head in enumerate(heads, 1):
            layout.put(layout.cell_at(page, row, column), values.get(head.text))
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


@dataclass(frozen=True, slots=True)
class _Found:
    """A sheet of ours: the place in the row of each heading, the rows that hold something, notes by row and place."""

    name: str
    headings: Mapping[int, str]
    rows: Sequence[tuple[int, tuple[Any, ...]]]
    remarks: Mapping[tuple[int, int], str]
    hidden: frozenset[int]


def read_sheets(content: bytes) -> History:
    """The history of a workbook from its package; an empty one where there is none. Errors: PackageRefused."""
    package = Package(content)
    names = [name for name, _ in package.sheets()]
    sheet, found = _ours(package, HISTORY_NAMES, ("Run", "Pairing", "What changed"))
    history = _with_entries(History(), found) if found else History()
    inputs_sheet, found = _ours(package, INPUTS_NAMES, ("Key", "Part", "Values (JSON, SI units)"))
    history = replace(_with_stored(history, found) if found else history, sheet=sheet, inputs_sheet=inputs_sheet)
    return replace(history, next_run=next_run_number(names, (entry.run for entry in history.entries)))


def _ours(package: Package, names: Sequence[str], headings: Sequence[str]) -> tuple[str, _Found | None]:
    """The sheet of ours under one of these names, else the first name that is free."""
    standing = {name.casefold(): (name, part) for name, part in package.sheets()}
    taken = [name for name in names if name.casefold() in standing]
    for name in taken:
        try:
            found = _read(package, *standing[name.casefold()], headings)
        except PackageRefused:
            raise
        except Exception as error:  # the library raises whatever its parts raise when a sheet is damaged
            text = f"The sheet {name} cannot be read ({type(error).__name__}: {str(error)[:200]}). "
            raise PackageRefused(f"{text}Open the workbook in a spreadsheet program and save it anew.") from error
        if found is not None:
            return name, found
    return next((name for name in names if name not in taken), names[-1]), None


def _read(package: Package, name: str, part: str, headings: Sequence[str]) -> _Found | None:
    """The sheet, read row by row; None when it is none of ours."""
    try:
        read = _table(own_rows(package, part), headings)
    except NotOurs:
        read = _table(rows_by_library(package, name), headings)
    if read is None:
        return None
    head, rows = read
    return _Found(name, _headings(head, rows), rows, _remarks(package, part), _hidden(package, part))


def rows_by_library(package: Package, name: str) -> Iterator[tuple[Any, ...]]:
    """The values of a sheet row by row, whoever wrote it; a row ends with its last cell."""
    small = package.bare(lambda title: title == name)  # the workbook may be large, and the library would read all of it
    book = openpyxl.load_workbook(BytesIO(small), read_only=True, data_only=True, keep_links=False)
    sheet = book.worksheets[0]
    sheet.reset_dimensions()  # the stated extent of a sheet is often wrong
    try:
        yield from sheet.iter_rows(values_only=True)
    finally:
        book.close()


def _table(
    values: Iterator[tuple[Any, ...]], headings: Sequence[str]
) -> tuple[tuple[Any, ...], list[tuple[int, tuple[Any, ...]]]] | None:
    """The head of a table and its rows that hold something, with their numbers; None without such a head. A long blank stretch ends it."""
    wanted = {heading_key(text) for text in headings}
    with closing(cast(Generator[tuple[Any, ...], None, None], values)):
        lines = ((number, row[:_MOST_COLUMNS]) for number, row in enumerate(values, 1))
        head = next((line for line in islice(lines, _HEAD_WITHIN) if wanted <= _keys(line[1])), None)
        if head is None:
            return None
        rows = list[tuple[int, tuple[Any, ...]]]()
        last = head[0]
        for number, row in lines:
            if any(value is not None for value in row):
                rows.append((number, row))
                last = number
            elif number - last > _BLANK_STRETCH:
                break
    return head[1], rows


def _keys(row: tuple[Any, ...]) -> set[str]:
    return {heading_key(value) for value in row if isinstance(value, str)}


def _remarks(package: Package, part: str) -> dict[tuple[int, int], str]:
    """The notes on cells, by row and place in it (ECMA-376 part 1, 18.7)."""
    found = dict[tuple[int, int], str]()
    for link in package.relationships(part):
        for comment in package.xml(link.target).iter(f"{MAIN}comment") if link.kind == "comments" else ():
            row, column = coordinate_to_tuple(comment.get("ref", "A1"))
            found[row, column - 1] = "".join(text.text or "" for text in comment.iter(f"{MAIN}t"))
    return found


def _hidden(package: Package, part: str) -> frozenset[int]:
    """The places of hidden columns; the format keeps one element for a span of alike ones."""
    columns = parse_xml(package.without_rows(part), part).iterfind(f"{MAIN}cols/{MAIN}col")
    spans = (
        range(int(one.get("min", "1")) - 1, min(int(one.get("max", "1")), _MOST_COLUMNS))
        for one in columns
        if one.get("hidden", "0") not in ("0", "false", "off")
    )
    return frozenset(chain.from_iterable(spans))


def _headings(head: tuple[Any, ...], rows: Sequence[tuple[int, tuple[Any, ...]]]) -> dict[int, str]:
    """Place in the row -> heading; columns that hold something without a heading are taken for notes."""
    found: dict[int, str] = {}
    ours = {heading_key(column.text): column.text for column in (*COLUMNS.values(), *_INPUT_COLUMNS)}
    for place in range(max([len(head), *(len(row) for _, row in rows)])):
        value = head[place] if place < len(head) else None
        if value is None and not any(place < len(row) and row[place] is not None for _, row in rows):
            continue
        text = "Notes" if value is None else str(value).strip()
        text = ours.get(heading_key(text), text)
        taken = {name.casefold() for name in found.values()}
        names = (text if number == 1 else f"{text} {number}" for number in range(1, _MOST_COLUMNS + 2))
        found[place] = next(name for name in names if name.casefold() not in taken)
    return found


def _values_by_heading(found: _Found, row: tuple[Any, ...]) -> dict[str, Any]:
    return {
        heading: row[place] for place, heading in found.headings.items() if place < len(row) and row[place] is not None
    }


def _with_entries(history: History, found: _Found) -> History:
    ours = {column.text: field for field, column in COLUMNS.items()}
    bounds = tuple(COLUMNS[field].text for field in ("bound_below", "bound_above"))
    earlier = "" if set(bounds) & set(found.headings.values()) else _BOTH_BOUNDS
    own_heads = tuple(text for text in found.headings.values() if text not in (*ours, earlier))
    hidden = frozenset(text for place, text in found.headings.items() if place in found.hidden)
    if earlier in hidden:
        hidden = hidden - {earlier} | set(bounds)
    entries, loose, words = [], [], dict[Any, Any]()
    for number, row in found.rows:
        values = _values_by_heading(found, row)
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
        remarks = {
            heading if heading != earlier else bounds[0]: found.remarks[number, place]
            for place, heading in found.headings.items()
            if (number, place) in found.remarks
        }
        entries.append(Entry(**read, own=own, remarks=remarks))
    return replace(history, entries=tuple(entries), loose=tuple(loose), own_heads=own_heads, hidden=hidden)


def _with_stored(history: History, found: _Found) -> History:
    texts: dict[str, dict[int, str]] = {}
    rows: dict[str, dict[str, Any]] = {}
    for _, row in found.rows:
        values = _values_by_heading(found, row)
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
