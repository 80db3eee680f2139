"""What every drawing must keep to: no label on another, none outside, and only inks the templates know."""

from __future__ import annotations

import re
from itertools import combinations

from reportgen.paper.drawings import FILL_INKS, LINE_INKS, TEXT_INKS, Picture
from reportgen.paper.lettering import Box


def assert_legible(picture: Picture) -> None:
    """Labels stand apart and inside; every ink is one of the house's; coordinates are finite."""
    for label in picture.labels:
        assert label.text
        assert label.ink in TEXT_INKS
        assert label.box.inside(picture.box.grown(0.6)), f"{label.text!r} sticks out: {label.box} of {picture.box}"
    for one, other in combinations(picture.labels, 2):
        assert not one.box.grown(-0.4).meets(other.box.grown(-0.4)), f"{one.text!r} lies on {other.text!r}"
    for path in picture.paths:
        assert path.ink in (*LINE_INKS, *FILL_INKS)
        assert "nan" not in path.data and "inf" not in path.data
    assert picture.alt


def polylines(data: str) -> list[list[tuple[float, float]]]:
    """Corner points of the straight pieces of absolute path data."""
    found = []
    for piece in re.findall(r"M([^MZhvac]*)", data):
        points = [tuple(map(float, pair.split())) for pair in piece.split("L")]
        found.append(points)
    return found


def patches(picture: Picture) -> list[Box]:
    """White fields under words, where a line would run through them."""
    data = " ".join(path.data for path in picture.paths if path.ink == "paper")
    found = [tuple(map(float, one)) for one in re.findall(r"M([-\d.]+) ([-\d.]+)h([-\d.]+)v([-\d.]+)", data)]
    return [Box(x, y, x + width, y + height) for x, y, width, height in found]
