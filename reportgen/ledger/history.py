"""What was decided, on which data, and what changed since: the memory that grows in the workbook itself.

Knows when a change is worth a row, what the row says, and how an old run is made workable again. Refuses to know
cells, and how anything is assessed.

Two sheets grow. `History` has a row for each pairing whose inputs, verdict, results or decision changed since its last
row. `History inputs` has each record (a driver, a rule, a part, a curve...) once for each state it ever had, as JSON in SI
units under the hash of its content; a row of History names its case by such a key. A run in which nothing changed adds
nothing; one changed driver adds itself and one short list of keys for each pairing that uses it. Texts longer than half
a cell stand in several rows.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from reportgen.catalogue.currencies import decimals_of
from reportgen.catalogue.package import inspect_package
from reportgen.catalogue.plainfiles import read_file
from reportgen.catalogue.records import Case
from reportgen.ledger import historysheet
from reportgen.ledger.archive import Packer, fingerprint, unpack
from reportgen.ledger.differences import Change, decision_changes, input_changes, inputs_of, told
from reportgen.ledger.encoding import NotDecodable
from reportgen.ledger.entries import GONE, NOT_ASSESSED, Entry, History
from reportgen.ledger.layout import NONE, Head, Shown, set_up, set_widths, write_table, write_title
from reportgen.ledger.longtables import Book
from reportgen.ledger.revisions import Revised
from reportgen.ledger.stamp import RunStamp
from reportgen.pairing.shopping import cost_of, drivers_of
from reportgen.problems import ReportgenError, Unassessed

if TYPE_CHECKING:
    from reportgen.assessment import Overview

__all__ = [
    "SHEETS", "Change", "Entry", "History", "changes", "fingerprint", "fingerprint_of_bytes", "gather", "grown", "inputs_of",
    "read_history", "recomputable", "recompute",
]  # fmt: skip

GATHERED: Final = "All history"
"""The sheet by which a workbook of gathered histories is known."""
SHEETS: Final = (*historysheet.HISTORY_NAMES, *historysheet.INPUTS_NAMES)
"""Names of the sheets that are written anew with every run: what `graft` is told to replace."""

_SAME = 1e-9
"""Figures that differ by less than this share are the same: spreadsheet programs keep 15 digits."""


class NotInHistory(ReportgenError):
    """What is asked for was never remembered, or can no longer be read."""


def fingerprint_of_bytes(content: bytes) -> str:
    """SHA-256 of a file's content as hexadecimal digits."""
    return hashlib.sha256(content).hexdigest()


def read_history(source: Path | str | bytes) -> History:
    """The history of a workbook, from its path or its bytes; an empty one where no run has left any.

    Sorting, hidden and added columns, notes on cells and rows below the table do no harm and are kept. A sheet of the
    operator's that happens to be called History is left alone; ours then gets another name. Errors: PackageRefused,
    OSError.
    """
    content = source if isinstance(source, bytes) else read_file(Path(source))
    inspect_package(content)
    return historysheet.read_sheets(content)


# --- what changed -------------------------------------------------------------------------------------------------


def changes(previous: History, current: Sequence[Overview], program_version: str = "") -> tuple[Change, ...]:
    """What changed about each pairing since its last row: inputs and decision from what to what, and what came of it.

    Results that moved although no input did are put down to the program's version, when that changed.
    """
    packer = Packer(previous.stored)
    keys = [packer.add(one.case) for one in current]
    return tuple(
        change
        for one, key in zip(current, keys, strict=True)
        for change in _changes_of(previous, one, key, program_version)
    )


def _changes_of(previous: History, current: Overview, key: str, program_version: str) -> tuple[Change, ...]:
    last = previous.last(current.id)
    if last is None:
        return (Change(current.id, "first", "First run of this pairing", "", ""),)
    inputs = _input_and_decision_changes(previous, current, key)
    results = _result_changes(previous, last, current)
    if results and not inputs and last.inputs and program_version not in ("", last.program_version):
        inputs = (Change(current.id, "program", "Program", last.program_version, program_version),)
    return (*inputs, *results)


def _input_and_decision_changes(previous: History, current: Overview, key: str) -> tuple[Change, ...]:
    last = previous.last(current.id, assessed=True)
    if last is None or last.inputs == key:
        return ()
    try:
        before = unpack(last.inputs, previous.stored)
    except NotDecodable as error:
        text = f"earlier ones unknown ({error})"
        return (Change(current.id, "input", "Inputs", text, key),)
    found = (*input_changes(before, current.case), *decision_changes(before, current.case))
    otherwise = Change(current.id, "input", "Inputs", last.inputs, f"{key}: the same values in other words")
    return found or (otherwise,)


def _result_changes(previous: History, last: Entry, current: Overview) -> tuple[Change, ...]:
    found = current.found_range
    results: list[Change] = []
    if last.verdict != current.verdict.word:
        results.append(Change(current.id, "verdict", "Verdict", last.verdict or NONE, current.verdict.word))
    pairs = (
        ("Range", (last.low_hz, last.high_hz), (found.low_hz, found.high_hz), _range_words),
        ("Crossover", (last.crossover_hz,), (current.crossover_hz,), _hz_words),
    )
    for what, before, after, words in pairs:
        if not all(_same(one, other) for one, other in zip(before, after, strict=True)):
            results.append(Change(current.id, "result", what, words(*before), words(*after)))
    if not _same(last.price, current.price):
        currency = current.case.maker.currency
        other = currency != last.currency
        was = _price_words(last.price, last.currency, other, _was_of_drivers_alone(previous, last))
        now = _price_words(current.price, currency, other, _of_drivers_alone(current.case, current.price))
        results.append(Change(current.id, "result", "Price", was, now))
    return tuple(results)


def _was_of_drivers_alone(previous: History, last: Entry) -> bool:
    """The same of a row; not where its inputs can no longer be read."""
    try:
        return _of_drivers_alone(unpack(last.inputs, previous.stored), last.price)
    except NotDecodable:
        return False


def _of_drivers_alone(case: Case, price: float | None) -> bool:
    """Whether a price is that of the drivers and the guide: a part of the network states none, or there is no network."""
    return price is not None and _same(price, cost_of(drivers_of(case)))


def _same(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return abs(one - other) <= _SAME * max(abs(one), abs(other))


def _hz_words(hz: float | None) -> str:
    return f"{hz:.0f} Hz" if hz is not None else NONE


def _range_words(low_hz: float | None, high_hz: float | None) -> str:
    if low_hz is None and high_hz is None:
        return NONE
    if low_hz is None or high_hz is None:
        return f"{_hz_words(low_hz)} to {_hz_words(high_hz)}"
    return f"{low_hz:.0f} to {_hz_words(high_hz)}{' (empty)' if low_hz > high_hz else ''}"


def _price_words(price: float | None, currency: str, named: bool, alone: bool) -> str:
    """A price, with its currency where that is to be `named`, and that it counts the drivers `alone`."""
    if price is None:
        return NONE
    sign = f" {currency}" if named else ""
    return f"{price:.{decimals_of(currency)}f}{sign}{' without its network' if alone else ''}"


# --- a run is remembered ------------------------------------------------------------------------------------------


def grown(
    previous: History,
    assessments: Sequence[Overview],
    unassessed: Sequence[Unassessed],
    stamp: RunStamp,
    printed: Mapping[str, Revised] = MappingProxyType({}),
    packer: Packer | None = None,
    here: Collection[str] | None = None,
) -> History:
    """The history after a run: a new entry for every pairing of which something changed, and the records it needs; `previous` itself where nothing did.

    Of a pairing that is not `here`, where the IDs of all that are in the workbook are given, an entry says that it is gone.
    `printed` has the sheet of each pairing that was printed; one that became a new revision is worth an entry too.
    Records that were removed from the sheet and still take part come back with it. `packer` may have seen the cases before, and
    knows the records that are stored.
    """
    packer, entries = packer or Packer(previous.stored), list(previous.entries)
    for assessment in assessments:
        key = packer.add(assessment.case)
        found = _changes_of(previous, assessment, key, stamp.program_version)
        last, now = previous.printed(assessment.id), printed.get(assessment.id)
        if now is not None and not found and (last is None or last.revision != now.revision):
            found = (Change(assessment.id, "sheet", now.line or "Its first sheet was printed", "", ""),)
        if found:
            entries.append(_entry(assessment, found, stamp, key, now))
    for one in unassessed:
        last = previous.last(one.id)
        if last is None or last.verdict != NOT_ASSESSED or last.reason != one.text:
            entries.append(_gap(one, last, stamp))
    entries += [_parting(last, stamp) for last in (previous.gone_from(here) if here is not None else ())]
    fresh = packer.stored
    if len(entries) == len(previous.entries) and not fresh:
        return previous
    return replace(
        previous,
        entries=tuple(entries),
        stored={**previous.stored, **fresh},
        since={**previous.since, **dict.fromkeys(fresh, stamp.number)},
        next_run=max(previous.next_run, stamp.number + 1),
    )


_EVENTS: Final = {
    "first": "first run", "input": "inputs", "decision": "decision", "program": "program", "verdict": "verdict",
    "result": "results", "sheet": "sheet",
}  # fmt: skip


def _entry(assessment: Overview, found: tuple[Change, ...], stamp: RunStamp, key: str, sheet: Revised | None) -> Entry:
    pairing, usable = assessment.case.pairing, assessment.found_range
    causes = tuple(change for change in found if change.kind not in ("verdict", "result"))
    effects = tuple(change for change in found if change.kind in ("verdict", "result"))
    first = any(change.kind == "first" for change in found)
    below, above = (limit.title if limit else NONE for limit in (usable.low_binding, usable.high_binding))
    return Entry(
        run=stamp.number, when=stamp.started, pairing_id=assessment.id, kit=pairing.kit, season=pairing.season,
        event=", ".join(dict.fromkeys(_EVENTS[change.kind] for change in found)),
        changed=told(causes) or "No input",
        effect=told(effects) or ("" if first else "None on verdict, range, crossover and price"),
        verdict=assessment.verdict.word, reason=assessment.verdict.reason,
        low_hz=usable.low_hz, high_hz=usable.high_hz, crossover_hz=assessment.crossover_hz,
        bound_below=below, bound_above=above,
        price=assessment.price, currency=assessment.case.maker.currency,
        decision=pairing.decision, decided_by=pairing.decided_by, decided_on=pairing.decided_on, decided_why=pairing.reason,
        operator=stamp.operator, program_version=stamp.program_version, workbook=stamp.workbook_name, inputs=key, revision=sheet.revision if sheet else None, paper=sheet.paper if sheet else "",
    )  # fmt: skip


def _gap(one: Unassessed, last: Entry | None, stamp: RunStamp) -> Entry:
    effect = f"Verdict: {last.verdict} -> {NOT_ASSESSED}" if last and last.verdict != NOT_ASSESSED else ""
    return Entry(
        run=stamp.number, when=stamp.started, pairing_id=one.id, kit=last.kit if last else None,
        season=last.season if last else None, event=NOT_ASSESSED, changed="It could not be assessed", effect=effect,
        verdict=NOT_ASSESSED, reason=one.text, operator=stamp.operator, program_version=stamp.program_version,
        workbook=stamp.workbook_name,
    )  # fmt: skip


def _parting(last: Entry, stamp: RunStamp) -> Entry:
    return Entry(
        run=stamp.number, when=stamp.started, pairing_id=last.pairing_id, kit=last.kit, season=last.season, event=GONE,
        changed="Its row is no longer in the workbook", effect=f"Verdict: {last.verdict} -> {GONE}", verdict=GONE,
        operator=stamp.operator, program_version=stamp.program_version, workbook=stamp.workbook_name,
    )  # fmt: skip


# --- an old run again ---------------------------------------------------------------------------------------------


def recompute(source: Path | str | bytes, run_number: int) -> tuple[Case, ...]:
    """The cases as they stood after a run, from the workbook's history alone; `assess` does the rest.

    A pairing that the run left out stands as its latest earlier row has it; one that could not be assessed is left out.
    Errors: NotInHistory for a run that never was, or a record that was removed or changed by hand.
    """
    found = recomputable(read_history(source), run_number)
    for one in found.values():
        if isinstance(one, NotInHistory):
            raise one
    return tuple(one for one in found.values() if isinstance(one, Case))


def recomputable(
    history: History, run_number: int, but: Mapping[str, str] = MappingProxyType({})
) -> dict[str, Case | NotInHistory]:
    """The case of each pairing after a run, by its ID in small letters, or why that pairing's can no longer be read.

    Those whose inputs had the name that `but` gives to the ID are left out. Errors: NotInHistory for a run that never was.
    """
    first = min((entry.run for entry in history.entries), default=history.next_run)  # older ones went with their rows
    if not first <= run_number < history.next_run:
        known = f"{first} to {history.next_run - 1}" if history.entries else "none"
        raise NotInHistory(f"Run {run_number} is not in {history.sheet}; the runs that are: {known}.")
    ids = {entry.pairing_id.casefold(): entry.pairing_id for entry in history.entries}
    latest = (history.last(pairing_id, run_number) for pairing_id in ids.values())
    wanted = [one for one in latest if one and one.inputs and one.inputs != but.get(one.pairing_id.casefold())]
    return {entry.pairing_id.casefold(): _case(history, entry) for entry in wanted}


def _case(history: History, entry: Entry) -> Case | NotInHistory:
    try:
        return unpack(entry.inputs, history.stored)
    except NotDecodable as error:
        return NotInHistory(
            f"{entry.pairing_id} of run {entry.run} cannot be worked out again: in {history.inputs_sheet}, {error}. "
            "Take that sheet from an earlier copy of the workbook."
        )


# --- many workbooks -----------------------------------------------------------------------------------------------

_GATHERED = (
    Head("Workbook", 34, wrap=True, strong=True), Head("Rows", 9, "0", centred=True), Head("Pairings", 11, "0", centred=True),
    Head("Runs", 9, "0", centred=True), Head("First", 16, "yyyy-mm-dd hh:mm", centred=True),
    Head("Last", 16, "yyyy-mm-dd hh:mm", centred=True), Head("Remark", 70, wrap=True),
)  # fmt: skip


def gather(paths: Sequence[Path | str], standing: bytes = b"") -> tuple[bytes, tuple[str, ...]]:
    """One workbook with the history of many, and why some gave none: `All history`, oldest first, and `Workbooks`, which says what came whence.

    Of the `standing` workbook, an earlier one of the kind, the operator's own columns and notes are kept, and the rows that none of the paths has.

    The stored inputs stay in their own workbooks, where `recompute` finds them. A file that cannot be read is named with
    its reason, and the others go on. A row that copies of one workbook have in common stands once, with the first of them.
    ReportgenError where none of them holds a row.
    """
    dated: list[tuple[dt.datetime, Entry]] = []
    seen: set[tuple[Any, ...]] = set()
    overview: list[list[Any]] = []
    names = Counter(Path(path).name for path in paths)
    for path in map(Path, paths):
        found, remark = _entries_of(path)
        name = path.name if names[path.name] == 1 else str(path)
        new = [
            (when, entry) for when, entry in zip(_in_order(found), found, strict=True) if _identity(entry) not in seen
        ]
        seen |= {_identity(entry) for _, entry in new}
        dated += [(when, replace(entry, workbook=name)) for when, entry in new]
        if len(new) < len(found):
            remark = f"{len(found) - len(new)} of its rows stand in an earlier workbook of this list and count there."
        overview.append([Shown(name, link=path.resolve().as_uri()), *_counted(found), remark])
    without = tuple(f"{name.value}: {remark}" for name, count, *_, remark in overview if not count)
    if not dated:
        mend = "Run a season first." if any(text.endswith(NO_RUN) for text in without) else "Check the name."
        raise ReportgenError(f"There is no history to gather. {' '.join(without)} {mend}")
    earlier = historysheet.read_sheets(standing, (GATHERED,)) if standing else History()
    by_row = {_row(entry): entry for entry in earlier.entries}
    dated = [(when, _noted(entry, by_row.get(_row(entry), entry))) for when, entry in dated]
    for name, kept in _not_told(earlier, {_row(entry) for _, entry in dated}).items():
        dated += zip(_in_order(kept), kept, strict=True)
        overview.append([name, *_counted(kept), "These rows stood here before; no workbook of this list has them."])
    entries = tuple(entry for _, entry in sorted(dated, key=lambda pair: pair[0]))
    book = Book()
    rows, books = len(entries), len(overview)
    line = f"{rows} row{'s' * (rows != 1)} from {books} workbook{'s' * (books != 1)}, oldest first"
    everything = replace(earlier, entries=entries)
    historysheet.write_history(book.create_sheet(GATHERED), everything, GATHERED, [line], line, "A4")
    page = book.create_sheet("Workbooks")
    top = write_title(
        page, "Workbooks", [line, "The inputs of every row are in the sheet “History inputs” of its workbook."]
    )
    write_table(page, top, _GATHERED, overview, "Workbooks")
    set_widths(page, _GATHERED)
    set_up(page, top, _GATHERED, 1, line, "A4", "553377")
    return book.bytes(), without


def _not_told(earlier: History, told: Collection[tuple[Any, ...]]) -> dict[str, list[Entry]]:
    """The rows that are not `told` anew, by the workbook that they came from."""
    found: dict[str, list[Entry]] = {}
    for entry in earlier.entries:
        if _row(entry) not in told:
            found.setdefault(entry.workbook, []).append(entry)
    return found


def _noted(entry: Entry, before: Entry) -> Entry:
    return replace(entry, own=before.own, remarks={**entry.remarks, **before.remarks})


def _row(entry: Entry) -> tuple[Any, ...]:
    """What makes a row the same row, whatever was corrected in it since."""
    return entry.when, entry.run, entry.pairing_id.casefold(), entry.inputs


def _counted(entries: Sequence[Entry]) -> tuple[Any, ...]:
    """How many rows, pairings and runs there are, and the first and the last moment of them."""
    moments = [entry.when for entry in entries if entry.when is not None]
    first, last = (min(moments), max(moments)) if moments else (None, None)
    return (
        len(entries),
        len({entry.pairing_id for entry in entries}),
        len({entry.run for entry in entries}),
        first,
        last,
    )


def _in_order(entries: Sequence[Entry]) -> list[dt.datetime]:
    """A moment for each row by which runs of one workbook stay in their order, also where its clock was set back."""
    latest, moments = dt.datetime.min, {}
    for entry in sorted(entries, key=lambda entry: entry.run):
        latest = moments[entry.run] = max(latest, entry.when or dt.datetime.min)
    return [moments[entry.run] for entry in entries]


def _identity(entry: Entry) -> tuple[Any, ...]:
    """What makes a row the same row in a copy of its workbook: all of it but the operator's own columns and notes."""
    return tuple(getattr(entry, field) for field in historysheet.COLUMNS)


NO_RUN = "No run has left a history in it."


def _entries_of(path: Path) -> tuple[tuple[Entry, ...], str]:
    try:
        found = read_history(path).entries
    except OSError as error:
        return (), f"It cannot be read: {error.strerror or error}."
    except ReportgenError as error:
        return (), f"It cannot be read: {error}"
    return found, "" if found else NO_RUN
