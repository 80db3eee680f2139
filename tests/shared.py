"""What many tests start from and none changes is made once a run of the tests: the first process makes it, the others read it.

Tests run in several processes, and each would make the same assessments, answers and sheets for itself.
"""

from __future__ import annotations

import fcntl
import hashlib
import os
import pickle
import shutil
import tempfile
from collections.abc import Callable
from functools import cache, wraps
from pathlib import Path
from typing import Any, TypeVar

T = TypeVar("T", bound=Callable[..., Any])
FOLDER = "REPORTGEN_SHARED_BY_TESTS"
"""Names the folder of this run of the tests; without it every process works for itself."""


def shared(make: T) -> T:
    """As `functools.cache`, for all processes of a run: what is made is frozen, and pickled into the folder of the run."""

    @cache
    @wraps(make)
    def once(*arguments: Any) -> Any:
        folder = os.environ.get(FOLDER)
        if not folder:
            return make(*arguments)
        named = f"{make.__module__}.{make.__qualname__}{arguments!r}"
        kept = Path(folder) / hashlib.sha256(named.encode()).hexdigest()
        with kept.with_suffix(".lock").open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)  # who comes second waits, and finds it made; a process that ends lets go
            if not kept.exists():
                part = kept.with_suffix(".part")
                part.write_bytes(pickle.dumps(make(*arguments), pickle.HIGHEST_PROTOCOL))
                part.rename(kept)
            return pickle.loads(kept.read_bytes())

    return once  # type: ignore[return-value] # the same words, and a `cache_clear` more


def begin() -> None:
    """Make the folder, in the process that starts the others."""
    os.environ.setdefault(FOLDER, tempfile.mkdtemp(prefix="shared-by-tests-"))


def end() -> None:
    """Remove it."""
    shutil.rmtree(os.environ.pop(FOLDER, "") or "/nowhere", ignore_errors=True)
