"""Which pairings are looked at when something goes out of production."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from reportgen.advice import withdrawal
from reportgen.commands import withdraw
from reportgen.commands.assessing import Assessed
from reportgen.commands.orders import Order
from tests.demo_catalogue import demo
from tests.every import every


@every("what", ("low_id", "high_id", "guide_id", "part"))
def test_who_bears_it_is_looked_at_and_of_a_part_everybody(what: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of four pairings one could not be assessed: three were looked at."""
    user = next(one for one in demo().pairings.values() if one.guide_id)
    others = [
        one
        for one in demo().pairings.values()
        if not {one.low_id, one.high_id, one.guide_id} & {user.low_id, user.high_id, user.guide_id}
    ][:3]
    pairings, told = {one.id: one for one in (*others, user)}, dict[str, Any]()
    id_ = next(iter(demo().parts)) if what == "part" else getattr(user, what)

    def shop(_order: Any, _catalogue: Any, asked: Any, *_: Any) -> Any:
        told["asked"] = [one.id for one in asked]
        return SimpleNamespace(wares=Assessed({}, {others[0].id: "why"}))

    for name, instead in (
        ("read_catalogue", lambda _: replace(demo(), pairings=pairings)),
        ("Desk", lambda *_: None),
        ("shop", shop),
        ("delivered", lambda *_: None),
    ):
        monkeypatch.setattr(withdraw, name, instead)
    monkeypatch.setattr(withdrawal, "withdrawal", lambda _id, _found, count, _notes: told.update(count=count))
    withdraw.withdraw(Order(Path("season.xlsx")), id_.lower())
    assert told == {"asked": list(pairings) if what == "part" else [user.id], "count": 3}
