"""Ideas of the trade, judged as an experienced maker would: see `ideas`."""

from __future__ import annotations

import os
import re
from dataclasses import replace

import pytest

from reportgen.assessment import Assessment, assess
from tests.suitability.ideas import ASKS, FRESH, MORE, NO, SHELF, THIRTY, W6, WORKS, Idea, dome, pair


def everything(found: Assessment) -> str:
    """All that the sheet says in sentences."""
    texts = [found.verdict.reason, *found.verdict.conditions, *found.assumptions]
    texts += [check.text for check in found.checks] + [caution.text for caution in found.cautions]
    return "\n".join(texts)


@pytest.mark.parametrize("idea", [*THIRTY, *MORE, *FRESH], ids=lambda idea: idea.name)
def test_an_experienced_maker_would_sign(idea: Idea) -> None:
    found = assess(idea.case(), drawn=False)
    verdict, told = found.verdict, "\n".join([found.verdict.word, found.verdict.reason, *map(str, found.verdict.fails)])
    assert verdict.word in idea.words, f"{idea.why} {told}"
    assert re.search(idea.first, verdict.reason), told
    for words in idea.said:
        assert re.search(words, everything(found)), words
    assert any(re.search(idea.keeps, text) for text in verdict.conditions) or not idea.keeps, verdict.conditions
    assert found.crossover_hz is not None and idea.between[0] <= found.crossover_hz <= idea.between[1]


SPARSE = [*THIRTY, *MORE, *FRESH] if os.environ.get("REPORTGEN_LONG") == "1" else [*THIRTY, *MORE, *FRESH][3::20]


@pytest.mark.parametrize("idea", SPARSE, ids=lambda idea: idea.name)
def test_what_data_sheets_never_state_does_not_turn_a_verdict(idea: Idea) -> None:
    """No sheet gives the depth of a centre, many give no Q of a high driver: the idea stays as good, or as bad."""
    case = idea.case()
    low, high = replace(case.low, centre_depth_m=None), replace(case.high, centre_depth_m=None, qms=None, qes=None)
    found = assess(replace(case, low=low, high=high), drawn=False)
    assert found.verdict.word in idea.words, found.verdict.reason


def test_a_network_spares_the_travel_of_the_high_driver_around_its_resonance() -> None:
    """0.2 mm, an undamped resonance two octaves under a crossover that its travel allows at second order: one capacitor
    alone lets it swing 15 dB too far; a network that holds it there exists, and is the one built (common practice, no source)."""
    swinging = dome("soft dome", 25, 550, 0.2, 91.0, qms=2.9, qes=0.55)
    found = assess(pair(W6, swinging, SHELF, slope="LR2", crossover_hz=2030.0), drawn=False)
    travel, reached = (next(one for one in found.checks if one.id == id_) for id_ in ("travel", "peak level"))
    assert travel.outcome != "fail" and reached.value is not None
    assert reached.outcome == "pass" and reached.value == pytest.approx(94.0, abs=1.0)


def test_no_idea_stands_twice_or_leaves_the_verdict_open() -> None:
    ideas = (*THIRTY, *MORE, *FRESH)
    assert len(THIRTY) == len(MORE) == 30 and len(FRESH) >= 20 and len({idea.name for idea in ideas}) == len(ideas)
    assert not [idea.name for idea in ideas if idea.words not in (WORKS, WORKS[1:], NO, ASKS)]
