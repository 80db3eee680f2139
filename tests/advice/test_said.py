"""What is read in the words of an enquiry, and what is rightly not: the expected readings were written down by hand."""

from __future__ import annotations

import math

from reportgen.advice.said import coaxial, lying, said
from tests.every import every


@every(
    ("question", "place"),
    [
        ("a speaker for my old camper van", "vehicle"),
        ("in the boot of my car", "vehicle"),
        ("on a sailing yacht", "vehicle"),
        ("in the doors of my car", "vehicle"),
        ("in the door panels of an old camper van", "vehicle"),
        ("in the corner of the pub", "public"),
        ("for a friend of the church", None),
        ("Car doors: a 6.5 inch woofer", "vehicle"),
        ("It's for the garden, and loud", "outdoors"),
        ("what about outdoor use?", "outdoors"),
        ("in a recording studio", "studio"),
        ("for a village hall", "public"),
        ("in a lecture hall", "public"),
        ("for our school", "public"),
        ("We run a small nightclub", "public"),
        ("My church hall wants new speakers", "public"),
        ("My school needs me", None),
        ("in the entrance hall", None),
        ("I don't need it for the car but for the boat", "vehicle"),
        ("Regards, Jan van Dijk", None),
        ("It will not be used in a car, it is for my living room", None),
        ("I live in a studio flat", None),
        ("in my garden shed", None),
        ("My boat has LD-02 in a closed box", "vehicle"),
        ("My old van has two LD-01", "vehicle"),
        ("My car has broken down, so please post the woofers", None),
        ("My address is Church Street", None),
        ("We listen in a car park", None),
        ("used on the beach", "outdoors"),
        ("in my back yard", "outdoors"),
        ("an unknown woofer from a car door, for my bookshelf", None),
    ],
)
def test_a_place_counts_where_the_words_lead_to_it_and_do_not_deny_it(question: str, place: str | None) -> None:
    assert {one.field: one.value for one in said(question)}.get("surroundings") == place


@every(
    "question",
    [
        "in a room with brick walls",
        "in a room, ceiling height 2.4 m",
        "in the room ceiling height is 2.4 m",
        "in a wall unit",
        "in front of a wall",
    ],
)
def test_a_wall_or_ceiling_that_is_no_place_for_it_is_not_read(question: str) -> None:
    assert "placement" not in {one.field for one in said(question)}


def test_a_box_that_is_denied_is_not_read() -> None:
    assert not said("I do not want a ported box")
    assert [one.value for one in said("not a sealed box but a ported box")] == ["vented"]


SPELLINGS = {
    ("given_cabinet_kind", "open baffle"): "an open baffle; an open-baffle; open baffles; a dipole",
    ("given_cabinet_kind", "vented"): "a vented box; a ported cabinet; bass reflex; bass-reflex; bassreflex; a reflex box; a reflex enclosure",
    ("given_cabinet_kind", "closed"): "a closed box; a sealed box; a sealed cabinet; a closed enclosure; a sealed 20 litre box; a closed 12 l cabinet",
    ("placement", "in a wall"): "in the wall; in-wall; in a wall; in my walls; built into the wall; built into my wall"
    "; in-ceiling; in the ceiling; built into the ceiling; in a plasterboard wall; in my living room ceiling",
    ("placement", "near a wall"): "against the wall; near a wall; close to the back wall; next to my wall; on the rear wall; on-wall; wall-mounted; wall mounted",
}  # fmt: skip
"""How people write a kind of box and where it stands (memory)."""


@every(("field", "value"), SPELLINGS)
def test_a_box_and_where_it_stands_are_read_in_every_spelling(field: str, value: str) -> None:
    for words in SPELLINGS[field, value].split("; "):
        for question in (f"It is {words}, please", words.upper(), f"Why not {words}?"):
            assert {one.field: one.value for one in said(question)}.get(field) == value, question
        assert field not in {one.field for one in said(f"It is not {words}")}, words


@every(
    ("question", "watts"),
    [
        ("a 50 watt valve amp", 50.0),
        ("my amp gives 2 x 30 W", 30.0),  # two channels of 30 W
        ("an amplifier of 80 W", 80.0),
        ("an 80 W woofer and amp to match", None),
        ("LD-01, 100 W, which dome?", 100.0),
        ("LD-01. 100 watts.", 100.0),
        ("Power: 100W. Which dome goes with LD-01?", 100.0),
        ("a receiver of 7 x 90 W", 90.0),
        ("100 W receiver, LD-01", 100.0),
        ("ampifier 50 wats", 50.0),
        ("My amp is a single ended triode, 3 watts", 3.0),
        ("My amp. The woofer: 50 W", None),
        ("my amp is fine, the woofer 50 W", None),
        ("60 W per channel", 60.0),
        ("LD-09, 95 dB, 2 x 80 W. OK?", 80.0),
        ("4 x 80 W, 2 x 80 W woofers", None),
        ("LD-01, 100 W or 200 W", None),
        ("Which dome takes 100 W?", None),
        ("My woofer is 8 inch, 100 W. Which dome?", None),
        ("Re 5.6, Fs 40 Hz. 100 W.", None),
        ("power handling 100 W", None),
        ("89 dB / 1 W, LD-01", None),
        ("LD-01, 100 W dome wanted", None),
        ("with my 40 watt soldering iron", None),
    ],
)
def test_watts_are_the_amplifiers_where_nothing_else_bears_them(question: str, watts: float | None) -> None:
    assert {one.field: one.value for one in said(question)}.get("amplifier_power_w") == watts


@every(
    ("question", "read"),
    [
        ("I want 110 dB at 4 m", {"distance_m": 4.0, "peak_level_db": 110.0}),
        ("a peak of 105 dB SPL from 10 feet", {"distance_m": 3.05, "peak_level_db": 105.0}),
        ("my woofer makes 90 dB at 1 m", {}),
        ("a 12 inch speaker, 100 dB, and a horn", {}),  # what it makes of a volt or a watt, not what is wanted
        (
            "sitting on a shelf 30 cm from the wall, 85 dB at 2.5 m is plenty",
            {"distance_m": 2.5, "peak_level_db": 85.0},
        ),
        ("I sit in a room 4 m wide", {}),
        ("I sit 0.5 m away from the back wall", {}),
        ("I sit 3 m from the speakers", {"distance_m": 3.0}),
        ("I sit 8' 6\" away", {"distance_m": 2.59}),
        ("the couch is 9 1/2 feet away", {"distance_m": 2.9}),
        *((f"I sit 10 {unit} away", {"distance_m": 3.05}) for unit in ("ft", "feet", "foot")),  # 0.3048 m
        ("125 dB at 10 m, loud", {"distance_m": 10.0, "peak_level_db": 125.0}),
        ("95 dB at 1.5 m", {"distance_m": 1.5, "peak_level_db": 95.0}),
        ("96 dB peaks at 4 metres", {"distance_m": 4.0, "peak_level_db": 96.0}),
        ("a distance of 4 mt.", {"distance_m": 4.0}),
        ("90 dB is enough", {"peak_level_db": 90.0}),
        ("a woofer 8 inches of 90 dB and I want a dome", {}),  # its own level: what is wanted is the dome
        ("2nd or 4th order?", {}),
        ("crossover at 2.5k", {"crossover_hz": 2500.0}),
        ("cross over near 3 k please", {"crossover_hz": 3000.0}),
        ("the level at 3 m with 80 W?", {"distance_m": 3.0, "amplifier_power_w": 80.0}),
        ("very loud, 105 dB, at about 4 m", {"distance_m": 4.0, "peak_level_db": 105.0}),
        ("a crossover 24dB at 1.4k", {"slope": "LR4", "crossover_hz": 1400.0}),
        ("90 dB is enough at 3 m. Is 2.5kHz OK?", {"distance_m": 3.0, "peak_level_db": 90.0, "crossover_hz": 2500.0}),
        ("how loud is it with 80 watts at 4 m?", {"distance_m": 4.0, "amplifier_power_w": 80.0}),
        ("it makes 88 dB of 1 W at 1 m, or 90 dB with 1.6 watt at 1 m", {}),
        ("one should never cross between 1 and 4 kHz", {}),
        ("do not cross at 2 kHz", {}),
        ("why not cross at 2 kHz?", {"crossover_hz": 2000.0}),
        ("shall I cross it below 2 kHz?", {}),
        ("I want LR4 at 2500. What parts?", {"slope": "LR4", "crossover_hz": 2500.0}),
        ("LR2 @ 2.5k", {"slope": "LR2", "crossover_hz": 2500.0}),
        ("crossing around 1800, please", {"crossover_hz": 1800.0}),
        ("I crossed them in 2015", {}),
        ("crossed at 2500 mm over the floor", {}),
        (
            "I sit about 30 degrees off axis at 2.2 m, ears 95 cm high",
            {"distance_m": 2.2, "ear_height_m": 0.95, "horizontal_half_window_rad": math.radians(30)},
        ),
        ("my ears are at 1.1 m, we mostly listen sideways, at around 3 m", {"ear_height_m": 1.1, "distance_m": 3.0}),
        (
            "1.2 m ear height, people stand 45° to either side",
            {"ear_height_m": 1.2, "horizontal_half_window_rad": math.radians(45)},
        ),
        ("my ears are 3 m away", {"distance_m": 3.0}),
        ("the tweeter sits at 90 cm", {}),  # over the floor
        ("a 90 degree horn, 100 degrees warm", {}),
        ("how loud does it get at 4 m?", {"distance_m": 4.0}),
        ("how loud is it at 1 m?", {}),  # where it is measured, not where somebody sits
        ("about 100 dB at the back row", {"peak_level_db": 100.0}),
        ("95 dB in the last pews, 110 dB in our town", {"peak_level_db": 95.0}),
        ("which tweeter for LD-01 from about 3 kHz up?", {"crossover_hz": 3000.0}),
        ("a ribbon from 2.5k upwards", {"crossover_hz": 2500.0}),
        ("Can I use HD-09 ribbon from 1800 Hz with LD-02?", {"crossover_hz": 1800.0}),
        ("I use a dome from 3 kHz to 20 kHz", {}),
        ("LD-01, nothing steeper than 12 dB please", {"slope": "LR2"}),
        ("Your answer said HD-06 at 1480 Hz. Too low?", {}),
        ("You wrote HD-06 at 1480 Hz. Is 2 kHz OK?", {"crossover_hz": 2000.0}),
        (
            "on an open baffle, 42 cm wide, 2.5m, ribbons welcome",
            {"distance_m": 2.5, "given_cabinet_kind": "open baffle"},
        ),
        ("LD-11. 3 metres. Which?", {"distance_m": 3.0}),
        ("LD-11, 1.2 m, oak", {}),  # a tower may be so tall
        ("would HD-11 also work, from 2 kHz up?", {"crossover_hz": 2000.0}),
        ("a dome plays from 2 kHz up to 20 kHz", {}),
        ("I listen never above 85 dB", {"peak_level_db": 85.0}),
        ("LD-11, 3 m or more, 4 m", {"distance_m": 4.0}),
        ("LD-11, 3 m, 4 m", {}),  # nobody knows which
        ("25 watts of tubes", {"amplifier_power_w": 25.0}),
        ("LD-01 and a dome with just a capacitor", {"slope": "BW1"}),
        (
            "a tweeter that plays down to 1.2 kHz, 95 dB peaks, 2.5 metres",
            {"crossover_hz": 1200.0, "peak_level_db": 95.0, "distance_m": 2.5},
        ),
        ("my woofer does 90 dB, 0.9 m tall", {}),
        *((f"I sit 2{to}3 m away", {}) for to in ("-", " - ", " to ", " m or ")),  # nobody knows which
        ("listening distance 9ft. Ear 1 m", {"distance_m": 2.74, "ear_height_m": 1.0}),
        ("for nearfield (0,9 m)", {"distance_m": 0.9}),
        ("LD-01, 2.6k LR4", {"crossover_hz": 2600.0, "slope": "LR4"}),
        ("HD-01 at 1.8k or HD-02 at 2.2k", {}),
        ("LD-01, 3 m, 95 dB", {"distance_m": 3.0, "peak_level_db": 95.0}),
        ("a 12 inch, 95 dB woofer", {}),
        ("95 dB, 1 m", {}),
        ("12 m to the back row", {"distance_m": 12.0}),
        (
            "no more than 90 dB, nearfield mixing at 1 m, dispersion +-40 degrees",
            {"peak_level_db": 90.0, "distance_m": 1.0, "horizontal_half_window_rad": math.radians(40)},
        ),
        ("±30° will do", {"horizontal_half_window_rad": math.radians(30)}),
        ("a dome for a woofer that breaks up from 4 kHz up", {}),
        ("a dome that plays from 30 Hz up", {}),
    ],
)
def test_a_seat_behind_its_level_and_thousands_of_hertz(question: str, read: dict[str, float | str]) -> None:
    assert {one.field: one.value for one in said(question)} == read


def test_watts_of_which_nothing_is_said_are_told_as_the_amplifiers() -> None:
    (alone,) = said("LD-01, 100 W, which dome?")
    assert (alone.words, alone.meaning) == ("100 W", "your amplifier's power")
    (each,) = said("amp 2 x 30 W")
    assert (each.words, each.meaning) == ("2 x 30 W", "30 W for each loudspeaker")


@every(
    ("words", "lies"),
    [
        ("a centre speaker", True), ("our center channel", True), ("it goes under my TV", True), ("the box lies on its side", True), ("speakers laid sideways", True),
        ("a lying cabinet", True), ("a centre speaker, standing upright", False), ("HD-01 on its side", False), ("the box does not lie on its side", False),
        ("a shopping centre", False), ("centre it on the baffle", False), ("the speaker stands on the left side", False),
        ("two speakers on the side walls", False), ("speakers on the side of the room", False),
    ],
)  # fmt: skip
def test_a_loudspeaker_on_its_side(words: str, lies: bool) -> None:
    assert (lying(words) is not None) is lies


@every(("words", "within"), [("a coaxial 8 inch", True), ("a coax driver", True), ("a coaxial cable", False), ("a coax input", False)])  # fmt: skip
def test_a_driver_with_another_one_within(words: str, within: bool) -> None:
    assert (coaxial(words) is not None) is within
