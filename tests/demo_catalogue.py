"""The demo season as a catalogue, read from a real workbook once a run of the tests: what those of judgement and advice start from."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Any

from reportgen.assessment import Assessment, assess
from reportgen.catalogue.demo import demo_tables
from reportgen.catalogue.democurves import demo_files
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Case, Catalogue
from tests.shared import shared
from tests.workbooks import write_plain

DOME = {
    "fs_hz": 1100.0, "qms": 2.6, "qes": 1.066, "radiating_width_m": 0.025, "diaphragm_area_m2": 7e-4,
    "peak_travel_m": 0.3e-3, "sensitivity_db": 91.4,
}  # fmt: skip
"""The high driver of the worked example, whose figures are derived by hand in the tests: 25 mm, 7 cm2, 0.3 mm, 1100 Hz."""


@shared
def demo() -> Catalogue:
    """The demo season through the real writer and reader."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "season.xlsx"
        for name, text in demo_files().items():
            target = Path(folder) / name
            target.parent.mkdir(exist_ok=True)
            target.write_text(text)
        write_plain(path, demo_tables())
        return read_catalogue(path)


def demo_case(pairing_id: str = "P-01", **changes: dict[str, Any]) -> Case:
    """A demo pairing with some fields of its records changed: `demo_case(low={"breakup_hz": 5200.0})`."""
    found = demo().case(demo().pairings[pairing_id])
    return replace(found, **{part: replace(getattr(found, part), **fields) for part, fields in changes.items()})


@shared
def demo_assessed(pairing_id: str) -> Assessment:
    """A demo pairing assessed as it stands, once for all tests: what they get is frozen."""
    return assess(demo_case(pairing_id))
