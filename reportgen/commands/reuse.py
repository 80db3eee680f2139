"""What earlier runs left in out/: a pairing whose inputs did not change is neither computed nor printed again.

Knows fingerprints and files. Refuses to know how a sheet is made, and takes nothing back from a kept file but our
own records and numbers. A sheet that is taken over keeps the run number and the date of its printing: what
did not change stays the same paper, to the byte, and says when it was made.
"""

from __future__ import annotations

import dataclasses
import hashlib
import io
import os
import pickle
import re
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any, cast, get_args, get_type_hints

from reportgen.assessment import Assessment
from reportgen.catalogue.records import Case, Catalogue, Record
from reportgen.ledger.archive import Packer, taking_part
from reportgen.pairing.network import Curves

FOLDER = ".kept"
PACKAGE = Path(__file__).parents[1]
_ENGINES = ("numpy", "scipy", "jinja2", "weasyprint")
_NAMES_TAKEN = re.compile(r"catalogue(-\d+)?|con|prn|aux|nul|(com|lpt)\d", re.IGNORECASE)
"""The catalogue's own files, and what one operating system reserves."""


def safe_name(id_: str) -> str:
    """A file name made of an ID: letters, digits, dot, dash and underscore; never empty, never a path.

    IDs that would fall together keep apart by a few digits of their fingerprint.

    >>> safe_name("P-01"), safe_name("../etc"), safe_name("Catalogue")
    ('P-01', 'etc-f7f9', 'Catalogue-1034')
    """
    plain = re.sub(r"[^\w.-]+", "_", id_).strip("._-")[:60]
    if plain and plain == id_ and not _NAMES_TAKEN.fullmatch(plain):
        return plain
    return f"{plain or 'pairing'}-{hashlib.sha256(id_.encode()).hexdigest()[:4]}"


def write_atomically(target: Path, content: bytes) -> None:
    """Write a file in one step: it is the old one or the new one, whole, whatever happens."""
    target.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=".part-")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        os.chmod(name, 0o644)
        os.replace(name, target)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


# --- what results rest on -----------------------------------------------------------------------------------------


def key_of_program() -> str:
    """Fingerprint of what computes: the text of every module of this program, and the versions of its engines."""
    package = PACKAGE
    return _hash([*map(_version, _ENGINES), *_contents(package, package.rglob("*.py"))])


def key_of_printing(paper: str, logo: str, templates: Path | None) -> str:
    """Fingerprint of what makes pages look as they do: size, logo, templates (the operator's before ours)."""
    package = PACKAGE
    folders = [folder for folder in (templates, package / "templates", package.parent / "templates") if folder]
    return _hash([paper, logo, *(text for folder in folders for text in _contents(folder, folder.rglob("*.*")))])


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


def _sheets_named(light: Assessment) -> tuple[str, ...]:
    """The sheets of which the texts of an assessment name a cell or a row (`records.Origin.place`)."""
    texts = repr(replace(light, case=cast(Case, None)))
    sheets = dict.fromkeys(one.origin.sheet for one in _records(light.case))
    return tuple(
        sheet for sheet in sheets if f"{sheet}!" in texts or f"{sheet} row" in texts or f"{sheet} no such" in texts
    )


def _records(case: Case) -> list[Record]:
    records = (case.pairing, case.low, case.high, case.guide, case.cabinet, case.technology)
    return [one for one in records if one is not None]


# --- kept results -------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Entry:
    """The first part of a kept file; `named` are the sheets whose cells its texts name, `places` where they stood.

    `sheet` is empty when none was printed.
    """

    key: str
    named: tuple[str, ...]
    places: str
    printing: str
    sheet: str
    assessment: Assessment


@dataclass(frozen=True, slots=True)
class Found:
    """A kept assessment without its curves, and the file name of its sheet ("" when that must be printed anew)."""

    assessment: Assessment
    sheet: str


class Store:
    """The folder of one workbook's results, as one run sees it. `printing` is the key of the printing."""

    def __init__(self, folder: Path, catalogue: Catalogue, printing: str) -> None:
        self.folder, self._printing = folder, printing
        self._program, self._packer = key_of_program(), Packer()
        self._searched = key_of_catalogue(catalogue, self._packer)

    def inputs(self, case: Case) -> str:
        """The name of all inputs of a case, as on its sheet and in History."""
        return self._packer.add(taking_part(case))

    def keep(self, whole: Assessment, pdf: bytes | None) -> str:
        """Keep an assessment and its sheet for the next run, and the sheet for people; returns the sheet's file name.

        Errors: OSError when the folder takes no file.
        """
        sheet = f"{safe_name(whole.id)}.pdf" if pdf is not None else ""
        if pdf is not None:
            write_atomically(self.folder / sheet, pdf)
        light = without_curves(whole)
        named = _sheets_named(light)
        entry = _Entry(
            key=self._key(whole),
            named=named,
            places=_places(whole.case, named),
            printing=self._printing,
            sheet=_hash_of_bytes(pdf) if pdf is not None else "",
            assessment=replace(light, case=cast(Case, None)),  # the next run has its own
        )
        parts = (pickle.dumps(part, protocol=5) for part in (entry, whole.curves))
        write_atomically(self._file(whole.id), b"".join(parts))
        return sheet

    def find(self, case: Case) -> Found | None:
        """The kept assessment of a case, if nothing that it rests on has changed, and its sheet if that still stands."""
        entry = self._read(case, 1)
        if not isinstance(entry, _Entry) or not isinstance(entry.assessment, Assessment):
            return None
        found = replace(entry.assessment, case=case)
        if entry.key != self._key(found) or entry.places != _places(case, entry.named):
            return None
        sheet = f"{safe_name(found.id)}.pdf"
        stands = entry.sheet and entry.printing == self._printing and entry.sheet == _hash_of_file(self.folder / sheet)
        return Found(found, sheet if stands else "")

    def whole(self, found: Assessment) -> Assessment:
        """A kept assessment with its curves."""
        curves = self._read(found.case, 2)
        return found.with_curves(curves) if isinstance(curves, Curves) else found

    def _read(self, case: Case, part: int) -> object:
        """A part of a kept file; None when there is none that can be read."""
        try:
            content = io.BytesIO(self._file(case.pairing.id).read_bytes())
            return [_Strict(content).load() for _ in range(part)][-1]  # each part counts its own repetitions
        except (OSError, pickle.UnpicklingError, ValueError, TypeError, EOFError, AttributeError, ImportError):
            return None

    def _key(self, assessment: Assessment) -> str:
        searched = self._searched if assessment.remedies_note else ""
        return _hash((self._program, self.inputs(assessment.case), searched))

    def _file(self, id_: str) -> Path:
        return self.folder / FOLDER / f"{safe_name(id_)}.bin"


def without_curves(whole: Assessment) -> Assessment:
    """An assessment without what only its sheet shows: half its size."""
    return whole.with_curves(None)


def _hash_of_file(file: Path) -> str:
    try:
        return _hash_of_bytes(file.read_bytes())
    except OSError:
        return ""


_OF_ARRAYS = (
    "numpy",
    *(f"numpy.{core}.{module}" for core in ("core", "_core") for module in ("multiarray", "numeric")),
)


class _Strict(pickle.Unpickler):
    """Takes back the dataclasses that an assessment is made of, and arrays; imports nothing else."""

    def find_class(self, module: str, name: str) -> Any:
        if module in _OF_ARRAYS and name in ("_reconstruct", "_frombuffer", "ndarray", "dtype", "scalar"):
            return super().find_class(module, name)
        try:
            return _allowed()[module, name]
        except KeyError:
            raise pickle.UnpicklingError(f"{module}.{name} does not belong in a kept result") from None


@lru_cache(maxsize=1)
def _allowed() -> Mapping[tuple[str, str], type]:
    """Every class that a kept file may hold, by module and name: what the fields of an assessment can be."""
    found: dict[tuple[str, str], type] = {}
    waiting: list[Any] = [_Entry]
    while waiting:
        one = waiting.pop()
        if dataclasses.is_dataclass(one) and isinstance(one, type):
            place = (one.__module__, one.__qualname__)
            if place not in found:
                found[place] = one
                waiting += get_type_hints(one).values()
        else:
            waiting += get_args(one)
    return found
