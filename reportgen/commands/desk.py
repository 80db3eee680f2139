"""The daily desk: screen a catalogue, answer enquiries, compare pairings, gather histories, work an old run out again.

Knows the order of the steps of each. Refuses to know how any step is done.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import reportgen
from reportgen.advice.comparison import Comparison, compare
from reportgen.advice.enquiries import Answer, answer, open_enquiries, use_of
from reportgen.advice.replies import reply
from reportgen.advice.screening import SLOPES_TRIED, Screening, screen
from reportgen.assessment import Assessment, assess
from reportgen.catalogue.package import inspect_package
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Case, Catalogue, Enquiry, Pairing
from reportgen.commands import reuse
from reportgen.ledger import archive, desksheets, history
from reportgen.ledger.entries import Entry, History
from reportgen.ledger.graft import graft
from reportgen.ledger.replacement import read_workbook, replace_file
from reportgen.ledger.stamp import RunStamp, operator_name
from reportgen.paper.logos import logo_or_notice
from reportgen.paper.pages import Stamp
from reportgen.problems import CannotAssess, Problem, ReportgenError, WorkbookUnusable

Notify = Callable[[str, int, int], None]
"""Told after each piece of work: its ID, how many are done, how many there are."""

NOT_SEARCHED = "The nearest yes was not searched: the catalogue of that run is not kept."
"""Stands on the sheets of an old run where remedies would."""

GATHERED = "All history"
"""The sheet by which a workbook of gathered histories is known."""


@dataclass(frozen=True)
class Order:
    """Which workbook, where results go, and how they look; `paper` None takes the Maker sheet's.

    `into` is a copy that takes new sheets in the workbook's place; one that stands there already is added to.
    """

    workbook: Path
    out: Path = Path("out")
    into: Path | None = None
    paper: str | None = None
    templates: Path | None = None

    @property
    def folder(self) -> Path:
        """Where the results of this workbook go."""
        return self.out / self.workbook.stem


# --- screen -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Screened:
    """What a screening found, at which use, and where it was printed and written."""

    found: Screening
    use: Pairing
    where: str
    page: Path
    written: Path
    notices: tuple[str, ...]
    problems: tuple[Problem, ...]


def screen_workbook(
    order: Order, low: Sequence[str] = (), application: str | None = None, slopes: Sequence[str] = SLOPES_TRIED
) -> Screened:
    """Every low driver (or those of `low`) against every high driver at the use of a pairing or an enquiry.

    Without `application` it is the use of the first pairing. WorkbookUnusable for unknown IDs.
    """
    catalogue = read_catalogue(order.workbook)
    use, widened, where = _use(catalogue, application)
    lows = [_known(widened.low_drivers, id_, "Low drivers", "low driver") for id_ in low] or list(widened.low_drivers)
    cut = where.startswith("enquiry")
    found = screen(widened, use, slopes=slopes, low_ids=lows, keep=None, keep_spacing=cut)
    desk = _Desk(order, widened, "Screening")
    page = order.folder / "screening.pdf"
    from reportgen.paper import deskpages

    pages = deskpages.screening_pages(found, widened, use, desk.number, desk.stamp, where)
    reuse.write_atomically(page, deskpages.pdf_of(pages, order.templates, desk.paper))
    facts = [f"{fact.label}: {fact.value}" for fact in (*deskpages.counts_facts(use), *deskpages.use_facts(use))]
    lines = [";   ".join(part) for part in (facts[:5], facts[5:])]
    written, notices = desk.add(desksheets.screening_sheets(found, widened, desk.run, where, lines))
    return Screened(found, use, where, page, written, notices, catalogue.problems)


def _use(catalogue: Catalogue, application: str | None) -> tuple[Pairing, Catalogue, str]:
    """The use to screen at, the catalogue with what an enquirer adds to it, and the use's name.

    A crossover that a pairing fixes was fixed for its own two drivers: it is left open.
    """
    if application is None:
        if not catalogue.pairings:
            raise CannotAssess("There is no pairing whose use could be taken: name an enquiry with --application.")
        application = next(iter(catalogue.pairings))
    known = {id_.casefold(): id_ for id_ in (*catalogue.enquiries, *catalogue.pairings)}
    id_ = known.get(application.casefold(), "")
    if id_ in catalogue.pairings:
        return replace(catalogue.pairings[id_], crossover_hz=None), catalogue, f"the use of {id_}"
    if id_ in catalogue.enquiries:
        use, widened, _ = use_of(catalogue.enquiries[id_], catalogue)
        return use, widened, f"enquiry {id_}"
    raise _unknown("Pairings", application, "no pairing and no enquiry has this ID", tuple(known.values()))


# --- answer -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Answered:
    """One enquiry and what became of it: its answer with page and text, or why there is none."""

    id: str
    answer: Answer | None = None
    page: Path | None = None
    text: Path | None = None
    reason: str = ""

    @property
    def done(self) -> bool:
        """False when nothing could be said at all."""
        return self.answer is not None and self.answer.answered


@dataclass(frozen=True)
class Answers:
    """All answers of one go; `exit_code` is 1 when some enquiry could not be answered at all."""

    answers: tuple[Answered, ...]
    problems: tuple[Problem, ...]

    @property
    def exit_code(self) -> int:
        """The command's exit code."""
        return 0 if all(one.done for one in self.answers) else 1


def answer_workbook(order: Order, only: Sequence[str] = (), notify: Notify = lambda *_: None) -> Answers:
    """An answer to every open enquiry, or to those named; each as a page and a text. The workbook is not touched."""
    catalogue = read_catalogue(order.workbook)
    chosen = [_known(catalogue.enquiries, id_, "Enquiries", "enquiry") for id_ in only]
    wanted = [catalogue.enquiries[id_] for id_ in dict.fromkeys(chosen)] or list(open_enquiries(catalogue))
    desk = _Desk(order, catalogue, "Answer")
    answers = []
    for count, enquiry in enumerate(wanted, 1):
        answers.append(_answered(enquiry, desk))
        notify(enquiry.id, count, len(wanted))
    if not only:
        answers += _unread(catalogue)
    return Answers(tuple(answers), catalogue.problems)


def _answered(enquiry: Enquiry, desk: _Desk) -> Answered:
    from reportgen.paper import deskpages

    name = desk.order.folder / "answers" / reuse.safe_name(enquiry.id)
    page, text = (name.with_name(f"{name.name}.{kind}") for kind in ("pdf", "txt"))
    try:
        found = answer(enquiry, desk.catalogue)
        pages = deskpages.answer_pages(found, desk.catalogue.maker, desk.stamp)
        reuse.write_atomically(page, deskpages.pdf_of(pages, desk.order.templates, desk.paper))
        reuse.write_atomically(text, reply(found).encode())
    except ReportgenError as error:
        return Answered(enquiry.id, reason=str(error))
    except (ArithmeticError, LookupError, TypeError, ValueError) as error:
        return Answered(
            enquiry.id, reason=f"an error of the program, please report it: {type(error).__name__}: {error}"
        )
    return Answered(enquiry.id, found, page, text, found.cannot)


def _unread(catalogue: Catalogue) -> list[Answered]:
    """Enquiries whose own row could not be read: they have no answer, and are not passed over."""
    rows: dict[str, list[str]] = {}
    for problem in catalogue.problems:
        if problem.sheet == "Enquiries" and not problem.notice and problem.record_id not in catalogue.enquiries:
            rows.setdefault(problem.record_id or problem.place, []).append(str(problem))
    return [Answered(id_, reason=" ".join(texts)) for id_, texts in rows.items()]


# --- compare ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Compared:
    """Pairings side by side, and where they were printed and written."""

    found: Comparison
    assessments: tuple[Assessment, ...]
    page: Path
    written: Path
    notices: tuple[str, ...]
    problems: tuple[Problem, ...]


def compare_workbook(order: Order, ids: Sequence[str], notify: Notify = lambda *_: None) -> Compared:
    """Assess the pairings named and put them side by side. WorkbookUnusable for unknown IDs."""
    catalogue = read_catalogue(order.workbook)
    known = {**catalogue.pairings, **dict.fromkeys(catalogue.unreadable)}
    chosen = list(dict.fromkeys(_known(known, id_, "Pairings", "pairing") for id_ in ids))
    if len(chosen) < 2:
        raise ReportgenError("A comparison takes two pairings or more; name them one after the other.")
    if spoiled := [id_ for id_ in chosen if id_ in catalogue.unreadable]:
        raise WorkbookUnusable(problem for id_ in spoiled for problem in catalogue.unreadable[id_])
    from reportgen.paper import deskpages

    deskpages.refuse_too_many(len(chosen))
    assessments = []
    for count, id_ in enumerate(chosen, 1):
        assessments.append(assess(catalogue.case(catalogue.pairings[id_])))
        notify(id_, count, len(chosen))
    desk, found = _Desk(order, catalogue, "Comparison"), compare(assessments)
    page = order.folder / f"comparison-{desk.number:03d}.pdf"
    pages = deskpages.comparison_pages(found, assessments, desk.number, desk.stamp)
    reuse.write_atomically(page, deskpages.pdf_of(pages, order.templates, desk.paper))
    written, notices = desk.add(desksheets.comparison_sheet(found, assessments, desk.run, catalogue.maker))
    return Compared(found, tuple(assessments), page, written, notices, catalogue.problems)


# --- history ------------------------------------------------------------------------------------------------------


def gather_histories(workbooks: Sequence[Path], into: Path) -> None:
    """The histories of many workbooks in one at `into`; only an earlier one of the same kind is overwritten."""
    if into.exists() and GATHERED not in inspect_package(into.read_bytes()).sheet_names:
        raise ReportgenError(f"{into}: another file stands here already. Give another name; it is not overwritten.")
    reuse.write_atomically(into, history.gather(workbooks))


# --- an old run again ---------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Again:
    """One pairing of an old run, worked out again: what History says, and how the result differs (empty: not at all)."""

    entry: Entry
    assessment: Assessment | None = None
    differences: tuple[str, ...] = ()
    reason: str = ""

    @property
    def same(self) -> bool:
        """True when the result is what the History says."""
        return self.assessment is not None and not self.differences

    @property
    def other_program(self) -> str:
        """The program version that gave the old result, when it is not this one."""
        return "" if self.entry.program_version in ("", reportgen.__version__) else self.entry.program_version


@dataclass(frozen=True)
class Recomputed:
    """A whole run again; `folder` holds its sheets when they were asked for."""

    run: int
    pairings: tuple[Again, ...]
    folder: Path | None = None
    notices: tuple[str, ...] = ()

    @property
    def exit_code(self) -> int:
        """0 when every result is what the History says."""
        return 0 if all(one.same or not one.entry.inputs for one in self.pairings) else 1


def recompute_run(order: Order, run: int, pdf: bool = False, notify: Notify = lambda *_: None) -> Recomputed:
    """Run number `run` once more from the History alone; with `pdf` its sheets are printed into a folder of their own."""
    content, _ = read_workbook(order.workbook)
    remembered, cases = history.read_history(content), history.recompute(content, run)
    kept = {case.pairing.id.casefold(): case for case in cases}
    entries = _standing(remembered, run)
    folder = order.folder / f"run-{run:03d}" if pdf else None
    again: list[Again] = []
    notices: dict[str, None] = {}
    for count, entry in enumerate(entries, 1):
        one = _again(entry, kept.get(entry.pairing_id.casefold()), remembered)
        if folder is not None and one.assessment is not None:
            logo, notice = logo_or_notice(order.workbook.parent, one.assessment.case.maker.logo_file)
            notices |= {notice: None} if notice else {}
            _print_again(one, remembered, folder, order, logo)
        again.append(one)
        notify(entry.pairing_id, count, len(entries))
    return Recomputed(run, tuple(again), folder, tuple(notices))


def _standing(remembered: History, run: int) -> list[Entry]:
    """The entry of each pairing that stood after a run, in the order of the sheet."""
    ids = dict.fromkeys(entry.pairing_id.casefold() for entry in remembered.entries)
    found = (remembered.last(id_, run) for id_ in ids)
    return [entry for entry in found if entry is not None]


def _again(entry: Entry, case: Case | None, remembered: History) -> Again:
    if case is None:
        return Again(entry, reason=entry.reason or "its inputs were not kept")
    try:
        found = assess(case)
    except CannotAssess as error:
        return Again(entry, reason=str(error))
    changes = history.changes(replace(remembered, entries=(entry,)), [found], reportgen.__version__)
    results = (one for one in changes if one.kind in ("verdict", "result"))
    return Again(entry, found, tuple(f"{one.what}: {one.before} -> {one.after}" for one in results))


def _print_again(one: Again, remembered: History, folder: Path, order: Order, logo: str) -> None:
    from reportgen.paper import render

    assert one.assessment is not None  # the caller has seen to it
    entry, maker = one.entry, one.assessment.case.maker
    earlier = [e for e in remembered.entries if e.pairing_id.casefold() == entry.pairing_id.casefold()]
    revision = sum(e.run <= entry.run for e in earlier)
    date = entry.when.date() if entry.when else dt.date.today()
    stamp = Stamp(str(revision), date, entry.run, archive.fingerprint(one.assessment.case), reportgen.__version__, logo)
    note = "" if one.assessment.verdict.word == "suitable" else NOT_SEARCHED
    sheet = replace(one.assessment, remedies_note=note)
    pdf = render.render_sheet(sheet, stamp, order.templates, order.paper or maker.paper)
    reuse.write_atomically(folder / f"{reuse.safe_name(entry.pairing_id)}.pdf", pdf)


# --- what all of them share ---------------------------------------------------------------------------------------


class _Desk:
    """One piece of work on one workbook: its number, its stamps on sheet and paper, and where its sheets go."""

    def __init__(self, order: Order, catalogue: Catalogue, what: str) -> None:
        self.order, self.catalogue = order, catalogue
        self.paper = order.paper or catalogue.maker.paper
        self.target = order.into or order.workbook
        self._adds_to = self.target if self.target.exists() else order.workbook
        self._content, self._fingerprint = read_workbook(self._adds_to)
        self.number = desksheets.next_number(inspect_package(self._content).sheet_names, what)
        self.run = RunStamp(
            number=self.number,
            started=dt.datetime.now().replace(microsecond=0),
            program_version=reportgen.__version__,
            workbook_fingerprint=catalogue.fingerprint,
            workbook_name=order.workbook.name,
            operator=operator_name(),
        )
        logo, _ = logo_or_notice(order.workbook.parent, catalogue.maker.logo_file)  # reading has told of a bad one
        day, version = self.run.started.date(), reportgen.__version__
        self.stamp = Stamp("", day, self.number, catalogue.fingerprint, version, logo)

    def add(self, sheets: bytes) -> tuple[Path, tuple[str, ...]]:
        """Graft the sheets into the workbook or its copy; where they are now, and why not in place if they are not."""
        grafted = graft(self._content, sheets)
        if self._adds_to != self.target:
            reuse.write_atomically(self.target, grafted)
            return self.target, ()
        outcome = replace_file(self.target, grafted, self._fingerprint, self.order.folder)
        return outcome.path, () if outcome.replaced else (outcome.reason,)


def _known(table: Mapping[str, object], id_: str, sheet: str, what: str) -> str:
    """The ID as the workbook spells it; WorkbookUnusable names those that there are."""
    found = {known.casefold(): known for known in table}.get(id_.casefold())
    if found is None:
        raise _unknown(sheet, id_, f"no {what} has this ID", tuple(table))
    return found


def _unknown(sheet: str, id_: str, expected: str, known: Collection[str]) -> WorkbookUnusable:
    there = f"There are: {', '.join(known)}." if known else "There are none."
    return WorkbookUnusable([Problem(sheet, "", "ID", id_, expected, there)])
