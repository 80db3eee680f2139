"""One batch from workbook to paper: read, assess each, print each, write back, remember.

Knows the order of the steps and what stands beside a step that failed. Refuses to know how any step is done.
"""

from __future__ import annotations

import importlib
import os
import pickle
import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote

from reportgen.catalogue.files import folder_of
from reportgen.catalogue.reading import read_catalogue, unreadable
from reportgen.catalogue.records import Case, Catalogue, Pairing
from reportgen.commands import reuse, scheduler, workers
from reportgen.commands.aside import Aside, DigestAside
from reportgen.commands.filenames import safe_name, sheet_named
from reportgen.commands.guard import no_room, why_not
from reportgen.commands.handed import Piecework
from reportgen.commands.letters import unprintable
from reportgen.commands.orders import Notify, Order, Stamps, not_there, stamps, tell_nobody
from reportgen.commands.preload import PRELOAD
from reportgen.commands.tasks import Done, Shop, Task, crashed
from reportgen.ledger import history
from reportgen.ledger.archive import Packer
from reportgen.ledger.destination import Destination, destination
from reportgen.ledger.entries import History
from reportgen.ledger.kept import inflated
from reportgen.ledger.revisions import Revised, earlier
from reportgen.paper.own import own_templates
from reportgen.paper.printing import Pages, Stamp
from reportgen.problems import CannotAssess, Problem, Unassessed, WorkbookUnusable

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from reportgen.assessment import Assessment, Outline, Overview

_VOLUME = re.compile(r"catalogue(-\d+)?\.pdf")


@dataclass(frozen=True)
class RunOrder(Order):
    """What one run is asked to do beyond what any command is.

    `scheduler` is the address of a dask.distributed scheduler whose workers take the place of `jobs` processes; `keep` says
    of how many runs the result sheets stay in the workbook, this run counted, None of all.
    """

    only: tuple[str, ...] = ()
    season: str | None = None
    jobs: int = 1
    pdf: bool = True
    dry_run: bool = False
    booklet: bool = False
    data: bool = False
    pages: Pages = "all"
    fresh: bool = False
    scheduler: str | None = None
    keep: int | None = None


@dataclass(frozen=True)
class Report:
    """What a run did; `exit_code` is 0 when every pairing was assessed and printed as asked, and 1 when some were not.

    `sheets` counts the printed ones in `folder`; `unprinted` maps an assessed pairing's ID, or a file of the whole run, to why it is not there.
    """

    outlines: tuple[Outline, ...]
    unassessed: tuple[Unassessed, ...]
    problems: tuple[Problem, ...]
    folder: Path
    written: Path | None = None
    booklets: tuple[Path, ...] = ()
    notices: tuple[str, ...] = ()
    reused: int = 0
    sheets: int = 0
    unprinted: Mapping[str, str] = field(default_factory=dict)

    @property
    def exit_code(self) -> int:
        """The command's exit code."""
        return 1 if self.unassessed or self.unprinted else 0


@dataclass
class Batch:
    """One run under way: what all its steps share, and what they have come to so far."""

    order: RunOrder
    catalogue: Catalogue
    remembered: History
    stamps: Stamps
    store: reuse.Store
    aside: Aside
    finished: dict[str, DigestAside] = field(default_factory=dict)
    sheets: dict[str, str] = field(default_factory=dict)
    revisions: dict[str, Revised] = field(default_factory=dict)
    printed: list[str] = field(default_factory=list)
    reprinted: set[str] = field(default_factory=set)
    failed: dict[str, str] = field(default_factory=dict)
    unprinted: dict[str, str] = field(default_factory=dict)
    notices: list[str] = field(default_factory=list)

    @property
    def paper(self) -> str:
        """The size of the pages."""
        return self.order.paper_of(self.catalogue)

    def task(self, case: Case) -> Task:
        """What is to be done for a pairing: its stamp, but for the revision, and the sheet printed last."""
        key = self.store.inputs(case)
        stamp = self.stamps.on_page(fingerprint=key)
        return Task(case.pairing, stamp, None, earlier(self.remembered, case, key) if self.order.pdf else None)

    def sheet_stamp(self, case: Case) -> Stamp:
        """What the sheet of one pairing says of itself."""
        sheet = self.revisions.get(case.pairing.id)
        if sheet is None:
            before = earlier(self.remembered, case, self.store.inputs(case))
            sheet = Revised(1, "") if before is None else Revised(before.revision, before.paper, before.line)
        stamp = self.stamps.on_page(str(sheet.revision), self.store.inputs(case))
        return replace(stamp, changed=sheet.line)

    def ready(self, task: Task) -> Task:
        """A task with the kept assessment where only its sheet is to be printed: one at a time is in memory."""
        if task.pairing.id not in self.reprinted:
            return task
        return replace(task, kept=self.store.whole(self.catalogue.case(task.pairing)))

    @property
    def title(self) -> str:
        """What the whole run is called."""
        return self.order.season or self.order.workbook.stem

    @property
    def own_stamp(self) -> Stamp:
        """What pages about the whole run say of themselves."""
        return self.stamps.on_page(str(self.stamps.run.number))


def run(
    order: RunOrder,
    notify: Notify = tell_nobody,
    executor: Executor | None = None,
    say: Callable[[str], None] = workers.say_nothing,
) -> Report:
    """The whole job on one workbook; WorkbookUnusable when nothing can be done with it.

    `executor` works on the pairings in place of processes of our own; `say` is told at once of what delays the work. Stopped at any time (KeyboardInterrupt), the run
    leaves the workbook alone and keeps every finished pairing; the same order goes on from there.
    """
    if not order.dry_run:
        order.check_place()
    place = _place(order)
    catalogue = read_catalogue(order.workbook)
    if not catalogue.pairings and not catalogue.unreadable:
        mend = "Fill a row there: a low driver, a high driver and a cabinet."
        raise WorkbookUnusable([Problem("Pairings", "", "", "", "there is no pairing to run", mend)])
    chosen, unassessed = chosen_pairings(catalogue, order)
    with Aside() as aside:
        batch = _batch(order, catalogue, place, aside)
        report = _gone_through(batch, chosen, unassessed, (notify, say), executor)
        if not order.dry_run:
            report = _written_back(_gathered(report, batch), batch, place)
    missing = tuple(f"{what}: not printed. {why}" for what, why in batch.unprinted.items())
    return replace(
        report, sheets=len(batch.sheets), unprinted=batch.unprinted, notices=(*batch.notices, *missing, *report.notices)
    )


def _gone_through(
    batch: Batch,
    chosen: Sequence[Pairing],
    unassessed: Sequence[Unassessed],
    told: tuple[Notify, Callable[[str], None]],
    executor: Executor | None,
) -> Report:
    """Every chosen pairing taken over or done."""
    order, catalogue, (notify, say) = batch.order, batch.catalogue, told
    tasks = _sorted_out(batch, chosen)
    reused = len(batch.finished)
    total = reused + len(tasks)
    for count, id_ in enumerate(batch.finished, 1):
        notify(id_, count, total)

    def tell(text: str) -> None:
        batch.notices.append(text)
        say(text)

    with _elsewhere(order, executor, tell) as (others, trouble):
        for count, id_ in enumerate(_worked(batch, tasks, others, trouble, tell), reused + 1):
            notify(id_, count, total)
    from reportgen.commands.check import found_in_files

    failed = [Unassessed(one.id, reason=batch.failed[one.id]) for one in chosen if one.id in batch.failed]
    return Report(
        outlines=tuple(batch.finished[one.id].outline for one in chosen if one.id in batch.finished),
        unassessed=(*unassessed, *failed),
        problems=(
            *catalogue.problems,
            *found_in_files(catalogue, [task.pairing for task in tasks]),
            *(unprintable(catalogue) if order.pdf else ()),
        ),
        folder=batch.store.folder,
        reused=reused,
    )


# --- before the pairings ------------------------------------------------------------------------------------------


def _place(order: RunOrder) -> Destination:
    try:
        return destination(order.workbook, order.into)
    except OSError as error:
        raise unreadable(Path(error.filename or order.workbook), error) from error


def chosen_pairings(catalogue: Catalogue, order: RunOrder) -> tuple[list[Pairing], list[Unassessed]]:
    """The pairings that the order asks for, and those of them that cannot be assessed.

    A row that cannot be used counts as one of every season. WorkbookUnusable for an ID or a season that is not
    there, with those that are.
    """
    pairings, unreadable = catalogue.pairings, catalogue.unreadable
    wanted = {name.casefold() for name in order.only}
    known = {id_.casefold() for id_ in (*pairings, *unreadable)}
    if unknown := sorted(name for name in order.only if name.casefold() not in known):
        known_ids = tuple(dict.fromkeys((*pairings, *unreadable)))
        raise not_there("Pairings", "ID", ", ".join(unknown), "no pairing has this ID", known_ids)
    season = None if order.season is None else order.season.casefold()
    seasons = sorted({one.season for one in pairings.values() if one.season})
    if season is not None and season not in {name.casefold() for name in seasons}:
        raise not_there("Pairings", "Season", order.season or "", "no pairing has this Season", seasons)

    def asked(id_: str) -> bool:
        of_season = season is None or id_ in unreadable or (pairings[id_].season or "").casefold() == season
        return of_season and (not wanted or id_.casefold() in wanted)

    chosen = [one for one in pairings.values() if one.id not in unreadable and asked(one.id)]
    return chosen, [Unassessed(id_, problems) for id_, problems in unreadable.items() if asked(id_)]


def _batch(order: RunOrder, catalogue: Catalogue, place: Destination, aside: Aside) -> Batch:
    remembered = history.read_history(place.content)
    least = remembered.next_run
    if not order.dry_run:
        reuse.claim(order.folder, order.workbook)
    number = least if order.dry_run else reuse.take_number(order.folder, "run", least)
    made = stamps(order, catalogue, number)
    printing = reuse.key_of_printing(order.paper_of(catalogue), made.logo, order.templates, order.pages)
    store = reuse.Store(order.folder, catalogue, printing, Packer(remembered.stored))
    notices = [*filter(None, (place.notice, made.notice, order.elsewhere))]
    return Batch(order, catalogue, remembered, made, store, aside, notices=notices)


def _sorted_out(batch: Batch, chosen: Sequence[Pairing]) -> list[Task]:
    """Take over what did not change; return what is left to do, also where only the sheet is."""
    tasks = []
    for pairing in chosen:
        try:
            case = batch.catalogue.case(pairing)
        except CannotAssess as error:
            batch.failed[pairing.id] = str(error)
            continue
        found = None if batch.order.fresh else batch.store.find(case)
        if found is None or found.digest is None:
            tasks.append(batch.task(case))
        elif batch.order.pdf and not found.sheet:
            batch.reprinted.add(pairing.id)
            tasks.append(batch.task(case))
        else:
            batch.finished[pairing.id] = DigestAside.of(found.digest, batch.aside)
            if found.sheet:
                batch.sheets[pairing.id] = found.sheet
            if found.revised is not None:
                batch.revisions[pairing.id] = found.revised
    if batch.store.damaged:
        files = ", ".join(dict.fromkeys(batch.store.damaged))
        batch.notices.append(f"Kept results were damaged on the disk and are worked out again: {files}.")
    return tasks


# --- the pairings -------------------------------------------------------------------------------------------------


@contextmanager
def _elsewhere(
    order: RunOrder, executor: Executor | None, say: Callable[[str], None]
) -> Iterator[tuple[Executor | None, Callable[[], str]]]:
    """The executor that is handed in or that the order names, if any, and whom to ask whether it still works."""
    if order.scheduler is None:
        yield executor, workers.no_trouble
        return
    with scheduler.scheduled(order.scheduler, say) as found:
        yield (found.executor, found.trouble) if found else (None, workers.no_trouble)


def _worked(
    batch: Batch,
    tasks: Sequence[Task],
    executor: Executor | None,
    trouble: Callable[[], str],
    say: Callable[[str], None],
) -> Iterator[str]:
    """Do every task; each ID as it is finished and kept."""
    order = batch.order
    tools = replace(batch.catalogue, pairings={}, enquiries={}, problems=(), unreadable={})
    shop = Shop(tools, order.pdf, batch.paper, own_templates(order.templates), order.pages)
    piecework = Piecework(pickle.dumps(shop, protocol=5))
    preload = PRELOAD if order.pdf else PRELOAD[:-1]
    done_one_by_one = workers.as_finished(
        piecework,
        soonest_first(batch, tasks),
        order.jobs,
        crashed,
        executor,
        preload,
        trouble,
        say,
        batch.ready,
        _import_the_rest,
    )
    with closing(done_one_by_one) as finished:
        for task, done in finished:
            _delivered(batch, task.pairing.id, done)
            yield task.pairing.id


def _import_the_rest() -> None:
    """What results need, and nobody before: imported while the first of them are worked out."""
    for name in ("commands.digests", "commands.check", "ledger.oldruns", "ledger.graft"):
        importlib.import_module(f"reportgen.{name}")


def soonest_first(batch: Batch, tasks: Sequence[Task]) -> list[Task]:
    """The same tasks, led by those, one a process, whose sheets will be there soonest; the others stay in their order.

    Soonest is what needs printing alone, then what its rows leave most undecided: for that no nearest yes is searched.
    """

    def rank(task: Task) -> tuple[bool, int]:
        return task.pairing.id not in batch.reprinted, -_unknown(batch.catalogue.case(task.pairing))

    first = sorted(tasks, key=rank)[: batch.order.jobs]
    ahead = {task.pairing.id for task in first}
    return [*first, *(task for task in tasks if task.pairing.id not in ahead)]


def _unknown(case: Case) -> int:
    """How many cells are empty without which nothing can be said of break-up, heat or level."""
    low, high = case.low, case.high
    told = [low.breakup_hz, low.rated_power_w, low.peak_travel_m, high.rated_power_w]
    if case.technology.travel_stated:
        told += [high.fs_hz, high.peak_travel_m]
    return told.count(None)


def _delivered(batch: Batch, id_: str, done: Done) -> None:
    """Put one finished pairing where it belongs; a disk that takes nothing costs its sheet, never its result."""
    if done.assessment is None:
        batch.failed[id_] = done.reason
        return
    from reportgen.commands.digests import Digest

    own = batch.catalogue  # else each would hold its own copy of the same drivers
    whole = replace(done.assessment, case=own.case(own.pairings[id_]))
    digest = Digest.of(whole)
    batch.finished[id_] = DigestAside.of(digest, batch.aside)
    if done.notice and done.notice not in batch.notices:
        batch.notices.append(done.notice)
    if done.reason:
        batch.unprinted[id_] = done.reason
    if batch.order.dry_run:
        return
    try:
        if sheet := batch.store.keep(whole, done.pdf, done.sheet, digest):
            batch.sheets[id_] = sheet
            batch.printed.append(id_)
            if done.sheet is not None:
                batch.revisions[id_] = done.sheet
    except OSError as error:
        if done.pdf is not None:
            batch.unprinted[id_] = no_room(error, batch.store.folder)


# --- after the pairings -------------------------------------------------------------------------------------------


def _gathered(report: Report, batch: Batch) -> Report:
    """What is made of all pairings together, file by file; one that cannot be made is named and left out."""

    def one_file(name: str, make: Callable[[Report, Batch], Iterable[str]]) -> None:
        reuse.write_atomically(report.folder / name, (piece.encode() for piece in make(report, batch)))

    files: list[Path] = []
    steps: dict[str, Callable[[], None]] = {"results.json": lambda: one_file("results.json", _results)}
    if batch.order.data:
        steps["curves and circuits"] = lambda: _data(report, batch)
    if report.outlines and batch.order.pdf and batch.order.booklet:
        steps["catalogue.pdf"] = lambda: files.extend(_volumes(report, batch))
    elif batch.printed:
        steps["catalogue.pdf"] = lambda: _drop_booklet(batch)
    if report.outlines:  # last, for it leads to the catalogue
        steps["index.html"] = lambda: one_file("index.html", _screen_page)
    for name, step in steps.items():
        try:
            step()
        except Exception as error:
            batch.unprinted[name] = why_not(error)
    return replace(report, booklets=tuple(files))


def _results(report: Report, batch: Batch) -> Iterator[str]:
    from reportgen.commands.results import results_json

    run = batch.stamps.run
    facts = {
        "number": run.number, "started": run.started.isoformat(), "program_version": run.program_version,
        "workbook": run.workbook_name, "workbook_sha256": run.workbook_fingerprint,
    }  # fmt: skip
    lines = (inflated(batch.finished[one.id].line).decode() for one in report.outlines)
    return results_json(lines, report.unassessed, facts)


def _data(report: Report, batch: Batch) -> None:
    """The curves and the circuit of every pairing, beside its sheet."""
    from reportgen.commands.datafiles import data_files

    for one in report.outlines:
        for ending, text in data_files(_whole(batch, one)):
            reuse.write_atomically(report.folder / (safe_name(one.id) + ending), text.encode())


def _whole(batch: Batch, one: Overview) -> Assessment:
    found = batch.store.whole(one.case)
    if found is None:
        raise CannotAssess(f"{one.id}: its result is not kept, or can no longer be read")
    return found


def _screen_page(report: Report, batch: Batch) -> Iterator[str]:
    from reportgen.paper import screenpage

    failed = [f"{one.id}: {one.text}" for one in report.unassessed]
    maker, stamp = batch.catalogue.maker, batch.own_stamp
    volumes = [file.name for file in report.folder.glob("catalogue*.pdf") if _VOLUME.fullmatch(file.name)]
    volumes.sort(key=lambda name: (len(name), name))
    page = screenpage.screen_page(report.outlines, maker, stamp, batch.sheets, batch.title, failed, volumes)
    return screenpage.render_screen_page(page, batch.order.templates)


def _volumes(report: Report, batch: Batch) -> Iterator[Path]:
    """All sheets bound together, volume by volume."""
    from reportgen.paper import booklet

    own = [(one, batch.sheet_stamp(one.case)) for one in report.outlines]
    several = len(own) > booklet.VOLUME
    order = batch.order
    bound = booklet.render_booklet(
        own, batch.title, batch.own_stamp, order.templates, batch.paper, None, order.pages, partial(_whole, batch)
    )
    files = []
    for number, volume in enumerate(bound, 1):
        files.append(report.folder / (f"catalogue-{number}.pdf" if several else "catalogue.pdf"))
        reuse.write_atomically(files[-1], volume)
        yield files[-1]
    _drop_booklet(batch, files)


def _drop_booklet(batch: Batch, kept: Sequence[Path] = ()) -> None:
    """Remove volumes that no longer hold the sheets as they are."""
    for file in sorted(batch.store.folder.glob("catalogue*.pdf")):
        if _VOLUME.fullmatch(file.name) and file not in kept:
            file.unlink()
            if not kept:
                batch.notices.append(f"{file.name} was removed: its sheets changed. Bind it anew with --booklet.")


def _left_behind(report: Report, batch: Batch, here: Collection[str]) -> Iterator[str]:
    """What is to be said of the sheets of pairings whose rows are gone since the last run: they are left, for somebody may need them."""
    for entry in batch.remembered.gone_from(here):
        sheet = report.folder / sheet_named(entry.pairing_id, entry.kit)
        if sheet.exists():
            yield f"{entry.pairing_id} is no longer in the workbook; its old sheet was left: {sheet}."


def _written_back(report: Report, batch: Batch, place: Destination) -> Report:
    """The result sheets into the workbook, into its copy, or beside it."""
    from reportgen.ledger import oldruns, sheets
    from reportgen.ledger.graft import graft

    base = Path(os.path.relpath(report.folder.resolve(), folder_of(place.path))).as_posix()
    links = {id_: quote(f"{base}/{name}") for id_, name in batch.sheets.items()}
    results = [(one, batch.finished[one.id]) for one in report.outlines]
    here = (*batch.catalogue.pairings, *batch.catalogue.unreadable)
    additions = sheets.result_sheets(
        results,
        report.unassessed,
        batch.stamps.run,
        links,
        batch.remembered,
        batch.revisions,
        batch.paper,
        batch.store.packer,
        here,
    )
    keep = batch.order.keep
    old = oldruns.old_result_sheets(place.content, keep, batch.stamps.run.number) if keep else oldruns.OldSheets()
    outcome = place.deliver(graft(place.content, additions, history.SHEETS, old.gone), report.folder)
    notices = [*old.notices, *(() if outcome.replaced else (outcome.reason,)), *_left_behind(report, batch, here)]
    if old.gone:
        notices.insert(0, f"Result sheets of old runs removed: {', '.join(old.gone)}. History keeps what they came to.")
    return replace(report, written=outcome.path, notices=(*report.notices, *notices))
