"""What is looked at by `whatif`, and what is as before without a look."""

from __future__ import annotations

from dataclasses import replace

from reportgen.commands.whatif import _again, _touched
from tests.demo_catalogue import demo


def test_only_pairings_whose_inputs_are_others_are_looked_at() -> None:
    now = demo()
    dearer = replace(now.high_drivers["HD-01"], price=48.0)
    then = replace(now, high_drivers={**now.high_drivers, "HD-01": dearer})
    pairings = tuple(now.pairings.values())
    using = [one.id for one in pairings if one.high_id == "HD-01"]
    assert using and [one.id for one in _touched(pairings, now, then)] == using
    assert _touched(pairings, now, now) == []


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
