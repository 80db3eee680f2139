"""What earlier runs left in out/: a pairing whose inputs did not change is neither computed nor printed again.

Knows fingerprints and files; what stands in a file is known to `digests`, imported where there is one. Refuses to know how a
sheet is made. A sheet that is taken over keeps the run number and the date of its printing: what
did not change stays the same paper, to the byte, and says when it was made.
"""

from __future__ import annotations

import errno
import hashlib
import os
import stat
import zlib
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import TYPE_CHECKING, Any

from reportgen.catalogue.plainfiles import read_file
from reportgen.catalogue.records import Case, Catalogue, Record
from reportgen.commands.filenames import safe_name, sheet_name
from reportgen.ledger import ownfiles
from reportgen.ledger.archive import ALL, Packer
from reportgen.ledger.kept import Damaged, inflated, sealed, unsealed
from reportgen.ledger.revisions import Revised

if TYPE_CHECKING:
    from reportgen.assessment import Assessment, Outline, Ware
    from reportgen.commands import digests

FOLDER, OWNER = ".kept", "workbook"
PACKAGE = Path(__file__).parents[1]
_ENGINES = ("numpy", "scipy", "jinja2", "weasyprint")


def write_atomically(target: Path, content: bytes | Iterable[bytes], cleared: bool = False) -> None:
    """Write a file, also from pieces, in one step: it is the old one or the new one, whole, whatever happens.

    Where the folder was `cleared` of what killed runs left, it is not looked through again.
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    with ownfiles.temporary(target.parent, target.name, content, cleared) as made:
        made.chmod(0o644)
        os.replace(made, target)


def take_number(folder: Path, kind: str, least: int) -> int:
    """A number for a run or another piece of work, that no earlier one had and no later one gets, whatever became of sheets.

    `least` is what the workbook's sheets and History leave free. Also two commands at once get two numbers. A folder that
    takes no file costs only that.
    """
    file = folder / FOLDER / f"last-{kind.casefold()}"
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        with ownfiles.lock(file.parent, file.name):
            number = max(least, 1 + _last_number(file))
            write_atomically(file, sealed(b"%d" % number))
    except OSError:
        return least
    return number


def _last_number(file: Path) -> int:
    try:
        parts = unsealed(file, count=1)
        return int(parts[0]) if parts else 0
    except (OSError, Damaged, ValueError):
        return 0


def claim(folder: Path, workbook: Path) -> None:
    """Note in a folder of results which workbook they are of, by the way that leads there: both may be copied or moved together."""
    try:
        way = os.path.relpath(workbook.resolve(), folder.resolve())
    except ValueError:  # on another drive
        way = str(workbook.resolve())
    with suppress(OSError):
        write_atomically(folder / FOLDER / OWNER, sealed(way.encode()))


def other_owner(folder: Path, workbook: Path) -> Path | None:
    """The other workbook whose results stand in the folder; None where there is none such, or it is gone."""
    try:
        (way,) = unsealed(folder / FOLDER / OWNER, count=1) or (b"",)
        other = folder.resolve() / way.decode()
        return other.resolve() if other.is_file() and not other.samefile(workbook) else None
    except (OSError, Damaged, ValueError):
        return None


# --- what results rest on -----------------------------------------------------------------------------------------


def key_of_program() -> str:
    """Fingerprint of what computes: the text of every module of this program, and the versions of its engines."""
    package = PACKAGE
    return _hash([*map(_version, _ENGINES), *_contents(package, package.rglob("*.py"))])


def key_of_printing(paper: str, logo: str, templates: Path | None, pages: str = "all") -> str:
    """Fingerprint of what makes pages look as they do: size, logo, which pages, templates (the operator's before ours)."""
    package = PACKAGE
    folders = [folder for folder in (templates, package / "templates", package.parent / "templates") if folder]
    return _hash([paper, logo, pages, *(text for folder in folders for text in _contents(folder, folder.rglob("*.*")))])


def key_of_catalogue(catalogue: Catalogue, packer: Packer) -> str:
    """Fingerprint of everything the search for remedies may choose from."""
    names = ("low_drivers", "high_drivers", "waveguides", "cabinets", "technologies")
    tables: list[Mapping[Any, Any]] = [*(getattr(catalogue, name) for name in names), catalogue.curves]
    return _hash([packer.add(record) for table in tables for record in table.values()])


def _version(package: str) -> str:
    try:
        return f"{package} {version(package)}"
    except PackageNotFoundError:
        return package


def _contents(folder: Path, files: Iterable[Path]) -> list[str]:
    found = sorted((file for file in files if file.is_file()), key=lambda file: file.as_posix())
    return [f"{file.relative_to(folder).as_posix()} {_hash_of_bytes(file.read_bytes())}" for file in found]


def _hash(parts: Iterable[object]) -> str:
    return _hash_of_bytes("\n".join(map(str, parts)).encode())


def _hash_of_bytes(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _places(case: Case, sheets: Sequence[str]) -> str:
    """Where the records of a case from some of the sheets stand."""
    found = [one.origin for one in _records(case) if one.origin.sheet in sheets]
    return _hash((one.sheet, one.row, sorted(one.cells.items())) for one in found)


def _records(case: Case) -> list[Record]:
    records = (case.pairing, case.low, case.high, case.guide, case.cabinet, case.technology)
    return [one for one in records if one is not None]


# --- kept results -------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Found:
    """A kept result, the file name of its sheet ("" when that must be printed anew), and the kept file as it was read."""

    outline: Outline
    digest: digests.Digest | None
    sheet: str
    revised: Revised | None = None
    packed: Sequence[bytes] = ()


class Store:
    """The folder of one workbook's results, as one run sees it. `printing` is the key of the printing, `packer` names inputs.

    `damaged` names what was kept and is no longer as it was written: it counts as never kept.
    """

    def __init__(self, folder: Path, catalogue: Catalogue, printing: str, packer: Packer | None = None) -> None:
        self.folder, self._printing = folder, printing
        self._program, self.packer = key_of_program(), packer or Packer(ALL)
        self._searched = key_of_catalogue(catalogue, self.packer)
        self.damaged: list[str] = []
        self._cleared = False

    def inputs(self, case: Case) -> str:
        """The name of all inputs of a case, as on its sheet and in History."""
        return self.packer.add(case)

    def keep(
        self, whole: Assessment, pdf: bytes | None, revised: Revised | None = None, digest: digests.Digest | None = None
    ) -> str:
        """Keep an assessment and its sheet for the next run, and the sheet for people; returns the sheet's file name.

        Errors: OSError when the folder takes no file.
        """
        from reportgen.assessment import Goods
        from reportgen.commands import digests

        self._clear()
        sheet = sheet_name(whole.case.pairing) if pdf is not None else ""
        if pdf is not None:
            write_atomically(self.folder / sheet, pdf, cleared=True)
            self._clear_renamed(whole.case, sheet)
        digest, searched = digest or digests.Digest.of(whole), bool(whole.remedies or whole.remedies_note)
        entry = digests.FirstPart(
            key=self._key(whole.case, searched),
            places=_places(whole.case, whole.named_sheets),
            printing=self._printing,
            sheet=_hash_of_bytes(pdf) if pdf is not None else "",
            state=_state_of(self.folder / sheet) if pdf is not None else "",
            file=sheet,
            revised=revised,
            named=whole.named_sheets,
            searched=searched,
            outline=digest.outline,
        )
        rows = digest.rows
        bulk = (Goods.of(whole), whole.with_curves(None), whole.curves)
        packed = (zlib.compress(digests.as_json(part), 1) for part in bulk)
        write_atomically(
            self._file(whole.id),
            sealed(
                digests.as_json(entry),
                rows.checks,
                rows.parts,
                rows.totals,
                rows.steps,
                digest.line,
                *packed,
                form=_FORM,
            ),
            cleared=True,
        )
        return sheet

    def _clear(self) -> None:
        """Remove what killed runs left, once: the folders of a long season take long to look through."""
        for folder in () if self._cleared else (self.folder, self.folder / FOLDER):
            ownfiles.clear_leftovers(folder)
        self._cleared = True

    def _clear_renamed(self, case: Case, sheet: str) -> None:
        """Remove the sheet that this one takes the place of, when it has another name and is still as we left it."""
        parts = self._parts(case)
        if not parts:
            return
        from reportgen.commands import digests

        entry = digests.decoded(digests.FirstPart, parts[0], case)
        if entry is not None and entry.file and entry.file != sheet:
            old = self.folder / entry.file
            if _hash_of_file(old) == entry.sheet:
                old.unlink(missing_ok=True)

    def find(self, case: Case, rows: bool = True) -> Found | None:
        """The kept result of a case, if nothing that it rests on has changed, and its sheet if that still stands.

        The assessment itself and its curves stay packed. Rows and line, which are used unseen, are looked through unless
        nobody wants the `rows`: then there is no digest.
        """
        parts = self._parts(case)
        if not parts:
            return None
        from reportgen.commands import digests

        entry = digests.decoded(digests.FirstPart, parts[0], case)
        if entry is None or entry.key != self._key(case, entry.searched) or entry.places != _places(case, entry.named):
            return None
        digest = digests.digest_of_file(parts, entry.outline) if rows else None
        if rows and digest is None:
            return None
        sheet = sheet_name(case.pairing)
        stands = entry.sheet and entry.printing == self._printing and self._stands(self.folder / sheet, entry)
        return Found(entry.outline, digest, sheet if stands else "", entry.revised if stands else None, parts)

    def _stands(self, file: Path, entry: digests.FirstPart) -> bool:
        """Whether a printed sheet is as we left it: nobody wrote it since, or what was written is the same."""
        state = _state_of(file)
        return bool(state) and (state == entry.state or entry.sheet == _hash_of_file(file))

    def ware(self, case: Case, found: Found) -> Ware | None:
        """The case as a shop sees it, of what was `found`; None when it cannot be read."""
        from reportgen.assessment import Goods, Ware
        from reportgen.commands import digests

        try:
            kept = digests.decoded(Goods, inflated(found.packed[6]), case)
        except Damaged:
            return None
        return Ware(found.outline, kept) if kept is not None else None

    def whole(self, case: Case, curves: bool = True, found: Found | None = None) -> Assessment | None:
        """The kept assessment of a case for which `find` found something, also without its curves; None when it cannot be read.

        With what was `found` at hand, no file is read again.
        """
        parts = found.packed if found else self._parts(case)
        if not parts:
            return None
        from reportgen.assessment import Assessment
        from reportgen.commands import digests
        from reportgen.pairing.curves import Curves

        try:
            whole = digests.decoded(Assessment, inflated(parts[7]), case)
            if whole is None or whole.network is None or not curves:
                return whole
            drawn = digests.decoded(Curves, inflated(parts[8]), case)
        except Damaged:
            return None
        return whole.with_curves(drawn) if drawn is not None else None

    def _parts(self, case: Case) -> list[bytes]:
        """The parts of a kept file; none when there is no file, or none that this version made."""
        file = self._file(case.pairing.id)
        try:
            return unsealed(file, _PARTS, _FORM) or []
        except Damaged:
            self.damaged.append(file.name)
        except OSError as error:
            if error.errno == errno.EFBIG:  # no version of ours wrote so much
                self.damaged.append(file.name)
        return []

    def _key(self, case: Case, searched: bool) -> str:
        return _hash((self._program, self.inputs(case), self._searched if searched else ""))

    def _file(self, id_: str) -> Path:
        return self.folder / FOLDER / f"{safe_name(id_)}.bin"


_PARTS, _FORM = 9, 3
"""Entry, four tables of rows, line of results.json, what a shop asks, assessment, curves; all but the first are deflated."""


def _state_of(file: Path) -> str:
    """Length and time (ns) of an ordinary file; empty for anything else."""
    try:
        found = file.stat()
    except OSError:
        return ""
    return f"{found.st_size} {found.st_mtime_ns}" if stat.S_ISREG(found.st_mode) else ""


def _hash_of_file(file: Path) -> str:
    try:
        return _hash_of_bytes(read_file(file))
    except OSError:
        return ""
