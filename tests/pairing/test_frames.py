"""Room on the baffle beside many low drivers at once: what one pairing after the other has."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

import numpy as np
import pytest

from reportgen.catalogue.records import Case
from reportgen.pairing.as_used import Frame, Setting, inside
from reportgen.pairing.frames import Sizes, clearances_m, outer_m, outside_m
from reportgen.suitability.checks import clearance_m
from tests.demo_catalogue import demo
from tests.every import every

USES = (
    {}, {"arrangement": "side by side"}, {"arrangement": "low-high-low", "low_count": 2}, {"arrangement": "column", "low_count": 3},
    {"high_count": 2, "cabinet_id": "CB-05"}, {"centre_spacing_m": 0.02},
)  # fmt: skip


def beside_all(case: Case) -> tuple[list[float], list[float]]:
    """Clearances (m) of a high driver beside every low one of the demo that states its frame: one by one, and at once."""
    lows = [low for low in demo().low_drivers.values() if low.frame_width_m]
    settings = [Setting(replace(case, low=low)) for low in lows]
    spacing, pitch = (
        np.array([getattr(one, name) for one in settings], dtype=np.float64) for name in ("spacing_m", "low_pitch_m")
    )
    sizes = Sizes(
        np.array([low.frame_width_m for low in lows], dtype=np.float64),
        np.array([low.frame_height_m or low.frame_width_m for low in lows], dtype=np.float64),
        np.array([np.nan if low.cutout_m is None else low.cutout_m for low in lows]),
        np.array([one.low_radiator.width_m for one in settings]),
    )
    return [clearance_m(one) for one in settings], clearances_m(Setting(case), spacing, pitch, sizes).tolist()


@every("change", USES)
@every("pairing", ["P-01", "P-05", "P-10", "P-12"])
def test_many_at_once_have_the_room_that_each_has(pairing: str, change: dict[str, object]) -> None:
    use = replace(demo().pairings[pairing], **{"centre_spacing_m": None, **change})  # type: ignore[arg-type]
    one_by_one, at_once = beside_all(demo().case(use))
    assert at_once == pytest.approx(one_by_one, abs=1e-12)


def test_an_unknown_frame_leaves_the_room_unknown() -> None:
    setting, nothing = Setting(demo().case(demo().pairings["P-01"])), np.array([np.nan])
    sizes = Sizes(nothing, nothing, np.array([0.14]), np.array([0.13]))
    assert np.isnan(clearances_m(setting, np.array([0.15]), np.array([0.2]), sizes)).all()


@every("seed", range(5))
def test_a_frame_stands_over_whichever_edge_it_stands_over_most(seed: int) -> None:
    """Left, right, lower and upper edge, each by itself; anything may be larger than the baffle."""
    draw = np.random.default_rng(seed)
    for x, y, width, height, wide, high in draw.uniform(0.05, 0.6, (50, 6)):
        edges = (width / 2 - x, x + width / 2 - wide, height / 2 - y, y + height / 2 - high)
        assert float(outside_m(x, y, width, height, (wide, high))) == pytest.approx(max(edges))


@every("cut", [(None, None), (0.09, None), (None, 0.14), (0.12, 0.08), (0.09, 0.14), (0.02, 0.03)])
def test_a_cut_out_counts_across_and_up_each_by_itself(cut: tuple[float | None, float | None]) -> None:
    frame = Frame("high", "HD", 0.1, 0.2, 0.10, 0.12, False, *cut)
    assert outer_m(frame) == (max(0.10, cut[0] or 0.0), max(0.12, cut[1] or 0.0))


@every("height", (0.12, 0.168, 0.25))
def test_low_frames_of_any_shape_have_the_room_that_each_has(height: float) -> None:
    """168 mm wide and 50 mm aside: only one as high as wide is round and meets a round high one on the line of their centres."""
    case = demo().case(replace(demo().pairings["P-01"], centre_spacing_m=0.18))
    cabinet = replace(case.cabinet, baffle_width_m=1.0, baffle_height_m=2.0, high_from_top_m=1.0, offset_m=0.05)
    case = replace(case, low=replace(case.low, frame_height_m=height), cabinet=cabinet)
    setting, low = Setting(case), case.low
    sizes = Sizes(np.array([low.frame_width_m]), np.array([height]), np.array([low.cutout_m]), np.array([setting.low_radiator.width_m]))  # fmt: skip
    found = clearances_m(setting, np.array([0.18]), np.array([setting.low_pitch_m]), sizes)
    assert found == pytest.approx([clearance_m(setting)], abs=1e-12)
    square = max(0.05 - (0.168 + 0.104) / 2, 0.18 - (max(height, 0.146) + 0.104) / 2)  # its hole is 146 mm
    assert float(found[0]) == pytest.approx(hypot(0.05, 0.18) - (0.168 + 0.104) / 2 if height == 0.168 else square)


@every("round_", (True, False))
@every("seed", range(5))
def test_a_high_driver_inside_a_cone_is_inside_with_every_point_of_its_edge(seed: int, round_: bool) -> None:
    """A circle, or a rectangle's circle about its corners: none of 360 points lies further than the cone's edge."""
    draw, angle = np.random.default_rng(seed), np.linspace(0.0, 2.0 * np.pi, 361)
    for dx, dy, width, height, cone in draw.uniform(0.0, (0.06, 0.06, 0.1, 0.1, 0.4), (80, 5)):
        reach = max(width, height) / 2 if round_ else hypot(width, height) / 2
        furthest = np.hypot(dx + reach * np.cos(angle), dy + reach * np.sin(angle)).max()
        if abs(furthest - cone / 2) < 1e-4:
            continue
        high = Frame("high", "HD", 0.0, 0.0, width, height, round_, None, None)
        assert bool(inside(dx, dy, high, cone)) is bool(furthest <= cone / 2)


def test_a_mouth_as_wide_as_high_in_a_cone_counts_as_round() -> None:
    """The cone of 130 cm2 is 128.7 mm across: a mouth of 110 mm goes into it; one of 110 by 100 mm has its corners 148.7 mm apart."""
    case, guide = demo().case(demo().pairings["P-01"]), demo().waveguides["WG-01"]
    for height, within in ((0.110, True), (0.100, False)):
        mouth = replace(guide, mouth_width_m=0.110, mouth_height_m=height, faceplate_width_m=None, faceplate_height_m=None)  # fmt: skip
        pairing = replace(case.pairing, centre_spacing_m=0.0, guide_id=guide.id)
        setting = Setting(
            replace(case, guide=mouth, pairing=pairing, cabinet=replace(case.cabinet, high_from_top_m=0.2))
        )
        assert setting.coaxial is within and (clearance_m(setting) > 0.0) is within


def test_the_baffle_has_no_hole_for_a_driver_in_a_cone() -> None:
    case = demo().case(replace(demo().pairings["P-01"], centre_spacing_m=0.0))
    small = replace(case.high, faceplate_width_m=0.036, faceplate_height_m=None)
    low, high = Setting(replace(case, high=small)).layout.frames
    assert (low.cut_width_m, high.cut_width_m, high.cut_height_m) == (case.low.cutout_m, None, None)
    beside = Setting(replace(case, high=small, pairing=replace(case.pairing, centre_spacing_m=0.15)))
    assert not beside.coaxial and beside.layout.frames[1].cut_width_m == case.high.cutout_width_m


def test_a_hole_of_unknown_size_leaves_the_frame_to_count() -> None:
    setting = Setting(demo().case(demo().pairings["P-01"]))
    frame, place = np.array([0.168]), (np.array([0.15]), np.array([0.173]))
    known, unknown = (
        clearances_m(setting, *place, Sizes(frame, frame, np.array([cut]), np.array([0.13]))) for cut in (0.146, np.nan)
    )
    assert unknown == pytest.approx(known)
