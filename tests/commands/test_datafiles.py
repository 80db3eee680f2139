"""`run --data`: the curves and the circuit beside each sheet, as other programs read them."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from reportgen.commands.datafiles import COLUMNS
from reportgen.commands.run import RunOrder, run
from tests.demo_catalogue import demo_assessed
from tests.endtoend.seasons import chosen, small, write_season


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("data")
    rows = chosen("P-19", "P-12")
    book = write_season(place / "season.xlsx", rows, **small(*rows))
    report = run(RunOrder(workbook=book, out=place / "out", pdf=False, data=True))
    assert report.exit_code == 0
    return report.folder


def test_the_curves_are_those_of_the_sheet(folder: Path) -> None:
    with (folder / "P-19.csv").open() as file:
        rows = list(csv.DictReader(file))
    assert tuple(rows[0]) == COLUMNS and len(rows) == 241
    curves = demo_assessed("P-19").curves
    assert curves is not None
    for name, trace in (
        ("sum_db", curves.sum_db),
        ("target_db", curves.target_db),
        ("impedance_ohm", curves.impedance_ohm),
    ):
        assert [float(row[name]) for row in rows] == pytest.approx(trace)
    degrees = [math.degrees(phase) for phase in curves.impedance_phase_rad]
    assert [float(row["impedance_deg"]) for row in rows] == pytest.approx(degrees)
    total = [abs(float(row["frequency_hz"])) for row in rows]
    assert total[0] == pytest.approx(20.0) and total[-1] == pytest.approx(20e3)


def test_the_circuit_stands_beside_them(folder: Path) -> None:
    text = (folder / "P-12.cir").read_text()
    assert text.startswith("* P-12 Fenhall\n") and text.rstrip().endswith(".end")
    assert "* node in: the amplifier" in text and "the driver of the high branch" in text
    assert {path.suffix for path in folder.iterdir()} >= {".csv", ".cir", ".json"}
