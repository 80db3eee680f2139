"""Kept files: what was sealed comes back, and any file that is not as it was written is refused. Each change is tried."""

from __future__ import annotations

import hashlib
import zlib
from pathlib import Path

import pytest

from reportgen.ledger import kept
from reportgen.ledger.kept import Damaged, inflated, sealed, unsealed
from tests.every import every

PARTS = (b"first\npart", b"", b"\0\xff third")


def written(tmp_path: Path, content: bytes) -> Path:
    file = tmp_path / "a.kept"
    file.write_bytes(content)
    return file


def test_the_seal_is_the_hash_and_the_length_of_a_part() -> None:
    """As FIPS 180-4 has it for the three letters abc."""
    abc = b"ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert sealed(b"abc", form=7) == b"reportgen kept 7\n" + abc + b" 3\nabc\n"


@every("parts", [(), (b"",), PARTS, PARTS * 3])
def test_parts_come_back_as_they_were(tmp_path: Path, parts: tuple[bytes, ...]) -> None:
    file = written(tmp_path, sealed(*parts, form=3))
    assert unsealed(file, len(parts), 3) == list(parts)
    for count in (len(parts) + 1, *([len(parts) - 1] if parts else [])):
        with pytest.raises(Damaged):
            unsealed(file, count, 3)
    assert unsealed(file, len(parts), 4) is None and unsealed(file, len(parts)) is None, "another version wrote it"


def test_every_changed_byte_and_every_cut_is_noticed(tmp_path: Path) -> None:
    whole = sealed(*PARTS[:2])
    version = len(b"reportgen kept ")
    borders = (version + 2, len(sealed(PARTS[0])))
    for at in range(len(whole)):
        changed = written(tmp_path, whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        if at == version:
            assert unsealed(changed, 2) is None, "0 in place of 1: another version wrote it"
        else:
            with pytest.raises(Damaged) as caught:
                unsealed(changed, 2)
            assert str(caught.value) == f"{changed} is {'damaged' if at > version + 1 else 'no kept file'}.", at
        with pytest.raises(Damaged) as caught:
            unsealed(cut := written(tmp_path, whole[:at]), 2)
        ends = "is no kept file." if at <= version + 1 else "is damaged: it is cut." if at in borders else "is damaged."
        assert str(caught.value) == f"{cut} {ends}", at


@every("more", [b"\n", b"x", b"0" * 64 + b" 0\n\n", sealed(b"x")])
def test_what_stands_behind_the_last_part_is_noticed(tmp_path: Path, more: bytes) -> None:
    with pytest.raises(Damaged):
        unsealed(written(tmp_path, sealed(*PARTS) + more), 3)


def test_no_file_is_read_that_is_longer_than_any_can_be(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = sealed(*PARTS)
    monkeypatch.setattr(kept, "MOST_BYTES", len(whole))
    assert unsealed(written(tmp_path, whole), 3) == list(PARTS)
    monkeypatch.setattr(kept, "MOST_BYTES", len(whole) - 1)
    with pytest.raises(Damaged):
        unsealed(written(tmp_path, whole), 3)


def test_what_was_deflated_comes_back_up_to_the_same_length(monkeypatch: pytest.MonkeyPatch) -> None:
    content = hashlib.sha256(b"x").digest() * 50
    packed = zlib.compress(content)
    monkeypatch.setattr(kept, "MOST_BYTES", len(content))
    assert inflated(packed) == content
    for wrong in (packed[:-1], packed[:9], packed[:-4] + b"0000", b"", b"no"):
        with pytest.raises(
            Damaged, match=r"\AA kept part (cannot be unpacked: Error -3 |is cut, or longer than any is\.\Z)"
        ):
            inflated(wrong)
    monkeypatch.setattr(kept, "MOST_BYTES", len(content) - 1)
    with pytest.raises(Damaged):
        inflated(packed)
