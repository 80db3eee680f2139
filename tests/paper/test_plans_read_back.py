"""The baffle and the range of a crossover measured on the drawing: everything where its figures say, by a rule and not by eye."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from reportgen.pairing.as_used import Frame, Layout
from reportgen.paper.drawings import Pen, Picture
from reportgen.paper.lettering import Box
from reportgen.paper.plans import baffle_picture, chosen_scale, front_picture, off_centre
from reportgen.paper.rangepicture import axis_strip, common_axis, hatched, range_picture, range_strip
from reportgen.paper.scales import Scale
from reportgen.suitability.limits import Limit
from reportgen.suitability.verdict import UsableRange, usable_range
from tests.every import every
from tests.paper.looks import polylines

POINTS_PER_M = 72.0 / 0.0254
"""72 points are an inch of 25.4 mm."""

# a panel of 300 x 500 mm: a round high driver, a wide one, and a low driver with a slot for a cut-out
ROUND = Frame("high", "HD-01", 0.150, 0.420, 0.104, 0.104, True, 0.074, 0.074)
WIDE = Frame("high", "HD-02", 0.090, 0.300, 0.120, 0.060, False, 0.100, 0.044)
LOW = Frame("low", "LD-01", 0.150, 0.140, 0.180, 0.200, True, 0.150, None)
BARE = Frame("low", "LD-02", 0.240, 0.300, 0.080, 0.080, True, None, None)
PANEL = Layout(0.300, 0.500, (LOW, WIDE, ROUND), 0.28, True, 0.9)

Shape = tuple[float, float, float, float]
"""Centre from the left and from the lower edge of the panel, width and height (m)."""


def shapes(picture: Picture, ink: str, scale: float) -> list[Shape]:
    """What is drawn with an ink, in metres on the panel."""
    (panel,) = boxes(picture, "outline")
    per_metre = POINTS_PER_M / scale
    return [
        ((x - panel[0]) / per_metre, (panel[1] + panel[3] - y) / per_metre, w / per_metre, h / per_metre)
        for left, top, w, h in boxes(picture, ink)
        for x, y in ((left + w / 2.0, top + h / 2.0),)
    ]


def boxes(picture: Picture, ink: str) -> list[tuple[float, float, float, float]]:
    """Left, top, width and height of rectangles and ellipses (points)."""
    found = []
    for path in picture.paths:
        if path.ink == ink:
            for x, y, kind, a, b in re.findall(r"M(\S+?) (\S+?)([ha])([\d.]+)[ v]([\d.]+)", path.data):
                left, top, first, second = float(x), float(y), float(a), float(b)
                found.append((left, top, first, second) if kind == "h" else (left, top - second, 2 * first, 2 * second))
    return found


def of(frame: Frame) -> Shape:
    return (frame.x_m, frame.y_m, frame.width_m, frame.height_m)


def cut(frame: Frame) -> Shape:
    assert frame.cut_width_m is not None
    return (frame.x_m, frame.y_m, frame.cut_width_m, frame.cut_height_m or frame.cut_width_m)


@every("low", [False, True])
def test_frames_and_cut_outs_are_where_and_as_large_as_they_are(low: bool) -> None:
    """Three tenths of a point of rounding are a millimetre at 1 : 10."""
    scale = chosen_scale(PANEL, low)
    picture = baffle_picture(PANEL, low=low)
    near = 0.3 * scale / POINTS_PER_M
    for ink, frames in (("high-fill", (ROUND, WIDE)), ("low-fill", (LOW,))):
        drawn = shapes(picture, ink, scale)
        assert len(drawn) == len(frames)
        for shape, frame in zip(drawn, frames, strict=True):
            assert shape == pytest.approx(of(frame), abs=near)
    assert [pytest.approx(cut(frame), abs=near) for frame in (ROUND, WIDE, LOW)] == shapes(picture, "cut", scale)
    (data,) = (path.data for path in picture.paths if path.ink == "high-fill")
    assert (
        data.count("a") == 2 and data.count("h-") == 1
    )  # the round one is an ellipse of two arcs, the other a rectangle


def test_a_driver_whose_cut_out_is_not_known_has_none() -> None:
    picture = baffle_picture(replace(PANEL, frames=(BARE,)))
    assert boxes(picture, "low-fill") and not boxes(picture, "cut")
    front = front_picture(replace(PANEL, frames=(BARE, ROUND)))
    assert len(boxes(front, "cut")) == 1
    assert front.alt.replace("\u00a0", " ") == "Front, 300 × 500 mm: 1 low driver and 1 high driver"
    assert front_picture(replace(PANEL, frames=())).alt.endswith("the drivers’ sizes are not known")


def measured(picture: Picture) -> dict[str, tuple[float, float]]:
    """Each label with its place (points)."""
    return {label.text.replace("\u00a0", " "): (label.x, label.y) for label in picture.labels}


def test_heights_are_from_the_top_and_their_lines_begin_at_the_centres() -> None:
    """500 - 420 = 80 mm, 500 - 300 = 200 mm, 500 - 140 = 360 mm from the top; numbers from the top down."""
    picture = baffle_picture(PANEL)
    words = measured(picture)
    assert {"1: 80 mm", "2: 200 mm", "3: 360 mm", "300 mm", "500 mm"} <= set(words)
    heights = [words[text][1] for text in ("1: 80 mm", "2: 200 mm", "3: 360 mm")]
    assert heights == sorted(heights)
    (panel,) = boxes(picture, "outline")
    per_metre = POINTS_PER_M / chosen_scale(PANEL)
    lines = [line for path in picture.paths if path.ink == "hairline" for line in polylines(path.data)]
    leaders = sorted(line[0][1] for line in lines if len(line) == 4)
    assert leaders == pytest.approx([panel[1] + down * per_metre for down in (0.080, 0.200, 0.360)], abs=0.06)
    assert words["300 mm"][0] == pytest.approx(panel[0] + panel[2] / 2.0, abs=0.1)  # under the middle of the width
    assert words["500 mm"][1] == pytest.approx(panel[1] + panel[3] / 2.0 + 2.5, abs=0.1)


def test_offsets_are_from_the_left_edge_and_stand_above_their_centres() -> None:
    """90 and 150 mm from the left; their lines begin over the centres they belong to."""
    picture = baffle_picture(PANEL)
    words = measured(picture)
    assert words["90 mm"][0] < words["150 mm"][0]
    (panel,) = boxes(picture, "outline")
    assert max(words[text][1] for text in ("90 mm", "150 mm")) < panel[1]
    per_metre = POINTS_PER_M / chosen_scale(PANEL)
    lines = [line for path in picture.paths if path.ink == "hairline" for line in polylines(path.data)]
    across = sorted(line[0][0] for line in lines if len(line) == 3)
    assert across == pytest.approx([panel[0] + x * per_metre for x in (0.090, 0.150)], abs=0.06)
    in_line = baffle_picture(replace(PANEL, frames=(ROUND, LOW)))
    assert "150 mm" not in measured(in_line)  # all on the centre line: no distance to write


@every(
    ("places", "off"),
    [((0.150,), False), ((0.1505,), False), ((0.1507, 0.150), True), ((0.1, 0.15, 0.2), True), ((0.05, 0.1, 0.15, 0.2), False), ((), False)],
)  # fmt: skip
def test_a_driver_stands_off_the_centre_line_from_more_than_half_a_millimetre(
    places: tuple[float, ...], off: bool
) -> None:
    """Of more than three distances the table alone tells; the panel is 300 mm wide."""
    layout = replace(PANEL, frames=tuple(replace(ROUND, x_m=x) for x in places))
    assert off_centre(layout) is off


def test_centres_at_one_height_share_their_ordinate() -> None:
    """Two are named one by one, more from the first to the last; half a millimetre apart is another height."""
    rows = [replace(ROUND, width_m=0.02, height_m=0.02, x_m=x, y_m=y) for y, count in ((0.4, 2), (0.3, 4), (0.2, 1)) for x in (0.05, 0.1, 0.15, 0.2)[:count]]  # fmt: skip
    words = measured(baffle_picture(replace(PANEL, frames=tuple(rows))))
    assert {"1, 2: 100 mm", "3–6: 200 mm", "7: 300 mm"} <= set(words)
    apart = [replace(rows[0], y_m=0.4), replace(rows[0], y_m=0.3994)]
    assert {"1: 100 mm", "2: 100.6 mm"} <= set(measured(baffle_picture(replace(PANEL, frames=tuple(apart)))))


@every("count", [1, 5, 9, 10, 11, 12, 13])
def test_all_heights_are_written_while_they_have_room_and_else_the_first_and_the_last(count: int) -> None:
    """9.5 points from one to the next, from 2 points under the top of the drawing to 4 over its foot."""
    frames = tuple(replace(ROUND, width_m=0.02, height_m=0.02, y_m=0.02 + 0.46 * n / 13) for n in range(count))
    picture = baffle_picture(replace(PANEL, frames=frames))
    written = [label for label in picture.labels if ": " in label.text]
    room = int((picture.height - 4.0 - 8.0) / 9.5) + 1
    assert len(written) == (count if count <= room else 2) and 9 <= room <= 13
    assert written[0].text.startswith("1: ") and written[-1].text.startswith(f"{count}: ")


def test_width_and_height_are_measured_between_slanting_strokes() -> None:
    """A line along each of two sides, with a stroke at both ends of it (ISO 129-1)."""
    picture = baffle_picture(PANEL)
    drawn = [line for path in picture.paths if path.ink == "dimension" for line in polylines(path.data)]
    (panel,) = boxes(picture, "outline")
    across = [line for line in drawn if line[0][1] == line[1][1]]
    upright = [line for line in drawn if line[0][0] == line[1][0]]
    assert len(drawn) == 6 and len(across) == len(upright) == 1
    assert [x for x, _ in across[0]] == pytest.approx([panel[0], panel[0] + panel[2]], abs=0.11)
    assert [y for _, y in upright[0]] == pytest.approx([panel[1], panel[1] + panel[3]], abs=0.11)


def test_each_centre_has_a_cross_that_can_be_seen() -> None:
    """Two strokes over the centre, of 2 to 5 points to each side: a quarter of a small frame."""
    picture = baffle_picture(PANEL)
    (panel,) = boxes(picture, "outline")
    per_metre = POINTS_PER_M / chosen_scale(PANEL)
    strokes = [
        line for path in picture.paths if path.ink == "hairline" for line in polylines(path.data) if len(line) == 2
    ]
    for frame in PANEL.frames:
        x, y = panel[0] + frame.x_m * per_metre, panel[1] + panel[3] - frame.y_m * per_metre
        arm = min(5.0, max(2.0, frame.width_m * per_metre / 4.0))
        crossing = [line for line in strokes if {round(value, 1) for value in (line[0][0], line[1][0])} == {round(x, 1)} or {round(value, 1) for value in (line[0][1], line[1][1])} == {round(y, 1)}]  # fmt: skip
        lengths = [abs(b[0] - a[0]) + abs(b[1] - a[1]) for a, b in crossing if abs((a[0] + b[0]) / 2.0 - x) < 0.1 and abs((a[1] + b[1]) / 2.0 - y) < 0.1]  # fmt: skip
        assert lengths == pytest.approx([2.0 * arm] * 2, abs=0.21)


def test_inches_stand_behind_millimetres_where_they_are_wanted() -> None:
    """500 / 25.4 = 19.69, 300 / 25.4 = 11.81, 80 / 25.4 = 3.15."""
    words = measured(baffle_picture(PANEL, inches=True))
    assert {"500 (19.69)", "300 (11.81)", "1: 80 (3.15)"} <= set(words)


def test_the_baffle_in_words_names_each_centre() -> None:
    words = baffle_picture(PANEL).alt.replace("\u00a0", " ")
    scale = f"{chosen_scale(PANEL):g}"
    assert words == (
        f"Baffle, 300 mm wide, 500 mm high, at 1 : {scale}. Centres: 1 high driver, 80 mm from the top, 150 mm from the left; "
        "2 high driver, 200 mm from the top, 90 mm from the left; 3 low driver, 360 mm from the top, 150 mm from the left."
    )


# --- the range ----------------------------------------------------------------------------------------------------


def limit(name: str, side: str, hz: float | None, spread: tuple[float, float] | None = None) -> Limit:
    return Limit(name, name, side, hz, "", "", spread_hz=spread)  # type: ignore[arg-type]


LIMITS = (
    limit("Heat", "low", 900.0), limit("Travel", "low", 1500.0, (1300.0, 1700.0)), limit("Resonance", "low", None),
    limit("Coverage", "high", 6000.0), limit("Break-up", "high", 3000.0), limit("Spacing", "high", None),
)  # fmt: skip


def read(picture: Picture) -> Scale:
    """The frequency axis, from the first and the last of its printed figures."""
    marks = {}
    for label in picture.labels:
        match = re.fullmatch(r"([\d.]+)(k?)(?:\u00a0(k?)Hz)?", label.text)
        if match and label.ink == "faint" and label.anchor == "middle":
            marks[label.x] = float(match[1]) * (1e3 if match[2] or match[3] else 1.0)
    first, last = min(marks), max(marks)
    return Scale(marks[first], marks[last], first, last, log=True)


def test_each_limit_is_a_bar_from_its_side_to_its_frequency_and_the_binding_ones_are_dark() -> None:
    picture = range_picture(LIMITS, usable_range(LIMITS), 2121.0)
    axis = read(picture)
    bars = {ink: boxes(picture, ink) for ink in ("bar", "bar-binding", "bar-unknown", "range")}
    ends = {
        ink: sorted(right if left < 2.0 else left for left, _, width, _ in found for right in (left + width,))
        for ink, found in bars.items()
    }
    assert ends["bar-binding"] == pytest.approx([axis.at(1500.0), axis.at(3000.0)], abs=0.6)
    assert ends["bar"] == pytest.approx([axis.at(900.0), axis.at(6000.0)], abs=0.6)
    assert [round(width) for _, _, width, _ in bars["bar-unknown"]] == [34, 34]
    assert min(left for left, *_ in bars["bar-unknown"]) < 2.0  # that of the low side hangs on the left edge
    ((left, _, width, _),) = bars["range"]
    assert (left, left + width) == pytest.approx((axis.at(1500.0), axis.at(3000.0)), abs=0.6)
    spread = [line for path in picture.paths if path.ink == "hairline" for line in polylines(path.data)]
    assert [(line[0][0], line[-1][0]) for line in spread] == [pytest.approx((axis.at(1300.0), axis.at(1700.0)), abs=0.6)]  # fmt: skip
    (chosen,) = (polylines(path.data)[0] for path in picture.paths if path.ink == "chosen")
    assert chosen[0][0] == pytest.approx(axis.at(2121.0), abs=0.6)
    ((_, top, _, height),) = bars["range"]
    assert [y for _, y in chosen] == pytest.approx([top, top + height], abs=0.11)  # it goes through all rows


def test_words_on_a_dark_bar_are_light_and_words_beside_one_are_dark() -> None:
    """Black letters on white or white ones on black: a binding bar that no axis makes long enough for its words has them beside it."""
    some = (
        limit("Heat", "low", 300.0),
        limit("Travel", "low", 1500.0),
        limit("Break-up", "high", 3000.0),
        limit("Coverage", "high", 12000.0),
    )
    inks = {label.text.split(" ")[0]: label for label in range_picture(some, usable_range(some), None).labels}
    assert [inks[name].ink for name in ("Heat", "Travel", "Break-up", "Coverage")] == ["word", "reversed-strong", "reversed-strong", "word"]  # fmt: skip
    for length, has_room in ((1, True), (9, False)):  # the axis grows, but not for ever
        name = "a long name " * length
        short = (limit(f"Travel, {name}", "low", 300.0), limit(f"Break-up, {name}", "high", 9000.0))
        picture = range_picture(short, usable_range(short), None)
        bars = boxes(picture, "bar-binding")
        labels = [label for label in picture.labels if "long" in label.text]
        assert len(labels) == 2
        for label in labels:
            on_bar = any(left <= label.box.left and label.box.right <= left + width for left, _, width, _ in bars)
            assert on_bar is has_room and label.ink == ("reversed-strong" if on_bar else "strong")


def test_bars_stand_from_the_most_pressing_down() -> None:
    """What binds is on top; from below the highest, from above the lowest; what is not known comes last."""
    at = {label.text.split("\u00a0")[0].rstrip("0123456789 "): label.y for label in range_picture(LIMITS, usable_range(LIMITS), None).labels}  # fmt: skip
    for side in (("Travel", "Heat", "Resonance not assessed"), ("Break-up", "Coverage", "Spacing not assessed")):
        heights = [at[name] for name in side]
        assert heights == sorted(heights) and len(set(heights)) == 3


def test_a_low_and_a_high_limit_share_a_row_where_both_have_room() -> None:
    """Two and two that leave the middle free are two rows; two bars that lie over one another are one row each."""
    for high, rows in ((8000.0, 2), (500.0, 4)):
        some = (
            limit("a", "low", 1000.0),
            limit("b", "low", 900.0),
            limit("c", "high", high),
            limit("d", "high", high * 1.1),
        )
        heights = [label.y for label in range_picture(some, usable_range(some), None).labels if label.text[0] in "abcd"]
        assert len(heights) == 4 and len(set(heights)) == rows


@every(
    ("low", "high", "words"),
    [
        (1500.0, 3000.0, "usable 1500 to 3000 Hz, 1.00 octave"), (3000.0, 1500.0, "no usable range: the limits overlap by 1.00 octave"),
        (1500.0, None, "usable from 1500 Hz"), (None, 3000.0, "usable up to 3000 Hz"), (None, None, "no limit known"),
    ],
)  # fmt: skip
def test_a_range_in_words_and_in_its_picture(low: float | None, high: float | None, words: str) -> None:
    some = tuple(limit(side, side, hz) for side, hz in (("low", low), ("high", high)))
    picture = range_picture(some, usable_range(some), None)
    assert words in {label.text.replace("\u00a0", " ") for label in picture.labels}
    told = picture.alt.replace("\u00a0", " ")
    assert told == (
        f"{words[0].upper()}{words[1:]}. Limits from below: low {f'{low:.0f} Hz' if low else 'not assessed'}. "
        f"Limits from above: high {f'{high:.0f} Hz' if high else 'not assessed'}."
    )
    assert range_picture(some, usable_range(some), 2100.0).alt.count("Crossover 2100\u00a0Hz.") == 1
    strip = range_strip(common_axis([low, high, 2000.0], 6.0, 154.0), UsableRange(low, high, None, None), 2100.0, 160.0)
    assert strip.alt.replace("\u00a0", " ") == f"{words[0].upper()}{words[1:]}, crossover 2100 Hz"


@every(
    ("low", "high", "bar"),
    [(1000.0, 2000.0, (1000.0, 2000.0)), (1000.0, None, (1000.0, 4000.0)), (None, 2000.0, (500.0, 2000.0)), (2000.0, 1000.0, None), (None, None, None)],
)  # fmt: skip
def test_a_strip_shows_the_range_from_an_open_side_to_the_edge(
    low: float | None, high: float | None, bar: tuple[float, float] | None
) -> None:
    """On an axis of 500 to 4000 Hz over 148 points an octave is 49.3 of them."""
    axis = Scale(500.0, 4000.0, 6.0, 154.0, log=True)
    strip = range_strip(axis, UsableRange(low, high, None, None), 1414.2, 160.0)
    drawn = [(left, left + width) for left, _, width, _ in boxes(strip, "bar-binding")]
    assert drawn == ([pytest.approx((axis.at(bar[0]), axis.at(bar[1])), abs=0.11)] if bar else [])
    hatched = boxes(strip, "hairline")
    overlap = [pytest.approx((axis.at(1000.0), axis.at(2000.0)), abs=0.11)] if low and high and low > high else []
    assert [(left, left + width) for left, _, width, _ in hatched] == overlap
    (pointer,) = (path.data for path in strip.paths if path.ink == "pointer")
    tips = [point for line in polylines(pointer) for point in line if point[1] in (5.0, 11.0)]
    assert [x for x, _ in tips] == pytest.approx([axis.at(1414.2)] * 2, abs=0.11)
    outside = range_strip(axis, UsableRange(low, high, None, None), 4500.0, 160.0)
    assert not [path for path in outside.paths if path.ink == "pointer"]


def test_the_axis_over_strips_has_its_figures_where_the_strips_have_their_lines() -> None:
    axis = Scale(400.0, 6000.0, 6.0, 154.0, log=True)
    picture = axis_strip(axis, 160.0)
    printed = read(picture)
    (marks,) = (path.data for path in picture.paths if path.ink == "grid-strong")
    assert [line[0][0] for line in polylines(marks)] == pytest.approx([axis.at(hz) for hz in (500.0, 1000.0, 2000.0, 5000.0)], abs=0.11)  # fmt: skip
    for hz in (500.0, 1000.0, 2000.0, 5000.0):
        assert printed.at(hz) == pytest.approx(axis.at(hz), abs=0.11)
    (grid,) = (path.data for path in range_strip(axis, UsableRange(None, None, None, None), None, 160.0).paths if path.ink == "grid")  # fmt: skip
    assert [line[0][0] for line in polylines(grid)] == pytest.approx([axis.at(hz) for hz in (500.0, 1000.0, 2000.0, 5000.0)], abs=0.11)  # fmt: skip


@every(
    ("hz", "low", "high"),
    [
        ((1000.0, 2000.0), 1000.0 / 1.8, 3600.0),  # a factor of 1.8 to either side
        ((1000.0,), 500.0, 2000.0),  # two octaves at least
        ((), 1000.0, 4000.0),  # about 2 kHz where nothing is known
        ((None, float("nan"), 0.0, -3.0, 1000.0), 500.0, 2000.0),
        ((50.0, 1000.0, 2000.0), 125.0, 3600.0),  # three octaves from the middle one at most
        ((1000.0, 2000.0, 20000.0), 1000.0 / 1.8, 16000.0),
    ],
)
def test_an_axis_has_air_and_leaves_out_what_is_far_off(hz: tuple[float | None, ...], low: float, high: float) -> None:
    axis = common_axis(hz, 6.0, 154.0)
    assert (axis.low, axis.high) == pytest.approx((low, high)) and (axis.start, axis.end, axis.log) == (
        6.0,
        154.0,
        True,
    )


@every(
    ("low", "high", "bar"),
    [(100.0, 300.0, (6.0, 8.0)), (5000.0, 9000.0, (152.0, 154.0)), (9000.0, 5000.0, (152.0, 154.0)), (100.0, 9000.0, (6.0, 154.0)), (5000.0, None, (152.0, 154.0)), (None, 300.0, (6.0, 8.0))],
)  # fmt: skip
def test_a_range_beyond_the_axis_stands_at_its_edge(low: float | None, high: float | None, bar: tuple[float, float]) -> None:  # fmt: skip
    strip = range_strip(Scale(500.0, 4000.0, 6.0, 154.0, log=True), UsableRange(low, high, None, None), None, 160.0)
    empty = low is not None and high is not None and low > high
    ((left, _, width, _),) = boxes(strip, "hairline" if empty else "bar-binding")
    assert (left, left + width) == pytest.approx(bar, abs=0.11)


def test_what_binds_and_the_crossover_are_never_off_the_picture() -> None:
    """Six limits about 350 Hz under one of 4 kHz: the middle one is three octaves and more below what counts."""
    some = (*(limit(str(hz), "low", hz) for hz in (300.0, 320.0, 350.0, 380.0, 400.0, 450.0, 4000.0)), limit("top", "high", 6000.0))  # fmt: skip
    picture = range_picture(some, usable_range(some), 4900.0)
    axis = read(picture)
    ((left, _, width, _),) = boxes(picture, "range")
    assert (left, left + width) == pytest.approx((axis.at(4000.0), axis.at(6000.0)), abs=1.0)
    for path in picture.paths:
        for x, _ in (point for line in polylines(path.data) for point in line):
            assert -0.1 <= x <= picture.width + 0.1, path.ink


def test_a_limit_from_above_never_stands_over_one_that_presses_more() -> None:
    """The first of them has no room beside the long bar, but beside the short one; the second would have it beside both."""
    lows = (limit("Travel", "low", 2900.0), limit("Heat", "low", 500.0))
    some = (*lows, limit("Break-up", "high", 3000.0), limit("Coverage", "high", 9000.0))
    picture = range_picture(some, usable_range(some), None)
    at = {label.text.split(" ")[0]: label.y for label in picture.labels if label.text.split(" ")[0] in ("Travel", "Heat", "Break-up", "Coverage")}  # fmt: skip
    assert at["Travel"] < at["Heat"] == at["Break-up"] < at["Coverage"]


def test_the_range_is_named_over_its_middle() -> None:
    some = (limit("Travel", "low", 1000.0), limit("Break-up", "high", 4000.0))
    picture = range_picture(some, usable_range(some), None)
    (words,) = (label for label in picture.labels if label.text.startswith("usable"))
    assert words.x == pytest.approx(read(picture).at(2000.0), abs=0.6)  # the middle of two octaves


def test_what_must_be_shown_has_as_much_air_as_all_else() -> None:
    """Nearly an octave (a factor of 1.8) on either side, also beyond three octaves from the others."""
    axis = common_axis([2000.0] * 3, 0.0, 100.0, (20000.0, None))
    assert (axis.low, axis.high) == pytest.approx((2000.0 / 1.8, 36000.0))


def test_a_tolerance_beyond_the_axis_ends_at_its_edge() -> None:
    bound = limit("Heat", "low", 2000.0, (20.0, 90000.0))
    picture = range_picture([bound], usable_range([bound]), None, 400.0)
    lines = [piece for path in picture.paths if path.ink == "hairline" for piece in polylines(path.data)]
    assert [(line[0][0], line[1][0]) for line in lines] == [(1.0, 399.0)]  # a point inside the drawing on either side


def test_a_field_that_cannot_be_used_is_hatched_from_corner_to_corner() -> None:
    """20 by 8 points, lines of 45 degrees every 4: six begin left or below and end above or right."""
    pen = Pen(40.0, 20.0)
    hatched(pen, "hairline", Box(10.0, 5.0, 30.0, 13.0), 4.0)
    (path,) = pen.picture("").paths
    lines = [piece for piece in polylines(path.data) if len(piece) == 2]
    assert lines == [
        [(10.0, 9.0), (14.0, 5.0)], [(10.0, 13.0), (18.0, 5.0)], [(14.0, 13.0), (22.0, 5.0)], [(18.0, 13.0), (26.0, 5.0)],
        [(22.0, 13.0), (30.0, 5.0)], [(26.0, 13.0), (30.0, 9.0)],
    ]  # fmt: skip


@every(("round_", "half", "numbered"), [(True, 11.5, False), (False, 11.5, True), (True, 14.0, True), (False, 9.0, False)])  # fmt: skip
def test_a_number_stands_inside_its_driver_or_nowhere(round_: bool, half: float, numbered: bool) -> None:
    """Its corner lies some 8 points right of the centre and 10 above: 12.8 off it, which a circle of 11.5 does not reach and a square does."""
    empty = Layout(0.4, 0.4, (), 0.2, True, 0.9)
    size = 2.0 * half / POINTS_PER_M * chosen_scale(empty)
    picture = baffle_picture(replace(empty, frames=(Frame("low", "a", 0.2, 0.2, size, size, round_, None, None),)))
    assert ("1" in [label.text for label in picture.labels]) is numbered
