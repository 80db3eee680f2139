"""The baffle: to scale, legible for any layout, with distances a builder can use."""

from __future__ import annotations

import re

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from reportgen.pairing.as_used import Frame, Layout
from reportgen.paper.lettering import Box
from reportgen.paper.plans import FRONT, POINTS_PER_METRE, baffle_picture, chosen_scale, front_picture, numbered
from tests.paper.looks import assert_legible
from tests.paper.samples import VARIANTS, assessed
from tests.trying import LONG

lengths = st.floats(0.02, 0.5)


@st.composite
def layouts(draw: st.DrawFn) -> Layout:
    width, height = draw(st.floats(0.08, 1.2)), draw(st.floats(0.1, 2.4))
    frames = []
    for number in range(draw(st.integers(0, 40))):
        cut = draw(st.one_of(st.none(), lengths))
        frames.append(
            Frame(
                draw(st.sampled_from(["low", "high"])), f"driver {number}", draw(st.floats(0.0, width)),
                draw(st.floats(0.0, height)), draw(lengths), draw(lengths), draw(st.booleans()), cut, cut,
            )
        )  # fmt: skip
    return Layout(width, height, tuple(frames), 0.2, True, 0.9)


def tower() -> Layout:
    """Forty drivers on a tall front: the distance of the last eleven is the longest that is written."""
    frames = [Frame("low", f"driver {n}", 0.4, 2.0 if n < 29 else 0.0, 0.1, 0.1, True, None, None) for n in range(40)]
    return Layout(0.8466, 2.3444, tuple(frames), 0.2, True, 0.9)


@settings(max_examples=300 if LONG else 60, deadline=None)
@example(tower())
@given(layouts())
def test_any_layout_is_legible_to_scale_and_numbered_inside_its_drivers(layout: Layout) -> None:
    """1 : n means n times the drawn length, at 72 points an inch of 25.4 mm, is the real one."""
    picture = baffle_picture(layout)
    assert_legible(picture)
    assert_legible(baffle_picture(layout, inches=True))
    width, height = outline(next(path.data for path in picture.paths if path.ink == "outline"))
    scale = chosen_scale(layout)
    assert width / POINTS_PER_METRE * scale == pytest.approx(layout.width_m, abs=0.06 * scale / POINTS_PER_METRE)
    assert height / POINTS_PER_METRE * scale == pytest.approx(layout.height_m, abs=0.06 * scale / POINTS_PER_METRE)
    shapes = [box for path in picture.paths if path.ink in ("low-fill", "high-fill") for box in outlines(path.data)]
    for label in picture.labels:
        if label.text.isdigit():
            assert any(label.box.grown(-0.5).inside(shape) for shape in shapes), label


def test_drivers_are_numbered_from_the_top_down_and_in_a_row_from_the_left() -> None:
    places = {"d": (0.1, 0.2), "c": (0.3, 0.5), "b": (0.1, 0.5), "a": (0.2, 0.9)}
    frames = [Frame("low", name, x, y, 0.1, 0.1, True, None, None) for name, (x, y) in places.items()]
    assert [(number, frame.label) for number, frame in numbered(frames)] == [(1, "a"), (2, "b"), (3, "c"), (4, "d")]
    assert [frame.label for _, frame in numbered(frames[::-1])] == ["a", "b", "c", "d"]


def outline(picture_data: str) -> tuple[float, float]:
    match = re.match(r"M\S+ \S+h([\d.]+)v([\d.]+)", picture_data)
    assert match is not None
    return float(match[1]), float(match[2])


def test_a_front_without_measures_is_to_scale() -> None:
    layout = assessed("P-10").layout
    picture = front_picture(layout)
    width, height = outline(next(path.data for path in picture.paths if path.ink == "outline"))
    assert height == pytest.approx(FRONT, abs=0.1)  # it is higher than wide, and nothing stands over its edge
    assert width / height == pytest.approx(layout.width_m / layout.height_m, rel=0.01)
    frames = [frame for frame in layout.frames if frame.role == "low"]
    lows = next(path.data for path in picture.paths if path.ink == "low-fill").split("M")[1:]
    assert len(lows) == len(frames) == 2
    for data, frame in zip(lows, frames, strict=True):  # from its left end an ellipse goes on by its radius
        x, y, radius = (float(figure) for figure in re.match(r"(\S+) (\S+)a(\S+) ", data).groups())  # type: ignore[union-attr]
        assert (x + radius - 1.0) / width == pytest.approx(frame.x_m / layout.width_m, abs=0.01)
        assert 1.0 - (y - 1.0) / height == pytest.approx(frame.y_m / layout.height_m, abs=0.01)
    assert picture.alt.endswith("2 low drivers and 1 high driver")
    assert not picture.labels


def test_centres_are_written_from_the_top() -> None:
    picture = baffle_picture(assessed("P-01").layout)
    words = {label.text.replace("\u00a0", " ") for label in picture.labels}
    # baffle 360 mm high, centres 280 and 130 mm over its lower edge
    assert {"1: 80 mm", "2: 230 mm", "360 mm", "200 mm"} <= words


def outlines(data: str) -> list[Box]:
    """The boxes around the rectangles and ellipses of path data."""
    found = []
    for x, y, shape, across, up in re.findall(r"M(\S+?) (\S+?)([ha])([\d.]+)[ v]([\d.]+)", data):
        left, top, a, b = float(x), float(y), float(across), float(up)
        found.append(Box(left, top, left + a, top + b) if shape == "h" else Box(left, top - b, left + 2 * a, top + b))
    return found


def test_small_frames_have_their_numbers_at_the_heights_alone() -> None:
    """A column of eight at 1 : 40: the figures would lie on its circles."""
    words = [label.text.replace("\u00a0", " ") for label in baffle_picture(assessed("P-18").layout).labels]
    assert not any(word.isdigit() for word in words)
    assert {word.partition(":")[0] for word in words if ":" in word} == set("12345678")


def test_a_low_drawing_is_no_higher_than_a_full_front_has_room_for() -> None:
    for id_ in ("P-07", "P-12", "P-18"):
        assert baffle_picture(assessed(id_).layout, low=True).height <= 100.0


def test_baffles_of_all_variants_are_legible() -> None:
    for make in VARIANTS.values():
        layout = make().layout
        if layout.frames:
            assert_legible(baffle_picture(layout))
