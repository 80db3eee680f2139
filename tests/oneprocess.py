"""What commands hand to processes, done in the process of the test: none has to start, and what libraries and sums know stays warm.

That processes give the same is tested where they are: `commands/test_workers.py`, and every test marked `processes`.
"""

from __future__ import annotations

import pickle
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import TypeVar

import pytest

T = TypeVar("T")
R = TypeVar("R")


def handed(value: T) -> T:
    """The value as another process gets it."""
    return pickle.loads(pickle.dumps(value, pickle.HIGHEST_PROTOCOL))  # type: ignore[no-any-return] # our own bytes


def as_finished(
    work: Callable[[T], R],
    pieces: Iterable[T],
    jobs: int,
    crashed: Callable[[T, str], R],
    executor: None = None,
    preload: object = (),
    trouble: object = None,
    say: object = None,
    ready: Callable[[T], T] = lambda piece: piece,
    meanwhile: Callable[[], None] = lambda: None,
) -> Iterator[tuple[T, R]]:
    """As `workers.as_finished` with one process of our own."""
    assert executor is None
    work = handed(work)
    for piece in pieces:
        try:
            result = work(handed(ready(piece)))
        except Exception as error:
            result = crashed(piece, f"{type(error).__name__}: {error}")
        meanwhile()
        yield piece, handed(result)


@contextmanager
def in_this_process(searching: bool = True) -> Iterator[None]:
    """Commands called inside work here; a run that is not `searching` leaves out the search for the nearest yes, its dearest part."""
    from reportgen.commands import piecework, workers

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(workers, "as_finished", as_finished)
        patch.setattr(workers, "start_ahead", lambda preload: None)
        if not searching:
            patch.setattr(
                piecework, "assess_with_remedies", lambda catalogue, one: piecework.assess(catalogue.case(one))
            )
        yield
