"""Work handed to processes in small pieces: results as they come, and a crash costs only the piece that crashed.

Knows processes, executors and the stop key. Refuses to know what the work is. Processes, never threads: the page
engine is not safe in threads. Our own processes have a line each to this one: the standard pool has one line for all,
and waits on it for ever when a process is killed while it hands over a result longer than the line holds.
"""

from __future__ import annotations

import gc
import importlib
import multiprocessing
import os
import signal
import threading
from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from multiprocessing.connection import Connection
from multiprocessing.connection import wait as wait_for_any
from multiprocessing.process import BaseProcess
from typing import TYPE_CHECKING, Any, TypeVar, cast

from reportgen.commands.cores import SINGLE_THREADED

if TYPE_CHECKING:
    from concurrent.futures import Executor, Future
    from multiprocessing.context import ForkServerContext, SpawnContext

T = TypeVar("T")
R = TypeVar("R")
Work = Callable[[T], R]

AHEAD = 64
"""Pieces handed out at once to an executor whose workers nobody has counted."""
ASKED_S = 2.0
"""After so long without a result an executor is asked whether it still works."""
TRIES = 3
"""Processes that may die on one piece before it is given up."""
SERVICE = 200
"""Pieces after which a process makes way for a new one, and with it what libraries have lost of its memory."""


def no_trouble() -> str:
    """The answer of an executor that nobody can ask: it works."""
    return ""


def as_it_is(piece: T) -> T:
    """A piece that is handed out as it waits."""
    return piece


def say_nothing(_: str) -> None:
    """Told where nobody listens."""


def nothing_else() -> None:
    """What is done meanwhile where there is nothing to do."""


def as_finished(
    work: Work[T, R],
    pieces: Iterable[T],
    jobs: int,
    crashed: Callable[[T, str], R],
    executor: Executor | None = None,
    preload: Sequence[str] = (),
    trouble: Callable[[], str] = no_trouble,
    say: Callable[[str], None] = say_nothing,
    ready: Callable[[T], T] = as_it_is,
    meanwhile: Callable[[], None] = nothing_else,
) -> Generator[tuple[T, R], None, None]:
    """Every piece with `work(piece)`, as they are finished; `crashed(piece, why)` where three processes died on it.

    `jobs` processes of our own do it, which have imported `preload` before they start, or any `executor`, which stays
    open; what that one cannot do is done here: `trouble` is asked now and then why nothing more will come from it ("" while
    it works), and `say` is told. `ready` completes a piece with what is long, just before it is handed out; `meanwhile` is called once while the first results of our own processes
    are awaited. `work`, pieces and results must be picklable. Close the iterator to
    stop: its processes end at once.
    """
    todo = deque(pieces)
    if executor is not None:
        yield from _elsewhere(executor, work, todo, trouble, say, ready)
    yield from _here(work, todo, jobs, crashed, preload, ready, meanwhile)


def _elsewhere(
    executor: Executor,
    work: Work[T, R],
    todo: deque[T],
    trouble: Callable[[], str],
    say: Callable[[str], None],
    ready: Callable[[T], T],
) -> Iterator[tuple[T, R]]:
    """Work through `todo` until it is done or the executor gives no more; what came to no result is put back."""
    from concurrent.futures import FIRST_COMPLETED, wait

    running: dict[Future[R], T] = {}
    lost: list[T] = []
    why = ""
    try:
        while running or (todo and not why):
            while todo and not why and len(running) < AHEAD:
                try:
                    running[executor.submit(work, ready(todo[0]))] = todo[0]
                    todo.popleft()
                except RuntimeError as error:  # broken, or shut down
                    why = f"Nothing more can be handed out ({error}). The rest of the work is done on this machine."
            done = wait(running, timeout=ASKED_S, return_when=FIRST_COMPLETED).done
            none = not done
            while done:  # a result is held no longer than it is looked at
                future = done.pop()
                piece = running.pop(future)
                if future.cancelled() or future.exception() is not None:
                    lost.append(piece)
                else:
                    yield piece, future.result()
            if (none or lost) and not why:
                why = trouble()
            if why and none:
                break
    finally:
        for future in running:
            future.cancel()
    lost += running.values()
    todo.extendleft(reversed(lost))
    if why or lost:
        came = f"{len(lost)} pieces of work came" if len(lost) > 1 else "A piece of work came"
        say(why or f"{came} back without a result and will be done on this machine.")


# --- processes of our own -----------------------------------------------------------------------------------------


def _here(
    work: Work[T, R],
    todo: deque[T],
    jobs: int,
    crashed: Callable[[T, str], R],
    preload: Sequence[str],
    ready: Callable[[T], T],
    meanwhile: Callable[[], None],
) -> Iterator[tuple[T, R]]:
    """Work through `todo` in processes of our own: a new one where one died, none left at the end."""
    waiting = deque((piece, 1) for piece in todo)
    crew: dict[Connection, tuple[BaseProcess, int, T, int]] = {}

    def hand_over(line: Connection, process: BaseProcess, served: int = 0) -> None:
        piece, tries = waiting.popleft()
        crew[line] = process, served + 1, piece, tries
        whole = ready(piece)
        with suppress(OSError):  # that nobody is there to take it shows when its result is awaited
            line.send(whole)

    try:
        while waiting or crew:
            while waiting and len(crew) < jobs:
                hand_over(*_worker(work, preload))
            meanwhile()
            meanwhile = nothing_else
            for line in cast("list[Connection]", wait_for_any(list(crew))):
                process, served, piece, tries = crew[line]
                result, why = _received(line, process)
                if waiting and not why and served < SERVICE:  # before the result is used: no process waits for that
                    hand_over(line, process, served)
                else:
                    del crew[line]
                    _end(line, process)
                if not why:
                    yield piece, cast(R, result)
                elif tries < TRIES:
                    waiting.appendleft((piece, tries + 1))
                else:
                    yield piece, crashed(piece, why)
    finally:
        for line, (process, *_) in crew.items():
            _end(line, process)


def _worker(work: Callable[[Any], Any], preload: Sequence[str]) -> tuple[Connection, BaseProcess]:
    """A new process that holds the work, and the line to it."""
    context = _context(preload)
    line, its_end = context.Pipe()
    process = context.Process(target=_serve, args=(its_end, work), daemon=True)
    process.start()
    its_end.close()  # or its death would not be seen as the end of the line
    return line, process


def _serve(line: Connection, work: Callable[[Any], Any]) -> None:
    """In a worker: do what comes until the line ends, or until a piece fails; nobody trusts this process after that."""
    gc.freeze()  # what the server has imported stays
    gc.enable()
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    why = ""
    with suppress(EOFError):
        while not why:
            piece, result = line.recv(), None
            try:
                result = work(piece)
            except Exception as error:
                why = f"{type(error).__name__}: {error}"
            line.send((result, why))


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _received(line: Connection, process: BaseProcess) -> tuple[object, str]:
    """The result that a process has ready, or why there will be none."""
    try:
        result, why = line.recv()
    except (EOFError, OSError):  # ended before or while it spoke
        process.join()
        code = process.exitcode or 0
        return None, f"killed by signal {-code}" if code < 0 else f"exit code {code}"
    return result, why


def _end(line: Connection, process: BaseProcess) -> None:
    """End a process, whatever it is doing, and wait until it is gone."""
    process.kill()
    process.join()
    line.close()


def _context(preload: Sequence[str]) -> ForkServerContext | SpawnContext:
    """Processes forked from a clean server that has done the imports; where there is no such thing, new ones.

    The server and all that come of it have the stop key blocked from birth and count on one core each.
    """
    if "forkserver" not in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload([f"{__name__}_first", "__main__", *preload])
    with _environment(dict.fromkeys(SINGLE_THREADED, "1")):
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
