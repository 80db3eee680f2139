"""Files of our own beside the operator's: temporary ones, and the lock that two commands on one file share.

Knows which of them somebody uses: its process holds a lock of the operating system on it, which ends with the process,
however that ends. Refuses to know what the files are for. Where the system has no such locks (`fcntl`), a temporary file
counts as left over after a day, and two commands are kept apart by the hash of the file alone.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import importlib
import os
import tempfile
import time
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, Final

TEMPORARY: Final = ".reportgen-tmp-"
LOCK: Final = ".reportgen-lock-"
PATIENCE_S: Final = 10.0
"""So long is waited for another command; its step takes some hundredths of a second (practice, no source)."""

_PAUSE_S: Final = 0.02
_STALE_S: Final = 24 * 3600.0
_LONGEST_NAME: Final = 255
"""Bytes of a file name in the usual file systems (NAME_MAX, POSIX.1-2017 limits.h, as Linux has it)."""

try:
    _fcntl: Any = importlib.import_module("fcntl")
except ImportError:  # a system without it
    _fcntl = None


def fitting(stem: str, end: str) -> str:
    """A file name of stem and end, the stem cut where the file system would not take it whole.

    >>> fitting("Season 2025", " (results 1).xlsx"), len(fitting("響" * 80, " (results 1).xlsx").encode())
    ('Season 2025 (results 1).xlsx', 254)
    """
    room = _LONGEST_NAME - len(os.fsencode(end))
    stored = os.fsencode(stem)
    return (stem if len(stored) <= room else stored[:room].decode("utf-8", "ignore").rstrip()) + end


@contextlib.contextmanager
def temporary(folder: Path, name: str, content: bytes | Iterable[bytes], cleared: bool = False) -> Iterator[Path]:
    """A temporary file for `name`, its content written through to the disk; gone at the end unless it was renamed.

    Those of killed processes for the same name are removed first, unless the folder was `cleared` of all. Errors: OSError when the folder takes no file.
    """
    if not cleared:
        clear_leftovers(folder, name)
    handle, path = _new_held(folder, f"{TEMPORARY}{_mark(name)}-")
    try:
        with open(handle, "wb") as file:
            file.writelines((content,) if isinstance(content, bytes) else content)
            file.flush()
            os.fsync(file.fileno())
            if _fcntl is not None:  # elsewhere an open file cannot be renamed
                yield path
        if _fcntl is None:
            yield path
    except OSError as error:  # a disk that is full does not say whose file it has no room for
        error.filename = error.filename or str(folder / name)
        raise
    finally:
        path.unlink(missing_ok=True)


@contextlib.contextmanager
def lock(folder: Path, name: str, patience_s: float = PATIENCE_S) -> Iterator[bool]:
    """Keep every other command off `name` in this folder; False when another one kept us off all the while.

    Errors: OSError when the folder takes no file.
    """
    path = folder / f"{LOCK}{_mark(name)}"
    handle = _awaited(path, patience_s)
    try:
        yield handle is not None
    finally:
        if handle is not None:
            with contextlib.suppress(OSError):
                path.unlink()  # while it is held: whoever waits for it sees that it is gone, and makes a new one
            os.close(handle)


def clear_leftovers(folder: Path, name: str = "") -> None:
    """Remove the temporary files that no process uses, of one `name` or of all."""
    with contextlib.suppress(OSError):
        for left in folder.glob(f"{TEMPORARY}{_mark(name)}-*" if name else f"{TEMPORARY}*"):
            with contextlib.suppress(OSError):
                _remove_if_unused(left)


def _mark(name: str) -> str:
    """A short name for a long one: what we make beside a file has room in every file system."""
    return hashlib.sha256(os.fsencode(name)).hexdigest()[:12]


def _remove_if_unused(path: Path) -> None:
    if _fcntl is None:
        if time.time() - path.stat().st_mtime > _STALE_S:
            path.unlink()
        return
    handle = os.open(path, os.O_RDONLY)
    try:
        if _seized(handle):
            path.unlink()
    finally:
        os.close(handle)


def _new_held(folder: Path, prefix: str) -> tuple[int, Path]:
    while True:
        handle, name = tempfile.mkstemp(prefix=prefix, dir=folder)
        if _seized(handle) and _still(handle, Path(name)):
            return handle, Path(name)
        os.close(handle)  # taken for a leftover between the two steps


def _awaited(path: Path, patience_s: float) -> int | None:
    until = time.monotonic() + patience_s
    while True:
        handle = os.open(path, os.O_RDONLY | os.O_CREAT, 0o666)
        if _seized(handle):
            if _still(handle, path):
                return handle
            os.close(handle)
            continue
        os.close(handle)
        if time.monotonic() >= until:
            return None
        time.sleep(_PAUSE_S)


def _seized(handle: int) -> bool:
    """Hold the lock on an open file unless another process does; a file system without locks gives it at once."""
    if _fcntl is None:
        return True
    try:
        _fcntl.flock(handle, _fcntl.LOCK_EX | _fcntl.LOCK_NB)
    except OSError as error:
        return error.errno not in (errno.EAGAIN, errno.EACCES)
    return True


def _still(handle: int, path: Path) -> bool:
    """Whether the open file is the one that stands under this name."""
    try:
        return os.path.samestat(os.fstat(handle), path.stat())
    except FileNotFoundError:
        return False
