"""Bytes put aside on the disk, and on a disk that takes none."""

from __future__ import annotations

import resource
import tempfile
from types import SimpleNamespace
from typing import Any

import pytest

from reportgen.commands.aside import Aside, DigestAside
from tests.every import every

PIECES = [b"", b"a", b"long" * 10_000, b"\0\1\2"]


def test_what_is_put_aside_comes_back_in_any_order() -> None:
    with Aside() as aside:
        places = [aside.put(piece) for piece in PIECES]
        assert not any(isinstance(place, bytes) for place in places)
        assert [aside.get(place) for place in reversed(places)] == PIECES[::-1]
        assert aside.get(aside.put(b"later")) == b"later"


class Full:
    """A file on a disk with room for a few bytes: it takes part of what it is given, then nothing."""

    def __init__(self, file: Any, room: int) -> None:
        self.file, self.room = file, room

    def __getattr__(self, name: str) -> Any:
        return getattr(self.file, name)

    def write(self, content: bytes) -> int:
        if not self.room:
            raise OSError(28, "No space left on device")
        taken = self.file.write(content[: self.room])
        self.room -= taken
        return int(taken)


@every("room", (0, 2, 9))
def test_a_full_disk_costs_memory_alone(room: int, monkeypatch: pytest.MonkeyPatch) -> None:
    make = tempfile.TemporaryFile
    monkeypatch.setattr(tempfile, "TemporaryFile", lambda **options: Full(make(**options), room))
    with Aside() as aside:
        places = [aside.put(piece) for piece in (b"one", b"three", b"seven")]
        assert [aside.get(place) for place in places] == [b"one", b"three", b"seven"]
        assert any(isinstance(place, bytes) for place in places)


def test_what_the_system_refuses_is_refused_when_it_is_put_and_not_later() -> None:
    """No file grows beyond 16 bytes while it lasts; what was taken before is still there (setrlimit, POSIX.1-2017)."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    with Aside() as aside:
        resource.setrlimit(resource.RLIMIT_FSIZE, (16, hard))
        try:
            places = [aside.put(b"a" * 16), aside.put(b"b" * 16)]
        finally:
            resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        assert isinstance(places[0], tuple) and places[1] == b"b" * 16
        assert [aside.get(place) for place in places] == [b"a" * 16, b"b" * 16]


def test_a_disk_that_gives_back_less_is_said() -> None:
    with Aside() as aside:
        places = [aside.put(b"first"), aside.put(b"second")]
        file = aside._file
        assert file is not None
        file.truncate(8)
        assert aside.get(places[0]) == b"first"
        with pytest.raises(OSError, match="does not give back what was written"):
            aside.get(places[1])
    assert file.closed


def test_a_digest_gives_back_each_of_its_parts() -> None:
    rows = SimpleNamespace(
        checks=b"checks", parts=b"parts", totals=b"totals", steps=b"steps", part_count=7, step_count=9
    )
    digest: Any = SimpleNamespace(outline="outline", rows=rows, line=b"line")
    with Aside() as aside:
        put = DigestAside.of(digest, aside)
        assert (put.checks, put.parts, put.totals, put.steps, put.line) == (
            b"checks",
            b"parts",
            b"totals",
            b"steps",
            b"line",
        )
        assert (put.outline, put.part_count, put.step_count) == ("outline", 7, 9)  # type: ignore[comparison-overlap]


def test_no_folder_for_it_costs_memory_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(**_: Any) -> Any:
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr(tempfile, "TemporaryFile", refused)
    with Aside() as aside:
        assert aside.get(aside.put(b"kept")) == b"kept"
