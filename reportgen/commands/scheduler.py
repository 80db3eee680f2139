"""The workers of a dask.distributed scheduler: asked before and during the work, and done without when they fail.

Knows which of them may work for us: those that run this very program. Refuses to know what the work is. They run whatever
they are sent, so use them in a network of your own, or over `tls://` with the engine's own settings (environment variables
`DASK_DISTRIBUTED__COMM__TLS__CA_FILE`, `...__CLIENT__CERT`, `...__CLIENT__KEY`).
"""

from __future__ import annotations

import hashlib
import importlib
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from functools import cache
from typing import TYPE_CHECKING, Any, Final, TypeVar, cast

from reportgen.commands.reuse import key_of_printing, key_of_program
from reportgen.problems import ReportgenError

if TYPE_CHECKING:
    from concurrent.futures import Executor

T = TypeVar("T")
Say = Callable[[str], None]

PATIENCE_S: Final = 8.0
"""So long is waited for a scheduler or a worker that does not answer, before and during the work (practice, no source)."""

IMPORT_S: Final = 60.0
"""So long may workers that are there take to import the program before they answer (practice, no source)."""

_ASK: Final = f"__import__({__name__!r}, fromlist=['x']).fingerprint()"


@cache
def fingerprint() -> str:
    """What this process computes and prints with, as it was when it was first asked: program, engines, our templates."""
    return hashlib.sha256(f"{key_of_program()} {key_of_printing('', '', None)}".encode()).hexdigest()


@dataclass
class Elsewhere:
    """An executor on other machines, and why nothing more comes from it ("" while it works)."""

    executor: Executor
    address: str
    _client: Any
    _workers: frozenset[str]
    _silent_since: float | None = field(default=None)

    def trouble(self) -> str:
        """Ask whether there is still somebody who works; a short silence is forgiven."""
        present = _answer(lambda: set(self._client.nthreads()), PATIENCE_S)
        if present is not None and present & self._workers:
            self._silent_since = None
            return ""
        now = time.monotonic()
        self._silent_since = self._silent_since or now
        if present is not None and now - self._silent_since < PATIENCE_S:
            return ""
        lost = "has lost all its workers" if present is not None else "is lost"
        return f"The scheduler at {self.address} {lost}. The rest of the work is done on this machine."


@contextmanager
def scheduled(address: str, say: Say) -> Iterator[Elsewhere | None]:
    """The workers of the scheduler at `address` (`tcp://127.0.0.1:8786`, `tls://...`); None when none may work for us.

    Errors: ReportgenError when the engine is not installed or no scheduler answers.
    """
    try:
        distributed = importlib.import_module("distributed")
    except ImportError:
        raise ReportgenError(
            'A scheduler was named, but its client is not installed. Install it with: pip install "reportgen[scheduler]"'
        ) from None
    try:
        client = distributed.Client(address, timeout=PATIENCE_S, set_as_default=False)
    except (
        OSError,
        ValueError,
        TypeError,
    ) as error:  # what it raises for an address, a certificate, a key that is wrong
        raise ReportgenError(
            f"{address}: no scheduler answers there ({error}). Start one, or run without it."
        ) from error
    try:
        fit = _fit(client, address, say)
        options = {"pure": False, "workers": sorted(fit), "allow_other_workers": False}
        yield (
            Elsewhere(cast("Executor", client.get_executor(**options)), address, client, frozenset(fit))
            if fit
            else None
        )
    finally:
        with suppress(Exception):  # of a scheduler that is gone there is nothing to take leave
            client.close(timeout=2)


def _fit(client: Any, address: str, say: Say) -> set[str]:
    """The workers that run this very program; what is said of the others."""
    until = time.monotonic() + PATIENCE_S
    while not (there := _answer(client.nthreads, PATIENCE_S)) and time.monotonic() < until:
        time.sleep(0.2)
    told = (_answer(lambda: client.run(eval, _ASK, on_error="return"), IMPORT_S) or {}) if there else {}
    fit = {worker for worker, answer in told.items() if answer == fingerprint()}
    for worker, answer in told.items():
        if isinstance(answer, Exception):
            say(
                f"{worker}: this worker does not have this program ({type(answer).__name__}: {answer}) and is not used."
            )
        elif worker not in fit:
            say(f"{worker}: this worker runs another version of this program or of its engines and is not used.")
    if not fit:
        why = "has no worker that runs this very program" if told else "has no worker that answers"
        say(f"The scheduler at {address} {why}. The work is done on this machine.")
    return fit


def _answer(ask: Callable[[], T], patience_s: float) -> T | None:
    """What somebody answers in time; None otherwise. A question without an answer keeps a thread that nobody waits for."""
    found: list[T] = []

    def asked() -> None:
        with suppress(Exception):
            found.append(ask())

    thread = threading.Thread(target=asked, daemon=True)
    thread.start()
    thread.join(patience_s)
    return found[0] if found else None
