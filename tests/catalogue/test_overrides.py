"""Cells that read otherwise for a question, and wishes that cannot be understood."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.catalogue.demo import demo_tables
from reportgen.catalogue.democurves import demo_files
from reportgen.catalogue.overrides import Override, parsed
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Catalogue
from reportgen.problems import ReportgenError
from tests.workbooks import write_workbook


@pytest.fixture(scope="module")
def workbook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("season")
    for name, text in demo_files().items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(text)
    write_workbook(folder / "season.xlsx", demo_tables())
    return folder / "season.xlsx"


def read(workbook: Path, *wishes: str) -> Catalogue:
    before = workbook.read_bytes()
    found = read_catalogue(workbook, [parsed(text) for text in wishes])
    assert workbook.read_bytes() == before
    return found


def test_a_cell_reads_otherwise_in_its_own_unit_or_a_typed_one(workbook: Path) -> None:
    found = read(
        workbook, "hd-07: price = 48", "LD-01: Xmax = 0.6 cm", "P-01: Slope=LR2", "P-01: Crossover (Hz) = 2600"
    )
    assert found.high_drivers["HD-07"].price == 48.0
    assert found.low_drivers["LD-01"].peak_travel_m == pytest.approx(0.006)
    assert found.pairings["P-01"].slope == "LR2"
    assert found.pairings["P-01"].crossover_hz == 2600.0
    assert found.high_drivers["HD-06"] == read_catalogue(workbook).high_drivers["HD-06"]


def test_rules_and_the_maker_have_cells_too(workbook: Path) -> None:
    found = read(workbook, "Practice: break-up attenuation = 18", "Maker: Tax = 7")
    assert found.practice["break-up attenuation"] == 18.0
    assert found.maker.tax == pytest.approx(0.07)


def test_a_rule_that_stands_as_shipped_keeps_unit_and_source(tmp_path: Path) -> None:
    write_workbook(tmp_path / "season.xlsx", {**demo_tables(), "Practice": []})
    found = read(tmp_path / "season.xlsx", "Practice: air temperature = 30").practice.rules["air temperature"]
    assert (found.value, found.unit, found.source) == (30.0, "degC", "ISO 9613-1 reference")


def test_an_empty_value_empties_the_cell_and_a_missing_column_is_there_for_once(workbook: Path) -> None:
    found = read(workbook, "HD-07: Price =", "CB-01: Tilt = 5")
    assert found.high_drivers["HD-07"].price is None
    assert found.cabinets["CB-01"].tilt_rad == pytest.approx(0.0873, abs=1e-4)


def test_what_a_cell_cannot_hold_is_a_problem_like_any(workbook: Path) -> None:
    found = read(workbook, "HD-07: Re = -1")
    assert any("“-1” stands here; it must be greater than 0" in str(one) for one in found.problems)


@pytest.mark.parametrize(
    ("wish", "said"),
    [
        ("bla", "cannot be understood"),
        ("HD-07 = 48", "cannot be understood"),
        ("HD-77: Price = 48", "no row has the ID HD-77. Did you mean"),
        (
            "Practice: break-up atenuation = 3",
            "Practice has no rule break-up atenuation. Did you mean “break-up attenuation”?",
        ),
        (
            "Practice: break-up = 3",
            "Practice has no rule break-up. There are: break-up attenuation, driver break-up tolerance.",
        ),
        ("Practice: the weather = 3", "Practice has no rule the weather. The sheet Practice lists them."),
        ("HD-07: Prize = 48", "has no column Prize. Did you mean “Price”?"),
    ],
)
def test_a_wish_that_means_nothing_is_refused_with_what_is_near(workbook: Path, wish: str, said: str) -> None:
    with pytest.raises(ReportgenError, match=said.replace("?", r"\?").replace(".", r"\.")):
        read(workbook, wish)


def test_a_value_may_hold_an_equals_sign_and_an_owner_a_colon() -> None:
    assert parsed("P-01: Notes = a = b") == Override("P-01", "Notes", "a = b")
    assert parsed("Kit: 7: Notes = x") == Override("Kit: 7", "Notes", "x")


def test_two_wishes_of_one_cell_are_refused_for_only_one_could_count(workbook: Path) -> None:
    with pytest.raises(
        ReportgenError,
        match="“hd-07: PRICE = 49”: “HD-07: Price = 48” changes the same cell",
    ):
        read(workbook, "HD-07: Price = 48", "HD-06: Price = 49", "hd-07: PRICE = 49")
    with pytest.raises(ReportgenError, match="same cell"):
        read(workbook, "Practice: air temperature = 20", "practice: Air Temperature = 25")
