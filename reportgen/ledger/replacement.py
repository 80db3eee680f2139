"""Putting a new state of a workbook in the place of the old one so that, whatever happens, one of them is whole.

Knows files, locks and disks. Refuses to know what is in the workbook beyond that it can be opened, and never
overwrites a file that somebody else has open, has changed or has protected: then the results go beside it.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import tempfile
import time
import warnings
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Final

import openpyxl

from reportgen.catalogue.package import Package
from reportgen.problems import PackageRefused, ReportgenError

_TEMPORARY: Final = ".reportgen-tmp"
_STALE_SECONDS: Final = 24 * 3600  # a temporary file this old belongs to a run that was killed (practice, no source)


@dataclass(frozen=True, slots=True)
class Fingerprint:
    """What a file was when it was read: size in bytes, time of last change in ns, SHA-256 of its content."""

    size: int
    modified_ns: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """Where the new state is, whether it took the place of the old one, and if not, why and what to do."""

    path: Path
    replaced: bool
    reason: str = ""


class NotSavedError(ReportgenError):
    """The new state could be put nowhere; the file of the operator is as it was."""


def read_workbook(path: Path) -> tuple[bytes, Fingerprint]:
    """Read a file together with the fingerprint that `replace_file` will ask for.

    Errors: OSError when it cannot be read.
    """
    with path.open("rb") as file:
        state = os.fstat(file.fileno())
        content = file.read()
    return content, Fingerprint(len(content), state.st_mtime_ns, hashlib.sha256(content).hexdigest())


def replace_file(
    path: Path, new_bytes: bytes, expected_fingerprint: Fingerprint, fallback_folder: Path | None = None
) -> Outcome:
    """Put `new_bytes` in the place of the workbook at `path` in one step, or beside it when that is not safe.

    Not safe: open elsewhere, changed since it was read, write-protected, or no room. Then the results go to
    "NAME (results N).xlsx" in the same folder, or in `fallback_folder` when that one takes no file. A symbolic link is
    followed. Until the new state has been read back, the old one also stands beside it as "NAME (previous N).xlsx".
    Errors: PackageRefused when the new bytes do not open as a workbook, NotSavedError when no folder takes them; either
    way the old state stands. Another program that saves in the instant between the last look and the step is noticed
    when it writes into the file, not when it swaps files as we do.
    """
    target = path.resolve()
    reasons: list[str] = []
    for folder in filter(None, (target.parent, fallback_folder)):
        try:
            with _written(new_bytes, folder, target) as temporary:
                _refuse_unreadable(temporary, new_bytes)
                if not reasons:
                    obstacle = _obstacle(path, target, expected_fingerprint)
                    reason = obstacle or _swapped(temporary, target, expected_fingerprint, new_bytes)
                    if not reason:
                        return Outcome(target, replaced=True)
                    reasons.append(reason)
                sibling = _set_aside(temporary, target)
        except OSError as error:
            reasons.append(_in_words(error, folder))
        else:
            return Outcome(sibling, replaced=False, reason=f"{reasons[0]} The results are in {sibling}.")
    raise NotSavedError(
        f"The results could not be saved; {target.name} is as it was. {' '.join(dict.fromkeys(reasons))} "
        "Or name another folder for the results."
    )


@contextlib.contextmanager
def _written(content: bytes, folder: Path, target: Path) -> Iterator[Path]:
    """Write a temporary file to the disk itself, with the mode and, if permitted, the owner of the target."""
    _clear_leftovers(target, folder)
    handle, name = tempfile.mkstemp(_TEMPORARY, f".{target.name}.", folder)
    temporary = Path(name)
    try:
        with open(handle, "wb") as file:
            _write_through(file, content)
        if target.exists():
            _take_after(target, temporary)
        yield temporary
    finally:
        temporary.unlink(missing_ok=True)


def _write_through(file: BinaryIO, content: bytes) -> None:
    file.write(content)
    file.flush()
    os.fsync(file.fileno())


def _take_after(model: Path, file: Path) -> None:
    with contextlib.suppress(OSError):  # a file system without modes or attributes
        shutil.copystat(model, file)
    with contextlib.suppress(OSError, AttributeError):  # another's file, or a system without owners
        os.chown(file, model.stat().st_uid, model.stat().st_gid)
    os.utime(file)


def _clear_leftovers(target: Path, folder: Path) -> None:
    for leftover in folder.iterdir():
        if leftover.name.startswith(f".{target.name}.") and leftover.name.endswith(_TEMPORARY):
            with contextlib.suppress(OSError):
                if time.time() - leftover.stat().st_mtime > _STALE_SECONDS:
                    leftover.unlink()


def _refuse_unreadable(file: Path, content: bytes) -> None:
    """Read the file back from the disk and open it as an archive and as a workbook."""
    try:
        if file.read_bytes() != content:
            raise ValueError("the disk gives back other bytes than were written")
        with zipfile.ZipFile(file) as archive:
            if (damaged := archive.testzip()) is not None:
                raise ValueError(f"its part {damaged} is damaged")
        package = Package(content)
        for _, part in package.sheets():
            package.xml(part)
        with file.open("rb") as stream, warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what the library cannot keep does not matter: nothing is saved by it
            openpyxl.load_workbook(
                stream, read_only=True
            ).close()  # the cells are seen to above, in a fifth of the time
    except Exception as error:  # the library raises whatever it stumbles over
        raise PackageRefused(
            f"The workbook with the results does not open again ({error}), so it was not put in place of "
            "yours, which is untouched. Save your workbook once in the spreadsheet program and run again."
        ) from error


def _obstacle(path: Path, target: Path, expected: Fingerprint) -> str:
    """Say why the file must not be replaced now, and how to mend it; empty when nothing is in the way."""
    for place in dict.fromkeys((target, path.absolute())):
        for lock, holder in _locks(place):
            return (
                f"{target.name} is open in {holder}. Close it there and run again; if nobody has it open, the lock was "
                f"left by a crash: delete {lock.name} in {lock.parent}."
            )
    try:
        if not target.stat().st_mode & 0o222 or not os.access(target, os.W_OK):
            return f"{target.name} is write-protected. Allow writing in its properties and run again."
        if _fingerprint(target) != expected:
            return f"{target.name} was changed on the disk after it was read. Run again to work with its new state."
    except OSError as error:
        return f"{target.name} cannot be read any more ({error.strerror}). Put it back in its place and run again."
    return ""


def _locks(file: Path) -> Iterator[tuple[Path, str]]:
    """Find the lock files that spreadsheet programs put beside an open file, each with who holds it."""
    office, excel = file.with_name(f".~lock.{file.name}#"), file.with_name(f"~${file.name}")
    if os.path.lexists(office):
        fields = _text(office).split(",")  # name of the user, login, host, date, profile
        who = next((field for field in fields[:2] if field.strip()), "")
        where = f" on {fields[2]}" if len(fields) > 2 and fields[2] else ""
        yield office, f"a LibreOffice of {who}{where}" if who else "LibreOffice"
    if os.path.lexists(excel):
        content = _text(excel)  # one byte with the length of the name, then the name
        who = content[1 : 1 + ord(content[0])].strip() if content else ""
        yield excel, f"the spreadsheet program of {who}" if who else "a spreadsheet program"


def _text(file: Path) -> str:
    try:
        content = file.read_bytes()[:1000]
    except OSError:  # held open exclusively
        return ""
    if file.name.startswith(".~"):
        return content.decode("utf-8", "replace")
    return content.decode("latin-1")


def _fingerprint(file: Path) -> Fingerprint:
    return read_workbook(file)[1]


def _swapped(temporary: Path, target: Path, expected: Fingerprint, content: bytes) -> str:
    """Let the temporary file take the target's place; return why not, with both where they were before."""
    try:
        backup = _kept_beside(target)
    except OSError as error:
        return _in_words(error, target.parent)
    try:
        os.replace(temporary, target)
    except OSError as error:
        backup.unlink(missing_ok=True)
        return _in_words(error, target)
    _sync_folder(target.parent)
    if _holds(target, content) and _fingerprint(backup).sha256 == expected.sha256:
        backup.unlink(missing_ok=True)
        return ""
    os.replace(backup, target)
    _sync_folder(target.parent)
    with temporary.open("xb") as file:
        _write_through(file, content)
    return f"{target.name} was changed in the very moment of replacing; it stands as it was. Run again."


def _holds(file: Path, content: bytes) -> bool:
    try:
        return file.read_bytes() == content
    except OSError:
        return False


def _kept_beside(target: Path) -> Path:
    """Keep the present state under a second name: a link where the file system has them, else a copy."""
    number = 1
    while True:
        backup = target.with_name(f"{target.stem} (previous {number}){target.suffix}")
        if not os.path.lexists(backup):
            break
        if os.path.samefile(target, backup):  # left by a run that was killed at this point
            return backup
        number += 1
    try:
        os.link(target, backup)
    except OSError:
        _copy(target, backup)
    return backup


def _copy(source: Path, copy: Path) -> None:
    with source.open("rb") as old, copy.open("xb") as new:
        try:
            _write_through(new, old.read())
        except BaseException:
            copy.unlink(missing_ok=True)
            raise
    shutil.copystat(source, copy)


def _set_aside(temporary: Path, target: Path) -> Path:
    """Give the temporary file the first free name for results, taken by making an empty file of it."""
    temporary.chmod(temporary.stat().st_mode | 0o200)
    number = 1
    while True:
        sibling = temporary.with_name(f"{target.stem} (results {number}){target.suffix}")
        try:
            sibling.open("xb").close()
            break
        except FileExistsError:
            number += 1
    try:
        os.replace(temporary, sibling)
    except OSError:
        sibling.unlink()
        raise
    _sync_folder(sibling.parent)
    return sibling


def _in_words(error: OSError, place: Path) -> str:
    return f"{place} takes no new file ({error.strerror or error}). Make room there or allow writing, and run again."


def _sync_folder(folder: Path) -> None:
    with contextlib.suppress(OSError):  # some systems do not open folders
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
