"""The file of the operator is the old or the new one, whole, whatever happens; and the results are never lost.

Full and read-only disks are real ones: small memory disks, which only root may mount; without that right these
tests are skipped, with the reason.
"""

from __future__ import annotations

import errno
import hashlib
import os
import random
import signal
import stat
import subprocess
import time
import zipfile
from io import BytesIO
from types import SimpleNamespace

import openpyxl
import pytest

from reportgen.ledger import ownfiles, replacement
from reportgen.ledger.container import Rewritten
from reportgen.ledger.ownfiles import fitting
from reportgen.ledger.replacement import NotSavedError, Outcome, read_workbook, replace_file
from reportgen.problems import PackageRefused
from tests.every import every

KILLS = 500 if os.environ.get("REPORTGEN_LONG") else 20


def workbook(text: str, rows: int = 5) -> bytes:
    book = openpyxl.Workbook()
    for row in range(rows):
        book.active.append([text, row, os.urandom(6).hex()])
    buffer = BytesIO()
    book.save(buffer)
    return buffer.getvalue()


OLD, NEW = workbook("old"), workbook("new", rows=40)


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "Season 2025.xlsx"
    path.write_bytes(OLD)
    return path


def left_beside(path, results):
    """Assert that the old state stands and the results are in the given new file, and nothing else remains."""
    assert path.read_bytes() == OLD
    assert results.read_bytes() == NEW


def test_the_new_state_takes_the_place_of_the_old(file):
    file.chmod(0o640)
    os.utime(file, (1.0, 1.0))  # long ago: the new state is of today
    content, fingerprint = read_workbook(file)
    assert content == OLD
    assert replace_file(file, NEW, fingerprint) == Outcome(file, replaced=True)
    assert file.read_bytes() == NEW
    assert file.stat().st_mode & 0o777 == 0o640
    assert list(file.parent.iterdir()) == [file]
    assert time.time() - file.stat().st_mtime < 60


def test_the_data_are_on_the_disk_before_the_step_and_the_step_after_it(file, monkeypatch):
    done = []
    sync, step = os.fsync, os.replace

    def synced(handle):
        done.append("folder" if stat.S_ISDIR(os.fstat(handle).st_mode) else "data")
        sync(handle)

    def stepped(source, target):
        done.append("step")
        step(source, target)

    monkeypatch.setattr(os, "fsync", synced)
    monkeypatch.setattr(os, "replace", stepped)
    assert replace_file(file, NEW, read_workbook(file)[1]).replaced
    assert done == ["data", "step", "folder"]


def test_a_symbolic_link_stays_one(file, tmp_path):
    (tmp_path / "elsewhere").mkdir()
    link = tmp_path / "elsewhere" / "link.xlsx"
    link.symlink_to(file)
    outcome = replace_file(link, NEW, read_workbook(link)[1])
    assert (outcome.replaced, outcome.path) == (True, file)
    assert link.is_symlink()
    assert file.read_bytes() == NEW


@pytest.mark.parametrize(
    ("lock", "content", "says"),
    [
        (".~lock.Season 2025.xlsx#", ",anna,bench-2,25.11.2025 10:15,file:///home/anna/.config;", "anna on bench-2"),
        (".~lock.Season 2025.xlsx#", "Anna Berg,anna,bench-2,25.11.2025 10:15,file:///x;", "Anna Berg on bench-2"),
        (".~lock.Season 2025.xlsx#", ",anna", "a LibreOffice of anna."),
        (".~lock.Season 2025.xlsx#", ",anna,bench-2", "a LibreOffice of anna on bench-2."),
        (".~lock.Season 2025.xlsx#", "", "open in LibreOffice."),
        ("~$Season 2025.xlsx", "\x09Anna Berg" + " " * 45, "the spreadsheet program of Anna Berg."),
        (
            "~$Season 2025.xlsx",
            "\x04Anna" + " " * 50 + "\x04\x00A\x00n\x00n\x00a",
            "the spreadsheet program of Anna. Close",
        ),
        ("~$Season 2025.xlsx", "", "open in a spreadsheet program."),
    ],
)
def test_a_file_that_is_open_elsewhere(file, lock, content, says):
    (file.parent / lock).write_text(content)
    outcome = replace_file(file, NEW, read_workbook(file)[1])
    sibling = file.with_name("Season 2025 (results 1).xlsx")
    assert (outcome.path, outcome.replaced) == (sibling, False)
    left_beside(file, sibling)
    assert outcome.reason.startswith("Season 2025.xlsx is open in ")
    assert says in outcome.reason
    assert f"left by a crash: delete {lock}" in outcome.reason
    assert str(sibling) in outcome.reason


def test_a_lock_beside_a_link_counts_too(file, tmp_path):
    (tmp_path / "elsewhere").mkdir()
    link = tmp_path / "elsewhere" / "link.xlsx"
    link.symlink_to(file)
    (tmp_path / "elsewhere" / ".~lock.link.xlsx#").write_text("")
    assert not replace_file(link, NEW, read_workbook(link)[1]).replaced
    left_beside(file, tmp_path / "Season 2025 (results 1).xlsx")


def test_a_name_in_a_lock_of_one_byte_a_letter_is_read(file):
    file.with_name("~$Season 2025.xlsx").write_bytes(b"\x04Ren\xe9" + b" " * 50)  # ISO 8859-1 (memory)
    assert "of René." in replace_file(file, NEW, read_workbook(file)[1]).reason


def test_what_the_system_does_not_let_us_write_is_write_protected(file, monkeypatch):
    """Whatever its mode says: lists of rights are asked by access() (POSIX.1-2017)."""
    monkeypatch.setattr(os, "access", lambda _, mode: mode != os.W_OK)
    assert "is write-protected" in replace_file(file, NEW, read_workbook(file)[1]).reason


def test_a_backup_whose_name_is_taken_gets_another(file):
    mark = hashlib.sha256(OLD).hexdigest()[:12]
    theirs = file.with_name(f"Season 2025 (previous {os.getpid()}-{mark}).xlsx")
    theirs.write_bytes(b"theirs")
    assert replace_file(file, NEW, read_workbook(file)[1]).replaced
    assert theirs.read_bytes() == b"theirs" and sorted(file.parent.iterdir()) == sorted([file, theirs])


def test_why_it_was_not_put_in_place_is_said_and_not_why_another_folder_took_nothing(file, tmp_path, monkeypatch):
    (tmp_path / "other").mkdir()
    (tmp_path / ".~lock.Season 2025.xlsx#").write_text(",anna")
    aside = replacement._set_aside

    def refused(made, target):
        if made.parent == target.parent:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return aside(made, target)

    monkeypatch.setattr(replacement, "_set_aside", refused)
    outcome = replace_file(file, NEW, read_workbook(file)[1], tmp_path / "other")
    assert outcome.path.parent == tmp_path / "other" and outcome.reason.startswith("Season 2025.xlsx is open in")


def test_a_lock_beside_what_a_link_leads_to_counts_too(file, tmp_path):
    (tmp_path / "elsewhere").mkdir()
    link = tmp_path / "elsewhere" / "link.xlsx"
    link.symlink_to(file)
    (tmp_path / ".~lock.Season 2025.xlsx#").write_text(",anna")
    assert "open in a LibreOffice of anna" in replace_file(link, NEW, read_workbook(link)[1]).reason
    assert file.read_bytes() == OLD


def test_a_file_that_was_changed_since_it_was_read(file):
    fingerprint = read_workbook(file)[1]
    state = file.stat()
    changed = OLD[:-1] + b"!"
    file.write_bytes(changed)
    os.utime(file, ns=(state.st_atime_ns, state.st_mtime_ns))  # same size, same time, other content
    outcome = replace_file(file, NEW, fingerprint)
    assert outcome.reason == (
        "Season 2025.xlsx was changed on the disk after it was read. Run again to work with its new state. "
        f"The results are in {outcome.path}."
    )
    assert file.read_bytes() == changed
    assert outcome.path.read_bytes() == NEW


def test_a_file_that_was_saved_anew_counts_as_changed_whatever_it_says(file):
    fingerprint = read_workbook(file)[1]
    os.utime(file, (86400.0, 86400.0))
    assert "was changed on the disk" in replace_file(file, NEW, fingerprint).reason


def test_a_large_file_is_read_whole(tmp_path):
    content = os.urandom(3 << 20)
    (tmp_path / "large.xlsx").write_bytes(content)
    assert read_workbook(tmp_path / "large.xlsx")[0] == content


def test_a_file_that_is_gone(file):
    fingerprint = read_workbook(file)[1]
    file.unlink()
    outcome = replace_file(file, NEW, fingerprint)
    assert "cannot be read any more" in outcome.reason
    assert outcome.path.read_bytes() == NEW


def test_siblings_are_counted_and_never_overwritten(file):
    (file.parent / ".~lock.Season 2025.xlsx#").write_text("")
    names = [replace_file(file, NEW, read_workbook(file)[1]).path.name for _ in range(3)]
    assert names == [f"Season 2025 (results {number}).xlsx" for number in (1, 2, 3)]


def test_a_write_protected_file(file):
    file.chmod(0o444)
    outcome = replace_file(file, NEW, read_workbook(file)[1])
    assert "Season 2025.xlsx is write-protected" in outcome.reason
    left_beside(file, outcome.path)
    assert outcome.path.stat().st_mode & 0o200


def test_a_macro_workbook_keeps_its_suffix(tmp_path):
    path = tmp_path / "kit.v2.xlsm"
    path.write_bytes(OLD)
    (tmp_path / ".~lock.kit.v2.xlsm#").write_text("")
    assert replace_file(path, NEW, read_workbook(path)[1]).path.name == "kit.v2 (results 1).xlsm"


def broken(name, text):
    """The new state with one part spoiled, in a sound archive."""
    buffer = BytesIO()
    with zipfile.ZipFile(BytesIO(NEW)) as old, zipfile.ZipFile(buffer, "w") as new:
        for one in old.namelist():
            new.writestr(one, text if one == name else old.read(one))
    return buffer.getvalue()


with zipfile.ZipFile(BytesIO(NEW)) as _sound:
    CELLS = _sound.read("xl/worksheets/sheet1.xml").replace(b"</c></row>", b"</row>", 1)  # only among the cells
SPOILED = [
    broken("xl/worksheets/sheet1.xml", b"<worksheet><sheetData>"), broken("xl/workbook.xml", b"<workbook/>"),
    broken("xl/worksheets/sheet1.xml", CELLS),
]  # fmt: skip


@pytest.mark.parametrize("rubbish", [b"", b"no archive", NEW[:-400], NEW.replace(b"PK\1\2", b"PK\1\1", 1), *SPOILED])
def test_what_does_not_open_again_is_never_put_in_place(file, rubbish):
    with pytest.raises(PackageRefused) as caught:
        replace_file(file, rubbish, read_workbook(file)[1])
    said = str(caught.value)
    assert said.startswith("The workbook with the results does not open again (") and said.endswith(
        "), so it was not put in place of yours, which is untouched. Save your workbook once in the spreadsheet program and run again."
    )
    assert file.read_bytes() == OLD
    assert list(file.parent.iterdir()) == [file]


def test_what_the_disk_gives_back_otherwise_is_never_put_in_place(file, monkeypatch):
    monkeypatch.setattr(replacement, "_hash", lambda _: "other")
    with pytest.raises(
        PackageRefused, match=r"again \(the disk gives back other bytes than were written\), so it was not put"
    ):
        replace_file(file, NEW, read_workbook(file)[1])
    assert list(file.parent.iterdir()) == [file]


def test_a_file_system_without_links(file, monkeypatch):
    seen = []

    def no_links(source, target):
        seen.append(target)
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    assert replace_file(file, NEW, read_workbook(file)[1]).replaced
    hash_of_old = hashlib.sha256(OLD).hexdigest()[:12]
    assert seen == [file.with_name(f"Season 2025 (previous {os.getpid()}-{hash_of_old}).xlsx")]
    assert list(file.parent.iterdir()) == [file]


def test_a_change_in_the_very_moment_of_replacing_is_put_back(file, monkeypatch):
    step = os.replace

    def meddled(source, target):
        if target == file and file.read_bytes() == OLD:
            with file.open("r+b") as stream:
                stream.write(b"XX")
        step(source, target)

    monkeypatch.setattr(os, "replace", meddled)
    fingerprint = read_workbook(file)[1]
    outcome = replace_file(file, NEW, fingerprint)
    assert outcome.reason == (
        "Season 2025.xlsx was changed by another program in the very moment of replacing; it stands as that one left it. Run again. "
        f"The results are in {outcome.path}."
    )
    assert file.read_bytes() == b"XX" + OLD[2:]
    assert outcome.path.read_bytes() == NEW


def test_a_step_that_the_system_denies(file, monkeypatch):
    """What a program on Windows gets while another one holds the file open."""
    step = os.replace

    def denied(source, target):
        if target == file:
            raise PermissionError(13, "The process cannot access the file because it is being used")
        step(source, target)

    monkeypatch.setattr(os, "replace", denied)
    outcome = replace_file(file, NEW, read_workbook(file)[1])
    assert "being used" in outcome.reason
    left_beside(file, outcome.path)
    assert sorted(file.parent.iterdir()) == sorted([file, outcome.path])


def test_leftovers_of_killed_runs_are_cleared_and_those_in_use_are_not(file):
    for _ in range(2):
        child = os.fork()
        if child == 0:
            with ownfiles.temporary(file.parent, file.name, b"half"):
                os.kill(os.getpid(), signal.SIGKILL)
        os.waitpid(child, 0)
    assert len(list(file.parent.iterdir())) == 2, "the second child cleared what the first had left"
    with ownfiles.temporary(file.parent, file.name, b"in use") as used, ownfiles.lock(file.parent, "other.xlsx"):
        before = set(file.parent.iterdir())
        assert len(before) == 3, "what the children left is gone"
        assert replace_file(file, NEW, read_workbook(file)[1]).replaced
        assert used.read_bytes() == b"in use"
        assert set(file.parent.iterdir()) == before
    assert list(file.parent.iterdir()) == [file]


def test_a_backup_that_a_killed_run_left_is_cleared_and_one_with_another_state_is_kept(file):
    mark = hashlib.sha256(OLD).hexdigest()[:12]
    backups = [file.with_name(f"Season 2025 (previous {process}-{mark}).xlsx") for process in ("99", "98.1", "97")]
    mine = [file.with_name(name) for name in ("Season 2025 (previous 1).xlsx", f"Other (previous 99-{mark}).xlsx")]
    for backup in (*backups[:2], *mine):
        backup.write_bytes(OLD)
    backups[2].write_bytes(b"saved by another program in the moment of the step")
    assert replace_file(file, NEW, read_workbook(file)[1]).replaced
    assert sorted(file.parent.iterdir()) == sorted([file, backups[2], *mine])


@every("letter", ["x", "響", "ö"])
def test_names_as_long_as_the_file_system_takes(tmp_path, letter):
    count = 250 // len(letter.encode())
    path = tmp_path / f"{letter * count}.xlsx"
    path.write_bytes(OLD)
    assert replace_file(path, NEW, read_workbook(path)[1]).replaced
    path.write_bytes(OLD)
    path.chmod(0o444)
    aside = [replace_file(path, NEW, read_workbook(path)[1]).path for _ in range(2)]
    assert [one.name[-17:] for one in aside] == [" (results 1).xlsx", " (results 2).xlsx"]
    assert sorted(tmp_path.iterdir()) == sorted([path, *aside])


def test_another_program_that_saves_after_our_step_keeps_what_it_saved(file, monkeypatch):
    step = os.replace

    def saved_over(source, target):
        step(source, target)
        if target == file:
            file.with_name("theirs").write_bytes(b"theirs")
            step(file.with_name("theirs"), file)

    monkeypatch.setattr(os, "replace", saved_over)
    outcome = replace_file(file, NEW, read_workbook(file)[1])
    assert (outcome.replaced, file.read_bytes(), outcome.path.read_bytes()) == (False, b"theirs", NEW)
    assert "as that one left it" in outcome.reason
    assert sorted(file.parent.iterdir()) == sorted([file, outcome.path])


@pytest.mark.parametrize("links", [True, False])
def test_a_file_that_goes_right_after_our_step_comes_back_as_it_was(file, monkeypatch, links):
    file.chmod(0o640)
    os.utime(file, (86400.0, 86400.0))
    expected, step, steps = read_workbook(file)[1], os.replace, []

    def gone(source, target):
        step(source, target)
        if not steps:
            file.unlink()
        steps.append(target)

    def refused(*_):
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "replace", gone)
    if not links:
        monkeypatch.setattr(os, "link", refused)
    outcome = replace_file(file, NEW, expected)
    assert not outcome.replaced
    left_beside(file, outcome.path)
    assert (file.stat().st_mode & 0o777, file.stat().st_mtime) == (0o640, 86400.0)


def test_a_change_seen_in_the_backup_leaves_no_backup(file, monkeypatch):
    expected = read_workbook(file)[1]
    file.write_bytes(NEW[::-1])
    monkeypatch.setattr(replacement, "_obstacle", lambda *_: "")  # it came after that was asked
    outcome = replace_file(file, NEW, expected)
    assert "was changed on the disk after it was read" in outcome.reason
    assert sorted(file.parent.iterdir()) == sorted([file, outcome.path]) and file.read_bytes() == NEW[::-1]


def test_a_new_file_that_cannot_get_its_name_leaves_no_empty_one(tmp_path, monkeypatch):
    def refused(*_):
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(os, "link", refused)
    monkeypatch.setattr(os, "replace", refused)
    with pytest.raises(NotSavedError) as caught:
        replace_file(tmp_path / "copy.xlsx", NEW, None, tmp_path)
    assert str(caught.value).count("takes no new file (Input/output error)") == 1  # the same folder twice: said once
    assert not any(tmp_path.iterdir())


def test_a_new_part_whose_name_is_stored_with_a_slash_is_read_back_too(file):
    """Some writers put a slash before the names in the archive; the parts are those without it."""
    buffer = BytesIO()
    with zipfile.ZipFile(BytesIO(OLD)) as old, zipfile.ZipFile(buffer, "w") as new:
        for name in old.namelist():
            new.writestr(name if name.startswith(("[", "_rels")) else f"/{name}", old.read(name))
    file.write_bytes(buffer.getvalue())
    fresh = Rewritten(buffer.getvalue(), {"/xl/worksheets/sheet1.xml": b"<worksheet><sheetData>"})
    with pytest.raises(PackageRefused, match=r"does not open again .*sheet1\.xml is no proper XML"):
        replace_file(file, fresh, read_workbook(file)[1])


def test_a_new_file_is_made_only_where_none_stands(tmp_path):
    path = tmp_path / "copy.xlsx"
    assert replace_file(path, NEW, None) == Outcome(path, replaced=True)
    assert (
        path.stat().st_mode & 0o777 == 0o644
    )  # not that of a temporary file (0600 by POSIX), and nobody else's to write
    path.write_bytes(OLD)
    outcome = replace_file(path, NEW, None)
    assert "made by somebody else after this run began" in outcome.reason
    left_beside(path, outcome.path)


@pytest.fixture
def disk(tmp_path):
    """Mount a memory disk of 256 KiB; yields the folder and a function that mounts it anew with other options."""
    folder = tmp_path / "disk"
    folder.mkdir()

    def mount(options):
        return subprocess.run(["mount", "-t", "tmpfs", "-o", options, "none", folder], capture_output=True, check=False)

    try:
        failed = mount("size=256k").returncode
    except FileNotFoundError:
        pytest.skip("this system has no mount command")
    if failed:
        pytest.skip("mounting a memory disk is not permitted here")
    yield folder, mount
    subprocess.run(["umount", folder], check=True)


def filled(folder, leave):
    """Fill a disk to all but a few bytes."""
    room = os.statvfs(folder)
    (folder / "ballast").write_bytes(bytes(room.f_bavail * room.f_frsize - leave))


def test_a_full_disk(disk, tmp_path):
    folder, _ = disk
    file = folder / "Season 2025.xlsx"
    file.write_bytes(OLD)
    large = workbook("large", rows=900)
    filled(folder, leave=len(large) // 2)
    before = sorted(folder.iterdir())
    with pytest.raises(NotSavedError) as caught:
        replace_file(file, large, read_workbook(file)[1])
    assert str(caught.value) == (
        f"The results could not be saved; Season 2025.xlsx is as it was. {folder} takes no new file (No space left on device). Make room there "
        "or allow writing, and run again. Or name another folder for the results."
    )
    outcome = replace_file(file, large, read_workbook(file)[1], fallback_folder=tmp_path)
    assert (outcome.path, outcome.replaced) == (tmp_path / "Season 2025 (results 1).xlsx", False)
    assert "No space left on device" in outcome.reason
    assert outcome.path.read_bytes() == large
    assert (file.read_bytes(), sorted(folder.iterdir())) == (OLD, before)


def test_a_disk_with_room_for_the_new_state_but_not_for_a_copy_of_the_old(disk, tmp_path, monkeypatch):
    folder, _ = disk
    file = folder / "Season 2025.xlsx"
    old = workbook("old", rows=1200)
    file.write_bytes(old)
    filled(folder, leave=len(NEW) + 8192)
    monkeypatch.setattr(os, "link", lambda *_: (_ for _ in ()).throw(PermissionError(1, "no links")))
    outcome = replace_file(file, NEW, read_workbook(file)[1])
    assert "No space left on device" in outcome.reason
    assert (file.read_bytes(), outcome.path.read_bytes()) == (old, NEW)
    assert sorted(path.name for path in folder.iterdir()) == [
        "Season 2025 (results 1).xlsx",
        "Season 2025.xlsx",
        "ballast",
    ]


def test_a_read_only_disk(disk, tmp_path):
    folder, mount = disk
    file = folder / "Season 2025.xlsx"
    file.write_bytes(OLD)
    assert mount("remount,ro").returncode == 0
    with pytest.raises(NotSavedError, match="Read-only file system"):
        replace_file(file, NEW, read_workbook(file)[1])
    outcome = replace_file(file, NEW, read_workbook(file)[1], fallback_folder=tmp_path)
    assert "Read-only file system" in outcome.reason
    left_beside(file, outcome.path)
    assert outcome.path.parent == tmp_path


def test_a_file_that_the_file_system_guards(file):
    """An immutable file: even its folder's owner cannot put another in its place."""
    guard = subprocess.run(["chattr", "+i", file], capture_output=True, check=False)
    if guard.returncode:
        pytest.skip(f"chattr is not permitted here: {guard.stderr.decode().strip()}")
    try:
        outcome = replace_file(file, NEW, read_workbook(file)[1])
    finally:
        subprocess.run(["chattr", "-i", file], check=True)
    assert not outcome.replaced
    left_beside(file, outcome.path)
    assert sorted(file.parent.iterdir()) == sorted([file, outcome.path])


def test_killed_at_any_moment_the_file_is_the_old_or_the_new_one(file):
    """A process that replaces the file over and over is killed (signal 9) at random moments."""
    chance, seen = random.Random(20251125), []
    began = time.monotonic()
    assert replace_file(file, NEW, read_workbook(file)[1]).replaced
    longest = 5.0 * (time.monotonic() - began)  # on a busy machine too, some are killed after a step
    for _ in range(KILLS):
        child = os.fork()
        if child == 0:
            _replace_for_ever(file)
        time.sleep(chance.uniform(0.02, 1.0) * longest)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        content = file.read_bytes()
        assert content in (OLD, NEW)
        seen.append(content)
        for kept in file.parent.glob("*(previous*"):
            assert kept.read_bytes() in (OLD, NEW)
    assert {OLD, NEW} <= set(seen)
    assert replace_file(file, NEW, read_workbook(file)[1]).replaced
    assert not list(file.parent.glob("*(results*"))


def _replace_for_ever(file):
    try:
        while True:
            content, fingerprint = read_workbook(file)
            replace_file(file, NEW if content == OLD else OLD, fingerprint)
    finally:
        os._exit(1)


def test_the_fingerprint_is_size_time_and_hash(file):
    """The hash of FIPS 180-4's own example, "abc"."""
    file.write_bytes(b"abc")
    fingerprint = read_workbook(file)[1]
    assert (fingerprint.size, fingerprint.modified_ns) == (3, file.stat().st_mtime_ns)
    assert fingerprint.sha256 == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert replacement.Fingerprint(3, fingerprint.modified_ns, fingerprint.sha256) == fingerprint


@every("end", [" (results 1).xlsx", " (Ergebnis für Größe).xlsx", " 結果.xlsx"])
@every("stem", ["Season 2025", "x" * 300, "響" * 100, "é" * 127, "x" * 237 + "é"])
def test_a_long_name_is_cut_to_what_file_systems_take(stem, end):
    """255 bytes (POSIX NAME_MAX), no sign cut through, and as much of it as there is room for."""
    name = fitting(stem, end)
    size = len(name.encode())
    assert name.endswith(end) and stem.startswith(name[: -len(end)]) and size <= 255
    cut = name[: -len(end)] != stem
    assert cut is (len((stem + end).encode()) > 255) and (not cut or size > 255 - 4)


def test_two_files_of_like_names_share_nothing():
    names = ["Season 2025 a.xlsx", "Season 2025 b.xlsx", "Season 2025.xlsx", "season 2025.xlsx", "響.xlsx"]
    assert len({ownfiles._mark(name) for name in names}) == len(names)
    assert ownfiles._mark(names[0]) == ownfiles._mark(names[0]) and {len(ownfiles._mark(name)) for name in names} == {
        12
    }


@every(("hours", "left"), [(0.0, True), (23.5, True), (24.5, False), (500.0, False)])
def test_without_locks_a_temporary_file_counts_as_left_over_after_a_day(tmp_path, monkeypatch, hours, left):
    monkeypatch.setattr(ownfiles, "_fcntl", None)
    names = [tmp_path / f"{ownfiles.TEMPORARY}{ownfiles._mark(name)}-x" for name in ("Season.xlsx", "Other.xlsx")]
    for name in names:
        name.write_bytes(b"half")
        os.utime(name, (time.time() - hours * 3600.0,) * 2)
    ownfiles.clear_leftovers(tmp_path, "Season.xlsx")
    assert [name.exists() for name in names] == [left, True], "those of another file are not looked at"
    ownfiles.clear_leftovers(tmp_path)
    assert [name.exists() for name in names] == [left, left]


@every(
    ("refused", "ours"), [("EAGAIN", False), ("EACCES", False), ("ENOLCK", True), ("ENOTSUP", True), ("EINVAL", True)]
)
def test_a_file_system_without_locks_gives_them_at_once(monkeypatch, refused, ours):
    """flock(2): held by another is EWOULDBLOCK, or EACCES in its older form; all else says that there are none."""

    def flock(*_):
        raise OSError(getattr(errno, refused), refused)

    monkeypatch.setattr(ownfiles, "_fcntl", SimpleNamespace(flock=flock, LOCK_EX=2, LOCK_NB=4))
    assert ownfiles._seized(0) is ours
