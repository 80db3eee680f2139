"""The sheets of a run: summary, checks, parts, and the history that grows.

Knows which sheets there are, and how checks and parts become rows. Refuses to know how the sheets get into the
operator's workbook.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import accumulate
from types import MappingProxyType
from typing import Any, Final, Protocol

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from reportgen.assessment import Assessment, Outline
from reportgen.catalogue.currencies import sheet_format
from reportgen.catalogue.records import Case, Maker, Origin
from reportgen.ledger import historysheet, layout, longtables
from reportgen.ledger.archive import Packer
from reportgen.ledger.encoding import NotDecodable
from reportgen.ledger.growing import KEPT
from reportgen.ledger.history import History, grown
from reportgen.ledger.layout import AS_LONG_AS_IT_IS, NONE, SIGNS, Head, Shown, or_none
from reportgen.ledger.longtables import Book
from reportgen.ledger.revisions import Revised
from reportgen.ledger.stamp import RunStamp as RunStamp
from reportgen.ledger.stamp import next_run_number as next_run_number
from reportgen.ledger.summary import heads, write_summary
from reportgen.pairing.parts_list import PartLine
from reportgen.pairing.shopping import cost_of, drivers_of, stock_ids, total
from reportgen.problems import Unassessed
from reportgen.suitability.checks import Check
from reportgen.suitability.steps import by_the_checks


class Rows(Protocol):
    """The rows of one pairing in the tables of checks, parts, totals and steps, packed, and how many there are of parts and steps."""

    @property
    def checks(self) -> bytes: ...

    @property
    def parts(self) -> bytes: ...

    @property
    def totals(self) -> bytes: ...

    @property
    def steps(self) -> bytes: ...

    @property
    def part_count(self) -> int: ...

    @property
    def step_count(self) -> int: ...


@dataclass(frozen=True, slots=True)
class PackedRows:
    """Such rows in memory: a twentieth of what they take as values."""

    checks: bytes
    parts: bytes
    totals: bytes
    steps: bytes
    part_count: int
    step_count: int


def result_sheets(
    results: Sequence[tuple[Outline, Rows]],
    unassessed: Sequence[Unassessed],
    stamp: RunStamp,
    links: Mapping[str, str],
    history: History,
    printed: Mapping[str, Revised] = MappingProxyType({}),
    paper: str = "",
    packer: Packer | None = None,
    here: Collection[str] | None = None,
) -> Book:
    """A workbook with the new sheets of a run alone, ready to be grafted into the operator's (`replace=history.SHEETS`).

    `results` has each pairing with its `packed_rows`, which are unpacked one after another. `links` leads from a pairing's ID to its PDF, relative to the workbook; `history` is what `read_history` found there,
    `printed` the sheet of each pairing; `paper` is the size to print on, that of the Maker sheet when empty. `packer` may have seen
    the cases before, and knows what the history stores; where it has nothing new to say, its sheets are left as they stand. `here` are the IDs
    of all pairings that the workbook has.
    No cell holds a formula.
    """
    outlines, rows = [one for one, _ in results], [packed for _, packed in results]
    maker = outlines[0].case.maker if outlines else Maker(id="maker", origin=Origin("Maker", 0))
    maker = replace(maker, paper=paper or maker.paper)
    book = Book()
    summary, checks, parts = (book.create_sheet(stamp.tab(kind)) for kind in ("summary", "checks", "parts"))
    first_rows = _write_checks(checks, outlines, rows, stamp, maker)
    packer = packer or Packer(history.stored)
    write_summary(summary, outlines, unassessed, stamp, links, first_rows, maker, packer)
    _write_parts(parts, rows, stamp, maker)
    now = grown(history, outlines, unassessed, stamp, printed, packer, here)
    if now is not history or not history.entries:  # else the sheets that stand say all there is to say
        _write_memory(book.create_sheet(now.sheet), book.create_sheet(now.inputs_sheet), now, stamp, maker)
    return book


def headings() -> set[str]:
    """The headings of all tables that a run makes, their currency left away."""
    tables = (heads(""), _CHECK_HEADS, _part_heads(""), _total_heads(""), _step_heads(""))
    return {head.text for table in tables for head in table}


def _write_memory(page: Worksheet, inputs: Worksheet, now: History, stamp: RunStamp, maker: Maker) -> None:
    new = sum(entry.run == stamp.number for entry in now.entries)
    lines = [
        f"{len(now.entries)} row{'' if len(now.entries) == 1 else 's'}, {new} of them from run {stamp.number} of {stamp.started:%Y-%m-%d %H:%M}. A row for each "
        "pairing whose inputs, verdict, results or decision changed since its row before. Prices are those of one loudspeaker.",
        KEPT,
    ]
    historysheet.write_history(page, now, "History", lines, stamp.line, maker.paper)
    lines = [
        f"{len(now.stored)} records on which the rows of “{now.sheet}” rest, each once in every state it ever had; the key "
        "in its column “Inputs” is that of a case.",
        "Any old run can be worked out again from here. Leave the columns “Key”, “Part” and “Values” as they are.",
    ]
    historysheet.write_inputs(inputs, now, "Inputs of all runs", lines, stamp.line, maker.paper)


def packed_rows(a: Assessment) -> PackedRows:
    """The rows of one pairing for `result_sheets`."""
    parts, steps = list(_rows_of_parts(a)), list(_steps(a))
    return PackedRows(
        _packed(_CHECK_HEADS, (_check_row(a, check) for check in a.checks)),
        _packed(_part_heads(""), parts),
        _packed(_total_heads(""), [_totals(a)]),
        _packed(_step_heads(""), steps),
        len(parts),
        len(steps),
    )


def rows_of_file(pieces: Sequence[bytes], one: Outline) -> PackedRows:
    """Rows that come from a file, looked through: they are used unseen. Errors: NotDecodable where they are none that `packed_rows` makes."""
    found = [
        longtables.rows_in(piece, len(columns), layout.pattern_of_looks(columns, formats))
        for piece, (columns, formats) in zip(pieces, _tables(), strict=True)
    ]
    checks, parts, totals, steps = found
    if (checks, totals) != (one.check_count, 1) or parts is None or steps is None:
        raise NotDecodable("other rows stand where those of a pairing are expected")
    return PackedRows(pieces[0], pieces[1], pieces[2], pieces[3], parts, steps)


@cache
def _tables() -> tuple[tuple[tuple[Head, ...], tuple[str, ...]], ...]:
    """The columns of the tables, their currency left away, and which formats of their own their cells may have."""
    return (_CHECK_HEADS, _FORMATS), (_part_heads(""), ()), (_total_heads(""), ()), (_step_heads(""), ())


def _packed(heads: Sequence[Head], rows: Iterable[list[Any]]) -> bytes:
    return b"".join(longtables.packed(["".join([layout.row_as_text(heads, row) for row in rows])]))


# --- checks -------------------------------------------------------------------------------------------------------

_KIT_HEADS: Final = (
    Head("Season", 12, "@"), Head("Low driver", 12, "@"), Head("High driver", 12, "@"), Head("Kind of high driver", 16, "@"),
)  # fmt: skip
"""What a pairing is, at the end of each of its rows, to sort and to pivot by; not printed."""


def _kit_cells(case: Case) -> tuple[str | None, ...]:
    return case.pairing.season, case.low.id, case.high.id, case.technology.id


_CHECK_HEADS: Final = (
    Head("Pairing", 10, "@", strong=True), Head("Kit", 13, wrap=True), Head("Check", 16, wrap=True),
    Head("Outcome", 13, wrap=True, marked=True), Head("Value", 8, "0.00"), Head("Limit", 8, "0.00"),
    Head("Unit", 7, centred=True), Head("Margin", 9, "0.00"), Head("Margin unit", 9, centred=True),
    Head("Essential", 11, centred=True), Head("What it says", 48, wrap=True), Head("Condition to keep", 20, wrap=True),
    Head("Missing", 18, wrap=True), Head("Source", 24, wrap=True), *_KIT_HEADS,
)  # fmt: skip

_UNIT_FORMATS: Final = {"Hz": "0", "dB": "0.0", "ohm": "0.0", "%": "0", "mm": "0", "m": "0.00", "octave": "0.00"}
"""Number formats of values by unit; money has those of its currency, anything else two decimals."""
_FORMATS: Final = (*sorted({*_UNIT_FORMATS.values(), *map(sheet_format, ("", "JPY", "KWD"))}),)


def _write_checks(
    page: Worksheet, outlines: Sequence[Outline], packed: Sequence[Rows], stamp: RunStamp, maker: Maker
) -> dict[str, int]:
    """Fill the sheet; return the row in which the checks of each pairing begin."""
    count = sum(one.check_count for one in outlines)
    lines = [stamp.line, f"{count} checks. A margin is positive on the good side; frequencies have theirs in octaves."]
    top = layout.write_title(page, stamp.tab("checks"), lines)
    before = accumulate((one.check_count for one in outlines), initial=top + 1)
    first_rows = {one.id: row for one, row in zip(outlines, before, strict=False)}
    pieces, name = (one.checks for one in packed), f"Run{stamp.number:03d}Checks"
    last = layout.write_packed_table(page, top, _CHECK_HEADS, pieces, count, name, _FORMATS)
    layout.set_widths(page, _CHECK_HEADS)
    margin = layout.column_index(_CHECK_HEADS, "Margin")
    layout.embolden_negative(page, layout.area(margin, top + 1, last))
    _set_up(page, top, _CHECK_HEADS, last, stamp, maker)
    return first_rows


def _check_row(assessment: Assessment, check: Check) -> list[Any]:
    return [
        assessment.id, assessment.case.pairing.kit, check.title, SIGNS[check.outcome],
        _figure(check.value, check.unit), _figure(check.limit, check.unit), check.unit or None,
        _figure(check.margin, check.margin_unit), (check.margin_unit or None) if check.margin is not None else None,
        "yes" if check.essential else "no", check.text, check.condition or None, "\n".join(check.missing) or None,
        check.source, *_kit_cells(assessment.case),
    ]  # fmt: skip


def _set_up(page: Worksheet, top: int, heads: Sequence[Head], last: int, stamp: RunStamp, maker: Maker) -> None:
    """Prepare the print down to row `last`, without what is there to pivot by."""
    printed = heads[: -len(_KIT_HEADS)]
    layout.set_up(page, top, printed, 1, stamp.line, maker.paper, "225577")
    page.print_area = f"A1:{get_column_letter(len(printed))}{last}"


def _figure(value: float | None, unit: str) -> Shown:
    return Shown(or_none(value), format=_UNIT_FORMATS.get(unit) or sheet_format(unit))


# --- parts --------------------------------------------------------------------------------------------------------

_KINDS: Final = {"C": "capacitor", "L": "coil", "R": "resistor"}
_SHOP_UNITS: Final = {
    "C": (("µF", 1e-6, 0.0999e-6), ("nF", 1e-9, 0.0)), "L": (("mH", 1e-3, 0.0999e-3), ("µH", 1e-6, 0.0)),
    "R": (("ohm", 1.0, 0.0),),
}  # fmt: skip
"""Units in which the shop names a part: unit, its SI value, and from which value on it is used."""


def _part_heads(currency: str) -> tuple[Head, ...]:
    money = sheet_format(currency)
    return (
        Head("Pairing", 10, "@", strong=True), Head("Kit", 14, wrap=True), Head("Branch", 9, centred=True),
        Head("Mark", 9, centred=True), Head("Part", 13, wrap=True), Head("What for", 22, wrap=True),
        Head("Value", 9, AS_LONG_AS_IT_IS), Head("Unit", 7, centred=True), Head("Made of", 15, wrap=True),
        Head("Wire ohm", 8, "0.00"), Head("Buy for at least", 9, AS_LONG_AS_IT_IS), Head("Rating unit", 9, centred=True),
        Head("Peak (V)", 8, "0.0"), Head("Rms (A)", 8, "0.00"), Head("Heat (W)", 8, "0.00"),
        Head("Rating", 12, wrap=True, marked=True), Head("Stock ID", 14, wrap=True), Head("Count", 9, "0", centred=True),
        Head(f"Each ({currency})", 9, money), Head(f"Price ({currency})", 10, money), *_KIT_HEADS,
    )  # fmt: skip


def _total_heads(currency: str) -> tuple[Head, ...]:
    """Seven columns that stand in the widths of the table above them."""
    money = sheet_format(currency)
    return (
        Head("Pairing", 10, "@", strong=True), Head("Kit", 14, wrap=True), Head("Parts", 9, "0", centred=True),
        Head("Without price", 9, "0", centred=True), Head(f"Priced parts ({currency})", 13, money),
        Head(f"Drivers and guide ({currency})", 22, money),
        Head(f"All ({currency})", 9, money, strong=True),
    )  # fmt: skip


def _step_heads(currency: str) -> tuple[Head, ...]:
    """What more pieces buy, in the widths of the table of parts."""
    return (
        Head("Pairing", 10, "@", strong=True), Head("Kit", 14, wrap=True), Head("Pieces", 9, "0", centred=True),
        Head("Built", 9, centred=True), Head(f"Network ({currency})", 13, sheet_format(currency)), Head("By the checks", 22, wrap=True),
        Head("Sum, rms (dB)", 9, "0.00"), Head("Worst (dB)", 7, "0.0"), Head("Null (dB)", 15, "0.0"),
        Head("Least load (ohm)", 8, "0.0"), Head("Good builds (%)", 9, "0"),
    )  # fmt: skip


def _write_parts(page: Worksheet, packed: Sequence[Rows], stamp: RunStamp, maker: Maker) -> None:
    heads = _part_heads(maker.currency)
    lines = [
        stamp.line,
        "What one loudspeaker takes; below, on the screen, what it comes to and what other numbers of pieces would do (“Most parts” in Pairings picks one).",
        "A dash: no price is known; the price of all counts the parts when every one of them has one.",
    ]
    top = layout.write_title(page, stamp.tab("parts"), lines)
    count, pieces = sum(one.part_count for one in packed), (one.parts for one in packed)
    last = layout.write_packed_table(page, top, heads, pieces, count, f"Run{stamp.number:03d}Parts")
    layout.set_widths(page, heads)
    sums, totals, name = _total_heads(maker.currency), (one.totals for one in packed), f"Run{stamp.number:03d}Totals"
    # printed without what stands below: on further pages that would stand under the heads of the parts
    _set_up(page, top, heads, last, stamp, maker)
    last = layout.write_packed_table(page, last + 3, sums, totals, len(packed), name)
    if count := sum(one.step_count for one in packed):
        steps, name = (one.steps for one in packed), f"Run{stamp.number:03d}Steps"
        layout.write_packed_table(page, last + 3, _step_heads(maker.currency), steps, count, name)


def _rows_of_parts(a: Assessment) -> Iterator[list[Any]]:
    """Drivers and guide first, then the parts of the low and the high branch."""
    pairing = a.case.pairing
    for item in drivers_of(a.case):
        price = item.record.price
        money = [NONE, NONE] if price is None else [price, total([(price, item.count)])]
        description = getattr(item.record, "description", None)
        yield [
            a.id, pairing.kit, item.branch, None, item.what, description, *[None] * 10, item.record.id, item.count, *money,
            *_kit_cells(a.case),
        ]  # fmt: skip
    for part in a.parts:
        yield from ([a.id, pairing.kit, *piece, *_kit_cells(a.case)] for piece in _pieces_of(part))


def _pieces_of(part: PartLine) -> Iterator[list[Any]]:
    """A row a piece as it is bought; what a place stands is told with its first piece."""
    unit, factor, _ = next(one for one in _SHOP_UNITS[part.kind] if part.value >= one[2])
    values, ids = part.made_of or (part.value,), stock_ids(part.part_id)
    together = " + ".join(f"{value / factor:.4g}" for value in part.made_of)
    made_of = f"{together} {unit}, {part.join}" if part.made_of else None
    bought = or_none(part.rating_to_buy)
    stands = [
        part.resistance_ohm if part.kind == "L" else None, bought, part.rating_unit or None, part.voltage_peak_v,
        part.current_rms_a, part.power_w, "✗ too weak" if part.under_rated else None,
    ]  # fmt: skip
    prices = part.made_of_prices or ((part.price,) if len(values) == 1 else ())
    for number, value in enumerate(values):
        price = or_none(prices[number] if number < len(prices) else None)
        yield [
            part.branch, part.label, _KINDS[part.kind], part.role, value / factor, unit, made_of,
            *(stands if number == 0 else [None] * len(stands)), ids[number] if number < len(ids) else None, 1, price, price,
        ]  # fmt: skip


def _totals(a: Assessment) -> list[Any]:
    unpriced = sum(part.price is None for part in a.parts)
    known = [(part.price, 1) for part in a.parts if part.price is not None]
    priced, drivers = total(known) if known else NONE, cost_of(drivers_of(a.case))
    return [
        a.id, a.case.pairing.kit, len(a.parts), unpriced, priced, or_none(drivers), or_none(a.price),
    ]  # fmt: skip


def _steps(a: Assessment) -> Iterator[list[Any]]:
    """A row a step of the ladder, from the fewest pieces up."""
    for step in a.design.ladder if a.design else ():
        null = abs(step.null_db) if a.design and a.design.slope.in_phase else NONE
        yield [
            a.id, a.case.pairing.kit, step.pieces, "✓" if step.chosen else None, or_none(step.price), by_the_checks(step),
            step.rms_db, abs(step.worst_db), null, step.least_ohm, 100.0 * step.good_share,
        ]  # fmt: skip
