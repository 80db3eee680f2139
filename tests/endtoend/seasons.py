"""Seasons of any length, made by varying the demo: what runs are tested and measured on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from reportgen.catalogue.blank import write_workbook
from reportgen.catalogue.demo import demo_tables
from reportgen.catalogue.democurves import demo_files

Row = dict[str, Any]


_WRITTEN: dict[str, bytes] = {}
"""Workbooks by their rows: the same rows make the same bytes (`catalogue/test_blank.py`), so each is written once a process."""

QUICK = ("P-06", "P-23", "P-03", "P-07", "P-15")
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


def write_season(path: Path, pairings: Sequence[Row], **tables: Sequence[Row]) -> Path:
    """A workbook of the demo's catalogue with these pairings, and its curve files; `tables` by `Low_drivers` etc."""
    for name, text in demo_files().items():
        file = path.parent / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    own = {name.replace("_", " "): rows for name, rows in tables.items()}
    every = {**demo_tables(), "Pairings": pairings, **own}
    key = repr(every)
    if key not in _WRITTEN:
        write_workbook(path, every)
        _WRITTEN[key] = path.read_bytes()
    path.write_bytes(_WRITTEN[key])
    return path
