"""Files that we keep for later, in parts, each sealed with its SHA-256, which is looked at before anything is decoded.

Knows checksums and lengths. Refuses to know what the parts hold, and refuses to read more than such a file can be.
"""

from __future__ import annotations

import hashlib
import os
import re
import zlib
from pathlib import Path
from typing import Final

from reportgen.catalogue.plainfiles import opened
from reportgen.problems import ReportgenError

_FIRST: Final = b"reportgen kept %d\n"
MOST_BYTES: Final = 64 << 20
"""No kept file is as long: the largest are some 200 kB (measured)."""
_OTHER = re.compile(rb"reportgen kept \d{1,4}\n")
_SEAL = re.compile(rb"([0-9a-f]{64}) (\d{1,8})\n")


class Damaged(ReportgenError):
    """A kept file is not as it was written."""


def sealed(*parts: bytes, form: int = 1) -> bytes:
    """The content of a kept file: before each part its SHA-256 and its length. `form` changes with what the parts are."""
    return _FIRST % form + b"".join(b"%s %d\n%s\n" % (_digest(part), len(part), part) for part in parts)


def unsealed(file: Path, count: int, form: int = 1) -> list[bytes] | None:
    """The parts of a kept file of that form, None when another version wrote it.

    Errors: Damaged when it is not as it was written, OSError when it cannot be read.
    """
    with opened(file) as stream:
        content = stream.read() if os.fstat(stream.fileno()).st_size <= MOST_BYTES else b""
    first = _FIRST % form
    if _OTHER.match(content) and not content.startswith(first):
        return None
    if not content.startswith(first):
        raise Damaged(f"{file} is no kept file.")
    parts, at = [], len(first)
    while at < len(content):
        seal = _SEAL.match(content, at)
        part = content[seal.end() : seal.end() + int(seal[2])] if seal else b""
        end = seal.end() + len(part) if seal else at
        if seal is None or _digest(part) != seal[1] or content[end : end + 1] != b"\n":
            raise Damaged(f"{file} is damaged.")
        parts.append(part)
        at = end + 1
    if len(parts) != count:
        raise Damaged(f"{file} is damaged: it is cut.")
    return parts


def inflated(packed: bytes) -> bytes:
    """What was deflated, if it is no longer than a kept file may be. Errors: Damaged."""
    try:
        inflater = zlib.decompressobj()
        content = inflater.decompress(packed, MOST_BYTES)
    except zlib.error as error:
        raise Damaged(f"A kept part cannot be unpacked: {error}") from error
    if not inflater.eof:
        raise Damaged("A kept part is cut, or longer than any is.")
    return content


def _digest(part: bytes) -> bytes:
    return hashlib.sha256(part).hexdigest().encode()
