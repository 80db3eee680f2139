"""Answers to enquiries: who is proposed, what is said when little is known, and a reply that fits a mail."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from reportgen.advice.enquiries import Answer, Proposal, answer, answer_all, asked_kinds, open_enquiries
from reportgen.advice.replies import MOST_WORDS, reply
from reportgen.assessment import assess
from reportgen.catalogue.records import Catalogue, Enquiry, Origin
from tests.demo_catalogue import demo

CELLS = {"low_id": "D9", "cabinet_id": "E9", "given_breakup_hz": "M9", "given_qes": "K9", "given_re_ohm": "H9"}


def enquiry(**known: Any) -> Enquiry:
    return Enquiry(id="E-9", origin=Origin("Enquiries", 9, CELLS), **known)


OWN_DRIVER = {
    "given_area_m2": 0.0130, "given_fs_hz": 42.0, "given_re_ohm": 5.6, "given_le_h": 0.3e-3, "given_qms": 4.5,
    "given_qes": 0.57, "given_sensitivity_db": 88.6, "given_breakup_hz": 5200.0, "given_baffle_width_m": 0.2,
    "given_baffle_height_m": 0.36,
}  # fmt: skip


@cache
def own_driver() -> Answer:
    return answer(enquiry(question="Which tweeter?", **OWN_DRIVER), demo())


def test_open_enquiries_are_those_without_a_date_of_answer() -> None:
    first, *others = demo().enquiries.values()
    done = replace(
        demo(), enquiries={first.id: replace(first, answered_on=first.received), **{one.id: one for one in others}}
    )
    assert [one.id for one in open_enquiries(done)] == [one.id for one in others]


def test_every_demo_enquiry_gets_two_or_three_proposals_and_a_short_reply() -> None:
    answers = answer_all(demo())
    assert [one.id for one in answers] == [one.id for one in open_enquiries(demo())]
    for one in answers:
        assert 2 <= len(one.proposals) <= 3
        assert len(reply(one).split()) <= MOST_WORDS == 150
        for proposal in one.proposals[:2]:
            assert proposal.high_id in reply(one)
            assert f"cross at {float(f'{proposal.crossover_hz:.3g}'):.0f} Hz" in reply(one)
            assert proposal.binding
        assert "!" not in reply(one) and "column" not in reply(one), (
            "cells of the workbook mean nothing to the enquirer"
        )


def says_hz(text: str, hz: float) -> bool:
    """True when `text` names the frequency, to three digits at least."""
    return any(abs(float(number) / hz - 1.0) < 0.006 for number in re.findall(r"(\d+) Hz", text))


def test_a_proposal_says_what_the_whole_assessment_says() -> None:
    for proposal in own_driver().proposals:
        again = assess(proposal.assessment.case)
        assert (proposal.word, proposal.crossover_hz) == (again.verdict.word, again.crossover_hz)
        assert (proposal.low_hz, proposal.high_hz) == (again.found_range.low_hz, again.found_range.high_hz)
        assert again.found_range.low_binding and again.found_range.low_binding.title.lower() in proposal.binding
        assert proposal.word in ("suitable", "suitable with conditions")


def test_proposals_come_best_verdict_first() -> None:
    order = ["suitable", "suitable with conditions", "undecided"]
    for one in (own_driver(), *answer_all(demo())):
        ranks = [(not proposal.of_the_kind_asked, order.index(proposal.word)) for proposal in one.proposals]
        assert ranks == sorted(ranks)


def test_an_own_driver_is_made_of_its_known_figures() -> None:
    low = own_driver().low
    assert low is not None
    assert (low.diaphragm_area_m2, low.fs_hz, low.le_h, low.breakup_hz) == (0.0130, 42.0, 0.3e-3, 5200.0)
    assert low.frame_width_m == pytest.approx(1.3 * 0.12866, abs=1e-3)  # piston of 130 cm2: 128.66 mm
    assert any("frame" in text for text in own_driver().assumed)
    assert any("closed cabinet" in text for text in own_driver().assumed)
    # worked example: break-up 5200 Hz behind LR4 bounds at 3002.2 Hz; the coil does so at 2970.9 Hz
    assert {round(one.high_hz or 0.0, 1) for one in own_driver().proposals if one.slope == "LR4"} <= {2970.9, 3002.2}


def test_missing_figures_of_an_own_driver_are_named_by_cell() -> None:
    known = {**OWN_DRIVER, "given_re_ohm": None, "given_qes": None}
    found = answer(enquiry(**known), demo())
    assert found.proposals == ()
    assert "Known Re of E-9 (Enquiries!H9)" in found.cannot and "Known Qes of E-9 (Enquiries!K9)" in found.cannot
    assert "Known Sd" not in found.cannot
    assert "Please tell us your woofer's DC resistance (Re) and electrical Q (Qes)." in reply(found)
    assert "We cannot name a high driver yet: your woofer is not one of ours" in reply(found)
    assert not found.answered


def test_no_driver_at_all_is_said() -> None:
    found = answer(enquiry(question="What would you take?"), demo())
    assert found.proposals == () and found.cannot.startswith("The low driver is not in the catalogue")


def test_an_unknown_break_up_leaves_proposals_provisional() -> None:
    found = answer(enquiry(**{**OWN_DRIVER, "given_breakup_hz": None}), demo())
    assert found.proposals and {one.word for one in found.proposals} == {"undecided"}
    assert "Known cone break-up of E-9 (Enquiries!M9)" in found.proposals[0].reason
    assert "Known cone break-up of E-9 (Enquiries!M9)" in found.missing
    assert "Please tell us your woofer's break-up frequency" in reply(found) and "this is provisional" in reply(found)


def test_a_row_that_cannot_be_used_is_named() -> None:
    found = answer(enquiry(low_id="LD-99"), demo())
    assert "Enquiries!D9" in found.cannot and "LD-99" in found.cannot
    assert "Enquiries!E9" in answer(enquiry(low_id="LD-01", cabinet_id="CB-99"), demo()).cannot


@pytest.mark.parametrize(
    ("question", "kinds"),
    [
        ("Is there a ribbon that would do?", ("true ribbon",)),
        ("Ribbons or nothing!", ("true ribbon",)),
        ("A soft dome, please", ("soft dome",)),
        ("Any dome will do", ("soft dome", "metal dome", "beryllium dome")),
        ("I want a horn", ("compression driver",)),
        ("What about a planar magnetic one", ("planar magnetic",)),
        ("Which driver gives a soft sound in a large room?", ()),
        ("", ()),
    ],
)
def test_kinds_asked_for(question: str, kinds: tuple[str, ...]) -> None:
    assert asked_kinds(question, demo().technologies) == kinds


def test_a_kind_asked_for_comes_first_and_others_are_named_as_such() -> None:
    found = answer(
        enquiry(question="Is there a dome of metal, a metal dome?", low_id="LD-01", cabinet_id="CB-01"), demo()
    )
    assert found.proposals[0].technology == "metal dome" and found.proposals[0].of_the_kind_asked
    others = [one for one in found.proposals if not one.of_the_kind_asked]
    assert others, "the wish must not restrict silently"
    assert found.about_kinds.startswith("You asked for a metal dome: HD-0")
    assert found.about_kinds.endswith("the others are of another kind.")
    assert "You asked for a metal dome" in reply(found)


def test_a_kind_that_would_not_do_is_said_with_its_reason() -> None:
    wish = enquiry(question="A ribbon for my car", low_id="LD-02", cabinet_id="CB-01", surroundings="vehicle")
    found = answer(wish, demo())
    assert found.proposals and not any(one.of_the_kind_asked for one in found.proposals)
    assert "none would do" in found.about_kinds and "vehicle" in found.about_kinds


def only_a_ribbon() -> Catalogue:
    return replace(demo(), high_drivers={"HD-09": demo().high_drivers["HD-09"]}, waveguides={})


def test_a_no_comes_with_the_nearest_yes() -> None:
    catalogue = replace(only_a_ribbon(), low_drivers={key: demo().low_drivers[key] for key in ("LD-02", "LD-05")})
    found = answer(enquiry(low_id="LD-05", cabinet_id="CB-03", peak_level_db=90.0), catalogue)
    assert found.proposals == ()
    assert "HD-09 comes nearest: " in found.cannot
    assert found.nearest_yes
    assert len(reply(found).split()) <= MOST_WORDS


def wordy(one: Proposal) -> Proposal:
    caution = one.caution and replace(one.caution, text=" ".join(["Careful"] * 60))
    return replace(one, description=" ".join(["long"] * 30), reason=" ".join(["reason"] * 40), caution=caution)


def test_a_reply_never_runs_over_its_words() -> None:
    found = own_driver()
    assert found.proposals
    long = replace(found, proposals=tuple(wordy(one) for one in found.proposals), assumed=("as said " * 40,))
    assert len(reply(long).split()) <= MOST_WORDS
    assert found.proposals[0].high_id in reply(long)
    endless = replace(found, proposals=(), cannot="no " * 400)
    assert len(reply(endless).split()) <= MOST_WORDS


def test_a_reply_carries_each_caution_once() -> None:
    text = reply(own_driver())
    grave = [one.caution.text.partition(". ")[0] for one in own_driver().proposals if one.caution]
    assert grave
    for sentence in set(grave):
        assert text.count(sentence) == 1


def test_a_range_open_on_one_side_is_said() -> None:
    from reportgen.advice.replies import range_words

    one = own_driver().proposals[0]
    found = replace(one.assessment, found_range=replace(one.assessment.found_range, high_hz=None, high_binding=None))
    low = float(f"{one.low_hz:.3g}")
    assert range_words(replace(one, high_hz=None, assessment=found), whys=False) == f"Usable from {low:.0f} Hz up"
