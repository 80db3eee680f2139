"""What an enquirer's words say of the woofer, what nobody read of them is told, and dangers go first.

The mails were made up and what is in them written down by hand; inch and cubic foot by their definitions (0.0254 m, 0.3048 m).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from reportgen.advice import enquiries, picks
from reportgen.advice.enquirer import as_understood, kit_of, of_quote, refused_ids, use_of
from reportgen.advice.enquiries import _dangers, _digits, _left, _without_refused, answer
from reportgen.advice.figures import baffle_said, count_said, figures_said
from reportgen.advice.guesses import size_named
from reportgen.advice.hazards import (
    BARE,
    BERYLLIUM,
    HANGING,
    HOT,
    HURT,
    IMPLANT,
    LASER,
    LEAKING,
    MAINS,
    WATER,
    hazards_said,
)
from reportgen.advice.picks import Wish
from reportgen.advice.replies import MOST_WORDS, asked_words, hole_words, hz_words, reply
from reportgen.advice.said import budget_said, cheapest_said, said
from reportgen.advice.unread import Unread, _is_english, clauses, unread
from reportgen.assessment import assess
from reportgen.catalogue.records import Enquiry, Origin
from reportgen.pairing.as_used import Setting
from reportgen.suitability.limits import lobing
from tests.advice.demo_answers import demo_answer, few, one_dome
from tests.demo_catalogue import demo
from tests.every import every

IDS = ("LD-01", "HD-01", "CB-01")


def mail(question: str, **known: Any) -> Enquiry:
    return Enquiry(id="E-9", origin=Origin("Enquiries", 9), question=question, typed=tuple(known), **known)


def left(question: str) -> Unread:
    """What of a mail nobody read."""
    read, _, _, at = as_understood(mail(question), demo())
    return _left(mail(question), read, at, demo(), None)


def answered(question: str) -> enquiries.Answer:
    """A mail answered from one dome."""
    return answer(mail(question), one_dome())


@every(
    ("words", "figures"),
    [
        ("Fs 55, Re 3.2, Qts 0.4", {"fs_hz": 55.0, "re_ohm": 3.2}),
        ("sd=132cm2, fs=42hz, re=5.6ohm, le=0.45mH, qms=4, qes=.45, spl=88dB, xmax=5mm, pmax=60W",
         {"area_m2": 0.0132, "fs_hz": 42.0, "re_ohm": 5.6, "le_h": 0.45e-3, "qms": 4.0, "qes": 0.45, "sensitivity_db": 88.0,
          "peak_travel_m": 0.005, "rated_power_w": 60.0}),
        ("an old woofer of 210 cm², break-up at 4.5 kHz", {"area_m2": 0.021, "breakup_hz": 4500.0}),
        ("a woofer, sens. 86,5 dB (2,83V/1m), Fs 50 Hz", {"sensitivity_db": 86.5, "fs_hz": 50.0}), ("Fs 42 Hz, Pe 60 W, Xmax ±6 mm", {"fs_hz": 42.0, "rated_power_w": 60.0, "peak_travel_m": 0.006}),
        ("5.6 ohm DC resistance, a 45 Hz resonance, 4 mm Xmax", {"re_ohm": 5.6, "fs_hz": 45.0, "peak_travel_m": 0.004}), ("Xmax 5 mm Fs 42 Hz Re 5.6", {"peak_travel_m": 0.005, "fs_hz": 42.0, "re_ohm": 5.6}),
        ("88dB/2.83V/1m", {"sensitivity_db": 88.0}), ("90 dB for 2.83 V", {"sensitivity_db": 90.0}), ("88 dB/1W", {}),
        ("Sd 21 in², Xmax 0.2\"", {"area_m2": 21.0 * 0.0254**2, "peak_travel_m": 0.2 * 0.0254}),
        ("fs 60 re 3.4 le 0.3 sd 90 qms 3 qes 0.6 sens 87 xmax 4",  # a list of figures, each in its usual unit
         {"fs_hz": 60.0, "re_ohm": 3.4, "le_h": 0.3e-3, "area_m2": 0.009, "qms": 3.0, "qes": 0.6, "sensitivity_db": 87.0, "peak_travel_m": 0.004}),
        ("a 12\" 8 ohm 100W woofer", {"re_ohm": 5.8, "rated_power_w": 100.0}),
        ("a 4 ohm woofer", {"re_ohm": 2.9}),  # 0.72 of it, as usual 8 ohm woofers have 5.6 to 5.8 (common practice, no source)
        ("a 16 ohm woofer", {"re_ohm": 11.5}), ("a 2 ohm woofer", {"re_ohm": 1.4}), ("a 17 ohm woofer", {}), ("a 1 ohm woofer", {}),
        ("8\" woofer, 91 dB, 8 ohm", {"re_ohm": 5.8}), ("wich tweter for my woofer 8ohm", {"re_ohm": 5.8}), ("a 6.5 ohm woofer", {"re_ohm": 4.7}), ("my amp is 60 W, 8 ohm", {}),
        ("a 12 inch woofer 400W", {"rated_power_w": 400.0}), ("a woofer and amp 100 W", {}), ("a dome, 4 ohm", {"re_ohm": 2.9}), ("a resistor of 4 ohm", {}), ("Which dome matches my 6 ohm woofer?", {"re_ohm": 4.3}), ("Which dome suits a 6 ohm paper cone woofer?", {"re_ohm": 4.3}), ("Which 6 ohm dome?", {}), ("4 to 8 ohm", {}),
        ("Re 5.6 ohm, Fs 42 Hz, 8 ohm woofer", {"re_ohm": 5.6, "fs_hz": 42.0}), ("132 cm2, not 210 cm2", {"area_m2": 0.0132}),
        ("fs 60 qms 3 qes 0.6 sd 90", {"fs_hz": 60.0, "qms": 3.0, "qes": 0.6, "area_m2": 0.009}), ("fs 60 qms 3 sd 90", {"fs_hz": 60.0, "qms": 3.0}),
        ("my dome has an Fs of 120 Hz", {}), ("my woofer has an Fs of 120 Hz", {"fs_hz": 120.0}),
        ("le 0.5 mH", {}), ("le 0.5 mH, qms 4", {"le_h": 0.5e-3, "qms": 4.0}), ("re 6", {}), ("re 6, bl 7", {"re_ohm": 6.0}),
        ("sensitivity 90 dB/1W, sensitivity 87 dB", {"sensitivity_db": 87.0}),
        ("my tweeter has an impedance of 6 ohm", {}), ("an 8 ohm tweeter", {}), ("an amp into 8 ohms", {}),
        ("Re: 8 litres", {}), ("Subject: Re: 8 ohm", {}), ("le 5 mai", {}),
        ("woofers, 88 dB, Fs 45 Hz", {"fs_hz": 45.0, "sensitivity_db": 88.0}), ("woofer, 95 dB is enough, Fs 40 Hz", {"fs_hz": 40.0}), ("a woofer, 88 dB, 3 m", {}),
        ("sensitivity 89 dB/1W", {}), ("sensitivity 89", {}), ("Fs 40-45 Hz", {}), ("Fs 1200 Hz", {}), ("Sd 3 mm", {}), ("Qms 0, Qes 0, Fs 0 Hz", {}),
    ],
)  # fmt: skip
def test_figures_of_the_woofer_are_read_by_their_names(words: str, figures: dict[str, float]) -> None:
    found = {one.field.removeprefix("given_"): one.value for one in figures_said(words)}
    assert found == pytest.approx(figures, rel=1e-3)


@every(
    ("words", "sizes"),
    [
        ("on a baffle of 9\" x 14\"", [0.2286, 0.3556]), ("a cabinet 26 cm wide", [0.26]), ("a 26 cm wide baffle", [0.26]),
        ("My cabinet is 250mm wide and 400mm high", [0.25, 0.4]), ("a baffle of 40 x 20 cm", []), ("a baffle 26 wide", []), ("a 9 x 14 inch baffle", [0.2286, 0.3556]),
        ("a baffle of 26 cm x 0.4 m", [0.26, 0.4]), ("a baffle of 260 x 400 mm", [0.26, 0.4]),
        ("a baffle of 9 1/2 x 14 1/2 inches", [0.2413, 0.3683]), ("a cabinet 1 ft wide, 1' 6\" tall", [0.3048, 0.4572]), ("a baffle of 300 x 300 cm", [3.0, 3.0]),
        ("cabinets of oak, 70 cm tall, 32 cm wide and 28 cm deep", [0.32, 0.7]), ("a box on a shelf 80 cm wide", []), ("floor stander 26 cm wide 98 cm tall", [0.26, 0.98]),
        ("a baffle of 4 x 40 cm", []), ("a baffle of 30 x 301 cm", []),
        ("in a 200 x 360 mm closed box", [0.2, 0.36]), ("10 L closed cabinet 20 by 36 cm", [0.2, 0.36]), ("48 litres vented, 26 cm wide, 98 cm high", [0.26, 0.98]),
        ("a box of 30 x 20 x 25 cm", []), ("a 20 x 30 x 40 cm box", []), ("the box stands on a 30 x 40 cm table", []), ("12 litres in a room 4 m wide", []),
        ("40 L, ported, 24 cm baffle width, 60 cm height", [0.24, 0.6]), ("a woofer, 24 cm baffle width", [0.24]), ("a closed box 25 cm wide, my ears at 1.2 m height", [0.25]),
        ("the 210 cm2 one, baffle 26cm", [0.26]), ("baffle: 10\"", [0.254]), ("a baffle of 26 cm x 40", []), ("the baffle is 40 cm high", []),
    ],
)  # fmt: skip
def test_the_size_of_a_baffle_is_read_in_any_unit(words: str, sizes: list[float]) -> None:
    found = baffle_said(words)
    assert [one.value for one in found] == pytest.approx(sizes)
    mm = " x ".join(f"{size * 1e3:.0f}" for size in sizes)
    assert [one.meaning for one in found] == [f"a baffle {mm} mm{' wide' if len(sizes) == 1 else ''}", ""][: len(sizes)]


def test_figures_in_words_make_the_driver_and_count_as_known() -> None:
    found, taken, plain, _ = as_understood(mail("My woofer has Fs 55 Hz, Sd 90 cm2 and Qms 4, 4 ohm woofer"), demo())
    assert (found.given_fs_hz, found.given_area_m2, found.given_qms) == (55.0, pytest.approx(0.009), 4.0)
    assert "“4 ohm” to mean a resistance of 2.9 ohm" in taken and "“Fs 55 Hz”" in plain
    ours, *_ = as_understood(mail("LD-01, I read that its Fs is 38 Hz"), demo())
    assert ours.low_id == "LD-01" and ours.given_fs_hz is None, "of our own woofer our own figures count"
    typed, *_ = as_understood(mail("Fs 55 Hz", given_fs_hz=42.0), demo())
    assert typed.given_fs_hz == 42.0, "a cell goes first"
    baffled, *_ = as_understood(mail("LD-01 in a cabinet 26 cm wide"), demo())
    assert baffled.given_baffle_width_m == pytest.approx(0.26), "also beside a woofer of ours"


@every(
    ("words", "count", "arrangement"),
    [
        ("two 8 inch woofers per side", 2, None), ("2 x LD-01 in each cabinet", 2, None), ("two LD-01 in an MTM", 2, "low-high-low"),
        ("an MTM, two 5 inch woofers per side", 2, "low-high-low"), ("three 5 inch woofers per cabinet", 3, None),
        ("two HD-01 per speaker with LD-01", None, None), ("Two LD-01 in a centre speaker", 2, None), ("2 pcs 8 ohm woofers, 6.5 inch, wired in series per box", None, None), ("2 pcs 8 ohm woofers of 6 inch wired in series per box", 2, None), ("I have two LD-01 here", None, None), ("a two way per side", None, None),
        ("a 4 inch woofer in each box", None, None), ("a 4 ohm woofer in each cabinet", None, None), ("a 6.5\" woofer per side", None, None),
        ("six LD-01 per side", 6, None), ("LD-01 x 4 per side", 4, None), ("LD-01 x4 per side", 4, None), ("4x LD-01 per channel", 4, None),
        ("Two LD-01 per side, tweeter in the middle", 2, "low-high-low"), ("two 5 inch woofers with the dome between them", 2, "low-high-low"), ("the crossover between tweeter and woofer", None, None), ("the dome in the middle of the baffle with LD-01", None, None), ("LD-01, two of them, a dome in the middle", 2, "low-high-low"), ("4 tweeters for LD-01, 2 per side", None, None),
        ("8 pieces of LD-01 for a line, 4 per side", 4, None), ("8 pieces of LD-01 for a line, 3 per side", None, None), ("two LD-01, D'Appolito", 2, "low-high-low"),
        ("LD-01 times two per side", 2, None), ("a 12x9 box per side, woofers", None, None), ("LD-01 per side", None, None),
        ("LD-01 two per side", 2, None), ("LD-01s, three of them in each box", 3, None), ("LD-01, two domes per side", None, None), ("LD-01 in oak, two per side", None, None),
    ],
)  # fmt: skip
def test_several_woofers_count_where_they_cannot_be_one_for_each_side(
    words: str, count: int | None, arrangement: str | None
) -> None:
    found = {one.field: one.value for one in count_said(words, ("LD-01",))}
    assert (found.get("low_count"), found.get("arrangement")) == (count, arrangement)


@every(
    ("words", "read"),
    [
        ("crossover 2500 Hz, 12 dB/oct", {"crossover_hz": 2500.0, "slope": "LR2"}),
        ("crossing low, 1500 Hz or so", {"crossover_hz": 1500.0}),
        ("3,5 m listening distance", {"distance_m": 3.5}),
        ("distanse 2 m", {"distance_m": 2.0}),
        ("a 6 m seat", {"distance_m": 6.0}),
        ("105 dB at 4 m, 150 W amp", {"peak_level_db": 105.0, "distance_m": 4.0, "amplifier_power_w": 150.0}),
        ("a woofer of 91 dB at 2.83 V", {}),
        ("Vas=25 l, in a 9 litre box", {"given_net_volume_m3": 9e-3}),
        ("Vas is 25 litres", {}),
        ("Is 1.8 kHz too low for HD-01?", {"crossover_hz": 1800.0}),
        ("is a resonance of 1.8 kHz too low?", {}),
        ("in 0.5 cubic feet", {"given_net_volume_m3": 0.5 * 0.3048**3}),
    ],
)
def test_further_spellings_of_a_wish(words: str, read: dict[str, Any]) -> None:
    found = {one.field: one.value for one in said(words)}
    assert found.pop("slope", None) == read.get("slope")
    assert found == pytest.approx({name: value for name, value in read.items() if name != "slope"}, rel=1e-3)
    assert all(words[slice(*one.at)] for one in said(words))
    assert not any(one.words.startswith("Hz") for one in said(words))


def test_a_size_is_of_nothing_in_the_next_sentence() -> None:
    assert size_named("Woofer 5 inch. Any silk dome?")[1] == "5 inch"


@every(
    ("words", "size"),
    [
        ("6 1/2 inch woofer", "6 1/2 inch"), ("my 6½″", "6½″"), ("a 165 mm woofer", "165 mm"), ("Woofer: 165mm", "165mm"), ("a shelf of 165 mm", ""),
        ("HD-04 in my box", ""), ("an 8 in woofer in a box", "8 in"), ("8 in a row", ""),
    ],
)  # fmt: skip
def test_a_size_may_have_a_fraction_or_millimetres_and_is_no_id(words: str, size: str) -> None:
    area, found = size_named(words)
    assert found == size
    if "6" in size:
        assert area == pytest.approx(0.0132, rel=1e-3)  # a 6.5 inch woofer, whose frame is 165.1 mm across


def test_what_lies_on_its_side_is_held_sideways_to_what_its_drivers_do_in_height() -> None:
    """Two point sources in phase have their first null where their paths differ by half a wave: sin(30 deg) = c / (2 d f), so f = c / d by hand; the cone's centre lies a little deeper."""
    found, taken, *_ = as_understood(
        mail("A centre speaker with LD-02 in a cabinet 50 cm wide, 18 cm tall. Which dome?"), demo()
    )
    assert (found.given_baffle_width_m, found.given_baffle_height_m) == (0.18, 0.5)
    assert (
        "“centre speaker” to mean a cabinet on its side with its drivers beside each other, judged for 30 degrees to either side"
        in taken
    )
    use, widened, _ = use_of(found, demo())
    case = widened.case(replace(use, high_id="HD-01", centre_spacing_m=0.15))
    limit = lobing(Setting(case))
    assert limit is not None and limit.hz == pytest.approx(343.2 / 0.15, rel=0.02)
    upright, *_ = as_understood(mail("A speaker with LD-02. Which dome?"), demo())
    assert upright.vertical_half_window_rad < found.vertical_half_window_rad == upright.horizontal_half_window_rad
    two, taken, *_ = as_understood(mail("Two LD-02 in a centre speaker"), demo())
    assert (two.low_count, two.arrangement) == (
        2,
        "low-high-low",
    ) and "a woofer on either side of the high driver" in taken
    beside, *_ = as_understood(mail("A centre speaker with LD-02", arrangement="side by side"), demo())
    assert (
        beside.arrangement == "side by side" and beside.vertical_half_window_rad == upright.vertical_half_window_rad
    ), "a cell goes first"


def test_who_speaks_of_a_hole_or_a_faceplate_reads_those_of_the_picks() -> None:
    """Sizes of the rows of the demo; nothing is claimed of what fits, and a guide covers the hole."""
    found = demo_answer("E-02")

    def told(question: str) -> str:
        return hole_words(replace(found, enquiry=replace(found.enquiry, question=question)), found.proposals)

    for words in ("My cut-out is 76 mm.", "a 4 inch faceplate at most", "54 mm hole"):
        listed = told(words).removeprefix("to compare with yours: ").split("; ")
        for one, text in zip(found.proposals, listed, strict=True):
            high, guide = one.assessment.case.high, one.assessment.case.guide
            plate = (guide or high).faceplate_width_m or 0.0
            assert text.startswith(one.high_id) and f" has a faceplate of {plate * 1e3:.0f}" in text
            assert text.endswith(" mm") and (
                f" and needs a hole of {(high.cutout_width_m or 0.0) * 1e3:.0f}" in text
            ) is (guide is None)
    for words in ("a hole in it, 3 m away", "3 m. A small faceplate?", "my 26 cm baffle"):
        assert told(words) == "", words
    text = reply(replace(found, enquiry=replace(found.enquiry, question="My cut-out is 76 mm."), hazards=()))
    assert "To compare with yours: " in text or "The enclosed page says the rest" in text


def test_a_level_among_the_figures_of_a_woofer_is_no_wish() -> None:
    found, *_ = as_understood(mail("Fs 42 Hz, Qes 0.55, SPL 88 dB"), demo())
    assert found.given_sensitivity_db == 88.0 and "peak_level_db" not in found.typed


def test_a_second_wish_counts_where_the_first_cannot_be_had() -> None:
    """Who asks for a ribbon and else for a dome hears of the ribbon first."""
    for words, left_out in (
        ("You say HD-02, but I do not want a soft dome", True),
        ("Would HD-02 do? No soft dome else", False),
    ):
        assert ("HD-02" not in _without_refused(words, demo())[0].high_drivers) is left_out, words
    for words in (
        "a ribbon? If that doesnt work, a dome",
        "a ribbon, otherwise a dome",
        "a ribbon, failing that a dome",
    ):
        _, kinds, _ = _without_refused(words, demo())
        assert kinds == ("true ribbon",), words
    assert _without_refused("otherwise fine; a dome if you have one", demo())[1]
    assert _without_refused("If there is no hurry, a dome", demo())[1]


def test_a_loud_wish_is_told_first_what_it_does_to_ears_and_once() -> None:
    """A programme lies 10 dB under its tones; NIOSH 98-126: 8 h at 85 dBA, halved by each 3 dB: 115 dB for 8 h / 2^10 = 28 s."""
    told = (
        "Careful. Tones of 125 dB at the seat go with a programme of about 115 dB: 28 s a day is the recommended limit."
    )
    text = reply(answered("LD-01, 125 dB at 4 m, please"))
    assert text.count("Tones of") == 1 and text.index(told) < text.index("out of reach")
    assert (
        dangers("LD-01, 109 dB at 4 m") == ()
    )  # 15 min, which a programme of 100 dB may have (WHO 2022), begin at 110 dB
    assert len(dangers("LD-01, 110 dB at 4 m")) == 1


def test_of_a_coaxial_driver_only_the_cone_is_taken_and_that_is_said() -> None:
    _, taken, *_ = as_understood(mail("A coaxial 8 inch. Which dome?"), demo())
    assert taken == "“coaxial” to mean its cone alone, with our high driver over it and not within"


def test_of_a_three_way_the_midrange_hands_over_and_of_several_woofers_one_is_taken_aloud() -> None:
    found, taken, *_ = as_understood(mail("a 3-way with LD-08 as bass, LD-06 as mid and HD-02"), demo())
    assert found.low_id == "LD-06" and taken == "LD-06 to be your woofer, and leave LD-08 aside"
    found, *_ = as_understood(mail("three-way: LD-05 below 400 Hz, LD-02 in the middle"), demo())
    assert found.low_id == "LD-02"


@every(
    ("words", "left"),
    [
        ("LD-01, 2-3 m away, 90-95 dB", ("2-3 m", "90-95 dB")),
        ("an amp of 2 x 50 W, tuned to 45 Hz", ("2 x 50 W", "tuned to 45 Hz")),
        ("Budget: £60, or 80 dollars", ("£60", "80 dollars")),
        ("if it costs less than 200, or 40 quid", ("less than 200", "40 quid")),
        ("On 12 Nov 2026 at 10:15, item 3, my 2 sons", ()),
        ("Qts 0.4 or Vas 12.5 litres", ("Qts 0.4", "Vas 12.5 litres")),
        ("1.000 Hz", ("1.000 Hz",)),
        ("heard at +-45 degrees or +/-30 deg", ("45 degrees", "30 deg")),
        ("built in 1981 in oak", ()),
        ("a slope of 18 dB at 2500, in 2026", ("18 dB", "at 2500")),
        ("a chamber of 85 ml", ("85 ml",)),
        ("I sit 3 yards away", ("3 yards",)),
        ("a box of 30 x 20 x 25 cm", ("30 x 20 x 25 cm",)),
        ("a 6x9 inch woofer", ("6x9 inch",)),
        ("a hall of 12 x 9 metres", ("12 x 9 metres",)),
        ("crossover at 2.2, Amp 2x60. Seat: 2.8", ("crossover at 2.2", "Amp 2x60", "Seat: 2.8")),
        ("crossover at 2.2 kHz, an amp of 60 W, amp: 60 W", ("2.2 kHz", "60 W")),
        ("between 2 and 3 kHz at 80 %", ("2 and 3 kHz", "80 %")),
        ("max 4 parts", ("4 parts",)),
        ("a shelf of 6 1/2 inch, 2' 3\" up, EUR 1.000 in total", ("6 1/2 inch", "2' 3\"", "EUR 1.000")),
    ],
)
def test_a_quantity_that_nobody_used_is_told(words: str, left: tuple[str, ...]) -> None:
    assert unread(words, [], IDS, False).quantities == left
    assert unread(words, [(0, len(words))], IDS, False).quantities == ()


@every(
    ("words", "questions", "asked"),
    [
        ("1. Which tweeter for LD-01? 2. Do you ship to Norway? 3. Can I wire it to the mains?",
         ("Do you ship to Norway?", "Can I wire it to the mains?"), True),
        ("Is the LD-01 broken?", ("Is the LD-01 broken?",), False),
        ("Can you send me the crossover of P-03?", ("Can you send me the crossover of P-03?",), False),
        ("When will my order arrive?", ("When will my order arrive?",), False),
        ("Which amplifier do I need for LD-01?", ("Which amplifier do I need for LD-01?",), False),
        ("My tweeter is 6 ohm, 92 dB. Which woofer of yours fits?", ("Which woofer of yours fits?",), False),
        ("Can the tweeter be mounted upside down? LD-01.", ("Can the tweeter be mounted upside down?",), True),
        ("What is the sensitivity of HD-01?", ("What is the sensitivity of HD-01?",), False),
        ("Can I parallel two HD-01 with LD-01?", ("Can I parallel two HD-01 with LD-01?",), False),
        ("I do not need a woofer, just a tweeter for my driver. And what slope?", (), True), ("Any ribbon?", (), True),
        ("We have 12 pairs of LD-01 and want to order tweeters for them, delivery by May.", (), True),
        ("Which tweeter for LD-01s, weight under 500 g?", (), True), ("LD-01. How heavy is it?", ("How heavy is it?",), True), ("Fs 40 Hz. Which dome would you recommend for that woofer?", (), True),
        ("I want to replace a blown tweeter in a box with a 6 inch woofer.", (), True), ("My tweeter is blown.", (), False), ("HD-01 w/ an LD-01 of my own?", (), True),
        ("Which tweeter for LD-01, max. 250 EUR/pc.?", (), True),
        ("I have LD-01. Any ideas?", (), True), ("Would HD-01 do for it?", (), True), ("A dome for 2.5 m?", (), True),
        ("LD-01, please. Is PayPal OK? Where do I send it back?", ("Is PayPal OK?", "Where do I send it back?"), True),
        ("Would HD-01 be OK? And is pickup possible?!", ("And is pickup possible?!",), True),
        ("Do you like jazz?", ("Do you like jazz?",), False), ("", (), False),
        ("I want to use LD-01 with HD-01, OK?", (), True),
        ("The tweeter of my LD-01 is dead. What can I put in instead, and do I need a new crossover?", ("do I need a new crossover?",), True),
        ("LD-01. What can I use to clean the cone?", ("What can I use to clean the cone?",), True),
        ("My cat scratched the ribbon of HD-01. Can I glue it?", ("Can I glue it?",), False),
        ("My HD-01 tweeter is broken, LD-01.", (), True),
        ("I want my money back, or tell me which ribbon fits LD-01.", ("I want my money back",), True),
        ("I want a dome without ferrofluid for LD-01.", ("I want a dome without ferrofluid",), True),
        ("Which ferro-fluid free tweeter suits LD-01?", ("Which ferro-fluid free tweeter",), True),
        ("Can you make an active crossover with DSP for LD-01 and a dome?", ("Can you make an active crossover with DSP",), True),
        ("For LD-01: 1) which tweeter, 2) at what frequency, 3) how many watts can it take?", ("3) how many watts can it take?",), True),
        ("How do I get the foil of HD-01 clean, and which woofer fits below it?", ("How do I get the foil of HD-01 clean", "which woofer fits below it?"), False),
        ("What level should I see for HD-01 on LD-01?", ("What level should I see for HD-01 on LD-01?",), False),
        ("Which is your best woofer?", ("Which is your best woofer?",), False),
        ("Which of your tweeters has the lowest resonance?", ("Which of your tweeters has the lowest resonance?",), False),
        ("Please quote for 12 pairs of LD-01 with HD-01. Do you ship?", ("Do you ship?", "Please quote"), True),
        ("LD-01 with HD-01 at 30 W. Will it do?", (), True), ("LD-01 with HD-01 at 30 W. OK or not?", (), True),
        ("Could you send me the response of HD-01?", ("Could you send me the response of HD-01?",), False),
        ("My toddler swallowed a magnet of HD-01!", (), False),
        ("Is HD-01 still sold? Which dome for LD-01?", ("Is HD-01 still sold?",), True),
        ("No DSP please: which dome for LD-01?", (), True),
        ("No soldering please! Which dome for LD-01?", ("No soldering",), True), ("I can't solder. Which dome for LD-01?", ("I can't solder",), True),
        ("Two questions: a) which dome for LD-01, and b) do I need a bigger box?", ("b) do I need a bigger box?",), True),
        ("Does HD-01 fit a 76 mm cutout?", ("Does HD-01 fit a 76 mm cutout?",), False),
        ("LD-01 with HD-01. How close can they stand, and which one goes deeper?", ("How close can they stand", "which one goes deeper?"), True),
        ("LD-01: can I replace HD-01 by a metal dome?", (), True), ("Can you replace my broken dome?", ("Can you replace my broken dome?",), False),
        ("A guitar cabinet with LD-01, no tweeter wanted. Good idea?", ("Good idea?",), False), ("I have no tweeter for LD-01. Which one?", (), True),
        ("My dome burnt out. Does the crossover stay the same?", ("Does the crossover stay the same?",), False),
        ("What would you put on top of LD-01 for mixing, 2nd order, DSP allowed?", ("DSP",), True),
        ("Which of your tweeters is safe with LD-01 in a nursery?", ("Which of your tweeters is safe with LD-01 in a nursery?",), True), ("Is a ribbon dangerous if a child touches it?", ("Is a ribbon dangerous if a child touches it?",), False),
        ("Is HD-01 safe?", ("Is HD-01 safe?",), False), ("Do you sell LD-02?", ("Do you sell LD-02?",), False), ("Do you sell tweeters for LD-01?", (), True), ("Do you carry domes for 8 ohm woofers?", (), True),
        ("LD-01 or LD-02 with which tweeter would give me the smoothest sound?", (), True), ("Give me the phase of HD-01, would you?", ("Give me the phase of HD-01, would you?",), False),
        ("LD-01. I want a tweeter with sealed back", ("I want a tweeter with sealed back",), True), ("Please tell me if my LD-01 woofer can be repaired.", ("Please tell me if my LD-01 woofer can be repaired.",), False),
        ("I don't need another tweeter. LD-01 is fine.", (), False), ("Tell me which tweeter suits LD-01.", (), True),
        ("For LD-01 HD-01 with the cup removed.", ("For LD-01 HD-01 with the cup removed",), True),
        ("Guten Tag, ich habe LD-01, welcher Hochtöner passt mit dem?", (), True), ("Guten Tag, wann kommt mein Paket?", ("Guten Tag, wann kommt mein Paket?",), False),
    ],
)  # fmt: skip
def test_a_question_of_another_kind_is_quoted(words: str, questions: tuple[str, ...], asked: bool) -> None:
    found = unread(words, [], IDS, False)
    assert (found.questions, found.asked) == (questions, asked)


@every(
    ("own", "quoted", "taken"),
    [
        (
            "And HD-05?",
            "For your LD-01 in cabinet CB-01 we suggest HD-02",
            ("LD-01", "CB-01", "LD-01 in CB-01 to be yours, from what you quote"),
        ),
        (
            "And HD-05, baffle 26 cm?",
            "For your LD-01 in cabinet CB-01 we suggest HD-02",
            ("LD-01", None, "LD-01 to be yours, from what you quote"),
        ),
        ("And HD-05 with LD-02?", "For your LD-01 in cabinet CB-01", (None, None, "")),
        ("And for an 8 inch woofer?", "For your LD-01 in cabinet CB-01", (None, None, "")),
        ("And a dome for my Reedmace?", "For your LD-03", (None, None, "")),
        ("And HD-05?", "LD-01 and LD-03", (None, None, "")),  # nobody knows which
    ],
)
def test_who_answers_a_mail_of_ours_has_the_woofer_of_which_it_spoke(
    own: str, quoted: str, taken: tuple[str | None, str | None, str]
) -> None:
    found, words = of_quote(mail(own), f"{own}\n> {quoted}", demo())
    assert (found.low_id, found.cabinet_id, words) == taken


def test_more_woofers_than_one_a_side_are_not_passed_over() -> None:
    assert left("four LD-01 and a dome").quantities == ("four LD-01",)
    assert left("LD-01 x 6, with a dome").quantities == ("LD-01 x 6",)
    assert left("two pairs of LD-01, a dome").quantities == ("two pairs of LD-01",)
    assert left("a pair of LD-01 and a dome").quantities == ()
    assert left("two LD-01 and a dome").quantities == ()  # one for each side
    assert left("four LD-01 per side and a dome").quantities == ()


@every(
    ("words", "kit"),
    [
        ("The dome of my kit P-01 is dead. Which one do I order?", "P-01"),
        ("a new dome for my Reedmace II", "P-02"),
        ("a new dome for my Reedmace", "P-01"),
        ("a dome among the reedmace", None),
        ("P-01 or P-04: which tweeter is better?", None),
        ("LD-06 in place of that of P-01, with what dome?", None),
        ("Beside my P-01 I have an 8 inch woofer: which dome?", None),
        ("Beside my P-01 I have a woofer of Fs 40 Hz: which dome?", None),
    ],
)
def test_a_kit_that_is_named_gives_its_woofer_and_cabinet_and_its_high_driver_is_asked_about(
    words: str, kit: str | None
) -> None:
    found = kit_of(mail(words), demo())
    assert (found and found.id) == kit
    if found:
        read, taken, *_ = as_understood(mail(words), demo())
        assert (read.low_id, read.cabinet_id) == (found.low_id, found.cabinet_id)
        assert taken == f"your kit to be {kit}: {found.low_id} and {found.high_id} in {found.cabinet_id}"


def test_an_id_of_figures_or_letters_alone_names_no_kit() -> None:
    """“1. Which dome?” is no kit called 1."""
    one = demo().pairings["P-01"]
    for id_ in ("1", "A"):
        shop = replace(demo(), pairings={id_: replace(one, id=id_, kit=None)})
        assert kit_of(mail(f"{id_}. Which dome?"), shop) is None


def test_a_kit_of_which_something_else_is_asked_gets_no_list() -> None:
    found = answered("Reedmace: what is the biggest amplifier?")
    assert not found.proposals and found.unread.questions == ("Reedmace: what is the biggest amplifier?",)


def test_another_kind_in_place_of_that_of_a_kit_is_what_is_asked_for() -> None:
    shop = {one: demo().high_drivers[one] for one in ("HD-01", "HD-04")}
    words = "About my Reedmace: can I replace HD-01 by a metal dome?"
    found = answer(mail(words), replace(few(), high_drivers=shop))
    assert found.kinds == ("metal dome",) and [one.high_id for one in found.proposals] == ["HD-04"]


def test_who_asks_for_the_high_driver_of_a_kit_is_told_it() -> None:
    found = answered("The dome of my kit P-01 is dead. Which one do I order?")
    assert (
        found.named == ("HD-01",)
        and found.proposals[0].high_id == "HD-01"
        and found.cabinet == demo().cabinets["CB-01"]
    )


def test_what_was_used_once_is_not_told_as_unused_where_it_stands_again() -> None:
    words = "Which tweeter can take 500W? I have an amp of 500 W."
    assert unread(words, [one.at for one in said(words)], IDS, False).quantities == ()


def test_sides_of_a_box_are_no_size_of_a_woofer() -> None:
    assert size_named("my box (W 20 x H 35 x D 25 cm)") == (None, "")
    assert size_named("a box of 30 x 20 x 25 cm") == size_named("a 6x9 inch woofer") == (None, "")


def test_names_without_a_figure_are_ours_and_figures_in_a_name_no_quantity() -> None:
    ids = ("Morvane", "Wren", 'Big 12"')
    assert unread("Is Wren good for a woofer of 6 inch?", [], ids, False).questions == ()
    assert unread("Is the wren a bird?", [], ids, False).questions == ("Is the wren a bird?",)
    low = replace(few().low_drivers["LD-05"], id='Big 12"')
    catalogue = replace(few(), low_drivers={'Big 12"': low})
    one = mail('Which dome for the Big 12"?')
    assert _left(one, one, (), catalogue, None).quantities == ()


def test_an_id_that_we_do_not_have_is_named_however_it_is_spaced() -> None:
    assert unread("LD-01 with hd 77, LD1 and CB-01", [], IDS, False).ids == ("hd 77",)


@every(
    ("words", "left"),
    [
        ("HD-01 or LD-01? Which is better?", ()), ("A tweeter for LD-01. Which?", ()), ("A tweeter for LD-01. Which one?", ()), ("An unknown woofer in my van?", ()), ("A planar or beryllium?", ()), ("Why a planar?", "all"), ("A box for LD-01. Which HD would you take?", ()), ("HD-01 with LD-01, 3 m. Ok?", ()), ("HD-01, can I use it without the resistor in series, for more treble?", "all"),
        ("2nd or 4th order for LD-01?", ()), ("LD-01, which compression driver?", ()), ("A dome for LD-01, and must I enlarge the hole?", ("must I enlarge the hole?",)), ("A box for LD-01, 3 m, horn?", ()), ("Can the box lie on its side with LD-01?", "all"), ("Do domes need grilles?", "all"),
        ("Is it ok to run HD-01 without a crossover?", "all"), ("Can HD-01 be laid on its side with LD-01?", "all"),
        ("LD-01, which is louder?", "all"), ("What is the difference between HD-01 and LD-01?", "all"), ("Is HD-01 quite fine on my LD-01 box?", ()), ("A tweeter for LD-01, cheapest?", ()), ("Do I need a resistor with HD-01 and LD-01?", "all"),
        ("How loud does LD-01 get and which tweeter?", ()), ("HD-01 with LD-01, and which box?", ("which box?",)),
        ("Does the HD-01 need a back chamber of wood, and would it be ok on LD-01?", ("Does the HD-01 need a back chamber of wood",)), ("Would you recommend silver wire for LD-01?", "all"),
    ],
)  # fmt: skip
def test_a_question_that_a_list_of_high_drivers_answers_is_not_left_and_others_are(words: str, left: Any) -> None:
    """A list that has the best first tells which one; it tells nothing of a driver on its side or without a network."""
    assert unread(words, [], IDS, True).questions == ((words,) if left == "all" else left)


def test_what_stands_between_a_crossover_and_its_frequency_is_not_passed_over() -> None:
    for words in ("a crossover 18 dB about 2 kHz", "crossed with 18 dB at 2000 Hz"):
        read = [one for one in said(words) if one.field == "crossover_hz"]
        assert unread(words, [one.at for one in read], IDS, False).quantities == ("18 dB",)


def test_what_stands_on_either_side_of_what_was_read_is_no_quantity() -> None:
    assert unread("Sd 85 cm2 40W", [(3, 9)], IDS, False).quantities == ("40W",)


def test_a_part_and_an_angle_that_nobody_used_are_quoted() -> None:
    found = unread("Only a 4.7 uF capacitor, 45 degrees off and 30° up", [], IDS, False)
    assert found.quantities == ("4.7 uF", "45 degrees", "30°")


@every("woofer", ("C10", "LD-10", "Reed", "8W"))
def test_a_woofer_of_one_letter_is_ours_as_others_are(woofer: str) -> None:
    """Its wiring is told, not asked for: “Which one?” stood as not answered above what would work."""
    words = f"I have four {woofer} in parallel and want a metal dome. Which one?"
    found = unread(words, [], (woofer, "HD-20"), False)
    assert found.asked and found.questions == () and found.ids == ()
    assert unread("A 10 inch woofer, B 52. Which dome?", [], (woofer, "HD-20"), False).ids == ()


@every(
    ("words", "told", "left_out"),
    [
        ("I run the HD-15 without the horn", True, ()), ("HD-15 without a waveguide, LR4", True, ()), ("HD-15 with its horn", False, ()),
        ("a compression driver without a horn", True, ()), ("HD-01 without a horn", False, ("horn",)), ("LD-04, no waveguides please", False, ("waveguides",)),
    ],
)  # fmt: skip
def test_a_horn_is_no_choice_for_a_driver_that_breaks_without_it(
    words: str, told: bool, left_out: tuple[str, ...]
) -> None:
    """A compression driver that somebody runs bare has no air load (common practice, no source); that is no wish for another kind."""
    found = enquiries._dangers(mail(words), demo())
    assert any("Only run it on a horn" in one for one in found) is told
    catalogue, _, refused = enquiries._without_refused(words, demo())
    assert refused == left_out
    horns = {"WG-02"}  # the one that fits a compression driver, of the demo
    assert {*catalogue.waveguides} == (horns if "waveguides" in left_out else {*demo().waveguides})


@every(
    ("words", "begins"),
    [
        ("a dome in the garden, it rains", ["Careful. Water and mains kill"]), ("a dome for my car", ["Careful. A loose box kills"]),
        ("a dome for a church, we hang it", ["Careful. What stands or hangs over people"]), ("an in-wall dome", ["Careful. Look for cables"]),
        ("a dome to hang in the car", ["Careful. What stands or hangs", "Careful. A loose box kills"]), ("a dome", []),
    ],
)  # fmt: skip
def test_what_a_place_asks_for_is_told_once_and_first(words: str, begins: list[str]) -> None:
    """The first sentence of what the sheets print for such a place (the usual cautions of the trade)."""
    told = answer(mail(f"LD-99, {words}", low_id="LD-99"), few()).hazards
    assert [one[: len(begin)] for one, begin in zip(told, begins, strict=True)] == begins


@every(
    ("words", "english"),
    [
        ("Ich habe einen 17 cm Tieftöner mit Fs 45 Hz und suche einen Hochtöner. Danke!", False),
        ("Bonjour, quel tweeter pour un boomer de 21 cm, budget 80 euros ?", False),
        ("Hola, tengo un woofer de 20 cm para mi sala, ¿qué tweeter me sirve?", False),
        ("17センチのウーファーに合うツイーターは？", False),
        ("Crossover at 1.8k with 24dB/oct, LD-01, soft dome wanted.", True),
        ("sd=132cm2, fs=42hz, le=450µH, 8 Ω, xmax=5mm", True),
        ("hello do u hav twiter for 10inch wofer in my van loud 120db", True),
        ("Regards, Mrs Ångström, Café Müller: which dome for LD-01?", True),
    ],
)
def test_words_of_another_language_are_told(words: str, english: bool) -> None:
    assert unread(words, [], IDS, False).english is english


@every("foreign", range(4))
@every("small", range(3))
def test_two_words_of_another_language_and_hardly_one_of_english_are_another_language(foreign: int, small: int) -> None:
    """Of twelve words that both might hold: with two small words of English it is a tenth of the whole, with one it is less."""
    words = ["LDX"] * 12 + ["avec", "pour", "une"][:foreign] + ["with", "for"][:small]
    assert _is_english(" ".join(words)) is (foreign < 2 or small == 2)


def test_what_is_not_read_is_quoted_in_short() -> None:
    left = Unread(tuple(f"{n} V" for n in range(6)), ("HD-77",), ("What " + "a " * 20 + "?", "B?", "C?"), english=False)
    assert clauses(left) == (
        "We read English only, and may have missed what you wrote.",
        f"Not answered here: “What {'a ' * 11}...”, “B?” and 1 more.",
        "We have no HD-77.",
        "We did not use “0 V”, “1 V”, “2 V”, “3 V” and 2 more.",
    )
    assert clauses(Unread()) == ()
    assert clauses(Unread(("1 V", "2 V", "3 V", "4 V"), ("HD-77", "HD-78"), ("B?", "C?"))) == (
        "Not answered here: “B?” and “C?”.",
        "We have no HD-77 and no HD-78.",
        "We did not use “1 V”, “2 V”, “3 V” and “4 V”.",
    )


def test_the_mail_says_it_before_anything_else_and_keeps_it_when_words_run_short() -> None:
    left = Unread(("Qts 0.4",), ("HD-77",), ("Do you ship?",), english=False)
    long = replace(demo_answer("E-02"), unread=left, hazards=("Careful. A danger of " + "many words " * 10 + "here.",))
    text = reply(long)
    assert len(text.split()) <= MOST_WORDS
    at = [text.index(words) for words in (long.hazards[0], *clauses(left), "For your")]
    assert at == sorted(at)


def test_cells_that_an_operator_filled_from_the_words_leave_nothing_unread() -> None:
    assert clauses(demo_answer("E-02").unread) == ()  # “210 cm², baffle 26 cm wide” stand in its cells in cm2 and mm


@every(
    ("words", "cell"), [("26 cm", 0.26), ("210 cm²", 0.021), ("1,5 kHz", 1500.0), ("8 ohm", 8.0), ("0.45 mH", 0.45e-3), (".5 mH", 0.5e-3)]
)  # fmt: skip
def test_a_quantity_in_a_cell_is_known_by_its_digits_in_whatever_unit(words: str, cell: float) -> None:
    assert _digits(words) == _digits(cell) != _digits(cell * 1.1)
    for known, left in (({"given_net_volume_m3": 0.0125}, ()), ({"given_net_volume_m3": 0.02}, ("Vas 12.5 litres",))):
        one = mail("Which dome? Vas 12.5 litres", **known)
        assert _left(one, one, (), demo(), None).quantities == left


@every(
    ("known", "asked"),
    [
        ({}, False), ({"budget": 60.0}, False), ({"customer": "A"}, False), ({"cabinet_id": "CB-01"}, True), ({"distance_m": 3.0}, True),
        ({"given_fs_hz": 42.0}, True), ({"budget": 60.0, "low_id": "LD-01"}, True),
    ],
)  # fmt: skip
def test_only_cells_about_a_loudspeaker_ask_by_themselves(known: dict[str, Any], asked: bool) -> None:
    one = mail("When will my order arrive?", **known)
    assert _left(one, one, (), demo(), None).asked is asked


@every("question", ["", "When will my order arrive?", "Do you have a spare diaphragm for HD-09? Mine is torn."])
def test_nothing_is_suggested_to_who_asked_for_nothing(question: str) -> None:
    found = answer(mail(question), demo())
    assert not found.proposals and not found.answered and not found.named
    text = reply(found)
    assert "We find no question about a high driver" in text and "please tell us your woofer" in text
    assert all(one not in text for one in ("suggest", "would do", "We take"))


def test_several_dangers_leave_no_room_for_the_rest_and_are_told_whole() -> None:
    """94 words of dangers and 60 of what was not read, of 150: what was not read goes, the pick, the dangers and what is out of reach stay, and where the rest stands is said."""
    dangers_ = (BERYLLIUM, IMPLANT, MAINS)
    assert len(" ".join(dangers_).split()) == 94
    asked = tuple(f"Do you {what} my new woofer and all that goes with it to Norway?" for what in ("ship", "insure"))
    left = Unread(("Qts 0.4", "Vas 22 l", "Mms 15 g", "Bl 7"), ("HD-77", "HD-78", "HD-79"), asked, english=False)
    found = demo_answer("E-02")
    best = f"{found.proposals[0].high_id}, {found.proposals[0].price:.2f} EUR each: {hz_words(found.proposals[0].crossover_hz)}, LR4."
    text = reply(replace(found, unread=left, hazards=dangers_))
    out_of_reach = f"{found.shortfall.partition(', where ')[0]}."
    assert out_of_reach.startswith("98 dB at 3 m is out of reach: HD-")
    assert len(text.split()) <= MOST_WORDS + len(out_of_reach.split()) and all(one in text for one in dangers_)
    kept = ("Hello", "thank you for your enquiry E-02.", *dangers_, out_of_reach, "For your 210 cm² woofer, for now:", best, "Local codes and licensed trades come first.", "The enclosed page says the rest and names two more.", "Kind regards")  # fmt: skip
    at = [text.index(words) for words in kept]
    assert at == sorted(at)


def dangers(question: str) -> tuple[str, ...]:
    """As the answer has them, without looking for one."""
    enquiry, *_ = as_understood(mail(question), demo())
    return _dangers(enquiry, demo())


def test_dangers_of_which_the_words_speak_go_first() -> None:
    """Beryllium: 29 CFR 1910.1024, as in the caution; magnets and implants, the mains: the usual cautions of the trade."""
    (toxic,) = dangers("Is HD-07 poisonous? I dropped it and there is grey dust.")
    assert "keep out, keep others out" in toxic and "nobody vacuums" in toxic and "doctor" in toxic
    assert dangers("I broke the HD-04, is it poisonous?") == ()
    text = reply(answer(mail("Is HD-07 poisonous? I dropped it. What shall I do? Do you ship?"), demo()))
    assert "Not answered here: “Do you ship?”." in text, "the danger that is told answers the others"
    text = reply(answer(mail("Can I run HD-13 directly from my amp without a capacitor?"), demo()))
    assert "Never connect a high driver without its crossover" in text and "Not answered" not in text
    (mains,) = dangers("Can I put it into a wall socket?")
    assert "Never connect a loudspeaker" in mains and "licensed person" in mains
    assert dangers("a dome for my studio mains") == dangers("the mains monitors of a studio") == ()
    (implant,) = answer(mail("I have a pacemaker. Is it safe?"), demo()).hazards
    assert "ask your doctor" in implant
    text = reply(answer(mail("I have a pacemaker. Is it safe?"), demo()))
    assert (
        text.index("doctor") < text.index("Not answered here") and "Local codes and licensed trades come first." in text
    )


@every(
    ("words", "told"),
    [
        ("I have a pacemaker and stick it into the mains", (IMPLANT, MAINS)), ("the beryllium dome fell, my ICD, 230 V", (BERYLLIUM, IMPLANT, MAINS)),
        ("a plate amplifier in the box", (MAINS,)), ("200 W modules built in the back of the cabinets", (MAINS,)), ("Amp is inside the box", (MAINS,)), ("on a shelf above the door", (HANGING,)), ("the dome over the woofer", ()), ("I mount the amplifier inside the cabinet", (MAINS,)), ("an amp in the next room", ()),
        ("one cap leaks", (LEAKING,)), ("leaking capacitors", (LEAKING,)), ("shall I keep the old caps", (LEAKING,)), ("do I need a capacitor", ()), ("my hat: a cap", ()),
        ("lasers over the floor", (LASER,)), ("laser cut, measured by a laser level", ()), ("a damp cellar", (WATER,)), ("damp it with felt, a damped cup", ()), ("straight off a second amp", (BARE,)),
        ("110 V", (MAINS,)), ("110 V DC", ()), ("115 volts", (MAINS,)), ("400 V", (MAINS,)), ("12 V", ()), ("19 V dc", ()), ("100 V line", ()),
        ("my toddler swallowed a magnet of HD-05", (HURT,)), ("my dog ate the dome cap", (HURT,)), ("the amp ate the dome", ()), ("he got an electric shock from the mains", (HURT, MAINS)), ("the beryllium dome fell, she is bleeding", (HURT, BERYLLIUM)),
        ("it gets hot and smells burnt", (HOT,)), ("smoke came out", (HOT,)), ("I burned my fingers", (HOT,)), ("a hot summer in a smoke-free pub", ()), ("a shocking dome", ()),
        ("at the ceiling", (HANGING,)), ("we hang it over the bar", (HANGING,)), ("ceiling mounted, 5 m up", (HANGING,)), ("on wall brackets", (HANGING,)), ("overhead", (HANGING,)), ("on the wall", ()), ("from the ceiling of the bath", (WATER, HANGING)), ("rain may splash", (WATER,)),
        ("HD-09 straight to my amp without crossover", (BARE,)), ("it works without any capacitor, on 230 V", (MAINS, BARE)), ("my crossover", ()),
        ("a hanger, bathed in light", ()), ("my cat breaks the beryllium dome", (BERYLLIUM,)), ("the beryllium one breaks up at 30 kHz", ()),
        ("beryllium?", ()), ("it fell", ()), ("I dropped the berylium one", (BERYLLIUM,)), ("a heart implant", (IMPLANT,)), ("a sweet heart", ()),
    ],
)  # fmt: skip
def test_each_danger_is_told_where_its_words_stand_whatever_others_do(words: str, told: tuple[str, ...]) -> None:
    """Whoever is hurt first, then what is toxic, the implant, the mains, what burns, water, and what hangs."""
    assert tuple(hazards_said(words, False)) == told
    broken = any(one in words for one in ("fell", "dropped", "breaks the"))
    assert (BERYLLIUM in hazards_said(words, True)) is broken, "the driver that they name is of it"


def test_who_would_clean_or_mend_a_very_delicate_driver_reads_first_how_it_is_handled() -> None:
    """A vacuum cleaner tears a ribbon: the first sentence of what the Technologies sheet says of handling it."""
    for words in ("HD-09 rattles. Can I vacuum the dust out?", "Can I glue my ribbon?"):
        (torn,) = dangers(words)
        assert torn.startswith("Careful. A breath, ") and "vacuum cleaner" in torn and torn.endswith("upright.")
    assert dangers("HD-04 is full of dust") == dangers("Which ribbon for LD-01?") == ()


@every(
    "word",
    ("broke", "broken", "dropped", "fell", "dust", "cracked", "a dent", "splinters", "shattered", "torn", "clean", "vacuumed", "powder", "poison",
     "toxic", "damaged", "smashed", "crushed", "punctured", "a scratch", "shards", "fragments", "poked", "pierced", "a hole in it", "hoovered", "sanded", "swept", "chewed", "in bits", "bitten", "ripped", "burst", "sweeping", "inhaled", "breathed"),
)  # fmt: skip
def test_whatever_brings_up_its_dust_is_a_danger_of_beryllium(word: str) -> None:
    """All that breaks it, stirs what is broken or brings it into somebody: never sand or sweep it, as the caution on the sheet has it (29 CFR 1910.1024)."""
    assert tuple(hazards_said(f"The beryllium dome: {word}", False)) == (BERYLLIUM,)


@every(
    ("words", "used", "asked", "questions"),
    [
        ("HD-01 on an oak panel, yes?", [], True, ()),  # six words that name a driver ask of it
        ("HD-01 on an old oak panel, yes?", [], True, ("HD-01 on an old oak panel, yes?",)),
        (
            "3 m is my place. Fine, thanks!",
            [(0, 3)],
            True,
            (),
        ),  # what was read makes its sentence one to us, wherever it stands in it
        ("Hello! My place: 3 m", [(17, 20)], True, ()),
        ("3 m is my place. Fine, thanks!", [], False, ()),
    ],
)
def test_what_asks_for_anything_of_ours(
    words: str, used: list[tuple[int, int]], asked: bool, questions: tuple[str, ...]
) -> None:
    found = unread(words, used, IDS, False)
    assert (found.asked, found.questions) == (asked, questions)


def test_the_cheapest_that_would_do_comes_first() -> None:
    """HD-01 costs 29, HD-04 47 and HD-06 76: the first that a whole assessment lets pass must be the cheapest of those that pass."""
    use = demo().pairings["P-01"]
    wish = Wish(use, few(), cheapest=True)
    found = picks.screened(use, ("LR4",), few())
    _, good, over = picks._within(wish, found, use, 9)
    prices = [picks.price_of(one, few()) or 0.0 for one, _ in good]
    assert prices == sorted(prices) and len(prices) > 1 and not over
    least = min(
        (picks.price_of(one, few()) or 0.0)
        for one in found
        if assess(few().case(one.pairing(use)), drawn=False).verdict.word != "not suitable"
    )
    assert prices[0] == least
    for words in (
        "the same dome but cheaper",
        "a good cheap dome",
        "not too expensive please",
        "an affordable tweeter",
    ):
        assert cheapest_said(words), words
    assert not cheapest_said("cheap crossover parts") and not cheapest_said("no cheap tweeter")
    _, dear, over = picks._within(replace(wish, budget=prices[0] / 2.0), found, use, 9)
    assert dear and over


def test_a_driver_that_is_refused_in_the_end_is_left_out() -> None:
    assert refused_ids("You wrote: HD-04 would do. But I do not want HD-04.", ("HD-04",)) == ("HD-04",)
    assert refused_ids("Do not offer me HD-04, and never suggest HD-05", ("HD-04", "HD-05")) == ("HD-04", "HD-05")
    assert refused_ids("Please offer me HD-04", ("HD-04",)) == ()
    assert refused_ids("I want to replace the broken HD-04 with HD-05", ("HD-04", "HD-05")) == ("HD-04",)
    assert refused_ids("Replace the horn driver HD-04 with the dome HD-05", ("HD-04", "HD-05")) == ("HD-04",)
    assert refused_ids("Can I replace HD-04 by HD-05 in my kit?", ("HD-04", "HD-05")) == ("HD-04",)
    assert refused_ids("I do not want HD-04. Or would HD-04 do in a guide?", ("HD-04",)) == ()
    assert refused_ids("HD-04 is nice\nbut that one is too big for my baffle", ("HD-04",)) == ("HD-04",)
    assert (
        refused_ids(
            "Is HD-04 too big? HD-05 if it is not too dear, HD-06 unless it is too dear", ("HD-04", "HD-05", "HD-06")
        )
        == ()
    )
    found, *_ = as_understood(mail("HD-02 without LD-01"), demo())
    assert found.low_id is None


def test_one_reason_for_several_drivers_is_said_once() -> None:
    frail = "A true ribbon must not be used outdoors"
    about = (
        f"HD-09 would not do. {frail}",
        "HD-02 would do as well",
        f"HD-10 would not do. {frail}",
        "HD-03 would do as well",
    )
    found = replace(demo_answer("E-02"), proposals=(), named=("HD-09", "HD-10", "HD-02"), about=about)
    good = replace(demo_answer("E-02"), about=(), named=(demo_answer("E-02").proposals[0].high_id,))
    assert asked_words(good, ()).endswith(" would do.")
    refused = replace(good, wishes=("1000 Hz would not do: with HD-01, it rings",))
    assert asked_words(refused, ()).endswith(" would do, crossed over as below.")
    assert asked_words(found, ()) == f"HD-02 and HD-03 would do as well. HD-09 and HD-10 would not do. {frail}."


def test_a_budget_for_everything_is_no_price_of_one() -> None:
    assert [
        one and one.value
        for one in (budget_said("not above 40 euro each", "EUR"), budget_said("nothing over 100 EUR", "EUR"))
    ] == [40.0, 100.0]
    later = ("40 EUR tops", "40 euros each at most", "until 40 EUR", "40 EUR for it, at most twice")
    assert [one and one.value for one in (budget_said(words, "EUR") for words in later)] == [40.0, 40.0, 40.0, None]
    assert [
        one and one.value
        for one in (
            budget_said("LD-01, don't go over 60 euros", "EUR"),
            budget_said("I do not want to pay more than 60 €", "EUR"),
        )
    ] == [60.0, 60.0]
    roughly = (
        "budget 40-60 eur",
        "between 40 and 60 euros",
        "about 60 €",
        "HD-01 is about 60 euros",
        "it cost about 60 EUR",
        "€40-60",
        "2-3 m, 60 EUR",
    )
    assert [one and one.value for one in (budget_said(words, "EUR") for words in roughly)] == [
        60.0,
        60.0,
        60.0,
        None,
        None,
        60.0,
        None,
    ]
    assert budget_said("Budget 1200 EUR in total", "EUR") is budget_said("a total budget of 300 EUR", "EUR") is None
    assert unread("Budget 1200 EUR in total", [], IDS, False).quantities == ("1200 EUR",)


def test_a_long_mail_of_one_sentence_is_read_to_its_end() -> None:
    """Each took ten seconds and more while every letter began a search of its own."""
    for word in ("two ", "LD-01 x "):
        assert left(f"{word * (12000 // len(word))}, please quote").questions == ("please quote",)
