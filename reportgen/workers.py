"""Work handed to processes in small pieces: results as they come, and a crash costs only the piece that crashed.

Knows executors, broken pools and the stop key. Refuses to know what the work is. Processes, never threads: the page
engine is not safe in threads.
"""

from __future__ import annotations

import importlib
import multiprocessing
import os
import signal
import threading
from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, TypeVar, cast

from reportgen.problems import ReportgenError

if TYPE_CHECKING:
    from multiprocessing.context import ForkServerContext, SpawnContext

T = TypeVar("T")
R = TypeVar("R")
Work = Callable[[T], R]

AHEAD = 1
"""Pieces that wait beside those being worked on: enough that no worker idles, few enough that memory stays flat and
that few are under suspicion after a crash."""
AHEAD_ELSEWHERE = 64
"""The same for an executor that was handed in, whose workers nobody has counted."""

_SINGLE_THREADED = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")


def cores() -> int:
    """How many processes this one may keep busy."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def as_finished(
    work: Work[T, R],
    pieces: Iterable[T],
    jobs: int,
    crashed: Callable[[T, str], R],
    executor: Executor | None = None,
    preload: Sequence[str] = (),
) -> Generator[tuple[T, R], None, None]:
    """Every piece with `work(piece)`, as they are finished; `crashed(piece, why)` where three workers died on it.

    `jobs` processes of our own do it, which have imported `preload` before they start, or any `executor`, which stays
    open; what that one cannot do is done here. A piece whose worker died is tried twice more, in a process with nothing
    else to do. `work`, pieces and results must be picklable. Close the iterator to stop: its processes end at once.
    """
    todo, foreign = deque(pieces), executor
    while todo:
        suspects: list[T] = []
        if foreign is not None:
            yield from _through(foreign, work, todo, AHEAD_ELSEWHERE, suspects)
            foreign = None
        else:
            with _own(work, jobs, preload) as pool:
                yield from _through(pool, _work_held, todo, jobs + AHEAD, suspects)
        for piece in suspects:
            yield piece, _alone(work, piece, crashed, preload)


def _alone(work: Work[T, R], piece: T, crashed: Callable[[T, str], R], preload: Sequence[str]) -> R:
    """The result of a piece that came to none, from a process with nothing else to do, or what `crashed` makes of it."""
    for last in (False, True):
        with _own(work, 1, preload) as pool:
            try:
                return cast(R, pool.submit(_work_held, piece).result())
            except Exception as error:
                if last:
                    return crashed(piece, f"{type(error).__name__}: {error}")
    raise AssertionError("the last try returns")


def _through(
    executor: Executor, work: Callable[[T], Any], todo: deque[T], ahead: int, suspects: list[T]
) -> Iterator[tuple[T, Any]]:
    """Work through `todo` until it is done or the executor takes no more; what came to no result are `suspects`."""
    running: dict[Future[Any], T] = {}
    takes_more = True
    try:
        while running or (todo and takes_more):
            while todo and takes_more and len(running) < ahead:
                try:
                    running[executor.submit(work, todo[0])] = todo[0]
                    todo.popleft()
                except RuntimeError:  # broken, or shut down
                    takes_more = False
            for future in wait(running, return_when=FIRST_COMPLETED).done:
                piece = running.pop(future)
                if future.cancelled() or future.exception() is not None:
                    suspects.append(piece)
                else:
                    yield piece, future.result()
    finally:
        for future in running:
            future.cancel()


# --- processes of our own -----------------------------------------------------------------------------------------

_HELD: list[Callable[[Any], Any]] = []
"""In a worker: the work it is there for, sent once and not with every piece."""


def _work_held(piece: Any) -> Any:
    return _HELD[0](piece)


def _begin(work: Callable[[Any], Any]) -> None:
    """In a new worker: leave the stop key to the parent, end when the parent ends, hold the work."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    _HELD[:] = [work]


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


@contextmanager
def _own(work: Callable[[Any], Any], jobs: int, preload: Sequence[str]) -> Iterator[Executor]:
    """A pool of our own; its processes are ended at once when the run is stopped or goes wrong."""
    before = set(multiprocessing.active_children())
    pool = ProcessPoolExecutor(jobs, mp_context=_context(preload), initializer=_begin, initargs=(work,))
    try:
        yield pool
    except BaseException:
        pool.shutdown(wait=False, cancel_futures=True)
        for child in set(multiprocessing.active_children()) - before:
            child.kill()
        raise
    pool.shutdown()


def _context(preload: Sequence[str]) -> ForkServerContext | SpawnContext:
    """Processes forked from a clean server that has done the imports; where there is no such thing, new ones.

    The server and all that come of it have the stop key blocked from birth and count on one core each.
    """
    if "forkserver" not in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["__main__", *preload])
    with _environment(dict.fromkeys(_SINGLE_THREADED, "1")):
        mask = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        try:
            importlib.import_module("multiprocessing.forkserver").ensure_running()  # not there on every system
        finally:
            signal.pthread_sigmask(signal.SIG_SETMASK, mask)
    return context


@contextmanager
def _environment(values: dict[str, str]) -> Iterator[None]:
    """Environment variables for processes started inside; those that are set already stay."""
    added = {name: value for name, value in values.items() if name not in os.environ}
    os.environ.update(added)
    try:
        yield
    finally:
        for name in added:
            del os.environ[name]


def start_ahead(preload: Sequence[str]) -> None:
    """Let the server of our processes do its imports while this process is still reading."""
    _context(preload)


# --- processes of others ------------------------------------------------------------------------------------------


@contextmanager
def scheduled(address: str, patience_s: float = 10.0) -> Iterator[Executor]:
    """The executor of a dask.distributed scheduler at `address` (`tcp://127.0.0.1:8786`).

    Its workers need the same version of this program. They run whatever they are sent: use it in a network of your own.
    ReportgenError when the package is missing or nobody answers.
    """
    try:
        distributed = importlib.import_module("distributed")
    except ImportError:
        raise ReportgenError(
            'A scheduler was named, but its client is not installed. Install it with: pip install "reportgen[scheduler]"'
        ) from None
    try:
        client = distributed.Client(address, timeout=patience_s, set_as_default=False)
    except (OSError, ValueError) as error:
        raise ReportgenError(f"{address}: no scheduler answers there. Start one, or run without it.") from error
    with client:
        yield cast(Executor, client.get_executor(pure=False))
