"""What an enquirer's own words say: each question was written by hand, with what a shop assistant would note down."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from reportgen.advice.enquirer import as_understood, asked_kinds, use_of
from reportgen.advice.enquiries import answer
from reportgen.advice.replies import MOST_WORDS, asked_words, reply
from reportgen.advice.said import named, said
from reportgen.catalogue.records import Enquiry, Origin
from tests.advice.demo_answers import few
from tests.demo_catalogue import demo


def enquiry(question: str, **known: Any) -> Enquiry:
    return Enquiry(id="E-9", origin=Origin("Enquiries", 9, {}), question=question, **known)


@pytest.mark.parametrize(
    ("question", "fields"),
    [
        ("wich tweter, i sit 3 m away", {"distance_m": 3.0}),
        ("I listen at 2,5 metres", {"distance_m": 2.5}),
        ("My sofa is 10 ft from them", {"distance_m": 3.05}),  # 1 ft = 0.3048 m
        ("I sit 80 cm away.", {"distance_m": 0.8}),
        ("baffle 26 cm wide, in a room of 20 m2", {}),
        ("realy loud like 110 db", {"peak_level_db": 110.0}),
        ("An 87 dB woofer, sensitivity 88 dB, 24 dB per octave, 90 dB / 2.83 V", {}),
        ("Fs 30, Qms 4, Qes .4, 90 dB, loud enough", {}),
        ("It is about 90 dB I think", {}),
        ("with my 30 watt valve amp", {"amplifier_power_w": 30.0}),
        ("my amplifier gives 100 W", {"amplifier_power_w": 100.0}),
        ("a 60 W woofer of 30 litres", {"given_net_volume_m3": 0.03}),
        ("Can I cross it over at about 2.2 kHz, LR2?", {"crossover_hz": 2200.0, "slope": "LR2"}),
        ("Does it go with mine at 1500 Hz?", {"crossover_hz": 1500.0}),
        ("The cone breaks up at 5200 Hz and has a peak at 3 kHz", {}),
        ("in a boot", {"surroundings": "vehicle"}),
        ("for a patio, in a ported 20 L box", {"surroundings": "outdoors", "given_cabinet_kind": "vented", "given_net_volume_m3": 0.02}),
        ("an open baffle against the wall", {"given_cabinet_kind": "open baffle", "placement": "near a wall"}),
        ("built into the wall, a sealed 12 litre box", {"placement": "in a wall", "given_cabinet_kind": "closed", "given_net_volume_m3": 0.012}),
        ("a carpet, two boots and a public hall of fame", {}),
    ],
)  # fmt: skip
def test_what_words_say(question: str, fields: dict[str, Any]) -> None:
    assert {one.field: one.value for one in said(question)} == fields


def test_names_are_found_however_they_are_spaced_and_sizes_are_none() -> None:
    ids = ("HD-04", "HD-040", "LD-01", "Five", "T7")
    assert named("an hd04 or HD 04 for ld_01", ids) == ("HD-04", "LD-01")
    assert named("Five inch, T7x, xT7 and five of them", ids) == ()
    assert named("two Five with a T7.", ids) == ("Five", "T7")


def test_cells_go_before_words() -> None:
    typed = enquiry(
        "I sit 3 m away in my van", distance_m=2.0, surroundings="home", typed=("distance_m", "surroundings")
    )
    found, taken, plain = as_understood(typed, demo())
    assert (found.distance_m, found.surroundings, taken, plain) == (2.0, "home", "", "")
    found, taken, plain = as_understood(enquiry("LD-01 in CB-01, I sit 3 m away, 100 dB peaks"), demo())
    assert (found.low_id, found.cabinet_id, found.distance_m, found.peak_level_db) == ("LD-01", "CB-01", 3.0, 100.0)
    assert {"low_id", "cabinet_id", "distance_m", "peak_level_db"} <= set(found.typed)
    assert (taken, plain) == ("", "“3 m” and “100 dB”")
    own = enquiry("like LD-01, but mine", given_area_m2=0.02)
    assert as_understood(own, demo())[0].low_id is None  # figures of another woofer were given


def test_a_driver_that_was_asked_about_is_spoken_of_first() -> None:
    would = answer(enquiry("Will an HD 01 go with my LD-01 in CB-01?"), few())
    assert would.named == ("HD-01",) and would.proposals[0].high_id == "HD-01" and would.about == ()
    assert reply(would).split("\n\n")[2].startswith("HD-01 would do.")
    catalogue = replace(few(), high_drivers={**few().high_drivers, "HD-09": demo().high_drivers["HD-09"]})
    ribbon = answer(enquiry("Will the HD-09 ribbon fit my LD-01 in a car?"), catalogue)
    assert ribbon.kinds == () and ribbon.proposals
    first = reply(ribbon).split("\n\n")[2]
    assert first.startswith("HD-09 would not do. A true ribbon must not be used in a vehicle")


def test_a_driver_that_was_asked_about_and_is_too_dear_is_said_with_its_price() -> None:
    dear = max(few().high_drivers.values(), key=lambda one: one.price or 0.0)
    cheap = min(one.price or 1e9 for one in few().high_drivers.values())
    wish = enquiry(f"Is {dear.id} good for LD-01 in CB-01?", budget=cheap, typed=("budget",))
    found = answer(wish, few())
    told = asked_words(found, found.proposals)
    assert f"{dear.id} would do, but costs {dear.price:.2f} EUR." in told or f"{dear.id} would not do." in told


def test_a_mail_is_cut_by_sentences_and_keeps_its_paragraphs_and_cautions() -> None:
    found = answer(enquiry("LD-01 in CB-01?"), few())
    wordy = replace(found, wishes=("one thing. " * 60 + "the last",), decisive=())
    text = reply(wordy)
    assert len(text.split()) <= MOST_WORDS
    assert text.startswith("Hello,\n\nthank you") and "\n\nFor your LD-01" in text and "\n\nCareful" in text
    assert text.rstrip().endswith(f"Kind regards\n{found.from_name}")


@pytest.mark.parametrize("cabinet", (None, "CB-01"))
@pytest.mark.parametrize("known", ({}, {"given_net_volume_m3": 0.03}, {"given_cabinet_kind": "closed"}))
def test_words_of_a_box_tell_nothing_of_a_cabinet_that_is_named(cabinet: str | None, known: dict[str, Any]) -> None:
    """Kind and volume are taken from words where neither a cell nor the row of a cabinet says them."""
    found, _, _ = as_understood(enquiry("in a ported 20 L box", cabinet_id=cabinet, **known), demo())
    words = {} if cabinet else {"given_net_volume_m3": 0.02, "given_cabinet_kind": "vented"}
    wanted = {"given_net_volume_m3": None, "given_cabinet_kind": None, **words, **known}
    assert {name: getattr(found, name) for name in wanted} == wanted


def test_words_that_are_nearly_a_kind_of_driver_mean_it() -> None:
    kinds = demo().technologies
    assert asked_kinds("a berylium tweeter or a ribbonn", kinds) == ("beryllium dome", "true ribbon")
    assert asked_kinds("a good dooor in my house, a soft sound", kinds) == ()


def test_an_amplifier_that_nobody_named_suits_the_woofer() -> None:
    """Twice 15 W rated are 30 W, not the usual 60 W; one that was named stays (common practice, no source)."""
    small = enquiry("3 inch", given_area_m2=0.0028, given_rated_power_w=15.0)
    assert use_of(small, demo())[0].amplifier_power_w == 30.0
    assert use_of(replace(small, low_count=2), demo())[0].amplifier_power_w == 60.0
    named_one = replace(small, amplifier_power_w=100.0, typed=("amplifier_power_w",))
    assert use_of(named_one, demo())[0].amplifier_power_w == 100.0


def test_a_guide_that_nobody_asked_for_is_no_reason_against_a_driver() -> None:
    """HD-04 goes on the baffle of CB-01 as it is; in WG-01, which would not, it reaches lower."""
    highs = {key: demo().high_drivers[key] for key in ("HD-04", "HD-07")}
    catalogue = replace(demo(), high_drivers=highs, waveguides={"WG-01": demo().waveguides["WG-01"]})
    found = answer(enquiry("Does HD-07 or HD-04 suit LD-01 better? In CB-01."), catalogue)
    assert {one.high_id for one in found.proposals} == {"HD-04", "HD-07"} and "WG-01" not in reply(found)
    assert asked_words(found, found.proposals) == "HD-04 and HD-07 would do."
