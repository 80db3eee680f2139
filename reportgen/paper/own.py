"""The operator's own templates: a folder read once, so that it travels with the work and cannot change under it.

Knows which files count and where in them something stands. Refuses to know what a template does.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from reportgen.problems import ReportgenError

KINDS: Final = (".html", ".css", ".js", ".svg", ".txt")
"""Endings of the files that are read; whatever else lies in the folder is left alone."""
MOST_BYTES: Final = 8 << 20
"""Of one file, and of all together: ours have 60 kB (practice, no source)."""


@dataclass(frozen=True)
class Own:
    """The files of a folder of templates by their names, in UTF-8 or not; `folder` is what messages call it."""

    folder: str
    files: tuple[tuple[str, bytes], ...]

    def source(self, name: str) -> bytes | None:
        """The content of a file, None when there is none of this name."""
        return dict(self.files).get(name)

    def place(self, name: str, line: int | None = None) -> str:
        """How a message calls a line of a file."""
        return f"{self.folder}/{name}{f', line {line}' if line else ''}"

    def place_of(self, text: str) -> str:
        """Where some text stands; empty when it stands in none of the files."""
        for name, content in self.files:
            at = content.find(text.encode())
            if text and at >= 0:
                return self.place(name, content.count(b"\n", 0, at) + 1)
        return ""


def own_templates(folder: Path | Own | None) -> Own | None:
    """The templates of a folder, None for none. Errors: ReportgenError when there is no such folder, or too much in it."""
    return _read(folder) if isinstance(folder, Path) else folder


def _read(folder: Path) -> Own:
    if not folder.is_dir():
        raise ReportgenError(f"{folder}: there is no such folder of templates. Give an existing folder, or none.")
    files: list[tuple[str, bytes]] = []
    size = 0
    try:
        for file in sorted(folder.rglob("*")):
            name = file.relative_to(folder).as_posix()
            if file.suffix.lower() not in KINDS or not file.is_file() or f"/{name}".find("/.") >= 0:
                continue
            size += file.stat().st_size
            if size > MOST_BYTES:
                text = f"with it the templates are longer than {MOST_BYTES >> 20} MB. Take out what is no template."
                raise ReportgenError(f"{file}: {text}")
            files.append((name, file.read_bytes()))
    except OSError as error:
        raise ReportgenError(f"{error.filename or folder}: it cannot be read ({error.strerror}). Allow it.") from error
    return Own(str(folder), tuple(files))


def unused(own: Own, ours: Iterable[str]) -> tuple[str, ...]:
    """What to say of the files that no page can use: their name is none of ours, and no other file names them."""
    known, notes = set(ours), []
    for name, _ in own.files:
        others = (content for other, content in own.files if other != name)
        if name in known or any(name.encode() in content for content in others):
            continue
        near = difflib.get_close_matches(name, known, n=1)
        mend = f"Did you mean {near[0]}?" if near else f"There are: {', '.join(sorted(known))}."
        notes.append(f"{own.place(name)}: no page uses a template of this name. {mend}")
    return tuple(notes)
