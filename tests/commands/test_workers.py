"""Work in processes: nothing lost, a crash costs one piece, nothing left running."""

from __future__ import annotations

import gc
import multiprocessing
import os
import signal
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from reportgen.commands import workers
from reportgen.problems import ReportgenError
from tests.commands.working import (
    AlwaysDies,
    DiesOnce,
    SpeaksLong,
    collects,
    dies_on_three,
    eats_all_memory_on_three,
    killed_on_three,
    settings,
    squared,
    whoami,
)
from tests.endtoend.seasons import chosen, small, write_season
from tests.every import every

REPOSITORY = Path(__file__).parents[2]


def all_of(work: Callable[[int], Any], numbers: range, jobs: int = 2, **how: Any) -> dict[int, Any]:
    return dict(workers.as_finished(work, numbers, jobs, lambda piece, why: why, **how))


@pytest.mark.parametrize("jobs", (1, 2, 3))
def test_every_piece_comes_back_with_its_result(jobs: int) -> None:
    assert all_of(squared, range(20), jobs) == {number: number**2 for number in range(20)}
    assert not multiprocessing.active_children()


def test_a_process_makes_way_after_its_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workers, "SERVICE", 3)
    found = all_of(whoami, range(20), 2)
    assert max(Counter(found.values()).values()) == 3 and len(set(found.values())) >= 7


def test_processes_collect_their_garbage() -> None:
    assert set(all_of(collects, range(4)).values()) == {True}


def test_an_engine_that_cannot_be_loaded_costs_the_sheets_and_no_result(tmp_path: Path) -> None:
    """Its libraries fail as they are loaded, in the server of the processes too: that is said once a sheet, in words."""
    engine = tmp_path / "engine" / "weasyprint"
    engine.mkdir(parents=True)
    (engine / "__init__.py").write_text('raise OSError("cannot load library libpango")', encoding="utf-8")
    rows = chosen("P-12")
    workbook = write_season(tmp_path / "season.xlsx", rows, **small(*rows))
    path = os.pathsep.join([str(engine.parent), str(Path(__file__).parents[2])])
    words = [sys.executable, "-m", "reportgen", "run", str(workbook), "--out", str(tmp_path / "out")]
    done = subprocess.run(words, env={**os.environ, "PYTHONPATH": path}, capture_output=True, text=True, check=False)
    assert done.returncode == 1 and "Traceback" not in done.stdout + done.stderr
    assert "P-12: not printed. Nothing can be printed: the page engine cannot be loaded" in done.stdout
    assert "libpango" in done.stdout and "1 suitable with conditions" in done.stdout


def test_no_pieces_start_no_process() -> None:
    assert all_of(squared, range(0)) == {}
    assert not multiprocessing.active_children()


@pytest.mark.parametrize(
    ("work", "said"),
    (
        (dies_on_three, "exit code 1"),
        (killed_on_three, "killed by signal 9"),
        (eats_all_memory_on_three, "MemoryError"),
    ),
)
@pytest.mark.parametrize("jobs", (1, 2))
def test_a_crash_costs_the_piece_that_crashed_and_no_other(work: Callable[[int], int], said: str, jobs: int) -> None:
    found = all_of(work, range(8), jobs)
    why = found.pop(3)
    assert found == {number: number**2 for number in range(8) if number != 3}
    assert said in why


def test_a_piece_that_kills_three_processes_is_given_up_and_no_sooner(tmp_path: Path) -> None:
    found = all_of(AlwaysDies(tmp_path / "marks"), range(2, 5), 1)
    assert found == {2: 4, 3: "exit code 1", 4: 16} and (tmp_path / "marks").read_text() == "xxx"


def test_a_worker_that_is_killed_by_chance_costs_nothing(tmp_path: Path) -> None:
    assert all_of(DiesOnce(tmp_path / "died"), range(8)) == {number: number**2 for number in range(8)}
    assert (tmp_path / "died").exists()


@pytest.mark.parametrize("jobs", (1, 2))
def test_a_process_killed_while_it_speaks_costs_nothing_but_time(tmp_path: Path, jobs: int) -> None:
    mark, found = tmp_path / "mark", dict[int, int]()
    for piece, result in workers.as_finished(SpeaksLong(mark), range(6), jobs, lambda piece, why: why.encode()):
        found[piece] = len(result)
        if len(found) == 4 - jobs:  # three is being worked on, and nobody listens
            while not (mark.exists() and mark.read_text()):  # it is there before it is written
                time.sleep(0.01)
            time.sleep(0.2)
            for child in multiprocessing.active_children():
                child.kill()
    assert found == dict.fromkeys(range(6), 8 << 20)
    assert mark.read_text() == "xx", "three had to be done twice"


def test_workers_leave_the_stop_key_to_the_parent_and_count_on_one_core() -> None:
    assert set(all_of(settings, range(4)).values()) == {("1", True)}


@pytest.mark.parametrize(
    ("work", "pieces"),
    ((time.sleep, [0.0, 60.0, 60.0, 60.0]), (bytes, [1, 8 << 20, 8 << 20])),
    ids=("busy", "in speech"),
)
def test_closing_early_ends_the_processes_at_once(work: Callable[[Any], Any], pieces: list[Any]) -> None:
    threads = threading.active_count()
    running = workers.as_finished(work, pieces, 2, lambda piece, why: why)
    next(running)
    time.sleep(0.3)
    begun = time.monotonic()
    running.close()
    assert time.monotonic() - begun < 5.0
    assert not multiprocessing.active_children() and threading.active_count() == threads


def test_an_executor_that_is_handed_in_is_used_and_stays_open() -> None:
    with ThreadPoolExecutor(1) as executor:
        assert all_of(squared, range(5), executor=executor) == {number: number**2 for number in range(5)}
        assert executor.submit(squared, 3).result() == 9


class Failing(Executor):
    """Does three pieces, then reports what a lost cluster reports."""

    def __init__(self, then: BaseException) -> None:
        self.left, self.then = 3, then

    def submit(self, work: Any, /, *pieces: Any, **_: Any) -> Future[Any]:
        future: Future[Any] = Future()
        self.left -= 1
        if self.left >= 0:
            future.set_result(work(*pieces))
        elif isinstance(self.then, RuntimeError):
            raise self.then
        else:
            future.set_exception(self.then)
        return future


@every("then", (RuntimeError("cannot schedule new futures after shutdown"), OSError("connection lost")))
def test_what_another_executor_cannot_do_is_done_here(then: Exception) -> None:
    said = list[str]()
    found = all_of(squared, range(6), executor=Failing(then), say=said.append)
    assert found == {number: number**2 for number in range(6)}
    full = f"Nothing more can be handed out ({then}). The rest of the work is done on this machine."
    lost = "3 pieces of work came back without a result and will be done on this machine."
    assert said == [full if isinstance(then, RuntimeError) else lost]


class Silent(Executor):
    """Takes every piece and never does any."""

    def submit(self, work: Any, /, *pieces: Any, **_: Any) -> Future[Any]:
        return Future()


def test_an_executor_that_is_lost_is_said_and_its_pieces_are_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workers, "ASKED_S", 0.05)
    asked, said = iter(("", "", "all gone")), list[str]()
    found = all_of(squared, range(6), executor=Silent(), trouble=lambda: next(asked), say=said.append)
    assert found == {number: number**2 for number in range(6)}
    assert said == ["all gone"]


class Losing(Executor):
    """Does what it is told but for some pieces, which come back without a result; or does nothing at all."""

    def __init__(self, lost: Sequence[int] = (), silent: bool = False) -> None:
        self.lost, self.silent = lost, silent
        self.given: list[tuple[int, Future[Any]]] = []

    def submit(self, work: Any, /, piece: Any, **_: Any) -> Future[Any]:
        future: Future[Any] = Future()
        self.given.append((piece, future))
        if not self.silent:
            if piece in self.lost:
                future.set_exception(OSError("connection lost"))
            else:
                future.set_result(work(piece))
        return future


def _handed_out(
    executor: Losing, monkeypatch: pytest.MonkeyPatch, asked_s: float = 0.02, **how: Any
) -> tuple[list[int], list[str]]:
    """Ten pieces: those that were done here, in their order and without processes, and what was said."""
    here, said = list[int](), list[str]()

    def alone(_: Any, todo: Any, *__: Any) -> Iterator[tuple[int, int]]:
        here.extend(todo)
        return ((piece, piece * piece) for piece in todo)

    monkeypatch.setattr(workers, "_here", alone)
    monkeypatch.setattr(workers, "ASKED_S", asked_s)
    found = all_of(squared, range(10), executor=executor, say=said.append, **how)
    assert found == {number: number**2 for number in range(10)}
    return here, said


@every(
    ("lost", "said"),
    [
        ((), []),
        ((4,), ["A piece of work came back without a result and will be done on this machine."]),
        ((1, 3), ["2 pieces of work came back without a result and will be done on this machine."]),
        ((1, 3, 8), ["3 pieces of work came back without a result and will be done on this machine."]),
    ],
)
def test_pieces_without_a_result_are_counted_and_done_here_in_their_order(
    lost: tuple[int, ...], said: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(workers, "AHEAD", 1)
    assert _handed_out(Losing(lost), monkeypatch) == (list(lost), said)


def test_an_executor_that_loses_a_piece_is_asked_at_once_and_gets_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workers, "AHEAD", 2)
    executor = Losing((0,))
    here, said = _handed_out(executor, monkeypatch, trouble=lambda: "It is gone.")
    assert [piece for piece, _ in executor.given] == [0, 1]
    assert (sorted(here), said) == ([0, *range(2, 10)], ["It is gone."])


def test_what_is_still_at_work_elsewhere_is_not_done_again_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first is lost and nothing more is handed out; the second comes a little later and counts."""
    monkeypatch.setattr(workers, "AHEAD", 2)

    class Slow(Losing):
        def submit(self, work: Any, /, piece: Any, **more: Any) -> Future[Any]:
            if piece == 0:
                return super().submit(work, piece, **more)
            future: Future[Any] = Future()
            threading.Timer(0.05, lambda: future.set_result(work(piece))).start()
            return future

    executor = Slow((0,))
    here, said = _handed_out(executor, monkeypatch, 0.5, trouble=lambda: "It is gone.")
    assert (sorted(here), said) == ([0, *range(2, 10)], ["It is gone."])


def test_a_piece_that_was_cancelled_elsewhere_is_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    class Cancelling(Losing):
        def submit(self, work: Any, /, piece: Any, **more: Any) -> Future[Any]:
            if piece != 4:
                return super().submit(work, piece, **more)
            future: Future[Any] = Future()
            assert future.cancel() and not future.set_running_or_notify_cancel()  # as an executor says that it was
            return future

    assert _handed_out(Cancelling(), monkeypatch)[0] == [4]


def test_a_piece_is_completed_before_it_goes_elsewhere_too() -> None:
    found = all_of(squared, range(5), executor=Losing(), ready=lambda piece: piece + 100)
    assert found == {number: (number + 100) ** 2 for number in range(5)}


def test_so_many_pieces_are_ahead_and_no_more_and_taken_back_at_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workers, "AHEAD", 3)
    executor = Losing(silent=True)
    assert _handed_out(executor, monkeypatch, trouble=lambda: "It is gone.") == ([*range(10)], ["It is gone."])
    assert [(piece, future.cancelled()) for piece, future in executor.given] == [(0, True), (1, True), (2, True)]


def test_a_scheduler_that_does_not_answer_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("distributed")
    from reportgen.commands import scheduler  # not above: every process of these tests would import it

    monkeypatch.setattr(scheduler, "PATIENCE_S", 0.5)
    with (
        pytest.raises(ReportgenError, match=r"tcp://127\.0\.0\.1:9: no scheduler answers there"),
        scheduler.scheduled("tcp://127.0.0.1:9", print),
    ):
        pass


KILLED_PARENT = """
import sys, time
sys.path.insert(0, {repository!r})
from reportgen.commands import workers
from tests.commands.working import says_who_and_waits
if __name__ == "__main__":
    list(workers.as_finished(says_who_and_waits, [{marks!r}] * 2, 2, lambda piece, why: None))
"""


@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_killing_the_parent_leaves_no_orphans(tmp_path: Path) -> None:
    script, marks = tmp_path / "parent.py", tmp_path / "marks"
    marks.mkdir()
    script.write_text(KILLED_PARENT.format(repository=str(REPOSITORY), marks=str(marks)))
    parent = subprocess.Popen([sys.executable, str(script)])
    deadline = time.monotonic() + 60
    while len(list(marks.iterdir())) < 2 and time.monotonic() < deadline:
        time.sleep(0.05)
    children = [int(mark.name) for mark in marks.iterdir()]
    assert len(children) == 2
    parent.kill()
    parent.wait()
    deadline = time.monotonic() + 60  # anew: a machine that stood still above has not spent the time of this
    while any(_runs(child) for child in children) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not any(_runs(child) for child in children)


def _runs(process: int) -> bool:
    """Whether a process is there and not merely waiting to be reaped."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False


def test_a_piece_is_completed_when_it_is_handed_out_and_no_earlier() -> None:
    """What is long is in memory for the pieces at work alone."""
    done, ahead = 0, list[int]()

    def ready(piece: int) -> int:
        ahead.append(len(ahead) + 1 - done)
        return piece + 100

    for piece, result in workers.as_finished(squared, range(12), 2, lambda piece, why: -1, ready=ready):
        done += 1
        assert result == (piece + 100) ** 2
    assert len(ahead) == 12 and max(ahead) <= 4


def test_processes_come_from_a_server_where_the_system_has_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """On Linux it has (Python 3.11, multiprocessing: contexts and start methods); elsewhere they begin anew."""
    assert workers._context(()).get_start_method() == "forkserver" or sys.platform != "linux"
    monkeypatch.setattr(multiprocessing, "get_all_start_methods", lambda: ["spawn"])
    assert workers._context(()).get_start_method() == "spawn"


def test_what_the_operator_has_set_stays_and_nothing_of_ours_does(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("OMP_NUM_THREADS", "4")
    monkeypatch.delenv("MKL_NUM_THREADS", raising=False)
    with workers._environment({"OMP_NUM_THREADS": "1", "MKL_NUM_THREADS": "1"}):
        assert (os.environ["OMP_NUM_THREADS"], os.environ["MKL_NUM_THREADS"]) == ("4", "1")
    assert os.environ["OMP_NUM_THREADS"] == "4" and "MKL_NUM_THREADS" not in os.environ


def test_the_stop_key_still_reaches_the_one_that_starts_the_others() -> None:
    workers.start_ahead(())
    assert signal.SIGINT not in signal.pthread_sigmask(signal.SIG_BLOCK, ())


LEFT_OPEN = """
import sys, time
sys.path.insert(0, {repository!r})
from reportgen.commands import workers
if __name__ == "__main__":
    running = workers.as_finished(time.sleep, [0.0, 60.0, 60.0], 2, lambda piece, why: None)
    next(running)
    sys.stdout.write("one")
"""


def test_a_program_that_ends_in_the_midst_of_it_waits_for_nobody(tmp_path: Path) -> None:
    script = tmp_path / "parent.py"
    script.write_text(LEFT_OPEN.format(repository=str(REPOSITORY)))
    done = subprocess.run([sys.executable, str(script)], capture_output=True, text=True, timeout=30, check=True)
    assert done.stdout == "one"


def test_no_module_of_the_house_stops_the_search_for_garbage_but_in_a_server() -> None:
    """Read for their examples, all modules are imported here; with the server's first among them every cycle stayed for good."""
    assert gc.isenabled() and "reportgen.commands.workers_first" not in sys.modules
