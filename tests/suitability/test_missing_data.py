"""Missing data never help: with any optional cell of the demo emptied a verdict is no better, or undecided at best.

A little of it in every suite, all of it with REPORTGEN_LONG=1.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace
from functools import cache

import pytest

from reportgen.assessment import assess
from reportgen.catalogue.records import Case
from reportgen.problems import CannotAssess
from tests.demo_catalogue import demo, demo_assessed
from tests.trying import LONG

BEST_FIRST = ("suitable", "suitable with conditions", "undecided", "not suitable")
NO_DATUM = frozenset(
    ("description", "notes", "response_file", "impedance_file", "cutout_m", "frame_height_m", "nominal_impedance_ohm", "origin",
     "radiating_height_m", "faceplate_height_m", "cutout_width_m", "cutout_height_m", "other_chambers_m3", "response_phase")
)  # fmt: skip
"""Cells that say nothing physical, or that stand in for another one of the same row when they are empty."""
MAKERS_OWN = frozenset(("lowest_use_hz", "lowest_use_order", "highest_use_hz"))
"""A maker's own bound is a rule that he adds to the data: without it the data rule, so its absence is no missing datum."""
FILLED_IN = frozenset(
    ("le_h", "qms", "qes", "centre_depth_m", "depth_m", "vas_m3", "net_volume_m3", "tuning_hz", "thermal_resistance_k_w", "le_exponent")
)  # fmt: skip
"""Cells for which the model has a stand-in, said as an assumption: without a bound on the true figure nothing is plainly suitable."""
BOUNDED = frozenset(("le_h", "qms", "qes", "centre_depth_m"))
"""Those of them whose figure is known within bounds: where the network is even at both ends, nothing hangs on them."""
LAYOUT = frozenset(("high_from_top_m",))
"""An empty place of the high driver is the program's to choose, and it chooses one that fits."""


def word(case: Case) -> str:
    try:
        return assess(case, drawn=False).verdict.word
    except CannotAssess:
        return "undecided"


@cache
def before(pairing: str) -> str:
    return demo_assessed(pairing).verdict.word


def cells(pairing: str) -> Iterator[tuple[str, str, str]]:
    """Every optional cell of a demo pairing that is filled: pairing, record, field."""
    case = demo().case(demo().pairings[pairing])
    for part in ("low", "high", "guide", "cabinet"):
        record = getattr(case, part)
        for one in fields(record) if record is not None else ():
            if (
                one.default is None
                and getattr(record, one.name) is not None
                and one.name not in NO_DATUM | MAKERS_OWN | LAYOUT
            ):
                yield pairing, part, one.name


EVERY = [cell for pairing in demo().pairings for cell in cells(pairing)]
SOME = [cell for cell in EVERY if cell[0] in ("P-04", "P-24") and cell[2] in ("le_h", "rated_power_w", "fs_hz", "vas_m3", "rating_highpass_hz")]  # fmt: skip


@pytest.mark.parametrize(("pairing", "part", "name"), EVERY if LONG else [*SOME, *EVERY[7::120]])
def test_an_empty_cell_never_gives_a_better_verdict(pairing: str, part: str, name: str) -> None:
    case = demo().case(demo().pairings[pairing])
    after = word(replace(case, **{part: replace(getattr(case, part), **{name: None})}))
    best = "suitable" if name in BOUNDED else "suitable with conditions" if name in FILLED_IN else "undecided"
    allowed = min(BEST_FIRST.index(before(pairing)), BEST_FIRST.index(best))
    assert BEST_FIRST.index(after) >= allowed, (before(pairing), after)
