"""Rewriting a ZIP archive entry by entry: what does not change is copied packed, as it lies.

Knows the records of a ZIP archive. Refuses to know what a part means; the caller has checked the archive's bounds.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

_LOCAL = struct.Struct("<4s5H3I2H")
_CENTRAL = struct.Struct("<4s6H3I5H2I")
_END = struct.Struct("<4s4H2IH")
_UTF8_NAME = 0x0800
_KEPT_FLAGS = _UTF8_NAME | 0x0006  # and the level of packing; sizes go into the local record, so no descriptor follows
_PIECE = 1 << 20
_LEVEL = 4  # half the time of the usual 6, and a seventh more bytes (measured on a long sheet of checks)
_NO_CLOCK = (1980, 1, 1, 0, 0, 0)  # new entries bear the earliest date there is: equal input makes equal bytes


@dataclass(frozen=True, slots=True)
class Packed:
    """The content of an entry as it lies in an archive, deflated, in pieces, with its checksum and its size before that."""

    pieces: tuple[bytes, ...]
    checksum: int
    size: int


def packed(pieces: Iterable[bytes]) -> Packed:
    """Pack content that comes in pieces, which never stand in memory together."""
    deflater, found, checksum, size = zlib.compressobj(_LEVEL, wbits=-15), list[bytes](), 0, 0
    for piece in pieces:
        found.append(deflater.compress(piece))
        checksum, size = zlib.crc32(piece, checksum), size + len(piece)
    return Packed((*filter(None, found), deflater.flush()), checksum, size)


@dataclass(frozen=True, slots=True)
class Rewritten:
    """An archive with each of `parts` in it: in the place of its namesake, new at the end, None removed.

    Its bytes come in pieces, as often as they are asked for, and never stand in memory whole.
    """

    archive: bytes
    parts: Mapping[str, bytes | Packed | None]

    def __iter__(self) -> Iterator[bytes]:
        return _rewritten(self.archive, self.parts)

    def __bytes__(self) -> bytes:
        return b"".join(self)


def _rewritten(archive: bytes, parts: Mapping[str, bytes | Packed | None]) -> Iterator[bytes]:
    """The bytes of the archive, entry by entry.

    What comes packed is deflated whatever its namesake was. Every other entry keeps its packed bytes, method, date,
    attributes and place; local extra fields are dropped.
    Source: PKWARE APPNOTE 6.3, sections 4.3.7, 4.3.12 and 4.3.16.
    """
    offset, directory, count = 0, bytearray(), 0
    with ZipFile(BytesIO(archive)) as source:
        comment = source.comment
        for entry, length, pieces in _packed_entries(archive, source.infolist(), parts):
            name, flags = _encoded_name(entry)
            method = entry.compress_type
            sizes = (entry.CRC, length, entry.file_size)
            stamp = _dos_time(entry)
            yield _LOCAL.pack(b"PK\3\4", 20, flags, method, *stamp, *sizes, len(name), 0) + name
            yield from pieces
            made_by = entry.create_system << 8 | entry.create_version
            attributes = (0, entry.internal_attr, entry.external_attr, offset)
            lengths = (len(name), 0, len(entry.comment))
            directory += _CENTRAL.pack(b"PK\1\2", made_by, 20, flags, method, *stamp, *sizes, *lengths, *attributes)
            directory += name + entry.comment
            offset += _LOCAL.size + len(name) + sizes[1]
            count += 1
    yield bytes(directory)
    yield _END.pack(b"PK\5\6", 0, 0, count, count, len(directory), offset, len(comment)) + comment


def _packed_entries(
    archive: bytes, entries: list[ZipInfo], parts: Mapping[str, bytes | Packed | None]
) -> Iterator[tuple[ZipInfo, int, Iterable[bytes]]]:
    for entry in entries:
        if entry.filename not in parts:
            yield entry, entry.compress_size, _as_it_lies(archive, entry)
        elif (content := parts[entry.filename]) is not None:
            yield _pack(entry, content)
    present = {entry.filename for entry in entries}
    for name, content in parts.items():
        if name not in present and content is not None:
            entry = ZipInfo(name, _NO_CLOCK)
            entry.compress_type = ZIP_DEFLATED
            entry.flag_bits = 0 if name.isascii() else _UTF8_NAME
            yield _pack(entry, content)


def _as_it_lies(archive: bytes, entry: ZipInfo) -> Iterator[bytes]:
    *_, name_length, extra_length = _LOCAL.unpack_from(archive, entry.header_offset)
    start = entry.header_offset + _LOCAL.size + name_length + extra_length
    end = start + entry.compress_size
    for begin in range(start, end, _PIECE):
        yield archive[begin : min(begin + _PIECE, end)]


def _pack(entry: ZipInfo, content: bytes | Packed) -> tuple[ZipInfo, int, Iterable[bytes]]:
    if isinstance(content, bytes):
        if entry.compress_type != ZIP_DEFLATED:
            entry.CRC, entry.file_size = zlib.crc32(content), len(content)
            return entry, len(content), (content,)
        content = packed((content,))
    entry.compress_type = ZIP_DEFLATED
    entry.CRC, entry.file_size = content.checksum, content.size
    return entry, sum(map(len, content.pieces)), content.pieces


def _encoded_name(entry: ZipInfo) -> tuple[bytes, int]:
    flags = entry.flag_bits & _KEPT_FLAGS
    if flags & _UTF8_NAME or entry.orig_filename.isascii():
        return entry.orig_filename.encode("utf-8"), flags
    return entry.orig_filename.encode("cp437"), flags


def _dos_time(entry: ZipInfo) -> tuple[int, int]:
    year, month, day, hour, minute, second = entry.date_time
    return hour << 11 | minute << 5 | second // 2, (year - 1980) << 9 | month << 5 | day
