"""Archives rewritten entry by entry, read back by the standard library and, where present, by unzip."""

from __future__ import annotations

import shutil
import struct
import subprocess
import zipfile
from io import BytesIO, RawIOBase

import pytest

from reportgen.ledger.container import Rewritten, packed


class Stream(RawIOBase):
    """A target that cannot be rewound, so that sizes follow the data (PKWARE APPNOTE 6.3, 4.3.9)."""

    def __init__(self) -> None:
        self.written = bytearray()

    def writable(self) -> bool:
        return True

    def write(self, data) -> int:
        self.written += data
        return len(data)


@pytest.fixture
def streamed() -> bytes:
    target = Stream()
    with zipfile.ZipFile(target, "w") as archive:
        archive.writestr("stored.txt", b"as it is" * 9, zipfile.ZIP_STORED)
        archive.writestr("Größe.txt", b"packed " * 99, zipfile.ZIP_DEFLATED)
        archive.writestr("folder/", b"")
        archive.writestr("gone.txt", b"gone", zipfile.ZIP_DEFLATED)
        archive.writestr("changed.txt", b"before", zipfile.ZIP_STORED)
        archive.comment = b"a comment"
    return bytes(target.written)


def test_every_record_is_sound(streamed, tmp_path):
    result = bytes(
        Rewritten(streamed, {"gone.txt": None, "changed.txt": b"after " * 50, "new/ö.txt": b"new" * 99, "never": None})
    )
    with zipfile.ZipFile(BytesIO(result)) as archive:
        assert archive.testzip() is None
        assert archive.comment == b"a comment"
        names = ["stored.txt", "Größe.txt", "folder/", "changed.txt", "new/ö.txt"]
        assert archive.namelist() == names
        assert [archive.read(name)[:6] for name in names] == [b"as it ", b"packed", b"", b"after ", b"newnew"]
        methods = [entry.compress_type for entry in archive.infolist()]
        assert methods == [0, 8, 0, 0, 8]
        for entry in archive.infolist():
            flags, crc, packed, unpacked = struct.unpack_from("<6xH6xIII", result, entry.header_offset)
            assert not flags & 0x0008, "no descriptor follows the data"
            assert (crc, packed, unpacked) == (entry.CRC, entry.compress_size, entry.file_size)
    if shutil.which("unzip"):
        (tmp_path / "a.zip").write_bytes(result)
        subprocess.run(["unzip", "-tqq", tmp_path / "a.zip"], check=True)


def test_what_comes_packed_in_pieces_is_read_back_whole(streamed):
    pieces = [b"piece %d, " % number * 500 for number in range(40)]
    result = bytes(
        Rewritten(streamed, {"changed.txt": packed(pieces), "new.txt": packed(iter(pieces)), "none.txt": packed(())})
    )
    with zipfile.ZipFile(BytesIO(result)) as archive:
        assert archive.testzip() is None
        assert archive.read("changed.txt") == archive.read("new.txt") == b"".join(pieces)
        assert archive.read("none.txt") == b""
        assert archive.getinfo("changed.txt").compress_type == zipfile.ZIP_DEFLATED


def test_nothing_to_do_changes_no_packed_byte(streamed):
    once = bytes(Rewritten(streamed, {}))
    assert bytes(Rewritten(once, {})) == once
    with zipfile.ZipFile(BytesIO(streamed)) as before, zipfile.ZipFile(BytesIO(once)) as after:
        for old, new in zip(before.infolist(), after.infolist(), strict=True):
            for what in ("filename", "CRC", "compress_size", "date_time", "external_attr", "create_system", "comment"):
                assert getattr(old, what) == getattr(new, what)
