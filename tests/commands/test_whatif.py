"""What is looked at by `whatif`, and what is as before without a look."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from reportgen.commands import whatif
from reportgen.commands.assessing import Assessed
from reportgen.commands.orders import Order
from reportgen.commands.whatif import _again, _touched
from reportgen.problems import Problem, WorkbookUnusable
from tests.demo_catalogue import demo
from tests.every import every


def test_only_pairings_whose_inputs_are_others_are_looked_at() -> None:
    now = demo()
    dearer = replace(now.high_drivers["HD-01"], price=48.0)
    then = replace(now, high_drivers={**now.high_drivers, "HD-01": dearer})
    pairings = tuple(now.pairings.values())
    using = [one.id for one in pairings if one.high_id == "HD-01"]
    assert using and [one.id for one in _touched(pairings, now, then)] == using
    assert _touched(pairings, now, now) == []


def test_a_pairing_of_another_id_is_looked_at_in_both_states() -> None:
    """What if P-03 were called P-77: one pairing moved, none is new and none is as before beside it."""
    now = demo()
    then = replace(
        now,
        pairings={
            new: replace(one, id=new)
            for id_, one in now.pairings.items()
            for new in ("P-77" if id_ == "P-03" else id_,)
        },
    )
    touched = _touched(tuple(now.pairings.values()), now, then)
    assert [one.id for one in touched] == ["P-03"] and [one.id for one in _again(touched, now, then)] == ["P-77"]


def test_a_pairing_that_cannot_be_read_is_looked_at_so_that_it_is_named() -> None:
    now = demo()
    broken = replace(
        now, unreadable={"P-03": ()}, high_drivers={id_: one for id_, one in now.high_drivers.items() if id_ != "HD-09"}
    )
    lacking = [one.id for one in now.pairings.values() if one.high_id == "HD-09"]
    found = {one.id for one in _touched(tuple(now.pairings.values()), broken, broken)}
    assert lacking and found == {"P-03", *lacking}


def test_a_pairing_that_can_be_read_only_with_the_wish_is_assessed() -> None:
    then = demo()
    now = replace(
        then, pairings={id_: one for id_, one in then.pairings.items() if id_ != "P-03"}, unreadable={"P-03": ()}
    )
    assert [one.id for one in _again([then.pairings["P-06"]], now, then)] == ["P-03", "P-06"]


@every("notice", (True, False))
def test_a_wish_that_is_only_unusual_is_tried_and_one_that_no_cell_can_hold_is_refused(
    notice: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was wrong before stays out of it."""
    old = Problem("Low drivers", "C3", "Re (ohm)", "empty", "a value is required")
    new = Problem("High drivers", "AN9", "Price", "480 stands here", "usual values lie below", notice=notice)
    now, then = replace(demo(), problems=(old,)), replace(demo(), problems=(old, new))
    monkeypatch.setattr(whatif, "read_catalogue", lambda _, wishes=(): then if wishes else now)
    monkeypatch.setattr(whatif, "Desk", lambda *_: None)
    monkeypatch.setattr(whatif, "assess_pairings", lambda *_: Assessed({}, {}))
    monkeypatch.setattr(whatif, "delivered", lambda _desk, report, *_, **__: report)
    order = Order(Path("season.xlsx"))
    if notice:
        report: Any = whatif.whatif(order, ["HD-07: Price = 480"])
        assert report.tally.startswith("With HD-07: Price = 480")
        return
    with pytest.raises(WorkbookUnusable) as refused:
        whatif.whatif(order, ["HD-07: Price = 480"])
    assert refused.value.problems == (new,)
