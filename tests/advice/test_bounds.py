"""Bounds of a crossover in the words of an enquiry: the readings were written down by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from reportgen.advice import enquiries, picks
from reportgen.advice.bounds import bounds_said
from reportgen.advice.enquirer import as_understood
from reportgen.advice.picks import Picks, Wish, as_wished, ways
from tests.advice.test_by_hand import candidate, judged
from tests.advice.test_unread import mail
from tests.demo_catalogue import demo, demo_assessed
from tests.every import every


@every(
    ("words", "bounds", "told"),
    [
        ("crossover not under 2.5 k please", (2500.0, math.inf), "not under 2.5 k"),
        ("I don't want a crossover above 2k", (0.0, 2000.0), "don't want a crossover above 2k"),
        ("I dont want HD-06 crossed above 2k", (0.0, 2000.0), "dont want HD-06 crossed above 2k"),
        ("where to cross? I'd like to stay above 2 kHz", (2000.0, math.inf), "above 2 kHz"),
        ("I want it crossed below 3k", (0.0, 3000.0), "below 3k"),
        ("why not cross below 2 kHz?", (0.0, 2000.0), "below 2 kHz"),
        ("don't go over 60 euros and do not cross under 2 kHz", (2000.0, math.inf), "not cross under 2 kHz"),
        ("cross it at 2 kHz or lower", (0.0, 2000.0), "2 kHz or lower"),
        ("crossover 2 kHz or more", (2000.0, math.inf), "2 kHz or more"),
        ("crossover at least 2000 Hz", (2000.0, math.inf), "at least 2000 Hz"),
        ("crossover max. 2500", (0.0, 2500.0), "max. 2500"),
        ("low xo pls max 2k", (0.0, 2000.0), "max 2k"),
        ("xover max 2.2 kHz, min 1.6 kHz", (1600.0, 2200.0), "max 2.2 kHz, min 1.6 kHz"),
        ("cross between 2 and 3 khz, LR4", (2000.0, 3000.0), "between 2 and 3 khz"),
        ("a crossover of 1800 - 2500 Hz", (1800.0, 2500.0), "1800 - 2500 Hz"),
        ("cross to a dome at 2 to 2.5k", (2000.0, 2500.0), "2 to 2.5k"),
        ("never cross over 3 kHz, cross over at 2 kHz", None, ""),  # over is a part of the word
        ("You said HD-01 at 1480 Hz. I would prefer 2000 to 2500 Hz", (2000.0, 2500.0), "2000 to 2500 Hz"),
        ("crossed at 2 kHz it sounds harsh above 3 kHz", None, ""),
        ("where do I cross it? The cone breaks up above 5 kHz", None, ""),
        ("crossing well, a response of 2-20 kHz", None, ""),
        ("the crossover goes up to 150 Hz", None, ""),
        ("a crossover at 2 kHz", None, ""),
        ("keep it below 2 kHz", None, ""),  # of what nobody knows
    ],
)
def test_what_bounds_the_crossover(words: str, bounds: tuple[float, float] | None, told: str) -> None:
    found = bounds_said(words)
    assert (found and found.value, found.words if found else "") == (bounds, told)
    read, taken, *_ = as_understood(mail(words), demo())
    if found:
        assert f"“{told}” to mean a crossover " in taken and read.crossover_hz is None
        *_, at = as_understood(mail(words, crossover_hz=2000.0), demo())
        assert found.at not in at, "a cell goes first"


def test_an_open_crossover_stays_within_its_bounds_and_a_typed_one_where_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        picks,
        "assess",
        lambda case, drawn: replace(demo_assessed("P-01"), crossover_hz=case.pairing.crossover_hz or 1800.0),
    )
    use = replace(demo().pairings["P-01"], crossover_hz=None)
    for bounds, hertz in (((2500.0, math.inf), 2500.0), ((0.0, 1500.0), 1500.0), ((1600.0, 2200.0), 1800.0)):
        wish = Wish(use, demo(), bounds=bounds)
        assert as_wished(wish, use).crossover_hz == hertz
        assert as_wished(wish, replace(use, crossover_hz=3000.0)).crossover_hz == 3000.0
        assert list(ways(wish)) == [("crossover_hz",)], "bounds give way as a crossover does"


def test_why_bounds_gave_way_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(enquiries, "as_wished", lambda wish, pairing: judged("HD-01", "not suitable"))
    use = replace(demo().pairings["P-01"], crossover_hz=None)
    best = [(candidate("HD-01"), judged("HD-01", "suitable"))]
    wish = Wish(use, demo(), typed=frozenset({"slope"}), bounds=(2500.0, math.inf))
    for gave_way, words in (
        (("crossover_hz",), "a crossover of 2500 Hz or more"),
        (("slope", "crossover_hz"), "LR4 with a crossover of 2500 Hz or more"),
    ):
        (told,) = enquiries._given_way(wish, Picks(use, (), [], best, gave_way), "EUR")
        assert told == f"{words} would not do: with HD-01, which suits best, made up"
