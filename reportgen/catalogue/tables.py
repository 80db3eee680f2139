"""One sheet: from its grid to records, with a problem for every cell that cannot be used.

Knows headings, required cells, duplicate IDs and where each value stands. Refuses to know what one sheet
says about another.
"""

from __future__ import annotations

import dataclasses
import math
import re
import statistics
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from openpyxl.utils import get_column_letter

from reportgen.catalogue import cells, columns, grids, records
from reportgen.catalogue.cells import CellUnusableError
from reportgen.catalogue.columns import QUANTITY_OF, Column, Sheet
from reportgen.catalogue.grids import Covered, Grid, Value
from reportgen.catalogue.records import Origin, Record
from reportgen.problems import Problem

RECORDS: Mapping[str, type[Record]] = {
    "Low drivers": records.LowDriver,
    "High drivers": records.HighDriver,
    "Waveguides": records.Waveguide,
    "Cabinets": records.Cabinet,
    "Pairings": records.Pairing,
    "Parts": records.StockPart,
    "Enquiries": records.Enquiry,
    "Technologies": records.Technology,
    "Maker": records.Maker,
    "Practice": records.Rule,
}
"""The record that a row of each sheet becomes."""


ONLY_ROW = "maker"
"""ID of the one row of a sheet without IDs: its usable cells count even when others do not."""


@dataclass(slots=True)
class Table:
    """What one sheet holds: usable records by ID, rows that cannot be used with their errors, all problems."""

    sheet: Sheet
    records: dict[str, Record] = field(default_factory=dict)
    spoiled: dict[str, dict[Problem, None]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    _ids: dict[str, str] = field(default_factory=dict)

    def add(self, record: Record) -> None:
        """Take `record` into use."""
        self.records[record.id] = record
        self._ids[cells.id_key(record.id)] = record.id

    def bar(self, record_id: str, errors: Iterable[Problem]) -> None:
        """Keep the row called `record_id` out of use because of `errors`."""
        self.records.pop(record_id, None)
        self._ids.setdefault(cells.id_key(record_id), record_id)
        self.spoiled.setdefault(record_id, {}).update(dict.fromkeys(errors))

    def spoil(self, record: Record, problem: Problem, inherited: Iterable[Problem] = ()) -> None:
        """Report `problem` and take `record` out of use because of it and of those it stems from."""
        self.problems.append(problem)
        self.bar(record.id, (problem, *inherited))

    def cost(self, record: Record, problem: Problem) -> None:
        """Report `problem` with a cell of `record` and take out of use what cannot do without it: the cell alone, or the row."""
        column, kept = self.sheet.headed(problem.heading), self.records.get(record.id)
        if (
            kept is None
            or column is None
            or getattr(kept, column.field) is None
            or not costs_itself(self.sheet, column)
        ):
            self.spoil(record, problem)
        else:
            self.problems.append(problem)
            self.lose(kept, column.field)

    def lose(self, record: Record, *fields: str) -> None:
        """Take cells of `record` out of use; what rests on their values is not known then."""
        usual: dict[str, Any] = {one.name: one.default for one in dataclasses.fields(record) if one.name in fields}
        unread = tuple(dict.fromkeys((*(record.unread or ()), *fields)))
        self.records[record.id] = replace(record, **usual, unread=unread)

    def call(self, record_id: str, name: str) -> None:
        """Let `name` mean the row `record_id` as well, unless it is the ID of a row itself."""
        self._ids.setdefault(cells.id_key(name), record_id)

    def find(self, name: str) -> str | None:
        """The ID, usable or not, that `name` means, whatever its case and spacing; None when none does."""
        return self._ids.get(cells.id_key(name))

    @property
    def ids(self) -> Iterable[str]:
        """Every ID of the sheet, usable or not."""
        return dict.fromkeys(self._ids.values())


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a column stands in the grid, and the unit its heading names; `refused` says why it fits none."""

    column: Column
    index: int
    letter: str
    unit: str
    refused: Problem | None = None


@dataclass(slots=True)
class _Draft:
    """A row on its way to a record."""

    key: str
    origin: Origin
    values: dict[str, Any] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    costs: list[tuple[Column, Problem]] = field(default_factory=list)
    """Every error of the row with the column that it costs; one that concerns several rows is listed elsewhere, once."""

    def add(self, column: Column, found: str, expected: str, mend: str = "", notice: bool = False) -> None:
        cell = self.origin.cells.get(column.field, str(self.origin.row))
        problem = Problem(self.origin.sheet, cell, column.heading, found, expected, mend, notice, self.key)
        self.problems.append(problem)
        if not notice:
            self.costs.append((column, problem))


def read_table(sheet: Sheet, grid: Grid) -> Table:
    """Every row of `grid` as a record of `sheet`; rows with an unusable cell are kept out, each with its errors.

    Rows that share an ID are all kept out: which of them is meant cannot be known.
    """
    table = Table(sheet)
    places = _match_headings(sheet, grid, table.problems)
    missing = _missing_columns(sheet, places, grid.heading_row)
    table.problems.extend(problem for problem in missing if problem not in table.problems)
    table.problems.extend(_sheet_notices(sheet, grid))
    drafts = _once_each(sheet, list(_drafts(sheet, grid, places, table.problems)), table.problems)
    _mark_duplicates(sheet, drafts)
    for draft in drafts:
        table.problems.extend(draft.problems)
        errors = [*(error for column, error in draft.costs if not costs_itself(sheet, column)), *missing]
        if errors and draft.key != ONLY_ROW:
            table.bar(draft.key, errors)
        else:
            more: dict[str, Any] = {"typed": tuple(draft.values)} if RECORDS[sheet.name] is records.Enquiry else {}
            unread = dict.fromkeys(column.field for column, _ in draft.costs if column.field not in _MAY_BE_UNKNOWN)
            more["unread"] = tuple(unread) or None
            table.add(RECORDS[sheet.name](id=draft.key, origin=draft.origin, **draft.values, **more))
    return table


def heading_parts(text: str) -> tuple[str, str | None]:
    """Name and unit of a heading: `Re [Ohm] *` -> ("re", "Ohm"); the unit is None when there is no bracket."""
    plain = cells.tidy(text).rstrip("* ")
    match = re.fullmatch(r"(.*?)[(\[]([^()\[\]]*)[)\]]", plain, re.DOTALL)
    name, unit = (match.group(1), match.group(2)) if match else (plain, None)
    return heading_key(name), unit


def heading_key(name: str) -> str:
    """What two spellings of one heading have in common: letters and digits."""
    return "".join(ch for ch in unicodedata.normalize("NFKC", name).casefold() if ch.isalnum())


def holds_headings(sheet: Sheet, row: Iterable[Value]) -> bool:
    """Whether a row names its sheet's columns: one of them, and half of the required ones."""
    named = {key for text in row if isinstance(text, str) for key in (heading_parts(text)[0], heading_key(text))}
    required = [heading_key(column.name) in named for column in sheet.columns if column.required]
    some = any(heading_key(column.name) in named for column in sheet.columns)
    return some and sum(required) >= len(required) / 2


def _match_headings(sheet: Sheet, grid: Grid, problems: list[Problem]) -> tuple[_Place, ...]:
    """Where each column stands, also one whose heading names a unit that does not fit."""
    by_key = {heading_key(column.name): column for column in sheet.columns}
    places: dict[str, _Place] = {}
    for index, content in enumerate(grid.headings):
        if not isinstance(content, str) or not cells.tidy(content):
            continue
        letter = get_column_letter(index + 1)
        key, unit_text = heading_parts(content)
        column = by_key.get(key) or by_key.get(heading_key(content))

        def report(found: str, expected: str, mend: str = "", notice: bool = False) -> None:
            heading = " ".join(content.split())[:60]  # noqa: B023  # called within the same turn
            problems.append(Problem(sheet.name, f"{letter}{grid.heading_row}", heading, found, expected, mend, notice))  # noqa: B023

        if column is None:
            near = cells.nearest([column.name for column in sheet.columns], content)
            report("no such column is known", "it is kept and not read", near, notice=True)
        elif column.field in places:
            first = f"{places[column.field].letter}{grid.heading_row}"
            report(f"the same heading as {first}", "this column is not read", "Delete or rename one of the two.")
        else:
            unit = _heading_unit(column, unit_text)
            if unit is None:
                mend = f"Write {column.heading}. Until then the column is not read."
                report(f"“{unit_text}” is no unit of this column", f"it must be {column.unit or 'left out'}", mend)
            refused = problems[-1] if unit is None else None
            places[column.field] = _Place(column, index, letter, unit or "", refused)
    return tuple(sorted(places.values(), key=lambda place: place.column.unit_field != ""))


def _heading_unit(column: Column, text: str | None) -> str | None:
    """The unit of a column's values; None when the heading names one that does not fit."""
    if text is None or not cells.tidy(text):
        return column.unit
    named = cells.unit_named(text)
    if not column.unit:
        return "" if named is None else None  # a remark such as (EUR) does no harm, a unit would
    if named is None or QUANTITY_OF[named] != QUANTITY_OF[column.unit]:
        return None
    return named


def _missing_columns(sheet: Sheet, places: Sequence[_Place], row: int) -> list[Problem]:
    """What stands in the way of a required column: no heading, or one of another unit."""
    there = {place.column.field: place for place in places}
    return [
        problem
        for column in sheet.columns
        if column.required and (problem := _no_column(sheet, column, there.get(column.field), row)) is not None
    ]


def _no_column(sheet: Sheet, column: Column, place: _Place | None, row: int) -> Problem | None:
    if place is not None:
        return place.refused
    found, expected = (
        f"no such heading stands in row {row}",
        "this column is required, and no row can be used without it",
    )
    return Problem(sheet.name, str(row), column.heading, found, expected, column.help)


def _sheet_notices(sheet: Sheet, grid: Grid) -> Iterator[Problem]:
    if grid.heading_row > 1:
        above, expected = _row_ranges(range(1, grid.heading_row)), "what stands above the headings is not read"
        yield Problem(sheet.name, above, "", f"the headings stand in row {grid.heading_row}", expected, "", True)
    if grid.hidden_rows:
        rows = _row_ranges(grid.hidden_rows)
        yield Problem(
            sheet.name, rows, "", "hidden", "hidden rows are read like any other", "Delete what must not count.", True
        )
    if grid.unread_from:
        found = f"more than {grids.MOST_BLANK_ROWS} empty rows stand above"
        expected = f"rows {grid.unread_from} to {grid.last_row} are not read"
        yield Problem(sheet.name, str(grid.unread_from), "", found, expected, "Move the rows up.", False)


def _row_ranges(rows: Sequence[int]) -> str:
    """`rows 3, 5-9` for row numbers in ascending order, cut after some."""
    runs: list[list[int]] = []
    for row in rows:
        if runs and row == runs[-1][1] + 1:
            runs[-1][1] = row
        else:
            runs.append([row, row])
    texts = [f"{first}" if first == last else f"{first}-{last}" for first, last in runs[:12]]
    return f"row{'s' if len(rows) > 1 else ''} {', '.join(texts)}{', ...' if len(runs) > 12 else ''}"


def _drafts(sheet: Sheet, grid: Grid, places: Sequence[_Place], notes: list[Problem]) -> Iterator[_Draft]:
    """Every row that is one of the sheet's things; what another row is instead is added to `notes`."""
    id_place = next((place for place in places if place.column.field == "id"), None)
    has_ids = any(column.field == "id" for column in sheet.columns)
    needed = [column for column in sheet.columns if column.required and column.field != "id"]
    above: list[Sequence[Value]] = []
    last = {number for number, _ in grid.rows[-MOST_BELOW:]}
    for number, values in grid.rows:
        filled = {place.column.field: (place, one) for place in places if not cells.is_blank(one := _at(values, place))}
        if not filled or (id_place and is_example(_at(values, id_place))):
            continue
        origin = Origin(sheet.name, number, {place.column.field: f"{place.letter}{number}" for place in places})
        letter = id_place.letter if id_place else "A"
        key = _draft_key(values, id_place) or f"{sheet.name}!{letter}{number}"
        draft = _Draft(key if has_ids else ONLY_ROW, origin)
        bare = not any(column.field in filled for column in needed)
        if has_ids and (other := _other_row(above, filled, bare and bool(needed), number in last)):
            draft.add(sheet.column("id"), other, "the row is not read", notice=True)
            notes.extend(draft.problems)
            continue
        above.append(values)
        if bare and len(needed) > 1:
            _fill(draft, [place for place in places if place.column not in needed], values)
            _say_once(draft, needed, filled["id"][1])
        else:
            _fill(draft, places, values)
        draft.values.pop("id", None)
        yield draft


def _at(values: Sequence[Value], place: _Place) -> Value:
    return values[place.index] if place.index < len(values) else None


def _other_row(
    above: Sequence[Sequence[Value]],
    filled: Mapping[str, tuple[_Place, Value]],
    bare: bool,
    last: bool,
) -> str:
    """What a row is that is none of the sheet's things, in words; empty for a thing.

    `above` are the things above it, `filled` its cells by field; it is `bare` where nothing stands in it that is required beside its ID,
    and `last` where only few rows follow: means and the like stand below a table.
    """
    if "id" not in filled and all(_is_unit(*one) for one in filled.values()):
        return "only units stand here, those of the headings"
    if bare and "id" not in filled:
        return "neither an ID nor anything else that is required stands here"
    if bare and any(_alike(value, math.fsum(over)) for over, value in _below(above, filled)):
        return "a sum of the rows above stands here, and nothing that is required"
    name = filled["id"][1] if "id" in filled else ""
    own = [one for field, one in filled.items() if field != "id"]
    if not last or any(ch.isdigit() for ch in str(name)) or any(all(_at(row, p) == v for p, v in own) for row in above):
        return ""
    differing = [(over, value) for over, value in _below(above, filled) if len(set(over)) > 1]
    for what, of in _STATISTICS.items():
        if len(differing) >= LEAST_COLUMNS and all(_alike(value, of(over)) for over, value in differing):
            return f"the {what} of the rows above stands here"
    return ""


def _below(
    above: Sequence[Sequence[Value]], filled: Mapping[str, tuple[_Place, Value]]
) -> Iterator[tuple[list[float], float]]:
    """Each number of a row with those that stand above it, where they are two or more."""
    for place, value in filled.values():
        over = [number for row in above for number in _numbers(_at(row, place))]
        if len(over) > 1:
            yield from ((over, number) for number in _numbers(value))


_STATISTICS: Mapping[str, Callable[[Sequence[float]], float]] = {
    "mean": statistics.fmean, "median": statistics.median, "least": min, "greatest": max, "sum": math.fsum, "spread": statistics.stdev,
}  # fmt: skip
LEAST_COLUMNS, MOST_BELOW = 3, 10
"""One of the last ten rows whose name holds no figure, and which has the same of the rows above in three columns, and in all that differ, is no thing."""


def _numbers(value: Value) -> tuple[float, ...]:
    return (float(value),) if isinstance(value, int | float) and not isinstance(value, bool) else ()


def _alike(one: float, other: float) -> bool:
    return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)


def _is_unit(place: _Place, value: Value) -> bool:
    """Whether a cell repeats the unit of its column, or says that there is none."""
    named = cells.unit_named(value.strip("[]() ")) if isinstance(value, str) else None
    return cells.is_placeholder(place.column, value) or (bool(named) and named in (place.unit, *place.unit.split()[:1]))


def _say_once(draft: _Draft, needed: Sequence[Column], named: Value) -> None:
    """One error in the place of those of all required cells, of a row that has its ID alone."""
    names = [column.name for column in needed]
    mend = "Fill them; a row of sums or remarks is not read where its ID is empty."
    draft.add(
        columns.sheet(draft.origin.sheet).column("id"),
        f"{cells.shown(named)} stands here alone",
        f"{', '.join(names[:-1])} and {names[-1]} are required beside it",
        mend,
    )


EXAMPLE = "(example)"
"""How the ID of a row begins that only shows how to fill a sheet."""


def is_example(id_: object) -> bool:
    """True for the ID of an example row, which is not read."""
    return isinstance(id_, str) and cells.tidy(id_).casefold().startswith(EXAMPLE)


def _draft_key(values: Sequence[Value], place: _Place | None) -> str:
    if place is None or cells.is_blank(_at(values, place)):
        return ""
    try:
        return str(cells.read_cell(place.column, _at(values, place), ""))
    except CellUnusableError:
        return ""


def _fill(draft: _Draft, places: Sequence[_Place], values: Sequence[Value]) -> None:
    for place in places:
        column = place.column
        value = _at(values, place)
        if value is None or cells.is_blank(value) or cells.is_placeholder(column, value):
            _note_blank(draft, column, value)
            continue
        if place.refused is not None:
            draft.costs.append((column, place.refused))
            continue
        unit = draft.values.get(column.unit_field) if column.unit_field else place.unit
        if unit is None:
            unit_column = columns.sheet(draft.origin.sheet).column(column.unit_field)
            if not unit_column.required:
                draft.add(unit_column, "empty", f"{column.name} is filled and needs its unit", unit_column.help)
            continue
        counted = f", in {unit} by its heading" if column.unit and unit != column.unit else ""
        try:
            result = cells.read_cell(column, value, unit)
        except CellUnusableError as error:
            draft.add(column, error.found + counted, error.expected, error.mend)
            continue
        draft.values[column.field] = result
        if column.plausible is not None and (usual := cells.implausible(column, result, unit)):
            draft.add(column, f"{cells.shown(value)} stands here{counted}", usual, "Check value and unit.", notice=True)


def _note_blank(draft: _Draft, column: Column, value: Value) -> None:
    """What is worth saying of a cell without a value: that it is required, merged away, or a placeholder."""
    if isinstance(value, Covered) and (column.required or value.hidden not in (None, "")):
        hides = "" if value.hidden in (None, "") else f", which hides {cells.shown(value.hidden)}"
        draft.add(
            column,
            f"merged with {value.top_left}{hides}",
            "a value is required" if column.required else "it counts as empty",
            "Unmerge the cells and fill each of them.",
            notice=not column.required,
        )
    elif column.required:
        found = "empty" if value is None or cells.is_blank(value) else f"{cells.shown(value)} stands here"
        draft.add(column, found, "a value is required", column.help)
    elif isinstance(value, str) and cells.tidy(value):
        draft.add(column, f"{cells.shown(value)} stands here", "it counts as empty", notice=True)


_MAY_BE_UNKNOWN = frozenset((
    "description", "price", "stock", "notes", "nominal_impedance_ohm", "vas_m3", "moving_mass_kg", "force_factor_t_m", "peak_travel_m",
    "breakup_hz", "rated_power_w", "kits_planned", "decided_on", "received", "answered_on",
))  # fmt: skip
"""Fields whose empty cell says no more than that the value is not known: a bad cell is a problem and counts as empty."""

_THINGS = frozenset(("Low drivers", "High drivers", "Waveguides", "Cabinets"))
"""Sheets of what a pairing is made of: without one of their optional cells a pairing is undecided at best.

On the others an empty cell is a wish or a rule of its own (the program chooses, nothing is excluded), so a bad one costs its row.
"""


def costs_itself(sheet: Sheet, column: Column) -> bool:
    """True of a cell whose row can be used without it, with its value not known."""
    return not column.required and (column.field in _MAY_BE_UNKNOWN or sheet.name in _THINGS)


def _once_each(sheet: Sheet, drafts: Sequence[_Draft], problems: list[Problem]) -> list[_Draft]:
    """The rows without those that say the same as an earlier one: each of them is one problem and costs nothing."""
    if not any(column.field == "id" for column in sheet.columns):
        return list(drafts)
    kept: dict[tuple[object, ...], _Draft] = {}
    for draft in drafts:
        said = (cells.id_key(draft.key), *sorted((name, str(value)) for name, value in draft.values.items()))
        first = kept.setdefault(said, draft)
        if first is not draft:
            found = f"the same row as {first.origin.row}"
            draft.problems = []
            draft.add(sheet.column("id"), found, "it counts once", "Delete one of the two.")
            problems.extend(draft.problems)
    return list(kept.values())


def _mark_duplicates(sheet: Sheet, drafts: Sequence[_Draft]) -> None:
    if not any(column.field == "id" for column in sheet.columns):
        for draft in drafts[1:]:
            draft.key = f"{sheet.name}!{draft.origin.row}"
            draft.problems = []
            draft.add(sheet.columns[0], "a second row", "only the first row counts", "Delete it.")
        return
    groups: dict[str, list[_Draft]] = {}
    for draft in drafts:
        groups.setdefault(cells.id_key(draft.key), []).append(draft)
    for group in groups.values():
        if len(group) == 1:
            continue
        first, *others = group
        places = ", ".join(draft.origin.cells["id"] for draft in others[:3])
        more = f" and {len(others) - 3} more" if len(others) > 3 else ""
        found = f"“{first.key}” stands here and in {places}{more}"
        expected = "an ID is used once, and none of these rows counts"
        first.add(sheet.column("id"), found, expected, "Rename all but one.")
        for draft in others:
            draft.key = first.key
            draft.costs.append(first.costs[-1])
