"""What each command says of its result: lines and tables, and the same facts for a program (`--json`).

Knows the results of the commands. Refuses to know the terminal.
"""

from __future__ import annotations

import os
import shlex
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import reportgen
from reportgen.advice.listings import DECIMALS, joined
from reportgen.catalogue.currencies import decimals_of
from reportgen.commands.terminal import Table, Told, counts, several, time_words

if TYPE_CHECKING:
    from reportgen.assessment import Overview
    from reportgen.commands.answer import Answered, Answers
    from reportgen.commands.check import Checked
    from reportgen.commands.compare import Compared
    from reportgen.commands.listing import Listed
    from reportgen.commands.recompute import Again, Recomputed
    from reportgen.commands.run import Report
    from reportgen.commands.screen import Screened
    from reportgen.ledger.replacement import Outcome

RANKED = 12
"""Rows of a screening that a terminal shows."""


def hz(value: float | None) -> str:
    """A frequency in a table."""
    return "open" if value is None else f"{value:.0f}"


def _range(found: Overview) -> str:
    if found.found_range.empty:
        return "none"
    return f"{hz(found.found_range.low_hz)} to {hz(found.found_range.high_hz)}"


def of_run(report: Report, seconds: float) -> Told:
    """A run: a row a pairing, what failed, where everything is, and a tally."""
    rows = [
        (
            one.id, one.verdict.word, _range(one), hz(one.crossover_hz),
            " / ".join(limit.title if limit else "open" for limit in (one.found_range.low_binding, one.found_range.high_binding)),
        )
        for one in report.outlines
    ]  # fmt: skip
    told = Told(report.exit_code, problems=report.problems)
    if rows:
        told.lines.append(Table(("pairing", "verdict", "usable range, Hz", "crossover, Hz", "bound by"), rows))
    told.lines += [f"{one.id}: not assessed. {one.text}" for one in report.unassessed]
    told.lines += report.notices
    if report.written is not None:
        reused = f" ({report.reused} unchanged, taken over)" if report.reused else ""
        there = "sheets" if report.sheets else "" if "index.html" in report.unprinted else "index"
        told.lines.append(f"Results: {report.written}{f'; {there}{reused}: {report.folder}' if there else ''}")
    told.lines += [f"Catalogue: {booklet}" for booklet in report.booklets]
    words = Counter([*(one.verdict.word for one in report.outlines), *["not assessed"] * len(report.unassessed)])
    told.lines.append(f"{several(words.total(), 'pairing')} in {time_words(seconds)}: {counts(words)}.")
    told.facts = {
        "pairings": [{"id": one.id, "verdict": one.verdict.word, "reason": one.verdict.reason, "crossover_hz": one.crossover_hz,
                      "range_hz": [one.found_range.low_hz, one.found_range.high_hz]} for one in report.outlines],
        "not_assessed": [{"id": one.id, "reason": one.text} for one in report.unassessed],
        "unprinted": dict(report.unprinted), "notices": list(report.notices), "written": report.written,
        "folder": report.folder, "booklets": list(report.booklets), "reused": report.reused, "seconds": round(seconds, 2),
    }  # fmt: skip
    return told


def of_check(found: Checked) -> Told:
    """All problems of a workbook: on the standard output, for they are the result."""
    told = Told(found.exit_code)
    for problem, follows in found.by_cause:
        told.lines.append(f"{'note: ' if problem.notice else ''}{problem}")
        if follows:
            names = ", ".join(dict.fromkeys(one.record_id or one.place for one in follows))
            told.lines.append(f"  because of it these cannot be used either: {names}")
    told.lines.append(
        f"{several(sum(not problem.notice for problem, _ in found.by_cause), 'problem')}; {several(found.fit, 'pairing')} can be assessed, {found.unfit} cannot."
    )
    told.facts = {
        "errors": found.errors, "fit": found.fit, "unfit": found.unfit,
        "found": [{"sheet": one.sheet, "cell": one.cell, "heading": one.heading, "notice": one.notice, "text": str(one)}
                  for one in found.problems],
    }  # fmt: skip
    return told


def of_new(workbook: Path) -> Told:
    """A workbook was written."""
    typed = f'"{workbook}"' if os.name == "nt" else shlex.quote(str(workbook))
    line = f"{workbook} is written. Fill it in any spreadsheet program, then: reportgen run {typed}"
    return Told(0, [line], {"written": workbook})


def of_screen(done: Screened) -> Told:
    """A screening: the best pairs, the tally, what stands in the way, the shelf."""
    found = done.found
    rows = [
        (
            f"{one.rank}", one.low_id, one.high_id, one.used, one.word, f"{hz(one.low_hz)} to {hz(one.high_hz)}",
            "open" if one.octaves is None else f"{one.octaves:.2f}", "unknown" if one.price is None else _plain(one.price, "money", done.currency),
        )
        for one in found.candidates[:RANKED]
    ]  # fmt: skip
    head = ("rank", "low", "high", "used", "verdict of the limits", "usable range, Hz", "octaves", "price of one")
    told = Told(0 if done.page else 1, [Table(head, rows)], problems=done.problems)
    told.lines.append(
        f"{several(found.pairs, 'pair')} at {done.where}, {several(found.judged, 'way')} to use them: {counts(dict(found.words))}."
    )
    told.lines += [f"  in the way of {count}: {what[0].lower()}{what[1:]}" for what, count in found.obstacles[:5]]
    told.lines += [f"{line}." for line in done.shelf]
    told.lines += [*done.notices, f"Sheets: {done.written}; page: {done.page or 'none'}"]
    told.facts = {
        "where": done.where, "pairs": found.pairs, "judged": found.judged, "words": dict(found.words),
        "obstacles": dict(found.obstacles), "shelf": list(done.shelf), "notices": list(done.notices), "written": done.written, "page": done.page,
        "best": [{"rank": one.rank, "low": one.low_id, "high": one.high_id, "guide": one.guide_id, "slope": one.slope, "verdict": one.word,
                  "range_hz": [one.low_hz, one.high_hz], "crossover_hz": one.crossover_hz, "price": one.price} for one in found.candidates[:100]],
    }  # fmt: skip
    return told


def of_answer(done: Answers) -> Told:
    """Every enquiry and what became of it."""
    told = Told(done.exit_code, problems=done.problems)
    for one in done.answers:
        told.lines += _answered(one)
    told.lines += [*done.notices, *done.remarks]
    if done.written is not None:
        told.lines.append(f"Sheet of answers: {done.written}")
    if not done.answers:
        told.lines.append(
            "No enquiry is open. One with a date in “Answered on” is answered again when --only names it."
            if done.kept
            else "There is no enquiry: write each into a row of the sheet “Enquiries”, with an ID and its question."
        )
    told.facts = {
        "answers": [{"id": one.id, "done": one.done, "page": one.page, "text": one.text, "reason": one.reason, "unread": list(one.unread),
                     "proposals": [proposal.high_id for proposal in one.answer.proposals] if one.answer else []} for one in done.answers],
        "notices": [*done.notices, *done.remarks], "written": done.written,
    }  # fmt: skip
    return told


def _answered(one: Answered) -> list[str]:
    return [*_outcome(one), *(f"  {clause}" for clause in one.unread)]


def _outcome(one: Answered) -> list[str]:
    if one.answer is not None and one.answer.proposals:
        drivers = ", ".join(proposal.high_id for proposal in one.answer.proposals)
        return [f"{one.id}: {drivers}. {one.text}", *_missing(one.answer.missing)]
    if one.done:
        return [f"{one.id}: {one.reason} {one.text}"]
    return [f"{one.id}: not answered. {one.reason}{f' {one.text}' if one.text else ''}"]


def _missing(gaps: Sequence[str]) -> list[str]:
    """What an answer lacks: what its enquirer could tell, then what is empty in the catalogue."""
    told = [gap for gap in gaps if " (Enquiries!" in gap]
    ours = [gap for gap in gaps if gap not in told and "no such row" not in gap]
    lists = (("the enquirer could tell", told), ("empty in the catalogue", ours))
    return [f"  {name}: {', '.join(found)}" for name, found in lists if found]


def of_compare(done: Compared) -> Told:
    """The figures that differ."""
    found = done.found
    rows = [
        (one.name, one.unit, *(_figure(value, one.unit, found.currency) for value in one.values))
        for one in found.differing
    ]
    told = Told(0 if done.page else 1, [Table(("figure", "unit", *found.ids), rows)], problems=done.problems)
    told.lines += [*done.notices, f"Sheet: {done.written}; page: {done.page or 'none'}"]
    told.facts = {
        "ids": list(found.ids), "figures": [{"name": one.name, "unit": one.unit, "values": list(one.values)} for one in found.differing],
        "notices": list(done.notices), "written": done.written, "page": done.page,
    }  # fmt: skip
    return told


def _figure(value: float | str | None, unit: str, currency: str) -> str:
    """A figure as it is read on a terminal; no digit of a price is lost.

    >>> _figure(18646.0, "JPY", "JPY"), _figure(128.87, "EUR", "EUR"), _figure(20000.0, "Hz", "EUR"), _figure(4.0612, "dB", "EUR")
    ('18646', '128.87', '20000', '4.1')
    """
    if value is None or isinstance(value, str):
        return value or "-"
    if unit not in DECIMALS:
        return _plain(value, "money", currency)
    return f"{round(value, DECIMALS[unit]) + 0.0:.{DECIMALS[unit]}f}"


def of_history(outcome: Outcome, without: Sequence[str], count: int) -> Told:
    """Where the histories of `count` workbooks are together, and which gave none."""
    line = f"The histories of {several(count - len(without), 'workbook')}: {outcome.path}"
    about = {"written": outcome.path, "reason": outcome.reason, "without": list(without)}
    return Told(int(bool(without)), [*filter(None, (outcome.reason,)), *without, line], about)


def of_recompute(done: Recomputed) -> Told:
    """Every pairing of an old run, and whether it came out as it did."""
    rows = [
        (
            one.entry.pairing_id, one.assessment.verdict.word, _range(one.assessment), hz(one.assessment.crossover_hz),
            " / ".join(filter(None, (one.entry.bound_below, one.entry.bound_above))), "as in History" if one.same else "DIFFERS",
        )
        for one in done.pairings
        if one.assessment is not None
    ]  # fmt: skip
    told = Told(
        done.exit_code, [Table(("pairing", "verdict", "usable range, Hz", "crossover, Hz", "bound by", "result"), rows)]
    )
    for one in done.pairings:
        if one.assessment is None:
            told.lines.append(f"{one.entry.pairing_id}: not worked out again. {one.reason}")
        elif not one.same:
            told.lines.append(_difference(one))
    same = sum(one.same for one in done.pairings)
    told.lines += done.unprinted
    told.lines.append(f"Run {done.run}: {same} of {len(done.pairings)} results are what the History says.")
    told.lines += done.notices
    if done.folder is not None:
        told.lines.append(f"Sheets: {done.folder}")
    told.facts = {
        "run": done.run, "same": same, "folder": done.folder, "notices": [*done.notices, *done.unprinted],
        "pairings": [{"id": one.entry.pairing_id, "same": one.same, "differences": list(one.differences), "reason": one.reason}
                     for one in done.pairings],
    }  # fmt: skip
    return told


def _difference(one: Again) -> str:
    because = f" (program {one.other_program} then, {reportgen.__version__} now)" if one.other_program else ""
    return f"{one.entry.pairing_id}: {'; '.join(one.differences)}{because}"


def of_listing(done: Listed) -> Told:
    """A report of the desk: its sentence, its first table, its remarks."""
    report = done.report
    told = Told(done.exit_code, [f"{report.tally}."], problems=done.problems)
    for listing in report.listings[:1]:
        kinds = [one.kind for one in listing.fields]
        rows = [
            [_plain(value, kind, done.currency) for value, kind in zip(row, kinds, strict=True)] for row in listing.rows
        ]
        if rows:
            told.lines.append(Table([_uncapped(one.name) for one in listing.fields], rows))
    for listing in report.listings[1:]:
        if listing.tab in ("new", "gone"):  # in the tally without a name
            told.lines.append(f"{listing.title}: {joined([' '.join(map(str, row[:2])) for row in listing.rows])}.")
    told.lines += [note if note.endswith((".", "?")) else f"{note}." for note in report.notes]
    told.lines += done.notices
    where = f"Sheets: {done.written}; page" if done.written else "Page"
    told.lines.append(f"{where}: {done.page or 'none'}")
    told.facts = {
        "tally": report.tally, "notes": list(report.notes), "notices": list(done.notices), "written": done.written, "page": done.page,
        "listings": [{"title": one.title, "fields": [each.name for each in one.fields], "rows": [list(row) for row in one.rows]}
                     for one in report.listings if one.on_sheet],
    }  # fmt: skip
    return told


def _uncapped(name: str) -> str:
    """A heading in small letters, but for what is written in capitals as it is.

    >>> _uncapped("On the shelf"), _uncapped("ID")
    ('on the shelf', 'ID')
    """
    return name if name[1:2].isupper() else name[:1].lower() + name[1:]


def _plain(value: Any, kind: str, currency: str) -> str:
    """A value of a table as it is read on a terminal.

    >>> _plain(1234.0, "money", "JPY"), _plain(2.5, "money", "EUR"), _plain(2000.4, "hz", ""), _plain(1200000, "count", "")
    ('1234', '2.50', '2000', '1200000')
    """
    if value is None:
        return "-"
    form = {"money": f".{decimals_of(currency)}f", "hz": ".0f"}.get(kind, "g" if isinstance(value, float) else "")
    return f"{value:{form}}" if isinstance(value, int | float) else str(value)
