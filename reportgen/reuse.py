"""What earlier runs left in out/: pairings whose inputs did not change are neither computed nor printed again.

Knows fingerprints and files. Refuses to know how a sheet is made, and takes nothing back from a kept file but our
own records, numbers and dates.
"""

from __future__ import annotations

import dataclasses
import hashlib
import io
import os
import pickle
import re
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import reportgen
from reportgen.assessment import Assessment
from reportgen.catalogue.records import Catalogue, Pairing
from reportgen.ledger import archive
from reportgen.problems import CannotAssess

FOLDER = ".kept"


def safe_name(id_: str) -> str:
    """A file name made of an ID: letters, digits, dot, dash and underscore; never empty, never a path.

    IDs that would fall together keep apart by a few digits of their fingerprint.

    >>> safe_name("P-01"), safe_name("../etc")
    ('P-01', 'etc-9c51')
    """
    plain = re.sub(r"[^\w.-]+", "_", id_).strip("._-")[:80]
    return plain if plain == id_ else f"{plain or 'pairing'}-{hashlib.sha256(id_.encode()).hexdigest()[:4]}"


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


def key_of_program(paper: str, templates: Path | None, pdf: bool, maker: object) -> str:
    """Fingerprint of what all sheets of a run share: program, templates, paper, maker."""
    digest = hashlib.sha256(f"{reportgen.__version__}|{paper}|{pdf}|{maker}".encode())
    package = Path(__file__).parent
    own = [
        *package.rglob("*.py"),
        *package.parent.joinpath("templates").glob("*"),
        *package.joinpath("templates").glob("*"),
    ]
    for file in sorted([*own, *(templates.rglob("*") if templates else ())]):
        state = file.stat()
        digest.update(f"{file.name}|{state.st_size}|{state.st_mtime_ns}".encode())
    return digest.hexdigest()


def key_of_catalogue(catalogue: Catalogue) -> str:
    """Fingerprint of everything the search for remedies may choose from."""
    tables = (catalogue.low_drivers, catalogue.high_drivers, catalogue.waveguides, catalogue.cabinets)
    return hashlib.sha256(repr([list(table.values()) for table in tables]).encode()).hexdigest()


class _Strict(pickle.Unpickler):
    """Takes back our own dataclasses, arrays and dates, and nothing else."""

    def find_class(self, module: str, name: str) -> Any:
        found = (
            super().find_class(module, name) if module.split(".", 1)[0] in ("reportgen", "numpy", "datetime") else None
        )
        ours = module.startswith("reportgen.") and dataclasses.is_dataclass(found)
        array = module.startswith("numpy") and name in ("_reconstruct", "_frombuffer", "ndarray", "dtype", "scalar")
        if ours or array or (module, name) in {("datetime", "date"), ("datetime", "datetime")}:
            return found
        raise pickle.UnpicklingError(f"{module}.{name} does not belong in a kept result")


@dataclass(frozen=True)
class Store:
    """The folder of one workbook's results, as one run sees it."""

    folder: Path
    program_key: str
    catalogue_key: str

    def print(self, id_: str, pdf: bytes) -> str:
        """Put a sheet beside the others; returns its file name."""
        name = f"{safe_name(id_)}.pdf"
        target = self.folder / name
        if not target.exists() or target.read_bytes() != pdf:
            write_atomically(target, pdf)
        return name

    def keep(self, assessment: Assessment, pdf: bytes | None) -> None:
        """Keep an assessment and its sheet for the next run."""
        entry = (self._key(assessment), assessment, pdf)
        write_atomically(self._file(assessment.id), pickle.dumps(entry, protocol=5))

    def find(self, catalogue: Catalogue, pairing: Pairing) -> tuple[Assessment, bytes | None] | None:
        """The kept assessment and sheet of a pairing, if nothing that they rest on has changed."""
        try:
            content = self._file(pairing.id).read_bytes()
            key, assessment, pdf = _Strict(io.BytesIO(content)).load()
            case = catalogue.case(pairing)
        except (
            OSError,
            pickle.UnpicklingError,
            ValueError,
            TypeError,
            EOFError,
            AttributeError,
            ImportError,
            CannotAssess,
        ):
            return None
        if (
            not isinstance(assessment, Assessment)
            or archive.fingerprint(case) != key[1]
            or self._key(assessment) != key
        ):
            return None
        return dataclasses.replace(assessment, case=case), pdf

    def _key(self, assessment: Assessment) -> tuple[str, str, str]:
        searched = self.catalogue_key if assessment.remedies_note else ""
        return self.program_key, archive.fingerprint(assessment.case), searched

    def _file(self, id_: str) -> Path:
        return self.folder / FOLDER / f"{safe_name(id_)}.bin"
