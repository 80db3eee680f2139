"""Do frames touch one another or stand over an edge? Every distance worked out by hand, in millimetres."""

from __future__ import annotations

import pytest

from reportgen.pairing.as_used import Frame, Layout
from reportgen.suitability import checks
from tests.every import every

WIDTH, HEIGHT = 200.0, 360.0


def frame(x: float, y: float, width: float = 100.0, height: float = 100.0, cut: float | None = None, *, round_: bool = True) -> Frame:  # fmt: skip
    sizes = [one / 1e3 for one in (x, y, width, height)]
    cuts = None if cut is None else cut / 1e3
    return Frame("high", "one", *sizes, round_, cuts, cuts)


@every(
    ("first", "second", "overlap"),
    [
        # centres 80 mm across and 60 mm up: 100 mm apart; two circles of 100 mm touch
        (True, True, 0.0),
        # two squares of 100 mm share 20 mm across and 40 mm up: 20 mm must go before they are clear
        (False, False, 20.0),
        (True, False, 20.0),
        (False, True, 20.0),
    ],
)
def test_only_two_round_frames_meet_on_the_line_of_their_centres(first: bool, second: bool, overlap: float) -> None:
    one, other = frame(60.0, 100.0, round_=first), frame(140.0, 160.0, round_=second)
    assert checks._overlap_m(one, other) * 1e3 == pytest.approx(overlap, abs=1e-9)
    assert checks._overlap_m(other, one) * 1e3 == pytest.approx(overlap, abs=1e-9)


def test_frames_that_are_clear_have_a_clearance() -> None:
    # circles 130 mm apart: 30 mm between them; squares 120 mm apart in height: 20 mm
    assert checks._overlap_m(frame(100.0, 100.0), frame(150.0, 220.0)) * 1e3 == pytest.approx(-30.0)
    assert checks._overlap_m(
        frame(100.0, 100.0, round_=False), frame(110.0, 220.0, round_=False)
    ) * 1e3 == pytest.approx(-20.0)


@every(
    ("x", "y", "outside"),
    [
        (100.0, 45.0, 5.0),  # 5 mm under the lower edge
        (100.0, 55.0, -5.0),
        (100.0, 320.0, 10.0),  # 360 - 320 = 40 mm to the upper edge
        (42.0, 180.0, 8.0),  # left
        (153.0, 180.0, 3.0),  # right: 200 - 153 = 47
        (100.0, 180.0, -50.0),  # 100 mm to the sides, less the half of 100
    ],
)
def test_how_far_a_frame_stands_over_each_edge(x: float, y: float, outside: float) -> None:
    layout = Layout(WIDTH / 1e3, HEIGHT / 1e3, (), None, False, 0.5)
    assert checks._outside_m(frame(x, y), layout) * 1e3 == pytest.approx(outside, abs=1e-9)


def test_a_cut_out_larger_than_the_frame_counts_at_the_edge() -> None:
    layout = Layout(WIDTH / 1e3, HEIGHT / 1e3, (), None, False, 0.5)
    assert checks._outside_m(frame(100.0, 55.0, cut=120.0), layout) * 1e3 == pytest.approx(5.0)  # 60 - 55
