"""The season as a business: supply, withdrawal, price list, what if and changes on real workbooks, as JSON and on paper."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from reportgen import cli
from reportgen.catalogue.demonext import next_season_tables
from reportgen.catalogue.reading import read_catalogue
from tests.endtoend.seasons import chosen, curve_files, small, write_files, write_season
from tests.oneprocess import in_this_process
from tests.paper.pdfs import text
from tests.workbooks import set_number, sheet_names

pytestmark = pytest.mark.usefixtures("one_process")

Command = Callable[..., tuple[int, dict[str, Any], str]]
FEW = ("P-01", "P-06", "P-19", "P-14")


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small season after one run without paper, and its next season beside it."""
    folder = tmp_path_factory.mktemp("business")
    pairings = chosen(*FEW, P_06={"parts_policy": "stock"})
    season = write_season(folder / "season.xlsx", pairings, **small(*pairings))
    tables = next_season_tables()
    rows = [row for row in tables.pop("Pairings") if row["id"] in ("P-01", "P-06", "P-14", "P-25")]
    used = {row[side] for row in rows for side in ("low_id", "high_id")}
    for name in ("Low drivers", "High drivers"):
        tables[name] = [row for row in tables[name] if row["id"] in used]
    write_season(folder / "next.xlsx", rows, **tables)
    with in_this_process(searching=False):
        assert cli.main(["run", str(season), "--no-pdf", "--out", str(folder / "out")]) == 0
    return season


@pytest.fixture
def command(finished: Path, capsys: pytest.CaptureFixture[str]) -> Command:
    def call(name: str, *arguments: Any) -> tuple[int, dict[str, Any], str]:
        capsys.readouterr()
        code = cli.main([name, str(finished), *map(str, arguments), "--out", str(finished.parent / "out"), "--json"])
        told = capsys.readouterr()
        return code, json.loads(told.out) if told.out else {}, told.err

    return call


def table(facts: dict[str, Any], number: int = 0) -> list[dict[str, Any]]:
    listing = facts["listings"][number]
    return [dict(zip(listing["fields"], row, strict=True)) for row in listing["rows"]]


def words(page: str, folder: Path) -> str:
    return " ".join(text(Path(page).read_bytes(), folder).split())


def test_supply_counts_what_the_season_takes(finished: Path, command: Command, tmp_path: Path) -> None:
    code, facts, _ = command("supply")
    assert code == 0
    needs = {row["ID"]: row for row in table(facts) if row["ID"] != "by value"}
    assert needs["LD-01"]["Needed"] == 24  # 12 kits of two loudspeakers
    assert needs["LD-02"]["Needed"] == 8 and needs["LD-02"]["On the shelf"] == 20
    assert needs["LD-01"]["Short"] == 12 and needs["LD-01"]["Where short, in its place"]
    page = words(facts["page"], tmp_path)
    assert "Picking list: P-06 Sedge, one kit" in page and "☐ 2 × LD-02, low driver, 56 cm² midrange" in page
    tabs = sheet_names(finished)
    assert {"Supply 001", "Supply 001 kits", "Supply 001 needs"} <= set(tabs)


def test_supply_without_plans_says_which_column_to_fill(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = chosen("P-06", P_06={"kits_planned": None})
    season = write_season(tmp_path / "s.xlsx", rows, **small(*rows))
    assert cli.main(["supply", str(season), "--out", str(tmp_path / "out")]) == 2
    assert "no pairing has kits planned; give a number there" in capsys.readouterr().err


def test_a_withdrawn_driver_is_replaced_where_it_stands(command: Command, tmp_path: Path) -> None:
    code, facts, _ = command("withdraw", "hd-01")
    rows = table(facts)
    assert code == 0 and facts["tally"].startswith("HD-01 goes: 1 of 4 pairings uses it")
    assert rows[0]["In its place"] == "as now"
    assert len(rows) > 1 and all("HD-01" not in row["In its place"] for row in rows)
    assert "Without HD-01" in words(facts["page"], tmp_path)
    assert command("withdraw", "HD-99")[0] == 2


def test_a_withdrawn_part_makes_another_network(command: Command) -> None:
    catalogue_part = "KC-33"
    code, facts, _ = command("withdraw", catalogue_part)
    assert code == 0
    assert all(catalogue_part not in row["In its place"] or "without" in row["In its place"] for row in table(facts))


def test_the_price_list_names_kits_that_may_be_sold_alone(finished: Path, command: Command, tmp_path: Path) -> None:
    code, facts, _ = command("pricelist")
    rows = table(facts)
    assert code == 0 and rows
    assert {row["Verdict"] for row in rows} <= {"suitable", "suitable with conditions"}
    known = [row["A kit"] for row in rows if row["A kit"] is not None]
    assert known == sorted(known)
    maker = read_catalogue(finished).maker
    for row in rows:
        if row["A kit"] is not None:
            assert row["A kit"] * 2 % 1 == 0, "rounded to 0.5 as the Maker sheet has it"
            assert row["With tax"] == pytest.approx(row["A kit"] * (1 + (maker.tax or 0)), abs=0.6)
    page = words(facts["page"], tmp_path)
    assert "Price list Spring 2027" in page and "20 % tax" in page
    assert not any(
        f"{row['Kit']} " in page for row in [{"Kit": "Reedmace loud"}] if row["Kit"] not in {r["Kit"] for r in rows}
    )
    assert command("pricelist", "--season", "None such")[0] == 2


def test_what_if_writes_nothing_and_tells_what_moves(finished: Path, command: Command) -> None:
    before = finished.read_bytes()
    code, facts, _ = command("whatif", "HD-01: Price = 48", "P-06: Slope = LR2")
    assert code == 0 and finished.read_bytes() == before and facts["written"] is None
    moved = {row["Pairing"]: row for row in reversed(table(facts))}
    assert moved["P-01"]["What"].startswith("Price of ")  # of drivers and guides alone where a part states none
    assert float(moved["P-01"]["After"]) - float(moved["P-01"]["Before"]) == pytest.approx(2 * (48 - 29))
    assert moved["P-06"]["Because"] == "Slope of P-06: LR4 -> LR2"
    assert command("whatif", "HD-01: Fs = -1")[0] == 2


def test_changes_name_the_cell_that_made_them(finished: Path, command: Command) -> None:
    code, facts, _ = command("changes", "--since", 1)
    assert code == 0 and ": 0 moved, " in facts["tally"] and not any(word in facts["tally"] for word in ("new", "gone"))
    assert command("changes", "--since", 9)[0] == 2


def test_season_against_season(finished: Path, capsys: pytest.CaptureFixture[str]) -> None:
    capsys.readouterr()
    out = str(finished.parent / "out")
    code = cli.main(["changes", str(finished.parent / "next.xlsx"), "--against", str(finished), "--out", out, "--json"])
    facts = json.loads(capsys.readouterr().out)
    assert code == 0
    named = {listing["title"]: [row[0] for row in listing["rows"]] for listing in facts["listings"]}
    assert named["New"] == ["P-25"] and named["Gone"] == ["P-19"]
    because = {row["Pairing"]: row["Because"] for row in table(facts) if row["Because"]}
    assert "HD-05 -> HD-20" in because["P-14"] and "Fs of HD-01: 1180 Hz -> 1120 Hz" in because["P-01"]


def test_pandas_is_for_these_commands_alone() -> None:
    code = (
        "import sys; import reportgen.commands.run, reportgen.commands.answer, reportgen.commands.screen, reportgen.paper.render\n"
        "print('pandas' in sys.modules)\n"
        "import reportgen.commands.supply; print('pandas' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "True"]


def test_without_a_word_it_is_the_last_run_that_differs(
    finished: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One price is other than at the run in History: that run is compared with, and the cell named."""
    write_files(tmp_path, {name: text.encode() for name, text in curve_files().items()})
    shutil.copy(finished, tmp_path / "season.xlsx")
    shutil.copytree(finished.parent / "out", tmp_path / "out")
    set_number(tmp_path / "season.xlsx", "High drivers", "HD-01", "price", 31)
    capsys.readouterr()
    assert cli.main(["changes", str(tmp_path / "season.xlsx"), "--out", str(tmp_path / "out"), "--json"]) == 0
    facts = json.loads(capsys.readouterr().out)
    assert facts["tally"].startswith("Changes since run 1: 1 moved")
    told = {row["Because"] for row in table(facts) if row["Because"]}
    assert told == {"Price of HD-01: 29 -> 31"}
