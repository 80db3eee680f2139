"""Work handed out in small pieces to processes, results in order, a crash costing only what crashed.

Knows executors and broken pools. Refuses to know what the work is. Processes, never threads: the page engine is
not safe in threads.
"""

from __future__ import annotations

import multiprocessing
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import BrokenExecutor, Executor, Future, ProcessPoolExecutor
from typing import TypeVar

T = TypeVar("T")
R = TypeVar("R")

AHEAD = 4
"""Pieces handed out beyond one a worker: enough that none waits, few enough that memory stays flat."""


def pool(jobs: int) -> ProcessPoolExecutor:
    """Processes started from a clean server process, so that a worker holds nothing of the parent's."""
    return ProcessPoolExecutor(jobs, mp_context=multiprocessing.get_context("forkserver"))


def in_order(
    work: Callable[[T], R], pieces: Sequence[T], jobs: int, crashed: Callable[[T], R], executor: Executor | None = None
) -> Iterator[R]:
    """`work(piece)` for every piece, in order; `crashed(piece)` where a worker died on it twice.

    With one job and no executor it runs in this process. An executor handed in is used and left open. `work` must
    not raise but for a dead worker: it and the pieces must be picklable.
    """
    if executor is None and jobs <= 1:
        yield from map(work, pieces)
        return
    if executor is not None:
        yield from _handed_out(work, pieces, executor, jobs, crashed, retry=executor)
        return
    with pool(jobs) as own:
        try:
            yield from _handed_out(work, pieces, own, jobs, crashed, retry=None)
        except BaseException:
            own.shutdown(wait=False, cancel_futures=True)
            raise


def _handed_out(
    work: Callable[[T], R],
    pieces: Sequence[T],
    executor: Executor,
    jobs: int,
    crashed: Callable[[T], R],
    retry: Executor | None,
) -> Iterator[R]:
    waiting: deque[tuple[T, Future[R] | None]] = deque()
    ahead = max(jobs, 1) + AHEAD
    todo = deque(pieces)
    while waiting or todo:
        while todo and len(waiting) < ahead:
            piece = todo.popleft()
            waiting.append((piece, _submitted(executor, work, piece)))
        piece, future = waiting.popleft()
        try:
            if future is None:
                raise BrokenExecutor
            yield future.result()
        except BrokenExecutor:
            yield _alone(work, piece, crashed)
            if retry is None:
                yield from _rest_in_new_pool(work, [one for one, _ in waiting] + list(todo), jobs, crashed)
                return


def _submitted(executor: Executor, work: Callable[[T], R], piece: T) -> Future[R] | None:
    try:
        return executor.submit(work, piece)
    except BrokenExecutor:
        return None


def _alone(work: Callable[[T], R], piece: T, crashed: Callable[[T], R]) -> R:
    """Try a piece once more in a process of its own, so that only the piece that kills can be lost."""
    with pool(1) as single:
        try:
            return single.submit(work, piece).result()
        except BrokenExecutor:
            return crashed(piece)


def _rest_in_new_pool(work: Callable[[T], R], pieces: list[T], jobs: int, crashed: Callable[[T], R]) -> Iterator[R]:
    yield from in_order(work, pieces, max(jobs, 2), crashed)
