"""The field of a chart: grids at the preferred steps, names beside their traces, the crossover marked; peaks kept where traces are thinned."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from reportgen.paper.drawings import Picture
from reportgen.paper.fields import (
    Field,
    field_of,
    frame,
    frequency_grid,
    frequency_scale,
    level_grid,
    level_height,
    mark_crossover,
)
from reportgen.paper.lettering import Box, Room, dense
from reportgen.paper.scales import Scale, frequency_figure, on_paper, thinned
from tests.every import every
from tests.paper.looks import polylines


def field(low: float = 100.0, high: float = 20000.0) -> Field:
    return field_of(300.0, 120.0, frequency_scale(300.0, low, high), Scale(40.0, 80.0, 105.0, 12.0))


def lines(picture: Picture, ink: str) -> list[list[tuple[float, float]]]:
    return [line for path in picture.paths if path.ink == ink for line in polylines(path.data)]


def test_frequencies_have_a_line_at_each_step_and_a_figure_at_1_2_and_5() -> None:
    """100 Hz to 20 kHz: 100, 200, 500 ... 20k are strong; 300, 400, 600 ... are faint, twenty lines in two decades and a bit."""
    one = field()
    frequency_grid(one)
    picture = one.pen.picture("x")
    strong = [100.0, 200.0, 500.0, 1e3, 2e3, 5e3, 1e4, 2e4]
    faint = [step * decade for decade in (100.0, 1e3) for step in (3, 4, 6, 7, 8, 9)]
    for ink, expected in (("grid-strong", strong), ("grid", faint)):
        drawn = lines(picture, ink)
        assert sorted(line[0][0] for line in drawn) == pytest.approx([one.x.at(hz) for hz in expected], abs=0.06)
        assert all({y for _, y in line} == {12.0, 105.0} for line in drawn)
    figures = {label.text.replace("\u00a0", " "): label.x for label in picture.labels}
    assert list(figures) == ["20 kHz", "10k", "5k", "2k", "1k", "500", "200", "100"]
    for text, hz in (("100", 100.0), ("1k", 1e3), ("5k", 5e3)):
        assert figures[text] == pytest.approx(one.x.at(hz), abs=0.06)
    narrow = field(200.0, 6500.0)
    frequency_grid(narrow)
    assert [label.text.replace("\u00a0", " ") for label in narrow.pen.labels] == ["5 kHz", "2k", "1k", "500", "200"]
    assert [frequency_figure(hz) for hz in (20.0, 999.0, 1000.0, 1500.0, 20000.0)] == ["20", "999", "1k", "1.5k", "20k"]


def test_figures_that_would_touch_are_left_out_from_the_high_end_on() -> None:
    """Three decades over 40 points: the highest stays, and of the others what has room."""
    one = field_of(71.0, 120.0, frequency_scale(71.0, 20.0, 20000.0), Scale(40.0, 80.0, 105.0, 12.0))
    frequency_grid(one)
    boxes = [label.box for label in one.pen.labels]
    assert one.pen.labels[0].text.replace("\u00a0", " ") == "20 kHz" and 1 < len(boxes) < 10
    for high, low in pairwise(boxes):
        assert low.right + 1.5 <= high.left


def test_levels_have_their_unit_and_figures_where_they_are_asked_for() -> None:
    for figures, expected in ((None, ["40", "50", "60", "70", "80"]), ((40.0, 60.0, 80.0), ["40", "60", "80"])):
        one = field()
        level_grid(one, 10.0, "dB SPL", figures)
        picture = one.pen.picture("x")
        assert [line[0][1] for line in lines(picture, "grid")] == pytest.approx([105.0, 81.8, 58.5, 35.2, 12.0], abs=0.06)  # fmt: skip
        labels = {label.text: label for label in picture.labels}
        assert [*labels] == [*expected, "dB SPL"]
        assert all(labels[text].anchor == "end" and labels[text].x == 21.0 for text in expected)
        assert labels["80"].y == pytest.approx(14.3, abs=0.06) and labels["dB SPL"].y < 12.0


@every("hz", [100.0, 130.0, 1500.0, 17000.0, 20000.0, 99.0, 20001.0])
def test_the_crossover_is_a_line_at_its_frequency_and_its_figure_stays_in_the_field(hz: float) -> None:
    one = field()
    mark_crossover(one, hz)
    picture = one.pen.picture("x")
    if not 100.0 <= hz <= 20000.0:
        assert picture.paths == () and picture.labels == ()
        return
    ((start, end),) = lines(picture, "chosen")
    assert start[0] == end[0] == pytest.approx(one.x.at(hz), abs=0.06) and {start[1], end[1]} == {12.0, 105.0}
    (label,) = picture.labels
    assert label.text.startswith("crossover ") and one.x.start + 39.9 <= label.box.left
    assert label.box.right <= one.x.end - 23.9 and label.y == 7.0
    assert one.room.crossed([Box(one.x.at(hz) - 1.0, 50.0, one.x.at(hz) + 1.0, 60.0)])[0] > 0  # names keep off it


def test_a_decade_is_as_long_as_so_many_decibels() -> None:
    """IEC 60263: over 300 points for three decades, 50 dB take 100 of them."""
    x = Scale(20.0, 20000.0, 0.0, 300.0, log=True)
    assert level_height(x, 50.0, 50.0) == pytest.approx(100.0) and level_height(x, 30.0, 25.0) == pytest.approx(120.0)


def test_a_trace_is_named_beside_it_with_a_piece_of_its_line_at_the_place_asked_for() -> None:
    one = field()
    pieces = one.plot("low", (100.0, 20000.0), (60.0, 60.0))
    one.name("low", "low driver", pieces, between=(100.0, 400.0))
    frame(one)
    picture = one.pen.picture("x")
    (label,) = picture.labels
    assert one.x.at(100.0) - 20.0 < label.x < one.x.at(400.0) and abs(label.y - one.y.at(60.0)) < 15.0
    sample = next(line for line in lines(picture, "low") if line[1][0] - line[0][0] == pytest.approx(13.0, abs=0.11))
    assert sample[1][0] == pytest.approx(label.x - 3.0, abs=0.11)
    assert label.box.top < sample[0][1] < label.box.bottom
    assert not one.room.crossed([label.box])[0]
    assert next(path.data for path in picture.paths if path.ink == "frame") == "M24 12h269v93h-269Z"


def test_a_trace_without_any_point_has_no_name() -> None:
    """Whoever reads the name would look for the line."""
    one = field()
    one.name("low", "low driver", one.plot("low", (200.0, 400.0), (float("nan"), float("nan"))))
    assert one.pen.labels == [] and one.pen.picture("x").paths == ()


def test_a_note_stands_near_its_point_and_off_the_traces() -> None:
    one = field()
    one.plot("low", (100.0, 20000.0), (60.0, 60.0))
    at = (one.x.at(1000.0), one.y.at(60.0))
    one.note("3.4 ohm", at)
    (label,) = one.pen.labels
    assert abs(label.box.left - at[0]) < 40.0 and abs(label.y - at[1]) < 25.0
    assert label.box.inside(one.room.taken[-1].grown(0.5))  # what follows keeps off all of it
    assert not one.room.crossed([label.box])[0]


# --- traces -------------------------------------------------------------------------------------------------------


@every("at", [0, 1, 137, 500, 998, 999])
@every("peak", [-9.0, 9.0])
def test_no_peak_and_no_dip_is_lost_where_a_trace_is_thinned(at: int, peak: float) -> None:
    """Wherever it stands, up or down: a resonance of one point is seen."""
    points = np.column_stack([np.arange(1000.0), np.zeros(1000)])
    points[at, 1] = peak
    kept = thinned(points, 50)
    assert len(kept) <= 50 and [float(at), peak] in kept.tolist()
    assert np.all(np.diff(kept[:, 0]) > 0.0)
    both = points.copy()
    both[at, 1], both[(at + 3) % 1000, 1] = 9.0, -9.0
    assert {9.0, -9.0} <= set(thinned(both, 50)[:, 1].tolist())
    assert thinned(points, 1000) is points


def test_points_that_cannot_be_drawn_are_left_out() -> None:
    x, y = Scale(20.0, 20000.0, 0.0, 300.0, log=True), Scale(2.0, 32.0, 100.0, 20.0, log=True)
    nan, inf = float("nan"), float("inf")
    points = on_paper(x, y, (0.0, -5.0, 20.0, nan, 200.0, 2000.0, 20000.0), (4.0, 4.0, 2.0, 4.0, inf, 0.0, 32.0))
    assert points.tolist() == [[0.0, 100.0], pytest.approx([300.0, 20.0])]
    level = Scale(0.0, 10.0, 100.0, 20.0)
    assert len(on_paper(x, level, (20.0, 200.0), (-5.0, 0.0))) == 2  # on a linear scale nothing is too small


def test_a_trace_is_drawn_no_finer_than_a_line_is_wide() -> None:
    """300 points of paper and 0.75 points apart would be 400: 300 at most, 20 at least."""
    y = Scale(0.0, 10.0, 100.0, 20.0)
    xs = np.linspace(1.0, 9.0, 5000)
    for across, most in ((300.0, 300), (150.0, 200), (9.0, 20)):
        points = on_paper(Scale(0.0, 10.0, 0.0, across), y, xs.tolist(), np.sin(40.0 * xs).tolist())
        assert most / 2 - 1 <= len(points) <= most


# --- room ---------------------------------------------------------------------------------------------------------


def test_a_label_goes_to_the_first_free_place_that_no_trace_crosses() -> None:
    room = Room(Box(0.0, 0.0, 100.0, 50.0))
    room.avoid(np.array([[0.0, 25.0], [100.0, 25.0]]))
    assert room.place(20.0, 8.0, [(10.0, 21.0), (10.0, 5.0), (40.0, 5.0)]) == Box(10.0, 5.0, 30.0, 13.0)
    assert room.place(20.0, 8.0, [(12.0, 6.0), (31.0, 5.0)]) == Box(31.0, 5.0, 51.0, 13.0)  # a point of margin
    assert room.place(20.0, 8.0, [(95.0, 5.0), (70.0, 45.0), (-1.0, 5.0)]) is not None  # none is inside: anywhere else
    assert room.place(200.0, 8.0, [(0.0, 0.0)]) is None
    low = Room(Box(0.0, 0.0, 60.0, 50.0))
    low.avoid(np.array([[0.0, 40.0], [60.0, 40.0]]))
    assert low.place(20.0, 8.0, [(10.0, 36.0)]) == Box(2.0, 1.0, 22.0, 9.0)  # where it is free, from the top on
    full = Room(Box(0.0, 0.0, 20.0, 8.0))
    full.avoid(np.array([[0.0, 4.0], [20.0, 4.0]]))
    assert full.place(10.0, 6.0, [(5.0, 1.0)]) == Box(5.0, 1.0, 15.0, 7.0)  # crossed where there is nothing better


def test_boxes_that_share_an_edge_do_not_meet() -> None:
    one = Box(0.0, 0.0, 10.0, 10.0)
    for other, meets in ((Box(10.0, 0.0, 20.0, 10.0), False), (Box(9.9, 9.9, 20.0, 20.0), True), (Box(0.0, 10.0, 10.0, 20.0), False), (Box(2.0, 2.0, 3.0, 3.0), True), (Box(20.0, 0.0, 30.0, 10.0), False), (Box(0.0, -5.0, 10.0, 0.0), False)):  # fmt: skip
        assert one.meets(other) is meets is other.meets(one)
    assert Box(2.0, 2.0, 3.0, 3.0).inside(one) and one.inside(one) and not Box(-1.0, 2.0, 3.0, 3.0).inside(one)
    assert not Box(2.0, -1.0, 3.0, 3.0).inside(one) and not Box(2.0, 2.0, 11.0, 3.0).inside(one) and not Box(2.0, 2.0, 3.0, 11.0).inside(one)  # fmt: skip
    assert one.grown(2.0) == Box(-2.0, -2.0, 12.0, 12.0)


def test_a_steep_piece_of_a_trace_is_not_overlooked() -> None:
    """At least one point every 1.5, whichever way it runs."""
    points = dense(np.array([[0.0, 0.0], [0.0, 30.0], [40.0, 30.0]]))
    assert np.max(np.hypot(*np.diff(points, axis=0).T)) <= 1.5 * 1.001 and len(points) >= 46
    assert dense(np.array([[0.0, 0.0], [1.0, 0.0]])).tolist() == [[0.0, 0.0], [1.0, 0.0]]
