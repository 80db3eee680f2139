"""One batch from workbook to paper: read, assess each, print each, write back, remember.

Knows the order of the steps and what stands beside a step that failed. Refuses to know how any step is done.
"""

from __future__ import annotations

import datetime as dt
import getpass
import os
import pickle
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import reportgen
from reportgen import reuse, workers
from reportgen.advice.remedies import find_remedies
from reportgen.assessment import Assessment, assess
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Catalogue, Pairing
from reportgen.ledger import archive, history, sheets
from reportgen.ledger.entries import History
from reportgen.ledger.graft import graft
from reportgen.ledger.replacement import Fingerprint, read_workbook, replace_file
from reportgen.ledger.stamp import RunStamp
from reportgen.paper.logos import logo_url
from reportgen.paper.pages import Stamp
from reportgen.problems import Problem, ReportgenError, WorkbookUnusable
from reportgen.results import Unassessed, results_json

Notify = Callable[[str, int, int], None]
"""Told after each pairing: its ID, how many are done, how many there are."""

PIECE = 2
"""Pairings handed to a worker at a time."""


@dataclass(frozen=True)
class Order:
    """What one run is asked to do; `paper` None takes the Maker sheet's, `into` writes to a copy."""

    workbook: Path
    only: tuple[str, ...] = ()
    season: str | None = None
    out: Path = Path("out")
    paper: str | None = None
    jobs: int = 1
    pdf: bool = True
    dry_run: bool = False
    into: Path | None = None
    templates: Path | None = None
    booklet: bool = False
    fresh: bool = False


@dataclass(frozen=True)
class Done:
    """What became of one pairing: its assessment and its printed sheet (PDF), or why there is none."""

    id: str
    assessment: Assessment | None = None
    pdf: bytes | None = None
    reason: str = ""
    reused: bool = False


@dataclass(frozen=True)
class Report:
    """What a run did; `exit_code` is 0 when every pairing was assessed and 1 when some were not."""

    assessments: tuple[Assessment, ...]
    unassessed: tuple[Unassessed, ...]
    problems: tuple[Problem, ...]
    folder: Path
    written: Path | None = None
    booklets: tuple[Path, ...] = ()
    notices: tuple[str, ...] = ()
    reused: int = 0

    @property
    def exit_code(self) -> int:
        """The command's exit code."""
        return 1 if self.unassessed else 0


@dataclass(frozen=True)
class Shop:
    """All that a worker needs to work on any pairing of one run."""

    catalogue: Catalogue
    stamp: RunStamp
    remembered: History
    pdf: bool
    paper: str
    templates: Path | None


def run(order: Order, notify: Notify = lambda *_: None, executor: Executor | None = None) -> Report:
    """The whole job on one workbook; WorkbookUnusable when nothing can be done with it."""
    content, fingerprint = _content(order.workbook)
    catalogue = read_catalogue(order.workbook)
    chosen, unassessed = chosen_pairings(catalogue, order)
    folder = order.out / order.workbook.stem
    remembered = history.read_history(content)
    stamp = _stamp(order, catalogue, remembered)
    shop = Shop(catalogue, stamp, remembered, order.pdf, order.paper or catalogue.maker.paper, order.templates)
    program = reuse.key_of_program(shop.paper, order.templates, order.pdf, catalogue.maker)
    store = reuse.Store(folder, program, reuse.key_of_catalogue(catalogue))
    assessments: list[Assessment] = []
    links: dict[str, str] = {}
    reused = 0
    for count, done in enumerate(_worked(shop, chosen, order, store, executor), 1):
        notify(done.id, count, len(chosen))
        reused += done.reused
        if done.assessment is None:
            unassessed.append(Unassessed(done.id, reason=done.reason))
            continue
        assessments.append(done.assessment)
        if order.dry_run:
            continue
        if done.pdf is not None:
            links[done.id] = store.print(done.id, done.pdf)
        if not done.reused:
            store.keep(done.assessment, done.pdf)
    report = Report(tuple(assessments), tuple(unassessed), catalogue.problems, folder, reused=reused)
    if order.dry_run:
        return report
    if order.pdf and report.assessments:
        report = _gathered(report, order, shop, links)
    return _written_back(report, order, shop, content, fingerprint, links)


def _content(workbook: Path) -> tuple[bytes, Fingerprint]:
    try:
        return read_workbook(workbook)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise WorkbookUnusable(
            [
                Problem(
                    workbook.name,
                    "",
                    "",
                    "",
                    f"the file cannot be read: {reason}",
                    "Give the path of a workbook (.xlsx or .xlsm).",
                )
            ]
        ) from error


def chosen_pairings(catalogue: Catalogue, order: Order) -> tuple[list[Pairing], list[Unassessed]]:
    """The pairings that the order asks for, and those of them that cannot be assessed; unknown IDs are an error."""
    wanted = {name.casefold() for name in order.only}
    known = {id_.casefold() for id_ in (*catalogue.pairings, *catalogue.unreadable)}
    if unknown := sorted(name for name in order.only if name.casefold() not in known):
        names = ", ".join(catalogue.pairings)
        raise WorkbookUnusable(
            [Problem("Pairings", "", "ID", ", ".join(unknown), "no pairing has this ID", f"There are: {names}.")]
        )
    chosen = [one for one in catalogue.pairings.values() if not wanted or one.id.casefold() in wanted]
    if order.season is not None:
        chosen = [one for one in chosen if (one.season or "").casefold() == order.season.casefold()]
        if not chosen:
            seasons = sorted({one.season for one in catalogue.pairings.values() if one.season})
            raise WorkbookUnusable(
                [
                    Problem(
                        "Pairings",
                        "",
                        "Season",
                        order.season,
                        "no pairing has this season",
                        f"There are: {', '.join(seasons)}.",
                    )
                ]
            )
    chosen = [one for one in chosen if one.id not in catalogue.unreadable]
    unassessed = [
        Unassessed(id_, problems)
        for id_, problems in catalogue.unreadable.items()
        if (not wanted or id_.casefold() in wanted) and order.season is None
    ]
    return chosen, unassessed


def _stamp(order: Order, catalogue: Catalogue, remembered: History) -> RunStamp:
    return RunStamp(
        number=remembered.next_run,
        started=dt.datetime.now().replace(microsecond=0),
        program_version=reportgen.__version__,
        workbook_fingerprint=catalogue.fingerprint,
        workbook_name=order.workbook.name,
        operator=_operator(),
    )


def _operator() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return ""


# --- one pairing, in whichever process ----------------------------------------------------------------------------


def _worked(
    shop: Shop, chosen: Sequence[Pairing], order: Order, store: reuse.Store, executor: Executor | None
) -> Iterator[Done]:
    """Every chosen pairing in order: from the store where nothing changed, else worked out."""
    kept = {} if order.fresh else {one.id: found for one in chosen if (found := store.find(shop.catalogue, one))}
    todo = [one.id for one in chosen if one.id not in kept]
    pieces = [tuple(todo[at : at + PIECE]) for at in range(0, len(todo), PIECE)]
    packed = pickle.dumps(shop)
    fresh = workers.in_order(_Work(packed), pieces, order.jobs, _crashed, executor)
    waiting: list[Done] = []
    for pairing in chosen:
        if pairing.id in kept:
            yield Done(pairing.id, *kept[pairing.id], reused=True)
            continue
        if not waiting:
            waiting = list(next(fresh))
        yield waiting.pop(0)


@dataclass(frozen=True)
class _Work:
    """A picklable call: one piece of pairings in the shop it carries."""

    packed: bytes

    def __call__(self, ids: tuple[str, ...]) -> tuple[Done, ...]:
        shop = _unpacked(self.packed)
        return tuple(work(shop, id_) for id_ in ids)


@lru_cache(maxsize=1)
def _unpacked(packed: bytes) -> Shop:
    return pickle.loads(packed)  # type: ignore[no-any-return] # our own bytes, made in the parent process


def _crashed(ids: tuple[str, ...]) -> tuple[Done, ...]:
    return tuple(Done(id_, reason="the worker process died on it twice; run it alone with --only") for id_ in ids)


def work(shop: Shop, id_: str) -> Done:
    """Assess and print one pairing; whatever goes wrong with it stays with it."""
    try:
        assessment = assess_with_remedies(shop.catalogue, shop.catalogue.pairings[id_])
        pdf = _printed(assessment, shop) if shop.pdf else None
    except ReportgenError as error:
        return Done(id_, reason=str(error))
    except Exception as error:
        return Done(id_, reason=f"an error of the program, please report it: {type(error).__name__}: {error}")
    return Done(id_, assessment, pdf)


def assess_with_remedies(catalogue: Catalogue, pairing: Pairing) -> Assessment:
    """The assessment of a pairing and, where it is not plainly suitable, the nearest yes."""
    assessment = assess(catalogue.case(pairing))
    if assessment.verdict.word in ("suitable", "undecided"):
        return assessment
    remedies, note = find_remedies(assessment, catalogue)
    return replace(assessment, remedies=remedies, remedies_note=note)


def _printed(assessment: Assessment, shop: Shop) -> bytes:
    from reportgen.paper import render  # the page engine takes half a second to import: only where it prints

    return render.render_sheet(assessment, _sheet_stamp(shop, assessment), shop.templates, shop.paper)


def _sheet_stamp(shop: Shop, assessment: Assessment) -> Stamp:
    """What the sheet of one pairing says of itself; the revision counts its rows in History, this one included."""
    key = archive.fingerprint(assessment.case)
    earlier = [one for one in shop.remembered.entries if one.pairing_id.casefold() == assessment.id.casefold()]
    last = shop.remembered.last(assessment.id)
    revision = len(earlier) + (last is None or last.inputs != key)
    return _stamp_of(shop, str(revision), key)


def _stamp_of(shop: Shop, revision: str, fingerprint: str) -> Stamp:
    logo = logo_url(Path(shop.catalogue.path).parent, shop.catalogue.maker.logo_file)
    return Stamp(revision, shop.stamp.started.date(), shop.stamp.number, fingerprint, shop.stamp.program_version, logo)


def _gathered(report: Report, order: Order, shop: Shop, links: Mapping[str, str]) -> Report:
    """The page for the screen and, if asked for, the catalogue of all sheets in one PDF."""
    from reportgen.paper import booklet, screenpage

    title = order.season or order.workbook.stem
    stamp = _stamp_of(shop, str(shop.stamp.number), shop.stamp.workbook_fingerprint)
    maker, failed = shop.catalogue.maker, [f"{one.id}: {one.text}" for one in report.unassessed]
    page = screenpage.screen_page(report.assessments, maker, stamp, links, title, failed)
    html = screenpage.render_screen_page(page, order.templates)
    reuse.write_atomically(report.folder / "index.html", html.encode())
    if not order.booklet:
        return report
    own = [(one, _sheet_stamp(shop, one)) for one in report.assessments]
    volumes = list(booklet.render_booklet(own, title, stamp, order.templates, shop.paper))
    files = []
    for number, volume in enumerate(volumes, 1):
        name = "catalogue.pdf" if len(volumes) == 1 else f"catalogue-{number}.pdf"
        reuse.write_atomically(report.folder / name, volume)
        files.append(report.folder / name)
    return replace(report, booklets=tuple(files))


# --- after the pairings -------------------------------------------------------------------------------------------


def _written_back(
    report: Report, order: Order, shop: Shop, content: bytes, fingerprint: Fingerprint, links: dict[str, str]
) -> Report:
    report.folder.mkdir(parents=True, exist_ok=True)
    run_facts = {
        "number": shop.stamp.number, "started": shop.stamp.started.isoformat(), "program_version": shop.stamp.program_version,
        "workbook": shop.stamp.workbook_name, "workbook_sha256": shop.stamp.workbook_fingerprint,
    }  # fmt: skip
    text = results_json(report.assessments, report.unassessed, run_facts)
    reuse.write_atomically(report.folder / "results.json", text.encode())
    target = order.into or order.workbook
    base = Path(os.path.relpath(report.folder, target.parent)).as_posix()
    relative = {id_: f"{base}/{name}" for id_, name in links.items()}
    additions = sheets.result_sheets(report.assessments, report.unassessed, shop.stamp, relative, shop.remembered)
    grafted = graft(content, additions, replace=history.SHEETS)
    if order.into is not None:
        reuse.write_atomically(order.into, grafted)
        return replace(report, written=order.into)
    outcome = replace_file(order.workbook, grafted, fingerprint, report.folder)
    notices = () if outcome.replaced else (outcome.reason,)
    return replace(report, written=outcome.path, notices=notices)
