"""The crossover that is left open: no frequency of its range has a better verdict, and lower is better where equal."""

from __future__ import annotations

from dataclasses import replace
from math import log2

import pytest

from reportgen.assessment import Assessment, assess
from reportgen.catalogue.records import Case
from reportgen.pairing.as_built import at_each
from reportgen.pairing.as_used import Setting
from reportgen.pairing.response import Model
from reportgen.suitability.checks import limit_check
from reportgen.suitability.choice import Chooser
from reportgen.suitability.limits import all_limits
from reportgen.suitability.verdict import ROOM_IN_MARGINS, roomy_octave, usable_range
from tests.demo_catalogue import demo_assessed, demo_case
from tests.every import every
from tests.suitability.workbench import changed, example

BEST_FIRST = ("suitable", "suitable with conditions", "undecided", "not suitable")


def chooser(case: Case) -> Chooser:
    limits = all_limits(Setting(case))
    return Chooser(Model(Setting(case)), limits, usable_range(limits))


def rank(found: Assessment) -> int:
    return BEST_FIRST.index(found.verdict.word)


def test_frequencies_keep_off_both_bounds_and_have_three_digits() -> None:
    looked = chooser(example()).frequencies_hz()
    assert looked == tuple(sorted(looked)) and all(hz == float(f"{hz:.3g}") for hz in looked)
    # 1.8 x 1100 Hz is off by 10 % with the resonance; the margin of 0.08 octave is more than break-up's 5 % of 5200/1.732 Hz
    assert looked[0] == pytest.approx(1980.0 * 1.1, rel=3e-3)
    assert looked[-1] == pytest.approx(5200.0 / 9**0.25 / 2**0.08, rel=3e-3)


@every("fs_hz", (850.0, 1003.0, 1102.0, 1211.0))
def test_no_rounding_brings_a_frequency_near_a_limit(fs_hz: float) -> None:
    """1.8 x 850 Hz and its 10 % make 1683 Hz: 1680 was looked at, found near its limit and given up for one of a worse verdict."""
    found = chooser(changed(high={"fs_hz": fs_hz, "lowest_use_hz": None}, technology={"bare_floor_hz": None}))
    looked = found.frequencies_hz()
    assert len(looked) == 13
    for built in at_each(found.model, (looked[0], looked[-1])):
        assert {limit_check(built, limit).outcome for limit in found.limits} == {"pass"}


def test_of_equals_the_lowest_with_room_is_taken() -> None:
    wide = changed(low={"breakup_hz": 12000.0}, pairing={"centre_spacing_m": 0.09, "horizontal_half_window_rad": 0.2})
    found = chooser(wide)
    keys = {hz: found.key([], hz) for hz in found.frequencies_hz()}
    best = min(keys, key=lambda hz: keys[hz])
    room = ROOM_IN_MARGINS * found.margin
    assert all(hz >= best or keys[hz][3] > 0.0 for hz in keys)
    assert found.found.low_hz is not None and log2(best / found.found.low_hz) == pytest.approx(room, abs=0.12)


@every(
    ("low_hz", "high_hz", "hz"),
    [
        (2000.0, 4000.0, 2000.0 * 2**0.24),  # room of 3 x 0.08 octave below, more above
        (2000.0, 2600.0, (2000.0 * 2600.0) ** 0.5),  # 0.38 octave: the most room is in the middle
        (3000.0, 2000.0, 6e6**0.5),  # empty: both missed by the same share
        (1000.0, 8000.0, 2000.0 / 2**0.08),  # nobody looks further than two octaves from the upper end
    ],
)
def test_by_the_limits_alone_it_lies_low_with_room(low_hz: float, high_hz: float, hz: float) -> None:
    bound = (log2(low_hz), log2(high_hz))
    need = (bound[0] + 0.08, bound[1] - 0.08)
    assert 2 ** float(roomy_octave(bound, need, 0.08)) == pytest.approx(hz)


def test_an_empty_range_is_tried_at_one_frequency() -> None:
    empty = changed(high={"fs_hz": 2500.0, "peak_travel_m": 0.3e-3})
    assert len(chooser(empty).frequencies_hz()) == 1
    assert assess(empty, drawn=False).crossover_why == "the frequency that misses both bounds by the same share"


@pytest.mark.parametrize("pairing", ["P-10", "P-13", "P-19"])
def test_no_other_frequency_has_a_better_verdict(pairing: str) -> None:
    case = demo_case(pairing)
    chosen = assess(case, drawn=False)
    assert chosen.crossover_why
    looked = chooser(case).frequencies_hz()
    for hz in looked[1::4]:
        other = assess(replace(case, pairing=replace(case.pairing, crossover_hz=hz)), drawn=False)
        assert rank(chosen) <= rank(other), (hz, other.verdict.reason)


def test_a_given_frequency_is_kept() -> None:
    found = demo_assessed("P-02")
    assert (found.crossover_hz, found.crossover_why) == (2200.0, "")


def test_fewer_pieces_than_any_network_has_give_the_smallest_one() -> None:
    """P-01 with one piece allowed: no network is so small, and the first of its ladder is built, not the one that stands best."""
    free = demo_assessed("P-01")
    found = assess(demo_case("P-01", pairing={"most_parts": 1, "crossover_hz": free.crossover_hz}), drawn=False)
    assert found.design is not None and found.figures is not None
    smallest = min(step.pieces for step in found.design.ladder)
    assert len(found.design.ladder) > 1 and found.figures.pieces == smallest
    assert [step.pieces for step in found.design.ladder if step.chosen] == [smallest]
