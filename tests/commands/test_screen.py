"""A catalogue too large for a matrix is screened all the same: the list, the page, and no sheet that nobody could look over."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import openpyxl
import pytest

from reportgen.catalogue.demo import demo_tables
from reportgen.commands import screen
from reportgen.commands.orders import Order
from reportgen.commands.terminal import Table
from reportgen.commands.told import of_screen
from reportgen.ledger import desksheets
from reportgen.paper import deskpages
from reportgen.problems import CannotAssess
from tests.demo_catalogue import demo
from tests.endtoend.seasons import chosen, small, write_season
from tests.every import every


def test_more_pairs_than_a_matrix_holds_are_listed_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rows = chosen("P-06", "P-23")
    workbook = write_season(tmp_path / "season.xlsx", rows, **small(*rows))
    monkeypatch.setattr(screen, "MOST_PAIRS", 3)
    monkeypatch.setattr(screen, "KEPT", 2)
    done = screen.screen_workbook(Order(workbook, tmp_path / "out"))
    for currency, coins in (("EUR", 2), ("JPY", 0)):  # ISO 4217: a euro has a hundred cents, a yen nothing smaller
        [table, *_] = of_screen(replace(done, currency=currency)).lines
        assert isinstance(table, Table)
        assert [row[-1] for row in table.rows] == [f"{one.price:.{coins}f}" for one in done.found.candidates]
    lows = {one.low_id for one in done.found.candidates}
    assert done.found.matrix is None and len(done.found.candidates) == 2 * len(lows) < done.found.pairs
    assert done.page is not None and done.page.read_bytes().startswith(b"%PDF") and done.shelf == ()
    added = [name for name in openpyxl.load_workbook(done.written).sheetnames if name.startswith("Screening")]
    assert added == ["Screening 001 ranked"]
    assert "More than 3 pairs: no matrix; 2 high drivers are kept for each low one." in done.notices


@pytest.mark.parametrize("wide_mm", (400, 90))
def test_a_cabinet_that_holds_hardly_anything_is_named(tmp_path: Path, wide_mm: float) -> None:
    """No woofer of the season goes on a baffle of 90 mm; 400 mm are room for each."""
    rows = chosen("P-06", "P-23")
    cabinets = [{**row, "baffle_width_m": wide_mm, "baffle_height_m": 1200} for row in demo_tables()["Cabinets"]]
    workbook = write_season(tmp_path / "season.xlsx", rows, **small(*rows), Cabinets=cabinets)
    done = screen.screen_workbook(Order(workbook, tmp_path / "out"))
    said = "Most pairs fail on the cabinet of P-06 alone: --application names another use."
    assert (said in done.notices) is (wide_mm == 90)


@every(("use", "cut"), [(None, False), ("P-03", False), ("e-01", True)])
def test_the_centre_spacing_counts_where_a_baffle_is_already_cut(
    use: str | None, cut: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An enquirer has a box; of our own pairings each is cut anew, and what a pairing has between its centres is its own matter."""
    asked: list[Any] = []

    def noted(_: Any, use: Any, *, keep_spacing: bool, keep: int | None, **__: Any) -> None:
        asked.extend((keep_spacing, keep, use.crossover_hz))
        raise CannotAssess("enough is known")

    fixed = {id_: replace(one, crossover_hz=2000.0) for id_, one in demo().pairings.items()}
    monkeypatch.setattr(screen, "read_catalogue", lambda _: replace(demo(), pairings=fixed))
    monkeypatch.setattr(screen, "MOST_PAIRS", len(demo().high_drivers))
    monkeypatch.setattr(screen, "Desk", lambda *_: None)
    monkeypatch.setattr(screen, "screen", noted)
    with pytest.raises(CannotAssess, match="enough"):
        screen.screen_workbook(Order(Path("season.xlsx")), low=("LD-01",), application=use)
    assert asked == [
        cut,
        None,
        None,
    ]  # pairs of the low driver named are counted, and a crossover was fixed for its own two


@every(("low", "told"), [((), ("one shelf",)), (("LD-01",), ())])
def test_a_shelf_is_told_of_several_low_drivers(
    low: tuple[str, ...], told: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Which high drivers serve them all is no question where there is one."""
    desk: Any = SimpleNamespace(
        number=1, stamp=None, run=None, print_page=lambda *_: None, add=lambda _: (tmp_path, ())
    )
    for name, what in (
        ("read_catalogue", lambda _: demo()),
        ("Desk", lambda *_: desk),
        ("screen", lambda *_, **__: SimpleNamespace(matrix="a matrix", obstacles=(), pairs=9)),
        ("shelves", lambda _: "shelves"),
        ("shelf_lines", lambda _: ("one shelf",)),
    ):
        monkeypatch.setattr(screen, name, what)
    lines: list[str] = []
    monkeypatch.setattr(desksheets, "screening_sheets", lambda *sheet: lines.extend(sheet[4]))
    monkeypatch.setattr(deskpages, "screening_pages", lambda *_: None)
    done = screen.screen_workbook(Order(tmp_path / "season.xlsx", tmp_path / "out"), low=low)
    facts = [*deskpages.counts_facts(done.use), *deskpages.use_facts(done.use)]
    assert done.shelf == told and ";   ".join(lines[:2]).split(";   ") == [f"{one.label}: {one.value}" for one in facts]
