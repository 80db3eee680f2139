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


def test_what_is_packed_is_smaller():
    """A row a thousand times takes less than a fiftieth (DEFLATE, RFC 1951, tells it by length and distance)."""
    made = packed([b"<row><c><v>1</v></c></row>"] * 1000)
    assert made.size == 26_000 and sum(map(len, made.pieces)) < made.size / 50


def test_nothing_to_do_changes_no_packed_byte(streamed):
    once = bytes(Rewritten(streamed, {}))
    assert bytes(Rewritten(once, {})) == once
    with zipfile.ZipFile(BytesIO(streamed)) as before, zipfile.ZipFile(BytesIO(once)) as after:
        for old, new in zip(before.infolist(), after.infolist(), strict=True):
            for what in ("filename", "CRC", "compress_size", "date_time", "external_attr", "create_system", "comment"):
                assert getattr(old, what) == getattr(new, what)


def test_records_with_more_in_them_than_sizes_are_copied_as_they_lie():
    """Extra fields stand before the content of an entry, in its own record alone, in the directory alone or in both."""
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for number, method in enumerate((zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)):
            entry = zipfile.ZipInfo(f"{number}.txt", (2026, 12, 31, 23, 59, 58))
            entry.compress_type, entry.comment, entry.external_attr = method, b"mine", 0o100644 << 16
            entry.extra = struct.pack("<HH", 0x7075, 9) + b"any bytes"
            archive.writestr(entry, b"%d " % number * 99)
    result = bytes(Rewritten(buffer.getvalue(), {"2.txt": b"new"}))
    with zipfile.ZipFile(BytesIO(result)) as archive:
        assert archive.testzip() is None
        assert [archive.read(f"{number}.txt") for number in range(2)] == [b"%d " % number * 99 for number in range(2)]
        old = archive.infolist()[1]
        assert (old.date_time, old.comment, old.external_attr >> 16) == ((2026, 12, 31, 23, 59, 58), b"mine", 0o100644)
        assert (archive.read("2.txt"), archive.getinfo("2.txt").date_time) == (b"new", (1980, 1, 1, 0, 0, 0))


@pytest.mark.parametrize("name", ["xl/sheet.xml", "ö.txt", "price in €.txt", "響.txt"])
def test_a_new_entry_is_called_what_it_is_called(streamed, name):
    with zipfile.ZipFile(
        BytesIO(bytes(Rewritten(streamed, {name: b"new", "stored.txt": b"", "gone.txt": packed(())})))
    ) as archive:
        assert archive.testzip() is None and archive.read(name) == b"new"
        assert archive.namelist()[-1] == name and archive.read("stored.txt") == archive.read("gone.txt") == b""
        assert bool(archive.getinfo(name).flag_bits & 0x0800) is not name.isascii()  # UTF-8 (PKWARE APPNOTE 6.3, 4.4.4)


def test_a_name_of_before_unicode_keeps_its_bytes():
    """Without the flag of UTF-8 a name is in code page 437, in which 0x94 is ö (PKWARE APPNOTE 6.3, appendix D)."""
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("gr?n.txt", b"old" * 9)
        archive.writestr("gone.txt", b"")
    old = buffer.getvalue().replace(b"gr?n.txt", b"gr\x94n.txt")
    result = bytes(Rewritten(old, {"gone.txt": None}))
    assert result.count(b"gr\x94n.txt") == 2  # before its content and in the directory
    with zipfile.ZipFile(BytesIO(result)) as archive:
        assert archive.namelist() == ["grön.txt"] and archive.read("grön.txt") == b"old" * 9
