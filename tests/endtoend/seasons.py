"""Seasons of any length, made by varying the demo: what runs are tested and measured on."""

from __future__ import annotations

import pickle
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from reportgen.catalogue.demo import demo_tables
from reportgen.catalogue.democurves import demo_files
from reportgen.commands.run import RunOrder, run
from tests.oneprocess import in_this_process
from tests.shared import shared
from tests.workbooks import write_plain

Row = dict[str, Any]


QUICK = ("P-19", "P-12", "P-15")
"""Pairings of the demo that take little time: their search for a remedy ends soon, or there is none."""


def varied(count: int, among: Sequence[str] = ()) -> list[Row]:
    """`count` pairings: the demo's (or those `among` it) in turn, each round a little louder and farther."""
    demo = [row for row in demo_tables()["Pairings"] if not among or row["id"] in among]
    rows = []
    for number in range(count):
        row, around = dict(demo[number % len(demo)]), number // len(demo)
        row["id"] = f"P-{number + 1:04d}"
        row["kit"] = f"{row['kit']} {around + 1}"
        row["peak_level_db"] = row.get("peak_level_db", 96) + 0.1 * (around % 17)
        row["distance_m"] = row.get("distance_m", 2.5) + 0.01 * (around % 23)
        rows.append(row)
    return rows


def chosen(*ids: str, **changes: Mapping[str, Any]) -> list[Row]:
    """Rows of the demo by ID; `changes` by ID in which `-` is `_`."""
    rows = {row["id"]: dict(row) for row in demo_tables()["Pairings"]}
    return [{**rows[id_], **changes.get(id_.replace("-", "_"), {})} for id_ in ids]


def small(*pairings: Row) -> dict[str, list[Row]]:
    """Tables of a catalogue that is read and searched quickly: what the pairings and the enquiries name, and two domes."""
    demo = demo_tables()
    used = {row[side] for row in pairings for side in ("low_id", "high_id")}
    used |= {row.get("low_id") for row in demo["Enquiries"]} | {"HD-01", "HD-04"}
    kept = {name: [dict(row) for row in demo[name] if row["id"] in used] for name in ("Low drivers", "High drivers")}
    guides = {row.get("guide_id") for row in pairings}
    kept["Waveguides"] = [dict(row) for row in demo["Waveguides"] if row["id"] in guides]
    return {name.replace(" ", "_"): rows for name, rows in kept.items()}


def write_season(path: Path, pairings: Sequence[Row], **tables: Sequence[Row]) -> Path:
    """A workbook of the demo's catalogue with these pairings, and its curve files; `tables` by `Low_drivers` etc."""
    for name, text in curve_files().items():
        file = path.parent / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    own = {name.replace("_", " "): rows for name, rows in tables.items()}
    every = {**demo_tables(), "Pairings": pairings, **own}
    path.write_bytes(_written(pickle.dumps(every)))
    return path


@shared
def after_a_run(*ids: str) -> dict[str, bytes]:
    """The files of a folder by name: a small season of some pairings of the demo, and what its run without paper kept; `run/` has the copy with its results."""
    with tempfile.TemporaryDirectory() as name:
        folder, pairings = Path(name), chosen(*ids)
        season = write_season(folder / "season.xlsx", pairings, **small(*pairings))
        (folder / "run").mkdir()
        order = RunOrder(season, out=folder / "out", into=folder / "run" / "copy.xlsx", jobs=1, pdf=False)
        with in_this_process():
            report = run(order)
        if report.exit_code:
            raise RuntimeError("the season did not run")
        return {str(file.relative_to(folder)): file.read_bytes() for file in folder.rglob("*") if file.is_file()}


def write_files(folder: Path, files: Mapping[str, bytes]) -> None:
    """Files by their name in the folder."""
    for name, content in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)


@shared
def curve_files() -> dict[str, str]:
    """The measured curves of the demo by the name of their file."""
    return demo_files()


@shared
def _written(tables: bytes) -> bytes:
    """The workbook of some rows, written once for all tests that start from the same rows."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "season.xlsx"
        write_plain(path, pickle.loads(tables))
        return path.read_bytes()
