"""What a price list says of itself: which season it is, and how many of how many kits may be sold."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from reportgen.commands import pricelist
from reportgen.commands.assessing import Assessed
from reportgen.commands.orders import Order
from reportgen.paper import pricepages
from tests.demo_catalogue import demo
from tests.every import every


@every(
    ("seasons", "asked", "title"),
    [
        (("Spring 2027", "Spring 2027"), None, "Spring 2027"),
        (("Spring 2027", None), None, "Spring 2027"),
        (("Autumn 2026", "Spring 2027"), None, ""),  # a list of two seasons bears the name of neither
        (("Autumn 2026", "Spring 2027"), "spring 2027", "spring 2027"),
    ],
)
def test_a_list_bears_the_name_of_its_one_season_and_counts_rows_that_cannot_be_used(
    seasons: tuple[str | None, ...], asked: str | None, title: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    rows = dict(zip(("P-01", "P-03", "P-05"), (*seasons, seasons[1]), strict=True))
    pairings = {id_: replace(demo().pairings[id_], season=season) for id_, season in rows.items()}
    told: dict[str, Any] = {}
    desk: Any = SimpleNamespace(stamp=None, number=1, run=None, print_page=lambda *_: None, add=lambda _: (None, ()))
    kits = SimpleNamespace(wares=Assessed({}, {"P-05": "no network", "Pairings!A9": "its row cannot be used"}))
    monkeypatch.setattr(pricelist, "read_catalogue", lambda _: replace(demo(), pairings=pairings))
    monkeypatch.setattr(pricelist, "Desk", lambda *_: desk)
    monkeypatch.setattr(pricelist, "shop", lambda *_, **__: kits)
    monkeypatch.setattr(
        pricelist, "listing_sheets", lambda report, *_: told.update(tally=report.tally, notes=report.notes)
    )
    monkeypatch.setattr(pricepages, "price_pages", lambda found, name, *_: told.update(title=name))
    pricelist.pricelist(Order(Path("season.xlsx")), asked)
    both = "P-01, P-03" if asked is None else "P-03"
    assert told == {
        "title": title,
        "tally": f"0 of {4 if asked is None else 3} kits may be sold",
        "notes": (
            f"Not listed, for their verdict or your decision: {both}.",
            "P-05 is left out: no network",
            "Pairings!A9 is left out: its row cannot be used",
        ),
    }
