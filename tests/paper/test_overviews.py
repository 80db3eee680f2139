"""Rows of lists, their axis and tally; and the name of all that a page says."""

from __future__ import annotations

from collections import Counter
from dataclasses import fields, replace
from typing import Any

import pytest

from reportgen.commands.terminal import counts
from reportgen.paper.composing import sheet_page
from reportgen.paper.fingerprints import name_of_words
from reportgen.paper.overviews import range_row, shared_axis, short_range, tally_of
from reportgen.paper.pages import SheetPage
from reportgen.paper.scales import Scale
from reportgen.suitability.verdict import UsableRange, Verdict
from tests.every import every
from tests.paper.samples import STAMP, assessed


def ranged(low: float | None, high: float | None) -> UsableRange:
    return UsableRange(low, high, None, None)


@every(
    ("low", "high", "words"),
    [(2000.0, 3002.2, "2000 to 3000 Hz"), (3000.0, 2000.0, "none"), (2000.0, None, "from 2000 Hz"), (None, 3000.0, "up to 3000 Hz"), (None, None, "–"), (2000.0, 2000.0, "2000 to 2000 Hz")],
)  # fmt: skip
def test_a_range_in_the_fewest_words(low: float | None, high: float | None, words: str) -> None:
    assert short_range(ranged(low, high)).replace("\u00a0", " ") == words


def test_a_row_of_a_list_to_the_letter() -> None:
    found = assessed("P-01")
    pairing = replace(found.case.pairing, kit=None, low_count=2, decision=None)
    found = replace(
        found, case=replace(found.case, pairing=pairing), price=94.25, crossover_hz=2449.5, found_range=ranged(2000.0, 3000.0),
        verdict=Verdict("undecided", "it takes 3.2 ohm"),
    )  # fmt: skip
    row = range_row(found, Scale(500.0, 4000.0, 6.0, 154.0, log=True), "#x", "7")
    words = [row.id, row.kit, row.drivers, row.mark.word, row.range, row.crossover, row.price, row.reason, row.link, row.page]  # fmt: skip
    assert [text.replace("\u00a0", " ") for text in words] == [
        "P-01", "", "2 × LD-01 with HD-01", "undecided", "2000 to 3000 Hz", "2450 Hz", "94.25 EUR", "It takes 3.2 Ω.", "#x", "7",
    ]  # fmt: skip
    assert row.strip.width == 160.0 and row.strip.alt.endswith("crossover 2450\u00a0Hz")
    assert found.network is not None
    figures = replace(found.network.figures, network_price=None)
    unpriced = replace(found, network=replace(found.network, figures=figures))
    row = range_row(unpriced, Scale(500.0, 4000.0, 6.0, 154.0, log=True))
    assert row.price.replace("\u00a0", " ") == "94.25 EUR + network"
    bare = range_row(replace(found, price=None, crossover_hz=None), Scale(500.0, 4000.0, 6.0, 144.0, log=True))
    assert (bare.price, bare.crossover, bare.link, bare.page, bare.strip.width) == ("–", "–", "", "", 150.0)


def test_the_shared_axis_goes_round_every_range_and_every_crossover() -> None:
    """A factor of 1.8 beyond the lowest and the highest of them."""
    one, other = (replace(assessed("P-01"), found_range=ranged(*hz), crossover_hz=fc) for hz, fc in (((1500.0, 2500.0), 2000.0), ((None, 3000.0), 1200.0)))  # fmt: skip
    axis = shared_axis([one, other])
    assert (axis.low, axis.high, axis.start, axis.end) == pytest.approx((1200.0 / 1.8, 5400.0, 6.0, 154.0))
    assert shared_axis([one], 150.0).end == 144.0


def test_verdicts_are_counted_from_good_to_bad() -> None:
    words = ["not suitable", "suitable", "undecided", "not suitable", "suitable with conditions"]
    assert tally_of(words) == "1 suitable, 1 suitable with conditions, 1 undecided, 2 not suitable"
    assert tally_of(words) == counts(Counter(words)), "on paper as at the terminal"
    assert tally_of([]) == ""


OTHER: dict[str, Any] = {"verdict": None, "figures": (), "drivers": (), "range_key": (), "cautions": None, "range_picture": None, "stamp": (), "maker": None}  # fmt: skip


@every("field", [field.name for field in fields(SheetPage)])
def test_a_sheet_has_another_name_with_anything_but_its_stamp(field: str) -> None:
    """A revision is new where something that is printed is new: not for the date, the run or the line that says what changed."""
    page = sheet_page(assessed("P-01"), STAMP)
    now = getattr(page, field)
    new = OTHER.get(field, f"{now} and more" if isinstance(now, str) else (now, now))
    assert new != now
    same = name_of_words(replace(page, **{field: new})) == name_of_words(page)
    assert same is (field in ("stamp", "foot", "changed"))
    assert len(name_of_words(page)) == 20
