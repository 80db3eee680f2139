"""The demo season as committed: it is what the program writes, and it shows every verdict and every binding limit."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.assessment import Assessment
from reportgen.catalogue.demo import demo_tables
from reportgen.catalogue.democurves import demo_files
from reportgen.catalogue.demonext import next_season_tables
from reportgen.catalogue.reading import read_catalogue
from reportgen.suitability.limits import LIMITS
from tests.demo_catalogue import demo, demo_assessed
from tests.workbooks import write_workbook

WORKBOOKS = Path(__file__).parents[2] / "workbooks"
DEMO = WORKBOOKS / "demo-season.xlsx"


@pytest.fixture(scope="module")
def season() -> list[Assessment]:
    """The season assessed: the rows that the program writes, which the first test holds against the committed file."""
    assert not [problem for problem in demo().problems if not problem.notice]
    return [demo_assessed(id_) for id_ in demo().pairings]


def test_the_committed_demo_is_what_the_program_writes(tmp_path: Path) -> None:
    for file, tables in ((DEMO, demo_tables()), (WORKBOOKS / "next-season.xlsx", next_season_tables())):
        write_workbook(tmp_path / file.name, tables)
        assert (tmp_path / file.name).read_bytes() == file.read_bytes(), (
            "write both anew: reportgen new --demo, --next-season"
        )
    for name, text in demo_files().items():
        assert (WORKBOOKS / name).read_text(encoding="utf-8") == text


def test_the_demo_is_as_rich_as_a_season() -> None:
    catalogue = read_catalogue(DEMO)
    assert len(catalogue.low_drivers) >= 8 and len(catalogue.high_drivers) >= 14 and len(catalogue.pairings) >= 16
    kinds = {driver.technology for driver in catalogue.high_drivers.values()}
    assert kinds | {"coated dome"} == set(catalogue.technologies)  # that one comes with the next season
    assert {cabinet.kind for cabinet in catalogue.cabinets.values()} == {"closed", "vented", "open baffle"}
    assert catalogue.waveguides and catalogue.parts and len(catalogue.enquiries) >= 2 and catalogue.curves


def test_every_verdict_is_reached(season: list[Assessment]) -> None:
    words = {one.verdict.word for one in season}
    assert words == {"suitable", "suitable with conditions", "not suitable", "undecided"}


def test_every_limit_stands_somewhere_and_most_bind(season: list[Assessment]) -> None:
    standing = {limit.id for one in season for limit in one.limits if limit.hz is not None}
    of_bad_cells = {"low data", "high data"}  # bound nothing, and stand only beside a cell that cannot be used
    assert standing == {rule.id for rule in LIMITS} - of_bad_cells
    binding = {
        limit.id for one in season for limit in (one.found_range.low_binding, one.found_range.high_binding) if limit
    }
    assert len(binding) >= 9, f"these bind: {sorted(binding)}"


def test_networks_meet_their_targets(season: list[Assessment]) -> None:
    deviations = sorted(one.design.sum_rms_db for one in season if one.design is not None)
    assert deviations[len(deviations) // 2] <= 0.7
