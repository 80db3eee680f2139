"""Bytes put aside on the disk, and on a disk that takes none."""

from __future__ import annotations

import tempfile
from typing import Any

import pytest

from reportgen.commands.aside import Aside

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


@pytest.mark.parametrize("room", (0, 2, 9))
def test_a_full_disk_costs_memory_alone(room: int, monkeypatch: pytest.MonkeyPatch) -> None:
    make = tempfile.TemporaryFile
    monkeypatch.setattr(tempfile, "TemporaryFile", lambda **options: Full(make(**options), room))
    with Aside() as aside:
        places = [aside.put(piece) for piece in (b"one", b"three", b"seven")]
        assert [aside.get(place) for place in places] == [b"one", b"three", b"seven"]
        assert any(isinstance(place, bytes) for place in places)


def test_no_folder_for_it_costs_memory_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(**_: Any) -> Any:
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr(tempfile, "TemporaryFile", refused)
    with Aside() as aside:
        assert aside.get(aside.put(b"kept")) == b"kept"
