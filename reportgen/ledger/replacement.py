"""Putting a new state of a workbook in the place of the old one so that, whatever happens, one of them is whole.

Knows files, locks and disks. Refuses to know what is in the workbook beyond that it can be opened, and never
overwrites a file that somebody else has open, has changed or has protected: then the results go beside it.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import itertools
import os
import re
import shutil
import warnings
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import openpyxl

from reportgen.catalogue.package import Package
from reportgen.catalogue.plainfiles import opened
from reportgen.ledger import ownfiles
from reportgen.ledger.container import Rewritten
from reportgen.problems import PackageRefused, ReportgenError

_CHANGED: Final = "{} was changed on the disk after it was read. Run again to work with its new state."
_MARK: Final = 12
"""Digits of a state's SHA-256 in the name of its backup."""
_BACKUP: Final = re.compile(rf" \(previous [\d.]+-([0-9a-f]{{{_MARK}}})\)(?=\.[^.]*$|$)")


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
    with opened(path) as file:
        state = os.fstat(file.fileno())
        content = file.read()
    return content, Fingerprint(len(content), state.st_mtime_ns, hashlib.sha256(content).hexdigest())


def replace_file(
    path: Path, content: bytes | Rewritten, expected: Fingerprint | None, fallback_folder: Path | None = None
) -> Outcome:
    """Put `content` in the place of the workbook at `path` in one step, or beside it when that is not safe.

    `expected` is what the file was when it was read, None when there was none. Not safe: open elsewhere, changed since it
    was read (also by another of our commands), write-protected, or no room. Then the results go to "NAME (results N).xlsx"
    in the same folder, or in `fallback_folder` when that one takes no file. A symbolic link is followed. Until the new
    state has been read back, the old one also stands beside it as "NAME (previous PROCESS-HASH).xlsx"; what a killed run
    left of that is cleared by the next one. Errors: PackageRefused when the new bytes do not open as a workbook,
    NotSavedError when no folder takes them; either way the old state stands. Another program that saves in the very
    instant of the step keeps what it saved, whether it writes into the file or swaps files as we do.
    """
    target = path.resolve()
    pieces = (content,) if isinstance(content, bytes) else content
    fresh = content.parts.keys() if isinstance(content, Rewritten) else None
    mark = _sha256(pieces)
    reasons: list[str] = []
    for folder in filter(None, (target.parent, fallback_folder)):
        try:
            with ownfiles.temporary(folder, target.name, pieces) as made:
                _take_after(target, made)
                _refuse_unreadable(made, mark, fresh)
                if not reasons:
                    reasons.append(_put_in_place(made, path, target, expected, pieces))
                    if not reasons[0]:
                        return Outcome(target, replaced=True)
                sibling = _set_aside(made, target)
        except OSError as error:
            reasons.append(_in_words(error, folder))
        else:
            return Outcome(sibling, replaced=False, reason=f"{reasons[0]} The results are in {sibling}.")
    raise NotSavedError(
        f"The results could not be saved; {target.name} is as it was. {' '.join(dict.fromkeys(reasons))} "
        "Or name another folder for the results."
    )


def _put_in_place(made: Path, path: Path, target: Path, expected: Fingerprint | None, new: Iterable[bytes]) -> str:
    """Look once more and take the step, alone among our commands; return why not, with all as it was before."""
    with ownfiles.lock(target.parent, target.name) as alone:
        if not alone:
            return (
                f"{target.name} is being written by another run of this program that does not end. Wait until it has "
                "ended, or end it, and run again."
            )
        if expected is None:
            return _moved_to_free_name(made, target)
        _clear_backups(target)
        return _obstacle(path, target, expected) or _swapped(made, target, expected, new)


def _take_after(model: Path, file: Path) -> None:
    """Give a file the mode and, if permitted, the owner of the one it stands in for."""
    if not model.exists():
        with contextlib.suppress(OSError):
            file.chmod(0o644)
        return
    with contextlib.suppress(OSError):  # a file system without modes or attributes
        shutil.copystat(model, file)
    with contextlib.suppress(OSError, AttributeError):  # another's file, or a system without owners
        os.chown(file, model.stat().st_uid, model.stat().st_gid)
    os.utime(file)


def _refuse_unreadable(file: Path, mark: str, fresh: Collection[str] | None) -> None:
    """Read the file back from the disk and open it as an archive and as a workbook.

    `mark` is the SHA-256 of what was written, `fresh` names the parts that do not lie as they did in the old file, None all:
    those are unpacked and read.
    """
    try:
        if _hash(file) != mark:
            raise ValueError("the disk gives back other bytes than were written")
        package = Package(file)
        sheets = [part for _, part in package.sheets()]
        for part in map(package.stored_name, package.names):
            if fresh is not None and part not in fresh:
                continue
            if part in sheets:
                package.check_xml(part)  # the cells, which the library does not look at below
            else:
                package.read(part)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what the library cannot keep does not matter: nothing is saved by it
            openpyxl.load_workbook(io.BytesIO(package.bare(lambda _: True, rows=False)), read_only=True).close()
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
            return _CHANGED.format(target.name)
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
    with opened(file) as stream:
        state, found = os.fstat(stream.fileno()), hashlib.file_digest(stream, "sha256").hexdigest()
        return Fingerprint(stream.tell(), state.st_mtime_ns, found)


def _moved_to_free_name(made: Path, target: Path) -> str:
    """Give a file a name that nothing has; return why not."""
    if os.path.lexists(target):
        return f"{target.name} was made by somebody else after this run began. Run again to add to it."
    if not _named(made, target):
        return f"{target.name} was made by somebody else in the very moment. Run again to add to it."
    _sync_folder(target.parent)
    return ""


def _named(made: Path, target: Path) -> bool:
    """Put a file under a name unless something has it: in one step where there are links."""
    try:
        os.link(made, target)
    except FileExistsError:
        return False
    except OSError:
        try:
            target.open("xb").close()
        except FileExistsError:
            return False
        try:
            os.replace(made, target)
        except OSError:
            target.unlink()
            raise
    return True


def _swapped(made: Path, target: Path, expected: Fingerprint, new: Iterable[bytes]) -> str:
    """Let the new file take the target's place; return why not, with both where they were before."""
    try:
        backup = _kept_beside(target, expected)
    except OSError as error:
        return _in_words(error, target.parent)
    if _hash(backup) != expected.sha256:
        backup.unlink(missing_ok=True)
        return _CHANGED.format(target.name)
    try:
        os.replace(made, target)
    except OSError as error:
        backup.unlink(missing_ok=True)
        return _in_words(error, target)
    _sync_folder(target.parent)
    ours, old_stands = _hash(target) == _sha256(new), _hash(backup) == expected.sha256
    if ours and old_stands:
        backup.unlink(missing_ok=True)
        return ""
    if old_stands and target.exists():  # somebody put a file there after our step: it is theirs
        backup.unlink(missing_ok=True)
    else:  # somebody wrote into the old file, which we had moved away
        os.replace(backup, target)
    _sync_folder(target.parent)
    with made.open("xb") as file:
        file.writelines(new)
        file.flush()
        os.fsync(file.fileno())
    return (
        f"{target.name} was changed by another program in the very moment of replacing; it stands as that one left it. "
        "Run again."
    )


def _hash(file: Path) -> str:
    """SHA-256 of a file; empty where it cannot be read."""
    try:
        with file.open("rb") as stream:
            return hashlib.file_digest(stream, "sha256").hexdigest()
    except OSError:
        return ""


def _sha256(pieces: Iterable[bytes]) -> str:
    found = hashlib.sha256()
    for piece in pieces:
        found.update(piece)
    return found.hexdigest()


def _kept_beside(target: Path, state: Fingerprint) -> Path:
    """Keep the present state under a second name of this process: a link where the file system has them, else a copy."""
    for number in itertools.count():
        process = f"{os.getpid()}.{number}" if number else f"{os.getpid()}"
        end = f" (previous {process}-{state.sha256[:_MARK]}){target.suffix}"
        backup = target.with_name(ownfiles.fitting(target.stem, end))
        try:
            os.link(target, backup)
        except FileExistsError:
            continue
        except OSError:
            if os.path.lexists(backup):
                continue
            _copy(target, backup)
        break
    return backup


def _clear_backups(target: Path) -> None:
    """Remove what killed runs left beside the file, as long as it is the very state that they replaced.

    Only under the lock: then no run is at this step, and the file is one whole state or the other.
    """
    for backup in target.parent.iterdir():
        found = _BACKUP.search(backup.name)
        ours = found is not None and ownfiles.fitting(target.stem, f"{found[0]}{target.suffix}") == backup.name
        if found is not None and ours and target.is_file() and _hash(backup)[:_MARK] == found[1]:
            with contextlib.suppress(OSError):
                backup.unlink()


def _copy(source: Path, copy: Path) -> None:
    with source.open("rb") as old, copy.open("xb") as new:
        try:
            shutil.copyfileobj(old, new)
            new.flush()
            os.fsync(new.fileno())
        except BaseException:
            copy.unlink(missing_ok=True)
            raise
    shutil.copystat(source, copy)


def _set_aside(made: Path, target: Path) -> Path:
    """Give the new file the first free name for results."""
    made.chmod(made.stat().st_mode | 0o200)
    for number in itertools.count(1):
        sibling = made.with_name(ownfiles.fitting(target.stem, f" (results {number}){target.suffix}"))
        if _named(made, sibling):
            break
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
