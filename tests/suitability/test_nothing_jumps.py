"""Nothing jumps: a figure of the demo moved by a thousandth never turns a plain yes into a no.

A little of it in every suite, all numbers with REPORTGEN_LONG=1.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace

import pytest

from reportgen.assessment import assess
from reportgen.catalogue.records import Case
from tests.demo_catalogue import demo, demo_assessed
from tests.trying import LONG

MOVED = 1.001
BEST_FIRST = ("suitable", "suitable with conditions", "undecided", "not suitable")


def numbers(pairing: str) -> Iterator[tuple[str, str, str]]:
    """Every number of a demo pairing that a meter reads: pairing, record, field."""
    case = demo().case(demo().pairings[pairing])
    for part in ("low", "high", "guide", "cabinet", "pairing"):
        record = getattr(case, part)
        for one in fields(record) if record is not None else ():
            if isinstance(getattr(record, one.name), float) and one.name not in ("price", "measured_at_m"):
                yield pairing, part, one.name


EVERY = [cell for pairing in demo().pairings for cell in numbers(pairing)]


def word(case: Case) -> int:
    return BEST_FIRST.index(assess(case, drawn=False).verdict.word)


@pytest.mark.parametrize(("pairing", "part", "name"), EVERY if LONG else EVERY[11::200])
def test_a_thousandth_never_turns_a_plain_yes_into_a_no(pairing: str, part: str, name: str) -> None:
    case = demo().case(demo().pairings[pairing])
    record = getattr(case, part)
    up, down = (
        word(replace(case, **{part: replace(record, **{name: getattr(record, name) * by})}))
        for by in (MOVED, 1 / MOVED)
    )
    words = {up, down, BEST_FIRST.index(demo_assessed(pairing).verdict.word)}
    assert not words >= {0, 3}, (pairing, part, name)
