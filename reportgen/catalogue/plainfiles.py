"""Reading a file that somebody else named: an ordinary one of a bounded length, or an error.

Knows kinds of files. Refuses to know what is in them. A pipe would be waited on for ever, a device never ends.
"""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from io import BufferedReader
from pathlib import Path

MOST_BYTES = 1 << 30
"""No file that we read is as long: a workbook unpacks to no more (`package.MOST_BYTES`)."""


@contextmanager
def opened(path: Path, most: int = MOST_BYTES) -> Iterator[BufferedReader]:
    """An ordinary file, open to be read. Errors: OSError, also for what is none, or is longer than `most` bytes."""
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    try:
        _refuse_others(os.fstat(handle), path, most)
    except OSError:
        os.close(handle)
        raise
    with open(handle, "rb") as stream:
        yield stream


def _refuse_others(state: os.stat_result, path: Path, most: int) -> None:
    if stat.S_ISDIR(state.st_mode):
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    if not stat.S_ISREG(state.st_mode):
        raise OSError(errno.EINVAL, "it is no ordinary file", str(path))
    if state.st_size > most:
        raise OSError(errno.EFBIG, f"it has more than {most >> 20} MiB", str(path))


def read_file(path: Path, most: int = MOST_BYTES) -> bytes:
    """The content of an ordinary file. Errors: as `opened`."""
    with opened(path, most) as stream:
        return stream.read(most)
