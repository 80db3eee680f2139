"""Figures and words of judgement that were worked out by hand, each a place where a small fault once went unnoticed."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations, permutations, product
from math import cos, dist, log10, radians, sin
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from reportgen.acoustics.baffle import edge_response
from reportgen.acoustics.drivers import Disagreement
from reportgen.acoustics.guides import GuidedRadiator
from reportgen.acoustics.radiators import model_bound
from reportgen.acoustics.slopes import SLOPES
from reportgen.catalogue.columns import SURROUNDINGS
from reportgen.catalogue.records import Case, MeasuredCurve, Practice
from reportgen.crossover.topologies import PAD
from reportgen.pairing.as_built import AsBuilt
from reportgen.pairing.as_used import Frame, Setting
from reportgen.pairing.heat import Heat, Warmth, high_allowed_at_least_w, high_allowed_w
from reportgen.pairing.network import Unsure
from reportgen.pairing.response import Model
from reportgen.suitability import choice, steps
from reportgen.suitability.agreement import _grave, _sentence
from reportgen.suitability.assumptions import _empty, all_assumptions
from reportgen.suitability.cautions import all_cautions
from reportgen.suitability.checks import (
    Check,
    _inside_m,
    _side_lobe,
    all_checks,
    clearance_m,
    data_complete,
    limit_check,
)
from reportgen.suitability.choice import Choice, Chooser, _moved, before_a_network
from reportgen.suitability.limits import (
    Limit,
    Lows,
    heat_beside,
    heat_hz,
    lobing_hz,
    measured_roll_off_db,
    reaching_w,
    shortfall_hz,
)
from reportgen.suitability.steps import Candidate, ladder_of
from reportgen.suitability.verdict import judge, usable_range
from tests.demo_catalogue import demo
from tests.every import every
from tests.suitability.test_checks import BERYLLIUM, GOOD, HORN, KINDS, OPEN, RIBBON, TALL
from tests.suitability.workbench import (
    CROSSOVER_HZ,
    SHOUT,
    built,
    changed,
    checks_of,
    example,
    limits_of,
    network,
    of_kind,
    part,
)

# --- words ------------------------------------------------------------------------------------------------------------


def near(octaves: float, spread: float) -> Check:
    """A bound from below that the crossover clears by so many octaves, moved by the spread of its data."""
    hz = CROSSOVER_HZ / 2.0**octaves
    limit = Limit("x", "X", "low", hz, "It rattles.", "test", spread_hz=(hz / 2.0**spread, hz * 2.0**spread))
    return limit_check(built(), limit)


@pytest.mark.parametrize(
    ("octaves", "spread", "outcome", "words"),
    [
        (0.30, 0.10, "pass", ""),
        (0.05, 0.10, "marginal", " The crossover of 2450 Hz is 0.05 octave away, inside its tolerance, ±0.10 octave."),
        (-0.05, 0.10, "marginal", " The crossover of 2450 Hz is 0.05 octave on the wrong side, less than its tolerance, ±0.10 octave."),
        (-0.20, 0.10, "fail", " The crossover of 2450 Hz is 0.20 octave on the wrong side."),
        (0.07, 0.02, "marginal", " The crossover of 2450 Hz is 0.07 octave away."),  # the margin of 0.08 octave wants more
    ],
)  # fmt: skip
def test_how_near_a_limit_is_stands_behind_its_words(octaves: float, spread: float, outcome: str, words: str) -> None:
    check = near(octaves, spread)
    assert (check.outcome, check.text) == (outcome, "It rattles." + words)
    assert check.margin == pytest.approx(octaves)


def test_a_maker_who_names_no_slope_is_not_given_one() -> None:
    stated = changed(high={"lowest_use_hz": 1900.0, "lowest_use_order": 4})
    assert (
        limits_of(stated)["maker low"].text == "The maker allows the high driver from 1900 Hz with a slope of order 4."
    )
    silent = changed(high={"lowest_use_hz": 1900.0, "lowest_use_order": None})
    assert limits_of(silent)["maker low"].text == "The maker allows the high driver from 1900 Hz."


def lines(case: Any) -> str:
    return "\n".join(all_assumptions(Setting(case)))


def test_one_driver_of_unknown_frame_is_not_told_how_several_stand() -> None:
    alone = changed(high={"faceplate_width_m": None, "faceplate_height_m": None})
    assert "several of them" not in lines(alone)
    assert "several of them" in lines(changed(alone, pairing={"high_count": 2}))


def test_files_off_the_axis_are_counted_and_do_not_count_behind_a_guide() -> None:
    f = np.geomspace(500.0, 20000.0, 40)
    curve = MeasuredCurve(f, np.full_like(f, 90.0), None, "dome.txt")
    names = ("response", "response h30", "response v15")
    case = replace(example(), curves={("HD-01", name): curve for name in names})
    assert "HD-01: response measured from 500 to 20000 Hz (dome.txt)" in lines(case)
    assert "with minimum phase; 2 files off the axis" in lines(case) and "behind a guide" not in lines(case)
    guided = replace(case, guide=demo().waveguides["WG-01"])
    assert "with minimum phase; 2 files off the axis, which do not count behind a guide" in lines(guided)
    plain = replace(guided, curves={("HD-01", "response"): curve})
    assert "behind a guide" not in lines(plain)
    woofer = replace(guided, curves={("LD-01", name): curve for name in names})  # the guide is the high driver's
    assert "; 2 files off the axis" in lines(woofer) and "behind a guide" not in lines(woofer)


UNITS = {"", "Hz", "dB", "W", "ohm", "%", "mm", "m", "EUR"}
"""As SI writes them, with decibel and percent, but for the ohm, which the page writes Ω; and the currency of the demo."""


def test_a_check_has_one_title_and_one_unit_whatever_it_comes_to() -> None:
    """What passes, misses, has no network or lacks its data is one row of the sheet; a title is a word and not a shout."""
    empty = {"fs_hz": None, "peak_travel_m": None, "diaphragm_area_m2": None, "screen": None, "stock": None, "price": None, "rated_power_w": None, "faceplate_width_m": None}  # fmt: skip
    stocked, peaked = changed(pairing={"parts_policy": "stock"}), changed(pairing={"slope": "BW4"})
    uncounted = changed(stocked, stock=tuple(replace(one, stock=None) for one in example().stock))
    cases = [*KINDS, stocked, uncounted, peaked, of_kind("true ribbon")]
    cases += [changed(case, high=empty, low={"breakup_hz": None, "le_h": None, "frame_width_m": None, "rated_power_w": None, "stock": None, "price": None}, pairing={"centre_spacing_m": None}) for case in (example(), TALL, RIBBON)]  # fmt: skip
    f = np.geomspace(100.0, 20000.0, 30)
    for off in (0.0, 4.0, 12.0):
        level = np.full_like(f, (example().high.sensitivity_db or 0.0) - off)
        cases.append(replace(example(), curves={("HD-01", "response"): MeasuredCurve(f, level, None, "dome.txt")}))
    bad = {name: (9.0, 9.0) if isinstance(value, tuple) and len(value) == 2 else value for name, value in GOOD.items()}
    titles: dict[str, set[tuple[str, str]]] = {}
    some: tuple[Any, ...] = (
        (part("C1", part_id="KC-10"),),
        (part("R1"),),
        (part("C1", part_id="KC-10", unrated=True),),
    )
    states = (
        {"parts": some[0]},
        {**bad, "parts": some[1]},
        {"parts": some[2]},
        {"not_designed": "no coil is large enough"},
    )
    for case in cases:
        for figures in states:
            for check in checks_of(case, **figures).values():
                told = f"{check.text} {check.condition} {check.source}"
                assert check.source and check.text.endswith(".") and not SHOUT.search(told), check
                assert all(
                    author[0].isupper() for author in re.findall(r"([A-Za-z]+) (?:19|20)\d\d\b", check.source)
                ), check
                assert all(of == "data" or of[0].isupper() for of in re.findall(r"(\w+) sheet\b", told)), check
                assert check.unit in UNITS and check.margin_unit in UNITS | {"octave"}, check
                titles.setdefault(check.id, set()).add((check.title, check.unit))
    assert len(titles) > 35 and choice.UNMOVED | steps.OF_ONE_NETWORK <= titles.keys()
    for id_, found in titles.items():
        found -= {("Heat", "Hz")}  # the limit of that name, until a network says which driver's
        named = {title for title, _ in found}
        assert len(named) == 1 and len({unit for _, unit in found if unit}) <= 1, (id_, found)
        title = named.pop()
        assert title[0].isupper() and title[1:] != title[1:].upper()


@every("place", ("", "closed box"))
def test_where_an_impedance_was_measured_is_said(place: str) -> None:
    f = np.geomspace(20.0, 20000.0, 40)
    curve = MeasuredCurve(f, np.full_like(f, 6.0), np.zeros_like(f), "dome.zma")
    case = replace(changed(high={"impedance_measured": place or None}), curves={("HD-01", "impedance"): curve})
    where = f"in {place}" if place else "in free air"
    assert f"HD-01: impedance measured from 20 to 20000 Hz (dome.zma) {where}, with its rear as supplied" in lines(case)


def test_a_level_under_the_data_sheet_is_said_to_be_under() -> None:
    f = np.geomspace(500.0, 20000.0, 200)
    curve = MeasuredCurve(f, np.full_like(f, (example().high.sensitivity_db or 0.0) - 4.0), None, "dome.txt")
    check = checks_of(replace(example(), curves={("HD-01", "response"): curve}))["measured levels"]
    assert check.text == (
        "dome.txt lies 4.0 dB under what Sensitivity, voltage and distance of HD-01 make; the file counts."
    )


def test_what_frames_lack_is_named_and_nothing_else() -> None:
    """Centre to centre where nothing says it; the frame of the driver that has none, and not that of the other."""
    nowhere = changed(low={"frame_width_m": None, "cutout_m": None}, high={"faceplate_width_m": None}, pairing={"centre_spacing_m": None})  # fmt: skip
    (spacing,) = checks_of(nowhere)["frames fit"].missing
    assert spacing.startswith("Centre spacing of P-01")
    (frame,) = checks_of(changed(low={"frame_width_m": None}, pairing={"centre_spacing_m": 0.2}))["frames fit"].missing
    assert frame.startswith("Frame width of LD-01")
    alike = changed(high={"faceplate_width_m": None, "faceplate_height_m": None}, pairing={"centre_spacing_m": 0.2})
    assert all("HD-01" in one for one in checks_of(alike)["frames fit"].missing)


@every(("kit", "said"), ((1, "1 loudspeaker"), (2, "2 loudspeakers"), (3, "3 loudspeakers")))
@every("lacking", (0, 1))
def test_what_the_shelf_holds_is_told_of_a_kit(kit: int, said: str, lacking: int) -> None:
    """One woofer, one dome and one capacitor for each of its loudspeakers; one fewer is short of them."""
    rules = {**example().practice.rules}
    rules["loudspeakers a kit"] = replace(rules["loudspeakers a kit"], value=float(kit))
    held = kit - lacking
    shelf = tuple(replace(one, stock=held) if one.id == "KC-10" else one for one in example().stock)
    case = changed(low={"stock": held}, high={"stock": kit}, pairing={"parts_policy": "stock"})
    found = checks_of(replace(case, stock=shelf, practice=Practice(rules)), parts=(part("C1", part_id="KC-10"),))
    for id_, what, needs in (("stock", "LD-01", ""), ("parts stock", "KC-10", " needs")):
        end = (
            f" a kit of {said}{needs}: {what} ({held} of {kit})." if lacking else f" on the shelf for a kit of {said}."
        )
        assert found[id_].text.endswith(end) and (found[id_].outcome == "pass") is not bool(lacking), found[id_]


@every(
    ("place", "why"),
    [
        ("home", "at home."), ("studio", "in a studio."), ("vehicle", "in a vehicle: it is too frail for shaking, heat and the wind of an open window."),
        ("outdoors", "outdoors: it is too frail for wind and damp."), ("public", "in a public place: nobody watches who touches it."),
    ],
)  # fmt: skip
def test_what_rules_a_kind_out_is_told_with_the_place(place: str, why: str) -> None:
    ruled_out = replace(demo().technologies["soft dome"], excluded=(place,))
    found = checks_of(changed(technology=ruled_out, pairing={"surroundings": place}))["surroundings"]
    assert (found.outcome, found.text) == ("fail", f"A soft dome must not be used {why}")


def test_an_empty_shelf_is_short_by_one_piece() -> None:
    """A kit of one loudspeaker takes one capacitor: none there is short, one there is enough."""
    rules = {**example().practice.rules}
    rules["loudspeakers a kit"] = replace(rules["loudspeakers a kit"], value=1.0)
    for held, outcome in ((0, "fail"), (1, "pass")):
        case = replace(changed(pairing={"parts_policy": "stock"}), practice=Practice(rules))
        shelf = tuple(replace(one, stock=held) if one.id == "KC-10" else one for one in case.stock)
        check = checks_of(replace(case, stock=shelf), parts=(part("C1", part_id="KC-10"),))["parts stock"]
        assert check.outcome == outcome
        assert ("KC-10 (0 of 1)" in check.text) is (outcome == "fail")


def test_a_column_of_unknown_frames_asks_for_them() -> None:
    column = changed(low={"frame_width_m": None, "cutout_m": None}, pairing={"low_count": 4, "arrangement": "column", "centre_spacing_m": None})  # fmt: skip
    assert [one.partition(" (")[0] for one in limits_of(column)["side lobes"].missing] == ["Frame width of LD-01"]


def test_windows_are_told_in_kilohertz_and_metres() -> None:
    """15 kHz and an ear at 1.6 m, standing, are the rules of the shipped Practice sheet."""
    found = checks_of(standing_loss_db=6.5, seated_loss_db=5.6)
    assert found["standing window"].text.startswith("At 15 kHz an ear at 1.6 m, standing, loses 6.5 dB")
    assert found["seated window"].text.startswith("At 15 kHz the seated ear loses 5.6 dB")
    for place in SURROUNDINGS:  # people stand everywhere but in a vehicle
        assert ("standing window" in checks_of(changed(pairing={"surroundings": place}))) is (place != "vehicle")
    for distance_m, asked in ((0.8, False), (1.19, False), (1.2, True)):  # nor does whoever sits at a desk
        assert ("standing window" in checks_of(changed(pairing={"distance_m": distance_m}))) is asked


@every(("seated_db", "kept"), [(1.0, True), (6.0, True), (6.1, False), (17.2, False)])
def test_nobody_is_told_to_sit_where_the_seat_hears_no_treble_either(seated_db: float, kept: bool) -> None:
    """6 dB are the shipped limit: “it is to be heard sitting” stood beside “the seated ear loses 17 dB”."""
    found = checks_of(standing_loss_db=13.0, seated_loss_db=seated_db)["standing window"]
    assert found.outcome == "marginal" and bool(found.condition) is kept


def test_travel_tells_millimetres_level_and_distance() -> None:
    told = limits_of(example())["travel"].text
    assert (
        told
        == "98 dB at 2.5 m needs the full 0.3 mm peak travel of the high driver at a crossover of 1330 Hz (LR4); lower it cannot go."
    )


def test_lobing_tells_millimetres() -> None:
    assert limits_of(example())["lobing"].text == (
        "With 150 mm between the centres and LR4 no hole between the branches stands inside ±15 deg (vertical) up to 4420 Hz."
    )


@every(("off_db", "lacks_db", "told"), [(-2.1, 0.6, True), (-1.9, 0.6, False), (1.9, 0.6, False), (-2.1, 0.4, False)])
def test_a_driver_is_blamed_where_the_sum_lies_too_low_and_it_lacks_half_a_decibel(
    off_db: float, lacks_db: float, told: bool
) -> None:
    lacking = replace(network().uneven, low_hz=891.0, high_hz=1122.0, driver="high", lacks_db=lacks_db)
    text = checks_of(evenness_db=off_db, uneven=lacking)["thirds"].text
    assert (f"HD-01 itself lies {lacks_db:.1f} dB under the target" in text) is told


def test_watts_are_told_of_each_of_several_drivers() -> None:
    several = checks_of(changed(pairing={"low_count": 2}))
    assert "leave 10 W in each low driver, rated to take 60 W of it." in several["low_heat"].text
    assert "leave 1 W in the high driver, rated to take 10 W of it." in several["heat"].text


def test_a_level_that_is_nearly_reached_is_open_where_a_travel_is_unknown() -> None:
    """98 dB are wanted: with 96 the travel that nobody states may still be what is left, with 94.9 the amplifier alone ends it."""
    unknown = changed(low={"peak_travel_m": None})
    outcomes = [checks_of(unknown, reachable_db=db)["peak level"].outcome for db in (99.0, 96.0, 94.9)]
    assert outcomes == ["not assessed", "not assessed", "fail"]


def test_a_pass_that_is_a_little_short_says_why_it_passes() -> None:
    """98 dB are wanted, and half a decibel less is none (Practice); what rounds to nothing needs no word."""
    told = {db: checks_of(reachable_db=db)["peak level"].text for db in (97.4, 97.6, 97.97, 98.2)}
    assert [db for db, text in told.items() if "Less than 0.5 dB short is as good as there" in text] == [97.6]


def test_a_lobe_is_told_from_a_tenth_of_a_decibel() -> None:
    assert checks_of(lobe_rad=0.1, lobe_db=0.09)["lobe"].text == "At 2450 Hz the lobe points at the seat."
    told = checks_of(lobe_rad=0.1, lobe_db=0.2)["lobe"].text
    assert told == "At 2450 Hz it is loudest 6 deg above the seat, 0.2 dB louder than there."


def test_a_steeper_slope_leaves_its_branches_more_room() -> None:
    """6 dB over its target for the fourth order, twice that for the eighth (common practice, no source)."""
    for slope, limit in (("LR2", 6.0), ("LR4", 6.0), ("LR8", 12.0)):
        case = changed(pairing={"slope": slope})
        near, over = (checks_of(case, loud_db=limit + by)["slopes"] for by in (-0.1, 0.1))
        assert (near.outcome, over.outcome, near.limit) == ("pass", "marginal", limit)
        assert "stressed further" in over.text and "stressed further" not in near.text


def test_a_tall_radiator_says_whether_its_top_lies_over_or_under() -> None:
    for tilt_db, word in ((1.2, "under"), (-1.2, "over")):
        text = checks_of(TALL, tilt_db=tilt_db, room_loss_db=7.0)["tilt"].text
        assert f"15 kHz lies 1.2 dB {word} 5 kHz. Towards floor and ceiling it sends 7 dB less at 5 kHz" in text


@every(
    ("loss_db", "told"),
    [
        (7.0, "sends 7 dB less at 5 kHz than to the seat: the room adds less there, and its top end sounds softer"),
        (-7.0, "sends 7 dB more at 5 kHz than to the seat, which lies outside its height"),
        (0.2, "sends as much at 5 kHz as to the seat."),
    ],
)
def test_what_the_room_gets_of_a_tall_radiator_is_less_or_more_than_the_seat(loss_db: float, told: str) -> None:
    assert f"Towards floor and ceiling it {told}" in checks_of(TALL, tilt_db=1.0, room_loss_db=loss_db)["tilt"].text


@every(("half_deg", "told"), [(15.0, " from 12.2 kHz up a side lobe stands inside the window."), (8.0, "")])
def test_a_column_of_high_drivers_says_from_where_on_it_has_a_side_lobe(half_deg: float, told: str) -> None:
    """104 mm of face and a gap of 5 mm: 343.215/(0.109 x sin 15 deg) = 12 166 Hz; at ±8 deg 22.6 kHz, which nobody hears."""
    column = changed(TALL, pairing={"high_count": 2, "vertical_half_window_rad": radians(half_deg), "horizontal_half_window_rad": radians(40.0)})  # fmt: skip
    text = checks_of(column)["tilt"].text
    assert text.endswith(f" Their centres stand 109 mm apart:{told}" if told else "softer than the curve on the axis.")


FILLED_IN = [
    # frames of 168 and 104 mm and a gap of 5 mm
    ({"pairing": {"centre_spacing_m": None}}, "No centre spacing was given: frames nearly touching, 141 mm."),
    # 360 mm of baffle less half a face of 104 mm and the 8 mm that an edge is left
    ({"cabinet": {"high_from_top_m": None}}, "is empty: the high driver counts as 300 mm over the lower edge, near the top."),
    # 22 % of the 128.66 mm of 130 cm2 (common practice, no source)
    ({"cabinet": {"high_from_top_m": None, "baffle_height_m": 1.6}}, "counts as 1540 mm over the lower edge, near the top."),
    ({"low": {"centre_depth_m": None}}, "is empty: the centre of LD-01 counts as 28 mm deep, as is usual for its size."),
    ({"high": {"centre_depth_m": None}}, "is empty: the centre of HD-01 counts as 8 mm deep."),
    ({"high": {"le_h": None}}, "is empty: the coil counts as 0.06 mH."),
    ({"high": {"qms": None}}, "is empty: HD-01 counts with a Q of 0.7 and without its impedance peak."),
    ({"pairing": {"shelf_db": 4.5}}, "Voiced with the bass 4.5 dB under the rest, as wished."),
    ({"pairing": {"placement": "near a wall"}}, "Voiced near a wall, with the bass 3 dB under the rest, which the room makes good."),
    ({"pairing": {"placement": "in a wall"}}, "Voiced in a wall, with the bass level with the rest."),  # nothing is made good
    # no wall and no ceiling throw the sound back
    ({"pairing": {"surroundings": "outdoors"}}, "is empty: voiced free standing, with the bass 1.5 dB under the rest, which outdoors nothing makes good."),
    ({"cabinet": {"kind": "vented", "tuning_hz": 45.0}}, "The vented box leaks with a Q of 7 (Small 1973)."),
]  # fmt: skip


@every(("change", "words"), FILLED_IN)
def test_what_is_filled_in_is_told_with_its_figure(change: dict[str, Any], words: str) -> None:
    assert words in lines(changed(**change)) and words not in lines(example())


def test_two_empty_coils_are_told_one_after_the_other() -> None:
    told = lines(changed(low={"le_h": None}, high={"le_h": None}))
    assert (
        " is empty: the coil counts as none. Le of HD-01 (" in told and " is empty: the coil counts as 0.06 mH." in told
    )


def test_a_foil_has_no_coil_to_be_asked_for() -> None:
    assert "the coil counts as" not in lines(changed(RIBBON, high={"le_h": None}))


def test_a_frail_diaphragm_is_out_of_reach_at_home_and_in_public() -> None:
    low_down = changed(RIBBON, cabinet={"stand_height_m": 0.0})
    places = {place: checks_of(changed(low_down, pairing={"surroundings": place})) for place in ("home", "public", "studio", "vehicle", "outdoors")}  # fmt: skip
    assert {place for place, found in places.items() if "reach" in found} == {"home", "public"}
    assert places["public"]["reach"].outcome == "marginal"


@every(
    ("kind", "rings"),
    [
        ("metal dome", True),
        ("coated dome", True),
        ("beryllium dome", True),
        ("soft dome", False),
        ("true ribbon", False),
    ],
)
def test_which_diaphragms_ring(kind: str, rings: bool) -> None:
    found = checks_of(changed(of_kind(kind), high={"diaphragm_resonance_hz": 19000.0})).get("diaphragm resonance")
    assert (found is not None) is rings
    assert found is None or (found.outcome, "rings at 19.0 kHz" in found.text) == ("marginal", True)


@every(
    ("low_db", "high_db", "outcome"),
    [(0.0, 0.0, "pass"), (-4.0, -4.0, "marginal"), (-4.0, -12.0, "not assessed"), (-12.0, -4.0, "not assessed")],
)
def test_one_file_far_off_its_data_sheet_leaves_the_level_open(low_db: float, high_db: float, outcome: str) -> None:
    f = np.geomspace(100.0, 20000.0, 300)
    case = example()
    curves = {
        (driver.id, "response"): MeasuredCurve(
            f, np.full_like(f, driver.sensitivity_db + off), None, f"{driver.id}.txt"
        )
        for driver, off in ((case.low, low_db), (case.high, high_db))
    }
    found = checks_of(replace(case, curves=curves))["measured levels"]
    assert (found.outcome, found.unit) == (outcome, "")  # it tells no figure of its own


LIMIT_WORDS = [
    ("coverage", {}, "Above 3762 Hz the low driver, 129 mm across, no longer covers ±30 deg."),  # 130 cm2
    ("guide control", {"guide": replace(demo().waveguides["WG-01"], vertical_coverage_rad=radians(60.0))}, "The guide, 165 mm wide, holds its 100 deg down to 1539 Hz."),  # 25 400/(100 x 0.165)
    ("break-up", {}, "The cone breaks up at 5200 Hz; LR4 is 20 dB down there only when it crosses at 3002 Hz or lower."),
    ("maker high", {"low": {"highest_use_hz": 2800.0}}, "The maker allows the low driver up to 2800 Hz."),
    ("resonance", {}, "The high driver resonates at 1100 Hz (as supplied); a slope of order 4 needs 1.8 times that, 1980 Hz."),
]  # fmt: skip


@every(("id_", "change", "words"), LIMIT_WORDS)
def test_a_limit_in_words(id_: str, change: dict[str, Any], words: str) -> None:
    assert limits_of(changed(**change))[id_].text == words


def test_a_coil_is_told_in_millihenry() -> None:
    told = limits_of(changed(low={"re_ohm": 5.8, "le_h": 0.7e-3}))["bandwidth"].text
    assert told.startswith(
        "By its coil of 0.7 mH the low driver alone falls more than 1.5 dB short of LR4 when it crosses above "
    )


def test_side_lobes_of_unknown_frames_leave_nothing_open_that_matters() -> None:
    column = changed(low={"frame_width_m": None, "cutout_m": None}, pairing={"low_count": 2, "centre_spacing_m": 0.15})
    assert limits_of(column)["side lobes"].hz is None and not limits_of(column)["side lobes"].essential


def test_two_low_drivers_of_unknown_pitch_stand_as_far_apart_as_the_centres() -> None:
    two = Setting(changed(pairing={"low_count": 2}))
    assert lobing_hz(two, 0.15, float("nan"), 0.03) == lobing_hz(two, 0.15, 0.15, 0.03)


@every(
    ("parts", "words"),
    [
        ((part("R1", role=PAD),), "the pad takes that off."),
        ((part("C1"),), "its filter takes that off without a pad."),
        (
            (part("R1", role="resistor before the filter"),),
            "the resistor before its filter takes that off.",
        ),
        ((replace(part("R1", role=PAD), branch="low"),), "its filter takes that off without a pad."),
    ],
)
def test_what_takes_the_level_of_the_high_driver_off(parts: tuple[Any, ...], words: str) -> None:
    told = checks_of(parts=parts, level_surplus_db=3.2)["level"].text
    assert told == f"The high driver is 3.2 dB louder than the low one around the crossover; {words}"
    quiet = checks_of(parts=parts, level_surplus_db=-1.2)["level"].text
    assert quiet == "The high driver is 1.2 dB quieter than the low one around the crossover; no part makes it louder."
    for alike_db in (-0.04, 0.04):
        alike = checks_of(example(), level_surplus_db=alike_db)["level"].text
        assert alike == "Both drivers are equally loud around the crossover."


@every(
    ("off_db", "more"),
    [(1.4, " and within the limit of evenness."), (1.6, ", and no more than 0.5 dB further from the target than the design."), (2.1, ", and no more than 0.5 dB further from the target than the design.")],
)  # fmt: skip
def test_what_a_good_build_keeps_to_is_told(off_db: float, more: str) -> None:
    """The limit is 2 dB, the level margin 0.5 dB: a design that strays 1.6 dB leaves its builds 2.1 dB."""
    told = checks_of(good_share=0.93, sum_deviation_db=off_db)["good builds"].text
    assert told == f"93 % of builds stay within 1 dB of the design around the crossover{more}"


def test_what_a_person_must_hear_first_is_marked() -> None:
    """Danger to health before a kind of driver that is ruled out, and that before a load that nothing bears."""
    bare = checks_of(changed(BERYLLIUM, high={"screen": False}))["screen"]
    horn = checks_of(changed(HORN, guide=None))["horn"]
    ribbon = checks_of(changed(RIBBON, pairing={"surroundings": "vehicle"}))["surroundings"]
    load = checks_of(minimum_ohm=2.0)["impedance minimum"]
    assert [one.gravity for one in (bare, horn, ribbon, load)] == ["health", "kind", "kind", "load"]
    assert {one.outcome for one in (bare, horn, ribbon, load)} == {"fail"}


def test_a_large_dome_of_unknown_resonance_counts_as_a_small_one() -> None:
    """34 mm and 520 Hz go down to 1500 Hz; without the resonance nobody knows, and 2000 Hz stand (common practice, no source)."""
    large = changed(high={"radiating_width_m": 0.034, "peak_travel_m": None})
    floors = [limits_of(changed(large, high={"fs_hz": hz}))["technology"].hz for hz in (520.0, None)]
    assert floors == [pytest.approx(1500.0), pytest.approx(2000.0)]


# --- figures ----------------------------------------------------------------------------------------------------------


def test_frames_by_the_millimetre() -> None:
    """LD-01 is 168 mm wide and HD-01 104 mm: 136 mm apart they touch, 1 mm nearer is a miss of 1/104 of the smaller."""
    touching = checks_of(changed(pairing={"centre_spacing_m": 0.136}))["frames fit"]
    assert touching.value == 0.0 and touching.outcome == "marginal"
    assert touching.text == "LD-01 and HD-01 stand 0 mm apart; a saw needs 2 mm."
    apart = checks_of(changed(pairing={"centre_spacing_m": 0.1375}))["frames fit"]  # 1.5 mm
    assert (apart.outcome, apart.text) == ("marginal", "LD-01 and HD-01 stand 1.5 mm apart; a saw needs 2 mm.")
    closer = checks_of(changed(pairing={"centre_spacing_m": 0.135}))["frames fit"]
    assert (closer.outcome, closer.text) == ("fail", "LD-01 and HD-01 overlap by 1 mm.")
    assert closer.value == pytest.approx(-1.0) and closer.miss == pytest.approx(1.0 / 104.0)


@every(
    ("spacing_m", "from_top_m", "clear_mm"),
    [(0.150, 0.080, 14.0), (0.150, 0.055, 3.0), (0.130, 0.080, -6.0), (0.150, 0.045, -7.0)],
)
def test_the_tightest_place_is_between_the_frames_or_at_an_edge(
    spacing_m: float, from_top_m: float, clear_mm: float
) -> None:
    """168 and 104 mm are 14 mm apart at 150 mm; the face ends 52 mm from its middle: 3 mm under the top, or 7 mm over it."""
    case = changed(pairing={"centre_spacing_m": spacing_m}, cabinet={"high_from_top_m": from_top_m})
    assert clearance_m(Setting(case)) == pytest.approx(clear_mm / 1e3, abs=1e-9)
    assert checks_of(case)["frames fit"].value == pytest.approx(clear_mm)


def test_a_frame_of_unknown_size_is_at_least_as_wide_as_its_cone() -> None:
    """A piston of 130 cm2 is 128.66 mm across: beside 104 mm it needs 116.33 mm between the centres, whatever its frame."""
    unknown = changed(low={"frame_width_m": None, "cutout_m": None})
    for spacing_m, outcome in ((0.1168, "not assessed"), (0.1160, "fail")):
        assert checks_of(changed(unknown, pairing={"centre_spacing_m": spacing_m}))["frames fit"].outcome == outcome


@every(
    ("offset_m", "from_top_m", "nearest_mm"),
    [(0.0, 0.13, 130), (0.1, 0.13, 110), (-0.1, 0.13, 110), (0.0, 0.95, 100)],  # a panel of 420 by 1050 mm
)
def test_the_nearest_edge_of_an_open_panel(offset_m: float, from_top_m: float, nearest_mm: int) -> None:
    panel = {"offset_m": offset_m, "high_from_top_m": from_top_m}
    case = changed(OPEN, high={"rear": "open"}, pairing={"centre_spacing_m": None}, cabinet=panel)
    assert f"{nearest_mm} mm from the nearest edge" in limits_of(case)["rear path"].text


def test_the_rear_path_ends_where_the_panel_reaches_0_db_on_the_mean_of_a_decibel_either_way() -> None:
    """The first frequency at each threshold from -1 to +1 dB, on a fine grid; the mean of their logarithms."""
    case = changed(OPEN, high={"rear": "open"}, pairing={"centre_spacing_m": None})
    cabinet, setting = case.cabinet, Setting(case)
    f = np.geomspace(50.0, 5000.0, 1500)
    place = 0.0, cabinet.baffle_height_m / 2.0 - (cabinet.high_from_top_m or 0.0)
    edges = edge_response(f, cabinet.baffle_width_m, cabinet.baffle_height_m, *place, True, source=setting.high_mouth)
    level = 20.0 * np.log10(np.abs(edges))
    first = [f[int(np.argmax(level >= threshold))] for threshold in np.linspace(-1.0, 1.0, 81)]
    assert limits_of(case)["rear path"].hz == pytest.approx(float(np.exp(np.mean(np.log(first)))), rel=0.01)


def test_a_driver_that_gets_half_as_much_again_misses_by_a_third() -> None:
    """60 W in a driver of 40 W: it would stand two thirds of them."""
    found = checks_of(heat=Heat(20.0, Warmth(60.0, 40.0, None), Warmth(1.0, 40.0, None)))
    assert (found["low_heat"].outcome, found["low_heat"].miss) == ("fail", pytest.approx(1.0 / 3.0))
    assert found["heat"].miss < 0.0
    none = checks_of(
        heat=Heat(20.0, Warmth(1.0, 0.0, None), Warmth(1.0, 0.0, None))
    )  # where no watt is allowed, one is too many
    assert {(none[id_].outcome, none[id_].miss) for id_ in ("low_heat", "heat")} == {("fail", 1.0)}


def test_a_pair_of_single_drivers_has_its_hole_half_a_wavelength_off_the_axis() -> None:
    """LR4 is in phase everywhere: 150 mm apart, the edge of ±15 deg is half a wavelength off at c / (2 x 0.15 m x sin 15 deg).

    343.215 / (0.3 x 0.258819) = 4420.3 Hz.
    """
    assert limits_of(example())["lobing"].hz == pytest.approx(4420.3, rel=1e-4)
    # ±30 deg: there the ways at 2.5 m bound it, the centres 32 and 8 mm deep; half a wavelength more than on the axis
    low, high = (-0.150, -0.032), (0.0, -0.008)

    def differ(deg: float) -> float:
        seat = (2.5 * sin(radians(deg)), 2.5 * cos(radians(deg)))
        return dist(seat, low) - dist(seat, high)

    hz = 343.215 / 2.0 / abs(differ(-30.0) - differ(0.0))  # 2190 Hz; 2 % over it are allowed
    wider = changed(pairing={"vertical_half_window_rad": radians(30.0)})
    assert limits_of(wider)["lobing"].hz == pytest.approx(1.02 * hz, rel=5e-3)


def test_what_a_driver_lacks_is_told_beyond_the_limit_and_not_at_it() -> None:
    lacking = replace(network().uneven, low_hz=891.0, high_hz=1122.0, driver="low", lacks_db=2.4)
    at, beyond = (checks_of(balance_db=(-value, 0.5), bass_off=lacking)["balance"].text for value in (1.5, 1.6))
    assert "itself" not in at and "LD-01 itself" in beyond


@every(
    ("arrangement", "count", "bound"),
    [("high over low", 1, False), ("high over low", 2, True), ("low-high-low", 2, False), ("low-high-low", 3, True), ("low-high-low", 4, True)],
)  # fmt: skip
def test_a_row_of_two_woofers_has_side_lobes_and_one_on_either_side_has_none(
    arrangement: str, count: int, bound: bool
) -> None:
    """168 mm of frame and a gap of 5 mm: c/(d sin 15 deg) = 343.215/(0.173 x 0.258819) = 7665 Hz (Ureda 2004)."""
    found = limits_of(changed(pairing={"arrangement": arrangement, "low_count": count})).get("side lobes")
    assert (found is not None) is bound
    if found is not None:
        assert found.hz == pytest.approx(7665.2, abs=0.5)
        assert found.text.startswith("Low drivers 173 mm apart: their first side lobe stays outside ±15 deg")


def test_two_high_drivers_stand_the_heat_of_two() -> None:
    """200 W into two of them are 100 W in each: they may start where one alone starts at 100 W."""
    one, two = (Setting(changed(pairing={"high_count": count})) for count in (1, 2))
    assert heat_hz(one, 100.0) > 2000.0
    assert heat_hz(two, 200.0) == pytest.approx(float(heat_hz(one, 100.0)))


def test_a_horn_twice_as_wide_as_high_is_cut_off_by_its_area() -> None:
    """25 mm throat, mouth of 200 x 100 mm, 100 mm long: ln(0.02/4.909e-4)/0.1 = 37.07/m; times c/(4 pi) 1012.6 Hz (Webster 1919)."""
    horn = {"flare": "exponential", "throat_m": 0.025, "depth_m": 0.1, "mouth_width_m": 0.2, "mouth_height_m": 0.1}
    found = limits_of(changed(changed(guide=demo().waveguides["WG-01"]), guide=horn))["horn cut-off"]
    assert found.hz == pytest.approx(1012.6, abs=0.5)
    assert found.text == "WG-01, exponential over 100 mm from a throat of 25 mm, loads its driver down to 1013 Hz."


def test_only_the_difference_of_the_depths_bounds_a_low_high_low() -> None:
    """Centres all 100 mm deep lie in one plane as those all in the face do: the same hole, 0.79 of c/(2 d sin 15 deg) up (fourth order)."""
    middle = {"arrangement": "low-high-low", "low_count": 2, "cabinet_id": "CB-08"}
    flat, deep = (
        limits_of(changed(pairing=middle, low={"centre_depth_m": depth}, high={"centre_depth_m": depth}))["lobing"].hz
        for depth in (0.0, 0.1)
    )
    assert flat == pytest.approx(0.79 * 4420.3, rel=0.03) and deep == pytest.approx(flat, rel=0.03)


def test_a_coil_that_ends_the_band_below_500_hz_says_so() -> None:
    """Roll-off of first order at 230 Hz against LR4: 1.5 dB short first where the worst of (1 + x^2 r^2)/(1 + x^4)^2 is 10^0.15."""
    f, x, ratios = np.geomspace(20.0, 20000.0, 2001), np.linspace(1e-3, 1.0, 2001), np.linspace(1.0, 2.0, 2001)
    short = [np.max(10 * np.log10(1 + (x * r) ** 2) - 20 * np.log10(1 + x**4)) for r in ratios]
    expected = 230.0 * float(np.interp(1.5, short, ratios))
    assert 230.0 < expected < 400.0
    assert shortfall_hz(SLOPES["LR4"], f, -10 * np.log10(1 + (f / 230.0) ** 2), 1.5) == pytest.approx(
        expected, rel=5e-3
    )


def test_a_horn_does_not_lower_what_its_driver_was_allowed_with_it() -> None:
    """A compression driver is rated on a horn: its maker's 1100 Hz stay 1100 Hz."""
    on_a_horn = limits_of(changed(HORN, guide=demo().waveguides["WG-02"]))["maker low"]
    assert on_a_horn.hz == 1100.0 and "saves" not in on_a_horn.text


def test_a_high_driver_inside_the_cone_of_a_low_one_is_one_with_it() -> None:
    """26 mm in the middle of a cone of 130 mm; two low drivers in one place, or a face of 140 mm, are none."""

    def frame(role: str, across_m: float) -> Frame:
        return Frame(role, role, 0.1, 0.1, across_m, across_m, True, None, None)

    low, high = frame("low", 0.168), frame("high", 0.026)
    assert _inside_m(low, high, 0.130) and _inside_m(high, low, 0.130)
    assert (
        not _inside_m(low, low, 0.130)
        and not _inside_m(low, frame("high", 0.140), 0.130)
        and not _inside_m(high, high, 0.130)
    )


def test_a_range_of_one_frequency_is_none_too_few() -> None:
    one, none = (
        usable_range((Limit("a", "A", "low", hz, "", ""), Limit("b", "B", "high", 2000.0, "", "")))
        for hz in (2000.0, 2001.0)
    )
    assert (one.empty, one.octaves, none.empty) == (False, 0.0, True)


# --- choice -----------------------------------------------------------------------------------------------------------


def test_where_no_limit_is_a_wall_there_is_no_room_to_want() -> None:
    chooser = Chooser(Model(Setting(example())), (), usable_range(()))
    assert chooser.key((), 1000.0) == (0, 0, 0, pytest.approx(3 * 0.08), 1000.0)


@every("side", ("low", "high"))
def test_one_bound_alone_is_kept_off_by_half_an_octave(side: str) -> None:
    limits = (Limit("x", "X", side, 2000.0, "It rattles.", "test"),)
    chooser = Chooser(Model(Setting(example())), limits, usable_range(limits))
    assert chooser._why(SimpleNamespace(built=built()), 1, 1) == "half an octave inside the one bound there is"


def test_room_is_counted_from_the_bound_and_not_from_where_it_fails() -> None:
    limit = Limit("a", "A", "low", 2000.0, "", "", spread_hz=(2000.0 / 2**0.1, 2000.0 * 2**0.1))
    above = Limit("b", "B", "high", 3000.0, "", "", spread_hz=(3000.0 / 2**0.1, 3000.0 * 2**0.1))
    chooser = Chooser(Model(Setting(example())), (limit, above), usable_range((limit, above)))
    assert chooser._room(limit, 2400.0) == pytest.approx(0.263, abs=5e-4)  # lg2 of 1.2
    assert chooser._room(above, 2400.0) == pytest.approx(0.322, abs=5e-4)  # lg2 of 1.25


@every(
    ("tried", "promised", "fails", "enough"),
    [
        ([(0, 0, 1)], (0, 0, 0), "evenness", False),  # a better one is promised
        ([(0, 0, 1)], (0, 0, 1), "evenness", True),
        ([(0, 0, 1), (0, 0, 1)], (0, 0, 0), "evenness", True),  # the last network brought no gain
        ([(0, 0, 2), (0, 0, 1)], (0, 0, 0), "evenness", False),
        ([(1, 0, 0), (1, 0, 0)], (0, 0, 0), "evenness", False),  # as long as it fails the next is looked at
        (
            [(0, 1, 0), (0, 1, 0)],
            (0, 0, 0),
            "evenness",
            False,
        ),  # and as long as a figure is missing that another network may have
        ([(1, 0, 0)], (0, 0, 0), "screen", True),  # no frequency gives a driver its screen
    ],
)
def test_when_another_network_would_change_nothing(
    tried: list[tuple[int, int, int]], promised: tuple[int, int, int], fails: str, enough: bool
) -> None:
    chooser = Chooser(Model(Setting(example())), (), usable_range(()))
    choice: Any = SimpleNamespace(checks=(asked(fails, "fail"), asked("price", "pass")))
    made: Any = [((*key, 0.0, 2000.0 + number), choice) for number, key in enumerate(tried)]
    assert chooser._enough(made, (*promised, 0.0, 3000.0)) is enough


@every(
    ("hz", "looked", "designed", "words"),
    [
        # 3 margins of 0.08 octave, 0.24, are room enough; 2400 Hz lie 0.263 octave over 2000 and 0.737 under 4000 Hz
        (2400.0, 13, 2, "of 13 frequencies looked at, 2 of them with a network, the best verdict and the lowest with room to both bounds"),
        (2100.0, 13, 1, "of 13 frequencies looked at, the best verdict and the most room"),  # 0.07 octave
        (3900.0, 13, 1, "of 13 frequencies looked at, the best verdict and the most room"),
        (2830.0, 1, 1, "the middle of a narrow range"),
    ],
)  # fmt: skip
def test_what_spoke_for_a_frequency(hz: float, looked: int, designed: int, words: str) -> None:
    limits = (Limit("a", "A", "low", 2000.0, "", ""), Limit("b", "B", "high", 4000.0, "", ""))
    chooser = Chooser(Model(Setting(example())), limits, usable_range(limits))
    choice: Any = SimpleNamespace(built=built(crossover_hz=hz))
    assert chooser._why(choice, looked, designed) == words
    bare: Any = SimpleNamespace(built=built(crossover_hz=hz, not_designed="no coil is large enough"))
    assert chooser._why(bare, looked, designed) == words.replace(", 2 of them with a network", "")
    crossed = (Limit("a", "A", "low", 4000.0, "", ""), Limit("b", "B", "high", 2000.0, "", ""))
    none = Chooser(Model(Setting(example())), crossed, usable_range(crossed))
    assert none._why(choice, looked, designed) == "the frequency that misses both bounds by the same share"
    near = (Limit("a", "A", "low", 2800.0, "", ""), Limit("b", "B", "high", 2735.0, "", "", spread_hz=(2600.0, 2870.0)))
    choice.built = built(crossover_hz=2840.0)
    within = Chooser(Model(Setting(example())), near, usable_range(near))
    assert within._why(choice, looked, designed) == "one that misses no bound by more than its tolerance"


def test_how_many_frequencies_are_looked_at_and_where() -> None:
    """From 2000 Hz and to 4000 Hz less 0.08 octave each: 13 from 2114 to 3784 Hz, to three digits within them; open to one side the middle alone."""
    limits = (Limit("a", "A", "low", 2000.0, "", ""), Limit("b", "B", "high", 4000.0, "", ""))
    hz = Chooser(Model(Setting(example())), limits, usable_range(limits)).frequencies_hz()
    assert (len(hz), hz[0], hz[6], hz[-1]) == (13, 2120.0, 2830.0, 3780.0)
    wide = (Limit("a", "A", "low", 500.0, "", ""), Limit("b", "B", "high", 6000.0, "", ""))
    far = Chooser(Model(Setting(example())), wide, usable_range(wide)).frequencies_hz()
    assert (far[0], far[-1]) == (
        1420.0,
        2110.0,
    )  # two octaves under 6000/2^0.08, and over 500 x 2^0.08: nobody looks beyond
    narrow = (
        limits[0],
        Limit("b", "B", "high", 2237.7, "", ""),
    )  # from 2114.0 to 2117.0 Hz, where none has three digits
    assert Chooser(Model(Setting(example())), narrow, usable_range(narrow)).frequencies_hz() == (2120.0,)


def test_a_step_of_the_directivity_counts_before_there_is_a_network(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(choice, "directivity_step", lambda _: asked("directivity step", "marginal"))
    model = Model(Setting(example()))
    assert Chooser(model, (), usable_range(())).quick_key(AsBuilt(model, 2600.0))[:3] == (0, 0, 1)


@every("case", (BERYLLIUM, HORN, RIBBON, TALL, None))
def test_what_a_crossover_cannot_move_is_no_matter_of_the_frequency(case: Case | None) -> None:
    """Asked an octave apart, without a network: what says the same cannot be moved, and nothing else."""
    model = Model(Setting(case or example()))
    below, above = (
        {check.id: check for check in all_checks(AsBuilt(model, hz, None, ""), ()) if check.outcome != "not assessed"}
        for hz in (1500.0, 3000.0)
    )
    same = {id_ for id_, check in below.items() if check == above[id_]}
    assert same <= choice.UNMOVED and not (below.keys() - same) & choice.UNMOVED


def test_a_level_that_the_amplifier_ends_is_no_matter_of_the_frequency() -> None:
    for cause, moved in (("the amplifier", False), ("travel of the low driver", True)):
        found = built(reachable_cause=cause)
        ids = {check.id for check in _moved(Choice(found, tuple(all_checks(found, ()))))}
        assert ("peak level" in ids) is moved and "evenness" in ids and not {"frames fit", "stock", "price"} & ids
    bare = built(not_designed="no coil is large enough")  # then nobody knows what ends it
    assert "peak level" in {check.id for check in _moved(Choice(bare, tuple(all_checks(bare, ()))))}


@every(
    ("id_", "outcome", "missing", "counts"),
    [
        ("low_heat", "not assessed", ("Rated power of LD-01",), False),  # missing at any frequency
        ("travel", "not assessed", ("Peak travel of HD-01",), False),
        ("travel", "marginal", ("Peak travel of HD-01",), True),
        ("evenness", "not assessed", (), True),  # no network here: elsewhere there may be one
        ("heat", "not assessed", ("Rating high-pass of HD-01",), True),  # a network that lets less through does without
        ("part stress", "not assessed", ("Rating of KC-3u3",), True),
        ("parts stock", "not assessed", ("Stock of KC-3u3",), True),
    ],
)
def test_what_is_missing_at_any_frequency_speaks_for_none(
    id_: str, outcome: str, missing: tuple[str, ...], counts: bool
) -> None:
    check = replace(asked(id_, outcome), missing=missing)
    found: Any = SimpleNamespace(built=SimpleNamespace(network=None), checks=(check,))
    assert list(_moved(found)) == [check] * counts


@every("without_a_network", (True, False))
def test_what_the_model_fills_in_counts_where_it_hangs_on_the_network(
    without_a_network: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Asked of the same pairing without a network, which has a gap where no network is free of it."""
    check = replace(asked("data complete", "not assessed"), missing=("Centre depth of HD-01",))
    bare, asks = SimpleNamespace(network=None), []

    def rule(built: Any) -> Check | None:
        asks.append(built)
        return check if without_a_network else None

    monkeypatch.setattr(steps, "data_complete", rule)
    found: Any = SimpleNamespace(built=SimpleNamespace(network=None, bare=bare, model=None), checks=(check,))
    assert list(_moved(found)) == [check] * (not without_a_network) and asks == [bare]
    candidate = Candidate(found.built, (check,))
    assert candidate.wanting == (check,) * (not without_a_network)


def test_what_no_network_supplies_leaves_nothing_to_wish() -> None:
    gap = replace(asked("peak level", "not assessed"), missing=("Peak travel of HD-01",))
    open_, uneven = replace(gap, id="data complete"), asked("thirds", "marginal")
    one = Candidate(
        AsBuilt(Model(Setting(example())), 2500.0),  # of which nothing is filled in without a network
        (gap, open_, uneven, asked("frames fit", "fail")),
        frozenset(("frames fit",)),
    )
    assert one.wanting == (open_, uneven) and one.standing[1] == 2  # it stays a gap all the same


def test_a_limit_without_its_figure_promises_no_less() -> None:
    known = Limit("a", "A", "low", 2000.0, "", "")
    unknown = Limit("travel", "Travel", "low", None, "", "", missing=("Peak travel of HD-01",))
    keys = []
    for limits in ((known,), (known, unknown)):
        model = Model(Setting(example()))
        keys.append(Chooser(model, limits, usable_range(limits)).quick_key(AsBuilt(model, 2600.0)))
    assert keys[0] == keys[1]


def asked(id_: str, outcome: Any, essential: bool = True, condition: str = "", judged: bool = True) -> Check:
    return Check(id_, id_, outcome, None, None, "", None, "", "test", "", essential, (), condition, judged=judged)


def test_what_asks_something_of_the_builder_counts_twice() -> None:
    checks = (
        asked("a", "fail"), asked("b", "not assessed"), asked("c", "not assessed", essential=False), asked("d", "marginal"),
        asked("e", "marginal", condition="Sit."), asked("f", "not assessed", essential=False, judged=False), asked("g", "pass", condition="Keep."),
    )  # fmt: skip
    bare: Any = SimpleNamespace(network=None, model=None)
    found = Candidate(bare, checks)
    assert found.standing == (1, 1, 4)  # d once, e twice, c once
    assert (found.missed, found.pieces, found.price, found.error_db) == (0.0, 0, None, 0.0)  # no network, no pieces


@every(
    ("rated_ohm", "watts", "standing"),
    [(6.0, 30.0, (0, 0, 0)), (4.0, 30.0, (0, 0, 2)), (8.0, 30.0, (0, 0, 0)), (4.0, 60.0, (1, 0, 0))],
)
def test_a_network_that_pulls_the_load_down_a_class_spares_no_low_driver(
    rated_ohm: float, watts: float, standing: tuple[int, int, int]
) -> None:
    """LD-01 alone, 5.6 ohm at least, is rated 6 ohm: into 4 ohm 30 W count as 45, which is 0.5 dB over 40 W, and 60 W as 90."""
    found = built(rated_ohm=rated_ohm, heat=Heat(20.0, Warmth(watts, 40.0, None), Warmth(1.0, 40.0, None)))
    assert Candidate(found, ()).standing == standing


@every(("most", "pieces"), [(None, 8), (8, 8), (7, 6), (6, 6), (5, 4), (3, 4)])
def test_so_many_parts_as_were_allowed_and_no_more(
    monkeypatch: pytest.MonkeyPatch, most: int | None, pieces: int
) -> None:
    """4 and 6 pieces stand alike and 8 stand better: of those allowed the best, of equals the fuller one; 4 where fewer were asked for."""
    rungs: Any = [
        SimpleNamespace(pieces=count, standing=standing, rank=(standing, 0, count, 0.0))
        for count, standing in ((4, (0, 0, 1)), (6, (0, 0, 1)), (8, (0, 0, 0)))
    ]
    monkeypatch.setattr(steps, "built_with", lambda *_: ())
    monkeypatch.setattr(steps, "ladder_of", lambda _: rungs)
    monkeypatch.setattr(steps, "_built", lambda best, _: best)
    assert steps.chosen(Model(Setting(changed(pairing={"most_parts": most}))), 2450.0, ()).pieces == pieces


def test_the_networks_of_narrower_choices_stand_beside_those_of_the_wider_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where all leave something to wish, the ladder is made of all; a choice of parts whose network leaves nothing ends the search."""
    seen = list[list[str]]()
    monkeypatch.setattr(steps, "all_checks", lambda *_: ())
    monkeypatch.setattr(steps, "built_with", lambda _bare, _networks, policy: [policy])
    monkeypatch.setattr(steps, "ladder_of", lambda found: seen.append([one.built for one in found]) or found)
    monkeypatch.setattr(Candidate, "rank", 0)
    monkeypatch.setattr(steps, "_built", lambda best, _: best)
    model, widest = Model(Setting(changed(pairing={"parts_policy": steps.WIDER[-1]}))), [*reversed(steps.WIDER)]
    for enough in (None, 0):
        monkeypatch.setattr(steps, "_spotless", lambda found, enough=enough: enough == len(found) - 1)
        steps.chosen(model, 2450.0, ())
    assert len(widest) > 1 and seen == [widest, widest[:1]]


def test_of_networks_that_fail_alike_one_that_fails_by_the_load_alone_is_built(monkeypatch: pytest.MonkeyPatch) -> None:
    """LD-01, rated 6 ohm: 60 W into 4 ohm are 90 at its own, more than it may take; the other network burns the high driver.

    A fail beside that one is worse all the same, and so is a network that pulls the load down for nothing.
    """
    pulled, plain = (
        built(rated_ohm=ohm, heat=Heat(20.0, Warmth(watts, 40.0, None), Warmth(1.0, 40.0, None)))
        for ohm, watts in ((4.0, 60.0), (6.0, 30.0))
    )
    burns, fine = asked("heat", "fail"), asked("heat", "pass")
    for checks, best in (((fine, burns), 0), ((burns, fine), 1), ((fine, fine), 1), ((burns, burns), 1)):
        found = [Candidate(pulled, (checks[0], asked("slopes", "marginal"))), Candidate(plain, (checks[1],))]
        monkeypatch.setattr(steps, "built_with", lambda *_: ())
        monkeypatch.setattr(steps, "ladder_of", lambda _, found=found: found)
        monkeypatch.setattr(steps, "_built", lambda best, _: best)
        assert steps.chosen(Model(Setting(example())), 2450.0, ()) is found[best]


@every(("resonance_hz", "heat_hz", "bounds"), ((1500.0, 3500.0, (1500.0, 3000.0)), (1500.0, 2500.0, (2500.0, 3000.0)), (3600.0, 3500.0, (3600.0, 3000.0))))  # fmt: skip
def test_a_heat_that_closes_the_range_is_left_to_the_network(resonance_hz: float, heat_hz: float, bounds: Any) -> None:
    """It is known by the sensitivities alone; where something else closes the range as well, or nothing does, it counts."""
    lows = (Limit("resonance", "A", "low", resonance_hz, "", ""), Limit("heat", "B", "low", heat_hz, "", ""))
    limits = (*lows, Limit("break-up", "C", "high", 3000.0, "", ""))
    kept, found = before_a_network(limits)
    assert (found.low_hz, found.high_hz) == bounds
    assert kept == (limits if max(resonance_hz, heat_hz) != 3500.0 else (lows[0], limits[2]))


def test_frequencies_that_may_get_a_network_lie_a_fifth_of_an_octave_apart() -> None:
    """Three at most of those looked at, the most promising first: nearer ones have the same faults."""
    limits = (Limit("a", "A", "low", 1000.0, "", ""), Limit("b", "B", "high", 4000.0, "", ""))
    turn = Chooser(Model(Setting(example())), limits, usable_range(limits)).in_turn()
    assert len(turn) == 3 and [key for key, _ in turn] == sorted(key for key, _ in turn)
    apart = [abs(np.log2(one / other)) for (_, one), (_, other) in combinations(turn, 2)]
    assert min(apart) >= 0.2 and min(apart) < 0.4


def test_what_is_missed_counts_only_where_a_check_says_so() -> None:
    """In steps of 0.02: 0.31 counts 16; then pieces, then the price, an unknown one last."""
    held = built()
    assert held.network is not None
    network = replace(held.network, design=replace(held.network.design, missed=0.31, pieces=7), parts_price=None)
    found = replace(held, network=network)
    assert Candidate(found, (asked("slopes", "marginal"),)).rank == (0, 0, (0, 0, 1), 16, 7, float("inf"))
    assert Candidate(found, (asked("slopes", "marginal"),), frozenset({"slopes"})).rank == (
        0,
        0,
        (0, 0, 1),
        0,
        7,
        float("inf"),
    )
    assert Candidate(replace(found, network=replace(network, parts_price=17.5)), ()).rank == (
        0,
        0,
        (0, 0, 0),
        0,
        7,
        17.5,
    )


def candidate(pieces: int, standing: tuple[int, int], error_db: float, price: float | None = None) -> Any:
    return SimpleNamespace(pieces=pieces, standing=standing, missed=0.0, error_db=error_db, price=price)


LADDERS = {
    "sounds better": ([(4, (0, 1), 0.5, 9.0), (6, (0, 1), 0.3, 12.0)], [4, 6]),
    "stands better, sounds worse": ([(4, (0, 1), 0.5, 9.0), (6, (0, 0), 0.7, 12.0)], [4, 6]),
    "stands better, cheaper, sounds worse": ([(4, (0, 1), 0.5, 9.0), (6, (0, 0), 0.7, 8.0)], [4, 6]),
    "brings nothing": ([(4, (0, 1), 0.5, 9.0), (6, (0, 1), 0.5, 12.0), (7, (0, 2), 0.6, 13.0)], [4]),
    "cheaper and better": ([(4, (0, 1), 0.5, 9.0), (6, (0, 1), 0.3, 8.0)], [6]),
    "as dear and better": ([(4, (0, 1), 0.5, 9.0), (6, (0, 1), 0.3, 9.0)], [4, 6]),
    "cheaper and worse": ([(4, (0, 1), 0.5, 9.0), (6, (0, 1), 0.6, 8.0)], [4]),
    "cheaper, sounds the same": ([(4, (0, 1), 0.5, 9.0), (6, (0, 1), 0.5, 8.0)], [6]),
    "price unknown": ([(4, (0, 1), 0.5, None), (6, (0, 1), 0.3, 8.0)], [4, 6]),
    "best of one number": ([(4, (0, 1), 0.5, 9.0), (4, (0, 0), 0.9, 9.0), (4, (0, 0), 0.8, 9.0)], [4]),
}
"""Networks as (pieces, (fails, marginals), error in dB, price), and the pieces of those that make the ladder."""


@every("name", LADDERS)
def test_each_step_of_a_ladder_brings_something(name: str) -> None:
    rows, pieces = LADDERS[name]
    for order in permutations(rows):
        ladder = ladder_of([candidate(*row) for row in order])
        assert [one.pieces for one in ladder] == pieces
        if name == "best of one number":
            assert (ladder[0].standing, ladder[0].error_db) == ((0, 0), 0.8)


def test_two_cells_that_disagree_are_told_with_both_figures() -> None:
    """Fs makes a Vas of 31 L where 24.6 L are stated."""
    told = _sentence(example().low, [Disagreement("fs_hz", "vas_m3", 0.0246, 0.0310, 0.79)])
    assert (
        told.startswith("Vas of LD-01 (Low drivers!")
        and ") is 24.6 L, but Fs (Low drivers!" in told
        and told.endswith(") makes it 31 L.")
    )


@every(
    ("field", "stated", "derived", "grave"),
    [
        ("vas_m3", 1.24, 1.0, False), ("vas_m3", 1.26, 1.0, True), ("vas_m3", 1.0, 1.24, False), ("vas_m3", 1.0, 1.26, True),
        ("sensitivity_db", 88.0, 89.9, False), ("sensitivity_db", 88.0, 90.1, True), ("sensitivity_db", 90.1, 88.0, True),
    ],
)  # fmt: skip
def test_figures_that_cannot_both_be_a_rounding(field: str, stated: float, derived: float, grave: bool) -> None:
    """A quarter of an amount, or 2 dB, in either direction."""
    ratio = 10.0 ** ((stated - derived) / 20.0) if field == "sensitivity_db" else stated / derived
    assert _grave(Disagreement("fs_hz", field, stated, derived, ratio)) is grave


# --- rules over many values -------------------------------------------------------------------------------------------


@every("guide", (None, "WG-01"))
def test_a_travel_that_never_suffices_bounds_at_the_end_of_hearing(guide: str | None) -> None:
    """A hair of travel asks for more than 20 kHz, with and without the gain of a guide: there the search ends (Hz)."""
    case = changed(high={"peak_travel_m": 1e-9}, guide=demo().waveguides[guide] if guide else None)
    assert limits_of(case)["travel"].hz == pytest.approx(20000.0)


@every(
    ("low_ohm", "rated_ohm"), ((2.3, 2.0), (3.1, 3.0), (3.3, 4.0), (4.9, 6.0), (6.5, 8.0), (13.0, 16.0), (26.0, 32.0))
)
@every(("high_ohm", "high_rated_ohm"), ((3.0, 3.0), (3.3, 4.0), (7.5, 8.0), (25.7, 32.0)))
def test_the_amplifiers_voltage_is_that_into_the_rating_of_both_drivers(
    low_ohm: float, rated_ohm: float, high_ohm: float, high_rated_ohm: float
) -> None:
    """P into the rating R of the whole (IEC 60268-5: no more than 1/0.8 of the lowest modulus) is V^2 = PR; in the high one's r that is PR/r watts."""
    quiet = {"re_ohm": high_ohm, "sensitivity_db": 80.0}  # quieter than the low one as it is voiced: no pad
    setting = Setting(changed(high=quiet, low={"re_ohm": low_ohm}, pairing={"amplifier_power_w": 50.0}))
    found = reaching_w(setting, np.array([90.0, 90.0]), np.array([low_ohm, 2.0 * low_ohm]))
    doubled = next(ohm for ohm in (32.0, 16.0, 8.0, 6.0, 4.0, 3.0, 2.0) if 2.0 * low_ohm >= 0.8 * ohm or ohm == 2.0)
    rated = [min(rated_ohm, high_rated_ohm), min(doubled, high_rated_ohm)]
    assert found == pytest.approx([50.0 * ohm / high_ohm for ohm in rated])


def test_a_pad_lifts_the_high_drivers_share_of_the_load() -> None:
    """3 ohm, 6 dB louder, beside 6.5 ohm: a resistor of 3 ohm halves its voltage, and the whole is one of 6 ohm; 100 W are
    600 V^2, of which a quarter over 3 ohm is 50 W. (With 0 dB it is one of 3 ohm: 300 V^2 over 3 ohm, 100 W.)"""
    setting = Setting(changed(high={"re_ohm": 3.0}, low={"re_ohm": 6.5}, pairing={"amplifier_power_w": 100.0}))
    alike_db = setting.high_level_db + setting.given_up_db
    found = reaching_w(setting, np.array([alike_db - 20.0 * log10(2.0), alike_db]), np.array([6.5, 6.5]))
    assert found == pytest.approx([50.0, 100.0])


@every(("from_hz", "least_hz"), ((20.0, 200.0), (500.0, 500.0)))
def test_a_driver_short_everywhere_is_short_from_the_start(from_hz: float, least_hz: float) -> None:
    """10 dB under a flat one it misses any target by 1.5 dB: the lowest crossover that is looked at is the bound."""
    f = np.geomspace(from_hz, 20000.0, 200)
    assert shortfall_hz(SLOPES["LR4"], f, np.full_like(f, -10.0), 1.5) == pytest.approx(least_hz)
    assert shortfall_hz(SLOPES["LR4"], f, np.full_like(f, -1.0), 1.5) is None


def test_every_datum_that_is_missing_is_named_in_the_reason() -> None:
    """In any order of any gaps: what is told names all that is missing, and no two gaps that are told lack the same."""
    lacks = [("Xmax",), ("Xmax", "Sd"), ("Sd",), ("Fs",), ("Fs", "Xmax")]
    for gaps in permutations(lacks, 3):
        told = [
            Check(f"c{i}", "", "not assessed", None, None, "", None, "", "test", f"{' '.join(one)}.", True, one)
            for i, one in enumerate(gaps)
        ]
        reason = judge(told, usable_range([])).reason
        named = set(reason.replace(".", "").split())
        assert named == {text for one in gaps for text in one}, gaps
        assert len(reason.split(". ")) == sum(
            not any(set(one) <= set(other) for other in gaps[:i]) for i, one in enumerate(gaps)
        )


@every(("fragility", "grave"), (("ordinary", False), ("delicate", False), ("very delicate", True)))
def test_only_what_is_very_delicate_stands_among_the_grave_cautions(fragility: str, grave: bool) -> None:
    case = changed(technology={"fragility": fragility, "cautions": "Mind the foil."})
    told = {one.id: one for one in all_cautions(Setting(case))}
    assert (told["kind of driver"].text, told["kind of driver"].grave) == ("Mind the foil.", grave)
    assert told["kind of driver"].applies_to == case.high.id


@every(("lows", "highs"), ((1, 0), (2, 3), (0, 2)))
def test_each_driver_counts_its_own_files_off_the_axis(lows: int, highs: int) -> None:
    f = np.geomspace(500.0, 20000.0, 40)
    angles = [f"response h{15 * (index + 1)}" for index in range(3)]
    files = {
        (id_, name): MeasuredCurve(f, np.full_like(f, 90.0), None, f"{id_}.txt")
        for id_, count in (("LD-01", lows), ("HD-01", highs))
        for name in ("response", *angles[:count])
    }
    told = lines(replace(example(), curves=files))
    for id_, count in (("LD-01", lows), ("HD-01", highs)):
        line = told.partition(f"{id_}: response measured")[2].partition("minimum phase")[2]
        assert line.startswith(f"; {count} files off the axis" if count else ".")


@every("wall", (True, False))
@every("side", ("low", "high"))
def test_where_a_bound_fails_and_where_it_has_its_margin(side: Any, wall: bool) -> None:
    """In octaves on the good side of 2 kHz: a wall fails past the spread and needs the larger of margin and spread; no wall never fails."""
    for spread in (0.0, 0.05, 0.2):
        ends = (2000.0 / 2**spread, 2000.0 * 2**spread) if spread else None
        at, fail, need = Limit("x", "X", side, 2000.0, "", "", spread_hz=ends, wall=wall).edge(0.08)
        sign = 1.0 if side == "low" else -1.0
        assert at == pytest.approx(sign * np.log2(2000.0))
        assert (fail - at, need - at) == pytest.approx((-spread, max(0.08, spread)) if wall else (-np.inf, 0.0))


@every("high_level_db", (80.0, 91.4, 100.0))
def test_heat_beside_many_low_drivers_is_that_beside_each(high_level_db: float) -> None:
    """Each with its own level and resistance, at each slope."""
    case = changed(pairing={"amplifier_power_w": 120.0}, high={"sensitivity_db": high_level_db})
    settings = [Setting(changed(case, pairing={"slope": slope})) for slope in ("LR2", "LR4")]
    rows = [(84.0, 3.3), (90.0, 3.3), (84.0, 6.5), (95.0, 13.0)]
    level, ohm = np.array(rows).T
    lows = Lows(level, ohm, *(np.full(4, np.nan) for _ in range(3)))
    found = [
        [limits_of(changed(one.case, low={"sensitivity_db": db, "re_ohm": re})) for db, re in rows] for one in settings
    ]
    each = [[one["heat"].hz if "heat" in one else 0.0 for one in row] for row in found]
    assert heat_beside(settings, lows) == pytest.approx(np.array(each, dtype=np.float64))


def test_a_woofer_falls_off_from_the_mean_of_its_band() -> None:
    """86 dB from 200 to 400 Hz and 90 dB to 800 Hz are 88 dB on the mean: 85 dB from there up lie 3 dB lower, up to the top."""
    f = np.geomspace(50.0, 20000.0, 2000)
    level = np.select([f < 400.0, f < 800.0], [86.0, 90.0], 85.0)
    found = measured_roll_off_db(MeasuredCurve(f, level, None, "cone.txt"))
    assert found is not None and found[1][-1] == pytest.approx(-3.0, abs=0.05)
    assert found[1][found[0] > 1000.0] == pytest.approx(-3.0, abs=0.05)
    dip = np.where(
        (f > 250.0) & (f < 400.0), 80.0, 90.0
    )  # inside the band it is no end of it: from 800 Hz up nothing is lost
    found = measured_roll_off_db(MeasuredCurve(f, dip, None, "cone.txt"))
    assert found is not None and found[1] == pytest.approx(0.0)


UNREAD = {"low": ("Low driver's data", ("fs_hz",)), "high": ("High driver's data", ("qms",)), "guide": ("High driver's data", ("depth_m",)),
          "cabinet": ("High driver's data", ("baffle_width_m",))}  # fmt: skip


@every("part", UNREAD)
def test_a_cell_that_cannot_be_used_leaves_its_side_open(part: str) -> None:
    title, cells = UNREAD[part]
    guided = changed(guide=demo().waveguides["WG-01"])
    found = limits_of(changed(guided, **{part: {"unread": cells}}))
    told = [one for one in found.values() if one.id in ("low data", "high data")]
    (one,) = told
    assert (one.title, one.hz, one.essential) == (title, None, True)
    assert one.missing == getattr(guided, part).named(*cells) and f" of {getattr(guided, part).id} (" in one.missing[0]
    assert not {"low data", "high data"} & limits_of(guided).keys()


@every("policy", ("stock", "preferred", "any"))
@every("spotless", ("stock", "preferred", "any", None))
def test_a_narrower_choice_of_parts_is_tried_where_a_wider_one_leaves_a_wish(
    monkeypatch: pytest.MonkeyPatch, policy: str, spotless: str | None
) -> None:
    """From the policy of the pairing down to the shelf, as far as the first whose network leaves nothing to wish."""
    asked: list[str] = []

    def with_parts(bare: Any, networks: Any, of: str) -> tuple[Any, ...]:
        asked.append(of)
        return (of,)

    monkeypatch.setattr(steps, "built_with", with_parts)
    monkeypatch.setattr(steps, "all_checks", lambda *_: ())
    monkeypatch.setattr(steps, "Candidate", lambda one, *_: one)
    monkeypatch.setattr(steps, "_spotless", lambda found: spotless in found)
    monkeypatch.setattr(steps, "ladder_of", lambda found: [SimpleNamespace(rank=0, pieces=4, tried=list(found))])
    monkeypatch.setattr(steps, "_built", lambda best, _: best)
    steps.chosen(Model(Setting(changed(pairing={"parts_policy": policy}))), 2450.0, ())
    wanted = {"stock": ["stock"], "preferred": ["preferred", "stock"], "any": ["any", "preferred", "stock"]}[policy]
    assert asked == (wanted[: wanted.index(spotless) + 1] if spotless in wanted else wanted)


def test_a_step_of_the_ladder_names_what_fails_what_is_near_and_what_nobody_knows_as_the_page_does() -> None:
    """A figure that is never a fault, such as the price, is none where it is missing."""
    held = built(parts=())
    titled = [
        replace(asked(f"id {word}", word), title=f"Title {word}")
        for word in ("pass", "marginal", "fail", "not assessed")
    ]  # type: ignore[arg-type]
    price = replace(titled[-1], title="Price", judged=False)
    step = steps._step(Candidate(held, (*titled, price)), True)
    assert (step.failed, step.marginal, step.chosen) == (("Title fail",), ("Title marginal",), True)
    assert step.unassessed == ("Title not assessed",)


@every("check", ("level", "peak level"))
@every(
    ("margin_db", "outcome"), ((-3.1, "fail"), (-2.9, "marginal"), (-0.6, "marginal"), (-0.4, "pass"), (0.4, "pass"), (9.0, "pass"))
)  # fmt: skip
def test_half_a_decibel_short_passes_and_three_are_borne(check: str, margin_db: float, outcome: str) -> None:
    """Level of the high driver, and the level reached of 98 dB (limits of the Practice sheet)."""
    figures = {"level_surplus_db": margin_db} if check == "level" else {"reachable_db": 98.0 + margin_db}
    found = checks_of(example(), **figures)[check]
    assert (found.outcome, found.margin) == (outcome, pytest.approx(margin_db))


@every(("count", "tall_mm", "told"), ((1, 27, False), (1, 68, False), (1, 70, True), (2, 27, True), (3, 10, True)))
def test_what_is_taller_than_a_wave_at_5_khz_tilts_whether_one_driver_or_a_column(
    count: int, tall_mm: float, told: bool
) -> None:
    """343.2 m/s over 5 kHz are 68.6 mm; drivers above one another stand at least a faceplate of 104 mm apart."""
    shape = {"shape": "rectangular", "radiating_width_m": 0.02, "radiating_height_m": tall_mm * 1e-3}
    found = checks_of(changed(high=shape, pairing={"high_count": count}))
    assert ("tilt" in found) is told


@every("frame_mm", (20, 60, 63, 80, 100))
def test_side_lobes_of_a_column_are_told_up_to_the_end_of_hearing(frame_mm: int) -> None:
    """A row of pitch d sends one to the edge of a window of ±15 deg at c/(d sin 15 deg) (Ureda 2004); d is the frame and a gap of 5 mm."""
    frame = {"shape": "rectangular", "faceplate_width_m": frame_mm * 1e-3, "faceplate_height_m": frame_mm * 1e-3}
    setting = Setting(changed(high=frame, pairing={"high_count": 3}))
    hz = 343.2 / ((frame_mm + 5) * 1e-3 * sin(radians(15.0)))
    told = _side_lobe(setting)
    assert bool(told) is (hz <= 20000.0)
    assert told == "" or f"{frame_mm + 5} mm apart: from {hz / 1e3:.1f} kHz up" in told
    assert _side_lobe(Setting(changed(high=frame))) == ""


@every("guide", (None, "WG-01"))
def test_a_travel_that_always_suffices_is_no_bound(guide: str | None) -> None:
    case = changed(high={"peak_travel_m": 10.0}, guide=demo().waveguides[guide] if guide else None)
    assert "travel" not in limits_of(case)


@every("empty", (("throat_m",), ("depth_m",), ("throat_m", "depth_m")))
def test_a_horn_without_its_throat_or_its_length_leaves_its_cut_off_open(empty: tuple[str, ...]) -> None:
    horn = {"flare": "exponential", "throat_m": 0.025, "depth_m": 0.1, **dict.fromkeys(empty)}
    case = changed(changed(guide=demo().waveguides["WG-01"]), guide=horn)
    found = limits_of(case)["horn cut-off"]
    assert (found.hz, found.missing, found.essential) == (None, case.guide.missing(*empty), True)  # type: ignore[union-attr]
    for flare in (None, "conical"):  # what has no cut-off lacks nothing for it
        assert "horn cut-off" not in limits_of(changed(case, guide={"flare": flare}))


def test_the_rear_path_is_that_of_the_high_drivers_own_mouth() -> None:
    """No woofer moves it; a mouth nearly as large as the panel does."""

    def hz(**parts: Any) -> float:
        panel = changed(cabinet=demo().cabinets["CB-05"], high={"rear": "open"}, pairing={"centre_spacing_m": None})
        return limits_of(changed(panel, **parts))["rear path"].hz or 0.0

    assert hz(low={"diaphragm_area_m2": 0.08}) == hz()
    assert (
        abs(hz(high={"shape": "rectangular", "radiating_width_m": 0.25, "radiating_height_m": 0.6}) / hz() - 1.0) > 0.02
    )


def test_a_measured_response_tells_where_a_woofer_fades_although_its_coil_is_unknown() -> None:
    """12 dB an octave from 1500 Hz up; without the file nobody knows, and a coil that is none fades nowhere."""
    f = np.geomspace(100.0, 20000.0, 400)
    curve = MeasuredCurve(f, 90.0 - 12.0 * np.maximum(np.log2(f / 1500.0), 0.0), None, "cone.txt")
    for le_h in (None, 0.0, 2e-3):
        measured = limits_of(replace(changed(low={"le_h": le_h}), curves={("LD-01", "response"): curve}))["bandwidth"]
        assert measured.hz is not None and 1200.0 < measured.hz < 3000.0 and "By its measured response" in measured.text
    assert limits_of(changed(low={"le_h": None}))["bandwidth"].missing == example().low.named("le_h")
    assert "bandwidth" not in limits_of(changed(low={"le_h": 0.0}))


def test_a_coil_ends_the_band_in_inverse_proportion_to_its_inductance() -> None:
    """Its roll-off is a matter of f Le/Re alone (first order): half the inductance, twice the frequency, up to the top of hearing."""
    found = {mh: limits_of(changed(low={"le_h": mh * 1e-3}))["bandwidth"].hz or 0.0 for mh in (4.0, 1.0, 0.4, 0.1)}
    assert [hz * mh for mh, hz in found.items()] == pytest.approx([found[1.0]] * 4, rel=0.01)
    assert found[0.1] > 8000.0


@every("guide", (None, "WG-01"))
@every("low", (None, 0.168))
@every("high", (None, 0.104))
def test_a_spacing_that_nobody_gives_lacks_the_frames_that_would_tell_it(
    guide: str | None, low: float | None, high: float | None
) -> None:
    """The woofer's, and the faceplate's where no guide stands in its place; with both it is that of touching frames."""
    case = changed(
        pairing={"centre_spacing_m": None}, low={"frame_width_m": low, "frame_height_m": None}, guide=demo().waveguides[guide] if guide else None,
        high={"faceplate_width_m": high, "faceplate_height_m": None},
    )  # fmt: skip
    lacks = (low is None, high is None and guide is None)
    found = limits_of(case).get("lobing")
    if not any(lacks):
        assert found is None or found.missing == ()
        return
    assert found is not None and found.missing == (
        *case.pairing.named("centre_spacing_m"), *(case.low.named("frame_width_m") if lacks[0] else ()),
        *(case.high.named("faceplate_width_m") if lacks[1] else ()),
    )  # fmt: skip


OWN_ROWS = {
    "evenness": ("sum_deviation_db", "sum deviation limit", "sum deviation worst"),
    "thirds": ("evenness_db", "third octave limit", "third octave worst"),
    "balance": ("balance_db", "balance limit", "balance worst"),
    "lobe": ("lobe_db", "lobe loss limit", None),
    "directivity step": ("directivity_step_db", "directivity step limit", None),
    "reversed null": ("reversed_depth_db", "reversed null depth", None),
    "slopes": ("loud_db", "slope shortfall limit", None),
    "standing window": ("standing_loss_db", "window loss limit", None),
    "tilt": ("tilt_db", "tilt limit", None),
}
"""The figure of each check, its limit on the Practice sheet, and the row of what is borne (none: no miss of it fails)."""


@every("id_", OWN_ROWS)
def test_each_check_reads_its_own_rows_of_the_practice_sheet(id_: str) -> None:
    """All rows moved apart from one another: a tenth of a decibel to either side of the own limit, and of the own worst, tells."""
    rules = dict(example().practice.rules)
    names = [name for _, *rows in OWN_ROWS.values() for name in rows if name]
    moved = {name: 4.0 + 1.3 * place for place, name in enumerate(sorted(names, key=lambda one: one.endswith("worst")))}
    rules.update({name: replace(rules[name], value=value) for name, value in moved.items()})
    case = changed(TALL if id_ == "tilt" else None, practice=Practice(rules))
    figure, limit, worst = OWN_ROWS[id_]
    rows = [(moved[limit] - 0.1, "pass"), (moved[limit] + 0.1, "marginal")]
    if id_ == "reversed null":
        rows = [(moved[limit] + 0.1, "pass"), (moved[limit] - 0.1, "marginal")]
    rows += (
        [(moved[worst] - 0.1, "marginal"), (moved[worst] + 0.1, "fail")]
        if worst
        else [(rows[1][0] * 3.0, "marginal")] * (id_ != "reversed null")
    )
    for value, outcome in rows:
        given: Any = (0.0, value) if figure == "balance_db" else value
        assert checks_of(case, **{figure: given})[id_].outcome == outcome, value


@every("weak", (False, True))
@every("unsold", (False, True))
def test_parts_that_bear_too_little_fail_each_in_its_words(weak: bool, unsold: bool) -> None:
    """What no rating that is sold bears is told before what only the shelf's own does not."""
    parts = (
        part("C1", part_id="KC-1", under_rated=weak, rating_to_buy=100.0), part("R1", part_id=None, rating_to_buy=None if unsold else 10.0),
    )  # fmt: skip
    found = checks_of(example(), parts=parts)["part stress"]
    assert found.outcome == ("fail" if weak or unsold else "pass")
    words = (
        "No rating customarily sold bears the programme: R1."
        if unsold
        else "What is in stock does not bear the programme: C1."
    )
    assert (found.text == words) is (weak or unsold)


@every("depth", (None, 0.024))
@every("vas", (None, 0.02))
def test_what_a_model_fills_in_is_named_cell_by_cell(depth: float | None, vas: float | None) -> None:
    """The depth of a guide, and what a box needs of its woofer; nothing else of the example is empty."""
    case = changed(changed(guide=demo().waveguides["WG-01"], low={"vas_m3": vas}), guide={"depth_m": depth})
    found = checks_of(case).get("data complete")
    assert case.guide is not None
    wanted = (*case.guide.missing("depth_m"), *case.low.missing("vas_m3"))
    assert (found.missing if found else ()) == wanted


def test_a_step_of_the_ladder_has_each_figure_in_its_place() -> None:
    held = built(parts=(), minimum_ohm=4.1, good_share=0.77)
    network = held.network
    assert network is not None
    design = replace(
        network.design, sum_rms_db=0.4, sum_worst_db=-1.3, null_db=-22.0, evenness_db=1.7, balance_db=0.9, pieces=7
    )
    held = replace(held, network=replace(network, design=design, parts_price=17.5))
    step = steps._step(Candidate(held, ()), False)
    assert (step.pieces, step.price, step.chosen) == (7, 17.5, False)
    assert (step.rms_db, step.worst_db, step.null_db, step.least_ohm) == (0.4, -1.3, -22.0, 4.1)
    assert (step.good_share, step.evenness_db, step.balance_db) == (0.77, 1.7, 0.9)


@every("keys", tuple(permutations((1, 2, 3))))
def test_of_the_frequencies_that_were_designed_the_best_is_taken(
    monkeypatch: pytest.MonkeyPatch, keys: tuple[int, ...]
) -> None:
    """By what is found with a network, in whatever order they had their turn."""
    turn = (1500.0, 2000.0, 3000.0)
    key = dict(zip(turn, keys, strict=True))
    limits = (Limit("a", "A", "low", 1000.0, "", ""), Limit("b", "B", "high", 4000.0, "", ""))
    chooser = Chooser(Model(Setting(example())), limits, usable_range(limits))
    monkeypatch.setattr(Chooser, "_apart", lambda _: tuple(((0, 0, 0, 0.0, hz), hz) for hz in turn))
    monkeypatch.setattr(Chooser, "_enough", lambda *_: False)
    monkeypatch.setattr(Chooser, "key", lambda _, checks, hz: (key[hz], 0, 0, 0.0, hz))
    made = built()
    monkeypatch.setattr(choice, "chosen", lambda model, hz, _: Candidate(replace(made, crossover_hz=hz), ()))
    found = chooser.chosen()
    assert found is not None and found.built.crossover_hz == min(turn, key=key.__getitem__)


def test_a_level_that_the_amplifier_ends_speaks_for_no_other_frequency_but_against_one(monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    """At 2 kHz nothing is near a limit and the level fails, at 1.5 kHz two are near and nothing fails: a fail decides."""
    limits = (Limit("a", "A", "low", 1000.0, "", ""), Limit("b", "B", "high", 4000.0, "", ""))
    made = built()
    assert made.network is not None
    made = replace(made, network=replace(made.network, reachable_cause="the amplifier"))
    told = {1500.0: (asked("slopes", "marginal"), asked("lobe", "marginal")), 2000.0: (asked("peak level", "fail"),)}
    monkeypatch.setattr(Chooser, "_apart", lambda _: tuple(((0, 0, 0, 0.0, hz), hz) for hz in told))
    monkeypatch.setattr(choice, "chosen", lambda _, hz, __: Candidate(replace(made, crossover_hz=hz), told[hz]))
    found = Chooser(Model(Setting(example())), limits, usable_range(limits)).chosen()
    assert found is not None and found.built.crossover_hz == 1500.0
    assert [check.id for check in _moved(Choice(replace(made, crossover_hz=2000.0), told[2000.0]))] == []


def test_a_frequency_is_better_by_fails_then_gaps_then_marginals_then_room() -> None:
    """Of a range of two octaves about 2 kHz: room beyond three margins of 0.08 octave is no advantage, and lower is better."""
    limits = (Limit("a", "A", "low", 1000.0, "", ""), Limit("b", "B", "high", 4000.0, "", ""))
    chooser = Chooser(Model(Setting(example())), limits, usable_range(limits))
    fail, gap, marginal = asked("f", "fail"), asked("g", "not assessed"), asked("m", "marginal")
    ranked = [
        ((), 1300.0), ((), 2000.0), ((), 1010.0), ((marginal,), 1300.0), ((marginal,) * 3, 1300.0), ((gap,), 1300.0), ((gap, marginal), 1300.0),
        ((fail,), 1300.0), ((fail, marginal), 1300.0), ((fail, gap), 1300.0), ((fail, fail), 1300.0),
    ]  # fmt: skip
    keys = [chooser.key(some, hz) for some, hz in ranked]
    assert keys == sorted(keys) and len(set(keys)) == len(keys)
    assert chooser.key([asked("p", "fail", judged=False)], 1300.0) == keys[0]


def test_a_condition_that_two_checks_ask_for_is_told_once() -> None:
    same = [
        asked(id_, outcome, condition="Sit down.")
        for id_, outcome in (("a", "pass"), ("b", "marginal"), ("c", "marginal"))
    ]  # type: ignore[arg-type]
    found = judge([*same, asked("d", "pass", condition="Keep it.")], usable_range([]))
    assert sorted(found.conditions) == ["Keep it.", "Sit down."]


@every(
    ("cells", "words"),
    (((), None), (("A",), "A is empty: so it goes."), (("A", "B"), "A and B are empty: so it goes."), (("A", "B", "C"), "A, B and C are empty: so it goes.")),
)  # fmt: skip
def test_empty_cells_are_counted_in_words(cells: tuple[str, ...], words: str | None) -> None:
    assert _empty(cells, "so it goes") == words


@every("guide", (None, "WG-01"))
def test_how_far_a_pattern_may_be_trusted_is_said_of_what_radiates(guide: str | None) -> None:
    """Of the guide where there is one, else of the bare driver."""
    setting = Setting(changed(guide=demo().waveguides[guide] if guide else None))
    bare, found = model_bound(setting.high_radiator, setting.air).sentence, setting.high_directivity
    guided = found.bound().sentence if isinstance(found, GuidedRadiator) else ""
    assert (bare in lines(setting.case)) is (guide is None)
    assert not guided or (guided != bare and f"HD-01: {guided}" in lines(setting.case))


def test_what_is_the_same_for_every_network_leaves_out_what_leans_on_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """A limit that is no wall is as good as what the network makes of it, though there is an answer before there is one."""
    limits = (Limit("resonance", "", "low", 1500.0, "", ""), Limit("bandwidth", "", "high", 3000.0, "", "", wall=False))
    found = (
        asked("resonance", "pass"),
        asked("bandwidth", "pass"),
        asked("frames fit", "marginal"),
        asked("level", "not assessed"),
    )
    alike: list[Any] = []
    monkeypatch.setattr(steps, "built_with", lambda *_: ("one",))
    monkeypatch.setattr(steps, "all_checks", lambda *_: found)
    monkeypatch.setattr(steps, "Candidate", lambda one, checks, same: alike.append(same) or one)
    monkeypatch.setattr(steps, "_spotless", lambda _: True)
    monkeypatch.setattr(steps, "ladder_of", lambda _: [SimpleNamespace(rank=0, pieces=4)])
    monkeypatch.setattr(steps, "_built", lambda best, _: best)
    steps.chosen(Model(Setting(example())), 2450.0, limits)
    assert alike == [frozenset({"resonance", "frames fit"})]


def test_of_one_number_of_pieces_what_misses_less_stays_before_what_sounds_better() -> None:
    rows = [((0, 1), 0.3, 0.2), ((0, 1), 0.1, 0.9), ((0, 2), 0.0, 0.1)]
    some = [
        SimpleNamespace(pieces=5, standing=standing, missed=missed, error_db=error, price=9.0)
        for standing, missed, error in rows
    ]
    for order in permutations(some):
        (best,) = ladder_of(order)  # type: ignore[arg-type]
        assert (best.standing, best.missed, best.error_db) == ((0, 1), 0.1, 0.9)  # type: ignore[comparison-overlap]


@every("height", (None, 0.2))
@every("width", (None, 0.168))
def test_how_several_woofers_stand_is_said_where_no_frame_tells_it(height: float | None, width: float | None) -> None:
    case = changed(low={"frame_width_m": width, "frame_height_m": height}, pairing={"low_count": 2})
    assert ("several of them count as standing" in lines(case)) is (width is None and height is None)


@every("empty", (("qms",), ("qes",), ("qms", "qes")))
def test_each_q_that_is_empty_is_named(empty: tuple[str, ...]) -> None:
    case = changed(high=dict.fromkeys(empty))
    (line,) = [one for one in all_assumptions(Setting(case)) if "counts with a Q of 0.7" in one]
    assert all(text in line for text in case.high.missing(*empty)) and line.count("HD-01 (") == len(empty)


def test_a_first_order_travel_hangs_on_the_total_q_however_it_is_made_up() -> None:
    """1/Qts = 1/Qms + 1/Qes: 2.6 with 1.066 and 1.066 with 2.6 are the same 0.756; twice the electrical one is another."""

    def hz(qms: float, qes: float) -> float:
        return limits_of(changed(pairing={"slope": "BW1"}, high={"qms": qms, "qes": qes}))["travel"].hz or 0.0

    assert hz(2.6, 1.066) == pytest.approx(hz(1.066, 2.6), rel=1e-9)
    assert abs(hz(2.6, 2.132) / hz(2.6, 1.066) - 1.0) > 0.01


@every(("hole_hz", "found_hz"), ((60.0, 200.0), (150.0, 200.0), (1000.0, 980.0)))
def test_what_is_short_anywhere_below_a_crossover_counts(hole_hz: float, found_hz: float) -> None:
    """Down to a sixteenth of it: 6 dB over a third of an octave at 60 Hz bar 200 Hz, the lowest that is looked at."""
    f = np.geomspace(20.0, 20000.0, 2000)
    level = np.where(np.abs(np.log2(f / hole_hz)) < 1 / 6, -6.0, 0.0)
    assert shortfall_hz(SLOPES["LR4"], f, level, 1.5) == pytest.approx(found_hz, rel=0.2)


@every("height", (0.12, 0.168, 0.30))
def test_two_woofers_lobe_by_their_own_pitch(height: float) -> None:
    """The second stands a frame and a gap under the first, however far the first is from the high driver."""
    case = changed(
        pairing={"low_count": 2, "centre_spacing_m": 0.15, "cabinet_id": "CB-08"}, low={"frame_height_m": height}
    )
    setting = Setting(case)
    found = limits_of(case)["lobing"].hz
    assert found == pytest.approx(lobing_hz(setting, 0.15, height + 0.005, setting.low_depth_m))
    assert abs(found / lobing_hz(setting, 0.15, 0.15, setting.low_depth_m) - 1.0) > 1e-3


@every(
    ("figures", "words"),
    (
        ({}, " The network counts that in and meets its target all the same."), ({"sum_deviation_db": 2.2}, " Whether the network makes that good is a near thing."),
        ({"sum_deviation_db": 9.0}, " The network does not make that good."),
    ),
)  # fmt: skip
def test_what_a_network_makes_of_a_gentle_roll_off_is_said(figures: dict[str, float], words: str) -> None:
    limit = Limit("bandwidth", "Low driver's bandwidth", "high", 2000.0, "It fades.", "test", wall=False)
    assert limit_check(built(**figures), limit).text == f"It fades.{words}"
    assert limit_check(built(**figures), replace(limit, hz=3000.0)).text == "It fades."


@every("strays_db", (2.2, 9.0))
def test_a_gentle_roll_off_misses_by_what_the_network_leaves_and_not_by_octaves(strays_db: float) -> None:
    """2 dB are allowed (Practice); what is beyond is a share of sound pressure, 1 - 10^(-dB/20), however many octaves away."""
    limit = Limit("bandwidth", "Low driver's bandwidth", "high", 500.0, "It fades.", "test", wall=False)
    assert limit_check(built(sum_deviation_db=strays_db), limit).miss == pytest.approx(
        1.0 - 10.0 ** ((2.0 - strays_db) / 20.0)
    )


@every("loud_db", (-9.0, -0.1, 0.0, 2.0))
def test_a_branch_under_its_target_is_not_called_above_it(loud_db: float) -> None:
    found = checks_of(example(), loud_db=loud_db)["slopes"]
    assert (found.outcome, found.value) == ("pass", max(loud_db, 0.0))
    assert f"stands at most {max(loud_db, 0.0):.1f} dB above its LR4 target." in found.text


@every(
    ("down_db", "loud_db", "outcome", "value"),
    [
        (None, 2.0, "pass", 2.0), (25.0, 2.0, "pass", 2.0), (14.1, 2.0, "pass", 2.0),
        (13.9, 2.0, "marginal", 6.1), (-1.0, 2.0, "fail", 21.0), (13.9, 7.0, "marginal", 7.0), (10.0, 7.0, "marginal", 10.0),
        (9.9, 7.0, "fail", 10.1), (9.9, 30.0, "fail", 10.1),
    ],
)  # fmt: skip
def test_a_low_branch_must_be_down_where_its_cone_breaks_up(
    down_db: float | None, loud_db: float, outcome: str, value: float
) -> None:
    """20 dB are wanted there, and a branch may stand 6 dB above what is wanted; the greater excess is told, and less than half a no."""
    found = checks_of(example(), break_up_db=down_db, resonance_db=None, loud_db=loud_db)["slopes"]
    assert (found.outcome, found.value, found.limit) == (outcome, pytest.approx(value), 6.0)
    told = "Where the cone breaks up" in found.text
    assert told is (outcome != "pass" and value != loud_db)
    if told:
        assert f"is {max(down_db or 0.0, 0.0):.0f} dB down: it stands {value:.1f} dB above the 20 dB down" in found.text


@every(
    ("slope", "down_db", "outcome", "wanted"),
    [
        ("LR4", 14.1, "pass", 20), ("LR4", 13.9, "marginal", 20), ("LR4", 9.9, "fail", 20), ("LR8", 9.9, "fail", 20),
        ("LR2", 13.1, "pass", 19), ("LR2", 12.7, "marginal", 19), ("LR2", 9.6, "marginal", 19), ("LR2", 9.4, "fail", 19),
        ("BW1", 6.4, "pass", 12), ("BW1", 6.0, "fail", 12),
    ],
)  # fmt: skip
def test_a_high_branch_must_be_down_where_its_driver_resonates(
    slope: str, down_db: float, outcome: str, wanted: int
) -> None:
    """As far as its slope is when it crosses at the lowest multiple of the resonance: LR2 at 2.8, 1 + 2.8^2 = 8.84, 18.9 dB; BW1 at 4, 12.3 dB; no more than 20 dB."""
    found = checks_of(changed(pairing={"slope": slope}), resonance_db=down_db, break_up_db=None)["slopes"]
    assert found.outcome == outcome
    assert found.because == ("resonance" if outcome != "pass" else "")  # where both fail, the limit is told first
    if outcome != "pass":
        assert f"Where the high driver resonates the high branch is {down_db:.0f} dB down" in found.text
        assert f"above the {wanted} dB down that are wanted there" in found.text


@every(("cool_from_hz", "asked_for"), ((0.0, 1), (2600.0, 5), (9000.0, 6)))
def test_what_is_too_hot_is_crossed_higher_until_it_is_not(
    monkeypatch: pytest.MonkeyPatch, cool_from_hz: float, asked_for: int
) -> None:
    """Of 13 frequencies from 1060 to 3780 Hz every other lies a fifth of an octave apart: 1310, 1620, 2000, 2470, 3060 and 3780.

    Heat falls as the crossover rises, so nothing below a frequency that is too hot is tried again.
    """
    limits = (Limit("a", "A", "low", 1000.0, "", ""), Limit("b", "B", "high", 4000.0, "", ""))
    model, tried = Model(Setting(example())), list[float]()

    def network(model: Any, hz: float, limits: Any) -> Any:
        tried.append(hz)
        return SimpleNamespace(
            built=AsBuilt(model, hz), checks=(asked("heat", "pass" if hz >= cool_from_hz else "fail"),)
        )

    monkeypatch.setattr(choice, "chosen", network)
    monkeypatch.setattr(choice, "directivity_step", lambda _: asked("directivity step", "pass"))
    found = Chooser(model, limits, usable_range(limits)).chosen()
    assert found is not None and tried == sorted(tried) and len(tried) == asked_for
    assert found.built.crossover_hz == (tried[-1] if cool_from_hz < 4000.0 else tried[0])
    assert found.built.crossover_hz >= cool_from_hz or cool_from_hz > 4000.0


@every("high_hz", (2100.0, 2300.0, 2500.0, 2700.0, 2900.0, 3100.0))
def test_the_highest_frequency_is_tried_where_all_that_lie_apart_are_too_hot(
    monkeypatch: pytest.MonkeyPatch, high_hz: float
) -> None:
    """Heat falls as the crossover rises: what only the highest frequency of the range spares is found, however near to the last one that lies."""
    limits = (Limit("a", "A", "low", 1000.0, "", ""), Limit("b", "B", "high", high_hz, "", ""))
    model = Model(Setting(example()))
    chooser = Chooser(model, limits, usable_range(limits))
    top_hz = chooser.frequencies_hz()[-1]

    def network(model: Any, hz: float, limits: Any) -> Any:
        return SimpleNamespace(built=AsBuilt(model, hz), checks=(asked("heat", "pass" if hz >= top_hz else "fail"),))

    monkeypatch.setattr(choice, "chosen", network)
    monkeypatch.setattr(choice, "directivity_step", lambda _: asked("directivity step", "pass"))
    found = chooser.chosen()
    assert found is not None and found.built.crossover_hz == top_hz


@every("slope", tuple(SLOPES))
def test_every_slope_of_even_order_is_asked_for_its_null(slope: str) -> None:
    assert ("reversed null" in checks_of(changed(pairing={"slope": slope}))) is (slope[-1] in "248")


@every("share", (0.9, 1.1))
def test_a_rating_of_unknown_order_passes_what_the_steepest_leaves(share: float) -> None:
    """Behind 2.5 kHz of the second order it bears more than behind the fourth: between the two the order is asked for."""
    case = changed(high={"rated_power_w": 80.0, "rating_highpass_hz": 2500.0, "rating_order": None})
    least, most = high_allowed_at_least_w(case), high_allowed_w(case)
    assert least is not None and most is not None and least < most
    found = checks_of(case, heat=Heat(20.0, Warmth(1.0, 60.0, None), Warmth(share * least, 2.0 * most, None)))["heat"]
    assert (found.outcome, found.unit) == ("pass" if share < 1.0 else "not assessed", "W")
    assert found.missing == (() if share < 1.0 else case.high.missing("rating_order"))


@every("wants", tuple(product((None, 0, 2), repeat=3)))
def test_one_network_that_leaves_nothing_to_wish_is_enough(wants: tuple[int | None, ...]) -> None:
    """Of three candidates: no network, one that wants nothing, one that wants two things."""
    some = [
        SimpleNamespace(built=SimpleNamespace(network=None if one is None else 1), wanting=("x",) * (one or 0))
        for one in wants
    ]
    assert steps._spotless(some) is (0 in wants)  # type: ignore[arg-type]


@every("high_hz", (1300.0, 2500.0, 4000.0))
def test_the_most_promising_frequencies_have_their_turn(high_hz: float) -> None:
    """The best of all that are looked at first; each next one the best of those far enough from the ones before."""
    limits = (Limit("a", "A", "low", 1000.0, "", ""), Limit("b", "B", "high", high_hz, "", ""))
    chooser = Chooser(Model(Setting(example())), limits, usable_range(limits))
    left = sorted((chooser.quick_key(AsBuilt(chooser.model, hz)), hz) for hz in chooser.frequencies_hz())
    wanted = []
    while left and len(wanted) < 3:
        wanted.append(left[0])
        left = [one for one in left if abs(np.log2(one[1] / wanted[-1][1])) >= 0.2]
    assert list(chooser.in_turn()) == wanted


def test_where_the_curves_of_the_drivers_come_from_is_said() -> None:
    curve = MeasuredCurve(np.geomspace(500.0, 20000.0, 40), np.full(40, 90.0), None, "dome.txt")
    measured = replace(example(), curves={("HD-01", "response"): curve})
    modelled = "modelled from the data sheet as pistons with one resonance."
    assert f"Drivers are {modelled}" in lines(example())
    assert f"Drivers are measured where it is said below, elsewhere {modelled}" in lines(measured)


@every("chamber_ml", (None, 4.0, 20.0, 60.0))
def test_the_resonance_that_bounds_is_that_with_the_chamber_it_is_used_with(chamber_ml: float | None) -> None:
    """1.8 times it for the fourth order; a deeper chamber lowers both alike, a shallower one raises them."""
    case = changed(
        high={"vas_m3": 10e-6, "rear_chamber_m3": 10e-6}, pairing={"chamber_m3": chamber_ml and chamber_ml * 1e-6}
    )
    used = Setting(case).resonance.fs_hz
    assert used is not None and limits_of(case)["resonance"].hz == pytest.approx(1.8 * used)
    stiff = 1.0 + (10.0 / chamber_ml if chamber_ml else 1.0)  # of the suspension and the air, over the suspension's own
    assert used == pytest.approx(1100.0 * (stiff / 2.0) ** 0.5, rel=1e-6)


@every(("width", "height"), ((0.165, 0.165), (0.165, 0.08), (0.08, 0.165)))
def test_a_guide_saves_travel_down_to_its_control_across(width: float, height: float) -> None:
    """A stated lowest use falls no lower than where the guide lets go of its horizontal pattern, however it is upright."""
    case = changed(changed(guide=demo().waveguides["WG-01"], high={"lowest_use_hz": 2500.0, "lowest_use_order": None}))
    case = changed(case, guide={"mouth_width_m": width, "mouth_height_m": height})
    setting = Setting(case)
    control = setting.guide.horizontal_limit_hz  # type: ignore[union-attr]
    hz = limits_of(case)["maker low"].hz or 0.0
    even = 2500.0 * 10.0 ** (
        -float(setting.guide_gain_db(hz)) / 40.0
    )  # travel goes with 1/f^2: as much in the guide as bare at 2.5 kHz
    assert hz == pytest.approx(2500.0 if control >= 2500.0 else max(control, even), rel=1e-3)
    assert (hz < 2400.0) is (width > 0.1)


@every("diaphragm", ("soft", "hard", "coated", "beryllium", "film"))
def test_each_diaphragm_warns_of_its_own_metal(diaphragm: str) -> None:
    """Beryllium of its dust, gravely; a coat of what it may be; any other of neither."""
    told = {one.id: one.grave for one in all_cautions(Setting(changed(technology={"diaphragm": diaphragm})))}
    metal = {id_: grave for id_, grave in told.items() if id_ in ("beryllium", "coated")}
    assert metal == {"beryllium": {"beryllium": True}, "coated": {"coated": False}}.get(diaphragm, {})


@every(
    ("worst_db", "thirds_db", "outcome"),
    ((1.9, 2.9, "pass"), (2.1, 1.9, "not assessed"), (1.9, 3.1, "not assessed"), (2.1, 3.1, "not assessed")),
)
def test_nothing_hangs_on_a_filled_in_cell_where_both_ends_stay_even(
    worst_db: float, thirds_db: float, outcome: str
) -> None:
    """2 dB around the crossover as shipped, and 3 dB by thirds of an octave (limits of the Practice sheet)."""
    rules = {**example().practice.rules}
    rules["third octave limit"] = replace(rules["third octave limit"], value=3.0)
    case = changed(low={"centre_depth_m": None}, practice=Practice(rules))
    found = checks_of(case, unsure=Unsure(worst_db, thirds_db))["data complete"]
    assert (
        found.outcome == outcome
        and f"the sum strays {worst_db:.1f} dB around the crossover, and {thirds_db:.1f} dB by thirds" in found.text
    )


def test_all_that_the_model_fills_in_is_named_together() -> None:
    """Any of five empty cells of a horn driver in its guide over a woofer in a vented box."""
    cells = (("high", "centre_depth_m"), ("guide", "depth_m"), ("low", "vas_m3"), ("cabinet", "net_volume_m3"), ("cabinet", "tuning_hz"))  # fmt: skip
    whole = changed(HORN, guide=demo().waveguides["WG-02"], high={"centre_depth_m": 0.05}, cabinet={"kind": "vented", "tuning_hz": 45.0})  # fmt: skip
    for keep in product((True, False), repeat=len(cells)):
        case, empty = whole, [cell for cell, kept in zip(cells, keep, strict=True) if not kept]
        for part_, name in empty:
            case = changed(case, **{part_: {name: None}})
        found = data_complete(built(case))
        wanted = [text for part_, name in empty for text in getattr(case, part_).missing(name)]
        assert sorted(found.missing if found else ()) == sorted(wanted) and len(wanted) == len(empty)


@every(("ohm", "gravity"), ((2.39, "load"), (2.4, ""), (2.41, "")))
def test_what_hardly_any_amplifier_bears_lies_under_what_it_may(ohm: float, gravity: str) -> None:
    """2.4 ohm of the Practice sheet at the lowest rated impedance of 4 ohm: itself it is still borne."""
    found = checks_of(minimum_ohm=ohm)["impedance minimum"]
    assert (found.gravity, "hardly any" in found.text) == (gravity, gravity == "load")


@every(("kind", "depth_mm"), (("soft dome", 8), ("compression driver", 0)))
def test_the_depth_that_a_centre_counts_with_is_said(kind: str, depth_mm: int) -> None:
    case = changed(of_kind(kind), high={"centre_depth_m": None})
    assert f"the centre of HD-01 counts as {depth_mm} mm deep" in lines(case)
