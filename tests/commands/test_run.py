"""One batch: what stands beside a step that failed, and what is chosen. Whole runs are in endtoend/test_run.py."""

from __future__ import annotations

import datetime as dt
import errno
import json
import pickle
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import Executor, Future
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import openpyxl
import pytest

from reportgen.assessment import Assessment, assess
from reportgen.catalogue.package import inspect_package
from reportgen.catalogue.records import Case, Catalogue
from reportgen.commands import piecework, reuse, told, workers
from reportgen.commands import run as season
from reportgen.commands.run import Report, RunOrder, run
from reportgen.commands.tasks import Done, Shop, Task, crashed
from reportgen.ledger.history import read_history
from reportgen.ledger.revisions import Revised
from reportgen.paper import booklet, render, screenpage
from reportgen.paper.printing import Stamp
from reportgen.problems import CannotAssess, Problem, ReportgenError, WorkbookUnusable
from tests.commands.working import dies_on_p_19
from tests.demo_catalogue import demo
from tests.endtoend.seasons import after_a_run, chosen, small, write_files, write_season
from tests.every import every

FEW = ("P-12", "P-19", "P-15")
"""Pairings that are worked out quickly."""


class Here(Executor):
    """Does each piece at once in this process, so that tests can put faults in its way."""

    def submit(self, work: Any, /, *pieces: Any, **_: Any) -> Future[Any]:
        future: Future[Any] = Future()
        future.set_result(work(*pieces))
        return future


KEPT = dict[str, Assessment]()


def assessed(case: Case) -> Assessment:
    """What a pairing of this season comes to: worked out once, for these tests are about what is done with it."""
    if case.pairing.id not in KEPT:
        KEPT[case.pairing.id] = assess(case)
    return KEPT[case.pairing.id]


@pytest.fixture
def order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> RunOrder:
    monkeypatch.setattr(piecework, "assess", assessed)
    monkeypatch.setattr(piecework, "find_remedies", lambda *_: ((), ""))
    workbook = write_season(tmp_path / "season.xlsx", chosen(*FEW), **small(*chosen(*FEW)))
    return RunOrder(workbook, out=tmp_path / "out", into=tmp_path / "copy.xlsx", pdf=False)


@pytest.fixture
def again(tmp_path: Path) -> RunOrder:
    """The same after a first run, whose results are kept and stand in the copy."""
    write_files(tmp_path, after_a_run(*FEW))
    (tmp_path / "run" / "copy.xlsx").rename(tmp_path / "copy.xlsx")
    return RunOrder(tmp_path / "season.xlsx", out=tmp_path / "out", into=tmp_path / "copy.xlsx", pdf=False)


def failing(monkeypatch: pytest.MonkeyPatch, error: Exception, id_: str = "P-19") -> None:
    real = piecework.assess

    def assess(case: Case) -> Assessment:
        if case.pairing.id == id_:
            raise error
        return real(case)

    monkeypatch.setattr(piecework, "assess", assess)


def test_an_error_nobody_foresaw_is_one_pairing_s_reason(order: RunOrder, monkeypatch: pytest.MonkeyPatch) -> None:
    failing(monkeypatch, ZeroDivisionError("float division"))
    report = run(order, executor=Here())
    assert report.exit_code == 1
    assert [one.id for one in report.outlines] == ["P-12", "P-15"]
    (failed,) = report.unassessed
    assert failed.id == "P-19"
    assert failed.text.startswith(
        "Pairings!A3: an error of the program, please report it: ZeroDivisionError: float division"
    )
    assert "piecework.py line" in failed.text and "reportgen 0" in failed.text


def test_what_the_program_itself_cannot_do_keeps_its_words(order: RunOrder, monkeypatch: pytest.MonkeyPatch) -> None:
    failing(monkeypatch, CannotAssess("High drivers!H4: nothing can be made of it"))
    assert [one.text for one in run(order, executor=Here()).unassessed] == [
        "High drivers!H4: nothing can be made of it"
    ]


def test_running_out_of_memory_is_one_pairing_s_reason(order: RunOrder, monkeypatch: pytest.MonkeyPatch) -> None:
    failing(monkeypatch, MemoryError())
    assert "MemoryError" in run(order, executor=Here()).unassessed[0].text


def test_a_pairing_that_kills_its_worker_is_reported_with_its_row() -> None:
    stamp: Any = None
    tasks = [Task(demo().pairings[id_], stamp) for id_ in FEW]
    found = {task.pairing.id: done for task, done in workers.as_finished(dies_on_p_19, tasks, 2, crashed)}
    assert found["P-12"].reason == found["P-15"].reason == "alive"
    assert found["P-19"].reason.startswith("Pairings!A20: three processes that worked on it ended without a result")


def test_a_disk_that_takes_nothing_costs_sheets_never_results(order: RunOrder, monkeypatch: pytest.MonkeyPatch) -> None:
    real = reuse.write_atomically

    def full(target: Path, content: bytes, cleared: bool = False) -> None:
        if target.suffix in (".pdf", ".html"):
            raise OSError(errno.ENOSPC, "No space left on device", str(target))
        real(target, content)

    monkeypatch.setattr(reuse, "write_atomically", full)
    monkeypatch.setattr(piecework, "_printed", lambda *_: (b"%PDF", Revised(1, "")))
    report = run(replace(order, pdf=True), executor=Here())
    assert len(report.outlines) == 3 and report.exit_code == 1
    assert set(report.unprinted) == {*FEW, "index.html"}
    assert any(
        "P-12 Fenhall.pdf takes no file (No space left on device). Make room there" in one for one in report.notices
    )
    assert report.written == order.into
    lines = [line for line in told.of_run(report, 1.0).lines if isinstance(line, str)]
    assert f"Results: {report.written}" in lines, "no sheets are there, and none are told of"
    assert lines[-1] == "3 pairings in 1 s: 1 suitable, 1 suitable with conditions, 1 undecided."
    indexed = told.of_run(replace(report, unprinted={}), 1.0).lines
    assert f"Results: {report.written}; index: {report.folder}" in indexed
    assert f"Results: {report.written}; sheets: {report.folder}" in told.of_run(replace(report, sheets=3), 1.0).lines
    assert len(json.loads((report.folder / "results.json").read_text())["pairings"]) == 3


def test_what_workers_say_of_themselves_is_told_once(order: RunOrder, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(piecework, "_printed", lambda *_: (b"%PDF", Revised(1, "")))
    monkeypatch.setattr(render, "harfbuzz_subset", None)
    said = [one for one in run(replace(order, pdf=True), executor=Here()).notices if "libharfbuzz-subset0" in one]
    assert len(said) == 1


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A real memory disk of 512 KiB; only root may mount one."""
    folder = tmp_path / "disk"
    folder.mkdir()
    if subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=512k", "none", folder], capture_output=True, check=False
    ).returncode:
        pytest.skip("mounting a memory disk is not permitted here")
    yield folder
    subprocess.run(["umount", folder], check=True)


def test_a_full_disk_for_real_and_on_with_it_once_there_is_room(order: RunOrder, small_disk: Path) -> None:
    ballast = small_disk / "ballast"
    ballast.write_bytes(bytes(500 << 10))
    report = run(replace(order, out=small_disk), executor=Here())
    assert len(report.outlines) == 3 and report.exit_code == 1
    assert "No space left on device" in report.unprinted["results.json"]
    ballast.unlink()
    again = run(replace(order, out=small_disk), executor=Here())
    assert again.exit_code == 0 and not again.unprinted
    assert run(replace(order, out=small_disk), executor=Here()).reused == 3


def test_memory_holds_small_figures_alone(order: RunOrder) -> None:
    report = run(order, executor=Here())
    assert report.outlines and all(len(pickle.dumps(replace(one, case=None))) < 5000 for one in report.outlines)


def test_the_workers_get_the_catalogue_without_the_pairings(order: RunOrder, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[Catalogue] = []
    real = piecework.work

    def work(shop: Shop, task: Task) -> Done:
        seen.append(shop.catalogue)
        return real(shop, task)

    monkeypatch.setattr(piecework, "work", work)
    run(order, executor=Here())
    assert len({id(one) for one in seen}) == 1, "unpacked once a process"
    assert not seen[0].pairings and seen[0].low_drivers


@pytest.mark.parametrize("before", ("order", "again"))
def test_progress_counts_to_the_end_also_when_all_is_taken_over(request: pytest.FixtureRequest, before: str) -> None:
    told: list[tuple[str, int, int]] = []
    run(request.getfixturevalue(before), lambda *one: told.append(one), Here())
    assert [(count, total) for _, count, total in told] == [(1, 3), (2, 3), (3, 3)]
    assert {id_ for id_, _, _ in told} == set(FEW)


def test_choosing() -> None:
    catalogue = replace(demo(), unreadable={"P-02": (), "Pairings!A9": ()})
    ids = lambda order: [[one.id for one in part] for part in season.chosen_pairings(catalogue, order)]  # noqa: E731
    plain = RunOrder(Path("season.xlsx"))
    assert ids(replace(plain, only=("p-01", "P-02"))) == [["P-01"], ["P-02"]]
    assert ids(replace(plain, only=("PAIRINGS!A9",))) == [[], ["Pairings!A9"]]
    dated = replace(
        catalogue.pairings["P-01"], season="Spring 2027"
    )  # a row that cannot be used might be of any season
    catalogue = replace(catalogue, pairings={**catalogue.pairings, "P-01": dated})
    assert ids(replace(plain, season="spring 2027"))[1] == ["P-02", "Pairings!A9"]
    assert len(ids(plain)[0]) == len(demo().pairings) - 1
    with pytest.raises(WorkbookUnusable, match=r"“?P-77.*There are: P-01, "):
        ids(replace(plain, only=("P-77",)))


def test_result_sheets_of_the_last_runs_stay_and_no_number_comes_twice(again: RunOrder) -> None:
    order = again
    assert order.into is not None
    second, third = (run(replace(order, keep=2), executor=Here()).notices for _ in range(2))
    assert second == ()
    gone = "Run 001 summary, Run 001 checks, Run 001 parts"
    assert third == (f"Result sheets of old runs removed: {gone}. History keeps what they came to.",)
    tabs = inspect_package(order.into.read_bytes()).sheet_names
    assert [tab for tab in tabs if tab.endswith("summary")] == ["Run 002 summary", "Run 003 summary"]
    assert {entry.run for entry in read_history(order.into).entries} == {1}, "nothing changed since"
    run(replace(order, keep=1), executor=Here())
    tabs = inspect_package(order.into.read_bytes()).sheet_names
    assert [tab for tab in tabs if tab.endswith("summary")] == ["Run 004 summary"]


def test_a_run_in_which_nothing_changed_imports_no_engine(again: RunOrder) -> None:
    """What calculates and prints is for the workers: 70 MB and a second that such a run does not have."""
    code = (
        "import sys\nfrom pathlib import Path\nfrom reportgen.commands.run import RunOrder, run\n"
        "book, out, into = map(Path, sys.argv[1:])\n"
        "print(run(RunOrder(book, out=out, into=into, pdf=False)).reused)\n"
        "print({'scipy.optimize', 'scipy.special', 'scipy.linalg', 'weasyprint', 'pandas'} & set(sys.modules))"
    )
    places = [str(place) for place in (again.workbook, again.out, again.into)]
    done = subprocess.run([sys.executable, "-c", code, *places], capture_output=True, text=True, check=True)
    assert done.stdout.split() == [str(len(FEW)), "set()"]


def test_what_will_be_undecided_is_handed_out_first_one_a_process_and_stands_where_it_stood(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """P-15 has neither travel nor rated power, P-21 no break-up: neither waits for a search, which takes longest."""
    rows, handed = ("P-12", "P-03", "P-21", "P-19", "P-15"), list[str]()
    workbook = write_season(tmp_path / "season.xlsx", chosen(*rows), **small(*chosen(*rows)))
    order = RunOrder(workbook, out=tmp_path / "out", jobs=2, dry_run=True, pdf=False)
    work = piecework.work

    def noted(shop: Shop, task: Task) -> Done:
        handed.append(task.pairing.id)
        return work(shop, task)

    monkeypatch.setattr(piecework, "work", noted)
    monkeypatch.setattr(piecework, "assess_with_remedies", lambda catalogue, one: piecework.assess(catalogue.case(one)))
    report = run(order, executor=Here())
    assert handed == ["P-15", "P-21", "P-12", "P-03", "P-19"]
    assert [one.id for one in report.outlines] == list(rows)


def test_work_is_handed_out_before_what_does_it_is_imported() -> None:
    """The first sheet waits for that too: physics, judgement and search are for the workers, result sheets for the end."""
    rooms = "('acoustics', 'crossover', 'pairing', 'suitability', 'assessment', 'advice')"
    light = "('reportgen.pairing', 'reportgen.pairing.shopping')"  # adds prices of records, and imports nothing else
    heavy = f"[name for name in sys.modules if name.startswith('reportgen.') and name.split('.')[1] in {rooms} and name not in {light}]"
    code = f"import sys, reportgen.commands.run, reportgen.commands.tasks; print({heavy}, 'scipy' in sys.modules)"
    assert (
        subprocess.run([sys.executable, "-c", code], check=True, stdout=subprocess.PIPE, text=True).stdout
        == "[] False\n"
    )


def test_a_worker_reads_no_workbook_and_imports_nothing_that_only_others_need() -> None:
    """The first sheet waits for what a worker imports."""
    asked = "{'scipy.optimize', 'openpyxl', 'lxml', 'pandas', 'weasyprint'} & set(sys.modules)"
    code = f"import sys, reportgen.commands.piecework, scipy.special; print({asked})"
    told = subprocess.run([sys.executable, "-c", code], check=True, stdout=subprocess.PIPE, text=True).stdout
    assert told.strip() == "set()"


def test_the_sheet_of_a_row_that_was_taken_off_is_left_and_named_once(again: RunOrder) -> None:
    here = replace(again, into=None)
    kit = demo().pairings["P-12"].kit
    sheet = again.folder / f"P-12 {kit}.pdf"
    assert run(here, executor=Here()).notices == ()
    sheet.write_bytes(b"printed")
    for take_off, failed, said in (
        (lambda page: setattr(page["H2"], "value", "a lot"), 1, False),  # a row that cannot be read is still there
        (lambda page: page.delete_rows(2), 0, True),
        (None, 0, False),
    ):
        if take_off:
            book = openpyxl.load_workbook(again.workbook)
            assert book["Pairings"]["A2"].value == "P-12"
            take_off(book["Pairings"])
            book.save(again.workbook)
        report = run(here, executor=Here())
        assert len(report.unassessed) == failed
        notices = tuple(one for one in report.notices if "no longer" in one)
        assert notices == ((f"P-12 is no longer in the workbook; its old sheet was left: {sheet}.",) if said else ())
    assert sheet.read_bytes() == b"printed"


def test_only_what_is_printed_again_is_read_and_comes_first() -> None:
    """P-15 will be undecided, so its sheet is there soonest of those that are worked out; P-19 is worked out already."""
    tasks = [Task(demo().pairings[id_], Any) for id_ in ("P-12", "P-15", "P-19")]  # type: ignore[arg-type]
    store = SimpleNamespace(whole=lambda case: case.pairing.id)
    batch: Any = SimpleNamespace(reprinted={"P-19"}, store=store, catalogue=demo(), order=SimpleNamespace(jobs=2))
    assert [season.Batch.ready(batch, task).kept for task in tasks] == [None, None, "P-19"]
    assert [task.pairing.id for task in season.soonest_first(batch, tasks)] == ["P-19", "P-15", "P-12"]


def test_a_sheet_that_this_run_did_not_print_keeps_its_revision_and_its_words(monkeypatch: pytest.MonkeyPatch) -> None:
    case, before = demo().case(demo().pairings["P-12"]), SimpleNamespace(revision=4, paper="a", line="Price moved")
    page = lambda revision, _: Stamp(revision, dt.date(2026, 11, 27), 7, "", "")  # noqa: E731
    store, stamps = SimpleNamespace(inputs=lambda _: "k"), SimpleNamespace(on_page=page)
    for printed, known, said in (
        ({}, None, ("1", "")), ({}, before, ("4", "Price moved")), ({"P-12": Revised(5, "b", "Qms moved")}, before, ("5", "Qms moved")),
    ):  # fmt: skip
        monkeypatch.setattr(season, "earlier", lambda *_, known=known: known)
        batch: Any = SimpleNamespace(revisions=printed, remembered=None, store=store, stamps=stamps)
        stamp = season.Batch.sheet_stamp(batch, case)
        assert (stamp.revision, stamp.changed) == said


def test_volumes_are_numbered_where_there_are_several_and_old_ones_alone_go(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    one: Any = SimpleNamespace(case=None)
    names = ("catalogue.pdf", "catalogue-1.pdf", "catalogue-10.pdf", "catalogue of ours.pdf")
    monkeypatch.setattr(booklet, "VOLUME", 2)
    for sheets, left in ((2, {"catalogue.pdf"}), (3, {"catalogue-1.pdf", "catalogue-2.pdf"})):
        for name in names:
            (tmp_path / name).write_bytes(b"old")
        monkeypatch.setattr(booklet, "render_booklet", lambda own, *_: [b"new"] * -(-len(own) // 2))
        store = SimpleNamespace(folder=tmp_path)
        batch: Any = SimpleNamespace(sheet_stamp=lambda _: None, order=RunOrder(tmp_path / "season.xlsx"), title="", own_stamp=None, paper="a4", store=store, notices=[])  # fmt: skip
        report: Any = SimpleNamespace(outlines=[one] * sheets, folder=tmp_path)
        assert {file.name for file in season._volumes(report, batch)} == left and batch.notices == []
        assert {file.name for file in tmp_path.iterdir()} == {*left, "catalogue of ours.pdf"}
        assert all((tmp_path / name).read_bytes() == b"new" for name in left)


def test_volumes_stand_in_the_order_of_their_numbers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for number in range(1, 12):
        (tmp_path / f"catalogue-{number}.pdf").touch()
    told: list[Any] = []
    monkeypatch.setattr(screenpage, "screen_page", lambda *page: told.append(page[-1]))
    monkeypatch.setattr(screenpage, "render_screen_page", lambda *_: iter(()))
    batch: Any = SimpleNamespace(catalogue=demo(), own_stamp=None, sheets={}, title="", order=RunOrder(tmp_path))
    report: Any = SimpleNamespace(unassessed=(), folder=tmp_path, outlines=())
    assert [*season._screen_page(report, batch)] == []
    assert told == [[f"catalogue-{number}.pdf" for number in range(1, 12)]]


def test_a_dry_run_needs_no_place_and_rows_that_cannot_be_used_are_told_where_there_are_no_others(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bad = Problem("Pairings", "C2", "Low driver", "LD-77", "no such row")
    catalogue = replace(demo(), pairings={}, unreadable={"P-01": (bad,)}, problems=(bad,))
    monkeypatch.setattr(season, "read_catalogue", lambda _: catalogue)
    monkeypatch.setattr(season, "_place", lambda _: None)
    monkeypatch.setattr(season, "_batch", lambda *_: SimpleNamespace(sheets={}, unprinted={}, notices=[]))
    monkeypatch.setattr(season, "_gone_through", lambda _, chosen, unassessed, *__: Report(tuple(chosen), tuple(unassessed), (), tmp_path))  # fmt: skip
    (tmp_path / "out").touch()
    dry = RunOrder(tmp_path / "season.xlsx", out=tmp_path / "out", dry_run=True)
    report = run(dry)
    assert report.exit_code == 1 and told.of_run(report, 1.0).lines == [
        f"P-01: not assessed. {bad}", "1 pairing in 1 s: 1 not assessed.",
    ]  # fmt: skip
    with pytest.raises(ReportgenError, match="is no folder"):
        run(replace(dry, dry_run=False))


@every("printed", ([], ["P-12"]))
def test_a_catalogue_goes_when_one_of_its_sheets_was_printed_anew(
    printed: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "catalogue.pdf").touch()
    monkeypatch.setattr(season, "_results", lambda *_: iter(()))
    monkeypatch.setattr(season, "_screen_page", lambda *_: iter(()))
    batch: Any = SimpleNamespace(order=RunOrder(tmp_path), printed=printed, store=SimpleNamespace(folder=tmp_path), notices=[], unprinted={})  # fmt: skip
    whole: Any = SimpleNamespace(id="P-12")
    season._gathered(Report((whole,), (), (), tmp_path), batch)
    assert batch.unprinted == {} and (tmp_path / "catalogue.pdf").exists() is (not printed)
    assert [one.partition(":")[0] for one in batch.notices] == ["catalogue.pdf was removed"] * len(printed)
