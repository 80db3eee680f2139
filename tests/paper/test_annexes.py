"""The annex in words: every check, what was not assessed, the ladder of networks, the ways out; to the letter, from invented figures."""

from __future__ import annotations

from dataclasses import fields, replace
from types import SimpleNamespace
from typing import Any

import pytest

from reportgen.acoustics.slopes import SLOPES
from reportgen.assessment import Assessment, Remedy
from reportgen.crossover.synthesis import Step
from reportgen.paper.annexes import _beside, annex_block, remedies_block
from reportgen.paper.pages import AnnexBlock, WiringBlock
from reportgen.suitability.checks import Check, Outcome
from reportgen.suitability.verdict import Verdict
from tests.every import every
from tests.paper.samples import assessed


def plain(row: Any) -> tuple[str, ...]:
    """A row as the words that stand on paper, blanks that do not break made plain ones; of a mark its sign."""
    values = (getattr(row, field.name) for field in fields(row))
    return tuple(str(getattr(value, "sign", value)).replace("\u00a0", " ") for value in values)


def annex(found: Assessment, level: int = 0) -> AnnexBlock:
    return annex_block(found, False, None, level)


def check(outcome: Outcome = "pass", title: str = "Load", **other: Any) -> Check:
    usual: dict[str, Any] = {
        "value": 3.93, "limit": 3.2, "unit": "ohm", "margin": 0.73, "margin_unit": "ohm", "source": "IEC 60268-3",
        "text": "the load stays above 3.2 ohm",
    }  # fmt: skip
    return Check(**{"id": "load", "title": title, "outcome": outcome, **usual, **other})


@every(
    ("one", "row"),
    [
        (check(), ("✓", "Load", "The load stays above 3.2 Ω.", "3.9 Ω", "3.2 Ω", "+0.73 Ω", "IEC 60268-3")),
        (
            check("fail", value=3.0, margin=-0.2),
            ("✗", "Load", "The load stays above 3.2 Ω.", "3 Ω", "3.2 Ω", "−0.2 Ω", "IEC 60268-3"),
        ),
        (
            check("marginal", value=3.2, margin=0.0, condition="keep the cable short"),
            ("!", "Load", "The load stays above 3.2 Ω. Keep the cable short.", "3.2 Ω", "3.2 Ω", "0 Ω", "IEC 60268-3"),
        ),
        (
            check(value=2449.5, limit=12500.0, unit="Hz", margin=0.504, margin_unit="octave"),
            ("✓", "Load", "The load stays above 3.2 Ω.", "2450 Hz", "12.5 kHz", "+0.50 oct.", "IEC 60268-3"),
        ),
        (
            check("fail", value=8.26, limit=3.0, unit="dB", margin=-5.26, margin_unit="dB", source="common practice, no source"),
            ("✗", "Load", "The load stays above 3.2 Ω.", "8.3 dB", "3.0 dB", "−5.3 dB", "practice †"),
        ),
        (
            check(id="price", title="Price", value=269990.0, limit=None, unit="JPY", margin=None, margin_unit="JPY", source="Price columns"),
            ("✓", "Price", "The load stays above 3.2 Ω.", "269 990 JPY", "–", "–", "Price columns"),  # every digit, in groups (ISO 80000-1); no sen (ISO 4217)
        ),
        (
            check(source="Ref. 3 (common practice, no source)", value=None, limit=None, margin=None, unit="", margin_unit=""),
            ("✓", "Load", "The load stays above 3.2 Ω.", "–", "–", "–", "Ref. 3 †"),
        ),
        (
            check("not assessed", value=None, limit=None, margin=None, text="Load not assessed: Re of LD-01 missing."),
            ("?", "Load", "Re of LD-01 missing.", "–", "–", "–", "IEC 60268-3"),
        ),
        (
            check("marginal", text="keep the cable short", condition="keep the cable short"),
            ("!", "Load", "Keep the cable short.", "3.9 Ω", "3.2 Ω", "+0.73 Ω", "IEC 60268-3"),
        ),
    ],
)  # fmt: skip
def test_a_check_to_the_letter(one: Check, row: tuple[str, ...]) -> None:
    """Loads have two digits, frequencies three, margins of frequencies are octaves; what is good is signed; nothing is said twice."""
    (found,) = annex(replace(assessed("P-01"), checks=(one,))).checks
    assert plain(found) == row


def test_lengths_of_a_check_are_in_the_units_of_the_paper() -> None:
    one = replace(assessed("P-01"), checks=(check(text="it stands 254 mm over", condition="move it 25.4 mm"),))
    (row,) = annex_block(one, True, None, 0).checks
    assert row.text.replace("\u00a0", " ") == "It stands 254 mm (10.00 in) over. Move it 25.4 mm (1.00 in)."


def test_fails_stand_first_and_then_what_is_not_known_what_is_near_and_what_passes() -> None:
    outcomes: tuple[Outcome, ...] = ("pass", "marginal", "fail", "not assessed", "pass", "fail")
    checks = tuple(check(outcome, f"{n}") for n, outcome in enumerate(outcomes))
    block = annex(replace(assessed("P-01"), checks=checks))
    assert [row.title for row in block.checks] == ["2", "5", "3", "1", "0", "4"]
    assert block.tally == "2 pass, 1 marginal, 2 fail, 1 not assessed"
    assert annex(replace(assessed("P-01"), checks=checks[:2])).tally == "1 pass, 1 marginal"


def test_what_was_not_assessed_says_what_is_missing_and_whether_the_verdict_hangs_on_it() -> None:
    """Gaps of one cause are one row; the same cause of an essential and of another check are two."""
    re, travel = ("Re of LD-01 (Low drivers!F9)",), ("Xmax of HD-01 (High drivers!H9)",)
    checks = (
        check("not assessed", "Load", essential=True, missing=re), check("not assessed", "Heat", essential=False, missing=re),
        check("fail", "Size", missing=re), check("not assessed", "Travel", essential=False, missing=travel),
        check("not assessed", "Power", essential=True, missing=re),
        check("not assessed", "Lobe", essential=False, text="Lobe not assessed: the centres are unknown"),
    )  # fmt: skip
    gaps = annex(replace(assessed("P-01"), checks=checks)).gaps
    assert [(gap.title, gap.essential, gap.missing) for gap in gaps] == [
        ("Load and Power", True, re),
        ("Heat", False, re),
        ("Travel", False, travel),
        ("Lobe", False, ("The centres are unknown.",)),
    ]


STEPS = (
    Step(5, None, 0.914, -2.44, -15.27, 3.98, 0.714, 1.9, (0.1, 0.2), failed=("Load", "Reversed null")),
    Step(6, 31.5, 0.66, 1.62, -21.6, 4.72, 0.86, 1.2, (0.1, 0.2), marginal=("Evenness",), chosen=True),
    Step(8, 40.0, 0.6, 1.4, -25.0, 5.0, 0.9, 1.0, (0.1, 0.2), failed=("Load",), marginal=("Evenness",)),
    Step(9, 44.0, 0.5, 1.2, -30.0, 5.1, 0.955, 1.0, (0.1, 0.2), marginal=("Load", "Null")),
    Step(10, 48.0, 0.5, 1.2, -30.0, 5.1, 1.0, 1.0, (0.1, 0.2), marginal=("Load",), unassessed=("Heat", "Travel")),
    Step(11, 49.0, 0.5, 1.2, -30.0, 5.1, 1.0, 1.0, (0.1, 0.2), unassessed=("Heat",)),
    Step(12, 50.0, 0.5, 1.2, -30.0, 5.1, 1.0, 1.0, (0.1, 0.2)),
    Step(13, 51.0, 0.5, 1.2, -30.0, 5.1, 1.0, 1.0, (0.1, 0.2), marginal=("Load", "Heat"), asking=("Heat",)),
    Step(
        14,
        52.0,
        0.5,
        1.2,
        -30.0,
        5.1,
        1.0,
        1.0,
        (0.1, 0.2),
        marginal=("Heat",),
        unassessed=("Travel",),
        asking=("Heat",),
    ),
)


def stepped(*steps: Step, slope: str = "LR4") -> list[tuple[str, ...]]:
    found = assessed("P-01")
    assert found.network is not None
    design = replace(found.network.design, ladder=steps, slope=SLOPES[slope])
    return [plain(row) for row in annex(replace(found, network=replace(found.network, design=design))).ladder]


def test_the_ladder_of_networks_to_the_letter() -> None:
    """What fewer pieces cost: mean and worst departure, depth with one driver reversed, least load, share of good builds."""
    assert stepped(*STEPS) == [
        ("5", "–", "0.91 / 2.4 dB", "15.3 dB", "4 Ω", "71 %", "fails: Load; Reversed null"),
        ("6 (chosen)", "31.50 EUR", "0.66 / 1.6 dB", "21.6 dB", "4.7 Ω", "86 %", "near: Evenness"),
        ("8", "40.00 EUR", "0.60 / 1.4 dB", "25.0 dB", "5 Ω", "90 %", "fails: Load"),
        ("9", "44.00 EUR", "0.50 / 1.2 dB", "30.0 dB", "5.1 Ω", "96 %", "near: Load; Null"),
        ("10", "48.00 EUR", "0.50 / 1.2 dB", "30.0 dB", "5.1 Ω", "100 %", "near: Load – not assessed: Heat; Travel"),
        ("11", "49.00 EUR", "0.50 / 1.2 dB", "30.0 dB", "5.1 Ω", "100 %", "not assessed: Heat"),
        ("12", "50.00 EUR", "0.50 / 1.2 dB", "30.0 dB", "5.1 Ω", "100 %", "passes"),
        ("13", "51.00 EUR", "0.50 / 1.2 dB", "30.0 dB", "5.1 Ω", "100 %", "near: Load – on a condition: Heat"),
        (
            "14",
            "52.00 EUR",
            "0.50 / 1.2 dB",
            "30.0 dB",
            "5.1 Ω",
            "100 %",
            "on a condition: Heat – not assessed: Travel",
        ),
    ]
    assert len(stepped(*STEPS[:2])) == 2 and stepped(STEPS[0]) == []
    assert annex(replace(assessed("P-01"), network=None)).ladder == ()
    assert [row[3] for row in stepped(*STEPS[:2], slope="BW3")] == ["–", "–"]  # it has no null to be deep


WAY = Remedy(("move the centres 150 mm apart", "use LR4"), "suitable with conditions", (1800.0, 3000.0), 2300.0, 90.5, "all", "keep to 25.4 mm")  # fmt: skip


def test_a_way_out_to_the_letter() -> None:
    found = replace(assessed("P-03"), remedies=(WAY,), remedies_note="the search took 214 assessments")
    block = remedies_block(found, False)
    assert block is not None
    (row,) = block.rows
    assert plain(row) == (
        "Move the centres 150 mm apart; use LR4.", "!", "1800 to 3000 Hz", "2300 Hz", "90.50 EUR", "Keep to 25.4 mm.",
    )  # fmt: skip
    assert block.note == "The search took 214 assessments."
    inches = remedies_block(found, True)
    assert inches is not None
    assert plain(inches.rows[0])[0] == "Move the centres 150 mm (5.91 in) apart; use LR4."
    assert plain(inches.rows[0])[5] == "Keep to 25.4 mm (1.00 in)."


@pytest.mark.parametrize(
    ("word", "heading"),
    [
        ("not suitable", "The nearest yes"), ("undecided", "What would make it a plain yes"),
        ("suitable with conditions", "What would make it a plain yes"),
    ],
)  # fmt: skip
def test_ways_out_are_headed_by_what_they_lead_to(word: Any, heading: str) -> None:
    found = replace(assessed("P-03"), verdict=Verdict(word, "So it is."), remedies=(WAY,), remedies_note="")
    block = remedies_block(found, False)
    assert block is not None and block.heading == heading
    for level in (0, 1, 2, 3):
        assert annex_block(found, False, block, level).remedies is block  # wherever the front left them to the annex
    for ways, told in (((), "What"), ((WAY,), f"{heading}, and what")):
        opened = remedies_block(replace(found, remedies=(replace(WAY, word="undecided"), *ways)), False)
        assert opened is not None and opened.heading == f"{told} leaves nothing that fails"
    searched = remedies_block(replace(found, remedies=(), remedies_note="nothing was found"), False)
    assert searched is not None and searched.rows == () and searched.note == "Nothing was found."
    assert remedies_block(replace(found, remedies=()), False) is None


def test_what_the_build_side_leaves_out_stands_in_the_annex_and_nothing_else() -> None:
    """From level 2 on the wiring of equal drivers, at 3 the board as well; P-10 has two low drivers, P-01 one of each."""
    for level, wirings, board in ((0, 0, False), (1, 0, False), (2, 1, False), (3, 1, True)):
        block = annex(assessed("P-10"), level)
        assert (len(block.wirings), bool(block.board)) == (wirings, board), level
        assert len(annex(assessed("P-01"), level).wirings) == 0


@every(
    ("widths", "room"),
    [((), 0.0), ((290.0,), 200.0), ((290.1,), 0.0), ((50.0,), 372.0), ((100.0, 150.0), 212.0), ((150.0, 152.1), 0.0)],
)
def test_words_stand_beside_drawings_where_200_points_are_left(widths: tuple[float, ...], room: float) -> None:
    """Of 510 points: each drawing, 118 at least for its caption, and 10 behind it, and 10 before the words."""
    moved = [WiringBlock("", "", SimpleNamespace(width=width)) for width in widths]  # type: ignore[arg-type]
    assert _beside(moved) == room


def test_reasons_and_assumptions_are_sentences_in_the_units_of_the_paper() -> None:
    found = assessed("P-01")
    assert found.network is not None
    design = replace(found.network.design, reasons=("the pad is 254 mm off", "so be it"))
    told = replace(found, network=replace(found.network, design=design), assumptions=("a wall 508 mm behind",))
    block = annex_block(told, True, None, 0)
    assert [text.replace("\u00a0", " ") for text in block.reasons] == ["the pad is 254 mm (10.00 in) off", "so be it"]
    assert [text.replace("\u00a0", " ") for text in block.assumptions] == ["A wall 508 mm (20.00 in) behind."]
    assert block.no_charts == ""
    several = assessed("P-10")
    assert several.network is not None and annex(several, 2).beside > 0.0
    silent = replace(several.network, design=replace(several.network.design, reasons=()))
    assert annex(replace(several, network=silent), 2).beside == 0.0  # nothing stands beside the wirings then
    bare = replace(found, network=None, not_designed="the response is missing")
    assert annex(bare).no_charts == "The response is missing." and annex(bare).charts == ()
    assert annex(bare).reasons == () and annex(bare).beside == 0.0
